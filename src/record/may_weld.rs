//! Who may weld a joint on a day, and by which tests.

use super::fitness::DAY;
use super::frozen::Operation;
use super::people::Signer;
use super::rules::{Scene, refuse};
use crate::diagnostic::Diagnostic;

impl Scene<'_> {
    /// Whether the person may weld every joint of an operation, and the tests
    /// that rests on.
    ///
    /// # Errors
    /// At the first joint the person may not weld that day.
    pub fn may_weld(&self, person: &Signer, operation: &Operation) -> Result<Vec<String>, Diagnostic> {
        let mut rests_on: Vec<String> = Vec::new();
        if !self.register.welding {
            return Ok(rests_on);
        }
        for joint in &operation.joints {
            let no = |why: String| {
                let able: Vec<String> = self
                    .register
                    .people
                    .iter()
                    .filter(|p| p.left.is_none_or(|l| l >= self.day))
                    .filter(|p| p.qualified.iter().any(|q| q.what == *joint && q.why_not.is_none()))
                    .map(|p| format!("{} ({})", p.name, p.id))
                    .collect();
                let way_out = if able.is_empty() {
                    format!(
                        "nobody in the shop book may weld {joint} that day: qualify somebody and enter the test"
                    )
                } else {
                    format!("have {} weld it, or enter the renewed test in the shop book", able.join(" or "))
                };
                refuse("L149", DAY, format!("{} may not weld {joint}: {why}", person.name), way_out)
            };
            let Some(listed) = person.qualified.iter().find(|q| q.what == *joint) else {
                return Err(no("no test in the shop book covers it".to_owned()));
            };
            if let Some(why) = &listed.why_not {
                return Err(no(why.clone()));
            }
            if let Some(until) = listed.until.filter(|u| *u < self.day) {
                return Err(no(format!("the test it rests on ran out on {until}")));
            }
            if !listed.basis.is_empty() && !rests_on.contains(&listed.basis) {
                rests_on.push(listed.basis.clone());
            }
        }
        Ok(rests_on)
    }
}
