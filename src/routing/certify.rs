//! The independent check of a conflict: do its operations really block each
//! other?
//!
//! It shares no code with the order finder, on purpose. A claim that no order
//! exists is handed out only when this check agrees. It looks at the demands of
//! the conflict alone: first whether every operation could have its turn if no
//! state were ever lost, then at every order of the conflict's operations,
//! helped by all others, each at most once and without demands of its own.

use std::collections::{BTreeSet, HashSet};

use super::compiled::Demand;
use super::problem::{Problem, StateId};

/// Situations the check may look at.
const MOST_SITUATIONS: usize = 200_000;

/// What the check came to.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Verdict {
    /// No order of all operations exists.
    Blocked,
    /// These demands alone can be met.
    Orderable,
    /// Too much to look at.
    Unknown,
}

/// One operation, as far as the demands look at it.
struct Actor {
    /// Whether it has to have its turn.
    core: bool,
    deferred: bool,
    /// Place of a demanded state, and what it must be.
    asks: Vec<(usize, bool)>,
    /// Place of a demanded state, and what it becomes.
    sets: Vec<(usize, bool)>,
}

/// Whether the `core` operations with these `demands` block each other.
pub(super) fn check(problem: &Problem, core: &[usize], demands: &[Demand]) -> Verdict {
    let states: Vec<StateId> = demands.iter().map(|d| d.state).collect::<BTreeSet<_>>().into_iter().collect();
    let actors = actors(problem, core, demands, &states);
    let start: Vec<bool> = states.iter().map(|&s| problem.starts_with(s)).collect();
    if starved(&actors, &start) { Verdict::Blocked } else { search(&actors, start) }
}

fn actors(problem: &Problem, core: &[usize], demands: &[Demand], states: &[StateId]) -> Vec<Actor> {
    let place = |state: &StateId| states.binary_search(state).ok();
    let mut actors = Vec::new();
    for (index, op) in problem.operations().iter().enumerate() {
        let core = core.contains(&index);
        let mut sets: Vec<(usize, bool)> = op.provides.iter().filter_map(place).map(|s| (s, true)).collect();
        let cleared = op.clears.iter().filter(|s| !op.provides.contains(s));
        sets.extend(cleared.filter_map(place).map(|s| (s, false)));
        let asked = demands.iter().filter(|d| core && d.operation == index);
        let asks = asked.filter_map(|d| Some((place(&d.state)?, d.must_be))).collect();
        if core || !sets.is_empty() {
            actors.push(Actor { core, deferred: core && op.deferred, asks, sets });
        }
    }
    actors
}

/// Whether an operation can't have its turn even if every value a state once
/// had stayed at hand.
fn starved(actors: &[Actor], start: &[bool]) -> bool {
    let mut had: BTreeSet<(usize, bool)> = start.iter().copied().enumerate().collect();
    let mut waiting: Vec<&Actor> = actors.iter().collect();
    loop {
        let before = waiting.len();
        let mut proper = waiting.iter().filter(|a| a.core && !a.deferred).count();
        waiting.retain(|a| {
            let ready = a.asks.iter().all(|ask| had.contains(ask)) && (!a.deferred || proper == 0);
            if ready {
                had.extend(a.sets.iter().copied());
                proper -= usize::from(a.core && !a.deferred);
            }
            !ready
        });
        if waiting.len() == before {
            return waiting.iter().any(|a| a.core);
        }
    }
}

/// Looks at every order.
fn search(actors: &[Actor], start: Vec<bool>) -> Verdict {
    let first = (vec![false; actors.len()], start);
    let mut seen = HashSet::from([first.clone()]);
    let mut open = vec![first];
    while let Some((done, now)) = open.pop() {
        if actors.iter().zip(&done).all(|(a, done)| *done || !a.core) {
            return Verdict::Orderable;
        }
        if seen.len() > MOST_SITUATIONS {
            return Verdict::Unknown;
        }
        for turn in turns(actors, &done, &now) {
            let (mut done, mut now) = (done.clone(), now.clone());
            done[turn] = true;
            for &(state, value) in &actors[turn].sets {
                now[state] = value;
            }
            let next = (done, now);
            if !seen.contains(&next) {
                seen.insert(next.clone());
                open.push(next);
            }
        }
    }
    Verdict::Blocked
}

/// Operations worth trying now. One that can only help is the only one; a
/// helper that gives nothing anybody still asks for is none.
fn turns(actors: &[Actor], done: &[bool], now: &[bool]) -> Vec<usize> {
    let open = |i: &usize| !done[*i];
    let proper_left = (0..actors.len()).filter(open).any(|i| actors[i].core && !actors[i].deferred);
    let asked = |me: usize, wanted: (usize, bool)| {
        (0..actors.len()).filter(open).any(|i| i != me && actors[i].asks.contains(&wanted))
    };
    let set_by_others = |me: usize, value: (usize, bool)| {
        (0..actors.len()).filter(open).any(|i| i != me && actors[i].sets.contains(&value))
    };
    let ready: Vec<usize> = (0..actors.len())
        .filter(open)
        .filter(|&i| {
            let actor = &actors[i];
            let useful = || actor.sets.iter().any(|&(s, v)| now[s] != v && asked(i, (s, v)));
            actor.asks.iter().all(|&(s, v)| now[s] == v)
                && !(actor.deferred && proper_left)
                && (actor.core || useful())
        })
        .collect();
    let safe = ready
        .iter()
        .copied()
        .find(|&i| actors[i].sets.iter().all(|&(s, v)| !asked(i, (s, !v)) && !set_by_others(i, (s, !v))));
    safe.map_or(ready, |i| vec![i])
}
