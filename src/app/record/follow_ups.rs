//! What is done after hand-over, and by when: a day for all of it, or one for each.

use std::str::FromStr;

use chrono::{NaiveDate, TimeDelta};

use super::desk::{Actor, Desk};
use crate::diagnostic::Diagnostic;
use crate::record::dated;
use crate::record::entry::FollowUp;
use crate::record::frozen::Operation;

/// How long after hand-over work of the job may be due: what settles, settles soon.
const LONGEST: TimeDelta = TimeDelta::days(366);
/// When work after hand-over is due in an example: within the first weeks, common practice for
/// what settles.
const SOON: TimeDelta = TimeDelta::days(28);

/// A day something after hand-over is due by.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Due {
    /// Operation as a person names it; none for all that have no day of their own.
    pub operation: Option<String>,
    /// The day.
    pub day: NaiveDate,
}

impl FromStr for Due {
    type Err = String;

    /// Reads `2026-04-20` or `910=2026-04-20`.
    fn from_str(text: &str) -> Result<Self, String> {
        let (operation, day) = match text.split_once('=') {
            Some((operation, day)) => (Some(operation.trim()), day),
            None => (None, text),
        };
        if operation.is_some_and(str::is_empty) {
            return Err("no operation stands before the =: write 910=2026-04-20".to_owned());
        }
        let read = dated::day(day).filter(|_| day.trim().len() == 10);
        let day = read.ok_or_else(|| {
            format!("\"{}\" is no day: write year-month-day, 2026-04-20 or 910=2026-04-20", day.trim())
        })?;
        Ok(Self { operation: operation.map(str::to_owned), day })
    }
}

/// What is to follow, each with its day: the one that names it, else the one for all, else the
/// one the customer was told.
///
/// # Errors
/// If one has no day or two, names no follow-up, is out of time, before the one it comes after,
/// or another than the customer was told.
pub(super) fn planned(desk: &Desk, actor: &Actor, asked: &[Due]) -> Result<Vec<FollowUp>, Diagnostic> {
    let (plan, first) = (&desk.plan, actor.at.date_naive());
    let deferred: Vec<&Operation> = plan.operations.iter().filter(|o| o.deferred).collect();
    let mut own: Vec<(&Operation, NaiveDate)> = Vec::new();
    let mut for_all: Option<NaiveDate> = None;
    for due in asked {
        let operation = due.operation.as_ref().map(|name| named(desk, actor, &deferred, name)).transpose()?;
        let before = match operation {
            Some(operation) => {
                let before = own.iter().find(|(o, _)| o.key == operation.key).map(|(_, day)| *day);
                own.push((operation, due.day));
                before
            }
            None => for_all.replace(due.day),
        };
        if let Some(before) = before {
            let what = operation.map_or_else(|| "all".to_owned(), |o| format!("operation {}", o.number));
            return Err(Diagnostic::error(
                "L333",
                format!("two days are given for {what}: {before} and {}", due.day),
            )
            .rule("a follow-up has one day")
            .expected("one day for all, and at most one for each operation")
            .help("leave one of them out"));
        }
        within(due.day, first)?;
    }
    // What the customer was told need not be typed again.
    let told = || dated::due(plan, &desk.state).map(|(day, ..)| day);
    let for_all = for_all.or_else(told);
    let day = |operation: &&Operation| {
        own.iter().find(|(o, _)| o.key == operation.key).map(|(_, day)| *day).or(for_all)
    };
    let mut planned = Vec::new();
    for operation in &deferred {
        let due = day(operation).ok_or_else(|| dateless(operation, first))?;
        planned.push(FollowUp { due: due.to_string(), operation: operation.at() });
    }
    // Told at a follow-up box long ago, it may be over by now.
    if let Some(day) = for_all.filter(|_| !deferred.is_empty()) {
        within(day, first)?;
    }
    dated::scheduled(plan, &desk.state, &planned)?;
    Ok(planned)
}

/// The follow-up a person names.
fn named<'a>(
    desk: &'a Desk,
    actor: &Actor,
    deferred: &[&'a Operation],
    name: &str,
) -> Result<&'a Operation, Diagnostic> {
    let operation = desk.scene(actor).operation(name)?;
    if operation.deferred {
        return Ok(operation);
    }
    let list: Vec<String> = deferred.iter().map(|o| format!("{} {}", o.number, o.title)).collect();
    let problem = Diagnostic::error(
        "L330",
        format!(
            "operation {} {} is done before hand-over, and no follow-up",
            operation.number, operation.title
        ),
    )
    .rule("what is done after hand-over has a day");
    Err(match deferred.first() {
        Some(first) => problem.expected(format!("one of {}", list.join("; "))).example(format!(
            "--follow-up {}={}",
            first.number,
            actor.at.date_naive() + SOON
        )),
        None => problem
            .expected("no --follow-up: nothing of this traveler is done after hand-over")
            .help("leave it out"),
    })
}

fn dateless(operation: &Operation, first: NaiveDate) -> Diagnostic {
    Diagnostic::error(
        "L191",
        format!("operation {} {} is done after hand-over and has no date", operation.number, operation.title),
    )
    .rule("a follow-up has a date")
    .expected(format!("a date within a year of {first}, one for all or one for each"))
    .example(format!("--follow-up {}", first + SOON))
    .help(format!("one of its own: --follow-up {}={}", operation.number, first + SOON))
}

/// Whether a day lies in the year after the close.
fn within(due: NaiveDate, first: NaiveDate) -> Result<(), Diagnostic> {
    let last = first + LONGEST;
    if (first..=last).contains(&due) {
        return Ok(());
    }
    let off = if due < first { "before" } else { "more than a year after" };
    Err(Diagnostic::error("L192", format!("{due} is {off} the day of closing, {first}"))
        .rule("a follow-up comes after hand-over, and within a year: what settles, settles soon")
        .expected(format!("a date from {first} to {last}")))
}

#[cfg(test)]
mod tests {
    use super::Due;

    #[test]
    fn a_day_stands_alone_or_behind_its_operation() {
        let read = |text: &str| text.parse::<Due>().map(|d| (d.operation, d.day.to_string()));
        assert_eq!(read("2026-04-20"), Ok((None, "2026-04-20".to_owned())));
        assert_eq!(read("910=2026-04-20"), Ok((Some("910".to_owned()), "2026-04-20".to_owned())));
        for text in ["", "910", "=2026-04-20", "910=", "910=20.4.2026", "2026-04-20, 50 mi", "a=b=2026-04-20"]
        {
            assert!(read(text).is_err(), "{text}");
        }
    }
}
