//! What each sketch shows. Places are sheet millimetres, y down.

use super::{Sheet, Sketch, Values, clamp, degrees, length, shown};
use crate::traveler::drawing::{Pen, Spot};

/// In sheet millimetres.
pub(super) const fn height(sketch: Sketch) -> f64 {
    match sketch {
        Sketch::Finder => 43.0,
        Sketch::Shackle | Sketch::Shock | Sketch::Camber => 46.0,
        Sketch::Toe => 44.0,
        Sketch::UBolts => 26.0,
        _ => 42.0,
    }
}

/// Draws it and gives its caption.
pub(super) fn draw(sheet: &mut Sheet, sketch: Sketch, values: &Values) -> String {
    match sketch {
        Sketch::Caster => caster(sheet, values),
        Sketch::Camber => camber(sheet, values),
        Sketch::Toe => toe(sheet),
        Sketch::Pinion => pinion(sheet, values),
        Sketch::Case => case(sheet),
        Sketch::Shackle => shackle(sheet, values),
        Sketch::Seat => seat(sheet),
        Sketch::DragLink => drag_link(sheet),
        Sketch::Groove => groove(sheet, values),
        Sketch::Finder => finder(sheet, values),
        Sketch::Knuckle => knuckle(sheet),
        Sketch::Frame => frame(sheet),
        Sketch::Shock => shock(sheet),
        Sketch::Scribe => scribe(sheet),
        Sketch::Rail => rail(sheet),
        Sketch::Hanger => clamp::hanger(sheet, values),
        Sketch::UBolts => clamp::u_bolts(sheet, values),
    }
}

fn ends(sheet: &mut Sheet, y: f64) {
    sheet.say(Spot::new(0.5, y), 0.0, "front", false);
    sheet.say(Spot::new(51.5, y), 180.0, "rear", false);
}

fn caster(sheet: &mut Sheet, values: &Values) -> String {
    let (lean, text) = shown(values.caster, 14.0, "caster");
    let centre = Spot::new(26.0, 23.0);
    ends(sheet, 39.5);
    sheet.canvas.circle(centre, 7.0, Pen::OUTLINE);
    sheet.line(&[(26.0, 4.0), (26.0, 38.0)], Pen::REFERENCE);
    let (up, down) = (degrees(90.0 - lean), degrees(270.0 - lean));
    sheet.canvas.line(&[centre.toward(down, 12.0), centre.toward(up, 18.0)], Pen::AFTER);
    sheet.turn(centre, 16.0, 90.0, 90.0 - lean);
    let aside = if lean < 0.0 { 160.0 } else { 20.0 };
    sheet.say(centre.toward(degrees(90.0 - lean), 13.0), aside, text, true);
    "Caster, from the left: top of the kingpin to the rear is positive.".to_owned()
}

fn camber(sheet: &mut Sheet, values: &Values) -> String {
    let (inclination, pin) = shown(values.inclination, 9.0, "inclination");
    let (tilt, wheel) = shown(values.camber, 4.0, "camber");
    // The left wheel seen from the front: outboard is at the right.
    let centre = Spot::new(36.0, 26.0);
    let (up, down) = (degrees(90.0 - tilt), degrees(270.0 - tilt));
    for dx in [-3.2, 3.2] {
        let side = centre.toward(degrees(-tilt), dx);
        sheet.canvas.line(&[side.toward(down, 15.0), side.toward(up, 15.0)], Pen::OUTLINE);
    }
    sheet.line(&[(36.0, 5.0), (36.0, 42.0)], Pen::REFERENCE);
    let foot = Spot::new(24.0, 36.0);
    sheet.line(&[(24.0, 8.0), (24.0, 40.0)], Pen::REFERENCE);
    sheet.canvas.line(&[foot, foot.toward(degrees(90.0 + inclination), 26.0)], Pen::AFTER);
    sheet.line(&[(2.0, 26.0), (22.0, 26.0)], Pen::OUTLINE);
    sheet.say(foot.toward(degrees(90.0 + inclination), 24.0), 170.0, pin, true);
    sheet.say(centre.toward(up, 17.0), 60.0, wheel, true);
    sheet.say(Spot::new(2.0, 29.0), -20.0, "inboard", false);
    "Left wheel from the front: camber positive with the top outboard, inclination with the top inboard."
        .to_owned()
}

fn toe(sheet: &mut Sheet) -> String {
    for (x, turn) in [(13.0, -8.0), (39.0, 8.0)] {
        let centre = Spot::new(x, 22.0);
        for dx in [-2.6, 2.6] {
            let side = Spot::new(x + dx, 22.0);
            sheet.canvas.line(
                &[side.toward(degrees(90.0 + turn), 12.0), side.toward(degrees(270.0 + turn), 12.0)],
                Pen::OUTLINE,
            );
        }
        sheet.canvas.line(
            &[centre.toward(degrees(90.0 + turn), 13.0), centre.toward(degrees(270.0 + turn), 13.0)],
            Pen::REFERENCE,
        );
    }
    sheet.line(&[(16.0, 22.0), (36.0, 22.0)], Pen::OUTLINE);
    sheet.measure((15.2, 9.0), (36.8, 9.0));
    sheet.measure((11.2, 35.5), (40.8, 35.5));
    sheet.say(Spot::new(26.0, 9.0), 90.0, "small: toe in +", true);
    sheet.say(Spot::new(26.0, 35.5), -90.0, "large", false);
    sheet.say(Spot::new(26.0, 0.5), -90.0, "front", false);
    "Toe, from above: positive with the fronts of the wheels inboard.".to_owned()
}

fn pinion(sheet: &mut Sheet, values: &Values) -> String {
    let (rise, text) = shown(values.pinion, 12.0, "pinion");
    ends(sheet, 39.5);
    let (x, out) = if values.pinion_ahead { (40.0, 180.0) } else { (12.0, 0.0) };
    let centre = Spot::new(x, 27.0);
    let toward = if values.pinion_ahead { 180.0 - rise } else { rise };
    sheet.canvas.circle(centre, 7.0, Pen::OUTLINE);
    sheet.canvas.line(&[centre, centre.toward(degrees(out), 36.0)], Pen::REFERENCE);
    let tip = centre.toward(degrees(toward), 24.0);
    sheet.canvas.line(&[centre, tip], Pen::AFTER);
    sheet.canvas.line(
        &[tip.toward(degrees(toward + 90.0), 4.0), tip.toward(degrees(toward - 90.0), 4.0)],
        Pen::AFTER,
    );
    sheet.turn(centre, 21.0, out, toward);
    sheet.say(centre.toward(degrees(toward), 15.0), 90.0, text, true);
    "Pinion, from the left: positive with its nose up. Finder on the machined flange; the output slope is positive where it falls toward the axle.".to_owned()
}

fn case(sheet: &mut Sheet) -> String {
    let centre = Spot::new(9.0, 30.0);
    sheet.canvas.circle(centre, 5.5, Pen::OUTLINE);
    let joint = Spot::new(46.0, 9.0);
    sheet.canvas.circle(joint, 1.6, Pen::OUTLINE);
    // The pinion axis, its offset above the axle axis, and the joint on it.
    let foot = centre.toward(degrees(100.0), 2.5);
    let tip = foot.toward(degrees(10.0), 18.0);
    sheet.canvas.line(&[foot, tip], Pen::AFTER);
    sheet.canvas.circle(tip, 1.2, Pen::OUTLINE);
    sheet.canvas.line(&[tip, joint], Pen::THIN);
    sheet.line(&[(9.0, 30.0), (46.0, 30.0)], Pen::REFERENCE);
    sheet.line(&[(46.0, 11.0), (46.0, 39.0)], Pen::REFERENCE);
    sheet.line(&[(9.0, 30.0), (9.0, 39.0)], Pen::REFERENCE);
    sheet.measure((9.0, 37.5), (46.0, 37.5));
    sheet.measure((49.5, 30.0), (49.5, 9.0));
    sheet.say(Spot::new(28.0, 37.5), 90.0, "case forward", true);
    sheet.say(Spot::new(49.5, 19.0), 180.0, "up", true);
    sheet.say(foot.toward(degrees(10.0), 9.0), 90.0, "reach", true);
    sheet.say(Spot::new(8.0, 27.0), 110.0, "offset +", true);
    "Joint centres from the axle, from the side: up and an offset above the axle axis count positive."
        .to_owned()
}

fn shackle(sheet: &mut Sheet, values: &Values) -> String {
    let (lean, text) = shown(values.shackle, 18.0, "shackle");
    let pin = Spot::new(22.0, 12.0);
    sheet.line(&[(4.0, 3.0), (48.0, 3.0)], Pen::OUTLINE);
    sheet.line(&[(16.0, 3.0), (19.0, 12.0)], Pen::OUTLINE);
    sheet.line(&[(28.0, 3.0), (25.0, 12.0)], Pen::OUTLINE);
    sheet.canvas.circle(pin, 1.8, Pen::OUTLINE);
    sheet.line(&[(22.0, 14.0), (22.0, 42.0)], Pen::REFERENCE);
    // The axle is at the left: away from it is to the right.
    let eye = pin.toward(degrees(-90.0 + lean), 20.0);
    sheet.canvas.line(&[pin, eye], Pen::AFTER);
    sheet.canvas.circle(eye, 2.2, Pen::OUTLINE);
    sheet.canvas.line(&[eye.toward(degrees(195.0), 2.2), Spot::new(2.0, eye.y + 6.0)], Pen::OUTLINE);
    sheet.turn(pin, 16.5, -90.0, -90.0 + lean);
    let aside = if lean < 0.0 { 180.0 } else { 0.0 };
    sheet.say(pin.toward(degrees(-90.0 + lean), 12.0), aside, text, true);
    sheet.say(Spot::new(2.0, eye.y + 5.0), 80.0, "to the axle", false);
    "Shackle at ride, pin to pin: positive with the lower eye away from the axle. Finder along both pins."
        .to_owned()
}

fn seat(sheet: &mut Sheet) -> String {
    let centre = Spot::new(20.0, 29.0);
    sheet.canvas.circle(centre, 9.0, Pen::OUTLINE);
    sheet.line(&[(14.5, 21.9), (14.5, 17.0), (25.5, 17.0), (25.5, 21.9)], Pen::OUTLINE);
    sheet.line(&[(3.0, 17.0), (46.0, 17.0)], Pen::OUTLINE);
    sheet.line(&[(3.0, 8.0), (46.0, 8.0)], Pen::OUTLINE);
    sheet.line(&[(20.0, 3.0), (20.0, 40.0)], Pen::REFERENCE);
    sheet.line(&[(16.0, 5.0), (16.0, 19.0)], Pen::REFERENCE);
    sheet.line(&[(20.0, 20.0), (36.0, 20.0)], Pen::THIN);
    sheet.measure((33.0, 17.0), (33.0, 8.0));
    sheet.line(&[(41.0, 26.0), (41.0, 20.0)], Pen::THIN);
    sheet.canvas.arrow_head(Spot::new(41.0, 20.2), degrees(90.0));
    sheet.line(&[(36.0, 20.0), (46.0, 20.0)], Pen::THIN);
    sheet.canvas.arrow_head(Spot::new(16.0, 5.0), degrees(180.0));
    sheet.line(&[(20.0, 5.0), (16.0, 5.0)], Pen::THIN);
    sheet.say(Spot::new(33.0, 12.5), 0.0, "pack", true);
    sheet.say(Spot::new(41.0, 26.0), -90.0, "seat", true);
    sheet.say(Spot::new(15.5, 4.5), 150.0, "hole +", true);
    sheet.say(Spot::new(0.5, 39.0), 0.0, "front", false);
    "Spring seat, from the left: from the tube's surface to the pad's face on the line through the tube's centre; hole ahead of it positive.".to_owned()
}

fn drag_link(sheet: &mut Sheet) -> String {
    let (arm, pitman) = (Spot::new(43.0, 28.0), Spot::new(9.0, 15.0));
    ends(sheet, 39.5);
    for at in [arm, pitman] {
        sheet.canvas.circle(at, 1.6, Pen::OUTLINE);
    }
    sheet.canvas.line(&[arm, pitman], Pen::AFTER);
    sheet.line(&[(43.0, 28.0), (4.0, 28.0)], Pen::REFERENCE);
    sheet.line(&[(9.0, 15.0), (9.0, 35.0)], Pen::REFERENCE);
    sheet.line(&[(43.0, 28.0), (43.0, 35.0)], Pen::REFERENCE);
    sheet.measure((43.0, 33.5), (9.0, 33.5));
    sheet.measure((5.0, 28.0), (5.0, 15.0));
    sheet.say(Spot::new(26.0, 33.5), 90.0, "along", true);
    sheet.say(Spot::new(5.0, 22.0), 0.0, "rise +", true);
    sheet.say(pitman, 70.0, "pitman joint", false);
    sheet.say(arm, 80.0, "arm joint", false);
    "Steering link, from the left: the pitman joint counted from the arm joint, forward and up positive."
        .to_owned()
}

fn groove(sheet: &mut Sheet, values: &Values) -> String {
    // A cut along the tube: outside above, the wall, the spigot behind it.
    sheet.line(
        &[(2.0, 22.0), (23.6, 22.0), (23.6, 30.2), (25.5, 30.2), (25.5, 22.0), (38.0, 22.0)],
        Pen::OUTLINE,
    );
    sheet.line(&[(38.0, 22.0), (38.0, 18.0), (50.0, 18.0)], Pen::OUTLINE);
    sheet.line(&[(2.0, 32.0), (50.0, 32.0)], Pen::OUTLINE);
    sheet.line(&[(2.0, 38.0), (50.0, 38.0)], Pen::THIN);
    // The disc with its collar, standing on the tube: it can go no deeper.
    sheet.line(&[(23.9, 9.0), (23.9, 29.8), (25.1, 29.8), (25.1, 9.0)], Pen::THIN);
    sheet.outline(&[(16.0, 15.0), (23.0, 15.0), (23.0, 21.8), (16.0, 21.8)], Pen::OUTLINE);
    sheet.outline(&[(26.0, 15.0), (33.0, 15.0), (33.0, 21.8), (26.0, 21.8)], Pen::OUTLINE);
    sheet.measure((12.0, 22.0), (12.0, 30.2));
    sheet.line(&[(10.5, 30.2), (23.6, 30.2)], Pen::THIN);
    sheet.measure((24.5, 26.5), (38.0, 26.5));
    sheet.line(&[(38.0, 22.0), (38.0, 28.0)], Pen::THIN);
    sheet.say(Spot::new(12.0, 26.0), 180.0, length(values.depth, "≤", values.metric), true);
    sheet.say(Spot::new(33.5, 16.0), 60.0, "stop on the tube", true);
    sheet.say(Spot::new(38.0, 26.5), 0.0, length(values.offset, "", values.metric), false);
    sheet.say(Spot::new(25.0, 35.0), 0.0, "sleeve: never into it", true);
    sheet.say(Spot::new(24.5, 9.0), 180.0, "disc", false);
    "Depth stop at the groove: it rides on the tube, its reach is set on scrap. The cut is inboard of the seam weld by the offset.".to_owned()
}

fn finder(sheet: &mut Sheet, values: &Values) -> String {
    let (lean, text) = shown(values.lean, 12.0, "finder");
    let foot = Spot::new(15.0, 35.0);
    let up = degrees(90.0 - lean);
    let top = foot.toward(up, 20.0);
    // From the side: kingpin bore with a bar in it, the finder on the bar's end.
    let across = |at: Spot, dx: f64| at.toward(degrees(-lean), dx);
    sheet
        .canvas
        .outline(&[across(foot, -4.0), across(top, -4.0), across(top, 4.0), across(foot, 4.0)], Pen::OUTLINE);
    sheet.canvas.line(&[foot.toward(up, -2.0), top.toward(up, 4.0)], Pen::REFERENCE);
    let (low, high) = (top.toward(up, 0.8), top.toward(up, 6.0));
    sheet
        .canvas
        .outline(&[across(low, -6.0), across(high, -6.0), across(high, 6.0), across(low, 6.0)], Pen::AFTER);
    // From above: the axle, the knuckle and the finder square to it.
    sheet.line(&[(28.0, 27.0), (40.0, 27.0)], Pen::OUTLINE);
    sheet.line(&[(28.0, 33.0), (40.0, 33.0)], Pen::OUTLINE);
    sheet.canvas.circle(Spot::new(44.0, 30.0), 4.0, Pen::OUTLINE);
    sheet.outline(&[(42.6, 22.0), (45.4, 22.0), (45.4, 38.0), (42.6, 38.0)], Pen::AFTER);
    sheet.line(&[(27.0, 30.0), (50.0, 30.0)], Pen::REFERENCE);
    sheet.say(high, 80.0, text, true);
    sheet.say(Spot::new(45.4, 24.0), 100.0, "square to axle", true);
    sheet.say(Spot::new(28.0, 34.0), -80.0, "axle", false);
    sheet.say(Spot::new(48.0, 9.0), 180.0, "level across", true);
    "Finder on the inclined kingpin: square to the axle, its cross level at zero, read from the side; end for end, the mean.".to_owned()
}

fn knuckle(sheet: &mut Sheet) -> String {
    let centre = Spot::new(26.0, 22.0);
    sheet.canvas.circle(centre, 12.0, Pen::OUTLINE);
    sheet.line(&[(26.0, 3.0), (26.0, 40.0)], Pen::REFERENCE);
    sheet.canvas.line(&[centre, centre.toward(degrees(78.0), 18.0)], Pen::AFTER);
    sheet
        .canvas
        .line(&[centre.toward(degrees(270.0), 9.0), centre.toward(degrees(270.0), 16.0)], Pen::BEFORE);
    sheet.canvas.line(&[centre.toward(degrees(258.0), 9.0), centre.toward(degrees(258.0), 16.0)], Pen::AFTER);
    sheet.turn(centre, 16.0, 90.0, 78.0);
    ends(sheet, 22.0);
    sheet.say(centre.toward(degrees(78.0), 17.0), 10.0, "+ turn", true);
    sheet.say(centre.toward(degrees(260.0), 15.0), 200.0, "arc", true);
    "Left knuckle from outside: a positive rotation turns its top to the rear. The arc between the two marks on the tube is the cross-check.".to_owned()
}

fn frame(sheet: &mut Sheet) -> String {
    sheet.line(&[(1.0, 36.0), (51.0, 36.0)], Pen::OUTLINE);
    for x in [14.0, 39.0] {
        sheet.canvas.circle(Spot::new(x, 30.0), 6.0, Pen::OUTLINE);
    }
    sheet.line(
        &[(4.0, 20.0), (14.0, 17.0), (26.0, 17.0), (26.0, 23.0), (29.0, 23.0), (29.0, 17.0), (48.0, 19.0)],
        Pen::AFTER,
    );
    sheet.measure((4.0, 36.0), (4.0, 20.5));
    sheet.measure((27.5, 36.0), (27.5, 23.5));
    sheet.measure((48.0, 36.0), (48.0, 19.5));
    sheet.measure((14.0, 10.0), (4.0, 10.0));
    sheet.measure((39.0, 10.0), (48.0, 10.0));
    sheet.measure((14.0, 13.5), (27.5, 13.5));
    for x in [14.0, 39.0] {
        sheet.line(&[(x, 9.0), (x, 30.0)], Pen::REFERENCE);
    }
    sheet.say(Spot::new(8.0, 10.0), 90.0, "ahead", true);
    sheet.say(Spot::new(44.0, 10.0), 90.0, "behind", true);
    sheet.say(Spot::new(21.0, 13.5), 80.0, "belly", true);
    sheet.say(Spot::new(0.5, 39.5), 0.0, "front: heights to level ground", false);
    "Approach, belly and departure points: from the wheel centre they are counted from, and above the ground at ride.".to_owned()
}

fn shock(sheet: &mut Sheet) -> String {
    sheet.line(&[(4.0, 6.0), (48.0, 6.0)], Pen::OUTLINE);
    sheet.line(&[(4.0, 38.0), (48.0, 38.0)], Pen::OUTLINE);
    let (top, low) = (Spot::new(16.0, 9.0), Spot::new(24.0, 35.0));
    sheet.canvas.circle(top, 1.4, Pen::OUTLINE);
    sheet.canvas.circle(low, 1.4, Pen::OUTLINE);
    sheet.canvas.line(&[top, low], Pen::AFTER);
    sheet.line(&[(16.0, 9.0), (16.0, 43.0)], Pen::REFERENCE);
    sheet.line(&[(24.0, 35.0), (24.0, 43.0)], Pen::REFERENCE);
    sheet.line(&[(7.0, 9.0), (16.0, 9.0)], Pen::THIN);
    sheet.line(&[(7.0, 35.0), (24.0, 35.0)], Pen::THIN);
    sheet.measure((8.5, 35.0), (8.5, 9.0));
    sheet.line(&[(16.0, 42.0), (24.0, 42.0)], Pen::THIN);
    sheet.outline(&[(38.0, 6.0), (44.0, 6.0), (43.0, 14.0), (39.0, 14.0)], Pen::OUTLINE);
    sheet.measure((41.0, 38.0), (41.0, 14.0));
    sheet.say(Spot::new(8.5, 22.0), 0.0, "height", true);
    sheet.say(Spot::new(24.0, 42.0), 0.0, "offset", true);
    sheet.say(Spot::new(41.0, 27.0), 180.0, "gap", true);
    "Shock absorber at ride: between its mounts, up and sideways; the gap from the bump stop to what it meets.".to_owned()
}

fn scribe(sheet: &mut Sheet) -> String {
    let hub = Spot::new(26.0, 19.0);
    sheet.canvas.circle(hub, 13.0, Pen::OUTLINE);
    sheet.canvas.circle(hub, 2.0, Pen::OUTLINE);
    sheet.line(&[(2.0, 32.0), (50.0, 32.0)], Pen::OUTLINE);
    sheet.line(&[(3.0, 19.0), (49.0, 19.0)], Pen::REFERENCE);
    // The same mark of the line: in front, then behind after half a turn forward.
    for (x, pen) in [(13.0, Pen::BEFORE), (39.0, Pen::AFTER)] {
        sheet.line(&[(x - 2.2, 19.0), (x + 2.2, 19.0)], pen);
    }
    sheet.turn(hub, 9.5, 180.0, 358.0);
    sheet.say(Spot::new(12.5, 18.5), 140.0, "1 front", true);
    sheet.say(Spot::new(39.5, 18.5), 40.0, "2 behind", true);
    sheet.say(Spot::new(26.0, 6.0), 90.0, "scribe line", false);
    ends(sheet, 39.5);
    "Toe by the scribe line, wheel from the left: a line scribed while the tyre turns runs true. Measure from left line to right line at hub height in front, roll half a turn forward, measure the same marks behind. Behind less in front is toe in, positive.".to_owned()
}

fn rail(sheet: &mut Sheet) -> String {
    ends(sheet, 39.5);
    sheet.line(&[(2.0, 35.0), (50.0, 35.0)], Pen::OUTLINE);
    sheet.line(&[(3.0, 12.0), (49.0, 8.0)], Pen::OUTLINE);
    sheet.line(&[(3.0, 16.0), (49.0, 12.0)], Pen::OUTLINE);
    for (x, low) in [(10.0, 15.4), (42.0, 12.6)] {
        sheet.line(&[(x, low - 5.5), (x, low)], Pen::AFTER);
        sheet.measure((x, low), (x, 35.0));
    }
    sheet.say(Spot::new(10.0, 25.0), 0.0, "rail front", true);
    sheet.say(Spot::new(42.0, 25.0), 180.0, "rail rear", true);
    "Frame rail, from the left: its lower edge above the ground at the front and the rear mark.".to_owned()
}
