//! Entries that took the place of others, with what both say.

use super::super::super::super::document::Exception;
use super::super::{Facts, day, moment};
use crate::record::Entry;
use crate::record::entry::{Action, By};
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
    let Some(old) = facts.entries.iter().find(|e| e.n == n) else { return format!("Replaces entry {n}.") };
    let back = matches!(entry.what, Action::Withdrawn {});
    let how = if back { "Takes back" } else { "Replaces" };
    match (&old.what, &entry.what) {
        (Action::Measure { reading: old }, Action::Measure { reading: new }) => format!(
            "Replaces entry {n}: {}.{} was {}, and is {}.",
            old.operation.number, old.reading, old.text, new.text
        ),
        (Action::Measure { reading: old }, _) => {
            format!("{how} entry {n}: {}.{}, {}.", old.operation.number, old.reading, old.text)
        }
        (what, _) => match said(what, &old.by) {
            Some(said) => format!("{how} entry {n}: {said}, {}.", day(&old.at)),
            None => format!("{how} entry {n}."),
        },
    }
}

/// What an entry that is no reading said, by whom.
fn said(what: &Action, by: &By) -> Option<String> {
    let signed = |point: &str, number: u32, by: &By| {
        format!("the signature of {point}, operation {number}, by {} ({}, {})", by.name, by.id, by.role)
    };
    Some(match what {
        Action::Sign { point, operation, .. } => signed(point, operation.number, by),
        Action::SeenOnPaper { point, operation, signer, .. } => signed(point, operation.number, signer),
        Action::WitnessWaived { operation, slot, .. } => {
            format!(
                "that nobody came to the witness point {slot} of operation {}, by {}",
                operation.number, by.name
            )
        }
        Action::Tick { operation, step: Some(step), .. } => {
            format!("the tick of {}.{step} by {}", operation.number, by.name)
        }
        Action::Tick { operation, .. } => format!("the initials of {} by {}", operation.number, by.name),
        Action::Photographed { operation, photos, shows, .. } => {
            let files: Vec<&str> = photos.iter().map(|p| p.file.as_str()).collect();
            format!("photos of {} {shows}, {}, by {}", operation.number, files.join(", "), by.name)
        }
        Action::Disposition { found, disposition, .. } => {
            format!("that {found} is decided as {disposition}, by {}", by.name)
        }
        Action::Bars { bars } => format!("the bars of sheet {}, {}, by {}", bars.name, bars.text, by.name),
        Action::TesterWaived { operation, reading, tester, .. } => {
            format!("that {} may test {}.{reading}, by {}", tester.name, operation.number, by.name)
        }
        _ => return None,
    })
}
