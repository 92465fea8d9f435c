//! A lead lets somebody test who is not certified for it: an entry of its own.

use super::entry::By;
use super::frozen::{HONEST_SINCE, Operation};
use super::people::Signer;
use super::rules::{Scene, refuse};
use super::state::{Mark, State};
use crate::diagnostic::Diagnostic;

/// A tester a lead let test without a certificate.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Waiver {
    /// Key of the operation.
    pub key: String,
    /// The reading that says how the test came out.
    pub reading: String,
    /// Who tests.
    pub tester: By,
    /// Why, in words.
    pub reason: String,
    /// The lead, when, by which entry.
    pub mark: Mark,
}

impl State {
    /// What lets a person test at a reading without a certificate; none if no lead did.
    #[must_use]
    pub fn tester(&self, key: &str, reading: &str, id: &str) -> Option<&Waiver> {
        self.testers.iter().rev().find(|w| w.key == key && w.reading == reading && w.tester.id == id)
    }
}

impl Scene<'_> {
    /// Whether a lead may let `tester` test without a certificate at a reading.
    ///
    /// # Errors
    /// If nobody has to be certified there, the lead is the tester, or nothing is said for it.
    pub fn waive_tester(
        &self,
        lead: &Signer,
        tester: &By,
        operation: &Operation,
        reading: &str,
        reason: &str,
    ) -> Result<(), Diagnostic> {
        self.closed(operation)?;
        let place = format!("{}.{reading}", operation.number);
        let planned = operation.readings().find(|r| r.id == reading);
        let asks = planned.is_some_and(|r| r.choices.iter().any(|c| !c.tests.is_empty()));
        if !asks || self.plan.rules < HONEST_SINCE {
            let why = if asks {
                "this traveler was issued before it could be waived"
            } else {
                "nobody has to be certified for it"
            };
            return Err(refuse(
                "L265",
                "a lead waives what is asked, and nothing else",
                format!("{place}: {why}"),
                "write the reading; what is not as it should be is a found condition",
            ));
        }
        if self.is(tester, lead) {
            return Err(refuse(
                "L266",
                "nobody waives their own certificate",
                format!("{} would test at {place}, and let themselves do it", lead.name),
                self.have("lead", "waive it", |p| !self.is(tester, p)),
            ));
        }
        self.says(reason, "the reason of a waiver", "--reason \"certificate renewed, card on its way\"")
    }
}
