//! When there is no order: the smallest set of operations and states that
//! block each other.
//!
//! The set is found by deletion. An operation is set free (it loses its demands
//! and may be left out, so it can only help); if the rest is still blocked, it
//! had no part in the conflict. What stays is irreducible: set any one of its
//! operations free, and the others can be ordered. Where one or two operations
//! block each other, those are taken, because they are fewer. The same is then
//! done with the single demands of the operations.

use std::collections::BTreeSet;

use super::certify;
use super::compiled::{Compiled, Demand};
use super::precedence::Precedence;
use super::problem::{Problem, StateId};
use super::telling;
use super::walk::{self, Policy, Walked};

/// Operations that block each other.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Conflict {
    /// The operations, in the procedure's order. Setting any of them free would
    /// end the conflict.
    pub operations: Vec<usize>,
    /// Further operations the explanation names: they provide or clear the
    /// states, but ask for nothing that matters here.
    pub involved: Vec<usize>,
    /// What they ask for that can't all be had.
    pub demands: Vec<Demand>,
    /// True when it is checked that every single one is needed for the conflict.
    /// False when a check ran out of steps, so the set may be too large.
    pub minimal: bool,
    /// The demand the explanation starts with.
    pub start: Option<Demand>,
    /// The conflict in a few sentences.
    pub explanation: String,
}

/// Whether the states alone show, without search, that there is no order.
pub(super) fn hopeless(c: &Compiled, p: &Precedence) -> bool {
    let circle = p.sort().is_err_and(|waiting| waiting.iter().any(|&i| !c.ops[i].optional));
    circle || !unreachable(c).is_empty()
}

/// Operations that can never run even if a state, once had, was never lost.
fn unreachable(c: &Compiled) -> Vec<usize> {
    // Both truth values of a state are counted as had from the moment on they
    // first occur.
    let mut was_on = c.start.clone();
    let mut was_off: Vec<bool> = c.start.iter().map(|on| !on).collect();
    let mut unmet: Vec<usize> = c
        .ops
        .iter()
        .map(|o| {
            o.requires.iter().filter(|&&s| !was_on[s]).count()
                + o.forbids.iter().filter(|&&s| !was_off[s]).count()
        })
        .collect();
    let mut queue: Vec<usize> = (0..c.len()).filter(|&i| unmet[i] == 0).collect();
    let mut done = vec![false; c.len()];
    let mut now_left = c.ops.iter().filter(|o| !o.optional && !o.deferred).count();
    let mut waiting = Vec::new();
    while let Some(i) = queue.pop() {
        if c.ops[i].deferred && now_left > 0 {
            waiting.push(i);
            continue;
        }
        done[i] = true;
        if !c.ops[i].optional && !c.ops[i].deferred {
            now_left -= 1;
            if now_left == 0 {
                queue.append(&mut waiting);
            }
        }
        let mut met = |users: &[usize], queue: &mut Vec<usize>| {
            for &u in users {
                unmet[u] -= 1;
                if unmet[u] == 0 {
                    queue.push(u);
                }
            }
        };
        for &s in &c.ops[i].provides {
            if !std::mem::replace(&mut was_on[s], true) {
                met(&c.requirers[s], &mut queue);
            }
        }
        for &s in &c.ops[i].clears {
            if !std::mem::replace(&mut was_off[s], true) {
                met(&c.forbidders[s], &mut queue);
            }
        }
    }
    (0..c.len()).filter(|&i| !done[i] && !c.ops[i].optional).collect()
}

/// Above this many operations no smaller set than the irreducible one is looked for.
const PAIRS_LIMIT: usize = 256;

/// Whether no order exists; none when the steps ran out.
fn blocked(problem: &Problem, keep: &[bool], dropped: &BTreeSet<Demand>, steps: &mut usize) -> Option<bool> {
    // Building the tables takes time as well, about this many steps' worth.
    *steps = steps.checked_sub(keep.len() / 8)?;
    let c = Compiled::relaxed(problem, keep, dropped);
    let p = Precedence::find(&c);
    if hopeless(&c, &p) {
        return Some(true);
    }
    match walk::walk(&c, &p, Policy::Procedure, steps) {
        Walked::Order(_) => Some(false),
        Walked::Nowhere => Some(true),
        Walked::OutOfSteps => None,
    }
}

/// The conflict of a problem that is said to have no order, if the independent
/// check agrees that it has none.
pub(super) fn certified(problem: &Problem, steps: usize) -> Option<Conflict> {
    let conflict = explain(problem, steps);
    let verdict = certify::check(problem, &conflict.operations, &conflict.demands);
    (verdict == certify::Verdict::Blocked).then_some(conflict)
}

/// Finds the conflict of a problem that has no order.
fn explain(problem: &Problem, steps: usize) -> Conflict {
    let mut steps = steps;
    let steps = &mut steps;
    let mut keep = first_suspects(problem, steps);
    let mut minimal = true;
    let none = BTreeSet::new();
    // Chunks first, so that a large job is thinned out quickly; the pass with
    // chunks of one is the proof that each operation left is needed.
    let mut suspects: Vec<usize> = (0..keep.len()).filter(|&i| keep[i]).collect();
    let mut chunk = suspects.len().div_ceil(2).max(1);
    loop {
        let mut unsure = false;
        for part in suspects.chunks(chunk) {
            part.iter().for_each(|&i| keep[i] = false);
            let answer = blocked(problem, &keep, &none, steps);
            unsure |= answer.is_none();
            if answer != Some(true) {
                part.iter().for_each(|&i| keep[i] = true);
            }
        }
        suspects.retain(|&i| keep[i]);
        if chunk == 1 {
            minimal &= !unsure;
            break;
        }
        chunk = chunk.min(suspects.len()).div_ceil(2).max(1);
    }
    if let Some(fewer) = smaller(problem, suspects.len(), steps) {
        suspects = fewer;
        keep.fill(false);
        suspects.iter().for_each(|&i| keep[i] = true);
    }
    let mut demands: Vec<Demand> = suspects.iter().flat_map(|&i| demands_of(problem, i)).collect();
    let mut dropped = BTreeSet::new();
    for &demand in &demands {
        dropped.insert(demand);
        let answer = blocked(problem, &keep, &dropped, steps);
        minimal &= answer.is_some();
        if answer != Some(true) {
            dropped.remove(&demand);
        }
    }
    demands.retain(|d| !dropped.contains(d));
    let places = super::cost::places(problem);
    suspects.sort_by_key(|&i| places[i]);
    demands.sort_by_key(|d| (places[d.operation], d.state, !d.must_be));
    let mut involved: Vec<usize> = demands.iter().flat_map(|d| telling::touching(problem, *d).0).collect();
    involved.retain(|i| !suspects.contains(i));
    involved.sort_by_key(|&i| places[i]);
    involved.dedup();
    let concerned = [suspects.as_slice(), &involved].concat();
    let told = telling::tell(problem, &concerned, suspects.len(), &demands);
    Conflict { operations: suspects, involved, demands, minimal, start: told.start, explanation: told.text }
}

/// A smaller blocked set to start from, where the states show one directly.
fn first_suspects(problem: &Problem, steps: &mut usize) -> Vec<bool> {
    let n = problem.operations().len();
    let c = Compiled::new(problem);
    let mut candidates = vec![unreachable(&c)];
    candidates.extend(Precedence::find(&c).sort().err());
    for candidate in candidates {
        let mut keep = vec![false; n];
        c.to_problem(&candidate).into_iter().for_each(|i| keep[i] = true);
        if !candidate.is_empty() && blocked(problem, &keep, &BTreeSet::new(), steps) == Some(true) {
            return keep;
        }
    }
    vec![true; n]
}

/// One or two operations that block each other, if fewer than `than` do: an
/// irreducible set need not be the smallest.
fn smaller(problem: &Problem, than: usize, steps: &mut usize) -> Option<Vec<usize>> {
    let ops = problem.operations();
    if ops.len() > PAIRS_LIMIT {
        return None;
    }
    let mut blocks = |set: &[usize]| {
        let mut keep = vec![false; ops.len()];
        set.iter().for_each(|&i| keep[i] = true);
        blocked(problem, &keep, &BTreeSet::new(), steps) == Some(true)
    };
    let asks = |i: usize| !ops[i].requires.is_empty() || !ops[i].forbids.is_empty();
    if than > 1
        && let Some(one) = (0..ops.len()).filter(|&i| asks(i)).find(|&i| blocks(&[i]))
    {
        return Some(vec![one]);
    }
    if than <= 2 {
        return None;
    }
    // Two block each other only if one touches what the other asks for, or both
    // ask for the same.
    let asked = |i: usize| ops[i].requires.iter().chain(&ops[i].forbids);
    let touches = |a: usize, b: usize| {
        let by_a = || ops[a].provides.iter().chain(&ops[a].clears).chain(asked(a));
        asked(b).any(|s| by_a().any(|t| t == s))
    };
    (0..ops.len())
        .flat_map(|a| (a + 1..ops.len()).map(move |b| [a, b]))
        .filter(|&[a, b]| (asks(a) && asks(b)) && (touches(a, b) || touches(b, a)))
        .find(|pair| blocks(pair))
        .map(Vec::from)
}

fn demands_of(problem: &Problem, operation: usize) -> Vec<Demand> {
    let op = &problem.operations()[operation];
    let asked = |states: &[StateId], must_be: bool| {
        states.iter().map(|&state| Demand { operation, state, must_be }).collect::<Vec<_>>()
    };
    let mut all = asked(&op.requires, true);
    all.extend(asked(&op.forbids, false));
    all.sort_unstable();
    all.dedup();
    all
}
