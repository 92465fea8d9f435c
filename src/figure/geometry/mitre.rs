//! Mitre of a round tube: a plane cut, wrapped.

use super::cope::Contact;
use crate::figure::prelude::*;
use crate::figure::{Given, Reads};

const PLANE: Source = Source::derived(
    "a plane across a tube unrolls to a cosine curve",
    "straight lines along the tube intersected with the plane",
);
const EDGE: Source = Source::practice(
    "an edge cut square through the wall touches at its outside on the long half, at its inside on the short half",
);

family! {
    pub MITRE = "mitre" in Geometry: "mitre wrap: cut-back of a tube end cut by a plane, as for two tubes that meet at an angle";
    also "miter", "mitre-wrap", "tube-mitre", "lobster-back";
    reads Mitre {
        required od: Length in ABOVE_ZERO, "measured outside diameter of the tube", "diameter", "d", "tube_od";
        optional between: Angle in within(30.0, 180.0, unit::DEG, PLANE), "angle between the two tubes' axes; straight on is 180 deg", "joint_angle",
            "angle_between", "included_angle";
        optional cut: Angle in within(0.0, 75.0, unit::DEG, PLANE), "instead: angle of the cut from square", "cut_angle", "saw_angle";
        optional wall: Length in ABOVE_ZERO, "wall of the tube; with it, the edge that touches first decides";
        default step: Angle = "15 deg" in within(1.0, 90.0, unit::DEG, PLANE), "spacing of the azimuths";
        default sheet: Length = "0", "thickness of the template sheet", "sheet_thickness";
    }
    rules { one_of(between, cut); }
    gives MitreAnswer {
        cut: Angle, "angle of the cut from square", "(180 - between) / 2", PLANE => .style(FINE_ANGLE);
        azimuth: Vec<Angle>, "azimuth from the longest line", "0 to 180 deg by step", PLANE;
        position: Vec<Length>, "place on the sheet from the longest line", "(od / 2 + sheet / 2) q", PLANE => .style(GAUGE);
        cut_back: Vec<Length>, "cut-back from the longest line", "(R - r cos q) tan c, r the radius that touches", PLANE => .style(GAUGE);
        depth: Length, "from the longest to the shortest line", "(R + r) tan c", PLANE => .style(GAUGE);
        girth: Length, "girth of the sheet", "pi (od + sheet)", PLANE => .style(GAUGE);
        touches: String, "edge that touches first", "outside on the long half, inside on the short half", EDGE;
    }
    example "od=\"50 mm\" between=\"90 deg\"";
    by mitre
}

/// A plane cut through a tube.
#[derive(Debug, Clone, Copy)]
pub struct PlaneCut {
    /// Outside radius.
    pub outside: Length,
    /// Inside radius; the same if the outside edge decides.
    pub inside: Length,
    /// Angle from square.
    pub cut: Angle,
}

impl PlaneCut {
    /// Distance along the tube from the plane's crossing with the axis, at an
    /// azimuth from the longest line; of the edge that touches first.
    #[must_use]
    pub fn reach(&self, azimuth: Angle) -> Length {
        let cos = math::cos(azimuth);
        let radius = if cos > 0.0 { self.outside } else { self.inside };
        radius * (cos * math::tan(self.cut))
    }
}

impl Mitre {
    /// The cut.
    ///
    /// # Errors
    /// If the wall is no wall.
    pub fn plane(&self) -> Result<PlaneCut> {
        let cut = match *self.between {
            Some(between) => (Angle::of(180.0, unit::DEG) - between) / 2.0,
            None => self.cut.need()?,
        };
        let outside = *self.od / 2.0;
        let inside = match *self.wall {
            Some(wall) => positive("inside radius", outside - wall)?,
            None => outside,
        };
        Ok(PlaneCut { outside, inside, cut })
    }

    /// The inputs and the cut.
    ///
    /// # Errors
    /// If an input is missing, or the wall is no wall.
    pub fn of(given: &Given) -> Result<(Self, PlaneCut)> {
        let read = Self::read(given)?;
        let plane = read.plane()?;
        Ok((read, plane))
    }
}

fn mitre(given: &Mitre, answer: &mut MitreAnswer) -> Result<()> {
    let plane = given.plane()?;
    let step = given.step.to(unit::DEG);
    let mut degrees: Vec<f64> =
        (0_u32..).map(|i| f64::from(i) * step).take_while(|q| *q < 180.0 - 1e-6).collect();
    degrees.push(180.0);
    let azimuths: Vec<Angle> = degrees.into_iter().map(|q| Angle::of(q, unit::DEG)).collect();
    let developed = (*given.od + *given.sheet) / 2.0;
    let longest = plane.reach(Angle::from_si(0.0));
    answer.cut.put(plane.cut);
    answer.position.list(azimuths.iter().map(|q| developed * q.si()));
    answer.cut_back.list(azimuths.iter().map(|q| longest - plane.reach(*q)));
    answer.depth.put(longest - plane.reach(Angle::of(180.0, unit::DEG)));
    answer.azimuth.put(azimuths);
    answer.girth.put(developed * (2.0 * PI));
    let word = if plane.inside == plane.outside { Contact::Outside.word() } else { Contact::First.word() };
    answer.touches.put(match word {
        "first" => "outside on the long half, inside on the short half".to_owned(),
        _ => "outside, as no wall is given".to_owned(),
    });
    Ok(())
}
