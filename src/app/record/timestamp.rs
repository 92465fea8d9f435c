//! A time-stamp token for the shop's signature (`PAdES` baseline B-T): the query
//! goes out as a file, the reply comes in as one. The shop's own clock proves
//! nothing, so a service outside the shop is asked, by whatever means it offers.

use std::path::{Path, PathBuf};

use super::files::RecordHost;
use super::{refused, system};
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

/// Where the token over the first `n` lines of a journal stands, or its query.
fn beside(journal: &Path, n: usize, ending: &str) -> PathBuf {
    let stem = journal.file_stem().unwrap_or_default().to_string_lossy();
    journal.with_file_name(format!("{stem}-{n}.{ending}"))
}

/// Tokens beside a journal: over how many of its lines, and what each says. One
/// that does not hold says why; so does one over more lines than the journal has.
///
/// # Errors
/// If one can't be read.
pub fn stamps(host: &dyn RecordHost, path: &Path, journal: &Journal) -> Result<Vec<Stamp>, Failure> {
    let mut found = Vec::new();
    for (hash, n) in journal.hashes.iter().zip(1..) {
        let place = beside(path, n, "tsr");
        if host.exists(&place) {
            let bytes = host.plain(&place).map_err(|e| system(&place, e))?;
            let token = token::from_reply(&bytes).and_then(|t| token::check(&t, hash.as_bytes()));
            found.push((n, token.map_err(|why| format!("{}: {why}", place.display()))));
        }
    }
    let lines = journal.hashes.len();
    let folder = path.parent().filter(|p| !p.as_os_str().is_empty()).unwrap_or(Path::new("."));
    let over = |file: &Path| -> Option<usize> {
        let stem = format!("{}-", path.file_stem()?.to_str()?);
        file.file_name()?.to_str()?.strip_prefix(&stem)?.strip_suffix(".tsr")?.parse().ok()
    };
    let files = host.files(folder, "tsr").map_err(|e| system(folder, e))?;
    for (n, file) in files.iter().filter_map(|f| Some((over(f)?, f))).filter(|(n, _)| *n > lines) {
        let why = format!(
            "{} is over {}, and this journal has {lines}: it was cut short, or is an older copy",
            file.display(),
            counted(n, "line", "lines")
        );
        found.push((n, Err(why)));
    }
    Ok(found)
}

/// Lines of a journal a token was made over, and the token; or why it does not hold.
pub type Stamp = (usize, Result<token::Stamped, String>);

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
        let out = beside(path, journal.hashes.len(), "tsq");
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
/// (that signature covers the place of the token), or the system fails.
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
        let place = beside(path, at + 1, "tsr");
        host.write(&place, &answer).map_err(|e| system(&place, e))?;
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
    let done = pdf::put_contents(&bytes, &signature, &container).map_err(|e| problem(reply, &e))?;
    host.write(path, &done).map_err(|e| system(path, e))?;
    Ok(stamped)
}
