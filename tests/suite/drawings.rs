//! Drawings against plain geometry worked out here, not with the source's functions.

#![allow(
    clippy::disallowed_methods,
    reason = "the oracle uses the platform's functions, not the ones under test"
)]

use proptest::prelude::*;
use tackwright::quantity::{Angle, Dimensioned, Length, Time, unit};
use tackwright::term::{Side, Sketch, Units};
use tackwright::traveler::drawing::{Canvas, Dash, Drawing, Path, Pen, Segment, Spot, Weight};
use tackwright::traveler::end_view::end_view;
use tackwright::traveler::lanes::{LaneCell, LaneRow, Stop, hours, lanes, minutes};
use tackwright::traveler::side_view::{Points, scale_for, side_view};
use tackwright::traveler::sketch::{Values, draw as sketch};

use crate::support::{pdf, sample};

fn degrees(x: f64) -> Angle {
    Angle::of(x, unit::DEG)
}

/// The end of a path.
fn end(path: &Path) -> Spot {
    match path.segments.last().unwrap() {
        Segment::Line { to } | Segment::Curve { to, .. } => *to,
    }
}

/// Straight two-point lines of one pen.
fn lines(drawing: &Drawing, weight: Weight, dash: Dash) -> Vec<(Spot, Spot)> {
    drawing
        .paths
        .iter()
        .filter(|p| p.segments.len() == 1 && !p.closed && p.weight == weight && p.dash == dash)
        .filter(|p| matches!(p.segments[0], Segment::Line { .. }))
        .map(|p| (p.start, end(p)))
        .collect()
}

/// Angle of a line from the x axis, degrees, counterclockwise as seen.
fn slope((a, b): (Spot, Spot)) -> f64 {
    (a.y - b.y).atan2(b.x - a.x).to_degrees()
}

/// Points along a cubic, by its definition.
fn along(path: &Path) -> Vec<Spot> {
    let mut at = path.start;
    let mut list = Vec::new();
    for segment in &path.segments {
        let Segment::Curve { leave, arrive, to } = *segment else { panic!("not an arc") };
        for i in 0..=10 {
            let t = f64::from(i) / 10.0;
            let mix = |a: f64, b: f64, c: f64, d: f64| {
                (1.0 - t).powi(3) * a
                    + 3.0 * (1.0 - t).powi(2) * t * b
                    + 3.0 * (1.0 - t) * t * t * c
                    + t.powi(3) * d
            };
            list.push(Spot::new(mix(at.x, leave.x, arrive.x, to.x), mix(at.y, leave.y, arrive.y, to.y)));
        }
        at = to;
    }
    list
}

#[test]
fn an_arc_is_round() {
    let mut canvas = Canvas::new(Spot::new(100.0, 100.0));
    let centre = Spot::new(50.0, 50.0);
    canvas.arc(centre, 40.0, (degrees(20.0), degrees(-250.0)), Pen::THIN);
    canvas.circle(centre, 40.0, Pen::THIN);
    let drawing = canvas.finish("");
    for path in &drawing.paths {
        for spot in along(path) {
            let radius = (spot.x - 50.0).hypot(spot.y - 50.0);
            assert!((radius - 40.0).abs() < 1e-4, "{radius}");
        }
    }
    let (from, to) = (drawing.paths[0].start, end(&drawing.paths[0]));
    assert!((slope((centre, from)) - 20.0).abs() < 1e-9);
    assert!((slope((centre, to)) - 110.0).abs() < 1e-9, "-250 is 110");
}

/// Lengths in labels and texts lead with the units of the job (its own rule).
#[test]
fn drawings_lead_with_the_units_of_the_job() {
    for (units, first, behind) in [(Units::Metric, " mm", " in)"), (Units::Inch, " in", " mm)")] {
        let view = tackwright::traveler::side_view::SideView { units, ..sample::axle() };
        let knuckle = |side| tackwright::traveler::end_view::EndView { units, ..sample::knuckle(side) };
        let sketches = Sketch::ALL.map(|one| {
            let values = Values {
                depth: Some(Length::of(7.0, unit::MM)),
                offset: Some(Length::of(20.0, unit::MM)),
                metric: units == Units::Metric,
                ..Values::default()
            };
            sketch(one, &values)
        });
        let mut lengths = 0;
        for drawn in [side_view(&view), end_view(&knuckle(Side::Left))].into_iter().chain(sketches) {
            let texts = drawn.drawing.labels.iter().map(|l| &l.text).chain(&drawn.drawing.notes);
            for text in texts.chain([&drawn.drawing.alt]) {
                for part in text
                    .split("; ")
                    .flat_map(|t| t.split(". "))
                    .filter(|p| p.contains(" mm") || p.contains(" in ("))
                {
                    let both = part.contains(behind);
                    let at = part.find(first).unwrap_or_else(|| panic!("{part} does not lead with{first}"));
                    assert!(!both || part.find(behind).is_some_and(|b| at < b), "{part}");
                    lengths += 1;
                }
            }
        }
        assert!(lengths >= 4, "{lengths} lengths for {units}");
    }
}

#[test]
fn the_side_view_is_to_scale() {
    let view = sample::axle();
    let captioned = side_view(&view);
    assert!(captioned.caption.contains("scale 1 : 3"), "{}", captioned.caption);
    let drawing = &captioned.drawing;
    // The tube: 3.25 in = 82.55 mm.
    let circle = drawing.paths.iter().find(|p| p.segments.len() == 12).unwrap();
    let xs: Vec<f64> = along(circle).iter().map(|s| s.x).collect();
    let width = xs.iter().copied().fold(f64::MIN, f64::max) - xs.iter().copied().fold(f64::MAX, f64::min);
    assert!((width - 82.55 / 3.0).abs() < 1e-3, "{width}");
    let centre = Spot::new(xs.iter().sum::<f64>() / xs.len() as f64, 50.0);
    // Pack after, over the tube: its faces 1/2 in and 2-1/2 in above it; sheet y is down.
    let after = lines(drawing, Weight::Heavy, Dash::Solid);
    let level: Vec<f64> = after.iter().filter(|l| slope(**l).abs() < 1e-9).map(|l| l.0.y).collect();
    for up in [82.55 / 2.0 + 12.7, 82.55 / 2.0 + 12.7 + 50.8] {
        assert!(level.iter().any(|y| (y - (50.0 - up / 3.0)).abs() < 1e-6), "{up} in {level:?}");
    }
    // Pack before, under it, dashed.
    let before = lines(drawing, Weight::Medium, Dash::Dashed);
    for down in [82.55 / 2.0 + 6.35, 82.55 / 2.0 + 6.35 + 50.8] {
        assert!(before.iter().any(|l| (l.0.y - (50.0 + down / 3.0)).abs() < 1e-6), "{down}");
    }
    // Pinion after 11 degrees nose up to the rear, kingpin 6 degrees with the top to the rear.
    let from_centre = |l: &&(Spot, Spot)| (l.0.x - centre.x).abs() < 0.2 && (l.0.y - centre.y).abs() < 0.2;
    let pinion = after.iter().find(from_centre).unwrap();
    assert!((slope(*pinion) - 11.0).abs() < 1e-6, "{}", slope(*pinion));
    assert!(after.iter().any(|l| (slope(*l) - 84.0).abs() < 1e-6), "kingpin leans 6 degrees to the right");
    assert!(before.iter().any(|l| (slope(*l) - 91.5).abs() < 1e-6), "kingpin leaned 1.5 degrees to the left");
    assert!(after.iter().any(|l| (slope(*l) - 16.1).abs() < 1e-6), "shaft");
    // 3-1/4 + 2 + 1/4 + 1/2 in.
    assert!(drawing.labels.iter().any(|l| l.text == "pack moves 6 in (152.4 mm)"));
    assert!(drawing.alt.contains("caster 6.0°") && drawing.alt.contains("front to the left"));
}

#[test]
fn a_rear_axle_points_its_pinion_to_the_front() {
    let mut view = sample::axle();
    view.pinion_points = Points::Front;
    view.caster = None;
    let drawing = side_view(&view).drawing;
    let after = lines(&drawing, Weight::Heavy, Dash::Solid);
    assert!(after.iter().any(|l| (slope(*l) - 169.0).abs() < 1e-6), "nose up 11 degrees, to the left");
    assert!(!drawing.alt.contains("kingpin"));
}

#[test]
fn the_mark_moves_the_way_the_knuckle_turns() {
    for (side, sign) in [(Side::Left, -1.0), (Side::Right, 1.0)] {
        let drawing = end_view(&sample::knuckle(side)).drawing;
        let marks = |weight, dash| {
            *lines(&drawing, weight, dash).iter().find(|l| l.0.y > 50.0 && l.1.y > l.0.y).unwrap()
        };
        let (before, after) = (marks(Weight::Medium, Dash::Dashed), marks(Weight::Heavy, Dash::Solid));
        // Scale 1 : 2, radius 41.275 mm; the mark crosses the tube 3.5 mm above its inner end.
        let on_tube = |l: (Spot, Spot)| {
            let (dx, dy) = (l.0.x - 45.0, l.0.y - 38.0);
            let stretch = (41.275 / 2.0) / dx.hypot(dy);
            (dx * stretch, dy * stretch)
        };
        let (a, b) = (on_tube(before), on_tube(after));
        let chord = (b.0 - a.0).hypot(b.1 - a.1) * 2.0;
        // Chord of 7.5 degrees on a 3.25 in tube: 2 r sin(3.75 deg) = 5.399 mm.
        assert!((chord - 2.0 * 41.275 * 3.75_f64.to_radians().sin()).abs() < 1e-6, "{chord}");
        // Top to the rear is bottom to the front: left when seen from the left.
        assert!((b.0 - a.0) * sign > 0.0, "{side:?}");
    }
}

#[test]
fn scales_are_usual_and_large_enough() {
    assert_eq!(scale_for(0.3), 0.5);
    assert_eq!(scale_for(2.6), 3.0);
    assert_eq!(scale_for(3.0), 3.0);
    assert_eq!(scale_for(1e9), 100.0);
}

/// Labels on paper fit the boxes that were reserved for them.
#[test]
fn reserved_boxes_hold_their_labels() {
    let document = sample::traveler();
    let rendered = tackwright::render::pdf(&document, &[]).unwrap();
    let pages = pdf::pages(&rendered.bytes);
    let drawings = &document.geometry.as_ref().unwrap().drawings;
    let mut found = 0;
    for label in drawings.iter().flat_map(|d| &d.drawing.labels) {
        let squeezed = pdf::squeeze(&label.text);
        for run in
            pages.iter().flat_map(|p| &p.runs).filter(|r| r.size < 8.1 && pdf::squeeze(&r.text) == squeezed)
        {
            let width = (run.right - run.left) * 25.4 / 72.0;
            assert!(width <= label.size.x, "{}: {width} mm in {} mm", label.text, label.size.x);
            found += 1;
        }
    }
    assert!(found >= 20, "{found}");
}

/// The drawing on paper is the drawing of the model: the tube's circle, in millimetres.
#[test]
fn paper_shows_the_drawing_to_scale() {
    let document = sample::traveler();
    let rendered = tackwright::render::pdf(&document, &[]).unwrap();
    let pages = pdf::pages(&rendered.bytes);
    let circle = 82.55 / 3.0 * 72.0 / 25.4;
    let found = pages
        .iter()
        .flat_map(|p| &p.paths)
        .any(|r| (r.width() - circle).abs() < 0.03 && (r.height() - circle).abs() < 0.03);
    assert!(found, "no circle of {circle} pt");
}

proptest! {
    #[test]
    fn labels_never_touch_and_none_is_lost(
        wishes in prop::collection::vec((0.0..120.0_f64, 0.0..80.0_f64, 0.0..360.0_f64, "[a-z0-9 .°]{1,40}"), 0..40),
    ) {
        let size = Spot::new(120.0, 80.0);
        let mut canvas = Canvas::new(size);
        canvas.line(&[Spot::new(0.0, 40.0), Spot::new(120.0, 40.0)], Pen::OUTLINE);
        for (x, y, toward, text) in &wishes {
            canvas.label(Spot::new(*x, *y), degrees(*toward), text.clone(), false);
        }
        let drawing = canvas.finish("labels");
        let mut shown: Vec<&String> = drawing.labels.iter().map(|l| &l.text).chain(&drawing.notes).collect();
        let mut wished: Vec<&String> = wishes.iter().map(|w| &w.3).collect();
        shown.sort();
        wished.sort();
        prop_assert_eq!(shown, wished);
        for (i, a) in drawing.labels.iter().enumerate() {
            prop_assert!(a.at.x >= 0.0 && a.at.y >= 0.0);
            prop_assert!(a.at.x + a.size.x <= size.x && a.at.y + a.size.y <= size.y);
            for b in &drawing.labels[i + 1..] {
                let apart = a.at.x + a.size.x <= b.at.x
                    || b.at.x + b.size.x <= a.at.x
                    || a.at.y + a.size.y <= b.at.y
                    || b.at.y + b.size.y <= a.at.y;
                prop_assert!(apart, "{a:?} {b:?}");
            }
        }
    }

    #[test]
    fn any_axle_can_be_drawn(
        od in 0.0..400.0_f64, pack in 0.0..200.0_f64, before in -90.0..90.0_f64, after in -90.0..90.0_f64,
        reach in 0.0..2000.0_f64,
    ) {
        let mut view = sample::axle();
        view.tube_od = Length::of(od, unit::MM);
        view.pack = Length::of(pack, unit::MM);
        view.pinion = Some(tackwright::traveler::side_view::Turn { before: degrees(before), after: degrees(after) });
        view.pinion_reach = Some(Length::of(reach, unit::MM));
        let drawing = side_view(&view).drawing;
        prop_assert!(drawing.labels.len() + drawing.notes.len() >= 12);
        let json = serde_json::to_string(&drawing).unwrap();
        prop_assert!(!json.contains("null"));
    }
}

fn stop(number: u32, station: &str, time: f64) -> Stop {
    Stop::Operation {
        number,
        title: format!("operation {number}"),
        station: station.to_owned(),
        time: Time::of(time, unit::MINUTE),
    }
}

#[test]
fn lanes_follow_the_route() {
    let hold = Stop::Hold { number: "H1".to_owned(), text: "no cut".to_owned() };
    let route = lanes(&[
        stop(10, "bench", 30.0),
        stop(20, "lift", 45.0),
        stop(30, "weld bay", 60.0),
        hold,
        stop(40, "bench", 10.5),
    ]);
    let names: Vec<&str> = route.stations.iter().map(|s| s.name.as_str()).collect();
    assert_eq!(names, ["bench", "lift", "weld bay"]);
    assert_eq!(route.stations[0].total, "41 min");
    assert_eq!(route.total, "2 h 26 min");
    assert_eq!(route.moves, "3 moves");
    assert_eq!(route.rows.len(), 5);
    let LaneRow::Operation { cells, elapsed, .. } = &route.rows[4] else { panic!("an operation") };
    assert_eq!(cells, &[LaneCell::Here, LaneCell::Pass, LaneCell::Pass]);
    assert_eq!(elapsed, "2 h 26 min");
    assert!(matches!(&route.rows[3], LaneRow::Hold { number, .. } if number == "H1"));
    assert_eq!(lanes(&[stop(10, "bench", 5.0)]).moves, "0 moves");
}

#[test]
fn labour_is_written_in_hours_and_minutes() {
    let time = |m| Time::of(m, unit::MINUTE);
    assert_eq!(minutes(time(90.0)), "90 min");
    assert_eq!(hours(time(90.0)), "1 h 30 min");
    assert_eq!(hours(time(120.0)), "2 h");
    assert_eq!(hours(time(59.4)), "59 min");
}
