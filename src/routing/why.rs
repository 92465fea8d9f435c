//! Why an operation stands where it does, and how far it could still move.
//!
//! Everything is read off the found order by replay: who made a needed state
//! true last, who needs what it provides, whom it has to come before.

use super::cost::held_apart;
use super::problem::{Operation, Problem, StateId};
use super::replay::{self, Fault};

/// A state an operation relies on, and since when it is as wanted.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Need {
    /// The state.
    pub state: StateId,
    /// True when it is required, false when it is forbidden.
    pub must_be: bool,
    /// The operation that last made it so; none when it was so at the start.
    pub since: Option<usize>,
}

/// A tie to a later operation.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Tie {
    /// The later operation.
    pub later: usize,
    /// The state between them.
    pub state: StateId,
    /// What ties them.
    pub kind: TieKind,
}

/// What ties an operation to a later one.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum TieKind {
    /// The later one needs what this one provides.
    Provides,
    /// The later one must not run before this one has cleared the state.
    Clears,
    /// The later one clears what this one needs.
    NeedsBeforeCleared,
    /// The later one provides what this one forbids.
    ForbidsBeforeProvided,
}

/// What stops an operation from moving further.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Stop {
    /// The end of the route.
    End,
    /// An operation would find a state false (or true) that must not be.
    State {
        /// The operation that would be hindered; may be the moved one.
        operation: usize,
        /// The state.
        state: StateId,
        /// What the operation wants it to be.
        must_be: bool,
    },
    /// A hold stands between the two, in the procedure's order.
    Hold {
        /// The operation on the other side.
        operation: usize,
    },
    /// Hand-over stands between them.
    HandOver {
        /// The operation on the other side.
        operation: usize,
    },
}

/// How far an operation could move, everything else kept.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Room {
    /// Number of operations it could pass.
    pub places: usize,
    /// What stops it there.
    pub stop: Stop,
}

/// Why an operation stands where it does.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Why {
    /// The operation.
    pub operation: usize,
    /// Its position in the route, from 0.
    pub position: usize,
    /// What it relies on.
    pub needs: Vec<Need>,
    /// Later operations that are tied to it.
    pub ties: Vec<Tie>,
    /// How far it could move forward, towards the start.
    pub earlier: Room,
    /// How far it could move back, towards the end.
    pub later: Room,
}

/// Explains one operation of a route. None when it is not in `order`.
#[must_use]
pub fn why(problem: &Problem, order: &[usize], operation: usize) -> Option<Why> {
    let position = order.iter().position(|&o| o == operation)?;
    let op = problem.operations().get(operation)?;
    let needs = op
        .requires
        .iter()
        .map(|&s| (s, true))
        .chain(op.forbids.iter().map(|&s| (s, false)))
        .map(|(state, must_be)| {
            let makes = |o: &&usize| sets(problem, **o, state) == Some(must_be);
            Need { state, must_be, since: order[..position].iter().rev().find(makes).copied() }
        })
        .collect();
    Some(Why {
        operation,
        position,
        needs,
        ties: ties(problem, op, order.get(position + 1..).unwrap_or_default()),
        earlier: before(problem, order, position),
        later: after(problem, order, position),
    })
}

/// What `operation` makes of `state`, if it touches it.
fn sets(problem: &Problem, operation: usize, state: StateId) -> Option<bool> {
    let op = problem.operations().get(operation)?;
    if op.provides.contains(&state) { Some(true) } else { op.clears.contains(&state).then_some(false) }
}

fn ties(problem: &Problem, op: &Operation, rest: &[usize]) -> Vec<Tie> {
    let mut found = Vec::new();
    let clears = op.clears.iter().filter(|s| !op.provides.contains(s));
    let made = op.provides.iter().map(|&s| (s, true)).chain(clears.map(|&s| (s, false)));
    for (state, value) in made {
        for &later in rest {
            let Some(user) = problem.operations().get(later) else { continue };
            let list = if value { &user.requires } else { &user.forbids };
            if list.contains(&state) {
                let kind = if value { TieKind::Provides } else { TieKind::Clears };
                found.push(Tie { later, state, kind });
            }
            if sets(problem, later, state).is_some() {
                break;
            }
        }
    }
    let asked = op.requires.iter().map(|&s| (s, true)).chain(op.forbids.iter().map(|&s| (s, false)));
    for (state, value) in asked {
        if let Some(&later) = rest.iter().find(|&&o| sets(problem, o, state) == Some(!value)) {
            let kind = if value { TieKind::NeedsBeforeCleared } else { TieKind::ForbidsBeforeProvided };
            found.push(Tie { later, state, kind });
        }
    }
    found
}

/// How far the operation at `position` could move towards the start.
#[must_use]
pub fn before(problem: &Problem, order: &[usize], position: usize) -> Room {
    room(problem, order, position, true)
}

/// How far the operation at `position` could move towards the end.
#[must_use]
pub fn after(problem: &Problem, order: &[usize], position: usize) -> Room {
    room(problem, order, position, false)
}

fn room(problem: &Problem, order: &[usize], position: usize, forward: bool) -> Room {
    let mut trial = order.to_vec();
    let mut at = position;
    let mut places = 0;
    loop {
        let beside = if forward { at.checked_sub(1) } else { Some(at + 1) };
        let Some(beside) = beside.filter(|&b| b < trial.len() && at < trial.len()) else {
            return Room { places, stop: Stop::End };
        };
        let (first, second) = (trial[at.min(beside)], trial[at.max(beside)]);
        let other = trial[beside];
        trial.swap(at, beside);
        let stop = if swap_crosses(problem, first, second) {
            Some(Stop::Hold { operation: other })
        } else {
            replay::faults(problem, &trial).first().map(|fault| stop_of(fault, other))
        };
        if let Some(stop) = stop {
            return Room { places, stop };
        }
        at = beside;
        places += 1;
    }
}

/// Whether putting `second` before `first` would cross a hold.
fn swap_crosses(problem: &Problem, first: usize, second: usize) -> bool {
    let ops = problem.operations();
    matches!((ops.get(first), ops.get(second)), (Some(a), Some(b)) if a.rank < b.rank && held_apart(a, b))
}

fn stop_of(fault: &Fault, other: usize) -> Stop {
    match *fault {
        Fault::Lacks { operation, state, .. } => Stop::State { operation, state, must_be: true },
        Fault::Meets { operation, state, .. } => Stop::State { operation, state, must_be: false },
        Fault::TooSoon { .. } | Fault::Unknown { .. } | Fault::Missing { .. } | Fault::Twice { .. } => {
            Stop::HandOver { operation: other }
        }
    }
}

impl Why {
    /// The explanation in sentences, needs first, then what waits for it, then
    /// the room it has.
    #[must_use]
    pub fn sentences(&self, problem: &Problem) -> Vec<String> {
        let me = problem.name(self.operation);
        let mut lines = Vec::new();
        for need in &self.needs {
            let key = problem.state_key(need.state);
            lines.push(match (need.must_be, need.since) {
                (true, Some(by)) => format!("{me} needs {key}, which {} provides.", problem.name(by)),
                (true, None) => format!("{me} needs {key}, which is true from the start."),
                (false, Some(by)) => {
                    format!("{me} must not run while {key} is true; {} clears it.", problem.name(by))
                }
                (false, None) => {
                    format!("{me} must not run while {key} is true; it is false from the start.")
                }
            });
        }
        for tie in &self.ties {
            let key = problem.state_key(tie.state);
            let later = problem.name(tie.later);
            lines.push(match tie.kind {
                TieKind::Provides => format!("{later} needs {key}, which {me} provides."),
                TieKind::Clears => format!("{later} must not run while {key} is true; {me} clears it."),
                TieKind::NeedsBeforeCleared => format!("{me} comes before {later}, which clears {key}."),
                TieKind::ForbidsBeforeProvided => format!("{me} comes before {later}, which provides {key}."),
            });
        }
        lines.push(self.earlier.sentence(problem, &me, "earlier"));
        lines.push(self.later.sentence(problem, &me, "later"));
        lines
    }
}

impl Room {
    /// In one sentence; `way` is `earlier` or `later`.
    #[must_use]
    pub fn sentence(self, problem: &Problem, me: &str, way: &str) -> String {
        let places = match self.places {
            0 => format!("{me} can't move {way}"),
            1 => format!("{me} could move one place {way}"),
            n => format!("{me} could move {n} places {way}"),
        };
        let reason = match self.stop {
            Stop::End => return format!("{places}; there the route ends."),
            Stop::State { operation, state, must_be } => {
                let key = problem.state_key(state);
                let name = problem.name(operation);
                if must_be { format!("{name} would lack {key}") } else { format!("{name} would meet {key}") }
            }
            Stop::Hold { operation } => format!("a hold keeps it on its side of {}", problem.name(operation)),
            Stop::HandOver { operation } => {
                format!("hand-over stands between it and {}", problem.name(operation))
            }
        };
        format!("{places}: {reason}.")
    }
}
