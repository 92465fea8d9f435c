//! Time-stamp tokens (RFC 3161): the query a shop sends to a time-stamping
//! service, and the reply that comes back. A shop's own clock proves nothing.

use chrono::{DateTime, Utc};
use der::asn1::{Any, GeneralizedTime, Int, ObjectIdentifier as Oid, OctetString};
use der::{Decode, Encode, Sequence};
use x509_cert::spki::AlgorithmIdentifierOwned;

use super::algorithm::Digest;
use super::certificate::{Certificate, describe};
use super::container::{self, Expected};
use super::{Fault, oid};

/// `MessageImprint` (RFC 3161, 2.4.1).
#[derive(Debug, Clone, PartialEq, Eq, Sequence)]
struct Imprint {
    algorithm: AlgorithmIdentifierOwned,
    digest: OctetString,
}

/// `TimeStampReq` (RFC 3161, 2.4.1), without policy, nonce and extensions: a
/// nonce would have to be kept, and the same record would ask differently.
#[derive(Debug, Clone, PartialEq, Eq, Sequence)]
struct Query {
    version: u8,
    imprint: Imprint,
    certificate: bool,
}

/// `TimeStampResp` (RFC 3161, 2.4.2).
#[derive(Debug, Clone, PartialEq, Eq, Sequence)]
struct Reply {
    status: Status,
    #[asn1(optional = "true")]
    token: Option<Any>,
}

/// `PKIStatusInfo` (RFC 3161, 2.4.2).
#[derive(Debug, Clone, PartialEq, Eq, Sequence)]
struct Status {
    status: u8,
    #[asn1(optional = "true")]
    text: Option<Vec<Any>>,
    #[asn1(optional = "true")]
    failure: Option<der::asn1::BitString>,
}

/// `TSTInfo` (RFC 3161, 2.4.2); what follows the time is not used.
#[derive(Debug, Clone, PartialEq, Eq)]
struct Info {
    imprint: Imprint,
    at: DateTime<Utc>,
}

/// The query for a token over a signature, in DER: a `.tsq` file.
///
/// # Errors
/// If it can't be encoded.
pub fn query(signature: &[u8]) -> Result<Vec<u8>, Fault> {
    let imprint = Imprint {
        algorithm: AlgorithmIdentifierOwned { oid: oid::SHA256, parameters: Some(der::asn1::Null.into()) },
        digest: OctetString::new(Digest::Sha256.over(&[signature]))?,
    };
    Ok(Query { version: 1, imprint, certificate: true }.to_der()?)
}

/// The token in a reply: a `.tsr` file, or the bare token.
///
/// # Errors
/// If the service refused, or it is neither.
pub fn from_reply(bytes: &[u8]) -> Result<Vec<u8>, Fault> {
    if container::signed_data(bytes).is_ok() {
        return Ok(bytes.to_vec());
    }
    let reply = Reply::from_der(bytes)
        .map_err(|e| Fault::new(format!("this is no reply of a time-stamping service ({e})")))?;
    match reply.token {
        // 0 granted, 1 granted with changes.
        Some(token) if reply.status.status <= 1 => Ok(token.to_der()?),
        _ => Err(Fault::new(format!("the time-stamping service refused (status {})", reply.status.status))),
    }
}

/// A token that holds.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Stamped {
    /// When the service saw the signature.
    pub at: DateTime<Utc>,
    /// Who the service is, by its certificate.
    pub service: String,
    /// The service's certificate.
    pub signer: Certificate,
    /// Every certificate inside.
    pub certificates: Vec<Certificate>,
}

/// Checks a token over a signature. Whether the service is to be believed is
/// not asked here.
///
/// # Errors
/// If it is not well formed, not over this signature, or its own signature does
/// not hold.
pub fn check(bytes: &[u8], signature: &[u8]) -> Result<Stamped, Fault> {
    let (stamped, imprint) = holding(bytes)?;
    if Digest::of(imprint.algorithm.oid)?.over(&[signature]) != imprint.digest.as_bytes() {
        return Err(Fault::new("the token was made over another signature"));
    }
    Ok(stamped)
}

/// Checks a token by itself, whatever it was made over.
///
/// # Errors
/// If it is not well formed, or its own signature does not hold.
pub fn read(bytes: &[u8]) -> Result<Stamped, Fault> {
    holding(bytes).map(|(stamped, _)| stamped)
}

/// The query a token is the answer to, in DER: what was asked is known by it afterwards.
///
/// # Errors
/// If the token is not well formed.
pub fn question(bytes: &[u8]) -> Result<Vec<u8>, Fault> {
    let (_, imprint) = holding(bytes)?;
    Ok(Query { version: 1, imprint, certificate: true }.to_der()?)
}

/// Whether a token is the answer to a query as [`query`] makes it.
#[must_use]
pub fn answers(bytes: &[u8], query: &[u8]) -> bool {
    let asked = Query::from_der(query).map(|q| q.imprint);
    let answered = holding(bytes).map(|(_, imprint)| imprint);
    matches!((asked, answered), (Ok(asked), Ok(answered))
        if asked.algorithm.oid == answered.algorithm.oid && asked.digest == answered.digest)
}

/// A token whose own signature holds, and what it was made over.
fn holding(bytes: &[u8]) -> Result<(Stamped, Imprint), Fault> {
    let signed = container::check(bytes, Expected::Inside)?;
    if container::signed_data(bytes)?.encap_content_info.econtent_type != oid::TIME_INFO {
        return Err(Fault::new("it holds no time"));
    }
    let info = info(signed.content.as_deref().unwrap_or_default())?;
    let stamped = Stamped {
        at: info.at,
        service: describe(&signed.signer).name,
        signer: signed.signer,
        certificates: signed.certificates,
    };
    Ok((stamped, info.imprint))
}

/// Whether a token says that it is over these bytes; whether it holds is for
/// [`check`] to say.
#[must_use]
pub fn over(bytes: &[u8], what: &[u8]) -> bool {
    let content = container::signed_data(bytes).ok().and_then(|d| d.encap_content_info.econtent);
    let info = content.and_then(|c| info(c.value()).ok());
    info.is_some_and(|i| {
        Digest::of(i.imprint.algorithm.oid).is_ok_and(|d| d.over(&[what]) == i.imprint.digest.as_bytes())
    })
}

fn info(bytes: &[u8]) -> Result<Info, Fault> {
    // The time may carry fractions of a second, which GeneralizedTime of DER
    // certificates does not; so the fields are read one by one.
    let mut fields = Vec::<Any>::from_der(bytes)?.into_iter();
    let mut next = || fields.next().ok_or_else(|| Fault::new("the token ends too early"));
    let _version: Int = next()?.decode_as()?;
    let _policy: Oid = next()?.decode_as()?;
    let imprint = Imprint::from_der(&next()?.to_der()?)?;
    let _serial = next()?;
    let time = next()?;
    let text = String::from_utf8_lossy(time.value()).into_owned();
    let whole = match text.split_once('.') {
        Some((seconds, _)) => format!("{seconds}Z"),
        None => text,
    };
    let time = GeneralizedTime::from_der(
        &der::asn1::Any::new(der::Tag::GeneralizedTime, whole.into_bytes())?.to_der()?,
    )?;
    let seconds = i64::try_from(time.to_unix_duration().as_secs()).unwrap_or(i64::MAX);
    let at = DateTime::from_timestamp(seconds, 0).ok_or_else(|| Fault::new("the token's time can't be"))?;
    Ok(Info { imprint, at })
}
