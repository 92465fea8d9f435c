//! A photo that shows the work as it was left is taken after that work.

use chrono::TimeDelta;

use super::as_found::CHANGES;
use super::before::component;
use super::entry::SLACK;
use super::frozen::{Frozen, GATED_SINCE, Operation};
use super::rules::{Scene, refuse};
use super::state::{Mark, Photographed, State};
use crate::diagnostic::Diagnostic;
use crate::term::clock::told;
use crate::term::{Role, Shows};

impl Scene<'_> {
    /// Whether a photo of an operation as left was taken after the work there. What is returned
    /// is told: by its time the work went on after it.
    ///
    /// # Errors
    /// If by its time nothing was done there.
    pub fn as_left(&self, operation: &Operation, shows: Shows) -> Result<Option<String>, Diagnostic> {
        let Some(at) = self.at.filter(|_| shows == Shows::AsLeft && self.plan.rules >= GATED_SINCE) else {
            return Ok(None);
        };
        let late = |mark: &&Mark| mark.time().is_some_and(|then| then - at >= TimeDelta::minutes(SLACK));
        let marks = || work(self.state, operation);
        // What has no box of its own leaves nothing to go by.
        let boxed = marks().next().is_some() || !self.state.lacking(operation).is_empty();
        if boxed && marks().all(|mark| late(&mark)) {
            return Err(refuse(
                "L357",
                "a photo as left is taken after the work it shows",
                format!(
                    "at {} nothing was entered at {}: nothing there is as it was left",
                    told(&at),
                    operation.number
                ),
                "file it once the work there is entered, with the time it was taken (--at); what is there before it is filed with --shows as-found",
            ));
        }
        let after = marks().filter(late).max_by_key(|mark| (mark.time(), mark.n));
        Ok(after.and_then(|mark| {
            Some(format!(
                "a photo of {} as left is said to be from {}, and work there went on after it (entry {}, {})",
                operation.number,
                told(&at),
                mark.n,
                told(&mark.time()?)
            ))
        }))
    }
}

/// All that was entered at an operation, with the signatures after it.
fn work<'a>(state: &'a State, operation: &'a Operation) -> impl Iterator<Item = &'a Mark> {
    let signed = operation.after.iter().flat_map(|point| state.signatures(&operation.key, &point.slot));
    state.marks(&operation.key).chain(signed.map(|signed| &signed.mark))
}

/// Whether a photo is the shop's own.
#[must_use]
pub fn by_the_shop(taken: &Photographed) -> bool {
    taken.mark.by.role != Role::Customer.word()
}

/// Whether a photo shows its part of the unit after the last work on it: a photo of the unit as a
/// whole, after the last work on any.
#[must_use]
pub fn shows_left(plan: &Frozen, state: &State, taken: &Photographed) -> bool {
    let own = component(&taken.key);
    let here = |o: &&Operation| own.is_none() || component(&o.key) == own || o.key == taken.key;
    let changes = |o: &&Operation| o.key == taken.key || o.acts.iter().any(|a| CHANGES.contains(&a.as_str()));
    let worked = plan.operations.iter().filter(|o| !o.deferred).filter(here).filter(changes);
    let marks: Vec<&Mark> = worked.flat_map(|o| state.marks(&o.key)).collect();
    let before = |mark: &&Mark| {
        let both = mark.time().zip(taken.mark.time());
        both.is_some_and(|(done, shown)| done - shown < TimeDelta::minutes(SLACK))
    };
    marks.iter().all(before)
}
