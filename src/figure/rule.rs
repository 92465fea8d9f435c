//! Inputs that go together, stand for each other or contradict each other: one
//! mechanism for every family.

use super::{Given, Trouble, Value};
use crate::quantity::{Dimensioned, Quantity, Style};

/// What may be given beside what. Checked before a formula runs.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Rule {
    /// Exactly one of these.
    OneOf(&'static [&'static str]),
    /// At least one of these.
    SomeOf(&'static [&'static str]),
    /// Not more than one of these.
    AtMostOne(&'static [&'static str]),
    /// All of these or none.
    Together(&'static [&'static str]),
    /// With the first of these, all the others.
    Needs(&'static [&'static str]),
    /// Each no larger than the one after it: the two ends of a range.
    Ordered(&'static [&'static str]),
}

impl Rule {
    /// Checks what was given.
    ///
    /// # Errors
    /// The names that are missing, or those that stand for the same thing.
    pub fn check(self, given: &Given) -> Result<(), Trouble> {
        let (Rule::OneOf(names)
        | Rule::SomeOf(names)
        | Rule::AtMostOne(names)
        | Rule::Together(names)
        | Rule::Needs(names)
        | Rule::Ordered(names)) = self;
        let there: Vec<&'static str> = names.iter().copied().filter(|n| given.has(n)).collect();
        match self {
            Rule::OneOf(_) | Rule::SomeOf(_) if there.is_empty() => Err(Trouble::Missing(names.to_vec())),
            Rule::OneOf(_) | Rule::AtMostOne(_) if there.len() > 1 => Err(Trouble::impossible(
                format!("{} are {} given", and(&there), if there.len() == 2 { "both" } else { "all" }),
                format!("give one of {}", names.join(", ")),
            )),
            Rule::Together(_) if !there.is_empty() => given.require(names),
            Rule::Needs([first, ..]) if given.has(first) => given.require(names),
            Rule::Ordered(_) => there.windows(2).try_for_each(|pair| match pair {
                [low, high] => in_order(given, low, high),
                _ => Ok(()),
            }),
            _ => Ok(()),
        }
    }
}

/// Refuses two statements of one quantity that differ by more than `room`.
/// Each comes with the name of the input, or the formula, it stands for.
///
/// # Errors
/// If they differ by more.
pub fn agree<T: Dimensioned>(one: (&str, T), other: (&str, T), room: T) -> Result<(), Trouble> {
    if (one.1.si() - other.1.si()).abs() <= room.si() {
        return Ok(());
    }
    let show = |value: T| {
        let style = Style::of(T::KIND);
        style.as_given(value.into()).both(value.into())
    };
    Err(Trouble::impossible(
        format!(
            "{} is {} and {} is {}: they contradict each other",
            one.0,
            show(one.1),
            other.0,
            show(other.1)
        ),
        "check both, or leave one of them out",
    ))
}

/// Refuses loads that are all zero: a weld or a joint that nothing pulls proves nothing.
/// `give` names the inputs a load is stated by.
///
/// # Errors
/// If none is above zero, of either sign.
pub fn loaded(what: &str, loads: &[f64], give: &str) -> Result<(), Trouble> {
    if loads.iter().any(|load| load.abs() > 0.0) {
        return Ok(());
    }
    Err(Trouble::impossible(
        format!("every load on the {what} is zero, and what nothing pulls proves nothing"),
        format!("give {give}"),
    ))
}

/// Refuses the ends of a range that stand in each other's place.
fn in_order(given: &Given, low: &str, high: &str) -> Result<(), Trouble> {
    let value = |name: &str| given.peek(name).and_then(Value::quantity);
    let (Some(least), Some(most)) = (value(low), value(high)) else { return Ok(()) };
    // A hair of room, so that one value typed in two units is no range upside down.
    if least.si() <= most.si() + 1e-9 * most.si().abs() {
        return Ok(());
    }
    let show = |value: Quantity| Style::of(value.kind()).as_given(value).both(value);
    Err(Trouble::impossible(
        format!("{low} is {}, above {high}, which is {}", show(least), show(most)),
        format!("exchange {low} and {high}, or check both"),
    ))
}

/// `a, b and c`.
fn and(names: &[&str]) -> String {
    match names.split_last() {
        Some((last, rest)) if !rest.is_empty() => format!("{} and {last}", rest.join(", ")),
        _ => names.join(""),
    }
}
