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
/// count of modules in a row.
pub(super) fn sampled(even: &Evened<'_>, at: &Homography, rect: Rect, side: usize) -> Option<PageCode> {
    let module = rect.width / real(side);
    let mut dark = Vec::with_capacity(side * side);
    for i in 0..side * side {
        let (column, row) = (i % side, i / side);
        let mut sum = 0.0;
        for (u, v) in [(0.5, 0.5), (0.3, 0.3), (0.7, 0.3), (0.3, 0.7), (0.7, 0.7)] {
            let p = Point::new(rect.x + (real(column) + u) * module, rect.y + (real(row) + v) * module);
            sum += even.darkness(at.apply(p))? / 5.0;
        }
        dark.push(sum);
    }
    let mut sorted = dark.clone();
    sorted.sort_by(f64::total_cmp);
    // Between the paler fifth and the darker fifth.
    let (pale, deep) = (sorted[sorted.len() / 5], sorted[sorted.len() * 4 / 5]);
    if deep - pale < 0.25 {
        return None;
    }
    let limit = f64::midpoint(pale, deep);
    let grid = SimpleGrid::from_func(side, |x, y| dark[y * side + x] > limit);
    let text = quiet::guard(|| catch_unwind(AssertUnwindSafe(|| Grid::new(grid).decode().ok())));
    text.ok().flatten()?.1.parse().ok()
}

/// Modules in a row of a code, by its size: they are about 0.6 mm.
pub(super) fn modules(rect: Rect) -> usize {
    // Versions of ISO/IEC 18004 have 17 + 4 v modules.
    let version = ((rect.width / 0.6 - 17.0) / 4.0 + 0.5).clamp(1.0, 10.0);
    17 + 4 * place(version)
}
