//! Commands of the record: ticks, readings, signatures, found conditions,
//! revisions, status, closing, checking, keys.

use std::io::IsTerminal;
use std::path::{Path, PathBuf};

use serde_json::json;

use super::asked::{hidden, line, stated};
use crate::app::plan::Failure;
use crate::app::record::act::{self, Done, Paper};
use crate::app::record::close::Completed;
use crate::app::record::desk::{self, Access, Actor};
use crate::app::record::measure::{Ask, Judged, measure};
use crate::app::record::photograph;
use crate::app::record::status::{self, Standing};
use crate::app::record::verify::Trust;
use crate::app::record::{
    Desk, RecordHost, bars, close, correction, corrects, evidence, journal, key, refused, revise, timestamp,
    verify,
};
use crate::app::shelf::Shelves;
use crate::cli::args::record::{Close, Corrects, Measure, Record, Revise, Sign, Status, Verify, Who};
use crate::cli::{Ending, terminal};
use crate::term::clock::told_text;
use crate::term::counted;

pub(super) fn run(host: &dyn RecordHost, command: &Record) -> Ending {
    let ended = match command {
        Record::Tick(args) => with(host, &args.number, &args.who, args.corrects.named(), |desk, actor| {
            // What was ticked before a refusal stands, and was said.
            let corrects = replaced(desk, &args.corrects)?;
            args.what
                .iter()
                .flat_map(|what| act::each(what))
                .try_fold(Ending::Done, |_, what| act::tick(desk, &what, actor, corrects.clone()).map(said))
        }),
        Record::Measure(args) => measured(host, args),
        Record::Sign(args) => {
            let signs = args.nobody_came.is_none();
            with(host, &args.number, &args.who, signs, |desk, actor| {
                // What was signed before a refusal stands, and was said.
                args.what.iter().try_fold(Ending::Done, |_, what| signed(host, desk, actor, args, what))
            })
        }
        Record::Found(args) => with(host, &args.number, &args.who, false, |desk, actor| {
            act::found(host, desk, &args.what, &args.text, &args.photo, actor).map(said)
        }),
        Record::Photo(args) => with(host, &args.number, &args.who, false, |desk, actor| {
            photograph::file(host, desk, &args.what, &args.shows.replace('-', " "), &args.files, actor)
                .map(said)
        }),
        Record::Bars(args) => with(host, &args.number, &args.who, args.corrects.named(), |desk, actor| {
            let measured = (args.across.as_str(), args.along.as_str());
            let corrects = replaced(desk, &args.corrects)?;
            let (done, good) = bars::enter(host, desk, &args.sheet, measured, actor, corrects)?;
            said(done);
            Ok(if good { Ending::Done } else { Ending::Refused })
        }),
        Record::Look(args) => super::look::run(host, args),
        Record::Dispose(args) => with(host, &args.number, &args.who, true, |desk, actor| {
            let entry = args.corrects.as_deref().map(|what| act::entry_meant(desk, what)).transpose()?;
            let corrects = corrects(entry, Some(&args.reason));
            act::dispose(desk, &args.found, &args.disposition, &args.reason, actor, corrects).map(said)
        }),
        Record::Waive(args) => with(host, &args.number, &args.who, true, |desk, actor| {
            act::waive_tester(desk, &args.what, &args.tester, &args.reason, actor).map(said)
        }),
        Record::Correct(args) => with(host, &args.number, &args.who, true, |desk, actor| {
            act::withdraw(desk, correction(act::entry_meant(desk, &args.entry)?, &args.reason), actor)
                .map(said)
        }),
        Record::Revise(args) => revised(host, args),
        Record::Status(args) => standing(host, args),
        Record::Desk(args) => super::desk::run(host, args),
        Record::Sheet(args) => super::sheet::run(host, args),
        Record::Copy(args) => super::copies::copy(host, args),
        Record::Returned(args) => super::copies::returned(host, args),
        Record::Close(args) => closed(host, args),
        Record::Complete(args) => with(host, &args.number, &args.who, true, |desk, actor| {
            let done = close::complete(host, desk, actor, &|| super::key::passphrase(args.passphrase))?;
            written(&done);
            if desk.state.closed.is_none() {
                terminal::note("! It is not closed: the first page says so, and what is open.");
            }
            Ok(Ending::Done)
        }),
        Record::Verify(args) => verified(host, args),
        Record::Timestamp(args) => super::key::stamp(host, args),
        Record::Key(args) => super::key::run(host, args),
    };
    ended.unwrap_or_else(|failure| terminal::failure(&failure))
}

/// The entry that is corrected, by its number or the place it fills.
fn replaced(desk: &Desk, args: &Corrects) -> Result<Option<act::Replaced>, Failure> {
    let entry = args.corrects.as_deref().map(|what| act::entry_meant(desk, what)).transpose()?;
    Ok(corrects(entry, args.reason.as_deref()))
}

fn signed(
    host: &dyn RecordHost,
    desk: &mut Desk,
    actor: &Actor,
    args: &Sign,
    what: &str,
) -> Result<Ending, Failure> {
    let role = &args.role;
    match (&args.nobody_came, &args.seen_on_paper, &args.signer) {
        (Some(notice), ..) => act::waive(host, desk, what, role, notice, actor).map(said),
        (None, Some(place), Some(signer)) => {
            act::seen_on_paper(host, desk, what, role, &Paper { signer, place }, actor).map(said)
        }
        _ => act::sign(host, desk, what, role, actor, None).map(said),
    }
}

fn with(
    host: &dyn RecordHost,
    number: &str,
    who: &Who,
    identified: bool,
    act: impl FnOnce(&mut Desk, &Actor) -> Result<Ending, Failure>,
) -> Result<Ending, Failure> {
    let folder = desk::find(host, number, who.travelers.as_deref())?;
    let actor = Actor { id: who.by.clone(), at: stated(host, who.at) };
    let access = Access { shop: who.shop.as_deref(), without_book: who.without_book };
    let mut desk = Desk::open_by(host, &folder, access, &actor.at)?;
    let actor = Actor { id: desk.called(&actor.id), ..actor };
    if identified || who.pin.pin_stdin {
        desk.pin = typed_pin(who.pin.pin_stdin, &desk, &actor);
    }
    act(&mut desk, &actor)
}

fn said(done: Done) -> Ending {
    terminal::out(format!("{} (entry {})", done.words, done.entry.n));
    warn(&done.entry.warnings);
    Ending::Done
}

fn warn(warnings: &[String]) {
    for warning in warnings {
        terminal::note(format!("! {warning}"));
    }
}

/// The PIN: from standard input if asked to, from the terminal if the person
/// has one.
fn typed_pin(from_stdin: bool, desk: &Desk, actor: &Actor) -> Option<String> {
    let needed = desk.register.person(&actor.id).is_some_and(|p| p.pin.is_some());
    if from_stdin {
        return line();
    }
    if needed && std::io::stdin().is_terminal() {
        return hidden(&format!("PIN of {}: ", actor.id));
    }
    None
}

fn measured(host: &dyn RecordHost, args: &Measure) -> Result<Ending, Failure> {
    with(host, &args.number, &args.who, args.corrects.named(), |desk, actor| {
        let ask = Ask {
            what: args.what.clone(),
            text: args.value.clone(),
            tool: args.with.clone(),
            corrects: replaced(desk, &args.corrects)?,
            again: args.again,
            sure: args.sure,
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
    warn(&judged.entry.warnings);
    if let Some(advice) = judged.advice() {
        terminal::note(format!("! {advice}"));
    }
    if !judged.lost.is_empty() {
        terminal::out("NO LONGER HOLDS BY THE NEW LIMITS");
    }
    for one in &judged.lost {
        terminal::out(format!("  {one}"));
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
        "upper": judged.measured.upper, "guard_band": judged.measured.guard, "words": judged.words, "no_longer_holds": judged.lost,
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

fn standing(host: &dyn RecordHost, args: &Status) -> Result<Ending, Failure> {
    let day = args.on.unwrap_or_else(|| host.now().date_naive());
    let (folder, all) = match &args.number {
        Some(number) => {
            let folder = desk::find(host, number, args.travelers.as_deref())?;
            let one = status::of(host, &folder, day)?;
            (Some(folder), vec![one])
        }
        None => {
            let place = args.travelers.clone().unwrap_or_else(|| {
                let usual = PathBuf::from(desk::TRAVELERS);
                if host.exists(&usual) { usual } else { PathBuf::from("jobs").join(desk::TRAVELERS) }
            });
            (None, status::all(host, &place, day))
        }
    };
    // A damaged log is not "done".
    let ending = if all.iter().any(|s| s.damaged) { Ending::Refused } else { Ending::Done };
    if args.json {
        let mut all: Vec<_> = all.iter().map(status::json).collect();
        if let (Some(folder), Some(one)) = (&folder, all.first_mut().and_then(|o| o.as_object_mut())) {
            one.extend(super::boxes::json(host, folder, args)?);
        }
        terminal::json(&json!({ "travelers": all }));
        return Ok(ending);
    }
    if all.is_empty() {
        terminal::note("No traveler was issued here; --travelers names another folder.");
    }
    if args.number.is_none() {
        table(&all);
        return Ok(ending);
    }
    let brief = args.boxes || args.operations || args.entries || args.only.any();
    for one in &all {
        let hand = match &folder {
            Some(folder) if !one.damaged => status::next_hand(host, folder, host.now())?,
            _ => None,
        };
        details(one, hand.as_deref(), brief);
    }
    if let Some(folder) = &folder {
        super::boxes::text(host, folder, args)?;
    }
    Ok(ending)
}

fn table(all: &[Standing]) {
    let width = all.iter().map(|s| s.number.chars().count()).max().unwrap_or(0);
    for s in all {
        let state = match &s.closed {
            Some(at) if s.follow_ups.is_empty() => format!("closed {}", at.get(..10).unwrap_or(at)),
            Some(_) => format!("closed, follow-up: {}", s.follow_ups.join("; ")),
            None if s.revision.is_empty() => "can't be read".to_owned(),
            None if s.next.is_none() && s.damaged => "does not stand".to_owned(),
            None => s.next.clone().unwrap_or_else(|| "ready to close".to_owned()),
        };
        let mut marks = String::new();
        if !s.conditions.is_empty() {
            marks.push_str(&format!("  found and open: {}", s.conditions.len()));
        }
        if !s.no_longer.is_empty() {
            marks.push_str(&format!("  NO LONGER HOLDS: {}", s.no_longer.len()));
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

/// Times that can hardly be true which are named one by one.
const TIMES: usize = 8;

/// `brief` where boxes, operations or entries follow: they say the rest.
fn details(s: &Standing, hand: Option<&str>, brief: bool) {
    terminal::out(format!("{} rev {}  {}", s.number, s.revision, s.unit));
    let entries = counted(usize::try_from(s.entries).unwrap_or(usize::MAX), "entry", "entries");
    terminal::out(format!("{} of {} operations done, {entries}", s.done.0, s.done.1));
    if let Some(at) = &s.closed {
        terminal::out(format!("closed {}", told_text(at)));
    }
    let line = |label: &str, list: &[String]| {
        for one in list {
            terminal::out(format!("  {label}: {}", terminal::one_line(one)));
        }
    };
    line("next", s.next.as_slice());
    line("now", hand.map(str::to_owned).as_slice());
    line("waits for a lead", &s.for_lead);
    line("NO LONGER HOLDS", &s.no_longer);
    line("OVERDUE", &s.overdue);
    line("LOG", &s.trouble);
    line("IS THE TIME RIGHT", s.times.get(..TIMES).unwrap_or(&s.times));
    if let Some(more) = s.times.len().checked_sub(TIMES).filter(|more| *more > 0) {
        terminal::out(format!(
            "  and {} (status --json lists all)",
            counted(more, "more such time", "more such times")
        ));
    }
    if brief {
        return;
    }
    line("waits for", &s.waits_for);
    // Where the next operation waits for that very signature it was said.
    let said = |sign: &String| {
        let point = sign.split(' ').nth(2).unwrap_or_default();
        s.waits_for.iter().any(|one| one.split(' ').next() == Some(point))
    };
    if let Some(sign) = s.must_sign.as_ref().filter(|sign| !said(sign)) {
        line("must sign", std::slice::from_ref(sign));
    }
    line("computed", &s.derived);
    line("full size", &s.sheets);
    line("follow-up", &s.follow_ups);
    terminal::out(format!("  head: {} (entry {})", s.head.get(..16).unwrap_or(&s.head), s.entries));
}

fn closed(host: &dyn RecordHost, args: &Close) -> Result<Ending, Failure> {
    with(host, &args.number, &args.who, true, |desk, actor| {
        let done = close::close(host, desk, actor, None, args.follow_up, &|| {
            super::key::passphrase(args.passphrase)
        })?;
        terminal::out(format!("{} closed (entry {})", desk.plan.number, done.entry.n));
        written(&done.record);
        for one in &done.follow_ups {
            terminal::out(format!("  still to do: {one}"));
        }
        warn(&done.entry.warnings);
        Ok(Ending::Done)
    })
}

fn written(done: &Completed) {
    terminal::out(format!(
        "{} page{}, {} -> {}",
        done.pages,
        if done.pages == 1 { "" } else { "s" },
        seal_words(done.sealed),
        done.path.display()
    ));
    for warning in &done.warnings {
        terminal::note(format!("! {warning}"));
    }
}

fn seal_words(sealed: bool) -> &'static str {
    if sealed { "signed" } else { "not signed (tackwright key new makes a key)" }
}

fn verified(host: &dyn RecordHost, args: &Verify) -> Result<Ending, Failure> {
    let bytes = host.bytes(&args.file).map_err(|e| Failure::at(&args.file, &e))?;
    let journal = match &args.journal {
        Some(path) if host.exists(path) => Some(journal::given(host, path)?),
        Some(path) => return Err(Failure::System(format!("{}: there is no such file", path.display()))),
        None => None,
    };
    let named = key::trusted(host, &args.trust)?;
    let stamps = match (&args.journal, &journal) {
        (Some(path), Some(journal)) => timestamp::stamps(host, path, journal)?,
        _ => Vec::new(),
    };
    if let Some(folder) = args.kept.as_deref().filter(|f| host.folders(f).is_err()) {
        return Err(Failure::System(format!("{}: there is no such folder", folder.display())));
    }
    let folder = args.kept.as_deref().or_else(|| evidence::beside(host, &args.file));
    let kept = folder.map(|folder| evidence::kept(host, folder));
    let heads = args.head.iter().map(|text| verify::head(text).map_err(refused)).collect::<Result<_, _>>()?;
    let trust = Trust { named, unsealed: args.unsealed, journal, stamps, kept, heads };
    let verdict = verify::verify(&bytes, &trust);
    let ending = if verdict.accepted() { Ending::Done } else { Ending::Refused };
    if args.json {
        terminal::json(&verdict.json());
        return Ok(ending);
    }
    terminal::out(verdict.holds().sentence());
    if !verdict.name.is_empty() {
        terminal::out(format!("Completed record {}", terminal::one_line(&verdict.name)));
    }
    for looked in &verdict.looked {
        let mark = match looked.outcome {
            verify::Outcome::Good => "good",
            verify::Outcome::Bad | verify::Outcome::Contradicted => "BAD ",
            verify::Outcome::NotShown => "?   ",
            verify::Outcome::Demonstration => "demo",
        };
        terminal::out(format!("  {mark}  {}", terminal::one_line(&looked.words)));
    }
    for remark in &verdict.remarks {
        terminal::out(format!("  note  {}", terminal::one_line(remark)));
    }
    if !verdict.limits.is_empty() {
        terminal::out("What this can't prove:");
        verdict.limits.iter().for_each(|l| terminal::out(format!("  {}", terminal::one_line(l))));
    }
    Ok(ending)
}
