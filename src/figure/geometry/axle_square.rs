//! Where an axle sits under the frame: shift by the pad holes, and squareness
//! from the diagonals.

use crate::figure::{Answer, Declared, Family, Given, Group, Input, Need, Output, Trouble, given};
use crate::quantity::show::{FINE_ANGLE, GAUGE, TAPE};
use crate::quantity::{Angle, Dimensioned, Kind, Length, math, unit};
use crate::source::Source;

const PLACE: Source =
    Source::derived("the centre bolt fixes the spring, the pad hole the axle under it", "geometry");
const DIAGONALS: Source =
    Source::derived("difference of the squared diagonals of a turned axle", "direct distances");
const SQUARE_LIMIT: Source = Source::practice("diagonals alike within 1/8 in or 3 mm");
const THRUST_LIMIT: Source =
    Source::handbook("light-truck alignment specification", "thrust angle within 0.4 deg");

/// Axle shift by pad holes.
pub static PAD_OFFSET: Family = Family {
    name: "pad-offset",
    declared: Declared::OLD,
    group: Group::Geometry,
    title: "axle shift and wheelbase change from the place of the pad holes, left and right",
    inputs: &[
        Input::required(
            "hole_left",
            Kind::Length,
            "left pad hole ahead of the axle centreline, negative behind",
        )
        .also(&["left", "offset_left"]),
        Input::optional("hole_right", Kind::Length, "right pad hole in the same way; the left one if absent")
            .also(&["right", "offset_right"]),
        Input::defaulted("old_hole_left", Kind::Length, "0", "left pad hole before").also(&["old_left"]),
        Input::defaulted("old_hole_right", Kind::Length, "0", "right pad hole before").also(&["old_right"]),
        Input::defaulted(
            "bolt_shift_left",
            Kind::Length,
            "0",
            "left centre bolt moved forward on the frame, by new springs or hangers",
        ),
        Input::defaulted("bolt_shift_right", Kind::Length, "0", "right centre bolt moved forward"),
        Input::choice("axle", &["front", "rear"], Need::Default("front"), "which axle"),
        Input::optional("wheelbase_left", Kind::Length, "left wheelbase before").also(&["wheelbase"]),
        Input::optional("wheelbase_right", Kind::Length, "right wheelbase before; the left one if absent"),
        Input::optional("seat_spacing", Kind::Length, "left to right seat, centre to centre")
            .also(&["spacing"]),
    ],
    outputs: &[
        Output::new(
            "shift_left",
            "left axle end forward",
            Kind::Length,
            "old hole - new hole + bolt shift",
            PLACE,
        ),
        Output::new(
            "shift_right",
            "right axle end forward",
            Kind::Length,
            "old hole - new hole + bolt shift",
            PLACE,
        ),
        Output::new(
            "wheelbase_change_left",
            "left wheelbase longer",
            Kind::Length,
            "shift, reversed for a rear axle",
            PLACE,
        ),
        Output::new(
            "wheelbase_change_right",
            "right wheelbase longer",
            Kind::Length,
            "shift, reversed for a rear axle",
            PLACE,
        ),
        Output::new("wheelbase_left", "left wheelbase after", Kind::Length, "before + change", PLACE)
            .style(TAPE),
        Output::new("wheelbase_right", "right wheelbase after", Kind::Length, "before + change", PLACE)
            .style(TAPE),
        Output::new(
            "difference",
            "left end ahead of right by this shift",
            Kind::Length,
            "shift_left - shift_right",
            PLACE,
        ),
        Output::new(
            "yaw",
            "axle out of square by it, positive with the left end ahead",
            Kind::Angle,
            "atan(difference / seat_spacing)",
            PLACE,
        )
        .style(FINE_ANGLE),
    ],
    example: "hole_left=\"-25 mm\" axle=front wheelbase_left=\"2400 mm\" seat_spacing=\"800 mm\"",
    run: pad_offset,
};

fn pad_offset(given: &Given, answer: &mut Answer) -> Result<(), Trouble> {
    let zero = Length::from_si(0.0);
    let left_hole: Length = given.need("hole_left")?;
    let right_hole = given.or("hole_right", left_hole)?;
    // The bolt stays with the spring: a hole further ahead leaves the axle further back.
    let left = given.or("old_hole_left", zero)? - left_hole + given.or("bolt_shift_left", zero)?;
    let right = given.or("old_hole_right", zero)? - right_hole + given.or("bolt_shift_right", zero)?;
    let longer = if given.maybe_word("axle")?.unwrap_or("front") == "front" { 1.0 } else { -1.0 };
    answer.put("shift_left", left);
    answer.put("shift_right", right);
    answer.put("wheelbase_change_left", left * longer);
    answer.put("wheelbase_change_right", right * longer);
    if let Some(before) = given.maybe::<Length>("wheelbase_left")? {
        let before_right = given.or("wheelbase_right", before)?;
        let (now, now_right) = (before + left * longer, before_right + right * longer);
        answer.put("wheelbase_left", given::positive("wheelbase_left after", now)?);
        answer.put("wheelbase_right", given::positive("wheelbase_right after", now_right)?);
    }
    let difference = left - right;
    answer.put("difference", difference);
    if let Some(spacing) = given.maybe::<Length>("seat_spacing")? {
        given::positive("seat_spacing", spacing)?;
        answer.put("yaw", math::atan2(difference.si(), spacing.si()));
    }
    if difference.to(unit::MM).abs() > 3.0 {
        answer.warn("The two sides shift by different amounts; the axle would sit out of square by more than 3 mm (common practice), so check the hole marks.");
    }
    Ok(())
}

/// Squareness of an axle.
pub static SQUARENESS: Family = Family {
    name: "squareness",
    declared: Declared::OLD,
    group: Group::Geometry,
    title: "yaw of an axle from the two diagonals to frame marks",
    inputs: &[
        Input::optional("diagonal_1", Kind::Length, "left frame mark to right axle mark")
            .also(&["d1", "diagonal_left"]),
        Input::optional("diagonal_2", Kind::Length, "right frame mark to left axle mark")
            .also(&["d2", "diagonal_right"]),
        Input::optional("difference", Kind::Length, "diagonal_1 less diagonal_2; with frame_width")
            .also(&["diagonal_difference"]),
        Input::optional("frame_width", Kind::Length, "between the two frame marks")
            .also(&["w", "frame_marks"]),
        Input::required(
            "distance",
            Kind::Length,
            "from the frame marks to the axle marks, along the vehicle",
        )
        .also(&["l", "length"]),
        Input::required("axle_width", Kind::Length, "between the two axle marks").also(&[
            "t",
            "axle_marks",
            "track",
        ]),
        Input::defaulted("limit", Kind::Length, "3 mm", "greatest difference of the diagonals"),
    ],
    outputs: &[
        Output::new(
            "difference",
            "difference of the diagonals",
            Kind::Length,
            "diagonal_1 - diagonal_2",
            DIAGONALS,
        )
        .style(GAUGE),
        Output::new(
            "yaw",
            "axle out of square, positive with the right end further off",
            Kind::Angle,
            "sin yaw = (D1^2 - D2^2) / (2 L t)",
            DIAGONALS,
        )
        .style(FINE_ANGLE),
        Output::new(
            "end_lead",
            "right axle mark further off than the left",
            Kind::Length,
            "t sin yaw",
            DIAGONALS,
        )
        .style(GAUGE),
        Output::word("verdict", "squareness", "size of the difference against the limit", SQUARE_LIMIT),
    ],
    example: "diagonal_1=\"1490 mm\" diagonal_2=\"1487 mm\" distance=\"1000 mm\" axle_width=\"1400 mm\"",
    run: squareness,
};

/// Yaw of the axle from both diagonals.
///
/// # Errors
/// If the diagonals differ more than the marks allow.
pub fn yaw(diagonals: (Length, Length), distance: Length, axle_width: Length) -> Result<Angle, Trouble> {
    let (one, two) = (diagonals.0.si(), diagonals.1.si());
    let sine = (one - two) * (one + two) / (2.0 * distance.si() * axle_width.si());
    if sine.abs() < 1.0 {
        return Ok(math::asin(sine));
    }
    Err(Trouble::impossible(
        "the diagonals differ by more than an axle of this width can turn",
        "check the diagonals, distance and axle_width",
    ))
}

/// Both diagonals of an axle turned by an angle of this sine, marks centred.
fn diagonals(sine: f64, distance: f64, frame: f64, axle: f64) -> (f64, f64) {
    let across = 0.5 * (frame + axle * (1.0 - sine * sine).max(0.0).sqrt());
    let along = 0.5 * axle * sine;
    (math::hypot(distance + along, across), math::hypot(distance - along, across))
}

fn squareness(given: &Given, answer: &mut Answer) -> Result<(), Trouble> {
    let distance: Length = given::positive("distance", given.need("distance")?)?;
    let axle_width: Length = given::positive("axle_width", given.need("axle_width")?)?;
    let pair = if given.has("diagonal_1") || given.has("diagonal_2") {
        given.require(&["diagonal_1", "diagonal_2"])?;
        (
            given::positive("diagonal_1", given.need::<Length>("diagonal_1")?)?,
            given::positive("diagonal_2", given.need::<Length>("diagonal_2")?)?,
        )
    } else {
        given.require(&["difference", "frame_width"])?;
        let frame: Length = given::positive("frame_width", given.need("frame_width")?)?;
        let wanted = given.need::<Length>("difference")?.si();
        let at = |sine: f64| diagonals(sine, distance.si(), frame.si(), axle_width.si());
        let gap = |sine: f64| {
            let (one, two) = at(sine);
            one - two
        };
        // The difference rises with the turn over the range a shop can meet,
        // so halving the bracket finds the one turn.
        let (mut low, mut high) = (-0.5, 0.5);
        if wanted <= gap(low) || wanted >= gap(high) {
            return Err(Trouble::impossible(
                "the difference means more than 30 deg of yaw",
                "check difference, distance and axle_width",
            ));
        }
        for _ in 0..200 {
            let middle = 0.5 * (low + high);
            if gap(middle) < wanted { low = middle } else { high = middle }
        }
        let (one, two) = at(0.5 * (low + high));
        (Length::from_si(one), Length::from_si(two))
    };
    let difference = pair.0 - pair.1;
    let yaw = yaw(pair, distance, axle_width)?;
    answer.put("difference", difference);
    answer.put("yaw", yaw);
    answer.put("end_lead", axle_width * math::sin(yaw));
    let limit: Length = given.or("limit", Length::of(3.0, unit::MM))?;
    let square = difference.si().abs() <= limit.si() * (1.0 + 1e-9);
    answer.put_word("verdict", if square { "square" } else { "out of square" });
    if !square {
        answer.warn("The axle is out of square; loosen it, move it until the diagonals agree and measure again before anything is welded.");
    }
    if yaw.to(unit::DEG).abs() > 0.4 {
        answer.warn(format!(
            "The axle is turned more than 0.4 deg, the usual thrust angle limit ({THRUST_LIMIT})."
        ));
    }
    Ok(())
}
