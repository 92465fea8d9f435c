//! Inputs that were stated and change nothing: found by asking again without
//! them and with other values, not by what the formulas looked at.

use super::{Answer, Family, Given, InputKind, Need, Trouble, Value};
use crate::quantity::Quantity;

/// Shares of a value it is moved by, wide enough to cross the rows of a table.
const SHARES: [f64; 8] = [0.1, 0.5, 0.8, 1.25, 2.0, 4.0, 10.0, -1.0];
/// Sizes in SI units tried for any value.
const SIZES: [f64; 9] = [0.0, 1e-3, 1.0, 2.0, 3.0, 1e3, -1e-3, -1.0, -1e3];

impl Family {
    /// Inputs that were stated and that no result, formula or warning depends on:
    /// none looked at them, or the answer stays the same without them and with
    /// every other value tried. One that only has to agree with the others is
    /// not among them: another value would be refused. A designation counts as
    /// used where it was looked at, and what the family asks for is always used: a
    /// shape drawn from its figures may need it.
    #[must_use]
    pub fn idle(&self, given: &Given) -> Vec<&'static str> {
        let Ok(answer) = self.outcome(given) else { return Vec::new() };
        let read = given.names_read();
        given
            .iter()
            .filter(|(name, _)| !given.is_derived(name) && !self.asks_for(name))
            .filter(|(name, value)| !read.contains(name) || self.is_idle(given, &answer, name, value))
            .map(|(name, _)| name)
            .collect()
    }

    /// Whether the family can't be asked without it.
    fn asks_for(&self, name: &str) -> bool {
        self.input(name).is_some_and(|input| input.need == Need::Required)
    }

    fn outcome(&self, given: &Given) -> Result<Answer, Trouble> {
        self.check(given)?;
        let mut answer = Answer::default();
        (self.run)(given, &mut answer)?;
        Ok(answer)
    }

    fn is_idle(&self, given: &Given, answer: &Answer, name: &'static str, value: &Value) -> bool {
        let Some(input) = self.input(name) else { return false };
        if input.kind == InputKind::Name {
            return false;
        }
        // Who writes out a no, or the default, is told nothing new.
        let confirms = match value {
            Value::Flag(flag) => !flag,
            Value::Word(word) => matches!(input.need, Need::Default(usual) if usual == word),
            _ => false,
        };
        if confirms {
            return false;
        }
        let same = |other: &Given| match self.outcome(other) {
            Ok(found) => found.says_the_same(answer),
            // Out of its range it tells nothing; refused for another reason, it
            // was held against something.
            Err(Trouble::OutOfRange { .. } | Trouble::Unknown { .. } | Trouble::WrongKind { .. }) => true,
            Err(Trouble::Missing(_) | Trouble::Impossible { .. }) => false,
        };
        let without = given.without(name);
        let tried = |other: Value| {
            let mut moved = without.clone();
            moved.set(name, other);
            moved
        };
        let edges = input.range.edges().into_iter().filter_map(|edge| at_edge(value, edge));
        same(&without) && others(input.kind, value).into_iter().chain(edges).all(|other| same(&tried(other)))
    }
}

/// Other values an input might have had.
fn others(kind: InputKind, value: &Value) -> Vec<Value> {
    match (kind, value) {
        (InputKind::Choice(words), Value::Word(own)) => {
            words.iter().filter(|word| *word != own).map(|word| Value::word(*word)).collect()
        }
        (_, Value::Flag(flag)) => vec![Value::Flag(!flag)],
        (_, Value::Quantity { quantity, .. }) => moved(*quantity),
        (_, Value::List(list)) => SHARES
            .iter()
            .map(|share| {
                let item = |item: &Value| match item.quantity() {
                    Some(quantity) => exact(quantity.moved(quantity.si() * (share - 1.0))),
                    None => item.clone(),
                };
                Value::List(list.iter().map(item).collect())
            })
            .collect(),
        _ => Vec::new(),
    }
}

fn moved(quantity: Quantity) -> Vec<Value> {
    let si = quantity.si();
    // A share of zero is none, and a count has only whole neighbours.
    let shares = SHARES.iter().map(|share| si * share);
    shares.chain(SIZES).filter(|to| *to != si).map(|to| exact(quantity.moved(to - si))).collect()
}

/// A single value at an edge of its range, in SI units.
fn at_edge(value: &Value, edge: f64) -> Option<Value> {
    let quantity = value.quantity()?;
    (quantity.si() != edge).then(|| exact(quantity.moved(edge - quantity.si())))
}

const fn exact(quantity: Quantity) -> Value {
    Value::Quantity { quantity, uncertainty: 0.0 }
}
