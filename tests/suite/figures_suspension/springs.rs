//! Leaf packs, unequal halves and the path of the axle.

use libm::{cos, fabs, sin, sqrt};
use proptest::prelude::*;
use tackwright::figure::geometry::axle_path::{equivalent_link, recession};
use tackwright::figure::geometry::leaf_arc::{curvature_at_height, shortening};
use tackwright::figure::geometry::leaf_halves::Halves;
use tackwright::figure::geometry::leaf_rate::Pack;
use tackwright::quantity::{Dimensioned, Force, Number, SecondMoment, Stress, unit};

use super::{answer, integrate, length, mm, near, root};

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
