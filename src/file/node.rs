//! The parsed file with positions, and the collector of problems.

use std::collections::BTreeSet;
use std::ops::Range;

use toml::Spanned;
use toml::de::{DeTable, DeValue};

use super::slip;
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
    /// First bytes of the values that are read as if they were not there.
    held: BTreeSet<usize>,
    /// Whether the file says that it is written in metric units.
    pub(super) metric: bool,
    /// Problems so far.
    pub report: Report,
}

impl Reader {
    /// A reader for the file of this name.
    #[must_use]
    pub fn new(file: &str) -> Self {
        Self { file: file.to_owned(), held: BTreeSet::new(), metric: false, report: Report::new() }
    }

    /// Whether the value at a node is held back: read as if it were not there.
    #[must_use]
    pub fn holds(&self, node: &Node<'_>) -> bool {
        self.held.contains(&node.range.start)
    }

    /// A span in this file.
    #[must_use]
    pub fn span(&self, range: Range<usize>) -> Span {
        Span::new(&self.file, range)
    }

    /// Adds a problem at a node.
    pub fn problem(&mut self, node: &Node<'_>, mut problem: Diagnostic) {
        // An entry of a list is mended in its list, not instead of it.
        if let Some((list, values)) = problem.example.split_once(" = ")
            && node.key.ends_with(']')
            && list == super::last(&node.key)
            && ["Q0", "J10"].iter().any(|of_quantities| problem.code.starts_with(of_quantities))
        {
            problem.example = format!("{values}, in its place in {list}");
        }
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
    parse_without(file, text, BTreeSet::new(), read)
}

/// As [`parse`], with the values left out that begin at these bytes.
pub fn parse_without<T>(
    file: &str,
    text: &str,
    held: BTreeSet<usize>,
    read: impl FnOnce(&Node<'_>, &mut Reader) -> Option<T>,
) -> (Option<T>, Report) {
    let mut reader = Reader { held, ..Reader::new(file) };
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
    let mut headings: Vec<(String, usize)> = Vec::new();
    for error in errors {
        let slip = slip::slip(text, error.span().unwrap_or(0..0), error.message());
        // A table of that name is there twice only because its heading was misread.
        if slip.message.starts_with("the table ") && slip::names(text, &slip, &headings) {
            continue;
        }
        // What else goes wrong in a line that went wrong already says nothing.
        let lines =
            [slip.range.start, error.span().unwrap_or(0..0).start].map(|at| slip::line_start(text, at));
        if lines.iter().any(|line| slips.contains(line)) {
            continue;
        }
        slips.extend(lines);
        slips.extend(slip.and_next);
        headings.extend(slip.heading.clone().map(|name| (name, reader.report.problems.len())));
        reader.report.push(
            Diagnostic::error("J002", slip.message)
                .at(Some(Span::new(file, slip.range)))
                .expected(slip.expected)
                .example(slip.example),
        );
    }
    let syntax = reader.report.problems.len();
    let range = table.span();
    let value = DeValue::Table(table.into_inner());
    let node = Node { value: &value, range, key: String::new() };
    reader.metric = super::plausible::metric(&node);
    let read = read(&node, &mut reader);
    let mut report = reader.report;
    // How often there is such a table, the reader of the file knows.
    for (name, at) in &headings {
        let line = |p: &Diagnostic| p.span.as_ref().map(|s| slip::line_start(text, s.range.start));
        let own = report.problems.get(*at).and_then(line);
        let known = report.problems.iter().skip(syntax).find(|p| {
            p.code == "J010" && line(p) == own && p.example.trim_matches(['[', ']']) == name.as_str()
        });
        let (Some(known), Some(_)) = (known.map(|p| p.example.clone()), own) else { continue };
        if let Some(slip) = report.problems.get_mut(*at) {
            let behind = slip.example.split_once(" # ").map(|(_, rest)| format!(" # {rest}"));
            slip.example = format!("{known}{}", behind.unwrap_or_default());
        }
    }
    // What the parser made of a broken value says nothing about it.
    let mut place = 0;
    report.problems.retain(|p| {
        place += 1;
        place <= syntax
            || p.span.as_ref().is_none_or(|s| !slips.contains(&slip::line_start(text, s.range.start)))
    });
    report.sort();
    (if broken { None } else { read }, report)
}

/// Where the value of a key path such as `axle[0].tube.od` stands in a text, in bytes;
/// none if it has no such key, or a table stands there.
#[must_use]
pub fn place_of(text: &str, path: &str) -> Option<Range<usize>> {
    places_of(text, &[path]).pop().flatten()
}

/// The texts under one key of every table of these lists: the ids of all axles.
#[must_use]
pub fn names_under(text: &str, lists: &[&str], key: &str) -> Vec<String> {
    let (table, _) = DeTable::parse_recoverable(text);
    let mut names = Vec::new();
    for list in lists {
        let Some(DeValue::Array(items)) = table.get_ref().get(*list).map(Spanned::get_ref) else { continue };
        names.extend(items.iter().filter_map(|item| match item.get_ref() {
            DeValue::Table(row) => match row.get(key)?.get_ref() {
                DeValue::String(text) => Some(text.to_string()),
                _ => None,
            },
            _ => None,
        }));
    }
    names
}

/// As [`place_of`], of several.
#[must_use]
pub fn places_of(text: &str, paths: &[&str]) -> Vec<Option<Range<usize>>> {
    if paths.is_empty() {
        return Vec::new();
    }
    let (table, _) = DeTable::parse_recoverable(text);
    paths.iter().map(|path| place(table.get_ref(), path)).collect()
}

fn place(table: &DeTable<'_>, path: &str) -> Option<Range<usize>> {
    let mut steps = path.split('.').flat_map(|part| {
        let (name, index) = part.split_once('[').map_or((part, None), |(n, i)| (n, Some(i)));
        let index = index.and_then(|i| i.trim_end_matches(']').parse::<usize>().ok());
        std::iter::once(Err(name)).chain(index.map(Ok))
    });
    let first = steps.next()?.err()?;
    let mut value = table.get(first)?;
    for step in steps {
        value = match (step, value.get_ref()) {
            (Err(name), DeValue::Table(table)) => table.get(name)?,
            (Ok(index), DeValue::Array(items)) => items.get(index)?,
            _ => return None,
        };
    }
    (!matches!(value.get_ref(), DeValue::Table(_))).then(|| value.span())
}
