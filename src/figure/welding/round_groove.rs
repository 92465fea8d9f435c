//! Cross-sections of U and J grooves.

use super::groove_section::{SHAPE, Section, sound};
use crate::figure::prelude::*;

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
    /// Height of the edge left square at the root.
    pub root_face: Length,
    /// Gap between the parts at the root.
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
    pub fn section(&self) -> Result<Section> {
        let plate = self.thickness;
        ABOVE_ZERO.check("root_radius", self.radius.into())?;
        let radius = self.radius;
        let (edges, sides) = (f64::from(self.edges), f64::from(self.sides));
        sound(plate, self.root_face, self.root_opening, self.cap_height)?;
        let depth = (plate - self.root_face) / sides;
        (radius > depth).refuse(
            "the root radius is deeper than the preparation",
            "check root_radius, root_face and thickness",
        )?;
        within(0.0, 75.0 * edges, unit::DEG, SHAPE).check("angle", self.angle.into())?;
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
