//! Throat of a fillet from its legs and back, with skew and root gap.

use crate::figure::{Answer, Declared, Family, Given, Group, Input, Need, Output, Trouble, given};
use crate::quantity::show::GAUGE;
use crate::quantity::{Angle, Area, Dimensioned, Kind, Length, Number, math, unit};
use crate::source::Source;

const THROAT: Source =
    Source::standard("ANSI/AISC 360-22", "J2.2a: shortest distance from root to face").from_memory();
const SKEW: Source =
    Source::standard("AWS D1.1:2015", "annex A (throat) and annex B (leg factors), skewed T-joints")
        .from_memory();
const GAP: Source = Source::standard("AWS D1.1:2015", "5.21.1 (2020: 7.21.1)").from_memory();

/// Throat of a fillet, leg to throat and throat to leg.
pub static FILLET_THROAT: Family = Family {
    name: "fillet-throat",
    declared: Declared::OLD,
    group: Group::Welding,
    title: "effective throat of a fillet from its legs, or legs for a throat, with skew and root gap",
    inputs: &[
        Input::optional("leg", Kind::Length, "leg of the fillet, measured along the part; or give throat").also(&[
            "size",
            "z",
            "leg1",
            "leg_1",
            "z1",
            "leg_size",
            "weld_size",
            "w",
            "h",
            "s",
            "leg_a",
            "size_a",
        ]),
        Input::optional("leg2", Kind::Length, "other leg, if the legs are unequal").also(&["leg_2", "z2", "other_leg", "leg_b"]),
        Input::optional("throat", Kind::Length, "effective throat wanted, instead of the leg").also(&[
            "a",
            "effective_throat",
            "te",
        ]),
        Input::defaulted("angle", Kind::Angle, "90 deg", "dihedral angle between the fusion faces").also(&[
            "psi",
            "dihedral",
            "dihedral_angle",
            "skew",
        ]),
        Input::defaulted("gap", Kind::Length, "0", "root gap between the parts").also(&["root_gap", "root_opening"]),
        Input::choice(
            "leg_measured",
            &["along", "square"],
            Need::Default("along"),
            "along: leg along the part; square: from the toe square to the other part, as fillet gauges read a skewed joint",
        )
        .also(&["leg_measure"]),
    ],
    outputs: &[
        Output::new(
            "throat",
            "effective throat",
            Kind::Length,
            "z1 z2 sin(psi) / sqrt(z1^2 + z2^2 - 2 z1 z2 cos(psi)); equal legs: z cos(psi/2)",
            THROAT,
        )
        .range("dihedral angle 60 to 135 deg")
        .style(GAUGE)
        .down(),
        Output::new(
            "leg",
            "leg to lay, along the part",
            Kind::Length,
            "throat / cos(psi/2), plus the gap if it is over 1/16 in (2 mm)",
            GAP,
        )
        .style(GAUGE)
        .up(),
        Output::new(
            "effective_leg",
            "leg that counts",
            Kind::Length,
            "leg less the gap, if the gap is over 1/16 in (2 mm)",
            GAP,
        )
        .style(GAUGE)
        .down(),
        Output::new(
            "leg_square",
            "leg from the toe square to the other part",
            Kind::Length,
            "leg x sin(psi)",
            SKEW,
        )
        .style(GAUGE)
        .up(),
        Output::new(
            "throat_factor",
            "throat over leg",
            Kind::Number,
            "throat / effective leg; the smaller leg where they differ",
            THROAT,
        ),
        Output::new(
            "leg_factor",
            "square leg of the same throat as a 90 deg fillet of leg one",
            Kind::Number,
            "sqrt(2) sin(psi/2)",
            SKEW,
        )
        .range("equal legs, no gap"),
        Output::new("area", "cross-section of the fillet", Kind::Area, "z1 z2 sin(psi) / 2, flat face", THROAT),
    ],
    example: "leg=\"1/4 in\"",
    run: fillet_throat,
};

/// Throat of a fillet with legs `z1`, `z2` along faces at the dihedral angle
/// `psi`: shortest distance from the root to the face.
#[must_use]
pub fn throat(z1: Length, z2: Length, psi: Angle) -> Length {
    let (a, b, cos) = (z1.si(), z2.si(), math::cos(psi));
    let face = (a * a + b * b - 2.0 * a * b * cos).sqrt();
    // With very unequal legs at an acute angle the foot of the perpendicular
    // falls beyond the toe; the shorter leg is then the shortest way.
    let inside = a >= b * cos && b >= a * cos;
    let reach = if inside { a * b * math::sin(psi) / face } else { a.min(b) };
    Length::from_si(reach)
}

/// Leg of an equal-leg fillet with this throat.
#[must_use]
pub fn leg_for_throat(throat: Length, psi: Angle) -> Length {
    throat / math::cos(psi / 2.0)
}

/// Gap that has to be added to the leg: the whole gap once it is over 1/16 in.
#[must_use]
pub fn gap_allowance(gap: Length) -> Length {
    if gap.to(unit::IN) > 0.0625 * (1.0 + 1e-9) { gap } else { Length::from_si(0.0) }
}

fn fillet_throat(given: &Given, answer: &mut Answer) -> Result<(), Trouble> {
    let psi: Angle = given.or("angle", Angle::of(90.0, unit::DEG))?;
    given::within("angle", psi, unit::DEG, 60.0..=135.0, SKEW)?;
    let gap: Length = given.or("gap", Length::from_si(0.0))?;
    if gap.si() < 0.0 {
        given::positive("gap", gap)?;
    }
    let added = gap_allowance(gap);
    let square = given.maybe_word("leg_measured")? == Some("square");
    // A square leg is turned into one along the part.
    let along = |leg: Length| if square { leg / math::sin(psi) } else { leg };
    let wanted: Option<Length> = given.maybe("throat")?;
    let leg: Option<Length> = given.maybe("leg")?;
    let (z1, z2) = match (leg, wanted) {
        (Some(_), Some(_)) => {
            return Err(Trouble::impossible(
                "both leg and throat are given",
                "give the leg to get the throat, or the throat to get the leg",
            ));
        }
        (None, None) => return Err(Trouble::Missing(vec!["leg"])),
        (None, Some(wanted)) => {
            let leg = leg_for_throat(given::positive("throat", wanted)?, psi) + added;
            (leg, leg)
        }
        (Some(leg), None) => {
            let z1 = along(given::positive("leg", leg)?);
            let z2 = match given.maybe::<Length>("leg2")? {
                Some(other) => along(given::positive("leg2", other)?),
                None => z1,
            };
            (z1, z2)
        }
    };
    let (e1, e2) = (z1 - added, z2 - added);
    if e1.si() <= 0.0 || e2.si() <= 0.0 {
        return Err(Trouble::impossible(
            "the root gap takes up the whole leg",
            "close the gap, or lay a leg larger than the gap",
        ));
    }
    let throat = throat(e1, e2, psi);
    let shorter = if e1 < e2 { e1 } else { e2 };
    answer.put("throat", throat);
    answer.put("leg", if z1 < z2 { z1 } else { z2 });
    answer.put("effective_leg", shorter);
    answer.put("leg_square", if z1 < z2 { z1 } else { z2 } * math::sin(psi));
    answer.put("throat_factor", Number::from_si(throat.si() / shorter.si()));
    answer.put("leg_factor", Number::from_si(std::f64::consts::SQRT_2 * math::sin(psi / 2.0)));
    let area: Area = z1 * z2 * math::sin(psi) / 2.0;
    answer.put("area", area);
    if gap.to(unit::IN) > 0.1875 * (1.0 + 1e-9) {
        answer.warn(
            "The root gap is over 3/16 in (5 mm): AWS D1.1 doesn't allow it without backing on parts of 3 in or more. \
             Refit the parts.",
        );
    } else if added.si() > 0.0 {
        answer.warn("The root gap is over 1/16 in: lay the leg larger by the gap, or show that the throat is reached.");
    }
    if let Some(unequal) = given.maybe::<Length>("leg2")?
        && wanted.is_some()
    {
        answer.warn(format!(
            "leg2 of {:.3} in is not used: a throat is turned into equal legs.",
            unequal.to(unit::IN)
        ));
    }
    Ok(())
}
