//! Figures of the steering that are limits to stay under, never aims, and the
//! shackle's place at ride.

use super::axle::key;
use super::{JobFigures, Owner};
use crate::figure::Value;
use crate::job::model::Axle;
use crate::quantity::{Angle, Dimensioned};
use crate::source::Source;

const STAY_UNDER: Source = Source::derived(
    "what the plan comes to is the most that is accepted",
    "absolute value of the planned figure",
);
const LEAN: Source = Source::derived("the shackle's lean at ride", "the job file");

pub(super) fn compute(axle: &Axle, sheet: &mut JobFigures) {
    let owner = Owner::Component(axle.id.value.0.clone());
    for (from, to) in [("drag_link_after", "drag_link_most"), ("bump_steer_after", "bump_steer_most")] {
        if let Some(angle) = sheet.quantity::<Angle>(&owner, from) {
            let most = Value::from(Angle::from_si(angle.si().abs()));
            sheet.derive(&owner, to, most, "amount of the planned figure", STAY_UNDER);
        }
    }
    if let Some(lean) = axle.spring.as_ref().and_then(|s| s.shackle_lean.as_ref()) {
        sheet.derive(&owner, "shackle_target", Value::from(lean), &key(axle, "spring.shackle_lean"), LEAN);
    }
}
