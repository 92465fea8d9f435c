//! Cards of the joints welded at a station. Joints that are welded alike share
//! one: its values stand once, each joint has its own boxes.

use super::{merge, rows};
use crate::traveler::document::{Block, Card, Level, Operation, Reading, Step, WeldCard};

/// Facts for whoever plans the work, not for whoever holds the torch, and what the
/// steps beside the card say: they stand in the work papers.
const PLANNED: &[&str] = &[
    "throat",
    "heat input",
    "least leg allowed",
    "arc time, about",
    "filler needed",
    "inspection",
    "undercut, at most",
];

/// The cards, in the order of the joints, with what these operations read.
pub(super) fn of(operations: &[&Operation], cards: &[WeldCard], joints: &[&str]) -> Vec<Block> {
    let mut found: Vec<(Card, Vec<Reading>)> = Vec::new();
    for card in joints.iter().filter_map(|joint| cards.iter().find(|c| c.id == *joint)) {
        let facts: Vec<_> =
            card.facts.iter().filter(|f| !PLANNED.contains(&f.label.as_str())).cloned().collect();
        let read = readings(operations, &card.id, joints);
        match found.last_mut() {
            Some((last, all)) if last.symbol == card.symbol && last.facts == facts => {
                last.ids.push(card.id.clone());
                match last.titles.last_mut().and_then(|one| Some((merge::names(one, &card.title)?, one))) {
                    Some((both, one)) => *one = both,
                    None => last.titles.push(card.title.clone()),
                }
                last.notes.extend(
                    card.notes.iter().filter(|n| !last.notes.contains(n)).cloned().collect::<Vec<_>>(),
                );
                all.extend(read);
            }
            _ => found.push((
                Card {
                    ids: vec![card.id.clone()],
                    titles: vec![card.title.clone()],
                    symbol: card.symbol.clone(),
                    drawing: card.drawing.clone(),
                    operations: card.operations.clone(),
                    facts,
                    notes: card.notes.clone(),
                    rows: Vec::new(),
                },
                read,
            )),
        }
    }
    found
        .into_iter()
        .map(|(card, read)| Block::Card(Box::new(Card { rows: rows::by_mark(read), ..card })))
        .collect()
}

/// Whether a safety step stands on the cards: everything it reads, it reads at
/// joints welded here, and nobody else answers for it.
pub(super) fn carded(step: &Step, joints: &[&str]) -> bool {
    let here = |r: &Reading| r.joint.as_deref().is_some_and(|j| joints.contains(&j));
    !step.readings.is_empty() && step.who.is_none() && step.readings.iter().all(here)
}

/// What is read at a joint, marked with its sign.
fn readings(operations: &[&Operation], joint: &str, joints: &[&str]) -> Vec<Reading> {
    let welds = operations.iter().find(|o| !o.welds.is_empty());
    let mut found = Vec::new();
    for operation in operations.iter().filter(|o| !o.void) {
        // The card lies before the welder: what is not theirs to enter says whose it is.
        let other = welds.and_then(|welds| super::other_hand(operation, welds));
        let steps = operation.steps.iter().filter(|s| s.level != Level::Safety || carded(s, joints));
        for reading in steps.flat_map(|s| &s.readings).filter(|r| r.joint.as_deref() == Some(joint)) {
            let label = reading.label.strip_suffix(&format!(", {joint}")).unwrap_or(&reading.label);
            let label = label.strip_prefix(&format!("{joint}: ")).unwrap_or(label);
            let whose = other.as_ref().map_or_else(String::new, |role| format!("{role}: "));
            found.push(Reading {
                label: format!("{whose}{label}, {joint}"),
                mark: Some(joint.to_owned()),
                ..reading.clone()
            });
        }
    }
    found
}
