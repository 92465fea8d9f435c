//! Cope of a round branch on a round run: where to cut a tube so that it sits
//! on another.

use crate::figure::{Answer, Declared, Family, Given, Group, Input, Need, Output, Trouble, given};
use crate::quantity::show::GAUGE;
use crate::quantity::{Angle, Dimensioned, Kind, Length, math, unit};
use crate::source::Source;

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

/// Cope template.
pub static COPE: Family = Family {
    name: "cope",
    declared: Declared::OLD,
    group: Group::Geometry,
    title: "cope template: cut-back of a tube end that sits on a round tube or housing",
    inputs: &[
        Input::optional("run_radius", Kind::Length, "outside radius of the run, instead of run_od")
            .also(&["R", "large_radius"]),
        Input::optional("branch_radius", Kind::Length, "outside radius of the branch, instead of branch_od")
            .also(&["r", "small_radius"]),
        Input::optional("run_od", Kind::Length, "outside diameter of the run").also(&[
            "run",
            "run_diameter",
            "main_od",
        ]),
        Input::optional("branch_od", Kind::Length, "outside diameter of the branch").also(&[
            "branch",
            "branch_diameter",
            "od",
        ]),
        Input::defaulted("angle", Kind::Angle, "90 deg", "angle between the axes").also(&["b"]),
        Input::optional("wall", Kind::Length, "wall of the branch; for contact inside")
            .also(&["branch_wall"]),
        Input::choice(
            "contact",
            &["outside", "inside"],
            Need::Default("outside"),
            "edge of the branch that shall touch the run",
        ),
        Input::defaulted("step", Kind::Angle, "15 deg", "spacing of the azimuths"),
        Input::list(
            "azimuths",
            Kind::Angle,
            Need::Optional,
            "azimuths from the acute side; 0 to 180 deg by step if absent",
        )
        .also(&["positions", "angles", "q", "azimuth"]),
        Input::defaulted("sheet", Kind::Length, "0", "thickness of the template sheet").also(&[
            "sheet_gauge",
            "sheet_thickness",
            "k",
        ]),
    ],
    outputs: &[
        Output::list("azimuth", "azimuth from the acute side", Kind::Angle, "0 to 180 deg by step", SADDLE),
        Output::list(
            "position",
            "place on the sheet from the acute side",
            Kind::Length,
            "(branch_od / 2 + sheet / 2) q",
            SHEET,
        )
        .style(GAUGE),
        Output::list(
            "reach",
            "along the branch from the crossing of the axes",
            Kind::Length,
            "sqrt(R^2 - r^2 sin^2 q) / sin b + r cos q / tan b",
            SADDLE,
        )
        .range("branch not larger than the run, 30 to 90 deg")
        .style(GAUGE),
        Output::list(
            "cut_back",
            "cut-back from the longest line",
            Kind::Length,
            "reach at 0 deg - reach",
            SADDLE,
        )
        .style(GAUGE),
        Output::new("depth", "depth of the cope", Kind::Length, "longest - shortest reach", SADDLE)
            .style(GAUGE),
        Output::new("girth", "girth of the sheet", Kind::Length, "pi (branch_od + sheet)", SHEET)
            .style(GAUGE),
        Output::new(
            "radius",
            "radius the cut is laid out at",
            Kind::Length,
            "branch_od / 2, less the wall for inside contact",
            CONTACT,
        )
        .style(GAUGE),
    ],
    example: "run_od=\"76.2 mm\" branch_od=\"50.8 mm\" angle=\"60 deg\"",
    run: cope,
};

fn cope(given: &Given, answer: &mut Answer) -> Result<(), Trouble> {
    let run = radius(given, "run_od", "run_radius")?;
    let outside = radius(given, "branch_od", "branch_radius")?;
    let angle: Angle = given.or("angle", Angle::of(90.0, unit::DEG))?;
    given::within("angle", angle, unit::DEG, 30.0..=90.0, SADDLE)?;
    let branch = if given.maybe_word("contact")? == Some("inside") {
        given.require(&["wall"])?;
        given::positive(
            "branch inside radius",
            outside - given::positive("wall", given.need::<Length>("wall")?)?,
        )?
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
    let azimuths = azimuths(given)?;
    let sheet: Length = given.or("sheet", Length::from_si(0.0))?;
    let longest = cope.reach(Angle::from_si(0.0));
    let developed = outside + sheet / 2.0;
    answer.put_list("azimuth", azimuths.iter().copied());
    answer.put_list("position", azimuths.iter().map(|q| developed * q.si()));
    answer.put_list("reach", azimuths.iter().map(|q| cope.reach(*q)));
    answer.put_list("cut_back", azimuths.iter().map(|q| longest - cope.reach(*q)));
    answer.put("depth", longest - cope.least_reach());
    answer.put("girth", developed * (2.0 * std::f64::consts::PI));
    answer.put("radius", branch);
    Ok(())
}

/// A radius, given as such or as a diameter.
fn radius(given: &Given, diameter: &'static str, radius: &'static str) -> Result<Length, Trouble> {
    match (given.maybe::<Length>(diameter)?, given.maybe::<Length>(radius)?) {
        (Some(_), Some(_)) => {
            Err(Trouble::impossible(format!("{diameter} and {radius} are both given"), "give one of them"))
        }
        (Some(size), None) => Ok(given::positive(diameter, size)? / 2.0),
        (None, Some(size)) => given::positive(radius, size),
        (None, None) => Err(Trouble::Missing(vec![diameter])),
    }
}

fn azimuths(given: &Given) -> Result<Vec<Angle>, Trouble> {
    let list: Vec<Angle> = given.list("azimuths")?;
    if !list.is_empty() {
        return Ok(list);
    }
    let step: Angle = given.or("step", Angle::of(15.0, unit::DEG))?;
    given::within("step", step, unit::DEG, 1.0..=90.0, SADDLE)?;
    let step = step.to(unit::DEG);
    let mut angles: Vec<f64> = (0..).map(|i| f64::from(i) * step).take_while(|q| *q < 180.0 - 1e-6).collect();
    angles.push(180.0);
    Ok(angles.into_iter().map(|q| Angle::of(q, unit::DEG)).collect())
}
