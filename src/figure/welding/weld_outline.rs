//! A weld group taken as lines of unit throat: length, centroid and second
//! moments.
//!
//! Axes: x to the right, y up, z out of the plane of the group, right-handed.

use crate::figure::prelude::*;

/// A point in the plane of the group.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Point {
    /// To the right.
    pub x: Length,
    /// Up.
    pub y: Length,
}

/// A straight weld.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Segment {
    /// One end.
    pub from: Point,
    /// Other end.
    pub to: Point,
}

/// Shape of a weld group.
#[derive(Debug, Clone, PartialEq)]
pub enum Outline {
    /// Straight welds.
    Lines(Vec<Segment>),
    /// A full ring about the origin.
    Ring {
        /// Diameter of the weld line.
        diameter: Length,
    },
}

/// Properties per unit throat about axes through the centroid. Multiply by the
/// throat to get those of the weld.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LineProperties {
    /// Total length, Aw.
    pub length: Length,
    /// Point the weld balances about, from the origin of its segments.
    pub centroid: Point,
    /// Integral of y^2 along the weld.
    pub ix: Volume,
    /// Integral of x^2 along the weld.
    pub iy: Volume,
    /// Integral of x y along the weld.
    pub ixy: Volume,
    /// Polar moment, ix + iy.
    pub jw: Volume,
    /// Lowest and highest y of the weld from the centroid.
    pub vertical: (Length, Length),
    /// Least and greatest x of the weld from the centroid.
    pub horizontal: (Length, Length),
    /// Distance of the farthest point from the centroid.
    pub reach: Length,
}

impl Segment {
    /// From end to end, along a straight line.
    #[must_use]
    pub fn length(self) -> Length {
        (self.to.x - self.from.x).hypot(self.to.y - self.from.y)
    }
}

impl Outline {
    /// Straight welds along paths, from point to point.
    #[must_use]
    pub fn through(paths: &[&[(Length, Length)]]) -> Self {
        let point = |(x, y): (Length, Length)| Point { x, y };
        let steps = paths.iter().flat_map(|path| path.iter().zip(path.iter().skip(1)));
        Outline::Lines(steps.map(|(from, to)| Segment { from: point(*from), to: point(*to) }).collect())
    }

    /// Two horizontal lines of length `b`, `d` apart, the lower from the origin.
    pub(super) fn two_horizontal(b: Length, d: Length) -> Self {
        let o = Length::from_si(0.0);
        Self::through(&[&[(o, o), (b, o)], &[(o, d), (b, d)]])
    }

    /// A rectangle `b` wide and `d` high from the origin, welded all round.
    #[must_use]
    pub fn rectangle(b: Length, d: Length) -> Self {
        let o = Length::from_si(0.0);
        Self::through(&[&[(o, o), (b, o), (b, d), (o, d), (o, o)]])
    }

    /// Line properties; none if the group has no length.
    #[must_use]
    pub fn properties(&self) -> Option<LineProperties> {
        match self {
            Outline::Ring { diameter } => ring(*diameter),
            Outline::Lines(segments) => lines(segments),
        }
    }

    /// Points at which the stress of a straight-line group can peak, from the
    /// centroid: the ends, the stress being convex along each line.
    #[must_use]
    pub fn ends(&self, centroid: Point) -> Vec<Point> {
        match self {
            Outline::Ring { .. } => Vec::new(),
            Outline::Lines(segments) => segments
                .iter()
                .flat_map(|s| [s.from, s.to])
                .map(|p| Point { x: p.x - centroid.x, y: p.y - centroid.y })
                .collect(),
        }
    }
}

fn ring(diameter: Length) -> Option<LineProperties> {
    let d = diameter.si();
    if d <= 0.0 {
        return None;
    }
    let half = diameter / 2.0;
    let second = Volume::from_si(PI * d * d * d / 8.0);
    Some(LineProperties {
        length: diameter * PI,
        centroid: Point { x: Length::from_si(0.0), y: Length::from_si(0.0) },
        ix: second,
        iy: second,
        ixy: Volume::from_si(0.0),
        jw: second * 2.0,
        vertical: (-half, half),
        horizontal: (-half, half),
        reach: half,
    })
}

fn lines(segments: &[Segment]) -> Option<LineProperties> {
    let total: f64 = segments.iter().map(|s| s.length().si()).sum();
    if total <= 0.0 {
        return None;
    }
    let mean = |pick: fn(Point) -> Length| {
        segments.iter().map(|s| s.length().si() * (pick(s.from).si() + pick(s.to).si()) / 2.0).sum::<f64>()
            / total
    };
    let (cx, cy) = (mean(|p| p.x), mean(|p| p.y));
    let (mut ix, mut iy, mut ixy) = (0.0, 0.0, 0.0);
    let (mut reach, mut low, mut high, mut left, mut right) =
        (0.0_f64, f64::INFINITY, f64::NEG_INFINITY, f64::INFINITY, f64::NEG_INFINITY);
    for s in segments {
        let l = s.length().si();
        let (x1, y1) = (s.from.x.si() - cx, s.from.y.si() - cy);
        let (x2, y2) = (s.to.x.si() - cx, s.to.y.si() - cy);
        // Exact integrals of a linear coordinate along a straight line.
        ix += l * (y1 * y1 + y1 * y2 + y2 * y2) / 3.0;
        iy += l * (x1 * x1 + x1 * x2 + x2 * x2) / 3.0;
        ixy += l * (2.0 * (x1 * y1 + x2 * y2) + x1 * y2 + x2 * y1) / 6.0;
        for (x, y) in [(x1, y1), (x2, y2)] {
            reach = reach.max((x * x + y * y).sqrt());
            (low, high) = (low.min(y), high.max(y));
            (left, right) = (left.min(x), right.max(x));
        }
    }
    let of = Length::from_si;
    Some(LineProperties {
        length: of(total),
        centroid: Point { x: of(cx), y: of(cy) },
        ix: Volume::from_si(ix),
        iy: Volume::from_si(iy),
        ixy: Volume::from_si(ixy),
        jw: Volume::from_si(ix + iy),
        vertical: (of(low), of(high)),
        horizontal: (of(left), of(right)),
        reach: of(reach),
    })
}
