//! `route`: operations in order, and why.

use serde_json::json;

use crate::app::load::load;
use crate::app::output::{self, Over};
use crate::app::plan::{Plan, plan};
use crate::app::route::{Called, Line};
use crate::app::shelf::Shelves;
use crate::app::{Host, route as use_case};
use crate::cli::args::Route;
use crate::cli::{Ending, terminal};
use crate::diagnostic::Diagnostic;
use crate::term::PointKind;

pub(super) fn run(host: &dyn Host, args: &Route) -> Ending {
    let jobs = std::slice::from_ref(&args.job);
    let shelves = Shelves::gather(host, args.shelf.procedures.as_deref(), args.shelf.shop.as_deref(), jobs);
    let planned = shelves.of(&args.job).and_then(|shelf| {
        let loaded = load(host, &args.job, shelf)?;
        let plan = plan(&loaded, shelf)?;
        Ok(show(host, args, &plan))
    });
    match planned {
        Ok(ending) => ending,
        Err(failure) if args.json => terminal::failure_json(&failure),
        Err(failure) => terminal::failure(&failure),
    }
}

fn show(host: &dyn Host, args: &Route, plan: &Plan<'_>) -> Ending {
    if let Some(file) = &args.graph {
        let (svg, title) = (use_case::graph(plan), use_case::graph_title(plan));
        if let Err(failure) = output::put(host, file, Over::Shape(&title), svg.as_bytes()) {
            return if args.json { terminal::failure_json(&failure) } else { terminal::failure(&failure) };
        }
        terminal::note(format!("wrote {}", file.display()));
    }
    let asked = [(&args.why, Asked::Why), (&args.before, Asked::Before), (&args.after, Asked::After)];
    let mut answered = false;
    for (wanted, what) in asked {
        let Some(wanted) = wanted else { continue };
        answered = true;
        let index = match use_case::find(plan, wanted) {
            Ok(index) => index,
            Err(choices) => {
                terminal::problem(
                    &Diagnostic::error("R003", format!("\"{wanted}\" is not one operation of this job"))
                        .expected(format!("a number, or one of {}", choices.join(", "))),
                );
                return Ending::Refused;
            }
        };
        let sentences = match what {
            Asked::Why => use_case::explain(plan, index),
            Asked::Before => vec![use_case::room(plan, index, true)],
            Asked::After => vec![use_case::room(plan, index, false)],
        };
        if args.json {
            terminal::json(&json!({ "operation": wanted, "sentences": sentences }));
        } else {
            terminal::out(use_case::called(plan, index));
            sentences.iter().for_each(|s| terminal::out(format!("  {s}")));
        }
    }
    if answered {
        return Ending::Done;
    }
    if args.json {
        terminal::json(&use_case::json(plan));
    } else {
        print(plan);
    }
    Ending::Done
}

enum Asked {
    Why,
    Before,
    After,
}

fn print(plan: &Plan<'_>) {
    let lines = use_case::lines(plan);
    let width = lines.iter().map(|l| l.station.len()).max().unwrap_or(0);
    let mut deferred = false;
    for line in &lines {
        if line.deferred && !deferred {
            terminal::out("      ── after hand-over ──");
            deferred = true;
        }
        for called in &line.before {
            terminal::out(point(called, "before", line.number));
        }
        let minutes = if line.minutes == 0 { String::new() } else { format!("{} min", line.minutes) };
        terminal::out(format!(
            "{:>4}  {:width$}  {:>7}  {} {}  [{}]",
            line.number,
            line.station,
            minutes,
            line.verb.to_uppercase(),
            line.title,
            line.key,
        ));
        for called in &line.after {
            terminal::out(point(called, "after", line.number));
        }
    }
    terminal::out("");
    terminal::out(hours(plan, &lines));
    terminal::out(if plan.route.proved_best {
        "No valid order has fewer changes of station."
    } else {
        "The order is valid; that no other has fewer changes of station is not proved."
    });
    let looked: usize = plan.audit.tallies.iter().map(|t| t.looked_at).sum();
    terminal::out(format!(
        "{} safety rules looked at {looked} places: {} waived, none broken.",
        plan.audit.tallies.len(),
        plan.audit.waived.len()
    ));
}

fn point(called: &Called, moment: &str, number: u32) -> String {
    let word = match called.kind {
        PointKind::Hold => "HOLD",
        other => other.word(),
    };
    format!("      ══ {} {word} {moment} {number}: {} ══", called.number, called.role)
}

/// Hours per station, and the sum as everywhere.
fn hours(plan: &Plan<'_>, lines: &[Line]) -> String {
    let loads = use_case::loads(lines);
    let stations: Vec<String> =
        loads.iter().map(|l| format!("{} {}", l.station, use_case::hours(l.minutes + l.deferred))).collect();
    format!("Labour: {}; {}.", stations.join(", "), use_case::tally(plan))
}
