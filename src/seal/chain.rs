//! From the certificate that signed up to a root: every link checked.

use std::collections::BTreeSet;

use chrono::{DateTime, Utc};
use der::{Decode, Encode};
use x509_cert::ext::pkix::{BasicConstraints, ExtendedKeyUsage, KeyUsage, KeyUsages};

use super::certificate::{Certificate, certificate_fingerprint, describe};
use super::{Fault, algorithm, oid};

/// Longest chain that is followed.
const LONGEST: usize = 8;

/// A chain that holds.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Chain {
    /// Certificates, the signer's first, the root last.
    pub certificates: Vec<Certificate>,
    /// Whether a trusted one was reached; none if nobody named one.
    pub trusted: Option<bool>,
}

impl Chain {
    /// The root's fingerprint.
    #[must_use]
    pub fn root(&self) -> String {
        self.certificates.last().map(certificate_fingerprint).unwrap_or_default()
    }
}

/// What a certificate is asked to sign.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Purpose {
    /// A document; the certificate may say nothing of what it is for.
    Document,
    /// A time-stamp token.
    Time,
}

/// Follows the certificates of `pool` from `signer` to a root, as they stood at
/// `at`. Of several ways the one that ends at a fingerprint in `trusted` is
/// taken, else the one that ends at a self-signed root.
///
/// # Errors
/// If no way holds; the reason of the first that failed.
pub fn follow(
    signer: &Certificate,
    pool: &[Certificate],
    at: DateTime<Utc>,
    trusted: &BTreeSet<String>,
    purpose: Purpose,
) -> Result<Chain, Fault> {
    may_sign(signer, purpose)?;
    valid_at(signer, at)?;
    let mut walk = Walk { pool, at, trusted, best: None, fault: None };
    walk.up(&mut vec![signer.clone()]);
    let hit =
        |chain: &[Certificate]| chain.last().is_some_and(|c| trusted.contains(&certificate_fingerprint(c)));
    match (walk.best, walk.fault) {
        (Some(certificates), _) => {
            let trusted = (!trusted.is_empty()).then(|| hit(&certificates));
            Ok(Chain { certificates, trusted })
        }
        (None, Some(fault)) => Err(fault),
        (None, None) => Err(Fault::new(format!(
            "the certificate that signed \"{}\" is not in the file",
            describe(signer).name
        ))),
    }
}

struct Walk<'a> {
    pool: &'a [Certificate],
    at: DateTime<Utc>,
    trusted: &'a BTreeSet<String>,
    best: Option<Vec<Certificate>>,
    fault: Option<Fault>,
}

impl Walk<'_> {
    /// Goes up from the last certificate of `path`; says whether a trusted one
    /// was reached.
    fn up(&mut self, path: &mut Vec<Certificate>) -> bool {
        let Some(last) = path.last().cloned() else { return false };
        if self.trusted.contains(&certificate_fingerprint(&last)) {
            self.best = Some(path.clone());
            return true;
        }
        // An old root may have signed a root's key; that way is tried, too.
        if self_signed(&last) && self.best.is_none() {
            self.best = Some(path.clone());
        }
        if path.len() >= LONGEST {
            return false;
        }
        // Another certificate for the same name and key carries on where a root
        // ends: the bond an old root gave a new one.
        let body = &last.tbs_certificate;
        for next in self.pool {
            let other = &next.tbs_certificate;
            let same_key = other.subject == body.subject
                && other.subject_public_key_info == body.subject_public_key_info;
            if path.contains(next) {
                continue;
            }
            let step = if self_signed(&last) {
                if !same_key || self_signed(next) {
                    continue;
                }
                self.link(next)
            } else if other.subject == body.issuer {
                self.link(next).and_then(|()| signed_by(&last, next))
            } else {
                continue;
            };
            if let Err(fault) = step {
                self.fault.get_or_insert(fault);
                continue;
            }
            path.push(next.clone());
            let found = self.up(path);
            path.pop();
            if found {
                return true;
            }
        }
        false
    }

    /// Whether a certificate may stand above another.
    fn link(&self, certificate: &Certificate) -> Result<(), Fault> {
        let name = describe(certificate).name;
        valid_at(certificate, self.at)?;
        let constraints: Option<BasicConstraints> = extension(certificate, oid::BASIC_CONSTRAINTS)?;
        let usage: Option<KeyUsage> = extension(certificate, oid::KEY_USAGE)?;
        let may =
            constraints.is_some_and(|c| c.ca) && usage.is_none_or(|u| u.0.contains(KeyUsages::KeyCertSign));
        if may { Ok(()) } else { Err(Fault::new(format!("\"{name}\" may not sign certificates"))) }
    }
}

/// Reads an extension; none if it is absent.
fn extension<T: for<'a> Decode<'a>>(
    certificate: &Certificate,
    id: der::asn1::ObjectIdentifier,
) -> Result<Option<T>, Fault> {
    let all = certificate.tbs_certificate.extensions.as_deref().unwrap_or_default();
    let found = all.iter().find(|e| e.extn_id == id);
    Ok(found.map(|e| T::from_der(e.extn_value.as_bytes())).transpose()?)
}

/// Whether a certificate is a root: its own key signed it. The bond of an old
/// root bears the same name on both sides and is none.
pub(super) fn self_signed(certificate: &Certificate) -> bool {
    certificate.tbs_certificate.subject == certificate.tbs_certificate.issuer
        && signed_by(certificate, certificate).is_ok()
}

/// Whether `parent`'s key signed `child`.
fn signed_by(child: &Certificate, parent: &Certificate) -> Result<(), Fault> {
    let message = child.tbs_certificate.to_der()?;
    algorithm::check(
        &parent.tbs_certificate.subject_public_key_info,
        &child.signature_algorithm,
        None,
        &message,
        child.signature.raw_bytes(),
    )
    .map(|_| ())
    .map_err(|e| {
        Fault::new(format!(
            "\"{}\" was not signed by \"{}\": {e}",
            describe(child).name,
            describe(parent).name
        ))
    })
}

fn valid_at(certificate: &Certificate, at: DateTime<Utc>) -> Result<(), Fault> {
    let about = describe(certificate);
    if at < about.from || at > about.until {
        return Err(Fault::new(format!(
            "the certificate \"{}\" is good from {} to {}, not on {}",
            about.name,
            about.from.format("%Y-%m-%d"),
            about.until.format("%Y-%m-%d"),
            at.format("%Y-%m-%d")
        )));
    }
    Ok(())
}

/// Whether a certificate may sign documents, or time-stamp tokens.
fn may_sign(certificate: &Certificate, purpose: Purpose) -> Result<(), Fault> {
    let name = describe(certificate).name;
    let usage: Option<KeyUsage> = extension(certificate, oid::KEY_USAGE)?;
    let signs =
        |u: KeyUsage| u.0.contains(KeyUsages::DigitalSignature) || u.0.contains(KeyUsages::NonRepudiation);
    if usage.is_some_and(|u| !signs(u)) {
        return Err(Fault::new(format!("the certificate \"{name}\" may not sign documents")));
    }
    let extended: Option<ExtendedKeyUsage> = extension(certificate, oid::EXTENDED_USAGE)?;
    if purpose == Purpose::Time && !extended.is_some_and(|e| e.0.contains(&oid::TIME_STAMPING)) {
        return Err(Fault::new(format!("the certificate \"{name}\" may not stamp times (RFC 3161, 2.3)")));
    }
    Ok(())
}
