//! The entry sheet: what is open as a table for a spreadsheet, and back.
//!
//! Columns, in any order when they come back: `box` (its name), `operation`,
//! `what`, `limit`, `unit` (of a bare number), `tools` (that will be taken),
//! `tool`, `by`, `when`, `value`, `remark`, `traveler` (number, revision and the
//! first digits of the plan's digest, so that a sheet of another paper is told).
//! Only `box`, `value` and `traveler` have to be there.

mod empty;
mod read;
mod write;

pub use empty::{is_empty, is_sheet};
pub use read::{Line, Sheet, read};
pub use write::{Separator, write};

use super::propose::File;
use crate::record::Frozen;

/// Ending of a sheet's name where it is kept.
const ENDING: &str = "csv";

/// Digits of the plan's digest in a sheet.
const DIGITS: usize = 12;

/// Names of the columns, as they are written.
const COLUMNS: [&str; 12] = [
    "box",
    "operation",
    "what",
    "limit",
    "unit",
    "tools",
    "tool",
    "by",
    "when",
    "value",
    "remark",
    "traveler",
];

/// What stands in the value of a signature's row.
const AT_THE_DESK: &str = "signed at the desk";

/// The paper a sheet goes with: `TW-2041 A 83A160933F12`.
#[must_use]
pub fn paper(plan: &Frozen) -> String {
    format!("{} {} {}", plan.number, plan.revision, short(&plan.digest))
}

fn short(digest: &str) -> String {
    digest.chars().take(DIGITS).collect::<String>().to_uppercase()
}

impl Sheet {
    /// The file as it is kept.
    #[must_use]
    pub fn file<'a>(&'a self, bytes: &'a [u8]) -> File<'a> {
        File { bytes, sha256: &self.sha256, ending: ENDING }
    }
}
