//! Operations in order, with their steps, cautions, readings and points.

use std::collections::BTreeSet;

use super::super::document::{Caution, Operation, Point, Reading, SignerBoxes, Step};
use super::super::lanes::Stop;
use super::{Subject, lookup, signers, sketches, torques};
use crate::form::{BoxName, Written};
use crate::job::model::{Role, Verb};
use crate::plan::Words;
use crate::plan::{self, Plan};
use crate::quantity::{Dimensioned, Time, unit};
use crate::term::{Does, PointKind};

/// All operations: those of the work, and those after hand-over.
pub(super) fn all(planned: &Subject<'_>) -> (Vec<Operation>, Vec<Operation>) {
    let operations = &planned.plan.operations;
    let components: BTreeSet<&str> = operations.iter().map(plan::Operation::component).collect();
    // With one component beside the unit there is nothing to tell apart.
    let several = components.len() > 2;
    let (later, now): (Vec<&plan::Operation>, Vec<&plan::Operation>) =
        operations.iter().partition(|o| o.deferred);
    let word =
        |list: Vec<&plan::Operation>| list.into_iter().map(|o| operation(planned, o, several)).collect();
    (word(now), word(later))
}

fn operation(planned: &Subject<'_>, plan: &plan::Operation, several: bool) -> Operation {
    Operation {
        number: plan.number,
        id: plan.id.clone(),
        key: plan.key.clone(),
        verb: plan.verb.word().to_owned(),
        title: plan.title.clone(),
        station: plan.station.word().to_owned(),
        time: time_words(plan.minutes),
        component: several.then(|| component_words(plan)).filter(|w| !w.is_empty()),
        role: plan.role.map(|role| match &plan.qualification {
            Some(text) => format!("{role}: {text}"),
            None => role.word().to_owned(),
        }),
        person: plan.role.and_then(|role| signers::only(planned, role)),
        tools: plan.tools.clone(),
        minutes: plan.minutes,
        before: plan.before.iter().map(|p| point(planned, &plan.key, p)).collect(),
        cautions: plan.cautions.iter().map(caution).collect(),
        joints: plan
            .joints
            .iter()
            .map(|j| Words::default().strong(j.id.clone()).then(format!("  {} · {}", j.title, j.symbol)))
            .collect(),
        fasteners: plan.fasteners.iter().filter_map(|id| torques::line(planned, id)).collect(),
        steps: steps(planned, plan),
        drawings: sketches::beside(planned, plan),
        by_signature: plan.by_signature,
        fresh_page: plan.fresh_page,
        card: plan.card.clone(),
        welds: if plan.verb == Verb::Weld {
            plan.joints.iter().map(|j| j.id.clone()).collect()
        } else {
            Vec::new()
        },
        after: plan.after.iter().map(|p| point(planned, &plan.key, p)).collect(),
        ..Operation::default()
    }
}

fn component_words(plan: &plan::Operation) -> String {
    plan.on.iter().filter(|c| !c.unit).map(|c| c.name.as_str()).collect::<Vec<_>>().join(", ")
}

/// What the lane diagram needs: operations and the holds between them.
pub(super) fn stops(plan: &Plan) -> Vec<Stop> {
    let mut found = Vec::new();
    for operation in plan.operations.iter().filter(|o| !o.deferred) {
        let holds = |points: &[plan::Point]| -> Vec<Stop> {
            points
                .iter()
                .filter(|p| p.kind == PointKind::Hold)
                .map(|p| Stop::Hold {
                    number: p.number.clone(),
                    text: format!("{}: {}", all_who_sign(p), first_strong(&p.what).first_sentence()),
                })
                .collect()
        };
        found.extend(holds(&operation.before));
        found.push(Stop::Operation {
            number: operation.number,
            title: format!("{} {}", operation.verb.word().to_uppercase(), operation.title),
            station: operation.station.word().to_owned(),
            time: Time::of(f64::from(operation.minutes), unit::MINUTE),
        });
        found.extend(holds(&operation.after));
    }
    found
}

/// The text of a step; the first of an operation names the sheets at full size it
/// marks or cuts by.
fn by_sheets(planned: &Subject<'_>, plan: &plan::Operation, step: &plan::Step) -> Words {
    let sheets: Vec<String> =
        planned.plan.sheets_of(plan).map(|s| format!("sheet {} {}", s.name, s.mark())).collect();
    let first = plan.steps.first().is_some_and(|s| s.number == step.number);
    let text = step.text.clone();
    if !first || sheets.is_empty() {
        return text;
    }
    text.then(format!(" By {}, printed again if a reading moved it: bars measured first.", sheets.join(", ")))
}

fn steps(planned: &Subject<'_>, plan: &plan::Operation) -> Vec<Step> {
    let mut steps: Vec<Step> = plan
        .steps
        .iter()
        .map(|step| Step {
            number: step.number,
            last: None,
            level: step.level,
            who: step.by.map(|r| role_words(r).to_owned()),
            by_signature: step.by_signature,
            cautions: step.cautions.iter().map(caution).collect(),
            text: by_sheets(planned, plan, step),
            readings: step.readings.iter().map(|r| reading(planned, &plan.key, r)).collect(),
            table: step.table.as_ref().and_then(|t| lookup::named(planned, t)),
            done: None,
        })
        .collect();
    // A look-up table is printed once, under the last step that asks for it.
    let mut seen = Vec::new();
    for step in steps.iter_mut().rev() {
        if let Some(table) = &step.table {
            if seen.contains(&table.title) {
                step.table = None;
            } else {
                seen.push(table.title.clone());
            }
        }
    }
    steps
}

fn reading(planned: &Subject<'_>, operation: &str, plan: &plan::Reading) -> Reading {
    let (target, tolerance) = limits(planned, operation, plan);
    Reading {
        id: plan.id.clone(),
        name: Some(BoxName::reading(operation, &plan.id)),
        label: plan.label.clone(),
        mark: plan.mark.clone(),
        target,
        tolerance,
        instrument: plan.instrument.clone(),
        unit: plan.aim.and_then(|a| a.unit()).map(str::to_owned),
        joint: match &plan.of {
            plan::Repeat::Joint(id) => Some(id.clone()),
            _ => None,
        },
        choices: plan.choices.iter().map(|c| c.word.clone()).collect(),
        papers: plan.choices.iter().filter(|c| c.paper).map(|c| c.word.clone()).collect(),
        rests: plan.choices.iter().any(|c| c.paper)
            && plan.choices.iter().all(|c| c.paper || c.does != Does::Conforms),
        filled: None,
    }
}

/// What a reading is judged by, as the page says it: its own limits, the figure or the
/// other reading it has to agree with, and how far the sides may be apart. Whoever
/// holds the pencil judges by it, not the desk alone.
fn limits(planned: &Subject<'_>, operation: &str, plan: &plan::Reading) -> (Option<String>, Option<String>) {
    let Some(aim) = plan.aim else { return (None, None) };
    let mut target = aim.printed();
    let mut rules: Vec<String> = aim.printed_tolerance().into_iter().collect();
    if let Some(near) = &plan.near {
        let within = format!("± {}", aim.within(near.within));
        match &near.reading {
            Some((key, id)) => {
                let there = planned.plan.operations.iter().find(|o| o.key == *key);
                let first = match there {
                    Some(there) if *key != operation => format!("read at {}", there.number),
                    there => beside(there.and_then(|o| o.readings().find(|r| r.id == *id))),
                };
                if aim.limited() {
                    rules.push(format!("and within {} of {first}", aim.within(near.within)));
                } else {
                    target = Some(format!("as {first}"));
                    rules.push(within);
                }
            }
            None => {
                if aim.target().is_none() {
                    target = near.value.map(|value| aim.said(value)).or(target);
                }
                rules.push(within);
            }
        }
    }
    if let Some(apart) = plan.apart {
        let sides = format!("sides within {}", aim.within(apart));
        if target.as_deref() == Some("record") {
            return (Some(sides), None);
        }
        rules.push(sides);
    }
    (target, (!rules.is_empty()).then(|| rules.join(", ")))
}

/// Another reading of the same operation in the words of its label: the maker's figure,
/// the first reading; else the one above.
fn beside(other: Option<&plan::Reading>) -> String {
    let said = other.and_then(|o| o.label.split(", ").nth(1));
    let said = said.filter(|words| words.contains("figure") || words.contains("reading"));
    said.map_or_else(
        || "the one above".to_owned(),
        |words| format!("the {}", words.trim_start_matches("the ")),
    )
}

fn caution(plan: &plan::Caution) -> Caution {
    Caution {
        signal: plan.signal,
        hazard: plan.hazard.clone(),
        consequence: plan.consequence.clone(),
        avoid: plan.avoid.clone(),
    }
}

fn point(planned: &Subject<'_>, operation: &str, plan: &plan::Point) -> Point {
    let only = |place: usize| plan.roles.get(place).and_then(|r| signers::only(planned, *r));
    Point {
        kind: plan.kind,
        number: plan.number.clone(),
        what: first_strong(&plan.what),
        who: who(plan).to_owned(),
        name: only(0),
        second_name: only(1),
        meaning: plan.meaning.clone(),
        names: (1..=plan.roles.len())
            .filter_map(|n| u32::try_from(n).ok())
            .map(|n| {
                let name = |field| BoxName::point(operation, &plan.slot, n, field);
                SignerBoxes {
                    name: name(Written::Name),
                    mark: name(Written::Mark),
                    when: name(Written::When),
                }
            })
            .collect(),
        second: plan.roles.get(1).map(|r| role_words(*r).to_owned()),
        ..Point::default()
    }
}

/// All who sign a point.
pub(super) fn all_who_sign(plan: &plan::Point) -> String {
    plan.roles.iter().map(|r| role_words(*r)).collect::<Vec<_>>().join(" and ")
}

/// Who signs a point first.
pub(super) fn who(plan: &plan::Point) -> &'static str {
    plan.roles.first().map_or("", |r| role_words(*r))
}

/// The first sentence of what must be true is printed strong.
fn first_strong(text: &str) -> Words {
    match text.split_once(". ") {
        Some((first, rest)) => Words::default().strong(format!("{first}.")).then(format!(" {rest}")),
        None => Words::default().strong(text),
    }
}

/// A role as it is printed beside a signature.
pub(super) fn role_words(role: Role) -> &'static str {
    match role {
        Role::Lead => "shop lead",
        Role::Welder => "welder",
        Role::Fitter => "fitter",
        Role::Inspector => "inspector, not the welder",
        Role::Customer => "customer's representative",
        Role::Other => "another signer",
    }
}

/// Labour in words.
fn time_words(minutes: u32) -> String {
    if minutes == 0 { String::new() } else { format!("{minutes} min") }
}
