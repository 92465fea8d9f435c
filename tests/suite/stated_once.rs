//! Values that stand once in a job: what `check` and the work papers list, so that
//! somebody reads them against their source.
//!
//! The slips are own examples; each leaves a value that is usual by itself.

use std::collections::BTreeSet;

use serde_json::Value as Json;

use super::support::bench::Bench;

fn bench(job: &str) -> Bench {
    let path = format!("{}/jobs/{job}.toml", env!("CARGO_MANIFEST_DIR"));
    let bench = Bench::new();
    bench.write("job.toml", std::fs::read_to_string(&path).unwrap_or_else(|e| panic!("{path}: {e}")));
    bench
}

fn said(bench: &Bench) -> Json {
    bench.json(&["check", "job.toml", "--json"])
}

fn listed(said: &Json) -> BTreeSet<String> {
    let rows = said["once"].as_array().expect("rows");
    let values = rows.iter().flat_map(|row| row["values"].as_array().expect("values"));
    values.map(|v| v["key"].as_str().expect("a key").to_owned()).collect()
}

/// One slip each that passes every check of the job, because nothing it states proves the
/// value: it is in the list, before and after.
#[test]
fn a_slip_nothing_proves_is_in_the_list() {
    for (job, from, to, key) in [
        ("brush-truck", "torque = \"140 lbf-ft\"", "torque = \"104 lbf-ft\"", "fastener[3].torque"),
        ("brush-truck", "hole_offset = \"1/2 in\"", "hole_offset = \"-1/2 in\"", "axle[0].pad.hole_offset"),
        ("brush-truck", "rise = \"3 in\"", "rise = \"0.3 in\"", "axle[0].drag_link.rise"),
        ("brush-truck", "along = \"32 in\"", "along = \"23 in\"", "axle[0].drag_link.along"),
        ("brush-truck", "mass = \"6200 lb\"", "mass = \"6020 lb\"", "unit.mass"),
        ("brush-truck", "other_axle_lift = \"6 in\"", "other_axle_lift = \"0.6 in\"", "unit.other_axle_lift"),
        ("crew-cab", "offset = \"-1.5 in\"", "offset = \"1.5 in\"", "axle[0].pinion.offset"),
        ("crew-cab", "torque = \"64 lbf-ft\"", "torque = \"46 lbf-ft\"", "fastener[4].torque"),
        ("crew-cab", "joint_rating = \"12 deg\"", "joint_rating = \"21 deg\"", "driveshaft[0].joint_rating"),
        ("hoist-frame", "preheat = \"175 degF\"", "preheat = \"157 degF\"", "joint[3].preheat"),
        ("hoist-frame", "count = 8", "count = 7", "joint[2].count"),
        ("pump-trailer", "torque = \"25 lbf-ft\"", "torque = \"52 lbf-ft\"", "fastener[4].torque"),
        (
            "forest-carrier",
            "arch_change = \"25 mm\"",
            "arch_change = \"-25 mm\"",
            "axle[0].spring.arch_change",
        ),
        ("forest-carrier", "torque = \"180 N·m\"", "torque = \"108 N·m\"", "fastener[3].torque"),
    ] {
        let bench = bench(job);
        assert!(listed(&said(&bench)).contains(key), "{job}: {key}: {:?}", listed(&said(&bench)));
        bench.edit("job.toml", from, to);
        let said = said(&bench);
        assert_eq!(said["state"], "ready", "{job}: {to}: the slip is told already");
        assert!(listed(&said).contains(key), "{job}: {key} after the slip");
    }
}

/// What is read on the unit before the work, bounded by the welding procedure, or fixed by a
/// second value of the job is not in the list: a list nobody reads is none.
#[test]
fn what_something_else_proves_is_not_in_the_list() {
    let said = said(&bench("brush-truck"));
    let listed = listed(&said);
    for key in [
        "axle[0].pinion.angle",
        "axle[0].knuckle.left.caster",
        "axle[0].spring.pack",
        "axle[0].tube.od",
        "joint[0].volts",
        "joint[0].size",
        "unit.wheelbase",
    ] {
        assert!(!listed.contains(key), "{key}");
    }
    assert!(said["once"].as_array().expect("rows").len() <= 40, "short enough to be read");
}

/// Nothing is listed that decides nothing: moved by a little, some figure, limit, hold or
/// verdict of the plan is another. Counts stand on the paper only.
#[test]
fn what_is_listed_decides_something() {
    for job in ["crew-cab", "hoist-frame"] {
        let bench = bench(job);
        let text = bench.text("job.toml");
        let before = said(&bench);
        for value in
            before["once"].as_array().expect("rows").iter().flat_map(|r| r["values"].as_array().unwrap())
        {
            let line = usize::try_from(value["line"].as_u64().expect("a line")).expect("small") - 1;
            let stated = text.lines().nth(line).expect("the line");
            let quantity = stated.split('"').nth(1).unwrap_or_default();
            let Some((number, rest)) = quantity.split_once(' ') else { continue };
            let Some(number) = number.parse::<f64>().ok().filter(|n| *n != 0.0) else { continue };
            let moved = stated.replace(quantity, &format!("{} {rest}", number * 1.03));
            let lines = text.lines().enumerate().map(|(n, l)| if n == line { moved.as_str() } else { l });
            bench.write("job.toml", lines.collect::<Vec<_>>().join("\n"));
            let after = said(&bench);
            let same = ["figures", "held", "shop", "state"].iter().all(|part| before[*part] == after[*part]);
            assert!(!same, "{job}: {stated}: nothing is another with {moved}");
        }
    }
}

/// A person is told how many there are, and lists them with their lines on demand.
#[test]
fn check_counts_them_and_lists_them_on_demand() {
    let bench = bench("hoist-frame");
    let short = bench.yes(&["check", "job.toml"]).out;
    assert!(short.contains("(check --all)"), "{short}");
    let all = bench.yes(&["check", "job.toml", "--all"]).out;
    assert!(all.contains("STATED ONCE"), "{all}");
    assert!(all.contains("preheat = 175 °F"), "{all}");
}

/// A lift brings a link level that goes up to the axle: with the wrong sign the hold would go.
#[test]
fn a_drag_link_goes_down_to_its_axle() {
    let bench = bench("brush-truck");
    bench.edit("job.toml", "rise = \"3 in\"", "rise = \"-3 in\"");
    let told = said(&bench);
    let problem = told["problems"].as_array().unwrap().iter().find(|p| p["code"] == "J270").expect("told");
    // The other sign brings the hold back, so it is not offered: the unit decides.
    assert_eq!(problem["example"], "rise = \"…\", measured again", "{problem:#}");
    assert_eq!(told["state"], "not ready");
    bench.edit(
        "job.toml",
        "rise = \"-3 in\"",
        "rise = \"-3 in\"\nsure = \"pitman arm below the frame, seen\"",
    );
    assert_eq!(said(&bench)["state"], "ready");
}

/// A tube whose steel nobody names is asked for that first: the mass may be right.
#[test]
fn a_bent_tube_without_a_steel_asks_for_the_steel() {
    let bench = bench("crew-cab");
    bench.edit("job.toml", "steel = \"1020 DOM\"\n", "");
    bench.edit("job.toml", "mass = \"6900 lb\"", "mass = \"39000 lb\"");
    let told = said(&bench);
    let problem = told["problems"].as_array().unwrap().iter().find(|p| p["code"] == "J251");
    let problem = problem.unwrap_or_else(|| panic!("{:#}", told["problems"]));
    assert_eq!(problem["key"], "axle[0].tube.steel");
    assert_eq!(problem["example"], "steel = \"…\" in its [axle.tube]");
}
