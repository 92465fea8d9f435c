//! All families, found by name.

use super::{Family, fastening, geometry, metrology, welding};

/// Every family, by trade and then in the order its trade lists it.
pub fn families() -> impl Iterator<Item = &'static Family> {
    [geometry::FAMILIES, welding::FAMILIES, fastening::FAMILIES, metrology::FAMILIES]
        .into_iter()
        .flatten()
        .copied()
}

/// The family of this name.
#[must_use]
pub fn find(name: &str) -> Option<&'static Family> {
    families().find(|f| f.name == name)
}

/// Output a person asks a family for, where it is not the first one.
const MAIN_OUTPUTS: &[(&str, &[&str])] = &[
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
