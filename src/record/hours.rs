//! Times that can hardly be true. They are told, not refused: a clock may be
//! wrong, and the reader judges.

use std::collections::BTreeMap;

use chrono::{DateTime, FixedOffset, NaiveDate, TimeDelta};

use super::entry::{Action, Entry, Measured, SLACK};
use super::frozen::{DROPPED_SINCE, Frozen, Operation};
use super::rules::refuse;
use super::{back_dated, fire_watch, two_places};
use crate::diagnostic::Diagnostic;
use crate::quantity::{Kind, Quantity, Style};

/// Hours between the first and the last entry of a person's day.
const DAY: i64 = 16;
/// Minutes from the last weld reading of a joint until it is cold (common
/// practice: by hand, and never sooner).
const COLD: i64 = 30;
/// Id of the reading of the fire watch.
pub(super) const WATCH: &str = "watch-end";

/// Something told about an entry.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Remark {
    /// Place in the log of the entry it is about.
    pub n: u64,
    /// A sentence without a full stop.
    pub words: String,
}

/// First and last entry of a person's day, and whether it was told.
type Day = (DateTime<FixedOffset>, DateTime<FixedOffset>, bool);

/// Key of the operation an entry is about.
fn key(entry: &Entry) -> Option<&str> {
    match &entry.what {
        Action::Tick { operation, .. } | Action::Sign { operation, .. } => Some(&operation.key),
        Action::Measure { reading } => Some(&reading.operation.key),
        _ => None,
    }
}

/// Whether an arc burns at an operation.
#[must_use]
pub fn heats(operation: &Operation) -> bool {
    operation.acts.iter().any(|a| a == "arc" || a == "tack")
}

/// Whether an entry at an operation was made while an arc burned there, or right after: not
/// initials, which are given at the end of a station, nor what is not read at the arc.
pub(super) fn burned(rules: u32, operation: &Operation, what: &Action) -> bool {
    heats(operation)
        && match what {
            Action::Tick { step, .. } => step.is_some() || !operation.levelled(),
            Action::Measure { reading } => {
                operation.readings().find(|r| r.id == reading.reading).is_none_or(|r| r.at_the_arc(rules))
            }
            _ => false,
        }
}

/// Whether a fire watch can have lasted as long as is said: `read` at `at`, since the
/// last arc whose time was stated. An entry without a stated time has that of writing,
/// which is when the arc was out at the latest.
///
/// # Errors
/// If there was not as much time.
pub fn watched(
    plan: &Frozen,
    entries: &[Entry],
    reading: &str,
    read: Quantity,
    at: &DateTime<FixedOffset>,
) -> Result<(), Diagnostic> {
    if reading.split('.').next() != Some(WATCH) || read.kind() != Kind::Time {
        return Ok(());
    }
    let hot = |e: &&Entry| {
        let Some(key) = key(e) else { return false };
        plan.keyed(key).is_some_and(|o| burned(plan.rules, o, &e.what))
    };
    let last = entries
        .iter()
        .filter(hot)
        .filter(|e| e.stated())
        .filter_map(Entry::time)
        .filter(|then| then <= at)
        .max();
    let Some(last) = last else { return Ok(()) };
    let minutes = (*at - last).num_minutes();
    let most = (*at - last + TimeDelta::minutes(SLACK)).as_seconds_f64();
    if read.si() <= most {
        return Ok(());
    }
    Err(refuse(
        "L159",
        "a fire watch is as long as the time since the last arc",
        format!(
            "{} watched is more than the {minutes} min since the arc at {}",
            Style::of(Kind::Time).both(read),
            last.format("%Y-%m-%d %H:%M")
        ),
        "watch to the end, then enter it, with the time it ended (--at)",
    )
    .help("if the time stated for the arc is not that of its end: --sure"))
}

/// How a fire watch was longer than the time since the last entry at an arc; none if it
/// was not, or ended before that arc.
fn watched_too_long(
    reading: &Measured,
    arc: DateTime<FixedOffset>,
    at: DateTime<FixedOffset>,
) -> Option<String> {
    let watch = reading.reading.split('.').next() == Some(WATCH);
    let seconds: f64 = reading.value.as_deref().filter(|_| watch)?.parse().ok()?;
    let room = (at - arc + TimeDelta::minutes(SLACK)).as_seconds_f64();
    (at >= arc && seconds > room).then(|| {
        format!(
            "a fire watch of {:.0} min ended {} min after the last entry at an arc, {}",
            seconds / 60.0,
            (at - arc).num_minutes(),
            arc.format("%Y-%m-%d %H:%M")
        )
    })
}

/// Times of a log that can hardly be true, in the order of their entries.
#[must_use]
pub fn remarks(plan: &Frozen, entries: &[Entry]) -> Vec<Remark> {
    let operations: BTreeMap<&str, &Operation> =
        plan.operations.iter().map(|o| (o.key.as_str(), o)).collect();
    let mut days: BTreeMap<(&str, NaiveDate), Day> = BTreeMap::new();
    // Labour ended by a person on a day; the first of it may have begun the day before.
    let mut labour: BTreeMap<(&str, NaiveDate), u32> = BTreeMap::new();
    let mut hot: BTreeMap<&str, DateTime<FixedOffset>> = BTreeMap::new();
    let mut arc: Option<DateTime<FixedOffset>> = None;
    let mut found = Vec::new();
    for entry in entries {
        let (Some(at), Some(key)) = (entry.time(), key(entry)) else { continue };
        // A day is one of the place it was written down at, whatever zone a time is stated in.
        let date = if plan.rules >= DROPPED_SINCE { entry.day() } else { None };
        let date = date.unwrap_or_else(|| at.date_naive());
        let day = days.entry((&entry.by.id, date)).or_insert((at, at, false));
        (day.0, day.1) = (day.0.min(at), day.1.max(at));
        if !day.2 && day.1 - day.0 > TimeDelta::hours(DAY) {
            day.2 = true;
            found.push(Remark {
                n: entry.n,
                words: format!(
                    "{} worked {} h on {}: more than {DAY} h in a day",
                    entry.by.name,
                    (day.1 - day.0).num_hours(),
                    date
                ),
            });
        }
        let Some(operation) = operations.get(key) else { continue };
        if matches!(&entry.what, Action::Tick { step: None, .. }) && entry.corrects.is_none() {
            let minutes = operation.minutes.unwrap_or(0);
            if let Some(done) = labour.get_mut(&(entry.by.id.as_str(), date)) {
                let before = i64::from(*done);
                *done += minutes;
                if before <= DAY * 60 && i64::from(*done) > DAY * 60 {
                    found.push(Remark {
                        n: entry.n,
                        words: format!(
                            "{} initialled {} h of planned labour on {}, more than {DAY} h in a day",
                            entry.by.name,
                            *done / 60,
                            date
                        ),
                    });
                }
            } else {
                labour.insert((&entry.by.id, date), 0);
            }
        }
        let reads = matches!(&entry.what, Action::Measure { .. });
        if burned(plan.rules, operation, &entry.what) {
            arc = arc.max(Some(at));
            for joint in operation.joints.iter().filter(|_| reads) {
                let last = hot.entry(joint).or_insert(at);
                *last = (*last).max(at);
            }
        }
        if let Action::Measure { reading } = &entry.what
            && reading.reading.split('.').next() == Some(WATCH)
            && let Some(last) = arc.filter(|last| *last > at)
        {
            found.push(Remark {
                n: entry.n,
                words: format!(
                    "the fire watch ended at {}, before the arc at {}",
                    at.format("%Y-%m-%d %H:%M"),
                    last.format("%Y-%m-%d %H:%M")
                ),
            });
        }
        if let Action::Measure { reading } = &entry.what
            && let Some(words) = arc.and_then(|last| watched_too_long(reading, last, at))
        {
            found.push(Remark { n: entry.n, words });
        }
        if operation.points().any(|p| p.rule.as_deref() == Some("acceptance")) && !heats(operation) {
            let last = operation.joints.iter().filter_map(|j| hot.get(j.as_str())).max();
            let soon = last.map(|last| at - *last).filter(|d| *d < TimeDelta::minutes(COLD));
            if let Some(soon) = soon.filter(|d| *d > TimeDelta::zero()) {
                found.push(Remark {
                    n: entry.n,
                    words: format!(
                        "operation {} was accepted cold {} min after the last reading at its weld",
                        operation.number,
                        soon.num_minutes()
                    ),
                });
            }
        }
    }
    found.extend(fire_watch::remarks(&operations, plan, entries));
    found.extend(fire_watch::too_early(&operations, plan, entries));
    found.extend(two_places::remarks(&operations, plan, entries));
    found.extend(back_dated::written_at_once(plan, entries));
    found.sort_by_key(|remark| remark.n);
    found
}
