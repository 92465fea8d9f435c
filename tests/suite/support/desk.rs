//! A machine made of memory: job files by name, nothing on disk.

use std::collections::BTreeMap;
use std::io;
use std::path::{Path, PathBuf};
use std::sync::Mutex;

use serde_json::Value as Json;
use tackwright::app::host::There;
use tackwright::app::issue::{self, Issued, Order};
use tackwright::app::plan::{Failure, Shelf, load, plan, shelf};
use tackwright::app::{Host, System};
use tackwright::cli::terminal::report_json;

/// Files by name.
#[derive(Debug, Default)]
pub(crate) struct Desk {
    files: Mutex<BTreeMap<PathBuf, Vec<u8>>>,
}

impl Desk {
    /// A desk with one file on it.
    pub(crate) fn with(name: &str, text: &str) -> Self {
        let desk = Self::default();
        desk.put(name, text);
        desk
    }

    /// Lays a file on the desk.
    pub(crate) fn put(&self, name: &str, text: &str) {
        self.files.lock().unwrap().insert(name.into(), text.as_bytes().to_vec());
    }

    /// What lies on it under this name.
    pub(crate) fn take(&self, name: &Path) -> Option<Vec<u8>> {
        self.files.lock().unwrap().get(name).cloned()
    }
}

impl Host for Desk {
    fn read(&self, path: &Path) -> io::Result<String> {
        let bytes = self.take(path).ok_or_else(|| io::Error::from(io::ErrorKind::NotFound))?;
        String::from_utf8(bytes).map_err(|e| io::Error::new(io::ErrorKind::InvalidData, e))
    }

    fn bytes(&self, path: &Path) -> io::Result<Vec<u8>> {
        self.take(path).ok_or_else(|| io::Error::from(io::ErrorKind::NotFound))
    }

    fn plain(&self, path: &Path) -> io::Result<Vec<u8>> {
        self.bytes(path)
    }

    fn write(&self, path: &Path, bytes: &[u8]) -> io::Result<()> {
        self.files.lock().unwrap().insert(path.to_owned(), bytes.to_vec());
        Ok(())
    }

    fn files(&self, folder: &Path, ending: &str) -> io::Result<Vec<PathBuf>> {
        let files = self.files.lock().unwrap();
        let there = |p: &&PathBuf| p.starts_with(folder) && p.extension().is_some_and(|e| e == ending);
        Ok(files.keys().filter(there).cloned().collect())
    }

    fn today(&self) -> chrono::NaiveDate {
        chrono::NaiveDate::from_ymd_opt(2026, 3, 2).unwrap()
    }

    fn there(&self, path: &Path) -> There {
        let files = self.files.lock().unwrap();
        match files.contains_key(path) {
            true => There::File,
            false if files.keys().any(|p| p.starts_with(path)) => There::Folder,
            false => There::Nothing,
        }
    }

    fn exists(&self, path: &Path) -> bool {
        self.files.lock().unwrap().contains_key(path)
    }
}

/// The procedures that ship with the program.
pub(crate) fn shipped() -> Shelf {
    shelf(&Desk::default(), None).unwrap()
}

/// Everything `check` reports on a text, and whether the job is sound.
pub(crate) fn check(name: &str, text: &str, shelf: &Shelf) -> (bool, Vec<Json>) {
    let desk = Desk::with(name, text);
    let loaded = match load(&desk, Path::new(name), shelf) {
        Ok(loaded) => loaded,
        Err(failure) => return (false, refused(failure)),
    };
    match plan(&loaded, shelf) {
        Ok(plan) => {
            let sources = std::slice::from_ref(&loaded.source);
            (true, list(report_json(&plan.report, sources)))
        }
        Err(failure) => (false, refused(failure)),
    }
}

/// Issues a text; the traveler is the second result.
pub(crate) fn issue(text: &str, shelf: &Shelf) -> Result<(Issued, Vec<u8>), Failure> {
    let folder = tempfile::tempdir().unwrap();
    let job = folder.path().join("job.toml");
    std::fs::write(&job, text).unwrap();
    let order = Order { draft: true, ..Order::default() };
    let issued = issue::issue(&System, shelf, &job, &order)?;
    let bytes = std::fs::read(&issued.path).unwrap();
    Ok((issued, bytes))
}

/// The problems of a refusal; a failure of the system fails the test.
pub(crate) fn refused(failure: Failure) -> Vec<Json> {
    match failure {
        Failure::Refused(report, sources) => list(report_json(&report, &sources)),
        Failure::System(message) => panic!("the system failed: {message}"),
    }
}

fn list(json: Json) -> Vec<Json> {
    match json {
        Json::Array(list) => list,
        _ => panic!("a report is a list"),
    }
}

/// Files of a folder of the repository with this ending, sorted.
pub(crate) fn folder(path: &str, ending: &str) -> Vec<(String, String)> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join(path);
    let mut found: Vec<_> = std::fs::read_dir(&folder)
        .unwrap()
        .map(|e| e.unwrap().path())
        .filter(|p| p.extension().is_some_and(|e| e == ending))
        .map(|p| {
            (p.file_stem().unwrap().to_string_lossy().into_owned(), std::fs::read_to_string(&p).unwrap())
        })
        .collect();
    found.sort();
    found
}
