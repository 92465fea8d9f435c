//! The session at the desk, driven by its standard input.

use std::sync::OnceLock;

use crate::support::bench::{Bench, Said};
use crate::support::program::Left;

fn issued() -> Bench {
    static LEFT: OnceLock<Left> = OnceLock::new();
    Bench::like(&LEFT, |bench| {
        bench.typed(&["key", "pin", "LO", "--pin-stdin"], "4711\n");
        let said = bench.typed(&["issue", "job.toml", "--pin-stdin"], "4711\n");
        assert_eq!(said.code, 0, "{}", said.err);
    })
}

fn sit(bench: &Bench, more: &[&str], answers: &[&str]) -> Said {
    let input: String = answers.iter().map(|a| format!("{a}\n")).collect();
    let said = bench.typed(&[&["desk", "TW-2041"], more].concat(), &input);
    assert_eq!(said.code, 0, "{}{}", said.out, said.err);
    let long: Vec<&str> = said.out.lines().filter(|l| l.chars().count() > 80).collect();
    assert!(long.is_empty(), "wider than 80 columns: {long:#?}");
    assert!(!said.out.contains('\u{1b}'), "no colour");
    said
}

fn log(bench: &Bench) -> String {
    bench.text("travelers/TW-2041/log.jsonl")
}

#[test]
fn a_person_is_led_through_what_is_open() {
    let bench = issued();
    let said = sit(
        &bench,
        &["--by", "LO"],
        &[
            "UV-7-114 84 210 mi", // identity
            "2",                  // faults: told or seen, written up: a found condition
            "1",
            "as agreed with the customer",
            "4711", // the lead decides: use as is
            "1",    // initials
            "1",    // R1: the PIN is known by now
            "1",
            "1",
            "1",
            "1", // 20: frame, axle, running gear, initials
            "1",
            "1",
            "1",
            "1", // 30: casting, construction, initials, H1
        ],
    );
    assert!(!said.out.contains("NO:"), "{}", said.out);
    assert_eq!(said.out.matches("PIN of LO").count(), 1, "once a session: {}", said.out);
    assert!(said.out.contains("told or seen, written up: not conform"), "the verdict at once: {}", said.out);
    let log = log(&bench);
    assert_eq!(log.matches("\"act\":\"sign\"").count(), 2, "{}", said.out);
    assert!(log.contains("\"disposition\":\"use as is\""));
    // Work of a fitter: who did it is asked, not taken to be whoever sits there.
    let said = sit(&bench, &["--by", "LO"], &["1", "1"]);
    assert!(said.out.contains("fitter: who did it?"), "{}", said.out);
    let last = log_line(&bench);
    assert!(last.contains("\"id\":\"WO\""), "{last}");
}

fn log_line(bench: &Bench) -> String {
    log(bench).lines().last().unwrap().to_owned()
}

#[test]
fn it_stops_any_time_and_nothing_is_lost() {
    let bench = issued();
    let said = sit(&bench, &["--by", "LO"], &["UV-7-114 84 210 mi", "q"]);
    assert!(said.out.contains("1 entry made"), "{}", said.out);
    assert_eq!(log(&bench).lines().count(), 2);
    // The next session goes on where it stopped; Enter leaves a blank.
    let said = sit(&bench, &["--by", "LO"], &["", "1"]);
    assert!(said.out.contains("10.faults-in") && !said.out.contains("10.identity"), "{}", said.out);
    let log = log(&bench);
    assert!(!log.contains("faults-in") && log.lines().count() == 3, "{log}");
    // The signature waits for what was left blank, and says so at the end.
    assert!(said.out.contains("waits: R1 can't be signed, still open: reading 10.faults-in"), "{}", said.out);
}

#[test]
fn a_step_back_puts_a_slip_right() {
    let bench = issued();
    let said = sit(
        &bench,
        &["--by", "LO"],
        &[
            "UV-7-114 84 210 mi",
            "<", // back to the identity
            "1",
            "a slip",
            "1",
            "4711", // taken back by LO
            "UV-7-114 84 215 mi",
            "q",
        ],
    );
    assert!(!said.out.contains("NO:"), "{}", said.out);
    let log = log(&bench);
    assert!(
        log.contains("\"act\":\"withdrawn\"") && log.contains("\"text\":\"UV-7-114 84 215 mi\""),
        "{log}"
    );
    assert!(log.lines().last().unwrap().contains("UV-7-114 84 215 mi"));
}

#[test]
fn numbers_tools_times_and_bad_readings_are_asked_for() {
    let mut bench = issued();
    // Up to the tyre pressures.
    sit(
        &bench,
        &["--by", "LO"],
        &["UV-7-114 84 210 mi", "1", "1", "1", "4711", "1", "1", "1", "1", "1", "1"],
    );
    bench.now += 7200;
    let said = sit(
        &bench,
        &["--by", "WO", "--operation", "40"],
        &[
            "1",        // pressures: set to the placard
            "at 14:30", // when it was done
            "?",
            "f",
            "rust on the rail",
            "",  // filed at the operation, left open
            "1", // initials
        ],
    );
    assert!(!said.out.contains("NO:"), "{}", said.out);
    let log = log(&bench);
    let tick = log.lines().rfind(|l| l.contains("\"act\":\"tick\"")).unwrap();
    assert!(tick.contains("T14:30:00"), "{tick}");
    assert!(
        log.contains("rust on the rail") && said.out.contains("goes back to the box before"),
        "{}",
        said.out
    );
    // What was found at the levelling keeps what rests on it waiting until a lead decides.
    let said = sit(&bench, &["--by", "WO", "--operation", "50"], &["118", "q"]);
    assert!(said.out.contains("F1 at operation 40 has no disposition"), "{}", said.out);
    let decide =
        ["dispose", "TW-2041", "F1", "use as is", "--by", "LO", "--reason", "brushed off", "--pin-stdin"];
    let said = bench.typed(&decide, "4711\n");
    assert_eq!(said.code, 0, "{}{}", said.out, said.err);
    // Bad, then read again; both stand.
    sit(&bench, &["--by", "WO", "--operation", "50"], &["34", "34", "34", "34", "118", "118", "q"]);
    let said = sit(&bench, &["--by", "WO", "--operation", "50"], &["3 in", "1", "0,1", "1", "1"]);
    assert!(said.out.contains("not conform") && said.out.contains("both stand"), "{}", said.out);
    let text = self::log(&bench);
    assert_eq!(text.matches("\"reading\":\"diagonals\"").count(), 2, "{text}");
}

#[test]
fn a_witness_who_did_not_come_is_told_at_the_desk() {
    let bench = issued();
    let all: Vec<&str> = vec!["UV-7-114 84 210 mi", "1", "1", "1", "4711", "1", "1", "1", "1", "1", "1"];
    sit(&bench, &["--by", "LO"], &all);
    // The point is W1; WO, the welder, says so.
    sit(&bench, &["--by", "WO", "--operation", "40"], &["1", "1"]);
    sit(
        &bench,
        &["--by", "WO", "--operation", "50"],
        &[
            "34",
            "34",
            "34",
            "34",
            "118",
            "118",
            "0.1",
            "0.5",
            "1",
            "c",
            "WO",
            "called 13:00, nobody by 13:30",
        ],
    );
    let last = log_line(&bench);
    assert!(last.contains("\"act\":\"witness-waived\"") && last.contains("\"id\":\"WO\""), "{last}");
}

#[test]
fn a_sheet_is_taken_in_up_to_each_signature() {
    let bench = issued();
    let status = bench.json(&["status", "TW-2041", "--json"]);
    let paper = status["travelers"][0]["paper"].as_str().unwrap().to_owned();
    let rows = [
        ("receive:identity", "UV-7-114 84 210 mi"),
        ("receive:faults-in", "1"),
        ("receive:@lead", "x"),
        ("inspect-old-work:frame", "1"),
        ("inspect-old-work:running-gear", "sounb"),
    ];
    let mut text = "box;value;traveler\n".to_owned();
    rows.iter().for_each(|(name, value)| text.push_str(&format!("{name};{value};{paper}\n")));
    bench.write("in.csv", &text);
    let said = bench.typed(&["desk", "TW-2041", "--take", "in.csv", "--by", "LO"], "1\n4711\n");
    // What stands behind the signature is entered after it; the bad line is told.
    assert_eq!(said.code, 1, "{}{}", said.out, said.err);
    assert!(said.out.contains("did you mean \"sound\"?"), "{}", said.out);
    let log = log(&bench);
    assert!(log.contains("\"act\":\"sign\"") && log.contains("\"reading\":\"frame\""), "{}", said.out);
    assert!(!log.contains("\"reading\":\"running-gear\""));
}

/// A tool no book has is refused where it is named, with what it may have meant, and is not kept
/// for the readings behind it.
#[test]
fn a_tool_nobody_has_is_asked_again() {
    let bench = Bench::issued();
    let place = bench.fill_before("pinion");
    let operation = place.split('.').next().unwrap();
    // Of several boxes there the first one is left until a tool is asked for.
    let answers = ["t", "XX-99", "AF-11", "AF-1", "q"];
    let said = sit(&bench, &["--by", "WO", "--operation", operation], &answers);
    assert!(said.out.contains("has no tool \"XX-99\""), "{}", said.out);
    assert!(said.out.contains("did you mean \"AF-1\"?"), "{}", said.out);
    assert!(!log(&bench).contains("XX-99"));
}
