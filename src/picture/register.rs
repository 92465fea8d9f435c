//! How a page lies in a picture: from its code and discs, then from the outlines
//! of its boxes.

use super::code::{self, Found};
use super::discs::Spot;
use super::geometry::{Homography, Pair, Point};
use super::grey::{Evened, place, real};
use crate::form::{FormBox, Page, PageCode, Rect};

/// Choices of discs whose outlines are looked at.
const TRIED: usize = 14;
/// Spots taken for a corner.
const NEAR: usize = 5;

/// How a map is laid through pairs of points.
#[derive(Debug, Clone, Copy)]
enum Fit {
    /// Turned, moved, scaled.
    Alike,
    /// Without perspective.
    Level,
    /// With perspective.
    Free,
}

impl Fit {
    fn through(self) -> fn(&[Pair]) -> Option<Homography> {
        match self {
            Self::Alike => Homography::alike,
            Self::Level => Homography::level,
            Self::Free => Homography::through,
        }
    }

    /// The one for outlines all over the page.
    fn closer(self) -> Self {
        match self {
            Self::Alike | Self::Level => Self::Level,
            Self::Free => Self::Free,
        }
    }
}

/// A page laid onto a picture.
#[derive(Debug, Clone)]
pub(super) struct Laid {
    /// From mm on the page to points of the picture.
    pub(super) map: Homography,
    /// How far off each box of the page lies, in mm, and how well it shows.
    pub(super) boxes: Vec<Outline>,
}

/// The printed outline of a box in a picture.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct Outline {
    /// How far it lies off where the page as a whole has it, in mm.
    pub(super) shift: (f64, f64),
    /// How dark its lines are beside the paper, 0 to 1.
    pub(super) dark: f64,
    /// Share of its length that shows.
    pub(super) seen: f64,
}

/// Lays a page onto a picture by its code and the discs around it.
pub(super) fn by_code(
    even: &Evened<'_>,
    found: &Found,
    page: &Page,
    rect: Rect,
    spots: &[Spot],
    boxes: &[&FormBox],
) -> Option<Laid> {
    let corners = corners(rect);
    let about: Vec<Pair> =
        corners.iter().zip(found.corners).map(|(from, to)| Pair { from: *from, to, weight: 1.0 }).collect();
    let rough = parallel(&about)?;
    let middle = Point::new(rect.x + rect.width / 2.0, rect.y + rect.height / 2.0);
    let scale = rough.scale(middle);
    let places = page.discs().map(|(x, y)| Point::new(x, y));
    let choices = places.map(|disc| {
        let expected = rough.apply(disc);
        let reach = (6.0 + 0.38 * disc.to(middle)) * scale;
        let size = Page::DISC * scale;
        let mut near: Vec<Spot> = spots
            .iter()
            .filter(|s| s.centre.to(expected) < reach && s.diameter > 0.55 * size && s.diameter < 1.8 * size)
            .copied()
            .collect();
        near.sort_by(|a, b| a.centre.to(expected).total_cmp(&b.centre.to(expected)));
        near.truncate(NEAR);
        let mut choice: Vec<Option<Point>> = near.into_iter().map(|s| Some(s.centre)).collect();
        choice.push(None);
        choice
    });
    let mut tried: Vec<(f64, Homography, Fit)> = Vec::new();
    let count: usize = choices.iter().map(Vec::len).product();
    for mut number in 0..count {
        let mut pairs: Vec<Pair> = about.iter().map(|p| Pair { weight: 0.25, ..*p }).collect();
        let mut missing = 0;
        for (choice, from) in choices.iter().zip(places) {
            match choice[number % choice.len()] {
                Some(to) => pairs.push(Pair { from, to, weight: 1.0 }),
                None => missing += 1,
            }
            number /= choice.len();
        }
        // Where discs are missing, the rest of the page follows from a corner of it:
        // a scan has no perspective, and what the corner shows of one is error.
        let kinds: &[Fit] = match missing {
            0 => &[Fit::Free],
            1 => &[Fit::Level, Fit::Free],
            _ => &[Fit::Alike, Fit::Level, Fit::Free],
        };
        for fit in kinds {
            let Some(map) = fit.through()(&pairs) else { continue };
            let off = pairs.iter().map(|p| map.apply(p.from).to(p.to)).fold(0.0, f64::max) / scale;
            if off < 3.0 && sound(&map, page) {
                tried.push((off + 0.9 * f64::from(missing), map, *fit));
            }
        }
    }
    best(even, tried, page, boxes)
}

/// Lays a page onto a picture by four discs alone, where the code that stands
/// under them says which page it is. `page_of` gives the page of a code.
pub(super) fn by_discs(
    even: &Evened<'_>,
    page: &Page,
    rect: Rect,
    spots: &[Spot],
) -> Option<(PageCode, Found)> {
    // The discs of a page are the outermost spots; the largest quadrilaterals first.
    let mut outer: Vec<Spot> = spots.to_vec();
    let centre = Point::new(real(even.grey.width) / 2.0, real(even.grey.height) / 2.0);
    outer.sort_by(|a, b| b.centre.to(centre).total_cmp(&a.centre.to(centre)));
    outer.truncate(14);
    let mut quads = Vec::new();
    let n = outer.len();
    for a in 0..n {
        for b in a + 1..n {
            for c in b + 1..n {
                for d in c + 1..n {
                    let mut four = [a, b, c, d].map(|i| outer[i].centre);
                    around(&mut four);
                    let size = area(&four);
                    let share = size / (real(even.grey.width) * real(even.grey.height));
                    let sides: Vec<f64> = (0..4).map(|i| four[i].to(four[(i + 1) % 4])).collect();
                    let like = |x: f64, y: f64| x < 1.5 * y && y < 1.5 * x;
                    if share > 0.12 && like(sides[0], sides[2]) && like(sides[1], sides[3]) {
                        quads.push((size, four));
                    }
                }
            }
        }
    }
    quads.sort_by(|a, b| b.0.total_cmp(&a.0));
    let places = page.discs().map(|(x, y)| Point::new(x, y));
    let side = code::modules(rect);
    for (_, four) in quads.iter().take(24) {
        for turn in 0..4 {
            let pairs: Vec<Pair> = places
                .iter()
                .enumerate()
                .map(|(i, from)| Pair { from: *from, to: four[(i + turn) % 4], weight: 1.0 })
                .collect();
            let Some(map) = Homography::through(&pairs).filter(|m| sound(m, page)) else { continue };
            if let Some(code) = code::sampled(even, &map, rect, side) {
                let found = Found { code: code.clone(), corners: corners(rect).map(|p| map.apply(p)) };
                return Some((code, found));
            }
        }
    }
    None
}

/// Of choices with what speaks against them, the one under which outlines show.
fn best(
    even: &Evened<'_>,
    mut tried: Vec<(f64, Homography, Fit)>,
    page: &Page,
    boxes: &[&FormBox],
) -> Option<Laid> {
    tried.sort_by(|a, b| a.0.total_cmp(&b.0));
    tried.truncate(TRIED);
    let mut best: Option<(f64, Homography, Fit)> = None;
    for (against, map, fit) in tried {
        let shows = boxes.iter().take(40).map(|b| outline(even, &map, b.rect, 1.4).seen).sum::<f64>();
        let score = shows / real(boxes.len().clamp(1, 40)) - 0.01 * against;
        if best.as_ref().is_none_or(|(s, ..)| score > *s) {
            best = Some((score, map, fit));
        }
        if score > 0.95 {
            break;
        }
    }
    best.map(|(_, map, fit)| refined(even, map, fit, page, boxes))
}

/// The same laid more closely by the outlines that show.
fn refined(even: &Evened<'_>, mut map: Homography, fit: Fit, page: &Page, boxes: &[&FormBox]) -> Laid {
    for reach in [1.8, 1.2] {
        let mut pairs = Vec::new();
        for one in boxes {
            let outline = outline(even, &map, one.rect, reach);
            if outline.seen < 0.5 {
                continue;
            }
            for corner in corners(one.rect) {
                let moved = Point::new(corner.x + outline.shift.0, corner.y + outline.shift.1);
                pairs.push(Pair { from: corner, to: map.apply(moved), weight: outline.seen });
            }
        }
        // Few boxes close together say nothing about the rest of the page.
        let wide = |of: fn(&Point) -> f64| {
            let values = || pairs.iter().map(|p| of(&p.from));
            values().fold(f64::MIN, f64::max) - values().fold(f64::MAX, f64::min)
        };
        if pairs.len() < 16 || wide(|p| p.x) < 40.0 || wide(|p| p.y) < 60.0 {
            break;
        }
        let scale = map.scale(pairs[0].from);
        // The page as a whole keeps its corners: they hold what no box covers.
        for (x, y) in page.discs() {
            let from = Point::new(x, y);
            pairs.push(Pair { from, to: map.apply(from), weight: 0.1 });
        }
        let Some(next) = Homography::robust(&pairs, 0.35 * scale, fit.closer().through()) else { break };
        map = next;
    }
    let boxes = boxes.iter().map(|b| outline(even, &map, b.rect, 1.1)).collect();
    Laid { map, boxes }
}

/// Looks for the outline of a box up to `reach` mm off its place.
pub(super) fn outline(even: &Evened<'_>, map: &Homography, rect: Rect, reach: f64) -> Outline {
    const STEP: f64 = 0.1;
    const ALONG: usize = 12;
    let steps = place(2.0 * reach / STEP) + 1;
    // The darkness along both upright and both level sides at each distance.
    let profile = |upright: bool, other: f64| {
        let mut sums = vec![0.0; steps];
        for (i, sum) in sums.iter_mut().enumerate() {
            let off = real(i) * STEP - reach;
            for k in 0..ALONG {
                let t = (real(k) + 0.5) / real(ALONG);
                for far in [0.0, 1.0] {
                    let p = if upright {
                        Point::new(rect.x + far * rect.width + off, rect.y + t * rect.height + other)
                    } else {
                        Point::new(rect.x + t * rect.width + other, rect.y + far * rect.height + off)
                    };
                    *sum += even.darkness(map.apply(p)).unwrap_or(0.0);
                }
            }
        }
        let best = sums.iter().enumerate().max_by(|a, b| a.1.total_cmp(b.1)).map_or(steps / 2, |(i, _)| i);
        // The middle of the line: weighed around its darkest place.
        let (from, to) = (best.saturating_sub(2), (best + 3).min(steps));
        let floor = sums[from..to].iter().copied().fold(f64::MAX, f64::min);
        let mut weighed = (0.0, 0.0);
        for (i, sum) in sums.iter().enumerate().take(to).skip(from) {
            weighed = (weighed.0 + (sum - floor) * real(i), weighed.1 + (sum - floor));
        }
        let at = if weighed.1 > 0.0 { weighed.0 / weighed.1 } else { real(best) };
        at * STEP - reach
    };
    let across = profile(true, 0.0);
    let down = profile(false, across);
    let across = if down.abs() > 0.3 { profile(true, down) } else { across };
    let mut lines: Vec<f64> = Vec::with_capacity(ALONG * 4);
    let mut beside = 0.0;
    for k in 0..ALONG {
        let t = (real(k) + 0.5) / real(ALONG);
        for side in 0..4 {
            let far = if side % 2 == 0 { 0.0 } else { 1.0 };
            let inward = if side % 2 == 0 { 0.8 } else { -0.8 };
            let at = |off: f64| {
                let p = if side < 2 {
                    Point::new(rect.x + far * rect.width + off, rect.y + t * rect.height)
                } else {
                    Point::new(rect.x + t * rect.width, rect.y + far * rect.height + off)
                };
                let p = Point::new(p.x + across, p.y + down);
                even.darkness(map.apply(p)).unwrap_or(0.0)
            };
            lines.push([-0.12, 0.0, 0.12].into_iter().map(at).fold(0.0, f64::max));
            beside += at(inward) / real(ALONG * 4);
        }
    }
    let mut sorted = lines.clone();
    sorted.sort_by(f64::total_cmp);
    let dark = sorted[sorted.len() / 2];
    let limit = (0.5 * dark).max(0.12).max(beside.min(0.5) + 0.08);
    let seen = real(lines.iter().filter(|v| **v > limit).count()) / real(lines.len());
    Outline { shift: (across, down), dark, seen }
}

/// The corners of a rectangle: top left, top right, bottom right, bottom left.
pub(super) fn corners(rect: Rect) -> [Point; 4] {
    let (right, bottom) = (rect.x + rect.width, rect.y + rect.height);
    [
        Point::new(rect.x, rect.y),
        Point::new(right, rect.y),
        Point::new(right, bottom),
        Point::new(rect.x, bottom),
    ]
}

/// The map without perspective through the corners of a small square: what is
/// seen of perspective in it is mostly error.
fn parallel(square: &[Pair]) -> Option<Homography> {
    let [a, b, c, d] = square else { return None };
    let (w, h) = (b.from.x - a.from.x, d.from.y - a.from.y);
    let mean = |p: Point, q: Point, r: Point, s: Point, by: f64| {
        Point::new((p.x - q.x + r.x - s.x) / (2.0 * by), (p.y - q.y + r.y - s.y) / (2.0 * by))
    };
    let across = mean(b.to, a.to, c.to, d.to, w);
    let down = mean(d.to, a.to, c.to, b.to, h);
    let middle = |of: fn(&Pair) -> Point| {
        let (mut x, mut y) = (0.0, 0.0);
        for pair in square {
            x += of(pair).x / 4.0;
            y += of(pair).y / 4.0;
        }
        Point::new(x, y)
    };
    let (from, to) = (middle(|p| p.from), middle(|p| p.to));
    let flat = Homography([
        across.x,
        down.x,
        to.x - across.x * from.x - down.x * from.y,
        across.y,
        down.y,
        to.y - across.y * from.x - down.y * from.y,
        0.0,
        0.0,
        1.0,
    ]);
    (across.x * down.y - across.y * down.x > 1e-3).then_some(flat)
}

/// A page seen from its front, whole, and no more aslant than a person holds it.
fn sound(map: &Homography, page: &Page) -> bool {
    let ends = [(0.0, 0.0), (page.width, 0.0), (page.width, page.height), (0.0, page.height)];
    let quad = ends.map(|(x, y)| map.apply(Point::new(x, y)));
    if !quad.iter().all(|p| p.x.is_finite() && p.y.is_finite()) {
        return false;
    }
    let turns = (0..4).all(|i| {
        let (a, b, c) = (quad[i], quad[(i + 1) % 4], quad[(i + 2) % 4]);
        (b.x - a.x) * (c.y - b.y) - (b.y - a.y) * (c.x - b.x) > 0.0
    });
    let scales: Vec<f64> = ends.iter().map(|(x, y)| map.scale(Point::new(*x, *y))).collect();
    let (least, most) = scales.iter().fold((f64::MAX, 0.0_f64), |(low, high), s| (low.min(*s), high.max(*s)));
    turns && least > 1.5 && most < 2.6 * least
}

/// Puts four points in order around their middle, clockwise as a picture is seen.
fn around(four: &mut [Point; 4]) {
    let (x, y) = four.iter().fold((0.0, 0.0), |s, p| (s.0 + p.x / 4.0, s.1 + p.y / 4.0));
    four.sort_by(|a, b| libm::atan2(a.y - y, a.x - x).total_cmp(&libm::atan2(b.y - y, b.x - x)));
}

fn area(four: &[Point; 4]) -> f64 {
    let cross = |i: usize| {
        let (a, b) = (four[i], four[(i + 1) % 4]);
        a.x * b.y - b.x * a.y
    };
    ((0..4).map(cross).sum::<f64>() / 2.0).abs()
}
