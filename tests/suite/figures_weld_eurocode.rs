//! Fillets by EN 1993-1-8, 4.5.3, against the plane of their throat taken by vectors.

use super::figures_weld_strength::{mm, run, si};

/// EN 1993-1-8, 4.5.3: a force on two fillets of a tee, taken into the plane of each throat
/// by vectors, against the figure; the simplified method by its one equation. Both methods
/// agree along the weld, and across it they stand as sqrt(3) to sqrt(2).
#[test]
fn fillets_of_the_eurocode_follow_the_plane_of_the_throat() {
    let (fu, beta, gamma, throat, length) = (490.0, 0.9, 1.25, 5.0, 180.0);
    let limit = fu / (beta * gamma);
    for (along, across, pull) in
        [(40.0, 0.0, 0.0), (0.0, 55.0, 0.0), (0.0, 0.0, 55.0), (-30.0, 20.0, -70.0), (10.0, 45.0, 45.0)]
    {
        let figures = run(
            "fillet-eurocode",
            &[
                ("throat", mm(throat)),
                ("length", mm(length)),
                ("fu", format!("{fu} MPa")),
                ("beta_w", beta.to_string()),
                ("gamma_m2", gamma.to_string()),
                ("lines", "2".to_owned()),
                ("along", format!("{along} kN")),
                ("across", format!("{across} kN")),
                ("pull", format!("{pull} kN")),
            ],
        );
        let area = 2.0 * throat * (length - 2.0 * throat);
        let force = [along * 1e3, across * 1e3, pull * 1e3];
        let mut used: f64 = 0.0;
        for side in [1.0, -1.0] {
            let root = 0.5_f64.sqrt();
            let normal = [0.0, side * root, root];
            let sigma = force.iter().zip(normal).map(|(f, n)| f * n).sum::<f64>() / area;
            let shear: f64 = force.iter().zip(normal).map(|(f, n)| (f / area - sigma * n).powi(2)).sum();
            used = used.max((sigma * sigma + 3.0 * shear).sqrt() / limit);
            used = used.max(sigma.abs() / (0.9 * fu / gamma));
        }
        let total = force.iter().map(|f| f * f).sum::<f64>().sqrt();
        let plain = total * 3.0_f64.sqrt() / (limit * area);
        let near =
            |a: f64, b: f64| assert!((a - b).abs() < 1e-9 * b.abs(), "{along} {across} {pull}: {a}, {b}");
        near(si(&figures, "utilisation_directional"), used);
        near(si(&figures, "utilisation"), plain);
        near(si(&figures, "capacity_directional"), total / used);
        near(si(&figures, "capacity"), total / plain);
        assert!(used <= plain * (1.0 + 1e-12), "the simplified method is never above the directional one");
        if across == 0.0 && pull == 0.0 {
            near(used, plain);
        }
    }
}

/// What the figure says a load needs carries it, and a hair less does not: throat and
/// length by both methods, with the ends taken off and in a long lap joint.
#[test]
fn what_the_eurocode_needs_is_the_least_that_carries() {
    let ask = |pairs: &[(&str, String)]| {
        let mut all = vec![("fu", "470 MPa".to_owned()), ("beta_w", "0.9".to_owned())];
        all.extend(pairs.iter().cloned());
        run("fillet-eurocode", &all)
    };
    for (load, angle, lap) in [(300.0, 0.0, "no"), (300.0, 60.0, "no"), (900.0, 0.0, "yes")] {
        let fixed = [
            ("load", format!("{load} kN")),
            ("angle", format!("{angle} deg")),
            ("end_loaded", lap.to_owned()),
        ];
        let with = |more: &[(&'static str, String)]| ask(&[fixed.as_slice(), more].concat());
        let length = if lap == "yes" { 1400.0 } else { 200.0 };
        let needs = with(&[("length", mm(length))]);
        for (needed, used) in
            [("required_throat", "utilisation"), ("required_throat_directional", "utilisation_directional")]
        {
            let throat = si(&needs, needed) * 1e3;
            let at = |share: f64| si(&with(&[("length", mm(length)), ("throat", mm(throat * share))]), used);
            assert!(at(1.0) <= 1.0 + 1e-9, "{needed} {throat} mm is used {}", at(1.0));
            assert!(at(0.999) > 1.0, "{needed} {throat} mm is not the least");
        }
        let throat = 6.0;
        let long = si(&with(&[("throat", mm(throat))]), "required_length") * 1e3;
        let at =
            |share: f64| si(&with(&[("throat", mm(throat)), ("length", mm(long * share))]), "utilisation");
        assert!(at(1.0) <= 1.0 + 1e-9 && at(0.999) > 1.0, "{long} mm");
    }
}
