//! What can stand behind a key.

use std::ops::Deref;

use serde_json::{Value as Json, json};
use toml::de::DeValue;

use super::{Node, Reader, mend};
use crate::diagnostic::{Diagnostic, Span};
use crate::quantity::{Dimensioned, Kind, Quantity, Style, parse};
use crate::term::Sketch;

/// A value together with where it was written.
#[derive(Debug, Clone, PartialEq)]
pub struct Located<T> {
    /// What was read; dereferencing leads to it as well.
    pub value: T,
    /// Where it stands.
    pub span: Span,
    /// Key path.
    pub key: String,
}

impl<T> Deref for Located<T> {
    type Target = T;
    fn deref(&self) -> &T {
        &self.value
    }
}

/// A type that can be read from a node and described to an editor.
pub trait Field: Sized {
    /// Reads the value; problems go to the reader. `None` if it can't be used.
    fn read(node: &Node<'_>, reader: &mut Reader) -> Option<Self>;

    /// What stands in for a value a record can't do without while it is still
    /// blank, so that the rest of the file can be checked. `None` if nothing can.
    #[must_use]
    fn stand_in(_node: &Node<'_>, _reader: &Reader) -> Option<Self> {
        None
    }

    /// JSON Schema of the value.
    fn schema() -> Json;

    /// Adds every number of the value with its key path and kind: each has a row of
    /// bounds, or a reason why it has none.
    fn numbers(_path: &str, _into: &mut Vec<(String, Kind)>) {}

    /// What is expected, in words.
    fn expected() -> String;
}

impl<T: Field> Field for Located<T> {
    fn read(node: &Node<'_>, reader: &mut Reader) -> Option<Self> {
        let value = T::read(node, reader)?;
        Some(Self { value, span: reader.span(node.range.clone()), key: node.key.clone() })
    }

    fn stand_in(node: &Node<'_>, reader: &Reader) -> Option<Self> {
        let value = T::stand_in(node, reader)?;
        Some(Self { value, span: reader.span(node.range.clone()), key: node.key.clone() })
    }

    fn schema() -> Json {
        T::schema()
    }

    fn numbers(path: &str, into: &mut Vec<(String, Kind)>) {
        T::numbers(path, into);
    }

    fn expected() -> String {
        T::expected()
    }
}

/// A quantity with the standard uncertainty written beside it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Reading<T> {
    /// As written, without its uncertainty.
    pub value: T,
    /// Standard uncertainty in SI units, zero if none was written.
    pub uncertainty: f64,
    /// Whether it stands in a file in metric units.
    pub metric: bool,
}

impl<T: Dimensioned> Reading<T> {
    /// A style with the units of its file first.
    #[must_use]
    pub const fn first(&self, style: Style) -> Style {
        if self.metric { style.metric_first() } else { style }
    }
}

impl<T: Dimensioned> Field for Reading<T> {
    fn read(node: &Node<'_>, reader: &mut Reader) -> Option<Self> {
        let text = match node.value {
            DeValue::String(text) => text.to_string(),
            // A bare number is right where the kind has a unit without symbol.
            DeValue::Integer(number) => number.to_string().replace('_', ""),
            DeValue::Float(number) => number.as_str().replace('_', ""),
            _ => {
                reader.problem(
                    node,
                    Diagnostic::error("J010", format!("{} is {}", last(&node.key), node.kind()))
                        .expected(Self::expected())
                        .example(format!("{} = \"{}\"", last(&node.key), T::KIND.example())),
                );
                return None;
            }
        };
        if text.trim().is_empty() {
            reader.problem(
                node,
                sketched(
                    Diagnostic::blank("J005", format!("{} is still blank", last(&node.key)))
                        .expected(Self::expected())
                        .example(format!("{} = \"{}\"", last(&node.key), T::KIND.example())),
                    &node.key,
                ),
            );
            return None;
        }
        match parse::measured(T::KIND, &text) {
            Ok(measured) => {
                let value: Option<T> = Quantity::typed(measured.value);
                value.map(|value| Self { value, uncertainty: measured.uncertainty, metric: reader.metric })
            }
            Err(error) => {
                reader.problem(
                    node,
                    Diagnostic::error("Q001", format!("{}: {}", last(&node.key), error.message))
                        .expected(error.expected)
                        .example(format!("{} = {}", last(&node.key), error.example)),
                );
                None
            }
        }
    }

    fn schema() -> Json {
        json!({ "type": "string", "description": Self::expected(), "examples": [T::KIND.example()] })
    }

    fn numbers(path: &str, into: &mut Vec<(String, Kind)>) {
        into.push((path.to_owned(), T::KIND));
    }

    fn expected() -> String {
        format!("{} with its unit ({})", T::KIND.with_article(), T::KIND.unit_list())
    }
}

/// Names the sketch that shows where a key is measured, if there is one.
fn sketched(problem: Diagnostic, key: &str) -> Diagnostic {
    match Sketch::of_key(key) {
        Some(sketch) => problem.help(format!(
            "sketch {} shows it: tackwright new --sketches --out sketches.pdf",
            sketch.number()
        )),
        None => problem,
    }
}

/// Whether a value is an empty text, the mark of something still to be filled
/// in; reported if so.
pub fn still_blank<T: Field>(node: &Node<'_>, reader: &mut Reader, example: &str) -> bool {
    let DeValue::String(text) = node.value else { return false };
    if !text.trim().is_empty() {
        return false;
    }
    let key = last(&node.key);
    let blank = Diagnostic::blank("J005", format!("{key} is still blank"));
    reader.problem(node, blank.expected(T::expected()).example(format!("{key} = {example}")));
    true
}

impl Field for bool {
    fn read(node: &Node<'_>, reader: &mut Reader) -> Option<Self> {
        if still_blank::<Self>(node, reader, "true") {
            return None;
        }
        if let DeValue::Boolean(flag) = node.value {
            return Some(*flag);
        }
        let problem = Diagnostic::error("J010", format!("{} is {}", last(&node.key), node.kind()));
        reader.problem(
            node,
            problem.expected(Self::expected()).example(format!(
                "{} = {}",
                last(&node.key),
                mend::flag(node.value)
            )),
        );
        None
    }

    fn schema() -> Json {
        json!({ "type": "boolean" })
    }

    fn expected() -> String {
        "true or false".to_owned()
    }
}

impl Field for u32 {
    fn read(node: &Node<'_>, reader: &mut Reader) -> Option<Self> {
        if still_blank::<Self>(node, reader, "4") {
            return None;
        }
        if let DeValue::Integer(number) = node.value
            && let Ok(value) = u32::from_str_radix(&number.as_str().replace('_', ""), number.radix())
        {
            return Some(value);
        }
        let problem = Diagnostic::error("J010", format!("{} is not a whole number", last(&node.key)));
        let meant = mend::whole(node.value).unwrap_or_else(|| "4".to_owned());
        reader.problem(
            node,
            problem.expected(Self::expected()).example(format!("{} = {meant}", last(&node.key))),
        );
        None
    }

    fn schema() -> Json {
        json!({ "type": "integer", "minimum": 0 })
    }

    fn numbers(path: &str, into: &mut Vec<(String, Kind)>) {
        into.push((path.to_owned(), Kind::Number));
    }

    fn expected() -> String {
        "a whole number, not negative".to_owned()
    }
}

impl<T: Field> Field for Vec<T> {
    fn read(node: &Node<'_>, reader: &mut Reader) -> Option<Self> {
        let DeValue::Array(items) = node.value else {
            // One value may stand for a list of one, unless tables are wanted.
            if !matches!(node.value, DeValue::Table(_)) {
                return T::read(node, reader).map(|value| vec![value]);
            }
            let key = last(&node.key);
            reader.problem(
                node,
                Diagnostic::error("J010", format!("{key} is a single table"))
                    .expected("a list of tables")
                    .example(format!("[[{key}]]")),
            );
            return None;
        };
        let mut all = Vec::with_capacity(items.len());
        for (index, item) in items.iter().enumerate() {
            let child = Node::new(item, format!("{}[{index}]", node.key));
            if !reader.holds(&child) {
                all.extend(T::read(&child, reader));
            }
        }
        Some(all)
    }

    fn schema() -> Json {
        json!({ "type": "array", "items": T::schema() })
    }

    fn numbers(path: &str, into: &mut Vec<(String, Kind)>) {
        T::numbers(path, into);
    }

    fn expected() -> String {
        format!("a list, each {}", T::expected())
    }
}

/// The last part of a key path, as a person would type it.
#[must_use]
pub fn last(key: &str) -> &str {
    let end = key.rsplit('.').next().unwrap_or(key);
    end.split('[').next().unwrap_or(end)
}
