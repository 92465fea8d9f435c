//! What a reading rests on its instrument for: a row of the shop book that was made better, a
//! calibration that had ended by the clock, one instrument in two hands, and which of several
//! is proposed first.

use serde_json::{Value as Json, json};
use tackwright::app::record::verify::{Holds, Verdict, verify};
use tackwright::quantity::{Dimensioned, Kind, Length, Quantity, unit};
use tackwright::record::entry::{Action, Entry};
use tackwright::record::frozen::{Frozen, Limits, Name, Near, Operation, RULES, Reading, Step};
use tackwright::record::hours;
use tackwright::record::people::{Instrument, Register, Spread};
use tackwright::record::rules::Scene;
use tackwright::record::state::{self, State};

use super::record_attacks::{entries, forged, log_of, parts, says, shop_key, trusting};
use super::record_gates::{entry, operation, read};
use crate::support::bench::{Bench, START};
use crate::support::program::Left;

/// The row of the tape, from its step on.
const ROW: &str =
    "resolution = \"1/32 in\"\nuncertainty = \"1/64 in\"\ncalibrated = 2025-06-01\ndue = 2026-06-01";

/// A bench on which a height is the next to be read with the tape, and its box.
fn at_the_height() -> (Bench, &'static str) {
    static BENCH: std::sync::OnceLock<Left> = std::sync::OnceLock::new();
    let bench = Bench::like(&BENCH, |bench| {
        bench.yes(&["issue", "job.toml"]);
        assert_eq!(bench.fill_before("height-lf"), PLACE);
    });
    (bench, PLACE)
}

const PLACE: &str = "50.height-lf";

fn height<'a>(value: &'a str, more: &[&'a str]) -> Vec<&'a str> {
    [&["measure", "TW-2041", PLACE, value, "--by", "WO", "--with", "TP-2"][..], more].concat()
}

fn last(bench: &Bench) -> Json {
    entries(&bench.read("travelers/TW-2041/log.jsonl")).pop().unwrap()
}

#[test]
fn a_row_gets_better_by_a_calibration_and_by_nothing_else() {
    let (bench, _) = at_the_height();
    for (row, part) in [
        (
            "resolution = \"1/32 in\"\nuncertainty = \"1/128 in\"\ncalibrated = 2025-06-01\ndue = 2026-06-01",
            "a smaller uncertainty",
        ),
        (
            "resolution = \"1/64 in\"\nuncertainty = \"1/64 in\"\ncalibrated = 2025-06-01\ndue = 2026-06-01",
            "a finer step",
        ),
        (
            "resolution = \"1/32 in\"\nuncertainty = \"1/64 in\"\ncalibrated = 2025-06-01\ndue = 2027-06-01",
            "a later last day",
        ),
        // Older than the one the paper was issued with.
        (
            "resolution = \"1/32 in\"\nuncertainty = \"1/64 in\"\ncalibrated = 2025-05-01\ndue = 2027-06-01",
            "a later last day",
        ),
    ] {
        bench.edit("shop.toml", ROW, row);
        let said = bench.no(&height("33 in", &[]), "L303");
        assert!(said.err.contains(part), "{part}: {}", said.err);
        bench.edit("shop.toml", row, ROW);
    }
    // A wider range.
    bench.edit("shop.toml", "most = \"25 ft\"", "most = \"30 ft\"");
    assert!(bench.no(&height("33 in", &[]), "L303").err.contains("a wider range"));
    bench.edit("shop.toml", "most = \"30 ft\"", "most = \"25 ft\"");
    // Coarser, or as it was: the row is taken.
    let coarser = ROW.replace("1/64", "1/32");
    bench.edit("shop.toml", ROW, &coarser);
    bench.yes(&height("33 in", &[]));
    assert_eq!(last(&bench)["what"]["reading"]["calibrated"], "2025-06-01");
    bench.edit("shop.toml", &coarser, ROW);
    // Calibrated anew, it is what its certificate says; before that day it was what it was.
    let anew =
        "resolution = \"1/64 in\"\nuncertainty = \"1/128 in\"\ncalibrated = 2026-03-02\ndue = 2027-03-01";
    bench.edit("shop.toml", ROW, anew);
    bench.yes(&height("33 in", &["--again"]));
    let reading = last(&bench)["what"]["reading"].clone();
    assert_eq!(
        (&reading["calibrated"], &reading["calibrated_until"]),
        (&json!("2026-03-02"), &json!("2027-03-01"))
    );
    let fine: f64 = reading["uncertainty"].as_str().unwrap().parse().unwrap();
    bench.edit("shop.toml", "calibrated = 2026-03-02", "calibrated = 2026-03-03");
    bench.yes(&height("33 in", &["--again"]));
    let reading = last(&bench)["what"]["reading"].clone();
    assert_eq!(reading["calibrated"], "2025-06-01", "{reading:#}");
    assert!(reading["uncertainty"].as_str().unwrap().parse::<f64>().unwrap() > 1.5 * fine);
    // A revision that is frozen with a better row says so.
    bench.edit("shop.toml", "calibrated = 2026-03-03", "calibrated = 2025-06-01");
    bench.edit("job.toml", "title = \"", "title = \"Once more: ");
    let said = bench.yes(&["revise", "job.toml", "--by", "LO", "--reason", "tape of the rack renewed"]);
    assert!(said.err.contains("TP-2 has a smaller uncertainty, a finer step"), "{}{}", said.out, said.err);
}

#[test]
fn an_instrument_the_paper_does_not_know_gets_no_better_between_two_readings() {
    let (bench, place) = at_the_height();
    let row = |fine: &str| {
        format!(
            "\n[[instrument]]\nid = \"TP-9\"\nkind = \"tape\"\nmeasures = \"length\"\nleast = \"0 in\"\nmost = \"25 ft\"\nresolution = \"1/64 in\"\nuncertainty = \"{fine} in\"\ncalibrated = 2026-01-10\ndue = 2027-01-10\n"
        )
    };
    let book = bench.text("shop.toml");
    let measure = |more: &[&'static str]| {
        let own = ["measure", "TW-2041", place, "33 in", "--by", "WO", "--with", "TP-9"];
        own.iter().copied().chain(more.iter().copied()).collect::<Vec<_>>()
    };
    bench.write("shop.toml", format!("{book}{}", row("1/64")));
    bench.yes(&measure(&[]));
    bench.write("shop.toml", format!("{book}{}", row("1/128")));
    bench.no(&measure(&["--again"]), "L305");
    // A calibration after the reading is none of it.
    let anew = row("1/128").replace("2026-01-10", "2026-03-03");
    bench.write("shop.toml", format!("{book}{anew}"));
    bench.no(&measure(&["--again"]), "L304");
    let anew = row("1/128").replace("2026-01-10", "2026-02-20");
    bench.write("shop.toml", format!("{book}{anew}"));
    bench.yes(&measure(&["--again"]));
}

#[test]
fn verify_holds_an_entry_against_the_row_of_its_tool() {
    let (bench, _) = at_the_height();
    bench.yes(&height("33 in", &[]));
    let good = parts(&bench);
    let with = |change: &dyn Fn(&mut Json)| -> Verdict {
        let mut parts = good.clone();
        let mut all = entries(&parts.log);
        change(&mut all.last_mut().unwrap()["what"]["reading"]);
        parts.log = log_of(&all);
        verify(&forged(&parts, Some(&shop_key())), &trusting(&shop_key()))
    };
    let kept = with(&|_| {});
    assert_eq!(kept.holds(), Holds::NotClosed, "{kept:#?}");
    for (change, part) in [
        (
            &(|r: &mut Json| r["uncertainty"] = "0.0000001".into()) as &dyn Fn(&mut Json),
            "smaller uncertainty than TP-2 had",
        ),
        (
            &|r: &mut Json| r["calibrated_until"] = "2027-06-01".into(),
            "a later end of the calibration than TP-2 had",
        ),
        (
            &|r: &mut Json| r["calibrated"] = "2026-03-09".into(),
            "TP-2 was calibrated on 2026-03-09, after it",
        ),
        (
            &|r: &mut Json| {
                r["text"] = "33.001 in".into();
                r["value"] = (33.001 * 0.0254).to_string().into();
            },
            "finer steps than TP-2 had",
        ),
        (&|r: &mut Json| r["tool"] = "CM-1".into(), "CM-1 (clamp meter) does not measure that"),
    ] {
        let verdict = with(change);
        assert!(says(&verdict, part), "{part}: {verdict:#?}");
        assert!(verdict.holds() <= Holds::AgainstRules, "{part}: {verdict:#?}");
    }
    // A newer calibration may be true: it is told, to be asked for.
    let anew = with(&|r: &mut Json| {
        r["calibrated"] = "2026-03-01".into();
        r["uncertainty"] = "0.0000001".into();
    });
    assert!(says(&anew, "TP-2 was calibrated anew on 2026-03-01"), "{anew:#?}");
    assert_eq!(anew.holds(), Holds::NotClosed, "{anew:#?}");
}

#[test]
fn a_calibration_that_had_ended_by_the_clock_is_told_wherever_it_counts() {
    let (mut bench, _) = at_the_height();
    bench.now = START + 100 * 24 * 3600;
    bench.no(&height("33 in", &[]), "L132");
    let said = bench.yes(&height("33 in", &["--at", "2026-05-30T10:00:00Z"]));
    let told = "its calibration had ended on 2026-06-01 by the clock, 2026-06-10";
    assert!(format!("{}{}", said.out, said.err).contains(told), "{}{}", said.out, said.err);
    let record = forged(&parts(&bench), Some(&shop_key()));
    let verdict = verify(&record, &trusting(&shop_key()));
    assert!(says(&verdict, told), "{verdict:#?}");
    let text: String =
        crate::support::pdf::pages(&record).iter().map(crate::support::pdf::Page::text).collect();
    for part in ["Calibrationendedbytheclock", "bythetimestatedorbytheclock"] {
        assert!(text.contains(part), "{part}");
    }
    // In calibration both ways, nothing is told.
    let (bench, _) = at_the_height();
    let said = bench.yes(&height("33 in", &[]));
    assert!(!format!("{}{}", said.out, said.err).contains("by the clock"), "{}", said.err);
}

fn inch(value: f64) -> Quantity {
    Length::of(value, unit::IN).into()
}

/// Half a step and its certificate make its spread.
fn tool(id: &str, title: &str, fixed: f64) -> Instrument {
    Instrument {
        id: id.to_owned(),
        title: title.to_owned(),
        kind: Some(Kind::Length),
        spread: Some(Spread { fixed: inch(fixed).si(), share: 0.0 }),
        ..Instrument::default()
    }
}

#[test]
fn what_proves_the_limit_is_proposed_first() {
    let register = Register {
        instruments: Some(vec![
            tool("TP-1", "tape", 0.012),
            tool("SR-1", "steel rule", 0.003),
            tool("CA-1", "caliper", 0.0005),
        ]),
        ..Register::default()
    };
    let (plan, state) = (Frozen::default(), State::default());
    let scene = Scene::looking(&plan, &state, &register);
    let within = |room: f64| Limits {
        kind: Kind::Length,
        target: Some(inch(2.0)),
        lower: Some(inch(2.0 - room)),
        upper: Some(inch(2.0 + room)),
    };
    let ids = |needed: &str, limits: Limits| {
        let (named, others) = scene.takes(Some(needed), limits, limits.target);
        let ids = |all: Vec<&Instrument>| all.iter().map(|i| i.id.as_str()).collect::<Vec<_>>().join(" ");
        (ids(named), ids(others))
    };
    let of = |a: &str, b: &str| (a.to_owned(), b.to_owned());
    // Room for a tape: as the book lists them.
    assert_eq!(ids("tape, caliper", within(0.25)), of("TP-1 CA-1", "SR-1"));
    // Within 1/32 in a rule proves it, a tape only on its target.
    assert_eq!(ids("tape, steel rule", within(0.03)), of("SR-1 TP-1", "CA-1"));
    assert_eq!(ids("tape, caliper", within(0.005)), of("CA-1 TP-1", "SR-1"));
    // None that is named proves it: the one that does is first, and no choice of the paper's.
    assert_eq!(ids("tape", within(0.005)), of("", "CA-1 TP-1 SR-1"));
    // Nothing limits it: nothing is turned round.
    assert_eq!(ids("tape", Kind::Length.into()), of("TP-1", "SR-1 CA-1"));
    let said = scene.instrument(None, Some("tape, caliper"), Some(within(0.005)), None).unwrap_err();
    assert!(said.help.join(" ").contains("CA-1 or TP-1"), "{:?}", said.help);
}

/// A maker's figure is known when it was read: what is proposed then takes it.
#[test]
fn the_tool_proposed_takes_what_was_read_to_be_agreed_with() {
    let set = Reading {
        id: "hub-torque".to_owned(),
        instrument: Some("torque wrench".to_owned()),
        near: Some(Near {
            to: Name { operation: "330".to_owned(), reading: "hub-maker".to_owned() },
            within: Quantity::from_si(Kind::Torque, 7.0),
        }),
        ..Reading::default()
    };
    let limits = Limits::from(Kind::Torque);
    let (plan, register) = (Frozen::default(), Register::default());
    let maker = |kind: Kind, value: f64| {
        let mut what = read("330", "hub-maker", 1.0);
        if let Action::Measure { reading } = &mut what {
            (reading.kind, reading.value) = (Some(kind.word().to_owned()), Some(value.to_string()));
        }
        state::fold(&[entry(1, "2026-03-02T10:00:00-06:00", "WO", what)])
    };
    let nothing = State::default();
    assert_eq!(Scene::looking(&plan, &nothing, &register).wanted(&set, limits), None);
    let known = maker(Kind::Torque, 68.0);
    let wanted = Scene::looking(&plan, &known, &register).wanted(&set, limits);
    assert_eq!(wanted, Some(Quantity::from_si(Kind::Torque, 68.0)));
    // What is of another kind says nothing of it, and a target goes first.
    let other = maker(Kind::Length, 68.0);
    assert_eq!(Scene::looking(&plan, &other, &register).wanted(&set, limits), None);
    let target = Limits { target: Some(Quantity::from_si(Kind::Torque, 40.0)), ..limits };
    assert_eq!(Scene::looking(&plan, &known, &register).wanted(&set, target), target.target);
}

/// A figure that is copied from a sheet is read with nothing: a wrench is refused, and none
/// is offered. Plans of before that rule take one.
#[test]
fn a_copied_figure_names_no_instrument() {
    let wrench = Instrument {
        id: "TW-1".to_owned(),
        title: "torque wrench".to_owned(),
        kind: Some(Kind::Torque),
        ..Instrument::default()
    };
    let register = Register { instruments: Some(vec![wrench]), ..Register::default() };
    let (now, before) =
        (Frozen { rules: RULES, ..Frozen::default() }, Frozen { rules: 9, ..Frozen::default() });
    let nothing = State::default();
    let limits = Some(Limits::from(Kind::Torque));
    let with = |plan: &Frozen, tool: Option<&str>, needed: &str| {
        let scene = Scene::looking(plan, &nothing, &register);
        scene.instrument(tool, Some(needed), limits, None).map(|found| found.map(|i| i.id.clone()))
    };
    let said = with(&now, Some("TW-1"), "maker's data").unwrap_err();
    assert!(said.code == "L313" && said.example.contains("without --with"), "{said:#?}");
    assert_eq!(with(&now, None, "maker's data").unwrap(), None);
    assert_eq!(with(&now, Some("TW-1"), "torque wrench").unwrap().as_deref(), Some("TW-1"));
    let copied = with(&before, Some("TW-1"), "maker's data");
    assert!(copied.as_ref().is_ok_and(|tool| tool.as_deref() == Some("TW-1")), "{copied:?}");
    let scene = Scene::looking(&now, &nothing, &register);
    let (named, others) = scene.takes(Some("maker's data"), Limits::from(Kind::Torque), None);
    assert!(named.is_empty() && others.is_empty(), "a tool is offered for what is copied");
}

/// Every tool that may be used for a box of the plan has its row with the paper.
#[test]
fn the_rows_of_all_tools_that_could_serve_are_frozen() {
    let bench = Bench::new();
    bench.edit(
        "shop.toml",
        "[[torque_tool]]",
        "[[torque_tool]]\nid = \"TW-9\"\nkind = \"electronic wrench, 1/4 in drive\"\ncapacity = \"5 lbf-ft\"\nincrement = \"0.1 lbf-ft\"\nuncertainty = \"1 %\"\ncalibrated = 2025-09-15\ndue = 2026-09-15\n\n[[torque_tool]]",
    );
    bench.yes(&["issue", "job.toml", "--shop", "shop.toml"]);
    let frozen = bench.text("travelers/TW-2041/A/procedures.json");
    assert!(frozen.contains("TW-9"), "a wrench for a torque that is known at the bench alone");
}

/// An entry with an instrument, stated to be of `time`, written down in the evening.
fn with(n: u64, time: &str, who: &str, key: &str, tool: &str) -> Entry {
    let mut what = read(key, "gap", 1.0);
    if let Action::Measure { reading } = &mut what {
        reading.tool = Some(tool.to_owned());
    }
    Entry { clock: Some("2026-03-02T20:00:00-06:00".to_owned()), ..entry(n, time, who, what) }
}

#[test]
fn one_instrument_in_two_hands_in_one_minute_is_told() {
    let one = |key: &str, number: u32, instrument: &str| Operation {
        steps: vec![Step {
            number: 1,
            readings: vec![Reading {
                id: "gap".to_owned(),
                instrument: Some(instrument.to_owned()),
                ..Reading::default()
            }],
            ..Step::default()
        }],
        ..operation(key, number, &[])
    };
    let plan = |rules: u32| Frozen {
        number: "T-1".to_owned(),
        rules,
        operations: vec![
            one("left", 10, "angle finder"),
            one("right", 20, "angle finder"),
            one("base", 30, "tape"),
        ],
        ..Frozen::default()
    };
    let told = |rules: u32, log: &[Entry]| -> Vec<(u64, String)> {
        hours::remarks(&plan(rules), log).into_iter().map(|r| (r.n, r.words)).collect()
    };
    let two = [with(1, "14:05", "WO", "left", "AF-1"), with(2, "14:05", "WT", "right", "AF-1")];
    let said = told(RULES, &two);
    assert_eq!(said.len(), 1, "{said:?}");
    assert_eq!(
        said[0],
        (2, "AF-1 is stated to be in two hands in one minute, 2026-03-02 14:05 -06:00: WO reads operation 10 with it and WT operation 20 of T-1".to_owned())
    );
    assert_eq!(told(9, &two), Vec::new(), "an old plan is kept by the rules of its day");
    // The next minute, another one, one person, tapes of which a shop has several: nothing.
    for honest in [
        [with(1, "14:05", "WO", "left", "AF-1"), with(2, "14:06", "WT", "right", "AF-1")],
        [with(1, "14:05", "WO", "left", "AF-1"), with(2, "14:05", "WT", "right", "AF-2")],
        [with(1, "14:05", "WO", "left", "AF-1"), with(2, "14:05", "WO", "right", "AF-1")],
        [with(1, "14:05", "WO", "base", "TP-2"), with(2, "14:05", "WT", "base", "TP-2")],
    ] {
        assert_eq!(told(RULES, &honest), Vec::new());
    }
    // Nobody stated the time: it is that of writing.
    let written = two.map(|e| Entry { clock: Some(e.at.clone()), ..e });
    assert_eq!(told(RULES, &written), Vec::new());
}

#[test]
fn a_tool_that_left_the_book_waits_for_a_lead() {
    let (bench, _) = at_the_height();
    bench.yes(&height("33 in", &[]));
    let gone = |bench: &Bench| -> Vec<String> {
        let all = bench.json(&["status", "TW-2041", "--json"])["travelers"][0].clone();
        let of = |key: &str| all[key].as_array().unwrap().clone();
        let open: Vec<Json> = of("open").into_iter().chain(of("for_lead")).collect();
        let words = open.iter().map(|one| one.as_str().unwrap().to_owned());
        words.filter(|one| one.contains("TP-2 is not in")).collect()
    };
    assert_eq!(gone(&bench), Vec::<String>::new());
    bench.edit("shop.toml", "id = \"TP-2\"", "id = \"TP-9\"");
    let said = gone(&bench);
    // Open, and waiting for a lead.
    assert_eq!(said.len(), 2, "{said:?}");
    assert!(said[0].contains(PLACE) && said[0].contains("kept as the paper was issued"), "{said:?}");
    assert!(bench.run(&["status", "--shop"]).out.contains("waits for a lead: TP-2 is not in"));
    bench.yes(&["found", "TW-2041", PLACE, "TP-2: sold, and nobody read it against another", "--by", "LO"]);
    let reason = "TP-2: certificate of 2025-06-01 seen, paper 118/25 of the laboratory";
    bench.yes(&["dispose", "TW-2041", "F1", "use as is", "--by", "LO", "--reason", reason]);
    assert_eq!(gone(&bench), Vec::<String>::new());
}

#[test]
fn a_shop_sees_all_its_travelers_in_one_table() {
    let (bench, _) = at_the_height();
    bench.yes(&height("33 in", &[]));
    bench.edit("job.toml", "\"TW-2041\"", "\"TW-2042\"");
    bench.yes(&["issue", "job.toml"]);
    bench.yes(&["found", "TW-2041", "50", "a crack beside the left hanger", "--by", "WO"]);
    let table = |more: &[&str]| bench.yes(&[&["status", "--shop"][..], more].concat()).out;
    let said = table(&[]);
    assert!(said.lines().all(|line| line.chars().count() <= 80), "{said}");
    let line =
        |part: &str| said.lines().find(|l| l.contains(part)).unwrap_or_else(|| panic!("{part}\n{said}"));
    assert!(line("TW-2041").contains("5/") || line("TW-2041").contains("4/"), "{said}");
    assert!(line("TW-2042").contains("0/") && line("TW-2042").contains("10 "), "{said}");
    assert!(line("waits for a lead").contains("F1 at operation 50"), "{said}");
    assert!(!said.contains("tool due"), "{said}");
    let late = table(&["--on", "2026-05-15"]);
    assert!(late.contains("tool due 2026-06-01: TP-2"), "{late}");
    let all = bench.json(&["status", "--shop", "--json", "--on", "2026-05-15"]);
    assert_eq!(all["travelers"][0]["tools_due"], json!([{ "tool": "TP-2", "due": "2026-06-01" }]));
    let said = bench.run(&["status", "TW-2041", "--shop"]);
    assert_eq!(said.code, 2, "a table of one traveler: {}", said.err);
}
