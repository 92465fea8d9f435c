//! The job file: what a shop lead writes, read, located and cross-checked.

pub mod check;
pub mod measured;
pub mod model;
pub mod schema;
mod stated;

pub use model::JobFile;
pub use stated::stated;

use crate::diagnostic::Report;
use crate::file::{self, Field};

/// Reads a job file: its content, if it can be used at all, and every problem.
#[must_use]
pub fn load(file: &str, text: &str) -> (Option<JobFile>, Report) {
    let (job, mut report) = file::parse(file, text, |node, reader| {
        let job = JobFile::read(node, reader);
        file::plausible::walk(node, check::bounds::BOUNDS, reader);
        job
    });
    if let Some(job) = &job {
        report.extend(check::all(job));
    }
    report.sort();
    (job, report)
}
