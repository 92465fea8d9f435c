//! The way back where wrong tries locked the PIN of the only lead: whoever holds the passphrase
//! of the shop's root key sets another one. It is no second way to a PIN: another lead comes
//! first, tries of the passphrase are limited, and every entry signed by the new PIN says it.

use std::path::Path;

use chrono::TimeDelta;

use super::files::RecordHost;
use super::pin::{MOST, ROOT, TRIES, WAIT, put};
use super::shop_key::{Ask, holds_root};
use super::tries::{Counted, Tries};
use super::{journal, refused, register};
use crate::app::plan::Failure;
use crate::diagnostic::{Diagnostic, Report};
use crate::record::journal::reset_of;
use crate::record::log::stamp;
use crate::term::Role;

/// By whom tries of the passphrase are counted: no id of a person has a stroke in it.
const HOLDER: &str = "/root-key";
/// How long the next try waits, in hours, once the passphrase was wrong as often as a PIN may be
/// at all: unlike a PIN it is never locked, for nothing comes behind it.
const LONG_WAIT: i64 = 24;
/// Digits of a root that are written down with a PIN it set.
const DIGITS: usize = 16;

/// Whether the PIN of a person is set anew by the root's key: it is a lead's, wrong tries
/// locked it, and no other lead can set it.
///
/// # Errors
/// With the way that is open instead.
pub fn needed(host: &dyn RecordHost, book: &Path, id: &str) -> Result<(), Failure> {
    let shop = crate::app::shop::book(host, Some(book))?;
    let today = host.now().date_naive();
    let people = register::assemble(None, Some(&shop), today).people;
    let leads =
        || people.iter().filter(|p| p.roles.iter().any(|r| r == Role::Lead.word()) && p.pin.is_some());
    let counted = Counted::beside(host, book)?;
    let locked = |id: &str| Ok::<bool, Failure>(Tries::open(book, &counted, id)?.wrong.len() >= MOST);
    let no = |why: String, way: String| {
        Err(refused(
            Diagnostic::error("L327", why)
                .rule("the shop's root key sets a PIN where nobody else can")
                .help(way),
        ))
    };
    if !leads().any(|p| p.id == id) {
        let way = leads().next().map_or_else(
            || "the first PIN of a book is a lead's: tackwright key pin LEAD".to_owned(),
            |lead| format!("a lead sets it: tackwright key pin {id} --by {}", lead.id),
        );
        return no(format!("{id} is no lead with a PIN in {}", book.display()), way);
    }
    if !locked(id)? {
        let way = format!("try it; with the right one it is changed: tackwright key pin {id}");
        return no(format!("the PIN of {id} is not locked: it was wrong fewer than {MOST} times"), way);
    }
    for other in leads().filter(|p| p.id != id && p.left.is_none_or(|left| left >= today)) {
        if !locked(&other.id)? {
            let way = format!("tackwright key pin {id} --by {}", other.id);
            return no(
                format!("{} ({}) is a lead as well, and can set the PIN of {id}", other.name, other.id),
                way,
            );
        }
    }
    Ok(())
}

/// Sets the PIN of a lead by the passphrase of the root's key; gives the first digits of the
/// root, as they are written down with it.
///
/// # Errors
/// If it is not [`needed`], the passphrase is wrong or was tried too often, the PIN is too short,
/// or the system fails.
pub fn reset(
    host: &dyn RecordHost,
    book: &Path,
    root_key: Option<&Path>,
    (id, pin): (&str, &str),
    ask: Ask<'_>,
) -> Result<String, Failure> {
    needed(host, book, id)?;
    let counted = Counted::beside(host, book)?;
    let mut tries = Tries::open(book, &counted, HOLDER)?;
    within_limits(host, &tries)?;
    let now = host.now();
    tries.begin(&now)?;
    let held = holds_root(host, book, root_key, ask);
    match &held {
        Ok(_) => tries.end(&now, true)?,
        Err(Failure::Refused(report, _)) if tried(report) => tries.end(&now, false)?,
        // No key there, or nobody to ask: nothing was tried.
        Err(_) => tries.none()?,
    }
    // What is set is written down in the same file, which one holds at a time.
    drop(tries);
    let root = held?;
    let digits: String = root.chars().take(DIGITS).collect();
    put(host, book, id, pin, Some(&format!("{ROOT}{digits}")))?;
    if let Some(place) = journal::beside(host, book) {
        journal::note(&place, &now, &reset_of(id), 0, &root)?;
    }
    Ok(digits)
}

/// Whether a refusal is that of a passphrase.
fn tried(report: &Report) -> bool {
    report.problems.iter().any(|problem| problem.code == "L187")
}

/// Whether the passphrase may be tried once more.
fn within_limits(host: &dyn RecordHost, tries: &Tries) -> Result<(), Failure> {
    let now = host.now();
    let (recent, last) = tries.after(&(now - TimeDelta::minutes(WAIT)));
    let wait = match (tries.wrong.len(), recent) {
        (all, _) if all >= MOST => TimeDelta::hours(LONG_WAIT),
        (_, recent) if recent >= TRIES => TimeDelta::minutes(WAIT),
        _ => return Ok(()),
    };
    let Some(until) = last.map(|at| at + wait).filter(|until| *until > now) else { return Ok(()) };
    Err(refused(
        Diagnostic::error(
            "L328",
            format!("the passphrase of the shop's root key was wrong {} times", tries.wrong.len()),
        )
        .rule("tries of a passphrase that sets a PIN are limited")
        .expected(format!("no further try before {}", stamp(&until)))
        .help(format!("look who tried: every try is in {}", tries.path.display())),
    ))
}
