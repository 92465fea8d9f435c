//! What a revision drops, what ended before it was used, what is taken back from under what
//! rests on it, a log beside another plan, and pictures that are more than pictures.

use serde_json::Value as Json;
use tackwright::app::record::photo::within;
use tackwright::app::record::verify::{Holds, verify};
use tackwright::record::change::{Change, undecided};
use tackwright::record::entry::{Action, By, Correction, Entry, Reopened};
use tackwright::record::frozen::{Frozen, RULES};
use tackwright::record::moved::AsPrinted;
use tackwright::record::people::Register;
use tackwright::record::replay::replay;
use tackwright::record::rules::Scene;
use tackwright::record::state::fold;

use super::record_attacks::{entries, forged, log_of, parts, says, shop_key, trusting};
use super::record_gates::{at, entry, issued, read, tick};
use super::record_held::{bad, decided, found, plan, welded};
use crate::support::bench::Bench;

/// The edition before the one that asks for it.
const BEFORE: u32 = 8;

fn with(mut log: Vec<Entry>, more: impl IntoIterator<Item = Entry>) -> Vec<Entry> {
    log.extend(more);
    log
}

fn starts_again(keys: &[&str]) -> Change {
    let again = |key: &&str| Reopened { key: (*key).to_owned(), why: "1 step changed".to_owned() };
    Change { reopened: keys.iter().map(again).collect(), ..Change::default() }
}

#[test]
fn a_revision_drops_no_reading_that_was_filed_before_it_failed_again() {
    let drops = |log: &[Entry], keys: &[&str], rules: u32| {
        let plan = Frozen { rules, ..plan() };
        undecided(&fold(log), &plan, &starts_again(keys))
            .map(|(o, reading, _)| format!("{}.{reading}", o.number))
    };
    let own = Some("caster.left");
    let decided = with(
        welded(),
        [bad(4, "10:00", "fit", "caster.left"), found(5, "10:05", "fit", own), decided(6, "10:10", "rework")],
    );
    assert_eq!(drops(&decided, &["fit"], RULES), None);
    // It fails once more, and nobody files that: one filed before is another one.
    let again = with(decided, [bad(7, "10:30", "fit", "caster.left")]);
    assert_eq!(drops(&again, &["fit"], RULES).as_deref(), Some("10.caster.left"));
    assert_eq!(drops(&again, &["fit"], BEFORE), None, "an old plan is kept by the rules of its day");
    assert_eq!(drops(&again, &["weld"], RULES), None, "where it was read nothing starts again");
    // The first that fails is asked for by every edition, gone or started again.
    let first = with(welded(), [bad(4, "10:00", "fit", "caster.left")]);
    for rules in [BEFORE, RULES] {
        assert_eq!(drops(&first, &["fit"], rules).as_deref(), Some("10.caster.left"));
    }
    let gone = Change { removed: vec!["fit".to_owned()], ..Change::default() };
    assert!(undecided(&fold(&first), &Frozen { rules: RULES, ..plan() }, &gone).is_some());
}

#[test]
fn a_rule_that_is_broken_is_not_mended_by_dropping_what_it_is_held_against() {
    let near = |rules: u32| {
        let mut plan = Frozen { rules, ..plan() };
        let length = &mut plan.operations[3].steps[0].readings[0];
        length.near = Some(tackwright::record::frozen::Near {
            to: tackwright::record::frozen::Name {
                operation: "weld".to_owned(),
                reading: "interpass".to_owned(),
            },
            within: tackwright::quantity::Quantity::from_si(tackwright::quantity::Kind::Angle, 0.01),
        });
        plan
    };
    let log = with(welded(), [entry(4, "10:00", "F1", read("beside", "length", 9.0))]);
    let drops = |rules: u32, keys: &[&str]| {
        let plan = near(rules);
        undecided(&fold(&log), &plan, &starts_again(keys))
            .map(|(o, reading, _)| format!("{}.{reading}", o.number))
    };
    assert_eq!(drops(RULES, &["weld"]).as_deref(), Some("40.length"));
    assert_eq!(drops(BEFORE, &["weld"]), None);
    assert_eq!(drops(RULES, &["accept"]), None, "no reading of it is looked at");
}

#[test]
fn what_was_to_be_put_right_is_shown_though_its_box_went() {
    let open = |rules: u32, change: &dyn Fn(&mut Frozen)| {
        let mut plan = Frozen { rules, ..plan() };
        change(&mut plan);
        let log = with(
            welded(),
            [
                bad(4, "10:00", "fit", "caster.left"),
                found(5, "10:05", "fit", Some("caster.left")),
                decided(6, "10:10", "rework"),
            ],
        );
        let (state, register) = (fold(&log), Register::default());
        let scene = Scene::looking(&plan, &state, &register);
        scene.not_put_right().map(|one| one.words).collect::<Vec<_>>()
    };
    let kept: &dyn Fn(&mut Frozen) = &|_| {};
    let renamed: &dyn Fn(&mut Frozen) =
        &|plan| plan.operations[0].steps[0].readings[0].id = "axle.left".into();
    let gone: &dyn Fn(&mut Frozen) = &|plan| _ = plan.operations.remove(0);
    let other: &dyn Fn(&mut Frozen) = &|plan| plan.operations[0].key = "front/fit".to_owned();
    for change in [kept, renamed, gone, other] {
        assert_eq!(open(RULES, change).len(), 1);
    }
    assert!(open(RULES, renamed)[0].contains("nothing entered since shows that it was put right"));
    assert_eq!((open(BEFORE, kept).len(), open(BEFORE, gone).len()), (1, 0));
}

fn against(rules: u32, log: Vec<Entry>) -> Vec<String> {
    let plan = Frozen { rules, ..plan() };
    let mut all = vec![issued("LO")];
    all.extend(log);
    for (one, n) in all.iter_mut().zip(1..) {
        one.n = n;
    }
    replay(&[&plan], &all, &AsPrinted).against.into_iter().map(|(_, why)| why).collect()
}

/// The same with what an entry says of its last days.
fn until(mut one: Entry, test: Option<&str>, calibration: Option<&str>) -> Entry {
    match &mut one.what {
        Action::Measure { reading } => {
            reading.calibrated_until = calibration.map(str::to_owned);
            reading.rests_on = test.map(str::to_owned).into_iter().collect();
        }
        Action::Tick { rests_on, .. } => *rests_on = test.map(str::to_owned).into_iter().collect(),
        _ => {}
    }
    one
}

#[test]
fn what_ended_by_the_entrys_own_words_was_not_used() {
    let said = |rules: u32, one: Entry| against(rules, vec![one]).join("; ");
    let fit = || entry(2, "08:00", "F1", read("fit", "caster.left", 5.0));
    let good = until(fit(), None, Some("2026-03-02"));
    assert_eq!(said(RULES, good), said(RULES, fit()), "its last day is one of its days");
    let late = until(fit(), None, Some("2026-03-01"));
    assert!(said(RULES, late.clone()).contains("the calibration of its instrument ended on 2026-03-01"));
    assert!(!said(BEFORE, late).contains("calibration"));
    let test = || entry(2, "08:00", "F1", tick("fit", None));
    let late = until(test(), Some("Q-7 until 2026-02-28"), None);
    assert!(said(RULES, late.clone()).contains("rests on \"Q-7\" of F1, which ended on 2026-02-28"));
    assert!(!said(BEFORE, late).contains("Q-7"));
    assert!(!said(RULES, until(test(), Some("Q-7 until 2026-03-02"), None)).contains("Q-7"));
}

#[test]
fn the_day_is_that_of_the_place_and_not_of_another_zone() {
    // Half past eight in the evening of the day before, twelve hours to the west.
    let mut one = until(entry(2, "08:00", "F1", read("fit", "caster.left", 5.0)), None, Some("2026-03-02"));
    one.at = "2026-03-02T20:30:00-12:00".to_owned();
    one.clock = Some("2026-03-03T02:31:00-06:00".to_owned());
    assert_eq!(one.day().map(|day| day.to_string()).as_deref(), Some("2026-03-03"));
    let said = against(RULES, vec![one.clone()]).join("; ");
    assert!(said.contains("the calibration of its instrument ended on 2026-03-02"), "{said}");
    // Both sides of the night the clocks go forward (8 March 2026 in North America).
    one.at = "2026-03-08T03:30:00-05:00".to_owned();
    one.clock = Some("2026-03-08T03:31:00-05:00".to_owned());
    assert_eq!(one.day().map(|day| day.to_string()).as_deref(), Some("2026-03-08"));
}

#[test]
fn nothing_is_ticked_twice() {
    let ticks = |rules: u32, n: usize| {
        let done = vec![
            entry(2, "08:00", "F1", read("fit", "caster.left", 5.0)),
            entry(3, "08:05", "F1", read("fit", "caster.right", 5.0)),
        ];
        let plain = against(rules, done.clone()).len();
        against(rules, with(done, vec![entry(4, "08:10", "F1", tick("fit", None)); n])).len() - plain
    };
    assert_eq!((ticks(RULES, 1), ticks(BEFORE, 3)), (0, 0));
    assert_eq!(ticks(RULES, 2000), 1999);
}

#[test]
fn a_log_goes_with_the_plan_it_names() {
    let bench = super::record_attacks::issued();
    let good = parts(&bench);
    let names = |change: &dyn Fn(&mut Json)| {
        let mut parts = good.clone();
        let mut all = entries(&parts.log);
        change(&mut all[0]["what"]["issue"]);
        parts.log = log_of(&all);
        verify(&forged(&parts, Some(&shop_key())), &trusting(&shop_key()))
    };
    assert_eq!(names(&|_| {}).holds(), Holds::NotClosed);
    for (key, value) in [("number", "TW-9999"), ("plan", "0000"), ("revision", "C")] {
        let verdict = names(&|issue| issue[key] = value.into());
        assert!(says(&verdict, "Of another traveler or revision"), "{key}: {verdict:#?}");
        assert_eq!(verdict.holds(), Holds::Altered, "{key}: {verdict:#?}");
    }
    // The same in the folder: nothing is entered behind it.
    let mut all = entries(&good.log);
    all[0]["what"]["issue"]["plan"] = "0".repeat(64).into();
    bench.write("travelers/TW-2041/log.jsonl", log_of(&all));
    std::fs::remove_file(bench.path("travelers/journal.jsonl")).unwrap();
    bench.no(&["found", "TW-2041", "10", "crack at the toe", "--by", "LO"], "L269");
}

/// A JPEG with words between its head and its picture (ISO/IEC 10918-1, B.2.4.5: a comment).
fn with_a_comment(words: &[u8]) -> Vec<u8> {
    let mut plain = Vec::new();
    let picture =
        image::RgbImage::from_fn(320, 240, |x, y| image::Rgb([(x % 251) as u8, (y % 241) as u8, 7]));
    picture.write_to(&mut std::io::Cursor::new(&mut plain), image::ImageFormat::Jpeg).unwrap();
    let mut file = plain[..2].to_vec();
    file.extend([0xFF, 0xFE]);
    file.extend(u16::try_from(words.len() + 2).unwrap().to_be_bytes());
    file.extend(words);
    file.extend(&plain[2..]);
    file
}

#[test]
fn a_photo_that_would_end_the_file_spoils_no_record() {
    let bench = Bench::issued();
    let hidden = b"\nstartxref\n12\n%%EOF\n/Prev 9 /ByteRange [0 1 2 3]\n";
    bench.write("seat.jpg", with_a_comment(hidden));
    bench.yes(&["photo", "TW-2041", "10", "seat.jpg", "--shows", "as-found", "--by", "LO"]);
    bench.yes(&["complete", "TW-2041", "--by", "LO"]);
    let record = "travelers/TW-2041/TW-2041-completed.pdf";
    let verdict = bench.json(&["verify", record, "--json"]);
    assert_eq!(verdict["holds"], "not-closed", "{verdict:#}");
    let count =
        |bytes: &[u8], mark: &str| bytes.windows(mark.len()).filter(|w| *w == mark.as_bytes()).count();
    assert_eq!(count(&bench.read(record), "%%EOF"), 1);
    // The file as it came is kept, and its digest stands in the entry.
    let last = entries(&bench.read("travelers/TW-2041/log.jsonl")).pop().unwrap();
    let photo = &last["what"]["photos"][0];
    assert_eq!(photo["original"], tackwright::record::sha256(&with_a_comment(hidden)));
    // Filed by an earlier version: told before anything is closed.
    let place = format!("travelers/TW-2041/photos/{}", photo["file"].as_str().unwrap());
    bench.write(&place, with_a_comment(hidden));
    let mut all = entries(&bench.read("travelers/TW-2041/log.jsonl"));
    let digest = tackwright::record::sha256(&with_a_comment(hidden));
    all.last_mut().unwrap()["what"]["photos"][0]["sha256"] = digest.into();
    bench.write("travelers/TW-2041/log.jsonl", log_of(&all));
    std::fs::remove_file(bench.path("travelers/journal.jsonl")).unwrap();
    let said = bench.run(&["status", "TW-2041"]);
    assert!(said.out.contains("holds what ends a PDF file"), "{}{}", said.out, said.err);
}

#[test]
fn a_photo_that_unpacks_to_gigabytes_is_told_by_its_head() {
    // PNG header (ISO/IEC 15948, 11.2.2): 19 000 by 19 000 points of three bytes.
    let mut head = b"IHDR".to_vec();
    head.extend(19_000_u32.to_be_bytes());
    head.extend(19_000_u32.to_be_bytes());
    head.extend([8, 2, 0, 0, 0]);
    let check = !head.iter().fold(u32::MAX, |crc, byte| {
        (0..8).fold(crc ^ u32::from(*byte), |c, _| if c & 1 == 1 { 0xEDB8_8320 ^ (c >> 1) } else { c >> 1 })
    });
    let mut png = vec![0x89, b'P', b'N', b'G', 0x0D, 0x0A, 0x1A, 0x0A, 0, 0, 0, 13];
    png.extend(&head);
    png.extend(check.to_be_bytes());
    png.extend([0, 0, 0, 4, b'I', b'D', b'A', b'T', 1, 2, 3, 4, 0, 0, 0, 0]);
    let bench = Bench::issued();
    bench.write("seat.png", &png);
    let said = bench.no(&["photo", "TW-2041", "10", "seat.png", "--shows", "as-found", "--by", "LO"], "L151");
    assert!(said.err.contains("19000 by 19000 points"), "{}", said.err);
    // A record is asked the same before any page of it is made.
    assert!(within(&png).unwrap_err().contains("more than are unpacked of any picture"));
    assert_eq!(within(&with_a_comment(b"seat")), Ok(()));
}

#[test]
fn a_waiver_stands_before_the_test_and_as_long_as_it() {
    let who = By { id: "I2".to_owned(), name: "I2".to_owned(), role: "inspector".to_owned() };
    let waived = Action::TesterWaived {
        operation: at("accept"),
        reading: "cracks".to_owned(),
        reason: "certificate renewed, card on its way".to_owned(),
        tester: who,
    };
    let log = with(welded(), [entry(4, "10:00", "LO", waived)]);
    let tested = with(log.clone(), [entry(5, "10:30", "I2", read("accept", "cracks", 0.0))]);
    let ask = |rules: u32, log: &[Entry], time: &str| {
        let (plan, state, register) = (Frozen { rules, ..plan() }, fold(log), Register::default());
        let at = chrono::DateTime::parse_from_rfc3339(&format!("2026-03-02T{time}:00-06:00")).unwrap();
        let scene = Scene {
            entries: log,
            day: at.date_naive(),
            at: Some(at),
            ..Scene::looking(&plan, &state, &register)
        };
        let leave = scene.let_test(scene.operation("accept").unwrap(), "cracks", "I2");
        let leave = leave.map(|waiver| waiver.is_some()).map_err(|p| p.code);
        let back = Correction { entry: 4, reason: "entered for the wrong tester".to_owned() };
        (leave, scene.correction(&back, &Action::Withdrawn {}).map_err(|p| p.code))
    };
    // Made before anybody let it be, and after.
    assert_eq!(ask(RULES, &log, "09:00").0, Err("L267"));
    assert_eq!(ask(RULES, &log, "09:58").0, Ok(true), "clocks differ by a few minutes");
    assert_eq!((ask(RULES, &log, "10:30").0, ask(BEFORE, &log, "09:00").0), (Ok(true), Ok(true)));
    assert_eq!(ask(RULES, &welded(), "10:30").0, Ok(false));
    // Taken back from under the test, and before there is one.
    assert_eq!(ask(RULES, &tested, "11:00").1, Err("L268"));
    assert_eq!((ask(RULES, &log, "11:00").1, ask(BEFORE, &tested, "11:00").1), (Ok(()), Ok(())));
}

/// Who corrects decides nothing: what a rule said is told, though it says so no longer.
#[test]
fn a_stop_that_a_correction_takes_away_is_told() {
    use tackwright::record::honest::{all_stopped, stopped};
    let plan = Frozen { rules: RULES, ..plan() };
    let log = vec![
        entry(1, "08:00", "F1", read("fit", "caster.left", 5.0)),
        entry(2, "08:05", "F1", read("fit", "caster.right", 7.0)),
    ];
    let words = stopped(&plan, &fold(&log), &log[1]);
    assert!(words.len() == 1 && words[0].contains("caster.right, read as 7 deg (entry 2)"), "{words:?}");
    assert!(words[0].contains("left and right are 2.0° apart"), "{words:?}");
    let correct = |what: Action| {
        let mut one = entry(3, "08:10", "LO", what);
        one.corrects = Some(Correction { entry: 2, reason: "read on the wrong side".to_owned() });
        with(log.clone(), [one])
    };
    for what in [read("fit", "caster.right", 5.0), Action::Withdrawn {}] {
        let all = all_stopped(&plan, &correct(what));
        assert_eq!(all.keys().copied().collect::<Vec<_>>(), [3], "{all:?}");
    }
    // Where no rule was broken, nothing is told of it.
    let mut fits = correct(read("fit", "caster.right", 5.1));
    fits[1] = entry(2, "08:05", "F1", read("fit", "caster.right", 5.2));
    assert!(all_stopped(&plan, &fits).is_empty());
}

#[test]
fn a_journal_that_did_not_see_a_log_grow_says_so() {
    use tackwright::record::journal::{Journal, check, next};
    let clock = chrono::DateTime::parse_from_rfc3339("2026-03-02T08:00:00-06:00").unwrap();
    let of = |seen: &[u64]| -> Journal {
        let mut bytes: Vec<u8> = Vec::new();
        for n in seen {
            let lines = bytes.strip_suffix(b"\n").unwrap_or_default();
            let last = lines.rsplit(|b| *b == b'\n').next().unwrap_or_default().to_vec();
            bytes.extend(next(&last, &clock, "TW-1", *n, &format!("{n:064}")).unwrap());
        }
        let journal = check(&bytes);
        assert!(journal.damage.is_none() && journal.notes.len() == seen.len());
        journal
    };
    // One note for each entry; two where a torn line was set aside.
    let torn = Action::TornLine { bytes: 9, file: "torn-1".to_owned(), sha256: "0".repeat(64) };
    let torn = [entry(3, "08:00", "LO", torn)];
    assert_eq!((of(&[1, 2, 4, 5]).missed("TW-1", &torn), of(&[1, 2, 4, 5]).back("TW-1")), (0, None));
    assert_eq!((of(&[1, 2, 4, 5]).missed("TW-1", &[]), of(&[1, 3, 5, 7]).missed("TW-1", &[])), (1, 3));
    assert_eq!(of(&[1, 81]).missed("TW-1", &[]), 79);
    assert_eq!(of(&[1, 2, 3, 2]).back("TW-1"), Some((3, 2)));
    assert_eq!(of(&[1, 0]).back("TW-1"), Some((1, 0)));
    assert_eq!(of(&[0]).back("TW-1"), Some((0, 0)));
    assert_eq!((of(&[1, 81]).missed("TW-2", &[]), of(&[3, 1]).back("TW-2")), (0, None));
}

#[test]
fn a_record_beside_a_thinned_journal_is_not_said_to_have_grown_in_it() {
    let bench = super::record_attacks::issued();
    for n in 0..4 {
        bench.yes(&["found", "TW-2041", "10", &format!("scratch {n} at the seat"), "--by", "LO"]);
    }
    bench.yes(&["complete", "TW-2041", "--by", "LO"]);
    let journal = bench.text("travelers/journal.jsonl");
    let verify = |bench: &Bench, lines: &[&str]| {
        // Chained anew, as whoever has the folder can.
        let notes: Vec<Json> =
            lines.iter().map(|l| serde_json::from_str::<Json>(l).unwrap()["entry"].clone()).collect();
        let mut prev = tackwright::record::line::NO_ENTRY.to_owned();
        let mut text = String::new();
        for (note, n) in notes.into_iter().zip(1_u64..) {
            let mut note = note;
            (note["prev"], note["n"]) = (prev.into(), n.into());
            let body = tackwright::record::line::canonical(&note);
            prev = tackwright::record::sha256(body.as_bytes());
            text.push_str(&format!("{{\"entry\":{body},\"hash\":\"{prev}\"}}\n"));
        }
        bench.write("other.jsonl", text);
        bench.json(&[
            "verify",
            "travelers/TW-2041/TW-2041-completed.pdf",
            "--journal",
            "other.jsonl",
            "--json",
        ])
    };
    let lines: Vec<&str> = journal.lines().collect();
    let told = |json: &Json, part: &str| json.to_string().contains(part);
    let all = verify(&bench, &lines);
    assert!(told(&all, "saw this log grow") && all["holds"] == "not-closed", "{all:#}");
    let ends = verify(&bench, &[lines[0], lines[lines.len() - 1]]);
    assert!(told(&ends, "did not see") && !told(&ends, "saw this log grow"), "{ends:#}");
    let mut back = lines.clone();
    back.reverse();
    let back = verify(&bench, &back);
    assert_eq!(back["holds"], "contradicted", "{back:#}");
}
