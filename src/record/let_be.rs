//! What stands in a record by somebody's decision or word alone: left as it was found, waived,
//! set aside, or made by somebody nothing identifies. A record may be complete and whole with
//! it; whoever reads that is told in the same line how much of it there is.

use std::collections::BTreeMap;

use super::back_dated::back_dated;
use super::entry::{Action, Entry, WITHOUT_BOOK};
use super::frozen::{Frozen, Operation, Point};
use super::identified::{by_pin, not_borne_out};
use super::kept::{Mark, Signed};
use super::state::State;
use super::surely;
use crate::term::clock::{told, told_text};
use crate::term::{Disposition, counted};

/// Each matter in words, in the order of the log as far as it has one: what leads decided,
/// whose identity rests on less than a PIN, what was written without the shop book.
#[must_use]
pub fn let_be(plan: &Frozen, state: &State, entries: &[Entry]) -> Vec<String> {
    let mut all = decided(plan, state);
    all.extend(surely::entered(plan, state).into_iter().map(|one| {
        format!("{}.{}: entered all the same, by {}", one.operation.number, one.reading.id, who(one.mark))
    }));
    all.extend(waived(plan, state));
    all.extend(unidentified(plan, state, entries));
    let late = back_dated(plan, entries).into_iter().filter(|one| !state.voided.contains(&one.entry.n));
    all.extend(late.map(|one| {
        format!("{}: stated {}, entered {}", one.what(), told_text(&one.entry.at), told(&one.clock))
    }));
    let stands = entries.iter().filter(|e| !state.voided.contains(&e.n));
    let without = stands.filter(|e| e.book.as_deref() == Some(WITHOUT_BOOK)).count();
    if without > 0 {
        all.push(format!("{} made without the shop book", counted(without, "entry was", "entries were")));
    }
    all
}

/// In the first words of a sentence: `3 matters let be`.
#[must_use]
pub fn headed(number: usize) -> String {
    counted(number, "matter let be", "matters let be")
}

fn who(mark: &Mark) -> String {
    format!("{} ({}, entry {})", mark.by.name, mark.by.id, mark.n)
}

/// Found conditions that were left as they are, and words that a lead let stand beside one.
fn decided(plan: &Frozen, state: &State) -> Vec<String> {
    let words = state.founds.iter().filter_map(|found| {
        let (what, _, mark) = found.disposition.as_ref()?;
        let stood = found.words_stand && !state.words_before(plan, found).is_empty();
        let said = match (what, stood) {
            (Disposition::UseAsIs, false) => "left as it is",
            (Disposition::UseAsIs, true) => "left as it is, and what was chosen there before stands,",
            (_, true) => "what was chosen there before stands",
            (_, false) => return None,
        };
        Some(format!("{} at operation {}: {said} by {}", found.number, found.operation, who(mark)))
    });
    words.collect()
}

fn signatures<'a>(
    plan: &'a Frozen,
    state: &'a State,
) -> impl Iterator<Item = (&'a Operation, &'a Point, &'a Signed)> {
    let points = plan.operations.iter().flat_map(|o| o.points().map(move |p| (o, p)));
    points.flat_map(|(o, p)| state.signatures(&o.key, &p.slot).iter().map(move |s| (o, p, s)))
}

/// Witness points nobody came to, and tests by whom nobody certified.
fn waived(plan: &Frozen, state: &State) -> Vec<String> {
    let unseen = signatures(plan, state).filter(|(.., signed)| signed.waived);
    let unseen = unseen.map(|(operation, point, signed)| {
        format!(
            "{} at operation {}: passed with nobody there, by {}",
            point.number,
            operation.number,
            who(&signed.mark)
        )
    });
    let tests = state.testers.iter().map(|waiver| {
        let number = plan.keyed(&waiver.key).map_or(0, |o| o.number);
        let (place, tester) = (&waiver.reading, &waiver.tester.name);
        format!("{number}.{place}: {tester} tests without a certificate, by {}", who(&waiver.mark))
    });
    unseen.chain(tests).collect()
}

/// Signatures and decisions that rest on an id, on a PIN nothing bears out, or on the word of
/// somebody who saw them on paper: the first two person by person.
fn unidentified(plan: &Frozen, state: &State, entries: &[Entry]) -> Vec<String> {
    let mut persons: BTreeMap<(&str, &str, &str), usize> = BTreeMap::new();
    let stands = |e: &&Entry| !state.voided.contains(&e.n);
    for entry in entries.iter().filter(stands) {
        let seen = matches!(entry.what, Action::SeenOnPaper { .. });
        if !seen && entry.identified().is_some_and(|how| !by_pin(how)) {
            *persons.entry((&entry.by.name, &entry.by.id, "an id alone")).or_default() += 1;
        }
    }
    for (entry, _) in not_borne_out(entries, plan.rules).into_iter().filter(|(e, _)| stands(e)) {
        let why = "a PIN that what was issued does not bear out";
        *persons.entry((&entry.by.name, &entry.by.id, why)).or_default() += 1;
    }
    let of_persons = persons.into_iter().map(|((name, id, on), count)| {
        format!(
            "{} of {name} ({id}) by {on}",
            counted(count, "signature or decision", "signatures and decisions")
        )
    });
    let on_paper = signatures(plan, state).filter_map(|(operation, point, signed)| {
        let seen = signed.seen_by.as_ref()?;
        Some(format!(
            "{} at operation {}: signed on paper by {}, by the word of {} ({})",
            point.number,
            operation.number,
            who(&signed.mark),
            seen.name,
            seen.id
        ))
    });
    of_persons.chain(on_paper).collect()
}
