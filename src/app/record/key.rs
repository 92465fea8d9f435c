//! The PINs of a shop's people (argon2id, RFC 9106), and the seals of records
//! that were made before the shop's signature was one any reader knows
//! (Ed25519, RFC 8032): they are checked, and no longer made.

use std::path::Path;

use argon2::Argon2;
use argon2::password_hash::{PasswordHash, PasswordHasher, PasswordVerifier, SaltString};
use ed25519_dalek::{Signature, VerifyingKey};

use super::files::RecordHost;
use super::{refused, system};
use crate::app::plan::Failure;
use crate::diagnostic::Diagnostic;
use crate::record::people;
use crate::seal::unhex;
use crate::shop::edit;

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

/// Shortest PIN, in characters.
const SHORTEST: usize = 4;

/// Writes the hash of a person's PIN into the shop book.
///
/// # Errors
/// If the PIN is too short, nobody has the id, or the system fails.
pub fn set_pin(host: &dyn RecordHost, book: &Path, id: &str, pin: &str) -> Result<(), Failure> {
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
    host.write(book, text.as_bytes()).map_err(|e| system(book, e))
}

/// Identifies a person by PIN; says how the person was identified.
///
/// # Errors
/// If the book has a PIN for the person and it was not given, or is wrong.
pub fn identify(person: &people::Signer, pin: Option<&str>) -> Result<&'static str, Diagnostic> {
    let Some(stored) = &person.pin else {
        return Ok("not by PIN: the book has none");
    };
    let Some(pin) = pin else {
        return Err(Diagnostic::error("L162", format!("{} ({}) signs with a PIN", person.name, person.id))
            .key("rule: the person is identified")
            .help("type it when asked, or give it on standard input with --pin-stdin"));
    };
    let right = PasswordHash::new(stored).is_ok_and(|hash| {
        Argon2::default().verify_password(pin.trim_end_matches(['\r', '\n']).as_bytes(), &hash).is_ok()
    });
    if right {
        Ok("pin")
    } else {
        Err(Diagnostic::error("L163", format!("that is not the PIN of {} ({})", person.name, person.id))
            .key("rule: the person is identified")
            .help("try again, or have the lead set a new one: tackwright key pin ID"))
    }
}
