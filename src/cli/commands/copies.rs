//! `copy` writes a fill-in copy, `returned` shows what one proposes that came back.

use std::path::{Path, PathBuf};

use serde_json::json;

use crate::app::plan::Failure;
use crate::app::record::{Desk, RecordHost, copies, desk};
use crate::cli::args::record::{Copy, Returned};
use crate::cli::{Ending, terminal};

fn opened(host: &dyn RecordHost, number: &str, travelers: Option<&Path>) -> Result<Desk, Failure> {
    let folder = desk::find(host, number, travelers)?;
    Desk::open(host, &folder, None, &host.now())
}

pub(super) fn copy(host: &dyn RecordHost, args: &Copy) -> Result<Ending, Failure> {
    let desk = opened(host, &args.number, args.travelers.as_deref())?;
    let given = copies::give(host, &desk)?;
    let path = match &args.out {
        Some(file) if file.extension().is_some_and(|e| e.eq_ignore_ascii_case("pdf")) => file.clone(),
        Some(folder) => folder.join(&given.name),
        None => PathBuf::from(&given.name),
    };
    host.write(&path, &given.bytes).map_err(|e| Failure::System(format!("{}: {e}", path.display())))?;
    terminal::out(format!("Copy {}, {} fields -> {}", given.copy, given.fields, path.display()));
    terminal::out("Signatures are given at the desk. Show what comes back: tackwright returned NUMBER FILE");
    Ok(Ending::Done)
}

pub(super) fn returned(host: &dyn RecordHost, args: &Returned) -> Result<Ending, Failure> {
    let desk = opened(host, &args.number, args.travelers.as_deref())?;
    let back = copies::returned(host, &desk, &args.file)?;
    let about = &back.about;
    if args.json {
        terminal::json(&json!({
            "number": about.number, "revision": about.revision, "copy": about.copy, "sha256": back.sha256,
            "proposals": back.proposals, "asked": back.asked, "remarks": back.remarks,
        }));
        return Ok(Ending::Done);
    }
    terminal::out(format!("{} rev {}, copy {}", about.number, about.revision, about.copy));
    for (one, asked) in back.proposals.iter().zip(&back.asked) {
        let value = copies::words(&one.value);
        terminal::out(format!("  {}  {value}", one.name));
        terminal::out(format!("      {asked} ({})", one.from.place));
    }
    for remark in &back.remarks {
        terminal::out(format!("! {remark}"));
    }
    terminal::out(format!("{} boxes are filled. Nothing was entered.", back.proposals.len()));
    Ok(Ending::Done)
}
