//! What stands in and around a box: ink apart from print, stains and shade.

use serde::{Deserialize, Serialize};

use super::SAMPLES;
use super::geometry::{Homography, Point};
use super::grey::{Evened, Grey, place, real};
use super::register::Outline;
use crate::form::Rect;

/// What a box and its surroundings show; lengths in mm, areas in mm², darkness as a
/// share of that of the printed lines.
#[derive(Debug, Clone, Copy, Default, PartialEq, Serialize, Deserialize)]
pub struct Features {
    /// Area of the largest piece of ink from 0.11 of the darkness of print.
    pub faint_area: f64,
    /// Diagonal of the upright rectangle round that piece.
    pub faint_length: f64,
    /// Area of the largest piece from 0.22.
    pub pale_area: f64,
    /// Diagonal of the upright rectangle round that piece.
    pub pale_length: f64,
    /// Area of all pieces from 0.22.
    pub pale_total: f64,
    /// Area of the largest piece from 0.32.
    pub area: f64,
    /// Diagonal of the upright rectangle round that piece.
    pub length: f64,
    /// Area of all pieces from 0.32.
    pub total: f64,
    /// Width of all pieces from 0.32 together.
    pub wide: f64,
    /// Height of all pieces from 0.32 together.
    pub high: f64,
    /// Area from 0.5.
    pub deep: f64,
    /// Share of the box darker than half the print, stains and all.
    pub covered: f64,
    /// Darkness of what is wider than a stroke.
    pub stain: f64,
    /// Area of ink from 0.22 beside the box, nearer to it than to another.
    pub beside: f64,
    /// Length of the longest piece of it.
    pub beside_length: f64,
    /// Area of ink outside that goes on from ink inside, whichever box it is nearer to.
    #[serde(default)]
    pub onward: f64,
    /// The part of it that leaves the box to the left or below.
    #[serde(default)]
    pub onward_left: f64,
    /// Area of ink level with the box and further from it than a mark's arm reaches.
    #[serde(default)]
    pub level: f64,
    /// Most strokes one above or beside another, over 0.4 mm at least.
    #[serde(default)]
    pub strokes: u32,
    /// A line runs through the box from side to side, or ink sticks out on both.
    pub through: bool,
    /// Share of the outline that shows.
    pub outline: f64,
    /// Darkness of the printed lines beside white paper, 0 to 1.
    pub print: f64,
}

/// A page without anything written on it, as a picture.
#[derive(Debug, Clone, Copy)]
pub struct Blank<'a> {
    /// The picture; it shows the whole page and nothing else.
    pub grey: &'a Grey,
    /// Width of the page, in mm.
    pub width: f64,
}

/// How much around a tick is looked at, in mm: a mark may miss its box.
const AROUND: f64 = 5.0;
/// How much around a field of writing.
const CLOSE: f64 = 1.0;
/// Print is left out so much wider than it is, in mm.
const WIDER: f64 = 0.375;
/// Wider than any stroke of a pen, in mm.
const STROKE: f64 = 2.3;
/// Darkness of the blank page from which it is print.
const PRINT: f64 = 0.2;
/// How far out of its box a line that takes it back runs, in mm.
const OUT: f64 = 0.8;
/// Pieces smaller than this are specks, in mm².
const SPECK: f64 = 0.06;

/// A box cut out of the picture, and its surroundings.
struct Cut {
    wide: usize,
    high: usize,
    /// Darkness beside print's, stains taken off.
    ink: Vec<f64>,
    /// The same with stains.
    whole: Vec<f64>,
    stain: Vec<f64>,
    zone: Vec<Zone>,
}

#[derive(Clone, Copy, PartialEq, Eq)]
enum Zone {
    Print,
    Inside,
    Beside,
    /// Inside another box.
    Other,
}

/// A piece of ink.
struct Piece {
    area: f64,
    left: usize,
    right: usize,
    top: usize,
    bottom: usize,
}

impl Piece {
    fn length(&self) -> f64 {
        libm::hypot(real(self.right - self.left + 1), real(self.bottom - self.top + 1)) / SAMPLES
    }
}

/// Where to look: everything a box is measured by.
pub(super) struct Look<'a> {
    pub(super) even: &'a Evened<'a>,
    pub(super) map: &'a Homography,
    pub(super) blank: Blank<'a>,
    /// Outline of the box, and darkness of print on the page.
    pub(super) outline: Outline,
    pub(super) print: f64,
    /// Other boxes of the page.
    pub(super) others: &'a [Rect],
    /// Whether a mark beside the box counts.
    pub(super) around: bool,
}

/// Measures a box.
pub(super) fn measure(look: &Look<'_>, rect: Rect) -> Features {
    let margin = if look.around { AROUND } else { CLOSE };
    let from = Point::new(rect.x - margin, rect.y - margin);
    let cut = cut(look, rect, from, margin);
    let square = SAMPLES * SAMPLES;
    let mut features =
        Features { outline: look.outline.seen, print: look.outline.dark, ..Features::default() };

    let largest = |pieces: &[Piece]| {
        pieces.iter().max_by(|a, b| a.area.total_cmp(&b.area)).map_or((0.0, 0.0), |p| (p.area, p.length()))
    };
    let faint = pieces(&cut, 0.11, Zone::Inside);
    (features.faint_area, features.faint_length) = largest(&faint);
    let pale = pieces(&cut, 0.22, Zone::Inside);
    (features.pale_area, features.pale_length) = largest(&pale);
    features.pale_total = pale.iter().map(|p| p.area).filter(|a| *a >= SPECK).sum();
    let reaching: Vec<&Piece> = pale.iter().filter(|p| p.area >= SPECK).collect();
    let ink = pieces(&cut, 0.32, Zone::Inside);
    (features.area, features.length) = largest(&ink);
    let ink: Vec<&Piece> = ink.iter().filter(|p| p.area >= SPECK).collect();
    features.total = ink.iter().map(|p| p.area).sum();
    let extent = |low: fn(&Piece) -> usize, high: fn(&Piece) -> usize| {
        let first = ink.iter().map(|p| low(p)).min();
        let last = ink.iter().map(|p| high(p)).max();
        first.zip(last).map_or(0.0, |(a, b)| real(b - a + 1) / SAMPLES)
    };
    features.wide = extent(|p| p.left, |p| p.right);
    features.high = extent(|p| p.top, |p| p.bottom);

    let (mut inside, mut covered) = (0.0, 0.0);
    for (i, zone) in cut.zone.iter().enumerate() {
        if *zone == Zone::Inside {
            inside += 1.0;
            covered += if cut.whole[i] > 0.5 { 1.0 } else { 0.0 };
            features.deep += if cut.ink[i] > 0.5 { 1.0 / square } else { 0.0 };
            features.stain = features.stain.max(cut.stain[i]);
        }
    }
    features.strokes = strokes(&cut);
    features.covered = if inside > 0.0 { covered / inside } else { 0.0 };

    if look.around {
        let beside = pieces(&cut, 0.22, Zone::Beside);
        let mut sides = [false; 2];
        for piece in beside.iter().filter(|p| p.area >= SPECK) {
            let at = |x: usize, y: usize| Point::new(from.x + real(x) / SAMPLES, from.y + real(y) / SAMPLES);
            let ends = [
                at(piece.left, piece.top),
                at(piece.right, piece.bottom),
                at(piece.left, piece.bottom),
                at(piece.right, piece.top),
            ];
            let middle = Point::new(f64::midpoint(ends[0].x, ends[1].x), f64::midpoint(ends[0].y, ends[1].y));
            let side = reaching.iter().filter_map(|inside| goes_on(inside, piece, rect, margin)).max();
            features.onward += if side.is_some() { piece.area } else { 0.0 };
            features.onward_left += if side == Some(true) { piece.area } else { 0.0 };
            let own = distance(rect, middle);
            let touching = WIDER + 0.5;
            let of_another = look.others.iter().any(|other| {
                let near = distance(*other, middle);
                near < own && ends.iter().any(|e| distance(*other, *e) < touching + 0.6)
            });
            if of_another {
                continue;
            }
            features.beside += piece.area;
            features.beside_length = features.beside_length.max(piece.length());
            // A line that takes a mark back runs well out of the box on both sides.
            let level = ends[0].y < rect.y + rect.height + 0.5 && ends[1].y > rect.y - 0.5;
            let right = rect.x + rect.width;
            sides[0] |= level && ends[1].x > rect.x - touching - 0.7 && ends[0].x < rect.x - OUT;
            sides[1] |= level && ends[0].x < right + touching + 0.7 && ends[1].x > right + OUT;
        }
        features.level = level(&cut, rect, margin);
        features.through = (sides[0] && sides[1]) || crossed(&cut, rect, margin);
    }
    features
}

/// Whether a piece outside a box goes on from one inside: both come up to the same
/// side of the outline that is left out between them, at about the same place. True
/// if that is the left or the lower side.
fn goes_on(inside: &Piece, outside: &Piece, rect: Rect, margin: f64) -> Option<bool> {
    const REACH: f64 = WIDER + 0.45;
    const OFF: f64 = 0.8;
    let mm = |at: usize| real(at) / SAMPLES - margin;
    let [(il, ir), (it, ib)] = [(mm(inside.left), mm(inside.right)), (mm(inside.top), mm(inside.bottom))];
    let [(ol, or), (ot, ob)] = [(mm(outside.left), mm(outside.right)), (mm(outside.top), mm(outside.bottom))];
    let beside = it - OFF <= ob && ot - OFF <= ib;
    let above = il - OFF <= or && ol - OFF <= ir;
    let near = |a: f64| a.abs() <= REACH;
    let left = beside && near(il) && near(or);
    let below = above && near(ib - rect.height) && near(ot - rect.height);
    let right = beside && near(ir - rect.width) && near(ol - rect.width);
    let over = above && near(it) && near(ob);
    (left || below || right || over).then_some(left || below)
}

/// Area of ink from 0.22 to the left and right of a box, level with it and 2.5 mm or
/// more away: an arm of a mark that goes so far has left that band.
fn level(cut: &Cut, rect: Rect, margin: f64) -> f64 {
    const AWAY: f64 = 2.5;
    let (top, bottom) = (place(margin * SAMPLES), place((margin + rect.height) * SAMPLES));
    let (left, right) = (place((margin - AWAY) * SAMPLES), place((margin + rect.width + AWAY) * SAMPLES));
    let mut count = 0;
    for y in top..bottom.min(cut.high) {
        for x in (0..left).chain(right..cut.wide) {
            let at = y * cut.wide + x;
            count += usize::from(cut.zone[at] == Zone::Beside && cut.ink[at] > 0.22);
        }
    }
    real(count) / (SAMPLES * SAMPLES)
}

/// Most strokes that lie one above or beside another in the box, over as much of it
/// as a stroke is wide: a check mark or a cross has two, what is scribbled over has more.
fn strokes(cut: &Cut) -> u32 {
    const WIDE: usize = 3;
    let inked = |x: usize, y: usize| {
        let at = y * cut.wide + x;
        (cut.zone[at] == Zone::Inside).then(|| cut.ink[at] > 0.32)
    };
    let most = |lines: usize, along: usize, at: &dyn Fn(usize, usize) -> Option<bool>| {
        let mut counts: Vec<u32> = (0..lines)
            .map(|line| {
                let (mut runs, mut before) = (0, false);
                for ink in (0..along).filter_map(|k| at(line, k)) {
                    runs += u32::from(ink && !before);
                    before = ink;
                }
                runs
            })
            .collect();
        counts.sort_unstable_by(|a, b| b.cmp(a));
        counts.get(WIDE).copied().unwrap_or_default()
    };
    most(cut.high, cut.wide, &|y, x| inked(x, y)).max(most(cut.wide, cut.high, &inked))
}

/// How far a point lies outside a rectangle, in mm.
fn distance(rect: Rect, p: Point) -> f64 {
    let x = (rect.x - p.x).max(p.x - rect.x - rect.width).max(0.0);
    let y = (rect.y - p.y).max(p.y - rect.y - rect.height).max(0.0);
    libm::hypot(x, y)
}

fn cut(look: &Look<'_>, rect: Rect, from: Point, margin: f64) -> Cut {
    let wide = place((rect.width + 2.0 * margin) * SAMPLES) + 1;
    let high = place((rect.height + 2.0 * margin) * SAMPLES) + 1;
    let mut whole = Vec::with_capacity(wide * high);
    let mut print = Vec::with_capacity(wide * high);
    let per = real(look.blank.grey.width) / look.blank.width;
    let (across, down) = look.outline.shift;
    let mut zone = Vec::with_capacity(wide * high);
    let others: Vec<&Rect> = look
        .others
        .iter()
        .filter(|o| {
            o.x < rect.x + rect.width + margin
                && o.x + o.width > from.x
                && o.y < rect.y + rect.height + margin
                && o.y + o.height > from.y
        })
        .collect();
    for j in 0..high {
        for i in 0..wide {
            let p = Point::new(from.x + real(i) / SAMPLES, from.y + real(j) / SAMPLES);
            let seen = look.even.darkness(look.map.apply(Point::new(p.x + across, p.y + down)));
            whole.push((seen.unwrap_or(0.0) / look.print).min(1.5));
            let paper = look.blank.grey.sample(Point::new(p.x * per - 0.5, p.y * per - 0.5));
            print.push(if paper.is_none_or(|v| v < 255.0 * (1.0 - PRINT)) { 1.0 } else { 0.0 });
            zone.push(if distance(rect, p) <= 0.0 {
                Zone::Inside
            } else if others.iter().any(|o| distance(**o, p) < 0.3) {
                Zone::Other
            } else {
                Zone::Beside
            });
        }
    }
    let reach = place(WIDER * SAMPLES);
    let print = spread(&print, wide, high, reach, f64::max);
    for (zone, print) in zone.iter_mut().zip(&print) {
        if *print > 0.5 {
            *zone = Zone::Print;
        }
    }
    let half = place(STROKE * SAMPLES / 2.0);
    let least = spread(&whole, wide, high, half, f64::min);
    let stain = spread(&least, wide, high, half, f64::max);
    let ink = whole.iter().zip(&stain).map(|(w, s)| w - s).collect();
    Cut { wide, high, ink, whole, stain, zone }
}

/// The largest or smallest value within `reach` to every side of each place.
fn spread(values: &[f64], wide: usize, high: usize, reach: usize, of: fn(f64, f64) -> f64) -> Vec<f64> {
    let mut level = vec![0.0; values.len()];
    for (line, out) in values.chunks_exact(wide).zip(level.chunks_exact_mut(wide)) {
        run(line, out, reach, of);
    }
    let (mut column, mut done) = (vec![0.0; high], vec![0.0; high]);
    for x in 0..wide {
        for (y, cell) in column.iter_mut().enumerate() {
            *cell = level[y * wide + x];
        }
        run(&column, &mut done, reach, of);
        for (y, cell) in done.iter().enumerate() {
            level[y * wide + x] = *cell;
        }
    }
    level
}

/// One line of [`spread`]: each value is seen a few times however far it reaches
/// (van Herk 1992: A fast algorithm for local minimum and maximum filters on
/// rectangular and octagonal kernels, from memory).
fn run(line: &[f64], out: &mut [f64], reach: usize, of: fn(f64, f64) -> f64) {
    let size = 2 * reach + 1;
    let n = line.len();
    let mut ahead = line.to_vec();
    let mut back = line.to_vec();
    for i in 1..n {
        if i % size != 0 {
            ahead[i] = of(ahead[i - 1], line[i]);
        }
    }
    for i in (0..n.saturating_sub(1)).rev() {
        if (i + 1) % size != 0 {
            back[i] = of(back[i + 1], line[i]);
        }
    }
    for (i, cell) in out.iter_mut().enumerate() {
        let (low, high) = (i.saturating_sub(reach), (i + reach).min(n - 1));
        *cell = if low / size == high / size && (low == 0 || high == n - 1) {
            // A window cut at the end lies in one part.
            line[low..=high].iter().copied().fold(line[i], of)
        } else {
            of(back[low], ahead[high])
        };
    }
}

/// Pieces of ink of a darkness in a zone; places that touch at a corner belong
/// together.
fn pieces(cut: &Cut, from: f64, zone: Zone) -> Vec<Piece> {
    let mut open: Vec<bool> =
        cut.ink.iter().zip(&cut.zone).map(|(ink, z)| *z == zone && *ink > from).collect();
    let mut found = Vec::new();
    let mut stack = Vec::new();
    for start in 0..open.len() {
        if !open[start] {
            continue;
        }
        open[start] = false;
        stack.push(start);
        let (x, y) = (start % cut.wide, start / cut.wide);
        let mut piece = Piece { area: 0.0, left: x, right: x, top: y, bottom: y };
        while let Some(at) = stack.pop() {
            let (x, y) = (at % cut.wide, at / cut.wide);
            piece.area += 1.0 / (SAMPLES * SAMPLES);
            piece.left = piece.left.min(x);
            piece.right = piece.right.max(x);
            piece.top = piece.top.min(y);
            piece.bottom = piece.bottom.max(y);
            for v in y.saturating_sub(1)..(y + 2).min(cut.high) {
                for u in x.saturating_sub(1)..(x + 2).min(cut.wide) {
                    let next = v * cut.wide + u;
                    if open[next] {
                        open[next] = false;
                        stack.push(next);
                    }
                }
            }
        }
        found.push(piece);
    }
    found
}

/// Whether a nearly level line runs through the box from side to side.
fn crossed(cut: &Cut, rect: Rect, margin: f64) -> bool {
    let edge = WIDER + 0.35;
    let left = place((margin + edge) * SAMPLES);
    let right = place((margin + rect.width - edge) * SAMPLES);
    let top = place((margin + edge) * SAMPLES);
    let bottom = place((margin + rect.height - edge) * SAMPLES);
    if right <= left + 8 || bottom <= top + 8 {
        return false;
    }
    // Steeper lines are how people tick: a slash, an arm of a cross.
    let steepest = 0.3 * real(right - left);
    let inked = |x: usize, y: f64| {
        let y = place(y);
        (y.saturating_sub(1)..=(y + 1).min(cut.high - 1)).any(|y| cut.ink[y * cut.wide + x] > 0.22)
    };
    (top..=bottom).step_by(2).any(|a| {
        (top..=bottom).step_by(2).any(|b| {
            if (real(a) - real(b)).abs() > steepest {
                return false;
            }
            let mut missing = 0;
            for x in left..=right {
                let t = real(x - left) / real(right - left);
                if !inked(x, real(a) * (1.0 - t) + real(b) * t) {
                    missing += 1;
                    if missing * 14 > right - left {
                        return false;
                    }
                }
            }
            true
        })
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Against the plain way: every window looked through.
    #[test]
    fn the_fast_filter_is_the_slow_one() {
        let line: Vec<f64> = (0..57_u32).map(|i| f64::from((i * 7919 + 13) % 101)).collect();
        for reach in [0, 1, 3, 9, 30, 60] {
            for of in [f64::max as fn(f64, f64) -> f64, f64::min] {
                let mut fast = vec![0.0; line.len()];
                run(&line, &mut fast, reach, of);
                for (i, value) in fast.iter().enumerate() {
                    let window = &line[i.saturating_sub(reach)..=(i + reach).min(line.len() - 1)];
                    let slow = window.iter().copied().fold(line[i], of);
                    assert!((value - slow).abs() < 1e-12, "{reach} {i}: {value} {slow}");
                }
            }
        }
    }
}
