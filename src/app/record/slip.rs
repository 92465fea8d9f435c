//! The slip for the bench: one page with what changed by a reading.

use std::path::PathBuf;

use super::desk::Desk;
use super::files::RecordHost;
use super::measure::Judged;
use super::recompute::Now;
use super::system;
use crate::app::plan::Failure;
use crate::record::log::stamp;
use crate::render;
use crate::traveler::document::{Document, Fact, Head, Operation, Reading, Step, Words};

/// Most figures and most targets on the page.
const MOST: usize = 14;

/// Writes the slip; gives its path.
///
/// # Errors
/// If it can't be typeset or written.
pub fn write(host: &dyn RecordHost, desk: &Desk, now: &Now, judged: &Judged) -> Result<PathBuf, Failure> {
    let document = document(desk, now, judged);
    let rendered = render::pdf(&document, &[]).map_err(|e| Failure::System(e.to_string()))?;
    let path = desk.folder.join("slips").join(format!("entry-{:06}.pdf", judged.entry.n));
    host.write(&path, &rendered.bytes).map_err(|e| system(&path, e))?;
    Ok(path)
}

/// The page.
#[must_use]
pub fn document(desk: &Desk, now: &Now, judged: &Judged) -> Document {
    let next = desk.state.next(&desk.plan);
    let mut meta = now.document.meta.clone();
    "Bench slip".clone_into(&mut meta.kind);
    let last = desk.entries.last();
    meta.title =
        format!("Bench slip {} rev {}, entry {}", desk.plan.number, desk.plan.revision, judged.entry.n);
    if let Some(at) = last.and_then(crate::record::Entry::time) {
        meta.issued = at.to_utc();
    }
    let mut running = now.document.running.clone();
    running.validity = format!(
        "Valid with {} rev {} until entry {} is corrected.",
        desk.plan.number, desk.plan.revision, judged.entry.n
    );
    let mut steps: Vec<Step> = Vec::new();
    for one in judged.changed.iter().take(MOST) {
        let text = Words::plain(format!("{}: ", one.what))
            .strong(one.now.clone())
            .then(format!(" (before {}). {}", one.before, one.formula));
        steps.push(Step { text, ..Step::default() });
    }
    let mut boxes: Vec<Reading> = Vec::new();
    for one in judged.targets.iter().take(MOST) {
        boxes.push(Reading {
            label: format!("operation {}: {}", one.operation, one.label),
            target: Some(one.now.clone()),
            ..Reading::default()
        });
    }
    if !boxes.is_empty() {
        let text =
            Words::plain("New targets of the readings that follow. They take the place of the printed ones.");
        steps.push(Step { text, readings: boxes, ..Step::default() });
    }
    for (step, number) in steps.iter_mut().zip(1_u32..) {
        step.number = number;
    }
    let mut facts =
        vec![Fact::new("reading", judged.words.clone()), Fact::new("entry", judged.entry.n.to_string())];
    if let Some(entry) = last {
        facts.push(Fact::new("read by", format!("{} ({})", entry.by.name, entry.by.id)));
        facts.push(Fact::new("when", entry.time().map_or_else(|| entry.at.clone(), |t| stamp(&t))));
    }
    Document {
        meta,
        running,
        head: Head {
            shop: now.document.head.shop.clone(),
            facts,
            scope: vec![Words::plain(
                "Computed again from what was measured. Where this slip and the traveler differ, this slip holds. The instrument decides; marks are a cross-check.",
            )],
            ..Head::default()
        },
        operations: vec![Operation {
            number: next.map_or(0, |o| o.number),
            verb: next.map_or_else(String::new, |o| o.verb.clone()),
            title: next.map_or_else(|| "next operation".to_owned(), |o| o.title.clone()),
            station: next.map_or_else(String::new, |o| o.station.clone()),
            steps,
            ..Operation::default()
        }],
        ..Document::default()
    }
}
