//! `figures`: every computed figure of a job.

use crate::app::load::load;
use crate::app::shelf::Shelves;
use crate::app::{Host, figures as use_case};
use crate::cli::args::Figures;
use crate::cli::{Ending, terminal};

pub(super) fn run(host: &dyn Host, args: &Figures) -> Ending {
    let (procedures, shop) = (args.shelf.procedures.as_deref(), args.shelf.shop.as_deref());
    let shelves = Shelves::gather(host, procedures, shop, std::slice::from_ref(&args.job));
    let loaded = match shelves.of(&args.job).and_then(|shelf| load(host, &args.job, shelf)) {
        Ok(loaded) => loaded,
        Err(failure) if args.json => return terminal::failure_json(&failure),
        Err(failure) => return terminal::failure(&failure),
    };
    if args.json {
        terminal::json(&use_case::json(&loaded));
        return Ending::Done;
    }
    let mut heading = String::new();
    for row in &loaded.figures.rows {
        let next = format!("{} · {}", row.owner.words(), row.figure.family);
        if next != heading {
            terminal::out("");
            terminal::out(&next);
            for used in &row.figure.inputs {
                terminal::out(format!("    {} = {}", used.name, used.show()));
            }
            for warning in &row.figure.warnings {
                terminal::out(format!("    ! {warning}"));
            }
            heading = next;
        }
        let figure = &row.figure;
        let spread = figure.show_uncertainty().map_or(String::new(), |u| format!("  ± {u} (k = 2)"));
        terminal::out(format!("  {}: {}{spread}", figure.title, use_case::show(&loaded, figure)));
        terminal::out(format!("      {}", figure.formula));
        terminal::out(format!("      {}", figure.source));
    }
    if !loaded.figures.missing.is_empty() {
        terminal::out("");
        terminal::out("Not computed:");
        for missing in &loaded.figures.missing {
            terminal::out(format!("  {}: {}", missing.owner.words(), missing.why));
        }
    }
    Ending::Done
}
