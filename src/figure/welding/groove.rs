//! Cross-sections of fillet and groove welds.

use super::round_groove::RoundGroove;
use crate::figure::{Given, Input, Need, Trouble, given};
use crate::quantity::{Angle, Area, Dimensioned, Kind, Length, Percent, math, unit};
use crate::source::Source;

/// Areas of welds.
pub(super) const AREA: Source = Source::handbook("Filler Metal Data Handbook", "weld metal cross-sections");
const SHAPE: Source = Source::definition("the shape of a weld preparation");

/// Words for the joint.
pub(super) const JOINTS: &[&str] = &[
    "fillet",
    "v",
    "single-v",
    "v-groove",
    "double-v",
    "bevel",
    "single-bevel",
    "double-bevel",
    "square",
    "butt",
    "x",
    "y",
    "i",
    "half-v",
    "k",
    "u",
    "double-u",
    "j",
    "double-j",
];

/// The inputs that describe a cross-section.
pub(super) const INPUTS: [Input; 13] = [
    Input::choice("joint", JOINTS, Need::Default("fillet if a leg or throat is given"), "kind of weld")
        .also(&["type", "kind", "joint_type", "weld_type", "weld"]),
    Input::optional("leg", Kind::Length, "fillet leg").also(&["leg_size", "size", "z", "fillet"]),
    Input::optional("leg_2", Kind::Length, "second leg of an unequal fillet; the same if not given")
        .also(&["leg2"]),
    Input::optional("throat", Kind::Length, "throat of an equal-leg fillet, instead of the leg").also(&["a"]),
    Input::defaulted("reinforcement", Kind::Percent, "0 %", "metal over the flat fillet, usually 10 %"),
    Input::optional("thickness", Kind::Length, "plate thickness of a groove").also(&["t", "plate_thickness"]),
    Input::optional("angle", Kind::Angle, "included angle of a V; angle of the one prepared edge of a bevel")
        .also(&["included_angle", "bevel_angle", "groove_angle"]),
    Input::defaulted("root_face", Kind::Length, "0", "root face").also(&["f", "land"]),
    Input::defaulted("root_opening", Kind::Length, "0", "root opening").also(&["r", "gap", "root_gap"]),
    Input::defaulted("cap_height", Kind::Length, "0", "height of the cap, on each welded side").also(&[
        "h",
        "cap",
        "reinforcement_height",
    ]),
    Input::optional("cap_width", Kind::Length, "width of the cap; that of the groove mouth if not given"),
    Input::optional("area", Kind::Area, "cross-section, instead of its shape").also(&["weld_area", "aw"]),
    Input::optional("root_radius", Kind::Length, "radius at the root of a U or J groove")
        .also(&["radius", "groove_radius"]),
];

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
    /// Preparation.
    pub preparation: Preparation,
    /// Plate thickness.
    pub thickness: Length,
    /// Included angle of a V, angle of the prepared edge of a bevel.
    pub angle: Angle,
    /// Root face.
    pub root_face: Length,
    /// Root opening.
    pub root_opening: Length,
    /// Height of the cap on each welded side.
    pub cap_height: Length,
    /// Width of the cap; that of the mouth if none.
    pub cap_width: Option<Length>,
}

/// A cross-section in its parts.
#[derive(Debug, Clone, Copy, Default)]
pub struct Section {
    /// Root opening through the thickness.
    pub opening: Area,
    /// Triangles of the preparation, or the fillet.
    pub triangles: Area,
    /// Caps, or the reinforcement of a fillet.
    pub cap: Area,
    /// Width of the groove at the surface; zero for a fillet.
    pub width: Length,
}

impl Section {
    /// Whole cross-section.
    #[must_use]
    pub fn total(&self) -> Area {
        self.opening + self.triangles + self.cap
    }
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
    pub fn section(&self) -> Result<Section, Trouble> {
        let plate = given::positive("thickness", self.thickness)?;
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
    fn slope(&self, edges: f64) -> Result<f64, Trouble> {
        given::within("angle", self.angle, unit::DEG, 0.0..=(75.0 * edges), SHAPE)?;
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

/// Fillet leg as given, or the throat times the square root of two.
pub(super) fn leg(given: &Given) -> Result<Option<Length>, Trouble> {
    match (given.maybe::<Length>("leg")?, given.maybe::<Length>("throat")?) {
        (Some(_), Some(_)) => Err(Trouble::impossible(
            "leg and throat are both given",
            "give the one the drawing shows: throat a or leg z",
        )),
        (Some(leg), None) => given::positive("leg", leg).map(Some),
        (None, Some(throat)) => Ok(Some(given::positive("throat", throat)? * std::f64::consts::SQRT_2)),
        (None, None) => Ok(None),
    }
}

/// A groove with a round root.
fn round(given: &Given, joint: &str) -> Result<Read, Trouble> {
    given.require(&["thickness", "angle", "root_radius"])?;
    let zero = Length::from_si(0.0);
    RoundGroove {
        edges: if joint.ends_with('u') { 2 } else { 1 },
        sides: if joint.starts_with("double") { 2 } else { 1 },
        thickness: given.need("thickness")?,
        angle: given.need("angle")?,
        radius: given.need("root_radius")?,
        root_face: given.or("root_face", zero)?,
        root_opening: given.or("root_opening", zero)?,
        cap_height: given.or("cap_height", zero)?,
        cap_width: given.maybe("cap_width")?,
    }
    .section()
    .map(Read::Groove)
}

/// Reads the cross-section of a family that takes [`INPUTS`].
///
/// # Errors
/// If something is missing, contradictory or no shape of a weld.
pub(super) fn read(given: &Given) -> Result<Read, Trouble> {
    if let Some(area) = given.maybe::<Area>("area")? {
        return given::positive("area", area).map(Read::Area);
    }
    let leg = leg(given)?;
    let joint = match (given.maybe_word("joint")?, leg) {
        (Some(word), _) => word,
        (None, Some(_)) => "fillet",
        (None, None) => return Err(Trouble::Missing(vec!["joint", "leg", "area"])),
    };
    let zero = Length::from_si(0.0);
    let preparation = match joint {
        "fillet" => {
            let leg = leg.ok_or(Trouble::Missing(vec!["leg"]))?;
            let leg_2 = given::positive("leg_2", given.or("leg_2", leg)?)?;
            let over: Percent = given.or("reinforcement", Percent::from_si(0.0))?;
            given::within("reinforcement", over, unit::PCT, 0.0..=100.0, SHAPE)?;
            return Ok(Read::Fillet(fillet(leg, leg_2, over)));
        }
        "u" | "double-u" | "j" | "double-j" => return round(given, joint),
        "square" | "i" => Preparation::Square,
        "butt" if !given.has("angle") => Preparation::Square,
        "double-v" | "x" => Preparation::DoubleV,
        "bevel" | "single-bevel" | "half-v" => Preparation::SingleBevel,
        "double-bevel" | "k" => Preparation::DoubleBevel,
        _ => Preparation::SingleV,
    };
    given.require(&["thickness"])?;
    let angle = match preparation {
        Preparation::Square => Angle::from_si(0.0),
        _ => given.need("angle")?,
    };
    let groove = Groove {
        preparation,
        thickness: given.need("thickness")?,
        angle,
        root_face: given.or("root_face", zero)?,
        root_opening: given.or("root_opening", zero)?,
        cap_height: given.or("cap_height", zero)?,
        cap_width: given.maybe("cap_width")?,
    };
    groove.section().map(Read::Groove)
}
