//! How unevenly one universal joint turns.

use super::universal::{
    acceleration, angle_of_nonuniformity, lead, nonuniformity, output_at, peak, ratio_at,
};
use crate::figure::{Answer, Declared, Family, Given, Group, Input, Output, Trouble, given};
use crate::quantity::show::FINE_ANGLE;
use crate::quantity::{Angle, Dimensioned, Form, Kind, Number, Percent, RotationSpeed, Style, math, unit};
use crate::source::Source;

const CROSS: Source = Source::derived(
    "single universal joint, yoke angle from the plane of the shafts",
    "3-D cross mechanism built from vectors, differentiated over one turn",
);
const FINE: Style = Style::single(Form::decimal(unit::ONE, 0.000_01));
const RPM: Style = Style::single(Form::decimal(unit::RPM, 0.1));

/// Motion of a single universal joint.
pub static JOINT_MOTION: Family = Family {
    name: "joint-motion",
    declared: Declared::OLD,
    group: Group::Geometry,
    title: "speed ratio, unevenness and acceleration of one universal joint, or its angle from a fluctuation",
    inputs: &[
        Input::optional("angle", Kind::Angle, "joint angle").also(&[
            "operating_angle",
            "working_angle",
            "joint_angle",
            "b",
            "beta",
        ]),
        Input::optional("fluctuation", Kind::Percent, "instead: greatest minus least speed over input speed")
            .also(&["nonuniformity", "u", "total_fluctuation"]),
        Input::optional(
            "fluctuation_speed",
            Kind::RotationSpeed,
            "instead: greatest minus least output speed",
        )
        .also(&["total_fluctuation_speed", "speed_range", "fluctuation_rpm", "speed_fluctuation"]),
        Input::optional("speed", Kind::RotationSpeed, "input speed").also(&["rpm", "input_speed", "w", "n"]),
        Input::optional("yoke", Kind::Angle, "input yoke angle from the plane of the shafts").also(&[
            "position",
            "rotation",
            "fork_angle",
            "theta",
            "phi",
            "q",
            "yoke_angle",
            "input_angle",
        ]),
    ],
    outputs: &[
        Output::new(
            "joint_angle",
            "joint angle",
            Kind::Angle,
            "as given, or acos((sqrt(U^2 + 4) - U) / 2)",
            CROSS,
        )
        .style(FINE_ANGLE),
        Output::new("ratio_max", "greatest speed ratio", Kind::Number, "1 / cos B", CROSS).style(FINE),
        Output::new("ratio_min", "least speed ratio", Kind::Number, "cos B", CROSS).style(FINE),
        Output::new("nonuniformity", "non-uniformity", Kind::Number, "sin B tan B", CROSS).style(FINE),
        Output::new(
            "peak_ratio",
            "peak acceleration over speed squared, exact",
            Kind::Number,
            "cos B sin^2 B sin 2q / (1 - sin^2 B cos^2 q)^2 at peak_at",
            CROSS,
        )
        .style(FINE),
        Output::new(
            "peak_at",
            "yoke angle of the peak acceleration",
            Kind::Angle,
            "cos 2q = [-(1 - k/2) + sqrt((1 - k/2)^2 + 2 k^2)] / k, k = sin^2 B",
            CROSS,
        )
        .style(FINE_ANGLE),
        Output::new(
            "small_angle_ratio",
            "peak acceleration over speed squared, small angles",
            Kind::Number,
            "B^2 in radians",
            CROSS,
        )
        .range("small joint angles; 0.5 % low at 10 deg, 7 % low at 30 deg")
        .style(FINE),
        Output::new(
            "lead",
            "greatest lead or lag",
            Kind::Angle,
            "atan((1 - cos B) / (2 sqrt(cos B)))",
            CROSS,
        )
        .style(FINE_ANGLE),
        Output::new("speed_max", "greatest output speed", Kind::RotationSpeed, "speed / cos B", CROSS)
            .style(RPM),
        Output::new("speed_min", "least output speed", Kind::RotationSpeed, "speed x cos B", CROSS)
            .style(RPM),
        Output::new(
            "peak_acceleration",
            "peak acceleration of the output, exact",
            Kind::AngularAcceleration,
            "peak_ratio x speed^2",
            CROSS,
        ),
        Output::new(
            "small_angle_acceleration",
            "peak acceleration of the output, small angles",
            Kind::AngularAcceleration,
            "B^2 x speed^2",
            CROSS,
        ),
        Output::new(
            "ratio",
            "speed ratio at the yoke angle",
            Kind::Number,
            "cos B / (1 - sin^2 B cos^2 q)",
            CROSS,
        )
        .style(FINE),
        Output::new(
            "output_speed",
            "output speed at the yoke angle",
            Kind::RotationSpeed,
            "ratio x speed",
            CROSS,
        )
        .style(RPM),
        Output::new("output_yoke", "output yoke angle", Kind::Angle, "tan out = tan q / cos B", CROSS)
            .style(FINE_ANGLE),
        Output::new(
            "yoke_acceleration_ratio",
            "acceleration over speed squared at the yoke angle",
            Kind::Number,
            "- cos B sin^2 B sin 2q / (1 - sin^2 B cos^2 q)^2",
            CROSS,
        )
        .style(FINE),
        Output::new(
            "yoke_acceleration",
            "acceleration of the output at the yoke angle",
            Kind::AngularAcceleration,
            "yoke_acceleration_ratio x speed^2",
            CROSS,
        ),
        Output::new(
            "equal_at",
            "yoke angle at which input and output turn equally fast",
            Kind::Angle,
            "tan q = sqrt(cos B)",
            CROSS,
        )
        .style(FINE_ANGLE),
    ],
    example: "angle=\"10 deg\" speed=\"2000 rpm\"",
    run: joint_motion,
};

fn joint_motion(given: &Given, answer: &mut Answer) -> Result<(), Trouble> {
    let speed: Option<RotationSpeed> = given.maybe("speed")?;
    if let Some(speed) = speed {
        given::positive("speed", speed)?;
    }
    let joint = joint(given, speed)?;
    given::within("angle", joint, unit::DEG, 0.0..=60.0, CROSS)?;
    let c = math::cos(joint);
    let (peak_ratio, peak_at) = peak(joint);
    let small = Number::from_si(joint.si() * joint.si());
    answer.put("joint_angle", joint);
    answer.put("ratio_max", Number::from_si(1.0 / c));
    answer.put("ratio_min", Number::from_si(c));
    answer.put("nonuniformity", nonuniformity(joint));
    answer.put("peak_ratio", peak_ratio);
    answer.put("peak_at", peak_at);
    answer.put("small_angle_ratio", small);
    answer.put("lead", lead(joint));
    if let Some(speed) = speed {
        answer.put("speed_max", speed / c);
        answer.put("speed_min", speed * c);
        answer.put("peak_acceleration", acceleration(peak_ratio, speed));
        answer.put("small_angle_acceleration", acceleration(small, speed));
    }
    if let Some(yoke) = given.maybe::<Angle>("yoke")? {
        let ratio = ratio_at(joint, yoke);
        answer.put("ratio", ratio);
        if let Some(speed) = speed {
            answer.put("output_speed", speed * ratio.si());
        }
        answer.put("output_yoke", output_at(joint, yoke));
        let s = math::sin(joint);
        let at_yoke = Number::from_si(-ratio.si() * ratio.si() * s * s * math::sin(yoke * 2.0) / c);
        answer.put("yoke_acceleration_ratio", at_yoke);
        if let Some(speed) = speed {
            answer.put("yoke_acceleration", acceleration(at_yoke, speed));
        }
    }
    answer.put("equal_at", math::atan(c.sqrt()));
    Ok(())
}

/// The joint angle, given or from a fluctuation.
fn joint(given: &Given, speed: Option<RotationSpeed>) -> Result<Angle, Trouble> {
    let angle: Option<Angle> = given.maybe("angle")?;
    let share: Option<Percent> = given.maybe("fluctuation")?;
    let swing: Option<RotationSpeed> = given.maybe("fluctuation_speed")?;
    let share = match (angle, share, swing) {
        (Some(angle), None, None) => return Ok(Angle::from_si(angle.si().abs())),
        (None, Some(share), None) => share.si(),
        (None, None, Some(swing)) => swing.si() / speed.ok_or_else(|| Trouble::Missing(vec!["speed"]))?.si(),
        (None, None, None) => {
            return Err(Trouble::Missing(vec!["angle", "fluctuation", "fluctuation_speed"]));
        }
        _ => {
            return Err(Trouble::impossible(
                "the joint angle is given twice",
                "give one of angle, fluctuation, fluctuation_speed",
            ));
        }
    };
    if !(0.0..=1.5).contains(&share) {
        return Err(Trouble::impossible(
            "the fluctuation is outside 0 to 150 % of the input speed",
            "give the whole swing, greatest minus least",
        ));
    }
    Ok(angle_of_nonuniformity(Number::from_si(share)))
}
