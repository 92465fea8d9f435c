//! Work after hand-over: what is found or read badly there is settled before anybody initials it.

use tackwright::record::entry::{Action, Entry};
use tackwright::record::frozen::{Frozen, RULES};

use super::record_gates::{code, entry, issued, read};
use super::record_held::{ask, bad, decided, found, plan};

/// The fit is looked at again after hand-over.
fn later(rules: u32) -> Frozen {
    let mut plan = Frozen { rules, ..plan() };
    plan.operations.retain(|o| o.key == "fit");
    plan.operations[0].deferred = true;
    plan.operations[0].verb = "torque".to_owned();
    plan
}

fn closed() -> Vec<Entry> {
    let what = Action::Closed { follow_ups: Vec::new(), identified: "pin".to_owned() };
    vec![
        issued("LO"),
        entry(2, "08:00", "LO", what),
        entry(3, "09:00", "F1", read("fit", "caster.left", 5.0)),
    ]
}

#[test]
fn initials_after_hand_over_wait_for_what_is_open_there() {
    let plan = later(RULES);
    let initials = |plan: &Frozen, log: &[Entry], time: &str| {
        ask(plan, log, &format!("02T{time}"), |s| s.initials_wait(s.operation("fit")?))
    };
    initials(&plan, &closed(), "12:00").unwrap();
    let with = |more: &[Entry]| [&closed()[..], more].concat();
    // Found, without a reading or at one; read badly.
    let open = with(&[found(4, "10:00", "fit", None)]);
    code(initials(&plan, &open, "12:00"), "L122", "so the initials of 10 must wait");
    code(initials(&plan, &open, "12:00"), "L122", "tackwright dispose T-1 F1");
    let low = with(&[bad(4, "10:00", "fit", "caster.left")]);
    code(initials(&plan, &low, "12:00"), "L124", "reading 10.caster.left is not conform");
    // What was initialled before it was found says nothing of it; rules of before did not ask.
    initials(&plan, &open, "09:30").unwrap();
    initials(&later(10), &open, "12:00").unwrap();
    // Let be as it is; to be put right or replaced, and then read right.
    let decide = |what: &str| {
        let at = Some("caster.left");
        with(&[
            bad(4, "10:00", "fit", "caster.left"),
            found(5, "10:05", "fit", at),
            decided(6, "10:10", what),
        ])
    };
    initials(&plan, &decide("use as is"), "12:00").unwrap();
    for what in ["rework", "repair", "reject"] {
        let mut log = decide(what);
        code(initials(&plan, &log, "12:00"), "L221", "nothing read since shows that it was put right");
        code(initials(&plan, &log, "12:00"), "L221", "tackwright measure T-1 10.caster.left");
        log.push(entry(7, "11:00", "F1", read("fit", "caster.left", 5.0)));
        initials(&plan, &log, "12:00").unwrap_or_else(|p| panic!("{what}: {p:?}"));
    }
}
