//! Readings somebody was sure of though they are far from what was expected: a replay tells
//! them.

use super::agree;
use super::entry::Measured;
use super::expected;
use super::frozen::{Limits, Operation};
use super::rules::Scene;
use crate::quantity::Quantity;
use crate::term::odometer::{self, READINGS};

/// What is told of a reading that was entered all the same.
pub(super) fn told(scene: &Scene<'_>, operation: &Operation, reading: &Measured) -> Vec<String> {
    let all = [
        unlike(scene, operation, reading),
        far_off(scene, operation, reading),
        not_as_logged(scene, operation, reading),
        ran_back(scene, operation, reading),
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

/// An odometer that shows less than it did before: somebody was sure of it.
fn ran_back(scene: &Scene<'_>, operation: &Operation, reading: &Measured) -> Option<String> {
    let own = |id: &str| READINGS.contains(&id);
    let now = odometer::read(&reading.text).filter(|_| own(&reading.reading))?;
    let all = scene.plan.operations.iter().flat_map(|o| o.readings().map(move |r| (o, r)));
    let others = all.filter(|(o, r)| own(&r.id) && !(o.key == operation.key && r.id == reading.reading));
    let before = others
        .filter_map(|(o, r)| scene.state.reading(&o.key, &r.id))
        .filter_map(|(measured, mark)| Some((mark.n, odometer::read(&measured.text)?)))
        .max_by_key(|(n, _)| *n);
    let (_, before) = before.filter(|(_, b)| b.unit == now.unit && now.value < b.value)?;
    Some(format!(
        "{}.{} says {}, less than {} before, and was entered all the same",
        operation.number, reading.reading, now.text, before.text
    ))
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
    let printed = planned.limits.filter(|_| scene.plan.rules >= expected::SINCE)?;
    let kind = printed.kind;
    let si = |text: &Option<String>| Some(Quantity::from_si(kind, text.as_ref()?.parse().ok()?));
    let (lower, upper) = (si(&reading.lower), si(&reading.upper));
    // The middle of limits that were computed anew is their target.
    let target = printed.target.filter(|_| lower == printed.lower && upper == printed.upper);
    let words = expected::far(planned, Some(Limits { kind, target, lower, upper }), si(&reading.value)?)?;
    Some(format!("{}.{}: {words}, and entered all the same", operation.number, reading.reading))
}
