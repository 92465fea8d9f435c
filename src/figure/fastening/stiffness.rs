//! Stiffness of bolt and members, and what an outside load does to the joint.

use super::bears::{self, Bears};
use super::preload::{Connection, TARGET};
use super::profile;
use super::selection::{Graded, MaybeNamed, Section, Thread, shigley};
use super::stages::SOME;
use crate::figure::prelude::*;
use crate::figure::usual::{BOLT_RATE, MODULUS};

const CONE: Source = shigley("eq. 8-22, 30 degree cone, washer face 1.5 d");
const FIT: Source = shigley("eq. 8-23 and table 8-8");
const RATE: Style =
    Style::pair(Form::decimal(unit::RATE_MLBF_IN, 0.001), Form::decimal(unit::RATE_MN_M, 1.0));
const FINE_STRESS: Style = Style::pair(Form::decimal(unit::KSI, 0.01), Form::decimal(unit::MPA, 0.1));
const WHOLE: Style = Style::single(Form::decimal(unit::ONE, 1.0)).up();
const HUNDREDTH: Style = Style::single(Form::decimal(unit::ONE, 0.01)).up();

words! {
    /// Material of the members, for the constants of the fitted stiffness.
    pub Material {
        Steel = "steel",
        /// Grey cast iron.
        CastIron = "cast-iron" | "iron",
    }
}

words! {
    /// Whether a loaded joint holds.
    pub Holds {
        /// The bolt bears preload and load, the joint stays shut.
        Yes = "within the proof load, the joint stays shut",
        /// The bolt bears the preload; no load was given.
        Preload = "within the proof load",
        /// The same, of which the scatter of tightening is not known.
        MeanYes = "at the mean preload within the proof load, the joint stays shut; scatter not told",
        /// The high end of the preload passes the proof load.
        HighEnd = "may yield: the high end passes the proof load",
        /// The preload passes the proof load.
        Overloaded = "no: past the proof load",
        /// Preload and load together pass the proof load.
        Yields = "no: preload and load pass the proof load",
        Separates = "no: the load separates the joint",
        /// Fewer bolts than the wanted factor asks for.
        TooFew = "no: fewer bolts than load_factor asks for",
        /// The proof load is not known.
        NotJudged = "not judged: no grade or proof stress given",
    }
}

family! {
    pub JOINT_STIFFNESS = "joint-stiffness" in Fastening:
        "stiffness of bolt and members, share of load on the bolt, load factors, number of bolts";
    also "bolt-elongation", "elongation", "bolt-stretch", "bolted-joint", "stiffness", "joint-separation", "separation",
        "bolt-stiffness", "member-stiffness", "joint-load-factors";
    reads BoltedJoint {
        ..bolt: MaybeNamed;
        ..graded: Graded;
        ..section: Section;
        optional grip: Length in ABOVE_ZERO, "thickness of all members clamped",
            "l", "grip_length", "clamp_length", "clamped_length", "lk";
        optional bolt_length: Length in ABOVE_ZERO, "length under the head; gives the threaded length",
            "length", "fastener_length", "L";
        optional shank: Length in NOT_NEGATIVE, "unthreaded length within the grip; without it from bolt_length",
            "ld", "unthreaded";
        fallback bolt_modulus: Stress = "30 Mpsi, 207 GPa metric" in MODULUS, "modulus of the bolt",
            "eb", "e_bolt", "modulus", "e";
        fallback member_modulus: Stress = "that of the bolt" in MODULUS, "modulus of the members", "e_member", "em";
        default member_material: Material = Steel, "constants of the fitted formula", "material";
        optional bolt_stiffness: SpringRate in BOLT_RATE, "stiffness of the bolt, if known", "kb";
        optional member_stiffness: SpringRate in BOLT_RATE, "stiffness of the members, if known", "km";
        optional load: Force in ABOVE_ZERO, "outside tension on the joint; on one bolt if bolts is not given",
            "external_load", "p", "tension", "force", "external_force", "applied_load";
        optional bolts: Number in SOME, "number of bolts that share the load",
            "n", "count", "number_of_bolts", "bolt_count";
        optional load_factor: Number in ABOVE_ZERO, "wanted factor against overload, to find the number of bolts",
            "safety", "safety_factor", "nl", "nl_wanted", "factor";
        optional preload: Force in ABOVE_ZERO, "preload; without it 75 % of proof",
            "fi", "f", "clamp_load", "initial_tension";
        optional scatter: Percent in within(0.0, 90.0, unit::PCT, TARGET).usually(2.0, 60.0, unit::PCT),
            "scatter of the preload by the way of tightening, each way", "preload_scatter";
        default joint: Connection = Reused, "reused 75 % of proof, permanent 90 %";
    }
    gives JointFactors {
        thread_length: Length, "threaded length of the bolt",
            "2 d + 1/4 in to 6 in long, 1/2 in above; metric 2 d + 6, 12 or 25 mm", shigley("table 8-7");
        shank: Length, "unthreaded length in the grip", "bolt_length - thread_length, not more than the grip",
            shigley("table 8-7");
        bolt_stiffness: SpringRate, "stiffness of the bolt kb", "Ad At E / (Ad lt + At ld)", shigley("eq. 8-17")
            => .style(RATE);
        member_stiffness: SpringRate, "stiffness of the members km, cone",
            "0.5774 pi E d / (2 ln[5 (0.5774 l + 0.5 d)/(0.5774 l + 2.5 d)])", CONE
            => .range("one material, members wide enough for the cone, no gasket").style(RATE);
        member_stiffness_fit: SpringRate, "stiffness of the members km, fitted", "E d A exp(B d / l)", FIT
            => .range("steel A 0.78715 B 0.62873, cast iron A 0.77871 B 0.61616").style(RATE);
        joint_constant: Number, "share of the outside load on the bolt C", "kb / (kb + km)", shigley("sec. 8-7")
            => .style(TEN_THOUSANDTH);
        preload: Force, "preload Fi", "0.75 or 0.90 of proof load, or as given", TARGET;
        preload_stress: Stress, "stress from the preload", "Fi / At", shigley("ex. 8-3") => .style(FINE_STRESS);
        elongation: Length, "elongation of the bolt under the preload", "Fi / kb", shigley("eq. 8-17")
            => .range("elastic; the whole grip, head and nut not counted").style(FINE_LENGTH);
        bolts_needed: Number, "number of bolts for the wanted factor, exact", "load_factor C P / (Sp At - Fi)",
            shigley("ex. 8-4") => .style(HUNDREDTH);
        bolts: Number, "number of bolts", "bolts_needed, to the next whole number", shigley("ex. 8-4") => .style(WHOLE);
        bolt_load: Force, "load in one bolt", "C P + Fi; all of P once the joint is open", shigley("eq. 8-24")
            => .up();
        member_load: Force, "clamp force left in the members, one bolt", "Fi - (1 - C) P; none once the joint is open",
            shigley("eq. 8-25") => .down();
        bolt_stress: Stress, "stress in the bolt under load", "bolt_load / At", shigley("ex. 8-3")
            => .style(FINE_STRESS);
        yield_factor: Number, "factor against proof np", "Sp At / bolt_load", shigley("eq. 8-28") => .style(HUNDREDTH.down());
        overload_factor: Number, "factor against overload nL", "(Sp At - Fi) / (C P)", shigley("eq. 8-29")
            => .style(HUNDREDTH.down());
        separation_factor: Number, "factor against separation n0", "Fi / (P (1 - C))", shigley("eq. 8-30")
            => .style(HUNDREDTH.down());
        verdict: Holds, "whether the bolt bears preload and load, and the joint stays shut",
            "preload within proof_load, yield_factor and separation_factor at least 1, less their uncertainty",
            shigley("eq. 8-28 to 8-30")
            => .claims(&[Holds::Yes.word(), Holds::Preload.word()]);
    }
    asked joint_constant;
    example "thread=\"5/8-11\" grade=\"grade 5\" grip=\"1.5 in\" bolt_length=\"2.25 in\" member_modulus=\"14 Mpsi\" member_material=cast-iron load=\"36 kip\" load_factor=2";
    by joint
}

/// Threaded length of a hexagon bolt, Shigley table 8-7.
fn thread_length(major: Length, length: Length, metric: bool) -> Length {
    if metric {
        let l = length.to(unit::MM);
        let extra = if l <= 125.0 + 1e-9 {
            6.0
        } else if l <= 200.0 + 1e-9 {
            12.0
        } else {
            25.0
        };
        major * 2.0 + Length::of(extra, unit::MM)
    } else {
        let extra = if length.to(unit::IN) <= 6.0 + 1e-9 { 0.25 } else { 0.5 };
        major * 2.0 + Length::of(extra, unit::IN)
    }
}

/// Stiffness of a bolt of shank area Ad over `shank` and stress area At over
/// `threaded`: Ad At E / (Ad lt + At ld). Source: Shigley eq. 8-17.
#[must_use]
pub fn bolt(
    shank_area: Area,
    stress_area: Area,
    shank: Length,
    threaded: Length,
    modulus: Stress,
) -> SpringRate {
    let (ad, at) = (shank_area.si(), stress_area.si());
    SpringRate::from_si(ad * at * modulus.si() / (ad * threaded.si() + at * shank.si()))
}

/// Stiffness of members of one material by the 30 degree pressure cone from a
/// washer face of 1.5 d. Source: Shigley eq. 8-22.
#[must_use]
pub fn members_cone(major: Length, grip: Length, modulus: Stress) -> SpringRate {
    let (d, l) = (major.si(), grip.si());
    let ratio = 5.0 * (0.5774 * l + 0.5 * d) / (0.5774 * l + 2.5 * d);
    SpringRate::from_si(0.5774 * PI * modulus.si() * d / (2.0 * math::log(ratio)))
}

/// Stiffness of members by the exponential fit E d A exp(B d/l). Source:
/// Shigley eq. 8-23, table 8-8.
pub(super) fn members_fit(major: Length, grip: Length, modulus: Stress, material: Material) -> SpringRate {
    let (a, b) = match material {
        Material::Steel => (0.787_15, 0.628_73),
        Material::CastIron => (0.778_71, 0.616_16),
    };
    SpringRate::from_si(modulus.si() * major.si() * a * math::exp(b * major.si() / grip.si()))
}

/// What is known of a joint before its load.
struct Tight {
    preload: Force,
    proof: Option<Force>,
    /// Share of an outside load that the bolt takes.
    constant: f64,
    area: Option<Area>,
    /// Share by which tightening scatters the preload, each way.
    scatter: f64,
}

fn joint(given: &BoltedJoint, answer: &mut JointFactors) -> Result<()> {
    let thread = given.bolt.find(&mut answer.said)?;
    let area = match &thread {
        Some(thread) => Some(given.section.of(thread)?),
        None => *given.section.area,
    };
    let kb = bolt_side(given, answer, thread.as_ref().zip(area))?;
    let km = member_side(given, answer, thread.as_ref())?;
    let constant = kb.si() / (kb.si() + km.si());
    answer.joint_constant.put(Number::from_si(constant));
    let stated = given.graded.stated();
    if !stated && !given.preload.given() {
        return Ok(());
    }
    let strength = match &thread {
        Some(thread) if stated => Some(given.graded.of(thread, &mut answer.said)?),
        _ => None,
    };
    let proof = match (&strength, area) {
        (Some(strength), Some(area)) => Some(strength.proof * area),
        _ if !stated => None,
        _ => {
            let by_hand = given.graded.proof.zip(area).filter(|_| !given.graded.grade.given());
            let (proof, area) = by_hand.ok_or(Trouble::Missing(vec!["thread"]))?;
            Some(proof * area)
        }
    };
    let usual = || proof.map(|proof| proof * given.joint.share().si());
    let preload = given.preload.or_else(usual).ok_or_else(|| Trouble::Missing(vec!["grade"]))?;
    if let Some((thread, area)) = thread.as_ref().zip(area) {
        bears::refuse_broken(preload, thread, area, strength.as_ref())?;
    }
    answer.preload.put(preload);
    answer.preload_stress.put_some(area.map(|area| preload / area));
    answer.elongation.put(Length::from_si(preload.si() / kb.si()));
    let scatter = given.scatter.map_or(0.0, Dimensioned::si);
    let high = preload * (1.0 + scatter) + answer.preload.expanded();
    let bears = Bears::judge(preload, high, proof);
    bears.tell(&mut answer.said, preload, high, proof);
    let holds = match *given.load {
        Some(load) => loaded(given, answer, &Tight { preload, proof, constant, area, scatter }, load)?,
        None => Holds::Preload,
    };
    let verdict = match (bears, holds) {
        (Bears::No, _) => Holds::Overloaded,
        (_, Holds::Yields | Holds::Separates | Holds::TooFew) => holds,
        (Bears::Yes, Holds::Yes) if !given.scatter.given() => Holds::MeanYes,
        (Bears::Yes, _) => holds,
        (Bears::HighEnd, _) => Holds::HighEnd,
        (Bears::NotJudged, _) => Holds::NotJudged,
    };
    if verdict == Holds::MeanYes {
        answer.warn("Tightening scatters the preload, by 25 to 35 % with a torque wrench: give scatter to have both ends judged.");
    }
    answer.verdict.put(verdict);
    Ok(())
}

/// Factors under an outside load.
fn loaded(given: &BoltedJoint, answer: &mut JointFactors, tight: &Tight, load: Force) -> Result<Holds> {
    // A factor less its uncertainty.
    let sure = |factor: f64, out: &Out<Number>| factor - out.expanded().si();
    let mut holds = Holds::Yes;
    let bolts = number_of_bolts(given, answer, tight, load)?;
    let each = load / bolts.si();
    // An open joint leaves the whole load to the bolt.
    let shut = each * tight.constant + tight.preload;
    let in_bolt = if each > shut { each } else { shut };
    answer.bolt_load.put(in_bolt);
    answer.member_load.put(in_bolt - each);
    answer.bolt_stress.put_some(tight.area.map(|area| in_bolt / area));
    if let Some(proof) = tight.proof {
        let np = proof.si() / in_bolt.si();
        answer.yield_factor.put(Number::from_si(np));
        let over = (proof - tight.preload).si() / (each.si() * tight.constant);
        answer.overload_factor.put(Number::from_si(over));
        let most = in_bolt + tight.preload * tight.scatter;
        if sure(np, &answer.yield_factor).min(proof.si() / most.si()) < 1.0 {
            holds = Holds::Yields;
            answer.warn("Preload and load together exceed the proof load; use more or larger bolts.");
        }
    }
    let n0 = tight.preload.si() / (each.si() * (1.0 - tight.constant));
    answer.separation_factor.put(Number::from_si(n0));
    if sure(n0, &answer.separation_factor).min(n0 * (1.0 - tight.scatter)) < 1.0 {
        holds = Holds::Separates;
        answer.warn("The load separates the joint; the bolt then carries all of it. Raise the preload or the number of bolts.");
    }
    let wanted = answer.bolts_needed.get().map(|needed| needed.si() * (1.0 - 1e-9));
    if holds == Holds::Yes && wanted.is_some_and(|wanted| bolts.si() < wanted) {
        holds = Holds::TooFew;
        answer.warn("The bolts given are fewer than bolts_needed for the wanted load_factor.");
    }
    Ok(holds)
}

fn bolt_side(
    given: &BoltedJoint,
    answer: &mut JointFactors,
    sized: Option<(&Thread, Area)>,
) -> Result<SpringRate> {
    if let Some(kb) = *given.bolt_stiffness {
        answer.bolt_stiffness.put(kb);
        return Ok(kb);
    }
    let (thread, area) = sized.ok_or(Trouble::Missing(vec!["thread"]))?;
    let grip = given.grip.need()?;
    let shank = match *given.shank {
        Some(shank) => shank,
        None => {
            let length = given.bolt_length.need()?;
            (length < grip).refuse("the bolt is shorter than the grip", "check bolt_length and grip")?;
            let threaded = thread_length(thread.major, length, thread.is_metric());
            answer.thread_length.put(threaded);
            let plain = if length > threaded { length - threaded } else { Length::from_si(0.0) };
            (plain.si() > grip.si() * (1.0 + 1e-9)).refuse(
                "the unthreaded part of this bolt is longer than the grip: its nut runs out of thread and clamps nothing",
                "check bolt_length and grip, or give the shank this bolt has",
            )?;
            plain
        }
    };
    (shank > grip).refuse("the unthreaded length must be within the grip", "check shank and grip")?;
    answer.shank.put(shank);
    let kb = bolt(profile::circle(thread.major), area, shank, grip - shank, modulus(given, thread));
    answer.bolt_stiffness.put(kb);
    Ok(kb)
}

fn modulus(given: &BoltedJoint, thread: &Thread) -> Stress {
    let usual = if thread.is_metric() { Stress::of(207.0, unit::GPA) } else { Stress::of(30.0, unit::MPSI) };
    given.bolt_modulus.unwrap_or(usual)
}

fn member_side(
    given: &BoltedJoint,
    answer: &mut JointFactors,
    thread: Option<&Thread>,
) -> Result<SpringRate> {
    if let Some(km) = *given.member_stiffness {
        answer.member_stiffness.put(km);
        return Ok(km);
    }
    let thread = thread.ok_or(Trouble::Missing(vec!["thread"]))?;
    let grip = given.grip.need()?;
    let member = given.member_modulus.unwrap_or_else(|| modulus(given, thread));
    let km = members_cone(thread.major, grip, member);
    answer.member_stiffness.put(km);
    answer.member_stiffness_fit.put(members_fit(thread.major, grip, member, *given.member_material));
    Ok(km)
}

fn number_of_bolts(
    given: &BoltedJoint,
    answer: &mut JointFactors,
    tight: &Tight,
    load: Force,
) -> Result<Number> {
    let wanted = match *given.load_factor {
        Some(factor) => {
            let proof = tight.proof.ok_or_else(|| Trouble::Missing(vec!["grade"]))?;
            (proof <= tight.preload)
                .refuse("the preload leaves nothing of the proof load", "lower the preload")?;
            let needed = factor.si() * tight.constant * load.si() / (proof - tight.preload).si();
            answer.bolts_needed.put(Number::from_si(needed));
            Some(Number::from_si((needed - 1e-9).ceil().max(1.0)))
        }
        None => None,
    };
    Ok(match (*given.bolts, wanted) {
        (Some(bolts), _) => {
            answer.bolts.put(bolts);
            bolts
        }
        (None, Some(wanted)) => answer.bolts.decide(wanted),
        (None, None) => answer.bolts.decide(Number::from_si(1.0)),
    })
}
