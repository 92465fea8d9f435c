//! Issuing: a plan becomes a PDF with its sources attached.

use std::path::{Path, PathBuf};

use super::figures;
use super::plan::{Failure, Plan, Shelf, plan};
use super::record::RecordHost;
use super::record::desk::{Actor, TRAVELERS};
use super::record::freeze::{self, Started};
use super::shop::load_job;
use crate::diagnostic::{Diagnostic, Report};
use crate::procedure::selection::What;
use crate::render::{self, Attachment, Relationship};
use crate::traveler::document::{Document, Operation, PointKind};
use crate::traveler::wording::{Bench, Planned, document};

/// Most operations of one traveler. A thousand with all their readings and hold
/// points fill about 1900 pages, and typesetting them takes about 2.6 GB.
const MOST_OPERATIONS: usize = 1000;

/// A traveler that was written.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Issued {
    /// Where.
    pub path: PathBuf,
    /// Number of the traveler.
    pub number: String,
    /// Its revision.
    pub revision: String,
    /// Pages.
    pub pages: usize,
    /// Operations.
    pub operations: usize,
    /// Hold points.
    pub holds: usize,
    /// Warnings and blanks.
    pub report: Report,
    /// The record, unless it is a draft.
    pub record: Option<Started>,
}

/// The document of a plan.
///
/// # Errors
/// If an operation text can't be written.
pub fn compose(plan: &Plan<'_>, shelf: &Shelf) -> Result<Document, Failure> {
    let digest = plan.digest();
    let (scopes, procedures) = scopes(plan);
    let planned = Planned {
        job: &plan.loaded.job,
        figures: &plan.loaded.figures,
        selection: &plan.selection,
        order: &plan.route.order,
        digest: &digest,
        scopes: &scopes,
        procedures: &procedures,
        shop: Some(Bench { book: &plan.shop.book, table: &plan.table, logo: plan.shop.logo.as_ref() }),
    };
    let (document, report) = document(&planned);
    if report.has_errors() {
        let mut sources = vec![plan.loaded.source.clone()];
        sources.extend(shelf.sources.iter().cloned());
        return Err(Failure::Refused(report, sources));
    }
    Ok(document)
}

/// Scope sentence and title of each procedure, with its first component.
fn scopes(plan: &Plan<'_>) -> (Vec<(String, usize)>, Vec<String>) {
    let mut scopes = Vec::new();
    let mut titles = Vec::new();
    for work in &plan.loaded.job.work {
        let Some(procedure) = plan.library.procedures.get(&work.procedure.value.0) else { continue };
        if !titles.contains(&procedure.title) {
            titles.push(procedure.title.clone());
        }
        let first = plan
            .selection
            .operations
            .iter()
            .filter(|o| {
                matches!(o.what, What::Library(l) if !l.shared) && o.procedures.contains(&procedure.id)
            })
            .find_map(|o| o.components.first());
        let index = plan.loaded.job.components().position(|c| first.is_some_and(|f| f.id() == c.id()));
        if let (Some(scope), Some(index)) = (&procedure.scope, index) {
            scopes.push((scope.value.0.clone(), index));
        }
    }
    (scopes, titles)
}

/// What is attached to a traveler: its job and its figures.
#[must_use]
pub fn attachments(plan: &Plan<'_>) -> Vec<Attachment> {
    let name = plan
        .loaded
        .path
        .file_name()
        .map_or_else(|| "job.toml".to_owned(), |n| n.to_string_lossy().into_owned());
    let figures = serde_json::to_string_pretty(&figures::json(plan.loaded)).unwrap_or_default();
    vec![
        Attachment {
            name,
            bytes: plan.loaded.source.text.clone().into_bytes(),
            mime: "application/toml".to_owned(),
            relationship: Relationship::Source,
            description: "job file this traveler was made from".to_owned(),
        },
        Attachment {
            name: "figures.json".to_owned(),
            bytes: figures.into_bytes(),
            mime: "application/json".to_owned(),
            relationship: Relationship::Data,
            description: "every computed figure with inputs, formula and source".to_owned(),
        },
    ]
}

/// The PDF of a plan: bytes and page count.
///
/// # Errors
/// If a text can't be written or the page can't be typeset.
pub fn typeset(plan: &Plan<'_>, shelf: &Shelf) -> Result<(Document, render::Rendered), Failure> {
    let document = compose(plan, shelf)?;
    let rendered = render::pdf(&document, &attachments(plan)).map_err(|e| Failure::System(e.to_string()))?;
    Ok((document, rendered))
}

/// Where a job's traveler is written when nothing else is said: beside the
/// job, named by number and revision.
#[must_use]
pub fn default_path(job: &Path, number: &str, revision: &str) -> PathBuf {
    job.with_file_name(format!("{number}-{revision}.pdf"))
}

/// How a job is issued.
#[derive(Debug, Clone, Default)]
pub struct Order {
    /// Folder to write to, or the file; beside the job if absent.
    pub target: Option<PathBuf>,
    /// Folder of the records; `travelers` beside the PDF if absent.
    pub travelers: Option<PathBuf>,
    /// A draft: stamped, and no record is started.
    pub draft: bool,
    /// Who issues, and when; the job's first lead and the clock if absent.
    pub actor: Option<Actor>,
}

/// Issues one job file: freezes it, starts its record, writes the PDF. The
/// same content again gives the same bytes.
///
/// # Errors
/// If the job says no, the number was issued with other content, or a file
/// can't be read or written.
pub fn issue(host: &dyn RecordHost, shelf: &Shelf, job: &Path, order: &Order) -> Result<Issued, Failure> {
    let loaded = load_job(host, job, shelf)?;
    let plan = plan(&loaded, shelf)?;
    // A draft shows how far the job is; it starts no work.
    if !order.draft || plan.report.problems.iter().any(|p| p.code == "J006") {
        plan.ready()?;
    }
    let operations = plan.selection.operations.len();
    if operations > MOST_OPERATIONS {
        let mut report = Report::new();
        report.push(
            Diagnostic::error("J208", format!("{operations} operations do not make one traveler"))
                .at(loaded.job.operation.first().map(|o| o.id.span.clone()))
                .key("operation")
                .expected(format!("at most {MOST_OPERATIONS} operations; the rest in jobs of their own"))
                .example("a job for each component"),
        );
        return Err(Failure::Refused(report, vec![loaded.source]));
    }
    let number = loaded.job.job.number.value.0.clone();
    let mut revision = loaded.job.job.revision.0.clone();
    let mut document = compose(&plan, shelf)?;
    // A draft never takes the place of what was issued.
    let mark = if order.draft { "-draft" } else { "" };
    let place = |revision: &str| match order.target.as_deref() {
        Some(folder) if folder.extension().is_none() => folder.join(format!("{number}-{revision}{mark}.pdf")),
        Some(file) => file.to_owned(),
        None => default_path(job, &number, &format!("{revision}{mark}")),
    };
    let mut record = None;
    let (bytes, pages) = if order.draft {
        document.running.stamp = Some(match &document.running.stamp {
            Some(_) => "DEMO · DRAFT".to_owned(),
            None => "DRAFT".to_owned(),
        });
        let rendered =
            render::pdf(&document, &attachments(&plan)).map_err(|e| Failure::System(e.to_string()))?;
        (rendered.bytes, rendered.pages)
    } else {
        let travelers = order.travelers.clone().unwrap_or_else(|| {
            place(&revision).parent().map_or_else(PathBuf::new, Path::to_owned).join(TRAVELERS)
        });
        let started = freeze::start(host, &plan, shelf, &travelers.join(&number), order.actor.as_ref())?;
        revision.clone_from(&started.revision);
        let bytes = started.bytes.clone();
        let pages = started.pages;
        record = Some(started);
        (bytes, pages)
    };
    let path = place(&revision);
    host.write(&path, &bytes).map_err(|e| Failure::System(format!("{}: {e}", path.display())))?;
    let all = || document.operations.iter().chain(&document.after_hand_over);
    let holds = |o: &Operation| o.before.iter().chain(&o.after).filter(|p| p.kind == PointKind::Hold).count();
    Ok(Issued {
        path,
        number,
        revision,
        pages,
        operations: all().count(),
        holds: all().map(holds).sum(),
        report: plan.report.clone(),
        record,
    })
}
