//! Freezing: what was issued is stored whole, so that later edits of the job,
//! the procedures or the program never change it.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

pub use super::content::Content;
use super::content::{manifest, pretty};
use super::desk::{self, Actor, log_failure};
use super::files::RecordHost;
use super::folder::TRAVELERS;
use super::pin::{Door, Known, of_book};
use super::stored::{FORM, PAPER, PLAN, WORK_PAPERS, load, need, store};
use super::tries::Counted;
use super::{folder as places, journal, key_name, refused, register, shelf, system};
use crate::app::compose::{FIGURES, attachments, compose};
use crate::app::paper_set;
use crate::app::plan::{Failure, Loaded, Plan, Shelf, SourceText, plan as planned_job};
use crate::diagnostic::{Diagnostic, Report, Severity};
use crate::file::{FileName, Located};
use crate::job::JobFile;
use crate::job::model::{Act, End, HoldRule, Role, Verb};
use crate::plan;
use crate::quantity::Quantity;
use crate::record::entry::{Action, By, Issue};
use crate::record::frozen::{
    Choice, Derived, Limits, LotAsk, Name, Near, Operation, Point, RULES, Reading, Sheet, Step, Usual,
};
use crate::record::journal::Journal;
use crate::record::log::{New, Told};
use crate::record::order::Order;
use crate::record::people::Signer;
use crate::record::rules::Scene;
use crate::record::{Frozen, Log, state};
use crate::render::Marks;
use crate::term::{Level, Moment, shell};
use crate::traveler::document::Document;

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
        identification: plan.identification.clone(),
        meter: plan.meter.clone(),
        units: plan.units,
        due: plan.due.map(|d| d.to_string()),
        digest: digest.to_owned(),
        operations: now.into_iter().chain(later).map(|o| operation(o, &plan.operations)).collect(),
        rules: RULES,
        order: Order::default(),
        sheets: plan
            .sheets
            .iter()
            .map(|sheet| Sheet {
                name: sheet.name.clone(),
                title: sheet.title.clone(),
                digest: sheet.digest.clone(),
                operations: plan
                    .operations
                    .iter()
                    .filter(|o| plan.sheets_of(o).any(|s| s.name == sheet.name))
                    .map(|o| o.key.clone())
                    .collect(),
            })
            .collect(),
    }
}

fn operation(plan: &plan::Operation, all: &[plan::Operation]) -> Operation {
    let point = |p: &plan::Point| point(p, plan, all);
    Operation {
        key: plan.key.clone(),
        id: plan.id.clone(),
        number: plan.number,
        verb: plan.verb.word().to_owned(),
        title: plan.title.clone(),
        station: plan.station.word().to_owned(),
        role: plan.role.map_or("", |r| r.word()).to_owned(),
        minutes: Some(plan.minutes),
        deferred: plan.deferred,
        acts: plan.acts.clone(),
        joints: plan.joints.iter().map(|j| j.id.clone()).collect(),
        wps: plan.joints.iter().filter_map(|j| j.wps.clone()).collect(),
        welds: plan.joints.iter().map(|j| (j.id.clone(), j.asked.clone())).collect(),
        fasteners: plan.fasteners.clone(),
        builds_on: plan.builds_on.clone(),
        follows: plan.follows.clone(),
        lets_go: plan.lets_go,
        by_signature: plan.by_signature,
        before: plan.before.iter().map(point).collect(),
        steps: plan.steps.iter().map(step).collect(),
        after: plan.after.iter().map(point).collect(),
    }
}

/// What works on a joint so that its acceptance no longer speaks of it.
const WORKS_ON: &[Act] = &[Act::Arc, Act::Tack, Act::Heat, Act::Grind, Act::CutPermanent];

fn point(plan: &plan::Point, own: &plan::Operation, all: &[plan::Operation]) -> Point {
    let accepts = plan.rule.as_deref() == Some(HoldRule::Acceptance.word());
    let joined = |o: &&plan::Operation| plan.joints.iter().any(|j| o.works_on(j));
    let on: Vec<&plan::Operation> =
        all.iter().filter(|o| accepts && o.key != own.key).filter(joined).collect();
    let works = |o: &&&plan::Operation| o.acts.iter().any(|a| WORKS_ON.iter().any(|w| w.word() == a));
    let keys = |list: &mut dyn Iterator<Item = &&plan::Operation>| list.map(|o| o.key.clone()).collect();
    Point {
        slot: plan.slot.clone(),
        number: plan.number.clone(),
        kind: plan.kind,
        roles: plan.roles.iter().map(|r| r.word().to_owned()).collect(),
        what: plan.what.clone(),
        meaning: plan.meaning.clone(),
        rule: plan.rule.clone(),
        rests_on: plan.rests_on.operations.clone(),
        worked_by: keys(&mut on.iter().filter(works)),
        concerns: keys(&mut on.iter()),
        receives: if receives(plan, own) {
            all.iter().filter(|o| !o.deferred && safety(o)).map(|o| o.key.clone()).collect()
        } else {
            Vec::new()
        },
    }
}

/// Whether the customer signs there that the unit was received.
fn receives(point: &plan::Point, own: &plan::Operation) -> bool {
    let hands_over = own.lets_go || own.verb == Verb::HandOver;
    hands_over && point.moment == Moment::After && point.roles.contains(&Role::Customer)
}

/// Whether safety hangs on a step of an operation.
fn safety(operation: &plan::Operation) -> bool {
    operation.steps.iter().any(|step| step.level == Level::Safety)
}

fn step(plan: &plan::Step) -> Step {
    Step {
        number: plan.number,
        text: plan.text.text(),
        level: Some(plan.level),
        by: plan.by.map(|r| r.word().to_owned()),
        readings: plan.readings.iter().map(reading).collect(),
        derived: plan
            .derived
            .iter()
            .map(|d| Derived {
                id: d.id.clone(),
                label: d.label.clone(),
                of: d.of.iter().map(name).collect(),
                take: d.take,
                factor: d.factor,
                least: d.least,
                most: d.most,
                shows: d.shows.clone(),
                as_planned: d.as_planned,
            })
            .collect(),
    }
}

fn name((operation, reading): &(String, String)) -> Name {
    Name { operation: operation.clone(), reading: reading.clone() }
}

/// The limits of a reading; one that has to agree with a figure has the figure's
/// among them, and the strictest counts.
fn limits(plan: &plan::Reading) -> Option<Limits> {
    let aim = plan.aim?;
    let near = plan.near.as_ref().and_then(|n| Some((n.value?.si(), n.within.si())));
    let pick = |own: Option<Quantity>, figure: Option<f64>, stricter: fn(f64, f64) -> f64| {
        let figure = figure.map(|f| own.map_or(f, |o| stricter(o.si(), f)));
        figure.map(|v| Quantity::from_si(aim.kind, v)).or(own)
    };
    Some(Limits {
        kind: aim.kind,
        target: aim.target(),
        lower: pick(aim.lower(), near.map(|(v, w)| v - w), f64::max),
        upper: pick(aim.upper(), near.map(|(v, w)| v + w), f64::min),
    })
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
        limits: limits(plan),
        level: Some(plan.level),
        choices: plan
            .choices
            .iter()
            .map(|c| Choice {
                word: c.word.clone(),
                does: c.does,
                unlike: c.unlike,
                tests: c.tests.clone(),
                paper: c.paper,
            })
            .collect(),
        apart: plan.apart,
        near: plan.near.as_ref().and_then(|n| Some(Near { to: name(n.reading.as_ref()?), within: n.within })),
        not_below: plan.not_below.iter().map(name).collect(),
        expected: plan.expected,
        usual: plan.usual.map(|(least, most)| Usual { least, most }),
        after_arc: plan.after_arc,
        since_arc: plan.since_arc,
        dated: plan.dated,
        never_negative: plan.never_negative,
        shows: plan.shows.clone(),
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
/// If the page can't be typeset, or a part can't be written.
pub fn content(plan: &Plan<'_>, stock: &Shelf, document: &Document) -> Result<(Content, usize), Failure> {
    let frozen = frozen(&plan.resolved, &plan.digest());
    let marks = Marks::new(&frozen.number, &frozen.revision, &frozen.digest);
    let set = paper_set::set(document, || attachments(plan), Some((&marks, &frozen)))?;
    let form = set.form.as_ref().ok_or_else(|| Failure::System("the boxes have no names".to_owned()))?;
    let mut files: BTreeMap<String, Vec<u8>> = BTreeMap::new();
    files.insert("job.toml".to_owned(), plan.loaded.source.text.clone().into_bytes());
    for one in set.sources.iter().filter(|one| one.name == FIGURES) {
        files.insert(FIGURES.to_owned(), one.bytes.to_vec());
    }
    files.insert(PLAN.to_owned(), pretty(&frozen)?);
    files.insert("document.json".to_owned(), pretty(document)?);
    files.insert(FORM.to_owned(), pretty(form)?);
    files.insert("procedures.json".to_owned(), shelf::write(plan, stock)?);
    files.insert(PAPER.to_owned(), set.bench.bytes);
    files.insert(WORK_PAPERS.to_owned(), set.papers.bytes);
    let manifest = manifest(&frozen.number, &frozen.revision, &files);
    Ok((Content { files, manifest, plan: frozen }, set.bench.pages))
}

/// What a stored job leaves out that is asked for today, as it was taken in its day:
/// the axle that steers was the front one.
fn of_its_day(job: &mut JobFile) {
    for axle in job.axle.iter_mut().filter(|a| a.end.is_none() && !a.is_trailer()) {
        let value = if axle.steered { End::Front } else { End::Rear };
        axle.end = Some(Located { value, span: axle.id.span.clone(), key: axle.id.key.clone() });
    }
}

/// A job from its text, under another revision letter. One that was issued, on
/// a shelf kept with its traveler, was sound by the rules of its day.
///
/// # Errors
/// If it has errors, or can't be read at all.
pub(super) fn job(
    shelf: &Shelf,
    name: &str,
    text: &str,
    revision: &str,
) -> Result<(JobFile, SourceText, Report), Failure> {
    let (job, mut report) = crate::job::load(name, text);
    if shelf.shop.kept && job.is_some() {
        report.problems.retain(|p| p.severity != Severity::Error);
    }
    let source = SourceText { name: name.to_owned(), text: text.to_owned() };
    match job {
        Some(mut job) if !report.has_errors() => {
            if shelf.shop.kept {
                of_its_day(&mut job);
            }
            job.job.revision = FileName::of(revision).ok_or_else(|| {
                refused(Diagnostic::error("L005", format!("\"{revision}\" is no letter of a revision")))
            })?;
            Ok((job, source, report))
        }
        _ => Err(Failure::Refused(report, vec![source])),
    }
}

/// A job from its text, under another revision letter, computed with the
/// preferences of the shop book.
///
/// # Errors
/// If it has errors.
pub fn loaded(shelf: &Shelf, name: &str, text: &str, revision: &str) -> Result<Loaded, Failure> {
    let (job, source, report) = job(shelf, name, text, revision)?;
    Ok(Loaded::of(Path::new(name), source, job, report, &shelf.shop))
}

/// What starting or reprinting a record gave.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Started {
    /// The traveler's folder.
    pub folder: PathBuf,
    /// The traveler as issued.
    pub bytes: Vec<u8>,
    /// The work papers that belong to it; travelers issued before there were any
    /// have none.
    pub papers: Option<Vec<u8>>,
    /// Revision in force.
    pub revision: String,
    /// Pages, when it was typeset now.
    pub pages: usize,
    /// True when the record was there and the stored bytes were given.
    pub reprinted: bool,
    /// Sentences a person should read.
    pub warnings: Vec<String>,
    /// Whether its folder of travelers was begun with it: then nobody here knows whether
    /// the number was issued elsewhere.
    pub first: bool,
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
    if host.clock_is_set() && !planned.loaded.job.job.invented {
        return Err(refused(super::desk::set_clock()));
    }
    let at = actor.map_or_else(|| host.now(), |a| a.at);
    crate::record::rules::time(&at, &host.now()).map_err(refused)?;
    key_name::agrees(host, &shelf.shop, planned.loaded)?;
    let number = planned.loaded.job.job.number.value.to_string();
    let journal = journal::place(host, folder);
    let seen = journal::read(host, &journal)?;
    // A number the journal knows had a log before.
    journal::stand_by(&seen, &number, &[])?;
    let (by, person) = issuer(planned, shelf, actor, at.date_naive())?;
    let clock = host.now();
    let book = (!shelf.shop.demo).then(|| PathBuf::from(&shelf.shop.source.name));
    alone(host, planned, shelf, folder, &seen)?;
    let known = Known::of(&[], &seen);
    let counted = Counted::of(host, book.as_deref(), (&journal, &seen))?;
    let identified = Door { book, clock, issued: None, known, counted }.identify(&person, pin)?;
    let document = compose(planned);
    let (content, pages) = content(planned, shelf, &document)?;
    let bytes = need(&content.files, PAPER)?.to_vec();
    let papers = content.files.get(WORK_PAPERS).cloned();
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
        told: Told { clock: Some(clock), identified: Some(identified), ..Told::default() },
        corrects: None,
        what: Action::Issued {
            issue: Issue {
                content: content.digest(),
                made_by: Some(super::whole::maker()),
                number: content.plan.number.clone(),
                pins: if shelf.shop.demo { BTreeMap::new() } else { of_book(&shelf.shop.book) },
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
        papers,
        revision: content.plan.revision,
        pages,
        reprinted: false,
        warnings: appended.warnings,
        first: seen.travelers().is_empty(),
    })
}

/// Whether nobody here knows the number that is issued, or one that reads the same: not
/// the folder of travelers and its journal, not the folders beside the shop book, beside
/// the job and here.
fn alone(
    host: &dyn RecordHost,
    planned: &Plan<'_>,
    shelf: &Shelf,
    folder: &Path,
    journal: &Journal,
) -> Result<(), Failure> {
    let read = crate::term::name::read;
    let number = planned.loaded.job.job.number.value.to_string();
    let parent = host.absolute(folder).parent().map(Path::to_owned).unwrap_or_default();
    let known = journal.travelers().into_iter().map(str::to_owned).chain(desk::numbers(host, &parent));
    if let Some(other) = known.into_iter().find(|other| *other != number && read(other) == read(&number)) {
        let place = &planned.loaded.job.job.number;
        let mut report = Report::new();
        report.push(
            Diagnostic::error("L009", format!("{number} reads the same as {other}, which was issued"))
                .at(Some(place.span.clone()))
                .key(place.key.clone())
                .rule("one number, one traveler")
                .expected("a number nobody takes for another one")
                .help(format!(
                    "if it is that traveler: number = \"{other}\", then tackwright revise {} --by LEAD --reason \"…\"",
                    shell::word(&planned.loaded.path)
                )),
        );
        return Err(Failure::Refused(report, vec![planned.loaded.source.clone()]));
    }
    let beside = |path: &Path| Some(host.absolute(path).parent()?.join(TRAVELERS));
    let book = (!shelf.shop.demo && !shelf.shop.absent).then(|| Path::new(&shelf.shop.source.name));
    let places = book.into_iter().chain([planned.loaded.path.as_path()]).filter_map(beside);
    let here = [TRAVELERS, "jobs/travelers"].map(|p| host.absolute(Path::new(p)));
    for place in places.chain(here).filter(|place| host.real(place) != host.real(&parent)) {
        // A log that was begun and never written to is no traveler.
        let begun = |f: PathBuf| {
            host.exists(&places::log(&f)) && desk::look(host, &f).is_ok_and(|chain| !chain.entries.is_empty())
        };
        let is_there = places::traveler(&place, &number).is_some_and(begun);
        let path = place.join(journal::JOURNAL);
        let noted = || journal::read(host, &path).is_ok_and(|j| j.travelers().contains(&number.as_str()));
        if is_there || noted() {
            return Err(refused(
                Diagnostic::error(
                    "L011",
                    format!("{number} was issued before: its record is in {}", place.display()),
                )
                .rule("one number, one traveler")
                .expected("one record for one number, wherever its paper is written")
                .help(format!(
                    "the same paper once more: tackwright issue {} --out FOLDER --travelers {}",
                    shell::word(&planned.loaded.path),
                    shell::word(&place)
                ))
                .help("a copy that starts no record: --draft"),
            ));
        }
    }
    Ok(())
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
    let scene = Scene { plan: &plan, state: &state, entries: &[], register: &register, day, at: None };
    let leads = |id: &str| {
        let person = scene.person(id)?;
        scene.role(person, lead).map(|_| (desk::by(person, lead), person.clone()))
    };
    if let Some(actor) = actor.filter(|a| !a.id.is_empty()) {
        return leads(&actor.id).map_err(refused);
    }
    let own = job.person.iter().map(|p| &*p.id.0);
    own.chain(register.people.iter().map(|p| p.id.as_str())).find_map(|id| leads(id).ok()).ok_or_else(|| {
        refused(
            Diagnostic::error("L107", "nobody may issue this: neither the job nor the shop book has a lead")
                .rule("known people only")
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
    // Nothing is laid out: the resolved plan is what was issued.
    let fresh = if *planned.loaded.job.job.revision == *revision {
        frozen(&planned.resolved, &planned.digest())
    } else {
        let now = loaded(shelf, &planned.loaded.source.name, &planned.loaded.source.text, revision)?;
        let again = planned_job(&now, shelf)?;
        frozen(&again.resolved, &again.digest())
    };
    let same_job = stored.files.get("job.toml").is_some_and(|b| *b == planned.loaded.source.text.as_bytes());
    // A PIN or a certificate entered since is no other content: the operations
    // decide.
    // How a sheet is drawn is the program's; what it is drawn from is the job's.
    let fresh = Frozen { digest: stored.plan.digest.clone(), sheets: stored.plan.sheets.clone(), ..fresh };
    if !same_job || fresh != stored.plan {
        let what = if same_job { "the procedures changed" } else { "the job file changed" };
        return Err(refused(
            Diagnostic::error(
                "L010",
                format!("{} rev {revision} was issued with other content: {what} since", stored.plan.number),
            )
            .rule("what was issued does not change")
            .help(format!(
                "issue the next revision: tackwright revise {} --by LEAD --reason \"…\"",
                shell::word(&planned.loaded.path)
            ))
            .help("or look at a draft that starts no record: tackwright issue JOB --draft"),
        ));
    }
    Ok(Started {
        folder: folder.to_owned(),
        bytes: need(&stored.files, PAPER)?.to_vec(),
        papers: stored.files.get(WORK_PAPERS).cloned(),
        revision: revision.to_owned(),
        pages: 0,
        reprinted: true,
        warnings: Vec::new(),
        first: false,
    })
}
