//! A driveshaft: length, slip, critical speed, residual angle.

use super::sheet::Inputs;
use super::{JobFigures, Owner};
use crate::figure::Value;
use crate::job::JobFile;
use crate::job::model::Driveshaft;
use crate::quantity::{Angle, Length};
use crate::source::Source;

const ENDS: Source = Source::derived("longest less shortest joint distance", "the two lengths entered");
const SPLINE: Source = Source::practice("at least one spline diameter engaged at full droop");

pub(super) fn compute(job: &JobFile, shaft: &Driveshaft, sheet: &mut JobFigures) {
    let owner = Owner::Component(shaft.id.value.0.clone());
    let key = |field: &str| format!("driveshaft.{field} ({})", shaft.id.value);
    let axle = shaft.axle.as_ref().map(|a| Owner::Component(a.value.0.clone()));
    let from_axle = |sheet: &JobFigures, name: &str| {
        axle.as_ref().and_then(|a| sheet.get(a, name)).map(|f| f.value.clone())
    };
    sheet.enter(&owner, "shaft_length_before", shaft.length.as_ref());
    match (&shaft.length_after, from_axle(sheet, "shaft_length")) {
        (Some(_), _) => sheet.enter(&owner, "shaft_length", shaft.length_after.as_ref()),
        (None, Some(length)) => {
            let source = Source::derived("joint distance with the pinion set", "the figures of the axle");
            sheet.derive(&owner, "shaft_length", length, "as computed for the axle it drives", source);
        }
        (None, None) => {}
    }
    sheet.enter(&owner, "shaft_compressed", shaft.compressed.as_ref());
    sheet.enter(&owner, "shaft_extended", shaft.extended.as_ref());
    sheet.enter(&owner, "phase_limit", shaft.phase.as_ref());
    if let (Some(short), Some(long)) = (&shaft.compressed, &shaft.extended) {
        let stroke: Length = long.value.value - short.value.value;
        sheet.derive_up(&owner, "slip_stroke", Value::from(stroke), "extended - compressed", ENDS);
    }
    if let Some(spline) = &shaft.spline {
        sheet.derive_up(&owner, "slip_engagement", Value::from(spline), "one spline diameter", SPLINE);
    }
    let longest = shaft.length_after.as_ref().or(shaft.length.as_ref());
    let mut inputs = Inputs::new();
    inputs.job("od", key("od"), shaft.od.as_ref()).job("wall", key("wall"), shaft.wall.as_ref());
    match sheet.get(&owner, "shaft_length").map(|f| f.value.clone()) {
        Some(length) => inputs.value("length", key("length"), Some(length)),
        None => inputs.job("length", key("length"), longest),
    };
    inputs.job("speed", key("speed"), shaft.speed.as_ref());
    sheet.run(&owner, "critical-speed", &inputs, &[("safe_speed", "critical_speed")]);
    joints(job, shaft, &owner, axle.as_ref(), sheet);
}

fn joints(_job: &JobFile, shaft: &Driveshaft, owner: &Owner, axle: Option<&Owner>, sheet: &mut JobFigures) {
    let value =
        |entered: &Option<crate::file::Located<crate::file::Reading<Angle>>>, name: &str| match entered {
            Some(entered) => Some(Value::from(entered)),
            None => axle.and_then(|a| sheet.get(a, name)).map(|f| f.value.clone()),
        };
    let pinion = value(&shaft.joint_axle, "joint_pinion_after");
    let case = value(&shaft.joint_case, "joint_case_after");
    let (Some(pinion), Some(case)) = (pinion, case) else { return };
    let source = Source::derived("joint angles of the shaft", "the figures of the axle or the job file");
    sheet.derive(owner, "joint_pinion_after", pinion.clone(), "at the axle", source);
    sheet.derive(owner, "joint_case_after", case.clone(), "at the case", source);
    let mut inputs = Inputs::new();
    inputs.value("angles", "", Some(Value::List(vec![case, pinion]))).job(
        "speed",
        format!("driveshaft.speed ({})", shaft.id.value),
        shaft.speed.as_ref(),
    );
    sheet.run(owner, "joint-chain", &inputs, &[("equivalent", "joint_residual")]);
}
