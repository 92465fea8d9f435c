//! Which work can put right what was found: a number in the reason of a revision is only words,
//! and work at another place, or of a kind that mends nothing, mends nothing under any number.

use super::before::component;
use super::frozen::{Frozen, Operation};
use super::state::Found;

/// Verbs of work that changes what it is done on. What only looks, covers, takes in or hands
/// over leaves it as it is.
const CHANGES: &[&str] = &["strip", "cut", "rotate", "tack", "weld", "torque", "fit", "assemble"];
/// Acts that change metal.
const METAL: &[&str] = &["arc", "tack", "heat", "grind", "cut-permanent"];
/// Acts that change what is bolted.
const BOLTED: &[&str] = &["loosen", "torque"];

fn share(one: &[String], other: &[String]) -> bool {
    one.iter().any(|id| other.contains(id))
}

impl Operation {
    /// Whether it changes what it is done on: who does it again, does again what rests on it.
    pub(super) fn works(&self) -> bool {
        CHANGES.contains(&self.verb.as_str()) || self.does(METAL) || self.does(BOLTED)
    }

    /// Whether it changes metal: what was gauged there before is covered, or gone.
    pub(super) fn works_metal(&self) -> bool {
        self.does(METAL)
    }

    fn does(&self, acts: &[&str]) -> bool {
        self.acts.iter().any(|act| acts.contains(&act.as_str()))
    }

    /// Whether it works on the same joint or the same bolts as another.
    fn on_same_part(&self, other: &Self) -> bool {
        share(&self.joints, &other.joints) || share(&self.fasteners, &other.fasteners)
    }
}

/// Whether an operation is where something was found, or accepts what was found there.
pub(super) fn is_there(plan: &Frozen, found: &Found, operation: &Operation) -> bool {
    let at = plan.keyed(&found.key);
    let accepts = operation.points().any(|p| p.concerns.contains(&found.key));
    let both = component(&operation.key).zip(component(&found.key));
    operation.key == found.key
        || accepts
        || at.is_some_and(|at| operation.on_same_part(at))
        || both.is_none_or(|(one, other)| one == other)
}

/// Whether work can put right what was found: it is there, and changes what it was found at. At
/// a joint that is metal, at bolts what is bolted or the metal it bolts.
pub(super) fn can_mend(plan: &Frozen, found: &Found, operation: &Operation) -> bool {
    if !is_there(plan, found, operation) {
        return false;
    }
    match plan.keyed(&found.key) {
        Some(at) if operation.key == at.key || operation.on_same_part(at) => true,
        Some(at) if !at.joints.is_empty() => operation.does(METAL),
        Some(at) if !at.fasteners.is_empty() => operation.does(METAL) || operation.does(BOLTED),
        _ => operation.works(),
    }
}
