//! What an entry says of itself: how its person was identified, and the last days of what
//! it rests on.

use chrono::NaiveDate;

use super::{CLOCK_SINCE, tested, wrong};
use crate::diagnostic::Diagnostic;
use crate::record::entry::{Action, Entry, WITHOUT_BOOK};
use crate::record::identified;

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

/// Whether an entry is one that somebody is identified for.
pub(super) fn decides(entry: &Entry) -> bool {
    let decides = matches!(
        &entry.what,
        Action::Sign { .. }
            | Action::SeenOnPaper { .. }
            | Action::Closed { .. }
            | Action::Disposition { .. }
            | Action::TesterWaived { .. }
            | Action::Withdrawn {}
            | Action::Revised { .. }
    );
    decides || entry.corrects.is_some()
}

/// Whether an entry says how the person was identified, where it has to. Logs
/// without a clock are from before that was written down.
pub(super) fn is_identified(entry: &Entry, edition: u32) -> Result<(), Diagnostic> {
    if entry.clock.is_none() {
        return Ok(());
    }
    let known = |how: &str| identified::by_pin(how) || how == identified::BY_ID;
    if edition >= CLOCK_SINCE && entry.identified().is_some_and(|how| !known(how)) {
        return wrong(format!("it does not say in any known way how {} was identified", entry.by.name));
    }
    let without = entry.book.as_deref() == Some(WITHOUT_BOOK);
    if decides(entry) && !without && entry.identified().is_none() {
        return wrong(format!("it does not say how {} was identified", entry.by.name));
    }
    Ok(())
}
