//! Rules between readings, followed entry by entry: whoever asks again and again where a
//! rule stands, as a replay does, does not go through every repeat each time.
//!
//! Everything here follows from the readings of a state and could be worked out from them
//! at any time; a state that follows nothing says the same, slower.

use std::collections::{BTreeMap, BTreeSet};

use super::agree::Rule;
use super::frozen::{Frozen, Name};
use super::state::State;
use crate::quantity::{Kind, Quantity, Style};
use crate::term::decide::guard_band;
use crate::term::{Take, Verdict};

/// When a rule between readings is broken: all of it that counts, and no word.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Sense {
    /// Two readings that may be apart.
    Apart {
        /// How far, in SI units.
        most: f64,
        /// Whether it holds only where the uncertainty of both proves it.
        guarded: bool,
    },
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
        /// Whether it holds only where the uncertainty of what it follows from proves it.
        guarded: bool,
    },
}

/// How a rule stands.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct Stands {
    /// The last entry it looks at.
    pub(super) last: Option<u64>,
    /// The entry that broke it last of those after which it held again.
    pub(super) passed: Option<u64>,
    /// Of a pair, the place of the reading that was not read again since the other one was.
    pub(super) waits: Option<usize>,
}

/// How a pair stands after an entry that read one of it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
struct Turn {
    /// Place of the reading in the rule.
    side: usize,
    /// Whether the other one is of before: it was not read since this one was read again.
    alone: bool,
}

/// A rule, and how it stood after each of its readings.
#[derive(Debug, Clone)]
struct Walk {
    of: Vec<Name>,
    sense: Sense,
    /// Of a pair, which of it each entry read; of any other rule nothing.
    turns: Option<BTreeMap<u64, Turn>>,
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
    /// Notes how the rule stands after an entry that read this place of it.
    fn note(&mut self, n: u64, side: usize, broken: bool) {
        self.pair_up(n, Some(side));
        self.judge(n, broken);
    }

    /// Notes how the rule stands after an entry that is known.
    fn judge(&mut self, n: u64, broken: bool) {
        self.broken.insert(n, broken);
        self.turn(n);
        self.turn_beside(n);
    }

    /// Forgets an entry that was taken back.
    fn forget(&mut self, n: u64) {
        self.broken.remove(&n);
        self.began.remove(&n);
        self.ended.remove(&n);
        self.pair_up(n, None);
        self.turn_beside(n);
    }

    /// Works out from an entry on which reading of a pair is of before the other. Mostly the
    /// entry is the last one.
    fn pair_up(&mut self, n: u64, side: Option<usize>) {
        let Some(turns) = &mut self.turns else { return };
        match side {
            Some(side) => _ = turns.insert(n, Turn { side, alone: true }),
            None => _ = turns.remove(&n),
        }
        let mut before = turns.range(..n).next_back().map(|(_, turn)| *turn);
        for (_, turn) in turns.range_mut(n..) {
            // Two of one side, one after the other: the other one is of before both.
            let alone = before.is_none_or(|b| !b.alone || b.side == turn.side);
            *turn = Turn { alone, ..*turn };
            before = Some(*turn);
        }
    }

    /// Whether an entry broke the rule of a pair only because the other reading was of before:
    /// that was read next, and with both it holds.
    fn excused(&self, n: u64) -> bool {
        let Some(turns) = &self.turns else { return false };
        let Some(own) = turns.get(&n).filter(|own| own.alone) else { return false };
        let next = turns.range(n + 1..).next();
        next.is_some_and(|(next, turn)| turn.side != own.side && self.broken.get(next) == Some(&false))
    }

    /// Works the entries before and after one out again: one excuses the other, or broke what
    /// it made hold.
    fn turn_beside(&mut self, n: u64) {
        let before = self.broken.range(..n).next_back().map(|(n, _)| *n);
        let after = self.broken.range(n + 1..).next().map(|(n, _)| *n);
        for n in before.into_iter().chain(after) {
            self.turn(n);
        }
    }

    /// Works out whether an entry broke the rule, or made it hold again.
    fn turn(&mut self, n: u64) {
        let before = self.broken.range(..n).next_back().is_some_and(|(_, broken)| *broken);
        let now = self.broken.get(&n).copied().unwrap_or_default();
        let set =
            |in_it: bool, set: &mut BTreeSet<u64>| _ = if in_it { set.insert(n) } else { set.remove(&n) };
        let began = now && !before && !self.excused(n);
        set(began, &mut self.began);
        set(before && !now, &mut self.ended);
    }

    /// The entry that broke it last of those after which it held again.
    fn passed(&self) -> Option<u64> {
        let ended = self.ended.last()?;
        self.began.range(..ended).next_back().copied()
    }

    /// Of a pair, the place of the reading that is of before the other one; none where both
    /// were read once, or one after the other.
    fn waits(&self) -> Option<usize> {
        let turns = self.turns.as_ref()?;
        let (_, last) = turns.last_key_value().filter(|(_, last)| last.alone)?;
        Some(1 - last.side.min(1))
    }
}

impl Followed {
    /// One rule alone, as it stands.
    pub(super) fn of(state: &State, rule: &Rule) -> Self {
        let mut followed = Self::default();
        followed.add(state, rule);
        followed
    }

    fn add(&mut self, state: &State, rule: &Rule) {
        let (of, sense) = (rule.of.clone(), rule.sense);
        for name in &of {
            let place = (name.operation.clone(), name.reading.clone());
            self.at.entry(place).or_default().push(self.walks.len());
        }
        let mut walk = Walk {
            of,
            sense,
            turns: rule.pair.then(BTreeMap::new),
            broken: BTreeMap::new(),
            began: BTreeSet::new(),
            ended: BTreeSet::new(),
        };
        for (n, side) in state.taken(&walk.of) {
            walk.note(n, side, state.breaks(&walk.of, sense, n));
        }
        self.walks.push(walk);
    }

    /// How a rule stands; none if it is not followed.
    pub(super) fn stands(&self, rule: &Rule) -> Option<Stands> {
        let (of, sense) = (rule.of.as_slice(), rule.sense);
        let first = of.first()?;
        let own = self.at.get(&(first.operation.clone(), first.reading.clone()))?;
        let walk = own.iter().filter_map(|i| self.walks.get(*i)).find(|w| w.sense == sense && w.of == of)?;
        let last = walk.broken.last_key_value().map(|(n, _)| *n);
        Some(Stands { last, passed: walk.passed(), waits: walk.waits() })
    }
}

impl State {
    /// Follows the rules of a plan from now on, entry by entry.
    pub(super) fn follow(&mut self, plan: &Frozen) {
        let mut followed = Followed::default();
        for (_, rule) in plan.all_rules() {
            followed.add(self, rule);
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
            let side = walk.of.iter().position(|o| o.operation == place.0 && o.reading == place.1);
            if let Some(side) = side.filter(|_| stands) {
                walk.note(n, side, self.breaks(&walk.of, walk.sense, n));
            }
            for n in after {
                walk.judge(n, self.breaks(&walk.of, walk.sense, n));
            }
        }
        self.followed = followed;
    }

    /// Entries that read one of these, in their order, and the place of what they read.
    fn taken(&self, of: &[Name]) -> Vec<(u64, usize)> {
        let all = of.iter().enumerate();
        let all = all.flat_map(|(side, n)| {
            self.all_readings(&n.operation, &n.reading).map(move |(_, mark)| (mark.n, side))
        });
        let mut taken: Vec<(u64, usize)> = all.collect();
        taken.sort_unstable();
        taken
    }

    /// Whether a rule was broken, or not proven to hold, after the entry `until`.
    pub(super) fn breaks(&self, of: &[Name], sense: Sense, until: u64) -> bool {
        self.rule_verdict(of, sense, until).is_some_and(|verdict| verdict != Verdict::Conform)
    }

    /// What comes of a rule after the entry `until`, as of a reading beside its limits; none
    /// until all it looks at is read.
    pub(super) fn rule_verdict(&self, of: &[Name], sense: Sense, until: u64) -> Option<Verdict> {
        let guard = self.guard(of, sense, until)?;
        match (sense, of) {
            (Sense::Apart { most, .. }, [first, second]) => {
                let most = most * (1.0 + 1e-9) + 1e-12;
                Some(Verdict::on(self.apart(first, second, until)?, guard, (None, Some(most))))
            }
            (Sense::Below(kind), [own, other]) => {
                let (value, least) = (self.value(own, until)?, self.value(other, until)?);
                // What reads the same, or is within what the instruments tell apart, is
                // no contradiction.
                let show = |v: f64| Style::of(kind).both(Quantity::from_si(kind, v));
                let held = value >= least - guard || show(value) == show(least);
                Some(if held { Verdict::Conform } else { Verdict::NotConform })
            }
            (Sense::Outside { take, factor, least, most, .. }, of) => {
                let value = self.follows(of, take, factor, until)?;
                let room = 1e-9 * value.abs() + 1e-12;
                Some(Verdict::on(value, guard, (least.map(|l| l - room), most.map(|m| m + room))))
            }
            _ => None,
        }
    }

    /// Guard band of what a rule looks at after the entry `until`, in SI units: 0 where the rules
    /// of its day had none; none until all is read.
    pub(super) fn guard(&self, of: &[Name], sense: Sense, until: u64) -> Option<f64> {
        let read = |n: &Name| Some((self.value(n, until)?, self.spread(n, until)));
        let read: Vec<(f64, f64)> = of.iter().map(read).collect::<Option<_>>()?;
        let (take, factor) = match sense {
            Sense::Apart { guarded: false, .. } | Sense::Outside { guarded: false, .. } => return Some(0.0),
            Sense::Apart { .. } | Sense::Below(_) => (Take::Difference, None),
            Sense::Outside { take, factor, .. } => (take, factor),
        };
        take.spread_of(&read).map(|u| guard_band(u * factor.unwrap_or(1.0).abs()))
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

/// The limit a value is nearest to being outside of, or most outside of, and whether it is the
/// lower one; none without limits.
pub(super) fn nearest_limit(value: f64, least: Option<f64>, most: Option<f64>) -> Option<(f64, bool)> {
    let low = least.map(|l| (value - l, l, true));
    let high = most.map(|m| (m - value, m, false));
    let all = low.into_iter().chain(high);
    all.min_by(|a, b| a.0.total_cmp(&b.0)).map(|(_, limit, low)| (limit, low))
}
