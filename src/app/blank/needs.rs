//! Which keys of the job file each job figure is computed from, which of them
//! the work can't start without, and what the others buy.

use crate::procedure::catalogue::{self, Scope, component, side};

/// Names of figures of a component.
macro_rules! figures {
    ($($name:ident),+ $(,)?) => { &[$(component::$name.name()),+] };
}

/// Keys of an axle's own tables (`tube.od`), of the unit (`unit.mass`) and of
/// the frame, by the figures that need them.
pub(super) const AXLE: &[(&[&str], &[&str])] = &[
    (figures![lift, stack, shock_change, hose_extra], LIFT),
    (
        figures![seat_tilt],
        &["spring.shackle_old", "spring.shackle_new", "spring.shackle_lean", "spring.front_half"],
    ),
    (figures![seat_tilt], &["spring.rear_half", "spring.chord"]),
    (figures![pinion_now], &["pinion.angle"]),
    (figures![housing_arc], &["tube.od"]),
    (figures![wall_sound], &["tube.wall"]),
    (figures![pinion_target, housing_turn, housing_arc], PINION),
    (figures![pinion_target], &["pinion.allowance", "target.pinion_tolerance"]),
    (figures![joint_pinion_before, joint_pinion_after, joint_case_before, joint_case_after], PINION),
    (figures![shaft_length_before, shaft_length], PINION),
    (figures![pad_shift], &["pad.hole_offset", "pad.thickness", "pad.length"]),
    (figures![axle_shift, wheelbase_left, wheelbase_right], &["pad.hole_offset", "unit.wheelbase"]),
    (figures![wind_up_before, wind_up_after, wind_up_change], LIFT),
    (
        figures![wind_up_before, wind_up_after, wind_up_change],
        &["tyre.radius", "unit.mass", "unit.wheelbase"],
    ),
    (figures![wind_up_before, wind_up_after, wind_up_change], &["unit.cg_height", "unit.cg_to_rear"]),
    (figures![wind_up_before, wind_up_after, wind_up_change], &["unit.braking", "pad.weld_spread"]),
    (figures![caster_target], &["target.caster", "target.caster_tolerance", "target.caster_spread"]),
    (&[side::knuckle_rotation.name()], KNUCKLES),
    (figures![rotation_uncertainty, finder_verdict], KNUCKLES),
    (figures![rotation_uncertainty, finder_verdict], FINDER),
    (figures![groove_offset, wall_least, depth_stop, depth_never, ligament], CUT),
    (figures![approach_before, approach_after], LIFT),
    (
        figures![approach_before, approach_after],
        &["tyre.radius", "frame.approach_ahead", "frame.approach_height"],
    ),
    (figures![departure_before, departure_after], LIFT),
    (figures![departure_before, departure_after], &["tyre.radius", "frame.departure_behind"]),
    (figures![departure_before, departure_after], &["frame.departure_height"]),
    (figures![breakover_before, breakover_after], LIFT),
    (
        figures![breakover_before, breakover_after],
        &["tyre.radius", "frame.belly_behind", "frame.belly_height"],
    ),
    (figures![breakover_before, breakover_after], &["unit.wheelbase"]),
    (figures![stability_before, stability_after], LIFT),
    (figures![stability_before, stability_after], &["unit.track", "unit.cg_height", "unit.sprung_share"]),
    (figures![stability_before, stability_after], &["unit.cg_to_rear", "unit.other_axle_lift"]),
    (figures![shock_change], &["shock.height", "shock.offset", "spring.bump", "spring.droop"]),
    (figures![bump_gap], &["shock.bump_gap"]),
    (figures![drag_link_before, drag_link_after, bump_steer_before, bump_steer_after], LIFT),
    (figures![drag_link_after, link_slope_limit], &["target.link_slope"]),
    (figures![bump_steer_after, bump_steer_limit], &["target.bump_steer"]),
    (
        figures![drag_link_before, drag_link_after, link_slope_limit, bump_steer_limit],
        &["drag_link.along", "drag_link.rise", "drag_link.arm"],
    ),
    (figures![drag_link_before, bump_steer_before, bump_steer_after, bump_steer_limit], &["spring.bump"]),
    (figures![shackle_target], &["spring.shackle_lean"]),
    (figures![spring_rate_before, spring_rate_after], &["spring.leaves", "spring.leaf", "spring.leaves_new"]),
    (figures![spring_rate_before, spring_rate_after], &["spring.leaf_new", "spring.width", "spring.load"]),
    (figures![spring_rate_before, spring_rate_after], &["spring.front_half", "spring.rear_half"]),
    (figures![toe_target], &["target.toe"]),
    (figures![toe_linear], &["target.toe", "tyre.radius"]),
];

/// Keys the work can't start without.
const FIRST: &[&str] = &[
    "job.number",
    "job.title",
    "job.date",
    "shop.name",
    "customer.name",
    "unit.name",
    "unit.identification",
    "unit.other_axle_lift",
    "person.name",
    "axle.tube.od",
    "axle.tube.wall",
    "axle.spring.pack",
    "axle.spring.seat_old",
    "axle.spring.seat_new",
    "axle.target.caster",
    "axle.target.caster_tolerance",
    "axle.cut.construction",
    "joint.thickness",
    "joint.other_thickness",
    "joint.around",
    "fastener.thread",
    "fastener.grade",
    "driveshaft.od",
    "driveshaft.wall",
    "driveshaft.length",
    "driveshaft.compressed",
    "driveshaft.extended",
    "driveshaft.speed",
];

/// Whether the work can't start without a key.
pub(super) fn first(path: &str) -> bool {
    FIRST.contains(&path)
}

/// What a key that can wait buys: the figures computed from it, in words. None
/// where it is only printed.
pub(super) fn buys(path: &str) -> Option<String> {
    if let Some((_, buys)) = FURTHER.iter().find(|(key, _)| *key == path) {
        return Some((*buys).to_owned());
    }
    let key = path.strip_prefix("axle.").unwrap_or(path);
    let (rows, key) = match key.strip_prefix("driveshaft.") {
        Some(key) => (SHAFT, key),
        None => (AXLE, key),
    };
    let mut titles: Vec<&str> = Vec::new();
    for figure in rows.iter().filter(|(_, keys)| keys.contains(&key)).flat_map(|(figures, _)| figures.iter())
    {
        let name = catalogue::find(Scope::Component, figure).or_else(|| catalogue::find(Scope::Side, figure));
        if let Some(name) = name
            && !titles.contains(&name.title)
        {
            titles.push(name.title);
        }
    }
    let more = titles.len().saturating_sub(2);
    titles.truncate(2);
    match (titles.is_empty(), more) {
        (true, _) => None,
        (_, 0) => Some(titles.join(", ")),
        (_, more) => Some(format!("{} and {more} more", titles.join(", "))),
    }
}

/// What keys of joints, fasteners, weldments and single shafts buy.
const FURTHER: &[(&str, &str)] = &[
    ("driveshaft.length_after", "joint angles and critical speed"),
    ("driveshaft.joint_axle", "residual joint angle"),
    ("driveshaft.joint_case", "residual joint angle"),
    ("driveshaft.engagement", "spline engaged at full droop"),
    ("driveshaft.bump_room", "room left in the slip at full bump"),
    ("driveshaft.joint_rating", "a check of the joint angles against it"),
    ("weldment.drawing", "the drawing on every page of the weldment"),
    ("weldment.length", "the size to measure"),
    ("weldment.width", "the size to measure"),
    ("weldment.height", "the size to measure"),
    ("weldment.tolerance", "the limit of every size"),
    ("weldment.squareness", "the limit of the diagonals"),
    ("weldment.piece", "the cutting list"),
    ("joint.steel", "preheat"),
    ("joint.other_steel", "preheat"),
    ("joint.count", "filler and arc time of all welds"),
    ("joint.process", "heat input, filler and gas"),
    ("joint.filler", "preheat and strength"),
    ("joint.gas", "the gas on the weld card"),
    ("joint.volts", "heat input and cooling time"),
    ("joint.amps", "heat input and cooling time"),
    ("joint.travel", "heat input and cooling time"),
    ("joint.wire", "arc time and filler"),
    ("joint.wire_feed", "arc time and filler"),
    ("joint.interpass_max", "the wait between passes"),
    ("joint.restraint", "preheat by hydrogen control"),
    ("joint.position", "which welder and procedure may make it"),
    ("joint.inspection", "the inspection on the weld card"),
    ("joint.wps", "the range of the settings, checked against the shop book"),
    ("joint.size", "throat and strength; the least allowed leg without it"),
    ("joint.length", "filler, arc time and strength"),
    ("joint.tack_spacing", "number of tacks"),
    ("joint.groove_angle", "filler and arc time"),
    ("joint.groove_depth", "throat and strength"),
    ("joint.root_opening", "filler and arc time"),
    ("fastener.nut", "a check that the nut bears the bolt"),
    ("fastener.finish", "torque and preload"),
    ("fastener.count", "order of tightening"),
    ("fastener.increment", "torque and stages rounded to the wrench"),
    ("fastener.wrench", "the wrench on the torque sheet"),
    ("fastener.inside_width", "a check that the U-bolt goes over the tube"),
];

const LIFT: &[&str] = &["tube.od", "spring.pack", "spring.seat_old", "spring.seat_new"];

const PINION: &[&str] = &[
    "pinion.angle",
    "pinion.offset",
    "pinion.reach",
    "pinion.case_forward",
    "pinion.case_up",
    "pinion.output_slope",
    "spring.seat_old",
    "spring.seat_new",
    "unit.other_axle_lift",
    "unit.wheelbase",
];

const KNUCKLES: &[&str] = &[
    "knuckle.left.caster",
    "knuckle.left.inclination",
    "knuckle.left.camber",
    "knuckle.left.toe",
    "knuckle.right.caster",
    "knuckle.right.inclination",
    "knuckle.right.camber",
    "knuckle.right.toe",
    "target.caster",
    "target.caster_tolerance",
    "tube.od",
    "tyre.radius",
    "tyre.seam_offset",
    "tyre.grip",
];

const FINDER: &[&str] = &[
    "target.finder_resolution",
    "target.finder_limit",
    "target.finder_repeatability",
    "target.finder_readings",
];

const CUT: &[&str] = &[
    "cut.construction",
    "tube.od",
    "tube.wall",
    "tube.steel",
    "cut.groove_offset",
    "cut.walls_left",
    "cut.walls_right",
    "cut.gauge_limit",
    "cut.setting_limit",
    "cut.wobble",
    "cut.reserve",
    "cut.kerf",
    "cut.bevel",
];

/// Keys that only a steered axle has.
pub(super) const STEERED: &[&str] = &[
    "knuckle.",
    "cut.",
    "drag_link.",
    "target.caster",
    "target.toe",
    "target.finder",
    "target.link_slope",
    "target.bump_steer",
];

/// Keys of `[axle.target]` that only a steered axle has.
pub(super) const STEERING: &[&str] =
    &["caster", "caster_tolerance", "caster_spread", "toe", "link_slope", "bump_steer"];

/// Keys that make an axle a steered one whatever its end.
pub(super) const TURNED: &[&str] = &["knuckle.", "cut."];

/// Keys of the front end.
pub(super) const FRONT: &[&str] = &["frame.approach"];

/// Keys of the rear end.
pub(super) const REAR: &[&str] = &["frame.departure"];

/// Keys of a driveshaft by the figures that need them.
pub(super) const SHAFT: &[(&[&str], &[&str])] = &[
    (figures![shaft_length], &["length"]),
    (figures![shaft_compressed, slip_stroke], &["compressed"]),
    (figures![shaft_extended, slip_stroke], &["extended"]),
    (figures![slip_engagement], &["spline", "length", "engagement", "bump_room", "joint_rating"]),
    (figures![highest_speed], &["od", "wall", "speed"]),
    (figures![joint_residual], &["speed"]),
    (figures![phase_limit], &["phase", "runout"]),
];

/// What a driveshaft needs besides, where no axle of the job computes it.
pub(super) const SHAFT_ALONE: &[&str] = &["length_after", "joint_axle", "joint_case"];

/// What every weldment needs.
pub(super) const WELDMENT: &[&str] =
    &["drawing", "length", "width", "height", "tolerance", "squareness", "piece"];

/// What every joint needs, whatever its weld.
pub(super) const JOINT: &[&str] = &[
    "thickness",
    "other_thickness",
    "steel",
    "other_steel",
    "count",
    "process",
    "filler",
    "gas",
    "volts",
    "amps",
    "travel",
    "wire",
    "wire_feed",
    "interpass_max",
    "restraint",
    "wps",
    "position",
    "inspection",
];

/// What a straight fillet needs besides.
pub(super) const FILLET: &[&str] = &["size", "length", "tack_spacing"];

/// What a groove round a tube needs besides.
pub(super) const GROOVE: &[&str] = &["around", "groove_angle", "groove_depth", "root_opening"];

/// What every group of fasteners needs.
pub(super) const FASTENER: &[&str] = &["thread", "grade", "nut", "finish", "count", "increment", "wrench"];

/// Uses of joints that are grooves round a tube; all others start as fillets.
pub(super) const ROUND: &[&str] = &["knuckle", "shaft"];

/// Uses of joints of which each side of an axle has its own.
pub(super) const SIDED: &[&str] = &["knuckle"];

/// What depends on the joints of a use; all others are plain structure.
pub(super) const DEPENDS: &[(&str, &str)] =
    &[("knuckle", "steering"), ("pad", "suspension"), ("hanger", "suspension")];
