//! What people type for a place and for a time is read one way by every command.

use serde_json::Value as Json;

use crate::support::bench::Bench;
use crate::support::program::commands;

/// Two days after the issue, 14:00 UTC.
fn bench() -> Bench {
    let mut bench = Bench::issued();
    bench.now += 2 * 86_400;
    bench
}

/// Every way to write one reading: as a command says it, as its box is called, by the
/// words beside it on paper.
const READING: &[&str] = &[
    "10.identity",
    "receive:identity",
    "receive.identity",
    "10 identity",
    "10.IDENTITY",
    "10.identity and odometer",
    "10: Identity and Odometer",
];

#[test]
fn a_reading_is_measured_and_taken_back_by_every_name_it_has() {
    let bench = bench();
    for name in READING {
        bench.yes(&["measure", "TW-2041", name, "UV-7-114 84 210 mi", "--by", "LO"]);
        let other =
            ["UV-7-114 84 210 mi again", "--by", "LO", "--corrects", name, "--reason", "another plate"];
        bench.yes(&[&["measure", "TW-2041", name][..], &other].concat());
        let said = bench.yes(&["correct", "TW-2041", name, "--by", "LO", "--reason", "wrong unit"]);
        // What was taken back is said, not only its number.
        assert!(said.out.contains("UV-7-114 84 210 mi again"), "{}", said.out);
    }
    bench.no(&["correct", "TW-2041", "10.identity", "--by", "LO", "--reason", "again"], "is empty");
}

#[test]
fn every_command_that_names_a_place_reads_it_alike() {
    let bench = bench();
    let picture = crate::support::picture::gusset();
    bench.write("p.png", picture);
    for name in READING {
        bench.yes(&["photo", "TW-2041", name, "p.png", "--shows", "as-found", "--by", "LO"]);
        let of = bench.json(&["status", "TW-2041", "--operation", name, "--boxes", "--json"]);
        let boxes = of["travelers"][0]["boxes"].as_array().unwrap();
        assert!(boxes.iter().all(|b| b["operation"] == 10) && !boxes.is_empty(), "{name}: {of:#}");
        bench.yes(&["sheet", "TW-2041", "--operation", name, "--out", "s.csv"]);
        let paper = bench.text("s.csv");
        let line = paper.lines().find(|l| l.contains("receive:identity")).unwrap();
        let filled = paper.replace("receive:identity", &format!("\"{name}\""));
        assert_ne!(filled, paper, "{line}");
    }
    for (made, taken) in [("10", "10.initials"), ("receive:@lead", "receive:@lead"), ("receive", "10:@lead")]
    {
        for (what, value) in
            [("10.identity", "UV-7-114 84 210 mi"), ("10.faults-in", "none known, none seen")]
        {
            if bench.run(&["measure", "TW-2041", what, value, "--by", "LO"]).code != 0 {
                continue;
            }
        }
        bench.yes(&["tick", "TW-2041", made, "--by", "LO"]);
        for point in ["R1", "r1", "10.R1", "receive:!after.1/1/mark", "10"] {
            bench.yes(&["sign", "TW-2041", point, "--as", "lead", "--by", "LO"]);
            let back = if point == "10" { "R1" } else { point };
            bench.yes(&["correct", "TW-2041", back, "--by", "LO", "--reason", "too soon"]);
        }
        bench.yes(&["correct", "TW-2041", taken, "--by", "LO", "--reason", "not done yet"]);
    }
    for name in ["10.identity", "receive:identity", "10.identity and odometer"] {
        bench.yes(&["found", "TW-2041", name, "the plate was moved, rivets new", "--by", "LO"]);
    }
}

#[test]
fn a_line_of_a_sheet_is_read_by_every_name_of_its_box() {
    let bench = bench();
    bench.yes(&["sheet", "TW-2041", "--operation", "10", "--out", "s.csv"]);
    let paper = bench.text("s.csv");
    let mut rows = csv::ReaderBuilder::new().has_headers(true).from_reader(paper.as_bytes());
    let columns = rows.headers().unwrap().clone();
    let at = |name: &str| columns.iter().position(|c| c.trim_start_matches('\u{feff}') == name).unwrap();
    let line = rows.records().map(Result::unwrap).find(|r| &r[at("box")] == "receive:identity").unwrap();
    for name in READING {
        let cells = line.iter().enumerate().map(|(i, cell)| match i {
            i if i == at("box") => name,
            i if i == at("value") => "UV-7-114 84 210 mi",
            i if i == at("when") => "yesterday 9:30",
            _ => cell,
        });
        let mut out = csv::Writer::from_writer(Vec::new());
        out.write_record(&columns).unwrap();
        out.write_record(cells).unwrap();
        bench.write("in.csv", out.into_inner().unwrap());
        let said = bench.yes(&["sheet", "TW-2041", "--take", "in.csv", "--by", "LO"]);
        assert!(said.out.contains("1 line can be entered"), "{name}: {}{}", said.out, said.err);
    }
}

/// An id is one id in small letters too, wherever a person is named.
#[test]
fn a_person_is_known_by_the_id_in_small_letters() {
    let bench = bench();
    bench.yes(&["measure", "TW-2041", "10.identity", "UV-7-114 84 210 mi", "--by", "lo"]);
    let log = bench.text("travelers/TW-2041/log.jsonl");
    assert!(log.lines().last().unwrap().contains("\"by\":{\"id\":\"LO\""), "{log}");
    bench.no(&["measure", "TW-2041", "10.faults-in", "1", "--by", "l9"], "L102");
    let ended = bench.typed(&["desk", "TW-2041", "--by", "lo"], "q\n");
    assert_eq!(ended.code, 0, "{}{}", ended.out, ended.err);
}

#[test]
fn a_place_for_another_command_says_which() {
    let bench = bench();
    let by = ["--by", "LO"];
    let no = |args: &[&str], part: &str| {
        let said = bench.no(&[args, &by].concat(), part);
        said.err
    };
    no(&["measure", "TW-2041", "R1", "x"], "tackwright sign TW-2041 R1 --as lead");
    no(&["measure", "TW-2041", "10", "x"], "tackwright tick TW-2041 10");
    no(&["tick", "TW-2041", "10.identity"], "tackwright measure TW-2041 10.identity VALUE");
    no(&["sign", "TW-2041", "10.identity", "--as", "lead"], "tackwright measure TW-2041 10.identity");
    no(&["tick", "TW-2041", "R1"], "tackwright sign TW-2041 R1");
    no(&["measure", "TW-2041", "10.identiy", "x"], "did you mean \"10.identity\"?");
    no(&["measure", "TW-2041", "10.identity and odo", "x"], "did you mean \"10.identity\"?");
    no(&["tick", "TW-2041", "10.9"], "a step from 1 to");
    no(&["tick", "TW-2041", "99999"], "is no place of TW-2041");
    no(&["tick", "TW-2041", "recieve"], "did you mean \"receive\"?");
    for nothing in ["", " ", ".", ":", "10.", "10:", "#", "@", "H", "10.#"] {
        no(&["tick", "TW-2041", nothing], "error[L");
    }
    // Entries and operations are counted in the same numbers: a bare one is an entry.
    let reason = ["--reason", "wrong one"];
    let said = no(&[&["correct", "TW-2041", "450"][..], &reason].concat(), "has no entry 450");
    assert!(said.contains("450.initials"), "{said}");
    no(&[&["correct", "TW-2041", "H4"][..], &reason].concat(), "is empty");
    no(&[&["correct", "TW-2041", "nothing"][..], &reason].concat(), "status TW-2041 --entries");
}

#[test]
fn a_time_is_stated_as_a_person_writes_it() {
    let bench = bench();
    for (text, at) in [
        ("13:30", "2026-03-04T13:30:00+00:00"),
        ("1:30 pm", "2026-03-04T13:30:00+00:00"),
        ("today 13:30", "2026-03-04T13:30:00+00:00"),
        ("yesterday 9:30", "2026-03-03T09:30:00+00:00"),
        ("2026-03-03 14:05", "2026-03-03T14:05:00+00:00"),
        ("2026-03-03 14:05 -06:00", "2026-03-03T14:05:00-06:00"),
        ("2026-03-03T14:05:00-06:00", "2026-03-03T14:05:00-06:00"),
        ("3.3.2026 14:05", "2026-03-03T14:05:00+00:00"),
    ] {
        let said = bench.yes(&[
            "measure",
            "TW-2041",
            "10.identity",
            "UV-7-114 84 210 mi",
            "--by",
            "LO",
            "--at",
            text,
        ]);
        // Where no zone was typed, the one that was taken is told.
        let told = said.err.contains("Time stated: 2026-03-");
        assert_eq!(told, !text.contains("-06:00"), "{text}: {}", said.err);
        let log = bench.text("travelers/TW-2041/log.jsonl");
        let last: Json = serde_json::from_str(log.lines().last().unwrap()).unwrap();
        assert_eq!(last["entry"]["at"], at, "{text}");
        bench.yes(&[
            "correct",
            "TW-2041",
            "10.identity",
            "--by",
            "LO",
            "--reason",
            "once more, another time",
        ]);
    }
    let said = bench.yes(&["status", "TW-2041", "--entries"]).out;
    assert!(said.contains("  2026-03-03 14:05 -06:00  LO"), "{said}");
    assert!(!said.contains("T14:05"), "{said}");
}

#[test]
fn a_time_that_may_be_two_or_has_not_come_is_asked_back() {
    let bench = bench();
    let at = |text: &str| {
        bench.run(&["measure", "TW-2041", "10.identity", "UV-7-114 84 210 mi", "--by", "LO", "--at", text])
    };
    for (text, part) in [
        ("3/2/2026 14:05", "may be 2026-03-02 or 2026-02-03"),
        ("2026-03-03", "has no time of the day"),
        ("noonish", "is no time"),
        ("tomorrow 9:00", "is no date"),
    ] {
        let said = at(text);
        assert_eq!(said.code, 2, "{text}: {}", said.err);
        assert!(said.err.contains(part) && said.err.contains("yesterday 9:30"), "{text}: {}", said.err);
    }
    let said = at("23:59");
    assert!(said.err.contains("2026-03-04 23:59 is later than now, 2026-03-04 14:00 +00:00"), "{}", said.err);
    let said = at("2026-01-05 7:00");
    assert!(said.err.contains("2026-01-05 07:00 is earlier than the issue of TW-2041"), "{}", said.err);
}

/// A new command with a time, or one whose help forgets how it is written, is found here.
#[test]
fn every_command_with_a_time_takes_it_as_a_person_writes_it() {
    let bench = Bench::new();
    let help = bench.yes(&["--help"]).out;
    let names = commands(&help);
    let mut timed = Vec::new();
    for name in &names {
        let said = bench.yes(&[name, "--help"]).out;
        assert!(!said.contains("RFC 3339"), "{name}: {said}");
        if said.contains("--at <TIME>") {
            assert!(said.contains("14:05"), "{name} does not say how a time is written: {said}");
            // Before anything else is looked at, so that no command reads it its own way.
            timed.push(*name);
        }
    }
    for name in ["issue", "tick", "measure", "sign", "found", "photo", "bars", "dispose", "correct", "revise"]
    {
        assert!(timed.contains(&name), "{name} takes no time: {timed:?}");
    }
    for name in ["desk", "sheet", "returned", "close", "complete"] {
        assert!(timed.contains(&name), "{name} takes no time: {timed:?}");
    }
}

/// One line says who may go on; what waits for a lead is said once.
#[test]
fn the_status_says_who_may_do_the_next_thing_and_nothing_twice() {
    let bench = bench();
    let once = || {
        let out = bench.yes(&["status", "TW-2041"]).out;
        let lines: Vec<&str> = out.lines().collect();
        for (n, line) in lines.iter().enumerate() {
            assert!(!lines[..n].contains(line), "said twice: {line}\n{out}");
        }
        out
    };
    let now = |out: &str| {
        let mut lines = out.lines().filter_map(|l| l.strip_prefix("  now: "));
        let line = lines.next().unwrap_or_else(|| panic!("{out}")).to_owned();
        assert!(lines.next().is_none(), "{out}");
        line
    };
    assert_eq!(now(&once()), "LO (lead): 10.identity, identity and odometer");
    bench.yes(&["measure", "TW-2041", "10.identity", "UV-7-114 84 210 mi", "--by", "LO"]);
    bench.yes(&["measure", "TW-2041", "10.faults-in", "none known, none seen", "--by", "LO"]);
    assert_eq!(now(&once()), "LO (lead): initials 10");
    bench.yes(&["tick", "TW-2041", "10", "--by", "LO"]);
    assert_eq!(now(&once()), "LO (lead): signs R1");
    bench.yes(&["sign", "TW-2041", "R1", "--as", "lead", "--by", "LO"]);
    // A word that opens a found condition by itself: one matter, one line.
    bench.yes(&["measure", "TW-2041", "20.frame", "cracked or bent", "--by", "LO"]);
    let out = once();
    assert_eq!(out.matches("waits for a lead").count(), 1, "{out}");
    assert!(out.contains("tackwright dispose TW-2041 F1 DISPOSITION --by"), "{out}");
    assert_eq!(out.matches("20.frame").count() + out.matches("F1 at").count(), 1, "{out}");
    // With boxes asked for, the head is short.
    let brief = bench.yes(&["status", "TW-2041", "--operation", "20"]).out;
    assert!(!brief.contains("full size") && brief.contains("  now: "), "{brief}");
}
