//! Tries of PINs: counted in a file beside the shop book, one line each, and in the journal
//! of the travelers there, so that it helps nobody to take the file away.

use std::collections::{BTreeMap, BTreeSet};
use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex, PoisonError};

use chrono::{DateTime, FixedOffset};
use serde::{Deserialize, Serialize};

use super::files::{LogFile, RecordHost};
use super::{journal, system};
use crate::app::host::There;
use crate::app::plan::Failure;
use crate::record::journal::{Journal, pin_holder, tries_of};
use crate::record::log::stamp;
use crate::record::{Store, sha256};

/// File of tries beside the shop book.
pub(super) const FILE: &str = "pin-tries.jsonl";

/// One try.
#[derive(Debug, Clone, Serialize, Deserialize)]
struct Try {
    at: String,
    id: String,
    right: bool,
    /// Where a PIN was set: the digest of its hash.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    set: Option<String>,
    /// Who allowed it: a lead, the person with the old one, the shop's root key; none for the
    /// first one of a book.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    by: Option<String>,
}

impl Try {
    fn of(at: &DateTime<FixedOffset>, id: &str, right: bool) -> Self {
        Self { at: stamp(at), id: id.to_owned(), right, set: None, by: None }
    }

    /// Its line, with the line feed.
    fn line(&self, path: &Path) -> Result<Vec<u8>, Failure> {
        let mut line = serde_json::to_vec(self).map_err(|e| system(path, e))?;
        line.push(b'\n');
        Ok(line)
    }
}

/// Times of the wrong tries since the last right one, by person.
type Times = BTreeMap<String, Vec<DateTime<FixedOffset>>>;

/// Wrong tries as a journal counted them, and this command since it was read.
#[derive(Debug, Clone, Default)]
pub struct Counted {
    /// Where they are noted; none where there is no folder of travelers yet.
    journal: Option<PathBuf>,
    /// Whether a new PIN is noted there too, and with it that the count begins anew.
    sets: bool,
    times: Arc<Mutex<Times>>,
    /// People whose PIN it saw set: the file has a line of that as well.
    set: BTreeSet<String>,
}

impl Counted {
    /// Those of the journal beside a shop book, else of the one of a traveler, which was
    /// read before.
    ///
    /// # Errors
    /// If the journal beside the book can't be read.
    pub fn of(
        host: &dyn RecordHost,
        book: Option<&Path>,
        (own, seen): (&Path, &Journal),
    ) -> Result<Self, Failure> {
        match book.and_then(|book| journal::beside(host, book)) {
            Some(place) if place == own => Ok(Self::seen(place, true, seen)),
            Some(place) => {
                let seen = journal::read(host, &place)?;
                Ok(Self::seen(place, true, &seen))
            }
            // Nothing is begun for a try: a refusal leaves no folder behind.
            None if own.parent().is_some_and(|p| host.there(p) == There::Folder) => {
                Ok(Self::seen(own.to_owned(), false, seen))
            }
            None => Ok(Self::default()),
        }
    }

    /// Those of the journal beside a shop book.
    ///
    /// # Errors
    /// If it can't be read.
    pub fn beside(host: &dyn RecordHost, book: &Path) -> Result<Self, Failure> {
        let Some(place) = journal::beside(host, book) else { return Ok(Self::default()) };
        let seen = journal::read(host, &place)?;
        Ok(Self::seen(place, true, &seen))
    }

    fn seen(place: PathBuf, sets: bool, journal: &Journal) -> Self {
        let times =
            |all: &Vec<String>| all.iter().filter_map(|at| DateTime::parse_from_rfc3339(at).ok()).collect();
        let times = journal.tries.iter().map(|(id, all)| (id.clone(), times(all))).collect();
        let set = journal.notes.iter().filter_map(|note| pin_holder(&note.traveler)).map(str::to_owned);
        Self { journal: Some(place), sets, times: Arc::new(Mutex::new(times)), set: set.collect() }
    }

    /// What was counted of a person; a PIN that was set afterwards ends it where its note is
    /// another journal's.
    fn times(&self, id: &str, set: Option<DateTime<FixedOffset>>) -> Vec<DateTime<FixedOffset>> {
        let all = self.times.lock().unwrap_or_else(PoisonError::into_inner);
        let mut times = all.get(id).cloned().unwrap_or_default();
        if let Some(set) = set.filter(|_| !self.sets) {
            times.retain(|at| *at > set);
        }
        times
    }

    /// Notes that there were so many wrong tries by now, none after a right one.
    fn note(&self, at: &DateTime<FixedOffset>, id: &str, wrong: usize, line: &[u8]) -> Result<(), Failure> {
        let mut all = self.times.lock().unwrap_or_else(PoisonError::into_inner);
        match wrong {
            0 if all.remove(id).is_none() => return Ok(()),
            0 => {}
            _ => all.entry(id.to_owned()).or_default().push(*at),
        }
        let Some(journal) = &self.journal else { return Ok(()) };
        journal::note(journal, at, &tries_of(id), wrong as u64, &sha256(line))
    }
}

/// The tries of one person, while one more is made. Nobody else tries as long as it lives.
#[derive(Debug)]
pub struct Tries {
    /// Where they are written down.
    pub path: PathBuf,
    /// Times of the wrong tries since the last right one.
    pub wrong: Vec<DateTime<FixedOffset>>,
    /// The same as the other of the two, file and journal, has them.
    fewer: Vec<DateTime<FixedOffset>>,
    /// How many of them the journal knows and the file does not.
    pub gone: usize,
    /// Whether lines of the person were taken out of the file, or all of it was put away.
    pub cut: bool,
    /// When the PIN was set last, and the digest of its hash.
    pub set: Option<(DateTime<FixedOffset>, String)>,
    /// Who allowed that; none for the first one of a book.
    pub set_by: Option<String>,
    id: String,
    file: LogFile,
    /// Size of the file before this try.
    before: u64,
    counted: Counted,
}

impl Tries {
    /// Opens the file of tries.
    ///
    /// # Errors
    /// If it can't be read or written.
    pub fn open(book: &Path, counted: &Counted, id: &str) -> Result<Self, Failure> {
        let path = book.with_file_name(FILE);
        let mut file = LogFile::open(&path).map_err(|e| system(&path, e))?;
        let before = end(&path, &mut file)?;
        let bytes = file.read(0, before).map_err(|e| system(&path, e))?;
        let (mut wrong, mut set, mut set_by) = (Vec::new(), None, None);
        for line in bytes.split(|b| *b == b'\n') {
            let Ok(one) = serde_json::from_slice::<Try>(line) else { continue };
            let Ok(at) = DateTime::parse_from_rfc3339(&one.at) else { continue };
            if one.id != id {
                continue;
            }
            if one.right {
                wrong.clear();
            } else {
                wrong.push(at);
            }
            if let Some(digest) = one.set {
                (set, set_by) = (Some((at, digest)), one.by);
            }
        }
        let known = counted.times(id, set.as_ref().map(|(at, _)| *at));
        let gone = known.len().saturating_sub(wrong.len());
        let (wrong, fewer) = if known.len() >= wrong.len() { (known, wrong) } else { (wrong, known) };
        let cut = gone > 0 || set.is_none() && counted.set.contains(id);
        Ok(Self {
            path,
            wrong,
            fewer,
            gone,
            cut,
            set,
            set_by,
            id: id.to_owned(),
            file,
            before,
            counted: counted.clone(),
        })
    }

    /// How many wrong tries there were after a time, as file or journal say, whichever says
    /// more, and when the last of them was.
    #[must_use]
    pub fn after(&self, from: &DateTime<FixedOffset>) -> (usize, Option<DateTime<FixedOffset>>) {
        let later = |all: &[DateTime<FixedOffset>]| all.iter().filter(|at| *at > from).count();
        let last = self.wrong.iter().chain(&self.fewer).max().copied();
        (later(&self.wrong).max(later(&self.fewer)), last)
    }

    /// Writes the try down as a wrong one, before anybody knows whether it is: one that
    /// can't be counted (a full disk) is none.
    ///
    /// # Errors
    /// If it can't be written down.
    pub fn begin(&mut self, at: &DateTime<FixedOffset>) -> Result<(), Failure> {
        let line = Try::of(at, &self.id, false).line(&self.path)?;
        self.file.append(&line).map_err(|e| system(&self.path, e))
    }

    /// Takes back what [began](Self::begin): nothing was tried after all, and nothing is known
    /// of it.
    ///
    /// # Errors
    /// If the file can't be written.
    pub fn none(&mut self) -> Result<(), Failure> {
        self.file.cut(self.before).map_err(|e| system(&self.path, e))
    }

    /// Notes what came of it. A right one without wrong ones before it says nothing.
    ///
    /// # Errors
    /// If it can't be written down.
    pub fn end(&mut self, at: &DateTime<FixedOffset>, right: bool) -> Result<(), Failure> {
        let line = Try::of(at, &self.id, right).line(&self.path)?;
        if !right {
            return self.counted.note(at, &self.id, self.wrong.len() + 1, &line);
        }
        // The journal first: what stops in between leaves too many wrong ones, never too few.
        self.counted.note(at, &self.id, 0, &line)?;
        self.file.cut(self.before).map_err(|e| system(&self.path, e))?;
        if !self.wrong.is_empty() {
            self.file.append(&line).map_err(|e| system(&self.path, e))?;
        }
        Ok(())
    }
}

/// Somebody whose PIN was set, by the file of tries beside a book or the journal of the
/// travelers there; none where nobody's was.
///
/// # Errors
/// If either can't be read.
pub(super) fn ever_set(host: &dyn RecordHost, book: &Path) -> Result<Option<String>, Failure> {
    let path = book.with_file_name(FILE);
    let counted = Counted::beside(host, book)?;
    if !host.exists(&path) {
        return Ok(counted.set.first().cloned());
    }
    let text = host.read(&path).map_err(|e| system(&path, e))?;
    let noted = text.lines().filter_map(|line| serde_json::from_str::<Try>(line).ok());
    Ok(noted
        .filter(|one| one.set.is_some())
        .map(|one| one.id)
        .next()
        .or_else(|| counted.set.first().cloned()))
}

/// Writes down that a PIN was set, by whose leave. A new one begins without wrong tries;
/// those of the old one stay.
///
/// # Errors
/// If it can't be written down.
pub(super) fn note_set(
    book: &Path,
    at: &DateTime<FixedOffset>,
    id: &str,
    digest: &str,
    by: Option<&str>,
) -> Result<(), Failure> {
    let path = book.with_file_name(FILE);
    let mut file = LogFile::open(&path).map_err(|e| system(&path, e))?;
    end(&path, &mut file)?;
    let one = Try { set: Some(digest.to_owned()), by: by.map(str::to_owned), ..Try::of(at, id, true) };
    file.append(&one.line(&path)?).map_err(|e| system(&path, e))
}

/// The size of a file whose last line is whole: one that was cut short by a power cut is
/// ended, so that the next one begins a line of its own.
fn end(path: &Path, file: &mut LogFile) -> Result<u64, Failure> {
    let fail = |e: std::io::Error| system(path, e);
    let size = file.size().map_err(fail)?;
    if size == 0 || file.read(size - 1, 1).map_err(fail)? == b"\n" {
        return Ok(size);
    }
    file.append(b"\n").map_err(fail)?;
    Ok(size + 1)
}
