//! The steering axis and the spindle as vectors, and turns about them.
//!
//! Written for the left wheel in ISO 8855 axes (x forward, y left, z up); with
//! the sign conventions of this module the right wheel gives the same angles.

use crate::figure::prelude::*;

/// A direction or point; components in x, y, z.
pub type Vector = [f64; 3];

/// Caster, inclination, camber and toe of one wheel.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct WheelAngles {
    /// Side-view angle of the steering axis, positive with its top rearward.
    pub caster: Angle,
    /// Front-view angle of the steering axis, positive with its top inboard.
    pub kpi: Angle,
    /// Front-view angle of the wheel, positive with its top outboard.
    pub camber: Angle,
    /// Plan angle of the wheel, positive with its front inboard.
    pub toe: Angle,
}

/// Scalar product.
#[must_use]
pub fn dot(a: Vector, b: Vector) -> f64 {
    a[0] * b[0] + a[1] * b[1] + a[2] * b[2]
}

/// Vector product.
#[must_use]
pub fn cross(a: Vector, b: Vector) -> Vector {
    [a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]]
}

/// The vector scaled to length one.
#[must_use]
pub fn unit(a: Vector) -> Vector {
    let length = dot(a, a).sqrt();
    [a[0] / length, a[1] / length, a[2] / length]
}

/// Angle between two directions, exact for small angles too.
#[must_use]
pub fn between(a: Vector, b: Vector) -> Angle {
    let c = cross(a, b);
    math::atan2(dot(c, c).sqrt(), dot(a, b))
}

/// Upward unit vector of the steering axis.
pub(super) fn steering_axis(caster: Angle, kpi: Angle) -> Vector {
    unit([-math::tan(caster), -math::tan(kpi), 1.0])
}

/// Outward unit vector of the spindle.
#[must_use]
pub fn spindle(camber: Angle, toe: Angle) -> Vector {
    let flat = math::cos(camber);
    [math::sin(toe) * flat, math::cos(toe) * flat, -math::sin(camber)]
}

/// Camber and toe of a spindle vector.
pub(super) fn camber_toe(spindle: Vector) -> (Angle, Angle) {
    (math::asin(-spindle[2]), math::atan2(spindle[0], spindle[1]))
}

/// `v` turned about the unit vector `axis`, right-handed (Rodrigues).
#[must_use]
pub fn turned(v: Vector, axis: Vector, by: Angle) -> Vector {
    let (c, s) = (math::cos(by), math::sin(by));
    let side = cross(axis, v);
    let along = dot(axis, v) * (1.0 - c);
    [0, 1, 2].map(|i| v[i] * c + side[i] * s + axis[i] * along)
}

/// Smallest turn about the steering axis that brings the wheel to `toe`;
/// positive moves the front of the wheel outboard. `None` if no turn does.
///
/// The condition that the turned spindle lies in the vertical plane of the
/// wanted toe is a cos(p) + b sin(p) + c = 0, solved in closed form.
pub(super) fn steer_to_toe(spindle: Vector, axis: Vector, toe: Angle) -> Option<Angle> {
    // Horizontal normal of the wanted spindle plane.
    let normal = [math::cos(toe), -math::sin(toe), 0.0];
    let along = dot(axis, spindle) * dot(axis, normal);
    let a = dot(spindle, normal) - along;
    let b = dot(cross(axis, spindle), normal);
    let size = math::hypot(a, b);
    if size <= along.abs() {
        return None;
    }
    let middle = math::atan2(b, a).si();
    let half = math::acos(-along / size).si();
    let wrap = |x: f64| {
        let turn = 2.0 * PI;
        x - turn * (x / turn).round()
    };
    // Of the two solutions, the one that keeps the spindle pointing outward.
    [wrap(middle + half), wrap(middle - half)]
        .into_iter()
        .min_by(|x, y| x.abs().total_cmp(&y.abs()))
        .map(Angle::from_si)
}
