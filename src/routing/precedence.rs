//! Which operation must come before which, whatever the order.
//!
//! Only pairs that follow from the states for certain are found here, so the
//! searches may use every one without losing a solution. An optional operation
//! obeys its pairs when it is done at all.

use std::collections::BTreeSet;

use super::compiled::Compiled;

/// Above this many operations only direct pairs are used to find further ones.
const CLOSURE_LIMIT: usize = 512;

/// Certain pairs: operation `i` comes before every operation in `after[i]`.
#[derive(Debug, Clone, Default)]
pub(super) struct Precedence {
    pub(super) after: Vec<BTreeSet<usize>>,
}

impl Precedence {
    /// Finds the certain pairs.
    ///
    /// - A state that is false at the start and has one provider: it comes
    ///   before all who need the state.
    /// - A state that is true at the start and has no provider (else): who needs
    ///   it comes before all who clear it.
    /// - The mirror image for forbidden states.
    /// - Providers known to come after a user can't help it. With none left, the
    ///   user comes before all who clear the state. With one left, a clearer that
    ///   comes after it comes after the user; one that comes before the user
    ///   comes before the provider.
    pub(super) fn find(c: &Compiled) -> Self {
        let mut p = Self { after: vec![BTreeSet::new(); c.len()] };
        for state in 0..c.start.len() {
            p.direct(&c.requirers[state], &c.providers[state], &c.clearers[state], c.start[state]);
            p.direct(&c.forbidders[state], &c.clearers[state], &c.providers[state], !c.start[state]);
        }
        for _ in 0..8 {
            let known = Known::of(&p);
            let before: usize = p.after.iter().map(BTreeSet::len).sum();
            for state in 0..c.start.len() {
                p.around(
                    &known,
                    &c.requirers[state],
                    &c.providers[state],
                    &c.clearers[state],
                    c.start[state],
                );
                p.around(
                    &known,
                    &c.forbidders[state],
                    &c.clearers[state],
                    &c.providers[state],
                    !c.start[state],
                );
            }
            if p.after.iter().map(BTreeSet::len).sum::<usize>() == before {
                break;
            }
        }
        p
    }

    /// `users` want a value that `makers` give and `spoilers` take away.
    fn direct(&mut self, users: &[usize], makers: &[usize], spoilers: &[usize], at_start: bool) {
        for &user in users {
            let mut others = makers.iter().copied().filter(|&m| m != user);
            match (others.next(), others.next(), at_start) {
                (Some(maker), None, false) => self.add(maker, user),
                (None, None, true) => spoilers.iter().for_each(|&s| self.add(user, s)),
                _ => {}
            }
        }
    }

    /// The pairs that follow for each user from the makers that can still come
    /// before it.
    fn around(
        &mut self,
        known: &Known,
        users: &[usize],
        makers: &[usize],
        spoilers: &[usize],
        at_start: bool,
    ) {
        for &user in users {
            let others = || makers.iter().copied().filter(|&m| m != user);
            let mut early = others().filter(|&m| !known.before(user, m));
            let spoilers = spoilers.iter().copied().filter(|&s| s != user);
            match (early.next(), early.next(), at_start) {
                // Every maker comes later: what it needs is there from the
                // start and must not be taken before, or it is never there.
                (None, _, true) => spoilers.for_each(|s| self.add(user, s)),
                (None, _, false) => others().for_each(|m| self.add(m, user)),
                (Some(maker), None, _) => {
                    if !at_start {
                        self.add(maker, user);
                    }
                    for spoiler in spoilers.filter(|&s| s != maker) {
                        if !at_start && known.before(maker, spoiler) {
                            self.add(user, spoiler);
                        }
                        if known.before(spoiler, user) {
                            self.add(spoiler, maker);
                            self.add(maker, user);
                        }
                    }
                }
                _ => {}
            }
        }
    }

    fn add(&mut self, first: usize, later: usize) {
        if first != later {
            self.after[first].insert(later);
        }
    }

    /// An order of all operations that obeys the pairs, or the operations that
    /// wait for each other in a circle or for one in a circle.
    pub(super) fn sort(&self) -> Result<Vec<usize>, Vec<usize>> {
        let mut waits = vec![0_usize; self.after.len()];
        for later in self.after.iter().flatten() {
            waits[*later] += 1;
        }
        let mut ready: BTreeSet<usize> = (0..waits.len()).filter(|&i| waits[i] == 0).collect();
        let mut order = Vec::with_capacity(waits.len());
        while let Some(next) = ready.pop_first() {
            order.push(next);
            for &later in &self.after[next] {
                waits[later] -= 1;
                if waits[later] == 0 {
                    ready.insert(later);
                }
            }
        }
        if order.len() == waits.len() {
            Ok(order)
        } else {
            Err((0..waits.len()).filter(|&i| waits[i] > 0).collect())
        }
    }
}

/// Pairs known so far: all that follow, or only the direct ones when many.
enum Known {
    Closure(Vec<Vec<u64>>),
    Direct(Vec<BTreeSet<usize>>),
}

impl Known {
    fn of(p: &Precedence) -> Self {
        let n = p.after.len();
        let Ok(order) = p.sort() else { return Self::Direct(p.after.clone()) };
        if n > CLOSURE_LIMIT {
            return Self::Direct(p.after.clone());
        }
        let words = n.div_ceil(64);
        let mut rows = vec![vec![0_u64; words]; n];
        for &i in order.iter().rev() {
            for &later in &p.after[i] {
                let below = rows[later].clone();
                for (mine, theirs) in rows[i].iter_mut().zip(below) {
                    *mine |= theirs;
                }
                rows[i][later / 64] |= 1 << (later % 64);
            }
        }
        Self::Closure(rows)
    }

    fn before(&self, first: usize, later: usize) -> bool {
        match self {
            Self::Closure(rows) => rows[first][later / 64] >> (later % 64) & 1 == 1,
            Self::Direct(after) => after[first].contains(&later),
        }
    }
}
