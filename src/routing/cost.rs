//! What makes one workable order better than another.
//!
//! Costs compare in this order, each only when all before are equal: hold
//! crossings, station changes, component changes. Among orders of equal cost
//! the one that follows the procedure longest is taken: the sequences of
//! places are compared as words are in a dictionary. The place of an operation
//! is its position when all operations are sorted by rank and then by key.
//!
//! **Hold crossing.** A hold stops work on its component (a hold of the whole
//! unit stops all work) until somebody has signed. So what the procedure puts
//! before an operation with a hold is done before it, and what it puts behind
//! is not pulled forward past the signature to save a walk. Each pair of
//! operations that stands the other way round than their ranks, where one of
//! the two carries a hold that covers the other, is a crossing. The states
//! decide in the end: where they leave no order without a crossing, the fewest
//! crossings are taken and every one is reported. Equal ranks never cross.
//! Witness and review points are no barriers: work may go on past them.

use super::problem::{Operation, Problem};

/// Cost of an order; smaller is better.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Default, Hash)]
pub struct Cost {
    /// Pairs that stand the other way round than the procedure has them,
    /// across a hold.
    pub hold_crossings: usize,
    /// Neighbours in the order at different stations.
    pub station_changes: usize,
    /// Neighbours in the order on different components.
    pub component_changes: usize,
}

/// Two operations the route has the other way round than the procedure, with
/// a hold between them.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Crossing {
    /// The operation that comes first in the route.
    pub first: usize,
    /// The operation that comes later in the route but earlier in the procedure.
    pub later: usize,
}

/// What the rule of hold crossings looks at in an operation. The searches use
/// it with numbers for components, the definition with words.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Side<C> {
    pub(super) rank: u32,
    pub(super) hold: bool,
    pub(super) whole_unit: bool,
    pub(super) component: C,
}

impl<C: PartialEq> Side<C> {
    /// Whether a hold of one of the two keeps them in the procedure's order.
    /// This is the only place that says so.
    pub(super) fn held_apart(&self, other: &Self) -> bool {
        let covers = |h: &Self, o: &Self| h.hold && (h.whole_unit || h.component == o.component);
        self.rank != other.rank && (covers(self, other) || covers(other, self))
    }

    /// Whether doing this one before `later` crosses a hold.
    pub(super) fn crosses(&self, later: &Self) -> bool {
        self.rank > later.rank && self.held_apart(later)
    }
}

fn side(op: &Operation) -> Side<&str> {
    Side { rank: op.rank, hold: op.has_hold(), whole_unit: op.whole_unit(), component: op.component.as_str() }
}

/// Whether a hold of one of the two keeps them in the procedure's order.
#[must_use]
pub fn held_apart(a: &Operation, b: &Operation) -> bool {
    side(a).held_apart(&side(b))
}

/// Every hold crossing of `order`.
#[must_use]
pub fn crossings(problem: &Problem, order: &[usize]) -> Vec<Crossing> {
    let ops = problem.operations();
    let holds: Vec<bool> = order.iter().map(|&o| ops.get(o).is_some_and(Operation::has_hold)).collect();
    let mut found = Vec::new();
    for (i, &first) in order.iter().enumerate() {
        let Some(a) = ops.get(first) else { continue };
        for (j, &later) in order.iter().enumerate().skip(i + 1) {
            // A pair without a hold is passed over before anything is compared.
            if (holds[i] || holds[j])
                && let Some(b) = ops.get(later)
                && side(a).crosses(&side(b))
            {
                found.push(Crossing { first, later });
            }
        }
    }
    found
}

/// Cost of `order`, counted from its definition.
#[must_use]
pub fn cost(problem: &Problem, order: &[usize]) -> Cost {
    let ops = problem.operations();
    let changes = |differ: fn(&Operation, &Operation) -> bool| {
        order
            .windows(2)
            .filter(|pair| matches!((ops.get(pair[0]), ops.get(pair[1])), (Some(a), Some(b)) if differ(a, b)))
            .count()
    };
    Cost {
        hold_crossings: crossings(problem, order).len(),
        station_changes: changes(|a, b| a.station != b.station),
        component_changes: changes(|a, b| a.component != b.component),
    }
}

/// Place of every operation in the procedure's own order: by rank, then key.
#[must_use]
pub fn places(problem: &Problem) -> Vec<usize> {
    let ops = problem.operations();
    let mut sorted: Vec<usize> = (0..ops.len()).collect();
    sorted.sort_by(|&a, &b| (ops[a].rank, &ops[a].key).cmp(&(ops[b].rank, &ops[b].key)));
    let mut places = vec![0; ops.len()];
    for (place, &op) in sorted.iter().enumerate() {
        places[op] = place;
    }
    places
}
