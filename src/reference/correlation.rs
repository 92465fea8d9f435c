//! Correlation factor of fillet welds by the steel of the weaker part.

use crate::quantity::{Dimensioned, Number};
use crate::source::Source;

use super::metal::squeezed;

/// Where the factors stand.
pub const SOURCE: Source = Source::standard("EN 1993-1-8:2005", "table 4.1, correlation factor beta_w");

/// Grades of EN 10025, EN 10210 and EN 10219 by the start of their names.
const ROWS: &[(&str, f64)] = &[("s235", 0.8), ("s275", 0.85), ("s355", 0.9), ("s420", 1.0), ("s460", 1.0)];

/// What may follow the strength in a name the table lists: toughness, delivery, hollow
/// section, weathering. Steels for cold forming (MC) are not in it.
const LISTED: &[&str] = &[
    "", "jr", "j0", "j2", "k2", "n", "nl", "m", "ml", "w", "jrh", "j0h", "j2h", "k2h", "nh", "nlh", "mh",
    "mlh", "h",
];

/// Correlation factor of a steel by its designation; none of one that table 4.1 does not list.
#[must_use]
pub fn factor(name: &str) -> Option<Number> {
    let wanted = squeezed(name);
    ROWS.iter().find_map(|(start, factor)| {
        let rest = wanted.strip_prefix(start)?;
        LISTED.contains(&rest).then(|| Number::from_si(*factor))
    })
}
