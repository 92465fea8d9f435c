//! Entries that took the place of others, with what both say.

use super::super::super::super::document::Exception;
use super::super::{Facts, moment};
use crate::record::Entry;
use crate::record::entry::Action;
use crate::record::honest::{all_stopped, turned};

/// Kind of an entry that took the place of another.
pub(super) const CORRECTED: &str = "Entry corrected";
/// Kind of a correction that took a verdict away that kept holds shut.
pub(super) const TURNED: &str = "Reading outside its limit, corrected";
/// Kind of a correction of a reading that a broken rule looked at.
pub(super) const STOPPED: &str = "Reading under a stop rule, corrected";

/// Entries that took the place of others.
pub(super) fn corrected(facts: &Facts<'_>) -> Vec<Exception> {
    let stopped = all_stopped(facts.plan, facts.entries);
    let one = |entry: &Entry| {
        let correction = entry.corrects.as_ref()?;
        let turned = turned(facts.entries, entry);
        let stopped = stopped.get(&entry.n).map(|all| format!("{}.", all.join("; ")));
        let kind = match (&turned, &stopped) {
            (Some(_), _) => TURNED,
            (None, Some(_)) => STOPPED,
            (None, None) => CORRECTED,
        };
        let turned = turned.map(|turned| format!("{}.", turned.words()));
        Some(Exception {
            kind: kind.to_owned(),
            place: format!("entry {}, {}", entry.n, moment(&entry.at)),
            what: turned.or(stopped).unwrap_or_else(|| replaced(facts, entry, correction.entry)),
            reason: correction.reason.clone(),
            decided: format!("{} ({}, {})", entry.by.name, entry.by.id, entry.by.role),
            ..Exception::default()
        })
    };
    facts.entries.iter().filter_map(one).collect()
}

/// What took the place of an entry, with both values where it was a reading.
fn replaced(facts: &Facts<'_>, entry: &Entry, n: u64) -> String {
    let old = facts.entries.iter().find(|e| e.n == n).map(|e| &e.what);
    match (old, &entry.what) {
        (Some(Action::Measure { reading: old }), Action::Measure { reading: new }) => format!(
            "Replaces entry {n}: {}.{} was {}, and is {}.",
            old.operation.number, old.reading, old.text, new.text
        ),
        (Some(Action::Measure { reading: old }), _) => {
            format!("Takes back entry {n}: {}.{}, {}.", old.operation.number, old.reading, old.text)
        }
        _ => format!("Replaces entry {n}."),
    }
}
