//! Which keys of the job file each job figure is computed from.

/// Keys of an axle's own tables (`tube.od`), of the unit (`unit.mass`) and of
/// the frame, by the figures that need them.
pub(super) const AXLE: &[(&[&str], &[&str])] = &[
    (&["lift", "stack", "shock_change", "hose_extra"], LIFT),
    (
        &["seat_tilt"],
        &["spring.shackle_old", "spring.shackle_new", "spring.shackle_lean", "spring.front_half"],
    ),
    (&["seat_tilt"], &["spring.rear_half", "spring.chord"]),
    (&["pinion_now"], &["pinion.angle"]),
    (&["housing_arc"], &["tube.od"]),
    (&["pinion_target", "housing_turn", "housing_arc"], PINION),
    (&["pinion_target"], &["pinion.allowance", "target.pinion_tolerance"]),
    (&["joint_pinion_before", "joint_pinion_after", "joint_case_before", "joint_case_after"], PINION),
    (&["shaft_length_before", "shaft_length"], PINION),
    (&["pad_shift"], &["pad.hole_offset", "pad.thickness", "pad.length"]),
    (&["axle_shift", "wheelbase_left", "wheelbase_right"], &["pad.hole_offset", "unit.wheelbase"]),
    (&["wind_up_before", "wind_up_after", "wind_up_change"], LIFT),
    (&["wind_up_before", "wind_up_after", "wind_up_change"], &["tyre.radius", "unit.mass", "unit.wheelbase"]),
    (&["wind_up_before", "wind_up_after", "wind_up_change"], &["unit.cg_height", "unit.cg_to_rear"]),
    (&["wind_up_before", "wind_up_after", "wind_up_change"], &["unit.braking", "pad.weld_spread"]),
    (&["caster_target"], &["target.caster", "target.caster_tolerance", "target.caster_spread"]),
    (&["rotation_uncertainty", "finder_verdict"], KNUCKLES),
    (&["rotation_uncertainty", "finder_verdict"], FINDER),
    (&["groove_offset", "wall_least", "depth_stop", "depth_never", "ligament"], CUT),
    (&["approach_before", "approach_after"], LIFT),
    (
        &["approach_before", "approach_after"],
        &["tyre.radius", "frame.approach_ahead", "frame.approach_height"],
    ),
    (&["departure_before", "departure_after"], LIFT),
    (&["departure_before", "departure_after"], &["tyre.radius", "frame.departure_behind"]),
    (&["departure_before", "departure_after"], &["frame.departure_height"]),
    (&["breakover_before", "breakover_after"], LIFT),
    (&["breakover_before", "breakover_after"], &["tyre.radius", "frame.belly_behind", "frame.belly_height"]),
    (&["breakover_before", "breakover_after"], &["unit.wheelbase"]),
    (&["stability_before", "stability_after"], LIFT),
    (&["stability_before", "stability_after"], &["unit.track", "unit.cg_height", "unit.sprung_share"]),
    (&["shock_change"], &["shock.height", "shock.offset", "spring.bump", "spring.droop"]),
    (&["bump_gap"], &["shock.bump_gap"]),
    (
        &[
            "drag_link_before",
            "drag_link_after",
            "bump_steer_before",
            "bump_steer_after",
            "drag_link_most",
            "bump_steer_most",
        ],
        LIFT,
    ),
    (
        &["drag_link_before", "drag_link_after", "drag_link_most", "bump_steer_most"],
        &["drag_link.along", "drag_link.rise", "drag_link.arm"],
    ),
    (&["drag_link_before", "bump_steer_before", "bump_steer_after", "bump_steer_most"], &["spring.bump"]),
    (&["shackle_target"], &["spring.shackle_lean"]),
    (&["spring_rate_before", "spring_rate_after"], &["spring.leaves", "spring.leaf", "spring.leaves_new"]),
    (&["spring_rate_before", "spring_rate_after"], &["spring.leaf_new", "spring.width", "spring.load"]),
    (&["spring_rate_before", "spring_rate_after"], &["spring.front_half", "spring.rear_half"]),
    (&["toe_target"], &["target.toe"]),
    (&["toe_linear"], &["target.toe", "tyre.radius"]),
];

const LIFT: &[&str] =
    &["tube.od", "tube.wall", "tube.steel", "spring.pack", "spring.seat_old", "spring.seat_new"];

const PINION: &[&str] = &[
    "pinion.angle",
    "pinion.offset",
    "pinion.reach",
    "pinion.case_forward",
    "pinion.case_up",
    "pinion.output_slope",
    "spring.seat_old",
    "spring.seat_new",
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
    "tube.od",
    "tube.wall",
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
pub(super) const STEERED: &[&str] =
    &["knuckle.", "cut.", "drag_link.", "target.caster", "target.toe", "target.finder", "frame.approach"];

/// Keys that are asked for on an axle that does not steer only.
pub(super) const NOT_STEERED: &[&str] = &["frame.departure"];

/// Keys of a driveshaft by the figures that need them.
pub(super) const SHAFT: &[(&[&str], &[&str])] = &[
    (&["shaft_length"], &["length"]),
    (&["shaft_compressed", "slip_stroke"], &["compressed"]),
    (&["shaft_extended", "slip_stroke"], &["extended"]),
    (&["slip_engagement"], &["spline"]),
    (&["critical_speed"], &["od", "wall", "speed"]),
    (&["joint_residual"], &["speed"]),
    (&["phase_limit"], &["phase", "runout"]),
];

/// What a driveshaft needs besides, where no axle of the job computes it.
pub(super) const SHAFT_ALONE: &[&str] = &["length_after", "joint_axle", "joint_case"];

/// What every weldment needs.
pub(super) const WELDMENT: &[&str] =
    &["drawing", "length", "width", "height", "tolerance", "squareness", "piece"];

/// What every joint needs, whatever its weld.
pub(super) const JOINT: &[&str] = &[
    "title",
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
    "position",
    "inspection",
];

/// What a straight fillet needs besides.
pub(super) const FILLET: &[&str] = &["size", "length", "tack_spacing"];

/// What a groove round a tube needs besides.
pub(super) const GROOVE: &[&str] = &["around", "groove_angle", "groove_depth", "root_opening"];

/// What every group of fasteners needs.
pub(super) const FASTENER: &[&str] =
    &["title", "thread", "grade", "nut", "finish", "count", "increment", "wrench"];

/// Uses of joints that are grooves round a tube; all others start as fillets.
pub(super) const ROUND: &[&str] = &["knuckle", "shaft"];

/// What depends on the joints of a use; all others are plain structure.
pub(super) const DEPENDS: &[(&str, &str)] =
    &[("knuckle", "steering"), ("pad", "suspension"), ("hanger", "suspension")];
