//! Work the procedure puts behind a hold is not done in front of it.

use super::view::View;
use super::{Check, Hit, Rule};
use crate::diagnostic::Severity;
use crate::routing::cost;
use crate::source::Source;

pub(super) static RULE: Rule = Rule {
    code: "R108",
    id: "hold-order",
    title: "No operation stands on the other side of a hold than in its procedure",
    reason: "A signature covers what was done when it was given; the states force this order, so the procedure says two different things.",
    satisfy: "Change the procedure so that the order of its operations and their states agree, or look at the pair and waive it.",
    source: Source::standard(
        "10 CFR 50 appendix B",
        "criterion X, work does not go past a hold point without consent",
    ),
    severity: Severity::Warning,
    check: Check::Code(check),
};

fn check(view: &View<'_>) -> (usize, Vec<Hit>) {
    let holds = view.turns().filter(|(_, _, op)| op.has_hold()).count();
    let hits = cost::crossings(view.problem, view.order)
        .into_iter()
        .map(|c| {
            let (first, later) = (view.problem.name(c.first), view.problem.name(c.later));
            Hit::at(
                c.first,
                format!(
                    "{first} is done before {later}, which the procedure has in front of it, across a hold"
                ),
            )
        })
        .collect();
    (holds, hits)
}
