//! Fills the paper that was issued with what the record says: the completed
//! record for the customer.
//!
//! In: the blank document as it was frozen, the plan and the folded log. Out:
//! the same document with its boxes filled, the entries behind it, and the
//! drawings made again from measured values.

mod sheets;
pub mod signing;

use super::super::document::{
    Document, Fact, Filled, Geometry, Operation, Reading, RecordEntry, RecordSheet, Signature,
};
use crate::plan::Words;
use crate::record::Entry;
use crate::record::entry::{Action, Measured, WITHOUT_BOOK};
use crate::record::frozen::{self, Frozen};
use crate::record::log::stamp;
use crate::record::state::{Mark, Signed, State};
use crate::term::Verdict;

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
    /// Digest of the frozen files.
    pub content: &'a str,
    /// Who signs for the shop; none if it has no key.
    pub signer: Option<signing::Signer<'a>>,
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
    for operation in document.operations.iter_mut().chain(&mut document.after_hand_over) {
        if let Some(planned) = plan.operations.iter().find(|o| o.number == operation.number) {
            fill(operation, planned, state);
        }
    }
    head(&mut document, facts);
    // Plans of the work and lists to pick from are of no use afterwards.
    document.route = None;
    document.pick_list.clear();
    // How each figure came about is attached: `figures.json`.
    document.worksheets.clear();
    sheets::geometry(&mut document, facts);
    sheets::welds(&mut document, facts);
    sheets::torques(&mut document, facts);
    document.lay_out();
    document.found = sheets::found(&document, facts);
    document.photos = sheets::photos(facts);
    sheets::changes(&mut document, facts);
    document.record = Some(record(facts));
    document.signatures = signing::boxes(facts.signer, state.closed.is_some());
    document
}

/// Date of a time in the log.
fn day(at: &str) -> String {
    at.chars().take(10).collect()
}

/// Date and time of a time in the log, to the minute, with offset.
fn moment(at: &str) -> String {
    match (at.get(..10), at.get(11..16), at.get(19..)) {
        (Some(date), Some(time), Some(offset)) => format!("{date} {time} {offset}"),
        _ => at.to_owned(),
    }
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

fn fill(operation: &mut Operation, planned: &frozen::Operation, state: &State) {
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
        }
    }
    let last = if planned.levelled() { state.initials(planned) } else { last };
    if let Some(mark) = last.filter(|_| state.lacking_work(planned).is_empty()) {
        operation.initials = Some(Filled::new(mark.by.id.clone()));
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
            reading.tolerance = None;
        }
    }
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
            format!("{meaning}: {what}entry {}, {}{rests_on}", s.mark.n, s.how)
        }),
        at: moment(&last.mark.at),
    })
}

fn head(document: &mut Document, facts: &Facts<'_>) {
    let state = facts.state;
    for entry in &mut document.head.points {
        let found = facts
            .plan
            .operations
            .iter()
            .find_map(|o| o.points().find(|p| p.number == entry.number).map(|p| (o, p)));
        if let Some((operation, point)) = found
            && let Some(signed) = state.signatures(&operation.key, &point.slot).last()
        {
            let all = state.signatures(&operation.key, &point.slot);
            let who: Vec<&str> =
                all.iter().map(|s| if s.waived { "waived" } else { s.mark.by.id.as_str() }).collect();
            entry.signed = Some(Filled::new(who.join(", ")).by(day(&signed.mark.at)));
        }
    }
    if let Some((mark, follow_ups)) = &state.closed {
        document.head.facts.push(Fact::new("closed", format!("{} by {}", day(&mark.at), mark.by.name)));
        if let Some(first) = follow_ups.iter().map(|f| &f.due).min() {
            document.head.facts.push(Fact::new("next check due", first.clone()));
        }
    }
    summary(document, facts);
    doubts(document, facts);
    document.head.blanks.clear();
    // Those were for the people at work; the customer's own stands below.
    document.head.cautions.clear();
    let vehicle = document.geometry.is_some();
    document.head.scope.push(if vehicle { Words::default().strong("This unit was changed. ").then(
        "It sits, steers, brakes and leans differently than it left its maker. Drive it slowly at first, on a closed road. Have everything that was loosened checked at the mileage named here. Tell every driver, the insurer and the next workshop; keep this record with the unit.",
    ) } else { Words::default().strong("This part was made or changed as written here. ").then(
        "Use it only for what it was made for and within the load it was made for. Have its welds looked at after the first use and then as the rules for such parts ask. Keep this record with it.",
    ) });
}

/// What a reader must know before he relies on the signatures: who was not
/// identified, what was entered without the book, or at another time.
fn doubts(document: &mut Document, facts: &Facts<'_>) {
    let mut by_id: Vec<&str> = Vec::new();
    let (mut unsure, mut without, mut later) = (0, 0, 0);
    for entry in facts.entries {
        if entry.identified().is_some_and(|how| !how.starts_with("pin")) {
            unsure += 1;
            if !by_id.contains(&entry.by.id.as_str()) {
                by_id.push(&entry.by.id);
            }
        }
        without += usize::from(entry.book.as_deref() == Some(WITHOUT_BOOK));
        later += usize::from(entry.entered_later().is_some());
    }
    let mut words: Vec<String> = Vec::new();
    if unsure > 0 {
        words.push(format!(
            "{unsure} signatures and decisions rest on an id alone, without a PIN: {}",
            by_id.join(", ")
        ));
    }
    if without > 0 {
        words.push(format!("{without} entries were made without the shop book"));
    }
    if later > 0 {
        words.push(format!("{later} entries were written down at another time than they state"));
    }
    if !words.is_empty() {
        let line = Words::default().strong("Rest on trust. ").then(format!("{}.", words.join("; ")));
        document.head.scope.push(line);
    }
}

/// What was asked, found and done, and what comes next, in a few sentences.
fn summary(document: &mut Document, facts: &Facts<'_>) {
    let state = facts.state;
    if let Some(first) = document.head.scope.first_mut() {
        let asked = std::mem::take(first);
        *first = Words::default().strong("Asked. ");
        first.0.extend(asked.0);
    }
    let mut found = Words::default().strong("Found. ");
    if state.founds.is_empty() {
        found = found.then("Nothing the plan did not foresee.");
    }
    for one in &state.founds {
        let decided = one.disposition.as_ref().map_or("no disposition yet", |(what, ..)| what.as_str());
        found = found.then(format!("{}: {} ({decided}). ", one.number, one.text));
    }
    let work: Vec<_> = facts.plan.operations.iter().filter(|o| !o.deferred).collect();
    let finished = work.iter().filter(|o| state.lacking(o).is_empty()).count();
    let judged: Vec<&Measured> =
        state.readings.values().map(|(m, _)| m).filter(|m| m.verdict.decided()).collect();
    let conform = judged.iter().filter(|m| m.verdict.is(Verdict::Conform)).count();
    let signed = state.points.values().flatten().filter(|s| !s.waived).count();
    let waived = state.points.values().flatten().filter(|s| s.waived).count();
    let mut done = Words::default().strong("Done. ").then(format!(
        "{finished} of {} operations, {} readings written down, {} of them judged against limits: {conform} conform",
        work.len(),
        state.readings.len(),
        judged.len()
    ));
    if conform < judged.len() {
        done = done.then(format!("; {} stand by the disposition of the shop lead", judged.len() - conform));
    }
    done = done.then(format!(". {signed} signatures at hold, witness and review points"));
    if waived > 0 {
        done = done.then(format!("; {waived} witness points went on after notice with nobody there"));
    }
    done = done.then(".");
    document.head.scope.extend([found, done]);
    if let Some((_, follow_ups)) = &state.closed
        && !follow_ups.is_empty()
    {
        let mut next = Words::default().strong("To be checked next. ");
        for one in follow_ups {
            let operation = facts.plan.operations.iter().find(|o| o.key == one.operation.key);
            let title = operation.map_or("follow-up", |o| o.title.as_str());
            next = next.then(format!("{title}, by {}. ", one.due));
        }
        document.head.scope.push(next);
    }
}

/// Whether an entry is printed in words: what was decided, changed, corrected,
/// read outside its limits or rests on trust. What was done as planned stands in
/// its box, and the log inside the file has every entry.
fn told(entry: &Entry) -> bool {
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
    let note = vec![
        Words::plain(
            "Every entry carries the hash (SHA-256) of the one before; a change of one shows in all that follow. Printed here: what was decided, changed, corrected, read outside its limits or rests on trust. What was done as planned stands in its box; the attached log has every entry.",
        ),
        Words::plain(
            "Check it with: tackwright verify FILE.pdf. That proves the record is whole and the pages state what it says. It can't prove that what was written is what was done.",
        ),
    ];
    let mut seals = vec![
        Fact::new("entries", facts.entries.len().to_string()),
        Fact::new("hash of the last entry", facts.hashes.last().cloned().unwrap_or_default()),
        Fact::new("digest of the frozen files", facts.content),
        Fact::new("digest of the plan", facts.plan.digest.clone()),
    ];
    seals.push(match facts.signer {
        Some(signer) => Fact::new("root of the shop's signature (SHA-256)", signing::grouped(signer.root)),
        None => Fact::new("signature of the shop", "none"),
    });
    RecordSheet { note, entries, seals }
}

/// An entry in words.
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
        Action::Tick { operation, step: None, .. } => format!("{} done, all steps", operation.number),
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
        Action::Disposition { found, disposition, reason } => format!("{found}: {disposition}; {reason}"),
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
    if let Some(clock) = entry.entered_later() {
        text.push_str(&format!(" (entered {})", moment(&stamp(&clock))));
    }
    text
}
