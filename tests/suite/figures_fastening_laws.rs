//! Fastening figures against independent calculations, and laws that must hold
//! whatever the numbers. Written without the formulas of `src`: slices, force
//! vectors, pressure summed round a circle, moments by coordinates.

#![allow(clippy::disallowed_methods, reason = "a second opinion uses the platform's own functions")]

use std::f64::consts::PI;

use proptest::prelude::*;
use tackwright::app::reckon;
use tackwright::figure::fastening::friction::Contact;
use tackwright::figure::fastening::profile;
use tackwright::figure::fastening::selection::to_increment;
use tackwright::figure::fastening::{sequence, short_form, stages, stiffness, ubolt, wrench};
use tackwright::figure::registry;
use tackwright::quantity::{
    Angle, Dimensioned, Force, Length, Number, Percent, Stress, Torque, Toward, unit,
};
use tackwright::reference::grade;
use tackwright::reference::thread::{self, Thread};

use crate::figures_fastening::{close, figures, find, value};

/// Stiffness of a 30 degree cone found by slicing it: the compliance is the sum
/// of slices over E times their ring area. Independent of the closed form.
#[test]
fn member_stiffness_by_slices() {
    for (d, grip) in [(0.625, 1.5), (0.5, 1.0), (0.75, 4.0)] {
        let slices = 200_000;
        let half = 0.5 * grip;
        let step = half / f64::from(slices);
        let compliance: f64 = (0..slices)
            .map(|i| {
                let y = (f64::from(i) + 0.5) * step;
                let outer = 1.5 * d + 2.0 * y * (PI / 6.0).tan();
                step / (PI / 4.0 * (outer * outer - d * d))
            })
            .sum();
        // Two equal cones meet in the middle of the grip.
        let wanted = 1.0 / (2.0 * compliance);
        let got = stiffness::members_cone(
            Length::of(d, unit::IN),
            Length::of(grip, unit::IN),
            Stress::of(1.0, unit::PSI),
        );
        close("cone", got.to(unit::RATE_LBF_IN), wanted, 2e-4 * wanted);
    }
}

/// Torque on a screw by balancing forces on its inclined plane: the load turned
/// into normal and friction forces in space, with the flank tilted 30 degrees.
#[test]
fn exact_screw_by_force_vectors() {
    for (name, mu) in [("1/2-20", 0.15), ("3/4-10", 0.08), ("M16x1.5", 0.2), ("M12", 0.12)] {
        let t = find(name);
        let r = 0.5 * profile::pitch_diameter(&t).si();
        let slope = t.pitch.si() / (2.0 * PI * r);
        // The flank slopes along the helix by the lead angle and, seen in the
        // axial section, across it by 30 degrees, as the coefficient 1.1547 means.
        let secant = 1.0 / (PI / 6.0).cos();
        let (c, s) = ((1.0 + slope * slope).sqrt().recip(), slope * (1.0 + slope * slope).sqrt().recip());
        // Unit normal reaction in the helix plane, friction raised by the wedge.
        let up = c - mu * secant * s;
        let around = s + mu * secant * c;
        let wanted = r * around / up;
        let contact = Contact {
            root: profile::root(&t),
            bearing: Length::from_si(0.0),
            mu_thread: Number::from_si(mu),
            mu_bearing: Number::from_si(0.0),
            thread: t,
        };
        close(name, contact.exact().si(), wanted, 1e-12);
    }
}

/// Friction torque of a clamped tube by summing pressure round the contact.
#[test]
fn slip_torque_by_integration() {
    let (clamp, tube, mu) = (31_200.0, 3.0, 0.15);
    let n = 100_000;
    let step = PI / f64::from(n);
    // Half the circle presses down with pressure p(a); its vertical part is the
    // clamp force. The other half answers the same, hence twice.
    let torque = |pressure: &dyn Fn(f64) -> f64| {
        let (mut down, mut normal) = (0.0, 0.0);
        for i in 0..n {
            let a = (f64::from(i) + 0.5) * step - PI / 2.0;
            down += pressure(a) * a.cos() * step;
            normal += pressure(a) * step;
        }
        2.0 * mu * clamp * normal / down * tube / 2.0
    };
    let got = |contact| {
        ubolt::slip_torque(
            Force::of(clamp, unit::LBF),
            Length::of(tube, unit::IN),
            Number::from_si(mu),
            contact,
        )
        .to(unit::LBF_IN)
    };
    close("saddle", got(ubolt::Contact::Saddle), torque(&|a: f64| a.cos()), 0.01);
    close("uniform", got(ubolt::Contact::Uniform), torque(&|_| 1.0), 0.01);
    close("two lines", got(ubolt::Contact::TwoLines), mu * clamp * tube, 1e-6);
}

#[test]
fn forms_of_the_torque_equation_agree() {
    for t in thread::all() {
        let contact = Contact {
            root: profile::root(&t),
            bearing: t.major * 1.25,
            mu_thread: Number::from_si(0.15),
            mu_bearing: Number::from_si(0.15),
            thread: t.clone(),
        };
        let exact = contact.exact().si();
        let vdi: f64 = contact.vdi_terms().iter().map(|l| l.si()).sum();
        for (form, got) in [
            ("textbook", contact.textbook().si()),
            ("ISO", contact.iso().si()),
            ("VDI", vdi),
            ("sum", contact.sum().si()),
        ] {
            assert!((got / exact - 1.0).abs() < 0.02, "{} {form}: {got} against {exact}", t.name);
        }
        // The product of lead and friction that the plain sum leaves out is positive.
        assert!(contact.sum().si() < exact, "{}", t.name);
    }
}

/// The stress that eq. A of the VDI preload is built on: tension and torsion
/// together reach exactly the share of yield.
#[test]
fn vdi_preload_reaches_its_share_of_yield() {
    let t = find("M16x1.5");
    let d2 = profile::pitch_diameter(&t).si();
    let d0 = 0.5 * (d2 + profile::minor_external(&t).si());
    let found = figures("vdi-preload", &[("thread", "M16x1.5"), ("grade", "10.9"), ("mu", "0.12")]);
    let force = value(&found, "preload", unit::N);
    let tension = force / (PI / 4.0 * d0 * d0);
    let moment = force * 0.5 * d2 * (t.pitch.si() / (PI * d2) + 1.155 * 0.12);
    // Torsion with the section fully plastic: W = pi d^3 / 12.
    let shear = moment / (PI * d0.powi(3) / 12.0);
    close("share of yield", (tension * tension + 3.0 * shear * shear).sqrt(), 0.9 * 940e6, 1e3);
}

#[test]
fn orders_are_complete_and_spread() {
    for n in 2..=64 {
        let order = sequence::circle(n);
        let mut sorted = order.clone();
        sorted.sort_unstable();
        assert_eq!(sorted, (1..=n).collect::<Vec<_>>(), "{n} bolts");
        if n % 2 == 0 {
            for pair in order.chunks(2) {
                assert_eq!(pair[0].abs_diff(pair[1]), n / 2, "{n} bolts: a pair is opposite");
            }
        } else if n > 3 {
            for pair in order.windows(2) {
                let gap = pair[0].abs_diff(pair[1]);
                assert!(gap.min(n - gap) >= n / 2, "{n} bolts: the star steps across");
            }
        }
    }
    assert_eq!(sequence::circle(16), [1, 9, 5, 13, 3, 11, 7, 15, 2, 10, 6, 14, 4, 12, 8, 16]);
    assert_eq!(sequence::circle(6), [1, 4, 2, 5, 3, 6]);
    for (rows, columns) in [(1, 1), (2, 2), (2, 3), (3, 3), (4, 5), (1, 7)] {
        let order = sequence::rectangle(rows, columns);
        let mut sorted = order.clone();
        sorted.sort_unstable();
        assert_eq!(sorted, (1..=rows * columns).collect::<Vec<_>>());
        let corners = [1, columns, rows * columns - columns + 1, rows * columns];
        assert!(corners.contains(order.last().expect("a bolt")), "{rows} by {columns} ends at a corner");
    }
}

fn any_thread() -> impl Strategy<Value = Thread> {
    prop::sample::select(thread::all().collect::<Vec<_>>())
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn diameters_and_areas_are_in_order(t in any_thread()) {
        let [d, d2, d1, root] =
            [t.major, profile::pitch_diameter(&t), profile::minor_internal(&t), profile::root(&t)].map(Length::si);
        prop_assert!(d > d2 && d2 > d1 && d1 > root && root > 0.0);
        let at = profile::stress_area(&t).si();
        prop_assert!(profile::root_area(&t).si() < at && at < profile::circle(t.major).si());
        prop_assert!(at < profile::circle(profile::pitch_diameter(&t)).si());
    }

    #[test]
    fn torque_there_and_back(t in any_thread(), k in 0.05..0.5f64, kn in 0.1..500.0f64) {
        let (k, force) = (Number::from_si(k), Force::of(kn, unit::KN));
        let back = short_form::implied_preload(short_form::short_form(k, t.major, force), k, t.major);
        prop_assert!((back.si() / force.si() - 1.0).abs() < 1e-12);
    }

    #[test]
    fn more_friction_more_torque(t in any_thread(), mu in 0.0..0.5f64, more in 0.01..0.1f64) {
        let contact = |mu: f64| Contact {
            root: profile::root(&t),
            bearing: t.major * 1.25,
            mu_thread: Number::from_si(mu),
            mu_bearing: Number::from_si(mu),
            thread: t.clone(),
        };
        let (low, high) = (contact(mu), contact(mu + more));
        prop_assert!(high.exact() > low.exact() && high.textbook() > low.textbook());
        prop_assert!(high.iso() > low.iso() && high.sum() > low.sum());
        // Without friction only the pitch is left: work in equals work out.
        let free = contact(0.0).exact().si();
        prop_assert!((free * 2.0 * PI / t.pitch.si() - 1.0).abs() < 1e-9);
    }

    #[test]
    fn friction_is_found_back(t in any_thread(), mu in 0.05..0.3f64, kn in 1.0..300.0f64) {
        let contact = Contact {
            root: profile::root(&t),
            bearing: t.major * 1.25,
            mu_thread: Number::from_si(mu),
            mu_bearing: Number::from_si(mu),
            thread: t.clone(),
        };
        // The sum of three terms is what the back-calculation inverts, but for
        // 0.577 in place of 0.5773.
        let arm = contact.sum();
        let found = tackwright::figure::fastening::total_friction::total(
            arm, t.pitch, profile::pitch_diameter(&t), t.major * 1.25);
        prop_assert!((found.si() - mu).abs() < 5e-4 * mu);
        prop_assert!(kn > 0.0);
    }

    #[test]
    fn adapter_there_and_back(l in 100.0..1500.0f64, a in 0.0..90.0f64, deg in -180.0..180.0f64) {
        let (l, a) = (Length::of(l, unit::MM), Length::of(a, unit::MM));
        let factor = wrench::adapter_factor(l, a, Angle::of(deg, unit::DEG)).si();
        // Moment about the fastener from a pull at the grip, by coordinates: the
        // drive at the origin, the grip at -L, the fastener at A in direction deg.
        let (x, pull) = (a.si() * deg.to_radians().cos(), 1.0);
        let at_drive = pull * l.si();
        let at_bolt = pull * (l.si() + x);
        prop_assert!((factor - at_drive / at_bolt).abs() < 1e-12);
        prop_assert!((wrench::adapter_factor(l, Length::from_si(0.0), Angle::of(deg, unit::DEG)).si() - 1.0).abs() < 1e-12);
    }

    #[test]
    fn rounding_stays_within_half_a_step(nm in 1.0..2000.0f64, step in 0.1..10.0f64) {
        let (t, s) = (Torque::of(nm, unit::N_M), Torque::of(step, unit::N_M));
        let near = to_increment(t, s, Toward::Nearest).si();
        prop_assert!((near - nm).abs() <= 0.5 * step + 1e-6 * step);
        prop_assert!(to_increment(t, s, Toward::Down).si() <= nm + 1e-5 * step);
        let list = stages::stage_torques(t, &[0.3, 0.6, 1.0].map(Percent::from_si), s);
        prop_assert!(list.windows(2).all(|w| w[0].si() <= w[1].si()));
    }

    #[test]
    fn a_longer_bolt_is_softer(d in 0.25..1.5f64, shank in 0.0..5.0f64, threaded in 0.1..5.0f64, more in 0.1..3.0f64) {
        let inch = |x: f64| Length::of(x, unit::IN);
        let (ad, at) = (profile::circle(inch(d)), profile::circle(inch(0.9 * d)));
        let e = Stress::of(30.0, unit::MPSI);
        let k = |s: f64, l: f64| stiffness::bolt(ad, at, inch(s), inch(l), e).si();
        prop_assert!(k(shank + more, threaded) < k(shank, threaded));
        // Springs in series: compliances add.
        let parts = 1.0 / k(shank, 0.0) + 1.0 / k(0.0, threaded);
        if shank > 0.0 {
            prop_assert!((k(shank, threaded) * parts - 1.0).abs() < 1e-9);
        }
    }

    #[test]
    fn designations_never_panic(text in "\\PC{0,24}") {
        let found = thread::find(&text);
        prop_assert!(found.is_none_or(|t| t.major.si() > 0.0 && t.pitch.si() > 0.0));
        prop_assert!(!thread::suggestions(&text).is_empty());
        prop_assert!(grade::find(&text).len() < grade::BANDS.len());
    }

    #[test]
    fn every_listed_bolt_has_a_torque(t in any_thread(), percent in 10.0..90.0f64) {
        let class = if t.is_metric() { "8.8" } else { "5" };
        let share = format!("{percent} %");
        let family = registry::find("torque").expect("a family");
        let pairs = [("thread", t.name.as_str()), ("grade", class), ("finish", "dry"), ("percent", share.as_str())];
        let given = reckon::read_inputs(family, pairs).expect("readable");
        match family.reckon(&given) {
            Ok(found) => {
                let (low, mid, high) = (value(&found, "preload_low", unit::N), value(&found, "preload", unit::N), value(&found, "preload_high", unit::N));
                prop_assert!(low < mid && mid < high);
                prop_assert!(value(&found, "torque", unit::N_M) > 0.0);
            }
            // Only the sizes the grade does not cover are refused.
            Err(trouble) => prop_assert!(trouble.to_string().contains("outside its sizes"), "{trouble}"),
        }
    }
}

/// Any mixture of inputs is answered or refused: no panic, no infinite figure.
#[test]
fn wild_inputs_are_answered_or_refused() {
    use tackwright::figure::{Given, Group, InputKind, Value};
    use tackwright::quantity::{Kind, Quantity};

    let mut state = 0x1234_5678_9abc_def0_u64;
    let mut dice = move |n: usize| {
        state ^= state << 13;
        state ^= state >> 7;
        state ^= state << 17;
        usize::try_from(state % n as u64).expect("a small number")
    };
    // Sizes a person could type, and some nobody should.
    let wild =
        [0.0, 1e-9, 1e-3, 0.01, 0.15, 0.5, 1.0, 2.0, 4.0, 12.0, 90.0, 5e3, 2e5, 8e8, 1e15, -1.0, -0.02];
    let names = [
        "1/2-20",
        "M12",
        "M20x2",
        "grade 8",
        "8.8",
        "10",
        "SAE J995 5",
        "oiled",
        "zinc",
        "1/2",
        "",
        "±",
        "A193 B7",
        "1-1/8-8 UN",
    ];
    let families: Vec<_> =
        registry::families().filter(|f| matches!(f.group, Group::Fastening | Group::Metrology)).collect();
    let (mut answered, mut refused) = (0, 0);
    for round in 0..8000 {
        let family = families[round % families.len()];
        let mut given = Given::new();
        for input in family.inputs {
            if dice(3) == 0 {
                continue;
            }
            let mut quantity = |kind: Kind| Value::exact(Quantity::from_si(kind, wild[dice(wild.len())]));
            let value = match input.kind {
                InputKind::Quantity(kind) => quantity(kind),
                InputKind::List(kind) => Value::List((0..3).map(|_| quantity(kind)).collect()),
                InputKind::Choice(words) => Value::word(words[dice(words.len())]),
                InputKind::Name => Value::word(names[dice(names.len())]),
                InputKind::Flag => Value::Flag(dice(2) == 0),
            };
            given.set(input.name, value);
        }
        match family.reckon(&given) {
            Ok(found) => {
                answered += 1;
                for figure in found {
                    assert!(
                        !figure.show().is_empty() || figure.id == "distances" || figure.id == "matching_nuts",
                        "{}.{}",
                        family.name,
                        figure.id
                    );
                    if let Some(q) = figure.value.quantity() {
                        assert!(q.si().is_finite(), "{}.{}", family.name, figure.id);
                    }
                }
            }
            Err(trouble) => {
                refused += 1;
                assert!(trouble.to_string().len() > 8, "{}", family.name);
            }
        }
    }
    assert!(answered > 300 && refused > 300, "{answered} answered, {refused} refused");
}

/// The preload of a decided setting, by drawing K from its rectangle (JCGM 101):
/// the spread is that of T / (K d) with T fixed, not of the setting.
#[test]
fn a_decided_setting_is_kept_while_k_is_drawn() {
    let found = figures("torque", &[("thread", "1/2-13"), ("grade", "5"), ("k", "0.2 ± 0.02")]);
    let set = value(&found, "torque_set", unit::LBF_IN);
    let draws = 100_000;
    let preloads: Vec<f64> =
        (0..draws).map(|i| set / ((0.18 + 0.04 * (f64::from(i) + 0.5) / f64::from(draws)) * 0.5)).collect();
    let mean = preloads.iter().sum::<f64>() / f64::from(draws);
    let spread = (preloads.iter().map(|p| (p - mean).powi(2)).sum::<f64>() / f64::from(draws)).sqrt();
    let figure = found.iter().find(|f| f.id == "preload").expect("a preload");
    let tackwright::figure::Value::Quantity { uncertainty, .. } = figure.value else { panic!("a quantity") };
    close("spread", Force::from_si(uncertainty).to(unit::LBF), spread, 0.02 * spread);
    assert!(spread > 400.0, "the setting is fixed: {spread}");
}

/// The verdict on a U-bolt clamp against its own figures: factor less twice the
/// standard uncertainty that drawing mu from its rectangle gives.
#[test]
fn a_clamp_holds_with_its_uncertainty_or_not_at_all() {
    for (mu, half) in
        [(0.15_f64, 0.0_f64), (0.15, 0.02), (0.15, 0.05), (0.15, 0.08), (0.11, 0.01), (0.3, 0.1)]
    {
        let stated = if half > 0.0 { format!("{mu} ± {half}") } else { format!("{mu}") };
        let found = figures(
            "ubolt-clamp",
            &[
                ("thread", "3/4-16"),
                ("grade", "8"),
                ("preload", "20 kip"),
                ("tube_od", "3.5 in"),
                ("mu", &stated),
                ("brake_torque", "14175 lbf-in"),
                ("fore_aft", "100 lbf"),
            ],
        );
        // mu N D (1 - 20 %) over the moment; a rectangle has half / sqrt 3.
        let per_mu = 4.0 * 20_000.0 * 3.5 * 0.8 / 14_175.0;
        let sure = per_mu * (mu - 2.0 * half / 3.0_f64.sqrt());
        let verdict = found.iter().find(|f| f.id == "verdict").expect("a verdict").value.show();
        assert_eq!(verdict == "friction holds with margin", sure >= 1.5, "{stated}: {sure} {verdict}");
    }
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, cases: 128, ..ProptestConfig::default() })]

    /// A setting for a range the maker states, against a search of all marks.
    #[test]
    fn a_makers_range_holds_its_setting(low in 20..180u32, width in 0..30u32, step in 1..25u32) {
        let (low_text, high_text, step_text) =
            (format!("{low} lbf-ft"), format!("{} lbf-ft", low + width), format!("{step} lbf-ft"));
        let pairs = [
            ("thread", "1-8"), ("grade", "8"), ("k", "0.2"), ("maker_torque", low_text.as_str()),
            ("maker_torque_max", high_text.as_str()), ("increment", step_text.as_str()),
        ];
        let marks: Vec<u32> = (1..=250).map(|n| n * step).filter(|m| (low..=low + width).contains(m)).collect();
        let family = registry::find("torque").expect("a family");
        let given = reckon::read_inputs(family, pairs).expect("readable");
        match family.reckon(&given) {
            Ok(found) => {
                let set = value(&found, "torque_set", unit::LBF_FT);
                prop_assert!(marks.iter().any(|m| (f64::from(*m) - set).abs() < 1e-6), "{set} of {marks:?}");
            }
            Err(trouble) => {
                prop_assert!(marks.is_empty(), "{trouble} with {marks:?}");
                prop_assert!(trouble.to_string().contains("no mark of the wrench"), "{trouble}");
            }
        }
    }

    /// The verdict on a stated torque, against stresses from the printed tables:
    /// over the tensile strength it is refused, over proof it is no.
    #[test]
    fn a_stated_torque_is_judged_by_the_stress(grade in prop::sample::select(vec![
        ("5", 85.0, 120.0), ("8", 120.0, 150.0),
    ]), lbf_ft in 20.0..400.0f64) {
        // 1/2-13: 0.1419 in2.
        let (word, proof, tensile) = grade;
        let torque = format!("{lbf_ft} lbf-ft");
        let pairs = [("thread", "1/2-13"), ("grade", word), ("k", "0.2"), ("scatter", "25 %"), ("maker_torque", torque.as_str())];
        let ksi = lbf_ft * 12.0 / (0.2 * 0.5) / 0.1419 / 1000.0;
        let family = registry::find("torque").expect("a family");
        let given = reckon::read_inputs(family, pairs).expect("readable");
        let wanted = if ksi > tensile {
            None
        } else if ksi > proof {
            Some("no: past the proof load")
        } else if 1.25 * ksi > proof {
            Some("may yield: the high end passes the proof load")
        } else {
            Some("within the proof load")
        };
        let got = family.reckon(&given).ok();
        let got = got.as_deref().and_then(|f| f.iter().find(|f| f.id == "verdict")).map(|f| f.value.show());
        prop_assert_eq!(got.as_deref(), wanted, "{} ksi", ksi);
    }
}
