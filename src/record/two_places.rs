//! One person at two places at once, or one instrument in two hands, by the times that were
//! stated.
//!
//! A time that nobody stated is that of writing: whoever writes a day down at one
//! terminal was at no two places. What was stated says where somebody was.

use std::collections::{BTreeMap, BTreeSet};

use super::entry::{Action, By, Entry};
use super::frozen::{Frozen, GATED_SINCE, Operation};
use super::hours::{Remark, heats};
use crate::term::clock::told;
use crate::term::{instrument, name};

/// Instruments a shop has several of under one row: two people read with them at once
/// (common practice).
const SEVERAL: &[&str] = &["tape", "steel rule", "string", "plumb bob", "stopwatch", "clock"];

/// Seconds of a minute.
const MINUTE: i64 = 60;

/// Who was at which operation by an entry, and whether that holds a torch.
fn present(entry: &Entry) -> Option<(&By, &str, bool)> {
    match &entry.what {
        Action::Tick { operation, .. } => Some((&entry.by, &operation.key, true)),
        Action::Measure { reading } => Some((&entry.by, &reading.operation.key, true)),
        Action::Sign { operation, .. } | Action::Photographed { operation, .. } => {
            Some((&entry.by, &operation.key, false))
        }
        // It is the signer who was there at that time.
        Action::SeenOnPaper { operation, signer, .. } => Some((signer, &operation.key, false)),
        _ => None,
    }
}

/// Where a person was in a minute.
#[derive(Default)]
struct Minute<'a> {
    first: Option<&'a Operation>,
    /// The first weld of it.
    weld: Option<&'a Operation>,
    told: bool,
}

impl<'a> Minute<'a> {
    /// The operation at which whoever is at this one was as well, and how, if that can't be.
    fn also(&mut self, operation: &'a Operation, welds: bool) -> Option<(&'a Operation, &'static str)> {
        let apart = |o: &Operation| {
            !o.station.is_empty() && !operation.station.is_empty() && o.station != operation.station
        };
        let elsewhere = self.first.filter(|o| apart(o)).map(|o| (o, "at two stations"));
        let two_arcs = self.weld.filter(|o| welds && o.key != operation.key).map(|o| (o, "at two welds"));
        self.first.get_or_insert(operation);
        if welds {
            self.weld.get_or_insert(operation);
        }
        let found = elsewhere.or(two_arcs).filter(|_| !self.told);
        self.told |= found.is_some();
        found
    }
}

/// Numbers people by what a reader sees: one name under two ids is one person.
#[derive(Default)]
struct People<'a> {
    ids: BTreeMap<&'a str, usize>,
    names: BTreeMap<String, usize>,
}

impl<'a> People<'a> {
    fn number(&mut self, by: &'a By) -> usize {
        if let Some(known) = self.ids.get(by.id.as_str()) {
            return *known;
        }
        let next = self.ids.len();
        let folded = name::folded(&by.name);
        // No name is nobody's.
        let number = if folded.is_empty() { next } else { *self.names.entry(folded).or_insert(next) };
        self.ids.insert(&by.id, number);
        number
    }
}

/// Who had an instrument in hand first in a minute, at which operation, and whether another
/// one was told.
type Hand<'a> = (usize, &'a By, &'a Operation, bool);

/// The instrument of a reading that one alone can have in hand: none where the paper asks for
/// one a shop has several of.
fn single<'a>(operation: &Operation, entry: &'a Entry) -> Option<&'a str> {
    let Action::Measure { reading } = &entry.what else { return None };
    let planned = operation.readings().find(|r| r.id == reading.reading)?;
    let asked = instrument::words(planned.instrument.as_deref().unwrap_or_default());
    let several = SEVERAL.iter().any(|kind| instrument::names(&asked, kind));
    reading.tool.as_deref().filter(|_| !several)
}

/// Entries that have one instrument in the hands of two people in one stated minute: one
/// remark for each instrument and minute.
fn in_two_hands(
    operations: &BTreeMap<&str, &Operation>,
    plan: &Frozen,
    entries: &[Entry],
    voided: &BTreeSet<u64>,
) -> Vec<Remark> {
    let mut people = People::default();
    // Who had it first in that minute, and whether it was told.
    let mut minutes: BTreeMap<(i64, &str), Hand<'_>> = BTreeMap::new();
    let mut found = Vec::new();
    for entry in entries.iter().filter(|e| e.stated() && !voided.contains(&e.n)) {
        let Action::Measure { reading } = &entry.what else { continue };
        let Some(operation) = operations.get(reading.operation.key.as_str()).copied() else { continue };
        let (Some(at), Some(tool)) = (entry.time(), single(operation, entry)) else { continue };
        let who = people.number(&entry.by);
        let minute = (at.timestamp().div_euclid(MINUTE), tool);
        let first = minutes.entry(minute).or_insert((who, &entry.by, operation, false));
        if first.0 == who || first.3 {
            continue;
        }
        first.3 = true;
        found.push(Remark {
            n: entry.n,
            words: format!(
                "{tool} is stated to be in two hands in one minute, {}: {} reads operation {} with it and {} operation {} of {}",
                told(&at),
                first.1.name,
                first.2.number,
                entry.by.name,
                operation.number,
                plan.number
            ),
        });
    }
    found
}

/// Entries that have a person at two stations, or at two welds, in one stated minute:
/// one remark for each person and minute, with the entry that makes it two.
pub(super) fn remarks(
    operations: &BTreeMap<&str, &Operation>,
    plan: &Frozen,
    entries: &[Entry],
) -> Vec<Remark> {
    let voided: BTreeSet<u64> = entries.iter().filter_map(|e| e.corrects.as_ref().map(|c| c.entry)).collect();
    let mut people = People::default();
    let mut minutes: BTreeMap<(i64, usize), Minute<'_>> = BTreeMap::new();
    let mut found = Vec::new();
    if plan.rules >= GATED_SINCE {
        found = in_two_hands(operations, plan, entries, &voided);
    }
    for entry in entries.iter().filter(|e| e.stated() && !voided.contains(&e.n)) {
        let Some((by, key, works)) = present(entry) else { continue };
        let (Some(at), Some(operation)) = (entry.time(), operations.get(key).copied()) else { continue };
        let minute = minutes.entry((at.timestamp().div_euclid(MINUTE), people.number(by))).or_default();
        let Some((other, how)) = minute.also(operation, works && heats(operation)) else { continue };
        let place = |o: &Operation| {
            let at = if o.station.is_empty() { String::new() } else { format!(" ({})", o.station) };
            format!("operation {}{at}", o.number)
        };
        found.push(Remark {
            n: entry.n,
            words: format!(
                "{} is stated to be {how} in one minute, {}: {} and {} of {}",
                by.name,
                told(&at),
                place(other),
                place(operation),
                plan.number
            ),
        });
    }
    found
}
