//! The job file: what a shop lead writes, read, located and cross-checked.

pub mod check;
pub mod measured;
pub mod model;
mod same;
pub mod schema;
mod stated;

pub use model::JobFile;
pub use same::same_work;
pub use stated::stated;

use crate::diagnostic::{Report, Span};
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
        let mut found = check::all(job);
        // What is said of a key that stands in the file stands where its value does.
        let keys: Vec<&str> = found.problems.iter().map(|p| p.key.as_str()).collect();
        let places = file::places_of(text, &keys);
        for (problem, place) in found.problems.iter_mut().zip(places) {
            if let Some(range) = place {
                problem.span = Some(Span::new(file, range));
            }
        }
        report.extend(found);
    }
    report.sort();
    (job, report)
}
