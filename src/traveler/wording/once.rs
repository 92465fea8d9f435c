//! Values that stand once in the job, as the work papers list them.

use super::super::document::{OnceRow, OnceValue};
use super::Subject;
use crate::job::schema::KeyHelp;
use crate::plan::once;

/// A row for values that decide the same things; what several joints or groups share
/// stands once.
pub(super) fn rows(planned: &Subject<'_>) -> Vec<OnceRow> {
    let help = KeyHelp::new();
    once(planned.job, planned.figures, &planned.plan.operations)
        .into_iter()
        .map(|row| {
            let mut values: Vec<OnceValue> = Vec::new();
            for value in &row.values {
                let one = OnceValue {
                    label: value.name().to_owned(),
                    what: help.of(&value.key).map(brief).unwrap_or_default(),
                    value: value.words.clone(),
                };
                if !values.contains(&one) {
                    values.push(one);
                }
            }
            OnceRow { whose: row.whose, values, rests: row.rests, source: row.source }
        })
        .collect()
}

/// What a key is, without the advice behind it on how to fill it in.
fn brief(help: &str) -> String {
    let end = help.find([';', ':']).or_else(|| help.find(". ")).unwrap_or(help.len());
    help[..end].trim().trim_end_matches('.').to_owned()
}
