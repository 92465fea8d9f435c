//! Preload targets.

use std::f64::consts::PI;

use super::profile;
use super::selection::{self, AREA, GRADE, PROOF, THREAD, Thread, shigley};
use crate::figure::{Answer, Declared, Family, Given, Group, Input, Need, Output, Trouble, given};
use crate::quantity::{Dimensioned, Force, Form, Kind, Number, Percent, Stress, Style, Toward, round, unit};
use crate::source::Source;

const STRUCTURAL: Source =
    Source::standard("RCSC Specification for Structural Joints", "minimum pretension, 0.70 of tensile")
        .from_memory();
const VDI: Source =
    Source::standard("VDI 2230:2003", "table A1, assembly preload; checked against 69 printed rows");
/// Source of the 75 and 90 per cent targets.
pub(super) const TARGET: Source = shigley("eq. 8-31 and 8-32, p. 442");

/// Preloads a bolt can be tightened to.
pub static PRELOAD: Family = Family {
    name: "preload",
    declared: Declared::OLD,
    group: Group::Fastening,
    title: "preload targets of a bolt: share of proof load, structural minimum, share of yield in tightening",
    inputs: &[
        THREAD,
        GRADE,
        Input::optional("percent", Kind::Percent, "wanted share of the proof load").also(&[
            "percent_of_proof",
            "percent_proof",
            "share",
        ]),
        Input::choice(
            "joint",
            &["reused", "permanent"],
            Need::Optional,
            "without percent: reused 75 % of proof, permanent 90 %",
        )
        .also(&["connection", "use"]),
        Input::defaulted("mu_thread", Kind::Number, "0.12", "thread friction for the share of yield")
            .also(&["mu", "mu_g", "thread_friction"]),
        Input::defaulted("yield_use", Kind::Percent, "90 %", "share of yield used while tightening")
            .also(&["nu"]),
        PROOF,
        AREA,
    ],
    outputs: &[
        Output::new(
            "stress_area",
            "tensile stress area",
            Kind::Area,
            "as printed in the thread table, else formula 1",
            shigley("eq. 8-2"),
        ),
        Output::new(
            "proof_load",
            "proof load Fp",
            Kind::Force,
            "proof stress x stress_area",
            shigley("eq. 8-32"),
        ),
        Output::new(
            "preload_reused",
            "preload, connection taken apart again",
            Kind::Force,
            "0.75 Fp",
            TARGET,
        ),
        Output::new("preload_permanent", "preload, permanent connection", Kind::Force, "0.90 Fp", TARGET),
        Output::new("preload", "preload at the wanted share", Kind::Force, "percent x Fp", TARGET),
        Output::new(
            "preload_stress",
            "stress at that preload",
            Kind::Stress,
            "preload / stress_area",
            TARGET,
        ),
        Output::new(
            "preload_yield",
            "preload at the share of yield, torsion counted",
            Kind::Force,
            "A0 nu Rp / sqrt(1 + 3 [1.5 (d2/d0) (P/(pi d2) + 1.155 mu)]^2), d0 = (d2 + d3)/2",
            VDI,
        )
        .range("elastic, 60 degree thread; inch: UNR minor diameter for d3"),
        Output::new(
            "pretension",
            "structural minimum pretension",
            Kind::Force,
            "0.70 tensile x stress_area",
            STRUCTURAL,
        ),
        Output::new(
            "pretension_rounded",
            "structural minimum pretension, to the kip",
            Kind::Force,
            "pretension rounded to 1 kip",
            STRUCTURAL,
        )
        .range("printed for 120 and 150 ksi structural bolts, 1/2 to 1-1/2 in")
        .style(Style::pair(Form::decimal(unit::KIP, 1.0), Form::decimal(unit::KN, 1.0))),
    ],
    example: "thread=\"3/4-10\" grade=\"A449\"",
    run,
};

fn run(given: &Given, answer: &mut Answer) -> Result<(), Trouble> {
    let thread = selection::thread(given, answer)?;
    let strength = selection::strength(given, &thread, answer)?;
    let area = selection::stress_area(given, &thread)?;
    let proof_load = strength.proof * area;
    answer.put("stress_area", area);
    answer.put("proof_load", proof_load);
    answer.put("preload_reused", proof_load * 0.75);
    answer.put("preload_permanent", proof_load * 0.90);
    let by_joint = given
        .maybe_word("joint")?
        .map(|joint| Percent::from_si(if joint == "permanent" { 0.90 } else { 0.75 }));
    if let Some(percent) = given.maybe::<Percent>("percent")?.or(by_joint) {
        let share = given::positive("percent", percent)?;
        if share.si() > 1.0 {
            answer.warn("A preload above the proof load stretches the bolt for good; use it only with a yield-controlled method.");
        }
        answer.put("preload", proof_load * share.si());
        answer.put("preload_stress", strength.proof * share.si());
    }
    if let Some(yielding) = strength.yielding {
        let mu: Number = given.or("mu_thread", Number::from_si(0.12))?;
        given::within("mu_thread", mu, unit::ONE, 0.0..=0.5, VDI)?;
        let use_of: Percent = given.or("yield_use", Percent::from_si(0.9))?;
        given::within("yield_use", use_of, unit::PCT, 1.0..=100.0, VDI)?;
        answer.put("preload_yield", at_yield_share(&thread, yielding, mu, use_of));
    }
    if let Some(tensile) = strength.tensile {
        let pretension = tensile * area * 0.70;
        answer.put("pretension", pretension);
        if !thread.is_metric() {
            let kip = round::to_step(pretension.to(unit::KIP), 1.0, Toward::Nearest);
            answer.put("pretension_rounded", Force::of(kip, unit::KIP));
        }
    }
    Ok(())
}

/// Preload at which tension and tightening torsion together reach a share of
/// the yield strength.
///
/// Source: VDI 2230, FM,Tab = A0 nu Rp0.2 / sqrt(1 + 3 [(3/2)(d2/d0)(P/(pi d2) +
/// 1.155 mu_G)]^2).
#[must_use]
pub fn at_yield_share(thread: &Thread, yielding: Stress, mu_thread: Number, share: Percent) -> Force {
    let d2 = profile::pitch_diameter(thread);
    let d0 = (d2 + profile::minor_external(thread)) * 0.5;
    let torsion = 1.5 * (d2 / d0).value * (thread.pitch.si() / (PI * d2.si()) + 1.155 * mu_thread.si());
    profile::circle(d0) * yielding * (share.si() / (1.0 + 3.0 * torsion * torsion).sqrt())
}
