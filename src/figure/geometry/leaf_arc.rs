//! A half leaf of fixed length bent to a circular arc, clamped at one end.

use crate::figure::prelude::*;
use crate::figure::root::bracketed;

/// Nodes and weights of Gauss-Legendre quadrature with eight points on 0 to 1
/// (Abramowitz and Stegun, table 25.4). For arcs of less than two radians the
/// error is below the rounding of a double.
const GAUSS: [(f64, f64); 8] = [
    (0.019_855_071_751_231_856, 0.050_614_268_145_188_13),
    (0.101_666_761_293_186_64, 0.111_190_517_226_687_23),
    (0.237_233_795_041_835_5, 0.156_853_322_938_943_65),
    (0.408_282_678_752_175_1, 0.181_341_891_689_181),
    (0.591_717_321_247_825, 0.181_341_891_689_181),
    (0.762_766_204_958_164_5, 0.156_853_322_938_943_65),
    (0.898_333_238_706_813_4, 0.111_190_517_226_687_23),
    (0.980_144_928_248_768_1, 0.050_614_268_145_188_13),
];

/// Eye of a half leaf seen from its clamp edge: `along` the clamp, `above` it,
/// with first and second derivatives by curvature. SI units.
#[derive(Debug, Clone, Copy)]
pub(super) struct Eye {
    pub(super) along: [f64; 3],
    pub(super) above: [f64; 3],
}

/// Integrates the tangent direction along the leaf, which stays smooth where
/// the curvature passes through zero.
pub(super) fn eye(length: f64, curvature: f64) -> Eye {
    let mut eye = Eye { along: [0.0; 3], above: [0.0; 3] };
    for (node, weight) in GAUSS {
        let s = node * length;
        let (sin, cos) = (libm_sin(curvature * s), libm_cos(curvature * s));
        let w = weight * length;
        eye.along[0] += w * cos;
        eye.along[1] -= w * s * sin;
        eye.along[2] -= w * s * s * cos;
        eye.above[0] += w * sin;
        eye.above[1] += w * s * cos;
        eye.above[2] -= w * s * s * sin;
    }
    eye
}

fn libm_sin(x: f64) -> f64 {
    math::sin(crate::quantity::Angle::from_si(x))
}

fn libm_cos(x: f64) -> f64 {
    math::cos(crate::quantity::Angle::from_si(x))
}

/// Curvature of a half leaf of arc length `length` whose eye stands `height`
/// above the clamp; positive heights give positive curvature.
///
/// # Errors
/// If the leaf would have to bend past 100 degrees.
pub fn curvature_at_height(length: Length, height: Length) -> Result<Curvature> {
    // Height over length rises with curvature up to about 133 degrees of arc;
    // halving the bracket inside that is certain to close on the one root.
    let end = 100.0 * PI / 180.0 / length.si();
    let wanted = height.si().abs();
    let above = |curvature: f64| eye(length.si(), curvature).above[0];
    let size = (length.si() > 0.0).then(|| bracketed(|c| above(c) - wanted, 0.0, end)).flatten();
    size.map(|c| Curvature::from_si(c * height.si().signum())).ok_or_else(|| {
        Trouble::impossible(
            "the eye stands higher than this half length can bend to",
            "check the half length and the height",
        )
    })
}

/// How much nearer to the clamp edge the eye is than in the flat leaf.
///
/// # Errors
/// As [`curvature_at_height`].
pub fn shortening(length: Length, height: Length) -> Result<Length> {
    let curvature = curvature_at_height(length, height)?;
    // One minus cosine integrated directly, without the loss of a difference.
    let mut sum = 0.0;
    for (node, weight) in GAUSS {
        let half_turn = libm_sin(0.5 * curvature.si() * node * length.si());
        sum += weight * 2.0 * half_turn * half_turn;
    }
    Ok(length * sum)
}
