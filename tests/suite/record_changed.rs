//! What changes while the work goes on: what left the shop book, what a revision asks of a weld,
//! an instrument that turns out worse than it was.

use std::collections::BTreeMap;

use chrono::NaiveDate;
use tackwright::quantity::{Kind, Quantity};
use tackwright::record::agree;
use tackwright::record::asked_again::settled;
use tackwright::record::change::{compare, compare_made};
use tackwright::record::entry::{Action, Entry, Measured};
use tackwright::record::frozen::{Choice, Frozen, RULES};
use tackwright::record::gone_tool::dropped;
use tackwright::record::people::{Instrument, Qualified, Register, Signer, Spread};
use tackwright::record::rules::Scene;
use tackwright::record::state::fold;
use tackwright::term::{ACCEPTED_BY, Judged, Method, Verdict};

use super::record_gates::{code, entry, read};
use super::record_held::{decided, found, plan, welded};

fn register() -> Register {
    let person = |id: &str, role: &str| Signer {
        id: id.to_owned(),
        name: id.to_owned(),
        roles: vec![role.to_owned()],
        ..Signer::default()
    };
    Register {
        book: "shop.toml".to_owned(),
        people: vec![person("F1", "fitter"), person("LO", "lead"), person("IO", "inspector")],
        ..Register::default()
    }
}

fn held(what: &str, until: &str) -> Qualified {
    Qualified {
        what: what.to_owned(),
        until: until.parse().ok(),
        basis: format!("level 2 until {until}"),
        why_not: None,
    }
}

/// Asks on a day of March 2026.
fn ask<T>(
    plan: &Frozen,
    log: &[Entry],
    register: &Register,
    day: u32,
    question: impl Fn(&Scene<'_>) -> T,
) -> T {
    let day = NaiveDate::from_ymd_opt(2026, 3, day).unwrap();
    question(&Scene { plan, state: &fold(log), entries: log, register, day, at: None })
}

/// ISO 9712: a test is asked for its certificate, whatever the book says of it by now.
#[test]
fn a_certificate_that_left_the_book_is_asked_for_as_at_the_issue() {
    let mut plan = Frozen { rules: RULES, ..plan() };
    let cracks = plan.operations[4].steps[0].readings.iter_mut().find(|r| r.id == "cracks").unwrap();
    cracks.choices[0].tests = vec![Method::Penetrant];
    cracks.choices.push(Choice { word: "clear, report kept".to_owned(), ..Choice::default() });
    let cracks = cracks.clone();
    let may = |register: &Register, id: &str| {
        ask(&plan, &welded(), register, 4, |scene| {
            let methods = agree::tests(&cracks, "clear");
            scene.may_test(scene.person(id)?, methods, scene.operation("accept")?, &cracks)
        })
    };
    let mut people = register();
    people.people[2].qualified = vec![held(Method::Penetrant.title(), "2027-01-31")];
    assert_eq!(may(&people, "IO").unwrap(), ["level 2 until 2027-01-31"]);
    people.issued.clone_from(&people.people);
    people.people[2].qualified.clear();
    code(may(&people, "IO").map(drop), "L216", "nobody in shop.toml");
    code(may(&people, "IO").map(drop), "L216", "tackwright waive T-1 30.cracks --tester IO");
    // A book that never named one says nothing of tests.
    people.issued.clear();
    assert_eq!(may(&people, "IO").unwrap(), Vec::<String>::new());
}

#[test]
fn a_role_held_by_a_certificate_at_the_issue_is_not_held_without_one() {
    let acts = |register: &Register, rules: u32| {
        let plan = Frozen { rules, ..plan() };
        ask(&plan, &welded(), register, 4, |scene| scene.role(scene.person("IO")?, "inspector"))
    };
    let mut people = register();
    assert_eq!(acts(&people, RULES).unwrap(), Vec::<String>::new());
    people.people[2].qualified = vec![held("inspector", "2027-01-31")];
    people.issued.clone_from(&people.people);
    assert_eq!(acts(&people, RULES).unwrap(), ["level 2 until 2027-01-31"]);
    people.people[2].qualified.clear();
    code(acts(&people, RULES), "L356", "names none any more");
    assert_eq!(acts(&people, 9).unwrap(), Vec::<String>::new());
}

#[test]
fn what_only_the_acceptance_asks_starts_the_acceptance_alone() {
    let of = |words: &str| {
        let mut plan = Frozen { rules: RULES, ..plan() };
        for operation in plan.operations.iter_mut().filter(|o| o.key != "beside") {
            operation.welds = BTreeMap::from([("J1".to_owned(), words.to_owned())]);
        }
        plan.operations[4].after[0].concerns = vec!["weld".to_owned()];
        plan
    };
    let reopened = |old: &Frozen, new: &Frozen| -> Vec<String> {
        compare(old, new).reopened.into_iter().map(|r| format!("{}: {}", r.key, r.why)).collect()
    };
    let old = of(&format!("fillet, WPS-1{ACCEPTED_BY}visual, magnetic particle"));
    let new = of(&format!("fillet, WPS-1{ACCEPTED_BY}visual, dye penetrant"));
    assert_eq!(reopened(&old, &old), Vec::<String>::new());
    assert_eq!(reopened(&old, &new), ["accept: J1: accepted by dye penetrant instead of magnetic particle"]);
    // What it is made with starts the weld again.
    let other = of(&format!("fillet, WPS-2{ACCEPTED_BY}visual, dye penetrant"));
    let words = reopened(&new, &other);
    assert!(words.iter().any(|w| w == "weld: J1: WPS-2 instead of WPS-1"), "{words:?}");
    // Frozen before the two were told apart: judged as it was then, and no change by itself.
    assert_eq!(reopened(&of("fillet, WPS-1, visual, dye penetrant"), &new), Vec::<String>::new());
    let words = reopened(&of("fillet, WPS-1, visual, magnetic particle"), &new);
    assert!(words.iter().any(|w| w.starts_with("weld: ")), "{words:?}");
}

/// A reading of 5 deg by an instrument that was calibrated in 2025, between 4.8 and 5.2 deg.
fn by_the_finder(n: u64) -> Entry {
    let Action::Measure { reading } = read("fit", "caster.left", 5.0) else { unreachable!() };
    let degrees = |value: f64| Some(value.to_radians().to_string());
    let reading = Measured {
        tool: Some("AF-1".to_owned()),
        calibrated: Some("2025-06-01".to_owned()),
        uncertainty: degrees(0.05),
        lower: degrees(4.8),
        upper: degrees(5.2),
        verdict: Judged::Decided(Verdict::Conform),
        ..*reading
    };
    entry(n, "08:00", "F1", Action::Measure { reading: Box::new(reading) })
}

#[test]
fn what_a_worse_instrument_read_is_read_again_or_decided() {
    let plan = Frozen { rules: RULES, ..plan() };
    let open = |log: &[Entry], calibrated: &str, degrees: f64| -> Vec<String> {
        let row = Instrument {
            id: "AF-1".to_owned(),
            kind: Some(Kind::Angle),
            calibrated: calibrated.parse().ok(),
            spread: Some(Spread { fixed: degrees.to_radians(), share: 0.0 }),
            ..Instrument::default()
        };
        let register = Register { instruments: Some(vec![row]), ..register() };
        let all = ask(&plan, log, &register, 5, |scene| scene.open());
        all.into_iter().filter(|words| words.contains("AF-1")).collect()
    };
    let log = vec![by_the_finder(1)];
    let said = open(&log, "2026-03-03", 0.6);
    assert_eq!(said.len(), 1, "{said:?}");
    assert!(said[0].contains("10.caster.left") && said[0].contains("not proven"), "{said:?}");
    assert!(said[0].contains("tackwright measure T-1 10.caster.left VALUE --again"), "{said:?}");
    // As good as it was, worse and good enough, or the calibration it was read with.
    for (calibrated, degrees) in [("2026-03-03", 0.05), ("2026-03-03", 0.09), ("2025-06-01", 0.6)] {
        assert_eq!(open(&log, calibrated, degrees), Vec::<String>::new(), "{calibrated} {degrees}");
    }
    // Decided since; what was decided before the calibration says nothing of it.
    let mut log = log;
    log.extend([found(2, "09:00", "fit", Some("caster.left")), decided(3, "09:05", "use as is")]);
    assert_eq!(open(&log, "2026-03-03", 0.6).len(), 1);
    for entry in &mut log[1..] {
        entry.at = entry.at.replace("03-02", "03-04");
    }
    assert_eq!(open(&log, "2026-03-03", 0.6), Vec::<String>::new());
}

#[test]
fn what_is_covered_is_judged_as_it_was_read_and_not_asked_again() {
    let degrees = |value: f64| Some(Quantity::from_si(Kind::Angle, value.to_radians()));
    // The fit before the weld, between 4 deg and `most`.
    let of = |most: f64, text: &str| {
        let mut plan = Frozen { rules: RULES, ..plan() };
        let step = &mut plan.operations[0].steps[0];
        step.text = text.to_owned();
        let limits = step.readings[0].limits.as_mut().unwrap();
        (limits.lower, limits.upper) = (degrees(4.0), degrees(most));
        plan
    };
    let (old, tighter, wider) = (of(6.0, "4 to 6 deg"), of(4.5, "4 to 4.5 deg"), of(8.0, "4 to 8 deg"));
    let reopened = |new: &Frozen, log: &[Entry]| -> Vec<String> {
        compare_made(&old, new, &fold(log)).reopened.into_iter().map(|r| r.key).collect()
    };
    let fitted = &welded()[..2];
    // Nothing lies on it yet: it is read again, by the new limits.
    assert_eq!(reopened(&wider, fitted), ["fit"]);
    assert!(settled(&fold(fitted), &old, &tighter).is_ok());
    // Under the weld it keeps what it says; 5 deg are not within 4.5.
    assert_eq!(reopened(&wider, &welded()), Vec::<String>::new());
    assert!(settled(&fold(&welded()), &old, &wider).is_ok());
    code(settled(&fold(&welded()), &old, &tighter), "L358", "10.caster.left was read as 5 deg");
    let mut log = welded();
    log.extend([found(4, "10:00", "fit", Some("caster.left")), decided(5, "10:05", "use as is")]);
    assert!(settled(&fold(&log), &old, &tighter).is_ok());
    assert_eq!(reopened(&tighter, &log), Vec::<String>::new());
    // Other words are other work.
    assert_eq!(reopened(&of(8.0, "4 to 8 deg, from below"), &welded()), ["fit"]);
}

#[test]
fn what_an_instrument_read_that_left_the_book_waits_for_a_lead() {
    let plan = Frozen { rules: RULES, ..plan() };
    let row = |id: &str| Instrument { id: id.to_owned(), kind: Some(Kind::Angle), ..Instrument::default() };
    let open = |log: &[Entry], rows: &[&str], frozen: &[&str]| -> Vec<String> {
        let list = |ids: &[&str]| Some(ids.iter().map(|id| row(id)).collect::<Vec<_>>());
        let register = Register { instruments: list(rows), frozen: list(frozen), ..register() };
        let all = ask(&plan, log, &register, 5, |scene| scene.open());
        all.into_iter().filter(|words| words.contains("AF-1")).collect()
    };
    let log = vec![by_the_finder(1)];
    assert_eq!(open(&log, &["AF-1"], &["AF-1"]), Vec::<String>::new());
    let said = open(&log, &["AF-2"], &["AF-1"]);
    assert_eq!(said.len(), 1, "{said:?}");
    for part in [
        "not in shop.toml any more",
        "1 reading stands by it: 10.caster.left",
        "kept as the paper was issued",
    ] {
        assert!(said[0].contains(part), "{part}: {said:?}");
    }
    assert!(said[0].contains("tackwright found T-1 10.caster.left \"AF-1: …\""), "{said:?}");
    assert!(open(&log, &["AF-2"], &[])[0].contains("no row of it is kept"), "{said:?}");
    // Another condition, or one to be reworked, decides nothing of it; one that names it does,
    // of what was read before it was filed.
    let decided_as = |what: &str, words: &str| {
        let mut log = log.clone();
        log.extend([found(2, "09:00", "fit", Some("caster.left")), decided(3, "09:05", what)]);
        if let Action::Found { text, .. } = &mut log[1].what {
            words.clone_into(text);
        }
        log
    };
    assert_eq!(open(&decided_as("use as is", "scale slipped"), &["AF-2"], &["AF-1"]).len(), 1);
    assert_eq!(open(&decided_as("use as is", "AF-11: not found"), &["AF-2"], &["AF-1"]).len(), 1);
    assert_eq!(open(&decided_as("rework", "AF-1: not found"), &["AF-2"], &["AF-1"]).len(), 1);
    let mut log = decided_as("use as is", "AF-1: not found");
    assert_eq!(open(&log, &["AF-2"], &["AF-1"]), Vec::<String>::new());
    log.push(by_the_finder(4));
    assert_eq!(open(&log, &["AF-2"], &["AF-1"]).len(), 1, "read with it again since");
}

/// What a revision is frozen without is told where readings were taken with it.
#[test]
fn an_instrument_a_revision_is_frozen_without_is_told() {
    let mut plan = Frozen { rules: RULES, revision: "B".to_owned(), ..plan() };
    let caster = &mut plan.operations[0].steps[0].readings[0];
    caster.instrument = Some("angle finder".to_owned());
    let row = |id: &str| Instrument { id: id.to_owned(), ..Instrument::default() };
    let (was, now) = (vec![row("AF-1"), row("AF-2")], vec![row("AF-2")]);
    let log = [by_the_finder(1)];
    let told = dropped((&was, &now), &plan, &log);
    assert_eq!(told.len(), 1, "{told:?}");
    assert!(told[0].contains("AF-1 was taken out of the shop book before rev B"), "{told:?}");
    assert_eq!(dropped((&was, &was), &plan, &log), Vec::<String>::new());
    assert_eq!(dropped((&was, &now), &plan, &[]), Vec::<String>::new());
}
