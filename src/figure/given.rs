//! The named inputs of one reckoning.

use std::cell::RefCell;
use std::collections::{BTreeMap, BTreeSet};

use super::read::lacking;
use super::{Trouble, Value};

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

    /// Checks that all `names` are there, naming every one that is not.
    ///
    /// # Errors
    /// If any is missing.
    pub fn require(&self, names: &[&'static str]) -> Result<(), Trouble> {
        lacking(names.iter().map(|name| (!self.has(name)).then_some(*name)))
    }

    /// Whether the same was given: every input to the last bit, and the same of them
    /// worked out.
    #[must_use]
    pub fn alike(&self, other: &Self) -> bool {
        self.derived == other.derived
            && self.values.len() == other.values.len()
            && self
                .iter()
                .zip(other.iter())
                .all(|((name, own), (its, value))| name == its && own.alike(value))
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
