//! The job file: what a shop lead writes, read, located and cross-checked.

pub mod check;
mod followed;
pub mod measured;
pub mod model;
mod said;
mod same;
pub mod schema;
mod stated;

pub use followed::Judge;
pub use model::JobFile;
pub use said::Said;
pub use same::same_work;
pub use stated::stated;

use std::collections::BTreeSet;

use crate::diagnostic::{Diagnostic, Report, Severity, Span};
use crate::file::{self, Field};

/// Reads a job file: its content, if it can be used at all, and every problem.
#[must_use]
pub fn load(file: &str, text: &str) -> (Option<JobFile>, Report) {
    load_judged(file, text, &|_| Vec::new())
}

/// As [`load`]; what is proposed holds before a further judge as well, such as the figures.
#[must_use]
pub fn load_judged(file: &str, text: &str, judge: Judge<'_>) -> (Option<JobFile>, Report) {
    let (job, mut report) = checked(file, text);
    followed::follow(file, text, judge, &mut report);
    (job, report)
}

/// A job file read and checked, its proposals as each check makes them.
fn checked(file: &str, text: &str) -> (Option<JobFile>, Report) {
    let (job, mut report) = file::parse(file, text, |node, reader| {
        let job = JobFile::read(node, reader);
        file::plausible::walk(node, check::bounds::BOUNDS, reader);
        file::mixed::walk(node, check::bounds::BOUNDS, reader);
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
    in_its_words(text, &mut report);
    report.sort();
    (job, report)
}

/// Says what is missing or open with the names of the file, not with those of an example:
/// a component it has, an id it has not.
fn in_its_words(text: &str, report: &mut Report) {
    let named = |key: &str, tables: &[&str]| file::names_under(text, tables, key);
    for problem in &mut report.problems {
        let key = file::last(&problem.key).to_owned();
        let missing = problem.code == "J004";
        match key.as_str() {
            "on" if missing => {
                let components = named("id", &["axle", "driveshaft", "weldment"]);
                let first = components.first().map_or("unit", String::as_str);
                problem.example = format!("on = \"{first}\"");
            }
            "id" if missing => {
                let table = problem.key.split('[').next().unwrap_or_default();
                let taken = named("id", &[table]);
                let Some(example) = problem.example.split('"').nth(1) else { continue };
                if taken.iter().any(|t| t == example) || !example.ends_with(|c: char| c.is_ascii_digit()) {
                    let stem = example.trim_end_matches(|c: char| c.is_ascii_digit());
                    let free = (1..).map(|n| format!("{stem}{n}")).find(|id| !taken.contains(id));
                    let new = example != stem;
                    problem.example = match free.filter(|_| new) {
                        Some(id) => format!("id = \"{id}\""),
                        None => "id = \"…\"".to_owned(),
                    };
                }
            }
            "title" | "name" if missing => problem.example = format!("{key} = \"…\""),
            "acceptance" if problem.code == "J015" && problem.example.contains(" or ") => problem.help.push(
                "cyclic limits are for loads that repeat: springs, steering, brakes, what is driven; static \
                 ones for what only bears"
                    .to_owned(),
            ),
            _ => {}
        }
    }
}

/// Keeps of the cross-checks what does not hang on a value that is doubted already: a
/// tube of 32 in is one slip, and no U-bolt is to be bent to it.
fn firm(file: &str, text: &str, told: &Report, found: &mut Report) {
    // Outside what is usual or possible, a limit of error too wide, ends of a range crossed,
    // one of two units.
    let doubts = |p: &&Diagnostic| {
        matches!(p.severity, Severity::Error | Severity::Stop)
            && matches!(p.code, "J101" | "J106" | "J107" | "J228" | "J258")
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
