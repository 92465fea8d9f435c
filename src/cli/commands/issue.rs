//! `issue`: travelers as PDF, several at once.

use std::io::IsTerminal;
use std::path::PathBuf;

use indicatif::{ProgressBar, ProgressStyle};
use rayon::prelude::*;
use serde_json::json;

use crate::app::Host;
use crate::app::issue::{Issued, issue};
use crate::app::plan::Failure;
use crate::app::shop::Shelves;
use crate::cli::args::Issue;
use crate::cli::{Ending, terminal};
use crate::diagnostic::Severity;

pub(super) fn run(host: &dyn Host, args: &Issue) -> Ending {
    let shelves =
        Shelves::gather(host, args.shelf.procedures.as_deref(), args.shelf.shop.as_deref(), &args.jobs);
    if args.jobs.len() > 1 && args.out.as_ref().is_some_and(|o| o.extension().is_some()) {
        terminal::note("error: several jobs need a folder, not one file, after --out");
        return Ending::Refused;
    }
    let bar = progress(args.jobs.len());
    let results: Vec<(PathBuf, Result<Issued, Failure>)> = args
        .jobs
        .par_iter()
        .map(|job| {
            let result = shelves.of(job).and_then(|shelf| issue(host, shelf, job, args.out.as_deref()));
            bar.inc(1);
            (job.clone(), result)
        })
        .collect();
    bar.finish_and_clear();
    let mut ending = Ending::Done;
    let mut rows = Vec::new();
    for (job, result) in &results {
        match result {
            Ok(issued) if args.json => rows.push(json!({
                "job": job, "ok": true, "file": issued.path, "number": issued.number, "revision": issued.revision,
                "pages": issued.pages, "operations": issued.operations, "hold_points": issued.holds,
                "warnings": issued.report.count(Severity::Warning), "blanks": issued.report.count(Severity::Blank),
            })),
            Ok(issued) => print(issued),
            Err(failure) => {
                terminal::note(format!("{}: not issued", job.display()));
                ending = ending.worse(terminal::failure(failure));
                rows.push(json!({ "job": job, "ok": false }));
            }
        }
    }
    if args.json {
        terminal::json(&json!({ "travelers": rows }));
    }
    ending
}

/// A bar on a terminal when there is more than one job; hidden elsewhere.
fn progress(jobs: usize) -> ProgressBar {
    if jobs < 2 || !std::io::stderr().is_terminal() {
        return ProgressBar::hidden();
    }
    let bar = ProgressBar::new(u64::try_from(jobs).unwrap_or(u64::MAX));
    if let Ok(style) = ProgressStyle::with_template("{bar:40} {pos}/{len} travelers") {
        bar.set_style(style);
    }
    bar
}

fn print(issued: &Issued) {
    terminal::out(format!(
        "{} rev {}: {} pages, {} operations, {} hold points -> {}",
        issued.number,
        issued.revision,
        issued.pages,
        issued.operations,
        issued.holds,
        issued.path.display()
    ));
    let warnings = issued.report.count(Severity::Warning);
    let blanks = issued.report.count(Severity::Blank);
    if warnings + blanks > 0 {
        terminal::note(format!("  {warnings} warnings, {blanks} blanks; `tackwright check` lists them"));
    }
}
