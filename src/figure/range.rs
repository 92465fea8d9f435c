//! The range an input may lie in, and what no input may be.

use super::{Trouble, Value};
use crate::quantity::{Dimensioned, Kind, Quantity, Style, Unit, math, parse};
use crate::source::Source;

/// Values an input may have, with who says so. Declared once, at the input;
/// checked before a formula sees the value.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Range {
    /// Least and greatest value in `unit`, both included.
    bounds: Option<(f64, f64, Unit)>,
    /// Whether zero and below are out.
    above_zero: bool,
    /// Whether below zero is out.
    not_negative: bool,
    /// Whether the value has to be a whole number.
    whole: bool,
    /// Whether zero stands for infinitely many.
    endless: bool,
    /// Least and greatest value usual in the trade; outside them it is told.
    usual: Option<(f64, f64, Unit)>,
    /// Who sets the bounds.
    source: Source,
}

/// What makes a size a size.
const SIZE: Source = Source::definition("a physical size");

/// Any value that exists.
pub const ANY: Range = Range {
    bounds: None,
    above_zero: false,
    not_negative: false,
    whole: false,
    endless: false,
    usual: None,
    source: SIZE,
};

/// Above zero: a size that is there.
pub const ABOVE_ZERO: Range = Range { above_zero: true, ..ANY };

/// Zero or above: a size that may be none.
pub const NOT_NEGATIVE: Range = Range { not_negative: true, ..ANY };

/// From `low` to `high` in `unit`, both included, as `source` says.
#[must_use]
pub const fn within(low: f64, high: f64, unit: Unit, source: Source) -> Range {
    Range { bounds: Some((low, high, unit)), source, ..ANY }
}

/// A whole number from `low` to `high`: so many of something.
#[must_use]
pub const fn count(low: u32, high: u32, source: Source) -> Range {
    within(low as f64, high as f64, crate::quantity::unit::ONE, source).whole()
}

impl Range {
    /// The same without zero and what is below it.
    #[must_use]
    pub const fn above_zero(mut self) -> Self {
        self.above_zero = true;
        self
    }

    /// The same, whole numbers only.
    #[must_use]
    pub const fn whole(mut self) -> Self {
        self.whole = true;
        self
    }

    /// The same; zero stands for infinitely many, and may be written so.
    #[must_use]
    pub const fn endless(mut self) -> Self {
        self.endless = true;
        self
    }

    /// The same; from `low` to `high` in `unit` is usual in the trade (common
    /// practice), and what lies outside is told with the answer: a wrong unit, a
    /// lost point.
    #[must_use]
    pub const fn usually(mut self, low: f64, high: f64, unit: Unit) -> Self {
        self.usual = Some((low, high, unit));
        self
    }

    /// Tells of a value outside what is usual, if it is.
    #[must_use]
    pub fn unusual(self, input: &str, value: &Value) -> Option<String> {
        let (low, high, unit) = self.usual?;
        match value {
            Value::Quantity { quantity, .. } => {
                let x = quantity.to(unit);
                (!(x >= low - room(low) && x <= high + room(high))).then(|| {
                    format!(
                        "{input} is {}, outside the usual {low} to {high} {} (common practice): check the unit and the point.",
                        Style::of(quantity.kind()).as_given(*quantity).both(*quantity),
                        unit.symbol
                    )
                })
            }
            Value::List(list) => list.iter().find_map(|item| self.unusual(input, item)),
            Value::Word(_) | Value::Flag(_) => None,
        }
    }

    /// Refuses a size whose stated `±` (k = 2) reaches zero: nothing that is there
    /// is known so badly.
    ///
    /// # Errors
    /// [`Trouble::Impossible`].
    pub fn holds_spread(self, input: &str, value: &Value) -> Result<(), Trouble> {
        match value {
            Value::Quantity { quantity, uncertainty }
                if self.is_there() && *uncertainty > 0.0 && 2.0 * uncertainty >= quantity.si() =>
            {
                Err(Trouble::impossible(
                    format!(
                        "the ± of {input} reaches down to zero, and {input} is above zero whatever it is"
                    ),
                    "check the unit of the ±",
                ))
            }
            Value::List(list) => list.iter().try_for_each(|item| self.holds_spread(input, item)),
            _ => Ok(()),
        }
    }

    /// Whether zero stands for infinitely many.
    #[must_use]
    pub const fn is_endless(self) -> bool {
        self.endless
    }

    /// Whether no value below zero is inside: a `±` before it adds nothing.
    #[must_use]
    pub fn is_one_sided(self) -> bool {
        self.above_zero || self.not_negative || self.bounds.is_some_and(|(low, ..)| low >= 0.0)
    }

    /// Least and greatest value in SI units, where it has bounds.
    #[must_use]
    pub fn edges(self) -> Vec<f64> {
        self.bounds.map_or_else(Vec::new, |(low, high, unit)| {
            [low, high].iter().map(|edge| Quantity::of(*edge, unit).si()).collect()
        })
    }

    /// Whether every value inside is above zero.
    fn is_there(self) -> bool {
        self.above_zero || self.bounds.is_some_and(|(low, ..)| low > 0.0)
    }

    /// In words, for a listing; empty where anything goes.
    #[must_use]
    pub fn words(self) -> String {
        let mut parts = Vec::new();
        if self.above_zero {
            parts.push("above zero".to_owned());
        } else if self.not_negative {
            parts.push("zero or above".to_owned());
        }
        if self.whole {
            parts.push("whole".to_owned());
        }
        if let Some((low, high, unit)) = self.bounds {
            parts.push(format!("{low} to {high} {}", unit.symbol).trim_end().to_owned());
        }
        if let Some((low, high, unit)) = self.usual {
            parts.push(format!("usually {low} to {high} {}", unit.symbol).trim_end().to_owned());
        }
        parts.join(", ")
    }

    /// A value as a refusal names it: a count without the digits of a measure.
    fn shown(self, value: Quantity) -> String {
        if self.whole { plain(value.si()) } else { Style::of(value.kind()).as_given(value).both(value) }
    }

    /// A value inside as a person types it, for a message or a listing: the example of its
    /// kind where that is usual here, else one from between its own bounds.
    #[must_use]
    pub fn sample(self, kind: Kind) -> String {
        let example = kind.example();
        let usual = |quantity: Quantity| {
            let value = Value::Quantity { quantity, uncertainty: 0.0 };
            self.check("", quantity).is_ok() && self.unusual("", &value).is_none()
        };
        if parse::measured(kind, example).is_ok_and(|read| usual(read.value)) {
            return example.to_owned();
        }
        // A few of something.
        let few = [4.0, 2.0, 1.0].into_iter().find(|n| usual(Quantity::from_si(kind, *n)));
        if let Some(few) = few.filter(|_| self.whole) {
            return few.to_string();
        }
        let Some((low, high, unit)) = self.usual.or(self.bounds) else { return example.to_owned() };
        let middle = if low > 0.0 { math::sqrt(low * high) } else { 0.5 * (low + high) };
        // Two digits are enough of an example.
        let digits = 1.0 - math::log10(middle.abs().max(1e-9)).floor();
        let tens = math::pow(10.0, digits);
        let shown = (middle * tens).round() / tens;
        let shown = if usual(Quantity::of(shown, unit)) { shown } else { low };
        format!("{shown} {}", unit.symbol).trim_end().to_owned()
    }

    /// Refuses a value outside.
    ///
    /// # Errors
    /// [`Trouble::OutOfRange`] with the range and who sets it.
    pub fn check(self, input: &str, value: Quantity) -> Result<(), Trouble> {
        let refusal = |range: String, source: Source| {
            Err(Trouble::OutOfRange { input: input.to_owned(), given: self.shown(value), range, source })
        };
        if self.above_zero && (value.si().is_nan() || value.si() <= 0.0) {
            return refusal("values above zero".to_owned(), SIZE);
        }
        if self.not_negative && (value.si().is_nan() || value.si() < 0.0) {
            return refusal("values of zero and above".to_owned(), SIZE);
        }
        if let Some((low, high, unit)) = self.bounds {
            let x = value.to(unit);
            if !(x >= low - room(low) && x <= high + room(high)) {
                return refusal(
                    format!("{low} to {high} {}", unit.symbol).trim_end().to_owned(),
                    self.source,
                );
            }
        }
        if self.whole && (value.si() - value.si().round()).abs() > 1e-9 {
            return refusal("whole numbers".to_owned(), Source::definition("a count"));
        }
        Ok(())
    }
}

/// A hair of room at a bound, so that a limit typed in another unit is inside.
const fn room(bound: f64) -> f64 {
    1e-9 * bound.abs().max(1.0)
}

/// Refuses a worked-out size that is not above zero.
///
/// # Errors
/// If `value` is zero, negative or not a number.
pub fn positive<T: Dimensioned>(what: &str, value: T) -> Result<T, Trouble> {
    ABOVE_ZERO.check(what, value.into()).map(|()| value)
}

/// Refuses what no input of its kind can be, whatever family it is for: no
/// number, a temperature below absolute zero, a size beyond anything a shop
/// or its machines have.
///
/// # Errors
/// [`Trouble::OutOfRange`].
pub fn plausible(input: &str, value: &Value) -> Result<(), Trouble> {
    match value {
        Value::Quantity { quantity, uncertainty } => {
            let (low, high, source) = possible(quantity.kind());
            let inside = (low..=high).contains(&quantity.si());
            if inside && (0.0..=f64::MAX).contains(uncertainty) {
                return Ok(());
            }
            let symbol = quantity.kind().si_symbol();
            let range = match quantity.kind() {
                Kind::Temperature => "absolute zero, −459.67 °F (−273.15 °C), and above".to_owned(),
                _ => format!("{} to {} {symbol}", plain(low), plain(high)).trim_end().to_owned(),
            };
            let given = match quantity.kind() {
                Kind::Temperature => Style::of(Kind::Temperature).as_given(*quantity).both(*quantity),
                _ => format!("{} {symbol}", plain(quantity.si())).trim_end().to_owned(),
            };
            Err(Trouble::OutOfRange { input: input.to_owned(), given, range, source })
        }
        Value::List(list) => list.iter().try_for_each(|item| plausible(input, item)),
        Value::Word(_) | Value::Flag(_) => Ok(()),
    }
}

/// A number of any size, with powers of ten where it has many digits.
fn plain(number: f64) -> String {
    if number.abs() < 1e7 { format!("{number}") } else { format!("{number:e}") }
}

/// Least and greatest value of a kind that can be meant, in SI units.
const fn possible(kind: Kind) -> (f64, f64, Source) {
    const SHOP: Source = Source::practice("nothing a shop measures or builds is larger");
    match kind {
        Kind::Temperature => (0.0, 1e4, Source::definition("temperatures start at absolute zero")),
        Kind::TemperatureRise => (-1e4, 1e4, SHOP),
        Kind::Length => (-1e6, 1e6, SHOP),
        Kind::Angle => (-1e4, 1e4, SHOP),
        Kind::Mass => (-1e7, 1e7, SHOP),
        Kind::Speed => (-1e5, 1e5, SHOP),
        Kind::MassFraction => (-1e3, 1e3, SHOP),
        _ => (-1e15, 1e15, SHOP),
    }
}
