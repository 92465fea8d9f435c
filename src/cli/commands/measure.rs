//! `measure`: a reading, judged at once, with what is computed again.

use serde_json::json;

use super::record::{replaced, warn, with};
use crate::app::plan::Failure;
use crate::app::record::RecordHost;
use crate::app::record::measure::{Ask, Judged, measure};
use crate::cli::args::record::Measure;
use crate::cli::{Ending, terminal};

pub(super) fn run(host: &dyn RecordHost, args: &Measure) -> Result<Ending, Failure> {
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
            json_of(&judged);
        } else {
            text(&judged);
        }
        Ok(Ending::Done)
    })
}

fn text(judged: &Judged) {
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

fn json_of(judged: &Judged) {
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
