//! Size, strength, sequence and acceptance of welds against independent
//! oracles: integration along the weld, brute-force searches, rotated groups.

use std::collections::BTreeSet;

use proptest::prelude::*;
use tackwright::app::reckon;
use tackwright::figure::{Figure, Given, InputKind, Value, registry};
use tackwright::quantity::Quantity;

/// Runs a family from texts.
pub(super) fn run(name: &str, pairs: &[(&str, String)]) -> Vec<Figure> {
    let family = registry::find(name).expect("a family");
    let given = reckon::read_inputs(family, pairs.iter().map(|(k, v)| (*k, v.as_str())))
        .unwrap_or_else(|r| panic!("{:?}", r.problems));
    family.reckon(&given).unwrap_or_else(|t| panic!("{name}: {t}"))
}

pub(super) fn si(figures: &[Figure], id: &str) -> f64 {
    let figure = figures.iter().find(|f| f.id == id).unwrap_or_else(|| panic!("no {id}"));
    figure.value.quantity().expect("a quantity").si()
}

fn word(figures: &[Figure], id: &str) -> String {
    match &figures.iter().find(|f| f.id == id).expect("the output").value {
        Value::Word(word) => word.clone(),
        other => panic!("{other:?} is no word"),
    }
}

pub(super) fn mm(value: f64) -> String {
    format!("{value:.9} mm")
}

/// Points in millimetres along each outline, finely spaced, with the length
/// each stands for. Written from the pictures in the handbook tables.
fn samples(outline: &str, b: f64, d: f64) -> Vec<(f64, f64, f64)> {
    const N: u32 = 4000;
    let strokes: Vec<((f64, f64), (f64, f64))> = match outline {
        "vertical" => vec![((0.0, 0.0), (0.0, d))],
        "horizontal" => vec![((0.0, 0.0), (b, 0.0))],
        "two-vertical" => vec![((0.0, 0.0), (0.0, d)), ((b, 0.0), (b, d))],
        "two-horizontal" => vec![((0.0, 0.0), (b, 0.0)), ((0.0, d), (b, d))],
        "l" => vec![((0.0, 0.0), (0.0, d)), ((0.0, 0.0), (b, 0.0))],
        "c" => vec![((0.0, 0.0), (0.0, d)), ((0.0, 0.0), (b, 0.0)), ((0.0, d), (b, d))],
        "u" => vec![((0.0, 0.0), (b, 0.0)), ((0.0, 0.0), (0.0, d)), ((b, 0.0), (b, d))],
        "rectangle" => {
            vec![((0.0, 0.0), (b, 0.0)), ((0.0, d), (b, d)), ((0.0, 0.0), (0.0, d)), ((b, 0.0), (b, d))]
        }
        "circle" => {
            let piece = std::f64::consts::PI * d / f64::from(N);
            return (0..N)
                .map(|i| {
                    let angle = 2.0 * std::f64::consts::PI * (f64::from(i) + 0.5) / f64::from(N);
                    (d / 2.0 * libm::cos(angle), d / 2.0 * libm::sin(angle), piece)
                })
                .collect();
        }
        other => panic!("no outline {other}"),
    };
    strokes
        .into_iter()
        .flat_map(|((x1, y1), (x2, y2))| {
            let length = libm::hypot(x2 - x1, y2 - y1);
            (0..N).map(move |i| {
                let s = (f64::from(i) + 0.5) / f64::from(N);
                (x1 + s * (x2 - x1), y1 + s * (y2 - y1), length / f64::from(N))
            })
        })
        .collect()
}

#[test]
fn group_properties_agree_with_integration_along_the_weld() {
    let outlines =
        ["vertical", "horizontal", "two-vertical", "two-horizontal", "l", "c", "u", "rectangle", "circle"];
    for outline in outlines {
        for (b, d) in [(76.2, 127.0), (40.0, 15.0), (10.0, 90.0)] {
            let weld = samples(outline, b, d);
            let total: f64 = weld.iter().map(|p| p.2).sum();
            let cx: f64 = weld.iter().map(|p| p.0 * p.2).sum::<f64>() / total;
            let cy: f64 = weld.iter().map(|p| p.1 * p.2).sum::<f64>() / total;
            let integral =
                |f: &dyn Fn(f64, f64) -> f64| weld.iter().map(|p| f(p.0 - cx, p.1 - cy) * p.2).sum::<f64>();
            let figures = run("weld-group", &[("outline", outline.to_owned()), ("b", mm(b)), ("d", mm(d))]);
            let polar = integral(&|x, y| x * x + y * y);
            let close = |id: &str, wanted: f64, scale: f64, room: f64| {
                let got = si(&figures, id) * scale;
                assert!(
                    (got - wanted).abs() <= room,
                    "{outline} {b} x {d}: {id} is {got}, integration gives {wanted}"
                );
            };
            close("aw", total, 1e3, 1e-6 * total);
            close("xbar", cx, 1e3, 1e-6 * total);
            close("ybar", cy, 1e3, 1e-6 * total);
            close("ix", integral(&|_, y| y * y), 1e9, 1e-6 * polar);
            close("iy", integral(&|x, _| x * x), 1e9, 1e-6 * polar);
            close("ixy", integral(&|x, y| x * y), 1e9, 1e-6 * polar);
            close("jw", polar, 1e9, 1e-6 * polar);
        }
    }
}

/// A channel without its last polar term is 12.6 % too stiff, and a ring whose
/// torsion takes the bending modulus is out by two: both known slips of print.
#[test]
fn known_slips_of_print_are_not_repeated() {
    let c = run("weld-group", &[("outline", "c".into()), ("b", "3 mm".into()), ("d", "5 mm".into())]);
    let (b, d) = (3.0_f64, 5.0_f64);
    let slip = (8.0 * b * b * b + 6.0 * b * d * d + d * d * d) / 12.0;
    let got = si(&c, "jw") * 1e9;
    assert!((slip / got - 1.126).abs() < 0.001, "{slip} against {got}");
    let ring = run("weld-group", &[("outline", "circle".into()), ("d", "4 mm".into())]);
    assert!((si(&ring, "jw") / si(&ring, "reach") / (2.0 * si(&ring, "sw")) - 1.0).abs() < 1e-12);
}

/// Loads of a case in newtons and newton millimetres.
#[derive(Debug, Clone, Copy)]
struct Case {
    vx: f64,
    vy: f64,
    pull: f64,
    mx: f64,
    my: f64,
    mz: f64,
}

impl Case {
    fn pairs(self) -> Vec<(&'static str, String)> {
        vec![
            ("vx", format!("{:.9} N", self.vx)),
            ("vy", format!("{:.9} N", self.vy)),
            ("pull", format!("{:.9} N", self.pull)),
            ("mx", format!("{:.9} N·mm", self.mx)),
            ("my", format!("{:.9} N·mm", self.my)),
            ("torsion", format!("{:.9} N·mm", self.mz)),
        ]
    }
}

/// Peak vector sum and maximum shear, N/mm, from the equilibrium of many short
/// welds: the plane a + b x + c y that carries pull and moments is found by
/// solving the three equilibrium equations, not through principal axes.
fn brute_peaks(weld: &[(f64, f64, f64)], case: Case) -> (f64, f64) {
    let sum = |f: &dyn Fn(&(f64, f64, f64)) -> f64| weld.iter().map(|p| f(p) * p.2).sum::<f64>();
    let total = sum(&|_| 1.0);
    let (cx, cy) = (sum(&|p| p.0) / total, sum(&|p| p.1) / total);
    let sxx = sum(&|p| (p.0 - cx) * (p.0 - cx));
    let syy = sum(&|p| (p.1 - cy) * (p.1 - cy));
    let sxy = sum(&|p| (p.0 - cx) * (p.1 - cy));
    let determinant = sxx * syy - sxy * sxy;
    // sum n y = Mx, -sum n x = My.
    let slope_x = (-case.my * syy - case.mx * sxy) / determinant;
    let slope_y = (case.mx * sxx + case.my * sxy) / determinant;
    let mut best = (0.0_f64, 0.0_f64);
    for (x, y, _) in weld.iter().map(|p| (p.0 - cx, p.1 - cy, p.2)) {
        let fx = case.vx / total - case.mz * y / (sxx + syy);
        let fy = case.vy / total + case.mz * x / (sxx + syy);
        let fz = case.pull / total + slope_x * x + slope_y * y;
        best.0 = best.0.max((fx * fx + fy * fy + fz * fz).sqrt());
        best.1 = best.1.max((fx * fx + fy * fy + fz * fz / 4.0).sqrt());
    }
    best
}

fn loads() -> impl Strategy<Value = Case> {
    let force = -20_000.0..20_000.0_f64;
    let moment = -2e6..2e6_f64;
    (force.clone(), force.clone(), force, moment.clone(), moment.clone(), moment)
        .prop_map(|(vx, vy, pull, mx, my, mz)| Case { vx, vy, pull, mx, my, mz })
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(40))]

    #[test]
    fn peaks_agree_with_brute_force(
        which in 0_usize..7,
        b in 20.0..150.0_f64,
        d in 20.0..150.0_f64,
        case in loads(),
    ) {
        let outline = ["two-vertical", "two-horizontal", "l", "c", "u", "rectangle", "circle"][which];
        let mut pairs = vec![("outline", outline.to_owned()), ("b", mm(b)), ("d", mm(d))];
        pairs.extend(case.pairs());
        let figures = run("weld-group", &pairs);
        let (vector, shear) = brute_peaks(&samples(outline, b, d), case);
        // The samples stop half a step short of the ends.
        prop_assert!((si(&figures, "f_vector") / 1e3 / vector - 1.0).abs() < 2e-3);
        prop_assert!((si(&figures, "f_max_shear") / 1e3 / shear - 1.0).abs() < 2e-3);
        prop_assert!(si(&figures, "f_max_shear") <= si(&figures, "f_vector") * (1.0 + 1e-12));
        // Handbook claim: the two differ by a factor of two at most.
        prop_assert!(si(&figures, "f_vector") <= 2.0 * si(&figures, "f_max_shear") * (1.0 + 1e-12));
    }

    #[test]
    fn turning_group_and_loads_together_changes_nothing(
        turn in -3.0..3.0_f64,
        xs in prop::collection::vec(-80.0..80.0_f64, 4),
        ys in prop::collection::vec(-80.0..80.0_f64, 4),
        case in loads(),
    ) {
        let (c, s) = (libm::cos(turn), libm::sin(turn));
        let group = |xs: &[f64], ys: &[f64], case: Case| {
            let list = |v: &[f64]| v.iter().map(|x| mm(*x)).collect::<Vec<_>>().join(", ");
            let mut pairs = vec![
                ("outline", "points".to_owned()), ("points_x", list(xs)), ("points_y", list(ys)),
            ];
            pairs.extend(case.pairs());
            run("weld-group", &pairs)
        };
        let turned_x: Vec<f64> = xs.iter().zip(&ys).map(|(x, y)| c * x - s * y + 5.0).collect();
        let turned_y: Vec<f64> = xs.iter().zip(&ys).map(|(x, y)| s * x + c * y - 7.0).collect();
        let turned = Case {
            vx: c * case.vx - s * case.vy,
            vy: s * case.vx + c * case.vy,
            mx: c * case.mx - s * case.my,
            my: s * case.mx + c * case.my,
            ..case
        };
        let (one, other) = (group(&xs, &ys, case), group(&turned_x, &turned_y, turned));
        for id in ["aw", "jw", "reach", "f_vector", "f_max_shear", "f_direct"] {
            prop_assert!((si(&one, id) / si(&other, id) - 1.0).abs() < 1e-5, "{}: {} {}", id, si(&one, id), si(&other, id));
        }
    }

    #[test]
    fn an_arm_is_the_moment_it_makes(
        x in -200.0..200.0_f64, y in -200.0..200.0_f64, z in -200.0..200.0_f64, case in loads(),
    ) {
        let base = vec![("outline", "rectangle".to_owned()), ("b", mm(60.0)), ("d", mm(90.0))];
        let mut by_arm = base.clone();
        by_arm.extend(Case { mx: 0.0, my: 0.0, mz: 0.0, ..case }.pairs());
        by_arm.extend([("arm_x", mm(x)), ("arm_y", mm(y)), ("arm_z", mm(z))]);
        let mut by_moment = base;
        by_moment.extend(
            Case {
                mx: y * case.pull - z * case.vy,
                my: z * case.vx - x * case.pull,
                mz: x * case.vy - y * case.vx,
                ..case
            }
            .pairs(),
        );
        let (arm, moment) = (run("weld-group", &by_arm), run("weld-group", &by_moment));
        prop_assert!((si(&arm, "f_vector") / si(&moment, "f_vector") - 1.0).abs() < 1e-8);
    }

    #[test]
    fn required_leg_is_the_least_that_carries(
        length in 10.0..900.0_f64, load in 1.0..300.0_f64, end_loaded in any::<bool>(),
    ) {
        // Capacity by the written rules, in newtons, 145 MPa on the throat.
        let carries = |leg: f64| {
            let throat = leg.min(length / 4.0) / 2.0_f64.sqrt();
            let ratio = length / leg;
            let counted = match (end_loaded, ratio) {
                (false, _) => length,
                (true, r) if r <= 100.0 => length,
                (true, r) if r <= 300.0 => length * (1.2 - 0.002 * r),
                _ => 180.0 * leg,
            };
            145.0 * throat * counted >= load * 1e3
        };
        let (low, step) = (0.001, 0.001);
        let by_search = (0..400_000_u32).map(|i| low + step * f64::from(i)).find(|leg| carries(*leg));
        let figures = run("fillet-strength", &[
            ("length", mm(length)), ("load", format!("{load:.9} kN")), ("allowable", "145 MPa".to_owned()),
            ("end_loaded", if end_loaded { "yes" } else { "no" }.to_owned()),
        ]);
        let got = figures.iter().find(|f| f.id == "required_leg").map(|_| si(&figures, "required_leg") * 1e3);
        match (by_search, got) {
            (Some(wanted), Some(got)) => prop_assert!((wanted - got).abs() < 0.0021, "{wanted} {got}"),
            (None, None) => {}
            other => prop_assert!(false, "{other:?}"),
        }
    }

    #[test]
    fn required_length_carries_exactly_the_load(leg in 3.0..12.0_f64, load in 5.0..400.0_f64) {
        let allowable = ("allowable", "145 MPa".to_owned());
        let load = ("load", format!("{load:.9} kN"));
        let flag = ("end_loaded", "yes".to_owned());
        let sized = run("fillet-strength", &[("leg", mm(leg)), load.clone(), allowable.clone(), flag.clone()]);
        if sized.iter().any(|f| f.id == "required_length") {
            let length = si(&sized, "required_length") * 1e3;
            // At four legs, the least, the weld may carry more than the load.
            let spare = length < 4.0 * leg * (1.0 + 1e-6);
            let checked = run("fillet-strength", &[("leg", mm(leg)), ("length", mm(length)), load, allowable, flag]);
            let used = si(&checked, "utilisation");
            prop_assert!((used - 1.0).abs() < 1e-6 || spare && used < 1.0);
        }
    }

    #[test]
    fn throat_is_the_shortest_way_from_root_to_face(
        z1 in 3.0..20.0_f64, z2 in 3.0..20.0_f64, psi in 60.0..135.0_f64,
    ) {
        // The face walked from toe to toe.
        let angle = psi.to_radians();
        let (x2, y2) = (z2 * libm::cos(angle), z2 * libm::sin(angle));
        let walked = (0..=20_000_u32)
            .map(|i| {
                let s = f64::from(i) / 20_000.0;
                libm::hypot(z1 + s * (x2 - z1), s * y2)
            })
            .fold(f64::INFINITY, f64::min);
        let figures = run("fillet-throat", &[("leg", mm(z1)), ("leg2", mm(z2)), ("angle", format!("{psi:.9} deg"))]);
        prop_assert!((si(&figures, "throat") * 1e3 - walked).abs() < 1e-5);
        // The triangle by the shoelace rule.
        prop_assert!((si(&figures, "area") * 1e6 - (z1 * y2 / 2.0)).abs() < 1e-5);
    }

    #[test]
    fn leg_and_throat_go_there_and_back(throat in 2.0..15.0_f64, psi in 60.0..135.0_f64, gap in 0.0..4.7_f64) {
        let rest = [("angle", format!("{psi:.9} deg")), ("gap", mm(gap))];
        let mut there = vec![("throat", mm(throat))];
        there.extend(rest.clone());
        let leg = si(&run("fillet-throat", &there), "leg") * 1e3;
        let mut back = vec![("leg", mm(leg))];
        back.extend(rest);
        prop_assert!((si(&run("fillet-throat", &back), "throat") * 1e3 / throat - 1.0).abs() < 1e-7);
    }

    #[test]
    fn a_tube_seam_is_a_ring_weld_group(
        od in 60.0..130.0_f64, torque in 10.0..4000.0_f64, moment in 10.0..4000.0_f64, shear in 0.0..20.0_f64,
    ) {
        let given = |t: &'static str, m: &'static str, v: &'static str, d: &'static str| vec![
            (d, mm(od)), (t, format!("{torque:.9} N·m")), (m, format!("{moment:.9} N·m")),
            (v, format!("{shear:.9} kN")), ("leg", "6 mm".to_owned()),
        ];
        let mut own = given("torque", "moment", "shear", "tube_od");
        own.push(("axial", "0 N".to_owned()));
        let seam = run("tube-seam", &own);
        let mut pairs = given("torsion", "mx", "vy", "d");
        pairs.push(("outline", "circle".to_owned()));
        let group = run("weld-group", &pairs);
        // The seam superposes the worst points, so it never gives less.
        prop_assert!(si(&seam, "stress") >= si(&group, "stress") * (1.0 - 1e-9));
        // Without the shear force there is nothing to superpose.
        let mut still = pairs.clone();
        still.retain(|(name, _)| *name != "vy");
        let still = run("weld-group", &still);
        prop_assert!((si(&seam, "resultant_no_shear") / si(&still, "f_vector") - 1.0).abs() < 1e-7);
    }

    #[test]
    fn minimum_fillet_never_shrinks_as_parts_grow(t in 1.0..60.0_f64, more in 0.0..30.0_f64) {
        let leg = |t: f64| si(&run("fillet-size", &[("t1", mm(t)), ("hydrogen", "high".to_owned())]), "min_leg");
        prop_assert!(leg(t + more) >= leg(t) * (1.0 - 1e-12));
        prop_assert!(leg(t) <= t * 1e-3 * (1.0 + 1e-9));
    }

    #[test]
    fn a_perch_carries_its_couple_in_equilibrium(
        length in 50.0..200.0_f64, spacing in 30.0..90.0_f64, couple in 100.0..5000.0_f64, ends in any::<bool>(),
    ) {
        let figures = run("perch-weld", &[
            ("length", mm(length)), ("spacing", mm(spacing)), ("couple", format!("{couple:.9} N·m")),
            ("leg", "6 mm".to_owned()), ("ends", if ends { "yes" } else { "no" }.to_owned()),
        ]);
        // Pull at the edge q, linear to the middle; its moment is the couple.
        let edge = si(&figures, "q_couple") / 1e3;
        let weld = samples(if ends { "rectangle" } else { "two-horizontal" }, length, spacing);
        let moment: f64 = weld
            .iter()
            .map(|(_, y, ds)| {
                let lever = y - spacing / 2.0;
                edge * lever / (spacing / 2.0) * lever * ds
            })
            .sum();
        prop_assert!((moment / (couple * 1e3) - 1.0).abs() < 1e-5);
    }

    #[test]
    fn a_tube_stress_is_what_its_section_integrates_to(
        od in 50.0..120.0_f64, share in 0.04..0.4_f64, moment in 100.0..5000.0_f64, torque in 100.0..5000.0_f64,
    ) {
        let wall = share * od;
        let figures = run("tube-seam", &[
            ("tube_od", mm(od)), ("wall", mm(wall)), ("joint", "cjp".to_owned()),
            ("moment", format!("{moment:.9} N·m")), ("torque", format!("{torque:.9} N·m")),
            ("shear", "0 N".to_owned()), ("axial", "0 N".to_owned()),
        ]);
        // Second moment by rings of small thickness.
        let n = 4000_u32;
        let step = wall / f64::from(n);
        let polar: f64 = (0..n)
            .map(|i| {
                let r = od / 2.0 - wall + (f64::from(i) + 0.5) * step;
                2.0 * std::f64::consts::PI * r * r * r * step
            })
            .sum();
        let bending = moment * 1e3 * od / 2.0 / (polar / 2.0);
        let shear = torque * 1e3 * od / 2.0 / polar;
        prop_assert!((si(&figures, "tube_bending") / 1e6 / bending - 1.0).abs() < 1e-5);
        prop_assert!((si(&figures, "tube_torsion") / 1e6 / shear - 1.0).abs() < 1e-5);
        prop_assert!((si(&figures, "tube_von_mises") / 1e6 / libm::sqrt(bending * bending + 3.0 * shear * shear) - 1.0).abs() < 1e-5);
    }

    #[test]
    fn every_order_welds_every_segment_once(count in 1_u32..60, which in 0_usize..6) {
        let order = ["opposed", "skip", "back-step", "back-skip", "centre-out", "through"][which];
        // An odd number, or two, has no opposed pairs and is refused.
        let count = if which == 0 { 2 * count.div_ceil(2).max(2) } else { count };
        let figures = run("pass-sequence", &[
            ("tube_od", "100 mm".to_owned()), ("segments", count.to_string()), ("order", order.to_owned()),
        ]);
        let Value::List(list) = &figures.iter().find(|f| f.id == "order").expect("the order").value else {
            panic!("no list")
        };
        let seen: BTreeSet<String> = list.iter().map(Value::show).collect();
        let wanted: BTreeSet<String> = (1..=count).map(|i| i.to_string()).collect();
        prop_assert_eq!(list.len(), wanted.len());
        prop_assert_eq!(seen, wanted);
    }

    #[test]
    fn opposed_tacks_come_in_pairs_across(half in 2_u32..30) {
        let figures = run("tacks", &[
            ("tube_od", "400 mm".to_owned()), ("thinner", "1 mm".to_owned()), ("count", (2 * half).to_string()),
        ]);
        let Value::List(list) = &figures.iter().find(|f| f.id == "angles").expect("angles").value else {
            panic!("no list")
        };
        let angles: Vec<f64> = list.iter().map(|v| v.quantity().expect("an angle").si()).collect();
        for pair in angles.chunks(2) {
            let apart = (pair[1] - pair[0]).abs();
            prop_assert!((apart - std::f64::consts::PI).abs() < 1e-9, "{:?}", pair);
        }
    }

    #[test]
    fn passes_lay_enough_and_one_less_does_not(
        leg in 3.0..20.0_f64, rate in 0.5..6.0_f64, travel in 80.0..600.0_f64,
    ) {
        let figures = run("passes", &[
            ("leg", mm(leg)), ("deposition", format!("{rate:.9} kg/h")), ("travel", format!("{travel:.9} mm/min")),
        ]);
        // Steel laid in one minute, spread over one minute's travel.
        let bead = rate / 60.0 / 7850.0 * 1e9 / travel;
        let needed = leg * leg / 2.0 * 1.1;
        let n = si(&figures, "passes");
        prop_assert!(n * bead >= needed * (1.0 - 1e-6));
        prop_assert!((n - 1.0) * bead < needed * (1.0 + 1e-6));
    }

    #[test]
    fn a_stricter_level_never_allows_more(
        t in 3.1..40.0_f64, throat in 2.0..20.0_f64, width in 3.0..40.0_f64, round in any::<bool>(),
    ) {
        let limits = |level: &str| run("visual-acceptance", &[
            ("standard", level.to_owned()), ("thickness", mm(t)), ("throat", mm(throat)), ("width", mm(width)),
            ("circumferential", if round { "yes" } else { "no" }.to_owned()),
        ]);
        let (b, c, d) = (limits("iso-b"), limits("iso-c"), limits("iso-d"));
        for id in [
            "undercut_max", "pore_max", "excess_weld_max", "convexity_max", "misalignment_max", "throat_short_max",
            "gap_max", "leg_difference_max", "overlap_max", "crater_pipe_max",
        ] {
            prop_assert!(si(&b, id) <= si(&c, id) && si(&c, id) <= si(&d, id), "{}", id);
        }
        prop_assert!(si(&b, "throat_excess_max") <= si(&c, "throat_excess_max"));
    }

    #[test]
    fn base_metal_and_weld_meet_at_the_useful_leg(
        t in 3.0..25.0_f64, fy in 200.0..500.0_f64, above in 1.05..1.6_f64,
    ) {
        let given = |leg: f64| [
            ("thickness", mm(t)), ("fy", format!("{fy:.9} MPa")), ("fu", format!("{:.9} MPa", fy * above)),
            ("leg", mm(leg)), ("electrode", "E70".to_owned()),
        ];
        let leg = si(&run("base-metal", &given(5.0)), "max_useful_leg") * 1e3;
        let met = run("base-metal", &given(leg));
        prop_assert!((si(&met, "weld_per_length") / si(&met, "per_length") - 1.0).abs() < 1e-7);
        prop_assert_eq!(word(&run("base-metal", &given(leg * 1.01)), "weaker"), "part");
        prop_assert_eq!(word(&run("base-metal", &given(leg * 0.99)), "weaker"), "weld");
    }
}

#[test]
fn electrodes_are_read_as_shops_write_them() {
    for (text, ksi) in [
        ("E70", 70.0),
        ("e70xx", 70.0),
        ("E7018-H4", 70.0),
        ("E6013", 60.0),
        ("E11018", 110.0),
        ("ER70S-6", 70.0),
        ("ER80S-D2", 80.0),
        ("E71T-1", 70.0),
        ("E81T1-Ni1", 80.0),
        ("E70C-6M", 70.0),
        ("E110", 110.0),
        ("F7A2-EM12K", 70.0),
        ("F70", 70.0),
        ("70 ksi", 70.0),
        ("70", 70.0),
        ("70000 psi", 70.0),
        // A covered electrode is called by its digits.
        ("7018", 70.0),
    ] {
        let figures = run("fillet-strength", &[("leg", "6 mm".to_owned()), ("electrode", text.to_owned())]);
        assert!((si(&figures, "fexx") / 6_894_757.293_168 - ksi).abs() < 1e-6, "{text}");
    }
    let family = registry::find("fillet-strength").expect("the family");
    for text in ["E308L", "ER316", "banana", "E", "E4", "E9999", "3 ksi", ""] {
        let given = reckon::read_inputs(family, [("leg", "6 mm"), ("electrode", text)]);
        let refused = given.is_err() || given.is_ok_and(|g| family.reckon(&g).is_err());
        assert!(refused, "{text} was taken for an electrode");
    }
}

#[test]
fn symmetric_loads_give_symmetric_answers() {
    for sign in ["", "-"] {
        let figures = run(
            "weld-group",
            &[
                ("outline", "rectangle".into()),
                ("b", "60 mm".into()),
                ("d", "90 mm".into()),
                ("mx", format!("{sign}1000 N·m")),
                ("torsion", format!("{sign}500 N·m")),
            ],
        );
        // 2(60 + 90) = 300 mm; Sw = 60 x 90 + 90^2 / 3 = 8100 mm2; Jw = 150^3 / 6.
        let bend = 1e6 / 8100.0;
        let twist = 5e5 * libm::hypot(30.0, 45.0) / (150.0_f64.powi(3) / 6.0);
        assert!((si(&figures, "f_vector") / 1e3 / libm::hypot(bend, twist) - 1.0).abs() < 1e-9);
    }
}

/// Families of this file, for inputs no shop would write.
const FAMILIES: [&str; 11] = [
    "fillet-size",
    "fillet-throat",
    "fillet-strength",
    "weld-group",
    "tube-seam",
    "perch-weld",
    "base-metal",
    "tacks",
    "pass-sequence",
    "visual-acceptance",
    "passes",
];

proptest! {
    #![proptest_config(ProptestConfig::with_cases(600))]

    #[test]
    fn odd_inputs_are_answered_or_refused(
        which in 0_usize..FAMILIES.len(),
        picks in prop::collection::vec((any::<bool>(), 0_usize..12), 32),
    ) {
        let family = registry::find(FAMILIES[which]).expect("a family");
        let odd = [0.0, -1.0, 1.0, 1e-9, 0.006, 0.1, 0.25, 4.0, 7.0, 1e3, 1e9, 1e18];
        let mut given = Given::new();
        for (input, (take, pick)) in family.inputs.iter().zip(&picks) {
            if !take {
                continue;
            }
            let value = |pick: usize, kind| Value::exact(Quantity::from_si(kind, odd[pick % odd.len()]));
            given.set(input.name, match input.kind {
                InputKind::Quantity(kind) => value(*pick, kind),
                InputKind::List(kind) => Value::List((0..*pick).map(|i| value(pick + i, kind)).collect()),
                InputKind::Choice(words) => Value::word(words[pick % words.len()]),
                InputKind::Name => Value::word(["E70", "E7018", "", "9", "E", "70 ksi"][pick % 6]),
                InputKind::Flag => Value::Flag(pick % 2 == 0),
            });
        }
        match family.reckon(&given) {
            Ok(figures) => {
                for figure in figures {
                    prop_assert!(!figure.show().contains("not finite"), "{} {}", family.name, figure.id);
                }
            }
            Err(trouble) => prop_assert!(!trouble.to_string().contains("defect"), "{}: {}", family.name, trouble),
        }
    }
}
