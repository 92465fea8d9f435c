//! Readings somebody was sure of though they are far from what was expected: a replay tells
//! them.

use super::agree;
use super::entry::Measured;
use super::expected;
use super::frozen::{Frozen, GATED_SINCE, Limits, Operation, Reading};
use super::kept::Mark;
use super::rules::Scene;
use super::state::State;
use super::unit_seen;
use crate::quantity::Quantity;

/// What is told of a reading that was entered all the same.
pub(super) fn told(scene: &Scene<'_>, operation: &Operation, reading: &Measured) -> Vec<String> {
    let all = [
        unlike(scene, operation, reading),
        far_off(scene, operation, reading),
        not_as_logged(scene, operation, reading),
        another_unit(scene, operation, reading),
    ];
    all.into_iter().flatten().map(|words| scene.plan.say(&words)).collect()
}

/// A value unlike another of the same thing: somebody was sure of it.
fn unlike(scene: &Scene<'_>, operation: &Operation, reading: &Measured) -> Option<String> {
    let planned = operation.readings().find(|r| r.id == reading.reading)?;
    let kind = planned.limits?.kind;
    let value = |m: &Measured| Some(Quantity::from_si(kind, m.value.as_ref()?.parse::<f64>().ok()?));
    let read = value(reading)?;
    agree::beside(scene.plan, operation, planned).into_iter().find_map(|(name, words)| {
        let (other, _) = scene.state.reading(&name.operation, &name.reading)?;
        let why = expected::unlike_as_written((read, &reading.text), (value(other)?, &other.text))?;
        Some(format!(
            "{}.{} is {}: it {why} {words}, {}.{} with {}, and was entered all the same",
            operation.number, reading.reading, reading.text, other.operation.number, name.reading, other.text
        ))
    })
}

/// A plate or an odometer that is hardly that of the unit of the job: somebody was sure of it.
fn another_unit(scene: &Scene<'_>, operation: &Operation, reading: &Measured) -> Option<String> {
    let planned = operation.readings().find(|r| r.id == reading.reading)?;
    let last = scene.state.entries;
    let why = unit_seen::unlike(scene.plan, scene.state, (operation, planned), &reading.text, last)?;
    Some(format!("{}.{}: {why}, and was entered all the same", operation.number, reading.reading))
}

/// Hours since the last arc that the log says otherwise: somebody was sure of them.
fn not_as_logged(scene: &Scene<'_>, operation: &Operation, reading: &Measured) -> Option<String> {
    let planned = operation.readings().find(|r| r.id == reading.reading)?;
    let read = Quantity::from_si(planned.limits?.kind, reading.value.as_ref()?.parse().ok()?);
    let (words, _) = scene.unlike_the_log(operation, planned, read)?;
    Some(format!("{words}; it was entered all the same"))
}

/// A value far from what it was judged by, or from what the job states: somebody was
/// sure of it.
fn far_off(scene: &Scene<'_>, operation: &Operation, reading: &Measured) -> Option<String> {
    let planned = operation.readings().find(|r| r.id == reading.reading)?;
    let words = far(scene.plan, planned, reading)?;
    Some(format!("{}.{}: {words}, and entered all the same", operation.number, reading.reading))
}

/// Why a value is far from what it was judged by, or from what the job states.
fn far(plan: &Frozen, planned: &Reading, reading: &Measured) -> Option<String> {
    let printed = planned.limits.filter(|_| plan.rules >= expected::SINCE)?;
    let kind = printed.kind;
    let si = |text: &Option<String>| Some(Quantity::from_si(kind, text.as_ref()?.parse().ok()?));
    let (lower, upper) = (si(&reading.lower), si(&reading.upper));
    // The middle of limits that were computed anew is their target.
    let target = printed.target.filter(|_| lower == printed.lower && upper == printed.upper);
    let limits = Some(Limits { kind, target, lower, upper });
    expected::far(planned, limits, si(&reading.value)?, plan.rules)
}

/// A reading that was entered though it is hardly right.
#[derive(Debug, Clone)]
pub struct AllTheSame<'a> {
    /// Where it was read.
    pub operation: &'a Operation,
    /// The box.
    pub reading: &'a Reading,
    /// Who read it, when, by which entry.
    pub mark: &'a Mark,
    /// Why it is hardly right, with what it was held against.
    pub why: String,
}

/// Readings that stand and are hardly right by the unit of the job, or by what the job states of
/// it: somebody was sure of them. In the order of the plan; none by rules from before they
/// were told beside the record.
#[must_use]
pub fn entered<'a>(plan: &'a Frozen, state: &'a State) -> Vec<AllTheSame<'a>> {
    if plan.rules < GATED_SINCE {
        return Vec::new();
    }
    let all = plan.operations.iter().flat_map(|o| o.readings().map(move |r| (o, r)));
    all.filter_map(|(operation, reading)| {
        let (measured, mark) = state.reading(&operation.key, &reading.id)?;
        let stated = || far(plan, reading, measured).filter(|_| reading.replaces.is_some());
        let unit = unit_seen::unlike(plan, state, (operation, reading), &measured.text, mark.n);
        Some(AllTheSame { operation, reading, mark, why: plan.say(&unit.or_else(stated)?) })
    })
    .collect()
}
