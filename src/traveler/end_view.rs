//! The knuckle end of an axle seen along the tube, from outside: how far the
//! knuckle is turned, and the arc between the two index marks on the tube.

use crate::quantity::show::{ANGLE, FINE_ANGLE, GAUGE, LENGTH};
use crate::quantity::{Angle, Dimensioned, Length, math, unit};
use crate::term::Units;

use super::document::Captioned;
use super::drawing::{Canvas, Pen, Spot};
use super::side_view::{scale_for, scale_words};
use crate::term::Side;

/// Which lines are which, at the end of the caption.
pub(super) const LINES: &str = " Dashed before, solid after.";

/// What the end view shows.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct EndView {
    /// Side of the vehicle; seen from outside, the front of the left one is at the left.
    pub side: Side,
    /// Outside diameter of the tube where the marks are.
    pub tube_od: Length,
    /// Caster before the cut; positive with the top of the kingpin line to the rear.
    pub caster_before: Angle,
    /// Caster wanted.
    pub caster_after: Angle,
    /// Rotation of the knuckle; positive turns the top to the rear.
    pub rotation: Angle,
    /// Arc between the marks on the tube.
    pub mark_arc: Length,
    /// Units that stand first.
    pub units: Units,
}

/// Draws the end view: tube, both kingpin lines, both marks, the arc.
#[must_use]
pub fn end_view(view: &EndView) -> Captioned {
    drawn(view, Spot::new(90.0, 78.0), Spot::new(45.0, 38.0), 44.0)
}

/// The same as wide as the column beside a narrow table.
#[must_use]
pub fn small_end_view(view: &EndView) -> Captioned {
    drawn(view, Spot::new(52.0, 43.0), Spot::new(26.0, 20.0), 16.0)
}

/// The least turn that can be read off a sketch, in degrees: of a smaller one both kingpin
/// lines and both marks lie on one another.
const LEAST: f64 = 7.0;

/// What is drawn: the turn, and the kingpin line after it. A small turn is drawn larger
/// than it is; then the second is true.
fn shown(view: &EndView) -> (Angle, Angle, bool) {
    let turn = view.rotation.to(unit::DEG);
    if turn == 0.0 || turn.abs() >= LEAST {
        return (view.rotation, view.caster_after, false);
    }
    let drawn = Angle::of(LEAST.copysign(turn), unit::DEG);
    (drawn, Angle::from_si(view.caster_before.si() + drawn.si()), true)
}

/// Draws it about `centre` on a sheet of this size, the tube no larger than `most`.
fn drawn(view: &EndView, size: Spot, centre: Spot, most: f64) -> Captioned {
    let mut canvas = Canvas::new(size);
    let od = view.tube_od.to(unit::MM).abs().max(1.0);
    let scale = scale_for(od / most);
    let radius = od / 2.0 / scale;
    // Seen from the left the rear is at the right of the sheet; from the right it is at the left.
    let rearward = match view.side {
        Side::Left => -1.0,
        Side::Right => 1.0,
    };
    let upright = std::f64::consts::FRAC_PI_2;
    let leaning = |lean: Angle| Angle::from_si(upright + rearward * lean.si());
    let (rotation, caster_after, larger) = shown(view);

    canvas.circle(centre, radius, Pen::OUTLINE);
    canvas.line(&[Spot::new(centre.x, 3.0), Spot::new(centre.x, size.y - 3.0)], Pen::REFERENCE);
    canvas.line(
        &[Spot::new(centre.x - radius - 4.0, centre.y), Spot::new(centre.x + radius + 4.0, centre.y)],
        Pen::REFERENCE,
    );

    let reach = radius + 11.0;
    for (lean, pen) in [(view.caster_before, Pen::BEFORE), (caster_after, Pen::AFTER)] {
        let up = leaning(lean);
        let down = Angle::from_si(up.si() + std::f64::consts::PI);
        canvas.line(&[centre.toward(down, radius * 0.45), centre.toward(up, reach)], pen);
    }
    // The marks: both on the top line before the turn, one of them turned with the knuckle.
    let turned = Angle::from_si(upright + rearward * rotation.si());
    let low = Angle::from_si(upright + std::f64::consts::PI);
    let low_turned = Angle::from_si(turned.si() + std::f64::consts::PI);
    for (angle, pen) in [(low, Pen::BEFORE), (low_turned, Pen::AFTER)] {
        canvas.line(&[centre.toward(angle, radius - 3.5), centre.toward(angle, radius + 6.0)], pen);
    }
    canvas.arc(centre, radius + 4.5, (low, low_turned), Pen::THIN);
    let heading = if low_turned.si() > low.si() { 1.0 } else { -1.0 };
    canvas.arrow_head(
        centre.toward(low_turned, radius + 4.5),
        Angle::from_si(low_turned.si() + heading * upright),
    );

    let before = format!("before {}", stated(view.caster_before));
    let after = format!("after {}", stated(view.caster_after));
    let side_of = |lean: Angle, other: Angle| {
        let right = math::cos(leaning(lean)) >= math::cos(leaning(other));
        Angle::of(if right { 20.0 } else { 160.0 }, unit::DEG)
    };
    canvas.label(
        centre.toward(leaning(view.caster_before), reach),
        side_of(view.caster_before, caster_after),
        &before,
        false,
    );
    canvas.label(
        centre.toward(leaning(caster_after), reach),
        side_of(caster_after, view.caster_before),
        &after,
        true,
    );
    let turn = format!("turn {}", ANGLE.shop(view.rotation.into()));
    let arc = format!("arc {}", view.units.first(GAUGE).both(view.mark_arc.into()));
    let middle = Angle::from_si((low.si() + low_turned.si()) / 2.0);
    canvas.label(centre.toward(middle, radius + 6.5), middle, &arc, true);
    canvas.label(centre.toward(middle, radius + 6.5), middle, &turn, true);
    let (front, rear) = match view.side {
        Side::Left => (Spot::new(8.0, centre.y), Spot::new(size.x - 8.0, centre.y)),
        Side::Right => (Spot::new(size.x - 8.0, centre.y), Spot::new(8.0, centre.y)),
    };
    canvas.label(front, Angle::from_si(upright), "front", false);
    canvas.label(rear, Angle::from_si(upright), "rear", false);
    canvas.label(
        centre.toward(Angle::of(if rearward < 0.0 { 215.0 } else { 325.0 }, unit::DEG), radius),
        Angle::of(if rearward < 0.0 { 215.0 } else { 325.0 }, unit::DEG),
        format!("tube {}", view.units.first(LENGTH).shop(view.tube_od.into())),
        false,
    );

    let word = view.side.word();
    let alt = format!(
        "End view of the {word} knuckle along the tube, from outside. Kingpin line caster {before}, {after}. \
         The knuckle turns by {}, top to the {}; the marks on the tube end up {} apart.",
        ANGLE.shop(view.rotation.into()),
        if view.rotation.si() < 0.0 { "front" } else { "rear" },
        view.units.first(GAUGE).both(view.mark_arc.into()),
    );
    let larger = if larger { "; the turn drawn larger than it is" } else { "" };
    let caption = format!("{} knuckle from outside, {}{larger}.{LINES}", capital(word), scale_words(scale));
    Captioned { caption, drawing: canvas.finish(alt) }
}

fn capital(word: &str) -> String {
    let mut chars = word.chars();
    chars.next().map_or_else(String::new, |c| c.to_uppercase().chain(chars).collect())
}

/// An angle as it was stated: one to the hundredth is not shown to the tenth, 5.25 deg is
/// not 5.3 deg; what was computed has no such digits.
pub(super) fn stated(angle: Angle) -> String {
    let off = |parts: f64| {
        let number = angle.to(unit::DEG) * parts;
        (number - number.round()).abs()
    };
    let hundredth = off(10.0) > 0.05 && off(100.0) < 0.001;
    if hundredth { FINE_ANGLE } else { ANGLE }.shop(angle.into())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_small_turn_is_drawn_so_that_it_can_be_seen_and_says_so() {
        let view = |before: f64, after: f64| EndView {
            side: Side::Left,
            tube_od: Length::of(3.25, unit::IN),
            caster_before: Angle::of(before, unit::DEG),
            caster_after: Angle::of(after, unit::DEG),
            rotation: Angle::of(after - before, unit::DEG),
            mark_arc: Length::of(0.07, unit::IN),
            units: Units::Inch,
        };
        let (small, large) = (view(3.5, 6.0), view(-5.3, 6.0));
        assert!(small_end_view(&small).caption.contains("drawn larger than it is"));
        assert!(!small_end_view(&large).caption.contains("drawn larger"));
        // What it says stays what is turned; only the lines are apart.
        let back = shown(&view(6.0, 3.5));
        assert!(back.0.to(unit::DEG) < -6.9 && back.2, "{back:?}");
        assert_eq!(shown(&large), (large.rotation, large.caster_after, false));
        assert_eq!(shown(&view(6.0, 6.0)).0.si(), 0.0);
    }
}
