//! The demo jobs, and copies of one under other numbers.

use std::path::{Path, PathBuf};

use tackwright::app::plan::{Loaded, Shelf};
use tackwright::app::{System, plan};

/// Every job file in `jobs`, sorted.
pub(crate) fn jobs() -> Vec<PathBuf> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("jobs");
    let mut found: Vec<PathBuf> = std::fs::read_dir(folder)
        .expect("the folder of jobs")
        .map(|e| e.expect("an entry").path())
        .filter(|p| p.extension().is_some_and(|e| e == "toml"))
        .filter(|p| std::fs::read_to_string(p).expect("a text").contains("\n[job]"))
        .collect();
    found.sort();
    assert!(!found.is_empty());
    found
}

/// Names of the demo jobs.
pub(crate) fn names() -> Vec<String> {
    jobs().iter().map(|p| p.file_stem().expect("a name").to_string_lossy().into_owned()).collect()
}

pub(crate) fn path(name: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("jobs").join(name).with_extension("toml")
}

pub(crate) fn loaded(name: &str) -> Loaded {
    plan::load(&System, &path(name), &shelf()).unwrap_or_else(|f| panic!("{name}: {f:?}"))
}

pub(crate) fn shelf() -> Shelf {
    plan::shelf(&System, None).unwrap_or_else(|f| panic!("{f:?}"))
}

/// `count` copies of the brush truck, each under a number of its own.
pub(crate) fn copies(folder: &Path, count: usize) -> Vec<PathBuf> {
    let text = std::fs::read_to_string(path("brush-truck")).expect("the job");
    let number = text
        .lines()
        .find_map(|l| l.strip_prefix("number = \""))
        .and_then(|l| l.split('"').next())
        .expect("a number");
    (0..count)
        .map(|i| {
            let file = folder.join(format!("job-{i:03}.toml"));
            let own = text.replace(&format!("\"{number}\""), &format!("\"B-{i:03}\""));
            std::fs::write(&file, own).expect("a job");
            file
        })
        .collect()
}
