//! Pencil look-up tables for what is only known after measuring.

use super::super::document::{LookUp, LookUpRow};
use super::Subject;
use crate::figure::geometry::scribe_mark;
use crate::job::model::{Axle, Component, Units};
use crate::plan;
use crate::procedure::catalogue;
use crate::procedure::figures::Owner;
use crate::quantity::show::{ANGLE, LENGTH, RULE};
use crate::quantity::{Angle, Dimensioned, unit};

/// Readings on either side of the expected one, in steps of half a degree.
const STEPS_EACH_WAY: i32 = 6;

/// The table a step asks for by name.
pub(super) fn named(planned: &Subject<'_>, ask: &plan::LookUp) -> Option<LookUp> {
    let Some(Component::Axle(axle)) = planned.job.component(&ask.component) else { return None };
    match ask.name.as_str() {
        "knuckle-rotation" => knuckle_rotation(planned, axle),
        _ => None,
    }
}

/// Measured caster to knuckle rotation to arc on the tube, for both sides.
fn knuckle_rotation(planned: &Subject<'_>, axle: &Axle) -> Option<LookUp> {
    let target = axle.target.as_ref()?.caster.as_ref()?.value.value;
    let od = axle.tube.as_ref()?.od.as_ref()?.value.value;
    // Centre the table on the expected reading, or on the target less ten
    // degrees where nothing is known.
    let expected = crate::procedure::figures::Side::BOTH
        .iter()
        .find_map(|side| {
            planned
                .figures
                .quantity(&Owner::Side(axle.id.0.clone(), *side), catalogue::side::caster_after_turn)
        })
        .map_or(target.to(unit::DEG) - 10.0, |a| a.to(unit::DEG));
    let middle = (expected * 2.0).round() / 2.0;
    let readings: Vec<Angle> = (-STEPS_EACH_WAY..=STEPS_EACH_WAY)
        .map(|n| Angle::of(middle + f64::from(n) / 2.0, unit::DEG))
        .collect();
    let metric = planned.job.job.units == Units::Metric;
    let length = planned.job.job.units.first(LENGTH);
    let arcs = readings.iter().map(|r| scribe_mark::arc(od, target - *r));
    // What is subtracted from is shown as it was stated, and so is what is left.
    let angle = ANGLE.fine_enough(target.into());
    let rule = planned.job.job.units.first(RULE);
    let plain = |text: String| text.trim_end_matches(" in").trim_end_matches(" mm").to_owned();
    Some(LookUp {
        title: format!(
            "Knuckle rotation from the caster measured with the pinion set, either side: target {} less the reading",
            angle.both(target.into())
        ),
        rows: vec![
            LookUpRow {
                head: "reading".to_owned(),
                cells: readings.iter().map(|r| ANGLE.shop((*r).into())).collect(),
            },
            LookUpRow {
                head: "rotate".to_owned(),
                cells: readings.iter().map(|r| angle.shop((target - *r).into())).collect(),
            },
            LookUpRow {
                head: format!("arc on {}, {}", length.shop(od.into()), if metric { "mm" } else { "in" }),
                cells: arcs.map(|a| plain(rule.shop(a.into()))).collect(),
            },
        ],
        note: Some(format!(
            "Positive: top rearward. Each side from its own reading. Arc = π × {} × rotation / 360; a straight rule reads the chord, a little less.",
            length.both(od.into())
        )),
    })
}
