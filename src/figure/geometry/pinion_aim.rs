//! Where the pinion must point, with its hypoid offset.

use super::End;
use super::pinion::{Pinion, aim_broken_back, aim_parallel, aim_pointed, joint_centre, shaft};
use crate::figure::prelude::*;

const AIM: Source = Source::derived(
    "joint centre of the pinion on its axis, offset from the axle",
    "bracketed root of the collinearity or equality condition",
);
const TURN: Source = Source::derived(
    "caster follows the housing one for one until the knuckles are cut",
    "3-D rotation matrices",
);

words! {
    /// Pointed: double joint at the flange, pinion aimed at it.
    pub Joints {
        Pointed = "pointed" | "double-cardan" | "double-joint" | "double" | "cv" | "constant-velocity",
        Parallel = "parallel" | "single" | "two-single" | "z",
        BrokenBack = "broken-back" | "intersecting" | "w",
    }
}

family! {
    pub PINION_AIM = "pinion-aim" in Geometry:
        "pinion angle, shaft length and turn of the housing for a layout of joints";
    also "hypoid-offset", "pinion", "pinion-angle", "pinion-setting", "driveline-angle";
    reads PinionAim {
        required reach: Length in ABOVE_ZERO, "axle centre to flange joint centre, level, toward the flange", "x",
            "run", "horizontal", "dx";
        required rise: Length, "flange joint centre above the axle centre", "z", "height", "vertical", "dz";
        default offset: Length = "0", "pinion axis above (+) or below (-) the axle axis, square to it", "h",
            "hypoid_offset", "hypoid";
        optional pinion: Length in ABOVE_ZERO,
            "along the pinion axis, from abreast of the axle axis to the pinion joint centre; a straight pointed shaft has its angle without it",
            "p", "pinion_length", "pinion_joint";
        default layout: Joints = Pointed,
            "pointed: double joint at the flange, pinion aimed at it; parallel or broken-back: two single joints",
            "joints", "type", "joint_type", "shaft_type", "kind";
        default below: Angle = "0" in within(-20.0, 20.0, unit::DEG, AIM),
            "pointed: pinion set below the shaft at rest, for wind-up", "down", "below_shaft", "pinion_below",
            "pinion_down", "set_below", "offset_angle", "d", "allowance", "wind_up_allowance";
        optional output_slope: Angle in within(-45.0, 45.0, unit::DEG, AIM),
            "slope of the output shaft, same sign as the pinion angle", "transfer_case_angle", "transfer_angle",
            "output_shaft_angle", "output_shaft", "output", "output_angle", "case_slope", "slope";
        optional axle: End, "axle worked on; front gives the caster change, and wind_up turns a front and a rear one opposite ways";
        optional old_angle: Angle, "pinion angle now; gives the turn of the housing", "pinion_angle_old",
            "angle_now", "current_angle", "pinion_now";
        optional old_rise: Length, "rise before, pinion then set by the same layout", "rise_old", "z_old", "old_z";
        optional old_reach: Length, "reach before, if it changed too", "reach_old", "x_old", "old_x";
        optional wind_up: Angle in within(0.0, 20.0, unit::DEG, AIM),
            "turn of the housing under drive, without sign", "windup";
    }
    rules { needs(wind_up, pinion, axle); }
    gives PinionAimAnswer {
        pinion_angle: Angle, "pinion angle, nose up positive",
            "pointed: b - d - asin((h cos d - p sin d) / R), R = hypot(reach, rise), b = atan2(rise, reach)",
            AIM => .range("rigid housing, side view").style(ANGLE);
        pinion_angle_no_offset: Angle, "pinion angle if the offset were ignored, comparison only",
            "the same with offset 0", AIM => .style(ANGLE);
        shaft_slope: Angle, "slope of the shaft", "slope from the pinion joint centre to the flange joint centre",
            AIM => .style(ANGLE);
        shaft_length: Length, "shaft length, joint centre to joint centre",
            "distance of the joint centres; sqrt(R^2 - h^2) - p if pointed straight", AIM => .style(TAPE);
        pinion_joint: Angle, "angle of the pinion joint", "|shaft_slope - pinion_angle|", AIM => .style(FINE_ANGLE);
        flange_joint: Angle, "angle of the joint at the flange", "|shaft_slope - output_slope|",
            AIM => .style(FINE_ANGLE);
        old_pinion_angle: Angle, "pinion angle before", "as given, or from the old rise", AIM => .style(ANGLE);
        housing_turn: Angle, "turn of the housing, nose up positive", "pinion_angle - old_pinion_angle",
            TURN => .style(ANGLE);
        caster_change: Angle, "change of caster with knuckles uncut", "front axle: - housing_turn",
            TURN => .range("front axle, pinion behind the axle").style(ANGLE);
        driving_joint: Angle, "angle of the pinion joint under drive",
            "|slope of the shaft - pinion angle| with the housing turned by wind_up, nose up on a rear axle, down on a front",
            AIM => .style(FINE_ANGLE);
    }
    example "reach=\"28 in\" rise=\"9.5 in\" offset=\"1.5 in\" pinion=\"11 in\" layout=pointed";
    by pinion_aim
}

/// The layout with the angle it needs.
#[derive(Debug, Clone, Copy)]
enum Layout {
    Pointed { below: Angle },
    Parallel { output: Angle },
    BrokenBack { output: Angle },
}

fn aim(layout: Layout, pinion: Pinion) -> Result<Angle> {
    match layout {
        Layout::Pointed { below } => aim_pointed(pinion, below),
        Layout::Parallel { output } => Ok(aim_parallel(output)),
        Layout::BrokenBack { output } => aim_broken_back(pinion, output),
    }
}

fn pinion_aim(given: &PinionAim, answer: &mut PinionAimAnswer) -> Result<()> {
    let pinion = *given.pinion;
    let place = Pinion {
        reach: *given.reach,
        rise: *given.rise,
        offset: *given.offset,
        pinion: pinion.unwrap_or(Length::from_si(0.0)),
    };
    let below = *given.below;
    let layout = match *given.layout {
        Joints::Pointed => Layout::Pointed { below },
        Joints::Parallel => Layout::Parallel { output: given.output_slope.need()? },
        Joints::BrokenBack => Layout::BrokenBack { output: given.output_slope.need()? },
    };
    let pointed = *given.layout == Joints::Pointed;
    (!pointed && below.si() != 0.0).refuse(
        "an allowance below the shaft belongs to the pointed layout",
        "leave out below, or choose layout=pointed",
    )?;
    let straight = pointed && below.si() == 0.0;
    if !straight {
        given.pinion.need()?;
    }
    let angle = aim(layout, place)?;
    let line = shaft(place, angle);
    answer.pinion_angle.put(angle);
    answer.pinion_angle.formula(match layout {
        Layout::Pointed { .. } => {
            "b - d - asin((h cos d - p sin d) / R), R = hypot(reach, rise), b = atan2(rise, reach)"
        }
        Layout::Parallel { .. } => "output_slope",
        Layout::BrokenBack { .. } => "root of (shaft slope - output_slope) = (pinion angle - shaft slope)",
    });
    let bare = Pinion { offset: Length::from_si(0.0), ..place };
    if place.offset.si() != 0.0
        && let Ok(ignored) = aim(layout, bare)
    {
        answer.pinion_angle_no_offset.put(ignored);
    }
    answer.shaft_slope.put(line.slope);
    if pinion.is_some() {
        answer.shaft_length.put(line.length);
    } else {
        answer.warn("Without pinion the length of the shaft is left out.");
    }
    let joint = (line.slope - angle).abs();
    answer.pinion_joint.put(joint);
    let flange = given.output_slope.map(|o| (line.slope - o).abs());
    answer.flange_joint.put_some(flange);
    let axle = *given.axle;
    turn(given, answer, (layout, place), angle, axle)?;
    if let Some(wind_up) = *given.wind_up {
        // The same drive torque turns both housings with the top rearward.
        let driven = if axle == Some(End::Front) { angle - wind_up } else { angle + wind_up };
        let line = shaft(place, driven);
        answer.driving_joint.put((line.slope - driven).abs());
    }
    if axle == Some(End::Front) && below.si() > 0.0 {
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

/// Turn of the housing from the old angle, and what it does to caster.
fn turn(
    given: &PinionAim,
    answer: &mut PinionAimAnswer,
    (layout, place): (Layout, Pinion),
    angle: Angle,
    axle: Option<End>,
) -> Result<()> {
    let old: Angle = if let Some(old) = *given.old_angle {
        old
    } else if given.old_rise.given() || given.old_reach.given() {
        let before = Pinion {
            rise: given.old_rise.unwrap_or(place.rise),
            reach: given.old_reach.unwrap_or(place.reach),
            ..place
        };
        aim(layout, before)?
    } else {
        return Ok(());
    };
    let turn = angle - old;
    answer.old_pinion_angle.put(old);
    answer.housing_turn.put(turn);
    // Only a steered axle has a caster to lose.
    if axle != Some(End::Front) {
        return Ok(());
    }
    answer.caster_change.put(-turn);
    if turn.si() > 0.0 {
        answer.warn(format!(
            "On a front axle caster falls by the same {} until the knuckles are cut and turned back.",
            ANGLE.shop(turn.into())
        ));
    }
    Ok(())
}
