//! Cards that are filled anew each shift.

use super::model::{Reading, Repeat, Step};
use crate::procedure::selection::Selection;
use crate::term::Level;

/// Minutes of a shift (common practice: eight hours).
const SHIFT: u32 = 480;

/// What makes a shift one of hot work.
const HOT: &[&str] = &["arc", "tack", "heat", "grind"];

/// Shifts the hot work of a job takes by its labour, one at least.
pub(super) fn shifts(selection: &Selection<'_>) -> u32 {
    let minutes: u32 = selection
        .operations
        .iter()
        .filter(|s| s.what.acts().iter().any(|a| HOT.contains(a)))
        .map(|s| s.what.minutes())
        .sum();
    minutes.div_ceil(SHIFT).max(1)
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
