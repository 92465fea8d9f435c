//! An honest person in a hurry: what was mistyped, and that the refusal says in one reading
//! what to type instead.

use serde_json::Value as Json;

use crate::support::bench::Bench;
use crate::support::program::Left;

/// A bench on which the pinion angle is the next to be read, and its box.
fn at_the_pinion() -> (Bench, String) {
    static LEFT: std::sync::OnceLock<Left> = std::sync::OnceLock::new();
    let bench = Bench::like(&LEFT, |bench| {
        bench.yes(&["issue", "job.toml"]);
        assert_eq!(bench.fill_before("pinion"), "70.pinion");
    });
    (bench, "70.pinion".to_owned())
}

fn last(bench: &Bench) -> Json {
    let log = bench.text("travelers/TW-2041/log.jsonl");
    serde_json::from_str::<Json>(log.lines().last().unwrap()).unwrap()["entry"].clone()
}

#[test]
fn a_slip_of_the_fingers_is_named_with_what_was_meant() {
    let (bench, _) = at_the_pinion();
    let measure = |what: &'static str, tool: &'static str, by: &'static str| {
        ["measure", "TW-2041", what, "3.5 deg", "--with", tool, "--by", by]
    };
    for (args, part) in [
        (measure("70.pinion", "AF1", "WO"), "did you mean \"AF-1\"?"),
        (measure("70.pinion", "AF-1", "W0"), "did you mean \"WO\"?"),
        (measure("70.pinion", "AF-1", "Welder One"), "did you mean \"WO\"?"),
        // At the wrong operation, and at one there is not.
        (measure("60.output", "AF-1", "WO"), "did you mean \"70.output\"?"),
        (measure("75.output", "AF-1", "WO"), "did you mean \"70.output\"?"),
    ] {
        bench.no(&args, part);
    }
    let at = |time: &'static str| [&measure("70.pinion", "AF-1", "WO")[..], &["--at", time]].concat();
    bench.no(&at("2026-03-02T23:50:00Z"), "if it was the day before: --at \"2026-03-01 23:50\"");
    let said = bench.run(&at("10.30"));
    assert!(said.code == 2 && said.err.contains("is it \"10:30\"?"), "{}", said.err);
    // Capitals are no slip.
    bench.yes(&measure("70.pinion", "af-1", "wo"));
    let entry = last(&bench);
    assert_eq!((&entry["what"]["reading"]["tool"], &entry["by"]["id"]), (&"AF-1".into(), &"WO".into()));
}

#[test]
fn who_enters_twice_or_gives_a_value_to_correct_gets_the_whole_command() {
    let (bench, place) = at_the_pinion();
    let args = ["measure", "TW-2041", &place, "3.5 deg", "--with", "AF-1", "--by", "WO"];
    bench.yes(&args);
    let n = last(&bench)["n"].to_string();
    let said = bench.no(&args, "L141");
    let line = said.err.split_whitespace().collect::<Vec<_>>().join(" ");
    for part in [
        format!("tackwright measure TW-2041 {place} \"3.5 deg\" --with AF-1 --again --by WO"),
        format!("tackwright measure TW-2041 {place} \"3.5 deg\" --with AF-1 --corrects {n} --reason"),
    ] {
        assert!(line.contains(&part), "{part}: {line}");
    }
    let value = ["correct", "TW-2041", &place, "3.6 deg", "--by", "WO", "--reason", "read at the flange"];
    let said = bench.no(&value, "L270");
    let line = said.err.split_whitespace().collect::<Vec<_>>().join(" ");
    let part = format!("tackwright measure TW-2041 {place} \"3.6 deg\" --with AF-1 --corrects {n}");
    assert!(line.contains(&part), "{line}");
}

#[test]
fn the_desk_refuses_a_time_to_come_at_once_and_tells_what_it_did_not_take() {
    let (bench, _) = at_the_pinion();
    let said = bench.typed(&["desk", "TW-2041", "--by", "WO"], "at 2026-03-02T23:50:00Z\n12.5\n<\n5\nq\n");
    assert!(said.out.contains("is later than now"), "{}{}", said.out, said.err);
    assert!(!said.out.contains("23:50 +00:00 from here on"), "{}", said.out);
    assert!(said.out.contains("\"5\" is none of them, and nothing was changed"), "{}", said.out);
}

/// Who of a role will be taken is said where not all of it are: a welder without the test.
#[test]
fn a_box_names_who_will_be_taken() {
    let bench = Bench::small();
    bench.yes(&["issue", "job.toml"]);
    let boxes = bench.json(&["status", "TW-2041", "--boxes", "--json"]);
    let boxes = boxes["travelers"][0]["boxes"].as_array().unwrap();
    let tack = boxes.iter().find(|b| b["box"] == "hoist-frame/tack-parts:@welder").unwrap();
    assert_eq!(tack["people"], serde_json::json!(["WT"]), "{tack:#}");
    assert!(tack["command"].as_str().unwrap().ends_with("--by WT"), "{tack:#}");
    let said = bench.yes(&["status", "TW-2041", "--boxes"]);
    assert!(said.out.contains("(welder: WT)"), "{}", said.out);
    // What is offered for every other box is who has the role.
    let cut = boxes.iter().find(|b| b["box"] == "hoist-frame/cut-parts:first-piece").unwrap();
    assert!(!cut["people"].as_array().unwrap().is_empty(), "{cut:#}");
}
