//! Threads and tightening.

use super::Family;

/// Families of this trade.
pub const FAMILIES: &[&Family] = &[];
