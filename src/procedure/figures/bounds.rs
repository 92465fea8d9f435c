//! The shackle's place at ride.

use super::keys::of_axle as key;
use super::{JobFigures, Owner};
use crate::job::model::Axle;
use crate::procedure::catalogue::component;
use crate::source::Source;

const LEAN: Source = Source::derived("the shackle's lean at ride", "the job file");

pub(super) fn compute(axle: &Axle, sheet: &mut JobFigures) {
    let owner = Owner::Component(axle.id.0.clone());
    if let Some(lean) = axle.spring.as_ref().and_then(|s| s.shackle_lean.as_ref()) {
        sheet.derive(&owner, component::shackle_target, lean, &key(axle, "spring.shackle_lean"), LEAN);
    }
}
