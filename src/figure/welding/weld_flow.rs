//! Force per length around a weld group under combined loads, and where it is
//! greatest.
//!
//! The group is elastic and the parts are rigid, as in every handbook table of
//! welds taken as lines. Two ways of combining are in use and differ by up to
//! 40 % and more: the vector sum, which takes the whole force per length as
//! shear on the throat, and the maximum shear of bending (normal) and shear.

use super::weld_outline::{LineProperties, Outline, Point};
use crate::figure::prelude::*;
use crate::figure::root::peak;

/// Loads of a group, all at its centroid.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Loads {
    /// Force to the right.
    pub vx: Force,
    /// Force up.
    pub vy: Force,
    /// Force out of the plane, pulling the parts apart.
    pub pull: Force,
    /// Moment about x: pulls at positive y.
    pub mx: Torque,
    /// Moment about y: pulls at negative x.
    pub my: Torque,
    /// Torsion about z, counter-clockwise.
    pub mz: Torque,
}

impl Loads {
    /// The same loads acting at an offset from the centroid, with the moments
    /// that brings.
    #[must_use]
    pub fn at(self, x: Length, y: Length, z: Length) -> Self {
        let moment =
            |a: Length, f: Force, b: Length, g: Force| Torque::from_si(a.si() * f.si() - b.si() * g.si());
        Self {
            mx: self.mx + moment(y, self.pull, z, self.vy),
            my: self.my + moment(z, self.vx, x, self.pull),
            mz: self.mz + moment(x, self.vy, y, self.vx),
            ..self
        }
    }
}

/// Force per length at one point of the weld.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Flow {
    /// The point, from the centroid.
    pub at: Point,
    /// Component to the right.
    pub x: LineForce,
    /// Component up.
    pub y: LineForce,
    /// Component out of the plane.
    pub z: LineForce,
}

impl Flow {
    /// In-plane part.
    fn in_plane(self) -> LineForce {
        LineForce::from_si(math::hypot(self.x.si(), self.y.si()))
    }

    /// Vector sum of all components.
    #[must_use]
    pub fn vector(self) -> LineForce {
        LineForce::from_si(math::hypot(self.in_plane().si(), self.z.si()))
    }

    /// Greatest shear with the out-of-plane part as a normal stress.
    pub(super) fn max_shear(self) -> LineForce {
        LineForce::from_si(math::hypot(self.in_plane().si(), self.z.si() / 2.0))
    }

    /// Greatest principal value with the out-of-plane part as a normal stress.
    #[must_use]
    pub fn principal(self) -> LineForce {
        LineForce::from_si(self.z.si().abs() / 2.0 + self.max_shear().si())
    }
}

/// Where and how much.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Peaks {
    /// Point of the greatest vector sum.
    pub vector: Flow,
    /// Point of the greatest maximum shear.
    pub max_shear: Flow,
    /// Point of the greatest principal value.
    pub principal: Flow,
}

/// The linear field of force per length: each component is linear in x and y.
#[derive(Debug, Clone, Copy)]
struct Field {
    direct: (f64, f64, f64),
    twist: f64,
    bend: (f64, f64),
}

impl Field {
    fn new(properties: &LineProperties, loads: &Loads) -> Result<Self> {
        let length = properties.length.si();
        Ok(Self {
            direct: (loads.vx.si() / length, loads.vy.si() / length, loads.pull.si() / length),
            twist: loads.mz.si() / properties.jw.si(),
            bend: bending(properties, loads)?,
        })
    }

    fn at(&self, p: Point) -> Flow {
        let (x, y) = (p.x.si(), p.y.si());
        Flow {
            at: p,
            x: LineForce::from_si(self.direct.0 - self.twist * y),
            y: LineForce::from_si(self.direct.1 + self.twist * x),
            z: LineForce::from_si(self.direct.2 + self.bend.0 * x + self.bend.1 * y),
        }
    }
}

/// Slopes of the out-of-plane force per length along x and y, through the
/// principal axes so that a straight line takes moments across itself.
fn bending(properties: &LineProperties, loads: &Loads) -> Result<(f64, f64)> {
    let (sxx, syy, sxy) = (properties.iy.si(), properties.ix.si(), properties.ixy.si());
    let (gx, gy) = (-loads.my.si(), loads.mx.si());
    if gx == 0.0 && gy == 0.0 {
        return Ok((0.0, 0.0));
    }
    let turn: Angle = math::atan2(2.0 * sxy, sxx - syy) / 2.0;
    let (c, s) = (math::cos(turn), math::sin(turn));
    let spread = math::hypot((sxx - syy) / 2.0, sxy);
    let (large, small) = ((sxx + syy) / 2.0 + spread, (sxx + syy) / 2.0 - spread);
    let (along, across) = (gx * c + gy * s, -gx * s + gy * c);
    let total = math::hypot(gx, gy);
    let first = along / large;
    let second = if small > 1e-12 * large {
        across / small
    } else if across.abs() > 1e-9 * total {
        return Err(Trouble::impossible(
            "the weld is one straight line and the moment turns about that line",
            "give the group some width, or take the moment up elsewhere",
        ));
    } else {
        0.0
    };
    Ok((first * c - second * s, first * s + second * c))
}

/// Greatest force per length of the group by each way of combining.
pub(super) fn peaks(outline: &Outline, properties: &LineProperties, loads: &Loads) -> Result<Peaks> {
    let field = Field::new(properties, loads)?;
    let best = |measure: fn(Flow) -> LineForce| match outline {
        Outline::Lines(_) => {
            let start = field.at(Point { x: Length::from_si(0.0), y: Length::from_si(0.0) });
            let mut ends = outline.ends(properties.centroid).into_iter().map(|p| field.at(p));
            let first = ends.next().unwrap_or(start);
            // A hair of preference for the first keeps ties in a fixed order.
            ends.fold(
                first,
                |best, f| if measure(f).si() > measure(best).si() * (1.0 + 1e-12) { f } else { best },
            )
        }
        Outline::Ring { diameter } => ring_peak(&field, *diameter / 2.0, measure),
    };
    Ok(Peaks {
        vector: best(Flow::vector),
        max_shear: best(Flow::max_shear),
        principal: best(Flow::principal),
    })
}

/// Peak around a ring: scan, then golden section about the best station.
fn ring_peak(field: &Field, radius: Length, measure: fn(Flow) -> LineForce) -> Flow {
    const STATIONS: u32 = 720;
    let step = 2.0 * PI / f64::from(STATIONS);
    let at = |angle: f64| {
        let angle = Angle::from_si(angle);
        field.at(Point { x: radius * math::cos(angle), y: radius * math::sin(angle) })
    };
    let mut best = 0.0;
    for i in 1..STATIONS {
        let angle = f64::from(i) * step;
        if measure(at(angle)).si() > measure(at(best)).si() * (1.0 + 1e-12) {
            best = angle;
        }
    }
    let refined = at(peak(|angle| measure(at(angle)).si(), best - step, best + step));
    if measure(refined).si() > measure(at(best)).si() * (1.0 + 1e-12) { refined } else { at(best) }
}
