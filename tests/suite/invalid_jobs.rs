//! Faulty job files: every problem is found at once, in its place, with what
//! was expected and a right value to write.
//!
//! The cases in `tests/cases/invalid` say behind `#!` what must be found:
//! severity, code, line and column, key, part of the expectation, part of the
//! example. Nothing else may be found.

use std::collections::BTreeSet;

use serde_json::Value as Json;
use tackwright::app::plan::SourceText;
use tackwright::cli::terminal::report_json;
use tackwright::procedure::{Library, embedded};

use super::support::desk::{check, folder, shipped};

/// One expectation: where and what, then parts of expectation and example.
#[derive(Debug, PartialEq, Eq, PartialOrd, Ord)]
struct Wanted {
    head: String,
    expected: String,
    example: String,
}

fn wanted(text: &str) -> Vec<Wanted> {
    let lines = text.lines().filter_map(|l| l.strip_prefix("#! "));
    lines
        .map(|line| {
            let parts: Vec<_> = line.split(" | ").map(str::trim).collect();
            let [head, expected, example] = parts.as_slice() else { panic!("unreadable: {line}") };
            Wanted { head: (*head).into(), expected: (*expected).into(), example: (*example).into() }
        })
        .collect()
}

fn text<'a>(problem: &'a Json, key: &str) -> &'a str {
    problem[key].as_str().unwrap()
}

fn head(problem: &Json) -> String {
    let place = &problem["place"];
    let key = text(problem, "key");
    format!(
        "{} {} {}:{} {}",
        &text(problem, "severity")[..1],
        text(problem, "code"),
        place["line"],
        place["column"],
        if key.is_empty() { "-" } else { key }
    )
}

/// Compares what was found with what must be found, both ways.
fn compare(name: &str, file: &str, source: &str, problems: &[Json]) {
    let wanted = wanted(source);
    assert!(!wanted.is_empty(), "{name} expects nothing");
    let heads: Vec<String> = problems.iter().map(head).collect();
    for problem in problems {
        assert_eq!(text(&problem["place"], "file"), file, "{name}: {problem}");
        let found = wanted.iter().find(|w| w.head == head(problem));
        let found = found.unwrap_or_else(|| panic!("{name}: not expected: {}", head(problem)));
        assert!(!text(problem, "message").is_empty());
        assert!(text(problem, "expected").contains(&found.expected), "{name}: {found:?}\n{problem:#}");
        assert!(text(problem, "example").contains(&found.example), "{name}: {found:?}\n{problem:#}");
        assert!(!found.expected.is_empty() && !found.example.is_empty(), "{name}: {found:?}");
    }
    for wanted in &wanted {
        assert!(heads.contains(&wanted.head), "{name}: not found: {}", wanted.head);
    }
}

#[test]
fn every_problem_of_a_job_file_is_found_in_its_place() {
    let shelf = shipped();
    let cases = folder("tests/cases/invalid", "toml");
    assert!(cases.len() >= 4);
    for (name, source) in cases {
        let file = format!("{name}.toml");
        let (sound, problems) = check(&file, &source, &shelf);
        assert!(!sound, "{name} is taken as sound");
        compare(&name, &file, &source, &problems);
    }
}

#[test]
fn every_problem_of_a_procedure_file_is_found_in_its_place() {
    for (name, source) in folder("tests/cases/invalid/procedures", "toml") {
        let file = format!("{name}.toml");
        let shipped = embedded::FILES.iter().copied();
        let (library, report) = Library::load(shipped.chain([(file.as_str(), source.as_str())]));
        let sources = [SourceText { name: file.clone(), text: source.clone() }];
        let mut problems: Vec<Json> = report_json(&report, &sources).as_array().unwrap().clone();
        if problems.is_empty() {
            // A fault that shows only when a job asks for the procedure.
            let job = format!(
                "[job]\nnumber = \"T-1\"\ntitle = \"t\"\ndate = 2026-03-02\n[unit]\nname = \"u\"\n\
                 [[axle]]\nid = \"front\"\nend = \"front\"\n[[work]]\nprocedure = \"{name}\"\n"
            );
            let (job, _) = tackwright::job::load("job.toml", &job);
            let job = job.unwrap();
            let figures = tackwright::procedure::figures::compute(&job, None);
            let (_, report) = tackwright::procedure::selection::select(&job, &library, &figures);
            problems = report_json(&report, &sources).as_array().unwrap().clone();
        }
        compare(&name, &file, &source, &problems);
    }
}

#[test]
fn a_likely_slip_of_the_fingers_is_named() {
    let shelf = shipped();
    let (_, source) =
        folder("tests/cases/invalid", "toml").into_iter().find(|(n, _)| n == "reading").unwrap();
    let (_, problems) = check("reading.toml", &source, &shelf);
    for (key, near) in [
        ("job.papr", "paper"),
        ("axle[0].drivn", "driven"),
        ("axle[0].tube.wal", "wall"),
        ("fasteners", "fastener"),
    ] {
        let problem = problems.iter().find(|p| p["key"] == key).unwrap();
        assert_eq!(problem["help"][0], format!("did you mean \"{near}\"?"));
    }
}

/// Codes named in the source of a folder.
fn codes(folder: &std::path::Path, into: &mut BTreeSet<String>) {
    for entry in std::fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        if path.is_dir() {
            codes(&path, into);
            continue;
        }
        let text = std::fs::read_to_string(&path).unwrap();
        into.extend(quoted(&text));
    }
}

/// Codes a source names.
fn quoted(text: &str) -> BTreeSet<String> {
    let code = |piece: &&str| {
        piece.len() == 4
            && piece.starts_with(['J', 'Q', 'P'])
            && piece[1..].chars().all(|c| c.is_ascii_digit())
    };
    text.split('"').filter(code).map(str::to_owned).collect()
}

#[test]
fn every_code_has_a_case() {
    let root = std::path::Path::new(env!("CARGO_MANIFEST_DIR"));
    let mut all = BTreeSet::new();
    codes(&root.join("src/job"), &mut all);
    codes(&root.join("src/procedure"), &mut all);
    assert!(all.len() > 40, "{all:?}");
    let cases = folder("tests/cases/invalid", "toml");
    let more = folder("tests/cases/invalid/procedures", "toml");
    let seen: BTreeSet<String> = cases
        .iter()
        .chain(&more)
        .flat_map(|(_, text)| wanted(text))
        .filter_map(|w| w.head.split(' ').nth(1).map(str::to_owned))
        .collect();
    // A file too large to be kept as a case, which `hostile_jobs` writes; and what only
    // a whole job gets wrong, which `ready` writes, one slip each.
    let mut elsewhere = BTreeSet::from(["J001".to_owned()]);
    elsewhere.extend(quoted(include_str!("ready.rs")));
    elsewhere.extend(quoted(include_str!("ready_parts.rs")));
    elsewhere.extend(quoted(include_str!("ready_places.rs")));
    elsewhere.extend(quoted(include_str!("work_under_weight.rs")));
    elsewhere.extend(quoted(include_str!("job_trades.rs")));
    elsewhere.extend(quoted(include_str!("../cases/one_wrong_thing.toml")));
    let without: Vec<_> = all.difference(&seen).filter(|c| !elsewhere.contains(*c)).collect();
    assert!(without.is_empty(), "codes without a case: {without:?}");
}
