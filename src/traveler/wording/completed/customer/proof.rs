//! Instruments, revisions, and how to check this file.

use std::collections::BTreeMap;

use super::super::super::super::document::{Document, Fact, Instrument, Proof, Section};
use super::super::{Facts, day, sheets, signing};
use super::prints;
use crate::plan::Words;
use crate::record::calibration;
use crate::record::entry::{Measured, entry};
use crate::record::state::Mark;
use crate::term::counted;

pub(super) fn proof(document: &Document, facts: &Facts<'_>) -> Proof {
    let mut seals = vec![
        Fact::new("entries in the log", facts.entries.len().to_string()),
        Fact::new("the attached log (log.jsonl), SHA-256", facts.log),
        Fact::new("hash of the last entry", facts.hashes.last().cloned().unwrap_or_default()),
        Fact::new("list of frozen files (manifest.json), SHA-256", facts.content),
        Fact::new("plan", facts.plan.digest.clone()),
    ];
    seals.push(match facts.signer {
        Some(signer) => Fact::new("root of the shop's signature, SHA-256", signing::grouped(signer.root)),
        None => Fact::new("signature of the shop", "none"),
    });
    let mut notes = vec![
        Words::default()
            .strong("To check it: ")
            .then("tackwright verify FILE.pdf --trust ROOT, with the root from the head page of the traveler you were given. It goes through every entry again by the rules, computes the figures again and makes these pages again. Any PDF reader shows whether the shop's signature holds; any program that computes SHA-256 can compare the attached files with the digests here."),
        Words::default()
            .strong("That proves ")
            .then("that nobody changed the record since, and that the pages say what the log says. It can't prove that what was written is what was done, or that an id was used by its owner. Every entry is in the attached log; the job, the plan and the figures are attached as well."),
    ];
    if !facts.plan.sheets.is_empty() {
        // The same count as among the exceptions; what no operation works by is no doubt.
        let measured = facts.plan.sheets.iter().filter(|s| facts.state.bars_of(s).is_some());
        let mut all: Vec<String> = measured.map(|s| facts.state.sheet(s)).collect();
        let open = prints::unmeasured(facts).count();
        let spare = facts.plan.sheets.len() - all.len() - open;
        if open > 0 {
            let prints = counted(open, "sheet in use", "sheets in use");
            all.push(format!("bars of {prints} never measured, see section 4"));
        }
        if spare > 0 {
            all.push(format!("{spare} more that no operation works by"));
        }
        notes.push(Words::default().strong("Sheets at full size: ").then(format!("{}.", all.join("; "))));
    }
    Proof {
        instruments: instruments(document, facts),
        changes: sheets::changes(document, facts),
        notes,
        seals,
    }
}

/// Every tool a reading names, earlier readings too.
fn instruments(document: &Document, facts: &Facts<'_>) -> Section<Instrument> {
    let mut used: BTreeMap<&str, Vec<(&Measured, &Mark)>> = BTreeMap::new();
    for operation in &facts.plan.operations {
        for reading in operation.readings() {
            for (measured, mark) in facts.state.all_readings(&operation.key, &reading.id) {
                if let Some(tool) = &measured.tool {
                    used.entry(tool).or_default().push((measured, mark));
                }
            }
        }
    }
    let rows: Vec<Instrument> = used
        .into_iter()
        .map(|(id, all)| {
            let until = all.iter().filter_map(|(m, _)| m.calibrated_until.as_deref()).min();
            let last = all.iter().map(|(_, mark)| day(&mark.at)).max().unwrap_or_default();
            let late =
                |n: u64| entry(facts.entries, n).and_then(|e| calibration::late(facts.plan, e)).is_some();
            let by_clock = all.iter().any(|(_, mark)| late(mark.n));
            let what = document
                .head
                .tools
                .iter()
                .find(|t| t.id == id)
                .map_or("not on the list of the paper", |t| t.what.as_str());
            Instrument {
                id: id.to_owned(),
                what: what.to_owned(),
                until: until.unwrap_or("NOT KNOWN").to_owned(),
                readings: all.len().to_string(),
                bad: by_clock || until.is_none_or(|until| last.as_str() > until),
                last,
            }
        })
        .collect();
    let note = if rows.is_empty() {
        "No reading names an instrument."
    } else if rows.iter().any(|r| r.bad) {
        "Those marked were used with a calibration that had ended, by the time stated or by the clock (section 4), or that is not known."
    } else {
        "Each was in calibration on the last day it was used."
    };
    Section { notes: vec![Words::plain(note)], rows }
}
