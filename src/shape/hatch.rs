//! Lines across a polygon.

use super::Point;

/// Lines rising at 45 degrees across a polygon, `gap` apart along the x axis,
/// even-odd inside. They are counted from the origin, so that polygons side by
/// side look alike.
#[must_use]
pub fn across(edge: &[Point], gap: f64) -> Vec<(Point, Point)> {
    // On such a line y - x is constant.
    let level = |p: Point| p.y - p.x;
    let low = edge.iter().map(|p| level(*p)).fold(f64::INFINITY, f64::min);
    let high = edge.iter().map(|p| level(*p)).fold(f64::NEG_INFINITY, f64::max);
    let mut lines = Vec::new();
    if !low.is_finite() || !high.is_finite() || gap <= 0.0 {
        return lines;
    }
    let first = (low / gap).floor() + 0.5;
    for at in (0_u32..).map(|i| (first + f64::from(i)) * gap).take_while(|at| *at < high) {
        let mut met: Vec<Point> = Vec::new();
        for (i, from) in edge.iter().enumerate() {
            let Some(to) = edge.get((i + 1) % edge.len()) else { continue };
            let (a, b) = (level(*from) - at, level(*to) - at);
            if (a < 0.0) != (b < 0.0) {
                let share = a / (a - b);
                met.push(Point::new(from.x + share * (to.x - from.x), from.y + share * (to.y - from.y)));
            }
        }
        met.sort_by(|p, q| p.x.total_cmp(&q.x));
        lines.extend(met.chunks_exact(2).map(|pair| (pair[0], pair[1])));
    }
    lines
}
