//! Cross-sections of U and J grooves.

use super::groove::Section;
use crate::figure::{Trouble, given};
use crate::quantity::{Angle, Area, Dimensioned, Length, math, unit};
use crate::source::Source;

const SHAPE: Source = Source::definition("the shape of a weld preparation");

/// A groove with a round root on one edge (J) or both (U).
#[derive(Debug, Clone, Copy)]
pub struct RoundGroove {
    /// Prepared edges: 2 for a U, 1 for a J.
    pub edges: u8,
    /// Sides welded: 2 for a double groove, each of half the depth.
    pub sides: u8,
    /// Plate thickness.
    pub thickness: Length,
    /// Included angle of a U, angle of the one prepared edge of a J.
    pub angle: Angle,
    /// Radius of the root.
    pub radius: Length,
    /// Root face.
    pub root_face: Length,
    /// Root opening.
    pub root_opening: Length,
    /// Height of the cap on each welded side.
    pub cap_height: Length,
    /// Width of the cap; that of the mouth if none.
    pub cap_width: Option<Length>,
}

impl RoundGroove {
    /// The cross-section. Each prepared edge takes a quarter circle of the
    /// radius at the root, the strip above it, and the triangle of the bevel
    /// from the top of the radius.
    ///
    /// # Errors
    /// If the sizes are no groove.
    pub fn section(&self) -> Result<Section, Trouble> {
        let plate = given::positive("thickness", self.thickness)?;
        let radius = given::positive("root_radius", self.radius)?;
        let (edges, sides) = (f64::from(self.edges), f64::from(self.sides));
        if self.root_face > plate || self.root_face.si() < 0.0 {
            return Err(Trouble::impossible(
                "the root face is not between zero and the plate thickness",
                "check root_face and thickness",
            ));
        }
        if self.root_opening.si() < 0.0 || self.cap_height.si() < 0.0 {
            return Err(Trouble::impossible(
                "a root opening or cap can't be negative",
                "check root_opening and cap_height",
            ));
        }
        let depth = (plate - self.root_face) / sides;
        if radius > depth {
            return Err(Trouble::impossible(
                "the root radius is deeper than the preparation",
                "check root_radius, root_face and thickness",
            ));
        }
        given::within("angle", self.angle, unit::DEG, 0.0..=(75.0 * edges), SHAPE)?;
        let slope = math::tan(self.angle / edges);
        let above = depth - radius;
        let quarter = std::f64::consts::FRAC_PI_4;
        let edge: Area = radius * radius * quarter + radius * above + above * above * (slope / 2.0);
        let width = self.root_opening + (radius + above * slope) * edges;
        let cap_width = self.cap_width.unwrap_or(width);
        Ok(Section {
            opening: self.root_opening * plate,
            triangles: edge * (edges * sides),
            cap: cap_width * self.cap_height * (2.0 / 3.0 * sides),
            width,
        })
    }
}
