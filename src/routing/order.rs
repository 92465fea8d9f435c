//! The order finder: the best workable order, the same one every time.
//!
//! 1. Certain pairs are derived from the states (`precedence`).
//! 2. A depth-first search finds a workable order (`walk`) under several
//!    policies, or claims that there is none; visits to stations are merged
//!    (`improve`) and the cheaper result is kept.
//! 3. Up to 128 operations, a best-first search proves the least cost and
//!    settles ties (`exact`), as far as its budget reaches. When the
//!    proof runs out, a beam of situations (`beam`) looks for a cheaper
//!    order than the first.
//! 4. Every order is replayed by the independent checker ([`super::replay`]);
//!    one that fails is never handed out.
//! 5. A claim that no order exists is reduced to its conflict (`conflict`) and
//!    handed out only when an independent check (`certify`) agrees; otherwise
//!    the answer is that it is not known.

use super::beam;
use super::compiled::Compiled;
use super::conflict::{self, Conflict};
use super::cost::{self, Cost, Crossing};
use super::exact::{self, Proof};
use super::improve;
use super::precedence::Precedence;
use super::problem::Problem;
use super::replay;
use super::walk::{self, Policy, Walked};
use crate::diagnostic::Diagnostic;

/// How much work the finder may do. Counts, not time, so that the result does
/// not depend on the machine.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Effort {
    /// Situations the proof of the best order may look at.
    pub looks: usize,
    /// Operations the depth-first search may put in place beyond one each.
    pub steps: usize,
}

impl Default for Effort {
    fn default() -> Self {
        Self { looks: 40_000, steps: 400_000 }
    }
}

/// Operations named in one line of a problem.
const MOST_NAMED: usize = 6;

/// A workable order.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Route {
    /// Operations of the problem in the order they are done.
    pub order: Vec<usize>,
    /// What it costs.
    pub cost: Cost,
    /// Pairs that stand the other way round than in the procedure although a
    /// hold is between them: the states left nothing else.
    pub crossings: Vec<Crossing>,
    /// No workable order costs less. False means: not proved.
    pub proved_best: bool,
    /// And none that costs the same comes first by procedure order.
    pub proved_first: bool,
}

/// What the finder came to.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Outcome {
    /// A workable order, replayed.
    Found(Route),
    /// There is none, and this is why.
    Impossible(Conflict),
    /// The effort ran out before an order was found or excluded.
    Undecided,
}

impl Outcome {
    /// Why there is no route, as a diagnostic; none when there is one.
    #[must_use]
    pub fn diagnostic(&self, problem: &Problem) -> Option<Diagnostic> {
        match self {
            Self::Found(_) => None,
            Self::Impossible(conflict) => {
                let mut names: Vec<String> = conflict.operations.iter().map(|&i| problem.name(i)).collect();
                if names.len() > MOST_NAMED {
                    let more = names.len() - MOST_NAMED;
                    names.truncate(MOST_NAMED);
                    names.push(format!("{more} more"));
                }
                let first = conflict.start.and_then(|d| problem.operations().get(d.operation));
                let mut d = Diagnostic::error("R001", "no order of the operations meets all their states")
                    .key(first.map_or_else(String::new, |o| o.key.clone()))
                    .expected(format!("an order for {}", names.join(", ")))
                    .help(conflict.explanation.clone());
                if !conflict.minimal {
                    d = d.help("The conflict may name more operations than it needs.");
                }
                Some(d)
            }
            Self::Undecided => Some(
                Diagnostic::error("R002", "no order was found, and none was shown to be impossible").help(
                    "Give fewer operations at a time, or fewer that provide and clear the same states.",
                ),
            ),
        }
    }

    /// The route, if one was found.
    #[must_use]
    pub fn route(&self) -> Option<&Route> {
        match self {
            Self::Found(route) => Some(route),
            _ => None,
        }
    }
}

/// Finds the order with the usual effort.
#[must_use]
pub fn find(problem: &Problem) -> Outcome {
    find_within(problem, Effort::default())
}

/// Finds the order with a given effort.
///
/// An order in hand outweighs every claim that there is none, and such a claim
/// is handed out only when the independent check (`certify`) agrees with it.
#[must_use]
pub fn find_within(problem: &Problem, effort: Effort) -> Outcome {
    let c = Compiled::new(problem);
    let p = Precedence::find(&c);
    let once = c.len() * walk::price(c.len());
    let steps = effort.steps.saturating_add(once);
    let mut denied = conflict::hopeless(&c, &p);
    let mut best: Option<(Cost, Vec<usize>)> = None;
    for policy in Policy::ALL {
        if denied {
            break;
        }
        // With an order in hand, another try is worth a descent and few returns.
        let mut left = if best.is_none() { steps } else { effort.steps / 20 + once };
        match walk::walk(&c, &p, policy, &mut left) {
            Walked::Nowhere => denied = best.is_none(),
            Walked::OutOfSteps => {}
            Walked::Order(mut order) => {
                improve::merge_visits(&c, &mut order, 40 * effort.steps);
                keep_cheaper(problem, &c, &mut best, order);
            }
        }
    }
    if denied && let Some(conflict) = conflict::certified(problem, steps.saturating_mul(4)) {
        return Outcome::Impossible(conflict);
    }
    let known = best.as_ref().map(|(_, order)| order.as_slice());
    match exact::prove(&c, &p, known, effort.looks) {
        Proof::Best(proof) if works(problem, &c, &proof.order) => {
            return Outcome::Found(route(problem, c.to_problem(&proof.order), true, proof.first));
        }
        Proof::None if best.is_none() && !denied => {
            if let Some(conflict) = conflict::certified(problem, steps.saturating_mul(4)) {
                return Outcome::Impossible(conflict);
            }
        }
        Proof::OutOfLooks => {
            if let Some(order) = beam::beam(&c, &p) {
                keep_cheaper(problem, &c, &mut best, order);
            }
        }
        Proof::Best(_) | Proof::None => {}
    }
    match best {
        Some((_, order)) => Outcome::Found(route(problem, c.to_problem(&order), false, false)),
        None => Outcome::Undecided,
    }
}

fn works(problem: &Problem, c: &Compiled, order: &[usize]) -> bool {
    replay::faults(problem, &c.to_problem(order)).is_empty()
}

fn route(problem: &Problem, order: Vec<usize>, proved_best: bool, proved_first: bool) -> Route {
    Route {
        cost: cost::cost(problem, &order),
        crossings: cost::crossings(problem, &order),
        order,
        proved_best,
        proved_first,
    }
}

/// Keeps the cheaper of two orders, by cost and then by the procedure's order.
/// An order that does not replay is not kept.
fn keep_cheaper(problem: &Problem, c: &Compiled, best: &mut Option<(Cost, Vec<usize>)>, order: Vec<usize>) {
    if !works(problem, c, &order) {
        return;
    }
    let cost = cost::cost(problem, &c.to_problem(&order));
    if best.as_ref().is_none_or(|(least, known)| (cost, &order) < (*least, known)) {
        *best = Some((cost, order));
    }
}
