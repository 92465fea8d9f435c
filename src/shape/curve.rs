//! Curves as points close enough together.

use super::Point;

/// Largest distance between a curve and the lines it is drawn with, in
/// millimetres: far below what a scriber shows (0.02 mm).
pub const CHORD: f64 = 0.01;

/// The vector of this length toward an angle, in degrees from the x axis.
#[must_use]
pub fn toward(degrees: f64, length: f64) -> Point {
    let angle = degrees.to_radians();
    Point::new(length * libm::cos(angle), length * libm::sin(angle))
}

/// Points of an arc, both ends among them.
#[must_use]
pub fn arc(centre: Point, radius: f64, start: f64, sweep: f64) -> Vec<Point> {
    // Chord error r (1 - cos(step / 2)) = CHORD.
    let step = if radius > CHORD { 2.0 * libm::acos(1.0 - CHORD / radius).to_degrees() } else { 30.0 };
    let count = (sweep / step.min(15.0)).ceil().max(1.0);
    let at = |i: f64| centre.plus(toward(start + sweep * i / count, radius));
    (0_u32..).map(f64::from).take_while(|i| *i <= count).map(at).collect()
}

/// Points of a curve given over `from` to `to`, both among them, no chord
/// farther than [`CHORD`] from it. `pieces` is how many parts are looked at
/// apart, so that every corner of the curve is the end of one.
#[must_use]
pub fn sample(curve: &dyn Fn(f64) -> Point, from: f64, to: f64, pieces: u32) -> Vec<Point> {
    let span = (to - from) / f64::from(pieces);
    let mut points = vec![curve(from)];
    for i in 0..pieces {
        let (a, b) = (from + span * f64::from(i), from + span * f64::from(i + 1));
        halve(curve, (a, curve(a)), (b, curve(b)), 16, &mut points);
    }
    points
}

/// Adds the points after `a` up to `b`; looks at both quarters and the middle.
fn halve(
    curve: &dyn Fn(f64) -> Point,
    a: (f64, Point),
    b: (f64, Point),
    depth: u32,
    points: &mut Vec<Point>,
) {
    let at = |share: f64| a.0 + (b.0 - a.0) * share;
    let close = [0.25, 0.5, 0.75].into_iter().all(|s| off(curve(at(s)), a.1, b.1) < CHORD / 2.0);
    if close || depth == 0 {
        points.push(b.1);
        return;
    }
    let middle = (at(0.5), curve(at(0.5)));
    halve(curve, a, middle, depth - 1, points);
    halve(curve, middle, b, depth - 1, points);
}

/// Distance of a point from the line through two others.
fn off(p: Point, a: Point, b: Point) -> f64 {
    let (dx, dy) = (b.x - a.x, b.y - a.y);
    let length = libm::hypot(dx, dy);
    if length < 1e-12 {
        return libm::hypot(p.x - a.x, p.y - a.y);
    }
    ((p.x - a.x) * dy - (p.y - a.y) * dx).abs() / length
}
