//! Sheets behind the operations: welds, torques, picking, found conditions,
//! changes, worksheets, the record.

use serde::{Deserialize, Serialize};

use super::{Captioned, Fact, Filled, Reading};
use crate::form::BoxName;
use crate::plan::Words;

/// A joint of the weld schedule.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
pub struct WeldCard {
    /// Joint number: `J1`.
    pub id: String,
    /// What is joined.
    pub title: String,
    /// Weld symbol in words: `fillet 1/4 in (6.4 mm), all round, other side`.
    pub symbol: String,
    /// The weld symbol with a section of the joint.
    #[serde(default)]
    pub drawing: Option<Captioned>,
    /// Operations it is welded and checked in: `130, 140`.
    pub operations: String,
    /// Everything the welder sets: process, filler, gas, amps, volts, travel,
    /// preheat, interpass, heat input, limits. Printed in four columns.
    pub facts: Vec<Fact>,
    /// Sequence, tacks, stops: a sentence each.
    pub notes: Vec<Words>,
    /// Boxes: welder, heat number, measured size.
    pub boxes: Vec<Reading>,
}

/// The weld map: where each joint is, and what became of it.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
pub struct WeldMap {
    /// What it shows and by which rules the symbols are drawn.
    pub note: String,
    /// One drawing or two a component.
    pub drawings: Vec<Captioned>,
    /// Joints that stand in a table: those without a place on a drawing, and in
    /// a completed record all of them.
    pub rows: Vec<WeldRow>,
}

/// A joint in the table of the weld map.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
pub struct WeldRow {
    /// Joint number.
    pub id: String,
    /// What is joined.
    pub title: String,
    /// The weld symbol in words.
    pub words: String,
    /// The same drawn, with a caption.
    pub symbol: Captioned,
    /// True if it stands on a drawing.
    pub placed: bool,
    /// Who welded it, completed records only.
    pub welded: Option<String>,
    /// Who accepted it, completed records only.
    pub accepted: Option<String>,
}

/// A line of the torque sheet.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
pub struct TorqueRow {
    /// Number: `B1`.
    pub id: String,
    /// What it holds: `U-bolts, front left, 4 nuts`.
    pub title: String,
    /// Thread and grade: `5/8-18 UNF, grade 8 rod, nut grade C`.
    pub thread: String,
    /// Condition of the thread: `oiled, hardened washer under the nut`.
    pub condition: String,
    /// Stages before the last: `30 %: 32 ft-lb`.
    pub stages: Vec<String>,
    /// Final torque; `None` prints a line to write on.
    pub torque: Option<String>,
    /// Permitted range: `95 to 110 ft-lb`.
    pub range: Option<String>,
    /// Order of the nuts: `cross: 1-3-2-4`.
    pub pattern: Option<String>,
    /// Where the torque comes from: `manufacturer, sheet 12`, or `computed from preload`.
    pub source: String,
    /// When it is tightened again: `after 50 and 500 miles`.
    pub again: Option<String>,
    /// Wrench to use.
    #[serde(default)]
    pub wrench: Option<String>,
}

/// A group of the pick list.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
pub struct PickGroup {
    /// Group: `Material`, `Consumables`, `Tools and gauges`.
    pub title: String,
    /// Lines.
    pub rows: Vec<PickRow>,
}

/// A line of the pick list.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
pub struct PickRow {
    /// How many or how much: `4`, `12 in (305 mm)`.
    pub quantity: String,
    /// Piece, fastener, filler, tool or sheet at full size.
    pub what: String,
    /// Size, grade, where it is used.
    pub detail: Option<String>,
    /// What is written in the box: what its bars measure. `None`: no box. Heats and lots
    /// stand in the traveler.
    pub reading: Option<Reading>,
    /// The tick: initials; `None` prints an empty box.
    pub done: Option<Filled>,
}

/// The page for found conditions.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
pub struct FoundSheet {
    /// The rule: what makes work stop, who decides, how it goes on.
    pub rule: Vec<Words>,
    /// What was found so far.
    pub entries: Vec<FoundEntry>,
    /// How many blank forms follow.
    pub blanks: u32,
    /// Dispositions to tick: `use as is`, `rework`, `repair`, `reject`.
    pub dispositions: Vec<String>,
}

/// A found condition.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
pub struct FoundEntry {
    /// Number: `P1`, found before the issue.
    pub number: String,
    /// At which operation, by whom, when.
    pub place: String,
    /// What was found.
    pub found: String,
    /// Disposition; the same word as in [`FoundSheet::dispositions`].
    pub disposition: Option<String>,
    /// What is done about it.
    pub action: Option<String>,
    /// Who decided, in which role, when.
    pub decided: Option<String>,
    /// Photos, by the name of the attached file, with what is said about them.
    #[serde(default)]
    pub photos: Vec<FoundPhoto>,
}

/// A photo of a found condition.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize, Deserialize)]
pub struct FoundPhoto {
    /// Name of the attached file.
    pub file: String,
    /// Caption, also spoken by readers.
    pub caption: String,
}

/// Photos of an operation, in the order they were filed.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
pub struct PhotoSheet {
    /// Number, verb and title of the operation.
    pub title: String,
    /// Files and captions; never empty.
    pub photos: Vec<FoundPhoto>,
}

/// A line of the change log.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
pub struct Change {
    /// Revision letter.
    pub revision: String,
    /// Day it was issued.
    pub date: String,
    /// Who issued it.
    pub who: String,
    /// What changed.
    pub what: String,
    /// The reason given; empty for the first issue.
    pub why: String,
    /// What it reopens and what it keeps.
    pub effect: String,
}

/// Values of the job that stand once, and what rests on them.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize, Deserialize)]
pub struct OnceRow {
    /// Whose they are: `front`, `fastener B1, B2`.
    pub whose: String,
    /// Values as they were understood.
    pub values: Vec<OnceValue>,
    /// What rests on them.
    pub rests: String,
    /// The source the job states.
    pub source: Option<String>,
}

/// A value that stands once.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize, Deserialize)]
pub struct OnceValue {
    /// Its key in the job file, without its table: `spring.seat_new`.
    pub label: String,
    /// What it is: `from the tube surface to the new pad face`.
    #[serde(default)]
    pub what: String,
    /// As it was understood.
    pub value: String,
}

/// A group of worked figures.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
pub struct Worksheet {
    /// Subject: `Front axle, lift`.
    pub title: String,
    /// Figures in the order they are computed.
    pub figures: Vec<WorkedFigure>,
}

/// A figure with its provenance.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
pub struct WorkedFigure {
    /// Name in the figures file.
    pub id: String,
    /// As its family calls it, for people.
    pub title: String,
    /// Value with unit; `None` prints a line to write on.
    pub value: Option<String>,
    /// Expanded uncertainty with coverage factor: `± 0.3° (k = 2)`.
    pub uncertainty: Option<String>,
    /// Formula, in the names of the inputs.
    pub formula: String,
    /// Inputs with values; one without is a blank to fill in.
    pub inputs: Vec<Fact>,
    /// Source: standard and clause, handbook and table, common practice.
    pub source: String,
    /// Which way it is rounded and to what.
    pub rounding: Option<String>,
    /// Warnings, a sentence each.
    pub warnings: Vec<String>,
}

/// Entries of the record.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
pub struct RecordSheet {
    /// What the entries prove and how to check them.
    pub note: Vec<Words>,
    /// Entries in order.
    pub entries: Vec<RecordEntry>,
    /// Facts to compare: digest of the plan, last hash, number of entries.
    pub seals: Vec<Fact>,
}

/// A line of the printed record; what went as planned stands in its box instead.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
pub struct RecordEntry {
    /// Place in the record.
    pub number: u32,
    /// Date and time.
    pub at: String,
    /// Printed name and role.
    pub who: String,
    /// What was done, measured, found or signed.
    pub what: String,
    /// First characters of its hash.
    pub hash: String,
}

/// A box for what both bars of a printed sheet at full size measure.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct BarsBox {
    /// Title of the sheet, as it is printed on it.
    pub title: String,
    /// What is written: `across / along`, and on which print.
    pub asks: String,
    /// What the field is called when a copy is read back.
    #[serde(rename = "box")]
    pub name: BoxName,
}

/// A box that takes a digital signature: an empty field of the file.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize, Deserialize)]
pub struct SignatureBox {
    /// Name of the field, lower case letters: `shop`.
    pub field: String,
    /// Who signs, and what for: `Shop: closed as this record says`.
    pub title: String,
    /// What readers aloud say of the empty box.
    pub spoken: String,
    /// What stands under the box, a line each.
    pub lines: Vec<String>,
}
