//! Fills the paper that was issued with what the record says: the completed
//! record for the customer.
//!
//! In: the blank document as it was frozen, the plan and the folded log. Out:
//! the same document with its boxes filled, the entries behind it, and the
//! drawings made again from measured values.

mod customer;
mod sheets;
pub mod signing;

use std::collections::{BTreeMap, BTreeSet};

use super::super::document::{
    Document, Filled, Geometry, Head, Operation, Reading, RecordEntry, RecordSheet, Signature,
};
use crate::plan::Words;
use crate::procedure::figures::JobFigures;
use crate::record::Entry;
use crate::record::arcs::arcs;
use crate::record::entry::{Action, Measured, WITHOUT_BOOK};
use crate::record::fallen::Fallen;
use crate::record::frozen::{self, Frozen};
use crate::record::log::stamp;
use crate::record::moved::Lost;
use crate::record::question::{Questioned, WORDS_STAND};
use crate::record::state::{Mark, Signed, State};
use crate::term::Verdict;
use crate::term::clock::told_text as moment;

/// What the record says, as plain data.
#[derive(Debug, Clone, Copy)]
pub struct Facts<'a> {
    /// Plan of the revision in force.
    pub plan: &'a Frozen,
    /// Folded log.
    pub state: &'a State,
    /// Entries in order.
    pub entries: &'a [Entry],
    /// Hash of each entry.
    pub hashes: &'a [String],
    /// Geometry computed again from measured values.
    pub measured: Option<&'a Geometry>,
    /// What took the place of planned values.
    pub replaced: &'a [String],
    /// Figures computed again from measured values.
    pub figures: Option<&'a JobFigures>,
    /// Readings that no longer hold by the plan as it moved.
    pub lost: &'a [Lost],
    /// Points that were signed and no longer hold.
    pub fallen: &'a [Fallen],
    /// Digest of the frozen files.
    pub content: &'a str,
    /// Digest of the log as it is attached.
    pub log: &'a str,
    /// Who signs for the shop; none if it has no key.
    pub signer: Option<signing::Signer<'a>>,
    /// What the shop book said of people otherwise than before while the work went on.
    pub shop_rows: &'a [String],
}

/// Fills the document.
#[must_use]
pub fn complete(mut document: Document, facts: &Facts<'_>) -> Document {
    let state = facts.state;
    let plan = facts.plan;
    "Completed record".clone_into(&mut document.meta.kind);
    document.meta.title = format!("Completed record {} rev {}: {}", plan.number, plan.revision, plan.unit);
    document.meta.ident = format!(
        "{} {} completed {}",
        plan.number,
        plan.revision,
        facts.hashes.last().map_or("", String::as_str)
    );
    if let Some(at) = facts.entries.last().and_then(Entry::time) {
        document.meta.issued = at.to_utc();
    }
    document.running.validity = match &state.closed {
        Some((mark, _)) => format!(
            "Closed {} by {}. Anybody can check this file: tackwright verify FILE.pdf",
            day(&mark.at),
            mark.by.name
        ),
        None => "Not closed: the work is not finished.".to_owned(),
    };
    if state.closed.is_none() {
        document.running.stamp = Some("NOT CLOSED".to_owned());
    }
    let doubts: BTreeMap<(String, String), String> = beside_founds(plan, state);
    for operation in document.operations.iter_mut().chain(&mut document.after_hand_over) {
        if let Some(planned) = plan.operations.iter().find(|o| o.number == operation.number) {
            fill(operation, planned, state, &doubts);
            mark_found(operation, planned, state);
        }
    }
    // What the customer asks for, from the paper as it was issued and the log.
    document.customer = Some(Box::new(customer::pages(&document, facts)));
    // The head was for the people at work, plans and lists are of no use afterwards,
    // and how each figure came about is attached: `figures.json`.
    let shop = (document.head.shop, document.head.shop_lines, document.head.disclaimer);
    (document.head, document.route, document.found) = (Head::default(), None, None);
    (document.head.shop, document.head.shop_lines, document.head.disclaimer) = shop;
    document.pick_list.clear();
    document.torques.clear();
    document.changes.clear();
    document.once.clear();
    document.worksheets.clear();
    sheets::geometry(&mut document, facts);
    sheets::welds(&mut document, facts);
    document.lay_out();
    document.photos = sheets::photos(facts);
    // What the first page shows is not shown again.
    let shown: Vec<&str> = document.customer.iter().flat_map(|c| c.summary.files()).collect();
    document.photos.iter_mut().for_each(|s| s.photos.retain(|p| !shown.contains(&p.file.as_str())));
    document.photos.retain(|s| !s.photos.is_empty());
    document.record = Some(record(facts));
    document.signatures = signing::boxes(facts.signer, state.closed.is_some());
    document
}

/// Date of a time in the log.
fn day(at: &str) -> String {
    at.chars().take(10).collect()
}

/// The days on which a person's arcs burned at these operations: `2026-03-10`, or the first
/// and the last; none where nothing says so.
fn welded_on<'a>(
    facts: &Facts<'a>,
    operations: impl IntoIterator<Item = &'a frozen::Operation>,
    person: &str,
) -> Option<String> {
    let burned = |o: &'a frozen::Operation| arcs(facts.plan.rules, facts.state, o);
    let own = operations.into_iter().flat_map(burned).filter(|mark| mark.by.id == person && !mark.timeless);
    let days: BTreeSet<String> = own.map(|mark| day(&mark.at)).collect();
    let (first, last) = (days.first()?, days.last()?);
    Some(if first == last { first.clone() } else { format!("{first} to {last}") })
}

fn who(mark: &Mark) -> String {
    format!("{}, {}", mark.by.id, moment(&mark.at))
}

fn tick(mark: &Mark) -> Filled {
    Filled {
        remark: mark.corrects.as_ref().map(|(n, why)| format!("replaces entry {n}: {why}")),
        ..Filled::new(mark.by.id.clone()).by(day(&mark.at))
    }
}

/// A reading as it is printed in its box.
fn value(measured: &Measured, mark: &Mark) -> Filled {
    let mut remarks: Vec<String> = Vec::new();
    if measured.verdict.is(Verdict::NotProven) {
        remarks.push("not proven with this instrument".to_owned());
    }
    if let Some((n, why)) = &mark.corrects {
        remarks.push(format!("replaces entry {n}: {why}"));
    }
    let tool = measured.tool.as_ref().map_or(String::new(), |t| format!("{t}, "));
    Filled {
        value: measured.text.clone(),
        by: Some(format!("{tool}{}", who(mark))),
        outside: measured.verdict.is(Verdict::NotConform),
        remark: (!remarks.is_empty()).then(|| remarks.join("; ")),
    }
}

/// What stands behind a word that was chosen before something was found there.
fn beside_founds(plan: &Frozen, state: &State) -> BTreeMap<(String, String), String> {
    let place = |q: &Questioned<'_>| (q.operation.key.clone(), q.reading.id.clone());
    let stand = state.founds.iter().filter(|f| f.words_stand).flat_map(|f| state.words_before(plan, f));
    let stand = stand.map(|q| (place(&q), format!("stands beside {} by the lead's word", q.found.number)));
    let open = state.questioned(plan).into_iter();
    let open =
        open.map(|q| (place(&q), format!("IN QUESTION: chosen before {} was found here", q.found.number)));
    // What is in question counts for more.
    stand.chain(open).collect()
}

fn fill(
    operation: &mut Operation,
    planned: &frozen::Operation,
    state: &State,
    doubts: &BTreeMap<(String, String), String>,
) {
    let key = &planned.key;
    let mut last: Option<&Mark> = None;
    for step in &mut operation.steps {
        let of = planned.steps.iter().find(|s| s.number == step.number);
        if let Some(mark) = of.and_then(|s| state.done(planned, s)) {
            step.done = Some(tick(mark));
            if last.is_none_or(|l| mark.n > l.n) {
                last = Some(mark);
            }
        }
        for reading in &mut step.readings {
            fill_reading(reading, key, state);
            let doubt = doubts.get(&(key.clone(), reading.id.clone()));
            if let (Some(filled), Some(doubt)) = (&mut reading.filled, doubt) {
                let before = filled.remark.take().map_or_else(String::new, |r| format!("{r}; "));
                filled.remark = Some(format!("{before}{doubt}"));
            }
        }
    }
    let last = if planned.levelled() { state.initials(planned) } else { last };
    if let Some(mark) = last.filter(|_| state.lacking_work(planned).is_empty()) {
        operation.initials = Some(Filled::new(mark.by.id.clone()).by(day(&mark.at)));
        operation.done_at = Some(Filled::new(moment(&mark.at)));
    }
    for (points, plans) in [(&mut operation.before, &planned.before), (&mut operation.after, &planned.after)]
    {
        for (point, planned) in points.iter_mut().zip(plans) {
            let signed = state.signatures(key, &planned.slot);
            let second = planned.roles.get(1);
            let (theirs, ours): (Vec<&Signed>, Vec<&Signed>) =
                signed.iter().partition(|s| second.is_some_and(|r| *r == s.mark.by.role));
            point.signed = signature(&point.meaning, &ours);
            point.second_signed = signature(&point.meaning, &theirs);
        }
    }
}

/// What was found while an operation was worked stands in its head, so that who reads
/// the page of the work does not miss it.
fn mark_found(operation: &mut Operation, planned: &frozen::Operation, state: &State) {
    for found in state.founds.iter().filter(|f| f.key == planned.key) {
        let decided = found.disposition.as_ref().map_or("NOT DECIDED", |(what, ..)| what.word());
        let before = operation.notice.take().map(|words| words.then(" ")).unwrap_or_default();
        operation.notice = Some(
            before
                .strong(format!("{} found here: ", found.number))
                .then(format!("{} ({decided}); section 4.", found.text.trim_end_matches('.'))),
        );
    }
}

fn fill_reading(reading: &mut Reading, key: &str, state: &State) {
    if let Some((measured, mark)) = state.reading(key, &reading.id) {
        let mut filled = value(measured, mark);
        // Every time it was taken stands; the last one is in the box.
        let all: Vec<_> = state.all_readings(key, &reading.id).collect();
        for (before, mark) in all.iter().take(all.len().saturating_sub(1)) {
            let words = format!("read before: {}, {} (entry {})", before.text, before.verdict, mark.n);
            filled.remark = Some(filled.remark.map_or_else(|| words.clone(), |r| format!("{r}; {words}")));
        }
        reading.filled = Some(filled);
        // The target in force when it was read, not the one first printed.
        if let Some(target) = &measured.target
            && measured.verdict.decided()
        {
            reading.target = Some(target.clone());
            reading.tolerance = reading.tolerance.as_deref().and_then(others);
        }
    }
}

/// The rules beside a target's own tolerance: sides, another reading. The tolerance
/// stands first among them, with its sign, and goes with the target.
fn others(tolerance: &str) -> Option<String> {
    let rest = match tolerance.strip_prefix('±') {
        Some(own) => own.split_once(", ").map(|(_, rest)| rest),
        None => Some(tolerance),
    };
    rest.map(str::to_owned)
}

/// The signatures of one role; the first role of a point takes what no other
/// role took.
fn signature(meaning: &str, signed: &[&Signed]) -> Option<Signature> {
    let last = signed.last()?;
    let join = |f: &dyn Fn(&Signed) -> String| signed.iter().map(|s| f(s)).collect::<Vec<_>>().join("; ");
    Some(Signature {
        name: join(&|s| s.mark.by.name.clone()),
        id: join(&|s| format!("{}, {}", s.mark.by.id, s.mark.by.role)),
        mark: join(&|s| {
            if s.waived {
                return format!("nobody came: {} (entry {})", s.how, s.mark.n);
            }
            let rests_on = if s.mark.rests_on.is_empty() {
                String::new()
            } else {
                format!("; {}", s.mark.rests_on.join(", "))
            };
            let what = if s.seen_by.is_some() { "" } else { "signed in the record, " };
            let entered = s.mark.entered.as_ref().map(|at| format!("; entered {}", moment(at)));
            let entered = entered.unwrap_or_default();
            format!("{meaning}: {what}entry {}, {}{rests_on}{entered}", s.mark.n, s.how)
        }),
        at: moment(&last.mark.at),
    })
}

/// Whether an entry is printed in words: what was decided, changed, corrected,
/// read outside its limits or rests on trust. What was done as planned stands in
/// its box, and the log inside the file has every entry.
#[must_use]
pub fn told(entry: &Entry) -> bool {
    let departs = match &entry.what {
        Action::Tick { .. } | Action::Sign { .. } => false,
        Action::Measure { reading } => {
            reading.verdict.is(Verdict::NotConform) || reading.verdict.is(Verdict::NotProven)
        }
        _ => true,
    };
    departs
        || entry.corrects.is_some()
        || entry.book.as_deref() == Some(WITHOUT_BOOK)
        || entry.entered_later().is_some()
}

fn record(facts: &Facts<'_>) -> RecordSheet {
    let entries = facts
        .entries
        .iter()
        .zip(facts.hashes)
        .filter(|(entry, _)| told(entry))
        .map(|(entry, hash)| RecordEntry {
            number: u32::try_from(entry.n).unwrap_or(u32::MAX),
            at: moment(&entry.at),
            who: format!("{} ({})", entry.by.name, entry.by.role),
            what: words(entry),
            hash: hash.chars().take(12).collect(),
        })
        .collect();
    let note = vec![Words::plain(
        "Each entry carries the hash (SHA-256) of the one before. Printed here: what was decided, changed, corrected, read outside its limits or rests on trust. What was done as planned stands in its box; the attached log has every entry.",
    )];
    RecordSheet { note, entries, seals: Vec::new() }
}

/// What it says in a line, without who and when.
#[must_use]
pub fn words(entry: &Entry) -> String {
    let text = match &entry.what {
        Action::Issued { issue } => format!("issued {} rev {}", issue.number, issue.revision),
        Action::Revised { from, issue, reason, kept, reopened, removed } => format!(
            "revised {from} to {}: {reason}; {} operations kept, {} start again, {} removed",
            issue.revision,
            kept.len(),
            reopened.len(),
            removed.len()
        ),
        Action::Tick { operation, step: Some(step), .. } => format!("{}.{step} done", operation.number),
        Action::Tick { operation, step: None, .. } => format!("{} initialled as done", operation.number),
        Action::Measure { reading } => {
            let tool = reading.tool.as_ref().map_or(String::new(), |t| {
                let until = reading.calibrated_until.as_ref();
                format!(" with {t}{}", until.map_or(String::new(), |u| format!(" (calibrated until {u})")))
            });
            let wanted = reading
                .target
                .as_ref()
                .filter(|_| reading.verdict.decided())
                .map_or(String::new(), |t| format!(", wanted {t}"));
            format!(
                "{}.{} read{tool}: {}{wanted}: {}",
                reading.operation.number, reading.reading, reading.text, reading.verdict
            )
        }
        Action::Sign { point, operation, meaning, identified, .. } => {
            format!("{point} at {} signed as {}: {meaning} ({identified})", operation.number, entry.by.role)
        }
        Action::SeenOnPaper { point, operation, meaning, identified, place, signer, .. } => format!(
            "{point} at {}: signed on paper, {place}, by {} ({}) as {}: {meaning}; seen there ({identified})",
            operation.number, signer.name, signer.id, signer.role
        ),
        Action::WitnessWaived { point, operation, notice, .. } => {
            format!("{point} at {}: nobody came to witness; notice: {notice}", operation.number)
        }
        Action::TesterWaived { operation, reading, reason, tester } => format!(
            "{} ({}) may test at {}.{reading} without a certificate: {reason}",
            tester.name, tester.id, operation.number
        ),
        Action::Found { found, operation, text, photos, reading } => {
            let at = reading
                .as_ref()
                .map_or_else(|| operation.number.to_string(), |r| format!("{}.{r}", operation.number));
            let photos =
                if photos.is_empty() { String::new() } else { format!(" ({} photos)", photos.len()) };
            format!("{found} found at {at}: {text}{photos}")
        }
        Action::Photographed { operation, photos, reading, shows, step } => {
            let part = reading.clone().or_else(|| step.map(|s| s.to_string()));
            let at = part
                .map_or_else(|| operation.number.to_string(), |part| format!("{}.{part}", operation.number));
            format!("{at} photographed {shows} ({} photos)", photos.len())
        }
        Action::Bars { bars } => bars.words(),
        Action::Disposition { found, disposition, reason, words_stand } => {
            let stand = if *words_stand { format!("; {WORDS_STAND}") } else { String::new() };
            format!("{found}: {disposition}; {reason}{stand}")
        }
        Action::Withdrawn {} => "taken back".to_owned(),
        Action::Closed { follow_ups, identified } => {
            let how = if identified.is_empty() { String::new() } else { format!(" ({identified})") };
            format!("closed; {} follow-ups{how}", follow_ups.len())
        }
        Action::TornLine { bytes, file, .. } => {
            format!("a torn last line of {bytes} bytes, never confirmed, was set aside in {file}")
        }
    };
    let text = match &entry.what {
        Action::Tick { rests_on, .. } | Action::Sign { rests_on, .. } if !rests_on.is_empty() => {
            format!("{text}; by {}", rests_on.join(", "))
        }
        _ => text,
    };
    let mut text = match &entry.corrects {
        Some(c) => format!("{text} (replaces entry {}: {})", c.entry, c.reason),
        None => text,
    };
    if let Some(how) = &entry.identified {
        text.push_str(&format!(" ({how})"));
    }
    if entry.book.as_deref() == Some(WITHOUT_BOOK) {
        text.push_str(" (without the shop book)");
    }
    if let Some(taken) = &entry.taken_in {
        let picture = taken.picture.as_ref().map_or_else(String::new, |p| {
            format!("; a picture of paper, {}, showed \"{}\", compared by {}", p.place, p.showed, p.compared)
        });
        text.push_str(&format!(" (taken in by {} from {}, {}{picture})", taken.by, taken.way, taken.place));
    }
    if let Some(undone) = &entry.undoes {
        text.push_str(&format!(" ({})", undone.words()));
    }
    if let Some(clock) = entry.entered_later() {
        text.push_str(&format!(" (entered {})", moment(&stamp(&clock))));
    }
    text
}
