//! How unevenly several universal joints in a row turn, against the limits.

use super::driveline::{self, Joint};
use super::joint_angle::Views;
use super::universal::{
    ChainJoint, acceleration, equivalent_approximate, equivalent_exact, nonuniformity, peak, table_angle,
};
use crate::figure::{Answer, Declared, Family, Given, Group, Input, Need, Output, Trouble, given};
use crate::quantity::show::FINE_ANGLE;
use crate::quantity::{
    Angle, AngularAcceleration, Dimensioned, Form, Kind, Number, RotationSpeed, Style, math, unit,
};
use crate::source::Source;

const CHAIN: Source = Source::derived(
    "joints in a row, each counted with the sign of its phase",
    "3-D cross mechanisms in a row; method of SAE AE-7, section 3.1.1",
);
const APPROXIMATE: Source =
    Source::handbook("SAE AE-7, Universal Joint and Driveshaft Design Manual", "section 3.1.1").from_memory();
const LIMITS: Source = Source::derived(
    "torsional limit 400 and inertial limit 1000 rad/s2",
    "two published tables of joint angles against speed, which encode them",
);
const RULES: Source = Source::handbook(
    "joint makers' and vehicle makers' operating-angle guides",
    "0.5 deg least, ends within 1 deg, 3 deg smooth, U 0.0027",
);
const TABLE: Source =
    Source::handbook("joint makers' operating-angle guide", "table of angle against speed, parallel layout")
        .from_memory();
const FINE: Style = Style::single(Form::decimal(unit::ONE, 0.000_01));
const RPM: Style = Style::single(Form::decimal(unit::RPM, 0.1));
/// Greatest residual non-uniformity of a driveline.
const U_LIMIT: f64 = 0.0027;

/// Unevenness left over by a chain of joints.
pub static JOINT_CHAIN: Family = Family {
    name: "joint-chain",
    declared: Declared::OLD,
    group: Group::Geometry,
    title: "equivalent angle and acceleration of two or more universal joints in a row, with limits",
    inputs: &[
        Input::list(
            "angles",
            Kind::Angle,
            Need::Optional,
            "joint angles in order, input end first, all members in one plane",
        )
        .also(&["joints", "joint_angles", "b"]),
        Input::list(
            "sides",
            Kind::Angle,
            Need::Optional,
            "instead of angles: side-view slopes of the members in order, as output shaft, driveshaft, pinion",
        )
        .also(&["slopes", "side", "side_angles"]),
        Input::list(
            "plans",
            Kind::Angle,
            Need::Optional,
            "with sides: plan angles of the same members; none means all run straight ahead",
        )
        .also(&["plan", "plan_angles"]),
        Input::list(
            "signs",
            Kind::Number,
            Need::Default("1, -1, 1, ... (each joint works against the one before)"),
            "1 for a joint whose driving yoke stands like the first joint's, -1 for one turned a quarter",
        )
        .also(&["phases", "senses", "sign", "phasing"]),
        Input::list(
            "phase_error",
            Kind::Angle,
            Need::Default("0"),
            "error of each joint's phase; one value belongs to the last joint",
        )
        .also(&["phase", "phase_errors", "out_of_phase"]),
        Input::optional("speed", Kind::RotationSpeed, "shaft speed").also(&["rpm", "w", "n"]),
        Input::defaulted(
            "torsional_limit",
            Kind::AngularAcceleration,
            "400 rad/s2",
            "greatest torsional acceleration; 300 to 500 by application",
        ),
        Input::defaulted(
            "inertial_limit",
            Kind::AngularAcceleration,
            "1000 rad/s2",
            "greatest acceleration of the shaft between the joints",
        ),
    ],
    outputs: &[
        Output::list(
            "joint_angles",
            "joint angles",
            Kind::Angle,
            "as given, or the angle between the directions of neighbours",
            CHAIN,
        )
        .style(FINE_ANGLE),
        Output::list(
            "plane_turns",
            "turn of each joint's plane against the first",
            Kind::Angle,
            "angle between the normals of neighbouring joint planes, added up along the shafts",
            CHAIN,
        )
        .style(FINE_ANGLE),
        Output::new(
            "equivalent",
            "equivalent angle, exact",
            Kind::Angle,
            "cos Be = product of (cos Bi)^sign, inverted if above 1; with a phase error from the ratio over a turn",
            CHAIN,
        )
        .style(FINE_ANGLE.up()),
        Output::new(
            "equivalent_approx",
            "equivalent angle, trade approximation",
            Kind::Angle,
            "sqrt |sum of Bi^2 at twice the phase|",
            APPROXIMATE,
        )
        .style(FINE_ANGLE.up()),
        Output::new("nonuniformity", "non-uniformity of the whole chain", Kind::Number, "sin Be tan Be", CHAIN)
            .style(FINE.up()),
        Output::flag("nonuniformity_ok", "non-uniformity within 0.0027", "nonuniformity <= 0.0027", RULES),
        Output::new("difference", "difference of the end joints", Kind::Angle, "|B first - B last|", RULES)
            .style(FINE_ANGLE),
        Output::flag(
            "rules_ok",
            "shop rules for the angles met",
            "every joint at least 0.5 deg; the ends of a two-joint shaft equal within 1 deg; none above 3 deg or the speed table",
            RULES,
        ),
        Output::new(
            "table_limit",
            "greatest joint angle at this speed",
            Kind::Angle,
            "row of the speed table at or above the speed",
            TABLE,
        )
        .range("two equal joints, up to 5000 rpm")
        .style(FINE_ANGLE.down()),
        Output::new("speed_max", "greatest output speed", Kind::RotationSpeed, "speed / cos Be", CHAIN).style(RPM),
        Output::new("speed_min", "least output speed", Kind::RotationSpeed, "speed x cos Be", CHAIN).style(RPM),
        Output::new(
            "torsional",
            "torsional acceleration, form the limit belongs to",
            Kind::AngularAcceleration,
            "speed^2 x equivalent_approx^2",
            APPROXIMATE,
        ),
        Output::new(
            "torsional_exact",
            "torsional acceleration, exact peak",
            Kind::AngularAcceleration,
            "speed^2 x peak of a single joint of the equivalent angle",
            CHAIN,
        ),
        Output::flag("torsional_ok", "torsional acceleration within its limit", "torsional <= torsional_limit", LIMITS),
        Output::new(
            "inertial_drive",
            "inertial acceleration of the shaft, drive",
            Kind::AngularAcceleration,
            "speed^2 x B first^2",
            APPROXIMATE,
        ),
        Output::new(
            "inertial_coast",
            "inertial acceleration of the shaft, coast",
            Kind::AngularAcceleration,
            "speed^2 x B last^2",
            APPROXIMATE,
        ),
        Output::flag(
            "inertial_ok",
            "inertial accelerations within their limit",
            "both <= inertial_limit",
            LIMITS,
        ),
    ],
    example: "angles=\"4 deg, 3 deg\" speed=\"3000 rpm\"",
    run: joint_chain,
};

fn joint_chain(given: &Given, answer: &mut Answer) -> Result<(), Trouble> {
    let joints = joints_given(given)?;
    let chain = chain(given, &joints)?;
    answer.put_list("joint_angles", chain.iter().map(|j| j.angle));
    if given.has("sides") {
        answer.put_list("plane_turns", joints.iter().map(|j| j.plane));
    }
    let (Some(first), Some(last)) = (chain.first(), chain.last()) else {
        return Err(Trouble::Missing(vec!["angles"]));
    };
    if chain.len() == 1 {
        answer.warn("Only one joint angle was read: separate the angles of a chain by commas.");
    }
    let equivalent = equivalent_exact(&chain);
    let approximate = equivalent_approximate(&chain);
    let u = nonuniformity(equivalent);
    answer.put("equivalent", equivalent);
    answer.put("equivalent_approx", approximate);
    answer.put("nonuniformity", u);
    answer.put_flag("nonuniformity_ok", u.si() <= U_LIMIT);
    if u.si() > U_LIMIT {
        answer.warn(
            "The non-uniformity is above 0.0027, an equivalent angle of about 3 deg; expect vibration.",
        );
    }
    let difference = Angle::from_si((first.angle.si() - last.angle.si()).abs());
    answer.put("difference", difference);
    let speed: Option<RotationSpeed> = given.maybe("speed")?;
    let table = match speed {
        Some(speed) => table_angle(given::positive("speed", speed)?.to(unit::RPM)),
        None => None,
    };
    let ok = shop_rules(&chain, difference, speed.is_some(), table, answer);
    answer.put_flag("rules_ok", ok);
    if let Some(limit) = table {
        answer.put("table_limit", Angle::of(limit, unit::DEG));
    }
    if let Some(speed) = speed {
        at_speed(given, answer, (first.angle, last.angle), (equivalent, approximate), speed)?;
    }
    Ok(())
}

/// The figures that depend on speed.
fn at_speed(
    given: &Given,
    answer: &mut Answer,
    (first, last): (Angle, Angle),
    (equivalent, approximate): (Angle, Angle),
    speed: RotationSpeed,
) -> Result<(), Trouble> {
    let square = |a: Angle| acceleration(Number::from_si(a.si() * a.si()), speed);
    let torsional_limit = given.or("torsional_limit", AngularAcceleration::from_si(400.0))?;
    let inertial_limit = given.or("inertial_limit", AngularAcceleration::from_si(1000.0))?;
    let c = math::cos(equivalent);
    answer.put("speed_max", speed / c);
    answer.put("speed_min", speed * c);
    let torsional = square(approximate);
    answer.put("torsional", torsional);
    answer.put("torsional_exact", acceleration(peak(equivalent).0, speed));
    answer.put_flag("torsional_ok", torsional <= torsional_limit);
    if torsional > torsional_limit {
        answer.warn("The torsional acceleration is above its limit; bring the joint angles closer together.");
    }
    let (drive, coast) = (square(first), square(last));
    answer.put("inertial_drive", drive);
    answer.put("inertial_coast", coast);
    let inertial_ok = drive <= inertial_limit && coast <= inertial_limit;
    answer.put_flag("inertial_ok", inertial_ok);
    if !inertial_ok {
        answer.warn(
            "The inertial acceleration is above its limit; equal joints cancel the output but not this, \
             so use smaller angles or a double joint.",
        );
    }
    Ok(())
}

/// The shop rules, each with its warning.
fn shop_rules(
    chain: &[ChainJoint],
    difference: Angle,
    speed_known: bool,
    table: Option<f64>,
    answer: &mut Answer,
) -> bool {
    let degrees = |a: Angle| a.to(unit::DEG);
    let mut ok = true;
    let mut complain = |text: &str| {
        ok = false;
        answer.warn(text);
    };
    if chain.iter().any(|j| degrees(j.angle) < 0.5 - 1e-9) {
        complain("A joint below 0.5 deg does not turn its needles; give it at least 0.5 deg.");
    }
    // The rule is for one shaft with a joint at each end.
    if chain.len() == 2 && degrees(difference) > 1.0 + 1e-9 {
        complain("The end joints differ by more than 1 deg; set the pinion so that they agree.");
    }
    let largest = chain.iter().map(|j| degrees(j.angle)).fold(0.0, f64::max);
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
fn joints_given(given: &Given) -> Result<Vec<Joint>, Trouble> {
    let angles: Vec<Angle> = given.list("angles")?;
    let sides: Vec<Angle> = given.list("sides")?;
    let plans: Vec<Angle> = given.list("plans")?;
    let level = Angle::from_si(0.0);
    match (angles.is_empty(), sides.is_empty()) {
        (true, true) => Err(Trouble::Missing(vec!["angles", "sides"])),
        (false, false) => {
            Err(Trouble::impossible("joint angles and slopes are both given", "give angles or sides"))
        }
        (false, true) if !plans.is_empty() => Err(Trouble::Missing(vec!["sides"])),
        (false, true) => {
            Ok(angles.iter().map(|a| Joint { angle: Angle::from_si(a.si().abs()), plane: level }).collect())
        }
        (true, false) if sides.len() < 2 || !(plans.is_empty() || plans.len() == sides.len()) => {
            Err(Trouble::impossible(
                format!(
                    "{} side angles and {} plan angles do not describe members",
                    sides.len(),
                    plans.len()
                ),
                "give at least two members, and for each a side angle and, if any, a plan angle",
            ))
        }
        (true, false) => {
            for angle in sides.iter().chain(&plans) {
                given::within("sides", *angle, unit::DEG, -60.0..=60.0, CHAIN)?;
            }
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
fn chain(given: &Given, joints: &[Joint]) -> Result<Vec<ChainJoint>, Trouble> {
    let signs: Vec<Number> = given.list("signs")?;
    let errors: Vec<Angle> = given.list("phase_error")?;
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
            given::within("angles", joint.angle, unit::DEG, 0.0..=45.0, CHAIN)?;
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
