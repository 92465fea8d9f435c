//! What a revision does not ask again: what was read of a place that later work covered, or of a
//! weld or cut that is made, can't be read once more. Where the revision asks for other numbers
//! and nothing else, it is judged by them as it was read.

use super::change::differences;
use super::ended::{COVERS, acts, same_part};
use super::entry::Measured;
use super::frozen::{Frozen, GATED_SINCE, Operation, Reading};
use super::state::State;
use crate::diagnostic::Diagnostic;
use crate::quantity::Quantity;
use crate::term::Verdict;
use crate::term::decide::guard_band;

/// A text without its numbers.
fn numberless(text: &str) -> String {
    text.chars().filter(|c| !c.is_ascii_digit() && !"./-\u{2013}\u{00b0}\u{b1}, ".contains(*c)).collect()
}

/// An operation as it was, with the numbers of another: where its words are the same.
fn with_numbers(was: &Operation, is: &Operation) -> Operation {
    let mut like = was.clone();
    let text = |own: &mut String, other: &String| {
        if numberless(own) == numberless(other) {
            own.clone_from(other);
        }
    };
    for (own, other) in like.steps.iter_mut().zip(&is.steps) {
        text(&mut own.text, &other.text);
        for (own, other) in own.readings.iter_mut().zip(&other.readings).filter(|(a, b)| a.id == b.id) {
            own.limits = other.limits;
            own.target.clone_from(&other.target);
            (own.apart, own.near) = (other.apart, other.near.clone());
            text(&mut own.label, &other.label);
        }
        for (own, other) in own.derived.iter_mut().zip(&other.derived).filter(|(a, b)| a.id == b.id) {
            (own.least, own.most) = (other.least, other.most);
        }
    }
    let points = like.before.iter_mut().zip(&is.before).chain(like.after.iter_mut().zip(&is.after));
    for (own, other) in points {
        text(&mut own.what, &other.what);
        text(&mut own.meaning, &other.meaning);
    }
    like
}

/// Whether what was entered at an operation can't be entered again: it welds or cuts, or work
/// that does and covers it was begun.
fn ended(state: &State, plan: &Frozen, operation: &Operation) -> bool {
    let begun = |o: &Operation| state.marks(&o.key).next().is_some();
    let covers = |other: &Operation| {
        let before = plan.comes_right_before(&operation.key, other);
        let far = || plan.comes_before(&operation.key, other);
        acts(other, COVERS) && begun(other) && (before || same_part(operation, other) && far())
    };
    begun(operation) && (acts(operation, COVERS) || plan.operations.iter().any(covers))
}

/// Whether a revision keeps what was entered at an operation it asks other numbers of.
pub(super) fn keeps(state: &State, new: &Frozen, was: &Operation, is: &Operation) -> bool {
    new.rules >= GATED_SINCE
        && was.levelled()
        && ended(state, new, is)
        && differences(&with_numbers(was, is), is).is_none()
}

/// Whether a reading as it was taken conforms by other limits.
fn conforms(read: &Measured, planned: &Reading) -> bool {
    let number = |text: &Option<String>| text.as_ref().and_then(|t| t.parse::<f64>().ok());
    let (Some(limits), Some(value)) = (planned.limits, number(&read.value)) else { return true };
    let bounds = (limits.lower.map(Quantity::si), limits.upper.map(Quantity::si));
    Verdict::on(value, number(&read.uncertainty).map_or(0.0, guard_band), bounds) == Verdict::Conform
}

/// What was read, can't be read again, and is not what a revision asks by its numbers.
///
/// # Errors
/// If no lead decided about it before.
pub fn settled(state: &State, old: &Frozen, new: &Frozen) -> Result<(), Diagnostic> {
    for is in &new.operations {
        let was = old.keyed(&is.key).filter(|was| differences(was, is).is_some());
        let Some(was) = was.filter(|was| keeps(state, new, was, is)) else { continue };
        let limits = |id: &str| was.readings().find(|r| r.id == id).and_then(|r| r.limits);
        let decided = |id: &str| {
            let of = |f: &&super::state::Found| f.key == is.key && f.reading.as_deref() == Some(id);
            state.founds.iter().filter(of).any(|f| f.disposition.is_some())
        };
        let moved = is.readings().filter(|r| r.limits != limits(&r.id) && !decided(&r.id));
        let fails = |planned: &&Reading| {
            state.reading(&is.key, &planned.id).is_some_and(|(read, _)| !conforms(read, planned))
        };
        let Some(planned) = moved.into_iter().find(fails) else { continue };
        let place = format!("{}.{}", was.number, planned.id);
        let read = state.reading(&is.key, &planned.id).map_or("", |(read, _)| &read.text);
        return Err(Diagnostic::error(
            "L358",
            format!(
                "{place} was read as {read}, which the revision does not take (asked: {}), and what was there can't be read again",
                planned.target.as_deref().unwrap_or("other limits")
            ),
        )
        .rule("what can't be read again is decided, not asked again")
        .help(format!(
            "a lead decides about it first: tackwright found {} {place} \"…\" --by ID, then dispose; then revise",
            old.number
        )));
    }
    Ok(())
}
