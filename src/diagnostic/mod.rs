//! Located problems as plain data.
//!
//! A file's problems are collected in a [`Report`], all of them, before anybody
//! decides what to do. How they look on a terminal is decided elsewhere.

pub mod codes;

use std::ops::Range;

use serde::Serialize;

/// How bad it is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Severity {
    /// The file can't be used.
    Error,
    /// It can be read, but no traveler is issued before this is settled.
    Stop,
    /// It can, but a shop lead should look.
    Warning,
    /// A blank the lead still has to fill before work can start.
    Blank,
}

/// Where in which file, in bytes.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Span {
    /// Name of the file as the user gave it.
    pub file: String,
    /// Byte range in its text.
    pub range: Range<usize>,
}

impl Span {
    /// `range` counts bytes of the text of `file`.
    #[must_use]
    pub fn new(file: &str, range: Range<usize>) -> Self {
        Self { file: file.to_owned(), range }
    }
}

/// One problem, with everything a person needs to mend it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Diagnostic {
    /// Whether it keeps the file from being used, or only a traveler from being issued.
    pub severity: Severity,
    /// Stable code such as `J104`: J job file, Q quantity, F figure, P procedure,
    /// R routing, S shop book, T traveler, L record log.
    pub code: &'static str,
    /// What is wrong, naming the thing.
    pub message: String,
    /// Where, if a file is to blame.
    pub span: Option<Span>,
    /// The key path, such as `axle.front.tube.od`.
    pub key: String,
    /// The rule of the record that says no, in a few words; empty where none does.
    #[serde(skip_serializing_if = "String::is_empty")]
    pub rule: String,
    /// What was expected.
    pub expected: String,
    /// A right value to write instead.
    pub example: String,
    /// Further help, one sentence each.
    pub help: Vec<String>,
}

impl Diagnostic {
    fn new(severity: Severity, code: &'static str, message: impl Into<String>) -> Self {
        Self {
            severity,
            code,
            message: message.into(),
            span: None,
            key: String::new(),
            rule: String::new(),
            expected: String::new(),
            example: String::new(),
            help: Vec::new(),
        }
    }

    /// Something that keeps the file from being used.
    #[must_use]
    pub fn error(code: &'static str, message: impl Into<String>) -> Self {
        Self::new(Severity::Error, code, message)
    }

    /// Something that stops the issue of a traveler.
    #[must_use]
    pub fn stop(code: &'static str, message: impl Into<String>) -> Self {
        Self::new(Severity::Stop, code, message)
    }

    /// Something a shop lead should look at; it stops nothing.
    #[must_use]
    pub fn warning(code: &'static str, message: impl Into<String>) -> Self {
        Self::new(Severity::Warning, code, message)
    }

    /// A blank to fill.
    #[must_use]
    pub fn blank(code: &'static str, message: impl Into<String>) -> Self {
        Self::new(Severity::Blank, code, message)
    }

    /// Adds the place.
    #[must_use]
    pub fn at(mut self, span: Option<Span>) -> Self {
        self.span = span;
        self
    }

    /// Adds the key path.
    #[must_use]
    pub fn key(mut self, key: impl Into<String>) -> Self {
        self.key = key.into();
        self
    }

    /// Adds the rule that says no.
    #[must_use]
    pub fn rule(mut self, rule: impl Into<String>) -> Self {
        self.rule = rule.into();
        self
    }

    /// Adds what was expected.
    #[must_use]
    pub fn expected(mut self, expected: impl Into<String>) -> Self {
        self.expected = expected.into();
        self
    }

    /// Adds an example of a right value.
    #[must_use]
    pub fn example(mut self, example: impl Into<String>) -> Self {
        self.example = example.into();
        self
    }

    /// What is to be written, a line of the file each: of `a = "1" and b = "2"` two lines.
    #[must_use]
    pub fn to_write(&self) -> Vec<&str> {
        let assigns = |text: &str| {
            text.split_once(" = ").is_some_and(|(key, _)| {
                !key.is_empty() && key.chars().all(|c| c.is_ascii_lowercase() || c == '_')
            })
        };
        let mut lines = Vec::new();
        let mut rest = self.example.as_str();
        // Between two ways stands an "or": they stay one line.
        let several = assigns(rest) && !rest.contains(" or ");
        while let Some((line, next)) = rest.split_once(" and ").filter(|(_, next)| several && assigns(next)) {
            lines.push(line);
            rest = next;
        }
        lines.push(rest);
        lines
    }

    /// The same where a reason in the file sets it aside: what would stop the issue is told
    /// then, with that reason; it is never passed over. What can't be stays as it is.
    #[must_use]
    pub fn unless_sure(mut self, why: Option<&str>) -> Self {
        let Some(why) = why.map(str::trim).filter(|why| !why.is_empty()) else { return self };
        if self.severity == Severity::Stop {
            self.severity = Severity::Warning;
            self.message = format!("{}; the file says: {why}", self.message);
            self.help.retain(|help| !help.contains("sure = "));
        }
        self
    }

    /// The same with every sentence said otherwise; what is to be written stays.
    pub fn reword(&mut self, say: impl Fn(&str) -> String) {
        for text in [&mut self.message, &mut self.expected].into_iter().chain(&mut self.help) {
            *text = say(text);
        }
    }

    /// Adds a sentence of help.
    #[must_use]
    pub fn help(mut self, help: impl Into<String>) -> Self {
        self.help.push(help.into());
        self
    }
}

/// All problems found so far, in the order they were found.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize)]
pub struct Report {
    /// Of every severity, warnings and blanks among them.
    pub problems: Vec<Diagnostic>,
}

impl Report {
    /// An empty report.
    #[must_use]
    pub fn new() -> Self {
        Self::default()
    }

    /// Adds one problem.
    pub fn push(&mut self, problem: Diagnostic) {
        self.problems.push(problem);
    }

    /// Takes over all problems of another report.
    pub fn extend(&mut self, other: Report) {
        self.problems.extend(other.problems);
    }

    /// Whether any problem is an error.
    #[must_use]
    pub fn has_errors(&self) -> bool {
        self.count(Severity::Error) > 0
    }

    /// Whether anything stops the issue of a traveler.
    #[must_use]
    pub fn stops(&self) -> bool {
        self.problems.iter().any(|p| matches!(p.severity, Severity::Error | Severity::Stop))
    }

    /// The same with every sentence of every problem said otherwise.
    pub fn reword(&mut self, say: impl Fn(&str) -> String) {
        self.problems.iter_mut().for_each(|problem| problem.reword(&say));
    }

    /// How many problems have this severity.
    #[must_use]
    pub fn count(&self, severity: Severity) -> usize {
        self.problems.iter().filter(|p| p.severity == severity).count()
    }

    /// Sorts by file position, unlocated problems last, so that a person can
    /// walk down the file once.
    pub fn sort(&mut self) {
        self.problems
            .sort_by_key(|p| (p.span.is_none(), p.span.as_ref().map(|s| (s.file.clone(), s.range.start))));
    }
}

/// The name in `choices` nearest to `given`, if one is near enough to be a
/// likely slip of the fingers.
#[must_use]
pub fn nearest<'a>(given: &str, choices: impl IntoIterator<Item = &'a str>) -> Option<&'a str> {
    let given = given.to_lowercase();
    let score = |choice: &str| {
        let choice = choice.to_lowercase();
        // One slip of the finger in a word says more than a shared beginning.
        let slip = choice.chars().count() > 2 && strsim::osa_distance(&given, &choice) <= 1;
        strsim::jaro_winkler(&given, &choice) + if slip { 1.0 } else { 0.0 }
    };
    choices
        .into_iter()
        .map(|c| (score(c), c))
        .filter(|(score, _)| *score > 0.78)
        .max_by(|a, b| a.0.total_cmp(&b.0))
        .map(|(_, c)| c)
}
