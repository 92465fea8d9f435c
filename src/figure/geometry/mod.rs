//! Axle, spring, steering and driveline geometry.
//!
//! Axes as in ISO 8855: x forward, y left, z up; the left side counts as +1, the
//! right side as -1. Caster is positive with the top of the steering axis
//! rearward, inclination with the top inboard, camber with the top of the wheel
//! outboard, toe with the front of the wheel inboard. A knuckle turned about the
//! tube is positive when its top goes rearward.

use crate::figure::prelude::*;

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
pub mod rotation_table;
pub mod scribe_mark;
pub mod shaft_length;
pub mod taper_shim;
pub mod trail;
pub mod universal;

pub mod axle_path;
pub mod axle_square;
pub mod clearance_angles;
pub mod cope;
pub mod drag_link;
pub mod leaf_arc;
pub mod leaf_halves;
pub mod leaf_rate;
pub mod leaf_swap;
pub mod mitre;
pub mod plate_layout;
pub mod plunge;
pub mod ring_weld;
pub mod shackle_model;
pub mod shackle_rate;
pub mod shackle_travel;
pub mod stability;
pub mod straightness;
pub mod template;
pub mod travel_limits;
pub mod wheel;
pub mod wind_up;
pub mod wrap_strip;

use super::Family;

words! {
    /// End of a vehicle or of a spring.
    pub End {
        Front = "front" | "fr" | "f",
        Rear = "rear" | "rr" | "back",
    }
}

words! {
    /// Side of the vehicle, looking forward.
    pub Side {
        Left = "left" | "lh" | "l",
        Right = "right" | "rh" | "r",
    }
}

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
    // Springs, travel and placing the axle.
    &leaf_rate::LEAF_RATE,
    &leaf_halves::LEAF_HALVES,
    &leaf_swap::LEAF_SWAP,
    &shackle_travel::SHACKLE_TRAVEL,
    &shackle_rate::SHACKLE_RATE,
    &axle_path::AXLE_PATH,
    &plunge::PLUNGE,
    &wind_up::WIND_UP,
    &ring_weld::RING_WELD,
    &axle_square::PAD_OFFSET,
    &axle_square::SQUARENESS,
    &clearance_angles::CLEARANCE_ANGLES,
    &stability::STABILITY,
    &drag_link::DRAG_LINK,
    &travel_limits::HOSE_LENGTH,
    &travel_limits::SHOCK_LENGTH,
    &travel_limits::BUMP_STOP,
    &wheel::TOE,
    &wheel::TYRE_SIZE,
    &cope::COPE,
    &mitre::MITRE,
    &wrap_strip::WRAP_STRIP,
    &wrap_strip::EQUAL_DIVISION,
    &plate_layout::DRILL_PATTERN,
    &plate_layout::GUSSET,
    &plate_layout::BENT_BRACKET,
    &plate_layout::ANGLE_GAUGE,
    &template::TAPERED_PLATE,
    &template::TEMPLATE_SCALE,
    &straightness::TUBE_STRAIGHTNESS,
];
