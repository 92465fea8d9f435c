//! The names by which procedure texts reach a job's figures.

use crate::quantity::Kind;

/// What a job figure belongs to.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Scope {
    /// A component: `f.name`.
    Component,
    /// One side of a component: `fs.name`.
    Side,
    /// A weld joint: `j.f.name`.
    Joint,
    /// A group of fasteners: `b.f.name`.
    Fastener,
}

/// One name.
#[derive(Debug, Clone, Copy)]
pub struct Name {
    /// What it belongs to.
    pub scope: Scope,
    /// The name.
    pub name: &'static str,
    /// What a person calls it.
    pub title: &'static str,
    /// Kind, if it is a quantity.
    pub kind: Option<Kind>,
}

const fn quantity(scope: Scope, name: &'static str, title: &'static str, kind: Kind) -> Name {
    Name { scope, name, title, kind: Some(kind) }
}

const fn word(scope: Scope, name: &'static str, title: &'static str) -> Name {
    Name { scope, name, title, kind: None }
}

use Kind as K;
use Scope::{Component as C, Fastener as B, Joint as J, Side as S};

/// Every name, by scope and then in the order a person meets them.
pub const NAMES: &[Name] = &[
    quantity(C, "lift", "lift of the frame at the axle", K::Length),
    quantity(C, "stack", "lift from the stack alone", K::Length),
    quantity(C, "ride_pitch", "pitch of the unit when the work is done, nose up", K::Angle),
    quantity(C, "case_rise", "rise of the case flange", K::Length),
    quantity(C, "output_slope_after", "output angle when the work is done", K::Angle),
    word(C, "lifts", "lift at each axle"),
    quantity(C, "seat_tilt", "seat tilt from the shackle", K::Angle),
    quantity(C, "pinion_now", "pinion angle as found", K::Angle),
    quantity(C, "pinion_target", "pinion angle wanted", K::Angle),
    quantity(C, "housing_turn", "turn of the housing", K::Angle),
    quantity(C, "housing_turn_on_pads", "turn of the housing against its pads", K::Angle),
    quantity(C, "pinion_tolerance", "pinion tolerance", K::Angle),
    quantity(C, "housing_arc", "turn of the housing as an arc on the tube", K::Length),
    quantity(C, "shaft_length_before", "shaft length before", K::Length),
    quantity(C, "shaft_length", "shaft length at ride", K::Length),
    quantity(C, "joint_pinion_before", "joint angle at the pinion, before", K::Angle),
    quantity(C, "joint_pinion_after", "joint angle at the pinion, after", K::Angle),
    quantity(C, "joint_case_before", "joint angle at the case, before", K::Angle),
    quantity(C, "joint_case_after", "joint angle at the case, after", K::Angle),
    quantity(C, "wind_up_before", "braking moment per seat, before", K::Torque),
    quantity(C, "wind_up_after", "braking moment per seat, after", K::Torque),
    quantity(C, "wind_up_change", "wind-up moment, after over before", K::Number),
    quantity(C, "caster_target", "caster wanted", K::Angle),
    quantity(C, "caster_tolerance", "caster tolerance", K::Angle),
    quantity(C, "caster_spread", "left and right caster may differ by", K::Angle),
    quantity(C, "rotation_uncertainty", "expanded uncertainty of the knuckle rotation", K::Angle),
    quantity(C, "mark_accuracy", "the marks on the tube are good to", K::Angle),
    word(C, "finder_verdict", "is the angle finder good enough"),
    word(C, "knuckle_construction", "how knuckle and tube are joined"),
    word(C, "cut_line", "where the cut runs"),
    quantity(C, "groove_offset", "groove inboard of the seam weld", K::Length),
    quantity(C, "depth_stop", "depth stop, least of both sides", K::Length),
    quantity(C, "depth_never", "depth never to be passed", K::Length),
    quantity(C, "ligament", "wall left at the thickest reading", K::Length),
    quantity(C, "wall_least", "least wall reading", K::Length),
    quantity(C, "pad_spread", "between the pads' centres", K::Length),
    quantity(C, "pad_thickness", "pad thickness", K::Length),
    quantity(C, "pad_length", "pad length", K::Length),
    quantity(C, "hanger_shift", "hangers moved forward", K::Length),
    quantity(C, "pad_shift", "pad hole ahead of the tube centre", K::Length),
    quantity(C, "axle_shift", "axle moved forward", K::Length),
    quantity(C, "wheelbase_left", "wheelbase wanted, left", K::Length),
    quantity(C, "wheelbase_right", "wheelbase wanted, right", K::Length),
    quantity(C, "approach_before", "approach angle before", K::Angle),
    quantity(C, "approach_after", "approach angle after", K::Angle),
    quantity(C, "departure_before", "departure angle before", K::Angle),
    quantity(C, "departure_after", "departure angle after", K::Angle),
    quantity(C, "breakover_before", "breakover angle before", K::Angle),
    quantity(C, "breakover_after", "breakover angle after", K::Angle),
    quantity(C, "stability_before", "static stability factor before", K::Number),
    quantity(C, "stability_after", "static stability factor after", K::Number),
    quantity(C, "rail_rake", "rake of the frame rail, nose up", K::Angle),
    quantity(C, "shock_change", "longer shock absorber by", K::Length),
    quantity(C, "bump_gap", "gap to the bump stop", K::Length),
    quantity(C, "hose_extra", "longer brake hose by", K::Length),
    quantity(C, "drag_link_before", "drag link slope before", K::Angle),
    quantity(C, "drag_link_after", "drag link slope after", K::Angle),
    quantity(C, "link_slope_limit", "drag link slope, at most", K::Angle),
    quantity(C, "link_slope_low", "drag link slope, at least", K::Angle),
    quantity(C, "link_slope_high", "drag link slope, at most", K::Angle),
    quantity(C, "bump_steer_before", "bump steer before", K::Angle),
    quantity(C, "bump_steer_after", "bump steer after", K::Angle),
    quantity(C, "shackle_target", "shackle lean at ride", K::Angle),
    quantity(C, "bump_steer_limit", "bump steer, at most", K::Angle),
    quantity(C, "bump_steer_low", "bump steer, at least", K::Angle),
    quantity(C, "bump_steer_high", "bump steer, at most", K::Angle),
    quantity(C, "length_wanted", "length over all", K::Length),
    quantity(C, "width_wanted", "width over all", K::Length),
    quantity(C, "height_wanted", "height over all", K::Length),
    quantity(C, "size_tolerance", "sizes may be off by", K::Length),
    word(C, "drawing", "drawing"),
    word(C, "pieces", "pieces to cut"),
    quantity(C, "squareness_limit", "diagonals may differ by", K::Length),
    quantity(C, "spring_rate_before", "spring rate before", K::SpringRate),
    quantity(C, "spring_rate_after", "spring rate after", K::SpringRate),
    quantity(C, "toe_target", "total toe wanted", K::Angle),
    quantity(C, "toe_linear", "total toe at the tyre", K::Length),
    quantity(C, "shaft_change", "shaft longer at ride by", K::Length),
    quantity(C, "shaft_out_of_plane", "angle of the shaft in plan view", K::Angle),
    quantity(C, "engagement_droop", "spline engaged at full droop", K::Length),
    quantity(C, "bump_room_after", "room left in the slip at full bump", K::Length),
    quantity(C, "joint_rating", "joint angle the maker allows", K::Angle),
    quantity(C, "shaft_compressed", "shaft length at full bump", K::Length),
    quantity(C, "shaft_extended", "shaft length at full droop", K::Length),
    quantity(C, "slip_stroke", "slip stroke needed", K::Length),
    quantity(C, "slip_engagement", "spline engagement at full droop, at least", K::Length),
    quantity(C, "critical_speed", "critical speed of the shaft", K::RotationSpeed),
    quantity(C, "joint_residual", "residual joint angle of the shaft", K::Angle),
    quantity(C, "runout_limit", "shaft runout, at most", K::Length),
    quantity(C, "phase_limit", "yokes in phase within", K::Angle),
    quantity(S, "caster_now", "caster as found", K::Angle),
    quantity(S, "caster_after_turn", "caster after the housing is turned", K::Angle),
    quantity(S, "caster_target", "caster wanted", K::Angle),
    quantity(S, "caster_low", "least caster accepted", K::Angle),
    quantity(S, "caster_high", "most caster accepted", K::Angle),
    quantity(S, "knuckle_rotation", "knuckle rotation to give back", K::Angle),
    quantity(S, "mark_arc", "rotation as an arc on the tube", K::Length),
    quantity(S, "mark_chord", "rotation as a chord", K::Length),
    quantity(S, "mark_accuracy", "the marks on this tube are good to", K::Angle),
    quantity(S, "kpi_after", "steering axis inclination after", K::Angle),
    quantity(S, "depth_stop", "depth stop of this side", K::Length),
    quantity(S, "depth_never", "depth never to be passed on this side", K::Length),
    quantity(S, "wall_least", "least wall reading of this side", K::Length),
    quantity(S, "ligament", "wall left at the thickest reading of this side", K::Length),
    quantity(S, "camber_after", "camber after", K::Angle),
    quantity(S, "toe_after", "toe after, before it is set", K::Angle),
    quantity(J, "size", "weld size", K::Length),
    word(J, "size_from", "weld size set by"),
    quantity(J, "size_min", "least fillet leg allowed", K::Length),
    quantity(J, "size_max", "largest fillet leg allowed", K::Length),
    quantity(J, "throat", "effective throat", K::Length),
    quantity(J, "preheat", "preheat, at least", K::Temperature),
    word(J, "preheat_method", "preheat governed by"),
    word(J, "interpass_from", "interpass limit set by"),
    word(J, "settings_from", "range of the settings set by"),
    quantity(J, "amps_low", "welding current, at least", K::Current),
    quantity(J, "amps_high", "welding current, at most", K::Current),
    quantity(J, "volts_low", "arc voltage, at least", K::Voltage),
    quantity(J, "volts_high", "arc voltage, at most", K::Voltage),
    quantity(J, "travel_low", "travel speed, at least", K::Speed),
    quantity(J, "travel_high", "travel speed, at most", K::Speed),
    quantity(J, "interpass_max", "interpass temperature, at most", K::Temperature),
    quantity(J, "heat_input", "heat input", K::HeatInput),
    quantity(J, "heat_input_low", "heat input, at least", K::HeatInput),
    quantity(J, "heat_input_high", "heat input, at most", K::HeatInput),
    quantity(J, "amps", "welding current", K::Current),
    quantity(J, "volts", "arc voltage", K::Voltage),
    quantity(J, "travel", "travel speed", K::Speed),
    quantity(J, "cooling_time", "cooling time t8/5", K::Time),
    quantity(J, "weld_metal", "weld metal", K::Mass),
    quantity(J, "filler", "filler to buy", K::Mass),
    quantity(J, "gas", "shielding gas", K::Volume),
    quantity(J, "arc_time", "arc time", K::Time),
    quantity(J, "clock_time", "clock time", K::Time),
    quantity(J, "tack_count", "tacks", K::Number),
    quantity(J, "tack_length", "length of a tack, at least", K::Length),
    word(J, "sequence", "sequence"),
    quantity(J, "undercut_limit", "undercut, at most", K::Length),
    quantity(J, "undersize_limit", "undersize, at most", K::Length),
    quantity(J, "utilisation", "utilisation of the weld", K::Number),
    quantity(J, "wait", "wait between passes, about", K::Time),
    quantity(B, "torque", "torque", K::Torque),
    quantity(B, "inside_width", "U-bolt, inside width", K::Length),
    quantity(B, "torque_low", "torque, at least", K::Torque),
    quantity(B, "torque_high", "torque, at most", K::Torque),
    quantity(B, "stage_1", "first stage", K::Torque),
    quantity(B, "stage_2", "second stage", K::Torque),
    quantity(B, "stage_3", "last stage", K::Torque),
    word(B, "pattern", "order of tightening"),
    quantity(B, "preload", "preload", K::Force),
    quantity(B, "preload_low", "preload, low end of the scatter", K::Force),
    quantity(B, "preload_high", "preload, high end of the scatter", K::Force),
    word(B, "retorque", "tighten again"),
    word(B, "condition", "condition of the thread"),
    word(B, "wrench", "torque wrench"),
    word(B, "source", "where the torque comes from"),
];

/// The name of this spelling in a scope.
#[must_use]
pub fn find(scope: Scope, name: &str) -> Option<&'static Name> {
    NAMES.iter().find(|n| n.scope == scope && n.name == name)
}

/// All names of a scope.
pub fn names(scope: Scope) -> impl Iterator<Item = &'static str> {
    NAMES.iter().filter(move |n| n.scope == scope).map(|n| n.name)
}
