//! What was taken off for the work comes back before hand-over.

use super::view::View;
use super::{Check, Hit, Rule, parts};
use crate::diagnostic::Severity;
use crate::source::Source;

pub(super) static RULE: Rule = Rule {
    code: "R107",
    id: "refit",
    title: "Every safety part taken off is refitted or replaced before hand-over",
    reason: "What lies on the bench at the end is missing on the road.",
    satisfy: "Give a later operation on the same component, not a deferred one, the part in its refits list.",
    source: Source::practice("every part off is ticked back on"),
    severity: Severity::Error,
    check: Check::Code(check),
};

fn check(view: &View<'_>) -> (usize, Vec<Hit>) {
    let mut hits = Vec::new();
    let mut looked_at = 0;
    for (position, index, op) in view.turns() {
        for part in &op.removes {
            looked_at += 1;
            let word = parts::spelled(part);
            let back = view.turns().any(|(p, _, other)| {
                p > position
                    && !other.deferred
                    && View::same_component(op, other)
                    && other.refits.iter().any(|r| parts::spelled(r) == word)
            });
            if !back {
                let message = format!("{} takes off {part}, and nothing after it puts it back", op.name());
                hits.push(Hit::at(index, message));
            }
        }
    }
    (looked_at, hits)
}
