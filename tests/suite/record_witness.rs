//! A witness point nobody came to, and what was to be put right before the unit goes: told
//! by the rules and by a replay of them.
//!
//! Common practice of inspection plans: at a witness point the work goes on when notice was
//! given and the time of the notice has passed; it is given for work that is there.

use chrono::{DateTime, NaiveDate};
use tackwright::diagnostic::Diagnostic;
use tackwright::quantity::Kind;
use tackwright::record::entry::{Action, Entry};
use tackwright::record::frozen::{Frozen, Limits, Operation, Point, PointKind, Reading, Step};
use tackwright::record::moved::AsPrinted;
use tackwright::record::people::{Register, Signer};
use tackwright::record::replay::{Replayed, replay};
use tackwright::record::rules::Scene;
use tackwright::record::state::fold;
use tackwright::term::{Disposition, Judged, Level, Verdict};

use super::record_gates::{at, code, entry, issued, operation, read};

/// Measured with a witness behind it, more work, and the release of the unit.
fn plan() -> Frozen {
    let reading = |id: &str| Reading {
        id: id.to_owned(),
        level: Some(Level::Control),
        limits: Some(Limits { kind: Kind::Angle, target: None, lower: None, upper: None }),
        ..Reading::default()
    };
    let one = |key: &str, number: u32, follows: &[&str]| Operation {
        follows: follows.iter().map(|k| (*k).to_owned()).collect(),
        steps: vec![Step {
            number: 1,
            level: Some(Level::Control),
            readings: vec![reading("angle")],
            ..Step::default()
        }],
        by_signature: true,
        ..operation(key, number, &[])
    };
    let point = |number: &str, kind: PointKind, role: &str, key: &str| Point {
        slot: "after.1".to_owned(),
        number: number.to_owned(),
        kind,
        roles: vec![role.to_owned()],
        rests_on: vec![key.to_owned()],
        ..Point::default()
    };
    let mut found = one("found", 10, &[]);
    found.after = vec![point("W1", PointKind::Witness, "lead", "found")];
    let mut release = one("release", 30, &["work"]);
    release.lets_go = true;
    release.after = vec![point("H1", PointKind::Hold, "inspector", "release")];
    Frozen {
        number: "T-1".to_owned(),
        revision: "A".to_owned(),
        operations: vec![found, one("work", 20, &["found"]), release],
        rules: 3,
        ..Frozen::default()
    }
}

fn person(id: &str, role: &str) -> Signer {
    Signer { id: id.to_owned(), name: id.to_owned(), roles: vec![role.to_owned()], ..Signer::default() }
}

fn ask<T>(plan: &Frozen, log: &[Entry], time: &str, question: impl FnOnce(&Scene<'_>) -> T) -> T {
    let people = vec![person("F1", "fitter"), person("L1", "lead"), person("I1", "inspector")];
    let (register, state) = (Register { people, ..Register::default() }, fold(log));
    let at = DateTime::parse_from_rfc3339(&format!("2026-03-02T{time}:00-06:00")).unwrap();
    let day = NaiveDate::from_ymd_opt(2026, 3, 2).unwrap();
    question(&Scene { plan, state: &state, entries: log, register: &register, day, at: Some(at) })
}

fn nobody(plan: &Frozen, log: &[Entry], time: &str, by: &str, notice: &str) -> Result<(), Diagnostic> {
    ask(plan, log, time, |s| {
        let operation = s.operation("found")?;
        s.nobody_came(s.person(by)?, operation, &operation.after[0], notice)
    })
}

fn replayed(plan: &Frozen, log: &[Entry]) -> Replayed {
    let mut all = vec![issued("L1")];
    all.extend(log.iter().zip(2..).map(|(one, n)| Entry { n, ..one.clone() }));
    replay(&[plan], &all, &AsPrinted)
}

fn waived(n: u64, time: &str, by: &str, notice: &str) -> Entry {
    let what = Action::WitnessWaived {
        notice: notice.to_owned(),
        operation: at("found"),
        point: "W1".to_owned(),
        slot: "after.1".to_owned(),
    };
    entry(n, time, by, what)
}

const NOTICE: &str = "called by phone at 09:10, nobody by 09:40";

#[test]
fn nobody_is_called_to_work_that_is_not_there() {
    let plan = plan();
    code(nobody(&plan, &[], "10:00", "F1", NOTICE), "L123", "before what is looked at there is done");
    let there = [entry(1, "09:00", "F1", read("found", "angle", 5.0))];
    nobody(&plan, &there, "09:40", "F1", NOTICE).unwrap();
    // Of a log that went on all the same, a replay says so; by the rules of its day it does not.
    let said = replayed(&plan, &[waived(1, "09:40", "F1", NOTICE)]).against;
    assert!(said.len() == 1 && said[0].1.contains("before what is looked at"), "{said:?}");
    let old = Frozen { rules: 2, ..plan };
    assert_eq!(replayed(&old, &[waived(1, "09:40", "F1", "called, nobody came")]).against, []);
}

#[test]
fn a_notice_says_when_and_that_time_has_passed() {
    let plan = plan();
    let there = [entry(1, "09:00", "F1", read("found", "angle", 5.0))];
    let no = |time: &str, notice: &str, part: &str| {
        code(nobody(&plan, &there, time, "F1", notice), "L220", part);
    };
    no("10:00", "called by phone, nobody there", "names no time");
    no("09:20", NOTICE, "waits until 09:40");
    no("09:10", "called 9:10 am, nobody", "nobody was waited for");
    for (time, notice) in [
        ("09:40", NOTICE),
        ("14:30", "asked for 2:00 pm, nobody"),
        ("08:45", "called 16:30 for 8:40, nobody"),
    ] {
        let there = [entry(1, "08:00", "F1", read("found", "angle", 5.0))];
        nobody(&plan, &there, time, "F1", notice).unwrap_or_else(|p| panic!("{notice}: {p:?}"));
    }
    let late = [there[0].clone(), waived(2, "09:20", "F1", NOTICE)];
    let said = replayed(&plan, &late).against;
    assert!(said.len() == 1 && said[0].1.contains("waits until 09:40"), "{said:?}");
    // Waited for before it was there: told, for who enters at night states one time.
    let early = [entry(1, "11:00", "F1", read("found", "angle", 5.0)), waived(2, "12:00", "F1", NOTICE)];
    let said = replayed(&plan, &early);
    assert_eq!(said.against, []);
    assert!(said.told.iter().any(|(_, w)| w.contains("was read until 11:00")), "{:?}", said.told);
}

#[test]
fn whoever_was_called_does_not_say_that_nobody_came() {
    let plan = plan();
    let there = [entry(1, "09:00", "F1", read("found", "angle", 5.0))];
    code(nobody(&plan, &there, "10:00", "L1", NOTICE), "L128", "--by F1 --nobody-came");
    code(
        nobody(&plan, &[there[0].clone(), waived(2, "09:40", "F1", NOTICE)], "10:00", "F1", NOTICE),
        "L120",
        "was written by F1",
    );
    // In a log the lead is told of: who else was there is not known any more.
    let mut own = waived(2, "10:00", "L1", NOTICE);
    own.by.role = "lead".to_owned();
    let said = replayed(&plan, &[there[0].clone(), own]);
    assert!(said.told.iter().any(|(_, w)| w.contains("is a lead as was called")), "{:?}", said.told);
}

/// A reading of the work that does not conform, decided by a lead as `disposition`.
fn decided(disposition: &str) -> Vec<Entry> {
    let mut bad = entry(2, "10:00", "F1", read("work", "angle", 9.0));
    if let Action::Measure { reading } = &mut bad.what {
        reading.verdict = Judged::Decided(Verdict::NotConform);
    }
    let found = Action::Found {
        found: "F1".to_owned(),
        operation: at("work"),
        photos: Vec::new(),
        reading: Some("angle".to_owned()),
        text: "nine degrees".to_owned(),
    };
    let what = Action::Disposition {
        disposition: Disposition::of(disposition).unwrap(),
        found: "F1".to_owned(),
        reason: "turned back and read again".to_owned(),
        words_stand: false,
    };
    let mut by_lead = entry(4, "10:20", "L1", what);
    by_lead.by.role = "lead".to_owned();
    vec![entry(1, "09:00", "F1", read("found", "angle", 5.0)), bad, entry(3, "10:10", "F1", found), by_lead]
}

#[test]
fn the_unit_goes_when_what_was_to_be_put_right_was_read_again() {
    let mut plan = plan();
    plan.operations[0].after.clear();
    let release = |plan: &Frozen, log: &[Entry]| {
        ask(plan, log, "11:00", |s| s.work(s.person("F1")?, s.operation("release")?, true).map(drop))
    };
    for (what, goes) in [("use as is", true), ("rework", false), ("repair", false)] {
        let log = decided(what);
        match release(&plan, &log) {
            Ok(()) => assert!(goes, "{what}"),
            said => {
                assert!(!goes, "{what}");
                code(said, "L221", "20.angle was not read right since");
            }
        }
        let open = ask(&plan, &log, "11:00", |s| s.open());
        assert_eq!(open.iter().any(|o| o.contains("not read right since")), !goes, "{what}: {open:?}");
        // Its hold stays shut as well, also where its own reading was entered before.
        let hold = ask(&plan, &log, "11:00", |s| {
            let operation = s.operation("release")?;
            s.point_waits(operation, &operation.after[0])
        });
        assert!(goes || hold.is_err(), "{what}");
    }
    let mut again = decided("rework");
    again.push(entry(5, "10:30", "F1", read("work", "angle", 5.0)));
    release(&plan, &again).unwrap();
    // A replay goes by the same; records of an earlier edition go on as they were.
    let mut gone = decided("rework");
    gone.push(entry(5, "11:00", "F1", read("release", "angle", 5.0)));
    let said = replayed(&plan, &gone).against;
    assert!(said.iter().any(|(_, w)| w.contains("not read right since")), "{said:?}");
    release(&Frozen { rules: 2, ..plan }, &decided("rework")).unwrap();
}
