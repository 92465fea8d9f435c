//! Where the boxes of a document stand: read off the laid out pages, from the
//! marks the template leaves in every box that has a name.

use typst::foundations::{Dict, Value};
use typst::introspection::{MetadataElem, Tag};
use typst::layout::{Abs, Frame, FrameItem, Point, Size, Transform};
use typst::visualize::{Curve, CurveItem, Geometry};
use typst_layout::PagedDocument;

use crate::form::{Page, Rect};

/// A box on a page.
#[derive(Debug, Clone, PartialEq)]
pub struct Placed {
    /// Its name, as the template was given it.
    pub name: String,
    /// Which word it stands for, from 0, where it is one of several to choose from.
    pub choice: Option<usize>,
    /// Page, from 1.
    pub page: u32,
    /// Where it stands.
    pub rect: Rect,
    /// What it asks for, where it belongs to no operation: then the page says so.
    pub asks: Option<String>,
}

impl Placed {
    /// Whether somebody drew it without saying which box it is.
    #[must_use]
    pub fn nameless(&self) -> bool {
        self.name.is_empty()
    }
}

/// The boxes of all pages, page by page, in the order they were laid out.
pub(super) fn of(document: &PagedDocument) -> Result<Vec<Placed>, String> {
    let mut found = Vec::new();
    for (index, page) in document.pages().iter().enumerate() {
        let number = u32::try_from(index + 1).map_err(|e| e.to_string())?;
        walk(&page.frame, Transform::identity(), number, &mut found)?;
    }
    Ok(found)
}

/// Sizes of the pages.
pub(super) fn pages(document: &PagedDocument) -> Vec<Page> {
    let size = |s: Size| Page { width: mm(s.x), height: mm(s.y), ..Page::default() };
    document.pages().iter().map(|p| size(p.frame.size())).collect()
}

fn walk(frame: &Frame, to_page: Transform, page: u32, found: &mut Vec<Placed>) -> Result<(), String> {
    // The frame of a box is drawn right before what is in it.
    let mut drawn: Option<(Point, Size)> = None;
    // The line of one that has only a line under it, likewise.
    let mut line: Option<(Point, Point)> = None;
    for (at, item) in frame.items() {
        match item {
            FrameItem::Group(group) => {
                let moved = to_page.pre_concat(Transform::translate(at.x, at.y)).pre_concat(group.transform);
                walk(&group.frame, moved, page, found)?;
            }
            FrameItem::Shape(shape, _) => match &shape.geometry {
                Geometry::Rect(size) if shape.stroke.is_some() => drawn = Some((*at, *size)),
                Geometry::Rect(_) => {}
                Geometry::Line(to) => line = Some((*at, *to)),
                // One side of a frame is a way along it.
                Geometry::Curve(curve) => line = along(*at, curve),
            },
            FrameItem::Tag(Tag::Start(content, _)) => {
                let Some(mark) = content.to_packed::<MetadataElem>() else { continue };
                let Value::Dict(mark) = &mark.value else { continue };
                let Some(name) = text(mark, "box") else { continue };
                let (at, size) = match size(mark, line) {
                    Some((from, size)) => (from.unwrap_or(*at), size),
                    None => drawn.ok_or_else(|| format!("the box {name} has no frame"))?,
                };
                let rect = rect(to_page, at, size);
                found.push(Placed { rect, choice: choice(mark), asks: text(mark, "asks"), name, page });
            }
            _ => {}
        }
    }
    Ok(())
}

fn text(mark: &Dict, key: &str) -> Option<String> {
    match mark.get(key) {
        Ok(Value::Str(text)) => Some(text.to_string()),
        _ => None,
    }
}

fn choice(mark: &Dict) -> Option<usize> {
    match mark.get("choice") {
        Ok(Value::Int(place)) => usize::try_from(*place).ok(),
        _ => None,
    }
}

/// Where a drawn way begins and how far it goes, seen as a line.
fn along(at: Point, curve: &Curve) -> Option<(Point, Point)> {
    let points = curve.0.iter().filter_map(|item| match item {
        CurveItem::Move(p) | CurveItem::Line(p) | CurveItem::Cubic(_, _, p) => Some(*p),
        CurveItem::Close => None,
    });
    let points: Vec<Point> = points.collect();
    let first = *points.first()?;
    let (low, high) = points.iter().fold((first, first), |(low, high), p| (low.min(*p), high.max(*p)));
    Some((Point::new(at.x + low.x, at.y + high.y), Point::with_x(high.x - low.x)))
}

/// The size a box without a frame says it has. One as wide as its place is as wide as
/// the line under it, and begins where that begins.
fn size(mark: &Dict, line: Option<(Point, Point)>) -> Option<(Option<Point>, Size)> {
    let Ok(Value::Array(sides)) = mark.get("size") else { return None };
    let mut sides = sides.iter();
    let (width, height) = (sides.next()?, sides.next()?);
    let Value::Length(height) = height else { return None };
    match width {
        Value::Length(width) => Some((None, Size::new(width.abs, height.abs))),
        _ => {
            let (from, to) = line?;
            let top = Point::new(from.x.min(from.x + to.x), from.y - height.abs);
            Some((Some(top), Size::new(to.x.abs(), height.abs)))
        }
    }
}

fn rect(to_page: Transform, at: Point, size: Size) -> Rect {
    let corners = [Point::zero(), size.to_point()].map(|corner| (at + corner).transform(to_page));
    let [from, to] = corners;
    Rect {
        x: mm(from.x.min(to.x)),
        y: mm(from.y.min(to.y)),
        width: mm((to.x - from.x).abs()),
        height: mm((to.y - from.y).abs()),
    }
}

/// To the thousandth: a frozen number, not a laid out one.
fn mm(length: Abs) -> f64 {
    (length.to_mm() * 1000.0).round() / 1000.0
}
