//! What is given with a proposal: how it is meant, and the file it was read from.

use super::desk::Desk;
use super::files::RecordHost;
use super::folder;
use crate::app::plan::Failure;
use crate::record::entry::Correction;

/// How a value is entered that the box did not expect.
#[derive(Debug, Clone, Default)]
pub struct How {
    /// It is right although it is far off the other side, or the one before.
    pub sure: bool,
    /// Taken once more; the one before stands beside it.
    pub again: bool,
    /// Entry it corrects.
    pub corrects: Option<Correction>,
    /// Unit of a bare number; that of the box if absent.
    pub unit: Option<String>,
}

/// A file that is taken in.
#[derive(Debug, Clone, Copy)]
pub struct File<'a> {
    /// As it came; it is kept in the traveler's folder under its digest.
    pub bytes: &'a [u8],
    /// Their SHA-256.
    pub sha256: &'a str,
    /// Ending of its name.
    pub ending: &'a str,
}

impl File<'_> {
    /// Keeps it in the traveler's folder.
    ///
    /// # Errors
    /// If it can't be written.
    pub fn keep(&self, host: &dyn RecordHost, desk: &Desk) -> Result<(), Failure> {
        let path = folder::taken_in(&desk.folder, self.sha256, self.ending)?;
        // What lies there under its digest may be something else.
        if folder::read(host, &desk.folder, &path).is_ok_and(|there| there == self.bytes) {
            return Ok(());
        }
        folder::write(host, &desk.folder, &path, self.bytes)
    }
}

/// What says that something was done.
const YES: &[&str] = &["x", "yes", "y", "done", "ok", "ticked", "true", "1", "✓", "✔", "☑"];

/// Whether a cell says that something was done.
pub(super) fn says_yes(text: &str) -> bool {
    YES.contains(&text.to_lowercase().as_str())
}
