//! What stands beside a complete yes: what was let be, and what came after the customer signed.

use tackwright::record::Entry;
use tackwright::record::entry::{Action, Correction, Issue, WITHOUT_BOOK};
use tackwright::record::frozen::{Frozen, Point, PointKind};
use tackwright::record::let_be::let_be;
use tackwright::record::people::Register;
use tackwright::record::received::{Received, received};
use tackwright::record::rules::Scene;
use tackwright::record::state::fold;

use super::record_fallen::holds;
use super::record_gates::{at, entry, operation, read, tick};
use super::record_held::{bad, decided, found, plan, welded};

/// Where the unit is received; safety hangs on the fit-up and the weld.
fn handed_over() -> Frozen {
    let mut plan = holds();
    let mut last = operation("hand", 60, &["accept"]);
    last.lets_go = true;
    last.after = vec![Point {
        slot: "after.1".to_owned(),
        number: "R3".to_owned(),
        kind: PointKind::Review,
        roles: vec!["customer".to_owned()],
        receives: vec!["fit".to_owned(), "weld".to_owned()],
        ..Point::default()
    }];
    plan.operations.push(last);
    plan
}

fn signed(n: u64, time: &str) -> Entry {
    let what = Action::Sign {
        identified: "pin".to_owned(),
        meaning: "received and understood".to_owned(),
        operation: at("hand"),
        point: "R3".to_owned(),
        rests_on: Vec::new(),
        slot: "after.1".to_owned(),
    };
    let mut one = entry(n, time, "CR", what);
    one.by.role = "customer".to_owned();
    one
}

/// Welded, handed over and received.
fn gone() -> Vec<Entry> {
    let mut log = welded();
    log.push(entry(4, "10:00", "LO", tick("hand", None)));
    log.push(signed(5, "10:30"));
    log
}

fn then(mut log: Vec<Entry>, more: impl IntoIterator<Item = Entry>) -> Vec<Entry> {
    log.extend(more);
    log
}

/// Who has to sign that it was received, and what came after somebody did.
fn after(plan: &Frozen, log: &[Entry]) -> (Vec<String>, Vec<String>) {
    let state = fold(log);
    let hand = plan.operations.last().unwrap();
    let open = state.unsigned(hand, &hand.after[0]).into_iter().map(str::to_owned).collect();
    (open, received(plan, &state, log).iter().map(Received::words).collect())
}

fn closed(n: u64, time: &str) -> Entry {
    entry(n, time, "LO", Action::Closed { follow_ups: Vec::new(), identified: "pin".to_owned() })
}

#[test]
fn a_unit_is_received_anew_once_something_was_found_that_safety_hangs_on() {
    let plan = handed_over();
    assert_eq!(after(&plan, &gone()), (Vec::new(), Vec::new()));
    let told = "R3 (operation 60) was signed by CR (entry 5) before F1 was found at operation";
    for (key, anew) in [("fit", true), ("weld", true), ("beside", false)] {
        let log = then(gone(), [found(6, "11:00", key, None)]);
        let (open, words) = after(&plan, &log);
        assert_eq!(open, if anew { vec!["customer"] } else { Vec::new() }, "{key}");
        assert!(words.len() == 1 && words[0].starts_with(told), "{words:?}");
        // What a lead decides does not tell the customer; the signature given anew does.
        let log = then(log, [decided(7, "11:10", "use as is")]);
        assert_eq!(after(&plan, &log).0.is_empty(), !anew, "{key}");
        let (state, register) = (fold(&log), Register::default());
        let open = Scene::looking(&plan, &state, &register).open().join("; ");
        assert_eq!(open.contains("R3 (review customer)"), anew, "{key}: {open}");
        assert_eq!(after(&plan, &then(log, [signed(8, "11:20")])), (Vec::new(), Vec::new()), "{key}");
    }
    // After the traveler was closed nobody signs it any more: it is told.
    let log = then(gone(), [closed(6, "10:40"), found(7, "11:00", "fit", None)]);
    let (open, words) = after(&plan, &log);
    assert!(open.is_empty() && words.len() == 1, "{open:?} {words:?}");
    // A plan from before it was asked for stands as it was signed, and says nothing.
    let mut old = plan.clone();
    old.operations.last_mut().unwrap().after[0].receives.clear();
    assert_eq!(after(&old, &then(gone(), [found(6, "11:00", "fit", None)])), (Vec::new(), Vec::new()));
}

#[test]
fn what_else_came_after_it_was_received_is_told() {
    let plan = handed_over();
    let told = |more: Vec<Entry>| after(&plan, &then(gone(), more)).1.join("; ");
    assert!(told(vec![bad(6, "11:00", "beside", "length")]).contains("before 40.length was read"));
    // Once filed it is told with what was filed.
    let filed = told(vec![bad(6, "11:00", "beside", "length"), found(7, "11:05", "beside", Some("length"))]);
    assert!(filed.ends_with("before F1 was found at operation 0"), "{filed}");
    let revised = Action::Revised {
        from: "A".to_owned(),
        issue: Issue { number: "T-1".to_owned(), revision: "B".to_owned(), ..Issue::default() },
        kept: plan.operations.iter().map(|o| o.key.clone()).collect(),
        reason: "longer shackle".to_owned(),
        removed: Vec::new(),
        reopened: Vec::new(),
    };
    assert!(told(vec![entry(6, "11:00", "LO", revised)]).contains("before rev B was issued"));
    let mut slip = entry(6, "11:00", "F1", read("weld", "interpass", 6.0));
    slip.corrects = Some(Correction { entry: 3, reason: "digits swapped".to_owned() });
    assert!(told(vec![slip]).contains("before 1 entry made before it was corrected or taken back"));
    // What is read for the first time, or put right by itself, says nothing against it.
    assert_eq!(told(vec![entry(6, "11:00", "F1", read("beside", "length", 5.0))]), "");
}

#[test]
fn what_stands_by_a_decision_or_a_word_is_counted() {
    let plan = plan();
    let of = |log: &[Entry]| let_be(&plan, &fold(log), log);
    assert_eq!(of(&welded()), Vec::<String>::new());
    let filed = then(welded(), [found(4, "09:30", "weld", None)]);
    assert_eq!(of(&filed), Vec::<String>::new(), "what is open is open, not let be");
    for (what, count) in [("use as is", 1), ("rework", 0), ("repair", 0), ("reject", 0)] {
        let log = then(filed.clone(), [decided(5, "09:40", what)]);
        assert_eq!(of(&log).len(), count, "{what}: {:?}", of(&log));
    }
    let mut nameless = decided(5, "09:40", "use as is");
    nameless.identified = Some("not by PIN: the book has none".to_owned());
    let log = then(filed, [nameless]);
    assert_eq!(of(&log).len(), 2, "{:?}", of(&log));
    assert!(of(&log)[1].contains("1 signature or decision of LO (LO) by an id alone"), "{:?}", of(&log));
    let mut bookless = entry(4, "09:30", "F1", read("beside", "length", 5.0));
    bookless.book = Some(WITHOUT_BOOK.to_owned());
    assert_eq!(of(&then(welded(), [bookless])), ["1 entry was made without the shop book"]);
    let waived = Action::WitnessWaived {
        notice: "called 09:10, nobody by 09:40".to_owned(),
        operation: at("accept"),
        point: "H1".to_owned(),
        slot: "after.1".to_owned(),
    };
    let log = then(welded(), [entry(4, "09:45", "LO", waived)]);
    assert!(of(&log)[0].starts_with("H1 at operation 30: passed with nobody there"), "{:?}", of(&log));
}
