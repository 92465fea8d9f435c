//! Every key the job file takes, not only those a new one asks for, reaches a figure, the
//! plan or the paper, or is told as unused: each is stated by itself, in every table that
//! may have it, until something comes out different.

use std::collections::BTreeSet;
use std::sync::Mutex;

use tackwright::app::compose::compose;
use tackwright::app::plan::{Failure, Ordered, Shelf, load, plan_again};
use tackwright::diagnostic::Report;
use tackwright::plan::Texts;

use super::job_fields::{changed, shown_figures, words_of};
use super::support::desk::{Desk, shipped};

/// A key a table of the job file takes.
struct Taken {
    /// As headings write it: `axle.tube`.
    table: String,
    key: String,
    /// Values to try, as they stand in a file.
    tries: Vec<String>,
}

/// Every key of every table, by the schema.
fn taken(schema: &serde_json::Value, table: &str, into: &mut Vec<Taken>) {
    let Some(properties) = schema["properties"].as_object() else { return };
    for (key, value) in properties {
        let inner = if value["items"]["properties"].is_object() { &value["items"] } else { value };
        if inner["properties"].is_object() {
            let path = if table.is_empty() { key.clone() } else { format!("{table}.{key}") };
            taken(inner, &path, into);
            continue;
        }
        into.push(Taken { table: table.to_owned(), key: key.clone(), tries: tries(value) });
    }
}

/// Values a key may have: every word of a choice, its example and another one like it.
fn tries(value: &serde_json::Value) -> Vec<String> {
    let listed = value["type"] == "array";
    let plain = if listed && value["items"].is_object() { &value["items"] } else { value };
    let quote = |word: &str| {
        let text = format!("\"{word}\"");
        if listed { format!("[{text}]") } else { text }
    };
    match (&plain["enum"], plain["type"].as_str()) {
        (serde_json::Value::Array(words), _) => words.iter().filter_map(|w| w.as_str()).map(quote).collect(),
        (_, Some("boolean")) => vec!["true".to_owned(), "false".to_owned()],
        (_, Some("integer")) => vec!["7".to_owned(), "4".to_owned()],
        _ => {
            let example = value["examples"][0].as_str().or(plain["examples"][0].as_str()).unwrap_or("x1");
            if let Some(words) = example.strip_suffix("\"]") {
                return vec![example.to_owned(), format!("{words}x\"]")];
            }
            let other = changed(example, true).unwrap_or_else(|| format!("{example}x"));
            vec![quote(example), quote(&other)]
        }
    }
}

/// Names other lines refer to, which can't be changed alone, and the reason that only
/// sets a doubt aside (`a_reason_is_told_with_what_it_sets_aside`).
const NAMES: &[&str] =
    &["id", "on", "axle", "procedure", "use", "rule", "operation", "after", "before", "sure"];

/// Tables no demonstration has, on the brush truck.
const MORE: &str = r#"
[[operation]]
id = "look-again"
verb = "inspect"
title = "Look at the bracket"
on = "front"
step = ["Look at the old bracket."]
after = ["inspect-bare"]
hold = "The bracket has no crack."

[[operation.reading]]
id = "gap"
label = "largest gap"
kind = "length"
most = "1/16 in"

[[found]]
what = "Old gusset under the left pad, cracked at the toe"
date = 2026-03-02
disposition = "use as is"
decided = "Lead One: ground flush, no indication"

[[change]]
revision = "A"
date = 2026-03-02
what = "Longer shackles"

[[waiver]]
rule = "weld-holds"
operation = "weld-pads"
by = "Lead One"
reason = "bench work on a stand, nobody under the unit"
date = 2026-03-02

[[sheet]]
id = "stay"
on = "unit"
kind = "cope"
inputs = ["od = 2 in", "on = 4 in", "angle = 45 deg"]
"#;

/// Keys that count only beside another: what stands beside them.
const BESIDE: &[(&str, &str)] = &[
    ("frame.rail_front", "rail_rear = \"25 in\"\nrail_marks = \"95 in\""),
    ("frame.rail_rear", "rail_front = \"25 in\"\nrail_marks = \"95 in\""),
    ("frame.rail_marks", "rail_front = \"25 in\"\nrail_rear = \"24 in\""),
    ("joint.values_from", "cet = \"0.30 %\""),
    ("fastener.values_from", "nut_factor = 0.16"),
];

/// What comes of a text, as far as it had to be asked.
struct Seen {
    figures: String,
    paper: String,
    told: BTreeSet<String>,
    order: Ordered,
}

fn told(report: &Report) -> BTreeSet<String> {
    report.problems.iter().map(|p| format!("{} {} {}", p.code, p.key, p.message)).collect()
}

/// All that comes of a text that is a job.
fn whole(text: &str, shelf: &Shelf) -> Seen {
    let desk = Desk::with("job.toml", text);
    let loaded = load(&desk, "job.toml".as_ref(), shelf).unwrap_or_else(|_| panic!("no job:\n{text}"));
    let planned =
        plan_again(&loaded, shelf, None, Texts::Written).unwrap_or_else(|_| panic!("no plan:\n{text}"));
    Seen {
        figures: shown_figures(&loaded),
        paper: format!("{:?}\n{}", planned.resolved, words_of(&compose(&planned))),
        told: told(&planned.report),
        order: planned.ordered(),
    }
}

/// Whether a text differs from what it was made from, in a figure, the plan, the paper or
/// a message at `key`. What is refused is read.
fn moves(text: &str, before: &Seen, key: &str, shelf: &Shelf) -> bool {
    let at_key = |report: &Report| {
        told(report).difference(&before.told).any(|problem| {
            let place = problem.split(' ').nth(1).unwrap_or_default();
            let at = place.rsplit('.').next().and_then(|last| last.split('[').next()) == Some(key);
            // A word with an underscore is no word of a sentence.
            at || key.contains('_')
                && problem.split(|c: char| !c.is_ascii_lowercase() && c != '_').any(|w| w == key)
        })
    };
    let refused = |failure: Failure| match failure {
        Failure::Refused(report, _) => !told(&report).is_subset(&before.told),
        Failure::System(why) => panic!("the system failed: {why}"),
    };
    let desk = Desk::with("job.toml", text);
    let loaded = match load(&desk, "job.toml".as_ref(), shelf) {
        Ok(loaded) => loaded,
        Err(failure) => return refused(failure),
    };
    if shown_figures(&loaded) != before.figures {
        return true;
    }
    match plan_again(&loaded, shelf, Some(&before.order), Texts::Written) {
        Ok(planned) => {
            at_key(&planned.report)
                || format!("{:?}\n{}", planned.resolved, words_of(&compose(&planned))) != before.paper
        }
        Err(failure) => refused(failure),
    }
}

/// The text with a line in the table that begins at a row, in place of what it says.
fn stated(text: &str, head: usize, key: &str, line: &str) -> String {
    let mut lines: Vec<&str> = text.lines().collect();
    let end = (head + 1..lines.len()).find(|i| lines[*i].starts_with('[')).unwrap_or(lines.len());
    match (head..end).find(|i| lines[*i].split(" = ").next() == Some(key)) {
        Some(at) => {
            // A list may go on below.
            let last = (at..end).find(|i| !lines[at].ends_with('[') || lines[*i] == "]").unwrap_or(at);
            lines.splice(at..=last, [line]);
        }
        None => lines.insert(head + 1, line),
    }
    lines.join("\n") + "\n"
}

/// Rows at which a table of this name begins.
fn heads(text: &str, table: &str) -> Vec<usize> {
    let headings = [format!("[{table}]"), format!("[[{table}]]")];
    let rows = text.lines().enumerate();
    rows.filter(|(_, line)| headings.iter().any(|h| h == line)).map(|(row, _)| row).collect()
}

/// Tables in which a key moves nothing and is not told; none if no job has such a table.
fn unmoved(key: &Taken, texts: &[(String, Seen)], shelf: &Shelf, all: bool) -> Option<Vec<String>> {
    let name = format!("{}.{}", key.table, key.key);
    let beside = BESIDE.iter().find(|(of, _)| *of == name).map(|(_, lines)| *lines);
    let mut dead = Vec::new();
    let mut placed = false;
    for (index, (text, seen)) in texts.iter().enumerate() {
        for head in heads(text, &key.table) {
            placed = true;
            let own;
            let (base, seen) = match beside {
                Some(lines) => {
                    let base = stated(text, head, "", lines);
                    own = (whole(&base, shelf), base);
                    (&own.1, &own.0)
                }
                None => (text, seen),
            };
            let try_one = |new: &String| {
                moves(&stated(base, head, &key.key, &format!("{} = {new}", key.key)), seen, &key.key, shelf)
            };
            if key.tries.iter().any(try_one) {
                if !all {
                    return Some(Vec::new());
                }
            } else {
                dead.push(format!("{name} in job {index}, row {head}"));
            }
        }
    }
    placed.then_some(dead)
}

#[test]
fn every_key_the_job_file_takes_reaches_a_figure_or_the_paper() {
    let shelf = shipped();
    let read = |name: &str| {
        std::fs::read_to_string(format!("{}/jobs/{name}.toml", env!("CARGO_MANIFEST_DIR"))).unwrap()
    };
    let texts = [
        read("forest-carrier"),
        read("pump-trailer"),
        format!("{}{MORE}", read("brush-truck")),
        read("hoist-frame"),
        read("crew-cab"),
    ];
    let texts = texts.map(|text| {
        let seen = whole(&text, &shelf);
        // What differs by nothing that counts moves nothing.
        assert!(!moves(&format!("# a comment\n{text}"), &seen, "comment", &shelf), "{}", &text[..200]);
        (text, seen)
    });
    let mut keys = Vec::new();
    taken(&tackwright::app::plan::schema(), "", &mut keys);
    keys.retain(|key| !NAMES.contains(&&*key.key));
    assert!(keys.len() > 180, "{}", keys.len());
    // Every table of every job, where somebody wants to wait for it.
    let all = std::env::var_os("TACKWRIGHT_EVERY_TABLE").is_some();
    let (left, unused) = (Mutex::new(keys.iter()), Mutex::new(Vec::new()));
    let walk = || {
        loop {
            let next = left.lock().unwrap().next();
            let Some(key) = next else { return };
            match unmoved(key, &texts, &shelf, all) {
                Some(dead) => unused.lock().unwrap().extend(dead),
                None => unused.lock().unwrap().push(format!("{}.{} in no job", key.table, key.key)),
            }
        }
    };
    std::thread::scope(|scope| {
        scope.spawn(walk);
        walk();
    });
    let unused = unused.into_inner().unwrap();
    assert!(unused.is_empty(), "{} keys change nothing: {unused:#?}", unused.len());
}
