//! How high a station stands on paper, about, and which stations share a page.
//!
//! Estimates only: they decide where a page begins, never what fits on it. Sizes are those of
//! `templates/lib/station.typ`, in millimetres.

use super::LINE;
use crate::traveler::document::{Block, Row, Station, Work};

/// A station up to this high is kept whole and may share a page; a higher one
/// begins a page.
const SHORT: usize = 185;

/// Characters on a line over the whole width.
const WIDE: usize = 100;

/// Marks the stations that are short enough to share a page.
pub(super) fn share_pages(stations: &mut [Station]) {
    for station in stations {
        station.short = of(station) <= SHORT;
    }
}

fn of(station: &Station) -> usize {
    16 + station.blocks.iter().map(block).sum::<usize>()
}

fn block(block: &Block) -> usize {
    match block {
        Block::Point(point) => 30 + 4 * lines(&point.what.text(), WIDE),
        Block::Caution(caution) => {
            let text = caution.hazard.len() + caution.consequence.len() + caution.avoid.len();
            6 + 4 * text.div_ceil(WIDE)
        }
        Block::Work(sides) => 2 + sides.iter().map(|side| side.iter().map(work).sum()).max().unwrap_or(0),
        Block::Beside(one) => {
            let text: usize = one.work.iter().map(work).sum();
            2 + (text * 7 / 10).max(60 * one.drawings.len())
        }
        Block::Table(table) => {
            let rows: usize = table.rows.iter().map(row).sum();
            let drawn: usize = table.drawings.iter().map(|_| 60).sum();
            4 + rows.max(drawn)
        }
        Block::Safety(safety) => {
            let text = 4 * lines(&safety.text.text(), 52) + 2;
            5 + text.max(safety.rows.iter().map(boxed).sum()).max(9)
        }
        Block::Card(card) => 62 + 13 * card.boxes.len().div_ceil(5) + 4 * card.notes.len(),
        Block::Lookup(table) => 12 + 12 * table.rows.len(),
        Block::Initials(list) => 4 + 11 * list.len().div_ceil(2),
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
