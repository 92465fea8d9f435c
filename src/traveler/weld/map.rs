//! The weld map: one drawing per component, every joint where it is.
//!
//! Symbols stand in one row above the part and one below it. An arrow leaves its
//! reference line away from the line, so that it crosses no symbol; a joint that
//! finds no room in either row stands in the table beside the map.

use super::strokes::{ArrowEnd, draw, extent, width};
use super::{Standard, Symbol};
use crate::quantity::{Angle, Dimensioned, Length, math, unit};
use crate::term::Units;
use crate::traveler::document::Captioned;
use crate::traveler::drawing::{Canvas, Pen, Spot};
use crate::traveler::side_view::{scale_for, scale_words};

/// Width of the map on the sheet.
const WIDE: f64 = 182.0;
/// From the end of the part to the place of a symbol's junction, sideways.
const STEP: f64 = 3.0;
/// Rows of symbols above the part, and below it.
const ROWS: usize = 3;
/// Between two rows on one side.
const BETWEEN: f64 = 2.0;

/// A joint and where it is.
#[derive(Debug, Clone, PartialEq)]
pub struct Joint {
    /// Id, printed in the tail.
    pub id: String,
    /// What is drawn at the arrow; the id is put before its tail.
    pub symbol: Symbol,
    /// Where on the part.
    pub spot: Seam,
}

/// Places of seams on parts.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Seam {
    /// Knuckle to tube: left (true) or right.
    Knuckle(bool),
    /// Spring pad to tube: left (true) or right.
    Pad(bool),
    /// Front hanger (true) or rear hanger to the frame rail.
    Hanger(bool),
    /// Two parts of a weldment, by their place among them.
    Parts(usize, usize),
}

/// A part of a weldment as seen from the front.
#[derive(Debug, Clone, PartialEq)]
pub struct PartShape {
    /// What it is called.
    pub name: String,
    /// From the left end of the weldment to its corner.
    pub left: Length,
    /// From the foot of the weldment up to its corner.
    pub up: Length,
    /// Size across, before it is turned.
    pub across: Length,
    /// Size upward, before it is turned.
    pub high: Length,
    /// How far it is turned about the corner, counterclockwise.
    pub turn: Angle,
}

impl PartShape {
    /// Its corners in millimetres, x to the right and y up.
    #[must_use]
    pub fn corners(&self) -> [(f64, f64); 4] {
        let (left, up) = (self.left.to(unit::MM), self.up.to(unit::MM));
        let (across, high) = (self.across.to(unit::MM), self.high.to(unit::MM));
        let (c, s) = (math::cos(self.turn), math::sin(self.turn));
        [(0.0, 0.0), (across, 0.0), (across, high), (0.0, high)]
            .map(|(x, y)| (left + x * c - y * s, up + x * s + y * c))
    }
}

/// Parts farther apart than this share of the weldment do not meet.
const MEETS: f64 = 0.02;

/// Where two parts meet, in millimetres: the middle of the places on both
/// outlines that are nearest to each other; none if they stand apart by more than
/// `most`.
#[must_use]
pub fn meeting(a: &PartShape, b: &PartShape, most: f64) -> Option<(f64, f64)> {
    let (a, b) = (a.corners(), b.corners());
    let mut near: Vec<(f64, (f64, f64))> = Vec::new();
    for (from, to) in [(&a, &b), (&b, &a)] {
        for corner in from {
            for i in 0..4 {
                let at = foot(*corner, to[i], to[(i + 1) % 4]);
                let apart = libm::hypot(at.0 - corner.0, at.1 - corner.1);
                near.push((apart, (f64::midpoint(at.0, corner.0), f64::midpoint(at.1, corner.1))));
            }
        }
    }
    let least = near.iter().map(|(d, _)| *d).fold(f64::INFINITY, f64::min);
    if least > most {
        return None;
    }
    let touching: Vec<(f64, f64)> =
        near.into_iter().filter(|(d, _)| *d <= least + 1e-6).map(|(_, at)| at).collect();
    let end = |of: fn(&(f64, f64)) -> f64| {
        let low = touching.iter().map(of).fold(f64::INFINITY, f64::min);
        let high = touching.iter().map(of).fold(f64::NEG_INFINITY, f64::max);
        f64::midpoint(low, high)
    };
    Some((end(|p| p.0), end(|p| p.1)))
}

/// The point of a straight line nearest to a place.
fn foot(p: (f64, f64), a: (f64, f64), b: (f64, f64)) -> (f64, f64) {
    let (dx, dy) = (b.0 - a.0, b.1 - a.1);
    let long = dx * dx + dy * dy;
    let t = if long > 0.0 { ((p.0 - a.0) * dx + (p.1 - a.1) * dy) / long } else { 0.0 };
    let t = t.clamp(0.0, 1.0);
    (a.0 + t * dx, a.1 + t * dy)
}

/// An axle as the map shows it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct AxleParts {
    /// Tube outside diameter.
    pub tube: Length,
    /// Between the centres of the pads.
    pub pads: Option<Length>,
    /// Pads on top of the tube, not under it.
    pub over: bool,
    /// It has steering knuckles.
    pub steered: bool,
}

/// A map, and the joints that found no room on it.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Map {
    /// The drawing; none if there is nothing to show.
    pub drawing: Option<Captioned>,
    /// Ids of the joints that are on it.
    pub shown: Vec<String>,
}

/// A joint with the place its arrow ends at, from the part's own origin.
struct Pointed<'a> {
    joint: &'a Joint,
    x: f64,
    /// Above the part's middle, where the arrow of a symbol in the upper row ends; and below.
    up: f64,
    down: f64,
}

/// A symbol in its row.
struct Put<'a> {
    pointed: &'a Pointed<'a>,
    symbol: Symbol,
    junction: f64,
    end: ArrowEnd,
    above: bool,
    /// Its row, from the part outward.
    row: usize,
}

/// What is taken of a row: by a symbol, or by the arrow of one in a row farther out.
struct Taken {
    above: bool,
    row: usize,
    from: f64,
    to: f64,
}

impl Taken {
    fn clear_of(&self, above: bool, row: usize, from: f64, to: f64) -> bool {
        (self.above, self.row) != (above, row) || to + 2.0 <= self.from || self.to + 2.0 <= from
    }
}

fn named(joint: &Joint) -> Symbol {
    let tail = if joint.symbol.tail.is_empty() {
        joint.id.clone()
    } else {
        format!("{} · {}", joint.id, joint.symbol.tail)
    };
    Symbol { tail, ..joint.symbol.clone() }
}

/// Puts symbols into rows above and below, the outermost joints first, each as near to the
/// part as there is room.
fn rows<'a>(pointed: &'a [Pointed<'a>]) -> Vec<Put<'a>> {
    let mut order: Vec<&Pointed<'_>> = pointed.iter().collect();
    let off = |p: &Pointed<'_>| -(p.x - WIDE / 2.0).abs();
    order.sort_by(|a, b| off(a).total_cmp(&off(b)).then_with(|| a.joint.id.cmp(&b.joint.id)));
    let mut taken: Vec<Taken> = Vec::new();
    order.into_iter().filter_map(|one| place(one, &mut taken)).collect()
}

/// The place of one symbol; none where no row has room for it.
fn place<'a>(one: &'a Pointed<'a>, taken: &mut Vec<Taken>) -> Option<Put<'a>> {
    let symbol = named(one.joint);
    let long = width(&symbol);
    let ends = if one.x <= WIDE / 2.0 {
        [ArrowEnd::Left, ArrowEnd::Right]
    } else {
        [ArrowEnd::Right, ArrowEnd::Left]
    };
    // From the nearer side, so that an arrow does not cross the whole part.
    let sides = if one.up < 0.0 { [false, true] } else { [true, false] };
    let tries = (0..ROWS).flat_map(|row| ends.map(|end| sides.map(|above| (row, end, above))));
    let (row, end, above, junction, from, to) = tries.flatten().find_map(|(row, end, above)| {
        let (junction, from, to) = match end {
            ArrowEnd::Left => (one.x + STEP, one.x - 1.0, one.x + STEP + long),
            ArrowEnd::Right => (one.x - STEP, one.x - STEP - long, one.x + 1.0),
        };
        let room = from >= 0.5 && to <= WIDE - 0.5;
        let (near, far) = (one.x.min(junction), one.x.max(junction));
        let free = |t: &Taken| {
            let passes = (0..row).all(|nearer| t.clear_of(above, nearer, near, far));
            passes && t.clear_of(above, row, from, to)
        };
        (room && taken.iter().all(free)).then_some((row, end, above, junction, from, to))
    })?;
    let (near, far) = (one.x.min(junction), one.x.max(junction));
    taken.extend((0..row).map(|row| Taken { above, row, from: near, to: far }));
    taken.push(Taken { above, row, from, to });
    Some(Put { pointed: one, symbol, junction, end, above, row })
}

/// Heights of the rows above and below the part, and of the part's middle and the whole.
struct Heights {
    above: Vec<f64>,
    below: Vec<f64>,
    middle: f64,
    whole: f64,
}

impl Heights {
    /// Of a part so many millimetres high each way from its middle.
    fn of(put: &[Put<'_>], half: f64) -> Self {
        let reach = |above: bool, row: usize| {
            let in_row = put.iter().filter(|p| (p.above, p.row) == (above, row)).map(|p| extent(&p.symbol));
            in_row.fold((0.0_f64, 0.0_f64), |(a, b), (up, down)| (a.max(up), b.max(down)))
        };
        let count = |above: bool| {
            put.iter().filter(|p| p.above == above).map(|p| p.row + 1).max().unwrap_or_default()
        };
        let mut y = 0.5;
        let mut above = vec![0.0; count(true)];
        for (row, height) in above.iter_mut().enumerate().rev() {
            let (up, down) = reach(true, row);
            *height = y + up;
            y = *height + down + if row > 0 { BETWEEN } else { 0.0 };
        }
        let middle = if above.is_empty() { half + 2.0 } else { y + 4.0 + half };
        let mut below = vec![0.0; count(false)];
        let mut y = middle + half + 4.0;
        for (row, height) in below.iter_mut().enumerate() {
            let (up, down) = reach(false, row);
            *height = y + up + if row > 0 { BETWEEN } else { 0.0 };
            y = *height + down;
        }
        let whole = if below.is_empty() { middle + half + 2.0 } else { y + 0.5 };
        Self { above, below, middle, whole }
    }
}

/// Draws the part between its rows.
fn compose(
    pointed: &[Pointed<'_>],
    half: f64,
    caption: &str,
    legend: (Standard, Units),
    part: impl FnOnce(&mut Canvas, f64),
) -> Map {
    let put = rows(pointed);
    if put.is_empty() {
        return Map::default();
    }
    let heights = Heights::of(&put, half);
    let middle = heights.middle;
    let mut canvas = Canvas::new(Spot::new(WIDE, heights.whole));
    part(&mut canvas, middle);
    for one in &put {
        let (rows, tip) = if one.above {
            (&heights.above, middle - one.pointed.up)
        } else {
            (&heights.below, middle + one.pointed.down)
        };
        let y = rows.get(one.row).copied().unwrap_or(middle);
        draw(&mut canvas, &one.symbol, Spot::new(one.junction, y), one.end, Spot::new(one.pointed.x, tip));
    }
    let mut shown: Vec<&Put<'_>> = put.iter().collect();
    shown.sort_by(|a, b| a.pointed.joint.id.cmp(&b.pointed.joint.id));
    let words: Vec<String> =
        shown.iter().map(|p| format!("{}: {}", p.pointed.joint.id, p.pointed.joint.symbol.words())).collect();
    let alt = format!("{caption} {}.", words.join("; "));
    let caption = format!("{caption} {}", Symbol::legend(legend.0, legend.1));
    Map {
        drawing: Some(Captioned { caption, drawing: canvas.finish(alt) }),
        shown: shown.iter().map(|p| p.pointed.joint.id.clone()).collect(),
    }
}

/// An axle seen from the front: its right is at the left of the sheet.
#[must_use]
pub fn axle(name: &str, parts: &AxleParts, joints: &[Joint], legend: (Standard, Units)) -> Map {
    const HALF: f64 = 13.0;
    let tube = 5.0;
    let (end, middle) = (WIDE / 2.0 - 24.0, WIDE / 2.0);
    // Pads where they are between the knuckles, if the job tells; the tube is not to scale.
    let inside = parts.pads.map_or(0.5, |_| 0.52) * end;
    // Seen from the front, the left of the vehicle is at the right.
    let sign = |left: bool| if left { 1.0 } else { -1.0 };
    let pointed: Vec<Pointed<'_>> = joints
        .iter()
        .filter_map(|joint| match joint.spot {
            Seam::Knuckle(left) => {
                Some(Pointed { joint, x: middle + sign(left) * end, up: tube + 0.2, down: tube + 0.2 })
            }
            Seam::Pad(left) => {
                let x = middle + sign(left) * (inside + 5.0);
                let (up, down) = if parts.over { (tube + 0.2, tube) } else { (tube, tube + 0.2) };
                Some(Pointed { joint, x, up, down })
            }
            Seam::Hanger(_) | Seam::Parts(..) => None,
        })
        .collect();
    let caption = format!("{name} from the front, the unit's left at the right; places, not to scale.");
    compose(&pointed, HALF, &caption, legend, |canvas, y| {
        let level = |a: f64, b: f64, dy: f64| [Spot::new(a, y + dy), Spot::new(b, y + dy)];
        for dy in [-tube, tube] {
            canvas.line(&level(middle - end, middle + end, dy), Pen::OUTLINE);
        }
        canvas.line(&level(middle - end - 14.0, middle + end + 14.0, 0.0), Pen::REFERENCE);
        for left in [true, false] {
            let s = sign(left);
            let at = |dx: f64, dy: f64| Spot::new(middle + s * (end + dx), y + dy);
            if parts.steered {
                // Knuckle: a neck on the tube and a fork about the leaning kingpin.
                canvas.outline(
                    &[
                        at(0.0, -tube - 1.0),
                        at(5.0, -tube - 1.0),
                        at(6.5, -9.5),
                        at(10.0, -9.5),
                        at(12.0, 9.5),
                        at(8.5, 9.5),
                        at(5.0, tube + 1.0),
                        at(0.0, tube + 1.0),
                    ],
                    Pen::OUTLINE,
                );
                canvas.line(&[at(7.6, -12.0), at(10.8, 12.0)], Pen::REFERENCE);
            } else {
                canvas.line(&[at(0.0, -tube), at(0.0, tube)], Pen::OUTLINE);
            }
            let pad = middle + s * inside;
            let (face, back) = if parts.over { (-8.0, -tube) } else { (8.0, tube) };
            canvas.outline(
                &[
                    Spot::new(pad - 5.0, y + back),
                    Spot::new(pad - 5.0, y + face),
                    Spot::new(pad + 5.0, y + face),
                    Spot::new(pad + 5.0, y + back),
                ],
                Pen::OUTLINE,
            );
        }
    })
}

/// The pad in the section across the tube, to scale, with its weld lines.
#[must_use]
pub fn pad_section(
    tube: Length,
    pad: Option<(Length, Option<Length>)>,
    joint: &Joint,
    legend: (Standard, Units),
) -> Captioned {
    let symbol = named(joint);
    let radius = 12.0;
    let scale = tube.to(unit::MM).abs().max(1.0) / 2.0 / radius;
    let spread = pad.and_then(|(_, spread)| spread).map_or(radius * 1.5, |s| s.to(unit::MM) / scale);
    let half = (spread / 2.0).clamp(2.0, radius * 0.97);
    let (up, down) = extent(&symbol);
    let centre = Spot::new(22.0, (up + down + 4.0).max(6.0) + radius + 8.0);
    let mut canvas = Canvas::new(Spot::new((40.0 + width(&symbol)).max(80.0), centre.y + radius + 6.0));
    canvas.circle(centre, radius, Pen::OUTLINE);
    let height = pad.map_or(5.0, |(height, _)| (height.to(unit::MM) / scale).clamp(1.5, 8.0));
    let foot = (radius * radius - half * half).max(0.0).sqrt();
    let face = radius + height;
    let at = |x: f64, y: f64| Spot::new(centre.x + x, centre.y - y);
    canvas.line(&[at(-half, foot), at(-half, face), at(half, face), at(half, foot)], Pen::OUTLINE);
    for side in [-1.0, 1.0] {
        let toe = (half + 2.2).min(radius * 0.995);
        let low = (radius * radius - toe * toe).max(0.0).sqrt();
        canvas.solid(&[at(side * half, foot), at(side * half, foot + 2.4), at(side * toe, low)]);
    }
    let tip = at(half + 1.6, foot + 1.4);
    let junction = Spot::new(tip.x + 4.0, up + 0.5);
    draw(&mut canvas, &symbol, junction, ArrowEnd::Left, tip);
    let alt = format!("Section across the tube at a spring pad. {}: {}.", joint.id, joint.symbol.words());
    canvas.label(at(-radius * 0.7, -radius * 0.7), Angle::of(225.0, unit::DEG), "tube", false);
    let caption = format!("Section at the spring pad. {}", Symbol::legend(legend.0, legend.1));
    Captioned { caption, drawing: canvas.finish(alt) }
}

/// A frame rail from the side, front to the left, with its hangers.
#[must_use]
pub fn rail(name: &str, joints: &[Joint], legend: (Standard, Units)) -> Map {
    const HALF: f64 = 13.0;
    let (front, rear) = (44.0, 138.0);
    let pointed: Vec<Pointed<'_>> = joints
        .iter()
        .filter_map(|joint| match joint.spot {
            Seam::Hanger(ahead) => {
                Some(Pointed { joint, x: if ahead { front } else { rear }, up: 2.0, down: 3.5 })
            }
            _ => None,
        })
        .collect();
    let caption =
        format!("Frame rail over the {name} from the left, front to the left; places, not to scale.");
    compose(&pointed, HALF, &caption, legend, |canvas, y| {
        let level = |dy: f64| [Spot::new(4.0, y + dy), Spot::new(WIDE - 4.0, y + dy)];
        canvas.line(&level(-9.0), Pen::OUTLINE);
        canvas.line(&level(-1.0), Pen::OUTLINE);
        for x in [front, rear] {
            let at = |dx: f64, dy: f64| Spot::new(x + dx, y + dy);
            canvas.outline(
                &[at(-6.0, -6.0), at(6.0, -6.0), at(6.0, 1.0), at(2.5, 9.0), at(-2.5, 9.0), at(-6.0, 1.0)],
                Pen::OUTLINE,
            );
            canvas.circle(at(0.0, 6.5), 1.3, Pen::OUTLINE);
        }
        canvas.label(Spot::new(5.0, y + 3.0), Angle::of(0.0, unit::DEG), "front", false);
    })
}

/// A weldment from the front, to scale, from its parts.
#[must_use]
pub fn weldment(name: &str, parts: &[PartShape], joints: &[Joint], legend: (Standard, Units)) -> Map {
    const BOX: (f64, f64) = (112.0, 84.0);
    let corners: Vec<(f64, f64)> = parts.iter().flat_map(PartShape::corners).collect();
    let ends = |of: fn(&(f64, f64)) -> f64| {
        let low = corners.iter().map(of).fold(f64::INFINITY, f64::min);
        (low, corners.iter().map(of).fold(f64::NEG_INFINITY, f64::max))
    };
    let ((left, right), (low, high)) = (ends(|p| p.0), ends(|p| p.1));
    let (wide, tall) = (right - left, high - low);
    if !(wide > 0.0 && tall > 0.0 && wide.is_finite() && tall.is_finite()) {
        return Map::default();
    }
    let needed = (wide / BOX.0).max(tall / BOX.1);
    // Between the usual scales of large drawings by fives, so that it fills its room.
    let scale = if needed > 10.0 { (needed / 5.0).ceil() * 5.0 } else { scale_for(needed) };
    // From the middle of the part, y up, in sheet millimetres.
    let sheet = |(x, y): (f64, f64)| {
        (WIDE / 2.0 + (x - f64::midpoint(left, right)) / scale, (y - f64::midpoint(low, high)) / scale)
    };
    let pointed: Vec<Pointed<'_>> = joints
        .iter()
        .filter_map(|joint| {
            let Seam::Parts(a, b) = joint.spot else { return None };
            let (x, y) = sheet(meeting(parts.get(a)?, parts.get(b)?, MEETS * wide.max(tall))?);
            Some(Pointed { joint, x, up: y, down: -y })
        })
        .collect();
    let caption = format!("{name} from the front, {}.", scale_words(scale));
    compose(&pointed, tall / scale / 2.0 + 1.0, &caption, legend, |canvas, middle| {
        for part in parts {
            let spots = part.corners().map(|corner| {
                let (x, y) = sheet(corner);
                Spot::new(x, middle - y)
            });
            canvas.outline(&spots, Pen::OUTLINE);
            let centre = Spot::new((spots[0].x + spots[2].x) / 2.0, (spots[0].y + spots[2].y) / 2.0);
            canvas.label(centre, Angle::of(0.0, unit::DEG), part.name.clone(), false);
        }
    })
}
