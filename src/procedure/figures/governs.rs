//! The strictest of what joint, procedure and code ask, and whose it is.

use super::{JobFigures, Owner};
use crate::figure::welding::heat_input::{self, HeatInputs, HeatInputsAnswer};
use crate::job::model::Joint;
use crate::procedure::catalogue::{Called, joint};
use crate::quantity::show::GAUGE;
use crate::quantity::{Dimensioned, HeatInput, Quantity};
use crate::shop::Band;
use crate::shop::fit::ranges;
use crate::shop::model::Wps;
use crate::shop::qualify::tolerance;
use crate::source::Source;

/// One side's demand.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Demand<T> {
    /// The limit.
    pub(super) value: T,
    /// Whose it is, as printed.
    pub(super) whose: String,
}

impl<T: Dimensioned> Demand<T> {
    /// A demand, if there is a value.
    pub(super) fn of(value: Option<T>, whose: impl Into<String>) -> Option<Self> {
        value.map(|value| Self { value, whose: whose.into() })
    }
}

/// The highest of the demands that are there; of equal ones the first.
pub(super) fn highest<T: Dimensioned>(
    demands: impl IntoIterator<Item = Option<Demand<T>>>,
) -> Option<Demand<T>> {
    demands.into_iter().flatten().reduce(|a, b| if b.value.si() > a.value.si() { b } else { a })
}

/// The lowest of the demands that are there; of equal ones the first.
pub(super) fn lowest<T: Dimensioned>(
    demands: impl IntoIterator<Item = Option<Demand<T>>>,
) -> Option<Demand<T>> {
    demands.into_iter().flatten().reduce(|a, b| if b.value.si() < a.value.si() { b } else { a })
}

/// Name of the joint as the owner of a limit.
pub(super) const JOINT: &str = "the joint in the job file";

/// Interpass limit: the lowest of joint and procedure.
pub(super) fn interpass(joint: &Joint, wps: Option<&Wps>, owner: &Owner, sheet: &mut JobFigures) {
    let stated = joint.interpass_max.as_ref().map(|t| t.value.value);
    let by_wps = wps.map(|w| w.interpass_max.value.value);
    let label = wps.map(Wps::label).unwrap_or_default();
    let Some(limit) = lowest([Demand::of(stated, JOINT), Demand::of(by_wps, label)]) else { return };
    let source = Source::entered("job file and shop book");
    sheet.derive_down(owner, joint::interpass_max, limit.value, "the lower of joint and procedure", source);
    sheet.derive(owner, joint::interpass_from, limit.whose, "as stated", source);
}

/// The settings a joint states, and the range they may be read in: the stricter,
/// at each end, of the procedure's range and of what a qualified setting may vary
/// by (AWS D1.1, the process's essential variables) about the stated one.
pub(super) fn settings(joint: &Joint, wps: Option<&Wps>, owner: &Owner, sheet: &mut JobFigures) {
    sheet.enter(owner, joint::amps, joint.amps.as_ref());
    sheet.enter(owner, joint::volts, joint.volts.as_ref());
    sheet.enter(owner, joint::travel, joint.travel.as_ref());
    if let Some(wire) = &joint.wire {
        sheet.derive_in(
            owner,
            joint::wire,
            wire,
            GAUGE,
            "as entered in the job file",
            Source::entered("job file"),
        );
    }
    sheet.enter(owner, joint::wire_feed, joint.wire_feed.as_ref());
    let process = joint.process.as_ref().map_or("", |p| p.0.as_str());
    let ranges = wps.map(ranges);
    let label = wps.map(Wps::label).unwrap_or_default();
    let mut whose = Vec::new();
    let about = joint.amps.as_ref().and_then(|a| tolerance::current(process, a.value.value));
    let theirs = ranges.as_ref().and_then(|r| r.amps);
    band(owner, [joint::amps_low, joint::amps_high], about, theirs, &label, &mut whose, sheet);
    let about = joint.volts.as_ref().and_then(|v| tolerance::voltage(process, v.value.value));
    let theirs = ranges.as_ref().and_then(|r| r.volts);
    band(owner, [joint::volts_low, joint::volts_high], about, theirs, &label, &mut whose, sheet);
    let about = joint.travel.as_ref().and_then(|t| tolerance::travel(process, t.value.value));
    let theirs = ranges.as_ref().and_then(|r| r.travel);
    band(owner, [joint::travel_low, joint::travel_high], about, theirs, &label, &mut whose, sheet);
    let about = joint.wire_feed.as_ref().and_then(|f| tolerance::wire_feed(process, f.value.value));
    let theirs = ranges.as_ref().and_then(|r| r.wire_feed);
    band(owner, [joint::wire_feed_low, joint::wire_feed_high], about, theirs, &label, &mut whose, sheet);
    if !whose.is_empty() {
        let source = Source::entered("job file and shop book");
        sheet.derive(owner, joint::settings_from, whose.join("; "), "the stricter at each end", source);
    }
}

/// Whose the spread about a stated setting is.
const ABOUT: &str = "the code's spread about the joint's settings";

/// The range of a setting: at each end the stricter of the spread about what the
/// joint states and the procedure's range.
fn band<T: Dimensioned>(
    owner: &Owner,
    names: [Called<T>; 2],
    about: Option<Band<T>>,
    theirs: Option<Band<T>>,
    label: &str,
    whose: &mut Vec<String>,
    sheet: &mut JobFigures,
) where
    Quantity: From<T>,
{
    let source = Source::entered("shop book, or the code's limits about the stated or qualified values");
    let ends = |end: fn(&Band<T>) -> Option<T>| {
        [Demand::of(theirs.as_ref().and_then(end), label), Demand::of(about.as_ref().and_then(end), ABOUT)]
    };
    let mut say = |found: &Demand<T>| {
        if !whose.contains(&found.whose) {
            whose.push(found.whose.clone());
        }
    };
    let formula = "the stricter of the procedure's range and the spread about the stated setting";
    if let Some(low) = highest(ends(|b| b.low)) {
        say(&low);
        sheet.derive_up(owner, names[0], low.value, formula, source);
    }
    if let Some(high) = lowest(ends(|b| b.high)) {
        say(&high);
        sheet.derive_down(owner, names[1], high.value, formula, source);
    }
}

/// Heat input a procedure allows, with the efficiency the figure counts with:
/// procedures limit U I / travel alone.
pub(super) fn heat(
    wps: Option<&Wps>,
    owner: &Owner,
    sheet: &JobFigures,
) -> Option<(Band<HeatInput>, String)> {
    let wps = wps?;
    let band = wps.arc_energy()?;
    let share = efficiency(owner, sheet)?;
    let scaled = |limit: Option<HeatInput>| limit.map(|l| l * share);
    Some((Band { low: scaled(band.low), high: scaled(band.high) }, wps.label()))
}

/// Thermal efficiency the joint's heat input counts with.
fn efficiency(owner: &Owner, sheet: &JobFigures) -> Option<f64> {
    let plain = sheet.output::<HeatInputs, _>(owner, HeatInputsAnswer::arc_energy)?.value.quantity()?.si();
    Some(sheet.quantity(owner, joint::heat_input)?.si() / plain)
}

/// Heat input and its window as the code the joint is accepted to counts them, with
/// the word for it: on paper no number of one convention stands for the other's.
pub(super) fn heat_by_code(joint: &Joint, owner: &Owner, sheet: &mut JobFigures) {
    let Some(k) = efficiency(owner, sheet) else { return };
    let (share, counted, formula, source) = if joint.acceptance.is_iso() {
        let source = Source::standard("EN 1011-1:2009", "heat input, with k of table 1");
        (1.0, format!("k {} (EN 1011-1)", plain(k)), "k U I / travel", source)
    } else {
        let source = Source::standard("ASME BPVC IX:2023", "QW-409.1; AWS D1.1 same form");
        (1.0 / k, "V × A / travel".to_owned(), "U I / travel, without an efficiency", source)
    };
    let scaled = |sheet: &JobFigures, name| sheet.quantity(owner, name).map(|heat: HeatInput| heat * share);
    if let Some(heat) = scaled(sheet, joint::heat_input) {
        sheet.derive_in(owner, joint::heat_by_code, heat, heat_input::KJ, formula, source);
        sheet.derive(owner, joint::heat_counted, counted, "by the standard the joint is accepted to", source);
    }
    if let Some(low) = scaled(sheet, joint::heat_input_low) {
        sheet.derive_up(owner, joint::heat_by_code_low, low, formula, source);
    }
    if let Some(high) = scaled(sheet, joint::heat_input_high) {
        sheet.derive_down(owner, joint::heat_by_code_high, high, formula, source);
    }
}

/// An efficiency without the zeros behind it.
fn plain(k: f64) -> String {
    let text = format!("{k:.2}");
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}
