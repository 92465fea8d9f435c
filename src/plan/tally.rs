//! How much work a plan is, counted once for every place that says it.

use super::model::Operation;

/// Operations and labour of a route, before and after hand-over: what `check`, `route` and
/// the head page of the traveler count alike.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub struct Tally {
    /// Operations until the unit is handed over.
    pub operations: usize,
    /// Their minutes.
    pub minutes: u32,
    /// Operations after it.
    pub late_operations: usize,
    /// Their minutes.
    pub late_minutes: u32,
}

impl Tally {
    /// Counts the operations of a plan.
    #[must_use]
    pub fn of(operations: &[Operation]) -> Self {
        let mut tally = Self::default();
        for operation in operations {
            if operation.deferred {
                tally.late_operations += 1;
                tally.late_minutes += operation.minutes;
            } else {
                tally.operations += 1;
                tally.minutes += operation.minutes;
            }
        }
        tally
    }

    /// In words, as the head page of the traveler says it: `70.8 h in 89 operations, and
    /// 1.8 h in 4 after hand-over`.
    #[must_use]
    pub fn words(self) -> String {
        let late = match self.late_operations {
            0 => String::new(),
            count => format!(", and {} in {count} after hand-over", hours(self.late_minutes)),
        };
        format!("{} in {} operations{late}", hours(self.minutes), self.operations)
    }
}

/// Minutes as hours, to a tenth.
#[must_use]
pub fn hours(minutes: u32) -> String {
    format!("{:.1} h", f64::from(minutes) / 60.0)
}
