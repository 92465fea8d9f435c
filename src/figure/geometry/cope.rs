//! Cope of a round branch on a round run: where to cut a tube so that it sits
//! on another.

use crate::figure::Reads;
use crate::figure::prelude::*;

const SADDLE: Source = Source::derived(
    "straight lines along the branch meet the run cylinder",
    "each line intersected with the cylinder",
);
const SHEET: Source =
    Source::derived("a wrapped sheet is laid off at its middle thickness", "length of the wrapped arc");
const CONTACT: Source = Source::practice(
    "outside radius for a plate or solid, inside radius for an edge bevelled from outside; an edge cut square through the wall touches first where it reaches farthest",
);

/// A branch of radius `branch` on a run of radius `run`, axes at `angle`.
#[derive(Debug, Clone, Copy)]
pub struct Cope {
    /// Radius of the run.
    pub run: Length,
    /// Radius of the branch where it shall touch.
    pub branch: Length,
    /// Radius of the other edge of its wall, where the cut goes square through
    /// it; the same as `branch` if one edge decides.
    pub inside: Length,
    /// Angle between the axes.
    pub angle: Angle,
    /// Distance between the axes, positive toward a quarter turn from the acute side.
    pub offset: Length,
}

impl Cope {
    /// Distance along the branch from the foot of the axes' common normal to
    /// the run, at `azimuth` round the branch from its acute side:
    /// (sqrt(R^2 - (r sin q + e)^2) + r cos q cos b) / sin b. Of a wall cut
    /// square through, that of the edge or line in it which reaches farthest.
    #[must_use]
    pub fn reach(&self, azimuth: Angle) -> Length {
        self.reach_at(azimuth, self.touching(azimuth))
    }

    /// The radius in the wall at which the branch touches first. The reach is
    /// concave in the radius; its top is where r sin q + e = R t / sqrt(1 + t^2)
    /// with t = cos q cos b / sin q.
    #[must_use]
    pub fn touching(&self, azimuth: Angle) -> Length {
        let (low, high) = (self.inside.si(), self.branch.si());
        if low >= high {
            return self.branch;
        }
        let (sin, cos) = (math::sin(azimuth), math::cos(azimuth));
        let lean = cos * math::cos(self.angle);
        if sin.abs() < 1e-12 {
            // At right angles neither is farther; the inside leads beside it.
            return if lean > 1e-12 { self.branch } else { self.inside };
        }
        let t = lean / sin;
        let top = (self.run.si() * t / (1.0 + t * t).sqrt() - self.offset.si()) / sin;
        Length::from_si(top.clamp(low, high))
    }

    /// The same at one radius of the branch.
    fn reach_at(&self, azimuth: Angle, radius: Length) -> Length {
        let across = radius.si() * math::sin(azimuth) + self.offset.si();
        let rise = (self.run.si() * self.run.si() - across * across).max(0.0).sqrt();
        let along = radius.si() * math::cos(azimuth) * math::cos(self.angle);
        Length::from_si((rise + along) / math::sin(self.angle))
    }

    /// Greatest and least reach round the branch: every half degree, the best
    /// bracket of each narrowed by thirds.
    #[must_use]
    pub fn extremes(&self) -> (Length, Length) {
        let find = |sign: f64| {
            let height = |q: f64| sign * self.reach(Angle::from_si(q)).si();
            let step = PI / 360.0;
            let top = (0_u32..720)
                .map(|i| f64::from(i) * step)
                .max_by(|a, b| height(*a).total_cmp(&height(*b)))
                .unwrap_or(0.0);
            let (mut low, mut high) = (top - step, top + step);
            for _ in 0..60 {
                let (a, b) = (low + (high - low) / 3.0, high - (high - low) / 3.0);
                if height(a) < height(b) { low = a } else { high = b }
            }
            // A corner of the curve is one of the places looked at.
            let best =
                if height(f64::midpoint(low, high)) > height(top) { f64::midpoint(low, high) } else { top };
            Length::from_si(sign * height(best))
        };
        (find(1.0), find(-1.0))
    }
}

words! {
    /// Edge of the branch that shall touch the run.
    pub Contact {
        Outside = "outside",
        Inside = "inside",
        First = "first",
    }
}

family! {
    pub COPE = "cope" in Geometry: "cope template: cut-back of a tube end that sits on a round tube or housing";
    also "fishmouth", "saddle", "notch", "tube-notch", "tube-cope", "cope-template";
    reads CopeCut {
        optional run_radius: Length in ABOVE_ZERO, "outside radius of the run, instead of run_od", "R", "large_radius";
        optional branch_radius: Length in ABOVE_ZERO, "outside radius of the branch, instead of branch_od", "r", "small_radius";
        optional run_od: Length in ABOVE_ZERO, "outside diameter of the run", "run", "run_diameter", "main_od", "main", "main_tube", "header", "on";
        optional branch_od: Length in ABOVE_ZERO, "outside diameter of the branch", "branch", "branch_diameter", "od";
        default angle: Angle = "90 deg" in within(15.0, 165.0, unit::DEG, SADDLE),
            "angle between the axes; above 90 deg the acute side is half a turn round", "b";
        default offset: Length = "0 mm",
            "distance between the axes, positive toward a quarter turn from the acute side", "e", "eccentricity";
        optional wall: Length in ABOVE_ZERO, "wall of the branch; for contact inside or first", "branch_wall";
        fallback contact: Contact = "first where the wall is given, else outside",
            "edge of the branch that shall touch the run; first: cut square through the wall, whichever touches first";
        default step: Angle = "15 deg" in within(1.0, 90.0, unit::DEG, SADDLE), "spacing of the azimuths";
        many azimuths: Angle = "0 to 180 deg by step, with an offset to 360", "azimuths from the acute side",
            "positions", "angles", "q", "azimuth";
        default sheet: Length = "0", "thickness of the template sheet", "sheet_gauge", "sheet_thickness", "k";
    }
    rules { one_of(run_od, run_radius); one_of(branch_od, branch_radius); }
    gives CopeAnswer {
        azimuth: Vec<Angle>, "azimuth from the acute side", "0 to 180 deg by step, with an offset to 360", SADDLE;
        position: Vec<Length>, "place on the sheet from the acute side", "(branch_od / 2 + sheet / 2) q",
            SHEET => .style(GAUGE);
        reach: Vec<Length>, "along the branch from the crossing of the axes",
            "(sqrt(R^2 - (r sin q + e)^2) + r cos q cos b) / sin b",
            SADDLE => .range("branch within the run, 15 to 165 deg").style(GAUGE);
        cut_back: Vec<Length>, "cut-back from the line at 0 deg", "reach at 0 deg - reach", SADDLE => .style(GAUGE);
        depth: Length, "depth of the cope", "longest - shortest reach", SADDLE => .style(GAUGE);
        girth: Length, "girth of the sheet", "pi (branch_od + sheet)", SHEET => .style(GAUGE);
        radius: Length, "radius the cut is laid out at", "branch_od / 2, less the wall for inside contact",
            CONTACT => .style(GAUGE);
        touches: String, "edge that touches first", "radius in the wall with the greatest reach", CONTACT;
    }
    example "run_od=\"76.2 mm\" branch_od=\"50.8 mm\" angle=\"60 deg\"";
    by cope
}

impl CopeCut {
    /// The outside radius of the branch and its cope.
    ///
    /// # Errors
    /// If the branch does not sit on the run all round, or its wall is no wall.
    pub fn cope(&self) -> Result<(Length, Cope)> {
        let radius = |od: &Read<Option<Length>>, radius: &Read<Option<Length>>| match **radius {
            Some(radius) => Ok(radius),
            None => od.need().map(|od| od / 2.0),
        };
        let run = radius(&self.run_od, &self.run_radius)?;
        let outside = radius(&self.branch_od, &self.branch_radius)?;
        let offset = *self.offset;
        let usual = if self.wall.given() { Contact::First } else { Contact::Outside };
        let contact = self.contact.unwrap_or(usual);
        let (branch, inside) = match contact {
            Contact::Outside => (outside, outside),
            Contact::Inside => {
                let inside = positive("branch inside radius", outside - self.wall.need()?)?;
                (inside, inside)
            }
            Contact::First => (outside, positive("branch inside radius", outside - self.wall.need()?)?),
        };
        let spread = branch.si() + offset.si().abs();
        if spread > run.si() * (1.0 + 1e-12) {
            let why = if branch.si() > run.si() * (1.0 + 1e-12) {
                "the branch is larger than the run, so there is no full saddle"
            } else {
                "the branch reaches past the side of the run, so there is no full saddle"
            };
            return Err(Trouble::impossible(
                why,
                "swap run_od and branch_od, use a smaller branch, or less offset",
            ));
        }
        Ok((outside, Cope { run, branch, inside, angle: *self.angle, offset }))
    }

    /// As [`Self::cope`], from inputs as they were given.
    ///
    /// # Errors
    /// If an input is missing or of another kind, or there is no cope.
    pub fn of(given: &crate::figure::Given) -> Result<(Self, Length, Cope)> {
        let read = Self::read(given)?;
        let (outside, cope) = read.cope()?;
        Ok((read, outside, cope))
    }
}

fn cope(given: &CopeCut, answer: &mut CopeAnswer) -> Result<()> {
    let (outside, cope) = given.cope()?;
    let azimuths = azimuths(given);
    let first = cope.reach(Angle::from_si(0.0));
    let developed = outside + *given.sheet / 2.0;
    answer.azimuth.list(azimuths.iter().copied());
    answer.position.list(azimuths.iter().map(|q| developed * q.si()));
    answer.reach.list(azimuths.iter().map(|q| cope.reach(*q)));
    answer.cut_back.list(azimuths.iter().map(|q| first - cope.reach(*q)));
    let (longest, shortest) = cope.extremes();
    answer.depth.put(longest - shortest);
    answer.girth.put(developed * (2.0 * PI));
    if cope.inside == cope.branch {
        answer.radius.put(cope.branch);
        let word = if cope.branch.si() < outside.si() { "inside" } else { "outside" };
        answer.touches.put(format!("{word}, as asked"));
    } else {
        answer.touches.put(touches(&cope));
    }
    Ok(())
}

/// Which edge touches first round the branch, in words.
fn touches(cope: &Cope) -> String {
    let word = |degrees: u32| {
        let radius = cope.touching(Angle::of(f64::from(degrees), unit::DEG));
        if radius == cope.branch {
            "outside"
        } else if radius == cope.inside {
            "inside"
        } else {
            "within the wall"
        }
    };
    let mut spans: Vec<(&str, u32, u32)> = Vec::new();
    for degrees in 0..=360 {
        match spans.last_mut() {
            Some((known, _, end)) if *known == word(degrees) => *end = degrees,
            _ => spans.push((word(degrees), degrees, degrees)),
        }
    }
    match spans.as_slice() {
        [(only, ..)] => format!("{only} edge all round"),
        several => several
            .iter()
            .map(|(word, from, to)| format!("{word} {from} to {to} deg"))
            .collect::<Vec<_>>()
            .join(", "),
    }
}

/// The azimuths asked for, or every step of a half turn; of a whole one where
/// the sides differ.
fn azimuths(given: &CopeCut) -> Vec<Angle> {
    if !given.azimuths.is_empty() {
        return given.azimuths.to_vec();
    }
    let step = given.step.to(unit::DEG);
    let end = if given.offset.si() == 0.0 { 180.0 } else { 360.0 };
    let mut angles: Vec<f64> = (0..).map(|i| f64::from(i) * step).take_while(|q| *q < end - 1e-6).collect();
    angles.push(end);
    angles.into_iter().map(|q| Angle::of(q, unit::DEG)).collect()
}
