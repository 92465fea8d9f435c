//! The smaller and the larger of two, and searches inside a bracket that can't run
//! away: a root, a boundary, a peak.

/// The smaller of two quantities of a kind.
pub(super) fn smaller<T: PartialOrd>(a: T, b: T) -> T {
    if a < b { a } else { b }
}

/// The larger of two quantities of a kind.
pub(super) fn larger<T: PartialOrd>(a: T, b: T) -> T {
    if a > b { a } else { b }
}

/// Halves `low` to `high` down to the last bit around the place where `holds`
/// turns true; gives the ends of what is left. `holds` is false at `low` and
/// true at `high`.
pub fn boundary(holds: impl Fn(f64) -> bool, mut low: f64, mut high: f64) -> (f64, f64) {
    // 200 halvings are more than the bits of any interval of doubles in use.
    for _ in 0..200 {
        let middle = 0.5 * (low + high);
        if middle == low || middle == high {
            break;
        }
        if holds(middle) {
            high = middle;
        } else {
            low = middle;
        }
    }
    (low, high)
}

/// The root of `f` between `low` and `high`, where `f` changes sign once.
/// `None` if the ends have the same sign.
pub fn bracketed(f: impl Fn(f64) -> f64, low: f64, high: f64) -> Option<f64> {
    let (at_low, at_high) = (f(low), f(high));
    if at_low == 0.0 {
        return Some(low);
    }
    if at_high == 0.0 {
        return Some(high);
    }
    if at_low.is_nan() || at_high.is_nan() || (at_low > 0.0) == (at_high > 0.0) {
        return None;
    }
    let rising = at_high > 0.0;
    let (low, high) = boundary(
        |x| {
            let value = f(x);
            value == 0.0 || (value > 0.0) == rising
        },
        low,
        high,
    );
    // An exact root stands at the upper end.
    Some(if f(high) == 0.0 { high } else { 0.5 * (low + high) })
}

/// Where `f` is greatest between `low` and `high`, if it rises and then falls
/// there: sixty golden sections, each keeping 0.618 of the interval.
pub fn peak(f: impl Fn(f64) -> f64, mut low: f64, mut high: f64) -> f64 {
    let golden = 0.5 * (5.0_f64.sqrt() - 1.0);
    for _ in 0..60 {
        let (a, b) = (high - golden * (high - low), low + golden * (high - low));
        if f(a) > f(b) {
            high = b;
        } else {
            low = a;
        }
    }
    0.5 * (low + high)
}
