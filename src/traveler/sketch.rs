//! Sketches beside the boxes: where a finder stands, where a ruler touches,
//! which way a sign counts. As wide as the column beside a narrow table.
//!
//! An angle the job has is drawn at its size; without one the sketch shows the
//! positive sense. Lengths are not to scale.

mod body;
mod clamp;

use crate::quantity::show::{ANGLE, LENGTH};
use crate::quantity::{Angle, Dimensioned, Length, unit};
pub use crate::term::Sketch;
use crate::term::Units;

use super::document::Captioned;
use super::drawing::{Canvas, Drawing, Path, Pen, Segment, Spot};
use super::end_view::{EndView, small_end_view};
pub(crate) use clamp::order;

/// Width of a sketch, and of the column it stands in, sheet millimetres.
pub const WIDE: f64 = 52.0;

/// What a job knows of what a sketch shows.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Values {
    /// Caster, top rearward positive.
    pub caster: Option<Angle>,
    /// Lean of the kingpin when the caster is read before the cut.
    pub lean: Option<Angle>,
    /// Kingpin inclination, top inboard positive.
    pub inclination: Option<Angle>,
    /// Camber, top outboard positive.
    pub camber: Option<Angle>,
    /// Pinion angle, nose up positive.
    pub pinion: Option<Angle>,
    /// The axle points its pinion to the front: a rear axle.
    pub pinion_ahead: bool,
    /// Shackle angle from the vertical, lower eye away from the axle positive.
    pub shackle: Option<Angle>,
    /// Greatest depth of the groove.
    pub depth: Option<Length>,
    /// From the cut line to the seam weld.
    pub offset: Option<Length>,
    /// The knuckle as it is turned.
    pub knuckle: Option<EndView>,
    /// Places of the nuts of a U-bolt plate in the order they are tightened, 0 behind the
    /// last; none where the order is another than that of U-bolts.
    pub nuts: Option<[usize; 4]>,
    /// SI stands first, not inches.
    pub metric: bool,
}

impl Values {
    /// Whether a sketch would show a number of the job.
    #[must_use]
    pub fn tell(&self, sketch: Sketch) -> bool {
        match sketch {
            Sketch::Caster => self.caster.is_some(),
            Sketch::Pinion => self.pinion.is_some(),
            Sketch::Shackle => self.shackle.is_some(),
            Sketch::Groove => self.depth.is_some(),
            Sketch::Knuckle => self.knuckle.is_some(),
            Sketch::UBolts => self.nuts.is_some(),
            _ => true,
        }
    }
}

/// A sketch in the making.
pub(crate) struct Sheet {
    pub(crate) canvas: Canvas,
    said: Vec<String>,
}

impl Sheet {
    fn new(high: f64) -> Self {
        Self { canvas: Canvas::new(Spot::new(WIDE, high)), said: Vec::new() }
    }

    /// A label in the direction of so many degrees from its place, counter-clockwise.
    pub(crate) fn say(&mut self, at: Spot, toward: f64, text: impl Into<String>, strong: bool) {
        let text = text.into();
        self.canvas.label(at, degrees(toward), text.clone(), strong);
        self.said.push(text);
    }

    pub(crate) fn line(&mut self, points: &[(f64, f64)], pen: Pen) {
        let spots: Vec<Spot> = points.iter().map(|(x, y)| Spot::new(*x, *y)).collect();
        self.canvas.line(&spots, pen);
    }

    pub(crate) fn outline(&mut self, points: &[(f64, f64)], pen: Pen) {
        let spots: Vec<Spot> = points.iter().map(|(x, y)| Spot::new(*x, *y)).collect();
        self.canvas.outline(&spots, pen);
    }

    /// A word whose place is its meaning: it is not moved.
    pub(crate) fn stand(&mut self, middle: Spot, text: impl Into<String>, strong: bool) {
        let text = text.into();
        self.canvas.text(middle, text.clone(), strong);
        self.said.push(text);
    }

    /// A line from one place towards another, with a head at its end; it keeps off both
    /// by so much.
    pub(crate) fn arrow(&mut self, from: Spot, to: Spot, off: f64) {
        let heading = crate::quantity::math::atan2(from.y - to.y, to.x - from.x);
        let (start, tip) = (from.toward(heading, off), to.toward(heading, -off));
        self.canvas.line(&[start, tip], Pen::THIN);
        self.canvas.arrow_head(tip, heading);
    }

    /// A dimension between two places, with a head at each end.
    pub(crate) fn measure(&mut self, a: (f64, f64), b: (f64, f64)) {
        let (a, b) = (Spot::new(a.0, a.1), Spot::new(b.0, b.1));
        self.canvas.line(&[a, b], Pen::THIN);
        let heading = crate::quantity::math::atan2(a.y - b.y, b.x - a.x);
        self.canvas.arrow_head(b, heading);
        self.canvas.arrow_head(a, Angle::from_si(heading.si() + std::f64::consts::PI));
    }

    /// An arc with a head at its end.
    pub(crate) fn turn(&mut self, centre: Spot, radius: f64, from: f64, to: f64) {
        self.canvas.arc(centre, radius, (degrees(from), degrees(to)), Pen::THIN);
        let ahead = if to > from { 90.0 } else { -90.0 };
        if (to - from).abs() * radius > 120.0 {
            self.canvas.arrow_head(centre.toward(degrees(to), radius), degrees(to + ahead));
        }
    }
}

pub(crate) fn degrees(turn: f64) -> Angle {
    Angle::of(turn, unit::DEG)
}

/// An angle to draw: the job's in degrees, kept on the sheet, or an example of
/// the positive sense; and its words.
pub(crate) fn shown(value: Option<Angle>, example: f64, name: &str) -> (f64, String) {
    match value {
        Some(angle) => {
            (angle.to(unit::DEG).clamp(-60.0, 60.0), format!("{name} {}", ANGLE.shop(angle.into())))
        }
        None => (example, format!("+ {name}")),
    }
}

/// A length in words, if the job has it.
pub(crate) fn length(value: Option<Length>, name: &str, metric: bool) -> String {
    let units = if metric { Units::Metric } else { Units::Inch };
    value.map_or_else(|| name.to_owned(), |l| format!("{name} {}", units.first(LENGTH.down()).shop(l.into())))
}

/// At the values of the job; what is not known is drawn as an example.
#[must_use]
pub fn draw(sketch: Sketch, values: &Values) -> Captioned {
    if let (Sketch::Knuckle, Some(view)) = (sketch, &values.knuckle) {
        return numbered(sketch, small_end_view(view));
    }
    let mut sheet = Sheet::new(body::height(sketch));
    let caption = body::draw(&mut sheet, sketch, values);
    let alt = format!("{caption} {}.", sheet.said.join("; "));
    numbered(sketch, Captioned { caption, drawing: sheet.canvas.finish(alt) })
}

fn numbered(sketch: Sketch, mut one: Captioned) -> Captioned {
    one.caption = format!("Sketch {}. {}", sketch.number(), one.caption);
    one.drawing = trimmed(one.drawing);
    one
}

/// Without the empty room over and under what is drawn.
fn trimmed(mut drawing: Drawing) -> Drawing {
    const AIR: f64 = 0.8;
    let ends = |p: &Path| {
        let on = p.segments.iter().flat_map(|s| match s {
            Segment::Line { to } => vec![to.y],
            // A curve stays within its control points.
            Segment::Curve { leave, arrive, to } => vec![leave.y, arrive.y, to.y],
        });
        on.chain([p.start.y]).collect::<Vec<f64>>()
    };
    let drawn = drawing.paths.iter().flat_map(ends);
    let said = drawing.labels.iter().flat_map(|l| [l.at.y, l.at.y + l.size.y]);
    let (top, bottom) = drawn
        .chain(said)
        .fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), y| (low.min(y), high.max(y)));
    let (top, bottom) = ((top - AIR).max(0.0), (bottom + AIR).min(drawing.size.y));
    // Nothing drawn leaves the ends where they started.
    if top >= bottom {
        return drawing;
    }
    let up = |spot: &mut Spot| spot.y -= top;
    for path in &mut drawing.paths {
        up(&mut path.start);
        for segment in &mut path.segments {
            match segment {
                Segment::Line { to } => up(to),
                Segment::Curve { leave, arrive, to } => {
                    up(leave);
                    up(arrive);
                    up(to);
                }
            }
        }
    }
    drawing.labels.iter_mut().for_each(|l| up(&mut l.at));
    drawing.size.y = bottom - top;
    drawing
}
