//! How unevenly one universal joint turns.

use super::universal::{
    acceleration, angle_of_nonuniformity, lead, nonuniformity, output_at, peak, ratio_at,
};
use crate::figure::prelude::*;
use crate::figure::usual::SHAFT_SPEED;

const CROSS: Source = Source::derived(
    "single universal joint, yoke angle from the plane of the shafts",
    "3-D cross mechanism built from vectors, differentiated over one turn",
);

family! {
    pub JOINT_MOTION = "joint-motion" in Geometry:
        "speed ratio, unevenness and acceleration of one universal joint, or its angle from a fluctuation";
    also "velocity-ratio", "speed-ratio", "torsional-vibration", "u-joint", "universal-joint", "single-joint";
    reads JointMotion {
        optional angle: Angle in within(0.0, 60.0, unit::DEG, CROSS), "joint angle", "operating_angle",
            "working_angle", "joint_angle", "b", "beta";
        optional fluctuation: Percent, "instead: greatest minus least speed over input speed", "nonuniformity", "u",
            "total_fluctuation";
        optional fluctuation_speed: RotationSpeed in ABOVE_ZERO.usually(0.5, 1000.0, unit::RPM), "instead: greatest minus least output speed",
            "total_fluctuation_speed", "speed_range", "fluctuation_rpm", "speed_fluctuation", "fluctuation";
        optional speed: RotationSpeed in SHAFT_SPEED, "input speed", "rpm", "input_speed", "w", "n", "n1";
        optional yoke: Angle, "input yoke angle from the plane of the shafts", "position", "rotation", "fork_angle",
            "theta", "phi", "q", "yoke_angle", "input_angle", "phi1";
    }
    rules { one_of(angle, fluctuation, fluctuation_speed); needs(fluctuation_speed, speed); }
    gives JointMotionAnswer {
        joint_angle: Angle, "joint angle", "as given, or acos((sqrt(U^2 + 4) - U) / 2)", CROSS => .style(FINE_ANGLE);
        ratio_max: Number, "greatest speed ratio", "1 / cos B", CROSS => .style(HUNDRED_THOUSANDTH);
        ratio_min: Number, "least speed ratio", "cos B", CROSS => .style(HUNDRED_THOUSANDTH);
        nonuniformity: Number, "non-uniformity", "sin B tan B", CROSS => .style(HUNDRED_THOUSANDTH);
        peak_ratio: Number, "peak acceleration over speed squared, exact",
            "cos B sin^2 B sin 2q / (1 - sin^2 B cos^2 q)^2 at peak_at", CROSS => .style(HUNDRED_THOUSANDTH);
        peak_at: Angle, "yoke angle of the peak acceleration",
            "cos 2q = [-(1 - k/2) + sqrt((1 - k/2)^2 + 2 k^2)] / k, k = sin^2 B", CROSS => .style(FINE_ANGLE);
        small_angle_ratio: Number, "peak acceleration over speed squared, small angles", "B^2 in radians",
            CROSS => .range("small joint angles; 0.5 % low at 10 deg, 7 % low at 30 deg").style(HUNDRED_THOUSANDTH);
        lead: Angle, "greatest lead or lag", "atan((1 - cos B) / (2 sqrt(cos B)))", CROSS => .style(FINE_ANGLE);
        speed_max: RotationSpeed, "greatest output speed", "speed / cos B", CROSS => .style(FINE_RPM);
        speed_min: RotationSpeed, "least output speed", "speed x cos B", CROSS => .style(FINE_RPM);
        peak_acceleration: AngularAcceleration, "peak acceleration of the output, exact", "peak_ratio x speed^2",
            CROSS;
        small_angle_acceleration: AngularAcceleration, "peak acceleration of the output, small angles",
            "B^2 x speed^2", CROSS;
        ratio: Number, "speed ratio at the yoke angle", "cos B / (1 - sin^2 B cos^2 q)", CROSS => .style(HUNDRED_THOUSANDTH);
        output_speed: RotationSpeed, "output speed at the yoke angle", "ratio x speed", CROSS => .style(FINE_RPM);
        output_yoke: Angle, "output yoke angle", "tan out = tan q / cos B", CROSS => .style(FINE_ANGLE);
        yoke_acceleration_ratio: Number, "acceleration over speed squared at the yoke angle",
            "- cos B sin^2 B sin 2q / (1 - sin^2 B cos^2 q)^2", CROSS => .style(HUNDRED_THOUSANDTH);
        yoke_acceleration: AngularAcceleration, "acceleration of the output at the yoke angle",
            "yoke_acceleration_ratio x speed^2", CROSS;
        equal_at: Angle, "yoke angle at which input and output turn equally fast", "tan q = sqrt(cos B)",
            CROSS => .style(FINE_ANGLE);
    }
    example "angle=\"10 deg\" speed=\"2000 rpm\"";
    by joint_motion
}

fn joint_motion(given: &JointMotion, answer: &mut JointMotionAnswer) -> Result<()> {
    let speed = *given.speed;
    let joint = joint(given, speed)?;
    let c = math::cos(joint);
    let (peak_ratio, peak_at) = peak(joint);
    let small = Number::from_si(joint.si() * joint.si());
    answer.joint_angle.put(joint);
    answer.ratio_max.put(Number::from_si(1.0 / c));
    answer.ratio_min.put(Number::from_si(c));
    answer.nonuniformity.put(nonuniformity(joint));
    answer.peak_ratio.put(peak_ratio);
    answer.peak_at.put(peak_at);
    answer.small_angle_ratio.put(small);
    answer.lead.put(lead(joint));
    if let Some(speed) = speed {
        answer.speed_max.put(speed / c);
        answer.speed_min.put(speed * c);
        answer.peak_acceleration.put(acceleration(peak_ratio, speed));
        answer.small_angle_acceleration.put(acceleration(small, speed));
    }
    if let Some(yoke) = *given.yoke {
        let ratio = ratio_at(joint, yoke);
        answer.ratio.put(ratio);
        answer.output_speed.put_some(speed.map(|speed| speed * ratio.si()));
        answer.output_yoke.put(output_at(joint, yoke));
        let s = math::sin(joint);
        let at_yoke = Number::from_si(-ratio.si() * ratio.si() * s * s * math::sin(yoke * 2.0) / c);
        answer.yoke_acceleration_ratio.put(at_yoke);
        answer.yoke_acceleration.put_some(speed.map(|speed| acceleration(at_yoke, speed)));
    }
    answer.equal_at.put(math::atan(c.sqrt()));
    Ok(())
}

/// The joint angle, given or from a fluctuation.
fn joint(given: &JointMotion, speed: Option<RotationSpeed>) -> Result<Angle> {
    let angle = *given.angle;
    let share = *given.fluctuation;
    let swing = *given.fluctuation_speed;
    let share = match (angle, share, swing) {
        (Some(angle), None, None) => return Ok(Angle::from_si(angle.si().abs())),
        (None, None, Some(swing)) => swing.si() / speed.ok_or_else(|| Trouble::Missing(vec!["speed"]))?.si(),
        _ => given.fluctuation.need()?.si(),
    };
    (!(0.0..=1.5).contains(&share)).refuse(
        "the fluctuation is outside 0 to 150 % of the input speed",
        "give the whole swing, greatest minus least",
    )?;
    Ok(angle_of_nonuniformity(Number::from_si(share)))
}
