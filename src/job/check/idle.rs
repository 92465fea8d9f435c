//! Values that count only beside something else: where that is not there, or something
//! else rules, they are told as unused, never passed over.

use crate::diagnostic::{Diagnostic, Report, Span};
use crate::file::{Id, Located};
use crate::job::JobFile;
use crate::job::model::{Axle, Fastener, Frame, Joint, OwnOperation, Role, WeldType};

pub(super) fn check(job: &JobFile, report: &mut Report) {
    for axle in &job.axle {
        of_axle(axle, report);
    }
    for joint in &job.joint {
        of_joint(joint, report);
    }
    for fastener in &job.fastener {
        of_fastener(fastener, report);
    }
    if let Some(frame) = &job.frame {
        of_rails(frame, report);
    }
    for own in &job.operation {
        of_operation(own, report);
    }
}

/// A stated value nothing uses: under which key, why, and what to write.
struct Idle {
    key: &'static str,
    /// Its own place; else that of the id of its table.
    place: Option<Span>,
    why: String,
    write: &'static str,
}

/// Tells each of them at the table of an id.
fn tell(id: &Located<Id>, what: &str, found: Vec<Idle>, report: &mut Report) {
    let table = id.key.trim_end_matches(".id");
    for Idle { key, place, why, write } in found {
        let problem = unused(&format!("{key} of {what} {}", id.value), &why, write);
        report.push(problem.at(Some(place.unwrap_or(id.span.clone()))).key(format!("{table}.{key}")));
    }
}

fn unused(what: &str, why: &str, write: &str) -> Diagnostic {
    Diagnostic::warning("J239", format!("{what} is not used: {why}"))
        .expected("what it counts with beside it, or neither of them")
        .example(write.to_owned())
}

fn span<T>(value: &Option<Located<T>>) -> Option<Span> {
    value.as_ref().map(|v| v.span.clone())
}

fn of_axle(axle: &Axle, report: &mut Report) {
    let brakes = axle.brakes.as_ref().filter(|_| !axle.trailer);
    let idle = brakes.map(|brakes| Idle {
        key: "brakes",
        place: Some(brakes.span.clone()),
        why: "only the axle of a trailer is asked by it".to_owned(),
        write: "trailer = true, or brakes left out",
    });
    tell(&axle.id, "axle", idle.into_iter().collect(), report);
}

fn of_joint(joint: &Joint, report: &mut Report) {
    let kind = joint.kind.value;
    let weld = format!("the weld is a {}", kind.word());
    let bevelled = matches!(kind, WeldType::VGroove | WeldType::BevelGroove);
    let grooved = kind.is_groove();
    let filled = grooved || kind == WeldType::FlareBevel;
    let legged = matches!(kind, WeldType::Fillet | WeldType::Plug);
    let opened = "the weld that has a groove, or the value left out";
    let mut found = Vec::new();
    let mut put = |stated: Option<Span>, used: bool, key, why: &str, write| {
        if let Some(place) = stated.filter(|_| !used) {
            found.push(Idle { key, place: Some(place), why: why.to_owned(), write });
        }
    };
    put(span(&joint.size), legged, "size", &weld, "groove_depth = \"…\", which is its size");
    put(span(&joint.groove_angle), bevelled, "groove_angle", &weld, opened);
    put(span(&joint.groove_depth), filled, "groove_depth", &weld, opened);
    put(span(&joint.root_opening), grooved, "root_opening", &weld, opened);
    put(span(&joint.root_face), grooved, "root_face", &weld, opened);
    let broken = joint.around.is_none() && !joint.all_round;
    if broken {
        let length = "the length of one weld is not stated";
        put(span(&joint.pitch), joint.length.is_some(), "pitch", length, "length = \"…\"");
    } else {
        let round = "the weld runs all round without a break";
        put(span(&joint.pitch), false, "pitch", round, "pitch or the seam all round left out");
    }
    let own = joint.cet.is_some() || joint.weld_strength.is_some() || joint.hydrogen.is_some();
    if joint.values_from.is_some() && !own {
        found.push(nothing_own("joint", "cet, weld_strength or hydrogen beside it"));
    }
    tell(&joint.id, "joint", found, report);
}

/// A source of values of one's own where there is none.
fn nothing_own(table: &str, write: &'static str) -> Idle {
    Idle { key: "values_from", place: None, why: format!("no value of the {table} is its own"), write }
}

fn of_fastener(fastener: &Fastener, report: &mut Report) {
    let mut found = Vec::new();
    // A share of the proof load says nothing where the maker's torque wins.
    if let (Some(preload), true) = (&fastener.preload, fastener.torque.is_some()) {
        found.push(Idle {
            key: "preload",
            place: Some(preload.span.clone()),
            why: "the maker's torque wins".to_owned(),
            write: "torque or preload left out",
        });
    }
    if fastener.values_from.is_some() && fastener.proof.is_none() && fastener.nut_factor.is_none() {
        found.push(nothing_own("fastener", "proof or nut_factor beside it"));
    }
    tell(&fastener.id, "fastener", found, report);
}

/// The rake of the rails is a right triangle of all three.
fn of_rails(frame: &Frame, report: &mut Report) {
    let rows = [
        ("rail_front", &frame.rail_front),
        ("rail_rear", &frame.rail_rear),
        ("rail_marks", &frame.rail_marks),
    ];
    let lacking: Vec<&str> = rows.iter().filter(|(_, v)| v.is_none()).map(|(key, _)| *key).collect();
    if lacking.is_empty() {
        return;
    }
    for (key, value) in rows {
        let Some(value) = value else { continue };
        let why = format!("the rake of the frame needs {} too", lacking.join(" and "));
        let write = format!("{} = \"…\"", lacking.first().copied().unwrap_or_default());
        report.push(super::at(unused(&format!("{key} of the frame"), &why, &write), value));
    }
}

fn of_operation(own: &OwnOperation, report: &mut Report) {
    let mut found = Vec::new();
    if own.hold.is_none() {
        let stated = [
            ("hold_before", own.hold_before),
            ("hold_rule", own.hold_rule.is_some()),
            ("hold_role", own.hold_role != Role::Lead),
        ];
        found.extend(stated.into_iter().filter(|(_, stated)| *stated).map(|(key, _)| Idle {
            key,
            place: None,
            why: "it has no hold".to_owned(),
            write: "hold = \"…\"",
        }));
    }
    if !own.at.is_empty() && own.acts().is_empty() {
        found.push(Idle {
            key: "at",
            place: own.at.first().map(|part| part.span.clone()),
            why: "it says of no act where it is done".to_owned(),
            write: "act = [\"…\"]",
        });
    }
    tell(&own.id, "operation", found, report);
}
