//! The weld map of a job: a drawing per component, and every joint in the table.

use super::super::document::{WeldMap, WeldRow};
use super::super::weld::Standard;
use super::super::weld::map::{
    AxleParts, Joint as Placed, Map, PartShape, Seam, axle, pad_section, rail, weldment as weldment_map,
};
use super::super::weld::strokes::with_joint;
use super::{Subject, symbols};
use crate::job::model::{Axle, Component, Joint, SpringSide, WeldPlace, Weldment};
use crate::plan::symbol;
use crate::quantity::{Angle, Dimensioned};
use crate::term::Units;

/// The map; none for a job without joints.
pub(super) fn of(planned: &Subject<'_>) -> Option<WeldMap> {
    let job = planned.job;
    if job.joint.is_empty() {
        return None;
    }
    let legend = (symbols::standard(planned), job.job.units);
    let mut map = WeldMap {
        note: "Every joint of the job where it is. A joint stands in the table if no drawing here has its place.".to_owned(),
        ..WeldMap::default()
    };
    let mut shown: Vec<String> = Vec::new();
    for component in &job.axle {
        let placed: Vec<Placed> = job
            .joint
            .iter()
            .filter(|j| matches!(job.component(&j.on.value), Some(Component::Axle(a)) if a.id.value == component.id.value))
            .filter_map(|j| Some(Placed { id: j.id.value.to_string(), symbol: symbols::of(planned, j), spot: seam(j)? }))
            .collect();
        let name = component.name.as_deref().unwrap_or(&component.id.0);
        let Some(parts) = parts(component) else { continue };
        let drawn = axle(&capital(name), &parts, &placed, legend);
        map.drawings.extend(drawn.drawing);
        shown.extend(drawn.shown);
        if let Some(pad) = placed.iter().find(|p| matches!(p.spot, Seam::Pad(_))) {
            let length = |l: &Option<crate::file::Located<crate::file::Reading<crate::quantity::Length>>>| {
                l.as_ref().map(|l| l.value.value)
            };
            let job_pad = component.pad.as_ref();
            let height = job_pad.and_then(|p| length(&p.thickness));
            let section = height.map(|h| (h, job_pad.and_then(|p| length(&p.weld_spread))));
            map.drawings.push(pad_section(parts.tube, section, pad, legend));
            shown.push(pad.id.clone());
        }
        let rails = rail(name, &placed, legend);
        map.drawings.extend(rails.drawing);
        shown.extend(rails.shown);
    }
    for component in &job.weldment {
        let drawn = of_weldment(planned, component, legend);
        map.drawings.extend(drawn.drawing);
        shown.extend(drawn.shown);
    }
    map.rows = job
        .joint
        .iter()
        .map(|joint| {
            let id = joint.id.value.to_string();
            WeldRow {
                title: joint.title.0.clone(),
                words: symbol(job, planned.figures, joint),
                symbol: with_joint(&symbols::of(planned, joint), joint.form),
                placed: shown.contains(&id),
                id,
                ..WeldRow::default()
            }
        })
        .collect();
    Some(map)
}

/// A weldment from its parts; nothing without parts or joints between them.
fn of_weldment(planned: &Subject<'_>, weldment: &Weldment, legend: (Standard, Units)) -> Map {
    let place = |id: &str| weldment.part.iter().position(|p| p.id.0 == *id);
    let placed: Vec<Placed> = planned
        .job
        .joint
        .iter()
        .filter(|j| j.on.value == weldment.id.value)
        .filter_map(|joint| {
            let [a, b, ..] = joint.parts.as_slice() else { return None };
            Some(Placed {
                id: joint.id.value.to_string(),
                symbol: symbols::of(planned, joint),
                spot: Seam::Parts(place(&a.0)?, place(&b.0)?),
            })
        })
        .collect();
    let parts: Vec<PartShape> = weldment
        .part
        .iter()
        .map(|part| PartShape {
            name: part.id.0.replace('-', " "),
            left: part.left.value.value,
            up: part.up.value.value,
            across: part.across.value.value,
            high: part.high.value.value,
            turn: part.turn.as_ref().map_or(Angle::from_si(0.0), |t| t.value.value),
        })
        .collect();
    weldment_map(&capital(weldment.name.as_deref().unwrap_or(&weldment.id.0)), &parts, &placed, legend)
}

/// Where on an axle and its springs a joint is, by its use and its place; none
/// if the job does not tell.
fn seam(joint: &Joint) -> Option<Seam> {
    let place = joint.place?;
    match (joint.usage.0.as_str(), place) {
        ("knuckle", WeldPlace::Left | WeldPlace::Both) => Some(Seam::Knuckle(true)),
        ("knuckle", WeldPlace::Right) => Some(Seam::Knuckle(false)),
        ("pad", WeldPlace::Left | WeldPlace::Both) => Some(Seam::Pad(true)),
        ("pad", WeldPlace::Right) => Some(Seam::Pad(false)),
        ("hanger", WeldPlace::Front | WeldPlace::Both) => Some(Seam::Hanger(true)),
        ("hanger", WeldPlace::Rear) => Some(Seam::Hanger(false)),
        _ => None,
    }
}

fn parts(axle: &Axle) -> Option<AxleParts> {
    let tube = axle.tube.as_ref()?;
    Some(AxleParts {
        tube: tube.od.as_ref()?.value.value,
        pads: tube.pad_spread.as_ref().map(|l| l.value.value),
        over: axle.spring.as_ref().is_none_or(|s| s.to == SpringSide::Over),
        steered: axle.steered,
    })
}

fn capital(word: &str) -> String {
    let mut chars = word.chars();
    chars.next().map_or_else(String::new, |c| c.to_uppercase().chain(chars).collect())
}
