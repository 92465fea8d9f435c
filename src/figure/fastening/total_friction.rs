//! Friction found back from a measured torque and preload.

use super::bears;
use super::friction::Face;
use super::profile;
use super::selection::{Named, shigley};
use crate::figure::prelude::*;

/// Source of the total friction.
pub(super) const ISO: Source =
    Source::standard("ISO 16047", "total, thread and bearing friction").from_memory();

family! {
    pub FRICTION_TOTAL = "friction-total" in Fastening:
        "total friction and nut factor found back from a torque and a preload";
    also "total-friction", "friction-from-torque", "friction-back-calculation";
    reads Measured {
        ..bolt: Named;
        ..face: Face;
        required torque: Torque in ABOVE_ZERO, "tightening torque", "tightening_torque", "ma", "T", "M";
        required preload: Force in ABOVE_ZERO, "preload reached", "force", "clamp_load", "fm", "F", "Fv";
        optional thread_torque: Torque in ABOVE_ZERO, "torque measured in the shank, to split the friction";
    }
    gives Friction {
        mu_total: Number, "total friction", "(T/F - P/(2 pi)) / (0.577 d2 + 0.5 Db)", ISO => .style(TEN_THOUSANDTH);
        nut_factor: Number, "nut factor K", "T / (d F)", shigley("eq. 8-27") => .style(TEN_THOUSANDTH);
        mu_thread: Number, "thread friction", "(T_thread/F - P/(2 pi)) / (0.577 d2)", ISO;
        mu_bearing: Number, "bearing friction", "(T - T_thread) / (0.5 Db F)", ISO;
    }
    example "thread=\"M16x1.5\" torque=\"218 N·m\" preload=\"87.6 kN\"";
    by found_back
}

/// Total friction of ISO 16047 from torque per preload.
#[must_use]
pub fn total(arm: Length, pitch: Length, pitch_diameter: Length, bearing: Length) -> Number {
    let left = arm.si() - pitch.si() / (2.0 * PI);
    Number::from_si(left / (0.577 * pitch_diameter.si() + 0.5 * bearing.si()))
}

fn found_back(given: &Measured, answer: &mut Friction) -> Result<()> {
    let thread = given.bolt.find(&mut answer.said)?;
    let (torque, preload) = (*given.torque, *given.preload);
    bears::refuse_any_broken(preload, thread.major, Some(&thread))?;
    let bearing = given.face.mean(&thread)?;
    let d2 = profile::pitch_diameter(&thread);
    let arm = Length::from_si(torque.si() / preload.si());
    let mu = total(arm, thread.pitch, d2, bearing);
    (mu.si() < 0.0).refuse(
        "the torque is less than the pitch alone needs for this preload",
        "check torque and preload",
    )?;
    answer.mu_total.put(mu);
    if mu.si() > 0.5 {
        answer.warn("A friction above 0.5 is not usual for steel fasteners: check torque, preload and thread, and look for galling.");
    }
    answer.nut_factor.put(Number::from_si(arm.si() / thread.major.si()));
    if let Some(part) = *given.thread_torque {
        (part >= torque)
            .refuse("the torque in the thread must be a part of the whole", "check thread_torque")?;
        let mu_thread = (part.si() / preload.si() - thread.pitch.si() / (2.0 * PI)) / (0.577 * d2.si());
        answer.mu_thread.put(Number::from_si(mu_thread));
        let rest = (torque - part).si() / (0.5 * bearing.si() * preload.si());
        answer.mu_bearing.put(Number::from_si(rest));
    }
    Ok(())
}
