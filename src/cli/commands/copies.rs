//! `copy` writes a fill-in copy, `returned` shows what one proposes that came back.

use std::path::{Path, PathBuf};

use serde_json::json;

use super::sheet::{self, told_before};
use crate::app::issue::is_folder;
use crate::app::plan::Failure;
use crate::app::record::desk::{Access, Actor};
use crate::app::record::given::{File, How};
use crate::app::record::propose::{self, Came, Opinion};
use crate::app::record::recompute::Memo;
use crate::app::record::{Desk, RecordHost, copies, desk, refused};
use crate::cli::args::record::{Copy, Returned};
use crate::cli::{Ending, terminal};
use crate::term::{counted, shell};

fn opened(host: &dyn RecordHost, number: &str, travelers: Option<&Path>) -> Result<Desk, Failure> {
    let folder = desk::find(host, number, travelers)?;
    Desk::open(host, &folder, None, &host.now())
}

pub(super) fn copy(host: &dyn RecordHost, args: &Copy) -> Result<Ending, Failure> {
    let desk = opened(host, &args.number, args.travelers.as_deref())?;
    let place = |name: &str| match &args.out {
        Some(target) if !is_folder(host, target) => target.clone(),
        Some(folder) => folder.join(name),
        None => PathBuf::from(name),
    };
    let given = copies::give(host, &desk, &place)?;
    let path = place(&given.name);
    terminal::out(format!("Copy {}, {} fields -> {}", given.copy, given.fields, path.display()));
    terminal::out("Signatures are given at the desk. Show what comes back: tackwright returned NUMBER FILE");
    Ok(Ending::Done)
}

pub(super) fn returned(host: &dyn RecordHost, args: &Returned) -> Result<Ending, Failure> {
    let desk = opened(host, &args.number, args.travelers.as_deref())?;
    let back = copies::returned(host, &desk, &args.file)?;
    // The log is locked while a desk is open; it is opened again for the person.
    drop(desk);
    let about = &back.about;
    let opinions = match &args.by {
        Some(by) => take(host, args, &back, by)?,
        None => Vec::new(),
    };
    let came = |f: fn(&Came) -> bool| opinions.iter().filter(|o| f(&o.came)).count();
    let bad = came(|c| matches!(c, Came::Refused(_) | Came::Look(_)));
    let ending = if bad > 0 { Ending::Refused } else { Ending::Done };
    if args.json {
        terminal::json(&json!({
            "number": about.number, "revision": about.revision, "copy": about.copy, "sha256": back.sha256,
            "proposals": back.proposals, "asked": back.asked, "remarks": back.remarks,
            "entered": args.enter, "came": opinions.iter().map(|o| sheet::outcome(o, args.enter)).collect::<Vec<_>>(),
        }));
        return Ok(ending);
    }
    terminal::out(format!("{} rev {}, copy {}", about.number, about.revision, about.copy));
    for remark in &back.remarks {
        terminal::out(format!("! {remark}"));
    }
    let Some(by) = &args.by else {
        for (one, asked) in back.proposals.iter().zip(&back.asked) {
            let value = copies::words(&one.value);
            terminal::out(format!("  {}  {value}", one.name));
            terminal::out(format!("      {asked} ({})", one.from.place));
        }
        terminal::out(format!(
            "{} filled. Nothing is entered yet:",
            counted(back.proposals.len(), "box is", "boxes are")
        ));
        terminal::out(format!("  tackwright returned {} {} --by ID", args.number, shell::word(&args.file)));
        return Ok(ending);
    };
    sheet::tell(&opinions);
    let (good, same) = (came(|c| matches!(c, Came::Good(_))), came(|c| matches!(c, Came::Same(_))));
    let what = if args.enter { "entered" } else { "can be entered" };
    terminal::out(format!(
        "{} {what}, {} there before, {bad} not.",
        counted(good, "box", "boxes"),
        counted(same, "was", "were")
    ));
    if !args.enter {
        terminal::out("Nothing is entered yet.");
        if good > 0 {
            let so = told_before(args.at.map(|at| at.time), args.travelers.as_deref(), args.shop.as_deref());
            let file = args.file.display();
            terminal::out(format!("  tackwright returned {} {file} --by {by}{so} --enter", args.number));
        }
    }
    Ok(ending)
}

/// Judges what a copy says for the person who looked at it, and enters it if
/// asked. The same file is taken in once; a later state of the copy gives what is new.
fn take(
    host: &dyn RecordHost,
    args: &Returned,
    back: &copies::Returned,
    by: &str,
) -> Result<Vec<Opinion>, Failure> {
    let folder = desk::find(host, &args.number, args.travelers.as_deref())?;
    let actor = Actor { id: by.to_owned(), at: super::asked::stated(host, args.at) };
    let access = Access { shop: args.shop.as_deref(), without_book: false };
    let mut desk = Desk::open_by(host, &folder, access, &actor.at)?;
    let actor = Actor { id: desk.called(by), ..actor };
    desk.scene(&actor).person(&actor.id).map_err(refused)?;
    back.new_to(&desk).map_err(refused)?;
    let good: Vec<_> = back.proposals.iter().map(|p| (p.clone(), How::default())).collect();
    let mut memo = Memo::default();
    if !args.enter {
        return Ok(propose::judge(host, &mut desk, &actor, &good, &[], &mut memo));
    }
    let bytes = host.bytes(&args.file).map_err(|e| Failure::at(&args.file, &e))?;
    let file = File { bytes: &bytes, sha256: &back.sha256, ending: "pdf" };
    propose::enter(host, &mut desk, &actor, (&good, &[]), Some(&file), &mut memo)
}
