//! What pictures of paper show, box after box: as it is, otherwise, or left.

use std::collections::BTreeSet;

use super::super::boxes;
use super::super::paper_kept::{place, said};
use super::super::paper_seen::{RULES, Seen, SheetSeen, crop_kept, words};
use super::{Session, Shown, Turn};
use crate::app::plan::Failure;
use crate::form::{BoxName, Evidence, Pictured, Proposed, Way};
use crate::picture::PageSeen;
use crate::term::counted;

/// A box of the plan and where a picture shows it.
struct Proposal<'s> {
    name: BoxName,
    /// The box as it is printed.
    printed: &'s BoxName,
    sheet: &'s SheetSeen,
    page: &'s PageSeen,
    /// Its places among the boxes of the page.
    group: Vec<usize>,
    value: Proposed,
}

impl Session<'_> {
    /// Goes through everything the pictures show, in the order of the work; what waits
    /// for a signature is asked after it. Gives how many were left.
    pub(super) fn pictures(&mut self, seen: &Seen) -> Result<usize, Failure> {
        let mut all = self.shown(seen)?;
        self.talk.say(
            "",
            &format!(
                "{} something. = as the picture shows it, or type what stands there; Enter leaves it.",
                counted(all.len(), "box shows", "boxes show")
            ),
        );
        'all: loop {
            let mut waiting = Vec::new();
            let before = self.entered;
            for one in all {
                match self.one_shown(&one)? {
                    None => waiting.push(one),
                    Some(Turn::Stop) => break 'all,
                    Some(_) => {}
                }
            }
            all = waiting;
            if all.is_empty() {
                break;
            }
            match self.next(true)? {
                Some(row) => {
                    if let Turn::Stop = self.question(&row)? {
                        break;
                    }
                }
                // Nothing more can be signed, and what was entered opened nothing.
                None if self.entered == before => {
                    let waits = format!(
                        "{} for others.",
                        counted(all.len(), "box the pictures show waits", "boxes the pictures show wait")
                    );
                    self.talk.say("  ", &waits);
                    return Ok(all.len());
                }
                None => {}
            }
        }
        Ok(0)
    }

    /// What the pictures show and is not entered yet, in the order of the work.
    fn shown<'s>(&mut self, seen: &'s Seen) -> Result<Vec<Proposal<'s>>, Failure> {
        let sight = self.sight()?;
        let order: Vec<BoxName> = sight.plan.boxes().map(|asked| asked.name).collect();
        let mut found: Vec<(usize, Proposal<'s>)> = Vec::new();
        let mut told: BTreeSet<BoxName> = BTreeSet::new();
        for sheet in &seen.sheets {
            let page = match &sheet.page {
                Ok(page) => page,
                Err(why) => {
                    self.talk.say("NOT READ: ", &format!("{}: {why}", source(sheet)));
                    continue;
                }
            };
            for (printed, group, value) in said(page) {
                if value == Proposed::Empty || !page.boxes[group[0]].kind.entered() {
                    continue;
                }
                for name in seen.form.answers_for(printed) {
                    let Some(asked) = sight.plan.box_of(&name) else { continue };
                    let own = order.iter().position(|n| *n == asked.name).unwrap_or(usize::MAX);
                    if asked.filled(&sight.state).is_some()
                        || !self.keys.contains(&asked.operation.key)
                        || !told.insert(asked.name.clone())
                    {
                        continue;
                    }
                    let group = group.clone();
                    let value = value.clone();
                    found.push((own, Proposal { name: asked.name, printed, sheet, page, group, value }));
                }
            }
        }
        found.sort_by_key(|(place, _)| *place);
        Ok(found.into_iter().map(|(_, one)| one).collect())
    }

    /// Asks one box; none while it waits for another.
    fn one_shown(&mut self, one: &Proposal<'_>) -> Result<Option<Turn>, Failure> {
        let sight = self.sight()?;
        let scene = sight.scene();
        let Some(asked) = sight.plan.box_of(&one.name) else { return Ok(Some(Turn::On)) };
        if asked.filled(&sight.state).is_some() || self.left.contains(&one.name) {
            return Ok(Some(Turn::On));
        }
        let now = boxes::in_force(self.host, self.folder, &sight.issue, &scene, &mut self.memo)?;
        if boxes::waits(&scene, now.as_deref(), &asked).is_some() {
            return Ok(None);
        }
        let row = boxes::row(&scene, now.as_deref(), &asked);
        let first = &one.page.boxes[one.group[0]];
        let showed = words(first.kind, &one.value);
        // Of several words the one that is marked.
        let marked = one.group.iter().find(|k| one.page.boxes[**k].value != Proposed::Empty);
        let index = marked.copied().unwrap_or(one.group[0]);
        let crop = crop_kept(self.host, self.folder, one.sheet, index)?;
        let evidence = Evidence {
            way: Way::Picture,
            file: one.sheet.file.clone(),
            sha256: one.sheet.sha256.clone(),
            place: place(&one.sheet.file, &one.sheet.place, one.page.code.page),
            rule: RULES.to_owned(),
            rect: Some(first.rect),
            picture: Some(Pictured {
                compared: self.start.by.unwrap_or_default().to_owned(),
                crops: one
                    .sheet
                    .crops
                    .iter()
                    .filter(|(at, ..)| one.group.contains(at))
                    .map(|c| c.2.clone())
                    .collect(),
                place: place(&one.sheet.file, &one.sheet.place, one.page.code.page),
                rule: RULES.to_owned(),
                sha256: one.sheet.sha256.clone(),
                showed: showed.clone(),
            }),
        };
        let value = match &one.value {
            Proposed::Ticked => Some("x".to_owned()),
            Proposed::Text(text) => Some(text.clone()),
            _ => None,
        };
        if self.shown != Some(row.operation) {
            self.shown = Some(row.operation);
            self.talk.say("", "");
            self.talk.say(&format!("{} ", row.operation), &format!("{} [{}]", row.title, row.station));
        }
        let printed =
            if *one.printed == one.name { String::new() } else { " (one box for several)".to_owned() };
        let equals = if value.is_some() { "; = it is so" } else { "" };
        self.talk.say("  picture: ", &format!("page {}{printed}: {showed}{equals}", one.page.code.page));
        if let Some(crop) = crop {
            self.talk.say("  crop: ", &crop.display().to_string());
        }
        self.shown_by = Some(Shown { from: evidence, value });
        let mut turn = Turn::Same;
        while let Turn::Same = turn {
            turn = self.question(&row)?;
        }
        self.shown_by = None;
        Ok(Some(turn))
    }

    /// An answer `=` stands for what the picture shows; empty, and said, where it only
    /// shows that something is there.
    pub(super) fn as_shown(&mut self, text: String) -> String {
        let Some(shown) = self.shown_by.as_ref().filter(|_| text == "=") else { return text };
        let value = shown.value.clone();
        if value.is_none() {
            self.talk.say("  NO: ", "the picture does not say what; type what stands there");
        }
        value.unwrap_or_default()
    }
}

fn source(sheet: &SheetSeen) -> String {
    if sheet.place.is_empty() { sheet.file.clone() } else { format!("{}, {}", sheet.file, sheet.place) }
}
