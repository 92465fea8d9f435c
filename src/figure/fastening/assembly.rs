//! Assembly preload and torque by VDI 2230.

use super::friction::{Contact, bearing_diameter, friction, warn_wins};
use super::preload::at_yield_share;
use super::profile;
use super::selection::{self, FINE_TORQUE, GRADE, PROOF, THREAD};
use crate::figure::{Answer, Declared, Family, Given, Group, Input, Output, Trouble, given};
use crate::quantity::{Dimensioned, Form, Kind, Number, Percent, Stress, Style, Torque, unit};
use crate::source::Source;

const VDI: Source = Source::standard("VDI 2230:2003", "tables A1 to A4; checked against 69 printed rows");

/// Largest preload and torque at a share of yield.
pub static VDI_PRELOAD: Family = Family {
    name: "vdi-preload",
    declared: Declared::OLD,
    group: Group::Fastening,
    title: "assembly preload and torque by VDI 2230 at a share of yield",
    inputs: &[
        THREAD,
        GRADE,
        Input::optional("yield_strength", Kind::Stress, "yield strength, if not from the grade").also(&[
            "rp02",
            "yield_stress",
            "rp",
        ]),
        Input::defaulted("mu", Kind::Number, "0.12", "friction of thread and bearing face")
            .also(&["mu_total", "friction"]),
        Input::optional("mu_thread", Kind::Number, "thread friction; wins over mu").also(&[
            "thread_friction",
            "mu_g",
            "mu_t",
        ]),
        Input::optional("mu_bearing", Kind::Number, "bearing friction; wins over mu").also(&[
            "bearing_friction",
            "head_friction",
            "mu_head",
            "mu_k",
            "mu_b",
        ]),
        Input::defaulted("yield_use", Kind::Percent, "90 %", "share of yield used").also(&[
            "utilisation",
            "utilization",
            "yield_share",
            "nu",
        ]),
        Input::optional(
            "bearing_diameter",
            Kind::Length,
            "mean diameter of the bearing face; without it (dw + dh)/2 or 1.25 d",
        )
        .also(&["db", "dkm"]),
        Input::optional("washer_face", Kind::Length, "outer diameter of the bearing face dw").also(&["dw"]),
        Input::optional("hole", Kind::Length, "hole diameter dh").also(&["dh", "clearance_hole"]),
        PROOF,
    ],
    outputs: &[
        Output::new("yield_stress", "yield strength used", Kind::Stress, "table by size", VDI),
        Output::new("stress_diameter", "stress diameter d0", Kind::Length, "(d2 + d3)/2", VDI)
            .style(crate::quantity::show::GAUGE),
        Output::new(
            "preload",
            "assembly preload F_M",
            Kind::Force,
            "A0 nu Rp0.2 / sqrt(1 + 3 [1.5 (d2/d0) (P/(pi d2) + 1.155 mu_G)]^2)",
            VDI,
        )
        .range("elastic, 60 degree thread, shank not thinner than the thread")
        .style(Style::pair(Form::decimal(unit::LBF, 10.0), Form::decimal(unit::KN, 0.1)).down()),
        Output::new(
            "torque",
            "tightening torque M_A",
            Kind::Torque,
            "F_M (0.16 P + 0.58 d2 mu_G + D_Km/2 mu_K)",
            VDI,
        )
        .style(FINE_TORQUE.down()),
        Output::new("nut_factor", "nut factor K", Kind::Number, "M_A / (F_M d)", VDI),
        Output::new(
            "proof_share",
            "share of proof load",
            Kind::Percent,
            "preload / (proof stress x stress area)",
            VDI,
        ),
    ],
    example: "thread=M12x1.25 grade=8.8 mu=0.12",
    run,
};

fn run(given: &Given, answer: &mut Answer) -> Result<(), Trouble> {
    let thread = selection::thread(given, answer)?;
    let entered: Option<Stress> = given.maybe("yield_strength")?;
    let strength = if entered.is_none() || given.has("grade") {
        Some(selection::strength(given, &thread, answer)?)
    } else {
        None
    };
    let yielding = match (entered, strength.as_ref().and_then(|s| s.yielding)) {
        (Some(entered), _) => given::positive("yield_strength", entered)?,
        (None, Some(listed)) => listed,
        (None, None) => return Err(Trouble::Missing(vec!["yield_strength"])),
    };
    let both: Number = given.or("mu", Number::from_si(0.12))?;
    warn_wins(given, answer);
    let mu_thread = friction("mu_thread", given.or("mu_thread", both)?)?;
    let mu_bearing = friction("mu_bearing", given.or("mu_bearing", both)?)?;
    let share: Percent = given.or("yield_use", Percent::from_si(0.9))?;
    given::within("yield_use", share, unit::PCT, 1.0..=100.0, VDI)?;
    let preload = at_yield_share(&thread, yielding, mu_thread, share);
    let bearing = bearing_diameter(given, &thread, 1.25)?;
    let contact = Contact { root: profile::root(&thread), bearing, mu_thread, mu_bearing, thread };
    let arm = contact.vdi_terms().into_iter().fold(0.0, |sum, term| sum + term.si());
    let thread = &contact.thread;
    answer.put("yield_stress", yielding);
    answer.put("stress_diameter", (profile::pitch_diameter(thread) + profile::minor_external(thread)) * 0.5);
    answer.put("preload", preload);
    answer.put("torque", Torque::from_si(arm * preload.si()));
    answer.put("nut_factor", Number::from_si(arm / thread.major.si()));
    if let Some(strength) = strength {
        let proof = strength.proof * profile::nominal_stress_area(thread);
        answer.put("proof_share", Percent::from_si(preload.si() / proof.si()));
    }
    if !thread.is_metric() {
        answer.warn("The method is printed for ISO metric threads; for an inch thread the UNR minor diameter stands for d3.");
    }
    Ok(())
}
