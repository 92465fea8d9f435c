//! A strip wrapped round a tube: index lines, the turn of a knuckle as an arc,
//! places of wall readings; and a tube in equal parts.

use super::Side;
use crate::figure::prelude::*;

const CIRCLE: Source = Source::definition("circumference, arc and chord of a circle");
const WRAP: Source = Source::derived(
    "a wrapped sheet is laid off at its middle thickness: pi (measured diameter + thickness)",
    "length of the wrapped arc",
);
const WAY: Source = Source::derived(
    "x forward, y left, z up (ISO 8855); seen from outside with the wheel end up, a top that goes rearward goes left on the left side and right on the right side",
    "rotation of the top point about the tube",
);

/// Girth a strip is laid off at.
fn girth(od: &Read<Option<Length>>, tape: &Read<Option<Length>>, sheet: Length) -> Result<Length> {
    let around = sheet * PI;
    match **tape {
        Some(tape) => Ok(tape + around),
        None => od.need().map(|od| od * PI + around),
    }
}

family! {
    pub WRAP_STRIP = "wrap-strip" in Geometry:
        "strip to wrap round a tube of measured diameter: index lines, turn of a knuckle, places of wall readings";
    also "strip", "tube-strip", "index-strip";
    reads WrapStrip {
        optional od: Length in ABOVE_ZERO, "measured outside diameter, not the nominal one", "tube_od", "diameter", "d";
        optional girth: Length in ABOVE_ZERO, "instead: measured girth by tape", "tape_girth";
        default sheet: Length = "0" in NOT_NEGATIVE, "thickness of the strip", "sheet_thickness", "paper_thickness";
        default width: Length = "70 mm" in ABOVE_ZERO, "width of the strip along the tube";
        default cut_line: Length = "20 mm" in NOT_NEGATIVE, "cut line from the edge at the seam weld", "groove_offset", "cut_offset";
        default side: Side = Left, "side of the unit the tube end is on";
        optional rotation: Angle in within(-45.0, 45.0, unit::DEG, WAY), "turn of the knuckle, top rearward positive", "turn";
        default readings: Number = "8" in count(1, 36, CIRCLE), "places of wall readings round the tube";
        optional seam: Angle in within(-180.0, 180.0, unit::DEG, CIRCLE), "seam of the tube itself, from the top toward the front";
        default seam_width: Length = "20 mm" in ABOVE_ZERO, "width kept free at that seam";
    }
    rules { one_of(od, girth); }
    gives WrapStripAnswer {
        length: Length, "length of the strip", "pi (od + sheet), or girth + pi sheet", WRAP => .style(GAUGE);
        quarter: Length, "between index lines", "length / 4", CIRCLE => .style(GAUGE);
        spacing: Length, "between wall readings", "length / readings", CIRCLE => .style(GAUGE);
        cut_line: Length, "cut line from the edge at the seam weld", "cut_line", WRAP => .style(GAUGE);
        width: Length, "width of the strip", "width", WRAP => .style(GAUGE);
        arc: Length, "turn as an arc on the strip", "length |rotation| / 360", CIRCLE => .style(GAUGE);
        toward: String, "way the knuckle's line goes on the strip", "top rearward is left on the left side, right on the right side", WAY;
        front: String, "way to the front at the top of the strip", "right on the left side, left on the right side", WAY;
        seam_at: Length, "seam of the tube from the top line, to the right positive", "length x seam / 360, signed by the side", WAY => .style(GAUGE);
        seam_free: Length, "kept free on each side of that seam", "seam_width / 2", CIRCLE => .style(GAUGE);
    }
    example "od=\"82.6 mm\" rotation=\"9 deg\" side=\"left\"";
    by wrap_strip
}

fn wrap_strip(given: &WrapStrip, answer: &mut WrapStripAnswer) -> Result<()> {
    let length = girth(&given.od, &given.girth, *given.sheet)?;
    let (width, cut) = (*given.width, *given.cut_line);
    (cut.si() >= width.si())
        .refuse("the cut line lies beyond the strip", "make the strip wider than cut_line")?;
    answer.length.put(length);
    answer.quarter.put(length / 4.0);
    answer.spacing.put(length / given.readings.si());
    answer.cut_line.put(cut);
    answer.width.put(width);
    let turn = |angle: Angle| length * (angle.to(unit::DEG) / 360.0);
    let (rear, front) = if *given.side == Side::Left { ("left", "right") } else { ("right", "left") };
    answer.front.put(front);
    if let Some(rotation) = *given.rotation {
        answer.arc.put(turn(Angle::from_si(rotation.si().abs())));
        answer.toward.put(match rotation.si() {
            0.0 => "stays",
            r if r > 0.0 => rear,
            _ => front,
        });
    }
    if let Some(seam) = *given.seam {
        let sign = if front == "right" { 1.0 } else { -1.0 };
        answer.seam_at.put(turn(seam) * sign);
        answer.seam_free.put(*given.seam_width / 2.0);
    }
    if given.sheet.si() == 0.0 {
        answer.note("Paper 0.1 mm thick makes a strip 0.3 mm too short (pi x thickness); give sheet to count it. Check that the ends meet on the tube.");
    }
    Ok(())
}

family! {
    pub EQUAL_DIVISION = "equal-division" in Geometry: "marks that divide the girth of a tube into equal parts";
    also "divide", "division", "bolt-circle", "bolt-circle-strip", "dividing-strip";
    reads EqualDivision {
        optional od: Length in ABOVE_ZERO, "measured outside diameter", "tube_od", "diameter", "d";
        optional girth: Length in ABOVE_ZERO, "instead: measured girth by tape", "tape_girth";
        required parts: Number in count(2, 120, CIRCLE), "number of equal parts", "count", "n", "into";
        default start: Angle = "0 deg" in within(-360.0, 360.0, unit::DEG, CIRCLE), "first mark, from the end of the strip";
        default sheet: Length = "0" in NOT_NEGATIVE, "thickness of the strip", "sheet_thickness";
    }
    rules { one_of(od, girth); }
    gives EqualDivisionAnswer {
        length: Length, "length of the strip", "pi (od + sheet), or girth + pi sheet", WRAP => .style(GAUGE);
        spacing: Length, "from mark to mark on the strip", "length / parts", CIRCLE => .style(GAUGE);
        angle: Angle, "from mark to mark round the tube", "360 / parts", CIRCLE => .style(FINE_ANGLE);
        chord: Length, "straight from mark to mark on the tube", "od sin(180 / parts)", CIRCLE => .style(GAUGE);
        mark: Vec<Length>, "marks from the end of the strip", "length (start / 360 + i / parts)", CIRCLE => .style(GAUGE);
    }
    asked spacing;
    example "od=\"4 in\" parts=6";
    by equal_division
}

fn equal_division(given: &EqualDivision, answer: &mut EqualDivisionAnswer) -> Result<()> {
    let length = girth(&given.od, &given.girth, *given.sheet)?;
    let bare = (length - *given.sheet * PI) / PI;
    let parts = given.parts.si();
    let first = given.start.to(unit::DEG).rem_euclid(360.0) / 360.0;
    let each = Angle::of(360.0 / parts, unit::DEG);
    answer.length.put(length);
    answer.spacing.put(length / parts);
    answer.angle.put(each);
    answer.chord.put(bare * math::sin(each / 2.0));
    let mut marks: Vec<f64> =
        (0_u32..).map(f64::from).take_while(|i| *i < parts).map(|i| (first + i / parts) % 1.0).collect();
    marks.sort_by(f64::total_cmp);
    answer.mark.list(marks.into_iter().map(|share| length * share));
    Ok(())
}
