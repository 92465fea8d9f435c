//! The nut factor that a measured torque and preload amount to.

use super::friction::bearing_diameter;
use super::profile;
use super::selection::{DIAMETER, THREAD_OR_SIZE, shigley};
use super::torque::{size, warn_nut_factor};
use super::total_friction::{ISO, total};
use crate::figure::{Answer, Declared, Family, Given, Group, Input, Output, Trouble, given};
use crate::quantity::{Dimensioned, Force, Form, Kind, Length, Number, Style, Torque, unit};
use crate::source::Source;

const SHORT: Source = shigley("eq. 8-27, T = K d F");
const FINE: Style = Style::single(Form::decimal(unit::ONE, 0.0001));

/// K from a test: torque and the preload it gave.
pub static NUT_FACTOR: Family = Family {
    name: "nut-factor",
    declared: Declared::OLD,
    group: Group::Fastening,
    title: "nut factor K that a torque and the preload it gave amount to",
    inputs: &[
        THREAD_OR_SIZE,
        DIAMETER,
        Input::required("torque", Kind::Torque, "tightening torque").also(&["t", "tightening_torque", "ta"]),
        Input::required("preload", Kind::Force, "preload reached").also(&[
            "force",
            "clamp_load",
            "f",
            "fi",
            "tension",
            "bolt_load",
            "axial_force",
        ]),
    ],
    outputs: &[
        Output::new("nut_factor", "nut factor K", Kind::Number, "T / (d F)", SHORT)
            .range("below yield; this finish, lubricant and bearing face only")
            .style(FINE),
        Output::new(
            "mu_total",
            "total friction it stands for, bearing diameter 1.25 d",
            Kind::Number,
            "(T/F - P/(2 pi)) / (0.577 d2 + 0.5 Db)",
            ISO,
        )
        .range("with a thread designation")
        .style(FINE),
    ],
    example: "diameter=\"12 mm\" torque=\"85 N·m\" preload=\"40 kN\"",
    run,
};

/// Nut factor of a torque and a preload, K = T / (d F).
///
/// Source: Shigley eq. 8-27.
#[must_use]
pub fn nut_factor(torque: Torque, major: Length, preload: Force) -> Number {
    Number::from_si(torque.si() / (major.si() * preload.si()))
}

fn run(given: &Given, answer: &mut Answer) -> Result<(), Trouble> {
    let (major, thread) = size(given, answer)?;
    let torque: Torque = given::positive("torque", given.need("torque")?)?;
    let preload: Force = given::positive("preload", given.need("preload")?)?;
    let factor = nut_factor(torque, major, preload);
    answer.put("nut_factor", factor);
    warn_nut_factor(answer, factor);
    if let Some(thread) = thread {
        let bearing = bearing_diameter(given, &thread, 1.25)?;
        let arm = Length::from_si(torque.si() / preload.si());
        let mu = total(arm, thread.pitch, profile::pitch_diameter(&thread), bearing);
        if mu.si() >= 0.0 {
            answer.put("mu_total", mu);
        }
    }
    Ok(())
}
