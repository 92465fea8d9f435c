//! The problem as index tables, for the searches.
//!
//! Operations are renumbered by their place in the procedure's order, so that
//! a smaller index always means earlier in the procedure, whatever order the
//! caller added them in.

use std::collections::{BTreeMap, BTreeSet};

use super::cost::{Side, places};
use super::problem::{Problem, StateId};

/// One operation in the tables.
#[derive(Debug, Clone)]
pub(super) struct Op {
    /// Index in the problem.
    pub(super) source: usize,
    pub(super) requires: Vec<usize>,
    pub(super) forbids: Vec<usize>,
    pub(super) provides: Vec<usize>,
    /// Without the states it also provides.
    pub(super) clears: Vec<usize>,
    pub(super) station: usize,
    pub(super) component: usize,
    pub(super) whole_unit: bool,
    pub(super) hold: bool,
    pub(super) rank: u32,
    pub(super) deferred: bool,
    /// May be left out and has no demands (see [`Compiled::relaxed`]).
    pub(super) optional: bool,
}

/// Operations and states as index tables.
#[derive(Debug, Clone)]
pub(super) struct Compiled {
    pub(super) ops: Vec<Op>,
    pub(super) start: Vec<bool>,
    pub(super) stations: usize,
    pub(super) components: usize,
    pub(super) requirers: Vec<Vec<usize>>,
    pub(super) forbidders: Vec<Vec<usize>>,
    pub(super) providers: Vec<Vec<usize>>,
    pub(super) clearers: Vec<Vec<usize>>,
}

/// One thing an operation asks for: `state` must be true (or false).
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Demand {
    /// The operation that asks, as in [`Problem::operations`].
    pub operation: usize,
    /// What has to be true or false when it starts.
    pub state: StateId,
    /// True for a required state, false for a forbidden one.
    pub must_be: bool,
}

impl Compiled {
    /// The whole problem.
    pub(super) fn new(problem: &Problem) -> Self {
        Self::relaxed(problem, &vec![true; problem.operations().len()], &BTreeSet::new())
    }

    /// The problem with some operations made free: one not kept has no demands
    /// and may be left out, so it can help and never hinders. `dropped` demands
    /// of kept operations are not asked for. Keeping less or dropping more never
    /// makes an order impossible that was possible before.
    pub(super) fn relaxed(problem: &Problem, keep: &[bool], dropped: &BTreeSet<Demand>) -> Self {
        let operations = problem.operations();
        let mut stations: BTreeMap<&str, usize> = BTreeMap::new();
        let mut components: BTreeMap<&str, usize> = BTreeMap::new();
        for op in operations {
            stations.entry(&op.station).or_default();
            components.entry(&op.component).or_default();
        }
        for (index, value) in stations.values_mut().enumerate() {
            *value = index;
        }
        for (index, value) in components.values_mut().enumerate() {
            *value = index;
        }
        let mut by_place = vec![0; operations.len()];
        for (source, place) in places(problem).into_iter().enumerate() {
            by_place[place] = source;
        }
        let ops = by_place
            .into_iter()
            .map(|source| {
                let op = &operations[source];
                let kept = keep.get(source).copied().unwrap_or(true);
                let demands = |states: &[StateId], must_be: bool| {
                    let asked = states.iter().copied().filter(|&state| {
                        kept && !dropped.contains(&Demand { operation: source, state, must_be })
                    });
                    sorted(asked)
                };
                let provides = sorted(op.provides.iter().copied());
                let mut clears = sorted(op.clears.iter().copied());
                clears.retain(|s| provides.binary_search(s).is_err());
                Op {
                    source,
                    requires: demands(&op.requires, true),
                    forbids: demands(&op.forbids, false),
                    provides,
                    clears,
                    station: stations[op.station.as_str()],
                    component: components[op.component.as_str()],
                    whole_unit: op.whole_unit(),
                    hold: op.has_hold(),
                    rank: op.rank,
                    deferred: op.deferred && kept,
                    optional: !kept,
                }
            })
            .collect();
        Self::index(ops, problem.start(), stations.len(), components.len())
    }

    fn index(ops: Vec<Op>, start: Vec<bool>, stations: usize, components: usize) -> Self {
        let gather = |list: fn(&Op) -> &[usize]| {
            let mut table = vec![Vec::new(); start.len()];
            for (index, op) in ops.iter().enumerate() {
                for &state in list(op) {
                    table[state].push(index);
                }
            }
            table
        };
        Self {
            requirers: gather(|o| &o.requires),
            forbidders: gather(|o| &o.forbids),
            providers: gather(|o| &o.provides),
            clearers: gather(|o| &o.clears),
            ops,
            start,
            stations,
            components,
        }
    }

    /// Number of operations.
    pub(super) fn len(&self) -> usize {
        self.ops.len()
    }

    /// Whether `first` before `later` crosses a hold.
    pub(super) fn crosses(&self, first: usize, later: usize) -> bool {
        let side = |op: &Op| Side {
            rank: op.rank,
            hold: op.hold,
            whole_unit: op.whole_unit,
            component: op.component,
        };
        side(&self.ops[first]).crosses(&side(&self.ops[later]))
    }

    /// An order of table indices as one of problem indices.
    pub(super) fn to_problem(&self, order: &[usize]) -> Vec<usize> {
        order.iter().map(|&i| self.ops[i].source).collect()
    }
}

fn sorted(states: impl Iterator<Item = StateId>) -> Vec<usize> {
    let mut list: Vec<usize> = states.map(StateId::index).collect();
    list.sort_unstable();
    list.dedup();
    list
}
