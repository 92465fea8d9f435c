//! What may be entered, and what is refused with which way out.

use chrono::{DateTime, NaiveDate};
use tackwright::diagnostic::Diagnostic;
use tackwright::quantity::{Angle, Dimensioned, Kind, Number, Quantity, Time, unit};
use tackwright::record::change::compare;
use tackwright::record::entry::{Action, At, By, Correction, Entry, Measured};
use tackwright::record::frozen::{Frozen, Limits, LotAsk, Operation, RULES, Reading, Step};
use tackwright::record::people::{Instrument, Lot, Qualified, Register, Signer, Spread};
use tackwright::record::rules::{self, Scene};
use tackwright::record::state::{State, fold};
use tackwright::term::Disposition;

use super::record_released::hold;

fn operation(key: &str, number: u32, role: &str) -> Operation {
    Operation {
        key: key.to_owned(),
        id: key.to_owned(),
        number,
        title: key.to_owned(),
        role: role.to_owned(),
        steps: vec![Step { number: 1, text: format!("do {key}"), ..Step::default() }],
        ..Operation::default()
    }
}

/// Fit up (hold after, two persons), weld, accept (hold after), re-torque later.
fn plan() -> Frozen {
    let mut fit = operation("fit", 10, "fitter");
    fit.after.push(hold("after.1", "H1", &["lead", "inspector"], Some("fit-up")));
    fit.steps[0].readings.push(Reading {
        id: "caster".to_owned(),
        limits: Some(Limits {
            kind: Kind::Angle,
            target: None,
            lower: Some(Quantity::from(Angle::of(5.5, unit::DEG))),
            upper: Some(Quantity::from(Angle::of(6.5, unit::DEG))),
        }),
        ..Reading::default()
    });
    let mut weld = operation("weld", 20, "welder");
    weld.acts = vec!["arc".to_owned()];
    weld.joints = vec!["J1".to_owned()];
    weld.wps = vec!["WPS-1".to_owned()];
    weld.builds_on = vec!["fit".to_owned()];
    let mut accept = operation("accept", 30, "inspector");
    accept.joints = vec!["J1".to_owned()];
    accept.builds_on = vec!["weld".to_owned()];
    accept.after.push(hold("after.1", "H2", &["inspector"], Some("acceptance")));
    let mut later = operation("retorque", 40, "fitter");
    later.deferred = true;
    Frozen {
        number: "T-1".to_owned(),
        revision: "A".to_owned(),
        operations: vec![fit, weld, accept, later],
        ..Frozen::default()
    }
}

fn register() -> Register {
    let person = |id: &str, roles: &[&str]| Signer {
        id: id.to_owned(),
        name: format!("Person {id}"),
        roles: roles.iter().map(|r| (*r).to_owned()).collect(),
        ..Signer::default()
    };
    let day = |d| NaiveDate::from_ymd_opt(2026, 3, d);
    let mut welder = person("WO", &["welder", "fitter", "inspector"]);
    welder.qualified = vec![Qualified {
        what: "J1".to_owned(),
        until: day(10),
        basis: "Q-1 until 2026-03-10".to_owned(),
        why_not: None,
    }];
    let mut other = person("WT", &["welder"]);
    other.qualified = vec![Qualified {
        what: "J1".to_owned(),
        why_not: Some("Q-2: overhead is not covered".to_owned()),
        ..Qualified::default()
    }];
    let mut gone = person("G1", &["fitter"]);
    gone.left = day(5);
    let mut expert = person("IT", &["inspector"]);
    expert.qualified =
        vec![Qualified { what: "inspector".to_owned(), until: day(3), ..Qualified::default() }];
    let tool = |id: &str, kind, until| Instrument {
        id: id.to_owned(),
        title: "finder".to_owned(),
        kind: Some(kind),
        until: day(until),
        least: Some(Quantity::from(Angle::of(-10.0, unit::DEG))),
        most: Some(Quantity::from(Angle::of(10.0, unit::DEG))),
        spread: Some(Spread { fixed: 0.001, share: 0.0 }),
        ..Instrument::default()
    };
    let mut dropped = tool("AF-4", Kind::Angle, 20);
    dropped.out_of_service = Some("dropped".to_owned());
    let lot = |number: &str, designation: &str, until| Lot {
        id: format!("L-{number}"),
        number: number.to_owned(),
        kind: "filler".to_owned(),
        designation: designation.to_owned(),
        until,
    };
    Register {
        frozen: None,
        issued: Vec::new(),
        book: "shop.toml".to_owned(),
        welding: true,
        lots: Some(vec![lot("4471", "ER70S-6", None), lot("9", "ER70S-6", day(4)), lot("7", "E71T-1", None)]),
        people: vec![
            other,
            gone,
            expert,
            person("LO", &["lead", "inspector"]),
            welder,
            person("IO", &["inspector", "lead"]),
            person("F1", &["fitter"]),
        ],
        instruments: Some(vec![
            tool("AF-2", Kind::Angle, 10),
            tool("AF-9", Kind::Angle, 1),
            tool("TP-1", Kind::Length, 20),
            Instrument { title: "stopwatch".to_owned(), ..tool("SW-1", Kind::Time, 20) },
            dropped,
        ]),
    }
}

fn at(key: &str, number: u32) -> At {
    At { key: key.to_owned(), number }
}

/// Entries as they would stand in a log.
fn log(whats: &[(&str, &str, Action, Option<u64>)]) -> Vec<Entry> {
    whats
        .iter()
        .zip(1_u64..)
        .map(|((id, role, what, corrects), n)| Entry {
            at: "2026-03-02T08:00:00-06:00".to_owned(),
            book: None,
            by: By { id: (*id).to_owned(), name: format!("Person {id}"), role: (*role).to_owned() },
            clock: None,
            identified: None,
            corrects: corrects.map(|entry| Correction { entry, reason: "slip".to_owned() }),
            n,
            prev: String::new(),
            undoes: None,
            taken_in: None,
            what: what.clone(),
        })
        .collect()
}

fn tick(key: &str, number: u32) -> Action {
    Action::Tick { operation: at(key, number), rests_on: Vec::new(), step: Some(1) }
}

fn caster(verdict: &str) -> Action {
    Action::Measure {
        reading: Box::new(Measured {
            rests_on: Vec::new(),
            calibrated: None,
            calibrated_until: None,
            guard: None,
            kind: Some("angle".to_owned()),
            lower: None,
            operation: at("fit", 10),
            reading: "caster".to_owned(),
            target: None,
            text: "6.0 deg".to_owned(),
            tool: None,
            uncertainty: None,
            upper: None,
            value: None,
            verdict: tackwright::term::Judged::of(verdict).unwrap(),
        }),
    }
}

fn sign(key: &str, number: u32, point: &str) -> Action {
    Action::Sign {
        identified: "not by PIN: the book has none".to_owned(),
        meaning: "released".to_owned(),
        operation: at(key, number),
        point: point.to_owned(),
        rests_on: Vec::new(),
        slot: "after.1".to_owned(),
    }
}

/// Runs a question on a plan, a log and a day.
fn ask<T>(entries: &[Entry], day: u32, question: impl FnOnce(&Scene<'_>, &State) -> T) -> T {
    let (plan, register) = (plan(), register());
    let state = fold(entries);
    let day = NaiveDate::from_ymd_opt(2026, 3, day).unwrap();
    question(&Scene { plan: &plan, state: &state, entries, register: &register, day, at: None }, &state)
}

fn may_sign(entries: &[Entry], id: &str, role: &str, name: &str) -> Result<(), Diagnostic> {
    ask(entries, 2, |scene, _| {
        let operation = scene.operation(name).unwrap();
        scene.sign(scene.person(id).unwrap(), role, operation, &operation.after[0]).map(drop)
    })
}

fn may_work(entries: &[Entry], id: &str, name: &str, day: u32) -> Result<String, Diagnostic> {
    ask(entries, day, |scene, _| scene.work(scene.person(id)?, scene.operation(name)?, false).map(|r| r.role))
}

fn refused<T: std::fmt::Debug>(result: Result<T, Diagnostic>, code: &str, rule: &str) {
    let problem = result.unwrap_err();
    assert_eq!(problem.code, code, "{problem:?}");
    assert!(problem.rule.contains(rule) || problem.message.contains(rule), "{problem:?}");
    assert!(!problem.help.is_empty(), "a refusal names the way out: {problem:?}");
}

fn fitted() -> Vec<(&'static str, &'static str, Action, Option<u64>)> {
    vec![("F1", "fitter", tick("fit", 10), None), ("F1", "fitter", caster("conform"), None)]
}

fn released() -> Vec<(&'static str, &'static str, Action, Option<u64>)> {
    let mut all = fitted();
    all.push(("LO", "lead", sign("fit", 10, "H1"), None));
    all.push(("IO", "inspector", sign("fit", 10, "H1"), None));
    all
}

#[test]
fn nothing_goes_past_an_open_hold() {
    refused(may_work(&log(&fitted()), "WO", "weld", 2), "L110", "order");
    refused(may_sign(&log(&fitted()), "IO", "inspector", "accept"), "L110", "order");
    assert_eq!(may_work(&log(&released()), "WO", "weld", 2).unwrap(), "welder");
}

#[test]
fn a_hold_after_work_needs_the_work() {
    refused(may_sign(&[], "LO", "lead", "fit"), "L123", "work first");
    assert!(may_sign(&log(&fitted()), "LO", "lead", "fit").is_ok());
}

#[test]
fn two_persons_means_two() {
    let mut one = fitted();
    one.push(("LO", "lead", sign("fit", 10, "H1"), None));
    refused(may_sign(&log(&one), "LO", "inspector", "fit"), "L121", "two persons");
    refused(may_sign(&log(&one), "IO", "lead", "fit"), "L148", "role");
    assert!(may_sign(&log(&one), "IO", "inspector", "fit").is_ok());
    refused(may_sign(&log(&released()), "IO", "inspector", "fit"), "L120", "once");
}

#[test]
fn roles_and_qualifications_are_looked_up() {
    refused(may_sign(&log(&fitted()), "F1", "lead", "fit"), "L104", "role");
    refused(may_work(&log(&released()), "F1", "weld", 2), "L104", "role");
    refused(may_work(&log(&released()), "WO", "weld", 11), "L149", "qualification");
    refused(may_work(&log(&released()), "WT", "weld", 2), "L149", "overhead is not covered");
    let released = log(&released());
    let right = ask(&released, 10, |scene, _| {
        scene.work(scene.person("WO").unwrap(), &scene.plan.operations[1], false).unwrap()
    });
    assert_eq!((right.role.as_str(), right.rests_on), ("welder", vec!["Q-1 until 2026-03-10".to_owned()]));
    assert!(may_work(&[], "G1", "fit", 5).is_ok());
    refused(may_work(&[], "G1", "fit", 6), "L106", "left the shop");
    refused(may_sign(&released, "IT", "inspector", "accept"), "L123", "work first");
    let late = ask(&released, 4, |scene, _| {
        let accept = &scene.plan.operations[2];
        scene.sign(scene.person("IT").unwrap(), "inspector", accept, &accept.after[0]).map(drop)
    });
    refused(late, "L105", "ended on 2026-03-03");
    refused(may_work(&[], "X9", "fit", 2), "L102", "known people");
    refused(may_work(&[], "F1", "999", 2), "L103", "known operations");
}

#[test]
fn the_welder_does_not_accept_the_own_weld() {
    let mut welded = released();
    welded.push(("WO", "welder", tick("weld", 20), None));
    welded.push(("IO", "inspector", tick("accept", 30), None));
    refused(may_sign(&log(&welded), "WO", "inspector", "accept"), "L125", "independence");
    assert!(may_sign(&log(&welded), "IO", "inspector", "accept").is_ok());
}

#[test]
fn a_reading_that_fails_keeps_holds_shut_until_a_lead_decides() {
    for verdict in ["not conform", "not proven"] {
        let mut bad = vec![("F1", "fitter", tick("fit", 10), None), ("F1", "fitter", caster(verdict), None)];
        refused(may_sign(&log(&bad), "LO", "lead", "fit"), "L124", "does not conform");
        let found = Action::Found {
            found: "F1".to_owned(),
            operation: at("fit", 10),
            photos: Vec::new(),
            reading: Some("caster".to_owned()),
            text: "caster off".to_owned(),
        };
        bad.push(("F1", "fitter", found, None));
        refused(may_sign(&log(&bad), "LO", "lead", "fit"), "L122", "found condition");
        let decided = Action::Disposition {
            disposition: Disposition::UseAsIs,
            found: "F1".to_owned(),
            reason: "inside the maker's limits".to_owned(),
            words_stand: false,
        };
        bad.push(("LO", "lead", decided, None));
        assert!(may_sign(&log(&bad), "LO", "lead", "fit").is_ok());
    }
}

#[test]
fn corrections_name_the_same_thing_and_never_undermine_a_signature() {
    let correct = |entries: &[Entry], n: u64, what: &Action| {
        let correction = Correction { entry: n, reason: "slip".to_owned() };
        ask(entries, 2, |scene, _| scene.correction(&correction, what))
    };
    let entries = log(&fitted());
    assert!(correct(&entries, 2, &caster("conform")).is_ok());
    refused(correct(&entries, 1, &caster("conform")), "L140", "corrections");
    refused(correct(&entries, 9, &caster("conform")), "L140", "corrections");
    refused(correct(&log(&released()), 2, &caster("conform")), "L140", "corrections");
    let mut again = fitted();
    again.push(("F1", "fitter", caster("not conform"), Some(2)));
    refused(correct(&log(&again), 2, &caster("conform")), "L140", "corrections");
    ask(&log(&again), 2, |_, state| {
        assert_eq!(state.reading("fit", "caster").unwrap().0.verdict.word(), "not conform");
        assert!(state.voided.contains(&2));
    });
    let mut back = released();
    back.push(("LO", "lead", Action::Withdrawn {}, Some(4)));
    ask(&log(&back), 2, |scene, state| {
        let fit = scene.operation("fit").unwrap();
        assert_eq!(state.unsigned(fit, &fit.after[0]), vec!["inspector"]);
    });
}

#[test]
fn instruments_are_known_and_in_calibration() {
    let use_it = |tool: Option<&str>, day| {
        ask(&[], day, |scene, _| {
            scene.instrument(tool, Some("angle finder"), Some(Kind::Angle.into()), None).map(drop)
        })
    };
    assert!(use_it(Some("AF-2"), 10).is_ok());
    refused(use_it(Some("AF-2"), 11), "L132", "calibration");
    refused(use_it(Some("AF-9"), 2), "L132", "calibration");
    refused(use_it(Some("AF-7"), 2), "L131", "known instruments");
    refused(use_it(None, 2), "L130", "names its instrument");
    refused(use_it(Some("TP-1"), 2), "L133", "right kind");
    refused(use_it(Some("AF-4"), 2), "L134", "fit for use");
    // A bare number has no kind of its own: it comes from what the paper names. Hours are
    // counted on any clock, which needs no name.
    let counted = |tool: Option<&str>, needed: &'static str| {
        ask(&[], 2, move |scene, _| {
            scene.instrument(tool, Some(needed), Some(Kind::Number.into()), None).map(drop)
        })
    };
    refused(counted(Some("AF-2"), "clock"), "L133", "right kind");
    refused(counted(Some("TP-1"), "clock"), "L133", "right kind");
    assert!(counted(Some("SW-1"), "clock").is_ok());
    assert!(counted(None, "clock").is_ok());
    refused(counted(Some("TP-1"), "balancing machine"), "L133", "right kind");
    assert!(counted(Some("AF-2"), "finder or level").is_ok());
    // A stopwatch that ends at 10 h has not counted 25.
    let hours = |n: f64| {
        ask(&[], 2, |scene, _| {
            let watch = Instrument {
                most: Some(Quantity::from(Time::of(10.0, unit::HOUR))),
                ..scene.register.instrument("SW-1").unwrap().clone()
            };
            scene.in_range(
                &watch,
                (Some("clock"), None),
                Quantity::from(Number::of(n, unit::ONE)),
                &n.to_string(),
            )
        })
    };
    assert!(hours(9.0).is_ok());
    refused(hours(25.0), "L136", "outside the range of SW-1");
    let why = ask(&[], 19, |scene, _| scene.takes_none(Some("finder"), Kind::Angle.into(), None));
    assert_eq!(why, "out of calibration on 2026-03-19: AF-2, AF-9");
    let reads = |deg: f64| {
        ask(&[], 2, |scene, _| {
            let tool = scene.register.instrument("AF-2").unwrap();
            scene.in_range(
                tool,
                (None, None),
                Quantity::from(Angle::of(deg, unit::DEG)),
                &format!("{deg} deg"),
            )
        })
    };
    assert!(reads(10.0).is_ok() && reads(-10.0).is_ok());
    refused(reads(10.1), "L136", "in their range");
    refused(reads(-10.1), "L136", "in their range");
}

#[test]
fn a_traceable_joint_takes_lots_of_the_book_only() {
    let ask_for = LotAsk { kind: "filler".to_owned(), designations: vec!["ER70S-6".to_owned()] };
    let name = |text: &str, day| ask(&[], day, |scene, _| scene.lots(&ask_for, text));
    assert!(name("4471", 20).is_ok() && name("l-4471; 9", 4).is_ok());
    refused(name("4471, 9", 5), "L137", "could be used until");
    refused(name("7", 2), "L137", "E71T-1, not ER70S-6");
    refused(name("0815", 2), "L137", "has no filler lot");
}

#[test]
fn a_share_of_the_value_adds_to_the_instruments_own_part() {
    let spread = Spread { fixed: 3.0, share: 0.04 };
    assert!((spread.at(100.0) - 5.0).abs() < 1e-12, "JCGM 100, 5.1.2: root of the sum of squares");
}

#[test]
fn follow_ups_wait_for_hand_over_and_nothing_else_follows_it() {
    refused(may_work(&log(&released()), "F1", "retorque", 2), "L112", "follow-ups");
    let mut closed = released();
    closed.push((
        "LO",
        "lead",
        Action::Closed { follow_ups: Vec::new(), identified: "not by PIN: the book has none".to_owned() },
        None,
    ));
    assert!(may_work(&log(&closed), "F1", "retorque", 2).is_ok());
    refused(may_work(&log(&closed), "WO", "weld", 2), "L111", "closed");
}

#[test]
fn what_is_open_is_listed() {
    let open = ask(&log(&fitted()), 2, |scene, _| scene.open());
    assert_eq!(open.len(), 3, "{open:?}");
    assert!(open[0].contains("H1") && open[1].contains("step 20.1") && open[2].contains("H2"), "{open:?}");
}

#[test]
fn no_entry_from_the_future() {
    let time = |t: &str| DateTime::parse_from_rfc3339(t).unwrap();
    let now = time("2026-03-02T08:00:00-06:00");
    assert!(rules::time(&time("2026-03-02T15:04:00+01:00"), &now).is_ok());
    refused(rules::time(&time("2026-03-02T15:05:00+01:00"), &now), "L101", "future");
}

#[test]
fn a_revision_reopens_what_changed_and_what_builds_on_it() {
    let mut old = Frozen { rules: RULES, ..plan() };
    let mut new = plan();
    new.revision = "B".to_owned();
    // Numbers on paper may move without reopening anything.
    new.operations.insert(0, operation("clean", 5, "fitter"));
    let change = compare(&old, &new);
    assert_eq!((change.kept.len(), change.added, change.reopened.len()), (4, vec!["clean".to_owned()], 0));
    // One more box of a shift that may not come starts nothing again.
    for step in old.operations.iter_mut().chain(&mut new.operations).flat_map(|o| &mut o.steps) {
        step.level = Some(tackwright::term::Level::Control);
    }
    let blank = Reading {
        id: "watch.shift-2".to_owned(),
        level: Some(tackwright::term::Level::Practice),
        ..Reading::default()
    };
    new.operations[2].steps[0].readings.push(blank);
    assert_eq!(compare(&old, &new).reopened.len(), 0);
    new.operations[2].steps[0].text = "weld it otherwise".to_owned();
    new.operations.remove(4);
    let change = compare(&old, &new);
    let reopened: Vec<&str> = change.reopened.iter().map(|r| r.key.as_str()).collect();
    assert_eq!(reopened, ["weld", "accept"]);
    assert!(change.reopened[0].why.contains("1 step changed"), "{:?}", change.reopened);
    assert!(change.reopened[1].why.contains("builds on"), "{:?}", change.reopened);
    assert_eq!(change.kept, ["fit"]);
    assert_eq!(change.removed, ["retorque"]);
}

#[test]
fn reject_means_reject() {
    let issue = |revision: &str| tackwright::record::entry::Issue {
        content: String::new(),
        made_by: None,
        number: "T-1".to_owned(),
        plan: String::new(),
        revision: revision.to_owned(),
        ..Default::default()
    };
    let found = Action::Found {
        found: "F1".to_owned(),
        operation: at("fit", 10),
        photos: Vec::new(),
        reading: None,
        text: "housing cracked".to_owned(),
    };
    let decided = |what: &str| Action::Disposition {
        disposition: Disposition::of(what).unwrap(),
        found: "F1".to_owned(),
        reason: "not to be saved".to_owned(),
        words_stand: false,
    };
    let with = |what: &str| {
        let mut all = fitted();
        all.push(("F1", "fitter", found.clone(), None));
        all.push(("LO", "lead", decided(what), None));
        all
    };
    assert!(may_sign(&log(&with("rework")), "LO", "lead", "fit").is_ok());
    // Rejected: the hold stays shut, and closing tells of it.
    let mut all = with("reject");
    refused(may_sign(&log(&all), "LO", "lead", "fit"), "L129", "reject means reject");
    ask(&log(&all), 2, |scene, _| assert!(scene.open().iter().any(|o| o.contains("rejected"))));
    // A revision that does not touch the place replaces nothing; one that starts it
    // again does.
    let revised = |keys: &[&str]| Action::Revised {
        from: "A".to_owned(),
        issue: issue("B"),
        kept: Vec::new(),
        reason: "new housing".to_owned(),
        removed: Vec::new(),
        reopened: keys
            .iter()
            .map(|key| tackwright::record::entry::Reopened { key: (*key).to_owned(), why: "new".to_owned() })
            .collect(),
    };
    let mut other = all.clone();
    other.push(("LO", "lead", revised(&["weld"]), None));
    refused(may_sign(&log(&other), "LO", "lead", "fit"), "L129", "reject means reject");
    all.push(("LO", "lead", revised(&["fit"]), None));
    all.extend(fitted());
    assert!(may_sign(&log(&all), "LO", "lead", "fit").is_ok());
    ask(&log(&all), 2, |scene, _| assert!(!scene.open().iter().any(|o| o.contains("rejected"))));
}

#[test]
fn a_log_is_gone_through_again_by_the_plan_and_not_by_its_own_limits() {
    use tackwright::record::moved::AsPrinted;
    use tackwright::record::replay::replay;
    let frozen = Frozen { revision: "A".to_owned(), ..plan() };
    let issue = Action::Issued {
        issue: tackwright::record::entry::Issue {
            content: String::new(),
            made_by: None,
            number: "T-1".to_owned(),
            plan: String::new(),
            revision: "A".to_owned(),
            ..Default::default()
        },
    };
    // The plan asks for 5.5 to 6.5 deg; 0.1 rad is 5.73 deg.
    let read = |lower: f64, upper: f64| {
        let Action::Measure { mut reading } = caster("conform") else { panic!("a reading") };
        reading.lower = Some(lower.to_string());
        reading.upper = Some(upper.to_string());
        reading.value = Some("0.1".to_owned());
        Action::Measure { reading }
    };
    let rad = |deg: f64| Quantity::from(Angle::of(deg, unit::DEG)).si();
    let run = |measured: Action| {
        let entries = log(&[
            ("LO", "lead", issue.clone(), None),
            ("F1", "fitter", measured, None),
            ("F1", "fitter", tick("fit", 10), None),
            ("LO", "lead", sign("fit", 10, "H1"), None),
            ("IO", "inspector", sign("fit", 10, "H1"), None),
            ("WO", "welder", tick("weld", 20), None),
        ]);
        replay(&[&frozen], &entries, &AsPrinted)
    };
    let honest = run(read(rad(5.5), rad(6.5)));
    assert!(honest.against.is_empty(), "{honest:?}");
    let own = run(read(0.0, 1.0));
    assert_eq!(own.against.len(), 1, "{own:?}");
    assert!(own.against[0].0 == 2 && own.against[0].1.contains("other limits than the plan"), "{own:?}");
    // Without the signature the weld can't have been entered.
    let entries = log(&[("LO", "lead", issue, None), ("WO", "welder", tick("weld", 20), None)]);
    let early = replay(&[&frozen], &entries, &AsPrinted);
    assert!(early.against.len() == 1 && early.against[0].1.contains("not signed"), "{early:?}");
}
