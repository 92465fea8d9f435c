//! Drawings in sheet millimetres: x to the right, y down, origin at the top
//! left corner.
//!
//! A [`Canvas`] collects paths and wishes for labels; [`Canvas::finish`] finds
//! a place for every label where it touches no other label and, if there is
//! such a place, no line. A label without a place goes to the notes under the
//! drawing, so nothing is lost.

use serde::{Deserialize, Deserializer, Serialize, Serializer};

use crate::quantity::{Angle, Dimensioned, Length, math, unit};

/// A place on the sheet, or a direction, in sheet millimetres.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Spot {
    /// To the right.
    pub x: f64,
    /// Down.
    pub y: f64,
}

impl Spot {
    /// A place.
    #[must_use]
    pub const fn new(x: f64, y: f64) -> Self {
        Self { x, y }
    }

    /// The place `reach` away in the direction of `angle`, counted from the x
    /// axis, positive counterclockwise as seen on the sheet.
    #[must_use]
    pub fn toward(self, angle: Angle, reach: f64) -> Self {
        Self::new(self.x + reach * math::cos(angle), self.y - reach * math::sin(angle))
    }
}

impl Serialize for Spot {
    /// As `[x, y]`, to a ten-thousandth of a millimetre; what is not finite
    /// becomes 0, because a sheet has no such place.
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        let fine = |v: f64| if v.is_finite() { (v * 1e4).round() / 1e4 + 0.0 } else { 0.0 };
        [fine(self.x), fine(self.y)].serialize(serializer)
    }
}

impl<'de> Deserialize<'de> for Spot {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        <[f64; 2]>::deserialize(deserializer).map(|[x, y]| Self { x, y })
    }
}

/// Width of a line.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Weight {
    /// Reference lines, leaders, dimensions.
    Thin,
    /// Outlines.
    #[default]
    Medium,
    /// What is planned: the line a person must find first.
    Heavy,
}

/// How a line is drawn.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Dash {
    /// As it will be.
    #[default]
    Solid,
    /// As it was.
    Dashed,
    /// Centre and reference lines.
    Chain,
}

/// How a line looks.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Pen {
    /// How wide it is: the heavier, the sooner a person finds it.
    pub weight: Weight,
    /// Whether it is as planned, as found or a reference line.
    pub dash: Dash,
}

impl Pen {
    /// Outlines that stay.
    pub const OUTLINE: Pen = Pen { weight: Weight::Medium, dash: Dash::Solid };
    /// As it was.
    pub const BEFORE: Pen = Pen { weight: Weight::Medium, dash: Dash::Dashed };
    /// As it will be.
    pub const AFTER: Pen = Pen { weight: Weight::Heavy, dash: Dash::Solid };
    /// Centre and reference lines.
    pub const REFERENCE: Pen = Pen { weight: Weight::Thin, dash: Dash::Chain };
    /// Dimensions, arcs and leaders.
    pub const THIN: Pen = Pen { weight: Weight::Thin, dash: Dash::Solid };
}

/// A piece of a path.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(tag = "kind", rename_all = "lowercase")]
pub enum Segment {
    /// A straight line.
    Line {
        /// Its end.
        to: Spot,
    },
    /// A cubic Bézier curve.
    Curve {
        /// Control point near the start.
        leave: Spot,
        /// Control point near the end.
        arrive: Spot,
        /// Its end.
        to: Spot,
    },
}

/// A line of straight and curved pieces without a gap.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Path {
    /// Where it starts.
    pub start: Spot,
    /// Each goes on where the one before ends.
    pub segments: Vec<Segment>,
    /// True if it returns to its start.
    pub closed: bool,
    /// True if it is filled black, such as an arrow head.
    pub filled: bool,
    /// Width.
    pub weight: Weight,
    /// Pattern.
    pub dash: Dash,
}

/// A label in its place.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Label {
    /// Upper left corner of its box.
    pub at: Spot,
    /// Width and height of its box.
    pub size: Spot,
    /// Printed in the middle of the box, on white.
    pub text: String,
    /// Printed bold.
    pub strong: bool,
}

/// A finished drawing.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
pub struct Drawing {
    /// Width and height of the sheet area.
    pub size: Spot,
    /// What it shows, in words, for readers that speak.
    pub alt: String,
    /// Paths, drawn in order.
    pub paths: Vec<Path>,
    /// Labels, none touching another.
    pub labels: Vec<Label>,
    /// Labels that found no place, printed under the drawing.
    pub notes: Vec<String>,
}

/// A wish for a label.
#[derive(Debug, Clone, PartialEq)]
struct Wish {
    at: Spot,
    toward: Angle,
    text: String,
    strong: bool,
}

/// A box on the sheet.
#[derive(Debug, Clone, Copy)]
struct Area {
    left: f64,
    top: f64,
    right: f64,
    bottom: f64,
}

impl Area {
    fn touches(self, other: Area, gap: f64) -> bool {
        self.left < other.right + gap
            && other.left < self.right + gap
            && self.top < other.bottom + gap
            && other.top < self.bottom + gap
    }

    /// The point of the box nearest to a place outside it.
    fn nearest(self, spot: Spot) -> Spot {
        Spot::new(spot.x.clamp(self.left, self.right), spot.y.clamp(self.top, self.bottom))
    }

    /// Whether the straight line from `a` to `b` enters the box (Liang and
    /// Barsky's clipping test).
    fn crossed(self, a: Spot, b: Spot) -> bool {
        let (mut enter, mut leave) = (0.0_f64, 1.0_f64);
        let (dx, dy) = (b.x - a.x, b.y - a.y);
        for (along, room) in
            [(-dx, a.x - self.left), (dx, self.right - a.x), (-dy, a.y - self.top), (dy, self.bottom - a.y)]
        {
            if along == 0.0 {
                if room < 0.0 {
                    return false;
                }
            } else {
                let t = room / along;
                if along < 0.0 {
                    enter = enter.max(t);
                } else {
                    leave = leave.min(t);
                }
            }
        }
        enter <= leave
    }
}

/// A label farther than this from its place gets a leader, sheet millimetres.
const LEADER_FROM: f64 = 4.5;
/// Height of a line of label text (8 pt on 10 pt), sheet millimetres.
pub(super) const LINE: f64 = 3.6;
/// Size of label text in points, 72 to the inch.
const POINTS: f64 = 8.0;

/// An upper bound of the width of a label in sheet millimetres, from the
/// advance widths of the embedded face, a little generous.
#[must_use]
pub fn text_width(text: &str) -> f64 {
    let ems: f64 = text
        .chars()
        .map(|c| match c {
            'i' | 'j' | 'l' | 'I' | '.' | ',' | ':' | ';' | '\'' | '|' | '!' | ' ' => 0.34,
            'f' | 'r' | 't' | '(' | ')' | '/' | '-' | '°' | '″' | '"' => 0.46,
            'm' | 'w' | 'M' | 'W' | '%' | '@' | '→' | '…' => 1.0,
            'A'..='Z' | '−' | '+' | '±' | '≥' | '≤' | '=' => 0.76,
            c if c.is_ascii() => 0.66,
            _ => 1.0,
        })
        .sum();
    ems * Length::of(POINTS / 72.0, unit::IN).to(unit::MM) + 0.6
}

/// A drawing in the making.
#[derive(Debug, Clone, Default)]
pub struct Canvas {
    size: Spot,
    paths: Vec<Path>,
    strokes: Vec<(Spot, Spot)>,
    wishes: Vec<Wish>,
    fixed: Vec<Label>,
    heads: Vec<Area>,
}

impl Canvas {
    /// An empty canvas of this width and height.
    #[must_use]
    pub fn new(size: Spot) -> Self {
        Self { size, ..Self::default() }
    }

    /// A line through the points.
    pub fn line(&mut self, points: &[Spot], pen: Pen) {
        self.straight(points, pen, false, false);
    }

    /// A closed outline through the points.
    pub fn outline(&mut self, points: &[Spot], pen: Pen) {
        self.straight(points, pen, true, false);
    }

    fn straight(&mut self, points: &[Spot], pen: Pen, closed: bool, filled: bool) {
        let Some((&start, rest)) = points.split_first() else { return };
        self.strokes.extend(points.windows(2).map(|w| (w[0], w[1])));
        if closed && let Some(&last) = rest.last() {
            self.strokes.push((last, start));
        }
        self.paths.push(Path {
            start,
            segments: rest.iter().map(|&to| Segment::Line { to }).collect(),
            closed,
            filled,
            weight: pen.weight,
            dash: pen.dash,
        });
    }

    /// Draws a full turn about `centre`; `radius` in sheet millimetres.
    pub fn circle(&mut self, centre: Spot, radius: f64, pen: Pen) {
        self.arc(centre, radius, (Angle::from_si(0.0), Angle::from_si(std::f64::consts::TAU)), pen);
    }

    /// An arc about `centre` from the first angle to the second, counted from
    /// the x axis, positive counterclockwise. Drawn with cubics of at most a
    /// twelfth of a turn each, true to a millionth of the radius.
    pub fn arc(&mut self, centre: Spot, radius: f64, (from, to): (Angle, Angle), pen: Pen) {
        let sweep = to.si() - from.si();
        let pieces = (sweep.abs() / (std::f64::consts::TAU / 12.0)).ceil().clamp(1.0, 12.0);
        let step = sweep / pieces;
        let pull = 4.0 / 3.0 * math::tan(Angle::from_si(step / 4.0)) * radius;
        let mut segments = Vec::new();
        let mut angle = from.si();
        let start = centre.toward(from, radius);
        let mut at = start;
        let mut left = pieces;
        while left > 0.5 {
            let next = angle + step;
            let to = centre.toward(Angle::from_si(next), radius);
            let leave = Spot::new(
                at.x - pull * math::sin(Angle::from_si(angle)),
                at.y - pull * math::cos(Angle::from_si(angle)),
            );
            let arrive = Spot::new(
                to.x + pull * math::sin(Angle::from_si(next)),
                to.y + pull * math::cos(Angle::from_si(next)),
            );
            segments.push(Segment::Curve { leave, arrive, to });
            for quarter in [0.0, 0.25, 0.5, 0.75] {
                let along = |part: f64| centre.toward(Angle::from_si(angle + part * step), radius);
                self.strokes.push((along(quarter), along(quarter + 0.25)));
            }
            (at, angle, left) = (to, next, left - 1.0);
        }
        self.paths.push(Path {
            start,
            segments,
            closed: false,
            filled: false,
            weight: pen.weight,
            dash: pen.dash,
        });
    }

    /// A filled arrow head with its tip at `tip`, coming from the direction
    /// opposite to `heading`.
    pub fn arrow_head(&mut self, tip: Spot, heading: Angle) {
        let back = |turn: f64| tip.toward(Angle::from_si(heading.si() + turn), 2.2);
        let points = [tip, back(std::f64::consts::PI - 0.26), back(std::f64::consts::PI + 0.26)];
        self.solid(&points);
    }

    /// A shape filled black; no label covers it.
    pub fn solid(&mut self, points: &[Spot]) {
        let end = |of: fn(&Spot) -> f64, pick: fn(f64, f64) -> f64| points.iter().map(of).reduce(pick);
        if let (Some(left), Some(right), Some(top), Some(bottom)) =
            (end(|s| s.x, f64::min), end(|s| s.x, f64::max), end(|s| s.y, f64::min), end(|s| s.y, f64::max))
        {
            self.heads.push(Area { left, top, right, bottom });
        }
        self.straight(points, Pen::THIN, true, true);
    }

    /// A label whose place is part of its meaning, with its middle at `middle`.
    /// It is not moved; the others keep away from it.
    pub fn text(&mut self, middle: Spot, text: impl Into<String>, strong: bool) {
        let text = text.into();
        let size = Spot::new(text_width(&text), LINE);
        let at = Spot::new(middle.x - size.x / 2.0, middle.y - size.y / 2.0);
        self.fixed.push(Label { at, size, text, strong });
    }

    /// Wishes for a label at `at`, away from it in the direction `toward` if
    /// there is room.
    pub fn label(&mut self, at: Spot, toward: Angle, text: impl Into<String>, strong: bool) {
        self.wishes.push(Wish { at, toward, text: text.into(), strong });
    }

    /// Places the labels.
    #[must_use]
    pub fn finish(self, alt: impl Into<String>) -> Drawing {
        let mut drawing = Drawing { size: self.size, alt: alt.into(), ..Drawing::default() };
        let mut canvas = self;
        let mut taken: Vec<Area> = Vec::new();
        for label in std::mem::take(&mut canvas.fixed) {
            let (left, top) = (label.at.x, label.at.y);
            taken.push(Area { left, top, right: left + label.size.x, bottom: top + label.size.y });
            drawing.labels.push(label);
        }
        for wish in std::mem::take(&mut canvas.wishes) {
            match canvas.place(&wish, &taken) {
                Some((area, reach)) => {
                    taken.push(area);
                    if reach > LEADER_FROM {
                        canvas.line(&[wish.at, area.nearest(wish.at)], Pen::THIN);
                    }
                    drawing.labels.push(Label {
                        at: Spot::new(area.left, area.top),
                        size: Spot::new(area.right - area.left, area.bottom - area.top),
                        text: wish.text.clone(),
                        strong: wish.strong,
                    });
                }
                None => drawing.notes.push(wish.text.clone()),
            }
        }
        drawing.paths = canvas.paths;
        drawing
    }

    /// The best free box for a label: fewest lines crossed, then nearest, then
    /// closest to the wished direction.
    fn place(&self, wish: &Wish, taken: &[Area]) -> Option<(Area, f64)> {
        let (w, h) = (text_width(&wish.text), LINE);
        let mut best: Option<(f64, Area, f64)> = None;
        for (ring, reach) in [1.0, 2.5, 4.0, 6.0, 9.0, 13.0, 18.0, 25.0].into_iter().enumerate() {
            for turn in 0..16_i32 {
                // 0, +1, -1, +2, -2 … sixteenths of a turn away from the wish.
                let sixteenths = if turn % 2 == 1 { (turn + 1) / 2 } else { -turn / 2 };
                let angle =
                    Angle::from_si(wish.toward.si() + f64::from(sixteenths) * std::f64::consts::TAU / 16.0);
                let (c, s) = (math::cos(angle), math::sin(angle));
                let middle = Spot::new(wish.at.x + c * (reach + w / 2.0), wish.at.y - s * (reach + h / 2.0));
                let area = Area {
                    left: middle.x - w / 2.0,
                    right: middle.x + w / 2.0,
                    top: middle.y - h / 2.0,
                    bottom: middle.y + h / 2.0,
                };
                let leader = (reach > LEADER_FROM).then(|| area.nearest(wish.at));
                let inside = area.left >= 0.0
                    && area.top >= 0.0
                    && area.right <= self.size.x
                    && area.bottom <= self.size.y;
                if !inside
                    || self.heads.iter().any(|head| area.touches(*head, 0.2))
                    || taken
                        .iter()
                        .any(|t| area.touches(*t, 0.8) || leader.is_some_and(|end| t.crossed(wish.at, end)))
                {
                    continue;
                }
                let crossed = self.strokes.iter().filter(|(a, b)| area.crossed(*a, *b)).count().min(20);
                #[expect(clippy::cast_precision_loss, reason = "small counts")]
                let cost = crossed as f64 * 10.0 + ring as f64 * 2.0 + f64::from(sixteenths.abs());
                if best.as_ref().is_none_or(|(least, ..)| cost < *least) {
                    best = Some((cost, area, reach));
                }
            }
        }
        best.map(|(_, area, reach)| (area, reach))
    }
}
