//! Preload lost by embedding, and load gained by turning.

use super::profile;
use super::selection::{self, DIAMETER, PITCH, THREAD, THREAD_OR_SIZE, TPI, shigley};
use super::stiffness::{Material, members_fit};
use crate::figure::{Answer, Declared, Family, Given, Group, Input, Need, Output, Trouble, given};
use crate::quantity::{
    Angle, Compliance, Dimensioned, Force, Form, Kind, Length, Number, Percent, SpringRate, Stress, Style,
    unit,
};
use crate::reference::tightening::{EMBEDDING, RCSC, TURNS, VDI_EMBEDDING};
use crate::source::Source;

const RESILIENCE: Source =
    Source::standard("VDI 2230", "bolt resilience: 0.5 d head, 0.5 d engaged thread, 0.4 d nut")
        .from_memory();
const TURN: Source =
    Source::derived("pitch over a full turn, springs in series", "Shigley ex. 8-4 stiffnesses");

/// Loss of preload by embedding.
pub static EMBEDDING_LOSS: Family = Family {
    name: "embedding-loss",
    declared: Declared::OLD,
    group: Group::Fastening,
    title: "preload lost when the surfaces of a tightened joint settle",
    inputs: &[
        Input { need: Need::Optional, ..THREAD },
        Input::optional("grip", Kind::Length, "thickness of all members clamped").also(&["l", "grip_length"]),
        Input::optional("shank", Kind::Length, "unthreaded length within the grip")
            .also(&["ld", "unthreaded"]),
        Input::optional("bolt_compliance", Kind::Compliance, "compliance of the bolt, if known")
            .also(&["bolt_resilience", "delta_s"]),
        Input::defaulted("roughness", Kind::Length, "16 um", "roughness Rz of the surfaces").also(&["rz"]),
        Input::choice("load", &["axial", "shear"], Need::Default("axial"), "direction of the working load")
            .also(&["direction"]),
        Input::defaulted("interfaces", Kind::Number, "1", "inner interfaces between members"),
        Input::defaulted("seats", Kind::Number, "2", "head and nut seats"),
        Input::optional("embedding", Kind::Length, "total embedding, if known").also(&[
            "settlement",
            "total_embedding",
            "embedment",
            "fz",
        ]),
        Input::defaulted("bolt_modulus", Kind::Stress, "205 GPa", "modulus of the bolt").also(&["e_bolt"]),
        Input::defaulted("member_modulus", Kind::Stress, "207 GPa", "modulus of the members")
            .also(&["e_member"]),
        Input::optional("member_compliance", Kind::Compliance, "compliance of the members, if known")
            .also(&["member_resilience", "plate_compliance", "delta_p"]),
        Input::optional("preload", Kind::Force, "preload, to give the loss as a share")
            .also(&["fm", "clamp_load"]),
    ],
    outputs: &[
        Output::new(
            "embedding",
            "embedding",
            Kind::Length,
            "thread + seats + inner interfaces",
            VDI_EMBEDDING,
        )
        .style(Style::single(Form::decimal(unit::UM, 0.1))),
        Output::new(
            "bolt_compliance",
            "compliance of the bolt",
            Kind::Compliance,
            "[0.5 d/Ad + ld/Ad + lt/A3 + 0.5 d/A3 + 0.4 d/Ad] / E",
            RESILIENCE,
        ),
        Output::new(
            "member_compliance",
            "compliance of the members",
            Kind::Compliance,
            "1 / (E d 0.78715 exp(0.62873 d / l))",
            shigley("eq. 8-23"),
        ),
        Output::new(
            "loss",
            "preload lost",
            Kind::Force,
            "embedding / (bolt_compliance + member_compliance)",
            VDI_EMBEDDING,
        )
        .up(),
        Output::new(
            "loss_share",
            "share of the preload lost",
            Kind::Percent,
            "loss / preload",
            VDI_EMBEDDING,
        )
        .style(Style::of(Kind::Percent).up()),
        Output::new("preload_left", "preload left", Kind::Force, "preload - loss", VDI_EMBEDDING).down(),
    ],
    example: "thread=M12 grip=\"40 mm\" shank=\"12 mm\" preload=\"43.1 kN\"",
    run: run_embedding,
};

/// Compliance of a bolt with its head, engaged thread and nut, VDI 2230.
#[must_use]
pub fn bolt_compliance(
    thread: &selection::Thread,
    shank: Length,
    threaded: Length,
    modulus: Stress,
) -> Compliance {
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
/// If Rz is outside the table.
pub fn embedding(
    roughness: Length,
    shear: bool,
    seats: Number,
    interfaces: Number,
) -> Result<Length, Trouble> {
    given::within("roughness", roughness, unit::UM, 0.0..=160.0, VDI_EMBEDDING)?;
    let rz = roughness.to(unit::UM);
    let row = EMBEDDING.iter().find(|(upper, _, _)| rz < *upper).or(EMBEDDING.last());
    let Some((_, axial, sideways)) = row else {
        return Err(Trouble::impossible("no embedding is listed for this roughness", "give embedding"));
    };
    let [thread, seat, inner] = if shear { *sideways } else { *axial };
    Ok(Length::of(thread + seat * seats.si() + inner * interfaces.si(), unit::UM))
}

fn computed_bolt(given: &Given, answer: &mut Answer) -> Result<Compliance, Trouble> {
    given.require(&["thread", "grip", "shank"])?;
    let thread = selection::thread(given, answer)?;
    let grip: Length = given::positive("grip", given.need("grip")?)?;
    let shank: Length = given.need("shank")?;
    if shank.si() < 0.0 || shank > grip {
        return Err(Trouble::impossible(
            "the unthreaded length must be within the grip",
            "check shank and grip",
        ));
    }
    let modulus: Stress =
        given::positive("bolt_modulus", given.or("bolt_modulus", Stress::of(205.0, unit::GPA))?)?;
    Ok(bolt_compliance(&thread, shank, grip - shank, modulus))
}

fn run_embedding(given: &Given, answer: &mut Answer) -> Result<(), Trouble> {
    let settled = match given.maybe::<Length>("embedding")? {
        Some(settled) => given::positive("embedding", settled)?,
        None => {
            let rz: Length = given.or("roughness", Length::of(16.0, unit::UM))?;
            let shear = given.maybe_word("load")? == Some("shear");
            let seats: Number = given.or("seats", Number::from_si(2.0))?;
            let inner: Number = given.or("interfaces", Number::from_si(1.0))?;
            let range = Source::definition("a number of surfaces");
            given::within("seats", seats, unit::ONE, 0.0..=10.0, range)?;
            given::within("interfaces", inner, unit::ONE, 0.0..=20.0, range)?;
            embedding(rz, shear, seats, inner)?
        }
    };
    let bolt = match given.maybe::<Compliance>("bolt_compliance")? {
        Some(known) => given::positive("bolt_compliance", known)?,
        None => computed_bolt(given, answer)?,
    };
    let member = match given.maybe::<Compliance>("member_compliance")? {
        Some(known) => given::positive("member_compliance", known)?,
        None => {
            given.require(&["thread", "grip"])?;
            let thread = selection::thread(given, answer)?;
            let grip: Length = given::positive("grip", given.need("grip")?)?;
            let e: Stress =
                given::positive("member_modulus", given.or("member_modulus", Stress::of(207.0, unit::GPA))?)?;
            Compliance::from_si(1.0 / members_fit(thread.major, grip, e, Material::Steel).si())
        }
    };
    let loss = Force::from_si(settled.si() / (bolt.si() + member.si()));
    answer.put("embedding", settled);
    answer.put("bolt_compliance", bolt);
    answer.put("member_compliance", member);
    answer.put("loss", loss);
    if let Some(preload) = given.maybe::<Force>("preload")? {
        let preload = given::positive("preload", preload)?;
        if loss.si() >= preload.si() {
            return Err(Trouble::impossible(
                "embedding takes the whole preload",
                "use a longer bolt or a higher preload",
            ));
        }
        answer.put("loss_share", Percent::from_si(loss.si() / preload.si()));
        answer.put("preload_left", preload - loss);
    }
    answer.warn("Paint, mill scale and gaskets settle more than this; take them off or re-torque.");
    Ok(())
}

/// Load per degree of turn.
pub static TURN_TO_LOAD: Family = Family {
    name: "turn-to-load",
    declared: Declared::OLD,
    group: Group::Fastening,
    title: "preload gained per degree of nut rotation once the joint is snug",
    inputs: &[
        THREAD_OR_SIZE,
        PITCH,
        TPI,
        Input::required("bolt_stiffness", Kind::SpringRate, "stiffness of the bolt").also(&["kb"]),
        Input::required("member_stiffness", Kind::SpringRate, "stiffness of the members").also(&["km"]),
        Input::optional("preload", Kind::Force, "wanted gain of preload").also(&["force", "fi"]),
        Input::optional("angle", Kind::Angle, "angle turned from snug").also(&["turn", "rotation"]),
    ],
    outputs: &[
        Output::new(
            "joint_stiffness",
            "stiffness of bolt and members in series",
            Kind::SpringRate,
            "kb km / (kb + km)",
            TURN,
        )
        .style(Style::pair(Form::decimal(unit::RATE_MLBF_IN, 0.001), Form::decimal(unit::RATE_MN_M, 1.0))),
        Output::new("force_per_degree", "preload per degree", Kind::Force, "joint_stiffness x P / 360", TURN)
            .style(Style::pair(Form::decimal(unit::LBF, 1.0), Form::decimal(unit::KN, 0.001))),
        Output::new("angle", "angle for the wanted preload", Kind::Angle, "preload / force_per_degree", TURN),
        Output::new("preload", "preload gained by the angle", Kind::Force, "force_per_degree x angle", TURN),
    ],
    example: "thread=\"5/8-11\" bolt_stiffness=\"5.205 Mlbf/in\" member_stiffness=\"8.953 Mlbf/in\" preload=\"14.4 kip\"",
    run: run_turn,
};

/// The pitch is all that the turn takes of a thread.
fn pitch(given: &Given, answer: &mut Answer) -> Result<Length, Trouble> {
    if !given.has("thread") {
        if let Some(pitch) = given.maybe::<Length>("pitch")? {
            return given::positive("pitch", pitch);
        }
        if let Some(tpi) = given.maybe::<Number>("tpi")? {
            return Ok(Length::of(1.0 / given::positive("tpi", tpi)?.si(), unit::IN));
        }
    }
    Ok(selection::thread(given, answer)?.pitch)
}

fn run_turn(given: &Given, answer: &mut Answer) -> Result<(), Trouble> {
    let pitch = pitch(given, answer)?;
    let kb: SpringRate = given::positive("bolt_stiffness", given.need("bolt_stiffness")?)?;
    let km: SpringRate = given::positive("member_stiffness", given.need("member_stiffness")?)?;
    let joint = kb.si() * km.si() / (kb.si() + km.si());
    let per_degree = joint * pitch.si() / 360.0;
    answer.put("joint_stiffness", SpringRate::from_si(joint));
    answer.put("force_per_degree", Force::from_si(per_degree));
    if let Some(preload) = given.maybe::<Force>("preload")? {
        let preload = given::positive("preload", preload)?;
        answer.put("angle", Angle::of(preload.si() / per_degree, unit::DEG));
    }
    if let Some(angle) = given.maybe::<Angle>("angle")? {
        let angle = given::positive("angle", angle)?;
        answer.put("preload", Force::from_si(per_degree * angle.to(unit::DEG)));
    }
    answer.warn("Counted from the snug joint; the turn that only closes gaps adds no preload.");
    Ok(())
}

/// Turn of nut from snug.
pub static TURN_OF_NUT: Family = Family {
    name: "turn-of-nut",
    declared: Declared::OLD,
    group: Group::Fastening,
    title: "rotation from snug for structural bolts, both faces square to the axis",
    inputs: &[
        THREAD_OR_SIZE,
        DIAMETER,
        Input::required("bolt_length", Kind::Length, "length under the head").also(&["length", "l", "grip"]),
    ],
    outputs: &[
        Output::new("slenderness", "length over diameter", Kind::Number, "bolt_length / d", RCSC),
        Output::new(
            "turn",
            "rotation from snug",
            Kind::Angle,
            "1/3 turn to 4 d, 1/2 to 8 d, 2/3 to 12 d",
            RCSC,
        )
        .range("bolt length to 12 diameters, faces square to the axis"),
        Output::new("turns", "rotation in turns", Kind::Number, "turn / 360 deg", RCSC),
        Output::new(
            "tolerance",
            "tolerance each way",
            Kind::Angle,
            "30 deg, 45 deg for 2/3 turn",
            RCSC_TOLERANCE,
        ),
    ],
    example: "thread=\"3/4-10\" bolt_length=\"4 in\"",
    run: run_turn_of_nut,
};

const RCSC_TOLERANCE: Source =
    Source::standard("RCSC Specification for Structural Joints", "table 8.2 tolerances").from_memory();

fn run_turn_of_nut(given: &Given, answer: &mut Answer) -> Result<(), Trouble> {
    let major = match given.maybe::<Length>("diameter")? {
        Some(diameter) if !given.has("thread") => given::positive("diameter", diameter)?,
        _ => selection::thread(given, answer)?.major,
    };
    let length: Length = given::positive("bolt_length", given.need("bolt_length")?)?;
    let ratio = length.si() / major.si();
    let Some((_, turns, tolerance)) = TURNS.iter().find(|(upper, _, _)| ratio <= upper + 1e-9) else {
        return Err(Trouble::OutOfRange {
            input: "bolt_length".to_owned(),
            given: format!("{ratio:.2} diameters"),
            range: "12 diameters; beyond that the rotation is found by test".to_owned(),
            source: RCSC,
        });
    };
    answer.put("slenderness", Number::from_si(ratio));
    answer.put("turn", Angle::of(*turns, unit::TURN));
    answer.put("turns", Number::from_si(*turns));
    answer.put("tolerance", Angle::of(*tolerance, unit::DEG));
    answer.warn("Mark nut, bolt end and plate after snug tightening, before the turn.");
    Ok(())
}
