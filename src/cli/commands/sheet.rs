//! `sheet`: writes an entry sheet, or takes one in.

use std::collections::BTreeSet;
use std::path::Path;

use chrono::{DateTime, FixedOffset};
use serde_json::{Value as Json, json};

use super::boxes::wrapped;
use crate::app::output::{self, Over};
use crate::app::plan::Failure;
use crate::app::record::boxes::{self, Filter, Sight};
use crate::app::record::desk::{self, Access, Actor, Desk};
use crate::app::record::propose::{self, Came, Opinion};
use crate::app::record::recompute::Memo;
use crate::app::record::sheet::{self, Separator, Sheet};
use crate::app::record::{RecordHost, refused};
use crate::cli::args::record::{Between, SheetArgs};
use crate::cli::{Ending, terminal};
use crate::term::{counted, shell};

pub(super) fn run(host: &dyn RecordHost, args: &SheetArgs) -> Result<Ending, Failure> {
    match (&args.take, &args.by) {
        (Some(file), Some(by)) => take(host, args, file, by),
        _ => write(host, args),
    }
}

fn write(host: &dyn RecordHost, args: &SheetArgs) -> Result<Ending, Failure> {
    let folder = desk::find(host, &args.number, args.travelers.as_deref())?;
    let at = super::asked::stated(host, args.at);
    let sight = Sight::of(host, &folder, args.shop.as_deref(), at)?;
    let keys = boxes::meant(host, &folder, &sight.issue, &sight.plan, &Filter::from(&args.only))?;
    let scene = sight.scene();
    let now = boxes::in_force(host, &folder, &sight.issue, &scene, &mut Memo::default())?;
    let closed = sight.state.closed.is_some();
    let mut rows = boxes::rows(&scene, now.as_deref(), &keys);
    rows.retain(|r| r.done.is_none() && r.deferred == closed);
    let bytes = sheet::write(&sheet::paper(&sight.plan), &rows, separator(args.between))?;
    if let Some(why) = &sight.no_book {
        terminal::note(format!("! The shop book can't be read, so no instruments are named: {why}"));
    }
    let without = rows.iter().filter(|r| r.no_tool.is_some()).count();
    if without > 0 {
        terminal::note(format!(
            "! {} no tool that will be taken on {}: the column tools says why. For work of another day write it with --at DAY.",
            counted(without, "box has", "boxes have"),
            at.date_naive()
        ));
    }
    let Some(path) = &args.out else {
        terminal::bytes(&bytes);
        return Ok(Ending::Done);
    };
    output::put(host, path, Over::Sheet(&sight.plan.number), &bytes)?;
    terminal::out(format!("{} open boxes -> {}", rows.len(), path.display()));
    terminal::out(wrapped(
        "",
        "Fill the column value: a number in the unit of its line, a word or its number, x for a tick. \
         Name the tool where several may be. by and when are yours and now where they are empty.",
    ));
    Ok(Ending::Done)
}

/// What stands between two columns.
pub(super) fn separator(between: Between) -> Separator {
    match between {
        Between::Comma => Separator::Comma,
        Between::Semicolon => Separator::Semicolon,
        Between::Tab => Separator::Tab,
    }
}

/// Reads a sheet for an opened traveler.
pub(super) fn read(
    host: &dyn RecordHost,
    desk: &Desk,
    actor: &Actor,
    file: &std::path::Path,
) -> Result<(Sheet, Vec<u8>), Failure> {
    let bytes = host.bytes(file).map_err(|e| Failure::at(file, &e))?;
    let sheet = sheet::read(host, desk, actor, &file.display().to_string(), &bytes)?;
    Ok((sheet, bytes))
}

fn take(
    host: &dyn RecordHost,
    args: &SheetArgs,
    file: &std::path::Path,
    by: &str,
) -> Result<Ending, Failure> {
    let folder = desk::find(host, &args.number, args.travelers.as_deref())?;
    let actor = Actor { id: by.to_owned(), at: super::asked::stated(host, args.at) };
    let access = Access { shop: args.shop.as_deref(), without_book: false };
    let mut desk = Desk::open_by(host, &folder, access, &actor.at)?;
    let actor = Actor { id: desk.called(by), ..actor };
    desk.scene(&actor).person(&actor.id).map_err(refused)?;
    let (sheet, bytes) = read(host, &desk, &actor, file)?;
    let (good, left) = (sheet.proposed(), sheet.unread());
    let mut memo = Memo::default();
    let opinions = if args.enter {
        propose::enter(host, &mut desk, &actor, (&good, &left), Some(&sheet.file(&bytes)), &mut memo)?
    } else {
        propose::judge(host, &mut desk, &actor, &good, &left, &mut memo)
    };
    let unread: Vec<Failure> =
        sheet.lines.iter().filter_map(|l| l.read.as_ref().err().cloned().map(refused)).collect();
    let refusals = |o: &&Opinion| matches!(o.came, Came::Refused(_) | Came::Look(_));
    let bad = opinions.iter().filter(refusals).count() + unread.len();
    if args.json {
        as_json(&sheet, &opinions, &unread, args.enter);
    } else {
        as_text(&sheet, &opinions, &unread);
        let count = |f: fn(&Came) -> bool| opinions.iter().filter(|o| f(&o.came)).count();
        let (good, same) = (count(|c| matches!(c, Came::Good(_))), count(|c| matches!(c, Came::Same(_))));
        let before = if same > 0 { format!(", {same} were there before") } else { String::new() };
        let not = if bad > 0 { format!(", {bad} not: see above") } else { String::new() };
        if args.enter {
            terminal::out(format!("{} entered{before}{not}", counted(good, "line", "lines")));
        } else {
            terminal::out(format!(
                "{} can be entered{before}{not}. Nothing is entered yet.",
                counted(good, "line", "lines")
            ));
            if good > 0 {
                let so =
                    told_before(args.at.map(|at| at.time), args.travelers.as_deref(), args.shop.as_deref());
                let file = shell::word(file);
                terminal::out(format!(
                    "  tackwright sheet {} --take {file} --by {by}{so} --enter",
                    args.number
                ));
            }
        }
    }
    Ok(if bad > 0 { Ending::Refused } else { Ending::Done })
}

/// The options of this command that the next one needs too, as they are typed.
pub(super) fn told_before(
    at: Option<DateTime<FixedOffset>>,
    travelers: Option<&Path>,
    shop: Option<&Path>,
) -> String {
    let at = at.map(|at| format!(" --at {}", at.to_rfc3339()));
    let folder = travelers.map(|path| format!(" --travelers {}", shell::word(path)));
    let book = shop.map(|path| format!(" --shop {}", shell::word(path)));
    [at, folder, book].into_iter().flatten().collect()
}

fn as_text(sheet: &Sheet, opinions: &[Opinion], unread: &[Failure]) {
    for note in &sheet.notes {
        terminal::note(wrapped("! ", note));
    }
    for failure in unread {
        let _ = terminal::failure(failure);
    }
    tell(opinions);
}

/// What came of each proposal, in words.
pub(super) fn tell(opinions: &[Opinion]) {
    // What is said of many lines is said once.
    let (mut warned, mut refused): (BTreeSet<&str>, Option<&Failure>) = (BTreeSet::new(), None);
    for opinion in opinions {
        let place = &opinion.proposal.from.place;
        match &opinion.came {
            Came::Good(good) => {
                terminal::out(wrapped(&format!("{place}: "), &good.words));
                let new = good.warnings.iter().filter(|w| warned.insert(w));
                new.for_each(|w| terminal::note(wrapped("  ! ", w)));
                good.changed.iter().for_each(|c| terminal::out(wrapped("    ", c)));
            }
            Came::Same(said) => terminal::out(wrapped(&format!("{place}: "), said)),
            Came::Nothing => {}
            Came::Look(why) => terminal::note(wrapped(&format!("{place}: look: "), why)),
            Came::Refused(failure) => {
                let again = if refused == Some(failure) { ", as above" } else { "" };
                terminal::note(wrapped(
                    &format!("{place}: "),
                    &format!("{} NOT entered{again}", opinion.proposal.name),
                ));
                if refused.replace(failure) != Some(failure) {
                    let _ = terminal::failure(failure);
                }
            }
        }
    }
}

fn as_json(sheet: &Sheet, opinions: &[Opinion], unread: &[Failure], entered: bool) {
    terminal::json(&json!({
        "entered": entered, "lines": opinions.iter().map(|o| outcome(o, entered)).collect::<Vec<_>>(),
        "notes": sheet.notes, "unread": unread.iter().map(terminal::failure_value).collect::<Vec<_>>(),
        "sha256": sheet.sha256,
    }));
}

/// What came of a proposal, for machines.
pub(super) fn outcome(o: &Opinion, entered: bool) -> Json {
    let (outcome, words, more) = match &o.came {
        Came::Good(good) => (
            if entered { "entered" } else { "good" },
            Json::from(good.words.as_str()),
            json!({ "entry": entered.then_some(good.n), "verdict": good.verdict,
                    "warnings": good.warnings, "changed": good.changed }),
        ),
        Came::Same(said) => ("same", Json::from(said.as_str()), Json::Null),
        Came::Nothing => ("nothing", Json::Null, Json::Null),
        Came::Look(why) => ("look", Json::from(why.as_str()), Json::Null),
        Came::Refused(failure) => ("refused", Json::from(failure.words()), terminal::failure_value(failure)),
    };
    json!({ "place": o.proposal.from.place, "box": o.proposal.name.to_string(), "outcome": outcome,
            "words": words, "more": more })
}
