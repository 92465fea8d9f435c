//! Path of an axle on leaf springs by the three-link equivalent.

use super::leaf_arc::shortening;
use super::leaf_halves::Halves;
use crate::figure::{Answer, Declared, Family, Given, Group, Input, Need, Output, Trouble, given};
use crate::quantity::show::{FINE_ANGLE, GAUGE};
use crate::quantity::{Angle, Dimensioned, Kind, Length};
use crate::source::Source;

const LINK: Source = Source::derived(
    "a leaf bending to a circular arc moves its seat on a circle of three quarters of its length",
    "exact arc shortening and numerical curvature of the path",
);
const THREE_LINK: Source =
    Source::handbook("SAE HS-788, Manual on Design and Application of Leaf Springs", "three-link equivalent")
        .from_memory();

/// Length of the equivalent link, 0.75 of the active half length.
#[must_use]
pub fn equivalent_link(half: Length) -> Length {
    half * 0.75
}

/// Movement away from the fixed eye when the seat goes from `from` to `to`
/// below the pivot of its link.
///
/// # Errors
/// If either is further off than the link is long.
pub fn recession(link: Length, from: Length, to: Length) -> Result<Length, Trouble> {
    let reach = |drop: Length| {
        let square = link.si() * link.si() - drop.si() * drop.si();
        if square > 0.0 {
            return Ok(square.sqrt());
        }
        Err(Trouble::impossible(
            "the seat would be further from the eye line than the equivalent link is long",
            "check the half length, the drop at ride and the travel",
        ))
    };
    Ok(Length::from_si(reach(to)? - reach(from)?))
}

/// The input that says which end of a spring has no shackle.
pub(super) const FIXED_EYE: Input =
    Input::choice("fixed_eye", &["front", "rear"], Need::Default("front"), "end that carries the fixed eye")
        .also(&["fixed"]);

/// Sign of forward for movement away from the fixed eye.
pub(super) fn away(given: &Given) -> Result<f64, Trouble> {
    Ok(if given.maybe_word("fixed_eye")?.unwrap_or("front") == "front" { -1.0 } else { 1.0 })
}

/// Axle path.
pub static AXLE_PATH: Family = Family {
    name: "axle-path",
    declared: Declared::OLD,
    group: Group::Geometry,
    title: "path of an axle on leaf springs: three-link equivalent, recession and caster through travel",
    inputs: &[
        Input::required("half_length", Kind::Length, "active half length on the side of the fixed eye")
            .also(&["front_half", "front", "a", "fixed_half", "half"]),
        Input::required(
            "height",
            Kind::Length,
            "eye centre above the leaf at the seat at ride; negative for reverse arch",
        )
        .also(&["travel", "rise", "y", "arch", "drop"]),
        Input::optional("other_half", Kind::Length, "active half length on the side of the shackle").also(&[
            "rear_half",
            "rear",
            "b",
            "shackle_half",
        ]),
        Input::defaulted("clamp_half", Kind::Length, "0", "rigid half clamp").also(&["c"]),
        Input::defaulted(
            "eye_offset",
            Kind::Length,
            "0",
            "eye centre above the neutral plane of the flat leaf",
        )
        .also(&["e"]),
        FIXED_EYE,
        Input::optional("bump", Kind::Length, "travel up from ride").also(&["bump_travel", "up"]),
        Input::optional("droop", Kind::Length, "travel down from ride, as a positive length")
            .also(&["droop_travel", "down"]),
        Input::defaulted(
            "eye_line_turn",
            Kind::Angle,
            "0",
            "turn of the eye line in that bump by the shackle, nose-up positive",
        ),
    ],
    outputs: &[
        Output::new(
            "link",
            "equivalent link at the fixed eye",
            Kind::Length,
            "0.75 x half_length",
            THREE_LINK,
        ),
        Output::new(
            "other_link",
            "equivalent link at the shackle eye",
            Kind::Length,
            "0.75 x other_half",
            THREE_LINK,
        ),
        Output::new(
            "middle_link",
            "middle link that carries the seat",
            Kind::Length,
            "0.25 a + clamp + 0.25 b",
            THREE_LINK,
        ),
        Output::new(
            "pivot",
            "inner pivot of the link above the eye centre",
            Kind::Length,
            "0.5 x eye_offset",
            LINK,
        )
        .style(GAUGE),
        Output::new(
            "shortening",
            "eye nearer to the clamp than in the flat leaf",
            Kind::Length,
            "a - sin(K a) / K with (1 - cos(K a)) / K = y",
            LINK,
        )
        .style(GAUGE),
        Output::new("shortening_link", "the same by the link", Kind::Length, "R - sqrt(R^2 - y^2)", LINK)
            .range("within 0.2 % for y up to a quarter of the half length")
            .style(GAUGE),
        Output::new("shortening_parabola", "the same, small-angle", Kind::Length, "2 y^2 / (3 a)", LINK)
            .style(GAUGE),
        Output::new(
            "shortening_uniform",
            "the same for a uniform single leaf",
            Kind::Length,
            "0.6 y^2 / a",
            LINK,
        )
        .style(GAUGE),
        Output::new("bump_x", "axle forward in bump", Kind::Length, "R - circle about the pivot", LINK)
            .range("seat kept from turning, height up to a quarter of the half length")
            .style(GAUGE),
        Output::new("droop_x", "axle forward in droop", Kind::Length, "R - circle about the pivot", LINK)
            .range("seat kept from turning, height up to a quarter of the half length")
            .style(GAUGE),
        Output::new(
            "tilt_per_travel",
            "seat tilt per bump travel, nose-up positive",
            Kind::AnglePerLength,
            "(B a^3 - A b^3) / (B^2 a^3 + A^2 b^3)",
            LINK,
        ),
        Output::new(
            "bump_caster",
            "caster change in bump",
            Kind::Angle,
            "tilt_per_travel x bump + eye_line_turn",
            LINK,
        )
        .range("small travel about flat")
        .style(FINE_ANGLE),
        Output::word("swing", "axle in bump", "sign of bump_x", LINK),
    ],
    example: "half_length=\"600 mm\" height=\"75 mm\" other_half=\"700 mm\" bump=\"75 mm\" droop=\"50 mm\"",
    run: axle_path,
};

fn axle_path(given: &Given, answer: &mut Answer) -> Result<(), Trouble> {
    let half: Length = given::positive("half_length", given.need("half_length")?)?;
    let height: Length = given.need("height")?;
    let offset: Length = given.or("eye_offset", Length::from_si(0.0))?;
    let clamp_half: Length = given.or("clamp_half", Length::from_si(0.0))?;
    let other: Option<Length> = given.maybe("other_half")?;
    let forward = away(given)?;
    let link = equivalent_link(half);
    answer.put("link", link);
    if let Some(other) = other {
        given::positive("other_half", other)?;
        answer.put("other_link", equivalent_link(other));
        answer.put("middle_link", half / 4.0 + clamp_half * 2.0 + other / 4.0);
    }
    answer.put("pivot", offset * 0.5);
    // Height of the leaf end itself for the arc, of the pivot for the link.
    let leaf = height - offset;
    answer.put("shortening", shortening(half, leaf)?);
    answer.put("shortening_link", recession(link, leaf, Length::from_si(0.0))?);
    let slender = leaf.si() * leaf.si() / half.si();
    answer.put("shortening_parabola", Length::from_si(slender * 2.0 / 3.0));
    answer.put("shortening_uniform", Length::from_si(slender * 0.6));
    // The eye swings in as the leaf end turns: the leaf is furthest out 1.5 e
    // past flat, where the eye centre is half of e below the leaf at the seat.
    let below = height + offset * 0.5;
    let mut furthest = leaf.si().abs();
    let bump: Option<Length> = given.maybe("bump")?;
    let mut swing = None;
    if let Some(bump) = bump {
        given::positive("bump", bump)?;
        let x = recession(link, below, below - bump)? * forward;
        furthest = furthest.max((below - bump).si().abs());
        swing = Some(if x.si() > 0.0 { "forward" } else { "rearward" });
        answer.put("bump_x", x);
    }
    if let Some(droop) = given.maybe::<Length>("droop")? {
        given::positive("droop", droop)?;
        furthest = furthest.max((below + droop).si().abs());
        answer.put("droop_x", recession(link, below, below + droop)? * forward);
    }
    if let Some(other) = other {
        let (front, rear) = if forward < 0.0 { (half, other) } else { (other, half) };
        let tilt = Halves { front, rear, clamp_half }.tilt_per_travel();
        answer.put("tilt_per_travel", tilt);
        if let Some(bump) = bump {
            let turn: Angle = given.or("eye_line_turn", Angle::from_si(0.0))?;
            answer.put("bump_caster", Angle::from_si(tilt.si() * bump.si()) + turn);
        }
    }
    if let Some(word) = swing {
        answer.put_word("swing", word);
    }
    if furthest > 0.25 * half.si() * (1.0 + 1e-9) {
        answer.warn("The height passes a quarter of the half length, where the equivalent link is more than 0.2 % off; use shackle-travel for the movement.");
    }
    Ok(())
}
