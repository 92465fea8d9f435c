//! `new`: for every procedure and combination the file checks clean apart from
//! its blanks, and with the examples filled in it can be issued.

use serde_json::Value as Json;
use tackwright::app::blank::{self, Wish};
use tackwright::app::plan::{Shelf, load, plan};
use tackwright::diagnostic::Severity;
use tackwright::job::model::{Axle, End};
use tackwright::term::{Paper, Units};

use super::support::desk::{Desk, check, issue, refused, shipped};
use super::support::pdf;

/// Combinations a shop asks for, beside each procedure alone.
const COMBINATIONS: &[&[&str]] = &[
    &["spring-over", "knuckle-reindex", "shackle-move", "linkage"],
    &["spring-over", "knuckle-reindex", "driveshaft"],
    &["housing-rotation", "driveshaft"],
    &["spring-pack", "trailer-springs"],
    &["weldment", "bolt-on"],
    &["spring-pack", "axle-position", "final"],
];

/// A blank for these procedures, as `new` writes it without options.
fn job_file(
    library: &tackwright::procedure::Library,
    kinds: &[String],
) -> Result<String, tackwright::diagnostic::Report> {
    blank::job_file(library, kinds, &Wish::default())
}

fn wishes(shelf: &Shelf) -> Vec<Vec<String>> {
    let alone = shelf.library.procedures.keys().map(|id| vec![id.clone()]);
    let words = |list: &&[&str]| list.iter().map(|w| (*w).to_owned()).collect();
    alone.chain(COMBINATIONS.iter().map(words)).collect()
}

/// The file with every blank replaced by the example above it.
pub(super) fn filled(text: &str) -> String {
    let mut example = "";
    let mut out = String::new();
    for line in text.lines() {
        if let Some((_, found)) = line.strip_prefix("# ").and_then(|l| l.split_once(" Example: ")) {
            example = found;
        }
        // What buys a figure stands behind a # with its example.
        if let Some((value, _)) =
            line.strip_prefix("# ").filter(|l| l.contains("; buys: ")).and_then(|l| l.split_once("  # "))
        {
            out.push_str(&format!("{value}\n"));
            continue;
        }
        match line.strip_suffix(" = \"\"") {
            Some(key) => out.push_str(&format!("{key} = {example}\n")),
            None => out.push_str(&format!("{line}\n")),
        }
    }
    out
}

#[test]
fn a_new_file_has_blanks_and_nothing_else_to_complain_about() {
    let shelf = shipped();
    for wish in wishes(&shelf) {
        let text = job_file(&shelf.library, &wish).unwrap();
        let (sound, problems) = check("job.toml", &text, &shelf);
        assert!(sound, "{wish:?}: {problems:#?}");
        let blanks = text.lines().filter(|l| l.ends_with(" = \"\"")).count();
        // A dozen for the work itself; each joint has two parts to be named.
        let joints = text.matches("[[joint]]").count();
        let fasteners = text.matches("[[fastener]]").count();
        let shafts = text.matches("[[driveshaft]]").count();
        // A seam round a tube has a diameter besides.
        let round = text.matches("\naround = \"\"").count();
        assert!(
            (8..=20 + 2 * (joints + fasteners) + round + 6 * shafts).contains(&blanks),
            "{wish:?}: {blanks} blanks"
        );
        // The shop book may remark on joints that name no welding procedure yet.
        let problems: Vec<_> =
            problems.into_iter().filter(|p| !p["code"].as_str().unwrap().starts_with('S')).collect();
        // What its blanks stop besides: a torque nobody states, a caster without a limit,
        // a tube that is cut, and round what a seam runs.
        let codes = ["J196", "J197", "J198", "J231", "J249", "J300"];
        let follows = |p: &Json| p["code"].as_str().is_some_and(|code| codes.contains(&code));
        let problems: Vec<_> = problems.into_iter().filter(|p| !follows(p)).collect();
        assert_eq!(problems.len(), blanks, "{wish:?}: {problems:#?}");
        for problem in &problems {
            let open = problem["severity"] == "blank" || problem["code"] == "J006";
            assert!(open, "{wish:?}: {problem}");
            let line = problem["place"]["line"].as_u64().unwrap();
            let line = text.lines().nth(usize::try_from(line).unwrap() - 1).unwrap();
            assert!(line.ends_with(" = \"\""), "{wish:?}: {line}");
        }
    }
}

#[test]
fn a_file_without_its_number_is_not_issued() {
    let shelf = shipped();
    let text = job_file(&shelf.library, &["weldment".to_owned()]).unwrap();
    let problems = refused(issue(&text, &shelf).unwrap_err());
    let needed = |p: &&Json| p["code"] == "J006" && p["key"] == "job.number";
    assert_eq!(problems.iter().filter(needed).count(), 1, "{problems:#?}");
}

#[test]
fn the_examples_make_a_job_without_open_ends() {
    let shelf = shipped();
    let mut open = Vec::new();
    for wish in wishes(&shelf) {
        let text = filled(&job_file(&shelf.library, &wish).unwrap());
        let desk = Desk::with("job.toml", &text);
        let loaded = load(&desk, "job.toml".as_ref(), &shelf).unwrap_or_else(|e| panic!("{wish:?}: {e:#?}"));
        let plan = plan(&loaded, &shelf).unwrap_or_else(|e| panic!("{wish:?}: {e:#?}"));
        assert!(plan.selection.operations.len() > 5, "{wish:?}");
        // Every figure the procedures list can be computed from what is asked.
        for id in &wish {
            for figure in &shelf.library.procedures[id].figures {
                let name = &*figure.0;
                let known = loaded.figures.rows.iter().any(|r| r.name == name);
                // The approach is one of a front axle, the departure one of a rear.
                let other_end = name.starts_with("approach") || name.starts_with("departure");
                let on_all = |test: fn(&Axle) -> bool| loaded.job.axle.iter().all(test);
                let about = |words: &[&str]| words.iter().any(|w| name.contains(w));
                // Steering and driveline do not exist on a plain axle, and springs
                // that stay on their side wind up and tilt as before.
                let plain = on_all(|a| !a.steered) && about(&["drag_link", "toe", "caster"])
                    || on_all(|a| !a.driven) && about(&["shaft_length", "pinion"])
                    || on_all(|a| a.spring.as_ref().is_some_and(|s| s.from == s.to))
                        && about(&["seat_tilt", "wind_up"]);
                if !known && !other_end && (!plain || loaded.job.axle.is_empty()) {
                    open.push(format!("{wish:?}: {name}"));
                }
            }
        }
    }
    assert!(open.is_empty(), "figures that stay unknown: {open:#?}");
}

#[test]
fn a_filled_file_is_ready_and_each_knuckle_has_its_own_joint() {
    let shelf = shipped();
    let mut stopped = Vec::new();
    for wish in wishes(&shelf) {
        let blank = job_file(&shelf.library, &wish).unwrap();
        if blank.contains("use = \"knuckle\"") {
            let sides =
                ["left", "right"].map(|s| blank.lines().filter(|l| *l == format!("place = \"{s}\"")).count());
            assert_eq!(sides, [1, 1], "{wish:?}");
        }
        let desk = Desk::with("job.toml", &filled(&blank));
        let loaded = load(&desk, "job.toml".as_ref(), &shelf).unwrap_or_else(|e| panic!("{wish:?}: {e:#?}"));
        let plan = plan(&loaded, &shelf).unwrap_or_else(|e| panic!("{wish:?}: {e:#?}"));
        let stops = plan.report.problems.iter().filter(|p| p.severity == Severity::Stop);
        // The examples of a pinion and of a shaft are of two units.
        let stops = stops.filter(|p| !p.message.contains("the shaft was measured"));
        stopped.extend(stops.map(|p| format!("{wish:?}: {} {} {}", p.code, p.key, p.message)));
    }
    assert!(stopped.is_empty(), "{}", stopped.join("\n"));
}

#[test]
fn a_metric_file_has_no_inch_in_it_and_is_ready() {
    let shelf = shipped();
    let metric = Wish { units: Units::Metric, paper: Paper::A4, ..Wish::default() };
    let mut wrong = Vec::new();
    for wish in wishes(&shelf) {
        let blank = blank::job_file(&shelf.library, &wish, &metric).unwrap();
        // Behind the heading, which tells how sizes may be written.
        let body = blank.split_once("[job]").unwrap().1;
        for word in [" in\"", " lbf-ft", " UNF", "SAE J", " mi\"", " degF", " lb\"", "AWS D1.1 cyclic\""] {
            let found = body.lines().find(|l| l.contains(word));
            wrong.extend(found.map(|line| format!("{wish:?}: {line}")));
        }
        let desk = Desk::with("job.toml", &filled(&blank));
        let loaded = load(&desk, "job.toml".as_ref(), &shelf).unwrap_or_else(|e| panic!("{wish:?}: {e:#?}"));
        let plan = plan(&loaded, &shelf).unwrap_or_else(|e| panic!("{wish:?}: {e:#?}"));
        let stops = plan.report.problems.iter().filter(|p| p.severity == Severity::Stop);
        let stops = stops.filter(|p| !p.message.contains("the shaft was measured"));
        wrong.extend(stops.map(|p| format!("{wish:?}: {} {} {}", p.code, p.key, p.message)));
    }
    wrong.sort();
    wrong.dedup();
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

/// A tandem trailer made by `new` alone: both axles in one job, what the trailer has once
/// asked once.
#[test]
fn a_trailer_of_two_axles_is_ready_and_has_one_coupling() {
    let shelf = shipped();
    for units in [Units::Inch, Units::Metric] {
        let wish = Wish { ends: vec![End::Front, End::Rear], units, ..Wish::default() };
        let kinds = ["trailer-springs".to_owned()];
        let blank = blank::job_file(&shelf.library, &kinds, &wish).unwrap();
        // One distance from the coupler is no place of two axles.
        assert!(
            !blank.lines().any(|l| l.trim_start_matches("# ").starts_with("wheelbase = \"\"")),
            "{blank}"
        );
        assert_eq!(blank.matches("trailer = true").count(), 2);
        assert_eq!(blank.matches("use = \"coupling\"").count(), 1);
        let text = filled(&blank);
        let desk = Desk::with("job.toml", &text);
        let loaded = load(&desk, "job.toml".as_ref(), &shelf).unwrap_or_else(|e| panic!("{e:#?}"));
        let plan = plan(&loaded, &shelf).unwrap_or_else(|e| panic!("{e:#?}"));
        let stops: Vec<_> = plan.report.problems.iter().filter(|p| p.severity == Severity::Stop).collect();
        assert!(stops.is_empty(), "{stops:#?}");
        let all = |id: &str| plan.resolved.operations.iter().filter(|o| o.id == id).collect::<Vec<_>>();
        for once in ["agree-trailer", "torque-coupling", "trailer-coupling", "retorque-coupling"] {
            let [one] = all(once)[..] else { panic!("{once} {}", all(once).len()) };
            assert_eq!(one.on.len(), 2, "{once} is of both axles");
        }
        for each in ["trailer-as-found", "trailer-weld", "trailer-accept", "torque-u-bolts"] {
            assert_eq!(all(each).len(), 2, "{each}");
        }
        // The unit's weight goes on once, and both axles are tacked under it before a weld
        // takes it off again.
        let places = |id: &str| {
            let own = plan.resolved.operations.iter().enumerate().filter(|(_, o)| o.id == id);
            own.map(|(at, _)| at).collect::<Vec<_>>()
        };
        let settled = places("settle")[0];
        assert!(places("offer-axle").iter().all(|at| *at < settled), "{units:?}");
        let first_weld = places("trailer-weld")[0];
        for id in ["centre-axle", "trailer-tack", "trailer-verify"] {
            assert!(places(id).iter().all(|at| (settled..first_weld).contains(at)), "{id} {units:?}");
        }
        let heights = all("roll")[0].readings().filter(|r| r.id.starts_with("height-")).count();
        assert_eq!(heights, 4, "every corner once");
        // Every rise is judged where it is read.
        let judged = all("roll")[0].steps.iter().flat_map(|s| &s.derived);
        let judged = judged.filter(|d| d.id.starts_with("risen-") && d.least.is_some()).count();
        assert_eq!(judged, 4);
        let (issued, _) = issue(&text, &shelf).unwrap_or_else(|e| panic!("{e:#?}"));
        assert!(issued.pages > 8, "{}", issued.pages);
    }
    // A single axle stays what it was.
    let one = job_file(&shelf.library, &["trailer-springs".to_owned()]).unwrap();
    assert!(one.contains("id = \"trailer\"") && one.contains("wheelbase"), "{one}");
}

#[test]
fn a_weld_lies_as_it_is_made() {
    let shelf = shipped();
    let position = |kind: &str| {
        let file = job_file(&shelf.library, &[kind.to_owned()]).unwrap();
        let lines = file.lines().filter_map(|l| l.strip_prefix("# position = "));
        lines.map(|l| l.split("  #").next().unwrap().to_owned()).collect::<Vec<_>>()
    };
    // A groove round a tube that lies in its saddles, one that turns in the lathe, a fillet.
    assert_eq!(position("knuckle-reindex"), ["\"5G\"", "\"5G\""]);
    assert_eq!(position("driveshaft"), ["\"1G, turned\""]);
    assert!(position("trailer-springs").iter().all(|p| p == "\"2F\""));
}

#[test]
fn a_filled_file_is_issued() {
    let shelf = shipped();
    for wish in [vec!["spring-clamp".to_owned()], vec!["weldment".to_owned(), "bolt-on".to_owned()]] {
        let text = filled(&job_file(&shelf.library, &wish).unwrap());
        let (issued, bytes) = issue(&text, &shelf).unwrap_or_else(|e| panic!("{wish:?}: {e:#?}"));
        assert_eq!(pdf::pages(&bytes).len(), issued.pages);
        assert!(issued.pages > 2, "{wish:?}");
    }
}

#[test]
fn an_unknown_procedure_is_refused_with_the_nearest_name() {
    let shelf = shipped();
    let wish = ["sprng-over", "weldment", "driveshft"].map(str::to_owned);
    let report = job_file(&shelf.library, &wish).unwrap_err();
    let help: Vec<_> = report.problems.iter().flat_map(|p| &p.help).collect();
    assert_eq!(report.problems.len(), 2);
    assert!(help.iter().any(|h| h.contains("\"spring-over\"")), "{help:?}");
    assert!(help.iter().any(|h| h.contains("\"driveshaft\"")), "{help:?}");
}

#[test]
fn the_command_keeps_a_file_that_is_there() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("job.toml");
    let run = || {
        let mut command = assert_cmd::Command::cargo_bin("tackwright").unwrap();
        command.args(["new", "weldment", "--out"]).arg(&path).assert()
    };
    run().success();
    let first = std::fs::read_to_string(&path).unwrap();
    assert!(first.contains("[[weldment]]"));
    std::fs::write(&path, "mine").unwrap();
    run().code(1);
    assert_eq!(std::fs::read_to_string(&path).unwrap(), "mine");
}

#[test]
fn the_command_lists_every_procedure() {
    let mut command = assert_cmd::Command::cargo_bin("tackwright").unwrap();
    let output = command.args(["new", "--list"]).assert().success().get_output().stdout.clone();
    let text = String::from_utf8(output).unwrap();
    for procedure in shipped().library.procedures.values() {
        let line = text.lines().find(|l| l.starts_with(&format!("{} ", procedure.id)));
        let line = line.unwrap_or_else(|| panic!("{} is not listed", procedure.id));
        assert!(line.contains(&procedure.title) && procedure.applies_to.iter().all(|k| line.contains(&*k.0)));
    }
}
