//! Stiffness of bolt and members, and what an outside load does to the joint.

use std::f64::consts::PI;

use super::profile;
use super::selection::{self, AREA, GRADE, PROOF, THREAD, shigley};
use crate::figure::{Answer, Declared, Family, Given, Group, Input, Need, Output, Trouble, given};
use crate::quantity::{
    Area, Dimensioned, Force, Form, Kind, Length, Number, SpringRate, Stress, Style, math, unit,
};
use crate::source::Source;

const CONE: Source = shigley("eq. 8-22, 30 degree cone, washer face 1.5 d");
const FIT: Source = shigley("eq. 8-23 and table 8-8");
const RATE: Style =
    Style::pair(Form::decimal(unit::RATE_MLBF_IN, 0.001), Form::decimal(unit::RATE_MN_M, 1.0));
const FACTOR: Style = Style::single(Form::decimal(unit::ONE, 0.01)).down();

/// Joint stiffness and load factors.
pub static JOINT_STIFFNESS: Family = Family {
    name: "joint-stiffness",
    declared: Declared::OLD,
    group: Group::Fastening,
    title: "stiffness of bolt and members, share of load on the bolt, load factors, number of bolts",
    inputs: &[
        THREAD,
        GRADE,
        Input::optional("grip", Kind::Length, "thickness of all members clamped").also(&["l", "grip_length"]),
        Input::optional("bolt_length", Kind::Length, "length under the head; gives the threaded length")
            .also(&["length", "fastener_length"]),
        Input::optional(
            "shank",
            Kind::Length,
            "unthreaded length within the grip; without it from bolt_length",
        )
        .also(&["ld", "unthreaded"]),
        Input::defaulted("bolt_modulus", Kind::Stress, "30 Mpsi, 207 GPa metric", "modulus of the bolt")
            .also(&["eb", "e_bolt", "modulus", "e"]),
        Input::defaulted("member_modulus", Kind::Stress, "that of the bolt", "modulus of the members")
            .also(&["e_member", "em"]),
        Input::choice(
            "member_material",
            &["steel", "cast-iron"],
            Need::Default("steel"),
            "constants of the fitted formula",
        )
        .also(&["material"]),
        Input::optional("bolt_stiffness", Kind::SpringRate, "stiffness of the bolt, if known").also(&["kb"]),
        Input::optional("member_stiffness", Kind::SpringRate, "stiffness of the members, if known")
            .also(&["km"]),
        Input::optional(
            "load",
            Kind::Force,
            "outside tension on the joint; on one bolt if bolts is not given",
        )
        .also(&["external_load", "p", "tension"]),
        Input::optional("bolts", Kind::Number, "number of bolts that share the load").also(&["n", "count"]),
        Input::optional(
            "load_factor",
            Kind::Number,
            "wanted factor against overload, to find the number of bolts",
        )
        .also(&["safety", "safety_factor", "nl", "nl_wanted", "factor"]),
        Input::optional("preload", Kind::Force, "preload; without it 75 % of proof").also(&[
            "fi",
            "f",
            "clamp_load",
        ]),
        Input::choice(
            "joint",
            &["reused", "permanent"],
            Need::Default("reused"),
            "reused 75 % of proof, permanent 90 %",
        ),
        PROOF,
        AREA,
    ],
    outputs: &[
        Output::new(
            "thread_length",
            "threaded length of the bolt",
            Kind::Length,
            "2 d + 1/4 in to 6 in long, 1/2 in above; metric 2 d + 6, 12 or 25 mm",
            shigley("table 8-7"),
        ),
        Output::new(
            "shank",
            "unthreaded length in the grip",
            Kind::Length,
            "bolt_length - thread_length, not more than the grip",
            shigley("table 8-7"),
        ),
        Output::new(
            "bolt_stiffness",
            "stiffness of the bolt kb",
            Kind::SpringRate,
            "Ad At E / (Ad lt + At ld)",
            shigley("eq. 8-17"),
        )
        .style(RATE),
        Output::new(
            "member_stiffness",
            "stiffness of the members km, cone",
            Kind::SpringRate,
            "0.5774 pi E d / (2 ln[5 (0.5774 l + 0.5 d)/(0.5774 l + 2.5 d)])",
            CONE,
        )
        .range("one material, members wide enough for the cone, no gasket")
        .style(RATE),
        Output::new(
            "member_stiffness_fit",
            "stiffness of the members km, fitted",
            Kind::SpringRate,
            "E d A exp(B d / l)",
            FIT,
        )
        .range("steel A 0.78715 B 0.62873, cast iron A 0.77871 B 0.61616")
        .style(RATE),
        Output::new(
            "joint_constant",
            "share of the outside load on the bolt C",
            Kind::Number,
            "kb / (kb + km)",
            shigley("sec. 8-7"),
        )
        .style(Style::single(Form::decimal(unit::ONE, 0.0001))),
        Output::new(
            "preload",
            "preload Fi",
            Kind::Force,
            "0.75 or 0.90 of proof load, or as given",
            super::preload::TARGET,
        ),
        Output::new("preload_stress", "stress from the preload", Kind::Stress, "Fi / At", shigley("ex. 8-3"))
            .style(FINE_STRESS),
        Output::new(
            "elongation",
            "elongation of the bolt under the preload",
            Kind::Length,
            "Fi / kb",
            shigley("eq. 8-17"),
        )
        .range("elastic; the whole grip, head and nut not counted")
        .style(Style::pair(Form::decimal(unit::IN, 0.0001), Form::decimal(unit::MM, 0.001))),
        Output::new(
            "bolts_needed",
            "number of bolts for the wanted factor, exact",
            Kind::Number,
            "load_factor C P / (Sp At - Fi)",
            shigley("ex. 8-4"),
        )
        .style(Style::single(Form::decimal(unit::ONE, 0.01)).up()),
        Output::new(
            "bolts",
            "number of bolts",
            Kind::Number,
            "bolts_needed, to the next whole number",
            shigley("ex. 8-4"),
        )
        .style(Style::single(Form::decimal(unit::ONE, 1.0)).up()),
        Output::new(
            "bolt_stress",
            "stress in the bolt under load",
            Kind::Stress,
            "(C P + Fi) / At",
            shigley("ex. 8-3"),
        )
        .style(FINE_STRESS),
        Output::new(
            "yield_factor",
            "factor against proof np",
            Kind::Number,
            "Sp At / (C P + Fi)",
            shigley("eq. 8-28"),
        )
        .style(FACTOR),
        Output::new(
            "overload_factor",
            "factor against overload nL",
            Kind::Number,
            "(Sp At - Fi) / (C P)",
            shigley("eq. 8-29"),
        )
        .style(FACTOR),
        Output::new(
            "separation_factor",
            "factor against separation n0",
            Kind::Number,
            "Fi / (P (1 - C))",
            shigley("eq. 8-30"),
        )
        .style(FACTOR),
    ],
    example: "thread=\"5/8-11\" grade=\"grade 5\" grip=\"1.5 in\" bolt_length=\"2.25 in\" member_modulus=\"14 Mpsi\" member_material=cast-iron load=\"36 kip\" load_factor=2",
    run,
};

const FINE_STRESS: Style = Style::pair(Form::decimal(unit::KSI, 0.01), Form::decimal(unit::MPA, 0.1));

/// Threaded length of a hexagon bolt, Shigley table 8-7.
#[must_use]
pub fn thread_length(major: Length, length: Length, metric: bool) -> Length {
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

/// Material constants of the fitted member stiffness.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Material {
    /// Steel.
    Steel,
    /// Grey cast iron.
    CastIron,
}

/// Stiffness of members by the exponential fit E d A exp(B d/l). Source:
/// Shigley eq. 8-23, table 8-8.
#[must_use]
pub fn members_fit(major: Length, grip: Length, modulus: Stress, material: Material) -> SpringRate {
    let (a, b) = match material {
        Material::Steel => (0.787_15, 0.628_73),
        Material::CastIron => (0.778_71, 0.616_16),
    };
    SpringRate::from_si(modulus.si() * major.si() * a * math::exp(b * major.si() / grip.si()))
}

fn run(given: &Given, answer: &mut Answer) -> Result<(), Trouble> {
    let thread = selection::thread(given, answer)?;
    let area = selection::stress_area(given, &thread)?;
    let kb = bolt_side(given, answer, &thread, area)?;
    let km = member_side(given, answer, &thread)?;
    let c = kb.si() / (kb.si() + km.si());
    answer.put("joint_constant", Number::from_si(c));
    let has_strength = given.has("grade") || given.has("proof");
    if !has_strength && !given.has("preload") {
        return Ok(());
    }
    let proof_load =
        if has_strength { Some(selection::strength(given, &thread, answer)?.proof * area) } else { None };
    let preload = match (given.maybe::<Force>("preload")?, proof_load) {
        (Some(preload), _) => given::positive("preload", preload)?,
        (None, Some(proof)) => {
            proof * if given.maybe_word("joint")? == Some("permanent") { 0.90 } else { 0.75 }
        }
        (None, None) => return Err(Trouble::Missing(vec!["grade"])),
    };
    answer.put("preload", preload);
    answer.put("preload_stress", preload / area);
    answer.put("elongation", Length::from_si(preload.si() / kb.si()));
    if proof_load.is_some_and(|proof| preload > proof) {
        answer.warn("The preload is above the proof load: the bolt stretches for good. Lower it or use a larger bolt.");
    }
    let Some(load) = given.maybe::<Force>("load")? else { return Ok(()) };
    let load = given::positive("load", load)?;
    let bolts = number_of_bolts(given, answer, c, load, preload, proof_load)?;
    let each = load / bolts;
    let in_bolt = each * c + preload;
    answer.put("bolt_stress", in_bolt / area);
    if let Some(proof) = proof_load {
        let np = proof.si() / in_bolt.si();
        answer.put("yield_factor", Number::from_si(np));
        answer.put("overload_factor", Number::from_si((proof - preload).si() / (each.si() * c)));
        if np < 1.0 {
            answer.warn("Preload and load together exceed the proof load; use more or larger bolts.");
        }
    }
    let n0 = preload.si() / (each.si() * (1.0 - c));
    answer.put("separation_factor", Number::from_si(n0));
    if n0 < 1.0 {
        answer.warn("The load separates the joint; the bolt then carries all of it. Raise the preload or the number of bolts.");
    }
    Ok(())
}

fn bolt_side(
    given: &Given,
    answer: &mut Answer,
    thread: &selection::Thread,
    area: Area,
) -> Result<SpringRate, Trouble> {
    if let Some(kb) = given.maybe::<SpringRate>("bolt_stiffness")? {
        let kb = given::positive("bolt_stiffness", kb)?;
        answer.put("bolt_stiffness", kb);
        return Ok(kb);
    }
    given.require(&["grip"])?;
    let grip: Length = given::positive("grip", given.need("grip")?)?;
    let shank = match (given.maybe::<Length>("shank")?, given.maybe::<Length>("bolt_length")?) {
        (Some(shank), _) => shank,
        (None, Some(length)) => {
            if length < grip {
                return Err(Trouble::impossible(
                    "the bolt is shorter than the grip",
                    "check bolt_length and grip",
                ));
            }
            let threaded = thread_length(thread.major, length, thread.is_metric());
            answer.put("thread_length", threaded);
            let plain = if length > threaded { length - threaded } else { Length::from_si(0.0) };
            if plain < grip { plain } else { grip }
        }
        (None, None) => return Err(Trouble::Missing(vec!["bolt_length"])),
    };
    if shank.si() < 0.0 || shank > grip {
        return Err(Trouble::impossible(
            "the unthreaded length must be within the grip",
            "check shank and grip",
        ));
    }
    answer.put("shank", shank);
    let kb = bolt(profile::circle(thread.major), area, shank, grip - shank, modulus(given, thread)?);
    answer.put("bolt_stiffness", kb);
    Ok(kb)
}

fn modulus(given: &Given, thread: &selection::Thread) -> Result<Stress, Trouble> {
    let usual = if thread.is_metric() { Stress::of(207.0, unit::GPA) } else { Stress::of(30.0, unit::MPSI) };
    given::positive("bolt_modulus", given.or("bolt_modulus", usual)?)
}

fn member_side(
    given: &Given,
    answer: &mut Answer,
    thread: &selection::Thread,
) -> Result<SpringRate, Trouble> {
    if let Some(km) = given.maybe::<SpringRate>("member_stiffness")? {
        let km = given::positive("member_stiffness", km)?;
        answer.put("member_stiffness", km);
        return Ok(km);
    }
    let grip: Length = given::positive("grip", given.need("grip")?)?;
    let member: Stress =
        given::positive("member_modulus", given.or("member_modulus", modulus(given, thread)?)?)?;
    let material = if given.maybe_word("member_material")? == Some("cast-iron") {
        Material::CastIron
    } else {
        Material::Steel
    };
    let km = members_cone(thread.major, grip, member);
    answer.put("member_stiffness", km);
    answer.put("member_stiffness_fit", members_fit(thread.major, grip, member, material));
    Ok(km)
}

fn number_of_bolts(
    given: &Given,
    answer: &mut Answer,
    c: f64,
    load: Force,
    preload: Force,
    proof: Option<Force>,
) -> Result<f64, Trouble> {
    if let Some(factor) = given.maybe::<Number>("load_factor")? {
        let factor = given::positive("load_factor", factor)?;
        let Some(proof) = proof else { return Err(Trouble::Missing(vec!["grade"])) };
        if proof.si() <= preload.si() {
            return Err(Trouble::impossible(
                "the preload leaves nothing of the proof load",
                "lower the preload",
            ));
        }
        let needed = factor.si() * c * load.si() / (proof - preload).si();
        answer.put("bolts_needed", Number::from_si(needed));
        let whole = (needed - 1e-9).ceil().max(1.0);
        if !given.has("bolts") {
            answer.put("bolts", Number::from_si(whole));
            return Ok(whole);
        }
    }
    #[expect(clippy::cast_precision_loss, reason = "a count up to 200")]
    let bolts = super::stages::count(given, "bolts", Some(1.0), 1.0)? as f64;
    answer.put("bolts", Number::from_si(bolts));
    Ok(bolts)
}
