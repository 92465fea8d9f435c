//! Sheets at full size that what was read since has moved: told, and no cut is
//! released on marks made by one.

use super::entry::Bars;
use super::frozen::{Frozen, GATED_SINCE, Operation, Point, PointKind, Sheet};
use super::rules::{Scene, refuse};
use super::state::{Mark, State};
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

/// A sheet whose last print is not the one in force.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Outdated {
    /// The sheet as it was printed last; as it was issued, where no print was measured.
    pub sheet: Sheet,
    /// SHA-256 of its shapes now.
    pub now: String,
    /// Whether the bars of that print were measured and good: it may have been used.
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
fn last<'a>(state: &'a State, name: &str) -> Option<&'a (Bars, Mark)> {
    state.bars.iter().rev().find(|(bars, _)| bars.name == name)
}

/// Digests of the prints of a sheet that serve: as it is drawn now, and as it was
/// issued where that is the same line.
fn serving<'a>(sheet: &'a Sheet, redrawn: &'a [Redrawn]) -> Vec<&'a str> {
    let now = redrawn.iter().find(|r| r.name == sheet.name);
    let issued = (!now.is_some_and(|r| r.moved)).then_some(sheet.digest.as_str());
    issued.into_iter().chain(now.map(|r| r.digest.as_str())).collect()
}

/// The sheets that are out of date.
#[must_use]
pub fn outdated(plan: &Frozen, state: &State, redrawn: &[Redrawn]) -> Vec<Outdated> {
    let of = |sheet: &Sheet| {
        let serving = serving(sheet, redrawn);
        let last = last(state, &sheet.name);
        let printed = last.map_or(sheet.digest.as_str(), |(bars, _)| bars.sheet.as_str());
        if serving.contains(&printed) {
            return None;
        }
        Some(Outdated {
            sheet: Sheet { digest: printed.to_owned(), ..sheet.clone() },
            now: (*serving.first()?).to_owned(),
            used: last.is_some_and(|(bars, _)| bars.verdict.is(Verdict::Conform)),
        })
    };
    plan.sheets.iter().filter_map(of).collect()
}

/// The sheets of a plan as they are in force: under the digest of their last print
/// where that serves.
#[must_use]
pub fn in_force(plan: &Frozen, state: &State, redrawn: &[Redrawn]) -> Vec<Sheet> {
    let of = |sheet: &Sheet| {
        let serving = serving(sheet, redrawn);
        let printed = last(state, &sheet.name).map(|(bars, _)| bars.sheet.as_str());
        let digest = printed.filter(|p| serving.contains(p)).or(serving.first().copied());
        Sheet { digest: digest.unwrap_or(&sheet.digest).to_owned(), ..sheet.clone() }
    };
    plan.sheets.iter().map(of).collect()
}

/// The sheet whose printed digits begin like this, if its print serves; else the
/// print that is out of date, with the sheet in force.
#[must_use]
pub fn named(
    plan: &Frozen,
    state: &State,
    redrawn: &[Redrawn],
    digits: &str,
) -> Option<Result<Sheet, (Sheet, Sheet)>> {
    for sheet in &plan.sheets {
        if let Some(digest) = serving(sheet, redrawn).into_iter().find(|d| d.starts_with(digits)) {
            return Some(Ok(Sheet { digest: digest.to_owned(), ..sheet.clone() }));
        }
    }
    let known = |sheet: &Sheet, digest: &str| {
        digest.starts_with(digits).then(|| Sheet { digest: digest.to_owned(), ..sheet.clone() })
    };
    let old = plan.sheets.iter().find_map(|sheet| {
        let measured = state.bars.iter().map(|(bars, _)| bars).filter(|bars| bars.name == sheet.name);
        known(sheet, &sheet.digest)
            .or_else(|| measured.into_iter().find_map(|bars| known(sheet, &bars.sheet)))
    })?;
    let now = in_force(plan, state, redrawn).into_iter().find(|s| s.name == old.name)?;
    Some(Err((old, now)))
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

impl State {
    /// The last time the bars of a sheet were measured; what counts is the shapes,
    /// so a print of an earlier revision goes on if they are the same.
    #[must_use]
    pub fn bars_of(&self, sheet: &Sheet) -> Option<&(Bars, Mark)> {
        self.bars.iter().rev().find(|(bars, _)| bars.sheet == sheet.digest)
    }

    /// Why the print of a sheet proves nothing; none if its bars were good.
    #[must_use]
    pub fn unproved(&self, sheet: &Sheet) -> Option<String> {
        match self.bars_of(sheet) {
            None => Some(format!("bars never measured: sheet {}", sheet.called())),
            Some((bars, mark)) if !bars.verdict.is(Verdict::Conform) => {
                Some(format!("{} (entry {})", bars.words(), mark.n))
            }
            Some(_) => None,
        }
    }

    /// Where a sheet stands, in words.
    #[must_use]
    pub fn sheet(&self, sheet: &Sheet) -> String {
        self.unproved(sheet).unwrap_or_else(|| {
            self.bars_of(sheet).map_or_else(String::new, |(bars, mark)| {
                format!("{} ({}, entry {})", bars.words(), mark.by.name, mark.n)
            })
        })
    }
}

impl Scene<'_> {
    /// Whether no print that was measured untrue is what marks under a point were made by: a
    /// good print is measured, or a lead decides about what it marked.
    ///
    /// # Errors
    /// With the sheet, and both ways out.
    pub(super) fn prints_true(&self, operation: &Operation, point: &Point) -> Result<(), Diagnostic> {
        if self.plan.rules < GATED_SINCE || self.state.bars.is_empty() {
            return Ok(());
        }
        let under = self.plan.under(operation, point);
        let mut used =
            self.plan.sheets.iter().filter(|s| s.operations.iter().any(|key| under.contains(key.as_str())));
        let void = used.find_map(|sheet| {
            let (bars, mark) = last(self.state, &sheet.name)?;
            let decided =
                self.state.founds.iter().any(|f| {
                    sheet.operations.contains(&f.key) && f.disposition.is_some() && f.mark.n > mark.n
                });
            (!bars.verdict.is(Verdict::Conform) && !decided).then_some((sheet, bars, mark))
        });
        let Some((sheet, bars, mark)) = void else { return Ok(()) };
        let (number, lead) = (&self.plan.number, self.by("lead", |_| true));
        let at = sheet.operations.iter().find_map(|key| self.plan.keyed(key)).map_or(0, |o| o.number);
        Err(refuse(
            "L325",
            "a void print shuts the hold behind what it marks",
            format!("{} stays shut: {} (entry {})", point.number, bars.words(), mark.n),
            format!(
                "print the sheet at 100 % and measure its bars: tackwright bars {number} {} --across VALUE --along VALUE --by ID",
                sheet.mark()
            ),
        )
        .help(format!(
            "if it was used, a lead decides about what it marked: tackwright found {number} {at} \"…\" --by ID, then dispose, by {lead}"
        )))
    }
}
