//! Keys, passphrases and time stamps.

use std::cell::RefCell;
use std::io::{BufRead, BufReader, IsTerminal, Read};

use serde_json::json;

use super::asked::{hidden, line, new_pin};
use crate::app::plan::Failure;
use crate::app::record::pin::{self, Leave};
use crate::app::record::shop_key::{self, Bring, Done, Wanted};
use crate::app::record::{RecordHost, pin_reset, register, timestamp};
use crate::cli::args::key::{Curve, Key, KeyCommand, PassphraseFrom, Timestamp};
use crate::cli::{Ending, terminal};
use crate::term::shell;

/// Longest passphrase that is read, in bytes.
const LONGEST: u64 = 4096;

/// Lines of a file descriptor, asked for one by one.
struct Lines(RefCell<Option<Box<dyn BufRead>>>);

impl Lines {
    /// The next line without its end.
    fn next(&self) -> Option<String> {
        let mut text = String::new();
        self.0.borrow_mut().as_mut()?.read_line(&mut text).ok().filter(|n| *n > 0)?;
        Some(text.trim_end_matches(['\r', '\n']).to_owned())
    }
}

fn lines(descriptor: u32) -> Lines {
    let open = std::fs::File::open(format!("/dev/fd/{descriptor}"));
    Lines(RefCell::new(open.ok().map(|f| Box::new(BufReader::new(f.take(LONGEST))) as Box<dyn BufRead>)))
}

/// The passphrase of a key that is there: from the descriptor named, else typed
/// unseen, else none.
pub(super) fn passphrase(from: PassphraseFrom) -> Option<String> {
    match from.passphrase_fd {
        Some(0) => line(),
        Some(descriptor) => lines(descriptor).next(),
        None if std::io::stdin().is_terminal() => hidden("Passphrase of the shop's key: "),
        None => None,
    }
}

/// A new passphrase: typed twice where it is typed.
fn new_passphrase(from: PassphraseFrom) -> Option<String> {
    if from.passphrase_fd.is_some() || !std::io::stdin().is_terminal() {
        return passphrase(from);
    }
    let first = hidden("New passphrase (8 characters or more): ")?;
    if hidden("Once more: ")? != first {
        terminal::note("The two are not the same: nothing was changed.");
        return None;
    }
    Some(first)
}

pub(super) fn run(host: &dyn RecordHost, args: &Key) -> Result<Ending, Failure> {
    match &args.what {
        KeyCommand::New { shop, name, curve, demonstration, passphrase } => {
            let book = register::usual(host, shop.as_deref())?;
            let wanted = Wanted { name: name.as_deref(), curve: made(*curve), demonstration: *demonstration };
            said(&shop_key::create(host, &book, wanted, &|| new_passphrase(*passphrase))?);
        }
        KeyCommand::Renew { shop, root, root_key, name, curve, passphrase: from } => {
            let book = register::usual(host, shop.as_deref())?;
            let wanted = Wanted { name: name.as_deref(), curve: made(*curve), demonstration: false };
            said(&shop_key::renew(host, &book, wanted, *root, root_key.as_deref(), &|| passphrase(*from))?);
        }
        KeyCommand::Import { key, certificates, shop, passphrase: from } => {
            let book = register::usual(host, shop.as_deref())?;
            let bring = match certificates {
                Some(certificates) => Bring::Pem(key, certificates),
                None => Bring::Pkcs12(key),
            };
            said(&shop_key::bring(host, &book, bring, &|| passphrase(*from))?);
        }
        KeyCommand::Show { shop, json } => {
            let book = register::usual(host, shop.as_deref())?;
            let done = shop_key::show(host, &book)?;
            if *json { shown_json(&done) } else { said(&done) }
        }
        KeyCommand::Passphrase { shop, passphrase: from } => {
            let book = register::usual(host, shop.as_deref())?;
            let both = from.passphrase_fd.filter(|d| *d != 0).map(lines);
            let ask_old = || both.as_ref().map_or_else(|| passphrase(*from), Lines::next);
            let ask_new = || both.as_ref().map_or_else(|| new_passphrase(*from), Lines::next);
            for path in shop_key::change_passphrase(host, &book, &ask_old, &ask_new)? {
                terminal::out(format!("{} is under the new passphrase", path.display()));
            }
        }
        KeyCommand::Pin { id, shop, by, pin_stdin } => {
            let book = register::usual(host, shop.as_deref())?;
            let allows = pin::who_allows(host, &book, id, by.as_deref())?;
            let old = allows.as_ref().and_then(|person| {
                if *pin_stdin { line() } else { hidden(&format!("PIN of {}, which allows it: ", person.id)) }
            });
            let new = if *pin_stdin { line() } else { new_pin(id) };
            let leave = Leave { by: by.clone(), pin: old };
            let first = pin::set(host, &book, id, &new.unwrap_or_default(), &leave)?;
            terminal::out(format!("PIN of {id} set in {} (its hash only)", book.display()));
            if first {
                terminal::note(format!(
                    "! This is the first PIN of a lead in this book: every other PIN rests on it. Whoever is {id} should have typed it, and only leads should write the book."
                ));
            }
        }
        KeyCommand::Reset { id, shop, root_key, pin_stdin, passphrase: from } => {
            let book = register::usual(host, shop.as_deref())?;
            pin_reset::needed(host, &book, id)?;
            let new = if *pin_stdin { line() } else { new_pin(id) }.unwrap_or_default();
            let root = pin_reset::reset(host, &book, root_key.as_deref(), (id, &new), &|| passphrase(*from))?;
            terminal::out(format!("PIN of {id} set in {} (its hash only)", book.display()));
            terminal::note(format!(
                "! The root {root}… set it: the file of tries, the journal and every entry {id} signs from now on say so."
            ));
        }
    }
    Ok(Ending::Done)
}

fn made(curve: Curve) -> shop_key::Curve {
    match curve {
        Curve::P256 => shop_key::Curve::P256,
        Curve::P384 => shop_key::Curve::P384,
    }
}

fn said(done: &Done) {
    for one in &done.certificates {
        terminal::out(format!(
            "{}: {}, good from {} to {}",
            one.name,
            one.key,
            one.from.format("%Y-%m-%d"),
            one.until.format("%Y-%m-%d")
        ));
        if one.demonstration {
            terminal::out("  a DEMONSTRATION KEY: what it signs proves nothing");
        }
    }
    terminal::out(format!("root, SHA-256: {}", done.root));
    for path in &done.written {
        terminal::note(format!("written: {}", path.display()));
    }
    for advice in &done.advice {
        terminal::note(advice);
    }
}

fn shown_json(done: &Done) {
    terminal::json(&json!({
        "root": done.root,
        "certificates": done.certificates.iter().map(|c| json!({
            "name": c.name, "organization": c.organization, "sha256": c.fingerprint, "key": c.key,
            "from": c.from.to_rfc3339(), "until": c.until.to_rfc3339(), "demonstration": c.demonstration,
        })).collect::<Vec<_>>(),
    }));
}

pub(super) fn stamp(host: &dyn RecordHost, args: &Timestamp) -> Result<Ending, Failure> {
    match &args.reply {
        None => {
            let out = timestamp::ask(host, &args.file)?;
            terminal::out(format!("query for a time stamp: {}", out.display()));
            terminal::note(format!(
                "Send it to a time-stamping service (RFC 3161) and keep its reply, then: tackwright timestamp {} --reply FILE.tsr",
                shell::word(&args.file)
            ));
        }
        Some(reply) => {
            let done = timestamp::put(host, &args.file, reply)?;
            terminal::out(format!(
                "\"{}\" saw it on {}; its token is kept with {}",
                done.service,
                done.at.format("%Y-%m-%d %H:%M:%S UTC"),
                args.file.display()
            ));
        }
    }
    Ok(Ending::Done)
}
