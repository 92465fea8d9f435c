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
    let wanted = name.replace('_', "-").to_lowercase();
    families().find(|f| f.name == wanted)
}
