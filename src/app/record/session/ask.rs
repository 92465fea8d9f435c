//! The questions: ticks, readings, signatures.

use super::super::boxes::Row;
use super::super::desk::Actor;
use super::super::given::How;
use super::super::{act, refused};
use super::{Answer, Session, Turn, typed};
use crate::app::plan::Failure;
use crate::form::{BoxKind, Proposed};
use crate::record::boxes::What;
use crate::record::frozen::PointKind;

impl Session<'_> {
    pub(super) fn tick(&mut self, row: &Row) -> Result<Turn, Failure> {
        let what = match row.kind {
            BoxKind::Initials => format!("initials for {}: done as written?", row.operation),
            _ => format!("{}: {} Done?", row.typed, row.label),
        };
        self.talk.say("  ", &what);
        loop {
            let by = self.known(row).map_or(String::new(), |by| format!(", {by}"));
            let answer = self.prompt(&format!("  1 yes{by}, Enter leaves it > "));
            if let Some(turn) = self.anywhere(row, &answer)? {
                return Ok(turn);
            }
            match answer {
                Answer::Who => self.somebody_else(row),
                Answer::Text(text) => {
                    let text = self.as_shown(text);
                    if text.is_empty() {
                        continue;
                    }
                    if !matches!(text.to_lowercase().as_str(), "1" | "y" | "yes" | "x") {
                        self.talk.say("  NO: ", "1 where it was done; Enter where it was not");
                        continue;
                    }
                    let Some(by) = self.person(row)? else { continue };
                    if self.enter(&typed(&row.name, Proposed::Ticked, None), &How::default(), &by)?.is_ok() {
                        return Ok(Turn::On);
                    }
                }
                _ => {}
            }
        }
    }

    /// Who it is by, where that is known already.
    fn known(&self, row: &Row) -> Option<String> {
        self.who.get(&row.roles.join(" or ")).map(|id| format!("{id} (w)"))
    }

    /// The next question asks who it was.
    fn somebody_else(&mut self, row: &Row) {
        self.who.remove(&row.roles.join(" or "));
        let sits = self.start.by.take();
        if let Ok(None) | Err(_) = self.person(row) {
            self.talk.say("  ", "Nobody was named.");
        }
        self.start.by = sits;
    }

    pub(super) fn reading(&mut self, row: &Row, mut how: How) -> Result<Turn, Failure> {
        let mut question = row.label.clone();
        if let Some(target) = row.target.as_ref().filter(|_| row.choices.is_empty()) {
            question.push_str(&format!(": {target}"));
        }
        if let Some(accepted) = &row.accepted {
            question.push_str(&format!(" (accepted: {accepted})"));
        }
        if let Some(printed) = &row.printed {
            question.push_str(&format!(" (the paper says {printed})"));
        }
        self.talk.say(&format!("  {} ", row.typed), &question);
        for (word, n) in row.answers().zip(1..) {
            self.talk.say(&format!("    {n} "), &word);
        }
        let mut tool = self.tool(row, false)?;
        let mut last = String::new();
        loop {
            let said = [row.unit.clone(), tool.as_ref().map(|t| format!("{t} (t)")), self.known(row)];
            let said: Vec<String> = said.into_iter().flatten().collect();
            let answer = self.prompt(&format!("  {} > ", said.join(", ")));
            if let Some(turn) = self.anywhere(row, &answer)? {
                return Ok(turn);
            }
            let text = match answer {
                Answer::Who => {
                    self.somebody_else(row);
                    continue;
                }
                Answer::Tool => {
                    tool = self.tool(row, true)?;
                    continue;
                }
                // What was refused as far off is right after all.
                Answer::Text(text) if how.sure && text == "1" => last.clone(),
                Answer::Text(text) => {
                    how.sure = false;
                    self.as_shown(text)
                }
                _ => continue,
            };
            if text.is_empty() {
                continue;
            }
            // Before anybody is asked who read it.
            if !row.choices.is_empty() && !row.takes(&text) {
                self.talk.say("  NO: ", &format!("1 to {}, or the word", row.choices.len()));
                continue;
            }
            let Some(by) = self.person(row)? else { continue };
            last.clone_from(&text);
            let proposal = typed(&row.name, Proposed::Text(text), tool.clone());
            match self.enter(&proposal, &how, &by)? {
                // A void print is thrown away; the next one is measured another time.
                Ok(good) if good.needs_a_decision() && row.name.on_paper() => {
                    self.left.insert(row.name.clone());
                    return Ok(Turn::On);
                }
                Ok(good) if good.needs_a_decision() && row.choices.is_empty() => {
                    return self.after_a_bad_one(row);
                }
                Ok(_) => return Ok(Turn::On),
                Err(Failure::Refused(report, _))
                    if report.problems.iter().any(|p| p.code == "L174" || p.code == "L159") =>
                {
                    how.sure = true;
                    self.talk.say("  ", "1 it is right as typed; or type it again");
                }
                Err(_) => {}
            }
        }
    }

    fn after_a_bad_one(&mut self, row: &Row) -> Result<Turn, Failure> {
        self.talk.say("  ", "1 read again, both stand; 2 file it for a lead to decide; Enter goes on");
        loop {
            match self.prompt("  > ") {
                Answer::Text(text) if text == "1" => {
                    return self.reading(row, How { again: true, ..How::default() });
                }
                Answer::Text(text) if text == "2" => return self.file(row, &row.typed),
                // A value typed here must not vanish as if it were Enter.
                Answer::Text(text) => {
                    self.talk.say("  NO: ", &format!("\"{text}\" is none of them: 1 first, then the value"));
                }
                Answer::Stop => return Ok(Turn::Stop),
                _ => return Ok(Turn::On),
            }
        }
    }

    pub(super) fn signature(&mut self, row: &Row) -> Result<Turn, Failure> {
        let sight = self.sight()?;
        let asked = sight.plan.box_of(&row.name);
        let Some(What::Signature(point, role, _)) = asked.as_ref().map(|a| a.what) else {
            return Ok(Turn::On);
        };
        self.talk.say("  ", &row.label);
        self.talk.say("  signed: ", &format!("\"{}\", by {role}", point.meaning));
        let witness = point.kind == PointKind::Witness;
        let able: Vec<_> =
            sight.register.people.iter().filter(|p| p.roles.iter().any(|r| r == role)).cloned().collect();
        let mut offered: Vec<String> =
            able.iter().zip(1..).map(|(p, n)| format!("{n} {} {} signs", p.id, p.name)).collect();
        if witness {
            offered.push("c nobody came".to_owned());
        }
        if able.is_empty() {
            self.talk.say("  NO: ", &format!("nobody in the shop book is {role}"));
        }
        loop {
            let answer = self.prompt(&format!("  {}, Enter leaves it > ", offered.join(", ")));
            if let Some(turn) = self.anywhere(row, &answer)? {
                return Ok(turn);
            }
            let Answer::Text(text) = answer else { continue };
            if witness && text == "c" {
                if self.nobody_came(row, role)? {
                    return Ok(Turn::On);
                }
                continue;
            }
            let by_number =
                text.parse::<usize>().ok().and_then(|n| n.checked_sub(1)).and_then(|n| able.get(n));
            let signer = by_number.or_else(|| able.iter().find(|p| p.id.eq_ignore_ascii_case(&text)));
            let Some(signer) = signer else {
                self.talk.say("  NO: ", &format!("{text} is none of them"));
                continue;
            };
            let actor = Actor { id: signer.id.clone(), at: self.time() };
            let mut desk = self.desk()?;
            let pin = self.pin(&desk, &signer.id);
            let done = act::sign(self.host, &mut desk, &row.typed, role, &actor, pin.as_deref());
            drop(desk);
            if self.done(done, &signer.id) {
                return Ok(Turn::On);
            }
        }
    }

    fn nobody_came(&mut self, row: &Row, role: &str) -> Result<bool, Failure> {
        let sight = self.sight()?;
        let others: Vec<_> = sight.register.people.clone();
        let Some(by) = self.pick("Who says so?", &others) else { return Ok(false) };
        let Answer::Text(notice) =
            self.prompt("  how and when was the call made, and until when was somebody waited for? > ")
        else {
            return Ok(false);
        };
        let actor = Actor { id: by.clone(), at: self.time() };
        let mut desk = self.desk()?;
        let done = act::waive(self.host, &mut desk, &row.typed, role, &notice, &actor);
        drop(desk);
        Ok(self.done(done, &by))
    }

    /// Says what came of an act; whether it was done.
    pub(super) fn done(&mut self, done: Result<act::Done, Failure>, by: &str) -> bool {
        match done {
            Ok(done) => {
                self.entered += 1;
                self.talk.say("  ", &format!("{} (entry {})", done.words, done.entry.n));
                for warning in &done.entry.warnings {
                    self.talk.say("  ! ", warning);
                }
                true
            }
            Err(failure) => {
                self.forget_pin(by, &failure);
                self.no(&failure);
                false
            }
        }
    }

    /// Whether somebody of this id may act, said if not.
    pub(super) fn may(&mut self, desk: &super::Desk, id: &str) -> bool {
        let actor = Actor { id: id.to_owned(), at: self.time() };
        match desk.scene(&actor).person(id) {
            Ok(_) => true,
            Err(problem) => {
                self.no(&refused(problem));
                false
            }
        }
    }
}
