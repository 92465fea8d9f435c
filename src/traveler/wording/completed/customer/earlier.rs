//! Rows of plans that were frozen before a plan said where its values are told: by the ids
//! the procedures of their day gave their readings.

use super::{side, stem};
use crate::quantity::Kind;
use crate::record::frozen::{Operation, Reading};
use crate::term::SETTLED;
use crate::term::Side;
use crate::term::customer::{Height, Row, Section};

/// A row of the table: its name, the kind and the ids of its readings, and the figures that
/// say what was computed before and planned.
struct Line {
    row: &'static str,
    kind: Kind,
    ids: &'static [&'static str],
    before: &'static str,
    planned: &'static str,
}

const fn line(
    row: &'static str,
    kind: Kind,
    ids: &'static [&'static str],
    before: &'static str,
    planned: &'static str,
) -> Line {
    Line { row, kind, ids, before, planned }
}

const LINES: &[Line] = &[
    line("height, front", Kind::Length, &["height-lf", "height-rf"], "", ""),
    line("height", Kind::Length, &["height-l", "height-r"], "", ""),
    line("height, rear", Kind::Length, &["height-lr", "height-rr"], "", ""),
    line("frame above the axle, lift", Kind::Length, &["lift"], "", "lift"),
    line("frame rail, nose up", Kind::Angle, &["rail-angle"], "", ""),
    line("caster", Kind::Angle, &["caster"], "caster_now", "caster_target"),
    line("camber", Kind::Angle, &["camber"], "", "camber_after"),
    line("kingpin inclination", Kind::Angle, &["kpi"], "", "kpi_after"),
    line("total toe", Kind::Angle, &["toe", "toe-set"], "", "toe_target"),
    line("axle bow, up", Kind::Length, &["bow"], "", ""),
    line("bend of the tube, vertical", Kind::Length, &["straight-before", "bend-vertical"], "", ""),
    line("bend of the tube, level", Kind::Length, &["straight-before-h", "bend-horizontal"], "", ""),
    line("coupler height", Kind::Length, &["coupling-height"], "", ""),
    line("tongue weight", Kind::Mass, &["tongue"], "", ""),
    line("pinion angle", Kind::Angle, &["pinion"], "pinion_now", "pinion_target"),
    line("joint angle, transfer case", Kind::Angle, &["joint-case"], "joint_case_before", "joint_case_after"),
    line("joint angle, pinion", Kind::Angle, &["joint-pinion"], "joint_pinion_before", "joint_pinion_after"),
    line("drag link off level", Kind::Angle, &["drag-link", "slope"], "drag_link_before", "drag_link_after"),
    line("bump steer", Kind::Angle, &["bump"], "bump_steer_before", "bump_steer_after"),
    line("shackle angle", Kind::Angle, &["angle"], "", ""),
    line("wheelbase", Kind::Length, &["wheelbase-left"], "", "wheelbase_left"),
    line("wheelbase", Kind::Length, &["wheelbase-right"], "", "wheelbase_right"),
    line("diagonals differ by", Kind::Length, &["diagonals"], "", ""),
];

/// The gap at the stop had an id that was a shaft's length in another procedure.
const STOP_GAP: (&str, &str) = ("bump", "bump stop gap");
/// Operations that read it.
const STOP_GAP_IN: &[&str] = &["springs-as-found", "trial-travel"];

/// Rows read in the work, no wheel on the ground.
const ON_STANDS: &[&str] = &["frame above the axle, lift", "frame rail, nose up", "bump stop gap"];

/// Readings that say how a part came, in operations that do not.
const CAME: &[&str] = &["straight-before", "straight-before-h"];

/// Readings that name a part by its number or mark.
const NAMED: &[&str] =
    &["lot", "heat", "heats", "part", "batch", "mark", "marks", "hose", "serial", "number"];

/// Readings that are of the welds of their operation where no joint is named with them.
const WELDED: &[&str] = &["runs", "visual", "dye", "penetrant", "cracks", "cooling", "mock-up", "waited"];

const LAW: &[&str] = &["law"];
const PAPERS: &[&str] = &["engineer", "authority", "approval", "maker"];

/// The row of a reading by its id.
pub(super) fn row(operation: &Operation, reading: &Reading) -> Option<Row> {
    let id = stem(&reading.id);
    let named = |section| Row { row: reading.label.clone(), section, ..Row::default() };
    let text = reading.limits.is_none() && reading.choices.is_empty();
    if text && id.starts_with(SETTLED) {
        return Some(named(Section::Settled));
    }
    let sections = [
        (text && (reading.lot.is_some() || NAMED.contains(&id)), Section::Parts),
        (LAW.contains(&id), Section::Law),
        (text && PAPERS.contains(&id), Section::Papers),
        (!operation.joints.is_empty() && WELDED.contains(&id), Section::Welds),
    ];
    if let Some((_, section)) = sections.into_iter().find(|(fits, _)| *fits) {
        return Some(named(section));
    }
    value(operation, reading, id)
}

/// The row of a value of the table.
fn value(operation: &Operation, reading: &Reading, id: &str) -> Option<Row> {
    let kind = reading.limits?.kind;
    if elsewhere(operation, reading) {
        return None;
    }
    let gap = id == STOP_GAP.0 && kind == Kind::Length;
    let (row, before, planned) = if gap && STOP_GAP_IN.contains(&operation.id.as_str()) {
        (STOP_GAP.1, "", "")
    } else {
        let line = LINES.iter().find(|l| l.ids.contains(&id) && l.kind == kind)?;
        (line.row, line.before, line.planned)
    };
    let some = |name: &str| (!name.is_empty()).then(|| name.to_owned());
    let height = match row {
        "height, front" => Some(Height::Front),
        "height, rear" => Some(Height::Rear),
        "height" => Some(Height::Whole),
        _ => None,
    };
    let written = match id {
        "height-l" | "height-lf" | "height-lr" | "wheelbase-left" => Some(Side::Left),
        "height-r" | "height-rf" | "height-rr" | "wheelbase-right" => Some(Side::Right),
        _ => None,
    };
    Some(Row {
        row: row.to_owned(),
        side: side(&reading.id).or(written),
        came: CAME.contains(&reading.id.as_str()),
        on_stands: ON_STANDS.contains(&row),
        before: some(before),
        planned: some(planned),
        height,
        ..Row::default()
    })
}

/// Whether a reading is of a joint, a fastener group or a shift: those stand in tables of
/// their own.
fn elsewhere(operation: &Operation, reading: &Reading) -> bool {
    let end = reading.id.rsplit_once('.').map(|(_, end)| end);
    let own = |names: &[String]| end.is_some_and(|end| names.iter().any(|n| n == end));
    own(&operation.joints) || own(&operation.fasteners) || end.is_some_and(|e| e.starts_with("shift-"))
}
