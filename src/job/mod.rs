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

use std::collections::BTreeSet;

use crate::diagnostic::{Diagnostic, Report, Severity, Span};
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
        firm(file, text, &report, &mut found);
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

/// Codes of a value that stands in doubt by itself, whatever else the job says.
const DOUBTS: &[&str] = &["J101", "J106", "J107", "J228"];

/// Keeps of the cross-checks what does not hang on a value that is doubted already: a
/// tube of 32 in is one slip, and no U-bolt is to be bent to it.
fn firm(file: &str, text: &str, told: &Report, found: &mut Report) {
    let doubts = |p: &&Diagnostic| {
        matches!(p.severity, Severity::Error | Severity::Stop) && DOUBTS.contains(&p.code)
    };
    let doubted = told.problems.iter().filter(doubts).filter_map(|p| p.span.as_ref());
    let doubted: BTreeSet<usize> = doubted.map(|span| span.range.start).collect();
    if doubted.is_empty() {
        return;
    }
    let (without, _) = file::parse_without(file, text, doubted, JobFile::read);
    let Some(kept) = without.map(|job| check::all(&job)) else { return };
    found.problems.retain(|p| {
        kept.problems.iter().any(|k| (k.code, &k.key, &k.message) == (p.code, &p.key, &p.message))
    });
}
