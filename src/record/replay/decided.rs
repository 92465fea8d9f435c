//! What a lead decides about the work as a whole: found conditions, revisions, the close.

use super::made::Made;
use super::{Again, wrong};
use crate::diagnostic::Diagnostic;
use crate::record::asked_again;
use crate::record::entry::{Action, By, Photo, Reopened};
use crate::record::frozen::{Frozen, Operation};
use crate::record::honest;
use crate::record::left_out::left_out;
use crate::record::moved::no_longer;
use crate::record::{change, dated};
use crate::term::Disposition;

impl Again<'_> {
    /// A condition that was found, under the next number.
    pub(super) fn found(&mut self, made: &Made<'_>) -> Result<(), Diagnostic> {
        let Action::Found { found, operation, photos, reading, text, .. } = &made.entry.what else {
            return Ok(());
        };
        let operation = made.operation(operation)?;
        self.shown_before(made, photos);
        made.scene.says(text, "what was found", "")?;
        if *found != format!("F{}", made.scene.state.founds.len() + 1) {
            return wrong(format!("{found} is not the next number of what is found"));
        }
        if reading.as_ref().is_some_and(|id| !operation.readings().any(|r| r.id == *id)) {
            return wrong(format!("operation {} has no such reading", operation.number));
        }
        made.scene.was_read(operation, reading.as_deref())?;
        if operation.deferred { Ok(()) } else { made.before_the_close() }
    }

    /// Notes photos that were filed for something else before.
    pub(super) fn shown_before(&mut self, made: &Made<'_>, photos: &[Photo]) {
        self.tell(made, honest::shown_before(made.scene.state, photos));
    }

    /// What a lead decided about a found condition.
    pub(super) fn disposed(
        &mut self,
        made: &Made<'_>,
        number: &str,
        disposition: Disposition,
        reason: &str,
    ) -> Result<(), Diagnostic> {
        let Made { scene, person, entry } = made;
        let Some(found) = scene.state.founds.iter().find(|f| f.number == number) else {
            return wrong(format!("nothing was found as {number}"));
        };
        if found.disposition.is_some() && entry.corrects.is_none() {
            return wrong(format!("{number} was decided before"));
        }
        if scene.state.rejected(found) && disposition != Disposition::Reject {
            self.tell(made, [format!("{number} was rejected, and decided as {disposition} afterwards")]);
        }
        scene.may_decide(found, disposition)?;
        scene.answers_for(found, disposition, reason)?;
        scene.decided_after(found)?;
        scene.says(reason, "the reason of a disposition", "")?;
        scene.role(person, "lead")?;
        Ok(())
    }

    /// A lead lets somebody test without a certificate.
    pub(super) fn tester_waived(
        &mut self,
        made: &Made<'_>,
        operation: &Operation,
        reading: &str,
        (tester, reason): (&By, &str),
    ) -> Result<(), Diagnostic> {
        made.scene.role(made.person, "lead")?;
        made.scene.waive_tester(made.person, tester, operation, reading, reason)?;
        let words = format!(
            "{} lets {} test {}.{reading} without a certificate: {reason}",
            made.entry.by.name, tester.name, operation.number
        );
        self.tell(made, [words]);
        Ok(())
    }

    /// The close, and what was open then.
    pub(super) fn closed(&mut self, made: &Made<'_>) -> Result<(), Diagnostic> {
        made.scene.role(made.person, "lead")?;
        made.before_the_close()?;
        let (plan, state) = (made.scene.plan, made.scene.state);
        let open = made.scene.open();
        if let Some(now) = self.in_force(plan, state) {
            let lost = no_longer(plan, state, &now, self.reckon);
            self.otherwise(made, lost.iter().map(|l| l.told()));
        }
        self.found.open = open;
        let Action::Closed { follow_ups, .. } = &made.entry.what else { return Ok(()) };
        dated::scheduled(plan, state, follow_ups)
    }
}

impl Made<'_> {
    /// An entry that takes another one back.
    pub(super) fn withdrawn(&self) -> Result<(), Diagnostic> {
        let Some(correction) = &self.entry.corrects else { return wrong("it takes nothing back") };
        match &self.scene.state.closed {
            Some((mark, _)) if mark.n > correction.entry => wrong("it was closed before"),
            _ => Ok(()),
        }
    }

    /// A revision, and what it says of the operations of the plan before.
    pub(super) fn revised(&self, was: Option<&Frozen>) -> Result<(), Diagnostic> {
        let Action::Revised { from, kept, reason, removed, reopened, .. } = &self.entry.what else {
            return Ok(());
        };
        self.scene.role(self.person, "lead")?;
        self.before_the_close()?;
        self.scene.says(reason, "the reason of a revision", "")?;
        let Some(was) = was else { return Ok(()) };
        let change = change::compare_made(was, self.scene.plan, self.scene.state);
        asked_again::settled(self.scene.state, was, self.scene.plan)?;
        let again = |r: &Reopened| r.key.clone();
        if was.revision != *from
            || change.kept != *kept
            || change.removed != *removed
            || change.reopened.iter().map(again).ne(reopened.iter().map(again))
        {
            return wrong("it keeps, starts again or removes other operations than the plans differ in");
        }
        if let Some(words) = left_out(self.scene.state, was, self.scene.plan) {
            return wrong(words);
        }
        match change::undecided(self.scene.state, was, &change) {
            Some((operation, reading, verdict)) => {
                wrong(format!("{}.{reading} is {verdict}, and was never filed", operation.number))
            }
            None => Ok(()),
        }
    }
}
