//! All families, found by name.

use super::{Family, fastening, geometry, metrology, welding};

/// Every family, by trade and then in the order its trade lists it.
pub fn families() -> impl Iterator<Item = &'static Family> {
    [geometry::FAMILIES, welding::FAMILIES, fastening::FAMILIES, metrology::FAMILIES]
        .into_iter()
        .flatten()
        .copied()
}

/// The family of this name.
#[must_use]
pub fn find(name: &str) -> Option<&'static Family> {
    families().find(|f| f.name == name)
}

/// Position, among the outputs an answer gives, of the one a person asks for.
#[must_use]
pub fn main_output<'a>(family: &Family, given: impl Iterator<Item = &'a str> + Clone) -> usize {
    family
        .declared
        .asked
        .iter()
        .find_map(|output| given.clone().position(|id| id == *output))
        .unwrap_or_default()
        .min(given.count().saturating_sub(1))
}
