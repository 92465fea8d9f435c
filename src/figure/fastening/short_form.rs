//! Torque and preload by one factor for thread and head together, T = K d F.

use crate::figure::prelude::*;

/// Torque by the short form, T = K d F.
///
/// Source: Shigley eq. 8-27. Holds below yield, for the surfaces K was found with.
#[must_use]
pub fn short_form(factor: Number, major: Length, preload: Force) -> Torque {
    Torque::from_si(factor.si() * major.si() * preload.si())
}

/// Preload a torque gives by the short form, F = T / (K d).
#[must_use]
pub fn implied_preload(torque: Torque, factor: Number, major: Length) -> Force {
    Force::from_si(torque.si() / (factor.si() * major.si()))
}

/// Nut factor of a torque and a preload, K = T / (d F).
///
/// Source: Shigley eq. 8-27.
pub(super) fn implied_factor(torque: Torque, major: Length, preload: Force) -> Number {
    Number::from_si(torque.si() / (major.si() * preload.si()))
}
