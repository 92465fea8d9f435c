//! Other names of inputs, as trades, textbooks and standards have them, beside
//! the ones that stand at the input itself.

/// Family, input, and the names it answers to.
#[rustfmt::skip]
const OTHER_NAMES: &[(&str, &str, &[&str])] = &[
    ("lift", "tube_od", &["axle_tube", "axle_tube_od", "axle_diameter", "housing_od"]),
    ("lift", "pack", &["leaf_pack", "pack_height", "spring_thickness", "leaf_pack_thickness", "spring_stack"]),
    ("lift", "seat_old", &["old_seat_height", "perch_height_old"]),
    ("lift", "seat_new", &["new_seat_height", "perch_height_new"]),
    ("lift", "arch_change", &["delta_arch", "arch_difference", "spring_arch_change"]),
    ("lift", "shackle_old", &["shackle_length_old"]),
    ("lift", "shackle_new", &["shackle_length_new"]),
    ("lift", "shackle_lean", &["theta", "old_shackle_angle", "shackle_angle_old"]),
    ("lift", "shackle_share", &["ratio", "lever_ratio"]),
    ("lift", "chord", &["chord_length", "span", "spring_span"]),
    ("knuckle-turn", "kpi", &["king_pin", "steering_axis_inclination"]),
    ("knuckle-turn", "rotation", &["rotate", "knuckle_turn", "knuckle_angle", "angle", "delta", "theta", "phi", "delta_caster", "caster_change"]),
    ("knuckle-turn", "target", &["desired_caster", "wanted_caster"]),
    ("trail", "axis_z", &["radius", "loaded_radius", "tyre_radius", "wheel_radius", "rolling_radius", "axle_height"]),
    ("trail", "axis_x", &["offset", "spindle_offset", "lead"]),
    ("trail", "tyre_centre", &["half_track"]),
    ("pinion-aim", "reach", &["dx", "horizontal_distance", "distance"]),
    ("pinion-aim", "rise", &["dz", "vertical_distance", "height_difference"]),
    ("pinion-aim", "offset", &["pinion_offset"]),
    ("pinion-aim", "pinion", &["pinion_distance"]),
    ("joint-angle", "side", &["side_view_angle", "side_view", "a", "alpha", "elevation"]),
    ("joint-angle", "plan", &["plan_view", "plan_view_angle", "beta"]),
    ("joint-motion", "angle", &["shaft_angle", "alpha", "delta", "misalignment", "u_joint_angle"]),
    ("joint-motion", "speed", &["n1", "omega", "drive_speed", "driver_speed", "shaft_speed"]),
    ("joint-motion", "yoke", &["shaft_rotation", "phi1", "theta1"]),
    ("joint-chain", "angles", &["angle", "beta", "betas", "theta", "operating_angles", "working_angles", "joint_angle"]),
    ("joint-chain", "speed", &["driveshaft_speed", "shaft_speed", "omega", "propshaft_speed"]),
    ("critical-speed", "od", &["D", "outer_diameter", "tube_outside_diameter"]),
    ("critical-speed", "id", &["ID", "inner_diameter", "Di"]),
    ("critical-speed", "wall", &["tube_wall"]),
    ("critical-speed", "length", &["joint_to_joint", "centre_to_centre", "tube_length", "L"]),
    ("critical-speed", "modulus", &["youngs_modulus", "elastic_modulus", "modulus_of_elasticity"]),
    ("critical-speed", "share", &["derating", "percent"]),
    ("scribe-mark", "od", &["outside_diameter"]),
    ("scribe-mark", "rotation", &["theta", "degrees", "rotate", "caster_change"]),
    ("scribe-mark", "chord", &["chord_length"]),
    ("cut-depth", "walls", &["wall_thickness", "thickness", "measurements", "wall_thicknesses"]),
    ("cut-depth", "gauge_limit", &["gauge_error", "gauge_accuracy"]),
    ("cut-depth", "setting_limit", &["setting_error", "stop_error"]),
    ("cut-depth", "wobble_limit", &["wobble_error", "disc_runout"]),
    ("leaf-rate", "leaves", &["number"]),
    ("leaf-rate", "thickness", &["h"]),
    ("leaf-rate", "half_length", &["cantilever", "half_span", "effective_half_length"]),
    ("leaf-rate", "span", &["spring_length", "effective_length", "overall_length", "eye_to_eye", "total_length"]),
    ("leaf-rate", "eye_load", &["end_load"]),
    ("leaf-rate", "modulus", &["youngs_modulus", "elastic_modulus", "modulus_of_elasticity"]),
    ("shackle-rate", "rate", &["spring_rate", "base_rate"]),
    ("shackle-rate", "lean", &["theta"]),
    ("wind-up", "force", &["braking_force", "tractive_force", "traction", "tractive_effort"]),
    ("wind-up", "loaded_radius", &["rolling_radius"]),
    ("wind-up", "seat_over", &["seat_height", "perch_height"]),
    ("wind-up", "stiffness", &["k", "torsional_stiffness"]),
    ("wind-up", "mass", &["gvw", "gvm"]),
    ("wind-up", "cg_to_rear", &["cg_rear", "l_r"]),
    ("squareness", "distance", &["wheelbase", "spacing"]),
    ("squareness", "axle_width", &["width"]),
    ("clearance-angles", "radius", &["tyre_radius", "wheel_radius", "static_radius", "static_loaded_radius"]),
    ("clearance-angles", "approach_x", &["overhang", "bumper_x"]),
    ("clearance-angles", "approach_z", &["bumper_height", "front_clearance", "bumper_z"]),
    ("stability", "track", &["track_width", "trackwidth"]),
    ("stability", "sprung_share", &["sprung_ratio", "sprung_percent"]),
    ("toe", "diameter", &["tyre_diameter", "wheel_diameter"]),
    ("toe", "total_length", &["total_toe", "toe_length", "toe_in", "toe_distance"]),
    ("thread", "thread", &["thread_designation", "nominal_size"]),
    ("thread", "tolerance_class", &["class"]),
    ("grade", "grade", &["sae_grade"]),
    ("torque", "k", &["torque_factor"]),
    ("torque", "preload", &["bolt_load", "clamping_force", "axial_force", "P", "W", "target_preload", "bolt_preload"]),
    ("torque", "percent", &["percent_preload", "preload_percent"]),
    ("torque-friction", "preload", &["axial_force", "clamping_force", "P", "W"]),
    ("torque-friction", "mu", &["friction_coefficient", "coefficient_of_friction", "cof"]),
    ("torque-friction", "bearing_diameter", &["bearing_dia", "mean_bearing_diameter", "friction_diameter"]),
    ("torque-friction", "washer_face", &["outer_bearing_diameter"]),
    ("torque-friction", "hole", &["hole_diameter"]),
    ("friction-total", "torque", &["T", "M"]),
    ("friction-total", "preload", &["F", "Fv"]),
    ("vdi-preload", "mu", &["friction_coefficient", "coefficient_of_friction", "cof", "mu_ges", "f"]),
    ("vdi-preload", "yield_strength", &["yield", "Sy", "Re"]),
    ("adapter", "torque", &["T", "TA", "desired_torque", "required_torque"]),
    ("adapter", "wrench_length", &["lever", "lever_length", "l1"]),
    ("adapter", "adapter_length", &["E", "extension_length", "crowfoot_length", "l2"]),
    ("adapter", "angle", &["theta", "offset_angle"]),
    ("wrench-choice", "capacity", &["wrench_capacity"]),
    ("joint-stiffness", "grip", &["clamp_length", "clamped_length", "lk"]),
    ("joint-stiffness", "bolt_length", &["L"]),
    ("joint-stiffness", "load", &["force", "external_force", "applied_load"]),
    ("joint-stiffness", "bolts", &["number_of_bolts", "bolt_count"]),
    ("joint-stiffness", "preload", &["initial_tension"]),
    ("ubolt-clamp", "tube_od", &["axle_tube", "axle_diameter"]),
    ("ubolt-clamp", "mu", &["friction_coefficient", "coefficient_of_friction", "cof", "coefficient"]),
    ("ubolt-clamp", "preload", &["clamp_load", "tension", "leg_load", "bolt_preload"]),
    ("bolt-shear", "load", &["F", "V", "shear", "shear_load", "shear_force"]),
    ("bolt-shear", "bolts", &["number_of_bolts"]),
    ("bolt-shear", "design_factor", &["FS", "factor_of_safety"]),
    ("embedding-loss", "roughness", &["surface_roughness"]),
    ("embedding-loss", "preload", &["F", "force", "Fi"]),
    ("turn-to-load", "preload", &["F"]),
    ("uncertainty-budget", "u", &["standard_uncertainty", "standard_uncertainties"]),
];

/// Names that textbooks give to different inputs of a family: refused, with the
/// inputs they could be.
const UNCLEAR: &[(&str, &[&str], &[&str])] = &[
    ("leaf-rate", &["l", "L", "len"], &["half_length", "span"]),
    ("leaf-rate", &["f", "F", "force"], &["eye_load", "load"]),
];

/// The inputs a name could be where textbooks disagree; empty if they don't.
#[must_use]
pub fn unclear(family: &str, name: &str) -> &'static [&'static str] {
    UNCLEAR.iter().find(|(f, names, _)| *f == family && names.contains(&name)).map_or(&[], |row| row.2)
}

/// Names of measurement inputs, which the families of one question share.
#[rustfmt::skip]
const MEASUREMENT_NAMES: &[(&[&str], &str, &[&str])] = &[
    (READINGS, "readings", &["data", "measurements", "samples", "x", "observations", "results"]),
    (READINGS, "resolution", &["res", "scale_interval", "least_count", "readability"]),
    (READINGS, "limit", &["a", "half_width", "max_error", "maximum_error", "maximum_permissible_error"]),
    (READINGS, "repeatability", &["std", "stdev", "sd", "sigma", "std_dev"]),
    (READINGS, "confidence", &["confidence_level"]),
    (DECISIONS, "value", &["x", "measured_value", "result"]),
    (DECISIONS, "lower", &["lower_specification_limit", "low_limit", "lower_tolerance"]),
    (DECISIONS, "upper", &["upper_specification_limit", "upper_tolerance"]),
    (DECISIONS, "u", &["uc", "u_c", "combined_uncertainty", "sigma"]),
    (DECISIONS, "uncertainty", &["U95", "U_95"]),
    (RATIOS, "u", &["uc", "u_c", "combined_uncertainty", "sigma"]),
];

const READINGS: &[&str] =
    &["reading-uncertainty", "length-uncertainty", "angle-uncertainty", "torque-uncertainty"];
const DECISIONS: &[&str] = &["decision", "length-decision", "angle-decision", "torque-decision"];
const RATIOS: &[&str] = &[
    "test-uncertainty-ratio",
    "length-uncertainty-ratio",
    "angle-uncertainty-ratio",
    "torque-uncertainty-ratio",
];

/// Other names of an input of a family.
pub fn other_names(family: &str, input: &str) -> impl Iterator<Item = &'static &'static str> {
    let own = OTHER_NAMES.iter().filter(move |(f, i, _)| *f == family && *i == input);
    let shared = MEASUREMENT_NAMES.iter().filter(move |(f, i, _)| f.contains(&family) && *i == input);
    own.flat_map(|row| row.2).chain(shared.flat_map(|row| row.2))
}

/// Every row, for a check against the registry.
pub fn rows() -> impl Iterator<Item = (&'static str, &'static str)> {
    let own = OTHER_NAMES.iter().map(|(family, input, _)| (*family, *input));
    let shared =
        MEASUREMENT_NAMES.iter().flat_map(|(families, input, _)| families.iter().map(move |f| (*f, *input)));
    own.chain(shared)
}
