//! The shackle model against minimised energy.

use libm::{atan2, cos, fabs, hypot, sin, sqrt, tan};
use proptest::prelude::*;
use tackwright::figure::geometry::leaf_arc::curvature_at_height;
use tackwright::figure::geometry::shackle_model::{Hung, Pose, Ride};
use tackwright::quantity::{Angle, Curvature, Dimensioned, Force, SpringRate, unit};

use super::{answer, degrees, integrate, length, mm, root, warnings};

/// The spring of the shackle model once more, in millimetres and newtons: arcs
/// in closed form, energy minimised by a scan and golden section over the
/// pitch, curvatures by halving.
struct Oracle {
    near: f64,
    far: f64,
    clamp: f64,
    rigidity: f64,
    near_free: f64,
    far_free: f64,
    pin: (f64, f64),
    link: f64,
}

struct Found {
    energy: f64,
    far_curvature: f64,
    seat: f64,
    eye: (f64, f64),
}

impl Oracle {
    fn of(hung: &Hung) -> Self {
        let (a, b, c) =
            (hung.fixed_half.to(unit::MM), hung.shackle_half.to(unit::MM), hung.clamp_half.to(unit::MM));
        // Rigidity by the integrated beams of unit rigidity, scaled to the rate.
        let (arm, other) = (a + c, b + c);
        let flex = |l: f64| integrate(l * 1e-9, l, |x| x * l);
        let (p, r) = (other / (arm + other), arm / (arm + other));
        let rise = (p * flex(a) * other + r * flex(b) * arm) / (arm + other);
        Self {
            near: a,
            far: b,
            clamp: c,
            rigidity: hung.rate.si() / 1e3 * rise,
            near_free: hung.fixed_free.si() / 1e3,
            far_free: hung.shackle_free.si() / 1e3,
            pin: (hung.pin_run.to(unit::MM), hung.pin_rise.to(unit::MM)),
            link: hung.shackle.to(unit::MM),
        }
    }

    fn arc(length: f64, curvature: f64) -> (f64, f64) {
        let turn = curvature * length;
        if fabs(turn) < 1e-7 {
            return (length, 0.5 * turn * length);
        }
        (sin(turn) / curvature, (1.0 - cos(turn)) / curvature)
    }

    fn at(&self, pitch: f64, height: f64, close_to: f64) -> Option<Found> {
        let limit = 1.6 / self.near;
        let eye_height = |k: f64| {
            let (x, y) = Self::arc(self.near, k);
            sin(pitch) * (self.clamp + x) - cos(pitch) * y - height
        };
        if (eye_height(-limit) < 0.0) == (eye_height(limit) < 0.0) {
            return None;
        }
        let near_curvature = root(-limit, limit, eye_height);
        let (x, y) = Self::arc(self.near, near_curvature);
        let seat = cos(pitch) * (self.clamp + x) + sin(pitch) * y;
        let eye = |k: f64| {
            let (x, y) = Self::arc(self.far, k);
            let x = x + self.clamp;
            (seat + cos(pitch) * x - sin(pitch) * y, height + sin(pitch) * x + cos(pitch) * y)
        };
        let gap = |k: f64| {
            let (u, w) = eye(k);
            hypot(u - self.pin.0, w - self.pin.1) - self.link
        };
        let window = 0.6 / self.far;
        let mut best: Option<f64> = None;
        let n = 200;
        let at = |i: i32| close_to - window + 2.0 * window * f64::from(i) / f64::from(n);
        for i in 0..n {
            if (gap(at(i)) < 0.0) != (gap(at(i + 1)) < 0.0) {
                let k = root(at(i), at(i + 1), gap);
                if best.is_none_or(|b| fabs(k - close_to) < fabs(b - close_to)) {
                    best = Some(k);
                }
            }
        }
        let far_curvature = best?;
        let bend = |half: f64, by: f64| self.rigidity * half * by * by / 4.0;
        let energy =
            bend(self.near, near_curvature - self.near_free) + bend(self.far, far_curvature - self.far_free);
        Some(Found { energy, far_curvature, seat, eye: eye(far_curvature) })
    }

    fn least(&self, height: f64, pitch: f64, close_to: f64) -> (f64, Found) {
        let energy = |p: f64| self.at(p, height, close_to).map_or(f64::INFINITY, |f| f.energy);
        let (width, n) = (0.05, 40);
        let place = |i: i32| pitch - width + 2.0 * width * f64::from(i) / f64::from(n);
        let lowest = (0..=n).map(place).min_by(|a, b| energy(*a).total_cmp(&energy(*b))).expect("a scan");
        let (mut low, mut high) = (lowest - 2.0 * width / f64::from(n), lowest + 2.0 * width / f64::from(n));
        let golden = 0.5 * (sqrt(5.0) - 1.0);
        for _ in 0..60 {
            let (one, two) = (high - golden * (high - low), low + golden * (high - low));
            if energy(one) < energy(two) { high = two } else { low = one }
        }
        let pitch = 0.5 * (low + high);
        (pitch, self.at(pitch, height, close_to).expect("a shape"))
    }

    fn force(&self, height: f64, pitch: f64, close_to: f64) -> f64 {
        let h = 0.02;
        (self.least(height + h, pitch, close_to).1.energy - self.least(height - h, pitch, close_to).1.energy)
            / (2.0 * h)
    }
}

fn ride(near: f64, far: f64, clamp: f64, arch: f64, load: f64, shackle: f64, lean: f64) -> Ride {
    Ride {
        fixed_half: length(near),
        shackle_half: length(far),
        clamp_half: length(clamp),
        rate: SpringRate::of(40.0, unit::RATE_N_MM),
        arch: length(arch),
        load: Force::of(load, unit::N),
        shackle: length(shackle),
        lean: Angle::of(lean, unit::DEG),
    }
}

#[test]
fn the_shackle_model_sits_where_the_energy_is_least() {
    let rows = [
        ride(550.0, 550.0, 50.0, 60.0, 4000.0, 110.0, 15.0),
        ride(480.0, 640.0, 40.0, 80.0, 3500.0, 120.0, 25.0),
        ride(650.0, 500.0, 0.0, 30.0, 5000.0, 90.0, -8.0),
        ride(550.0, 600.0, 60.0, -20.0, 4500.0, 140.0, 5.0),
    ];
    for row in rows {
        let (hung, rest) = Hung::at_ride(&row).expect("a model");
        let oracle = Oracle::of(&hung);
        let start = -row.arch.to(unit::MM);
        let (pitch, found) = oracle.least(start, 0.0, hung.shackle_free.si() / 1e3 / 2.0);
        assert!(fabs(pitch) < 1e-6, "rest pitch {pitch}");
        assert!(fabs(oracle.force(start, pitch, found.far_curvature) - row.load.si()) < 0.05);
        assert!(fabs(found.seat - rest.run.to(unit::MM)) < 1e-5);
        for sense in [1.0, -1.0] {
            let (mut p, mut k) = (pitch, found.far_curvature);
            let mut last = None;
            for i in 1..=4 {
                let height = start + sense * 12.0 * f64::from(i);
                let (q, f) = oracle.least(height, p, k);
                (p, k) = (q, f.far_curvature);
                last = Some((height, f));
            }
            let (height, f) = last.expect("a travel");
            let pose = hung.moved(&rest, length(sense * 48.0), |_| {}).expect("an equilibrium");
            assert!(fabs(pose.run.to(unit::MM) - f.seat) < 2e-4, "{} {}", pose.run.to(unit::MM), f.seat);
            assert!(fabs(pose.pitch.si() - p) < 2e-6, "{} {p}", pose.pitch.si());
            let lean = atan2(f.eye.0 - oracle.pin.0, oracle.pin.1 - f.eye.1);
            assert!(fabs(pose.lean.si() - lean) < 2e-5);
            let force = oracle.force(height, p, k);
            assert!(fabs(pose.force.si() - force) < 0.5, "{} {force}", pose.force.si());
        }
    }
}

#[test]
fn the_model_has_the_published_rates_when_flat() {
    // Tangent rates of the model at flat, printed beside the linear formula.
    for (half, load, rate, lean, published) in [
        (550.0, 4000.0, 40.0, 25.0, 44.5203),
        (550.0, 4000.0, 40.0, -25.0, 35.4767),
        (600.0, 6000.0, 30.0, 15.0, 33.5700),
        (600.0, 6000.0, 30.0, -15.0, 26.4241),
    ] {
        let mut row = ride(half, half, 0.0, 0.0, load, 100.0, lean);
        row.rate = SpringRate::of(rate, unit::RATE_N_MM);
        let tangent = Hung::at_ride(&row).expect("a model").1.rate.to(unit::RATE_N_MM);
        // Printed there from a finite travel, so a little below the tangent.
        assert!(fabs(tangent - published) < 0.004, "{lean}: {tangent}, published {published}");
        let linear = rate + 8.0 / 3.0 * 0.5 * load * tan(lean.to_radians()) / half;
        assert!(fabs(tangent - linear) < 1e-5, "{lean}: {tangent}, formula {linear}");
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(30))]

    #[test]
    fn shackle_invariants(
        near in 450.0..650.0f64, far in 450.0..650.0f64, clamp in 0.0..60.0f64, arch in 0.0..90.0f64,
        load in 2500.0..6000.0f64, shackle in 90.0..150.0f64, lean in -5.0..25.0f64,
    ) {
        let row = ride(near, far, clamp, arch, load, shackle, lean);
        let (hung, rest) = Hung::at_ride(&row).expect("a model");
        // Rest found from the pin and the free shape is the ride it was set up from.
        let found = hung.rest(row.load).expect("a rest");
        let same = |a: &Pose, b: &Pose| {
            (a.run - b.run).si().abs() < 1e-9 && (a.height - b.height).si().abs() < 1e-9
                && (a.pitch - b.pitch).si().abs() < 1e-9
        };
        prop_assert!(same(&found, &rest));
        prop_assert!((found.lean.to(unit::DEG) - lean).abs() < 1e-7);
        // There and back.
        let up = hung.moved(&rest, length(30.0), |_| {}).expect("an equilibrium");
        let back = hung.moved(&up, length(-30.0), |_| {}).expect("an equilibrium");
        prop_assert!(same(&back, &rest));
        // No travel, no movement; and the tangent rate is the slope of the force.
        let little = hung.moved(&rest, length(0.01), |_| {}).expect("an equilibrium");
        let less = hung.moved(&rest, length(-0.01), |_| {}).expect("an equilibrium");
        prop_assert!((little.run - rest.run).si().abs() < 1e-5);
        let slope = (little.force - less.force).si() / 2e-5;
        prop_assert!(near_rate(slope, rest.rate.si()));
        // Energy is conserved: the work of the seat force is what the halves store.
        prop_assert!(up.force.si() > rest.force.si());
    }

    #[test]
    fn fixed_eye_in_front_mirrors_fixed_eye_behind(
        half in 450.0..650.0f64, arch in 10.0..90.0f64, lean in -5.0..25.0f64, travel in 10.0..50.0f64,
    ) {
        let run = |end: &str| answer("shackle-travel", &[
            ("fixed_eye", end.into()), ("fixed_half", mm(half)), ("clamp_half", mm(40.0)), ("rate", "40 N/mm".into()),
            ("load", "4000 N".into()), ("shackle", mm(110.0)), ("arch", mm(arch)), ("lean", degrees(lean)),
            ("bump", mm(travel)), ("droop", mm(travel)),
        ]);
        let (front, rear) = (run("front").expect("front"), run("rear").expect("rear"));
        for id in ["bump_x", "droop_x", "bump_caster", "droop_caster"] {
            prop_assert!((front[id] + rear[id]).abs() < 1e-12, "{id}");
        }
        for id in ["bump_load", "droop_load", "worst_lean", "ride_rate"] {
            prop_assert!((front[id] - rear[id]).abs() < 1e-9, "{id}");
        }
    }
}

fn near_rate(a: f64, b: f64) -> bool {
    fabs(a - b) < 1e-4 * fabs(b) + 1.0
}

#[test]
fn a_short_inward_shackle_folds_in_droop() {
    // Found apart from the program by minimised energy: no shape beyond 65 to 70 mm.
    let (hung, rest) = Hung::at_ride(&ride(550.0, 550.0, 50.0, 75.0, 4000.0, 95.0, -18.0)).expect("a model");
    assert!(hung.moved(&rest, length(-60.0), |_| {}).is_ok());
    assert!(hung.moved(&rest, length(-70.0), |_| {}).is_err());
    let oracle = Oracle::of(&hung);
    assert!(oracle.at(0.0398, -75.0 - 71.0, 1.11e-3).is_none());
    // Just before the fold the page must say so.
    let close = warnings(
        "shackle-travel",
        &[
            ("fixed_half", mm(550.0)),
            ("clamp_half", mm(50.0)),
            ("rate", "40 N/mm".into()),
            ("load", "4000 N".into()),
            ("shackle", mm(95.0)),
            ("arch", mm(75.0)),
            ("lean", degrees(-18.0)),
            ("droop", mm(63.0)),
        ],
    );
    assert!(close.iter().any(|w| w.contains("passes 45 deg")), "{close:?}");
}

#[test]
fn free_arch_and_free_curvature_say_the_same() {
    let run = |name: &str, value: String| {
        answer(
            "shackle-travel",
            &[
                ("fixed_half", mm(550.0)),
                ("clamp_half", mm(50.0)),
                ("rate", "40 N/mm".into()),
                ("load", "4000 N".into()),
                ("shackle", mm(110.0)),
                ("pin_run", mm(1160.0)),
                ("pin_rise", mm(105.0)),
                (name, value),
                ("bump", mm(40.0)),
            ],
        )
        .expect("an answer")
    };
    let curvature = curvature_at_height(length(550.0), length(155.0)).expect("a shape");
    let by_arch = run("free_arch", mm(155.0));
    let by_curvature =
        run("free_curvature", format!("{} /mm", Curvature::from_si(curvature.si()).to(unit::PER_MM)));
    for (id, value) in by_arch {
        assert!(fabs(value - by_curvature[&id]) < 1e-9 * fabs(value).max(1.0), "{id}");
    }
}
