//! What certainly comes before what, and what a signature rests on, by the frozen plan.

use std::collections::BTreeSet;

use super::frozen::{Frozen, Operation, Point};

/// The component of an operation, by its key; none for one of the unit as a whole.
pub(super) fn component(key: &str) -> Option<&str> {
    key.split_once('/').map(|(component, _)| component)
}

impl Frozen {
    /// Whether it was frozen under rules that are counted.
    #[must_use]
    pub(super) const fn strict(&self) -> bool {
        self.rules > 0
    }

    /// Keys of all operations a signature says something of: its own where it is signed
    /// after it, those it rests on, and whatever else certainly comes before.
    #[must_use]
    pub fn under(&self, operation: &Operation, point: &Point) -> BTreeSet<&str> {
        let own = point.slot.starts_with("after").then_some(operation.key.as_str());
        let rests = self.rested_on(operation, point).into_iter().chain(self.all_before(operation));
        own.into_iter()
            .filter_map(|key| Some(self.keyed(key)?.key.as_str()))
            .chain(rests.map(|o| o.key.as_str()))
            .collect()
    }
}
