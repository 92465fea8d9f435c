//! Values a job states of its own in place of a table's: what they do to the figures, and
//! where they stand on paper.

use tackwright::app::compose::compose;
use tackwright::app::plan::{load, plan};
use tackwright::procedure::catalogue::joint;
use tackwright::procedure::figures::Owner;
use tackwright::quantity::{Dimensioned, unit};

use super::job_fields::words_of;
use super::support::desk::{Desk, check, shipped};

fn truck() -> String {
    std::fs::read_to_string(concat!(env!("CARGO_MANIFEST_DIR"), "/jobs/brush-truck.toml")).unwrap()
}

/// Utilisation of a joint of a text.
fn utilisation(text: &str, id: &str) -> f64 {
    let shelf = shipped();
    let desk = Desk::with("job.toml", text);
    let loaded = load(&desk, "job.toml".as_ref(), &shelf).unwrap_or_else(|_| panic!("no job:\n{text}"));
    let used = loaded.figures.quantity(&Owner::Joint(id.to_owned()), joint::utilisation);
    used.expect("computed").to(unit::ONE)
}

/// Put into the first table of a job that has this line, behind it.
fn beside(text: &str, line: &str, more: &str) -> String {
    assert!(text.contains(line), "{line}");
    text.replacen(line, &format!("{line}\n{more}"), 1)
}

#[test]
fn weld_metal_of_a_stated_strength_is_loaded_by_it() {
    // AWS D1.1:2020, 4.6 and table 4.3: stress on the throat of a fillet or of a groove of
    // partial penetration is allowed to 0.30 times the tensile strength of the filler metal.
    // Load and throat stay, so the share of it goes as 1 / strength: from the 70 ksi of
    // ER70S-6 (AWS A5.18) to 60 ksi it rises by 70/60, to 65 ksi by 70/65. By hand.
    let truck = truck();
    let source = "values_from = \"test plate 12 (invented)\"";
    for (id, head) in [("J1", "id = \"J1\""), ("J2", "id = \"J2\"")] {
        let by_class = utilisation(&truck, id);
        assert!((0.05..1.0).contains(&by_class), "{id}: {by_class}");
        for ksi in [60.0, 65.0] {
            let stated = beside(&truck, head, &format!("weld_strength = \"{ksi} ksi\"\n{source}"));
            let used = utilisation(&stated, id);
            assert!((used / by_class - 70.0 / ksi).abs() < 1e-6, "{id} at {ksi} ksi: {by_class} {used}");
        }
        // A limit of error is taken off: 65 ± 5 ksi is counted as 60 (by hand).
        let stated = beside(&truck, head, &format!("weld_strength = \"65 ksi ± 5 ksi\"\n{source}"));
        assert!((utilisation(&stated, id) / by_class - 70.0 / 60.0).abs() < 1e-6, "{id}");
    }
    // The pad's own strength is that of its weld, and the lesser of two counts.
    let by_class = utilisation(&truck, "J1");
    let pad = beside(&truck, "[axle.pad]", "weld_strength = \"60 ksi\"");
    assert!((utilisation(&pad, "J1") / by_class - 70.0 / 60.0).abs() < 1e-6);
    let both = beside(&pad, "id = \"J1\"", &format!("weld_strength = \"65 ksi\"\n{source}"));
    assert!((utilisation(&both, "J1") / by_class - 70.0 / 60.0).abs() < 1e-6);
    // It is that axle's pad weld alone.
    assert!((utilisation(&pad, "J2") - utilisation(&truck, "J2")).abs() < 1e-9);
}

#[test]
fn a_value_of_ones_own_stands_on_paper_with_its_source() {
    let shelf = shipped();
    let paper = |text: &str| {
        let desk = Desk::with("job.toml", text);
        let loaded = load(&desk, "job.toml".as_ref(), &shelf).ok().expect("a job");
        let planned = plan(&loaded, &shelf).ok().expect("a plan");
        words_of(&compose(&planned))
    };
    let own = "cet = \"0.31 %\"\nweld_strength = \"65 ksi\"\nhydrogen = \"6 ml/100g\"\nvalues_from = \"certificate 4711 (invented)\"";
    let joint = paper(&beside(&truck(), "id = \"J1\"", own));
    let says = "Own value: CET 0.310 %, weld metal 65 ksi, diffusible hydrogen 6.0 ml/100g; from certificate 4711 (invented).";
    let at = joint.find("Own value").map(|at| &joint[at..(at + 200).min(joint.len())]);
    assert!(joint.contains(says), "{at:?}");
    let own = "proof = \"110 ksi\"\nnut_factor = 0.17\nvalues_from = \"test of 2026-02-10 (invented)\"";
    let fastener = paper(&beside(&truck(), "id = \"B1\"", own));
    let at = fastener.find("Own value").map(|at| &fastener[at..(at + 200).min(fastener.len())]);
    let says = "Own value: proof stress 110 ksi, nut factor 0.170; from test of 2026-02-10 (invented)";
    assert!(fastener.contains(says), "{at:?}");
    // Limits of the cooling time stand on the card of their weld.
    let card = paper(&beside(&truck(), "id = \"J1\"", "cooling_least = \"2 s\"\ncooling_most = \"30 s\""));
    assert!(card.contains("cooling time t8/5") && card.contains("2 to 30 s"));
}

#[test]
fn a_value_that_counts_only_beside_another_is_told_without_it() {
    let shelf = shipped();
    let fillet = "id = \"J1\"";
    for (line, more, key) in [
        (fillet, "groove_angle = \"60 deg\"", "joint[0].groove_angle"),
        (fillet, "groove_depth = \"0.2 in\"", "joint[0].groove_depth"),
        (fillet, "root_opening = \"1/16 in\"", "joint[0].root_opening"),
        (fillet, "root_face = \"1/16 in\"", "joint[0].root_face"),
        (fillet, "values_from = \"certificate 4711\"", "joint[0].values_from"),
        ("id = \"J2\"", "size = \"1/4 in\"", "joint[1].size"),
        ("id = \"J2\"", "pitch = \"10 in\"", "joint[1].pitch"),
        ("id = \"B1\"", "values_from = \"certificate 4711\"", "fastener[0].values_from"),
        ("[frame]", "rail_front = \"24 in\"", "frame.rail_front"),
        ("[frame]", "rail_front = \"24 in\"\nrail_marks = \"95 in\"", "frame.rail_marks"),
    ] {
        let (ok, problems) = check("job.toml", &beside(&truck(), line, more), &shelf);
        let told = problems.iter().any(|p| p["code"] == "J239" && p["key"] == key);
        assert!(ok && told, "{more}: {problems:#?}");
    }
    let operation = "[[operation]]\nid = \"look-again\"\nverb = \"inspect\"\ntitle = \"Look at the bracket\"\non = \"front\"\nafter = [\"inspect-bare\"]\nstep = [\"Look at the old bracket.\"]";
    for (more, key) in [
        ("hold_before = true", "operation[0].hold_before"),
        ("hold_rule = \"fit-up\"", "operation[0].hold_rule"),
        ("hold_role = \"inspector\"", "operation[0].hold_role"),
        ("at = [\"housing\"]", "operation[0].at"),
    ] {
        let (_, problems) = check("job.toml", &format!("{}\n{operation}\n{more}\n", truck()), &shelf);
        let told = problems.iter().any(|p| p["code"] == "J239" && p["key"] == key);
        assert!(told, "{more}: {problems:#?}");
    }
}

#[test]
fn what_was_found_and_nobody_decided_is_not_ready() {
    let shelf = shipped();
    let found = |more: &str| {
        let text =
            format!("{}\n[[found]]\nwhat = \"Old gusset, cracked\"\ndate = 2026-03-02\n{more}\n", truck());
        let (_, problems) = check("job.toml", &text, &shelf);
        let stops: Vec<_> = problems.iter().filter(|p| p["severity"] == "stop").collect();
        stops
            .iter()
            .map(|p| format!("{} {}", p["code"].as_str().unwrap(), p["key"].as_str().unwrap()))
            .collect::<Vec<_>>()
    };
    for disposition in ["use as is", "rework", "repair", "reject"] {
        let said = format!("disposition = \"{disposition}\"");
        assert_eq!(found(&said), ["J243 found[0].decided"], "{disposition}");
        let decided =
            |by: &str| format!("{said}\ndecided = \"{by}: cut out, plug welded, penetrant tested\"");
        assert_eq!(found(&decided("Lead One")), [""; 0]);
        assert_eq!(found(&decided("LO")), [""; 0]);
        assert_eq!(found(&decided("Welder One")), ["J244 found[0].decided"]);
    }
    assert_eq!(found(""), ["J243 found[0].disposition"]);
    assert_eq!(found("decided = \"Lead One: cut out\""), ["J243 found[0].disposition"]);
}

#[test]
fn a_tolerance_is_converted_no_finer_than_its_box() {
    // 1/8 in is 3.175 mm, and a box of tenths shows 3.1 mm, rounded inward; 1/1000 in is
    // 0.0254 mm, which no such box shows.
    use tackwright::quantity::{Length, show::LENGTH};
    let shown = |inches: f64| {
        let value = Length::of(inches, unit::IN).into();
        LENGTH.near_enough(value).down().both(value)
    };
    assert_eq!(shown(0.125), "1/8 in (3.1 mm)");
    assert_eq!(shown(0.0625), "1/16 in (1.5 mm)");
    assert_eq!(shown(0.25), "1/4 in (6.3 mm)");
    assert!(shown(0.001).starts_with("0.001 in (0.025"), "{}", shown(0.001));
}
