//! A yes rests on entered work: signatures, work past them, readings, words.

use std::rc::Rc;

use chrono::{DateTime, NaiveDate};
use serde_json::Value as Json;
use tackwright::diagnostic::Diagnostic;
use tackwright::quantity::{Angle, Dimensioned, Kind, Quantity, unit};
use tackwright::record::agree::{choose, verdict};
use tackwright::record::entry::{Action, At, By, Entry, Issue, Measured};
use tackwright::record::frozen::{
    Choice, Derived, Frozen, Limits, Name, Near, Operation, Point, PointKind, RULES, Reading, Step,
};
use tackwright::record::hours;
use tackwright::record::moved::{Asked, InForce, Reckon, no_longer};
use tackwright::record::people::{Register, Signer};
use tackwright::record::rules::Scene;
use tackwright::record::state::{Mark, Signed, State, fold};
use tackwright::term::{Disposition, Does, Judged, Level, Take, Verdict};

use crate::support::bench::{Bench, UNIT};

fn by(id: &str) -> By {
    By { id: id.to_owned(), name: id.to_owned(), role: "fitter".to_owned() }
}

/// The first entry of a log: the traveler was issued.
pub(super) fn issued(by: &str) -> Entry {
    let issue = Issue {
        made_by: Some("1".to_owned()),
        number: "T-1".to_owned(),
        revision: "A".to_owned(),
        ..Issue::default()
    };
    entry(1, "07:00", by, Action::Issued { issue })
}

pub(super) fn entry(n: u64, time: &str, who: &str, what: Action) -> Entry {
    let at = format!("2026-03-02T{time}:00-06:00");
    Entry {
        clock: Some(at.clone()),
        at,
        book: None,
        by: by(who),
        corrects: None,
        identified: None,
        n,
        prev: String::new(),
        undoes: None,
        taken_in: None,
        what,
    }
}

pub(super) fn at(key: &str) -> At {
    At { key: key.to_owned(), number: 0 }
}

pub(super) fn tick(key: &str, step: Option<u32>) -> Action {
    Action::Tick { operation: at(key), rests_on: Vec::new(), step }
}

pub(super) fn read(key: &str, id: &str, degrees: f64) -> Action {
    let si = Quantity::from(Angle::of(degrees, unit::DEG)).si();
    Action::Measure {
        reading: Box::new(Measured {
            rests_on: Vec::new(),
            calibrated: None,
            calibrated_until: None,
            guard: None,
            kind: Some("angle".to_owned()),
            lower: None,
            operation: at(key),
            reading: id.to_owned(),
            target: None,
            text: format!("{degrees} deg"),
            tool: None,
            uncertainty: None,
            upper: None,
            value: Some(si.to_string()),
            verdict: Judged::Decided(Verdict::Conform),
        }),
    }
}

fn found(number: &str, key: &str, reading: &str) -> Action {
    Action::Found {
        found: number.to_owned(),
        operation: at(key),
        photos: Vec::new(),
        reading: Some(reading.to_owned()),
        text: "caster off".to_owned(),
    }
}

fn disposed(number: &str) -> Action {
    Action::Disposition {
        disposition: Disposition::UseAsIs,
        found: number.to_owned(),
        reason: "read again on other plates".to_owned(),
        words_stand: false,
    }
}

fn angle(degrees: f64) -> Quantity {
    Quantity::from(Angle::of(degrees, unit::DEG))
}

fn caster(id: &str) -> Reading {
    Reading {
        id: id.to_owned(),
        label: id.to_owned(),
        level: Some(Level::Control),
        limits: Some(Limits { kind: Kind::Angle, target: None, lower: None, upper: None }),
        apart: Some(angle(0.5)),
        ..Reading::default()
    }
}

fn hold(number: &str, rests_on: &[&str]) -> Point {
    Point {
        slot: "after.1".to_owned(),
        number: number.to_owned(),
        kind: PointKind::Hold,
        roles: vec!["lead".to_owned()],
        rests_on: rests_on.iter().map(|k| (*k).to_owned()).collect(),
        ..Point::default()
    }
}

pub(super) fn operation(key: &str, number: u32, builds_on: &[&str]) -> Operation {
    Operation {
        key: key.to_owned(),
        id: key.to_owned(),
        number,
        role: "fitter".to_owned(),
        builds_on: builds_on.iter().map(|k| (*k).to_owned()).collect(),
        ..Operation::default()
    }
}

/// Fit up with two readings and a second person's; weld with a safety tick; test.
fn plan() -> Frozen {
    let mut fit = operation("fit", 10, &[]);
    let name = |id: &str| Name { operation: "fit".to_owned(), reading: id.to_owned() };
    let near = Near { to: name("caster.left"), within: angle(0.3) };
    fit.steps = vec![
        Step {
            number: 1,
            level: Some(Level::Control),
            readings: vec![caster("caster.left"), caster("caster.right")],
            derived: vec![Derived {
                id: "mean".to_owned(),
                label: "mean".to_owned(),
                of: vec![name("caster.left"), name("caster.right")],
                take: Take::Mean,
                least: Some(angle(5.0)),
                ..Derived::default()
            }],
            ..Step::default()
        },
        Step {
            number: 2,
            level: Some(Level::Control),
            by: Some("inspector".to_owned()),
            readings: vec![Reading { near: Some(near), apart: None, ..caster("again.left") }],
            ..Step::default()
        },
        Step { number: 3, level: Some(Level::Practice), ..Step::default() },
    ];
    let mut weld = operation("weld", 20, &["fit"]);
    weld.steps = vec![Step { number: 1, level: Some(Level::Safety), ..Step::default() }];
    weld.after.push(hold("H1", &["fit", "weld"]));
    let mut test = operation("test", 30, &["weld"]);
    test.steps = vec![Step { number: 1, level: Some(Level::Control), ..Step::default() }];
    test.after.push(hold("H2", &["weld", "test"]));
    Frozen { number: "T-1".to_owned(), operations: vec![fit, weld, test], ..Frozen::default() }
}

fn register() -> Register {
    let person = |id: &str, roles: &[&str]| Signer {
        id: id.to_owned(),
        name: id.to_owned(),
        roles: roles.iter().map(|r| (*r).to_owned()).collect(),
        ..Signer::default()
    };
    Register {
        people: vec![person("F1", &["fitter"]), person("LO", &["lead"]), person("IO", &["inspector"])],
        ..Register::default()
    }
}

fn ask<T>(entries: &[Entry], time: &str, question: impl FnOnce(&Scene<'_>) -> T) -> T {
    let (plan, register, state) = (plan(), register(), fold(entries));
    let at = DateTime::parse_from_rfc3339(&format!("2026-03-02T{time}:00-06:00")).unwrap();
    let day = NaiveDate::from_ymd_opt(2026, 3, 2).unwrap();
    question(&Scene { plan: &plan, state: &state, entries, register: &register, day, at: Some(at) })
}

fn work(entries: &[Entry], time: &str, name: &str) -> Result<(), Diagnostic> {
    ask(entries, time, |s| s.work(s.person("F1")?, s.operation(name)?, false).map(drop))
}

fn sign(entries: &[Entry], time: &str, name: &str) -> Result<(), Diagnostic> {
    ask(entries, time, |s| {
        let operation = s.operation(name)?;
        s.sign(s.person("LO")?, "lead", operation, &operation.after[0]).map(drop)
    })
}

pub(super) fn code<T: std::fmt::Debug>(result: Result<T, Diagnostic>, code: &str, part: &str) {
    let problem = result.unwrap_err();
    let all = format!("{} {:?}", problem.message, problem.help);
    assert!(problem.code == code && all.contains(part), "{code} {part}: {problem:?}");
}

fn fitted() -> Vec<Entry> {
    vec![
        entry(1, "09:00", "F1", read("fit", "caster.left", 6.0)),
        entry(2, "09:05", "F1", read("fit", "caster.right", 6.2)),
        entry(3, "09:30", "IO", read("fit", "again.left", 6.1)),
    ]
}

#[test]
fn work_waits_for_the_readings_it_builds_on() {
    code(work(&[], "10:00", "weld"), "L113", "tackwright measure T-1 10.caster.left");
    let mut all = fitted();
    code(work(&all[..2], "10:00", "weld"), "L113", "10.again.left");
    work(&all, "10:00", "weld").unwrap();
    // Entered in the evening, done in the morning: the stated time counts.
    code(work(&all, "09:10", "weld"), "L114", "can't rest on reading 10.again.left");
    // Nothing past the hold, whatever else is entered.
    all.push(entry(4, "10:00", "F1", tick("weld", None)));
    code(work(&all, "11:00", "test"), "L110", "H1");
}

#[test]
fn a_signature_waits_for_all_it_rests_on() {
    code(sign(&[], "12:00", "weld"), "L123", "step 20.1");
    let mut all = fitted();
    all.push(entry(4, "10:00", "F1", tick("weld", Some(1))));
    all.push(entry(5, "10:00", "F1", tick("weld", None)));
    // The fit-up is not initialled; the hold before says it with the command.
    code(sign(&all, "12:00", "weld"), "L115", "tackwright tick T-1 10 ");
    code(sign(&all[3..], "12:00", "weld"), "L115", "10.caster.left");
    all.push(entry(6, "10:30", "F1", tick("fit", None)));
    sign(&all, "12:00", "weld").unwrap();
    code(sign(&all, "09:00", "weld"), "L114", "the signature of H1");
    // Practice steps are not ticked.
    assert!(fold(&all).lacking_work(&plan().operations[0]).is_empty());
}

#[test]
fn a_second_reading_is_another_persons() {
    let all = fitted();
    let second = |id: &str| {
        ask(&all[..2], "09:30", |s| {
            let fit = s.operation("fit")?;
            s.work_by(s.person(id)?, fit, true, fit.steps[1].by.as_deref())?;
            s.other_person(s.person(id)?, fit, &fit.steps[1], false)
        })
    };
    second("IO").unwrap();
    code(second("F1"), "L143", "F1 read 10.caster.left");
}

#[test]
fn sides_apart_and_readings_that_disagree_shut_the_hold() {
    let mut all = fitted();
    all[1] = entry(2, "09:05", "F1", read("fit", "caster.right", 6.8));
    all[2] = entry(3, "09:30", "IO", read("fit", "again.left", 6.31));
    all.push(entry(4, "10:00", "F1", tick("weld", Some(1))));
    all.push(entry(5, "10:00", "F1", tick("weld", None)));
    all.push(entry(6, "10:30", "F1", tick("fit", None)));
    let stops = fold(&all).stops(&plan(), &plan().operations[0]);
    assert_eq!(stops.len(), 2, "{stops:#?}");
    code(sign(&all, "12:00", "weld"), "L116", "left and right are");
    // A lead decides about both.
    for (n, (number, reading)) in (7..).step_by(2).zip([("F1", "caster.left"), ("F2", "again.left")]) {
        code(sign(&all, "12:00", "weld"), "L116", "H1 stays shut");
        all.push(entry(n, "11:00", "F1", found(number, "fit", reading)));
        code(sign(&all, "12:00", "weld"), "L122", number);
        all.push(entry(n + 1, "11:30", "LO", disposed(number)));
        if number == "F1" {
            let left = fold(&all).stops(&plan(), &plan().operations[0]);
            assert!(left.len() < 2, "{left:#?}");
            if left.is_empty() {
                break;
            }
        }
    }
    sign(&all, "12:00", "weld").unwrap();
    // A value that follows: the mean of 4 and 4.2 deg is below 5.
    let low = [
        entry(1, "09:00", "F1", read("fit", "caster.left", 4.0)),
        entry(2, "09:05", "F1", read("fit", "caster.right", 4.2)),
    ];
    let plan = plan();
    let stops = fold(&low).stops(&plan, &plan.operations[0]);
    assert!(stops.len() == 1 && stops[0].words.contains("mean"), "{stops:#?}");
    let shown = tackwright::record::agree::derived(&plan, &fold(&low));
    assert!(shown.len() == 1 && shown[0].contains("4.1"), "{shown:?}");
}

#[test]
fn a_box_with_words_takes_one_of_them() {
    let words = [("sound", Does::Conforms), ("cracked", Does::Found), ("fault", Does::Stops)];
    let choices =
        words.map(|(word, does)| Choice { word: word.to_owned(), does, ..Choice::default() }).to_vec();
    let reading = Reading { id: "weld".to_owned(), choices, ..Reading::default() };
    for (word, does) in words {
        assert_eq!(choose(&reading, &word.to_uppercase(), RULES).unwrap(), Some((word.to_owned(), does)));
        assert_eq!(verdict(does).is(Verdict::Conform), does == Does::Conforms);
    }
    code(choose(&reading, "looks fine", RULES), "L173", "the word or its number, 1 to 3");
    assert_eq!(choose(&caster("caster.left"), "looks fine", RULES).unwrap(), None);
}

#[test]
fn times_that_can_hardly_be_true_are_told() {
    let mut plan = plan();
    plan.operations[1].acts = vec!["arc".to_owned()];
    plan.operations[1].joints = vec!["J1".to_owned()];
    plan.operations[2].joints = vec!["J1".to_owned()];
    plan.operations[2].after[0].rule = Some("acceptance".to_owned());
    let told = |entries: &[Entry]| -> String {
        hours::remarks(&plan, entries).into_iter().map(|r| r.words).collect::<Vec<_>>().join("; ")
    };
    // Its time was stated: logs from before there were two times have one.
    let weld = Entry { clock: None, ..entry(1, "10:00", "F1", read("weld", "interpass", 1.0)) };
    assert!(told(&[weld.clone(), entry(2, "10:12", "IO", tick("test", None))]).contains("cold 12 min"));
    assert_eq!(told(&[weld.clone(), entry(2, "10:31", "IO", tick("test", None))]), "");
    assert!(
        told(&[weld.clone(), entry(2, "09:00", "F1", read("fit", "watch-end", 1.0))])
            .contains("before the arc")
    );
    assert_eq!(told(&[weld.clone(), entry(2, "11:00", "F1", read("fit", "watch-end", 1.0))]), "");
    let since = |weld: &Entry, time: &str, minutes: f64, reading: &str| {
        let at = DateTime::parse_from_rfc3339(&format!("2026-03-02T{time}:00-06:00")).unwrap();
        let read = Quantity::from_si(Kind::Time, minutes * 60.0);
        hours::watched(&plan, std::slice::from_ref(weld), reading, read, &at)
    };
    let watched = |time: &str, minutes: f64, reading: &str| since(&weld, time, minutes, reading);
    code(watched("10:01", 45.0, "watch-end.shift-1"), "L159", "the 1 min since the arc");
    watched("10:45", 45.0, "watch-end").unwrap();
    watched("10:01", 45.0, "warm-up").unwrap();
    // A sheet taken in at the end of the day writes arc and watch in one minute.
    let clock = |time: &str| Some(format!("2026-03-02T{time}:00-06:00"));
    let written = Entry { clock: clock("10:00"), ..weld.clone() };
    since(&written, "10:01", 45.0, "watch-end.shift-1").unwrap();
    let stated = Entry { clock: clock("12:00"), ..weld.clone() };
    code(since(&stated, "10:01", 45.0, "watch-end.shift-1"), "L159", "the 1 min since the arc");
    let long = [entry(1, "04:00", "F1", tick("fit", None)), entry(2, "20:30", "F1", tick("weld", None))];
    assert!(told(&long).contains("more than 16 h"));
}

#[test]
fn more_labour_than_a_day_has_is_told() {
    let mut plan = plan();
    for operation in &mut plan.operations {
        operation.minutes = Some(9 * 60);
    }
    let told = |entries: &[Entry]| hours::remarks(&plan, entries).len();
    let one = |n: u64, at: &str, what: &str| entry(n, at, "F1", tick(what, None));
    // The first may have begun the day before: only what follows it counts.
    let two = [one(1, "08:00", "fit"), one(2, "09:00", "weld")];
    assert_eq!(told(&two), 0);
    let three = [one(1, "08:00", "fit"), one(2, "09:00", "weld"), one(3, "10:00", "test")];
    assert_eq!(told(&three), 1, "18 h in two");
    let helped =
        [one(1, "08:00", "fit"), one(2, "09:00", "weld"), entry(3, "10:00", "IO", tick("test", None))];
    assert_eq!(told(&helped), 0, "two people");
}

/// The frozen plan of the demonstration.
fn demonstration(bench: &Bench) -> Frozen {
    serde_json::from_slice(&bench.read("travelers/TW-2041/A/plan.json")).unwrap()
}

#[test]
fn no_point_of_the_demonstration_is_signed_on_work_that_is_not_entered() {
    let bench = Bench::issued();
    let plan = demonstration(&bench);
    let register = Register {
        people: ["lead", "inspector", "welder", "fitter", "customer"]
            .iter()
            .map(|role| Signer {
                id: (*role).to_owned(),
                name: (*role).to_owned(),
                roles: vec![(*role).to_owned()],
                ..Signer::default()
            })
            .collect(),
        ..Register::default()
    };
    let day = NaiveDate::from_ymd_opt(2026, 3, 2).unwrap();
    let mut holds = 0;
    for (place, operation) in plan.operations.iter().enumerate().filter(|(_, o)| !o.deferred) {
        for point in operation.points().filter(|p| !p.rests_on.is_empty()) {
            // Every point before is signed, and nothing is entered: only what it
            // rests on is in the way.
            let mut state = State::default();
            for (before, other) in plan.operations.iter().enumerate().take(place + 1) {
                for signed in other.points().filter(|p| before < place || p.slot != point.slot) {
                    let all = signed.roles.iter().map(|role| Signed {
                        mark: Mark { by: By { role: role.clone(), ..By::default() }, ..Mark::default() },
                        how: "pin".to_owned(),
                        meaning: String::new(),
                        waived: false,
                        seen_by: None,
                    });
                    state.points.insert((other.key.clone(), signed.slot.clone()), all.collect());
                }
            }
            let scene =
                Scene { plan: &plan, state: &state, entries: &[], register: &register, day, at: None };
            let role = &point.roles[0];
            let said = scene.sign(scene.person(role).unwrap(), role, operation, point);
            let problem = said.map(drop).expect_err(&point.number);
            assert!(
                ["L115", "L123"].contains(&problem.code),
                "{} of operation {}: {problem:?}",
                point.number,
                operation.number
            );
            holds += usize::from(point.kind == PointKind::Hold);
        }
    }
    assert!(holds >= 6, "{holds}");
}

#[test]
fn a_crack_opens_a_found_condition_by_itself() {
    let bench = Bench::issued();
    let plan = demonstration(&bench);
    let receive = &plan.operations[0];
    for reading in receive.readings().filter(|r| r.asked()) {
        let place = format!("{}.{}", receive.number, reading.id);
        let told = if reading.id == "identity" { UNIT } else { "as told" };
        let word = reading.choices.first().map_or(told, |c| &c.word);
        bench.yes(&["measure", "TW-2041", &place, word, "--by", "LO"]);
    }
    let number = receive.number.to_string();
    let steps = receive.steps.iter().filter(|s| s.ticked()).map(|s| format!("{number}.{}", s.number));
    let ticks: Vec<String> = steps.chain([number.clone()]).collect();
    let ticks: Vec<&str> = ticks.iter().map(String::as_str).collect();
    // Several in one command.
    bench.yes(&[&["tick", "TW-2041"], &ticks[..], &["--by", "LO"]].concat());
    for point in receive.points() {
        bench.yes(&["sign", "TW-2041", &point.number, "--as", &point.roles[0], "--by", "LO"]);
    }
    let old = plan.operations.iter().find(|o| o.id == "inspect-old-work").unwrap();
    let place = format!("{}.frame", old.number);
    bench.no(
        &["measure", "TW-2041", &place, "a bit cracked", "--by", "LO"],
        "sound / rusted, wall left / cracked or bent / old repair or weld",
    );
    let said = bench.json(&["measure", "TW-2041", &place, "Cracked or bent", "--by", "LO", "--json"]);
    assert_eq!(said["verdict"], "not conform", "{said:#}");
    let status = bench.json(&["status", "TW-2041", "--json"]);
    let open: Vec<Json> = status["travelers"][0]["open_conditions"].as_array().cloned().unwrap_or_default();
    let log = bench.text("travelers/TW-2041/log.jsonl");
    let last: Json = serde_json::from_str(log.lines().last().unwrap()).unwrap();
    assert_eq!(last["entry"]["what"]["act"], "found", "{open:?}");
    assert_eq!(last["entry"]["what"]["reading"], "frame");
    assert!(last["entry"]["what"]["text"].as_str().unwrap().ends_with("cracked or bent"), "{last:#}");
}

/// Tried before: the cut's hold and the road release were signed with none of their
/// readings taken, and work began before the papers were reviewed.
#[test]
fn the_cut_the_road_and_the_start_wait_for_what_they_rest_on() {
    let bench = Bench::issued();
    let plan = demonstration(&bench);
    let point = |id: &str, role: &str| {
        let operation = plan.operations.iter().find(|o| o.id == id).unwrap();
        let holds = |p: &&Point| p.kind == PointKind::Hold && p.roles.iter().any(|r| r == role);
        operation.points().find(holds).unwrap().number.clone()
    };
    let review = plan.operations[0].points().find(|p| p.kind == PointKind::Review).unwrap();
    assert_eq!(review.number, "R1");
    for (number, role, by) in [
        (point("prove-knuckle", "lead"), "lead", "LO"),
        (point("cut-knuckles", "lead"), "lead", "LO"),
        (point("final-release", "inspector"), "inspector", "IO"),
    ] {
        let said = bench.no(&["sign", "TW-2041", &number, "--as", role, "--by", by], "R1");
        // R1 can't be signed by now: what is to be entered first is said.
        assert!(said.err.contains("L110") && said.err.contains("R1 waits itself"), "{}", said.err);
        assert!(said.err.contains("tackwright measure TW-2041 10.identity VALUE --by LO"), "{}", said.err);
    }
    // And the review rests on its own work: what lacks is listed, and how to enter it.
    let said = bench.no(&["sign", "TW-2041", "R1", "--as", "lead", "--by", "LO"], "still open");
    assert!(said.err.contains("reading 10.identity"), "{}", said.err);
}

/// A plan that moved: caster is wanted elsewhere now.
struct Moved;

impl Reckon for Moved {
    fn in_force(&self, _: &Frozen, _: &State) -> Option<Rc<InForce>> {
        None
    }

    fn verdict(&self, taken: &Measured, limits: Limits) -> Option<Judged> {
        let value: f64 = taken.value.as_ref()?.parse().ok()?;
        let inside =
            limits.lower.is_none_or(|l| value >= l.si()) && limits.upper.is_none_or(|u| value <= u.si());
        Some(Judged::Decided(if inside { Verdict::Conform } else { Verdict::NotConform }))
    }
}

#[test]
fn a_plan_that_moved_shuts_the_hold_on_what_no_longer_holds() {
    let plan = plan();
    let fit = plan.operations.iter().find(|o| o.key == "fit").unwrap();
    let test = plan.operations.iter().find(|o| o.key == "test").unwrap();
    let limits = Limits { kind: Kind::Angle, target: None, lower: Some(angle(7.0)), upper: Some(angle(8.0)) };
    let place = ("fit".to_owned(), "caster.left".to_owned());
    let asked = Asked { limits: Some(limits), target: Some("7 to 8".to_owned()) };
    let now = InForce { asked: [(place, asked)].into(), ..InForce::default() };
    let mut entries = fitted();
    let shut = |entries: &[Entry]| {
        let lost = no_longer(&plan, &fold(entries), &now, &Moved);
        let words: Vec<String> = lost.iter().map(|l| l.words.clone()).collect();
        (words, ask(entries, "12:00", |s| s.holds_still(test, &test.after[0], &lost)))
    };
    let (words, said) = shut(&entries);
    assert!(words.len() == 1 && words[0].contains("caster.left"), "{words:?}");
    code(said, "L117", "--again");
    // What was printed of the others is still asked.
    let right = fit.readings().find(|r| r.id == "caster.right").unwrap();
    assert_eq!(now.asked("fit", right).limits, right.limits);
    // A lead decides, or it is read again.
    let n = entries.len() as u64;
    let mut decided = entries.clone();
    decided.push(entry(n + 1, "11:00", "F1", found("F1", "fit", "caster.left")));
    assert!(shut(&decided).1.is_err());
    decided.push(entry(n + 2, "11:05", "LO", disposed("F1")));
    assert!(shut(&decided).1.is_ok());
    entries.push(entry(n + 1, "11:00", "F1", read("fit", "caster.left", 7.5)));
    assert!(shut(&entries).1.is_ok());
}

/// A tick says nothing about what its step reads: it waits for the reading, and can't
/// have been made before it. What was done in the morning is entered in the evening.
#[test]
fn a_safety_step_is_ticked_when_it_was_read() {
    use tackwright::record::moved::AsPrinted;
    use tackwright::record::replay::replay;
    let mut fit = operation("fit", 10, &[]);
    fit.steps = vec![Step {
        number: 1,
        level: Some(Level::Safety),
        readings: vec![caster("caster")],
        ..Step::default()
    }];
    let plan = Frozen {
        number: "T-1".to_owned(),
        revision: "A".to_owned(),
        operations: vec![fit],
        ..Frozen::default()
    };
    let ticked = |entries: &[Entry], time: &str| {
        let (register, state) = (register(), fold(entries));
        let at = DateTime::parse_from_rfc3339(&format!("2026-03-02T{time}:00-06:00")).unwrap();
        let scene = Scene {
            plan: &plan,
            state: &state,
            entries,
            register: &register,
            day: at.date_naive(),
            at: Some(at),
        };
        scene.tick_waits(&plan.operations[0], 1)
    };
    code(ticked(&[], "10:00"), "L118", "tackwright measure T-1 10.caster");
    let read_at = |n: u64, time: &str| entry(n, time, "F1", read("fit", "caster", 6.0));
    ticked(&[read_at(1, "09:00")], "10:00").unwrap();
    code(ticked(&[read_at(1, "09:00")], "08:00"), "L114", "can't rest on reading 10.caster");
    // The same rule when the log is gone through again, for logs begun under it.
    for (maker, told) in [(Some("1".to_owned()), 1), (None, 0)] {
        let issue = Issue {
            content: String::new(),
            made_by: maker,
            number: "T-1".to_owned(),
            plan: String::new(),
            revision: "A".to_owned(),
            ..Default::default()
        };
        let log = [
            entry(1, "07:00", "LO", Action::Issued { issue }),
            entry(2, "08:00", "F1", tick("fit", Some(1))),
        ];
        let against = replay(&[&plan], &log, &AsPrinted).against;
        assert_eq!(against.len(), told, "{against:?}");
    }
}
