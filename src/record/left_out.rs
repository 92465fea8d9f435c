//! What a revision can't take out of the plan: a weld, a cut or heat that was entered, its
//! joints, and the acceptance of it. It is there whatever the next paper says.

use std::collections::BTreeSet;

use super::frozen::{Frozen, GATED_SINCE, Operation, Point};
use super::made_again::lasting;
use super::state::State;

/// Points by which welds are accepted.
fn acceptances(plan: &Frozen) -> impl Iterator<Item = &Point> {
    plan.operations.iter().flat_map(Operation::points).filter(|p| p.rule.as_deref() == Some("acceptance"))
}

/// What was worked on and a revision leaves out, in words; none where all of it stays.
#[must_use]
pub fn left_out(state: &State, old: &Frozen, new: &Frozen) -> Option<String> {
    if old.rules < GATED_SINCE {
        return None;
    }
    // What was started again, or taken back, was worked on all the same.
    let entered: BTreeSet<&str> = state.filled.iter().map(|(key, _)| key.as_str()).collect();
    let worked = old.operations.iter().filter(|o| lasting(o) && entered.contains(o.key.as_str()));
    worked.into_iter().find_map(|operation| {
        let named = format!("operation {} {}", operation.number, operation.title);
        let Some(now) = new.keyed(&operation.key) else {
            return Some(format!("{named} was worked on and is no longer in the plan"));
        };
        if let Some(joint) = operation.joints.iter().find(|joint| !now.joints.contains(joint)) {
            return Some(format!("{named} was worked on and no longer has the joint {joint}"));
        }
        let accepts = |p: &Point| p.worked_by.contains(&operation.key);
        if acceptances(old).any(accepts) && !acceptances(new).any(accepts) {
            return Some(format!("{named} was worked on and is no longer accepted by anybody"));
        }
        None
    })
}
