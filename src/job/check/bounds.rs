//! What a value of the job may be: usual in the trade, and possible at all.
//!
//! The usual bounds are common practice of shops that work on light and medium
//! trucks, trailers and steel frames; they only ask a second look. The possible
//! ones are where no such part exists or the work could not be done. Both are
//! wide on purpose: they catch a wrong unit, a lost point and a wrong sign.

/// Bounds of one key of the job file.
#[derive(Debug, Clone, Copy)]
pub(super) struct Bound {
    /// Key path without numbers and sides: `axle.tube.od`.
    pub(super) key: &'static str,
    /// What `usual` and `possible` are counted in: `in`, `lb`, `%`.
    pub(super) unit: &'static str,
    /// Outside these a value needs a reason.
    pub(super) usual: (f64, f64),
    /// Outside these it is refused.
    pub(super) possible: (f64, f64),
}

const fn row(key: &'static str, unit: &'static str, usual: (f64, f64), possible: (f64, f64)) -> Bound {
    Bound { key, unit, usual, possible }
}

/// Every quantity of the job file.
#[rustfmt::skip]
pub(super) const BOUNDS: &[Bound] = &[
    row("unit.mass", "lb", (300.0, 60e3), (20.0, 300e3)),
    row("unit.wheelbase", "in", (50.0, 320.0), (15.0, 900.0)),
    row("unit.cg_height", "in", (12.0, 80.0), (4.0, 160.0)),
    row("unit.cg_to_rear", "in", (15.0, 200.0), (1.0, 700.0)),
    row("unit.track", "in", (40.0, 100.0), (12.0, 200.0)),
    row("unit.sprung_share", "%", (65.0, 96.0), (1.0, 100.0)),
    row("unit.braking", "g", (0.3, 1.0), (0.02, 1.6)),
    row("unit.cornering", "g", (0.2, 1.0), (0.02, 1.6)),
    row("unit.other_axle_lift", "in", (-3.0, 9.0), (-12.0, 24.0)),
    row("axle.tube.od", "in", (1.25, 6.0), (0.5, 14.0)),
    row("axle.tube.wall", "in", (0.08, 0.8), (0.02, 2.0)),
    row("axle.tube.pad_spread", "in", (12.0, 70.0), (4.0, 140.0)),
    row("axle.spring.pack", "in", (0.4, 5.0), (0.1, 12.0)),
    row("axle.spring.seat_old", "in", (0.0, 4.0), (0.0, 12.0)),
    row("axle.spring.seat_new", "in", (0.0, 5.0), (0.0, 12.0)),
    row("axle.spring.arch_change", "in", (-4.0, 6.0), (-14.0, 14.0)),
    row("axle.spring.shackle_old", "in", (2.0, 9.0), (0.8, 20.0)),
    row("axle.spring.shackle_new", "in", (2.0, 9.0), (0.8, 20.0)),
    row("axle.spring.shackle_lean", "deg", (-50.0, 50.0), (-85.0, 85.0)),
    row("axle.spring.front_half", "in", (7.0, 50.0), (2.0, 90.0)),
    row("axle.spring.rear_half", "in", (7.0, 50.0), (2.0, 90.0)),
    row("axle.spring.chord", "in", (14.0, 95.0), (4.0, 180.0)),
    row("axle.spring.width", "in", (1.25, 5.0), (0.4, 12.0)),
    row("axle.spring.leaf", "in", (0.15, 0.9), (0.04, 2.5)),
    row("axle.spring.leaf_new", "in", (0.15, 0.9), (0.04, 2.5)),
    row("axle.spring.hanger_shift", "in", (-4.0, 4.0), (-30.0, 30.0)),
    row("axle.spring.load", "lbf", (60.0, 12e3), (5.0, 80e3)),
    row("axle.spring.bump", "in", (0.8, 9.0), (0.1, 30.0)),
    row("axle.spring.droop", "in", (0.8, 14.0), (0.1, 40.0)),
    row("axle.pinion.angle", "deg", (-8.0, 28.0), (-45.0, 45.0)),
    row("axle.pinion.wanted", "deg", (-8.0, 28.0), (-45.0, 45.0)),
    row("axle.pinion.offset", "in", (-4.0, 4.0), (-20.0, 20.0)),
    row("axle.pinion.reach", "in", (4.0, 24.0), (1.0, 60.0)),
    row("axle.pinion.case_forward", "in", (10.0, 140.0), (2.0, 500.0)),
    row("axle.pinion.case_up", "in", (-8.0, 24.0), (-30.0, 72.0)),
    row("axle.pinion.output_slope", "deg", (-12.0, 12.0), (-35.0, 35.0)),
    row("axle.pinion.sideways", "in", (-16.0, 16.0), (-50.0, 50.0)),
    row("axle.pinion.allowance", "deg", (0.0, 3.0), (0.0, 10.0)),
    row("axle.knuckle.caster", "deg", (-2.0, 12.0), (-30.0, 30.0)),
    row("axle.knuckle.inclination", "deg", (3.0, 16.0), (-10.0, 35.0)),
    row("axle.knuckle.camber", "deg", (-2.5, 2.5), (-12.0, 12.0)),
    row("axle.knuckle.toe", "deg", (-0.75, 0.75), (-10.0, 10.0)),
    row("axle.knuckle.caster_with_pinion_set", "deg", (-25.0, 15.0), (-45.0, 45.0)),
    row("axle.target.finder_readings", "", (1.0, 10.0), (1.0, 1000.0)),
    row("axle.spring.leaves", "", (1.0, 14.0), (1.0, 100.0)),
    row("axle.spring.leaves_new", "", (1.0, 14.0), (1.0, 100.0)),
    row("axle.target.caster", "deg", (2.0, 9.0), (-5.0, 20.0)),
    row("axle.target.caster_tolerance", "deg", (0.2, 1.0), (0.02, 4.0)),
    row("axle.target.caster_spread", "deg", (0.1, 1.0), (0.02, 4.0)),
    row("axle.target.toe", "deg", (-0.3, 0.5), (-4.0, 4.0)),
    row("axle.target.link_slope", "deg", (1.0, 15.0), (0.1, 45.0)),
    row("axle.target.bump_steer", "deg", (0.02, 2.0), (0.001, 20.0)),
    row("axle.target.pinion_tolerance", "deg", (0.1, 1.5), (0.02, 5.0)),
    row("axle.target.finder_resolution", "deg", (0.01, 0.5), (0.0005, 2.0)),
    row("axle.target.finder_limit", "deg", (0.02, 0.5), (0.0005, 3.0)),
    row("axle.target.finder_repeatability", "deg", (0.005, 0.5), (0.0, 3.0)),
    row("axle.cut.groove_offset", "in", (0.2, 1.5), (0.0, 8.0)),
    row("axle.cut.walls_left", "in", (0.08, 0.8), (0.02, 2.0)),
    row("axle.cut.walls_right", "in", (0.08, 0.8), (0.02, 2.0)),
    row("axle.cut.gauge_limit", "in", (0.0005, 0.015), (0.00005, 0.1)),
    row("axle.cut.setting_limit", "in", (0.001, 0.03), (0.0001, 0.25)),
    row("axle.cut.wobble", "in", (0.001, 0.03), (0.0001, 0.25)),
    row("axle.cut.reserve", "in", (0.004, 0.08), (0.0005, 0.6)),
    row("axle.cut.kerf", "in", (0.03, 0.16), (0.01, 0.6)),
    row("axle.cut.bevel", "deg", (20.0, 45.0), (5.0, 75.0)),
    row("axle.pad.hole_offset", "in", (-3.0, 3.0), (-14.0, 14.0)),
    row("axle.pad.thickness", "in", (0.12, 1.5), (0.04, 5.0)),
    row("axle.pad.length", "in", (1.5, 14.0), (0.5, 48.0)),
    row("axle.pad.weld_spread", "in", (1.0, 6.0), (0.3, 16.0)),
    row("axle.pad.weld_strength", "ksi", (55.0, 120.0), (30.0, 220.0)),
    row("axle.tyre.radius", "in", (6.0, 30.0), (3.0, 60.0)),
    row("axle.tyre.radius_after", "in", (6.0, 30.0), (3.0, 60.0)),
    row("axle.tyre.seam_offset", "in", (1.0, 14.0), (-12.0, 30.0)),
    row("axle.tyre.grip", "", (0.4, 1.1), (0.05, 2.0)),
    row("axle.drag_link.along", "in", (8.0, 70.0), (1.0, 220.0)),
    row("axle.drag_link.rise", "in", (-12.0, 14.0), (-48.0, 48.0)),
    row("axle.drag_link.arm", "in", (3.0, 14.0), (1.0, 48.0)),
    row("axle.shock.offset", "in", (-14.0, 14.0), (-48.0, 48.0)),
    row("axle.shock.height", "in", (6.0, 40.0), (2.0, 90.0)),
    row("axle.shock.bump_gap", "in", (0.4, 9.0), (0.0, 30.0)),
    row("frame.approach_ahead", "in", (3.0, 80.0), (0.5, 240.0)),
    row("frame.approach_height", "in", (5.0, 60.0), (1.0, 140.0)),
    row("frame.departure_behind", "in", (3.0, 120.0), (0.5, 400.0)),
    row("frame.departure_height", "in", (5.0, 60.0), (1.0, 140.0)),
    row("frame.belly_behind", "in", (8.0, 250.0), (0.5, 700.0)),
    row("frame.belly_height", "in", (4.0, 50.0), (1.0, 140.0)),
    row("frame.rail_front", "in", (8.0, 70.0), (2.0, 160.0)),
    row("frame.rail_rear", "in", (8.0, 70.0), (2.0, 160.0)),
    row("frame.rail_marks", "in", (12.0, 320.0), (2.0, 900.0)),
    row("driveshaft.od", "in", (1.25, 6.0), (0.4, 14.0)),
    row("driveshaft.wall", "in", (0.05, 0.3), (0.01, 1.5)),
    row("driveshaft.length", "in", (8.0, 100.0), (3.0, 360.0)),
    row("driveshaft.length_after", "in", (8.0, 100.0), (3.0, 360.0)),
    row("driveshaft.compressed", "in", (8.0, 100.0), (3.0, 360.0)),
    row("driveshaft.extended", "in", (8.0, 105.0), (3.0, 370.0)),
    row("driveshaft.spline", "in", (0.75, 3.5), (0.25, 8.0)),
    row("driveshaft.engagement", "in", (1.0, 12.0), (0.1, 40.0)),
    row("driveshaft.bump_room", "in", (0.3, 6.0), (0.0, 30.0)),
    row("driveshaft.joint_rating", "deg", (3.0, 50.0), (0.5, 90.0)),
    row("driveshaft.speed", "rpm", (300.0, 7000.0), (10.0, 25e3)),
    row("driveshaft.joint_axle", "deg", (-15.0, 15.0), (-60.0, 60.0)),
    row("driveshaft.joint_case", "deg", (-30.0, 30.0), (-60.0, 60.0)),
    row("driveshaft.phase", "deg", (0.1, 3.0), (0.0, 30.0)),
    row("driveshaft.runout", "in", (0.002, 0.08), (0.0002, 1.0)),
    row("weldment.length", "in", (1.0, 600.0), (0.1, 6000.0)),
    row("weldment.width", "in", (0.5, 600.0), (0.05, 6000.0)),
    row("weldment.height", "in", (0.25, 600.0), (0.01, 6000.0)),
    row("weldment.tolerance", "in", (0.005, 0.5), (0.0005, 8.0)),
    row("weldment.squareness", "in", (0.005, 0.5), (0.0005, 8.0)),
    row("joint.thickness", "in", (0.03, 3.0), (0.008, 16.0)),
    row("joint.other_thickness", "in", (0.03, 3.0), (0.008, 16.0)),
    row("joint.backing", "in", (0.03, 2.0), (0.008, 16.0)),
    row("joint.cet", "%", (0.12, 0.6), (0.02, 1.2)),
    row("joint.size", "in", (0.06, 0.8), (0.02, 4.0)),
    row("joint.length", "in", (0.4, 300.0), (0.05, 6000.0)),
    row("joint.around", "in", (0.4, 16.0), (0.1, 160.0)),
    row("joint.groove_angle", "deg", (20.0, 90.0), (5.0, 130.0)),
    row("joint.groove_depth", "in", (0.04, 2.0), (0.01, 16.0)),
    row("joint.root_opening", "in", (0.0, 0.25), (0.0, 1.5)),
    row("joint.root_face", "in", (0.0, 0.19), (0.0, 1.5)),
    row("joint.weld_strength", "ksi", (55.0, 120.0), (30.0, 220.0)),
    row("joint.hydrogen", "ml/100g", (1.0, 20.0), (0.05, 60.0)),
    row("joint.volts", "V", (8.0, 42.0), (4.0, 110.0)),
    row("joint.amps", "A", (20.0, 600.0), (3.0, 2000.0)),
    row("joint.travel", "in/min", (1.5, 45.0), (0.2, 300.0)),
    row("joint.wire_feed", "in/min", (50.0, 800.0), (5.0, 2500.0)),
    row("joint.wire", "in", (0.02, 0.26), (0.01, 0.6)),
    row("joint.preheat", "degF", (32.0, 600.0), (-40.0, 1100.0)),
    row("joint.interpass_max", "degF", (120.0, 800.0), (32.0, 1300.0)),
    row("joint.cooling_least", "s", (2.0, 40.0), (0.2, 600.0)),
    row("joint.cooling_most", "s", (4.0, 80.0), (0.5, 2000.0)),
    row("joint.tack_spacing", "in", (0.75, 24.0), (0.2, 120.0)),
    row("fastener.torque", "lbf-ft", (2.0, 900.0), (0.1, 9000.0)),
    row("fastener.proof", "ksi", (30.0, 150.0), (15.0, 250.0)),
    row("fastener.nut_factor", "", (0.08, 0.35), (0.03, 0.6)),
    row("fastener.preload", "%", (40.0, 90.0), (2.0, 100.0)),
    row("fastener.increment", "lbf-ft", (0.05, 25.0), (0.001, 200.0)),
    row("fastener.inside_width", "in", (1.0, 9.0), (0.2, 30.0)),
];

/// Bounds of a key path; its numbers and sides do not matter.
pub(super) fn of(path: &str) -> Option<&'static Bound> {
    let plain: Vec<&str> = path
        .split('.')
        .map(|part| part.split('[').next().unwrap_or(part))
        .filter(|part| !matches!(*part, "left" | "right"))
        .collect();
    let plain = plain.join(".");
    BOUNDS.iter().find(|b| b.key == plain)
}
