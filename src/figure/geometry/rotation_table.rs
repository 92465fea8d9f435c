//! A table to use with a pencil: measured caster, turn of the knuckle, arc on
//! the tube.

use super::scribe_mark::{arc, chord};
use crate::figure::prelude::*;
use crate::figure::usual::AXLE_TUBE;

const TURN: Source = Source::derived(
    "caster is a projected angle, so the turn is target minus reading",
    "3-D rotation matrices",
);
const CIRCLE: Source = Source::definition("arc and chord of a circle");
/// Most rows that still fit a page.
const MOST_ROWS: f64 = 61.0;

family! {
    pub ROTATION_TABLE = "rotation-table" in Geometry:
        "look-up table: measured caster, turn of the knuckle, arc and chord on the tube";
    reads RotationTable {
        required target: Angle, "caster wanted", "target_caster", "caster_target";
        required od: Length in AXLE_TUBE, "tube outside diameter where the marks are", "tube_od", "diameter", "d",
            "tube";
        required from: Angle, "least caster of the table", "caster_from", "low";
        required to: Angle, "greatest caster of the table", "caster_to", "high";
        default step: Angle = "0.5 deg" in ABOVE_ZERO, "from row to row";
    }
    rules { ordered(from, to); }
    gives RotationTableAnswer {
        caster: Vec<Angle>, "measured caster", "from, from + step, ... to", TURN => .style(ANGLE);
        rotation: Vec<Angle>, "turn, top rearward positive", "target - caster", TURN => .style(ANGLE);
        arc: Vec<Length>, "arc on the tube", "pi od |rotation| / 360", CIRCLE => .style(GAUGE);
        chord: Vec<Length>, "straight distance between the marks", "od sin(|rotation| / 2)", CIRCLE => .style(GAUGE);
    }
    example "target=\"6 deg\" od=\"3 in\" from=\"-4 deg\" to=\"2 deg\" step=\"0.5 deg\"";
    by rotation_table
}

fn rotation_table(given: &RotationTable, answer: &mut RotationTableAnswer) -> Result<()> {
    let target = *given.target;
    let od = *given.od;
    let from = *given.from;
    let step = *given.step;
    let span = (*given.to - from).si();
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
        within(-45.0, 45.0, unit::DEG, TURN).check("rotation", (*turn).into())?;
    }
    let size = |turn: &Angle| Angle::from_si(turn.si().abs());
    answer.caster.put(casters);
    answer.rotation.put(turns.clone());
    answer.arc.list(turns.iter().map(|t| arc(od, size(t))));
    answer.chord.list(turns.iter().map(|t| chord(od, size(t))));
    answer.warn(
        "The marks are a cross-check; set each knuckle with the angle finder, left and right separately.",
    );
    Ok(())
}
