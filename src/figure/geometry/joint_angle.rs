//! The true angle of a joint from side and plan views.

use super::axis::between;
use crate::figure::prelude::*;

const TRUE_ANGLE: Source = Source::derived(
    "angle of two directions from their side and plan angles",
    "cross product and 30-digit scalar product",
);
const RSS: Source = Source::practice("compound angle is the root of the sum of squares");
const OFFSETS: Source = Source::derived("slope of a shaft from its offsets", "right triangle");

family! {
    pub JOINT_ANGLE = "joint-angle" in Geometry:
        "true angle of a universal joint from side and plan angles, or from offsets of the shaft";
    also "compound-angle", "working-angle", "true-joint-angle", "u-joint-angle", "plan-angle";
    reads JointAngle {
        optional side: Angle in within(-80.0, 80.0, unit::DEG, TRUE_ANGLE),
            "side-view angle of the shaft, up positive", "side_2", "shaft_side_angle", "b_side_angle", "vertical",
            "side_difference", "side_b", "shaft_side", "b_side", "side_angle", "vertical_angle", "a";
        optional plan: Angle in within(-80.0, 80.0, unit::DEG, TRUE_ANGLE), "plan angle of the shaft, left positive",
            "plan_2", "horizontal", "plan_difference", "plan_b", "shaft_plan", "b_plan", "plan_angle", "top",
            "top_view", "top_angle", "horizontal_angle", "beta";
        default other_side: Angle = "0" in within(-80.0, 80.0, unit::DEG, TRUE_ANGLE),
            "side-view angle of the other member, up positive", "side_1", "a_side_angle", "side_a", "a_side",
            "pinion_side", "output_side";
        default other_plan: Angle = "0" in within(-80.0, 80.0, unit::DEG, TRUE_ANGLE),
            "plan angle of the other member, left positive", "plan_1", "plan_a", "a_plan", "pinion_plan",
            "output_plan";
        optional rise: Length, "instead of side: rise of the shaft between its joints";
        optional offset: Length, "instead of plan: sideways offset of the shaft between its joints", "plan_offset",
            "offset_difference";
        optional run: Length in ABOVE_ZERO, "level distance of the joints along the vehicle", "distance",
            "longitudinal";
        optional shaft_length: Length in ABOVE_ZERO, "instead of run: length of the shaft itself", "length";
    }
    rules { some_of(side, plan, rise, offset); at_most_one(side, rise); at_most_one(plan, offset); }
    gives JointAngleAnswer {
        side_angle: Angle, "side angle of the shaft", "side, or atan(rise / run)", OFFSETS => .style(FINE_ANGLE);
        plan_angle: Angle, "plan angle of the shaft", "plan, or atan(offset / run)", OFFSETS => .style(FINE_ANGLE);
        plan_angle_by_length: Angle, "plan angle taken over the shaft length", "asin(offset / shaft_length)",
            OFFSETS => .range("shaft length as divisor; the sine belongs to it, not the tangent").style(FINE_ANGLE);
        joint_angle: Angle, "true joint angle", "angle between (1, tan plan, tan side) of both members",
            TRUE_ANGLE => .style(FINE_ANGLE);
        joint_angle_rss: Angle, "joint angle by root-sum-square, comparison only",
            "sqrt((side - other_side)^2 + (plan - other_plan)^2)",
            RSS => .range("small angles; reads high").style(FINE_ANGLE);
        rss_excess: Angle, "root-sum-square minus true", "joint_angle_rss - joint_angle", RSS => .style(FINE_ANGLE);
    }
    asked joint_angle;
    example "side=\"2.5 deg\" plan=\"2.15 deg\"";
    by joint_angle
}

fn joint_angle(given: &JointAngle, answer: &mut JointAngleAnswer) -> Result<()> {
    let (side, plan) = shaft_angles(given)?;
    let other_side = *given.other_side;
    let other_plan = *given.other_plan;
    answer.side_angle.put(side);
    answer.plan_angle.put(plan);
    if let (Some(offset), Some(length)) = (*given.offset, *given.shaft_length) {
        answer.plan_angle_by_length.put(math::asin(offset.si() / length.si()));
    }
    let angle = true_angle(Views { side, plan }, Views { side: other_side, plan: other_plan });
    let rss = Angle::from_si(math::hypot((side - other_side).si(), (plan - other_plan).si()));
    answer.joint_angle.put(angle);
    answer.joint_angle_rss.put(rss);
    answer.rss_excess.put(rss - angle);
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
fn shaft_angles(given: &JointAngle) -> Result<(Angle, Angle)> {
    let rise = *given.rise;
    let offset = *given.offset;
    let side = *given.side;
    let run = if rise.is_some() || offset.is_some() {
        match (*given.run, *given.shaft_length) {
            (Some(run), _) => Some(run),
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
    Ok((slope(rise, side), slope(offset, *given.plan)))
}

/// Run along the vehicle of a shaft of this length.
fn run_of(
    length: Length,
    rise: Option<Length>,
    offset: Option<Length>,
    side: Option<Angle>,
) -> Result<Length> {
    let square = |l: Option<Length>| l.map_or(0.0, |l| l.si() * l.si());
    let left = length.si() * length.si() - square(rise) - square(offset);
    (left <= 0.0).refuse("the shaft is shorter than its offsets", "check shaft_length, rise and offset")?;
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
