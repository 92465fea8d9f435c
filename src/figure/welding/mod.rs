//! Welding: heat, preheat, size, strength, consumption, distortion.

pub mod base_metal;
pub mod bead_area;
pub mod carbon_equivalent;
pub mod certificate;
mod code_temperature;
pub mod column;
pub mod cooling_rate;
pub mod cooling_time;
pub mod deposition;
pub mod fillet_eurocode;
pub mod fillet_size;
pub mod fillet_strength;
pub mod fillet_throat;
pub mod groove;
pub mod groove_section;
pub mod heat_flow;
pub mod heat_input;
pub mod interpass_wait;
pub mod look_up;
pub mod parent_metal;
pub mod pass_sequence;
pub mod passes;
pub mod perch_weld;
pub mod preheat;
pub mod preheat_category;
pub mod preheat_combined_thickness;
pub mod preheat_governs;
pub mod preheat_guide;
pub mod preheat_hydrogen_control;
pub mod round_groove;
pub mod seam_shrinkage;
pub mod sequence;
pub mod shrinkage;
pub mod tacks;
pub mod travel_speed;
pub mod tube_seam;
pub mod visual_acceptance;
pub mod visual_findings;
pub mod visual_limits;
pub mod weld_flow;
pub mod weld_group;
pub mod weld_metal;
pub mod weld_outline;
pub mod weld_strength;
pub mod wire_feed;

use super::Family;

/// Families of this trade.
pub const FAMILIES: &[&Family] = &[
    &heat_input::HEAT_INPUT_FAMILY,
    &travel_speed::TRAVEL_SPEED,
    &bead_area::BEAD_AREA,
    &carbon_equivalent::CARBON_EQUIVALENT,
    &preheat::PREHEAT_FAMILY,
    &preheat_combined_thickness::PREHEAT_COMBINED_THICKNESS,
    &preheat_category::PREHEAT_CATEGORY,
    &preheat_hydrogen_control::PREHEAT_HYDROGEN_CONTROL,
    &preheat_guide::PREHEAT_GUIDE,
    &preheat_governs::PREHEAT_GOVERNS,
    &cooling_time::COOLING_TIME,
    &cooling_time::HEAT_INPUT_WINDOW,
    &cooling_rate::COOLING_RATE,
    &interpass_wait::INTERPASS_WAIT,
    &interpass_wait::COOLING_WAIT,
    &weld_metal::WELD_METAL,
    &weld_metal::DEPOSITION,
    &wire_feed::WIRE_FEED,
    &shrinkage::SHRINKAGE,
    &shrinkage::ANGULAR_DISTORTION,
    &shrinkage::BOW_FAMILY,
    &seam_shrinkage::SEAM_SHRINKAGE,
    // Size, strength, sequence and acceptance.
    &fillet_size::FILLET_SIZE,
    &fillet_throat::FILLET_THROAT,
    &fillet_strength::FILLET_STRENGTH,
    &fillet_eurocode::FILLET_EUROCODE,
    &weld_group::WELD_GROUP,
    &tube_seam::TUBE_SEAM,
    &perch_weld::PERCH_WELD,
    &base_metal::BASE_METAL,
    &tacks::TACKS,
    &pass_sequence::PASS_SEQUENCE,
    &visual_acceptance::VISUAL_ACCEPTANCE,
    &passes::PASSES,
];
