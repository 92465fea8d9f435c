//! The program, run in a folder as a person would, at a given time.

use std::io::Write;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};

/// What a call gave.
pub(crate) struct Said {
    pub(crate) code: i32,
    pub(crate) out: String,
    pub(crate) err: String,
}

/// A folder with one of the demonstration jobs, as `job.toml`, and the shop book.
pub(crate) fn folder_with(job: &str) -> tempfile::TempDir {
    let folder = tempfile::tempdir().unwrap();
    let jobs = Path::new(env!("CARGO_MANIFEST_DIR")).join("jobs");
    std::fs::copy(jobs.join(job), folder.path().join("job.toml")).unwrap();
    std::fs::copy(jobs.join("shop.toml"), folder.path().join("shop.toml")).unwrap();
    folder
}

/// The program of this build, or another one.
fn program() -> PathBuf {
    std::env::var_os("TACKWRIGHT_PROGRAM")
        .map_or_else(|| env!("CARGO_BIN_EXE_tackwright").into(), PathBuf::from)
}

/// Runs the program with something on its standard input; `clock` in seconds since
/// 1970.
pub(crate) fn call(folder: &Path, clock: i64, args: &[&str], input: &str) -> Said {
    let mut child = Command::new(program())
        .args(args)
        .current_dir(folder)
        .env("SOURCE_DATE_EPOCH", clock.to_string())
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

/// A folder as it was left: what one test made serves the others, each in a folder
/// of its own.
pub(crate) struct Left {
    place: PathBuf,
    /// Files with their bytes, and folders.
    things: Vec<(PathBuf, Option<Vec<u8>>)>,
}

impl Left {
    /// What lies in a folder.
    pub(crate) fn of(folder: &Path) -> Self {
        fn walk(folder: &Path, below: &Path, things: &mut Vec<(PathBuf, Option<Vec<u8>>)>) {
            for entry in std::fs::read_dir(folder.join(below)).unwrap() {
                let path = below.join(entry.unwrap().file_name());
                let there = folder.join(&path);
                if there.is_dir() {
                    things.push((path.clone(), None));
                    walk(folder, &path, things);
                } else {
                    things.push((path, Some(std::fs::read(there).unwrap())));
                }
            }
        }
        let mut things = Vec::new();
        walk(folder, Path::new(""), &mut things);
        Self { place: folder.to_owned(), things }
    }

    /// The same in another folder. What names its own place, as the note of where the
    /// shop book stands does, names the new one.
    pub(crate) fn again(&self) -> tempfile::TempDir {
        let folder = tempfile::tempdir().unwrap();
        let (old, new) = (self.place.to_str().unwrap(), folder.path().to_str().unwrap());
        for (path, bytes) in &self.things {
            let path = folder.path().join(path);
            match bytes.as_deref().map(|b| (b, std::str::from_utf8(b))) {
                None => std::fs::create_dir(path).unwrap(),
                Some((_, Ok(text))) if text.contains(old) => {
                    std::fs::write(path, text.replace(old, new)).unwrap();
                }
                Some((bytes, _)) => std::fs::write(path, bytes).unwrap(),
            }
        }
        folder
    }
}

/// The commands the help of the program lists, in its groups; `help` itself is none.
pub(crate) fn commands(help: &str) -> Vec<&str> {
    let listed = help.lines().skip_while(|l| !l.starts_with("Commands:")).skip(1);
    let listed = listed.take_while(|l| !l.starts_with("Options:"));
    // Two spaces before a name; the rest of a text that is wrapped has more.
    let names = listed.filter_map(|l| l.strip_prefix("  ")?.split_once(' ').map(|(name, _)| name));
    let names: Vec<&str> = names.filter(|name| !name.is_empty() && *name != "help").collect();
    assert!(names.len() > 20, "hardly any commands are listed:\n{help}");
    names
}
