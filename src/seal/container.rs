//! The signature container (CMS `SignedData`, RFC 5652), detached, with the
//! attributes of a `PAdES` baseline B-B signature: content type, digest and the
//! signing certificate (RFC 5035); no signing time, that stands in the PDF.

use cms::cert::{CertificateChoices, IssuerAndSerialNumber};
use cms::content_info::{CmsVersion, ContentInfo};
use cms::signed_data::{
    CertificateSet, EncapsulatedContentInfo, SignedData, SignerIdentifier, SignerInfo, SignerInfos,
};
use der::asn1::{Any, ObjectIdentifier as Oid, OctetString, SetOfVec};
use der::{Decode, Encode, Reader, Sequence, SliceReader};
use x509_cert::attr::{Attribute, Attributes};
use x509_cert::spki::AlgorithmIdentifierOwned;

use super::algorithm::{self, Digest};
use super::certificate::Certificate;
use super::identity::Identity;
use super::{Fault, oid, token};

/// `SigningCertificateV2` (RFC 5035, 3).
#[derive(Debug, Clone, PartialEq, Eq, Sequence)]
struct SigningCertificate {
    certs: Vec<CertificateId>,
    #[asn1(optional = "true")]
    policies: Option<Any>,
}

/// `ESSCertIDv2` (RFC 5035, 4); without an algorithm it is SHA-256.
#[derive(Debug, Clone, PartialEq, Eq, Sequence)]
struct CertificateId {
    #[asn1(optional = "true")]
    algorithm: Option<AlgorithmIdentifierOwned>,
    hash: OctetString,
    #[asn1(optional = "true")]
    issuer: Option<IssuerSerial>,
}

/// `IssuerSerial` (RFC 5035, 5).
#[derive(Debug, Clone, PartialEq, Eq, Sequence)]
struct IssuerSerial {
    issuer: Any,
    serial: Any,
}

/// Signs the digest of some content; gives the container in DER.
///
/// # Errors
/// If the key can't sign.
pub fn sign(identity: &Identity, content: &[&[u8]]) -> Result<Vec<u8>, Fault> {
    let digest = identity.key.digest();
    let certificate = identity.leaf()?;
    let mut attributes = SetOfVec::new();
    attributes.insert(attribute(oid::CONTENT_TYPE, &oid::DATA)?)?;
    attributes.insert(attribute(oid::MESSAGE_DIGEST, &OctetString::new(digest.over(content))?)?)?;
    let id = CertificateId {
        algorithm: None,
        hash: OctetString::new(Digest::Sha256.over(&[&certificate.to_der()?]))?,
        issuer: None,
    };
    let signing = SigningCertificate { certs: vec![id], policies: None };
    attributes.insert(attribute(oid::SIGNING_CERTIFICATE, &signing)?)?;
    let signature = identity.key.sign(&attributes.to_der()?)?;
    let body = &certificate.tbs_certificate;
    let signer = SignerInfo {
        version: CmsVersion::V1,
        sid: SignerIdentifier::IssuerAndSerialNumber(IssuerAndSerialNumber {
            issuer: body.issuer.clone(),
            serial_number: body.serial_number.clone(),
        }),
        digest_alg: digest_algorithm(digest),
        signed_attrs: Some(attributes),
        signature_algorithm: identity.key.algorithm(),
        signature: OctetString::new(signature)?,
        unsigned_attrs: None,
    };
    let certificates: Vec<CertificateChoices> =
        identity.certificates.iter().cloned().map(CertificateChoices::Certificate).collect();
    let data = SignedData {
        version: CmsVersion::V1,
        digest_algorithms: SetOfVec::try_from(vec![digest_algorithm(digest)])?,
        encap_content_info: EncapsulatedContentInfo { econtent_type: oid::DATA, econtent: None },
        certificates: Some(CertificateSet(SetOfVec::try_from(certificates)?)),
        crls: None,
        signer_infos: SignerInfos(SetOfVec::try_from(vec![signer])?),
    };
    container(&data)
}

fn container(data: &SignedData) -> Result<Vec<u8>, Fault> {
    Ok(ContentInfo { content_type: oid::SIGNED_DATA, content: Any::encode_from(data)? }.to_der()?)
}

fn digest_algorithm(digest: Digest) -> AlgorithmIdentifierOwned {
    AlgorithmIdentifierOwned { oid: digest.oid(), parameters: None }
}

fn attribute(oid: Oid, value: &(impl Encode + der::Tagged)) -> Result<Attribute, Fault> {
    let value = Any::from_der(&value.to_der()?)?;
    Ok(Attribute { oid, values: SetOfVec::try_from(vec![value])? })
}

/// A signature container whose signature holds.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Signed {
    /// The signer's certificate.
    pub signer: Certificate,
    /// Every certificate inside.
    pub certificates: Vec<Certificate>,
    /// Algorithm in words.
    pub algorithm: String,
    /// The signature itself: what a time-stamp token is made over.
    pub signature: Vec<u8>,
    /// The time-stamp token over it, if there is one.
    pub token: Option<Vec<u8>>,
    /// The content, if it is inside.
    pub content: Option<Vec<u8>>,
}

/// What a container is expected to hold.
#[derive(Debug, Clone, Copy)]
pub enum Expected<'a> {
    /// A `PAdES` signature over this content, which is elsewhere.
    Detached(&'a [&'a [u8]]),
    /// The same in the older form of ISO 32000-1, 12.8.3.3, which need not name
    /// the signer's certificate.
    Older(&'a [&'a [u8]]),
    /// Content of this type, inside.
    Inside,
}

/// The first value of DER in `bytes`; what follows may only be zeros, as the
/// room kept free in a PDF.
pub(super) fn unpadded(bytes: &[u8]) -> Result<&[u8], Fault> {
    let mut reader = SliceReader::new(bytes)?;
    let value = reader.tlv_bytes()?;
    if bytes.get(value.len()..).unwrap_or_default().iter().any(|b| *b != 0) {
        return Err(Fault::new("something stands behind the signature in its room"));
    }
    Ok(value)
}

/// Reads a container and checks its one signature.
///
/// # Errors
/// If it is not well formed, has another number of signers than one, an
/// algorithm or key that is not accepted, or a signature or digest that does
/// not fit.
pub fn check(bytes: &[u8], expected: Expected<'_>) -> Result<Signed, Fault> {
    let data = signed_data(bytes)?;
    let [signer] = data.signer_infos.0.as_slice() else {
        return Err(Fault::new(format!("it has {} signers; one is expected", data.signer_infos.0.len())));
    };
    let certificates: Vec<Certificate> = data
        .certificates
        .iter()
        .flat_map(|set| set.0.iter())
        .filter_map(|c| match c {
            CertificateChoices::Certificate(c) => Some(c.clone()),
            CertificateChoices::Other(_) => None,
        })
        .collect();
    let certificate = certificates
        .iter()
        .find(|c| names(&signer.sid, c))
        .cloned()
        .ok_or_else(|| Fault::new("the signer's certificate is not inside"))?;
    let digest = Digest::of(signer.digest_alg.oid)?;
    let attributes = signer.signed_attrs.as_ref().ok_or_else(|| Fault::new("it has no signed attributes"))?;
    let content = data.encap_content_info.econtent.as_ref().map(|any| any.value().to_vec());
    let hash = match (expected, &content) {
        (Expected::Detached(parts) | Expected::Older(parts), None) => digest.over(parts),
        (Expected::Inside, Some(inside)) => digest.over(&[inside]),
        _ => return Err(Fault::new("its content is not where it is expected")),
    };
    let kind: Oid = value(attributes, oid::CONTENT_TYPE)?.decode_as()?;
    if kind != data.encap_content_info.econtent_type {
        return Err(Fault::new("its content type is not the one that was signed"));
    }
    let stated: OctetString = value(attributes, oid::MESSAGE_DIGEST)?.decode_as()?;
    if stated.as_bytes() != hash {
        return Err(Fault::new("the bytes are not those that were signed: the digest differs"));
    }
    signing_certificate(attributes, &certificate, expected)?;
    let algorithm = algorithm::check(
        &certificate.tbs_certificate.subject_public_key_info,
        &signer.signature_algorithm,
        Some(digest),
        &attributes.to_der()?,
        signer.signature.as_bytes(),
    )?;
    let token = signer.unsigned_attrs.as_ref().and_then(|a| value(a, oid::TIME_TOKEN).ok());
    Ok(Signed {
        signer: certificate,
        certificates,
        algorithm,
        signature: signer.signature.as_bytes().to_vec(),
        token: token.map(|any| any.to_der()).transpose()?,
        content,
    })
}

pub(super) fn signed_data(bytes: &[u8]) -> Result<SignedData, Fault> {
    let info = ContentInfo::from_der(unpadded(bytes)?)?;
    if info.content_type != oid::SIGNED_DATA {
        return Err(Fault::new("it is no signature container"));
    }
    Ok(info.content.decode_as()?)
}

fn names(id: &SignerIdentifier, certificate: &Certificate) -> bool {
    let body = &certificate.tbs_certificate;
    match id {
        SignerIdentifier::IssuerAndSerialNumber(id) => {
            id.issuer == body.issuer && id.serial_number == body.serial_number
        }
        SignerIdentifier::SubjectKeyIdentifier(id) => {
            let all = body.extensions.as_deref().unwrap_or_default();
            let own = all.iter().find(|e| e.extn_id == oid::SUBJECT_KEY);
            own.and_then(|e| OctetString::from_der(e.extn_value.as_bytes()).ok()).is_some_and(|o| o == id.0)
        }
    }
}

/// The only value of an attribute.
fn value(attributes: &Attributes, id: Oid) -> Result<Any, Fault> {
    let mut found = attributes.iter().filter(|a| a.oid == id);
    match (found.next().map(|a| a.values.as_slice()), found.next()) {
        (Some([one]), None) => Ok(one.clone()),
        _ => Err(Fault::new(format!("the attribute {id} is missing or not single"))),
    }
}

/// The attribute that names the signer's certificate, so that another one for
/// the same key can't be put in its place.
fn signing_certificate(
    attributes: &Attributes,
    certificate: &Certificate,
    expected: Expected<'_>,
) -> Result<(), Fault> {
    let Ok(any) = value(attributes, oid::SIGNING_CERTIFICATE) else {
        return match expected {
            // Older services name it by SHA-1 (RFC 2634), which says nothing.
            Expected::Inside | Expected::Older(_) => Ok(()),
            Expected::Detached(_) => {
                Err(Fault::new("it does not say which certificate signed (no PAdES signature)"))
            }
        };
    };
    let named = SigningCertificate::from_der(&any.to_der()?)?;
    let first = named.certs.first().ok_or_else(|| Fault::new("it names no certificate"))?;
    let digest = first.algorithm.as_ref().map_or(Ok(Digest::Sha256), |a| Digest::of(a.oid))?;
    if digest.over(&[&certificate.to_der()?]) != first.hash.as_bytes() {
        return Err(Fault::new("the certificate inside is not the one that was named when it was signed"));
    }
    Ok(())
}

/// The container with a time-stamp token put beside its signature, in the place
/// of an older one.
///
/// # Errors
/// If either is not well formed or the token is not over this signature.
pub fn with_token(bytes: &[u8], token: &[u8]) -> Result<Vec<u8>, Fault> {
    let mut data = signed_data(bytes)?;
    let mut signers = data.signer_infos.0.into_vec();
    let Some(signer) = signers.first_mut() else { return Err(Fault::new("it has no signer")) };
    token::check(token, signer.signature.as_bytes())?;
    let mut attributes: Vec<Attribute> = signer
        .unsigned_attrs
        .take()
        .map(SetOfVec::into_vec)
        .unwrap_or_default()
        .into_iter()
        .filter(|a| a.oid != oid::TIME_TOKEN)
        .collect();
    let value = Any::from_der(token)?;
    attributes.push(Attribute { oid: oid::TIME_TOKEN, values: SetOfVec::try_from(vec![value])? });
    signer.unsigned_attrs = Some(SetOfVec::try_from(attributes)?);
    data.signer_infos = SignerInfos(SetOfVec::try_from(signers)?);
    container(&data)
}
