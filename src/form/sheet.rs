//! Which boxes the pages of a revision have, and where.

use serde::{Deserialize, Serialize};

use super::{BoxName, Part};

/// The boxes of a revision's traveler on one paper: `form.json` of the revision.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
pub struct Form {
    /// Number of the traveler.
    pub number: String,
    /// Revision letter.
    pub revision: String,
    /// Digest printed on the paper, as far as the pages' codes carry it: upper case
    /// hexadecimal.
    pub digest: String,
    /// Pages in order.
    pub pages: Vec<Page>,
    /// Boxes in the order they are read, page by page.
    pub boxes: Vec<FormBox>,
    /// Boxes of the work papers; none in revisions from before those had names.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub papers: Vec<FormBox>,
}

/// The size of a page, in mm, and what stands on it for a picture to be read by.
#[derive(Debug, Clone, Copy, Default, PartialEq, Serialize, Deserialize)]
pub struct Page {
    /// From the left edge of the paper to the right.
    pub width: f64,
    /// From the top edge of the paper to the bottom.
    pub height: f64,
    /// The code that names the page, without its quiet zone.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub code: Option<Rect>,
    /// The grey strip: 12, 20 and 30 % beside each other in equal parts.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub grey: Option<Rect>,
}

impl Page {
    /// Diameter of the four discs of a page, in mm.
    pub const DISC: f64 = 3.2;
    /// Distance of a disc's centre from both edges, in mm.
    pub const INSET: f64 = 7.0;

    /// Centres of the discs: top left, top right, bottom right, bottom left.
    #[must_use]
    pub fn discs(&self) -> [(f64, f64); 4] {
        let (left, top) = (Self::INSET, Self::INSET);
        let (right, bottom) = (self.width - Self::INSET, self.height - Self::INSET);
        [(left, top), (right, top), (right, bottom), (left, bottom)]
    }
}

/// A place on paper to tick, initial, write or sign in.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct FormBox {
    /// The same on every way; boxes for the words of one choice share it.
    pub name: BoxName,
    /// What goes into it.
    pub kind: BoxKind,
    /// Page, from 1.
    pub page: u32,
    /// Where it stands.
    pub rect: Rect,
    /// What it asks for, with limit and unit, in a line.
    pub asks: String,
    /// Unit a bare number is in.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub unit: Option<String>,
    /// The word this box stands for, where a reading is answered by a choice.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub word: Option<String>,
    /// Keys of the operations initials stand for.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub covers: Vec<String>,
    /// Numbers of the steps that are printed as one with its own.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub steps: Vec<u32>,
    /// SHA-256 of what its operation asks, so that a box of an earlier revision
    /// is taken only where nothing changed.
    pub operation_digest: String,
}

/// What goes into a box.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum BoxKind {
    /// A mark: ticked or not.
    Tick,
    /// Of who did an operation, in a role.
    Initials,
    /// A value or words.
    Value,
    /// Part of a signature: never filled in a copy, never released by a picture.
    Signature,
    /// What only the paper keeps: a person's initials, the lines of a form for what is
    /// found, the ticks of a pick list. A picture shows that it was written; nothing is
    /// entered from it.
    Note,
}

impl BoxKind {
    /// Whether what is written in it becomes an entry by itself.
    #[must_use]
    pub const fn entered(self) -> bool {
        match self {
            Self::Tick | Self::Initials | Self::Value => true,
            Self::Signature | Self::Note => false,
        }
    }
}

/// A rectangle on a page, in mm from its top left corner, y down.
#[derive(Debug, Clone, Copy, Default, PartialEq, Serialize, Deserialize)]
pub struct Rect {
    /// Left edge.
    pub x: f64,
    /// Top edge.
    pub y: f64,
    /// To the right of `x`.
    pub width: f64,
    /// Down from `y`.
    pub height: f64,
}

impl FormBox {
    /// Every box of the plan that this one on paper answers for, its own first: the
    /// initials of all its operations, all steps that are printed as one.
    #[must_use]
    pub fn answers_for(&self) -> Vec<BoxName> {
        let mut all = vec![self.name.clone()];
        match &self.name.part {
            Part::Initials(role) => all.extend(self.covers.iter().map(|key| BoxName::initials(key, role))),
            Part::Step(_) => {
                all.extend(self.steps.iter().map(|n| BoxName::step(&self.name.operation, *n)));
            }
            Part::Reading(_) | Part::Point(..) => {}
        }
        let own = all[0].clone();
        let mut first = true;
        all.retain(|name| *name != own || std::mem::take(&mut first));
        all
    }

    /// Its name as a field of a fill-in copy: boxes of one choice are told apart
    /// by their word. No two boxes of a form share one.
    #[must_use]
    pub fn field(&self) -> String {
        let name = self.name.field();
        match &self.word {
            Some(word) => format!("{name}={}", word.replace('%', "%25").replace('.', "%2E")),
            None => name,
        }
    }
}

impl Form {
    /// The boxes of the plan a box on paper answers for; its own if the form does not
    /// know it.
    #[must_use]
    pub fn answers_for(&self, name: &BoxName) -> Vec<BoxName> {
        let found = self.boxes.iter().find(|b| b.name == *name);
        found.map_or_else(|| vec![name.clone()], FormBox::answers_for)
    }

    /// The boxes of a page, from 1.
    pub fn on(&self, page: u32) -> impl Iterator<Item = &FormBox> {
        self.boxes.iter().filter(move |one| one.page == page)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn printed(name: BoxName) -> FormBox {
        FormBox {
            name,
            kind: BoxKind::Initials,
            page: 1,
            rect: Rect::default(),
            asks: String::new(),
            unit: None,
            word: None,
            covers: Vec::new(),
            steps: Vec::new(),
            operation_digest: String::new(),
        }
    }

    #[test]
    fn a_box_answers_for_everything_it_is_printed_for() {
        let lead = BoxName::initials("receive", "lead");
        let covers = vec!["receive".to_owned(), "inspect".to_owned()];
        let initials = FormBox { covers, ..printed(lead.clone()) };
        assert_eq!(initials.answers_for(), [lead, BoxName::initials("inspect", "lead")]);
        let first = BoxName::step("prove", 1);
        let steps = FormBox { steps: vec![2, 3], ..printed(first.clone()) };
        assert_eq!(
            steps.answers_for(),
            [first.clone(), BoxName::step("prove", 2), BoxName::step("prove", 3)]
        );
        let form = Form { boxes: vec![steps], ..Form::default() };
        assert_eq!(form.answers_for(&first).len(), 3);
        let unknown = BoxName::reading("prove", "wall");
        assert_eq!(form.answers_for(&unknown), [unknown]);
        assert_eq!(printed(first.clone()).answers_for(), [first]);
    }
}
