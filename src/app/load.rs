//! A job file, read and computed.

use std::path::{Path, PathBuf};

use super::failure::{Failure, SourceText};
use super::host::Host;
use super::shelf::Shelf;
use super::shop::ShopBook;
use crate::diagnostic::Report;
use crate::job::{self, JobFile};
use crate::procedure::figures::{self, JobFigures};
use crate::procedure::selection;

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

impl Loaded {
    /// A job, settled and computed with the preferences of a shop book.
    #[must_use]
    pub fn of(path: &Path, source: SourceText, mut job: JobFile, report: Report, shop: &ShopBook) -> Self {
        shop.settle(&mut job, &source.text);
        let figures = figures::compute_to(&job, shop.finest());
        Self { path: path.to_owned(), source, job, figures, report }
    }
}

/// Reads a job file and computes its figures, with the preferences of the
/// shelf's book.
///
/// # Errors
/// If it can't be read, or it has errors; what the library has to say against a
/// faulty file (a procedure nobody knows, a component of the wrong kind) stands
/// in the same report.
pub fn load(host: &dyn Host, path: &Path, shelf: &Shelf) -> Result<Loaded, Failure> {
    let name = path.display().to_string();
    let text = host.read(path).map_err(|e| Failure::System(format!("{name}: {e}")))?;
    let (job, mut report) = job::load(&name, &text);
    let source = SourceText { name, text };
    match job {
        Some(job) if !report.has_errors() => Ok(Loaded::of(path, source, job, report, &shelf.shop)),
        job => {
            if let Some(job) = job {
                let figures = figures::compute(&job);
                report.extend(selection::select(&job, &shelf.library, &figures).1);
                report.sort();
            }
            Err(Failure::Refused(report, vec![source]))
        }
    }
}
