//! Sheets at full size as they stand with what was read: drawn again, and those that
//! are out of date.

use std::path::Path;

use super::desk;
use super::files::RecordHost;
use super::recompute::Base;
use super::{refused, stored};
use crate::app::plan::{Failure, Loaded};
use crate::app::template::Drawn;
use crate::app::template::job::{self, Of, Sheets};
use crate::diagnostic::Diagnostic;
use crate::record::frozen::Frozen;
use crate::record::moved::moves;
use crate::record::outdated::{Redrawn, SCRIBED};
use crate::record::state::{self, State};
use crate::shape::apart::farthest;

fn drawn(loaded: &Loaded) -> Result<Vec<Drawn>, Failure> {
    let of = Of { loaded, digest: String::new(), ready: true, read: String::new() };
    job::sheets(&of).map(|sheets| sheets.drawn).map_err(refused)
}

impl Base {
    /// The sheets of the revision as they would be drawn with the readings of `state`.
    ///
    /// # Errors
    /// If a sheet can't be drawn with them.
    pub fn redrawn(&self, state: &State) -> Result<Vec<Redrawn>, Failure> {
        if self.frozen().sheets.is_empty() {
            return Ok(Vec::new());
        }
        let (before, after) = (drawn(&self.loaded(&State::default()).0)?, drawn(&self.loaded(state).0)?);
        let of = |now: &Drawn| {
            let sheet = now.of.as_ref()?;
            let was = before.iter().find(|d| d.of.as_ref().is_some_and(|s| s.name == sheet.name));
            let near = was.and_then(|was| farthest(&was.sheet, &now.sheet)).is_some_and(|mm| mm <= SCRIBED);
            Some(Redrawn { name: sheet.name.clone(), digest: sheet.digest.clone(), moved: !near })
        };
        Ok(after.iter().filter_map(of).collect())
    }
}

/// The sheets of the revision in force, drawn with what was read; none moved where
/// nothing was.
///
/// # Errors
/// If the stored revision can't be read, or a sheet can't be drawn.
pub fn redrawn(
    host: &dyn RecordHost,
    folder: &Path,
    issue: &crate::record::entry::Issue,
    plan: &Frozen,
    state: &State,
) -> Result<Vec<Redrawn>, Failure> {
    if plan.sheets.is_empty() || !moves(plan, state) {
        return Ok(Vec::new());
    }
    let content = stored::load(host, folder, issue)?;
    Base::of(&content.files, &content.plan)?.redrawn(state)
}

/// The sheets of a traveler as it stands, to be printed.
///
/// # Errors
/// If it was never issued, can't be read, or a sheet can't be drawn.
pub fn of_traveler(host: &dyn RecordHost, folder: &Path) -> Result<Sheets, Failure> {
    let chain = desk::look(host, folder)?;
    let Some(issue) = state::issue(&chain.entries) else { return Err(desk::never_issued(host, folder)) };
    let content = stored::load(host, folder, issue)?;
    if content.plan.sheets.is_empty() {
        return Err(refused(
            Diagnostic::error("T913", format!("{} has no sheet at full size", content.plan.number))
                .expected("a traveler whose figures carry a shape")
                .help("at the bench, `tackwright template` lists what can be drawn from inputs"),
        ));
    }
    let state = state::fold(&chain.entries);
    let (loaded, replaced) = Base::of(&content.files, &content.plan)?.loaded(&state);
    let read = match replaced.is_empty() {
        true => " Nothing read so far moves it.".to_owned(),
        false => format!(" Drawn with what was read up to entry {}.", chain.entries.len()),
    };
    job::sheets(&Of { loaded: &loaded, digest: content.plan.digest.clone(), ready: true, read })
        .map_err(refused)
}
