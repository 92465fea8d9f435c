//! Cards that are filled anew each shift.

use super::basis::Basis;
use super::model::{Reading, Repeat, Step};
use crate::term::Level;

/// Minutes of a shift (common practice: eight hours).
const SHIFT: u32 = 480;

/// Minutes until a weld is cold enough to be accepted (common practice: half a shift).
const COLD: u32 = 240;

/// What makes a shift one of hot work.
const HOT: &[&str] = &["arc", "tack", "heat", "grind"];

/// Minutes between the starts that are tried.
const STEP: usize = 60;

/// What an operation takes of the day.
struct Piece {
    minutes: u32,
    /// Waits for a weld to be cold first.
    cold: bool,
    hot: bool,
}

/// Shifts in which hot work falls when the operations follow each other in their
/// order, everybody waits for everybody and each weld for its acceptance until it is
/// cold, one at least; the most there are, at whatever hour the work starts, since a
/// shift without a box can't be written down. A shift without heat needs no card.
pub(super) fn shifts(basis: &Basis<'_>) -> u32 {
    let ordered = basis.order.iter().filter_map(|place| basis.selection.operations.get(*place));
    let pieces: Vec<Piece> = ordered
        .map(|selected| {
            let acts = selected.what.acts();
            Piece {
                minutes: selected.what.minutes(),
                cold: acts.contains(&"accept") && selected.what.joints().is_some(),
                hot: acts.iter().any(|a| HOT.contains(a)),
            }
        })
        .collect();
    (0..SHIFT).step_by(STEP).map(|start| from(&pieces, start)).max().unwrap_or_default().max(1)
}

/// The same for work that starts so many minutes into a shift.
fn from(pieces: &[Piece], start: u32) -> u32 {
    let mut clock = start;
    let mut hot: Vec<u32> = Vec::new();
    for piece in pieces {
        clock += if piece.cold { COLD } else { 0 };
        let end = clock + piece.minutes;
        if piece.hot {
            hot.extend(clock / SHIFT..=end.saturating_sub(1).max(clock) / SHIFT);
        }
        clock = end;
    }
    hot.dedup();
    u32::try_from(hot.len()).unwrap_or(u32::MAX)
}

/// Repeats what is written in a step for each shift. A shift that turns out not
/// to be needed leaves its boxes empty: only those of the first must be filled.
pub(super) fn repeat(step: Step, shifts: u32) -> Step {
    if shifts < 2 {
        return step;
    }
    let readings = step
        .readings
        .iter()
        .flat_map(|reading| (1..=shifts).map(move |shift| of_shift(reading, shift)))
        .collect();
    Step { readings, ..step }
}

fn of_shift(reading: &Reading, shift: u32) -> Reading {
    let mark = format!("shift {shift}");
    Reading {
        id: format!("{}.shift-{shift}", reading.id),
        label: format!("{}, {mark}", reading.label),
        mark: Some(mark),
        level: if shift == 1 { reading.level } else { Level::Practice },
        of: Repeat::Shift(shift),
        ..reading.clone()
    }
}
