//! Arcs of a shift nobody was on watch in, or whoever watches burns, by the log.
//!
//! Source: 29 CFR 1910.252(a)(2)(iii): fire watchers wherever welding may start a fire,
//! which is before the arc. That a card holds for a shift is common practice. Whoever is on
//! watch has no other duty while it burns: 29 CFR 1915.504(c)(1) and NFPA 51B, both from
//! memory; in a shop it is common practice.

use std::collections::{BTreeMap, BTreeSet};

use chrono::{DateTime, FixedOffset, NaiveDate, TimeDelta};

use super::entry::{Action, By, Entry, SLACK};
use super::frozen::{Frozen, GATED_SINCE, Operation};
use super::hours::{Remark, WATCH, burned};
use crate::term::clock::told;
use crate::term::name;

/// Id of the reading that names the fire watch of a shift.
const CARD: &str = "watch";
/// Hours a card holds at most (common practice: no shift is longer).
const SHIFT: i64 = 12;

/// Watches that ended before the last arc of their day, with none after it: whatever the log
/// says first, nobody watched what burned later.
pub(super) fn too_early(
    operations: &BTreeMap<&str, &Operation>,
    plan: &Frozen,
    entries: &[Entry],
) -> Vec<Remark> {
    let voided: BTreeSet<u64> = entries.iter().filter_map(|e| e.corrects.as_ref().map(|c| c.entry)).collect();
    let (mut watches, mut arcs) = (Vec::new(), BTreeMap::new());
    for entry in entries.iter().filter(|e| !voided.contains(&e.n)) {
        let Some(at) = entry.time() else { continue };
        let key = match &entry.what {
            Action::Measure { reading } if reading.reading.split('.').next() == Some(WATCH) => {
                watches.push((entry.n, at));
                continue;
            }
            Action::Measure { reading } => &reading.operation.key,
            Action::Tick { operation, .. } => &operation.key,
            _ => continue,
        };
        if operations.get(key.as_str()).is_some_and(|o| burned(plan.rules, o, &entry.what)) {
            let last = arcs.entry(at.date_naive()).or_insert(at);
            *last = at.max(*last);
        }
    }
    let early = |(n, at): &(u64, DateTime<FixedOffset>)| {
        let last = *arcs.get(&at.date_naive())?;
        let after =
            watches.iter().any(|(_, other)| *other >= last && other.date_naive() == last.date_naive());
        // An arc that was entered before it is told where the watch is.
        let known = entries.iter().any(|e| e.n < *n && e.time() == Some(last));
        (last - *at >= TimeDelta::minutes(SLACK) && !after && !known).then(|| Remark {
            n: *n,
            words: format!(
                "the fire watch ended at {}, before the last arc of that day at {}",
                told(at),
                told(&last)
            ),
        })
    };
    watches.iter().filter_map(early).collect()
}

/// Words with which a card begins that names nobody.
const NOBODY: &[&str] = &["none", "nobody", "nil", "no one", "no watch", "without"];

/// Whether a card names a person: by the id, or the name as it reads.
fn on_watch(card: &str, by: &By) -> bool {
    let (card, name) = (name::folded(card), name::folded(&by.name));
    let part = |c: char| !c.is_alphanumeric() && c != '-' && c != '_';
    // Whole words, whatever stands between them.
    let words = |text: &str| {
        format!(" {} ", text.split(part).filter(|w| !w.is_empty()).collect::<Vec<_>>().join(" "))
    };
    let says = |text: &str| !text.is_empty() && words(&card).contains(&words(text));
    says(&name::folded(&by.id)) || says(&name)
}

/// Whether a card says that nobody watches.
fn nobody(card: &str) -> bool {
    let card = name::folded(card);
    NOBODY
        .iter()
        .any(|word| card.strip_prefix(word).is_some_and(|rest| !rest.starts_with(char::is_alphanumeric)))
}

/// The first arc of each day that no card was opened for, within the shift before it, and the
/// first of each person on watch who works at an arc all the same.
pub(super) fn remarks(
    operations: &BTreeMap<&str, &Operation>,
    plan: &Frozen,
    entries: &[Entry],
) -> Vec<Remark> {
    let strict = plan.rules >= GATED_SINCE;
    let opens = |o: &Operation, id: &str| o.makes_safe() && id.split('.').next() == Some(CARD);
    // Nobody is asked for a card the plan has not.
    if !operations.values().any(|o| o.readings().any(|r| opens(o, &r.id))) {
        return Vec::new();
    }
    let voided: BTreeSet<u64> = entries.iter().filter_map(|e| e.corrects.as_ref().map(|c| c.entry)).collect();
    let stand = || entries.iter().filter(|e| !voided.contains(&e.n));
    let opened = stand().filter_map(|entry| {
        let Action::Measure { reading } = &entry.what else { return None };
        let operation = operations.get(reading.operation.key.as_str())?;
        let names = !strict || !nobody(&reading.text);
        Some((entry.time().filter(|_| names && opens(operation, &reading.reading))?, reading.text.as_str()))
    });
    let opened: BTreeMap<_, _> = opened.collect();
    let mut days: BTreeSet<NaiveDate> = BTreeSet::new();
    let mut alone: BTreeSet<(NaiveDate, &str)> = BTreeSet::new();
    let mut found = Vec::new();
    for entry in stand() {
        let key = match &entry.what {
            Action::Tick { operation, .. } => &operation.key,
            Action::Measure { reading } => &reading.operation.key,
            _ => continue,
        };
        let (Some(operation), Some(at)) = (operations.get(key.as_str()), entry.time()) else { continue };
        let watched = || {
            let from = at - TimeDelta::hours(SHIFT);
            opened.range(from..=at + TimeDelta::minutes(SLACK)).next_back()
        };
        if !burned(plan.rules, operation, &entry.what) {
            continue;
        }
        let own = watched().filter(|(_, card)| strict && on_watch(card, &entry.by));
        if own.is_some() && alone.insert((at.date_naive(), &entry.by.id)) {
            found.push(Remark {
                n: entry.n,
                words: format!(
                    "{} is the fire watch of that shift and works at the arc of operation {} at {}: whoever watches has no other duty while it burns",
                    entry.by.name,
                    operation.number,
                    told(&at)
                ),
            });
        }
        if days.contains(&at.date_naive()) || watched().is_some() {
            continue;
        }
        days.insert(at.date_naive());
        found.push(Remark {
            n: entry.n,
            words: format!(
                "an arc at {}, operation {}, and no fire watch is named for that shift: the hot-work card is opened first",
                told(&at),
                operation.number
            ),
        });
    }
    found
}
