//! Path of an axle on leaf springs by the three-link equivalent, and what the
//! path does to the length of a propeller shaft.

use super::leaf_arc::shortening;
use super::leaf_halves::Halves;
use crate::figure::{Answer, Family, Given, Group, Input, Need, Output, Trouble, given};
use crate::quantity::show::{ANGLE, FINE_ANGLE, GAUGE};
use crate::quantity::{Angle, Dimensioned, Kind, Length, math};
use crate::source::Source;

const LINK: Source = Source::derived(
    "a leaf bending to a circular arc moves its seat on a circle of three quarters of its length",
    "exact arc shortening and numerical curvature of the path",
);
const THREE_LINK: Source =
    Source::handbook("SAE HS-788, Manual on Design and Application of Leaf Springs", "three-link equivalent")
        .from_memory();
const PLUNGE_BASIS: Source = Source::derived(
    "shaft from the pinion joint to the flange joint, axle on the equivalent link",
    "circle root of the path",
);

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

/// Sign of forward for movement away from the fixed eye.
fn away(given: &Given) -> Result<f64, Trouble> {
    Ok(if given.maybe_word("fixed_eye")?.unwrap_or("front") == "front" { -1.0 } else { 1.0 })
}

/// Axle path.
pub static AXLE_PATH: Family = Family {
    name: "axle-path",
    group: Group::Geometry,
    title: "path of an axle on leaf springs: three-link equivalent, recession and caster through travel",
    inputs: &[
        Input::required("half_length", Kind::Length, "active half length on the side of the fixed eye")
            .also(&["a", "fixed_half", "half"]),
        Input::required(
            "height",
            Kind::Length,
            "eye centre above the leaf at the seat at ride; negative for reverse arch",
        )
        .also(&["y", "arch", "drop"]),
        Input::optional("other_half", Kind::Length, "active half length on the side of the shackle")
            .also(&["b", "shackle_half"]),
        Input::defaulted("clamp_half", Kind::Length, "0", "rigid half clamp").also(&["c"]),
        Input::defaulted(
            "eye_offset",
            Kind::Length,
            "0",
            "eye centre above the neutral plane of the flat leaf",
        )
        .also(&["e"]),
        Input::choice(
            "fixed_eye",
            &["front", "rear"],
            Need::Default("front"),
            "end that carries the fixed eye",
        )
        .also(&["fixed"]),
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

/// Plunge of the shaft.
pub static PLUNGE: Family = Family {
    name: "plunge",
    group: Group::Geometry,
    title: "change of shaft length through travel with the fixed eye in front of or behind the axle",
    inputs: &[
        Input::required(
            "flange_run",
            Kind::Length,
            "flange joint from the axle centre, toward the case, at ride",
        )
        .also(&["x", "run"]),
        Input::required("flange_rise", Kind::Length, "flange joint above the axle centre at ride")
            .also(&["z", "rise"]),
        Input::defaulted("offset", Kind::Length, "0", "pinion axis above the axle axis, negative below")
            .also(&["h", "pinion_offset", "hypoid_offset"]),
        Input::required("pinion_length", Kind::Length, "pinion joint along the pinion axis from the axle")
            .also(&["p"]),
        Input::optional(
            "pinion_angle",
            Kind::Angle,
            "pinion above horizontal toward the case; pointed at the flange if absent",
        )
        .also(&["f"]),
        Input::optional(
            "half_length",
            Kind::Length,
            "active half length on the side of the fixed eye; or give link",
        )
        .also(&["a", "fixed_half", "half"]),
        Input::optional("link", Kind::Length, "equivalent link, 0.75 of that half").also(&["r"]),
        Input::required(
            "drop",
            Kind::Length,
            "seat below the pivot of the link at ride: eye height, plus half the eye offset",
        )
        .also(&["ride_drop", "height", "y", "arch"]),
        Input::required("bump", Kind::Length, "travel up from ride").also(&["bump_travel", "up"]),
        Input::required("droop", Kind::Length, "travel down from ride, as a positive length")
            .also(&["droop_travel", "down"]),
        Input::choice(
            "fixed_eye",
            &["front", "rear"],
            Need::Default("front"),
            "end that carries the fixed eye",
        )
        .also(&["fixed"]),
        Input::choice(
            "case",
            &["behind", "ahead"],
            Need::Default("behind"),
            "where the case or gearbox is, seen from the axle",
        ),
        Input::defaulted("bump_pitch", Kind::Angle, "0", "rise of the pinion angle in bump"),
        Input::defaulted("droop_pitch", Kind::Angle, "0", "rise of the pinion angle in droop"),
    ],
    outputs: &[
        Output::new(
            "pinion_angle",
            "pinion angle at ride",
            Kind::Angle,
            "atan2(Z, X) - asin(h / R)",
            PLUNGE_BASIS,
        )
        .style(ANGLE),
        Output::new(
            "ride_length",
            "shaft length at ride, joint to joint",
            Kind::Length,
            "flange joint to pinion joint",
            PLUNGE_BASIS,
        )
        .style(GAUGE),
        Output::new("bump_x", "axle forward in bump", Kind::Length, "circle of the link", PLUNGE_BASIS)
            .style(GAUGE),
        Output::new(
            "bump_change",
            "shaft longer in bump",
            Kind::Length,
            "length in bump - ride_length",
            PLUNGE_BASIS,
        )
        .range("seat kept from turning")
        .style(GAUGE),
        Output::new("droop_x", "axle forward in droop", Kind::Length, "circle of the link", PLUNGE_BASIS)
            .style(GAUGE),
        Output::new(
            "droop_change",
            "shaft longer in droop",
            Kind::Length,
            "length in droop - ride_length",
            PLUNGE_BASIS,
        )
        .range("seat kept from turning")
        .style(GAUGE),
        Output::new(
            "stroke",
            "slip stroke needed",
            Kind::Length,
            "longest - shortest of ride, bump and droop",
            PLUNGE_BASIS,
        )
        .style(GAUGE)
        .up(),
        Output::new(
            "stroke_swapped",
            "slip stroke with the fixed eye at the other end",
            Kind::Length,
            "the same with recession reversed",
            PLUNGE_BASIS,
        )
        .style(GAUGE)
        .up(),
    ],
    example: "flange_run=\"850 mm\" flange_rise=\"300 mm\" offset=\"-38 mm\" pinion_length=\"330 mm\" half_length=\"550 mm\" drop=\"60 mm\" bump=\"60 mm\" droop=\"80 mm\"",
    run: plunge,
};

/// Shaft between the pinion joint and the flange joint, seen from the axle
/// centre at ride: run toward the case, rise upward.
#[derive(Debug, Clone, Copy)]
pub struct Shaft {
    /// Flange joint toward the case.
    pub flange_run: Length,
    /// Flange joint above the axle centre.
    pub flange_rise: Length,
    /// Pinion axis above the axle axis.
    pub offset: Length,
    /// Pinion joint along the pinion axis.
    pub pinion_length: Length,
    /// Pinion axis above horizontal, toward the case.
    pub pinion_angle: Angle,
}

impl Shaft {
    /// Length with the axle moved toward the case, up, and with its pinion raised.
    #[must_use]
    pub fn length(&self, toward_case: Length, up: Length, pitch: Angle) -> Length {
        let angle = self.pinion_angle + pitch;
        let (sin, cos) = (math::sin(angle), math::cos(angle));
        let (h, p) = (self.offset.si(), self.pinion_length.si());
        let run = self.flange_run.si() - toward_case.si() - (p * cos - h * sin);
        let rise = self.flange_rise.si() - up.si() - (h * cos + p * sin);
        Length::from_si(math::hypot(run, rise))
    }
}

/// Pinion angle that points at the flange joint, atan2(Z, X) - asin(h / R).
///
/// # Errors
/// If the offset is larger than the distance to the flange joint.
pub fn pointed_pinion(run: Length, rise: Length, offset: Length) -> Result<Angle, Trouble> {
    let reach = math::hypot(run.si(), rise.si());
    if offset.si().abs() >= reach {
        return Err(Trouble::impossible(
            "the pinion offset is larger than the distance to the flange joint",
            "check flange_run, flange_rise and offset",
        ));
    }
    Ok(math::atan2(rise.si(), run.si()) - math::asin(offset.si() / reach))
}

fn plunge(given: &Given, answer: &mut Answer) -> Result<(), Trouble> {
    let flange_run: Length = given::positive("flange_run", given.need("flange_run")?)?;
    let flange_rise: Length = given.need("flange_rise")?;
    let offset: Length = given.or("offset", Length::from_si(0.0))?;
    let pinion_angle = match given.maybe("pinion_angle")? {
        Some(angle) => angle,
        None => pointed_pinion(flange_run, flange_rise, offset)?,
    };
    let pinion_length = given::positive("pinion_length", given.need("pinion_length")?)?;
    let shaft = Shaft { flange_run, flange_rise, offset, pinion_length, pinion_angle };
    let link = match (given.maybe::<Length>("link")?, given.maybe::<Length>("half_length")?) {
        (Some(link), _) => given::positive("link", link)?,
        (None, Some(half)) => equivalent_link(given::positive("half_length", half)?),
        (None, None) => return Err(Trouble::Missing(vec!["half_length"])),
    };
    let drop: Length = given.need("drop")?;
    let bump: Length = given::positive("bump", given.need("bump")?)?;
    let droop: Length = given::positive("droop", given.need("droop")?)?;
    let forward = away(given)?;
    let to_case = if given.maybe_word("case")?.unwrap_or("behind") == "behind" { -1.0 } else { 1.0 };
    let zero = Angle::from_si(0.0);
    let (bump_pitch, droop_pitch) = (given.or("bump_pitch", zero)?, given.or("droop_pitch", zero)?);
    let up_away = recession(link, drop, drop - bump)?;
    let down_away = recession(link, drop, drop + droop)?;
    let ride = shaft.length(Length::from_si(0.0), Length::from_si(0.0), zero);
    let change = |sense: f64| {
        (
            shaft.length(up_away * sense, bump, bump_pitch) - ride,
            shaft.length(down_away * sense, -droop, droop_pitch) - ride,
        )
    };
    let stroke = |(up, down): (Length, Length)| {
        let (up, down) = (up.si(), down.si());
        Length::from_si(up.max(down).max(0.0) - up.min(down).min(0.0))
    };
    let now = change(forward * to_case);
    answer.put("pinion_angle", pinion_angle);
    answer.put("ride_length", ride);
    answer.put("bump_x", up_away * forward);
    answer.put("bump_change", now.0);
    answer.put("droop_x", down_away * forward);
    answer.put("droop_change", now.1);
    answer.put("stroke", stroke(now));
    answer.put("stroke_swapped", stroke(change(-forward * to_case)));
    if -now.0.si().min(now.1.si()) >= ride.si() {
        answer.warn("The shaft closes up entirely within the travel; check the lengths.");
    }
    Ok(())
}
