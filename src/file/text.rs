//! Texts, ids and dates, with what may not stand in them.

use std::fmt;

use chrono::{Datelike as _, NaiveDate};
use serde_json::{Value as Json, json};
use toml::de::DeValue;

use super::field::last;
use super::{Field, Node, Reader, mend};
use crate::diagnostic::Diagnostic;
use crate::term::empty::{gives_no_reason, says_nothing};
use crate::term::unseen::{breaks_line, hidden};

/// Longest text of one key, in characters: more does not belong on a traveler.
const LONGEST: usize = 4000;

/// What stands for a required value that is still blank: a line to write on.
/// Nobody can type it as an id, which starts with a letter or a digit.
pub(super) const LINE: &str = "__________";

/// A free text. It is data everywhere: nothing in it is ever evaluated.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub struct Text(pub String);

impl fmt::Display for Text {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.0)
    }
}

impl std::ops::Deref for Text {
    type Target = str;
    fn deref(&self) -> &str {
        &self.0
    }
}

/// The text behind a node, if it may stand on paper.
pub(super) fn text(node: &Node<'_>, reader: &mut Reader) -> Option<String> {
    let key = last(&node.key);
    let DeValue::String(text) = node.value else {
        reader.problem(
            node,
            Diagnostic::error("J010", format!("{key} is {}", node.kind()))
                .expected("a text in quotes")
                .example(match mend::written(node.value) {
                    Some(own) => format!("{key} = \"{own}\""),
                    None => format!("{key} = \"…\""),
                }),
        );
        return None;
    };
    if text.trim().is_empty() {
        reader.problem(
            node,
            Diagnostic::blank("J005", format!("{key} is still blank"))
                .expected("a text")
                .example(format!("{key} = \"…\"")),
        );
        return None;
    }
    let length = text.chars().count();
    if length > LONGEST {
        reader.problem(
            node,
            Diagnostic::error("J011", format!("{key} has {length} characters"))
                .expected(format!("at most {LONGEST} characters"))
                .example("a few sentences; attach long documents outside the traveler"),
        );
        return None;
    }
    if let Some(bad) = hidden(text) {
        reader.problem(
            node,
            Diagnostic::error(
                "J012",
                format!("{key} holds the invisible character U+{:04X}", u32::from(bad)),
            )
            .expected("text without control characters and direction marks")
            .example("delete the character; type the text anew if you can't see it"),
        );
        return None;
    }
    Some(in_one_line(text))
}

/// A text of several lines as one: what a file says begins no line of a page.
fn in_one_line(text: &str) -> String {
    let lines = text.split(breaks_line).map(str::trim).filter(|line| !line.is_empty());
    if text.contains(breaks_line) { lines.collect::<Vec<_>>().join(" ") } else { text.to_owned() }
}

impl Text {
    /// Whether it stands for a text that is still blank.
    #[must_use]
    pub fn is_blank(&self) -> bool {
        self.0 == LINE
    }
}

/// Keys whose text says why, from where, or what somebody signs for. A key that is added
/// to a file and asks for such a text belongs here.
pub const REASONS: &[&str] = &[
    "why",
    "sure",
    "source",
    "reason",
    "description",
    "asked",
    "hold",
    "what",
    "decided",
    "values_from",
    "torque_from",
    "caution",
    "kept",
    "out_of_service",
];

/// Refuses a text that only fills its box.
fn says(text: String, node: &Node<'_>, reader: &mut Reader) -> Option<String> {
    let key = last(&node.key);
    // Of a change it is who asked: a name says enough.
    let name = key == "asked" && node.key.starts_with("change");
    let reason = REASONS.contains(&key) && !name;
    if !(says_nothing(&text) || reason && gives_no_reason(&text)) {
        return Some(text);
    }
    reader.problem(
        node,
        Diagnostic::error("J017", format!("{key} = \"{}\" says nothing", shorten(text.trim())))
            .expected(if reason { "what it rests on, in words somebody else can follow" } else { "a text" })
            .example(format!("{key} = \"…\", or {key} = \"\" while it is not known")),
    );
    None
}

impl Field for Text {
    fn read(node: &Node<'_>, reader: &mut Reader) -> Option<Self> {
        let text = text(node, reader)?;
        says(text, node, reader).map(|t| Self(t.trim().to_owned()))
    }

    fn stand_in(_node: &Node<'_>, _reader: &Reader) -> Option<Self> {
        Some(Self(LINE.to_owned()))
    }

    fn schema() -> Json {
        json!({ "type": "string", "maxLength": LONGEST })
    }

    fn expected() -> String {
        "a text".to_owned()
    }
}

/// A short name other keys refer to: letters, digits, hyphens.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub struct Id(pub String);

impl fmt::Display for Id {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.0)
    }
}

impl std::ops::Deref for Id {
    type Target = str;
    fn deref(&self) -> &str {
        &self.0
    }
}

impl Id {
    /// Whether it stands for an id that is still blank.
    #[must_use]
    pub fn is_blank(&self) -> bool {
        self.0 == LINE
    }
}

impl Field for Id {
    fn stand_in(_node: &Node<'_>, _reader: &Reader) -> Option<Self> {
        Some(Self(LINE.to_owned()))
    }

    fn read(node: &Node<'_>, reader: &mut Reader) -> Option<Self> {
        let text = text(node, reader)?;
        let fits = text.len() <= 60
            && text.chars().all(|c| c.is_ascii_alphanumeric() || matches!(c, '-' | '_' | '.'))
            && text.starts_with(|c: char| c.is_ascii_alphanumeric());
        if fits {
            return Some(Self(text));
        }
        let key = last(&node.key);
        reader.problem(
            node,
            Diagnostic::error("J013", format!("{key} \"{}\" can't be used as a name", shorten(&text)))
                .expected(Self::expected())
                .example(match mend::id(&text) {
                    Some(meant) => format!("{key} = \"{meant}\""),
                    None => format!("{key} = \"front-axle\""),
                }),
        );
        None
    }

    fn schema() -> Json {
        json!({ "type": "string", "pattern": "^[A-Za-z0-9][A-Za-z0-9_.-]{0,59}$" })
    }

    fn expected() -> String {
        "letters, digits and hyphens, at most 60".to_owned()
    }
}

/// An operation as it is named: by its id, or with the component before it, as
/// lists of operations print it.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub struct OperationName(pub String);

impl OperationName {
    /// Whether it stands for a name that is still blank.
    #[must_use]
    pub fn is_blank(&self) -> bool {
        self.0 == LINE
    }
}

impl fmt::Display for OperationName {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.0)
    }
}

impl Field for OperationName {
    fn stand_in(_node: &Node<'_>, _reader: &Reader) -> Option<Self> {
        Some(Self(LINE.to_owned()))
    }

    fn read(node: &Node<'_>, reader: &mut Reader) -> Option<Self> {
        let text = text(node, reader)?;
        let part = |p: &str| {
            p.starts_with(|c: char| c.is_ascii_alphanumeric())
                && p.chars().all(|c| c.is_ascii_alphanumeric() || matches!(c, '-' | '_' | '.'))
        };
        if text.len() <= 121 && text.split('/').count() <= 2 && text.split('/').all(part) {
            return Some(Self(text));
        }
        reader.problem(
            node,
            Diagnostic::error("J013", format!("\"{}\" can't be the name of an operation", shorten(&text)))
                .expected(Self::expected())
                .example("[\"receive\"]"),
        );
        None
    }

    fn schema() -> Json {
        json!({ "type": "string", "pattern": "^[A-Za-z0-9][A-Za-z0-9_.-]*(/[A-Za-z0-9][A-Za-z0-9_.-]*)?$" })
    }

    fn expected() -> String {
        "an operation as `tackwright route` names it: receive, or front/fit-u-bolts".to_owned()
    }
}

/// A text cut to a length that fits a message.
#[must_use]
pub(super) fn shorten(text: &str) -> String {
    if text.chars().count() <= 40 {
        return text.to_owned();
    }
    text.chars().take(39).chain(['…']).collect()
}

/// Years a date of a job or a shop book can lie in: nobody who signs was at work before
/// them, and nothing is promised or runs out after them.
const YEARS: std::ops::RangeInclusive<i32> = 1960..=2099;

/// A calendar date.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct Date(pub NaiveDate);

impl Date {
    /// Whether it stands for a date that is still blank.
    #[must_use]
    pub fn is_blank(self) -> bool {
        self.0 == NaiveDate::MIN
    }
}

impl fmt::Display for Date {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        if self.is_blank() {
            return f.write_str(LINE);
        }
        write!(f, "{}", self.0.format("%Y-%m-%d"))
    }
}

impl Field for Date {
    fn stand_in(_node: &Node<'_>, _reader: &Reader) -> Option<Self> {
        Some(Self(NaiveDate::MIN))
    }

    fn read(node: &Node<'_>, reader: &mut Reader) -> Option<Self> {
        let text = match node.value {
            DeValue::Datetime(date) if date.time.is_none() => date.to_string(),
            DeValue::String(text) => text.to_string(),
            _ => String::from("?"),
        };
        let key = last(&node.key);
        if text.trim().is_empty() {
            let blank = Diagnostic::blank("J005", format!("{key} is still blank"));
            reader.problem(
                node,
                blank.expected(Self::expected()).example(format!("{key} = …, as year-month-day")),
            );
            return None;
        }
        if let Ok(date) = NaiveDate::parse_from_str(text.trim(), "%Y-%m-%d") {
            if YEARS.contains(&date.year()) {
                return Some(Self(date));
            }
            reader.problem(
                node,
                Diagnostic::error("J018", format!("{key} = {date} is no day of a shop's life"))
                    .expected(format!("a year from {} to {}", YEARS.start(), YEARS.end()))
                    .example(
                        match mend::date(&text)
                            .into_iter()
                            .filter(|day| *day != text.trim())
                            .collect::<Vec<_>>()
                        {
                            days if days.is_empty() => format!("{key} = …, with its year"),
                            days => format!("{key} = {}", days.join(" or ")),
                        },
                    ),
            );
            return None;
        }
        reader.problem(
            node,
            Diagnostic::error("J014", format!("{key} is not a date")).expected(Self::expected()).example(
                match mend::date(&text).as_slice() {
                    [] => format!("{key} = …, as year-month-day"),
                    days => format!("{key} = {}", days.join(" or ")),
                },
            ),
        );
        None
    }

    fn schema() -> Json {
        json!({ "type": "string", "format": "date" })
    }

    fn expected() -> String {
        "a date as year-month-day".to_owned()
    }
}
