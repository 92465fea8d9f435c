//! Where an axle sits under the frame: shift by the pad holes, and squareness
//! from the diagonals.

use super::End;
use crate::figure::prelude::*;
use crate::figure::root::boundary;
use crate::figure::rule::agree;

const PLACE: Source =
    Source::derived("the centre bolt fixes the spring, the pad hole the axle under it", "geometry");
const DIAGONALS: Source =
    Source::derived("difference of the squared diagonals of a turned axle", "direct distances");
const SQUARE_LIMIT: Source = Source::practice("diagonals alike within 1/8 in or 3 mm");
const THRUST_LIMIT: Source =
    Source::practice("one light truck's alignment value, not traceable here: thrust angle within 0.4 deg");

/// Greatest thrust angle, in degrees ([`THRUST_LIMIT`]).
const THRUST: f64 = 0.4;

family! {
    pub PAD_OFFSET = "pad-offset" in Geometry:
        "axle shift and wheelbase change from the place of the pad holes, left and right";
    also "spring-pad-offset", "axle-shift", "wheelbase", "pad-hole", "pad-hole-offset", "wheelbase-change";
    reads PadOffset {
        required hole_left: Length, "left pad hole ahead of the axle centreline, negative behind", "left",
            "offset_left";
        optional hole_right: Length, "right pad hole in the same way; the left one if absent", "right",
            "offset_right";
        default old_hole_left: Length = "0", "left pad hole before", "old_left";
        default old_hole_right: Length = "0", "right pad hole before", "old_right";
        default bolt_shift_left: Length = "0",
            "left centre bolt moved forward on the frame, by new springs or hangers";
        default bolt_shift_right: Length = "0", "right centre bolt moved forward";
        default axle: End = Front, "which axle";
        optional wheelbase_left: Length in ABOVE_ZERO, "left wheelbase before", "wheelbase";
        optional wheelbase_right: Length in ABOVE_ZERO, "right wheelbase before; the left one if absent";
        optional seat_spacing: Length in ABOVE_ZERO, "left to right seat, centre to centre", "spacing";
    }
    gives PadOffsetAnswer {
        shift_left: Length, "left axle end forward", "old hole - new hole + bolt shift", PLACE;
        shift_right: Length, "right axle end forward", "old hole - new hole + bolt shift", PLACE;
        wheelbase_change_left: Length, "left wheelbase longer", "shift, reversed for a rear axle", PLACE;
        wheelbase_change_right: Length, "right wheelbase longer", "shift, reversed for a rear axle", PLACE;
        wheelbase_left: Length, "left wheelbase after", "before + change", PLACE => .style(TAPE);
        wheelbase_right: Length, "right wheelbase after", "before + change", PLACE => .style(TAPE);
        difference: Length, "left end ahead of right by this shift", "shift_left - shift_right", PLACE;
        yaw: Angle, "axle out of square by it, positive with the left end ahead", "atan(difference / seat_spacing)",
            PLACE => .style(FINE_ANGLE);
    }
    example "hole_left=\"-25 mm\" axle=front wheelbase_left=\"2400 mm\" seat_spacing=\"800 mm\"";
    by pad_offset
}

fn pad_offset(given: &PadOffset, answer: &mut PadOffsetAnswer) -> Result<()> {
    let left_hole = *given.hole_left;
    let right_hole = given.hole_right.unwrap_or(left_hole);
    // The bolt stays with the spring: a hole further ahead leaves the axle further back.
    let left = *given.old_hole_left - left_hole + *given.bolt_shift_left;
    let right = *given.old_hole_right - right_hole + *given.bolt_shift_right;
    let longer = if *given.axle == End::Front { 1.0 } else { -1.0 };
    answer.shift_left.put(left);
    answer.shift_right.put(right);
    answer.wheelbase_change_left.put(left * longer);
    answer.wheelbase_change_right.put(right * longer);
    if let Some(before) = *given.wheelbase_left {
        let before_right = given.wheelbase_right.unwrap_or(before);
        let (now, now_right) = (before + left * longer, before_right + right * longer);
        answer.wheelbase_left.put(positive("wheelbase_left after", now)?);
        answer.wheelbase_right.put(positive("wheelbase_right after", now_right)?);
    }
    let difference = left - right;
    answer.difference.put(difference);
    answer.yaw.put_some(given.seat_spacing.map(|spacing| math::atan2(difference.si(), spacing.si())));
    if difference.to(unit::MM).abs() > 3.0 {
        answer.warn("The two sides shift by different amounts; the axle would sit out of square by more than 3 mm (common practice), so check the hole marks.");
    }
    Ok(())
}

/// Between two marks across a frame or an axle.
const MARKS: Range = ABOVE_ZERO.usually(0.3, 2.8, unit::M);
/// From the frame marks to the axle marks.
const ALONG: Range = ABOVE_ZERO.usually(0.3, 12.0, unit::M);

family! {
    pub SQUARENESS = "squareness" in Geometry: "yaw of an axle from the two diagonals to frame marks";
    also "axle-squareness", "diagonals", "yaw", "thrust-angle";
    reads Squareness {
        optional diagonal_1: Length in ABOVE_ZERO, "left frame mark to right axle mark", "d1", "diagonal_left", "left";
        optional diagonal_2: Length in ABOVE_ZERO, "right frame mark to left axle mark", "d2", "diagonal_right", "right";
        optional difference: Length, "with its sign: diagonal_1 less diagonal_2; with frame_width", "diagonal_difference";
        optional frame_width: Length in MARKS, "between the two frame marks", "w", "frame_marks";
        required distance: Length in ALONG, "from the frame marks to the axle marks, along the vehicle", "l",
            "length";
        required axle_width: Length in MARKS, "between the two axle marks", "t", "axle_marks", "track", "width";
        default limit: Length = "3 mm" in within(0.0, 25.0, unit::MM, SQUARE_LIMIT).above_zero().usually(1.0, 6.4, unit::MM),
            "greatest difference of the diagonals";
    }
    rules { together(diagonal_1, diagonal_2); }
    gives SquarenessAnswer {
        difference: Length, "difference of the diagonals", "diagonal_1 - diagonal_2", DIAGONALS => .style(GAUGE);
        yaw: Angle, "axle out of square, positive with the right end further off",
            "sin yaw = (D1^2 - D2^2) / (2 L t)", DIAGONALS => .style(FINE_ANGLE);
        end_lead: Length, "right axle mark further off than the left", "t sin yaw", DIAGONALS => .style(GAUGE);
        verdict: String, "squareness", "size of the difference against the limit, and of the yaw against 0.4 deg",
            SQUARE_LIMIT => .claims(&["square"]);
    }
    asked yaw;
    example "diagonal_1=\"1490 mm\" diagonal_2=\"1487 mm\" distance=\"1000 mm\" axle_width=\"1400 mm\"";
    by squareness
}

/// Yaw of the axle from both diagonals.
///
/// # Errors
/// If the diagonals differ more than the marks allow.
pub fn yaw(diagonals: (Length, Length), distance: Length, axle_width: Length) -> Result<Angle> {
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

/// Distance of the frame marks that two diagonals leave: the mean of their squares
/// is L^2 + (t sin yaw / 2)^2 + ((w + t cos yaw) / 2)^2.
///
/// # Errors
/// If they are too short for the distance and the axle width.
fn frame_marks(diagonals: (Length, Length), distance: Length, axle_width: Length) -> Result<Length> {
    let turned = yaw(diagonals, distance, axle_width)?;
    let (one, two) = (diagonals.0.si(), diagonals.1.si());
    let along = 0.5 * axle_width.si() * math::sin(turned);
    let square = 0.5 * (one * one + two * two) - distance.si() * distance.si() - along * along;
    let width = 2.0 * square.max(0.0).sqrt() - axle_width.si() * math::cos(turned);
    (width <= 0.0).refuse(
        "the diagonals are too short to span distance and axle_width",
        "check the diagonals, distance and axle_width: a diagonal is longer than the distance it spans",
    )?;
    Ok(Length::from_si(width))
}

/// Both diagonals of an axle turned by an angle of this sine, marks centred.
fn diagonals(sine: f64, distance: f64, frame: f64, axle: f64) -> (f64, f64) {
    let across = 0.5 * (frame + axle * (1.0 - sine * sine).max(0.0).sqrt());
    let along = 0.5 * axle * sine;
    (math::hypot(distance + along, across), math::hypot(distance - along, across))
}

fn squareness(given: &Squareness, answer: &mut SquarenessAnswer) -> Result<()> {
    let distance = *given.distance;
    let axle_width = *given.axle_width;
    let pair = if given.diagonal_1.given() || given.diagonal_2.given() {
        let pair = (given.diagonal_1.need()?, given.diagonal_2.need()?);
        if let Some(stated) = *given.difference {
            let room = Length::of(0.5, unit::MM);
            agree(("difference", stated), ("diagonal_1 less diagonal_2", pair.0 - pair.1), room)?;
        }
        let frame = frame_marks(pair, distance, axle_width)?;
        if let Some(stated) = *given.frame_width {
            agree(("frame_width", stated), ("what the diagonals leave for it", frame), stated * 0.1)?;
        }
        pair
    } else {
        require(&[&given.difference, &given.frame_width])?;
        let frame = given.frame_width.need()?;
        let wanted = given.difference.need()?.si();
        let at = |sine: f64| diagonals(sine, distance.si(), frame.si(), axle_width.si());
        let gap = |sine: f64| {
            let (one, two) = at(sine);
            one - two
        };
        // The difference rises with the turn over the range a shop can meet,
        // so halving the bracket finds the one turn.
        (wanted <= gap(-0.5) || wanted >= gap(0.5)).refuse(
            "the difference means more than 30 deg of yaw",
            "check difference, distance and axle_width",
        )?;
        let (low, high) = boundary(|sine| gap(sine) >= wanted, -0.5, 0.5);
        let (one, two) = at(0.5 * (low + high));
        (Length::from_si(one), Length::from_si(two))
    };
    let difference = pair.0 - pair.1;
    let yaw = yaw(pair, distance, axle_width)?;
    answer.difference.put(difference);
    answer.yaw.put(yaw);
    answer.end_lead.put(axle_width * math::sin(yaw));
    // The difference at which the axle is turned by the thrust angle limit.
    let turned = 2.0 * distance.si() * axle_width.si() * math::sin(Angle::of(THRUST, unit::DEG))
        / (pair.0 + pair.1).si();
    let margin = given.limit.si().min(turned) * (1.0 + 1e-9) - difference.si().abs();
    let square = margin >= 0.0;
    answer.verdict.judge(margin, "square", "out of square", "not proven");
    if !square {
        answer.warn("The axle is out of square; loosen it, move it until the diagonals agree and measure again before anything is welded.");
    }
    if yaw.to(unit::DEG).abs() > THRUST {
        answer.warn(format!(
            "The axle is turned more than 0.4 deg, the usual thrust angle limit ({THRUST_LIMIT})."
        ));
    }
    Ok(())
}
