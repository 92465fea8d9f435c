//! Preload lost by embedding, and load gained by turning.

use super::bears;
use super::profile;
use super::selection::{self, ByPitch, BySize, Thread, shigley};
use super::stiffness::{Material, members_fit};
use crate::figure::prelude::*;
use crate::figure::usual::{BOLT_RATE, MODULUS};
use crate::reference::tightening::{EMBEDDING, RCSC, TURNS, VDI_EMBEDDING};

const RESILIENCE: Source =
    Source::standard("VDI 2230", "bolt resilience: 0.5 d head, 0.5 d engaged thread, 0.4 d nut")
        .from_memory();
const TURN: Source =
    Source::derived("pitch over a full turn, springs in series", "Shigley ex. 8-4 stiffnesses");
const SURFACES: Source = Source::definition("a number of surfaces");
const MICRO: Style = Style::single(Form::decimal(unit::UM, 0.1));
const RATE: Style =
    Style::pair(Form::decimal(unit::RATE_MLBF_IN, 0.001), Form::decimal(unit::RATE_MN_M, 1.0));
const PER_DEGREE: Style = Style::pair(Form::decimal(unit::LBF, 1.0), Form::decimal(unit::KN, 0.001));

words! {
    /// Direction of the working load.
    pub Direction {
        /// Along the bolt.
        Axial = "axial" | "axial-load",
        /// Across it.
        Shear = "shear" | "shear-load",
    }
}

family! {
    pub EMBEDDING_LOSS = "embedding-loss" in Fastening: "preload lost when the surfaces of a tightened joint settle";
    also "embedding", "embedment", "settling", "preload-loss";
    reads Settling {
        optional thread: String, "thread size, such as 1/2-20 UNF, M12 or M12x1.25",
            "size", "thread_size", "bolt_size", "bolt", "designation";
        optional grip: Length in ABOVE_ZERO, "thickness of all members clamped", "l", "grip_length";
        optional shank: Length in NOT_NEGATIVE, "unthreaded length within the grip", "ld", "unthreaded";
        optional bolt_compliance: Compliance in ABOVE_ZERO, "compliance of the bolt, if known", "bolt_resilience", "delta_s";
        default roughness: Length = "16 um" in within(0.0, 160.0, unit::UM, VDI_EMBEDDING),
            "roughness Rz of the surfaces", "rz", "surface_roughness";
        default load: Direction = Axial, "direction of the working load", "direction";
        default interfaces: Number = "1" in count(0, 20, SURFACES), "inner interfaces between members";
        default seats: Number = "2" in count(0, 10, SURFACES), "head and nut seats";
        optional embedding: Length in ABOVE_ZERO, "total embedding, if known",
            "settlement", "total_embedding", "embedment", "fz";
        default bolt_modulus: Stress = "205 GPa" in MODULUS, "modulus of the bolt", "e_bolt";
        default member_modulus: Stress = "207 GPa" in MODULUS, "modulus of the members", "e_member";
        optional member_compliance: Compliance in ABOVE_ZERO, "compliance of the members, if known",
            "member_resilience", "plate_compliance", "delta_p";
        optional preload: Force in ABOVE_ZERO, "preload, to give the loss as a share",
            "fm", "clamp_load", "F", "force", "Fi";
    }
    gives Settled {
        embedding: Length, "embedding", "thread + seats + inner interfaces", VDI_EMBEDDING => .style(MICRO);
        bolt_compliance: Compliance, "compliance of the bolt",
            "[0.5 d/Ad + ld/Ad + lt/A3 + 0.5 d/A3 + 0.4 d/Ad] / E", RESILIENCE;
        member_compliance: Compliance, "compliance of the members", "1 / (E d 0.78715 exp(0.62873 d / l))",
            shigley("eq. 8-23");
        loss: Force, "preload lost", "embedding / (bolt_compliance + member_compliance)", VDI_EMBEDDING => .up();
        loss_share: Percent, "share of the preload lost", "loss / preload", VDI_EMBEDDING
            => .style(Style::of(Kind::Percent).up());
        preload_left: Force, "preload left", "preload - loss", VDI_EMBEDDING => .down();
    }
    asked loss;
    example "thread=M12 grip=\"40 mm\" shank=\"12 mm\" preload=\"43.1 kN\"";
    by settled
}

/// Compliance of a bolt with its head, engaged thread and nut, VDI 2230.
fn bolt_compliance(thread: &Thread, shank: Length, threaded: Length, modulus: Stress) -> Compliance {
    let shank_area = profile::circle(thread.major).si();
    let root_area = profile::circle(profile::minor_external(thread)).si();
    let d = thread.major.si();
    let plain = (0.5 * d + shank.si() + 0.4 * d) / shank_area;
    let in_thread = (threaded.si() + 0.5 * d) / root_area;
    Compliance::from_si((plain + in_thread) / modulus.si())
}

/// Embedding of thread, seats and inner interfaces for a roughness Rz.
///
/// # Errors
/// If the table has no row for the roughness.
pub fn embedding(roughness: Length, load: Direction, seats: Number, interfaces: Number) -> Result<Length> {
    let rz = roughness.to(unit::UM);
    let row = EMBEDDING.iter().find(|(upper, _, _)| rz < *upper).or(EMBEDDING.last());
    let Some((_, axial, sideways)) = row else {
        return Err(Trouble::impossible("no embedding is listed for this roughness", "give embedding"));
    };
    let [thread, seat, inner] = match load {
        Direction::Axial => *axial,
        Direction::Shear => *sideways,
    };
    Ok(Length::of(thread + seat * seats.si() + inner * interfaces.si(), unit::UM))
}

/// Compliance of the bolt from its dimensions.
fn bolt_side(given: &Settling, thread: Option<&Thread>) -> Result<Compliance> {
    require(&[&given.thread, &given.grip, &given.shank])?;
    let thread = thread.ok_or_else(|| Trouble::Missing(vec!["thread"]))?;
    let (grip, shank) = (given.grip.need()?, given.shank.need()?);
    (shank > grip).refuse("the unthreaded length must be within the grip", "check shank and grip")?;
    Ok(bolt_compliance(thread, shank, grip - shank, *given.bolt_modulus))
}

/// Compliance of the members from their dimensions.
fn member_side(given: &Settling, thread: Option<&Thread>) -> Result<Compliance> {
    require(&[&given.thread, &given.grip])?;
    let thread = thread.ok_or_else(|| Trouble::Missing(vec!["thread"]))?;
    let stiffness = members_fit(thread.major, given.grip.need()?, *given.member_modulus, Material::Steel);
    Ok(Compliance::from_si(1.0 / stiffness.si()))
}

fn settled(given: &Settling, answer: &mut Settled) -> Result<()> {
    let settled = match *given.embedding {
        Some(settled) => settled,
        None => embedding(*given.roughness, *given.load, *given.seats, *given.interfaces)?,
    };
    let wanted = !(given.bolt_compliance.given() && given.member_compliance.given())
        || given.preload.given() && given.thread.given();
    let thread = match if wanted { given.thread.as_deref() } else { None } {
        Some(text) => Some(selection::known(text, &mut answer.said)?),
        None => None,
    };
    let bolt = match *given.bolt_compliance {
        Some(known) => known,
        None => bolt_side(given, thread.as_ref())?,
    };
    let member = match *given.member_compliance {
        Some(known) => known,
        None => member_side(given, thread.as_ref())?,
    };
    let loss = Force::from_si(settled.si() / (bolt.si() + member.si()));
    answer.embedding.put(settled);
    answer.bolt_compliance.put(bolt);
    answer.member_compliance.put(member);
    answer.loss.put(loss);
    if let Some(preload) = *given.preload {
        if let Some(thread) = &thread {
            bears::refuse_any_broken(preload, thread.major, Some(thread))?;
        }
        (loss >= preload)
            .refuse("embedding takes the whole preload", "use a longer bolt or a higher preload")?;
        answer.loss_share.put(Percent::from_si(loss.si() / preload.si()));
        answer.preload_left.put(preload - loss);
    }
    answer.warn("Paint, mill scale and gaskets settle more than this; take them off or re-torque.");
    Ok(())
}

family! {
    pub TURN_TO_LOAD = "turn-to-load" in Fastening:
        "preload gained per degree of nut rotation once the joint is snug";
    also "angle-to-load", "load-per-degree", "force-per-degree";
    reads Turning {
        ..fine: ByPitch;
        optional thread: String, "thread size, such as 1/2-20 UNF, M12 or M12x1.25; or give pitch or tpi",
            "size", "thread_size", "bolt_size", "bolt", "designation";
        required bolt_stiffness: SpringRate in BOLT_RATE, "stiffness of the bolt", "kb";
        required member_stiffness: SpringRate in BOLT_RATE, "stiffness of the members", "km";
        optional preload: Force in ABOVE_ZERO, "wanted gain of preload", "force", "fi", "F";
        optional angle: Angle in ABOVE_ZERO, "angle turned from snug", "turn", "rotation";
    }
    gives Turned {
        joint_stiffness: SpringRate, "stiffness of bolt and members in series", "kb km / (kb + km)", TURN => .style(RATE);
        force_per_degree: Force, "preload per degree", "joint_stiffness x P / 360", TURN => .style(PER_DEGREE);
        angle: Angle, "angle for the wanted preload", "preload / force_per_degree", TURN;
        preload: Force, "preload gained by the angle", "force_per_degree x angle", TURN;
    }
    asked force_per_degree;
    example "thread=\"5/8-11\" bolt_stiffness=\"5.205 Mlbf/in\" member_stiffness=\"8.953 Mlbf/in\" preload=\"14.4 kip\"";
    by turned
}

fn turned(given: &Turning, answer: &mut Turned) -> Result<()> {
    // The pitch is all that the turn takes of a thread.
    let (pitch, thread) = match given.thread.as_deref() {
        Some(text) => {
            let thread = given.fine.complete(text, true, &mut answer.said)?;
            (thread.pitch, Some(thread))
        }
        None => (given.fine.given().ok_or_else(|| Trouble::Missing(vec!["thread"]))?, None),
    };
    let (kb, km) = (given.bolt_stiffness.si(), given.member_stiffness.si());
    let joint = kb * km / (kb + km);
    let per_degree = joint * pitch.si() / 360.0;
    let possible = |preload: Force| match &thread {
        Some(thread) => bears::refuse_any_broken(preload, thread.major, Some(thread)),
        None => Ok(()),
    };
    answer.joint_stiffness.put(SpringRate::from_si(joint));
    answer.force_per_degree.put(Force::from_si(per_degree));
    if let Some(preload) = *given.preload {
        possible(preload)?;
        answer.angle.put(Angle::of(preload.si() / per_degree, unit::DEG));
    }
    if let Some(angle) = *given.angle {
        let preload = Force::from_si(per_degree * angle.to(unit::DEG));
        possible(preload)?;
        answer.preload.put(preload);
    }
    answer.warn("Counted from the snug joint; the turn that only closes gaps adds no preload.");
    Ok(())
}

const RCSC_TOLERANCE: Source =
    Source::standard("RCSC Specification for Structural Joints", "table 8.2 tolerances").from_memory();

family! {
    pub TURN_OF_NUT = "turn-of-nut" in Fastening:
        "rotation from snug for structural bolts, both faces square to the axis";
    also "turn-of-the-nut", "nut-rotation", "nut-turn";
    reads FromSnug {
        ..size: BySize;
        required bolt_length: Length in ABOVE_ZERO, "length under the head", "length", "l", "grip";
    }
    gives Rotation {
        slenderness: Number, "length over diameter", "bolt_length / d", RCSC;
        turn: Angle, "rotation from snug", "1/3 turn to 4 d, 1/2 to 8 d, 2/3 to 12 d", RCSC
            => .range("bolt length to 12 diameters, faces square to the axis");
        turns: Number, "rotation in turns", "turn / 360 deg", RCSC;
        tolerance: Angle, "tolerance each way", "30 deg, 45 deg for 2/3 turn", RCSC_TOLERANCE;
    }
    asked turn;
    example "thread=\"3/4-10\" bolt_length=\"4 in\"";
    by rotation
}

fn rotation(given: &FromSnug, answer: &mut Rotation) -> Result<()> {
    let (major, _) = given.size.size(None, &mut answer.said)?;
    within(0.5, 1.5, unit::IN, RCSC).check("diameter", major.into())?;
    let ratio = given.bolt_length.si() / major.si();
    (ratio < 1.0).refuse("the bolt is shorter than it is thick", "check bolt_length and diameter")?;
    let row = |ratio: f64| TURNS.iter().find(|(upper, _, _)| ratio <= upper + 1e-9);
    let spread = 2.0 * given.bolt_length.uncertainty() / major.si();
    if let (Some(short), Some(long)) = (row(ratio - spread), row(ratio + spread))
        && short.1 < long.1
    {
        answer.warn(format!(
            "rotation from snug: not proven. Within the uncertainty stated it is {:.0} or {:.0} deg; measure the bolt better.",
            360.0 * short.1,
            360.0 * long.1
        ));
    }
    let Some((_, turns, tolerance)) = row(ratio) else {
        return Err(Trouble::OutOfRange {
            input: "bolt_length".to_owned(),
            given: format!("{ratio:.2} diameters"),
            range: "12 diameters; beyond that the rotation is found by test".to_owned(),
            source: RCSC,
        });
    };
    answer.slenderness.put(Number::from_si(ratio));
    // A row of the table is a decision.
    answer.turn.decide(Angle::of(*turns, unit::TURN));
    answer.turns.decide(Number::from_si(*turns));
    answer.tolerance.decide(Angle::of(*tolerance, unit::DEG));
    answer.warn("Mark nut, bolt end and plate after snug tightening, before the turn.");
    Ok(())
}
