//! A key and certificate the shop already has: PEM or PKCS #12 (RFC 7292).

use der::SecretDocument;
use p12_keystore::{KeyStore, KeyStoreEntry};
use pkcs8::EncodePrivateKey;

use super::Fault;
use super::certificate::{self, Certificate};
use super::identity::Identity;
use super::key::PrivateKey;

/// Reads a PKCS #12 file. The key's own certificate comes first, its issuers
/// behind it.
///
/// # Errors
/// If the passphrase is wrong, there is no key or more than one, or the key is
/// of a kind that is not accepted.
pub fn pkcs12(bytes: &[u8], passphrase: &str) -> Result<Identity, Fault> {
    let store = KeyStore::from_pkcs12(bytes, passphrase).map_err(|e| match e {
        p12_keystore::error::Error::MacError(_) => Fault::Passphrase,
        other => Fault::new(format!("the PKCS #12 file can't be read ({other})")),
    })?;
    let mut keys = Vec::new();
    let mut further = Vec::new();
    for (_, entry) in store.entries() {
        match entry {
            KeyStoreEntry::PrivateKeyChain(chain) => keys.push(chain),
            KeyStoreEntry::Certificate(one) => further.extend(certificate::read(one.as_der())?),
            KeyStoreEntry::Secret(_) => {}
        }
    }
    let [chain] = keys.as_slice() else {
        return Err(Fault::new(format!("the file holds {} private keys; one is expected", keys.len())));
    };
    let mut certificates = Vec::new();
    for one in chain.chain() {
        certificates.extend(certificate::read(one.as_der())?);
    }
    certificates.extend(further);
    ordered(PrivateKey::from_pkcs8(chain.key())?, certificates)
}

/// Reads a key in PEM form (PKCS #8, encrypted or not, PKCS #1 or SEC 1) and
/// its certificates in PEM or DER form.
///
/// # Errors
/// As [`pkcs12`].
pub fn pem(key: &str, passphrase: Option<&str>, certificates: &[u8]) -> Result<Identity, Fault> {
    let text = block(key).ok_or_else(|| Fault::new("there is no private key in PEM form in it"))?;
    let key = if text.contains("BEGIN ENCRYPTED PRIVATE KEY") {
        PrivateKey::open(&text, passphrase.ok_or(Fault::Passphrase)?)?
    } else {
        plain(&text)?
    };
    ordered(key, certificate::read(certificates)?)
}

/// The block of the private key; a file may hold certificates and parameters
/// beside it.
fn block(text: &str) -> Option<String> {
    let mut rest = text;
    while let Some(at) = rest.find("-----BEGIN ") {
        let here = &rest[at..];
        let label = here.strip_prefix("-----BEGIN ")?.split("-----").next()?;
        let end = format!("-----END {label}-----");
        let to = here.find(&end)? + end.len();
        if label.ends_with("PRIVATE KEY") {
            return Some(format!("{}\n", here[..to].replace('\r', "")));
        }
        rest = &here[to..];
    }
    None
}

/// A key that lies open.
fn plain(pem: &str) -> Result<PrivateKey, Fault> {
    let bad = |e: &dyn std::fmt::Display| Fault::new(format!("the private key can't be read ({e})"));
    if pem.contains("Proc-Type: 4,ENCRYPTED") {
        return Err(Fault::new(
            "this old way of encrypting a key (RFC 1421) is too weak to be read; convert it: openssl pkcs8 -topk8",
        ));
    }
    let (label, document) = SecretDocument::from_pem(pem).map_err(|e| bad(&e))?;
    match label {
        "PRIVATE KEY" => PrivateKey::from_pkcs8(document.as_bytes()),
        "RSA PRIVATE KEY" => {
            use rsa::pkcs1::DecodeRsaPrivateKey;
            PrivateKey::rsa(rsa::RsaPrivateKey::from_pkcs1_der(document.as_bytes()).map_err(|e| bad(&e))?)
        }
        "EC PRIVATE KEY" => {
            let p256 =
                p256::SecretKey::from_sec1_der(document.as_bytes()).ok().and_then(|k| k.to_pkcs8_der().ok());
            let p384 = || {
                p384::SecretKey::from_sec1_der(document.as_bytes()).ok().and_then(|k| k.to_pkcs8_der().ok())
            };
            let der = p256
                .or_else(p384)
                .ok_or_else(|| Fault::new("the key is on no curve known here; P-256 and P-384 are"))?;
            PrivateKey::from_pkcs8(der.as_bytes())
        }
        other => Err(Fault::new(format!("\"{other}\" is no kind of key known here"))),
    }
}

/// The certificates in order: the key's own, then each one's issuer, then the
/// rest.
fn ordered(key: PrivateKey, mut pool: Vec<Certificate>) -> Result<Identity, Fault> {
    let public = key.public()?;
    let own = pool
        .iter()
        .position(|c| c.tbs_certificate.subject_public_key_info == public)
        .ok_or_else(|| Fault::new("no certificate is that of the key"))?;
    let mut list = vec![pool.swap_remove(own)];
    while let Some(last) = list.last() {
        let body = &last.tbs_certificate;
        let issuer = body.issuer.clone();
        if issuer == body.subject {
            break;
        }
        let Some(next) = pool.iter().position(|c| c.tbs_certificate.subject == issuer) else { break };
        list.push(pool.swap_remove(next));
    }
    pool.retain(|c| !list.contains(c));
    list.extend(pool);
    Identity::new(key, list)
}
