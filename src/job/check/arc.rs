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
/// conventional load voltage; from memory), and the least share of it an arc of the trade
/// burns at: short arcs of thin wire, and those of a tungsten electrode held close (common
/// practice).
const LOAD: &[(&str, f64, f64, f64)] =
    &[("11", 20.0, 0.04, 0.75), ("13", 14.0, 0.05, 0.75), ("14", 10.0, 0.04, 0.5)];
/// Greatest share of that voltage, of long arcs (common practice).
const LONG: f64 = 1.4;
/// Amps that melt a wire, for each in/min of its feed and square inch of d² (common
/// practice: some 480 of solid wire, 310 of cored).
const MELTS: (f64, f64) = (240.0, 850.0);
/// Heat put into an inch of a weld, in kJ (common practice).
const HEAT: (f64, f64) = (2.0, 120.0);
/// Least share of the part a backing is that the arc does not go through, and what is enough
/// behind any part, in inches (common practice; AWS D1.1, 5.9.1.3 asks for 3/16 in and more by
/// process, from memory).
const BACKS: (f64, f64) = (0.3, 3.0 / 16.0);
/// Least opening a root is gauged to, in inches; below it the edges touch.
const GAUGED: f64 = 1.0 / 64.0;
/// A seam runs round a drawn part once, and some of it twice.
const ROUND: f64 = 6.0;
/// Longest seam of one hanger, in inches (common practice).
const HANGER: f64 = 20.0;
/// As [`HANGER`], of a seam all round it.
const HANGER_ROUND: f64 = 40.0;

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
    if let Some((_, base, slope, least)) = LOAD.iter().find(|(group, ..)| number.starts_with(group)) {
        let share = u / (base + slope * i);
        if !(*least..=LONG).contains(&share) {
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
    if group(&gas.0) {
        return;
    }
    let parts: Vec<&str> = gas.0.split(['/', '+', ',', '-', '–']).collect();
    let says = if parts.len() > 1 && parts.iter().any(|part| part.trim().is_empty()) {
        // A sign, or a divider with nothing on one side: no gas has less than none of a part.
        format!("\"{}\" has a share that is none", gas.0)
    } else {
        // A name without shares, or with the rest unsaid, is the maker's.
        let shares: Option<Vec<f64>> = parts.into_iter().map(share).collect();
        let Some(shares) = shares else { return };
        let all: f64 = shares.iter().sum();
        if (all - 100.0).abs() <= 1.0 {
            return;
        }
        format!("the shares of \"{}\" come to {all} %", gas.0)
    };
    let key = format!("{}.gas", joint.id.key.trim_end_matches(".id"));
    let expected = "shares that come to 100 %, as the maker names the gas";
    stop(
        joint,
        "J263",
        (Some(joint.id.span.clone()), key),
        (says, expected, "gas = \"…\"".to_owned()),
        report,
    );
}

/// Whether a gas is named by its group, `M21` or `ISO 14175 - M21 - ArC - 18`: the digits of
/// a group are no share (ISO 14175 table 2; from memory).
fn group(gas: &str) -> bool {
    let words = gas.split(|c: char| !c.is_ascii_alphanumeric()).map(str::to_uppercase);
    let mut groups = words.filter(|word| {
        let (letter, digits) = word.split_at(word.len().min(1));
        let sub = matches!(letter, "I" | "M" | "C" | "R" | "N" | "O");
        sub && matches!(digits.len(), 1 | 2)
            && digits.bytes().all(|b| b.is_ascii_digit())
            && word != "O2"
            && word != "N2"
    });
    groups.next().is_some()
}

/// The one share a piece of a gas's name says; none where it says none or several. The 2 of
/// CO2 is no share.
fn share(piece: &str) -> Option<f64> {
    let mut runs: Vec<String> = Vec::new();
    let mut before = ' ';
    for c in piece.chars() {
        if c.is_ascii_digit() || c == '.' {
            match runs.last_mut().filter(|_| before.is_ascii_digit() || before == '.') {
                Some(run) => run.push(c),
                None => runs.push(format!("{}{c}", if before.is_alphabetic() { "x" } else { "" })),
            }
        }
        before = c;
    }
    runs.retain(|run| run != "x2");
    let [only] = runs.as_slice() else { return None };
    only.trim_start_matches('x').parse().ok()
}

/// What stands behind a root, and how wide it is opened.
fn root(joint: &Joint, report: &mut Report) {
    let thick = joint.thickness.as_ref().map(|t| t.value.value.si());
    if let (Some(backing), Some(thick)) = (&joint.backing, thick)
        && backing.value.value.si() < (BACKS.0 * thick).min(unit::IN.to_si(BACKS.1)) - 1e-9
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

/// How far the parts of a seam lie beside each other along both axes, in metres: two long
/// ones meet all along the shorter.
fn side_by_side(parts: &[&Part]) -> f64 {
    let along = |axis: usize| {
        let (mut low, mut high) = (f64::NEG_INFINITY, f64::INFINITY);
        for part in parts {
            let corners = super::agree::corners(part);
            let at = corners.iter().map(|corner| corner[axis]);
            low = low.max(at.clone().fold(f64::INFINITY, f64::min));
            high = high.min(at.fold(f64::NEG_INFINITY, f64::max));
        }
        (high - low).max(0.0)
    };
    along(0) + along(1)
}

/// A seam is no longer than the parts it joins are round, or lie beside each other.
fn seam(job: &JobFile, joint: &Joint, report: &mut Report) {
    let Some(length) = &joint.length else { return };
    let most = match job.component(&joint.on.value) {
        Some(Component::Weldment(weldment)) => {
            let of = |id: &str| weldment.part.iter().find(|p| *p.id.value.0 == *id);
            let parts: Vec<&Part> = joint.parts.iter().filter_map(|p| of(&p.value)).collect();
            if parts.len() < 2 {
                return;
            }
            let slim = |part: &&Part| part.across.value.value.si().min(part.high.value.value.si());
            let round = ROUND * parts.iter().map(slim).fold(0.0, f64::max);
            round.max(2.0 * side_by_side(&parts))
        }
        _ if *joint.usage.0 == *"hanger" => {
            unit::IN.to_si(if joint.all_round { HANGER_ROUND } else { HANGER })
        }
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
