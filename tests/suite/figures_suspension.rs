//! Springs, travel and placing the axle against methods written apart from the
//! program: integrated beams, minimised energy, brute-force roots.

use std::collections::BTreeMap;

use libm::{acos, atan, atan2, cos, fabs, hypot, sin, sqrt, tan};
use proptest::prelude::*;
use tackwright::app::reckon;
use tackwright::figure::geometry::axle_path::{equivalent_link, recession};
use tackwright::figure::geometry::clearance_angles::tangent_angle;
use tackwright::figure::geometry::cope::Cope;
use tackwright::figure::geometry::leaf_arc::{curvature_at_height, shortening};
use tackwright::figure::geometry::leaf_halves::Halves;
use tackwright::figure::geometry::leaf_rate::Pack;
use tackwright::figure::geometry::shackle_model::{Hung, Pose, Ride};
use tackwright::figure::{Value, registry};
use tackwright::quantity::{
    Angle, Curvature, Dimensioned, Force, Length, Number, SecondMoment, SpringRate, Stress, unit,
};

/// Quantity results of a family in SI units.
fn answer(family: &str, inputs: &[(&str, String)]) -> Result<BTreeMap<String, f64>, String> {
    let family = registry::find(family).expect("a family");
    let given = reckon::read_inputs(family, inputs.iter().map(|(k, v)| (*k, v.as_str())))
        .unwrap_or_else(|r| panic!("{:?}", r.problems));
    let figures = family.reckon(&given).map_err(|t| t.to_string())?;
    Ok(figures
        .iter()
        .filter_map(|f| match &f.value {
            Value::Quantity { quantity, .. } => Some((f.id.to_owned(), quantity.si())),
            _ => None,
        })
        .collect())
}

fn warnings(family: &str, inputs: &[(&str, String)]) -> Vec<String> {
    let family = registry::find(family).expect("a family");
    let given = reckon::read_inputs(family, inputs.iter().map(|(k, v)| (*k, v.as_str()))).expect("inputs");
    family.reckon(&given).expect("an answer")[0].warnings.clone()
}

fn mm(value: f64) -> String {
    format!("{value} mm")
}

fn degrees(value: f64) -> String {
    format!("{value} deg")
}

fn length(millimetres: f64) -> Length {
    Length::of(millimetres, unit::MM)
}

fn near(a: f64, b: f64, relative: f64) -> bool {
    fabs(a - b) <= relative * fabs(a).max(fabs(b)).max(1e-12)
}

/// Simpson's rule with 2000 intervals.
fn integrate(from: f64, to: f64, f: impl Fn(f64) -> f64) -> f64 {
    let n = 2000;
    let h = (to - from) / f64::from(n);
    (0..=n)
        .map(|i| {
            let weight = if i == 0 || i == n {
                1.0
            } else if i % 2 == 1 {
                4.0
            } else {
                2.0
            };
            weight * f(from + f64::from(i) * h)
        })
        .sum::<f64>()
        * h
        / 3.0
}

/// Halving of a bracket, for any continuous function that changes sign.
fn root(mut low: f64, mut high: f64, f: impl Fn(f64) -> f64) -> f64 {
    let rising = f(low) < 0.0;
    assert!((f(high) >= 0.0) == rising, "no change of sign");
    for _ in 0..200 {
        let middle = 0.5 * (low + high);
        if (f(middle) < 0.0) == rising { low = middle } else { high = middle }
    }
    0.5 * (low + high)
}

/// Eye deflection of a half pack per unit load by the unit-load theorem, its
/// graduated part tapering to nothing at the eye.
fn half_compliance(modulus: f64, second_moment: impl Fn(f64) -> f64, half: f64) -> f64 {
    // The integrand x^2 / I is finite at the eye for a taper, but 0/0 there.
    integrate(half * 1e-9, half, |x| x * x / (modulus * second_moment(x)))
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(40))]

    #[test]
    fn mixed_packs_are_as_stiff_as_integrated_beams(
        full in 0u32..4, graduated in 1u32..12, width in 40.0..90.0f64, thickness in 4.0..14.0f64, half in 300.0..800.0f64,
    ) {
        let pack = Pack {
            full: Number::from_si(f64::from(full)),
            graduated: Number::from_si(f64::from(graduated)),
            width: length(width), thickness: length(thickness), half: length(half),
            modulus: Stress::of(207.0, unit::GPA),
        };
        let (b, t, l) = (width / 1e3, thickness / 1e3, half / 1e3);
        let leaf = b * t * t * t / 12.0;
        // Parallel beams touch at the eye: their stiffnesses add.
        let taper = half_compliance(207e9, |x| f64::from(graduated) * leaf * x / l, l);
        let mut stiffness = 1.0 / taper;
        let mut full_load = 0.0;
        if full > 0 {
            let uniform = half_compliance(207e9, |_| f64::from(full) * leaf, l);
            stiffness += 1.0 / uniform;
            full_load = (1.0 / uniform) / stiffness;
        }
        prop_assert!(near(pack.rate().si(), 2.0 * stiffness, 1e-6));
        // Root stress of each group from the share of the load it takes.
        let load = Force::of(5000.0, unit::N);
        let section = b * t * t / 6.0;
        let graduated_stress = 5000.0 * (1.0 - full_load) * l / (f64::from(graduated) * section);
        prop_assert!(near(pack.stress_graduated(load).si(), graduated_stress, 1e-6));
        if full > 0 {
            let full_stress = 5000.0 * full_load * l / (f64::from(full) * section);
            prop_assert!(near(pack.stress_full(load).si(), full_stress, 1e-6));
            // Nip: free ends apart by the difference of the deflections each
            // group would have under its equal share of stress.
            let equal = pack.stress_equal(load).si();
            let sag = |compliance: f64, leaves: f64| equal * section * leaves / l * compliance;
            let uniform = half_compliance(207e9, |_| f64::from(full) * leaf, l);
            let gap = sag(taper, f64::from(graduated)) - sag(uniform, f64::from(full));
            prop_assert!(near(pack.nip(load).si(), gap, 1e-6));
            // The bolt closes that gap on both half springs.
            let bolt = 2.0 * gap / (taper + uniform);
            prop_assert!(near(pack.bolt_force(load).si(), bolt, 1e-6));
        }
    }

    #[test]
    fn unequal_halves_balance_as_integrated_beams(
        front in 300.0..800.0f64, rear in 300.0..800.0f64, clamp in 0.0..80.0f64,
    ) {
        let halves = Halves { front: length(front), rear: length(rear), clamp_half: length(clamp) };
        let (a, b, c) = (front / 1e3, rear / 1e3, clamp / 1e3);
        let (modulus, second) = (207e9, 1.2e-8);
        let near_eye = half_compliance(modulus, |x| second * x / a, a);
        let far_eye = half_compliance(modulus, |x| second * x / b, b);
        let (arm, other) = (a + c, b + c);
        // Seat rises by z and turns by q, eyes held: z + q A = flex of the front
        // eye, z - q B = flex of the rear, under eye loads p and r.
        let seat = |p: f64, r: f64| {
            let (f, g) = (p * near_eye, r * far_eye);
            ((f * other + g * arm) / (arm + other), (f - g) / (arm + other))
        };
        let load = 4000.0;
        let front_load = load * other / (arm + other);
        let (rise, turn) = seat(front_load, load - front_load);
        let moduli = (Stress::from_si(modulus), SecondMoment::from_si(second));
        prop_assert!(near(halves.rate(moduli.0, moduli.1).si(), load / rise, 1e-6));
        prop_assert!((halves.tilt_per_travel().si() - turn / rise).abs() < 1e-6);
        prop_assert!(near(halves.front_share().si(), front_load / load, 1e-12));
        // A couple at the seat is held by equal and opposite eye loads.
        let couple = 1500.0;
        let (_, turn) = seat(couple / (arm + other), -couple / (arm + other));
        prop_assert!(near(halves.windup_stiffness(moduli.0, moduli.1).si(), couple / turn, 1e-6));
        let rate = halves.rate(moduli.0, moduli.1);
        prop_assert!(near(halves.second_moment(rate, moduli.0).si(), second, 1e-12));
        // The same spring seen from behind tilts the other way.
        let turned = Halves { front: halves.rear, rear: halves.front, clamp_half: halves.clamp_half };
        prop_assert!((halves.tilt_per_travel() + turned.tilt_per_travel()).si().abs() < 1e-12);
    }

    #[test]
    fn an_arc_of_that_curvature_stands_that_high(half in 200.0..900.0f64, share in -0.6..0.6f64) {
        let height = half * share;
        let curvature = curvature_at_height(length(half), length(height)).expect("a shape").si();
        // Walk along the leaf in small chords.
        let n = 20_000;
        let step = half / 1e3 / f64::from(n);
        let (mut x, mut y) = (0.0, 0.0);
        for i in 0..n {
            let direction = curvature * (f64::from(i) + 0.5) * step;
            x += step * cos(direction);
            y += step * sin(direction);
        }
        prop_assert!((y * 1e3 - height).abs() < 1e-4);
        let short = shortening(length(half), length(height)).expect("a shape").to(unit::MM);
        prop_assert!((half - x * 1e3 - short).abs() < 1e-4);
    }
}

#[test]
fn packs_of_one_thickness_scale_as_published() {
    // Rate with T t^2, stress at a load with 1 / (T t), stress per travel with t.
    let swap = |leaves: f64, thickness: f64| {
        answer(
            "leaf-swap",
            &[
                ("leaves_old", "6".into()),
                ("thickness_old", mm(8.0)),
                ("leaves_new", leaves.to_string()),
                ("thickness_new", mm(thickness)),
                ("width", mm(60.0)),
                ("span", mm(1100.0)),
                ("load", "5 kN".into()),
            ],
        )
        .expect("an answer")
    };
    for (leaves, thickness) in [(8.0, 6.0), (12.0, 4.0), (4.0, 12.0)] {
        let got = swap(leaves, thickness);
        let t = thickness / 8.0;
        assert!(near(got["rate_ratio"], t * t, 1e-9));
        assert!(near(got["stress_ratio"], 1.0 / t, 1e-9));
        assert!(near(got["travel_stress_new"] / got["travel_stress_old"], t, 1e-9));
    }
}

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

#[test]
fn the_arc_path_curves_with_three_quarters_of_the_half_length() {
    // Three points of the exact path near flat; the radius of their circle.
    let half = 600.0;
    let path = |y: f64| half - shortening(length(half), length(y)).expect("a shape").to(unit::MM);
    let y: f64 = 6.0;
    let sag = path(0.0) - path(y);
    let radius = (y * y + sag * sag) / (2.0 * sag);
    assert!(near(radius, equivalent_link(length(half)).to(unit::MM), 1e-4), "{radius}");
    // Within 0.2 % of the exact shortening up to a quarter of the half length.
    for y in [10.0, 60.0, 120.0, 150.0] {
        let exact = shortening(length(half), length(y)).expect("a shape").si();
        let link = recession(length(450.0), length(y), length(0.0)).expect("a circle").si();
        assert!(near(exact, link, 0.002), "{y}");
    }
}

#[test]
fn the_pivot_of_an_offset_eye_fits_the_exact_path() {
    // Eye centre e above the leaf end, square to it: the seat's path in the frame
    // of the eye, fitted by a circle through five points by least squares.
    let (half, e) = (600.0, 18.0);
    let seat = |turn: f64| {
        let k = turn / half;
        let (x, y) = if fabs(turn) < 1e-9 { (half, 0.0) } else { (sin(turn) / k, (1.0 - cos(turn)) / k) };
        // Eye from the clamp edge; the seat from the eye is its negative.
        (x - e * sin(turn), -(y + e * cos(turn)))
    };
    // Normal equations of x^2 + w^2 = 2 u x + 2 v w + c.
    let mut m = [[0.0_f64; 4]; 3];
    for i in -6..=6 {
        let (x, w) = seat(f64::from(i) * 0.03);
        let row = [2.0 * x, 2.0 * w, 1.0];
        let rhs = x * x + w * w;
        for r in 0..3 {
            for c in 0..3 {
                m[r][c] += row[r] * row[c];
            }
            m[r][3] += row[r] * rhs;
        }
    }
    for column in 0..3 {
        let pivot =
            (column..3).max_by(|a, b| fabs(m[*a][column]).total_cmp(&fabs(m[*b][column]))).expect("a row");
        m.swap(column, pivot);
        for row in 0..3 {
            if row != column {
                let factor = m[row][column] / m[column][column];
                let top = m[column];
                for (value, above) in m[row].iter_mut().zip(top) {
                    *value -= factor * above;
                }
            }
        }
    }
    let (u, v) = (m[0][3] / m[0][0], m[1][3] / m[1][1]);
    let radius = sqrt(m[2][3] / m[2][2] + u * u + v * v);
    let given = [("half_length", mm(half)), ("height", mm(e)), ("eye_offset", mm(e))];
    let pivot = answer("axle-path", &given).expect("an answer")["pivot"] * 1e3;
    assert!(fabs(v - pivot) < 0.05, "fitted {v}, given {pivot}");
    assert!(fabs(radius / half - 0.75) < 0.001, "{radius}");
    // The movement itself, from an arched ride to beyond flat.
    let height_at = |h: f64| root(-0.5, 0.5, |turn| -seat(turn).1 - h);
    let away = seat(height_at(-15.0)).0 - seat(height_at(70.0)).0;
    let given = [("half_length", mm(half)), ("height", mm(70.0)), ("eye_offset", mm(e)), ("bump", mm(85.0))];
    let x = answer("axle-path", &given).expect("an answer")["bump_x"] * 1e3;
    assert!(near(-x, away, 0.005), "{x}, exact {away}");
}

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
        // Slopes from the point to every point of the tyre arc ahead: the steepest
        // line that stays clear is the least of them.
        let mut least = f64::INFINITY;
        for i in 0..=40_000 {
            let q = -0.5 * std::f64::consts::PI + std::f64::consts::PI * f64::from(i) / 40_000.0;
            let (u, w) = (r * cos(q), r + r * sin(q));
            if u < x && w < z {
                least = least.min(atan2(z - w, x - u));
            }
        }
        // The tangent touches where the slope from the point down to the arc is least
        // in height, which is the greatest drop per run seen from the point.
        prop_assert!(least <= angle + 1e-6);
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
        let cope = Cope { run: length(run), branch: length(branch), angle: Angle::of(angle, unit::DEG) };
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
        prop_assert!(cope.least_reach().to(unit::MM) <= least + 1e-9);
        prop_assert!(least - cope.least_reach().to(unit::MM) < 1e-3 * run);
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
    let plate = tackwright::figure::geometry::template::side_plate(
        length(radius - 60.0 * tan(taper)),
        length(offset),
    )
    .expect("a height");
    assert!(near(plate.to(unit::MM), height, 1e-9));
    assert!(acos(offset / (radius - 60.0 * tan(taper))) > 0.0);
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
