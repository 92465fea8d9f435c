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

    /// Operations a point names as what it rests on, and what they build on.
    pub(super) fn rested_on(&self, point: &Point) -> Vec<&Operation> {
        let mut seen: BTreeSet<&str> = BTreeSet::new();
        let mut open: Vec<&str> = point.rests_on.iter().map(String::as_str).collect();
        let mut found = Vec::new();
        while let Some(key) = open.pop() {
            let Some(one) = self.keyed(key).filter(|one| seen.insert(&one.key)) else { continue };
            open.extend(one.builds_on.iter().map(String::as_str));
            found.push(one);
        }
        found
    }

    /// Keys of all operations a signature says something of: its own where it is signed
    /// after it, those it rests on, and whatever else certainly comes before.
    #[must_use]
    pub fn under(&self, operation: &Operation, point: &Point) -> BTreeSet<&str> {
        let own = point.slot.starts_with("after").then_some(operation.key.as_str());
        let rests = self.rested_on(point).into_iter().chain(self.all_before(operation));
        own.into_iter()
            .filter_map(|key| Some(self.keyed(key)?.key.as_str()))
            .chain(rests.map(|o| o.key.as_str()))
            .collect()
    }

    /// Whether a signature says something of the operation of this key: see [`Self::under`].
    pub(super) fn stands_under(&self, key: &str, operation: &Operation, point: &Point) -> bool {
        let own = point.slot.starts_with("after") && operation.key == key && self.place(key).is_some();
        own || self.comes_before(key, operation) || self.rested_on(point).iter().any(|o| o.key == key)
    }
}
