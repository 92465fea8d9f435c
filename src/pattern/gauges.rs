//! Gauges held against the work, and the side of a wedge.

use super::{maybe, shown, size, word};
use crate::figure::geometry::plate_layout::AngleGauge;
use crate::figure::geometry::taper_shim::TaperShim;
use crate::figure::{Figure, Given, Reads, Trouble};
use crate::quantity::{Dimensioned, unit};
use crate::shape::{Anchor, Layer, Point, Sheet, curve};
use crate::term::Units;

/// The angle is between the right-hand edge of the lower leg and the upper one.
pub(super) fn gauge(
    given: &Given,
    figures: &[Figure],
    units: Units,
    sheet: &mut Sheet,
) -> Result<(), Trouble> {
    let read = AngleGauge::read(given)?;
    let (degrees, leg) = (read.angle.to(unit::DEG), read.leg.to(unit::MM));
    let end = curve::toward(degrees, leg);
    sheet.path(Layer::Cut, vec![Point::default(), Point::new(leg, 0.0), end], true);
    let radius = leg * 0.45;
    sheet.arc(Layer::Mark, Point::default(), radius, (0.0, degrees));
    let label = curve::toward(degrees / 2.0, leg * 0.62);
    sheet.text(
        label,
        3.6,
        if degrees < 90.0 { degrees / 2.0 } else { 0.0 },
        Anchor::Middle,
        shown(figures, units, "angle"),
    );
    sheet.notes.extend([
        "Glue on card or sheet metal and cut along the lines. Check: straight across the ends of the legs as stated below.".to_owned(),
        "A gauge shows the angle; the finder or the reading the traveler asks for decides.".to_owned(),
    ]);
    Ok(())
}

pub(super) fn shim(
    given: &Given,
    figures: &[Figure],
    units: Units,
    sheet: &mut Sheet,
) -> Result<(), Trouble> {
    let read = TaperShim::read(given)?;
    let (long, rise) = (read.length.to(unit::MM), size(figures, "difference")?);
    let thin = read.thin_end.map_or(0.0, |t| t.to(unit::MM));
    let mut side = vec![Point::default(), Point::new(long, 0.0), Point::new(long, thin + rise)];
    if maybe(figures, "thick_end").is_some() {
        side.push(Point::new(0.0, thin));
    }
    sheet.path(Layer::Cut, side, true);
    sheet.words(Point::new(2.0, -5.0), 3.0, "thin end");
    sheet.text(Point::new(long - 2.0, -5.0), 3.0, 0.0, Anchor::End, "thick end");
    sheet.text(Point::new(long / 2.0, -5.0), 3.6, 0.0, Anchor::Middle, shown(figures, units, "angle"));
    if let Some(toward) = word(figures, "thick_toward") {
        sheet.text(Point::new(long - 2.0, -10.0), 3.0, 0.0, Anchor::End, format!("points {toward}"));
    }
    sheet.notes.push("Side of the wedge, as long as the shim along the spring. Machine it; don't stack shims, and never weld one to a spring.".to_owned());
    Ok(())
}
