//! Nothing is torqued before the last heat nearby.

use super::data::DataRule;
use super::{Check, Rule};
use crate::diagnostic::Severity;
use crate::source::Source;

pub(super) static RULE: Rule = Rule {
    code: "R106",
    id: "torque-last",
    title: "Nothing is torqued before the last arc or heat nearby",
    reason: "Heat relaxes a clamped joint and shrinkage moves it; a torque set before is not the torque left behind.",
    satisfy: "Do the torque after every weld and every heating on neighbouring parts of the component.",
    source: Source::practice("torque is set on cold parts that no longer move"),
    severity: Severity::Error,
    check: Check::Data(conditions),
};

fn conditions() -> DataRule {
    DataRule {
        when_acts: vec!["torque".to_owned()],
        forbid_after: vec!["arc".to_owned(), "heat".to_owned()],
        ..DataRule::default()
    }
}
