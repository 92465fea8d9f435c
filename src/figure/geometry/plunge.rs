//! What the path of an axle does to the length of a propeller shaft.

use super::axle_path::{SpringEnd, equivalent_link, recession};
use crate::figure::prelude::*;
use crate::figure::usual::TRAVEL;

const PLUNGE_BASIS: Source = Source::derived(
    "shaft from the pinion joint to the flange joint, axle on the equivalent link",
    "circle root of the path",
);

words! {
    /// Where the case or gearbox is, seen from the axle.
    pub Case {
        Behind = "behind",
        Ahead = "ahead",
    }
}

family! {
    pub PLUNGE = "plunge" in Geometry:
        "change of shaft length through travel with the fixed eye in front of or behind the axle";
    also "shaft-plunge", "driveshaft-plunge";
    reads Plunge {
        ..spring: SpringEnd;
        required flange_run: Length in ABOVE_ZERO, "flange joint from the axle centre, toward the case, at ride",
            "x", "run";
        required flange_rise: Length, "flange joint above the axle centre at ride", "z", "rise";
        default offset: Length = "0", "pinion axis above the axle axis, negative below", "h", "pinion_offset",
            "hypoid_offset";
        required pinion_length: Length in ABOVE_ZERO, "pinion joint along the pinion axis from the axle", "pinion",
            "p";
        optional pinion_angle: Angle, "pinion above horizontal toward the case; pointed at the flange if absent",
            "f";
        optional half_length: Length in ABOVE_ZERO, "active half length on the side of the fixed eye; or give link",
            "a", "fixed_half", "half";
        optional link: Length in ABOVE_ZERO, "equivalent link, 0.75 of that half", "equivalent_link", "radius", "r";
        required drop: Length, "seat below the pivot of the link at ride: eye height, plus half the eye offset",
            "ride_drop", "height", "y", "arch";
        required bump: Length in TRAVEL, "travel up from ride", "bump_travel", "up";
        required droop: Length in TRAVEL, "travel down from ride, as a positive length", "droop_travel", "down";
        default case: Case = Behind, "where the case or gearbox is, seen from the axle";
        default bump_pitch: Angle = "0", "rise of the pinion angle in bump";
        default droop_pitch: Angle = "0", "rise of the pinion angle in droop";
    }
    gives PlungeAnswer {
        pinion_angle: Angle, "pinion angle at ride", "atan2(Z, X) - asin(h / R)", PLUNGE_BASIS => .style(ANGLE);
        ride_length: Length, "shaft length at ride, joint to joint", "flange joint to pinion joint",
            PLUNGE_BASIS => .style(GAUGE);
        bump_x: Length, "axle forward in bump", "circle of the link", PLUNGE_BASIS => .style(GAUGE);
        bump_change: Length, "shaft longer in bump", "length in bump - ride_length",
            PLUNGE_BASIS => .range("seat kept from turning").style(GAUGE);
        droop_x: Length, "axle forward in droop", "circle of the link", PLUNGE_BASIS => .style(GAUGE);
        droop_change: Length, "shaft longer in droop", "length in droop - ride_length",
            PLUNGE_BASIS => .range("seat kept from turning").style(GAUGE);
        stroke: Length, "slip stroke needed", "longest - shortest of ride, bump and droop",
            PLUNGE_BASIS => .style(GAUGE).at_least();
        stroke_swapped: Length, "slip stroke with the fixed eye at the other end",
            "the same with recession reversed", PLUNGE_BASIS => .style(GAUGE).at_least();
    }
    asked stroke;
    example "flange_run=\"850 mm\" flange_rise=\"300 mm\" offset=\"-38 mm\" pinion_length=\"330 mm\" half_length=\"550 mm\" drop=\"60 mm\" bump=\"60 mm\" droop=\"80 mm\"";
    by plunge
}

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
fn pointed_pinion(run: Length, rise: Length, offset: Length) -> Result<Angle> {
    let reach = math::hypot(run.si(), rise.si());
    (offset.si().abs() >= reach).refuse(
        "the pinion offset is larger than the distance to the flange joint",
        "check flange_run, flange_rise and offset",
    )?;
    Ok(math::atan2(rise.si(), run.si()) - math::asin(offset.si() / reach))
}

fn plunge(given: &Plunge, answer: &mut PlungeAnswer) -> Result<()> {
    let flange_run = *given.flange_run;
    let flange_rise = *given.flange_rise;
    let offset = *given.offset;
    let pinion_angle = match *given.pinion_angle {
        Some(angle) => angle,
        None => pointed_pinion(flange_run, flange_rise, offset)?,
    };
    let pinion_length = *given.pinion_length;
    let shaft = Shaft { flange_run, flange_rise, offset, pinion_length, pinion_angle };
    let link = match (*given.link, *given.half_length) {
        (Some(link), _) => link,
        (None, Some(half)) => equivalent_link(half),
        (None, None) => return Err(Trouble::Missing(vec!["half_length"])),
    };
    let drop = *given.drop;
    let bump = *given.bump;
    let droop = *given.droop;
    let forward = given.spring.away();
    let to_case = if *given.case == Case::Behind { -1.0 } else { 1.0 };
    let zero = Angle::from_si(0.0);
    let (bump_pitch, droop_pitch) = (*given.bump_pitch, *given.droop_pitch);
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
    answer.pinion_angle.put(pinion_angle);
    answer.ride_length.put(ride);
    answer.bump_x.put(up_away * forward);
    answer.bump_change.put(now.0);
    answer.droop_x.put(down_away * forward);
    answer.droop_change.put(now.1);
    answer.stroke.put(stroke(now));
    answer.stroke_swapped.put(stroke(change(-forward * to_case)));
    if -now.0.si().min(now.1.si()) >= ride.si() {
        answer.warn("The shaft closes up entirely within the travel; check the lengths.");
    }
    Ok(())
}
