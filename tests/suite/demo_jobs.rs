//! The demonstration jobs: sound, complete, marked as invented, issued.

use tackwright::app::plan::{load, plan};
use tackwright::diagnostic::Severity;

use super::support::desk::{Desk, folder, issue, shipped};
use super::support::pdf;

#[test]
fn demonstrations_are_sound_and_leave_nothing_open() {
    let shelf = shipped();
    let jobs = jobs();
    assert!(jobs.len() >= 5);
    for (name, text) in jobs {
        let desk = Desk::with("job.toml", &text);
        let loaded = load(&desk, "job.toml".as_ref(), &shelf).unwrap_or_else(|e| panic!("{name}: {e:#?}"));
        let plan = plan(&loaded, &shelf).unwrap_or_else(|e| panic!("{name}: {e:#?}"));
        let open: Vec<_> = plan.report.problems.iter().filter(|p| p.severity != Severity::Warning).collect();
        assert!(open.is_empty(), "{name}: {open:?}");
        // Only figures may warn; a cross-check that warns is a slip in the data.
        let data: Vec<_> =
            plan.report.problems.iter().filter(|p| p.code != "F020" && !p.code.starts_with('S')).collect();
        assert!(data.is_empty(), "{name}: {data:?}");
        assert!(plan.warnings() < 20, "{name} warns {} times", plan.warnings());
        assert!(loaded.figures.missing.is_empty(), "{name}: {:?}", loaded.figures.missing);
        assert!(loaded.job.job.invented, "{name} is not marked as invented");
        assert!(text.contains("INVENTED DEMONSTRATION"), "{name} does not say so at its head");
        for named in [&loaded.job.shop.as_ref().unwrap().name, &loaded.job.customer.as_ref().unwrap().name] {
            assert!(named.ends_with("(invented)"), "{name}: {named}");
        }
    }
}

#[test]
fn demonstrations_are_issued_with_their_mark_on_every_page() {
    let shelf = shipped();
    for (name, text) in jobs() {
        let (issued, bytes) = issue(&text, &shelf).unwrap_or_else(|e| panic!("{name}: {e:#?}"));
        let pages = pdf::pages(&bytes);
        assert_eq!(pages.len(), issued.pages, "{name}");
        assert!(issued.operations >= 10 && issued.holds >= 3, "{name}: {issued:?}");
        for (index, page) in pages.iter().enumerate() {
            let text = pdf::squeeze(&page.text());
            assert!(text.contains("DEMO"), "{name}, page {}: {text}", index + 1);
            assert!(text.contains(&issued.number), "{name}, page {}", index + 1);
        }
    }
}

/// Values worked by hand from the job files.
#[test]
fn figures_of_the_demonstrations_agree_with_hand_sums() {
    let figure = |job: &str, owner: &str, name: &str| -> f64 {
        let (_, text) = folder("jobs", "toml").into_iter().find(|(n, _)| n == job).unwrap();
        let desk = Desk::with("job.toml", &text);
        let loaded = load(&desk, "job.toml".as_ref(), &shipped()).unwrap();
        let row = loaded.figures.rows.iter().find(|r| r.owner.words() == owner && r.name == name);
        row.unwrap_or_else(|| panic!("{job}: {owner} {name}")).figure.value.quantity().unwrap().si()
    };
    let close = |what: &str, found: f64, hand: f64, within: f64| {
        assert!((found - hand).abs() <= within, "{what}: {found} is not {hand}");
    };
    const IN: f64 = 0.0254;
    // Tube + pack + both seats: 2.375 + 1 + 0.25 + 0.375.
    close("trailer lift", figure("pump-trailer", "trailer", "lift"), 4.0 * IN, 1e-6);
    // Seats only, 2-1/2 less 1/2.
    close("crew cab lift", figure("crew-cab", "rear", "lift"), 2.0 * IN, 1e-9);
    // Parallel to an output that falls 3 deg: 3 - 7.
    close("crew cab turn", figure("crew-cab", "rear", "housing_turn"), (-4.0_f64).to_radians(), 1e-9);
    // Pinion joint 12.5 cos 3 + 1.5 sin 3 ahead, 12.5 sin 3 - 1.5 cos 3 up of
    // the axle: the shaft rises by the rest over the rest.
    let (sin, cos) = (3.0_f64.to_radians().sin(), 3.0_f64.to_radians().cos());
    let along = 62.0 - (12.5 * cos + 1.5 * sin);
    let up = 4.25 - (12.5 * sin - 1.5 * cos);
    close("crew cab shaft", figure("crew-cab", "rear", "shaft_length"), along.hypot(up) * IN, 1e-6);
    let joint = up.atan2(along) - 3.0_f64.to_radians();
    close("crew cab joint", figure("crew-cab", "rear", "joint_pinion_after"), joint, 1e-6);
    // As found, the entered shaft length must be the distance of its joints.
    let found = figure("crew-cab", "rear", "shaft_length_before");
    close("crew cab shaft as found", figure("crew-cab", "rear-shaft", "shaft_length_before"), found, 0.002);
    // 190 A x 25 V x 0.8 over 10 in/min (EN 1011-1, flux-cored arc k = 0.8).
    let heat = 190.0 * 25.0 * 0.8 / (10.0 * IN / 60.0);
    close("hoist heat", figure("hoist-frame", "joint J1", "heat_input"), heat, 1.0);
    // Hole 12 mm ahead of the tube centre: the tube stands 12 mm behind the pin,
    // and a rear axle further back lengthens the wheelbase.
    close("carrier wheelbase", figure("forest-carrier", "rear", "wheelbase_left"), 3.120 + 0.012, 1e-9);
    // Seven leaves of the same thickness for six: rate 7/6.
    let ratio = figure("forest-carrier", "rear", "spring_rate_after")
        / figure("forest-carrier", "rear", "spring_rate_before");
    close("carrier rate", ratio, 7.0 / 6.0, 1e-9);
}

/// The job files of the demonstration; the shop book beside them is none.
fn jobs() -> Vec<(String, String)> {
    folder("jobs", "toml").into_iter().filter(|(_, text)| text.contains("\n[job]")).collect()
}
