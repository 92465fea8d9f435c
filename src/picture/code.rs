//! The code of a page in a picture.

use std::panic::{AssertUnwindSafe, catch_unwind};

use rqrr::{Grid, PreparedImage, SimpleGrid};

use super::geometry::{Homography, Point};
use super::grey::{Evened, Grey, place, real};
use super::quiet;
use crate::form::{PageCode, Rect};

/// Long side at which a code is looked for first: about 150 points to the inch.
const FIRST: usize = 1_700;
/// Long side up to which a picture is looked at in double size.
const SMALL: usize = 2_400;

/// A code in a picture.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Found {
    /// What it says.
    pub(super) code: PageCode,
    /// Its corners in the picture: top left, top right, bottom right, bottom left
    /// as it is read.
    pub(super) corners: [Point; 4],
}

/// Finds the code of a page: coarse, fine, in double size.
pub(super) fn find(grey: &Grey) -> Option<Found> {
    let coarse = (grey.long_side() / FIRST).max(1);
    let mut found = if coarse > 1 { at_scale(&grey.shrunk(coarse), real(coarse)) } else { None };
    if found.is_none() {
        found = at_scale(grey, 1.0);
    }
    if found.is_none() && grey.long_side() <= SMALL {
        found = at_scale(&grey.doubled(), 0.5);
    }
    found
}

fn at_scale(grey: &Grey, scale: f64) -> Option<Found> {
    let looked = quiet::guard(|| {
        catch_unwind(AssertUnwindSafe(|| {
            let value = |x: usize, y: usize| grey.levels[y * grey.width + x];
            let mut image = PreparedImage::prepare_from_greyscale(grey.width, grey.height, value);
            image
                .detect_grids()
                .iter()
                .filter_map(|grid| {
                    let (_, text) = grid.decode().ok()?;
                    let corners =
                        grid.bounds.map(|p| Point::new(f64::from(p.x) * scale, f64::from(p.y) * scale));
                    Some(Found { code: text.parse().ok()?, corners })
                })
                .next()
        }))
    });
    looked.ok().flatten()
}

/// Reads the code where it has to stand, by sampling its modules. `side` is the
/// count of modules in a row. The paper may be bent a little there, so each of the
/// three finder patterns is looked for first.
pub(super) fn sampled(even: &Evened<'_>, at: &Homography, rect: Rect, side: usize) -> Option<PageCode> {
    let module = rect.width / real(side);
    let far = real(side) - 7.0;
    let patterns = [(0.0, 0.0), (far, 0.0), (0.0, far)]
        .map(|(x, y)| Point::new(rect.x + x * module, rect.y + y * module));
    let mut shifts = [Point::default(); 3];
    for (shift, corner) in shifts.iter_mut().zip(patterns) {
        *shift = pattern(even, at, corner, module)?;
    }
    let [origin, across, down] = shifts;
    let mut dark = Vec::with_capacity(side * side);
    for i in 0..side * side {
        let (column, row) = (i % side, i / side);
        // The shift between the patterns, as if the paper were plain there.
        let (s, t) = ((real(column) - 3.0) / far, (real(row) - 3.0) / far);
        let shift = |o: f64, a: f64, d: f64| o + (a - o) * s + (d - o) * t;
        let (x, y) = (shift(origin.x, across.x, down.x), shift(origin.y, across.y, down.y));
        let mut sum = 0.0;
        for (u, v) in [(0.5, 0.5), (0.3, 0.3), (0.7, 0.3), (0.3, 0.7), (0.7, 0.7)] {
            let p =
                Point::new(rect.x + (real(column) + u) * module + x, rect.y + (real(row) + v) * module + y);
            sum += even.darkness(at.apply(p))? / 5.0;
        }
        dark.push(sum);
    }
    let mut sorted = dark.clone();
    sorted.sort_by(f64::total_cmp);
    // Between the paler fifth and the darker fifth.
    let (pale, deep) = (sorted[sorted.len() / 5], sorted[sorted.len() * 4 / 5]);
    if deep - pale < 0.2 {
        return None;
    }
    let limit = f64::midpoint(pale, deep);
    let grid = SimpleGrid::from_func(side, |x, y| dark[y * side + x] > limit);
    let text = quiet::guard(|| catch_unwind(AssertUnwindSafe(|| Grid::new(grid).decode().ok())));
    text.ok().flatten()?.1.parse().ok()
}

/// How far off its place a finder pattern lies, in mm: rings of 7, 5 and 3 modules
/// (ISO/IEC 18004, 6.3.3). None if there is none.
fn pattern(even: &Evened<'_>, at: &Homography, corner: Point, module: f64) -> Option<Point> {
    const REACH: i32 = 6;
    const STEP: f64 = 0.2;
    let mut best = (0.0, Point::default());
    for j in -REACH..=REACH {
        for i in -REACH..=REACH {
            let shift = Point::new(f64::from(i) * STEP, f64::from(j) * STEP);
            let (mut black, mut white) = (0.0, 0.0);
            for k in 0..49_usize {
                let (column, row) = (k % 7, k / 7);
                let p = Point::new(
                    corner.x + shift.x + (real(column) + 0.5) * module,
                    corner.y + shift.y + (real(row) + 0.5) * module,
                );
                let dark = even.darkness(at.apply(p))?;
                let ring = column.min(row).min(6 - column).min(6 - row);
                if ring == 1 { white += dark / 16.0 } else { black += dark / 33.0 }
            }
            if black - white > best.0 {
                best = (black - white, shift);
            }
        }
    }
    (best.0 > 0.2).then_some(best.1)
}

/// Modules in a row of a code, by its size: they are about 0.6 mm.
pub(super) fn modules(rect: Rect) -> usize {
    // Versions of ISO/IEC 18004 have 17 + 4 v modules.
    let version = ((rect.width / 0.6 - 17.0) / 4.0 + 0.5).clamp(1.0, 10.0);
    17 + 4 * place(version)
}
