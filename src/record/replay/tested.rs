//! Who says that a test is clear, asked again.

use chrono::NaiveDate;

use super::{Again, wrong};
use crate::diagnostic::Diagnostic;
use crate::record::agree;
use crate::record::entry::{Entry, Measured};
use crate::record::fitness::TESTER_SINCE;
use crate::record::frozen::Operation;
use crate::record::rules::Scene;
use crate::term::Method;

impl Again<'_> {
    /// Who says that a test is clear names the certificate that rests on. One the rows of
    /// the book frozen with the plan do not have may have come since, or be made up.
    pub(super) fn tester(
        &mut self,
        scene: &Scene<'_>,
        operation: &Operation,
        reading: &Measured,
        entry: &Entry,
    ) -> Result<(), Diagnostic> {
        let plan = scene.plan;
        let planned = operation.readings().find(|r| r.id == reading.reading);
        let methods = planned.map_or(&[][..], |r| agree::tests(r, &reading.text));
        if plan.rules < TESTER_SINCE || methods.is_empty() {
            return Ok(());
        }
        // A lead answers for it, by an entry of its own.
        if scene.let_test(operation, &reading.reading, &entry.by.id)?.is_some() {
            return Ok(());
        }
        let by_rows = self.reckon.certified(plan, &entry.by, methods, &reading.rests_on);
        let named = Method::list(methods);
        if by_rows.is_some() && reading.rests_on.is_empty() {
            return wrong(format!("{} tests by {named} and names no certificate", entry.by.name));
        }
        if let Some(method) = methods.iter().find(|method| {
            !reading.rests_on.is_empty()
                && !reading.rests_on.iter().any(|b| Method::named_in(b).contains(method))
        }) {
            return wrong(format!(
                "{} tests by {}, and {} does not name it",
                entry.by.name,
                method.word(),
                reading.rests_on.join(", ")
            ));
        }
        let basis = reading.rests_on.join(", ");
        if by_rows == Some(false) && self.unseen.insert((entry.by.id.clone(), basis.clone())) {
            let words = format!(
                "{} tests by {basis}, which the rows of the shop book frozen with the paper do not have: ask the shop for the certificate",
                entry.by.name
            );
            self.found.told.push((entry.n, words));
        }
        if let Some(until) = reading.rests_on.iter().find_map(|b| ended(b, scene.day)) {
            return wrong(format!("the certificate of {} ended on {until}", entry.by.name));
        }
        Ok(())
    }
}

/// The last day a test or certificate says it holds, where `day` is later.
pub(super) fn ended(basis: &str, day: NaiveDate) -> Option<NaiveDate> {
    let until = basis.rsplit_once(" until ")?.1.parse::<NaiveDate>().ok()?;
    (day > until).then_some(until)
}
