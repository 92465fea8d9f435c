//! Cross-sections of fillet and groove welds.

use super::groove_section::{SHAPE, Section, sound};
use super::round_groove::RoundGroove;
use crate::figure::prelude::*;
use crate::figure::rule::agree;
use crate::figure::usual::PLATE;

/// Areas of welds.
pub(super) const AREA: Source = Source::handbook("Filler Metal Data Handbook", "weld metal cross-sections");

words! {
    /// Kind of weld.
    pub Weld {
        Fillet = "fillet",
        SingleV = "v" | "single-v" | "v-groove" | "y" | "v-butt",
        DoubleV = "double-v" | "x",
        SingleBevel = "bevel" | "single-bevel" | "half-v",
        DoubleBevel = "double-bevel" | "k",
        Square = "square" | "i",
        /// A V where an angle is given, else square:
        Butt = "butt" | "groove",
        U = "u" | "u-shape",
        DoubleU = "double-u",
        J = "j",
        DoubleJ = "double-j",
    }
}

/// Share by which a stated cross-section may leave that of the shape stated with it:
/// caps and gaps are often left out of a drawing.
const ONE_WELD: f64 = 0.5;

family! {
    /// What describes a cross-section.
    reads Shape {
        optional leg: Length in ABOVE_ZERO, "fillet leg", "leg_size", "size", "z", "fillet";
        optional leg_2: Length in ABOVE_ZERO, "second leg of an unequal fillet; the same if not given", "leg2";
        optional throat: Length in ABOVE_ZERO, "throat of an equal-leg fillet, instead of the leg", "a";
        default reinforcement: Percent = "0 %" in within(0.0, 100.0, unit::PCT, SHAPE),
            "metal over the flat fillet, usually 10 %";
        optional thickness: Length in PLATE, "plate thickness of a groove", "t", "plate_thickness";
        optional angle: Angle, "included angle of a V; angle of the one prepared edge of a bevel", "included_angle",
            "bevel_angle", "groove_angle";
        default root_face: Length = "0", "root face", "f", "land";
        default root_opening: Length = "0" in NOT_NEGATIVE, "root opening", "r", "gap", "root_gap";
        default cap_height: Length = "0" in NOT_NEGATIVE, "height of the cap, on each welded side", "h", "cap",
            "reinforcement_height";
        optional cap_width: Length in NOT_NEGATIVE, "width of the cap; that of the groove mouth if not given";
        optional area: Area in ABOVE_ZERO, "cross-section, instead of its shape", "weld_area", "aw";
        optional root_radius: Length in ABOVE_ZERO, "radius at the root of a U or J groove", "radius",
            "groove_radius";
    }
}

/// Shape of a groove preparation.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Preparation {
    /// Square edges.
    Square,
    /// V from one side; the angle is the included one.
    SingleV,
    /// V from both sides, equally deep.
    DoubleV,
    /// One edge prepared, from one side.
    SingleBevel,
    /// One edge prepared, from both sides, equally deep.
    DoubleBevel,
}

/// A groove weld.
#[derive(Debug, Clone, Copy)]
pub struct Groove {
    /// How the edges are cut, and from how many sides.
    pub preparation: Preparation,
    /// Plate thickness.
    pub thickness: Length,
    /// Included angle of a V, angle of the prepared edge of a bevel.
    pub angle: Angle,
    /// Height of the edge left square at the root.
    pub root_face: Length,
    /// Gap between the parts at the root.
    pub root_opening: Length,
    /// Height of the cap on each welded side.
    pub cap_height: Length,
    /// Width of the cap; that of the mouth if none.
    pub cap_width: Option<Length>,
}

/// Fillet: half the product of the legs, and a share over it.
#[must_use]
pub fn fillet(leg: Length, leg_2: Length, reinforcement: Percent) -> Section {
    let flat = leg * leg_2 / 2.0;
    Section { triangles: flat, cap: flat * reinforcement.si(), ..Section::default() }
}

impl Groove {
    /// The cross-section: opening, triangles, and caps of two thirds of width
    /// times height (a parabola).
    ///
    /// # Errors
    /// If the root face is thicker than the plate or the angle is not that of
    /// a groove.
    pub fn section(&self) -> Result<Section> {
        let plate = self.thickness;
        sound(plate, self.root_face, self.root_opening, self.cap_height)?;
        let (edges, sides) = match self.preparation {
            Preparation::Square => (0.0, 1.0),
            Preparation::SingleV => (2.0, 1.0),
            Preparation::DoubleV => (2.0, 2.0),
            Preparation::SingleBevel => (1.0, 1.0),
            Preparation::DoubleBevel => (1.0, 2.0),
        };
        let slope = if edges > 0.0 { self.slope(edges)? } else { 0.0 };
        let depth = (plate - self.root_face) / sides;
        let width = self.root_opening + depth * (edges * slope);
        let cap_width = self.cap_width.unwrap_or(width);
        Ok(Section {
            opening: self.root_opening * plate,
            triangles: depth * depth * (edges * slope * sides / 2.0),
            cap: cap_width * self.cap_height * (2.0 / 3.0 * sides),
            width,
        })
    }

    /// Tangent of one edge's angle.
    fn slope(&self, edges: f64) -> Result<f64> {
        within(0.0, 75.0 * edges, unit::DEG, SHAPE).check("angle", self.angle.into())?;
        Ok(math::tan(self.angle / edges))
    }
}

/// What was read about the cross-section.
pub(super) enum Read {
    /// Only its area.
    Area(Area),
    /// A fillet with its leg.
    Fillet(Section),
    /// A groove with its root opening and thickness.
    Groove(Section),
}

impl Read {
    /// The whole area.
    pub(super) fn total(&self) -> Area {
        match self {
            Read::Area(area) => *area,
            Read::Fillet(section) | Read::Groove(section) => section.total(),
        }
    }
}

impl Shape {
    /// Fillet leg as given, or the throat times the square root of two.
    pub(super) fn fillet_leg(&self) -> Result<Option<Length>> {
        match (*self.leg, *self.throat) {
            (Some(_), Some(_)) => Err(Trouble::impossible(
                "leg and throat are both given",
                "give the one the drawing shows: throat a or leg z",
            )),
            (leg, throat) => Ok(leg.or(throat.map(|throat| throat * std::f64::consts::SQRT_2))),
        }
    }

    /// Reads the cross-section: the area as given, or that of the shape.
    pub(super) fn read(&self, weld: Option<Weld>) -> Result<Read> {
        let Some(area) = *self.area else { return self.drawn(weld) };
        let outlined = self.leg.given() || self.throat.given() || self.angle.given();
        if let Some(shape) = outlined.then(|| self.drawn(weld).ok()).flatten() {
            agree(("area", area), ("the shape given", shape.total()), area * ONE_WELD)?;
        }
        Ok(Read::Area(area))
    }

    /// The cross-section by its shape.
    fn drawn(&self, weld: Option<Weld>) -> Result<Read> {
        let leg = self.fillet_leg()?;
        let weld =
            weld.or(leg.map(|_| Weld::Fillet)).ok_or(Trouble::Missing(vec!["joint", "leg", "area"]))?;
        let preparation = match weld {
            Weld::Fillet => {
                let leg = leg.ok_or(Trouble::Missing(vec!["leg"]))?;
                return Ok(Read::Fillet(fillet(leg, self.leg_2.unwrap_or(leg), *self.reinforcement)));
            }
            Weld::U => return self.round(2, 1),
            Weld::DoubleU => return self.round(2, 2),
            Weld::J => return self.round(1, 1),
            Weld::DoubleJ => return self.round(1, 2),
            Weld::Butt if self.angle.given() => Preparation::SingleV,
            Weld::Square | Weld::Butt => Preparation::Square,
            Weld::SingleV => Preparation::SingleV,
            Weld::DoubleV => Preparation::DoubleV,
            Weld::SingleBevel => Preparation::SingleBevel,
            Weld::DoubleBevel => Preparation::DoubleBevel,
        };
        let angle = |thickness| match preparation {
            Preparation::Square => Ok((thickness, Angle::from_si(0.0))),
            _ => Ok((thickness, self.angle.need()?)),
        };
        let (thickness, angle) = self.thickness.need().and_then(angle)?;
        // Square edges that touch hold no weld metal: nothing worked out is no zero.
        if matches!(preparation, Preparation::Square)
            && self.root_opening.si() <= 0.0
            && self.cap_height.si() <= 0.0
        {
            return Err(Trouble::Missing(vec!["root_opening", "area"]));
        }
        let groove = Groove {
            preparation,
            thickness,
            angle,
            root_face: *self.root_face,
            root_opening: *self.root_opening,
            cap_height: *self.cap_height,
            cap_width: *self.cap_width,
        };
        groove.section().map(Read::Groove)
    }

    /// A groove with a round root.
    fn round(&self, edges: u8, sides: u8) -> Result<Read> {
        require(&[&self.thickness, &self.angle, &self.root_radius])?;
        RoundGroove {
            edges,
            sides,
            thickness: self.thickness.need()?,
            angle: self.angle.need()?,
            radius: self.root_radius.need()?,
            root_face: *self.root_face,
            root_opening: *self.root_opening,
            cap_height: *self.cap_height,
            cap_width: *self.cap_width,
        }
        .section()
        .map(Read::Groove)
    }
}
