//! Plates laid on the work: outlines, holes, bend lines.

use super::{size, sizes};
use crate::figure::geometry::plate_layout::{BentBracket, DrillPattern, Gusset};
use crate::figure::{Figure, Given, Reads, Trouble};
use crate::quantity::{Dimensioned, unit};
use crate::shape::{Anchor, Layer, Point, Sheet};
use crate::term::Units;

/// The front of the plate is to the right, its length along x.
pub(super) fn drill(given: &Given, _: &[Figure], units: Units, sheet: &mut Sheet) -> Result<(), Trouble> {
    let read = DrillPattern::read(given)?;
    let (long, wide) = (read.length.to(unit::MM) / 2.0, read.width.to(unit::MM) / 2.0);
    sheet.rectangle(Layer::Cut, Point::new(-long, -wide), Point::new(long, wide));
    sheet.line(Layer::Centre, Point::new(-long, 0.0), Point::new(long, 0.0));
    sheet.line(Layer::Centre, Point::new(0.0, -wide), Point::new(0.0, wide));
    if let (Some(hole), Some(along), Some(across)) = (*read.hole, *read.along, *read.across) {
        let (x, y, d) = (along.to(unit::MM) / 2.0, across.to(unit::MM) / 2.0, hole.to(unit::MM));
        for (sx, sy) in [(-1.0, -1.0), (1.0, -1.0), (1.0, 1.0), (-1.0, 1.0)] {
            let at = Point::new(sx * x, sy * y);
            sheet.hole(at, d);
        }
        let text = format!("4 holes {}", units.first(crate::quantity::show::GAUGE).both(hole.into()));
        sheet.words(Point::new(2.0, y - d / 2.0 - 6.0), 3.0, text);
    }
    if let Some(pin) = *read.centre_hole {
        let at = Point::new(read.centre_forward.to(unit::MM), 0.0);
        sheet.hole(at, pin.to(unit::MM));
        let text = format!("centre {}", units.first(crate::quantity::show::GAUGE).both(pin.into()));
        sheet.words(at.plus(Point::new(2.0, -pin.to(unit::MM) / 2.0 - 6.5)), 3.0, text);
    }
    sheet.text(Point::new(long - 2.0, wide - 5.0), 4.0, 0.0, Anchor::End, "FRONT >");
    sheet.notes.push(
        "Lay on the plate, centre-punch through the crosses, take the paper off, measure between the punch marks, then drill."
            .to_owned(),
    );
    Ok(())
}

pub(super) fn gusset(given: &Given, figures: &[Figure], _: Units, sheet: &mut Sheet) -> Result<(), Trouble> {
    let read = Gusset::read(given)?;
    let corners: Vec<Point> =
        sizes(figures, "x").into_iter().zip(sizes(figures, "y")).map(|(x, y)| Point::new(x, y)).collect();
    let middle = corners.iter().fold(Point::default(), |sum, p| sum.plus(*p));
    let count = f64::from(u32::try_from(corners.len().max(1)).unwrap_or(1));
    let text = format!("{}, outline", crate::quantity::show::FINE_ANGLE.both((*read.angle).into()));
    sheet.text(Point::new(middle.x / count, middle.y / count), 3.0, 0.0, Anchor::Middle, text);
    sheet.path(Layer::Cut, corners, true);
    sheet.cross(Point::default(), 3.0);
    sheet.notes.push(
        "The cross is the corner of the members; the first leg lies along the lower edge. Kerf and root gap are not in the outline."
            .to_owned(),
    );
    Ok(())
}

/// Flat, the first leg's end to the left.
pub(super) fn bracket(given: &Given, figures: &[Figure], _: Units, sheet: &mut Sheet) -> Result<(), Trouble> {
    let read = BentBracket::read(given)?;
    let (length, width) = (size(figures, "flat_length")?, read.width.to(unit::MM));
    sheet.rectangle(Layer::Cut, Point::new(0.0, 0.0), Point::new(length, width));
    for (id, layer) in [("bend_start", Layer::Mark), ("bend_line", Layer::Bend), ("bend_end", Layer::Mark)] {
        let x = size(figures, id)?;
        sheet.line(layer, Point::new(x, 0.0), Point::new(x, width));
    }
    let bend = crate::quantity::show::FINE_ANGLE.both((*read.bend).into());
    let x = size(figures, "bend_line")?;
    sheet.text(Point::new(x - 1.0, width / 2.0), 3.0, 90.0, Anchor::Middle, format!("bend {bend}, middle"));
    let holes = sizes(figures, "holes");
    if let Some(hole) = *read.hole {
        for x in holes {
            sheet.hole(Point::new(x, width / 2.0), hole.to(unit::MM));
        }
    }
    sheet.words(Point::new(2.0, 2.0), 3.0, "first leg");
    sheet.text(Point::new(length - 2.0, 2.0), 3.0, 0.0, Anchor::End, "second leg");
    sheet.notes.push(
        "Bend with its middle on the dashed line; the lines beside it are where the bend starts and ends. This face is the outside."
            .to_owned(),
    );
    Ok(())
}
