//! Transcendental functions that give the same bits on every platform.
//!
//! The standard library's use the platform's mathematics library; these use
//! the `libm` crate, so a traveler issued on one machine reproduces on another.

use super::{Angle, Dimensioned};

/// Sine of an angle.
#[must_use]
pub fn sin(angle: Angle) -> f64 {
    libm::sin(angle.si())
}

/// Cosine of an angle.
#[must_use]
pub fn cos(angle: Angle) -> f64 {
    libm::cos(angle.si())
}

/// Tangent of an angle.
#[must_use]
pub fn tan(angle: Angle) -> f64 {
    libm::tan(angle.si())
}

/// Angle whose sine is `x`; not a number outside -1 to 1.
#[must_use]
pub fn asin(x: f64) -> Angle {
    Angle::from_si(libm::asin(x))
}

/// Angle whose cosine is `x`; not a number outside -1 to 1.
#[must_use]
pub fn acos(x: f64) -> Angle {
    Angle::from_si(libm::acos(x))
}

/// Angle whose tangent is `x`.
#[must_use]
pub fn atan(x: f64) -> Angle {
    Angle::from_si(libm::atan(x))
}

/// Angle of the point (`x`, `y`) from the x axis.
#[must_use]
pub fn atan2(y: f64, x: f64) -> Angle {
    Angle::from_si(libm::atan2(y, x))
}

pub use libm::{cbrt, exp, hypot, log, log10, pow, sqrt, tanh};
