//! Kinematics of single universal joints, alone and in a row.
//!
//! The angle of the input yoke is counted from the plane of the two shafts.

use crate::figure::prelude::*;
use crate::figure::root;

/// Speed ratio output to input at input yoke angle `yoke`:
/// cos B / (1 - sin^2 B cos^2 q).
#[must_use]
pub fn ratio_at(joint: Angle, yoke: Angle) -> Number {
    let (s, c) = (math::sin(joint), math::cos(yoke));
    Number::from_si(math::cos(joint) / (1.0 - s * s * c * c))
}

/// Angle of the output yoke: tan out = tan q / cos B, on the same turn as `yoke`.
#[must_use]
pub fn output_at(joint: Angle, yoke: Angle) -> Angle {
    let half_turns = (yoke.si() / PI).round() * PI;
    let rest = Angle::from_si(yoke.si() - half_turns);
    Angle::from_si(math::atan2(math::sin(rest), math::cos(rest) * math::cos(joint)).si() + half_turns)
}

/// Non-uniformity, greatest minus least ratio: sin B tan B.
#[must_use]
pub fn nonuniformity(joint: Angle) -> Number {
    Number::from_si(math::sin(joint) * math::tan(joint))
}

/// Joint angle that gives a non-uniformity: 1/c - c = u, c = cos B.
#[must_use]
pub fn angle_of_nonuniformity(u: Number) -> Angle {
    let u = u.si();
    // c = (sqrt(u^2 + 4) - u)/2 and sin^2 B = u c, which keeps small angles exact.
    let c = 0.5 * ((u * u + 4.0).sqrt() - u);
    math::atan2((u * c).sqrt(), c)
}

/// Greatest acceleration of the output over w^2, and the yoke angle at which
/// it occurs: cos 2q = [-(1 - k/2) + sqrt((1 - k/2)^2 + 2 k^2)] / k, k = sin^2 B.
#[must_use]
pub fn peak(joint: Angle) -> (Number, Angle) {
    let s = math::sin(joint);
    let k = s * s;
    let a = 1.0 - 0.5 * k;
    let root = (a * a + 2.0 * k * k).sqrt();
    // The same without cancellation: (root^2 - a^2) / (k (a + root)).
    let double = math::acos((2.0 * k / (a + root)).clamp(-1.0, 1.0));
    let yoke = double * 0.5;
    let c = math::cos(yoke);
    let base = 1.0 - k * c * c;
    (Number::from_si(math::cos(joint) * k * math::sin(double) / (base * base)), yoke)
}

/// Greatest lead or lag: atan((1 - cos B) / (2 sqrt(cos B))).
#[must_use]
pub fn lead(joint: Angle) -> Angle {
    let c = math::cos(joint);
    math::atan2(1.0 - c, 2.0 * c.sqrt())
}

/// Ratio of accelerations times speed squared.
#[must_use]
pub fn acceleration(per_square: Number, speed: RotationSpeed) -> AngularAcceleration {
    AngularAcceleration::from_si(per_square.si() * speed.si() * speed.si())
}

/// A joint of a driveline, as its unevenness adds up with the others'.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ChainJoint {
    /// True angle between the shafts it joins.
    pub angle: Angle,
    /// Its driving yoke against that of the first joint, each seen from its own
    /// joint plane: 0 adds to the first joint, 90 deg works against it.
    pub phase: Angle,
}

/// Equivalent angle by the trade's approximation: each joint is B^2 at twice
/// its phase, and the square root of the length of their sum is taken.
#[must_use]
pub fn equivalent_approximate(chain: &[ChainJoint]) -> Angle {
    let (mut x, mut y) = (0.0, 0.0);
    for joint in chain {
        let square = joint.angle.si() * joint.angle.si();
        x += square * math::cos(joint.phase * 2.0);
        y += square * math::sin(joint.phase * 2.0);
    }
    Angle::from_si(math::hypot(x, y).sqrt())
}

/// Equivalent angle of a chain whose phases are all 0 or 90 deg, exact:
/// cos Be = product of cos Bi to the power +1 (phase 0) or -1 (phase 90 deg).
/// `None` if another phase occurs.
#[must_use]
pub fn equivalent_in_phase(chain: &[ChainJoint]) -> Option<Angle> {
    let mut product = 1.0;
    for joint in chain {
        let c = math::cos(joint.angle);
        if math::sin(joint.phase).abs() < 1e-12 {
            product *= c;
        } else if math::cos(joint.phase).abs() < 1e-12 {
            product /= c;
        } else {
            return None;
        }
    }
    let cosine = if product > 1.0 { 1.0 / product } else { product };
    Some(math::acos(cosine))
}

/// Equivalent angle of any chain: the single joint with the non-uniformity
/// that the chain has over one turn.
#[must_use]
pub fn equivalent_exact(chain: &[ChainJoint]) -> Angle {
    equivalent_in_phase(chain).unwrap_or_else(|| {
        let (low, high) = ratio_extremes(chain);
        angle_of_nonuniformity(Number::from_si(high - low))
    })
}

/// Ratio of the whole chain at first-yoke angle `q` in radians.
fn chain_ratio(chain: &[ChainJoint], q: f64) -> f64 {
    let mut yoke = q;
    let mut ratio = 1.0;
    for joint in chain {
        // The angle of this joint's driving yoke in its own plane.
        let own = Angle::from_si(yoke + joint.phase.si());
        ratio *= ratio_at(joint.angle, own).si();
        yoke = output_at(joint.angle, own).si() - joint.phase.si();
    }
    ratio
}

/// Least and greatest ratio of the chain over a turn: a scan, then a
/// golden-section search about the best point.
#[must_use]
fn ratio_extremes(chain: &[ChainJoint]) -> (f64, f64) {
    const STEPS: u32 = 180;
    let step = PI / f64::from(STEPS);
    let extreme = |sign: f64| {
        let value = |q: f64| sign * chain_ratio(chain, q);
        // The ratio repeats every half turn.
        let best = (0..STEPS)
            .map(|i| f64::from(i) * step)
            .max_by(|a, b| value(*a).total_cmp(&value(*b)))
            .unwrap_or(0.0);
        sign * value(root::peak(value, best - step, best + step))
    };
    (extreme(-1.0), extreme(1.0))
}

/// Published greatest angle against speed for two equal joints, parallel
/// layout: rpm and degrees. The rows for 3500 rpm and above were read in a
/// joint maker's guide; the others are recalled.
const SPEED_TABLE: &[(f64, f64)] = &[
    (1500.0, 11.5),
    (2000.0, 8.7),
    (2500.0, 7.0),
    (3000.0, 5.8),
    (3500.0, 5.0),
    (4000.0, 4.2),
    (4500.0, 3.7),
    (5000.0, 3.2),
];

/// Greatest angle, in degrees, of the table's row at or above this speed.
/// Below the first row that row stands; above the last there is none.
pub(super) fn table_angle(rpm: f64) -> Option<f64> {
    SPEED_TABLE.iter().find(|(row, _)| rpm <= row + 1e-9).map(|(_, angle)| *angle)
}
