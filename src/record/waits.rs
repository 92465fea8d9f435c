//! What work and signatures wait for, whoever does them: the part of the rules
//! that looks at no person.

use super::change::STOPS;
use super::entry::By;
use super::frozen::{Operation, Point, PointKind};
use super::open::Open;
use super::people::Signer;
use super::rules::{Scene, refuse};
use crate::diagnostic::Diagnostic;

/// What leaves something to watch behind.
const HOT: &[&str] = &["arc", "tack", "heat", "grind"];

/// Whether a reading is one of those a card has for each shift: `watch-end.shift-2`.
pub(super) fn of_a_shift(id: &str) -> bool {
    let end = id.rsplit_once('.').and_then(|(_, end)| end.strip_prefix("shift-"));
    end.is_some_and(|shift| shift.parse::<u32>().is_ok())
}

impl Scene<'_> {
    /// Whether work at an operation may be entered by now, by whoever may do it.
    ///
    /// # Errors
    /// With what it waits for.
    pub fn work_waits(&self, operation: &Operation) -> Result<(), Diagnostic> {
        self.waits_knowing(operation, &Open::default())
    }

    /// As [`Scene::work_waits`], where it is known what stands open.
    pub(super) fn waits_knowing(&self, operation: &Operation, open: &Open) -> Result<(), Diagnostic> {
        self.closed(operation)?;
        self.order(operation, true, open)?;
        self.rests(operation, open)?;
        self.free(operation, open)?;
        self.cooled(operation)?;
        if self.strict() && operation.lets_go {
            let shut = format!("operation {} must wait", operation.number);
            self.founds_closed(operation, &shut)?;
            self.proven(operation, &shut, false)?;
            self.put_right(operation, &shut)?;
        }
        Ok(())
    }

    /// Why the welds of an operation can't be judged yet by the time; none where they are cold,
    /// or where it judges none.
    #[must_use]
    pub fn cools(&self, operation: &Operation) -> Option<String> {
        self.cooled(operation).err().map(|problem| problem.message)
    }

    /// As [`Scene::work_waits`], for one reading of the operation: the watch of a shift is
    /// written when it was kept, once there was something to watch, whatever comes first on
    /// paper.
    ///
    /// # Errors
    /// With what it waits for.
    pub fn reading_waits(&self, operation: &Operation, id: &str) -> Result<(), Diagnostic> {
        self.reading_knowing(operation, id, &Open::default())
    }

    /// As [`Scene::reading_waits`], where it is known what stands open.
    pub(super) fn reading_knowing(
        &self,
        operation: &Operation,
        id: &str,
        open: &Open,
    ) -> Result<(), Diagnostic> {
        let burned = || {
            let hot = |o: &&Operation| o.acts.iter().any(|a| HOT.contains(&a.as_str()));
            self.plan
                .operations
                .iter()
                .filter(hot)
                .any(|o| self.state.worked.get(&o.key).is_some_and(|w| !w.is_empty()))
        };
        if operation.makes_safe() && of_a_shift(id) && burned() {
            return self.closed(operation);
        }
        self.waits_knowing(operation, open)?;
        self.tester_is_named(operation, id)
    }

    /// Whether a point may be signed by now, by whoever may sign it.
    ///
    /// # Errors
    /// With what it waits for.
    pub fn point_waits(&self, operation: &Operation, point: &Point) -> Result<(), Diagnostic> {
        self.closed(operation)?;
        let after = point.slot.starts_with("after");
        self.order(operation, after, &Open::default())?;
        if after {
            self.worked(operation, point)?;
        }
        self.rested(operation, point)?;
        // A review or a witness says as little of work that is not in order as a hold.
        if point.kind == PointKind::Hold || self.plan.rules >= STOPS {
            let shut = format!("{} stays shut", point.number);
            self.founds_closed(operation, &shut)?;
            self.proven(operation, &shut, after)?;
            self.none_left(operation, point)?;
            self.prints_true(operation, point)?;
            self.put_right(operation, &shut)?;
        }
        Ok(())
    }

    /// Whether `person` may attest that `signer` signed a point on paper. It takes
    /// a lead who neither signed nor signs there: a point that takes two persons
    /// is never released by one.
    ///
    /// # Errors
    /// If a rule says no.
    pub fn attest(
        &self,
        person: &Signer,
        signer: &Signer,
        operation: &Operation,
        point: &Point,
    ) -> Result<(), Diagnostic> {
        self.role(person, "lead")?;
        let signed = self.state.signatures(&operation.key, &point.slot);
        let signs = By { id: signer.id.clone(), name: signer.name.clone(), ..By::default() };
        if !self.is(&signs, person) && !signed.iter().any(|s| self.is(&s.mark.by, person)) {
            return Ok(());
        }
        Err(refuse(
            "L200",
            "whoever saw a signature on paper signs nothing there",
            format!("{} signs {} and can't attest a signature there", person.name, point.number),
            "have another lead attest it, or the signer sign here",
        ))
    }
}
