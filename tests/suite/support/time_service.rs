//! A time-stamping service of its own: tokens (RFC 3161) over what is asked, at any time.

use std::time::Duration;

use cms::cert::{CertificateChoices, IssuerAndSerialNumber};
use cms::content_info::{CmsVersion, ContentInfo};
use cms::signed_data::{
    CertificateSet, EncapsulatedContentInfo, SignedData, SignerIdentifier, SignerInfo, SignerInfos,
};
use der::asn1::{Any, GeneralizedTime, Null, ObjectIdentifier as Oid, OctetString, SetOfVec};
use der::{Decode, Encode, Sequence};
use tackwright::seal::algorithm::Digest;
use x509_cert::attr::Attribute;
use x509_cert::spki::AlgorithmIdentifierOwned;

use super::keys::identity;

const SHA256: Oid = Oid::new_unwrap("2.16.840.1.101.3.4.2.1");
const ECDSA_SHA256: Oid = Oid::new_unwrap("1.2.840.10045.4.3.2");
const SIGNED_DATA: Oid = Oid::new_unwrap("1.2.840.113549.1.7.2");
const CONTENT_TYPE: Oid = Oid::new_unwrap("1.2.840.113549.1.9.3");
const MESSAGE_DIGEST: Oid = Oid::new_unwrap("1.2.840.113549.1.9.4");
const TIME_INFO: Oid = Oid::new_unwrap("1.2.840.113549.1.9.16.1.4");

#[derive(Sequence)]
struct Imprint {
    algorithm: AlgorithmIdentifierOwned,
    digest: OctetString,
}

/// `TSTInfo` (RFC 3161, 2.4.2).
#[derive(Sequence)]
struct Info {
    version: u8,
    policy: Oid,
    imprint: Imprint,
    serial: u8,
    at: GeneralizedTime,
}

/// A token over `what`, seen at `at` (seconds since 1970).
pub(crate) fn token(what: &[u8], at: i64) -> Vec<u8> {
    let service = identity("Clock House (invented)", 7, false);
    let sha256 = AlgorithmIdentifierOwned { oid: SHA256, parameters: Some(Null.into()) };
    let info = Info {
        version: 1,
        policy: Oid::new_unwrap("1.2.3.4"),
        imprint: Imprint {
            algorithm: sha256.clone(),
            digest: OctetString::new(Digest::Sha256.over(&[what])).unwrap(),
        },
        serial: 5,
        at: GeneralizedTime::from_unix_duration(Duration::from_secs(at.try_into().unwrap())).unwrap(),
    };
    let content = info.to_der().unwrap();
    let attribute = |oid: Oid, value: Vec<u8>| Attribute {
        oid,
        values: SetOfVec::try_from(vec![Any::from_der(&value).unwrap()]).unwrap(),
    };
    let digest = OctetString::new(Digest::Sha256.over(&[&content])).unwrap();
    let attributes = SetOfVec::try_from(vec![
        attribute(CONTENT_TYPE, TIME_INFO.to_der().unwrap()),
        attribute(MESSAGE_DIGEST, digest.to_der().unwrap()),
    ])
    .unwrap();
    let leaf = service.certificates[0].clone();
    let signature = service.key.sign(&attributes.to_der().unwrap()).unwrap();
    let signer = SignerInfo {
        version: CmsVersion::V1,
        sid: SignerIdentifier::IssuerAndSerialNumber(IssuerAndSerialNumber {
            issuer: leaf.tbs_certificate.issuer.clone(),
            serial_number: leaf.tbs_certificate.serial_number.clone(),
        }),
        digest_alg: sha256.clone(),
        signed_attrs: Some(attributes),
        signature_algorithm: AlgorithmIdentifierOwned { oid: ECDSA_SHA256, parameters: None },
        signature: OctetString::new(signature).unwrap(),
        unsigned_attrs: None,
    };
    let inside = Any::new(der::Tag::OctetString, content).unwrap();
    let certificates = service.certificates.into_iter().map(CertificateChoices::Certificate);
    let data = SignedData {
        version: CmsVersion::V3,
        digest_algorithms: SetOfVec::try_from(vec![sha256]).unwrap(),
        encap_content_info: EncapsulatedContentInfo { econtent_type: TIME_INFO, econtent: Some(inside) },
        certificates: Some(CertificateSet(SetOfVec::try_from(certificates.collect::<Vec<_>>()).unwrap())),
        crls: None,
        signer_infos: SignerInfos(SetOfVec::try_from(vec![signer]).unwrap()),
    };
    let content = Any::encode_from(&data).unwrap();
    ContentInfo { content_type: SIGNED_DATA, content }.to_der().unwrap()
}
