//! Dimensions that follow from diameter and pitch of a 60 degree thread.

use crate::figure::prelude::*;
use crate::reference::thread::Thread;

/// Height of the sharp triangle over the pitch: sqrt(3) / 2.
const SHARP_HEIGHT: f64 = 0.866_025_403_784_438_6;

fn reduced(thread: &Thread, heights: f64) -> Length {
    thread.major - thread.pitch * (heights * SHARP_HEIGHT)
}

/// Basic pitch diameter d2 = d - 3/4 H = d - 0.64952 P.
///
/// Source: ASME B1.1 clause 10, ISO 724.
#[must_use]
pub fn pitch_diameter(thread: &Thread) -> Length {
    reduced(thread, 0.75)
}

/// Basic minor diameter of the internal thread D1 = d - 5/4 H = d - 1.08253 P.
#[must_use]
pub fn minor_internal(thread: &Thread) -> Length {
    reduced(thread, 1.25)
}

/// Minor diameter of the external thread: UNR d - 11/8 H = d - 1.19078 P, or
/// ISO d3 = d - 17/12 H = d - 1.22687 P.
#[must_use]
pub fn minor_external(thread: &Thread) -> Length {
    reduced(thread, if thread.is_metric() { 17.0 / 12.0 } else { 11.0 / 8.0 })
}

/// Diameter behind the printed minor-diameter area: inch d - 3/2 H =
/// d - 1.29904 P (Shigley table 8-2), metric d3.
#[must_use]
pub fn root(thread: &Thread) -> Length {
    if thread.is_metric() { minor_external(thread) } else { reduced(thread, 1.5) }
}

/// Area of a circle.
#[must_use]
pub fn circle(diameter: Length) -> Area {
    diameter * diameter * (PI / 4.0)
}

/// Tensile stress area. Inch: formula 1, pi/4 (d - 0.9743 P)^2, ASME B1.1
/// appendix B, the one all published tables use. Metric: pi/4 ((d2 + d3)/2)^2,
/// ISO 898-1.
#[must_use]
pub fn stress_area(thread: &Thread) -> Area {
    if thread.is_metric() {
        circle((pitch_diameter(thread) + minor_external(thread)) * 0.5)
    } else {
        circle(thread.major - thread.pitch * 0.9743)
    }
}

/// Minor-diameter area, for a thread in the shear plane.
#[must_use]
pub fn root_area(thread: &Thread) -> Area {
    circle(root(thread))
}

/// Stress area the standards compute loads with: as printed in the thread
/// table, else by formula.
pub(super) fn nominal_stress_area(thread: &Thread) -> Area {
    thread.printed_stress_area().unwrap_or_else(|| stress_area(thread))
}

/// Minor-diameter area as printed in the thread table, else by formula.
pub(super) fn nominal_root_area(thread: &Thread) -> Area {
    thread.printed_root_area().unwrap_or_else(|| root_area(thread))
}

/// Lead angle at the pitch diameter, single start.
pub(super) fn lead_angle(thread: &Thread) -> Angle {
    math::atan(thread.pitch.si() / (PI * pitch_diameter(thread).si()))
}

/// Tensile stress area by formula 2, pi (E_min/2 - 0.16238 P)^2, for steels
/// above 100 ksi; 2 to 5 % smaller than formula 1.
///
/// Source: ASME B1.1 appendix B.
#[must_use]
pub fn stress_area_high_strength(thread: &Thread, least_pitch_diameter: Length) -> Area {
    let half = least_pitch_diameter.si() / 2.0 - 0.16238 * thread.pitch.si();
    Area::from_si(PI * half * half)
}
