//! Strips and templates wrapped round a tube, seen from outside: x goes round
//! it, y along it.

use super::{maybe, shown, size, sizes, word};
use crate::figure::geometry::cope::CopeCut;
use crate::figure::geometry::mitre::Mitre;
use crate::figure::geometry::wrap_strip::WrapStrip;
use crate::figure::{Figure, Given, Reads, Trouble};
use crate::quantity::{Angle, Dimensioned, unit};
use crate::shape::{Anchor, LETTER, Layer, Point, Sheet, count, curve};
use crate::term::Units;

/// Paper beyond the shortest line of a cut, so that it can be taped on.
const HELD: f64 = 30.0;
/// Parts of a full turn that are looked at apart; corners of a full saddle lie
/// at its quarters.
const PIECES: u32 = 48;

pub(super) fn cope(given: &Given, figures: &[Figure], _: Units, sheet: &mut Sheet) -> Result<(), Trouble> {
    let (_, _, cope) = CopeCut::of(given)?;
    let reach = |turn: f64| cope.reach(Angle::of(360.0 * turn, unit::DEG)).to(unit::MM);
    let names = ["acute side, 0", "90", "180", "270", "acute side, 360"];
    wrapped(sheet, size(figures, "girth")?, &reach, names);
    sheet.notes.extend([
        "Cut out along the curve, wrap round the branch with the curve toward the run and the 0 line on the acute side; the ends meet on it.".to_owned(),
        format!("Cut square through the wall. Touches first: {}.", word(figures, "touches").unwrap_or_default()),
        "The 90 line is a quarter turn to the right, seen from outside with the cope up; a positive offset moves the branch that way.".to_owned(),
        "Weld bevel and root gap are not in the curve; add them as the welding procedure says.".to_owned(),
    ]);
    Ok(())
}

pub(super) fn mitre(given: &Given, figures: &[Figure], _: Units, sheet: &mut Sheet) -> Result<(), Trouble> {
    let (_, plane) = Mitre::of(given)?;
    let reach = |turn: f64| plane.reach(Angle::of(360.0 * turn, unit::DEG)).to(unit::MM);
    let names = ["longest, 0", "90", "shortest, 180", "270", "longest, 360"];
    wrapped(sheet, size(figures, "girth")?, &reach, names);
    sheet.notes.extend([
        "Cut out along the curve and wrap; the ends meet on the longest line. Both tubes take the same template.".to_owned(),
        format!("Touches first: {}.", word(figures, "touches").unwrap_or_default()),
    ]);
    Ok(())
}

/// A template with a curved edge above and a straight one below.
fn wrapped(sheet: &mut Sheet, girth: f64, reach: &dyn Fn(f64) -> f64, names: [&str; 5]) {
    let curve = curve::sample(&|turn| Point::new(girth * turn, reach(turn)), 0.0, 1.0, PIECES);
    let low = curve.iter().map(|p| p.y).fold(f64::INFINITY, f64::min) - HELD;
    let curve: Vec<Point> = curve.into_iter().map(|p| Point::new(p.x, p.y - low)).collect();
    for (quarter, name) in (0_u32..).zip(names) {
        let turn = f64::from(quarter) / 4.0;
        let (x, top) = (girth * turn, reach(turn) - low);
        if quarter > 0 && quarter < 4 {
            sheet.line(Layer::Centre, Point::new(x, 0.0), Point::new(x, top));
        }
        let (aside, anchor) = if quarter == 4 { (-1.0, Anchor::End) } else { (1.0, Anchor::Start) };
        sheet.text(Point::new(x + aside, 3.0), 3.0, 0.0, anchor, format!("{name}°"));
    }
    for tenth in 0..24 {
        let turn = f64::from(tenth) / 24.0;
        sheet.line(Layer::Mark, Point::new(girth * turn, 0.0), Point::new(girth * turn, 2.0));
    }
    sheet.text(Point::new(girth / 8.0, HELD / 2.0), 3.0, 0.0, Anchor::Middle, "tube: keep");
    sheet.text(Point::new(girth * 0.625, HELD / 2.0), 3.0, 0.0, Anchor::Middle, "lower edge square");
    let mut edge = curve;
    edge.push(Point::new(girth, 0.0));
    edge.push(Point::new(0.0, 0.0));
    sheet.path(Layer::Cut, edge, true);
}

pub(super) fn division(_: &Given, figures: &[Figure], _: Units, sheet: &mut Sheet) -> Result<(), Trouble> {
    const HIGH: f64 = 30.0;
    let length = size(figures, "length")?;
    sheet.rectangle(Layer::Cut, Point::new(0.0, 0.0), Point::new(length, HIGH));
    for (number, x) in (1_u32..).zip(sizes(figures, "mark")) {
        sheet.line(Layer::Mark, Point::new(x, 0.0), Point::new(x, HIGH));
        sheet.words(Point::new(x + 1.0, HIGH - 5.0), 4.0, number.to_string());
    }
    sheet.notes.push(
        "Cut to length, wrap, and see that the ends meet without gap or lap; then mark at each line."
            .to_owned(),
    );
    Ok(())
}

pub(super) fn strip(
    given: &Given,
    figures: &[Figure],
    units: Units,
    sheet: &mut Sheet,
) -> Result<(), Trouble> {
    let read = WrapStrip::read(given)?;
    let (length, high) = (size(figures, "length")?, size(figures, "width")?);
    let cut = high - size(figures, "cut_line")?;
    let top = length / 2.0;
    let front = if word(figures, "front") == Some("left") { -1.0 } else { 1.0 };
    sheet.rectangle(Layer::Cut, Point::new(0.0, 0.0), Point::new(length, high));
    sheet.line(Layer::Cut, Point::new(0.0, cut), Point::new(length, cut));
    sheet.words(Point::new(7.0, cut - 3.6), 2.8, "cut line");
    index_lines(sheet, length, high, front);
    // From the wheel end's side of the cut line up the seam weld follows.
    let weld = (high - cut) * 0.45;
    sheet.keep_out(vec![
        Point::new(0.0, high - weld),
        Point::new(length, high - weld),
        Point::new(length, high),
        Point::new(0.0, high),
    ]);
    sheet.words(Point::new(0.0, high + 1.5), 2.8, "this edge on the edge of the seam weld");
    wall_places(sheet, length, cut, read.readings.si());
    if let Some(seam) = maybe(figures, "seam_at") {
        let free = size(figures, "seam_free")?;
        seam_of_tube(sheet, length, cut, (top + seam).rem_euclid(length), free);
    }
    if let Some(arc) = maybe(figures, "arc") {
        turn(
            sheet,
            (top, cut, arc),
            length / 4.0,
            word(figures, "toward").unwrap_or("stays"),
            &shown(figures, units, "arc"),
        );
    }
    sheet.title = format!("Wrap strip, {} side", read.side.word());
    let far = if front > 0.0 { "right" } else { "left" };
    sheet.notes.extend([
        format!("Seen from outside with the wheel end up: at the top line the front of the unit is to the {far}. Wrap so that the ends meet at the bottom."),
        "Before the cut, carry the top line over the cut line onto knuckle and tube. After the cut, turn the knuckle until its line meets the arrow's head on the tube; then set the angle with the finder, which decides.".to_owned(),
        "Hatched: weld or seam, keep out. The ends must meet without gap or lap; if they don't, measure the tube again.".to_owned(),
    ]);
    Ok(())
}

/// Lines at top, front, bottom and rear; the strip opens at the bottom.
fn index_lines(sheet: &mut Sheet, length: f64, high: f64, front: f64) {
    let places = [(0.5, "TOP"), (0.5 + 0.25 * front, "FRONT"), (0.5 - 0.25 * front, "REAR")];
    for (share, name) in places {
        let x = length * share;
        sheet.line(Layer::Centre, Point::new(x, 0.0), Point::new(x, high));
        sheet.words(Point::new(x + 1.2, 2.0), 3.6, name);
    }
    sheet.words(Point::new(1.2, 2.0), 3.6, "BOTTOM");
    sheet.text(Point::new(length - 1.2, 2.0), 3.6, 0.0, Anchor::End, "BOTTOM");
}

/// Places of wall readings, from the top line on, numbered to the right.
fn wall_places(sheet: &mut Sheet, length: f64, cut: f64, readings: f64) {
    for i in (0_u32..).take_while(|i| f64::from(*i) < readings) {
        let x = (length / 2.0 + length * f64::from(i) / readings) % length;
        let at = Point::new(x, cut);
        sheet.circle(Layer::Mark, at, 2.0);
        sheet.cross(at, 1.2);
        sheet.words(at.plus(Point::new(2.4, 1.2)), 2.8, format!("w{}", i + 1));
    }
}

/// The seam of the tube itself; on both ends of the strip if it lies there.
fn seam_of_tube(sheet: &mut Sheet, length: f64, cut: f64, seam: f64, free: f64) {
    let mut band = |from: f64, to: f64| {
        let (from, to) = (from.max(0.0), to.min(length));
        if to > from {
            let corners = [(from, 8.0), (to, 8.0), (to, cut - 5.0), (from, cut - 5.0)];
            sheet.keep_out(corners.into_iter().map(|(x, y)| Point::new(x, y)).collect());
            // Between the lines across and the cut line: words on hatching are misread.
            sheet.words(Point::new(from + 0.8, cut - 4.3), 2.6, "tube seam");
        }
    };
    band(seam - free, seam + free);
    band(seam - free - length, seam + free - length);
    band(seam - free + length, seam + free + length);
}

/// The turn: an arrow from the top line to where the knuckle's line goes.
fn turn(sheet: &mut Sheet, (top, cut, arc): (f64, f64, f64), quarter: f64, toward: &str, shown: &str) {
    let way = match toward {
        "left" => -1.0,
        "right" => 1.0,
        _ => 0.0,
    };
    let x = top + way * arc;
    let low = (cut - 26.0).max(8.0);
    sheet.line(Layer::Mark, Point::new(x, low), Point::new(x, cut));
    let at = low + 8.0;
    if arc > 4.0 {
        sheet.arrow(Layer::Mark, Point::new(top, at), Point::new(x, at));
    }
    // Left of both lines, so that no joint of two pages cuts the words.
    let place = x.min(top) - 1.5;
    let goes =
        if way == 0.0 { "does not turn".to_owned() } else { format!("goes {toward} {shown}, to here") };
    // What would reach the line a quarter round stands in short lines.
    let room = quarter - (top - place) - 2.0;
    let wide = 3.0 * LETTER * count(goes.chars().count());
    let lines = if wide <= room || way == 0.0 {
        vec![(1.0, "knuckle's top line".to_owned()), (-3.4, goes)]
    } else {
        let parts = [
            "knuckle's top line".to_owned(),
            format!("goes {toward}"),
            shown.to_owned(),
            "to here".to_owned(),
        ];
        [1.0, -2.8, -6.6, -10.4].into_iter().zip(parts).collect()
    };
    for (up, words) in lines {
        sheet.text(Point::new(place, at + up), 3.0, 0.0, Anchor::End, words);
    }
}
