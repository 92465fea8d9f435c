//! Where what was written down stands: what the plan says of each of its readings.

use std::borrow::Cow;

use super::super::Facts;
use super::{Taken, earlier, taken};
use crate::record::frozen::{Operation, Reading};
use crate::term::customer::{Row, Section};

/// Act of operations that say how the unit came.
const AS_FOUND: &str = "as-found";

/// Where a reading stands; none for what the plan gives no place of its own.
pub(super) fn row_of<'a>(
    facts: &Facts<'a>,
    operation: &'a Operation,
    reading: &'a Reading,
) -> Option<Cow<'a, Row>> {
    if facts.plan.names_rows() {
        return reading.shows.as_ref().map(Cow::Borrowed);
    }
    earlier::row(operation, reading).map(Cow::Owned)
}

/// What was written down for a part of the customer's pages, in the order of the plan.
pub(super) fn written<'a>(facts: &Facts<'a>, section: Section) -> Vec<(Taken<'a>, Cow<'a, Row>)> {
    let of = |t: Taken<'a>| Some((t, row_of(facts, t.operation, t.reading)?));
    taken(facts).filter_map(of).filter(|(_, row)| row.section == section).collect()
}

/// Whether the plan asks for something in a part of the customer's pages.
pub(super) fn asked(facts: &Facts<'_>, section: Section) -> bool {
    let all = facts.plan.operations.iter().flat_map(|o| o.readings().map(move |r| (o, r)));
    all.filter_map(|(o, r)| row_of(facts, o, r)).any(|row| row.section == section)
}

/// Whether a value says how the unit came.
pub(super) fn came(operation: &Operation, row: &Row) -> bool {
    row.came || operation.acts.iter().any(|a| a == AS_FOUND)
}
