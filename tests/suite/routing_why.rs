//! Reasons for places in the route, and the picture of it.

use proptest::prelude::*;
use tackwright::routing::order::find;
use tackwright::routing::problem::{Moment, Point, Problem};
use tackwright::routing::replay::faults;
use tackwright::routing::why::{Room, Stop, TieKind, why};
use tackwright::routing::{graph, numbers};
use tackwright::shape::{Extent, Form, Layer, Shape, Sheet, dxf, svg};

use super::routing::{add, build, op};

/// The order as `route --graph` draws it.
pub(super) fn graph_picture(problem: &Problem, order: &[usize], title: &str) -> String {
    svg::picture(&graph::sheet(problem, order, title))
}

fn example() -> (Problem, Vec<usize>) {
    let mut p = Problem::new();
    let on = p.state("wheels.on", "wheels.on", None, "");
    p.start_with(on);
    add(&mut p, "read", "front@lift", 1, "wheels.on +found");
    add(&mut p, "strip", "front@lift", 2, "found -wheels.on");
    add(&mut p, "brush", "front@bench", 3, "");
    add(&mut p, "weld", "front@weld bay", 4, "!wheels.on +welded");
    add(&mut p, "wheels", "front@lift", 5, "welded +wheels.on");
    (p, vec![0, 1, 2, 3, 4])
}

#[test]
fn why_tells_needs_ties_and_room() {
    let (p, order) = example();
    assert_eq!(faults(&p, &order), vec![]);
    let weld = why(&p, &order, 3).unwrap();
    assert_eq!((weld.position, weld.needs[0].since, weld.needs[0].must_be), (3, Some(1), false));
    assert_eq!(
        weld.ties.iter().map(|t| (t.later, t.kind)).collect::<Vec<_>>(),
        [(4, TieKind::Provides), (4, TieKind::ForbidsBeforeProvided)]
    );
    assert_eq!(
        weld.sentences(&p, &order),
        [
            "It waits for 20 strip: no longer \"wheels.on\".",
            "The chain that leads to it: 10 read > 20 strip > 40 weld.",
            "It comes before 50 wheels: welded; it has to be done before \"wheels.on\".",
            "It could move one place earlier, but not before 20 strip: that one first ends \"wheels.on\".",
            "It can't go after 50 wheels: that one needs what this one gives: welded.",
        ]
    );
    let read = why(&p, &order, 0).unwrap();
    assert_eq!(read.needs[0].since, None);
    assert_eq!(read.earlier, Room { places: 0, stop: Stop::End });
    let said = read.sentences(&p, &order);
    assert_eq!(said[0], "It waits for nothing.");
    assert_eq!(said[1], "It comes before 20 strip: found; it needs \"wheels.on\", which ends there.");
    assert_eq!(said[2], "It can't move earlier: it stands at the start.");
    let strip = why(&p, &order, 1).unwrap();
    assert_eq!(strip.ties[0].kind, TieKind::Clears);
    let brush = why(&p, &order, 2).unwrap();
    assert_eq!((brush.earlier.places, brush.later.places), (2, 2));
    assert_eq!(
        brush.sentences(&p, &order),
        [
            "It waits for nothing.",
            "It could move 2 places earlier, to the start.",
            "It could move 2 places later, to the end.",
        ]
    );
    assert!(why(&p, &order, 9).is_none());
    assert!(why(&p, &order[..2], 3).is_none());
}

#[test]
fn holds_and_hand_over_stop_a_move() {
    let mut p = Problem::new();
    let mut gate = op(&mut p, "gate", "front@bench", 1, "");
    gate.points.push(Point::hold(Moment::After, "lead", "checked"));
    p.add(gate).unwrap();
    add(&mut p, "dress", "front@bench", 2, "");
    let mut late = op(&mut p, "late", "front@bench", 3, "");
    late.deferred = true;
    p.add(late).unwrap();
    let dress = why(&p, &[0, 1, 2], 1).unwrap();
    assert_eq!(dress.earlier, Room { places: 0, stop: Stop::Hold { operation: 0 } });
    assert_eq!(dress.later, Room { places: 0, stop: Stop::HandOver { operation: 2 } });
}

#[test]
fn the_picture_shows_everything_and_escapes_it() {
    let (mut p, _) = example();
    let mut odd = op(&mut p, "odd", "a<b & \"c\"@bay <1>", 9, "welded");
    odd.title = "<script>alert('x')</script> & more \u{0}\u{7}".to_owned();
    odd.minutes = 25;
    odd.points.push(Point::hold(Moment::Before, "le<ad", "]]> all & sundry"));
    p.add(odd).unwrap();
    let route = find(&p);
    let order = &route.route().unwrap().order;
    let svg = graph_picture(&p, order, "T");
    assert_eq!(svg, graph_picture(&p, order, "T"));
    assert!(!svg.contains("<script") && !svg.contains("le<ad") && !svg.contains('\u{0}'));
    let number = order.iter().position(|&i| p.operations()[i].key == "odd").map(numbers::number);
    let bar = format!("HOLD before {}: le&lt;ad signs: ]]&gt; all &amp; sundry", number.unwrap());
    for text in ["&lt;script&gt;alert", &bar, "welded", "found", "lift", "weld bay", "25 min"] {
        assert!(svg.contains(text), "{text} is not in the picture");
    }
    for position in 0..order.len() {
        assert_eq!(svg.matches(&format!(">{}</text>", numbers::number(position))).count(), 1);
    }
    // Two needs of `welded` and one of `found` have arrows.
    let sheet = graph::sheet(&p, order, "T");
    let heads = |s: &&Shape| s.layer == Layer::Link && matches!(s.form, Form::Path { .. });
    assert_eq!(sheet.shapes.iter().filter(heads).count(), 3);
    readable(&sheet);
    // For who does not see it: every operation in order, every hold, what a box needs.
    for text in ["10 ", "HOLD before", "at weld bay", "a<b & \"c\""] {
        assert!(sheet.alt.contains(text), "{text} in {}", sheet.alt);
    }
    assert!(sheet.shapes.iter().any(|s| s.told.contains("needs: ")));
    // The same shapes for a plotter.
    let plotted = dxf::write(&sheet);
    assert!(plotted.contains("outline") && plotted.contains("HOLD before"));
    well_formed(&svg);
    well_formed(&graph_picture(&Problem::new(), &[], "T"));
    well_formed(&graph_picture(&p, &[99], "T"));
}

/// No words on words, and no line through words.
pub(crate) fn readable(sheet: &Sheet) {
    let words: Vec<(&Shape, Extent)> = sheet
        .shapes
        .iter()
        .filter(|s| matches!(s.form, Form::Text { .. }))
        .map(|s| (s, s.extent()))
        .collect();
    assert!(!words.is_empty());
    for (i, (a, here)) in words.iter().enumerate() {
        for (b, there) in &words[i + 1..] {
            assert!(!here.touches(there, 0.0), "{:?} on {:?}", a.form, b.form);
        }
    }
    for shape in &sheet.shapes {
        let Some((mut points, closed)) = shape.lines() else { continue };
        if closed {
            points.push(points[0]);
        }
        for pair in points.windows(2) {
            let mut reach = Extent::NONE;
            pair.iter().for_each(|p| reach.take(*p));
            for (word, extent) in words.iter().filter(|(_, e)| e.touches(&reach, 0.0)) {
                let through = (0..=400).map(|i| f64::from(i) / 400.0).any(|share| {
                    let x = pair[0].x + share * (pair[1].x - pair[0].x);
                    let y = pair[0].y + share * (pair[1].y - pair[0].y);
                    x > extent.low.x && x < extent.high.x && y > extent.low.y && y < extent.high.y
                });
                assert!(!through, "{:?} through {:?}", shape.form, word.form);
            }
        }
    }
}

/// Every tag closes in order, and attributes are quoted.
fn well_formed(svg: &str) {
    let mut open = Vec::new();
    let mut rest = svg;
    while let Some(start) = rest.find('<') {
        assert!(!rest[..start].contains('>'), "stray > in {}", &rest[..start]);
        let end = start + rest[start..].find('>').expect("a tag ends");
        let tag = &rest[start + 1..end];
        assert_eq!(tag.matches('"').count() % 2, 0, "{tag}");
        if let Some(name) = tag.strip_prefix('/') {
            assert_eq!(open.pop(), Some(name.to_owned()));
        } else if !tag.ends_with('/') {
            open.push(tag.split_whitespace().next().unwrap_or_default().to_owned());
        }
        rest = &rest[end + 1..];
    }
    assert!(open.is_empty(), "{open:?}");
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(200))]

    /// The room of an operation is real: moved that far the order works, one
    /// further it does not.
    #[test]
    fn room_is_exact(
        recipes in prop::collection::vec((0..3_u8, 0..3_u8, 0..8_u32, prop::collection::vec(0..6_u8, 0..=2),
            prop::collection::vec(0..6_u8, 0..=2), prop::collection::vec(0..6_u8, 0..=1),
            prop::collection::vec(0..6_u8, 0..=1), 1..5_u8, 0..10_u8), 1..=12),
        initial in prop::collection::vec(0..6_u8, 0..=4),
        pick in 0..12_usize,
    ) {
        let p = build(&recipes, &initial, 6);
        if let Some(route) = find(&p).route() {
            let position = pick % route.order.len();
            let me = route.order[position];
            let why = why(&p, &route.order, me).expect("in the route");
            let moved = |to: usize| {
                let mut order = route.order.clone();
                order.remove(position);
                order.insert(to, me);
                faults(&p, &order).is_empty()
            };
            for step in 1..=why.earlier.places {
                prop_assert!(moved(position - step));
            }
            for step in 1..=why.later.places {
                prop_assert!(moved(position + step));
            }
            let further = position.checked_sub(why.earlier.places + 1);
            prop_assert_eq!(why.earlier.stop == Stop::End, further.is_none());
            if let Some(to) = further {
                prop_assert!(!moved(to));
            }
            let further = position + why.later.places + 1;
            prop_assert_eq!(why.later.stop == Stop::End, further == route.order.len());
            if further < route.order.len() {
                prop_assert!(!moved(further));
            }
        }
    }
}
