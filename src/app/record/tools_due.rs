//! Tools a traveler is read with whose calibration ends soon, or has ended.

use chrono::{Days, NaiveDate};

use crate::record::people::Instrument;
use crate::record::{Frozen, State};

/// How long before its last day a tool is spoken of (common practice: a laboratory takes some
/// weeks).
const SOON: Days = Days::new(30);

/// Tools that values which stand were read with and that are due within a month of the day, the
/// earliest first: last day and id.
pub(super) fn due_soon(
    plan: &Frozen,
    state: &State,
    rows: &[Instrument],
    day: NaiveDate,
) -> Vec<(NaiveDate, String)> {
    let soon = day.checked_add_days(SOON).unwrap_or(day);
    let read = plan.operations.iter().flat_map(|o| o.readings().map(move |r| (o, r)));
    let used = read.filter_map(|(o, r)| state.reading(&o.key, &r.id)?.0.tool.as_deref());
    let used: std::collections::BTreeSet<&str> = used.collect();
    let of = |row: &Instrument| {
        let until = row.until.filter(|until| *until <= soon && used.contains(row.id.as_str()))?;
        Some((until, row.id.clone()))
    };
    let mut due: Vec<(NaiveDate, String)> = rows.iter().filter_map(of).collect();
    due.sort();
    due
}
