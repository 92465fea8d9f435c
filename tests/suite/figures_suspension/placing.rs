//! Shafts, brakes, squareness, clearances, steering, templates and wheels.

use libm::{atan, atan2, cos, hypot, sin, sqrt, tan};
use proptest::prelude::*;
use tackwright::app::reckon;
use tackwright::figure::geometry::clearance_angles::tangent_angle;
use tackwright::figure::geometry::cope::Cope;
use tackwright::figure::geometry::template::side_plate;
use tackwright::figure::{Value, registry};
use tackwright::quantity::{Angle, Dimensioned, unit};

use super::{answer, degrees, length, mm, near, root};

proptest! {
    #![proptest_config(ProptestConfig::with_cases(60))]

    #[test]
    fn plunge_by_walking_the_circle(
        run in 600.0..1000.0f64, rise in 50.0..350.0f64, offset in -45.0..45.0f64, link in 350.0..550.0f64,
        drop in -40.0..90.0f64, bump in 20.0..90.0f64, droop in 20.0..110.0f64,
    ) {
        let inputs = |end: &str, case: &str| [
            ("flange_run", mm(run)), ("flange_rise", mm(rise)), ("offset", mm(offset)), ("pinion_length", mm(330.0)),
            ("link", mm(link)), ("drop", mm(drop)), ("bump", mm(bump)), ("droop", mm(droop)),
            ("fixed_eye", end.to_owned()), ("case", case.to_owned()),
        ];
        let got = answer("plunge", &inputs("front", "behind")).expect("an answer");
        // The pinion points at the flange: the joint lies on the straight line.
        let f = root(-1.5, 1.5, |f| run * sin(f) - rise * cos(f) + offset);
        prop_assert!((got["pinion_angle"] - f).abs() < 1e-9);
        // Link angle below the pivot by halving, axle rearward as the reach grows.
        let reach = |y: f64| link * cos(root(-1.5, 1.5, |q| link * sin(q) - y));
        let joint = |toward: f64, up: f64| {
            let u = run - toward - (330.0 * cos(f) - offset * sin(f));
            let w = rise - up - (330.0 * sin(f) + offset * cos(f));
            hypot(u, w)
        };
        let away = reach(drop - bump) - reach(drop);
        prop_assert!((got["bump_x"] * 1e3 + away).abs() < 1e-6);
        prop_assert!((got["bump_change"] * 1e3 - (joint(away, bump) - joint(0.0, 0.0))).abs() < 1e-6);
        let away = reach(drop + droop) - reach(drop);
        prop_assert!((got["droop_change"] * 1e3 - (joint(away, -droop) - joint(0.0, 0.0))).abs() < 1e-6);
        // The other end: the swapped stroke is its own stroke.
        let other = answer("plunge", &inputs("rear", "behind")).expect("an answer");
        prop_assert!((got["stroke_swapped"] - other["stroke"]).abs() < 1e-12);
        let mirror = answer("plunge", &inputs("rear", "ahead")).expect("an answer");
        prop_assert!((got["stroke"] - mirror["stroke"]).abs() < 1e-12);
    }

    #[test]
    fn brakes_by_a_two_by_two_system(
        mass in 1200.0..3000.0f64, base in 2200.0..3200.0f64, height in 600.0..950.0f64, share in 0.4..0.6f64,
        slow in 0.2..0.8f64, radius in 330.0..480.0f64, over in 20.0..90.0f64,
    ) {
        let got = answer("wind-up", &[
            ("mass", format!("{mass} kg")), ("wheelbase", mm(base)), ("cg_height", mm(height)),
            ("cg_to_rear", mm(base * share)), ("deceleration", format!("{slow} g")), ("loaded_radius", mm(radius)),
            ("seat_over", mm(over)),
        ]).expect("an answer");
        // front + rear = W; moments about the centre of gravity, brakes at the ground.
        let weight = mass * 9.80665;
        let (b, a) = (base * share, base * (1.0 - share));
        // rows: [1 1 | W], [a - slow h, -(b + slow h) | 0] with each brake slow x its load
        let (m11, m12) = (a - slow * height, -(b + slow * height));
        let determinant = m12 - m11;
        let front = weight * m12 / determinant;
        prop_assert!(near(got["front_load"], front, 1e-9), "{} {front}", got["front_load"]);
        prop_assert!(near(got["moment_over"], slow * front * (radius + over) / 1e3, 1e-9));
    }

    #[test]
    fn squareness_by_turning_the_marks(
        turn in -4.0..4.0f64, frame in 600.0..900.0f64, axle in 1100.0..1500.0f64, distance in 700.0..2000.0f64,
    ) {
        // Right end further off (rearward) for a positive turn.
        let q = turn.to_radians();
        let right = (-distance - 0.5 * axle * sin(q), -0.5 * axle * cos(q));
        let left = (-distance + 0.5 * axle * sin(q), 0.5 * axle * cos(q));
        let one = hypot(right.0, right.1 - 0.5 * frame);
        let two = hypot(left.0, left.1 + 0.5 * frame);
        let marks = [("axle_width", mm(axle)), ("distance", mm(distance))];
        let both = answer("squareness", &[marks.clone().to_vec(), vec![("d1", mm(one)), ("d2", mm(two))]].concat());
        let by_difference = answer("squareness", &[marks.to_vec(), vec![
            ("difference", mm(one - two)), ("frame_width", mm(frame))]].concat());
        prop_assert!((both.expect("an answer")["yaw"] - q).abs() < 1e-9);
        prop_assert!((by_difference.expect("an answer")["yaw"] - q).abs() < 1e-9);
    }

    #[test]
    fn clearance_by_rolling_a_line_round_the_tyre(x in 450.0..1500.0f64, z in 150.0..700.0f64, r in 300.0..450.0f64) {
        let angle = tangent_angle(length(x), length(z), length(r)).expect("outside the tyre").si();
        // Identity of the ground, the tyre and the line.
        prop_assert!(near(tan(angle), z / (x - r * tan(0.5 * angle)), 1e-9));
        // Of the lines from the point to the lower part of the tyre arc, the tangent
        // is the one that drops the most.
        let steepest = (0..=40_000)
            .map(|i| -0.5 * std::f64::consts::PI + 0.5 * std::f64::consts::PI * f64::from(i) / 40_000.0)
            .map(|q| (r * cos(q), r + r * sin(q)))
            .filter(|(u, _)| *u < x)
            .map(|(u, w)| atan2(z - w, x - u))
            .fold(f64::NEG_INFINITY, f64::max);
        prop_assert!((steepest - angle).abs() < 1e-6, "{steepest} {angle}");
    }

    #[test]
    fn drag_link_by_turning_the_arm(
        run in 500.0..1000.0f64, fall in -150.0..150.0f64, arm in 140.0..220.0f64, bump in -80.0..80.0f64, along in -10.0..10.0f64,
    ) {
        let inputs = |side: f64| [
            ("pitman_x", mm(side * run)), ("pitman_z", mm(400.0 + fall)), ("arm_x", mm(0.0)), ("arm_z", mm(400.0)),
            ("arm", mm(arm)), ("bump", mm(bump)), ("axle_x", mm(side * along)),
        ];
        let got = answer("drag-link", &inputs(1.0)).expect("an answer");
        let free = hypot(run, fall);
        let steer = root(-0.7, 0.7, |q| hypot(along + arm * sin(q) - run, bump - fall) - free);
        prop_assert!((got["steer"] - steer).abs() < 1e-9);
        // A link to the other side pushes the other way.
        let mirror = answer("drag-link", &inputs(-1.0)).expect("an answer");
        prop_assert!((got["push"] + mirror["push"]).abs() < 1e-12);
        // No travel, no bump steer.
        let still = answer("drag-link", &[&inputs(1.0)[..5], &[("bump", mm(0.0))]].concat()).expect("an answer");
        prop_assert!(still["steer"].abs() < 1e-9);
    }

    #[test]
    fn copes_meet_the_run(run in 30.0..60.0f64, share in 0.2..1.0f64, angle in 30.0..90.0f64, azimuth in 0.0..360.0f64) {
        let branch = run * share;
        let cope = Cope {
            run: length(run),
            branch: length(branch),
            inside: length(branch),
            angle: Angle::of(angle, unit::DEG),
            offset: length(0.0),
        };
        let reach = cope.reach(Angle::of(azimuth, unit::DEG)).to(unit::MM);
        // Run along x; branch axis leans toward +x by the angle; each straight line
        // of the branch is walked outward until it leaves the run cylinder.
        let (b, q) = (angle.to_radians(), azimuth.to_radians());
        let axis = [cos(b), 0.0, sin(b)];
        // Acute side: square to the branch axis, toward +x and down.
        let acute = [sin(b), 0.0, -cos(b)];
        let beside = [0.0, 1.0, 0.0];
        let from_run = |s: f64| {
            let at = |i: usize| s * axis[i] + branch * (cos(q) * acute[i] + sin(q) * beside[i]);
            hypot(at(1), at(2)) - run
        };
        let deepest = branch * cos(q) * cos(b) / sin(b);
        prop_assert!((reach - root(deepest, deepest + 10.0 * run, from_run)).abs() < 1e-6);
        // Round the branch the least reach is the least.
        let least = (0..=3600)
            .map(|i| cope.reach(Angle::of(f64::from(i) * 0.1, unit::DEG)).to(unit::MM))
            .fold(f64::INFINITY, f64::min);
        let shortest = cope.extremes().1.to(unit::MM);
        prop_assert!(shortest <= least + 1e-6);
        prop_assert!(least - shortest < 1e-3 * run);
    }

    #[test]
    fn toe_there_and_back(diameter in 300.0..900.0f64, toe in -12.0..12.0f64) {
        let there = answer("toe", &[("diameter", mm(diameter)), ("total_length", mm(toe))]).expect("an answer");
        let angle = format!("{} rad", there["total_angle"]);
        let back = answer("toe", &[("diameter", mm(diameter)), ("total_angle", angle)]).expect("an answer");
        prop_assert!((back["total_length"] * 1e3 - toe).abs() < 1e-9);
        // Two wheels: the gap of the fronts against the rears by turning two rims.
        let half = there["wheel_angle"];
        let fronts = 1500.0 - 2.0 * 0.5 * diameter * sin(half);
        let rears = 1500.0 + 2.0 * 0.5 * diameter * sin(half);
        prop_assert!((rears - fronts - toe).abs() < 1e-9);
    }

    #[test]
    fn a_lift_never_helps_stability(
        track in 1300.0..1800.0f64, height in 550.0..900.0f64, lift in 1.0..200.0f64, share in 50.0..95.0f64,
    ) {
        let got = answer("stability", &[
            ("track", mm(track)), ("cg_height", mm(height)), ("lift", mm(lift)), ("sprung_share", format!("{share} %")),
        ]).expect("an answer");
        // Moments of two masses about the ground.
        let (sprung, unsprung) = (share, 100.0 - share);
        let low = 400.0;
        let high = (100.0 * height - unsprung * low) / sprung;
        let after = (sprung * (high + lift) + unsprung * low) / 100.0;
        prop_assert!((got["cg_after"] * 1e3 - after).abs() < 1e-9);
        prop_assert!(got["factor_after"] < got["factor"]);
        prop_assert!((tan(got["tilt"]) - got["factor"]).abs() < 1e-12);
    }
}

#[test]
fn a_tapered_plate_lies_on_its_cone() {
    let (radius, taper, offset) = (48.0_f64, 3.0_f64.to_radians(), 30.0_f64);
    let got = answer(
        "tapered-plate",
        &[
            ("radius", mm(radius)),
            ("taper", degrees(3.0)),
            ("positions", mm(60.0)),
            ("azimuth", degrees(90.0)),
            ("plate", mm(8.0)),
        ],
    )
    .expect("an answer");
    // The apex is where the radius ends; slant distances and arcs agree there.
    let apex = radius / tan(taper);
    assert!(near(got["slant_radius"] * 1e3, hypot(apex, radius), 1e-12));
    assert!(near(got["slant_radius"] * 1e3 * got["sector"], 2.0 * std::f64::consts::PI * radius, 1e-12));
    assert!(near(
        got["slant_radius"] * 1e3 * got["pattern_angle"],
        0.5 * std::f64::consts::PI * radius,
        1e-12
    ));
    // Height of the edge by halving on the cone itself.
    let on_cone = |z: f64| atan(hypot(offset, z) / (apex - 60.0)) - taper;
    let height = root(1.0, 47.0, on_cone);
    let plate = side_plate(length(radius - 60.0 * tan(taper)), length(offset)).expect("a height");
    assert!(near(plate.to(unit::MM), height, 1e-9));
}

#[test]
fn uncertainty_of_a_string_reading_reaches_the_angle() {
    // u(angle) = cos^2 / length x u(offset); 0.5 mm rectangular limit on 914.4 mm.
    let family = registry::find("tube-straightness").expect("a family");
    let given = reckon::read_inputs(
        family,
        [("length", "914.4 mm"), ("droop", "4.8 mm ± 0.5 mm"), ("sweep", "0 mm")],
    )
    .expect("inputs");
    let figures = family.reckon(&given).expect("an answer");
    let droop = figures.iter().find(|f| f.id == "droop_angle").expect("a figure");
    let Value::Quantity { uncertainty, .. } = droop.value else { panic!("a quantity") };
    let flat = cos(atan(4.8 / 914.4));
    assert!(near(uncertainty, 0.5 / sqrt(3.0) / 914.4 * flat * flat, 1e-4), "{uncertainty}");
}
