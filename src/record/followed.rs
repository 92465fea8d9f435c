//! Rules between readings, followed entry by entry: whoever asks again and again where a
//! rule stands, as a replay does, does not go through every repeat each time.
//!
//! Everything here follows from the readings of a state and could be worked out from them
//! at any time; a state that follows nothing says the same, slower.

use std::collections::{BTreeMap, BTreeSet};

use super::agree::{Rule, rules};
use super::frozen::{Frozen, Name};
use super::state::State;
use crate::quantity::{Kind, Quantity, Style, math};
use crate::term::Take;

/// When a rule between readings is broken: all of it that counts, and no word.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Sense {
    /// Two readings that may be so far apart, in SI units.
    Apart(f64),
    /// A reading that can't be below the second one; both of this kind.
    Below(Kind),
    /// A value that follows from readings, with its limits, in SI units.
    Outside {
        /// How it follows from them.
        take: Take,
        /// What it is multiplied by; none for one.
        factor: Option<f64>,
        /// Lower limit.
        least: Option<f64>,
        /// Upper limit.
        most: Option<f64>,
    },
}

/// A rule, and how it stood after each of its readings.
#[derive(Debug, Clone)]
struct Walk {
    of: Vec<Name>,
    sense: Sense,
    /// Whether it was broken after each entry that read one of them.
    broken: BTreeMap<u64, bool>,
    /// Entries that broke it.
    began: BTreeSet<u64>,
    /// Entries after which it held again.
    ended: BTreeSet<u64>,
}

/// The rules of a plan that are followed.
#[derive(Debug, Clone, Default)]
pub(super) struct Followed {
    walks: Vec<Walk>,
    /// Which of them look at a reading.
    at: BTreeMap<(String, String), Vec<usize>>,
}

// It follows from the readings: two states with the same readings are the same.
impl PartialEq for Followed {
    fn eq(&self, _: &Self) -> bool {
        true
    }
}

impl Eq for Followed {}

impl Walk {
    /// Notes how the rule stands after an entry.
    fn note(&mut self, n: u64, broken: bool) {
        self.broken.insert(n, broken);
        self.turn(n);
        self.turn_after(n);
    }

    /// Forgets an entry that was taken back.
    fn forget(&mut self, n: u64) {
        self.broken.remove(&n);
        self.began.remove(&n);
        self.ended.remove(&n);
        self.turn_after(n);
    }

    fn turn_after(&mut self, n: u64) {
        if let Some(next) = self.broken.range(n + 1..).next().map(|(n, _)| *n) {
            self.turn(next);
        }
    }

    /// Works out whether an entry broke the rule, or made it hold again.
    fn turn(&mut self, n: u64) {
        let before = self.broken.range(..n).next_back().is_some_and(|(_, broken)| *broken);
        let now = self.broken.get(&n).copied().unwrap_or_default();
        let set =
            |in_it: bool, set: &mut BTreeSet<u64>| _ = if in_it { set.insert(n) } else { set.remove(&n) };
        set(now && !before, &mut self.began);
        set(before && !now, &mut self.ended);
    }

    /// The entry that broke it last of those after which it held again.
    fn passed(&self) -> Option<u64> {
        let ended = self.ended.last()?;
        self.began.range(..ended).next_back().copied()
    }
}

impl Followed {
    /// One rule alone, as it stands.
    pub(super) fn of(state: &State, rule: &Rule<'_>) -> Self {
        let mut followed = Self::default();
        followed.add(state, rule.of.clone(), rule.sense);
        followed
    }

    fn add(&mut self, state: &State, of: Vec<Name>, sense: Sense) {
        for name in &of {
            let place = (name.operation.clone(), name.reading.clone());
            self.at.entry(place).or_default().push(self.walks.len());
        }
        let mut walk =
            Walk { of, sense, broken: BTreeMap::new(), began: BTreeSet::new(), ended: BTreeSet::new() };
        for n in state.taken(&walk.of) {
            walk.note(n, state.breaks(&walk.of, sense, n));
        }
        self.walks.push(walk);
    }

    /// The last reading a rule looks at, and the entry that broke it last of those after
    /// which it held again; none if it is not followed.
    pub(super) fn stands(&self, of: &[Name], sense: Sense) -> Option<(Option<u64>, Option<u64>)> {
        let first = of.first()?;
        let own = self.at.get(&(first.operation.clone(), first.reading.clone()))?;
        let walk = own.iter().filter_map(|i| self.walks.get(*i)).find(|w| w.sense == sense && w.of == of)?;
        Some((walk.broken.last_key_value().map(|(n, _)| *n), walk.passed()))
    }
}

impl State {
    /// Follows the rules of a plan from now on, entry by entry.
    pub(super) fn follow(&mut self, plan: &Frozen) {
        let mut followed = Followed::default();
        for rule in plan.operations.iter().flat_map(|o| rules(plan, o)) {
            followed.add(self, rule.of, rule.sense);
        }
        self.followed = followed;
    }

    /// Follows no rule any more: their readings changed in many places at once.
    pub(super) fn follow_none(&mut self) {
        self.followed = Followed::default();
    }

    /// Notes that a reading was taken or taken back by an entry.
    pub(super) fn follow_on(&mut self, place: &(String, String), n: u64) {
        if !self.followed.at.contains_key(place) {
            return;
        }
        let mut followed = std::mem::take(&mut self.followed);
        let stands = self.reading_then(&place.0, &place.1, n).is_some_and(|(_, mark)| mark.n == n);
        // What comes after it up to the next time it was read was judged with it.
        let until = self.read_after(&place.0, &place.1, n).unwrap_or(u64::MAX);
        for index in followed.at.get(place).into_iter().flatten() {
            let Some(walk) = followed.walks.get_mut(*index) else { continue };
            let after: Vec<u64> = walk.broken.range(n + 1..until).map(|(n, _)| *n).collect();
            if !stands {
                walk.forget(n);
            }
            for n in stands.then_some(n).into_iter().chain(after) {
                walk.note(n, self.breaks(&walk.of, walk.sense, n));
            }
        }
        self.followed = followed;
    }

    /// Entries that read one of these, in their order.
    fn taken(&self, of: &[Name]) -> Vec<u64> {
        let all = of.iter().flat_map(|n| self.all_readings(&n.operation, &n.reading));
        let mut taken: Vec<u64> = all.map(|(_, mark)| mark.n).collect();
        taken.sort_unstable();
        taken
    }

    /// Whether a rule was broken after the entry `until`.
    pub(super) fn breaks(&self, of: &[Name], sense: Sense, until: u64) -> bool {
        match (sense, of) {
            (Sense::Apart(most), [first, second]) => self.apart(first, second, until).is_some_and(|apart| {
                let held = apart <= most * (1.0 + 1e-9) + 1e-12;
                !held
            }),
            (Sense::Below(kind), [own, other]) => {
                let both = self.value(own, until).zip(self.value(other, until));
                both.is_some_and(|(value, least)| {
                    // What reads the same, or is within what the instruments tell apart, is
                    // no contradiction.
                    let apart = 2.0 * math::hypot(self.spread(own, until), self.spread(other, until));
                    let show = |v: f64| Style::of(kind).both(Quantity::from_si(kind, v));
                    let held = value >= least - apart || show(value) == show(least);
                    !held
                })
            }
            (Sense::Outside { take, factor, least, most }, of) => {
                self.follows(of, take, factor, until).is_some_and(|v| outside(v, least, most).is_some())
            }
            _ => false,
        }
    }

    /// How far two readings are apart after the entry `until`, in SI units.
    pub(super) fn apart(&self, first: &Name, second: &Name, until: u64) -> Option<f64> {
        Some((self.value(first, until)? - self.value(second, until)?).abs())
    }

    /// A value that follows from readings after the entry `until`, in SI units; none until
    /// all are taken.
    pub(super) fn follows(&self, of: &[Name], take: Take, factor: Option<f64>, until: u64) -> Option<f64> {
        let values = of.iter().map(|n| self.value(n, until));
        let value = take.of_all(&values.collect::<Option<Vec<f64>>>()?)?;
        Some(factor.map_or(value, |factor| value * factor))
    }

    /// What a reading was after the entry `until`, in SI units.
    pub(super) fn value(&self, name: &Name, until: u64) -> Option<f64> {
        let (measured, _) = self.reading_then(&name.operation, &name.reading, until)?;
        measured.value.as_ref()?.parse().ok()
    }

    /// Standard uncertainty of what a reading was after the entry `until`, in SI units;
    /// 0 where none is known.
    fn spread(&self, name: &Name, until: u64) -> f64 {
        let last = self.reading_then(&name.operation, &name.reading, until);
        last.and_then(|(m, _)| m.uncertainty.as_ref()?.parse().ok()).unwrap_or(0.0)
    }
}

/// The limit a value is outside of, and whether it is the lower one; none if it is inside.
pub(super) fn outside(value: f64, least: Option<f64>, most: Option<f64>) -> Option<(f64, bool)> {
    let room = 1e-9 * value.abs() + 1e-12;
    let low = least.filter(|l| value < l - room).map(|l| (l, true));
    low.or_else(|| most.filter(|m| value > m + room).map(|m| (m, false)))
}
