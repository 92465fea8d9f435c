//! Digest and signature algorithms: which are made, which are accepted, and
//! which are refused by name. Accepted are those that ETSI TS 119 312 lists as
//! usable: SHA-256, SHA-384, SHA-512; ECDSA on P-256 and P-384; RSA from 2048
//! bits, PKCS #1 v1.5 and PSS.

use der::asn1::ObjectIdentifier as Oid;
use der::{Decode, Encode, Sequence};
use p256::ecdsa::signature::hazmat::PrehashVerifier;
use rsa::RsaPublicKey;
use rsa::traits::PublicKeyParts;
use sha2::{Sha256, Sha384, Sha512};
use x509_cert::spki::{AlgorithmIdentifierOwned, SubjectPublicKeyInfoOwned};

use super::{Fault, oid};

/// Shortest RSA modulus that is accepted, in bits (ETSI TS 119 312, 2048 until
/// it is withdrawn).
pub const SHORTEST_RSA: usize = 2048;

/// A digest algorithm that is accepted.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Digest {
    /// SHA-256 (FIPS 180-4).
    Sha256,
    /// SHA-384.
    Sha384,
    /// SHA-512.
    Sha512,
}

impl Digest {
    /// The digest of this identifier.
    ///
    /// # Errors
    /// If it is not accepted.
    pub(super) fn of(oid: Oid) -> Result<Self, Fault> {
        match oid {
            oid::SHA256 => Ok(Digest::Sha256),
            oid::SHA384 => Ok(Digest::Sha384),
            oid::SHA512 => Ok(Digest::Sha512),
            other => Err(Fault::new(format!(
                "the digest {} is not accepted; SHA-256, SHA-384 and SHA-512 are",
                oid::name(other)
            ))),
        }
    }

    /// Its identifier.
    pub(super) const fn oid(self) -> Oid {
        match self {
            Digest::Sha256 => oid::SHA256,
            Digest::Sha384 => oid::SHA384,
            Digest::Sha512 => oid::SHA512,
        }
    }

    /// As people write it: `SHA-256`.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Digest::Sha256 => "SHA-256",
            Digest::Sha384 => "SHA-384",
            Digest::Sha512 => "SHA-512",
        }
    }

    /// The digest of bytes that follow each other.
    #[must_use]
    pub fn over(self, parts: &[&[u8]]) -> Vec<u8> {
        fn run<D: sha2::Digest>(parts: &[&[u8]]) -> Vec<u8> {
            let mut hash = D::new();
            parts.iter().for_each(|part| hash.update(part));
            hash.finalize().to_vec()
        }
        match self {
            Digest::Sha256 => run::<Sha256>(parts),
            Digest::Sha384 => run::<Sha384>(parts),
            Digest::Sha512 => run::<Sha512>(parts),
        }
    }
}

/// Parameters of RSASSA-PSS (RFC 8017, A.2.3); what is absent is SHA-1.
#[derive(Debug, Clone, PartialEq, Eq, Sequence)]
struct PssParams {
    #[asn1(context_specific = "0", tag_mode = "EXPLICIT", optional = "true")]
    hash: Option<AlgorithmIdentifierOwned>,
    #[asn1(context_specific = "1", tag_mode = "EXPLICIT", optional = "true")]
    mask: Option<AlgorithmIdentifierOwned>,
    #[asn1(context_specific = "2", tag_mode = "EXPLICIT", optional = "true")]
    salt: Option<u32>,
    #[asn1(context_specific = "3", tag_mode = "EXPLICIT", optional = "true")]
    trailer: Option<u32>,
}

/// A public key that is accepted.
enum Public {
    P256(p256::ecdsa::VerifyingKey),
    P384(p384::ecdsa::VerifyingKey),
    Rsa(RsaPublicKey),
}

fn public(info: &SubjectPublicKeyInfoOwned) -> Result<Public, Fault> {
    let der = info.to_der()?;
    let curve = || info.algorithm.parameters.as_ref().and_then(|p| p.decode_as::<Oid>().ok());
    let bad = |e: &dyn std::fmt::Display| Fault::new(format!("the public key can't be read ({e})"));
    match info.algorithm.oid {
        oid::EC if curve() == Some(oid::P256) => {
            use p256::pkcs8::DecodePublicKey;
            p256::ecdsa::VerifyingKey::from_public_key_der(&der).map(Public::P256).map_err(|e| bad(&e))
        }
        oid::EC if curve() == Some(oid::P384) => {
            use p384::pkcs8::DecodePublicKey;
            p384::ecdsa::VerifyingKey::from_public_key_der(&der).map(Public::P384).map_err(|e| bad(&e))
        }
        oid::RSA | oid::RSA_PSS => {
            use rsa::pkcs1::DecodeRsaPublicKey;
            let key = info.subject_public_key.raw_bytes();
            let key = RsaPublicKey::from_pkcs1_der(key).map_err(|e| bad(&e))?;
            if key.n().bits() < SHORTEST_RSA {
                return Err(Fault::new(format!(
                    "the RSA key has {} bits; {SHORTEST_RSA} and more are accepted",
                    key.n().bits()
                )));
            }
            Ok(Public::Rsa(key))
        }
        other => {
            Err(Fault::new(format!("keys of the kind {other} are not known here; P-256, P-384 and RSA are")))
        }
    }
}

/// The kind of a public key in words: `P-256`, `RSA, 3072 bits`.
///
/// # Errors
/// If the key is not accepted.
pub fn kind(info: &SubjectPublicKeyInfoOwned) -> Result<String, Fault> {
    Ok(match public(info)? {
        Public::P256(_) => "P-256".to_owned(),
        Public::P384(_) => "P-384".to_owned(),
        Public::Rsa(key) => format!("RSA, {} bits", key.n().bits()),
    })
}

/// Checks a signature over `message`. `digest` is the one its container names;
/// certificates name none. Gives the algorithm in words.
///
/// # Errors
/// If the algorithm or the key is not accepted, or the signature is not that of
/// the key over the message.
pub(super) fn check(
    info: &SubjectPublicKeyInfoOwned,
    algorithm: &AlgorithmIdentifierOwned,
    digest: Option<Digest>,
    message: &[u8],
    signature: &[u8],
) -> Result<String, Fault> {
    let key = public(info)?;
    let named = match algorithm.oid {
        oid::ECDSA_SHA256 | oid::RSA_SHA256 => Digest::Sha256,
        oid::ECDSA_SHA384 | oid::RSA_SHA384 => Digest::Sha384,
        oid::ECDSA_SHA512 | oid::RSA_SHA512 => Digest::Sha512,
        oid::RSA_PSS => pss(algorithm)?.0,
        oid::RSA | oid::EC => {
            digest.ok_or_else(|| Fault::new("the signature does not say which digest it uses"))?
        }
        other => return Err(Fault::new(format!("the signature algorithm {other} is not accepted"))),
    };
    let hash = named.over(&[message]);
    let wrong = || Fault::new("the signature was not made by this key over these bytes");
    match (&key, algorithm.oid) {
        (Public::P256(key), oid::ECDSA_SHA256 | oid::ECDSA_SHA384 | oid::ECDSA_SHA512 | oid::EC) => {
            let signature = p256::ecdsa::Signature::from_der(signature).map_err(|_| wrong())?;
            key.verify_prehash(&hash, &signature).map_err(|_| wrong())?;
            Ok(format!("ECDSA on P-256 with {}", named.name()))
        }
        (Public::P384(key), oid::ECDSA_SHA256 | oid::ECDSA_SHA384 | oid::ECDSA_SHA512 | oid::EC) => {
            let signature = p384::ecdsa::Signature::from_der(signature).map_err(|_| wrong())?;
            key.verify_prehash(&hash, &signature).map_err(|_| wrong())?;
            Ok(format!("ECDSA on P-384 with {}", named.name()))
        }
        (Public::Rsa(key), oid::RSA_PSS) => {
            let salt = pss(algorithm)?.1;
            let scheme = match named {
                Digest::Sha256 => rsa::Pss::new_with_salt::<Sha256>(salt),
                Digest::Sha384 => rsa::Pss::new_with_salt::<Sha384>(salt),
                Digest::Sha512 => rsa::Pss::new_with_salt::<Sha512>(salt),
            };
            key.verify(scheme, &hash, signature).map_err(|_| wrong())?;
            Ok(format!("RSA-PSS, {} bits, with {}", key.n().bits(), named.name()))
        }
        (Public::Rsa(key), oid::RSA_SHA256 | oid::RSA_SHA384 | oid::RSA_SHA512 | oid::RSA) => {
            key.verify(pkcs1(named), &hash, signature).map_err(|_| wrong())?;
            Ok(format!("RSA, {} bits, with {}", key.n().bits(), named.name()))
        }
        _ => Err(Fault::new("the signature algorithm does not fit the key")),
    }
}

/// The padding of RSA signatures with this digest (RFC 8017, 8.2).
pub(super) fn pkcs1(digest: Digest) -> rsa::Pkcs1v15Sign {
    match digest {
        Digest::Sha256 => rsa::Pkcs1v15Sign::new::<Sha256>(),
        Digest::Sha384 => rsa::Pkcs1v15Sign::new::<Sha384>(),
        Digest::Sha512 => rsa::Pkcs1v15Sign::new::<Sha512>(),
    }
}

/// Digest and length of the salt, in bytes, of RSASSA-PSS. Both digests must be
/// the same, as everybody makes them.
fn pss(algorithm: &AlgorithmIdentifierOwned) -> Result<(Digest, usize), Fault> {
    let weak = || Fault::new("RSA-PSS without parameters means SHA-1, which is not accepted");
    let params = algorithm.parameters.as_ref().ok_or_else(weak)?;
    let params = PssParams::from_der(&params.to_der()?)?;
    let digest = Digest::of(params.hash.ok_or_else(weak)?.oid)?;
    let mask = params.mask.ok_or_else(weak)?;
    let inner = mask.parameters.map(|p| AlgorithmIdentifierOwned::from_der(&p.to_der()?)).transpose()?;
    if inner.map(|a| a.oid) != Some(digest.oid()) || params.trailer.is_some_and(|t| t != 1) {
        return Err(Fault::new("RSA-PSS with these parameters is not known here"));
    }
    let salt = usize::try_from(params.salt.unwrap_or(20)).map_err(|_| weak())?;
    Ok((digest, salt))
}
