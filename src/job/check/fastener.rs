//! Cross-checks of a group of fasteners.

use super::{at, words};
use crate::diagnostic::{Diagnostic, Report};
use crate::file::{Located, Reading, Text};
use crate::job::JobFile;
use crate::job::model::{Component, Fastener, Pattern, Units};
use crate::quantity::show::LENGTH;
use crate::quantity::{Dimensioned, Length, unit};
use crate::term::{Side, counted};

/// Room between a U-bolt and its tube that no fit explains, in millimetres
/// (common practice: a U-bolt is bent to its tube, 1/16 in over).
const SLACK: f64 = 6.35;

pub(super) fn check(job: &JobFile, fastener: &Fastener, report: &mut Report) {
    if fastener.count == Some(0) {
        report.push(
            Diagnostic::error("J140", format!("fastener {} has a count of zero", fastener.id.value))
                .at(Some(fastener.id.span.clone()))
                .key(format!("{}.count", fastener.id.key.trim_end_matches(".id")))
                .expected("a count of at least one")
                .example("count = 4"),
        );
    }
    let tube = match job.component(&fastener.on.value) {
        Some(Component::Axle(axle)) => axle.tube.as_ref().and_then(|t| t.od.as_ref()),
        _ => None,
    };
    if let (Some(width), Some(od)) = (&fastener.inside_width, tube)
        && width.value.value < od.value.value
    {
        report.push(at(
            Diagnostic::error(
                "J142",
                format!("a U-bolt of {} inside does not go over a tube of {}", words(width), words(od)),
            )
            .expected("an inside width of the tube diameter plus about 1/16 in (1.5 mm)")
            .example(format!("inside_width = \"{}\"", fits(job, od))),
            width,
        ));
    }
    u_bolt(job, fastener, tube, report);
    // Legs over one plate are drawn down in turn, or the plate tips (common practice).
    if *fastener.usage.0 == *"u-bolt" && fastener.pattern != Pattern::UBolt {
        report.push(put(
            Diagnostic::stop(
                "J246",
                format!(
                    "fastener {} holds a spring with U-bolts, and its pattern is \"{}\"",
                    fastener.id.value,
                    fastener.pattern.word()
                ),
            )
            .expected("legs tightened in turn over their plate")
            .example("pattern = \"u-bolt\"")
            .unless_sure(fastener.sure.as_deref()),
            fastener,
            "pattern",
        ));
    }
    circle(fastener, report);
    if fastener.torque.is_some() && fastener.torque_from.is_none() {
        report.push(
            Diagnostic::stop("J143", format!("fastener {} has a torque without a source", fastener.id.value))
                .at(fastener.torque.as_ref().map(|t| t.span.clone()))
                .key(format!("{}.torque_from", fastener.id.key.trim_end_matches(".id")))
                .expected("where the manufacturer states it")
                .example("torque_from = \"…\", or no torque: one is computed then"),
        );
    }
}

/// Nuts that hold one spring on an axle: two U-bolts of two legs (common practice).
pub(super) const OF_A_SPRING: u32 = 4;

/// The U-bolts of both sides of each axle: there, each side once, and alike.
pub(super) fn sides(job: &JobFile, report: &mut Report) {
    // The operations that clamp a spring pick their groups by this word alone.
    let clamps = |f: &&Fastener| *f.usage.0 == *"u-bolt";
    for axle in &job.axle {
        let on = |f: &&Fastener| f.on.value == axle.id.value;
        let groups: Vec<&Fastener> = job.fastener.iter().filter(clamps).filter(on).collect();
        let called: Vec<Option<Side>> = groups.iter().map(|f| side(f)).collect();
        for known in Side::BOTH {
            let same: Vec<&Fastener> =
                groups.iter().zip(&called).filter(|(_, s)| **s == Some(known)).map(|(f, _)| *f).collect();
            let other = Side::BOTH.into_iter().find(|s| *s != known).unwrap_or(known);
            let other_there = called.contains(&Some(other));
            let sure = same.iter().find_map(|f| f.sure.as_deref());
            // One U-bolt lets the spring swing on its seat.
            let nuts: Option<u32> = same.iter().map(|f| f.count).sum();
            if let (Some(nuts @ 1..OF_A_SPRING), Some(first)) = (nuts.filter(|n| n % 2 == 0), same.first()) {
                let what =
                    format!("{} hold the {known} spring of {}: that is one U-bolt", of(nuts), axle.id.value);
                report.push(
                    uneven(first, what, "two U-bolts or more on a spring, two nuts each").unless_sure(sure),
                );
            }
            match same.as_slice() {
                [_, second, ..] if !other_there => report.push(put(
                    Diagnostic::stop(
                        "J182",
                        format!("fasteners {} are all called {known}, and none {other}", ids(&same)),
                    )
                    .expected(format!("one group for each side: \"{other}\" in the title of one of them"))
                    .example(format!("title = \"{}\"", second.title.0.replace(known.word(), other.word())))
                    .unless_sure(sure),
                    second,
                    "title",
                )),
                [only] if !other_there && !called.contains(&None) => report.push(put(
                    Diagnostic::stop(
                        "J181",
                        format!(
                            "fastener {} holds the {known} spring of {}, and no group the {other} one",
                            only.id.value, axle.id.value
                        ),
                    )
                    .expected(format!(
                        "a second group for the {other} side, or one group for both with all their nuts"
                    ))
                    .example(format!(
                        "[[fastener]] with title = \"{}\", …",
                        only.title.0.replace(known.word(), other.word())
                    ))
                    .unless_sure(sure),
                    only,
                    "title",
                )),
                _ => {}
            }
        }
        if let [only] = groups.as_slice()
            && side(only).is_none()
            && let Some(count) = only.count.filter(|n| (2..=OF_A_SPRING).contains(n))
        {
            report.push(put(
                Diagnostic::stop(
                    "J181",
                    format!(
                        "fastener {} has the {count} nuts of one spring, and {} has two springs",
                        only.id.value, axle.id.value
                    ),
                )
                .expected(
                    "a group for each side, called left and right in its title, or one with the nuts of both",
                )
                .example(format!("count = {}", 2 * count))
                .unless_sure(only.sure.as_deref()),
                only,
                "count",
            ));
        }
        alike(&groups, report);
    }
}

/// U-bolts of one axle that differ from each other: one of them is a slip.
fn alike(groups: &[&Fastener], report: &mut Report) {
    let [first, rest @ ..] = groups else { return };
    for other in rest {
        let text = |t: &Option<Located<Text>>| t.as_ref().map(|t| t.0.trim().to_lowercase());
        let number = |q: Option<f64>| q.map(|q| format!("{q:.6e}"));
        let pairs: [(&str, Option<String>, Option<String>); 9] = [
            ("thread", text(&first.thread), text(&other.thread)),
            ("grade", text(&first.grade), text(&other.grade)),
            ("nut", text(&first.nut), text(&other.nut)),
            ("finish", text(&first.finish), text(&other.finish)),
            ("count", first.count.map(|n| n.to_string()), other.count.map(|n| n.to_string())),
            (
                "torque",
                number(first.torque.as_ref().map(|t| t.value.value.si())),
                number(other.torque.as_ref().map(|t| t.value.value.si())),
            ),
            (
                "preload",
                number(first.preload.as_ref().map(|t| t.value.value.si())),
                number(other.preload.as_ref().map(|t| t.value.value.si())),
            ),
            (
                "increment",
                number(first.increment.as_ref().map(|t| t.value.value.si())),
                number(other.increment.as_ref().map(|t| t.value.value.si())),
            ),
            (
                "inside_width",
                number(first.inside_width.as_ref().map(|t| t.value.value.si())),
                number(other.inside_width.as_ref().map(|t| t.value.value.si())),
            ),
        ];
        let apart: Vec<&str> = pairs.iter().filter(|(_, a, b)| a != b).map(|(key, ..)| *key).collect();
        if let Some(key) = apart.first() {
            report.push(put(
                Diagnostic::stop(
                    "J183",
                    format!(
                        "fasteners {} and {} clamp the springs of one axle and differ in {}",
                        first.id.value,
                        other.id.value,
                        apart.join(", ")
                    ),
                )
                .expected("the same U-bolts and the same torque on both sides")
                .example(format!("{key} = \"…\", on both what stands on the one in hand"))
                .help("if it is right all the same, write beside it: sure = \"why it is right\"")
                .unless_sure(first.sure.as_deref().or(other.sure.as_deref())),
                other,
                key,
            ));
        }
    }
}

fn ids(groups: &[&Fastener]) -> String {
    groups.iter().map(|f| f.id.0.as_str()).collect::<Vec<_>>().join(" and ")
}

/// The one side a group's title speaks of.
fn side(fastener: &Fastener) -> Option<Side> {
    called(&fastener.title.0)
}

/// The one side a title speaks of.
pub(super) fn called(title: &str) -> Option<Side> {
    let title = title.to_lowercase();
    let words: Vec<&str> = title.split(|c: char| !c.is_alphanumeric()).collect();
    let [left, right] = Side::BOTH.map(|side| words.contains(&side.word()));
    match (left, right) {
        (true, false) => Some(Side::Left),
        (false, true) => Some(Side::Right),
        _ => None,
    }
}

/// Puts a problem where its group stands.
fn put(problem: Diagnostic, fastener: &Fastener, key: &str) -> Diagnostic {
    problem
        .at(Some(fastener.id.span.clone()))
        .key(format!("{}.{key}", fastener.id.key.trim_end_matches(".id")))
}

/// Nuts of U-bolts stand in no circle, and two nuts make none.
fn circle(fastener: &Fastener, report: &mut Report) {
    let clamps = *fastener.usage.0 == *"u-bolt";
    if fastener.pattern != Pattern::Circle || !clamps && fastener.count.is_none_or(|n| n > 2) {
        return;
    }
    let (what, meant) = if clamps { ("the nuts of U-bolts", "u-bolt") } else { ("two nuts", "single") };
    report.push(put(
        Diagnostic::stop(
            "J189",
            format!("fastener {} is in a circle, and {what} stand in none", fastener.id.value),
        )
        .expected("how the nuts stand to each other: the order they are tightened in follows from it")
        .example(format!("pattern = \"{meant}\""))
        .help("if it is right all the same, write beside it: sure = \"why it is right\"")
        .unless_sure(fastener.sure.as_deref()),
        fastener,
        "pattern",
    ));
}

/// Room of a U-bolt over its tube (common practice), in inches and in millimetres.
const ROOM: (f64, f64) = (1.0 / 16.0, 1.5);

/// The inside width of a U-bolt that goes over a tube and lies close to it, in the units
/// of the job.
fn fits(job: &JobFile, od: &Located<Reading<Length>>) -> String {
    let od = od.value.value;
    match job.job.units {
        Units::Inch => LENGTH.up().shop((od + Length::from_si(unit::IN.to_si(ROOM.0))).into()),
        Units::Metric => format!("{} mm", (od.to(unit::MM) + ROOM.1).ceil()),
    }
}

/// What every U-bolt has: a tube it lies close to, and two nuts.
fn u_bolt(job: &JobFile, fastener: &Fastener, tube: Option<&Located<Reading<Length>>>, report: &mut Report) {
    if fastener.pattern != Pattern::UBolt && *fastener.usage.0 != *"u-bolt" {
        return;
    }
    if let (Some(width), Some(od)) = (&fastener.inside_width, tube)
        && width.value.value.to(unit::MM) > od.value.value.to(unit::MM) + SLACK
    {
        report.push(at(
            Diagnostic::stop(
                "J144",
                format!("a U-bolt of {} inside lies loose on a tube of {}", words(width), words(od)),
            )
            .expected("an inside width of the tube diameter plus about 1/16 in (1.5 mm)")
            .example(format!("inside_width = \"{}\"", fits(job, od)))
            .help("if it is right all the same, write beside it: sure = \"why it is right\"")
            .unless_sure(fastener.sure.as_deref()),
            width,
        ));
    }
    if let Some(count) = fastener.count
        && count % 2 == 1
    {
        let what = format!("fastener {} has {}, and each U-bolt has two", fastener.id.value, of(count));
        report.push(uneven(fastener, what, "the nuts of all its U-bolts: two for one, four for a pair"));
    }
}

fn of(nuts: u32) -> String {
    counted(usize::try_from(nuts).unwrap_or(usize::MAX), "nut", "nuts")
}

/// Nuts that are not those of U-bolts on a spring.
fn uneven(fastener: &Fastener, what: String, expected: &str) -> Diagnostic {
    Diagnostic::stop("J145", what)
        .at(Some(fastener.id.span.clone()))
        .key(format!("{}.count", fastener.id.key.trim_end_matches(".id")))
        .expected(expected)
        .example(format!("count = {OF_A_SPRING}"))
}
