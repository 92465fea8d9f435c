//! Waivers: a named person takes a broken rule on, with a reason and a date.
//!
//! A waiver never hides anything. It moves a finding from the errors to a list
//! that is printed with who, why and when.

use serde::Deserialize;

use super::Finding;
use crate::diagnostic::Diagnostic;

/// A waiver as job data.
#[derive(Debug, Clone, Default, PartialEq, Eq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Waiver {
    /// Id of the rule.
    pub rule: String,
    /// Key or id of the operation; none waives the rule for the whole job.
    #[serde(default)]
    pub operation: Option<String>,
    /// Who takes it on.
    pub by: String,
    /// Without one it waives nothing.
    pub reason: String,
    /// When, as in 2026-03-31.
    pub date: String,
}

impl Waiver {
    /// Whether it speaks of this finding.
    #[must_use]
    pub fn covers(&self, finding: &Finding) -> bool {
        self.rule == finding.rule
            && self.operation.as_ref().is_none_or(|o| {
                finding.operation.as_ref() == Some(o) || finding.operation_id.as_ref() == Some(o)
            })
    }

    /// What is missing from it. A waiver with a flaw waives nothing.
    #[must_use]
    pub fn flaw(&self) -> Option<Diagnostic> {
        let error = |message: String| Diagnostic::error("R191", message).key(format!("waiver.{}", self.rule));
        if self.by.trim().is_empty() {
            return Some(error(format!("the waiver of `{}` does not say who takes it on", self.rule)));
        }
        if self.reason.trim().is_empty() {
            return Some(error(format!("the waiver of `{}` gives no reason", self.rule)));
        }
        if chrono::NaiveDate::parse_from_str(self.date.trim(), "%Y-%m-%d").is_err() {
            let message =
                format!("the waiver of `{}` has the date `{}`, which is none", self.rule, self.date);
            return Some(error(message).expected("year-month-day").example("2026-03-31"));
        }
        None
    }
}
