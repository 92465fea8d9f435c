//! Times and PINs as entries state them, held against each other: one person at two
//! places, hours the log knows, a PIN that what was issued does not bear out.

use serde_json::json;
use tackwright::app::record::verify::{Holds, verify};
use tackwright::quantity::{Kind, Quantity};
use tackwright::record::entry::{Action, Correction, Entry, WITHOUT_BOOK};
use tackwright::record::frozen::{Frozen, Limits, Operation, RULES, Reading, Step};
use tackwright::record::hours;
use tackwright::record::identified::{BY_ID, not_borne_out};
use tackwright::record::moved::AsPrinted;
use tackwright::record::replay::replay;

use super::record_attacks::{entries, forged, log_of, parts, says, shop_key, trusting};
use super::record_gates::{entry, issued, operation, read, tick};
use super::record_held::{plan, welded};
use crate::support::bench::Bench;

/// Two welds in one bay, and a lift.
fn shop() -> Frozen {
    let one = |key: &str, number: u32, station: &str, act: &str| Operation {
        station: station.to_owned(),
        acts: vec![act.to_owned()],
        ..operation(key, number, &[])
    };
    Frozen {
        number: "T-1".to_owned(),
        revision: "A".to_owned(),
        rules: RULES,
        operations: vec![
            one("seat", 10, "weld bay", "arc"),
            one("strip", 20, "weld bay", "arc"),
            one("torque", 30, "lift", "torque"),
        ],
        ..Frozen::default()
    }
}

/// An entry stated to be of `time`, written down at eight in the evening.
fn stated(n: u64, time: &str, who: &str, what: Action) -> Entry {
    Entry { clock: Some("2026-03-02T20:00:00-06:00".to_owned()), ..entry(n, time, who, what) }
}

#[test]
fn one_person_at_two_places_in_one_minute_is_told() {
    let shop = shop();
    let told = |entries: &[Entry]| -> Vec<(u64, String)> {
        hours::remarks(&shop, entries).into_iter().map(|r| (r.n, r.words)).collect()
    };
    let at = |n: u64, time: &str, who: &str, key: &str| stated(n, time, who, tick(key, None));
    let two = told(&[at(1, "14:05", "WO", "seat"), at(2, "14:05", "WO", "torque")]);
    assert_eq!(two.len(), 1, "{two:?}");
    assert_eq!(two[0].0, 2);
    assert_eq!(
        two[0].1,
        "WO is stated to be at two stations in one minute, 2026-03-02 14:05 -06:00: operation 10 (weld bay) and operation 30 (lift) of T-1"
    );
    // Two arcs, at one station.
    let arcs = told(&[
        stated(1, "14:05", "WO", read("seat", "amps", 1.0)),
        stated(2, "14:05", "WO", read("strip", "amps", 1.0)),
    ]);
    assert!(arcs.len() == 1 && arcs[0].1.contains("at two welds"), "{arcs:?}");
    // Once for a person and a minute; under another id and one name it is the same person.
    let mut three = vec![
        at(1, "14:05", "WO", "seat"),
        at(2, "14:05", "WO", "torque"),
        at(3, "14:05", "WO", "strip"),
        at(4, "14:05", "W2", "torque"),
    ];
    assert_eq!(told(&three).len(), 1);
    three[3].by.name = "wo".to_owned();
    three.remove(1);
    assert_eq!(told(&three).len(), 1, "{:?}", told(&three));
    // Another minute, another person, one station, the time of writing: nothing.
    for honest in [
        [at(1, "14:05", "WO", "seat"), at(2, "14:06", "WO", "torque")],
        [at(1, "14:05", "WO", "seat"), at(2, "14:05", "W2", "torque")],
        [at(1, "14:05", "WO", "torque"), at(2, "14:05", "WO", "torque")],
    ] {
        assert_eq!(told(&honest), Vec::new());
    }
    let mut written = [at(1, "14:05", "WO", "seat"), at(2, "14:05", "WO", "torque")];
    written.iter_mut().for_each(|e| e.clock = Some(e.at.clone()));
    assert_eq!(told(&written), Vec::new());
    // What was put right is no contradiction any more.
    let mut corrected = vec![at(1, "14:05", "WO", "seat"), at(2, "14:05", "WO", "torque")];
    let put_right = Correction { entry: 2, reason: "it was an hour later".to_owned() };
    corrected.push(Entry { corrects: Some(put_right), ..at(3, "15:05", "WO", "torque") });
    assert_eq!(told(&corrected), Vec::new());
}

/// 29 CFR 1910.252(a)(2)(iii): fire watchers wherever welding is done near what burns; the
/// card that names one is opened before the arc, each shift (common practice).
#[test]
fn an_arc_of_a_shift_without_a_fire_watch_is_told() {
    let mut shop = shop();
    let mut card = operation("card", 5, &[]);
    card.verb = "protect".to_owned();
    let readings = vec![Reading { id: "watch.shift-1".to_owned(), ..Reading::default() }];
    card.steps = vec![Step { number: 1, readings, ..Step::default() }];
    shop.operations.insert(0, card);
    let told = |entries: &[Entry]| -> Vec<u64> {
        let all = hours::remarks(&shop, entries).into_iter();
        all.filter(|r| r.words.contains("no fire watch is named for that shift")).map(|r| r.n).collect()
    };
    let on = |day: u32, one: Entry| {
        let move_to = |text: &str| text.replace("2026-03-02", &format!("2026-03-{day:02}"));
        Entry { at: move_to(&one.at), clock: one.clock.as_deref().map(move_to), ..one }
    };
    let watch = |n: u64, time: &str| stated(n, time, "WO", read("card", "watch.shift-1", 1.0));
    let arc = |n: u64, time: &str| stated(n, time, "WO", read("seat", "amps", 1.0));
    // Opened first, that day: nothing. A card of the evening holds past midnight.
    assert_eq!(told(&[watch(1, "07:00"), arc(2, "09:00"), arc(3, "15:00")]), Vec::<u64>::new());
    assert_eq!(told(&[watch(1, "22:00"), on(3, arc(2, "01:00"))]), Vec::<u64>::new());
    // Written down later, of the time it was: what is stated counts.
    assert_eq!(told(&[arc(1, "09:00"), watch(2, "07:00")]), Vec::<u64>::new());
    // None, after the arc, or of the day before: once a day.
    assert_eq!(told(&[arc(1, "09:00"), arc(2, "10:00"), on(3, arc(3, "09:00"))]), vec![1, 3]);
    assert_eq!(told(&[arc(1, "09:00"), watch(2, "11:00")]), vec![1]);
    assert_eq!(told(&[watch(1, "07:00"), on(3, arc(2, "09:00"))]), vec![2]);
    // A watch that is longer than the time since the arc.
    let closed = |n: u64, time: &str, minutes: f64| {
        stated(n, time, "WO", read("card", "watch-end.shift-1", (minutes * 60.0).to_degrees()))
    };
    let long = |entries: &[Entry]| {
        hours::remarks(&shop, entries).iter().any(|r| r.words.contains("a fire watch of 31 min"))
    };
    assert!(long(&[watch(1, "07:00"), arc(2, "09:00"), closed(3, "09:01", 31.0)]));
    assert!(!long(&[watch(1, "07:00"), arc(2, "09:00"), closed(3, "09:31", 31.0)]));
    // A watch that ended before the last arc of its day, in whatever order they are entered.
    let early = |entries: &[Entry]| -> Vec<u64> {
        let all = hours::remarks(&shop, entries).into_iter();
        all.filter(|r| r.words.contains("before the last arc of that day")).map(|r| r.n).collect()
    };
    assert_eq!(early(&[watch(1, "07:00"), closed(2, "08:00", 31.0), arc(3, "09:00")]), vec![2]);
    let again = [closed(2, "08:00", 31.0), arc(3, "09:00"), closed(4, "09:40", 31.0)];
    assert_eq!(early(&again), Vec::<u64>::new());
    assert_eq!(early(&[closed(2, "08:00", 31.0), on(3, arc(3, "09:00"))]), Vec::<u64>::new());
    // What was taken back names nobody; what burns nothing needs no watch.
    let back = Correction { entry: 1, reason: "nobody was there".to_owned() };
    let mut taken = vec![watch(1, "07:00"), stated(2, "07:30", "LO", Action::Withdrawn {}), arc(3, "09:00")];
    taken[1].corrects = Some(back);
    assert_eq!(told(&taken), vec![3]);
    assert_eq!(told(&[stated(1, "09:00", "WO", tick("torque", None))]), Vec::<u64>::new());
    // A plan without a card asks for none.
    shop.operations.remove(0);
    let all = hours::remarks(&shop, &[arc(1, "09:00")]);
    assert!(all.is_empty(), "{all:?}");
}

#[test]
fn two_places_are_told_with_the_entry_and_by_status() {
    let mut bench = Bench::small();
    bench.yes(&["issue", "job.toml"]);
    bench.now += 4 * 3600;
    let at = ["--by", "LO", "--at", "2026-03-02T08:30:00-06:00"];
    let write =
        |place: &str, text: &str| bench.yes(&[&["measure", "TW-2041", place, text], &at[..]].concat());
    write("10.revision", "B, the newest");
    write("10.design", "signed, by the drawing");
    write("10.cover", "1");
    bench.yes(&[&["tick", "TW-2041", "10"], &at[..]].concat());
    bench.yes(&["sign", "TW-2041", "R1", "--as", "lead", "--by", "LO"]);
    // The bench, and the weld bay in the same minute as it is stated.
    let said = write("30.watch.shift-1", "Lead One; none asked");
    let words = "Lead One is stated to be at two stations in one minute";
    assert!(format!("{}{}", said.out, said.err).contains(words), "{}{}", said.out, said.err);
    let said = bench.yes(&["status", "TW-2041"]);
    assert!(said.out.contains("IS THE TIME RIGHT") && said.out.contains(words), "{}", said.out);
}

/// The weld of the plan with a box for the hours since its last arc.
fn waits() -> Frozen {
    let mut plan = plan();
    let number = Limits { kind: Kind::Number, target: None, lower: None, upper: None };
    let waited = Reading {
        id: "waited".to_owned(),
        limits: Some(Limits { lower: Some(Quantity::from_si(Kind::Number, 24.0)), ..number }),
        since_arc: true,
        ..plan.operations[4].steps[0].readings[0].clone()
    };
    plan.operations[4].steps[0].readings.push(waited);
    plan
}

/// So many hours, written into that box.
fn hours_read(n: u64, time: &str, hours: f64) -> Entry {
    let Action::Measure { mut reading } = read("accept", "waited", 1.0) else { unreachable!() };
    (reading.kind, reading.text) = (Some("number".to_owned()), hours.to_string());
    (reading.value, reading.lower) = (Some(hours.to_string()), Some("24".to_owned()));
    let mut one = entry(n, "08:00", "IO", Action::Measure { reading });
    one.at = format!("2026-03-{time}:00-06:00");
    one.clock = Some(one.at.clone());
    one
}

#[test]
fn hours_the_log_knows_are_not_taken_otherwise_unsaid() {
    let plan = waits();
    // The last entry at the weld is of 09:00 on the second.
    let told = |time: &str, hours: f64| {
        let mut log = vec![issued("LO")];
        log.extend(welded().into_iter().map(|e| Entry { n: e.n + 1, ..e }));
        log.push(hours_read(5, time, hours));
        let told = replay(&[&plan], &log, &AsPrinted).told;
        told.into_iter().map(|(_, words)| words).collect::<Vec<_>>().join("; ")
    };
    assert!(told("03T11:00", 48.0).contains("by the log it was 26.0 h from the last entry at operation 20"));
    assert!(told("05T03:36", 25.2).contains("by the log it was 66.6 h"));
    for (time, hours) in [("03T11:00", 26.0), ("03T11:00", 25.5), ("03T11:00", 27.0)] {
        assert_eq!(told(time, hours), "", "{hours}");
    }
}

#[test]
fn a_pin_the_issue_did_not_know_says_where_it_comes_from() {
    let plan = |rules: u32| Frozen { rules, ..shop() };
    let mut log = vec![issued("LO"), entry(2, "08:00", "LO", Action::Withdrawn {})];
    log[1].identified = Some("pin".to_owned());
    log[1].clock = Some(log[1].at.clone());
    let against = |log: &[Entry], rules: u32| {
        let found = replay(&[&plan(rules)], log, &AsPrinted).against;
        found.into_iter().map(|(_, why)| why).collect::<Vec<_>>().join("; ")
    };
    let words = "gives a PIN, had none by the issue";
    assert!(against(&log, RULES).contains(words), "{}", against(&log, RULES));
    assert!(!against(&log, 4).contains(words));
    let told = replay(&[&plan(4)], &log, &AsPrinted).told;
    assert!(told.iter().any(|(_, w)| w.contains(words)), "{told:?}");
    assert_eq!(not_borne_out(&log, 4).len(), 1);
    // Before editions were counted the issue named nobody.
    assert_eq!(not_borne_out(&log, 1).len(), 0);
    for said in ["set after the issue, on 2026-03-03", "not known at the issue, nor when it was set"] {
        log[1].identified = Some(format!("pin, {said}"));
        assert!(!against(&log, RULES).contains(words));
        assert_eq!(not_borne_out(&log, RULES).len(), 1, "{said}");
    }
    log[1].identified = Some(BY_ID.to_owned());
    assert_eq!(not_borne_out(&log, RULES).len(), 0);
    log[1].identified = Some("pin by heart".to_owned());
    assert!(against(&log, RULES).contains("in any known way"));
    log[1].clock = None;
    assert!(against(&log, RULES).contains("what the clock was"));
}

/// Whoever had a PIN by the issue gives it, with the book or without it.
#[test]
fn a_pin_the_issue_knew_is_given() {
    let plan = Frozen { rules: RULES, ..shop() };
    let mut first = issued("LO");
    if let Action::Issued { issue } = &mut first.what {
        issue.pins.insert("LO".to_owned(), "0".repeat(64));
    }
    let against = |how: Option<&str>, book: Option<&str>| {
        let decided = super::record_held::decided(2, "08:00", "rework");
        let (identified, book) = (how.map(str::to_owned), book.map(str::to_owned));
        let log = [first.clone(), Entry { identified, book, ..decided }];
        let found = replay(&[&plan], &log, &AsPrinted).against;
        found.into_iter().map(|(_, why)| why).collect::<Vec<_>>().join("; ")
    };
    for (how, book) in [(Some(BY_ID), None), (None, Some(WITHOUT_BOOK)), (Some(""), Some(WITHOUT_BOOK))] {
        let said = against(how, book);
        let told = ["had a PIN by the issue, and it was not given", "not say in any known way"];
        assert!(told.iter().any(|t| said.contains(t)), "{how:?}: {said}");
    }
    assert!(!against(Some("pin"), None).contains("PIN"));
    assert!(!against(Some("pin, after 1 wrong try"), None).contains("PIN"));
}

/// The demonstration's book names no PIN: what claims one is told first, whatever the seal.
#[test]
fn a_claimed_pin_of_a_book_without_pins_is_against_the_rules() {
    let bench = super::record_attacks::issued();
    let mut parts = parts(&bench);
    let mut all = entries(&parts.log);
    let closing = |identified: &str| {
        json!({
            "at": "2026-03-02T15:00:00+00:00", "clock": "2026-03-02T15:00:00+00:00",
            "by": { "id": "LO", "name": "Lead One", "role": "lead" },
            "what": { "act": "closed", "follow_ups": [], "identified": identified },
        })
    };
    all.push(closing("pin"));
    parts.log = log_of(&all);
    let verdict = verify(&forged(&parts, Some(&shop_key())), &trusting(&shop_key()));
    assert_eq!(verdict.holds(), Holds::AgainstRules, "{verdict:#?}");
    all.pop();
    all.push(closing("pin, set after the issue, on 2026-03-02"));
    parts.log = log_of(&all);
    let verdict = verify(&forged(&parts, Some(&shop_key())), &trusting(&shop_key()));
    assert!(says(&verdict, "on a PIN that was set after the traveler was issued"), "{verdict:#?}");
    let first = verdict.remarks.first().unwrap();
    assert!(first.contains("a PIN that what was issued does not bear out"), "{first}");
}

/// A PIN written into the book by hand where nobody ever set one.
#[test]
fn a_pin_nobody_wrote_down_is_told() {
    let bench = Bench::issued();
    let other = Bench::new();
    assert_eq!(other.typed(&["key", "pin", "LO", "--pin-stdin"], "9999\n").code, 0);
    let book = other.text("shop.toml");
    let line = book.lines().find(|l| l.starts_with("pin = ")).unwrap();
    bench.edit("shop.toml", "id = \"LO\"", &format!("id = \"LO\"\n{line}"));
    bench.yes(&["found", "TW-2041", "10", "crack", "--by", "WO"]);
    let args = [
        "dispose",
        "TW-2041",
        "F1",
        "use as is",
        "--reason",
        "old scratch, not a crack",
        "--by",
        "LO",
        "--pin-stdin",
    ];
    assert_eq!(bench.typed(&args, "9999\n").code, 0);
    let log = bench.text("travelers/TW-2041/log.jsonl");
    assert!(
        log.lines().last().unwrap().contains("pin, not known at the issue, nor when it was set"),
        "{log}"
    );
}

/// The day a job names for a waiver is only words: the record says since when it stands on
/// paper.
#[test]
fn a_rule_set_aside_after_the_work_had_begun_says_so() {
    let mut bench = Bench::small();
    bench.yes(&["issue", "job.toml"]);
    bench.now += 3600;
    bench.yes(&["measure", "TW-2041", "10.revision", "B, the newest", "--by", "LO"]);
    let job = bench.text("job.toml");
    let waiver = "rule = \"hot-work-fuel\"\nby = \"LO\"\nreason = \"no tank is near\"\ndate = \"2026-03-01\"";
    bench.write("job.toml", format!("{job}\n[[waiver]]\n{waiver}\n"));
    let said = bench.yes(&["revise", "job.toml", "--by", "LO", "--reason", "a rule set aside"]);
    let words = "set aside: the safety rule hot-work-fuel, by LO: no tank is near";
    assert!(said.out.contains(&format!("SAFETY RULE {words}")), "{}", said.out);
    let page = bench.read("travelers/TW-2041/B/change.pdf");
    let page: String =
        crate::support::pdf::pages(&page).iter().map(crate::support::pdf::Page::text).collect();
    assert!(page.contains("hot-work-fuel"), "{page}");
    bench.yes(&["complete", "TW-2041", "--by", "LO"]);
    let said = bench.run(&["verify", "travelers/TW-2041/TW-2041-completed.pdf"]);
    assert!(said.out.contains("1 safety rule was set aside, 1 after the work had begun"), "{}", said.out);
    // Nothing is set aside twice, and what is in force again is said as well.
    bench.write("job.toml", &job);
    let said = bench.yes(&["revise", "job.toml", "--by", "LO", "--reason", "the tank is back"]);
    assert!(
        said.out.contains("SAFETY RULE no longer set aside: the safety rule hot-work-fuel"),
        "{}",
        said.out
    );
}

/// 29 CFR 1915.504(c)(1) and NFPA 51B, from memory: whoever watches has no other duty.
#[test]
fn a_fire_watch_who_burns_and_one_that_is_nobody_are_told() {
    let mut card = operation("card", 5, &[]);
    card.verb = "protect".to_owned();
    let readings = vec![Reading { id: "watch.shift-1".to_owned(), ..Reading::default() }];
    card.steps = vec![Step { number: 1, readings, ..Step::default() }];
    let told = |rules: u32, watch: &str, who: &str| -> Vec<String> {
        let mut shop = Frozen { rules, ..shop() };
        shop.operations.insert(0, card.clone());
        let mut named = read("card", "watch.shift-1", 1.0);
        if let Action::Measure { reading } = &mut named {
            watch.clone_into(&mut reading.text);
        }
        let mut arc = stated(2, "09:00", who, read("seat", "amps", 1.0));
        "Welder One".clone_into(&mut arc.by.name);
        let later = Entry { n: 3, ..arc.clone() };
        let all = [stated(1, "07:00", "LO", named), arc, later];
        hours::remarks(&shop, &all).into_iter().map(|r| format!("{} {}", r.n, r.words)).collect()
    };
    for watch in ["Welder One; permit 12", "permit 12, WO", "wo", "WELDER  ONE"] {
        let said = told(RULES, watch, "WO");
        assert!(
            said.len() == 1
                && said[0].starts_with(
                    "2 Welder One is the fire watch of that shift and works at the arc of operation 10"
                ),
            "{watch}: {said:?}"
        );
        assert_eq!(told(9, watch, "WO"), Vec::<String>::new(), "an old plan is kept by the rules of its day");
    }
    for watch in ["Helper Two; permit 12", "WOODS; permit WO2", "Welder Onestone"] {
        assert_eq!(told(RULES, watch, "WO"), Vec::<String>::new(), "{watch}");
    }
    for watch in ["none", "None; permit 12", "nobody there", "no one"] {
        let said = told(RULES, watch, "WO");
        assert!(said.len() == 1 && said[0].contains("no fire watch is named"), "{watch}: {said:?}");
    }
}
