//! No cut that can't be undone without a signature.

use super::data::{DataRule, Wanted};
use super::{Check, Rule};
use crate::diagnostic::Severity;
use crate::source::Source;

pub(super) static RULE: Rule = Rule {
    code: "R103",
    id: "cut-hold",
    title: "Every cut that can't be undone has a hold before it",
    reason: "Metal can't be put back. The readings and marks behind the cut are checked by a second person first.",
    satisfy: "Give the cut a hold before it, or an operation in front of it on the same part a hold with rule = \"cut-hold\"; an operation of the job says hold_rule.",
    source: Source::practice("measured twice, released, then cut"),
    severity: Severity::Error,
    check: Check::Data(conditions),
};

fn conditions() -> DataRule {
    DataRule {
        when_acts: vec!["cut-permanent".to_owned()],
        require_before: vec![Wanted { own: true, ..Wanted::hold("cut-hold") }],
        ..DataRule::default()
    }
}
