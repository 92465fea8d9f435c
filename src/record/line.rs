//! The form of a line, of a log or of the journal: a body as RFC 8785 writes it, its
//! hash, and its place behind the line before.

use std::fmt;

use serde::Deserialize;
use serde::de::DeserializeOwned;
use serde_json::Value as Json;

use super::sha256;

/// `prev` of the first entry.
pub const NO_ENTRY: &str = "0000000000000000000000000000000000000000000000000000000000000000";

/// Why a line is not an entry.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum BadLine {
    /// It is not what was written.
    Changed(String),
    /// Whole by its own hash, and it says more than this version knows of: a later one
    /// writes so.
    Unknown {
        /// Place it states.
        n: u64,
        /// Hash of the line before that it states.
        prev: String,
        /// What is not known.
        why: String,
    },
}

impl BadLine {
    pub(super) fn changed(why: impl Into<String>) -> Self {
        Self::Changed(why.into())
    }

    /// What is wrong with the line that stands at this place, such as "line 3 of the log".
    #[must_use]
    pub fn at(&self, place: &str) -> String {
        match self {
            Self::Changed(_) => format!("{place} is damaged: {self}"),
            Self::Unknown { .. } => format!("{place} {self}"),
        }
    }
}

impl fmt::Display for BadLine {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Changed(why) => f.write_str(why),
            Self::Unknown { why, .. } => write!(
                f,
                "says what this version of Tackwright does not know ({why}): a later one wrote it, use that one"
            ),
        }
    }
}

impl std::error::Error for BadLine {}

const OPEN: &[u8] = b"{\"entry\":";
const MIDDLE: &[u8] = b",\"hash\":\"";
const CLOSE: &[u8] = b"\"}";
const HASH: usize = 64;

/// The line of a canonical body, line feed included, and its hash.
pub(super) fn sealed(body: &str) -> (Vec<u8>, String) {
    let hash = sha256(body.as_bytes());
    let mut line = Vec::with_capacity(body.len() + OPEN.len() + MIDDLE.len() + CLOSE.len() + HASH + 1);
    for part in [OPEN, body.as_bytes(), MIDDLE, hash.as_bytes(), CLOSE, b"\n"] {
        line.extend_from_slice(part);
    }
    (line, hash)
}

/// The body of a line without its line feed, and its hash, which was checked.
pub(super) fn unsealed(line: &[u8]) -> Result<(&[u8], String), BadLine> {
    let bad = |why: &str| BadLine::changed(why);
    let body = line.strip_prefix(OPEN).ok_or_else(|| bad("the line does not begin as an entry"))?;
    let body = body.strip_suffix(CLOSE).ok_or_else(|| bad("the line does not end as an entry"))?;
    let at = body.len().checked_sub(HASH).ok_or_else(|| bad("the line is too short for a hash"))?;
    let (body, hash) = body.split_at(at);
    let body = body.strip_suffix(MIDDLE).ok_or_else(|| bad("the line has no hash in its place"))?;
    if sha256(body).as_bytes() != hash {
        return Err(bad("the hash is not that of the entry"));
    }
    Ok((body, String::from_utf8_lossy(hash).into_owned()))
}

/// The body of a line as what this version writes; `what` says what that is.
pub(super) fn known<T: DeserializeOwned>(body: &[u8], what: &str) -> Result<T, BadLine> {
    /// What every version writes into a line.
    #[derive(Deserialize)]
    struct Place {
        n: u64,
        prev: String,
    }
    serde_json::from_slice(body).map_err(|error| {
        let why = error.to_string();
        // Something more than it knows is a later version's; something less is nobody's.
        match serde_json::from_slice(body) {
            Ok(Place { n, prev }) if why.starts_with("unknown ") => {
                let why = why.split(", expected").next().unwrap_or_default().to_owned();
                BadLine::Unknown { n, prev, why }
            }
            _ => BadLine::Changed(format!("not {what}: {why}")),
        }
    })
}

/// Whether a line that was read stands where it belongs: behind the line with the hash
/// `before`, as number `n`. `place` is its own number and the hash it states of the line before.
pub(super) fn follows<T>(
    read: Result<T, BadLine>,
    place: impl Fn(&T) -> (u64, &str),
    n: u64,
    before: Option<&String>,
) -> Result<T, BadLine> {
    let (own, prev) = match &read {
        Ok(one) => place(one),
        Err(BadLine::Unknown { n, prev, .. }) => (*n, prev.as_str()),
        Err(BadLine::Changed(_)) => return read,
    };
    if prev != before.map_or(NO_ENTRY, String::as_str) {
        return Err(BadLine::changed("it does not continue the line before"));
    }
    if own != n {
        return Err(BadLine::Changed(format!("it is numbered {own}")));
    }
    read
}

/// JSON as RFC 8785 writes it, for values without fractional numbers.
#[must_use]
pub fn canonical(value: &Json) -> String {
    let mut out = String::new();
    write(value, &mut out);
    out
}

fn write(value: &Json, out: &mut String) {
    match value {
        Json::Object(map) => {
            let mut keys: Vec<&String> = map.keys().collect();
            keys.sort_by(|a, b| a.encode_utf16().cmp(b.encode_utf16()));
            out.push('{');
            for (i, key) in keys.into_iter().enumerate() {
                if i > 0 {
                    out.push(',');
                }
                out.push_str(&Json::from(key.as_str()).to_string());
                out.push(':');
                write(&map[key], out);
            }
            out.push('}');
        }
        Json::Array(items) => {
            out.push('[');
            for (i, item) in items.iter().enumerate() {
                if i > 0 {
                    out.push(',');
                }
                write(item, out);
            }
            out.push(']');
        }
        other => out.push_str(&other.to_string()),
    }
}
