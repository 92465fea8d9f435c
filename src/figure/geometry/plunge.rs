//! What the path of an axle does to the length of a propeller shaft.

use super::axle_path::{FIXED_EYE, away, equivalent_link, recession};
use crate::figure::{Answer, Declared, Family, Given, Group, Input, Need, Output, Trouble, given};
use crate::quantity::show::{ANGLE, GAUGE};
use crate::quantity::{Angle, Dimensioned, Kind, Length, math};
use crate::source::Source;

const PLUNGE_BASIS: Source = Source::derived(
    "shaft from the pinion joint to the flange joint, axle on the equivalent link",
    "circle root of the path",
);

/// Plunge of the shaft.
pub static PLUNGE: Family = Family {
    name: "plunge",
    declared: Declared::OLD,
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
            .also(&["pinion", "p"]),
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
        Input::optional("link", Kind::Length, "equivalent link, 0.75 of that half").also(&[
            "equivalent_link",
            "radius",
            "r",
        ]),
        Input::required(
            "drop",
            Kind::Length,
            "seat below the pivot of the link at ride: eye height, plus half the eye offset",
        )
        .also(&["ride_drop", "height", "y", "arch"]),
        Input::required("bump", Kind::Length, "travel up from ride").also(&["bump_travel", "up"]),
        Input::required("droop", Kind::Length, "travel down from ride, as a positive length")
            .also(&["droop_travel", "down"]),
        FIXED_EYE,
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
