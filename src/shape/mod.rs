//! Shapes at full size: one drawing vocabulary for pages, SVG and DXF.
//!
//! Lengths are millimetres of the finished work: x to the right, y up. What a
//! line is for is its [`Layer`]; how it looks follows from that in each writer.
//! A [`Sheet`] is one shape to wrap, to lay on or to drill through, or a picture
//! such as that of a route, which has layers of its own and no scale to prove.

pub mod apart;
pub mod curve;
pub mod dxf;
pub mod hatch;
pub mod pages;
pub mod scale;
pub mod svg;

/// A place, in millimetres.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Point {
    /// To the right.
    pub x: f64,
    /// Up: the other way than on a page.
    pub y: f64,
}

impl Point {
    /// A place.
    #[must_use]
    pub const fn new(x: f64, y: f64) -> Self {
        Self { x, y }
    }

    /// The place moved by another.
    #[must_use]
    pub fn plus(self, by: Point) -> Self {
        Self::new(self.x + by.x, self.y + by.y)
    }
}

/// What a shape is for. The names stand in the files, so they stay.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Layer {
    /// Cut here.
    Cut,
    /// Bend here.
    Bend,
    /// Scribe or paint here.
    Mark,
    /// Centres: punch, drill, index from here.
    Centre,
    /// Stay away from here.
    KeepOut,
    /// Words.
    Text,
    /// Bars that prove the print.
    Scale,
    /// Edges of what a picture shows.
    Outline,
    /// Where work stops.
    Stop,
    /// What hangs together.
    Link,
    /// Names of parts of a picture.
    Heading,
    /// Lines that lead the eye.
    Guide,
}

impl Layer {
    /// Those of sheets at full size, in the order files list them; every file has
    /// them, so that whoever sets a plotter up finds them all.
    pub const SHEET: [Layer; 7] =
        [Layer::Cut, Layer::Bend, Layer::Mark, Layer::Centre, Layer::KeepOut, Layer::Text, Layer::Scale];
    /// Those of pictures that are not cut from. Outlines come last, so that they
    /// are pointed at and not the words inside them.
    pub const PICTURE: [Layer; 5] = [Layer::Guide, Layer::Link, Layer::Stop, Layer::Heading, Layer::Outline];

    /// Its name in files.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Layer::Cut => "cut",
            Layer::Bend => "bend",
            Layer::Mark => "mark",
            Layer::Centre => "centre",
            Layer::KeepOut => "keep-out",
            Layer::Text => "text",
            Layer::Scale => "scale",
            Layer::Outline => "outline",
            Layer::Stop => "stop",
            Layer::Link => "link",
            Layer::Heading => "heading",
            Layer::Guide => "guide",
        }
    }
}

/// Where a text stands against its place.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Anchor {
    /// It starts there.
    #[default]
    Start,
    /// Its middle is there.
    Middle,
    /// It ends there.
    End,
}

/// The geometry of a shape.
#[derive(Debug, Clone, PartialEq)]
pub enum Form {
    /// A straight line.
    Line {
        /// One end.
        from: Point,
        /// The other.
        to: Point,
    },
    /// Straight lines from point to point.
    Path {
        /// In the order they are joined.
        points: Vec<Point>,
        /// Whether it returns to its start.
        closed: bool,
    },
    /// A full turn.
    Circle {
        /// Its middle, in millimetres of the work.
        centre: Point,
        /// From `centre` to the line, in millimetres.
        radius: f64,
    },
    /// A part of a circle, counterclockwise.
    Arc {
        /// Middle of the full circle.
        centre: Point,
        /// From `centre` to the line, in millimetres.
        radius: f64,
        /// Where it starts, in degrees from the x axis.
        start: f64,
        /// How far it goes, in degrees; positive.
        sweep: f64,
    },
    /// Words on one line.
    Text {
        /// Its place on the base line.
        at: Point,
        /// Size of the type, in millimetres.
        size: f64,
        /// Turned counterclockwise, in degrees.
        turn: f64,
        /// What is at the place.
        anchor: Anchor,
        /// The words; data, never markup.
        text: String,
    },
}

/// A shape on its layer.
#[derive(Debug, Clone, PartialEq)]
pub struct Shape {
    /// What it is for.
    pub layer: Layer,
    /// Lines or words, in millimetres.
    pub form: Form,
    /// What it tells who points at it; empty for nothing.
    pub told: String,
}

/// One shape at full size with what has to be said about it.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Sheet {
    /// Name for the file: `cope`, `front-left-strip`.
    pub name: String,
    /// What it is, for people.
    pub title: String,
    /// For readers who do not see it.
    pub alt: String,
    /// How to use it, most important first.
    pub notes: Vec<String>,
    /// What the numbers are: `angle 45.0°`, shown and already rounded.
    pub numbers: Vec<String>,
    /// Where the numbers come from.
    pub sources: Vec<String>,
    /// Whose it is: the traveler, or that it is of none.
    pub origin: String,
    /// In the order they were added; their lengths are millimetres of the work.
    pub shapes: Vec<Shape>,
}

/// The least upright rectangle round something.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Extent {
    /// Lower left corner.
    pub low: Point,
    /// Upper right corner.
    pub high: Point,
}

impl Extent {
    /// Holds nothing yet.
    pub const NONE: Extent = Extent {
        low: Point::new(f64::INFINITY, f64::INFINITY),
        high: Point::new(f64::NEG_INFINITY, f64::NEG_INFINITY),
    };

    /// Takes in a place.
    pub fn take(&mut self, p: Point) {
        self.low = Point::new(self.low.x.min(p.x), self.low.y.min(p.y));
        self.high = Point::new(self.high.x.max(p.x), self.high.y.max(p.y));
    }

    /// Whether another is nearer than `gap`.
    #[must_use]
    pub fn touches(&self, other: &Extent, gap: f64) -> bool {
        self.low.x < other.high.x + gap
            && other.low.x < self.high.x + gap
            && self.low.y < other.high.y + gap
            && other.low.y < self.high.y + gap
    }

    /// Along x, in millimetres; zero if it holds nothing.
    #[must_use]
    pub fn width(&self) -> f64 {
        (self.high.x - self.low.x).max(0.0)
    }

    /// Along y, in millimetres; zero if it holds nothing.
    #[must_use]
    pub fn height(&self) -> f64 {
        (self.high.y - self.low.y).max(0.0)
    }
}

/// Least distance between words, in millimetres.
const WORD_GAP: f64 = 0.3;
/// Farthest words are moved to be read apart, in millimetres.
const FARTHEST: f64 = 14.0;

/// Ways to move words, the shortest first.
fn shifts() -> impl Iterator<Item = Point> {
    let steps = (1_u32..).map(f64::from).take_while(|n| *n <= FARTHEST);
    std::iter::once(Point::default()).chain(steps.flat_map(|n| {
        [(0.0, n), (0.0, -n), (n, 0.0), (-n, 0.0), (n, n), (n, -n), (-n, n), (-n, -n)]
            .map(|(x, y)| Point::new(x, y))
    }))
}

/// Widths of letters are not known here; this share of the type size a letter
/// is never exceeded by much in the type pages are set in.
pub const LETTER: f64 = 0.62;

/// A count as a number to reckon places with.
#[must_use]
pub fn count(of: usize) -> f64 {
    f64::from(u32::try_from(of).unwrap_or(u32::MAX))
}

impl Shape {
    /// The rectangle it needs; for words a generous guess.
    #[must_use]
    pub fn extent(&self) -> Extent {
        let mut extent = Extent::NONE;
        match &self.form {
            Form::Line { from, to } => [*from, *to].into_iter().for_each(|p| extent.take(p)),
            Form::Path { points, .. } => points.iter().for_each(|p| extent.take(*p)),
            Form::Circle { centre, radius } => {
                extent.take(centre.plus(Point::new(-radius, -radius)));
                extent.take(centre.plus(Point::new(*radius, *radius)));
            }
            Form::Arc { centre, radius, start, sweep } => {
                curve::arc(*centre, *radius, *start, *sweep).into_iter().for_each(|p| extent.take(p));
            }
            Form::Text { at, size, turn, anchor, text } => {
                let wide = LETTER * size * count(text.chars().count());
                let left = match anchor {
                    Anchor::Start => 0.0,
                    Anchor::Middle => -wide / 2.0,
                    Anchor::End => -wide,
                };
                for (x, y) in [(left, -0.3), (left + wide, -0.3), (left, 0.8), (left + wide, 0.8)] {
                    let along = curve::toward(*turn, x);
                    let up = curve::toward(*turn + 90.0, y * size);
                    extent.take(at.plus(along).plus(up));
                }
            }
        }
        extent
    }

    /// The lines it is drawn with: circles and arcs to within
    /// [`curve::CHORD`]; none for words. True if they return to their start.
    #[must_use]
    pub fn lines(&self) -> Option<(Vec<Point>, bool)> {
        match &self.form {
            Form::Line { from, to } => Some((vec![*from, *to], false)),
            Form::Path { points, closed } => Some((points.clone(), *closed)),
            Form::Circle { centre, radius } => {
                let mut points = curve::arc(*centre, *radius, 0.0, 360.0);
                points.pop();
                Some((points, true))
            }
            Form::Arc { centre, radius, start, sweep } => {
                Some((curve::arc(*centre, *radius, *start, *sweep), false))
            }
            Form::Text { .. } => None,
        }
    }

    fn moved(&self, by: Point) -> Self {
        let mut shape = self.clone();
        match &mut shape.form {
            Form::Line { from, to } => {
                *from = from.plus(by);
                *to = to.plus(by);
            }
            Form::Path { points, .. } => points.iter_mut().for_each(|p| *p = p.plus(by)),
            Form::Circle { centre, .. } | Form::Arc { centre, .. } => *centre = centre.plus(by),
            Form::Text { at, .. } => *at = at.plus(by),
        }
        shape
    }
}

impl Sheet {
    fn push(&mut self, layer: Layer, form: Form) {
        self.shapes.push(Shape { layer, form, told: String::new() });
    }

    /// What the last shape tells who points at it.
    pub fn tell(&mut self, words: String) {
        if let Some(last) = self.shapes.last_mut() {
            last.told = words;
        }
    }

    /// The layers it has: those of every sheet, and of the others those in use.
    #[must_use]
    pub fn layers(&self) -> Vec<Layer> {
        let used = |layer: &Layer| self.shapes.iter().any(|s| s.layer == *layer);
        Layer::SHEET.into_iter().chain(Layer::PICTURE.into_iter().filter(used)).collect()
    }

    /// A straight line.
    pub fn line(&mut self, layer: Layer, from: Point, to: Point) {
        self.push(layer, Form::Line { from, to });
    }

    /// Lines from point to point.
    pub fn path(&mut self, layer: Layer, points: Vec<Point>, closed: bool) {
        self.push(layer, Form::Path { points, closed });
    }

    /// An upright rectangle.
    pub fn rectangle(&mut self, layer: Layer, low: Point, high: Point) {
        let points = vec![low, Point::new(high.x, low.y), high, Point::new(low.x, high.y)];
        self.path(layer, points, true);
    }

    /// Adds a full turn about `centre`; `radius` in millimetres.
    pub fn circle(&mut self, layer: Layer, centre: Point, radius: f64) {
        self.push(layer, Form::Circle { centre, radius });
    }

    /// An arc from `start`, counterclockwise over `sweep`, in degrees.
    pub fn arc(&mut self, layer: Layer, centre: Point, radius: f64, (start, sweep): (f64, f64)) {
        self.push(layer, Form::Arc { centre, radius, start, sweep });
    }

    /// Words that start at a place.
    pub fn words(&mut self, at: Point, size: f64, text: impl Into<String>) {
        self.text(at, size, 0.0, Anchor::Start, text);
    }

    /// Adds words on the layer for words; `size` in millimetres, `turn` in degrees.
    pub fn text(&mut self, at: Point, size: f64, turn: f64, anchor: Anchor, text: impl Into<String>) {
        self.put(Layer::Text, at, size, turn, anchor, text);
    }

    /// Words that start at a place, on a layer of their own.
    pub fn words_on(&mut self, layer: Layer, at: Point, size: f64, text: impl Into<String>) {
        self.put(layer, at, size, 0.0, Anchor::Start, text);
    }

    /// Words on a layer.
    pub fn put(
        &mut self,
        layer: Layer,
        at: Point,
        size: f64,
        turn: f64,
        anchor: Anchor,
        text: impl Into<String>,
    ) {
        self.push(layer, Form::Text { at, size, turn, anchor, text: text.into() });
    }

    /// A cross to punch the centre on.
    pub fn cross(&mut self, at: Point, reach: f64) {
        self.line(Layer::Centre, at.plus(Point::new(-reach, 0.0)), at.plus(Point::new(reach, 0.0)));
        self.line(Layer::Centre, at.plus(Point::new(0.0, -reach)), at.plus(Point::new(0.0, reach)));
    }

    /// A hole: its edge, and a cross that reaches beyond it.
    pub fn hole(&mut self, at: Point, diameter: f64) {
        self.circle(Layer::Cut, at, diameter / 2.0);
        self.cross(at, diameter / 2.0 + 3.0);
    }

    /// An arrow whose head is at its end.
    pub fn arrow(&mut self, layer: Layer, from: Point, to: Point) {
        self.line(layer, from, to);
        let back = libm::atan2(from.y - to.y, from.x - to.x).to_degrees();
        let barb = |side: f64| to.plus(curve::toward(back + side, 2.4));
        self.path(layer, vec![barb(20.0), to, barb(-20.0)], false);
    }

    /// A place to stay away from: its edge, and lines across.
    pub fn keep_out(&mut self, edge: Vec<Point>) {
        for (from, to) in hatch::across(&edge, 3.0) {
            self.line(Layer::KeepOut, from, to);
        }
        self.path(Layer::KeepOut, edge, true);
    }

    /// Moves words that touch words placed before them to the nearest free place,
    /// across or along; what finds none goes to the notes, so that nothing is lost
    /// and nothing is printed twice over.
    pub fn settle(&mut self) {
        let mut taken: Vec<Extent> = Vec::new();
        let mut lost: Vec<String> = Vec::new();
        let mut kept = Vec::with_capacity(self.shapes.len());
        for shape in std::mem::take(&mut self.shapes) {
            let Form::Text { text, .. } = &shape.form else {
                kept.push(shape);
                continue;
            };
            let free = shifts().map(|by| shape.moved(by)).find(|moved| {
                let extent = moved.extent();
                taken.iter().all(|other| !extent.touches(other, WORD_GAP))
            });
            match free {
                Some(moved) => {
                    taken.push(moved.extent());
                    kept.push(moved);
                }
                None if lost.contains(text) => {}
                None => lost.push(text.clone()),
            }
        }
        self.shapes = kept;
        if !lost.is_empty() {
            self.notes.push(format!("No room on the shape for: {}.", lost.join("; ")));
        }
    }

    /// The rectangle round all shapes.
    #[must_use]
    pub fn extent(&self) -> Extent {
        let mut all = Extent::NONE;
        for shape in &self.shapes {
            let one = shape.extent();
            all.take(one.low);
            all.take(one.high);
        }
        all
    }

    /// The shapes alone, their lower left corner so far from both axes.
    #[must_use]
    pub fn at_margin(&self, margin: f64) -> Sheet {
        let low = self.extent().low;
        let by = if low.x.is_finite() && low.y.is_finite() {
            Point::new(margin - low.x, margin - low.y)
        } else {
            Point::default()
        };
        Sheet { shapes: self.shapes.iter().map(|s| s.moved(by)).collect(), ..self.clone() }
    }

    /// The sheet for a plotter or a cutting table: the shapes with their lower
    /// left corner at the margin, the scale bars and the words below them.
    #[must_use]
    pub fn with_bars(&self) -> Sheet {
        const MARGIN: f64 = 10.0;
        let extent = self.extent();
        let base = 64.0;
        let by = Point::new(MARGIN + 20.0 - extent.low.x, MARGIN + base - extent.low.y);
        let mut sheet = Sheet { shapes: self.shapes.iter().map(|s| s.moved(by)).collect(), ..self.clone() };
        let upper = MARGIN + base + extent.height();
        sheet.words(Point::new(MARGIN, upper + 12.0), 5.0, self.title.clone());
        sheet.words(Point::new(MARGIN, upper + 6.0), 3.0, self.origin.clone());
        scale::across(&mut sheet, Point::new(MARGIN + 20.0, MARGIN + 44.0));
        scale::along(&mut sheet, Point::new(MARGIN + 6.0, MARGIN + 44.0));
        let mut lines = vec![scale::VOID.to_owned()];
        lines.extend(self.notes.iter().cloned());
        lines.extend(self.sources.iter().map(|s| format!("Source: {s}")));
        for (i, line) in (0_u32..).zip(lines.iter().take(9)) {
            sheet.words(Point::new(MARGIN + 20.0, MARGIN + 32.0 - 4.0 * f64::from(i)), 2.6, line.clone());
        }
        sheet
    }
}
