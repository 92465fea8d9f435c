//! Issuing: a plan becomes a PDF with its sources attached.

use std::path::{Path, PathBuf};

pub use super::compose::{attachments, compose, typeset};
use super::host::{Host, There};
use super::output::{self, Over};
use super::paper_set;
use super::plan::{Failure, Shelf, load, plan};
use super::record::RecordHost;
use super::record::desk::{Actor, TRAVELERS};
use super::record::freeze::{self, Started};
use crate::diagnostic::{Diagnostic, Report};
use crate::term::PointKind;

/// Most operations of one traveler. A thousand with all their readings and hold
/// points fill about 1900 pages, and typesetting them takes about 2.6 GB.
const MOST_OPERATIONS: usize = 1000;

/// A traveler that was written.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Issued {
    /// The copy for the bench; the work papers stand beside it.
    pub path: PathBuf,
    /// Number of the traveler.
    pub number: String,
    /// Letter of its revision.
    pub revision: String,
    /// How many pages were written.
    pub pages: usize,
    /// How many operations it has.
    pub operations: usize,
    /// Hold points.
    pub holds: usize,
    /// Warnings and blanks.
    pub report: Report,
    /// The record, unless it is a draft.
    pub record: Option<Started>,
}

/// Where a job's traveler is written when nothing else is said: beside the
/// job, named by number and revision.
#[must_use]
pub fn default_path(job: &Path, number: &str, revision: &str) -> PathBuf {
    job.with_file_name(format!("{number}-{revision}.pdf"))
}

/// Whether a target is a folder: what is there decides; where nothing is, a
/// file is one that ends as a PDF does.
#[must_use]
pub fn is_folder(host: &dyn Host, target: &Path) -> bool {
    match host.there(target) {
        There::Folder => true,
        There::File | There::Other => false,
        There::Nothing => !target.extension().is_some_and(|e| e.eq_ignore_ascii_case("pdf")),
    }
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
    /// PIN of who issues.
    pub pin: Option<String>,
}

/// Issues one job file: freezes it, starts its record, writes the PDF. The
/// same content again gives the same bytes.
///
/// # Errors
/// If the job says no, the number was issued with other content, or a file
/// can't be read or written.
pub fn issue(host: &dyn RecordHost, shelf: &Shelf, job: &Path, order: &Order) -> Result<Issued, Failure> {
    let loaded = load(host, job, shelf)?;
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
    let number = loaded.job.job.number.value.to_string();
    let mut revision = loaded.job.job.revision.to_string();
    // A draft never takes the place of what was issued.
    let mark = if order.draft { "-draft" } else { "" };
    let place = |revision: &str| match order.target.as_deref() {
        Some(target) if is_folder(host, target) => target.join(format!("{number}-{revision}{mark}.pdf")),
        Some(file) => file.to_owned(),
        None => default_path(job, &number, &format!("{revision}{mark}")),
    };
    let over = if order.draft { Over::Draft(&number) } else { Over::Paper(&number) };
    // Before anything is stored.
    output::may_write(host, &place(&revision), over)?;
    output::may_write(host, &paper_set::papers_path(&place(&revision)), over)?;
    let mut record = None;
    let (bytes, papers, pages) = if order.draft {
        let mut document = compose(&plan);
        document.running.stamp = Some(match &document.running.stamp {
            Some(_) => "DEMO · DRAFT".to_owned(),
            None => "DRAFT".to_owned(),
        });
        let set = paper_set::set(&document, || attachments(&plan), None)?;
        (set.bench.bytes, Some(set.papers.bytes), set.bench.pages)
    } else {
        let travelers = order.travelers.clone().unwrap_or_else(|| {
            place(&revision).parent().map_or_else(PathBuf::new, Path::to_owned).join(TRAVELERS)
        });
        let folder = loaded.job.job.number.value.below(&travelers);
        let started = freeze::start(host, &plan, shelf, &folder, order.actor.as_ref(), order.pin.as_deref())?;
        revision.clone_from(&started.revision);
        let bytes = started.bytes.clone();
        let papers = started.papers.clone();
        let pages = started.pages;
        record = Some(started);
        (bytes, papers, pages)
    };
    let path = place(&revision);
    output::may_write(host, &path, over)?;
    if let Some(papers) = papers {
        output::put(host, &paper_set::papers_path(&path), over, &papers)?;
    }
    output::put(host, &path, over, &bytes)?;
    let operations = &plan.resolved.operations;
    let holds = operations.iter().flat_map(|o| o.points()).filter(|p| p.kind == PointKind::Hold);
    Ok(Issued {
        path,
        number,
        revision,
        pages,
        operations: operations.len(),
        holds: holds.count(),
        report: plan.report.clone(),
        record,
    })
}
