//! Freezing: what was issued is stored whole, so that later edits of the job,
//! the procedures or the program never change it.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

use serde_json::{Value as Json, json};

use super::desk::{self, Actor, LOG, log_failure};
use super::files::RecordHost;
use super::{refused, system};
use crate::app::figures;
use crate::app::issue::compose;
use crate::app::plan::{Failure, Loaded, Plan, Shelf, SourceText, plan as planned_job};
use crate::app::shop::book as shop_book;
use crate::diagnostic::Diagnostic;
use crate::plan;
use crate::procedure::Library;
use crate::record::entry::{Action, By, Issue, canonical};
use crate::record::frozen::{Limits, LotAsk, Operation, Point, Reading, Step};
use crate::record::log::New;
use crate::record::{Frozen, Log, sha256, state};
use crate::traveler::document::Document;

/// One revision's files by name.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Content {
    /// Files and their bytes.
    pub files: BTreeMap<String, Vec<u8>>,
    /// The list of files with their digests, canonical JSON.
    pub manifest: Vec<u8>,
    /// The plan.
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

/// Pretty JSON with a line feed.
fn pretty(value: &impl serde::Serialize) -> Vec<u8> {
    let mut bytes = serde_json::to_vec_pretty(value).unwrap_or_default();
    bytes.push(b'\n');
    bytes
}

/// A resolved plan as the record keeps it.
#[must_use]
pub fn frozen(plan: &plan::Plan, digest: &str) -> Frozen {
    // What is done after hand-over stands last.
    let (later, now): (Vec<_>, Vec<_>) = plan.operations.iter().partition(|o| o.deferred);
    Frozen {
        number: plan.number.clone(),
        revision: plan.revision.clone(),
        title: plan.title.clone(),
        unit: plan.unit.clone(),
        due: plan.due.map(|d| d.to_string()),
        digest: digest.to_owned(),
        operations: now.into_iter().chain(later).map(operation).collect(),
    }
}

fn operation(plan: &plan::Operation) -> Operation {
    Operation {
        key: plan.key.clone(),
        id: plan.id.clone(),
        number: plan.number,
        verb: plan.verb.word().to_owned(),
        title: plan.title.clone(),
        station: plan.station.word().to_owned(),
        role: plan.role.map_or("", |r| r.word()).to_owned(),
        deferred: plan.deferred,
        acts: plan.acts.clone(),
        joints: plan.joints.iter().map(|j| j.id.clone()).collect(),
        wps: plan.joints.iter().filter_map(|j| j.wps.clone()).collect(),
        fasteners: plan.fasteners.clone(),
        builds_on: plan.builds_on.clone(),
        before: plan.before.iter().map(point).collect(),
        steps: plan.steps.iter().map(step).collect(),
        after: plan.after.iter().map(point).collect(),
    }
}

fn point(plan: &plan::Point) -> Point {
    Point {
        slot: plan.slot.clone(),
        number: plan.number.clone(),
        kind: plan.kind,
        roles: plan.roles.iter().map(|r| r.word().to_owned()).collect(),
        what: plan.what.clone(),
        meaning: plan.meaning.clone(),
        rule: plan.rule.clone(),
    }
}

fn step(plan: &plan::Step) -> Step {
    Step {
        number: plan.number,
        text: plan.text.text(),
        readings: plan.readings.iter().map(reading).collect(),
    }
}

/// A reading as the record sees it.
pub(super) fn reading(plan: &plan::Reading) -> Reading {
    let printed = plan.aim.map(|a| (a.printed(), a.printed_tolerance()));
    let target = match printed {
        Some((Some(target), Some(tolerance))) => Some(format!("{target} {tolerance}")),
        Some((target, _)) => target,
        None => None,
    };
    Reading {
        id: plan.id.clone(),
        label: plan.label.clone(),
        target,
        instrument: plan.instrument.clone(),
        unit: plan.aim.and_then(|a| a.unit()).map(str::to_owned),
        limits: plan.aim.map(|a| Limits {
            kind: a.kind,
            target: a.target(),
            lower: a.lower(),
            upper: a.upper(),
        }),
        replaces: plan.replaces.clone(),
        lot: plan
            .lot
            .as_ref()
            .map(|l| LotAsk { kind: l.kind.to_owned(), designations: l.designations.clone() }),
    }
}

/// Everything a revision is frozen with. `document` is what is printed.
///
/// # Errors
/// If the page can't be typeset.
pub fn content(plan: &Plan<'_>, shelf: &Shelf, document: &Document) -> Result<(Content, usize), Failure> {
    let rendered = crate::render::pdf(document, &crate::app::issue::attachments(plan))
        .map_err(|e| Failure::System(e.to_string()))?;
    let frozen = frozen(&plan.resolved, &plan.digest());
    let procedures: Vec<Json> =
        shelf.sources.iter().map(|s| json!({ "name": s.name, "text": s.text })).collect();
    let mut files: BTreeMap<String, Vec<u8>> = BTreeMap::new();
    files.insert("job.toml".to_owned(), plan.loaded.source.text.clone().into_bytes());
    files.insert("figures.json".to_owned(), pretty(&figures::json(plan.loaded)));
    files.insert("plan.json".to_owned(), pretty(&frozen));
    files.insert("document.json".to_owned(), pretty(document));
    files.insert("procedures.json".to_owned(), pretty(&procedures));
    files.insert("traveler.pdf".to_owned(), rendered.bytes);
    let manifest = manifest(&frozen.number, &frozen.revision, &files);
    Ok((Content { files, manifest, plan: frozen }, rendered.pages))
}

/// Writes a revision's files. They count only once the log names them.
///
/// # Errors
/// If a file can't be written.
pub fn store(host: &dyn RecordHost, folder: &Path, content: &Content) -> Result<(), Failure> {
    let place = folder.join(&content.plan.revision);
    for (name, bytes) in &content.files {
        let path = place.join(name);
        host.write(&path, bytes).map_err(|e| system(&path, e))?;
    }
    let path = place.join("manifest.json");
    host.write(&path, &content.manifest).map_err(|e| system(&path, e))
}

/// A stored revision, checked against its list of files.
///
/// # Errors
/// If a file is missing or is not what was frozen.
pub fn load(host: &dyn RecordHost, folder: &Path, revision: &str) -> Result<Content, Failure> {
    let place = folder.join(revision);
    let path = place.join("manifest.json");
    let bytes = host.bytes(&path).map_err(|e| system(&path, e))?;
    let listed: Json = serde_json::from_slice(&bytes).map_err(|e| system(&path, e))?;
    let mut files = BTreeMap::new();
    for entry in listed["files"].as_array().into_iter().flatten() {
        let (Some(name), Some(digest)) = (entry["name"].as_str(), entry["sha256"].as_str()) else { continue };
        if name.contains(['/', '\\']) {
            return Err(system(&path, format!("\"{name}\" is no plain file name")));
        }
        let path = place.join(name);
        let bytes = host.bytes(&path).map_err(|e| system(&path, e))?;
        if sha256(&bytes) != digest {
            return Err(refused(
                Diagnostic::error("L004", format!("{} was changed after it was issued", path.display()))
                    .help("restore the file from a copy; what was issued can't be edited, only revised"),
            ));
        }
        files.insert(name.to_owned(), bytes);
    }
    let plan = desk::plan(host, folder, revision)?;
    Ok(Content { files, manifest: bytes, plan })
}

/// The library a revision was planned with.
///
/// # Errors
/// If the stored procedures can't be read.
pub fn shelf(procedures: &[u8]) -> Result<Shelf, Failure> {
    let list: Vec<BTreeMap<String, String>> = serde_json::from_slice(procedures)
        .map_err(|e| Failure::System(format!("the stored procedures can't be read: {e}")))?;
    let sources: Vec<SourceText> = list
        .into_iter()
        .filter_map(|mut file| Some(SourceText { name: file.remove("name")?, text: file.remove("text")? }))
        .collect();
    // The shop book stands last in what was frozen.
    let Some((book, files)) = sources.split_last() else {
        return Err(Failure::System("the stored procedures are empty".to_owned()));
    };
    let shop = shop_book::of_text(book.name.clone(), book.text.clone())?;
    let (mut library, mut report) = Library::load(files.iter().map(|s| (s.name.as_str(), s.text.as_str())));
    report.extend(shop.set_levels(&mut library));
    if report.has_errors() {
        return Err(Failure::Refused(report, sources));
    }
    Ok(Shelf { library, sources, report, shop })
}

/// A job from its text, under another revision letter, with the preferences of
/// the shop book.
///
/// # Errors
/// If it has errors.
pub fn loaded(shelf: &Shelf, name: &str, text: &str, revision: &str) -> Result<Loaded, Failure> {
    let (job, report) = crate::job::load(name, text);
    let source = SourceText { name: name.to_owned(), text: text.to_owned() };
    match job {
        Some(mut job) if !report.has_errors() => {
            job.job.revision = crate::file::Text(revision.to_owned());
            let figures = crate::procedure::figures::compute(&job);
            let mut loaded = Loaded { path: PathBuf::from(name), source, job, figures, report };
            shelf.shop.apply(&mut loaded);
            Ok(loaded)
        }
        _ => Err(Failure::Refused(report, vec![source])),
    }
}

/// What starting or reprinting a record gave.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Started {
    /// The traveler's folder.
    pub folder: PathBuf,
    /// The traveler as issued.
    pub bytes: Vec<u8>,
    /// Revision in force.
    pub revision: String,
    /// Pages, when it was typeset now.
    pub pages: usize,
    /// True when the record was there and the stored bytes were given.
    pub reprinted: bool,
    /// Sentences a person should read.
    pub warnings: Vec<String>,
}

/// Starts the record of a planned job, or gives back what was issued.
///
/// # Errors
/// If the number was issued with other content, or the system fails.
pub fn start(
    host: &dyn RecordHost,
    planned: &Plan<'_>,
    shelf: &Shelf,
    folder: &Path,
    actor: Option<&Actor>,
) -> Result<Started, Failure> {
    let path = folder.join(LOG);
    let store_file = host.log(&path).map_err(|e| system(&path, e))?;
    let mut log = Log::open(store_file).map_err(|e| log_failure(&path, e))?;
    let entries = log.entries().map_err(|e| log_failure(&path, e))?;
    let state = state::fold(&entries);
    if let Some(revision) = state.revision() {
        return reprint(host, planned, shelf, folder, revision);
    }
    let document = compose(planned);
    let (content, pages) = content(planned, shelf, &document)?;
    store(host, folder, &content)?;
    let at = actor.map_or_else(|| host.now(), |a| a.at);
    crate::record::rules::time(&at, &host.now()).map_err(refused)?;
    let new = New {
        at,
        by: issuer(planned, shelf, actor),
        corrects: None,
        what: Action::Issued {
            issue: Issue {
                content: content.digest(),
                number: content.plan.number.clone(),
                plan: content.plan.digest.clone(),
                revision: content.plan.revision.clone(),
            },
        },
    };
    let appended = log.append(&new).map_err(|e| log_failure(&path, e))?;
    super::register::note(host, folder, &shelf.shop)?;
    Ok(Started {
        folder: folder.to_owned(),
        bytes: content.files.get("traveler.pdf").cloned().unwrap_or_default(),
        revision: content.plan.revision,
        pages,
        reprinted: false,
        warnings: appended.warnings,
    })
}

/// Who issues: the person named, or the first lead of the job or the book.
fn issuer(planned: &Plan<'_>, shelf: &Shelf, actor: Option<&Actor>) -> By {
    let lead = crate::job::model::Role::Lead.word();
    let signer = |id: &str, name: &str, leads: bool| By {
        id: id.to_owned(),
        name: name.to_owned(),
        role: if leads { lead } else { "" }.to_owned(),
    };
    let job = planned.loaded.job.person.iter();
    let job = job.map(|p| signer(&p.id.value, &p.name, p.role.iter().any(|r| r.word() == lead)));
    let book = shelf.shop.book.person.iter();
    let book = book.map(|p| signer(&p.id.value, &p.name, p.role.iter().any(|r| r.word() == lead)));
    // The demonstration book speaks for no shop.
    let mut people = job.chain(book.filter(|_| !shelf.shop.demo));
    match actor.filter(|a| !a.id.is_empty()) {
        Some(actor) => people.find(|p| p.id == actor.id),
        None => people.find(|p| p.role == lead),
    }
    .unwrap_or_default()
}

/// The stored bytes, if what would be issued now is what was issued.
fn reprint(
    host: &dyn RecordHost,
    planned: &Plan<'_>,
    shelf: &Shelf,
    folder: &Path,
    revision: &str,
) -> Result<Started, Failure> {
    let stored = load(host, folder, revision)?;
    let now = loaded(shelf, &planned.loaded.source.name, &planned.loaded.source.text, revision)?;
    // Nothing is laid out: the resolved plan is what was issued.
    let again = planned_job(&now, shelf)?;
    let fresh = frozen(&again.resolved, &again.digest());
    let same_job = stored.files.get("job.toml").is_some_and(|b| *b == now.source.text.as_bytes());
    // A PIN or a certificate entered since is no other content: the operations
    // decide.
    let fresh = Frozen { digest: stored.plan.digest.clone(), ..fresh };
    if !same_job || fresh != stored.plan {
        let what = if same_job { "the procedures changed" } else { "the job file changed" };
        return Err(refused(
            Diagnostic::error(
                "L010",
                format!("{} rev {revision} was issued with other content: {what} since", stored.plan.number),
            )
            .key("rule: what was issued does not change")
            .help(format!(
                "issue the next revision: tackwright revise {} --by LEAD --reason \"…\"",
                planned.loaded.path.display()
            ))
            .help("or look at a draft that starts no record: tackwright issue JOB --draft"),
        ));
    }
    Ok(Started {
        folder: folder.to_owned(),
        bytes: stored.files.get("traveler.pdf").cloned().unwrap_or_default(),
        revision: revision.to_owned(),
        pages: 0,
        reprinted: true,
        warnings: Vec::new(),
    })
}
