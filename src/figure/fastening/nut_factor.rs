//! The nut factor that a measured torque and preload amount to.

use super::bears;
use super::factor::SHORT;
use super::friction::bearing_usual;
use super::profile;
use super::selection::BySize;
use super::short_form::implied_factor;
use super::torque::warn_nut_factor;
use super::total_friction::{ISO, total};
use crate::figure::prelude::*;

family! {
    pub NUT_FACTOR = "nut-factor" in Fastening: "nut factor K that a torque and the preload it gave amount to";
    also "k-factor", "torque-coefficient", "torque-factor", "nut-factor-from-test";
    reads Test {
        ..size: BySize;
        required torque: Torque in ABOVE_ZERO, "tightening torque", "t", "tightening_torque", "ta";
        required preload: Force in ABOVE_ZERO, "preload reached",
            "force", "clamp_load", "f", "fi", "tension", "bolt_load", "axial_force";
    }
    gives TestFactor {
        nut_factor: Number, "nut factor K", "T / (d F)", SHORT
            => .range("below yield; this finish, lubricant and bearing face only").style(TEN_THOUSANDTH);
        mu_total: Number, "total friction it stands for, bearing diameter 1.25 d",
            "(T/F - P/(2 pi)) / (0.577 d2 + 0.5 Db)", ISO => .range("with a thread designation").style(TEN_THOUSANDTH);
    }
    example "diameter=\"12 mm\" torque=\"85 N·m\" preload=\"40 kN\"";
    by tested
}

fn tested(given: &Test, answer: &mut TestFactor) -> Result<()> {
    let (major, thread) = given.size.size(None, &mut answer.said)?;
    let (torque, preload) = (*given.torque, *given.preload);
    bears::refuse_any_broken(preload, major, thread.as_ref())?;
    let factor = implied_factor(torque, major, preload);
    answer.nut_factor.put(factor);
    warn_nut_factor(&mut answer.said, factor);
    if let Some(thread) = thread {
        let arm = Length::from_si(torque.si() / preload.si());
        let mu = total(arm, thread.pitch, profile::pitch_diameter(&thread), bearing_usual(&thread));
        answer.mu_total.put_some(Some(mu).filter(|mu| mu.si() >= 0.0));
    }
    Ok(())
}
