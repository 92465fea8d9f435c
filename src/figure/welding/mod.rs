//! Welding: heat, preheat, size, strength, consumption, distortion.

use super::Family;

/// Families of this trade.
pub const FAMILIES: &[&Family] = &[];
