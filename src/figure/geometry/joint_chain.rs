//! How unevenly several universal joints in a row turn, against the limits.

use super::driveline::{self, Joint};
use super::joint_angle::Views;
use super::universal::{
    ChainJoint, acceleration, equivalent_approximate, equivalent_exact, nonuniformity, peak, table_angle,
};
use crate::figure::prelude::*;
use crate::figure::usual::SHAFT_SPEED;

const CHAIN: Source = Source::derived(
    "joints in a row, each counted with the sign of its phase",
    "3-D cross mechanisms in a row; method of SAE AE-7, section 3.1.1",
);
const APPROXIMATE: Source =
    Source::handbook("SAE AE-7, Universal Joint and Driveshaft Design Manual", "section 3.1.1").from_memory();
const LIMITS: Source = Source::derived(
    "torsional limit 400 and inertial limit 1000 rad/s2",
    "every row of published tables of joint angle against speed, which encode them",
);
/// Public manual that prints the angles of a truck's shafts.
const ENDS: Source = Source::handbook(
    "US Army TM 5-4210-230-14&P-1, propeller shaft, installation",
    "yokes parallel within 1 deg of each other, joint angles equal and to 3 deg",
);
const RULES: Source = Source::handbook(
    "US Army TM 5-4210-230-14&P-1, propeller shaft, installation",
    "yokes parallel within 1 deg, joints equal and to 3 deg; 0.5 deg least is common practice of joint makers",
);
const UNEVEN: Source = Source::practice("a shaft as a whole as even as one joint at 3 deg, U 0.0027");
const TABLE: Source =
    Source::practice("one joint maker's table of angle against speed, parallel layout, not traceable here")
        .from_memory();
/// Yokes further apart than this are out of phase, degrees (common practice).
const PHASE: f64 = 2.0;
/// Greatest residual non-uniformity of a driveline.
const U_LIMIT: f64 = 0.0027;

family! {
    pub JOINT_CHAIN = "joint-chain" in Geometry:
        "equivalent angle and acceleration of two or more universal joints in a row, with limits";
    also "broken-back", "torsional-acceleration", "inertial-acceleration", "equivalent-angle", "joint-limits",
        "driveline";
    reads JointChain {
        many angles: Angle in within(0.0, 45.0, unit::DEG, CHAIN),
            "joint angles in order, input end first, all members in one plane", "joints", "joint_angles", "b",
            "beta";
        many sides: Angle in within(-60.0, 60.0, unit::DEG, CHAIN),
            "instead of angles: side-view slopes of the members in order, as output shaft, driveshaft, pinion",
            "slopes", "side", "side_angles";
        many plans: Angle in within(-60.0, 60.0, unit::DEG, CHAIN), "with sides: plan angles of the same members; none means all run straight ahead", "plan",
            "plan_angles";
        many signs: Number = "1, -1, 1, ... (each joint works against the one before)",
            "1 for a joint whose driving yoke stands like the first joint's, -1 for one turned a quarter", "phases",
            "senses", "sign", "phasing";
        many phase_error: Angle = "0", "error of each joint's phase; one value belongs to the last joint", "phase",
            "phase_errors", "out_of_phase";
        optional speed: RotationSpeed in SHAFT_SPEED, "shaft speed", "rpm", "w", "n";
        default torsional_limit: AngularAcceleration = "400 rad/s2" in ABOVE_ZERO.usually(100.0, 1000.0, unit::RAD_S2),
            "greatest torsional acceleration; 300 to 500 by application";
        default inertial_limit: AngularAcceleration = "1000 rad/s2" in ABOVE_ZERO.usually(100.0, 2500.0, unit::RAD_S2),
            "greatest acceleration of the shaft between the joints";
    }
    rules { one_of(angles, sides); needs(plans, sides); }
    gives JointChainAnswer {
        joint_angles: Vec<Angle>, "joint angles", "as given, or the angle between the directions of neighbours",
            CHAIN => .style(FINE_ANGLE);
        plane_turns: Vec<Angle>, "turn of each joint's plane against the first",
            "angle between the normals of neighbouring joint planes, added up along the shafts",
            CHAIN => .style(FINE_ANGLE);
        equivalent: Angle, "equivalent angle, exact",
            "cos Be = product of (cos Bi)^sign, inverted if above 1; with a phase error from the ratio over a turn",
            CHAIN => .style(FINE_ANGLE.up());
        equivalent_approx: Angle, "equivalent angle, trade approximation", "sqrt |sum of Bi^2 at twice the phase|",
            APPROXIMATE => .style(FINE_ANGLE.up());
        nonuniformity: Number, "non-uniformity of the whole chain", "sin Be tan Be", CHAIN => .style(HUNDRED_THOUSANDTH.up());
        nonuniformity_ok: bool, "non-uniformity within 0.0027", "nonuniformity <= 0.0027", UNEVEN;
        difference: Angle, "difference of the end joints", "|B first - B last|", ENDS => .style(FINE_ANGLE);
        rules_ok: bool, "shop rules for the angles met",
            "two joints or more; every joint at least 0.5 deg; the ends of a two-joint shaft equal within 1 deg, its yokes in phase within 2 deg; none above 3 deg or the speed table",
            RULES;
        table_limit: Angle, "greatest joint angle at this speed", "row of the speed table at or above the speed",
            TABLE => .range("two equal joints, up to 5000 rpm").style(FINE_ANGLE.down());
        speed_max: RotationSpeed, "greatest output speed", "speed / cos Be", CHAIN => .style(FINE_RPM);
        speed_min: RotationSpeed, "least output speed", "speed x cos Be", CHAIN => .style(FINE_RPM);
        torsional: AngularAcceleration, "torsional acceleration, form the limit belongs to",
            "speed^2 x equivalent_approx^2", APPROXIMATE;
        torsional_exact: AngularAcceleration, "torsional acceleration, exact peak",
            "speed^2 x peak of a single joint of the equivalent angle", CHAIN;
        torsional_ok: bool, "torsional acceleration within its limit", "torsional <= torsional_limit", LIMITS;
        inertial_drive: AngularAcceleration, "inertial acceleration of the shaft, drive", "speed^2 x B first^2",
            APPROXIMATE;
        inertial_coast: AngularAcceleration, "inertial acceleration of the shaft, coast", "speed^2 x B last^2",
            APPROXIMATE;
        inertial_ok: bool, "inertial accelerations within their limit", "both <= inertial_limit", LIMITS;
    }
    asked equivalent;
    example "angles=\"4 deg, 3 deg\" speed=\"3000 rpm\"";
    by joint_chain
}

fn joint_chain(given: &JointChain, answer: &mut JointChainAnswer) -> Result<()> {
    let joints = joints_given(given)?;
    let chain = chain(given, &joints)?;
    answer.joint_angles.list(chain.iter().map(|j| j.angle));
    if given.sides.given() {
        answer.plane_turns.list(joints.iter().map(|j| j.plane));
    }
    let (Some(first), Some(last)) = (chain.first(), chain.last()) else {
        return Err(Trouble::Missing(vec!["angles"]));
    };
    if chain.len() == 1 {
        answer.warn("Only one joint angle was read: separate the angles of a chain by commas. The rules for the angles are not judged on one joint.");
    }
    let equivalent = equivalent_exact(&chain);
    // Squares that cancel leave the noise of their last digit.
    let approximate = equivalent_approximate(&chain);
    let approximate = if approximate.si().abs() < 1e-7 { Angle::from_si(0.0) } else { approximate };
    let u = nonuniformity(equivalent);
    answer.equivalent.put(equivalent);
    answer.equivalent_approx.put(approximate);
    answer.nonuniformity.put(u);
    answer.nonuniformity_ok.judge(U_LIMIT - u.si(), true, false, false);
    if u.si() > U_LIMIT {
        answer.warn(
            "The non-uniformity is above 0.0027, an equivalent angle of about 3 deg; expect vibration.",
        );
    }
    let difference = Angle::from_si((first.angle.si() - last.angle.si()).abs());
    answer.difference.put(difference);
    let speed = *given.speed;
    // A row of a table has no ±: that of the highest speed stated is read.
    let table = match speed {
        Some(speed) => {
            table_angle((speed + RotationSpeed::from_si(2.0 * given.speed.uncertainty())).to(unit::RPM))
        }
        None => None,
    };
    let widest = (0..given.angles.len()).map(|at| given.angles.uncertainty_of(at)).fold(0.0, f64::max);
    let guard = Guard { joint: Angle::from_si(2.0 * widest), ends: answer.difference.expanded() };
    let ok = shop_rules(&chain, difference, (speed.is_some(), table), guard, answer);
    // A joint alone has no other to make up for it.
    if chain.len() > 1 || !ok {
        let phased = in_phase(given, &chain, answer);
        answer.rules_ok.put(ok && phased);
    }
    answer.table_limit.put_some(table.map(|limit| Angle::of(limit, unit::DEG)));
    answer.table_limit.fixed();
    if let Some(speed) = speed {
        at_speed(given, answer, (first.angle, last.angle), (equivalent, approximate), speed);
    }
    Ok(())
}

/// The figures that depend on speed.
fn at_speed(
    given: &JointChain,
    answer: &mut JointChainAnswer,
    (first, last): (Angle, Angle),
    (equivalent, approximate): (Angle, Angle),
    speed: RotationSpeed,
) {
    let square = |a: Angle| acceleration(Number::from_si(a.si() * a.si()), speed);
    let torsional_limit = *given.torsional_limit;
    let inertial_limit = *given.inertial_limit;
    let c = math::cos(equivalent);
    answer.speed_max.put(speed / c);
    answer.speed_min.put(speed * c);
    let torsional = square(approximate);
    answer.torsional.put(torsional);
    answer.torsional_exact.put(acceleration(peak(equivalent).0, speed));
    answer.torsional_ok.judge((torsional_limit - torsional).si(), true, false, false);
    if torsional > torsional_limit {
        answer.warn("The torsional acceleration is above its limit; bring the joint angles closer together.");
    }
    let (drive, coast) = (square(first), square(last));
    answer.inertial_drive.put(drive);
    answer.inertial_coast.put(coast);
    let inertial_ok = drive <= inertial_limit && coast <= inertial_limit;
    answer.inertial_ok.judge(
        (inertial_limit - drive).si().min((inertial_limit - coast).si()),
        true,
        false,
        false,
    );
    if !inertial_ok {
        answer.warn(
            "The inertial acceleration is above its limit; equal joints cancel the output but not this, \
             so use smaller angles or a double joint.",
        );
    }
}

/// What the stated uncertainty takes off the room to a limit.
#[derive(Clone, Copy)]
struct Guard {
    /// Expanded uncertainty (k = 2) of the angle of one joint.
    joint: Angle,
    /// The same of the difference of the end joints.
    ends: Angle,
}

/// Whether the yokes of a two-joint shaft in one plane stand in phase; in several
/// planes a turn of the yokes may be what makes up for the planes.
fn in_phase(given: &JointChain, chain: &[ChainJoint], answer: &mut JointChainAnswer) -> bool {
    let several = given.plans.iter().any(|p| p.si() != 0.0);
    let signs = given.signs.windows(2).any(|pair| pair[0].si() * pair[1].si() > 0.0);
    let turned = given.phase_error.iter().enumerate().any(|(at, e)| {
        e.to(unit::DEG).abs() + Angle::from_si(2.0 * given.phase_error.uncertainty_of(at)).to(unit::DEG)
            > PHASE + 1e-9
    });
    let good = several || chain.len() != 2 || !(signs || turned);
    if !good {
        answer.warn("The yokes of the shaft are out of phase: each joint then adds to the other instead of making up for it. Turn the slip joint until the yokes stand alike.");
    }
    good
}

/// The shop rules, each with its warning.
fn shop_rules(
    chain: &[ChainJoint],
    difference: Angle,
    (speed_known, table): (bool, Option<f64>),
    guard: Guard,
    answer: &mut JointChainAnswer,
) -> bool {
    let degrees = |a: Angle| a.to(unit::DEG);
    let mut ok = true;
    let mut complain = |text: &str| {
        ok = false;
        answer.warn(text);
    };
    if chain.iter().any(|j| degrees(j.angle - guard.joint) < 0.5 - 1e-9) {
        complain("A joint below 0.5 deg does not turn its needles; give it at least 0.5 deg.");
    }
    // The rule is for one shaft with a joint at each end.
    if chain.len() == 2 && degrees(difference + guard.ends) > 1.0 + 1e-9 {
        complain(if degrees(difference) > 1.0 + 1e-9 {
            "The end joints differ by more than 1 deg; set the pinion so that they agree."
        } else {
            "The end joints are not proven to agree within 1 deg: with the uncertainty stated they may differ by more. Measure them better."
        });
    }
    let largest = chain.iter().map(|j| degrees(j.angle + guard.joint)).fold(0.0, f64::max);
    match (speed_known, table) {
        (true, Some(limit)) if largest > 3.0 + 1e-9 && largest > limit + 1e-9 => {
            complain("A joint is above the greatest angle for this speed; lower the speed or the angle.");
        }
        (true, None) if largest > 3.0 + 1e-9 => {
            complain(
                "No published angle above 3 deg exists for this speed; keep every joint at 3 deg or less.",
            );
        }
        (false, _) if largest > 3.0 + 1e-9 => {
            complain("A joint is above 3 deg; give the speed to check it against the table.");
        }
        _ => {}
    }
    ok
}

/// The joints, from their angles or from the members they join.
fn joints_given(given: &JointChain) -> Result<Vec<Joint>> {
    let (angles, sides, plans) = (&*given.angles, &*given.sides, &*given.plans);
    let level = Angle::from_si(0.0);
    match (angles.is_empty(), sides.is_empty()) {
        (false, _) => {
            Ok(angles.iter().map(|a| Joint { angle: Angle::from_si(a.si().abs()), plane: level }).collect())
        }
        (true, _) if sides.len() < 2 || !(plans.is_empty() || plans.len() == sides.len()) => {
            Err(Trouble::impossible(
                format!(
                    "{} side angles and {} plan angles do not describe members",
                    sides.len(),
                    plans.len()
                ),
                "give at least two members, and for each a side angle and, if any, a plan angle",
            ))
        }
        (true, _) => {
            let members: Vec<Views> = sides
                .iter()
                .enumerate()
                .map(|(i, side)| Views { side: *side, plan: plans.get(i).copied().unwrap_or(level) })
                .collect();
            Ok(driveline::joints(&members))
        }
    }
}

/// Joints with their phases: a quarter turn for each sign of -1, the turn of
/// the joint's plane, and the error.
fn chain(given: &JointChain, joints: &[Joint]) -> Result<Vec<ChainJoint>> {
    let (signs, errors) = (&*given.signs, &*given.phase_error);
    let count = joints.len();
    if !signs.is_empty() && signs.len() != count {
        return Err(Trouble::impossible(
            format!("{count} joints but {} signs", signs.len()),
            "give one sign for each joint",
        ));
    }
    if errors.len() > count {
        return Err(Trouble::impossible(
            format!("{count} joints but {} phase errors", errors.len()),
            "give one phase error for each joint, or one for the last",
        ));
    }
    // A short list belongs to the last joints: the first is the reference.
    let missing = count - errors.len();
    let none = Angle::from_si(0.0);
    joints
        .iter()
        .enumerate()
        .map(|(i, joint)| {
            let plus = match signs.get(i) {
                Some(sign) if sign.si().abs() == 1.0 => sign.si() > 0.0,
                Some(_) => return Err(Trouble::impossible("a sign is neither 1 nor -1", "check signs")),
                None => i % 2 == 0,
            };
            let error = i.checked_sub(missing).and_then(|k| errors.get(k)).copied().unwrap_or(none);
            let quarter = if plus { none } else { Angle::of(90.0, unit::DEG) };
            // The yoke stays; its angle from a plane that has turned is less by the turn.
            Ok(ChainJoint { angle: joint.angle, phase: quarter + error - joint.plane })
        })
        .collect()
}
