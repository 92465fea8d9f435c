//! The plan as it moves with what is read: limits that are computed again, and
//! readings taken before that no longer hold by them.

use std::collections::BTreeMap;
use std::rc::Rc;

use chrono::NaiveDate;

use super::entry::{By, Measured};
use super::frozen::{Frozen, Limits, Operation, Point, PointKind, Reading};
use super::outdated::Redrawn;
use super::people::Instrument;
use super::rules::{Scene, refuse};
use super::state::State;
use crate::diagnostic::Diagnostic;
use crate::term::{Judged, Method, Verdict};

/// Names a reading: key of the operation and id.
pub type Place = (String, String);

/// What is asked of a reading.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Asked {
    /// Kind and limits.
    pub limits: Option<Limits>,
    /// The same in words, as it is shown.
    pub target: Option<String>,
}

/// What follows from the readings taken so far.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct InForce {
    /// What is asked of every reading.
    pub asked: BTreeMap<Place, Asked>,
    /// Components that may not be cut, and why.
    pub uncut: Vec<(String, String)>,
}

/// Computes a plan with readings in place of planned values, and judges. The
/// record knows no figures: whoever goes through it brings them.
pub trait Reckon {
    /// What follows from the readings of `state`; none if it can't be computed.
    fn in_force(&self, plan: &Frozen, state: &State) -> Option<Rc<InForce>>;
    /// The verdict of a reading by other limits; none if it can't be judged.
    fn verdict(&self, taken: &Measured, limits: Limits) -> Option<Judged>;
    /// The sheets of a plan as they would be drawn with the readings of `state`; none
    /// where nobody can draw them.
    #[must_use]
    fn redrawn(&self, plan: &Frozen, state: &State) -> Option<Vec<Redrawn>> {
        let _ = (plan, state);
        None
    }
    /// Whether a plan was issued with a shop book of its shop, so that every entry rests on
    /// rows of one.
    #[must_use]
    fn booked(&self, plan: &Frozen) -> bool {
        let _ = plan;
        false
    }
    /// Whether a person has the tests an entry of theirs rests on by the rows that were
    /// frozen with a plan; none where nobody knows.
    #[must_use]
    fn tested(&self, plan: &Frozen, person: &By, basis: &str) -> Option<bool> {
        let _ = (plan, person, basis);
        None
    }
    /// Whether a person is certified for these methods of testing, until when an entry of
    /// theirs says, by the rows that were frozen with a plan; none where nobody knows, or
    /// no row names a tester.
    #[must_use]
    fn certified(&self, plan: &Frozen, person: &By, methods: &[Method], rests_on: &[String]) -> Option<bool> {
        let _ = (plan, person, methods, rests_on);
        None
    }
    /// Whether a person held a certificate for a role by the rows that were frozen with a plan.
    #[must_use]
    fn certified_as(&self, plan: &Frozen, person: &By, role: &str) -> bool {
        let _ = (plan, person, role);
        false
    }
    /// Instruments as the rows frozen with a plan have them; none where nobody knows.
    #[must_use]
    fn instruments(&self, plan: &Frozen) -> Option<Vec<Instrument>> {
        let _ = plan;
        None
    }
    /// Whether a role is another person's as well on a day, by the rows that were frozen with
    /// a plan; none where nobody knows.
    #[must_use]
    fn another(&self, plan: &Frozen, role: &str, person: &By, day: NaiveDate) -> Option<bool> {
        let _ = (plan, role, person, day);
        None
    }
    /// Whether a person was a lead of the shop by the rows of its book that were frozen
    /// with a plan; none where nobody knows.
    #[must_use]
    fn led(&self, plan: &Frozen, person: &By) -> Option<bool> {
        let _ = (plan, person);
        None
    }
}

/// For a plan that no reading moves.
#[derive(Debug, Clone, Copy, Default)]
pub struct AsPrinted;

impl Reckon for AsPrinted {
    fn in_force(&self, _: &Frozen, _: &State) -> Option<Rc<InForce>> {
        None
    }

    fn verdict(&self, _: &Measured, _: Limits) -> Option<Judged> {
        None
    }
}

/// Whether limits say anything.
fn bounded(limits: Option<Limits>) -> bool {
    limits.is_some_and(|l| l.lower.is_some() || l.upper.is_some())
}

impl InForce {
    /// What is asked of a reading. Where the readings made its limits impossible
    /// to compute, the paper holds.
    #[must_use]
    pub fn asked(&self, operation: &str, reading: &Reading) -> Asked {
        let printed = Asked { limits: reading.limits, target: reading.target.clone() };
        let place = (operation.to_owned(), reading.id.clone());
        match self.asked.get(&place) {
            Some(now) if bounded(printed.limits) && !bounded(now.limits) => printed,
            Some(now) => Asked { limits: now.limits.or(printed.limits), target: now.target.clone() },
            None => printed,
        }
    }

    /// Whether a reading has lost the limits it was printed with.
    #[must_use]
    pub fn lost(&self, operation: &str, reading: &Reading) -> bool {
        let place = (operation.to_owned(), reading.id.clone());
        bounded(reading.limits) && self.asked.get(&place).is_some_and(|now| !bounded(now.limits))
    }

    /// Why an operation may not cut; none if it may.
    #[must_use]
    pub fn forbids(&self, operation: &Operation) -> Option<&str> {
        let cuts = operation.acts.iter().any(|a| a == "cut-permanent");
        let on = operation.key.split_once('/').map(|(component, _)| component);
        let says = |component: &String| cuts && on.is_none_or(|on| component == on);
        self.uncut.iter().find(|(component, _)| says(component)).map(|(_, why)| why.as_str())
    }
}

/// Whether anything read so far takes the place of a planned value.
#[must_use]
pub fn moves(plan: &Frozen, state: &State) -> bool {
    plan.operations
        .iter()
        .any(|o| o.readings().any(|r| r.replaces.is_some() && state.reading(&o.key, &r.id).is_some()))
}

/// A reading that conformed when it was taken, and does not by the plan as it
/// moved since.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Lost {
    /// Key of its operation.
    pub operation: String,
    /// Number of its operation.
    pub number: u32,
    /// Its id within the operation.
    pub reading: String,
    /// It, and its verdict now.
    pub words: String,
    /// Numbers of the points that were signed on it.
    pub signed: Vec<String>,
}

impl Lost {
    /// It, its verdict now, and the points signed on it.
    #[must_use]
    pub fn told(&self) -> String {
        match self.signed.as_slice() {
            [] => self.words.clone(),
            signed => format!("{}; {} was signed on it", self.words, signed.join(", ")),
        }
    }
}

/// Readings that no longer hold and that no lead has decided on since they were
/// taken. A reading that decides the plan is not its own target.
#[must_use]
pub fn no_longer(plan: &Frozen, state: &State, now: &InForce, reckon: &dyn Reckon) -> Vec<Lost> {
    let mut found = Vec::new();
    for operation in &plan.operations {
        for reading in operation.readings().filter(|r| r.replaces.is_none()) {
            let Some((taken, mark)) = state.reading(&operation.key, &reading.id) else { continue };
            if !taken.verdict.is(Verdict::Conform) {
                continue;
            }
            let Some(limits) = now.asked(&operation.key, reading).limits else { continue };
            let Some(again) = reckon.verdict(taken, limits) else { continue };
            let decided = state.founds.iter().any(|f| {
                f.key == operation.key
                    && f.reading.as_ref() == Some(&reading.id)
                    && f.disposition.is_some()
                    && f.mark.n > mark.n
            });
            if decided || !again.decided() || again.is(Verdict::Conform) {
                continue;
            }
            let signed = plan
                .operations
                .iter()
                .flat_map(|o| o.points().map(move |p| (o, p)))
                .filter(|(o, p)| state.signatures(&o.key, &p.slot).iter().any(|s| s.mark.n > mark.n))
                .filter(|(o, p)| plan.stands_under(&operation.key, o, p))
                .map(|(_, p)| p.number.clone());
            found.push(Lost {
                operation: operation.key.clone(),
                number: operation.number,
                reading: reading.id.clone(),
                words: format!(
                    "{}.{} {}: {} is {again} now",
                    operation.number, reading.id, reading.label, taken.text
                ),
                signed: signed.collect(),
            });
        }
    }
    found
}

impl Scene<'_> {
    /// Whether what a hold rests on holds by the plan as it moved since.
    ///
    /// # Errors
    /// If a reading before it does not.
    pub fn holds_still(&self, operation: &Operation, point: &Point, lost: &[Lost]) -> Result<(), Diagnostic> {
        if point.kind != PointKind::Hold {
            return Ok(());
        }
        let place = self.plan.place(&operation.key).unwrap_or(0);
        let until = place + usize::from(point.slot.starts_with("after"));
        let before = |l: &&Lost| self.plan.place(&l.operation).is_some_and(|p| p < until);
        let Some(lost) = lost.iter().find(before) else { return Ok(()) };
        Err(refuse(
            "L117",
            "when the plan moves, what was read is judged again",
            format!("{}, so {} stays shut", lost.told(), point.number),
            match self.plan.operations.iter().find(|o| o.key == lost.operation) {
                Some(at) => {
                    let again = at.readings().find(|r| r.id == lost.reading);
                    let again = again.map(|r| self.measures(at, r, true)).unwrap_or_default();
                    format!("read it again: {again}; or {}", self.decides(at, &lost.reading))
                }
                None => "let a lead decide".to_owned(),
            },
        ))
    }
}
