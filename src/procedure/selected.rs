//! What was selected of the library for a job, and what it asks of its parts.

use super::operation::Operation;
use super::owed::{Lacks, Owed, Review};
use crate::diagnostic::Span;
use crate::file::{Id, Located};
use crate::job::JobFile;
use crate::job::model::{Act, Component, HoldRule, OwnOperation, Verb};
use crate::term::Moment;

/// An operation of this job: one row on one component, a shared row on all
/// that need it, or an operation of the job's own.
#[derive(Debug, Clone)]
pub struct Selected<'a> {
    /// Unique key: `front/set-pinion`, `receive`.
    pub key: String,
    /// Id as the library or the job names it.
    pub id: String,
    /// Its row in a procedure file or in the job file.
    pub what: What<'a>,
    /// Components it is done on.
    pub components: Vec<Component<'a>>,
    /// Procedures that asked for it.
    pub procedures: Vec<String>,
    /// Place in the procedure's own order.
    pub rank: usize,
    /// States needed, tied to components.
    pub requires: Vec<String>,
    /// States made true.
    pub provides: Vec<String>,
    /// States made false.
    pub clears: Vec<String>,
    /// States that must not hold.
    pub forbids: Vec<String>,
    /// Reviews that stand before it, beside the points of its row.
    pub reviews: Vec<Review>,
    /// What the figures want settled, each signed by a lead.
    pub concerns: Vec<String>,
    /// Whether that is written and signed behind its last step or in front of its first.
    pub settles: Moment,
}

/// Where an operation comes from.
#[derive(Debug, Clone, Copy)]
pub enum What<'a> {
    /// A procedure, from the files that ship or from the shop's own.
    Library(&'a Operation),
    /// The job file.
    Own(&'a OwnOperation),
}

impl<'a> What<'a> {
    /// What it does, as the safety rules call it.
    #[must_use]
    pub fn acts(self) -> Vec<&'a str> {
        match self {
            Self::Library(library) => library.row.acts.iter().map(|a| &*a.0).collect(),
            Self::Own(own) => own.acts().iter().map(|a| a.word()).collect(),
        }
    }

    /// Use of the joints it works on.
    #[must_use]
    pub fn joints(self) -> Option<&'a Located<Id>> {
        match self {
            Self::Library(library) => library.row.joints.as_ref(),
            Self::Own(own) => own.joints.as_ref(),
        }
    }

    /// Use of the fasteners it works on.
    #[must_use]
    pub fn fasteners(self) -> Option<&'a Located<Id>> {
        match self {
            Self::Library(library) => library.row.fasteners.as_ref(),
            Self::Own(own) => own.fasteners.as_ref(),
        }
    }

    /// Whether it lays weld metal on: an arc or a tack.
    pub(super) fn welds(self) -> bool {
        self.acts().iter().any(|act| matches!(*act, "arc" | "tack"))
    }

    /// Whether welds are accepted at it: those of its own joints, or those its hold
    /// names.
    pub(super) fn accepts(self, usage: &str) -> bool {
        let is = |joints: Option<&'a Located<Id>>| joints.is_some_and(|j| j.0 == usage);
        match self {
            Self::Library(library) => {
                let acceptance = |p: &&super::file::PointRow| {
                    p.rule.as_ref().is_some_and(|r| *r.0 == *HoldRule::Acceptance.word())
                };
                let point = library.row.point.iter().filter(acceptance);
                point.clone().any(|p| is(p.joints.as_ref()))
                    || is(self.joints()) && (point.count() > 0 || self.acts().contains(&Act::Accept.word()))
            }
            Self::Own(own) => {
                let hold =
                    own.hold_rule == Some(HoldRule::Acceptance) && own.hold.is_some() && !own.hold_before;
                is(self.joints()) && (hold || own.acts().contains(&Act::Accept))
            }
        }
    }

    /// Parts it is done at.
    fn parts(self) -> Vec<&'a str> {
        let at = match self {
            Self::Library(library) => &library.row.at,
            Self::Own(own) => &own.at,
        };
        at.iter().map(|part| &*part.0).collect()
    }

    /// Whether it takes off what nobody puts back; cleaning, which is shared, does not.
    fn takes_off(self) -> bool {
        !matches!(self, Self::Library(o) if o.shared || o.row.each_component)
            && self.acts().iter().any(|act| [Act::CutPermanent.word(), Act::Grind.word()].contains(act))
    }

    /// Minutes it takes.
    #[must_use]
    pub const fn minutes(self) -> u32 {
        match self {
            Self::Library(library) => library.row.minutes,
            Self::Own(own) => own.minutes,
        }
    }

    /// Whether several procedures share it.
    pub(super) fn shared(self) -> bool {
        matches!(self, Self::Library(library) if library.shared)
    }

    /// Whether it is a card that is signed anew each shift.
    #[must_use]
    pub fn each_shift(self) -> bool {
        matches!(self, Self::Library(library) if library.row.each_shift)
    }

    /// Whether it is done after hand-over.
    #[must_use]
    pub fn deferred(self) -> bool {
        matches!(self, Self::Library(library) if library.row.deferred)
    }

    /// Whether the maker's figure is written at the bench where the job lists no group.
    pub(super) fn or_maker(self) -> bool {
        matches!(self, Self::Library(library) if library.row.or_maker)
    }

    /// Whether the unit has its fasteners once, whichever component names their group.
    #[must_use]
    pub fn one_group(self) -> bool {
        matches!(self, Self::Library(library) if library.row.one_group)
    }

    /// Whether tightening is what it is for, before the unit is handed over.
    pub(super) fn tightens(self) -> bool {
        match self {
            Self::Library(library) => {
                (library.row.verb == Verb::Torque || library.row.or_maker) && !library.row.deferred
            }
            Self::Own(own) => own.verb == Verb::Torque,
        }
    }
}

/// Whether an operation is the one that can't be done without what is lacking.
fn stands_before(lacks: Lacks, what: What<'_>, usage: &str) -> bool {
    match lacks {
        Lacks::Procedure => what.welds() && what.joints().is_some_and(|u| *u.value == *usage),
        Lacks::Tester(_) => what.accepts(usage),
    }
}

impl Selection<'_> {
    /// Puts each review before the first operation on its joint that can't do without it; a
    /// procedure not proved yet before what is there comes off or is cut for its weld.
    pub fn review(&mut self, job: &JobFile, reviews: &[Review]) {
        for review in reviews {
            let Some(joint) = job.joint.iter().find(|j| *j.id.0 == review.joint) else { continue };
            let on = |s: &&Selected<'_>| s.components.iter().any(|c| c.id() == joint.on.0);
            let needs = |s: &&Selected<'_>| stands_before(review.lacks, s.what, &joint.usage.value);
            let Some(first) = self.operations.iter().filter(on).find(needs) else { continue };
            let parts = first.what.parts();
            let same = |what: What<'_>| what.parts().iter().any(|part| parts.contains(part));
            let off = |s: &&Selected<'_>| s.what.takes_off() && same(s.what);
            let mut way = self.operations.iter().take_while(|s| s.key != first.key).filter(on);
            let before = if review.lacks == Lacks::Procedure { way.find(off) } else { None };
            let key = before.unwrap_or(first).key.clone();
            if let Some(selected) = self.operations.iter_mut().find(|s| s.key == key) {
                selected.reviews.push(review.clone());
            }
        }
    }
}

impl Selected<'_> {
    /// The component it is kept together with; empty for the whole unit.
    #[must_use]
    pub fn component(&self) -> &str {
        match self.components.as_slice() {
            [only] => only.id(),
            _ => "unit",
        }
    }

    /// What has to be looked at before it: joints of which the same is said share
    /// one review.
    #[must_use]
    pub fn owed(&self) -> Vec<Owed> {
        let mut shared: Vec<(&Review, Vec<String>)> = Vec::new();
        for review in &self.reviews {
            let same =
                |of: &&mut (&Review, Vec<String>)| of.0.why == review.why && of.0.lacks == review.lacks;
            match shared.iter_mut().find(same) {
                Some((_, joints)) => joints.push(review.joint.clone()),
                None => shared.push((review, vec![review.joint.clone()])),
            }
        }
        shared
            .into_iter()
            .map(|(review, joints)| Owed {
                what: review.lacks.said(&joints.join(", "), &review.why),
                lacks: review.lacks,
                joints,
            })
            .collect()
    }

    /// Where the operation is written.
    #[must_use]
    pub fn place(&self) -> Option<&Span> {
        Some(match self.what {
            What::Library(operation) => &operation.row.id.span,
            What::Own(own) => &own.id.span,
        })
    }

    /// Where it is written that it asks for `state`; where the operation is
    /// written if that can't be said closer.
    #[must_use]
    pub fn asked_at(&self, state: &str, must_be: bool) -> Option<&Span> {
        let What::Library(operation) = self.what else { return self.place() };
        let list = if must_be { &operation.row.requires } else { &operation.row.forbids };
        let bare = state.split_once(':').map_or(state, |(_, bare)| bare);
        list.iter().find(|s| s.0 == bare).map(|s| &s.span).or_else(|| self.place())
    }
}

/// A state of this job.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct JobState {
    /// Name with its component: `front:housing.bare`, `unit.received`.
    pub name: String,
    /// What it means.
    pub means: String,
    /// Whether it holds before the first operation.
    pub initial: bool,
}

/// What a job needs done.
#[derive(Debug, Clone, Default)]
pub struct Selection<'a> {
    /// Operations, in the procedures' own order.
    pub operations: Vec<Selected<'a>>,
    /// States they speak of.
    pub states: Vec<JobState>,
}
