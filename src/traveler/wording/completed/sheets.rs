//! The sheets of a completed record: as found / as left, weld map, torque
//! record, found conditions, revisions.

use super::super::super::document::{
    Change, Document, Fact, Filled, FoundEntry, FoundPhoto, FoundSheet, PhotoSheet, Reading,
};
use super::{Facts, day, tick, value, who};
use crate::plan::Words;
use crate::record::entry::Measured;
use crate::record::state::Mark;

/// Reading that is the as-left value of a geometry line: words of the line,
/// ids of readings, the last one taken counts.
const LEFT: &[(&str, &[&str])] = &[
    ("caster", &["caster", "caster-again"]),
    ("caster with the pinion set, knuckles uncut", &["second", "first"]),
    ("knuckle rotation", &["rotation"]),
    ("arc on the tube", &["arc"]),
    ("pinion angle", &["pinion"]),
    ("total toe, in", &["toe", "toe-left", "toe-set"]),
    ("wheelbase, left", &["wheelbase-left"]),
    ("wheelbase, right", &["wheelbase-right"]),
];

/// Operations whose readings say what was found, not what was left.
const AS_FOUND: &[&str] = &["record-as-found", "caster-as-found", "pinion-as-found"];

/// The last reading of one of these ids, as found or as left.
fn last<'a>(
    facts: &Facts<'a>,
    ids: &[&str],
    side: Option<&str>,
    found: bool,
) -> Option<&'a (Measured, Mark)> {
    let mut best = None;
    for operation in &facts.plan.operations {
        if AS_FOUND.contains(&operation.id.as_str()) != found {
            continue;
        }
        for id in ids {
            let id = side.map_or_else(|| (*id).to_owned(), |s| format!("{id}.{s}"));
            if let Some(reading) = facts.state.reading(&operation.key, &id) {
                best = Some(reading);
            }
        }
    }
    best
}

/// As found and as left from readings; drawings again from measured values.
pub(super) fn geometry(document: &mut Document, facts: &Facts<'_>) {
    let Some(geometry) = &mut document.geometry else { return };
    for row in &mut geometry.rows {
        let line = row.what.rsplit(": ").next().unwrap_or(&row.what).to_owned();
        let Some((_, ids)) = LEFT.iter().find(|(what, _)| *what == line) else { continue };
        let side = row.side.as_deref();
        if let Some((measured, _)) = last(facts, ids, side, true) {
            row.found = Some(measured.text.clone());
        }
        if let Some((measured, mark)) = last(facts, ids, side, false) {
            let mut filled = value(measured, mark);
            if measured.verdict.decided() {
                filled.remark = Some(measured.verdict.to_string());
            }
            row.left = Some(filled);
        }
    }
    if let Some(measured) = facts.measured.filter(|_| !facts.replaced.is_empty()) {
        for (row, again) in geometry.rows.iter_mut().zip(&measured.rows) {
            if row.what == again.what && row.side == again.side {
                row.planned.clone_from(&again.planned);
            }
        }
        // What was planned is not shown among what was measured.
        geometry.drawings.clone_from(&measured.drawings);
        for drawing in &mut geometry.drawings {
            drawing.caption = format!("From measured values: {}", drawing.caption);
        }
        geometry.note = Some(format!(
            "{} Measured and put in place of the plan: {}.",
            geometry.note.clone().unwrap_or_default(),
            facts.replaced.join("; ")
        ));
    }
    geometry.tables.clear();
}

fn put(boxes: &mut [Reading], id: &str, filled: Option<Filled>) {
    if let (Some(one), Some(filled)) = (boxes.iter_mut().find(|b| b.id.ends_with(id)), filled) {
        one.filled = Some(filled);
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
            .map(tick);
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
        let dye = reading(&["dye", "visual"]);
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
    weld_map(document);
}

/// The same on the weld map: every joint stands in its table, with who welded
/// and who accepted it.
fn weld_map(document: &mut Document) {
    let Some(map) = &mut document.weld_map else { return };
    for row in &mut map.rows {
        let Some(card) = document.welds.iter().find(|c| c.id == row.id) else { continue };
        let said = |label: &str| card.facts.iter().find(|f| f.label == label).and_then(|f| f.value.clone());
        row.welded = Some(said("welded by").unwrap_or_else(|| "not on record".to_owned()));
        row.accepted = Some(said("accepted by").unwrap_or_else(|| "not accepted".to_owned()));
    }
}

/// What was torqued to what, by whom, with which wrench.
pub(super) fn torques(document: &mut Document, facts: &Facts<'_>) {
    for row in &mut document.torques {
        let taken = facts
            .plan
            .operations
            .iter()
            .flat_map(|o| {
                ["final", "final-maker", "torque", "torque-maker"]
                    .iter()
                    .filter_map(|id| facts.state.reading(&o.key, &format!("{id}.{}", row.id)))
            })
            .last();
        let Some((measured, mark)) = taken else { continue };
        put(&mut row.boxes, ".actual", Some(value(measured, mark)));
        put(&mut row.boxes, ".wrench", measured.tool.clone().map(Filled::new));
        put(&mut row.boxes, ".who", Some(Filled::new(who(mark))));
    }
}

/// Found conditions with photos and dispositions.
pub(super) fn found(document: &Document, facts: &Facts<'_>) -> Option<FoundSheet> {
    let blank = document.found.as_ref()?;
    let mut entries = blank.entries.clone();
    entries.extend(facts.state.founds.iter().map(|f| {
        FoundEntry {
            number: f.number.clone(),
            place: format!(
                "operation {}, {} ({}), {}",
                f.operation,
                f.mark.by.name,
                f.mark.by.id,
                day(&f.mark.at)
            ),
            found: f.text.clone(),
            disposition: f.disposition.as_ref().map(|d| d.0.clone()),
            action: f.disposition.as_ref().map(|d| d.1.clone()),
            decided: f.disposition.as_ref().map(|(_, _, mark)| {
                format!("{}, {}, {}, entry {}", mark.by.name, mark.by.role, day(&mark.at), mark.n)
            }),
            photos: f
                .photos
                .iter()
                .map(|p| FoundPhoto {
                    file: p.file.clone(),
                    caption: format!(
                        "Photo of {}: {}, SHA-256 {}",
                        f.number,
                        p.file,
                        p.sha256.get(..16).unwrap_or("")
                    ),
                })
                .collect(),
        }
    }));
    if entries.is_empty() {
        return None;
    }
    Some(FoundSheet { rule: Vec::new(), entries, blanks: 0, dispositions: blank.dispositions.clone() })
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

/// Revisions from the log.
pub(super) fn changes(document: &mut Document, facts: &Facts<'_>) {
    let number = |key: &String| {
        facts
            .plan
            .operations
            .iter()
            .find(|o| o.key == *key)
            .map_or_else(|| key.clone(), |o| o.number.to_string())
    };
    document.changes = facts
        .state
        .revisions
        .iter()
        .map(|r| Change {
            revision: r.letter.clone(),
            date: day(&r.mark.at),
            who: r.mark.by.name.clone(),
            what: if r.reason.is_empty() {
                "first issue".to_owned()
            } else {
                let removed = r.removed.join(", ");
                if removed.is_empty() { "revised".to_owned() } else { format!("removed: {removed}") }
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
        .collect();
}
