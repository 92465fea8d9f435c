//! Issuing: a plan becomes a PDF with its sources attached.

use std::path::{Path, PathBuf};

use super::figures;
use super::host::Host;
use super::plan::{Failure, Plan, Shelf, plan};
use super::shop::load_job;
use crate::diagnostic::Report;
use crate::procedure::selection::What;
use crate::render::{self, Attachment, Relationship};
use crate::traveler::build::{Bench, Planned, document};
use crate::traveler::document::{Document, Operation, PointKind};

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

/// The PDF of a plan: bytes and page count.
///
/// # Errors
/// If a text can't be written or the page can't be typeset.
pub fn typeset(plan: &Plan<'_>, shelf: &Shelf) -> Result<(Document, render::Rendered), Failure> {
    let document = compose(plan, shelf)?;
    let name = plan
        .loaded
        .path
        .file_name()
        .map_or_else(|| "job.toml".to_owned(), |n| n.to_string_lossy().into_owned());
    let figures = serde_json::to_string_pretty(&figures::json(plan.loaded)).unwrap_or_default();
    let attachments = [
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
    ];
    let rendered = render::pdf(&document, &attachments).map_err(|e| Failure::System(e.to_string()))?;
    Ok((document, rendered))
}

/// Where a job's traveler is written when nothing else is said: beside the
/// job, named by number and revision.
#[must_use]
pub fn default_path(job: &Path, number: &str, revision: &str) -> PathBuf {
    job.with_file_name(format!("{number}-{revision}.pdf"))
}

/// Issues one job file to `target`, or beside it.
///
/// # Errors
/// If the job says no, or a file can't be read or written.
pub fn issue(host: &dyn Host, shelf: &Shelf, job: &Path, target: Option<&Path>) -> Result<Issued, Failure> {
    let loaded = load_job(host, job, shelf)?;
    let plan = plan(&loaded, shelf)?;
    let (document, rendered) = typeset(&plan, shelf)?;
    let number = loaded.job.job.number.value.0.clone();
    let revision = loaded.job.job.revision.0.clone();
    let path = match target {
        Some(folder) if folder.extension().is_none() => folder.join(format!("{number}-{revision}.pdf")),
        Some(file) => file.to_owned(),
        None => default_path(job, &number, &revision),
    };
    host.write(&path, &rendered.bytes).map_err(|e| Failure::System(format!("{}: {e}", path.display())))?;
    let all = || document.operations.iter().chain(&document.after_hand_over);
    let holds = |o: &Operation| o.before.iter().chain(&o.after).filter(|p| p.kind == PointKind::Hold).count();
    Ok(Issued {
        path,
        number,
        revision,
        pages: rendered.pages,
        operations: all().count(),
        holds: all().map(holds).sum(),
        report: plan.report.clone(),
    })
}
