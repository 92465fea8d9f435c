//! Why a file is no picture of paper.

use std::fmt;

/// Most pages of a file.
pub(super) const PAGES: usize = 300;

/// Why a file is no picture of paper, in a sentence.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Unreadable(pub String);

impl fmt::Display for Unreadable {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.0)
    }
}

impl std::error::Error for Unreadable {}

/// A file that is none, and why.
pub(super) fn no<T>(why: impl Into<String>) -> Result<T, Unreadable> {
    Err(Unreadable(why.into()))
}
