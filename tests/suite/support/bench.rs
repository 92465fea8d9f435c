//! A shop's bench in a folder: a job, its book, and the program run there.

use std::io::Write;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};

use serde_json::Value as Json;

/// What a call gave.
pub(crate) struct Said {
    pub(crate) code: i32,
    pub(crate) out: String,
    pub(crate) err: String,
}

/// A folder with the demonstration job and book.
pub(crate) struct Bench {
    folder: tempfile::TempDir,
    /// The clock, seconds since 1970.
    pub(crate) now: i64,
}

/// 2026-03-02T14:00:00Z, the day the demonstration is issued.
pub(crate) const START: i64 = 1_772_460_000;

impl Bench {
    pub(crate) fn new() -> Self {
        let bench = Self { folder: tempfile::tempdir().unwrap(), now: START };
        let jobs = Path::new(env!("CARGO_MANIFEST_DIR")).join("jobs");
        std::fs::copy(jobs.join("brush-truck.toml"), bench.path("job.toml")).unwrap();
        std::fs::copy(jobs.join("shop.toml"), bench.path("shop.toml")).unwrap();
        bench
    }

    /// A path on the bench.
    pub(crate) fn path(&self, name: &str) -> PathBuf {
        self.folder.path().join(name)
    }

    pub(crate) fn read(&self, name: &str) -> Vec<u8> {
        std::fs::read(self.path(name)).unwrap_or_else(|e| panic!("{name}: {e}"))
    }

    pub(crate) fn text(&self, name: &str) -> String {
        String::from_utf8(self.read(name)).unwrap()
    }

    pub(crate) fn write(&self, name: &str, bytes: impl AsRef<[u8]>) {
        let path = self.path(name);
        std::fs::create_dir_all(path.parent().unwrap()).unwrap();
        std::fs::write(path, bytes).unwrap();
    }

    /// Changes a text of a file; it must be there.
    pub(crate) fn edit(&self, name: &str, from: &str, to: &str) {
        let text = self.text(name);
        assert!(text.contains(from), "{name} has no {from}");
        self.write(name, text.replacen(from, to, 1));
    }

    pub(crate) fn run(&self, args: &[&str]) -> Said {
        self.typed(args, "")
    }

    /// Runs the program with something on its standard input.
    pub(crate) fn typed(&self, args: &[&str], input: &str) -> Said {
        let mut child = Command::new(env!("CARGO_BIN_EXE_tackwright"))
            .args(args)
            .current_dir(self.folder.path())
            .env("SOURCE_DATE_EPOCH", self.now.to_string())
            .stdin(Stdio::piped())
            .stdout(Stdio::piped())
            .stderr(Stdio::piped())
            .spawn()
            .unwrap();
        // A program that refuses early does not read on.
        let _ = child.stdin.take().unwrap().write_all(input.as_bytes());
        let done = child.wait_with_output().unwrap();
        Said {
            code: done.status.code().unwrap_or(-1),
            out: String::from_utf8_lossy(&done.stdout).into_owned(),
            err: String::from_utf8_lossy(&done.stderr).into_owned(),
        }
    }

    /// A call that must end well.
    pub(crate) fn yes(&self, args: &[&str]) -> Said {
        let said = self.run(args);
        assert_eq!(said.code, 0, "{args:?}\n{}{}", said.out, said.err);
        said
    }

    /// A call that must be refused with these words, and leave every file on the
    /// bench as it was.
    pub(crate) fn no(&self, args: &[&str], part: &str) -> Said {
        let before = self.everything();
        let said = self.run(args);
        assert_eq!(said.code, 1, "{args:?}\n{}{}", said.out, said.err);
        assert!(said.err.contains(part), "{args:?} says\n{}", said.err);
        assert!(self.everything() == before, "{args:?} was refused and wrote");
        said
    }

    pub(crate) fn json(&self, args: &[&str]) -> Json {
        let said = self.run(args);
        serde_json::from_str(&said.out).unwrap_or_else(|e| panic!("{args:?}: {e}: {}{}", said.out, said.err))
    }

    /// Every file and folder on the bench with its bytes, sorted.
    pub(crate) fn everything(&self) -> Vec<(PathBuf, Vec<u8>)> {
        fn walk(folder: &Path, found: &mut Vec<(PathBuf, Vec<u8>)>) {
            for entry in std::fs::read_dir(folder).unwrap() {
                let path = entry.unwrap().path();
                if path.is_dir() {
                    walk(&path, found);
                    found.push((path, Vec::new()));
                } else {
                    let bytes = std::fs::read(&path).unwrap();
                    found.push((path, bytes));
                }
            }
        }
        let mut found = Vec::new();
        walk(self.folder.path(), &mut found);
        found.sort();
        found
    }
}
