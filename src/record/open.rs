//! What stands open, worked out once for as many entries as leave it as it is: a long log
//! is gone through entry by entry, and most of them open and shut nothing.

use std::cell::OnceCell;

use super::entry::{Action, Entry};
use super::frozen::{Operation, Point, PointKind};
use super::rules::Scene;

/// What stands open of a plan. It is good for one plan, until an entry changes it.
#[derive(Debug, Default)]
pub(super) struct Open {
    /// Places of the operations at which something was read badly and is not decided.
    badly: OnceCell<Vec<usize>>,
    /// Points that stop the work and are not signed, or may be open again: place of the
    /// operation, and of the point among its own.
    points: OnceCell<Vec<(usize, usize)>>,
}

/// Whether work stops at a point. What is reviewed is reviewed before the work; old paper
/// let it slip.
fn stops(operation: &Operation, point: &Point) -> bool {
    point.kind == PointKind::Hold || point.kind == PointKind::Review && operation.levelled()
}

impl Open {
    /// Operations at which something was read badly and is not decided.
    pub(super) fn badly<'a>(&self, scene: &Scene<'a>) -> impl Iterator<Item = &'a Operation> {
        let of = |o: &'a Operation| scene.state.departs(o) && scene.read_badly(o).next().is_some();
        let places = self.badly.get_or_init(|| {
            let all = scene.plan.operations.iter().enumerate();
            all.filter(|(_, o)| of(o)).map(|(place, _)| place).collect()
        });
        places.iter().filter_map(|place| scene.plan.operations.get(*place))
    }

    /// Points that stop the work and may be open, in the order of the plan: place of the
    /// operation, it, and whether the point stands before it.
    pub(super) fn points<'a>(
        &self,
        scene: &Scene<'a>,
    ) -> impl Iterator<Item = (usize, &'a Operation, &'a Point, bool)> {
        let may = |o: &Operation, p: &Point| {
            // An acceptance falls with any work on its joint.
            let falls = !p.worked_by.is_empty() || !p.concerns.is_empty();
            stops(o, p) && (falls || !scene.state.unsigned(o, p).is_empty())
        };
        let places = self.points.get_or_init(|| {
            let mut found = Vec::new();
            for (place, operation) in scene.plan.operations.iter().enumerate() {
                let own = operation.points().enumerate().filter(|(_, p)| may(operation, p));
                found.extend(own.map(|(at, _)| (place, at)));
            }
            found
        });
        places.iter().filter_map(|(place, at)| {
            let operation = scene.plan.operations.get(*place)?;
            let point = operation.points().nth(*at)?;
            Some((*place, operation, point, *at < operation.before.len()))
        })
    }

    /// Forgets what an entry may have changed.
    pub(super) fn after(&mut self, entry: &Entry) {
        if entry.corrects.is_some() {
            *self = Self::default();
            return;
        }
        match &entry.what {
            Action::Tick { .. }
            | Action::Photographed { .. }
            | Action::Bars { .. }
            | Action::TornLine { .. } => {}
            Action::Sign { .. } | Action::SeenOnPaper { .. } | Action::WitnessWaived { .. } => {
                self.points = OnceCell::new();
            }
            Action::Measure { .. } | Action::Found { .. } | Action::Disposition { .. } => {
                self.badly = OnceCell::new();
            }
            Action::Issued { .. } | Action::Revised { .. } | Action::Withdrawn {} | Action::Closed { .. } => {
                *self = Self::default()
            }
        }
    }
}
