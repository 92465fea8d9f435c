//! Best-first search that proves the least cost, for up to 128 operations.
//!
//! A situation is what is done, which states are true, and where the last
//! operation was. Its lower bound counts the stations and components still to
//! visit, the longest certain chain of changes, and the certain crossings, so
//! the first finished order taken from the queue is a best one. Then the order
//! itself is settled turn by turn: the earliest operation of the procedure with
//! which the least cost can still be reached.

use std::cmp::Reverse;
use std::collections::{BinaryHeap, HashMap};

use super::compiled::Compiled;
use super::precedence::Precedence;

/// Most operations the tables of this search can hold.
pub(super) const MOST: usize = 128;

const CROSSING: u64 = 1 << 40;
const STATION: u64 = 1 << 20;
const NOWHERE: usize = usize::MAX;

/// A proved best order.
#[derive(Debug, Clone)]
pub(super) struct Best {
    pub(super) order: Vec<usize>,
    /// No other order of this cost is earlier in the dictionary of places.
    pub(super) first: bool,
}

/// What the search came to.
#[derive(Debug, Clone)]
pub(super) enum Proof {
    /// The least cost is proved.
    Best(Best),
    /// There is no workable order as cheap as the one in hand; without one in
    /// hand, there is no workable order.
    None,
    /// The situations it may look at ran out.
    OutOfLooks,
}

/// Searches, looking at no more than `looks` situations. `known` is an order
/// found otherwise; nothing dearer is looked at.
pub(super) fn prove(c: &Compiled, p: &Precedence, known: Option<&[usize]>, looks: usize) -> Proof {
    if c.len() > MOST {
        return Proof::OutOfLooks;
    }
    let Some(mut search) = Search::new(c, p, looks) else { return Proof::None };
    let root = search.root();
    // The search counts the order in hand itself, so that its limit and its
    // bounds can't come from two ways of counting.
    let limit = known.map_or(u64::MAX, |order| search.count(order));
    match search.solve(&root, limit) {
        Err(OutOfLooks) => Proof::OutOfLooks,
        Ok(None) => Proof::None,
        Ok(Some((least, path))) => Proof::Best(search.settle(root, least, path)),
    }
}

struct OutOfLooks;

/// Placed operations, interned states, last station, last component.
#[derive(Clone, PartialEq, Eq, Hash)]
pub(super) struct Key {
    placed: u128,
    states: usize,
    station: usize,
    component: usize,
}

struct Node {
    key: Key,
    cost: u64,
    parent: usize,
    op: usize,
}

/// The tables of the search and what it has learned.
pub(super) struct Search<'a> {
    c: &'a Compiled,
    before: Vec<u128>,
    requires: Vec<Vec<u64>>,
    forbids: Vec<Vec<u64>>,
    requirers: Vec<u128>,
    forbidders: Vec<u128>,
    providers: Vec<u128>,
    clearers: Vec<u128>,
    /// Operations that `i` would cross by going first.
    crossed: Vec<u128>,
    /// Crossings of `i` that are certain.
    certain: Vec<u64>,
    station_tail: Vec<u64>,
    component_tail: Vec<u64>,
    deferred: u128,
    all: u128,
    pool: Vec<Vec<u64>>,
    pooled: HashMap<Vec<u64>, usize>,
    /// Proved lower bounds of the rest.
    learned: HashMap<Key, u64>,
    looks: usize,
}

fn mask(list: &[usize]) -> u128 {
    list.iter().fold(0, |m, &i| m | 1 << i)
}

fn ones(mut set: u128) -> impl Iterator<Item = usize> {
    std::iter::from_fn(move || {
        let next = usize::try_from(set.trailing_zeros()).ok().filter(|_| set != 0)?;
        set &= set - 1;
        Some(next)
    })
}

fn words(bits: usize, list: impl Iterator<Item = usize>) -> Vec<u64> {
    let mut words = vec![0; bits.div_ceil(64).max(1)];
    for i in list {
        words[i / 64] |= 1 << (i % 64);
    }
    words
}

impl<'a> Search<'a> {
    /// None when operations wait for each other in a circle.
    pub(super) fn new(c: &'a Compiled, p: &Precedence, looks: usize) -> Option<Self> {
        let n = c.len();
        let sorted = p.sort().ok()?;
        let mut before = vec![0_u128; n];
        let mut after = vec![0_u128; n];
        let mut station_tail = vec![0; n];
        let mut component_tail = vec![0; n];
        for &i in sorted.iter().rev() {
            for &later in &p.after[i] {
                let differ = |a: usize, b: usize| u64::from(a != b);
                let station = station_tail[later] + differ(c.ops[i].station, c.ops[later].station);
                let component = component_tail[later] + differ(c.ops[i].component, c.ops[later].component);
                station_tail[i] = station_tail[i].max(station);
                component_tail[i] = component_tail[i].max(component);
                after[i] |= after[later] | 1 << later;
                before[later] |= 1 << i;
            }
        }
        let crossed: Vec<u128> =
            (0..n).map(|i| mask(&(0..n).filter(|&o| c.crosses(i, o)).collect::<Vec<_>>())).collect();
        let states = c.start.len();
        let start = words(states, (0..states).filter(|&s| c.start[s]));
        Some(Self {
            certain: (0..n).map(|i| u64::from((crossed[i] & after[i]).count_ones())).collect(),
            crossed,
            before,
            requires: c.ops.iter().map(|o| words(states, o.requires.iter().copied())).collect(),
            forbids: c.ops.iter().map(|o| words(states, o.forbids.iter().copied())).collect(),
            requirers: c.requirers.iter().map(|l| mask(l)).collect(),
            forbidders: c.forbidders.iter().map(|l| mask(l)).collect(),
            providers: c.providers.iter().map(|l| mask(l)).collect(),
            clearers: c.clearers.iter().map(|l| mask(l)).collect(),
            station_tail,
            component_tail,
            deferred: mask(&(0..n).filter(|&i| c.ops[i].deferred).collect::<Vec<_>>()),
            all: mask(&(0..n).collect::<Vec<_>>()),
            pool: vec![start.clone()],
            pooled: HashMap::from([(start, 0)]),
            learned: HashMap::new(),
            looks,
            c,
        })
    }

    pub(super) fn root(&self) -> Key {
        Key { placed: 0, states: 0, station: NOWHERE, component: NOWHERE }
    }

    /// What a whole order costs.
    fn count(&mut self, order: &[usize]) -> u64 {
        let mut here = self.root();
        let mut cost = 0;
        for &op in order {
            let (next, more) = self.step(&here, op);
            cost += more;
            here = next;
        }
        cost
    }

    /// Lower bound of what the rest costs.
    pub(super) fn bound(&self, key: &Key) -> u64 {
        let (mut crossings, mut station_chain, mut component_chain) = (0, 0, 0);
        let (mut stations, mut components) = (0_u128, 0_u128);
        for i in ones(self.all & !key.placed) {
            let op = &self.c.ops[i];
            let away = |here: usize, there: usize| u64::from(here != NOWHERE && here != there);
            crossings += self.certain[i];
            station_chain = station_chain.max(self.station_tail[i] + away(key.station, op.station));
            component_chain = component_chain.max(self.component_tail[i] + away(key.component, op.component));
            stations |= 1 << op.station;
            components |= 1 << op.component;
        }
        let visits = |set: u128, here: usize| {
            let here_too = here == NOWHERE || set >> here & 1 == 1;
            u64::from(set.count_ones()).saturating_sub(u64::from(here_too))
        };
        let own = crossings * CROSSING
            + station_chain.max(visits(stations, key.station)) * STATION
            + component_chain.max(visits(components, key.component));
        own.max(self.learned.get(key).copied().unwrap_or(0))
    }

    fn ready(&self, key: &Key) -> u128 {
        let rest = self.all & !key.placed;
        let now = &self.pool[key.states];
        let mut ready = 0;
        for i in ones(rest) {
            let waits = self.deferred >> i & 1 == 1 && rest & !self.deferred != 0;
            let met = self.requires[i].iter().zip(now).all(|(want, have)| want & !have == 0)
                && self.forbids[i].iter().zip(now).all(|(bar, have)| bar & have == 0);
            if !waits && met && self.before[i] & rest == 0 && !self.dooms(i, rest, now) {
                ready |= 1 << i;
            }
        }
        ready
    }

    fn dooms(&self, i: usize, rest: u128, now: &[u64]) -> bool {
        let others = rest & !(1 << i);
        let is_on = |s: usize| now[s / 64] >> (s % 64) & 1 == 1;
        let op = &self.c.ops[i];
        op.clears
            .iter()
            .any(|&s| is_on(s) && self.requirers[s] & others != 0 && self.providers[s] & others == 0)
            || op
                .provides
                .iter()
                .any(|&s| !is_on(s) && self.forbidders[s] & others != 0 && self.clearers[s] & others == 0)
    }

    fn harmless(&self, i: usize, rest: u128) -> bool {
        let others = rest & !(1 << i);
        let op = &self.c.ops[i];
        op.provides.iter().all(|&s| (self.forbidders[s] | self.clearers[s]) & others == 0)
            && op.clears.iter().all(|&s| (self.requirers[s] | self.providers[s]) & others == 0)
    }

    pub(super) fn step(&mut self, key: &Key, i: usize) -> (Key, u64) {
        let op = &self.c.ops[i];
        let crossings = u64::from((self.crossed[i] & self.all & !key.placed).count_ones());
        let changed = |here: usize, there: usize| u64::from(here != NOWHERE && here != there);
        let cost = crossings * CROSSING
            + changed(key.station, op.station) * STATION
            + changed(key.component, op.component);
        let mut now = self.pool[key.states].clone();
        for &s in &op.clears {
            now[s / 64] &= !(1 << (s % 64));
        }
        for &s in &op.provides {
            now[s / 64] |= 1 << (s % 64);
        }
        let next = self.pool.len();
        let states = *self.pooled.entry(now.clone()).or_insert(next);
        if states == next {
            self.pool.push(now);
        }
        let placed = key.placed | 1 << i;
        (Key { placed, states, station: op.station, component: op.component }, cost)
    }

    /// What to try next. A ready operation that costs nothing now and spoils
    /// nothing later can always be done at once: taking it out of its later
    /// place and doing it here makes no order dearer.
    pub(super) fn branches(&self, key: &Key) -> impl Iterator<Item = usize> + use<> {
        let ready = self.ready(key);
        let rest = self.all & !key.placed;
        let free = ones(ready).find(|&i| {
            let op = &self.c.ops[i];
            op.station == key.station
                && op.component == key.component
                && self.crossed[i] & rest == 0
                && self.harmless(i, rest)
        });
        ones(free.map_or(ready, |i| 1 << i))
    }

    /// Least cost of the rest from `root` and a way to do it, if it is no more
    /// than `limit`.
    fn solve(&mut self, root: &Key, limit: u64) -> Result<Option<(u64, Vec<usize>)>, OutOfLooks> {
        let first = self.bound(root);
        if first > limit {
            return Ok(None);
        }
        let mut nodes = vec![Node { key: root.clone(), cost: 0, parent: NOWHERE, op: NOWHERE }];
        let mut cheapest: HashMap<Key, u64> = HashMap::from([(root.clone(), 0)]);
        let mut queue = BinaryHeap::from([(Reverse(first), 0_u32, Reverse(0_usize))]);
        let mut outcome = None;
        while let Some((Reverse(estimate), _, Reverse(at))) = queue.pop() {
            let (key, cost) = (nodes[at].key.clone(), nodes[at].cost);
            if cheapest.get(&key).is_some_and(|&c| c < cost) {
                continue;
            }
            if key.placed == self.all {
                outcome = Some((estimate, path(&nodes, at)));
                break;
            }
            if self.looks == 0 {
                return Err(OutOfLooks);
            }
            self.looks -= 1;
            for op in self.branches(&key) {
                let (next, more) = self.step(&key, op);
                let cost = cost + more;
                let estimate = cost + self.bound(&next);
                if estimate > limit || cheapest.get(&next).is_some_and(|&c| c <= cost) {
                    continue;
                }
                cheapest.insert(next.clone(), cost);
                queue.push((Reverse(estimate), next.placed.count_ones(), Reverse(nodes.len())));
                nodes.push(Node { key: next, cost, parent: at, op });
            }
        }
        let proved = outcome.as_ref().map_or(limit.saturating_add(1), |(least, _)| *least);
        for node in nodes {
            let rest = proved.saturating_sub(node.cost);
            let known = self.learned.entry(node.key).or_insert(0);
            *known = rest.max(*known);
        }
        Ok(outcome)
    }

    /// The order that is first in the dictionary of places, among those of the
    /// least cost. `path` is one of them.
    fn settle(&mut self, root: Key, least: u64, path: Vec<usize>) -> Best {
        let mut path = path;
        let mut here = root;
        let mut left = least;
        let mut first = true;
        for turn in 0..path.len() {
            for op in ones(self.ready(&here)).take_while(|&op| op < path[turn]) {
                let (next, more) = self.step(&here, op);
                if !first || left < more + self.bound(&next) {
                    continue;
                }
                match self.solve(&next, left - more) {
                    Ok(Some((_, rest))) => {
                        path.truncate(turn);
                        path.push(op);
                        path.extend(rest);
                        break;
                    }
                    Ok(None) => {}
                    Err(OutOfLooks) => first = false,
                }
            }
            let (next, more) = self.step(&here, path[turn]);
            here = next;
            left -= more;
        }
        Best { order: path, first }
    }
}

fn path(nodes: &[Node], mut at: usize) -> Vec<usize> {
    let mut path = Vec::new();
    while nodes[at].parent != NOWHERE {
        path.push(nodes[at].op);
        at = nodes[at].parent;
    }
    path.reverse();
    path
}
