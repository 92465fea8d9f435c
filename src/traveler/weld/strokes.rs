//! Strokes of a weld symbol, and the joint it points to.
//!
//! The reference line is level; sheet y is down. All sizes are sheet millimetres.

use super::{At, Kind, Standard, Symbol};
use crate::job::model::JointForm;
use crate::quantity::{Angle, Dimensioned, math};
use crate::traveler::document::Captioned;
use crate::traveler::drawing::{Canvas, Dash, LINE, Pen, Spot, Weight, text_width};

/// Radius of the circle for all round.
const ROUND: f64 = 1.5;
/// Height of a symbol without a root opening inside.
const PLAIN: f64 = 5.0;
/// Height of a groove that holds its root opening.
const HOLDING: f64 = 8.5;
/// Distance of the dashed line from the continuous one.
const DASHED: f64 = 2.0;
/// Depth of the fork at the tail.
const FORK: f64 = 2.6;
/// Height of the flag's pole.
const POLE: f64 = 7.0;
/// From the junction to the first text: room for the circle.
const LEAD: f64 = 3.4;
const GAP: f64 = 0.9;

/// At which end of the reference line the arrow is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ArrowEnd {
    /// At the left; the tail is at the right.
    Left,
    /// At the right.
    Right,
}

/// Height and width of the elementary symbol.
fn size(symbol: &Symbol) -> (f64, f64) {
    // The corner of the text nearest to the root has to lie inside the groove.
    let inside = symbol.inside().map(|text| text_width(&text) + 0.8);
    let low = HOLDING - LINE - 0.3;
    match (symbol.kind, inside) {
        (Kind::Fillet, _) => (PLAIN, PLAIN),
        (Kind::V, None) => (PLAIN, PLAIN * 1.16),
        (Kind::V, Some(text)) => (HOLDING, HOLDING * (text / low).max(1.16)),
        (Kind::Bevel, None) => (PLAIN, PLAIN),
        (Kind::Bevel, Some(text)) => (HOLDING, HOLDING * (text / low).max(1.0)),
        (Kind::Square, None) => (PLAIN, 2.4),
        (Kind::Square, Some(text)) => (PLAIN, text + 0.8),
        (Kind::FlareBevel, _) => (PLAIN, PLAIN + 1.0),
        (Kind::Plug, _) => (4.0, 7.0),
    }
}

/// Width of a text, none for no text.
fn wide(text: &str) -> f64 {
    if text.is_empty() { 0.0 } else { text_width(text) + GAP }
}

/// Length of the reference line.
#[must_use]
pub fn line_length(symbol: &Symbol) -> f64 {
    LEAD + wide(&symbol.left()) + size(symbol).1 + GAP + wide(&symbol.right()) + 2.0
}

/// Width of everything but the arrow: reference line and tail.
#[must_use]
pub fn width(symbol: &Symbol) -> f64 {
    let tail = symbol.tail();
    line_length(symbol) + if tail.is_empty() { 0.0 } else { FORK + text_width(&tail) }
}

/// How far it stands above and below the reference line.
#[must_use]
pub fn extent(symbol: &Symbol) -> (f64, f64) {
    // The fork of a tail is higher than its words.
    let least = if symbol.tail().is_empty() { LINE / 2.0 } else { FORK.max(LINE / 2.0) } + 0.2;
    let (mut up, mut down) = (least, least);
    for (above, base) in sides(symbol) {
        let beyond = match symbol.kind {
            Kind::FlareBevel if symbol.inside().is_some() => LINE + 0.6,
            _ if symbol.beyond().is_some() => LINE + 0.6,
            _ => 0.0,
        };
        let reach = base + size(symbol).0.max(LINE + 0.6) + beyond;
        if above {
            up = up.max(reach);
        } else {
            down = down.max(reach);
        }
        if symbol.backing && symbol.at != At::Both {
            if above { down = down.max(DASHED + 2.8) } else { up = up.max(DASHED + 2.8) }
        }
    }
    if symbol.field {
        up = up.max(POLE);
    }
    (up, down)
}

/// On which sides of the reference line the symbol stands: above it or not, and
/// how far off.
///
/// AWS A2.4: arrow side below, other side above. ISO 2553 system A: arrow side
/// on the continuous line, here above it; other side on the dashed line, here
/// below; no dashed line where both sides are alike.
fn sides(symbol: &Symbol) -> Vec<(bool, f64)> {
    match (symbol.standard, symbol.at) {
        (Standard::Aws, At::Arrow) => vec![(false, 0.0)],
        (Standard::Aws, At::Other) => vec![(true, 0.0)],
        (Standard::Iso, At::Arrow) => vec![(true, 0.0)],
        (Standard::Iso, At::Other) => vec![(false, DASHED)],
        (_, At::Both) => vec![(true, 0.0), (false, 0.0)],
    }
}

/// Draws the symbol with its junction (where arrow and reference line meet) at
/// `junction` and its arrow to `target`.
pub fn draw(canvas: &mut Canvas, symbol: &Symbol, junction: Spot, end: ArrowEnd, target: Spot) {
    let length = line_length(symbol);
    let start = match end {
        ArrowEnd::Left => junction.x,
        ArrowEnd::Right => junction.x - length,
    };
    let y = junction.y;
    let medium = Pen::OUTLINE;
    canvas.line(&[Spot::new(start, y), Spot::new(start + length, y)], medium);
    if symbol.standard == Standard::Iso && symbol.at != At::Both {
        let pen = Pen { weight: Weight::Thin, dash: Dash::Dashed };
        canvas.line(&[Spot::new(start + 1.0, y + DASHED), Spot::new(start + length - 1.0, y + DASHED)], pen);
    }
    arrow(canvas, symbol, junction, target);
    if symbol.all_round {
        canvas.circle(junction, ROUND, medium);
    }
    if symbol.field {
        let away = if end == ArrowEnd::Left { -3.6 } else { 3.6 };
        let top = Spot::new(junction.x, y - POLE);
        canvas.line(&[junction, top], medium);
        canvas.solid(&[top, Spot::new(top.x + away, top.y + 1.5), Spot::new(top.x, top.y + 3.0)]);
    }
    tail(canvas, symbol, start, length, y, end);
    let lead = if end == ArrowEnd::Left { LEAD } else { 2.0 };
    let from = start + lead;
    for (above, base) in sides(symbol) {
        elementary(canvas, symbol, Spot::new(from, y), if above { -1.0 } else { 1.0 }, base);
    }
}

/// The arrow. Where one of two parts is prepared it has a break and its last
/// piece points to that part.
fn arrow(canvas: &mut Canvas, symbol: &Symbol, junction: Spot, target: Spot) {
    let (dx, dy) = (target.x - junction.x, target.y - junction.y);
    let long = (dx * dx + dy * dy).sqrt().max(1e-6);
    let broken = matches!(symbol.kind, Kind::Bevel | Kind::FlareBevel);
    // Away from the reference line, so that the break stays clear of it.
    let bow = if broken { 2.2 * (dx * dy).signum() } else { 0.0 };
    let knee = Spot::new(junction.x + dx * 0.55 + bow * dy / long, junction.y + dy * 0.55 - bow * dx / long);
    let points = if broken { vec![junction, knee, target] } else { vec![junction, target] };
    canvas.line(&points, Pen::OUTLINE);
    let from = if broken { knee } else { junction };
    canvas.arrow_head(target, heading(from, target));
}

fn heading(from: Spot, to: Spot) -> Angle {
    math::atan2(from.y - to.y, to.x - from.x)
}

fn tail(canvas: &mut Canvas, symbol: &Symbol, start: f64, length: f64, y: f64, end: ArrowEnd) {
    let text = symbol.tail();
    if text.is_empty() {
        return;
    }
    let (at, out) = match end {
        ArrowEnd::Left => (start + length, 1.0),
        ArrowEnd::Right => (start, -1.0),
    };
    let fork = [-FORK, FORK].map(|dy| Spot::new(at + out * FORK, y + dy));
    canvas.line(&[fork[0], Spot::new(at, y), fork[1]], Pen::OUTLINE);
    canvas.text(Spot::new(at + out * (FORK + text_width(&text) / 2.0), y), text, true);
}

/// Size, elementary symbol and length on one side; `down` is 1 below the line, -1 above.
fn elementary(canvas: &mut Canvas, symbol: &Symbol, from: Spot, down: f64, base: f64) {
    let (high, broad) = size(symbol);
    let (left, right) = (symbol.left(), symbol.right());
    let x = from.x + wide(&left);
    let at = |dx: f64, out: f64| Spot::new(x + dx, from.y + down * (base + out));
    let beside = at(0.0, 0.5 + LINE / 2.0).y;
    if !left.is_empty() {
        canvas.text(Spot::new(from.x + text_width(&left) / 2.0, beside), left, true);
    }
    if !right.is_empty() {
        canvas.text(Spot::new(x + broad + GAP + text_width(&right) / 2.0, beside), right, true);
    }
    let pen = Pen::OUTLINE;
    match symbol.kind {
        // The upright leg stands at the left, whatever the joint (AWS A2.4, ISO 2553).
        Kind::Fillet => canvas.line(&[at(0.0, 0.0), at(0.0, high), at(broad, 0.0)], pen),
        Kind::V => canvas.line(&[at(0.0, high), at(broad / 2.0, 0.0), at(broad, high)], pen),
        Kind::Bevel => canvas.line(&[at(0.0, high), at(0.0, 0.0), at(broad, high)], pen),
        Kind::Square => {
            canvas.line(&[at(0.0, 0.0), at(0.0, high)], pen);
            canvas.line(&[at(broad, 0.0), at(broad, high)], pen);
        }
        Kind::FlareBevel => {
            canvas.line(&[at(0.0, 0.0), at(0.0, high)], pen);
            let (half, quarter) = (std::f64::consts::PI, std::f64::consts::FRAC_PI_2);
            let angles = (Angle::from_si(half), Angle::from_si(half + down * quarter));
            canvas.arc(at(broad, 0.0), broad - 1.0, angles, pen);
        }
        Kind::Plug => canvas.line(&[at(0.0, 0.0), at(0.0, high), at(broad, high), at(broad, 0.0)], pen),
    }
    let mut beyond = high + 0.4 + LINE / 2.0;
    if let Some(text) = symbol.inside() {
        let middle = high - 0.3 - LINE / 2.0;
        match symbol.kind {
            Kind::V | Kind::Square => canvas.text(at(broad / 2.0, middle), text, false),
            Kind::Bevel => canvas.text(at(0.5 + text_width(&text) / 2.0, middle), text, false),
            _ => {
                canvas.text(at(broad / 2.0, beyond), text, false);
                beyond += LINE;
            }
        }
    }
    if let Some(text) = symbol.beyond() {
        canvas.text(at(broad / 2.0, beyond), text, false);
    }
    if symbol.backing && symbol.at != At::Both {
        backing(canvas, symbol, x + broad / 2.0, from.y, -down);
    }
}

/// The rectangle of a backing that stays, opposite the groove.
fn backing(canvas: &mut Canvas, symbol: &Symbol, x: f64, y: f64, down: f64) {
    let base = if symbol.standard == Standard::Iso && down > 0.0 { DASHED } else { 0.0 };
    let at = |dx: f64, out: f64| Spot::new(x + dx, y + down * (base + out));
    canvas.line(&[at(-3.0, 0.0), at(-3.0, 2.4), at(3.0, 2.4), at(3.0, 0.0)], Pen::OUTLINE);
}

/// Room for the joint beside a symbol.
const JOINT: Spot = Spot::new(16.0, 9.0);

/// The symbol with a section of its joint, for a card or a row of a table.
#[must_use]
pub fn with_joint(symbol: &Symbol, form: JointForm) -> Captioned {
    let (up, down) = extent(symbol);
    let above = up + 0.5;
    let high = (above + down + 0.5).max(above + 1.0 + JOINT.y);
    let across = JOINT.x + width(symbol) + 3.0;
    let mut canvas = Canvas::new(Spot::new(across, high));
    let foot = high - 0.6;
    let seam = joint(&mut canvas, symbol, form, foot);
    let junction = Spot::new(JOINT.x + 2.0, above);
    draw(&mut canvas, symbol, junction, ArrowEnd::Left, seam);
    Captioned { caption: symbol.rules(), drawing: canvas.finish(format!("{}.", symbol.words())) }
}

/// A section of the joint standing on `foot`; gives where the arrow points.
fn joint(canvas: &mut Canvas, symbol: &Symbol, form: JointForm, foot: f64) -> Spot {
    let mut plate = |x: f64, y: f64, w: f64, h: f64| {
        let corners = [(x, y), (x + w, y), (x + w, y + h), (x, y + h)].map(|(x, y)| Spot::new(x, y));
        canvas.outline(&corners, Pen::THIN);
    };
    match form {
        JointForm::Tee => {
            plate(0.5, foot - 2.2, 13.0, 2.2);
            plate(5.5, foot - 8.4, 2.2, 6.2);
            Spot::new(8.0, foot - 2.5)
        }
        JointForm::Lap => {
            plate(0.5, foot - 4.4, 8.0, 2.2);
            plate(3.5, foot - 2.2, 10.5, 2.2);
            Spot::new(8.8, foot - 2.5)
        }
        JointForm::Corner => {
            plate(0.5, foot - 2.2, 10.5, 2.2);
            plate(8.8, foot - 8.4, 2.2, 6.2);
            Spot::new(11.3, foot - 2.0)
        }
        JointForm::Butt => {
            let under = if symbol.backing { 1.6 } else { 0.0 };
            if symbol.backing {
                plate(3.5, foot - 1.5, 7.5, 1.5);
            }
            let (top, bottom) = (foot - 3.2 - under, foot - under);
            let slant = |on: bool| if on { 1.9 } else { 0.0 };
            let left = slant(symbol.kind == Kind::V);
            let right = slant(matches!(symbol.kind, Kind::V | Kind::Bevel));
            let l = [(0.5, top), (6.7 - left, top), (6.7, bottom), (0.5, bottom)];
            let r = [(14.5, top), (7.6 + right, top), (7.6, bottom), (14.5, bottom)];
            canvas.outline(&l.map(|(x, y)| Spot::new(x, y)), Pen::THIN);
            canvas.outline(&r.map(|(x, y)| Spot::new(x, y)), Pen::THIN);
            Spot::new(7.8 + right / 2.0, top + 0.6)
        }
    }
}
