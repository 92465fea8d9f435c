//! What is counted, named, initialled and shown says something: tries of a PIN, papers from
//! elsewhere, initials, photos.

use serde_json::Value as Json;
use tackwright::quantity::Kind;
use tackwright::record::Frozen;
use tackwright::record::agree::choose;
use tackwright::record::entry::{Action, Photo};
use tackwright::record::frozen::{Choice, Limits, RULES, Reading, Step};
use tackwright::record::moved::AsPrinted;
use tackwright::record::replay::{Replayed, replay};
use tackwright::term::{Does, Level, Shows};

use super::record_gates::{at, entry, issued, operation, read, tick};
use crate::support::bench::{Bench, Said};
use crate::support::picture;

fn no(said: &Said, part: &str) {
    assert_eq!(said.code, 1, "{}{}", said.out, said.err);
    assert!(said.err.contains(part), "{part}:\n{}", said.err);
}

/// A small bench on which the paper was issued and LO and WO have PINs.
fn with_pins() -> Bench {
    let bench = Bench::small();
    bench.yes(&["issue", "job.toml"]);
    assert_eq!(bench.typed(&["key", "pin", "LO", "--pin-stdin"], "4711\n").code, 0);
    assert_eq!(pin(&bench, &["WO", "--by", "LO"], "4711\n1111\n").code, 0);
    bench
}

fn pin(bench: &Bench, args: &[&str], typed: &str) -> Said {
    bench.typed(&[&["key", "pin"], args, &["--pin-stdin"]].concat(), typed)
}

#[test]
fn it_does_not_help_to_take_the_file_of_tries_away() {
    let mut bench = with_pins();
    let forget = |bench: &Bench| std::fs::remove_file(bench.path("pin-tries.jsonl")).unwrap();
    for _ in 0..5 {
        no(&pin(&bench, &["WO"], "0000\n2222\n"), "that is not the PIN of Welder One");
        forget(&bench);
    }
    let said = pin(&bench, &["WO"], "1111\n2222\n");
    no(&said, "was wrong 5 times");
    assert!(said.err.contains("5 of these tries were taken out of"), "{}", said.err);
    assert!(said.err.contains("journal counted them"), "{}", said.err);
    // A file that says that a right one was typed in between is believed as little.
    let right = r#"{"at":"2026-03-02T14:00:00+00:00","id":"WO","right":true}"#;
    bench.write("pin-tries.jsonl", format!("{right}\n"));
    no(&pin(&bench, &["WO"], "1111\n2222\n"), "was wrong 5 times");
    // Nor one that says that they were all long ago.
    let long_ago =
        |n: u32| format!("{{\"at\":\"2026-03-01T14:0{n}:00+00:00\",\"id\":\"WO\",\"right\":false}}\n");
    bench.write("pin-tries.jsonl", (0..7).map(long_ago).collect::<String>());
    no(&pin(&bench, &["WO"], "1111\n2222\n"), "was wrong 7 times");
    forget(&bench);
    // Twenty, whatever the clock says: then only a lead's new one.
    for _ in 5..20 {
        bench.now += 16 * 60;
        no(&pin(&bench, &["WO"], "0000\n2222\n"), "that is not the PIN of Welder One");
        forget(&bench);
    }
    bench.now += 86_400;
    no(&pin(&bench, &["WO"], "1111\n2222\n"), "was wrong 20 times");
    assert_eq!(pin(&bench, &["WO", "--by", "LO"], "4711\n3333\n").code, 0);
    assert_eq!(pin(&bench, &["WO"], "3333\n1111\n").code, 0);
    // The journal is one chain still, and knows no traveler more.
    bench.yes(&["status"]);
    let all = bench.json(&["status", "--json"]);
    assert_eq!(all["travelers"].as_array().unwrap().len(), 1, "{all:#}");
}

#[test]
fn an_entry_says_that_tries_were_taken_out() {
    let bench = with_pins();
    bench.write("seat.png", picture::truck(0.0));
    bench.yes(&["photo", "TW-2041", "10", "seat.png", "--shows", "as-found", "--by", "WO"]);
    let correct =
        ["correct", "TW-2041", "2", "--by", "WO", "--reason", "taken of another frame", "--pin-stdin"];
    no(&bench.typed(&correct, "0000\n"), "that is not the PIN of Welder One");
    no(&bench.typed(&correct, "0001\n"), "that is not the PIN of Welder One");
    std::fs::remove_file(bench.path("pin-tries.jsonl")).unwrap();
    let said = bench.typed(&correct, "1111\n");
    assert_eq!(said.code, 0, "{}{}", said.out, said.err);
    let log = bench.text("travelers/TW-2041/log.jsonl");
    let last: Json = serde_json::from_str(log.lines().last().unwrap()).unwrap();
    let how = last["entry"]["identified"].as_str().unwrap();
    assert!(how.starts_with("pin, after 2 wrong tries, the file of wrong tries does not"), "{how}");
    // It is counted anew from there.
    std::fs::remove_file(bench.path("pin-tries.jsonl")).unwrap();
    assert_eq!(pin(&bench, &["WO"], "1111\n2222\n").code, 0);
    // Whoever has the record alone is told.
    bench.typed(&["complete", "TW-2041", "--by", "LO", "--pin-stdin"], "4711\n");
    let verdict = bench.run(&["verify", "travelers/TW-2041/TW-2041-completed.pdf"]);
    let all = format!("{}{}", verdict.out, verdict.err);
    assert!(all.contains("took tries out of the file beside the shop book"), "{all}");
}

#[test]
fn a_try_that_was_cut_short_hides_none_behind_it() {
    let bench = with_pins();
    let whole = bench.text("pin-tries.jsonl");
    bench.write("pin-tries.jsonl", format!("{whole}{{\"at\":\"2026-03-02T14:00"));
    no(&pin(&bench, &["WO"], "0000\n2222\n"), "that is not the PIN of Welder One");
    let tries = bench.text("pin-tries.jsonl");
    let last: Json = serde_json::from_str(tries.lines().last().unwrap()).unwrap();
    assert_eq!((&last["id"], &last["right"]), (&"WO".into(), &false.into()), "{tries}");
    // A right one without wrong ones before it leaves nothing behind.
    assert_eq!(pin(&bench, &["WO"], "1111\n2222\n").code, 0);
    let before = bench.text("pin-tries.jsonl").lines().count();
    assert_eq!(pin(&bench, &["WO"], "2222\n1111\n").code, 0);
    assert_eq!(bench.text("pin-tries.jsonl").lines().count(), before + 1, "the one that was set");
}

fn report() -> Reading {
    let word = |word: &str, paper| Choice {
        word: word.to_owned(),
        does: Does::Conforms,
        paper,
        ..Choice::default()
    };
    Reading {
        id: "cracks".to_owned(),
        label: "penetrant".to_owned(),
        level: Some(Level::Safety),
        choices: vec![word("clear", false), word("by report", true)],
        ..Reading::default()
    }
}

#[test]
fn a_report_is_named_by_what_looks_like_its_number_or_by_its_date() {
    let reading = report();
    for bare in ["1", "12", "no. 1", "report 7", "0000", "2026", "1st"] {
        let said = choose(&reading, &format!("by report: {bare}"), RULES).unwrap_err();
        assert_eq!(said.code, "L264", "{bare}");
        assert!(said.message.contains("is no number and no date of a paper"), "{}", said.message);
        // As it was written in the days of the rules before, it stands.
        assert!(choose(&reading, &format!("by report: {bare}"), 9).is_ok(), "{bare}");
    }
    for named in ["PT-114", "2 March 2026", "sheet 7, 2026-02-20", "no. 4711"] {
        assert!(choose(&reading, &format!("by report: {named}"), RULES).is_ok(), "{named}");
    }
}

/// A plan of one weld that is looked at before it is made, and read afterwards.
fn plan(rules: u32) -> Frozen {
    let angle = |id: &str, level| Reading {
        id: id.to_owned(),
        label: id.to_owned(),
        level: Some(level),
        limits: Some(Limits { kind: Kind::Angle, target: None, lower: None, upper: None }),
        ..Reading::default()
    };
    let step = |reading: Reading| Step {
        number: 1,
        level: reading.level,
        readings: vec![reading],
        ..Step::default()
    };
    let mut look = operation("a/look", 10, &[]);
    look.steps = vec![step(angle("camber", Level::Control))];
    let mut weld = operation("a/weld", 20, &["a/look"]);
    weld.steps = vec![step(angle("set", Level::Safety))];
    weld.acts = vec!["arc".to_owned()];
    let mut end = operation("a/left", 30, &["a/weld"]);
    end.steps = vec![step(angle("as-left", Level::Control))];
    let mut other = operation("b/look", 40, &[]);
    other.steps = vec![step(angle("camber", Level::Control))];
    Frozen {
        number: "T-1".to_owned(),
        revision: "A".to_owned(),
        operations: vec![look, weld, end, other],
        rules,
        ..Frozen::default()
    }
}

fn photo(n: u64, key: &str, shows: Shows) -> Action {
    let digest = format!("{n:064}");
    let photo = Photo { bytes: 1, file: format!("P{n}-1-0.png"), original: None, sha256: digest };
    Action::Photographed { operation: at(key), photos: vec![photo], reading: None, shows, step: None }
}

/// The log of these entries after the issue, gone through again: what `verify` does.
fn again(rules: u32, work: &[(&str, &str, Action)]) -> Replayed {
    let mut log = vec![issued("LO")];
    for (n, (time, clock, what)) in (2..).zip(work) {
        let mut one = entry(n, time, "WO", what.clone());
        one.clock = Some(format!("2026-03-02T{clock}:00-06:00"));
        log.push(one);
    }
    replay(&[&plan(rules)], &log, &AsPrinted)
}

fn against(found: &Replayed, part: &str) -> bool {
    found.against.iter().any(|(_, why)| why.contains(part))
}

#[test]
fn a_photo_as_found_is_taken_before_the_work_there_begins() {
    let done = |key: &str, id: &str, time: &'static str| (time, time, read(key, id, 1.0));
    let worked = || {
        vec![
            done("a/look", "camber", "08:00"),
            done("a/weld", "set", "10:00"),
            done("a/left", "as-left", "12:00"),
        ]
    };
    let with = |key: &str, time: &'static str, clock: &'static str, shows| {
        let mut all = worked();
        all.push((time, clock, photo(9, key, shows)));
        again(RULES, &all)
    };
    let said = "is as it was found";
    for key in ["a/look", "a/weld", "a/left"] {
        assert!(against(&with(key, "12:30", "12:30", Shows::AsFound), said), "{key}");
    }
    // Taken before and filed in the evening: both times are told.
    let late = with("a/look", "08:05", "18:00", Shows::AsFound);
    assert!(!against(&late, said), "{late:?}");
    assert!(
        late.told
            .iter()
            .any(|(_, w)| w.contains("a photo of 10 as found is filed after work at 20 had begun")),
        "{late:?}"
    );
    // As left, of another place, before the work, and by the rules of an earlier day.
    for (key, shows) in [("a/look", Shows::AsLeft), ("b/look", Shows::AsFound)] {
        let fine = with(key, "12:30", "12:30", shows);
        assert!(!against(&fine, said) && fine.told.is_empty(), "{key}: {fine:?}");
    }
    let mut first = vec![("07:30", "07:30", photo(9, "a/look", Shows::AsFound))];
    first.extend(worked());
    let fine = again(RULES, &first);
    assert!(!against(&fine, said) && fine.told.is_empty(), "{fine:?}");
    let mut all = worked();
    all.push(("12:30", "12:30", photo(9, "a/look", Shows::AsFound)));
    assert!(!against(&again(9, &all), said));
}

#[test]
fn initials_stand_over_something_that_was_done() {
    let said = "would stand over nothing";
    let look = || ("08:00", "08:00", read("a/look", "camber", 1.0));
    let over_nothing = [look(), ("09:00", "09:00", tick("a/weld", None))];
    assert!(against(&again(RULES, &over_nothing), said));
    assert!(!against(&again(9, &over_nothing), said));
    let over_work =
        [look(), ("09:00", "09:00", read("a/weld", "set", 1.0)), ("09:05", "09:05", tick("a/weld", None))];
    assert!(!against(&again(RULES, &over_work), said));
    // Where nothing is read for safety it is told, not refused.
    assert!(!against(&again(RULES, &[("08:00", "08:00", tick("a/look", None))]), said));
}

#[test]
fn initials_over_nothing_are_refused_or_told_at_the_bench() {
    let bench = Bench::issued();
    // Receiving reads nothing for safety.
    let said = bench.yes(&["tick", "TW-2041", "10", "--by", "LO"]);
    let all = format!("{}{}", said.out, said.err);
    assert!(all.contains("stand over nothing so far") && all.contains("Still open at 10: "), "{all}");
    let plan: Json = serde_json::from_slice(&bench.read("travelers/TW-2041/A/plan.json")).unwrap();
    let safety = |o: &&Json| {
        let steps = o["steps"].as_array().unwrap();
        steps.iter().any(|s| s["level"] == "safety" && !s["readings"].as_array().unwrap().is_empty())
    };
    let first = plan["operations"].as_array().unwrap().iter().find(safety).expect("a reading for safety");
    let steps = first["steps"].as_array().unwrap();
    let id = steps
        .iter()
        .filter(|s| s["level"] == "safety")
        .find_map(|s| s["readings"][0]["id"].as_str())
        .unwrap();
    let bench = Bench::issued();
    bench.fill_before(id);
    let number = first["number"].to_string();
    let by = if first["role"] == "lead" { "LO" } else { "WO" };
    let said = bench.no(&["tick", "TW-2041", &number, "--by", by], "L310");
    assert!(said.err.contains("would stand over nothing, still open: "), "{}", said.err);
    assert!(said.err.contains(&format!("tackwright measure TW-2041 {number}.")), "{}", said.err);
}

#[test]
fn initials_of_a_sheet_wait_for_its_lines_that_were_refused() {
    let bench = Bench::issued();
    let paper = bench.json(&["status", "TW-2041", "--json"])["travelers"][0]["paper"].clone();
    let paper = paper.as_str().unwrap();
    let sheet = |rows: &[(&str, &str)]| {
        let lines = rows.iter().map(|(name, value)| format!("{name},{value},{paper}\n"));
        format!("box,value,traveler\n{}", lines.collect::<String>())
    };
    let take = |rows: &[(&str, &str)]| {
        bench.write("in.csv", sheet(rows));
        bench.json(&["sheet", "TW-2041", "--take", "in.csv", "--by", "LO", "--enter", "--json"])
    };
    let initials = "receive:@lead";
    let of = |said: &Json| {
        let lines = said["lines"].as_array().unwrap();
        lines.iter().find(|l| l["box"] == initials).unwrap_or_else(|| panic!("{said:#}")).clone()
    };
    // One that says nothing, and one that can't be read at all.
    for bad in [".", "=1+1"] {
        let one = of(&take(&[(initials, "LO"), ("receive:identity", bad)]));
        assert_eq!(one["outcome"], "refused", "{bad}: {one:#}");
        let words = one["words"].as_str().unwrap();
        assert!(
            words.contains("10 is not initialled: 10.identity was not entered, and came with it"),
            "{words}"
        );
    }
    bench.write("in.csv", sheet(&[(initials, "LO"), ("receive:identity", ".")]));
    let said = bench.run(&["sheet", "TW-2041", "--take", "in.csv", "--by", "LO", "--enter"]);
    assert!(
        said.code == 1 && said.out.contains("0 lines entered, 2 not: see above"),
        "{}{}",
        said.out,
        said.err
    );
    assert_eq!(bench.text("travelers/TW-2041/log.jsonl").lines().count(), 1);
    // Put right, both are entered.
    let said = take(&[(initials, "LO"), ("receive:identity", "UV-7-114 84 210 mi")]);
    assert_eq!(of(&said)["outcome"], "entered", "{said:#}");
}

#[test]
fn a_photo_of_nothing_is_refused_at_the_bench() {
    let bench = Bench::small();
    bench.yes(&["issue", "job.toml"]);
    let mut png = std::io::Cursor::new(Vec::new());
    let white = image::RgbImage::from_pixel(640, 480, image::Rgb([255; 3]));
    image::DynamicImage::ImageRgb8(white).write_to(&mut png, image::ImageFormat::Png).unwrap();
    bench.write("white.png", png.into_inner());
    let photo = ["photo", "TW-2041", "10", "white.png", "--shows", "as-found", "--by", "WO"];
    bench.no(&photo, "it is of one colour or nearly, and shows nothing");
    bench.no(
        &["found", "TW-2041", "10", "crack at the toe", "--photo", "white.png", "--by", "WO"],
        "shows nothing",
    );
    bench.write("white.png", picture::truck(0.0));
    bench.yes(&photo);
}

/// A folder of the traveler that is a link leads out of it: nothing is written there that
/// could not be read back.
#[cfg(unix)]
#[test]
fn nothing_is_written_through_a_folder_that_is_a_link() {
    let bench = Bench::small();
    bench.yes(&["issue", "job.toml"]);
    let outside = tempfile::tempdir().unwrap();
    let empty = || std::fs::read_dir(outside.path()).unwrap().next().is_none();
    let entries = || bench.text("travelers/TW-2041/log.jsonl").lines().count();
    bench.write("p.png", picture::small());
    let link = |name: &str| std::os::unix::fs::symlink(outside.path(), bench.path(name)).unwrap();
    link("travelers/TW-2041/photos");
    for args in [
        &["photo", "TW-2041", "10", "p.png", "--shows", "as-found", "--by", "WO"][..],
        &["found", "TW-2041", "10", "crack at the toe", "--photo", "p.png", "--by", "WO"],
    ] {
        let said = bench.run(args);
        assert!(said.code == 3 && said.err.contains("its folder is a link"), "{}{}", said.out, said.err);
    }
    link("travelers/TW-2041/taken-in");
    let status = bench.json(&["status", "TW-2041", "--json"])["travelers"][0].clone();
    let first = status["boxes"].as_array().unwrap().iter().find(|b| b["waits_for"].is_null()).unwrap();
    let (name, paper) = (first["box"].as_str().unwrap(), status["paper"].as_str().unwrap());
    bench.write("in.csv", format!("box,value,traveler\n{name},UV-7,{paper}\n"));
    let said = bench.run(&["sheet", "TW-2041", "--take", "in.csv", "--by", "LO", "--enter"]);
    assert!(said.code == 3 && said.err.contains("its folder is a link"), "{}{}", said.out, said.err);
    assert!(empty() && entries() == 1, "written through a link");
}

#[test]
fn what_lies_under_the_digest_of_a_sheet_is_that_sheet() {
    let bench = Bench::small();
    bench.yes(&["issue", "job.toml"]);
    let status = bench.json(&["status", "TW-2041", "--json"])["travelers"][0].clone();
    let first = status["boxes"].as_array().unwrap().iter().find(|b| b["waits_for"].is_null()).unwrap();
    let (name, paper) = (first["box"].as_str().unwrap(), status["paper"].as_str().unwrap());
    let sheet = format!("box,value,traveler\n{name},UV-7,{paper}\n");
    bench.write("in.csv", &sheet);
    let take = ["sheet", "TW-2041", "--take", "in.csv", "--by", "LO", "--json"];
    let digest = bench.json(&take)["sha256"].as_str().unwrap()[..32].to_owned();
    // Something else was put there before.
    let kept = format!("travelers/TW-2041/taken-in/{digest}.csv");
    bench.write(&kept, "box,value,traveler\n");
    let said = bench.json(&[&take[..], &["--enter"]].concat());
    assert_eq!(said["lines"][0]["outcome"], "entered", "{said:#}");
    assert_eq!(bench.text(&kept), sheet);
    assert!(!bench.yes(&["status", "TW-2041"]).out.contains("LOG"));
}

/// One bad reading makes many points fall: the reason is said once.
#[test]
fn the_status_says_one_reason_once() {
    let bench = Bench::issued();
    bench.fill_before("pack.left");
    let again =
        ["measure", "TW-2041", "50.diagonals", "1.8 in", "--with", "TP-2", "--by", "WO", "--again", "--sure"];
    let said = bench.yes(&again);
    let told = |text: &str, part: &str| text.matches(part).count();
    let reason = "reading 50.diagonals is not conform";
    assert_eq!(told(&format!("{}{}", said.out, said.err), reason), 1, "{}{}", said.out, said.err);
    let status = || bench.yes(&["status", "TW-2041"]).out;
    let all = status();
    assert_eq!(told(&all, reason), 1, "{all}");
    let down = all.lines().find(|l| l.contains("NO LONGER HOLDS")).expect("a point fell");
    assert!(down.contains("W1") && down.ends_with("until reading 50.diagonals is settled"), "{all}");
    // What to do first stands first, and the boxes of the next operation stand on one line.
    let place =
        |part: &str| all.lines().position(|l| l.starts_with(part)).unwrap_or_else(|| panic!("{part}: {all}"));
    assert!(place("  waits for a lead") < place("  now") && place("  now") < place("  next"), "{all}");
    assert!(place("  next") < place("  head") && told(&all, "open there: ") <= 1, "{all}");
    // Filed, decided as rework: still one sentence of it, and what falls is named beside it.
    bench.yes(&["found", "TW-2041", "50.diagonals", "frame out of square by 1.8 in", "--by", "WO"]);
    bench.yes(&[
        "dispose",
        "TW-2041",
        "F1",
        "rework",
        "--by",
        "LO",
        "--reason",
        "pulled straight on the rack",
    ]);
    let all = status();
    assert_eq!(told(&all, "F1 was decided as rework"), 1, "{all}");
    assert!(all.contains("until F1 is settled"), "{all}");
    // Machines have each point with its reasons.
    let json = bench.json(&["status", "TW-2041", "--json"]);
    assert!(
        json["travelers"][0]["no_longer_holds"][0].as_str().unwrap().contains("no longer holds: "),
        "{json:#}"
    );
}
