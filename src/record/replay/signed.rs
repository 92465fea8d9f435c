//! Points that were signed, seen signed on paper, or waited for in vain.

use super::made::{self, Made};
use super::{Again, wrong};
use crate::diagnostic::Diagnostic;
use crate::record::entry::By;
use crate::record::frozen::{GATED_SINCE, Operation, Point};
use crate::record::moved::no_longer;
use crate::record::outdated::{outdated, releases_cut};
use crate::record::people::Signer;
use crate::record::rules::Scene;

impl Again<'_> {
    /// A signature at a point, under the words the plan has there.
    pub(super) fn signed(
        &mut self,
        made: &Made<'_>,
        (operation, point): (&Operation, &Point),
        (meaning, number): (&str, &str),
        rests_on: &[String],
    ) -> Result<(), Diagnostic> {
        if point.meaning != meaning || point.number != number {
            return wrong(format!("the plan has other words at {}", point.number));
        }
        self.certificate(made, &made.entry.by, rests_on)?;
        made.scene.sign(made.person, &made.entry.by.role, operation, point)?;
        self.second(made, &made.entry.by, made.person, point);
        self.tell(made, made.scene.begun_before(operation, point));
        self.still_held(made, operation, point);
        Ok(())
    }

    /// Who held a certificate for a role when the paper was issued names one with a signature
    /// in that role.
    fn certificate(&self, made: &Made<'_>, by: &By, rests_on: &[String]) -> Result<(), Diagnostic> {
        let plan = made.scene.plan;
        let asked = plan.rules >= GATED_SINCE && self.reckon.certified_as(plan, by, &by.role);
        if asked && rests_on.is_empty() {
            return wrong(format!("{} signs as {} and names no certificate", by.name, by.role));
        }
        Ok(())
    }

    /// Tells of a plan that was read by whoever issued it. Whether anybody else could have
    /// read it that day stands in the shop book of that day; the rows frozen with the paper
    /// say who was there when it was issued.
    fn second(&mut self, made: &Made<'_>, by: &By, person: &Signer, point: &Point) {
        let Some(words) = made.scene.reviews_own(person, point) else { return };
        let another = self.reckon.another(made.scene.plan, &by.role, by, made.scene.day) == Some(true);
        let more = if another {
            format!("; the shop book it was issued with has another {}", by.role)
        } else {
            String::new()
        };
        self.tell(made, [format!("{words}{more}")]);
    }

    /// A signature on paper that a lead attests.
    pub(super) fn seen_on_paper(
        &mut self,
        made: &Made<'_>,
        (operation, point): (&Operation, &Point),
        (signer, rests_on): (&By, &[String]),
    ) -> Result<(), Diagnostic> {
        self.certificate(made, signer, rests_on)?;
        let signed = made::signer(signer);
        made.scene.attest(made.person, &signed, operation, point)?;
        made.scene.sign(&signed, &signer.role, operation, point)?;
        self.second(made, signer, &signed, point);
        self.tell(made, made.scene.begun_before(operation, point));
        self.still_held(made, operation, point);
        Ok(())
    }

    /// A witness was called, and nobody came.
    pub(super) fn nobody_came(
        &mut self,
        made: &Made<'_>,
        (operation, point): (&Operation, &Point),
        notice: &str,
    ) -> Result<(), Diagnostic> {
        let Made { scene, person, entry } = made;
        scene.nobody_came(person, operation, point, notice)?;
        self.tell(made, scene.waited_before(operation, point, notice));
        let called = person.roles.iter().any(|r| point.roles.contains(r));
        self.tell(
            made,
            called.then(|| {
                format!(
                    "{} wrote that nobody came to {}, and is a {} as was called",
                    person.name, point.number, entry.by.role
                )
            }),
        );
        self.still_held(made, operation, point);
        Ok(())
    }

    /// Notes a signature that what was read until then forbids.
    fn still_held(&mut self, made: &Made<'_>, operation: &Operation, point: &Point) {
        let Scene { plan, state, .. } = made.scene;
        let Some(now) = self.in_force(plan, state) else { return };
        let lost = no_longer(plan, state, &now, self.reckon);
        let forbidden = now.forbids(operation).map(|why| format!("what was read forbids the cut: {why}"));
        let shut = made.scene.holds_still(operation, point, &lost).err().map(|p| p.message);
        let by_marks = || {
            let drawn = releases_cut(operation, point) && !state.bars.is_empty();
            let redrawn = drawn.then(|| self.reckon.redrawn(plan, state)).flatten()?;
            let old = outdated(plan, state, &redrawn);
            made.scene.marks_hold(operation, point, &old).err().map(|p| p.message)
        };
        let why = forbidden.or(shut).or_else(by_marks);
        self.otherwise(made, why);
    }
}
