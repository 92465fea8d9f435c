//! The plan against the shop book, and the part of the book it used.

use super::basis::Basis;
use super::model::Operation;
use crate::job::JobFile;
use crate::job::model::{Role, Units};
use crate::procedure::catalogue::{Called, fastener as named};
use crate::procedure::figures::{JobFigures, Owner};
use crate::quantity::{Kind, Torque};
use crate::reference::metal::squeezed;
use crate::shop::fit::{ReadingNeed, Table, TorqueNeed, readings, torques};
use crate::shop::keep::Used;
use crate::shop::model::{Measures, Person};
use crate::source::Source;

/// The whole comparison of a plan with the book, on the job's date.
pub(super) fn table(basis: &Basis<'_>, operations: &[Operation]) -> Table {
    let on = basis.job.job.date.0;
    let mut tools = torques(basis.book, &torque_needs(basis.job, basis.figures), on);
    tools.extend(readings(basis.book, reading_needs(operations, basis.job.job.units), on));
    let mut sources: Vec<Source> = Vec::new();
    let used = tools.iter().flat_map(|t| &t.findings).filter_map(|f| f.source);
    for source in basis.sources.iter().copied().chain(used) {
        if !sources.contains(&source) {
            sources.push(source);
        }
    }
    Table { on, joints: basis.joints.to_vec(), tools, sources }
}

/// Every torque of the job that is known.
fn torque_needs(job: &JobFile, figures: &JobFigures) -> Vec<TorqueNeed> {
    job.fastener
        .iter()
        .filter_map(|fastener| {
            let owner = Owner::Fastener(fastener.id.0.clone());
            let get = |name: Called<Torque>| figures.quantity(&owner, name);
            Some(TorqueNeed {
                id: fastener.id.value.to_string(),
                torque: get(named::torque)?,
                tolerance: get(named::torque_low)
                    .zip(get(named::torque_high))
                    .map(|(low, high)| (high - low) / 2.0),
                stages: [named::stage_1, named::stage_2].into_iter().filter_map(get).collect(),
                named: fastener.wrench.as_ref().and_then(|w| w.split([',', ' ']).next()).map(str::to_owned),
                units: job.job.units,
            })
        })
        .collect()
}

/// Every reading of the plan that is taken with an instrument.
fn reading_needs(operations: &[Operation], units: Units) -> Vec<ReadingNeed> {
    let mut needs = Vec::new();
    for operation in operations {
        for reading in operation.readings() {
            let (Some(instrument), Some(aim)) = (&reading.instrument, reading.aim) else { continue };
            let Some(measures) = Measures::of_kind(aim.kind) else { continue };
            needs.push(ReadingNeed {
                instrument: instrument.to_lowercase(),
                measures,
                values: aim.values().filter(|q| q.kind() == aim.kind).collect(),
                tolerance: aim.tolerance(),
                label: format!("{} ({})", reading.label, operation.key),
                units,
            });
        }
    }
    needs
}

/// Which rows of the book the plan rests on: what is printed, proposed or
/// decides a point.
pub(super) fn used(basis: &Basis<'_>, operations: &[Operation], table: &Table) -> Used {
    let Basis { job, book, .. } = *basis;
    let mut used = Used::default();
    let works = |role: &str| {
        // A lead decides what nobody foresaw.
        role == Role::Lead.word()
            || operations.iter().any(|o| {
                o.role.is_some_and(|r| r.word() == role)
                    || o.points().any(|p| p.roles.iter().any(|r| r.word() == role))
            })
    };
    // The job's people, and whoever has a role the work needs: they are proposed for it, and
    // a record that does not know them calls them strangers.
    let signs = |p: &&Person| {
        let here = p.until.as_ref().is_none_or(|u| u.0 >= table.on);
        here && p.role.iter().any(|r| works(r.word()))
            || job.person.iter().any(|own| own.id.value == p.id.value)
    };
    used.people.extend(book.person.iter().filter(signs).map(|p| p.id.value.to_string()));
    for joint in &table.joints {
        used.people.extend(joint.able().map(|w| w.id.clone()));
        used.machines.extend(joint.usable().map(|m| m.id.clone()));
    }
    used.wps.extend(job.joint.iter().filter_map(|j| j.wps.as_ref()).map(|w| w.value.to_string()));
    used.tools.extend(table.tools.iter().flat_map(|t| t.tools.iter().cloned()));
    // Whatever a box may be filled with: a maker's figure is known at the bench alone, and a
    // record that does not have the row asks for the tool's certificate.
    let taken = operations.iter().flat_map(Operation::readings).filter(|r| r.instrument.is_some());
    let kinds: Vec<Kind> = taken.filter_map(|r| r.aim.as_ref()).map(|aim| aim.kind).collect();
    let reads = book.instrument.iter().filter(|i| kinds.contains(&i.measures.value.kind()));
    used.tools.extend(reads.map(|i| i.id.value.to_string()));
    let tightens = book.torque_tool.iter().filter(|_| kinds.contains(&Kind::Torque));
    used.tools.extend(tightens.map(|t| t.id.value.to_string()));
    let asked: Vec<String> = operations
        .iter()
        .flat_map(Operation::readings)
        .filter_map(|r| r.lot.as_ref())
        .flat_map(|l| l.designations.iter().map(|d| squeezed(d)))
        .collect();
    let lots = book.lot.iter().filter(|l| asked.contains(&squeezed(&l.designation.value)));
    used.lots.extend(lots.map(|l| l.id.value.to_string()));
    used
}
