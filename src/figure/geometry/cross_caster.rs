//! Caster of the left side against the right.

use crate::figure::{Answer, Declared, Family, Given, Group, Input, Output, Trouble, given};
use crate::quantity::show::FINE_ANGLE;
use crate::quantity::{Angle, Dimensioned, Kind, unit};
use crate::source::Source;

const CROSS: Source = Source::definition("cross caster is left minus right");
const LIMIT: Source =
    Source::handbook("light-truck solid-axle alignment specification", "0 deg preferred, within 0.5 deg");

/// Cross caster.
pub static CROSS_CASTER: Family = Family {
    name: "cross-caster",
    declared: Declared::OLD,
    group: Group::Geometry,
    title: "caster left minus right, and if the sides agree well enough",
    inputs: &[
        Input::required("left", Kind::Angle, "caster of the left side, positive with the axis top rearward")
            .also(&["caster_left", "left_caster"]),
        Input::required("right", Kind::Angle, "caster of the right side")
            .also(&["caster_right", "right_caster"]),
        Input::defaulted("limit", Kind::Angle, "0.5 deg", "greatest difference, without sign")
            .also(&["tolerance", "tol"]),
    ],
    outputs: &[
        Output::new("cross_caster", "cross caster", Kind::Angle, "left - right", CROSS).style(FINE_ANGLE),
        Output::flag("within_limit", "sides agree", "|left - right| <= limit", LIMIT),
    ],
    example: "left=\"5.2 deg\" right=\"5 deg\"",
    run: cross_caster,
};

fn cross_caster(given: &Given, answer: &mut Answer) -> Result<(), Trouble> {
    let left: Angle = given.need("left")?;
    let right: Angle = given.need("right")?;
    let limit = given::positive("limit", given.or("limit", Angle::of(0.5, unit::DEG))?)?;
    let cross = left - right;
    // A hair of room, so that readings exactly at the limit pass.
    let agree = cross.si().abs() <= limit.si() + 1e-12;
    answer.put("cross_caster", cross);
    answer.put_flag("within_limit", agree);
    if !agree {
        answer.warn(
            "The sides differ by more than the limit; turn each knuckle by its own difference, never by the mean.",
        );
    }
    Ok(())
}
