//! What stands in a record, each thing with the mark of its entry.

use super::back_dated;
use super::entry::{Action, By, Entry, Photo};
use crate::term::{Disposition, Shows};

/// Who made an entry, when, and which.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Mark {
    /// Place of the entry.
    pub n: u64,
    /// The person, in the role acted in.
    pub by: By,
    /// As stated; RFC 3339 with offset.
    pub at: String,
    /// Entry it replaced, and why.
    pub corrects: Option<(u64, String)>,
    /// Tests and certificates it rests on.
    pub rests_on: Vec<String>,
    /// True where it was taken in without a time of its own: the minute of taking in says
    /// nothing of when it was done.
    pub timeless: bool,
    /// What the clock said where it was entered hours after the time stated, RFC 3339: of what
    /// somebody answers for.
    pub entered: Option<String>,
}

impl Mark {
    /// When; none if the text is no time.
    #[must_use]
    pub fn time(&self) -> Option<chrono::DateTime<chrono::FixedOffset>> {
        chrono::DateTime::parse_from_rfc3339(&self.at).ok()
    }

    /// That of an entry.
    #[must_use]
    pub fn of(entry: &Entry) -> Self {
        Self {
            n: entry.n,
            by: entry.by.clone(),
            at: entry.at.clone(),
            corrects: entry.corrects.as_ref().map(|c| (c.entry, c.reason.clone())),
            rests_on: match &entry.what {
                Action::Tick { rests_on, .. }
                | Action::Sign { rests_on, .. }
                | Action::SeenOnPaper { rests_on, .. } => rests_on.clone(),
                _ => Vec::new(),
            },
            timeless: entry.timeless(),
            entered: back_dated::entered(entry).map(|clock| clock.to_rfc3339()),
        }
    }
}

/// A point that was dealt with.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Signed {
    /// Who signed or waived it, when, by which entry.
    pub mark: Mark,
    /// How the person was identified, or the notice of a waived witness point.
    pub how: String,
    /// What it means.
    pub meaning: String,
    /// True if a witness point went on with nobody there.
    pub waived: bool,
    /// The lead who saw the signature on paper; none where it was made here.
    pub seen_by: Option<By>,
}

/// A found condition.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Found {
    /// As on paper: `F1`.
    pub number: String,
    /// Key of the operation.
    pub key: String,
    /// Number of the operation then.
    pub operation: u32,
    /// What was found, as it was told.
    pub text: String,
    /// Filed with it by who found it; may be empty.
    pub photos: Vec<Photo>,
    /// The reading it is about.
    pub reading: Option<String>,
    /// Who filed it, when, by which entry.
    pub mark: Mark,
    /// Disposition, reason, entry.
    pub disposition: Option<(Disposition, String, Mark)>,
    /// Whether the lead who decided says that the words chosen there before stand.
    pub words_stand: bool,
}

/// Photos of a step, a reading or an operation.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Photographed {
    /// Key of the operation.
    pub key: String,
    /// Number of the operation then, with the step or the reading: `120.3`.
    pub place: String,
    /// What they show.
    pub shows: Shows,
    /// In the order they were given.
    pub photos: Vec<Photo>,
    /// Who filed them, when, by which entry.
    pub mark: Mark,
}

/// A revision that was issued.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Revision {
    /// As on its paper: `A`; after `Z` comes `AA`.
    pub letter: String,
    /// Digest of the frozen content.
    pub content: String,
    /// Why; empty for the first.
    pub reason: String,
    /// Operations that started again, and why.
    pub reopened: Vec<(String, String)>,
    /// Operations kept.
    pub kept: Vec<String>,
    /// Operations removed.
    pub removed: Vec<String>,
    /// Who issued it, when, by which entry.
    pub mark: Mark,
}
