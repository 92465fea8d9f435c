//! Rounding is a safety decision: a depth limit goes down, a minimum preheat
//! goes up, a plain dimension to the nearest.

use serde::Serialize;

/// Which way a shown value may move.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Toward {
    /// To the nearest step, halves away from zero.
    Nearest,
    /// Never above the exact value: for limits that must not be exceeded.
    Down,
    /// Never below the exact value: for minimum values.
    Up,
}

/// Values this close to a step, in steps, count as on it, so that an exact
/// 0.25 does not fall to 0.2499 through floating point.
const ON_STEP: f64 = 1e-6;

/// The nearest whole number; a tie goes away from zero, and what a change of
/// units has moved off a tie by a few bits still is one.
fn nearest(steps: f64) -> f64 {
    let size = steps.abs();
    let tie = (size - size.floor() - 0.5).abs() < ON_STEP;
    if tie { size.ceil().copysign(steps) } else { steps.round() }
}

/// Rounds `value` to a multiple of `step`.
///
/// Ties go away from zero, as a tape is read; source: common practice.
#[must_use]
pub fn to_step(value: f64, step: f64, toward: Toward) -> f64 {
    let steps = value / step;
    let whole = steps.round();
    let rounded = if (steps - whole).abs() < ON_STEP {
        whole
    } else {
        match toward {
            Toward::Nearest => nearest(steps),
            Toward::Down => steps.floor(),
            Toward::Up => steps.ceil(),
        }
    };
    // Divide by the reciprocal where that is a whole number: 3 / 10 is nearer
    // to 0.3 than 3 * 0.1 is.
    let inverse = (1.0 / step).round();
    let value = if inverse >= 1.0 && (inverse * step - 1.0).abs() < ON_STEP {
        rounded / inverse
    } else {
        rounded * step
    };
    if value == 0.0 { 0.0 } else { value }
}
