//! Readings that say when something is due: a day, and what is promised at the close is no other.

use chrono::NaiveDate;

use super::entry::FollowUp;
use super::frozen::{Frozen, Reading};
use super::rules::{Scene, refuse};
use super::state::{Mark, State};
use crate::diagnostic::Diagnostic;

/// How a day is written.
const FORM: &str = "%Y-%m-%d";

/// The day a text begins with: `2026-05-04`, `2026-05-04, 50 mi`.
#[must_use]
pub fn day(text: &str) -> Option<NaiveDate> {
    let word = text.trim().split([' ', ',', ';']).next()?;
    // A year has four digits: the parser takes any.
    (word.len() == 10).then(|| NaiveDate::parse_from_str(word, FORM).ok()).flatten()
}

/// What was read last where a day is asked for, by whom: the earliest of them, which nothing that
/// is promised may pass.
#[must_use]
pub fn due<'a>(plan: &Frozen, state: &'a State) -> Option<(NaiveDate, String, &'a Mark)> {
    let all = plan.operations.iter().flat_map(|o| o.readings().filter(|r| r.dated).map(move |r| (o, r)));
    let read = all.filter_map(|(operation, reading)| {
        let (measured, mark) = state.reading(&operation.key, &reading.id)?;
        Some((day(&measured.text)?, format!("{}.{}", operation.number, reading.id), mark))
    });
    read.min_by_key(|(day, ..)| *day)
}

/// Whether the days promised at the close can be kept: each names work after hand-over, none is
/// due before one that comes before it, and the first of them is the day that was read.
///
/// # Errors
/// If one can't.
pub fn scheduled(plan: &Frozen, state: &State, all: &[FollowUp]) -> Result<(), Diagnostic> {
    let due = |key: &str| all.iter().find(|one| one.operation.key == *key).and_then(|one| day(&one.due));
    for one in all {
        let Some(operation) = plan.keyed(&one.operation.key) else { continue };
        let Some(own) = day(&one.due) else { continue };
        let earlier = plan.all_before(operation).into_iter().filter_map(|o| Some((o, due(&o.key)?)));
        let Some((before, late)) = earlier.filter(|(_, day)| *day > own).max_by_key(|(_, day)| *day) else {
            continue;
        };
        return Err(refuse(
            "L331",
            "what follows comes in the order of the work",
            format!(
                "operation {} is due on {own}, and operation {}, which comes before it, on {late}",
                operation.number, before.number
            ),
            format!("--follow-up {}={late}, or a later day", operation.number),
        )
        .expected(format!("{late} or later")));
    }
    let first = all.iter().filter_map(|one| day(&one.due)).min();
    promised(plan, state, first)
}

/// Whether what is promised first at the close is what was read. `promised` may be none: nothing
/// is done after hand-over.
///
/// # Errors
/// If they are two days.
pub fn promised(plan: &Frozen, state: &State, promised: Option<NaiveDate>) -> Result<(), Diagnostic> {
    let (Some(promised), Some((read, place, mark))) = (promised, due(plan, state)) else { return Ok(()) };
    if promised == read {
        return Ok(());
    }
    let number = &plan.number;
    Err(refuse(
        "L341",
        "what was told the customer is what is promised",
        format!(
            "{promised} is another day than the {read} of {place} (entry {}, {})",
            mark.n, mark.by.name
        ),
        format!(
            "leave --follow-up away, or put the reading right: tackwright measure {number} {place} \"{promised}\" --corrects {} --reason \"…\" --by {}",
            mark.n, mark.by.id
        ),
    )
    .expected(read.to_string()))
}

impl Scene<'_> {
    /// Whether what is written where a day is asked for is one that can be.
    ///
    /// # Errors
    /// If it begins with no day, or with one that was over when it was written.
    pub fn dated(&self, reading: &Reading, text: &str) -> Result<(), Diagnostic> {
        if !reading.dated {
            return Ok(());
        }
        let from = self.at.map_or(self.day, |at| at.date_naive());
        let why = match day(text) {
            None => format!("\"{}\" begins with no day", text.trim()),
            Some(day) if day < from => format!("{day} was over when it was written, on {from}"),
            Some(_) => return Ok(()),
        };
        Err(refuse(
            "L340",
            "what is due has a day",
            format!("{}: {why}", reading.label),
            "write the day as year-month-day; a distance or words may stand behind it",
        )
        .expected(format!("a day on or after {from}"))
        .example(format!("{}, 50 mi", from + chrono::TimeDelta::days(28))))
    }
}

#[cfg(test)]
mod tests {
    use super::day;

    #[test]
    fn a_day_is_read_as_it_is_written_and_nothing_else() {
        let read = |text| day(text).map(|d| d.to_string());
        for text in ["2026-05-04", " 2026-05-04 ", "2026-05-04, 50 mi", "2026-05-04; 80 km"] {
            assert_eq!(read(text).as_deref(), Some("2026-05-04"), "{text}");
        }
        for text in ["later", "May 4", "5/4/2026", "26-05-04", "2026-13-04", "2026-5-4", "on 2026-05-04", ""]
        {
            assert_eq!(read(text), None, "{text}");
        }
    }
}
