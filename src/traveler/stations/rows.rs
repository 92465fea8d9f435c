//! Rows of a station's table from the readings of a step.

use crate::traveler::document::{Reading, Row};

/// Boxes that stand beside each other in one row at most.
const ACROSS: usize = 6;

/// Readings that say the same but for the end of their label share a row: left
/// and right, or the places of one wall.
pub(super) fn of<'a>(readings: impl Iterator<Item = &'a Reading>) -> Vec<Row> {
    let readings: Vec<&Reading> = readings.collect();
    if let Some(rows) = all_places(&readings) {
        return rows;
    }
    let mut rows: Vec<(String, Row)> = Vec::new();
    for reading in readings {
        let stem = stem(reading);
        let tool = reading.instrument.clone();
        let fits = |(other, row): &&mut (String, Row)| {
            reading.mark.is_some()
                && *other == stem
                && row.tool == tool
                && row.boxes.len() < ACROSS
                && row.boxes.iter().all(|b| b.mark.is_some() && b.mark != reading.mark)
        };
        match rows.iter_mut().find(fits) {
            Some((_, row)) => row.boxes.push(reading.clone()),
            None => rows.push((
                stem.clone(),
                Row { number: None, what: stem, tool, limits: Vec::new(), boxes: vec![reading.clone()] },
            )),
        }
    }
    rows.into_iter()
        .map(|(_, mut row)| {
            row.limits = limits(&row.boxes);
            row
        })
        .collect()
}

/// A row for each thing that is read, wherever its boxes come: each has its mark.
pub(super) fn by_mark(readings: Vec<Reading>) -> Vec<Row> {
    let mut rows: Vec<Row> = Vec::new();
    for reading in readings {
        let stem = stem(&reading);
        match rows.iter_mut().find(|r| r.what == stem && r.tool == reading.instrument) {
            Some(row) => row.boxes.push(reading),
            None => rows.push(Row {
                what: stem,
                tool: reading.instrument.clone(),
                boxes: vec![reading],
                ..Row::default()
            }),
        }
    }
    for row in &mut rows {
        row.limits = limits(&row.boxes);
    }
    rows
}

/// The places of a wall, a row for each side.
fn all_places(readings: &[&Reading]) -> Option<Vec<Row>> {
    let side = |r: &Reading| r.label.rsplit(", ").next().unwrap_or_default().to_owned();
    let mut sides: Vec<(String, Vec<&Reading>)> = Vec::new();
    if places(readings).is_none() {
        for reading in readings {
            match sides.iter_mut().find(|(s, _)| *s == side(reading)) {
                Some((_, list)) => list.push(reading),
                None => sides.push((side(reading), vec![reading])),
            }
        }
    } else {
        sides.push((String::new(), readings.to_vec()));
    }
    sides.iter().map(|(_, list)| places(list)).collect()
}

/// Three or more places of one thing, read with one tool: `wall, top, left`,
/// `wall, front, left`. They stand in one row, each box under its place.
fn places(readings: &[&Reading]) -> Option<Row> {
    let parts: Vec<Vec<&str>> = readings.iter().map(|r| r.label.split(", ").collect()).collect();
    let (first, rest) = parts.split_first()?;
    let alike = readings.iter().all(|r| r.instrument == readings[0].instrument && r.choices.is_empty());
    // What, place, and perhaps a side at the end that all of them share.
    let differ_in_place = rest.iter().all(|p| {
        p.len() == first.len() && p[0] == first[0] && p.get(1) != first.get(1) && p.get(2) == first.get(2)
    });
    if !(3..=ACROSS).contains(&readings.len())
        || !(2..=3).contains(&first.len())
        || !alike
        || !differ_in_place
    {
        return None;
    }
    let boxes: Vec<Reading> = readings
        .iter()
        .zip(&parts)
        .map(|(r, p)| Reading { mark: p.get(1).map(|m| (*m).to_owned()), ..(*r).clone() })
        .collect();
    let what = match first.get(2) {
        Some(side) => format!("{}, {side}", first[0]),
        None => first[0].to_owned(),
    };
    Some(Row { number: None, what, tool: readings[0].instrument.clone(), limits: limits(&boxes), boxes })
}

/// What the labels of marked readings have in common.
fn stem(reading: &Reading) -> String {
    let end = reading.mark.as_ref().map(|m| format!(", {m}"));
    match end.and_then(|end| reading.label.strip_suffix(end.as_str())) {
        Some(stem) => stem.to_owned(),
        None => reading.label.clone(),
    }
}

/// One limit if all boxes share it, else one for each with its mark.
fn limits(boxes: &[Reading]) -> Vec<String> {
    let limit = |reading: &Reading| match (&reading.target, &reading.tolerance) {
        (Some(target), _) if target == "record" => None,
        // Two limits are told apart: `5.7° to 6.3°, sides within 0.5°`.
        (Some(target), Some(tolerance)) if tolerance.starts_with("sides") => {
            Some(format!("{target}, {tolerance}"))
        }
        (Some(target), Some(tolerance)) => Some(format!("{target} {tolerance}")),
        (Some(target), None) => Some(target.clone()),
        (None, _) => None,
    };
    let all: Vec<Option<String>> = boxes.iter().map(limit).collect();
    match all.first() {
        Some(first) if all.iter().all(|l| l == first) => first.iter().cloned().collect(),
        _ => boxes
            .iter()
            .zip(all)
            .filter_map(|(reading, limit)| {
                let limit = limit?;
                Some(match &reading.mark {
                    Some(mark) => format!("{mark}: {limit}"),
                    None => limit,
                })
            })
            .collect(),
    }
}
