//! One slip in the demonstration job or its shop book, as a shop lead meets it: what
//! `check` says of it, at which key, and what it proposes to write instead. Slips are own
//! examples: a wrong procedure, tool, person, unit, comma, a name that reads like a point.

use serde_json::Value as Json;

use crate::support::bench::Bench;

struct Slip {
    /// File it is made in.
    file: &'static str,
    from: &'static str,
    to: &'static str,
    /// Whether `issue` would go on.
    state: &'static str,
    code: &'static str,
    key: &'static str,
    /// What stands in the proposal; empty if none may be made.
    write: &'static str,
}

const fn slip(
    (file, from, to): (&'static str, &'static str, &'static str),
    (state, code, key, write): (&'static str, &'static str, &'static str, &'static str),
) -> Slip {
    Slip { file, from, to, state, code, key, write }
}

const JOB: &str = "job.toml";
const BOOK: &str = "shop.toml";

/// The hangers are the fourth joint; their procedure is the pads'.
#[rustfmt::skip]
const SLIPS: &[Slip] = &[
    // Outside its procedure: at the value. The only one the procedure has is written; the
    // nearest of a range was hardly meant, and is only told.
    slip((JOB, "volts = \"18.8 V\"", "volts = \"28.8 V\""), ("not ready", "S203", "joint[3].volts", "")),
    slip((JOB, "amps = \"165 A\"", "amps = \"65 A\""), ("not ready", "S203", "joint[3].amps", "")),
    slip((JOB, "gas = \"75Ar/25CO2\"", "gas = \"90Ar/10CO2\""), ("not ready", "S203", "joint[0].gas", "gas = \"75Ar/25CO2\"")),
    slip((JOB, "wire = \"0.035 in\"", "wire = \"0.045 in\""), ("not ready", "S203", "joint[0].wire", "wire = \"0.035 in\"")),
    slip((JOB, "interpass_max = \"350 degF\"", "interpass_max = \"350 degC\""), ("not ready", "J107", "joint[0].interpass_max", "interpass_max = \"350 degF\"")),
    // A procedure for another weld is not met by turning its settings; one that covers it is named.
    slip((JOB, "wps = \"WPS-05\"", "wps = \"WPS-03\""), ("not ready", "S203", "joint[1].wps", "wps = \"WPS-05\"")),
    slip((JOB, "wps = \"WPS-03\"", "wps = \"WPS-05\""), ("not ready", "S203", "joint[0].wps", "wps = \"WPS-03\"")),
    // Tools and people of the book.
    slip((JOB, "wrench = \"TW-3, 40 to 250 lbf-ft\"", "wrench = \"TW-8\""), ("ready", "S212", "fastener[0].wrench", "wrench = \"TW-3\"")),
    slip((JOB, "id = \"WO\"", "id = \"OW\""), ("ready", "S209", "person[1].id", "id = \"WO\"")),
    slip((JOB, "role = [\"inspector\"]", "role = [\"inspector\", \"lead\"]"), ("ready", "S214", "person[2].id", "role = [\"inspector\"]")),
    // A number on paper is one thing.
    slip((JOB, "id = \"J1\"", "id = \"W1\""), ("ready", "J230", "joint[0].id", "id = \"J1\"")),
    slip((JOB, "id = \"B1\"", "id = \"H7\""), ("ready", "J230", "fastener[0].id", "id = \"B1\"")),
    slip((BOOK, "id = \"TW-1\"", "id = \"R1\""), ("ready", "S218", "torque_tool[0].id", "id = \"TW-1\"")),
    // Commas and units.
    slip((JOB, "\"0.279 in\", \"0.281 in\"", "\"0,279 in\", \"0.281 in\""), ("invalid", "Q001", "axle[0].cut.walls_left[0]", "\"0.279 in\", in its place in walls_left")),
    slip((JOB, "wobble = \"0.008 in\"", "wobble = \"0,008\""), ("invalid", "Q001", "axle[0].cut.wobble", "wobble = \"0.008 in\" or \"0.008 mm\"")),
    slip((JOB, "toe = \"0.1 deg\"", "toe = \"1/8 in\""), ("invalid", "Q001", "axle[0].target.toe", "toe = \"… deg\"")),
    slip((JOB, "travel = \"8.2 in/min\"", "travel = \"8.2 in/s\""), ("invalid", "J101", "joint[0].travel", "travel = \"8.2 in/min\"")),
    slip((BOOK, "amps = \"150 A to 195 A\"", "amps = \"150 to 195 A\""), ("invalid", "Q001", "wps[0].amps", "amps = \"150 A to 195 A\"")),
    slip((BOOK, "thickness = \"1/8 in to 3/4 in\"\nweld", "thickness = \"1/8 to 3/4\"\nweld"), ("invalid", "Q001", "wps[0].thickness", "\"1/8 in to 3/4 in\" or \"1/8 mm to 3/4 mm\"")),
    // Names: the near one, else none; never the first of a list.
    slip((JOB, "on = \"front\"\nuse = \"pad\"", "on = \"fornt\"\nuse = \"pad\""), ("invalid", "J104", "joint[0].on", "\"front\"")),
    slip((BOOK, "person = \"WT\"", "person = \"ZZ-9\""), ("invalid", "S002", "qualification[3].person", "")),
    slip((JOB, "number = \"TW-2041\"", "number = \"TW/2041\""), ("invalid", "J013", "job.number", "number = \"TW-2041\"")),
    slip((JOB, "inside_width = \"3-5/16 in\"", "inside_width = \"3-1/16 in\""), ("invalid", "J142", "fastener[0].inside_width", "inside_width = \"3-5/16 in\"")),
    slip((JOB, "size = \"1/4 in\"", "size = \"1/16 in\""), ("not ready", "F021", "joint[0].size", "size = \"3/16 in\"")),
    // A day is never put back.
    slip((JOB, "[shop]", "[[change]]\nrevision = \"A\"\ndate = 2026-03-09\nwhat = \"longer shackles\"\n[shop]"), ("invalid", "J112", "change[0].date", "date = …, the day it was done")),
];

#[test]
fn the_nearest_of_a_range_is_told_and_never_written() {
    let bench = Bench::new();
    bench.edit(JOB, "volts = \"18.8 V\"", "volts = \"28.8 V\"");
    let said = said(&bench);
    let found = told(&said, "S203");
    let help = found[0]["help"].to_string();
    assert!(help.contains("nearest that WPS-03 allows: volts = \\\"20.3 V\\\""), "{found:#?}");
}

fn said(bench: &Bench) -> Json {
    bench.json(&["check", "job.toml", "--json"])
}

fn told<'a>(said: &'a Json, code: &str) -> Vec<&'a Json> {
    said["problems"].as_array().unwrap().iter().filter(|p| p["code"] == code).collect()
}

#[test]
fn a_slip_is_told_at_its_place_with_its_value_mended() {
    let mut wrong = Vec::new();
    for slip in SLIPS {
        let bench = Bench::new();
        bench.edit(slip.file, slip.from, slip.to);
        let said = said(&bench);
        let found = told(&said, slip.code);
        let write = |p: &&Json| {
            let example = p["example"].as_str().unwrap();
            if slip.write.is_empty() { example.is_empty() } else { example.contains(slip.write) }
        };
        let right = found.iter().filter(|p| p["key"] == slip.key).any(write);
        // What is proposed for a person may be another key of the same table.
        if !right || said["state"] != slip.state || found.iter().any(|p| p["place"].is_null()) {
            wrong.push(format!("{}: {} -> {found:#?}", slip.to, said["state"]));
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn a_joint_outside_its_procedure_stops_whatever_hangs_on_it() {
    // Of no safety class: the record would refuse the weld all the same.
    let bench = Bench::small();
    bench.edit("job.toml", "process = \"FCAW\"", "process = \"FCAW\"\nwps = \"WPS-03\"");
    let said = said(&bench);
    assert_eq!(said["state"], "not ready", "{said:#}");
    let stops = told(&said, "S203");
    assert!(stops.iter().any(|p| p["severity"] == "stop" && p["key"] == "joint[0].process"), "{stops:#?}");
}

#[test]
fn one_wire_has_two_names() {
    // AWS A5.18 and ISO 544 sell 0.035 in as 0.9 mm and 0.045 in as 1.2 mm (from memory).
    let bench = Bench::new();
    bench.edit("job.toml", "wire = \"0.035 in\"", "wire = \"0.9 mm\"");
    assert!(told(&said(&bench), "S203").is_empty());
    bench.edit("job.toml", "wire = \"0.9 mm\"", "wire = \"1.0 mm\"");
    assert!(!told(&said(&bench), "S203").is_empty());
}

#[test]
fn a_reason_is_told_with_what_it_sets_aside() {
    let bench = Bench::new();
    let by = "sure = \"drawn so by the spring maker\"\n";
    bench.edit("job.toml", "count = 4\ntraceable", &format!("count = 6\n{by}traceable"));
    bench.edit("job.toml", "place = \"both\"", "place = \"left\"");
    let said = said(&bench);
    assert_eq!(said["state"], "ready", "{said:#}");
    for code in ["J185", "J234"] {
        let found = told(&said, code);
        let right = |p: &&Json| {
            p["severity"] == "warning"
                && p["message"].as_str().unwrap().contains("drawn so by the spring maker")
        };
        assert!(found.iter().any(right), "{code}: {found:#?}");
    }
}

#[test]
fn a_role_nobody_has_can_not_be_signed_for() {
    let bench = Bench::new();
    bench.edit("job.toml", "role = [\"inspector\"]", "role = [\"fitter\"]");
    assert_eq!(said(&bench)["state"], "ready", "the shop book has an inspector");
    bench.edit("shop.toml", "role = [\"inspector\"]", "role = [\"fitter\"]");
    let said = said(&bench);
    assert_eq!(said["state"], "not ready", "{said:#}");
    assert!(told(&said, "J120").iter().any(|p| p["severity"] == "stop"));
}

#[test]
fn a_blank_day_is_told_as_a_blank_alone() {
    let bench = Bench::new();
    bench.edit("shop.toml", "last_used = 2026-02-20", "last_used = \"\"");
    let said = said(&bench);
    assert!(told(&said, "S020").is_empty() && !told(&said, "J006").is_empty(), "{said:#}");
    assert!(!said.to_string().contains("-262"), "{said:#}");
}

#[test]
fn a_day_on_which_no_tool_is_calibrated_is_told_once() {
    let bench = Bench::new();
    bench.edit("job.toml", "date = 2026-03-02", "date = 2025-03-02");
    let said = said(&bench);
    let all = told(&said, "S207");
    let once: Vec<_> = all.iter().filter(|p| p["key"] == "job.date").collect();
    assert_eq!(once.len(), 1, "{all:#?}");
    assert!(once[0]["message"].as_str().unwrap().contains("angle finder, "), "{once:#?}");
}

#[test]
fn nothing_is_written_below_a_file() {
    let bench = Bench::new();
    bench.write("a-file", "text");
    let said = bench.run(&["issue", "job.toml", "--out", "a-file/travelers"]);
    assert_eq!(said.code, 3, "{}", said.err);
    assert!(said.err.contains("a-file is a file") && said.err.contains("--out FOLDER"), "{}", said.err);
    assert!(!said.err.contains("backup"), "{}", said.err);
}

#[test]
fn one_limit_is_one_number_on_metric_paper() {
    use tackwright::procedure::stated::{least, most, shown};
    use tackwright::term::Units::{Inch, Metric};
    // 1/8 in is 3.175 mm, 1/32 in 0.79375 mm, 25 mph 40.2336 km/h (25.4 mm to the inch):
    // a limit in words is printed no larger than the box beside it, which rounds down.
    for (text, metric) in [
        ("1/8 in", "3 mm"),
        ("1/32 in", "0.7 mm"),
        ("1/4 in", "6 mm"),
        ("1/2 in", "12 mm"),
        ("25 mph", "40 km/h"),
    ] {
        assert_eq!(most(text, Metric).unwrap(), metric);
        assert_eq!(most(text, Inch).unwrap(), shown(text, Inch).unwrap());
    }
    // And one that nothing may fall short of no smaller.
    for (text, metric) in [("1/4 in", "7 mm"), ("1 in", "26 mm"), ("2 in", "51 mm"), ("1/32 in", "0.8 mm")] {
        assert_eq!(least(text, Metric).unwrap(), metric);
        assert_eq!(least(text, Inch).unwrap(), shown(text, Inch).unwrap());
    }
    assert_eq!(shown("1/8 in", Metric).unwrap(), "3 mm");
    // Every limit that a text of a procedure states is said so.
    let folder = concat!(env!("CARGO_MANIFEST_DIR"), "/templates/procedures");
    let clear = ["No weld within {{ q('", "off within {{ q('"];
    for file in std::fs::read_dir(folder).unwrap() {
        let text = std::fs::read_to_string(file.unwrap().path()).unwrap();
        let text = clear.iter().fold(text, |text, keep| text.replace(keep, ""));
        for limit in [
            "within {{ q('",
            "at most {{ q('",
            "at least {{ q('",
            "at the latest {{ q('",
            " over {{ q('",
            "More than {{ q('",
        ] {
            assert!(!text.contains(limit), "{limit} in {}", &text[..60]);
        }
    }
}

#[test]
fn a_revision_says_what_its_change_says_and_is_more_than_that() {
    let bench = Bench::issued();
    let row = "\n[[change]]\nrevision = \"B\"\ndate = 2026-03-02\nwhat = \"Longer shackles of the maker\"\nasked = \"station officer, by letter\"\n";
    bench.write("job.toml", format!("{}{row}", bench.text("job.toml")));
    let revise = ["revise", "job.toml", "--by", "LO", "--reason", "shackles as delivered"];
    bench.no(&revise, "nothing changed");
    bench.edit("job.toml", "shackle_new = \"4-1/4 in\"", "shackle_new = \"4-1/2 in\"");
    bench.yes(&revise);
    let paper: Json = serde_json::from_str(&bench.text("travelers/TW-2041/B/document.json")).unwrap();
    let what = "Longer shackles of the maker; asked by station officer, by letter";
    let log = paper["changes"].as_array().unwrap().last().unwrap();
    assert!(log["revision"] == "B" && log["what"].as_str().unwrap().starts_with(what), "{log:#}");
    assert!(paper["stations"].to_string().contains(what), "on no page it touches");
}

#[test]
fn a_weld_that_is_asked_otherwise_starts_again() {
    // Another length: what was done for the first one says nothing. Another way of looking at it
    // starts what looks.
    for (from, to, asked, made) in [
        ("length = \"6 in\"", "length = \"7 in\"", "7 in (177.8 mm) long", true),
        ("inspection = \"visual\"", "inspection = \"visual, dye penetrant\"", "dye penetrant", false),
    ] {
        let bench = Bench::issued();
        let row = "\n[[change]]\nrevision = \"B\"\ndate = 2026-03-02\nwhat = \"Weld as the engineer asks\"\n";
        bench.write("job.toml", format!("{}{row}", bench.text("job.toml")));
        bench.edit("job.toml", from, to);
        bench.yes(&["revise", "job.toml", "--by", "LO", "--reason", "engineer's letter"]);
        let log = bench.text("travelers/TW-2041/log.jsonl");
        let line = log.lines().last().unwrap();
        let entry: Json = serde_json::from_str(line).unwrap();
        let reopened = entry["entry"]["what"]["reopened"].as_array().unwrap();
        let plan: Json = serde_json::from_str(&bench.text("travelers/TW-2041/B/plan.json")).unwrap();
        let operations = plan["operations"].as_array().unwrap();
        let welds = |key: &Json| {
            let own = operations.iter().find(|o| o["key"] == *key).unwrap();
            own["acts"].as_array().unwrap().iter().any(|act| act == "arc")
        };
        assert!(reopened.iter().any(|r| r["why"].as_str().unwrap().contains(asked)), "{from}: {entry:#}");
        assert_eq!(reopened.iter().any(|r| welds(&r["key"])), made, "{from}: {entry:#}");
    }
}

/// A proposal in a unit a thousand times another is worked out, or gives both it may be.
#[test]
fn a_multiple_of_a_unit_is_worked_out() {
    let bench = Bench::new();
    for (line, wanted) in [
        (&["reckon", "convert", "mass=1 ton"][..], &["mass=\"2000 lb\"", "\"1 t\""][..]),
        (&["reckon", "heat-input", "voltage=20 kV"], &["voltage=\"20000 V\""]),
    ] {
        let said = bench.run(line);
        for part in wanted {
            assert!(said.code != 0 && said.err.contains(part), "{line:?}: {}", said.err);
        }
    }
}

/// Two keys are two lines of a file; an only use that is left is no slip of another; what one
/// unknown name explains is told once.
#[test]
fn what_is_to_be_written_can_be_typed() {
    let bench = Bench::new();
    let said = |from: &str, to: &str| {
        bench.edit("job.toml", from, to);
        let said = bench.run(&["check", "job.toml"]);
        bench.edit("job.toml", to, from);
        format!("{}{}", said.out, said.err)
    };
    let lines = |said: &str| {
        said.lines()
            .filter_map(|l| l.split_once("write: "))
            .map(|(_, line)| line.to_owned())
            .collect::<Vec<_>>()
    };
    let two = said("from = \"under\"", "from = \"over\"");
    assert!(lines(&two).iter().all(|line| line.parse::<toml::Table>().is_ok()), "{two}");
    assert!(lines(&two).contains(&"from = \"under\"".to_owned()), "{two}");
    // A preheat that was stated is never proposed lower.
    let close = said("interpass_max = \"400 degF\"", "interpass_max = \"240 degF\"");
    assert!(!lines(&close).iter().any(|line| line.starts_with("preheat")), "{close}");
    for (from, to) in [
        ("procedure = \"knuckle-reindex\"", "procedure = \"knuckle reindex\""),
        ("role = [\"inspector\"]", "role = [\"inspectr\"]"),
    ] {
        let one = said(from, to);
        assert!(!one.contains("J216") && !one.contains("J105") && !one.contains("J113"), "{one}");
    }
    let thread = said("thread = \"9/16-18 UNF\"", "thread = \"9/16-20 UNF\"");
    assert!(thread.contains("9/16-18 UNF\"?") && !thread.contains("J183"), "{thread}");
}

/// Nothing was ever issued into a folder that can't be made: no backup has it.
#[cfg(target_os = "linux")]
#[test]
fn a_folder_that_cannot_be_made_is_another_place_to_name() {
    let bench = Bench::new();
    let said = bench.run(&["issue", "job.toml", "--out", "/proc/x", "--by", "LO"]);
    assert!(said.code != 0 && said.err.contains("name another place"), "{}", said.err);
    assert!(!said.err.contains("backup"), "{}", said.err);
}
