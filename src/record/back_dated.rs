//! What is given when it is given: the issue, a signature, a decision, the close. A PIN says who
//! was there at the clock, and nothing of the time that was stated; stated hours before, it is
//! told wherever it stands.

use chrono::{DateTime, FixedOffset, TimeDelta};

use super::entry::{Action, Entry};
use super::frozen::{Frozen, GATED_SINCE};
use super::hours::Remark;
use crate::term::clock::told;

/// Minutes by which it may be entered after the time stated for it: the way from the work to the
/// desk (common practice).
const LATE: i64 = 120;
/// Minutes by which the time a log states may be longer than the time it was written in: half a
/// shift (common practice); issue and close are entered when they are given.
const LONGER: i64 = 240;

/// An act of somebody who answers for it, stated hours before it was entered.
#[derive(Debug, Clone, Copy)]
pub struct BackDated<'a> {
    /// The entry.
    pub entry: &'a Entry,
    /// What the clock said.
    pub clock: DateTime<FixedOffset>,
}

impl BackDated<'_> {
    /// What it is, in a word or two: `H4`, `the issue`, `the decision on F1`.
    #[must_use]
    pub fn what(&self) -> String {
        match &self.entry.what {
            Action::Sign { point, .. } => point.clone(),
            Action::Issued { .. } => "the issue".to_owned(),
            Action::Revised { issue, .. } => format!("the issue of rev {}", issue.revision),
            Action::Disposition { found, .. } => format!("the decision on {found}"),
            _ => "the close".to_owned(),
        }
    }
}

/// What the clock said where an entry was made hours after the time stated for it; none where the
/// two are near. What was signed on paper, and seen there, is told as that.
#[must_use]
pub fn entered(entry: &Entry) -> Option<DateTime<FixedOffset>> {
    let answers = matches!(
        entry.what,
        Action::Sign { .. }
            | Action::Issued { .. }
            | Action::Revised { .. }
            | Action::Disposition { .. }
            | Action::Closed { .. }
    );
    let clock = entry.entered_later().filter(|_| answers)?;
    (clock - entry.time()? >= TimeDelta::minutes(LATE)).then_some(clock)
}

/// Every such entry, in the order of the log; none by rules from before they were told.
#[must_use]
pub fn back_dated<'a>(plan: &Frozen, entries: &'a [Entry]) -> Vec<BackDated<'a>> {
    let told = plan.rules >= GATED_SINCE;
    let all = entries.iter().filter(|_| told);
    all.filter_map(|entry| Some(BackDated { entry, clock: entered(entry)? })).collect()
}

/// A log whose entries state more time than there was to write it in, its issue among them: what
/// it states was not written as it was done.
pub(super) fn written_at_once(plan: &Frozen, entries: &[Entry]) -> Option<Remark> {
    let clock = |e: &Entry| DateTime::parse_from_rfc3339(e.clock.as_deref()?).ok();
    let span = |times: Vec<DateTime<FixedOffset>>| {
        let (first, last) = (times.iter().min()?, times.iter().max()?);
        Some((*first, *last - *first))
    };
    let (_, stated) = span(entries.iter().filter_map(Entry::time).collect())?;
    let (from, written) = span(entries.iter().map(clock).collect::<Option<Vec<_>>>()?)?;
    if plan.rules < GATED_SINCE || stated - written < TimeDelta::minutes(LONGER) {
        return None;
    }
    let words = format!(
        "{} of work, from the issue on, were written down in {}, from {} on",
        in_words(stated),
        in_words(written),
        told(&from)
    );
    Some(Remark { n: entries.last()?.n, words })
}

/// A span of time in words: `3 days 6 h`, `17 min`.
fn in_words(span: TimeDelta) -> String {
    let (days, hours, minutes) = (span.num_days(), span.num_hours() % 24, span.num_minutes() % 60);
    match (days, hours) {
        (0, 0) => format!("{minutes} min"),
        (0, hours) => format!("{hours} h {minutes} min"),
        (1, hours) => format!("1 day {hours} h"),
        (days, hours) => format!("{days} days {hours} h"),
    }
}

#[cfg(test)]
mod tests {
    use chrono::TimeDelta;

    use super::in_words;

    #[test]
    fn a_span_is_said_as_people_say_it() {
        for (minutes, said) in [(17, "17 min"), (90, "1 h 30 min"), (1500, "1 day 1 h"), (4680, "3 days 6 h")]
        {
            assert_eq!(in_words(TimeDelta::minutes(minutes)), said);
        }
    }
}
