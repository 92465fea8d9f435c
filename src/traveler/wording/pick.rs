//! What to pick before the start.

use std::collections::BTreeMap;

use super::super::document::{PickGroup, PickRow, Reading};
use super::Subject;
use crate::form::BoxName;
use crate::procedure::catalogue;
use crate::procedure::figures::Owner;
use crate::quantity::{Dimensioned, Mass, Quantity, Style};

pub(super) fn groups(planned: &Subject<'_>) -> Vec<PickGroup> {
    let mut tools: BTreeMap<String, Vec<u32>> = BTreeMap::new();
    let mut materials: BTreeMap<String, Vec<u32>> = BTreeMap::new();
    for operation in &planned.plan.operations {
        for (texts, list) in [(&operation.tools, &mut tools), (&operation.materials, &mut materials)] {
            for text in texts {
                let numbers = list.entry(text.clone()).or_default();
                if !numbers.contains(&operation.number) {
                    numbers.push(operation.number);
                }
            }
        }
    }
    let list = |rows: BTreeMap<String, Vec<u32>>| -> Vec<PickRow> {
        rows.into_iter()
            .map(|(what, numbers)| PickRow {
                what,
                detail: Some(for_operations(&numbers)),
                ..PickRow::default()
            })
            .collect()
    };
    let mut groups = Vec::new();
    let parts = parts(planned);
    let mut material = parts;
    material.extend(list(materials));
    for (title, rows) in [
        ("Material and fasteners", material),
        ("Filler and gas", filler(planned)),
        ("Tools, gauges, consumables", list(tools)),
        ("Sheets at full size: print at 100 %, measure both 100 mm bars, enter them", sheets(planned)),
    ] {
        if !rows.is_empty() {
            groups.push(PickGroup { title: title.to_owned(), rows });
        }
    }
    groups
}

/// Sheets that are marked or cut by, with room for what their bars measure.
fn sheets(planned: &Subject<'_>) -> Vec<PickRow> {
    let row = |sheet: &crate::plan::Sheet| {
        let using = planned.plan.operations.iter().filter(|o| planned.plan.sheets_of(o).any(|s| s == sheet));
        let numbers: Vec<u32> = using.map(|o| o.number).collect();
        (!numbers.is_empty()).then(|| PickRow {
            what: format!("{} {}", sheet.name, sheet.mark()),
            detail: Some(for_operations(&numbers)),
            reading: Some(Reading {
                label: "bars, across / along".to_owned(),
                name: Some(BoxName::bars(&sheet.name)),
                ..Reading::default()
            }),
            ..PickRow::default()
        })
    };
    planned.plan.sheets.iter().filter_map(row).collect()
}

fn for_operations(numbers: &[u32]) -> String {
    // Where a tool is used all the time, its first place is what counts.
    if let (Some(first), true) = (numbers.first(), numbers.len() > 8) {
        return format!("from {first} on, in {} operations", numbers.len());
    }
    let list: Vec<String> = numbers.iter().map(u32::to_string).collect();
    format!("for {}", list.join(", "))
}

/// Fasteners and pieces the job names.
fn parts(planned: &Subject<'_>) -> Vec<PickRow> {
    let mut rows: Vec<PickRow> = planned
        .job
        .weldment
        .iter()
        .flat_map(|w| &w.piece)
        .map(|piece| PickRow { what: piece.0.clone(), ..PickRow::default() })
        .collect();
    // A group of which only the maker's torque is known goes back where it was: what of it
    // is new stands with the material of its operation.
    let fetched = planned.job.fastener.iter().filter(|f| f.torque.is_none() || f.thread.is_some());
    for fastener in fetched {
        let mut detail = Vec::new();
        detail.extend(fastener.thread.iter().map(|t| t.0.clone()));
        detail.extend(fastener.grade.iter().map(|t| t.0.clone()));
        detail.extend(fastener.nut.iter().map(|t| format!("nut {}", t.0)));
        if fastener.count.is_none() {
            detail.push("how many: not stated in the job".to_owned());
        }
        rows.push(PickRow {
            quantity: fastener.count.map_or_else(String::new, |n| n.to_string()),
            what: fastener.title.0.clone(),
            detail: Some(detail.join(", ")),
            ..PickRow::default()
        });
    }
    rows
}

/// Filler by classification, summed over the joints.
fn filler(planned: &Subject<'_>) -> Vec<PickRow> {
    let mut sums: BTreeMap<String, (f64, Vec<String>, bool)> = BTreeMap::new();
    for joint in &planned.job.joint {
        let Some(filler) = &joint.filler else { continue };
        let mass = planned.figures.quantity(&Owner::Joint(joint.id.0.clone()), catalogue::joint::filler);
        let entry = sums.entry(filler.0.clone()).or_insert((0.0, Vec::new(), true));
        match mass {
            Some(mass) => entry.0 += mass.si(),
            None => entry.2 = false,
        }
        entry.1.push(joint.id.value.to_string());
    }
    sums.into_iter()
        .map(|(what, (kilograms, joints, complete))| {
            let mass = Quantity::from(Mass::from_si(kilograms));
            let style = planned.job.job.units.first(Style::of(mass.kind()).up());
            PickRow {
                quantity: if complete { style.both(mass) } else { "______".to_owned() },
                what,
                detail: Some(format!("for {}", joints.join(", "))),
                ..PickRow::default()
            }
        })
        .collect()
}
