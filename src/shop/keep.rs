//! What is kept of a shop book with a traveler: the rows its plan used, and of
//! those no PIN. The rest of the book is nobody's business but the shop's.

use std::collections::BTreeSet;

use toml::{Table, Value};

use super::Book;
use crate::diagnostic::Diagnostic;

/// Ids of the rows a plan used.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Used {
    /// People; their tests go with them.
    pub people: BTreeSet<String>,
    /// Welding procedures.
    pub wps: BTreeSet<String>,
    /// Welding machines.
    pub machines: BTreeSet<String>,
    /// Instruments and torque tools.
    pub tools: BTreeSet<String>,
    /// Lots of filler, metal, gas and fasteners.
    pub lots: BTreeSet<String>,
}

impl Used {
    /// The book with these rows only, and of those no PIN.
    #[must_use]
    pub fn of(&self, book: &Book) -> Book {
        let mut kept = book.clone();
        kept.person.retain(|p| self.people.contains(&p.id.0));
        for person in &mut kept.person {
            person.pin = None;
        }
        kept.qualification.retain(|q| self.people.contains(&q.person.0));
        kept.wps.retain(|w| self.wps.contains(&w.id.0));
        kept.machine.retain(|m| self.machines.contains(&m.id.0));
        kept.instrument.retain(|i| self.tools.contains(&i.id.0));
        kept.torque_tool.retain(|t| self.tools.contains(&t.id.0));
        kept.lot.retain(|l| self.lots.contains(&l.id.0));
        kept
    }
}

/// Keys of the book itself that decide what stands on paper.
const HEAD: &[&str] = &["title", "seal", "level", "rule"];
/// Preferences that decide what stands on paper.
const PREFERENCES: &[&str] = &["units", "fraction", "paper", "disclaimer"];
/// What is kept of a person.
const PERSON: &[&str] =
    &["id", "name", "role", "stamp", "initials", "certificate", "certificate_until", "public_key", "until"];

/// The text of a book with nothing in it but what was used. A key that is not
/// known to be needed is left out, so that a new secret can't slip through.
///
/// # Errors
/// If the book is no TOML, or can't be written again.
pub fn keep(name: &str, text: &str, used: &Used) -> Result<String, Diagnostic> {
    let bad = |why: String| {
        Diagnostic::error("S083", format!("{name} can't be kept with the traveler: {why}"))
            .help("mend what `tackwright shop` lists, then try again")
    };
    let book: Table = toml::from_str(text).map_err(|e| bad(e.message().to_owned()))?;
    let mut kept = Table::new();
    for (key, value) in book {
        let value = match key.as_str() {
            key if HEAD.contains(&key) => Some(value),
            "preference" => Some(only(value, PREFERENCES)),
            "person" => rows(value, "id", &used.people)
                .map(|list| Value::Array(list.into_iter().map(|row| only(row, PERSON)).collect())),
            "qualification" => rows(value, "person", &used.people).map(Value::Array),
            "wps" => rows(value, "id", &used.wps).map(|list| {
                // Who released a procedure need not be among the people kept.
                Value::Array(list.into_iter().map(|row| without(row, "released_by", &used.people)).collect())
            }),
            "machine" => rows(value, "id", &used.machines).map(Value::Array),
            "instrument" | "torque_tool" => rows(value, "id", &used.tools).map(Value::Array),
            "lot" => rows(value, "id", &used.lots).map(Value::Array),
            _ => None,
        };
        if let Some(value) = value {
            kept.insert(key, value);
        }
    }
    toml::to_string(&kept).map_err(|e| bad(e.to_string()))
}

/// Rows of a list whose `key` is among the wanted ones; none if there are none.
fn rows(list: Value, key: &str, wanted: &BTreeSet<String>) -> Option<Vec<Value>> {
    let list = match list {
        Value::Array(list) => list,
        one => vec![one],
    };
    let is = |row: &Value| row.get(key).and_then(Value::as_str).is_some_and(|id| wanted.contains(id));
    let kept: Vec<Value> = list.into_iter().filter(is).collect();
    (!kept.is_empty()).then_some(kept)
}

/// A table with these keys only.
fn only(value: Value, keys: &[&str]) -> Value {
    match value {
        Value::Table(table) => {
            Value::Table(table.into_iter().filter(|(key, _)| keys.contains(&key.as_str())).collect())
        }
        other => other,
    }
}

/// A table without `key` unless its value is among the kept ones.
fn without(value: Value, key: &str, kept: &BTreeSet<String>) -> Value {
    match value {
        Value::Table(mut table) => {
            if table.get(key).and_then(Value::as_str).is_some_and(|id| !kept.contains(id)) {
                table.remove(key);
            }
            Value::Table(table)
        }
        other => other,
    }
}
