//! How high a station stands on paper, about, and which stations begin a page.
//!
//! Estimates only: they decide where a page begins, never what fits on it. Sizes are those of
//! `templates/lib/station.typ`, in millimetres.

use super::LINE;
use crate::traveler::document::{Block, Row, Station, Work};

/// Height of a page's text.
const PAGE: usize = 240;

/// Less than this left on a page, and the next station begins a new one.
const LEFT: usize = 70;

/// Characters on a line over the whole width.
const WIDE: usize = 100;

/// Marks the stations that begin a page: the first, and each that would find
/// little room left. Others go on below the one before, so that pages are full.
pub(super) fn share_pages(stations: &mut [Station]) {
    let mut at = PAGE;
    for station in stations {
        station.fresh = false;
        if station.fresh {
            at = 0;
        }
        at += of(station);
        at %= PAGE;
    }
}
fn of(station: &Station) -> usize {
    16 + station.blocks.iter().map(block).sum::<usize>()
}

fn block(block: &Block) -> usize {
    match block {
        Block::Point(point) => {
            let signers = 1 + usize::from(point.second.is_some());
            13 + (4 * lines(&point.what.text(), 50)).max(15 * signers)
        }
        Block::Caution(caution) => {
            let text = caution.hazard.len() + caution.consequence.len() + caution.avoid.len();
            6 + 4 * text.div_ceil(WIDE)
        }
        Block::Work(sides) => 2 + sides.iter().map(|side| side.iter().map(work).sum()).max().unwrap_or(0),
        Block::Table(table) => {
            let rows: usize = table.rows.iter().map(row).sum();
            let drawn: usize = table.drawings.iter().map(|_| 60).sum();
            4 + rows.max(drawn)
        }
        Block::Safety(safety) => {
            let text = 4 * lines(&safety.text.text(), 52) + 2;
            5 + text.max(safety.rows.iter().map(boxed).sum()).max(9)
        }
        Block::Card(card) => {
            let (words, numbers): (Vec<&Row>, Vec<&Row>) =
                card.rows.iter().partition(|r| r.boxes.iter().any(|b| !b.choices.is_empty()));
            let lines = card.ids.len();
            34 + 4 * card.notes.len() + (10 + 10 * lines) * numbers.len().div_ceil(8) + 6 * words.len() * lines
        }
        Block::Lookup(table) => 12 + 12 * table.rows.len(),
        Block::Initials(list) => 4 + 11 * list.len().div_ceil(4),
    }
}

fn lines(text: &str, across: usize) -> usize {
    text.chars().count().div_ceil(across)
}

fn work(work: &Work) -> usize {
    let title = work.title.as_ref().map_or(0, |t| 3 + 4 * lines(t, LINE));
    let steps: usize = work.steps.iter().map(|s| 2 + 4 * lines(&s.text.text(), LINE)).sum();
    title + 4 * work.lines.len() * 2 + steps
}

/// A row of a table; two with one box each stand beside each other.
fn row(row: &Row) -> usize {
    match row.boxes.as_slice() {
        [one] if one.choices.is_empty() => 6,
        [_] => 9,
        more if more.iter().any(|b| !b.choices.is_empty()) => 8 * more.len(),
        _ => 11,
    }
}

/// A row in a frame.
fn boxed(row: &Row) -> usize {
    match row.boxes.as_slice() {
        [one] if one.choices.is_empty() => 11,
        more => 5 + if more[0].choices.is_empty() { 10 } else { 7 * more.len() },
    }
}
