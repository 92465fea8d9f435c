//! What left the shop book while the work goes on: a certificate somebody acted on when the paper
//! was issued is asked for as long as the paper is in force.

use super::frozen::GATED_SINCE;
use super::people::Signer;
use super::rules::{Scene, refuse};
use crate::diagnostic::Diagnostic;

impl Scene<'_> {
    /// Whether somebody held a certificate for a role when the paper in force was issued.
    pub(super) fn had(&self, person: &Signer, role: &str) -> bool {
        let issued = self.register.issued.iter().find(|was| was.id == person.id);
        issued.is_some_and(|was| was.certified(role)) && self.plan.rules >= GATED_SINCE
    }

    /// What a role rests on of whose certificates the book lists none: nothing, where it listed
    /// none at the issue either.
    ///
    /// # Errors
    /// If it did.
    pub(super) fn left_the_book(&self, person: &Signer, role: &str) -> Result<Vec<String>, Diagnostic> {
        if !self.had(person, role) {
            return Ok(Vec::new());
        }
        let (book, number) = (&self.register.book, &self.plan.number);
        let others = |p: &Signer| p.id != person.id && p.certified(role) && self.holds(p, role);
        Err(refuse(
            "L356",
            "a certificate is asked for as long as the paper is in force",
            format!(
                "{} was {role} by a certificate when {number} was issued, and {book} names none any more",
                person.name
            ),
            format!("{}; or write the certificate that holds into {book}", self.have(role, "do it", others)),
        ))
    }
}
