//! Commands of the record: ticks, readings, signatures, found conditions,
//! revisions, status, closing, checking, keys.

use std::io::{BufRead, IsTerminal};
use std::path::{Path, PathBuf};

use serde_json::json;

use crate::app::plan::Failure;
use crate::app::record::Appended;
use crate::app::record::Correction;
use crate::app::record::act::{self, Done};
use crate::app::record::close::Completed;
use crate::app::record::desk::{self, Actor};
use crate::app::record::measure::{Ask, Judged, measure};
use crate::app::record::signature::Trust;
use crate::app::record::status::{self, Standing};
use crate::app::record::words;
use crate::app::record::{Desk, RecordHost, close, revise, verify};
use crate::app::shop::Shelves;
use crate::cli::args::record::{Close, Corrects, Measure, Record, Revise, Status, Verify, Who};
use crate::cli::{Ending, terminal};

pub(super) fn run(host: &dyn RecordHost, command: &Record) -> Ending {
    let ended = match command {
        Record::Tick(args) => with(host, &args.number, &args.who, |desk, actor| {
            act::tick(desk, &args.what, actor, correction(&args.corrects)).map(said)
        }),
        Record::Measure(args) => measured(host, args),
        Record::Sign(args) => with(host, &args.number, &args.who, |desk, actor| match &args.nobody_came {
            Some(notice) => act::waive(desk, &args.what, &args.role, notice, actor).map(said),
            None => {
                let pin = pin(args.pin.pin_stdin, desk, actor);
                act::sign(desk, &args.what, &args.role, actor, pin.as_deref()).map(said)
            }
        }),
        Record::Found(args) => with(host, &args.number, &args.who, |desk, actor| {
            act::found(host, desk, &args.what, &args.text, &args.photo, actor).map(said)
        }),
        Record::Dispose(args) => with(host, &args.number, &args.who, |desk, actor| {
            let corrects = args.corrects.map(|entry| Correction { entry, reason: args.reason.clone() });
            act::dispose(desk, &args.found, &args.disposition, &args.reason, actor, corrects).map(said)
        }),
        Record::Correct(args) => with(host, &args.number, &args.who, |desk, actor| {
            let correction = Correction { entry: args.entry, reason: args.reason.clone() };
            act::withdraw(desk, correction, actor).map(said)
        }),
        Record::Revise(args) => revised(host, args),
        Record::Status(args) => standing(host, args),
        Record::Close(args) => closed(host, args),
        Record::Complete(args) => desk::find(host, &args.number, args.travelers.as_deref())
            .and_then(|folder| Desk::open(host, &folder, args.shop.as_deref(), &host.now()))
            .and_then(|desk| close::complete(host, &desk, &|| super::key::passphrase(args.passphrase)))
            .map(|done| {
                written(&done);
                Ending::Done
            }),
        Record::Verify(args) => verified(host, args),
        Record::Timestamp(args) => super::key::stamp(host, args),
        Record::Key(args) => super::key::run(host, args),
    };
    ended.unwrap_or_else(|failure| terminal::failure(&failure))
}

fn correction(args: &Corrects) -> Option<Correction> {
    args.corrects.map(|entry| Correction { entry, reason: args.reason.clone().unwrap_or_default() })
}

fn with(
    host: &dyn RecordHost,
    number: &str,
    who: &Who,
    act: impl FnOnce(&mut Desk, &Actor) -> Result<Ending, Failure>,
) -> Result<Ending, Failure> {
    let folder = desk::find(host, number, who.travelers.as_deref())?;
    let actor = Actor { id: who.by.clone(), at: who.at.unwrap_or_else(|| host.now()) };
    let mut desk = Desk::open(host, &folder, who.shop.as_deref(), &actor.at)?;
    act(&mut desk, &actor)
}

fn said(done: Done) -> Ending {
    terminal::out(format!("{} (entry {})", done.words, done.entry.n));
    warn(&done.entry);
    Ending::Done
}

fn warn(entry: &Appended) {
    for warning in &entry.warnings {
        terminal::note(format!("! {warning}"));
    }
}

/// The PIN: from standard input if asked to, from the terminal if the person
/// has one.
fn pin(from_stdin: bool, desk: &Desk, actor: &Actor) -> Option<String> {
    let needed = desk.register.person(&actor.id).is_some_and(|p| p.pin.is_some());
    if from_stdin {
        return line();
    }
    if needed && std::io::stdin().is_terminal() {
        return hidden(&format!("PIN of {}: ", actor.id));
    }
    None
}

/// What is typed at the terminal, not shown; a plain line where there is none.
pub(super) fn hidden(text: &str) -> Option<String> {
    if std::io::stdin().is_terminal() { rpassword::prompt_password(text).ok() } else { line() }
}

/// A new PIN, typed twice.
pub(super) fn new_pin(id: &str) -> Option<String> {
    let first = hidden(&format!("New PIN of {id}: "))?;
    if std::io::stdin().is_terminal() && hidden("Once more: ")? != first {
        terminal::note("The two are not the same: nothing was changed.");
        return None;
    }
    Some(first)
}

pub(super) fn line() -> Option<String> {
    let mut text = String::new();
    std::io::stdin().lock().read_line(&mut text).ok()?;
    Some(text.trim_end_matches(['\r', '\n']).to_owned())
}

fn measured(host: &dyn RecordHost, args: &Measure) -> Result<Ending, Failure> {
    with(host, &args.number, &args.who, |desk, actor| {
        let ask = Ask {
            what: args.what.clone(),
            text: args.value.clone(),
            tool: args.with.clone(),
            corrects: correction(&args.corrects),
        };
        let judged = measure(host, desk, ask, actor)?;
        if args.json {
            measured_json(&judged);
        } else {
            measured_text(&judged);
        }
        Ok(Ending::Done)
    })
}

fn measured_text(judged: &Judged) {
    terminal::out(format!("{} (entry {})", judged.words, judged.entry.n));
    warn(&judged.entry);
    match judged.measured.verdict.as_str() {
        "not conform" => terminal::note(
            "! Outside its limits: put it right and measure again with --corrects, or file a found condition.",
        ),
        "not proven" => terminal::note(
            "! Inside the guard band: neither right nor wrong is proven. Measure better, or let a lead decide.",
        ),
        _ => {}
    }
    if judged.changed.is_empty() && judged.targets.is_empty() {
        return;
    }
    terminal::out("");
    terminal::out("COMPUTED AGAIN");
    for one in &judged.changed {
        terminal::out(format!("  {}: {} (before {})", one.what, one.now, one.before));
    }
    if !judged.targets.is_empty() {
        terminal::out("NEW TARGETS");
    }
    for one in &judged.targets {
        terminal::out(format!(
            "  {}.{} {}: {} (printed {})",
            one.operation, one.id, one.label, one.now, one.before
        ));
    }
    if let Some(slip) = &judged.slip {
        terminal::out(format!("Slip for the bench: {}", slip.display()));
    }
}

fn measured_json(judged: &Judged) {
    terminal::json(&json!({
        "entry": judged.entry.n, "hash": judged.entry.hash, "warnings": judged.entry.warnings,
        "verdict": judged.measured.verdict, "value": judged.measured.value, "lower": judged.measured.lower,
        "upper": judged.measured.upper, "guard_band": judged.measured.guard, "words": judged.words,
        "figures": judged.changed.iter().map(|c| json!({
            "what": c.what, "before": c.before, "now": c.now, "formula": c.formula,
        })).collect::<Vec<_>>(),
        "targets": judged.targets.iter().map(|t| json!({
            "operation": t.operation, "reading": t.id, "before": t.before, "now": t.now,
        })).collect::<Vec<_>>(),
        "slip": judged.slip,
    }));
}

fn revised(host: &dyn RecordHost, args: &Revise) -> Result<Ending, Failure> {
    let shop = args.who.shop.as_deref();
    let folder = args.procedures.as_deref();
    let shelves = Shelves::gather(host, folder, shop, std::slice::from_ref(&args.job));
    let shelf = shelves.of(&args.job)?;
    let beside = args.job.parent().map_or_else(PathBuf::new, Path::to_owned).join(desk::TRAVELERS);
    let loaded = crate::app::plan::load(host, &args.job)?;
    let number = loaded.job.job.number.value.to_string();
    let travelers = args.who.travelers.clone().unwrap_or(beside);
    let folder = desk::find(host, &number, Some(&travelers))?;
    let actor = Actor { id: args.who.by.clone(), at: args.who.at.unwrap_or_else(|| host.now()) };
    let done = revise::revise(host, shelf, &args.job, &folder, shop, &args.reason, &actor)?;
    if args.json {
        terminal::json(&json!({
            "from": done.from, "revision": done.revision, "file": done.path, "change_page": done.change_path, "entry": done.entry.n,
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
    terminal::out(format!("{} operations keep their entries.", done.change.kept.len()));
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
    warn(&done.entry);
    Ok(Ending::Done)
}

fn standing(host: &dyn RecordHost, args: &Status) -> Result<Ending, Failure> {
    let day = args.on.unwrap_or_else(|| host.now().date_naive());
    let folders: Vec<PathBuf> = match &args.number {
        Some(number) => vec![desk::find(host, number, args.travelers.as_deref())?],
        None => {
            let place = args.travelers.clone().unwrap_or_else(|| {
                let usual = PathBuf::from(desk::TRAVELERS);
                if host.exists(&usual) { usual } else { PathBuf::from("jobs").join(desk::TRAVELERS) }
            });
            desk::numbers(host, &place).into_iter().map(|n| place.join(n)).collect()
        }
    };
    let mut all = Vec::new();
    for folder in &folders {
        all.push(status::of(host, folder, day)?);
    }
    // A damaged log is not "done".
    let ending = if all.iter().any(|s| s.damaged) { Ending::Refused } else { Ending::Done };
    if args.json {
        terminal::json(&json!({ "travelers": all.iter().map(status::json).collect::<Vec<_>>() }));
        return Ok(ending);
    }
    if all.is_empty() {
        terminal::note("No traveler was issued here; --travelers names another folder.");
    }
    if args.number.is_none() {
        table(&all);
        return Ok(ending);
    }
    all.iter().for_each(details);
    if let Some(folder) = folders.first() {
        if args.operations {
            operations(host, folder)?;
        }
        if args.entries {
            for entry in desk::look(host, folder)?.entries {
                terminal::out(format!("{:>5}  {}  {:<6} {}", entry.n, entry.at, entry.by.id, words(&entry)));
            }
        }
    }
    Ok(ending)
}

fn table(all: &[Standing]) {
    let width = all.iter().map(|s| s.number.chars().count()).max().unwrap_or(0);
    for s in all {
        let state = match &s.closed {
            Some(at) if s.follow_ups.is_empty() => format!("closed {}", at.get(..10).unwrap_or(at)),
            Some(_) => format!("closed, follow-up: {}", s.follow_ups.join("; ")),
            None => s.next.clone().unwrap_or_else(|| "ready to close".to_owned()),
        };
        let mut marks = String::new();
        if !s.conditions.is_empty() {
            marks.push_str(&format!("  found and open: {}", s.conditions.len()));
        }
        if !s.overdue.is_empty() {
            marks.push_str(&format!("  OVERDUE: {}", s.overdue.join(", ")));
        }
        if !s.trouble.is_empty() {
            marks.push_str(&format!("  LOG: {}", s.trouble.join(", ")));
        }
        terminal::out(format!(
            "{:width$}  {:>2}  {:>3}/{:<3} {state}{marks}",
            s.number, s.revision, s.done.0, s.done.1
        ));
    }
}

fn details(s: &Standing) {
    terminal::out(format!("{} rev {}  {}", s.number, s.revision, s.unit));
    terminal::out(format!("{} of {} operations done, {} entries", s.done.0, s.done.1, s.entries));
    if let Some(at) = &s.closed {
        terminal::out(format!("closed {at}"));
    }
    let line = |label: &str, list: &[String]| {
        for one in list {
            terminal::out(format!("  {label}: {one}"));
        }
    };
    line("next", s.next.as_slice());
    line("waits for", &s.waits_for);
    line("must sign", s.must_sign.as_slice());
    line("open condition", &s.conditions);
    line("reading", &s.failing);
    line("follow-up", &s.follow_ups);
    line("OVERDUE", &s.overdue);
    line("LOG", &s.trouble);
}

fn operations(host: &dyn RecordHost, folder: &Path) -> Result<(), Failure> {
    let chain = desk::look(host, folder)?;
    let state = crate::app::record::fold(&chain.entries);
    let plan = desk::plan(host, folder, state.revision().unwrap_or("A"))?;
    for operation in &plan.operations {
        let lacking = state.lacking(operation);
        let mark = if lacking.is_empty() { "done".to_owned() } else { crate::app::record::short(&lacking) };
        terminal::out(format!(
            "{:>5}  {} {}: {mark}",
            operation.number,
            operation.verb.to_uppercase(),
            operation.title
        ));
    }
    Ok(())
}

fn closed(host: &dyn RecordHost, args: &Close) -> Result<Ending, Failure> {
    with(host, &args.number, &args.who, |desk, actor| {
        let pin = pin(args.pin.pin_stdin, desk, actor);
        let done = close::close(host, desk, actor, pin.as_deref(), args.follow_up, &|| {
            super::key::passphrase(args.passphrase)
        })?;
        terminal::out(format!("{} closed (entry {})", desk.plan.number, done.entry.n));
        written(&done.record);
        for one in &done.follow_ups {
            terminal::out(format!("  still to do: {one}"));
        }
        warn(&done.entry);
        Ok(Ending::Done)
    })
}

fn written(done: &Completed) {
    terminal::out(format!("{} pages, {} -> {}", done.pages, seal_words(done.sealed), done.path.display()));
    for warning in &done.warnings {
        terminal::note(format!("! {warning}"));
    }
}

fn seal_words(sealed: bool) -> &'static str {
    if sealed { "signed" } else { "not signed (tackwright key new makes a key)" }
}

fn verified(host: &dyn RecordHost, args: &Verify) -> Result<Ending, Failure> {
    let bytes =
        host.bytes(&args.file).map_err(|e| Failure::System(format!("{}: {e}", args.file.display())))?;
    let verdict = verify::verify(&bytes, &Trust::read(host, &args.trust)?);
    let ending = if verdict.whole() { Ending::Done } else { Ending::Refused };
    if args.json {
        terminal::json(&verdict.json());
        return Ok(ending);
    }
    if !verdict.name.is_empty() {
        terminal::out(format!("Completed record {}", verdict.name));
    }
    for looked in &verdict.looked {
        let mark = match looked.outcome {
            verify::Outcome::Good => "good",
            verify::Outcome::Bad => "BAD ",
            verify::Outcome::NotShown => "?   ",
            verify::Outcome::Demonstration => "demo",
        };
        terminal::out(format!("  {mark}  {}", looked.words));
    }
    for remark in &verdict.remarks {
        terminal::out(format!("  note  {remark}"));
    }
    terminal::out(if verdict.broken() {
        "This file is not a whole record. Do not rely on it."
    } else if verdict.whole() && verdict.demonstration {
        "This record is in order, but a DEMONSTRATION KEY signed it: it proves nothing about who made it."
    } else if verdict.whole() {
        "Nobody changed this record since it was made."
    } else {
        "Nothing speaks against this record, but not everything could be shown (see ?)."
    });
    if !verdict.limits.is_empty() {
        terminal::out("What this can't prove:");
        verdict.limits.iter().for_each(|l| terminal::out(format!("  {l}")));
    }
    Ok(ending)
}
