//! Hanger and U-bolts: what holds the spring. Places are sheet millimetres, y down.

use super::{Sheet, Values, degrees, shown};
use crate::figure::fastening::sequence;
use crate::traveler::drawing::{Pen, Spot};

/// Places of the nuts over one plate in the order they are tightened, 0 behind the last:
/// front row first, from inboard to outboard, as the figures number them.
#[must_use]
pub(crate) fn order(u_bolts: usize) -> [usize; 4] {
    let mut places = [0; 4];
    places.iter_mut().zip(sequence::rectangle(2, u_bolts.clamp(1, 2))).for_each(|(at, k)| *at = k);
    places
}

/// A tacked hanger with the unit's weight on it.
pub(super) fn hanger(sheet: &mut Sheet, values: &Values) -> String {
    let (lean, text) = shown(values.shackle, 14.0, "finder");
    let pin = Spot::new(25.0, 15.0);
    // The rail, the hanger under it, its tacks in the corners.
    for y in [2.0, 8.0] {
        sheet.line(&[(2.0, y), (50.0, y)], Pen::OUTLINE);
    }
    sheet.outline(&[(18.0, 8.0), (32.0, 8.0), (28.0, 17.5), (22.0, 17.5)], Pen::OUTLINE);
    for (x, aside) in [(18.0, -1.6), (32.0, 1.6)] {
        sheet.canvas.solid(&[Spot::new(x, 8.0), Spot::new(x + aside, 8.0), Spot::new(x + aside / 4.0, 9.8)]);
    }
    sheet.canvas.circle(pin, 1.4, Pen::OUTLINE);
    // The punch mark stays on the rail, the pin hangs under it.
    sheet.line(&[(24.2, 4.2), (25.8, 5.8)], Pen::AFTER);
    sheet.line(&[(24.2, 5.8), (25.8, 4.2)], Pen::AFTER);
    sheet.line(&[(25.0, 5.0), (25.0, 37.0)], Pen::REFERENCE);
    // The axle is at the left: away from it is to the right.
    let eye = pin.toward(degrees(-90.0 + lean), 15.0);
    sheet.canvas.line(&[pin, eye], Pen::OUTLINE);
    sheet.canvas.circle(eye, 1.8, Pen::OUTLINE);
    sheet.canvas.line(&[eye.toward(degrees(195.0), 1.8), Spot::new(2.0, eye.y + 4.0)], Pen::OUTLINE);
    // The finder lies along both pins, on the side away from the axle.
    let aside = |reach: f64, off: f64| pin.toward(degrees(-90.0 + lean), reach).toward(degrees(lean), off);
    sheet.canvas.outline(&[aside(3.5, 1.0), aside(12.0, 1.0), aside(12.0, 3.4), aside(3.5, 3.4)], Pen::AFTER);
    sheet.arrow(Spot::new(46.0, 9.5), Spot::new(46.0, 19.0), 0.0);
    sheet.stand(Spot::new(11.0, 5.0), "punch mark", false);
    sheet.say(Spot::new(32.6, 9.0), -10.0, "tack", false);
    sheet.say(Spot::new(46.0, 19.0), -90.0, "weight on", true);
    sheet.say(aside(9.0, 3.4), 0.0, text, true);
    sheet.say(Spot::new(2.0, eye.y + 3.0), 80.0, "to the axle", false);
    "Hanger tacked and loaded: finder along both pins, plus with the lower eye away from the axle; pin measured from its punch mark.".to_owned()
}

/// Nuts of a plate from below, and one of them from the side.
pub(super) fn u_bolts(sheet: &mut Sheet, values: &Values) -> String {
    let nuts = values.nuts.unwrap_or_else(|| order(2));
    let count = nuts.iter().filter(|n| **n > 0).count();
    let columns = if count > 2 { 2 } else { 1 };
    let place = |k: usize| {
        let (row, column) = ((k - 1) / columns, (k - 1) % columns);
        Spot::new(if columns == 1 { 15.0 } else { [8.0, 22.0][column] }, [5.6, 16.6][row])
    };
    sheet.outline(&[(3.0, 1.4), (27.0, 1.4), (27.0, 20.8), (3.0, 20.8)], Pen::OUTLINE);
    for y in [8.9, 13.3] {
        sheet.line(&[(0.5, y), (29.5, y)], Pen::REFERENCE);
    }
    let turned: Vec<usize> = nuts.into_iter().filter(|n| *n > 0).collect();
    for pair in turned.windows(2) {
        sheet.arrow(place(pair[0]), place(pair[1]), 2.9);
    }
    for k in &turned {
        sheet.canvas.circle(place(*k), 2.7, Pen::AFTER);
        sheet.stand(place(*k), k.to_string(), true);
    }
    sheet.stand(Spot::new(15.0, 4.6), "front", false);
    if columns == 2 {
        sheet.stand(Spot::new(6.4, 23.2), "inboard", false);
        sheet.stand(Spot::new(22.6, 23.2), "outboard", false);
    }
    // From the side: plate, nut, the leg past it, and one stripe over all three.
    sheet.outline(&[(35.0, 16.6), (49.0, 16.6), (49.0, 19.4), (35.0, 19.4)], Pen::OUTLINE);
    sheet.outline(&[(38.2, 11.4), (45.8, 11.4), (45.8, 16.6), (38.2, 16.6)], Pen::OUTLINE);
    sheet.line(&[(40.4, 11.4), (40.4, 4.8), (43.6, 4.8), (43.6, 11.4)], Pen::OUTLINE);
    sheet.line(&[(42.0, 7.4), (42.0, 19.4)], Pen::AFTER);
    sheet.line(&[(43.6, 4.8), (49.0, 4.8)], Pen::THIN);
    sheet.line(&[(45.8, 11.4), (49.0, 11.4)], Pen::THIN);
    sheet.measure((48.0, 4.8), (48.0, 11.4));
    sheet.stand(Spot::new(42.0, 2.2), "leg past nut", true);
    sheet.say(Spot::new(42.0, 19.4), -90.0, "stripe", false);
    "Nuts counted along the front row, then the rear one; tightened along the arrows, round again until none turns.".to_owned()
}
