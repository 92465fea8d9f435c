//! Who did it, with which tool, and the PIN of who signs: asked once a session.

use super::super::boxes::Row;
use super::super::desk::Desk;
use super::super::refused;
use super::{Answer, Session};
use crate::app::plan::Failure;
use crate::record::people::Signer;

impl Session<'_> {
    /// Who did the work of a box; none if the person leaves it open.
    pub(super) fn person(&mut self, row: &Row) -> Result<Option<String>, Failure> {
        let key = row.roles.join(" or ");
        let sight = self.sight()?;
        let people = sight.register.people.clone();
        let of_role = |p: &Signer| row.roles.is_empty() || row.roles.iter().any(|r| p.roles.contains(r));
        // Of those who have the role some may lack the test it takes.
        let lacks = |p: &Signer| of_role(p) && row.only_some && !row.people.contains(&p.id);
        let has = |p: &Signer| of_role(p) && !lacks(p);
        let known = self.who.get(&key);
        if let Some(known) = known.filter(|id| !people.iter().any(|p| p.id == **id && lacks(p))) {
            return Ok(Some(known.clone()));
        }
        let sits = self.start.by.and_then(|by| people.iter().find(|p| p.id == by));
        if let Some(sits) = sits.filter(|p| has(p)) {
            self.who.insert(key, sits.id.clone());
            return Ok(Some(sits.id.clone()));
        }
        let (mut able, others): (Vec<Signer>, Vec<Signer>) = people.into_iter().partition(has);
        let lead = |p: &Signer| p.roles.iter().any(|r| r == "lead");
        able.extend(others.into_iter().filter(lead));
        let role = if key.is_empty() { "who".to_owned() } else { key.clone() };
        let picked = self.pick(&format!("{role}: who did it?"), &able);
        if let Some(id) = &picked {
            self.who.insert(key, id.clone());
        }
        Ok(picked)
    }

    /// One of several people, by number or id.
    pub(super) fn pick(&mut self, question: &str, people: &[Signer]) -> Option<String> {
        let offered: Vec<String> =
            people.iter().zip(1..).map(|(p, n)| format!("{n} {} {}", p.id, p.name)).collect();
        self.talk.say("  ", &format!("{question} {}", offered.join(", ")));
        loop {
            let Answer::Text(text) = self.prompt("  number or id > ") else { return None };
            let by_number =
                text.parse::<usize>().ok().and_then(|n| n.checked_sub(1)).and_then(|n| people.get(n));
            let by_id = people.iter().find(|p| p.id.eq_ignore_ascii_case(&text));
            if let Some(person) = by_number.or(by_id) {
                return Some(person.id.clone());
            }
            self.talk.say("  NO: ", &format!("{text} is none of them; Enter leaves it"));
        }
    }

    /// The tool of a reading: the one of the last reading that offered the same.
    /// Enter at the question takes none, so that the rule says what it wants.
    pub(super) fn tool(&mut self, row: &Row, ask: bool) -> Result<Option<String>, Failure> {
        let offered = row.offered().to_vec();
        let key = offered.join(" ");
        if !ask {
            if let Some(known) = self.tools.get(&key) {
                return Ok(Some(known.clone()));
            }
            if !row.tool_needed {
                return Ok(None);
            }
            if let Some(only) = row.only_tool() {
                return Ok(Some(only.to_owned()));
            }
        }
        let sight = self.sight()?;
        let title = |id: &String| sight.register.instrument(id).map_or("", |i| i.title.as_str());
        let list: Vec<String> =
            offered.iter().zip(1..).map(|(id, n)| format!("{n} {id} {}", title(id))).collect();
        let asked = row.instrument.as_deref().unwrap_or("a tool");
        self.talk.say("  ", &format!("{asked}: which one? {}", list.join(", ")));
        let needed = row.limits.and(row.instrument.as_deref());
        loop {
            let Answer::Text(text) = self.prompt("  number or id > ") else { return Ok(None) };
            let by_number =
                text.parse::<usize>().ok().and_then(|n| n.checked_sub(1)).and_then(|n| offered.get(n));
            let named = by_number.map_or(text.as_str(), String::as_str);
            // The rule that judges the reading judges its tool, before anything is read with it.
            let scene = sight.scene();
            match scene.instrument(Some(named), needed, row.limits, None) {
                Ok(known) => {
                    let tool = known.map_or_else(|| named.to_owned(), |known| known.id.clone());
                    self.tools.insert(key, tool.clone());
                    return Ok(Some(tool));
                }
                Err(problem) => self.no(&refused(problem)),
            }
        }
    }

    /// The PIN of a person who has one: typed once a session.
    pub(super) fn pin(&mut self, desk: &Desk, id: &str) -> Option<String> {
        desk.register.person(id)?.pin.as_ref()?;
        if let Some(known) = self.pins.get(id) {
            return Some(known.clone());
        }
        let typed = self.talk.secret(&format!("  PIN of {id}: "))?;
        self.pins.insert(id.to_owned(), typed.clone());
        Some(typed)
    }

    /// A PIN that was wrong is asked again.
    pub(super) fn forget_pin(&mut self, id: &str, failure: &Failure) {
        if let Failure::Refused(report, _) = failure
            && report.problems.iter().any(|p| p.code.starts_with("L16"))
        {
            self.pins.remove(id);
        }
    }
}
