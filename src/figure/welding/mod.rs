//! Welding: heat, preheat, size, strength, consumption, distortion.

pub mod base_metal;
pub mod fillet_size;
pub mod fillet_strength;
pub mod fillet_throat;
pub mod pass_sequence;
pub mod passes;
pub mod perch_weld;
pub mod sequence;
pub mod tacks;
pub mod tube_seam;
pub mod visual_acceptance;
pub mod visual_limits;
pub mod weld_flow;
pub mod weld_group;
pub mod weld_outline;
pub mod weld_strength;

use super::Family;

/// Families of this trade.
pub const FAMILIES: &[&Family] = &[
    // Size, strength, sequence and acceptance.
    &fillet_size::FILLET_SIZE,
    &fillet_throat::FILLET_THROAT,
    &fillet_strength::FILLET_STRENGTH,
    &weld_group::WELD_GROUP,
    &tube_seam::TUBE_SEAM,
    &perch_weld::PERCH_WELD,
    &base_metal::BASE_METAL,
    &tacks::TACKS,
    &pass_sequence::PASS_SEQUENCE,
    &visual_acceptance::VISUAL_ACCEPTANCE,
    &passes::PASSES,
];
