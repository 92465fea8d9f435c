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
