//! People and tools that may sign or be used, from the job and the shop book.

use std::collections::BTreeMap;

use super::super::document::{Person, Tool};
use super::Subject;
use crate::job::model::{Joint, Role};
use crate::shop::fit::{JointFit, Procedure, Task, may};
use crate::shop::model;
use crate::shop::qualify::validity::validity;

/// People of the job, else everybody of the book whose role the job needs;
/// then a line to write on for each role nobody has.
pub(super) fn people(planned: &Subject<'_>) -> Vec<Person> {
    let needed = roles(planned);
    let job = &planned.job.person;
    let mut people: Vec<Person> = job
        .iter()
        .map(|p| Person {
            role: p.role.iter().map(|r| r.word()).collect::<Vec<_>>().join(", "),
            name: Some(p.name.0.clone()),
            id: Some(mark(&p.id.value, p.stamp.as_deref())),
            qualification: qualification(planned, &p.id.value),
            ..Person::default()
        })
        .collect();
    let on = planned.job.job.date.0;
    let book = &planned.plan.shop.person;
    if job.is_empty() {
        people.extend(book.iter().filter(|p| serves(p, &needed, on)).map(|p| Person {
            role: p.role.iter().map(|r| r.word()).collect::<Vec<_>>().join(", "),
            name: Some(p.name.0.clone()),
            id: Some(mark(&p.id.value, p.stamp.as_ref().map(|s| &*s.0))),
            qualification: qualification(planned, &p.id.value),
            ..Person::default()
        }));
    }
    for role in needed {
        let named = if job.is_empty() {
            book.iter().any(|p| p.role.iter().any(|r| r.word() == role.word()) && serves(p, &[role], on))
        } else {
            job.iter().any(|p| p.role.contains(&role))
        };
        if !named {
            people.push(Person { role: role.word().to_owned(), ..Person::default() });
        }
    }
    people
}

/// The one person of a role, as printed over a signature; `None` where nobody
/// or several have it.
pub(super) fn only(planned: &Subject<'_>, role: Role) -> Option<String> {
    let on = planned.job.job.date.0;
    let job = &planned.job.person;
    let named: Vec<String> = if job.is_empty() {
        let book = &planned.plan.shop.person;
        book.iter()
            .filter(|p| serves(p, &[role], on))
            .map(|p| format!("{} · {}", &*p.name, p.id.value))
            .collect()
    } else {
        job.iter()
            .filter(|p| p.role.contains(&role))
            .map(|p| format!("{} · {}", &*p.name, p.id.value))
            .collect()
    };
    match named.as_slice() {
        [one] => Some(one.clone()),
        _ => None,
    }
}

/// Roles that work or sign, each once.
fn roles(planned: &Subject<'_>) -> Vec<Role> {
    let mut needed: Vec<Role> = Vec::new();
    for operation in &planned.plan.operations {
        needed.extend(operation.role);
        needed.extend(operation.points().flat_map(|p| p.roles.iter().copied()));
    }
    needed.sort_unstable();
    needed.dedup();
    needed
}

fn serves(person: &model::Person, needed: &[Role], on: chrono::NaiveDate) -> bool {
    let here = person.until.as_ref().is_none_or(|u| u.0 >= on);
    here && person.role.iter().any(|r| needed.iter().any(|n| n.word() == r.word()))
}

fn mark(id: &str, stamp: Option<&str>) -> String {
    stamp.map_or_else(|| id.to_owned(), |s| format!("{id} / {s}"))
}

/// Tests and certificates of a person, each with its last day.
fn qualification(planned: &Subject<'_>, id: &str) -> String {
    let book = &planned.plan.shop;
    let Some(person) = book.person(id) else { return String::new() };
    let on = planned.job.job.date.0;
    let mut parts: Vec<String> = Vec::new();
    for test in book.qualifications(id) {
        let until = validity(book, test, on).until();
        let state = if test.questioned.is_some() {
            "in question".to_owned()
        } else if until < on {
            format!("ran out {until}")
        } else {
            format!("until {until}")
        };
        parts.push(format!("{}, {}: {state}", test.title(), test.standard.value.title()));
    }
    if let Some(certificate) = &person.certificate {
        parts.push(match &person.certificate_until {
            Some(until) if until.0 < on => format!("{}: ran out {}", &**certificate, until.value),
            Some(until) => format!("{}: until {}", &**certificate, until.value),
            None => certificate.0.clone(),
        });
    }
    let joints: Vec<&str> = planned
        .plan
        .table
        .joints
        .iter()
        .filter(|j| j.covered() && j.able().any(|w| w.id == id))
        .map(|j| j.id.as_str())
        .collect();
    if !joints.is_empty() {
        parts.push(format!("may weld {}", joints.join(", ")));
    }
    parts.join("; ")
}

/// Machines, torque tools and instruments that came through the check.
pub(super) fn tools(planned: &Subject<'_>) -> Vec<Tool> {
    let (table, book) = (&planned.plan.table, &planned.plan.shop);
    let mut purposes: BTreeMap<&str, Vec<String>> = BTreeMap::new();
    for fit in &table.tools {
        let purpose = match &fit.task {
            Task::Torque(id) => id.clone(),
            Task::Readings(instrument) => format!("{instrument} readings"),
        };
        for tool in &fit.tools {
            purposes.entry(tool).or_default().push(purpose.clone());
        }
    }
    for joint in &table.joints {
        for machine in joint.usable() {
            purposes.entry(&machine.id).or_default().push(joint.id.clone());
        }
    }
    let mut found = Vec::new();
    let mut push = |id: &str, what: &str, until: String| {
        if let Some(purpose) = purposes.get(id) {
            found.push(Tool { id: id.to_owned(), what: what.to_owned(), purpose: purpose.join(", "), until });
        }
    };
    for machine in &book.machine {
        let until = machine.validation_due.as_ref().map_or_else(String::new, |d| d.value.to_string());
        push(&machine.id.value, &machine.title, until);
    }
    for tool in &book.torque_tool {
        push(&tool.id.value, &tool.kind, tool.due.value.to_string());
    }
    for tool in &book.instrument {
        push(&tool.id.value, &tool.kind.value, tool.due.value.to_string());
    }
    found
}

/// What the book says about a joint, worded for its card.
pub(super) struct ForJoint {
    /// The procedure, with revision and support.
    pub(super) procedure: Option<String>,
    /// Welders who may.
    pub(super) welders: Option<String>,
    /// Machines that may be used.
    pub(super) machines: Option<String>,
    /// Why the named procedure does not cover the joint.
    pub(super) mismatch: Option<String>,
}

pub(super) fn for_joint(planned: &Subject<'_>, joint: &Joint) -> ForJoint {
    let fit = planned.plan.table.joints.iter().find(|j| j.id == joint.id.0);
    let named = joint.wps.as_ref().map(|w| w.0.clone());
    let Some(fit) = fit else {
        return ForJoint { procedure: named, welders: None, machines: None, mismatch: None };
    };
    // A job that names its people is welded by them.
    let crew = &planned.job.person;
    let here = |id: &str| crew.is_empty() || crew.iter().any(|p| p.id.0 == id);
    let welders = if fit.covered() {
        let able: Vec<_> =
            fit.able().filter(|w| here(&w.id)).map(|w| format!("{} {}", w.id, w.name)).collect();
        if able.is_empty() { "nobody named for this job".to_owned() } else { able.join(", ") }
    } else {
        "nobody yet".to_owned()
    };
    ForJoint {
        procedure: fit.label.clone().or(named),
        welders: Some(welders),
        machines: Some(fit.usable().map(|m| m.id.clone()).collect::<Vec<_>>().join(", "))
            .filter(|m| !m.is_empty()),
        mismatch: mismatch(fit),
    }
}

fn mismatch(fit: &JointFit) -> Option<String> {
    match &fit.procedure {
        Procedure::ToBeQualified => None,
        Procedure::Unknown(id) => Some(format!("{id} is not in the shop book")),
        Procedure::Named(_) if may(&fit.findings) => None,
        Procedure::Named(_) => Some(
            fit.findings.iter().filter(|f| f.refuses).map(|f| f.text.as_str()).collect::<Vec<_>>().join("; "),
        ),
    }
}
