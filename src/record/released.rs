//! Who releases work did not do it.

use super::entry::{Action, Entry};
use super::frozen::{GATED_SINCE, HONEST_SINCE, Operation, Point, PointKind, Reading, Step};
use super::outside::names_tester;
use super::people::Signer;
use super::rules::{Scene, refuse};
use super::state::{Mark, Signed};
use crate::diagnostic::Diagnostic;
use crate::term::SETTLED;

/// The rule of a hold before a lasting cut.
const CUT_HOLD: &str = "cut-hold";

impl Scene<'_> {
    /// Whether the work a hold speaks of is another person's. A procedure that gives
    /// the work to one role and its release to another asks for two persons; a
    /// lasting cut always does.
    ///
    /// # Errors
    /// If `person` made a weld, or did the work, that is accepted or released here.
    pub(super) fn independent(
        &self,
        person: &Signer,
        role: &str,
        operation: &Operation,
        point: &Point,
    ) -> Result<(), Diagnostic> {
        let Some((done, words)) = self.own(person, role, operation, point) else { return Ok(()) };
        Err(refuse(
            "L125",
            "independence: who signs did not do the work",
            format!(
                "{} {words} operation {} and can't accept or release it at {}: it takes a second person",
                person.name, done.number, point.number
            ),
            format!(
                "{}; or have the work read again by somebody else and entered as theirs",
                self.have(role, "sign it", |p| self.signers(operation, point, role).contains(&p.id.as_str()))
            ),
        ))
    }

    /// What `person` did of what is signed here, and how it is called; none if nothing.
    pub(super) fn own(
        &self,
        person: &Signer,
        role: &str,
        operation: &Operation,
        point: &Point,
    ) -> Option<(&Operation, &'static str)> {
        let weld = self.own_weld(person, role, operation, point).map(|weld| (weld, "welded at"));
        weld.or_else(|| Some((self.own_work(person, role, operation, point)?, "did the work of")))
    }

    fn own_weld(
        &self,
        person: &Signer,
        role: &str,
        operation: &Operation,
        point: &Point,
    ) -> Option<&Operation> {
        if role != "inspector" && point.rule.as_deref() != Some("acceptance") {
            return None;
        }
        self.plan.operations.iter().find(|o| {
            o.acts.iter().any(|a| a == "arc")
                && (operation.joints.is_empty() && o.key == operation.key
                    || o.joints.iter().any(|j| operation.joints.contains(j)))
                && self.welded(person, o)
        })
    }

    /// Whether `person` ticked at a weld, also before a revision started it again: the metal
    /// of the first is still there.
    fn welded(&self, person: &Signer, weld: &Operation) -> bool {
        let now = self.state.ticks.iter().any(|((k, _), m)| *k == weld.key && self.is(&m.by, person));
        let before = |e: &Entry| {
            matches!(&e.what, Action::Tick { operation, .. } if operation.key == weld.key)
                && !self.state.voided.contains(&e.n)
                && self.is(&e.by, person)
        };
        let again = || self.state.revisions.len() > 1 && self.entries.iter().any(before);
        now || self.plan.rules >= HONEST_SINCE && again()
    }

    /// The work of `person` that a hold releases. A hold after an operation speaks of
    /// it, one before it of what it directly rests on.
    fn own_work(
        &self,
        person: &Signer,
        role: &str,
        operation: &Operation,
        point: &Point,
    ) -> Option<&Operation> {
        if !self.strict() || point.kind != PointKind::Hold {
            return None;
        }
        let own = self.plan.operations.iter().find(|o| o.key == operation.key);
        let mut work: Vec<&Operation> = own.into_iter().collect();
        if point.slot.starts_with("before") {
            work.extend(self.nearest(operation));
        }
        let another = |o: &&Operation| {
            o.role != role || point.rule.as_deref() == Some(CUT_HOLD) && o.role == operation.role
        };
        work.into_iter().filter(another).find(|o| self.did(person, o))
    }

    /// Whether a person who released an operation does not do it as well.
    ///
    /// # Errors
    /// If `person` signed a hold before it that asks for a second person.
    pub(super) fn released_by_another(
        &self,
        person: &Signer,
        operation: &Operation,
    ) -> Result<(), Diagnostic> {
        let Some((point, signed)) = self.own_release(person, operation) else { return Ok(()) };
        Err(refuse(
            "L156",
            "who released the work does not do it",
            format!(
                "{} released operation {} at {} (entry {}) and can't do it: it takes a second person",
                person.name, operation.number, point.number, signed.mark.n
            ),
            format!(
                "{}, with their own id; or take the signature back and have somebody else release it",
                self.have(&operation.role, "do it", |p| self.own_release(p, operation).is_none())
            ),
        ))
    }

    /// The hold before an operation that `person` signed, where it asks for a second person.
    pub(super) fn own_release<'b>(
        &'b self,
        person: &Signer,
        operation: &'b Operation,
    ) -> Option<(&'b Point, &'b Signed)> {
        if !self.strict() {
            return None;
        }
        let mut holds = operation.before.iter().filter(|p| p.kind == PointKind::Hold);
        holds.find_map(|point| {
            let signed = self.state.standing(operation, point).into_iter();
            let asks =
                |mark: &Mark| mark.by.role != operation.role || point.rule.as_deref() == Some(CUT_HOLD);
            let mut signed = signed.filter(|s| self.is(&s.mark.by, person) && !s.waived);
            signed.find(|s| asks(&s.mark)).map(|s| (point, s))
        })
    }

    /// Whether what an acceptance rests on is read by somebody who did not weld it. What
    /// is read while a weld is made is the welder's own.
    ///
    /// # Errors
    /// If `person` made a weld that is accepted after `operation`.
    pub(super) fn read_by_another(&self, person: &Signer, operation: &Operation) -> Result<(), Diagnostic> {
        let Some((point, weld)) = self.own_reading(person, operation) else { return Ok(()) };
        Err(refuse(
            "L158",
            "independence: who reads a weld for its acceptance did not make it",
            format!(
                "{} welded at operation {} and can't read at operation {} what {} accepts it by",
                person.name, weld.number, operation.number, point.number
            ),
            format!(
                "{}, and enter it as theirs",
                self.have(point.roles.first().map_or("inspector", String::as_str), "read it", |p| {
                    self.own_reading(p, operation).is_none()
                })
            ),
        ))
    }

    /// Whether somebody may take in from a sheet or a paper what another person read at a
    /// step: not what their own weld is accepted by, nor what is read a second time, unseen,
    /// beside their own reading.
    ///
    /// # Errors
    /// If they made the weld, or took the other reading.
    pub fn takes_in(&self, taker: &str, operation: &Operation, step: &Step) -> Result<(), Diagnostic> {
        if self.plan.rules < GATED_SINCE {
            return Ok(());
        }
        // Where the book is not here, the log knows who it was.
        let of_log = || {
            let by = self.entries.iter().map(|e| &e.by).find(|by| by.id == taker);
            let name = by.map_or_else(String::new, |by| by.name.clone());
            Signer { id: taker.to_owned(), name, ..Signer::default() }
        };
        let person = self.register.person(taker).cloned().unwrap_or_else(of_log);
        let names =
            |step: &Step| !step.readings.is_empty() && step.readings.iter().all(|r| names_tester(&r.id));
        if !names(step) {
            self.read_by_another(&person, operation)?;
        }
        let Some(own) = self.own_other(&person, operation, step) else { return Ok(()) };
        Err(refuse(
            "L352",
            "a second reading is another person's, from the set-up to the log",
            format!(
                "{} read {}.{} and can't take in what another person is to read beside it at step {}.{}",
                if person.name.is_empty() { &person.id } else { &person.name },
                operation.number,
                own.id,
                operation.number,
                step.number
            ),
            "have whoever read it enter it, with a PIN of their own, or anybody else take the sheet in",
        ))
    }

    /// The weld of `person` that is accepted by what is read at an operation.
    pub(super) fn own_reading<'b>(
        &'b self,
        person: &Signer,
        operation: &'b Operation,
    ) -> Option<(&'b Point, &'b Operation)> {
        let heats = operation.acts.iter().any(|a| a == "arc" || a == "tack");
        if !self.strict() || heats {
            return None;
        }
        let accepts = |p: &&Point| p.kind == PointKind::Hold && p.rule.as_deref() == Some("acceptance");
        let mut points = operation.after.iter().filter(accepts);
        points.find_map(|p| Some((p, self.own_weld(person, "", operation, p)?)))
    }

    /// Whether a person ticked, initialled or read at an operation; what another
    /// person reads there with a set-up of their own is no part of the work.
    fn did(&self, person: &Signer, operation: &Operation) -> bool {
        let own = |mark: &Mark| self.is(&mark.by, person);
        // What was settled is decided, not made: a lead may write it down and sign.
        let made = |r: &&Reading| self.plan.rules < HONEST_SINCE || !r.id.starts_with(SETTLED);
        let ticked = operation.steps.iter().filter(|s| s.by.is_none()).any(|s| {
            let tick = self.state.ticks.get(&(operation.key.clone(), s.number)).is_some_and(own);
            let mut read =
                s.readings.iter().filter(made).flat_map(|r| self.state.all_readings(&operation.key, &r.id));
            tick || read.any(|(_, mark)| own(mark))
        });
        ticked || self.state.initials(operation).is_some_and(own)
    }
}
