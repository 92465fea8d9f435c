//! Why an operation stands where it does, and how far it could still move.
//!
//! Everything is read off the found order by replay: who made a needed state
//! true last, who needs what it provides, whom it has to come before.

use super::cost::held_apart;
use super::problem::{Operation, Problem, StateId};
use super::replay::{self, Fault};
use super::speech::{Speech, listed};

/// A state an operation relies on, and since when it is as wanted.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Need {
    /// What the operation requires or forbids.
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
        /// What would be the wrong way round for it.
        state: StateId,
        /// What the operation wants it to be.
        must_be: bool,
        /// The operation that can't be passed.
        beside: usize,
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
    /// Its place in the problem, whatever its place in the route.
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
    Some(Why {
        operation,
        position,
        needs: needs(problem, order, operation)?,
        ties: ties(problem, op, order.get(position + 1..).unwrap_or_default()),
        earlier: before(problem, order, position),
        later: after(problem, order, position),
    })
}

/// What an operation of a route relies on.
fn needs(problem: &Problem, order: &[usize], operation: usize) -> Option<Vec<Need>> {
    let position = order.iter().position(|&o| o == operation)?;
    let op = problem.operations().get(operation)?;
    let asked = op.requires.iter().map(|&s| (s, true)).chain(op.forbids.iter().map(|&s| (s, false)));
    let needs = asked.map(|(state, must_be)| {
        let makes = |o: &&usize| sets(problem, **o, state) == Some(must_be);
        Need { state, must_be, since: order[..position].iter().rev().find(makes).copied() }
    });
    Some(needs.collect())
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
        let fault = replay::faults(problem, &trial).first().map(|fault| stop_of(fault, other));
        let hold = || swap_crosses(problem, first, second).then_some(Stop::Hold { operation: other });
        let stop = fault.or_else(hold);
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
        Fault::Lacks { operation, state, .. } => {
            Stop::State { operation, state, must_be: true, beside: other }
        }
        Fault::Meets { operation, state, .. } => {
            Stop::State { operation, state, must_be: false, beside: other }
        }
        Fault::TooSoon { .. } | Fault::Unknown { .. } | Fault::Missing { .. } | Fault::Twice { .. } => {
            Stop::HandOver { operation: other }
        }
    }
}

/// Operations told with their reasons; further ones only by number.
const TOLD: usize = 4;

/// Steps of the chain told with their titles.
const CHAIN: usize = 6;

impl Why {
    /// The explanation in sentences: what it waits for, the chain behind that,
    /// what waits for it, and the room it has.
    #[must_use]
    pub fn sentences(&self, problem: &Problem, order: &[usize]) -> Vec<String> {
        let speech = Speech::new(problem, order);
        let place = |operation: usize| order.iter().position(|&o| o == operation).unwrap_or(usize::MAX);
        let mut lines = Vec::new();
        let needs = self.needs.iter().filter_map(|need| {
            let state = speech.state(need.state, self.operation);
            Some((need.since?, if need.must_be { state } else { format!("no longer \"{state}\"") }))
        });
        let mut waits = grouped(needs);
        waits.sort_by_key(|(operation, _)| std::cmp::Reverse(place(*operation)));
        told(
            &mut lines,
            &speech,
            &waits,
            |who, what| format!("It waits for {who}: {what}."),
            "It also waits for",
        );
        if waits.is_empty() {
            lines.push("It waits for nothing.".to_owned());
        } else {
            lines.push(chain(problem, &speech, order, self));
        }
        let ties = self.ties.iter().map(|tie| {
            let state = speech.state(tie.state, self.operation);
            (
                tie.later,
                match tie.kind {
                    TieKind::Provides => state,
                    TieKind::Clears => format!("no longer \"{state}\""),
                    TieKind::NeedsBeforeCleared => format!("it needs \"{state}\", which ends there"),
                    TieKind::ForbidsBeforeProvided => format!("it has to be done before \"{state}\""),
                },
            )
        });
        let mut before = grouped(ties);
        before.sort_by_key(|(operation, _)| place(*operation));
        told(
            &mut lines,
            &speech,
            &before,
            |who, what| format!("It comes before {who}: {what}."),
            "It also comes before",
        );
        lines.push(self.earlier.sentence(&speech, self.operation, true));
        lines.push(self.later.sentence(&speech, self.operation, false));
        lines
    }
}

/// Reasons gathered by operation, in the order of their first reason.
fn grouped(reasons: impl Iterator<Item = (usize, String)>) -> Vec<(usize, Vec<String>)> {
    let mut groups: Vec<(usize, Vec<String>)> = Vec::new();
    for (operation, reason) in reasons {
        match groups.iter_mut().find(|(o, _)| *o == operation) {
            Some((_, known)) if known.contains(&reason) => {}
            Some((_, known)) => known.push(reason),
            None => groups.push((operation, vec![reason])),
        }
    }
    groups
}

/// The first few with their reasons, the rest by number.
fn told(
    lines: &mut Vec<String>,
    speech: &Speech<'_>,
    groups: &[(usize, Vec<String>)],
    sentence: impl Fn(&str, &str) -> String,
    also: &str,
) {
    for (operation, reasons) in groups.iter().take(TOLD) {
        lines.push(sentence(&speech.operation(*operation), &reasons.join("; ")));
    }
    let rest: Vec<String> = groups.iter().skip(TOLD).map(|(o, _)| speech.number(*o)).collect();
    if !rest.is_empty() {
        lines.push(format!("{also} {}.", listed(&rest)));
    }
}

/// From what it waits for last, back to the start.
fn chain(problem: &Problem, speech: &Speech<'_>, order: &[usize], of: &Why) -> String {
    let mut links = vec![of.operation];
    let mut here = of.clone();
    while let Some(before) =
        here.needs.iter().filter_map(|n| n.since).max_by_key(|&o| order.iter().position(|&x| x == o))
    {
        links.push(before);
        match needs(problem, order, before) {
            Some(found) => here = Why { needs: found, ..here },
            None => break,
        }
    }
    links.reverse();
    let skipped = links.len().saturating_sub(CHAIN);
    let shown: Vec<String> = links
        .iter()
        .enumerate()
        .map(|(i, &o)| if i < skipped { speech.number(o) } else { speech.operation(o) })
        .collect();
    format!("The chain that leads to it: {}.", shown.join(" > "))
}

impl Room {
    /// In one sentence; `me` is the operation that would move.
    #[must_use]
    pub fn sentence(self, speech: &Speech<'_>, me: usize, forward: bool) -> String {
        let (way, past, end) =
            if forward { ("earlier", "before", "start") } else { ("later", "after", "end") };
        let free = match self.places {
            0 => "It can't go".to_owned(),
            1 => format!("It could move one place {way}, but not"),
            n => format!("It could move {n} places {way}, but not"),
        };
        match self.stop {
            Stop::End if self.places == 0 => format!("It can't move {way}: it stands at the {end}."),
            Stop::End => format!(
                "It could move {} {way}, to the {end}.",
                match self.places {
                    1 => "one place".to_owned(),
                    n => format!("{n} places"),
                }
            ),
            Stop::Hold { operation } => format!(
                "{free} {past} {}: a hold stands between them, and work does not pass it.",
                speech.operation(operation)
            ),
            Stop::HandOver { operation } => {
                format!("{free} {past} {}: hand-over stands between them.", speech.operation(operation))
            }
            Stop::State { operation, state, must_be, beside } => {
                let words = speech.state(state, operation);
                let reason = match (operation == me, operation == beside, must_be) {
                    (true, _, true) if forward => format!("it needs what that one gives: {words}"),
                    (true, _, false) if forward => format!("that one first ends \"{words}\""),
                    (true, _, true) => format!("there ends \"{words}\", which it needs"),
                    (true, _, false) => format!("there begins \"{words}\", which must not be at its turn"),
                    (_, true, true) if forward => format!("it would end \"{words}\" too soon"),
                    (_, true, false) if forward => format!("it would begin \"{words}\" too soon"),
                    (_, true, true) => format!("that one needs what this one gives: {words}"),
                    (_, true, false) => format!("that one must not find \"{words}\""),
                    (_, _, true) => format!("{} would lack {words}", speech.operation(operation)),
                    (_, _, false) => format!("{} would find \"{words}\"", speech.operation(operation)),
                };
                format!("{free} {past} {}: {reason}.", speech.operation(beside))
            }
        }
    }
}
