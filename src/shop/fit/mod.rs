//! Joint x welder x procedure x machine: who may, and the reason of every no.

mod machine;
mod need;
mod table;
mod welder;
mod wps;

pub use machine::{amps_at, check as machine, cold_limit};
pub use need::Need;
pub use table::{JointFit, MachineFit, Procedure, Row, Table, Task, ToolFit, WelderFit, fit};
pub use welder::{Outcome, check as welder};
pub use wps::{Ranges, check as wps, ranges};

use crate::source::Source;

/// One thing found when a joint was compared with the book.
#[derive(Debug, Clone, PartialEq)]
pub struct Finding {
    /// What, in words: names the variable and both values.
    pub text: String,
    /// Whether it is a no; else a remark.
    pub refuses: bool,
    /// Rule, where a standard says so.
    pub source: Option<Source>,
}

impl Finding {
    /// A reason for a no.
    #[must_use]
    pub fn no(text: impl Into<String>) -> Self {
        Self { text: text.into(), refuses: true, source: None }
    }

    /// A remark.
    #[must_use]
    pub fn remark(text: impl Into<String>) -> Self {
        Self { text: text.into(), refuses: false, source: None }
    }

    /// The same with its rule.
    #[must_use]
    pub fn by(mut self, source: Source) -> Self {
        self.source = Some(source);
        self
    }
}

/// Whether none of the findings is a no.
#[must_use]
pub fn may(findings: &[Finding]) -> bool {
    !findings.iter().any(|f| f.refuses)
}
