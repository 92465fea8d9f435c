//! Certificates (X.509, RFC 5280): the shop's root, the leaf that signs, and
//! the bond between an old root and a new one. A certificate of a demonstration
//! says so in its name, in every reader's window.

use std::time::Duration;

use chrono::{DateTime, TimeDelta, Utc};
use der::asn1::{Any, BitString, GeneralizedTime, OctetString, SetOfVec, UtcTime};
use der::asn1::{ObjectIdentifier as Oid, Utf8StringRef};
use der::{Decode, DecodePem, Encode};
use x509_cert::attr::AttributeTypeAndValue;
use x509_cert::certificate::{TbsCertificate, Version};
use x509_cert::ext::Extension;
use x509_cert::ext::pkix::{
    AuthorityKeyIdentifier, BasicConstraints, KeyUsage, KeyUsages, SubjectKeyIdentifier,
};
use x509_cert::name::{Name, RelativeDistinguishedName};
use x509_cert::serial_number::SerialNumber;
use x509_cert::spki::SubjectPublicKeyInfoOwned;
use x509_cert::time::{Time, Validity};

pub use x509_cert::Certificate;

use super::key::{Chance, PrivateKey};
use super::{Fault, algorithm, fingerprint, oid};
use crate::term::unseen;

/// What a demonstration's certificate says in its name.
pub const DEMONSTRATION: &str = "DEMONSTRATION KEY, PROVES NOTHING";

/// Years a root is good for: longer than the ten a customer keeps a record.
const ROOT_YEARS: i64 = 30;
/// Years a leaf is good for.
const LEAF_YEARS: i64 = 10;

/// Who a certificate is made for.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Holder {
    /// The shop's name.
    pub shop: String,
    /// Whether it is for show only.
    pub demonstration: bool,
}

/// Who signs a certificate.
#[derive(Debug, Clone, Copy)]
pub struct Issuer<'a> {
    /// Its subject becomes the issuer of what is signed.
    pub certificate: &'a Certificate,
    /// Belongs to `certificate` and signs with it.
    pub key: &'a PrivateKey,
}

/// A shop's root: a certificate its own key signs.
///
/// # Errors
/// If the name is empty or longer than a certificate takes, or there is no
/// randomness.
pub fn root(
    holder: &Holder,
    key: &PrivateKey,
    from: DateTime<Utc>,
    chance: Chance<'_>,
) -> Result<Certificate, Fault> {
    let name = name(holder, "root of the records")?;
    let public = key.public()?;
    let extensions = authority(&public)?;
    let validity = validity(from, ROOT_YEARS)?;
    made(name.clone(), name, public, validity, extensions, key, chance)
}

/// The certificate of a key that signs records.
///
/// # Errors
/// As [`root`].
pub fn leaf(
    holder: &Holder,
    key: &PrivateKey,
    issuer: Issuer<'_>,
    from: DateTime<Utc>,
    chance: Chance<'_>,
) -> Result<Certificate, Fault> {
    let public = key.public()?;
    let parent = &issuer.certificate.tbs_certificate;
    let usage = KeyUsages::DigitalSignature | KeyUsages::NonRepudiation;
    let extensions = vec![
        extension(oid::BASIC_CONSTRAINTS, true, &BasicConstraints { ca: false, path_len_constraint: None })?,
        extension(oid::KEY_USAGE, true, &KeyUsage(usage))?,
        extension(oid::SUBJECT_KEY, false, &SubjectKeyIdentifier(key_id(&public)?))?,
        extension(oid::AUTHORITY_KEY, false, &authority_id(&parent.subject_public_key_info)?)?,
    ];
    // Never longer than its root.
    let mut validity = validity(from, LEAF_YEARS)?;
    if validity.not_after.to_unix_duration() > parent.validity.not_after.to_unix_duration() {
        validity.not_after = parent.validity.not_after;
    }
    made(
        parent.subject.clone(),
        name(holder, "completed records")?,
        public,
        validity,
        extensions,
        issuer.key,
        chance,
    )
}

/// The bond of a new root to an old one: the new root's name and key, signed by
/// the old root.
///
/// # Errors
/// As [`root`].
pub fn bond(
    new: &Certificate,
    old: Issuer<'_>,
    from: DateTime<Utc>,
    chance: Chance<'_>,
) -> Result<Certificate, Fault> {
    let parent = &old.certificate.tbs_certificate;
    let public = new.tbs_certificate.subject_public_key_info.clone();
    let mut extensions = authority(&public)?;
    extensions.push(extension(oid::AUTHORITY_KEY, false, &authority_id(&parent.subject_public_key_info)?)?);
    let validity = Validity { not_before: time(from)?, not_after: parent.validity.not_after };
    made(
        parent.subject.clone(),
        new.tbs_certificate.subject.clone(),
        public,
        validity,
        extensions,
        old.key,
        chance,
    )
}

fn made(
    issuer: Name,
    subject: Name,
    public: SubjectPublicKeyInfoOwned,
    validity: Validity,
    extensions: Vec<Extension>,
    key: &PrivateKey,
    chance: Chance<'_>,
) -> Result<Certificate, Fault> {
    let mut serial = [0_u8; 16];
    chance(&mut serial)?;
    // Positive and not zero (RFC 5280, 4.1.2.2).
    serial[0] = (serial[0] & 0x7F) | 0x40;
    let tbs_certificate = TbsCertificate {
        version: Version::V3,
        serial_number: SerialNumber::new(&serial)?,
        signature: key.algorithm(),
        issuer,
        validity,
        subject,
        subject_public_key_info: public,
        issuer_unique_id: None,
        subject_unique_id: None,
        extensions: Some(extensions),
    };
    let signature = key.sign(&tbs_certificate.to_der()?)?;
    Ok(Certificate {
        tbs_certificate,
        signature_algorithm: key.algorithm(),
        signature: BitString::from_bytes(&signature)?,
    })
}

/// Extensions of a root.
fn authority(public: &SubjectPublicKeyInfoOwned) -> Result<Vec<Extension>, Fault> {
    let usage = KeyUsages::KeyCertSign | KeyUsages::CRLSign;
    Ok(vec![
        extension(oid::BASIC_CONSTRAINTS, true, &BasicConstraints { ca: true, path_len_constraint: None })?,
        extension(oid::KEY_USAGE, true, &KeyUsage(usage))?,
        extension(oid::SUBJECT_KEY, false, &SubjectKeyIdentifier(key_id(public)?))?,
    ])
}

fn extension(id: Oid, critical: bool, value: &impl Encode) -> Result<Extension, Fault> {
    Ok(Extension { extn_id: id, critical, extn_value: OctetString::new(value.to_der()?)? })
}

/// Leftmost 160 bits of the SHA-256 of the key (RFC 7093, 2, method 1).
fn key_id(public: &SubjectPublicKeyInfoOwned) -> Result<OctetString, Fault> {
    let digest = algorithm::Digest::Sha256.over(&[public.subject_public_key.raw_bytes()]);
    Ok(OctetString::new(digest.get(..20).unwrap_or_default())?)
}

fn authority_id(public: &SubjectPublicKeyInfoOwned) -> Result<AuthorityKeyIdentifier, Fault> {
    Ok(AuthorityKeyIdentifier {
        key_identifier: Some(key_id(public)?),
        authority_cert_issuer: None,
        authority_cert_serial_number: None,
    })
}

/// The distinguished name of a holder.
fn name(holder: &Holder, purpose: &str) -> Result<Name, Fault> {
    let shop = holder.shop.trim();
    // Upper bounds of X.520: 64 characters each.
    let longest = 64 - purpose.chars().count() - 2;
    if shop.is_empty() || shop.chars().count() > longest || shop.chars().any(char::is_control) {
        return Err(Fault::new(format!("a certificate takes a shop's name of 1 to {longest} characters")));
    }
    let one = |oid: Oid, text: &str| -> Result<RelativeDistinguishedName, Fault> {
        let pair = AttributeTypeAndValue { oid, value: Any::from(Utf8StringRef::new(text)?) };
        Ok(RelativeDistinguishedName(SetOfVec::try_from(vec![pair])?))
    };
    let mut parts = vec![one(oid::ORGANIZATION, shop)?];
    if holder.demonstration {
        parts.push(one(oid::UNIT, DEMONSTRATION)?);
    }
    parts.push(one(oid::COMMON_NAME, &format!("{shop}: {purpose}"))?);
    Ok(x509_cert::name::RdnSequence(parts))
}

fn validity(from: DateTime<Utc>, years: i64) -> Result<Validity, Fault> {
    let until = from.checked_add_signed(TimeDelta::days(years * 365 + years / 4));
    let until = until.ok_or_else(|| Fault::new("the certificate would outlive the calendar"))?;
    Ok(Validity { not_before: time(from)?, not_after: time(until)? })
}

/// A time as certificates carry it (RFC 5280, 4.1.2.5): two digits of the year
/// until 2049.
fn time(at: DateTime<Utc>) -> Result<Time, Fault> {
    let seconds = u64::try_from(at.timestamp()).map_err(|_| Fault::new("the time is before 1970"))?;
    let since = Duration::from_secs(seconds);
    Ok(match UtcTime::from_unix_duration(since) {
        Ok(time) => Time::UtcTime(time),
        Err(_) => Time::GeneralTime(GeneralizedTime::from_unix_duration(since)?),
    })
}

/// What a certificate says, for sentences.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Described {
    /// Common name, or what else names the holder.
    pub name: String,
    /// Organization (O) of the subject; none if it names none.
    pub organization: Option<String>,
    /// SHA-256 of the certificate, lower case hexadecimal.
    pub fingerprint: String,
    /// First moment it is good for.
    pub from: DateTime<Utc>,
    /// Last moment.
    pub until: DateTime<Utc>,
    /// Kind of its key; the reason in words if it is not accepted.
    pub key: String,
    /// Whether it is a demonstration's.
    pub demonstration: bool,
}

/// What a certificate says.
#[must_use]
pub fn describe(certificate: &Certificate) -> Described {
    let body = &certificate.tbs_certificate;
    let moment = |time: &Time| {
        let seconds = i64::try_from(time.to_unix_duration().as_secs()).unwrap_or(i64::MAX);
        DateTime::from_timestamp(seconds, 0).unwrap_or(DateTime::<Utc>::MAX_UTC)
    };
    Described {
        name: common_name(&body.subject),
        organization: part(&body.subject, oid::ORGANIZATION),
        fingerprint: certificate_fingerprint(certificate),
        from: moment(&body.validity.not_before),
        until: moment(&body.validity.not_after),
        key: algorithm::kind(&body.subject_public_key_info).unwrap_or_else(|e| e.to_string()),
        demonstration: demonstration(certificate),
    }
}

/// Whether a certificate says that it is a demonstration's.
#[must_use]
pub fn demonstration(certificate: &Certificate) -> bool {
    let body = &certificate.tbs_certificate;
    [&body.subject, &body.issuer]
        .iter()
        .any(|n| n.0.iter().flat_map(|r| r.0.iter()).any(|p| text(&p.value).contains(DEMONSTRATION)))
}

/// SHA-256 of a certificate, lower case hexadecimal.
#[must_use]
pub fn certificate_fingerprint(certificate: &Certificate) -> String {
    certificate.to_der().map(|der| fingerprint(&der)).unwrap_or_default()
}

/// The common name, or the whole name if there is none.
pub(super) fn common_name(name: &Name) -> String {
    part(name, oid::COMMON_NAME).unwrap_or_else(|| name.to_string())
}

fn part(name: &Name, id: Oid) -> Option<String> {
    name.0.iter().rev().flat_map(|r| r.0.iter()).find(|p| p.oid == id).map(|p| text(&p.value))
}

/// The characters of a string of whatever kind; what can't be seen is shown as
/// a replacement.
fn text(value: &Any) -> String {
    unseen::shown(&String::from_utf8_lossy(value.value()))
}

/// Certificates from PEM, in their order, or a single one from DER.
///
/// # Errors
/// If there is none or one can't be read.
pub fn read(bytes: &[u8]) -> Result<Vec<Certificate>, Fault> {
    let bad = |e: der::Error| Fault::new(format!("a certificate can't be read ({e})"));
    if bytes.first() == Some(&0x30) {
        return Ok(vec![Certificate::from_der(bytes).map_err(bad)?]);
    }
    let text = String::from_utf8_lossy(bytes);
    let (begin, end) = ("-----BEGIN CERTIFICATE-----", "-----END CERTIFICATE-----");
    let mut found = Vec::new();
    for block in text.split(begin).skip(1) {
        let Some(inside) = block.split(end).next().filter(|_| block.contains(end)) else {
            return Err(Fault::new("a certificate has no end"));
        };
        let pem = format!("{begin}\n{}\n{end}\n", inside.trim().replace('\r', ""));
        found.push(Certificate::from_pem(pem.as_bytes()).map_err(bad)?);
    }
    if found.is_empty() {
        return Err(Fault::new("there is no certificate in it"));
    }
    Ok(found)
}

/// Certificates as PEM, each under its name.
///
/// # Errors
/// If one can't be encoded.
pub fn write(certificates: &[Certificate]) -> Result<String, Fault> {
    use der::EncodePem;
    let mut text = String::new();
    for one in certificates {
        let about = describe(one);
        text.push_str(&format!("# {}\n# SHA-256 {}\n", about.name, about.fingerprint));
        text.push_str(&one.to_pem(der::pem::LineEnding::LF)?);
    }
    Ok(text)
}
