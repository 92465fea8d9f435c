//! Axle, spring, steering and driveline geometry.
//!
//! Axes as in ISO 8855: x forward, y left, z up; the left side counts as +1, the
//! right side as -1. Caster is positive with the top of the steering axis
//! rearward, inclination with the top inboard, camber with the top of the wheel
//! outboard, toe with the front of the wheel inboard. A knuckle turned about the
//! tube is positive when its top goes rearward.

pub mod lift;

use super::Family;

/// Families of this trade.
pub const FAMILIES: &[&Family] = &[&lift::LIFT];
