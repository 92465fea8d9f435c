//! Sheets on paper at full size: one page or several that are joined, with the
//! bars that prove the print on each.
//!
//! Page millimetres: x to the right, y down, from the upper left corner.

use serde::Serialize;

use super::{Anchor, Extent, Form, LETTER, Layer, Point, Shape, Sheet, count, scale};
use crate::term::Paper;

/// Free edge printers need.
const EDGE: f64 = 9.0;
/// Column of the standing bars.
const COLUMN: f64 = 20.0;
/// Head with title and origin.
const HEAD: f64 = 22.0;
/// Foot with the lying bars, the boxes and the notes.
const FOOT: f64 = 86.0;
/// What joined pages show twice.
const OVERLAP: f64 = 14.0;
/// Most pages one sheet may take.
const MOST: u32 = 36;

/// Sizes of a paper, upright, in millimetres: US Letter (ANSI/ASME Y14.1) and
/// A4 (ISO 216).
#[must_use]
pub const fn size(paper: Paper) -> (f64, f64) {
    match paper {
        Paper::Letter => (215.9, 279.4),
        Paper::A4 => (210.0, 297.0),
    }
}

/// A line on a page.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Stroke {
    /// In millimetres from the top left corner of the page, y down.
    pub points: Vec<[f64; 2]>,
    /// Whether it returns to its start.
    pub closed: bool,
    /// Layer, or `join` where pages meet.
    pub layer: &'static str,
}

/// Words on a page.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Label {
    /// Place on the base line.
    pub at: [f64; 2],
    /// Size of the type, in millimetres.
    pub size: f64,
    /// Turned clockwise, in degrees.
    pub turn: f64,
    /// `start`, `middle` or `end`.
    pub anchor: &'static str,
    /// The words.
    pub text: String,
}

/// What is printed on one piece of paper, in millimetres from its top left corner.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Page {
    /// Title of the sheet.
    pub title: String,
    /// Whose it is.
    pub origin: String,
    /// `page 1 of 3`, with where it is joined.
    pub part: String,
    /// What of the shapes falls on this page, and where pages meet.
    pub strokes: Vec<Stroke>,
    /// Words that stand on this page.
    pub labels: Vec<Label>,
    /// The sentence about the scale.
    pub void: String,
    /// Notes, numbers and sources; on the first page of a sheet.
    pub notes: Vec<String>,
    /// For readers who do not see it.
    pub alt: String,
    /// The boxes for what its bars measure.
    pub boxes: Vec<Bar>,
}

/// A box for what a bar measures.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Bar {
    /// Its name on the sheet: `across`, `along-4in`.
    pub name: &'static str,
    /// Left, top, width, height.
    pub rect: [f64; 4],
}

/// Pages of one size.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Pages {
    /// Of every page as it lies, in millimetres.
    pub width: f64,
    /// Of every page as it lies, in millimetres.
    pub height: f64,
    /// Where the notes start, from the left and from the top, and their width.
    pub foot: [f64; 3],
    /// Sheet by sheet; those of one sheet from the lower left, row by row upward.
    pub pages: Vec<Page>,
}

/// Factors a print is corrected with: across and along the page.
pub type Factors = (f64, f64);

/// A page, empty: where on it the drawing stands.
#[derive(Debug, Clone, Copy)]
struct Frame {
    width: f64,
    height: f64,
    factors: Factors,
}

impl Frame {
    /// Room for the drawing, in millimetres of the work.
    fn room(&self) -> (f64, f64) {
        (
            (self.width - 2.0 * EDGE - COLUMN) / self.factors.0,
            (self.height - EDGE - HEAD - FOOT) / self.factors.1,
        )
    }

    /// A place of the work, counted from the lower left corner of the room, on
    /// the page.
    fn place(&self, p: Point) -> [f64; 2] {
        let fine = |v: f64| (v * 1e4).round() / 1e4 + 0.0;
        [fine(EDGE + COLUMN + p.x * self.factors.0), fine(self.height - FOOT - p.y * self.factors.1)]
    }

    /// Pages a sheet of this extent takes: columns and rows.
    fn tiles(&self, extent: &Extent) -> (u32, u32) {
        let (wide, high) = self.room();
        let count = |size: f64, room: f64| {
            let more = ((size - room) / (room - OVERLAP) - 1e-9).ceil().max(0.0);
            (0..MOST).find(|n| f64::from(*n) >= more).unwrap_or(MOST) + 1
        };
        (count(extent.width(), wide), count(extent.height(), high))
    }
}

/// Lays sheets out on paper, all pages upright or all lying, whichever takes
/// fewer. None if a sheet would take more pages than anybody joins.
#[must_use]
pub fn lay_out(sheets: &[Sheet], paper: Paper, factors: Factors) -> Option<Pages> {
    let (short, long) = size(paper);
    let frame = |width, height| Frame { width, height, factors };
    let frames = [frame(short, long), frame(long, short)];
    let extents: Vec<Extent> = sheets.iter().map(Sheet::extent).collect();
    let count = |frame: &Frame| {
        extents.iter().map(|e| frame.tiles(e)).try_fold(0, |sum, (c, r)| {
            let all = c.saturating_mul(r);
            (all <= MOST).then_some(sum + all)
        })
    };
    let best = frames
        .iter()
        .filter_map(|f| count(f).map(|n| (n, f)))
        .min_by(|a, b| a.0.cmp(&b.0).then(b.1.height.total_cmp(&a.1.height)))
        .map(|(_, f)| *f)?;
    let mut pages = Vec::new();
    for (sheet, extent) in sheets.iter().zip(&extents) {
        of_sheet(&best, sheet, extent, &mut pages);
    }
    let foot = [EDGE + COLUMN, best.height - FOOT + 34.0, best.width - 2.0 * EDGE - COLUMN];
    Some(Pages { width: best.width, height: best.height, foot, pages })
}

fn of_sheet(frame: &Frame, sheet: &Sheet, extent: &Extent, pages: &mut Vec<Page>) {
    let (columns, rows) = frame.tiles(extent);
    let (wide, high) = frame.room();
    let window = |row: u32, column: u32| {
        let start = Point::new(
            extent.low.x + f64::from(column) * (wide - OVERLAP),
            extent.low.y + f64::from(row) * (high - OVERLAP),
        );
        Extent { low: start, high: start.plus(Point::new(wide, high)) }
    };
    // A page on which nothing would stand that is not on its neighbours is not printed.
    let grid = (0..rows).flat_map(|row| (0..columns).map(move |column| (row, column)));
    let grid: Vec<((u32, u32), bool)> =
        grid.map(|(r, c)| ((r, c), drawn_on(sheet, &own(&window(r, c), (r > 0, c > 0))))).collect();
    let drawn: Vec<Extent> =
        grid.iter().filter(|(_, lines)| *lines).map(|((r, c), _)| window(*r, *c)).collect();
    // Words that only an empty page would hold whole keep it.
    let places: Vec<(u32, u32)> = grid
        .into_iter()
        .filter(|((r, c), lines)| *lines || holds_words(sheet, &window(*r, *c), &drawn))
        .map(|(place, _)| place)
        .collect();
    let there =
        |row: Option<u32>, column: Option<u32>| row.zip(column).is_some_and(|place| places.contains(&place));
    let all = count_of(&places);
    let windows: Vec<Extent> = places.iter().map(|(r, c)| window(*r, *c)).collect();
    let words = words(sheet, &windows);
    for (number, (row, column)) in (1_u32..).zip(places.iter().copied()) {
        let window = window(row, column);
        let first = number == 1;
        let part = if all == 1 {
            String::new()
        } else {
            format!(
                "page {number} of {all}; lay like letters on each other, line on line, then measure across the joint"
            )
        };
        let mut page = Page {
            title: sheet.title.clone(),
            origin: sheet.origin.clone(),
            part,
            strokes: Vec::new(),
            labels: Vec::new(),
            void: scale::VOID.to_owned(),
            notes: if first { notes(sheet) } else { Vec::new() },
            alt: if all == 1 { sheet.alt.clone() } else { format!("{}; part {number} of {all}", sheet.alt) },
            boxes: Vec::new(),
        };
        draw(frame, sheet, &window, &mut page);
        let origin = Point::new(-window.low.x, -window.low.y);
        let here = words.iter().filter(|(on, _)| *on == number);
        page.labels.extend(here.filter_map(|(_, word)| label(frame, &word.form, origin)));
        let taken: Vec<Extent> = words.iter().map(|(_, word)| word.extent()).collect();
        let beside = Beside {
            left: there(Some(row), column.checked_sub(1)),
            right: there(Some(row), Some(column + 1)),
            below: there(row.checked_sub(1), Some(column)),
            above: there(Some(row + 1), Some(column)),
        };
        joints(frame, &window, (column, columns, row), beside, (extent, taken.as_slice()), &mut page);
        bars(frame, &mut page);
        pages.push(page);
    }
}

/// How many places there are.
fn count_of(places: &[(u32, u32)]) -> u32 {
    u32::try_from(places.len()).unwrap_or(u32::MAX)
}

/// What of a window no page before it shows: without the overlap below and left of it.
fn own(window: &Extent, (below, left): (bool, bool)) -> Extent {
    let by = |before: bool| if before { OVERLAP } else { 0.0 };
    Extent { low: window.low.plus(Point::new(by(left), by(below))), high: window.high }
}

/// Whether any line of a sheet runs in a window.
fn drawn_on(sheet: &Sheet, window: &Extent) -> bool {
    sheet
        .shapes
        .iter()
        .filter_map(Shape::lines)
        .any(|(points, closed)| !clip(&points, closed, window).is_empty())
}

/// Whether words stand whole in a window, and in none of others.
fn holds_words(sheet: &Sheet, window: &Extent, others: &[Extent]) -> bool {
    let texts = sheet.shapes.iter().filter(|s| matches!(s.form, Form::Text { .. }));
    texts.map(Shape::extent).any(|extent| {
        let whole = |w: &Extent| inside(extent.low, w) && inside(extent.high, w);
        whole(window) && !others.iter().any(whole)
    })
}

/// Which neighbours of a page there are.
#[derive(Debug, Clone, Copy)]
struct Beside {
    left: bool,
    right: bool,
    below: bool,
    above: bool,
}

fn notes(sheet: &Sheet) -> Vec<String> {
    let mut all = sheet.notes.clone();
    if !sheet.numbers.is_empty() {
        all.push(format!("{}.", sheet.numbers.join("; ")));
    }
    all.extend(sheet.sources.iter().map(|s| format!("Source: {s}.")));
    all
}

/// The words of a sheet, each with the number of the page it stands on. Words that
/// would run over the edge of a page stand on the one that holds them whole, and where
/// none does they are moved until they end at the edge.
fn words(sheet: &Sheet, windows: &[Extent]) -> Vec<(u32, Shape)> {
    let mut found = Vec::new();
    for shape in &sheet.shapes {
        let Form::Text { at, .. } = &shape.form else { continue };
        let extent = shape.extent();
        let whole = |w: &Extent| inside(extent.low, w) && inside(extent.high, w);
        let any = windows.iter().any(whole);
        for (page, window) in (1_u32..).zip(windows) {
            let here = if any { whole(window) } else { inside(*at, window) };
            if here {
                found.push((page, shape.moved(into(&extent, window))));
            }
        }
    }
    found
}

/// How far something is moved to lie in a window; what is too large begins at its start.
fn into(extent: &Extent, window: &Extent) -> Point {
    let by = |(low, high): (f64, f64), (from, to): (f64, f64)| {
        let back = (to - high).min(0.0);
        back + (from - low - back).max(0.0)
    };
    Point::new(
        by((extent.low.x, extent.high.x), (window.low.x, window.high.x)),
        by((extent.low.y, extent.high.y), (window.low.y, window.high.y)),
    )
}

/// What of a sheet stands in a window, without its words.
fn draw(frame: &Frame, sheet: &Sheet, window: &Extent, page: &mut Page) {
    let origin = Point::new(-window.low.x, -window.low.y);
    for shape in &sheet.shapes {
        if let Some((points, closed)) = shape.lines() {
            for (piece, whole) in clip(&points, closed, window) {
                page.strokes.push(Stroke {
                    points: piece.iter().map(|p| frame.place(p.plus(origin))).collect(),
                    closed: whole && closed,
                    layer: shape.layer.name(),
                });
            }
        }
    }
}

fn label(frame: &Frame, form: &Form, origin: Point) -> Option<Label> {
    let Form::Text { at, size, turn, anchor, text } = form else { return None };
    let anchor = match anchor {
        Anchor::Start => "start",
        Anchor::Middle => "middle",
        Anchor::End => "end",
    };
    Some(Label { at: frame.place(at.plus(origin)), size: *size, turn: -turn, anchor, text: text.clone() })
}

fn inside(p: Point, window: &Extent) -> bool {
    p.x >= window.low.x - 1e-6
        && p.x <= window.high.x + 1e-6
        && p.y >= window.low.y - 1e-6
        && p.y <= window.high.y + 1e-6
}

/// The pieces of a line inside a window; true with the whole of it.
fn clip(points: &[Point], closed: bool, window: &Extent) -> Vec<(Vec<Point>, bool)> {
    if points.iter().all(|p| inside(*p, window)) {
        return vec![(points.to_vec(), true)];
    }
    let mut ring = points.to_vec();
    if closed {
        ring.extend(points.first().copied());
    }
    let mut pieces: Vec<(Vec<Point>, bool)> = Vec::new();
    for pair in ring.windows(2) {
        let Some((a, b)) = segment(pair[0], pair[1], window) else { continue };
        match pieces.last_mut() {
            Some((last, _)) if last.last() == Some(&a) => last.push(b),
            _ => pieces.push((vec![a, b], false)),
        }
    }
    pieces
}

/// The part of a straight line inside a window (Liang and Barsky, 1984).
fn segment(a: Point, b: Point, window: &Extent) -> Option<(Point, Point)> {
    let (dx, dy) = (b.x - a.x, b.y - a.y);
    let (mut from, mut to) = (0.0_f64, 1.0_f64);
    let edges = [
        (-dx, a.x - window.low.x),
        (dx, window.high.x - a.x),
        (-dy, a.y - window.low.y),
        (dy, window.high.y - a.y),
    ];
    for (run, room) in edges {
        if run == 0.0 {
            if room < 0.0 {
                return None;
            }
        } else if run < 0.0 {
            from = from.max(room / run);
        } else {
            to = to.min(room / run);
        }
    }
    let at = |t: f64| Point::new(a.x + t * dx, a.y + t * dy);
    let ends = (if from == 0.0 { a } else { at(from) }, if to == 1.0 { b } else { at(to) });
    (from < to).then_some(ends)
}

/// Shares of a line of joining where a cross and its letter may stand, each with its
/// other end: the first that no words of the sheet touch, the same on both pages.
const PLACES: [f64; 10] = [0.12, 0.08, 0.16, 0.2, 0.24, 0.28, 0.32, 0.36, 0.4, 0.44];

/// Lines and letters where a page is laid on its neighbours.
fn joints(
    frame: &Frame,
    window: &Extent,
    (column, columns, row): (u32, u32, u32),
    beside: Beside,
    (extent, taken): (&Extent, &[Extent]),
    page: &mut Page,
) {
    let (wide, high) = frame.room();
    // Where joints of the other direction cross this page: their letters stand there.
    let bands = |before: bool, behind: bool, size: f64, place: fn(f64, f64) -> Extent| {
        [before.then(|| place(0.0, OVERLAP)), behind.then(|| place(size - OVERLAP, size))]
            .into_iter()
            .flatten()
            .collect::<Vec<Extent>>()
    };
    let along_columns = bands(beside.below, beside.above, high, |low, top| Extent {
        low: Point::new(-1e6, low),
        high: Point::new(1e6, top),
    });
    let across_rows = bands(beside.left, beside.right, wide, |low, top| Extent {
        low: Point::new(low, -1e6),
        high: Point::new(top, 1e6),
    });
    let letter = |n: u32| char::from_u32('A' as u32 + n).unwrap_or('Z');
    let mut line = |from: Point, to: Point, name: String| {
        page.strokes.push(Stroke {
            points: vec![frame.place(from), frame.place(to)],
            closed: false,
            layer: "join",
        });
        let along =
            |share: f64| Point::new(from.x + share * (to.x - from.x), from.y + share * (to.y - from.y));
        let crossing = if from.x < to.x { &across_rows } else { &along_columns };
        let free = |share: &f64| {
            let room = |at: Point| Extent {
                low: at.plus(Point::new(-3.0, -3.0)),
                high: at.plus(Point::new(2.0 + 4.0 * LETTER * count(name.chars().count()), 5.0)),
            };
            let (here, at) = (room(along(*share)), room(along(*share).plus(window.low)));
            taken.iter().all(|words| !words.touches(&at, 0.0))
                && crossing.iter().all(|band| !band.touches(&here, 0.0))
        };
        let ends = [PLACES, PLACES.map(|s| 1.0 - s)];
        for share in ends.map(|places| places.into_iter().find(free).unwrap_or(places[0])) {
            let at = along(share);
            for (dx, dy) in [(3.0, 0.0), (0.0, 3.0)] {
                page.strokes.push(Stroke {
                    points: vec![
                        frame.place(at.plus(Point::new(-dx, -dy))),
                        frame.place(at.plus(Point::new(dx, dy))),
                    ],
                    closed: false,
                    layer: Layer::Centre.name(),
                });
            }
            page.labels.push(Label {
                at: frame.place(at.plus(Point::new(1.2, 1.2))),
                size: 4.0,
                turn: 0.0,
                anchor: "start",
                text: name.clone(),
            });
        }
    };
    // As high as the sheet is on this page, so that the line ends with it.
    let top = high.min(extent.high.y - window.low.y);
    let right = wide.min(extent.high.x - window.low.x);
    let across = row * columns;
    if beside.left {
        let name = letter(across + column - 1).to_string();
        line(Point::new(OVERLAP / 2.0, 0.0), Point::new(OVERLAP / 2.0, top), name);
    }
    if beside.right {
        let at = wide - OVERLAP / 2.0;
        line(Point::new(at, 0.0), Point::new(at, top), letter(across + column).to_string());
    }
    // Letters of rows go on behind those of columns.
    if beside.below {
        let name = format!("{}{}", letter(row - 1), column + 1);
        line(Point::new(0.0, OVERLAP / 2.0), Point::new(right, OVERLAP / 2.0), name);
    }
    if beside.above {
        let at = high - OVERLAP / 2.0;
        line(Point::new(0.0, at), Point::new(right, at), format!("{}{}", letter(row), column + 1));
    }
}

/// The bars both ways and the boxes for what they measure.
fn bars(frame: &Frame, page: &mut Page) {
    let mut sheet = Sheet::default();
    // Below the room: y is negative there.
    let down = |mm: f64| -mm / frame.factors.1;
    scale::across(&mut sheet, Point::new(0.0, down(16.0)));
    scale::along(&mut sheet, Point::new(-7.0 / frame.factors.0, 0.0));
    for shape in &sheet.shapes {
        if let Some((points, closed)) = shape.lines() {
            let points = points.iter().map(|p| frame.place(*p)).collect();
            page.strokes.push(Stroke { points, closed, layer: shape.layer.name() });
        }
        page.labels.extend(label(frame, &shape.form, Point::default()));
    }
    let top = frame.height - FOOT + 20.0;
    let step = (frame.width - 2.0 * EDGE - COLUMN) / 4.0;
    let boxes = [
        ("across", "across, 100 mm bar:"),
        ("across-4in", "across, 4 in bar:"),
        ("along", "along, 100 mm bar:"),
        ("along-4in", "along, 4 in bar:"),
    ];
    for (i, (part, name)) in (0_u32..).zip(boxes) {
        let left = EDGE + COLUMN + f64::from(i) * step;
        page.labels.push(Label {
            at: [left, top + 2.0],
            size: 2.5,
            turn: 0.0,
            anchor: "start",
            text: name.to_owned(),
        });
        let (right, low) = (left + step - 4.0, top + 11.0);
        page.strokes.push(Stroke {
            points: vec![[left, top + 3.5], [right, top + 3.5], [right, low], [left, low]],
            closed: true,
            layer: "box",
        });
        page.boxes.push(Bar { name: part, rect: [left, top + 3.5, right - left, low - top - 3.5] });
    }
}
