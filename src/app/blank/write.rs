//! Writing one table of a job file: help as comments, values, blanks.

use crate::file::{FieldSpec, Record};

/// A table to be written.
#[derive(Debug, Clone)]
pub(super) struct Table {
    heading: String,
    about: &'static str,
    fields: Vec<FieldSpec>,
    set: Vec<(&'static str, String)>,
    wanted: Vec<String>,
}

impl Table {
    /// A table with the keys of a record; `heading` such as `[axle.tube]`.
    pub(super) fn of<R: Record>(heading: impl Into<String>) -> Self {
        Self {
            heading: heading.into(),
            about: R::ABOUT.trim(),
            fields: R::fields(),
            set: Vec::new(),
            wanted: Vec::new(),
        }
    }

    /// Writes `key = value`, with the value as TOML.
    pub(super) fn set(mut self, key: &'static str, value: impl Into<String>) -> Self {
        self.set.push((key, value.into()));
        self
    }

    /// Writes `key = "text"`.
    pub(super) fn text(self, key: &'static str, text: &str) -> Self {
        self.set(key, format!("\"{text}\""))
    }

    /// Leaves these keys as blanks to fill.
    pub(super) fn blank<'a>(mut self, keys: impl IntoIterator<Item = &'a str>) -> Self {
        self.wanted.extend(keys.into_iter().map(str::to_owned));
        self
    }

    /// Whether it has anything to fill or to say.
    pub(super) fn is_empty(&self) -> bool {
        self.set.is_empty() && self.wanted.is_empty()
    }

    /// The table as text: first what is set or must be filled, then the keys
    /// that may be used besides, as comments.
    pub(super) fn write(&self, out: &mut String) {
        let mut line = |text: &str| {
            out.push_str(text.trim_end());
            out.push('\n');
        };
        line(&format!("# {}", self.about));
        line(&self.heading);
        let mut further = Vec::new();
        for field in self.fields.iter().filter(|f| !f.example.is_empty()) {
            let set = self.set.iter().find(|(k, _)| *k == field.key).map(|(_, v)| v.as_str());
            let wanted = self.wanted.iter().any(|k| k == field.key);
            let help = format!("# {}{}", field.help.trim(), choices(field));
            match (set, wanted) {
                (Some(value), _) => {
                    line(&help);
                    line(&format!("{} = {value}", field.key));
                }
                (None, true) => {
                    line(&format!("{help} Example: {}", field.example));
                    line(&format!("{} = \"\"", field.key));
                }
                (None, false) => further.push(format!(
                    "{} = {}  # {}",
                    field.key,
                    field.example,
                    help.trim_start_matches("# ")
                )),
            }
        }
        if !further.is_empty() {
            line("#");
            line("# If it matters, take the # away and put your own value:");
            for text in further {
                line(&format!("# {text}"));
            }
        }
        line("");
    }
}

/// The words a key may hold, as a sentence; empty for anything else.
fn choices(field: &FieldSpec) -> String {
    let schema = (field.schema)();
    let words = schema.get("enum").or_else(|| schema.pointer("/items/enum")).and_then(|e| e.as_array());
    let Some(words) = words else { return String::new() };
    let words: Vec<_> = words.iter().filter_map(|w| w.as_str()).collect();
    format!(" One of: {}.", words.join(", "))
}
