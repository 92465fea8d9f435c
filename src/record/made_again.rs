//! Work that is made again, and what it makes void behind it.
//!
//! A weld that is made again, a cut that is made deeper, a reading that was taken back and is
//! entered anew: what was signed on it before says nothing of it, and what certainly comes
//! after a weld, a cut or heat was done on a unit that is no more. The entry itself says what
//! starts again with it, so that a log is folded without a plan; `verify` works it out once
//! more. It never comes back by itself, nor by taking the entry back.

use std::collections::BTreeSet;

use chrono::{DateTime, FixedOffset};
use serde::{Deserialize, Serialize};

use super::edition::AFTER_SINCE;
use super::entry::{Action, At, Entry};
use super::frozen::{Frozen, GATED_SINCE, Operation, Point, PointKind};
use super::kept::{Mark, Signed};
use super::rules::{Scene, refuse, short};
use super::state::State;
use super::waits::of_a_shift;
use super::worked::{Work, Worked};
use crate::diagnostic::Diagnostic;

/// What is not undone: the unit is another one after it.
const LASTING: &[&str] = &["arc", "tack", "heat", "cut-permanent"];

/// What starts again with an entry.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Undone {
    /// Operations at which everything is done, read and signed anew.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub operations: Vec<At>,
    /// Points that are signed anew.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub points: Vec<PointAt>,
}

/// A point at the time of the entry.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct PointAt {
    /// Where it belongs.
    pub operation: At,
    /// Its number on paper.
    pub point: String,
    /// Its place in the operation.
    pub slot: String,
}

impl Undone {
    /// What starts again and what is signed anew, in words without a full stop.
    #[must_use]
    pub fn words(&self) -> String {
        let operations: Vec<String> = self.operations.iter().map(|o| o.number.to_string()).collect();
        let points: Vec<String> = self.points.iter().map(|p| p.point.clone()).collect();
        let word = if operations.len() == 1 { "operation" } else { "operations" };
        let again = format!("{word} {} started again", operations.join(", "));
        let signed = format!("{} to be signed anew", points.join(", "));
        match (operations.is_empty(), points.is_empty()) {
            (false, false) => format!("{again}; {signed}"),
            (false, true) => again,
            _ => signed,
        }
    }
}

/// Whether an operation does what is not undone on the unit: a weld, heat, a cut. A test at
/// which no joint is made is an arc on a mock-up.
pub(super) fn lasting(operation: &Operation) -> bool {
    let mock_up = operation.verb == "test" && operation.joints.is_empty();
    !mock_up && operation.acts.iter().any(|act| LASTING.contains(&act.as_str()))
}

/// Whether a point stops the work behind it.
fn stops(point: &Point) -> bool {
    point.kind == PointKind::Hold
}

/// Operations that certainly come after a point: its own where it stands before it, and
/// whatever its own comes before.
fn behind<'a>(
    plan: &'a Frozen,
    operation: &'a Operation,
    point: &'a Point,
) -> impl Iterator<Item = &'a Operation> {
    let own = point.slot.starts_with("before");
    plan.operations.iter().filter(move |o| {
        !o.deferred
            && !o.makes_safe()
            && (o.key == operation.key && own
                || o.key != operation.key && plan.comes_before(&operation.key, o))
    })
}

impl State {
    /// Folds in what starts again with an entry.
    pub(super) fn undo(&mut self, entry: &Entry) {
        let Some(undone) = &entry.undoes else { return };
        let mark = Mark::of(entry);
        for At { key, .. } in &undone.operations {
            self.start_over(key);
            self.started_again.insert(key.clone(), mark.clone());
        }
        if !undone.operations.is_empty() {
            self.follow_none();
        }
        for point in &undone.points {
            let place = (point.operation.key.clone(), point.slot.clone());
            self.points.remove(&place);
            let at = entry.what.worked_at().map_or_else(String::new, |at| at.key.clone());
            self.unsigned_by.insert(place, (mark.clone(), at));
        }
    }

    /// The work done behind a point before it was signed as it stands: the signature let
    /// nothing begin. None where the order is the right one.
    #[must_use]
    pub fn signed_after<'a>(
        &'a self,
        plan: &'a Frozen,
        operation: &'a Operation,
        point: &'a Point,
    ) -> Option<(&'a Signed, &'a Operation, Work)> {
        if plan.rules < GATED_SINCE || !stops(point) {
            return None;
        }
        let standing = self.standing(operation, point);
        let signed = standing.into_iter().filter(|s| !s.waived).max_by_key(|s| s.mark.n)?;
        let (work, mark) = self.begun_behind(plan, operation, point).min_by_key(|(_, mark)| mark.n)?;
        (mark.n < signed.mark.n).then_some((signed, work, mark))
    }

    /// What was entered behind a point, and stands.
    fn begun_behind<'a>(
        &'a self,
        plan: &'a Frozen,
        operation: &'a Operation,
        point: &'a Point,
    ) -> impl Iterator<Item = (&'a Operation, Work)> {
        behind(plan, operation, point).flat_map(|o| self.work_at(o).map(move |work| (o, work)))
    }

    /// Ticks and readings of an operation, the first first; cards of shifts are no work.
    fn work_at(&self, operation: &Operation) -> impl Iterator<Item = Work> {
        self.worked.get(&operation.key).into_iter().flat_map(Worked::work)
    }
}

impl Scene<'_> {
    /// What starts again with an entry; none where nothing does. A correction puts a slip of
    /// the pen right and is no work.
    #[must_use]
    pub fn undoes(&self, what: &Action, corrects: bool) -> Option<Undone> {
        if corrects || self.plan.rules < GATED_SINCE {
            return None;
        }
        let (key, id, vacant) = match what {
            Action::Tick { operation, step, .. } => {
                let step = step.unwrap_or(0);
                let there = self.state.ticks.contains_key(&(operation.key.clone(), step));
                (&operation.key, step.to_string(), !there)
            }
            Action::Measure { reading } => {
                let there = self.state.reading(&reading.operation.key, &reading.reading).is_some();
                (&reading.operation.key, reading.reading.clone(), !there)
            }
            _ => return None,
        };
        self.undoes_at(key, &id, vacant)
    }

    /// What starts again when a box that was filled before is filled once more; `vacant` where
    /// nothing stands in it now.
    fn undoes_at(&self, key: &str, id: &str, vacant: bool) -> Option<Undone> {
        let operation = self.plan.keyed(key)?;
        let filled = self.state.filled.contains(&(key.to_owned(), id.to_owned()));
        if !filled || operation.makes_safe() || operation.deferred || of_a_shift(id) {
            return None;
        }
        let again: Vec<&Operation> =
            if lasting(operation) { self.start_again(operation) } else { Vec::new() };
        let again_keys: BTreeSet<&str> = again.iter().map(|o| o.key.as_str()).collect();
        // What was found there and put right since a signature is not what was signed.
        let decided = self.state.founds.iter().filter(|f| f.key == key);
        let decided = decided.filter_map(|f| f.disposition.as_ref()).filter(|(what, ..)| what.puts_right());
        let decided = decided.map(|(_, _, mark)| mark.n).max().unwrap_or(0);
        let falls = |o: &Operation, p: &Point| {
            let signed = self.state.signatures(&o.key, &p.slot);
            let Some(first) = signed.iter().map(|s| s.mark.n).min() else { return false };
            if again_keys.contains(o.key.as_str()) {
                return true;
            }
            if !(vacant || lasting(operation) || first < decided) {
                return false;
            }
            // What it let begin was begun; and an acceptance falls by its own rule, with what
            // it was accepted by.
            let spent = p.slot.starts_with("before") && self.state.work_at(o).next().is_some();
            !spent && !p.worked_by.iter().any(|k| k == key) && self.plan.stands_under(key, o, p)
        };
        let points = self.plan.operations.iter().flat_map(|o| o.points().map(move |p| (o, p)));
        let points: Vec<PointAt> = points
            .filter(|(o, p)| falls(o, p))
            .map(|(o, p)| PointAt { operation: o.at(), point: p.number.clone(), slot: p.slot.clone() })
            .collect();
        let undone = Undone { operations: again.iter().map(|o| o.at()).collect(), points };
        (undone != Undone::default()).then_some(undone)
    }

    /// Operations at which everything starts again with work at `operation`: those that
    /// certainly come after it and were begun. What is not undone stays, and what later work
    /// of that kind covers; so does what was done after this by the time that is stated: this
    /// is entered late.
    fn start_again(&self, operation: &Operation) -> Vec<&Operation> {
        let begun = |o: &Operation| {
            let signed = || o.points().any(|p| !self.state.signatures(&o.key, &p.slot).is_empty());
            self.state.work_at(o).next().is_some() || signed()
        };
        let later = |o: &Operation, at: DateTime<FixedOffset>| {
            self.state.worked.get(&o.key).is_none_or(|worked| worked.all_after(at))
        };
        let after: Vec<&Operation> = self
            .plan
            .operations
            .iter()
            // What certainly comes after it stands behind it on paper.
            .skip(self.plan.place(&operation.key).map_or(0, |place| place + 1))
            .filter(|o| !o.deferred && !o.makes_safe() && begun(o))
            .filter(|o| self.plan.comes_before(&operation.key, o))
            .collect();
        let covered: BTreeSet<&str> = after
            .iter()
            .filter(|o| lasting(o) && self.state.work_at(o).next().is_some())
            .flat_map(|o| self.plan.all_before(o))
            .map(|o| o.key.as_str())
            .collect();
        let found = |o: &Operation| o.acts.iter().any(|act| act == "as-found");
        after
            .into_iter()
            .filter(|o| !lasting(o) && !found(o) && !covered.contains(o.key.as_str()))
            .filter(|o| self.at.is_none_or(|at| !later(o, at)))
            .collect()
    }

    /// Whether work may be made again over what was done behind it: who does it says so.
    ///
    /// # Errors
    /// With what starts again by it, and both ways to go on.
    pub fn over_later_work(&self, operation: &Operation, id: &str) -> Result<(), Diagnostic> {
        if self.plan.rules < GATED_SINCE {
            return Ok(());
        }
        let vacant = self.state.reading(&operation.key, id).is_none();
        let undone = self.undoes_at(&operation.key, id, vacant).filter(|u| !u.operations.is_empty());
        let Some(undone) = undone else { return Ok(()) };
        Err(refuse(
            "L351",
            "work made again starts what comes after it again",
            format!(
                "{}.{id} was entered before, and work was entered behind operation {}: made again, {}",
                operation.number,
                operation.number,
                undone.words()
            ),
            "if it was done before that work, give the time it was done (--at); a slip of the pen is put right with --corrects",
        ))
    }

    /// Whether a signature lets nothing begin any more that was entered on it: it stands then,
    /// and what was wrong with it is found and decided.
    ///
    /// # Errors
    /// With the work, and the way out.
    pub(super) fn let_nothing_begin(&self, n: u64, key: &str, slot: &str) -> Result<(), Diagnostic> {
        let point = self.plan.keyed(key).and_then(|o| Some((o, o.points().find(|p| p.slot == slot)?)));
        let lets_begin = |p: &Point| match p.kind {
            PointKind::Review => self.plan.rules >= AFTER_SINCE,
            _ => self.plan.rules >= GATED_SINCE && stops(p),
        };
        let Some((operation, point)) = point.filter(|(_, p)| lets_begin(p)) else { return Ok(()) };
        let begun = self.state.begun_behind(self.plan, operation, point);
        let Some((work, mark)) = begun.filter(|(_, m)| m.n > n).min_by_key(|(_, m)| m.n) else {
            return Ok(());
        };
        let number = &self.plan.number;
        Err(refuse(
            "L350",
            "a signature is not taken back from under the work it let begin",
            format!(
                "operation {} was begun on {} (entry {}), so its signature in entry {n} can't be taken back",
                work.number, point.number, mark.n
            ),
            format!(
                "what was wrong with it is told and decided: tackwright found {number} {} \"{} was signed …\" --by ID, then dispose, by {}",
                operation.number,
                point.number,
                self.by("lead", |_| true)
            ),
        ))
    }

    /// The work a point was signed after, in words; it was to be signed before it.
    #[must_use]
    pub fn begun_before(&self, operation: &Operation, point: &Point) -> Option<String> {
        if self.plan.rules < GATED_SINCE || !stops(point) {
            return None;
        }
        let begun = self.state.begun_behind(self.plan, operation, point);
        let works: BTreeSet<u32> = begun.map(|(work, _)| work.number).collect();
        let works: Vec<String> = works.iter().map(|n| format!("operation {n}")).collect();
        (!works.is_empty())
            .then(|| format!("{} is signed after the work it releases: {}", point.number, short(&works)))
    }
}
