//! Cross-checks of a weld joint.

use super::{at, steel, words, written};
use crate::diagnostic::{Diagnostic, Report};
use crate::job::JobFile;
use crate::job::model::{Component, Joint, WeldType};
use crate::quantity::Dimensioned;
use crate::quantity::show::GAUGE;
use crate::quantity::unit;
use crate::reference::metal;

/// A bevel of this angle leaves no edge, in degrees.
const STEEPEST: f64 = 80.0;
/// Tube walls run to 12.5 % about nominal (ASTM A513, common practice).
const WALL_TOLERANCE: f64 = 0.13;

pub(super) fn check(job: &JobFile, joint: &Joint, report: &mut Report) {
    knuckle(job, joint, report);
    let thinner = joint.thinner();
    if let (Some(depth), Some(thick)) = (&joint.groove_depth, thinner)
        && depth.value.value > thick.value.value
    {
        report.push(at(
            Diagnostic::error(
                "J130",
                format!("a groove of {} is deeper than the wall of {}", words(depth), words(thick)),
            )
            .expected("a groove no deeper than the thinner part: its throat counts no further")
            .example(format!("groove_depth = \"{}\"", written(job.job.units, GAUGE, thick.value.value))),
            depth,
        ));
    }
    if let (Some(face), Some(thick)) = (&joint.root_face, &joint.thickness)
        && face.value.value >= thick.value.value
    {
        report.push(at(
            Diagnostic::error(
                "J133",
                format!("a root face of {} leaves no groove in {}", words(face), words(thick)),
            )
            .expected("a root face thinner than the part")
            .example("root_face = \"1/32 in\""),
            face,
        ));
    }
    if joint.kind.value == WeldType::Fillet
        && let (Some(size), Some(thin)) = (&joint.size, thinner)
        && size.value.value.si() > thin.value.value.si() * (1.0 + 1e-9)
    {
        let least = crate::quantity::Style::of(crate::quantity::Kind::Length).down();
        report.push(at(
            Diagnostic::error(
                "J131",
                format!(
                    "a fillet of {} is larger than the part of {} it joins: it melts more than it holds",
                    words(size),
                    words(thin)
                ),
            )
            .expected("a leg no larger than the thinner part")
            .example(format!("size = \"{}\"", written(job.job.units, least, thin.value.value))),
            size,
        ));
    }
    if joint.kind.value == WeldType::BevelGroove
        && let Some(angle) = &joint.groove_angle
        && angle.value.value.to(unit::DEG) >= STEEPEST
    {
        report.push(at(
            Diagnostic::error("J135", format!("a bevel of {} takes the edge away", words(angle)))
                .expected("the angle of the bevel from the square edge, usually 30° to 45°")
                .example("groove_angle = \"45 deg\""),
            angle,
        ));
    }
    if let (Some(preheat), Some(interpass)) = (&joint.preheat, &joint.interpass_max)
        && interpass.value.value.si() - preheat.value.value.si() < Joint::ROOM_TO_WELD
    {
        report.push(at(
            Diagnostic::error(
                "J132",
                format!(
                    "between the preheat of {} and the interpass maximum of {} nobody can weld: the joint is above the first and below the second for no run",
                    words(preheat),
                    words(interpass)
                ),
            )
            .expected("an interpass maximum 15 °C (27 °F) or more above the preheat")
            // Two values that nearly meet are no swap: a preheat is not proposed lower by a slip.
            .example(if preheat.value.value.si() - interpass.value.value.si() > Joint::ROOM_TO_WELD {
                super::crossed(job.job.units, preheat, interpass)
            } else {
                "interpass_max = \"…\", from the welding procedure".to_owned()
            }),
            interpass,
        ));
    }
    if joint.count == 0 {
        report.push(
            Diagnostic::error("J134", format!("joint {} is made zero times", joint.id.value))
                .at(Some(joint.id.span.clone()))
                .key(format!("{}.count", joint.id.key.trim_end_matches(".id")))
                .expected("a count of at least one")
                .example("count = 2"),
        );
    }
}

/// After a cut inboard of the seam the weld joins tube to tube, over a spigot or
/// a sleeve: what is welded is not the knuckle.
fn knuckle(job: &JobFile, joint: &Joint, report: &mut Report) {
    if *joint.usage.0 != *"knuckle" {
        return;
    }
    let Some(Component::Axle(axle)) = job.component(&joint.on.value) else { return };
    let Some(cut) = &axle.cut else { return };
    let inboard = cut.groove_offset.as_ref().is_some_and(|o| o.value.value.si() > 0.0);
    let Some(construction) = cut.construction.as_ref().map(|c| c.value) else { return };
    if !construction.cuts_tube() || !inboard {
        return;
    }
    let tube = axle.tube.as_ref();
    let wall = tube.and_then(|t| t.wall.as_ref());
    if let (Some(wall), Some(depth)) = (wall, &joint.groove_depth)
        && joint.kind.value.is_groove()
        && depth.value.value.si() < wall.value.value.si() * (1.0 - WALL_TOLERANCE)
    {
        report.push(at(
            Diagnostic::stop(
                "J307",
                format!(
                    "joint {}: the tube is cut through its wall of {}, and {} of it is welded: the rest stays open under a weld that steers",
                    joint.id.value,
                    wall.value.first(GAUGE).both(wall.value.value.into()),
                    depth.value.first(GAUGE).both(depth.value.value.into())
                ),
            )
            .expected("a groove through the wall, all but what a wall may be under its nominal size (13 %, ASTM A513)")
            .example("groove_depth = \"…\", as the welding procedure was qualified")
            .help("if it is right all the same, write beside it: sure = \"why it is right\"")
            .unless_sure(joint.sure.as_deref()),
            depth,
        ));
    }
    if let (Some(wall), Some(other)) = (wall, &joint.other_thickness)
        && (other.value.value.si() / wall.value.value.si() - 1.0).abs() > WALL_TOLERANCE
    {
        report.push(at(
            Diagnostic::error(
                "J136",
                format!(
                    "joint {} is cut in the tube and joins tube to tube, yet its second part is {}",
                    joint.id.value,
                    words(other)
                ),
            )
            .expected("the wall of the tube on both sides; what stands behind the seam is its backing")
            .example(format!("other_thickness = \"{}\"", written(job.job.units, GAUGE, wall.value.value))),
            other,
        ));
    }
    let steel = tube.and_then(|t| t.steel.as_ref());
    if let (Some(steel), Some(other)) = (steel, &joint.other_steel)
        && metal::find(&steel.value).is_some()
        && !steel::same(&steel.value, &other.value)
    {
        report.push(at(
            Diagnostic::error(
                "J136",
                format!(
                    "joint {} is cut in the tube and joins tube to tube, yet its second part is of {}",
                    joint.id.value, other.value
                ),
            )
            .expected("the steel of the tube on both sides")
            .example(format!("other_steel = \"{}\"", steel.value)),
            other,
        ));
    }
}
