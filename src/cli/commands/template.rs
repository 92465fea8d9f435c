//! `template`: shapes at full size, from a job or at the bench.

use std::path::Path;

use serde_json::{Value as Json, json};

use crate::app::plan::{Failure, load, plan};
use crate::app::reckon::Unanswered;
use crate::app::record::{RecordHost, desk, sheets};
use crate::app::shelf::Shelves;
use crate::app::template::job::Sheets;
use crate::app::template::{self as use_case, Drawn, Order, Written};
use crate::app::{Host, template::job};
use crate::cli::args::Template;
use crate::cli::{Ending, terminal};
use crate::diagnostic::{Diagnostic, Report};

pub(super) fn run(host: &dyn RecordHost, args: &Template) -> Ending {
    let Some(what) = &args.what else { return list(args.json) };
    let order = match order(args) {
        Ok(order) => order,
        Err(problem) => return refuse(Report { problems: vec![problem] }, args.json, Ending::Refused),
    };
    let is_job = args.inputs.is_empty() && Path::new(what).extension().is_some_and(|e| e == "toml");
    if is_job {
        return of_job(host, args, Path::new(what), &order);
    }
    // A kind is a kind, whatever a traveler is called.
    if args.inputs.is_empty() && use_case::kind(what).is_err() {
        match desk::find(host, what, args.travelers.as_deref()) {
            Ok(folder) => return written(host, args, sheets::of_traveler(host, &folder), &order),
            // It was issued, and what is missing of it is told.
            Err(failure) if desk::has_no_log(&failure) => {
                return written(host, args, Err(failure), &order);
            }
            Err(_) => {}
        }
    }
    at_bench(host, args, what, &order)
}

fn list(json: bool) -> Ending {
    let kinds = use_case::kinds();
    if json {
        let rows = kinds
            .iter()
            .map(|[name, title, example]| json!({ "name": name, "title": title, "example": example }));
        terminal::json(&json!({ "templates": rows.collect::<Vec<_>>() }));
        return Ending::Done;
    }
    for [name, title, example] in kinds {
        terminal::out(format!("{name:16}{title}\n                tackwright template {name} {example}"));
    }
    Ending::Done
}

fn order(args: &Template) -> Result<Order, Diagnostic> {
    let measured = match (&args.scale_x, &args.scale_y) {
        (Some(x), Some(y)) => Some((use_case::measured("scale-x", x)?, use_case::measured("scale-y", y)?)),
        _ => None,
    };
    Ok(Order {
        out: args.out.clone().unwrap_or_else(use_case::here),
        paper: args.paper,
        svg: args.svg,
        dxf: args.dxf,
        measured,
    })
}

fn at_bench(host: &dyn Host, args: &Template, what: &str, order: &Order) -> Ending {
    let kind = match use_case::kind(what) {
        Ok(kind) => kind,
        Err(problem) => return refuse(Report { problems: vec![problem] }, args.json, Ending::Misused),
    };
    let (reply, drawn) = match use_case::bench(kind, &args.inputs) {
        Ok(answer) => answer,
        Err(why) => {
            let ending =
                if matches!(why, Unanswered::Misasked(_)) { Ending::Misused } else { Ending::Refused };
            return refuse(why.report(), args.json, ending);
        }
    };
    if !args.json {
        terminal::out(reply.lines().join("\n"));
    }
    let Some(drawn) = drawn else {
        if args.json {
            terminal::json(&reply.json());
        }
        return Ending::Done;
    };
    finish(args, order, write_all(host, &[drawn], order), &[])
}

fn of_job(host: &dyn Host, args: &Template, path: &Path, order: &Order) -> Ending {
    let jobs = [path.to_owned()];
    let shelves = Shelves::gather(host, args.shelf.procedures.as_deref(), args.shelf.shop.as_deref(), &jobs);
    let drawn = shelves.of(path).and_then(|shelf| {
        let loaded = load(host, path, shelf)?;
        let plan = plan(&loaded, shelf)?;
        job::sheets(&plan.carrier())
            .map_err(|problem| Failure::Refused(Report { problems: vec![problem] }, Vec::new()))
    });
    written(host, args, drawn, order)
}

fn written(host: &dyn Host, args: &Template, drawn: Result<Sheets, Failure>, order: &Order) -> Ending {
    match drawn {
        Ok(sheets) => finish(args, order, write_all(host, &sheets.drawn, order), &sheets.missing),
        Err(failure) if args.json => terminal::failure_json(&failure),
        Err(failure) => terminal::failure(&failure),
    }
}

fn write_all(host: &dyn Host, drawn: &[Drawn], order: &Order) -> Result<Vec<Written>, Failure> {
    drawn.iter().map(|one| use_case::write(host, one, order)).collect()
}

/// Says what was written and what the measured bars mean.
fn finish(
    args: &Template,
    order: &Order,
    written: Result<Vec<Written>, Failure>,
    missing: &[String],
) -> Ending {
    let written = match written {
        Ok(written) => written,
        Err(failure) if args.json => return terminal::failure_json(&failure),
        Err(failure) => return terminal::failure(&failure),
    };
    let judged = order.measured.map(use_case::judge);
    if args.json {
        let mut answer = json!({
            "sheets": written.iter().map(use_case::json_of).collect::<Vec<Json>>(), "missing": missing,
        });
        if let Some(judged) = judged {
            answer["print"] = json!({ "good": judged.good, "across": judged.across, "along": judged.along });
        }
        terminal::json(&answer);
    } else {
        for one in &written {
            for file in &one.files {
                let is_paper = file.extension().is_some_and(|e| e == "pdf");
                let pages = if is_paper {
                    format!(", {} page{}", one.pages, if one.pages == 1 { "" } else { "s" })
                } else {
                    String::new()
                };
                terminal::out(format!("{}{pages} -> {}", one.title, file.display()));
            }
        }
        missing.iter().for_each(|m| terminal::note(format!("  ! {m}")));
    }
    match judged {
        Some(judged) if !judged.good => {
            terminal::note(
                "The print that was measured is VOID: off by more than 0.5 mm in 100 mm. The corrected copy makes up for it; measure its bars too.",
            );
            Ending::Refused
        }
        Some(_) => {
            terminal::note("The print that was measured is good: within 0.5 mm in 100 mm both ways.");
            Ending::Done
        }
        None => Ending::Done,
    }
}

fn refuse(report: Report, json: bool, ending: Ending) -> Ending {
    if json {
        terminal::json(&json!({ "ok": false, "problems": terminal::report_json(&report, &[]) }));
    } else {
        report.problems.iter().for_each(terminal::problem);
    }
    ending
}
