//! Codes of diagnostics: one code, one meaning.

use std::collections::{BTreeMap, BTreeSet};
use std::path::{Path, PathBuf};

use tackwright::diagnostic::codes::CODES;

/// Folders whose texts look like codes and are none: names of steels.
const NAMES: &[&str] = &["reference"];

fn sources(folder: &Path, found: &mut Vec<PathBuf>) {
    for entry in std::fs::read_dir(folder).expect("a folder of sources") {
        let path = entry.expect("an entry").path();
        if path.is_dir() {
            if !NAMES.iter().any(|name| path.ends_with(name)) {
                sources(&path, found);
            }
        } else if path.extension().is_some_and(|e| e == "rs") && !path.ends_with("diagnostic/codes.rs") {
            found.push(path);
        }
    }
}

/// Codes in a source that give a diagnostic its code, and those that only ask
/// for it (`p.code == "J006"`).
fn codes(text: &str) -> (Vec<&str>, Vec<&str>) {
    let (mut made, mut asked) = (Vec::new(), Vec::new());
    for (at, _) in text.match_indices('"') {
        let Some(code) = text.get(at + 1..at + 5).filter(|_| text.get(at + 5..at + 6) == Some("\"")) else {
            continue;
        };
        let letter = code.starts_with(['J', 'Q', 'F', 'P', 'R', 'S', 'L', 'T']);
        if !letter || !code[1..].bytes().all(|b| b.is_ascii_digit()) {
            continue;
        }
        let before = text[..at].trim_end();
        let asks = before.ends_with("==") || before.ends_with('|') || before.ends_with("code,");
        if asks { asked.push(code) } else { made.push(code) }
    }
    (made, asked)
}

#[test]
fn every_code_is_in_the_table_and_every_row_of_it_is_used() {
    let mut files = Vec::new();
    sources(&Path::new(env!("CARGO_MANIFEST_DIR")).join("src"), &mut files);
    let mut made: BTreeMap<String, Vec<String>> = BTreeMap::new();
    let mut asked: BTreeSet<String> = BTreeSet::new();
    for file in &files {
        let text = std::fs::read_to_string(file).expect("a source");
        let (own, asks) = codes(&text);
        for code in own {
            made.entry(code.to_owned()).or_default().push(file.display().to_string());
        }
        asked.extend(asks.into_iter().map(str::to_owned));
    }
    assert!(made.len() > 200, "{} codes found in {} files", made.len(), files.len());
    let mut wrong = Vec::new();
    for row in CODES {
        match made.get(row.code).map_or(0, Vec::len) {
            0 => wrong.push(format!("{} is in the table and nowhere made", row.code)),
            1 if row.shared => wrong.push(format!("{} is made once: own, not shared", row.code)),
            n if n > 1 && !row.shared => wrong.push(format!(
                "{} is made at {n} places: does each mean \"{}\"? {}",
                row.code,
                row.meaning,
                made[row.code].join(", ")
            )),
            _ => {}
        }
    }
    let known: BTreeSet<&str> = CODES.iter().map(|row| row.code).collect();
    wrong.extend(
        made.keys().chain(&asked).filter(|c| !known.contains(c.as_str())).map(|c| format!("{c} has no row")),
    );
    assert_eq!(wrong, Vec::<String>::new());
}

#[test]
fn the_table_is_sorted_and_says_nothing_twice() {
    assert!(CODES.is_sorted_by(|a, b| a.code < b.code), "sorted, no code twice");
    let meanings: BTreeSet<&str> = CODES.iter().map(|row| row.meaning).collect();
    assert_eq!(meanings.len(), CODES.len(), "a meaning stands twice");
}

#[test]
fn codes_are_found_where_they_are_made() {
    let text = "Diagnostic::error(\n\"L103\", x); a.code == \"J006\"; b(\"S35\"); c(\"X999\")";
    assert_eq!(codes(text), (vec!["L103"], vec!["J006"]));
}

/// A key says where: `axle.spring.to`, `--trust`. What a rule says goes with
/// `Diagnostic::rule`.
#[test]
fn a_key_is_a_place_and_no_sentence() {
    let mut files = Vec::new();
    sources(&Path::new(env!("CARGO_MANIFEST_DIR")).join("src"), &mut files);
    let mut looked = 0;
    for file in &files {
        let text = std::fs::read_to_string(file).expect("a source");
        for (at, start) in text.match_indices(".key(\"") {
            let key = text[at + start.len()..].split('"').next().unwrap_or_default();
            looked += 1;
            let place = |c: char| c.is_ascii_alphanumeric() || matches!(c, '.' | '_' | '-');
            assert!(key.chars().all(place), "{}: the key \"{key}\"", file.display());
        }
    }
    assert!(looked >= 8, "{looked} keys found");
}
