//! The slip for the bench: one page with what changed by a reading.

use std::path::PathBuf;

use super::desk::Desk;
use super::files::RecordHost;
use super::folder;
use super::judged::Judged;
use super::recompute::Now;
use crate::app::plan::Failure;
use crate::plan::Words;
use crate::record::log::stamp;
use crate::render;
use crate::traveler::document::{Document, Fact, Head};
use crate::traveler::wording::{meta, running};

/// Most targets on the page; they come first.
const TARGETS: usize = 40;
/// Lines of targets and figures the page has room for.
const LINES: usize = 34;

/// Writes the slip; gives its path.
///
/// # Errors
/// If it can't be typeset or written.
pub fn write(host: &dyn RecordHost, desk: &Desk, now: &Now, judged: &Judged) -> Result<PathBuf, Failure> {
    let document = document(desk, now, judged);
    let rendered = render::pdf(&document, &[]).map_err(|e| Failure::System(e.to_string()))?;
    let path = folder::slip(&desk.folder, judged.entry.n);
    folder::write(host, &desk.folder, &path, &rendered.bytes)?;
    Ok(path)
}

/// A page for the bench: what an entry changed, new targets first.
#[must_use]
pub fn document(desk: &Desk, now: &Now, judged: &Judged) -> Document {
    let subject = now.subject();
    let mut meta = meta(&subject);
    "Bench slip".clone_into(&mut meta.kind);
    let last = desk.entries.last();
    meta.title =
        format!("Bench slip {} rev {}, entry {}", desk.plan.number, desk.plan.revision, judged.entry.n);
    if let Some(at) = last.and_then(crate::record::Entry::time) {
        meta.issued = at.to_utc();
    }
    let mut running = running(&subject);
    // The paper it goes with, not the plan it was computed from.
    running.digest = desk.plan.digest.chars().take(9).collect();
    running.validity = format!(
        "Valid with {} rev {} until entry {} is corrected.",
        desk.plan.number, desk.plan.revision, judged.entry.n
    );
    Document {
        meta,
        running,
        head: Head {
            shop: now.loaded.job.shop.as_ref().map_or_else(String::new, |s| s.name.value.0.clone()),
            facts: facts(desk, judged),
            scope: scope(judged),
            ..Head::default()
        },
        ..Document::default()
    }
}

/// What changed: new targets, then the figures they rest on.
fn scope(judged: &Judged) -> Vec<Words> {
    let mut scope = vec![Words::plain(
        "Computed again from what was measured. Where this slip and the traveler differ, this slip holds. The instrument decides; marks are a cross-check.",
    )];
    if !judged.targets.is_empty() {
        scope.push(Words::default().strong("New targets; they take the place of the printed ones."));
    }
    // One paragraph an operation: a welder looks for its number.
    let mut number = None;
    for one in judged.targets.iter().take(TARGETS) {
        if number != Some(one.operation) {
            scope.push(Words::default().strong(format!("{}  ", one.operation)));
        } else if let Some(line) = scope.last_mut() {
            line.0.extend(Words::plain("; ").0);
        }
        number = Some(one.operation);
        if let Some(line) = scope.last_mut() {
            let words = Words::plain(format!("{}: ", one.label))
                .strong(one.now.clone())
                .then(format!(" (was {})", one.before));
            line.0.extend(words.0);
        }
    }
    let figures = LINES.saturating_sub(judged.targets.len().min(TARGETS));
    if figures > 0 && !judged.changed.is_empty() {
        scope.push(Words::default().strong("What they rest on."));
    }
    for one in judged.changed.iter().take(figures) {
        scope.push(
            Words::plain(format!("{}: ", one.what))
                .strong(one.now.clone())
                .then(format!(" (before {})", one.before)),
        );
    }
    let left = judged.targets.len().saturating_sub(TARGETS);
    if left > 0 {
        scope.push(Words::default().strong(format!(
            "{left} more targets changed: `tackwright status` and the screen show all of them."
        )));
    }
    let more = judged.changed.len().saturating_sub(figures);
    if more > 0 {
        scope.push(Words::plain(format!("{more} more figures changed; the screen shows all of them.")));
    }
    scope
}

/// The reading, where the log stands, and what comes next.
fn facts(desk: &Desk, judged: &Judged) -> Vec<Fact> {
    let mut facts =
        vec![Fact::new("reading", judged.words.clone()), Fact::new("entry", judged.entry.n.to_string())];
    facts.push(Fact::new("head of the log", judged.entry.hash.get(..16).unwrap_or_default().to_owned()));
    facts.push(Fact::new(
        "next operation",
        desk.state.next(&desk.plan).map_or_else(
            || "none".to_owned(),
            |o| format!("{} {} {}", o.number, o.verb.to_uppercase(), o.title),
        ),
    ));
    if let Some(entry) = desk.entries.last() {
        facts.push(Fact::new("read by", format!("{} ({})", entry.by.name, entry.by.id)));
        facts.push(Fact::new("when", entry.time().map_or_else(|| entry.at.clone(), |t| stamp(&t))));
    }
    facts
}
