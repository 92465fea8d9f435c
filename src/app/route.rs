//! The route of a job for people and machines.

use serde_json::{Value as Json, json};

use super::plan::Plan;
use crate::procedure::selection::What;
use crate::routing::problem::PointKind;
use crate::routing::why;

/// One line of the route.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Line {
    /// Number: 10, 20, 30 …
    pub number: u32,
    /// Key.
    pub key: String,
    /// Verb.
    pub verb: String,
    /// Title, figures left as they stand in the library.
    pub title: String,
    /// Station.
    pub station: String,
    /// Minutes.
    pub minutes: u32,
    /// Points before it: letter and role.
    pub before: Vec<(char, String)>,
    /// Points after it.
    pub after: Vec<(char, String)>,
    /// Done after hand-over.
    pub deferred: bool,
}

/// The lines of a route, in order.
#[must_use]
pub fn lines(plan: &Plan<'_>) -> Vec<Line> {
    plan.route
        .order
        .iter()
        .zip(1_u32..)
        .filter_map(|(index, n)| {
            let operation = plan.problem.operations().get(*index)?;
            let points = |moment| {
                operation
                    .points
                    .iter()
                    .filter(|p| p.moment == moment)
                    .map(|p| (letter(p.kind), p.role.clone()))
                    .collect::<Vec<_>>()
            };
            Some(Line {
                number: n * 10,
                key: operation.key.clone(),
                verb: operation.verb.clone(),
                title: operation.title.clone(),
                station: operation.station.clone(),
                minutes: operation.minutes,
                before: points(crate::routing::problem::Moment::Before),
                after: points(crate::routing::problem::Moment::After),
                deferred: matches!(
                    plan.selection.operations.get(*index).map(|s| s.what),
                    Some(What::Library(o)) if o.row.deferred
                ),
            })
        })
        .collect()
}

const fn letter(kind: PointKind) -> char {
    match kind {
        PointKind::Hold => 'H',
        PointKind::Witness => 'W',
        PointKind::Review => 'R',
    }
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
        .map(|w| w.sentences(&plan.problem))
        .unwrap_or_default()
}

/// The route as JSON.
#[must_use]
pub fn json(plan: &Plan<'_>) -> Json {
    let points = |list: &[(char, String)]| {
        list.iter().map(|(kind, role)| json!({ "kind": kind.to_string(), "role": role })).collect::<Vec<_>>()
    };
    json!({
        "number": plan.loaded.job.job.number.value.0,
        "revision": plan.loaded.job.job.revision.0,
        "operations": lines(plan).iter().map(|l| json!({
            "number": l.number, "key": l.key, "verb": l.verb, "title": l.title, "station": l.station,
            "minutes": l.minutes, "before": points(&l.before), "after": points(&l.after), "deferred": l.deferred,
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
    let way = if towards_start { "earlier" } else { "later" };
    room.sentence(&plan.problem, &plan.problem.name(operation), way)
}

/// The graph of operations as SVG.
#[must_use]
pub fn graph(plan: &Plan<'_>) -> String {
    crate::routing::graph::svg(&plan.problem, &plan.route.order)
}
