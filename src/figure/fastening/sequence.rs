//! The order in which the fasteners of a pattern are tightened.

/// Order on a bolt circle of `n`, positions numbered from 1 round the circle.
///
/// Even numbers: opposite pairs, each next pair as far as possible from those
/// done, and from the last one; for 4, 8, 12 and 16 bolts this is the cross
/// pattern the flange guidelines print. Odd numbers: the star, one step short
/// of half round. Source: common practice.
#[must_use]
pub fn circle(n: usize) -> Vec<usize> {
    if n % 2 == 1 {
        // (n - 1) / 2 has no factor in common with n, so the star closes after n.
        let step = (n / 2).max(1);
        return (0..n).map(|i| (i * step) % n + 1).collect();
    }
    let half = n / 2;
    let away = |a: usize, b: usize| {
        let gap = a.abs_diff(b);
        gap.min(half - gap)
    };
    let mut done: Vec<usize> = Vec::with_capacity(half);
    while done.len() < half {
        let score = |p: usize| {
            let nearest = done.iter().map(|q| away(p, *q)).min().unwrap_or(0);
            let from_last = done.last().map_or(0, |q| away(p, *q));
            (nearest, from_last)
        };
        let mut best: Option<usize> = None;
        for p in (0..half).filter(|p| !done.contains(p)) {
            if best.is_none_or(|b| score(p) > score(b)) {
                best = Some(p);
            }
        }
        match best {
            Some(p) => done.push(p),
            None => break,
        }
    }
    done.into_iter().flat_map(|p| [p + 1, p + half + 1]).collect()
}

/// Order in a rectangle of `rows` by `columns`, numbered along the rows: from
/// the centre outward, each bolt followed by the one diagonally opposite.
/// Source: RCSC, from the stiffest part to the free edges.
#[must_use]
pub fn rectangle(rows: usize, columns: usize) -> Vec<usize> {
    // Twice the offset from the centre, so that everything stays whole.
    let offset = |i: usize, n: usize| (2 * i + 1).abs_diff(n);
    let mut cells: Vec<(usize, usize)> = Vec::with_capacity(rows * columns);
    for r in 0..rows {
        for c in 0..columns {
            cells.push((r, c));
        }
    }
    cells.sort_by_key(|(r, c)| {
        let (y, x) = (offset(*r, rows), offset(*c, columns));
        (x * x + y * y, *r, *c)
    });
    let mut order = Vec::with_capacity(cells.len());
    for (r, c) in cells {
        for (r, c) in [(r, c), (rows - 1 - r, columns - 1 - c)] {
            let number = r * columns + c + 1;
            if !order.contains(&number) {
                order.push(number);
            }
        }
    }
    order
}

/// Name of leg `number` of a row of U-bolts on a tube, numbered as a rectangle
/// of two rows (front, rear) by U-bolts from inboard to outboard.
pub(super) fn u_bolt_leg(number: usize, u_bolts: usize) -> String {
    let row = if number <= u_bolts { "front" } else { "rear" };
    let column = (number - 1) % u_bolts;
    match (u_bolts, column) {
        (1, _) => format!("{row} leg"),
        (2, 0) => format!("inboard U-bolt, {row} leg"),
        (2, _) => format!("outboard U-bolt, {row} leg"),
        _ => format!("U-bolt {} from inboard, {row} leg", column + 1),
    }
}
