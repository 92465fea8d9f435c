//! Drawings beside the boxes of an operation, with the job's numbers.

use super::super::document::Captioned;
use super::super::end_view;
use super::super::sketch::{self, Sketch, Values};
use super::Subject;
use crate::job::model::{Axle, Fastener, Pattern, Verb};
use crate::plan;
use crate::procedure::catalogue::{Called, component, side};
use crate::procedure::figures::{Owner, Side};
use crate::quantity::Angle;
use crate::quantity::show::GAUGE;
use crate::term::Units;

/// The drawings of an operation. Those that would say nothing of the job are
/// left out where a number is what they are for.
pub(super) fn beside(planned: &Subject<'_>, operation: &plan::Operation) -> Vec<Captioned> {
    let axle = planned.job.axle.iter().find(|a| operation.on.iter().any(|c| c.id == *a.id.0));
    let mut values = axle.map(|axle| values(planned, axle)).unwrap_or_default();
    // Who turns it is shown where it comes to, who records it how it was.
    if let Some(axle) = axle.filter(|_| operation.verb == Verb::Rotate) {
        let owner = Owner::Component(axle.id.0.clone());
        values.pinion = planned.figures.quantity(&owner, component::pinion_target);
    }
    values.nuts = nuts(planned, operation);
    let wanted = operation.drawings.iter().filter(|s| values.tell(**s));
    wanted.map(|one| with_other_side(planned, axle, *one, sketch::draw(*one, &values))).collect()
}

/// The order in which the nuts over a plate are tightened, where they are those of
/// U-bolts: what another pattern counts is not drawn as if it were.
fn nuts(planned: &Subject<'_>, operation: &plan::Operation) -> Option<[usize; 4]> {
    let of = |f: &&Fastener| operation.fasteners.iter().any(|id| *id == *f.id.0);
    let legs: Vec<Option<u32>> = planned
        .job
        .fastener
        .iter()
        .filter(of)
        .map(|f| f.count.filter(|n| f.pattern == Pattern::UBolt && matches!(n, 2 | 4)))
        .collect();
    let Some((first, rest)) = legs.split_first() else { return Some(sketch::order(2)) };
    let alike = rest.iter().all(|n| n == first);
    first.filter(|_| alike).map(|n| sketch::order(if n == 2 { 1 } else { 2 }))
}

/// The numbers of the first side stand on the drawing of a knuckle; those of
/// the other under it.
fn with_other_side(
    planned: &Subject<'_>,
    axle: Option<&Axle>,
    sketch: Sketch,
    mut drawn: Captioned,
) -> Captioned {
    let sides: Vec<_> = axle.map(|axle| views(planned, axle)).unwrap_or_default();
    if let (Sketch::Knuckle, [_, other]) = (sketch, sides.as_slice()) {
        // What is dashed and what is solid has its words in the drawing.
        drawn.caption = drawn.caption.replace(end_view::LINES, "");
        drawn.caption.push_str(&format!(
            " As planned; the {} mirrored: turn {}, arc {}.",
            other.side.word(),
            planned.quantity(other.rotation.into()),
            planned.job.job.units.first(GAUGE).both(other.mark_arc.into()),
        ));
    }
    drawn
}

/// The knuckles that are turned.
pub(super) fn views(planned: &Subject<'_>, axle: &Axle) -> Vec<end_view::EndView> {
    let od = axle.tube.as_ref().and_then(|t| t.od.as_ref()).map(|od| od.value.value);
    let view = |side: Side| {
        let owner = Owner::Side(axle.id.0.clone(), side);
        let angle = |name: Called<Angle>| planned.figures.quantity(&owner, name);
        Some(end_view::EndView {
            side,
            tube_od: od?,
            caster_before: angle(side::caster_after_turn)?,
            caster_after: angle(side::caster_target)?,
            rotation: angle(side::knuckle_rotation)?,
            mark_arc: planned.figures.quantity(&owner, side::mark_arc)?,
            units: planned.job.job.units,
        })
    };
    if axle.steered { Side::BOTH.into_iter().filter_map(view).collect() } else { Vec::new() }
}

fn values(planned: &Subject<'_>, axle: &Axle) -> Values {
    let owner = Owner::Component(axle.id.0.clone());
    let left = Owner::Side(axle.id.0.clone(), Side::Left);
    let angle = |owner: &Owner, name: Called<Angle>| planned.figures.quantity(owner, name);
    let found = axle.knuckle.as_ref().and_then(|k| k.left.as_ref());
    let read = |of: Option<&crate::file::Located<crate::file::Reading<Angle>>>| of.map(|a| a.value.value);
    Values {
        caster: angle(&left, side::caster_now),
        lean: angle(&left, side::caster_after_turn),
        inclination: read(found.and_then(|k| k.inclination.as_ref())),
        camber: read(found.and_then(|k| k.camber.as_ref())),
        pinion: angle(&owner, component::pinion_now),
        pinion_ahead: !axle.steered,
        shackle: angle(&owner, component::shackle_target),
        depth: planned.figures.quantity(&owner, component::depth_stop),
        offset: planned.figures.quantity(&owner, component::groove_offset),
        knuckle: views(planned, axle).first().copied(),
        nuts: None,
        metric: planned.job.job.units == Units::Metric,
    }
}
