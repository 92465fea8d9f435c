//! Preload targets.

use super::bears::{self, Bears};
use super::profile;
use super::selection::{Graded, Named, Section, Thread, shigley};
use crate::figure::prelude::*;

const STRUCTURAL: Source =
    Source::standard("RCSC Specification for Structural Joints", "minimum pretension, 0.70 of tensile")
        .from_memory();
const VDI: Source =
    Source::standard("VDI 2230:2003", "table A1, assembly preload; checked against printed rows");
const KIP: Style = Style::pair(Form::decimal(unit::KIP, 1.0), Form::decimal(unit::KN, 1.0));
/// Source of the 75 and 90 per cent targets.
pub(super) const TARGET: Source = shigley("eq. 8-31 and 8-32, p. 442");

words! {
    /// Whether a connection is taken apart again.
    pub Connection {
        /// Taken apart again: 75 % of proof.
        Reused = "reused" | "reuse" | "reusable",
        /// Permanent: 90 % of proof.
        Permanent = "permanent",
    }
}

impl Connection {
    /// Share of the proof load it is tightened to, Shigley eq. 8-31.
    #[must_use]
    pub fn share(self) -> Percent {
        Percent::from_si(match self {
            Connection::Reused => 0.75,
            Connection::Permanent => 0.90,
        })
    }
}

family! {
    pub PRELOAD = "preload" in Fastening:
        "preload targets of a bolt: share of proof load, structural minimum, share of yield in tightening";
    also "preload-target", "preload-targets", "bolt-preload", "pretension", "clamp-load";
    reads Target {
        ..bolt: Named;
        ..graded: Graded;
        ..section: Section;
        optional percent: Percent in ABOVE_ZERO, "wanted share of the proof load",
            "percent_of_proof", "percent_proof", "share";
        optional joint: Connection, "without percent: reused 75 % of proof, permanent 90 %", "connection", "use";
        default mu_thread: Number = "0.12" in within(0.0, 0.5, unit::ONE, VDI),
            "thread friction for the share of yield", "mu", "mu_g", "thread_friction";
        default yield_use: Percent = "90 %" in within(1.0, 100.0, unit::PCT, VDI),
            "share of yield used while tightening", "nu";
    }
    gives Preloads {
        stress_area: Area, "tensile stress area", "as printed in the thread table, else formula 1", shigley("eq. 8-2");
        proof_load: Force, "proof load Fp", "proof stress x stress_area", shigley("eq. 8-32");
        preload_reused: Force, "preload, connection taken apart again", "0.75 Fp", TARGET;
        preload_permanent: Force, "preload, permanent connection", "0.90 Fp", TARGET;
        preload: Force, "preload at the wanted share", "percent x Fp", TARGET;
        preload_stress: Stress, "stress at that preload", "preload / stress_area", TARGET;
        verdict: Bears, "whether the bolt bears that preload", "preload against proof_load", bears::PROOF
            => .claims(&[Bears::Yes.word()]);
        preload_yield: Force, "preload at the share of yield, torsion counted",
            "A0 nu Rp / sqrt(1 + 3 [1.5 (d2/d0) (P/(pi d2) + 1.155 mu)]^2), d0 = (d2 + d3)/2", VDI
            => .range("elastic, 60 degree thread; inch: UNR minor diameter for d3");
        pretension: Force, "structural minimum pretension", "0.70 tensile x stress_area", STRUCTURAL;
        pretension_rounded: Force, "structural minimum pretension, to the kip", "pretension rounded to 1 kip", STRUCTURAL
            => .range("printed for 120 and 150 ksi structural bolts, 1/2 to 1-1/2 in").style(KIP);
    }
    asked preload, preload_reused;
    example "thread=\"3/4-10\" grade=\"A449\"";
    by targets
}

fn targets(given: &Target, answer: &mut Preloads) -> Result<()> {
    let thread = given.bolt.find(&mut answer.said)?;
    let strength = given.graded.of(&thread, &mut answer.said)?;
    let area = given.section.of(&thread)?;
    let proof_load = strength.proof * area;
    answer.stress_area.put(area);
    answer.proof_load.put(proof_load);
    answer.preload_reused.put(proof_load * Connection::Reused.share().si());
    answer.preload_permanent.put(proof_load * Connection::Permanent.share().si());
    let share = match *given.percent {
        Some(share) => Some(share),
        None => given.joint.map(Connection::share),
    };
    if let Some(share) = share {
        let preload = proof_load * share.si();
        bears::refuse_broken(preload, &thread, area, Some(&strength))?;
        if share.si() > 1.0 {
            answer.warn("A preload above the proof load stretches the bolt for good; use it only with a yield-controlled method.");
        }
        bears::tell_slack(&mut answer.said, share.si());
        answer.preload.put(preload);
        answer.preload_stress.put(strength.proof * share.si());
        let high = preload + answer.preload.expanded();
        answer.verdict.put(Bears::judge(preload, high, Some(proof_load)));
    }
    answer.preload_yield.put_some(
        strength
            .yielding
            .map(|yielding| at_yield_share(&thread, yielding, *given.mu_thread, *given.yield_use)),
    );
    if let Some(tensile) = strength.tensile {
        let pretension = tensile * area * 0.70;
        answer.pretension.put(pretension);
        if !thread.is_metric() {
            let kip = round::to_step(pretension.to(unit::KIP), 1.0, Toward::Nearest);
            answer.pretension_rounded.decide(Force::of(kip, unit::KIP));
        }
    }
    Ok(())
}

/// Preload at which tension and tightening torsion together reach a share of
/// the yield strength.
///
/// Source: VDI 2230, FM,Tab = A0 nu Rp0.2 / sqrt(1 + 3 [(3/2)(d2/d0)(P/(pi d2) +
/// 1.155 mu_G)]^2).
pub(super) fn at_yield_share(thread: &Thread, yielding: Stress, mu_thread: Number, share: Percent) -> Force {
    let d2 = profile::pitch_diameter(thread);
    let d0 = (d2 + profile::minor_external(thread)) * 0.5;
    let torsion = 1.5 * (d2 / d0).value * (thread.pitch.si() / (PI * d2.si()) + 1.155 * mu_thread.si());
    profile::circle(d0) * yielding * (share.si() / (1.0 + 3.0 * torsion * torsion).sqrt())
}
