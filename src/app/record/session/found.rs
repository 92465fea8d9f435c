//! What was found, and a lead's decision about it.

use super::super::act;
use super::super::boxes::Row;
use super::super::desk::Actor;
use super::{Answer, Session, Turn};
use crate::app::plan::Failure;
use crate::term::Disposition;

impl Session<'_> {
    /// Files something found at the operation of a box.
    pub(super) fn something_found(&mut self, row: &Row) -> Result<Turn, Failure> {
        self.file(row, &row.operation.to_string())?;
        Ok(Turn::Same)
    }

    /// Files a found condition about an operation or a reading.
    pub(super) fn file(&mut self, row: &Row, about: &str) -> Result<Turn, Failure> {
        let Answer::Text(text) = self.prompt("  what was found? > ") else { return Ok(Turn::On) };
        let Some(by) = self.person(row)? else { return Ok(Turn::On) };
        let actor = Actor { id: by.clone(), at: self.time() };
        let mut desk = self.desk()?;
        let done = act::found(self.host, &mut desk, about, &text, &[], &actor);
        let number = desk.state.founds.last().map(|f| f.number.clone());
        drop(desk);
        if self.done(done, &by)
            && let Some(number) = number
        {
            self.decide(&number)?;
        }
        Ok(Turn::On)
    }

    /// Offers a lead to decide about a found condition at once.
    pub(super) fn decide(&mut self, number: &str) -> Result<(), Failure> {
        let offered: Vec<String> =
            Disposition::ALL.iter().zip(1..).map(|(d, n)| format!("{n} {d}")).collect();
        self.talk.say(
            "  ",
            &format!("{number} is open and keeps later holds shut. A lead decides: {}", offered.join(", ")),
        );
        let disposition = loop {
            let Answer::Text(text) = self.prompt("  number, Enter leaves it open > ") else { return Ok(()) };
            let by_number = text
                .parse::<usize>()
                .ok()
                .and_then(|n| n.checked_sub(1))
                .and_then(|n| Disposition::ALL.get(n).copied());
            match by_number.or_else(|| Disposition::of(&text.to_lowercase())) {
                Some(found) => break found,
                None => self.talk.say("  NO: ", &format!("{text} is none of them")),
            }
        };
        let Answer::Text(reason) = self.prompt("  why? > ") else { return Ok(()) };
        let sight = self.sight()?;
        let leads: Vec<_> =
            sight.register.people.iter().filter(|p| p.roles.iter().any(|r| r == "lead")).cloned().collect();
        let lead = match leads.as_slice() {
            [only] => only.id.clone(),
            _ => match self.pick("Which lead decides?", &leads) {
                Some(id) => id,
                None => return Ok(()),
            },
        };
        let actor = Actor { id: lead.clone(), at: self.time() };
        let mut desk = self.desk()?;
        desk.pin = self.pin(&desk, &lead);
        let decision = act::Decision { found: number, disposition, reason: &reason, words_stand: false };
        let done = act::dispose(&mut desk, decision, &actor, None);
        drop(desk);
        self.done(done, &lead);
        Ok(())
    }
}
