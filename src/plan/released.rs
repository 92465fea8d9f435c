//! A weld nobody may make or test yet: what is released for it is written down, then signed,
//! then it is made. Who tests it is written down, then it is tested, then signed.

use super::Words;
use super::basis::Basis;
use super::model::{Point, RestsOn, Step};
use super::resolver::{Resolver, slot};
use super::step::written;
use crate::job::model::Role;
use crate::procedure::owed::Owed;
use crate::procedure::selected::Selected;
use crate::routing::problem::WHOLE_UNIT;
use crate::term::{Level, Moment, PointKind};

impl Resolver<'_> {
    /// The holds that release the welds of an operation, or say who tested them, behind the
    /// points that stand there already. A release stays in front of the weld: who signs one
    /// does not make it.
    pub(super) fn releases(&mut self, selected: &Selected<'_>, here: Moment, there: usize) -> Vec<Point> {
        let below = here == Moment::Before && self.written_at(selected) == selected.key;
        let boxes = if below { "below" } else { "above" };
        let point = |(place, owed): (usize, Owed)| Point {
            slot: slot(here, there + place),
            number: self.number(PointKind::Hold),
            kind: PointKind::Hold,
            moment: here,
            roles: vec![Role::Lead],
            what: format!("{} {} are written {boxes}.", owed.what, owed.lacks.written()),
            meaning: owed.lacks.meaning().to_owned(),
            rule: None,
            joints: owed.joints,
            rests_on: RestsOn::default(),
        };
        selected.owed().into_iter().filter(|o| o.lacks.moment() == here).enumerate().map(point).collect()
    }

    /// Who and what welds by which procedure, where none of the shop book does: the boxes
    /// of all welds whose holds come next, for the end of an operation. The lead writes
    /// them: what is released is no part of the work that is done here.
    pub(super) fn released(&self, here: &Selected<'_>) -> Vec<Step> {
        let all = self.basis.order.iter().filter_map(|place| self.basis.selection.operations.get(*place));
        let held = all.filter(|s| !s.reviews.is_empty() && self.written_at(s) == here.key);
        let released = |s: &Selected<'_>| {
            s.owed().into_iter().filter(|owed| owed.lacks.moment() == Moment::Before).collect::<Vec<_>>()
        };
        held.flat_map(|s| released(s).into_iter().map(|owed| boxes(&owed, s.key != here.key))).collect()
    }

    /// Who from outside makes the tests of an operation: the boxes of all of them, for the
    /// front of its steps. The lead writes them, whoever looks at the weld.
    pub(super) fn testers(here: &Selected<'_>) -> Vec<Step> {
        let owed = here.owed().into_iter().filter(|owed| owed.lacks.moment() == Moment::After);
        owed.map(|owed| boxes(&owed, true)).collect()
    }

    /// Key of the operation at whose end is written what is released for a weld: the last
    /// one before it that its hold rests on, else its own. A card of shifts is written
    /// once a shift, and what is done after hand-over comes too late.
    fn written_at<'b>(&'b self, weld: &'b Selected<'_>) -> &'b str {
        let Basis { selection, order, .. } = self.basis;
        let all = order.iter().filter_map(|place| selection.operations.get(*place));
        let before = all.take_while(|s| s.key != weld.key);
        let on = |s: &Selected<'_>| s.component() == WHOLE_UNIT || s.component() == weld.component();
        let near = |s: &&Selected<'_>| on(s) || weld.component() == WHOLE_UNIT;
        let last = before.filter(near).filter(|s| !s.what.each_shift() && !s.what.deferred()).last();
        last.map_or(&weld.key, |s| &s.key)
    }
}

/// The boxes of one release. Under its hold, where nothing comes before the weld, they are
/// not the lead's who signed it.
fn boxes(owed: &Owed, above: bool) -> Step {
    let joints = owed.joints.join(", ");
    Step {
        level: Level::Safety,
        by: above.then_some(Role::Lead),
        text: Words::default().strong(format!("{joints}: ")).then(owed.lacks.how()),
        readings: owed.lacks.boxes(&owed.joints).into_iter().map(|(id, label)| written(id, label)).collect(),
        ..Step::default()
    }
}
