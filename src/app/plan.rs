//! From a job file to a plan: read, computed, selected, put in order, checked.

use sha2::{Digest, Sha256};

pub use super::failure::{Failure, SourceText};
pub use super::load::{Loaded, load};
pub use super::shelf::{Shelf, shelf, shelf_of};
use super::shop::ShopBook;
use super::template::job as full_size;
use super::unknown;
use crate::diagnostic::{Diagnostic, Report, Severity, Span};
use crate::job::JobFile;
use crate::plan::{self as resolved, Basis, Texts};
use crate::procedure::figures::{JobFigures, Owner};
use crate::procedure::selected::{Selected, Selection, What};
use crate::procedure::selection;
use crate::procedure::{Library, listed};
use crate::routing::assemble;
use crate::routing::order::{self, Outcome, Route};
use crate::routing::placed;
use crate::routing::problem::Problem;
use crate::routing::rules::waiver::Waiver;
use crate::routing::rules::{self, Audit};
use crate::shop::fit::JointFit;
use crate::shop::keep::keep;
use crate::{file, job};

/// A job with its operations in order.
#[derive(Debug, Clone)]
pub struct Plan<'a> {
    /// The job and its figures.
    pub loaded: &'a Loaded,
    /// The library used.
    pub library: &'a Library,
    /// Operations the job takes from the library and adds of its own, not yet in order.
    pub selection: Selection<'a>,
    /// What the router was given.
    pub problem: Problem,
    /// The order found.
    pub route: Route,
    /// What the safety rules say.
    pub audit: Audit,
    /// What the work is, resolved.
    pub resolved: resolved::Plan,
    /// The shop book used.
    pub shop: &'a ShopBook,
    /// What is kept of it with the traveler: the rows the plan used, no PIN.
    pub book: String,
    /// Warnings and blanks of the whole way, no errors.
    pub report: Report,
}

/// An order that was found, for a job that asks for the same one again.
#[derive(Debug, Clone)]
pub struct Ordered {
    problem: Problem,
    route: Route,
    audit: Audit,
}

/// Plans a loaded job.
///
/// # Errors
/// If a procedure does not fit, no order exists, or a safety rule is broken.
pub fn plan<'a>(loaded: &'a Loaded, shelf: &'a Shelf) -> Result<Plan<'a>, Failure> {
    plan_again(loaded, shelf, None, Texts::Written)
}

/// As [`plan`], of a job that was planned before with other values: the same
/// operations with the same states have the same order. Where texts are left out,
/// readings and their limits are the same.
///
/// # Errors
/// As [`plan`].
pub fn plan_again<'a>(
    loaded: &'a Loaded,
    shelf: &'a Shelf,
    before: Option<&Ordered>,
    texts: Texts,
) -> Result<Plan<'a>, Failure> {
    let (job, figures, book) = (&loaded.job, &loaded.figures, &shelf.shop.book);
    let mut told = Told { report: loaded.report.clone(), loaded, shelf };
    let (mut selection, problems) = selection::select(job, &shelf.library, figures);
    told.report.extend(problems);
    let (joints, sources) = resolved::joints(job, figures, book, job.job.date.0);
    told.report.extend(objections(loaded, shelf, &selection, &joints));
    told.report.extend(shelf.shop.report.clone());
    listed::settle_names_first(&mut told.report);
    told.no_errors()?;
    selection.review(job, &resolved::reviews(job, &joints, (&shelf.shop).into()));
    let (problem, outcome) = put_in_order(&mut selection, figures, before);
    told.report.problems.extend(no_order(&selection, &problem, &outcome));
    let Outcome::Found(route) = outcome else { return Err(told.refuse()) };
    let audit = match before.filter(|b| b.problem == problem) {
        Some(before) => before.audit.clone(),
        None => rules::check(&problem, &route.order, &shelf.shop.rules(), &waivers(job)),
    };
    // What was issued was sound by the rules of its day.
    if !shelf.shop.kept {
        told.report.extend(placed::check(&selection, &problem, &route.order));
    }
    told.report.extend(audited(&audit, job, &selection, &problem));
    let basis = Basis {
        job,
        figures,
        library: &shelf.library,
        selection: &selection,
        problem: &problem,
        order: &route.order,
        book,
        joints: &joints,
        sources: &sources,
        texts,
    };
    let (resolved, problems) = resolved::resolve(&basis);
    told.report.extend(problems);
    told.report.extend(staffed(loaded, shelf, &resolved));
    told.no_errors()?;
    told.report.extend(warned(loaded));
    let book = match kept_rows(&shelf.shop, &resolved) {
        Ok(book) => book,
        Err(problem) => {
            told.report.push(problem);
            return Err(told.refuse());
        }
    };
    told.sorted();
    let report = told.report.clone();
    let (library, shop) = (&shelf.library, &shelf.shop);
    let mut plan = Plan { loaded, library, selection, problem, route, audit, resolved, shop, book, report };
    match plan.sheets(texts) {
        Ok(sheets) => plan.resolved.sheets = sheets,
        Err(problems) => {
            told.report.extend(problems);
            return Err(told.refuse());
        }
    }
    Ok(plan)
}

/// What is said of a job while it is planned, and the files that is about.
struct Told<'a> {
    report: Report,
    loaded: &'a Loaded,
    shelf: &'a Shelf,
}

impl Told<'_> {
    fn no_errors(&mut self) -> Result<(), Failure> {
        if self.report.has_errors() { Err(self.refuse()) } else { Ok(()) }
    }

    /// In the order of the file, in the units of the job.
    fn sorted(&mut self) {
        self.report.sort();
        self.report.reword(|text| self.loaded.job.job.units.say(text));
    }

    fn refuse(&mut self) -> Failure {
        self.sorted();
        let report = std::mem::take(&mut self.report);
        let mut sources = vec![self.loaded.source.clone()];
        sources.extend(self.shelf.sources.iter().cloned());
        Failure::Refused(report, sources)
    }
}

/// The operations in order, and what the router was given. What must be settled stands
/// before the first lasting work of the order that was found.
fn put_in_order(
    selection: &mut Selection<'_>,
    figures: &JobFigures,
    before: Option<&Ordered>,
) -> (Problem, Outcome) {
    let find = |problem: &Problem| match before.filter(|b| b.problem == *problem) {
        Some(before) => Outcome::Found(before.route.clone()),
        None => order::find(problem),
    };
    // An order found before is looked at first: a point orders nothing by itself.
    if let Some(before) = before {
        selection.settle(figures, &before.route.order);
    }
    let problem = assemble::problem(selection);
    let outcome = find(&problem);
    match &outcome {
        Outcome::Found(route) if selection.settle(figures, &route.order) => {
            let problem = assemble::problem(selection);
            let outcome = find(&problem);
            (problem, outcome)
        }
        _ => (problem, outcome),
    }
}

/// Why there is no order, at the place in the job that asks for what can't be.
fn no_order(selection: &Selection<'_>, problem: &Problem, outcome: &Outcome) -> Option<Diagnostic> {
    let diagnostic = outcome.diagnostic(problem)?;
    let start = match outcome {
        Outcome::Impossible(conflict) => conflict.start,
        _ => None,
    };
    let place = start.and_then(|d| {
        let selected = selection.operations.get(d.operation)?;
        selected.asked_at(problem.state_key(d.state), d.must_be)
    });
    Some(diagnostic.at(place.cloned()))
}

/// What the safety rules say, each at the waiver or the operation it is about.
fn audited(audit: &Audit, job: &JobFile, selection: &Selection<'_>, problem: &Problem) -> Report {
    let mut report = Report::new();
    for mut found in audit.report().problems {
        if found.code == "R108" && unplaced(selection, &found.key) {
            continue;
        }
        if let Some(waiver) = job.waiver.iter().find(|w| found.key == format!("waiver.{}", w.rule.0)) {
            found = found.at(Some(waiver.rule.span.clone())).key(waiver.rule.key.clone());
        }
        if found.span.is_none() {
            found.span = problem.find(&found.key).and_then(|i| selection.operations.get(i)?.place().cloned());
        }
        report.push(found);
    }
    report
}

/// Whether the shop has the people and the tools the plan asks for.
fn staffed(loaded: &Loaded, shelf: &Shelf, plan: &resolved::Plan) -> Report {
    let (job, shop) = (&loaded.job, &shelf.shop);
    let mut report = Report::new();
    if !shop.kept {
        report.extend(unknown::unmanned(job, &plan.operations, shop));
    }
    if dated(job) && !shop.absent {
        let mut tools = resolved::tool_problems(job, &plan.table.tools, shop.into());
        // What wrench it takes is asked when the torque itself is settled.
        let doubted = doubted_tables(&loaded.report);
        tools.problems.retain(|p| !(p.key.starts_with("fastener[") && doubted.contains(&table(&p.key))));
        report.extend(in_place(loaded, tools));
        report.extend(resolved::role_problems(job, &plan.operations, shop.into()));
    }
    report
}

/// What the figures warn of.
fn warned(loaded: &Loaded) -> Report {
    let mut report = Report::new();
    for (warning, owners) in loaded.figures.warnings() {
        let owners: Vec<_> = owners.iter().map(Owner::words).collect();
        report.push(Diagnostic::warning("F020", format!("{}: {warning}", owners.join(", "))));
    }
    report
}

/// The rows of the shop book a plan uses; a book that was kept with a traveler before stays
/// as it is.
fn kept_rows(shop: &ShopBook, plan: &resolved::Plan) -> Result<String, Diagnostic> {
    match shop.kept {
        true => Ok(shop.source.text.clone()),
        false => keep(&shop.source.name, &shop.source.text, &plan.used),
    }
}

/// What stands against a job before its work is put in order: its figures, names nobody
/// knows, and joints the shop book does not cover.
fn objections(loaded: &Loaded, shelf: &Shelf, selection: &Selection<'_>, joints: &[JointFit]) -> Report {
    let job = &loaded.job;
    let mut said = obstacles(loaded);
    said.extend(unknown::rules_waived(job, &shelf.shop));
    said.extend(unknown::waived_by(job));
    said.extend(unknown::decided(job));
    said.extend(unknown::operations_waived(job, selection));
    said.extend(unknown::parts(job, &shelf.library, &shelf.shop));
    // Tests and calibrations hold on a day: without one nothing is compared.
    if dated(job) {
        let joints = in_place(loaded, resolved::joint_problems(job, joints, (&shelf.shop).into()));
        let doubted = doubted_tables(&loaded.report);
        // A joint with a value that is doubted by itself is compared with procedures, people
        // and machines when that is settled.
        let of_settings = |p: &Diagnostic| matches!(p.code, "S203" | "S204" | "S205" | "S206" | "S211");
        let doubts = |p: &Diagnostic| doubted.contains(&table(&p.key));
        said.problems.extend(joints.problems.into_iter().filter(|p| !(of_settings(p) && doubts(p))));
    }
    if shelf.shop.kept {
        // What was issued was sound by the rules of its day.
        said.problems.retain(|p| p.severity != Severity::Error);
    }
    said
}

/// Whether the job says its day.
fn dated(job: &JobFile) -> bool {
    !job.job.date.value.is_blank()
}

/// The safety rules the job sets aside.
fn waivers(job: &JobFile) -> Vec<Waiver> {
    let waiver = |w: &job::model::Waiver| Waiver {
        rule: w.rule.0.clone(),
        operation: w.operation.as_ref().map(|o| o.0.clone()),
        by: w.by.0.clone(),
        reason: w.reason.0.clone(),
        date: w.date.value.to_string(),
    };
    job.waiver.iter().map(waiver).collect()
}

/// Tables with values that are outside what is usual and nobody is sure of.
fn doubted_tables(report: &Report) -> Vec<&str> {
    report
        .problems
        .iter()
        .filter(|p| p.severity == Severity::Stop && matches!(p.code, "J107" | "J192" | "J254" | "J258"))
        .map(|p| table(&p.key))
        .collect()
}

/// The table a key stands in: `joint[2]` of `joint[2].size`.
fn table(key: &str) -> &str {
    key.split('.').next().unwrap_or_default()
}

/// What the figures have against issuing the job, each where its owner stands.
fn obstacles(loaded: &Loaded) -> Report {
    let job = &loaded.job;
    let mut report = Report::new();
    let doubted = doubted_tables(&loaded.report);
    for found in &loaded.figures.obstacles {
        let place = match &found.owner {
            Owner::Component(id) | Owner::Side(id, _) => job
                .axle
                .iter()
                .map(|a| &a.id)
                .chain(job.driveshaft.iter().map(|d| &d.id))
                .chain(job.weldment.iter().map(|w| &w.id))
                .find(|i| i.0 == *id),
            Owner::Joint(id) => job.joint.iter().map(|j| &j.id).find(|i| i.0 == *id),
            Owner::Fastener(id) => job.fastener.iter().map(|f| &f.id).find(|i| i.0 == *id),
        };
        let owned = place.map_or("", |p| p.key.trim_end_matches(".id"));
        // A result of a value that is doubted itself is told when that one is settled, and
        // so is the wrench for a torque.
        let rests = found.of_result || matches!(found.owner, Owner::Fastener(_));
        if rests && doubted.iter().any(|d| *d == owned || matches!(*d, "unit" | "frame")) {
            continue;
        }
        // A remedy that says what to write says where: `size = "3/16 in"`.
        let writes = found.remedy.split_once(" = ").map(|(key, _)| key);
        let writes = writes.filter(|k| k.chars().all(|c| c.is_ascii_lowercase() || c == '_'));
        let named = if found.key.is_empty() { writes.unwrap_or_default() } else { found.key };
        let key = format!("{owned}.{named}");
        // The value itself, where one is to blame and stands in the file.
        let value =
            file::place_of(&loaded.source.text, &key).map(|range| Span::new(&loaded.source.name, range));
        let (span, key) = match (value, place) {
            (Some(span), _) => (Some(span), key),
            (None, Some(place)) => (Some(place.span.clone()), place.key.clone()),
            (None, None) => (Some(job.job.number.span.clone()), job.job.number.key.clone()),
        };
        report.push(
            Diagnostic::stop("F021", format!("{}: {}", found.owner.words(), found.why))
                .at(span)
                .key(key)
                .expected(found.remedy.clone())
                // What is to be done is no text to write.
                .example(if writes.is_some() { found.remedy.clone() } else { String::new() }),
        );
    }
    report
}

/// What is said of a key that stands in the job stands where its value does.
fn in_place(loaded: &Loaded, mut report: Report) -> Report {
    let keys: Vec<&str> = report.problems.iter().map(|p| p.key.as_str()).collect();
    let places = file::places_of(&loaded.source.text, &keys);
    for (problem, place) in report.problems.iter_mut().zip(places) {
        if let Some(range) = place {
            problem.span = Some(Span::new(&loaded.source.name, range));
        }
    }
    report
}

impl Plan<'_> {
    /// Its order, to be used again.
    #[must_use]
    pub fn ordered(&self) -> Ordered {
        Ordered { problem: self.problem.clone(), route: self.route.clone(), audit: self.audit.clone() }
    }

    /// What its sheets at full size are drawn from.
    #[must_use]
    pub fn carrier(&self) -> full_size::Of<'_> {
        self.carried(self.digest())
    }

    /// Its sheets at full size. Nobody reads a sheet of a plan without texts; it is drawn to
    /// see that it can be.
    fn sheets(&self, texts: Texts) -> Result<Vec<resolved::Sheet>, Report> {
        let digest = match texts {
            Texts::Written => self.digest(),
            Texts::LeftOut => String::new(),
        };
        full_size::listed(&self.carried(digest))
    }

    fn carried(&self, digest: String) -> full_size::Of<'_> {
        full_size::Of { loaded: self.loaded, digest, ready: self.ready().is_ok(), read: String::new() }
    }

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

    /// Values of the job that nothing else proves.
    #[must_use]
    pub fn once(&self) -> Vec<resolved::Once> {
        resolved::once(&self.loaded.job, &self.loaded.figures, &self.resolved.operations)
    }

    /// Line of the job file, from 1, a place is on.
    #[must_use]
    pub fn line(&self, place: &Span) -> usize {
        let text = self.loaded.source.text.get(..place.range.start).unwrap_or_default();
        text.matches('\n').count() + 1
    }

    /// SHA-256 over what decides the traveler: the job's text, what is kept of the
    /// shop book, the operations' keys in order, and the figures' shown values.
    #[must_use]
    pub fn digest(&self) -> String {
        let mut hash = Sha256::new();
        hash.update(self.loaded.source.text.as_bytes());
        hash.update([2]);
        hash.update(self.book.as_bytes());
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
        hex::encode(hash.finalize())
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

/// Whether a key is that of an operation of the job's own that no operation of a procedure is
/// named to come before: no procedure says where it stands, so none says that it crossed a hold.
fn unplaced(selection: &Selection<'_>, key: &str) -> bool {
    let Some(What::Own(own)) = selection.operations.iter().find(|s| s.key == key).map(|s| s.what) else {
        return false;
    };
    let named = |link: &str| {
        let named = |s: &&Selected<'_>| s.id == link || s.key == link;
        selection.operations.iter().find(named).is_some_and(|s| matches!(s.what, What::Library(_)))
    };
    !own.after.iter().any(|link| named(&link.0))
}
