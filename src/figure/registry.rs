//! All families, found by name.

use super::names::{Closeness, alike};
use super::{Family, fastening, geometry, metrology, welding};

/// Every family, by trade and then in the order its trade lists it.
pub fn families() -> impl Iterator<Item = &'static Family> {
    [geometry::FAMILIES, welding::FAMILIES, fastening::FAMILIES, metrology::FAMILIES]
        .into_iter()
        .flatten()
        .copied()
}

/// Other names of families, as trades and standards have them.
pub const OTHER_NAMES: &[(&str, &[&str])] = &[
    ("lift", &["spring-over", "spring-under", "spring-over-axle", "stack-up", "lift-stack", "shackle-lift"]),
    (
        "knuckle-turn",
        &[
            "kpi",
            "steering-axis",
            "steering-axis-inclination",
            "knuckle",
            "turned-knuckle",
            "caster-kpi-camber-toe",
            "knuckle-effect",
        ],
    ),
    ("knuckle-rotation", &["housing-rotation", "re-index", "knuckle-reindex", "caster-correction"]),
    ("caster-to-ground", &["rake", "frame-rake", "pitch", "caster", "ground-caster"]),
    ("caster-sweep", &["camber-sweep", "caster-from-camber", "caster-reading"]),
    ("trail", &["mechanical-trail", "caster-trail", "scrub", "scrub-radius"]),
    ("pinion-aim", &["hypoid-offset", "pinion", "pinion-angle", "pinion-setting", "driveline-angle"]),
    ("joint-angle", &["compound-angle", "working-angle", "true-joint-angle", "u-joint-angle", "plan-angle"]),
    ("taper-shim", &["shim", "axle-shim", "caster-shim", "wedge", "taper-wedge"]),
    (
        "joint-motion",
        &[
            "velocity-ratio",
            "speed-ratio",
            "torsional-vibration",
            "u-joint",
            "universal-joint",
            "single-joint",
            "cardan",
            "cardan-joint",
            "hooke-joint",
            "joint-kinematics",
            "universal",
        ],
    ),
    (
        "joint-chain",
        &[
            "broken-back",
            "torsional-acceleration",
            "inertial-acceleration",
            "equivalent-angle",
            "joint-limits",
            "driveline",
            "residual-angle",
            "phasing",
            "equivalent-joint-angle",
            "driveline-limits",
            "double-joint",
            "operating-angle",
            "operating-angles",
        ],
    ),
    (
        "critical-speed",
        &[
            "driveshaft-critical-speed",
            "shaft-critical-speed",
            "whirl-speed",
            "whirling-speed",
            "driveshaft-speed",
        ],
    ),
    (
        "shaft-length",
        &["spline-engagement", "slip-yoke", "driveshaft-length", "slip", "slip-travel", "driveshaft"],
    ),
    (
        "scribe-mark",
        &["arc", "arc-length", "rotation-mark", "rotation-marks", "mark", "scribe", "scribe-marks", "chord"],
    ),
    ("cut-depth", &["depth-stop", "stop-setting", "groove-depth", "cut"]),
    ("groove-opening", &["kerf", "v-opening", "v-groove-opening"]),
    (
        "leaf-rate",
        &[
            "semi-elliptic",
            "half-elliptic",
            "multi-leaf",
            "semi-elliptic-spring",
            "leaf-spring",
            "spring-rate",
            "leaf-stress",
            "leaf-springs",
            "nip",
            "graduated-leaf-spring",
        ],
    ),
    (
        "leaf-halves",
        &["unequal-halves", "unequal-leaf", "unequal-leaf-spring", "asymmetric-leaf", "spring-halves"],
    ),
    ("leaf-swap", &["leaf-pack", "leaf-comparison", "pack-comparison", "thinner-leaves"]),
    ("shackle-travel", &["shackle", "shackle-angle", "shackle-swing"]),
    ("shackle-rate", &["shackle-effect"]),
    ("axle-path", &["recession", "axle-recession", "three-link"]),
    ("plunge", &["shaft-plunge", "driveshaft-plunge"]),
    (
        "wind-up",
        &[
            "axle-wrap",
            "axle-windup",
            "spring-wrap",
            "load-transfer",
            "brake-load-transfer",
            "seat-torque",
            "wrap",
            "axle-wind-up",
        ],
    ),
    (
        "ring-weld",
        &["ring-torsion", "circular-weld", "circular-fillet", "round-weld", "tube-weld", "weld-ring"],
    ),
    (
        "pad-offset",
        &["spring-pad-offset", "axle-shift", "wheelbase", "pad-hole", "pad-hole-offset", "wheelbase-change"],
    ),
    ("squareness", &["axle-squareness", "diagonals", "yaw", "thrust-angle"]),
    (
        "clearance-angles",
        &[
            "ramp-breakover",
            "approach",
            "departure",
            "breakover",
            "approach-angle",
            "departure-angle",
            "breakover-angle",
            "ramp-angles",
            "approach-departure",
            "clearance",
            "ground-clearance",
            "approach-departure-breakover",
        ],
    ),
    (
        "stability",
        &[
            "cog",
            "centre-of-gravity",
            "center-of-gravity",
            "ssf",
            "static-stability-factor",
            "rollover",
            "stability-factor",
            "cg-shift",
            "centre-of-gravity-shift",
            "tilt-angle",
        ],
    ),
    ("drag-link", &["steering-link", "bump-steer", "drag-link-angle"]),
    ("hose-length", &["brake-hose", "hose", "brake-hose-length"]),
    ("shock-length", &["shock", "shocks", "damper", "shock-absorber", "damper-length"]),
    ("bump-stop", &["bump-stop-gap", "bumpstop", "bump-gap"]),
    ("toe", &["toe-conversion", "toe-in", "toe-angle", "alignment"]),
    (
        "tyre-size",
        &[
            "rev-per-mile",
            "revs-per-mile",
            "revolutions-per-mile",
            "tyre",
            "tyre-diameter",
            "tyre-conversion",
            "rolling-radius",
            "tyre-radius",
        ],
    ),
    ("cope", &["fishmouth", "saddle", "notch", "tube-notch", "tube-cope", "cope-template", "fish-mouth"]),
    ("tapered-plate", &["tapered-housing", "cone-plate", "cone-template", "plate-on-taper"]),
    ("template-scale", &["print-scale", "template-check"]),
    ("tube-straightness", &["straightness", "droop", "axle-straightness", "axle-droop"]),
    ("heat-input", &["arc-energy", "welding-heat-input", "weld-energy", "heat"]),
    ("travel-speed", &["travel-range", "welding-speed"]),
    ("bead-area", &["bead-cross-section"]),
    (
        "carbon-equivalent",
        &[
            "ce",
            "cev",
            "ce-iiw",
            "cet",
            "pcm",
            "cen",
            "ce-aws",
            "ceq",
            "carbon-equivalents",
            "composition",
            "weldability",
        ],
    ),
    (
        "preheat",
        &[
            "preheat-en",
            "preheat-b",
            "preheat-method-b",
            "method-b",
            "preheat-cet",
            "preheat-en-1011-2",
            "en-1011-2",
            "en-1011-2-method-b",
            "preheat-temperature",
        ],
    ),
    (
        "preheat-combined-thickness",
        &[
            "preheat-a",
            "preheat-method-a",
            "method-a",
            "combined-thickness",
            "preheat-table-c1",
            "en-1011-2-method-a",
            "preheat-ce",
        ],
    ),
    (
        "preheat-category",
        &[
            "preheat-d1.1",
            "preheat-aws",
            "d1.1-preheat",
            "preheat-table",
            "prequalified-preheat",
            "aws-preheat",
            "preheat-aws-d1.1",
        ],
    ),
    (
        "preheat-hydrogen-control",
        &[
            "hydrogen-control",
            "susceptibility-index",
            "hydrogen-control-method",
            "preheat-pcm",
            "preheat-hydrogen",
            "susceptibility",
        ],
    ),
    ("preheat-governs", &["governing-preheat", "preheat-all", "preheat-compare"]),
    ("cooling-time", &["t8/5", "t85", "t8-5", "cooling-time-t8/5", "t800-500"]),
    ("heat-input-window", &["t8/5-window", "heat-window", "t85-window", "cooling-time-window"]),
    ("cooling-rate", &["adams", "weld-cooling-rate"]),
    ("interpass-wait", &["interpass", "interpass-time", "interpass-waiting-time", "waiting-time"]),
    (
        "weld-metal",
        &[
            "weld-volume",
            "filler",
            "filler-metal",
            "consumables",
            "groove-area",
            "fillet-area",
            "weld-mass",
            "weld-weight",
            "filler-consumption",
            "weld-area",
            "weld-cost",
            "arc-time",
        ],
    ),
    (
        "deposition",
        &[
            "deposition-rate",
            "melt-off",
            "electrode-efficiency",
            "welding-cost",
            "deposition-cost",
            "melt-off-rate",
        ],
    ),
    ("wire-feed", &["wfs", "wire-feed-speed", "wire-speed"]),
    ("shrinkage", &["transverse-shrinkage", "butt-shrinkage", "weld-shrinkage", "distortion"]),
    ("angular-distortion", &["angular-shrinkage", "angular", "angular-change"]),
    ("bow", &["longitudinal-bow", "longitudinal-distortion", "camber-distortion", "weld-bow"]),
    (
        "fillet-size",
        &[
            "minimum-fillet",
            "maximum-fillet",
            "min-fillet",
            "max-fillet",
            "min-fillet-size",
            "max-fillet-size",
            "fillet-limits",
            "minimum-fillet-size",
            "maximum-fillet-size",
        ],
    ),
    ("fillet-throat", &["throat", "effective-throat", "weld-throat", "fillet-geometry"]),
    (
        "fillet-strength",
        &[
            "fillet",
            "fillet-weld",
            "weld-strength",
            "fillet-capacity",
            "end-loaded",
            "directional-strength",
            "fillet-weld-strength",
            "weld-capacity",
            "end-loaded-fillet",
        ],
    ),
    (
        "weld-group",
        &[
            "weld-lines",
            "weld-as-a-line",
            "weld-as-line",
            "eccentric-weld",
            "weld-properties",
            "weld-line",
            "line-weld",
        ],
    ),
    (
        "tube-seam",
        &["knuckle-seam", "seam", "knuckle-weld", "circumferential-weld", "tube-ring", "seam-weld"],
    ),
    ("perch-weld", &["perch", "pad-weld", "seat-weld", "perch-welds", "spring-perch-weld"]),
    ("base-metal", &["base-metal-check", "parent-metal", "base-metal-strength"]),
    ("tacks", &["tack", "tack-welds", "tacking", "tack-order"]),
    ("pass-sequence", &["weld-sequence", "sequence", "welding-sequence", "quadrants", "welding-order"]),
    (
        "visual-acceptance",
        &[
            "visual",
            "visual-limits",
            "iso-5817",
            "acceptance",
            "weld-acceptance",
            "undercut",
            "vt",
            "visual-inspection",
            "d1.1-visual",
        ],
    ),
    ("passes", &["number-of-passes", "pass-count", "weld-passes"]),
    (
        "thread",
        &[
            "pitch-diameter",
            "minor-diameter",
            "stripping",
            "thread-stripping",
            "thread-engagement",
            "length-of-engagement",
            "thread-tolerance",
            "thread-limits",
            "thread-geometry",
            "stress-area",
            "tensile-stress-area",
            "threads",
            "thread-data",
        ],
    ),
    (
        "grade",
        &["bolt-proof-load", "bolt-grade", "proof-load", "bolt-strength", "strength-grade", "property-class"],
    ),
    ("nut-match", &["nut", "nut-grade", "nut-strength", "nut-proof-load"]),
    (
        "torque",
        &["bolt-torque", "tightening-torque", "preload-from-torque", "torque-preload", "short-form", "kdf"],
    ),
    ("nut-factor", &["k-factor", "torque-coefficient", "torque-factor", "nut-factor-from-test"]),
    ("preload", &["preload-target", "preload-targets", "bolt-preload", "pretension", "clamp-load"]),
    ("preload-scatter", &["scatter", "scatter-band", "tightening-factor", "alpha-a"]),
    (
        "torque-friction",
        &["long-form", "torque-long-form", "iso-16047", "friction-torque", "torque-long", "motosh"],
    ),
    ("friction-total", &["total-friction", "friction-from-torque", "friction-back-calculation"]),
    ("vdi-preload", &["vdi-2230", "vdi", "assembly-preload"]),
    (
        "torque-stages",
        &[
            "star-pattern",
            "stages",
            "torque-sequence",
            "tightening-stages",
            "tightening-sequence",
            "torque-pattern",
            "bolt-pattern",
        ],
    ),
    ("prevailing-torque", &["drag-torque", "self-locking-nut", "prevailing"]),
    (
        "adapter",
        &[
            "crow-foot",
            "crowfoot",
            "torque-adapter",
            "torque-extension",
            "crow-foot-adapter",
            "wrench-extension",
            "wrench-adapter",
        ],
    ),
    ("wrench-choice", &["wrench", "torque-wrench", "wrench-check"]),
    (
        "joint-stiffness",
        &[
            "bolt-elongation",
            "elongation",
            "bolt-stretch",
            "bolted-joint",
            "stiffness",
            "joint-separation",
            "separation",
            "bolt-stiffness",
            "member-stiffness",
            "joint-load-factors",
        ],
    ),
    ("embedding-loss", &["embedding", "embedment", "settling", "preload-loss"]),
    ("turn-to-load", &["angle-to-load", "load-per-degree", "force-per-degree"]),
    ("turn-of-nut", &["turn-of-the-nut", "nut-rotation", "nut-turn"]),
    (
        "ubolt-clamp",
        &["u-bolt", "u-bolt-clamp", "u-bolts", "u-bolt-slip", "slip-torque", "tube-clamp", "ubolt-slip"],
    ),
    ("ubolt-size", &["u-bolt-size", "u-bolt-length"]),
    ("bolt-shear", &["single-shear", "double-shear", "bolted-lap", "shear", "bolt-bearing", "shear-joint"]),
    ("centre-pin", &["centre-bolt", "pin-shear", "center-pin-shear", "locating-pin"]),
    ("ubolt-chart", &["u-bolt-chart", "u-bolt-torque", "u-bolt-stages"]),
    ("wheel-nuts", &["lug-nuts", "wheel-torque", "wheel-nut", "wheel-nut-torque"]),
    ("retorque", &["re-torque", "re-torque-distance", "retorque-distance"]),
    (
        "reading-uncertainty",
        &[
            "repeat-readings",
            "mean",
            "standard-deviation",
            "statistics",
            "type-a",
            "repeatability",
            "uncertainty",
            "resolution",
            "reading",
            "standard-uncertainty",
        ],
    ),
    ("angle-difference", &["difference", "reading-difference"]),
    (
        "uncertainty-budget",
        &[
            "gum",
            "error-propagation",
            "measurement-uncertainty",
            "budget",
            "combined-uncertainty",
            "uncertainty-propagation",
            "propagation",
            "welch-satterthwaite",
        ],
    ),
    ("coverage-factor", &["t-factor", "expanded-uncertainty", "k-coverage"]),
    (
        "decision",
        &[
            "false-accept",
            "conformance-probability",
            "acceptance-test",
            "decision-rule",
            "conformity",
            "conformance",
            "guard-band",
            "iso-14253",
            "iso-14253-1",
            "acceptance-limits",
        ],
    ),
    ("test-uncertainty-ratio", &["tur", "accuracy-ratio"]),
    ("cross-caster", &["caster-split"]),
    ("convert", &["conversion", "units", "unit-conversion", "fraction", "fractions", "convert-units"]),
];

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
        own.or_else(|| {
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
    MAIN_OUTPUTS
        .iter()
        .filter(|(name, _)| *name == family.name)
        .flat_map(|(_, outputs)| outputs.iter())
        .find_map(|output| given.clone().position(|id| id == *output))
        .unwrap_or_default()
        .min(given.count().saturating_sub(1))
}
