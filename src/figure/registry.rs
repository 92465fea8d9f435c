//! All families, found by name.

pub use super::family_names::{HINTS, OTHER_NAMES};
use super::names::{Closeness, alike};
use super::{Family, fastening, geometry, metrology, welding};

/// Every family, by trade and then in the order its trade lists it.
pub fn families() -> impl Iterator<Item = &'static Family> {
    [geometry::FAMILIES, welding::FAMILIES, fastening::FAMILIES, metrology::FAMILIES]
        .into_iter()
        .flatten()
        .copied()
}

/// Families that ask the same question for other kinds of quantity: the first
/// takes plain numbers.
const SIBLINGS: &[&[&str]] = &[
    &["decision", "length-decision", "angle-decision", "torque-decision"],
    &[
        "test-uncertainty-ratio",
        "length-uncertainty-ratio",
        "angle-uncertainty-ratio",
        "torque-uncertainty-ratio",
    ],
    &["uncertainty-budget", "length-budget", "angle-budget", "torque-budget"],
    // K asked for by friction, or the k of an expanded uncertainty.
    &["nut-factor", "torque-friction", "coverage-factor"],
    &["reading-uncertainty", "length-uncertainty", "angle-uncertainty", "torque-uncertainty"],
];

/// The family of this name, of another name for it, or of the same words in
/// another order or spelling.
#[must_use]
pub fn find(name: &str) -> Option<&'static Family> {
    [Closeness::Letters, Closeness::Words].into_iter().find_map(|closeness| {
        let own = families().find(|f| alike(name, f.name, closeness));
        let declared =
            || families().find(|f| f.declared.other_names.iter().any(|other| alike(name, other, closeness)));
        own.or_else(declared).or_else(|| {
            let (family, _) = OTHER_NAMES
                .iter()
                .find(|(_, others)| others.iter().any(|other| alike(name, other, closeness)))?;
            families().find(|f| f.name == *family)
        })
    })
}

/// Families to try after this one when its inputs are of another kind.
pub fn siblings(family: &Family) -> impl Iterator<Item = &'static Family> {
    let name = family.name;
    SIBLINGS
        .iter()
        .filter(move |row| row.first() == Some(&name))
        .flat_map(|row| row.iter().skip(1))
        .filter_map(|other| families().find(|f| f.name == *other))
}

/// Other names of a family.
#[must_use]
pub fn other_names(family: &Family) -> &'static [&'static str] {
    if !family.declared.other_names.is_empty() {
        return family.declared.other_names;
    }
    OTHER_NAMES.iter().find(|(name, _)| *name == family.name).map_or(&[], |(_, others)| others)
}

/// Output a person asks a family for, where it is not the first one.
const MAIN_OUTPUTS: &[(&str, &[&str])] = &[
    ("lift", &["lift"]),
    ("knuckle-turn", &["caster_after"]),
    ("caster-to-ground", &["caster_ground", "pitch"]),
    ("caster-sweep", &["caster"]),
    ("joint-angle", &["joint_angle"]),
    ("joint-chain", &["equivalent"]),
    ("cut-depth", &["depth"]),
    ("leaf-rate", &["rate"]),
    ("leaf-halves", &["rate"]),
    ("leaf-swap", &["rate_new"]),
    ("shackle-rate", &["loaded_rate"]),
    ("plunge", &["stroke"]),
    ("shaft-length", &["stroke"]),
    ("wind-up", &["seat_moment_over"]),
    ("ring-weld", &["combined"]),
    ("squareness", &["yaw"]),
    ("hose-length", &["free_length"]),
    ("shock-length", &["stroke"]),
    ("bump-stop", &["gap"]),
    ("drag-link", &["steer"]),
    ("tyre-size", &["diameter", "rolling_radius"]),
    ("heat-input", &["heat_input", "arc_energy"]),
    ("bead-area", &["area"]),
    ("preheat", &["preheat"]),
    ("preheat-combined-thickness", &["verdict"]),
    ("preheat-category", &["preheat"]),
    ("preheat-hydrogen-control", &["preheat"]),
    ("preheat-guide", &["preheat"]),
    ("preheat-governs", &["preheat"]),
    ("cooling-time", &["cooling_time"]),
    ("cooling-rate", &["cooling_rate"]),
    ("interpass-wait", &["wait"]),
    ("cooling-wait", &["wait"]),
    ("weld-metal", &["mass", "mass_per_length"]),
    ("deposition", &["rate", "efficiency"]),
    ("shrinkage", &["transverse"]),
    ("fillet-size", &["min_leg"]),
    ("fillet-strength", &["capacity", "required_leg", "per_length_all"]),
    ("weld-group", &["required_leg", "stress", "f_vector"]),
    ("tube-seam", &["required_leg", "resultant"]),
    ("perch-weld", &["required_leg", "resultant"]),
    ("base-metal", &["per_length"]),
    ("tacks", &["count"]),
    ("pass-sequence", &["order"]),
    ("thread", &["stress_area"]),
    ("grade", &["proof_load"]),
    ("nut-match", &["verdict"]),
    ("torque", &["torque"]),
    ("preload", &["preload"]),
    ("torque-friction", &["torque", "nut_factor"]),
    ("vdi-preload", &["torque"]),
    ("adapter", &["setting", "torque"]),
    ("wrench-choice", &["verdict"]),
    ("joint-stiffness", &["joint_constant"]),
    ("embedding-loss", &["loss"]),
    ("turn-to-load", &["force_per_degree"]),
    ("turn-of-nut", &["turn"]),
    ("ubolt-clamp", &["verdict"]),
    ("bolt-shear", &["capacity"]),
    ("centre-pin", &["factor"]),
    ("reading-uncertainty", &["uncertainty"]),
    ("length-uncertainty", &["uncertainty"]),
    ("angle-uncertainty", &["uncertainty"]),
    ("torque-uncertainty", &["uncertainty"]),
    ("uncertainty-budget", &["uncertainty"]),
    ("length-budget", &["uncertainty"]),
    ("angle-budget", &["uncertainty"]),
    ("torque-budget", &["uncertainty"]),
    ("convert", &["converted"]),
];

/// Position, among the outputs an answer gives, of the one a person asks for.
#[must_use]
pub fn main_output<'a>(family: &Family, given: impl Iterator<Item = &'a str> + Clone) -> usize {
    let old = MAIN_OUTPUTS.iter().filter(|(name, _)| *name == family.name);
    family
        .declared
        .asked
        .iter()
        .chain(old.flat_map(|(_, outputs)| outputs.iter()))
        .find_map(|output| given.clone().position(|id| id == *output))
        .unwrap_or_default()
        .min(given.count().saturating_sub(1))
}
