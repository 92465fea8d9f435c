//! Depth-first search for a workable order, with a fast first descent.
//!
//! At each turn it takes the ready operation that costs least now: no hold
//! crossing, then the station and component already at work, then the
//! procedure's own order. It steps back when nothing is ready, remembers the
//! situations that led nowhere, and so finds an order or proves that there is
//! none, unless it runs out of the steps it was given.

use std::collections::{BTreeSet, HashSet};

use super::compiled::Compiled;
use super::precedence::Precedence;

/// What the search came to.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) enum Walked {
    /// A workable order of table indices.
    Order(Vec<usize>),
    /// There is none.
    Nowhere,
    /// The steps ran out before either was known.
    OutOfSteps,
}

/// How to choose the next station.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Policy {
    /// The station of the operation that is first in the procedure.
    Procedure,
    /// The station where most operations are ready.
    Busiest,
    /// The operation that takes away least of what others still need, wherever
    /// it is done.
    Careful,
}

impl Policy {
    /// All, in the order they are tried.
    pub(super) const ALL: [Self; 3] = [Self::Procedure, Self::Busiest, Self::Careful];
}

/// Steps an operation put in place takes in a job of `operations`: one, and
/// more in large jobs, where each choice looks at more of them.
pub(super) const fn price(operations: usize) -> usize {
    1 + operations / 256
}

/// Searches as long as there are `steps` left; each operation put in place
/// takes its [`price`].
pub(super) fn walk(c: &Compiled, p: &Precedence, policy: Policy, steps: &mut usize) -> Walked {
    let mut w = Walk::new(c, p);
    let mut frames: Vec<Frame> = Vec::new();
    let mut failed: HashSet<Vec<u64>> = HashSet::new();
    let mut tried: Vec<usize> = Vec::new();
    while w.left > 0 {
        if let Some(op) = w.choose(policy, &tried) {
            let Some(left) = steps.checked_sub(price(c.len())) else { return Walked::OutOfSteps };
            *steps = left;
            let safe = w.harmless(op);
            w.put(op);
            frames.push(Frame { op, safe, tried: std::mem::take(&mut tried) });
            if failed.is_empty() || !failed.contains(&w.situation()) {
                continue;
            }
        } else if !frames.is_empty() {
            failed.insert(w.situation());
        }
        // The situation leads nowhere: step back to the last real choice.
        loop {
            let Some(frame) = frames.pop() else { return Walked::Nowhere };
            w.take_back(frame.op);
            tried = frame.tried;
            tried.push(frame.op);
            if !frame.safe {
                break;
            }
            // A safe step loses nothing, so the situation before it is lost too.
            failed.insert(w.situation());
        }
    }
    Walked::Order(w.order)
}

struct Frame {
    op: usize,
    /// The step could not spoil anything: no other choice can do better.
    safe: bool,
    tried: Vec<usize>,
}

struct Walk<'a> {
    c: &'a Compiled,
    p: &'a Precedence,
    now: Vec<bool>,
    placed: Vec<bool>,
    order: Vec<usize>,
    /// Changed states of each step.
    flips: Vec<Vec<usize>>,
    /// Operations that have to be placed still.
    left: usize,
    /// Those of them that are not deferred.
    left_now: usize,
    /// Unmet demands of each operation.
    unmet: Vec<usize>,
    /// Not yet placed operations per state.
    need: Vec<usize>,
    avoid: Vec<usize>,
    give: Vec<usize>,
    take: Vec<usize>,
    ready: BTreeSet<usize>,
    ready_at: Vec<BTreeSet<usize>>,
    ready_on: Vec<BTreeSet<usize>>,
    open: BTreeSet<usize>,
    open_on: Vec<BTreeSet<usize>>,
    holds_on: Vec<BTreeSet<usize>>,
    unit_holds: BTreeSet<usize>,
}

impl<'a> Walk<'a> {
    fn new(c: &'a Compiled, p: &'a Precedence) -> Self {
        let n = c.len();
        let mut w = Self {
            c,
            p,
            now: c.start.clone(),
            placed: vec![false; n],
            order: Vec::with_capacity(n),
            flips: Vec::with_capacity(n),
            left: c.ops.iter().filter(|o| !o.optional).count(),
            left_now: c.ops.iter().filter(|o| !o.optional && !o.deferred).count(),
            unmet: vec![0; n],
            need: c.requirers.iter().map(Vec::len).collect(),
            avoid: c.forbidders.iter().map(Vec::len).collect(),
            give: c.providers.iter().map(Vec::len).collect(),
            take: c.clearers.iter().map(Vec::len).collect(),
            ready: BTreeSet::new(),
            ready_at: vec![BTreeSet::new(); c.stations],
            ready_on: vec![BTreeSet::new(); c.stations * c.components],
            open: BTreeSet::new(),
            open_on: vec![BTreeSet::new(); c.components],
            holds_on: vec![BTreeSet::new(); c.components],
            unit_holds: BTreeSet::new(),
        };
        for later in p.after.iter().flatten() {
            w.unmet[*later] += 1;
        }
        for (i, op) in c.ops.iter().enumerate() {
            w.unmet[i] += op.requires.iter().filter(|&&s| !c.start[s]).count();
            w.unmet[i] += op.forbids.iter().filter(|&&s| c.start[s]).count();
            w.unmet[i] += usize::from(op.deferred && w.left_now > 0);
            w.open_up(i);
        }
        for i in 0..n {
            w.refresh(i);
        }
        w
    }

    fn open_up(&mut self, i: usize) {
        let op = &self.c.ops[i];
        if op.optional {
            return;
        }
        self.open.insert(i);
        self.open_on[op.component].insert(i);
        if op.hold && op.whole_unit {
            self.unit_holds.insert(i);
        } else if op.hold {
            self.holds_on[op.component].insert(i);
        }
    }

    fn close(&mut self, i: usize) {
        let component = self.c.ops[i].component;
        self.open.remove(&i);
        self.open_on[component].remove(&i);
        self.holds_on[component].remove(&i);
        self.unit_holds.remove(&i);
    }

    /// Puts `i` in the ready lists or takes it out, as it is now.
    fn refresh(&mut self, i: usize) {
        let op = &self.c.ops[i];
        let bucket = op.station * self.c.components + op.component;
        if self.unmet[i] == 0 && !self.placed[i] {
            self.ready.insert(i);
            self.ready_at[op.station].insert(i);
            self.ready_on[bucket].insert(i);
        } else {
            self.ready.remove(&i);
            self.ready_at[op.station].remove(&i);
            self.ready_on[bucket].remove(&i);
        }
    }

    fn flip(&mut self, state: usize) {
        let c = self.c;
        let on = !self.now[state];
        self.now[state] = on;
        let (helped, hindered) =
            if on { (&c.requirers, &c.forbidders) } else { (&c.forbidders, &c.requirers) };
        for &i in &helped[state] {
            self.unmet[i] -= 1;
            self.refresh(i);
        }
        for &i in &hindered[state] {
            self.unmet[i] += 1;
            self.refresh(i);
        }
    }

    fn put(&mut self, i: usize) {
        let c = self.c;
        let op = &c.ops[i];
        self.placed[i] = true;
        self.order.push(i);
        self.close(i);
        self.refresh(i);
        let mut flips = Vec::new();
        flips.extend(op.clears.iter().copied().filter(|&s| self.now[s]));
        flips.extend(op.provides.iter().copied().filter(|&s| !self.now[s]));
        for &state in &flips {
            self.flip(state);
        }
        self.flips.push(flips);
        self.count(i, false);
        let p = self.p;
        for &later in &p.after[i] {
            self.unmet[later] -= 1;
            self.refresh(later);
        }
        if !op.optional {
            self.left -= 1;
            if !op.deferred {
                self.left_now -= 1;
                if self.left_now == 0 {
                    self.release(false);
                }
            }
        }
    }

    fn take_back(&mut self, i: usize) {
        let c = self.c;
        let op = &c.ops[i];
        if !op.optional {
            self.left += 1;
            if !op.deferred {
                if self.left_now == 0 {
                    self.release(true);
                }
                self.left_now += 1;
            }
        }
        let p = self.p;
        for &later in &p.after[i] {
            self.unmet[later] += 1;
            self.refresh(later);
        }
        self.count(i, true);
        for state in self.flips.pop().unwrap_or_default() {
            self.flip(state);
        }
        self.order.pop();
        self.placed[i] = false;
        self.open_up(i);
        self.refresh(i);
    }

    /// Deferred operations wait for the last one of the job proper.
    fn release(&mut self, back: bool) {
        for i in 0..self.c.len() {
            if self.c.ops[i].deferred {
                if back {
                    self.unmet[i] += 1;
                } else {
                    self.unmet[i] -= 1;
                }
                self.refresh(i);
            }
        }
    }

    fn count(&mut self, i: usize, back: bool) {
        let op = &self.c.ops[i];
        let lists = [
            (&op.requires, &mut self.need),
            (&op.forbids, &mut self.avoid),
            (&op.provides, &mut self.give),
            (&op.clears, &mut self.take),
        ];
        for (states, counts) in lists {
            for &s in states {
                if back {
                    counts[s] += 1;
                } else {
                    counts[s] -= 1;
                }
            }
        }
    }

    /// Whether doing `i` now leaves an operation without hope.
    fn dooms(&self, i: usize) -> bool {
        let op = &self.c.ops[i];
        let own = |list: &[usize], s: usize| usize::from(list.binary_search(&s).is_ok());
        op.clears.iter().any(|&s| self.now[s] && self.need[s] > own(&op.requires, s) && self.give[s] == 0)
            || op
                .provides
                .iter()
                .any(|&s| !self.now[s] && self.avoid[s] > own(&op.forbids, s) && self.take[s] == 0)
    }

    /// Whether doing `i` now instead of later can't spoil anything: no operation
    /// still to come minds or undoes what it changes.
    fn harmless(&self, i: usize) -> bool {
        let op = &self.c.ops[i];
        let own = |list: &[usize], s: usize| usize::from(list.binary_search(&s).is_ok());
        op.provides.iter().all(|&s| self.avoid[s] == own(&op.forbids, s) && self.take[s] == 0)
            && op.clears.iter().all(|&s| self.need[s] == own(&op.requires, s) && self.give[s] == 0)
    }

    /// Demands of operations still to come that doing `i` now would undo.
    fn harm(&self, i: usize) -> usize {
        let op = &self.c.ops[i];
        let own = |list: &[usize], s: usize| usize::from(list.binary_search(&s).is_ok());
        let cleared =
            op.clears.iter().filter(|&&s| self.now[s]).map(|&s| self.need[s] - own(&op.requires, s));
        let made =
            op.provides.iter().filter(|&&s| !self.now[s]).map(|&s| self.avoid[s] - own(&op.forbids, s));
        cleared.chain(made).sum()
    }

    /// Whether doing `i` now puts it before an open operation it should follow
    /// across a hold.
    fn crosses(&self, i: usize) -> bool {
        let op = &self.c.ops[i];
        if op.optional {
            return false;
        }
        // Tables are sorted by rank, so the first open one has the least rank.
        let earlier = |set: &BTreeSet<usize>| set.first().is_some_and(|&f| self.c.ops[f].rank < op.rank);
        let covered = if op.hold && op.whole_unit { &self.open } else { &self.open_on[op.component] };
        (op.hold && earlier(covered)) || earlier(&self.holds_on[op.component]) || earlier(&self.unit_holds)
    }

    fn crossing_count(&self, i: usize) -> usize {
        self.open.range(..i).filter(|&&o| self.c.crosses(i, o)).count()
    }

    fn choose(&self, policy: Policy, tried: &[usize]) -> Option<usize> {
        let fit = |&i: &usize| !tried.contains(&i) && !self.dooms(i);
        if policy == Policy::Careful {
            return self.ready.iter().copied().filter(|i| fit(i)).min_by_key(|&i| (self.harm(i), i));
        }
        let clean = |i: &usize| fit(i) && !self.crosses(*i);
        if let Some(&last) = self.order.last() {
            let op = &self.c.ops[last];
            let here = &self.ready_on[op.station * self.c.components + op.component];
            if let Some(&i) = here.iter().find(|&i| clean(i)) {
                return Some(i);
            }
            if let Some(&i) = self.ready_at[op.station].iter().find(|&i| clean(i)) {
                return Some(i);
            }
        }
        if policy == Policy::Busiest {
            let mut stations: Vec<&BTreeSet<usize>> = self.ready_at.iter().collect();
            stations.sort_by_key(|ready| std::cmp::Reverse(ready.len()));
            if let Some(&i) = stations.into_iter().find_map(|ready| ready.iter().find(|&i| clean(i))) {
                return Some(i);
            }
        }
        if let Some(&i) = self.ready.iter().find(|&i| clean(i)) {
            return Some(i);
        }
        // Everything crosses: look at the first few for the least of it.
        self.ready.iter().copied().filter(|i| fit(i)).take(16).min_by_key(|&i| (self.crossing_count(i), i))
    }

    /// Placed operations and true states: what the rest depends on.
    fn situation(&self) -> Vec<u64> {
        let bits = self.placed.iter().chain(&self.now);
        let mut words = vec![0_u64; (self.placed.len() + self.now.len()).div_ceil(64)];
        for (i, _) in bits.enumerate().filter(|(_, on)| **on) {
            words[i / 64] |= 1 << (i % 64);
        }
        words
    }
}
