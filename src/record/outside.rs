//! A test nobody of the shop is certified for: who from outside makes it, and by which
//! certificate, is written down before what the test found.

use super::frozen::{Operation, Reading};
use super::rules::{Scene, refuse};
use crate::diagnostic::Diagnostic;
use crate::term::OUTSIDE;

/// Whether a box names who from outside makes a test, or by which certificate.
pub(super) fn names_tester(id: &str) -> bool {
    id.starts_with(OUTSIDE)
}

/// Whether a box of an operation names who makes the test a reading tells of: it is named for
/// its method and for the joint, `outside-tester.MT.J4-J5`.
fn speaks_of(named: &str, reading: &Reading) -> bool {
    let mut parts = named.splitn(3, '.').skip(1);
    let (Some(letters), Some(joints)) = (parts.next(), parts.next()) else { return false };
    let joint = reading.id.split_once('.').map_or("", |(_, joint)| joint);
    let of_joint = joint.is_empty() || format!("-{joints}-").contains(&format!("-{joint}-"));
    of_joint && reading.choices.iter().flat_map(|c| &c.tests).any(|m| m.letters() == letters)
}

impl Scene<'_> {
    /// Whether whoever makes the test a reading tells of is named, where the paper asks for the
    /// name of somebody from outside; and was before it.
    ///
    /// # Errors
    /// With what is to be written first.
    pub(super) fn tester_is_named(&self, operation: &Operation, id: &str) -> Result<(), Diagnostic> {
        let Some(reading) = operation.readings().find(|r| r.id == *id) else { return Ok(()) };
        for named in operation.readings().filter(|r| names_tester(&r.id) && speaks_of(&r.id, reading)) {
            let place = format!("{}.{}", operation.number, named.id);
            let Some((_, mark)) = self.state.reading(&operation.key, &named.id) else {
                return Err(refuse(
                    "L332",
                    "who tests is named, and the certificate seen, before the test",
                    format!("{}.{id} waits for {place}: {}", operation.number, named.label),
                    format!("written already: {} --at TIME", self.measures(operation, named, false)),
                ));
            };
            self.later(mark, &format!("reading {place}"), &format!("reading {}.{id}", operation.number))?;
        }
        Ok(())
    }
}
