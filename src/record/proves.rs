//! Which instrument proves that a value is inside its limits: what is proposed first is what
//! gives a verdict.

use super::frozen::Limits;
use super::people::Instrument;
use crate::quantity::{Kind, Quantity};
use crate::term::decide::guard_band;

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
    let guard = guard_band(spread.at(value.unwrap_or(0.0)));
    if guard <= WELL * room * ROOM {
        Proves::Well
    } else if guard <= room * ROOM {
        Proves::There
    } else {
        Proves::Never
    }
}

impl super::frozen::Reading {
    /// What an instrument has to prove of it: its limits in force, and how far it may be from what it is
    /// held against, where that is less. The other reading is taken as one of the same
    /// instrument, whose guard band adds to its own by the root of the squares.
    #[must_use]
    pub fn to_prove(&self, limits: Limits) -> Limits {
        let within = self.near.as_ref().map(|near| near.within).into_iter().chain(self.apart);
        let Some(within) = within.map(Quantity::si).min_by(f64::total_cmp) else { return limits };
        let beside = within * std::f64::consts::FRAC_1_SQRT_2;
        if room(limits, None).is_some_and(|own| own <= beside) {
            return limits;
        }
        let at = |si: f64| Some(Quantity::from_si(limits.kind, si));
        Limits { kind: limits.kind, target: None, lower: at(-beside), upper: at(beside) }
    }
}

impl Limits {
    /// What proves a value inside: the limits, each taken in by the guard band at it, in SI units
    /// both. None where nothing limits the value, or no value would be proven.
    #[must_use]
    pub fn taken_in(self, guard: impl Fn(f64) -> f64) -> Option<Self> {
        let by = |limit: Option<Quantity>, sign: f64| {
            limit.map(|l| Quantity::from_si(self.kind, l.si() + sign * guard(l.si())))
        };
        let (lower, upper) = (by(self.lower, 1.0), by(self.upper, -1.0));
        let room = lower.zip(upper).is_none_or(|(low, high)| low.si() <= high.si());
        (room && (lower.is_some() || upper.is_some())).then_some(Self {
            target: self.target,
            lower,
            upper,
            ..self
        })
    }

    /// As [`Limits::taken_in`], by an instrument; none where it widens nothing.
    #[must_use]
    pub fn proven_with(self, instrument: &Instrument) -> Option<Self> {
        let spread = instrument.spread.filter(|_| self.kind != Kind::Number)?;
        self.taken_in(|value| guard_band(spread.at(value)))
    }
}
