//! Cope of a round branch on a round run: where to cut a tube so that it sits
//! on another.

use crate::figure::range::{ABOVE_ZERO, positive, within};
use crate::figure::{Read, Trouble};
use crate::quantity::show::GAUGE;
use crate::quantity::{Angle, Dimensioned, Length, math, unit};
use crate::source::Source;
use crate::{family, words};

const SADDLE: Source = Source::derived(
    "straight lines along the branch meet the run cylinder",
    "each line intersected with the cylinder",
);
const SHEET: Source =
    Source::derived("a wrapped sheet is laid off at its middle thickness", "length of the wrapped arc");
const CONTACT: Source =
    Source::practice("outside radius for a plate or solid, inside radius for an edge bevelled from outside");

/// A branch of radius `branch` on a run of radius `run`, axes crossing at `angle`.
#[derive(Debug, Clone, Copy)]
pub struct Cope {
    /// Radius of the run.
    pub run: Length,
    /// Radius of the branch where it shall touch.
    pub branch: Length,
    /// Angle between the axes.
    pub angle: Angle,
}

impl Cope {
    /// Distance along the branch from the crossing of the axes to the run, at
    /// `azimuth` round the branch from its acute side:
    /// sqrt(R^2 - r^2 sin^2 q) / sin b + r cos q / tan b.
    #[must_use]
    pub fn reach(&self, azimuth: Angle) -> Length {
        let across = self.branch.si() * math::sin(azimuth);
        let rise = (self.run.si() * self.run.si() - across * across).max(0.0).sqrt();
        let along = self.branch.si() * math::cos(azimuth) * math::cos(self.angle);
        Length::from_si((rise + along) / math::sin(self.angle))
    }

    /// Least reach round the branch. The slope of the reach vanishes at both
    /// symmetry lines, and between them where
    /// cos^2 q = cos^2 b (R^2 - r^2) / (r^2 sin^2 b) beyond a quarter turn.
    #[must_use]
    pub fn least_reach(&self) -> Length {
        let (run, branch) = (self.run.si(), self.branch.si());
        let (sin, cos) = (math::sin(self.angle), math::cos(self.angle));
        let square = cos * cos * (run * run - branch * branch) / (branch * branch * sin * sin);
        let half_turn = self.reach(Angle::from_si(std::f64::consts::PI));
        if square >= 1.0 {
            return half_turn;
        }
        let between = self.reach(math::acos(-square.max(0.0).sqrt()));
        if between.si() < half_turn.si() { between } else { half_turn }
    }
}

words! {
    /// Edge of the branch that shall touch the run.
    pub Contact {
        Outside = "outside",
        Inside = "inside",
    }
}

family! {
    /// Cope template.
    pub COPE = "cope" in Geometry: "cope template: cut-back of a tube end that sits on a round tube or housing";
    also "fishmouth", "saddle", "notch", "tube-notch", "tube-cope", "cope-template";
    reads CopeCut {
        optional run_radius: Length in ABOVE_ZERO, "outside radius of the run, instead of run_od", "R", "large_radius";
        optional branch_radius: Length in ABOVE_ZERO, "outside radius of the branch, instead of branch_od", "r", "small_radius";
        optional run_od: Length in ABOVE_ZERO, "outside diameter of the run", "run", "run_diameter", "main_od";
        optional branch_od: Length in ABOVE_ZERO, "outside diameter of the branch", "branch", "branch_diameter", "od";
        default angle: Angle = "90 deg" in within(30.0, 90.0, unit::DEG, SADDLE), "angle between the axes", "b";
        optional wall: Length in ABOVE_ZERO, "wall of the branch; for contact inside", "branch_wall";
        default contact: Contact = Outside, "edge of the branch that shall touch the run";
        default step: Angle = "15 deg" in within(1.0, 90.0, unit::DEG, SADDLE), "spacing of the azimuths";
        many azimuths: Angle, "azimuths from the acute side; 0 to 180 deg by step if absent", "positions", "angles",
            "q", "azimuth";
        default sheet: Length = "0", "thickness of the template sheet", "sheet_gauge", "sheet_thickness", "k";
    }
    rules { one_of(run_od, run_radius); one_of(branch_od, branch_radius); }
    gives CopeAnswer {
        azimuth: Vec<Angle>, "azimuth from the acute side", "0 to 180 deg by step", SADDLE;
        position: Vec<Length>, "place on the sheet from the acute side", "(branch_od / 2 + sheet / 2) q",
            SHEET => .style(GAUGE);
        reach: Vec<Length>, "along the branch from the crossing of the axes",
            "sqrt(R^2 - r^2 sin^2 q) / sin b + r cos q / tan b",
            SADDLE => .range("branch not larger than the run, 30 to 90 deg").style(GAUGE);
        cut_back: Vec<Length>, "cut-back from the longest line", "reach at 0 deg - reach", SADDLE => .style(GAUGE);
        depth: Length, "depth of the cope", "longest - shortest reach", SADDLE => .style(GAUGE);
        girth: Length, "girth of the sheet", "pi (branch_od + sheet)", SHEET => .style(GAUGE);
        radius: Length, "radius the cut is laid out at", "branch_od / 2, less the wall for inside contact",
            CONTACT => .style(GAUGE);
    }
    example "run_od=\"76.2 mm\" branch_od=\"50.8 mm\" angle=\"60 deg\"";
    by cope
}

fn cope(given: &CopeCut, answer: &mut CopeAnswer) -> Result<(), Trouble> {
    let radius = |od: &Read<Option<Length>>, radius: &Read<Option<Length>>| match **radius {
        Some(radius) => Ok(radius),
        None => od.need().map(|od| od / 2.0),
    };
    let run = radius(&given.run_od, &given.run_radius)?;
    let outside = radius(&given.branch_od, &given.branch_radius)?;
    let angle = *given.angle;
    let branch = if *given.contact == Contact::Inside {
        positive("branch inside radius", outside - given.wall.need()?)?
    } else {
        outside
    };
    if branch.si() > run.si() * (1.0 + 1e-12) {
        return Err(Trouble::impossible(
            "the branch is larger than the run, so there is no full saddle",
            "swap run_od and branch_od, or use a smaller branch",
        ));
    }
    let cope = Cope { run, branch, angle };
    let azimuths = azimuths(given);
    let sheet = *given.sheet;
    let longest = cope.reach(Angle::from_si(0.0));
    let developed = outside + sheet / 2.0;
    answer.azimuth.list(azimuths.iter().copied());
    answer.position.list(azimuths.iter().map(|q| developed * q.si()));
    answer.reach.list(azimuths.iter().map(|q| cope.reach(*q)));
    answer.cut_back.list(azimuths.iter().map(|q| longest - cope.reach(*q)));
    answer.depth.put(longest - cope.least_reach());
    answer.girth.put(developed * (2.0 * std::f64::consts::PI));
    answer.radius.put(branch);
    Ok(())
}

/// The azimuths asked for, or every step of a half turn.
fn azimuths(given: &CopeCut) -> Vec<Angle> {
    if !given.azimuths.is_empty() {
        return given.azimuths.to_vec();
    }
    let step = given.step.to(unit::DEG);
    let mut angles: Vec<f64> = (0..).map(|i| f64::from(i) * step).take_while(|q| *q < 180.0 - 1e-6).collect();
    angles.push(180.0);
    angles.into_iter().map(|q| Angle::of(q, unit::DEG)).collect()
}
