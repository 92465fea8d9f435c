//! The plan against the shop book, and the part of the book it used.

use super::model::Operation;
use super::resolve::Basis;
use crate::job::JobFile;
use crate::job::model::Role;
use crate::procedure::figures::{JobFigures, Owner};
use crate::quantity::Torque;
use crate::reference::metal::squeezed;
use crate::shop::Book;
use crate::shop::fit::{ReadingNeed, Table, Task, TorqueNeed, readings, torques};
use crate::shop::model::Measures;
use crate::source::Source;

/// The whole comparison of a plan with the book, on the job's date.
pub(super) fn table(basis: &Basis<'_>, operations: &[Operation]) -> Table {
    let on = basis.job.job.date.value.0;
    let mut tools = torques(basis.book, &torque_needs(basis.job, basis.figures), on);
    tools.extend(readings(basis.book, reading_needs(operations), on));
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
            let owner = Owner::Fastener(fastener.id.value.0.clone());
            let get = |name: &str| figures.quantity::<Torque>(&owner, name);
            Some(TorqueNeed {
                id: fastener.id.value.to_string(),
                torque: get("torque")?,
                tolerance: get("torque_low").zip(get("torque_high")).map(|(low, high)| (high - low) / 2.0),
                stages: ["stage_1", "stage_2"].iter().filter_map(|s| get(s)).collect(),
                named: fastener.wrench.as_ref().and_then(|w| w.split([',', ' ']).next()).map(str::to_owned),
            })
        })
        .collect()
}

/// Every reading of the plan that is taken with an instrument.
fn reading_needs(operations: &[Operation]) -> Vec<ReadingNeed> {
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
            });
        }
    }
    needs
}

/// The part of the book the plan used, without any PIN.
pub(super) fn used(basis: &Basis<'_>, operations: &[Operation], table: &Table) -> Book {
    let Basis { job, book, .. } = basis;
    let mut used = (*book).clone();
    let works = |role: &str| {
        // A lead decides what nobody foresaw.
        role == Role::Lead.word()
            || operations.iter().any(|o| {
                o.role.is_some_and(|r| r.word() == role)
                    || o.points().any(|p| p.roles.iter().any(|r| r.word() == role))
            })
    };
    used.person.retain(|p| {
        job.person.iter().any(|j| j.id.value == p.id.value) || p.role.iter().any(|r| works(r.word()))
    });
    for person in &mut used.person {
        person.pin = None;
    }
    let people: Vec<_> = used.person.iter().map(|p| p.id.value.clone()).collect();
    used.qualification.retain(|q| people.contains(&q.person.value));
    used.wps.retain(|w| job.joint.iter().any(|j| j.wps.as_ref().is_some_and(|n| n.value.0 == w.id.value.0)));
    used.machine.retain(|m| table.joints.iter().any(|j| j.usable().any(|u| u.id == m.id.value.0)));
    let tool = |id: &str, torque: bool| {
        table
            .tools
            .iter()
            .any(|t| matches!(t.task, Task::Torque(_)) == torque && t.tools.iter().any(|i| i == id))
    };
    used.instrument.retain(|i| tool(&i.id.value, false));
    used.torque_tool.retain(|t| tool(&t.id.value, true));
    used.lot.retain(|l| {
        let same = |name: &str| squeezed(name) == squeezed(&l.designation.value);
        job.joint
            .iter()
            .any(|j| [&j.filler, &j.steel, &j.other_steel].into_iter().flatten().any(|n| same(&n.value)))
    });
    used
}
