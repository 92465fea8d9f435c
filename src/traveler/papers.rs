//! The work papers: what the traveler was made from, in a file of its own, so
//! that the copy at the bench holds only what is read and written there.

use super::document::{Document, Fact, FoundSheet, Head, Meta};
use crate::plan::Words;

/// Takes out of a worded document what nobody writes on at the bench: order of
/// the work, geometry table, tools, pick list, changes, values that stand once,
/// worksheets. Gives the
/// bench copy and the work papers.
#[must_use]
pub fn split(document: Document) -> (Document, Document) {
    let mut bench = document;
    let facts: Vec<Fact> = bench.head.facts.iter().filter(|f| f.value.is_some()).cloned().collect();
    let papers = Document {
        meta: Meta {
            kind: "Work papers".to_owned(),
            title: bench.meta.title.replacen("Job traveler", "Work papers", 1),
            ident: format!("{} papers", bench.meta.ident),
            ..bench.meta.clone()
        },
        running: bench.running.clone(),
        logo: bench.logo.clone(),
        head: Head {
            shop: bench.head.shop.clone(),
            shop_lines: bench.head.shop_lines.clone(),
            facts,
            scope: vec![Words::plain(
                "What the traveler was made from: the order of the work, the geometry, what to fetch, \
                 and how each figure came about. What is measured is written in the traveler, not here.",
            )],
            tools: std::mem::take(&mut bench.head.tools),
            disclaimer: bench.head.disclaimer.clone(),
            ..Head::default()
        },
        route: bench.route.take(),
        geometry: bench.geometry.take(),
        weld_map: bench.weld_map.take(),
        pick_list: std::mem::take(&mut bench.pick_list),
        torques: std::mem::take(&mut bench.torques),
        // A blank form is copied when something is found: at the bench stand the
        // rule and what was found already.
        found: bench.found.clone().map(|form| FoundSheet { entries: Vec::new(), ..form }),
        changes: bench.changes.clone(),
        once: std::mem::take(&mut bench.once),
        worksheets: std::mem::take(&mut bench.worksheets),
        ..Document::default()
    };
    if let Some(found) = &mut bench.found {
        found.blanks = 0;
    }
    (bench, papers)
}

/// States on the bench copy which work papers belong to it.
#[must_use]
pub fn named(sha256: &str) -> Fact {
    let short: String = sha256.chars().take(16).collect();
    Fact::new("work papers, SHA-256", format!("{short} …"))
}
