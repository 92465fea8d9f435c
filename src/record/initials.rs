//! Initials stand over something that was done; after hand-over over nothing that is open there.

use super::edition::AFTER_SINCE;
use super::frozen::{GATED_SINCE, Operation, Reading};
use super::held::{Kind, Undecided, stands_since};
use super::rules::{Scene, refuse, short};
use super::state::bad;
use crate::diagnostic::Diagnostic;
use crate::term::{Disposition, Level};

impl Scene<'_> {
    /// Whether an operation may be initialled: where something it reads is a matter of
    /// safety, not before anything at all was entered there; after hand-over, once what was
    /// found or read badly there is settled.
    ///
    /// # Errors
    /// If nothing was entered, or something is open.
    pub fn initials_wait(&self, operation: &Operation) -> Result<(), Diagnostic> {
        self.settled_after(operation)?;
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

    /// Whether nothing found or read at an operation after hand-over is open: no hold comes
    /// behind it, and its initials are the last that is said of it.
    ///
    /// # Errors
    /// With what is open, and who settles it how.
    pub fn settled_after(&self, operation: &Operation) -> Result<(), Diagnostic> {
        let shut = format!("the initials of {} must wait", operation.number);
        self.open_after(operation).map_or(Ok(()), |one| Err(one.refuses(&shut)))
    }

    /// What is open at an operation after hand-over; none by the rules of records that did not
    /// ask for it, and of what was found after the time that is stated.
    #[must_use]
    pub fn open_after(&self, operation: &Operation) -> Option<Undecided> {
        if !operation.deferred || self.plan.rules < AFTER_SINCE {
            return None;
        }
        let late = |one: &Undecided| self.at.zip(one.at).is_some_and(|(now, then)| now < then);
        let own = self.plan.keyed(&operation.key)?;
        // What was rejected is replaced here: no revision comes after hand-over.
        let found = self.founds().filter(|one| one.key == operation.key && one.kind != Kind::Rejected);
        let all = found.chain(self.read_badly(own)).chain(self.awaits_reading(own));
        all.into_iter().find(|one| !late(one))
    }

    /// What was found at an operation, is to be reworked, repaired or replaced, and was not read
    /// right since.
    fn awaits_reading(&self, operation: &Operation) -> Vec<Undecided> {
        let own = self.state.founds.iter().filter(|found| found.key == operation.key);
        let open = own.filter_map(|found| {
            let mends = |what: Disposition| what.puts_right() || what == Disposition::Reject;
            let (what, _, decided) = found.disposition.as_ref().filter(|(what, ..)| mends(*what))?;
            let named = operation.readings().find(|r| Some(&r.id) == found.reading.as_ref());
            let again = named.map_or_else(|| found.asks_again(operation), |reading| vec![reading]);
            let right = match named {
                Some(_) => self.state.read_right(self.plan, found).is_some(),
                // Found before anything was read there: what is read after the decision shows it.
                None => again.iter().all(|reading| {
                    self.state.reading(&operation.key, &reading.id).is_some_and(|(read, mark)| {
                        mark.n > decided.n && mark.time() >= found.mark.time() && !bad(read.verdict)
                    })
                }),
            };
            let first = again.first().filter(|_| !right)?;
            let more = again.len() - 1;
            let more = if more == 0 { String::new() } else { format!(" (and {more} more)") };
            Some(Undecided {
                key: operation.key.clone(),
                kind: Kind::NotPutRight,
                n: Some(stands_since(found)),
                at: found.mark.time(),
                words: format!(
                    "{} at operation {} was decided as {what}, and nothing read since shows that it was put right",
                    found.number, operation.number
                ),
                way_out: format!(
                    "read it as it is now, and both stand: {}{more}; or {}",
                    self.measures(operation, first, true),
                    self.decides_anew(found)
                ),
            })
        });
        open.collect()
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
