//! What a revision changes: operations compared by stable keys.

use std::collections::{BTreeMap, BTreeSet};

use super::agree::Stop;
use super::asked_again;
use super::entry::Reopened;
use super::frozen::{DROPPED_SINCE, Frozen, GATED_SINCE, Name, Operation, Reading};
use super::state::State;
use crate::term::{ACCEPTED_BY, Judged};

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

/// An operation that is new or starts again.
struct Touched<'a> {
    operation: &'a Operation,
    /// Whether something is done again, there or before it: what was made on that is made
    /// again. What is only looked at again leaves it as it is.
    done_again: bool,
}

impl Touched<'_> {
    /// Why what builds on it starts again; none where it rests on nothing that moved: it is
    /// neither held against what is read there, nor covers what is gauged there.
    fn passes_to(&self, new: &Frozen, operation: &Operation) -> Option<String> {
        let (key, title) = (&self.operation.key, &self.operation.title);
        let named = || new.rules_of(operation).iter().any(|rule| rule.of.iter().any(|n| n.operation == *key));
        let gauged = || self.operation.readings().any(|r| r.asked() && r.instrument.is_some());
        if self.done_again || new.rules < GATED_SINCE {
            Some(format!("it builds on \"{title}\", which changed"))
        } else if named() {
            Some(format!("it is held against what is read at \"{title}\", which changed"))
        } else if operation.works_metal() && gauged() {
            Some(format!("it covers what is gauged at \"{title}\", which changed"))
        } else {
            None
        }
    }
}

/// Compares two plans of which nothing was entered.
#[must_use]
pub fn compare(old: &Frozen, new: &Frozen) -> Change {
    compare_made(old, new, &State::default())
}

/// Compares two plans, with what was entered under the old one. What is made on a changed or new operation starts again too; where that
/// is only read or signed, what rests on a value of it does. What can't be entered again and is
/// asked in other numbers alone is kept.
#[must_use]
pub fn compare_made(old: &Frozen, new: &Frozen, state: &State) -> Change {
    let before: BTreeMap<&str, &Operation> = old.operations.iter().map(|o| (o.key.as_str(), o)).collect();
    let mut change = Change::default();
    let mut touched: BTreeMap<&str, Touched<'_>> = BTreeMap::new();
    for operation in &new.operations {
        let why = match before.get(operation.key.as_str()) {
            None => {
                change.added.push(operation.key.clone());
                touched.insert(&operation.key, Touched { operation, done_again: true });
                continue;
            }
            // What was issued before there were levels did not lose them.
            Some(was) if !was.levelled() => differences(was, &operation.without_levels()),
            Some(was) if old.rules >= CARDS => differences(&must_fill(was), &must_fill(operation)),
            Some(was) => differences(was, operation),
        };
        let kept = |was: &&Operation| asked_again::keeps(state, new, was, operation);
        let why = why.filter(|_| before.get(operation.key.as_str()).filter(|was| kept(was)).is_none());
        let mut causes: Vec<(&Touched<'_>, String)> = operation
            .builds_on
            .iter()
            .filter_map(|key| touched.get(key.as_str()))
            .filter_map(|cause| Some((cause, cause.passes_to(new, operation)?)))
            .collect();
        causes.sort_by_key(|(cause, _)| !cause.done_again);
        let again = causes.first().is_some_and(|(cause, _)| cause.done_again);
        let why = match (why, causes.into_iter().next()) {
            (Some(why), _) | (None, Some((_, why))) => why,
            (None, None) => {
                change.kept.push(operation.key.clone());
                continue;
            }
        };
        let done_again = again || operation.works();
        touched.insert(&operation.key, Touched { operation, done_again });
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

/// A reading that does not conform, was not filed as a found condition since, and would be
/// dropped: its operation starts again or goes, or what it is held against does. It is
/// decided, not forgotten.
#[must_use]
pub fn undecided<'a>(
    state: &State,
    old: &'a Frozen,
    change: &Change,
) -> Option<(&'a Operation, String, Judged)> {
    let gone: BTreeSet<&str> =
        change.reopened.iter().map(|r| &r.key).chain(&change.removed).map(String::as_str).collect();
    old.operations.iter().find_map(|operation| {
        let filed = |reading: &str, n: u64| {
            state.founds.iter().any(|f| {
                f.key == operation.key
                    && f.reading.as_deref() == Some(reading)
                    && (old.rules < DROPPED_SINCE || f.mark.n > n)
            })
        };
        let goes = gone.contains(operation.key.as_str());
        let failing = state.failing_marks(operation).filter(|_| goes);
        let failing = failing.map(|(m, mark)| (m.reading.clone(), m.verdict, mark.n));
        // A rule between readings that is broken is no less undecided, wherever it stands.
        let asked = old.rules >= if goes { STOPS } else { DROPPED_SINCE };
        let stops = if asked { state.stops(old, operation) } else { Vec::new() };
        let drops = |stop: &Stop| goes || stop.of.iter().any(|n| gone.contains(n.operation.as_str()));
        let last = |stop: &Stop| {
            let read = |n: &Name| Some(state.reading(&n.operation, &n.reading)?.1.n);
            stop.of.iter().filter_map(read).max().unwrap_or(0)
        };
        let broken = stops.into_iter().filter(drops).map(|stop| {
            let n = last(&stop);
            (stop.reading, Judged::Decided(stop.verdict), n)
        });
        let mut all = failing.chain(broken.collect::<Vec<_>>());
        all.find(|(reading, _, n)| !filed(reading, *n))
            .map(|(reading, verdict, _)| (operation, reading, verdict))
    })
}

/// What is asked otherwise of the welds of an operation, in words. What only the acceptance of
/// one asks starts its acceptance alone: turned, tacked and welded it is as before. What was
/// frozen before it was told says nothing of it.
fn welds(was: &Operation, is: &Operation) -> Vec<String> {
    let accepts = is.points().any(|point| !point.concerns.is_empty());
    let otherwise = |(id, asked): (&String, &String)| {
        let old = was.welds.get(id)?;
        let words = match (old.split_once(ACCEPTED_BY), asked.split_once(ACCEPTED_BY)) {
            (Some((old, old_by)), Some((made, by))) => instead(old, made).or_else(|| {
                instead(old_by, by).filter(|_| accepts).map(|words| format!("accepted by {words}"))
            }),
            // Frozen before the two were told apart.
            _ => instead(&old.replace(ACCEPTED_BY, ", "), &asked.replace(ACCEPTED_BY, ", ")),
        }?;
        Some(format!("{id}: {words}"))
    };
    is.welds.iter().filter_map(otherwise).collect()
}

/// What one list has instead of another, in words; none where both say the same.
fn instead(old: &str, new: &str) -> Option<String> {
    let beside = |one: &str, other: &str| -> String {
        let other: Vec<&str> = other.split(", ").collect();
        one.split(", ").filter(|part| !other.contains(part)).collect::<Vec<_>>().join(", ")
    };
    match (beside(new, old), beside(old, new)) {
        _ if old == new => None,
        (is, was) if was.is_empty() && !is.is_empty() => Some(format!("{is} as well")),
        (is, was) if is.is_empty() && !was.is_empty() => Some(format!("without {was}")),
        (is, was) if is.is_empty() && was.is_empty() => Some(new.to_owned()),
        (is, was) => Some(format!("{is} instead of {was}")),
    }
}

/// What differs between two operations of one key, in words.
pub(super) fn differences(was: &Operation, is: &Operation) -> Option<String> {
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
    parts.extend(welds(was, is));
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
