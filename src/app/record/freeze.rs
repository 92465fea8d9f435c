//! Freezing: what was issued is stored whole, so that later edits of the job,
//! the procedures or the program never change it.

use std::collections::{BTreeMap, BTreeSet};
use std::path::{Path, PathBuf};

use serde_json::{Value as Json, json};

use super::desk::{self, Actor, LOG, log_failure};
use super::files::RecordHost;
use super::{refused, system};
use crate::app::issue::{compose, typeset};
use crate::app::plan::{Failure, Loaded, Plan, Shelf, SourceText, plan};
use crate::app::shop::book as shop_book;
use crate::app::{figures, route};
use crate::diagnostic::Diagnostic;
use crate::file::{Located, Text};
use crate::job::JobFile;
use crate::procedure::Library;
use crate::procedure::file;
use crate::procedure::selection::What;
use crate::record::entry::{Action, By, Issue, canonical};
use crate::record::frozen::{self, LotAsk, Operation, Point, PointKind, Reading, Step};
use crate::record::log::New;
use crate::record::{Frozen, Log, sha256, state};
use crate::traveler::document::{self, Document};

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

/// The frozen plan of a planned job and its document.
#[must_use]
pub fn frozen(plan: &Plan<'_>, document: &Document) -> Frozen {
    let job = &plan.loaded.job;
    let lines = route::lines(plan);
    let mut operations = Vec::new();
    let mut deferred = Vec::new();
    let mut providers: BTreeMap<usize, String> = BTreeMap::new();
    for (index, number) in plan.route.order.iter().zip(1_u32..) {
        let (Some(selected), Some(routed)) =
            (plan.selection.operations.get(*index), plan.problem.operations().get(*index))
        else {
            continue;
        };
        let number = number * 10;
        let worded = document.operations.iter().chain(&document.after_hand_over).find(|o| o.number == number);
        let Some(worded) = worded else { continue };
        let builds_on: BTreeSet<String> =
            routed.requires.iter().filter_map(|s| providers.get(&s.index()).cloned()).collect();
        for state in &routed.provides {
            providers.insert(state.index(), selected.key.clone());
        }
        let (points, usage, fasteners): (Vec<file::PointRow>, _, _) = match selected.what {
            What::Library(o) => (
                o.row.point.clone(),
                o.row.joints.as_ref().map(|j| j.value.0.clone()),
                o.row.fasteners.as_ref().map(|f| f.value.0.clone()),
            ),
            What::Own(own) => (
                Vec::new(),
                own.joints.as_ref().map(|j| j.value.0.clone()),
                own.fasteners.as_ref().map(|f| f.value.0.clone()),
            ),
        };
        let on = |id: &str| selected.components.iter().any(|c| c.id() == id);
        let joints: Vec<_> = job
            .joint
            .iter()
            .filter(|j| usage.as_deref().is_some_and(|u| u == &*j.usage.value) && on(&j.on.value.0))
            .collect();
        let own_role = match selected.what {
            What::Own(own) => own.hold_role.word(),
            What::Library(_) => "",
        };
        let side = |moment: file::Moment, worded: &[document::Point]| {
            let rows: Vec<&file::PointRow> = points.iter().filter(|p| p.moment == moment).collect();
            worded
                .iter()
                .enumerate()
                .map(|(i, p)| point(p, rows.get(i).copied(), moment, i, own_role))
                .collect()
        };
        let operation = Operation {
            key: selected.key.clone(),
            id: selected.id.clone(),
            number,
            verb: worded.verb.clone(),
            title: worded.title.clone(),
            station: worded.station.clone(),
            role: routed.role.clone(),
            deferred: routed.deferred,
            acts: routed.acts.clone(),
            joints: joints.iter().map(|j| j.id.value.to_string()).collect(),
            wps: joints.iter().filter_map(|j| j.wps.as_ref()).map(|w| w.value.to_string()).collect(),
            fasteners: job
                .fastener
                .iter()
                .filter(|f| fasteners.as_deref().is_some_and(|u| u == &*f.usage.value) && on(&f.on.value.0))
                .map(|f| f.id.value.to_string())
                .collect(),
            builds_on: builds_on.into_iter().collect(),
            before: side(file::Moment::Before, &worded.before),
            steps: worded.steps.iter().map(|s| step(s, job)).collect(),
            after: side(file::Moment::After, &worded.after),
        };
        if operation.deferred { deferred.push(operation) } else { operations.push(operation) }
    }
    debug_assert_eq!(lines.len(), operations.len() + deferred.len());
    operations.extend(deferred);
    Frozen {
        number: job.job.number.value.to_string(),
        revision: job.job.revision.to_string(),
        title: job.job.title.to_string(),
        unit: job.unit.name.to_string(),
        due: job.job.due.as_ref().map(|d| d.value.to_string()),
        digest: plan.digest(),
        operations,
    }
}

fn point(
    worded: &document::Point,
    row: Option<&file::PointRow>,
    moment: file::Moment,
    index: usize,
    own_role: &str,
) -> Point {
    Point {
        slot: format!("{}.{}", moment.word(), index + 1),
        number: worded.number.clone(),
        kind: match worded.kind {
            document::PointKind::Hold => PointKind::Hold,
            document::PointKind::Witness => PointKind::Witness,
            document::PointKind::Review => PointKind::Review,
        },
        roles: match row {
            Some(row) => [row.role].into_iter().chain(row.second).map(|r| r.word().to_owned()).collect(),
            // Reviews that follow from the shop book, and what the figures want
            // settled before a cut, stand in no procedure.
            None if worded.kind == document::PointKind::Review || own_role.is_empty() => {
                vec!["lead".to_owned()]
            }
            None => vec![own_role.to_owned()],
        },
        what: worded.what.text(),
        meaning: worded.meaning.clone(),
        rule: row.and_then(|r| r.rule.as_ref()).map(|r| r.value.to_string()),
    }
}

fn step(worded: &document::Step, job: &JobFile) -> Step {
    Step {
        number: worded.number,
        text: worded.text.text(),
        readings: worded
            .readings
            .iter()
            .map(|r| frozen::Reading { lot: lot_ask(job, &r.id), ..reading(r) })
            .collect(),
    }
}

/// A reading as the record sees it.
pub(super) fn reading(worded: &document::Reading) -> Reading {
    let target = match (&worded.target, &worded.tolerance) {
        (Some(target), Some(tolerance)) => Some(format!("{target} {tolerance}")),
        (Some(target), None) => Some(target.clone()),
        (None, _) => None,
    };
    Reading {
        id: worded.id.clone(),
        label: worded.label.clone(),
        target,
        instrument: worded.instrument.clone(),
        unit: worded.unit.clone(),
        limits: worded.limits,
        replaces: worded.replaces.clone(),
        lot: None,
    }
}

/// The lots a reading must name: `lot.J` and `heat.J` of a traceable joint J.
fn lot_ask(job: &JobFile, reading: &str) -> Option<LotAsk> {
    let (what, id) = reading.split_once('.')?;
    let joint = job.joint.iter().find(|j| j.traceable && j.id.value.0 == id)?;
    let words = |list: &[&Option<Located<Text>>]| {
        let mut found: Vec<String> = Vec::new();
        for word in list.iter().filter_map(|t| t.as_ref()).map(|t| t.value.0.clone()) {
            if !found.contains(&word) {
                found.push(word);
            }
        }
        found
    };
    match what {
        "lot" => Some(LotAsk { kind: "filler".to_owned(), designations: words(&[&joint.filler]) }),
        "heat" => Some(LotAsk {
            kind: "metal".to_owned(),
            designations: words(&[&joint.steel, &joint.other_steel]),
        }),
        _ => None,
    }
}

/// Everything a revision is frozen with. `document` is what is printed.
///
/// # Errors
/// If the page can't be typeset.
pub fn content(plan: &Plan<'_>, shelf: &Shelf, document: &Document) -> Result<(Content, usize), Failure> {
    let rendered = crate::render::pdf(document, &crate::app::issue::attachments(plan))
        .map_err(|e| Failure::System(e.to_string()))?;
    let frozen = frozen(plan, document);
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
            let figures = crate::procedure::figures::JobFigures::default();
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
    let document = compose(planned, shelf)?;
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
    let again = plan(&now, shelf)?;
    let (document, _) = typeset(&again, shelf)?;
    let fresh = frozen(&again, &document);
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
