//! The shop's journal on the disk: a file in the folder of travelers, written
//! after every entry, looked at before one.

use std::path::{Path, PathBuf};

use chrono::{DateTime, FixedOffset};

use super::files::{LogFile, RecordHost};
use super::folder::TRAVELERS;
use super::{refused, system};
use crate::app::host::There;
use crate::app::plan::Failure;
use crate::diagnostic::Diagnostic;
use crate::record::Entry;
use crate::record::Store;
use crate::record::entry::Issue;
use crate::record::journal::{self, Against, Journal};
use crate::term::counted;

/// Name of the journal in a folder of travelers.
pub const JOURNAL: &str = "journal.jsonl";
/// Entries it may not have seen before that is told with every other: what power cuts leave,
/// between an entry and its note.
const SPARED: u64 = 2;
/// Longest line, in bytes; a note has about 350.
const LONGEST: u64 = 4096;

/// The journal a traveler's folder belongs to.
#[must_use]
pub fn place(host: &dyn RecordHost, traveler: &Path) -> PathBuf {
    host.absolute(traveler).parent().map_or_else(|| PathBuf::from(JOURNAL), |p| p.join(JOURNAL))
}

/// The journal of the travelers beside a shop book; none where there are no travelers.
#[must_use]
pub fn beside(host: &dyn RecordHost, book: &Path) -> Option<PathBuf> {
    let travelers = host.absolute(book).parent()?.join(TRAVELERS);
    (host.there(&travelers) == There::Folder).then(|| travelers.join(JOURNAL))
}

/// Reads a journal; an empty one where there is none.
///
/// # Errors
/// If it is there and can't be read.
pub fn read(host: &dyn RecordHost, path: &Path) -> Result<Journal, Failure> {
    if host.there(path) == There::Nothing {
        return Ok(Journal::default());
    }
    let mut checking = journal::Checking::default();
    host.pieces(path, &mut |piece| checking.take(piece)).map_err(|e| system(path, e))?;
    Ok(checking.end())
}

/// The journal somebody names to hold a record against.
///
/// # Errors
/// If it can't be read, or is no journal: that says nothing of a record.
pub fn given(host: &dyn RecordHost, path: &Path) -> Result<Journal, Failure> {
    let journal = read(host, path)?;
    if !journal.is_none() {
        return Ok(journal);
    }
    Err(refused(
        Diagnostic::error("L223", format!("{} is no journal of a shop", path.display()))
            .expected("the journal.jsonl of the folder of travelers, or a copy of it")
            .help("nothing was checked"),
    ))
}

/// Refuses a log the journal speaks against.
///
/// # Errors
/// If lines are missing, or are others than the journal saw.
pub fn stand_by(journal: &Journal, traveler: &str, hashes: &[String]) -> Result<(), Failure> {
    match journal.against(traveler, hashes) {
        None | Some(Against::Unseen { .. }) => Ok(()),
        Some(against) => Err(refused(
            Diagnostic::error("L006", format!("the log of {traveler} is not the one that was kept: {against}"))
                .rule("the record only grows")
                .help("nothing was written; put the newest copy of the traveler's folder back and show this to the lead"),
        )),
    }
}

/// What is said of a journal that did not see a log from its beginning on although the
/// program that began it noted it; none if it did. `path` is where it stands.
#[must_use]
pub fn missing(
    host: &dyn RecordHost,
    path: &Path,
    journal: &Journal,
    issue: &Issue,
    entries: &[Entry],
) -> Option<String> {
    // A log without a maker was begun before journals were kept of all.
    issue.made_by.as_ref()?;
    let (number, path, there) = (&issue.number, path.display(), host.there(path) != There::Nothing);
    let Some(from) = journal.gap(number, entries.len()) else {
        let missed = journal.missed(number, entries);
        return (missed > SPARED).then(|| {
            format!(
                "the shop's journal {path} did not see {} of {number} being made: it was not at hand, or lines of it are lost. Put it back from the copy kept elsewhere; without one, write the head that `status {number}` prints on paper",
                counted(missed, "entry", "entries")
            )
        });
    };
    let what = match (from, there) {
        (0, false) => format!("the shop's journal {path} is gone"),
        (0, true) => format!("the shop's journal {path} does not know {number}"),
        (from, _) => format!("the shop's journal {path} knows {number} from entry {from} on only"),
    };
    Some(format!(
        "{what}: it was deleted, put away or begun anew, for this log was noted from its issue on. Put it back from the copy kept elsewhere; without one, write the head that `status {number}` prints on paper"
    ))
}

/// Writes the head of a traveler's log down.
///
/// # Errors
/// If the journal can't be written, or its last line is damaged.
pub fn note(
    path: &Path,
    clock: &DateTime<FixedOffset>,
    traveler: &str,
    entries: u64,
    head: &str,
) -> Result<(), Failure> {
    let fail = |e: &dyn std::fmt::Display| system(path, e);
    let mut file = LogFile::open(path).map_err(|e| fail(&e))?;
    let size = file.size().map_err(|e| fail(&e))?;
    let from = size.saturating_sub(2 * LONGEST);
    let end = file.read(from, size - from).map_err(|e| fail(&e))?;
    let whole = end.iter().rposition(|b| *b == b'\n').map_or(0, |i| i + 1);
    if whole < end.len() {
        // A note that was never confirmed; the next one says what it said.
        file.cut(from + whole as u64).map_err(|e| fail(&e))?;
    }
    let lines = end.get(..whole.saturating_sub(1)).unwrap_or_default();
    let start = lines.iter().rposition(|b| *b == b'\n').map_or(0, |i| i + 1);
    let last = lines.get(start..).unwrap_or_default();
    let line = journal::next(last, clock, traveler, entries, head).map_err(|e| fail(&e))?;
    file.append(&line).map_err(|e| fail(&e))
}
