//! What was fitted, with the numbers and lots that were written down.

use std::borrow::Cow;

use super::super::super::super::document::{Document, PartFitted, Section};
use super::super::Facts;
use super::Taken;
use super::rows::written;
use crate::plan::Words;
use crate::term::customer::{Row, Section as Stands};

/// The list: what was settled and the numbers as written, then what the plan meant to fit.
pub(super) fn section(document: &Document, facts: &Facts<'_>) -> Section<PartFitted> {
    let part = |(t, row): &(Taken<'_>, Cow<'_, Row>)| {
        let asked = t.reading.lot.as_ref().map(|l| l.designations.join(" or ")).filter(|d| !d.is_empty());
        let of = row.name.as_ref().map_or_else(String::new, |name| format!(" ({name})"));
        let what = if row.section == Stands::Settled { &row.row } else { &t.reading.label };
        PartFitted {
            what: asked.map_or_else(|| format!("{what}{of}"), |d| format!("{what}{of} ({d})")),
            named: t.measured.text.clone(),
            by: format!("operation {}, {}", t.operation.number, t.by()),
        }
    };
    let mut rows: Vec<PartFitted> = written(facts, Stands::Settled).iter().map(part).collect();
    rows.extend(written(facts, Stands::Parts).iter().map(part));
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
        _ => notes.push(Words::plain("What was settled, and numbers and lots, as they were written down.")),
    }
    if !fitted.is_empty() {
        notes.push(
            Words::default()
                .strong("Planned to be fitted or used; numbers that were asked for stand here: ")
                .then(format!("{}.", fitted.join("; "))),
        );
    }
    Section { notes, rows }
}
