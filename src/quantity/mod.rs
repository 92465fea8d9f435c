//! Quantities: a number never travels without its unit.
//!
//! Typed quantities (`uom` types, and newtypes where one dimension has two
//! meanings) are used in signatures; [`Quantity`] is the same with the
//! dimension known at run time, for files, registries and pages. All are held
//! in SI base units. Conversions come from one table, [`unit::UNITS`], with
//! exact factors.
//!
//! Inside a formula body, leave and enter with [`Dimensioned::to`] and
//! [`Dimensioned::of`]:
//!
//! ```
//! use tackwright::quantity::{Dimensioned, Length, unit};
//! let od = Length::of(3.0, unit::IN);
//! assert_eq!(od.to(unit::MM), 76.2);
//! ```

pub mod kind;
pub mod math;
mod mend;
pub mod paired;
pub mod parse;
mod read;
pub mod round;
pub mod show;
pub mod slips;
mod spell;
pub mod typed;
pub mod unit;

pub use kind::Kind;
pub use round::Toward;
pub use show::{Form, Style};
pub use typed::*;
pub use unit::Unit;

use serde::{Deserialize, Serialize};

/// A value in SI base units together with its kind.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Quantity {
    kind: Kind,
    si: f64,
}

impl Quantity {
    /// A quantity from a value in SI base units of `kind`.
    #[must_use]
    pub const fn from_si(kind: Kind, si: f64) -> Self {
        // Nothing has no sign: a machine would print "-0".
        Self { kind, si: if si == 0.0 { 0.0 } else { si } }
    }

    /// A quantity of `value` times `unit`.
    #[must_use]
    pub fn of(value: f64, unit: Unit) -> Self {
        Self::from_si(unit.kind, unit.to_si(value))
    }

    /// The same, larger by `by` SI units.
    #[must_use]
    pub fn moved(self, by: f64) -> Self {
        Self::from_si(self.kind, self.si + by)
    }

    /// What it is a quantity of.
    #[must_use]
    pub const fn kind(self) -> Kind {
        self.kind
    }

    /// Its value in SI base units ([`Kind::si_symbol`]).
    #[must_use]
    pub const fn si(self) -> f64 {
        self.si
    }

    /// Its value in `unit`.
    ///
    /// # Panics
    /// In debug builds, if the unit is of another kind: a programming error.
    #[must_use]
    pub fn to(self, unit: Unit) -> f64 {
        debug_assert_eq!(self.kind, unit.kind, "unit {} is of another kind", unit.symbol);
        unit.from_si(self.si)
    }

    /// The typed form, if the kind fits.
    #[must_use]
    pub fn typed<T: Dimensioned>(self) -> Option<T> {
        (self.kind == T::KIND).then(|| T::from_si(self.si))
    }
}

impl<T: Dimensioned> From<T> for Quantity {
    fn from(value: T) -> Self {
        Self::from_si(T::KIND, value.si())
    }
}
