//! An instrument whose newer calibration is worse than the one it was read with: what it read
//! before may have been as bad, so what was judged by it is judged once more.

use chrono::NaiveDate;

use super::calibration::SINCE;
use super::entry::Measured;
use super::frozen::{Operation, Reading};
use super::kept::Mark;
use super::people::Instrument;
use super::rules::Scene;
use crate::quantity::{Kind, Quantity, Style};
use crate::term::Verdict;
use crate::term::decide::guard_band;

fn number(text: &Option<String>) -> Option<f64> {
    text.as_ref()?.parse().ok()
}

/// The newer calibration of the instrument of a reading, if its row has one.
fn anew(row: &Instrument, read: &Measured, mark: &Mark) -> Option<NaiveDate> {
    let then: Option<NaiveDate> = read.calibrated.as_ref().and_then(|day| day.parse().ok());
    let since = row.calibrated?;
    let after = mark.time().is_some_and(|at| since > at.date_naive());
    (after && then.is_none_or(|then| since > then)).then_some(since)
}

/// Why a reading that conformed does not prove its limits by a row of its instrument, or
/// decides a value of the plan it can't be gone by for; in words, none where it does.
fn doubted(row: &Instrument, planned: &Reading, read: &Measured) -> Option<String> {
    let kind = Kind::ALL.iter().copied().find(|k| Some(k.word()) == read.kind.as_deref())?;
    let si = number(&read.value)?;
    let value = Quantity::from_si(kind, si);
    let style = Style::of(kind).fine_enough(value);
    if row.kind == Some(kind) && !row.takes(value) {
        return Some(format!("{} is outside its range now", style.both(value)));
    }
    let (was, now) = (number(&read.uncertainty).unwrap_or(0.0), row.spread?.at(si));
    if now <= was * (1.0 + 1e-9) {
        return None;
    }
    let bounds = (number(&read.lower), number(&read.upper));
    let held = read.verdict.is(Verdict::Conform);
    let proven = Verdict::on(si, guard_band(now), bounds) == Verdict::Conform;
    let decides = planned.replaces.is_some();
    if held && !proven {
        return Some(format!("{} is not proven within its limits by it", style.both(value)));
    }
    (decides && (!proven || bounds == (None, None)))
        .then(|| format!("{} decides a value of the plan", style.both(value)))
}

impl Scene<'_> {
    /// Readings by an instrument that was calibrated anew since and is worse by it, which were
    /// neither read again since nor decided by a lead; each with its way out.
    pub(super) fn by_worse_tools(&self) -> Vec<String> {
        if self.plan.rules < SINCE || self.state.closed.is_some() {
            return Vec::new();
        }
        let readings = self.plan.operations.iter().flat_map(|o| o.readings().map(move |r| (o, r)));
        readings.filter_map(|(operation, planned)| self.by_worse_tool(operation, planned)).collect()
    }

    fn by_worse_tool(&self, operation: &Operation, planned: &Reading) -> Option<String> {
        let (read, mark) = self.state.reading(&operation.key, &planned.id)?;
        let row = self.register.instrument(read.tool.as_ref()?)?;
        let since = anew(row, read, mark)?;
        let why = doubted(row, planned, read)?;
        let decided = self.state.founds.iter().any(|f| {
            f.key == operation.key
                && f.reading.as_ref() == Some(&planned.id)
                && f.disposition.is_some()
                && f.mark.time().is_some_and(|at| at.date_naive() >= since)
        });
        let (number, place) = (&self.plan.number, format!("{}.{}", operation.number, planned.id));
        (!decided).then(|| {
            format!(
                "{place} was read with {}, which is worse by its calibration of {since}: {why}; read it again (tackwright measure {number} {place} VALUE --again --by ID), or a lead decides: tackwright found {number} {place} \"…\" --by ID, then dispose",
                row.id
            )
        })
    }
}
