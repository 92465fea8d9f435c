//! Keys: the shop's seal (Ed25519, RFC 8032) and its people's PINs (argon2id,
//! RFC 9106).

use std::path::{Path, PathBuf};

use argon2::Argon2;
use argon2::password_hash::{PasswordHash, PasswordHasher, PasswordVerifier, SaltString};
use ed25519_dalek::{Signature, Signer, SigningKey, VerifyingKey};

use super::files::RecordHost;
use super::{refused, register, system};
use crate::app::plan::Failure;
use crate::diagnostic::Diagnostic;
use crate::record::people;
use crate::shop::edit;

/// Private key beside the shop book.
const SECRET: &str = "seal.key";

/// Makes a key pair: the private key goes into a file beside the shop book, the
/// public one into the book. An existing one is kept.
///
/// # Errors
/// If there is one already, the book can't be read, or the system fails.
pub fn create(host: &dyn RecordHost, book: &Path) -> Result<(PathBuf, String), Failure> {
    let path = book.with_file_name(SECRET);
    let text = host.read(book).map_err(|e| system(book, e))?;
    let name = book.display().to_string();
    if host.exists(&path) {
        return Err(refused(Diagnostic::error("L160", format!("{} is there already", path.display())).help(
            "a new key would not fit the travelers already printed; move the old one away if you mean it",
        )));
    }
    let mut seed = [0_u8; 32];
    host.random(&mut seed).map_err(|e| system(&path, e))?;
    let key = SigningKey::from_bytes(&seed);
    let public = hex(key.verifying_key().as_bytes());
    let text = edit::set_seal(&name, &text, &public).map_err(refused)?;
    host.write_secret(&path, format!("{}\n", hex(&seed)).as_bytes()).map_err(|e| system(&path, e))?;
    host.write(book, text.as_bytes()).map_err(|e| system(book, e))?;
    Ok((path, public))
}

/// What there is to seal with.
#[derive(Debug)]
pub enum Seal {
    /// The book names no key.
    None,
    /// The private key of the one the book names.
    Key(Box<SigningKey>),
    /// The book names a key whose private half is not there; where it was looked for.
    Missing(PathBuf),
}

/// The key of the shop book of a traveler.
///
/// # Errors
/// If the private key can't be read or is not that of the book.
pub fn seal(host: &dyn RecordHost, traveler: &Path, named: Option<&Path>) -> Result<Seal, Failure> {
    let Some(book) = register::place(host, traveler, named) else { return Ok(Seal::None) };
    let text = host.read(&book).map_err(|e| system(&book, e))?;
    let (read, _) = crate::shop::load(&book.display().to_string(), &text);
    let Some(public) = read.and_then(|b| b.seal).map(|s| s.value.0) else { return Ok(Seal::None) };
    let path = book.with_file_name(SECRET);
    if !host.exists(&path) {
        return Ok(Seal::Missing(path));
    }
    let text = host.read(&path).map_err(|e| system(&path, e))?;
    let seed: [u8; 32] = unhex(text.trim())
        .and_then(|b| b.try_into().ok())
        .ok_or_else(|| system(&path, "this is no key: 64 hexadecimal digits are expected"))?;
    let key = SigningKey::from_bytes(&seed);
    if self::public(&key) != public.to_lowercase() {
        return Err(refused(
            Diagnostic::error(
                "L164",
                format!("{} is not the key that {} names", path.display(), book.display()),
            )
            .expected(format!("the private key of {public}"))
            .help("put the right key back; a record sealed with another one would not fit the paper"),
        ));
    }
    Ok(Seal::Key(Box::new(key)))
}

/// Signature over `bytes`, hexadecimal.
#[must_use]
pub fn sign(key: &SigningKey, bytes: &[u8]) -> String {
    hex(&key.sign(bytes).to_bytes())
}

/// Public key, hexadecimal.
#[must_use]
pub fn public(key: &SigningKey) -> String {
    hex(key.verifying_key().as_bytes())
}

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

fn hex(bytes: &[u8]) -> String {
    bytes.iter().map(|b| format!("{b:02x}")).collect()
}

fn unhex(text: &str) -> Option<Vec<u8>> {
    if !text.len().is_multiple_of(2) || !text.is_ascii() {
        return None;
    }
    (0..text.len() / 2).map(|i| u8::from_str_radix(&text[2 * i..2 * i + 2], 16).ok()).collect()
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
            .rule("the person is identified")
            .help("type it when asked, or give it on standard input with --pin-stdin"));
    };
    let right = PasswordHash::new(stored).is_ok_and(|hash| {
        Argon2::default().verify_password(pin.trim_end_matches(['\r', '\n']).as_bytes(), &hash).is_ok()
    });
    if right {
        Ok("pin")
    } else {
        Err(Diagnostic::error("L163", format!("that is not the PIN of {} ({})", person.name, person.id))
            .rule("the person is identified")
            .help("try again, or have the lead set a new one: tackwright key pin ID"))
    }
}
