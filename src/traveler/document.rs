//! The document model: typeset-ready, for blank travelers and completed
//! records alike.
//!
//! Every text is final: worded, rounded, with its unit. A template places it
//! and computes nothing. What a person still has to write is a box; the same
//! box with a [`Filled`] value is the completed record, so page and record lie
//! side by side on one grid.
//!
//! Text is data. No character in it is markup; emphasis is a `Run` of
//! [`Words`].
//!
//! An empty list or `None` leaves its part of the page out.

mod customer;
mod operation;
mod sheets;
mod station;
mod words;

pub use customer::*;
pub use operation::*;
pub use sheets::*;
pub use station::*;
pub use words::*;

use crate::plan::Words;
use chrono::{DateTime, Utc};
use serde::{Deserialize, Serialize};

use super::drawing::Drawing;
use super::lanes::Lanes;
use super::stations::{self, Entries};
pub use crate::term::Paper;

/// One document, in the order it is printed.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
pub struct Document {
    /// Facts about the file: title, language, paper, date.
    pub meta: Meta,
    /// Logo of the shop; handed to the typesetter beside the text.
    #[serde(skip)]
    pub logo: Option<Logo>,
    /// What stands at the head and foot of every page.
    pub running: Running,
    /// First page.
    pub head: Head,
    /// Route page: stations as lanes, hold points as bars across.
    pub route: Option<Lanes>,
    /// Geometry page: drawings, the table as found / planned / as left.
    pub geometry: Option<Geometry>,
    /// Station pages: the operations as they are printed.
    #[serde(default)]
    pub stations: Vec<Station>,
    /// Station pages of what is done after hand-over.
    #[serde(default)]
    pub later_stations: Vec<Station>,
    /// Operations in order.
    pub operations: Vec<Operation>,
    /// Operations after hand-over, such as the torque after the first run on the road.
    pub after_hand_over: Vec<Operation>,
    /// Weld schedule, one card per joint.
    pub welds: Vec<WeldCard>,
    /// Where each joint is, by weld symbols.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub weld_map: Option<WeldMap>,
    /// The page of sketches, on its own.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub sketches: Vec<Captioned>,
    /// Torque sheet, one row per fastener group.
    pub torques: Vec<TorqueRow>,
    /// Pick list: material, consumables, tools.
    pub pick_list: Vec<PickGroup>,
    /// Page for found conditions.
    pub found: Option<FoundSheet>,
    /// Photos of the work; of a completed record only.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub photos: Vec<PhotoSheet>,
    /// Change log, oldest first.
    pub changes: Vec<Change>,
    /// Values that stand once in the job; work papers only.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub once: Vec<OnceRow>,
    /// Worksheets: how each figure came about.
    pub worksheets: Vec<Worksheet>,
    /// The customer's pages; completed records only.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub customer: Option<Box<CustomerPages>>,
    /// Entries of the record and how to check them; completed records only.
    pub record: Option<RecordSheet>,
    /// What the bars of the sheets at full size measure; fill-in copies only, on paper
    /// each sheet has its own boxes.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub bars: Vec<BarsBox>,
    /// Boxes that take a digital signature; completed records only.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub signatures: Vec<SignatureBox>,
}

impl Document {
    /// Puts the operations on station pages, as they are now, blank or filled.
    pub fn lay_out(&mut self) {
        self.stations = stations::of(&self.operations, &self.welds, 0);
        self.later_stations = stations::of_visits(&self.after_hand_over, &self.welds, self.stations.len());
    }

    /// What a pen has to write on the paper.
    #[must_use]
    pub fn entries(&self) -> Entries {
        stations::entries(self.stations.iter().chain(&self.later_stations))
    }
}

/// A picture file.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Logo {
    /// The file as it stands beside the shop book.
    pub bytes: Vec<u8>,
    /// Format: `png` or `svg`.
    pub format: String,
}

/// Facts about the file.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Meta {
    /// Kind of document, printed on the first page: `Job traveler`, `Completed record`.
    pub kind: String,
    /// Title of the file, shown by readers: kind, number, revision and unit.
    pub title: String,
    /// Shop that issued it.
    pub author: String,
    /// Language of the text, two letters.
    pub language: String,
    /// Stable identifier: number and revision, and the digest of the plan.
    pub ident: String,
    /// Keywords of the file.
    #[serde(default)]
    pub keywords: Vec<String>,
    /// When it was issued. From the job, the record or a flag, never the clock.
    pub issued: DateTime<Utc>,
    /// Sheet size.
    pub paper: Paper,
}

impl Default for Meta {
    fn default() -> Self {
        Self {
            kind: "Job traveler".to_owned(),
            title: "Job traveler".to_owned(),
            author: String::new(),
            language: "en".to_owned(),
            ident: String::new(),
            keywords: Vec::new(),
            issued: DateTime::UNIX_EPOCH,
            paper: Paper::Letter,
        }
    }
}

/// Head and foot of every page. The page number is added when typeset.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize, Deserialize)]
pub struct Running {
    /// Job number.
    pub number: String,
    /// Revision letter.
    pub revision: String,
    /// The unit worked on.
    pub unit: String,
    /// Short title of the work.
    pub work: String,
    /// One line: until when this paper is valid, and what comes before it.
    pub validity: String,
    /// Short digest of the plan.
    pub digest: String,
    /// A word across the head of an unfinished or withdrawn copy: `DRAFT`, `SUPERSEDED`.
    pub stamp: Option<String>,
}

/// First page.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
pub struct Head {
    /// Shop name.
    pub shop: String,
    /// Address and telephone of the shop, a line each.
    pub shop_lines: Vec<String>,
    /// Facts in pairs: customer, unit, serial number, dates, estimated hours.
    pub facts: Vec<Fact>,
    /// What is done and what is not: two sentences.
    pub scope: Vec<Words>,
    /// What each procedure leaves done, in a customer's words and without planned figures.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub done: Vec<String>,
    /// People on the job.
    pub people: Vec<Person>,
    /// Machines, instruments and torque tools that may be used.
    pub tools: Vec<Tool>,
    /// Index of hold, witness and review points.
    pub points: Vec<PointEntry>,
    /// Waivers of a safety rule, with reason.
    pub waivers: Vec<Waiver>,
    /// Procedures of the shop's own that are followed, and by how many operations.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub own_procedures: Vec<String>,
    /// Cautions for the whole job.
    pub cautions: Vec<Caution>,
    /// What the shop must know and the document could not compute.
    pub blanks: Vec<Words>,
    /// What comes before this paper, and what it does not know.
    pub disclaimer: Vec<Words>,
}

/// A label and a value.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize, Deserialize)]
pub struct Fact {
    /// What it is, lower case.
    pub label: String,
    /// Its value. `None` prints a blank line to write on.
    pub value: Option<String>,
}

impl Fact {
    /// A known fact.
    #[must_use]
    pub fn new(label: impl Into<String>, value: impl Into<String>) -> Self {
        Self { label: label.into(), value: Some(value.into()) }
    }

    /// A fact to be written in.
    #[must_use]
    pub fn blank(label: impl Into<String>) -> Self {
        Self { label: label.into(), value: None }
    }
}

/// A person on the job.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize, Deserialize)]
pub struct Person {
    /// Role: lead, welder, fitter, inspector.
    pub role: String,
    /// Printed name; `None` prints a line to write on.
    pub name: Option<String>,
    /// Identification: badge, stamp or certificate number.
    pub id: Option<String>,
    /// Qualification and until when it is valid.
    pub qualification: String,
    /// Initials used on this traveler, if already given.
    pub initials: Option<Filled>,
}

/// A machine, instrument or torque tool that may be used on the job.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize, Deserialize)]
pub struct Tool {
    /// Id, as marked on it.
    pub id: String,
    /// As the shop book calls it.
    pub what: String,
    /// What it may be used for on this job.
    pub purpose: String,
    /// Last day of its calibration.
    pub until: String,
}

/// A line of the index of points.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize, Deserialize)]
pub struct PointEntry {
    /// Number: `H4`, `W1`, `R2`.
    pub number: String,
    /// Hold, witness or review; the letter of its number says the same.
    pub kind: PointKind,
    /// Where: `before 120`, `after 140`.
    pub place: String,
    /// Verb and title of its operation.
    pub what: String,
    /// Role that signs.
    pub who: String,
    /// Signed, on a completed record: initials and date.
    pub signed: Option<Filled>,
}

/// A rule set aside, and why.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize, Deserialize)]
pub struct Waiver {
    /// Rule set aside.
    pub rule: String,
    /// Why it was set aside, as the job has it.
    pub reason: String,
    /// Who decided, in which role.
    pub who: String,
    /// Day it was decided: `2026-03-04`.
    pub date: String,
}

impl Waiver {
    /// What follows the day of one that the first paper did not have, and stands before the
    /// letter of the revision that brought it in.
    pub const LATE: &str = "; in the paper only since rev ";
}

/// Geometry page.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
pub struct Geometry {
    /// Introductory line, such as the sign convention.
    pub note: Option<String>,
    /// Drawings to scale.
    pub drawings: Vec<Captioned>,
    /// The table as found / planned / tolerance / as left.
    pub rows: Vec<GeometryRow>,
    /// Look-up tables to be used with a pencil.
    pub tables: Vec<LookUp>,
}

/// A drawing and its caption.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
pub struct Captioned {
    /// Caption: what is seen, from where, scale.
    pub caption: String,
    /// In sheet millimetres, with its words for readers who don't see it.
    pub drawing: Drawing,
}

/// One line of the geometry table.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize, Deserialize)]
pub struct GeometryRow {
    /// What is measured.
    pub what: String,
    /// Side, if it has one.
    pub side: Option<String>,
    /// As found; `None` prints a box.
    pub found: Option<String>,
    /// Planned; `None` prints a line to write on, because it could not be computed.
    pub planned: Option<String>,
    /// Tolerance or limit.
    pub tolerance: Option<String>,
    /// As left; `None` prints a box.
    pub left: Option<Filled>,
}

/// A look-up table: a head row and rows of values, read with a pencil.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize, Deserialize)]
pub struct LookUp {
    /// What it is for and how to use it.
    pub title: String,
    /// Rows, the first one is the row to enter with. All rows have as many
    /// cells as the first; wide tables are broken into bands when typeset.
    pub rows: Vec<LookUpRow>,
    /// Formula, limits, source.
    pub note: Option<String>,
}

/// A row of a look-up table.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize, Deserialize)]
pub struct LookUpRow {
    /// What the row holds, with unit.
    pub head: String,
    /// Values.
    pub cells: Vec<String>,
}
