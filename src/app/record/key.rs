//! Keys: the shop's seal (Ed25519, RFC 8032) and its people's PINs (argon2id,
//! RFC 9106).

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

use argon2::Argon2;
use argon2::password_hash::{PasswordHash, PasswordHasher, PasswordVerifier, SaltString};
use ed25519_dalek::{Signature, Signer, SigningKey, VerifyingKey};

use super::desk::PINS;
use super::files::RecordHost;
use super::{refused, system};
use crate::app::plan::Failure;
use crate::diagnostic::Diagnostic;
use crate::record::people;
use crate::traveler::document::{Document, Fact};

/// Private key in the folder of travelers.
const SECRET: &str = "seal.key";
/// Public key beside it.
const PUBLIC: &str = "seal.pub";

/// Makes a key pair in a folder. An existing one is kept.
///
/// # Errors
/// If there is one already, or the system fails.
pub fn create(host: &dyn RecordHost, folder: &Path) -> Result<(PathBuf, String), Failure> {
    let path = folder.join(SECRET);
    if host.exists(&path) {
        return Err(refused(Diagnostic::error("L160", format!("{} is there already", path.display())).help(
            "a new key would not fit the travelers already printed; move the old one away if you mean it",
        )));
    }
    let mut seed = [0_u8; 32];
    host.random(&mut seed).map_err(|e| system(&path, e))?;
    let key = SigningKey::from_bytes(&seed);
    let public = hex(key.verifying_key().as_bytes());
    host.write_secret(&path, format!("{}\n", hex(&seed)).as_bytes()).map_err(|e| system(&path, e))?;
    let beside = folder.join(PUBLIC);
    host.write(&beside, format!("{public}\n").as_bytes()).map_err(|e| system(&beside, e))?;
    Ok((path, public))
}

/// The key of the folder of travelers a traveler's folder stands in.
///
/// # Errors
/// If there is one and it can't be read.
pub fn secret(host: &dyn RecordHost, traveler: &Path) -> Result<Option<SigningKey>, Failure> {
    let Some(path) = traveler.parent().map(|p| p.join(SECRET)).filter(|p| host.exists(p)) else {
        return Ok(None);
    };
    let text = host.read(&path).map_err(|e| system(&path, e))?;
    let seed: [u8; 32] = unhex(text.trim())
        .and_then(|b| b.try_into().ok())
        .ok_or_else(|| system(&path, "this is no key: 64 hexadecimal digits are expected"))?;
    Ok(Some(SigningKey::from_bytes(&seed)))
}

/// Prints the public key on the head page, if the shop has one.
pub fn print(host: &dyn RecordHost, traveler: &Path, document: &mut Document) {
    if let Ok(Some(key)) = secret(host, traveler) {
        document.head.facts.push(Fact::new("seal key (Ed25519)", hex(key.verifying_key().as_bytes())));
    }
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

/// Stores the hash of a person's PIN.
///
/// # Errors
/// If the PIN is too short or the system fails.
pub fn set_pin(host: &dyn RecordHost, folder: &Path, id: &str, pin: &str) -> Result<PathBuf, Failure> {
    if pin.chars().count() < SHORTEST {
        return Err(refused(
            Diagnostic::error("L161", "the PIN is too short")
                .expected(format!("at least {SHORTEST} characters")),
        ));
    }
    let path = folder.join(PINS);
    let mut pins: BTreeMap<String, String> = if host.exists(&path) {
        let text = host.read(&path).map_err(|e| system(&path, e))?;
        serde_json::from_str(&text).map_err(|e| system(&path, e))?
    } else {
        BTreeMap::new()
    };
    let mut bytes = [0_u8; 16];
    host.random(&mut bytes).map_err(|e| system(&path, e))?;
    let salt = SaltString::encode_b64(&bytes).map_err(|e| system(&path, e))?;
    let hash = Argon2::default().hash_password(pin.as_bytes(), &salt).map_err(|e| system(&path, e))?;
    pins.insert(id.to_owned(), hash.to_string());
    let mut text = serde_json::to_vec_pretty(&pins).unwrap_or_default();
    text.push(b'\n');
    host.write(&path, &text).map_err(|e| system(&path, e))?;
    Ok(path)
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
