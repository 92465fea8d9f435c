//! PINs: who must give one, how often it may be tried, and who may change one.
//!
//! Wrong tries are written down beside the shop book, one line each, and the
//! next right one says in its entry how many there were.

use std::path::{Path, PathBuf};

use argon2::Argon2;
use argon2::password_hash::{PasswordHash, PasswordHasher, PasswordVerifier, SaltString};
use chrono::{DateTime, FixedOffset, TimeDelta};
use serde::{Deserialize, Serialize};

use super::files::{LogFile, RecordHost};
use super::{refused, system};
use crate::app::plan::Failure;
use crate::diagnostic::Diagnostic;
use crate::record::Store;
use crate::record::log::stamp;
use crate::record::people::Signer;
use crate::shop::edit;

/// Shortest PIN, in characters.
const SHORTEST: usize = 4;
/// Wrong tries of one person before the next one has to wait.
const TRIES: usize = 5;
/// Wrong tries after which no clock helps: only a lead's new PIN does. Whoever tries
/// may own the clock.
const MOST: usize = 20;
/// How long, in minutes.
const WAIT: i64 = 15;
/// File of tries beside the shop book.
const FILE: &str = "pin-tries.jsonl";
/// How a person with a PIN was identified.
pub const BY_PIN: &str = "pin";
/// How a person without one was.
pub const BY_ID: &str = "not by PIN: the book has none";

/// One try.
#[derive(Debug, Clone, Serialize, Deserialize)]
struct Try {
    at: String,
    id: String,
    right: bool,
}

/// Where tries are counted, and by which clock.
#[derive(Debug, Clone)]
pub struct Door {
    /// The shop book; none where the job has none.
    pub book: Option<PathBuf>,
    /// The clock.
    pub clock: DateTime<FixedOffset>,
}

impl Door {
    /// Identifies a person; says how.
    ///
    /// # Errors
    /// If the book has a PIN for the person and it was not given, is wrong, or
    /// was tried too often, or the try can't be written down.
    pub fn identify(&self, person: &Signer, pin: Option<&str>) -> Result<String, Failure> {
        let Some(stored) = &person.pin else { return Ok(BY_ID.to_owned()) };
        let Some(pin) = pin else {
            return Err(refused(
                Diagnostic::error("L162", format!("{} ({}) signs with a PIN", person.name, person.id))
                    .rule("the person is identified")
                    .help("type it when asked, or give it on standard input with --pin-stdin"),
            ));
        };
        let Some(book) = &self.book else { return wrong_or(check(stored, pin), person, "") };
        let path = book.with_file_name(FILE);
        // Held until the try is written down: nobody tries twice at once.
        let mut file = LogFile::open(&path).map_err(|e| system(&path, e))?;
        let since = self.wrong(&path, &mut file, &person.id)?;
        if since.len() >= MOST {
            return Err(refused(
                Diagnostic::error(
                    "L169",
                    format!("the PIN of {} was wrong {} times", person.id, since.len()),
                )
                .rule("tries of a PIN are limited")
                .help(format!(
                    "have a lead look who tried ({}), then set a new one: tackwright key pin {} --by LEAD",
                    path.display(),
                    person.id
                )),
            ));
        }
        let recent = since.iter().filter(|at| **at + TimeDelta::minutes(WAIT) > self.clock).count();
        if recent >= TRIES {
            let until = since.last().map(|at| stamp(&(*at + TimeDelta::minutes(WAIT)))).unwrap_or_default();
            return Err(refused(
                Diagnostic::error(
                    "L167",
                    format!("the PIN of {} was wrong {} times", person.id, since.len()),
                )
                .rule("tries of a PIN are limited")
                .expected(format!("no further try before {until}"))
                .help(format!("have a lead look who tried: every try is in {}", path.display())),
            ));
        }
        let right = check(stored, pin);
        // A right one without wrong ones before it says nothing.
        if !right || !since.is_empty() {
            write_down(&path, &mut file, &self.clock, &person.id, right)?;
        }
        let after = match since.len() {
            0 => String::new(),
            1 => ", after 1 wrong try".to_owned(),
            n => format!(", after {n} wrong tries"),
        };
        wrong_or(right, person, &after)
    }

    /// Times of the wrong tries of a person since the last right one.
    fn wrong(
        &self,
        path: &Path,
        file: &mut LogFile,
        id: &str,
    ) -> Result<Vec<DateTime<FixedOffset>>, Failure> {
        let size = file.size().map_err(|e| system(path, e))?;
        let bytes = file.read(0, size).map_err(|e| system(path, e))?;
        let mut since = Vec::new();
        for line in bytes.split(|b| *b == b'\n') {
            let Ok(one) = serde_json::from_slice::<Try>(line) else { continue };
            match DateTime::parse_from_rfc3339(&one.at) {
                Ok(_) if one.id != id => {}
                Ok(_) if one.right => since.clear(),
                Ok(at) => since.push(at),
                Err(_) => {}
            }
        }
        Ok(since)
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
            // The first PINs of a shop are set by whoever holds the book.
            None => Ok(None),
            Some(known) => Err(refused(
                Diagnostic::error("L168", format!("{id} has no PIN yet, and a lead has"))
                    .rule("a PIN is changed with the old one, or by a lead")
                    .expected(format!("the leave of a lead: tackwright key pin {id} --by {}", known.id)),
            )),
        },
    }
}

/// Writes the hash of a person's PIN into the shop book.
///
/// # Errors
/// If the PIN is too short, nobody allows it, nobody has the id, or the system
/// fails.
pub fn set(host: &dyn RecordHost, book: &Path, id: &str, pin: &str, leave: &Leave) -> Result<(), Failure> {
    if let Some(allows) = who_allows(host, book, id, leave.by.as_deref())? {
        let door = Door { book: Some(book.to_owned()), clock: host.now() };
        door.identify(&allows, leave.pin.as_deref())?;
    }
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
    host.write(book, text.as_bytes()).map_err(|e| system(book, e))?;
    // A new one begins without wrong tries; those of the old one stay in the file.
    let path = book.with_file_name(FILE);
    if host.exists(&path) {
        let mut file = LogFile::open(&path).map_err(|e| system(&path, e))?;
        write_down(&path, &mut file, &host.now(), id, true)?;
    }
    Ok(())
}

fn write_down(
    path: &Path,
    file: &mut LogFile,
    at: &DateTime<FixedOffset>,
    id: &str,
    right: bool,
) -> Result<(), Failure> {
    let one = Try { at: stamp(at), id: id.to_owned(), right };
    let mut line = serde_json::to_vec(&one).map_err(|e| system(path, e))?;
    line.push(b'\n');
    file.append(&line).map_err(|e| system(path, e))
}
