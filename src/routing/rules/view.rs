//! A found route as the rules look at it.

use std::collections::BTreeSet;

use super::parts;
use crate::routing::problem::{Moment, Operation, Point, PointKind, Problem};

/// A route with effective acts at hand.
#[derive(Debug)]
pub struct View<'a> {
    /// Operations and states; places in `order` are those of its operations.
    pub problem: &'a Problem,
    /// Their order.
    pub order: &'a [usize],
    acts: Vec<BTreeSet<String>>,
}

impl<'a> View<'a> {
    /// Looks at `order`.
    #[must_use]
    pub fn new(problem: &'a Problem, order: &'a [usize]) -> Self {
        let acts = problem.operations().iter().map(effective_acts).collect();
        Self { problem, order, acts }
    }

    /// Operations in the order they are done: position, index, operation.
    #[must_use]
    pub fn turns(&self) -> impl DoubleEndedIterator<Item = (usize, usize, &'a Operation)> + '_ {
        let operations = self.problem.operations();
        self.order.iter().enumerate().filter_map(|(position, &i)| Some((position, i, operations.get(i)?)))
    }

    /// Whether an operation does `act`. A tack is an arc; an operation that
    /// makes joints with an arc and is not a tack is a `weld`.
    #[must_use]
    pub fn does(&self, operation: usize, act: &str) -> bool {
        self.acts.get(operation).is_some_and(|acts| acts.contains(act))
    }

    /// Whether two operations work on the same component, or one on the unit.
    #[must_use]
    pub fn same_component(a: &Operation, b: &Operation) -> bool {
        a.whole_unit() || b.whole_unit() || a.component == b.component
    }

    /// Whether two operations work close to each other.
    #[must_use]
    pub fn near(a: &Operation, b: &Operation) -> bool {
        Self::same_component(a, b) && parts::near(&a.at, &b.at)
    }

    /// Hold points tagged `rule` that concern `operation`: its own, and those of
    /// operations nearby that name its joints or none.
    pub fn holds<'v>(&'v self, operation: usize, rule: &'v str) -> impl Iterator<Item = HoldAt<'a>> + 'v {
        let operations = self.problem.operations();
        let own = operations.get(operation);
        self.turns().flat_map(move |(position, i, op)| {
            op.points.iter().filter_map(move |point| {
                if point.kind != PointKind::Hold || point.rule.as_deref() != Some(rule) {
                    return None;
                }
                let own = own?;
                let concerned = point.joints.as_ref().or(op.joints.as_ref());
                let fits = i == operation
                    || (concerned.is_none() || own.joints.is_none() || concerned == own.joints.as_ref())
                        && View::near(op, own);
                fits.then_some(HoldAt { position, operation: i, point })
            })
        })
    }
}

/// A hold point in the route.
#[derive(Debug, Clone, Copy)]
pub struct HoldAt<'a> {
    /// Position of its operation.
    pub position: usize,
    /// Its place in the problem.
    pub operation: usize,
    /// What is signed, by whom, before or after the operation.
    pub point: &'a Point,
}

impl HoldAt<'_> {
    /// Whether it is signed before the operation at `position` starts.
    #[must_use]
    pub fn is_before(&self, position: usize) -> bool {
        self.position < position || self.position == position && self.point.moment == Moment::Before
    }

    /// Whether it is signed after the operation at `position` is done.
    #[must_use]
    pub fn is_after(&self, position: usize) -> bool {
        self.position > position || self.position == position && self.point.moment == Moment::After
    }
}

fn effective_acts(op: &Operation) -> BTreeSet<String> {
    let mut acts: BTreeSet<String> = op.acts.iter().map(|a| a.trim().to_lowercase()).collect();
    let makes_joints = op.joints.is_some() && acts.contains("arc") && !acts.contains("tack");
    if op.verb == "weld" || makes_joints {
        acts.insert("weld".to_owned());
    }
    if acts.contains("weld") || acts.contains("tack") {
        acts.insert("arc".to_owned());
    }
    acts
}
