//! Ids used twice, and names that point nowhere.

use std::collections::BTreeMap;

use super::at;
use crate::diagnostic::{Diagnostic, Report, nearest};
use crate::file::{Id, Located};
use crate::job::JobFile;
use crate::job::model::{Component, Role};
use crate::term::name::{initials, numbered, on_paper};

pub(super) fn check(job: &JobFile, report: &mut Report) {
    unique(
        "component",
        job.axle
            .iter()
            .map(|a| &a.id)
            .chain(job.driveshaft.iter().map(|d| &d.id))
            .chain(job.weldment.iter().map(|w| &w.id)),
        report,
    );
    unique("joint", job.joint.iter().map(|j| &j.id), report);
    unique("fastener", job.fastener.iter().map(|f| &f.id), report);
    unique("sheet", job.sheet.iter().map(|s| &s.id), report);
    unique("person", job.person.iter().map(|p| &p.id), report);
    apart(job, report);
    numbers(job, report);
    let components: Vec<&str> = job.components().map(Component::id).collect();
    let sheets = job.sheet.iter().map(|s| &s.on);
    for on in job.joint.iter().map(|j| &j.on).chain(job.fastener.iter().map(|f| &f.on)).chain(sheets) {
        points(on, "component", &components, report);
    }
    for weldment in &job.weldment {
        unique("part", weldment.part.iter().map(|p| &p.id), report);
    }
    for joint in job.joint.iter().filter(|j| !j.parts.is_empty()) {
        let weldment = job.weldment.iter().find(|w| w.id.value == joint.on.value);
        let parts: Vec<&str> = weldment.iter().flat_map(|w| &w.part).map(|p| &*p.id.0).collect();
        joint.parts.iter().for_each(|part| points(part, "part of its weldment", &parts, report));
    }
    let axles: Vec<&str> = job.axle.iter().map(|a| &*a.id.0).collect();
    for axle in job.driveshaft.iter().filter_map(|d| d.axle.as_ref()) {
        points(axle, "axle", &axles, report);
    }
    if job.work.is_empty() {
        report.push(
            Diagnostic::error("J102", "the job asks for no procedure")
                .at(Some(job.job.number.span.clone()))
                .key("work")
                .expected("at least one [[work]] table")
                .example("[[work]]\nprocedure = \"spring-over\"\non = [\"front\"]"),
        );
    }
    people(job, report);
}

/// A person and a joint of one id are one on a page: `J1: welded by J1`.
fn apart(job: &JobFile, report: &mut Report) {
    let joints = job.joint.iter().map(|j| ("joint", &j.id));
    let fasteners = job.fastener.iter().map(|f| ("fastener", &f.id));
    for (what, id) in joints.chain(fasteners).filter(|(_, id)| !id.value.is_blank()) {
        let Some(person) = job.person.iter().find(|p| p.id.value == id.value) else { continue };
        let letter = if what == "joint" { 'J' } else { 'B' };
        // An id that is right for a joint stays; the person gets another.
        let (place, other) = if numbered(&id.value, &[letter]) {
            (&person.id, free_initials(job, &person.name))
        } else {
            (id, free_number(job, letter))
        };
        report.push(at(
            Diagnostic::warning("J119", format!("{} is the id of a {what} and of {}", id.value, person.name))
                .expected("ids that tell people, joints and fasteners apart on paper and in the log")
                .example(format!("id = \"{other}\"")),
            place,
        ));
    }
}

/// Letters of joints and groups of fasteners on paper.
const JOINT: char = 'J';
const GROUP: char = 'B';

/// Every id of people, joints and fasteners, to find one that is free.
fn taken(job: &JobFile, id: &str) -> bool {
    let joints = job.joint.iter().map(|j| &j.id);
    let fasteners = job.fastener.iter().map(|f| &f.id);
    let people = job.person.iter().map(|p| &p.id);
    joints.chain(fasteners).chain(people).any(|other| other.0.eq_ignore_ascii_case(id))
}

fn free_number(job: &JobFile, letter: char) -> String {
    let all = (1..).map(|n| format!("{letter}{n}"));
    all.into_iter().find(|id| !taken(job, id)).unwrap_or_default()
}

fn free_initials(job: &JobFile, name: &str) -> String {
    let plain = initials(name);
    let free = |id: &String| !taken(job, id) && !id.is_empty();
    let more = (2..).map(|n| format!("{}{n}", if plain.is_empty() { "P" } else { &plain }));
    std::iter::once(plain.clone()).chain(more).find(free).unwrap_or_default()
}

/// `H1`, `W2`, `R3`, `F4` are points and found conditions on every page: an id that reads
/// the same is two things to whoever signs or types it.
fn numbers(job: &JobFile, report: &mut Report) {
    let tell = |what: &str, id: &Located<Id>, stands: &str, other: String| {
        at(
            Diagnostic::warning("J230", format!("{what} {} has the number of {stands}", id.value))
                .expected("an id that reads like no point, no found condition and no joint on paper")
                .example(format!("id = \"{other}\"")),
            id,
        )
    };
    for person in job.person.iter().filter(|p| !p.id.value.is_blank()) {
        let joint = || numbered(&person.id.0, &[JOINT]).then_some("a joint");
        let group = || numbered(&person.id.0, &[GROUP]).then_some("a group of fasteners");
        let twice = job.joint.iter().map(|j| &j.id).chain(job.fastener.iter().map(|f| &f.id));
        // That two things have one id is said by itself.
        if twice.into_iter().any(|id| id.value == person.id.value) {
            continue;
        }
        if let Some(stands) = on_paper(&person.id.0).or_else(joint).or_else(group) {
            report.push(tell("person", &person.id, stands, free_initials(job, &person.name)));
        }
    }
    let joints = job.joint.iter().map(|j| ("joint", &j.id, JOINT));
    let fasteners = job.fastener.iter().map(|f| ("fastener", &f.id, GROUP));
    for (what, id, letter) in joints.chain(fasteners).filter(|(_, id, _)| !id.value.is_blank()) {
        if let Some(stands) = on_paper(&id.0) {
            report.push(tell(what, id, stands, free_number(job, letter)));
        }
    }
}

fn unique<'a>(what: &str, ids: impl Iterator<Item = &'a Located<Id>>, report: &mut Report) {
    let mut seen: BTreeMap<&str, ()> = BTreeMap::new();
    for id in ids {
        if id.0 == "unit" && what == "component" {
            report.push(at(
                Diagnostic::error("J109", "\"unit\" stands for the whole unit and can't name a component")
                    .expected("another id")
                    .example("id = \"front\""),
                id,
            ));
        }
        if !id.value.is_blank() && seen.insert(&id.0, ()).is_some() {
            report.push(at(
                Diagnostic::error("J103", format!("two {what}s are called \"{}\"", id.value))
                    .expected("an id used once")
                    .example(format!("id = \"{}-2\"", id.value)),
                id,
            ));
        }
    }
}

fn points(id: &Located<Id>, what: &str, names: &[&str], report: &mut Report) {
    if id.value.is_blank() || names.contains(&&*id.0) {
        return;
    }
    let mut problem = Diagnostic::error("J104", format!("there is no {what} \"{}\"", id.value)).expected(
        if names.is_empty() { format!("a {what}: the job has none there") } else { names.join(", ") },
    );
    match (nearest(&id.value, names.iter().copied()), names) {
        (Some(near), _) => {
            problem = problem.example(format!("\"{near}\"")).help(format!("did you mean \"{near}\"?"));
        }
        (None, [only]) => problem = problem.example(format!("\"{only}\"")),
        (None, _) => {}
    }
    report.push(at(problem, id));
}

/// A job has a lead, and a weld an inspector who did not make it.
fn people(job: &JobFile, report: &mut Report) {
    // Without people of its own a job is signed by those of the book.
    if !job.person.is_empty() && !job.person.iter().any(|p| p.role.contains(&Role::Lead)) {
        let place = job.person.first().map_or(&job.job.number.span, |p| &p.span);
        report.push(
            Diagnostic::stop("J113", "nobody on the job is its lead, and the lead signs its holds")
                .at(Some(place.clone()))
                .key("person")
                .expected("a person with the role lead")
                .example("role = [\"lead\"]"),
        );
    }
    if job.person.is_empty() || job.joint.is_empty() {
        return;
    }
    let with = |role: Role| job.person.iter().filter(move |p| p.role.contains(&role));
    let independent = with(Role::Inspector)
        .any(|i| with(Role::Welder).any(|w| w.id.value != i.id.value) || with(Role::Welder).next().is_none());
    if !independent {
        report.push(
            Diagnostic::warning("J105", "nobody on the job can accept a weld somebody else made")
                .at(Some(job.person[0].span.clone()))
                .key("person")
                .expected("an inspector who is not the only welder")
                .example("role = [\"inspector\"]"),
        );
    }
}
