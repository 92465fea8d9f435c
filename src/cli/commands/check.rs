//! `check`: is the job sound, what will be done, what is still missing.

use std::collections::BTreeMap;

use serde_json::{Value as Json, json};

use crate::app::compose::compose;
use crate::app::figures::{FIRST, still_open};
use crate::app::load::load;
use crate::app::plan::{Plan, SourceText, plan};
use crate::app::shelf::Shelves;
use crate::app::shop;
use crate::app::{Host, figures, route};
use crate::cli::args::Jobs;
use crate::cli::{Ending, terminal};
use crate::diagnostic::{Diagnostic, Severity, codes};
use crate::term::{PointKind, counted};

pub(super) fn run(host: &dyn Host, args: &Jobs) -> Ending {
    let shelves =
        Shelves::gather(host, args.shelf.procedures.as_deref(), args.shelf.shop.as_deref(), &args.jobs);
    let mut ending = Ending::Done;
    let mut rows = Vec::new();
    for (index, job) in args.jobs.iter().enumerate() {
        if index > 0 && !args.json {
            terminal::out("");
        }
        let (one, row) = one(host, &shelves, job, args);
        rows.extend(row);
        ending = ending.worse(one);
    }
    // One document, however many jobs.
    match rows.as_slice() {
        [] => {}
        [only] => terminal::json(only),
        several => terminal::json(&json!({ "ok": ending == Ending::Done, "jobs": several })),
    }
    ending
}

fn one(host: &dyn Host, shelves: &Shelves, job: &std::path::Path, args: &Jobs) -> (Ending, Option<Json>) {
    let json = args.json;
    let planned = shelves.of(job).and_then(|shelf| {
        let loaded = load(host, job, shelf)?;
        let plan = plan(&loaded, shelf)?;
        let ending = if plan.report.stops() { Ending::NotReady } else { Ending::Done };
        if json {
            return Ok((ending, Some(document(&plan, job))));
        }
        print(&plan, args.all);
        Ok((ending, None))
    });
    match planned {
        Ok(done) => done,
        Err(failure) => {
            let ending = terminal::ending(&failure);
            if json {
                let mut row = terminal::failure_row(job, &failure);
                row["state"] = json!(state(ending));
                return (ending, Some(row));
            }
            let _ = terminal::failure(&failure);
            terminal::out(format!("{}: {}", job.display(), state(ending)));
            (ending, None)
        }
    }
}

/// The word a check ends with.
const fn state(ending: Ending) -> &'static str {
    match ending {
        Ending::Done => "ready",
        Ending::NotReady => "not ready",
        Ending::SystemFailed => "could not be read",
        _ => "invalid",
    }
}

fn print(plan: &Plan<'_>, all: bool) {
    head(plan);
    work(plan);
    figures_first(plan);
    // Without a book there is nothing to compare with; a warning says so.
    let table = &plan.resolved.table;
    if !plan.shop.absent && (!table.joints.is_empty() || !table.tools.is_empty()) {
        terminal::out("");
        shop::table_lines(table, plan.shop).iter().for_each(terminal::out);
    }
    warnings(plan);
    let concerns = &plan.loaded.figures.concerns;
    if !concerns.is_empty() {
        terminal::out("");
        terminal::out("HELD UNTIL A LEAD HAS SIGNED");
        for concern in concerns {
            terminal::out(format!("  {}: {}", concern.component, concern.text));
        }
    }
    missing(plan);
    for waived in &plan.audit.waived {
        terminal::out(format!(
            "  waived: {} ({}), by {} on {}: {}",
            waived.finding.rule,
            waived.finding.operation.as_deref().unwrap_or("whole job"),
            waived.waiver.by,
            waived.waiver.date,
            waived.waiver.reason
        ));
    }
    once(plan, all);
    terminal::out("");
    verdict(plan);
}

/// Which job it is, how many operations and holds, and what is to be written on paper.
fn head(plan: &Plan<'_>) {
    let job = &plan.loaded.job;
    terminal::out(format!("{} rev {}  {}", job.job.number.value, job.job.revision, &*job.job.title));
    terminal::out(format!(
        "{}, for {}",
        &*job.unit.name,
        job.customer.as_ref().map_or("nobody named yet", |c| &c.name)
    ));
    let points = plan.resolved.operations.iter().flat_map(|o| o.points());
    terminal::out(format!(
        "{}; {}; order {}",
        route::tally(plan),
        counted(points.filter(|p| p.kind == PointKind::Hold).count(), "hold point", "hold points"),
        if plan.route.proved_best { "proved best" } else { "valid, not proved best" },
    ));
    let document = compose(plan);
    let entries = document.entries();
    terminal::out(format!(
        "{} to write on paper: {}, {} initials, {}, at {}",
        counted(entries.all(), "entry", "entries"),
        counted(entries.readings, "reading", "readings"),
        entries.initials,
        counted(entries.signatures, "signature", "signatures"),
        counted(document.stations.len() + document.later_stations.len(), "station", "stations"),
    ));
}

/// The procedures by their titles, and the hours at each station.
fn work(plan: &Plan<'_>) {
    terminal::out("");
    terminal::out("WHAT WILL BE DONE");
    for work in &plan.loaded.job.work {
        if let Some(procedure) = plan.library.procedures.get(&work.procedure.0) {
            let on: Vec<_> = work.on.iter().map(|o| o.value.to_string()).collect();
            terminal::out(format!("  {} ({})", procedure.title, on.join(", ")));
        }
    }
    let mut stations: BTreeMap<String, u32> = BTreeMap::new();
    for line in route::lines(plan) {
        *stations.entry(line.station).or_default() += line.minutes;
    }
    let hours: Vec<_> = stations.iter().map(|(s, m)| format!("{s} {}", route::hours(*m))).collect();
    terminal::out(format!("  {}", hours.join(", ")));
}

fn figures_first(plan: &Plan<'_>) {
    let rows: Vec<_> = plan.loaded.figures.rows.iter().filter(|r| FIRST.contains(&r.name)).collect();
    if !rows.is_empty() {
        terminal::out("");
        terminal::out("FIGURES THAT MATTER");
    }
    let width = rows
        .iter()
        .map(|r| r.owner.words().chars().count() + r.figure.title.chars().count() + 2)
        .max()
        .unwrap_or(0);
    for row in rows {
        let label = format!("{}: {}", row.owner.words(), row.figure.title);
        let spread = figures::spread(plan.loaded, &row.figure);
        let value = figures::show(plan.loaded, &row.figure);
        terminal::out(format!("  {label:width$}  {value}{spread}"));
    }
}

fn warnings(plan: &Plan<'_>) {
    let mut warnings = plan.report.problems.iter().filter(|p| p.severity == Severity::Warning).peekable();
    if warnings.peek().is_some() {
        terminal::out("");
        terminal::out("WARNINGS");
    }
    for warning in warnings {
        terminal::out(format!("  {} {}", warning.code, warning.message));
    }
}

/// Values that nothing else proves: how many of a job that can be issued, or each with its
/// place and what rests on it.
fn once(plan: &Plan<'_>, all: bool) {
    let rows = plan.once();
    let values: usize = rows.iter().map(|row| row.values.len()).sum();
    if values == 0 || (!all && plan.report.stops()) {
        return;
    }
    terminal::out("");
    if !all {
        terminal::out(format!(
            "{} (check --all)",
            counted(values, "VALUE STATED ONCE", "VALUES STATED ONCE")
        ));
        terminal::out(
            "  Nothing else in the job proves them: somebody who did not write it reads them against their source.",
        );
        return;
    }
    terminal::out("STATED ONCE (nothing else proves them: read each against its source)");
    for row in rows {
        let source =
            row.source.as_ref().map_or_else(|| "no source stated".to_owned(), |s| format!("from {s}"));
        terminal::out(format!("  {}: {} ({source})", row.whose, row.rests));
        for value in &row.values {
            let line = plan.line(&value.span);
            terminal::out(format!("      line {line}  {} = {}", value.name(), value.words));
        }
    }
}

/// The last word: not ready, with what stands against issuing and where; or
/// ready.
fn verdict(plan: &Plan<'_>) {
    let sources = [plan.loaded.source.clone(), plan.shop.source.clone()];
    let stops: Vec<_> = plan.report.problems.iter().filter(|p| p.severity == Severity::Stop).collect();
    let open = plan.loaded.figures.missing.len();
    let blanks = plan.report.count(Severity::Blank);
    if stops.is_empty() {
        let open = match (blanks, open) {
            (0, 0) => String::new(),
            (1, 0) => "; 1 blank stays open, as listed above".to_owned(),
            (0, 1) => "; 1 figure stays open, as listed above".to_owned(),
            (blanks, 0) => format!("; {blanks} blanks stay open, as listed above"),
            (0, open) => format!("; {open} figures stay open, as listed above"),
            (blanks, open) => format!(
                "; {} and {} stay open, as listed above",
                counted(blanks, "blank", "blanks"),
                counted(open, "figure", "figures")
            ),
        };
        let settle: Vec<_> = plan.report.problems.iter().filter(|p| codes::before_work(p)).collect();
        if settle.is_empty() {
            terminal::out(format!("ready{open}"));
            return;
        }
        terminal::out("TO SETTLE BEFORE THE WORK STARTS");
        settle.iter().for_each(|problem| line(problem, &sources));
        terminal::out("");
        terminal::out(format!(
            "ready to issue{open}; the work may not start with what is to settle, as listed above"
        ));
        return;
    }
    terminal::out("WHAT STOPS THE ISSUE");
    stops.iter().for_each(|stop| line(stop, &sources));
    terminal::out("");
    terminal::out("not ready");
}

/// A problem in a list, with its place and what to write instead.
fn line(problem: &Diagnostic, sources: &[SourceText]) {
    let place = terminal::place(problem, sources).map_or_else(String::new, |p| format!("{p}  "));
    let key = if problem.key.is_empty() { String::new() } else { format!("{}: ", problem.key) };
    terminal::out(format!("  {place}{key}{}", problem.message));
    // Where nothing can be written for somebody, what is expected says the way.
    if !problem.example.is_empty() {
        problem.to_write().iter().for_each(|line| terminal::out(format!("      write: {line}")));
    } else if !problem.expected.is_empty() {
        terminal::out(format!("      expected: {}", problem.expected));
    }
    for help in &problem.help {
        terminal::out(format!("      {help}"));
    }
}

/// What is still missing, grouped by what it waits for.
fn missing(plan: &Plan<'_>) {
    let figures = &plan.loaded.figures;
    let blanks: Vec<_> = plan.report.problems.iter().filter(|p| p.severity == Severity::Blank).collect();
    if figures.missing.is_empty() && blanks.is_empty() {
        return;
    }
    terminal::out("");
    terminal::out("STAYS OPEN");
    for blank in blanks {
        terminal::out(format!("  {}: {}; a line to write on", blank.key, blank.expected));
    }
    for (owner, why, names) in still_open(&figures.missing) {
        terminal::out(format!("  {owner}: {why}"));
        if !names.is_empty() {
            terminal::out(format!("      not on the paper: {}", names.join(", ")));
        }
    }
}

fn document(plan: &Plan<'_>, job: &std::path::Path) -> Json {
    let entries = compose(plan).entries();
    let sources = [plan.loaded.source.clone(), plan.shop.source.clone()];
    let ready = !plan.report.stops();
    json!({
        "job": job,
        "ok": ready,
        "state": if ready { "ready" } else { "not ready" },
        "settle_before_work": plan.report.problems.iter().filter(|p| codes::before_work(p)).map(|p| p.code).collect::<Vec<_>>(),
        "route": route::json(plan),
        "entries": { "all": entries.all(), "readings": entries.readings, "initials": entries.initials, "signatures": entries.signatures },
        "shop": shop::table_json(&plan.resolved.table, plan.shop),
        "figures": crate::app::figures::json(plan.loaded),
        "held": plan.loaded.figures.concerns.iter().map(|c| json!({ "on": c.component, "name": c.name, "what": c.text })).collect::<Vec<_>>(),
        "once": plan.once().iter().map(|row| json!({
            "of": row.whose,
            "values": row.values.iter().map(|v| json!({ "key": v.key, "value": v.words, "line": plan.line(&v.span) })).collect::<Vec<_>>(),
            "rests": row.rests,
            "source": row.source,
        })).collect::<Vec<_>>(),
        "problems": terminal::report_json(&plan.report, &sources),
    })
}
