//! Initials stand over something that was done.

use super::frozen::{GATED_SINCE, Operation, Reading};
use super::rules::{Scene, refuse, short};
use crate::diagnostic::Diagnostic;
use crate::term::Level;

impl Scene<'_> {
    /// Whether an operation may be initialled: where something it reads is a matter of
    /// safety, not before anything at all was entered there.
    ///
    /// # Errors
    /// If nothing was.
    pub fn initials_wait(&self, operation: &Operation) -> Result<(), Diagnostic> {
        if self.plan.rules < GATED_SINCE || !self.nothing_at(operation) {
            return Ok(());
        }
        let safety = |r: &&Reading| r.asked() && r.level == Some(Level::Safety);
        let of_safety = operation.steps.iter().filter(|s| s.level == Some(Level::Safety));
        let mut read = of_safety.flat_map(|s| s.readings.iter().filter(|r| r.asked()));
        let first = operation.readings().find(safety).or_else(|| read.next());
        let Some(first) = first else { return Ok(()) };
        Err(refuse(
            "L310",
            "initials stand over something that was done",
            format!(
                "the initials of {} would stand over nothing, still open: {}",
                operation.number,
                short(&self.state.lacking_proof(operation))
            ),
            format!("read already: {} --at TIME; then the initials", self.measures(operation, first, false)),
        ))
    }

    /// Whether an operation asks for something, and none of it is entered.
    #[must_use]
    pub fn nothing_at(&self, operation: &Operation) -> bool {
        let ticks = operation.steps.iter().filter(|s| s.ticked()).count();
        let readings = operation.readings().filter(|r| r.asked()).count();
        let asked = ticks + readings;
        asked > 0 && self.state.lacking_proof(operation).len() == asked
    }
}
