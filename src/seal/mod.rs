//! Signatures that any PDF reader can check: keys and certificates, the
//! signature as CMS (RFC 5652) with the attributes of `PAdES` baseline
//! (ETSI EN 319 142-1), time-stamp tokens (RFC 3161), and a PDF file taken
//! apart into its revisions (ISO 32000-1, 7.5.6 and 12.8).
//!
//! Knows nothing of jobs and records: bytes in, bytes and verdicts out. The
//! clock and chance come from the caller. The same key over the same bytes
//! gives the same signature (RFC 6979; PKCS #1 v1.5).

pub mod algorithm;
pub mod certificate;
pub mod chain;
pub mod container;
pub mod identity;
pub mod import;
pub mod key;
mod oid;
pub mod pdf;
pub mod token;

use std::fmt;

use sha2::{Digest, Sha256};

/// Why something can't be done with a key, a certificate or a signature.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Fault {
    /// The passphrase does not open the key.
    Passphrase,
    /// Anything else; the reason in words, without a full stop.
    Words(String),
}

impl Fault {
    /// `words` give the reason, without a full stop.
    pub fn new(words: impl Into<String>) -> Self {
        Fault::Words(words.into())
    }
}

impl fmt::Display for Fault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Fault::Passphrase => f.write_str("that is not the passphrase of the key"),
            Fault::Words(words) => f.write_str(words),
        }
    }
}

impl std::error::Error for Fault {}

impl From<der::Error> for Fault {
    fn from(error: der::Error) -> Self {
        Fault::Words(format!("it is not well formed ({error})"))
    }
}

/// SHA-256 of some bytes, lower case hexadecimal.
#[must_use]
pub fn fingerprint(bytes: &[u8]) -> String {
    hex::encode(Sha256::digest(bytes))
}

/// Bytes as lower case hexadecimal digits.
#[must_use]
pub fn hex(bytes: &[u8]) -> String {
    hex::encode(bytes)
}

/// The bytes of hexadecimal digits of either case; none if they are not.
#[must_use]
pub fn unhex(text: &str) -> Option<Vec<u8>> {
    hex::decode(text).ok()
}
