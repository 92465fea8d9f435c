//! One table: as found, planned, limit, as left, verdict.

use std::collections::BTreeSet;

use super::super::super::super::document::{OutcomeRow, Section};
use super::super::Facts;
use super::lines::{Line, STANDS, lines, of_figure};
use super::{figure, sentence};
use crate::form::{BoxName, Part};
use crate::plan::Words;

/// What is computed alone, before and after: how it is called and its figures.
const COMPUTED: &[(&str, &str, &str)] = &[
    ("side stability factor", "stability_before", "stability_after"),
    ("approach angle", "approach_before", "approach_after"),
    ("departure angle", "departure_before", "departure_after"),
    ("breakover angle", "breakover_before", "breakover_after"),
];

/// What the sign of a value says, beside the figure its row is of.
const SIGNS: &[(&str, &str)] = &[
    ("caster_target", "caster is positive with the top of the kingpin to the rear"),
    ("camber_after", "camber is positive with the top of the wheel outward"),
    ("pinion_now", "the pinion is positive with its nose up"),
];

fn row(line: &Line<'_>) -> OutcomeRow {
    let place = |(operation, reading): (&crate::record::frozen::Operation, &str)| BoxName {
        operation: operation.key.clone(),
        part: Part::Reading(reading.to_owned()),
    };
    OutcomeRow {
        what: line.what(),
        side: line.row.side.map(|s| s.word().to_owned()),
        found: line.found.clone(),
        planned: line.planned.as_deref().map(in_one_unit),
        limit: line.limit.as_deref().map(in_one_unit),
        left: line.left.as_ref().map(|left| left.text.clone()),
        verdict: line.verdict.clone(),
        bad: line.bad,
        operation: line.operation.map(|o| o.number),
        place: line.operation.zip(line.reading).filter(|_| line.left.is_some()).map(place),
    }
}

/// A target without its second unit, as the box it stands beside has room for one:
/// `0.001 in (0.03 mm) to 0.005 in (0.12 mm)` is `0.001 in to 0.005 in`.
fn in_one_unit(text: &str) -> String {
    let mut told = String::new();
    let mut rest = text;
    while let Some((before, inside)) = rest.split_once(" (") {
        let Some((second, after)) = inside.split_once(')') else { break };
        told.push_str(before);
        if !second.starts_with(|c: char| c.is_ascii_digit() || c == '−') {
            told.push_str(&format!(" ({second})"));
        }
        rest = after;
    }
    format!("{told}{rest}")
}

fn computed(facts: &Facts<'_>) -> impl Iterator<Item = OutcomeRow> {
    COMPUTED.iter().filter_map(|(what, before, after)| {
        let shown = |name: &str| Some(figure(facts, name, None, None)?.show());
        Some(OutcomeRow {
            what: (*what).to_owned(),
            found: Some(shown(before)?),
            left: Some(shown(after)?),
            verdict: "computed".to_owned(),
            ..OutcomeRow::default()
        })
    })
}

pub(super) fn section(facts: &Facts<'_>) -> Section<OutcomeRow> {
    let lines = lines(facts);
    let mut rows: Vec<OutcomeRow> = lines.iter().filter(|line| !in_words(line)).map(row).collect();
    rows.extend(computed(facts));
    let bad: BTreeSet<String> = rows.iter().filter(|r| r.bad).map(name).collect();
    let mut notes = Vec::new();
    if rows.is_empty() {
        notes.push(Words::plain("Nothing was measured on this job that has a row of its own; what was welded and tightened stands below."));
    } else {
        notes.push(Words::plain(signs(&lines)));
        if facts.figures.is_none() && rows.iter().all(|r| r.found.is_none()) {
            notes.push(Words::plain(
                "The figures of the plan could not be computed again with what was measured; none is shown.",
            ));
        }
    }
    if !bad.is_empty() {
        let list = bad.into_iter().collect::<Vec<_>>().join(", ");
        notes.push(
            Words::default().strong(sentence(&format!("outside its limit, not proven or not read: {list}."))),
        );
    }
    if rows.iter().any(|r| r.left.as_ref().is_some_and(|l| l.ends_with(STANDS))) {
        notes.push(Words::plain(
            "“On stands”: read in the work, the weight on the springs and no wheel on the ground.",
        ));
    }
    notes.extend(words(&lines));
    Section { notes, rows }
}

/// Whether a line says in one word that all is well: those stand in one sentence.
fn in_words(line: &Line<'_>) -> bool {
    let word = line.left.as_ref().is_some_and(|left| left.kind.is_none());
    word && !line.bad && line.found.is_none()
}

/// What was judged in a word, and is as it has to be.
fn words(lines: &[Line<'_>]) -> Option<Words> {
    let said = |line: &Line<'_>| Some(format!("{}: {}", line.what(), line.left.as_ref()?.text));
    let all: Vec<String> = lines.iter().filter(|line| in_words(line)).filter_map(said).collect();
    let told = || {
        Words::default().strong("Found in order, in words. ").then(format!("{}.", sentence(&all.join("; "))))
    };
    (!all.is_empty()).then(told)
}

/// What signs mean of what stands here, and what is no verdict.
fn signs(lines: &[Line<'_>]) -> String {
    let said: Vec<&str> = SIGNS
        .iter()
        .filter(|(figure, _)| of_figure(lines, figure).next().is_some())
        .map(|(_, words)| *words)
        .collect();
    let signs = if said.is_empty() { String::new() } else { format!("{}. ", sentence(&said.join("; "))) };
    format!("{signs}A value without a limit was recorded, not judged; “computed” was not measured.")
}

fn name(row: &OutcomeRow) -> String {
    row.side.as_ref().map_or_else(|| row.what.clone(), |side| format!("{} {side}", row.what))
}
