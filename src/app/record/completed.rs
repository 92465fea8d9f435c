//! The completed record: a function of what is attached to it, so that it can
//! be made again by whoever checks it.

use std::collections::BTreeMap;
use std::sync::Arc;

use serde_json::{Value as Json, json};

use super::content::{Content, EARLIER};
use super::recompute::{self, Base, Reckoner};
use super::seal::{self, Holder, Seal};
use super::stored::{self, FORM};
use super::{set_photo, shop_rows, waivers, whole};
use crate::app::paper_set::boxes_of;
use crate::app::plan::{Failure, Shelf};
use crate::record::fallen::fallen;
use crate::record::log::{self, Chain};
use crate::record::moved::{moves, no_longer};
use crate::record::{Frozen, State, sha256, state};
use crate::render::{self, Attachment, Relationship, Rendered};
use crate::seal::identity::Identity;
use crate::traveler::document::Document;
use crate::traveler::wording::completed::{Facts, complete};

/// Frozen files that go into the record. The paper itself is named by its
/// digest only.
pub const ATTACHED: &[&str] = &["job.toml", "plan.json", "document.json", "figures.json", "procedures.json"];
/// Frozen files that go into it where a revision has them: paper issued before its
/// boxes had names has no list of them.
pub const ATTACHED_IF_THERE: &[&str] = &[FORM];
/// Name of the list of frozen files.
pub const MANIFEST: &str = "manifest.json";
/// Name of the log.
pub const LOG: &str = "log.jsonl";
/// Name of the seal.
pub const SEAL: &str = "seal.json";

/// What a completed record is made from.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Parts {
    /// Frozen files by name.
    pub files: BTreeMap<String, Vec<u8>>,
    /// List of frozen files with digests.
    pub manifest: Vec<u8>,
    /// The log; the longest part, and shared with the file that is made of it.
    pub log: Arc<[u8]>,
    /// Photos by name.
    pub photos: BTreeMap<String, Vec<u8>>,
    /// Earlier revisions by their letters; none in records of earlier versions.
    pub earlier: BTreeMap<String, Revision>,
}

/// A revision before the one in force.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Revision {
    /// List of its frozen files with digests.
    pub manifest: Vec<u8>,
    /// Those in [`EARLIER`].
    pub files: BTreeMap<String, Vec<u8>>,
}

impl Parts {
    /// The plan in force, read from its frozen file; none if it is not there or can't be read.
    #[must_use]
    pub fn plan(&self) -> Option<Frozen> {
        Frozen::read(self.files.get(stored::PLAN)?).ok()
    }

    /// A frozen file of a revision, by its letter; none if it is not there.
    pub(super) fn frozen(&self, letter: &str, name: &str) -> Option<&[u8]> {
        let files = self.earlier.get(letter).map_or(&self.files, |revision| &revision.files);
        files.get(name).map(Vec::as_slice)
    }
}

impl Revision {
    /// What of a stored revision goes into the record of a later one.
    #[must_use]
    pub fn of(content: Content) -> Self {
        let mut files = content.files;
        files.retain(|name, _| EARLIER.contains(&name.as_str()));
        Self { manifest: content.manifest, files }
    }

    /// Whether the list is the one of this digest, and every file the one it lists.
    #[must_use]
    pub fn is(&self, digest: &str) -> bool {
        let listed = super::content::listed(&self.manifest);
        sha256(&self.manifest) == digest
            && EARLIER.iter().all(|name| {
                let own = self.files.get(*name).map(|bytes| sha256(bytes));
                own.is_some() && listed.get(*name) == own.as_ref()
            })
    }
}

/// Name of the job among the frozen files.
const JOB: &str = "job.toml";

/// What stands before the name of a file of an earlier revision: `rev-A-plan.json`.
fn earlier_name(letter: &str, name: &str) -> String {
    format!("rev-{letter}-{name}")
}

impl Parts {
    /// The parts among the files of a record, the seal, and what is missing.
    #[must_use]
    pub fn of(mut files: BTreeMap<String, Vec<u8>>) -> (Self, Option<Vec<u8>>, Vec<&'static str>) {
        let mut parts = Self::default();
        let mut missing = Vec::new();
        for name in ATTACHED {
            match files.remove(*name) {
                Some(bytes) => {
                    parts.files.insert((*name).to_owned(), bytes);
                }
                None => missing.push(*name),
            }
        }
        for name in ATTACHED_IF_THERE {
            parts.files.extend(files.remove_entry(*name));
        }
        match files.remove(MANIFEST) {
            Some(bytes) => parts.manifest = bytes,
            None => missing.push(MANIFEST),
        }
        match files.remove(LOG) {
            Some(bytes) => parts.log = bytes.into(),
            None => missing.push(LOG),
        }
        let seal = files.remove(SEAL);
        parts.take_earlier(&mut files);
        parts.photos = files;
        (parts, seal, missing)
    }

    /// Takes the files of earlier revisions out. A file that did not change from
    /// one to another is attached once, and found by its digest.
    fn take_earlier(&mut self, files: &mut BTreeMap<String, Vec<u8>>) {
        let letter = |name: &String| {
            let letter = name.strip_prefix("rev-")?.strip_suffix(MANIFEST)?.strip_suffix('-')?;
            Some(letter.to_owned())
        };
        let letters: Vec<String> = files.keys().filter_map(letter).collect();
        let mut known: BTreeMap<String, Vec<u8>> =
            self.files.values().map(|bytes| (sha256(bytes), bytes.clone())).collect();
        for letter in &letters {
            let mut revision = Revision {
                manifest: files.remove(&earlier_name(letter, MANIFEST)).unwrap_or_default(),
                files: BTreeMap::new(),
            };
            for name in EARLIER {
                if let Some(bytes) = files.remove(&earlier_name(letter, name)) {
                    known.insert(sha256(&bytes), bytes.clone());
                    revision.files.insert((*name).to_owned(), bytes);
                }
            }
            self.earlier.insert(letter.clone(), revision);
        }
        for revision in self.earlier.values_mut() {
            let listed = super::content::listed(&revision.manifest);
            for name in EARLIER {
                let same = listed.get(*name).and_then(|digest| known.get(digest));
                if let Some(bytes) = same.filter(|_| !revision.files.contains_key(*name)) {
                    revision.files.insert((*name).to_owned(), bytes.clone());
                }
            }
        }
    }

    /// The root (or old key) of the shop's seal that the paper was issued with.
    #[must_use]
    pub fn issued_root(&self) -> Option<String> {
        let book = super::shelf::book(self.files.get("procedures.json")?).ok()?.book;
        book.seal.map(|s| s.value.to_lowercase())
    }

    /// What the places of digest and signature are told by; see [`whole`].
    #[must_use]
    pub fn salt(&self) -> String {
        let photos: String =
            self.photos.iter().map(|(name, bytes)| format!("{name} {}", sha256(bytes))).collect();
        let all = format!("{} {} {photos}", sha256(&self.manifest), sha256(&self.log));
        sha256(all.as_bytes()).chars().take(16).collect()
    }
}

/// How the record is sealed.
#[derive(Debug, Clone, Copy)]
pub enum Sealing<'a> {
    /// Not at all.
    None,
    /// Now, with this key; signed into the shop's field, too.
    With(&'a Identity),
    /// Not at all, to be compared with what is there.
    Remade,
    /// It was, to be compared with what is there: the seal as attached.
    Given(&'a [u8]),
}

impl Sealing<'_> {
    /// Who signs, or signed.
    fn holder(self) -> Option<Holder> {
        match self {
            Sealing::None | Sealing::Remade => None,
            Sealing::With(identity) => Some(Holder::of(&identity.certificates)),
            Sealing::Given(bytes) => Some(Seal::read(bytes).holder()),
        }
    }
}

/// Typesets the record, sealed and signed if there is a key.
///
/// # Errors
/// If a part is damaged, the page can't be typeset or the key can't sign.
pub fn render(parts: &Parts, identity: Option<&Identity>) -> Result<Rendered, Failure> {
    typeset(parts, &log::check(&parts.log), identity.map_or(Sealing::None, Sealing::With))
}

/// Typesets the record. `chain` is its log, checked.
///
/// # Errors
/// If a part is damaged, the page can't be typeset or the key can't sign.
pub fn typeset(parts: &Parts, chain: &Chain, sealing: Sealing<'_>) -> Result<Rendered, Failure> {
    let document = document(parts, chain, sealing.holder().as_ref())?;
    lay_out(document, parts, chain, sealing)
}

/// As [`typeset`], of the document that was made already.
///
/// # Errors
/// If the page can't be typeset or the key can't sign.
pub fn lay_out(
    mut document: Document,
    parts: &Parts,
    chain: &Chain,
    sealing: Sealing<'_>,
) -> Result<Rendered, Failure> {
    let salt = parts.salt();
    document.meta.keywords = whole::keywords(&salt);
    let mut attachments = attachments(parts);
    let seal = match sealing {
        Sealing::None | Sealing::Remade => None,
        Sealing::Given(bytes) => Some(bytes.to_vec()),
        Sealing::With(identity) => {
            let plan =
                parts.plan().ok_or_else(|| Failure::System("plan.json is missing or damaged".to_owned()))?;
            Some(seal::make(identity, statement(chain, parts, &plan, &document)?)?)
        }
    };
    if let Some(bytes) = seal {
        attachments.push(Attachment {
            name: SEAL.to_owned(),
            bytes: bytes.into(),
            mime: "application/json".to_owned(),
            relationship: Relationship::Supplement,
            description: "signature of the shop over the statement in it".to_owned(),
        });
    }
    let mut rendered = render::pdf(&document, &attachments).map_err(|e| Failure::System(e.to_string()))?;
    rendered.bytes = match sealing {
        Sealing::None => whole::finish(rendered.bytes, &salt),
        Sealing::With(identity) => {
            let failed = |e: crate::seal::Fault| Failure::System(e.to_string());
            let mark = seal::mark(chain, identity.leaf().map_err(failed)?);
            let bytes = whole::finish(rendered.bytes, &salt);
            crate::seal::pdf::sign(&bytes, &mark, identity).map_err(failed)?
        }
        // Checked with zeros in the place of the digest.
        Sealing::Given(_) | Sealing::Remade => rendered.bytes,
    };
    Ok(rendered)
}

/// What the seal signs: record, content, and every word on the pages.
///
/// # Errors
/// If the pages can't be written as JSON.
pub fn statement(chain: &Chain, parts: &Parts, plan: &Frozen, document: &Document) -> Result<Json, Failure> {
    let mut words = document.clone();
    words.meta.keywords.clear();
    let pages = serde_json::to_value(&words)
        .map_err(|e| Failure::System(format!("the pages can't be written as JSON: {e}")))?
        .to_string();
    Ok(json!({
        "content": sha256(&parts.manifest),
        "entries": chain.entries.len(),
        "last": chain.hashes.last(),
        "number": plan.number,
        "pages": sha256(pages.as_bytes()),
        "revision": plan.revision,
    }))
}

/// The document of a completed record. `chain` is its log, checked.
///
/// # Errors
/// If a part is missing or damaged.
pub fn document(parts: &Parts, chain: &Chain, holder: Option<&Holder>) -> Result<Document, Failure> {
    let (shelf, plan) = (recompute::shelf_of(&parts.files).ok(), parts.plan().map(Arc::new));
    document_on(shelf, plan.as_ref(), &state::fold(&chain.entries), parts, chain, holder)
}

/// As [`document`]; shelf and plan among the parts were read before, as far as they can
/// be, and the log was folded.
///
/// # Errors
/// As [`document`].
pub fn document_on(
    shelf: Option<Arc<Shelf>>,
    plan: Option<&Arc<Frozen>>,
    state: &State,
    parts: &Parts,
    chain: &Chain,
    holder: Option<&Holder>,
) -> Result<Document, Failure> {
    let bad = |what: &str| Failure::System(format!("{what} is missing or damaged"));
    if let Some((line, why)) = &chain.damage {
        return Err(Failure::System(why.at(&format!("line {line} of the log"))));
    }
    let plan = plan.ok_or_else(|| bad("plan.json"))?;
    let mut blank: Document = parts
        .files
        .get("document.json")
        .and_then(|b| serde_json::from_slice(b).ok())
        .ok_or_else(|| bad("document.json"))?;
    if let (Some(last), false) = (parts.files.get(JOB), parts.earlier.is_empty()) {
        let earlier = |letter: &str| parts.earlier.get(letter)?.files.get(JOB).map(Vec::as_slice);
        waivers::date(&mut blank, last, earlier, &chain.entries);
    }
    // A reading may make the plan impossible; the record is printed all the same.
    let base = shelf.and_then(|shelf| Base::on(shelf, &parts.files, plan).ok());
    let now = base.and_then(|base| base.now(state).ok());
    let geometry = now.as_ref().and_then(recompute::Now::geometry);
    let lost = now.as_ref().filter(|_| moves(plan, state));
    let lost =
        lost.map(|now| no_longer(plan, state, &now.in_force(), &Reckoner::default())).unwrap_or_default();
    let facts = Facts {
        plan,
        state,
        entries: &chain.entries,
        hashes: &chain.hashes,
        measured: geometry.as_ref(),
        replaced: now.as_ref().map(|n| n.replaced.as_slice()).unwrap_or_default(),
        figures: now.as_ref().map(|n| &n.loaded.figures),
        lost: &lost,
        fallen: &fallen(plan, state, &lost),
        content: &sha256(&parts.manifest),
        log: &sha256(&parts.log),
        signer: holder.map(Holder::signer),
        shop_rows: &shop_rows::told(|letter| parts.frozen(letter, shop_rows::ROWS), &chain.entries),
    };
    Ok(complete(blank, &facts))
}

fn attachments(parts: &Parts) -> Vec<Attachment> {
    let one = |name: &str, bytes: Arc<[u8]>, mime: &str, relationship, description: &str| Attachment {
        name: name.to_owned(),
        bytes,
        mime: mime.to_owned(),
        relationship,
        description: description.to_owned(),
    };
    let mut list = Vec::new();
    for name in ATTACHED {
        let Some(bytes) = parts.files.get(*name) else { continue };
        let (mime, relationship, description) = match *name {
            "job.toml" => ("application/toml", Relationship::Source, "job file of the revision in force"),
            "plan.json" => {
                ("application/json", Relationship::Source, "frozen plan: operations, limits, points")
            }
            "document.json" => ("application/json", Relationship::Source, "the paper as it was issued"),
            "figures.json" => ("application/json", Relationship::Data, "every figure the plan rests on"),
            _ => ("application/json", Relationship::Source, "procedures the plan was made with"),
        };
        list.push(one(name, bytes.as_slice().into(), mime, relationship, description));
    }
    list.extend(parts.files.get(FORM).map(|bytes| boxes_of(bytes.clone())));
    list.push(one(
        MANIFEST,
        parts.manifest.as_slice().into(),
        "application/json",
        Relationship::Data,
        "digests of the frozen files",
    ));
    list.push(one(
        LOG,
        Arc::clone(&parts.log),
        "application/jsonl",
        Relationship::Data,
        "every entry of the record",
    ));
    let mut there: Vec<&[u8]> = parts.files.values().map(Vec::as_slice).collect();
    for (letter, revision) in &parts.earlier {
        let what = "what an earlier revision was issued with";
        let manifest = earlier_name(letter, MANIFEST);
        let listed = revision.manifest.as_slice().into();
        list.push(one(&manifest, listed, "application/json", Relationship::Data, what));
        for (name, bytes) in &revision.files {
            if there.contains(&bytes.as_slice()) {
                continue;
            }
            there.push(bytes);
            let mime = if name.ends_with(".toml") { "application/toml" } else { "application/json" };
            let bytes = bytes.as_slice().into();
            list.push(one(&earlier_name(letter, name), bytes, mime, Relationship::Source, what));
        }
    }
    for (name, bytes) in &parts.photos {
        list.push(one(
            name,
            bytes.as_slice().into(),
            set_photo::mime(name),
            Relationship::Supplement,
            photo_of(name),
        ));
    }
    list
}

/// What a photo shows, by its name: those of found conditions bear its number.
fn photo_of(name: &str) -> &'static str {
    if name.starts_with('F') { "photo of a found condition" } else { "photo of the work" }
}
