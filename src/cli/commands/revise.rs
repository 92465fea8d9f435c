//! `revise`: the next letter of a traveler, and what it changes.

use std::path::{Path, PathBuf};

use serde_json::json;

use super::asked::stated;
use super::record::{typed_pin, warn};
use crate::app::plan::Failure;
use crate::app::record::desk::{self, Access, Actor};
use crate::app::record::{Desk, RecordHost, revise};
use crate::app::shelf::Shelves;
use crate::cli::args::record::Revise;
use crate::cli::{Ending, terminal};
use crate::term::counted;

pub(super) fn run(host: &dyn RecordHost, args: &Revise) -> Result<Ending, Failure> {
    let shop = args.who.shop.as_deref();
    let folder = args.procedures.as_deref();
    let shelves = Shelves::gather(host, folder, shop, std::slice::from_ref(&args.job));
    let shelf = shelves.of(&args.job)?;
    let beside = args.job.parent().map_or_else(PathBuf::new, Path::to_owned).join(desk::TRAVELERS);
    let loaded = crate::app::load::load(host, &args.job, shelf)?;
    let number = loaded.job.job.number.value.to_string();
    // Beside the job, and where `status` looks.
    let folder = match &args.who.travelers {
        Some(travelers) => desk::find(host, &number, Some(travelers))?,
        None => desk::find(host, &number, Some(&beside)).or_else(|_| desk::find(host, &number, None))?,
    };
    let actor = Actor { id: args.who.by.clone(), at: stated(host, args.who.at) };
    let access = Access { shop, without_book: args.who.without_book };
    let mut desk = Desk::open_by(host, &folder, access, &actor.at)?;
    desk.pin = typed_pin(args.who.pin.pin_stdin, &desk, &actor);
    let done = revise::revise(host, shelf, &args.job, desk, &args.reason, &actor)?;
    if args.json {
        terminal::json(&json!({
            "from": done.from, "revision": done.revision, "file": done.path, "change_page": done.change_path, "entry": done.entry.n,
            "set_aside": done.waived,
            "kept": done.change.kept, "added": done.change.added, "removed": done.change.removed,
            "reopened": done.change.reopened.iter().map(|r| json!({ "key": r.key, "why": r.why })).collect::<Vec<_>>(),
        }));
        return Ok(Ending::Done);
    }
    let name = |key: &str| {
        done.names.iter().rev().find(|(k, _)| k == key).map_or_else(|| key.to_owned(), |(_, n)| n.clone())
    };
    terminal::out(format!(
        "{number} rev {} replaces rev {} -> {}",
        done.revision,
        done.from,
        done.path.display()
    ));
    terminal::out(format!(
        "{} entries.",
        counted(done.change.kept.len(), "operation keeps its", "operations keep their")
    ));
    for one in &done.waived {
        terminal::out(format!("  SAFETY RULE {one}"));
    }
    for key in &done.change.added {
        terminal::out(format!("  new: {}", name(key)));
    }
    for one in &done.change.reopened {
        terminal::out(format!("  starts again: {}: {}", name(&one.key), one.why));
    }
    for key in &done.change.removed {
        terminal::out(format!("  removed: {}", name(key)));
    }
    terminal::out(format!("Change page for the shop: {}", done.change_path.display()));
    terminal::out("Take the old paper out of the shop; a superseded copy stands in the record.");
    warn(&done.entry.warnings);
    Ok(Ending::Done)
}
