//! The customer's pages of a completed record: what was asked, found, done,
//! measured, welded, tightened and approved, in words a customer knows.
//!
//! They stand before the station pages, which are the paper as it was filled.

use serde::{Deserialize, Serialize};

use super::{Captioned, Change, Fact, FoundPhoto};
use crate::form::BoxName;
use crate::plan::Words;
use crate::traveler::drawing::Drawing;

/// The pages, section by section in the order they are printed.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
pub struct CustomerPages {
    /// What was asked, found and done, what changed, when to come back.
    pub summary: Summary,
    /// As found, planned, limit, as left.
    pub outcome: Section<OutcomeRow>,
    /// What was judged besides: counted by place, and where something is not inside.
    #[serde(default)]
    pub judged: Section<JudgedAt>,
    /// The same against the limits, drawn.
    pub bars: Section<BarRow>,
    /// What did not go as planned, or rests on trust.
    pub exceptions: Section<Exception>,
    /// Welds, joint by joint.
    pub welds: Section<WeldDone>,
    /// What was tightened.
    pub torques: Section<TorqueDone>,
    /// What was fitted, with numbers and lots.
    pub parts: Section<PartFitted>,
    /// Rules, questions and signatures.
    pub approval: Approval,
    /// Instruments, revisions, how to check the file.
    pub proof: Proof,
}

/// A section: sentences, then rows. Without rows the sentences say so.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Section<T> {
    /// Sentences above the rows.
    pub notes: Vec<Words>,
    /// Lines of its table; empty where the notes say that there is nothing.
    pub rows: Vec<T>,
}

impl<T> Default for Section<T> {
    fn default() -> Self {
        Self { notes: Vec::new(), rows: Vec::new() }
    }
}

/// First page.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
pub struct Summary {
    /// Whose unit, which, when.
    pub facts: Vec<Fact>,
    /// Where it stands, in a few words: `Closed. All conform.`
    pub status: String,
    /// True if something speaks against it: the status is framed heavily.
    pub doubtful: bool,
    /// Why it does, a sentence each.
    pub doubts: Vec<String>,
    /// Five sentences: asked, found, done, measured, signed.
    pub sentences: Vec<Words>,
    /// What is different for whoever drives or uses it.
    pub changed: Vec<Words>,
    /// When to come back.
    pub back: Section<ComeBack>,
    /// Pictures before and after, or none.
    pub pictures: Vec<Shown>,
}

impl Summary {
    /// Files of the pictures on the first page.
    pub fn files(&self) -> impl Iterator<Item = &str> {
        self.pictures.iter().filter_map(|p| p.photo.as_ref()).map(|p| p.file.as_str())
    }
}

/// Something to come back for.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize, Deserialize)]
pub struct ComeBack {
    /// What is done then.
    pub task: String,
    /// Until which day.
    pub date: String,
    /// After which distance.
    pub distance: String,
    /// What the odometer shows then.
    pub meter: String,
}

/// A picture before or after, or that there is none.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize, Deserialize)]
pub struct Shown {
    /// `As found`, `As left`.
    pub title: String,
    /// None where the record has no such picture.
    pub photo: Option<FoundPhoto>,
    /// What stands there without one.
    pub lacking: String,
}

/// A line of the table as found / planned / limit / as left.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize, Deserialize)]
pub struct OutcomeRow {
    /// What is measured.
    pub what: String,
    /// Side, if it has one.
    pub side: Option<String>,
    /// As found.
    pub found: Option<String>,
    /// What the plan wanted, as it was in force when it was read.
    pub planned: Option<String>,
    /// Limit it was judged by.
    pub limit: Option<String>,
    /// As left.
    pub left: Option<String>,
    /// Verdict, in words.
    pub verdict: String,
    /// Whether it is outside, or not read.
    pub bad: bool,
    /// Operation it was read in.
    pub operation: Option<u32>,
    /// Box it stands in; the typesetter adds its page, or that of its operation.
    /// Under the key of every box: its name is never broken into lines.
    #[serde(rename = "box", default, skip_serializing_if = "Option::is_none")]
    pub place: Option<BoxName>,
}

/// What was judged at one place and has no line of its own.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize, Deserialize)]
pub struct JudgedAt {
    /// Where: `weld bay`.
    pub place: String,
    /// Values and words that were judged.
    pub judged: u32,
    /// Those that are not inside, with what became of each.
    pub not_inside: Vec<String>,
}

/// A line of bars: left and right, or one.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
pub struct BarRow {
    /// What is measured.
    pub what: String,
    /// Left, or the only one.
    pub left: Option<Bar>,
    /// Right; none if the line has one bar that is not of the right side.
    pub right: Option<Bar>,
}

/// A value against its limits.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
pub struct Bar {
    /// As it was written down.
    pub value: String,
    /// Whether it is not proven inside.
    pub bad: bool,
    /// A band between the limits, open where there is none, and a mark at the value.
    pub drawing: Drawing,
}

/// Something that did not go as planned, or rests on trust.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize, Deserialize)]
pub struct Exception {
    /// Kind: `Found condition F1`, `Nobody came to witness W1`.
    pub kind: String,
    /// Where, when, by whom.
    pub place: String,
    /// What was found, read or is lacking, as a sentence.
    pub what: String,
    /// What was decided, and why; or that nothing was.
    pub reason: String,
    /// Who decided.
    pub decided: String,
    /// What shows that it was put right; empty where there is nothing to show.
    pub proof: String,
    /// True if nobody has decided it, or nothing shows that it was put right.
    pub open: bool,
    /// Shows what was found; may be empty.
    pub photos: Vec<FoundPhoto>,
}

/// A joint as it was welded.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
pub struct WeldDone {
    /// Joint number.
    pub id: String,
    /// What is joined.
    pub title: String,
    /// The weld symbol in words.
    pub symbol: String,
    /// The weld symbol.
    pub drawing: Option<Captioned>,
    /// Who welded, qualification, procedure, temperatures, heat, lot, size …
    pub facts: Vec<Fact>,
    /// Accepted by whom, to what; or that it is not.
    pub accepted: String,
    /// True if it is not accepted, or something at it is outside.
    pub bad: bool,
}

/// A fastener group as it was tightened.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize, Deserialize)]
pub struct TorqueDone {
    /// Number, or empty for a reading without one.
    pub id: String,
    /// What it holds.
    pub title: String,
    /// Thread, grade, condition.
    pub thread: String,
    /// What was asked, and whose figure it is.
    pub asked: String,
    /// As tightened.
    pub read: String,
    /// Of the last reading, in words; `not on record` if there is none.
    pub verdict: String,
    /// Who, when, with which wrench.
    pub by: String,
    /// Whether it is outside or not read.
    pub bad: bool,
}

/// A part or material that was fitted.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize, Deserialize)]
pub struct PartFitted {
    /// What the reading asked for, with the grades or classifications allowed.
    pub what: String,
    /// Number, lot or mark as it was written down.
    pub named: String,
    /// Where it was written down, by whom.
    pub by: String,
}

/// Rules, questions and signatures.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
pub struct Approval {
    /// Rules cited, what licensed people were asked.
    pub notes: Vec<Words>,
    /// A line for each point, signed or not.
    pub rows: Vec<Approved>,
    /// People who signed: name, role, certificate, how identified.
    pub people: Vec<Signatory>,
}

/// A point that was signed, passed over or left open.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize, Deserialize)]
pub struct Approved {
    /// Number of the point.
    pub number: String,
    /// What it released.
    pub what: String,
    /// Who signed.
    pub who: String,
    /// Day of the last signature; empty without one.
    pub at: String,
    /// Whether it is open or went on with nobody there.
    pub bad: bool,
    /// Operation it stands at.
    pub operation: u32,
    /// Box of its first mark; the typesetter adds its page, or that of its operation.
    /// Under the key of every box: its name is never broken into lines.
    #[serde(rename = "box", default, skip_serializing_if = "Option::is_none")]
    pub place: Option<BoxName>,
}

/// Somebody who signed.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize, Deserialize)]
pub struct Signatory {
    /// Printed name and id.
    pub name: String,
    /// Role signed in.
    pub role: String,
    /// What the right to sign rests on.
    pub certificate: String,
    /// How the person was identified.
    pub identified: String,
    /// True if by an id alone.
    pub by_id: bool,
    /// How many signatures.
    pub count: String,
}

/// Instruments, revisions, how to check the file.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
pub struct Proof {
    /// Instruments used.
    pub instruments: Section<Instrument>,
    /// Revisions, oldest first.
    pub changes: Vec<Change>,
    /// How to check the file, and what that can't show.
    pub notes: Vec<Words>,
    /// Digests and the root of the signature.
    pub seals: Vec<Fact>,
}

/// An instrument that was used.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize, Deserialize)]
pub struct Instrument {
    /// Id, as marked on it.
    pub id: String,
    /// As the list of tools on the paper calls it, or that it is not on that list.
    pub what: String,
    /// Last day of its calibration, as the book said when it was used.
    pub until: String,
    /// How many readings stand on it.
    pub readings: String,
    /// Last day it was used.
    pub last: String,
    /// Whether it was used after its calibration had ended, or none is known.
    pub bad: bool,
}
