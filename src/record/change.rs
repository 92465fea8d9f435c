//! What a revision changes: operations compared by stable keys.

use std::collections::{BTreeMap, BTreeSet};

use super::entry::Reopened;
use super::frozen::{Frozen, Operation, Reading};
use super::state::State;
use crate::term::{Judged, Verdict};

/// Old plan against new plan.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Change {
    /// Keys that keep what was entered.
    pub kept: Vec<String>,
    /// Keys that start again, and why.
    pub reopened: Vec<Reopened>,
    /// Keys that are new.
    pub added: Vec<String>,
    /// Keys that are gone.
    pub removed: Vec<String>,
}

/// Compares two plans. What builds on a changed or new operation starts again
/// too.
#[must_use]
pub fn compare(old: &Frozen, new: &Frozen) -> Change {
    let before: BTreeMap<&str, &Operation> = old.operations.iter().map(|o| (o.key.as_str(), o)).collect();
    let mut change = Change::default();
    let mut touched: BTreeMap<&str, &str> = BTreeMap::new();
    for operation in &new.operations {
        let why = match before.get(operation.key.as_str()) {
            None => {
                change.added.push(operation.key.clone());
                touched.insert(&operation.key, &operation.title);
                continue;
            }
            // What was issued before there were levels did not lose them.
            Some(was) if !was.levelled() => differences(was, &operation.without_levels()),
            Some(was) if old.rules >= CARDS => differences(&must_fill(was), &must_fill(operation)),
            Some(was) => differences(was, operation),
        };
        let cause = operation.builds_on.iter().find_map(|k| touched.get(k.as_str()));
        let why = match (why, cause) {
            (Some(why), _) => why,
            (None, Some(cause)) => format!("it builds on \"{cause}\", which changed"),
            (None, None) => {
                change.kept.push(operation.key.clone());
                continue;
            }
        };
        touched.insert(&operation.key, &operation.title);
        change.reopened.push(Reopened { key: operation.key.clone(), why });
    }
    let now: BTreeSet<&str> = new.operations.iter().map(|o| o.key.as_str()).collect();
    change.removed =
        old.operations.iter().filter(|o| !now.contains(o.key.as_str())).map(|o| o.key.clone()).collect();
    change
}

/// Edition of the rules since which one more box on a card of shifts, or one less, starts
/// nothing again: nobody has to fill it.
const CARDS: u32 = 5;

/// An operation with the boxes somebody has to fill.
fn must_fill(operation: &Operation) -> Operation {
    let mut plain = operation.clone();
    for step in &mut plain.steps {
        step.readings.retain(Reading::asked);
    }
    plain
}

/// Edition of the rules since which a broken rule between readings is filed before its
/// operation starts again.
pub(super) const STOPS: u32 = 2;

/// A reading that does not conform, was never filed as a found condition, and whose
/// operation would start again or go: it is decided, not forgotten.
#[must_use]
pub fn undecided<'a>(
    state: &State,
    old: &'a Frozen,
    change: &Change,
) -> Option<(&'a Operation, String, Judged)> {
    let keys = change.reopened.iter().map(|r| &r.key).chain(&change.removed);
    keys.filter_map(|k| old.operations.iter().find(|o| o.key == *k)).find_map(|operation| {
        let filed = |reading: &str| {
            state.founds.iter().any(|f| f.key == operation.key && f.reading.as_deref() == Some(reading))
        };
        // A rule between readings that is broken is no less undecided.
        let stops = if old.rules >= STOPS { state.stops(old, operation) } else { Vec::new() };
        let broken = stops.into_iter().map(|s| (s.reading, Judged::Decided(Verdict::NotConform)));
        let mut all = state.failing(operation).into_iter().chain(broken);
        all.find(|(r, _)| !filed(r)).map(|(reading, verdict)| (operation, reading, verdict))
    })
}

/// What differs between two operations of one key, in words.
fn differences(was: &Operation, is: &Operation) -> Option<String> {
    let mut parts: Vec<String> = Vec::new();
    let count = |n: usize, one: &str| {
        if n == 1 { format!("1 {one} changed") } else { format!("{n} {one}s changed") }
    };
    if was.steps.len() != is.steps.len() {
        parts.push(format!("{} steps instead of {}", is.steps.len(), was.steps.len()));
    } else {
        let steps = was.steps.iter().zip(&is.steps).filter(|(a, b)| a.text != b.text).count();
        if steps > 0 {
            parts.push(count(steps, "step"));
        }
    }
    // What was frozen before it was told says nothing of it.
    let welds = is.welds.iter().filter(|(id, asked)| was.welds.get(*id).is_some_and(|old| old != *asked));
    parts.extend(welds.map(|(id, asked)| format!("{id} is now {asked}")));
    let readings: BTreeMap<&str, _> = was.readings().map(|r| (r.id.as_str(), r)).collect();
    // How a value may be typed is no part of what is asked.
    let same = |old: &Reading, new: &Reading| {
        let (mut old, mut new) = (old.clone(), new.clone());
        old.typed_anyhow();
        new.typed_anyhow();
        old == new
    };
    let changed: Vec<&str> = is
        .readings()
        .filter(|r| readings.get(r.id.as_str()).is_none_or(|old| !same(old, r)))
        .map(|r| r.label.as_str())
        .collect();
    if !changed.is_empty() {
        parts.push(format!("{}: {}", count(changed.len(), "reading"), changed.join(", ")));
    }
    let plain = |o: &Operation| {
        o.points()
            .map(|p| (p.slot.clone(), p.roles.clone(), p.what.clone(), p.meaning.clone()))
            .collect::<Vec<_>>()
    };
    if plain(was) != plain(is) {
        parts.push("its points changed".to_owned());
    }
    if parts.is_empty() {
        let mut same = was.clone();
        same.builds_on.clone_from(&is.builds_on);
        if same.asks_as(is) {
            return None;
        }
        parts.push("its head changed".to_owned());
    }
    Some(parts.join("; "))
}
