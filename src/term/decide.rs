//! Deciding against limits with what the measurement leaves open: conform, not conform, not
//! proven. Figures, readings and rules between readings all decide here.

use super::Verdict;

/// Coverage factor of every guard band: about 95 % of a normal distribution lies within it.
///
/// Source: JCGM 106:2012, 8.3.2.2 (w = U with k = 2); ISO 14253-1.
pub const COVERAGE: f64 = 2.0;

/// Guard band of a standard uncertainty, in its unit.
#[must_use]
pub const fn guard_band(standard: f64) -> f64 {
    COVERAGE * standard
}

impl Verdict {
    /// Verdict on a value with a guard band each way; all in one unit, a limit that is absent
    /// limits nothing.
    ///
    /// Source: ISO 14253-1: conformity is proven inside the limits reduced by the guard band,
    /// nonconformity outside the limits widened by it.
    #[must_use]
    pub fn on(value: f64, guard: f64, (lower, upper): (Option<f64>, Option<f64>)) -> Self {
        // Rounding of what was converted.
        let room = 1e-12 * (value.abs() + guard);
        let inside = lower.is_none_or(|l| value >= l + guard - room)
            && upper.is_none_or(|u| value <= u - guard + room);
        let outside = lower.is_some_and(|l| value < l - guard - room)
            || upper.is_some_and(|u| value > u + guard + room);
        match (inside, outside) {
            (true, _) => Self::Conform,
            (_, true) => Self::NotConform,
            _ => Self::NotProven,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_guard_band_leaves_open_what_it_covers() {
        let most = |value| Verdict::on(value, 0.1, (None, Some(0.5)));
        assert_eq!(most(0.4), Verdict::Conform);
        assert_eq!(most(0.401), Verdict::NotProven);
        assert_eq!(most(0.5), Verdict::NotProven);
        assert_eq!(most(0.6), Verdict::NotProven);
        assert_eq!(most(0.601), Verdict::NotConform);
        let both = |value| Verdict::on(value, 0.1, (Some(-0.5), Some(0.5)));
        assert_eq!((both(-0.4), both(-0.45)), (Verdict::Conform, Verdict::NotProven));
        assert_eq!(both(-0.7), Verdict::NotConform);
        // A guard as wide as the limits proves nothing.
        assert_eq!(Verdict::on(0.0, 0.6, (Some(-0.5), Some(0.5))), Verdict::NotProven);
    }
}
