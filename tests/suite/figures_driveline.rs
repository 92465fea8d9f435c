//! Driveline figures against oracles written apart from them: a universal
//! joint built from vectors, brute-force roots, a beam of finite differences.

#![allow(clippy::disallowed_methods, reason = "an oracle uses the platform's mathematics, not the program's")]

use std::f64::consts::PI;

use proptest::prelude::*;
use tackwright::figure::geometry::critical_speed::{Tube, whirl_speed};
use tackwright::figure::geometry::joint_angle::{Views, true_angle};
use tackwright::figure::geometry::pinion::{Pinion, aim_broken_back, aim_pointed, shaft};
use tackwright::figure::geometry::shaft_length::link_move;
use tackwright::figure::geometry::universal::{
    ChainJoint, angle_of_nonuniformity, equivalent_approximate, equivalent_exact, equivalent_in_phase, lead,
    nonuniformity, output_at, peak, ratio_at,
};
use tackwright::quantity::{Angle, Density, Dimensioned, Length, Number, Stress, unit};

use super::figures_axle::reckoned;

fn deg(x: f64) -> Angle {
    Angle::of(x, unit::DEG)
}

fn mm(x: f64) -> Length {
    Length::of(x, unit::MM)
}

fn close(a: f64, b: f64, room: f64) -> bool {
    (a - b).abs() <= room
}

type Vector = [f64; 3];

fn cross(a: Vector, b: Vector) -> Vector {
    [a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]]
}

fn dot(a: Vector, b: Vector) -> f64 {
    a[0] * b[0] + a[1] * b[1] + a[2] * b[2]
}

/// Angle of the driven yoke, from the cross alone: the driving arm is square to
/// the input shaft (along x), the driven arm square to the output shaft and to
/// the driving arm. Both count from where the driving arm lies in the plane of
/// the shafts.
fn mechanism(joint: f64, q: f64) -> f64 {
    let output: Vector = [joint.cos(), 0.0, joint.sin()];
    let driving: Vector = [0.0, q.sin(), q.cos()];
    let driven = cross(output, driving);
    let start = cross(output, [0.0, 0.0, 1.0]);
    let quarter = cross(start, output);
    // Turn of the arm about the output shaft, on the same turn as q.
    let raw = dot(driven, quarter).atan2(dot(driven, start));
    raw + 2.0 * PI * ((q - raw) / (2.0 * PI)).round()
}

fn slope(f: impl Fn(f64) -> f64, x: f64) -> f64 {
    let h = 1e-3;
    // Five-point central difference.
    (8.0 * (f(x + h) - f(x - h)) - (f(x + 2.0 * h) - f(x - 2.0 * h))) / (12.0 * h)
}

fn flange(reach: f64, rise: f64, offset: f64, pinion: f64) -> Pinion {
    Pinion { reach: mm(reach), rise: mm(rise), offset: mm(offset), pinion: mm(pinion) }
}

proptest! {
    #[test]
    fn a_joint_turns_as_its_cross_does(b in 0.5..40.0_f64, q in -170.0..170.0_f64) {
        let (joint, yoke) = (b.to_radians(), q.to_radians());
        let out = output_at(deg(b), deg(q)).si();
        prop_assert!(close(out, mechanism(joint, yoke), 1e-11));
        let ratio = slope(|x| mechanism(joint, x), yoke);
        prop_assert!(close(ratio_at(deg(b), deg(q)).si(), ratio, 1e-8));
    }

    #[test]
    fn the_peak_and_the_lead_are_the_greatest_of_the_mechanism(b in 1.0..40.0_f64) {
        let joint = b.to_radians();
        let acceleration = |q: f64| slope(|x| ratio_at(deg(b), Angle::from_si(x)).si(), q).abs();
        let mut greatest = 0.0_f64;
        let mut lag = 0.0_f64;
        for i in 0..2000_u32 {
            let q = 0.5 * PI * f64::from(i) / 2000.0;
            greatest = greatest.max(acceleration(q));
            lag = lag.max((mechanism(joint, q) - q).abs());
        }
        let (per_square, at) = peak(deg(b));
        prop_assert!(close(per_square.si() / greatest, 1.0, 2e-6));
        prop_assert!(close(acceleration(at.si()) / greatest, 1.0, 2e-6));
        prop_assert!(close(lead(deg(b)).si(), lag, 1e-6));
    }

    #[test]
    fn a_fluctuation_leads_back_to_its_joint_angle(b in 0.01..60.0_f64) {
        prop_assert!(close(angle_of_nonuniformity(nonuniformity(deg(b))).to(unit::DEG), b, 1e-10));
    }

    #[test]
    fn a_chain_turns_as_its_crosses_do(
        b1 in 1.0..15.0_f64, b2 in 1.0..15.0_f64, b3 in 1.0..15.0_f64, p2 in 0.0..180.0_f64, p3 in 0.0..180.0_f64,
    ) {
        let joints = [(b1, 0.0), (b2, p2), (b3, p3)];
        let whole = |q: f64| joints.iter().fold(q, |yoke, (b, p)| {
            mechanism(b.to_radians(), yoke + p.to_radians()) - p.to_radians()
        });
        let (mut low, mut high) = (f64::MAX, f64::MIN);
        for i in 0..720_u32 {
            let ratio = slope(whole, PI * f64::from(i) / 720.0);
            low = low.min(ratio);
            high = high.max(ratio);
        }
        let chain = joints.map(|(b, p)| ChainJoint { angle: deg(b), phase: deg(p) });
        let exact = nonuniformity(equivalent_exact(&chain)).si();
        prop_assert!(close(exact, high - low, 3e-6), "{exact} against {}", high - low);
    }

    #[test]
    fn the_closed_form_and_the_search_agree_in_phase(
        b1 in 1.0..15.0_f64, b2 in 1.0..15.0_f64, opposed in any::<bool>(),
    ) {
        let phase = if opposed { 90.0 } else { 0.0 };
        let chain = [ChainJoint { angle: deg(b1), phase: deg(0.0) }, ChainJoint { angle: deg(b2), phase: deg(phase) }];
        // A hair off the exact phase takes the other branch.
        let off = [chain[0], ChainJoint { phase: deg(phase + 1e-5), ..chain[1] }];
        prop_assert!(equivalent_in_phase(&off).is_none());
        let closed = nonuniformity(equivalent_in_phase(&chain).expect("in phase")).si();
        let searched = nonuniformity(equivalent_exact(&off)).si();
        prop_assert!(close(closed, searched, 1e-6));
        prop_assert!(close(equivalent_approximate(&chain).si(), equivalent_exact(&chain).si(), 0.02));
    }

    #[test]
    fn shafts_in_space_turn_as_their_crosses_do(
        sides in prop::array::uniform3(-12.0..12.0_f64), plans in prop::array::uniform3(-8.0..8.0_f64),
    ) {
        let direction = |i: usize| {
            let v = [1.0, plans[i].to_radians().tan(), sides[i].to_radians().tan()];
            let n = dot(v, v).sqrt();
            v.map(|x| x / n)
        };
        let shafts = [direction(0), direction(1), direction(2)];
        // An arm square to the first shaft, turned by q; each cross hands it on square to both
        // shafts, and the yokes of the middle shaft stand in one line.
        let basis = |u: Vector| {
            let side = cross(u, [0.0, 0.3, 1.0]);
            let n = dot(side, side).sqrt();
            let side = side.map(|x| x / n);
            (side, cross(u, side))
        };
        let out = |q: f64| {
            let (e, f) = basis(shafts[0]);
            let arm = [0, 1, 2].map(|i| e[i] * q.cos() + f[i] * q.sin());
            let last = cross(shafts[2], cross(shafts[1], arm));
            let (e, f) = basis(shafts[2]);
            dot(last, f).atan2(dot(last, e))
        };
        let ratio = |q: f64| {
            // The angle jumps once a turn; differences are taken on the short way round.
            let step = |h: f64| {
                let raw = out(q + h) - out(q - h);
                raw - 2.0 * PI * (raw / (2.0 * PI)).round()
            };
            (8.0 * step(1e-3) - step(2e-3)) / 12e-3
        };
        let ratios: Vec<f64> = (0..720_u32).map(|i| ratio(PI * f64::from(i) / 720.0)).collect();
        let high = ratios.iter().copied().fold(f64::MIN, f64::max);
        let low = ratios.iter().copied().fold(f64::MAX, f64::min);
        let list = |x: [f64; 3]| format!("{}, {}, {} deg", x[0], x[1], x[2]);
        let inputs = [("sides", &*list(sides)), ("plans", &*list(plans))];
        let exact = reckoned("joint-chain", &inputs, "nonuniformity").expect("a chain");
        prop_assert!(close(exact, high - low, 5e-6), "{exact} against {}", high - low);
    }

    #[test]
    fn equal_joints_in_phase_cancel(b in 0.0..30.0_f64) {
        let chain = [ChainJoint { angle: deg(b), phase: deg(0.0) }, ChainJoint { angle: deg(b), phase: deg(90.0) }];
        prop_assert!(close(equivalent_exact(&chain).si(), 0.0, 1e-7));
    }

    #[test]
    fn a_pointed_pinion_looks_at_the_flange_joint(
        x in 500.0..1500.0_f64, z in -100.0..500.0_f64, h in -60.0..60.0_f64, p in 200.0..400.0_f64,
        d in -3.0..3.0_f64,
    ) {
        let place = flange(x, z, h, p);
        let angle = aim_pointed(place, deg(d)).expect("an angle");
        // Brute force: the sine of the angle from the pinion axis to the line to the flange.
        let gap = |f: f64| {
            let axis = [f.cos(), f.sin()];
            let joint = [p * f.cos() - h * f.sin(), p * f.sin() + h * f.cos()];
            let line = [x - joint[0], z - joint[1]];
            let turned = f + d.to_radians();
            let wanted = [turned.cos(), turned.sin()];
            assert!(axis[0].hypot(axis[1]) > 0.5);
            wanted[0] * line[1] - wanted[1] * line[0]
        };
        let (mut low, mut high) = (-1.2_f64, 1.2_f64);
        for _ in 0..100 {
            let middle = 0.5 * (low + high);
            if gap(middle) > 0.0 { low = middle } else { high = middle }
        }
        prop_assert!(close(angle.si(), low, 1e-10));
        prop_assert!(close((shaft(place, angle).slope - angle).to(unit::DEG), d, 1e-9));
        if d == 0.0 {
            let length = (x * x + z * z - h * h).sqrt() - p;
            prop_assert!(close(shaft(place, angle).length.to(unit::MM), length, 1e-9));
        }
    }

    #[test]
    fn more_lift_points_the_pinion_higher(
        z in 0.0..300.0_f64, more in 1.0..200.0_f64, h in -60.0..60.0_f64,
    ) {
        let before = aim_pointed(flange(850.0, z, h, 330.0), deg(0.0)).expect("an angle");
        let after = aim_pointed(flange(850.0, z + more, h, 330.0), deg(0.0)).expect("an angle");
        prop_assert!(after > before);
        // A low pinion (offset below the axle) must point higher than a high one.
        let (low, high) = (flange(850.0, z, -40.0, 330.0), flange(850.0, z, 40.0, 330.0));
        prop_assert!(aim_pointed(low, deg(0.0)).expect("low") > aim_pointed(high, deg(0.0)).expect("high"));
    }

    #[test]
    fn a_broken_back_layout_has_equal_joints(
        x in 600.0..1500.0_f64, z in -50.0..400.0_f64, h in -50.0..50.0_f64, p in 200.0..350.0_f64, out in -6.0..6.0_f64,
    ) {
        let place = flange(x, z, h, p);
        let angle = aim_broken_back(place, deg(out)).expect("an angle");
        let line = shaft(place, angle);
        prop_assert!(close((line.slope - deg(out)).si(), (angle - line.slope).si(), 1e-10));
    }

    #[test]
    fn a_true_joint_angle_is_symmetrical_and_below_root_sum_square(
        side in -20.0..20.0_f64, plan in -20.0..20.0_f64,
    ) {
        let (a, b) = (Views { side: deg(side), plan: deg(plan) }, Views { side: deg(0.0), plan: deg(0.0) });
        let angle = true_angle(a, b).to(unit::DEG);
        prop_assert!(close(angle, true_angle(b, a).to(unit::DEG), 1e-12));
        prop_assert!(angle <= side.hypot(plan) + 1e-9);
        prop_assert!(close(true_angle(a, a).si(), 0.0, 1e-12));
    }

    #[test]
    fn the_link_carries_the_axle_on_a_circle(
        link in 300.0..600.0_f64, drop in 0.0..90.0_f64, up in -120.0..120.0_f64,
    ) {
        let moved = link_move(mm(link), mm(drop), mm(up)).expect("a move").to(unit::MM);
        // Before and after, the axle end is one link length from the fixed end.
        let start = (link * link - drop * drop).sqrt();
        prop_assert!(close((start + moved).hypot(drop - up), link, 1e-9));
    }
}

#[test]
fn shaft_travel_agrees_with_world_coordinates() {
    // Front axle in vehicle axes: x forward, the flange behind at -850.
    let inputs = [
        ("reach", "850 mm"),
        ("rise", "300 mm"),
        ("offset", "-38 mm"),
        ("pinion", "330 mm"),
        ("pinion_angle", "20 deg"),
        ("bump", "60 mm"),
        ("droop", "80 mm"),
        ("bump_x", "-5 mm"),
        ("droop_x", "18 mm"),
    ];
    let f = 20.0_f64.to_radians();
    // The pinion looks rearward; its joint relative to the axle centre.
    let joint = [-(330.0 * f.cos() + 38.0 * f.sin()), 330.0 * f.sin() - 38.0 * f.cos()];
    let flange = [-850.0, 300.0];
    let length = |axle: [f64; 2]| (flange[0] - axle[0] - joint[0]).hypot(flange[1] - axle[1] - joint[1]);
    for (output, axle) in
        [("ride_length", [0.0, 0.0]), ("bump_length", [-5.0, 60.0]), ("droop_length", [18.0, -80.0])]
    {
        let got = reckoned("shaft-length", &inputs, output).expect("a length") * 1000.0;
        assert!(close(got, length(axle), 1e-9), "{output}: {got} against {}", length(axle));
    }
}

#[test]
fn the_critical_speed_agrees_with_a_beam_of_finite_differences() {
    // Pinned beam: w'''' = lambda w is the square of the string problem, whose
    // matrix is tridiagonal; its least eigenvalue by inverse iteration.
    let (od, id, length, modulus, density) = (0.0762_f64, 0.069_85_f64, 1.1_f64, 207e9_f64, 7850.0_f64);
    let n = 800_usize;
    let h = length / 801.0;
    let solve = |right: &[f64]| {
        // (-1, 2, -1)/h^2 y = right, by elimination.
        let mut c = vec![0.0; n];
        let mut d = vec![0.0; n];
        for i in 0..n {
            let before = if i == 0 { (0.0, 0.0) } else { (c[i - 1], d[i - 1]) };
            let pivot = 2.0 - before.0;
            c[i] = 1.0 / pivot;
            d[i] = (right[i] * h * h + before.1) / pivot;
        }
        let mut y = vec![0.0; n];
        for i in (0..n).rev() {
            y[i] = d[i] + if i + 1 < n { c[i] * y[i + 1] } else { 0.0 };
        }
        y
    };
    let mut w = vec![1.0; n];
    let mut lambda = 0.0;
    for _ in 0..40 {
        let next = solve(&solve(&w));
        let size = next.iter().map(|x| x * x).sum::<f64>().sqrt();
        lambda = w.iter().map(|x| x * x).sum::<f64>().sqrt() / size;
        w = next.iter().map(|x| x / size).collect();
    }
    let area = PI / 4.0 * (od * od - id * id);
    let inertia = PI / 64.0 * (od.powi(4) - id.powi(4));
    let omega = (lambda * modulus * inertia / (density * area)).sqrt();
    let tube = Tube {
        od: Length::from_si(od),
        id: Length::from_si(id),
        length: Length::from_si(length),
        modulus: Stress::from_si(modulus),
        density: Density::from_si(density),
    };
    assert!(close(whirl_speed(tube).si() / omega, 1.0, 1e-5), "{} against {omega}", whirl_speed(tube).si());
}

#[test]
fn small_angles_reach_the_small_angle_form() {
    let (per_square, at) = peak(deg(0.01));
    let small = Number::from_si(deg(0.01).si() * deg(0.01).si());
    assert!(close(per_square.si() / small.si(), 1.0, 1e-6));
    assert!(close(at.to(unit::DEG), 45.0, 1e-5));
}
