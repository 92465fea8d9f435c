//! Friction found back from a measured torque and preload.

use std::f64::consts::PI;

use super::friction::bearing_diameter;
use super::profile;
use super::selection::{self, THREAD, shigley};
use crate::figure::{Answer, Declared, Family, Given, Group, Input, Output, Trouble, given};
use crate::quantity::{Dimensioned, Force, Kind, Length, Number, Torque};
use crate::source::Source;

/// Source of the total friction.
pub(super) const ISO: Source =
    Source::standard("ISO 16047", "total, thread and bearing friction").from_memory();

/// Friction and nut factor behind a torque and a preload.
pub static FRICTION_TOTAL: Family = Family {
    name: "friction-total",
    declared: Declared::OLD,
    group: Group::Fastening,
    title: "total friction and nut factor found back from a torque and a preload",
    inputs: &[
        THREAD,
        Input::required("torque", Kind::Torque, "tightening torque").also(&["tightening_torque", "ma"]),
        Input::required("preload", Kind::Force, "preload reached").also(&["force", "clamp_load", "fm"]),
        Input::optional("thread_torque", Kind::Torque, "torque measured in the shank, to split the friction"),
        Input::optional(
            "bearing_diameter",
            Kind::Length,
            "mean diameter of the bearing face; without it (dw + dh)/2 or 1.25 d",
        )
        .also(&["db", "dkm", "d_b"]),
        Input::optional("washer_face", Kind::Length, "outer diameter of the bearing face dw").also(&["dw"]),
        Input::optional("hole", Kind::Length, "hole diameter dh").also(&["dh", "clearance_hole"]),
    ],
    outputs: &[
        Output::new(
            "mu_total",
            "total friction",
            Kind::Number,
            "(T/F - P/(2 pi)) / (0.577 d2 + 0.5 Db)",
            ISO,
        )
        .style(crate::quantity::Style::single(crate::quantity::Form::decimal(
            crate::quantity::unit::ONE,
            0.0001,
        ))),
        Output::new("nut_factor", "nut factor K", Kind::Number, "T / (d F)", shigley("eq. 8-27")).style(
            crate::quantity::Style::single(crate::quantity::Form::decimal(
                crate::quantity::unit::ONE,
                0.0001,
            )),
        ),
        Output::new(
            "mu_thread",
            "thread friction",
            Kind::Number,
            "(T_thread/F - P/(2 pi)) / (0.577 d2)",
            ISO,
        ),
        Output::new("mu_bearing", "bearing friction", Kind::Number, "(T - T_thread) / (0.5 Db F)", ISO),
    ],
    example: "thread=\"M16x1.5\" torque=\"218 N·m\" preload=\"87.6 kN\"",
    run,
};

/// Total friction of ISO 16047 from torque per preload.
#[must_use]
pub fn total(arm: Length, pitch: Length, pitch_diameter: Length, bearing: Length) -> Number {
    let left = arm.si() - pitch.si() / (2.0 * PI);
    Number::from_si(left / (0.577 * pitch_diameter.si() + 0.5 * bearing.si()))
}

fn run(given: &Given, answer: &mut Answer) -> Result<(), Trouble> {
    let thread = selection::thread(given, answer)?;
    let torque: Torque = given::positive("torque", given.need("torque")?)?;
    let preload: Force = given::positive("preload", given.need("preload")?)?;
    let bearing = bearing_diameter(given, &thread, 1.25)?;
    let d2 = profile::pitch_diameter(&thread);
    let arm = Length::from_si(torque.si() / preload.si());
    let mu = total(arm, thread.pitch, d2, bearing);
    if mu.si() < 0.0 {
        return Err(Trouble::impossible(
            "the torque is less than the pitch alone needs for this preload",
            "check torque and preload",
        ));
    }
    answer.put("mu_total", mu);
    if mu.si() > 0.5 {
        answer.warn("A friction above 0.5 is not usual for steel fasteners: check torque, preload and thread, and look for galling.");
    }
    answer.put("nut_factor", Number::from_si(arm.si() / thread.major.si()));
    if let Some(part) = given.maybe::<Torque>("thread_torque")? {
        if part.si() <= 0.0 || part.si() >= torque.si() {
            return Err(Trouble::impossible(
                "the torque in the thread must be a part of the whole",
                "check thread_torque",
            ));
        }
        let mu_thread = (part.si() / preload.si() - thread.pitch.si() / (2.0 * PI)) / (0.577 * d2.si());
        answer.put("mu_thread", Number::from_si(mu_thread));
        let rest = (torque - part).si() / (0.5 * bearing.si() * preload.si());
        answer.put("mu_bearing", Number::from_si(rest));
    }
    Ok(())
}
