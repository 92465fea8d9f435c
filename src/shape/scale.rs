//! The bars that prove a print, and what their measure says.

use super::{Anchor, Layer, Point, Sheet};
pub use crate::term::bar::{LIMIT, METRIC, holds};

/// The inch bar: 4 in, in millimetres (the inch is 25.4 mm exactly).
pub const INCH: f64 = 101.6;
/// The sentence on every sheet.
pub const VOID: &str = "Print at 100 %, no fit to page. Measure the bars both ways: off by more than 0.5 mm in 100 mm, the sheet is void.";

/// What the measured bars say about a print.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Judged {
    /// Factor to print again with, across the page.
    pub across: f64,
    /// Factor to print again with, along the page.
    pub along: f64,
    /// Whether the print may be used as it is.
    pub good: bool,
}

/// Judges the measured 100 mm bars, both in millimetres.
#[must_use]
pub fn judge(across: f64, along: f64) -> Judged {
    Judged { across: METRIC / across, along: METRIC / along, good: holds(across) && holds(along) }
}

/// Both bars, lying; `at` is the left end of the lower one.
pub fn across(sheet: &mut Sheet, at: Point) {
    for (length, up, name) in bars() {
        let from = at.plus(Point::new(0.0, up));
        let to = from.plus(Point::new(length, 0.0));
        sheet.line(Layer::Scale, from, to);
        for end in [from, to] {
            sheet.line(Layer::Scale, end.plus(Point::new(0.0, -1.8)), end.plus(Point::new(0.0, 1.8)));
        }
        sheet.text(from.plus(Point::new(length / 2.0, 1.0)), 2.6, 0.0, Anchor::Middle, name);
    }
}

/// Both bars, standing; `at` is the lower end of the right one.
pub fn along(sheet: &mut Sheet, at: Point) {
    for (length, left, name) in bars() {
        let from = at.plus(Point::new(-left, 0.0));
        let to = from.plus(Point::new(0.0, length));
        sheet.line(Layer::Scale, from, to);
        for end in [from, to] {
            sheet.line(Layer::Scale, end.plus(Point::new(-1.8, 0.0)), end.plus(Point::new(1.8, 0.0)));
        }
        sheet.text(from.plus(Point::new(-1.0, length / 2.0)), 2.6, 90.0, Anchor::Middle, name);
    }
}

fn bars() -> [(f64, f64, &'static str); 2] {
    [(METRIC, 0.0, "100 mm"), (INCH, 7.0, "4 in")]
}
