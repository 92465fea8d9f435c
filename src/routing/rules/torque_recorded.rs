//! Every torque leaves a value and the tool it was set with.

use super::view::View;
use super::{Check, Hit, Rule};
use crate::diagnostic::Severity;
use crate::source::Source;

pub(super) static RULE: Rule = Rule {
    code: "R105",
    id: "torque-recorded",
    title: "Every torque has a recorded value and the tool it was set with",
    reason: "A tick says that a wrench was there. Only a value and a tool with a calibration can be checked later.",
    satisfy: "Give the operation a reading of kind torque and name its instrument.",
    source: Source::standard(
        "10 CFR 50 appendix B",
        "criteria XII and XVII, calibrated tools and records of results",
    ),
    severity: Severity::Error,
    check: Check::Code(check),
};

fn check(view: &View<'_>) -> (usize, Vec<Hit>) {
    let mut hits = Vec::new();
    let mut looked_at = 0;
    for (_, index, op) in view.turns().filter(|(_, index, _)| view.does(*index, "torque")) {
        looked_at += 1;
        let mut torques = op.readings.iter().filter(|r| r.kind == "torque").peekable();
        if torques.peek().is_none() {
            hits.push(Hit::at(index, format!("{} records no torque", op.name())));
        } else if torques.any(|r| r.instrument.trim().is_empty()) {
            hits.push(Hit::at(index, format!("{} records a torque without naming the tool", op.name())));
        }
    }
    (looked_at, hits)
}
