//! What later work ended is not read again: a gap under its weld, a wall behind its cut, a
//! height as found of a unit taken apart. Such a reading says nothing of what was there, and
//! would prove whatever it is wanted for.

use super::before::component;
use super::frozen::{GATED_SINCE, Operation, Reading};
use super::rules::{Scene, refuse};
use crate::diagnostic::Diagnostic;
use crate::term::clock::told;

/// What a reading as found does not outlast.
const CHANGES: &[&str] = &["loosen", "grind", "cut-permanent", "tack", "arc"];
/// What covers or takes away what was read right before it.
pub(super) const COVERS: &[&str] = &["cut-permanent", "arc"];

pub(super) fn acts(operation: &Operation, which: &[&str]) -> bool {
    operation.acts.iter().any(|act| which.contains(&act.as_str()))
}

/// Whether two operations work on one part of the unit: `front/read-walls`, `front/cut-knuckles`.
pub(super) fn same_part(one: &Operation, other: &Operation) -> bool {
    component(&one.key).is_some_and(|own| component(&other.key) == Some(own))
}

impl Scene<'_> {
    /// Whether a reading that was taken before is still there to be taken again, by the time.
    ///
    /// # Errors
    /// With the work that ended it.
    pub fn still_there(
        &self,
        operation: &Operation,
        reading: &Reading,
        corrects: bool,
    ) -> Result<(), Diagnostic> {
        let Some(at) = self.at.filter(|_| self.plan.rules >= GATED_SINCE && !corrects) else { return Ok(()) };
        // What was taken back was read as well.
        let (key, id) = (&operation.key, &reading.id);
        let withdrawn =
            self.state.taken_back.contains(key) && self.state.filled.contains(&(key.clone(), id.clone()));
        if operation.makes_safe() || self.state.reading(key, id).is_none() && !withdrawn {
            return Ok(());
        }
        let found = operation.acts.iter().any(|act| act == "as-found");
        let ends = |other: &Operation| {
            let before = || self.plan.comes_before(&operation.key, other);
            // Right before it, or anywhere before it on the same part.
            acts(other, COVERS)
                && (self.plan.comes_right_before(&operation.key, other)
                    || same_part(operation, other) && before())
                || found && acts(other, CHANGES) && before()
        };
        let begun = |other: &Operation| self.state.worked.get(&other.key)?.first_by(at);
        // Most has not begun, which is soon seen.
        let mut all = self.plan.operations.iter().filter(|o| o.key != operation.key);
        let ended = all.find_map(|other| begun(other).filter(|_| ends(other)).map(|work| (other, work)));
        let Some((other, work)) = ended else { return Ok(()) };
        let (name, number) = (format!("{}.{}", operation.number, reading.id), &self.plan.number);
        Err(refuse(
            "L321",
            "what later work ended is not read again",
            format!(
                "{name} can't be read again at {}: operation {} {} was begun at {}, and what was there before is no more",
                told(&at),
                other.number,
                other.title,
                work.at.map_or_else(String::new, |t| told(&t))
            ),
            "if it was read before that, give the time it was read (--at)",
        )
        .help(format!(
            "what stands there now is for a lead: tackwright found {number} {name} \"…\" --by ID, then dispose; work that undoes it is issued: tackwright revise JOB --by {} --reason \"…\"",
            self.by("lead", |_| true)
        )))
    }
}
