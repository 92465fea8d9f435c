//! Where the pinion must point, with its hypoid offset.

use super::pinion::{Pinion, aim_broken_back, aim_parallel, aim_pointed, joint_centre, shaft};
use crate::figure::{Answer, Declared, Family, Given, Group, Input, Need, Output, Trouble, given};
use crate::quantity::show::{ANGLE, FINE_ANGLE, TAPE};
use crate::quantity::{Angle, Dimensioned, Kind, Length, math, unit};
use crate::source::Source;

const AIM: Source = Source::derived(
    "joint centre of the pinion on its axis, offset from the axle",
    "bracketed root of the collinearity or equality condition",
);
const TURN: Source = Source::derived(
    "caster follows the housing one for one until the knuckles are cut",
    "3-D rotation matrices",
);

/// Pinion angle, shaft length and turn of the housing.
pub static PINION_AIM: Family = Family {
    name: "pinion-aim",
    declared: Declared::OLD,
    group: Group::Geometry,
    title: "pinion angle, shaft length and turn of the housing for a layout of joints",
    inputs: &[
        Input::required("reach", Kind::Length, "axle centre to flange joint centre, level, toward the flange")
            .also(&["x", "run", "horizontal"]),
        Input::required("rise", Kind::Length, "flange joint centre above the axle centre")
            .also(&["z", "height", "vertical"]),
        Input::defaulted("offset", Kind::Length, "0", "pinion axis above (+) or below (-) the axle axis, square to it")
            .also(&["h", "hypoid_offset", "hypoid"]),
        Input::optional(
            "pinion",
            Kind::Length,
            "along the pinion axis, from abreast of the axle axis to the pinion joint centre; a straight pointed shaft has its angle without it",
        )
        .also(&["p", "pinion_length", "pinion_joint"]),
        Input::choice(
            "layout",
            &["pointed", "parallel", "broken-back"],
            Need::Default("pointed"),
            "pointed: double joint at the flange, pinion aimed at it; parallel or broken-back: two single joints",
        ).also(&["joints", "type", "joint_type", "shaft_type", "kind"]),
        Input::defaulted("below", Kind::Angle, "0", "pointed: pinion set below the shaft at rest, for wind-up")
            .also(&["down", "below_shaft", "pinion_below", "pinion_down", "set_below", "offset_angle", "d", "allowance", "wind_up_allowance"]),
        Input::optional("output_slope", Kind::Angle, "slope of the output shaft, same sign as the pinion angle")
            .also(&["transfer_case_angle", "transfer_angle", "output_shaft_angle", "output_shaft", "output", "output_angle", "case_slope", "slope"]),
        Input::choice("axle", &["front", "rear"], Need::Optional, "axle worked on; front gives the caster change"),
        Input::optional("old_angle", Kind::Angle, "pinion angle now; gives the turn of the housing")
            .also(&["pinion_angle_old", "angle_now", "current_angle", "pinion_now"]),
        Input::optional("old_rise", Kind::Length, "rise before, pinion then set by the same layout")
            .also(&["rise_old", "z_old", "old_z"]),
        Input::optional("old_reach", Kind::Length, "reach before, if it changed too")
            .also(&["reach_old", "x_old", "old_x"]),
        Input::optional("wind_up", Kind::Angle, "turn of the housing under drive, without sign")
            .also(&["windup"]),
    ],
    outputs: &[
        Output::new(
            "pinion_angle",
            "pinion angle, nose up positive",
            Kind::Angle,
            "pointed: b - d - asin((h cos d - p sin d) / R), R = hypot(reach, rise), b = atan2(rise, reach)",
            AIM,
        )
        .range("rigid housing, side view")
        .style(ANGLE),
        Output::new(
            "pinion_angle_no_offset",
            "pinion angle if the offset were ignored, comparison only",
            Kind::Angle,
            "the same with offset 0",
            AIM,
        )
        .style(ANGLE),
        Output::new(
            "shaft_slope",
            "slope of the shaft",
            Kind::Angle,
            "slope from the pinion joint centre to the flange joint centre",
            AIM,
        )
        .style(ANGLE),
        Output::new(
            "shaft_length",
            "shaft length, joint centre to joint centre",
            Kind::Length,
            "distance of the joint centres; sqrt(R^2 - h^2) - p if pointed straight",
            AIM,
        )
        .style(TAPE),
        Output::new("pinion_joint", "angle of the pinion joint", Kind::Angle, "|shaft_slope - pinion_angle|", AIM)
            .style(FINE_ANGLE),
        Output::new(
            "flange_joint",
            "angle of the joint at the flange",
            Kind::Angle,
            "|shaft_slope - output_slope|",
            AIM,
        )
        .style(FINE_ANGLE),
        Output::new("old_pinion_angle", "pinion angle before", Kind::Angle, "as given, or from the old rise", AIM)
            .style(ANGLE),
        Output::new(
            "housing_turn",
            "turn of the housing, nose up positive",
            Kind::Angle,
            "pinion_angle - old_pinion_angle",
            TURN,
        )
        .style(ANGLE),
        Output::new(
            "caster_change",
            "change of caster with knuckles uncut",
            Kind::Angle,
            "front axle: - housing_turn",
            TURN,
        )
        .range("front axle, pinion behind the axle")
        .style(ANGLE),
        Output::new(
            "driving_joint",
            "angle of the pinion joint under drive",
            Kind::Angle,
            "|slope of the shaft - pinion angle| with the housing turned by wind_up, nose up on a rear axle, down on a front",
            AIM,
        )
        .style(FINE_ANGLE),
    ],
    example: "reach=\"28 in\" rise=\"9.5 in\" offset=\"1.5 in\" pinion=\"11 in\" layout=pointed",
    run: pinion_aim,
};

/// The layout with the angle it needs.
#[derive(Debug, Clone, Copy)]
enum Layout {
    Pointed { below: Angle },
    Parallel { output: Angle },
    BrokenBack { output: Angle },
}

fn aim(layout: Layout, pinion: Pinion) -> Result<Angle, Trouble> {
    match layout {
        Layout::Pointed { below } => aim_pointed(pinion, below),
        Layout::Parallel { output } => Ok(aim_parallel(output)),
        Layout::BrokenBack { output } => aim_broken_back(pinion, output),
    }
}

fn pinion_aim(given: &Given, answer: &mut Answer) -> Result<(), Trouble> {
    let pinion: Option<Length> =
        given.maybe("pinion")?.map(|pinion| given::positive("pinion", pinion)).transpose()?;
    let place = Pinion {
        reach: given::positive("reach", given.need("reach")?)?,
        rise: given.need("rise")?,
        offset: given.or("offset", Length::from_si(0.0))?,
        pinion: pinion.unwrap_or(Length::from_si(0.0)),
    };
    let below: Angle = given.or("below", Angle::from_si(0.0))?;
    given::within("below", below, unit::DEG, -20.0..=20.0, AIM)?;
    let output: Option<Angle> = given.maybe("output_slope")?;
    if let Some(slope) = output {
        given::within("output_slope", slope, unit::DEG, -45.0..=45.0, AIM)?;
    }
    let word = given.maybe_word("layout")?.unwrap_or("pointed");
    let layout = match (word, output) {
        ("parallel" | "broken-back", None) => return Err(Trouble::Missing(vec!["output_slope"])),
        ("parallel", Some(output)) => Layout::Parallel { output },
        ("broken-back", Some(output)) => Layout::BrokenBack { output },
        _ => Layout::Pointed { below },
    };
    if word != "pointed" && below.si() != 0.0 {
        return Err(Trouble::impossible(
            "an allowance below the shaft belongs to the pointed layout",
            "leave out below, or choose layout=pointed",
        ));
    }
    let straight = word == "pointed" && below.si() == 0.0;
    if pinion.is_none() && (!straight || given.has("wind_up")) {
        return Err(Trouble::Missing(vec!["pinion"]));
    }
    let angle = aim(layout, place)?;
    let line = shaft(place, angle);
    answer.put("pinion_angle", angle);
    answer.formula(
        "pinion_angle",
        match layout {
            Layout::Pointed { .. } => {
                "b - d - asin((h cos d - p sin d) / R), R = hypot(reach, rise), b = atan2(rise, reach)"
            }
            Layout::Parallel { .. } => "output_slope",
            Layout::BrokenBack { .. } => {
                "root of (shaft slope - output_slope) = (pinion angle - shaft slope)"
            }
        },
    );
    let bare = Pinion { offset: Length::from_si(0.0), ..place };
    if place.offset.si() != 0.0
        && let Ok(ignored) = aim(layout, bare)
    {
        answer.put("pinion_angle_no_offset", ignored);
    }
    answer.put("shaft_slope", line.slope);
    if pinion.is_some() {
        answer.put("shaft_length", line.length);
    } else {
        answer.warn("Without pinion the length of the shaft is left out.");
    }
    let joint = abs(line.slope - angle);
    answer.put("pinion_joint", joint);
    let flange = output.map(|o| abs(line.slope - o));
    if let Some(flange) = flange {
        answer.put("flange_joint", flange);
    }
    let axle = given.maybe_word("axle")?;
    turn(given, answer, (layout, place), angle, axle)?;
    if let Some(wind_up) = given.maybe::<Angle>("wind_up")? {
        given::within("wind_up", wind_up, unit::DEG, 0.0..=20.0, AIM)?;
        // The same drive torque turns both housings with the top rearward.
        let driven = if axle == Some("front") { angle - wind_up } else { angle + wind_up };
        let line = shaft(place, driven);
        answer.put("driving_joint", abs(line.slope - driven));
    }
    if axle == Some("front") && below.si() > 0.0 {
        answer.warn(
            "Drive lowers the nose of a front pinion, so an allowance below the shaft adds to the wind-up; \
             use it only if braking or reverse governs.",
        );
    }
    if !matches!(layout, Layout::Pointed { .. })
        && joint.to(unit::DEG).max(flange.map_or(0.0, |f| f.to(unit::DEG))) > 3.0
    {
        answer.warn(
            "Single joints above 3 deg must stay under the speed table of joint-chain; \
             if they do not, use the pointed layout with a double joint at the flange.",
        );
    }
    if math::cos(line.slope) <= 0.0 || joint_centre(place, angle)[0] >= place.reach.si() {
        answer.warn("The pinion joint stands beyond the flange joint; check reach and pinion.");
    }
    Ok(())
}

fn abs(angle: Angle) -> Angle {
    Angle::from_si(angle.si().abs())
}

/// Turn of the housing from the old angle, and what it does to caster.
fn turn(
    given: &Given,
    answer: &mut Answer,
    (layout, place): (Layout, Pinion),
    angle: Angle,
    axle: Option<&str>,
) -> Result<(), Trouble> {
    let old: Angle = if let Some(old) = given.maybe::<Angle>("old_angle")? {
        old
    } else if given.has("old_rise") || given.has("old_reach") {
        let before = Pinion {
            rise: given.or("old_rise", place.rise)?,
            reach: given.or("old_reach", place.reach)?,
            ..place
        };
        aim(layout, before)?
    } else {
        return Ok(());
    };
    let turn = angle - old;
    answer.put("old_pinion_angle", old);
    answer.put("housing_turn", turn);
    if axle == Some("rear") {
        return Ok(());
    }
    answer.put("caster_change", -turn);
    if turn.si() > 0.0 {
        answer.warn(format!(
            "On a front axle caster falls by the same {:.1} deg until the knuckles are cut and turned back.",
            turn.to(unit::DEG)
        ));
    }
    Ok(())
}
