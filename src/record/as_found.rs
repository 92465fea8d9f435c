//! A photo that shows the work as it was found is taken before the work at its place begins.

use chrono::TimeDelta;

use super::before::component;
use super::entry::SLACK;
use super::frozen::{GATED_SINCE, Operation};
use super::rules::{Scene, refuse};
use super::state::Mark;
use crate::diagnostic::Diagnostic;
use crate::term::Shows;
use crate::term::clock::told;

/// Acts after which nothing at their place is as it was found. What is loosened or ground
/// bare shows what was there.
pub(super) const CHANGES: &[&str] = &["cut-permanent", "tack", "heat", "arc", "torque"];

impl Scene<'_> {
    /// Whether a photo of an operation was taken before the work there began. What is
    /// returned is told: it is said to be from before, and filed after.
    ///
    /// # Errors
    /// If by its time it shows nothing as found.
    pub fn as_found(&self, operation: &Operation, shows: Shows) -> Result<Option<String>, Diagnostic> {
        if shows != Shows::AsFound || self.plan.rules < GATED_SINCE {
            return Ok(None);
        }
        let began = self.changed_by(operation).into_iter().filter_map(|o| Some((o, self.first_mark(o)?)));
        let Some((work, mark)) = began.min_by_key(|(_, mark)| (mark.time(), mark.n)) else { return Ok(None) };
        let (Some(at), Some(then)) = (self.at, mark.time()) else { return Ok(None) };
        let began = format!("work at {} had begun (entry {}, {})", work.number, mark.n, told(&then));
        if at - then < TimeDelta::minutes(SLACK) {
            return Ok(Some(format!(
                "a photo of {} as found is filed after {began}; it is said to be from {}",
                operation.number,
                told(&at)
            )));
        }
        Err(refuse(
            "L312",
            "a photo as found is taken before the work there begins",
            format!("at {} {began}: nothing at {} is as it was found", told(&at), operation.number),
            "give the time it was taken (--at); what came to light while the work went on is filed as found with `found`, what is there by now with --shows as-left",
        ))
    }

    /// Operations of the plan that change what is seen at one: itself and those after it, or
    /// those before it where none is left after it.
    fn changed_by(&self, operation: &Operation) -> Vec<&Operation> {
        let own = component(&operation.key);
        // A photo of the unit shows all of it.
        let here = |o: &&Operation| own.is_none() || component(&o.key) == own;
        let changes = |o: &&Operation| o.acts.iter().any(|a| CHANGES.contains(&a.as_str()));
        let place = self.plan.place(&operation.key).unwrap_or(0);
        let all =
            || self.plan.operations.iter().enumerate().filter(|(_, o)| !o.deferred && here(o) && changes(o));
        let later: Vec<&Operation> = all().filter(|(at, _)| *at >= place).map(|(_, o)| o).collect();
        if later.is_empty() { all().map(|(_, o)| o).collect() } else { later }
    }

    /// The earliest that was entered at an operation, by the time that was stated.
    fn first_mark<'m>(&'m self, operation: &'m Operation) -> Option<&'m Mark> {
        self.state.marks(&operation.key).min_by_key(|mark| (mark.time(), mark.n))
    }
}
