//! A wider look when the proof runs out: the most promising situations of each
//! length are carried on side by side.
//!
//! It uses the bounds of the proof (`exact`), keeps a fixed number of
//! situations per turn, and so always ends; what it finds is good, not proved.

use std::collections::HashMap;

use super::compiled::Compiled;
use super::exact::{Key, MOST, Search};
use super::precedence::Precedence;

/// Situations carried on per turn.
const WIDTH: usize = 64;

struct Line {
    key: Key,
    cost: u64,
    order: Vec<usize>,
}

/// A workable order of table indices, if the beam reaches the end.
pub(super) fn beam(c: &Compiled, p: &Precedence) -> Option<Vec<usize>> {
    if c.len() > MOST {
        return None;
    }
    let mut search = Search::new(c, p, 0)?;
    let mut lines = vec![Line { key: search.root(), cost: 0, order: Vec::new() }];
    for _ in 0..c.len() {
        let mut next: Vec<(u64, Line)> = Vec::new();
        let mut seen: HashMap<Key, usize> = HashMap::new();
        for line in &lines {
            for op in search.branches(&line.key) {
                let (key, more) = search.step(&line.key, op);
                let cost = line.cost + more;
                let estimate = cost + search.bound(&key);
                let mut order = line.order.clone();
                order.push(op);
                let new = (estimate, Line { key: key.clone(), cost, order });
                let slot = *seen.entry(key).or_insert(next.len());
                match next.get_mut(slot) {
                    None => next.push(new),
                    Some(old) if (cost, &new.1.order) < (old.1.cost, &old.1.order) => *old = new,
                    Some(_) => {}
                }
            }
        }
        next.sort_by(|a, b| (a.0, &a.1.order).cmp(&(b.0, &b.1.order)));
        next.truncate(WIDTH);
        lines = next.into_iter().map(|(_, line)| line).collect();
    }
    lines.into_iter().next().map(|line| line.order)
}
