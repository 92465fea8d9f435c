//! Object identifiers of keys, digests, signatures and attributes, each with
//! the standard that assigns it.

use der::asn1::ObjectIdentifier as Oid;

/// `id-ecPublicKey` (RFC 5480, 2.1.1).
pub(super) const EC: Oid = Oid::new_unwrap("1.2.840.10045.2.1");
/// `secp256r1`, P-256 (RFC 5480, 2.1.1.1).
pub(super) const P256: Oid = Oid::new_unwrap("1.2.840.10045.3.1.7");
/// `secp384r1`, P-384 (RFC 5480, 2.1.1.1).
pub(super) const P384: Oid = Oid::new_unwrap("1.3.132.0.34");
/// `rsaEncryption` (RFC 8017, A.1).
pub(super) const RSA: Oid = Oid::new_unwrap("1.2.840.113549.1.1.1");
/// `ecdsa-with-SHA256` (RFC 5758, 3.2).
pub(super) const ECDSA_SHA256: Oid = Oid::new_unwrap("1.2.840.10045.4.3.2");
/// `ecdsa-with-SHA384` (RFC 5758, 3.2).
pub(super) const ECDSA_SHA384: Oid = Oid::new_unwrap("1.2.840.10045.4.3.3");
/// `ecdsa-with-SHA512` (RFC 5758, 3.2).
pub(super) const ECDSA_SHA512: Oid = Oid::new_unwrap("1.2.840.10045.4.3.4");
/// `sha256WithRSAEncryption` (RFC 8017, A.2.4).
pub(super) const RSA_SHA256: Oid = Oid::new_unwrap("1.2.840.113549.1.1.11");
/// `sha384WithRSAEncryption` (RFC 8017, A.2.4).
pub(super) const RSA_SHA384: Oid = Oid::new_unwrap("1.2.840.113549.1.1.12");
/// `sha512WithRSAEncryption` (RFC 8017, A.2.4).
pub(super) const RSA_SHA512: Oid = Oid::new_unwrap("1.2.840.113549.1.1.13");
/// `id-RSASSA-PSS` (RFC 8017, A.2.3).
pub(super) const RSA_PSS: Oid = Oid::new_unwrap("1.2.840.113549.1.1.10");
/// `id-sha256` (RFC 5754, 2.2).
pub(super) const SHA256: Oid = Oid::new_unwrap("2.16.840.1.101.3.4.2.1");
/// `id-sha384` (RFC 5754, 2.3).
pub(super) const SHA384: Oid = Oid::new_unwrap("2.16.840.1.101.3.4.2.2");
/// `id-sha512` (RFC 5754, 2.4).
pub(super) const SHA512: Oid = Oid::new_unwrap("2.16.840.1.101.3.4.2.3");
/// `id-sha1` (RFC 3370, 2.1): named only to refuse it by name.
pub(super) const SHA1: Oid = Oid::new_unwrap("1.3.14.3.2.26");
/// `id-md5` (RFC 1321): named only to refuse it by name.
pub(super) const MD5: Oid = Oid::new_unwrap("1.2.840.113549.2.5");

/// `id-data` (RFC 5652, 4).
pub(super) const DATA: Oid = Oid::new_unwrap("1.2.840.113549.1.7.1");
/// `id-signedData` (RFC 5652, 5.1).
pub(super) const SIGNED_DATA: Oid = Oid::new_unwrap("1.2.840.113549.1.7.2");
/// `id-contentType` (RFC 5652, 11.1).
pub(super) const CONTENT_TYPE: Oid = Oid::new_unwrap("1.2.840.113549.1.9.3");
/// `id-messageDigest` (RFC 5652, 11.2).
pub(super) const MESSAGE_DIGEST: Oid = Oid::new_unwrap("1.2.840.113549.1.9.4");
/// `id-aa-signingCertificateV2` (RFC 5035, 3).
pub(super) const SIGNING_CERTIFICATE: Oid = Oid::new_unwrap("1.2.840.113549.1.9.16.2.47");
/// `id-aa-signatureTimeStampToken` (RFC 3161, appendix A).
pub(super) const TIME_TOKEN: Oid = Oid::new_unwrap("1.2.840.113549.1.9.16.2.14");
/// `id-ct-TSTInfo` (RFC 3161, 2.4.2).
pub(super) const TIME_INFO: Oid = Oid::new_unwrap("1.2.840.113549.1.9.16.1.4");
/// `id-kp-timeStamping` (RFC 3161, 2.3).
pub(super) const TIME_STAMPING: Oid = Oid::new_unwrap("1.3.6.1.5.5.7.3.8");

/// `id-at-commonName` (RFC 5280, appendix A.1).
pub(super) const COMMON_NAME: Oid = Oid::new_unwrap("2.5.4.3");
/// `id-at-organizationName` (RFC 5280, appendix A.1).
pub(super) const ORGANIZATION: Oid = Oid::new_unwrap("2.5.4.10");
/// `id-at-organizationalUnitName` (RFC 5280, appendix A.1).
pub(super) const UNIT: Oid = Oid::new_unwrap("2.5.4.11");
/// `id-ce-subjectKeyIdentifier` (RFC 5280, 4.2.1.2).
pub(super) const SUBJECT_KEY: Oid = Oid::new_unwrap("2.5.29.14");
/// `id-ce-keyUsage` (RFC 5280, 4.2.1.3).
pub(super) const KEY_USAGE: Oid = Oid::new_unwrap("2.5.29.15");
/// `id-ce-basicConstraints` (RFC 5280, 4.2.1.9).
pub(super) const BASIC_CONSTRAINTS: Oid = Oid::new_unwrap("2.5.29.19");
/// `id-ce-authorityKeyIdentifier` (RFC 5280, 4.2.1.1).
pub(super) const AUTHORITY_KEY: Oid = Oid::new_unwrap("2.5.29.35");
/// `id-ce-extKeyUsage` (RFC 5280, 4.2.1.12).
pub(super) const EXTENDED_USAGE: Oid = Oid::new_unwrap("2.5.29.37");

/// The name of a digest or signature algorithm for a sentence.
pub(super) fn name(oid: Oid) -> String {
    match oid {
        SHA1 => "SHA-1".to_owned(),
        MD5 => "MD5".to_owned(),
        SHA256 => "SHA-256".to_owned(),
        SHA384 => "SHA-384".to_owned(),
        SHA512 => "SHA-512".to_owned(),
        other => other.to_string(),
    }
}
