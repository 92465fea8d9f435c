//! A table to use with a pencil: measured caster, turn of the knuckle, arc on
//! the tube.

use super::scribe_mark::{arc, chord};
use crate::figure::{Answer, Declared, Family, Given, Group, Input, Output, Trouble, given};
use crate::quantity::show::{ANGLE, GAUGE};
use crate::quantity::{Angle, Dimensioned, Kind, Length, unit};
use crate::source::Source;

const TURN: Source = Source::derived(
    "caster is a projected angle, so the turn is target minus reading",
    "3-D rotation matrices",
);
const CIRCLE: Source = Source::definition("arc and chord of a circle");
/// Most rows that still fit a page.
const MOST_ROWS: f64 = 61.0;

/// Look-up table from measured caster to the turn and its mark.
pub static ROTATION_TABLE: Family = Family {
    name: "rotation-table",
    declared: Declared::OLD,
    group: Group::Geometry,
    title: "look-up table: measured caster, turn of the knuckle, arc and chord on the tube",
    inputs: &[
        Input::required("target", Kind::Angle, "caster wanted").also(&["target_caster", "caster_target"]),
        Input::required("od", Kind::Length, "tube outside diameter where the marks are")
            .also(&["tube_od", "diameter", "d", "tube"]),
        Input::required("from", Kind::Angle, "least caster of the table").also(&["caster_from", "low"]),
        Input::required("to", Kind::Angle, "greatest caster of the table").also(&["caster_to", "high"]),
        Input::defaulted("step", Kind::Angle, "0.5 deg", "from row to row"),
    ],
    outputs: &[
        Output::list("caster", "measured caster", Kind::Angle, "from, from + step, ... to", TURN)
            .style(ANGLE),
        Output::list("rotation", "turn, top rearward positive", Kind::Angle, "target - caster", TURN)
            .style(ANGLE),
        Output::list("arc", "arc on the tube", Kind::Length, "pi od |rotation| / 360", CIRCLE).style(GAUGE),
        Output::list(
            "chord",
            "straight distance between the marks",
            Kind::Length,
            "od sin(|rotation| / 2)",
            CIRCLE,
        )
        .style(GAUGE),
    ],
    example: "target=\"6 deg\" od=\"3 in\" from=\"-4 deg\" to=\"2 deg\" step=\"0.5 deg\"",
    run: rotation_table,
};

fn rotation_table(given: &Given, answer: &mut Answer) -> Result<(), Trouble> {
    let target: Angle = given.need("target")?;
    let od: Length = given::positive("od", given.need("od")?)?;
    let from: Angle = given.need("from")?;
    let to: Angle = given.need("to")?;
    let step = given::positive("step", given.or("step", Angle::of(0.5, unit::DEG))?)?;
    let span = (to - from).si();
    if span < 0.0 {
        return Err(Trouble::impossible("the table ends before it starts", "exchange from and to"));
    }
    // A hair of room, so that a span of whole steps keeps its last row.
    let rows = (span / step.si() + 1e-9).floor() + 1.0;
    if rows > MOST_ROWS {
        return Err(Trouble::impossible(
            format!("the table would have {rows:.0} rows, more than {MOST_ROWS:.0}"),
            "use a larger step or a narrower range",
        ));
    }
    let casters: Vec<Angle> =
        (0_u32..).map(f64::from).take_while(|i| *i < rows).map(|i| from + step * i).collect();
    let turns: Vec<Angle> = casters.iter().map(|caster| target - *caster).collect();
    for turn in &turns {
        given::within("rotation", *turn, unit::DEG, -45.0..=45.0, TURN)?;
    }
    let size = |turn: &Angle| Angle::from_si(turn.si().abs());
    answer.put_list("caster", casters);
    answer.put_list("rotation", turns.clone());
    answer.put_list("arc", turns.iter().map(|t| arc(od, size(t))));
    answer.put_list("chord", turns.iter().map(|t| chord(od, size(t))));
    answer.warn(
        "The marks are a cross-check; set each knuckle with the angle finder, left and right separately.",
    );
    Ok(())
}
