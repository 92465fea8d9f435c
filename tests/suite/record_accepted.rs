//! An acceptance stands while nothing touches what was accepted; a STOP once told stands
//! until a lead decides.

use tackwright::quantity::{Kind, Quantity};
use tackwright::record::entry::{Action, By, Correction, Entry};
use tackwright::record::frozen::{Frozen, Name, Point, RULES, Reading, Step};
use tackwright::record::people::Signer;
use tackwright::record::state::fold;
use tackwright::term::{Disposition, Level};

use super::record_gates::{at, code, entry, operation, read, tick};
use super::record_made_again::with_what_it_undoes;
use super::record_released::{
    again, as_role, ask, degrees, hold, issue, person, plan, safety, sign, signed, work,
};

/// A weld, its acceptance, an assembly behind it.
fn welded() -> Frozen {
    let mut weld = operation("weld", 10, &[]);
    weld.role = "welder".to_owned();
    weld.acts = vec!["arc".to_owned()];
    weld.joints = vec!["J1".to_owned()];
    weld.steps = vec![Step {
        number: 1,
        level: Some(Level::Control),
        readings: vec![degrees("heat")],
        ..Step::default()
    }];
    let mut accept = operation("accept", 20, &["weld"]);
    accept.role = "inspector".to_owned();
    accept.joints = vec!["J1".to_owned()];
    accept.steps = vec![Step {
        number: 1,
        level: Some(Level::Control),
        readings: vec![degrees("look")],
        ..Step::default()
    }];
    let acceptance = hold("after.1", "H1", &["inspector"], Some("acceptance"));
    accept.after.push(Point {
        worked_by: vec!["weld".to_owned()],
        concerns: vec!["weld".to_owned()],
        ..acceptance
    });
    let mut fit = operation("fit", 30, &["accept"]);
    fit.steps = safety();
    plan(vec![weld, accept, fit], RULES)
}

fn accepted() -> Vec<Entry> {
    vec![
        issue(),
        as_role(entry(2, "08:00", "WO", read("weld", "heat", 1.0)), "welder"),
        as_role(entry(3, "08:10", "WO", tick("weld", None)), "welder"),
        as_role(entry(4, "10:00", "IO", read("accept", "look", 1.0)), "inspector"),
        as_role(entry(5, "10:10", "IO", tick("accept", None)), "inspector"),
        as_role(entry(6, "10:20", "IO", signed("accept", "after.1", "H1")), "inspector"),
    ]
}

#[test]
fn an_accepted_joint_that_is_worked_on_is_accepted_anew() {
    let plan = welded();
    let mut log = accepted();
    work(&plan, &log, "11:00", "F1", "fit").unwrap();
    // What was done before the acceptance and is entered late takes nothing away.
    log.push(as_role(entry(7, "09:00", "WO", tick("weld", Some(1))), "welder"));
    work(&plan, &log, "11:00", "F1", "fit").unwrap();
    // Welded again: the acceptance is gone, and it takes what it rests on with it.
    let weld = as_role(entry(8, "12:00", "WO", read("weld", "heat", 1.2)), "welder");
    log.push(with_what_it_undoes(&plan, &log, weld));
    code(work(&plan, &log, "13:00", "F1", "fit"), "L110", "not signed anew: weld was worked on after it");
    work(&plan, &log, "13:00", "WO", "weld").unwrap();
    code(sign(&plan, &log, "IO", "inspector", "H1"), "L123", "reading 20.look");
    let open = ask(&plan, &log, "13:00", |s| s.open());
    assert!(open.iter().any(|o| o.contains("H1")), "{open:?}");
    log.push(as_role(entry(9, "14:00", "IO", read("accept", "look", 1.0)), "inspector"));
    log.push(as_role(entry(10, "14:05", "IO", tick("accept", None)), "inspector"));
    sign(&plan, &log, "IO", "inspector", "H1").unwrap();
    log.push(as_role(entry(11, "14:10", "IO", signed("accept", "after.1", "H1")), "inspector"));
    work(&plan, &log, "15:00", "F1", "fit").unwrap();
    assert_eq!(again(&plan, &log).against, Vec::new());
    // What stood in a box is not added to, changed or taken back under the signature,
    // whatever time is stated.
    for time in ["09:00", "10:20"] {
        let reread = entry(7, time, "WO", read("weld", "heat", 1.1));
        let mut ticked = entry(7, time, "WO", tick("weld", None));
        ticked.corrects = Some(Correction { entry: 3, reason: "wrong hour".to_owned() });
        let mut taken = entry(7, time, "WO", Action::Withdrawn {});
        taken.corrects = Some(Correction { entry: 2, reason: "wrong weld".to_owned() });
        for change in [reread, ticked, taken] {
            let mut log = accepted();
            log.push(as_role(change, "welder"));
            code(work(&plan, &log, "11:00", "F1", "fit"), "L110", "weld was entered anew after it (entry 7)");
        }
    }
    // A log in which nobody accepted it again does not hold.
    let mut forged = log[..8].to_vec();
    forged.push(entry(9, "13:00", "F1", tick("fit", Some(1))));
    let told = again(&plan, &forged).against;
    assert!(told.len() == 1 && told[0].1.contains("worked on after it"), "{told:?}");
}

/// Two sides read and held to each other, with a hold behind them.
fn sides(rules: u32) -> Frozen {
    let apart = Quantity::from_si(Kind::Angle, 0.01);
    let mut fit = operation("fit", 10, &[]);
    let readings = vec![Reading { apart: Some(apart), ..degrees("toe.left") }, degrees("toe.right")];
    fit.steps = vec![Step { number: 1, level: Some(Level::Control), readings, ..Step::default() }];
    fit.after.push(hold("after.1", "H1", &["lead"], None));
    plan(vec![fit], rules)
}

#[test]
fn a_stop_once_told_stands_until_a_lead_decides() {
    let by_decided = |n: u64| {
        let found = Action::Found {
            found: "F1".to_owned(),
            operation: at("fit"),
            photos: Vec::new(),
            reading: Some("toe.right".to_owned()),
            text: "sides apart".to_owned(),
        };
        let disposed = Action::Disposition {
            disposition: Disposition::Rework,
            found: "F1".to_owned(),
            reason: "set anew".to_owned(),
            words_stand: false,
        };
        [entry(n, "08:30", "F1", found), as_role(entry(n + 1, "08:40", "LO", disposed), "lead")]
    };
    let told = vec![
        issue(),
        entry(2, "08:00", "F1", read("fit", "toe.left", 1.0)),
        entry(3, "08:10", "F1", read("fit", "toe.right", 9.0)),
    ];
    let again_right = |n: u64| entry(n, "09:00", "F1", read("fit", "toe.right", 1.1));
    let initials = |n: u64| entry(n, "09:10", "F1", tick("fit", None));
    // Read better by whoever read it: both stand, and it still says no.
    let wiped: Vec<Entry> = [&told[..], &[again_right(4), initials(5)]].concat();
    code(sign(&sides(RULES), &wiped, "LO", "lead", "H1"), "L116", "read again since, and no lead decided");
    assert!(ask(&sides(RULES), &wiped, "10:00", |s| s.open()).iter().any(|o| o.contains("not decided")));
    let mut forged = wiped.clone();
    forged.push(as_role(entry(6, "09:30", "LO", signed("fit", "after.1", "H1")), "lead"));
    let against = again(&sides(RULES), &forged).against;
    assert!(against.iter().any(|(n, why)| *n == 6 && why.contains("toe.left")), "{against:?}");
    // Nor is it corrected away by the same person, nor under another id of theirs.
    let correction = Correction { entry: 3, reason: "misread it".to_owned() };
    let slip = |who: By| ask(&sides(RULES), &told, "09:00", |s| s.second_person(&correction, &who));
    let who =
        |id: &str, name: &str| By { id: id.to_owned(), name: name.to_owned(), role: "fitter".to_owned() };
    code(slip(who("F1", "F1")), "L142", "toe.right");
    code(slip(who("F2", "f1 ")), "L142", "toe.right");
    slip(who("F2", "Fitter Two")).unwrap();
    // A lead decided while it was broken: what is read afterwards counts.
    let [found, disposed] = by_decided(4);
    let decided: Vec<Entry> = [&told[..], &[found, disposed, again_right(6), initials(7)]].concat();
    sign(&sides(RULES), &decided, "LO", "lead", "H1").unwrap();
    // Or decides about it later.
    let [found, disposed] = by_decided(6);
    let later: Vec<Entry> = [&wiped[..], &[found, disposed]].concat();
    sign(&sides(RULES), &later, "LO", "lead", "H1").unwrap();
    // A plan of before is judged as it was then.
    sign(&sides(0), &wiped, "LO", "lead", "H1").unwrap();
}

#[test]
fn what_reads_the_same_is_no_contradiction() {
    let mut plan = sides(RULES);
    let other = Name { operation: "fit".to_owned(), reading: "toe.left".to_owned() };
    plan.operations[0].steps[0].readings[0].apart = None;
    plan.operations[0].steps[0].readings[1].not_below = vec![other];
    let stops = |right: f64| {
        let left = entry(2, "08:00", "F1", read("fit", "toe.left", 1.02));
        let log = [issue(), left, entry(3, "08:10", "F1", read("fit", "toe.right", right))];
        fold(&log).stops(&plan, &plan.operations[0])
    };
    assert_eq!(stops(1.0), Vec::new());
    assert_eq!(stops(0.8).len(), 1);
}

#[test]
fn who_welded_does_not_read_what_the_weld_is_accepted_by() {
    let plan = welded();
    let log = &accepted()[..3];
    let reads = |who: &str, name: &str| {
        ask(&plan, log, "10:00", |s| {
            let person = Signer { name: name.to_owned(), ..self::person(who, &["inspector", "welder"]) };
            s.work(&person, s.operation("accept")?, true).map(drop)
        })
    };
    code(reads("WO", "WO"), "L158", "WO welded at operation 10");
    // One name is one person, whatever the id and the letters.
    code(reads("I7", "wo\u{200B}"), "L158", "welded at operation 10");
    reads("IO", "IO").unwrap();
    let mut forged = log.to_vec();
    forged.push(as_role(entry(4, "10:00", "WO", read("accept", "look", 1.0)), "inspector"));
    let against = again(&plan, &forged).against;
    assert!(against.iter().any(|(n, why)| *n == 4 && why.contains("welded at")), "{against:?}");
}

#[test]
fn rework_and_repair_take_an_acceptance_away_and_use_as_is_does_not() {
    let plan = welded();
    for (what, gone) in [("use as is", false), ("rework", true), ("repair", true)] {
        let mut log = accepted();
        let found = Action::Found {
            found: "F1".to_owned(),
            operation: at("weld"),
            photos: Vec::new(),
            reading: None,
            text: "pore at the toe".to_owned(),
        };
        log.push(as_role(entry(7, "11:00", "IO", found), "inspector"));
        let decided = Action::Disposition {
            disposition: Disposition::of(what).unwrap(),
            found: "F1".to_owned(),
            reason: "looked at by the lead".to_owned(),
            words_stand: false,
        };
        log.push(as_role(entry(8, "11:10", "LO", decided), "lead"));
        let said = work(&plan, &log, "12:00", "F1", "fit");
        assert_eq!(said.is_err(), gone, "{what}: {said:?}");
        if gone {
            code(said, "L110", &format!("F1 was decided: {what}"));
        }
    }
}
