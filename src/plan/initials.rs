//! Whose signature stands for initials: one initial says nothing that the same role
//! signs right below it.

use super::model::{Operation, Point};
use crate::job::model::{Act, Role};
use crate::term::PointKind;

/// Work that a person's right to do it hangs on: who did it stands on paper in their
/// own hand, whoever signs below.
const OWN_HAND: &[Act] = &[Act::Arc, Act::Tack, Act::Heat, Act::CutPermanent];

/// Marks the operations, and the steps of a second person, whose initials a signature
/// stands for: of the same role, at the hold that ends the work there, with no change of
/// place in between, and resting on it. A witness point ends nothing: work goes on if
/// nobody comes.
pub(super) fn stand_for(operations: &mut [Operation]) {
    for place in 0..operations.len() {
        let Some((own, later)) = operations.get_mut(place..).and_then(<[_]>::split_first_mut) else {
            continue;
        };
        let own_hand = own.acts.iter().any(|a| OWN_HAND.iter().any(|w| w.word() == a));
        let by_signature = !own_hand && own.role.is_some_and(|role| signed(own, later, role));
        let seconds: Vec<bool> =
            own.steps.iter().map(|s| s.by.is_some_and(|role| beside(own, later, role))).collect();
        own.by_signature = by_signature;
        for (step, signed) in own.steps.iter_mut().zip(seconds) {
            step.by_signature = signed;
        }
    }
}

/// The same of a step: a hold in front of the next operation there stands right below
/// the one behind this, and what is written for it right above.
fn beside(own: &Operation, later: &[Operation], role: Role) -> bool {
    let next = later.first().filter(|o| o.station == own.station && o.deferred == own.deferred);
    signed(own, later, role) || next.is_some_and(|o| o.before.iter().any(|p| signs(p, own, role)))
}

fn signs(point: &Point, own: &Operation, role: Role) -> bool {
    point.kind == PointKind::Hold
        && point.roles.contains(&role)
        && point.rests_on.operations.contains(&own.key)
}

/// Whether a role signs the hold that ends the work of an operation at its place. A
/// review looks at a document: it stands for no work, and no later hold reaches past it.
fn signed(own: &Operation, later: &[Operation], role: Role) -> bool {
    let ends = |points: &[Point]| {
        points
            .iter()
            .any(|p| p.kind != PointKind::Witness)
            .then(|| points.iter().any(|p| signs(p, own, role)))
    };
    if let Some(signed) = ends(&own.after) {
        return signed;
    }
    // What is done after hand-over stands on other pages.
    let here = later.iter().take_while(|o| o.station == own.station && o.deferred == own.deferred);
    let mut points = here.flat_map(|o| [&o.before, &o.after]);
    points.find_map(|points| ends(points)).unwrap_or(false)
}
