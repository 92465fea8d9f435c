//! `new`: a commented job file to start from.

use std::path::Path;

use crate::app::output::{self, Over};
use crate::app::plan::{Shelf, shelf};
use crate::app::{Host, blank, sketches};
use crate::cli::args::New;
use crate::cli::{Ending, terminal};
use crate::diagnostic::{Diagnostic, Report};

/// Writes a new file; what is already there is kept, and that ends the command.
fn keep_or_write(host: &dyn Host, path: &Path, bytes: &[u8]) -> Option<Ending> {
    if host.exists(path) {
        let mut report = Report::new();
        report.push(
            Diagnostic::error("J207", format!("{} is already there and is kept", path.display()))
                .expected("the name of a file that does not exist yet")
                .example("tackwright new spring-over --out job-2.toml"),
        );
        return Some(refuse(&report));
    }
    output::put(host, path, Over::Nothing, bytes).err().map(|failure| terminal::failure(&failure))
}

/// The page of sketches.
fn print_sketches(host: &dyn Host, args: &New) -> Ending {
    let Some(path) = &args.out else { return Ending::Refused };
    let bytes = match sketches::pdf(args.paper) {
        Ok(bytes) => bytes,
        Err(failure) => return terminal::failure(&failure),
    };
    if let Some(ending) = keep_or_write(host, path, &bytes) {
        return ending;
    }
    terminal::note(format!("{} written; `new` and `check` name its numbers", path.display()));
    Ending::Done
}

pub(super) fn run(host: &dyn Host, args: &New) -> Ending {
    if args.sketches {
        return print_sketches(host, args);
    }
    let shelf = match shelf(host, args.shelf.procedures.as_deref()) {
        Ok(shelf) => shelf,
        Err(failure) => return terminal::failure(&failure),
    };
    if args.list {
        list(&shelf);
        return Ending::Done;
    }
    let text = if args.kinds.iter().any(|k| k == blank::SHOP) {
        if args.kinds.len() > 1 {
            let mut report = Report::new();
            report.push(
                Diagnostic::error("J210", "a shop book is written on its own")
                    .expected("no procedure beside it")
                    .example("tackwright new shop --out shop.toml"),
            );
            return refuse(&report);
        }
        blank::shop_book(host.today(), &wish(args))
    } else if let Some(piece) = args.kinds.first().and_then(|k| blank::piece(k)) {
        if args.kinds.len() > 1 {
            let mut report = Report::new();
            report.push(
                Diagnostic::error("J210", format!("\"{}\" is written on its own", args.kinds[0]))
                    .expected("no procedure beside it; it is added to a job file")
                    .example(format!("tackwright new {} >> job.toml", args.kinds[0])),
            );
            return refuse(&report);
        }
        piece
    } else {
        match blank::job_file(&shelf.library, &args.kinds, &wish(args)) {
            Ok(text) => text,
            Err(report) => return refuse(&report),
        }
    };
    let Some(path) = &args.out else {
        terminal::out(text.trim_end());
        return Ending::Done;
    };
    if let Some(ending) = keep_or_write(host, path, text.as_bytes()) {
        return ending;
    }
    if args.kinds.iter().any(|k| k == blank::SHOP) {
        terminal::note(format!(
            "{} written; put your own people and tools in, then: tackwright shop",
            path.display()
        ));
    } else {
        terminal::note(format!("{} written; `tackwright check` names its blanks", path.display()));
    }
    Ending::Done
}

fn wish(args: &New) -> blank::Wish {
    blank::Wish { ends: blank::ends(&args.on), units: args.units, paper: args.paper }
}

fn refuse(report: &Report) -> Ending {
    terminal::report(report, &[]);
    Ending::Refused
}

fn list(shelf: &Shelf) {
    let library = &shelf.library;
    let width = library.procedures.keys().map(|id| id.chars().count()).max().unwrap_or(0);
    for procedure in library.procedures.values() {
        terminal::out(format!(
            "{:width$}  {} ({})",
            procedure.id,
            procedure.title,
            procedure.applies_to.iter().map(|k| k.0.as_str()).collect::<Vec<_>>().join(", ")
        ));
    }
    terminal::out(format!("{:width$}  a shop book to start from", blank::SHOP));
    terminal::out(format!("{:width$}  an operation of a job's own", blank::OPERATION));
    terminal::out(format!("{:width$}  a waiver of a safety rule", blank::WAIVER));
}
