//! Operation numbers: 10, 20, 30, in the order of the route.
//!
//! Numbers belong to one issue of the traveler. Keys stay: the record and the
//! revisions know operations by key, never by number.

/// Number of the operation at `position` of a route, counted from 0.
#[must_use]
pub const fn number(position: usize) -> usize {
    (position + 1) * 10
}

/// Number of every operation of the problem, by its index there. Operations
/// that are not in `order` have none.
#[must_use]
pub fn numbers(operations: usize, order: &[usize]) -> Vec<Option<usize>> {
    let mut numbers = vec![None; operations];
    for (position, &operation) in order.iter().enumerate() {
        if let Some(slot) = numbers.get_mut(operation) {
            *slot = Some(number(position));
        }
    }
    numbers
}
