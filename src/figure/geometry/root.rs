//! A bracketed root search that can't run away.

/// The root of `f` between `low` and `high`, where `f` changes sign once;
/// bisection to the last bit. `None` if the ends have the same sign.
pub fn bracketed(f: impl Fn(f64) -> f64, mut low: f64, mut high: f64) -> Option<f64> {
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
    // 200 halvings are more than the bits of any interval of doubles in use.
    for _ in 0..200 {
        let middle = 0.5 * (low + high);
        if middle == low || middle == high {
            break;
        }
        let value = f(middle);
        if value == 0.0 {
            return Some(middle);
        }
        if (value > 0.0) == rising {
            high = middle;
        } else {
            low = middle;
        }
    }
    Some(0.5 * (low + high))
}
