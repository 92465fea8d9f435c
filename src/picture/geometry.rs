//! Plane geometry of pictures: points, and the homography of a flat page onto a picture.

use serde::{Deserialize, Serialize};

/// A point: in mm on the page from its top left corner, or in points of a picture;
/// y runs down in both.
#[derive(Debug, Clone, Copy, Default, PartialEq, Serialize, Deserialize)]
pub struct Point {
    /// To the right.
    pub x: f64,
    /// Down.
    pub y: f64,
}

impl Point {
    /// `x` to the right and `y` down from the top left corner.
    #[must_use]
    pub fn new(x: f64, y: f64) -> Self {
        Self { x, y }
    }

    /// How far another point is.
    #[must_use]
    pub fn to(self, other: Self) -> f64 {
        libm::hypot(self.x - other.x, self.y - other.y)
    }
}

/// A homography: how a flat page lies in a picture, or the way back.
///
/// Nine numbers by rows; a point (x, y, 1) goes to the quotients of the product's
/// first two by its third. Source: Hartley and Zisserman, Multiple View Geometry in
/// Computer Vision, 2nd edition, sections 2.3 and 4.1 (from memory).
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Homography(pub [f64; 9]);

/// A pair of points that belong together, and how much it is trusted.
#[derive(Debug, Clone, Copy)]
pub struct Pair {
    /// On the page.
    pub from: Point,
    /// In the picture.
    pub to: Point,
    /// From 0, not at all.
    pub weight: f64,
}

impl Homography {
    /// Where a point goes.
    #[must_use]
    pub fn apply(&self, p: Point) -> Point {
        let h = &self.0;
        let w = h[6] * p.x + h[7] * p.y + h[8];
        Point::new((h[0] * p.x + h[1] * p.y + h[2]) / w, (h[3] * p.x + h[4] * p.y + h[5]) / w)
    }

    /// The way back; none if the page is seen from its edge.
    #[must_use]
    pub fn inverse(&self) -> Option<Self> {
        let [a, b, c, d, e, f, g, h, i] = self.0;
        let adjugate = [
            e * i - f * h,
            c * h - b * i,
            b * f - c * e,
            f * g - d * i,
            a * i - c * g,
            c * d - a * f,
            d * h - e * g,
            b * g - a * h,
            a * e - b * d,
        ];
        let scale = adjugate[8];
        (scale.abs() > 1e-15 && scale.is_finite()).then(|| Self(adjugate.map(|v| v / scale)))
    }

    /// Points of the picture for a mm at a place of the page.
    #[must_use]
    pub fn scale(&self, at: Point) -> f64 {
        let here = self.apply(at);
        let across = here.to(self.apply(Point::new(at.x + 1.0, at.y)));
        let down = here.to(self.apply(Point::new(at.x, at.y + 1.0)));
        f64::midpoint(across, down)
    }

    /// The homography of least squares through four pairs or more; none if they
    /// lie on a line.
    #[must_use]
    pub fn through(pairs: &[Pair]) -> Option<Self> {
        if pairs.len() < 4 {
            return None;
        }
        let from = Frame::of(pairs.iter().map(|p| p.from))?;
        let to = Frame::of(pairs.iter().map(|p| p.to))?;
        let mut rows = [[0.0_f64; 9]; 8];
        for pair in pairs.iter().filter(|p| p.weight > 0.0) {
            let (p, q) = (from.inside(pair.from), to.inside(pair.to));
            let across = [p.x, p.y, 1.0, 0.0, 0.0, 0.0, -q.x * p.x, -q.x * p.y, q.x];
            let down = [0.0, 0.0, 0.0, p.x, p.y, 1.0, -q.y * p.x, -q.y * p.y, q.y];
            for line in [across, down] {
                for (i, row) in rows.iter_mut().enumerate() {
                    for (cell, value) in row.iter_mut().zip(line) {
                        *cell += pair.weight * line[i] * value;
                    }
                }
            }
        }
        let s = solve(rows)?;
        let inner = Self([s[0], s[1], s[2], s[3], s[4], s[5], s[6], s[7], 1.0]);
        let whole = to.outward().after(&inner).after(&from.inward());
        let last = whole.0[8];
        let sound = whole.0.iter().all(|v| v.is_finite()) && last.abs() > 1e-12;
        sound.then(|| Self(whole.0.map(|v| v / last)))
    }

    /// The map of least squares without perspective, as a scanner makes it, through
    /// three pairs or more; none if they lie on a line.
    #[must_use]
    pub fn level(pairs: &[Pair]) -> Option<Self> {
        let from = Frame::of(pairs.iter().map(|p| p.from))?;
        let to = Frame::of(pairs.iter().map(|p| p.to))?;
        let mut square = [[0.0; 3]; 3];
        let (mut across, mut down) = ([0.0; 3], [0.0; 3]);
        for pair in pairs {
            let (p, q) = (from.inside(pair.from), to.inside(pair.to));
            let line = [p.x, p.y, 1.0];
            for (i, row) in square.iter_mut().enumerate() {
                for (cell, value) in row.iter_mut().zip(line) {
                    *cell += pair.weight * line[i] * value;
                }
                across[i] += pair.weight * line[i] * q.x;
                down[i] += pair.weight * line[i] * q.y;
            }
        }
        let whole = determinant(&square);
        if whole.abs() < 1e-9 {
            return None;
        }
        // Cramer's rule: three unknowns each.
        let solved = |right: [f64; 3]| {
            [0, 1, 2].map(|column| {
                let mut with = square;
                for (row, value) in with.iter_mut().zip(right) {
                    row[column] = value;
                }
                determinant(&with) / whole
            })
        };
        let ([a, b, c], [d, e, f]) = (solved(across), solved(down));
        let inner = Self([a, b, c, d, e, f, 0.0, 0.0, 1.0]);
        let all = to.outward().after(&inner).after(&from.inward());
        all.0.iter().all(|v| v.is_finite()).then_some(all)
    }

    /// The map of least squares that turns, moves and scales alike, through two pairs
    /// or more.
    #[must_use]
    pub fn alike(pairs: &[Pair]) -> Option<Self> {
        let from = Frame::of(pairs.iter().map(|p| p.from))?;
        let to = Frame::of(pairs.iter().map(|p| p.to))?;
        // Weighed middles, then the one complex factor between what is left.
        let mut sums = [0.0; 5];
        for pair in pairs {
            let (p, q) = (from.inside(pair.from), to.inside(pair.to));
            for (sum, value) in sums.iter_mut().zip([1.0, p.x, p.y, q.x, q.y]) {
                *sum += pair.weight * value;
            }
        }
        let [all, px, py, qx, qy] = sums;
        let (p0, q0) = (Point::new(px / all, py / all), Point::new(qx / all, qy / all));
        let (mut size, mut real, mut turned) = (0.0, 0.0, 0.0);
        for pair in pairs {
            let (p, q) = (from.inside(pair.from), to.inside(pair.to));
            let (px, py, qx, qy) = (p.x - p0.x, p.y - p0.y, q.x - q0.x, q.y - q0.y);
            size += pair.weight * (px * px + py * py);
            real += pair.weight * (px * qx + py * qy);
            turned += pair.weight * (px * qy - py * qx);
        }
        if size < 1e-9 {
            return None;
        }
        let (a, b) = (real / size, turned / size);
        let (x, y) = (q0.x - a * p0.x + b * p0.y, q0.y - b * p0.x - a * p0.y);
        let inner = Self([a, -b, x, b, a, y, 0.0, 0.0, 1.0]);
        let all = to.outward().after(&inner).after(&from.inward());
        all.0.iter().all(|v| v.is_finite()).then_some(all)
    }

    /// The map of `through`, again and again with less trust in what lies off by more
    /// than a few times `spread` (in points of the picture; Tukey's weights).
    #[must_use]
    pub fn robust(pairs: &[Pair], spread: f64, through: fn(&[Pair]) -> Option<Self>) -> Option<Self> {
        let mut fit = through(pairs)?;
        for round in 0..8 {
            // Wide at first, so that no good pair is lost to a bad start.
            let reach = 4.0 * spread * if round < 3 { 3.0 } else { 1.0 };
            let weighted: Vec<Pair> = pairs
                .iter()
                .map(|p| {
                    let off = fit.apply(p.from).to(p.to) / reach;
                    let trust = if off < 1.0 { (1.0 - off * off) * (1.0 - off * off) } else { 0.0 };
                    Pair { weight: p.weight * trust, ..*p }
                })
                .collect();
            if weighted.iter().filter(|p| p.weight > 0.0).count() < 4 {
                return Some(fit);
            }
            let Some(next) = through(&weighted) else { return Some(fit) };
            fit = next;
        }
        Some(fit)
    }

    /// First `other`, then this one.
    fn after(&self, other: &Self) -> Self {
        let mut product = [0.0; 9];
        for (i, cell) in product.iter_mut().enumerate() {
            let (row, column) = (i / 3, i % 3);
            *cell = (0..3).map(|k| self.0[row * 3 + k] * other.0[k * 3 + column]).sum();
        }
        Self(product)
    }
}

/// Points moved to their centre and scaled to about one, so that the equations are
/// well conditioned.
struct Frame {
    centre: Point,
    size: f64,
}

impl Frame {
    fn of(points: impl Iterator<Item = Point> + Clone) -> Option<Self> {
        let mut sum = (0.0, 0.0, 0.0);
        for p in points.clone() {
            sum = (sum.0 + p.x, sum.1 + p.y, sum.2 + 1.0);
        }
        let centre = Point::new(sum.0 / sum.2, sum.1 / sum.2);
        let size = points.map(|p| p.to(centre)).sum::<f64>() / sum.2;
        (size.is_finite() && size > 1e-9).then_some(Self { centre, size })
    }

    fn inside(&self, p: Point) -> Point {
        Point::new((p.x - self.centre.x) / self.size, (p.y - self.centre.y) / self.size)
    }

    fn inward(&self) -> Homography {
        let s = 1.0 / self.size;
        Homography([s, 0.0, -self.centre.x * s, 0.0, s, -self.centre.y * s, 0.0, 0.0, 1.0])
    }

    fn outward(&self) -> Homography {
        let s = self.size;
        Homography([s, 0.0, self.centre.x, 0.0, s, self.centre.y, 0.0, 0.0, 1.0])
    }
}

fn determinant(m: &[[f64; 3]; 3]) -> f64 {
    let [a, b, c] = m;
    a[0] * (b[1] * c[2] - b[2] * c[1]) - a[1] * (b[0] * c[2] - b[2] * c[0])
        + a[2] * (b[0] * c[1] - b[1] * c[0])
}

/// Eight linear equations, by elimination with the largest pivot.
fn solve(mut rows: [[f64; 9]; 8]) -> Option<[f64; 8]> {
    for column in 0..8 {
        let pivot = (column..8).max_by(|a, b| rows[*a][column].abs().total_cmp(&rows[*b][column].abs()))?;
        if rows[pivot][column].abs() < 1e-12 {
            return None;
        }
        rows.swap(column, pivot);
        let first = rows[column];
        for row in rows.iter_mut().skip(column + 1) {
            let factor = row[column] / first[column];
            for (cell, above) in row.iter_mut().zip(first).skip(column) {
                *cell -= factor * above;
            }
        }
    }
    let mut solved = [0.0; 8];
    for i in (0..8).rev() {
        let known: f64 = (i + 1..8).map(|k| rows[i][k] * solved[k]).sum();
        solved[i] = (rows[i][8] - known) / rows[i][i];
    }
    solved.iter().all(|v: &f64| v.is_finite()).then_some(solved)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn pair(from: (f64, f64), to: (f64, f64)) -> Pair {
        Pair { from: Point::new(from.0, from.1), to: Point::new(to.0, to.1), weight: 1.0 }
    }

    /// The unit square onto a general quadrilateral: the vanishing points of its
    /// sides are where their lines meet, which the homography must send the ideal
    /// points to. Independent of how the equations are solved.
    #[test]
    fn ideal_points_go_where_the_sides_meet() {
        let corners = [(10.0, 10.0), (110.0, 20.0), (95.0, 140.0), (5.0, 120.0)];
        let unit = [(0.0, 0.0), (1.0, 0.0), (1.0, 1.0), (0.0, 1.0)];
        let pairs: Vec<Pair> = unit.iter().zip(corners).map(|(u, c)| pair(*u, c)).collect();
        let h = Homography::through(&pairs).unwrap();
        let meet = |a: (f64, f64), b: (f64, f64), c: (f64, f64), d: (f64, f64)| {
            let (x1, y1, x2, y2) = (b.0 - a.0, b.1 - a.1, d.0 - c.0, d.1 - c.1);
            let t = ((c.0 - a.0) * y2 - (c.1 - a.1) * x2) / (x1 * y2 - y1 * x2);
            Point::new(a.0 + t * x1, a.1 + t * y1)
        };
        let across = meet(corners[0], corners[1], corners[3], corners[2]);
        let ideal = Point::new(h.0[0] / h.0[6], h.0[3] / h.0[6]);
        assert!(across.to(ideal) < 1e-6, "{across:?} {ideal:?}");
        // The diagonals meet in the image of the centre.
        let centre = meet(corners[0], corners[2], corners[1], corners[3]);
        assert!(centre.to(h.apply(Point::new(0.5, 0.5))) < 1e-9);
    }

    #[test]
    fn the_way_back_leads_back() {
        let h = Homography([4.0, 0.3, 20.0, -0.2, 3.9, 15.0, 2e-4, -1e-4, 1.0]);
        let back = h.inverse().unwrap();
        for (x, y) in [(0.0, 0.0), (216.0, 0.0), (100.0, 279.0), (7.0, 272.0)] {
            let p = Point::new(x, y);
            assert!(back.apply(h.apply(p)).to(p) < 1e-9);
        }
    }

    #[test]
    fn strangers_among_the_pairs_are_left_out() {
        let h = Homography([8.0, 0.5, 30.0, -0.4, 7.9, 25.0, 1e-4, 2e-4, 1.0]);
        let mut pairs: Vec<Pair> = Vec::new();
        for i in 0..30_u32 {
            let from = Point::new(f64::from(i % 5) * 40.0, f64::from(i / 5) * 45.0);
            let mut to = h.apply(from);
            to.x += if i % 7 == 3 { 12.0 } else { 0.0 };
            pairs.push(Pair { from, to, weight: 1.0 });
        }
        let plain = Homography::through(&pairs).unwrap();
        let fit = Homography::robust(&pairs, 2.0, Homography::through).unwrap();
        let off = |fit: &Homography| {
            [(0.0, 0.0), (200.0, 0.0), (200.0, 270.0), (0.0, 270.0)]
                .map(|(x, y)| fit.apply(Point::new(x, y)).to(h.apply(Point::new(x, y))))
                .into_iter()
                .fold(0.0, f64::max)
        };
        assert!(off(&fit) < 0.01, "{}", off(&fit));
        assert!(off(&plain) > 0.5, "the strangers have to matter: {}", off(&plain));
    }

    #[test]
    fn without_perspective_three_points_are_enough() {
        // Turned by 3-4-5, twice as large, moved by (10, 20).
        let turn = |x: f64, y: f64| (1.6 * x - 1.2 * y + 10.0, 1.2 * x + 1.6 * y + 20.0);
        let pairs: Vec<Pair> =
            [(7.0, 7.0), (209.0, 7.0), (7.0, 272.0)].iter().map(|p| pair(*p, turn(p.0, p.1))).collect();
        let map = Homography::level(&pairs).unwrap();
        let (x, y) = turn(150.0, 200.0);
        assert!(map.apply(Point::new(150.0, 200.0)).to(Point::new(x, y)) < 1e-9);
        assert!((map.scale(Point::new(50.0, 50.0)) - 2.0).abs() < 1e-9);
        assert!(Homography::level(&pairs[..2]).is_none());
        let map = Homography::alike(&pairs[..2]).unwrap();
        assert!(map.apply(Point::new(150.0, 200.0)).to(Point::new(x, y)) < 1e-9);
        assert!(Homography::alike(&pairs[..1]).is_none());
    }

    #[test]
    fn points_on_a_line_make_no_page() {
        let pairs: Vec<Pair> =
            (0..5).map(|i| pair((f64::from(i), f64::from(i)), (f64::from(i) * 3.0, 7.0))).collect();
        assert!(Homography::through(&pairs).is_none());
        assert!(Homography::through(&pairs[..3]).is_none());
    }
}
