//! One table: as found, planned, limit, as left, verdict.

use std::collections::BTreeSet;

use super::super::super::super::document::{OutcomeRow, Section};
use super::super::Facts;
use super::{Taken, figure, outside, sentence, side, stem, taken, verdict};
use crate::job::model::Station;
use crate::plan::Words;
use crate::quantity::{Kind, Style};
use crate::record::frozen::{Operation, Reading};
use crate::term::Side;

/// A line of the table: how it is called, what kind it is, the ids under which it is
/// read (as found in an operation that does so, as left in any later one), and the
/// figures that say what was computed before and after.
struct Line {
    what: &'static str,
    kind: Kind,
    ids: &'static [&'static str],
    before: &'static str,
    after: &'static str,
}

const fn line(
    what: &'static str,
    kind: Kind,
    ids: &'static [&'static str],
    before: &'static str,
    after: &'static str,
) -> Line {
    Line { what, kind, ids, before, after }
}

/// What a customer asks about first, in the order it is asked.
const LINES: &[Line] = &[
    line("height, left front", Kind::Length, &["height-lf"], "", ""),
    line("height, right front", Kind::Length, &["height-rf"], "", ""),
    line("height, left", Kind::Length, &["height-l"], "", ""),
    line("height, right", Kind::Length, &["height-r"], "", ""),
    line("height, left rear", Kind::Length, &["height-lr"], "", ""),
    line("height, right rear", Kind::Length, &["height-rr"], "", ""),
    line("frame above the axle, lift", Kind::Length, &["lift"], "", "lift"),
    line("frame rail, nose up", Kind::Angle, &["rail-angle"], "", ""),
    line("caster", Kind::Angle, &["caster"], "caster_now", "caster_target"),
    line("camber", Kind::Angle, &["camber"], "", ""),
    line("kingpin inclination", Kind::Angle, &["kpi"], "", ""),
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
    line("bump stop gap", Kind::Length, &["bump"], "", ""),
    line("shackle angle", Kind::Angle, &["angle"], "", ""),
    line("wheelbase, left", Kind::Length, &["wheelbase-left"], "", "wheelbase_left"),
    line("wheelbase, right", Kind::Length, &["wheelbase-right"], "", "wheelbase_right"),
    line("diagonals differ by", Kind::Length, &["diagonals"], "", ""),
    line("side stability factor", Kind::Number, &[], "stability_before", "stability_after"),
    line("approach angle", Kind::Angle, &[], "approach_before", "approach_after"),
    line("departure angle", Kind::Angle, &[], "departure_before", "departure_after"),
    line("breakover angle", Kind::Angle, &[], "breakover_before", "breakover_after"),
];

/// Lines read in the work, the unit on stands and its weight on the springs: unless it is
/// read again where it stands on its wheels, the value did not come from those it leaves on.
const ON_STANDS: &[&str] = &["frame above the axle, lift", "frame rail, nose up", "bump stop gap"];

/// Behind such a value.
const STANDS: &str = ", on stands";

/// Act of operations that say how the unit came.
const AS_FOUND: &str = "as-found";

/// Readings that say how a part came, in operations that do not: a tube is bare, and free
/// of load, only in the work.
const CAME: &[&str] = &["straight-before", "straight-before-h"];

fn came(operation: &Operation, reading: &Reading) -> bool {
    CAME.contains(&reading.id.as_str()) || operation.acts.iter().any(|a| a == AS_FOUND)
}

/// Whether a reading is of a joint, a fastener group or a shift: those stand in
/// tables of their own.
fn elsewhere(operation: &Operation, reading: &Reading) -> bool {
    let end = reading.id.rsplit_once('.').map(|(_, end)| end);
    let own = |names: &[String]| end.is_some_and(|end| names.iter().any(|n| n == end));
    own(&operation.joints) || own(&operation.fasteners) || end.is_some_and(|e| e.starts_with("shift-"))
}

/// What stands in the table: the reading as left, or that it is lacking.
pub(super) struct Left<'a> {
    pub(super) what: String,
    pub(super) side: Option<Side>,
    pub(super) taken: Taken<'a>,
}

fn of_kind(reading: &Reading, kind: Kind) -> bool {
    reading.limits.is_some_and(|l| l.kind == kind)
}

/// A side, with the readings that stand for it.
type Asked<'a> = (Option<Side>, Vec<(&'a Operation, &'a Reading)>);

/// The lines the plan has, with the sides each is read on.
fn asked<'a>(facts: &Facts<'a>, line: &Line) -> Vec<Asked<'a>> {
    let mut found: Vec<(Option<Side>, Vec<_>)> = Vec::new();
    for operation in facts.plan.operations.iter().filter(|o| !o.deferred) {
        for reading in operation.readings() {
            let named = line.ids.contains(&stem(&reading.id)) && of_kind(reading, line.kind);
            // What nobody has to read, and nobody did, is no line of the table.
            let wanted = reading.asked() || facts.state.reading(&operation.key, &reading.id).is_some();
            if !named || !wanted || elsewhere(operation, reading) {
                continue;
            }
            let hand = side(&reading.id);
            match found.iter_mut().find(|(side, _)| *side == hand) {
                Some((_, list)) => list.push((operation, reading)),
                None => found.push((hand, vec![(operation, reading)])),
            }
        }
    }
    // Read on both sides in one place and once in another: the sides count.
    if found.iter().any(|(side, _)| side.is_some()) {
        found.retain(|(side, _)| side.is_some());
    }
    found.sort_by_key(|(side, _)| *side);
    found
}

fn reading_of<'a>(
    facts: &Facts<'a>,
    (operation, reading): (&'a Operation, &'a Reading),
) -> Option<Taken<'a>> {
    let (measured, mark) = facts.state.reading(&operation.key, &reading.id)?;
    Some(Taken { operation, reading, measured, mark })
}

/// A printed target as what was wanted and how far off it may be: `21.8° ± 0.5°`.
fn parted(target: Option<&str>) -> (Option<String>, Option<String>) {
    match target {
        Some(text) => match text.split_once(" ± ") {
            Some((wanted, room)) => (Some(wanted.to_owned()), Some(format!("± {room}"))),
            None if text == "record" => (None, None),
            None => (None, Some(text.to_owned())),
        },
        None => (None, None),
    }
}

fn on_stands(line: &Line, taken: &Taken<'_>) -> bool {
    ON_STANDS.contains(&line.what) && taken.operation.station != Station::AlignmentRack.word()
}

/// The limit and the verdict of a reading that has none of its own but has to agree with
/// another: `as found ± 0.020 in`.
fn agreed(facts: &Facts<'_>, taken: &Taken<'_>) -> Option<(String, (String, bool))> {
    let near = taken.reading.near.as_ref().filter(|_| !taken.measured.verdict.decided())?;
    let other = facts.plan.operations.iter().find(|o| o.key == near.to.operation)?;
    let first = other.readings().find(|r| r.id == near.to.reading)?;
    let what = if came(other, first) { "as found" } else { "as read before" };
    let within = Style::of(near.within.kind()).fine_enough(near.within).both(near.within);
    // The rule is judged where every rule is.
    let off = facts.state.broken(facts.plan, taken.operation);
    let bad = off.iter().any(|stop| stop.reading == taken.reading.id);
    let words = if bad { outside(facts, taken, "OUTSIDE") } else { "agrees".to_owned() };
    Some((format!("{what} ± {within}"), (words, bad)))
}

fn row(facts: &Facts<'_>, line: &Line, hand: Option<Side>, all: &[(&Operation, &Reading)]) -> OutcomeRow {
    let shown =
        |name: &str| (!name.is_empty()).then(|| figure(facts, name, hand)).flatten().map(|f| f.show());
    let computed = |name: &str| shown(name).map(|text| format!("{text}, computed"));
    let found = all.iter().filter(|(o, r)| came(o, r)).filter_map(|of| reading_of(facts, *of)).next_back();
    let after: Vec<_> = all.iter().filter(|(o, r)| !came(o, r)).copied().collect();
    let left = after.last().and_then(|of| reading_of(facts, *of));
    // The last place it is read in counts; an earlier one is no reading as left.
    let agreed = left.as_ref().and_then(|taken| agreed(facts, taken));
    let (words, bad) = match (&left, after.is_empty()) {
        (Some(taken), _) => agreed.clone().map_or_else(|| verdict(facts, taken), |(_, said)| said),
        (None, false) => ("NOT READ".to_owned(), true),
        (None, true) if all.is_empty() => ("computed, not measured".to_owned(), false),
        (None, true) => ("not read again".to_owned(), false),
    };
    let target = match &left {
        Some(taken) => taken.measured.target.as_deref().or(taken.reading.target.as_deref()),
        None => after.last().and_then(|(_, r)| r.target.as_deref()),
    };
    let (wanted, limit) = parted(target);
    let limit = limit.or(agreed.map(|(limit, _)| limit));
    // One limit alone may stand because the plan was mended: then what was computed
    // first is no plan any more.
    let range = limit.as_ref().is_some_and(|l| l.contains(" to "));
    let planned = wanted.or_else(|| shown(line.after).filter(|_| range));
    OutcomeRow {
        what: line.what.to_owned(),
        side: hand.map(|s| s.word().to_owned()),
        found: found.map(|t| t.entered()).or_else(|| computed(line.before)),
        planned: planned.filter(|_| !all.is_empty()),
        limit,
        left: match &left {
            Some(taken) if on_stands(line, taken) => Some(format!("{}{STANDS}", taken.entered())),
            Some(taken) => Some(taken.entered()),
            None if all.is_empty() => computed(line.after),
            None => None,
        },
        verdict: words,
        bad,
        operation: left.map(|t| t.operation.number).or_else(|| after.last().map(|(o, _)| o.number)),
        place: left.map(|t| t.place()),
    }
}

/// Readings with a limit that no line of the table names: what a job without those
/// lines is made of.
fn others<'a>(facts: &Facts<'a>) -> Vec<Taken<'a>> {
    let of_line =
        |t: &Taken<'_>| LINES.iter().any(|l| l.ids.contains(&t.stem()) && of_kind(t.reading, l.kind));
    let plain = |t: &Taken<'_>| {
        let kind = t.reading.limits.map(|l| l.kind);
        matches!(kind, Some(Kind::Length | Kind::Angle | Kind::Number)) && t.measured.verdict.decided()
    };
    let welded = |t: &Taken<'_>| t.operation.acts.iter().any(|a| a == "arc");
    taken(facts)
        .filter(|t| !t.operation.deferred && !elsewhere(t.operation, t.reading))
        .filter(|t| plain(t) && !of_line(t) && !welded(t))
        .collect()
}

/// Whether the plan has any line of the table.
fn known(facts: &Facts<'_>) -> bool {
    LINES.iter().any(|l| !asked(facts, l).is_empty())
}

/// The readings as left that stand in the table.
pub(super) fn left<'a>(facts: &Facts<'a>) -> Vec<Left<'a>> {
    let mut found = Vec::new();
    for line in LINES {
        for (hand, all) in asked(facts, line) {
            let last = all.iter().rfind(|(o, r)| !came(o, r));
            if let Some(taken) = last.and_then(|of| reading_of(facts, *of)) {
                found.push(Left { what: line.what.to_owned(), side: hand, taken });
            }
        }
    }
    if !known(facts) {
        let one = |t: Taken<'a>| Left { what: label(&t), side: t.side(), taken: t };
        found.extend(others(facts).into_iter().map(one));
    }
    found
}

/// The label of a reading without the end that says its side.
fn label(taken: &Taken<'_>) -> String {
    let text = taken.reading.label.as_str();
    let ends = taken.side().map(|s| format!(", {}", s.word()));
    ends.and_then(|end| text.strip_suffix(end.as_str())).unwrap_or(text).to_owned()
}

pub(super) fn section(facts: &Facts<'_>) -> Section<OutcomeRow> {
    let mut rows = Vec::new();
    for line in LINES {
        let all = asked(facts, line);
        if all.is_empty() {
            let known = |name: &str| !name.is_empty() && figure(facts, name, None).is_some();
            if line.ids.is_empty() && known(line.before) && known(line.after) {
                rows.push(row(facts, line, None, &[]));
            }
            continue;
        }
        rows.extend(all.iter().map(|(hand, all)| row(facts, line, *hand, all)));
    }
    if !known(facts) {
        rows.extend(others(facts).iter().map(|taken| {
            let (words, bad) = verdict(facts, taken);
            let (planned, limit) = parted(taken.measured.target.as_deref());
            OutcomeRow {
                what: label(taken),
                side: taken.side().map(|s| s.word().to_owned()),
                planned,
                limit,
                left: Some(taken.entered()),
                verdict: words,
                bad,
                operation: Some(taken.operation.number),
                place: Some(taken.place()),
                ..OutcomeRow::default()
            }
        }));
    }
    let bad: BTreeSet<String> = rows.iter().filter(|r| r.bad).map(name).collect();
    let mut notes = Vec::new();
    if rows.is_empty() {
        notes.push(Words::plain("Nothing was measured on this job that has a limit of its own; what was welded and tightened stands below."));
    } else {
        notes.push(Words::plain("Caster is positive with the top of the kingpin to the rear, camber with the top of the wheel outward, the pinion with its nose up. A value without a limit was recorded, not judged; “computed” was not measured."));
        if !rows.iter().any(|r| facts.figures.is_some() || r.found.is_some()) {
            notes.push(Words::plain(
                "The figures of the plan could not be computed again with what was measured; none is shown.",
            ));
        }
    }
    if !bad.is_empty() {
        let list = bad.into_iter().collect::<Vec<_>>().join(", ");
        notes.push(
            Words::default().strong(sentence(&format!("outside its limit, not proven or not read: {list}."))),
        );
    }
    if !rows.iter().any(|r| r.what == "caster" || r.what == "pinion angle" || r.what == "camber")
        && !rows.is_empty()
    {
        notes.remove(0);
        notes.insert(
            0,
            Words::plain("A value without a limit was recorded, not judged; “computed” was not measured."),
        );
    }
    if rows.iter().any(|r| r.left.as_ref().is_some_and(|l| l.ends_with(STANDS))) {
        notes.push(Words::plain(
            "“On stands”: read in the work, the weight on the springs and no wheel on the ground.",
        ));
    }
    Section { notes, rows }
}

fn name(row: &OutcomeRow) -> String {
    row.side.as_ref().map_or_else(|| row.what.clone(), |side| format!("{} {side}", row.what))
}
