//! `check`: is the job sound, what will be done, what is still missing.

use std::collections::BTreeMap;

use serde_json::json;

use crate::app::compose::compose;
use crate::app::load::load;
use crate::app::plan::{Plan, plan};
use crate::app::route::PointKind;
use crate::app::shelf::Shelves;
use crate::app::shop;
use crate::app::{Host, figures, route};
use crate::cli::args::Jobs;
use crate::cli::{Ending, terminal};
use crate::diagnostic::Severity;

pub(super) fn run(host: &dyn Host, args: &Jobs) -> Ending {
    let shelves =
        Shelves::gather(host, args.shelf.procedures.as_deref(), args.shelf.shop.as_deref(), &args.jobs);
    let mut ending = Ending::Done;
    for (index, job) in args.jobs.iter().enumerate() {
        if index > 0 && !args.json {
            terminal::out("");
        }
        let one = one(host, &shelves, job, args.json);
        ending = ending.worse(one);
    }
    ending
}

fn one(host: &dyn Host, shelves: &Shelves, job: &std::path::Path, json: bool) -> Ending {
    let planned = shelves.of(job).and_then(|shelf| {
        let loaded = load(host, job, shelf)?;
        let plan = plan(&loaded, shelf)?;
        if json {
            print_json(&plan);
        } else {
            print(&plan);
        }
        Ok(())
    });
    match planned {
        Ok(()) => Ending::Done,
        Err(failure) if json => terminal::failure_json(&failure),
        Err(failure) => terminal::failure(&failure),
    }
}

/// Figures a lead looks at first, by job name.
const FIRST: &[&str] = &[
    "lift",
    "pinion_target",
    "housing_turn",
    "joint_pinion_after",
    "joint_case_after",
    "knuckle_rotation",
    "mark_arc",
    "finder_verdict",
    "depth_stop",
    "wheelbase_left",
    "approach_after",
    "stability_after",
    "wind_up_change",
    "spring_rate_after",
    "critical_speed",
    "joint_residual",
    "size",
    "preheat",
    "heat_input",
    "torque",
];

fn print(plan: &Plan<'_>) {
    let job = &plan.loaded.job;
    terminal::out(format!("{} rev {}  {}", job.job.number.value, job.job.revision, &*job.job.title));
    terminal::out(format!(
        "{}, for {}",
        &*job.unit.name,
        job.customer.as_ref().map_or("nobody named yet", |c| &c.name)
    ));
    let lines = route::lines(plan);
    let minutes: u32 = lines.iter().map(|l| l.minutes).sum();
    let holds: usize = lines
        .iter()
        .map(|l| l.before.iter().chain(&l.after).filter(|p| p.kind == PointKind::Hold).count())
        .sum();
    terminal::out(format!(
        "{} operations, {holds} hold points, about {:.1} h of labour; order {}",
        lines.len(),
        f64::from(minutes) / 60.0,
        if plan.route.proved_best { "proved best" } else { "valid, not proved best" },
    ));
    let document = compose(plan);
    let entries = document.entries();
    terminal::out(format!(
        "{} entries to write on paper: {} readings, {} initials, {} signatures, at {} stations",
        entries.all(),
        entries.readings,
        entries.initials,
        entries.signatures,
        document.stations.len() + document.later_stations.len(),
    ));
    terminal::out("");
    terminal::out("WHAT WILL BE DONE");
    let mut stations: BTreeMap<&str, u32> = BTreeMap::new();
    for work in &job.work {
        if let Some(procedure) = plan.library.procedures.get(&work.procedure.value.0) {
            let on: Vec<_> = work.on.iter().map(|o| o.value.to_string()).collect();
            terminal::out(format!("  {} ({})", procedure.title, on.join(", ")));
        }
    }
    for line in &lines {
        *stations.entry(&line.station).or_default() += line.minutes;
    }
    let hours: Vec<_> = stations.iter().map(|(s, m)| format!("{s} {:.1} h", f64::from(*m) / 60.0)).collect();
    terminal::out(format!("  {}", hours.join(", ")));
    terminal::out("");
    terminal::out("FIGURES THAT MATTER");
    let rows: Vec<_> = plan.loaded.figures.rows.iter().filter(|r| FIRST.contains(&r.name)).collect();
    let width = rows
        .iter()
        .map(|r| r.owner.words().chars().count() + r.figure.title.chars().count() + 2)
        .max()
        .unwrap_or(0);
    for row in rows {
        let label = format!("{}: {}", row.owner.words(), row.figure.title);
        let spread = row.figure.show_uncertainty().map_or(String::new(), |u| format!("  ± {u} (k = 2)"));
        let value = figures::show(plan.loaded, &row.figure);
        terminal::out(format!("  {label:width$}  {value}{spread}"));
    }
    if !plan.resolved.table.joints.is_empty() || !plan.resolved.table.tools.is_empty() {
        terminal::out("");
        shop::table_lines(&plan.resolved.table, plan.shop).iter().for_each(terminal::out);
    }
    missing(plan);
    if plan.report.problems.iter().any(|p| p.severity != Severity::Blank) {
        terminal::out("");
        terminal::out("WARNINGS");
        for warning in plan.report.problems.iter().filter(|p| p.severity == Severity::Warning) {
            terminal::out(format!("  {} {}", warning.code, warning.message));
        }
    }
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
    terminal::out("");
    let blanks = plan.report.count(Severity::Blank);
    terminal::out(if blanks == 0 {
        "The job is sound.".to_owned()
    } else {
        format!("The job is sound apart from {blanks} blanks.")
    });
}

/// What is still missing, grouped by what it waits for.
fn missing(plan: &Plan<'_>) {
    let figures = &plan.loaded.figures;
    let blanks: Vec<_> = plan.report.problems.iter().filter(|p| p.severity == Severity::Blank).collect();
    if figures.missing.is_empty() && blanks.is_empty() {
        return;
    }
    terminal::out("");
    terminal::out("STILL MISSING");
    for blank in blanks {
        terminal::out(format!("  {}: {}", blank.key, blank.expected));
    }
    for missing in &figures.missing {
        terminal::out(format!("  {}: {}", missing.owner.words(), missing.why));
    }
}

fn print_json(plan: &Plan<'_>) {
    let entries = compose(plan).entries();
    let sources = [plan.loaded.source.clone(), plan.shop.source.clone()];
    terminal::json(&json!({
        "ok": true,
        "route": route::json(plan),
        "entries": { "all": entries.all(), "readings": entries.readings, "initials": entries.initials, "signatures": entries.signatures },
        "shop": shop::table_json(&plan.resolved.table, plan.shop),
        "figures": crate::app::figures::json(plan.loaded),
        "problems": terminal::report_json(&plan.report, &sources),
    }));
}
