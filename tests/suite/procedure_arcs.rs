//! Whatever welds says so: where an arc burns the operation has the act, needs the
//! hot-work card and brings the machine, and who reads the log finds the arc.
//!
//! Source: 29 CFR 1910.252(a)(2), no arc before its precautions; the rest is common practice.

use super::order_of_the_work::{acts, demo, library};

/// Words of a step by which an arc is struck.
const STRIKES: &[&str] = &[
    "welded as",
    "weights welded",
    "at preheat",
    "as its card",
    "as the card says",
    "mock-up",
    "on scrap of the same thickness",
    "builds up the edge",
];

/// Operations with such a word at which no arc is of the work, and why.
const NONE_HERE: &[(&str, &str)] = &[
    ("hot-work", "the card itself: its bead on scrap burns after the watch is named in its first box"),
    ("verify-parts", "decided there, laid on by whoever tacks"),
];

const MACHINE: &str = "welding machine";

#[test]
fn what_strikes_an_arc_has_the_act_the_card_and_the_machine() {
    let library = library();
    let (mut arcs, mut spared) = (0, Vec::new());
    for operation in library.operations.values() {
        let row = &operation.row;
        let id = &*row.id.value.0;
        let texts = || row.step.iter().map(|s| s.text.value.0.to_lowercase());
        let word = STRIKES.iter().find(|word| texts().any(|text| text.contains(**word)));
        let machine = row.tools.iter().any(|tool| tool.value.0 == MACHINE);
        if !acts(row, &["arc", "tack"]) {
            assert!(!machine, "{id} brings a {MACHINE} and has no act for its arc");
            if let Some(word) = word {
                let why = NONE_HERE.iter().find(|(spared, _)| *spared == id);
                assert!(why.is_some(), "{id} strikes an arc (\"{word}\") and has no act for it");
                spared.push(id);
            }
            continue;
        }
        arcs += 1;
        assert!(machine, "{id} has an arc and no {MACHINE}");
        assert!(row.requires.iter().any(|s| s.value.0 == "unit.hot-work"), "{id} burns without the card");
        assert_eq!(row.role.word(), "welder", "{id}");
    }
    assert!(arcs > 10, "{arcs}");
    assert_eq!(spared.len(), NONE_HERE.len(), "what strikes none any more leaves the list: {spared:?}");
}

/// The mock-up of the knuckle joint burns as the weld does: after the card is opened and the
/// unit is made safe, before anything is marked or cut, and as an arc of the log.
#[test]
fn the_mock_up_is_an_arc_of_the_plan() {
    demo("brush-truck", |w| {
        let proof = w.get("prove-arc");
        assert!(proof.acts.iter().any(|a| a == "arc"), "{:?}", proof.acts);
        assert_eq!(w.before(&["hot-work", "protect"], &["prove-arc"]), 2);
        assert_eq!(w.before(&["prove-arc"], &["mark-knuckles", "cut-knuckles", "hot-work-end"]), 3);
        assert!(w.get("mark-knuckles").readings().all(|r| r.id != "mock-up"));
    });
    demo("crew-cab", |w| {
        assert!(w.get("balance-shaft").acts.iter().any(|a| a == "arc"));
        assert_eq!(w.before(&["balance-shaft"], &["hot-work-end"]), 1);
    });
}
