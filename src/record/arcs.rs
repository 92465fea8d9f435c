//! When an arc burned, by what was entered while it did.

use super::edition::GATED_SINCE;
use super::frozen::{Operation, Reading};
use super::hours::heats;
use super::kept::Mark;
use super::state::State;

impl Reading {
    /// Whether it is read while an arc burns or right after: a number, and none that waits
    /// itself for the weld to cool. Words, a lot among them, are written when there is time;
    /// by earlier editions of the rules they counted.
    #[must_use]
    pub fn at_the_arc(&self, rules: u32) -> bool {
        self.after_arc.is_none() && (self.limits.is_some() || rules < GATED_SINCE)
    }
}

/// What shows that an arc burned at an operation: its ticked steps and what was read at the
/// arc. Not its initials, which are given at the end of a station.
pub fn arcs<'a>(rules: u32, state: &'a State, operation: &'a Operation) -> impl Iterator<Item = &'a Mark> {
    let steps = (operation.key.clone(), 1)..=(operation.key.clone(), u32::MAX);
    let ticks = state.ticks.range(steps).map(|(_, mark)| mark);
    let read = operation.readings().filter(move |r| r.at_the_arc(rules));
    let read = read.flat_map(|r| state.all_readings(&operation.key, &r.id)).map(|(_, mark)| mark);
    ticks.chain(read).filter(|_| heats(operation))
}
