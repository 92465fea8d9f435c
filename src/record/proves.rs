//! Which instrument proves that a value is inside its limits: what is proposed first is what
//! gives a verdict.

use super::frozen::Limits;
use super::people::Instrument;
use crate::quantity::{Kind, Quantity};

/// Share of the room that a guard band takes of an instrument that proves well: common
/// practice, four times as fine as what it judges.
const WELL: f64 = 0.25;
/// Rounding of what was converted.
const ROOM: f64 = 1.0 + 1e-9;

/// How well an instrument proves a value inside its limits, the best first.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Proves {
    /// Nearly everywhere between them, or nothing limits the value.
    Well,
    /// On its target.
    There,
    /// Nowhere: a verdict would be "not proven".
    Never,
}

/// How far a value may be off what is wanted: from the target, or the middle, to the nearest
/// limit; with one limit, from it to `value` or, where that is the limit itself, to nothing.
fn room(limits: Limits, value: Option<f64>) -> Option<f64> {
    let si = |q: Option<Quantity>| q.map(Quantity::si);
    match (si(limits.lower), si(limits.upper)) {
        (Some(low), Some(high)) => {
            let wanted = si(limits.target).filter(|t| (low..=high).contains(t)).unwrap_or((low + high) / 2.0);
            Some((wanted - low).min(high - wanted))
        }
        (Some(one), None) | (None, Some(one)) => {
            let to = si(limits.target).or(value).filter(|v| (v - one).abs() > 1e-12);
            Some(to.map_or(one.abs(), |v| (v - one).abs())).filter(|room| *room > 0.0)
        }
        (None, None) => None,
    }
}

/// How well an instrument proves a reading at `value`, with the guard band of twice its
/// standard uncertainty that a verdict has.
pub(super) fn proves(instrument: &Instrument, limits: Limits, value: Option<Quantity>) -> Proves {
    let value = value.or(limits.target).map(Quantity::si);
    let (Some(spread), Some(room)) = (instrument.spread, room(limits, value)) else { return Proves::Well };
    // What is counted has no uncertainty of its own.
    if limits.kind == Kind::Number {
        return Proves::Well;
    }
    let guard = 2.0 * spread.at(value.unwrap_or(0.0));
    if guard <= WELL * room * ROOM {
        Proves::Well
    } else if guard <= room * ROOM {
        Proves::There
    } else {
        Proves::Never
    }
}
