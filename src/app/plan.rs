//! From a job file to a plan: read, computed, selected, put in order, checked.

use std::path::{Path, PathBuf};

use sha2::{Digest, Sha256};

use super::host::Host;
use super::shop::{self, ShopBook};
use super::source::Wanted;
use crate::diagnostic::{Diagnostic, Report, Severity, nearest};
use crate::job::{self, JobFile};
use crate::procedure::Library;
use crate::procedure::embedded;
use crate::procedure::figures::{self, JobFigures, Owner};
use crate::procedure::selection::{self, Selection};
use crate::routing::assemble;
use crate::routing::order::{self, Outcome, Route};
use crate::routing::problem::Problem;
use crate::routing::rules::waiver::Waiver;
use crate::routing::rules::{self, Audit};
use crate::shop::fit::Table;

/// A file as it was read, for showing problems in it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SourceText {
    /// Name as the user gave it.
    pub name: String,
    /// Its text.
    pub text: String,
}

/// Why a use case ended without a result.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Failure {
    /// The job says no; the report says why.
    Refused(Report, Vec<SourceText>),
    /// The system failed.
    System(String),
}

/// The library, and the files it was read from.
#[derive(Debug, Clone)]
pub struct Shelf {
    /// Procedures and operations.
    pub library: Library,
    /// Files, for showing problems.
    pub sources: Vec<SourceText>,
    /// What loading reported; free of errors.
    pub report: Report,
    /// The shop book.
    pub shop: ShopBook,
}

/// Loads the procedures that ship with the program, and those of `folder`
/// over them, with the demonstration shop book.
///
/// # Errors
/// If the folder can't be read or a procedure is faulty.
pub fn shelf(host: &dyn Host, folder: Option<&Path>) -> Result<Shelf, Failure> {
    shelf_of(host, folder, shop::book(host, None)?)
}

/// As [`shelf`], with a given shop book: its folder of procedures goes over
/// those that ship, `folder` over both; its point levels are set.
///
/// # Errors
/// If a folder can't be read, or a procedure or a level is faulty.
pub fn shelf_of(host: &dyn Host, folder: Option<&Path>, shop: ShopBook) -> Result<Shelf, Failure> {
    let mut sources: Vec<SourceText> = embedded::FILES
        .iter()
        .map(|(name, text)| SourceText { name: (*name).to_owned(), text: (*text).to_owned() })
        .collect();
    for folder in shop.procedures().into_iter().chain(folder.map(Path::to_owned)) {
        let files =
            host.files(&folder, "toml").map_err(|e| Failure::System(format!("{}: {e}", folder.display())))?;
        for path in files {
            let text = host.read(&path).map_err(|e| Failure::System(format!("{}: {e}", path.display())))?;
            sources.push(SourceText { name: path.display().to_string(), text });
        }
    }
    let (mut library, mut report) = Library::load(sources.iter().map(|s| (s.name.as_str(), s.text.as_str())));
    report.extend(shop.set_levels(&mut library));
    report.extend(shop.report.clone());
    sources.push(shop.source.clone());
    if report.has_errors() {
        return Err(Failure::Refused(report, sources));
    }
    Ok(Shelf { library, sources, report, shop })
}

/// A job file that could be read, with its figures.
#[derive(Debug, Clone)]
pub struct Loaded {
    /// Where it stands.
    pub path: PathBuf,
    /// The file.
    pub source: SourceText,
    /// What it says.
    pub job: JobFile,
    /// What follows from it.
    pub figures: JobFigures,
    /// Everything reported so far: warnings and blanks, no errors.
    pub report: Report,
}

/// Reads a job file and computes its figures.
///
/// # Errors
/// If it can't be read, or it has errors.
pub fn load(host: &dyn Host, path: &Path) -> Result<Loaded, Failure> {
    let source = super::source::read(host, path, Wanted::Job)?;
    let (job, report) = job::load(&source.name, &source.text);
    match job {
        Some(job) if !report.has_errors() => {
            let figures = figures::compute(&job, None);
            Ok(Loaded { path: path.to_owned(), source, job, figures, report })
        }
        _ => Err(Failure::Refused(report, vec![source])),
    }
}

/// A job with its operations in order.
#[derive(Debug, Clone)]
pub struct Plan<'a> {
    /// The job and its figures.
    pub loaded: &'a Loaded,
    /// The library used.
    pub library: &'a Library,
    /// Operations.
    pub selection: Selection<'a>,
    /// What the router was given.
    pub problem: Problem,
    /// The order found.
    pub route: Route,
    /// What the safety rules say.
    pub audit: Audit,
    /// Joints against people, procedures and machines; torques and readings
    /// against tools.
    pub table: Table,
    /// The shop book used.
    pub shop: &'a ShopBook,
    /// Warnings and blanks of the whole way, no errors.
    pub report: Report,
}

/// Plans a loaded job.
///
/// # Errors
/// If a procedure does not fit, no order exists, or a safety rule is broken.
pub fn plan<'a>(loaded: &'a Loaded, shelf: &'a Shelf) -> Result<Plan<'a>, Failure> {
    let mut report = loaded.report.clone();
    let refuse = |mut report: Report| {
        report.sort();
        let mut sources = vec![loaded.source.clone()];
        sources.extend(shelf.sources.iter().cloned());
        Failure::Refused(report, sources)
    };
    let (mut selection, problems) = selection::select(&loaded.job, &shelf.library, &loaded.figures);
    report.extend(problems);
    report.extend(obstacles(loaded));
    report.extend(unknown_rules(&loaded.job, &shelf.shop));
    let table = shop::table(loaded, &selection, &shelf.shop);
    report.extend(shop::problems(loaded, &table, &shelf.shop));
    report.extend(shelf.shop.report.clone());
    if report.has_errors() {
        return Err(refuse(report));
    }
    selection.review(&loaded.job, &shop::reviews(&table));
    let problem = assemble::problem(&selection);
    let outcome = order::find(&problem);
    if let Some(diagnostic) = outcome.diagnostic(&problem) {
        let start = match &outcome {
            Outcome::Impossible(conflict) => conflict.start,
            _ => None,
        };
        let place = start.and_then(|d| {
            let selected = selection.operations.get(d.operation)?;
            selected.asked_at(problem.state_key(d.state), d.must_be)
        });
        report.push(diagnostic.at(place.cloned()));
    }
    let Outcome::Found(route) = outcome else { return Err(refuse(report)) };
    let waivers: Vec<Waiver> = loaded
        .job
        .waiver
        .iter()
        .map(|w| Waiver {
            rule: w.rule.value.0.clone(),
            operation: w.operation.as_ref().map(|o| o.value.0.clone()),
            by: w.by.0.clone(),
            reason: w.reason.0.clone(),
            date: w.date.value.to_string(),
        })
        .collect();
    let audit = rules::check(&problem, &route.order, &shelf.shop.rules(), &waivers);
    for mut found in audit.report().problems {
        if found.span.is_none() {
            found.span = problem.find(&found.key).and_then(|i| selection.operations.get(i)?.place().cloned());
        }
        report.push(found);
    }
    if report.has_errors() {
        return Err(refuse(report));
    }
    for (warning, owners) in loaded.figures.warnings() {
        let owners: Vec<_> = owners.iter().map(Owner::words).collect();
        report.push(Diagnostic::warning("F020", format!("{}: {warning}", owners.join(", "))));
    }
    report.sort();
    Ok(Plan {
        loaded,
        library: &shelf.library,
        selection,
        problem,
        route,
        audit,
        table,
        shop: &shelf.shop,
        report,
    })
}

/// What the figures have against issuing the job, each where its owner stands.
fn obstacles(loaded: &Loaded) -> Report {
    let job = &loaded.job;
    let mut report = Report::new();
    for found in &loaded.figures.obstacles {
        let place = match &found.owner {
            Owner::Component(id) | Owner::Side(id, _) => job
                .axle
                .iter()
                .map(|a| &a.id)
                .chain(job.driveshaft.iter().map(|d| &d.id))
                .chain(job.weldment.iter().map(|w| &w.id))
                .find(|i| i.value.0 == *id),
            Owner::Joint(id) => job.joint.iter().map(|j| &j.id).find(|i| i.value.0 == *id),
            Owner::Fastener(id) => job.fastener.iter().map(|f| &f.id).find(|i| i.value.0 == *id),
        };
        report.push(
            Diagnostic::stop("F021", format!("{}: {}", found.owner.words(), found.why))
                .at(place.map(|p| p.span.clone()))
                .key(place.map_or_else(String::new, |p| p.key.clone()))
                .expected(found.remedy.clone())
                .example(found.remedy.clone()),
        );
    }
    report
}

/// Waivers of rules nobody has: they would waive nothing, unseen.
fn unknown_rules(job: &JobFile, shop: &ShopBook) -> Report {
    let own = shop.rules();
    let names: Vec<&str> =
        rules::RULES.iter().map(|r| r.id).chain(own.iter().map(|r| r.id.as_str())).collect();
    let mut report = Report::new();
    for waiver in job.waiver.iter().filter(|w| !w.rule.value.is_blank()) {
        if names.contains(&&*waiver.rule.value.0) {
            continue;
        }
        let near = nearest(&waiver.rule.value, names.iter().copied());
        let mut problem =
            Diagnostic::error("J211", format!("there is no rule \"{}\" to waive", waiver.rule.value))
                .at(Some(waiver.rule.span.clone()))
                .key(waiver.rule.key.clone())
                .expected(names.join(", "))
                .example(format!("rule = \"{}\"", near.unwrap_or(names[0])))
                .help("`tackwright rules` says what each asks");
        if let Some(near) = near {
            problem = problem.help(format!("did you mean \"{near}\"?"));
        }
        report.push(problem);
    }
    report
}

impl Plan<'_> {
    /// Whether a traveler may be issued from it.
    ///
    /// # Errors
    /// If anything stands against it; the report holds that alone.
    pub fn ready(&self) -> Result<(), Failure> {
        if !self.report.stops() {
            return Ok(());
        }
        let problems = self.report.problems.iter();
        let stops = problems.filter(|p| matches!(p.severity, Severity::Error | Severity::Stop));
        let report = Report { problems: stops.cloned().collect() };
        Err(Failure::Refused(report, vec![self.loaded.source.clone(), self.shop.source.clone()]))
    }

    /// SHA-256 over what decides the traveler: the job's text, the shop book,
    /// the operations' keys in order, and the figures' shown values.
    #[must_use]
    pub fn digest(&self) -> String {
        let mut hash = Sha256::new();
        hash.update(self.loaded.source.text.as_bytes());
        hash.update([2]);
        hash.update(self.shop.source.text.as_bytes());
        for index in &self.route.order {
            if let Some(operation) = self.selection.operations.get(*index) {
                hash.update([0]);
                hash.update(operation.key.as_bytes());
            }
        }
        for row in &self.loaded.figures.rows {
            hash.update([1]);
            hash.update(row.figure.show().as_bytes());
        }
        hash.finalize().iter().map(|b| format!("{b:02x}")).collect()
    }

    /// Number of warnings.
    #[must_use]
    pub fn warnings(&self) -> usize {
        self.report.count(Severity::Warning)
    }
}

/// The JSON Schema of the job file.
#[must_use]
pub fn schema() -> serde_json::Value {
    job::schema::job_schema()
}
