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

    /// The operation of this key.
    #[must_use]
    pub fn keyed(&self, key: &str) -> Option<&Operation> {
        self.operations.iter().find(|o| o.key == key)
    }

    /// Operations that come right before one, by the states or by the order found.
    pub(super) fn right_before(&self, operation: &Operation) -> Vec<&Operation> {
        let more = operation.follows.iter().filter(|_| self.strict());
        operation.builds_on.iter().chain(more).filter_map(|key| self.keyed(key)).collect()
    }

    /// All operations that certainly come before one.
    pub(super) fn all_before(&self, operation: &Operation) -> Vec<&Operation> {
        let mut open = self.right_before(operation);
        let mut seen: BTreeSet<&str> = BTreeSet::new();
        let mut found = Vec::new();
        while let Some(one) = open.pop() {
            if seen.insert(&one.key) {
                found.push(one);
                open.extend(self.right_before(one));
            }
        }
        found
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
}
