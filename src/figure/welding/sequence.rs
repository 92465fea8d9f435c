//! Orders in which places around a tube or along a seam are worked, so that
//! shrinkage on one side answers shrinkage on the other.

use crate::figure::{Given, Input, Need, Trouble};
use crate::quantity::Kind;

/// The input that says whether a seam closes on itself.
pub(super) const JOINT: Input = Input::choice(
    "joint",
    &["tube", "straight", "butt", "tee", "lap", "corner", "plate"],
    Need::Default("tube, or straight where only a length is given"),
    "around a tube, or along a straight seam; any other word leaves it to tube_od or length",
)
.also(&["seam", "kind", "shape"]);

/// Whether the seam closes on itself.
///
/// # Errors
/// If `joint` is not a word.
pub(super) fn is_round(given: &Given) -> Result<bool, Trouble> {
    Ok(match given.maybe_word("joint")? {
        Some("tube") => true,
        Some("straight") => false,
        _ => given.has("tube_od") || !given.has("length"),
    })
}

/// The size of a seam around a tube.
pub(super) const TUBE_OD: Input =
    Input::optional("tube_od", Kind::Length, "tube outside diameter").also(&["od", "d", "diameter", "tube"]);

/// The size of a straight seam.
pub(super) const SEAM_LENGTH: Input =
    Input::optional("length", Kind::Length, "length of a straight seam").also(&["l", "seam_length"]);

/// The whole numbers below `count`.
fn below(count: f64) -> Vec<u32> {
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

/// Tack stations along a straight seam.
#[must_use]
pub(super) fn along_order(count: f64, order: &str) -> Vec<u32> {
    match order {
        "through" => below(count),
        // Both ends hold the seam first, then back from the far end.
        "back-step" => {
            let mut places = below(count);
            let first = if places.is_empty() { None } else { Some(places.remove(0)) };
            places.reverse();
            first.into_iter().chain(places).collect()
        }
        _ => centre_out_order(count),
    }
}

/// Places counted from one, as words.
#[must_use]
pub(super) fn order_words(order: &[u32]) -> Vec<String> {
    order.iter().map(|i| (i + 1).to_string()).collect()
}
