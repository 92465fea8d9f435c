//! What waits for a lead keeps what depends on it waiting; a weld is judged cold; a reading
//! far from the plan is asked back. Told by the rules and by a replay of them.

use std::rc::Rc;

use chrono::{DateTime, NaiveDate};
use tackwright::diagnostic::Diagnostic;
use tackwright::quantity::{Kind, Quantity};
use tackwright::record::agree;
use tackwright::record::entry::{Action, By, Correction, Entry, Measured, TakenIn, WITHOUT_BOOK};
use tackwright::record::frozen::{Choice, Frozen, Limits, Operation, Point, PointKind, RULES, Reading, Step};
use tackwright::record::moved::{AsPrinted, InForce, Reckon};
use tackwright::record::people::{Qualified, Register, Signer};
use tackwright::record::replay::replay;
use tackwright::record::rules::Scene;
use tackwright::record::state::{State, fold};
use tackwright::term::{Disposition, Does, Judged, Level, Method, Verdict};

use super::record_gates::{at, code, entry, issued, operation, read, tick};
use crate::support::bench::Bench;

/// Fit up, weld, accept, in a row; something else beside them; a fire watch at the end.
pub(super) fn plan() -> Frozen {
    let angle = Limits { kind: Kind::Angle, target: None, lower: None, upper: None };
    let reading = |id: &str| Reading {
        id: id.to_owned(),
        level: Some(Level::Control),
        limits: Some(angle),
        ..Reading::default()
    };
    let step =
        |readings: Vec<Reading>| Step { number: 1, level: Some(Level::Control), readings, ..Step::default() };
    let one = |key: &str, number: u32, follows: &[&str], readings: Vec<Reading>| Operation {
        follows: follows.iter().map(|k| (*k).to_owned()).collect(),
        steps: vec![step(readings)],
        ..operation(key, number, &[])
    };
    let apart = |id: &str| Reading { apart: Some(Quantity::from_si(Kind::Angle, 0.01)), ..reading(id) };
    let fit = one("fit", 10, &[], vec![apart("caster.left"), apart("caster.right")]);
    let mut weld = one("weld", 20, &["fit"], vec![reading("interpass")]);
    (weld.acts, weld.joints) = (vec!["arc".to_owned()], vec!["J1".to_owned()]);
    let word = |word: &str, does: Does| Choice { word: word.to_owned(), does, ..Choice::default() };
    let cracks = Reading {
        id: "cracks".to_owned(),
        level: Some(Level::Safety),
        choices: vec![word("clear", Does::Conforms), word("done earlier than 24 h", Does::Stops)],
        after_arc: Some(Quantity::from_si(Kind::Time, 24.0 * 3600.0)),
        ..Reading::default()
    };
    let mut accept = one("accept", 30, &["weld"], vec![reading("size"), cracks]);
    accept.joints = vec!["J1".to_owned()];
    accept.after = vec![Point {
        slot: "after.1".to_owned(),
        number: "H1".to_owned(),
        kind: PointKind::Hold,
        rule: Some("acceptance".to_owned()),
        roles: vec!["inspector".to_owned()],
        ..Point::default()
    }];
    let beside = one("beside", 40, &[], vec![reading("length")]);
    let mut watch = one("watch", 50, &["weld"], vec![reading("end")]);
    watch.verb = "protect".to_owned();
    Frozen {
        number: "T-1".to_owned(),
        revision: "A".to_owned(),
        operations: vec![fit, weld, watch, beside, accept],
        rules: 2,
        ..Frozen::default()
    }
}

fn register() -> Register {
    let person = |id: &str, role: &str| Signer {
        id: id.to_owned(),
        name: id.to_owned(),
        roles: vec![role.to_owned()],
        ..Signer::default()
    };
    Register {
        people: vec![person("F1", "fitter"), person("LO", "lead"), person("IO", "inspector")],
        ..Register::default()
    }
}

pub(super) fn ask<T>(plan: &Frozen, log: &[Entry], time: &str, question: impl FnOnce(&Scene<'_>) -> T) -> T {
    let (register, state) = (register(), fold(log));
    let at = DateTime::parse_from_rfc3339(&format!("2026-03-{time}:00-06:00")).unwrap();
    let day = NaiveDate::from_ymd_opt(2026, 3, 2).unwrap();
    question(&Scene { plan, state: &state, entries: log, register: &register, day, at: Some(at) })
}

pub(super) fn work(plan: &Frozen, log: &[Entry], time: &str, name: &str) -> Result<(), Diagnostic> {
    ask(plan, log, &format!("02T{time}"), |s| s.work(s.person("F1")?, s.operation(name)?, true).map(drop))
}

pub(super) fn bad(n: u64, time: &str, key: &str, id: &str) -> Entry {
    let mut one = entry(n, time, "F1", read(key, id, 5.0));
    if let Action::Measure { reading } = &mut one.what {
        reading.verdict = Judged::Decided(Verdict::NotConform);
    }
    one
}

pub(super) fn found(n: u64, time: &str, key: &str, reading: Option<&str>) -> Entry {
    let what = Action::Found {
        found: "F1".to_owned(),
        operation: at(key),
        photos: Vec::new(),
        reading: reading.map(str::to_owned),
        text: "cracked at the toe".to_owned(),
    };
    entry(n, time, "F1", what)
}

pub(super) fn decided(n: u64, time: &str, disposition: &str) -> Entry {
    let what = Action::Disposition {
        disposition: Disposition::of(disposition).unwrap(),
        found: "F1".to_owned(),
        reason: "seen and measured".to_owned(),
        words_stand: false,
    };
    entry(n, time, "LO", what)
}

/// Everything before acceptance, done in order.
pub(super) fn welded() -> Vec<Entry> {
    vec![
        entry(1, "08:00", "F1", read("fit", "caster.left", 5.0)),
        entry(2, "08:05", "F1", read("fit", "caster.right", 5.0)),
        entry(3, "09:00", "F1", read("weld", "interpass", 5.0)),
    ]
}

#[test]
fn work_past_what_waits_for_a_lead_waits_as_well() {
    let plan = plan();
    let old = Frozen { rules: 1, ..plan.clone() };
    let stop = |mut log: Vec<Entry>, one: Entry| {
        log.push(one);
        log
    };
    // A reading that does not conform, two operations before.
    let log = stop(welded(), bad(4, "10:00", "fit", "caster.left"));
    code(work(&plan, &log, "11:00", "accept"), "L124", "work at 30, which rests on it, must wait");
    code(work(&plan, &log, "11:00", "accept"), "L124", "tackwright dispose T-1 F1");
    code(work(&plan, &log, "11:00", "weld"), "L124", "reading 10.caster.left is not conform");
    // What is right: where it was read, beside it, before it was read, and making safe.
    for (name, time) in [("fit", "11:00"), ("beside", "11:00"), ("watch", "11:00"), ("accept", "09:59")] {
        work(&plan, &log, time, name).unwrap_or_else(|p| panic!("{name} at {time}: {p:?}"));
    }
    work(&old, &log, "11:00", "accept").unwrap();
    // A better one stands beside it; a lead decides, and the work goes on.
    let again = stop(log.clone(), entry(5, "10:05", "F1", read("fit", "caster.left", 5.0)));
    code(work(&plan, &again, "11:00", "accept"), "L124", "must wait");
    let filed = stop(again, found(6, "10:10", "fit", Some("caster.left")));
    code(work(&plan, &filed, "11:00", "accept"), "L122", "has no disposition, so work at 30");
    work(&plan, &stop(filed.clone(), decided(7, "10:20", "use as is")), "11:00", "accept").unwrap();
    code(work(&plan, &stop(filed, decided(7, "10:20", "reject")), "11:00", "accept"), "L129", "was rejected");
    // A rule between readings.
    let log = stop(welded(), entry(4, "10:00", "F1", read("fit", "caster.right", 7.0)));
    code(work(&plan, &log, "11:00", "accept"), "L116", "left and right are 2.0° apart");
    work(&plan, &log, "09:59", "accept").unwrap();
    // What was found where the work hangs on.
    let log = stop(welded(), found(4, "10:00", "weld", None));
    code(work(&plan, &log, "11:00", "accept"), "L122", "a lead decides: tackwright dispose T-1 F1");
    work(&plan, &log, "11:00", "beside").unwrap();
}

/// What a replay has against a log that begins with the issue.
fn against(plan: &Frozen, log: &[Entry]) -> Vec<String> {
    let mut all = vec![issued("LO")];
    for (one, n) in log.iter().zip(2..) {
        all.push(Entry { n, ..one.clone() });
    }
    replay(&[plan], &all, &AsPrinted).against.into_iter().map(|(_, why)| why).collect()
}

#[test]
fn a_replay_says_so_of_a_log_that_went_on() {
    let plan = plan();
    let mut log = welded();
    log.push(bad(4, "10:00", "fit", "caster.left"));
    log.push(entry(5, "11:00", "IO", read("accept", "size", 5.0)));
    let said = against(&plan, &log).join("; ");
    assert!(said.contains("must wait"), "{said}");
    let old = Frozen { rules: 1, ..plan };
    let said = against(&old, &log).join("; ");
    assert!(!said.contains("must wait"), "{said}");
}

/// What a replay remembers of what stands open is what the rules say when asked anew: some
/// hundred logs of things done in any order.
#[test]
fn a_replay_remembers_nothing_that_is_no_longer_so() {
    let mut plan = Frozen { rules: 4, ..plan() };
    // The acceptance falls with work at its weld.
    plan.operations[4].after[0].worked_by = vec!["weld".to_owned()];
    plan.operations[0].before = vec![Point {
        slot: "before.1".to_owned(),
        number: "H0".to_owned(),
        kind: PointKind::Hold,
        roles: vec!["lead".to_owned()],
        ..Point::default()
    }];
    let sign = |key: &str, slot: &str, number: &str| Action::Sign {
        identified: "id".to_owned(),
        meaning: String::new(),
        operation: at(key),
        point: number.to_owned(),
        rests_on: Vec::new(),
        slot: slot.to_owned(),
    };
    let mut seed = 0x9e37_79b9_7f4a_7c15_u64;
    // xorshift64, Marsaglia 2003.
    let mut next = |below: u64| {
        seed ^= seed << 13;
        seed ^= seed >> 7;
        seed ^= seed << 17;
        seed % below
    };
    let (mut refused, mut taken) = (0, 0);
    for _ in 0..400 {
        let mut log = vec![issued("LO")];
        for n in 2..=18 {
            let time = format!("{:02}:{:02}", 7 + n / 3, (n % 3) * 20);
            let one = match next(14) {
                0 | 1 => entry(n, &time, "LO", sign("fit", "before.1", "H0")),
                2 => entry(n, &time, "IO", sign("accept", "after.1", "H1")),
                3 => entry(n, &time, "F1", read("fit", "caster.left", 5.0)),
                4 => entry(n, &time, "F1", read("fit", "caster.right", 5.0 + next(2) as f64)),
                5 => bad(n, &time, "fit", "caster.left"),
                6 | 7 => entry(n, &time, "F1", read("weld", "interpass", 5.0)),
                8 | 9 => entry(n, &time, "IO", read("accept", "size", 5.0)),
                10 => entry(n, &time, "F1", tick("weld", None)),
                11 => found(n, &time, "fit", Some("caster.left")),
                12 => decided(n, &time, if next(2) == 0 { "use as is" } else { "rework" }),
                _ => {
                    let reason = "wrong line".to_owned();
                    let corrects = Some(Correction { entry: 2 + next(n - 1), reason });
                    Entry { corrects, ..entry(n, &time, "LO", Action::Withdrawn {}) }
                }
            };
            let role = match one.by.id.as_str() {
                "LO" => "lead",
                "IO" => "inspector",
                _ => "fitter",
            };
            log.push(Entry { by: By { role: role.to_owned(), ..one.by.clone() }, ..one });
        }
        let (register, mut state) = (register(), State::default());
        let day = NaiveDate::from_ymd_opt(2026, 3, 2).unwrap();
        let said = replay(&[&plan], &log, &AsPrinted).against;
        for (place, one) in log.iter().enumerate() {
            let before = state.clone();
            let old = one.corrects.as_ref().and_then(|c| log[..place].iter().find(|e| e.n == c.entry));
            state.go_on(one, old);
            let key = match &one.what {
                Action::Tick { operation, .. } => &operation.key,
                Action::Measure { reading } => &reading.operation.key,
                _ => continue,
            };
            let entries = &log[..place];
            let scene =
                Scene { plan: &plan, state: &before, entries, register: &register, day, at: one.time() };
            let anew = scene.work_waits(scene.operation(key).unwrap()).err().map(|p| p.message);
            let again = said.iter().find(|(n, _)| *n == one.n).map(|(_, why)| why.clone());
            match anew {
                Some(words) => {
                    assert_eq!(again.as_deref(), Some(words.as_str()), "entry {} of {log:#?}", one.n);
                    refused += 1;
                }
                None => {
                    let waits = |w: &String| w.contains("must wait") || w.contains("builds on work");
                    assert!(!again.as_ref().is_some_and(waits), "{again:?}, entry {} of {log:#?}", one.n);
                    taken += 1;
                }
            }
        }
    }
    assert!(refused > 300 && taken > 300, "{refused} {taken}");
}

/// A book of the shop's, in which `WO` passed Q-1.
struct Booked;

impl Reckon for Booked {
    fn in_force(&self, _: &Frozen, _: &State) -> Option<Rc<InForce>> {
        None
    }
    fn verdict(&self, _: &Measured, _: Limits) -> Option<Judged> {
        None
    }
    fn booked(&self, _: &Frozen) -> bool {
        true
    }
    fn tested(&self, _: &Frozen, _: &By, basis: &str) -> Option<bool> {
        Some(basis.starts_with("Q-1"))
    }
}

/// A weld without a test is nobody's: at the bench it was never taken.
#[test]
fn a_weld_names_the_test_of_its_welder() {
    let plan = Frozen { rules: RULES, ..plan() };
    let weld = |rests_on: &[&str]| {
        let rests_on = rests_on.iter().map(|r| (*r).to_owned()).collect();
        let tick = Action::Tick { operation: at("weld"), rests_on, step: None };
        let mut log = vec![issued("LO"), entry(2, "08:00", "F1", read("fit", "caster.left", 5.0))];
        log.push(entry(3, "08:00", "F1", read("fit", "caster.right", 5.0)));
        log.push(entry(4, "09:00", "F1", tick));
        for one in &mut log[1..] {
            one.book = Some("rows".to_owned());
        }
        log
    };
    let said = |plan: &Frozen, rests_on: &[&str]| {
        let again = replay(&[plan], &weld(rests_on), &Booked);
        let words =
            |list: Vec<(u64, String)>| list.into_iter().map(|(_, w)| w).collect::<Vec<_>>().join("; ");
        (words(again.against), words(again.told))
    };
    let (against, _) = said(&plan, &[]);
    assert!(against.contains("welds J1 and names no test"), "{against}");
    let (against, told) = said(&plan, &["Q-1 until 2026-08-20"]);
    assert_eq!((against.as_str(), told.as_str()), ("", ""));
    let (against, told) = said(&plan, &["Q-9 until 2026-08-20"]);
    assert!(against.is_empty() && told.contains("do not have: ask the shop for the test"), "{told}");
    // By the rules of its day it was told.
    let (against, told) = said(&Frozen { rules: 5, ..plan.clone() }, &[]);
    assert!(against.is_empty() && told.contains("names no test"), "{against} {told}");
    // Without the book nobody knows.
    let mut log = weld(&[]);
    log[3].book = Some(WITHOUT_BOOK.to_owned());
    assert_eq!(replay(&[&plan], &log, &Booked).against, Vec::new());
}

/// A knuckle pressed over its tube is no knuckle with a spigot, whoever says "seen".
#[test]
fn what_the_plan_was_not_made_for_is_left_by_no_reason() {
    let mut plan = Frozen { rules: RULES, ..plan() };
    let word = |word: &str, does, unlike| Choice { word: word.to_owned(), does, unlike, ..Choice::default() };
    plan.operations[0].steps[0].readings.push(Reading {
        id: "construction".to_owned(),
        level: Some(Level::Safety),
        choices: vec![word("spigot", Does::Conforms, false), word("over the tube", Does::Found, true)],
        ..Reading::default()
    });
    let answer = |n: u64, text: &str| {
        let mut one = entry(n, "08:30", "F1", read("fit", "construction", 0.0));
        if let Action::Measure { reading } = &mut one.what {
            (reading.kind, reading.value) = (None, None);
            reading.text = text.to_owned();
        }
        one
    };
    let log = vec![answer(1, "over the tube"), found(2, "08:31", "fit", Some("construction"))];
    let decide = |plan: &Frozen, log: &[Entry], what: &str| {
        ask(plan, log, "02T09:00", |s| s.may_decide(&s.state.founds[0], Disposition::of(what).unwrap()))
    };
    for what in ["use as is", "rework", "repair"] {
        code(decide(&plan, &log, what), "L236", "the plan was made for something else");
        code(decide(&plan, &log, what), "L236", "tackwright revise JOB");
    }
    decide(&plan, &log, "reject").unwrap();
    // A plan that counts on it, and one frozen before the rule.
    let mut counts = plan.clone();
    counts.operations[0].steps[0].readings[2].choices[1].unlike = false;
    decide(&counts, &log, "use as is").unwrap();
    decide(&Frozen { rules: 5, ..plan.clone() }, &log, "use as is").unwrap();
    // It was misread: what was read last counts.
    let mut again = log.clone();
    again.push(answer(3, "spigot"));
    decide(&plan, &again, "use as is").unwrap();
    // `verify` says the same.
    let mut forged = log;
    forged.push(Entry { identified: None, ..decided(3, "09:00", "use as is") });
    let said = against(&Frozen { rules: 6, ..plan }, &forged).join("; ");
    assert!(said.contains("no reason leaves it as it is") || said.contains("identified"), "{said}");
}

#[test]
fn a_weld_is_judged_when_it_can_be_cold() {
    let plan = plan();
    let log = welded();
    code(work(&plan, &log, "09:01", "accept"), "L179", "1 min after the last arc at operation 20");
    work(&plan, &log, "09:12", "accept").unwrap();
    // Quick, and told only; sooner than the arc is refused in any case.
    assert!(work(&plan, &log, "08:59", "accept").is_err());
    work(&Frozen { rules: 1, ..plan.clone() }, &log, "09:01", "accept").unwrap();
    // A sheet without times says nothing of when the arc was out.
    let mut sheet = log.clone();
    sheet[2].taken_in = Some(Box::new(TakenIn {
        by: "F1".to_owned(),
        picture: None,
        place: "line 3".to_owned(),
        sha256: String::new(),
        way: tackwright::form::Way::Sheet,
    }));
    sheet[2].clock = Some(sheet[2].at.clone());
    work(&plan, &sheet, "09:01", "accept").unwrap();
    let stated = "2026-03-02T12:00:00-06:00";
    sheet[2].clock = Some(stated.to_owned());
    code(work(&plan, &sheet, "09:01", "accept"), "L179", "judges its welds cold");
    let mut early = log;
    early.push(entry(4, "09:01", "IO", read("accept", "size", 5.0)));
    assert!(against(&plan, &early).join("; ").contains("judges its welds cold"));
}

#[test]
fn the_watch_of_a_shift_is_entered_when_it_was_kept() {
    let mut plan = plan();
    // The card stands behind the acceptance, and so behind its hold.
    plan.operations[2].follows = vec!["accept".to_owned()];
    let mut card = plan.operations.remove(2);
    card.steps[0].readings[0].id = "watch-end.shift-1".to_owned();
    let other = Reading { id: "swept".to_owned(), ..card.steps[0].readings[0].clone() };
    card.steps[0].readings.push(other);
    plan.operations.push(card);
    let may = |log: &[Entry], id: &str| {
        ask(&plan, log, "02T09:40", |s| s.read_by(s.person("F1")?, s.operation("watch")?, id, None).map(drop))
    };
    may(&welded(), "watch-end.shift-1").unwrap();
    // Anything else of the card waits for its turn; so does a watch with nothing to watch.
    assert!(may(&welded(), "swept").is_err());
    assert!(may(&welded()[..2], "watch-end.shift-1").is_err());
    let mut log = welded();
    log.push(entry(4, "09:40", "F1", read("watch", "watch-end.shift-1", 5.0)));
    assert!(against(&plan, &log).is_empty(), "{:?}", against(&plan, &log));
}

#[test]
fn a_crack_test_waits_for_its_time() {
    let plan = plan();
    let log = welded();
    let test = |time: &str, does: Does| {
        ask(&plan, &log, time, |s| {
            let accept = s.operation("accept")?;
            let cracks = accept.readings().find(|r| r.id == "cracks").unwrap();
            s.in_time(accept, cracks, Some(does))
        })
    };
    code(test("02T15:00", Does::Conforms), "L179", "test it at 2026-03-03 09:00 -06:00 or later");
    code(test("02T15:00", Does::Conforms), "L179", "done earlier than 24 h");
    code(test("03T08:50", Does::Conforms), "L179", "is sooner");
    test("02T15:00", Does::Stops).unwrap();
    test("03T09:00", Does::Conforms).unwrap();
    let said = |text: &str, verdict: Verdict| Action::Measure {
        reading: Box::new(Measured {
            rests_on: Vec::new(),
            kind: None,
            value: None,
            text: text.to_owned(),
            verdict: Judged::Decided(verdict),
            ..match read("accept", "cracks", 1.0) {
                Action::Measure { reading } => *reading,
                _ => unreachable!(),
            }
        }),
    };
    let mut early = log.clone();
    early.push(entry(4, "15:00", "IO", said("clear", Verdict::Conform)));
    assert!(against(&plan, &early).join("; ").contains("after the last arc or later"));
    let mut told = log.clone();
    told.push(entry(4, "15:00", "IO", said("done earlier than 24 h", Verdict::NotConform)));
    assert!(!against(&plan, &told).join("; ").contains("after the last arc or later"));
}

#[test]
fn a_value_far_from_the_plan_is_told_by_a_replay() {
    let mut plan = plan();
    let length = &mut plan.operations[3].steps[0].readings[0];
    length.expected = Some(Quantity::from_si(Kind::Angle, 5.0_f64.to_radians()));
    let mut log = vec![issued("LO")];
    log.push(entry(2, "08:00", "F1", read("beside", "length", 50.0)));
    let told = replay(&[&plan], &log, &AsPrinted).told;
    assert!(told.iter().any(|(n, why)| *n == 2 && why.contains("10 times")), "{told:?}");
    log[1] = entry(2, "08:00", "F1", read("beside", "length", 5.2));
    assert!(replay(&[&plan], &log, &AsPrinted).told.is_empty());
    log[1] = entry(2, "08:00", "F1", read("beside", "length", -5.2));
    let told = replay(&[&plan], &log, &AsPrinted).told;
    assert!(told.iter().any(|(_, why)| why.contains("the other sign")), "{told:?}");
}

#[test]
fn a_slipped_point_is_asked_back_before_anything_is_beside_it() {
    let bench = Bench::issued();
    let place = bench.fill_before("bump");
    let said = bench.no(&["measure", "TW-2041", &place, "30 in", "--with", "TP-2", "--by", "WO"], "L174");
    assert!(said.err.contains("10 times (the decimal point?) what the job states, 3 in"), "{}", said.err);
    // The command it proposes is taken as it stands.
    let sure = format!("tackwright measure TW-2041 {place} \"30 in\" --with TP-2 --by WO --sure");
    assert!(said.err.contains(&sure), "{}", said.err);
    bench.no(
        &["measure", "TW-2041", &place, "76.2 in", "--with", "TP-2", "--by", "WO"],
        "millimetres or inches?",
    );
    bench.yes(&["measure", "TW-2041", &place, "30 in", "--with", "TP-2", "--by", "WO", "--sure"]);
}

/// ISO 9712 and ASNT SNT-TC-1A: a certificate is for a method, and ends.
#[test]
fn who_tests_is_certified_for_the_method_that_day() {
    let mut plan = Frozen { rules: RULES, ..plan() };
    let cracks = plan.operations[4].steps[0].readings.iter_mut().find(|r| r.id == "cracks").unwrap();
    cracks.choices[0].tests = vec![Method::Penetrant];
    cracks.choices.push(Choice { word: "clear, report kept".to_owned(), ..Choice::default() });
    let cracks = cracks.clone();
    let mut people = register();
    let may = |register: &Register, plan: &Frozen, id: &str, text: &str| {
        let day = NaiveDate::from_ymd_opt(2026, 3, 4).unwrap();
        let (log, state) = (welded(), fold(&welded()));
        let scene = Scene { plan, state: &state, entries: &log, register, day, at: None };
        let methods = agree::tests(&cracks, text);
        scene.may_test(scene.person(id)?, methods, scene.operation("accept")?, &cracks)
    };
    // A book that names no tester says nothing of tests.
    assert_eq!(may(&people, &plan, "IO", "clear").unwrap(), Vec::<String>::new());
    let held = |method: Method, until: &str| Qualified {
        what: method.title().to_owned(),
        until: until.parse().ok(),
        basis: format!("{} until {until}", method.title()),
        why_not: None,
    };
    people.people[2].qualified = vec![held(Method::Magnetic, "2027-01-31")];
    code(may(&people, &plan, "IO", "clear").map(drop), "L216", "nobody in");
    code(may(&people, &plan, "IO", "CLEAR").map(drop), "L216", "no certificate for penetrant testing");
    code(may(&people, &plan, "IO", "clear").map(drop), "L216", "clear, report kept");
    assert_eq!(may(&people, &plan, "IO", "clear, report kept").unwrap(), Vec::<String>::new());
    assert_eq!(may(&people, &plan, "IO", "done earlier than 24 h").unwrap(), Vec::<String>::new());
    people.people[1].qualified = vec![held(Method::Penetrant, "2026-03-04")];
    code(may(&people, &plan, "IO", "clear").map(drop), "L216", "have LO (LO) test it");
    assert_eq!(may(&people, &plan, "LO", "clear").unwrap(), ["penetrant testing until 2026-03-04"]);
    people.people[1].qualified = vec![held(Method::Penetrant, "2026-03-03")];
    code(may(&people, &plan, "LO", "clear").map(drop), "L216", "ended on 2026-03-03");
    // A paper of before is kept by the rules of its day.
    let old = Frozen { rules: 6, ..plan.clone() };
    assert_eq!(may(&people, &old, "IO", "clear").unwrap(), Vec::<String>::new());
}

/// What the rows of the book frozen with a paper say of its testers.
struct Testers;

impl Reckon for Testers {
    fn in_force(&self, _: &Frozen, _: &State) -> Option<Rc<InForce>> {
        None
    }
    fn verdict(&self, _: &Measured, _: Limits) -> Option<Judged> {
        None
    }
    fn certified(&self, _: &Frozen, _: &By, methods: &[Method], rests_on: &[String]) -> Option<bool> {
        Some(methods == [Method::Penetrant] && rests_on.iter().all(|r| r.starts_with("PT level 2")))
    }
}

#[test]
fn a_test_names_the_certificate_of_its_tester() {
    let mut plan = Frozen { rules: RULES, ..plan() };
    let cracks = plan.operations[4].steps[0].readings.iter_mut().find(|r| r.id == "cracks").unwrap();
    (cracks.choices[0].tests, cracks.after_arc) = (vec![Method::Penetrant], None);
    let told = |plan: &Frozen, rests_on: &[&str]| {
        let mut log = vec![issued("LO")];
        log.extend(welded().into_iter().map(|one| Entry { n: one.n + 1, ..one }));
        let mut one = entry(log.len() as u64 + 1, "15:00", "IO", read("accept", "cracks", 1.0));
        if let Action::Measure { reading } = &mut one.what {
            (reading.kind, reading.value) = (None, None);
            reading.text = "clear".to_owned();
            reading.verdict = Judged::Decided(Verdict::Conform);
            reading.rests_on = rests_on.iter().map(|r| (*r).to_owned()).collect();
        }
        log.push(one);
        let done = replay(&[plan], &log, &Testers);
        let n = log.len() as u64;
        let words = |all: Vec<(u64, String)>| {
            all.into_iter().filter(|(of, _)| *of == n).map(|(_, why)| why).collect::<Vec<_>>().join("; ")
        };
        (words(done.against), words(done.told))
    };
    let names = |rests_on: &[&str], why: &str| {
        let (against, _) = told(&plan, rests_on);
        assert!(against.contains(why), "{rests_on:?}: {against}");
    };
    names(&[], "tests by penetrant and names no certificate");
    names(&["MT level 2"], "does not name it");
    names(&["PT level 2 until 2026-03-01"], "ended on 2026-03-01");
    let (against, why) = told(&plan, &["PT level 2 until 2027-03-01"]);
    assert!(!against.contains("test") && !why.contains("tests by"), "{against} / {why}");
    let (against, why) = told(&plan, &["PT level 3 until 2027-03-01"]);
    assert!(
        !against.contains("test") && why.contains("ask the shop for the certificate"),
        "{against} / {why}"
    );
    let old = Frozen { rules: 6, ..plan.clone() };
    assert!(!told(&old, &[]).0.contains("certificate"));
}
