//! The log: appended line by line, checked line by line.
//!
//! Appending reads only the last line. A line that was not written whole, and
//! so was never reported as written, is set aside in a file of its own, and the
//! next entry says so.

use std::fmt;
use std::io;

use chrono::{DateTime, FixedOffset, SecondsFormat};

use super::entry::{Action, By, Correction, Entry, TakenIn};
use super::line::{BadLine, NO_ENTRY, follows};
use super::lines::Lines;
use super::made_again::Undone;
use super::sha256;
use crate::term::clock::told;

/// Where the bytes are kept. One store is held by one process at a time.
pub trait Store {
    /// Size in bytes.
    ///
    /// # Errors
    /// If the system says no.
    fn size(&mut self) -> io::Result<u64>;

    /// `length` bytes from `from`.
    ///
    /// # Errors
    /// If the system says no, or there are fewer.
    fn read(&mut self, from: u64, length: u64) -> io::Result<Vec<u8>>;

    /// Appends and waits until the disk has it.
    ///
    /// # Errors
    /// If the system says no; part of the bytes may have been written.
    fn append(&mut self, bytes: &[u8]) -> io::Result<()>;

    /// Cuts to a smaller size and waits until the disk has it.
    ///
    /// # Errors
    /// If the system says no.
    fn cut(&mut self, size: u64) -> io::Result<()>;

    /// Keeps the bytes of a torn line in a file of its own; gives its name.
    ///
    /// # Errors
    /// If the system says no.
    fn set_aside(&mut self, bytes: &[u8]) -> io::Result<String>;
}

/// Why a log can't be used.
#[derive(Debug)]
pub enum LogError {
    /// The system failed.
    Io(io::Error),
    /// A line is not what it should be; from 1, 0 if it is the last one.
    Damaged(u64, BadLine),
}

impl fmt::Display for LogError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Io(error) => write!(f, "the log can't be read or written: {error}"),
            Self::Damaged(0, why) => f.write_str(&why.at("the last line of the log")),
            Self::Damaged(line, why) => f.write_str(&why.at(&format!("line {line} of the log"))),
        }
    }
}

impl std::error::Error for LogError {}

impl From<io::Error> for LogError {
    fn from(error: io::Error) -> Self {
        Self::Io(error)
    }
}

/// The end of a log.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Tail {
    /// Entries so far.
    pub entries: u64,
    /// Hash of the last one.
    pub hash: String,
    /// Time of the last one.
    pub at: Option<DateTime<FixedOffset>>,
}

/// What an append did.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Appended {
    /// Place of the new entry.
    pub n: u64,
    /// SHA-256 in hexadecimal; the next entry has it as `prev`.
    pub hash: String,
    /// Whole sentences a person should read.
    pub warnings: Vec<String>,
}

/// What is appended.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct New {
    /// When it happened, as stated; what the clock said is in `told`.
    pub at: DateTime<FixedOffset>,
    /// Who answers for it, in the role acted in.
    pub by: By,
    /// The entry it replaces.
    pub corrects: Option<Correction>,
    /// What was done, read, found, signed or decided.
    pub what: Action,
    /// What else is known of it.
    pub told: Told,
}

/// What an entry carries besides who, when and what.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Told {
    /// What the clock said.
    pub clock: Option<DateTime<FixedOffset>>,
    /// How the person was identified.
    pub identified: Option<String>,
    /// Digest of the rows of the shop book it rests on.
    pub book: Option<String>,
    /// Who took it in, from where.
    pub taken_in: Option<TakenIn>,
    /// What starts again with it.
    pub undoes: Option<Undone>,
}

impl New {
    /// The entry of this place, behind the one with the hash `prev`.
    #[must_use]
    pub fn entry(self, n: u64, prev: String) -> Entry {
        Entry {
            at: stamp(&self.at),
            book: self.told.book,
            by: self.by,
            clock: self.told.clock.as_ref().map(stamp),
            corrects: self.corrects,
            identified: self.told.identified,
            n,
            prev,
            taken_in: self.told.taken_in.map(Box::new),
            undoes: self.told.undoes.map(Box::new),
            what: self.what,
        }
    }
}

/// A log that can be appended to.
#[derive(Debug)]
pub struct Log<S> {
    store: S,
    tail: Tail,
    /// Size of the whole lines.
    whole: u64,
    torn: Option<Vec<u8>>,
    written: Vec<Entry>,
}

/// Bytes read at once from the end.
const CHUNK: u64 = 4096;
/// Bytes read at once of a whole log: a long one is never held as text.
const PIECE: u64 = 1 << 20;

impl<S: Store> Log<S> {
    /// Opens a log by its last line.
    ///
    /// # Errors
    /// If the store fails or the last whole line is damaged.
    pub fn open(mut store: S) -> Result<Self, LogError> {
        let size = store.size()?;
        let mut from = size;
        let mut bytes: Vec<u8> = Vec::new();
        // Until the last whole line is in `bytes` from its first byte on.
        while from > 0 && bytes.iter().filter(|b| **b == b'\n').count() < 2 {
            let length = CHUNK.max(bytes.len() as u64).min(from);
            from -= length;
            let mut longer = store.read(from, length)?;
            longer.extend_from_slice(&bytes);
            bytes = longer;
        }
        let end = bytes.iter().rposition(|b| *b == b'\n').map_or(0, |i| i + 1);
        let torn = (end < bytes.len()).then(|| bytes[end..].to_vec());
        let whole = size - torn.as_ref().map_or(0, |t| t.len() as u64);
        let lines = &bytes[..end];
        let tail = if lines.is_empty() {
            Tail { entries: 0, hash: NO_ENTRY.to_owned(), at: None }
        } else {
            let line = &lines[..lines.len() - 1];
            let start = line.iter().rposition(|b| *b == b'\n').map_or(0, |i| i + 1);
            let (entry, hash) = Entry::read(&line[start..]).map_err(|e| LogError::Damaged(0, e))?;
            Tail { entries: entry.n, hash, at: entry.time() }
        };
        Ok(Self { store, tail, whole, torn, written: Vec::new() })
    }

    /// Size of a torn last line that the next append will set aside.
    #[must_use]
    pub fn torn(&self) -> Option<usize> {
        self.torn.as_ref().map(Vec::len)
    }

    /// The line an entry would be, behind the last one; nothing is written.
    ///
    /// # Errors
    /// If it can't be written as a line.
    pub fn next_line(&self, new: New) -> Result<Vec<u8>, LogError> {
        let entry = new.entry(self.tail.entries + 1, self.tail.hash.clone());
        let (line, _) = entry.line().map_err(|e| LogError::Damaged(entry.n, e))?;
        Ok(line)
    }

    /// Appends one entry. It is on the disk when this returns.
    ///
    /// # Errors
    /// If the store fails; the log is then as it was before.
    pub fn append(&mut self, new: &New) -> Result<Appended, LogError> {
        let mut warnings = Vec::new();
        let mut bytes = Vec::new();
        let mut tail = self.tail.clone();
        let mut whats = Vec::new();
        let mut written = Vec::new();
        if let Some(torn) = &self.torn {
            let file = self.store.set_aside(torn)?;
            self.store.cut(self.whole)?;
            warnings.push(format!(
                "The last line was torn ({} bytes, an entry that was never confirmed). It was set aside in {file}.",
                torn.len()
            ));
            whats.push((None, Action::TornLine { bytes: torn.len() as u64, file, sha256: sha256(torn) }));
            self.torn = None;
        }
        whats.push((new.corrects.clone(), new.what.clone()));
        if let Some(last) = tail.at
            && new.at < last
        {
            warnings.push(format!(
                "Entry {} is from {}, later than {}: this was entered afterwards, or a clock was set back. The order of the entries counts.",
                tail.entries,
                told(&last),
                told(&new.at)
            ));
        }
        for (corrects, what) in whats {
            let part = New { corrects, what, ..new.clone() };
            let entry = part.entry(tail.entries + 1, tail.hash.clone());
            let (line, hash) = entry.line().map_err(|e| LogError::Damaged(entry.n, e))?;
            // What could not be read again would be the end of the log.
            Entry::read(line.trim_ascii_end()).map_err(|e| {
                LogError::Io(io::Error::other(format!("nothing was written: {}", e.at("the new line"))))
            })?;
            bytes.extend_from_slice(&line);
            tail = Tail { entries: entry.n, hash, at: Some(new.at) };
            written.push(entry);
        }
        if let Err(error) = self.store.append(&bytes) {
            // If this fails too, what was written is a torn line to the next opener.
            let _ = self.store.cut(self.whole);
            return Err(error.into());
        }
        self.whole += bytes.len() as u64;
        self.tail = tail;
        self.written = written;
        Ok(Appended { n: self.tail.entries, hash: self.tail.hash.clone(), warnings })
    }

    /// Every whole line, read and checked.
    ///
    /// # Errors
    /// If the store fails or a line is damaged.
    pub fn entries(&mut self) -> Result<Vec<Entry>, LogError> {
        self.chain().map(|chain| chain.entries)
    }

    /// As [`Log::entries`], with the hash of each.
    ///
    /// # Errors
    /// If the store fails or a line is damaged.
    pub fn chain(&mut self) -> Result<Chain, LogError> {
        let mut checking = Checking::default();
        let mut from = 0;
        while from < self.whole {
            let length = PIECE.min(self.whole - from);
            checking.take(&self.store.read(from, length)?);
            from += length;
        }
        let mut chain = checking.end();
        match chain.damage.take() {
            Some((line, why)) => Err(LogError::Damaged(line, why)),
            None => Ok(chain),
        }
    }

    /// The entries of the last append: one, or two where a torn line was set aside.
    #[must_use]
    pub fn written(&self) -> &[Entry] {
        &self.written
    }
}

/// A time as it is written in the log: RFC 3339, whole seconds, with offset.
#[must_use]
pub fn stamp(at: &DateTime<FixedOffset>) -> String {
    at.to_rfc3339_opts(SecondsFormat::Secs, false)
}

/// What a check of a whole log found.
#[derive(Debug, Clone, Default)]
pub struct Chain {
    /// Entries up to the first damage.
    pub entries: Vec<Entry>,
    /// Hash of each of them.
    pub hashes: Vec<String>,
    /// First damaged line, and why.
    pub damage: Option<(u64, BadLine)>,
    /// Bytes of a torn last line.
    pub torn: usize,
    /// Entries older than the one before them.
    pub set_back: Vec<u64>,
}

/// Checks a log byte for byte: form, own hash, hash of the line before, place.
#[must_use]
pub fn check(bytes: &[u8]) -> Chain {
    let mut checking = Checking::default();
    checking.take(bytes);
    checking.end()
}

/// As [`check`], of a log that comes piece by piece.
#[derive(Debug, Default)]
pub struct Checking {
    chain: Chain,
    lines: Lines,
    /// Time of the entry before.
    last: Option<DateTime<FixedOffset>>,
}

impl Checking {
    /// Takes in what follows.
    pub fn take(&mut self, piece: &[u8]) {
        let Self { chain, lines, last } = self;
        lines.take(piece, Entry::read, |one| {
            let n = chain.entries.len() as u64 + 1;
            chain.go_on(one, n, last).inspect_err(|why| chain.damage = Some((n, why.clone()))).is_ok()
        });
    }

    /// What was found.
    #[must_use]
    pub fn end(mut self) -> Chain {
        self.chain.torn = self.lines.torn();
        self.chain
    }
}

impl Chain {
    /// Takes in the line `n`, which follows those before it.
    fn go_on(
        &mut self,
        read: Result<(Entry, String), BadLine>,
        n: u64,
        last: &mut Option<DateTime<FixedOffset>>,
    ) -> Result<(), BadLine> {
        let (entry, hash) =
            follows(read, |(entry, _)| (entry.n, entry.prev.as_str()), n, self.hashes.last())?;
        let Some(at) = entry.time() else {
            return Err(BadLine::Changed(format!("\"{}\" is no time", entry.at)));
        };
        if last.is_some_and(|last| at < last) {
            self.set_back.push(n);
        }
        *last = Some(at);
        self.hashes.push(hash);
        self.entries.push(entry);
        Ok(())
    }
}
