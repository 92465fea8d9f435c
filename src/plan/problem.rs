//! What the comparison with the book says, as located problems.

use super::model::Operation;
use crate::diagnostic::{Diagnostic, Report, Span, nearest};
use crate::job::JobFile;
use crate::job::model::{Joint, Role, Safety};
use crate::shop::Origin;
use crate::shop::fit::{JointFit, Procedure, Task, ToolFit, Topic};
use crate::shop::model::Person;
use crate::term::Method;
use crate::term::name::folded;

/// What is said of the joints and the people of a job.
#[must_use]
pub fn joint_problems(job: &JobFile, joints: &[JointFit], shop: Origin<'_>) -> Report {
    let mut report = Report::new();
    if shop.absent {
        let number = &job.job.number;
        report.push(
            Diagnostic::warning(
                "S200",
                "there is no shop book beside the job: nobody's qualification, no procedure, machine or tool is checked",
            )
            .at(Some(number.span.clone()))
            .key(number.key.clone())
            .expected("shop.toml next to the job, or one named with --shop FILE")
            .example("tackwright new shop --out shop.toml"),
        );
        return report;
    }
    for fit in joints {
        let Some(joint) = job.joint.iter().find(|j| j.id.0 == fit.id) else { continue };
        procedure(joint, fit, shop, &mut report);
        people(joint, fit, job, shop, &mut report);
        machines(joint, fit, shop, &mut report);
        testers(joint, shop, &mut report);
        for lack in &fit.traceability {
            report.push(
                at(Diagnostic::warning("S210", format!("joint {}: {}", fit.id, lack.text)), joint)
                    .expected("a [[lot]] with its heat or lot number and certificate"),
            );
        }
    }
    signers(job, shop, &mut report);
    report
}

/// What is said of the tools for a job's torques and readings.
#[must_use]
pub fn tool_problems(job: &JobFile, tools: &[ToolFit], shop: Origin<'_>) -> Report {
    let mut report = Report::new();
    // A slip in the day of the job leaves no tool calibrated: told once, not for each.
    let lapsed: Vec<&ToolFit> = tools.iter().filter(|fit| lapsed(fit)).collect();
    let many = lapsed.len() > FEW;
    for fit in tools.iter().filter(|fit| !(many && self::lapsed(fit))) {
        tool(job, fit, shop, &mut report);
    }
    if many {
        let names: Vec<&str> = lapsed
            .iter()
            .filter_map(|fit| match &fit.task {
                Task::Readings(instrument) => Some(instrument.as_str()),
                Task::Torque(_) => None,
            })
            .collect();
        let date = &job.job.date;
        let mut problem = Diagnostic::warning(
            "S207",
            format!("no tool of the shop book is in calibration on {}: {}", date.value, names.join(", ")),
        )
        .at(Some(date.span.clone()))
        .key(date.key.clone())
        .expected("the day the traveler is issued, or tools calibrated on it");
        for finding in lapsed.iter().filter_map(|fit| fit.findings.first()).take(FEW) {
            problem = problem.help(finding.text.clone());
        }
        report.push(problem);
    }
    report
}

/// Tools out of calibration that are told one by one.
const FEW: usize = 3;

/// Whether calibration alone speaks against every tool for a reading.
fn lapsed(fit: &ToolFit) -> bool {
    matches!(fit.task, Task::Readings(_))
        && fit.tools.is_empty()
        && !fit.findings.is_empty()
        && fit.findings.iter().all(|f| f.topic == Topic::Calibration)
}

/// Roles that sign or read something in the plan and that nobody may act in on the day of
/// the job: what is asked of them can't be entered.
#[must_use]
pub fn role_problems(job: &JobFile, operations: &[Operation], shop: Origin<'_>) -> Report {
    let mut report = Report::new();
    if shop.absent {
        return report;
    }
    let mut asked: Vec<(Role, String)> = Vec::new();
    for operation in operations {
        let points = operation.before.iter().chain(&operation.after);
        let signs = points.flat_map(|p| p.roles.iter().map(move |r| (*r, p.number.clone())));
        let does = operation.role.into_iter().chain(operation.steps.iter().filter_map(|s| s.by));
        let does = does.map(|r| (r, format!("operation {}", operation.number)));
        for (role, place) in signs.chain(does) {
            if !asked.iter().any(|(r, _)| *r == role) {
                asked.push((role, place));
            }
        }
    }
    let on = job.job.date.0;
    for (role, place) in asked {
        let own = job.person.iter().filter(|p| shop.book.person(&p.id.value).is_none());
        if own.into_iter().any(|p| p.role.contains(&role)) {
            continue;
        }
        // The book's certificate of a person is that of an inspector.
        let ends = |p: &Person| {
            let certificate = (role.word() == Role::Inspector.word() && p.certificate.is_some())
                .then(|| p.certificate_until.as_ref().map(|d| d.0))
                .flatten();
            certificate.into_iter().chain(p.until.as_ref().map(|d| d.0)).min()
        };
        let able: Vec<&Person> =
            shop.book.person.iter().filter(|p| p.role.iter().any(|r| r.word() == role.word())).collect();
        // The customer is no one of the shop's.
        if able.is_empty() {
            continue;
        }
        let last = able.iter().map(|p| ends(p)).max_by_key(|end| end.unwrap_or(chrono::NaiveDate::MAX));
        let Some(Some(last)) = last else { continue };
        let due = job.job.due.as_ref().map(|d| d.0);
        let names: Vec<String> = able
            .iter()
            .filter_map(|p| Some(format!("{} {} until {}", p.id.value, &*p.name.0, ends(p)?)))
            .collect();
        let (before, text) = if last < on {
            (
                true,
                format!(
                    "nobody of the shop book may act as {} on {on}, and {place} asks for it",
                    role.word()
                ),
            )
        } else if due.is_some_and(|due| last < due) {
            (
                false,
                format!(
                    "nobody of the shop book may act as {} after {last}, before the job is due",
                    role.word()
                ),
            )
        } else {
            continue;
        };
        let problem = if before && !shop.demo {
            Diagnostic::stop("S216", text)
        } else {
            Diagnostic::warning("S216", text)
        };
        report.push(
            problem
                .at(Some(job.job.date.span.clone()))
                .key(job.job.date.key.clone())
                .expected("somebody with the role, with the shop and certified on the days of the work")
                .help(names.join(", "))
                .help("enter the renewed certificate in the shop book: certificate_until"),
        );
    }
    report
}

fn at(problem: Diagnostic, joint: &Joint) -> Diagnostic {
    let place = joint
        .wps
        .as_ref()
        .map_or((joint.id.span.clone(), joint.id.key.clone()), |w| (w.span.clone(), w.key.clone()));
    problem.at(Some(place.0)).key(place.1)
}

/// What stands between a joint and its weld. On a joint that steers, carries or
/// stops the vehicle the work is not ready with it; elsewhere it is to be settled
/// before the work starts. The demonstration book speaks for nobody's shop.
fn unmade(code: &'static str, text: String, joint: &Joint, shop: Origin<'_>) -> Diagnostic {
    let carries = matches!(joint.safety, Safety::Steering | Safety::Suspension | Safety::Brake);
    let problem =
        if carries && !shop.demo { Diagnostic::stop(code, text) } else { Diagnostic::warning(code, text) };
    at(problem, joint)
}

/// A joint nobody of the book may weld is a dead end on any job: the record refuses the
/// weld, whoever enters it.
fn nobody(text: String, joint: &Joint, shop: Origin<'_>) -> Diagnostic {
    let problem = if shop.demo { Diagnostic::warning("S204", text) } else { Diagnostic::stop("S204", text) };
    at(problem, joint)
}

/// The procedure that would have to stand in the book, as far as the joint says it.
fn written(joint: &Joint) -> String {
    let process = joint.process.as_ref().map_or("…", |p| &***p);
    format!(
        "[[wps]] in the shop book with id, process = \"{process}\", weld = [\"{}\"], base, thickness, fillers, positions, record",
        if joint.kind.value.is_groove() { "groove" } else { joint.kind.value.word() }
    )
}

/// The test that would have to stand in the book, as far as the joint says it.
fn test(joint: &Joint, fit: &JointFit) -> String {
    let who = fit.welders.first().map_or("WO", |w| w.id.as_str());
    let process = joint.process.as_ref().map_or("GMAW", |p| &***p);
    format!(
        "[[qualification]] with id, person = \"{who}\", process = \"{process}\", standard, positions, form, thickness, date, last_used"
    )
}

fn procedure(joint: &Joint, fit: &JointFit, shop: Origin<'_>, report: &mut Report) {
    let would = || match fit.candidates.as_slice() {
        [] => "no procedure of the book covers it".to_owned(),
        some => format!("{} would cover it", some.join(", ")),
    };
    match &fit.procedure {
        Procedure::ToBeQualified => report.push(
            at(
                Diagnostic::warning(
                    "S202",
                    format!("joint {}: procedure to be qualified, none is named", fit.id),
                ),
                joint,
            )
            .expected("the id of a welding procedure; until then a hold with its boxes stands before the first tack")
            .example(match fit.candidates.first() {
                Some(id) => format!("wps = \"{id}\""),
                // None of the book covers it, so none is proposed.
                None => written(joint),
            })
            .help(would()),
        ),
        Procedure::Unknown(id) => {
            let text = format!("joint {}: {id} is not in the shop book {}", fit.id, shop.name);
            // The demonstration book knows nothing of another shop's procedures.
            let problem =
                if shop.demo { Diagnostic::warning("S201", text) } else { Diagnostic::error("S201", text) };
            let ids: Vec<&str> = shop.book.wps.iter().map(|w| &*w.id.0).collect();
            let mut problem = at(problem, joint).expected(ids.join(", ")).help(would());
            // Only one that covers the joint is put into somebody's file.
            let covers = || fit.candidates.iter().map(String::as_str);
            if let Some(near) = nearest(id, covers()).or_else(|| covers().next()) {
                problem = problem.example(format!("wps = \"{near}\""));
            }
            report.push(problem);
        }
        Procedure::Named(id) => {
            // A procedure for other parts or another weld is not met by turning its settings.
            let settings = fit.findings.iter().filter(|f| f.refuses).all(|f| f.write.is_some());
            for finding in fit.findings.iter().filter(|f| f.refuses) {
                let text = format!("joint {}: {}", fit.id, finding.text);
                // Nobody may weld it by this procedure, whatever hangs on the joint.
                let problem = if shop.demo {
                    Diagnostic::warning("S203", text)
                } else {
                    Diagnostic::stop("S203", text)
                };
                let mut problem = at(problem, joint)
                    .expected(format!("a joint within {id}, or another procedure ({})", would()));
                // Another procedure that covers the joint as it is comes before another joint.
                match (fit.candidates.first(), &finding.write) {
                    (Some(other), _) => problem = problem.example(format!("wps = \"{other}\"")),
                    (None, Some((key, value))) if settings => {
                        let value = format!("{key} = \"{value}\"");
                        problem = if finding.only {
                            problem.example(value)
                        } else {
                            problem.help(format!("nearest that {id} allows: {value}"))
                        };
                        problem = problem.key(format!("{}.{key}", joint.id.key.trim_end_matches(".id")));
                    }
                    (None, _) => {}
                }
                if let Some(source) = finding.source {
                    problem = problem.help(format!("{source}."));
                }
                report.push(problem);
            }
        }
    }
}

fn people(joint: &Joint, fit: &JointFit, job: &JobFile, shop: Origin<'_>, report: &mut Report) {
    if fit.welders.is_empty() {
        report.push(
            nobody(format!("joint {}: the shop book has no welder", fit.id), joint, shop)
                .expected("a [[person]] with the role welder and a [[qualification]]"),
        );
        return;
    }
    let able: Vec<_> = fit.able().collect();
    if able.is_empty() {
        let text = format!("joint {}: nobody in the shop book may weld it", fit.id);
        let mut problem = nobody(text, joint, shop)
            .expected("a welder whose tests cover process, position, thickness and diameter on the day")
            .example(test(joint, fit))
            .help("or a process and position somebody of the book was tested for");
        for welder in &fit.welders {
            if let Some(first) = welder.findings.iter().find(|f| f.refuses) {
                problem = problem.help(format!("{}: {}", welder.id, first.text));
            }
        }
        report.push(problem);
        return;
    }
    // The job may name its welders; one of them has to be able.
    let on_job: Vec<&str> = job
        .person
        .iter()
        .filter(|p| {
            p.role.contains(&crate::job::model::Role::Welder) && shop.book.person(&p.id.value).is_some()
        })
        .map(|p| &*p.id.0)
        .collect();
    if !on_job.is_empty() && !able.iter().any(|w| on_job.contains(&&*w.id)) {
        let names: Vec<_> = able.iter().map(|w| format!("{} {}", w.id, w.name)).collect();
        report.push(
            unmade("S205", format!("joint {}: no welder named in the job may weld it", fit.id), joint, shop)
                .expected(format!("one of {} on the job", names.join(", "))),
        );
    }
    let last = able.iter().filter_map(|w| w.until).max();
    if let (Some(due), Some(last)) = (&job.job.due, last)
        && last < due.0
    {
        report.push(
            at(
                Diagnostic::warning(
                    "S208",
                    format!(
                        "joint {}: every qualification for it runs out by {last}, before the job is due",
                        fit.id
                    ),
                ),
                joint,
            )
            .expected(format!("a qualification that holds until {}", due.value)),
        );
    }
}

fn machines(joint: &Joint, fit: &JointFit, shop: Origin<'_>, report: &mut Report) {
    if fit.machines.is_empty() {
        report.push(
            unmade("S206", format!("joint {}: the shop book has no machine", fit.id), joint, shop)
                .expected("a [[machine]] that does the process"),
        );
        return;
    }
    if fit.usable().next().is_none() {
        let mut problem =
            unmade("S206", format!("joint {}: no machine of the book can weld it", fit.id), joint, shop)
                .expected("a machine that does the process and reaches the amps at the duty of the joint");
        for machine in &fit.machines {
            if let Some(first) = machine.findings.iter().find(|f| f.refuses) {
                problem = problem.help(format!("{}: {}", machine.id, first.text));
            }
        }
        report.push(problem);
    }
    // A machine that is refused already says why.
    for machine in fit.usable() {
        for finding in machine.findings.iter().filter(|f| !f.refuses && f.topic == Topic::ColdJoint) {
            let mut problem =
                Diagnostic::warning("S211", format!("joint {}, {}: {}", fit.id, machine.id, finding.text));
            if let Some(source) = finding.source {
                problem = problem.help(format!("{source}."));
            }
            report.push(at(problem, joint).expected("a set and settings that melt the thickness"));
        }
    }
}

fn tool(job: &JobFile, fit: &ToolFit, shop: Origin<'_>, report: &mut Report) {
    let fastener = match &fit.task {
        Task::Torque(id) => job.fastener.iter().find(|f| f.id.0 == *id),
        Task::Readings(_) => None,
    };
    let place: Option<(Span, String)> = fastener.map(|f| (f.id.span.clone(), f.id.key.clone()));
    // A torque nobody of this shop can set is not set. The demonstration book speaks for
    // nobody's shop, and who knows of another wrench says so.
    let sure = fastener.is_none_or(|f| f.sure.is_some()) || shop.demo;
    let said = |code: &'static str, text: String, stops: bool| {
        if stops && !sure { Diagnostic::stop(code, text) } else { Diagnostic::warning(code, text) }
    };
    let what = match &fit.task {
        Task::Torque(id) => format!("fastener {id}, {}", fit.wanted),
        Task::Readings(instrument) => format!("{instrument}, {}", fit.wanted),
    };
    // Readings belong to no table of the job: what they lack is told at its number.
    let (span, key) = place.unwrap_or_else(|| (job.job.number.span.clone(), job.job.number.key.clone()));
    let span = Some(span);
    if fit.tools.is_empty() {
        // A calibration is renewed before the work; no wrench reaches further than it does.
        let short = fit.findings.iter().filter(|f| f.topic == Topic::Range).count();
        let none_reaches = short > 0 && short == shop.book.torque_tool.len();
        let mut problem = said("S207", format!("no tool of the shop book will do: {what}"), none_reaches)
            .at(span)
            .key(key)
            .expected("a tool in range, in calibration on the day, and finer than the tolerance");
        for finding in &fit.findings {
            problem = problem.help(finding.text.clone());
        }
        report.push(problem);
        return;
    }
    let named = fastener.and_then(|f| f.wrench.as_ref()).and_then(|w| w.split([',', ' ']).next());
    let short = named.is_some_and(|id| {
        fit.findings.iter().any(|f| f.topic == Topic::Range && f.text.starts_with(&format!("{id}: ")))
    });
    for finding in fit.findings.iter().filter(|f| !f.refuses && f.topic == Topic::NamedTool) {
        let wrench = fastener.and_then(|f| f.wrench.as_ref());
        let named = wrench.map(|w| w.split([',', ' ']).next().unwrap_or_default());
        let mut problem = said("S212", format!("{what}: {}", finding.text), short)
            .at(span.clone())
            .key(if wrench.is_some() { key.replace(".id", ".wrench") } else { key.clone() })
            .expected(format!("one of {}", fit.tools.join(", ")));
        let tools = || fit.tools.iter().map(String::as_str);
        // A torque somebody typed may be what is wrong: no longer wrench is put beside it.
        if short && fastener.is_some_and(|f| f.torque.is_some()) {
            problem = problem.example("torque = \"…\" or wrench = \"…\"");
        } else if let Some(near) = named.and_then(|n| nearest(n, tools())).or_else(|| tools().next()) {
            problem = problem.example(format!("wrench = \"{near}\""));
        }
        report.push(problem);
    }
}

/// Methods of testing a joint asks that no inspector of the book is certified for. None
/// without a book.
pub(super) fn untested(joint: &Joint, shop: Origin<'_>) -> Vec<Method> {
    let Some(asked) = joint.inspection.as_ref().filter(|_| !shop.absent) else { return Vec::new() };
    let inspector = |p: &&Person| p.role.contains(&crate::shop::model::Role::Inspector);
    let certified = |method: &Method| {
        let inspectors = shop.book.person.iter().filter(inspector);
        inspectors.filter_map(|p| p.certificate.as_ref()).any(|c| Method::named_in(&c.0).contains(method))
    };
    Method::named_in(&asked.0).into_iter().filter(|method| !certified(method)).collect()
}

/// A test counts when somebody certified for its method made it.
fn testers(joint: &Joint, shop: Origin<'_>, report: &mut Report) {
    for method in untested(joint, shop) {
        let (word, method) = (method.word(), method.title());
        report.push(
            at(
                Diagnostic::warning(
                    "S217",
                    format!(
                        "joint {}: it asks {method}, and no inspector of the book is certified for it",
                        joint.id.value
                    ),
                ),
                joint,
            )
            .expected("an inspector of the shop book whose certificate names the method, or a test house named in the order")
            .example(format!("certificate = \"{method}, level 2\"; it has to name \"{word}\"")),
        );
    }
}

/// People of the job against people of the book.
fn signers(job: &JobFile, shop: Origin<'_>, report: &mut Report) {
    if shop.demo {
        return;
    }
    for person in &job.person {
        let place = |d: Diagnostic| d.at(Some(person.id.span.clone())).key(person.id.key.clone());
        let Some(known) = shop.book.person(&person.id.value) else {
            let ids: Vec<&str> = shop.book.person.iter().map(|p| &*p.id.0).collect();
            let mut problem =
                place(Diagnostic::warning("S209", format!("{} is not in the shop book", person.id.value)))
                    .expected(ids.join(", "));
            // One name is one person; else an id that was mistyped.
            let same = shop.book.person.iter().find(|p| folded(&p.name) == folded(&person.name));
            let near = same.map(|p| &*p.id.0).or_else(|| {
                nearest(&person.id.value, ids.iter().copied())
                    .filter(|near| !job.person.iter().any(|p| &*p.id.0 == *near))
            });
            if let Some(near) = near {
                problem = problem.example(format!("id = \"{near}\""));
            }
            report.push(problem);
            continue;
        };
        // A name still blank contradicts nothing; that it is blank is told by itself.
        if !person.name.is_blank() && *person.name.0 != *known.name.0 {
            report.push(
                place(Diagnostic::error(
                    "S213",
                    format!(
                        "{} is {} here and {} in the shop book",
                        person.id.value, &*person.name, &*known.name
                    ),
                ))
                .expected("one person under one id")
                .example(format!("name = \"{}\"", &*known.name)),
            );
        }
        if let (Some(here), Some(there)) = (&person.stamp, &known.stamp)
            && **here != *there.0
        {
            report.push(
                place(Diagnostic::warning(
                    "S213",
                    format!(
                        "the stamp of {} is {} here and {} in the shop book",
                        person.id.value, &**here, &*there.value
                    ),
                ))
                .expected("the stamp of the shop book")
                .example(format!("stamp = \"{}\"", &*there.value)),
            );
        }
        let unknown: Vec<&str> = person
            .role
            .iter()
            .map(|r| r.word())
            .filter(|r| !known.role.iter().any(|k| k.word() == *r))
            .collect();
        if !unknown.is_empty() {
            report.push(
                place(Diagnostic::warning(
                    "S214",
                    format!(
                        "{} signs as {} here, which the shop book does not say",
                        person.id.value,
                        unknown.join(", ")
                    ),
                ))
                .expected(known.role.iter().map(|r| r.word()).collect::<Vec<_>>().join(", "))
                .example(format!(
                    "role = [{}]",
                    known.role.iter().map(|r| format!("\"{}\"", r.word())).collect::<Vec<_>>().join(", ")
                )),
            );
        }
        if let Some(until) = &known.until
            && until.0 < job.job.date.0
        {
            report.push(
                place(Diagnostic::warning(
                    "S215",
                    format!("{} left the shop on {}", person.id.value, until.value),
                ))
                .expected("people who are with the shop on the day"),
            );
        }
    }
}
