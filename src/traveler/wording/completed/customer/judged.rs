//! What was judged and has no line of its own, counted by the place it was read at.

use super::super::super::super::document::{JudgedAt, Section};
use super::super::Facts;
use super::lines::{Line, lines};
use super::{Taken, decision, taken};
use crate::plan::Words;
use crate::quantity::Kind;
use crate::term::{Verdict, counted};

/// Whether a reading stands as left in the table.
fn in_table(lines: &[Line<'_>], one: &Taken<'_>) -> bool {
    lines.iter().any(|l| l.left.as_ref().is_some_and(|left| left.entry == Some(one.mark.n)))
}

/// Whether a reading stands with the welds or among the torques.
fn in_another(one: &Taken<'_>) -> bool {
    let end = one.reading.id.rsplit_once('.').map(|(_, end)| end);
    let joint = end.is_some_and(|end| one.operation.joints.iter().any(|j| j == end));
    joint || one.reading.limits.is_some_and(|l| l.kind == Kind::Torque)
}

/// What was judged, and does not conform: its name, and what became of it.
pub(super) fn departing(facts: &Facts<'_>, one: &Taken<'_>) -> Option<String> {
    if one.measured.verdict.is(Verdict::Conform) {
        return None;
    }
    let found = decision(facts, &one.operation.key, &one.reading.id, one.mark.n);
    let decided =
        found.and_then(|f| f.disposition.as_ref().map(|(what, ..)| format!("{}: {what}", f.number)));
    let decided = decided.unwrap_or_else(|| "NOT DECIDED".to_owned());
    Some(format!("{}, “{}” ({decided})", one.reading.label, one.entered()))
}

pub(super) fn section(facts: &Facts<'_>) -> Section<JudgedAt> {
    let lines = lines(facts);
    let mut rows: Vec<JudgedAt> = Vec::new();
    let rest = taken(facts).filter(|t| t.measured.verdict.decided());
    for one in rest.filter(|t| !in_table(&lines, t) && !in_another(t)) {
        let place = match one.operation.deferred {
            true => format!("{}, after hand-over", one.operation.station),
            false => one.operation.station.clone(),
        };
        let row = match rows.iter().position(|r| r.place == place) {
            Some(at) => rows.get_mut(at),
            None => {
                rows.push(JudgedAt { place, ..JudgedAt::default() });
                rows.last_mut()
            }
        };
        let Some(row) = row else { continue };
        row.judged += 1;
        row.not_inside.extend(departing(facts, &one));
    }
    let counts: Vec<String> = rows.iter().map(|row| format!("{} {}", row.place, row.judged)).collect();
    let all_well = rows.iter().all(|row| row.not_inside.is_empty());
    let notes = match rows.iter().map(|r| r.judged).sum::<u32>() {
        0 => Vec::new(),
        all => vec![Words::plain(format!(
            "Besides, {} judged on the way, each in its box on the pages of its station: {}; {}.",
            counted(all as usize, "value or word was", "values and words were"),
            counts.join(", "),
            if all_well { "all as they have to be" } else { "not as they have to be are these" }
        ))],
    };
    rows.retain(|row| !row.not_inside.is_empty());
    Section { notes, rows }
}
