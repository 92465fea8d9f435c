//! What a shop signs with: the leaf's key and its certificates up to the root.

use x509_cert::spki::AlgorithmIdentifierOwned;

use super::algorithm::{self, Digest};
use super::certificate::{Certificate, certificate_fingerprint, demonstration};
use super::chain::self_signed;
use super::key::PrivateKey;
use super::{Fault, oid};

/// A key and the certificates that go with it.
#[derive(Debug)]
pub struct Identity {
    /// Signs; it belongs to the first of `certificates`.
    pub key: PrivateKey,
    /// Certificates: the key's own first, its root behind it, then the bonds to
    /// older roots.
    pub certificates: Vec<Certificate>,
}

impl Identity {
    /// A key with its certificates.
    ///
    /// # Errors
    /// If the first certificate is not that of the key.
    pub fn new(key: PrivateKey, certificates: Vec<Certificate>) -> Result<Self, Fault> {
        let public = key.public()?;
        let first = certificates.first().ok_or_else(|| Fault::new("there is no certificate"))?;
        if first.tbs_certificate.subject_public_key_info != public {
            return Err(Fault::new("the certificate is not that of the key"));
        }
        Ok(Self { key, certificates })
    }

    /// The key's own certificate.
    ///
    /// # Errors
    /// If there is none.
    pub fn leaf(&self) -> Result<&Certificate, Fault> {
        self.certificates.first().ok_or_else(|| Fault::new("there is no certificate"))
    }

    /// Fingerprint of the root the leaf leads to: the first certificate that its
    /// own key signed.
    #[must_use]
    pub fn root(&self) -> Option<String> {
        root(&self.certificates)
    }

    /// Whether any of its certificates is a demonstration's.
    #[must_use]
    pub fn demonstration(&self) -> bool {
        self.certificates.iter().any(demonstration)
    }
}

/// Fingerprint of the first certificate that its own key signed.
#[must_use]
pub fn root(certificates: &[Certificate]) -> Option<String> {
    certificates.iter().find(|c| self_signed(c)).map(certificate_fingerprint)
}

/// Checks a bare signature over some bytes: that of the certificate's key, made
/// by [`PrivateKey::sign`].
///
/// # Errors
/// If the key is not accepted or the signature is not its own.
pub fn check(certificate: &Certificate, message: &[u8], signature: &[u8]) -> Result<(), Fault> {
    let info = &certificate.tbs_certificate.subject_public_key_info;
    let curve = info.algorithm.parameters.as_ref().and_then(|p| p.decode_as().ok());
    let (oid, digest) = match info.algorithm.oid {
        oid::RSA => (oid::RSA_SHA256, Digest::Sha256),
        _ if curve == Some(oid::P384) => (oid::ECDSA_SHA384, Digest::Sha384),
        _ => (oid::ECDSA_SHA256, Digest::Sha256),
    };
    let algorithm = AlgorithmIdentifierOwned { oid, parameters: None };
    algorithm::check(info, &algorithm, Some(digest), message, signature).map(|_| ())
}
