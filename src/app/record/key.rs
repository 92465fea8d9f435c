//! Whom a reader of a record trusts, and the seals of records that were made
//! before the shop's signature was one any reader knows (Ed25519, RFC 8032):
//! they are checked, and no longer made.

use std::collections::BTreeSet;
use std::path::Path;

use ed25519_dalek::{Signature, VerifyingKey};

use super::files::RecordHost;
use super::{refused, system};
use crate::app::plan::Failure;
use crate::diagnostic::Diagnostic;
use crate::seal::certificate::{self, certificate_fingerprint};
use crate::seal::{identity, unhex};

/// Whether a signature is that of the key over `bytes`.
#[must_use]
pub fn verify(public: &str, signature: &str, bytes: &[u8]) -> bool {
    let key = unhex(public).and_then(|b| b.try_into().ok()).and_then(|b| VerifyingKey::from_bytes(&b).ok());
    let signature = unhex(signature).and_then(|b| b.try_into().ok()).map(|b| Signature::from_bytes(&b));
    match (key, signature) {
        (Some(key), Some(signature)) => key.verify_strict(bytes, &signature).is_ok(),
        _ => false,
    }
}

/// The 64 digits of a root's SHA-256 or of an old key, with or without blanks and
/// colons between them.
fn digits(text: &str) -> Option<String> {
    let digits: String = text.chars().filter(|c| !c.is_whitespace() && *c != ':').collect();
    (digits.len() == 64 && unhex(&digits).is_some()).then(|| digits.to_lowercase())
}

/// What somebody trusts: the 64 digits on a traveler's head page, or a file that
/// names them: a certificate, a shop book, or the digits alone.
///
/// # Errors
/// If one is none of these.
pub fn trusted(host: &dyn RecordHost, named: &[String]) -> Result<BTreeSet<String>, Failure> {
    named.iter().map(|one| one_trusted(host, one)).collect()
}

fn one_trusted(host: &dyn RecordHost, named: &str) -> Result<String, Failure> {
    if let Some(found) = digits(named) {
        return Ok(found);
    }
    let path = Path::new(named);
    let in_file = |bytes: &[u8]| {
        let all = certificate::read(bytes).unwrap_or_default();
        if let Some(own) = all.first() {
            // Of a whole chain the root is meant.
            return Some(identity::root(&all).unwrap_or_else(|| certificate_fingerprint(own)));
        }
        let text = String::from_utf8_lossy(bytes);
        let book = || crate::shop::load(named, &text).0.and_then(|b| b.seal);
        digits(&text).or_else(|| digits(&book()?.0))
    };
    let found = match host.exists(path) {
        true => in_file(&host.bytes(path).map_err(|e| system(path, e))?),
        false => None,
    };
    found.ok_or_else(|| {
        refused(
            Diagnostic::error("L196", format!("\"{named}\" names no key: no digits, no file that has them"))
                .key("--trust")
                .expected("the 64 digits on the traveler's head page, the certificate of the shop's root, or a shop book with its seal")
                .example("--trust shop-root.pem"),
        )
    })
}
