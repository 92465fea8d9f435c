//! Texts kept in `tests/golden` to be read in review. They are written anew
//! with `UPDATE_GOLDEN=1 cargo test`, never where `CI` is set; a file that no
//! test compares with fails.

use std::path::PathBuf;

/// Files compared one by one; every demonstration job has one of its own name.
const NAMES: &[&str] = &["figures.txt"];

/// Every file there is.
fn names() -> Vec<String> {
    let jobs = crate::golden::jobs();
    let stems = jobs.iter().map(|j| j.file_stem().expect("a name").to_string_lossy().into_owned());
    NAMES.iter().map(|n| (*n).to_owned()).chain(stems.map(|s| format!("{s}.txt"))).collect()
}

/// Longest file a person will read, in bytes.
const LONGEST: usize = 192 * 1024;

fn folder() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("tests/golden")
}

/// Whether the files are to be written.
fn updating() -> bool {
    let wanted = std::env::var_os("UPDATE_GOLDEN").is_some_and(|v| !v.is_empty() && v != "0");
    let ci = std::env::var_os("CI").is_some_and(|v| !v.is_empty() && v != "0" && v != "false");
    assert!(!(wanted && ci), "golden files are not written where CI is set");
    wanted
}

/// Fails, with the first lines that differ, unless `text` is what is kept.
pub(crate) fn compare(name: &str, text: &str) {
    assert!(names().iter().any(|n| n == name), "{name} is not in the list of golden files");
    assert!(text.lines().count() > 1, "{name} would keep nothing");
    assert!(text.len() <= LONGEST, "{name} is too long to be read: {} bytes", text.len());
    let path = folder().join(name);
    if updating() {
        std::fs::create_dir_all(folder()).expect("the folder of golden files");
        std::fs::write(&path, text).expect("a written file");
        return;
    }
    let kept = std::fs::read_to_string(&path)
        .unwrap_or_else(|e| panic!("{name}: {e}; write it with UPDATE_GOLDEN=1 cargo test, then read it"));
    if kept == text {
        return;
    }
    let (old, new): (Vec<&str>, Vec<&str>) = (kept.lines().collect(), text.lines().collect());
    let gone = old.iter().filter(|l| !new.contains(l)).take(12).map(|l| format!("- {l}"));
    let come = new.iter().filter(|l| !old.contains(l)).take(12).map(|l| format!("+ {l}"));
    let lines: Vec<String> = gone.chain(come).collect();
    panic!("{name} is not current; if this is right: UPDATE_GOLDEN=1 cargo test\n{}", lines.join("\n"));
}

#[test]
fn no_golden_file_is_an_orphan() {
    let entries = std::fs::read_dir(folder()).expect("the folder of golden files");
    let lying: Vec<String> =
        entries.map(|e| e.expect("an entry").file_name().to_string_lossy().into_owned()).collect();
    for name in &lying {
        assert!(names().contains(name), "no test compares with tests/golden/{name}");
    }
    for name in &names() {
        assert!(lying.contains(name) || updating(), "tests/golden/{name} is missing");
    }
}
