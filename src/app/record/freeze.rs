//! Freezing: what was issued is stored whole, so that later edits of the job,
//! the procedures or the program never change it.

use std::collections::{BTreeMap, BTreeSet};
use std::path::{Path, PathBuf};

use serde_json::{Value as Json, json};

use super::desk::{self, Actor, log_failure};
use super::files::RecordHost;
use super::pin::Door;
use super::stored::{PAPER, PLAN, load, need, store};
use super::{folder as places, journal, refused, register, shelf, system};
use crate::app::issue::{compose, typeset};
use crate::app::plan::{Failure, Loaded, Plan, Shelf, SourceText, plan};
use crate::app::{figures, route};
use crate::diagnostic::Diagnostic;
use crate::file::{FileName, Located, Text};
use crate::job::JobFile;
use crate::procedure::file;
use crate::procedure::selection::What;
use crate::record::entry::{Action, By, Issue, canonical};
use crate::record::frozen::{self, LotAsk, Operation, Point, PointKind, Reading, Step};
use crate::record::log::{New, Told};
use crate::record::people::Signer;
use crate::record::rules::Scene;
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
///
/// # Errors
/// If the value can't be written as JSON.
pub(super) fn pretty(value: &impl serde::Serialize) -> Result<Vec<u8>, Failure> {
    let mut bytes = serde_json::to_vec_pretty(value)
        .map_err(|e| Failure::System(format!("what is to be frozen can't be written: {e}")))?;
    bytes.push(b'\n');
    Ok(bytes)
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
            What::Own(_) => (Vec::new(), None, None),
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
            // Reviews that follow from the shop book stand in no procedure.
            None if worded.kind == document::PointKind::Review => vec!["lead".to_owned()],
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
/// If the page can't be typeset, or a part can't be written.
pub fn content(plan: &Plan<'_>, stock: &Shelf, document: &Document) -> Result<(Content, usize), Failure> {
    let rendered = crate::render::pdf(document, &crate::app::issue::attachments(plan)?)
        .map_err(|e| Failure::System(e.to_string()))?;
    let frozen = frozen(plan, document);
    let mut files: BTreeMap<String, Vec<u8>> = BTreeMap::new();
    files.insert("job.toml".to_owned(), plan.loaded.source.text.clone().into_bytes());
    files.insert("figures.json".to_owned(), pretty(&figures::json(plan.loaded))?);
    files.insert(PLAN.to_owned(), pretty(&frozen)?);
    files.insert("document.json".to_owned(), pretty(document)?);
    files.insert("procedures.json".to_owned(), shelf::write(plan, stock)?);
    files.insert(PAPER.to_owned(), rendered.bytes);
    let manifest = manifest(&frozen.number, &frozen.revision, &files);
    Ok((Content { files, manifest, plan: frozen }, rendered.pages))
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
            job.job.revision = FileName::of(revision).ok_or_else(|| {
                refused(Diagnostic::error("L005", format!("\"{revision}\" is no letter of a revision")))
            })?;
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
    pin: Option<&str>,
) -> Result<Started, Failure> {
    let path = places::log(folder);
    // Only a log that is there is opened: opening makes one, and a refusal below
    // must leave nothing behind.
    if host.exists(&path) {
        let log = Log::open(host.log(&path).map_err(|e| system(&path, e))?);
        let mut log = log.map_err(|e| log_failure(&path, e))?;
        let entries = log.entries().map_err(|e| log_failure(&path, e))?;
        if let Some(issue) = state::issue(&entries) {
            return reprint(host, planned, shelf, folder, issue);
        }
    }
    let at = actor.map_or_else(|| host.now(), |a| a.at);
    crate::record::rules::time(&at, &host.now()).map_err(refused)?;
    let number = planned.loaded.job.job.number.value.to_string();
    let journal = journal::place(host, folder);
    // A number the journal knows had a log before.
    journal::stand_by(host, &journal, &number, &[])?;
    let (by, person) = issuer(planned, shelf, actor, at.date_naive())?;
    let clock = host.now();
    let book = (!shelf.shop.demo).then(|| PathBuf::from(&shelf.shop.source.name));
    let identified = Door { book, clock }.identify(&person, pin)?;
    let document = compose(planned, shelf)?;
    let (content, pages) = content(planned, shelf, &document)?;
    let bytes = need(&content.files, PAPER)?.to_vec();
    places::revision(folder, &content.plan.revision)?;
    let log = Log::open(host.log(&path).map_err(|e| system(&path, e))?);
    let mut log = log.map_err(|e| log_failure(&path, e))?;
    let entries = log.entries().map_err(|e| log_failure(&path, e))?;
    if let Some(issue) = state::issue(&entries) {
        // Somebody else issued it in the meantime.
        return reprint(host, planned, shelf, folder, issue);
    }
    store(host, folder, &content)?;
    let new = New {
        at,
        by,
        told: Told { clock: Some(clock), identified: Some(identified), book: None },
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
    let mut appended = log.append(&new).map_err(|e| log_failure(&path, e))?;
    super::register::note(host, folder, &shelf.shop)?;
    if let Err(failure) = journal::note(&journal, &clock, &number, appended.n, &appended.hash) {
        appended.warnings.push(format!("The journal of the shop was not written: {}", failure.words()));
    }
    Ok(Started {
        folder: folder.to_owned(),
        bytes,
        revision: content.plan.revision,
        pages,
        reprinted: false,
        warnings: appended.warnings,
    })
}

/// Who issues, by the rules of every other entry: the person named, or the first
/// lead of the job or the book who is with the shop.
fn issuer(
    planned: &Plan<'_>,
    shelf: &Shelf,
    actor: Option<&Actor>,
    day: chrono::NaiveDate,
) -> Result<(By, Signer), Failure> {
    let lead = crate::job::model::Role::Lead.word();
    let job = &planned.loaded.job;
    // The demonstration book speaks for no shop.
    let book = (!shelf.shop.demo).then_some(&shelf.shop);
    let register = register::assemble(Some(job), book, day);
    let (plan, state) = (Frozen::default(), state::State::default());
    let scene = Scene { plan: &plan, state: &state, entries: &[], register: &register, day };
    let leads = |id: &str| {
        let person = scene.person(id)?;
        scene.role(person, lead).map(|_| (desk::by(person, lead), person.clone()))
    };
    if let Some(actor) = actor.filter(|a| !a.id.is_empty()) {
        return leads(&actor.id).map_err(refused);
    }
    let own = job.person.iter().map(|p| &*p.id.value.0);
    own.chain(register.people.iter().map(|p| p.id.as_str())).find_map(|id| leads(id).ok()).ok_or_else(|| {
        refused(
            Diagnostic::error("L107", "nobody may issue this: neither the job nor the shop book has a lead")
                .key("rule: known people only")
                .expected("a [[person]] with the role lead")
                .help("enter the lead, or print a copy that starts no record: --draft"),
        )
    })
}

/// The stored bytes, if what would be issued now is what was issued.
fn reprint(
    host: &dyn RecordHost,
    planned: &Plan<'_>,
    shelf: &Shelf,
    folder: &Path,
    issue: &Issue,
) -> Result<Started, Failure> {
    let stored = load(host, folder, issue)?;
    let revision = issue.revision.as_str();
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
        bytes: need(&stored.files, PAPER)?.to_vec(),
        revision: revision.to_owned(),
        pages: 0,
        reprinted: true,
        warnings: Vec::new(),
    })
}
