//! What an entry says of what it rests on: its last days.

use chrono::NaiveDate;

use super::{tested, wrong};
use crate::diagnostic::Diagnostic;
use crate::record::entry::{Action, Entry};

/// What an entry says that it rests on had not ended by its own words: a test, a certificate,
/// the calibration of its instrument.
pub(super) fn in_date(entry: &Entry, day: NaiveDate) -> Result<(), Diagnostic> {
    let (rests_on, calibrated): (&[String], _) = match &entry.what {
        Action::Measure { reading } => (reading.rests_on.as_slice(), reading.calibrated_until.as_ref()),
        Action::Tick { rests_on, .. }
        | Action::Sign { rests_on, .. }
        | Action::SeenOnPaper { rests_on, .. } => (rests_on.as_slice(), None),
        _ => return Ok(()),
    };
    if let Some((basis, until)) = rests_on.iter().find_map(|b| Some((b, tested::ended(b, day)?))) {
        let what = basis.split(" until ").next().unwrap_or_default();
        return wrong(format!("it rests on \"{what}\" of {}, which ended on {until}", entry.by.name));
    }
    if let Some(until) = calibrated.filter(|until| until.parse::<NaiveDate>().is_ok_and(|until| until < day))
    {
        return wrong(format!("the calibration of its instrument ended on {until}"));
    }
    Ok(())
}
