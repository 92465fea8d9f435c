//! The route of a job for people and machines.

use serde_json::{Value as Json, json};

use super::output;
use super::plan::Plan;
use crate::plan::Point;
use crate::plan::tally::{self, Tally};
use crate::routing::speech::Speech;
use crate::routing::why;
use crate::routing::{graph, problem};
use crate::shape::{Sheet, svg};
use crate::term::PointKind;

/// One line of the route.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Line {
    /// Its number on paper: 10, 20, 30 …
    pub number: u32,
    /// Key in the route: component and operation.
    pub key: String,
    /// What is done, in one word: strip, weld, torque.
    pub verb: String,
    /// Heading on paper.
    pub title: String,
    /// Place in the shop it is done at.
    pub station: String,
    /// Planned labour in minutes.
    pub minutes: u32,
    /// Points before it, numbered as in the traveler.
    pub before: Vec<Called>,
    /// Points after it.
    pub after: Vec<Called>,
    /// Done after hand-over.
    pub deferred: bool,
}

/// A hold, witness or review point in the route.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Called {
    /// Number, such as `H3`; the same as in the traveler.
    pub number: String,
    /// What kind it is.
    pub kind: PointKind,
    /// Who signs: one role, or two joined by "and".
    pub role: String,
}

/// Labour at one station.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Load {
    /// Place in the shop.
    pub station: String,
    /// Minutes before hand-over.
    pub minutes: u32,
    /// Minutes after hand-over.
    pub deferred: u32,
}

/// Operations and labour of the whole route, in the words of its head page.
#[must_use]
pub fn tally(plan: &Plan<'_>) -> String {
    Tally::of(&plan.resolved.operations).words()
}

/// Minutes as hours, to a tenth.
#[must_use]
pub fn hours(minutes: u32) -> String {
    tally::hours(minutes)
}

/// Labour per station, in the order the route first comes to them.
#[must_use]
pub fn loads(lines: &[Line]) -> Vec<Load> {
    let mut loads: Vec<Load> = Vec::new();
    for line in lines {
        let place = loads.iter().position(|l| l.station == line.station).unwrap_or_else(|| {
            loads.push(Load { station: line.station.clone(), minutes: 0, deferred: 0 });
            loads.len() - 1
        });
        let load = &mut loads[place];
        let sum = if line.deferred { &mut load.deferred } else { &mut load.minutes };
        *sum += line.minutes;
    }
    loads
}

/// All who sign a point, as they are read out.
fn signers(point: &Point) -> String {
    point.roles.iter().map(|r| r.word()).collect::<Vec<_>>().join(" and ")
}

/// The lines of a route, in order.
#[must_use]
pub fn lines(plan: &Plan<'_>) -> Vec<Line> {
    let points = |list: &[Point]| {
        list.iter().map(|p| Called { number: p.number.clone(), kind: p.kind, role: signers(p) }).collect()
    };
    plan.resolved
        .operations
        .iter()
        .map(|operation| Line {
            number: operation.number,
            key: operation.key.clone(),
            verb: operation.verb.word().to_owned(),
            title: operation.title.clone(),
            station: operation.station.word().to_owned(),
            minutes: operation.minutes,
            before: points(&operation.before),
            after: points(&operation.after),
            deferred: operation.deferred,
        })
        .collect()
}

/// The operation a person means: a number, a key, or an id used once.
///
/// # Errors
/// The keys that could be meant, if it is none or several.
pub fn find(plan: &Plan<'_>, wanted: &str) -> Result<usize, Vec<String>> {
    let lines = lines(plan);
    if let Some(line) = lines.iter().find(|l| l.number.to_string() == wanted || l.key == wanted) {
        return plan.problem.find(&line.key).ok_or_else(Vec::new);
    }
    let same: Vec<&crate::routing::problem::Operation> =
        plan.problem.operations().iter().filter(|o| o.id == wanted).collect();
    match same.as_slice() {
        [only] => plan.problem.find(&only.key).ok_or_else(Vec::new),
        [] => Err(lines.into_iter().map(|l| l.key).collect()),
        several => Err(several.iter().map(|o| o.key.clone()).collect()),
    }
}

/// Sentences that explain an operation's place.
#[must_use]
pub fn explain(plan: &Plan<'_>, operation: usize) -> Vec<String> {
    why::why(&plan.problem, &plan.route.order, operation)
        .map(|w| w.sentences(&worded(plan), &plan.route.order))
        .unwrap_or_default()
}

/// The route as JSON.
#[must_use]
pub fn json(plan: &Plan<'_>) -> Json {
    let points = |list: &[Called]| {
        list.iter().map(|p| json!({ "number": p.number, "role": p.role })).collect::<Vec<_>>()
    };
    let lines = lines(plan);
    json!({
        "number": &*plan.loaded.job.job.number.value,
        "revision": &*plan.loaded.job.job.revision,
        "operations": lines.iter().map(|l| json!({
            "number": l.number, "key": l.key, "verb": l.verb, "title": l.title, "station": l.station,
            "minutes": l.minutes, "before": points(&l.before), "after": points(&l.after), "deferred": l.deferred,
        })).collect::<Vec<_>>(),
        "stations": loads(&lines).iter().map(|l| json!({
            "station": l.station, "minutes": l.minutes, "minutes_after_hand_over": l.deferred,
        })).collect::<Vec<_>>(),
        "proved_best": plan.route.proved_best,
        "rules": plan.audit.tallies.iter().map(|t| json!({
            "rule": t.rule, "looked_at": t.looked_at, "broken": t.broken,
        })).collect::<Vec<_>>(),
        "waived": plan.audit.waived.iter().map(|w| json!({
            "rule": w.finding.rule, "operation": w.finding.operation, "by": w.waiver.by,
            "reason": w.waiver.reason, "date": w.waiver.date,
        })).collect::<Vec<_>>(),
    })
}

/// Number and title of an operation.
#[must_use]
pub fn called(plan: &Plan<'_>, operation: usize) -> String {
    Speech::new(&worded(plan), &plan.route.order).operation(operation)
}

/// How far an operation could still move, in a sentence.
#[must_use]
pub fn room(plan: &Plan<'_>, operation: usize, towards_start: bool) -> String {
    let order = &plan.route.order;
    let Some(position) = order.iter().position(|o| *o == operation) else { return String::new() };
    let room = if towards_start {
        why::before(&plan.problem, order, position)
    } else {
        why::after(&plan.problem, order, position)
    };
    room.sentence(&Speech::new(&worded(plan), order), operation, towards_start)
}

/// The title of the graph; tells whose it is.
#[must_use]
pub fn graph_title(plan: &Plan<'_>) -> String {
    format!("Operations of {} in order", plan.loaded.job.job.number.value)
}

/// The graph of operations as SVG, with the line by which it knows itself.
#[must_use]
pub fn graph(plan: &Plan<'_>) -> String {
    output::owned(&svg::picture(&graph_sheet(plan)))
}

/// What the router was given, in the words of the paper: it is given the templates of
/// the procedures.
fn worded(plan: &Plan<'_>) -> problem::Problem {
    plan.problem.worded(|operation| {
        let Some(on_paper) = plan.resolved.operations.iter().find(|o| o.key == operation.key) else { return };
        operation.title.clone_from(&on_paper.title);
        let points = on_paper.before.iter().chain(&on_paper.after);
        let worded = points.map(|p| problem::Point {
            kind: p.kind,
            moment: p.moment,
            role: signers(p),
            what: p.what.clone(),
            rule: p.rule.clone(),
            joints: None,
        });
        operation.points = worded.collect();
    })
}

/// The graph of operations as shapes.
#[must_use]
pub fn graph_sheet(plan: &Plan<'_>) -> Sheet {
    graph::sheet(&worded(plan), &plan.route.order, &graph_title(plan))
}
