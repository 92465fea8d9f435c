//! What a revision is frozen with: its files, and the list of them.

use std::collections::BTreeMap;

use serde_json::{Value as Json, json};

use crate::app::failure::Failure;
use crate::record::line::canonical;
use crate::record::{Frozen, sha256};

/// Frozen files a revision is planned from again. Those of earlier revisions go into
/// the record too: what their entries are gone through again with.
pub const EARLIER: &[&str] = &["job.toml", "plan.json", "procedures.json"];

/// One revision's files by name.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Content {
    /// Files and their bytes.
    pub files: BTreeMap<String, Vec<u8>>,
    /// The list of files with their digests, canonical JSON.
    pub manifest: Vec<u8>,
    /// The same as `plan.json` among the files.
    pub plan: Frozen,
}

impl Content {
    /// Digest of the list of files.
    #[must_use]
    pub fn digest(&self) -> String {
        sha256(&self.manifest)
    }
}

/// List of files with their digests, as canonical JSON.
#[must_use]
pub fn manifest(number: &str, revision: &str, files: &BTreeMap<String, Vec<u8>>) -> Vec<u8> {
    let list: Vec<Json> =
        files.iter().map(|(name, bytes)| json!({ "name": name, "sha256": sha256(bytes) })).collect();
    canonical(&json!({ "number": number, "revision": revision, "files": list })).into_bytes()
}

/// Names and digests in such a list; nothing of a list that can't be read.
#[must_use]
pub fn listed(manifest: &[u8]) -> BTreeMap<String, String> {
    let list: Json = serde_json::from_slice(manifest).unwrap_or_default();
    let one = |f: &Json| Some((f["name"].as_str()?.to_owned(), f["sha256"].as_str()?.to_owned()));
    list["files"].as_array().into_iter().flatten().map(one).collect::<Option<_>>().unwrap_or_default()
}

/// Pretty JSON with a line feed.
///
/// # Errors
/// If the value can't be written as JSON.
pub fn pretty(value: &impl serde::Serialize) -> Result<Vec<u8>, Failure> {
    let mut bytes = serde_json::to_vec_pretty(value)
        .map_err(|e| Failure::System(format!("what is to be frozen can't be written: {e}")))?;
    bytes.push(b'\n');
    Ok(bytes)
}
