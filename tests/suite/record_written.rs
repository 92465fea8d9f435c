//! What is written down is what was there to be read: no finer than the tool shows, fine
//! enough for the limit, of the unit of the job, by the clock of the machine; and whose
//! procedures were followed.

use std::process::Command;

use tackwright::app::record::weigh::judge;
use tackwright::procedure::Library;
use tackwright::procedure::embedded;
use tackwright::quantity::{Kind, Quantity, parse};
use tackwright::record::frozen::Limits;
use tackwright::record::people::{Instrument, Spread};
use tackwright::record::written::decimals_wanted;

use crate::support::bench::Bench;

fn length(text: &str) -> Quantity {
    parse::quantity(Kind::Length, text).unwrap()
}

#[test]
fn a_value_is_no_finer_than_its_tool_shows() {
    let bench = Bench::issued();
    let place = bench.fill_before("pinion");
    let write = |value: &str| {
        ["measure", "TW-2041", &place, value, "--with", "AF-1", "--by", "WO"].map(str::to_owned)
    };
    let args = write("12.5137 deg");
    let said = bench.no(&args.iter().map(String::as_str).collect::<Vec<_>>(), "L281");
    assert!(said.err.contains("0.05°"), "the step is named\n{}", said.err);
    // A tenth of a mark is estimated; what is typed makes the finder no better: planned 12.5,
    // half a degree either way, and the finder is good for 0.1.
    // What is accepted is told before it is read, and where it is not proven.
    let accepted = "12.11° to 12.89°";
    let all = bench.json(&["status", "TW-2041", "--boxes", "--json"]);
    let all = all["travelers"][0]["boxes"].as_array().unwrap();
    let row = all.iter().find(|b| b["typed"] == place.as_str()).unwrap();
    assert_eq!(row["accepted"], format!("{accepted} with AF-1"), "{row:#}");
    let args = write("12.95 deg ± 0.001 deg");
    let judged =
        bench.json(&[&args.iter().map(String::as_str).collect::<Vec<_>>()[..], &["--json"]].concat());
    assert_eq!(judged["verdict"], "not proven", "{judged:#}");
    let words = judged["words"].as_str().unwrap();
    assert!(words.contains("guard band 0.11°, accepted with it: 12.11° to 12.89°: not proven"), "{words}");
}

#[test]
fn a_value_is_fine_enough_for_its_limit() {
    let gauge =
        Instrument { step: Some(length("0.001 in")), kind: Some(Kind::Length), ..Instrument::default() };
    let tape =
        Instrument { step: Some(length("1/32 in")), kind: Some(Kind::Length), ..Instrument::default() };
    let limits =
        |most: &str| Limits { kind: Kind::Length, target: None, lower: None, upper: Some(length(most)) };
    let wanted = |tool: &Instrument, text: &str, most: &str| {
        let measured = judge(Some(limits(most)), text, Some(Spread { fixed: 1e-7, share: 0.0 })).unwrap();
        decimals_wanted(Some(tool), length(text), &measured)
    };
    // Two decimals can be anything to 0.005.
    assert_eq!(wanted(&gauge, "0.00 in", "0.002 in"), Some(3));
    assert_eq!(wanted(&gauge, "0.000 in", "0.002 in"), None);
    assert_eq!(wanted(&gauge, "0.12 in", "1/8 in"), None);
    assert_eq!(wanted(&gauge, "0.12 in", "0.121 in"), Some(3));
    // A tape shows no more, a mark is a mark, and what is outside is told as that.
    assert_eq!(wanted(&tape, "0.00 in", "0.002 in"), None);
    assert_eq!(wanted(&gauge, "6 in", "6.1 in"), None);
    assert_eq!(wanted(&gauge, "0.01 in", "0.002 in"), None);
}

#[test]
fn a_real_record_is_kept_by_the_clock_of_the_machine() {
    let bench = Bench::small();
    bench.edit("job.toml", "invented = true", "invented = false");
    bench.no(&["issue", "job.toml"], "L300");
    let run = |bench: &Bench, args: &[&str]| {
        let done = Command::new(env!("CARGO_BIN_EXE_tackwright"))
            .args(args)
            .current_dir(bench.path("."))
            .env_remove("SOURCE_DATE_EPOCH")
            .output()
            .unwrap();
        assert!(done.status.success(), "{args:?}\n{}", String::from_utf8_lossy(&done.stderr));
    };
    run(&bench, &["issue", "job.toml"]);
    let mut later = bench;
    later.now = 4_000_000_000;
    let found = ["found", "TW-2041", "10", "a crack", "--by", "WO"];
    later.no(&found, "L300");
    run(&later, &found);
}

#[test]
fn another_unit_is_asked_back() {
    let bench = Bench::issued();
    let write = ["measure", "TW-2041", "10.identity", "frame 11-111, 12 mi", "--by", "LO"];
    let said = bench.no(&write, "L301");
    assert!(said.err.contains("UV-7-114") && said.err.contains("--sure"), "{}", said.err);
    bench.yes(&[&write[..], &["--sure"]].concat());
}

#[test]
fn procedures_of_the_shops_own_are_named() {
    let bench = Bench::small();
    let own =
        std::fs::read_to_string(concat!(env!("CARGO_MANIFEST_DIR"), "/templates/procedures/weldment.toml"));
    bench.write("templates/procedures/weldment.toml", own.unwrap());
    bench.yes(&["issue", "job.toml", "--procedures", "templates/procedures"]);
    let paper = bench.text("travelers/TW-2041/A/document.json");
    assert!(paper.contains("procedures of the shop's own, not those that ship"), "not on the paper");
    bench.yes(&["complete", "TW-2041", "--by", "LO"]);
    let verdict = bench.json(&["verify", "travelers/TW-2041/TW-2041-completed.pdf", "--json"]);
    assert!(verdict["remarks"].to_string().contains("procedures of the shop's own"), "{verdict:#}");
    // Those that ship are not the shop's.
    let bench = Bench::small();
    bench.yes(&["issue", "job.toml"]);
    assert!(!bench.text("travelers/TW-2041/A/document.json").contains("of the shop's own"));
}

#[test]
fn every_limit_of_a_derived_value_has_a_kind() {
    let (library, report) = Library::load(embedded::FILES.iter().copied());
    assert!(!report.has_errors());
    let mut count = 0;
    for operation in library.operations.values() {
        let derived = operation.row.step.iter().flat_map(|s| &s.derived);
        for row in derived.filter(|d| d.least.is_some() || d.most.is_some()) {
            count += 1;
            let kind = library.kind_of(&operation.row, &row.of[0].value);
            assert!(kind.is_some(), "{}.{}: its limits are of no kind", operation.row.id.value, row.id.value);
        }
    }
    assert!(count > 10, "{count} derived values with limits");
}

#[test]
fn the_lift_as_left_is_judged_on_both_sides() {
    let bench = Bench::trailer();
    bench.yes(&["issue", "job.toml"]);
    let number = std::fs::read_dir(bench.path("travelers")).unwrap().next().unwrap().unwrap().file_name();
    let plan = bench.text(&format!("travelers/{}/A/plan.json", number.to_str().unwrap()));
    let plan: serde_json::Value = serde_json::from_str(&plan).unwrap();
    let steps = plan["operations"].as_array().unwrap().iter().flat_map(|o| o["steps"].as_array().unwrap());
    let risen: Vec<_> = steps
        .filter_map(|s| s["derived"].as_array())
        .flatten()
        .filter(|d| d["id"].as_str().is_some_and(|id| id.starts_with("risen-")))
        .collect();
    assert_eq!(risen.len(), 2, "left and right");
    for one in risen {
        assert!(one["least"]["si"].as_f64() > Some(0.0) && one["most"]["si"].as_f64() > Some(0.0), "{one}");
    }
}
