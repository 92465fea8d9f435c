//! PINs: who must give one, how often it may be tried, and who may change one.
//!
//! Wrong tries are [counted](super::tries), and the next right one says in its entry how
//! many there were.

use std::collections::{BTreeMap, BTreeSet};
use std::path::{Path, PathBuf};

use argon2::Argon2;
use argon2::password_hash::{PasswordHash, PasswordHasher, PasswordVerifier, SaltString};
use chrono::{DateTime, FixedOffset, TimeDelta};

use super::files::RecordHost;
use super::tries::{self, Counted, Tries};
use super::{journal, refused, system};
use crate::app::plan::Failure;
use crate::diagnostic::Diagnostic;
use crate::record::entry::Action;
use crate::record::identified::{
    BY_ID, BY_PIN, BY_ROOT, NOT_KNOWN, NOT_SET, OTHER, SET_LATER, TRIES_GONE, by_pin,
};
use crate::record::journal::{Journal, pin_holder, pin_of};
use crate::record::log::stamp;
use crate::record::people::Signer;
use crate::record::{Entry, sha256};
use crate::shop::edit;
use crate::shop::model::{Book, Person};
use crate::term::{counted, shell};

/// Shortest PIN, in characters.
const SHORTEST: usize = 4;
/// Wrong tries of one person before the next one has to wait.
pub(super) const TRIES: usize = 5;
/// Wrong tries after which no clock helps: only a lead's new PIN does. Whoever tries
/// may own the clock.
pub(super) const MOST: usize = 20;
/// How long, in minutes.
pub(super) const WAIT: i64 = 15;

/// Where tries are counted, and by which clock.
#[derive(Debug, Clone)]
pub struct Door {
    /// The shop book; none where the job has none.
    pub book: Option<PathBuf>,
    /// What tries are timed by, whatever time is stated for the work.
    pub clock: DateTime<FixedOffset>,
    /// When the clock saw the traveler issued; none where there is none yet.
    pub issued: Option<DateTime<FixedOffset>>,
    /// People who had a PIN, by the record, its journal or the book the traveler was
    /// issued with.
    pub known: Known,
    /// Wrong tries as the journal counted them.
    pub counted: Counted,
}

/// Ids of people who had a PIN, and the digests of the hashes that were theirs; none where
/// it is only known that there was one.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Known(BTreeMap<String, BTreeSet<String>>);

impl Known {
    /// What a log and a journal know.
    #[must_use]
    pub fn of(entries: &[Entry], journal: &Journal) -> Self {
        let mut known = Self::default();
        for entry in entries {
            if entry.identified().is_some_and(by_pin) {
                known.had(&entry.by.id);
            }
            if let Action::Issued { issue } | Action::Revised { issue, .. } = &entry.what {
                issue.pins.iter().for_each(|(id, digest)| known.was(id, digest));
            }
        }
        for note in &journal.notes {
            if let Some(id) = pin_holder(&note.traveler) {
                known.was(id, &note.head);
            }
        }
        known
    }

    /// There was one.
    pub fn had(&mut self, id: &str) {
        self.0.entry(id.to_owned()).or_default();
    }

    fn was(&mut self, id: &str, digest: &str) {
        self.0.entry(id.to_owned()).or_default().insert(digest.to_owned());
    }

    /// Whether it is known which PIN somebody had.
    fn knows_which(&self, id: &str) -> bool {
        self.0.get(id).is_some_and(|all| !all.is_empty())
    }

    /// Whether this one is none of those that are known of a person.
    fn other(&self, id: &str, digest: &str) -> bool {
        self.0.get(id).is_some_and(|all| !all.is_empty() && !all.contains(digest))
    }
}

/// Who has a PIN by a shop book: id, and the SHA-256 of its hash.
#[must_use]
pub fn of_book(book: &Book) -> BTreeMap<String, String> {
    let of = |p: &Person| Some((p.id.0.clone(), sha256(p.pin.as_ref()?.0.as_bytes())));
    book.person.iter().filter_map(of).collect()
}

impl Door {
    /// That the record knows a PIN of a person, and the book has none.
    fn lost(&self, person: &Signer) -> Diagnostic {
        let (name, id) = (&person.name, &person.id);
        let problem =
            Diagnostic::error("L157", format!("{name} ({id}) had a PIN, and it can't be checked here"))
                .rule("whoever had a PIN does not go on without it");
        match &self.book {
            None => problem.expected("the shop book the PIN stands in"),
            Some(book) => problem
                .expected(format!("the line pin of {id} in {}", book.display()))
                .help(format!("it was set in another book: set it in this one: tackwright key pin {id} --shop {}", shell::word(book))),
        }
        .help("put the book back as it was, from its copy, and leave out --shop and --without-book; or have somebody sign who never had a PIN")
    }

    /// Identifies a person; says how.
    ///
    /// # Errors
    /// If the book has a PIN for the person and it was not given, is wrong, or
    /// was tried too often, or the try can't be written down.
    pub fn identify(&self, person: &Signer, pin: Option<&str>) -> Result<String, Failure> {
        let Some(stored) = &person.pin else {
            if !self.known.0.contains_key(&person.id) {
                return Ok(BY_ID.to_owned());
            }
            return Err(refused(self.lost(person)));
        };
        let Some(pin) = pin else {
            return Err(refused(
                Diagnostic::error("L162", format!("{} ({}) signs with a PIN", person.name, person.id))
                    .rule("the person is identified")
                    .help("type it when asked, or give it on standard input with --pin-stdin"),
            ));
        };
        let Some(book) = &self.book else { return wrong_or(check(stored, pin), person, "") };
        let mut tries = Tries::open(book, &self.counted, &person.id)?;
        self.within_limits(person, &tries)?;
        tries.begin(&self.clock)?;
        let right = check(stored, pin);
        tries.end(&self.clock, right)?;
        let mut after = match tries.wrong.len() {
            0 => String::new(),
            1 => ", after 1 wrong try".to_owned(),
            n => format!(", after {n} wrong tries"),
        };
        if tries.cut {
            after.push_str(&format!(", {TRIES_GONE}"));
        }
        match &tries.set {
            Some((_, set)) if *set != sha256(stored.as_bytes()) => after.push_str(&format!(", {NOT_SET}")),
            Some((at, _)) if self.issued.is_some_and(|issued| *at > issued) => {
                after.push_str(&format!(", {SET_LATER}, on {}", at.format("%Y-%m-%d")));
                let root = tries.set_by.as_deref().and_then(|by| by.strip_prefix(ROOT));
                after.push_str(&root.map_or_else(String::new, |root| format!(", by {BY_ROOT} {root}")));
            }
            None if self.issued.is_some() && !self.known.knows_which(&person.id) => {
                after.push_str(&format!(", {NOT_KNOWN}"));
            }
            _ => {}
        }
        if self.known.other(&person.id, &sha256(stored.as_bytes())) && !after.contains(NOT_SET) {
            after.push_str(&format!(", {OTHER}"));
        }
        wrong_or(right, person, &after)
    }

    /// Whether a PIN may be tried once more.
    fn within_limits(&self, person: &Signer, tries: &Tries) -> Result<(), Failure> {
        let since = &tries.wrong;
        let path = tries.path.display();
        let gone = (tries.gone > 0).then(|| {
            format!(
                "{} out of {path}, or the file was put away: the shop's journal counted them",
                counted(tries.gone, "of these tries was taken", "of these tries were taken")
            )
        });
        let told = |mut problem: Diagnostic| {
            problem.help.extend(gone.clone());
            Err(refused(problem))
        };
        if since.len() >= MOST {
            return told(
                Diagnostic::error(
                    "L169",
                    format!("the PIN of {} was wrong {} times", person.id, since.len()),
                )
                .rule("tries of a PIN are limited")
                .help(format!(
                    "have a lead look who tried ({path}), then set a new one: tackwright key pin {} --by LEAD",
                    person.id
                ))
                .help(format!(
                    "where no other lead has a PIN, whoever holds the passphrase of the shop's root key does: tackwright key reset {}",
                    person.id
                )),
            );
        }
        let wait = TimeDelta::minutes(WAIT);
        let (recent, last) = tries.after(&(self.clock - wait));
        if recent < TRIES {
            return Ok(());
        }
        let until = last.map(|at| stamp(&(at + wait))).unwrap_or_default();
        told(
            Diagnostic::error("L167", format!("the PIN of {} was wrong {} times", person.id, since.len()))
                .rule("tries of a PIN are limited")
                .expected(format!("no further try before {until}"))
                .help(format!("have a lead look who tried: every try is in {path}")),
        )
    }
}

fn check(stored: &str, pin: &str) -> bool {
    PasswordHash::new(stored).is_ok_and(|hash| {
        Argon2::default().verify_password(pin.trim_end_matches(['\r', '\n']).as_bytes(), &hash).is_ok()
    })
}

fn wrong_or(right: bool, person: &Signer, after: &str) -> Result<String, Failure> {
    if right {
        return Ok(format!("{BY_PIN}{after}"));
    }
    Err(refused(
        Diagnostic::error("L163", format!("that is not the PIN of {} ({})", person.name, person.id))
            .rule("the person is identified")
            .help("try again, or have the lead set a new one: tackwright key pin ID --by LEAD"),
    ))
}

/// Who allows a PIN to be changed: the person with the old one, or a lead.
#[derive(Debug, Clone, Default)]
pub struct Leave {
    /// Id of the lead; the person if absent.
    pub by: Option<String>,
    /// PIN of whoever allows it.
    pub pin: Option<String>,
}

/// Whose PIN allows that of `id` to be set; none while no lead has one.
///
/// # Errors
/// If the book can't be read or nobody has the id.
pub fn who_allows(
    host: &dyn RecordHost,
    book: &Path,
    id: &str,
    by: Option<&str>,
) -> Result<Option<Signer>, Failure> {
    let shop = crate::app::shop::book(host, Some(book))?;
    let register = super::register::assemble(None, Some(&shop), host.now().date_naive());
    let find = |id: &str| {
        register.person(id).cloned().ok_or_else(|| {
            let known: Vec<&str> = register.people.iter().map(|p| p.id.as_str()).collect();
            refused(
                Diagnostic::error("S080", format!("{} has no person \"{id}\"", book.display()))
                    .expected(known.join(", "))
                    .help("enter the person first: [[person]] with id, name and role"),
            )
        })
    };
    let person = find(id)?;
    let lead = |p: &Signer| p.roles.iter().any(|r| r == "lead");
    match by {
        Some(by) if by != id => {
            let allows = find(by)?;
            if lead(&allows) && allows.pin.is_some() {
                return Ok(Some(allows));
            }
            Err(refused(
                Diagnostic::error("L168", format!("{by} may not set the PIN of {id}"))
                    .rule("a PIN is changed with the old one, or by a lead")
                    .expected("a lead who has a PIN"),
            ))
        }
        _ if person.pin.is_some() => Ok(Some(person)),
        _ => match register.people.iter().find(|p| lead(p) && p.pin.is_some()) {
            // The first PIN of a book is a lead's, set by whoever holds the book: all
            // later ones rest on it.
            None if lead(&person) => match tries::ever_set(host, book)? {
                None => Ok(None),
                Some(had) => Err(refused(
                    Diagnostic::error("L168", format!("{had} had a PIN of this shop, and the book has none"))
                        .rule("the first PIN of a book is a lead's, every other one is set by their leave")
                        .expected("the shop book with its PINs: put the newest good copy of it back")
                        .help("a shop that begins anew keeps its book in a folder of its own, with travelers of its own"),
                )),
            },
            None => Err(refused(
                Diagnostic::error("L168", format!("no lead has a PIN yet, and {id} is no lead"))
                    .rule("the first PIN of a book is a lead's, every other one is set by their leave")
                    .expected("a lead's PIN first")
                    .help(match register.people.iter().find(|p| lead(p)) {
                        Some(first) => format!("tackwright key pin {}", first.id),
                        None => "enter a lead in the book: [[person]] with role = [\"lead\"]".to_owned(),
                    }),
            )),
            Some(known) => Err(refused(
                Diagnostic::error("L168", format!("{id} has no PIN yet, and a lead has"))
                    .rule("a PIN is changed with the old one, or by a lead")
                    .expected(format!("the leave of a lead: tackwright key pin {id} --by {}", known.id)),
            )),
        },
    }
}

/// Writes the hash of a person's PIN into the shop book, and down that it was set:
/// beside the book and in the journal of the travelers beside it. True for the first
/// one of a book.
///
/// # Errors
/// If the PIN is too short, nobody allows it, nobody has the id, or the system
/// fails.
pub fn set(host: &dyn RecordHost, book: &Path, id: &str, pin: &str, leave: &Leave) -> Result<bool, Failure> {
    let allows = who_allows(host, book, id, leave.by.as_deref())?;
    if let Some(allows) = &allows {
        let counted = Counted::beside(host, book)?;
        let known = Known::default();
        let door = Door { book: Some(book.to_owned()), clock: host.now(), issued: None, known, counted };
        door.identify(allows, leave.pin.as_deref())?;
    }
    let leave = allows.as_ref().map(|a| a.id.as_str());
    put(host, book, id, pin, leave)?;
    Ok(allows.is_none())
}

/// Whose leave is the shop's root key: what stands before its first digits in the file of
/// tries. No id has a stroke in it.
pub(super) const ROOT: &str = "/root-key/";

/// Writes the hash of a PIN into the shop book, and down that it was set, by whose leave.
pub(super) fn put(
    host: &dyn RecordHost,
    book: &Path,
    id: &str,
    pin: &str,
    by: Option<&str>,
) -> Result<(), Failure> {
    if pin.chars().count() < SHORTEST {
        return Err(refused(
            Diagnostic::error("L161", "the PIN is too short")
                .expected(format!("at least {SHORTEST} characters")),
        ));
    }
    let text = host.read(book).map_err(|e| system(book, e))?;
    let mut bytes = [0_u8; 16];
    host.random(&mut bytes).map_err(|e| system(book, e))?;
    let salt = SaltString::encode_b64(&bytes).map_err(|e| system(book, e))?;
    let hash = Argon2::default().hash_password(pin.as_bytes(), &salt).map_err(|e| system(book, e))?;
    let text = edit::set_pin(&book.display().to_string(), &text, id, &hash.to_string()).map_err(refused)?;
    let digest = sha256(hash.to_string().as_bytes());
    // Written down first: a PIN nobody knows of is worse than a note of one that was
    // not set. A new one begins without wrong tries; those of the old one stay.
    tries::note_set(book, &host.now(), id, &digest, by)?;
    if let Some(journal) = journal::beside(host, book) {
        journal::note(&journal, &host.now(), &pin_of(id), 0, &digest)?;
    }
    host.write(book, text.as_bytes()).map_err(|e| system(book, e))
}
