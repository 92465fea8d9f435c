//! Normal and Student distributions.

use std::f64::consts::SQRT_2;

use crate::figure::prelude::*;
use crate::figure::root::boundary;

/// Probability below `z` of the standard normal distribution.
#[must_use]
pub fn normal_below(z: f64) -> f64 {
    0.5 * libm::erfc(-z / SQRT_2)
}

/// Probability below `t` of Student's distribution with `dof` degrees of
/// freedom; an infinite `dof` is the normal distribution.
///
/// Through the regularised incomplete beta function, 1 - I_x(v/2, 1/2)/2 with
/// x = v/(v + t^2) (Abramowitz and Stegun 26.7.1).
#[must_use]
pub fn student_below(t: f64, dof: f64) -> f64 {
    if !dof.is_finite() {
        return normal_below(t);
    }
    let tail = 0.5 * incomplete_beta(dof / (dof + t * t), 0.5 * dof, 0.5);
    if t >= 0.0 { 1.0 - tail } else { tail }
}

/// The value that Student's distribution stays below with probability `p`.
///
/// Found by halving an interval, so it is monotone in `p` and never diverges.
/// Not a number for `p` outside 0 to 1 or `dof` not above zero.
#[must_use]
pub fn student_quantile(p: f64, dof: f64) -> f64 {
    let sound = p > 0.0 && p < 1.0 && dof > 0.0;
    if !sound {
        return f64::NAN;
    }
    let (mut low, mut high) = (-1.0, 1.0);
    while student_below(low, dof) > p && low > -1e12 {
        low *= 2.0;
    }
    while student_below(high, dof) < p && high < 1e12 {
        high *= 2.0;
    }
    let (low, high) = boundary(|t| student_below(t, dof) >= p, low, high);
    0.5 * (low + high)
}

/// Regularised incomplete beta function by its continued fraction.
fn incomplete_beta(x: f64, a: f64, b: f64) -> f64 {
    if x <= 0.0 {
        return 0.0;
    }
    if x >= 1.0 {
        return 1.0;
    }
    let log_front = log_gamma(a + b) - log_gamma(a) - log_gamma(b) + a * libm::log(x) + b * libm::log1p(-x);
    let front = libm::exp(log_front);
    // The fraction converges quickly only on this side of the mean.
    if x < (a + 1.0) / (a + b + 2.0) {
        front * fraction(x, a, b) / a
    } else {
        1.0 - front * fraction(1.0 - x, b, a) / b
    }
}

/// Continued fraction of the incomplete beta function, modified Lentz method.
fn fraction(x: f64, a: f64, b: f64) -> f64 {
    const TINY: f64 = 1e-300;
    let guard = |v: f64| if v.abs() < TINY { TINY } else { v };
    let mut c = 1.0;
    let mut d = 1.0 / guard(1.0 - (a + b) * x / (a + 1.0));
    let mut h = d;
    for m in 1..500 {
        let m = f64::from(m);
        let even = m * (b - m) * x / ((a + 2.0 * m - 1.0) * (a + 2.0 * m));
        d = 1.0 / guard(1.0 + even * d);
        c = guard(1.0 + even / c);
        h *= d * c;
        let odd = -(a + m) * (a + b + m) * x / ((a + 2.0 * m) * (a + 2.0 * m + 1.0));
        d = 1.0 / guard(1.0 + odd * d);
        c = guard(1.0 + odd / c);
        let step = d * c;
        h *= step;
        if (step - 1.0).abs() < 1e-15 {
            break;
        }
    }
    h
}

/// Logarithm of the gamma function for a positive argument.
fn log_gamma(x: f64) -> f64 {
    // Stirling's series; large arguments keep their digits, small ones are
    // shifted up first.
    let (mut x, mut shift) = (x, 0.0);
    while x < 15.0 {
        shift += libm::log(x);
        x += 1.0;
    }
    let inverse = 1.0 / x;
    let square = inverse * inverse;
    let series = inverse
        * (1.0 / 12.0
            - square * (1.0 / 360.0 - square * (1.0 / 1260.0 - square * (1.0 / 1680.0 - square / 1188.0))));
    (x - 0.5) * libm::log(x) - x + 0.5 * libm::log(2.0 * PI) + series - shift
}
