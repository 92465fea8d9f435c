//! The independent check of an order: does each operation find what it needs?
//!
//! It shares no code with the order finder, on purpose. It walks through the
//! order once with the set of true states in hand.

use super::problem::{Problem, StateId};

/// What is wrong with an order.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Fault {
    /// The order names an operation the problem does not have.
    Unknown {
        /// Place in the order.
        position: usize,
    },
    /// An operation is missing.
    Missing {
        /// Its place in [`Problem::operations`].
        operation: usize,
    },
    /// An operation comes a second time.
    Twice {
        /// Place of the second time.
        position: usize,
        /// Its place in [`Problem::operations`].
        operation: usize,
    },
    /// A required state is false.
    Lacks {
        /// Place in the order.
        position: usize,
        /// The one that requires the state.
        operation: usize,
        /// What should be true when it starts.
        state: StateId,
    },
    /// A forbidden state is true.
    Meets {
        /// Place in the order.
        position: usize,
        /// The one that forbids the state.
        operation: usize,
        /// What should be false when it starts.
        state: StateId,
    },
    /// An operation of the time after hand-over comes before one of the job.
    TooSoon {
        /// Place in the order.
        position: usize,
        /// The deferred operation.
        operation: usize,
        /// An operation that has to be done first.
        waits_for: usize,
    },
}

/// Every fault of `order`, in the order a person meets them. Empty means the
/// order can be worked.
#[must_use]
pub fn faults(problem: &Problem, order: &[usize]) -> Vec<Fault> {
    let operations = problem.operations();
    let mut found = Vec::new();
    let mut now = problem.start();
    let mut done = vec![false; operations.len()];
    for (position, &operation) in order.iter().enumerate() {
        let Some(op) = operations.get(operation) else {
            found.push(Fault::Unknown { position });
            continue;
        };
        if done[operation] {
            found.push(Fault::Twice { position, operation });
            continue;
        }
        for &state in &op.requires {
            if !now[state.index()] {
                found.push(Fault::Lacks { position, operation, state });
            }
        }
        for &state in &op.forbids {
            if now[state.index()] {
                found.push(Fault::Meets { position, operation, state });
            }
        }
        if op.deferred
            && let Some(waits_for) = (0..operations.len()).find(|&o| !done[o] && !operations[o].deferred)
        {
            found.push(Fault::TooSoon { position, operation, waits_for });
        }
        done[operation] = true;
        for state in &op.clears {
            now[state.index()] = false;
        }
        for state in &op.provides {
            now[state.index()] = true;
        }
    }
    for (operation, _) in done.iter().enumerate().filter(|(_, done)| !**done) {
        found.push(Fault::Missing { operation });
    }
    found
}
