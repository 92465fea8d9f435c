//! Weld symbols against the rules of AWS A2.4:2020 and ISO 2553:2019, and labels that
//! never meet. The rules are told from memory of both standards; clauses of AWS A2.4
//! as published descriptions name them (none was read in a copy), clauses of ISO 2553
//! from memory, where a suffix A is that of system A.

use tackwright::job::model::JointForm;
use tackwright::quantity::{Angle, Dimensioned, Length, unit};
use tackwright::term::Side;
use tackwright::term::{Sketch, Units};
use tackwright::traveler::drawing::{Canvas, Dash, Drawing, Label, Path, Segment, Spot};
use tackwright::traveler::end_view::{EndView, small_end_view};
use tackwright::traveler::sketch::{Values, draw as sketch};
use tackwright::traveler::weld::map::{
    AxleParts, Joint, PartShape, Seam, axle, meeting, pad_section, rail, weldment,
};
use tackwright::traveler::weld::strokes::{ArrowEnd, draw, with_joint};
use tackwright::traveler::weld::{At, Kind, Standard, Symbol};

pub(crate) fn inch(x: f64) -> Length {
    Length::of(x, unit::IN)
}

pub(crate) fn mm(x: f64) -> Length {
    Length::of(x, unit::MM)
}

fn degrees(x: f64) -> Angle {
    Angle::of(x, unit::DEG)
}

pub(crate) fn fillet(standard: Standard) -> Symbol {
    Symbol {
        standard,
        units: if standard == Standard::Aws { Units::Inch } else { Units::Metric },
        kind: Kind::Fillet,
        at: At::Arrow,
        size: Some(if standard == Standard::Aws { inch(0.25) } else { mm(6.0) }),
        throat: None,
        length: Some(if standard == Standard::Aws { inch(2.0) } else { mm(50.0) }),
        pitch: None,
        count: 1,
        opening: None,
        angle: None,
        backing: false,
        all_round: false,
        field: false,
        tail: "WPS-1".to_owned(),
    }
}

pub(crate) const LINE_Y: f64 = 40.0;

pub(crate) fn drawn(symbol: &Symbol) -> Drawing {
    let mut canvas = Canvas::new(Spot::new(160.0, 80.0));
    draw(&mut canvas, symbol, Spot::new(30.0, LINE_Y), ArrowEnd::Left, Spot::new(20.0, 70.0));
    canvas.finish("")
}

pub(crate) fn points(path: &Path) -> Vec<Spot> {
    let mut list = vec![path.start];
    for segment in &path.segments {
        match *segment {
            Segment::Line { to } => list.push(to),
            Segment::Curve { leave, arrive, to } => {
                let from = *list.last().unwrap();
                for i in 1..=8 {
                    let t = f64::from(i) / 8.0;
                    let mix = |a: f64, b: f64, c: f64, d: f64| {
                        (1.0 - t).powi(3) * a
                            + 3.0 * (1.0 - t).powi(2) * t * b
                            + 3.0 * (1.0 - t) * t * t * c
                            + t.powi(3) * d
                    };
                    list.push(Spot::new(
                        mix(from.x, leave.x, arrive.x, to.x),
                        mix(from.y, leave.y, arrive.y, to.y),
                    ));
                }
            }
        }
    }
    if path.closed {
        list.push(path.start);
    }
    list
}

/// The open path of three points that is the fillet's triangle.
fn triangle(drawing: &Drawing) -> Vec<Vec<Spot>> {
    let all = drawing.paths.iter().map(points);
    all.filter(|p| p.len() == 3 && p[0].x == p[1].x && p[0].y == p[2].y).collect()
}

pub(crate) fn middle(label: &Label) -> Spot {
    Spot::new(label.at.x + label.size.x / 2.0, label.at.y + label.size.y / 2.0)
}

pub(crate) fn label<'a>(drawing: &'a Drawing, text: &str) -> &'a Label {
    drawing.labels.iter().find(|l| l.text == text).unwrap_or_else(|| panic!("{text}: {:?}", drawing.labels))
}

/// AWS A2.4:2020, 6.1, significance of the reference line: arrow side below it, other
/// side above it.
#[test]
fn aws_puts_the_arrow_side_below_the_line() {
    for (at, sides) in [(At::Arrow, vec![1.0]), (At::Other, vec![-1.0]), (At::Both, vec![-1.0, 1.0])] {
        let drawing = drawn(&Symbol { at, ..fillet(Standard::Aws) });
        let found: Vec<f64> = triangle(&drawing).iter().map(|t| (t[1].y - LINE_Y).signum()).collect();
        assert_eq!(found, sides, "{at:?}");
        assert!(drawing.paths.iter().all(|p| p.dash == Dash::Solid), "no dashed line in AWS");
    }
}

/// ISO 2553:2019, 4.7A (from memory), system A: the symbol on the continuous line is the arrow side's, the
/// one on the dashed identification line the other side's; a weld alike on both
/// sides has no dashed line.
#[test]
fn iso_puts_the_other_side_on_the_dashed_line() {
    let dashed = |d: &Drawing| d.paths.iter().find(|p| p.dash == Dash::Dashed).map(|p| p.start.y);
    let arrow = drawn(&fillet(Standard::Iso));
    assert_eq!(triangle(&arrow)[0][0].y, LINE_Y, "its base is on the continuous line");
    assert!(dashed(&arrow).unwrap() != LINE_Y);
    let other = drawn(&Symbol { at: At::Other, ..fillet(Standard::Iso) });
    assert_eq!(Some(triangle(&other)[0][0].y), dashed(&other), "its base is on the dashed line");
    let both = drawn(&Symbol { at: At::Both, ..fillet(Standard::Iso) });
    assert_eq!(dashed(&both), None);
    assert_eq!(triangle(&both).len(), 2);
}

/// AWS A2.4:2020, figure 4.3, 8.2; ISO 2553:2019, 5 (from memory): the size stands left of the symbol, the length right
/// of it, and the upright leg at the left, wherever the arrow is.
#[test]
fn size_is_left_and_length_right() {
    for (standard, size, length) in [(Standard::Aws, "1/4", "2"), (Standard::Iso, "z6", "50")] {
        for end in [ArrowEnd::Left, ArrowEnd::Right] {
            let mut canvas = Canvas::new(Spot::new(160.0, 80.0));
            draw(&mut canvas, &fillet(standard), Spot::new(80.0, LINE_Y), end, Spot::new(80.0, 70.0));
            let drawing = canvas.finish("");
            let leg = triangle(&drawing)[0].clone();
            assert!(leg[1].x < leg[2].x, "upright leg at the left");
            assert!(middle(label(&drawing, size)).x < leg[0].x, "{size}");
            assert!(middle(label(&drawing, length)).x > leg[2].x, "{length}");
        }
    }
}

/// AWS A2.4:2020, figure 4.3: length-pitch, the pitch from centre to centre. ISO 2553: number ×
/// length (distance), the distance from the end of a weld to the next.
#[test]
fn broken_seams_follow_their_standard() {
    let aws = Symbol { pitch: Some(inch(5.0)), count: 4, ..fillet(Standard::Aws) };
    assert_eq!(aws.right(), "2-5");
    let iso = Symbol { pitch: Some(mm(150.0)), count: 4, ..fillet(Standard::Iso) };
    assert_eq!(iso.right(), "4 × 50 (100)");
    assert_eq!(iso.tail(), "WPS-1", "the number is told already");
    assert_eq!(aws.tail(), "WPS-1, 4 off");
}

/// AWS A2.4:2020, 7.2, figure 4.3: depth of the groove, then the size of the weld in brackets, left of
/// the symbol; root opening inside it, groove angle outside; a break in the
/// arrow toward the part that is bevelled. All round: a circle where arrow and
/// reference line meet. Field: a flag there.
#[test]
fn a_groove_tells_depth_size_opening_and_angle() {
    let symbol = Symbol {
        kind: Kind::Bevel,
        size: Some(inch(0.25)),
        throat: Some(inch(0.1875)),
        opening: Some(inch(0.0625)),
        angle: Some(degrees(30.0)),
        all_round: true,
        field: true,
        ..fillet(Standard::Aws)
    };
    assert_eq!(symbol.left(), "1/4(3/16)");
    assert_eq!(symbol.right(), "", "all round has no length");
    let drawing = drawn(&symbol);
    let (inside, beyond) = (middle(label(&drawing, "1/16")), middle(label(&drawing, "30°")));
    let groove =
        drawing.paths.iter().map(points).find(|p| p.len() == 3 && p[0].x == p[1].x && p[1].y == LINE_Y);
    let groove = groove.expect("a bevel with its upright leg");
    assert!(inside.y < groove[0].y && inside.y > LINE_Y && inside.x > groove[0].x && inside.x < groove[2].x);
    assert!(beyond.y > groove[0].y, "the angle is beyond the mouth");
    let arrow = drawing.paths.iter().map(points).find(|p| p.len() == 3 && p[2] == Spot::new(20.0, 70.0));
    assert!(arrow.is_some_and(|p| p[0] == Spot::new(30.0, LINE_Y)), "an arrow with a break");
    let circle = drawing.paths.iter().find(|p| p.segments.len() == 12).map(points).expect("a circle");
    let mean = circle[1..].iter().map(|s| s.x).sum::<f64>() / (circle.len() - 1) as f64;
    assert!((mean - 30.0).abs() < 1e-6, "about the junction");
    let flag = drawing.paths.iter().filter(|p| p.filled).map(points).find(|p| p[0].x == 30.0);
    assert!(flag.is_some_and(|p| p[0].y < LINE_Y), "a flag on its pole at the junction");
    let iso = Symbol { standard: Standard::Iso, units: Units::Metric, throat: Some(mm(5.0)), ..symbol };
    assert_eq!(iso.left(), "s5", "ISO 2553: s before the penetration");
}

fn crosses(label: &Label, a: Spot, b: Spot) -> bool {
    // Samples along the stroke, strictly inside the box.
    (0..=60).any(|i| {
        let t = f64::from(i) / 60.0;
        let (x, y) = (a.x + t * (b.x - a.x), a.y + t * (b.y - a.y));
        x > label.at.x + 0.05
            && x < label.at.x + label.size.x - 0.05
            && y > label.at.y + 0.05
            && y < label.at.y + label.size.y - 0.05
    })
}

fn apart(drawing: &Drawing, what: &str) {
    assert!(!drawing.alt.is_empty(), "{what}: alternative text");
    for (i, a) in drawing.labels.iter().enumerate() {
        assert!(a.at.x >= -1e-9 && a.at.y >= -1e-9, "{what}: {a:?} leaves the sheet");
        assert!(a.at.x + a.size.x <= drawing.size.x + 1e-9, "{what}: {a:?} leaves the sheet");
        assert!(a.at.y + a.size.y <= drawing.size.y + 1e-9, "{what}: {a:?} leaves the sheet");
        for b in &drawing.labels[i + 1..] {
            let free = a.at.x + a.size.x <= b.at.x + 1e-9
                || b.at.x + b.size.x <= a.at.x + 1e-9
                || a.at.y + a.size.y <= b.at.y + 1e-9
                || b.at.y + b.size.y <= a.at.y + 1e-9;
            assert!(free, "{what}: {a:?} {b:?}");
        }
        for head in drawing.paths.iter().filter(|p| p.filled) {
            for pair in points(head).windows(2) {
                assert!(!crosses(a, pair[0], pair[1]), "{what}: {a:?} covers an arrow");
            }
        }
    }
}

/// In a symbol no label touches a stroke either: a number on a line is misread.
fn clear(drawing: &Drawing, what: &str) {
    apart(drawing, what);
    for label in &drawing.labels {
        for path in &drawing.paths {
            for pair in points(path).windows(2) {
                assert!(!crosses(label, pair[0], pair[1]), "{what}: {label:?} on {pair:?}");
            }
        }
    }
}

fn every_symbol() -> Vec<Symbol> {
    let mut list = Vec::new();
    for standard in [Standard::Aws, Standard::Iso] {
        for kind in [Kind::Fillet, Kind::V, Kind::Bevel, Kind::Square, Kind::FlareBevel, Kind::Plug] {
            for at in [At::Arrow, At::Other, At::Both] {
                for size in [0.0625, 0.265625, 1.171_875] {
                    for (all_round, field, backing, pitch) in [
                        (false, false, false, None),
                        (true, true, true, None),
                        (false, true, false, Some(inch(11.5))),
                    ] {
                        list.push(Symbol {
                            kind,
                            at,
                            size: Some(inch(size)),
                            throat: (kind != Kind::Fillet).then(|| inch(size)),
                            length: Some(inch(5.0 + size)),
                            opening: Some(inch(size / 4.0)),
                            angle: Some(degrees(22.5)),
                            count: 3,
                            all_round,
                            field,
                            backing,
                            pitch,
                            ..fillet(standard)
                        });
                    }
                }
            }
        }
    }
    list
}

#[test]
fn no_number_of_a_symbol_touches_anything() {
    for symbol in every_symbol() {
        for form in [JointForm::Tee, JointForm::Butt, JointForm::Lap, JointForm::Corner] {
            clear(&with_joint(&symbol, form).drawing, &symbol.words());
        }
    }
}

#[test]
fn a_map_keeps_its_symbols_apart_and_loses_no_joint() {
    let legend = (Standard::Aws, Units::Inch);
    let parts = AxleParts { tube: inch(3.25), pads: Some(inch(31.0)), over: true, steered: true };
    for symbol in every_symbol().into_iter().step_by(3) {
        let joint = |id: &str, spot| Joint { id: id.to_owned(), symbol: symbol.clone(), spot };
        let joints = [
            joint("W1", Seam::Pad(true)),
            joint("W2", Seam::Knuckle(true)),
            joint("W3", Seam::Knuckle(false)),
            joint("W4", Seam::Hanger(true)),
            joint("W5", Seam::Hanger(false)),
        ];
        let map = axle("Front axle", &parts, &joints, legend);
        let drawing = map.drawing.expect("an axle").drawing;
        apart(&drawing, &symbol.words());
        assert!(map.shown.contains(&"W2".to_owned()) && map.shown.contains(&"W3".to_owned()));
        for id in &map.shown {
            assert!(drawing.labels.iter().any(|l| l.text.starts_with(id.as_str())), "{id} on the drawing");
        }
        let rails = rail("front axle", &joints, legend);
        apart(&rails.drawing.expect("a rail").drawing, &symbol.words());
        apart(&pad_section(inch(3.25), None, &joints[0], legend).drawing, &symbol.words());
    }
}

fn part(name: &str, (left, up): (f64, f64), (across, high): (f64, f64), turn: f64) -> PartShape {
    PartShape {
        name: name.to_owned(),
        left: inch(left),
        up: inch(up),
        across: inch(across),
        high: inch(high),
        turn: degrees(turn),
    }
}

/// Points along an outline, close together: the oracle walks both.
fn walked(shape: &PartShape) -> Vec<(f64, f64)> {
    let corners = shape.corners();
    (0..4)
        .flat_map(|i| {
            let (a, b) = (corners[i], corners[(i + 1) % 4]);
            (0..=2000).map(move |n| {
                let t = f64::from(n) / 2000.0;
                (a.0 + t * (b.0 - a.0), a.1 + t * (b.1 - a.1))
            })
        })
        .collect()
}

#[test]
fn parts_meet_where_their_outlines_touch() {
    let post = part("post", (3.0, 0.75), (4.0, 90.0), 0.0);
    let foot = part("foot", (0.0, 0.0), (10.0, 0.75), 0.0);
    let (x, y) = meeting(&post, &foot, 1.0).expect("they touch");
    assert!((x - 5.0 * 25.4).abs() < 1e-6 && (y - 0.75 * 25.4).abs() < 1e-6, "the middle of the shared edge");
    assert!(meeting(&part("far", (40.0, 50.0), (1.0, 1.0), 0.0), &foot, 5.0).is_none());
    for turn in (-170..=170).step_by(17) {
        let brace = part("brace", (30.0, 20.0), (18.0, 2.0), f64::from(turn));
        let (x, y) = meeting(&brace, &post, f64::INFINITY).expect("a nearest place");
        let (a, b) = (walked(&brace), walked(&post));
        let apart = |p: &(f64, f64), q: &(f64, f64)| (p.0 - q.0).hypot(p.1 - q.1);
        let nearest = a
            .iter()
            .step_by(4)
            .flat_map(|p| b.iter().step_by(4).map(move |q| (apart(p, q), p, q)))
            .min_by(|l, r| l.0.total_cmp(&r.0))
            .expect("points");
        // Half the gap from either outline, to within the step of the walk.
        let off = |to: &[(f64, f64)]| to.iter().map(|q| apart(&(x, y), q)).fold(f64::INFINITY, f64::min);
        assert!((off(&a) - nearest.0 / 2.0).abs() < 3.0, "{turn}: {} and {}", off(&a), nearest.0);
        assert!((off(&b) - nearest.0 / 2.0).abs() < 3.0, "{turn}");
    }
}

#[test]
fn a_weldment_is_drawn_from_its_parts_and_loses_no_joint() {
    let legend = (Standard::Iso, Units::Metric);
    let parts = [
        part("left foot", (0.0, 0.0), (10.0, 0.75), 0.0),
        part("left post", (3.0, 0.75), (4.0, 90.75), 0.0),
        part("beam", (0.0, 91.5), (72.0, 4.0), 0.0),
        part("right post", (65.0, 0.75), (4.0, 90.75), 0.0),
    ];
    for symbol in every_symbol().into_iter().step_by(5) {
        let joint =
            |id: &str, a, b| Joint { id: id.to_owned(), symbol: symbol.clone(), spot: Seam::Parts(a, b) };
        let joints = [joint("W1", 0, 1), joint("W2", 2, 3), joint("W3", 0, 3), joint("W4", 7, 1)];
        let map = weldment("Hoist frame", &parts, &joints, legend);
        let drawing = map.drawing.expect("a frame").drawing;
        apart(&drawing, &symbol.words());
        assert_eq!(map.shown, ["W1", "W2"], "parts that stand apart, or are none, have no place");
        for id in &map.shown {
            assert!(drawing.labels.iter().any(|l| l.text.starts_with(id.as_str())), "{id} on the drawing");
            assert!(drawing.alt.contains(id.as_str()), "{}", drawing.alt);
        }
        for spot in drawing.paths.iter().map(|p| p.start) {
            assert!(spot.x >= 0.0 && spot.x <= drawing.size.x && spot.y >= 0.0 && spot.y <= drawing.size.y);
        }
    }
    for size in [0.0, 1.0, 1e5] {
        let parts = [part("a", (0.0, 0.0), (size, size), 0.0), part("b", (size, 0.0), (size, size), 0.0)];
        let symbol = every_symbol().remove(0);
        let joints = [Joint { id: "W1".to_owned(), symbol, spot: Seam::Parts(0, 1) }];
        let map = weldment("Frame", &parts, &joints, legend);
        assert_eq!(map.drawing.is_some(), size > 0.0, "nothing is drawn of parts without a size");
    }
}

/// Fields of the job that have a direction but no sketch, and why.
const WITHOUT_SKETCH: [(&str, &str); 3] = [
    ("joint.backing", "a thickness; what it stands behind is no direction"),
    ("part.up", "drawn itself in the weld map"),
    ("part.turn", "drawn itself in the weld map"),
];

/// Walks the schema: a field whose help names a sign or a direction has a sketch.
#[test]
fn every_field_with_a_sign_or_a_direction_has_a_sketch() {
    fn walk(node: &serde_json::Value, path: &str, found: &mut Vec<(String, String)>) {
        for (key, field) in node["properties"].as_object().into_iter().flatten() {
            let path = if path.is_empty() { key.clone() } else { format!("{path}.{key}") };
            let help = field["description"].as_str().unwrap_or_default();
            let example = field["examples"][0].as_str().unwrap_or_default();
            // A length or an angle: everything else has no direction in space.
            if [" in", " mm", " deg"].iter().any(|unit| example.ends_with(unit)) {
                found.push((path.clone(), help.to_owned()));
            }
            walk(field, &path, found);
            walk(&field["items"], &path, found);
        }
    }
    const SIGNS: [&str; 20] = [
        "positive",
        "negative",
        "signed",
        "sign as",
        " ahead",
        " behind",
        "forward",
        "rearward",
        "inboard",
        "outboard",
        " above",
        "below",
        "falling",
        "upward",
        "counterclockwise",
        "toe",
        "caster",
        " up ",
        "slope",
        "from the foot",
    ];
    // Tolerances and limits have a size, not a direction.
    const SIZES: [&str; 6] = ["may be off", "may differ", "Most ", "limit", "Its size", "allowed"];
    let mut found = Vec::new();
    walk(&tackwright::job::schema::job_schema(), "", &mut found);
    let asked: Vec<_> = found
        .iter()
        .filter(|(_, help)| {
            let low = help.to_lowercase();
            SIGNS.iter().any(|s| low.contains(s)) && !SIZES.iter().any(|s| help.contains(s))
        })
        .collect();
    assert!(asked.len() > 25, "{} fields ask for a direction", asked.len());
    for (path, help) in asked {
        let excused = WITHOUT_SKETCH.iter().any(|(key, _)| path.ends_with(key));
        assert!(excused || Sketch::of_key(path).is_some(), "{path} has no sketch: {help}");
    }
    // And no sketch names a key that is not there.
    for one in Sketch::ALL {
        for key in one.keys() {
            let there = |path: &String| {
                let plain: Vec<&str> = path.split('.').filter(|p| !matches!(*p, "left" | "right")).collect();
                plain.join(".").ends_with(key)
            };
            assert!(found.iter().any(|(path, _)| there(path)), "{key} of sketch {}", one.word());
        }
    }
}

#[test]
fn sketches_keep_their_labels_apart_over_the_range_of_angles() {
    let plain = Values::default();
    for one in Sketch::ALL {
        apart(&sketch(one, &plain).drawing, one.word());
    }
    for tenths in (-450..=450).step_by(15) {
        let angle = degrees(f64::from(tenths) / 10.0);
        for depth in [0.05, 0.265625, 1.0] {
            let values = Values {
                caster: Some(angle),
                lean: Some(angle),
                inclination: Some(angle),
                camber: Some(angle),
                pinion: Some(angle),
                pinion_ahead: tenths % 2 == 0,
                shackle: Some(angle),
                depth: Some(inch(depth)),
                offset: Some(inch(depth)),
                knuckle: None,
                nuts: None,
                metric: tenths % 2 == 0,
            };
            for one in Sketch::ALL {
                let drawn = sketch(one, &values);
                apart(&drawn.drawing, &format!("{} at {tenths}", one.word()));
                assert!(drawn.caption.starts_with(&format!("Sketch {}.", one.number())));
            }
        }
        for (side, od) in [(Side::Left, 2.0), (Side::Right, 3.25), (Side::Left, 5.5)] {
            let view = EndView {
                side,
                tube_od: inch(od),
                caster_before: angle,
                caster_after: degrees(6.0),
                rotation: degrees(6.0) - angle,
                mark_arc: inch(0.5),
                units: if tenths % 2 == 0 { Units::Inch } else { Units::Metric },
            };
            apart(&small_end_view(&view).drawing, &format!("knuckle at {tenths}"));
        }
    }
}

#[test]
fn a_key_names_its_sketch() {
    assert_eq!(Sketch::of_key("axle[0].knuckle.left.caster"), Some(Sketch::Caster));
    assert_eq!(Sketch::of_key("axle.pinion.angle"), Some(Sketch::Pinion));
    assert_eq!(Sketch::of_key("axle.tube.od"), None);
    let numbers: Vec<usize> = Sketch::ALL.into_iter().map(Sketch::number).collect();
    assert_eq!(numbers, (1..=Sketch::ALL.len()).collect::<Vec<_>>());
}
