//! Resolving: selected operations in their proved order become the plan.

use std::collections::{BTreeMap, BTreeSet};

use minijinja::value::Value;

use super::basis::{Basis, Texts};
use super::model::{Caution, On, Operation, Plan, Point, RestsOn};
use super::resolver::Resolver;
use super::step::Block;
use super::{Words, initials, link, shop};
use crate::diagnostic::Report;
use crate::job::model::{Component, Fastener, Joint as JobJoint};
use crate::procedure::file::OperationRow;
use crate::procedure::selected::{Selected, What};
use crate::routing::certain;
use crate::term::{Level, Moment, PointKind};

/// Resolves the plan. Texts that can't be written are reported; the plan is
/// complete all the same, with the raw text in place.
#[must_use]
pub fn resolve(basis: &Basis<'_>) -> (Plan, Report) {
    let mut resolver = Resolver::new(*basis);
    let mut operations: Vec<Operation> = Vec::new();
    let mut providers: BTreeMap<usize, String> = BTreeMap::new();
    for (index, number) in basis.order.iter().zip(1_u32..) {
        let (Some(selected), Some(routed)) =
            (basis.selection.operations.get(*index), basis.problem.operations().get(*index))
        else {
            continue;
        };
        let builds_on: BTreeSet<String> =
            routed.requires.iter().filter_map(|s| providers.get(&s.index()).cloned()).collect();
        for state in &routed.provides {
            providers.insert(state.index(), selected.key.clone());
        }
        let mut operation = match selected.what {
            What::Library(library) => resolver.library(selected, &library.row),
            What::Own(own) => resolver.own(selected, own),
        };
        operation.number = number * 10;
        operation.key.clone_from(&selected.key);
        operation.id.clone_from(&selected.id);
        operation.on = selected
            .components
            .iter()
            .map(|c| On {
                id: c.id().to_owned(),
                name: c.name().to_owned(),
                unit: matches!(c, Component::Unit(_)),
            })
            .collect();
        operation.builds_on = builds_on.into_iter().collect();
        operation.level = level(&operation);
        operations.push(operation);
    }
    link::link(&mut operations);
    let letting_go = letting_go(&resolver.basis);
    if basis.texts == Texts::Written {
        rest(&mut operations, &letting_go);
        initials::stand_for(&mut operations);
        follow(&mut operations, basis, &letting_go);
    }
    let job = basis.job;
    let (scope, done) = resolver.scope();
    let mut own_procedures: BTreeMap<String, usize> = BTreeMap::new();
    for file in operations.iter().filter_map(|o| basis.library.own_file(&o.id)) {
        let name = file.rsplit(['/', '\\']).next().unwrap_or(file);
        *own_procedures.entry(name.to_owned()).or_default() += 1;
    }
    let table = shop::table(basis, &operations);
    let used = shop::used(basis, &operations, &table);
    let shop = used.of(basis.book);
    let mut report = resolver.report;
    report.sort();
    let plan = Plan {
        own_procedures,
        number: job.job.number.value.to_string(),
        revision: job.job.revision.to_string(),
        title: job.job.title.to_string(),
        unit: job.unit.name.to_string(),
        identification: job.unit.identification.as_ref().map(|t| t.0.clone()),
        meter: job.unit.meter.as_ref().map(|t| t.0.clone()),
        units: job.job.units,
        due: job.job.due.as_ref().map(|d| d.0),
        scope,
        done,
        operations,
        table,
        used,
        shop,
        sheets: Vec::new(),
    };
    (plan, report)
}

/// How much hangs on an operation.
fn level(operation: &Operation) -> Level {
    if operation.points().any(|p| p.kind == PointKind::Hold) {
        return Level::Safety;
    }
    operation.steps.iter().map(|s| s.level).max().unwrap_or_default()
}

/// States that let the unit go: what is signed for them rests on all the work.
const LETS_GO: &[&str] = &["unit.released", "unit.handed-over"];

/// Keys of the operations that let the unit go.
fn letting_go(basis: &Basis<'_>) -> BTreeSet<String> {
    let selected = basis.selection.operations.iter();
    let lets = |state: &String| LETS_GO.contains(&state.as_str());
    selected.filter(|o| o.provides.iter().any(lets)).map(|o| o.key.clone()).collect()
}

/// Says what each point rests on. A hold stops the work, so it rests on every
/// operation before it on its component and on the unit as a whole, a release on
/// every one before it: nothing may be missing on the road. Witness and review
/// points rest on what their operation builds on.
fn rest(operations: &mut [Operation], letting_go: &BTreeSet<String>) {
    let all: Vec<String> = operations.iter().filter(|o| !o.deferred).map(|o| o.key.clone()).collect();
    let readings: BTreeMap<String, Vec<String>> = operations
        .iter()
        .map(|o| {
            let more = o.readings().filter(|r| r.level > Level::Practice);
            (o.key.clone(), more.map(|r| r.id.clone()).collect())
        })
        .collect();
    let places: BTreeMap<String, usize> =
        operations.iter().enumerate().map(|(place, o)| (o.key.clone(), place)).collect();
    // What an operation is done on; none for the unit as a whole.
    let on: BTreeMap<String, Option<String>> =
        operations.iter().map(|o| (o.key.clone(), one_component(o).map(str::to_owned))).collect();
    for operation in operations {
        let place = places.get(&operation.key);
        let own = one_component(operation);
        let lets_go = letting_go.contains(&operation.key);
        let near = |key: &&String| {
            let theirs = on.get(*key).and_then(Option::as_deref);
            lets_go || own.is_none() || theirs.is_none() || theirs == own
        };
        let mut built = operation.builds_on.clone();
        built.sort_by_key(|key| places.get(key));
        let mut whole: Vec<String> =
            all.iter().filter(|key| places.get(*key) < place).filter(near).cloned().collect();
        whole.extend(built.iter().filter(|key| !whole.contains(key)).cloned().collect::<Vec<_>>());
        whole.sort_by_key(|key| places.get(key));
        for (points, own_too) in [(&mut operation.before, false), (&mut operation.after, true)] {
            for point in points {
                let rests = if lets_go || point.kind == PointKind::Hold { &whole } else { &built };
                let mut keys = rests.clone();
                keys.extend(own_too.then(|| operation.key.clone()));
                point.rests_on = RestsOn {
                    readings: keys
                        .iter()
                        .flat_map(|k| readings.get(k).into_iter().flatten().map(|id| (k.clone(), id.clone())))
                        .collect(),
                    operations: keys,
                };
            }
        }
    }
}

/// Says what certainly comes before each operation, and what lets the unit go.
fn follow(operations: &mut [Operation], basis: &Basis<'_>, letting_go: &BTreeSet<String>) {
    let keys = |places: &[usize]| -> Vec<String> {
        let ordered = basis.order.iter().filter(|place| places.contains(place));
        ordered.filter_map(|place| Some(basis.selection.operations.get(*place)?.key.clone())).collect()
    };
    let before = certain::before(basis.problem);
    for (operation, place) in operations.iter_mut().zip(basis.order) {
        operation.follows = before.get(*place).map(|places| keys(places)).unwrap_or_default();
        operation.lets_go = letting_go.contains(&operation.key);
    }
}

/// The one component an operation is done on; none for the whole unit or several.
fn one_component(operation: &Operation) -> Option<&str> {
    match operation.on.as_slice() {
        [only] if !only.unit => Some(&only.id),
        _ => None,
    }
}

impl<'a> Resolver<'a> {
    /// What each procedure does, and what it leaves done, told of every component it is done on.
    fn scope(&mut self) -> (Vec<Words>, Vec<String>) {
        let Basis { job, library, selection, .. } = self.basis;
        let mut told: Vec<(&str, &str)> = Vec::new();
        let (mut found, mut done) = (Vec::new(), Vec::new());
        for work in &job.work {
            let Some(procedure) = library.procedures.get(&work.procedure.0) else { continue };
            let own = selection.operations.iter().filter(|o| {
                matches!(o.what, What::Library(l) if !l.shared) && o.procedures.contains(&procedure.id)
            });
            for component in own.flat_map(|o| &o.components) {
                let id = component.id();
                if told.contains(&(&procedure.id, id)) {
                    continue;
                }
                told.push((&procedure.id, id));
                let mut context = self.seen.component(id).cloned().unwrap_or_default();
                let joints: Vec<Value> =
                    job.joint.iter().filter(|j| j.on.0 == id).map(|j| self.seen.joint(j)).collect();
                context.insert("joints", Value::from(joints));
                let scope = procedure.scope.as_ref();
                found.extend(scope.map(|text| self.writer.words(text, &context, &mut self.report)));
                done.extend(procedure.done.as_ref().map(|text| self.plain(text, &context)));
            }
        }
        (found, done)
    }

    fn library(&mut self, selected: &'a Selected<'a>, row: &OperationRow) -> Operation {
        let Basis { job, .. } = self.basis;
        let on = |id: &str| selected.components.iter().any(|c| c.id() == id);
        let joints_of = |usage: &str| -> Vec<&'a JobJoint> {
            job.joint.iter().filter(|j| usage == &*j.usage.value && on(&j.on.0)).collect()
        };
        let joints = row.joints.as_ref().map(|u| joints_of(&u.0)).unwrap_or_default();
        let fasteners: Vec<&Fastener> = row.fasteners.as_ref().map_or_else(Vec::new, |usage| {
            job.fastener.iter().filter(|f| f.usage.value == usage.value && on(&f.on.0)).collect()
        });
        let block = Block { selected, joints, fasteners };
        let context = self.context(&block);
        let points_of = |moment: Moment| row.point.iter().filter(move |p| p.moment == moment);
        let mut before: Vec<Point> = Vec::new();
        for point in points_of(Moment::Before) {
            let joints = point.joints.as_ref().map(|u| joints_of(&u.0));
            before.push(self.point(point, before.len(), joints.as_ref().unwrap_or(&block.joints), &context));
        }
        before.extend(self.releases(selected, Moment::Before, before.len()));
        before.extend(self.settled(selected, Moment::Before, before.len()));
        let mut after: Vec<Point> = self.settled(selected, Moment::After, 0);
        after.extend(self.releases(selected, Moment::After, after.len()));
        for point in points_of(Moment::After) {
            let joints = point.joints.as_ref().map(|u| joints_of(&u.0));
            after.push(self.point(point, after.len(), joints.as_ref().unwrap_or(&block.joints), &context));
        }
        let steps = self.steps(&block, row, &context);
        let mut cautions: Vec<Caution> = row.caution.iter().map(|c| self.caution(c, &context)).collect();
        // The worst hazard is read first.
        cautions.sort_by_key(|c| c.signal);
        Operation {
            number: 0,
            key: String::new(),
            id: String::new(),
            on: Vec::new(),
            verb: row.verb,
            title: self.plain(&row.title, &context),
            station: row.station,
            minutes: row.minutes,
            role: Some(row.role),
            qualification: row.qualification.as_ref().map(|q| self.plain(q, &context)),
            level: Level::default(),
            deferred: row.deferred,
            fresh_page: row.fresh_page,
            acts: row.acts.iter().map(|a| a.0.clone()).collect(),
            joints: self.joints(&block.joints),
            fasteners: block.fasteners.iter().map(|f| f.id.value.to_string()).collect(),
            drawings: row.drawings.clone(),
            sheets: row.sheets.clone(),
            // What only some units need is named under its condition.
            tools: row.tools.iter().map(|t| self.plain(t, &context)).filter(|t| !t.is_empty()).collect(),
            materials: row.materials.iter().map(|t| self.plain(t, &context)).collect(),
            builds_on: Vec::new(),
            follows: Vec::new(),
            card: row.card.as_ref().map(|c| c.value.to_string()),
            lets_go: false,
            by_signature: false,
            before,
            cautions,
            steps,
            after,
        }
    }
}
