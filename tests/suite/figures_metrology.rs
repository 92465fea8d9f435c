//! Metrology figures against printed tables and independent calculations.

#![allow(clippy::disallowed_methods, reason = "a second opinion uses the platform's own functions")]

use proptest::prelude::*;
use tackwright::figure::metrology::budget::{Component, combine, coverage_factor};
use tackwright::figure::metrology::decision::{Limits, Verdict};
use tackwright::figure::metrology::distribution::{normal_below, student_below, student_quantile};
use tackwright::figure::metrology::reading::mean_and_deviation;
use tackwright::quantity::{Dimensioned, Percent, unit};

/// JCGM 100:2008 table G.2: degrees of freedom, then t for 68.27, 90, 95,
/// 95.45, 99 and 99.73 % (from memory, recomputed).
const TABLE_G2: &[(f64, [f64; 6])] = &[
    (1.0, [1.84, 6.31, 12.71, 13.97, 63.66, 235.80]),
    (2.0, [1.32, 2.92, 4.30, 4.53, 9.92, 19.21]),
    (3.0, [1.20, 2.35, 3.18, 3.31, 5.84, 9.22]),
    (4.0, [1.14, 2.13, 2.78, 2.87, 4.60, 6.62]),
    (5.0, [1.11, 2.02, 2.57, 2.65, 4.03, 5.51]),
    (10.0, [1.05, 1.81, 2.23, 2.28, 3.17, 3.96]),
    (16.0, [1.03, 1.75, 2.12, 2.17, 2.92, 3.54]),
    (20.0, [1.03, 1.72, 2.09, 2.13, 2.85, 3.42]),
    (50.0, [1.01, 1.68, 2.01, 2.05, 2.68, 3.16]),
    (100.0, [1.005, 1.660, 1.984, 2.025, 2.626, 3.077]),
    (f64::INFINITY, [1.000, 1.645, 1.960, 2.000, 2.576, 3.000]),
];

#[test]
fn student_table_of_the_guide() {
    let shares = [0.682_689_5, 0.90, 0.95, 0.954_499_7, 0.99, 0.997_300_2];
    for (dof, row) in TABLE_G2 {
        for (share, printed) in shares.iter().zip(row) {
            let got = coverage_factor(Percent::from_si(*share), *dof);
            let room = if *dof >= 100.0 { 0.000_6 } else { 0.005_1 };
            assert!((got - printed).abs() <= room, "nu {dof}, {share}: {got} against {printed}");
        }
    }
}

#[test]
fn normal_table() {
    // Standard normal table: z and probability below.
    for (z, p) in [
        (0.0, 0.5),
        (1.0, 0.841_345),
        (1.4, 0.919_243),
        (1.644_854, 0.95),
        (1.959_964, 0.975),
        (2.575_829, 0.995),
        (-3.0, 0.001_350),
    ] {
        assert!((normal_below(z) - p).abs() < 1e-6, "{z}");
        assert!((student_quantile(p, f64::INFINITY) - z).abs() < 1e-3, "{p}");
    }
}

/// Area under the densities by Simpson's rule, with the Student constant found
/// by requiring the whole area to be one.
#[test]
fn distributions_by_integration() {
    let simpson = |f: &dyn Fn(f64) -> f64, a: f64, b: f64| {
        let n = 20_000;
        let h = (b - a) / f64::from(n);
        let mut sum = f(a) + f(b);
        for i in 1..n {
            sum += f(a + f64::from(i) * h) * if i % 2 == 1 { 4.0 } else { 2.0 };
        }
        sum * h / 3.0
    };
    for dof in [3.0, 4.5, 9.0, 30.0, 200.0] {
        // With t = tan(x) sqrt(v) the whole line is -pi/2 to pi/2.
        let density = |x: f64| x.cos().powf(dof - 1.0);
        let edge = std::f64::consts::FRAC_PI_2;
        let whole = simpson(&density, -edge, edge);
        for t in [-2.0f64, -0.3, 0.0, 0.7, 1.96, 4.0] {
            let part = simpson(&density, -edge, (t / dof.sqrt()).atan()) / whole;
            assert!((student_below(t, dof) - part).abs() < 1e-8, "{dof} {t}: {}", student_below(t, dof));
        }
    }
}

/// Small generator with a fixed seed, so that the run is the same everywhere.
struct Dice(u64);

impl Dice {
    fn unit(&mut self) -> f64 {
        // SplitMix64.
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        ((z ^ (z >> 31)) >> 11) as f64 / (1u64 << 53) as f64
    }

    fn normal(&mut self) -> f64 {
        let (a, b) = (self.unit().max(1e-300), self.unit());
        (-2.0 * a.ln()).sqrt() * (2.0 * std::f64::consts::PI * b).cos()
    }
}

/// Monte Carlo of the torque wrench line: a rectangular limit, a resolution and
/// a normal spread.
#[test]
fn propagation_by_monte_carlo() {
    let mut dice = Dice(7);
    let n = 400_000;
    let draws: Vec<f64> =
        (0..n).map(|_| 3.0 * (2.0 * dice.unit() - 1.0) + (dice.unit() - 0.5) + 0.5 * dice.normal()).collect();
    let (_, deviation) = mean_and_deviation(&draws).expect("draws");
    let deviation = deviation.expect("a deviation");
    let exact = |standard: f64| Component { standard, dof: f64::INFINITY };
    let parts = [exact(3.0 / 3.0f64.sqrt()), exact(1.0 / 12.0f64.sqrt()), exact(0.5)];
    let combined = combine(&parts, Percent::from_si(0.9545));
    assert!((combined.standard / deviation - 1.0).abs() < 0.005, "{} {deviation}", combined.standard);
    assert!((combined.standard - 1.83).abs() < 0.006);
}

/// The registry carries limits through a product as Monte Carlo does.
#[test]
fn carried_uncertainty_by_monte_carlo() {
    use tackwright::{app::reckon, figure::Value, figure::registry};
    let family = registry::find("torque").expect("a family");
    let pairs = [
        ("thread", "1/2-20"),
        ("preload", "10000 lbf ± 1000 lbf"),
        ("k", "0.15 ± 0.02"),
        ("increment", "0.001 lbf-ft"),
    ];
    let given = reckon::read_inputs(family, pairs).expect("readable");
    let found = family.reckon(&given).expect("a torque");
    let Some(Value::Quantity { quantity, uncertainty }) =
        found.iter().find(|f| f.id == "torque").map(|f| &f.value)
    else {
        panic!("no torque");
    };
    let mut dice = Dice(11);
    let draws: Vec<f64> = (0..400_000)
        .map(|_| {
            let force = 1.0 + 0.1 * (2.0 * dice.unit() - 1.0);
            let k = 0.15 + 0.02 * (2.0 * dice.unit() - 1.0);
            quantity.si() * force * k / 0.15
        })
        .collect();
    let deviation = mean_and_deviation(&draws).and_then(|m| m.1).expect("a deviation");
    assert!((uncertainty / deviation - 1.0).abs() < 0.01, "{uncertainty} {deviation}");
}

/// What both readings share cancels: Monte Carlo with a common offset.
#[test]
fn common_offset_cancels() {
    let mut dice = Dice(3);
    let step = |x: f64| (x * 10.0).round() / 10.0;
    let draws: Vec<f64> = (0..400_000)
        .map(|_| {
            let zero = 0.2 * (2.0 * dice.unit() - 1.0);
            // True angles move about, so that rounding acts as noise.
            let (a, b) = (2.5 + dice.unit(), 6.0 + dice.unit());
            (step(b + zero) - step(a + zero)) - (b - a)
        })
        .collect();
    let deviation = mean_and_deviation(&draws).and_then(|m| m.1).expect("a deviation");
    assert!((deviation - 0.040_824_8).abs() < 0.000_3, "{deviation}");
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn quantile_there_and_back(p in 0.001..0.999f64, dof in 1.0..300.0f64) {
        let t = student_quantile(p, dof);
        prop_assert!((student_below(t, dof) - p).abs() < 1e-9);
        // Symmetric about zero.
        prop_assert!((student_quantile(1.0 - p, dof) + t).abs() < 1e-6 * (1.0 + t.abs()));
    }

    #[test]
    fn fewer_degrees_of_freedom_cover_wider(p in 0.6..0.99f64, dof in 1.0..100.0f64) {
        let p = Percent::from_si(p);
        prop_assert!(coverage_factor(p, dof) >= coverage_factor(p, dof + 1.0) - 1e-9);
        prop_assert!(coverage_factor(p, dof) >= coverage_factor(p, f64::INFINITY) - 1e-9);
    }

    #[test]
    fn budget_is_between_its_largest_part_and_the_sum(u in prop::collection::vec(0.01..10.0f64, 1..6), dof in 1.0..50.0f64) {
        let parts: Vec<Component> = u.iter().map(|u| Component { standard: *u, dof }).collect();
        let all = combine(&parts, Percent::from_si(0.95));
        let largest = u.iter().copied().fold(0.0, f64::max);
        prop_assert!(all.standard >= largest * (1.0 - 1e-12) && all.standard <= u.iter().sum::<f64>() * (1.0 + 1e-12));
        // Effective degrees of freedom lie between the smallest and the sum.
        prop_assert!(all.dof >= dof * (1.0 - 1e-9));
        prop_assert!(all.dof <= dof * u.len() as f64 * (1.0 + 1e-9));
    }

    #[test]
    fn verdict_agrees_with_probability(y in -5.0..5.0f64, u in 0.01..0.4f64) {
        let limits = Limits { lower: Some(-2.0), upper: Some(2.0) };
        let guard = 1.644_853_627 * u;
        let inside = limits.conformance(y, u).si();
        match limits.verdict(y, guard) {
            Verdict::Conform => prop_assert!(inside >= 0.95 - 1e-4),
            Verdict::NotConform => prop_assert!(inside <= 0.05 + 1e-4),
            Verdict::NotProven => prop_assert!((0.0..=1.0).contains(&inside)),
        }
        // A wider guard band never turns a verdict round.
        if limits.verdict(y, 2.0 * u) == Verdict::Conform {
            prop_assert_eq!(limits.verdict(y, u), Verdict::Conform);
        }
    }

    #[test]
    fn one_sided_is_the_limit_of_two_sided(y in -1.0..3.0f64, u in 0.05..0.5f64) {
        let one = Limits { lower: None, upper: Some(2.0) };
        let two = Limits { lower: Some(-1e6), upper: Some(2.0) };
        prop_assert!((one.conformance(y, u).si() - two.conformance(y, u).si()).abs() < 1e-12);
        prop_assert_eq!(one.verdict(y, u), two.verdict(y, u));
    }
}

#[test]
fn a_question_asked_in_rust_answers_as_the_bench_does() {
    use tackwright::figure::metrology::decision::Decision;
    use tackwright::figure::{Ask, Value};
    use tackwright::quantity::Angle;
    let deg = |x| Angle::of(x, unit::DEG);
    let asked = Ask::<Decision<Angle>>::new()
        .with(Decision::value, deg(5.3))
        .with(Decision::lower, deg(4.5))
        .with(Decision::upper, deg(5.5))
        .with(Decision::u, deg(0.15));
    let typed = asked.answer().expect("an answer");
    // ISO 14253-1: 5.3 is above 5.5 - 2 x 0.15 and below 5.5 + 2 x 0.15.
    assert_eq!(typed.verdict.get(), Some(&Verdict::NotProven));
    let figures = asked.figures().expect("figures");
    let verdict = figures.iter().find(|f| f.id == "verdict").expect("a verdict");
    assert_eq!(verdict.value, Value::word("not proven"));
    let contradiction = asked.with(Decision::nominal, deg(5.0)).answer().expect_err("two ways");
    assert!(contradiction.to_string().contains("both given"), "{contradiction}");
}

#[test]
fn a_verdict_within_its_own_uncertainty_is_not_proven() {
    use tackwright::app::reckon::read_inputs;
    use tackwright::figure::registry;
    let verdict = |left: &str| {
        let family = registry::find("cross-caster").expect("a family");
        let given = read_inputs(family, [("left", left), ("right", "5 deg")]).expect("inputs");
        let figures = family.reckon(&given).expect("figures");
        let ok = figures.iter().find(|f| f.id == "within_limit").expect("a verdict");
        (ok.show(), ok.warnings.iter().any(|w| w.contains("not proven")))
    };
    // The limit is 0.5 deg; U is 0.2 deg (k = 2): 0.3 is proven and 0.35 is not.
    assert_eq!(verdict("5.30 deg ± 0.2 deg (k=2)"), ("yes".to_owned(), false));
    assert_eq!(verdict("5.35 deg ± 0.2 deg (k=2)"), ("not proven".to_owned(), true));
    assert_eq!(verdict("5.35 deg"), ("yes".to_owned(), false));
    assert_eq!(verdict("5.80 deg ± 0.2 deg (k=2)"), ("no".to_owned(), false));
}
