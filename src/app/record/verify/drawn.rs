//! Pages of another version, which can't be made again: compared by what an eye
//! sees on them with what the log says.
//!
//! Every record ends with a list of all entries: number, time, person, what, and the
//! first digits of the entry's hash. Wherever it stands and however it is laid out,
//! each entry must have a row of its own, in order, with the words of the log in it.

use crate::record::entry::{Action, Entry};
use crate::render::drawn::{Drawn, Seen};

/// Digits of a hash that are printed.
const DIGITS: usize = 12;

/// Without spaces and places to break.
fn squeeze(text: &str) -> String {
    text.chars().filter(|c| !c.is_whitespace() && *c != '\u{200B}' && *c != '\u{AD}').collect()
}

/// Words of an entry that must stand in its row.
fn words(entry: &Entry) -> Vec<String> {
    let mut words = vec![entry.by.name.clone()];
    // Date and time of day, as `2026-03-02 08:02`.
    words.push(entry.at.chars().take(16).map(|c| if c == 'T' { ' ' } else { c }).collect());
    match &entry.what {
        Action::Issued { issue } | Action::Revised { issue, .. } => words.push(issue.revision.clone()),
        Action::Tick { operation, step, .. } => words.push(match step {
            Some(step) => format!("{}.{step}", operation.number),
            None => operation.number.to_string(),
        }),
        Action::Measure { reading } => words.extend([
            format!("{}.{}", reading.operation.number, reading.reading),
            reading.text.clone(),
            format!(": {}", reading.verdict),
        ]),
        Action::Sign { operation, point, .. }
        | Action::SeenOnPaper { operation, point, .. }
        | Action::WitnessWaived { operation, point, .. } => {
            words.extend([point.clone(), operation.number.to_string()]);
        }
        Action::Photographed { operation, shows, .. } => {
            words.extend([operation.number.to_string(), shows.clone()]);
        }
        Action::Found { found, text, .. } => words.extend([found.clone(), text.clone()]),
        Action::Disposition { disposition, found, reason } => {
            words.extend([found.clone(), disposition.clone(), reason.clone()]);
        }
        Action::Bars { bars } => words.push(bars.words()),
        Action::Withdrawn {} | Action::Closed { .. } | Action::TornLine { .. } => {}
    }
    words
}

/// A row of the list: where it stands, and what is seen in it.
struct Row {
    page: usize,
    top: f64,
    bottom: f64,
    text: String,
}

/// The row of an entry: from its number to its hash, drawn one after the other.
/// Gives it, and the place behind it.
fn row(drawn: &Drawn, from: (usize, usize), n: u64, hash: &str) -> Option<(Row, (usize, usize))> {
    let (number, hash) = (n.to_string(), hash.get(..DIGITS)?);
    let (mut page, mut at) = from;
    while let Some(pieces) = drawn.pages.get(page) {
        let end = pieces.iter().enumerate().skip(at).find(|(_, p)| squeeze(&p.text) == hash).map(|(i, _)| i);
        let begins = |p: &Seen| squeeze(&p.text) == number;
        let begin = end.and_then(|end| pieces.get(at..end)?.iter().rposition(begins).map(|i| (at + i, end)));
        if let Some((begin, end)) = begin {
            let inside = pieces.get(begin..=end)?;
            let edge = |f: fn(f64, f64) -> f64, first| inside.iter().map(|p| p.baseline).fold(first, f);
            let row = Row {
                page,
                top: edge(f64::min, f64::INFINITY),
                bottom: edge(f64::max, f64::NEG_INFINITY),
                text: squeeze(&inside.iter().map(|p| p.text.as_str()).collect::<String>()),
            };
            return Some((row, (page, end + 1)));
        }
        (page, at) = (page + 1, 0);
    }
    None
}

/// What the pages do not show of the log: the first of it, in words.
///
/// # Errors
/// If an entry has no row, or a row does not say what the log says.
pub(super) fn shows(drawn: &Drawn, entries: &[Entry], hashes: &[String]) -> Result<(), String> {
    let mut from = (0, 0);
    let mut before: Option<Row> = None;
    for (entry, hash) in entries.iter().zip(hashes) {
        let Some((row, next)) = row(drawn, from, entry.n, hash) else {
            return Err(format!("entry {} is not seen in the list of entries", entry.n));
        };
        if before.is_some_and(|b| b.page == row.page && b.bottom >= row.top) {
            return Err(format!("the row of entry {} does not stand below the one before", entry.n));
        }
        if let Some(lacking) = words(entry).into_iter().find(|w| !row.text.contains(&squeeze(w))) {
            return Err(format!("\"{lacking}\" of entry {} is not seen in its row", entry.n));
        }
        (before, from) = (Some(row), next);
    }
    match drawn.hidden.iter().position(|hidden| *hidden > 0) {
        Some(page) => Err(format!(
            "on page {} {} letters are covered, or drawn so that nobody sees them",
            page + 1,
            drawn.hidden.get(page).copied().unwrap_or_default()
        )),
        None => Ok(()),
    }
}
