//! Heat of a weld joint: how fast it cools, the window of heat input, the wait between
//! passes.

use super::governs::{self, Demand, highest, lowest};
use super::inputs::{Inputs, to};
use super::keys::Key;
use super::{JobFigures, Owner};
use crate::figure::welding::cooling_time::{
    CoolingTime, CoolingTimeAnswer, Flow, HeatInputWindow, HeatInputWindowAnswer, Plates,
};
use crate::figure::welding::interpass_wait::{InterpassWait, InterpassWaitAnswer};
use crate::figure::welding::look_up::NetHeat;
use crate::job::model::{Joint, JointForm, WeldType};
use crate::procedure::catalogue::{Called, joint};
use crate::quantity::show::SECONDS;
use crate::quantity::{Current, Dimensioned, HeatInput, Quantity, Speed, Voltage};
use crate::shop::Band;
use crate::shop::model::Wps;
use crate::source::Source;

/// Joint form as the cooling formulas name it.
fn flow(joint: &Joint) -> Flow {
    match (joint.kind.value, joint.form) {
        (WeldType::Fillet, JointForm::Corner) => Flow::Corner,
        (WeldType::Fillet, _) => Flow::Tee,
        _ => Flow::Butt,
    }
}

pub(super) fn cooling(joint: &Joint, wps: Option<&Wps>, owner: &Owner, key: Key<'_>, sheet: &mut JobFigures) {
    if sheet.get(owner, joint::heat_input).is_none() {
        return;
    }
    let thin = joint.thin();
    let mut inputs = Inputs::<CoolingTime>::new();
    inputs
        .figure(NetHeat::heat_input, sheet, owner, joint::heat_input)
        .with(Plates::thickness, key("thickness"), thin)
        .with(Plates::joint, key("form"), Some(flow(joint)));
    if let Some(preheat) = sheet.reading(owner, joint::preheat) {
        inputs.with(Plates::preheat, "", Some(preheat));
    }
    sheet.run(owner, &inputs, &[to(CoolingTimeAnswer::cooling_time, joint::cooling_time)]);
    cools(joint, owner, sheet);
    let mut cooled = Band { low: None, high: None };
    if let (Some(least), Some(most)) = (&joint.cooling_least, &joint.cooling_most) {
        let mut inputs = Inputs::<HeatInputWindow>::new();
        inputs
            .with(HeatInputWindow::cooling_time_min, key("cooling_least"), Some(least))
            .with(HeatInputWindow::cooling_time_max, key("cooling_most"), Some(most))
            .with(Plates::thickness, key("thickness"), thin)
            .with(Plates::joint, key("form"), Some(flow(joint)));
        if let Some(preheat) = sheet.reading(owner, joint::preheat) {
            inputs.with(Plates::preheat, "", Some(preheat));
        }
        if sheet.run_or_stop(owner, &inputs, &[], "cooling_most") {
            let end = |output| {
                let figure = sheet.output::<HeatInputWindow, _>(owner, output)?;
                figure.value.quantity().and_then(Quantity::typed)
            };
            cooled = Band {
                low: end(HeatInputWindowAnswer::heat_input_min),
                high: end(HeatInputWindowAnswer::heat_input_max),
            };
        }
    }
    if let Some(heat) = sheet.quantity(owner, joint::heat_input) {
        window(joint, wps, heat, cooled, owner, sheet);
    }
}

/// Stops what cools faster or slower at its settings than the job allows.
fn cools(joint: &Joint, owner: &Owner, sheet: &mut JobFigures) {
    let Some(time) = sheet.quantity(owner, joint::cooling_time) else { return };
    let limits = [(&joint.cooling_least, "cooling_least"), (&joint.cooling_most, "cooling_most")];
    for (limit, key) in limits {
        let Some(limit) = limit.as_ref().map(|l| l.value.value) else { continue };
        let (off, word, way) = if key == "cooling_least" {
            (time.si() < limit.si(), "least", "more")
        } else {
            (time.si() > limit.si(), "most", "less")
        };
        if off {
            let why = format!(
                "at these settings and this preheat t8/5 is {}, and the job asks for at {word} {}",
                sheet.said(SECONDS, time),
                sheet.said(SECONDS, limit)
            );
            sheet.stop_at(
                owner,
                key,
                why,
                format!("settings with {way} heat input, or {way} preheat, within what the procedure allows"),
            );
        }
    }
}

/// Stops a joint whose preheat, once it is worked out, leaves no run between it and its
/// interpass maximum.
pub(super) fn room(owner: &Owner, sheet: &mut JobFigures) {
    let both = sheet.quantity(owner, joint::preheat).zip(sheet.quantity(owner, joint::interpass_max));
    let Some((preheat, interpass)) = both else { return };
    if interpass.si() - preheat.si() >= Joint::ROOM_TO_WELD {
        return;
    }
    let why = format!(
        "between the preheat it needs, {}, and the interpass maximum of {} nobody can weld: the joint is above the first and below the second for no run",
        sheet.shown(owner, joint::preheat.name()),
        sheet.shown(owner, joint::interpass_max.name())
    );
    let remedy = "an interpass maximum 15 °C (27 °F) or more above the preheat, from a procedure qualified on this steel; or the carbon equivalent of its certificate, where that is less";
    sheet.doubt(owner, why, remedy);
}

/// How long to wait between passes; a seam of one run has nothing to wait for.
pub(super) fn wait(joint: &Joint, owner: &Owner, key: Key<'_>, sheet: &mut JobFigures) {
    if sheet.quantity(owner, joint::passes).is_some_and(|passes| passes.si() <= 1.0) {
        return;
    }
    let thin = joint.thin();
    if sheet.get(owner, joint::heat_input).is_some()
        && let Some(interpass) = sheet.reading(owner, joint::interpass_max)
    {
        let mut inputs = Inputs::<InterpassWait>::new();
        inputs
            .figure(InterpassWait::heat_input, sheet, owner, joint::heat_input)
            .with(InterpassWait::thickness, key("thickness"), thin)
            .with(InterpassWait::interpass_max, key("interpass_max"), Some(interpass))
            .with(InterpassWait::joint, key("form"), Some(flow(joint)));
        if let Some(preheat) = sheet.reading(owner, joint::preheat) {
            inputs.with(InterpassWait::preheat, "", Some(preheat));
        }
        sheet.run(owner, &inputs, &[to(InterpassWaitAnswer::wait, joint::wait)]);
    }
}

/// Heat input at the cold and the hot end. Without limits of its own a joint gets
/// what its ranges of current, voltage and travel leave; where one of them has no
/// range, the spread the code lets a procedure have; never more than the procedure
/// allows.
fn window(
    joint: &Joint,
    wps: Option<&Wps>,
    heat: HeatInput,
    cooled: Band<HeatInput>,
    owner: &Owner,
    sheet: &mut JobFigures,
) {
    let code = Source::standard(
        "AWS D1.1:2015",
        "table 4.5, limits of a procedure: amps 10 %, volts 7 %, travel 25 %",
    )
    .from_memory();
    let ends = |names: (Called<Current>, Called<Voltage>, Called<Speed>)| {
        let amps = sheet.quantity(owner, names.0)?.si() / joint.amps.as_ref()?.value.value.si();
        let volts = sheet.quantity(owner, names.1)?.si() / joint.volts.as_ref()?.value.value.si();
        let travel = sheet.quantity(owner, names.2)?.si() / joint.travel.as_ref()?.value.value.si();
        Some(amps * volts / travel)
    };
    let cold = ends((joint::amps_low, joint::volts_low, joint::travel_high));
    let hot = ends((joint::amps_high, joint::volts_high, joint::travel_low));
    let (band, label) = governs::heat(wps, owner, sheet).unzip();
    let label = label.unwrap_or_default();
    let whose = |known: bool| if known { "the ranges of the settings" } else { "limits of a procedure" };
    let low = highest([
        Demand::of(Some(heat * cold.unwrap_or(0.90 * 0.93 / 1.25)), whose(cold.is_some())),
        Demand::of(band.and_then(|b| b.low), label.clone()),
        Demand::of(cooled.low, "the cooling time the job asks for"),
    ]);
    let high = lowest([
        Demand::of(Some(heat * hot.unwrap_or(1.10 * 1.07 / 0.75)), whose(hot.is_some())),
        Demand::of(band.and_then(|b| b.high), label),
        Demand::of(cooled.high, "the cooling time the job asks for"),
    ]);
    if let Some(low) = low {
        let formula = format!("heat input at the cold end, by {}", low.whose);
        sheet.derive_up(owner, joint::heat_input_low, low.value, &formula, code);
    }
    if let Some(high) = high {
        let formula = format!("heat input at the hot end, by {}", high.whose);
        sheet.derive_down(owner, joint::heat_input_high, high.value, &formula, code);
    }
}
