//! Prints at full size that nobody measured, or that were not true to scale.

use super::super::super::super::document::Exception;
use super::super::Facts;
use super::exceptions::who;
use super::sentence;
use crate::record::frozen::Sheet;
use crate::term::{Verdict, counted};

/// Kind of a print at full size whose bars nobody measured.
pub(super) const NOT_MEASURED: &str = "Print not measured";
/// Kind of a print at full size whose bars are not true.
pub(super) const VOID: &str = "Print void";

/// Sheets at full size an operation works by and whose bars nobody measured: if one was
/// used, nothing proves its marks.
pub(super) fn unmeasured<'a>(facts: &'a Facts<'_>) -> impl Iterator<Item = &'a Sheet> {
    let used = facts.plan.sheets.iter().filter(|sheet| !sheet.operations.is_empty());
    used.filter(|sheet| facts.state.bars_of(sheet).is_none())
}

pub(super) fn unmeasured_sheets(facts: &Facts<'_>) -> Option<Exception> {
    let all: Vec<String> =
        unmeasured(facts).map(|sheet| format!("{} ({})", sheet.title, sheet.name)).collect();
    (!all.is_empty()).then(|| Exception {
        kind: NOT_MEASURED.to_owned(),
        place: counted(all.len(), "sheet at full size", "sheets at full size"),
        what: format!("The 100 mm bars were never measured: {}.", all.join("; ")),
        reason: "Whoever marked by one of these prints did so without proof of its scale; the readings show what came of it.".to_owned(),
        ..Exception::default()
    })
}

/// Sheets at full size an operation works by and whose bars were last measured untrue.
pub(super) fn void_prints(facts: &Facts<'_>) -> Vec<Exception> {
    let used = facts.plan.sheets.iter().filter(|sheet| !sheet.operations.is_empty());
    let void = |sheet: &Sheet| {
        let (bars, mark) = facts.state.bars_of(sheet).filter(|(b, _)| !b.verdict.is(Verdict::Conform))?;
        Some(Exception {
            kind: VOID.to_owned(),
            place: format!("{} ({}); {}, entry {}", sheet.title, sheet.name, who(mark), mark.n),
            what: format!("{}.", sentence(&bars.words())),
            reason: "No other print of it was measured true: what was marked by it rests on the readings."
                .to_owned(),
            ..Exception::default()
        })
    };
    used.filter_map(void).collect()
}
