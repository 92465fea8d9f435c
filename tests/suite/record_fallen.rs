//! A point that was signed and no longer holds is named, until what it rests on is decided,
//! put right or entered again.

use tackwright::record::Entry;
use tackwright::record::entry::{Action, Correction};
use tackwright::record::fallen::fallen;
use tackwright::record::frozen::{Frozen, Point, PointKind};
use tackwright::record::moved::Lost;
use tackwright::record::people::Register;
use tackwright::record::rules::Scene;
use tackwright::record::state::fold;

use super::record_gates::{entry, read};
use super::record_held::{bad, decided, found, plan, welded};
use crate::support::bench::Bench;

/// The acceptance and, before it, the fit-up hold; nothing else takes an acceptance away.
pub(super) fn holds() -> Frozen {
    let mut plan = plan();
    plan.operations[0].after = vec![Point {
        slot: "after.1".to_owned(),
        number: "H0".to_owned(),
        kind: PointKind::Hold,
        roles: vec!["inspector".to_owned()],
        ..Point::default()
    }];
    plan
}

fn signed(n: u64, time: &str, key: &str, point: &str) -> Entry {
    let what = Action::Sign {
        identified: "not by PIN: the book has none".to_owned(),
        meaning: String::new(),
        operation: super::record_gates::at(key),
        point: point.to_owned(),
        rests_on: Vec::new(),
        slot: "after.1".to_owned(),
    };
    let mut one = entry(n, time, "IO", what);
    one.by.role = "inspector".to_owned();
    one
}

/// Fit up, welded, accepted.
fn accepted() -> Vec<Entry> {
    let mut log = welded();
    log.push(signed(4, "08:30", "fit", "H0"));
    log.push(entry(5, "10:00", "IO", read("accept", "size", 5.0)));
    log.push(signed(6, "10:05", "accept", "H1"));
    log
}

fn named(plan: &Frozen, log: &[Entry]) -> Vec<(String, String)> {
    fallen(plan, &fold(log), &[]).into_iter().map(|f| (f.number.clone(), f.words())).collect()
}

fn numbers(plan: &Frozen, log: &[Entry]) -> Vec<String> {
    named(plan, log).into_iter().map(|(number, _)| number).collect()
}

fn then(mut log: Vec<Entry>, more: impl IntoIterator<Item = Entry>) -> Vec<Entry> {
    log.extend(more);
    log
}

#[test]
fn a_signature_falls_with_what_it_rests_on() {
    let plan = holds();
    assert_eq!(numbers(&plan, &accepted()), Vec::<String>::new());
    // A second reading that fails: everything that rests on it, and nothing else.
    let again = then(accepted(), [bad(7, "11:00", "fit", "caster.left")]);
    assert_eq!(numbers(&plan, &again), ["H0", "H1"]);
    let words = &named(&plan, &again)[0].1;
    for part in ["H0", "signed by IO in entry 4", "no longer holds", "10.caster.left is not conform"] {
        assert!(words.contains(part), "{part}: {words}");
    }
    let later = then(accepted(), [bad(7, "11:00", "weld", "interpass")]);
    assert_eq!(numbers(&plan, &later), ["H1"]);
    let beside = then(accepted(), [bad(7, "11:00", "beside", "length")]);
    assert_eq!(numbers(&plan, &beside), Vec::<String>::new());
    // Readings that do not agree any more.
    let apart = then(accepted(), [entry(7, "11:00", "F1", read("fit", "caster.right", 7.0))]);
    assert_eq!(numbers(&plan, &apart), ["H0", "H1"]);
    // A better one takes nothing back; a lead decides, and rework is read again.
    let better = then(again, [entry(8, "11:05", "F1", read("fit", "caster.left", 5.0))]);
    assert_eq!(numbers(&plan, &better), ["H0", "H1"]);
    let filed = then(better, [found(9, "11:10", "fit", Some("caster.left"))]);
    assert_eq!(numbers(&plan, &filed), ["H0", "H1"]);
    let as_is = then(filed.clone(), [decided(10, "11:20", "use as is")]);
    assert_eq!(numbers(&plan, &as_is), Vec::<String>::new());
    assert_eq!(numbers(&plan, &then(filed, [decided(10, "11:20", "reject")])), ["H0", "H1"]);
}

#[test]
fn a_signature_falls_with_what_is_found_or_taken_back_below_it() {
    let plan = holds();
    let filed = then(accepted(), [found(7, "11:00", "weld", None)]);
    assert_eq!(numbers(&plan, &filed), ["H1"]);
    let mut back = entry(7, "11:00", "LO", Action::Withdrawn {});
    back.corrects = Some(Correction { entry: 3, reason: "read at the wrong joint".to_owned() });
    let taken_back = then(accepted(), [back]);
    assert_eq!(numbers(&plan, &taken_back), ["H1"]);
    assert!(named(&plan, &taken_back)[0].1.contains("reading 20.interpass is open again"));
    let entered = then(taken_back, [entry(8, "11:05", "F1", read("weld", "interpass", 5.0))]);
    assert_eq!(numbers(&plan, &entered), Vec::<String>::new());
    // The plan moved, and what was read does not fit it any more.
    let lost = Lost {
        operation: "fit".to_owned(),
        number: 10,
        reading: "caster.left".to_owned(),
        words: "10.caster.left: 5 deg is not conform now".to_owned(),
        signed: Vec::new(),
    };
    let moved = fallen(&plan, &fold(&accepted()), &[lost]);
    assert_eq!(moved.iter().map(|f| f.number.as_str()).collect::<Vec<_>>(), ["H0", "H1"]);
}

#[test]
fn it_is_named_at_entry_by_status_on_the_record_and_by_verify() {
    let bench = Bench::issued();
    bench.fill_before("pinion");
    let status = || bench.json(&["status", "TW-2041", "--json", "--entries"]);
    let told = |json: &serde_json::Value| json["travelers"][0]["no_longer_holds"].to_string();
    assert_eq!(told(&status()), "[]");
    // A review that was signed first, and something found below it since.
    let said = bench.yes(&["found", "TW-2041", "10", "another unit's plate", "--by", "WO"]);
    assert!(said.err.contains("no longer holds: F1 at operation 10 has no disposition"), "{}", said.err);
    let json = status();
    assert!(told(&json).contains("R1 (operation 10"), "{json:#}");
    let boxes = json["travelers"][0]["boxes"].as_array().unwrap();
    assert!(boxes.iter().any(|b| b["done"]["no_longer_holds"].to_string().contains("F1")), "{boxes:#?}");
    let log = bench.yes(&["status", "TW-2041", "--entries"]);
    assert!(log.out.contains("NO LONGER HOLDS: F1 at operation 10"), "{}", log.out);
    bench.yes(&["complete", "TW-2041", "--by", "LO"]);
    let verdict = bench.json(&["verify", "travelers/TW-2041/TW-2041-completed.pdf", "--json"]);
    assert!(verdict["remarks"].to_string().contains("R1 (operation 10"), "{verdict:#}");
    assert!(verdict["open"].to_string().contains("no longer holds"), "{verdict:#}");
    bench.yes(&[
        "dispose",
        "TW-2041",
        "F1",
        "use as is",
        "--words-stand",
        "--by",
        "LO",
        "--reason",
        "plate changed, VIN read",
    ]);
    assert_eq!(told(&status()), "[]");
}

/// What is open, by the rules of the plan.
fn open(plan: &Frozen, log: &[Entry]) -> String {
    let (state, register) = (fold(log), Register::default());
    Scene::looking(plan, &state, &register).open().join("; ")
}

#[test]
fn a_repair_without_a_reading_is_shown() {
    let mut plan = Frozen { rules: 4, ..holds() };
    let lacks = "nothing entered since shows that it was put right";
    let filed = then(accepted(), [found(7, "11:00", "weld", None)]);
    for (what, asked) in [("use as is", false), ("rework", true), ("repair", true)] {
        let log = then(filed.clone(), [decided(8, "11:20", what)]);
        assert_eq!(open(&plan, &log).contains(lacks), asked, "{what}: {}", open(&plan, &log));
        assert_eq!(numbers(&plan, &log).is_empty(), !asked, "{what}");
        // Records of an earlier edition go on as they were.
        assert!(!open(&Frozen { rules: 3, ..plan.clone() }, &log).contains(lacks), "{what}");
    }
    let log = then(filed, [decided(8, "11:20", "repair")]);
    // Something else that is read, or was read for the first time, shows nothing of it.
    let beside = then(log.clone(), [entry(9, "11:30", "F1", read("beside", "length", 5.0))]);
    assert!(open(&plan, &beside).contains(lacks));
    // Read once more where it was found.
    let bad = then(log.clone(), [bad(9, "11:30", "weld", "interpass")]);
    assert!(open(&plan, &bad).contains(lacks));
    let good = then(log.clone(), [entry(9, "11:30", "F1", read("weld", "interpass", 5.0))]);
    assert!(!open(&plan, &good).contains(lacks), "{}", open(&plan, &good));
    assert_eq!(numbers(&plan, &good), Vec::<String>::new());
    // A signature that accepts what it was found at, made anew.
    plan.operations[4].after[0].concerns = vec!["weld".to_owned()];
    assert!(open(&plan, &log).contains(lacks));
    let anew = then(log, [signed(9, "11:40", "accept", "H1")]);
    assert!(!open(&plan, &anew).contains(lacks), "{}", open(&plan, &anew));
}

#[test]
fn a_first_value_is_held_beside_what_is_usual() {
    let bench = Bench::issued();
    let place = bench.fill_before("height-lf");
    // 34 inches typed as millimetres, with nothing beside it yet.
    let said = bench.no(&["measure", "TW-2041", &place, "34 mm", "--with", "TP-2", "--by", "WO"], "L174");
    assert!(said.err.contains("is less than is usual"), "{}", said.err);
    assert!(said.err.contains("--sure"), "{}", said.err);
    bench.no(&["measure", "TW-2041", &place, "200 in", "--with", "TP-2", "--by", "WO"], "more than is usual");
    bench.yes(&["measure", "TW-2041", &place, "34 in", "--with", "TP-2", "--by", "WO"]);
}
