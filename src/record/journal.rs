//! The shop's journal: the head of every traveler's log, each time it changed.
//!
//! A log alone can't say that its last lines are gone or that an older copy was
//! put in its place. The journal stands outside of it: one chain of lines over
//! all travelers, written after every entry. A line has the form of the log's:
//! `{"entry":NOTE,"hash":"HEX"}`.

use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

use chrono::{DateTime, FixedOffset};
use serde::{Deserialize, Serialize};

use super::entry::{Action, Entry};
use super::line::{BadLine, NO_ENTRY, canonical, follows, known, sealed, unsealed};
use super::lines::Lines;
use super::log::stamp;
use crate::term::counted;

/// One line of the journal.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Note {
    /// What the clock said, RFC 3339.
    pub clock: String,
    /// Entries of the traveler's log then.
    pub entries: u64,
    /// Hash of the last of them.
    pub head: String,
    /// Place in the journal, from 1.
    pub n: u64,
    /// Hash of the note before.
    pub prev: String,
    /// Number of the traveler.
    pub traveler: String,
}

/// What a line is about where it is no traveler but a person's PIN that was set: no
/// traveler's number has a stroke in it.
const PIN: &str = "pin/";

/// Names the PIN of a person in the journal. Its note has no entries; its head is the
/// SHA-256 of the hash that stands in the book.
#[must_use]
pub fn pin_of(id: &str) -> String {
    format!("{PIN}{id}")
}

/// Whose PIN that was set a note is about; none if it is about anything else.
#[must_use]
pub fn pin_holder(about: &str) -> Option<&str> {
    about.strip_prefix(PIN).filter(|id| !id.ends_with(TRIES) && !id.ends_with(RESET))
}

/// What stands behind a person's id where a note is about a PIN that the holder of the shop's
/// root key set.
const RESET: &str = "/reset";

/// Names in the journal that a PIN was set by the holder of the shop's root key. Its note has
/// no entries; its head is the SHA-256 of the root's certificate.
#[must_use]
pub fn reset_of(id: &str) -> String {
    format!("{PIN}{id}{RESET}")
}

/// What stands behind a person's id where a note is about tries of the PIN: no id has a
/// stroke in it.
const TRIES: &str = "/tries";

/// Names the wrong tries of a person's PIN in the journal. Its note has as many entries as
/// there were wrong tries since the last right one; its head is the SHA-256 of the line
/// that was written down for the try.
#[must_use]
pub fn tries_of(id: &str) -> String {
    format!("{PIN}{id}{TRIES}")
}

/// Whose tries a note is about; none if it is about anything else.
fn tried(about: &str) -> Option<&str> {
    about.strip_prefix(PIN)?.strip_suffix(TRIES)
}

/// What a note says, as it is kept of a whole journal.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Seen {
    /// Number of the traveler, or what else the note is about.
    pub traveler: Arc<str>,
    /// Entries of its log then.
    pub entries: u64,
    /// Hash of the last of them.
    pub head: Box<str>,
    /// What the clock said when it was written, in seconds since 1970; none where that is no
    /// time.
    pub clock: Option<i64>,
}

/// A journal that was read.
#[derive(Debug, Clone, Default)]
pub struct Journal {
    /// Notes up to the first damage.
    pub notes: Vec<Seen>,
    /// Hash of each of them.
    pub hashes: Vec<String>,
    /// First damaged line, and why.
    pub damage: Option<(u64, BadLine)>,
    /// By the id of a person, what the clock said at each wrong try of the PIN since the last
    /// right one, or since it was set.
    pub tries: BTreeMap<String, Vec<String>>,
}

/// The next line of a journal that ends with `last`, a whole line without its
/// line feed; empty if there is none.
///
/// # Errors
/// If the last line is damaged.
pub fn next(
    last: &[u8],
    clock: &DateTime<FixedOffset>,
    traveler: &str,
    entries: u64,
    head: &str,
) -> Result<Vec<u8>, BadLine> {
    let (n, prev) = if last.is_empty() {
        (0, NO_ENTRY.to_owned())
    } else {
        let (note, hash) = read(last)?;
        (note.n, hash)
    };
    let note = Note {
        clock: stamp(clock),
        entries,
        head: head.to_owned(),
        n: n + 1,
        prev,
        traveler: traveler.to_owned(),
    };
    let json = serde_json::to_value(&note).map_err(|e| BadLine::changed(e.to_string()))?;
    Ok(sealed(&canonical(&json)).0)
}

fn read(line: &[u8]) -> Result<(Note, String), BadLine> {
    let (body, hash) = unsealed(line)?;
    Ok((known(body, "a note of the journal")?, hash))
}

/// Checks a journal line by line. What stands behind the last line feed was
/// never confirmed and does not count.
#[must_use]
pub fn check(bytes: &[u8]) -> Journal {
    let mut checking = Checking::default();
    checking.take(bytes);
    checking.end()
}

/// As [`check`], of a journal that comes piece by piece.
#[derive(Debug, Default)]
pub struct Checking {
    journal: Journal,
    lines: Lines,
    /// What the notes are about, each name once.
    names: BTreeSet<Arc<str>>,
}

impl Checking {
    /// Takes in what follows.
    pub fn take(&mut self, piece: &[u8]) {
        let Self { journal, lines, names } = self;
        lines.take(piece, read, |one| {
            let n = journal.notes.len() as u64 + 1;
            journal.go_on(one, n, names).inspect_err(|why| journal.damage = Some((n, why.clone()))).is_ok()
        });
    }

    /// What was found.
    #[must_use]
    pub fn end(self) -> Journal {
        self.journal
    }
}

/// What the journal says against a log.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Against {
    /// The journal saw this many entries, the log has fewer: lines are lost, or
    /// an older copy was put back.
    Shorter {
        /// Entries the journal saw.
        seen: u64,
    },
    /// At this entry the log is not the one the journal saw: begun again, written
    /// anew, or another copy that went its own way.
    Other {
        /// Its place in the log, from 1.
        entry: u64,
    },
    /// The last entries are in the log only: made where the journal was not.
    Unseen {
        /// How many.
        entries: u64,
    },
}

impl std::fmt::Display for Against {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::Shorter { seen } => write!(
                f,
                "the journal saw {}, this log has fewer: its last lines are lost, or an older copy was put back",
                counted(*seen, "entry", "entries")
            ),
            Self::Other { entry } => write!(
                f,
                "entry {entry} is not the one the journal saw: the log was begun again or written anew, or this is another copy that went its own way"
            ),
            Self::Unseen { entries } => write!(
                f,
                "{} not in the journal: made where it was not at hand",
                counted(*entries, "entry, the last, is", "entries, the last, are")
            ),
        }
    }
}

impl Journal {
    /// Whether it is no journal at all: its first line is none of one.
    #[must_use]
    pub fn is_none(&self) -> bool {
        self.notes.is_empty() && self.damage.is_some()
    }

    /// Takes in the line `n`, which follows those before it.
    fn go_on(
        &mut self,
        read: Result<(Note, String), BadLine>,
        n: u64,
        names: &mut BTreeSet<Arc<str>>,
    ) -> Result<(), BadLine> {
        let (note, hash) = follows(read, |(note, _)| (note.n, note.prev.as_str()), n, self.hashes.last())?;
        let known = names.get(note.traveler.as_str()).cloned();
        let traveler = known.unwrap_or_else(|| {
            let name: Arc<str> = note.traveler.into();
            names.insert(Arc::clone(&name));
            name
        });
        self.hashes.push(hash);
        let clock = DateTime::parse_from_rfc3339(&note.clock).ok().map(|at| at.timestamp());
        match (tried(&traveler), pin_holder(&traveler)) {
            (Some(id), _) if note.entries > 0 => {
                self.tries.entry(id.to_owned()).or_default().push(note.clock);
            }
            (Some(id), _) | (None, Some(id)) => _ = self.tries.remove(id),
            (None, None) => {}
        }
        let head = note.head.into_boxed_str();
        self.notes.push(Seen { traveler, entries: note.entries, head, clock });
        Ok(())
    }

    /// The travelers it knows, each once, sorted.
    #[must_use]
    pub fn travelers(&self) -> Vec<&str> {
        let all: BTreeSet<&str> =
            self.notes.iter().map(|n| &*n.traveler).filter(|name| !name.starts_with(PIN)).collect();
        all.into_iter().collect()
    }

    /// From which entry of a log on it saw it grow, where it did not from the first; none
    /// if it did. 0 stands for a log it does not know at all: it was put away, deleted or
    /// begun anew, for every log is noted when it is begun.
    #[must_use]
    pub fn gap(&self, traveler: &str, entries: usize) -> Option<u64> {
        let first = self.notes.iter().filter(|n| &*n.traveler == traveler).map(|n| n.entries).min();
        match first {
            None if entries > 0 => Some(0),
            // Two: a torn line that was set aside is entered together with the next.
            Some(first) if first > 2 => Some(first),
            _ => None,
        }
    }

    fn of<'a>(&'a self, traveler: &'a str) -> impl Iterator<Item = &'a Seen> {
        self.notes.iter().filter(move |n| *n.traveler == *traveler)
    }

    /// Where its notes of a log go back, from which entry to which: a log grows, and so do
    /// its notes. None if they never do.
    #[must_use]
    pub fn back(&self, traveler: &str) -> Option<(u64, u64)> {
        let pairs = self.of(traveler).zip(self.of(traveler).skip(1));
        let back = pairs.map(|(one, next)| (one.entries, next.entries)).find(|(one, next)| next < one);
        back.or_else(|| self.of(traveler).next().filter(|n| n.entries == 0).map(|_| (0, 0)))
    }

    /// How many entries of a log it did not see being made, between the first it knows and the
    /// last: every one is noted, but for a torn line that was set aside, which is entered
    /// together with the next.
    #[must_use]
    pub fn missed(&self, traveler: &str, log: &[Entry]) -> u64 {
        let torn = log.iter().filter(|e| matches!(e.what, Action::TornLine { .. })).count() as u64;
        let pairs = self.of(traveler).zip(self.of(traveler).skip(1));
        let leaps = pairs.map(|(one, next)| next.entries.saturating_sub(one.entries));
        leaps.map(|leap| leap.saturating_sub(1)).sum::<u64>().saturating_sub(torn)
    }

    /// What it says against a log with these hashes; none if they agree. One
    /// entry more than it knows is what a cut in between leaves.
    #[must_use]
    pub fn against(&self, traveler: &str, hashes: &[String]) -> Option<Against> {
        let known = u64::try_from(hashes.len()).unwrap_or(u64::MAX);
        let mut seen = 0;
        let mut shorter = false;
        for note in self.of(traveler).filter(|n| n.entries > 0) {
            let place = usize::try_from(note.entries).ok().and_then(|n| n.checked_sub(1));
            match place.and_then(|i| hashes.get(i)) {
                Some(hash) if **hash != *note.head => return Some(Against::Other { entry: note.entries }),
                Some(_) => {}
                None => shorter = true,
            }
            seen = seen.max(note.entries);
        }
        if shorter {
            return Some(Against::Shorter { seen });
        }
        // Two: a torn line that was set aside is entered together with the next.
        let unseen = known.saturating_sub(seen);
        (seen > 0 && unseen > 2).then_some(Against::Unseen { entries: unseen })
    }
}
