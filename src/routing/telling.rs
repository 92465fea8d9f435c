//! A conflict in words: a chain from one operation to the one that provides
//! what it needs, and on, until it closes.

use std::collections::BTreeSet;

use super::compiled::Demand;
use super::problem::{Problem, StateId};

/// Most sentences of a telling; the rest is only counted.
const MOST_SENTENCES: usize = 8;

/// Most operations strung together in one sentence.
const MOST_LINKS: usize = 3;

/// A conflict told from one end.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub(super) struct Telling {
    pub(super) text: String,
    /// The demand they start with.
    pub(super) start: Option<Demand>,
}

struct Teller<'a> {
    problem: &'a Problem,
    /// Operations that may be named as clearing or making a state.
    concerned: &'a [usize],
    demands: &'a [Demand],
    /// Operations of several components are named, so names tell them apart.
    several: bool,
}

/// Tells the conflict from the operation where the chain closes, else from the
/// one that asks for most; among equals, from the one the procedure has first.
pub(super) fn tell(problem: &Problem, concerned: &[usize], core: usize, demands: &[Demand]) -> Telling {
    let ops = problem.operations();
    let mut components =
        concerned.iter().filter_map(|&i| ops.get(i)).filter(|o| !o.whole_unit()).map(|o| &o.component);
    let one = components.next();
    let teller = Teller { problem, concerned, demands, several: components.any(|c| Some(c) != one) };
    let mut starts: Vec<usize> = demands.iter().map(|d| d.operation).collect();
    starts.dedup();
    let mut best: Option<((bool, usize), Vec<String>, usize)> = None;
    // A long chain reads the same from any end.
    for &start in starts.iter().take(24) {
        let (sentences, closed) = teller.from(start);
        let rank = (closed, teller.of(start).len());
        if best.as_ref().is_none_or(|(known, _, _)| rank > *known) {
            best = Some((rank, sentences, start));
        }
    }
    let Some(((closed, _), mut sentences, start)) = best else {
        return Telling { text: "No order exists.".to_owned(), start: None };
    };
    if sentences.len() > MOST_SENTENCES {
        let more = sentences.len() - (MOST_SENTENCES - 1);
        sentences.truncate(MOST_SENTENCES - 1);
        sentences.push(format!("{more} more sentences of this kind close the circle."));
    } else if core > 1 && !closed && sentences.len() < MOST_SENTENCES {
        sentences.push("No order gives each of them what it needs.".to_owned());
    }
    Telling { text: sentences.join(" "), start: teller.of(start).first().copied() }
}

impl Teller<'_> {
    fn of(&self, operation: usize) -> Vec<Demand> {
        self.demands.iter().copied().filter(|d| d.operation == operation).collect()
    }

    /// The sentences that start with `start`, and whether the chain comes back
    /// to it.
    fn from(&self, start: usize) -> (Vec<String>, bool) {
        let mut said = BTreeSet::new();
        let mut sentences = Vec::new();
        let mut sentence = String::new();
        let mut links = 0;
        let mut closed = false;
        let mut next = Some(start);
        while let Some(operation) = next {
            said.insert(operation);
            let own = self.of(operation);
            let follows = |d: &Demand| {
                self.makers(*d).into_iter().find(|m| !said.contains(m) && !self.of(*m).is_empty())
            };
            let main = own.iter().find(|d| follows(d).is_some()).or(own.first());
            let Some(&main) = main else { break };
            let mut follow = follows(&main);
            let subject = if sentence.is_empty() { self.name(operation) } else { ", which".to_owned() };
            sentence.push_str(&subject);
            sentence.push_str(&self.clause(main));
            links += 1;
            let alone = links == 1;
            let makers = self.makers(main);
            if let Some(last) = follow
                && let [only] = self.of(last).as_slice()
                && self.makers(*only) == [start]
                && last != start
            {
                said.insert(last);
                follow = None;
                closed = true;
                sentence.push_str(&format!(", after {}", self.name(start)));
            }
            // "Which" can only point at an operation named just before it.
            let points_at_it = main.must_be
                && makers.len() == 1
                && !self.problem.starts_with(main.state)
                && self.spoilers(main).is_empty();
            let sides: Vec<Demand> = own.into_iter().filter(|d| *d != main).collect();
            if follow.is_none() || !sides.is_empty() || links >= MOST_LINKS || !points_at_it {
                sentences.push(format!("{}.", std::mem::take(&mut sentence)));
                links = 0;
            }
            for side in sides {
                let who = if alone { "It".to_owned() } else { self.name(operation) };
                sentences.push(format!("{who} also{}.", self.clause(side)));
            }
            next = follow.or_else(|| self.demands.iter().map(|d| d.operation).find(|o| !said.contains(o)));
        }
        (sentences, closed)
    }

    fn makers(&self, demand: Demand) -> Vec<usize> {
        touching(self.problem, demand).0
    }

    fn spoilers(&self, demand: Demand) -> Vec<usize> {
        let mut spoilers = touching(self.problem, demand).1;
        spoilers.retain(|i| self.concerned.contains(i));
        spoilers
    }

    /// One demand in words, to follow the operation's name or "which".
    fn clause(&self, demand: Demand) -> String {
        let Demand { operation, state, must_be } = demand;
        let problem = self.problem;
        let ops = problem.operations();
        let makers = self.makers(demand);
        let spoilers = self.names(&self.spoilers(demand), "and");
        let s = |many: bool| if many { "" } else { "s" };
        let (make, spoil) = if must_be { ("provide", "clear") } else { ("clear", "provide") };
        let spoil = format!("{spoil}{}", s(self.spoilers(demand).len() > 1));
        let make = format!("{make}{}", s(makers.len() > 1));
        let own = if must_be { &ops[operation].provides } else { &ops[operation].clears };
        let who = match makers.as_slice() {
            [] if own.contains(&state) => "nothing else".to_owned(),
            [] => "nothing".to_owned(),
            some => format!("only {}", self.names(some, "or")),
        };
        let key = self.word(operation, state);
        // Whether the state is as wanted before the first operation.
        let at_start = problem.starts_with(state) == must_be;
        let late = !ops[operation].deferred && makers.iter().any(|&m| ops[m].deferred);
        let late = if late { " after hand-over" } else { "" };
        if must_be
            && problem.state_of(state).is_some_and(|s| s.name.starts_with("done/"))
            && let [one] = makers.as_slice()
        {
            return format!(" has to come after {}", self.name(*one));
        }
        match (must_be, at_start, spoilers.is_empty()) {
            (true, false, true) => format!(" needs {key}, which {who} {make}{late}"),
            (true, false, false) => {
                format!(" needs {key}, which {who} {make}{late} and {spoilers} {spoil}")
            }
            (true, true, _) => {
                format!(" needs {key}, which {spoilers} {spoil} and {who} {make} again{late}")
            }
            (false, false, true) => {
                format!(
                    " must not run while {key} is true; it is true at the start and {who} {make} it{late}"
                )
            }
            (false, false, false) => format!(
                " must not run while {key} is true; it is true at the start, {who} {make} it{late} and {spoilers} {spoil} it again"
            ),
            (false, true, _) => {
                format!(" must not run while {key} is true; {spoilers} {spoil} it and {who} {make} it{late}")
            }
        }
    }

    /// A state's name, with its component where the operation's does not say it.
    fn word(&self, operation: usize, state: StateId) -> String {
        let component = self.problem.operations().get(operation).map(|o| o.component.as_str());
        match self.problem.state_of(state) {
            Some(s) if s.component.is_some() && s.component.as_deref() == component => s.name.clone(),
            Some(s) => s.key.clone(),
            None => String::new(),
        }
    }

    fn name(&self, operation: usize) -> String {
        match self.problem.operations().get(operation) {
            Some(op) if !self.several && !op.title.is_empty() => format!("'{}'", op.title),
            _ => self.problem.name(operation),
        }
    }

    /// Names joined with commas and a last word.
    fn names(&self, operations: &[usize], last: &str) -> String {
        let names: Vec<String> = operations.iter().map(|&o| self.name(o)).collect();
        match names.as_slice() {
            [] => String::new(),
            [one] => one.clone(),
            [head @ .., tail] => format!("{} {last} {tail}", head.join(", ")),
        }
    }
}

/// Other operations that meet a demand, and those that undo it.
pub(super) fn touching(problem: &Problem, demand: Demand) -> (Vec<usize>, Vec<usize>) {
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
