//! Measurement uncertainty and decisions.

use super::Family;

/// Families of this trade.
pub const FAMILIES: &[&Family] = &[];
