//! The entry sheet: what is open as a table for a spreadsheet, and back.
//!
//! Columns, in any order when they come back: `box` (its name), `operation`,
//! `what`, `limit`, `unit` (of a bare number), `tools` (that will be taken),
//! `tool`, `by`, `when`, `value`, `remark`, `traveler` (number, revision and the
//! first digits of the plan's digest, so that a sheet of another paper is told).
//! Only `box`, `value` and `traveler` have to be there.
//!
//! A sheet that pictures of paper were read into has three more: `seen` (what the
//! picture shows there), `crop` (the file that shows the box) and `picture` (the
//! first digits of the picture's digest, `page` and its number, and the box as it is
//! printed where that is another one). A line `page 5` in the column `box` stands
//! before the lines of a page: whoever compared the page with them writes x there,
//! and without it none of them counts.

mod empty;
mod pictured;
mod read;
mod unchanged;
mod write;

pub use empty::{is_empty, is_sheet};
pub use read::{Line, Sheet, read};
pub use write::{Beside, Separator, SheetLine, prefilled, write};

use super::given::File;
use crate::record::Frozen;

/// Ending of a sheet's name where it is kept.
const ENDING: &str = "csv";

/// Names of the columns a picture of paper fills beside them.
const OF_A_PICTURE: [&str; 3] = ["seen", "crop", "picture"];

/// What the column `box` of a page's line begins with.
const PAGE: &str = "page";

/// Digits of a picture's digest in a sheet.
const PICTURE_DIGITS: usize = 16;

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

/// A picture and a page of the paper as a sheet carries them: `8f0a53c2d1e47b96 page 5`;
/// behind it the box as it is printed, where it stands for several.
#[must_use]
pub fn picture(sha256: &str, page: u32, printed: Option<&crate::form::BoxName>) -> String {
    let digits = sha256.get(..PICTURE_DIGITS).unwrap_or(sha256);
    let printed = printed.map_or_else(String::new, |name| format!(" {name}"));
    format!("{digits} {PAGE} {page}{printed}")
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
