//! A tapered shim between spring and pad.

use crate::figure::prelude::*;

const WEDGE: Source = Source::derived("a wedge of a given angle and length", "right triangle");

words! {
    /// Where the spring sits on the axle.
    pub Spring {
        Over = "over" | "spring-over",
        Under = "under" | "spring-under",
    }
}

family! {
    pub TAPER_SHIM = "taper-shim" in Geometry:
        "thickness difference of a taper shim, or its angle, and which end is thick";
    also "shim", "axle-shim", "caster-shim", "wedge", "taper-wedge";
    reads TaperShim {
        required length: Length in ABOVE_ZERO, "length of the shim along the spring", "width", "pad_length",
            "perch_length", "l", "shim_length", "base";
        optional angle: Angle in within(-15.0, 15.0, unit::DEG, WEDGE),
            "turn of the axle wanted, nose-up (adds caster) positive", "shim_angle", "taper", "pitch";
        optional difference: Length, "instead: thick end minus thin end", "thickness_difference", "thickness";
        optional thin_end: Length, "thickness at the thin end", "thin";
        optional spring: Spring, "where the spring sits on the axle";
    }
    rules { one_of(angle, difference); }
    gives TaperShimAnswer {
        angle: Angle, "angle of the shim", "atan(difference / length)", WEDGE => .style(FINE_ANGLE);
        difference: Length, "thick end minus thin end", "length x tan angle", WEDGE => .style(GAUGE);
        thick_end: Length, "thickness at the thick end", "thin_end + difference", WEDGE => .style(GAUGE);
        thick_toward: String, "end the thick end points to",
            "rear to nose up with the spring over the axle, front with it under; the other way to nose down", WEDGE;
    }
    example "angle=\"4 deg\" length=\"5 in\"";
    by taper_shim
}

fn taper_shim(given: &TaperShim, answer: &mut TaperShimAnswer) -> Result<()> {
    let length = *given.length;
    let angle = match (*given.angle, *given.difference) {
        (None, Some(difference)) => math::atan2(difference.si(), length.si()),
        _ => given.angle.need()?,
    };
    let difference = length * math::tan(Angle::from_si(angle.si().abs()));
    answer.angle.put(angle);
    answer.difference.put(difference);
    answer.thick_end.put_some(given.thin_end.map(|thin| thin + difference));
    if let Some(spring) = *given.spring {
        let word = match (spring == Spring::Over, angle.si()) {
            (_, 0.0) => "no taper",
            (over, a) if over == (a > 0.0) => "rear",
            _ => "front",
        };
        answer.thick_toward.put(word);
    }
    if angle.to(unit::DEG).abs() > 6.0 {
        answer.warn(
            "More than 6 deg of shim is beyond common practice; cut the pads off and weld them at the new angle.",
        );
    }
    Ok(())
}
