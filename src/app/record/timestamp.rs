//! A time-stamp token for the shop's signature (`PAdES` baseline B-T): the query
//! goes out as a file, the reply comes in as one. The shop's own clock proves
//! nothing, so a service outside the shop is asked, by whatever means it offers.

use std::path::{Path, PathBuf};

use super::files::RecordHost;
use super::stamps::CLOCKS;
use super::verify::{self, Outcome, Trust, Verdict};
use super::{refused, stamps, system};
use crate::app::plan::Failure;
use crate::diagnostic::Diagnostic;
use crate::record::journal::{self, Journal};
use crate::seal::container::{self, Expected, Signed};
use crate::seal::pdf::{self, Signature};
use crate::seal::{Fault, token};
use crate::term::counted;
use crate::traveler::wording::completed::signing::SHOP;

fn problem(path: &Path, why: &Fault) -> Failure {
    refused(Diagnostic::error("L197", format!("{}: {why}", path.display())))
}

/// The shop's signature of a file, and whether it is the last thing in it.
fn signature(path: &Path, bytes: &[u8]) -> Result<(Signature, Signed, bool), Failure> {
    let file = pdf::read(bytes).map_err(|e| problem(path, &e))?;
    let last = file.ends.len();
    let found = file.signatures.into_iter().find(|s| s.field == SHOP);
    let Some(signature) = found else {
        return Err(problem(path, &Fault::new("the shop has not signed this file")));
    };
    let parts = signature.signed(bytes);
    let signed =
        container::check(&signature.contents, Expected::Detached(&parts)).map_err(|e| problem(path, &e))?;
    let alone = signature.revision.is_some_and(|r| r + 1 == last);
    Ok((signature, signed, alone))
}

/// The journal in these bytes; none if they are a PDF.
fn journal(path: &Path, bytes: &[u8]) -> Result<Option<Journal>, Failure> {
    if bytes.starts_with(b"%PDF-") {
        return Ok(None);
    }
    let journal = journal::check(bytes);
    if journal.is_none() {
        return Err(problem(path, &Fault::new("this is neither a signed record nor a journal")));
    }
    if let Some((line, why)) = &journal.damage {
        return Err(problem(path, &Fault::new(why.at(&format!("line {line} of the journal")))));
    }
    if journal.notes.is_empty() {
        return Err(problem(
            path,
            &Fault::new("this is neither a signed record nor a journal with a line in it"),
        ));
    }
    Ok(Some(journal))
}

/// Writes the query for a token beside the file: `NAME.tsq`; of a journal over its
/// last line, which stands for all before it.
///
/// # Errors
/// If the file is not signed by the shop and no journal, or the system fails.
pub fn ask(host: &dyn RecordHost, path: &Path) -> Result<PathBuf, Failure> {
    let bytes = host.bytes(path).map_err(|e| system(path, e))?;
    if let Some(journal) = journal(path, &bytes)? {
        let head = journal.hashes.last().map(String::as_bytes).unwrap_or_default();
        let query = token::query(head).map_err(|e| problem(path, &e))?;
        let out = stamps::place(path, journal.hashes.len(), "tsq");
        host.write(&out, &query).map_err(|e| system(&out, e))?;
        return Ok(out);
    }
    let (_, signed, _) = signature(path, &bytes)?;
    let query = token::query(&signed.signature).map_err(|e| problem(path, &e))?;
    let out = path.with_extension("tsq");
    host.write(&out, &query).map_err(|e| system(&out, e))?;
    Ok(out)
}

/// Puts the token of a reply into the file, or beside the journal it was asked
/// for. What was signed does not change.
/// Says which service it is and when it saw the signature.
///
/// # Errors
/// If the reply is no token over this signature, somebody signed after the shop
/// (that signature covers the place of the token), less would hold with the token than
/// without, or the system fails. Nothing is written then.
pub fn put(host: &dyn RecordHost, path: &Path, reply: &Path) -> Result<token::Stamped, Failure> {
    let bytes = host.bytes(path).map_err(|e| system(path, e))?;
    if let Some(journal) = journal(path, &bytes)? {
        let answer = host.bytes(reply).map_err(|e| system(reply, e))?;
        let token = token::from_reply(&answer).map_err(|e| problem(reply, &e))?;
        // The journal may have grown since it was asked.
        let over = |hash: &String| token::over(&token, hash.as_bytes());
        let Some(at) = journal.hashes.iter().rposition(over) else {
            return Err(problem(reply, &Fault::new("the token was made over no line of this journal")));
        };
        let hash = journal.hashes.get(at).map(String::as_bytes).unwrap_or_default();
        let stamped = token::check(&token, hash).map_err(|e| problem(reply, &e))?;
        not_to_come(host, reply, &stamped)?;
        if let Some(clock) =
            journal.notes.get(at).and_then(|n| n.clock).filter(|c| stamps::ahead(*c, &stamped))
        {
            let of = format!("line {} of the journal was written", at + 1);
            return Err(refused(fast(reply, &stamped, clock, &of)));
        }
        // What was asked is kept beside the answer: a line that is another one later is known by it.
        let asked = token::question(&token).map_err(|e| problem(reply, &e))?;
        for (ending, bytes) in [("tsq", &asked), ("tsr", &answer)] {
            let place = stamps::place(path, at + 1, ending);
            host.write(&place, bytes).map_err(|e| system(&place, e))?;
        }
        return Ok(stamped);
    }
    let (signature, signed, alone) = signature(path, &bytes)?;
    if !alone {
        return Err(refused(
            Diagnostic::error("L198", format!("{} was signed or changed after the shop signed it", path.display()))
                .help("a token goes in before the next signature: stamp a copy as the shop made it, then sign again"),
        ));
    }
    let answer = host.bytes(reply).map_err(|e| system(reply, e))?;
    let token = token::from_reply(&answer).map_err(|e| problem(reply, &e))?;
    let stamped = token::check(&token, &signed.signature).map_err(|e| problem(reply, &e))?;
    let container = container::with_token(&signature.contents, &token).map_err(|e| problem(reply, &e))?;
    not_to_come(host, reply, &stamped)?;
    if let Some(claimed) = signature.claimed.map(|at| at.timestamp()).filter(|c| stamps::ahead(*c, &stamped))
    {
        return Err(refused(fast(reply, &stamped, claimed, "the shop signed")));
    }
    let done = pdf::put_contents(&bytes, &signature, &container).map_err(|e| problem(reply, &e))?;
    no_worse(reply, &bytes, &done)?;
    host.write(path, &done).map_err(|e| system(path, e))?;
    Ok(stamped)
}

/// Refuses the answer of a service whose time is still to come by the clock here: one of
/// both is wrong, and a token can't be taken back. A clock that is set for one command says
/// nothing of it.
fn not_to_come(host: &dyn RecordHost, reply: &Path, stamped: &token::Stamped) -> Result<(), Failure> {
    let now = host.now();
    if host.clock_is_set() || stamped.at <= now + CLOCKS {
        return Ok(());
    }
    Err(refused(
        Diagnostic::error(
            "L361",
            format!(
                "{}: the service says it saw it on {}, and the clock of this computer says {} only",
                reply.display(),
                stamps::utc(stamped.at.timestamp()),
                stamps::utc(now.timestamp())
            ),
        )
        .rule("what a service saw was there before")
        .help("nothing was written: compare both with another clock; where this computer is slow, set its clock and put the same reply in; else ask another service"),
    ))
}

/// What is said of a token that saw something before the time it claims.
fn fast(reply: &Path, stamped: &token::Stamped, clock: i64, what: &str) -> Diagnostic {
    let ahead = counted((clock - stamped.at.timestamp()).max(0) / 60, "minute", "minutes");
    let (seen, clock) = (stamps::utc(stamped.at.timestamp()), stamps::utc(clock));
    Diagnostic::error(
        "L360",
        format!(
            "{}: the service saw it on {seen}, and by the shop's clock {what} on {clock} only, {ahead} later",
            reply.display()
        ),
    )
    .rule("a token is kept where it bears out what the record says, to five minutes")
    .help(format!(
        "nothing was written, and the record holds without a token: the clock of the computer was fast, so set it; sent to the service once more after {clock}, the same query gets a token that can be kept"
    ))
}

/// Checks what would be written as anybody would: where less holds than before, it is not.
fn no_worse(reply: &Path, before: &[u8], after: &[u8]) -> Result<(), Failure> {
    let [was, is] = [before, after].map(|bytes| verify::verify(bytes, &Trust::default()));
    let against = |verdict: &Verdict| -> Vec<String> {
        let bad = verdict.looked.iter().filter(|l| matches!(l.outcome, Outcome::Bad | Outcome::Contradicted));
        bad.map(|l| l.words.clone()).collect()
    };
    let known = against(&was);
    let fresh: Vec<String> = against(&is).into_iter().filter(|words| !known.contains(words)).collect();
    if fresh.is_empty() && is.holds() >= was.holds() {
        return Ok(());
    }
    let problem = Diagnostic::error(
        "L362",
        format!(
            "{}: with this token the record would hold less than without: {}",
            reply.display(),
            is.holds().sentence()
        ),
    )
    .rule("what is written was checked")
    .help("nothing was written; ask another service, or leave the record without a token");
    Err(refused(fresh.into_iter().fold(problem, Diagnostic::help)))
}
