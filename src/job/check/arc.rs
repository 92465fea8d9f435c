//! Settings of an arc that do not go together, a gas that does not add up, and seams that
//! are longer than the parts they join.

use super::{name, words};
use crate::diagnostic::{Diagnostic, Report, Span};
use crate::file::Located;
use crate::job::JobFile;
use crate::job::model::{Component, Joint, Part};
use crate::quantity::{Dimensioned, unit};
use crate::reference::process;

/// Help of all that somebody may be sure of.
const SURE: &str = "if it is right all the same, write beside it: sure = \"why it is right\"";

/// Voltage a process is rated at for its current, U = base + slope I (IEC 60974-1,
/// conventional load voltage; from memory).
const LOAD: &[(&str, f64, f64)] = &[("11", 20.0, 0.04), ("13", 14.0, 0.05), ("14", 10.0, 0.04)];
/// Share of that voltage an arc of the trade burns at: short arcs of thin wire below, long
/// ones above (common practice).
const BURNS: (f64, f64) = (0.75, 1.4);
/// Amps that melt a wire, for each in/min of its feed and square inch of d² (common
/// practice: some 480 of solid wire, 310 of cored).
const MELTS: (f64, f64) = (240.0, 850.0);
/// Heat put into an inch of a weld, in kJ (common practice).
const HEAT: (f64, f64) = (4.0, 120.0);
/// Least share of the part a backing is that the arc does not go through (common practice).
const BACKS: f64 = 0.3;
/// Least opening a root is gauged to, in inches; below it the edges touch.
const GAUGED: f64 = 1.0 / 64.0;
/// A seam runs round a drawn part once, and some of it twice.
const ROUND: f64 = 6.0;
/// Longest seam of one hanger, in inches (common practice).
const HANGER: f64 = 20.0;

pub(super) fn check(job: &JobFile, joint: &Joint, report: &mut Report) {
    settings(joint, report);
    gas(joint, report);
    root(joint, report);
    seam(job, joint, report);
}

fn stop(
    joint: &Joint,
    code: &'static str,
    place: (Option<Span>, String),
    (says, expected, example): (String, &str, String),
    report: &mut Report,
) {
    report.push(
        Diagnostic::stop(code, format!("joint {}: {says}", joint.id.value))
            .at(place.0)
            .key(place.1)
            .expected(expected)
            .example(example)
            .help(SURE)
            .unless_sure(joint.sure.as_deref()),
    );
}

fn place<T>(value: &Located<T>) -> (Option<Span>, String) {
    (Some(value.span.clone()), value.key.clone())
}

/// Volts, amps, wire feed and travel of one arc.
fn settings(joint: &Joint, report: &mut Report) {
    let number = joint.process.as_ref().and_then(|p| process::find(&p.value)).map(|p| p.number);
    let (Some(number), Some(volts), Some(amps)) = (number, &joint.volts, &joint.amps) else { return };
    let [u, i] = [volts.value.value.to(unit::V), amps.value.value.to(unit::A)];
    let mut tell = |value: (Option<Span>, String), says: String, key: &str| {
        let expected = "volts, amps, wire feed and travel of one arc, as the welding procedure has them";
        stop(
            joint,
            "J260",
            value,
            (says, expected, format!("{key} = \"…\", from the welding procedure")),
            report,
        );
    };
    if let Some((_, base, slope)) = LOAD.iter().find(|(group, ..)| number.starts_with(group)) {
        let share = u / (base + slope * i);
        if !(BURNS.0..=BURNS.1).contains(&share) {
            let what = if share < 1.0 { "few" } else { "many" };
            tell(place(volts), format!("{} is {what} volts for {}", words(volts), words(amps)), "volts");
        }
    }
    if let (true, Some(feed), Some(wire)) = (number.starts_with("13"), &joint.wire_feed, &joint.wire) {
        let (feed_si, d) = (feed.value.value.to(unit::IN_MIN), wire.value.value.to(unit::IN));
        let melts = i / (feed_si * d * d);
        if !(MELTS.0..=MELTS.1).contains(&melts) {
            let says = format!(
                "{} of a wire of {} and {} are not of one arc",
                words(feed),
                words(wire),
                words(amps)
            );
            tell(place(feed), says, "wire_feed");
        }
    }
    if let Some(travel) = &joint.travel {
        let heat = u * i * 60.0 / 1000.0 / travel.value.value.to(unit::IN_MIN);
        if !(HEAT.0..=HEAT.1).contains(&heat) {
            let what = if heat < HEAT.0 { "little" } else { "much" };
            let says = format!(
                "{} and {} at {} put {what} heat into it, {heat:.1} kJ/in",
                words(volts),
                words(amps),
                words(travel)
            );
            tell(place(travel), says, "travel");
        }
    }
}

/// The shares of a gas come to all of it: `75Ar/25CO2`.
fn gas(joint: &Joint, report: &mut Report) {
    let Some(gas) = &joint.gas else { return };
    let parts: Vec<&str> = gas.0.split(['/', '+', ',']).map(str::trim).collect();
    let shares: Option<Vec<f64>> = parts
        .iter()
        .map(|part| {
            let end = part.find(|c: char| !(c.is_ascii_digit() || c == '.')).unwrap_or(part.len());
            part.get(..end)?.parse::<f64>().ok()
        })
        .collect();
    // A name without shares, or with the rest unsaid, is the maker's.
    let Some(shares) = shares else { return };
    let all: f64 = shares.iter().sum();
    if (all - 100.0).abs() <= 1.0 {
        return;
    }
    let key = format!("{}.gas", joint.id.key.trim_end_matches(".id"));
    let says = format!("the shares of \"{}\" come to {all} %", gas.0);
    let expected = "shares that come to 100 %, as the maker names the gas";
    stop(
        joint,
        "J263",
        (Some(joint.id.span.clone()), key),
        (says, expected, "gas = \"…\"".to_owned()),
        report,
    );
}

/// What stands behind a root, and how wide it is opened.
fn root(joint: &Joint, report: &mut Report) {
    let thick = joint.thickness.as_ref().map(|t| t.value.value.si());
    if let (Some(backing), Some(thick)) = (&joint.backing, thick)
        && backing.value.value.si() < BACKS * thick
    {
        let says = format!("a backing of {} is burnt through", words(backing));
        let expected = "the thickness of the sleeve, spigot or strip behind the root";
        let example = "backing = \"…\", measured again".to_owned();
        stop(joint, "J264", place(backing), (says, expected, example), report);
    }
    if let Some(opening) = &joint.root_opening {
        let inches = opening.value.value.to(unit::IN);
        if inches > 0.0 && inches < GAUGED - 1e-9 {
            let says = format!("a root opening of {} is none that is gauged", words(opening));
            let expected = "0, or an opening that a gauge goes into: 1/64 in (0.4 mm) and more";
            let example = "root_opening = \"…\", from the welding procedure".to_owned();
            stop(joint, "J264", place(opening), (says, expected, example), report);
        }
    }
}

/// A seam is no longer than the parts it joins are round.
fn seam(job: &JobFile, joint: &Joint, report: &mut Report) {
    let Some(length) = &joint.length else { return };
    let most = match job.component(&joint.on.value) {
        Some(Component::Weldment(weldment)) => {
            let slim = |part: &Part| part.across.value.value.si().min(part.high.value.value.si());
            let of = |id: &str| weldment.part.iter().find(|p| *p.id.value.0 == *id).map(slim);
            let parts: Vec<f64> = joint.parts.iter().filter_map(|p| of(&p.value)).collect();
            if parts.len() < 2 {
                return;
            }
            ROUND * parts.into_iter().fold(0.0, f64::max)
        }
        _ if *joint.usage.0 == *"hanger" => unit::IN.to_si(HANGER),
        _ => return,
    };
    if length.value.value.si() <= most {
        return;
    }
    let says = format!("a {} of {} is long for the parts it joins", name(length), words(length));
    let expected = "the length of one seam; how many there are says count";
    let example = "length = \"…\", measured again".to_owned();
    stop(joint, "J266", place(length), (says, expected, example), report);
}
