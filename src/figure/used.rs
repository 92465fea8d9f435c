//! An input as a figure used it: what was given, or the declared default.

use serde::Serialize;

use super::{Input, InputKind, Need, Value};
use crate::quantity::{Quantity, parse};

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
            InputKind::Quantity(kind) => parse::quantity(kind, text).ok().map(Value::exact),
            _ => None,
        };
        Some(Self {
            name: input.name,
            value: value.unwrap_or_else(|| Value::word(text)),
            default: Some(text),
        })
    }

    /// In words: `0.276 in (7.01 mm)`, `2.5° ± 0.24° (k = 2)`, `default: 0.2 deg`.
    #[must_use]
    pub fn show(&self) -> String {
        match (self.default, self.value.show_uncertainty(None)) {
            (Some(text), _) => format!("default: {text}"),
            (None, Some(spread)) => format!("{} ± {spread} (k = 2)", self.value.show_input()),
            (None, None) => self.value.show_input(),
        }
    }
}
