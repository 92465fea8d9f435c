//! What goes into a family and what comes out.

use serde::Serialize;

use crate::quantity::{Dimensioned, Kind, Quantity, Style, show};

/// A value: a quantity with its standard uncertainty, a word, a list or a flag.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Value {
    /// A quantity and its standard uncertainty in SI units (zero: none known).
    Quantity {
        /// Value and kind, in SI base units.
        quantity: Quantity,
        /// Standard uncertainty in SI units.
        uncertainty: f64,
    },
    /// A choice or a name: a thread, a grade, a process, a verdict.
    Word(String),
    /// Several values in order.
    List(Vec<Value>),
    /// Yes or no.
    Flag(bool),
}

impl Value {
    /// Whether it is the same to the last bit: nothing below and nothing above zero are
    /// shown otherwise.
    #[must_use]
    pub fn alike(&self, other: &Self) -> bool {
        match (self, other) {
            (
                Self::Quantity { quantity: own, uncertainty: wide },
                Self::Quantity { quantity, uncertainty },
            ) => {
                own.kind() == quantity.kind()
                    && own.si().to_bits() == quantity.si().to_bits()
                    && wide.to_bits() == uncertainty.to_bits()
            }
            (Self::List(own), Self::List(list)) => {
                own.len() == list.len() && own.iter().zip(list).all(|(a, b)| a.alike(b))
            }
            (own, other) => own == other,
        }
    }

    /// An exact quantity.
    #[must_use]
    pub fn exact(quantity: impl Into<Quantity>) -> Self {
        Self::Quantity { quantity: quantity.into(), uncertainty: 0.0 }
    }

    /// A choice, a name or a sentence.
    #[must_use]
    pub fn word(word: impl Into<String>) -> Self {
        Self::Word(word.into())
    }

    /// The quantity, if it is one.
    #[must_use]
    pub fn quantity(&self) -> Option<Quantity> {
        match self {
            Value::Quantity { quantity, .. } => Some(*quantity),
            _ => None,
        }
    }

    /// In words, both units, with the usual style of its kind.
    #[must_use]
    pub fn show(&self) -> String {
        self.show_with(None)
    }

    /// In words as an input: fine enough that no digit a person gave is lost.
    #[must_use]
    pub fn show_input(&self) -> String {
        match self {
            Value::Quantity { quantity, .. } => {
                let text = Style::of(quantity.kind()).as_given(*quantity).both(*quantity);
                // A count or a share has no digits that nobody gave.
                let bare = quantity.kind() == Kind::Number && text.contains('.');
                if bare { text.trim_end_matches('0').trim_end_matches('.').to_owned() } else { text }
            }
            Value::List(list) => list.iter().map(Value::show_input).collect::<Vec<_>>().join("; "),
            Value::Word(_) | Value::Flag(_) => self.show(),
        }
    }

    /// Whether it is a quantity, or a list of them.
    #[must_use]
    pub fn holds_quantity(&self) -> bool {
        match self {
            Value::Quantity { .. } => true,
            Value::List(list) => list.iter().any(Value::holds_quantity),
            Value::Word(_) | Value::Flag(_) => false,
        }
    }

    /// Whether it, or an item of it, came with an uncertainty.
    #[must_use]
    pub fn is_uncertain(&self) -> bool {
        match self {
            Value::Quantity { uncertainty, .. } => *uncertainty > 0.0,
            Value::List(list) => list.iter().any(Value::is_uncertain),
            Value::Word(_) | Value::Flag(_) => false,
        }
    }

    /// Expanded uncertainty (k = 2) in words, if there is one, rounded up to a
    /// tenth of its size.
    #[must_use]
    pub fn show_uncertainty(&self, style: Option<Style>) -> Option<String> {
        let Value::Quantity { quantity, uncertainty } = self else { return None };
        let expanded = Quantity::from_si(quantity.kind(), 2.0 * uncertainty);
        // Far below the last digit shown it says nothing.
        let seen = style.is_none_or(|style| style.shows_change(*quantity, expanded));
        (*uncertainty > 0.0 && seen).then(|| show::uncertainty(expanded, style))
    }

    /// The same of an output; of a list the greatest of its items.
    #[must_use]
    pub fn show_greatest_uncertainty(&self, style: Option<Style>) -> Option<String> {
        let Value::List(list) = self else { return self.show_uncertainty(style) };
        let size = |value: &&Value| match value {
            Value::Quantity { uncertainty, .. } => *uncertainty,
            _ => 0.0,
        };
        let greatest = list.iter().max_by(|a, b| size(a).total_cmp(&size(b)))?;
        Some(format!("{} at most", greatest.show_uncertainty(style)?))
    }

    /// Expanded uncertainty (k = 2) in words, however small.
    pub(super) fn uncertainty_in(&self, style: Style) -> String {
        let Value::Quantity { quantity, uncertainty } = self else { return String::new() };
        show::uncertainty(Quantity::from_si(quantity.kind(), 2.0 * uncertainty), Some(style))
    }

    /// In words, with `style` for quantities.
    #[must_use]
    pub fn show_with(&self, style: Option<Style>) -> String {
        match self {
            Value::Quantity { quantity, .. } => {
                style.unwrap_or_else(|| Style::of(quantity.kind())).both(*quantity)
            }
            Value::Word(word) => word.clone(),
            Value::List(list) => list.iter().map(|v| v.show_with(style)).collect::<Vec<_>>().join("; "),
            Value::Flag(true) => "yes".to_owned(),
            Value::Flag(false) => "no".to_owned(),
        }
    }
}

/// A Rust type that stands in a value: every quantity, `bool`, `String`, every
/// enum made with [`words!`](crate::words), and lists of these.
pub trait Held: Clone {
    /// Puts it into a value.
    fn value(&self) -> Value;

    /// Takes it out of a value it was put into; nothing out of any other.
    fn back(value: &Value) -> Option<Self>;
}

impl<T: Dimensioned> Held for T {
    fn value(&self) -> Value {
        Value::exact(*self)
    }

    fn back(value: &Value) -> Option<Self> {
        value.quantity().and_then(Quantity::typed)
    }
}

impl Held for bool {
    fn value(&self) -> Value {
        Value::Flag(*self)
    }

    fn back(value: &Value) -> Option<Self> {
        if let Value::Flag(flag) = value { Some(*flag) } else { None }
    }
}

impl Held for String {
    fn value(&self) -> Value {
        Value::Word(self.clone())
    }

    fn back(value: &Value) -> Option<Self> {
        if let Value::Word(word) = value { Some(word.clone()) } else { None }
    }
}

impl<T: Held> Held for Vec<T> {
    fn value(&self) -> Value {
        Value::List(self.iter().map(T::value).collect())
    }

    fn back(value: &Value) -> Option<Self> {
        if let Value::List(list) = value { list.iter().map(T::back).collect() } else { None }
    }
}

impl<T: Dimensioned> From<T> for Value {
    fn from(quantity: T) -> Self {
        Self::exact(quantity)
    }
}
