//! A tapered shim between spring and pad.

use crate::figure::{Answer, Declared, Family, Given, Group, Input, Need, Output, Trouble, given};
use crate::quantity::show::{FINE_ANGLE, GAUGE};
use crate::quantity::{Angle, Dimensioned, Kind, Length, math, unit};
use crate::source::Source;

const WEDGE: Source = Source::derived("a wedge of a given angle and length", "right triangle");

/// Thickness of a taper shim, or its angle.
pub static TAPER_SHIM: Family = Family {
    name: "taper-shim",
    declared: Declared::OLD,
    group: Group::Geometry,
    title: "thickness difference of a taper shim, or its angle, and which end is thick",
    inputs: &[
        Input::required("length", Kind::Length, "length of the shim along the spring").also(&[
            "width",
            "pad_length",
            "perch_length",
            "l",
            "shim_length",
            "base",
        ]),
        Input::optional("angle", Kind::Angle, "turn of the axle wanted, nose-up (adds caster) positive")
            .also(&["shim_angle", "taper", "pitch"]),
        Input::optional("difference", Kind::Length, "instead: thick end minus thin end")
            .also(&["thickness_difference", "thickness"]),
        Input::optional("thin_end", Kind::Length, "thickness at the thin end").also(&["thin"]),
        Input::choice("spring", &["over", "under"], Need::Optional, "where the spring sits on the axle"),
    ],
    outputs: &[
        Output::new("angle", "angle of the shim", Kind::Angle, "atan(difference / length)", WEDGE)
            .style(FINE_ANGLE),
        Output::new("difference", "thick end minus thin end", Kind::Length, "length x tan angle", WEDGE)
            .style(GAUGE),
        Output::new("thick_end", "thickness at the thick end", Kind::Length, "thin_end + difference", WEDGE)
            .style(GAUGE),
        Output::word(
            "thick_toward",
            "end the thick end points to",
            "rear to nose up with the spring over the axle, front with it under; the other way to nose down",
            WEDGE,
        ),
    ],
    example: "angle=\"4 deg\" length=\"5 in\"",
    run: taper_shim,
};

fn taper_shim(given: &Given, answer: &mut Answer) -> Result<(), Trouble> {
    let length: Length = given::positive("length", given.need("length")?)?;
    let angle = match (given.maybe::<Angle>("angle")?, given.maybe::<Length>("difference")?) {
        (Some(angle), None) => angle,
        (None, Some(difference)) => math::atan2(difference.si(), length.si()),
        (None, None) => return Err(Trouble::Missing(vec!["angle", "difference"])),
        (Some(_), Some(_)) => {
            return Err(Trouble::impossible("angle and difference are both given", "give one of them"));
        }
    };
    given::within("angle", angle, unit::DEG, -15.0..=15.0, WEDGE)?;
    let difference = length * math::tan(Angle::from_si(angle.si().abs()));
    answer.put("angle", angle);
    answer.put("difference", difference);
    if let Some(thin) = given.maybe::<Length>("thin_end")? {
        answer.put("thick_end", thin + difference);
    }
    if let Some(spring) = given.maybe_word("spring")? {
        let word = match (spring == "over", angle.si()) {
            (_, 0.0) => "no taper",
            (over, a) if over == (a > 0.0) => "rear",
            _ => "front",
        };
        answer.put_word("thick_toward", word);
    }
    if angle.to(unit::DEG).abs() > 6.0 {
        answer.warn(
            "More than 6 deg of shim is beyond common practice; cut the pads off and weld them at the new angle.",
        );
    }
    Ok(())
}
