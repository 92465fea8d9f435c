//! Axle, spring, steering and driveline geometry.
//!
//! Axes as in ISO 8855: x forward, y left, z up; the left side counts as +1, the
//! right side as -1. Caster is positive with the top of the steering axis
//! rearward, inclination with the top inboard, camber with the top of the wheel
//! outboard, toe with the front of the wheel inboard. A knuckle turned about the
//! tube is positive when its top goes rearward.

pub mod axis;
pub mod caster;
pub mod critical_speed;
pub mod cross_caster;
pub mod cut_depth;
pub mod driveline;
pub mod joint_angle;
pub mod joint_chain;
pub mod joint_motion;
pub mod knuckle_rotation;
pub mod knuckle_turn;
pub mod lift;
pub mod pinion;
pub mod pinion_aim;
pub mod root;
pub mod rotation_table;
pub mod scribe_mark;
pub mod shaft_length;
pub mod taper_shim;
pub mod trail;
pub mod universal;

use super::Family;

/// Families of this trade.
pub const FAMILIES: &[&Family] = &[
    &lift::LIFT,
    &knuckle_turn::KNUCKLE_TURN,
    &knuckle_rotation::KNUCKLE_ROTATION,
    &rotation_table::ROTATION_TABLE,
    &cross_caster::CROSS_CASTER,
    &caster::CASTER_TO_GROUND,
    &caster::CASTER_SWEEP,
    &trail::TRAIL,
    &pinion_aim::PINION_AIM,
    &joint_angle::JOINT_ANGLE,
    &taper_shim::TAPER_SHIM,
    &joint_motion::JOINT_MOTION,
    &joint_chain::JOINT_CHAIN,
    &critical_speed::CRITICAL_SPEED,
    &shaft_length::SHAFT_LENGTH,
    &scribe_mark::SCRIBE_MARK,
    &cut_depth::CUT_DEPTH,
    &cut_depth::GROOVE_OPENING,
];
