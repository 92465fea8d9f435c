//! Whether a file is whole, told from its bytes alone: its first revision
//! states its own SHA-256, and one sealed by an earlier version of the program
//! the shop's signature over it.
//!
//! Both stand among the keywords of the file, in plain sight and at a fixed
//! length. They are computed with zeros in their place and put in afterwards,
//! so they can be checked by anybody, with any version of the program or none.
//!
//! The words before them carry a salt, which follows from what is attached: a
//! photo or a text that was filed can't know it, so it can't hold such a place
//! that would be written over. Files made earlier have no salt.

use std::collections::BTreeMap;

use super::key;
use super::stored::FORM;
use crate::record::sha256;

const DIGEST: &str = "file-sha256:";
const SEAL: &str = "file-seal:";
const MAKER: &str = "made-by:";
/// Digest of all that shapes plans and pages in this program (`src/build.rs`): a number somebody
/// counts up is forgotten, and then a record of another day's build is called altered.
const SOURCES: &str = env!("TACKWRIGHT_SOURCES");
const DIGEST_LENGTH: usize = 64;
const SEAL_LENGTH: usize = 128;

/// A word before a place, with the salt of the file.
fn mark(word: &str, salt: &str) -> String {
    if salt.is_empty() { word.to_owned() } else { word.replace(':', &format!("-{salt}:")) }
}

/// Keywords of a file that is not finished yet.
#[must_use]
pub fn keywords(salt: &str) -> Vec<String> {
    vec![format!("{MAKER}{}", maker()), format!("{}{}", mark(DIGEST, salt), "0".repeat(DIGEST_LENGTH))]
}

/// Keyword of a copy that starts no record.
const DRAFT: &str = "draft";

/// What a file of ours is, beside a completed record.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Own {
    /// The paper of a traveler, or a sheet at full size.
    Issued,
    /// A copy that starts no record.
    Draft,
}

impl Own {
    /// Keywords of the file before it is finished.
    #[must_use]
    pub fn keywords(self, salt: &str) -> Vec<String> {
        let mut all = keywords(salt);
        all.extend((self == Self::Draft).then(|| DRAFT.to_owned()));
        all
    }
}

/// What the place of the digest is told by in a paper with these files attached; the
/// list of boxes is attached last and counts for nothing.
#[must_use]
pub fn salt<'a>(attached: impl IntoIterator<Item = (&'a str, &'a [u8])>) -> String {
    let mut all: Vec<String> = attached
        .into_iter()
        .filter(|(name, _)| *name != FORM)
        .map(|(name, bytes)| format!("{name} {}", sha256(bytes)))
        .collect();
    all.sort();
    sha256(all.join(" ").as_bytes()).chars().take(16).collect()
}

/// What a paper or a sheet of ours is, from its bytes and what is attached to it; none
/// if they are not what was written: a reader may have put notes or a signature into
/// it. Those of earlier versions don't say, and count as changed.
#[must_use]
pub fn untouched(bytes: &[u8], attached: &BTreeMap<String, Vec<u8>>) -> Option<Own> {
    let salt = salt(attached.iter().map(|(name, bytes)| (name.as_str(), bytes.as_slice())));
    let own = if draft(bytes) { Own::Draft } else { Own::Issued };
    (read(bytes, &salt).whole == Some(true)).then_some(own)
}

/// Whether the keywords of a file say that it is a draft.
fn draft(bytes: &[u8]) -> bool {
    let after = [format!(", {DRAFT})"), format!(", {DRAFT}<")];
    after.iter().any(|word| memchr::memmem::find(bytes, word.as_bytes()).is_some())
}

/// This program with its sources, procedures, typesetter, PDF writer, templates and fonts: the
/// same maker makes the same bytes from the same record.
#[must_use]
pub fn maker() -> String {
    format!("{}+{}.sources-{SOURCES}", env!("CARGO_PKG_VERSION"), crate::render::makers())
}

/// What the signature of a whole file is made over.
fn statement(digest: &str) -> Vec<u8> {
    format!("{DIGEST}{digest}").into_bytes()
}

/// Puts the digest in its place.
#[must_use]
pub fn finish(mut bytes: Vec<u8>, salt: &str) -> Vec<u8> {
    let digest = sha256(&bytes);
    put(&mut bytes, &mark(DIGEST, salt), DIGEST_LENGTH, &digest);
    bytes
}

fn places(bytes: &[u8], mark: &str, length: usize) -> Vec<usize> {
    // A mark never overlaps itself: it ends with its only colon.
    memchr::memmem::find_iter(bytes, mark.as_bytes())
        .map(|at| at + mark.len())
        .filter(|at| bytes.get(*at..at + length).is_some_and(|b| b.iter().all(u8::is_ascii_hexdigit)))
        .collect()
}

fn put(bytes: &mut [u8], mark: &str, length: usize, value: &str) {
    for at in places(bytes, mark, length) {
        if let Some(place) = bytes.get_mut(at..at + length) {
            place.copy_from_slice(value.as_bytes());
        }
    }
}

/// What a file says of itself.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Stated {
    /// Program that made it, with its templates.
    pub maker: Option<String>,
    /// Whether the file has the digest it states; none if it states none.
    pub whole: Option<bool>,
    /// The signature it carries.
    pub seal: Option<String>,
    /// Its digest, with zeros in the places of digest and signature.
    pub digest: String,
    /// Its bytes, with zeros in those places.
    pub bytes: Vec<u8>,
}

impl Stated {
    /// Whether the signature is that of a key over the digest.
    #[must_use]
    pub fn signed_by(&self, public: &str) -> bool {
        self.seal.as_ref().is_some_and(|s| key::verify(public, s, &statement(&self.digest)))
    }
}

/// Reads what a file says of itself; `salt` follows from what is attached.
#[must_use]
pub fn read(bytes: &[u8], salt: &str) -> Stated {
    // Files made earlier have no salt.
    let salted = !places(bytes, &mark(DIGEST, salt), DIGEST_LENGTH).is_empty();
    let (digest, seal) = match salted {
        true => (mark(DIGEST, salt), mark(SEAL, salt)),
        false => (DIGEST.to_owned(), SEAL.to_owned()),
    };
    read_marked(bytes, &digest, &seal)
}

fn read_marked(bytes: &[u8], digest_mark: &str, seal_mark: &str) -> Stated {
    let value = |mark: &str, length: usize| {
        let at = places(bytes, mark, length);
        let text = |at: usize| bytes.get(at..at + length).map(|b| String::from_utf8_lossy(b).into_owned());
        let first = at.first().copied().and_then(text)?;
        // Two places that differ are as good as none.
        at.iter().all(|a| text(*a).as_ref() == Some(&first)).then_some(first)
    };
    let stated = value(digest_mark, DIGEST_LENGTH);
    let seal = value(seal_mark, SEAL_LENGTH);
    let mut plain = bytes.to_vec();
    put(&mut plain, digest_mark, DIGEST_LENGTH, &"0".repeat(DIGEST_LENGTH));
    put(&mut plain, seal_mark, SEAL_LENGTH, &"0".repeat(SEAL_LENGTH));
    let digest = sha256(&plain);
    Stated { maker: made_by(bytes), whole: stated.map(|s| s == digest), seal, digest, bytes: plain }
}

fn made_by(bytes: &[u8]) -> Option<String> {
    let at = memchr::memmem::find(bytes, MAKER.as_bytes())? + MAKER.len();
    let text: String = bytes
        .get(at..)?
        .iter()
        .take(128)
        .map(|b| char::from(*b))
        .take_while(|c| c.is_ascii_alphanumeric() || ".+-".contains(*c))
        .collect();
    (!text.is_empty()).then_some(text)
}
