//! Writing to the terminal: results on standard output, problems on standard
//! error, colour only where it is wanted. A closed pipe is not a failure.

use std::io::{IsTerminal, Write};
use std::sync::{Mutex, PoisonError};

use annotate_snippets::{AnnotationKind, Group, Level, Renderer, Snippet};
use serde_json::{Value as Json, json};

use crate::app::plan::{Failure, SourceText};
use crate::cli::Ending;
use crate::diagnostic::{Diagnostic, Report, Severity};
use crate::term::unseen::{is_unseen, shown};

/// The first reason why a result could not be printed; see [`finish`].
static LOST: Mutex<Option<String>> = Mutex::new(None);

/// Prints a result. That nobody reads on (a closed pipe) is no failure; any
/// other one is told when the command ends.
///
/// On a terminal long lines are broken between words, and go on under the place
/// where their text starts; into a file or a pipe they go as they are, for
/// programs that read lines. What a file brought along to steer the terminal with is
/// not printed.
pub fn out(text: impl AsRef<str>) {
    put(shown(text.as_ref()));
}

/// Prints a file of ours as it is, for a program that reads it: nothing in it is broken
/// or replaced. On a terminal it goes as any text does.
pub fn bytes(file: &[u8]) {
    let mut stdout = std::io::stdout().lock();
    if stdout.is_terminal() {
        drop(stdout);
        let text = String::from_utf8_lossy(file).replace('\r', "");
        return out(text.trim_start_matches('\u{FEFF}').trim_end());
    }
    let written = stdout.write_all(file).and_then(|()| stdout.flush());
    remember(written);
}

/// A text from a file nobody vouches for, on one line: it can't pass for a line of ours.
#[must_use]
pub fn one_line(text: &str) -> String {
    shown(text).replace('\n', "\u{FFFD}")
}

fn put(text: impl AsRef<str>) {
    let mut stdout = std::io::stdout().lock();
    let shown = if stdout.is_terminal() {
        wrapped(text.as_ref(), textwrap::termwidth())
    } else {
        text.as_ref().to_owned()
    };
    let written = stdout.write_all(shown.as_bytes()).and_then(|()| stdout.write_all(b"\n"));
    remember(written);
}

/// Prints the beginning of a line, such as a question.
pub fn part(text: impl AsRef<str>) {
    let mut stdout = std::io::stdout().lock();
    let written = stdout.write_all(text.as_ref().as_bytes()).and_then(|()| stdout.flush());
    remember(written);
}

/// Columns below which a line that goes on is not indented further.
const NARROW: usize = 60;

/// Lines broken between words to fit the width; what goes on is indented by four
/// columns more than its line, by two on a narrow terminal.
fn wrapped(text: &str, width: usize) -> String {
    let further = if width < NARROW { 2 } else { 4 };
    let one = |line: &str| {
        // An excerpt of a file keeps its marks under their letters.
        let excerpt = line.trim_start().trim_start_matches(|c: char| c.is_ascii_digit()).trim_start();
        let drawn = excerpt.starts_with('|') || excerpt.starts_with("-->");
        if drawn || textwrap::core::display_width(line) <= width {
            return line.to_owned();
        }
        let indent = line.len() - line.trim_start_matches(' ').len();
        let rest = " ".repeat((indent + further).min(width / 3));
        textwrap::fill(
            line,
            textwrap::Options::new(width.max(20))
                .subsequent_indent(&rest)
                // A number or a command is copied whole: TW-2041 is no word to part.
                .word_splitter(textwrap::WordSplitter::NoHyphenation),
        )
    };
    text.split('\n').map(one).collect::<Vec<_>>().join("\n")
}

/// Prints a help or a version, in colour on a terminal.
pub fn help(text: &clap::Error) {
    let plain = std::env::var_os("NO_COLOR").is_some_and(|v| !v.is_empty());
    let styled = text.render();
    if std::io::stdout().is_terminal() && !plain {
        put(styled.ansi().to_string().trim_end());
    } else {
        out(styled.to_string().trim_end());
    }
}

fn remember(written: std::io::Result<()>) {
    if let Err(error) = written
        && error.kind() != std::io::ErrorKind::BrokenPipe
    {
        let mut lost = LOST.lock().unwrap_or_else(PoisonError::into_inner);
        lost.get_or_insert_with(|| error.to_string());
    }
}

/// The ending of a command whose results were printed: a failure of the system
/// if they did not all arrive.
#[must_use]
pub fn finish(ending: Ending) -> Ending {
    remember(std::io::stdout().lock().flush());
    match LOST.lock().unwrap_or_else(PoisonError::into_inner).take() {
        None => ending,
        Some(why) => {
            note(format!("error: the result could not be written to standard output: {why}"));
            ending.worse(Ending::SystemFailed)
        }
    }
}

/// Prints a remark that is not a result; on a terminal its lines are broken as those of
/// a result are.
pub fn note(text: impl AsRef<str>) {
    let mut stderr = std::io::stderr().lock();
    let text = text.as_ref();
    let shown = if stderr.is_terminal() { wrapped(text, textwrap::termwidth()) } else { text.to_owned() };
    let _ = stderr.write_all(shown.as_bytes());
    let _ = stderr.write_all(b"\n");
}

/// Columns for text that is laid out before it is printed: those of the terminal, at
/// most 80, which is what a file or a pipe gets.
#[must_use]
pub fn columns() -> usize {
    const MOST: usize = 80;
    if std::io::stdout().is_terminal() { textwrap::termwidth().clamp(20, MOST) } else { MOST }
}

/// Prints JSON, indented, with a stable order of keys.
pub fn json(value: &Json) {
    out(format!("{value:#}"));
}

/// Whether standard error may be coloured: a terminal, and no `NO_COLOR`.
fn coloured() -> bool {
    std::io::stderr().is_terminal() && std::env::var_os("NO_COLOR").is_none_or(|v| v.is_empty())
}

/// Columns of source shown on either side of a mark in a very long line.
const MARGIN: usize = 60;

/// The lines a problem stands on, clipped, with the first line number, and the
/// mark in them.
fn excerpt(text: &str, range: std::ops::Range<usize>) -> (String, usize, std::ops::Range<usize>) {
    let floor = |mut i: usize| {
        i = i.min(text.len());
        while !text.is_char_boundary(i) {
            i -= 1;
        }
        i
    };
    let start = floor(range.start);
    let end = floor(range.end.max(start));
    let line_start = text[..start].rfind('\n').map_or(0, |i| i + 1);
    let line_end = text[start..].find('\n').map_or(text.len(), |i| start + i);
    let end = end.min(line_end).max(start);
    let from = floor(line_start.max(start.saturating_sub(MARGIN)));
    let to = floor(line_end.min(end.min(start + MARGIN) + MARGIN));
    let line = text[..line_start].matches('\n').count() + 1;
    // A file's control characters must not reach the terminal; each becomes a
    // blank of the same length, so the mark stays in place.
    let shown: String = text[from..to]
        .chars()
        .flat_map(|c| {
            let hidden = is_unseen(c);
            std::iter::repeat_n(if hidden { ' ' } else { c }, if hidden { c.len_utf8() } else { 1 })
        })
        .collect();
    (shown, line, start - from..(end - from).min(to - from))
}

/// Line and column of a byte, counted from one, in characters.
fn position(text: &str, at: usize) -> (usize, usize) {
    let mut at = at.min(text.len());
    while !text.is_char_boundary(at) {
        at -= 1;
    }
    let before = &text[..at];
    let line_start = before.rfind('\n').map_or(0, |i| i + 1);
    (before.matches('\n').count() + 1, before[line_start..].chars().count() + 1)
}

/// Prints a problem, with the line it stands on.
pub fn problem_in(problem: &Diagnostic, sources: &[SourceText]) {
    let level = match problem.severity {
        Severity::Error => Level::ERROR,
        Severity::Stop => Level::ERROR.with_name("stop"),
        Severity::Warning => Level::WARNING,
        Severity::Blank => Level::NOTE.with_name("blank"),
    };
    let mut help: Vec<String> = Vec::new();
    if !problem.expected.is_empty() {
        help.push(format!("expected: {}", problem.expected));
    }
    if !problem.example.is_empty() {
        help.extend(problem.to_write().iter().map(|line| format!("write: {line}")));
    }
    help.extend(problem.help.iter().cloned());
    let source =
        problem.span.as_ref().and_then(|s| sources.iter().find(|t| t.name == s.file).map(|t| (s, t)));
    let mut group = Group::with_title(level.primary_title(shown(&problem.message)).id(problem.code));
    if let Some((span, source)) = source {
        let (shown, line, mark) = excerpt(&source.text, span.range.clone());
        let (_, column) = position(&source.text, span.range.start);
        if !problem.key.is_empty() {
            help.insert(0, format!("key: {}", problem.key));
        }
        // The excerpt of a long line starts late; its column is said in words.
        if column != mark.start + 1 {
            help.insert(0, format!("column: {column}"));
        }
        let snippet = Snippet::source(shown).line_start(line).path(source.name.as_str());
        group = group.element(snippet.annotation(AnnotationKind::Primary.span(mark)));
    } else if !problem.key.is_empty() {
        help.insert(0, format!("at: {}", problem.key));
    }
    if !problem.rule.is_empty() {
        help.insert(0, format!("rule: {}", problem.rule));
    }
    for line in help {
        group = group.element(Level::HELP.no_name().message(shown(&line)));
    }
    let renderer = if coloured() { Renderer::styled() } else { Renderer::plain() };
    note(renderer.render(&[group]));
    note("");
}

/// Prints a problem that has no place in a file.
pub fn problem(problem: &Diagnostic) {
    problem_in(problem, &[]);
}

/// Prints a report: errors and warnings with their lines, blanks as a list.
pub fn report(report: &Report, sources: &[SourceText]) {
    // What keeps the file from being used comes first, then what stops the issue; each from
    // the top of the file down.
    for severity in [Severity::Error, Severity::Stop, Severity::Warning] {
        for found in report.problems.iter().filter(|p| p.severity == severity) {
            problem_in(found, sources);
        }
    }
    blanks(report, sources);
    let count = |severity, one: &str, many: &str| match report.count(severity) {
        0 => None,
        1 => Some(format!("1 {one}")),
        n => Some(format!("{n} {many}")),
    };
    let counts: Vec<String> = [
        count(Severity::Error, "error", "errors"),
        count(Severity::Stop, "stops the issue", "stop the issue"),
        count(Severity::Warning, "warning", "warnings"),
        count(Severity::Blank, "blank to fill", "blanks to fill"),
    ]
    .into_iter()
    .flatten()
    .collect();
    // Of one problem everybody sees that it is one.
    if !counts.is_empty() && report.problems.len() > 1 {
        note(counts.join(", "));
    }
}

/// Prints the blanks of a report, one line each.
pub fn blanks(report: &Report, sources: &[SourceText]) {
    let found: Vec<&Diagnostic> = report.problems.iter().filter(|p| p.severity == Severity::Blank).collect();
    if found.is_empty() {
        return;
    }
    note("Blanks still to fill:");
    for blank in found {
        let place = blank.span.as_ref().and_then(|s| {
            sources
                .iter()
                .find(|t| t.name == s.file)
                .map(|t| format!("{}:{}", t.name, position(&t.text, s.range.start).0))
        });
        note(format!("  {}  {}: {}", place.unwrap_or_default(), blank.key, blank.expected));
    }
    note("");
}

/// Prints why a use case failed, and the ending it leads to.
#[must_use]
pub fn failure(failure: &Failure) -> Ending {
    match failure {
        Failure::Refused(found, sources) => {
            report(found, sources);
            refusal(found)
        }
        Failure::System(message) => {
            note(format!("error: {}", shown(message)));
            Ending::SystemFailed
        }
    }
}

/// A report without errors says "not yet", any other "no".
fn refusal(report: &Report) -> Ending {
    let stopped = report.count(Severity::Stop) > 0;
    if stopped && !report.has_errors() { Ending::NotReady } else { Ending::Refused }
}

/// A report as JSON, with lines and columns.
#[must_use]
pub fn report_json(report: &Report, sources: &[SourceText]) -> Json {
    Json::Array(
        report
            .problems
            .iter()
            .map(|p| {
                let place = p.span.as_ref().map(|s| {
                    let (line, column) = sources
                        .iter()
                        .find(|t| t.name == s.file)
                        .map_or((0, 0), |t| position(&t.text, s.range.start));
                    json!({ "file": s.file, "line": line, "column": column })
                });
                json!({
                    "severity": p.severity, "code": p.code, "message": p.message, "place": place,
                    "key": p.key, "rule": p.rule, "expected": p.expected, "example": p.example, "help": p.help,
                })
            })
            .collect(),
    )
}

/// A failure as JSON on standard output, and the ending it leads to.
#[must_use]
pub fn failure_json(failure: &Failure) -> Ending {
    json(&failure_value(failure));
    ending(failure)
}

/// The ending a failure leads to.
#[must_use]
pub fn ending(failure: &Failure) -> Ending {
    match failure {
        Failure::Refused(found, _) => refusal(found),
        Failure::System(_) => Ending::SystemFailed,
    }
}

/// File and line of a problem.
#[must_use]
pub fn place(problem: &Diagnostic, sources: &[SourceText]) -> Option<String> {
    let span = problem.span.as_ref()?;
    let source = sources.iter().find(|t| t.name == span.file)?;
    Some(format!("{}:{}", source.name, position(&source.text, span.range.start).0))
}

/// A failure as one row of several jobs.
#[must_use]
pub fn failure_row(job: &std::path::Path, failure: &Failure) -> Json {
    let mut row = json!({ "job": job });
    if let (Some(row), Json::Object(failure)) = (row.as_object_mut(), failure_value(failure)) {
        row.extend(failure);
    }
    row
}

pub(crate) fn failure_value(failure: &Failure) -> Json {
    match failure {
        Failure::Refused(found, sources) => json!({ "ok": false, "problems": report_json(found, sources) }),
        Failure::System(message) => json!({ "ok": false, "system": message }),
    }
}

#[cfg(test)]
mod tests {
    use super::wrapped;

    #[test]
    fn long_lines_break_between_words_and_go_on_indented() {
        let line = "  front left: turn of the knuckle  9.3 deg to be given back before the weld is made";
        for width in [40, 60, 80] {
            let shown = wrapped(line, width);
            assert!(shown.lines().all(|l| l.chars().count() <= width), "{width}:\n{shown}");
            assert!(shown.lines().skip(1).all(|l| l.starts_with("    ")), "{width}:\n{shown}");
            let words = |text: &str| text.split_whitespace().map(str::to_owned).collect::<Vec<_>>();
            assert_eq!(words(&shown), words(line));
        }
        assert_eq!(wrapped("short\n  lines", 40), "short\n  lines");
        let told = wrapped("a lead decides how it goes on (tackwright dispose TW-2041 F2)", 40);
        assert!(told.contains("TW-2041"), "{told}");
        let excerpt = format!("15 | od = \"{}\"\n   |      ^^^", "3 in ".repeat(12));
        assert_eq!(wrapped(&excerpt, 40), excerpt, "marks stay under their letters");
    }
}
