//! `issue`: travelers as PDF, several at once.

use std::collections::BTreeMap;
use std::io::IsTerminal;
use std::path::{Path, PathBuf};

use indicatif::{ProgressBar, ProgressStyle};
use serde_json::json;

use crate::app::batch;
use crate::app::issue::{Issued, Order, is_folder, issue};
use crate::app::plan::Failure;
use crate::app::record::RecordHost;
use crate::app::record::desk::Actor;
use crate::app::shelf::Shelves;
use crate::cli::args::Issue;
use crate::cli::{Ending, terminal};
use crate::diagnostic::Severity;
use crate::term::counted;

pub(super) fn run(host: &dyn RecordHost, args: &Issue) -> Ending {
    let shelves =
        Shelves::gather(host, args.shelf.procedures.as_deref(), args.shelf.shop.as_deref(), &args.jobs);
    if args.jobs.len() > 1 && args.out.as_ref().is_some_and(|o| !is_folder(host, o)) {
        terminal::note("error: several jobs need a folder, not one file, after --out");
        return Ending::Misused;
    }
    let actor = (args.by.is_some() || args.at.is_some())
        .then(|| Actor { id: args.by.clone().unwrap_or_default(), at: super::asked::stated(host, args.at) });
    // A person with a PIN is told so by the refusal; there may be many jobs, and
    // one PIN for all of them.
    let pin = super::asked::issuer_pin(args.pin.pin_stdin, args.by.as_deref(), args.draft);
    let order =
        Order { target: args.out.clone(), travelers: args.travelers.clone(), draft: args.draft, actor, pin };
    if args.jobs.len() == 1 {
        batch::only_one();
    }
    let bar = progress(args.jobs.len());
    let results: Vec<(PathBuf, Result<Issued, Failure>)> = batch::each(&args.jobs, |job| {
        let result = shelves.of(job).and_then(|shelf| issue(host, shelf, job, &order));
        bar.inc(1);
        (job.clone(), result)
    });
    bar.finish_and_clear();
    let mut ending = Ending::Done;
    let mut rows = Vec::new();
    for (job, result) in &results {
        match result {
            Ok(issued) if args.json => rows.push(json!({
                "job": job, "ok": true, "file": issued.path, "number": issued.number, "revision": issued.revision,
                "draft": issued.record.is_none(), "record": issued.record.as_ref().map(|r| &r.folder),
                "reprinted": issued.record.as_ref().is_some_and(|r| r.reprinted),
                "pages": issued.pages, "operations": issued.operations, "hold_points": issued.holds,
                "warnings": issued.report.count(Severity::Warning), "blanks": issued.report.count(Severity::Blank),
            })),
            Ok(issued) => print(issued),
            Err(failure) => {
                terminal::note(format!("{}: not issued", job.display()));
                ending = ending.worse(terminal::failure(failure));
                rows.push(terminal::failure_row(job, failure));
            }
        }
    }
    for (first, second) in same_file(&results) {
        terminal::note(format!(
            "error: {} and {} have the same number and revision; only one of them is in the file now",
            first.display(),
            second.display()
        ));
        ending = ending.worse(Ending::Refused);
    }
    if args.json {
        terminal::json(&json!({ "travelers": rows }));
    }
    ending
}

/// Pairs of jobs that were written to one file.
fn same_file(results: &[(PathBuf, Result<Issued, Failure>)]) -> Vec<(&Path, &Path)> {
    let mut first: BTreeMap<&Path, &Path> = BTreeMap::new();
    let mut pairs = Vec::new();
    for (job, result) in results {
        let Ok(issued) = result else { continue };
        match first.get(issued.path.as_path()) {
            Some(other) => pairs.push((*other, job.as_path())),
            None => {
                first.insert(&issued.path, job);
            }
        }
    }
    pairs
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
        "{} rev {}: {}{}{}, {} -> {}{}",
        issued.number,
        issued.revision,
        if issued.record.is_none() { "DRAFT, " } else { "" },
        if issued.pages == 0 {
            "the same paper again, ".to_owned()
        } else {
            format!("{}, ", counted(issued.pages, "page", "pages"))
        },
        counted(issued.operations, "operation", "operations"),
        counted(issued.holds, "hold point", "hold points"),
        issued.path.display(),
        if issued.record.as_ref().is_some_and(|r| r.first) {
            " (first of its folder: whether the number was issued elsewhere is not known)"
        } else {
            ""
        }
    ));
    if let Some(record) = issued.record.as_ref().filter(|r| !r.reprinted) {
        terminal::note(format!("  record started in {}", record.folder.display()));
        record.warnings.iter().for_each(|w| terminal::note(format!("  ! {w}")));
    }
    let warnings = issued.report.count(Severity::Warning);
    let blanks = issued.report.count(Severity::Blank);
    if warnings + blanks > 0 {
        terminal::note(format!(
            "  {}, {}; `tackwright check` lists them",
            counted(warnings, "warning", "warnings"),
            counted(blanks, "blank", "blanks")
        ));
    }
}
