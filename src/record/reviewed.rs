//! A plan is read by somebody else than whoever issued it.

use super::entry::{By, Entry};
use super::frozen::{Frozen, GATED_SINCE, Operation, Point, PointKind};
use super::people::Signer;
use super::rules::{Scene, refuse};
use super::state::{Signed, State};
use crate::diagnostic::Diagnostic;
use crate::term::name;

/// Who issued the revision that is in force after these entries.
fn issuer<'a>(mut entries: impl DoubleEndedIterator<Item = &'a Entry>) -> Option<&'a By> {
    entries.rfind(|e| e.issue().is_some()).map(|e| &e.by)
}

impl Scene<'_> {
    /// Whether a point reviews what `person` issued.
    fn issued_it(&self, person: &Signer, point: &Point) -> bool {
        self.plan.rules >= GATED_SINCE
            && point.kind == PointKind::Review
            && issuer(self.entries.iter()).is_some_and(|by| self.is(by, person))
    }

    /// Whether `person` issued what a point reviews, and somebody else may review it.
    pub(super) fn own_issue(&self, person: &Signer, role: &str, point: &Point) -> bool {
        self.issued_it(person, point) && !self.people_able(role, |p| !self.issued_it(p, point)).is_empty()
    }

    /// Whether what a point reviews was issued by another person than reviews it. Where the
    /// shop book knows nobody else in the role, whoever issued it may, and the record says so.
    ///
    /// # Errors
    /// If another may.
    pub(super) fn read_by_a_second(
        &self,
        person: &Signer,
        role: &str,
        operation: &Operation,
        point: &Point,
    ) -> Result<(), Diagnostic> {
        if !self.own_issue(person, role, point) {
            return Ok(());
        }
        Err(refuse(
            "L306",
            "a plan is read by a second person",
            format!("{} issued {} and can't review it at {}", person.name, self.plan.number, point.number),
            format!(
                "{}: tackwright sign {} {} --as {role} --by {}",
                self.have(role, "read it and sign", |p| !self.issued_it(p, point)),
                self.plan.number,
                point.number,
                self.by(role, |p| self.signers(operation, point, role).contains(&p.id.as_str()))
            ),
        ))
    }

    /// That a signature reviews what its signer issued, in words.
    #[must_use]
    pub fn reviews_own(&self, person: &Signer, point: &Point) -> Option<String> {
        self.issued_it(person, point).then(|| {
            format!("{} is signed by {}, who issued it: no second person read it", point.number, person.name)
        })
    }
}

/// Reviews that were signed by whoever had issued what they review.
#[must_use]
pub fn own_reviews<'a>(
    plan: &'a Frozen,
    state: &'a State,
    entries: &[Entry],
) -> Vec<(&'a Operation, &'a Point, &'a Signed)> {
    let all = plan.operations.iter().flat_map(|o| o.points().map(move |p| (o, p)));
    let reviews = all.filter(|(_, p)| plan.rules >= GATED_SINCE && p.kind == PointKind::Review);
    let signed = reviews.flat_map(|(o, p)| state.standing(o, p).into_iter().map(move |s| (o, p, s)));
    signed
        .filter(|(_, _, s)| {
            let before = issuer(entries.iter().filter(|e| e.n < s.mark.n));
            let same = |by: &By| by.id == s.mark.by.id || name::same(&by.name, &s.mark.by.name);
            !s.waived && before.is_some_and(same)
        })
        .collect()
}
