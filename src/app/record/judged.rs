//! What came of a reading: its verdict, and what it changed.

use std::path::PathBuf;

use super::recompute::Changed;
use crate::record::entry::Measured;
use crate::record::held::READ_AGAIN;
use crate::record::log::Appended;
use crate::term::{self, Verdict};

/// A reading whose printed target is another one now.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct NewTarget {
    /// Number of its operation.
    pub operation: u32,
    /// Of the reading, within its operation.
    pub id: String,
    /// What is read, as the paper says it.
    pub label: String,
    /// As printed.
    pub before: String,
    /// As it follows from what was read since.
    pub now: String,
}

/// What came of a reading.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Judged {
    /// Place and hash.
    pub entry: Appended,
    /// What was entered: value, limits, verdict.
    pub measured: Measured,
    /// One sentence: value, limits, guard band, verdict.
    pub words: String,
    /// Figures that changed.
    pub changed: Vec<Changed>,
    /// Targets that changed.
    pub targets: Vec<NewTarget>,
    /// Readings taken before that no longer hold by the new limits, in words.
    pub lost: Vec<String>,
    /// The slip for the bench.
    pub slip: Option<PathBuf>,
}

impl Judged {
    /// What to do about a reading that is not proven to conform, in the words a refusal has.
    #[must_use]
    pub fn advice(&self) -> Option<String> {
        let then = "either way file it (found), and a lead decides";
        match self.measured.verdict {
            // A word was chosen, nothing was measured; what it opened is said with it.
            term::Judged::Decided(Verdict::NotConform) if self.measured.value.is_none() => {
                let opened = !self.entry.warnings.is_empty();
                (!opened).then(|| format!("This answer keeps the next hold shut: {READ_AGAIN}; {then}."))
            }
            term::Judged::Decided(Verdict::NotConform) => {
                Some(format!("Outside its limits: {READ_AGAIN}; {then}."))
            }
            term::Judged::Decided(Verdict::NotProven) => Some(format!(
                "Inside the guard band: neither right nor wrong is proven. Measure better, with --again, and both stand; {then}."
            )),
            term::Judged::Decided(Verdict::Conform) | term::Judged::Recorded => None,
        }
    }
}
