//! Sheets at full size that what was read since has moved: told, and no cut is
//! released on marks made by one.

use super::entry::Bars;
use super::frozen::{Frozen, Operation, Point, PointKind, Sheet};
use super::rules::{Scene, refuse};
use super::state::State;
use crate::diagnostic::Diagnostic;
use crate::term::Verdict;

/// How far a line may lie from where it would be drawn now, in millimetres: about
/// the width of a scribed line (common practice), half of what voids a print.
pub const SCRIBED: f64 = 0.25;

/// A sheet as it would be drawn with what was read so far.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Redrawn {
    /// Its name in the traveler.
    pub name: String,
    /// SHA-256 of its shapes now.
    pub digest: String,
    /// Whether it moved by more than [`SCRIBED`] from what was issued.
    pub moved: bool,
}

/// A sheet that moved, and of which no print of today was measured last.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Outdated {
    /// The sheet as it was issued.
    pub sheet: Sheet,
    /// SHA-256 of its shapes now.
    pub now: String,
    /// Whether the bars of an earlier print were measured and good: it may have been
    /// used.
    pub used: bool,
}

impl Outdated {
    /// In a sentence.
    #[must_use]
    pub fn words(&self) -> String {
        let was = self.sheet.called();
        let now = Sheet { digest: self.now.clone(), ..self.sheet.clone() }.called();
        format!("sheet {was} is OUT OF DATE: what was read since moved it; it is {now} now")
    }
}

/// The last bars that were measured of a sheet, of whichever print.
fn last<'a>(state: &'a State, name: &str) -> Option<&'a Bars> {
    state.bars.iter().rev().map(|(bars, _)| bars).find(|bars| bars.name == name)
}

/// The sheets that are out of date.
#[must_use]
pub fn outdated(plan: &Frozen, state: &State, redrawn: &[Redrawn]) -> Vec<Outdated> {
    let of = |sheet: &Sheet| {
        let now = redrawn.iter().find(|r| r.name == sheet.name && r.moved)?;
        let last = last(state, &sheet.name);
        if last.is_some_and(|bars| bars.sheet == now.digest) {
            return None;
        }
        let used = last.is_some_and(|bars| bars.verdict.is(Verdict::Conform));
        Some(Outdated { sheet: sheet.clone(), now: now.digest.clone(), used })
    };
    plan.sheets.iter().filter_map(of).collect()
}

/// The sheets of a plan, those that moved as they are drawn now.
#[must_use]
pub fn in_force(plan: &Frozen, redrawn: &[Redrawn]) -> Vec<Sheet> {
    let of = |sheet: &Sheet| {
        let now = redrawn.iter().find(|r| r.name == sheet.name && r.moved);
        Sheet { digest: now.map_or_else(|| sheet.digest.clone(), |r| r.digest.clone()), ..sheet.clone() }
    };
    plan.sheets.iter().map(of).collect()
}

impl Scene<'_> {
    /// Whether the marks a cut follows are those of a sheet that still holds.
    ///
    /// # Errors
    /// If a print that may have been used is out of date.
    pub fn marks_hold(
        &self,
        operation: &Operation,
        point: &Point,
        outdated: &[Outdated],
    ) -> Result<(), Diagnostic> {
        if !releases_cut(operation, point) {
            return Ok(());
        }
        let rests = |o: &&Outdated| {
            o.used
                && o.sheet
                    .operations
                    .iter()
                    .any(|key| operation.builds_on.contains(key) || point.rests_on.contains(key))
        };
        let Some(found) = outdated.iter().find(rests) else { return Ok(()) };
        Err(refuse(
            "L231",
            "no cut on marks made by a sheet that is out of date",
            format!("{}, so {} stays shut", found.words(), point.number),
            format!(
                "print it again: tackwright template {0}; measure its bars: tackwright bars {0} {1} --across … --along … --by ID; then mark again by it",
                self.plan.number,
                found.now.get(..9).unwrap_or(&found.now)
            ),
        ))
    }
}

/// Whether a point is a hold that releases a cut.
#[must_use]
pub fn releases_cut(operation: &Operation, point: &Point) -> bool {
    point.kind == PointKind::Hold
        && point.slot.starts_with("before")
        && operation.acts.iter().any(|a| a == "cut-permanent")
}
