//! Axle, steering and knuckle figures against oracles written apart from them:
//! rotation matrices, brute-force roots, summed polygons, random draws.

#![allow(clippy::disallowed_methods, reason = "an oracle uses the platform's mathematics, not the program's")]

use proptest::prelude::*;
use tackwright::app::reckon;
use tackwright::figure::geometry::axis::WheelAngles;
use tackwright::figure::geometry::caster::{frame_pitch, kingpin_sweep_caster, plate_sweep_caster};
use tackwright::figure::geometry::cut_depth::{Limits, depth_uncertainty};
use tackwright::figure::geometry::knuckle_rotation::{Finder, difference_uncertainty};
use tackwright::figure::geometry::knuckle_turn::{steer_to, turn_knuckle};
use tackwright::figure::geometry::lift::{Shackle, eye_drop, eye_swing};
use tackwright::figure::geometry::scribe_mark::{apparent_rotation, arc, chord, rotation_of_arc};
use tackwright::figure::{Given, InputKind, Need, Trouble, Value, registry};
use tackwright::quantity::{Angle, Dimensioned, Kind, Length, Number, Quantity, unit};

type Matrix = [[f64; 3]; 3];
type Vector = [f64; 3];

fn deg(x: f64) -> Angle {
    Angle::of(x, unit::DEG)
}

fn mm(x: f64) -> Length {
    Length::of(x, unit::MM)
}

fn close(a: f64, b: f64, room: f64) -> bool {
    (a - b).abs() <= room
}

/// Runs a family as a person does and gives one output in SI units.
pub(crate) fn reckoned(family: &str, inputs: &[(&str, &str)], output: &str) -> Result<f64, Trouble> {
    let family = registry::find(family).expect("a family");
    let given = reckon::read_inputs(family, inputs.iter().copied()).expect("readable inputs");
    let figures = family.reckon(&given)?;
    let figure = figures.iter().find(|f| f.id == output).expect("the output");
    match &figure.value {
        Value::Quantity { quantity, .. } => Ok(quantity.si()),
        other => panic!("{output} is {other:?}"),
    }
}

fn times(m: Matrix, v: Vector) -> Vector {
    m.map(|row| row[0] * v[0] + row[1] * v[1] + row[2] * v[2])
}

/// Matrix that carries the top of a wheel rearward by `r` about the tube.
fn about_tube(r: f64) -> Matrix {
    [[r.cos(), 0.0, -r.sin()], [0.0, 1.0, 0.0], [r.sin(), 0.0, r.cos()]]
}

/// Matrix of a right-handed turn about a unit axis, from its generator's powers.
fn about(k: Vector, a: f64) -> Matrix {
    let g = [[0.0, -k[2], k[1]], [k[2], 0.0, -k[0]], [-k[1], k[0], 0.0]];
    let mut m = [[0.0; 3]; 3];
    for i in 0..3 {
        for j in 0..3 {
            let square: f64 = (0..3).map(|n| g[i][n] * g[n][j]).sum();
            m[i][j] = f64::from(u8::from(i == j)) + a.sin() * g[i][j] + (1.0 - a.cos()) * square;
        }
    }
    m
}

/// Steering axis of the wheel on `side` (left +1, right -1).
fn axis_of(t: f64, s: f64, side: f64) -> Vector {
    [-t.tan(), -side * s.tan(), 1.0]
}

fn spindle_of(c: f64, e: f64, side: f64) -> Vector {
    [e.sin() * c.cos(), side * e.cos() * c.cos(), -c.sin()]
}

fn unit_vector(v: Vector) -> Vector {
    let n = (v[0] * v[0] + v[1] * v[1] + v[2] * v[2]).sqrt();
    v.map(|x| x / n)
}

fn bisect(f: impl Fn(f64) -> f64, mut low: f64, mut high: f64) -> f64 {
    let up = f(high) > 0.0;
    assert_ne!(f(low) > 0.0, up, "the oracle's bracket has no sign change");
    for _ in 0..100 {
        let middle = 0.5 * (low + high);
        if (f(middle) > 0.0) == up { high = middle } else { low = middle }
    }
    0.5 * (low + high)
}

fn wheel(t: f64, s: f64, c: f64, e: f64) -> WheelAngles {
    WheelAngles { caster: deg(t), kpi: deg(s), camber: deg(c), toe: deg(e) }
}

proptest! {
    #[test]
    fn a_turned_knuckle_agrees_with_rotation_matrices_on_both_sides(
        t in -10.0..15.0_f64, s in 0.0..14.0_f64, c in -3.0..3.0_f64, e in -1.0..1.0_f64, r in -20.0..20.0_f64,
    ) {
        let after = turn_knuckle(wheel(t, s, c, e), deg(r));
        for side in [1.0, -1.0] {
            let turn = about_tube(r.to_radians());
            let k = times(turn, axis_of(t.to_radians(), s.to_radians(), side));
            let u = times(turn, spindle_of(c.to_radians(), e.to_radians(), side));
            prop_assert!(close(after.caster.si(), (-k[0]).atan2(k[2]), 1e-12));
            prop_assert!(close(after.kpi.si(), (-side * k[1]).atan2(k[2]), 1e-12));
            prop_assert!(close(after.camber.si(), (-u[2]).asin(), 1e-12));
            prop_assert!(close(after.toe.si(), u[0].atan2(side * u[1]), 1e-12));
        }
    }

    #[test]
    fn turning_there_and_back_restores_every_angle(
        t in -10.0..15.0_f64, s in 0.0..14.0_f64, c in -3.0..3.0_f64, e in -1.0..1.0_f64, r in -20.0..20.0_f64,
    ) {
        let start = wheel(t, s, c, e);
        let back = turn_knuckle(turn_knuckle(start, deg(r)), deg(-r));
        prop_assert!(close(back.caster.si(), start.caster.si(), 1e-13));
        prop_assert!(close(back.kpi.si(), start.kpi.si(), 1e-13));
        prop_assert!(close(back.camber.si(), start.camber.si(), 1e-13));
        prop_assert!(close(back.toe.si(), start.toe.si(), 1e-13));
    }

    #[test]
    fn the_inclination_grows_exactly_with_the_magnitude_of_caster(
        t in -10.0..10.0_f64, s in 1.0..14.0_f64, r in -15.0..15.0_f64,
    ) {
        prop_assume!((t.abs() - (t + r).abs()).abs() > 0.01);
        let after = turn_knuckle(wheel(t, s, 0.0, 0.0), deg(r));
        prop_assert_eq!(after.kpi > deg(s), (t + r).abs() > t.abs());
    }

    #[test]
    fn the_steer_to_zero_toe_agrees_with_a_brute_force_root(
        t in -8.0..12.0_f64, s in 2.0..14.0_f64, c in -3.0..3.0_f64, e in -2.0..2.0_f64,
    ) {
        let (steer, camber) = steer_to(wheel(t, s, c, e), Angle::from_si(0.0)).expect("a solution");
        let k = unit_vector(axis_of(t.to_radians(), s.to_radians(), 1.0));
        let u = spindle_of(c.to_radians(), e.to_radians(), 1.0);
        let root = bisect(|p| times(about(k, p), u)[0], -0.5, 0.5);
        prop_assert!(close(steer.si(), root, 1e-12));
        prop_assert!(close(camber.si(), (-times(about(k, root), u)[2]).asin(), 1e-12));
    }

    #[test]
    fn a_camber_sweep_gives_back_the_caster_that_made_it(
        t in -5.0..14.0_f64, s in 2.0..14.0_f64, c in -2.0..2.0_f64, sweep in 10.0..25.0_f64,
    ) {
        let k = unit_vector(axis_of(t.to_radians(), s.to_radians(), 1.0));
        let u = spindle_of(c.to_radians(), 0.0, 1.0);
        let p = sweep.to_radians();
        // Plates: the turn is read on the floor, so find the turn about the axis that shows it.
        let camber_at = |toe: f64| {
            let turn = bisect(|a| { let v = times(about(k, a), u); v[0].atan2(v[1]) - toe }, -1.2, 1.2);
            -times(about(k, turn), u)[2]
        };
        let plates = plate_sweep_caster(Number::from_si(camber_at(-p) - camber_at(p)), deg(sweep), deg(s), deg(c));
        prop_assert!(close(plates.expect("a caster").to(unit::DEG), t, 1e-7));
        let turned = |a: f64| -times(about(k, a), u)[2];
        let kingpin = kingpin_sweep_caster(Number::from_si(turned(p) - turned(-p)), deg(sweep), deg(s), deg(c));
        prop_assert!(close(kingpin.expect("a caster").to(unit::DEG), t, 1e-9));
    }

    #[test]
    fn frame_pitch_turns_the_steering_axis_as_a_matrix_does(
        t in -5.0..12.0_f64, front in 500.0..700.0_f64, rear in 500.0..700.0_f64, span in 1800.0..3000.0_f64,
    ) {
        let pitch = frame_pitch(mm(front), mm(rear), mm(span));
        // The line through both marks, laid level with the rest of the frame.
        let tilt = ((front - rear) / span).atan();
        let k = times(about_tube(tilt), axis_of(t.to_radians(), 0.15, 1.0));
        prop_assert!(close(t.to_radians() + pitch.si(), (-k[0]).atan2(k[2]), 1e-12));
    }

    #[test]
    fn a_longer_shackle_swings_the_eye_to_the_brute_force_root(
        old in 70.0..130.0_f64, more in 5.0..70.0_f64, lean in -30.0..40.0_f64, span in 900.0..1500.0_f64,
        line in -4.0..4.0_f64,
    ) {
        let (p, a0) = (lean.to_radians(), line.to_radians());
        let pin = [span * a0.cos() - old * p.sin(), span * a0.sin() + old * p.cos()];
        let length = |a: f64| (span * a.cos() - pin[0]).hypot(span * a.sin() - pin[1]);
        let root = bisect(|a| length(a) - (old + more), a0 - 0.3, a0);
        let swing = eye_swing(Shackle {
            old: mm(old), new: mm(old + more), lean: deg(lean), chord: mm(span), eye_line: deg(line),
        }).expect("a solution");
        prop_assert!(close(swing.tilt.si(), a0 - root, 1e-11));
        prop_assert!(close(swing.drop.to(unit::MM), span * (a0.sin() - root.sin()), 1e-8));
        prop_assert!(swing.drop.si() > 0.0 && swing.tilt.si() > 0.0);
    }

    #[test]
    fn the_eye_drop_formula_is_the_limit_of_a_long_spring(
        old in 80.0..120.0_f64, more in 2.0..60.0_f64, lean in 0.0..35.0_f64,
    ) {
        let formula = eye_drop(mm(old), mm(old + more), deg(lean)).expect("a drop");
        let far = eye_swing(Shackle {
            old: mm(old), new: mm(old + more), lean: deg(lean), chord: mm(1e7), eye_line: deg(0.0),
        }).expect("a swing");
        prop_assert!(close(formula.to(unit::MM), far.drop.to(unit::MM), 1e-3));
        // Divided by the cosine of the lean, never multiplied: always at least the change in length.
        prop_assert!(formula.to(unit::MM) >= more - 1e-9);
    }

    #[test]
    fn spring_under_takes_away_what_spring_over_gave(
        od in 60.0..100.0_f64, pack in 20.0..60.0_f64, low in 3.0..20.0_f64, high in 3.0..20.0_f64,
    ) {
        let text = |x: f64| format!("{x} mm");
        let run = |old: f64, new: f64, direction: &str| {
            let (od, pack, old, new) = (text(od), text(pack), text(old), text(new));
            let inputs = [("tube_od", od.as_str()), ("pack", &pack), ("seat_old", &old), ("seat_new", &new),
                ("direction", direction)];
            reckoned("lift", &inputs, "lift").expect("a lift")
        };
        let (up, down) = (run(low, high, "over"), run(high, low, "under"));
        prop_assert!(up > 0.0);
        prop_assert!(close(up + down, 0.0, 1e-12));
    }

    #[test]
    fn an_arc_is_the_sum_of_many_chords_and_leads_back(od in 40.0..120.0_f64, r in 0.1..45.0_f64) {
        let (d, a) = (mm(od), r.to_radians());
        let pieces = 20_000_u32;
        let sum: f64 = (0..pieces).map(|_| od * (0.5 * a / f64::from(pieces)).sin()).sum();
        prop_assert!(close(arc(d, deg(r)).to(unit::MM), sum, 1e-7));
        prop_assert!(chord(d, deg(r)) < arc(d, deg(r)));
        prop_assert!(close(rotation_of_arc(d, arc(d, deg(r))).to(unit::DEG), r, 1e-12));
    }

    #[test]
    fn an_eccentric_arc_agrees_with_points_on_the_surface(
        od in 50.0..100.0_f64, r in 1.0..20.0_f64, off in 0.0..2.0_f64, start in 0.0..360.0_f64,
    ) {
        // Rays from the axis of turning; where each meets the circle about (off, 0).
        let radius = 0.5 * od;
        let point = |a: f64| {
            let (c, s) = (a.cos(), a.sin());
            let reach = off * c + (radius * radius - off * off * s * s).sqrt();
            [reach * c, reach * s]
        };
        let pieces = 4000_u32;
        let angle = |i: u32| (start + r * f64::from(i) / f64::from(pieces)).to_radians();
        let length: f64 = (0..pieces)
            .map(|i| { let (p, q) = (point(angle(i)), point(angle(i + 1))); (q[0] - p[0]).hypot(q[1] - p[1]) })
            .sum();
        let seen = apparent_rotation(mm(od), deg(r), mm(off), deg(start));
        prop_assert!(close(arc(mm(od), seen).to(unit::MM), length, 1e-6));
        // Two marks half a turn apart cancel the first order of the eccentricity.
        let other = apparent_rotation(mm(od), deg(r), mm(off), deg(start + 180.0));
        let mean = 0.5 * (seen.to(unit::DEG) + other.to(unit::DEG));
        prop_assert!(close(mean, r, 1e-9));
    }

    #[test]
    fn one_more_wall_reading_never_deepens_the_cut(
        walls in prop::collection::vec(5.5..7.5_f64, 4..8), extra in 4.5..7.5_f64,
    ) {
        let text = |list: &[f64]| list.iter().map(|w| format!("{w} mm")).collect::<Vec<_>>().join(", ");
        let depth = |list: &[f64]| reckoned("cut-depth", &[("walls", &text(list)), ("nominal", "7 mm")], "depth").expect("a depth");
        let mut more = walls.clone();
        more.push(extra);
        let (before, after) = (depth(&walls), depth(&more));
        prop_assert!(after <= before);
        let least = more.iter().copied().fold(f64::MAX, f64::min) / 1000.0;
        prop_assert!(after < least, "the stop reaches the sleeve");
    }

    #[test]
    fn a_shim_leads_from_angle_to_thickness_and_back(angle in -14.0..14.0_f64, length in 60.0..200.0_f64) {
        let length = format!("{length} mm");
        let by_angle = [("angle", &*format!("{angle} deg")), ("length", &length)];
        let thick = reckoned("taper-shim", &by_angle, "difference").expect("a thickness");
        let by_thickness = [("difference", &*format!("{thick} m")), ("length", &*length)];
        let back = reckoned("taper-shim", &by_thickness, "angle").expect("an angle");
        prop_assert!(close(back, angle.to_radians().abs(), 1e-12));
    }
}

/// Figures of this part, for the tests that try anything on them.
const FAMILIES: &[&str] = &[
    "lift",
    "knuckle-turn",
    "knuckle-rotation",
    "rotation-table",
    "cross-caster",
    "caster-to-ground",
    "caster-sweep",
    "trail",
    "pinion-aim",
    "joint-angle",
    "taper-shim",
    "joint-motion",
    "joint-chain",
    "critical-speed",
    "shaft-length",
    "scribe-mark",
    "cut-depth",
    "groove-opening",
];

fn finite(value: &Value) -> bool {
    match value {
        Value::Quantity { quantity, uncertainty } => quantity.si().is_finite() && uncertainty.is_finite(),
        Value::List(list) => list.iter().all(finite),
        Value::Word(word) => !word.is_empty(),
        Value::Flag(_) => true,
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(400))]
    #[test]
    fn any_numbers_are_answered_or_refused(
        numbers in prop::collection::vec(prop_oneof![-3.0..3.0_f64, -500.0..500.0_f64, Just(0.0), -1e12..1e12_f64], 20),
        present in prop::collection::vec(any::<bool>(), 20),
        word in 0_usize..6,
    ) {
        for name in FAMILIES {
            let family = registry::find(name).expect("a family");
            let mut given = Given::new();
            for (i, input) in family.inputs.iter().enumerate() {
                if input.need != Need::Required && !present[i % 20] {
                    continue;
                }
                let value = |k: usize, kind: Kind| {
                    let unit = kind.units().next().expect("a unit");
                    Value::exact(Quantity::of(numbers[(i + k) % 20], unit))
                };
                let value = match input.kind {
                    InputKind::Quantity(kind) => value(0, kind),
                    InputKind::List(kind) => Value::List((0..word).map(|k| value(k, kind)).collect()),
                    InputKind::Choice(words) => Value::word(words[word % words.len()]),
                    InputKind::Flag => Value::Flag(word % 2 == 0),
                    InputKind::Name => Value::word("M10"),
                };
                given.set(input.name, value);
            }
            if let Ok(figures) = family.reckon(&given) {
                for figure in figures {
                    prop_assert!(finite(&figure.value), "{name}.{}: {:?} of {given:?}", figure.id, figure.value);
                }
            }
        }
    }
}

#[test]
fn trail_and_scrub_are_where_the_axis_meets_the_ground() {
    // March down the axis in small steps until the ground is reached.
    let (t, s) = (7.0_f64.to_radians(), 8.5_f64.to_radians());
    let k = unit_vector(axis_of(t, s, 1.0));
    let start = [12.0, 640.0, 395.0];
    let down = bisect(|l| start[2] - l * k[2], 0.0, 1000.0);
    let foot = [start[0] - down * k[0], start[1] - down * k[1]];
    let inputs = [
        ("caster", "7 deg"),
        ("kpi", "8.5 deg"),
        ("axis_x", "12 mm"),
        ("axis_y", "640 mm"),
        ("axis_z", "395 mm"),
        ("tyre_centre", "750 mm"),
    ];
    let trail = reckoned("trail", &inputs, "trail").expect("a trail");
    let scrub = reckoned("trail", &inputs, "scrub").expect("a scrub");
    assert!(close(trail * 1000.0, foot[0], 1e-9));
    assert!(close(scrub * 1000.0, 750.0 - foot[1], 1e-9));
}

/// Reproducible draws, evenly spread over 0 to 1 (a 64-bit linear congruence).
fn draws(seed: u64) -> impl FnMut() -> f64 {
    let mut state = seed;
    move || {
        state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        f64::from(u32::try_from(state >> 32).expect("32 bits")) / f64::from(u32::MAX)
    }
}

fn spread(values: &[f64]) -> f64 {
    let n = f64::from(u32::try_from(values.len()).expect("few"));
    let mean = values.iter().sum::<f64>() / n;
    (values.iter().map(|v| (v - mean) * (v - mean)).sum::<f64>() / (n - 1.0)).sqrt()
}

#[test]
fn the_uncertainty_of_a_difference_agrees_with_random_draws() {
    let mut next = draws(20);
    let mut even = |half: f64| (2.0 * next() - 1.0) * half;
    let values: Vec<f64> = (0..400_000)
        .map(|_| {
            // Three uniform draws of the same variance as the repeatability of one reading.
            // Each of the two readings is such a mean.
            let mut mean = || (0..3).map(|_| even(0.1 * 3.0_f64.sqrt())).sum::<f64>() / 3.0;
            let scatter = mean() - mean();
            even(0.05) + even(0.2) - even(0.05) - even(0.2) + scatter
        })
        .collect();
    let finder = Finder {
        resolution: deg(0.1),
        limit: deg(0.2),
        repeatability: deg(0.1),
        readings: Number::from_si(3.0),
        limit_common: false,
    };
    let u = difference_uncertainty(finder).to(unit::DEG);
    assert!(close(u / spread(&values), 1.0, 0.005), "{u} against {}", spread(&values));
    let common = difference_uncertainty(Finder { limit_common: true, ..finder });
    assert!(common.to(unit::DEG) < u);
}

#[test]
fn the_uncertainty_of_a_depth_agrees_with_random_draws() {
    let mut next = draws(7);
    let mut even = |half: f64| (2.0 * next() - 1.0) * half;
    let values: Vec<f64> = (0..300_000).map(|_| even(0.05) + even(0.1) + even(0.1)).collect();
    let u = depth_uncertainty(Limits { gauge: mm(0.05), setting: mm(0.1), wobble: mm(0.1) });
    assert!(close(u.to(unit::MM) / spread(&values), 1.0, 0.005));
}

#[test]
fn an_uncertain_reading_is_carried_to_the_turn_as_random_draws_show() {
    let family = registry::find("scribe-mark").expect("a family");
    let pairs = [("od", "76.2 mm ± 0.1 mm"), ("arc", "6.65 mm ± 0.5 mm")];
    let given = reckon::read_inputs(family, pairs).expect("inputs");
    let figures = family.reckon(&given).expect("figures");
    let rotation = figures.iter().find(|f| f.id == "rotation").expect("rotation");
    let Value::Quantity { uncertainty, .. } = rotation.value else { panic!("no quantity") };
    let mut next = draws(3);
    let mut even = |half: f64| (2.0 * next() - 1.0) * half;
    let values: Vec<f64> = (0..300_000).map(|_| 2.0 * (6.65 + even(0.5)) / (76.2 + even(0.1))).collect();
    assert!(close(uncertainty / spread(&values), 1.0, 0.005));
}
