//! Clearance angles, stability, shock absorbers and bump stops: what a change
//! on one axle does to the unit.

use super::axle::key;
use super::sheet::Inputs;
use super::{JobFigures, Owner};
use crate::figure::Value;
use crate::file::{Located, Reading};
use crate::job::JobFile;
use crate::job::model::Axle;
use crate::quantity::{Dimensioned, Length};
use crate::source::Source;

const SQUARE: Source = Source::practice("diagonals within 1/8 in or 3 mm");
/// Diagonals of a squared axle may differ by this, in metres.
const DIAGONALS: f64 = 0.003;

fn growth(axle: &Axle) -> Option<Value> {
    let tyre = axle.tyre.as_ref()?;
    let (old, new) = (tyre.radius.as_ref()?, tyre.radius_after.as_ref()?);
    Some(Value::from(new.value.value - old.value.value))
}

pub(super) fn compute(job: &JobFile, axle: &Axle, sheet: &mut JobFigures) {
    let owner = Owner::Component(axle.id.value.0.clone());
    let value = Value::from(Length::from_si(DIAGONALS));
    sheet.derive_down(&owner, "squareness_limit", value, "limit of the difference of the diagonals", SQUARE);
    clearance(job, axle, &owner, sheet);
    stability(job, axle, &owner, sheet);
    shocks(axle, &owner, sheet);
}

fn clearance(job: &JobFile, axle: &Axle, owner: &Owner, sheet: &mut JobFigures) {
    let Some(frame) = &job.frame else { return };
    if sheet.get(owner, "lift").is_none() || axle.tyre.is_none() {
        return;
    }
    let one = |v: Option<&Located<Reading<Length>>>| v.map(|v| Value::List(vec![Value::from(v)]));
    let shift = sheet.get(owner, "axle_shift").map(|f| f.value.clone());
    let mut inputs = Inputs::new();
    inputs
        .job("radius", key(axle, "tyre.radius"), axle.tyre.as_ref().and_then(|t| t.radius.as_ref()))
        .figure("lift", sheet, owner, "lift")
        .value("tyre_growth", key(axle, "tyre.radius_after"), growth(axle));
    let mut names: Vec<(&str, &'static str)> = Vec::new();
    if axle.steered && frame.approach_ahead.is_some() {
        inputs
            .value("approach_x", "frame.approach_ahead", one(frame.approach_ahead.as_ref()))
            .value("approach_z", "frame.approach_height", one(frame.approach_height.as_ref()))
            .value("front_forward", "", shift);
        names.extend([("approach", "approach_before"), ("approach_after", "approach_after")]);
    }
    if !axle.steered && frame.departure_behind.is_some() {
        inputs.value("departure_x", "frame.departure_behind", one(frame.departure_behind.as_ref())).value(
            "departure_z",
            "frame.departure_height",
            one(frame.departure_height.as_ref()),
        );
        names.extend([("departure", "departure_before"), ("departure_after", "departure_after")]);
    }
    if frame.belly_behind.is_some() && job.unit.wheelbase.is_some() {
        inputs
            .job("wheelbase", "unit.wheelbase", job.unit.wheelbase.as_ref())
            .value("belly_x", "frame.belly_behind", one(frame.belly_behind.as_ref()))
            .value("belly_z", "frame.belly_height", one(frame.belly_height.as_ref()));
        names.extend([("breakover", "breakover_before"), ("breakover_after", "breakover_after")]);
    }
    if !names.is_empty() {
        sheet.run(owner, "clearance-angles", &inputs, &names);
    }
}

fn stability(job: &JobFile, axle: &Axle, owner: &Owner, sheet: &mut JobFigures) {
    let unit = &job.unit;
    if unit.track.is_none() || unit.cg_height.is_none() || sheet.get(owner, "lift").is_none() {
        return;
    }
    let mut inputs = Inputs::new();
    inputs
        .job("track", "unit.track", unit.track.as_ref())
        .job("cg_height", "unit.cg_height", unit.cg_height.as_ref())
        .figure("lift", sheet, owner, "lift")
        .job("sprung_share", "unit.sprung_share", unit.sprung_share.as_ref())
        .value("tyre_growth", key(axle, "tyre.radius_after"), growth(axle));
    sheet.run(
        owner,
        "stability",
        &inputs,
        &[("factor", "stability_before"), ("factor_after", "stability_after")],
    );
}

fn shocks(axle: &Axle, owner: &Owner, sheet: &mut JobFigures) {
    let Some(lift) = sheet.get(owner, "lift").map(|f| f.value.clone()) else { return };
    sheet.derive(
        owner,
        "hose_extra",
        lift.clone(),
        "at least the lift; the greatest distance at droop and full lock decides",
        Source::practice("hose length follows the greatest distance of its ends, plus slack"),
    );
    let (Some(shock), Some(spring)) = (&axle.shock, &axle.spring) else { return };
    if shock.height.is_some() {
        let mut inputs = Inputs::new();
        inputs
            .job("vertical", key(axle, "shock.height"), shock.height.as_ref())
            .job("offset", key(axle, "shock.offset"), shock.offset.as_ref())
            .job("bump", key(axle, "spring.bump"), spring.bump.as_ref())
            .job("droop", key(axle, "spring.droop"), spring.droop.as_ref())
            .value("lift", "the lift", Some(lift.clone()));
        sheet.run(owner, "shock-length", &inputs, &[]);
    }
    sheet.derive(
        owner,
        "shock_change",
        lift.clone(),
        "the mounts move apart by the lift",
        Source::derived("mounts on frame and axle", "the side-view triangle of the mounts"),
    );
    if shock.bump_gap.is_some() {
        let mut inputs = Inputs::new();
        inputs.job("gap_old", key(axle, "shock.bump_gap"), shock.bump_gap.as_ref()).value(
            "lift",
            "the lift",
            Some(lift),
        );
        sheet.run(owner, "bump-stop", &inputs, &[("gap", "bump_gap")]);
    }
}
