//! Writing to the terminal: results on standard output, problems on standard
//! error. A closed pipe is not a failure.

use std::io::Write;

use crate::diagnostic::{Diagnostic, Severity};

/// Prints a result. Errors of a closed pipe are ignored on purpose.
pub fn out(text: impl AsRef<str>) {
    let mut stdout = std::io::stdout().lock();
    let _ = stdout.write_all(text.as_ref().as_bytes());
    let _ = stdout.write_all(b"\n");
}

/// Prints a remark that is not a result.
pub fn note(text: impl AsRef<str>) {
    let mut stderr = std::io::stderr().lock();
    let _ = stderr.write_all(text.as_ref().as_bytes());
    let _ = stderr.write_all(b"\n");
}

/// Prints JSON, indented, with a stable order of keys.
pub fn json(value: &serde_json::Value) {
    out(serde_json::to_string_pretty(value).unwrap_or_default());
}

/// Prints a problem that has no place in a file.
pub fn problem(problem: &Diagnostic) {
    let word = match problem.severity {
        Severity::Error => "error",
        Severity::Warning => "warning",
        Severity::Blank => "blank",
    };
    note(format!("{word}[{}]: {}", problem.code, problem.message));
    if !problem.expected.is_empty() {
        note(format!("  expected: {}", problem.expected));
    }
    if !problem.example.is_empty() {
        note(format!("  write: {}", problem.example));
    }
    for help in &problem.help {
        note(format!("  {help}"));
    }
}
