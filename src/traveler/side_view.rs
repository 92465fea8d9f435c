//! The axle seen from the left side of the vehicle, to scale: tube, pads and
//! spring pack before and after, pinion line, kingpin line, propeller shaft.
//!
//! The front is at the left. Dashed is before, solid is after.

use crate::quantity::show::{ANGLE, TAPE};
use crate::quantity::{Angle, Dimensioned, Length, unit};
use crate::term::Units;

use super::document::Captioned;
use super::drawing::{Canvas, Pen, Spot};
use super::end_view::stated;

/// Which side of the tube the spring pack lies on.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Seat {
    /// Under the tube.
    Under,
    /// Over the tube.
    Over,
}

/// A pad and the pack on it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Seating {
    /// Side of the tube.
    pub seat: Seat,
    /// From the tube surface to the pad face, on the vertical through the tube centre.
    pub height: Length,
}

/// An angle before and after.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Turn {
    /// As found; drawn dashed.
    pub before: Angle,
    /// As planned; drawn solid.
    pub after: Angle,
}

/// Where the pinion points.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Points {
    /// To the rear: a front axle.
    Rear,
    /// To the front: a rear axle.
    Front,
}

/// The shaft between pinion and case, in side view.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Shaft {
    /// Its angle from the horizontal; positive rises from the axle to the case.
    pub angle: Turn,
    /// Angle of the joint at the pinion, if it is known.
    pub joint: Option<Turn>,
}

/// What the side view shows. Parts that are unknown are left out.
#[derive(Debug, Clone, PartialEq)]
pub struct SideView {
    /// Outside diameter of the tube where the pads sit.
    pub tube_od: Length,
    /// Thickness of the spring pack at the clamp.
    pub pack: Length,
    /// As found; drawn dashed.
    pub before: Seating,
    /// As planned; drawn solid.
    pub after: Seating,
    /// Direction of the pinion.
    pub pinion_points: Points,
    /// Pinion angle; positive nose up.
    pub pinion: Option<Turn>,
    /// From the tube centre to the pinion flange.
    pub pinion_reach: Option<Length>,
    /// Side whose caster is drawn, and its caster; positive with the top to the rear.
    pub caster: Option<(String, Turn)>,
    /// The shaft; drawn only with the pinion.
    pub shaft: Option<Shaft>,
    /// Height of the tube centre above the ground.
    pub ground: Option<Length>,
    /// Units that stand first.
    pub units: Units,
}

const SIZE: Spot = Spot::new(182.0, 100.0);

/// The smallest usual drawing scale that is at least `needed` (ISO 5455 and
/// the steps between that shops use).
#[must_use]
pub fn scale_for(needed: f64) -> f64 {
    const SCALES: [f64; 13] = [0.5, 1.0, 1.5, 2.0, 2.5, 3.0, 4.0, 5.0, 6.0, 8.0, 10.0, 20.0, 50.0];
    SCALES.into_iter().find(|scale| *scale >= needed).unwrap_or(100.0)
}

/// The scale in words: `scale 1 : 2.5`.
#[must_use]
pub fn scale_words(scale: f64) -> String {
    if scale < 1.0 { format!("scale {} : 1", 1.0 / scale) } else { format!("scale 1 : {scale}") }
}

/// The sheet: where the tube centre lies, and the scale.
struct Sheet {
    canvas: Canvas,
    centre: Spot,
    scale: f64,
    radius: f64,
    said: Vec<String>,
    units: Units,
}

impl Sheet {
    /// A place given from the tube centre: millimetres to the rear and up.
    fn at(&self, rear: f64, up: f64) -> Spot {
        Spot::new(self.centre.x + rear / self.scale, self.centre.y - up / self.scale)
    }

    /// Wishes for a label and remembers it for the spoken text.
    fn say(&mut self, at: Spot, toward: f64, text: String, strong: bool) {
        self.canvas.label(at, Angle::of(toward, unit::DEG), &text, strong);
        self.said.push(text);
    }
}

/// Draws the side view.
#[must_use]
pub fn side_view(view: &SideView) -> Captioned {
    let od = view.tube_od.to(unit::MM).abs().max(1.0);
    let pack = view.pack.to(unit::MM).abs();
    let tallest = [view.before, view.after]
        .into_iter()
        .map(|s| od / 2.0 + s.height.to(unit::MM).abs() + pack)
        .fold(od, f64::max);
    let scale = scale_for(tallest / 40.0);
    let centre = match view.pinion_points {
        Points::Rear => Spot::new(SIZE.x * 0.4, SIZE.y * 0.5),
        Points::Front => Spot::new(SIZE.x * 0.6, SIZE.y * 0.5),
    };
    let mut sheet = Sheet {
        canvas: Canvas::new(SIZE),
        centre,
        scale,
        radius: od / 2.0,
        said: Vec::new(),
        units: view.units,
    };
    let half = SIZE.y * 0.5 - 2.0;
    sheet
        .canvas
        .line(&[Spot::new(centre.x, centre.y - half), Spot::new(centre.x, centre.y + half)], Pen::REFERENCE);
    sheet.canvas.line(&[Spot::new(4.0, centre.y), Spot::new(SIZE.x - 4.0, centre.y)], Pen::REFERENCE);
    sheet.canvas.circle(centre, sheet.radius / scale, Pen::OUTLINE);
    seating(&mut sheet, view.before, pack, Pen::BEFORE, "before");
    seating(&mut sheet, view.after, pack, Pen::AFTER, "after");
    travel(&mut sheet, view, pack);
    if let Some(turn) = view.pinion {
        pinion(&mut sheet, view, turn);
    }
    if let Some((side, turn)) = &view.caster {
        kingpin(&mut sheet, side, *turn);
    }
    ground(&mut sheet, view.ground);
    ends(&mut sheet);

    let scale = scale_words(sheet.scale);
    let alt = format!("Side view of the axle, front to the left, {scale}. {}.", sheet.said.join("; "));
    let mut caption = format!("Axle from the left, front to the left, {scale}. Dashed before, solid after.");
    if view.pinion.is_some() && !pinion_length(&sheet, view.pinion_reach).1 {
        caption.push_str(" Length of the pinion not to scale.");
    }
    Captioned { caption, drawing: sheet.canvas.finish(alt) }
}

/// Pad and pack.
fn seating(sheet: &mut Sheet, seating: Seating, pack: f64, pen: Pen, word: &str) {
    let up = match seating.seat {
        Seat::Over => 1.0,
        Seat::Under => -1.0,
    };
    let r = sheet.radius;
    let face = r + seating.height.to(unit::MM).abs();
    let (pad_half, pack_half) = (0.62 * r, 46.0 * sheet.scale);
    let foot = (r * r - pad_half * pad_half).max(0.0).sqrt();
    let pad = [(-pad_half, foot), (-pad_half, face), (pad_half, face), (pad_half, foot)]
        .map(|(x, y)| sheet.at(x, up * y));
    sheet.canvas.line(&pad, pen);
    let corner = |sheet: &Sheet, side: f64, y: f64| sheet.at(side * pack_half, up * y);
    let near = [corner(sheet, -1.0, face), corner(sheet, 1.0, face)];
    let far = [corner(sheet, -1.0, face + pack), corner(sheet, 1.0, face + pack)];
    sheet.canvas.line(&near, pen);
    sheet.canvas.line(&far, pen);
    // The pack is longer than the sheet: a break line at each end.
    for side in [-1.0, 1.0] {
        let bend = 1.6 * sheet.scale;
        let zigzag = [(0.0, 0.0), (0.0, 0.35), (-bend, 0.45), (bend, 0.55), (0.0, 0.65), (0.0, 1.0)]
            .map(|(x, y)| sheet.at(side * pack_half + x, up * (face + y * pack)));
        sheet.canvas.line(&zigzag, Pen::THIN);
    }
    let middle = sheet.at(pack_half * 0.3, up * (face + pack / 2.0));
    sheet.say(middle, 0.0, format!("spring {word}"), word == "after");
    let text = format!("pad {} from the tube", sheet.units.first(TAPE).both(seating.height.into()));
    let at = sheet.at(-pad_half, up * (face + foot) / 2.0);
    sheet.say(at, 180.0, text, word == "after");
}

/// How far the pack moves: a dimension between its middles.
fn travel(sheet: &mut Sheet, view: &SideView, pack: f64) {
    let middle = |s: Seating| {
        let up = if s.seat == Seat::Over { 1.0 } else { -1.0 };
        up * (sheet.radius + s.height.to(unit::MM).abs() + pack / 2.0)
    };
    let (from, to) = (middle(view.before), middle(view.after));
    if (from - to).abs() < 1.0 {
        return;
    }
    let x = -66.0 * sheet.scale;
    let (a, b) = (sheet.at(x, from), sheet.at(x, to));
    sheet.canvas.line(&[a, b], Pen::THIN);
    let up = std::f64::consts::FRAC_PI_2;
    let (head, tail) = if to > from { (up, -up) } else { (-up, up) };
    sheet.canvas.arrow_head(b, Angle::from_si(head));
    sheet.canvas.arrow_head(a, Angle::from_si(tail));
    let text =
        format!("pack moves {}", view.units.first(TAPE).both(Length::of((to - from).abs(), unit::MM).into()));
    let at = sheet.at(x, sheet.radius * 0.5);
    sheet.say(at, 180.0, text, true);
}

/// Longest pinion on the sheet, sheet millimetres.
const LONGEST_PINION: f64 = 62.0;

/// Length of the pinion on the sheet, and whether it is to scale.
fn pinion_length(sheet: &Sheet, reach: Option<Length>) -> (f64, bool) {
    let least = sheet.radius / sheet.scale + 8.0;
    match reach.map(|l| l.to(unit::MM).abs() / sheet.scale) {
        Some(length) if (least..=LONGEST_PINION).contains(&length) => (length, true),
        Some(length) => (length.clamp(least, LONGEST_PINION), false),
        None => (least + 18.0, false),
    }
}

/// Pinion lines and the shaft, with their arcs.
fn pinion(sheet: &mut Sheet, view: &SideView, turn: Turn) {
    let rearward = view.pinion_points == Points::Rear;
    let heading =
        |rise: Angle| if rearward { rise } else { Angle::from_si(std::f64::consts::PI - rise.si()) };
    let beside = |toward: f64| if rearward { toward } else { 180.0 - toward };
    let (reach, _) = pinion_length(sheet, view.pinion_reach);
    let level = heading(Angle::from_si(0.0));
    for (late, angle, pen) in [(false, turn.before, Pen::BEFORE), (true, turn.after, Pen::AFTER)] {
        let word = if late { "after" } else { "before" };
        let tip = sheet.centre.toward(heading(angle), reach);
        sheet.canvas.line(&[sheet.centre, tip], pen);
        let across = Angle::from_si(heading(angle).si() + std::f64::consts::FRAC_PI_2);
        let back = Angle::from_si(across.si() + std::f64::consts::PI);
        sheet.canvas.line(&[tip.toward(across, 4.0), tip.toward(back, 4.0)], pen);
        let arc_at = reach * if late { 0.88 } else { 0.7 };
        sheet.canvas.arc(sheet.centre, arc_at, (level, heading(angle)), Pen::THIN);
        let middle = sheet.centre.toward(heading(Angle::from_si(angle.si() / 2.0)), arc_at);
        let text = format!("pinion {word} {}", stated(angle));
        sheet.say(middle, beside(if late { 120.0 } else { -60.0 }), text, late);
        let Some(shaft) = view.shaft else { continue };
        let slope = if late { shaft.angle.after } else { shaft.angle.before };
        let end = clip(tip, tip.toward(heading(slope), SIZE.x), SIZE);
        sheet.canvas.line(&[tip, end], pen);
        sheet.canvas.arrow_head(end, heading(slope));
        let text = format!("shaft {word} {}", ANGLE.shop(slope.into()));
        sheet.say(end, beside(if late { 150.0 } else { -150.0 }), text, late);
        if let Some(joint) = shaft.joint {
            let joint = if late { joint.after } else { joint.before };
            let radius = if late { 17.0 } else { 24.0 };
            sheet.canvas.line(&[tip, tip.toward(heading(angle), radius + 3.0)], Pen::REFERENCE);
            sheet.canvas.arc(tip, radius, (heading(angle), heading(slope)), Pen::THIN);
            let middle = tip.toward(heading(Angle::from_si((angle.si() + slope.si()) / 2.0)), radius);
            let text = format!("joint {word} {}", ANGLE.shop(joint.into()));
            sheet.say(middle, beside(if late { 60.0 } else { -60.0 }), text, late);
        }
    }
}

/// The part of the line from `a` to `b` that lies on the sheet; `a` does.
fn clip(a: Spot, b: Spot, size: Spot) -> Spot {
    let part = |from: f64, to: f64, low: f64, high: f64| {
        if to > high {
            (high - from) / (to - from)
        } else if to < low {
            (low - from) / (to - from)
        } else {
            1.0
        }
    };
    let t = part(a.x, b.x, 3.0, size.x - 3.0).min(part(a.y, b.y, 3.0, size.y - 3.0)).clamp(0.0, 1.0);
    Spot::new(a.x + t * (b.x - a.x), a.y + t * (b.y - a.y))
}

/// Kingpin lines with their caster angles.
fn kingpin(sheet: &mut Sheet, side: &str, turn: Turn) {
    let upright = std::f64::consts::FRAC_PI_2;
    let reach = SIZE.y * 0.5 - 5.0;
    let later = turn.after.si() >= turn.before.si();
    for (angle, pen, word) in [(turn.before, Pen::BEFORE, "before"), (turn.after, Pen::AFTER, "after")] {
        let up = Angle::from_si(upright - angle.si());
        let down = Angle::from_si(up.si() + std::f64::consts::PI);
        let tip = sheet.centre.toward(up, reach);
        sheet.canvas.line(&[sheet.centre.toward(down, reach * 0.92), tip], pen);
        let radius = reach * if word == "after" { 0.93 } else { 0.86 };
        sheet.canvas.arc(sheet.centre, radius, (Angle::from_si(upright), up), Pen::THIN);
        let to_right = (word == "after") == later;
        let text = format!("kingpin {side} {word}, caster {}", stated(angle));
        sheet.say(tip, if to_right { 0.0 } else { 180.0 }, text, word == "after");
    }
}

/// The ground, if it is on the sheet.
fn ground(sheet: &mut Sheet, height: Option<Length>) {
    let Some(height) = height else { return };
    let spot = sheet.at(0.0, -height.to(unit::MM));
    let text = format!("tube centre {} above the ground", sheet.units.first(TAPE).both(height.into()));
    if spot.y < SIZE.y - 6.0 {
        sheet.canvas.line(&[Spot::new(4.0, spot.y), Spot::new(SIZE.x - 4.0, spot.y)], Pen::OUTLINE);
    }
    sheet.say(Spot::new(SIZE.x - 40.0, spot.y.min(SIZE.y - 6.0)), -90.0, text, false);
}

/// Front and rear, so that the sign of an angle can be seen.
fn ends(sheet: &mut Sheet) {
    sheet.canvas.label(Spot::new(4.0, sheet.centre.y), Angle::of(60.0, unit::DEG), "front", false);
    sheet.canvas.label(Spot::new(SIZE.x - 4.0, sheet.centre.y), Angle::of(120.0, unit::DEG), "rear", false);
}
