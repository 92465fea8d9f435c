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
    quantity(C, "seat_tilt", "seat tilt from the shackle", K::Angle),
    quantity(C, "pinion_now", "pinion angle as found", K::Angle),
    quantity(C, "pinion_target", "pinion angle wanted", K::Angle),
    quantity(C, "housing_turn", "turn of the housing", K::Angle),
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
    quantity(C, "rotation_uncertainty", "expanded uncertainty of the knuckle rotation", K::Angle),
    word(C, "finder_verdict", "is the angle finder good enough"),
    quantity(C, "groove_offset", "groove inboard of the seam weld", K::Length),
    quantity(C, "depth_stop", "depth stop, least of both sides", K::Length),
    quantity(C, "depth_never", "depth never to be passed", K::Length),
    quantity(C, "ligament", "wall left at the thickest reading", K::Length),
    quantity(C, "wall_least", "least wall reading", K::Length),
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
    quantity(C, "shock_change", "longer shock absorber by", K::Length),
    quantity(C, "bump_gap", "gap to the bump stop", K::Length),
    quantity(C, "hose_extra", "longer brake hose by", K::Length),
    quantity(C, "drag_link_before", "drag link slope before", K::Angle),
    quantity(C, "drag_link_after", "drag link slope after", K::Angle),
    quantity(C, "bump_steer_before", "bump steer before", K::Angle),
    quantity(C, "bump_steer_after", "bump steer after", K::Angle),
    quantity(C, "drag_link_most", "drag link off level, at most", K::Angle),
    quantity(C, "bump_steer_most", "bump steer, at most", K::Angle),
    quantity(C, "shackle_target", "shackle lean at ride", K::Angle),
    quantity(C, "squareness_limit", "diagonals may differ by", K::Length),
    quantity(C, "spring_rate_before", "spring rate before", K::SpringRate),
    quantity(C, "spring_rate_after", "spring rate after", K::SpringRate),
    quantity(C, "toe_target", "total toe wanted", K::Angle),
    quantity(C, "toe_linear", "total toe at the tyre", K::Length),
    quantity(C, "shaft_compressed", "shaft length at full bump", K::Length),
    quantity(C, "shaft_extended", "shaft length at full droop", K::Length),
    quantity(C, "slip_stroke", "slip stroke needed", K::Length),
    quantity(C, "slip_engagement", "spline engagement at full droop, at least", K::Length),
    quantity(C, "critical_speed", "critical speed of the shaft", K::RotationSpeed),
    quantity(C, "joint_residual", "residual joint angle of the shaft", K::Angle),
    quantity(C, "phase_limit", "yokes in phase within", K::Angle),
    quantity(S, "caster_now", "caster as found", K::Angle),
    quantity(S, "caster_after_turn", "caster after the housing is turned", K::Angle),
    quantity(S, "caster_target", "caster wanted", K::Angle),
    quantity(S, "caster_low", "least caster accepted", K::Angle),
    quantity(S, "caster_high", "most caster accepted", K::Angle),
    quantity(S, "knuckle_rotation", "knuckle rotation to give back", K::Angle),
    quantity(S, "mark_arc", "rotation as an arc on the tube", K::Length),
    quantity(S, "mark_chord", "rotation as a chord", K::Length),
    quantity(S, "kpi_after", "steering axis inclination after", K::Angle),
    quantity(S, "camber_after", "camber after", K::Angle),
    quantity(S, "toe_after", "toe after, before it is set", K::Angle),
    quantity(J, "size", "weld size", K::Length),
    quantity(J, "size_min", "least fillet leg allowed", K::Length),
    quantity(J, "size_max", "largest fillet leg allowed", K::Length),
    quantity(J, "throat", "effective throat", K::Length),
    quantity(J, "preheat", "preheat, at least", K::Temperature),
    word(J, "preheat_method", "preheat governed by"),
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
