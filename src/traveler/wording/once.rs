//! Values that stand once in the job, as the work papers list them.

use super::super::document::{Fact, OnceRow};
use super::Subject;
use crate::plan::once;

/// A row for values that decide the same things; what several joints or groups share
/// stands once.
pub(super) fn rows(planned: &Subject<'_>) -> Vec<OnceRow> {
    once(planned.job, planned.figures, &planned.plan.operations)
        .into_iter()
        .map(|row| {
            let mut values: Vec<Fact> = Vec::new();
            for value in &row.values {
                let fact = Fact::new(value.name(), value.words.clone());
                if !values.contains(&fact) {
                    values.push(fact);
                }
            }
            OnceRow { whose: row.whose, values, rests: row.rests, source: row.source }
        })
        .collect()
}
