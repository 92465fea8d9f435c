//! What is written in a box.

use serde::{Deserialize, Serialize};

/// What somebody wrote in a box, from the record.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize, Deserialize)]
pub struct Filled {
    /// The value, initials or sign, as it is printed in the box.
    pub value: String,
    /// Who wrote it and when; printed small under the value.
    pub by: Option<String>,
    /// True if the value is outside its tolerance: the box gets a heavy rule
    /// and the words `out of tolerance`.
    pub outside: bool,
    /// A remark, such as an older value that was struck out and why; printed
    /// small under the step.
    pub remark: Option<String>,
}

impl Filled {
    /// A value within its tolerance.
    #[must_use]
    pub fn new(value: impl Into<String>) -> Self {
        Self { value: value.into(), ..Self::default() }
    }

    /// Adds who wrote it and when.
    #[must_use]
    pub fn by(mut self, by: impl Into<String>) -> Self {
        self.by = Some(by.into());
        self
    }
}
