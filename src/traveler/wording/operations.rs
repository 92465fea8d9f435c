//! Operations in order, with their steps, cautions, readings and points.

use minijinja::value::Value;

use super::super::document::{Caution, Operation, Point, PointKind, Reading, Signal, Step, Words};
use super::super::lanes::Stop;
use super::readings::{self, Place};
use super::text::Writer;
use super::{Placed, Planned, joints, lookup, torques};
use crate::diagnostic::Report;
use crate::file::{Located, Text};
use crate::job::model::{Component, Fastener, Joint, OwnOperation, Role, Verb};
use crate::procedure::figures::{Context, Owner, Side};
use crate::procedure::file::{self, CautionRow, Each, Moment, OperationRow, PointRow};
use crate::procedure::selection::{Selected, What};
use crate::quantity::{Dimensioned, Time, unit};

/// Counts hold, witness and review points through the document.
#[derive(Debug, Default)]
struct Counter {
    hold: u32,
    witness: u32,
    review: u32,
}

impl Counter {
    fn next(&mut self, kind: PointKind) -> String {
        let (letter, count) = match kind {
            PointKind::Hold => ("H", &mut self.hold),
            PointKind::Witness => ("W", &mut self.witness),
            PointKind::Review => ("R", &mut self.review),
        };
        *count += 1;
        format!("{letter}{count}")
    }
}

/// All operations: those of the work, and those after hand-over.
pub(super) fn all(
    planned: &Planned<'_>,
    placed: &[Placed<'_>],
    report: &mut Report,
) -> (Vec<Operation>, Vec<Operation>) {
    let writer = Writer::new();
    let mut counter = Counter::default();
    let several = planned
        .selection
        .operations
        .iter()
        .map(Selected::component)
        .collect::<std::collections::BTreeSet<_>>()
        .len()
        > 2;
    let mut now = Vec::new();
    let mut later = Vec::new();
    for place in placed {
        let mut operation = match place.selected.what {
            What::Library(library) => {
                from_library(planned, place, &library.row, &writer, &mut counter, report)
            }
            What::Own(own) => {
                let settled = settled_first(place.selected, &mut counter);
                let mut operation = from_own(own, &mut counter);
                operation.before.splice(0..0, settled);
                own_work(planned, place.selected, own, &writer, &mut operation, report);
                operation
            }
        };
        operation.number = place.number;
        operation.id = place.selected.id.clone();
        operation.component = several.then(|| component_words(place.selected)).filter(|w| !w.is_empty());
        let deferred = matches!(place.selected.what, What::Library(o) if o.row.deferred);
        if deferred { later.push(operation) } else { now.push(operation) }
    }
    (now, later)
}

fn component_words(selected: &Selected<'_>) -> String {
    selected
        .components
        .iter()
        .filter(|c| !matches!(c, Component::Unit(_)))
        .map(|c| c.name())
        .collect::<Vec<_>>()
        .join(", ")
}

/// What the lane diagram needs: operations and the holds between them.
pub(super) fn stops(placed: &[Placed<'_>], operations: &[Operation]) -> Vec<Stop> {
    let mut found = Vec::new();
    for operation in operations {
        let minutes = placed.iter().find(|p| p.number == operation.number).map_or(0, |p| minutes(p.selected));
        let holds = |points: &[Point]| -> Vec<Stop> {
            points
                .iter()
                .filter(|p| p.kind == PointKind::Hold)
                .map(|p| Stop::Hold {
                    number: p.number.clone(),
                    text: format!("{}: {}", p.who, p.what.first_sentence()),
                })
                .collect()
        };
        found.extend(holds(&operation.before));
        found.push(Stop::Operation {
            number: operation.number,
            title: format!("{} {}", operation.verb.to_uppercase(), operation.title),
            station: operation.station.clone(),
            time: Time::of(f64::from(minutes), unit::MINUTE),
        });
        found.extend(holds(&operation.after));
    }
    found
}

/// Labour of an operation, in minutes.
pub(super) fn minutes(selected: &Selected<'_>) -> u32 {
    match selected.what {
        What::Library(library) => library.row.minutes,
        What::Own(own) => own.minutes,
    }
}

/// The context of an operation: its first component, with the joints and
/// fasteners of all its components.
fn context(
    planned: &Planned<'_>,
    selected: &Selected<'_>,
    joints: &[&Joint],
    fasteners: &[&Fastener],
) -> Context {
    let first = selected.components.first().copied().unwrap_or(Component::Unit(&planned.job.unit));
    let mut context = planned.figures.context_of_all(planned.job, first, &selected.components);
    let joint_values: Vec<Value> =
        joints.iter().map(|j| planned.figures.joint(planned.job, j, &joints::symbol(planned, j))).collect();
    let fastener_values: Vec<Value> =
        fasteners.iter().map(|b| planned.figures.fastener(planned.job, b)).collect();
    context.insert("joints", Value::from(joint_values));
    context.insert("fasteners", Value::from(fastener_values));
    context
}

/// Joints of an operation on all its components.
pub(super) fn joints_of<'a>(
    planned: &Planned<'a>,
    selected: &Selected<'_>,
    row: &OperationRow,
) -> Vec<&'a Joint> {
    let Some(usage) = &row.joints else { return Vec::new() };
    planned
        .job
        .joint
        .iter()
        .filter(|j| {
            j.usage.value == usage.value && selected.components.iter().any(|c| c.id() == j.on.value.0)
        })
        .collect()
}

fn fasteners_of<'a>(planned: &Planned<'a>, selected: &Selected<'_>, row: &OperationRow) -> Vec<&'a Fastener> {
    let Some(usage) = &row.fasteners else { return Vec::new() };
    planned
        .job
        .fastener
        .iter()
        .filter(|f| {
            f.usage.value == usage.value && selected.components.iter().any(|c| c.id() == f.on.value.0)
        })
        .collect()
}

/// What the figures want settled and signed by a lead before the operation.
fn settled_first(selected: &Selected<'_>, counter: &mut Counter) -> Vec<Point> {
    selected
        .concerns
        .iter()
        .map(|what| Point {
            kind: PointKind::Hold,
            number: counter.next(PointKind::Hold),
            what: first_strong(what),
            who: role_words(Role::Lead).to_owned(),
            meaning: "settled, and how is written; released for the work".to_owned(),
            ..Point::default()
        })
        .collect()
}

fn from_library(
    planned: &Planned<'_>,
    place: &Placed<'_>,
    row: &OperationRow,
    writer: &Writer,
    counter: &mut Counter,
    report: &mut Report,
) -> Operation {
    let selected = place.selected;
    let joints = joints_of(planned, selected, row);
    let fasteners = fasteners_of(planned, selected, row);
    let context = context(planned, selected, &joints, &fasteners);
    let points = |moment: Moment, counter: &mut Counter, report: &mut Report| -> Vec<Point> {
        row.point
            .iter()
            .filter(|p| p.moment == moment)
            .map(|p| point(p, writer, &context, counter, report))
            .collect()
    };
    let mut before = points(Moment::Before, counter, report);
    before.extend(selected.reviews_worded().iter().map(|what| Point {
        kind: PointKind::Review,
        number: counter.next(PointKind::Review),
        what: first_strong(what),
        who: role_words(Role::Lead).to_owned(),
        meaning: "looked at and released".to_owned(),
        ..Point::default()
    }));
    before.extend(settled_first(selected, counter));
    let after = points(Moment::After, counter, report);
    let steps = steps(planned, selected, row, &joints, &fasteners, &context, writer, report);
    Operation {
        verb: row.verb.word().to_owned(),
        title: writer.plain(&row.title, &context, report),
        station: row.station.word().to_owned(),
        time: time_words(row.minutes),
        role: Some(match &row.qualification {
            Some(text) => format!("{}: {}", row.role, writer.plain(text, &context, report)),
            None => row.role.word().to_owned(),
        }),
        tools: row.tools.iter().map(|t| writer.plain(t, &context, report)).collect(),
        before,
        cautions: {
            let mut cautions: Vec<Caution> =
                row.caution.iter().map(|c| caution(c, writer, &context, report)).collect();
            // The worst hazard is read first.
            cautions.sort_by_key(|c| c.signal);
            cautions
        },
        joints: joints
            .iter()
            .map(|j| {
                Words::default().strong(j.id.value.to_string()).then(format!(
                    "  {} · {}",
                    &*j.title,
                    joints::symbol(planned, j)
                ))
            })
            .collect(),
        fasteners: fasteners.iter().map(|b| torques::line(planned, b)).collect(),
        steps,
        after,
        ..Operation::default()
    }
}

#[expect(clippy::too_many_arguments, reason = "one call; a struct would only rename them")]
fn steps(
    planned: &Planned<'_>,
    selected: &Selected<'_>,
    row: &OperationRow,
    joints: &[&Joint],
    fasteners: &[&Fastener],
    context: &Context,
    writer: &Writer,
    report: &mut Report,
) -> Vec<Step> {
    let mut steps: Vec<Step> = Vec::new();
    for step in &row.step {
        let mut cautions = &*step.caution;
        let times = repeats(planned, selected, step.each, joints, fasteners, context);
        for (place, suffix, label, context) in times {
            if !writer.holds(step.when.as_ref(), &context, report) {
                continue;
            }
            let mut boxes = Vec::new();
            for row in step.written() {
                if row.each.is_none() {
                    boxes.push(readings::reading(row, &suffix, &label, &place, writer, &context, report));
                    continue;
                }
                for (place, suffix, label, context) in
                    repeats(planned, selected, row.each, joints, fasteners, &context)
                {
                    boxes.push(readings::reading(row, &suffix, &label, &place, writer, &context, report));
                }
            }
            let table = step
                .written()
                .find_map(|r| r.table.as_ref())
                .and_then(|t| lookup::named(planned, &t.value, &place.component));
            let number = u32::try_from(steps.len()).map_or(u32::MAX, |n| n + 1);
            let mut text = writer.words(&step.text, &context, report);
            // A repeated step says what it is for, if its text does not.
            if step.each.is_some() && !text.text().to_lowercase().contains(&label.to_lowercase()) {
                let mut labelled = Words::default().strong(format!("{label}: "));
                labelled.0.extend(text.0);
                text = labelled;
            }
            // A caution stands before the first repetition only.
            let cautions =
                std::mem::take(&mut cautions).iter().map(|c| caution(c, writer, &context, report)).collect();
            steps.push(Step { number, cautions, text, readings: boxes, table, ..Step::default() });
        }
    }
    if row.verb == Verb::Weld {
        for joint in joints {
            let number = u32::try_from(steps.len()).map_or(u32::MAX, |n| n + 1);
            steps.push(traced(joint, number));
        }
    }
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

/// The step that carries the filler lot of a joint into the record, and for a
/// traceable joint the heats of its parts.
fn traced(joint: &Joint, number: u32) -> Step {
    let id = &joint.id.value;
    let reading = |what: &str, label: &str| Reading {
        id: format!("{what}.{id}"),
        label: format!("{id}: {label}"),
        ..Reading::default()
    };
    let (text, readings) = if joint.traceable {
        let text = Words::default().strong(format!("{id} is traceable. ")).then(
            "Write the lot of every filler used, and the heat of each new part as marked on it; for an old one: existing part.",
        );
        (text, vec![reading("lot", "filler lot"), reading("heat", "heat numbers")])
    } else {
        (Words::plain(format!("{id}: write the lot of the filler used.")), vec![reading("lot", "filler lot")])
    };
    Step { number, text, readings, ..Step::default() }
}

/// One repetition of a step or a reading: where readings look, id suffix, label, context.
type Repeat<'a> = (Place<'a>, String, String, Context);

fn repeats<'a>(
    planned: &Planned<'a>,
    selected: &Selected<'_>,
    each: Option<Each>,
    joints: &[&Joint],
    fasteners: &[&Fastener],
    context: &Context,
) -> Vec<Repeat<'a>> {
    let first = selected.components.first().map_or("unit", |c| c.id());
    let place = |owner: Owner, component: &str| Place {
        figures: planned.figures,
        owner,
        component: Owner::Component(component.to_owned()),
        units: planned.job.job.units,
    };
    match each {
        None => vec![(
            place(Owner::Component(first.to_owned()), first),
            String::new(),
            String::new(),
            context.clone(),
        )],
        Some(Each::Side) => {
            let mut all = Vec::new();
            let several = selected.components.len() > 1;
            for component in &selected.components {
                for side in Side::BOTH {
                    let mut own = context.clone();
                    own.extend(planned.figures.context(planned.job, *component));
                    planned.figures.add_side(planned.job, component.id(), side, &mut own);
                    let (suffix, label) = if several {
                        (
                            format!("{}.{}", component.id(), side.word()),
                            format!("{} {}", component.name(), side.word()),
                        )
                    } else {
                        (side.word().to_owned(), side.word().to_owned())
                    };
                    all.push((
                        place(Owner::Side(component.id().to_owned(), side), component.id()),
                        suffix,
                        label,
                        own,
                    ));
                }
            }
            all
        }
        Some(Each::Joint) => joints
            .iter()
            .map(|j| {
                let mut own = context.clone();
                own.insert("j", planned.figures.joint(planned.job, j, &joints::symbol(planned, j)));
                let id = j.id.value.to_string();
                (place(Owner::Joint(id.clone()), &j.on.value), id.clone(), id, own)
            })
            .collect(),
        Some(Each::Fastener) => fasteners
            .iter()
            .map(|b| {
                let mut own = context.clone();
                own.insert("b", planned.figures.fastener(planned.job, b));
                let id = b.id.value.to_string();
                (place(Owner::Fastener(id.clone()), &b.on.value), id.clone(), id, own)
            })
            .collect(),
    }
}

fn caution(row: &CautionRow, writer: &Writer, context: &Context, report: &mut Report) -> Caution {
    Caution {
        signal: match row.signal {
            file::Signal::Danger => Signal::Danger,
            file::Signal::Warning => Signal::Warning,
            file::Signal::Caution => Signal::Caution,
            file::Signal::Notice => Signal::Notice,
        },
        hazard: writer.plain(&row.hazard, context, report),
        consequence: writer.plain(&row.consequence, context, report),
        avoid: writer.plain(&row.avoid, context, report),
    }
}

fn point(
    row: &PointRow,
    writer: &Writer,
    context: &Context,
    counter: &mut Counter,
    report: &mut Report,
) -> Point {
    let kind = match row.kind {
        file::PointKind::Hold => PointKind::Hold,
        file::PointKind::Witness => PointKind::Witness,
        file::PointKind::Review => PointKind::Review,
    };
    Point {
        kind,
        number: counter.next(kind),
        what: first_strong(&writer.plain(&row.what, context, report)),
        who: role_words(row.role).to_owned(),
        meaning: writer.plain(&row.meaning, context, report),
        second: row.second.map(|r| role_words(r).to_owned()),
        ..Point::default()
    }
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
    }
}

/// Labour in words.
fn time_words(minutes: u32) -> String {
    if minutes == 0 { String::new() } else { format!("{minutes} min") }
}

fn from_own(own: &OwnOperation, counter: &mut Counter) -> Operation {
    let steps = own
        .step
        .iter()
        .zip(1_u32..)
        .map(|(text, number)| Step { number, text: Words::plain(text.0.clone()), ..Step::default() })
        .collect();
    let hold: Vec<Point> = own
        .hold
        .iter()
        .map(|what| Point {
            kind: PointKind::Hold,
            number: counter.next(PointKind::Hold),
            what: first_strong(what),
            who: role_words(own.hold_role).to_owned(),
            meaning: "checked and released".to_owned(),
            ..Point::default()
        })
        .collect();
    let cautions = own
        .caution
        .iter()
        .map(|text| Caution { signal: Signal::Caution, hazard: text.0.clone(), ..Caution::default() })
        .collect();
    let (before, after) = if own.hold_before { (hold, Vec::new()) } else { (Vec::new(), hold) };
    Operation {
        role: Some(own.role.word().to_owned()),
        tools: own.tool.iter().map(|t| t.0.clone()).collect(),
        before,
        verb: own.verb.word().to_owned(),
        title: own.title.0.clone(),
        station: own.station.word().to_owned(),
        time: time_words(own.minutes),
        steps,
        after,
        cautions,
        ..Operation::default()
    }
}

/// Joints, fasteners and readings of an operation of the job's own.
fn own_work(
    planned: &Planned<'_>,
    selected: &Selected<'_>,
    own: &OwnOperation,
    writer: &Writer,
    operation: &mut Operation,
    report: &mut Report,
) {
    let here = |on: &str| selected.components.iter().any(|c| c.id() == on);
    if let Some(usage) = &own.joints {
        let all = planned.job.joint.iter().filter(|j| j.usage.value == usage.value && here(&j.on.value));
        operation.joints = all
            .map(|j| {
                let text = format!("  {} · {}", &*j.title, joints::symbol(planned, j));
                Words::default().strong(j.id.value.to_string()).then(text)
            })
            .collect();
    }
    if let Some(usage) = &own.fasteners {
        let all = planned.job.fastener.iter().filter(|f| f.usage.value == usage.value && here(&f.on.value));
        operation.fasteners = all.map(|f| torques::line(planned, f)).collect();
    }
    if own.reading.is_empty() {
        return;
    }
    let owner = Owner::Component(selected.component().to_owned());
    let place = Place {
        figures: planned.figures,
        owner: owner.clone(),
        component: owner,
        units: planned.job.job.units,
    };
    let context = context(planned, selected, &[], &[]);
    let boxes = own
        .reading
        .iter()
        .map(|r| {
            let told = |text: &str| Located {
                value: Text(plainly(text)),
                span: r.id.span.clone(),
                key: r.id.key.clone(),
            };
            let row = file::ReadingRow {
                id: r.id.clone(),
                label: told(&r.label),
                kind: r.kind,
                each: None,
                target: r.target.clone(),
                plus: r.plus.clone(),
                minus: r.minus.clone(),
                least: r.least.clone(),
                most: r.most.clone(),
                instrument: r.instrument.as_ref().map(|i| told(i)),
                replaces: None,
                table: None,
                span: r.span.clone(),
            };
            readings::reading(&row, "", "", &place, writer, &context, report)
        })
        .collect();
    let number = u32::try_from(operation.steps.len()).map_or(u32::MAX, |n| n + 1);
    operation.steps.push(Step {
        number,
        text: Words::plain("Write down."),
        readings: boxes,
        ..Step::default()
    });
}

/// A text of the job as a template that gives just that text: what a user
/// writes is data and is never evaluated.
fn plainly(text: &str) -> String {
    text.replace('{', "{{ \"{\" }}")
}
