//! A private key: made, read, signed with, and kept encrypted under a
//! passphrase (PKCS #8 with scrypt and AES-256, RFC 5958, RFC 7914, RFC 8018).

use der::pem::LineEnding;
use der::{Decode, SecretDocument};
use p256::ecdsa::signature::Signer;
use pkcs8::pkcs5::{pbes2, scrypt};
use pkcs8::{DecodePrivateKey, EncodePrivateKey, EncryptedPrivateKeyInfo, PrivateKeyInfo};
use rsa::RsaPrivateKey;
use rsa::traits::PublicKeyParts;
use x509_cert::spki::{AlgorithmIdentifierOwned, EncodePublicKey, SubjectPublicKeyInfoOwned};

use super::algorithm::{Digest, SHORTEST_RSA, pkcs1};
use super::{Fault, oid};

/// Where randomness comes from: fills the bytes, or says why it can't.
pub type Chance<'a> = &'a dyn Fn(&mut [u8]) -> Result<(), Fault>;

/// Shortest passphrase, in characters.
pub const SHORTEST: usize = 8;

/// What scrypt costs: 2^16 rounds, 64 MiB, as OWASP's and RFC 7914's advice
/// for keys at rest (common practice).
const SCRYPT: (u8, u32, u32) = (16, 8, 1);

/// The kind of a key that is made here.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Kind {
    /// ECDSA on P-256 with SHA-256 (FIPS 186-5).
    #[default]
    P256,
    /// ECDSA on P-384 with SHA-384.
    P384,
}

/// A key that signs; as debug text it shows its kind alone.
pub enum PrivateKey {
    /// ECDSA on P-256.
    P256(p256::ecdsa::SigningKey),
    /// ECDSA on P-384.
    P384(p384::ecdsa::SigningKey),
    /// RSA, 2048 bits and more.
    Rsa(Box<RsaPrivateKey>),
}

impl std::fmt::Debug for PrivateKey {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        // Never the key itself.
        f.write_str(match self {
            PrivateKey::P256(_) => "PrivateKey(P-256)",
            PrivateKey::P384(_) => "PrivateKey(P-384)",
            PrivateKey::Rsa(_) => "PrivateKey(RSA)",
        })
    }
}

impl PrivateKey {
    /// Makes a key.
    ///
    /// # Errors
    /// If there is no randomness.
    pub fn make(kind: Kind, chance: Chance<'_>) -> Result<Self, Fault> {
        // A draw outside the order of the curve is drawn again (FIPS 186-5,
        // A.2.2); that happens once in 2^32 draws or less.
        for _ in 0..64 {
            match kind {
                Kind::P256 => {
                    let mut bytes = zeroize::Zeroizing::new([0_u8; 32]);
                    chance(&mut bytes[..])?;
                    if let Ok(key) = p256::ecdsa::SigningKey::from_slice(&bytes[..]) {
                        return Ok(PrivateKey::P256(key));
                    }
                }
                Kind::P384 => {
                    let mut bytes = zeroize::Zeroizing::new([0_u8; 48]);
                    chance(&mut bytes[..])?;
                    if let Ok(key) = p384::ecdsa::SigningKey::from_slice(&bytes[..]) {
                        return Ok(PrivateKey::P384(key));
                    }
                }
            }
        }
        Err(Fault::new("the source of randomness gives no usable key"))
    }

    /// Reads a key from PKCS #8 (DER).
    ///
    /// # Errors
    /// If it is of another kind, too short or not well formed.
    pub fn from_pkcs8(der: &[u8]) -> Result<Self, Fault> {
        let bad = |e: &dyn std::fmt::Display| Fault::new(format!("the private key can't be read ({e})"));
        let info = PrivateKeyInfo::from_der(der).map_err(|e| bad(&e))?;
        let curve = info.algorithm.parameters_oid().ok();
        match info.algorithm.oid {
            oid::EC if curve == Some(oid::P256) => {
                p256::ecdsa::SigningKey::from_pkcs8_der(der).map(PrivateKey::P256).map_err(|e| bad(&e))
            }
            oid::EC if curve == Some(oid::P384) => {
                p384::ecdsa::SigningKey::from_pkcs8_der(der).map(PrivateKey::P384).map_err(|e| bad(&e))
            }
            oid::RSA => Self::rsa(RsaPrivateKey::from_pkcs8_der(der).map_err(|e| bad(&e))?),
            other => Err(Fault::new(format!(
                "private keys of the kind {other} are not known here; P-256, P-384 and RSA from {SHORTEST_RSA} bits are"
            ))),
        }
    }

    /// An RSA key that is long enough.
    pub(super) fn rsa(key: RsaPrivateKey) -> Result<Self, Fault> {
        if key.n().bits() < SHORTEST_RSA {
            return Err(Fault::new(format!(
                "the RSA key has {} bits; {SHORTEST_RSA} and more are accepted",
                key.n().bits()
            )));
        }
        Ok(PrivateKey::Rsa(Box::new(key)))
    }

    fn pkcs8(&self) -> Result<SecretDocument, Fault> {
        let done = match self {
            PrivateKey::P256(key) => key.to_pkcs8_der(),
            PrivateKey::P384(key) => key.to_pkcs8_der(),
            PrivateKey::Rsa(key) => key.to_pkcs8_der(),
        };
        done.map_err(|e| Fault::new(format!("the private key can't be written ({e})")))
    }

    /// The public half.
    ///
    /// # Errors
    /// If it can't be encoded.
    pub fn public(&self) -> Result<SubjectPublicKeyInfoOwned, Fault> {
        let der = match self {
            PrivateKey::P256(key) => key.verifying_key().to_public_key_der(),
            PrivateKey::P384(key) => key.verifying_key().to_public_key_der(),
            PrivateKey::Rsa(key) => key.to_public_key().to_public_key_der(),
        };
        let der = der.map_err(|e| Fault::new(format!("the public key can't be written ({e})")))?;
        Ok(SubjectPublicKeyInfoOwned::from_der(der.as_bytes())?)
    }

    /// The digest this key signs with.
    #[must_use]
    pub const fn digest(&self) -> Digest {
        match self {
            PrivateKey::P256(_) | PrivateKey::Rsa(_) => Digest::Sha256,
            PrivateKey::P384(_) => Digest::Sha384,
        }
    }

    /// The signature algorithm it signs with.
    pub(super) fn algorithm(&self) -> AlgorithmIdentifierOwned {
        let (oid, parameters) = match self {
            PrivateKey::P256(_) => (oid::ECDSA_SHA256, None),
            PrivateKey::P384(_) => (oid::ECDSA_SHA384, None),
            // NULL, as RFC 8017, A.2.4 asks for.
            PrivateKey::Rsa(_) => (oid::RSA_SHA256, Some(der::asn1::Null.into())),
        };
        AlgorithmIdentifierOwned { oid, parameters }
    }

    /// Signs; the same bytes give the same signature (RFC 6979 for ECDSA,
    /// PKCS #1 v1.5 for RSA).
    ///
    /// # Errors
    /// If the key can't sign.
    pub fn sign(&self, message: &[u8]) -> Result<Vec<u8>, Fault> {
        let bad = |e: &dyn std::fmt::Display| Fault::new(format!("signing failed ({e})"));
        match self {
            PrivateKey::P256(key) => {
                let made: p256::ecdsa::Signature = key.try_sign(message).map_err(|e| bad(&e))?;
                Ok(made.to_der().as_bytes().to_vec())
            }
            PrivateKey::P384(key) => {
                let made: p384::ecdsa::Signature = key.try_sign(message).map_err(|e| bad(&e))?;
                Ok(made.to_der().as_bytes().to_vec())
            }
            PrivateKey::Rsa(key) => {
                let digest = self.digest();
                key.sign(pkcs1(digest), &digest.over(&[message])).map_err(|e| bad(&e))
            }
        }
    }

    /// The key under a passphrase, as PEM.
    ///
    /// # Errors
    /// If the passphrase is too short or there is no randomness.
    pub fn locked(&self, passphrase: &str, chance: Chance<'_>) -> Result<String, Fault> {
        if passphrase.chars().count() < SHORTEST {
            return Err(Fault::new(format!(
                "the passphrase is too short: at least {SHORTEST} characters are expected"
            )));
        }
        let bad = |e: &dyn std::fmt::Display| Fault::new(format!("the key can't be encrypted ({e})"));
        let (mut salt, mut iv) = ([0_u8; 16], [0_u8; 16]);
        chance(&mut salt)?;
        chance(&mut iv)?;
        let (rounds, block, lanes) = SCRYPT;
        let cost = scrypt::Params::new(rounds, block, lanes, 32).map_err(|e| bad(&e))?;
        let params = pbes2::Parameters::scrypt_aes256cbc(cost, &salt, &iv).map_err(|e| bad(&e))?;
        let plain = self.pkcs8()?;
        let info = PrivateKeyInfo::from_der(plain.as_bytes()).map_err(|e| bad(&e))?;
        let locked = info.encrypt_with_params(params, passphrase).map_err(|e| bad(&e))?;
        let pem = locked.to_pem("ENCRYPTED PRIVATE KEY", LineEnding::LF).map_err(|e| bad(&e))?;
        Ok(pem.as_str().to_owned())
    }

    /// Opens a key that was kept under a passphrase.
    ///
    /// # Errors
    /// If the text is no such key, or the passphrase is wrong.
    pub fn open(pem: &str, passphrase: &str) -> Result<Self, Fault> {
        let (label, document) = SecretDocument::from_pem(pem)
            .map_err(|e| Fault::new(format!("this is no key in PEM form ({e})")))?;
        if label != "ENCRYPTED PRIVATE KEY" {
            return Err(Fault::new(format!("an ENCRYPTED PRIVATE KEY is expected, not \"{label}\"")));
        }
        let info = EncryptedPrivateKeyInfo::from_der(document.as_bytes())
            .map_err(|e| Fault::new(format!("the encrypted key can't be read ({e})")))?;
        let plain = info.decrypt(passphrase).map_err(|_| Fault::Passphrase)?;
        Self::from_pkcs8(plain.as_bytes())
    }
}
