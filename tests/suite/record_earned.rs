//! No yes without what it rests on, and no honest work without a way to show it.

use chrono::DateTime;
use clap::Parser;
use tackwright::cli::Cli;
use tackwright::quantity::{Kind, Quantity};
use tackwright::record::agree::choose;
use tackwright::record::back_dated::back_dated;
use tackwright::record::entry::{Action, Entry, Issue, TakenIn};
use tackwright::record::frozen::{
    Choice, Derived, Frozen, Limits, LotAsk, Name, Operation, Point, PointKind, RULES, Reading, Step,
};
use tackwright::record::hours::remarks;
use tackwright::record::let_be::let_be;
use tackwright::record::state::{State, fold};
use tackwright::record::surely;
use tackwright::record::unit_seen;
use tackwright::term::{Disposition, Does, Judged, Level, Take, Verdict};

use super::record_gates::{at, code, entry, issued, operation, read, tick};
use super::record_held::{ask, decided, found, plan, welded, work};
use crate::support::bench::{Bench, UNIT};

fn today() -> Frozen {
    Frozen { rules: RULES, ..plan() }
}

/// An entry of a sheet whose column of times was left empty.
fn timeless(mut one: Entry) -> Entry {
    one.taken_in = Some(Box::new(TakenIn {
        by: "F1".to_owned(),
        picture: None,
        place: "line 3".to_owned(),
        sha256: String::new(),
        way: tackwright::form::Way::Sheet,
    }));
    one.clock = Some(one.at.clone());
    one
}

#[test]
fn a_weld_without_a_time_is_out_when_it_was_taken_in() {
    let plan = today();
    let mut sheet = welded();
    sheet[2] = timeless(sheet[2].clone());
    code(work(&plan, &sheet, "09:01", "accept"), "L179", "with its own time in the column when");
    work(&plan, &sheet, "09:12", "accept").unwrap();
    // Rules of before counted from nothing.
    work(&Frozen { rules: 9, ..plan.clone() }, &sheet, "09:01", "accept").unwrap();
    // What waits two hours waits them from then, whether it is a test or not.
    let mut wait = plan;
    let blanket = Reading {
        id: "cooling".to_owned(),
        level: Some(Level::Safety),
        choices: vec![Choice { word: "covered".to_owned(), ..Choice::default() }],
        after_arc: Some(Quantity::from_si(Kind::Time, 7200.0)),
        ..Reading::default()
    };
    wait.operations[1].steps[0].readings.push(blanket.clone());
    let cold = |time: &str| {
        ask(&wait, &sheet, time, |s| s.in_time(s.operation("weld")?, &blanket, Some(Does::Conforms)))
    };
    code(cold("02T10:30"), "L179", "is taken 2 h after the last arc or later");
    cold("02T11:00").unwrap();
}

#[test]
fn hours_since_an_arc_without_a_time_are_between_what_it_rests_on_and_its_taking_in() {
    let mut plan = today();
    let number = Limits { kind: Kind::Number, target: None, lower: None, upper: None };
    let waited = Reading {
        id: "waited".to_owned(),
        level: Some(Level::Control),
        limits: Some(number),
        since_arc: true,
        ..Reading::default()
    };
    plan.operations[4].steps[0].readings.push(waited.clone());
    // Fit-up read until 08:05; the weld taken in at 17:00; the test the day after.
    let mut log = welded();
    log[2] = timeless(entry(3, "17:00", "F1", read("weld", "interpass", 5.0)));
    let asked = |hours: f64| {
        ask(&plan, &log, "03T17:00", |s| {
            s.since_arc(s.operation("accept")?, &waited, Quantity::from_si(Kind::Number, hours))
        })
    };
    for hours in [24.0, 26.0, 32.0, 34.0] {
        asked(hours).unwrap_or_else(|p| panic!("{hours}: {}", p.message));
    }
    for hours in [21.0, 36.0, 48.0] {
        code(asked(hours), "L232", "by the log it was 24.0 h");
    }
}

/// An old repair found on bare metal, the work a revision brought in for it, and what lets go.
fn mended(with_hold: bool) -> Frozen {
    let step =
        |readings: Vec<Reading>| Step { number: 1, level: Some(Level::Control), readings, ..Step::default() };
    let word = |word: &str, does: Does| Choice { word: word.to_owned(), does, ..Choice::default() };
    let old = Reading {
        id: "old-work".to_owned(),
        level: Some(Level::Safety),
        choices: vec![word("none", Does::Conforms), word("old repair", Does::Found)],
        ..Reading::default()
    };
    let look = Operation { steps: vec![step(vec![old])], ..operation("front/look", 10, &[]) };
    let seen = Reading {
        id: "penetrant".to_owned(),
        level: Some(Level::Safety),
        choices: vec![word("clear", Does::Conforms)],
        ..Reading::default()
    };
    let mut dress = Operation { steps: vec![step(vec![seen])], ..operation("front/dress", 20, &[]) };
    dress.acts = vec!["grind".to_owned()];
    dress.follows = vec!["front/look".to_owned()];
    if with_hold {
        dress.after = vec![Point {
            slot: "after.1".to_owned(),
            number: "H3".to_owned(),
            kind: PointKind::Hold,
            roles: vec!["inspector".to_owned()],
            ..Point::default()
        }];
    }
    let later = Operation {
        follows: vec!["front/dress".to_owned()],
        steps: vec![step(vec![Reading { id: "gap".to_owned(), ..read_angle() }])],
        ..operation("front/later", 30, &[])
    };
    Frozen { operations: vec![look, dress, later], ..today() }
}

fn read_angle() -> Reading {
    let angle = Limits { kind: Kind::Angle, target: None, lower: None, upper: None };
    Reading { level: Some(Level::Control), limits: Some(angle), ..Reading::default() }
}

fn word(key: &str, id: &str, text: &str, verdict: Verdict) -> Action {
    let Action::Measure { mut reading } = read(key, id, 1.0) else { unreachable!() };
    (reading.kind, reading.value) = (None, None);
    (reading.text, reading.verdict) = (text.to_owned(), Judged::Decided(verdict));
    Action::Measure { reading }
}

/// The old repair found, to be repaired, and a revision that brings the dressing in.
fn to_be_dressed() -> Vec<Entry> {
    let revised = Action::Revised {
        from: "A".to_owned(),
        issue: Issue { number: "T-1".to_owned(), revision: "B".to_owned(), ..Issue::default() },
        kept: vec!["front/look".to_owned(), "front/later".to_owned()],
        reason: "F1: repair added".to_owned(),
        removed: Vec::new(),
        reopened: Vec::new(),
    };
    let mut one = found(3, "08:10", "front/look", Some("old-work"));
    if let Action::Found { text, .. } = &mut one.what {
        text.push_str(" of the left tube");
    }
    vec![
        issued("LO"),
        entry(2, "08:10", "F1", word("front/look", "old-work", "old repair", Verdict::NotConform)),
        one,
        decided(4, "08:20", "repair"),
        entry(5, "08:30", "LO", revised),
    ]
}

/// What keeps the unit because it is not shown put right.
fn not_shown(plan: &Frozen, log: &[Entry]) -> Vec<String> {
    ask(plan, log, "02T20:00", |s| s.not_put_right().map(|one| one.way_out).collect())
}

fn signed(n: u64, time: &str) -> Entry {
    let what = Action::Sign {
        identified: String::new(),
        meaning: "dressed place clear".to_owned(),
        operation: at("front/dress"),
        point: "H3".to_owned(),
        rests_on: Vec::new(),
        slot: "after.1".to_owned(),
    };
    let mut one = entry(n, time, "IO", what);
    one.by.role = "inspector".to_owned();
    one
}

#[test]
fn work_issued_for_a_condition_shows_it_put_right_by_its_own_hold() {
    let plan = mended(true);
    let mut log = to_be_dressed();
    let open = not_shown(&plan, &log);
    assert!(
        open.len() == 1 && open[0].contains("the work that was issued for it is done and signed"),
        "{open:?}"
    );
    log.push(entry(6, "09:00", "F1", word("front/dress", "penetrant", "clear", Verdict::Conform)));
    log.push(entry(7, "09:00", "F1", tick("front/dress", None)));
    assert_eq!(not_shown(&plan, &log).len(), 1, "its hold is not signed");
    log.push(signed(8, "09:10"));
    assert!(not_shown(&plan, &log).is_empty());
    let state = fold(&log);
    assert!(state.signed_right(&plan, &state.founds[0])[0].contains("H3 signed by IO"));
    // Nobody reads "none" where the dressed repair still is.
    ask(&plan, &log, "02T10:00", |s| s.work(s.person("F1")?, s.operation("front/later")?, true).map(drop))
        .unwrap();
}

#[test]
fn work_without_a_hold_shows_nothing_and_keeps_what_comes_after_it() {
    let plan = mended(false);
    let mut log = to_be_dressed();
    log.push(entry(6, "09:00", "F1", word("front/dress", "penetrant", "clear", Verdict::Conform)));
    log.push(entry(7, "09:00", "F1", tick("front/dress", None)));
    let open = not_shown(&plan, &log);
    assert!(open.len() == 1 && open[0].contains("with a hold of its own over it"), "{open:?}");
    let later = ask(&plan, &log, "02T10:00", |s| {
        s.work(s.person("F1")?, s.operation("front/later")?, true).map(drop)
    });
    code(later, "L221", "not read right since");
    // Read again as it is now: after the work that mends it, and not before.
    let again = |time: &str| {
        let mut log = log.clone();
        log.push(entry(8, time, "F1", word("front/look", "old-work", "none", Verdict::Conform)));
        not_shown(&plan, &log).len()
    };
    assert_eq!((again("08:45"), again("09:05")), (1, 0));
}

#[test]
fn what_was_filed_twice_is_decided_once() {
    let plan = mended(true);
    let mut log = to_be_dressed();
    let mut second = found(6, "08:40", "front/look", Some("old-work"));
    if let Action::Found { found, .. } = &mut second.what {
        *found = "F2".to_owned();
    }
    log.push(second);
    let may = |reason: &str| {
        ask(&plan, &log, "02T09:00", |s| s.answers_for(&s.state.founds[1], Disposition::UseAsIs, reason))
    };
    code(may("looks good to me"), "L324", "is a safety reading and fails");
    let said = may("seen 2026-03-02").unwrap_err();
    assert!(said.help.iter().any(|h| h.contains("--reason \"same as F1\"")), "{:?}", said.help);
    may("same as F1").unwrap();
    may("letter of the maker no. 44-3").unwrap();
    assert!(may("same as F7").is_err() && may("same as F2").is_err());
}

#[test]
fn a_repair_of_one_joint_asks_the_readings_of_that_joint() {
    let mut plan = today();
    let weld = &mut plan.operations[1];
    weld.joints = vec!["J1".to_owned(), "J2".to_owned()];
    let reading = |id: &str| {
        let mut one = Reading { id: id.to_owned(), ..read_angle() };
        one.limits = one.limits.map(|l| Limits { upper: Some(Quantity::from_si(Kind::Angle, 9.0)), ..l });
        one
    };
    weld.steps[0].readings = vec![reading("cap.J1"), reading("cap.J2")];
    let cap =
        |n: u64, time: &str, joint: &str| entry(n, time, "F1", read("weld", &format!("cap.{joint}"), 5.0));
    let shown = |text: &str| {
        let mut one = found(4, "10:00", "weld", None);
        if let Action::Found { text: told, .. } = &mut one.what {
            *told = text.to_owned();
        }
        let log = [
            issued("LO"),
            cap(2, "09:00", "J1"),
            cap(3, "09:00", "J2"),
            one,
            decided(5, "10:10", "repair"),
            cap(6, "11:00", "J1"),
        ];
        let state = fold(&log);
        state.shown_right(&plan, &state.founds[0]).len()
    };
    assert_eq!(shown("crater crack at J1, ground and run again"), 1);
    assert_eq!(shown("crater cracks at J1 and J2"), 0);
    assert_eq!(shown("crater crack at the toe"), 0, "no joint is named: all of it is looked at");
}

/// A unit with an odometer, taken in, left and looked at again.
fn driven() -> (Frozen, Vec<Entry>) {
    let text = |id: &str| Reading { id: id.to_owned(), level: Some(Level::Control), ..Reading::default() };
    let one = |key: &str, number: u32, id: &str, words: &str| Operation {
        steps: vec![Step {
            number: 1,
            text: words.to_owned(),
            level: Some(Level::Control),
            readings: vec![text(id)],
            ..Step::default()
        }],
        ..operation(key, number, &[])
    };
    let mut check = one("check", 30, "miles", "After 160 km, at the latest 800 km (common practice).");
    check.deferred = true;
    let plan = Frozen {
        identification: Some("chassis 9-77".to_owned()),
        meter: Some("84 200 km".to_owned()),
        operations: vec![one("in", 10, "identity", ""), one("out", 20, "meter", ""), check],
        ..today()
    };
    let log = vec![
        issued("LO"),
        entry(2, "08:00", "F1", word("in", "identity", "chassis 9-77, 84 210 km", Verdict::Conform)),
        entry(3, "09:00", "F1", word("out", "meter", "84 230 km", Verdict::Conform)),
    ];
    (plan, log)
}

#[test]
fn the_plate_and_the_odometer_are_those_of_the_job() {
    let (plan, log) = driven();
    let (empty, state) = (State::default(), fold(&log));
    let why = |place: usize, text: &str| {
        let (operation, before) = (&plan.operations[place], if place == 0 { &empty } else { &state });
        let reading = operation.readings().next().unwrap();
        unit_seen::unlike(&plan, before, (operation, reading), text, u64::MAX).unwrap_or_default()
    };
    assert_eq!(why(0, "chassis 9-77, 84 210 km"), "");
    for (text, said) in [
        ("chassis 8-11, 84 210 km", "does not name \"chassis 9-77\""),
        ("not 9-77 but 8-11, 84 210 km", "names 8-11 beside"),
        ("9-770, 84 210 km", "does not name"),
        ("84 210 km", "does not name"),
        ("9-77", "tells no odometer"),
        ("9-77, 131 950 mi", "in another unit"),
        ("9-77, 84 100 km", "less than"),
        ("9-77, 98 000 km", "13800 km more than"),
    ] {
        assert!(why(0, text).contains(said), "{text}: {}", why(0, text));
    }
    assert_eq!(why(1, "84 230 km"), "");
    for text in ["184 230 km", "84 230 mi", "84 209 km", "8423O km", "unknown", "84 230 h"] {
        assert_ne!(why(1, text), "", "{text}");
    }
    // A follow-up proves something after the distance it is for.
    assert_eq!(why(2, "84 390 km"), "");
    assert!(why(2, "84 231 km").contains("1 km after 84 230 km"), "{}", why(2, "84 231 km"));
    // And not long after it.
    assert_eq!(why(2, "85 030 km"), "");
    assert!(why(2, "93 000 km").contains("8770 km after 84 230 km"), "{}", why(2, "93 000 km"));
    assert!(why(2, "85 031 km").contains("is for 800 km at the latest"), "{}", why(2, "85 031 km"));
    let ran = |text: &str, words: &str| {
        let mut check = plan.operations[2].clone();
        words.clone_into(&mut check.steps[0].text);
        let reading = check.readings().next().unwrap();
        unit_seen::unlike(&plan, &state, (&check, reading), text, u64::MAX)
    };
    assert_eq!(ran("84 870 km", "After 160 km (common practice)."), None);
    assert!(ran("84 871 km", "After 160 km (common practice).").unwrap().contains("is for 160 km"));
    // Rules of before were not asked.
    let old = Frozen { rules: 9, ..plan.clone() };
    let reading = old.operations[2].readings().next().unwrap();
    assert!(unit_seen::unlike(&old, &state, (&old.operations[2], reading), "84 231 km", u64::MAX).is_none());
}

#[test]
fn what_was_entered_all_the_same_stands_among_the_exceptions() {
    let bench = Bench::issued();
    let write = ["measure", "TW-2041", "10.identity", "frame 11-111, 84 210 mi", "--by", "LO"];
    bench.no(&write, "does not name \"asset UV-7-114\"");
    bench.yes(&[&write[..], &["--sure"]].concat());
    bench.yes(&["complete", "TW-2041", "--by", "LO"]);
    let verified = bench.run(&["verify", "travelers/TW-2041/TW-2041-completed.pdf"]);
    let all = format!("{}{}", verified.out, verified.err);
    assert!(all.contains("frame 11-111") && all.contains("entered all the same"), "{all}");
    let (plan, mut log) = driven();
    log[1] = entry(2, "08:00", "F1", word("in", "identity", "chassis 8-11, 84 210 km", Verdict::Conform));
    let state = fold(&log);
    let told = surely::entered(&plan, &state);
    assert!(told.len() == 1 && told[0].why.contains("8-11") && told[0].why.contains("9-77"), "{told:?}");
    assert!(
        let_be(&plan, &state, &log).iter().any(|one| one.starts_with("10.identity: entered all the same"))
    );
    assert!(UNIT.starts_with("UV-7-114"));
}

#[test]
fn a_lot_has_a_number_and_a_report_says_nothing_of_what_it_found() {
    let plan = today();
    let ask_for = LotAsk { kind: "filler".to_owned(), designations: vec!["ER70S-6".to_owned()] };
    let lot = |text: &str| ask(&plan, &welded(), "02T10:00", |s| s.lots(&ask_for, text));
    lot("7A-4471").unwrap();
    for text in ["none", "spool without label", "7A-4471, none"] {
        code(lot(text), "L317", "is no number of a lot");
    }
    let choice = |word: &str, does: Does, paper: bool| Choice {
        word: word.to_owned(),
        does,
        paper,
        ..Choice::default()
    };
    let cracks = Reading {
        id: "cracks".to_owned(),
        choices: vec![choice("by report", Does::Conforms, true), choice("indication", Does::Found, false)],
        ..Reading::default()
    };
    assert!(choose(&cracks, "by report: PT-114, 2026-03-01", RULES).is_ok());
    code(choose(&cracks, "by report: MT-114 shows cracks", RULES), "L316", "says what the paper found");
    assert!(choose(&cracks, "by report: MT-114 shows cracks", 9).is_ok());
}

#[test]
fn what_somebody_answers_for_is_given_when_it_is_entered() {
    let plan = mended(true);
    let mut log = to_be_dressed();
    let clock = |one: &mut Entry, time: &str| one.clock = Some(format!("2026-03-02T{time}:00-06:00"));
    for one in &mut log {
        let at = DateTime::parse_from_rfc3339(&one.at).unwrap();
        one.clock = Some(at.to_rfc3339());
    }
    assert!(
        back_dated(&plan, &log).is_empty()
            && remarks(&plan, &log).iter().all(|r| !r.words.contains("written down in"))
    );
    clock(&mut log[3], "19:00");
    let late = back_dated(&plan, &log);
    assert_eq!(late.iter().map(|one| one.what()).collect::<Vec<_>>(), ["the decision on F1"]);
    assert!(let_be(&plan, &fold(&log), &log).iter().any(|one| one.contains("the decision on F1: stated")));
    // A log that states more time than it was written in was not written as it was done.
    for (one, minute) in log.iter_mut().zip(0..) {
        clock(one, &format!("20:{minute:02}"));
    }
    log[4].at = "2026-03-02T19:30:00-06:00".to_owned();
    let told = remarks(&plan, &log).into_iter().map(|r| r.words).collect::<Vec<_>>().join("; ");
    assert!(told.contains("of work, from the issue on, were written down in 4 min"), "{told}");
}

#[test]
fn two_boxes_of_one_difference_are_read_again_one_after_the_other() {
    let mut plan = today();
    let heights = &mut plan.operations[0];
    heights.steps[0].readings =
        ["height-lf", "height-rf"].map(|id| Reading { id: id.to_owned(), ..read_angle() }).to_vec();
    let of =
        ["height-lf", "height-rf"].map(|id| Name { operation: "fit".to_owned(), reading: id.to_owned() });
    let most = |v: f64| Some(Quantity::from_si(Kind::Angle, v.to_radians()));
    heights.steps[0].derived = vec![Derived {
        id: "lean".to_owned(),
        label: "left less right".to_owned(),
        of: of.to_vec(),
        take: Take::Difference,
        least: most(-0.5),
        most: most(0.5),
        ..Derived::default()
    }];
    let log = |values: &[(&str, f64)]| -> Vec<Entry> {
        (2..)
            .zip(values)
            .map(|(n, (id, v))| entry(n, &format!("08:{n:02}"), "F1", read("fit", id, *v)))
            .collect()
    };
    let first = [("height-lf", 5.0), ("height-rf", 5.1)];
    let stops = |more: &[(&'static str, f64)]| {
        let log = log(&[&first[..], more].concat());
        fold(&log).stops(&plan, &plan.operations[0])
    };
    assert!(stops(&[]).is_empty());
    assert!(stops(&[("height-lf", 7.0)])[0].waits.is_some(), "{:?}", stops(&[("height-lf", 7.0)]));
    assert!(stops(&[("height-lf", 7.0), ("height-rf", 7.1)]).is_empty());
}

#[test]
fn words_somebody_answers_for_begin_no_line() {
    let bench = Bench::issued();
    let lines = "scratch in the paint\n\nApproved by the authority.";
    bench.no(&["found", "TW-2041", "10", lines, "--by", "WO"], "L318");
    bench.yes(&["found", "TW-2041", "10", "scratch in the paint", "--by", "WO"]);
    let decide = ["dispose", "TW-2041", "F1", "use as is", "--by", "LO", "--reason"];
    bench.no(&[&decide[..], &["paint only\n4 What did not go as planned"]].concat(), "L318");
    // A job file may have lines; the pages have one.
    let bench = Bench::new();
    bench.edit("job.toml", "name = \"", "name = \"Lower Fen\\n\\n");
    bench.yes(&["issue", "job.toml"]);
    let plan = bench.text("travelers/TW-2041/A/plan.json");
    assert!(!plan.contains("Lower Fen\\n"), "a line break stands in the plan");
}

/// The commands in what was said, as words; what only a person knows stands for itself.
fn commands(said: &str) -> Vec<Vec<String>> {
    // A line that goes on begins further in.
    let lines = said.lines().fold(String::new(), |all, line| match line.starts_with("    ") {
        true => format!("{all} {}", line.trim()),
        false => format!("{all}\n{line}"),
    });
    let mut all = Vec::new();
    for part in lines.lines().flat_map(|line| line.split("tackwright ").skip(1)) {
        let end = ["; ", " (and ", ", then ", " = ", " | ", ") ", " (rework", ", and "]
            .iter()
            .filter_map(|e| part.find(e))
            .min();
        let part = part[..end.unwrap_or(part.len())].trim_end_matches(['.', ')', ',']);
        // Words to choose from stand in the place of one value.
        let part = part.replace("\"|\"", "|");
        let mut words = vec!["tackwright".to_owned()];
        for (place, piece) in part.split('"').enumerate() {
            match place % 2 {
                0 => words.extend(piece.split_whitespace().map(str::to_owned)),
                _ => words.push(piece.to_owned()),
            }
        }
        all.push(words);
    }
    all
}

#[test]
fn a_way_out_is_a_command_line() {
    let bench = Bench::issued();
    let mut said = String::new();
    let mut no = |args: &[&str]| {
        let left = bench.run(args);
        said.push_str(&format!("{}\n{}\n", left.out, left.err));
    };
    no(&["sign", "TW-2041", "R1", "--as", "lead", "--by", "WO"]);
    no(&["tick", "TW-2041", "10", "--by", "LO"]);
    no(&["measure", "TW-2041", "10.identity", UNIT, "--by", "LO"]);
    no(&["measure", "TW-2041", "10.identity", "UV-7-114, 84 212 mi", "--by", "LO"]);
    no(&["measure", "TW-2041", "10.faults-in", "2", "--by", "LO"]);
    no(&["status", "TW-2041"]);
    no(&["dispose", "TW-2041", "F1", "repair", "--by", "LO", "--reason", "dressed and painted"]);
    no(&["dispose", "TW-2041", "F1", "rework", "--by", "LO", "--reason", "dressed and painted"]);
    no(&["status", "TW-2041"]);
    no(&["close", "TW-2041", "--by", "LO"]);
    let all = commands(&said);
    assert!(all.len() > 8, "{said}");
    for words in all {
        let typed: Vec<String> =
            words.iter().map(|w| if w == "TIME" { "14:05".to_owned() } else { w.clone() }).collect();
        if let Err(error) = Cli::try_parse_from(&typed) {
            panic!("{typed:?} can't be typed: {error}");
        }
    }
    let twice = bench.run(&["tick", "TW-2041", "10", "--by", "LO"]);
    assert!(twice.err.contains("tackwright tick TW-2041 10 --corrects"), "{}", twice.err);
}
