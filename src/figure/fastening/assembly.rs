//! Assembly preload and torque by VDI 2230.

use super::bears::{self, Bears};
use super::friction::{Contact, FRICTION, Face, tell_wins};
use super::preload::at_yield_share;
use super::profile;
use super::selection::{FINE_TORQUE, Graded, Named};
use crate::figure::prelude::*;
use crate::figure::rule::agree;
use crate::figure::usual::STRENGTH;

const VDI: Source = Source::standard("VDI 2230:2003", "tables A1 to A4; checked against printed rows");
const FORCE: Style = Style::pair(Form::decimal(unit::LBF, 10.0), Form::decimal(unit::KN, 0.1)).down();

family! {
    pub VDI_PRELOAD = "vdi-preload" in Fastening:
        "assembly preload and torque by VDI 2230 at a share of yield";
    also "vdi-2230", "vdi", "assembly-preload";
    reads Assembly {
        ..bolt: Named;
        ..graded: Graded;
        ..face: Face;
        optional yield_strength: Stress in STRENGTH, "yield strength, if not from the grade",
            "rp02", "yield_stress", "rp", "yield", "Sy", "Re";
        default mu: Number = "0.12" in FRICTION, "friction of thread and bearing face",
            "mu_total", "friction", "friction_coefficient", "coefficient_of_friction", "cof", "mu_ges", "f";
        optional mu_thread: Number in FRICTION, "thread friction; wins over mu", "thread_friction", "mu_g", "mu_t";
        optional mu_bearing: Number in FRICTION, "bearing friction; wins over mu",
            "bearing_friction", "head_friction", "mu_head", "mu_k", "mu_b";
        default yield_use: Percent = "90 %" in within(1.0, 100.0, unit::PCT, VDI), "share of yield used",
            "utilisation", "utilization", "yield_share", "nu";
    }
    gives Assembled {
        yield_stress: Stress, "yield strength used", "table by size", VDI;
        stress_diameter: Length, "stress diameter d0", "(d2 + d3)/2", VDI => .style(GAUGE);
        preload: Force, "assembly preload F_M",
            "A0 nu Rp0.2 / sqrt(1 + 3 [1.5 (d2/d0) (P/(pi d2) + 1.155 mu_G)]^2)", VDI
            => .range("elastic, 60 degree thread, shank not thinner than the thread").style(FORCE);
        torque: Torque, "tightening torque M_A", "F_M (0.16 P + 0.58 d2 mu_G + D_Km/2 mu_K)", VDI
            => .style(FINE_TORQUE.down());
        nut_factor: Number, "nut factor K", "M_A / (F_M d)", VDI;
        proof_share: Percent, "share of proof load", "preload / (proof stress x stress area)", VDI;
        verdict: Bears, "whether the bolt bears the preload", "preload against the proof load", bears::PROOF
            => .claims(&[Bears::Yes.word()]);
    }
    asked torque;
    example "thread=M12x1.25 grade=8.8 mu=0.12";
    by assemble
}

fn assemble(given: &Assembly, answer: &mut Assembled) -> Result<()> {
    let thread = given.bolt.find(&mut answer.said)?;
    let entered = *given.yield_strength;
    let strength = if entered.is_none() || given.graded.grade.given() {
        Some(given.graded.of(&thread, &mut answer.said)?)
    } else {
        None
    };
    let listed = strength.as_ref().and_then(|s| s.yielding);
    if let (Some(entered), Some(listed)) = (entered, listed) {
        agree(("yield_strength", entered), ("that of the grade", listed), listed * 0.01)?;
    }
    let yielding = entered.or(listed).ok_or_else(|| Trouble::Missing(vec!["yield_strength"]))?;
    tell_wins(given.mu.given(), given.mu_thread.given(), given.mu_bearing.given(), &mut answer.said);
    let mu_thread = given.mu_thread.unwrap_or_else(|| *given.mu);
    let mu_bearing = given.mu_bearing.unwrap_or_else(|| *given.mu);
    let preload = at_yield_share(&thread, yielding, mu_thread, *given.yield_use);
    let bearing = given.face.mean(&thread)?;
    let contact = Contact { root: profile::root(&thread), bearing, mu_thread, mu_bearing, thread };
    let arm = contact.vdi_terms().into_iter().fold(0.0, |sum, term| sum + term.si());
    let thread = &contact.thread;
    answer.yield_stress.put(yielding);
    answer.stress_diameter.put((profile::pitch_diameter(thread) + profile::minor_external(thread)) * 0.5);
    answer.preload.put(preload);
    answer.torque.put(Torque::from_si(arm * preload.si()));
    answer.nut_factor.put(Number::from_si(arm / thread.major.si()));
    let stated = strength.map(|s| s.proof).or(*given.graded.proof);
    if let Some(proof) = stated {
        (proof > yielding * (1.0 + 1e-9)).refuse(
            "the proof stress is above the yield strength, and no bolt has that",
            "check proof and yield_strength: they may be swapped",
        )?;
    }
    let proof = stated.map(|proof| proof * profile::nominal_stress_area(thread));
    answer.proof_share.put_some(proof.map(|proof| Percent::from_si(preload.si() / proof.si())));
    let high = preload + answer.preload.expanded();
    let verdict = Bears::judge(preload, high, proof);
    verdict.tell(&mut answer.said, preload, high, proof);
    answer.verdict.put(verdict);
    if !thread.is_metric() {
        answer.warn("The method is printed for ISO metric threads; for an inch thread the UNR minor diameter stands for d3.");
    }
    Ok(())
}
