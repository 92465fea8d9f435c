//! What figures and sheets, computed again with what was read, say against a signature:
//! the part of the gate the record can't know by itself. Whoever signs and whoever says
//! what may be signed ask the same.

use std::path::Path;

use super::files::RecordHost;
use super::recompute::{Memo, Now, Reckoner};
use super::sheets;
use crate::app::plan::Failure;
use crate::diagnostic::Diagnostic;
use crate::procedure::figures::Owner;
use crate::record::entry::Issue;
use crate::record::frozen::{Operation, Point};
use crate::record::moved::{self, Lost, moves};
use crate::record::outdated::{Outdated, outdated};
use crate::record::rules::Scene;

/// A figure that says no to a cut.
#[derive(Debug, Clone)]
struct Obstacle {
    component: String,
    words: String,
    remedy: String,
}

/// What is against signatures by what was read.
#[derive(Debug, Clone, Default)]
pub struct Barred {
    obstacles: Vec<Obstacle>,
    lost: Vec<Lost>,
    old: Vec<Outdated>,
    /// Why it could not be computed.
    unknown: Option<String>,
}

impl Barred {
    /// Computes it; nothing is against anything while no reading moves the plan.
    ///
    /// # Errors
    /// If the stored revision can't be read, or nothing can be planned with what was read.
    pub fn of(
        host: &dyn RecordHost,
        (folder, issue): (&Path, &Issue),
        scene: &Scene<'_>,
        memo: &mut Memo,
    ) -> Result<Self, Failure> {
        let (plan, state) = (scene.plan, scene.state);
        if !moves(plan, state) {
            return Ok(Self::default());
        }
        let content = memo.content(host, folder, issue)?;
        let now = memo.now(&content, state)?;
        let mut barred = Self::by(scene, &now);
        if !state.bars.is_empty() {
            barred.old = outdated(plan, state, &sheets::redrawn(host, folder, issue, plan, state)?);
        }
        Ok(barred)
    }

    /// Readings that no longer hold by the plan as it moved.
    #[must_use]
    pub fn lost(&self) -> &[Lost] {
        &self.lost
    }

    /// What figures and limits say by the plan as it stands with what was read; nothing of
    /// sheets at full size.
    #[must_use]
    pub fn by(scene: &Scene<'_>, now: &Now) -> Self {
        let obstacles = now.loaded.figures.obstacles.iter().filter_map(|o| match &o.owner {
            Owner::Component(id) | Owner::Side(id, _) => Some(Obstacle {
                component: id.clone(),
                words: format!("{}: {}", o.owner.words(), o.why),
                remedy: o.remedy.clone(),
            }),
            Owner::Joint(_) | Owner::Fastener(_) => None,
        });
        let lost = moved::no_longer(scene.plan, scene.state, &now.in_force(), &Reckoner::default());
        Self { obstacles: obstacles.collect(), lost, ..Self::default() }
    }

    /// As [`Barred::of`]; where it can't be computed, that is what is against all of them.
    #[must_use]
    pub fn told(host: &dyn RecordHost, at: (&Path, &Issue), scene: &Scene<'_>, memo: &mut Memo) -> Self {
        Self::of(host, at, scene, memo).unwrap_or_else(|failure| Self {
            unknown: Some(format!("whether what was read forbids it can't be computed: {}", failure.words())),
            ..Self::default()
        })
    }

    /// Whether nothing that was read is against the signature of a point.
    ///
    /// # Errors
    /// If a figure forbids the cut, a reading no longer holds, or marks are out of date.
    pub fn lets(&self, scene: &Scene<'_>, operation: &Operation, point: &Point) -> Result<(), Diagnostic> {
        if let Some(why) = &self.unknown {
            return Err(Diagnostic::error("L145", why.clone()));
        }
        let cuts = operation.acts.iter().any(|a| a == "cut-permanent");
        let on = operation.key.split_once('/').map(|(component, _)| component);
        let no = |o: &&Obstacle| cuts && on.is_none_or(|on| on == o.component);
        if let Some(found) = self.obstacles.iter().find(no) {
            return Err(Diagnostic::error("L119", format!("what was read forbids the cut: {}", found.words))
                .rule("no cut against a figure that says no")
                .expected(found.remedy.clone())
                .help("read again, or settle it and revise the traveler"));
        }
        scene.holds_still(operation, point, &self.lost)?;
        scene.marks_hold(operation, point, &self.old)
    }
}

impl super::Desk {
    /// Whether nothing that was read is against the signature of a point.
    ///
    /// # Errors
    /// As [`Barred::of`] and [`Barred::lets`].
    pub(super) fn lets(
        &self,
        host: &dyn RecordHost,
        scene: &Scene<'_>,
        operation: &Operation,
        point: &Point,
    ) -> Result<(), Failure> {
        let at = (self.folder.as_path(), &self.issue);
        let barred = Barred::of(host, at, scene, &mut Memo::default())?;
        barred.lets(scene, operation, point).map_err(super::refused)
    }
}
