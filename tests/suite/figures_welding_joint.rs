//! Cross-sections, deposition and distortion against profiles integrated
//! numerically, wire weighed by the hour, and points of a rim moved one by one.

#![allow(clippy::disallowed_methods, reason = "the checks must not share the program's mathematics library")]

use tackwright::app::reckon;
use tackwright::figure::welding::groove::{Groove, Preparation};
use tackwright::figure::welding::{deposition, seam_shrinkage, shrinkage};
use tackwright::figure::{Figure, registry};
use tackwright::quantity::{Angle, Area, Density, Dimensioned, Length, Speed, unit};

fn reckoned(family: &str, pairs: &[(&str, &str)]) -> Vec<Figure> {
    let family = registry::find(family).expect("a family");
    let given = reckon::read_inputs(family, pairs.iter().copied()).expect("readable inputs");
    family.reckon(&given).unwrap_or_else(|t| panic!("{}: {t}", family.name))
}

fn si(figures: &[Figure], id: &str) -> f64 {
    let figure = figures.iter().find(|f| f.id == id).unwrap_or_else(|| panic!("no {id}"));
    figure.value.quantity().expect("a quantity").si()
}

fn mm(value: f64) -> Length {
    Length::of(value, unit::MM)
}

/// Width of a groove at depth z from the top, cut edge by edge.
fn width_at(groove: &Groove, z: f64) -> f64 {
    let t = groove.thickness.to(unit::MM);
    let f = groove.root_face.to(unit::MM);
    let r = groove.root_opening.to(unit::MM);
    let a = groove.angle.to(unit::DEG).to_radians();
    let (edge, edges) = match groove.preparation {
        Preparation::Square => (0.0, 0.0),
        Preparation::SingleV | Preparation::DoubleV => (a / 2.0, 2.0),
        Preparation::SingleBevel | Preparation::DoubleBevel => (a, 1.0),
    };
    let from_root = match groove.preparation {
        Preparation::DoubleV | Preparation::DoubleBevel => ((z - t / 2.0).abs() - f / 2.0).max(0.0),
        _ => (t - f - z).max(0.0),
    };
    r + edges * from_root * edge.tan()
}

#[test]
fn groove_areas_are_the_integrals_of_their_profiles() {
    for preparation in [
        Preparation::Square,
        Preparation::SingleV,
        Preparation::DoubleV,
        Preparation::SingleBevel,
        Preparation::DoubleBevel,
    ] {
        let groove = Groove {
            preparation,
            thickness: mm(16.0),
            angle: Angle::of(50.0, unit::DEG),
            root_face: mm(2.0),
            root_opening: mm(3.0),
            cap_height: mm(1.5),
            cap_width: None,
        };
        let section = groove.section().expect("a groove");
        let n = 200_000;
        let dz = 16.0 / f64::from(n);
        let flat: f64 = (0..n).map(|i| width_at(&groove, (f64::from(i) + 0.5) * dz) * dz).sum();
        let got = (section.opening + section.triangles).to(unit::MM2);
        assert!((got - flat).abs() < 1e-4, "{preparation:?}: {got} against {flat}");
        // A cap is a parabola over the mouth, once for each welded side.
        let mouth = width_at(&groove, 0.0);
        assert!((section.width.to(unit::MM) - mouth).abs() < 1e-9);
        let dx = mouth / f64::from(n);
        let bulge: f64 = (0..n)
            .map(|i| {
                let x = ((f64::from(i) + 0.5) * dx - mouth / 2.0) / (mouth / 2.0);
                1.5 * (1.0 - x * x) * dx
            })
            .sum();
        let sides =
            if matches!(preparation, Preparation::DoubleV | Preparation::DoubleBevel) { 2.0 } else { 1.0 };
        assert!((section.cap.to(unit::MM2) - sides * bulge).abs() < 1e-4, "{preparation:?}");
    }
}

#[test]
fn a_double_preparation_takes_less_metal_than_a_single_one() {
    let groove = |preparation| Groove {
        preparation,
        thickness: mm(25.0),
        angle: Angle::of(60.0, unit::DEG),
        root_face: mm(2.0),
        root_opening: mm(3.0),
        cap_height: mm(0.0),
        cap_width: None,
    };
    let area = |p| groove(p).section().expect("a groove").total();
    assert!(area(Preparation::DoubleV) < area(Preparation::SingleV));
    // All the V metal but the opening is halved.
    let v = groove(Preparation::SingleV).section().expect("a groove").triangles;
    let x = groove(Preparation::DoubleV).section().expect("a groove").triangles;
    assert!((x.si() / v.si() - 0.5).abs() < 1e-12);
}

#[test]
fn melt_off_is_the_wire_that_passes_in_an_hour() {
    // Weigh an hour of wire: a cylinder of that length.
    let (d, feed) = (0.9, 7620.0);
    let volume_mm3 = std::f64::consts::PI * (d / 2.0_f64).powi(2) * feed * 60.0;
    let kilograms = volume_mm3 * 1e-9 * 7850.0;
    let rate = deposition::melt_off(mm(d), Speed::of(feed, unit::MM_MIN), Density::of(7850.0, unit::KG_M3));
    assert!((rate.to(unit::KG_H) / kilograms - 1.0).abs() < 1e-12);
}

#[test]
fn weld_metal_times_and_masses_balance() {
    let figures = reckoned(
        "weld-metal",
        &[
            ("leg", "6 mm"),
            ("length", "1 m"),
            ("process", "GMAW"),
            ("wire_diameter", "1.2 mm"),
            ("wire_feed", "8 m/min"),
            ("operating_factor", "25 %"),
        ],
    );
    // The wire that ran during the arc time weighs what must be bought.
    let wire = si(&figures, "melt_off") * si(&figures, "arc_time");
    assert!((wire / si(&figures, "filler") - 1.0).abs() < 1e-12);
    assert!((si(&figures, "travel_speed") * si(&figures, "arc_time") - 1.0).abs() < 1e-12);
    assert!((si(&figures, "clock_time") / si(&figures, "arc_time") - 4.0).abs() < 1e-12);
    assert!(si(&figures, "filler") > si(&figures, "mass"));
}

/// Points of a rim drawn along the tube by `draw`, and the plane through
/// them by least squares: mean, slope up, slope forward.
fn plane_through_rim(diameter: f64, draw: impl Fn(f64) -> f64) -> (f64, f64, f64) {
    let n = 360;
    let (mut mean, mut up, mut forward) = (0.0, 0.0, 0.0);
    for i in 0..n {
        let a = f64::from(i).to_radians();
        let (z, x) = (diameter / 2.0 * a.cos(), diameter / 2.0 * a.sin());
        let s = draw(a);
        mean += s / f64::from(n);
        up += 2.0 * s * z / (f64::from(n) * (diameter / 2.0).powi(2));
        forward += 2.0 * s * x / (f64::from(n) * (diameter / 2.0).powi(2));
    }
    (mean, up, forward)
}

#[test]
fn a_seam_tilts_the_knuckle_by_the_plane_through_its_rim() {
    let d = 76.2;
    // Draw 1 mm, 0.2 mm more at the top, 0.1 mm more at the front.
    let draw = |a: f64| 1.0 + 0.2 * a.cos() + 0.1 * a.sin();
    let (mean, up, forward) = plane_through_rim(d, draw);
    let figures = reckoned(
        "seam-shrinkage",
        &[
            ("seam_diameter", "76.2 mm"),
            ("top", "1.2 mm"),
            ("bottom", "0.8 mm"),
            ("front", "1.1 mm"),
            ("rear", "0.9 mm"),
        ],
    );
    assert!((si(&figures, "draw") * 1000.0 - mean).abs() < 1e-9);
    // The sine of the tilt of a rigid rim; the slope of the plane is its
    // tangent. They agree to the third power of the angle.
    assert!((si(&figures, "inclination_change") - up.atan()).abs() < 1e-6);
    assert!((si(&figures, "camber_change") + up.atan()).abs() < 1e-6);
    assert!((si(&figures, "toe_change") - forward.atan()).abs() < 1e-6);
    assert!(si(&figures, "tilt_worst") > si(&figures, "inclination_change"));
}

#[test]
fn a_tilt_keeps_the_rim_rigid_and_a_turn_moves_every_point_alike() {
    let d = 80.0;
    let tilt = seam_shrinkage::tilt(mm(0.9), mm(d)).expect("small").si();
    // Rotate the top and bottom of the rim: their draw along the tube differs by
    // what was entered and their distance stays.
    let top = (d / 2.0 * tilt.sin(), d / 2.0 * tilt.cos());
    let bottom = (-top.0, -top.1);
    assert!((top.0 - bottom.0 - 0.9).abs() < 1e-12);
    assert!((libm::hypot(top.0 - bottom.0, top.1 - bottom.1) - d).abs() < 1e-9);
    let turn = seam_shrinkage::turn(mm(0.5), mm(d)).si();
    for i in 0..8 {
        let a = f64::from(i) * 0.7;
        let steps = 1000;
        let arc: f64 = (0..steps)
            .map(|n| {
                let (p, q) = (
                    a + turn * f64::from(n) / f64::from(steps),
                    a + turn * f64::from(n + 1) / f64::from(steps),
                );
                libm::hypot(d / 2.0 * (q.cos() - p.cos()), d / 2.0 * (q.sin() - p.sin()))
            })
            .sum();
        assert!((arc - 0.5).abs() < 1e-6);
    }
}

#[test]
fn shrinkage_is_free_of_scale_and_the_band_is_ordered() {
    let (low, high) = shrinkage::butt(
        Area::of(0.1235, unit::IN2_AREA),
        Length::of(0.375, unit::IN),
        Length::of(0.125, unit::IN),
    );
    assert!(low < high);
    let (low_mm, high_mm) = shrinkage::butt(Area::of(0.1235 * 645.16, unit::MM2), mm(9.525), mm(3.175));
    let same = |a: Length, b: Length| (a.si() / b.si() - 1.0).abs() < 1e-12;
    assert!(same(low, low_mm) && same(high, high_mm));
    let rise = |leg: f64| {
        shrinkage::edge_rise(Length::of(8.0, unit::IN), Length::of(leg, unit::IN), Length::of(0.5, unit::IN))
    };
    assert!((rise(0.5).si() / rise(0.25).si() - 2.0_f64.powf(1.3)).abs() < 1e-9);
}
