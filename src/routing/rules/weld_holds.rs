//! Welds on safety parts are looked at before and after.

use super::data::{DataRule, Wanted};
use super::{Check, Rule};
use crate::diagnostic::Severity;
use crate::source::Source;

pub(super) static RULE: Rule = Rule {
    code: "R101",
    id: "weld-holds",
    title: "Every weld on a steering, suspension or brake part has a fit-up hold before it and an acceptance hold after it",
    reason: "A gap, a wrong angle or dirt can't be seen once it is welded over, and a bad weld on such a part can kill.",
    satisfy: "Give the weld, or an operation before it, a hold with rule = \"fit-up\", and the weld, or one behind it, a hold with rule = \"acceptance\"; an operation of the job says hold_rule.",
    source: Source::standard(
        "AWS D1.1/D1.1M:2020",
        "clause 8, inspection of fit-up before and of the weld after welding",
    )
    .from_memory(),
    severity: Severity::Error,
    check: Check::Data(conditions),
};

fn conditions() -> DataRule {
    DataRule {
        when_acts: vec!["weld".to_owned()],
        at: ["steering", "suspension", "brake"].map(str::to_owned).to_vec(),
        require_before: vec![Wanted::hold("fit-up")],
        require_after: vec![Wanted::hold("acceptance")],
        ..DataRule::default()
    }
}
