//! Parts the job lists against parts its operations work on.

use std::collections::BTreeSet;

use super::selection::{Selected, Selection, What};
use crate::diagnostic::{Diagnostic, Report, nearest};
use crate::file::{Id, Located};
use crate::job::JobFile;

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
            if let Some(usage) = welds.map(|u| &*u.value.0) {
                let listed = job.joint.iter().any(|j| j.usage.value.0 == usage && j.on.value.0 == on);
                if !listed && told.insert((usage, on)) {
                    report.push(lacks(job, selected, "J209", &format!(
                        "welds {usage} joints of \"{on}\", but the job lists none: it prints without size, preheat, settings and limits"
                    ), &format!("a joint with use = \"{usage}\" on \"{on}\""), &format!(
                        "[[joint]] with id = \"W1\", on = \"{on}\", use = \"{usage}\", …"
                    )));
                }
            }
            if let Some(usage) = tightens.map(|u| &*u.value.0) {
                let listed = job.fastener.iter().any(|f| f.usage.value.0 == usage && f.on.value.0 == on);
                if !listed && told.insert((usage, on)) {
                    report.push(lacks(job, selected, "J220", &format!(
                        "tightens the {usage} fasteners of \"{on}\", but the job lists none: it prints without torque, stages and limits"
                    ), &format!("a group of fasteners with use = \"{usage}\" on \"{on}\""), &format!(
                        "[[fastener]] with id = \"B1\", on = \"{on}\", use = \"{usage}\", …"
                    )));
                }
            }
        }
    }
    for fastener in job.fastener.iter().filter(|f| f.sure.is_none()) {
        let uses = used(selection, &fastener.on.value.0, What::fasteners);
        unasked("fastener", &fastener.id, &fastener.usage, &uses, report);
    }
    for joint in job.joint.iter().filter(|j| j.sure.is_none()) {
        let uses = used(selection, &joint.on.value.0, What::joints);
        unasked("joint", &joint.id, &joint.usage, &uses, report);
    }
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
    let work = job.work.iter().find(|w| selected.procedures.contains(&w.procedure.value.0));
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
    there.filter_map(|s| asks(s.what)).map(|u| &*u.value.0).collect()
}

/// A joint or a group of fasteners that no operation asks for: its figures
/// stand in no step.
fn unasked(what: &str, id: &Located<Id>, usage: &Located<Id>, uses: &BTreeSet<&str>, report: &mut Report) {
    if uses.contains(&*usage.value.0) {
        return;
    }
    let near = nearest(&usage.value.0, uses.iter().copied()).or_else(|| uses.iter().next().copied());
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
        .example(near.map_or_else(|| "sure = \"why it stands here\"".to_owned(), |n| format!("use = \"{n}\"")))
        .help("if it is right as it is, say why with sure"),
    );
}
