//! The seal of a completed record (`seal.json`): a statement of what the record
//! is, signed with the key that signs the file. Records of earlier versions
//! carry one made with a bare Ed25519 key.

use std::collections::BTreeSet;

use chrono::{DateTime, FixedOffset};
use serde_json::{Value as Json, json};

use super::key;
use crate::app::plan::Failure;
use crate::record::Entry;
use crate::record::line::canonical;
use crate::record::log::Chain;
use crate::seal::certificate::{self, Certificate, describe};
use crate::seal::chain::{self, Purpose};
use crate::seal::identity::{self, Identity};
use crate::seal::pdf::Mark;
use crate::seal::{hex, unhex};
use crate::term::counted;
use crate::traveler::wording::completed::signing::{SHOP, Signer};

/// Who signed, as the pages say it.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Holder {
    name: String,
    root: String,
    demonstration: bool,
}

impl Holder {
    /// The holder of a key by its certificates.
    #[must_use]
    pub fn of(certificates: &[Certificate]) -> Self {
        Self {
            name: certificates.first().map(|c| describe(c).name).unwrap_or_default(),
            root: identity::root(certificates).unwrap_or_default(),
            demonstration: certificates.iter().any(certificate::demonstration),
        }
    }

    /// In the words of the pages.
    #[must_use]
    pub fn signer(&self) -> Signer<'_> {
        Signer { name: &self.name, root: &self.root, demonstration: self.demonstration }
    }
}

/// A seal as it was found.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Seal {
    /// What it states.
    pub statement: Json,
    /// The signer's certificates, its own first; none in an old record.
    pub certificates: Vec<Certificate>,
    /// The bare Ed25519 key of an old record.
    pub old_key: Option<String>,
    signature: String,
}

impl Seal {
    /// Reads a seal; what is missing is empty and fits nothing.
    #[must_use]
    pub fn read(bytes: &[u8]) -> Self {
        let json: Json = serde_json::from_slice(bytes).unwrap_or_default();
        let listed = json["certificates"].as_str().unwrap_or_default();
        Self {
            statement: json["statement"].clone(),
            certificates: certificate::read(listed.as_bytes()).unwrap_or_default(),
            old_key: json["key"].as_str().map(str::to_owned),
            signature: json["signature"].as_str().unwrap_or_default().to_owned(),
        }
    }

    /// Who signed, by the certificates.
    #[must_use]
    pub fn holder(&self) -> Holder {
        Holder::of(&self.certificates)
    }

    /// Whether it was made by an old key or under a root, `named` by its digits;
    /// an old root may vouch for a newer one. `last` is the last entry sealed.
    #[must_use]
    pub fn is_under(&self, named: &str, last: Option<&Entry>) -> bool {
        match &self.old_key {
            Some(public) => public.eq_ignore_ascii_case(named),
            None => is_under(&self.certificates, named, last),
        }
    }

    /// Whether its signature is that of its key over its statement.
    #[must_use]
    pub fn holds(&self) -> bool {
        let statement = canonical(&self.statement);
        match (&self.old_key, self.certificates.first(), unhex(&self.signature)) {
            (Some(public), None, _) => key::verify(public, &self.signature, statement.as_bytes()),
            (None, Some(own), Some(signature)) => {
                identity::check(own, statement.as_bytes(), &signature).is_ok()
            }
            _ => false,
        }
    }
}

/// Whether certificates lead to a root, by its SHA-256, when their holder signed.
#[must_use]
pub fn is_under(certificates: &[Certificate], root: &str, last: Option<&Entry>) -> bool {
    let Some(own) = certificates.first() else { return false };
    let trusted = BTreeSet::from([root.to_lowercase()]);
    let at = time(last, own).to_utc();
    chain::follow(own, certificates, at, &trusted, Purpose::Document)
        .is_ok_and(|way| way.trusted == Some(true))
}

/// Makes a seal.
///
/// # Errors
/// If the key can't sign.
pub fn make(identity: &Identity, statement: Json) -> Result<Vec<u8>, Failure> {
    let failed = |e: crate::seal::Fault| Failure::System(e.to_string());
    let signature = identity.key.sign(canonical(&statement).as_bytes()).map_err(failed)?;
    let certificates = certificate::write(&identity.certificates).map_err(failed)?;
    let seal = json!({ "certificates": certificates, "signature": hex(&signature), "statement": statement });
    Ok(canonical(&seal).into_bytes())
}

/// What stands beside the shop's signature: its time, and what was signed.
#[must_use]
pub fn mark(chain: &Chain, signer: &Certificate) -> Mark {
    let last = chain.hashes.last().map(String::as_str).unwrap_or_default();
    Mark {
        field: SHOP.to_owned(),
        at: time(chain.entries.last(), signer),
        reason: format!(
            "Record as it stands after {}, last hash {last}",
            counted(chain.entries.len(), "entry", "entries")
        ),
    }
}

/// When the shop signed: at the last entry, so that the same record gives the
/// same bytes; if the key was made after it, when that was.
#[must_use]
pub fn time(last: Option<&Entry>, signer: &Certificate) -> DateTime<FixedOffset> {
    let made = describe(signer).from.fixed_offset();
    last.and_then(Entry::time).filter(|at| *at >= made).unwrap_or(made)
}
