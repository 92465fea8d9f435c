//! Station pages: everything done at one place between two holds, laid out so
//! that what is read stands before what is done, and what is done beside its
//! boxes.

use serde::{Deserialize, Serialize};

use super::{Captioned, Caution, Fact, Filled, LookUp, Point, Reading};
use crate::form::BoxName;
use crate::plan::Words;

/// A station: it goes on below the one before, so that pages are full, unless it begins a
/// page.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
pub struct Station {
    /// Letter in the order of the work: `A`, `B`, … `Z`, `AA`.
    pub letter: String,
    /// What is done, in the verbs of its operations: `Cut, tack, verify`.
    pub title: String,
    /// Where: `weld bay`.
    pub place: String,
    /// Labour: `3 h 30 min`.
    pub time: String,
    /// Numbers of its operations.
    pub operations: Vec<u32>,
    /// Roles that work or sign here.
    pub people: Vec<String>,
    /// What it ends at: `hold H2`.
    pub end: Option<String>,
    /// Whether it begins a page by a break of its own.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub fresh_page: bool,
    /// Parts in the order they are worked through.
    pub blocks: Vec<Block>,
}

/// A part of a station page.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Block {
    /// A hold, witness or review point.
    Point(Box<Point>),
    /// A caution, right before what it belongs to.
    Caution(Caution),
    /// What is done, in two columns.
    Work([Vec<Work>; 2]),
    /// The same in one column, beside its values or its drawings.
    Beside(Beside),
    /// Values to write down, one row under the other, beside drawings.
    Table(Table),
    /// One step nobody may get wrong.
    Safety(Box<Safety>),
    /// The card of the joints welded alike here.
    Card(Box<Card>),
    /// A look-up table for the pencil.
    Lookup(LookUp),
    /// Initials for the operations of each role.
    Initials(Vec<Initials>),
}

/// Text beside its values; with drawings the values stand under it.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
pub struct Beside {
    /// Drawings, one under the other.
    pub drawings: Vec<Captioned>,
    /// What is done.
    pub work: Vec<Work>,
    /// What is read in it.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub rows: Vec<Row>,
    /// Captions of the drawings, where the text beside them leaves room for them.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub captions: Vec<String>,
}

/// The steps of an operation that are printed as text.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
pub struct Work {
    /// Number of the operation.
    pub number: u32,
    /// Verb and title; `None` where the operation goes on.
    pub title: Option<String>,
    /// A line under it, such as what a revision reopened.
    pub notice: Option<Words>,
    /// True if the operation is void: nobody works from it.
    pub void: bool,
    /// Component worked on, if the job has several.
    pub component: Option<String>,
    /// Who does it, where that is not who does most at this station: the paper lies
    /// before somebody else, and its boxes are not theirs to fill.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub who: Option<String>,
    /// Welds and fasteners of the operation, a line each.
    pub lines: Vec<Words>,
    /// In the order they are worked.
    pub steps: Vec<WorkStep>,
    /// What is read in them, where it stands under them.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub rows: Vec<Row>,
}

impl Block {
    /// Rows of values it asks for; those of a point are its own.
    #[must_use]
    pub fn rows(&self) -> Vec<&Row> {
        match self {
            Self::Work(sides) => sides.iter().flatten().flat_map(|w| &w.rows).collect(),
            Self::Beside(beside) => beside.work.iter().flat_map(|w| &w.rows).chain(&beside.rows).collect(),
            Self::Table(table) => table.rows.iter().collect(),
            Self::Safety(safety) => safety.rows.iter().collect(),
            Self::Card(card) => card.rows.iter().collect(),
            Self::Point(_) | Self::Caution(_) | Self::Lookup(_) | Self::Initials(_) => Vec::new(),
        }
    }
}

/// A step as text.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
pub struct WorkStep {
    /// Number within the operation.
    pub number: u32,
    /// Numbers of several steps said as one: `.1–2`.
    #[serde(default)]
    pub span: Option<String>,
    /// What to do.
    pub text: Words,
}

/// Rows of values.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
pub struct Table {
    /// Rows in the order they are read.
    pub rows: Vec<Row>,
    /// Drawings beside them.
    pub drawings: Vec<Captioned>,
}

/// A row: what is read, with what, against which limit, and its boxes.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
pub struct Row {
    /// Number of the operation, where it changes.
    pub number: Option<u32>,
    /// What is read: `caster, first reading`.
    pub what: String,
    /// Instrument as the procedure names it; none where it names none.
    pub tool: Option<String>,
    /// Limits; one, or one for each box.
    pub limits: Vec<String>,
    /// Boxes, in the order they are filled.
    pub boxes: Vec<Reading>,
}

/// The card of one joint, or of several that are welded alike: what is said
/// stands once, what is read has a box for each.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
pub struct Card {
    /// Signs of the joints: `W2`.
    pub ids: Vec<String>,
    /// What is joined; those alike but for their end are said as one.
    pub titles: Vec<String>,
    /// Their symbol in words.
    pub symbol: String,
    /// The symbol, drawn with a section of the joint.
    #[serde(default)]
    pub drawing: Option<Captioned>,
    /// Numbers of the operations that touch them.
    pub operations: String,
    /// Values from the welding procedure and the figures.
    pub facts: Vec<Fact>,
    /// Lines under them.
    pub notes: Vec<Words>,
    /// What is read, a box for each joint.
    pub rows: Vec<Row>,
}

/// A step nobody may get wrong: words, limit, boxes, initials, in a frame.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
pub struct Safety {
    /// Number of the operation.
    pub number: u32,
    /// Number of the step within it.
    pub step: u32,
    /// Numbers of several steps said as one: `.1–2`.
    #[serde(default)]
    pub span: Option<String>,
    /// The last of several steps said as one.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub last: Option<u32>,
    /// Head of the operation, where this is the first of it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub head: Option<Work>,
    /// What to do.
    pub text: Words,
    /// Rows of values.
    pub rows: Vec<Row>,
    /// Who answers for it.
    pub who: String,
    /// Whether initials are asked: nothing that is written proves it was done,
    /// or a second person did it.
    #[serde(default)]
    pub initials: bool,
    /// Initials; `None` prints the box.
    pub done: Option<Filled>,
    /// Name of the box of initials.
    #[serde(rename = "box", default, skip_serializing_if = "Option::is_none")]
    pub name: Option<BoxName>,
}

/// Initials of one role for the operations it did at the station.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
pub struct Initials {
    /// Role: `welder`.
    pub role: String,
    /// Numbers of the operations.
    pub operations: Vec<u32>,
    /// Initials with the day; `None` prints the box.
    pub done: Option<Filled>,
    /// Name of the box: that of the first operation it is for.
    #[serde(rename = "box", default, skip_serializing_if = "Option::is_none")]
    pub name: Option<BoxName>,
}
