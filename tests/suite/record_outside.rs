//! A test nobody of the shop is certified for: who makes it from outside is named where the
//! weld is accepted, before the test; a test that is asked later starts the acceptance alone.

use tackwright::record::change::compare;
use tackwright::record::entry::{Action, Entry};
use tackwright::record::frozen::{Choice, Frozen, Operation, RULES, Reading, Step};
use tackwright::term::{ACCEPTED_BY, Judged, Level, Method};

use super::record_gates::{code, entry, operation, read, tick};
use super::record_released::{as_role, ask, degrees, hold, issue, person, plan};
use crate::support::bench::Bench;

/// The plan the hoist frame is issued with where its last joint asks this inspection.
fn issued(inspection: &str) -> Frozen {
    let bench = Bench::small();
    bench.edit("job.toml", "visual, magnetic particle after 48 h", inspection);
    bench.yes(&["issue", "job.toml"]);
    Frozen::read(&bench.read("travelers/TW-2041/A/plan.json")).unwrap()
}

#[test]
fn a_test_nobody_here_makes_starts_the_acceptance_alone() {
    let plain = issued("visual");
    assert!(!plain.operations.iter().flat_map(Operation::readings).any(|r| r.id.starts_with("outside-")));
    let accepts = |plan: &Frozen| {
        let of = |o: &&Operation| o.after.iter().any(|p| p.rule.as_deref() == Some("acceptance"));
        plan.operations.iter().find(of).unwrap().clone()
    };
    let both = "visual, magnetic particle after 48 h, ultrasonic";
    for (old, inspection, boxes) in [
        (&plain, "visual, magnetic particle after 48 h", vec!["MT"]),
        (&issued("visual, magnetic particle after 48 h"), both, vec!["MT", "UT"]),
    ] {
        let new = issued(inspection);
        let accept = accepts(&new);
        let named: Vec<&str> =
            accept.readings().map(|r| r.id.as_str()).filter(|id| id.starts_with("outside-")).collect();
        let wanted: Vec<String> = boxes
            .iter()
            .flat_map(|m| [format!("outside-tester.{m}.J4"), format!("outside-certificate.{m}.J4")])
            .collect();
        assert_eq!(named, wanted);
        let change = compare(old, &new);
        let again: Vec<&str> = change.reopened.iter().map(|r| r.key.as_str()).collect();
        assert!(again.contains(&accept.key.as_str()), "{change:?}");
        for key in again {
            let one = new.operations.iter().find(|o| o.key == key).unwrap();
            assert!(one.number >= accept.number, "{key} starts again: {:?}", change.reopened);
        }
        assert_eq!((change.added, change.removed), (Vec::new(), Vec::new()));
    }
}

/// A weld and its acceptance, with a test somebody from outside makes.
fn tested() -> Frozen {
    let mut weld = operation("weld", 10, &[]);
    weld.role = "welder".to_owned();
    (weld.acts, weld.joints) = (vec!["arc".to_owned()], vec!["J1".to_owned()]);
    let step = |number: u32, readings: Vec<Reading>| Step {
        number,
        level: Some(Level::Safety),
        readings,
        ..Step::default()
    };
    weld.steps = vec![step(1, vec![degrees("heat")])];
    let words = |id: &str| Reading {
        id: id.to_owned(),
        label: "who tests".to_owned(),
        level: Some(Level::Safety),
        ..Reading::default()
    };
    let word = |word: &str, tests: Vec<Method>| Choice { word: word.to_owned(), tests, ..Choice::default() };
    let clear = Reading {
        choices: vec![word("clear, tested here", vec![Method::Ultrasonic]), word("by report", Vec::new())],
        ..words("asked.J1")
    };
    let mut accept = operation("accept", 20, &["weld"]);
    accept.role = "inspector".to_owned();
    accept.joints = vec!["J1".to_owned()];
    let named = Step { by: Some("lead".to_owned()), ..step(1, vec![words("outside-tester.UT.J0-J1")]) };
    accept.steps = vec![named, step(2, vec![degrees("size.J1")]), step(3, vec![clear])];
    accept.after = vec![
        hold("after.1", "H1", &["lead"], None),
        hold("after.2", "H2", &["inspector"], Some("acceptance")),
    ];
    accept.welds = [("J1".to_owned(), format!("fillet{ACCEPTED_BY}ultrasonic"))].into();
    plan(vec![weld, accept], RULES)
}

fn said(n: u64, time: &str, id: &str) -> Entry {
    let mut named = read("accept", id, 0.0);
    if let Action::Measure { reading } = &mut named {
        "Outside Tester, invented".clone_into(&mut reading.text);
        (reading.kind, reading.value, reading.verdict) = (None, None, Judged::Recorded);
    }
    as_role(entry(n, time, "LO", named), "lead")
}

#[test]
fn who_tests_is_named_before_the_test() {
    let plan = tested();
    let mut log = vec![issue()];
    let heat = read("weld", "heat", 1.0);
    log.push(as_role(entry(2, "08:00", "LO", heat), "welder"));
    let waits = |log: &[Entry], time: &str, id: &str| {
        ask(&plan, log, time, |s| s.reading_waits(s.operation("accept")?, id))
    };
    code(waits(&log, "12:00", "asked.J1"), "L332", "20.asked.J1 waits for 20.outside-tester.UT.J0-J1");
    code(waits(&log, "12:00", "asked.J1"), "L332", "tackwright measure T-1 20.outside-tester.UT.J0-J1");
    // What is no test of that method, or of another joint, waits for nobody's name.
    for id in ["size.J1", "outside-tester.UT.J0-J1"] {
        waits(&log, "12:00", id).unwrap_or_else(|p| panic!("{id}: {p:?}"));
    }
    log.push(said(3, "11:00", "outside-tester.UT.J0-J1"));
    waits(&log, "12:00", "asked.J1").unwrap();
    code(waits(&log, "10:30", "asked.J1"), "L114", "outside-tester.UT.J0-J1");
}

/// A lead who welded writes down who tests it, and reads nothing of it.
#[test]
fn who_welded_may_say_who_tests_it() {
    let plan = tested();
    let weld = tick("weld", Some(1));
    let log = vec![issue(), as_role(entry(2, "08:00", "LO", weld), "welder")];
    let may = |id: &str, by: Option<&str>| {
        let lead = person("LO", &["lead", "welder", "inspector"]);
        ask(&plan, &log, "12:00", |s| {
            let reading = s.operation("accept")?.readings().find(|r| r.id == id).unwrap();
            assert_eq!(s.operation("accept")?.step_of(id).and_then(|s| s.by.as_deref()), by);
            s.may_read(&lead, s.operation("accept")?, reading).map(|right| right.role)
        })
    };
    assert_eq!(may("outside-tester.UT.J0-J1", Some("lead")).unwrap(), "lead");
    code(may("size.J1", None), "L158", "welded at operation 10");
}
