//! The parsed file with positions, and the collector of problems.

use std::ops::Range;

use toml::Spanned;
use toml::de::{DeTable, DeValue};

use crate::diagnostic::{Diagnostic, Report, Span};

/// Largest file read, in bytes; a job file is a few kilobytes.
const LARGEST: usize = 5 * 1024 * 1024;

/// A value in the file, where it stands, and the key path to it.
#[derive(Debug, Clone)]
pub struct Node<'a> {
    /// As TOML has it, not yet read as a field.
    pub value: &'a DeValue<'a>,
    /// Its byte range.
    pub range: Range<usize>,
    /// Key path such as `axle[0].tube.od`.
    pub key: String,
}

impl<'a> Node<'a> {
    /// A node for a spanned value under `key`.
    #[must_use]
    pub fn new(value: &'a Spanned<DeValue<'a>>, key: String) -> Self {
        Self { value: value.get_ref(), range: value.span(), key }
    }

    /// What kind of TOML value it is, in words.
    #[must_use]
    pub fn kind(&self) -> &'static str {
        match self.value {
            DeValue::String(_) => "a text",
            DeValue::Integer(_) | DeValue::Float(_) => "a bare number",
            DeValue::Boolean(_) => "true or false",
            DeValue::Datetime(_) => "a date",
            DeValue::Array(_) => "a list",
            DeValue::Table(_) => "a table",
        }
    }
}

/// Collects problems of one file.
#[derive(Debug)]
pub struct Reader {
    file: String,
    /// Problems so far.
    pub report: Report,
}

impl Reader {
    /// A reader for the file of this name.
    #[must_use]
    pub fn new(file: &str) -> Self {
        Self { file: file.to_owned(), report: Report::new() }
    }

    /// A span in this file.
    #[must_use]
    pub fn span(&self, range: Range<usize>) -> Span {
        Span::new(&self.file, range)
    }

    /// Adds a problem at a node.
    pub fn problem(&mut self, node: &Node<'_>, problem: Diagnostic) {
        let span = self.span(node.range.clone());
        self.report.push(problem.at(Some(span)).key(node.key.clone()));
    }
}

/// Parses a file and hands its table to `read`; syntax errors are reported,
/// all of them, and reading goes on with what could be understood.
pub fn parse<T>(
    file: &str,
    text: &str,
    read: impl FnOnce(&Node<'_>, &mut Reader) -> Option<T>,
) -> (Option<T>, Report) {
    let mut reader = Reader::new(file);
    if text.len() > LARGEST {
        reader.report.push(
            Diagnostic::error("J001", format!("the file has {} bytes", text.len()))
                .at(Some(Span::new(file, 0..0)))
                .expected("a file of at most 5 MB"),
        );
        return (None, reader.report);
    }
    let (table, errors) = DeTable::parse_recoverable(text);
    let broken = !errors.is_empty();
    let mut slips = Vec::new();
    for error in errors {
        let range = error.span().unwrap_or(0..0);
        let date = is_like_a_date(text, range.start);
        reader.report.push(
            Diagnostic::error("J002", format!("this is not TOML: {}", error.message()))
                .at(Some(Span::new(file, range.clone())))
                .expected(if date { "a date as year-month-day" } else { "key = value, with texts in quotes" })
                .example(if date { "date = 2026-03-31" } else { "name = \"a text\"" }),
        );
        slips.push(range.start);
    }
    let syntax = reader.report.problems.len();
    let range = table.span();
    let value = DeValue::Table(table.into_inner());
    let node = Node { value: &value, range, key: String::new() };
    let read = read(&node, &mut reader);
    let mut report = reader.report;
    // What the parser made of a broken value says nothing about it.
    let mut place = 0;
    report.problems.retain(|p| {
        place += 1;
        place <= syntax || p.span.as_ref().is_none_or(|s| !slips.contains(&s.range.start))
    });
    report.sort();
    (if broken { None } else { read }, report)
}

/// Whether what stands at or around a place is written like a date: a key, an equals
/// sign and digits in groups.
fn is_like_a_date(text: &str, at: usize) -> bool {
    let before = text.get(..at).unwrap_or(text);
    let line = text.get(before.rfind('\n').map_or(0, |end| end + 1)..).unwrap_or_default();
    let line = line.lines().next().unwrap_or_default();
    let Some((_, value)) = line.split_once('=') else { return false };
    let mut groups = value.trim_start().splitn(3, ['-', '/', '.']);
    let digits =
        |group: Option<&str>| group.is_some_and(|g| !g.is_empty() && g.bytes().all(|b| b.is_ascii_digit()));
    digits(groups.next())
        && digits(groups.next())
        && groups.next().is_some_and(|g| g.starts_with(|c: char| c.is_ascii_digit()))
}
