//! An input as a figure used it: what was given, or the declared default.

use serde::Serialize;

use super::{Input, InputKind, Need, Value};
use crate::quantity::{Quantity, Style, parse};

/// One input as a figure used it.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Used {
    /// Input name.
    pub name: &'static str,
    /// Its value; a default that is described and not stated stands as a word.
    pub value: Value,
    /// The declared text of the default, where nothing was given.
    pub default: Option<&'static str>,
}

impl Used {
    /// An input that was given.
    #[must_use]
    pub fn given(name: &'static str, value: Value) -> Self {
        Self { name, value, default: None }
    }

    /// The declared default of an input that was not given, if it has one.
    #[must_use]
    pub fn defaulted(input: &Input) -> Option<Self> {
        let Need::Default(text) = input.need else { return None };
        let value = match input.kind {
            InputKind::Quantity(kind) if text == "0" => {
                kind.units().next().map(|unit| Value::exact(Quantity::of(0.0, unit)))
            }
            InputKind::Quantity(kind) => parse::maybe(kind, text).map(Value::exact),
            _ => None,
        };
        Some(Self {
            name: input.name,
            value: value.unwrap_or_else(|| Value::word(text)),
            default: Some(text),
        })
    }

    /// In words with SI first, for a page that is metric: `7.01 mm (0.276 in)`.
    #[must_use]
    pub fn show_metric(&self) -> String {
        let text = self.show();
        let (None, Some(quantity)) = (self.default, self.value.quantity()) else { return text };
        let main = self.value.show_input();
        let turned = main.strip_suffix(')').and_then(|m| m.split_once(" ("));
        let Some((shop, si)) = turned else { return text };
        let turned = format!("{si} ({shop})");
        match self.value.show_uncertainty(None) {
            Some(_) => {
                let style = Style::of(quantity.kind()).metric_first();
                let spread = self.value.uncertainty_in(style);
                format!("{turned} ± {spread} (k = 2)")
            }
            None => turned,
        }
    }

    /// In words: `0.276 in (7.01 mm)`, `2.5° ± 0.24° (k = 2)`, `default: 0.2 deg`.
    #[must_use]
    pub fn show(&self) -> String {
        match self.default {
            Some(text) => format!("default: {text}"),
            None => with_spread(&self.value),
        }
    }
}

/// A value as it was given, each item of a list with the ± that came with it.
fn with_spread(value: &Value) -> String {
    match value {
        Value::List(list) => list.iter().map(with_spread).collect::<Vec<_>>().join("; "),
        _ => match value.show_uncertainty(None) {
            Some(spread) => format!("{} ± {spread} (k = 2)", value.show_input()),
            None => value.show_input(),
        },
    }
}
