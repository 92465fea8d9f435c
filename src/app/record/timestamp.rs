//! A time-stamp token for the shop's signature (`PAdES` baseline B-T): the query
//! goes out as a file, the reply comes in as one. The shop's own clock proves
//! nothing, so a service outside the shop is asked, by whatever means it offers.

use std::path::{Path, PathBuf};

use super::files::RecordHost;
use super::{refused, system};
use crate::app::plan::Failure;
use crate::diagnostic::Diagnostic;
use crate::seal::container::{self, Expected, Signed};
use crate::seal::pdf::{self, Signature};
use crate::seal::{Fault, token};
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

/// Writes the query for a token beside the file: `NAME.tsq`.
///
/// # Errors
/// If the file is not signed by the shop, or the system fails.
pub fn ask(host: &dyn RecordHost, path: &Path) -> Result<PathBuf, Failure> {
    let bytes = host.bytes(path).map_err(|e| system(path, e))?;
    let (_, signed, _) = signature(path, &bytes)?;
    let query = token::query(&signed.signature).map_err(|e| problem(path, &e))?;
    let out = path.with_extension("tsq");
    host.write(&out, &query).map_err(|e| system(&out, e))?;
    Ok(out)
}

/// Puts the token of a reply into the file. What was signed does not change.
/// Says which service it is and when it saw the signature.
///
/// # Errors
/// If the reply is no token over this signature, somebody signed after the shop
/// (that signature covers the place of the token), or the system fails.
pub fn put(host: &dyn RecordHost, path: &Path, reply: &Path) -> Result<token::Stamped, Failure> {
    let bytes = host.bytes(path).map_err(|e| system(path, e))?;
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
