//! Static stability factor before and after a lift.

use crate::figure::{Answer, Declared, Family, Given, Group, Input, Output, Trouble, given};
use crate::quantity::show::ANGLE;
use crate::quantity::{Angle, Dimensioned, Form, Kind, Length, Mass, Number, Percent, Style, math, unit};
use crate::source::Source;

const FACTOR: Source = Source::standard("NHTSA rollover rulemaking, 49 CFR 575", "static stability factor");
const SHIFT: Source =
    Source::derived("mass-weighted mean of sprung and unsprung parts", "moments about the ground");
const BANDS: Source =
    Source::standard("NHTSA rollover ratings 2001 to 2003", "limits 1.45, 1.25, 1.13, 1.04").from_memory();
const HUNDREDTH: Style = Style::single(Form::decimal(unit::ONE, 0.01)).down();

/// Static stability factor, track over twice the height of the centre of gravity.
#[must_use]
pub fn stability_factor(track: Length, cg_height: Length) -> Number {
    Number::from_si(0.5 * track.si() / cg_height.si())
}

/// Angle of a side slope at which a rigid vehicle would tip, atan of the factor.
#[must_use]
pub fn tilt_angle(factor: Number) -> Angle {
    math::atan(factor.si())
}

/// Stability.
pub static STABILITY: Family = Family {
    name: "stability",
    declared: Declared::OLD,
    group: Group::Geometry,
    title: "static stability factor and rigid tilt angle before and after a lift (indication only)",
    inputs: &[
        Input::required("track", Kind::Length, "track width").also(&["t"]),
        Input::required("cg_height", Kind::Length, "centre of gravity above the ground").also(&[
            "height",
            "centre_of_gravity",
            "cog",
            "h",
            "h_cg",
        ]),
        Input::optional("track_after", Kind::Length, "track width after").also(&["track_new", "new_track"]),
        Input::defaulted("lift", Kind::Length, "0", "lift of the sprung mass").also(&["l"]),
        Input::optional(
            "sprung_share",
            Kind::Percent,
            "sprung share of the mass; or give sprung_mass and mass",
        )
        .also(&["sprung_mass_share", "share", "sprung", "sprung_fraction"]),
        Input::optional("sprung_mass", Kind::Mass, "sprung mass").also(&["m_s"]),
        Input::optional("mass", Kind::Mass, "mass of the vehicle").also(&["m"]),
        Input::defaulted("tyre_growth", Kind::Length, "0", "growth of the loaded radius").also(&[
            "radius_change",
            "loaded_radius_change",
            "tyre_radius_change",
            "dr",
            "radius_growth",
            "tire_growth",
            "d",
        ]),
    ],
    outputs: &[
        Output::new("factor", "static stability factor", Kind::Number, "track / (2 cg_height)", FACTOR)
            .style(HUNDREDTH),
        Output::new("tilt", "rigid tilt angle", Kind::Angle, "atan(factor)", FACTOR).style(ANGLE).down(),
        Output::word("band", "rollover risk band", "10, 20, 30, 40 % at 1.45, 1.25, 1.13, 1.04", BANDS),
        Output::new(
            "cg_after",
            "centre of gravity after",
            Kind::Length,
            "cg_height + share x lift + tyre_growth",
            SHIFT,
        )
        .up(),
        Output::new(
            "factor_after",
            "static stability factor after",
            Kind::Number,
            "track / (2 cg_after)",
            FACTOR,
        )
        .style(HUNDREDTH),
        Output::new("tilt_after", "rigid tilt angle after", Kind::Angle, "atan(factor_after)", FACTOR)
            .style(ANGLE)
            .down(),
        Output::word(
            "band_after",
            "rollover risk band after",
            "10, 20, 30, 40 % at 1.45, 1.25, 1.13, 1.04",
            BANDS,
        ),
    ],
    example: "track=\"1480 mm\" cg_height=\"700 mm\" lift=\"120 mm\" sprung_share=\"85 %\" tyre_growth=\"30 mm\"",
    run: stability,
};

fn stability(given: &Given, answer: &mut Answer) -> Result<(), Trouble> {
    let track: Length = given::positive("track", given.need("track")?)?;
    let height: Length = given::positive("cg_height", given.need("cg_height")?)?;
    let factor = stability_factor(track, height);
    answer.put("factor", factor);
    answer.put("tilt", tilt_angle(factor));
    answer.put_word("band", band(factor));
    let lift: Length = given.or("lift", Length::from_si(0.0))?;
    let growth: Length = given.or("tyre_growth", Length::from_si(0.0))?;
    let track_after: Length = given::positive("track_after", given.or("track_after", track)?)?;
    if lift.si() != 0.0 || growth.si() != 0.0 || given.has("track_after") {
        let rise = if lift.si() == 0.0 { lift } else { lift * sprung_share(given)?.si() };
        let after = given::positive("cg_after", height + rise + growth)?;
        let factor = stability_factor(track_after, after);
        answer.put("cg_after", after);
        answer.put("factor_after", factor);
        answer.put("tilt_after", tilt_angle(factor));
        answer.put_word("band_after", band(factor));
    }
    answer.note("The static stability factor is an indication only: it leaves out suspension, tyres and steering, and is no statement that a vehicle is safe.");
    Ok(())
}

fn sprung_share(given: &Given) -> Result<Percent, Trouble> {
    let share = match given.maybe::<Percent>("sprung_share")? {
        Some(share) => share,
        None => {
            if !given.has("sprung_mass") && !given.has("mass") {
                return Err(Trouble::Missing(vec!["sprung_share"]));
            }
            given.require(&["sprung_mass", "mass"])?;
            let sprung: Mass = given::positive("sprung_mass", given.need("sprung_mass")?)?;
            let all: Mass = given::positive("mass", given.need("mass")?)?;
            Percent::from_si(sprung.si() / all.si())
        }
    };
    given::within("sprung_share", share, unit::PCT, 0.0..=100.0, SHIFT)?;
    Ok(share)
}

/// Risk of rollover in a single-vehicle crash that the rating scheme attached
/// to a factor.
fn band(factor: Number) -> &'static str {
    match factor.si() {
        f if f >= 1.45 => "under 10 %",
        f if f >= 1.25 => "10 to 20 %",
        f if f >= 1.13 => "20 to 30 %",
        f if f >= 1.04 => "30 to 40 %",
        _ => "over 40 %",
    }
}
