//! What certainly comes before an operation, whatever the order.

use super::compiled::Compiled;
use super::precedence::Precedence;
use super::problem::Problem;

/// For each operation of a problem those that come right before it in every workable
/// order. With theirs, and theirs again, these are all that the states put before it;
/// one that follows from the others is left out.
#[must_use]
pub fn before(problem: &Problem) -> Vec<Vec<usize>> {
    let compiled = Compiled::new(problem);
    let pairs = Precedence::find(&compiled);
    let n = compiled.len();
    let mut found = vec![Vec::new(); n];
    let Ok(order) = pairs.sort() else { return found };
    let words = n.div_ceil(64);
    // All that come before each, the first operation first.
    let mut all = vec![vec![0_u64; words]; n];
    let mut right = vec![Vec::new(); n];
    for (first, laters) in pairs.after.iter().enumerate() {
        for &later in laters {
            right[later].push(first);
        }
    }
    let mut place = vec![0; n];
    for (at, &operation) in order.iter().enumerate() {
        place[operation] = at;
    }
    for &operation in &order {
        let mut direct = std::mem::take(&mut right[operation]);
        // The last one first: what comes before it follows from it.
        direct.sort_by_key(|&first| std::cmp::Reverse(place[first]));
        for first in direct {
            if all[operation][first / 64] >> (first % 64) & 1 == 1 {
                continue;
            }
            found[operation].push(first);
            let theirs = all[first].clone();
            for (mine, theirs) in all[operation].iter_mut().zip(theirs) {
                *mine |= theirs;
            }
            all[operation][first / 64] |= 1 << (first % 64);
        }
    }
    let mut of_problem = vec![Vec::new(); n];
    for (operation, firsts) in found.into_iter().enumerate() {
        let mut firsts = compiled.to_problem(&firsts);
        firsts.sort_unstable();
        if let Some(row) = compiled.ops.get(operation).and_then(|op| of_problem.get_mut(op.source)) {
            *row = firsts;
        }
    }
    of_problem
}
