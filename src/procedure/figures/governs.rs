//! The strictest of what joint, procedure and code ask, and whose it is.

use super::{JobFigures, Owner};
use crate::figure::welding::heat_input::{HeatInputs, HeatInputsAnswer};
use crate::job::model::Joint;
use crate::procedure::catalogue::{Called, joint};
use crate::quantity::{Dimensioned, HeatInput, Quantity};
use crate::shop::Band;
use crate::shop::fit::ranges;
use crate::shop::model::Wps;
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

/// The settings a joint states, and the range its procedure leaves.
pub(super) fn settings(joint: &Joint, wps: Option<&Wps>, owner: &Owner, sheet: &mut JobFigures) {
    sheet.enter(owner, joint::amps, joint.amps.as_ref());
    sheet.enter(owner, joint::volts, joint.volts.as_ref());
    sheet.enter(owner, joint::travel, joint.travel.as_ref());
    let Some(wps) = wps else { return };
    let ranges = ranges(wps);
    band(owner, [joint::amps_low, joint::amps_high], ranges.amps, sheet);
    band(owner, [joint::volts_low, joint::volts_high], ranges.volts, sheet);
    band(owner, [joint::travel_low, joint::travel_high], ranges.travel, sheet);
    let source = Source::entered("shop book");
    sheet.derive(owner, joint::settings_from, wps.label(), "as stated", source);
}

fn band<T: Dimensioned>(owner: &Owner, names: [Called<T>; 2], band: Option<Band<T>>, sheet: &mut JobFigures)
where
    Quantity: From<T>,
{
    let source = Source::entered("shop book, or its code's limits about the qualified values");
    let Some(band) = band else { return };
    if let Some(low) = band.low {
        sheet.derive_up(owner, names[0], low, "range of the procedure", source);
    }
    if let Some(high) = band.high {
        sheet.derive_down(owner, names[1], high, "range of the procedure", source);
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
    let band = wps.heat_input.as_ref()?.value;
    let plain = sheet.output::<HeatInputs, _>(owner, HeatInputsAnswer::arc_energy)?.value.quantity()?.si();
    let share = sheet.quantity(owner, joint::heat_input)?.si() / plain;
    let scaled = |limit: Option<HeatInput>| limit.map(|l| l * share);
    Some((Band { low: scaled(band.low), high: scaled(band.high) }, wps.label()))
}
