//! Slips whose value is usual by itself, as a shop lead mistypes: told by what else the job
//! says, once, with what was meant; nothing they are followed by breeds another stop.
//!
//! Slips are own examples; limits are those the checks name as common practice.

use tackwright::diagnostic::{Diagnostic, Severity};
use tackwright::job;

use super::support::bench::Bench;

fn read(path: &str) -> String {
    let path = format!("{}/{path}", env!("CARGO_MANIFEST_DIR"));
    std::fs::read_to_string(&path).unwrap_or_else(|e| panic!("{path}: {e}"))
}

fn stops(text: &str) -> Vec<Diagnostic> {
    let (_, report) = job::load("job.toml", text);
    report.problems.into_iter().filter(|p| matches!(p.severity, Severity::Error | Severity::Stop)).collect()
}

/// What `check` says of a demonstration job with one text replaced: its state, the
/// problems that stop it, and what is held.
fn checked(job: &str, from: &str, to: &str) -> (String, Vec<(String, String, String)>, Vec<String>) {
    let bench = Bench::new();
    bench.write("job.toml", read(&format!("jobs/{job}.toml")));
    bench.edit("job.toml", from, to);
    let said = bench.json(&["check", "job.toml", "--json"]);
    let text = |v: &serde_json::Value| v.as_str().unwrap_or_default().to_owned();
    let stops = said["problems"]
        .as_array()
        .unwrap()
        .iter()
        .filter(|p| p["severity"] == "error" || p["severity"] == "stop");
    let stops = stops.map(|p| (text(&p["code"]), text(&p["key"]), text(&p["example"]))).collect();
    let held = said["held"].as_array().into_iter().flatten().map(|h| text(&h["name"])).collect();
    (text(&said["state"]), stops, held)
}

/// Own slips, each of a value that is usual by itself: what is said, and what is proposed.
/// A proposal was followed before it was made, so none breeds another problem.
#[test]
fn a_slip_is_told_once_with_what_was_meant() {
    for (job, from, to, code, key, write) in [
        // What may be of two units is that, and no swap.
        (
            "brush-truck",
            "preheat = \"250 degF\"",
            "preheat = \"250 degC\"",
            "J258",
            "joint[1].preheat",
            "preheat = \"250 degF\" or preheat = \"482 °F\"",
        ),
        // A swap that leaves a spline of less than nothing is none.
        (
            "crew-cab",
            "length = \"49-7/16 in\"",
            "length = \"94-7/16 in\"",
            "J191",
            "driveshaft[0].extended",
            "extended = \"…\", measured again",
        ),
        // Nor one that puts amps among volts.
        (
            "pump-trailer",
            "amps = \"155 A\"",
            "amps = \"18.5 A\"",
            "J107",
            "joint[0].amps",
            "amps = \"185 A\"",
        ),
        (
            "pump-trailer",
            "torque = \"25 lbf-ft\"",
            "torque = \"250 lbf-ft\"",
            "J254",
            "fastener[4].torque",
            "torque = \"…\", from the sheet of torque_from",
        ),
        (
            "brush-truck",
            "torque = \"140 lbf-ft\"",
            "torque = \"14 lbf-ft\"",
            "J254",
            "fastener[3].torque",
            "torque = \"…\", from the sheet of torque_from",
        ),
        (
            "brush-truck",
            "torque = \"60 lbf-ft\"",
            "torque = \"60 lbf-in\"",
            "J254",
            "fastener[4].torque",
            "torque = \"…\", from the sheet of torque_from",
        ),
        (
            "pump-trailer",
            "pad_spread = \"48 in\"",
            "pad_spread = \"84 in\"",
            "J107",
            "axle[0].tube.pad_spread",
            "pad_spread = \"…\", measured again",
        ),
        // The day of issue stays; a due date in hand is meant.
        ("pump-trailer", "due = 2026-03-27", "due = 2026-02-27", "J110", "job.due", "due = 2026-03-27"),
        ("pump-trailer", "due = 2026-03-27", "due = 2025-03-27", "J110", "job.due", "due = 2026-03-27"),
        // A fraction no rule has is made no decimal.
        (
            "brush-truck",
            "root_opening = \"1/16 in\"",
            "root_opening = \"1/6 in\"",
            "Q001",
            "joint[1].root_opening",
            "root_opening = \"1/16 in\" or \"1/8 in\"",
        ),
        (
            "pump-trailer",
            "size = \"3/16 in\"",
            "size = \"3/6 in\"",
            "Q001",
            "joint[0].size",
            "size = \"3/16 in\" or \"3/8 in\"",
        ),
        // What rests on a name nobody knows is not told.
        (
            "pump-trailer",
            "procedure = \"trailer-springs\"",
            "procedure = \"trailer-spring\"",
            "J201",
            "work[0].procedure",
            "procedure = \"trailer-springs\"",
        ),
        (
            "pump-trailer",
            "on = [\"trailer\"]",
            "on = [\"trialer\"]",
            "J204",
            "work[0].on[0]",
            "on = [\"trailer\"]",
        ),
        ("brush-truck", "on = [\"front\"]", "on = [\"fornt\"]", "J204", "work[0].on[0]", "on = [\"front\"]"),
        // A diameter in the place of a radius.
        (
            "brush-truck",
            "radius = \"15-1/2 in\"",
            "radius = \"31 in\"",
            "J107",
            "axle[0].tyre.radius",
            "radius = \"15.5 in\"",
        ),
        // A number nobody wrote, a fraction of a millimetre, and one of two sides.
        (
            "brush-truck",
            "grip = \"0.9\"",
            "grip = \"1.5\"",
            "J107",
            "axle[0].tyre.grip",
            "grip = …, measured again",
        ),
        (
            "brush-truck",
            "finder_readings = 2",
            "finder_readings = 43",
            "J107",
            "axle[0].target.finder_readings",
            "finder_readings = …, counted again",
        ),
        (
            "brush-truck",
            "offset = \"4-3/4 in\"",
            "offset = \"14-3/4 in\"",
            "J107",
            "axle[0].shock.offset",
            "offset = \"14-3/4 in\" and sure = \"…\"",
        ),
        (
            "brush-truck",
            "inclination = \"8.5 deg\"",
            "inclination = \"5.8 deg\"",
            "J262",
            "axle[0].knuckle.right.inclination",
            "inclination = \"…\" on the left or on the right, both measured again",
        ),
        // A torque that is a little out, and a wrench.
        (
            "brush-truck",
            "torque = \"85 lbf-ft\"",
            "torque = \"45 lbf-ft\"",
            "J254",
            "fastener[2].torque",
            "torque = \"…\", from the sheet of torque_from",
        ),
        (
            "brush-truck",
            "torque_from = \"sheet S-4 (invented)\"\nincrement = \"2 lbf-ft\"",
            "torque_from = \"sheet S-4 (invented)\"\nincrement = \"20 lbf-ft\"",
            "J259",
            "fastener[4].increment",
            "increment = \"…\", as the wrench is marked",
        ),
    ] {
        let (state, stops, _) = checked(job, from, to);
        assert_ne!(state, "ready", "{to}");
        assert_eq!(stops, [(code.to_owned(), key.to_owned(), write.to_owned())], "{to}");
    }
}

/// What shops state and no check doubts: own examples, of common practice.
#[test]
fn what_is_usual_is_not_doubted() {
    for (job, from, to) in [
        // Bearing nuts seat a bearing, whatever their thread carries; hubs of drive axles to 263 lbf-ft.
        ("pump-trailer", "torque = \"25 lbf-ft\"", "thread = \"1-14 UNS\"\ntorque = \"25 lbf-ft\""),
        ("crew-cab", "torque = \"64 lbf-ft\"", "torque = \"263 lbf-ft\""),
        // Short arcs of a tungsten electrode.
        ("crew-cab", "volts = \"12 V\"", "volts = \"10 V\""),
        ("crew-cab", "volts = \"12 V\"\namps = \"110 A\"", "volts = \"12 V\"\namps = \"160 A\""),
        ("crew-cab", "travel = \"4 in/min\"", "travel = \"30 in/min\""),
        // A gas as its makers write it.
        ("pump-trailer", "gas = \"75Ar/25CO2\"", "gas = \"75-25\""),
        ("pump-trailer", "gas = \"75Ar/25CO2\"", "gas = \"75 Ar 25 CO2\""),
        ("pump-trailer", "gas = \"75Ar/25CO2\"", "gas = \"98Ar-2O2\""),
        // Seven studs, and twin wheels of two axles.
        ("pump-trailer", "count = 6", "count = 7"),
        ("brush-truck", "count = 8\npattern = \"circle\"", "count = 36\npattern = \"circle\""),
        // A torque that stands on a mark.
        (
            "brush-truck",
            "torque_from = \"sheet S-4 (invented)\"\nincrement = \"2 lbf-ft\"",
            "torque_from = \"sheet S-4 (invented)\"\nincrement = \"10 lbf-ft\"",
        ),
        // A seam all round a pad is longer than the pad.
        ("pump-trailer", "length = \"4 in\"\ncount = 4", "length = \"12 in\"\nall_round = true\ncount = 2"),
        // Two welds are all of a hanger's on the side its title names.
        (
            "brush-truck",
            "title = \"shackle hangers to frame\"\non = \"front\"\nuse = \"hanger\"\nplace = \"rear\"\nsafety = \"suspension\"\nweld = \"fillet\"\nform = \"lap\"\nthickness = \"1/4 in\"\nother_thickness = \"3/16 in\"\nsteel = \"A36\"\nother_steel = \"A36\"\nsize = \"3/16 in\"\nlength = \"6 in\"\ncount = 4",
            "title = \"shackle hanger to frame, left\"\non = \"front\"\nuse = \"hanger\"\nplace = \"rear\"\nsafety = \"suspension\"\nweld = \"fillet\"\nform = \"lap\"\nthickness = \"1/4 in\"\nother_thickness = \"3/16 in\"\nsteel = \"A36\"\nother_steel = \"A36\"\nsize = \"3/16 in\"\nlength = \"6 in\"\ncount = 1",
        ),
    ] {
        let text = read(&format!("jobs/{job}.toml"));
        assert!(text.contains(from), "{from}");
        let found = stops(&text.replacen(from, to, 1));
        assert!(found.is_empty(), "{to}: {found:#?}");
    }
}

/// Two long parts are welded all along each other: 38 in of a lug under its beam.
#[test]
fn a_seam_is_as_long_as_its_parts_lie_side_by_side() {
    let text = read("jobs/hoist-frame.toml").replacen(
        "across = \"4 in\"\nhigh = \"3-1/2 in\"",
        "across = \"38 in\"\nhigh = \"3-1/2 in\"",
        1,
    );
    for (length, told) in [("36 in", false), ("100 in", true)] {
        let text = text.replacen("length = \"8 in\"", &format!("length = \"{length}\""), 1);
        let found = stops(&text);
        assert_eq!(found.iter().any(|p| p.code == "J266"), told, "{length}: {found:#?}");
    }
}

#[test]
fn a_longer_wrench_is_not_put_beside_a_torque_somebody_typed() {
    let (state, stops, _) = checked("brush-truck", "torque = \"40 lbf-ft\"", "torque = \"90 lbf-ft\"");
    assert_eq!(state, "not ready");
    let told = stops.iter().find(|s| s.0 == "S212").unwrap_or_else(|| panic!("{stops:?}"));
    assert_eq!(told.2, "torque = \"…\" or wrench = \"…\"");
}

#[test]
fn a_joint_above_the_angle_for_its_speed_is_signed_for() {
    let (_, _, held) = checked("crew-cab", "output_slope = \"3.0 deg", "output_slope = \"-3.0 deg");
    assert!(held.iter().any(|h| h == "joint-speed"), "{held:?}");
    let (state, _, held) = checked("crew-cab", "width = \"3 in\"", "width = \"3 in\"");
    assert_eq!((state.as_str(), held.is_empty()), ("ready", true), "{held:?}");
}

/// Own slips whose values are each usual and whose result is not: told by the figures, at
/// the pinion or the shaft they are of.
#[test]
fn a_pinion_and_a_shaft_are_held_against_each_other_as_found() {
    for (job, from, to, told) in [
        // 7 deg against an output of 3 deg: a shaft with parallel joints ran on it.
        ("crew-cab", "angle = \"7.0 deg", "angle = \"-7.0 deg", "is not parallel"),
        ("forest-carrier", "output_slope = \"4.0 deg", "output_slope = \"-4.0 deg", "is not parallel"),
        // A pinion that points at its case, and one that would point 14 deg past it.
        ("brush-truck", "angle = \"12.5 deg", "angle = \"21.5 deg", "does not point"),
        ("brush-truck", "offset = \"-1.5 in\"", "offset = \"1.5 in\"", "does not point"),
        ("brush-truck", "case_up = \"6 in\"", "case_up = \"0.6 in\"", "does not point"),
        // 62 in less 12-1/2 in leave the 49-7/16 in that were taped; 26 in do not.
        ("crew-cab", "case_forward = \"62 in\"", "case_forward = \"26 in\"", "joints stand"),
        ("crew-cab", "reach = \"12-1/2 in\"", "reach = \"21-1/2 in\"", "joints stand"),
        // A leaf that bends for good, and a slip that comes apart.
        ("forest-carrier", "leaf_new = \"7 mm\"", "leaf_new = \"3.9 mm\"", "spring steel yields"),
        ("crew-cab", "engagement = \"3-1/4 in\"", "engagement = \"0.9 in\"", "comes apart"),
    ] {
        let bench = Bench::new();
        bench.write("job.toml", read(&format!("jobs/{job}.toml")));
        bench.edit("job.toml", from, to);
        let said = bench.json(&["check", "job.toml", "--json"]);
        let found = said["problems"]
            .as_array()
            .unwrap()
            .iter()
            .any(|p| p["severity"] == "stop" && p["message"].as_str().unwrap_or_default().contains(told));
        assert!(found && said["state"] != "ready", "{to}: {said:#}");
    }
}

/// A value in the unit a job does not count in stays where the table, or the file, counts
/// in nothing else, where a reason stands beside it, and where its digits would be unusual.
#[test]
fn a_unit_of_another_sheet_is_asked_only_where_it_may_be_either() {
    for (to, asked) in [
        ("torque = \"85 N·m\"", true),
        ("torque = \"85 N·m\"\nsure = \"sheet 4 is metric\"", false),
        ("torque = \"85 N·m\"\nincrement = \"5 N·m\"", false),
        ("torque = \"115.2 N·m\"", true),
    ] {
        let text = read("jobs/brush-truck.toml");
        let text = text.replacen("torque = \"85 lbf-ft\"", to, 1);
        let text = if to.contains("increment") {
            let (head, tail) = text.split_once(to).unwrap();
            format!("{head}{to}{}", tail.replacen("increment = \"5 lbf-ft\"\n", "", 1))
        } else {
            text
        };
        let found = stops(&text);
        assert_eq!(found.iter().any(|p| p.code == "J258"), asked, "{to}: {found:#?}");
    }
    let text = read("jobs/brush-truck.toml").replacen("bump_gap = \"3 in\"", "bump_gap = \"76 mm\"", 1);
    assert!(stops(&text).is_empty());
    let text = read("jobs/brush-truck.toml").replacen("torque = \"85 lbf-ft\"", "torque = \"85 N·m\"", 1);
    let told = stops(&text);
    assert_eq!(told[0].example, "torque = \"85 lbf-ft\" or torque = \"63 lbf-ft\"");
}
