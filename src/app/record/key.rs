//! The shop's sealing key (Ed25519, RFC 8032).

use std::path::{Path, PathBuf};

use ed25519_dalek::{Signature, Signer, SigningKey, VerifyingKey};

use super::files::RecordHost;
use super::{refused, register, system};
use crate::app::plan::Failure;
use crate::diagnostic::Diagnostic;
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

/// The public key somebody trusts: its 64 digits, or a file that names it, a shop
/// book or one that holds the digits.
///
/// # Errors
/// If it is neither.
pub fn trusted(host: &dyn RecordHost, named: &str) -> Result<String, Failure> {
    let digits = |text: &str| {
        let text = text.trim().to_lowercase();
        (text.len() == 64 && text.chars().all(|c| c.is_ascii_hexdigit())).then_some(text)
    };
    if let Some(key) = digits(named) {
        return Ok(key);
    }
    let path = Path::new(named);
    let text = host.read(path).map_err(|e| system(path, e))?;
    if let Some(key) = digits(&text) {
        return Ok(key);
    }
    let (book, _) = crate::shop::load(named, &text);
    book.and_then(|b| b.seal).and_then(|s| digits(&s.value)).ok_or_else(|| {
        refused(
            Diagnostic::error("L169", format!("{named} names no key"))
                .expected("the 64 digits of the shop's public key, or a shop book with its seal")
                .example("--trust d75a980182b10ab7d54bfed3c964073a0ee172f3daa62325af021a68f707511a"),
        )
    })
}

fn unhex(text: &str) -> Option<Vec<u8>> {
    if !text.len().is_multiple_of(2) || !text.is_ascii() {
        return None;
    }
    (0..text.len() / 2).map(|i| u8::from_str_radix(&text[2 * i..2 * i + 2], 16).ok()).collect()
}
