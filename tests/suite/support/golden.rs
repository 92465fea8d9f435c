//! Texts kept in `tests/golden` to be read in review. After a wanted change run
//! the tests with `TACKWRIGHT_APPROVE=1`, never where `CI` is set, and read the
//! difference.

use std::path::PathBuf;

/// Longest file a person will read, in bytes.
const LONGEST: usize = 192 * 1024;

fn is_set(name: &str) -> bool {
    std::env::var_os(name).is_some_and(|v| !v.is_empty() && v != "0" && v != "false")
}

/// Fails, with the first lines that differ, unless `text` is what is kept.
pub(crate) fn compare(name: &str, text: &str) {
    assert!(text.lines().count() > 1, "{name} would keep nothing");
    assert!(text.len() <= LONGEST, "{name} is too long to be read: {} bytes", text.len());
    let path = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("tests/golden").join(name);
    if is_set("TACKWRIGHT_APPROVE") {
        assert!(!is_set("CI"), "golden files are not written where CI is set");
        std::fs::create_dir_all(path.parent().expect("a folder")).expect("the folder of golden files");
        std::fs::write(&path, text).expect("a written file");
        return;
    }
    let kept = std::fs::read_to_string(&path)
        .unwrap_or_else(|e| panic!("{name}: {e}; TACKWRIGHT_APPROVE=1 cargo test writes it; then read it"));
    if kept == text {
        return;
    }
    let (old, new): (Vec<&str>, Vec<&str>) = (kept.lines().collect(), text.lines().collect());
    let gone = old.iter().filter(|l| !new.contains(l)).take(12).map(|l| format!("- {l}"));
    let come = new.iter().filter(|l| !old.contains(l)).take(12).map(|l| format!("+ {l}"));
    let lines: Vec<String> = gone.chain(come).collect();
    panic!("{name} changed; TACKWRIGHT_APPROVE=1 cargo test approves:\n{}", lines.join("\n"));
}
