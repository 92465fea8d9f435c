//! Static stability factor before and after a lift.

use crate::figure::prelude::*;

const FACTOR: Source = Source::standard("NHTSA rollover rulemaking, 49 CFR 575", "static stability factor");
const SHIFT: Source =
    Source::derived("mass-weighted mean of sprung and unsprung parts", "moments about the ground");
const BANDS: Source =
    Source::standard("NHTSA rollover ratings 2001 to 2003", "limits 1.45, 1.25, 1.13, 1.04").from_memory();

const CG: Source = Source::practice("road vehicles; outside it a unit or a digit is wrong");

/// Static stability factor, track over twice the height of the centre of gravity.
fn stability_factor(track: Length, cg_height: Length) -> Number {
    Number::from_si(0.5 * track.si() / cg_height.si())
}

/// Angle of a side slope at which a rigid vehicle would tip, atan of the factor.
fn tilt_angle(factor: Number) -> Angle {
    math::atan(factor.si())
}

family! {
    pub STABILITY = "stability" in Geometry:
        "static stability factor and rigid tilt angle before and after a lift (indication only)";
    also "cog", "centre-of-gravity", "center-of-gravity", "ssf", "static-stability-factor", "rollover";
    reads Stability {
        required track: Length in within(0.0, 6.0, unit::M, CG).above_zero().usually(0.9, 2.6, unit::M), "track width", "t";
        required cg_height: Length in within(0.0, 4.0, unit::M, CG).above_zero().usually(0.3, 2.0, unit::M), "centre of gravity above the ground", "height",
            "centre_of_gravity", "cog", "cg", "h", "h_cg";
        optional track_after: Length in ABOVE_ZERO, "track width after", "track_new", "new_track";
        default lift: Length = "0" in within(-2.0, 2.0, unit::M, CG).usually(-0.3, 0.6, unit::M), "lift of the sprung mass", "l";
        optional sprung_share: Percent in within(0.0, 100.0, unit::PCT, SHIFT),
            "sprung share of the mass; or give sprung_mass and mass", "sprung_mass_share", "share", "sprung",
            "sprung_fraction";
        optional sprung_mass: Mass in ABOVE_ZERO, "sprung mass", "m_s";
        optional mass: Mass in ABOVE_ZERO, "mass of the vehicle", "m";
        default tyre_growth: Length = "0", "growth of the loaded radius", "radius_change", "loaded_radius_change",
            "tyre_radius_change", "dr", "radius_growth", "tire_growth", "d";
    }
    rules { at_most_one(sprung_share, sprung_mass); together(sprung_mass, mass); }
    gives StabilityAnswer {
        factor: Number, "static stability factor", "track / (2 cg_height)", FACTOR => .style(HUNDREDTH.down());
        tilt: Angle, "rigid tilt angle", "atan(factor)", FACTOR => .style(ANGLE).down();
        band: String, "rollover risk band", "10, 20, 30, 40 % at 1.45, 1.25, 1.13, 1.04", BANDS;
        cg_after: Length, "centre of gravity after", "cg_height + share x lift + tyre_growth", SHIFT => .up();
        factor_after: Number, "static stability factor after", "track / (2 cg_after)", FACTOR => .style(HUNDREDTH.down());
        tilt_after: Angle, "rigid tilt angle after", "atan(factor_after)", FACTOR => .style(ANGLE).down();
        band_after: String, "rollover risk band after", "10, 20, 30, 40 % at 1.45, 1.25, 1.13, 1.04", BANDS;
    }
    example "track=\"1480 mm\" cg_height=\"700 mm\" lift=\"120 mm\" sprung_share=\"85 %\" tyre_growth=\"30 mm\"";
    by stability
}

fn stability(given: &Stability, answer: &mut StabilityAnswer) -> Result<()> {
    let track = *given.track;
    let height = *given.cg_height;
    let factor = stability_factor(track, height);
    answer.factor.put(factor);
    answer.tilt.put(tilt_angle(factor));
    answer.band.put(band(factor, answer.factor.expanded()));
    let lift = *given.lift;
    let growth = *given.tyre_growth;
    let track_after: Length = given.track_after.unwrap_or(track);
    if lift.si() != 0.0 || growth.si() != 0.0 || given.track_after.given() {
        let rise = if lift.si() == 0.0 { lift } else { lift * sprung_share(given)?.si() };
        let after = height + rise + growth;
        let factor = stability_factor(track_after, positive("cg_after", after)?);
        answer.cg_after.put(after);
        answer.factor_after.put(factor);
        answer.tilt_after.put(tilt_angle(factor));
        answer.band_after.put(band(factor, answer.factor_after.expanded()));
    }
    answer.note("The static stability factor is an indication only: it leaves out suspension, tyres and steering, and is no statement that a vehicle is safe.");
    Ok(())
}

fn sprung_share(given: &Stability) -> Result<Percent> {
    let share = match *given.sprung_share {
        Some(share) => share,
        None => {
            let Some(sprung) = *given.sprung_mass else { return given.sprung_share.need() };
            let mass = given.mass.need()?;
            (sprung >= mass).refuse(
                "the sprung mass is not less than the whole mass",
                "check sprung_mass and mass: wheels and axles are not sprung",
            )?;
            Percent::from_si(sprung.si() / mass.si())
        }
    };
    Ok(share)
}

/// Risk of rollover in a single-vehicle crash that the rating scheme attached
/// to a factor; both bands where the uncertainty stated reaches over a limit.
fn band(factor: Number, spread: Number) -> String {
    let (better, worse) = (band_of(factor + spread), band_of(factor - spread));
    if better == worse { better.to_owned() } else { format!("not proven: {better}, or {worse}") }
}

fn band_of(factor: Number) -> &'static str {
    match factor.si() {
        f if f >= 1.45 => "under 10 %",
        f if f >= 1.25 => "10 to 20 %",
        f if f >= 1.13 => "20 to 30 %",
        f if f >= 1.04 => "30 to 40 %",
        _ => "over 40 %",
    }
}
