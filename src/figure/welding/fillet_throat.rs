//! Throat of a fillet from its legs and back, with skew and root gap.

use crate::figure::prelude::*;

const THROAT: Source =
    Source::standard("ANSI/AISC 360-22", "J2.2a: shortest distance from root to face").from_memory();
const SKEW: Source =
    Source::standard("AWS D1.1:2015", "annex A (throat) and annex B (leg factors), skewed T-joints")
        .from_memory();
const GAP: Source = Source::standard("AWS D1.1:2015", "5.21.1 (2020: 7.21.1)").from_memory();

words! {
    /// How a leg is measured.
    pub Measured { Along = "along", Square = "square", }
}

family! {
    pub FILLET_THROAT = "fillet-throat" in Welding:
        "effective throat of a fillet from its legs, or legs for a throat, with skew and root gap";
    also "throat", "effective-throat", "weld-throat", "fillet-geometry";
    reads FilletThroat {
        optional leg: Length in ABOVE_ZERO, "leg of the fillet, measured along the part; or give throat", "size",
            "z", "leg1", "h", "s", "leg_a";
        optional leg2: Length in ABOVE_ZERO, "other leg, if the legs are unequal", "leg_2", "z2", "other_leg",
            "leg_b";
        optional throat: Length in ABOVE_ZERO, "effective throat wanted, instead of the leg", "a",
            "effective_throat", "te";
        default angle: Angle = "90 deg" in within(60.0, 135.0, unit::DEG, SKEW),
            "dihedral angle between the fusion faces", "psi", "dihedral", "dihedral_angle";
        default gap: Length = "0" in NOT_NEGATIVE, "root gap between the parts", "root_gap", "root_opening";
        default leg_measured: Measured = Along,
            "along: leg along the part; square: from the toe square to the other part, as fillet gauges read a skewed joint",
            "leg_measure";
    }
    gives FilletThroatAnswer {
        throat: Length, "effective throat",
            "z1 z2 sin(psi) / sqrt(z1^2 + z2^2 - 2 z1 z2 cos(psi)); equal legs: z cos(psi/2)", THROAT => .range(
            "dihedral angle 60 to 135 deg").style(GAUGE).down();
        leg: Length, "leg to lay, along the part",
            "throat / cos(psi/2), plus the gap if it is over 1/16 in (2 mm)", GAP => .style(GAUGE).up();
        effective_leg: Length, "leg that counts", "leg less the gap, if the gap is over 1/16 in (2 mm)", GAP =>
            .style(GAUGE).down();
        leg_square: Length, "leg from the toe square to the other part", "leg x sin(psi)", SKEW =>
            .style(GAUGE).up();
        throat_factor: Number, "throat over leg", "throat / effective leg; the smaller leg where they differ",
            THROAT;
        leg_factor: Number, "square leg of the same throat as a 90 deg fillet of leg one", "sqrt(2) sin(psi/2)",
            SKEW => .range("equal legs, no gap");
        area: Area, "cross-section of the fillet", "z1 z2 sin(psi) / 2, flat face", THROAT;
    }
    example "leg=\"1/4 in\"";
    by fillet_throat
}

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
fn leg_for_throat(throat: Length, psi: Angle) -> Length {
    throat / math::cos(psi / 2.0)
}

/// Gap that has to be added to the leg: the whole gap once it is over 1/16 in.
fn gap_allowance(gap: Length) -> Length {
    if gap.to(unit::IN) > 0.0625 * (1.0 + 1e-9) { gap } else { Length::from_si(0.0) }
}

fn fillet_throat(given: &FilletThroat, answer: &mut FilletThroatAnswer) -> Result<()> {
    let (psi, gap) = (*given.angle, *given.gap);
    let added = gap_allowance(gap);
    let (z1, z2) = match (*given.leg, *given.throat) {
        (Some(_), Some(_)) => {
            return Err(Trouble::impossible(
                "both leg and throat are given",
                "give the leg to get the throat, or the throat to get the leg",
            ));
        }
        (None, None) => return Err(Trouble::Missing(vec!["leg"])),
        (None, Some(wanted)) => {
            let leg = leg_for_throat(wanted, psi) + added;
            if let Some(unequal) = *given.leg2 {
                answer.warn(format!(
                    "leg2 of {:.3} in is not used: a throat is turned into equal legs.",
                    unequal.to(unit::IN)
                ));
            }
            (leg, leg)
        }
        (Some(leg), None) => {
            let square = *given.leg_measured == Measured::Square;
            // A square leg is turned into one along the part.
            let along = |leg: Length| if square { leg / math::sin(psi) } else { leg };
            (along(leg), along(given.leg2.unwrap_or(leg)))
        }
    };
    let (e1, e2) = (z1 - added, z2 - added);
    (e1.si() <= 0.0 || e2.si() <= 0.0)
        .refuse("the root gap takes up the whole leg", "close the gap, or lay a leg larger than the gap")?;
    let throat = throat(e1, e2, psi);
    let shorter = smaller(e1, e2);
    let leg = shorter + added;
    answer.throat.put(throat);
    answer.leg.put(leg);
    answer.effective_leg.put(shorter);
    answer.leg_square.put(leg * math::sin(psi));
    answer.throat_factor.put(Number::from_si(throat.si() / shorter.si()));
    answer.leg_factor.put(Number::from_si(std::f64::consts::SQRT_2 * math::sin(psi / 2.0)));
    let area: Area = z1 * z2 * math::sin(psi) / 2.0;
    answer.area.put(area);
    if gap.to(unit::IN) > 0.1875 * (1.0 + 1e-9) {
        answer.warn(
            "The root gap is over 3/16 in (5 mm): AWS D1.1 doesn't allow it without backing on parts of 3 in or more. \
             Refit the parts.",
        );
    } else if added.si() > 0.0 {
        answer.warn("The root gap is over 1/16 in: lay the leg larger by the gap, or show that the throat is reached.");
    }
    Ok(())
}
