//! A step back: to a box that was left, or to one that was entered and is wrong.

use super::super::act;
use super::super::boxes::{self, Row};
use super::super::desk::Actor;
use super::super::given::How;
use super::{Answer, Session, Turn};
use crate::app::plan::Failure;
use crate::form::BoxKind;
use crate::record::entry::Correction;

impl Session<'_> {
    /// Goes to the box asked before `row`.
    pub(super) fn go_back(&mut self, row: &Row) -> Result<Turn, Failure> {
        self.passed.retain(|name| *name != row.name);
        let Some(name) = self.passed.pop() else {
            self.talk.say("  ", "This is the first box of the session.");
            return Ok(Turn::Same);
        };
        self.left.remove(&name);
        let sight = self.sight()?;
        let scene = sight.scene();
        let Some(asked) = sight.plan.box_of(&name) else { return Ok(Turn::Same) };
        let now = boxes::in_force(self.host, self.folder, &sight.issue, &scene, &mut self.memo)?;
        let before = boxes::row(&scene, now.as_deref(), &asked);
        drop(now);
        let Some(done) = before.done.clone() else { return self.question(&before) };
        let value = done.value.as_deref().map_or(String::new(), |v| format!("{v}, "));
        self.talk.say(
            &format!("  {} ", before.typed),
            &format!("{}: {value}{} (entry {})", before.label, done.by, done.entry),
        );
        let again = if before.kind == BoxKind::Value { ", 2 read once more" } else { "" };
        match self.prompt(&format!("  1 it was wrong, take it back{again}, Enter leaves it > ")) {
            Answer::Text(text) if text == "1" => self.take_back(&before, done.entry),
            Answer::Text(text) if text == "2" && before.kind == BoxKind::Value => {
                self.reading(&before, How { again: true, ..How::default() })
            }
            Answer::Back => {
                self.shown = None;
                self.go_back(&before)
            }
            Answer::Stop => Ok(Turn::Stop),
            Answer::Text(text) => {
                let what = format!("\"{text}\" is none of them, and nothing was changed; < asks again");
                self.talk.say("  NO: ", &what);
                Ok(Turn::Same)
            }
            _ => Ok(Turn::Same),
        }
    }

    /// Takes an entry back and asks its box again.
    fn take_back(&mut self, row: &Row, entry: u64) -> Result<Turn, Failure> {
        let Answer::Text(reason) = self.prompt("  why was it wrong? > ") else { return Ok(Turn::Same) };
        let sight = self.sight()?;
        let people = sight.register.people.clone();
        let Some(by) = self.pick("Who takes it back?", &people) else { return Ok(Turn::Same) };
        let actor = Actor { id: by.clone(), at: self.time() };
        let mut desk = self.desk()?;
        if !self.may(&desk, &by) {
            return Ok(Turn::Same);
        }
        desk.pin = self.pin(&desk, &by);
        let done = act::withdraw(&mut desk, Correction { entry, reason }, &actor);
        drop(desk);
        if !self.done(done, &by) {
            return Ok(Turn::Same);
        }
        self.left.remove(&row.name);
        Ok(Turn::Same)
    }
}
