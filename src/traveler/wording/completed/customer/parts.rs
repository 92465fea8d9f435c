//! What was fitted, with the numbers and lots that were written down.

use super::super::super::super::document::{Document, PartFitted, Section};
use super::super::Facts;
use super::taken;
use crate::plan::Words;
use crate::term::counted;

/// Ids of readings that name a part by its number or mark, beside lots.
const NAMED: &[&str] = &["lot", "heat", "batch", "mark", "marks", "hose", "serial", "number"];

/// The list: numbers as written, then what has none.
pub(super) fn section(document: &Document, facts: &Facts<'_>) -> Section<PartFitted> {
    let rows: Vec<PartFitted> = taken(facts)
        .filter(|t| t.reading.limits.is_none() && t.reading.choices.is_empty())
        .filter(|t| t.reading.lot.is_some() || NAMED.contains(&t.stem()))
        .map(|t| {
            let asked = t.reading.lot.as_ref().map(|l| l.designations.join(" or ")).filter(|d| !d.is_empty());
            PartFitted {
                what: asked.map_or_else(|| t.reading.label.clone(), |d| format!("{} ({d})", t.reading.label)),
                named: t.measured.text.clone(),
                by: format!("operation {}, {}", t.operation.number, t.by()),
            }
        })
        .collect();
    let fitted: Vec<String> = document
        .pick_list
        .iter()
        .filter(|g| g.title.starts_with("Material"))
        .flat_map(|g| &g.rows)
        .map(|row| {
            let quantity = if row.quantity.is_empty() { String::new() } else { format!("{} ", row.quantity) };
            let detail = row
                .detail
                .as_ref()
                .filter(|d| !d.starts_with("for "))
                .map_or(String::new(), |d| format!(" ({d})"));
            format!("{quantity}{}{detail}", row.what)
        })
        .collect();
    let mut notes = Vec::new();
    match (rows.len(), fitted.len()) {
        (0, 0) => {
            notes.push(Words::plain("No part with a number or lot of its own was asked for on this job."));
        }
        (0, _) => notes.push(Words::plain("No number or lot was written down.")),
        (n, _) => notes.push(Words::plain(format!(
            "{} written down.",
            counted(n, "number or lot was", "numbers and lots were")
        ))),
    }
    if !fitted.is_empty() {
        notes.push(
            Words::default()
                .strong("Planned to be fitted or used, no number asked for: ")
                .then(format!("{}.", fitted.join("; "))),
        );
    }
    Section { notes, rows }
}
