//! What an entry says of its instrument, asked again by the rows frozen with the paper.

use super::made::Made;
use super::{Again, wrong};
use crate::diagnostic::Diagnostic;
use crate::record::calibration::{self, Beside, beside};
use crate::record::entry::Measured;
use crate::record::fitness::measures;
use crate::record::frozen::{Frozen, Operation};
use crate::record::gone_tool;
use crate::record::people::Instrument;
use crate::term::decide::guard_band;

/// Room for numbers that were written as text.
const ROOM: f64 = 1e-9;

impl Again<'_> {
    /// The rows of instruments frozen with the plan in force, read once.
    fn rows(&mut self, plan: &Frozen) -> &[Instrument] {
        let reckon = self.reckon;
        self.rows.get_or_insert_with(|| reckon.instruments(plan).unwrap_or_default())
    }

    /// A reading was judged by what its instrument was: by the row frozen with the paper, by
    /// what entries before it say, or by a newer calibration, which is told.
    pub(super) fn tooled(
        &mut self,
        made: &Made<'_>,
        operation: &Operation,
        reading: &Measured,
    ) -> Result<(), Diagnostic> {
        let (plan, scene) = (made.scene.plan, &made.scene);
        let Some(tool) = reading.tool.as_ref().filter(|_| plan.rules >= calibration::SINCE) else {
            return Ok(());
        };
        let place = format!("{}.{}", operation.number, reading.reading);
        let number = |text: &Option<String>| text.as_ref().and_then(|t| t.parse::<f64>().ok());
        if let (Some(guard), Some(spread)) = (number(&reading.guard), number(&reading.uncertainty))
            && (guard - guard_band(spread)).abs() > ROOM * guard.abs().max(spread)
        {
            return wrong(format!("{place} has a guard band that is not twice its uncertainty"));
        }
        let row = self.rows(plan).iter().find(|i| i.id == *tool).cloned();
        if row.is_none()
            && let Some(why) = self.said.take(reading)
        {
            return wrong(format!("{place}: {why}"));
        }
        let planned = operation.readings().find(|r| r.id == reading.reading);
        if let Some(row) = row.as_ref().filter(|row| planned.is_some_and(|r| !measures(row, r))) {
            return wrong(format!("{place}: {tool} ({}) does not measure that", row.title));
        }
        let told = match row.map(|row| beside(&row, reading, scene.day, scene.issued_on())) {
            Some(Beside::Against(why)) => return wrong(format!("{place}: {why}")),
            Some(Beside::Same) => None,
            Some(Beside::Renewed(day)) => Some((
                day.to_string(),
                format!("{tool} was calibrated anew on {day}, which the rows of the shop book frozen with the paper do not have: ask the shop for the certificate"),
            )),
            None => self.reckon.booked(plan).then(|| (
                String::new(),
                format!("{tool} is not in the rows of the shop book frozen with the paper: ask the shop for its certificate"),
            )),
        };
        let told = told.filter(|(day, _)| self.unseen.insert((format!("tool {tool}"), day.clone())));
        self.tell(made, told.map(|(_, words)| words));
        self.tell(made, calibration::late(plan, made.entry));
        Ok(())
    }

    /// Instruments whose rows a revision was frozen with are better than those of the one
    /// before, though none was calibrated anew; those it has no rows of, though they were used.
    pub(super) fn regrown(&mut self, made: &Made<'_>, was: Option<&Frozen>) {
        let Some(was) = was.filter(|was| was.rules >= calibration::SINCE) else { return };
        let rows = |plan| self.reckon.instruments(plan).unwrap_or_default();
        let told = calibration::regrown(&rows(was), &rows(made.scene.plan), made.scene.issued_on());
        self.tell(made, told);
        let (was, now) = (rows(was), rows(made.scene.plan));
        self.tell(made, gone_tool::dropped((&was, &now), made.scene.plan, made.scene.entries));
    }
}
