//! What weld symbols look like by the rules of AWS A2.4:2020 and ISO 2553:2019, told
//! from memory as in `weld_symbols`.

use tackwright::traveler::drawing::{Canvas, Spot};
use tackwright::traveler::weld::strokes::{ArrowEnd, draw};
use tackwright::traveler::weld::{At, Kind, Standard, Symbol};

use crate::weld_symbols::{LINE_Y, drawn, fillet, inch, label, middle, mm, points};

/// AWS A2.4:2020, figure of the weld symbols (clause 4, from memory); ISO 2553:2019,
/// table 1 (from memory): what each elementary symbol looks like, standing on the line of
/// its side, the upright stroke of fillet, bevel and flare bevel at the left.
#[test]
fn every_kind_has_the_shape_of_its_rule() {
    for (standard, away) in [(Standard::Aws, 1.0), (Standard::Iso, -1.0)] {
        let of = |kind| {
            let symbol = Symbol { kind, size: None, length: None, tail: String::new(), ..fillet(standard) };
            let all: Vec<Vec<Spot>> = drawn(&symbol).paths.iter().map(points).collect();
            // What begins or ends on the line, right of the junction.
            let on = |p: &Spot| (p.y - LINE_Y).abs() < 1e-9 && p.x > 31.0;
            let level = |path: &[Spot]| path.windows(2).all(|w| (w[0].y - w[1].y).abs() < 1e-9);
            all.into_iter().filter(|p| p.iter().any(on) && !level(p)).collect::<Vec<_>>()
        };
        let out = |p: &Spot| (p.y - LINE_Y) * away;
        let strokes = of(Kind::Fillet);
        let [leg] = strokes.as_slice() else { panic!("{strokes:?}") };
        assert!(leg[0].x == leg[1].x && out(&leg[1]) > 0.0 && leg[2].x > leg[0].x, "a triangle");
        let strokes = of(Kind::V);
        let [v] = strokes.as_slice() else { panic!("{strokes:?}") };
        assert!(out(&v[0]) > 0.0 && out(&v[1]) == 0.0 && out(&v[2]) == out(&v[0]), "a V on its point");
        assert!((v[1].x - v[0].x - (v[2].x - v[1].x)).abs() < 1e-9, "alike on both sides");
        let strokes = of(Kind::Bevel);
        let [bevel] = strokes.as_slice() else { panic!("{strokes:?}") };
        assert!(bevel[0].x == bevel[1].x && out(&bevel[1]) == 0.0 && bevel[2].x > bevel[1].x);
        assert!(out(&bevel[0]) > 0.0 && out(&bevel[2]) > 0.0);
        let strokes = of(Kind::Square);
        let [a, b] = strokes.as_slice() else { panic!("{strokes:?}") };
        assert!(a[0].x == a[1].x && b[0].x == b[1].x && a[0].x < b[0].x, "two upright strokes");
        assert!(out(&a[1]) > 0.0 && out(&a[1]) == out(&b[1]));
        let strokes = of(Kind::FlareBevel);
        let [upright, flare] = strokes.as_slice() else { panic!("{strokes:?}") };
        assert!(upright[0].x == upright[1].x && out(&upright[1]) > 0.0);
        let (foot, end) = (flare[0], *flare.last().unwrap());
        assert!(foot.x > upright[0].x && out(&foot).abs() < 1e-9 && end.x > foot.x && out(&end) > 0.0);
        // It leaves the line upright and bends away from the flat.
        let early = flare[1];
        assert!((early.x - foot.x).abs() < 0.3 * out(&early), "{flare:?}");
        let strokes = of(Kind::Plug);
        let [plug] = strokes.as_slice() else { panic!("{strokes:?}") };
        assert!(plug.len() == 4 && out(&plug[0]) == 0.0 && out(&plug[3]) == 0.0, "open toward the line");
        assert!(plug[0].x == plug[1].x && plug[2].x == plug[3].x && out(&plug[1]) == out(&plug[2]));
    }
}

/// AWS A2.4:2020, 7 and figure 4.3 (from memory); ISO 2553:2019, 4.5 (from memory): backing
/// that stays is a rectangle on the side opposite the groove. The tail is a fork at the
/// end without the arrow, and what it says stands in it.
#[test]
fn backing_is_opposite_the_groove_and_the_tail_opposite_the_arrow() {
    for standard in [Standard::Aws, Standard::Iso] {
        for (at, kind) in [(At::Arrow, Kind::V), (At::Other, Kind::Bevel), (At::Arrow, Kind::Square)] {
            let symbol = Symbol { at, kind, backing: true, length: None, ..fillet(standard) };
            let all: Vec<Vec<Spot>> = drawn(&symbol).paths.iter().map(points).collect();
            let rectangle = all.iter().find(|p| p.len() == 4 && p[1].y == p[2].y && p[0].x == p[1].x);
            let rectangle = rectangle.expect("a rectangle");
            let groove_below =
                matches!((standard, at), (Standard::Aws, At::Arrow) | (Standard::Iso, At::Other));
            assert_eq!(rectangle[1].y > LINE_Y, !groove_below, "{standard:?} {at:?}");
        }
        for (end, arrow_left) in [(ArrowEnd::Left, true), (ArrowEnd::Right, false)] {
            let mut canvas = Canvas::new(Spot::new(160.0, 80.0));
            draw(&mut canvas, &fillet(standard), Spot::new(80.0, LINE_Y), end, Spot::new(80.0, 70.0));
            let drawing = canvas.finish("");
            let tail = middle(label(&drawing, "WPS-1"));
            assert_eq!(tail.x > 80.0, arrow_left, "the tail is at the other end than the arrow");
            let fork =
                drawing.paths.iter().map(points).find(|p| {
                    p.len() == 3 && p[1].y == LINE_Y && (p[0].y + p[2].y - 2.0 * LINE_Y).abs() < 1e-9
                });
            let fork = fork.expect("a fork");
            assert_eq!(fork[0].x > fork[1].x, arrow_left, "open away from the arrow");
        }
        let bare = drawn(&Symbol { tail: String::new(), ..fillet(standard) });
        assert!(bare.labels.iter().all(|l| l.text != "WPS-1"));
    }
}

/// AWS A2.4:2020, 9 (from memory): of plugs the diameter stands left, the pitch right.
/// ISO 2553:2019, 5 (from memory): `d` and the diameter left, number (pitch) right; of
/// slots the length as of any seam.
#[test]
fn plugs_tell_their_diameter_and_pitch() {
    let plug = |standard| Symbol { kind: Kind::Plug, count: 5, length: None, ..fillet(standard) };
    let aws = Symbol { size: Some(inch(0.75)), pitch: Some(inch(6.0)), ..plug(Standard::Aws) };
    assert_eq!((aws.left().as_str(), aws.right().as_str()), ("3/4", "6"));
    assert_eq!(aws.tail(), "WPS-1, 5 off");
    let iso = Symbol { size: Some(mm(20.0)), pitch: Some(mm(150.0)), ..plug(Standard::Iso) };
    assert_eq!((iso.left().as_str(), iso.right().as_str()), ("d20", "5 (150)"));
    let slot = Symbol { length: Some(mm(60.0)), ..iso };
    assert_eq!(slot.right(), "5 × 60 (90)");
    assert_eq!(Symbol { pitch: None, ..aws }.right(), "");
}
