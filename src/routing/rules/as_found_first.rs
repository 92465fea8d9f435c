//! What was found is written down before anything is loosened.

use super::data::{DataRule, Wanted};
use super::{Check, Rule};
use crate::diagnostic::Severity;
use crate::source::Source;

pub(super) static RULE: Rule = Rule {
    code: "R104",
    id: "as-found-first",
    title: "As-found readings come before the first loosening",
    reason: "Once a bolt is loose, the angle it held is gone, and with it the reference for the whole job.",
    satisfy: "Put an operation with the act as-found on the same component, or on the unit, before the loosening, and none behind it on the same parts.",
    source: Source::practice("as found is read on an untouched assembly"),
    severity: Severity::Error,
    check: Check::Data(conditions),
};

fn conditions() -> DataRule {
    DataRule {
        when_acts: vec!["loosen".to_owned()],
        require_before: vec![Wanted::act("as-found")],
        forbid_after: vec!["as-found".to_owned()],
        ..DataRule::default()
    }
}
