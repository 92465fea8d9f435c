//! The words of a line as it was written: what its box asks, and by which limit. A line
//! that says otherwise was changed, and whoever filled it in was asked something else.

use std::sync::Arc;

use super::super::boxes::{self, Row};
use super::super::desk::{Actor, Desk};
use super::super::files::RecordHost;
use super::super::recompute::{Memo, Now};
use super::write::shown;
use crate::diagnostic::Diagnostic;
use crate::form::BoxName;

/// The plan with what was read in place, once a line is not as it was printed.
#[derive(Default)]
pub(super) struct Words {
    now: Option<Option<Arc<Now>>>,
}

/// What a line says for a person.
#[derive(Debug, Clone, Copy)]
pub(super) struct Cells<'a> {
    /// What its box is.
    pub(super) what: &'a str,
    /// By which limit.
    pub(super) limit: &'a str,
}

impl Words {
    /// Whether a line says of its box what the plan says, as it was printed or as it is
    /// in force. Columns that were left out or emptied say nothing.
    ///
    /// # Errors
    /// If the label or the limit is another one.
    pub(super) fn hold(
        &mut self,
        host: &dyn RecordHost,
        desk: &Desk,
        actor: &Actor,
        cells: Cells<'_>,
        name: &BoxName,
    ) -> Result<(), Diagnostic> {
        let Some(asked) = desk.plan.box_of(name) else { return Ok(()) };
        let scene = desk.scene(actor);
        let says = |row: &Row| {
            let (what, limit) = shown(row);
            let own = [("what", cells.what, what), ("limit", cells.limit, limit)];
            own.into_iter().find(|(_, cell, own)| !same(cell, own))
        };
        if says(&boxes::row(&scene, None, &asked)).is_none() {
            return Ok(());
        }
        let now = self.now.get_or_insert_with(|| {
            let mut memo = Memo::default();
            boxes::in_force(host, &desk.folder, &desk.issue, &scene, &mut memo).ok().flatten()
        });
        let Some((column, cell, own)) = says(&boxes::row(&scene, now.as_deref(), &asked)) else {
            return Ok(());
        };
        Err(Diagnostic::error(
            "L213",
            format!("the line says \"{cell}\" of {name}, and the plan says \"{own}\""),
        )
        .key(column)
        .rule("a value is entered for the box it was read for, by the limits of the plan")
        .expected(if own.is_empty() { "nothing there".to_owned() } else { own })
        .help(format!(
            "the words of the sheet were changed, or the limits moved since it was written: write a new sheet and read the value by it: tackwright sheet {} --out FILE",
            desk.plan.number
        )))
    }
}

/// Whether a cell says what was written there: letters, digits, points and signs, for
/// spreadsheets change the rest. An empty one says nothing else.
fn same(cell: &str, own: &str) -> bool {
    let sign = |c: char| if matches!(c, '−' | '–' | '‐' | '‑') { '-' } else { c };
    let counts = |c: &char| c.is_ascii_alphanumeric() || matches!(c, '.' | '/' | '-');
    let folded = |text: &str| -> String {
        text.chars().map(sign).filter(counts).flat_map(char::to_lowercase).collect()
    };
    // A file saved in another encoding has a question mark for what it has no sign for.
    let plain =
        |text: &str| -> String { text.chars().filter(char::is_ascii).filter(|c| *c != '?').collect() };
    cell.is_empty()
        || folded(cell) == folded(own)
        || cell.contains('?') && folded(&plain(cell)) == folded(&plain(own))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_a_spreadsheet_does_to_a_line_is_no_change() {
        assert!(same("", "9.3° ± 0.5°"));
        assert!(same("9.3? ± 0.5?", "9.3° ± 0.5°"));
        assert!(same("?2.0 to ?1.0 in", "−2.0 to −1.0 in"));
        assert!(same("-2.0  to -1.0 in", "−2.0 to −1.0 in"));
    }

    #[test]
    fn another_limit_is_told() {
        assert!(!same("at most 1/2 in", "at most 1/32 in"));
        assert!(!same("9.8° ± 0.5°", "9.3° ± 0.5°"));
        assert!(!same("2.0 to 1.0 in", "−2.0 to −1.0 in"));
        assert!(!same("at least 1 in", ""));
    }
}
