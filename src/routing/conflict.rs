//! When there is no order: the smallest set of operations and states that
//! block each other.
//!
//! The set is found by deletion. An operation is set free (it loses its demands
//! and may be left out, so it can only help); if the rest is still blocked, it
//! had no part in the conflict. What stays is irreducible: set any one of its
//! operations free, and the others can be ordered. The same is then done with
//! the single demands of those operations.

use std::collections::BTreeSet;

use super::compiled::{Compiled, Demand};
use super::precedence::Precedence;
use super::problem::{Problem, StateId};
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
    /// The conflict in words.
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

/// Clauses of an explanation before the rest is only counted.
const MOST_CLAUSES: usize = 16;

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

/// Finds the conflict of a problem that has no order.
pub(super) fn explain(problem: &Problem, steps: usize) -> Conflict {
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
    let mut involved: Vec<usize> = demands.iter().flat_map(|d| touching(problem, *d).0).collect();
    involved.retain(|i| !suspects.contains(i));
    involved.sort_by_key(|&i| places[i]);
    involved.dedup();
    let concerned = [suspects.as_slice(), &involved].concat();
    let explanation = words(problem, &concerned, suspects.len(), &demands);
    Conflict { operations: suspects, involved, demands, minimal, explanation }
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

/// The conflict as a chain of sentences that starts with the first operation
/// of the procedure and follows who provides what.
fn words(problem: &Problem, concerned: &[usize], core: usize, demands: &[Demand]) -> String {
    let mut clauses = Vec::new();
    let mut said = BTreeSet::new();
    let mut next = demands.first().map(|d| d.operation);
    while let Some(operation) = next {
        said.insert(operation);
        next = None;
        for demand in demands.iter().filter(|d| d.operation == operation) {
            let (clause, makers) = clause(problem, concerned, *demand);
            clauses.push(clause);
            let follow =
                makers.into_iter().find(|m| !said.contains(m) && demands.iter().any(|d| d.operation == *m));
            next = next.or(follow);
        }
        next = next.or_else(|| demands.iter().map(|d| d.operation).find(|o| !said.contains(o)));
    }
    if clauses.is_empty() {
        return "No order exists.".to_owned();
    }
    let end = match core {
        1 => String::new(),
        _ => " No order gives each of them what it needs.".to_owned(),
    };
    let more = match clauses.len().saturating_sub(MOST_CLAUSES) {
        0 => String::new(),
        n => format!("; and {n} more of the kind"),
    };
    clauses.truncate(MOST_CLAUSES);
    format!("{}{more}.{end}", clauses.join("; "))
}

/// Other operations that meet a demand, and those that undo it.
fn touching(problem: &Problem, demand: Demand) -> (Vec<usize>, Vec<usize>) {
    let Demand { operation, state, must_be } = demand;
    let ops = problem.operations();
    let lists = |list: fn(&super::problem::Operation) -> &[StateId]| {
        (0..ops.len()).filter(|&i| i != operation && list(&ops[i]).contains(&state)).collect::<Vec<_>>()
    };
    let provided = lists(|o| &o.provides);
    let mut cleared = lists(|o| &o.clears);
    cleared.retain(|i| !provided.contains(i));
    if must_be { (provided, cleared) } else { (cleared, provided) }
}

/// One demand in words, and the operations that could meet it.
fn clause(problem: &Problem, concerned: &[usize], demand: Demand) -> (String, Vec<usize>) {
    let Demand { operation, state, must_be } = demand;
    let ops = problem.operations();
    let (makers, mut spoilers) = touching(problem, demand);
    spoilers.retain(|i| concerned.contains(i));
    let own = if must_be { &ops[operation].provides } else { &ops[operation].clears };
    let makes_itself = own.contains(&state);
    let (make, spoil) = if must_be { ("provides", "clears") } else { ("clears", "provides") };
    let key = problem.state_key(state);
    let name = problem.name(operation);
    // Whether the state is as wanted before the first operation.
    let at_start = problem.starts_with(state) == must_be;
    let makers_text = makers_in_words(problem, &makers, make, makes_itself);
    let spoilers_text = names(problem, &spoilers, "and");
    let mut text = match must_be {
        true => format!("{name} needs {key}"),
        false => format!("{name} must not run while {key} is true"),
    };
    text.push_str(&match (must_be, at_start, spoilers.is_empty()) {
        (true, false, true) => format!(", which {makers_text}"),
        (true, false, false) => format!(", which {makers_text} and {spoilers_text} {spoil}"),
        (true, true, _) => {
            format!(", which is true at the start, but {spoilers_text} {spoil} it and {makers_text} it again")
        }
        (false, false, true) => format!("; it is true at the start and {makers_text} it"),
        (false, false, false) => {
            format!("; it is true at the start, {makers_text} it and {spoilers_text} {spoil} it again")
        }
        (false, true, _) => format!("; {spoilers_text} {spoil} it and {makers_text} it"),
    });
    if !ops[operation].deferred && makers.iter().any(|&m| ops[m].deferred) {
        text.push_str(" after hand-over");
    }
    (text, makers)
}

fn makers_in_words(problem: &Problem, makers: &[usize], verb: &str, makes_itself: bool) -> String {
    match makers {
        [] if makes_itself => format!("nothing else {verb}"),
        [] => format!("nothing {verb}"),
        [one] => format!("only {} {verb}", problem.name(*one)),
        many => format!("only {} {}", names(problem, many, "or"), verb),
    }
}

/// Names joined with commas and a last word.
pub(super) fn names(problem: &Problem, operations: &[usize], last: &str) -> String {
    let names: Vec<String> = operations.iter().map(|&o| problem.name(o)).collect();
    match names.as_slice() {
        [] => String::new(),
        [one] => one.clone(),
        [head @ .., tail] => format!("{} {last} {tail}", head.join(", ")),
    }
}
