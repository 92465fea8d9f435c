//! Writing one table of a job file: help as comments, values, blanks.

use super::{metric, needs};
use crate::file::{FieldSpec, Record};
use crate::job::model::Units;
use crate::quantity::{Kind, Quantity, Style, parse};
use crate::term::Sketch;

/// A table to be written.
#[derive(Debug, Clone)]
pub(super) struct Table {
    heading: String,
    about: &'static str,
    fields: Vec<FieldSpec>,
    set: Vec<(&'static str, String)>,
    wanted: Vec<String>,
    further: Vec<(String, String)>,
    shown: Vec<(&'static str, String)>,
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
            further: Vec::new(),
            shown: Vec::new(),
        }
    }

    /// Writes `key = value`, with the value as TOML.
    pub(super) fn set(mut self, key: &'static str, value: impl Into<String>) -> Self {
        self.set.push((key, value.into()));
        self
    }

    /// Shows another example than the usual one.
    pub(super) fn example(mut self, key: &'static str, example: impl Into<String>) -> Self {
        self.shown.push((key, example.into()));
        self
    }

    /// Leaves keys out that the thing this table is of does not have.
    pub(super) fn without(mut self, keys: &[&str]) -> Self {
        self.fields.retain(|field| !keys.contains(&field.key));
        self
    }

    /// Writes `key = "text"`.
    pub(super) fn text(self, key: &'static str, text: &str) -> Self {
        self.set(key, format!("\"{text}\""))
    }

    /// Writes a text, if there is one.
    pub(super) fn texts(self, key: &'static str, text: Option<&str>) -> Self {
        match text {
            Some(text) => self.text(key, text),
            None => self,
        }
    }

    /// Asks for these keys: those the work can't start without as blanks to
    /// fill, the others as lines to take the # from, with what they buy.
    pub(super) fn blank<'a>(mut self, keys: impl IntoIterator<Item = &'a str>) -> Self {
        let table = self.heading.trim_matches(['[', ']']).to_owned();
        for key in keys {
            let path = format!("{table}.{key}");
            if needs::first(&path) {
                self.wanted.push(key.to_owned());
            } else if let Some(buys) = needs::buys(&path) {
                self.further.push((key.to_owned(), buys));
            }
        }
        self
    }

    /// Asks for these keys as such that can wait, with what they buy.
    pub(super) fn waiting<'a>(mut self, keys: impl IntoIterator<Item = &'a str>) -> Self {
        let table = self.heading.trim_matches(['[', ']']).to_owned();
        let buying = keys.into_iter().filter_map(|key| {
            let buys = needs::buys(&format!("{table}.{key}"))?;
            Some((key.to_owned(), buys))
        });
        self.further.extend(buying);
        self
    }

    /// Whether it has anything to fill or to say.
    pub(super) fn is_empty(&self) -> bool {
        self.set.is_empty() && self.wanted.is_empty() && self.further.is_empty()
    }

    /// The table as text: first what is set or must be filled, then the keys
    /// that may be used besides, as comments.
    pub(super) fn write(&self, units: Units, out: &mut String) {
        let mut line = |text: &str| {
            out.push_str(text.trim_end());
            out.push('\n');
        };
        line(&format!("# {}", self.about));
        line(&self.heading);
        let mut further = Vec::new();
        let mut buying = Vec::new();
        for field in self.fields.iter().filter(|f| !f.example.is_empty()) {
            let set = self.set.iter().find(|(k, _)| *k == field.key).map(|(_, v)| v.as_str());
            let wanted = self.wanted.iter().any(|k| k == field.key);
            let path = format!("{}.{}", self.heading.trim_matches(['[', ']']), field.key);
            let sketch =
                Sketch::of_key(&path).map_or_else(String::new, |s| format!(" Sketch {}.", s.number()));
            let help = format!("# {}{}{sketch}", field.help.trim(), choices(field));
            let example = self.shown.iter().find(|(k, _)| *k == field.key);
            let example = example_in(example.map_or(field.example, |(_, e)| e.as_str()), units);
            if let (None, Some((_, buys))) = (set, self.further.iter().find(|(k, _)| k == field.key)) {
                let help = help.trim_start_matches("# ").trim_end_matches('.');
                buying.push(format!("{} = {example}  # {help}; buys: {buys}", field.key));
                continue;
            }
            match (set, wanted) {
                (Some(value), _) => {
                    line(&help);
                    line(&format!("{} = {value}", field.key));
                }
                (None, true) => {
                    line(&format!("{help} Example: {example}"));
                    line(&format!("{} = \"\"", field.key));
                }
                (None, false) => {
                    further.push(format!("{} = {}  # {}", field.key, example, help.trim_start_matches("# ")));
                }
            }
        }
        if !buying.is_empty() {
            line("#");
            line("# Each of these buys further figures; take the # away and put your own value:");
            for text in buying {
                line(&format!("# {text}"));
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

/// Examples that are words and not sizes, with what a metric shop writes in their place.
const WORDS: &[(&str, &str)] = &[
    ("\"9/16-18 UNF\"", "\"M14x1.5\""),
    ("\"SAE J429 8\"", "\"10.9\""),
    ("\"SAE J995 8\"", "\"10\""),
    ("\"TW-3, 40 to 200 lbf-ft\"", "\"TW-3, 50 to 270 N·m\""),
    ("\"after 100 mi\"", "\"after 150 km\""),
    ("\"84 210 mi\"", "\"135 500 km\""),
    ("\"AWS A2.4\"", "\"ISO 2553 A\""),
    ("\"AWS D1.1 cyclic\"", "\"ISO 5817 B\""),
    // Wire comes in these; positions by ISO 6947.
    ("\"0.035 in\"", "\"0.9 mm\""),
    ("\"0.045 in\"", "\"1.2 mm\""),
    ("\"2F\"", "\"PB\""),
    ("\"5G\"", "\"PH\""),
    ("\"1G, turned\"", "\"PA, turned\""),
    ("[\"2 off 3 x 3 x 1/4 tube, 48 in\"]", "[\"2 off 80 x 80 x 6 tube, 1200 mm\"]"),
];

/// An example in the units the job wants, where it is a quantity in others: values of
/// its own, so that each is a round figure.
fn example_in(example: &str, units: Units) -> String {
    if let Some((_, metric)) = WORDS.iter().find(|(inch, _)| units == Units::Metric && example == *inch) {
        return (*metric).to_owned();
    }
    rewritten(example, units, |_, value, text| metric::example(value, text))
}

/// A line in the units the file wants. What it says agrees with other lines: nothing
/// is rounded away.
pub(super) fn in_units(line: &str, units: Units) -> String {
    rewritten(line, units, |style, value, _| (style.fine_enough(value), value))
}

fn rewritten(example: &str, units: Units, digits: fn(Style, Quantity, &str) -> (Style, Quantity)) -> String {
    if units == Units::Inch {
        return example.to_owned();
    }
    let begins = |keys: &[&str]| keys.iter().any(|key| example.trim_start().starts_with(key));
    // What an instrument resolves is a difference, and has no zero of its own.
    let apart = begins(&["resolution", "uncertainty"]);
    // A least value never comes out smaller, a greatest one never larger.
    let toward: fn(Style) -> Style = if begins(&["minimum"]) {
        Style::up
    } else if begins(&["interpass_max"]) {
        Style::down
    } else {
        |style| style
    };
    let convert = |text: &str| {
        let (style, value) = quantity_of(text, apart)?;
        let (style, value) = digits(style, value, text);
        // A file is typed with the minus sign of a keyboard.
        Some(toward(style).si(value).replace('\u{2212}', "-"))
    };
    let mut parts: Vec<String> = example.split('"').map(str::to_owned).collect();
    for part in parts.iter_mut().skip(1).step_by(2) {
        // A range is two sizes.
        let metric = match part.split_once(" to ") {
            Some((low, high)) => {
                convert(low).zip(convert(high)).map(|(low, high)| format!("{low} to {high}"))
            }
            None => convert(part),
        };
        if let Some(metric) = metric {
            *part = metric;
        }
    }
    parts.join("\"")
}

/// A quantity of inch units, and how its kind is written.
fn quantity_of(text: &str, apart: bool) -> Option<(Style, Quantity)> {
    let symbol = text.trim().rsplit(' ').next()?;
    let kind = match symbol {
        "in" | "ft" => Kind::Length,
        "lb" => Kind::Mass,
        "lbf" => Kind::Force,
        "lbf-ft" => Kind::Torque,
        "ksi" => Kind::Stress,
        "degF" if apart => Kind::TemperatureRise,
        "degF" => Kind::Temperature,
        "in/min" => Kind::Speed,
        _ => return None,
    };
    Some((Style::of(kind), parse::maybe(kind, text.trim())?))
}
