//! The named inputs of one reckoning.

use std::cell::RefCell;
use std::collections::{BTreeMap, BTreeSet};
use std::ops::RangeInclusive;

use super::{Trouble, Value};
use crate::quantity::{Dimensioned, Quantity, Style, Unit};
use crate::source::Source;

/// Inputs by name. Getters remember what was asked for, given or not, so that a
/// figure can list exactly the inputs and defaults it used.
#[derive(Debug, Clone, Default)]
pub struct Given {
    values: BTreeMap<&'static str, Value>,
    read: RefCell<BTreeSet<&'static str>>,
    derived: BTreeSet<&'static str>,
}

impl Given {
    /// No inputs.
    #[must_use]
    pub fn new() -> Self {
        Self::default()
    }

    /// Sets an input.
    pub fn set(&mut self, name: &'static str, value: impl Into<Value>) -> &mut Self {
        self.values.insert(name, value.into());
        self
    }

    /// Sets an input if there is a value.
    pub fn set_some(&mut self, name: &'static str, value: Option<impl Into<Value>>) -> &mut Self {
        if let Some(value) = value {
            self.set(name, value);
        }
        self
    }

    /// Sets a word.
    pub fn set_word(&mut self, name: &'static str, word: impl Into<String>) -> &mut Self {
        self.set(name, Value::Word(word.into()))
    }

    /// The raw value, marked as read; an absent one is marked too, because
    /// its default was used.
    #[must_use]
    pub fn get(&self, name: &'static str) -> Option<&Value> {
        self.read.borrow_mut().insert(name);
        self.values.get(name)
    }

    /// The raw value, without marking it read.
    #[must_use]
    pub(super) fn peek(&self, name: &str) -> Option<&Value> {
        self.values.get(name)
    }

    /// Marks an input read, given or not.
    pub(super) fn mark(&self, name: &'static str) {
        self.read.borrow_mut().insert(name);
    }

    /// Whether an input was given.
    #[must_use]
    pub fn has(&self, name: &str) -> bool {
        self.values.contains_key(name)
    }

    /// Sets a word that nobody typed: the door worked it out from how the other
    /// inputs were written. It stands among the inputs used, and is never told as
    /// unused.
    pub fn derive_word(&mut self, name: &'static str, word: impl Into<String>) {
        self.set_word(name, word);
        self.derived.insert(name);
    }

    /// Whether an input was worked out and not typed.
    #[must_use]
    pub fn is_derived(&self, name: &str) -> bool {
        self.derived.contains(name)
    }

    /// All inputs, without marking them read.
    pub fn iter(&self) -> impl Iterator<Item = (&'static str, &Value)> {
        self.values.iter().map(|(k, v)| (*k, v))
    }

    /// Names asked for so far, given or not.
    #[must_use]
    pub fn names_read(&self) -> BTreeSet<&'static str> {
        self.read.borrow().clone()
    }

    /// An optional quantity.
    ///
    /// # Errors
    /// If the input is of another kind.
    pub fn maybe<T: Dimensioned>(&self, name: &'static str) -> Result<Option<T>, Trouble> {
        match self.get(name) {
            None => Ok(None),
            Some(Value::Quantity { quantity, .. }) => {
                quantity.typed().map(Some).ok_or_else(|| wrong(name, &format!("a {}", T::KIND.word())))
            }
            Some(_) => Err(wrong(name, &format!("a {}", T::KIND.word()))),
        }
    }

    /// A required quantity.
    ///
    /// # Errors
    /// If it is missing or of another kind.
    pub fn need<T: Dimensioned>(&self, name: &'static str) -> Result<T, Trouble> {
        self.maybe(name)?.ok_or_else(|| Trouble::Missing(vec![name]))
    }

    /// A quantity with a documented default.
    ///
    /// # Errors
    /// If it is of another kind.
    pub fn or<T: Dimensioned>(&self, name: &'static str, default: T) -> Result<T, Trouble> {
        Ok(self.maybe(name)?.unwrap_or(default))
    }

    /// An optional word.
    ///
    /// # Errors
    /// If the input is not a word.
    pub fn maybe_word(&self, name: &'static str) -> Result<Option<&str>, Trouble> {
        match self.get(name) {
            None => Ok(None),
            Some(Value::Word(word)) => Ok(Some(word)),
            Some(_) => Err(wrong(name, "a word")),
        }
    }

    /// A required word.
    ///
    /// # Errors
    /// If it is missing or not a word.
    pub fn word(&self, name: &'static str) -> Result<&str, Trouble> {
        self.maybe_word(name)?.ok_or_else(|| Trouble::Missing(vec![name]))
    }

    /// A flag; absent means no.
    ///
    /// # Errors
    /// If the input is not a flag.
    pub fn flag(&self, name: &'static str) -> Result<bool, Trouble> {
        match self.get(name) {
            None => Ok(false),
            Some(Value::Flag(flag)) => Ok(*flag),
            Some(_) => Err(wrong(name, "yes or no")),
        }
    }

    /// A list of quantities; empty if absent. A single quantity is a list of one.
    ///
    /// # Errors
    /// If the input is not a list of that kind.
    pub fn list<T: Dimensioned>(&self, name: &'static str) -> Result<Vec<T>, Trouble> {
        let expected = || wrong(name, &format!("a list of {} values", T::KIND.word()));
        match self.get(name) {
            None => Ok(Vec::new()),
            Some(Value::List(list)) => {
                list.iter().map(|v| v.quantity().and_then(Quantity::typed).ok_or_else(expected)).collect()
            }
            Some(Value::Quantity { quantity, .. }) => Ok(vec![quantity.typed().ok_or_else(expected)?]),
            Some(_) => Err(expected()),
        }
    }

    /// Checks that all `names` are there, naming every one that is not.
    ///
    /// # Errors
    /// If any is missing.
    pub fn require(&self, names: &[&'static str]) -> Result<(), Trouble> {
        let missing: Vec<_> = names.iter().copied().filter(|n| !self.has(n)).collect();
        if missing.is_empty() { Ok(()) } else { Err(Trouble::Missing(missing)) }
    }

    /// A copy without one input, in which none was read yet.
    #[must_use]
    pub(super) fn without(&self, name: &str) -> Self {
        let mut copy = Self { values: self.values.clone(), derived: self.derived.clone(), ..Self::default() };
        copy.values.remove(name);
        copy
    }

    /// A copy in which one input is taken as exact.
    #[must_use]
    pub(super) fn exactly(&self, name: &str) -> Self {
        fn exact(value: &mut Value) {
            match value {
                Value::Quantity { uncertainty, .. } => *uncertainty = 0.0,
                Value::List(list) => list.iter_mut().for_each(exact),
                Value::Word(_) | Value::Flag(_) => {}
            }
        }
        let mut copy = Self { values: self.values.clone(), derived: self.derived.clone(), ..Self::default() };
        copy.values.get_mut(name).into_iter().for_each(exact);
        copy
    }

    /// A copy with one input moved by `by` SI units, for sensitivities.
    #[must_use]
    pub(super) fn moved(&self, name: &'static str, index: Option<usize>, by: f64) -> Self {
        let mut copy = Self { values: self.values.clone(), ..Self::default() };
        let slot = copy.values.get_mut(name).and_then(|v| match (v, index) {
            (Value::List(list), Some(i)) => list.get_mut(i),
            (value, None) => Some(value),
            _ => None,
        });
        if let Some(Value::Quantity { quantity, .. }) = slot {
            *quantity = quantity.moved(by);
        }
        copy
    }
}

fn wrong(name: &str, expected: &str) -> Trouble {
    Trouble::WrongKind { input: name.to_owned(), expected: expected.to_owned() }
}

/// Refuses a value outside the range a source sets for its formula.
///
/// # Errors
/// If `value` in `unit` is outside `range`.
pub fn within<T: Dimensioned>(
    input: &str,
    value: T,
    unit: Unit,
    range: RangeInclusive<f64>,
    source: Source,
) -> Result<(), Trouble> {
    // A hair of room, so that a limit typed in another unit is inside.
    let x = value.to(unit);
    let room = 1e-9 * range.start().abs().max(range.end().abs()).max(1.0);
    if x >= range.start() - room && x <= range.end() + room {
        return Ok(());
    }
    Err(Trouble::OutOfRange {
        input: input.to_owned(),
        given: Style::of(T::KIND).fine_enough(value.into()).both(value.into()),
        range: format!("{} to {} {}", range.start(), range.end(), unit.symbol).trim_end().to_owned(),
        source,
    })
}

/// Refuses a value that is not above zero.
///
/// # Errors
/// If `value` is zero, negative or not a number.
pub fn positive<T: Dimensioned>(input: &str, value: T) -> Result<T, Trouble> {
    if value.si() > 0.0 {
        return Ok(value);
    }
    Err(Trouble::OutOfRange {
        input: input.to_owned(),
        given: Style::of(T::KIND).both(value.into()),
        range: "values above zero".to_owned(),
        source: Source::definition("a physical size"),
    })
}
