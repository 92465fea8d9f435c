//! The pinion joint in the side view, and the angle that a layout wants.
//!
//! The axle centre is the origin; x runs level toward the flange, z up. The
//! foot of the perpendicular from the axle axis to the pinion axis turns with
//! the housing, so the joint centre is (-h sin f + p cos f, h cos f + p sin f).

use crate::figure::prelude::*;
use crate::figure::root::bracketed;

/// Where the flange is and how the pinion sits in its housing.
#[derive(Debug, Clone, Copy)]
pub struct Pinion {
    /// Flange joint centre from the axle centre, level.
    pub reach: Length,
    /// Flange joint centre above the axle centre.
    pub rise: Length,
    /// Pinion axis above the axle axis, square to the pinion axis.
    pub offset: Length,
    /// Along the pinion axis to the pinion joint centre.
    pub pinion: Length,
}

/// A shaft between two joint centres.
#[derive(Debug, Clone, Copy)]
pub struct Line {
    /// Slope toward the flange, up positive.
    pub slope: Angle,
    /// Joint centre to joint centre.
    pub length: Length,
}

/// Pinion joint centre in metres, x toward the flange and z up.
pub(super) fn joint_centre(place: Pinion, angle: Angle) -> [f64; 2] {
    let (s, c) = (math::sin(angle), math::cos(angle));
    let (h, p) = (place.offset.si(), place.pinion.si());
    [p * c - h * s, h * c + p * s]
}

/// The shaft with the pinion at `angle`.
#[must_use]
pub fn shaft(place: Pinion, angle: Angle) -> Line {
    let joint = joint_centre(place, angle);
    let (x, z) = (place.reach.si() - joint[0], place.rise.si() - joint[1]);
    Line { slope: math::atan2(z, x), length: Length::from_si(math::hypot(x, z)) }
}

/// Pinion angle with the shaft `below` degrees above the pinion axis:
/// b - d - asin((h cos d - p sin d) / R).
///
/// # Errors
/// If the offset is larger than the distance to the flange.
pub fn aim_pointed(place: Pinion, below: Angle) -> Result<Angle> {
    let distance = math::hypot(place.reach.si(), place.rise.si());
    let lever = place.offset.si() * math::cos(below) - place.pinion.si() * math::sin(below);
    (lever.abs() >= distance || distance <= place.pinion.si()).refuse(
        "no pinion angle reaches the flange joint from there",
        "check reach, rise, offset and pinion",
    )?;
    Ok(math::atan2(place.rise.si(), place.reach.si()) - below - math::asin(lever / distance))
}

/// Pinion angle for parallel shafts: that of the output shaft.
pub(super) fn aim_parallel(output_slope: Angle) -> Angle {
    output_slope
}

/// Pinion angle for intersecting shafts, both joints equal: root of
/// (shaft slope - output slope) = (pinion angle - shaft slope). Of several
/// roots the one with the straightest joints. Plain iteration does not
/// converge for ordinary inputs, so every sign change is bracketed.
///
/// # Errors
/// If no angle within 80 degrees of level does it.
pub fn aim_broken_back(place: Pinion, output_slope: Angle) -> Result<Angle> {
    let gap = |f: f64| {
        let slope = shaft(place, Angle::from_si(f)).slope.si();
        2.0 * slope - output_slope.si() - f
    };
    let at = |degrees: i32| Angle::of(f64::from(degrees), unit::DEG).si();
    (-80..80)
        .filter_map(|d| bracketed(gap, at(d), at(d + 1)))
        // A jump of the slope where the joint passes the flange is no root.
        .filter(|f| gap(*f).abs() < 1e-6)
        .map(|f| (shaft(place, Angle::from_si(f)).slope.si() - f, f))
        .min_by(|a, b| a.0.abs().total_cmp(&b.0.abs()))
        .map(|(_, f)| Angle::from_si(f))
        .ok_or_else(|| {
            Trouble::impossible(
                "no pinion angle gives equal joints with intersecting shafts",
                "check reach, rise, pinion and output_slope",
            )
        })
}
