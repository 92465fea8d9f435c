//! Orders in which places around a tube or along a seam are worked, so that
//! shrinkage on one side answers shrinkage on the other.

use crate::figure::prelude::*;

words! {
    /// Whether a seam closes on itself; a kind of joint leaves it to the sizes.
    pub Run {
        Tube = "tube",
        Straight = "straight",
        /// Of a plate: straight where a length is given, as
        Joint = "plate" | "butt" | "tee" | "lap" | "corner",
    }
}

family! {
    /// A seam around a tube or along plates.
    reads Seam {
        fallback joint: Run = "tube, or straight where only a length is given",
            "around a tube, or along a straight seam; any other word leaves it to tube_od or length", "seam", "kind",
            "shape";
        optional tube_od: Length in ABOVE_ZERO, "tube outside diameter", "od", "d", "diameter", "tube";
        optional length: Length in ABOVE_ZERO, "length of a straight seam", "l", "seam_length";
    }
}

impl Seam {
    /// Whether it closes on itself, and how long it is.
    pub(super) fn run(&self) -> Result<(bool, Length)> {
        let round = match *self.joint {
            Some(Run::Tube) => true,
            Some(Run::Straight) => false,
            Some(Run::Joint) | None => self.tube_od.given() || !self.length.given(),
        };
        Ok(if round { (true, self.tube_od.need()? * PI) } else { (false, self.length.need()?) })
    }
}

/// The whole numbers below `count`.
pub(super) fn below(count: f64) -> Vec<u32> {
    (0_u32..).take_while(|i| f64::from(*i) < count).collect()
}

/// Steps from one place to another around a circle of `count` places.
fn apart(a: u32, b: u32, count: f64) -> f64 {
    let d = (f64::from(a) - f64::from(b)).abs();
    d.min(count - d)
}

/// Places 0 to count - 1 around a circle in opposed order: 0, the place across
/// from it, then the place farthest from all those done, the one across from
/// that, and so on. Four places give 0, 2, 1, 3.
#[must_use]
pub(super) fn opposed_order(count: f64) -> Vec<u32> {
    let mut left = below(count);
    let mut done: Vec<u32> = Vec::new();
    while !left.is_empty() {
        // After an odd number of places, the last one waits for its opposite.
        let waiting = done.last().copied().filter(|_| done.len() % 2 == 1);
        let score = |i: u32| match waiting {
            Some(last) => apart(i, last, count),
            None => done.iter().map(|d| apart(i, *d, count)).fold(f64::INFINITY, f64::min),
        };
        let best = left.iter().copied().fold(None, |best: Option<u32>, i| match best {
            Some(b) if score(i) <= score(b) => Some(b),
            _ => Some(i),
        });
        let Some(best) = best else { break };
        left.retain(|i| *i != best);
        done.push(best);
    }
    done
}

/// Places from the middle outward, a side at a time.
#[must_use]
pub(super) fn centre_out_order(count: f64) -> Vec<u32> {
    let mut places = below(count);
    let middle = (count - 1.0) / 2.0;
    // The sort is stable, so of two equally far the left one comes first.
    places.sort_by(|a, b| (f64::from(*a) - middle).abs().total_cmp(&(f64::from(*b) - middle).abs()));
    places
}

/// Every other place, then those between.
#[must_use]
pub(super) fn skip_order(count: f64) -> Vec<u32> {
    let places = below(count);
    let (even, odd): (Vec<u32>, Vec<u32>) = places.into_iter().partition(|i| i % 2 == 0);
    even.into_iter().chain(odd).collect()
}

/// Places counted from one, as words.
#[must_use]
pub(super) fn order_words(order: &[u32]) -> Vec<String> {
    order.iter().map(|i| (i + 1).to_string()).collect()
}
