//! What a page carries so that a picture of it can be read: a code with number,
//! revision, page and digest, four discs, a grey strip.
//!
//! They are drawn on the laid out pages: only then is the number of a page known.

use qrcode::{Color as Module, EcLevel, QrCode, Version};
use rayon::prelude::*;
use typst::layout::{Abs, Frame, FrameItem, Point, Size};
use typst::syntax::Span;
use typst::visualize::{Color, Curve, Geometry, Luma, ProcessColor};
use typst_layout::{Page, PagedDocument};

use crate::form::{self, PageCode, Rect};

/// Side of a module, in mm.
const MODULE: f64 = 0.6;
/// Right edge of the code, from the right edge of the page, in mm: the margin.
const CODE_RIGHT: f64 = 12.0;
/// Lower edge of the code, from the top, in mm.
const CODE_BOTTOM: f64 = 20.4;
/// What is kept free left of the code, in mm: four modules and a little.
const QUIET: f64 = 2.6;
/// The smallest version used: version 1 is found badly in pictures.
const LEAST_VERSION: i16 = 2;
/// The greys of the strip: a two-tone picture loses them.
const GREYS: [f32; 3] = [0.12, 0.20, 0.30];
/// Width of the strip and its height, in mm.
const STRIP: (f64, f64) = (18.0, 2.5);
/// Left edge of the strip from the right edge of the page, and its upper edge from the
/// bottom, in mm.
const STRIP_AT: (f64, f64) = (56.0, 9.4);

/// What the codes of a document's pages say.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Marks {
    /// Number of the traveler.
    pub number: String,
    /// Revision letter.
    pub revision: String,
    /// Digest printed on the paper: as much of it as a code carries.
    pub digest: String,
}

impl Marks {
    /// Digits of the digest a code carries.
    const DIGITS: usize = 12;

    /// Marks of a revision, by the whole digest of its plan.
    #[must_use]
    pub fn new(number: &str, revision: &str, digest: &str) -> Self {
        let digest = digest.chars().take(Self::DIGITS).collect::<String>().to_uppercase();
        Self { number: number.to_owned(), revision: revision.to_owned(), digest }
    }

    fn code(&self, page: usize) -> Result<QrCode, String> {
        let page = u32::try_from(page).map_err(|e| e.to_string())?;
        let (number, revision, digest) = (self.number.clone(), self.revision.clone(), self.digest.clone());
        let text = PageCode { number, revision, page, digest }.to_string();
        for version in LEAST_VERSION..=40 {
            if let Ok(code) = QrCode::with_version(text.as_bytes(), Version::Normal(version), EcLevel::Q) {
                return Ok(code);
            }
        }
        Err(format!("{text} is too long for the code of a page"))
    }

    /// Room the code takes at the right end of the head, in mm.
    pub(super) fn room(&self) -> Result<f64, String> {
        // All pages leave the same: that of the longest page number there can be.
        Ok(side(&self.code(9999)?) + QUIET)
    }
}

fn side(code: &QrCode) -> f64 {
    f64::from(u32::try_from(code.width()).unwrap_or(u32::MAX)) * MODULE
}

/// Says of each page where its marks stand, for the form; and the code of each.
pub(super) fn place(sizes: &mut [form::Page], marks: &Marks) -> Result<Vec<QrCode>, String> {
    let codes =
        (0..sizes.len()).into_par_iter().map(|index| marks.code(index + 1)).collect::<Result<Vec<_>, _>>()?;
    for (size, code) in sizes.iter_mut().zip(&codes) {
        let side = side(code);
        size.code = Some(rounded(Rect {
            x: size.width - CODE_RIGHT - side,
            y: CODE_BOTTOM - side,
            width: side,
            height: side,
        }));
        size.grey = Some(rounded(Rect {
            x: size.width - STRIP_AT.0,
            y: size.height - STRIP_AT.1,
            width: STRIP.0,
            height: STRIP.1,
        }));
    }
    Ok(codes)
}

/// The pages with their marks, where [`place`] says.
pub(super) fn draw(document: &PagedDocument, sizes: &[form::Page], codes: &[QrCode]) -> PagedDocument {
    let mut pages: Vec<Page> = document.pages().to_vec();
    for ((page, size), code) in pages.iter_mut().zip(sizes).zip(codes) {
        draw_code(&mut page.frame, code, size.code.unwrap_or_default());
        draw_discs(&mut page.frame, size);
        draw_strip(&mut page.frame, size.grey.unwrap_or_default());
    }
    PagedDocument::new(pages.into_iter().collect(), document_info(document))
}

fn document_info(document: &PagedDocument) -> typst::model::DocumentInfo {
    use typst::model::Document as _;
    document.info().clone()
}

fn rounded(rect: Rect) -> Rect {
    let round = |v: f64| (v * 1000.0).round() / 1000.0;
    Rect { x: round(rect.x), y: round(rect.y), width: round(rect.width), height: round(rect.height) }
}

fn point(x: f64, y: f64) -> Point {
    Point::new(Abs::mm(x), Abs::mm(y))
}

fn shape(frame: &mut Frame, at: Point, geometry: Geometry, grey: f32) {
    let paint = Color::Process(ProcessColor::Luma(Luma::new(1.0 - grey, 1.0)));
    frame.push(at, FrameItem::Shape(geometry.filled(paint), Span::detached()));
}

/// One shape: a rectangle for each run of dark modules in a row.
fn draw_code(frame: &mut Frame, code: &QrCode, place: Rect) {
    let mut curve = Curve::new();
    let width = code.width().max(1);
    for (row, line) in (0_u32..).zip(code.to_colors().chunks(width)) {
        let dark: Vec<bool> = line.iter().map(|m| *m == Module::Dark).collect();
        let mut from = 0;
        for run in dark.chunk_by(|a, b| a == b) {
            if run.first() == Some(&true) {
                rectangle(&mut curve, from, row, run.len());
            }
            from += run.len();
        }
    }
    shape(frame, point(place.x, place.y), Geometry::Curve(curve), 1.0);
}

fn rectangle(curve: &mut Curve, from: usize, row: u32, length: usize) {
    let modules = |n: usize| f64::from(u32::try_from(n).unwrap_or(u32::MAX)) * MODULE;
    let (left, right) = (modules(from), modules(from + length));
    let (top, bottom) = (f64::from(row) * MODULE, f64::from(row + 1) * MODULE);
    curve.move_(point(left, top));
    curve.line(point(right, top));
    curve.line(point(right, bottom));
    curve.line(point(left, bottom));
    curve.close();
}

fn draw_discs(frame: &mut Frame, page: &form::Page) {
    let radius = form::Page::DISC / 2.0;
    for (x, y) in page.discs() {
        let disc = Curve::ellipse(Size::splat(Abs::mm(form::Page::DISC)));
        shape(frame, point(x - radius, y - radius), Geometry::Curve(disc), 1.0);
    }
}

fn draw_strip(frame: &mut Frame, place: Rect) {
    let width = place.width / 3.0;
    for (n, grey) in (0_u32..).zip(GREYS) {
        let part = Geometry::Rect(Size::new(Abs::mm(width), Abs::mm(place.height)));
        shape(frame, point(place.x + f64::from(n) * width, place.y), part, grey);
    }
}
