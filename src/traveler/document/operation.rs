//! Operations as they are printed: head, cautions, steps, readings, points.

use serde::{Deserialize, Serialize};

use super::{Captioned, Filled, LookUp};
use crate::form::BoxName;
use crate::plan::Words;
pub use crate::term::{Level, PointKind, Signal};

/// One numbered block of the traveler.
///
/// Printed in this order: head, points that come before, cautions, what is
/// welded and tightened here, steps, points that come after, sign-off line.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
pub struct Operation {
    /// Number: 10, 20, 30 …
    pub number: u32,
    /// Stable name in the procedure.
    pub id: String,
    /// Stable key: its boxes are named by it. Empty in documents from before
    /// boxes had names.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub key: String,
    /// Verb, upper case where it is printed: `CUT`.
    pub verb: String,
    /// What the verb is done to.
    pub title: String,
    /// Where it is done: `weld bay`.
    pub station: String,
    /// Estimated labour: `90 min`.
    pub time: String,
    /// The same as a number.
    #[serde(default)]
    pub minutes: u32,
    /// Component worked on, if the job has several.
    pub component: Option<String>,
    /// Who does it: role, and qualification if one is needed.
    pub role: Option<String>,
    /// Who does it, where only one person has the role: `Welder One · WO`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub person: Option<String>,
    /// Tools that must be at hand.
    pub tools: Vec<String>,
    /// A line under the head, such as `reopened by revision B: the old weld must be cut out`.
    pub notice: Option<Words>,
    /// Points signed before it starts.
    pub before: Vec<Point>,
    /// Cautions for the whole operation, before its first step.
    pub cautions: Vec<Caution>,
    /// Joints welded here: `J1 pad to tube, left · 1/4 in (6.4 mm) fillet · WPS-3`.
    pub joints: Vec<Words>,
    /// Joints whose cards stand where this operation is done.
    #[serde(default)]
    pub welds: Vec<String>,
    /// Fasteners tightened here: `B1 U-bolts · 5/8-18 · 105 ft-lb (142 N·m)`.
    pub fasteners: Vec<Words>,
    /// Steps in order.
    pub steps: Vec<Step>,
    /// Points signed after it is done.
    pub after: Vec<Point>,
    /// Whether a signature stands for its initials: no box is printed for them.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub by_signature: bool,
    /// Whether its station begins a page, where it is the first of it.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub fresh_page: bool,
    /// Initials at the end; `None` prints the box.
    pub initials: Option<Filled>,
    /// Date and time at the end; `None` prints the box.
    pub done_at: Option<Filled>,
    /// Id of the operation on whose card of each shift its boxes stand.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub card: Option<String>,
    /// Drawings that stand beside its boxes.
    #[serde(default)]
    pub drawings: Vec<Captioned>,
    /// True if the operation was left out or voided: its steps print struck
    /// through in the margin word `void`, and `notice` says why.
    pub void: bool,
}

/// A caution: hazard, consequence, avoidance, each a short sentence.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
pub struct Caution {
    /// Signal word.
    pub signal: Signal,
    /// What can hurt.
    pub hazard: String,
    /// What it does.
    pub consequence: String,
    /// How to avoid it.
    pub avoid: String,
}

/// One check-box line.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
pub struct Step {
    /// Number within the operation, from 1.
    pub number: u32,
    /// Number of the last, where like steps are printed as one.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub last: Option<u32>,
    /// How much it matters.
    #[serde(default)]
    pub level: Level,
    /// Who does it, if it is another person than the operation's.
    #[serde(default)]
    pub who: Option<String>,
    /// Whether a signature stands for that person's initials: no box is printed.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub by_signature: bool,
    /// Cautions for this step, printed before it.
    pub cautions: Vec<Caution>,
    /// What to do.
    pub text: Words,
    /// Values to write down.
    pub readings: Vec<Reading>,
    /// Look-up table printed under the step.
    pub table: Option<LookUp>,
    /// The tick: initials; `None` prints an empty box.
    pub done: Option<Filled>,
}

/// A value to write down.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
pub struct Reading {
    /// Name in the record: `wall.left`.
    pub id: String,
    /// Name of its box, on every way back.
    #[serde(rename = "box", default, skip_serializing_if = "Option::is_none")]
    pub name: Option<BoxName>,
    /// What is read, short: `wall, least of 4`.
    pub label: String,
    /// Which of several like values of its step this is, the end of its label:
    /// `left`. They share what their labels have in common.
    #[serde(default)]
    pub mark: Option<String>,
    /// Joint it is read at; where the joint is welded it stands on its card.
    #[serde(default)]
    pub joint: Option<String>,
    /// Words to choose from; empty where something is written.
    #[serde(default)]
    pub choices: Vec<String>,
    /// Those of them that rest on a paper from elsewhere, whose number and date are
    /// written on a line behind the last of them.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub papers: Vec<String>,
    /// Whether every word the work goes on with rests on one: then its number and date are
    /// one more thing to write, not what stands for a tick.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub rests: bool,
    /// Target as it is read at the bench: `6.0°`, `≥ 0.28 in (7.1 mm)`, `80 to 100 A`, `record`.
    pub target: Option<String>,
    /// Tolerance: `± 0.5°`.
    pub tolerance: Option<String>,
    /// Instrument: `angle finder AF-2`.
    pub instrument: Option<String>,
    /// Unit to write in, printed faint at the right end of the box: `°`, `in`.
    pub unit: Option<String>,
    /// The value; `None` prints an empty box.
    pub filled: Option<Filled>,
}

/// A hold, witness or review point.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
pub struct Point {
    /// Whether work stops, somebody is called or a document is looked at.
    pub kind: PointKind,
    /// Number: `H4`.
    pub number: String,
    /// Where it stands: `before operation 120 starts`, `after operation 140`.
    pub place: String,
    /// What must be true, strong first: `No cut before this signature.`
    pub what: Words,
    /// Role that signs: `shop lead`.
    pub who: String,
    /// Who signs, where only one person has the role: `Lead One · LO`.
    #[serde(default)]
    pub name: Option<String>,
    /// The same of the second person.
    #[serde(default)]
    pub second_name: Option<String>,
    /// What the signature means: `checked and released`.
    pub meaning: String,
    /// Values that are written beside the signatures, if any.
    pub readings: Vec<Reading>,
    /// Signatures; `None` prints the empty boxes.
    pub signed: Option<Signature>,
    /// Role of a second person who signs too, where two must have looked.
    #[serde(default)]
    pub second: Option<String>,
    /// Signature of the second person.
    #[serde(default)]
    pub second_signed: Option<Signature>,
    /// Names of its boxes, one set for each person who signs.
    #[serde(rename = "box", default, skip_serializing_if = "Vec::is_empty")]
    pub names: Vec<SignerBoxes>,
}

/// Names of the boxes of one signer.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct SignerBoxes {
    /// Printed name and identification, where nobody is printed.
    pub name: BoxName,
    /// The signature.
    pub mark: BoxName,
    /// Date and time.
    pub when: BoxName,
}

/// A signature from the record.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
pub struct Signature {
    /// Printed name.
    pub name: String,
    /// Identification.
    pub id: String,
    /// The mark itself: `signed in the record, entry 41`, or why nobody came to a witness point.
    pub mark: String,
    /// Date and time.
    pub at: String,
}
