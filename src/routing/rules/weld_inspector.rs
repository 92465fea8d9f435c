//! Whoever made a weld does not accept it.

use super::view::View;
use super::{Check, Hit, Rule};
use crate::diagnostic::Severity;
use crate::source::Source;

pub(super) static RULE: Rule = Rule {
    code: "R102",
    id: "weld-inspector",
    title: "Whoever makes a weld signs neither its fit-up nor its acceptance",
    reason: "Nobody sees the fault he has just made; the second pair of eyes is the point of the signature.",
    satisfy: "Name another role at the hold than the one that does the weld, such as inspector or lead.",
    source: Source::standard(
        "10 CFR 50 appendix B",
        "criterion X, inspection by others than those who did the work",
    ),
    severity: Severity::Error,
    check: Check::Code(check),
};

fn check(view: &View<'_>) -> (usize, Vec<Hit>) {
    let mut hits = Vec::new();
    let mut looked_at = 0;
    for (_, index, op) in view.turns().filter(|(_, index, _)| view.does(*index, "weld")) {
        for tag in ["fit-up", "acceptance"] {
            for hold in view.holds(index, tag) {
                looked_at += 1;
                let role = hold.point.role.trim();
                if !role.is_empty() && role.eq_ignore_ascii_case(op.role.trim()) {
                    let message =
                        format!("{} is done and its {tag} hold signed by the same role, {role}", op.name());
                    hits.push(Hit::at(index, message));
                }
            }
        }
    }
    (looked_at, hits)
}
