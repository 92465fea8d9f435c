//! Pages of another version, which can't be made again: compared by what an eye
//! sees on them with what the log says.
//!
//! Every record ends with a list of entries: number, time, person, what, and the
//! first digits of the entry's hash. Wherever it stands and however it is laid out,
//! each entry in it has a row of its own, in order, with the words of the log in it.
//! What was done as planned may stand in its box instead: a reading with who took it
//! and when right behind it, a signature with its point, person and time.

use std::collections::BTreeMap;

use crate::record::entry::{Action, Entry};
use crate::record::question::WORDS_STAND;
use crate::render::drawn::Drawn;
use crate::traveler::wording::completed::told;

/// Digits of a hash that are printed.
const DIGITS: usize = 12;
/// Letters between a value in its box and who wrote it, and between a point and who
/// signed it, at most.
const NEAR: [usize; 2] = [400, 900];

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
            words.extend([operation.number.to_string(), shows.to_string()]);
        }
        Action::TesterWaived { operation, reading, reason, tester } => {
            words.extend([format!("{}.{reading}", operation.number), tester.name.clone(), reason.clone()]);
        }
        Action::Found { found, text, .. } => words.extend([found.clone(), text.clone()]),
        Action::Disposition { disposition, found, reason, words_stand } => {
            words.extend([found.clone(), disposition.to_string(), reason.clone()]);
            words.extend(words_stand.then(|| WORDS_STAND.to_owned()));
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

/// The pages as they are searched.
struct Pages<'a> {
    drawn: &'a Drawn,
    /// Each piece of text of each page, squeezed.
    pieces: Vec<Vec<String>>,
    /// Where pieces stand that may be a hash.
    hashes: BTreeMap<String, Vec<(usize, usize)>>,
    /// All of a page in the order it is drawn.
    texts: Vec<String>,
}

impl<'a> Pages<'a> {
    fn of(drawn: &'a Drawn) -> Self {
        let pieces: Vec<Vec<String>> =
            drawn.pages.iter().map(|page| page.iter().map(|p| squeeze(&p.text)).collect()).collect();
        let mut hashes: BTreeMap<String, Vec<(usize, usize)>> = BTreeMap::new();
        for (page, all) in pieces.iter().enumerate() {
            for (at, text) in all.iter().enumerate() {
                if text.len() == DIGITS && text.bytes().all(|b| b.is_ascii_hexdigit()) {
                    hashes.entry(text.clone()).or_default().push((page, at));
                }
            }
        }
        let texts = pieces.iter().map(|page| page.concat()).collect();
        Self { drawn, pieces, hashes, texts }
    }

    /// The row of an entry: from its number to its hash, drawn one after the other.
    /// Gives it, and the place behind it.
    fn row(&self, from: (usize, usize), n: u64, hash: &str) -> Option<(Row, (usize, usize))> {
        let number = n.to_string();
        let (page, end) =
            self.hashes.get(hash.get(..DIGITS)?)?.iter().copied().find(|place| *place >= from)?;
        let first = if page == from.0 { from.1 } else { 0 };
        let pieces = self.pieces.get(page)?;
        let begin = first + pieces.get(first..end)?.iter().rposition(|p| *p == number)?;
        let inside = self.drawn.pages.get(page)?.get(begin..=end)?;
        let edge = |f: fn(f64, f64) -> f64, first| inside.iter().map(|p| p.baseline).fold(first, f);
        let row = Row {
            page,
            top: edge(f64::min, f64::INFINITY),
            bottom: edge(f64::max, f64::NEG_INFINITY),
            text: pieces.get(begin..=end)?.concat(),
        };
        Some((row, (page, end + 1)))
    }

    /// Whether an entry that was done as planned is seen in its box.
    fn boxed(&self, entry: &Entry) -> bool {
        let time: String = squeeze(&entry.at.replace('T', "")).chars().take(15).collect();
        let (value, by) = match &entry.what {
            Action::Measure { reading } => (squeeze(&reading.text), format!("{},{time}", entry.by.id)),
            Action::Sign { point, .. } => (point.clone(), time),
            // Ticks and initials carry no word of their own.
            _ => return true,
        };
        let (name, reach) = match &entry.what {
            Action::Sign { .. } => (squeeze(&entry.by.name), NEAR[1]),
            _ => (String::new(), NEAR[0]),
        };
        self.texts.iter().any(|page| {
            page.match_indices(by.as_str()).any(|(at, _)| {
                let before = page.get(..at).unwrap_or_default();
                let start = before.char_indices().rev().nth(reach).map_or(0, |(i, _)| i);
                let near = before.get(start..).unwrap_or_default();
                near.contains(&value) && near.contains(&name)
            })
        })
    }
}

/// What the pages do not show of the log: the first of it, in words.
///
/// # Errors
/// If an entry has no row and is in no box, or a row does not say what the log says.
pub(super) fn shows(drawn: &Drawn, entries: &[Entry], hashes: &[String]) -> Result<(), String> {
    let pages = Pages::of(drawn);
    let mut from = (0, 0);
    let mut before: Option<Row> = None;
    for (entry, hash) in entries.iter().zip(hashes) {
        let Some((row, next)) = pages.row(from, entry.n, hash) else {
            if told(entry) {
                return Err(format!("entry {} is not seen in the list of entries", entry.n));
            }
            if !pages.boxed(entry) {
                return Err(format!("entry {} is seen neither in a list of entries nor in its box", entry.n));
            }
            continue;
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
