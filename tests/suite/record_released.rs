//! A yes that isn't so, as outside eyes tried to get one: work that waits for less
//! than all before it, values below nothing, the cutter's own release, an acceptance
//! that outlives its weld. The rules, when an entry is made and gone through again.

use chrono::{DateTime, NaiveDate};
use tackwright::app::record::freeze::frozen;
use tackwright::diagnostic::Diagnostic;
use tackwright::quantity::{Dimensioned, Kind, Length, Quantity, unit};
use tackwright::record::agree::not_negative;
use tackwright::record::entry::{Action, By, Correction, Entry, Issue};
use tackwright::record::frozen::{Frozen, Limits, Name, Operation, Point, PointKind, RULES, Reading, Step};
use tackwright::record::moved::AsPrinted;
use tackwright::record::people::{Register, Signer};
use tackwright::record::replay::{Replayed, replay};
use tackwright::record::rules::Scene;
use tackwright::record::state::{State, fold};
use tackwright::term::{Judged, Level};

use super::plan::each;
use super::record_gates::{at, code, entry, operation, read, tick};
use super::routing_jobs::{job, planned};

pub(crate) fn safety() -> Vec<Step> {
    vec![Step { number: 1, level: Some(Level::Safety), ..Step::default() }]
}

pub(crate) fn degrees(id: &str) -> Reading {
    let limits = Limits { kind: Kind::Angle, target: None, lower: None, upper: None };
    Reading {
        id: id.to_owned(),
        label: id.to_owned(),
        level: Some(Level::Control),
        limits: Some(limits),
        ..Reading::default()
    }
}

pub(crate) fn hold(slot: &str, number: &str, roles: &[&str], rule: Option<&str>) -> Point {
    Point {
        slot: slot.to_owned(),
        number: number.to_owned(),
        kind: PointKind::Hold,
        roles: roles.iter().map(|r| (*r).to_owned()).collect(),
        meaning: "released".to_owned(),
        rule: rule.map(str::to_owned),
        ..Point::default()
    }
}

pub(crate) fn plan(operations: Vec<Operation>, rules: u32) -> Frozen {
    Frozen { number: "T-1".to_owned(), revision: "A".to_owned(), operations, rules, ..Frozen::default() }
}

pub(crate) fn person(id: &str, roles: &[&str]) -> Signer {
    Signer {
        id: id.to_owned(),
        name: id.to_owned(),
        roles: roles.iter().map(|r| (*r).to_owned()).collect(),
        ..Signer::default()
    }
}

fn register() -> Register {
    Register {
        people: vec![
            person("F1", &["fitter"]),
            person("LO", &["lead", "fitter", "inspector"]),
            person("LT", &["lead"]),
            person("IO", &["inspector"]),
            person("WO", &["welder"]),
        ],
        ..Register::default()
    }
}

/// Asks a question of a plan and what was entered, at a time of the day.
pub(crate) fn ask<T>(
    plan: &Frozen,
    entries: &[Entry],
    time: &str,
    question: impl FnOnce(&Scene<'_>) -> T,
) -> T {
    let (register, state) = (register(), fold(entries));
    let at = DateTime::parse_from_rfc3339(&format!("2026-03-02T{time}:00-06:00")).unwrap();
    let day = NaiveDate::from_ymd_opt(2026, 3, 2).unwrap();
    question(&Scene { plan, state: &state, entries, register: &register, day, at: Some(at) })
}

pub(crate) fn work(
    plan: &Frozen,
    entries: &[Entry],
    time: &str,
    who: &str,
    name: &str,
) -> Result<(), Diagnostic> {
    ask(plan, entries, time, |s| s.work(s.person(who)?, s.operation(name)?, false).map(drop))
}

pub(crate) fn sign(
    plan: &Frozen,
    entries: &[Entry],
    who: &str,
    role: &str,
    number: &str,
) -> Result<(), Diagnostic> {
    ask(plan, entries, "16:00", |s| {
        let operations = s.plan.operations.iter();
        let (operation, point) = operations
            .flat_map(|o| o.points().map(move |p| (o, p)))
            .find(|(_, p)| p.number == number)
            .unwrap();
        s.sign(s.person(who)?, role, operation, point).map(drop)
    })
}

pub(crate) fn issue() -> Entry {
    let issue = Issue {
        content: String::new(),
        made_by: Some("1".to_owned()),
        number: "T-1".to_owned(),
        plan: String::new(),
        revision: "A".to_owned(),
        ..Default::default()
    };
    entry(1, "07:00", "LO", Action::Issued { issue })
}

pub(crate) fn signed(key: &str, slot: &str, number: &str) -> Action {
    Action::Sign {
        identified: "not by PIN: the book has none".to_owned(),
        meaning: "released".to_owned(),
        operation: at(key),
        point: number.to_owned(),
        rests_on: Vec::new(),
        slot: slot.to_owned(),
    }
}

pub(crate) fn as_role(mut entry: Entry, role: &str) -> Entry {
    entry.by = By { role: role.to_owned(), ..entry.by };
    entry
}

/// The whole log once more; what is against the rules.
pub(crate) fn again(plan: &Frozen, entries: &[Entry]) -> Replayed {
    replay(&[plan], entries, &AsPrinted)
}

/// Torque, then a step of practice alone that follows it by the states, then the road.
fn road(rules: u32) -> Frozen {
    let mut torque = operation("torque", 10, &[]);
    torque.steps = safety();
    let mut other = operation("other", 20, &[]);
    other.steps = safety();
    let mut lower = operation("lower", 30, &[]);
    lower.steps = vec![Step { number: 1, level: Some(Level::Practice), ..Step::default() }];
    lower.follows = vec!["torque".to_owned()];
    let mut test = operation("road", 40, &["lower"]);
    test.steps = safety();
    test.follows = vec!["lower".to_owned()];
    let mut go = operation("release", 50, &["road"]);
    go.steps = safety();
    go.follows = vec!["road".to_owned()];
    go.lets_go = true;
    plan(vec![torque, other, lower, test, go], rules)
}

#[test]
fn a_test_rests_on_all_that_certainly_comes_before_it() {
    let plan = road(RULES);
    code(work(&plan, &[], "10:00", "F1", "road"), "L113", "10.1");
    let mut all = vec![issue(), entry(2, "09:00", "F1", tick("torque", Some(1)))];
    work(&plan, &all, "10:00", "F1", "road").unwrap();
    // Late entry of true work is taken; work in an order that can't be is not.
    work(&plan, &all, "09:01", "F1", "road").unwrap();
    code(work(&plan, &all, "08:00", "F1", "road"), "L114", "can't rest on step 10.1");
    // Taken back, it is missing again, whatever was entered on it since.
    all.push(entry(3, "10:00", "F1", tick("road", Some(1))));
    let mut back = entry(4, "10:30", "F1", Action::Withdrawn {});
    back.corrects = Some(Correction { entry: 2, reason: "not done".to_owned() });
    all.push(back);
    code(work(&plan, &all, "11:00", "F1", "release"), "L113", "10.1");
    code(work(&plan, &all, "11:00", "F1", "road"), "L113", "10.1");
    // Before the unit goes, nothing at all is missing: neither what no state puts
    // before it, nor initials, nor a decision.
    let mut all: Vec<Entry> = vec![issue()];
    for key in ["torque", "other", "road"] {
        let n = all.len() as u64 + 1;
        all.push(entry(n, "09:00", "F1", tick(key, Some(1))));
        all.push(entry(n + 1, "09:00", "F1", tick(key, None)));
    }
    code(work(&plan, &all, "11:00", "F1", "release"), "L113", "tick T-1 30 ");
    all.push(entry(8, "09:00", "F1", tick("lower", None)));
    work(&plan, &all, "11:00", "F1", "release").unwrap();
    let without =
        all.iter().filter(|e| !matches!(&e.what, Action::Tick { operation, .. } if operation.key == "other"));
    let without: Vec<Entry> = without.cloned().collect();
    code(work(&plan, &without, "11:00", "F1", "release"), "L113", "20.1");
    let found = Action::Found {
        found: "F1".to_owned(),
        operation: at("other"),
        photos: Vec::new(),
        reading: None,
        text: "rub mark".to_owned(),
    };
    all.push(entry(9, "10:00", "F1", found));
    code(work(&plan, &all, "11:00", "F1", "release"), "L122", "operation 50 must wait");
}

#[test]
fn verify_asks_the_same_of_new_plans_and_the_old_of_old_ones() {
    let log = [issue(), entry(2, "10:00", "F1", tick("road", Some(1)))];
    let told = again(&road(RULES), &log).against;
    assert!(told.len() == 1 && told[0].1.contains("step 10.1"), "{told:?}");
    assert_eq!(again(&road(0), &log).against, Vec::new());
    // What was frozen before is read as it stands.
    let text = serde_json::to_string(&road(0)).unwrap();
    for later in ["rules", "never_negative", "not_below", "worked_by", "concerns"] {
        assert!(!text.contains(&format!("\"{later}\"")), "{later} is written only where it says something");
    }
    assert_eq!(serde_json::from_str::<Frozen>(&text).unwrap(), road(0));
}

/// Tried: a road test before the torque of the part that was bolted on.
#[test]
fn every_torque_is_entered_before_the_road_test_of_every_job() {
    let bolted = job(&[("bolt-on", "unit"), ("final", "front")]);
    let before = |plan: &Frozen, key: &str| -> Vec<String> {
        let mut open = vec![key.to_owned()];
        let mut found: Vec<String> = Vec::new();
        while let Some(one) = open.pop() {
            let operation = plan.operations.iter().find(|o| o.key == one).unwrap();
            for key in operation.builds_on.iter().chain(&operation.follows) {
                if !found.contains(key) {
                    found.push(key.clone());
                    open.push(key.clone());
                }
            }
        }
        found
    };
    let mut roads = 0;
    let mut look = |name: &str, plan: &Frozen| {
        assert_eq!(plan.rules, RULES);
        let Some(road) = plan.operations.iter().find(|o| o.id == "road-test") else { return };
        roads += 1;
        let all = before(plan, &road.key);
        let place = plan.place(&road.key).unwrap();
        // What asks for nothing itself is proved where its bolts are asked for.
        let asks = |o: &&Operation| {
            o.readings().any(|r| r.asked()) || o.steps.iter().any(|s| s.level == Some(Level::Safety))
        };
        let torques = plan.operations.iter().take(place).filter(|o| o.acts.iter().any(|a| a == "torque"));
        for torque in torques.filter(asks) {
            assert!(all.contains(&torque.key), "{name}: {} does not wait for {}", road.key, torque.key);
            code(work_of_any(plan, &road.key, &[], &torque.key), "L113", &format!("{}.", torque.number));
        }
        let go = plan.operations.iter().filter(|o| o.lets_go).count();
        assert!(go >= 1, "{name}: something lets the unit go");
    };
    each(|name, planned, _| look(name, &frozen(&planned.resolved, "0")));
    let bolted = planned(&bolted, &[], |planned, _| frozen(&planned.resolved, "0")).unwrap();
    assert!(bolted.operations.iter().any(|o| o.id == "fit-part"), "the part is bolted on");
    look("bolt-on", &bolted);
    assert!(roads >= 4, "{roads}");
}

/// Work at an operation with all but one of the operations before it entered.
fn work_of_any(plan: &Frozen, key: &str, entries: &[Entry], but: &str) -> Result<(), Diagnostic> {
    let mut state = fold(entries);
    let mark = |by: &str| tackwright::record::state::Mark {
        by: By { id: by.to_owned(), ..By::default() },
        ..Default::default()
    };
    for other in &plan.operations {
        for point in other.points() {
            let all = point.roles.iter().map(|role| tackwright::record::state::Signed {
                mark: tackwright::record::state::Mark {
                    by: By { role: role.clone(), ..By::default() },
                    ..Default::default()
                },
                how: "pin".to_owned(),
                meaning: String::new(),
                waived: false,
                seen_by: None,
            });
            state.points.insert((other.key.clone(), point.slot.clone()), all.collect());
        }
        if other.key == but {
            continue;
        }
        for step in &other.steps {
            state.ticks.insert((other.key.clone(), step.number), mark("X1"));
        }
        for reading in other.readings() {
            let Action::Measure { reading: one } = read(&other.key, &reading.id, 1.0) else { unreachable!() };
            state.readings.insert((other.key.clone(), reading.id.clone()), (*one, mark("X1")));
        }
    }
    // Without it, as if it was taken back.
    state.taken_back.insert(but.to_owned());
    let register = register();
    let day = NaiveDate::from_ymd_opt(2026, 3, 2).unwrap();
    let scene = Scene { plan, state: &state, entries: &[], register: &register, day, at: None };
    scene.work_waits(plan.operations.iter().find(|o| o.key == key).unwrap())
}

#[test]
fn what_cant_be_negative_is_not() {
    let mm = |v: f64| Quantity::from(Length::of(v, unit::MM)).si();
    let limits = Limits {
        kind: Kind::Length,
        target: None,
        lower: None,
        upper: Some(Quantity::from(Length::of(1.0, unit::MM))),
    };
    let gap =
        Reading { label: "gap".to_owned(), limits: Some(limits), never_negative: true, ..Reading::default() };
    code(not_negative(&gap, mm(-3.0)), "L135", "without a sign");
    not_negative(&gap, 0.0).unwrap();
    not_negative(&Reading { never_negative: false, ..gap }, mm(-3.0)).unwrap();
    // Every length of every job says which it is; a signed one is limited both ways.
    let (mut never, mut signed) = (0, 0);
    each(|name, planned, _| {
        let plan = frozen(&planned.resolved, "0");
        for reading in plan.operations.iter().flat_map(Operation::readings) {
            let Some(limits) = reading.limits.filter(|l| l.kind != Kind::Temperature) else { continue };
            if reading.never_negative {
                never += 1;
                let below =
                    limits.upper.is_some_and(|u| u.si() < 0.0) || limits.target.is_some_and(|t| t.si() < 0.0);
                assert!(!below, "{name} {}", reading.id);
            } else {
                signed += 1;
                let above = limits.upper.is_some() && limits.lower.is_none();
                assert!(!above, "{name} {}: any value below conforms", reading.id);
                assert!(matches!(limits.kind, Kind::Angle | Kind::Length), "{name} {}", reading.id);
            }
        }
    });
    assert!(never > 50 && signed > 20, "{never} {signed}");
}

#[test]
fn the_hottest_is_not_below_the_coldest() {
    let name = |id: &str| Name { operation: "weld".to_owned(), reading: id.to_owned() };
    let mut weld = operation("weld", 10, &[]);
    let hot = Reading { not_below: vec![name("coldest")], ..degrees("hottest") };
    weld.steps = vec![Step {
        number: 1,
        level: Some(Level::Control),
        readings: vec![degrees("coldest"), hot],
        ..Step::default()
    }];
    weld.after.push(hold("after.1", "H1", &["lead"], None));
    let plan = plan(vec![weld], RULES);
    let log = |cold: f64, hot: f64| {
        vec![
            issue(),
            entry(2, "09:00", "F1", read("weld", "coldest", cold)),
            entry(3, "09:30", "F1", read("weld", "hottest", hot)),
            entry(4, "09:40", "F1", tick("weld", None)),
        ]
    };
    sign(&plan, &log(5.0, 5.0), "LT", "lead", "H1").unwrap();
    code(sign(&plan, &log(5.0, 4.0), "LT", "lead", "H1"), "L116", "is below 10.coldest");
    // Whichever was read last.
    let stops = fold(&log(9.0, 4.0)).stops(&plan, &plan.operations[0]);
    assert!(stops.len() == 1 && stops[0].of.len() == 2, "{stops:?}");
    // Every weld of every job says it of its heat.
    let mut welds = 0;
    each(|name, planned, _| {
        let plan = frozen(&planned.resolved, "0");
        for operation in &plan.operations {
            for hottest in operation.readings().filter(|r| r.id.split('.').next() == Some("interpass")) {
                welds += 1;
                let to = hottest.not_below.first().unwrap_or_else(|| panic!("{name} {}", hottest.id));
                assert_eq!(
                    to.reading.split_once('.').map(|(_, j)| j),
                    hottest.id.split_once('.').map(|(_, j)| j)
                );
                assert!(operation.readings().any(|r| r.id == to.reading), "{name} {}", to.reading);
            }
        }
    });
    assert!(welds > 6, "{welds}");
}

/// Marks by a fitter, a cut by a welder behind the lead's hold, a torque and its hold.
fn cut(role_of_hold: &str) -> Frozen {
    let mut mark = operation("mark", 10, &[]);
    mark.steps = safety();
    let mut cut = operation("cut", 20, &["mark"]);
    cut.role = "welder".to_owned();
    cut.steps = safety();
    cut.acts = vec!["cut-permanent".to_owned()];
    cut.before.push(hold("before.1", "H1", &[role_of_hold], Some("cut-hold")));
    let mut torque = operation("torque", 30, &["cut"]);
    torque.steps = safety();
    torque.after.push(hold("after.1", "H2", &["lead"], None));
    plan(vec![mark, cut, torque], RULES)
}

#[test]
fn who_marks_or_cuts_does_not_release_the_cut() {
    let plan = cut("lead");
    let marked = |who: &str| {
        vec![
            issue(),
            entry(2, "08:00", who, tick("mark", Some(1))),
            entry(3, "08:00", who, tick("mark", None)),
        ]
    };
    code(sign(&plan, &marked("LO"), "LO", "lead", "H1"), "L125", "it takes a second person");
    sign(&plan, &marked("F1"), "LO", "lead", "H1").unwrap();
    sign(&plan, &marked("LO"), "LT", "lead", "H1").unwrap();
    // And who released it does not make it.
    let mut released = marked("F1");
    released.push(as_role(entry(4, "09:00", "LO", signed("cut", "before.1", "H1")), "lead"));
    code(work(&plan, &released, "10:00", "LO", "cut"), "L156", "released operation 20 at H1");
    work(&plan, &released, "10:00", "WO", "cut").unwrap();
    // A hold that gives the release to the cutter's own role asks for another one too.
    let own = cut("welder");
    let mut released = marked("F1");
    released.push(as_role(entry(4, "09:00", "WO", signed("cut", "before.1", "H1")), "welder"));
    code(work(&own, &released, "10:00", "WO", "cut"), "L156", "second person");
    // Every other hold: the lead who tightened does not release the torque.
    let mut done = marked("F1");
    done.push(as_role(entry(4, "09:00", "LT", signed("cut", "before.1", "H1")), "lead"));
    done.push(as_role(entry(5, "10:00", "WO", tick("cut", Some(1))), "welder"));
    done.push(entry(6, "11:00", "LO", tick("torque", Some(1))));
    done.push(entry(7, "11:00", "LO", tick("torque", None)));
    code(sign(&plan, &done, "LO", "lead", "H2"), "L125", "did the work of operation 30");
    sign(&plan, &done, "LT", "lead", "H2").unwrap();
    // `verify` says the same of a log that was written otherwise.
    done.push(as_role(entry(8, "12:00", "LO", signed("torque", "after.1", "H2")), "lead"));
    let told = again(&plan, &done).against;
    assert!(told.iter().any(|(n, why)| *n == 8 && why.contains("second person")), "{told:?}");
    let old = Frozen { rules: 0, ..plan };
    assert_eq!(again(&old, &done).against, Vec::new());
}

/// Who releases a weld does not make it, wherever what is released is written: in the work
/// before the hold, or, on papers of an older day, in the weld under it. Common practice.
#[test]
fn who_releases_a_weld_does_not_make_it() {
    let boxes = || {
        let released = Reading { limits: None, level: Some(Level::Safety), ..degrees("released-by.J1") };
        Step { number: 2, level: Some(Level::Safety), readings: vec![released], ..Step::default() }
    };
    let of = |above: bool| {
        let mut fit = operation("fit", 10, &[]);
        fit.role = "fitter".to_owned();
        fit.steps = safety();
        let mut tack = operation("tack", 20, &["fit"]);
        tack.role = "welder".to_owned();
        tack.steps = safety();
        tack.acts = vec!["tack".to_owned()];
        tack.before
            .push(Point { rests_on: vec!["fit".to_owned()], ..hold("before.1", "H1", &["lead"], None) });
        if above {
            fit.steps.push(Step { by: Some("lead".to_owned()), ..boxes() });
        } else {
            tack.steps.push(boxes());
        }
        plan(vec![fit, tack], RULES)
    };
    let worded = |n, time: &str, who, key: &str| {
        let Action::Measure { mut reading } = read(key, "released-by.J1", 0.0) else { unreachable!() };
        (reading.kind, reading.value) = (None, None);
        (reading.text, reading.verdict) = ("WPS-12, LT".to_owned(), Judged::Recorded);
        as_role(entry(n, time, who, Action::Measure { reading }), "lead")
    };
    let fitted = |who: &str| {
        vec![issue(), entry(2, "08:00", who, tick("fit", Some(1))), entry(3, "08:00", who, tick("fit", None))]
    };
    let release = |n| as_role(entry(n, "09:00", "LO", signed("tack", "before.1", "H1")), "lead");
    for above in [true, false] {
        let plan = of(above);
        let mut log = fitted("F1");
        if above {
            code(sign(&plan, &log, "LO", "lead", "H1"), "L115", "released-by");
            log.push(worded(4, "08:30", "LO", "fit"));
            // What the fitting says is the lead's own once the lead did it.
            let mut own = fitted("LO");
            own.push(worded(4, "08:30", "LT", "fit"));
            code(sign(&plan, &own, "LO", "lead", "H1"), "L125", "it takes a second person");
        }
        // To write down what is released is no work that is released.
        sign(&plan, &log, "LO", "lead", "H1").unwrap();
        log.push(release(log.len() as u64 + 1));
        code(work(&plan, &log, "10:00", "LO", "tack"), "L156", "released operation 20 at H1");
        work(&plan, &log, "10:00", "WO", "tack").unwrap();
        // `verify` says the same of a log that was written otherwise.
        log.push(entry(log.len() as u64 + 1, "10:00", "LO", tick("tack", Some(1))));
        let told = again(&plan, &log).against;
        let last = log.len() as u64;
        assert!(told.iter().any(|(n, why)| *n == last && why.contains("second person")), "{told:?}");
    }
}

/// In the procedures, the marks of a cut are among what its hold directly rests on.
#[test]
fn a_cut_hold_speaks_of_the_marks() {
    let mut cuts = 0;
    each(|name, planned, _| {
        let plan = frozen(&planned.resolved, "0");
        for cut in plan.operations.iter().filter(|o| o.acts.iter().any(|a| a == "cut-permanent")) {
            let Some(point) = cut.before.iter().find(|p| p.rule.as_deref() == Some("cut-hold")) else {
                continue;
            };
            cuts += 1;
            let mut marked = false;
            for other in plan
                .operations
                .iter()
                .filter(|o| cut.follows.contains(&o.key) || cut.builds_on.contains(&o.key))
            {
                let mut state = State::default();
                for step in &other.steps {
                    let by = By { id: "LO".to_owned(), name: "LO".to_owned(), role: other.role.clone() };
                    state.ticks.insert(
                        (other.key.clone(), step.number),
                        tackwright::record::state::Mark { by, ..Default::default() },
                    );
                }
                marked |= other.role != point.roles[0] && !state.ticks.is_empty();
            }
            assert!(marked, "{name} {}: {:?}", cut.key, cut.follows);
        }
    });
    assert!(cuts >= 2, "{cuts}");
}

/// The acceptance holds of the demonstrations know what works on their joints.
#[test]
fn acceptances_know_what_works_on_their_joints() {
    let mut acceptances = 0;
    each(|name, planned, _| {
        let plan = frozen(&planned.resolved, "0");
        for operation in &plan.operations {
            for point in operation.points().filter(|p| p.rule.as_deref() == Some("acceptance")) {
                acceptances += 1;
                let welds = plan.operations.iter().filter(|o| o.acts.iter().any(|a| a == "arc"));
                let own = welds.filter(|o| o.joints.iter().any(|j| operation.joints.contains(j)));
                for weld in own {
                    assert!(point.worked_by.contains(&weld.key), "{name} {} {}", point.number, weld.key);
                }
                assert!(
                    !point.worked_by.is_empty() && point.worked_by.iter().all(|k| point.concerns.contains(k))
                );
            }
        }
    });
    assert!(acceptances >= 4, "{acceptances}");
}

#[test]
fn verify_tells_words_that_say_nothing_where_the_rule_held() {
    let found = |text: &str| Action::Found {
        found: "F1".to_owned(),
        operation: at("other"),
        photos: Vec::new(),
        reading: None,
        text: text.to_owned(),
    };
    for (text, rules, told) in [(".", RULES, 1), (".", 0, 0), ("rub mark", RULES, 0), ("", 0, 1)] {
        let log = [issue(), entry(2, "10:00", "F1", found(text))];
        assert_eq!(again(&road(rules), &log).against.len(), told, "{text:?} {rules}");
    }
}

/// The words a hand ticks before the unit goes are true where they stand.
#[test]
fn the_final_inspection_speaks_of_what_comes_before_it() {
    each(|name, planned, _| {
        let plan = frozen(&planned.resolved, "0");
        let Some(last) = plan.operations.iter().find(|o| o.id == "final-release") else { return };
        assert!(last.lets_go, "{name}");
        let text = &last.steps[0].text;
        assert!(text.contains("every hold before this one"), "{name}: {text}");
        assert!(!text.contains("every hold signed"), "{name}: {text}");
    });
}
