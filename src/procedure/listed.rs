//! Parts the job lists against parts its operations work on.

use std::collections::BTreeSet;

use super::figures::JobFigures;
use super::selected::{Selected, Selection, What};
use crate::diagnostic::{Diagnostic, Report, nearest};
use crate::file::{Id, Located};
use crate::job::JobFile;
use crate::job::model::{Act, HoldRule, Joint, OwnOperation, Work};

/// Stops at work on parts the job does not list, which prints without a single
/// figure of them, and at parts of the job that no work asks for.
pub(super) fn compare(job: &JobFile, selection: &Selection<'_>, report: &mut Report) {
    let mut told: BTreeSet<(&str, &str)> = BTreeSet::new();
    for selected in &selection.operations {
        let what = selected.what;
        let welds = what.joints().filter(|_| what.acts().contains(&"arc"));
        let tightens = what.fasteners().filter(|_| what.tightens());
        for component in &selected.components {
            let on = component.id();
            if let Some(usage) = welds.map(|u| &*u.0) {
                let listed = job.joint.iter().any(|j| j.usage.0 == usage && j.on.0 == on);
                if !listed && told.insert((usage, on)) {
                    report.push(lacks(job, selected, "J209", &format!(
                        "welds {usage} joints of \"{on}\", but the job lists none: it prints without size, preheat, settings and limits"
                    ), &format!("a joint with use = \"{usage}\" on \"{on}\""), &format!(
                        "[[joint]] with id = \"{}\", on = \"{on}\", use = \"{usage}\", …",
                        free("J", job.joint.iter().map(|j| &*j.id.0))
                    )));
                }
            }
            if let Some(usage) = tightens.map(|u| &*u.0) {
                let group = |on: &str| job.fastener.iter().any(|f| f.usage.0 == usage && f.on.0 == on);
                let somewhere = selected.components.iter().any(|c| group(c.id()));
                // Where one component has its group the others are not left without a box; of
                // what the unit has once one group is all, and it is missed once.
                let wanted = if what.one_group() {
                    !somewhere && selected.components.first().is_some_and(|c| c.id() == on)
                } else {
                    !what.or_maker() || somewhere
                };
                if wanted && !group(on) && told.insert((usage, on)) {
                    report.push(lacks(job, selected, "J220", &format!(
                        "tightens the {usage} fasteners of \"{on}\", but the job lists none: it prints without torque, stages and limits"
                    ), &format!("a group of fasteners with use = \"{usage}\" on \"{on}\""), &format!(
                        "[[fastener]] with id = \"{}\", on = \"{on}\", use = \"{usage}\", …",
                        free("B", job.fastener.iter().map(|f| &*f.id.0))
                    )));
                }
            }
        }
    }
    let idle = |on: &str| !selection.operations.iter().any(|s| s.components.iter().any(|c| c.id() == on));
    for fastener in &job.fastener {
        let uses = used(selection, &fastener.on.0, What::fasteners);
        unasked(
            ("fastener", &fastener.id, &fastener.usage),
            &uses,
            idle(&fastener.on.0),
            fastener.sure.as_deref(),
            report,
        );
    }
    for joint in &job.joint {
        let uses = used(selection, &joint.on.0, What::joints);
        if !uses.contains(&*joint.usage.0) {
            unasked(
                ("joint", &joint.id, &joint.usage),
                &uses,
                idle(&joint.on.0),
                joint.sure.as_deref(),
                report,
            );
            continue;
        }
        made_and_accepted(selection, joint, report);
    }
    for own in &job.operation {
        names_its_joints(job, own, report);
    }
}

/// Concerns that only work of their own brings back: the operation that reads it as left, and
/// the procedure that brings it in.
const PROVED_BY: &[(&str, &str, &str)] = &[("steering-link", "bump-steer", "linkage")];

/// Tells what a hold settles in words and no operation of the job reads as left.
pub(super) fn unproved(job: &JobFile, figures: &JobFigures, selection: &Selection<'_>, report: &mut Report) {
    for concern in &figures.concerns {
        let Some((_, proof, procedure)) = PROVED_BY.iter().find(|(name, ..)| *name == concern.name) else {
            continue;
        };
        let here = |s: &&Selected<'_>| s.components.iter().any(|c| c.id() == concern.component);
        if selection.operations.iter().filter(here).any(|s| s.id == *proof) {
            continue;
        }
        let works = |w: &&Work| w.on.iter().any(|on| *on.value.0 == *concern.component);
        let Some(work) = job.work.iter().find(works) else { continue };
        let what = concern.text.split(". Settle").next().unwrap_or_default();
        report.push(
            Diagnostic::warning(
                "J309",
                format!(
                    "{}: {what}; a hold has the remedy named, and no operation of this job fits it or reads it as left",
                    concern.component
                ),
            )
            .at(Some(work.procedure.span.clone()))
            .key(work.procedure.key.clone())
            .expected(format!(
                "procedure \"{procedure}\" on it as well: the remedy fitted, hoses of their length, travel and bump steer read"
            ))
            .example(format!("[[work]] with procedure = \"{procedure}\" and on = [\"{}\"]", concern.component)),
        );
    }
}

/// The first id of a letter that no table of the job has.
fn free<'a>(letter: &str, taken: impl Iterator<Item = &'a str>) -> String {
    let taken: BTreeSet<&str> = taken.collect();
    let ids = (1_u32..).map(|number| format!("{letter}{number}"));
    ids.into_iter().find(|id| !taken.contains(id.as_str())).unwrap_or_default()
}

/// A joint operations speak of is welded by one and accepted by one.
fn made_and_accepted(selection: &Selection<'_>, joint: &Joint, report: &mut Report) {
    let (on, usage) = (&*joint.on.0, &*joint.usage.0);
    let there = || selection.operations.iter().filter(|s| s.components.iter().any(|c| c.id() == on));
    let put = |problem: Diagnostic| problem.at(Some(joint.usage.span.clone())).key(joint.usage.key.clone());
    let welded = there().any(|s| s.what.welds() && s.what.joints().is_some_and(|u| u.0 == usage));
    if !welded {
        report.push(
            put(Diagnostic::stop(
                "J224",
                format!(
                    "joint {}: no operation of this job welds {usage} joints of \"{on}\"",
                    joint.id.value
                ),
            ))
            .expected(
                "an operation with verb = \"weld\" that names the joints, or a use that a procedure welds",
            )
            .example(format!("[[operation]] with verb = \"weld\", on = \"{on}\", joints = \"{usage}\", …")),
        );
    }
    if !there().any(|s| s.what.accepts(usage)) {
        report.push(
            put(Diagnostic::stop(
                "J225",
                format!("joint {}: no operation of this job accepts {usage} joints of \"{on}\"", joint.id.value),
            ))
            .expected("a hold with hold_rule = \"acceptance\" that the inspector signs, on an operation with these joints")
            .example(format!(
                "joints = \"{usage}\", hold = \"…\", hold_rule = \"acceptance\" and hold_role = \"inspector\""
            )),
        );
    }
}

/// What is welded, tacked, fitted up or accepted is a joint of the job: without it a
/// page has no size, no settings and nothing to sign for.
fn names_its_joints(job: &JobFile, own: &OwnOperation, report: &mut Report) {
    let works = own.acts().into_iter().find(|a| matches!(a, Act::Arc | Act::Tack | Act::FitUp | Act::Accept));
    let held = own.hold_rule.filter(|rule| *rule != HoldRule::CutHold);
    let word = works.map(Act::word).or_else(|| held.map(HoldRule::word));
    let (Some(word), None) = (word, &own.joints) else { return };
    let on = own.on.as_ref().map_or("unit", |on| &*on.0);
    let uses: BTreeSet<&str> = job.joint.iter().filter(|j| *j.on.0 == *on).map(|j| &*j.usage.0).collect();
    let list = uses.iter().copied().collect::<Vec<_>>().join(", ");
    report.push(
        Diagnostic::stop(
            "J223",
            format!("operation \"{}\" is \"{word}\" work and names no joints", own.id.value),
        )
        .at(Some(own.id.span.clone()))
        .key(format!("{}.joints", own.id.key.trim_end_matches(".id")))
        .expected(if list.is_empty() {
            format!("the use of its joints; \"{on}\" has none yet: add a [[joint]]")
        } else {
            format!("the use of its joints: {list}, or one of a [[joint]] of its own")
        })
        .example(format!("joints = \"{}\"", uses.first().copied().unwrap_or("bracket"))),
    );
}

/// Work on parts that are not in the job, told where the work is asked for.
fn lacks(
    job: &JobFile,
    selected: &Selected<'_>,
    code: &'static str,
    what: &str,
    expected: &str,
    example: &str,
) -> Diagnostic {
    let work = job.work.iter().find(|w| selected.procedures.contains(&w.procedure.0));
    let place = match selected.what {
        What::Own(own) => Some((own.id.span.clone(), own.id.key.clone())),
        What::Library(_) => work.map(|w| (w.procedure.span.clone(), w.procedure.key.clone())),
    };
    let (span, key) = place.map_or((None, String::new()), |(span, key)| (Some(span), key));
    Diagnostic::stop(code, format!("operation \"{}\" {what}", selected.id))
        .at(span)
        .key(key)
        .expected(expected)
        .example(example)
}

/// The uses that operations on a component ask for.
fn used<'a>(
    selection: &Selection<'a>,
    on: &str,
    asks: fn(What<'a>) -> Option<&'a Located<Id>>,
) -> BTreeSet<&'a str> {
    let there = selection.operations.iter().filter(|s| s.components.iter().any(|c| c.id() == on));
    there.filter_map(|s| asks(s.what)).map(|u| &*u.0).collect()
}

/// A joint or a group of fasteners that no operation asks for: its figures
/// stand in no step.
fn unasked(
    (what, id, usage): (&str, &Located<Id>, &Located<Id>),
    uses: &BTreeSet<&str>,
    idle: bool,
    sure: Option<&str>,
    report: &mut Report,
) {
    if uses.contains(&*usage.0) {
        return;
    }
    // The only use that is left is no slip of this one: wheel nuts are no bolted part.
    let near = nearest(&usage.0, uses.iter().copied());
    let known = uses.iter().copied().collect::<Vec<_>>().join(", ");
    let expected = if known.is_empty() {
        format!("no {what} here: no operation on its component works on one")
    } else {
        format!("one of {known}: what the operations on its component ask for")
    };
    report.push(
        Diagnostic::stop(
            "J216",
            format!("{what} {} has use = \"{}\", which no operation of this job asks for: its figures stand in no step", id.value, usage.value),
        )
        .at(Some(usage.span.clone()))
        .key(usage.key.clone())
        .expected(expected)
        // Of several none is proposed that is unlike what was written.
        .example(match near {
            Some(near) => format!("use = \"{near}\""),
            // No work is done on its component: that is what is missing, not a reason.
            None if uses.is_empty() && !idle => "sure = \"why it stands here\"".to_owned(),
            None if uses.is_empty() => "[[work]] with procedure = \"…\" and on = [\"…\"], its component".to_owned(),
            None => "use = \"…\"".to_owned(),
        })
        .help("if it is right as it is, write beside it: sure = \"why it is right\"")
        .unless_sure(sure),
    );
}

/// Whether a problem is said of the work a job asks for, or of parts no work asks for: as
/// long as a procedure or a component has a name nobody knows, it says nothing.
fn rests_on_work(problem: &Diagnostic) -> bool {
    matches!(
        problem.code,
        "J163"
            | "J197"
            | "J198"
            | "J206"
            | "J209"
            | "J216"
            | "J220"
            | "J224"
            | "J225"
            | "J231"
            | "J300"
            | "J248"
            | "J261"
    )
}

/// Keeps of a report what does not rest on a name that is told as unknown: of all work, or
/// of the table it stands in.
pub fn settle_names_first(report: &mut Report) {
    // A table of a name nobody knows is one that is missing.
    let unread = |p: &Diagnostic| p.code == "J003" && !p.key.contains('.');
    let unknown =
        |p: &&Diagnostic| matches!(p.code, "J013" | "J104" | "J201" | "J202" | "J203" | "J204") || unread(p);
    let nobody = report.problems.iter().any(|p| p.code == "J015" && p.key.contains(".role"));
    let table = |p: &Diagnostic| p.key.split('.').next().unwrap_or_default().to_owned();
    let unnamed: Vec<String> = report.problems.iter().filter(unknown).map(table).collect();
    let work = unnamed.iter().any(|table| table.starts_with("work[")) || report.problems.iter().any(unread);
    report.problems.retain(|p| !rests_on_work(p) || !(work || unnamed.contains(&table(p))));
    // Whoever has a role with a slip in it is not missing.
    report.problems.retain(|p| !(nobody && matches!(p.code, "J105" | "J113")));
    // Two threads differ as long as one of them is none.
    let thread = report.problems.iter().any(|p| p.code == "J174");
    report.problems.retain(|p| !(thread && p.code == "J183" && p.key.ends_with(".thread")));
}
