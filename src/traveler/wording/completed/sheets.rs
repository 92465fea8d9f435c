//! The sheets of a completed record: drawings, weld cards and map, photos, revisions.

use super::super::super::document::{Change, Document, Fact, Filled, FoundPhoto, PhotoSheet};
use super::super::sheets::FIRST;
use super::{Facts, day, tick, value, welded_on};
use crate::plan::Words;

/// Drawings again from measured values; the table stands on the customer's pages.
pub(super) fn geometry(document: &mut Document, facts: &Facts<'_>) {
    let Some(geometry) = &mut document.geometry else { return };
    geometry.rows.clear();
    geometry.tables.clear();
    geometry.note = None;
    match facts.measured.filter(|_| !facts.replaced.is_empty()) {
        Some(measured) => {
            // What was planned is not shown among what was measured.
            geometry.drawings.clone_from(&measured.drawings);
            for drawing in &mut geometry.drawings {
                drawing.caption = format!("From measured values: {}", drawing.caption);
            }
            geometry.note =
                Some(format!("Measured and put in place of the plan: {}.", facts.replaced.join("; ")));
        }
        None => {
            for drawing in &mut geometry.drawings {
                drawing.caption = format!("As planned, not measured: {}", drawing.caption);
            }
        }
    }
}

/// Who welded, with what, what was measured, who accepted.
pub(super) fn welds(document: &mut Document, facts: &Facts<'_>) {
    for card in &mut document.welds {
        let joint = &card.id.clone();
        let on = || facts.plan.operations.iter().filter(move |o| o.joints.contains(joint));
        let welder = on()
            .filter(|o| o.acts.iter().any(|a| a == "arc"))
            .flat_map(|o| o.steps.iter().filter_map(|s| facts.state.tick(&o.key, s.number)))
            .last()
            .map(|mark| {
                let arcs = on().filter(|o| o.acts.iter().any(|a| a == "arc"));
                let days = welded_on(facts, arcs, &mark.by.id);
                days.map_or_else(|| tick(mark), |days| Filled::new(mark.by.id.clone()).by(days))
            });
        let reading = |ids: &[&str]| {
            on().flat_map(|o| {
                ids.iter().filter_map(move |id| {
                    facts
                        .state
                        .reading(&o.key, &format!("{id}.{joint}"))
                        .or_else(|| facts.state.reading(&o.key, id))
                })
            })
            .last()
            .map(|(m, mark)| value(m, mark))
        };
        let accepted = on()
            .filter(|o| o.acts.iter().any(|a| a == "accept"))
            .flat_map(|o| o.after.iter().filter_map(|p| facts.state.signatures(&o.key, &p.slot).last()))
            .last()
            .map(|s| Filled::new(s.mark.by.id.clone()).by(day(&s.mark.at)));
        let dye = reading(&["visual", "cracks"]);
        for (label, by) in [("welded by", welder), ("accepted by", accepted)] {
            if let Some(by) = by {
                card.facts.push(Fact::new(
                    label,
                    [Some(by.value), by.by].into_iter().flatten().collect::<Vec<_>>().join(", "),
                ));
            }
        }
        if let Some(dye) = dye {
            card.notes.push(Words::plain(format!(
                "Inspection: {} ({})",
                dye.value,
                dye.by.unwrap_or_default()
            )));
        }
    }
}

/// Photos of the work, operation by operation in the order of the plan.
pub(super) fn photos(facts: &Facts<'_>) -> Vec<PhotoSheet> {
    let of = |operation: &crate::record::frozen::Operation| {
        let taken = facts.state.photographed.iter().filter(|p| p.key == operation.key);
        let photos: Vec<FoundPhoto> = taken
            .flat_map(|p| p.photos.iter().map(move |one| (p, one)))
            .map(|(p, one)| FoundPhoto {
                file: one.file.clone(),
                caption: format!(
                    "{}, {}: {} ({}), {}, entry {}, SHA-256 {}",
                    p.place,
                    p.shows,
                    p.mark.by.name,
                    p.mark.by.id,
                    day(&p.mark.at),
                    p.mark.n,
                    one.sha256.get(..16).unwrap_or("")
                ),
            })
            .collect();
        let title = format!("{} {} {}", operation.number, operation.verb.to_uppercase(), operation.title);
        (!photos.is_empty()).then_some(PhotoSheet { title, photos })
    };
    facts.plan.operations.iter().filter_map(of).collect()
}

/// Revisions from the log, with what the job says of each.
pub(super) fn changes(document: &Document, facts: &Facts<'_>) -> Vec<Change> {
    let said = |letter: &str| {
        document
            .changes
            .iter()
            .find(|c| c.revision == letter)
            .map(|c| c.what.as_str())
            .filter(|w| *w != FIRST)
    };
    let number = |key: &String| {
        facts
            .plan
            .operations
            .iter()
            .find(|o| o.key == *key)
            .map_or_else(|| key.clone(), |o| o.number.to_string())
    };
    facts
        .state
        .revisions
        .iter()
        .map(|r| Change {
            revision: r.letter.clone(),
            date: day(&r.mark.at),
            who: r.mark.by.name.clone(),
            what: if r.reason.is_empty() {
                FIRST.to_owned()
            } else {
                let removed = r.removed.join(", ");
                let removed = (!removed.is_empty()).then(|| format!("removed: {removed}"));
                let what: Vec<String> =
                    said(&r.letter).map(str::to_owned).into_iter().chain(removed).collect();
                if what.is_empty() { "revised".to_owned() } else { what.join("; ") }
            },
            why: r.reason.clone(),
            effect: if r.reason.is_empty() {
                String::new()
            } else {
                let again: Vec<String> = r.reopened.iter().map(|(key, _)| number(key)).collect();
                format!(
                    "started again: {}; {} kept",
                    if again.is_empty() { "none".to_owned() } else { again.join(", ") },
                    r.kept.len()
                )
            },
        })
        .collect()
}
