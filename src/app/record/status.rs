//! Where each traveler stands.

use std::collections::BTreeSet;
use std::path::{Path, PathBuf};

use chrono::NaiveDate;
use rayon::prelude::*;
use serde_json::{Value as Json, json};

use super::barred::Barred;
use super::desk;
use super::files::RecordHost;
use super::handed_over::{self, Look};
use super::recompute::Memo;
use super::{
    evidence, folder as places, journal, register, sheets, stamps, stands, stored, tools_due, waivers,
};
use crate::app::plan::Failure;
use crate::record::agree;
use crate::record::dated;
use crate::record::entry::Issue;
use crate::record::fallen::{Cause, Fallen, causes, fallen};
use crate::record::frozen::{Operation, Sheet};
use crate::record::hours;
use crate::record::journal::{Against, Journal};
use crate::record::let_be::let_be;
use crate::record::log::Chain;
use crate::record::moved::Lost;
use crate::record::outdated::{Redrawn, in_force, outdated};
use crate::record::people::Register;
use crate::record::received::{Received, received};
use crate::record::rules::Scene;
use crate::record::state::{self, State};
use crate::record::{Entry, Frozen};

/// The role that decides.
pub(super) const LEAD: &str = "lead";

/// Where one traveler stands.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Standing {
    /// Of the traveler; the name of its folder where that can't be read.
    pub number: String,
    /// Revision in force.
    pub revision: String,
    /// What is worked on, in the words of the plan; empty where that can't be read.
    pub unit: String,
    /// Operations done, and all of them before hand-over.
    pub done: (usize, usize),
    /// Next operation.
    pub next: Option<String>,
    /// Role that does it; none where anybody may.
    pub next_by: Option<String>,
    /// What the next operation waits for.
    pub waits_for: Vec<String>,
    /// Who must sign next.
    pub must_sign: Option<String>,
    /// Found conditions without a disposition.
    pub conditions: Vec<String>,
    /// Readings that do not conform.
    pub failing: Vec<String>,
    /// Dates that have passed.
    pub overdue: Vec<String>,
    /// Since when the oldest of those waits, and what.
    pub oldest_overdue: Option<String>,
    /// Tools it is read with that are due within a month: last day and id.
    pub due_tools: Vec<(NaiveDate, String)>,
    /// Date it was closed.
    pub closed: Option<String>,
    /// What stands in it by somebody's decision or word alone, once it was closed.
    pub let_be: Vec<String>,
    /// What came after the customer signed that the unit was received.
    pub received: Vec<String>,
    /// Follow-ups still open, with their dates.
    pub follow_ups: Vec<String>,
    /// How many the log has.
    pub entries: u64,
    /// Everything that keeps it from being closed.
    pub open: Vec<String>,
    /// What waits for a lead by now and for nobody else.
    pub for_lead: Vec<String>,
    /// Hash of the last entry: what a slip or a note on paper can hold against it.
    pub head: String,
    /// Readings that no longer hold by the plan as it moved, and points that were signed
    /// and no longer hold.
    pub no_longer: Vec<String>,
    /// The same for somebody who reads it beside what waits for a lead: each reason once.
    pub fallen: Vec<String>,
    /// Values that follow from readings.
    pub derived: Vec<String>,
    /// Sheets at full size, and what their bars said.
    pub sheets: Vec<String>,
    /// Times that can hardly be true.
    pub times: Vec<String>,
    /// What is wrong with the log.
    pub trouble: Vec<String>,
    /// Whether the log was damaged.
    pub damaged: bool,
}

/// Where each sheet at full size stands; what was read may have moved it.
fn full_size(plan: &Frozen, state: &State, redrawn: Result<Vec<Redrawn>, Failure>) -> Vec<String> {
    let Ok(redrawn) = redrawn else {
        let known = plan.sheets.iter().map(|s| state.sheet(s));
        let why = "whether what was read moved these sheets can't be computed: don't use them, ask the lead";
        return known.chain([why.to_owned()]).collect();
    };
    let old = outdated(plan, state, &redrawn);
    let words = |sheet: &Sheet| match old.iter().find(|o| o.sheet.name == sheet.name) {
        Some(old) if old.used => format!(
            "{}; a print of it was measured and may have been used: print it again (tackwright template {}), measure its bars and mark again",
            old.words(),
            plan.number
        ),
        Some(old) => format!("{}; print it again: tackwright template {}", old.words(), plan.number),
        None => state.sheet(sheet),
    };
    // A sheet no operation is done by is told once somebody measured a print of it.
    let used = |sheet: &&Sheet| !sheet.operations.is_empty() || state.bars_of(sheet).is_some();
    in_force(plan, state, &redrawn).iter().filter(used).map(words).collect()
}

/// Where a traveler stands on a day.
///
/// # Errors
/// If its folder can't be read.
pub fn of(host: &dyn RecordHost, folder: &Path, day: NaiveDate) -> Result<Standing, Failure> {
    beside(host, folder, (day, Look::Inside), journal::read(host, &journal::place(host, folder)).as_ref())
}

/// As [`of`]; the journal was read before.
fn beside(
    host: &dyn RecordHost,
    folder: &Path,
    (day, look): (NaiveDate, Look),
    journal: Result<&Journal, &Failure>,
) -> Result<Standing, Failure> {
    let chain = desk::look(host, folder)?;
    let state = state::fold(&chain.entries);
    let Some(issue) = state::issue(&chain.entries) else { return Err(desk::never_issued(host, folder)) };
    let mut standing = Standing {
        head: chain.hashes.last().cloned().unwrap_or_default(),
        entries: state.entries,
        ..Standing::default()
    };
    standing.log_is_whole(&chain);
    standing.agrees_with(journal.map_err(Clone::clone)?, &chain, issue);
    standing.folder_is_whole(host, folder, journal.map_err(Clone::clone)?, (&chain, issue));
    let mut bad = stands::photos(host, folder, &state);
    let plan = stored::frozen_plan(host, folder, issue)?;
    let register = Register::default();
    let scene =
        Scene { plan: &plan, state: &state, entries: &chain.entries, register: &register, day, at: None };
    standing.work_goes_on(&scene);
    standing.work_is_good(&scene);
    standing.sheets = full_size(&plan, &state, sheets::redrawn(host, folder, issue, &plan, &state));
    let book = register::of(host, folder, issue, None, false, day);
    if let (Err(failure), None) = (&book, &state.closed) {
        standing.trouble.push(format!("nothing can be entered: {}", failure.words()));
    }
    let known = book.is_ok();
    if let (Ok(found), None) = (&book, &state.closed) {
        let rows = found.register.instruments.as_deref().unwrap_or_default();
        standing.due_tools = tools_due::due_soon(&plan, &state, rows, day);
    }
    // What an instrument is by now stands in the book.
    let doubted = book
        .as_ref()
        .map_or_else(|_| Vec::new(), |found| Scene { register: &found.register, ..scene }.doubted_tools());
    let barred = Barred::told(host, (folder, issue), &scene, &mut Memo::default());
    standing.no_longer = barred.lost().iter().map(Lost::told).collect();
    let down = fallen(&plan, &state, barred.lost());
    standing.no_longer.extend(down.iter().map(Fallen::words));
    // With the points that rest on it, it is said with them.
    let alone = |one: &&Lost| !down.iter().any(|f| f.why.contains(&one.words));
    let lost: Vec<String> = barred.lost().iter().filter(alone).map(Lost::told).collect();
    let questioned = state.questioned(&plan).into_iter();
    standing.no_longer.extend(
        questioned.map(|q| {
            format!("{} is in question: chosen before {} was found there", q.said(), q.found.number)
        }),
    );
    // Nobody is told that all is done by a log that nobody could have kept.
    let all_done = state.closed.is_some() || scene.open().is_empty() && doubted.is_empty();
    if all_done {
        bad.extend(match &state.closed {
            Some(_) => stands::against(host, folder, &chain.entries)?,
            // What `close` would refuse is not called done; a file that is gone is told above.
            None => stands::all_against(host, folder, &chain.entries)
                .or_else(|_| stands::against(host, folder, &chain.entries))?,
        });
    }
    standing.damaged |= !bad.is_empty();
    standing.for_lead = match bad.is_empty() || !scene.open().is_empty() {
        true => for_lead(&scene, known, &doubted, || (barred, book.ok().map(|found| found.register))),
        false => vec![
            "what is kept of it does not stand: see LOG; nothing is closed before that is explained"
                .to_owned(),
        ],
    };
    if state.closed.is_some() {
        standing.for_lead.extend(handed_over::lacks(host, folder, &plan.number, &chain, look));
    }
    // Each failed repeat of a reading waits for the same.
    let mut said = BTreeSet::new();
    standing.for_lead.retain(|one| said.insert(one.clone()));
    standing.fallen = lost.into_iter().chain(down_by(&down, &standing.for_lead)).collect();
    standing.trouble.extend(bad);
    standing.left_to_do(&scene);
    standing.open.extend(doubted);
    let received = received(&plan, &state, &chain.entries);
    standing.received = received.iter().map(Received::words).collect();
    if state.closed.is_some() {
        standing.let_be = let_be(&plan, &state, &chain.entries);
        standing.let_be.extend(waivers::of_issue(host, folder, issue));
    }
    Ok(standing)
}

impl Standing {
    /// Lines that were changed, or entered out of their time.
    fn log_is_whole(&mut self, chain: &Chain) {
        if let Some((line, why)) = &chain.damage {
            self.damaged = true;
            self.trouble.push(why.at(&format!("line {line} of the log")));
        }
        if !chain.set_back.is_empty() {
            self.trouble
                .push(format!("entered afterwards, or a clock set back: {}", ranges(&chain.set_back)));
        }
    }

    /// The log beside what the journal saw of it.
    fn agrees_with(&mut self, journal: &Journal, chain: &Chain, issue: &Issue) {
        let against = journal.against(&issue.number, &chain.hashes);
        if chain.torn > 0 {
            // What the journal saw was confirmed: bytes of it are gone, and no entry sets that aside.
            let then = match against {
                Some(Against::Shorter { .. }) => "and the journal saw it whole: bytes of the log are lost",
                _ => "the next entry sets it aside",
            };
            self.trouble.push(format!("the last line is torn ({} bytes); {then}", chain.torn));
        }
        if let Some(against) = against {
            self.damaged |= !matches!(against, Against::Unseen { .. });
            self.trouble.push(against.to_string());
        }
    }

    /// Its folder has its name, its journal, and what entries were taken in from.
    fn folder_is_whole(
        &mut self,
        host: &dyn RecordHost,
        folder: &Path,
        journal: &Journal,
        (chain, issue): (&Chain, &Issue),
    ) {
        if let Some(why) = places::misnamed(host, folder, &issue.number) {
            self.damaged = true;
            self.trouble.push(why);
        }
        let first = chain.entries.iter().find_map(Entry::issue).unwrap_or(issue);
        let place = journal::place(host, folder);
        self.trouble.extend(journal::missing(host, &place, journal, first, &chain.entries));
        self.trouble.extend(evidence::lost(host, folder, &chain.entries));
        let against = stamps::against(host, &place, journal, &issue.number, &chain.entries);
        self.damaged |= !against.is_empty();
        self.trouble.extend(against);
    }

    /// What is done, what comes next, and who signs for it.
    fn work_goes_on(&mut self, scene: &Scene<'_>) {
        let Scene { plan, state, .. } = *scene;
        let work: Vec<_> = plan.operations.iter().filter(|o| !o.deferred).collect();
        self.number.clone_from(&plan.number);
        self.revision.clone_from(&plan.revision);
        self.unit.clone_from(&plan.unit);
        self.done = (work.iter().filter(|o| state.lacking(o).is_empty()).count(), work.len());
        if let Some(next) = state.next(plan) {
            let Operation { number, title, station, .. } = next;
            self.next = Some(format!("{number} {} {title} [{station}]", next.verb.to_uppercase()));
            self.waits_for = state.lacking(next);
            self.next_by = Some(next.role.clone()).filter(|role| !role.is_empty());
        }
        self.must_sign = work.iter().find_map(|o| {
            o.points().find_map(|p| {
                let left = state.unsigned(o, p);
                let when = p.slot.split('.').next().unwrap_or("");
                left.first().map(|role| format!("{role} signs {} {when} operation {}", p.number, o.number))
            })
        });
    }

    /// What was found, what does not conform, and what was done at odd times.
    fn work_is_good(&mut self, scene: &Scene<'_>) {
        let Scene { plan, state, entries, .. } = *scene;
        let open = state.founds.iter().filter(|f| f.disposition.is_none());
        self.conditions = open.map(|f| format!("{} at {}: {}", f.number, f.operation, f.text)).collect();
        let times = hours::remarks(plan, entries);
        self.times = times.iter().map(|one| format!("entry {}: {}", one.n, one.words)).collect();
        self.derived = agree::derived(plan, state);
        for o in &plan.operations {
            self.failing.extend(state.failing(o).into_iter().map(|(r, v)| format!("{}.{r} {v}", o.number)));
        }
        for o in &plan.operations {
            let stops = state.stops(plan, o);
            self.failing.extend(stops.into_iter().map(|s| format!("{}: {}", o.number, s.words)));
        }
    }

    /// What is open before the close, or owed after it, and what is late.
    fn left_to_do(&mut self, scene: &Scene<'_>) {
        let Scene { plan, state, day, .. } = *scene;
        let passed = |date: &str| NaiveDate::parse_from_str(date, "%Y-%m-%d").is_ok_and(|d| d < day);
        let Some((mark, follow_ups)) = &state.closed else {
            let promised = plan.due.iter().filter(|d| passed(d));
            self.overdue.extend(promised.clone().map(|d| format!("promised for {d}")));
            self.oldest_overdue = promised.map(|d| format!("since {d}, when it was promised")).next();
            self.open = scene.open();
            return;
        };
        self.closed = Some(mark.at.clone());
        let mut late: Vec<(&str, String)> = Vec::new();
        for one in follow_ups {
            let Some(operation) = plan.operations.iter().find(|o| o.key == one.operation.key) else {
                continue;
            };
            if state.lacking(operation).is_empty() {
                continue;
            }
            let waits = scene.open_after(operation);
            let waits = waits.map_or_else(String::new, |open| format!(" (waits: {})", open.words));
            let words = format!("{} {} by {}{waits}", operation.number, operation.title, one.due);
            if passed(&one.due) {
                self.overdue.push(words.clone());
                late.push((&one.due, format!("{} {}", operation.number, operation.title)));
            }
            self.follow_ups.push(words);
        }
        let oldest = late.into_iter().min_by_key(|(due, _)| *due);
        self.oldest_overdue = oldest.map(|(due, what)| format!("since {due}: {what}"));
    }
}

/// Points that no longer hold, by what they wait for. What waits for a lead is said there, and
/// named here only.
fn down_by(down: &[Fallen], for_lead: &[String]) -> Vec<String> {
    let words = |cause: &Cause<'_>| {
        let (named, why) = (cause.named(), cause.why);
        let subject = if why.starts_with("reading ") { 2 } else { 1 };
        let subject: Vec<&str> = why.split(' ').take(subject).collect();
        let subject = subject.join(" ");
        match for_lead
            .iter()
            .any(|line| line.strip_prefix(&subject).is_some_and(|rest| rest.starts_with(' ')))
        {
            true => format!("{named}, until {subject} is settled"),
            false => format!("{named}: {why}"),
        }
    };
    causes(down).iter().map(words).collect()
}

/// Runs of entries that are named one by one.
const RUNS: usize = 12;

/// Entries by their numbers, runs of them as one: `entries 4, 9 to 12`.
fn ranges(entries: &[u64]) -> String {
    let mut runs: Vec<(u64, u64)> = Vec::new();
    for n in entries {
        match runs.last_mut() {
            Some((_, last)) if *last + 1 == *n => *last = *n,
            _ => runs.push((*n, *n)),
        }
    }
    let words = |(from, to): &(u64, u64)| match to - from {
        0 => from.to_string(),
        1 => format!("{from}, {to}"),
        _ => format!("{from} to {to}"),
    };
    let named: Vec<String> = runs.iter().take(RUNS).map(words).collect();
    let shown: u64 = runs.iter().take(RUNS).map(|(from, to)| to - from + 1).sum();
    let more = match entries.len() as u64 - shown {
        0 => String::new(),
        more => format!(" and {more} more (`status NUMBER --entries` lists all)"),
    };
    let word = if entries.len() == 1 { "entry" } else { "entries" };
    format!("{word} {}{more}", named.join(", "))
}

/// What waits for a lead by now and for nobody else, in words for whoever has the
/// work in hand. `ask` says what is against a signature by what was read, and who the
/// people are, where they are known; it is asked where a lead could sign otherwise. Without
/// a `book` that can be read nobody signs; `doubted` are instruments that are not what they
/// were by it ([`Scene::doubted_tools`]).
#[must_use]
pub fn for_lead(
    scene: &Scene<'_>,
    book: bool,
    doubted: &[String],
    ask: impl FnOnce() -> (Barred, Option<Register>),
) -> Vec<String> {
    let Scene { plan, state, .. } = *scene;
    let number = &plan.number;
    let mut waits = Vec::new();
    let (mut known, mut ask) = (None, Some(ask));
    for found in &state.founds {
        if found.disposition.is_none() {
            waits.push(format!(
                "{} at operation {}, \"{}\": a lead decides how it goes on: {}",
                found.number,
                found.operation,
                found.text,
                scene.decides_on(&found.number)
            ));
        } else if state.rejected(found) {
            waits.push(format!(
                "{} at operation {}, \"{}\", was rejected: what takes its place is put into the job and issued (tackwright revise JOB --by LEAD --reason \"…\"), or a lead decides anew",
                found.number, found.operation, found.text
            ));
        }
    }
    if state.closed.is_none() {
        waits.extend(doubted.iter().cloned());
        waits.extend(scene.not_put_right().map(|one| format!("{}: {}", one.words, one.way_out)));
    }
    // What a found condition is open about is said once, with what decides it.
    let asked = |key: &str, id: &str| {
        state
            .founds
            .iter()
            .any(|f| f.disposition.is_none() && f.key == key && f.reading.as_deref() == Some(id))
    };
    for operation in plan.operations.iter().filter(|o| o.deferred == state.closed.is_some()) {
        for (reading, verdict) in state.failing(operation) {
            if asked(&operation.key, &reading) {
                continue;
            }
            let place = format!("{}.{reading}", operation.number);
            waits.push(format!(
                "reading {place} is {verdict}: put it right and read it again, then a lead decides (tackwright found {number} {place} \"…\" --by ID)"
            ));
        }
        for stop in state.stops(plan, operation) {
            if asked(&operation.key, &stop.reading) {
                continue;
            }
            let again = if stop.passed { "" } else { "read again, or " };
            waits.push(format!(
                "operation {}, {}: {again}a lead decides (tackwright found {number} {}.{} \"…\" --by ID)",
                operation.number, stop.words, operation.number, stop.reading
            ));
        }
        for point in operation.points() {
            if !state.unsigned(operation, point).contains(&LEAD)
                || scene.point_waits(operation, point).is_err()
            {
                continue;
            }
            let place = format!(
                "{} {} at operation {} {}",
                point.kind, point.number, operation.number, operation.title
            );
            let (barred, people): &(Barred, Option<Register>) =
                known.get_or_insert_with(|| ask.take().map_or_else(Default::default, |ask| ask()));
            // Who did the work does not release it: a lead may be there, and none may sign.
            let nobody = people.as_ref().filter(|register| {
                let scene = Scene { register, ..*scene };
                !register.people.is_empty() && scene.signers(operation, point, LEAD).is_empty()
            });
            if nobody.is_some() {
                waits.push(format!("{place}: no lead of the shop book may sign it: each did the work, has signed, or is not with the shop by now. What a lead entered of it and another did is taken back (tackwright correct {number} ENTRY --by LEAD --reason \"…\") and entered by whoever did it"));
                continue;
            }
            waits.push(match barred.lets(scene, operation, point) {
                Ok(()) if !book => {
                    format!(
                        "{place}: the work before it is entered; a lead signs it when the shop book is there"
                    )
                }
                Ok(()) => match state.unsigned(operation, point).as_slice() {
                    [_] => format!("{place}: nothing else is missing, a lead signs it"),
                    roles => {
                        format!("{place}: nothing is missing but its signatures, by {}", roles.join(" and "))
                    }
                },
                Err(problem) => format!("{place} stays shut: {}", problem.message),
            });
        }
    }
    if state.closed.is_none() && waits.is_empty() && scene.open().is_empty() {
        // What the customer was told is promised unasked.
        let asked = plan.operations.iter().any(|o| o.deferred) && dated::due(plan, state).is_none();
        let due = if asked { " --follow-up DATE" } else { "" };
        waits
            .push(format!("everything is done: a lead closes it (tackwright close {number} --by LEAD{due})"));
    }
    waits
}

/// Where all travelers of a folder stand. One that can't be read stands in its
/// row as trouble and hides none of the others; so does one that is gone, and
/// the journal itself.
#[must_use]
pub fn all(host: &dyn RecordHost, place: &Path, day: NaiveDate) -> Vec<Standing> {
    let sick = |number: &str, why: String| Standing {
        number: number.to_owned(),
        trouble: vec![why],
        damaged: true,
        ..Standing::default()
    };
    let numbers = desk::numbers(host, place);
    let folders: Vec<PathBuf> = numbers.iter().map(|n| place.join(n)).collect();
    // Read once: it has a line for every entry of every traveler.
    let journal = journal::read(host, &place.join(journal::JOURNAL));
    let mut all = each(host, &folders, day, journal.as_ref());
    match &journal {
        Err(failure) => all.push(sick("journal", failure.words())),
        Ok(journal) => {
            if let Some((line, why)) = &journal.damage {
                all.push(sick("journal", why.at(&format!("line {line} of the journal"))));
            }
            for gone in journal.travelers().into_iter().filter(|t| !numbers.iter().any(|n| n == t)) {
                all.push(sick(
                    gone,
                    "the journal knows it, and its folder is gone or has no log: put it back from the backup"
                        .to_owned(),
                ));
            }
        }
    }
    all
}

fn each(
    host: &dyn RecordHost,
    folders: &[PathBuf],
    day: NaiveDate,
    journal: Result<&Journal, &Failure>,
) -> Vec<Standing> {
    let one = |folder: &PathBuf| {
        beside(host, folder, (day, Look::There), journal).unwrap_or_else(|failure| Standing {
            number: folder.file_name().map_or_else(String::new, |n| n.to_string_lossy().into_owned()),
            trouble: vec![failure.words()],
            damaged: true,
            ..Standing::default()
        })
    };
    folders.par_iter().map(one).collect()
}

/// For machines.
#[must_use]
pub fn json(s: &Standing) -> Json {
    json!({
        "number": s.number, "revision": s.revision, "unit": s.unit,
        "operations_done": s.done.0, "operations": s.done.1,
        "next": s.next, "waits_for": s.waits_for, "must_sign": s.must_sign,
        "open_conditions": s.conditions, "failing_readings": s.failing, "overdue": s.overdue,
        "closed": s.closed, "let_be": s.let_be, "signed_before": s.received, "follow_ups": s.follow_ups, "entries": s.entries, "open": s.open,
        "trouble": s.trouble, "head": s.head, "derived": s.derived, "sheets": s.sheets, "for_lead": s.for_lead,
        "oldest_overdue": s.oldest_overdue,
        "tools_due": s.due_tools.iter().map(|(day, tool)| json!({ "tool": tool, "due": day.to_string() })).collect::<Vec<_>>(),
        "no_longer_holds": s.no_longer, "times_hardly_true": s.times,
    })
}
