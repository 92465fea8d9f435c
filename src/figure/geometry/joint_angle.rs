//! The true angle of a joint from side and plan views.

use super::axis::between;
use crate::figure::{Answer, Declared, Family, Given, Group, Input, Output, Trouble, given};
use crate::quantity::show::FINE_ANGLE;
use crate::quantity::{Angle, Dimensioned, Kind, Length, math, unit};
use crate::source::Source;

const TRUE_ANGLE: Source = Source::derived(
    "angle of two directions from their side and plan angles",
    "cross product and 30-digit scalar product",
);
const RSS: Source = Source::practice("compound angle is the root of the sum of squares");
const OFFSETS: Source = Source::derived("slope of a shaft from its offsets", "right triangle");

/// True joint angle.
pub static JOINT_ANGLE: Family = Family {
    name: "joint-angle",
    declared: Declared::OLD,
    group: Group::Geometry,
    title: "true angle of a universal joint from side and plan angles, or from offsets of the shaft",
    inputs: &[
        Input::optional("side", Kind::Angle, "side-view angle of the shaft, up positive").also(&[
            "side_2",
            "shaft_side_angle",
            "b_side_angle",
            "vertical",
            "side_difference",
            "side_b",
            "shaft_side",
            "b_side",
            "side_angle",
        ]),
        Input::optional("plan", Kind::Angle, "plan angle of the shaft, left positive").also(&[
            "plan_2",
            "horizontal",
            "plan_difference",
            "plan_b",
            "shaft_plan",
            "b_plan",
            "plan_angle",
            "top",
            "top_view",
        ]),
        Input::defaulted("other_side", Kind::Angle, "0", "side-view angle of the other member, up positive")
            .also(&["side_1", "a_side_angle", "side_a", "a_side", "pinion_side", "output_side"]),
        Input::defaulted("other_plan", Kind::Angle, "0", "plan angle of the other member, left positive")
            .also(&["plan_1", "plan_a", "a_plan", "pinion_plan", "output_plan"]),
        Input::optional("rise", Kind::Length, "instead of side: rise of the shaft between its joints"),
        Input::optional(
            "offset",
            Kind::Length,
            "instead of plan: sideways offset of the shaft between its joints",
        )
        .also(&["plan_offset", "offset_difference"]),
        Input::optional("run", Kind::Length, "level distance of the joints along the vehicle")
            .also(&["distance", "longitudinal"]),
        Input::optional("shaft_length", Kind::Length, "instead of run: length of the shaft itself")
            .also(&["length"]),
    ],
    outputs: &[
        Output::new(
            "side_angle",
            "side angle of the shaft",
            Kind::Angle,
            "side, or atan(rise / run)",
            OFFSETS,
        )
        .style(FINE_ANGLE),
        Output::new(
            "plan_angle",
            "plan angle of the shaft",
            Kind::Angle,
            "plan, or atan(offset / run)",
            OFFSETS,
        )
        .style(FINE_ANGLE),
        Output::new(
            "plan_angle_by_length",
            "plan angle taken over the shaft length",
            Kind::Angle,
            "asin(offset / shaft_length)",
            OFFSETS,
        )
        .range("shaft length as divisor; the sine belongs to it, not the tangent")
        .style(FINE_ANGLE),
        Output::new(
            "joint_angle",
            "true joint angle",
            Kind::Angle,
            "angle between (1, tan plan, tan side) of both members",
            TRUE_ANGLE,
        )
        .style(FINE_ANGLE),
        Output::new(
            "joint_angle_rss",
            "joint angle by root-sum-square, comparison only",
            Kind::Angle,
            "sqrt((side - other_side)^2 + (plan - other_plan)^2)",
            RSS,
        )
        .range("small angles; reads high")
        .style(FINE_ANGLE),
        Output::new(
            "rss_excess",
            "root-sum-square minus true",
            Kind::Angle,
            "joint_angle_rss - joint_angle",
            RSS,
        )
        .style(FINE_ANGLE),
    ],
    example: "side=\"2.5 deg\" plan=\"2.15 deg\"",
    run: joint_angle,
};

fn joint_angle(given: &Given, answer: &mut Answer) -> Result<(), Trouble> {
    let zero = Angle::from_si(0.0);
    let (side, plan) = shaft_angles(given)?;
    let other_side: Angle = given.or("other_side", zero)?;
    let other_plan: Angle = given.or("other_plan", zero)?;
    for (name, angle) in
        [("side", side), ("plan", plan), ("other_side", other_side), ("other_plan", other_plan)]
    {
        given::within(name, angle, unit::DEG, -80.0..=80.0, TRUE_ANGLE)?;
    }
    answer.put("side_angle", side);
    answer.put("plan_angle", plan);
    if let (Some(offset), Some(length)) =
        (given.maybe::<Length>("offset")?, given.maybe::<Length>("shaft_length")?)
    {
        answer.put("plan_angle_by_length", math::asin(offset.si() / length.si()));
    }
    let angle = true_angle(Views { side, plan }, Views { side: other_side, plan: other_plan });
    let rss = Angle::from_si(math::hypot((side - other_side).si(), (plan - other_plan).si()));
    answer.put("joint_angle", angle);
    answer.put("joint_angle_rss", rss);
    answer.put("rss_excess", rss - angle);
    if (rss - angle).to(unit::DEG) > 0.05 {
        answer.warn("The root-sum-square reads high here; use the true angle and do not correct it upward.");
    }
    if angle.to(unit::DEG) > 5.0 {
        answer.warn(
            "The joint works above 5 deg, a usual limit for a compound angle; check the speed with joint-chain.",
        );
    }
    Ok(())
}

/// Side and plan angle of the shaft, from angles or from offsets.
fn shaft_angles(given: &Given) -> Result<(Angle, Angle), Trouble> {
    let rise: Option<Length> = given.maybe("rise")?;
    let offset: Option<Length> = given.maybe("offset")?;
    let side: Option<Angle> = given.maybe("side")?;
    let plan: Option<Angle> = given.maybe("plan")?;
    if (side.is_some() && rise.is_some()) || (plan.is_some() && offset.is_some()) {
        return Err(Trouble::impossible(
            "an angle and an offset of the same view are both given",
            "give side or rise, and plan or offset",
        ));
    }
    if side.is_none() && plan.is_none() && rise.is_none() && offset.is_none() {
        return Err(Trouble::Missing(vec!["side", "plan"]));
    }
    let run = if rise.is_some() || offset.is_some() {
        match (given.maybe::<Length>("run")?, given.maybe::<Length>("shaft_length")?) {
            (Some(run), _) => Some(given::positive("run", run)?),
            (None, Some(length)) => Some(run_of(length, rise, offset, side)?),
            (None, None) => return Err(Trouble::Missing(vec!["run", "shaft_length"])),
        }
    } else {
        None
    };
    let slope = |across: Option<Length>, angle: Option<Angle>| match (across, run) {
        (Some(across), Some(run)) => math::atan2(across.si(), run.si()),
        _ => angle.unwrap_or(Angle::from_si(0.0)),
    };
    Ok((slope(rise, side), slope(offset, plan)))
}

/// Run along the vehicle of a shaft of this length.
fn run_of(
    length: Length,
    rise: Option<Length>,
    offset: Option<Length>,
    side: Option<Angle>,
) -> Result<Length, Trouble> {
    let square = |l: Option<Length>| l.map_or(0.0, |l| l.si() * l.si());
    let left = length.si() * length.si() - square(rise) - square(offset);
    if left <= 0.0 {
        return Err(Trouble::impossible(
            "the shaft is shorter than its offsets",
            "check shaft_length, rise and offset",
        ));
    }
    // A slope given as an angle takes its share of the length too.
    let tilt = side.map_or(0.0, math::tan);
    Ok(Length::from_si((left / (1.0 + tilt * tilt)).sqrt()))
}

/// A direction by its two projected angles.
#[derive(Debug, Clone, Copy)]
pub struct Views {
    /// In the side view, up positive.
    pub side: Angle,
    /// In the plan view, left positive.
    pub plan: Angle,
}

/// Exact angle between two members.
#[must_use]
pub fn true_angle(one: Views, other: Views) -> Angle {
    let direction = |v: Views| [1.0, math::tan(v.plan), math::tan(v.side)];
    between(direction(one), direction(other))
}
