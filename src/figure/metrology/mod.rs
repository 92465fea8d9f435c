//! Measurement uncertainty and decisions.
//!
//! Standard uncertainties carry the symbol u, expanded ones U = k u. Nothing is
//! called conforming that is not proven to be.

pub mod budget;
pub mod convert;
pub mod decision;
pub mod distribution;
pub mod reading;

use super::Family;

/// Families of this trade.
pub const FAMILIES: &[&Family] = &[
    &reading::READING,
    &reading::ANGLE_READING,
    &reading::LENGTH_READING,
    &reading::TORQUE_READING,
    &reading::ANGLE_DIFFERENCE,
    &budget::UNCERTAINTY_BUDGET,
    &budget::LENGTH_BUDGET,
    &budget::ANGLE_BUDGET,
    &budget::TORQUE_BUDGET,
    &budget::COVERAGE_FACTOR,
    &decision::DECISION,
    &decision::LENGTH_DECISION,
    &decision::ANGLE_DECISION,
    &decision::TORQUE_DECISION,
    &decision::UNCERTAINTY_RATIO,
    &decision::LENGTH_RATIO,
    &decision::ANGLE_RATIO,
    &decision::TORQUE_RATIO,
    &convert::CONVERT,
];
