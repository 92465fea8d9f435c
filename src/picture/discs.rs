//! Round dark spots of a picture that may be the discs in a page's corners.

use super::geometry::Point;
use super::grey::{Evened, Grey, place, real};
use crate::form::Page;

/// Long side at which discs are looked for.
const COARSE: usize = 1_100;

/// A round dark spot.
#[derive(Debug, Clone, Copy)]
pub(super) struct Spot {
    /// Its centre in the picture.
    pub(super) centre: Point,
    /// Its diameter, in points of the picture.
    pub(super) diameter: f64,
}

/// Spots of a size a disc of a page can have in this picture.
pub(super) fn find(grey: &Grey, page: &Page) -> Vec<Spot> {
    let by = (grey.long_side() / COARSE).max(1);
    let small = grey.shrunk(by);
    let even = Evened::of(&small);
    let whole = Page::DISC / page.height.max(page.width) * real(small.long_side());
    let (least, most) = (whole * 0.42, whole * 1.5);
    let mut dark: Vec<bool> = Vec::with_capacity(small.levels.len());
    for y in 0..small.height {
        for x in 0..small.width {
            let value = f64::from(small.levels[y * small.width + x]);
            let paper = even.light.at(Point::new(real(x), real(y)));
            dark.push(value < 0.55 * paper);
        }
    }
    let mut spots = Vec::new();
    let mut stack = Vec::new();
    for start in 0..dark.len() {
        if !dark[start] {
            continue;
        }
        let mut extent = (usize::MAX, 0, usize::MAX, 0);
        let mut sums = (0.0, 0.0, 0.0);
        dark[start] = false;
        stack.push(start);
        while let Some(at) = stack.pop() {
            let (x, y) = (at % small.width, at / small.width);
            extent = (extent.0.min(x), extent.1.max(x), extent.2.min(y), extent.3.max(y));
            sums = (sums.0 + real(x), sums.1 + real(y), sums.2 + 1.0);
            let near = [
                (x > 0).then(|| at - 1),
                (x + 1 < small.width).then_some(at + 1),
                (y > 0).then(|| at - small.width),
                (y + 1 < small.height).then_some(at + small.width),
            ];
            for next in near.into_iter().flatten() {
                if dark[next] {
                    dark[next] = false;
                    stack.push(next);
                }
            }
        }
        let (wide, high) = (real(extent.1 - extent.0 + 1), real(extent.3 - extent.2 + 1));
        let diameter = f64::midpoint(wide, high);
        let full = sums.2 / (wide * high);
        // A disc fills 0.785 of the square around it; seen aslant, less squarely.
        if diameter < least || diameter > most || wide > 1.8 * high || high > 1.8 * wide || full < 0.62 {
            continue;
        }
        let centre = Point::new(sums.0 / sums.2, sums.1 / sums.2);
        let centre = centred(&small, &even, centre, diameter);
        if on_paper(&even, centre, diameter) {
            spots.push(Spot { centre, diameter });
        }
    }
    // To the larger picture: a point of the small one is the middle of `by` of them.
    let scale = real(by);
    for spot in &mut spots {
        spot.centre.x = (spot.centre.x + 0.5) * scale - 0.5;
        spot.centre.y = (spot.centre.y + 0.5) * scale - 0.5;
        spot.diameter *= scale;
    }
    spots
}

/// Whether a spot is dark throughout and has white paper around it.
fn on_paper(even: &Evened<'_>, centre: Point, diameter: f64) -> bool {
    let ring = |radius: f64| {
        (0..16).filter_map(move |i| {
            let turn = real(i) * std::f64::consts::TAU / 16.0;
            let p = Point::new(centre.x + radius * libm::cos(turn), centre.y + radius * libm::sin(turn));
            even.darkness(p)
        })
    };
    // A hair of a fold or a stroke may cross the ring; an edge of print may not.
    let around = ring(0.95 * diameter).filter(|dark| *dark > 0.3).count();
    let within = ring(0.25 * diameter).filter(|dark| *dark < 0.45).count();
    around <= 3 && within <= 2
}

/// The centre of a spot, weighed by darkness.
fn centred(grey: &Grey, even: &Evened<'_>, about: Point, diameter: f64) -> Point {
    let reach = diameter * 0.75 + 1.0;
    let from = (place((about.x - reach).max(0.0)), place((about.y - reach).max(0.0)));
    let to = (place(about.x + reach + 1.0).min(grey.width), place(about.y + reach + 1.0).min(grey.height));
    let mut sums = (0.0, 0.0, 0.0);
    for y in from.1..to.1 {
        for x in from.0..to.0 {
            let p = Point::new(real(x), real(y));
            let value = f64::from(grey.levels[y * grey.width + x]);
            let weight = (1.0 - value / even.light.at(p) - 0.2).max(0.0);
            sums = (sums.0 + weight * p.x, sums.1 + weight * p.y, sums.2 + weight);
        }
    }
    if sums.2 > 0.0 { Point::new(sums.0 / sums.2, sums.1 / sums.2) } else { about }
}
