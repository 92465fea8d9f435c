//! What a job lists twice, and what it lists for one side of two: a second table of the
//! same weld is welded again, a missing one leaves a side to chance.

use std::collections::BTreeSet;

use super::at;
use crate::diagnostic::{Diagnostic, Report};
use crate::file::{Id, Located};
use crate::job::JobFile;
use crate::job::model::{Component, Fastener, Joint, WeldPlace};
use crate::quantity::Dimensioned;
use crate::term::Side;

/// Uses of joints every axle has on both sides.
const PAIRED: &[&str] = &["knuckle", "pad"];

/// Help of all that somebody may be sure of.
const SURE: &str = "if it is right all the same, write beside it: sure = \"why it is right\"";

pub(super) fn check(job: &JobFile, report: &mut Report) {
    for axle in &job.axle {
        for usage in PAIRED {
            let of = |j: &&Joint| *j.usage.0 == **usage && j.on.value == axle.id.value;
            sides(&job.joint.iter().filter(of).collect::<Vec<_>>(), report);
        }
    }
    for (index, joint) in job.joint.iter().enumerate() {
        even(job, joint, report);
        placed(joint, report);
        let before = job.joint.iter().take(index).find(|other| same_weld(other, joint));
        if let Some(other) = before {
            again("joint", &joint.id, &other.id, joint.sure.as_deref(), report);
        }
    }
    for (index, group) in job.fastener.iter().enumerate() {
        let before = job.fastener.iter().take(index).find(|other| same_group(other, group));
        if let Some(other) = before {
            again("fastener", &group.id, &other.id, group.sure.as_deref(), report);
        }
    }
    for (index, work) in job.work.iter().enumerate() {
        let on: BTreeSet<&str> = work.on.iter().map(|on| &*on.0).collect();
        let same = job.work.iter().take(index).any(|other| {
            let meets = on.is_empty() && other.on.is_empty() || other.on.iter().any(|o| on.contains(&*o.0));
            other.procedure.value == work.procedure.value && meets
        });
        if same && !work.procedure.value.is_blank() {
            report.push(at(
                Diagnostic::stop(
                    "J186",
                    format!("{} is asked for twice on one component", work.procedure.value),
                )
                .expected("one [[work]] for each procedure on a component")
                .example("procedure = \"…\", or this [[work]] left out"),
                &work.procedure,
            ));
        }
    }
}

/// The sides a joint says it is on: by its place, else by its title.
fn on_sides(joint: &Joint) -> Vec<Side> {
    match joint.place {
        Some(WeldPlace::Left) => vec![Side::Left],
        Some(WeldPlace::Right) => vec![Side::Right],
        Some(WeldPlace::Both) => Side::BOTH.to_vec(),
        Some(WeldPlace::Front | WeldPlace::Rear) => Vec::new(),
        None => {
            super::fastener::called(&joint.title.0).map_or_else(|| Side::BOTH.to_vec(), |side| vec![side])
        }
    }
}

/// A joint's title names the side it is placed on.
fn placed(joint: &Joint, report: &mut Report) {
    let side = match joint.place {
        Some(WeldPlace::Left) => Side::Left,
        Some(WeldPlace::Right) => Side::Right,
        _ => return,
    };
    let Some(called) = super::fastener::called(&joint.title.0).filter(|called| *called != side) else {
        return;
    };
    report.push(put(
        Diagnostic::stop(
            "J232",
            format!("joint {} is called {called} and has place = \"{side}\"", joint.id.value),
        )
        .expected("title and place of one side: what is cut, read and signed follows the place")
        .example(format!("place = \"{called}\", or another title")),
        joint,
        "place",
    ));
}

/// The joints of one use cover both sides of their axle.
fn sides(joints: &[&Joint], report: &mut Report) {
    let Some(first) = joints.first() else { return };
    let sure = joints.iter().find_map(|j| j.sure.as_deref());
    let covered: Vec<Side> = joints.iter().flat_map(|j| on_sides(j)).collect();
    for side in Side::BOTH {
        if covered.contains(&side) {
            continue;
        }
        report.push(put(
            Diagnostic::stop("J185", format!("no {} joint is on the {side} side", first.usage.value))
                .expected("a joint for each side, or one with place = \"both\" and the welds of both counted")
                .example(format!("place = \"{side}\" in a [[joint]] of its own"))
                .help(SURE)
                .unless_sure(sure),
            first,
            "place",
        ));
    }
}

/// Welds of both sides are even in number; one all round a tube is one on each side.
fn even(job: &JobFile, joint: &Joint, report: &mut Report) {
    let axle = matches!(job.component(&joint.on.value), Some(Component::Axle(_)));
    let paired = PAIRED.contains(&&*joint.usage.0);
    // One, with no place beside it, is what a joint has that says nothing of its welds;
    // what every axle has on both sides is then on both.
    let unsaid = joint.count == 1 && joint.place.is_none() && !paired;
    if !axle || joint.count == 0 || unsaid {
        return;
    }
    let both = joint.place == Some(WeldPlace::Both) || paired && on_sides(joint).len() == 2;
    let one = paired && joint.around.is_some() && on_sides(joint).len() == 1;
    let wanted = match (both, joint.around.is_some()) {
        (true, true) if joint.count != 2 => 2,
        (true, false) if joint.count % 2 == 1 => joint.count + 1,
        _ if one && joint.count != 1 => 1,
        _ => return,
    };
    let problem = Diagnostic::stop(
        "J185",
        format!(
            "joint {} has {} {} on {}",
            joint.id.value,
            joint.count,
            if joint.count == 1 { "weld" } else { "welds" },
            if both { "both sides" } else { "one side" }
        ),
    )
    .expected("as many welds on one side as on the other; one for each side where it runs all round")
    .example(format!("count = {wanted}"))
    .help(SURE)
    .unless_sure(joint.sure.as_deref());
    report.push(put(problem, joint, "count"));
}

/// Letters of a title, whatever stands between them.
fn letters(title: &str) -> String {
    title.chars().filter(|c| c.is_alphabetic()).flat_map(char::to_lowercase).collect()
}

/// Whether two joints are one weld: at one place, or of one title.
fn same_weld(a: &Joint, b: &Joint) -> bool {
    let parts = |j: &Joint| j.parts.iter().map(|p| p.0.clone()).collect::<BTreeSet<String>>();
    let title = letters(&a.title.0) == letters(&b.title.0);
    let shape = a.kind.value == b.kind.value
        && a.side == b.side
        && a.form == b.form
        && a.count == b.count
        && si(a.length.as_ref()) == si(b.length.as_ref());
    let said = a.place.is_some() || !a.parts.is_empty();
    let side = PAIRED.contains(&&*a.usage.0) && on_sides(a).iter().any(|s| on_sides(b).contains(s));
    a.on.value == b.on.value
        && a.usage.value == b.usage.value
        && (side && shape || a.place == b.place && parts(a) == parts(b) && (title || said && shape))
}

fn si(value: Option<&Located<crate::file::Reading<crate::quantity::Length>>>) -> Option<u64> {
    value.map(|v| v.value.value.si().to_bits())
}

/// Whether two groups are the same bolts: of one title, or U-bolts of one side that are
/// more than a spring has.
fn same_group(a: &Fastener, b: &Fastener) -> bool {
    let side = |f: &Fastener| super::fastener::called(&f.title.0);
    // A group that says nothing of its nuts has those of a spring.
    let nuts = |f: &Fastener| f.count.unwrap_or(super::fastener::OF_A_SPRING);
    let more = nuts(a).saturating_add(nuts(b)) > super::fastener::OF_A_SPRING;
    let clamps = *a.usage.0 == *"u-bolt" && side(a).is_some() && side(a) == side(b) && more;
    a.on.value == b.on.value
        && a.usage.value == b.usage.value
        && (clamps || letters(&a.title.0) == letters(&b.title.0))
}

fn again(what: &str, id: &Located<Id>, other: &Located<Id>, sure: Option<&str>, report: &mut Report) {
    report.push(at(
        Diagnostic::stop("J186", format!("{what} {} is what {} is already", id.value, other.value))
            .expected("each weld and each group of bolts once; a title, place or parts that tell two apart")
            .example(format!("this [[{what}]] left out, or a title of its own"))
            .help(SURE)
            .unless_sure(sure),
        id,
    ));
}

fn put(problem: Diagnostic, joint: &Joint, key: &str) -> Diagnostic {
    problem.at(Some(joint.id.span.clone())).key(format!("{}.{key}", joint.id.key.trim_end_matches(".id")))
}
