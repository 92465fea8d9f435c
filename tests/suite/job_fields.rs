//! Every field a new job file asks for reaches a figure or the paper: each value
//! is changed by itself, and something must come out different.

use tackwright::app::blank::{self, Wish};
use tackwright::app::compose::compose;
use tackwright::app::plan::{Shelf, load, plan};

use super::blank_jobs::filled;
use super::support::desk::{Desk, shipped};

/// Shown figures and, if wanted, the whole document of a job text. None where
/// the change made the job invalid: a value that is refused is read.
fn outcome(text: &str, shelf: &Shelf, paper: bool) -> Option<String> {
    let desk = Desk::with("job.toml", text);
    let loaded = load(&desk, "job.toml".as_ref(), shelf).ok()?;
    let mut said: Vec<String> = loaded
        .figures
        .rows
        .iter()
        .map(|r| format!("{:?} {} {:?}", r.owner, r.name, r.figure.value))
        .collect();
    said.extend(loaded.figures.concerns.iter().map(|c| c.text.clone()));
    if paper {
        let planned = plan(&loaded, shelf).ok()?;
        let document = compose(&planned);
        let mut json = serde_json::to_value(&document).unwrap();
        // The digest is over the text itself and would always differ.
        strip(&mut json);
        said.push(json.to_string());
    }
    Some(said.join("\n"))
}

/// Takes out every text that looks like a digest.
fn strip(json: &mut serde_json::Value) {
    match json {
        serde_json::Value::String(text) => {
            let hex = |c: char| c.is_ascii_hexdigit();
            *text = text
                .split(' ')
                .filter(|w| !(w.len() >= 8 && w.trim_matches('…').chars().all(hex)))
                .collect::<Vec<_>>()
                .join(" ");
        }
        serde_json::Value::Array(items) => items.iter_mut().for_each(strip),
        serde_json::Value::Object(map) => map.values_mut().for_each(strip),
        _ => {}
    }
}

/// A value of the same kind that is a little larger, or much smaller.
fn changed(value: &str, larger: bool) -> Option<String> {
    let start = value.find(|c: char| c.is_ascii_digit())?;
    let number: String = value[start..].chars().take_while(|c| c.is_ascii_digit() || *c == '.').collect();
    let rest = &value[start + number.len()..];
    // Fractions and dates are left to the words beside them.
    let bumped = if !larger {
        format!("{:.4}", number.parse::<f64>().ok()? * 0.4)
    } else if number.contains('.') {
        format!("{:.4}", number.parse::<f64>().ok()? * 1.13 + 0.011)
    } else {
        (number.parse::<u64>().ok()? + 1).to_string()
    };
    Some(format!("{}{bumped}{rest}", &value[..start]))
}

#[test]
fn every_asked_field_reaches_a_figure_or_the_paper() {
    let shelf = shipped();
    let mut unused = Vec::new();
    let mut tried = 0;
    for wish in [
        vec!["spring-over", "knuckle-reindex", "shackle-move", "linkage"],
        vec!["spring-pack", "axle-position"],
        vec!["driveshaft"],
        vec!["trailer-springs"],
        vec!["weldment"],
    ] {
        let kinds: Vec<String> = wish.iter().map(|w| (*w).to_owned()).collect();
        let text = filled(&blank::job_file(&shelf.library, &kinds, &Wish::default()).unwrap());
        let figures = outcome(&text, &shelf, false).expect("the examples are a job");
        let mut paper: Option<String> = None;
        let mut heading = String::new();
        let lines: Vec<&str> = text.lines().collect();
        for (index, line) in lines.iter().enumerate() {
            if line.starts_with('[') {
                heading = (*line).to_owned();
            }
            let Some((key, value)) = line.split_once(" = ").filter(|_| !line.starts_with('#')) else {
                continue;
            };
            // Names other lines refer to, and words out of a list.
            if matches!(key, "id" | "on" | "axle" | "procedure" | "use" | "revision" | "date" | "due") {
                continue;
            }
            let worded = value.starts_with('"') && !value.contains("over") && !value.contains("under");
            let tries: Vec<String> = match (changed(value, true), changed(value, false)) {
                (None, None) if worded => vec![format!("{}x\"", value.trim_end_matches('"'))],
                (larger, smaller) => larger.into_iter().chain(smaller).collect(),
            };
            if tries.is_empty() {
                continue;
            }
            tried += 1;
            let mut moved = false;
            for paper_too in [false, true] {
                for new in &tries {
                    let line = format!("{key} = {new}");
                    let mut edited = lines.clone();
                    edited[index] = &line;
                    let edited = edited.join("\n") + "\n";
                    let after = outcome(&edited, &shelf, paper_too);
                    moved |= if paper_too {
                        let before =
                            paper.get_or_insert_with(|| outcome(&text, &shelf, true).expect("a traveler"));
                        after.is_none_or(|after| after != *before)
                    } else {
                        after.is_none_or(|after| after != figures)
                    };
                    if moved {
                        break;
                    }
                }
                if moved {
                    break;
                }
            }
            if !moved {
                unused.push(format!("{wish:?} {heading} {line}"));
            }
        }
    }
    assert!(tried > 150, "only {tried} fields were tried");
    assert!(unused.is_empty(), "{} fields change nothing: {unused:#?}", unused.len());
}

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
        let listed = value["type"] == "array";
        let plain = if listed && value["items"].is_object() { &value["items"] } else { value };
        let quote = |word: &str| {
            let text = format!("\"{word}\"");
            if listed { format!("[{text}]") } else { text }
        };
        let tries = match (&plain["enum"], plain["type"].as_str()) {
            (serde_json::Value::Array(words), _) => {
                words.iter().filter_map(|w| w.as_str()).map(quote).collect()
            }
            (_, Some("boolean")) => vec!["true".to_owned(), "false".to_owned()],
            (_, Some("integer")) => vec!["7".to_owned(), "4".to_owned()],
            _ => {
                let example = value["examples"][0].as_str().or(plain["examples"][0].as_str()).unwrap_or("x1");
                if example.starts_with('[') {
                    vec![example.to_owned()]
                } else {
                    let other = changed(example, true).unwrap_or_else(|| format!("{example}x"));
                    vec![quote(example), quote(&other)]
                }
            }
        };
        into.push(Taken { table: table.to_owned(), key: key.clone(), tries });
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

[[operation.reading]]
id = "gap"
label = "largest gap"
kind = "length"
most = "1/16 in"

[[found]]
what = "Old gusset under the left pad, cracked at the toe"
date = 2026-03-02

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

#[test]
fn every_key_the_job_file_takes_reaches_a_figure_or_the_paper() {
    let shelf = shipped();
    let read = |name: &str| {
        std::fs::read_to_string(format!("{}/jobs/{name}.toml", env!("CARGO_MANIFEST_DIR"))).unwrap()
    };
    let texts = [
        format!("{}{MORE}", read("brush-truck")),
        read("crew-cab"),
        read("hoist-frame"),
        read("forest-carrier"),
        read("pump-trailer"),
    ];
    let mut keys = Vec::new();
    taken(&tackwright::app::plan::schema(), "", &mut keys);
    assert!(keys.len() > 200, "{}", keys.len());
    let before: Vec<[Option<String>; 2]> =
        texts.iter().map(|text| [outcome(text, &shelf, false), outcome(text, &shelf, true)]).collect();
    for (text, before) in texts.iter().zip(&before) {
        assert!(before.iter().all(Option::is_some), "no job: {}", &text[..200]);
    }
    let (mut unused, mut tried) = (Vec::new(), 0);
    for key in keys.iter().filter(|k| !NAMES.contains(&&*k.key)) {
        let headings = [format!("[{}]", key.table), format!("[[{}]]", key.table)];
        let mut placed = false;
        let moved = texts.iter().zip(&before).any(|(text, before)| {
            let mut lines: Vec<&str> = text.lines().collect();
            let Some(head) = lines.iter().position(|l| headings.iter().any(|h| h == l)) else { return false };
            placed = true;
            let end = (head + 1..lines.len()).find(|i| lines[*i].starts_with('[')).unwrap_or(lines.len());
            let at = (head..end).find(|i| lines[*i].split(" = ").next() == Some(&*key.key));
            key.tries.iter().any(|new| {
                let line = format!("{} = {new}", key.key);
                let mut edited = std::mem::take(&mut lines);
                match at {
                    Some(at) => edited[at] = &line,
                    None => edited.insert(head + 1, &line),
                }
                let edited = edited.join("\n") + "\n";
                lines = text.lines().collect();
                [false, true]
                    .into_iter()
                    .zip(before)
                    .any(|(paper, before)| outcome(&edited, &shelf, paper) != *before)
            })
        });
        tried += usize::from(placed);
        if !placed || !moved {
            unused.push(format!("{} {}{}", key.table, key.key, if placed { "" } else { ": in no job" }));
        }
    }
    assert!(tried > 180, "only {tried} keys were tried");
    assert!(unused.is_empty(), "{} keys change nothing: {unused:#?}", unused.len());
}
