//! What a revision drops, what ended before it was used, what is taken back from under what
//! rests on it, a log beside another plan, and pictures that are more than pictures.

use serde_json::{Value as Json, json};
use tackwright::app::record::completed;
use tackwright::app::record::verify::{Holds, verify};
use tackwright::record::change::{Change, undecided};
use tackwright::record::entry::{Action, Entry, Reopened};
use tackwright::record::frozen::{Frozen, RULES};
use tackwright::record::moved::AsPrinted;
use tackwright::record::people::Register;
use tackwright::record::replay::replay;
use tackwright::record::rules::Scene;
use tackwright::record::state::fold;

use super::record_attacks::{entries, forged, log_of, parts, says, shop_key, trusting};
use super::record_gates::{entry, issued, read, tick};
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
fn a_record_whose_photo_unpacks_to_gigabytes_is_not_unpacked() {
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
    // The same inside a record: told before any page is made.
    let mut parts = parts(&bench);
    let mut all = entries(&parts.log);
    let small = with_a_comment(b"seat");
    all.push(json!({
        "at": "2026-03-02T15:00:00+00:00", "by": { "id": "LO", "name": "Lead One", "role": "lead" },
        "what": {
            "act": "photographed", "shows": "as found", "operation": { "key": all_key(&bench), "number": 10 },
            "photos": [{ "file": "P1.jpg", "bytes": small.len(), "sha256": tackwright::record::sha256(&small) }],
        },
    }));
    parts.log = log_of(&all);
    parts.photos.insert("P1.jpg".to_owned(), small);
    let record = completed::render(&parts, None).unwrap_or_else(|e| panic!("{}", e.words())).bytes;
    assert_eq!(verify(&record, &trusting(&shop_key())).holds(), Holds::NotClosed);
    let name = tackwright::app::record::photo::within(&png);
    assert!(name.is_err(), "its head alone says so");
}

/// Key of the first operation of the plan on a bench.
fn all_key(bench: &Bench) -> Json {
    let plan: Json = serde_json::from_slice(&bench.read("travelers/TW-2041/A/plan.json")).unwrap();
    plan["operations"][0]["key"].clone()
}

/// A bench with a second inspector, who is certified for nothing.
fn second_inspector() -> (Bench, String) {
    let bench = Bench::issued();
    let book = bench.text("shop.toml");
    let second = "[[person]]\nid = \"I2\"\nname = \"Inspector Two\"\nrole = [\"inspector\"]\n\n[[person]]";
    bench.write("shop.toml", book.replacen("[[person]]", second, 1));
    let place = bench.fill_before("penetrant");
    (bench, place)
}

#[test]
fn a_waiver_stands_before_the_test_and_as_long_as_it() {
    let (mut bench, place) = second_inspector();
    bench.now += 4 * 3600;
    let test = ["measure", "TW-2041", &place, "clear", "--by", "I2"];
    bench.no(&test, "L216");
    let waive = |tester: &'static str| {
        ["waive", "TW-2041", &place, "--tester", tester, "--by", "LO", "--reason", "card on its way"]
    };
    // Whom nothing would help.
    bench.no(&waive("WT"), "L104");
    bench.yes(&waive("I2"));
    let waived = entries(&bench.read("travelers/TW-2041/log.jsonl")).len().to_string();
    // Made three hours before anybody let it be.
    bench.no(&[&test[..], &["--at", "2026-03-02T15:00:00Z"]].concat(), "L267");
    bench.yes(&test);
    let back = ["correct", "TW-2041", &waived, "--by", "LO", "--reason", "entered for the wrong tester"];
    bench.no(&back, "L268");
    // The test itself is taken back by another one first.
    let tested = (waived.parse::<u64>().unwrap() + 1).to_string();
    bench.yes(&["correct", "TW-2041", &tested, "--by", "LO", "--reason", "read at the other place"]);
    bench.yes(&back);
    bench.no(&test, "L216");
}
