//! Local improvement of a long order: visits to a station are merged.
//!
//! A visit is a run of neighbours at one station. A visit is moved next to an
//! earlier or later visit of the same station when everything between still
//! works, nothing after notices, no hold is crossed more often, and the cost
//! goes down.

use super::compiled::Compiled;

/// Improves `order` in place, with at most `work` operations replayed.
pub(super) fn merge_visits(c: &Compiled, order: &mut Vec<usize>, work: usize) {
    let mut work = work;
    loop {
        let mut better = false;
        let mut now = c.start.clone();
        let mut from = 0;
        while from < order.len() {
            let to = end_of_visit(c, order, from);
            let station = c.ops[order[from]].station;
            // The next visit of the same station behind this one.
            let next = (to..order.len()).find(|&i| c.ops[order[i]].station == station);
            if let Some(next) = next {
                let next_end = end_of_visit(c, order, next);
                let (mine, between, theirs) = (&order[from..to], &order[to..next], &order[next..next_end]);
                let pulled = [mine, theirs, between].concat();
                let pushed = [between, mine, theirs].concat();
                // What changes places with what: the first named was first.
                let swaps = [swapped(c, between, theirs), swapped(c, mine, between)];
                let window = next_end - from;
                if work < 4 * window {
                    return;
                }
                for (candidate, clean) in [pulled, pushed].into_iter().zip(swaps) {
                    work -= 2 * window;
                    if clean
                        && fits(c, &now, &order[from..next_end], &candidate)
                        && cheaper(c, order, from, next_end, &candidate)
                    {
                        order.splice(from..next_end, candidate);
                        better = true;
                        break;
                    }
                }
            }
            let to = end_of_visit(c, order, from);
            for &i in &order[from..to] {
                apply(c, &mut now, i);
            }
            from = to;
        }
        if !better {
            return;
        }
    }
}

fn end_of_visit(c: &Compiled, order: &[usize], from: usize) -> usize {
    let station = c.ops[order[from]].station;
    (from..order.len()).find(|&i| c.ops[order[i]].station != station).unwrap_or(order.len())
}

fn apply(c: &Compiled, now: &mut [bool], i: usize) {
    for &s in &c.ops[i].clears {
        now[s] = false;
    }
    for &s in &c.ops[i].provides {
        now[s] = true;
    }
}

/// Whether `new` works from `now`, ends as `old` does and keeps the deferred
/// operations behind.
fn fits(c: &Compiled, now: &[bool], old: &[usize], new: &[usize]) -> bool {
    let mut was = now.to_vec();
    for &i in old {
        apply(c, &mut was, i);
    }
    let mut is = now.to_vec();
    let mut deferred = false;
    for &i in new {
        let op = &c.ops[i];
        deferred |= op.deferred;
        if deferred && !op.deferred
            || op.requires.iter().any(|&s| !is[s])
            || op.forbids.iter().any(|&s| is[s])
        {
            return false;
        }
        apply(c, &mut is, i);
    }
    was == is
}

fn cheaper(c: &Compiled, order: &[usize], from: usize, to: usize, new: &[usize]) -> bool {
    let before = from.checked_sub(1).map(|i| order[i]);
    let after = order.get(to).copied();
    let count = |part: &[usize]| {
        let whole: Vec<usize> = before.into_iter().chain(part.iter().copied()).chain(after).collect();
        let changed = |key: fn(&Compiled, usize) -> usize| {
            whole.windows(2).filter(|pair| key(c, pair[0]) != key(c, pair[1])).count()
        };
        (changed(|c, i| c.ops[i].station), changed(|c, i| c.ops[i].component))
    };
    count(new) < count(&order[from..to])
}

/// Whether putting `second` before `first` crosses no hold more often.
fn swapped(c: &Compiled, first: &[usize], second: &[usize]) -> bool {
    let count = |a: &[usize], b: &[usize]| {
        a.iter().map(|&x| b.iter().filter(|&&y| c.crosses(x, y)).count()).sum::<usize>()
    };
    count(second, first) <= count(first, second)
}
