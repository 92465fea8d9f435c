//! What a message says to write can be written: every key it names is one the files
//! have, and a proposal that is followed mends what it is made for.
//!
//! Slips are own examples of what is written in a hurry.

use std::collections::BTreeSet;
use std::path::{Path, PathBuf};

use tackwright::diagnostic::{Diagnostic, Severity};
use tackwright::{app, job, shop};

use super::support::bench::Bench;

fn read(path: &str) -> String {
    let path = format!("{}/{path}", env!("CARGO_MANIFEST_DIR"));
    std::fs::read_to_string(&path).unwrap_or_else(|e| panic!("{path}: {e}"))
}

fn sources(folder: &Path, found: &mut Vec<PathBuf>) {
    for entry in std::fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        if path.is_dir() {
            sources(&path, found);
        } else if path.extension().is_some_and(|e| e == "rs") {
            found.push(path);
        }
    }
}

/// Every key of the job file and the shop book, by their schemas.
fn schema_keys(schema: &serde_json::Value, into: &mut BTreeSet<String>) {
    match schema {
        serde_json::Value::Object(map) => {
            if let Some(serde_json::Value::Object(properties)) = map.get("properties") {
                into.extend(properties.keys().cloned());
            }
            map.values().for_each(|v| schema_keys(v, into));
        }
        serde_json::Value::Array(items) => items.iter().for_each(|v| schema_keys(v, into)),
        _ => {}
    }
}

/// Keys declared by the records of a source: `required id:`, `optional usage as "use":`.
fn declared(text: &str, into: &mut BTreeSet<String>) {
    for line in text.lines().map(str::trim) {
        let Some((mode, rest)) = line.split_once(' ') else { continue };
        if matches!(mode, "required" | "optional" | "many" | "default") {
            let name = rest.split([':', ' ']).next().unwrap_or_default();
            let written = rest.split(" as \"").nth(1).and_then(|w| w.split('"').next());
            into.insert(written.unwrap_or(name).to_owned());
        }
    }
}

fn keys() -> BTreeSet<String> {
    let mut keys = BTreeSet::new();
    schema_keys(&app::plan::schema(), &mut keys);
    schema_keys(&shop::schema(), &mut keys);
    assert!(keys.len() > 250, "{}", keys.len());
    let mut files = Vec::new();
    for folder in ["src/procedure", "src/routing"] {
        sources(&Path::new(env!("CARGO_MANIFEST_DIR")).join(folder), &mut files);
    }
    for file in files {
        declared(&std::fs::read_to_string(file).unwrap(), &mut keys);
    }
    keys
}

/// Texts in quotes of a source, without its comments and its own tests.
fn literals(text: &str) -> Vec<String> {
    let text = text.split("#[cfg(test)]").next().unwrap_or_default();
    let mut found = Vec::new();
    let mut chars = text.chars().peekable();
    while let Some(c) = chars.next() {
        match c {
            '/' if chars.peek() == Some(&'/') => {
                for c in chars.by_ref() {
                    if c == '\n' {
                        break;
                    }
                }
            }
            // A character, not a lifetime.
            '\'' => {
                let mut ahead = chars.clone();
                let first = ahead.next();
                let closes = if first == Some('\\') { ahead.nth(1) } else { ahead.next() };
                if closes == Some('\'') {
                    chars = ahead;
                }
            }
            '"' => {
                let mut literal = String::new();
                while let Some(c) = chars.next() {
                    match c {
                        '\\' => literal.extend(chars.next().filter(|c| *c == '"')),
                        '"' => break,
                        c => literal.push(c),
                    }
                }
                found.push(literal);
            }
            _ => {}
        }
    }
    found
}

/// Words of a text that stand where a key stands: before ` = `, and those with an
/// underscore among words.
fn named(text: &str) -> Vec<String> {
    let letter = |c: char| c.is_ascii_lowercase() || c == '_';
    let mut found = Vec::new();
    let parts: Vec<&str> = text.split(' ').collect();
    for (at, part) in parts.iter().enumerate() {
        let word = part.trim_matches(|c: char| matches!(c, '(' | ')' | '`' | ',' | ';' | ':' | '.' | '['));
        let stops = part.ends_with('.');
        if stops || !word.starts_with(|c: char| c.is_ascii_lowercase()) || !word.chars().all(letter) {
            continue;
        }
        let key = parts.get(at + 1) == Some(&"=") && parts.len() > at + 2;
        if key || word.contains('_') && parts.len() > 1 {
            found.push(word.to_owned());
        }
    }
    found
}

/// What reads like a key and is none: the coverage factor, and figures in formulas.
const NO_KEY: &[&str] = &["k", "key"];

#[test]
fn every_key_a_message_names_is_one_the_files_have() {
    let keys = keys();
    let figures: BTreeSet<String> = {
        let mut names = BTreeSet::new();
        let catalogue = read("src/procedure/catalogue.rs");
        for line in catalogue.lines().map(str::trim) {
            names.extend(line.split_once(':').map(|(name, _)| name.to_owned()));
        }
        names
    };
    let mut files = Vec::new();
    for folder in ["file", "job", "shop", "plan", "procedure", "routing", "app"] {
        sources(&Path::new(env!("CARGO_MANIFEST_DIR")).join("src").join(folder), &mut files);
    }
    let (mut wrong, mut seen) = (Vec::new(), 0);
    for file in files {
        let text = std::fs::read_to_string(&file).unwrap();
        for literal in literals(&text) {
            for word in named(&literal) {
                seen += 1;
                if !keys.contains(&word) && !figures.contains(&word) && !NO_KEY.contains(&&*word) {
                    wrong.push(format!("{}: {word} in {literal:?}", file.display()));
                }
            }
        }
    }
    assert!(seen > 150, "only {seen} keys were found in the messages");
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

/// The lines a proposal asks for, if it is whole: `key = value`, several joined by `and`.
fn lines(example: &str) -> Option<Vec<(String, String)>> {
    if example.contains('…') {
        return None;
    }
    let mut all = Vec::new();
    for part in example.split(" and ") {
        let (key, value) = part.split_once(" = ")?;
        let plain = key.chars().all(|c| c.is_ascii_lowercase() || c == '_');
        let whole = value.starts_with('"') && value.ends_with('"') && value.matches('"').count() == 2;
        let bare = value.chars().all(|c| c.is_ascii_alphanumeric() || matches!(c, '.' | '-'));
        if !plain || !(whole || bare) {
            return None;
        }
        all.push((key.to_owned(), value.to_owned()));
    }
    Some(all)
}

/// The text with the lines put into the table of a key that stands at a byte.
fn followed(text: &str, at: usize, key: &str, put: &[(String, String)]) -> String {
    let mut rows: Vec<String> = text.lines().map(str::to_owned).collect();
    let line = text[..at.min(text.len())].matches('\n').count();
    let head = (0..=line).rev().find(|i| rows[*i].starts_with('[')).unwrap_or(0);
    // What is missing of a table below stands at the one above it.
    let table: Vec<&str> = key.split('.').map(|p| p.split('[').next().unwrap_or(p)).collect();
    let heading = format!("[{}]", table[..table.len() - 1].join("."));
    let head = (head..rows.len()).find(|i| rows[*i] == heading).unwrap_or(head);
    let end = (head + 1..rows.len()).find(|i| rows[*i].starts_with('[')).unwrap_or(rows.len());
    let mut more = Vec::new();
    for (key, value) in put {
        let row = format!("{key} = {value}");
        match (head..end).find(|i| rows[*i].split(" = ").next() == Some(key)) {
            Some(at) => rows[at] = row,
            None => more.push(row),
        }
    }
    for row in more {
        rows.insert(head + 1, row);
    }
    rows.join("\n") + "\n"
}

fn stops(text: &str) -> Vec<Diagnostic> {
    let (_, report) = job::load("job.toml", text);
    report.problems.into_iter().filter(|p| matches!(p.severity, Severity::Error | Severity::Stop)).collect()
}

#[test]
fn a_proposal_that_is_followed_mends_what_it_is_made_for() {
    let rows: toml::Table = read("tests/cases/one_wrong_thing.toml").parse().unwrap();
    let (mut wrong, mut tried) = (Vec::new(), 0);
    for row in rows["row"].as_array().unwrap() {
        let [name, from, to] = ["job", "from", "to"].map(|k| row[k].as_str().unwrap());
        let text = read(&format!("jobs/{name}.toml")).replacen(from, to, 1);
        for problem in stops(&text) {
            let Some(span) = &problem.span else { continue };
            // Each of the ways that are named mends it.
            for put in problem.example.split(" or ").filter_map(lines) {
                tried += 1;
                let after = stops(&followed(&text, span.range.start, &problem.key, &put));
                if after.iter().any(|p| (p.code, &p.key) == (problem.code, &problem.key)) {
                    wrong.push(format!(
                        "{name}: {to:?}: {} {}: {}",
                        problem.code, problem.key, problem.example
                    ));
                }
            }
        }
    }
    assert!(tried > 60, "only {tried} proposals were whole");
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn values_in_each_others_place_are_told_as_swapped() {
    let text = read("jobs/brush-truck.toml");
    let shaft = read("jobs/crew-cab.toml");
    for (text, from, to, key, write) in [
        (
            &text,
            "volts = \"20 V\"\namps = \"190 A\"",
            "volts = \"160 V\"\namps = \"22 A\"",
            "joint[0].volts",
            "volts = \"22 V\" and amps = \"160 A\"",
        ),
        (
            &text,
            "volts = \"20 V\"\namps = \"190 A\"",
            "volts = \"100 V\"\namps = \"22 A\"",
            "joint[0].volts",
            "volts = \"22 V\" and amps = \"100 A\"",
        ),
        (
            &text,
            "od = \"3.25 in ± 0.004 in\"\nwall = \"0.281 in\"",
            "od = \"0.281 in\"\nwall = \"3.25 in\"",
            "axle[0].tube.od",
            "od = \"3.25 in\" and wall = \"0.281 in\"",
        ),
        (
            &text,
            "case_forward = \"33-1/2 in\"\ncase_up = \"6 in\"",
            "case_forward = \"6 in\"\ncase_up = \"33-1/2 in\"",
            "axle[0].pinion.case_up",
            "case_forward = \"33-1/2 in\" and case_up = \"6 in\"",
        ),
        (
            &text,
            "travel = \"8.2 in/min\"",
            "travel = \"320 in/min\"",
            "joint[0].travel",
            "travel = \"32 in/min\"",
        ),
        (
            &text,
            "preheat = \"250 degF\"\ninterpass_max = \"400 degF\"",
            "preheat = \"400 degF\"\ninterpass_max = \"250 degF\"",
            "joint[1].interpass_max",
            "preheat = \"250 °F\" and interpass_max = \"400 °F\"",
        ),
        (
            &text,
            "date = 2026-03-02\ndue = 2026-03-20",
            "date = 2026-03-20\ndue = 2026-03-02",
            "job.due",
            "due = 2026-04-02 or due = 2026-03-20",
        ),
        (
            &text,
            "process = \"GMAW\"\nfiller = \"ER70S-6\"",
            "process = \"ER70S-6\"\nfiller = \"GMAW\"",
            "joint[0].process",
            "process = \"GMAW\" and filler = \"ER70S-6\"",
        ),
        (
            &text,
            "thread = \"9/16-18 UNF\"\ngrade = \"SAE J429 8\"",
            "thread = \"SAE J429 8\"\ngrade = \"9/16-18 UNF\"",
            "fastener[0].grade",
            "grade = \"SAE J429 8\" and thread = \"9/16-18 UNF\"",
        ),
        (
            &shaft,
            "compressed = \"49-1/8 in\"\nextended = \"50-5/8 in\"",
            "compressed = \"50-5/8 in\"\nextended = \"49-1/8 in\"",
            "driveshaft[0].extended",
            "compressed = \"49-1/8 in\" and extended = \"50-5/8 in\"",
        ),
    ] {
        assert!(text.contains(from), "{from}");
        let found = stops(&text.replacen(from, to, 1));
        let told: Vec<_> = found.iter().filter(|p| p.key == key).map(|p| &p.example).collect();
        assert!(told.iter().any(|e| e.contains(write)), "{to}: {found:#?}");
    }
}

#[test]
fn a_value_in_doubt_makes_no_other_one_wrong() {
    let text = read("jobs/brush-truck.toml");
    for (from, to, key) in [
        ("od = \"3.25 in ± 0.004 in\"", "od = \"32.5 in\"", "axle[0].tube.od"),
        ("wall = \"0.281 in\"", "wall = \"2.81 in\"", "axle[0].tube.wall"),
        (
            "thickness = \"1/2 in\"\nlength = \"5 in\"\nweld",
            "thickness = \"5 in\"\nlength = \"5 in\"\nweld",
            "axle[0].pad.thickness",
        ),
        ("other_thickness = \"0.281 in\"", "other_thickness = \"0.00281 in\"", "joint[0].other_thickness"),
        ("chord = \"45-3/4 in\"", "chord = \"4.575 in\"", "axle[0].spring.chord"),
    ] {
        assert!(text.contains(from), "{from}");
        let found = stops(&text.replacen(from, to, 1));
        let keys: BTreeSet<&str> = found.iter().map(|p| p.key.as_str()).collect();
        assert_eq!(keys, BTreeSet::from([key]), "{to}: {found:#?}");
    }
}

#[test]
fn a_misspelt_instrument_of_the_book_is_told() {
    for (from, to, write) in [
        ("kind = \"ultrasonic gauge\"", "kind = \"ultrasonc gauge\"", "kind = \"ultrasonic gauge\""),
        ("kind = \"feeler\"", "kind = \"feelr\"", "kind = \"feeler\""),
        ("kind = \"caster gauge\"", "kind = \"castor gauge\"", "kind = \"caster gauge\""),
        ("kind = \"tape\"", "kind = \"tpae\"", "kind = \"tape\""),
    ] {
        let bench = Bench::new();
        bench.edit("shop.toml", from, to);
        let said = bench.json(&["check", "job.toml", "--json"]);
        let told = said["problems"].as_array().unwrap().iter().find(|p| p["code"] == "S219");
        let told = told.unwrap_or_else(|| panic!("{to}: {said:#}"));
        assert_eq!(
            (told["example"].as_str(), said["state"].as_str()),
            (Some(write), Some("invalid")),
            "{told:#}"
        );
    }
    // Values of another quantity are one slip, of what it measures.
    let bench = Bench::new();
    bench.edit(
        "shop.toml",
        "kind = \"tape\"\nmeasures = \"length\"",
        "kind = \"tape\"\nmeasures = \"angle\"",
    );
    let said = bench.json(&["check", "job.toml", "--json"]);
    let problems = said["problems"].as_array().unwrap();
    let errors: Vec<_> = problems.iter().filter(|p| p["severity"] == "error").collect();
    assert_eq!(errors.len(), 1, "{errors:#?}");
    assert_eq!(errors[0]["example"], "measures = \"length\"");
    // So are ranges in each other's place.
    let bench = Bench::new();
    bench.edit("shop.toml", "volts = \"18 V to 20.3 V\"", "volts = \"150 V to 195 V\"");
    bench.edit("shop.toml", "amps = \"150 A to 195 A\"", "amps = \"18 A to 20.3 A\"");
    let said = bench.json(&["check", "job.toml", "--json"]);
    let write = "amps = \"150 A to 195 A\" and volts = \"18 V to 20.3 V\"";
    assert!(said["problems"].as_array().unwrap().iter().any(|p| p["example"] == write), "{said:#}");
    // What a kind says besides its name, and the other spelling, are right.
    let bench = Bench::new();
    bench.edit("shop.toml", "kind = \"ultrasonic gauge\"", "kind = \"ultrasonic thickness gage\"");
    bench.edit("shop.toml", "kind = \"angle finder\"", "kind = \"digital angle finder\"");
    assert_eq!(bench.run(&["check", "job.toml"]).code, 0);
}

#[test]
fn a_standard_without_its_limits_is_asked_back() {
    let text = read("jobs/brush-truck.toml");
    for (to, write) in [
        ("AWS D1.1", "acceptance = \"aws d1.1 cyclic\" or acceptance = \"aws d1.1 static\""),
        ("D1.1:2020", "acceptance = \"aws d1.1 cyclic\" or acceptance = \"aws d1.1 static\""),
        ("ISO 5817-B", "acceptance = \"iso 5817 b\""),
        ("AWS D1.3", "acceptance = \"…\""),
    ] {
        let text = text.replacen("acceptance = \"AWS D1.1 cyclic\"", &format!("acceptance = \"{to}\""), 1);
        let found = stops(&text);
        assert_eq!(found.len(), 1, "{found:#?}");
        assert_eq!(found[0].example, write);
        let why = found[0].help.iter().any(|h| h.contains("loads that repeat"));
        assert_eq!(why, write.contains(" or "), "{:?}", found[0].help);
    }
}

#[test]
fn what_a_job_lacks_is_proposed_with_its_own_names() {
    let (cab, truck) = (read("jobs/crew-cab.toml"), read("jobs/brush-truck.toml"));
    for (text, from, key, write) in [
        (&cab, "on = \"rear\"\nuse = \"pad\"", "joint[0].on", "on = \"rear\""),
        (&truck, "id = \"B2\"\n", "fastener[1].id", "id = \"B2\""),
        (&truck, "id = \"J3\"\n", "joint[2].id", "id = \"J3\""),
    ] {
        assert!(text.contains(from), "{from}");
        let less = from.split_once('\n').unwrap().0.to_owned() + "\n";
        let found = stops(&text.replacen(from, &from[less.len()..], 1));
        let told = found.iter().find(|p| p.key == key && p.code == "J004");
        assert_eq!(told.map(|p| p.example.as_str()), Some(write), "{found:#?}");
    }
}

#[test]
fn tacks_that_are_too_many_are_told_the_spacing_the_job_takes() {
    let bench = Bench::new();
    bench.edit("job.toml", "tack_spacing = \"5 in\"", "tack_spacing = \"0.8 in\"");
    let said = bench.json(&["check", "job.toml", "--json"]);
    let told = said["problems"].as_array().unwrap().iter().find(|p| p["key"] == "joint[0].tack_spacing");
    let told = told.unwrap_or_else(|| panic!("{said:#}"));
    let write = told["example"].as_str().unwrap();
    // A seam of 5 in holds two tacks of twice 0.281 in within its third: 5/(6 x 0.281) = 2.97.
    assert_eq!(write, "tack_spacing = \"5 in\"");
    assert!(!told.to_string().contains("tack_length"), "{told:#}");
    bench.edit("job.toml", "tack_spacing = \"0.8 in\"", write);
    assert_eq!(bench.run(&["check", "job.toml"]).code, 0);
}

#[test]
fn what_is_stated_binds_or_is_told() {
    let told = |from: &str, to: &str, code: &str, key: &str| {
        let bench = Bench::new();
        bench.edit("job.toml", from, to);
        let said = bench.json(&["check", "job.toml", "--json"]);
        let found = said["problems"].as_array().unwrap().iter().any(|p| p["code"] == code && p["key"] == key);
        assert!(found, "{to}: {code} at {key}: {said:#}");
        said["state"].as_str().unwrap().to_owned()
    };
    // Either limit of the cooling time alone, and a window no heat input keeps.
    for (limits, key) in [
        ("cooling_least = \"60 s\"", "joint[0].cooling_least"),
        ("cooling_most = \"1 s\"", "joint[0].cooling_most"),
        ("cooling_least = \"35 s\"\ncooling_most = \"40 s\"", "joint[0].cooling_least"),
    ] {
        let to = format!("restraint = \"medium\"\n{limits}");
        assert_eq!(told("restraint = \"medium\"", &to, "F021", key), "not ready");
    }
    // 4.0 deg less the 9.3 deg of the housing is -5.3 deg, not +5 deg: a lost sign.
    let set = |caster: &str| format!("toe = \"0.05 deg\"\ncaster_with_pinion_set = \"{caster}\"");
    assert_eq!(told("toe = \"0.05 deg\"", &set("5 deg"), "F021", "axle[0].id"), "not ready");
    let bench = Bench::new();
    bench.edit("job.toml", "toe = \"0.05 deg\"", &set("-5 deg"));
    assert_eq!(bench.run(&["check", "job.toml"]).code, 0);
    // What the maker's torque sets aside is told.
    let state = told(
        "torque = \"85 lbf-ft\"",
        "torque = \"85 lbf-ft\"\npreload = \"75 %\"",
        "J239",
        "fastener[2].preload",
    );
    assert_eq!(state, "ready");
}
