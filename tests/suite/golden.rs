//! Every demonstration job, issued again: the same document, the same bytes.
//!
//! What a page says is compared as text with `tests/golden/<job>.txt`, so that a
//! change can be read as a difference.

use std::fmt::Write as _;
use std::path::{Path, PathBuf};

use crate::support::golden;
use tackwright::app::System;
use tackwright::app::issue::{compose, typeset};
use tackwright::app::plan::{Shelf, load, plan, shelf};
use tackwright::traveler::document::{Document, Operation, Point, Reading};

fn root() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR"))
}

/// Job files of the demonstration: those with a `[job]` section.
pub(crate) fn jobs() -> Vec<PathBuf> {
    let mut found: Vec<PathBuf> = std::fs::read_dir(root().join("jobs"))
        .expect("the folder of jobs")
        .map(|e| e.expect("an entry").path())
        .filter(|p| p.extension().is_some_and(|e| e == "toml"))
        .filter(|p| std::fs::read_to_string(p).expect("a text").contains("\n[job]"))
        .collect();
    found.sort();
    assert!(found.len() >= 4, "at least four demonstration jobs, found {}", found.len());
    found
}

fn library() -> Shelf {
    shelf(&System, None).expect("the procedures that ship load")
}

fn document(job: &Path, shelf: &Shelf) -> Document {
    let loaded = load(&System, job, shelf).unwrap_or_else(|e| panic!("{}: {e:?}", job.display()));
    let plan = plan(&loaded, shelf).unwrap_or_else(|e| panic!("{}: {e:?}", job.display()));
    compose(&plan)
}

fn reading(out: &mut String, reading: &Reading) {
    let parts = [&reading.target, &reading.tolerance, &reading.instrument];
    let parts: Vec<&str> = parts.into_iter().flatten().map(String::as_str).collect();
    let _ = writeln!(out, "    [{}] {}: {}", reading.id, reading.label, parts.join(" | "));
}

fn point(out: &mut String, point: &Point) {
    let _ = writeln!(out, "  == {} {}: {}", point.number, point.who, point.what.text());
}

fn operation(out: &mut String, operation: &Operation) {
    let _ = writeln!(
        out,
        "{} {} {} [{}] {} {}",
        operation.number, operation.verb, operation.title, operation.id, operation.station, operation.time
    );
    operation.before.iter().for_each(|p| point(out, p));
    for caution in &operation.cautions {
        let _ = writeln!(out, "  ! {:?} {}", caution.signal, caution.hazard);
    }
    for step in &operation.steps {
        let _ = writeln!(out, "  {}. {}", step.number, step.text.text());
        step.readings.iter().for_each(|r| reading(out, r));
    }
    operation.after.iter().for_each(|p| point(out, p));
}

/// A document as lines of text.
fn dump(document: &Document) -> String {
    let mut out = String::new();
    let _ = writeln!(
        out,
        "{} rev {}: {}",
        document.running.number, document.running.revision, document.running.work
    );
    for words in &document.head.scope {
        let _ = writeln!(out, "scope: {}", words.text());
    }
    for blank in &document.head.blanks {
        let _ = writeln!(out, "blank: {}", blank.text());
    }
    if let Some(geometry) = &document.geometry {
        for row in &geometry.rows {
            let cell = |c: &Option<String>| c.clone().unwrap_or_else(|| "-".to_owned());
            let side = row.side.clone().unwrap_or_default();
            let _ = writeln!(
                out,
                "row: {} {side} | {} | {} | {}",
                row.what,
                cell(&row.found),
                cell(&row.planned),
                cell(&row.tolerance)
            );
        }
    }
    document.operations.iter().chain(&document.after_hand_over).for_each(|o| operation(&mut out, o));
    for weld in &document.welds {
        let _ = writeln!(out, "weld {} {}: {}", weld.id, weld.title, weld.symbol);
        for fact in &weld.facts {
            let _ =
                writeln!(out, "    {}: {}", fact.label, fact.value.clone().unwrap_or_else(|| "-".to_owned()));
        }
    }
    for torque in &document.torques {
        let _ = writeln!(
            out,
            "torque {}: {:?} {:?} {:?} from {}",
            torque.id, torque.torque, torque.range, torque.stages, torque.source
        );
    }
    out
}

#[test]
fn every_demonstration_job_says_what_it_said() {
    let shelf = library();
    for job in jobs() {
        let name = job.file_stem().expect("a name").to_string_lossy().into_owned();
        let text = dump(&document(&job, &shelf));
        assert!(text.lines().count() > 40, "{name}: the dump is nearly empty");
        golden::compare(&format!("{name}.txt"), &text);
    }
}

#[test]
fn the_same_job_gives_the_same_bytes() {
    let shelf = library();
    for job in jobs() {
        let make = || {
            let loaded = load(&System, &job, &shelf).expect("a sound job");
            let plan = plan(&loaded, &shelf).expect("a plan");
            typeset(&plan).expect("typeset").1
        };
        let (first, second) = (make(), make());
        assert!(first.warnings.is_empty(), "{}: {:?}", job.display(), first.warnings);
        assert!(first.bytes == second.bytes, "{} differs from itself", job.display());
    }
}

#[test]
fn no_golden_is_left_over() {
    let jobs = jobs();
    let stems = jobs.iter().map(|j| j.file_stem().expect("a name").to_string_lossy().into_owned());
    let names: Vec<String> = stems.chain(["figures".to_owned()]).map(|stem| format!("{stem}.txt")).collect();
    for entry in std::fs::read_dir(root().join("tests/golden")).expect("the folder of goldens") {
        let name = entry.expect("an entry").file_name().to_string_lossy().into_owned();
        assert!(names.contains(&name), "no test compares with tests/golden/{name}");
    }
}
