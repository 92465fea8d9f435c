//! The frozen plan of one revision: what the log's entries refer to.

use std::collections::BTreeMap;

use serde::{Deserialize, Serialize};

pub use super::edition::RULES;
pub(super) use super::edition::{DROPPED_SINCE, GATED_SINCE, HONEST_SINCE};
use super::entry::{At, Issue};
use super::order::Order;
pub use super::unread::Unread;
use crate::quantity::{Kind, Quantity, Style, paired};
pub use crate::term::PointKind;
use crate::term::customer::Row;
use crate::term::{Does, Level, Method, Take, Units};

/// The plan of a revision.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
pub struct Frozen {
    /// Traveler number.
    pub number: String,
    /// Revision letter.
    pub revision: String,
    /// Title of the work.
    pub title: String,
    /// The unit worked on.
    pub unit: String,
    /// Its serial, frame or asset number as the job has it; none in records from before it was
    /// frozen.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub identification: Option<String>,
    /// Its odometer or hour meter as the job has it; none in records from before it was frozen.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub meter: Option<String>,
    /// Which units stand first where a value is said in two; inches in records from before it
    /// was frozen.
    #[serde(default, skip_serializing_if = "inch_first")]
    pub units: Units,
    /// Date promised, ISO 8601.
    pub due: Option<String>,
    /// Digest printed on the paper.
    pub digest: String,
    /// Operations in order, those after hand-over last.
    pub operations: Vec<Operation>,
    /// Sheets at full size; none in records from before they were frozen.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub sheets: Vec<Sheet>,
    /// Edition of the rules it is kept by, [`RULES`] when it was frozen; 0 before
    /// editions were counted. A log is gone through again by the rules of its day.
    #[serde(default, skip_serializing_if = "is_zero")]
    pub rules: u32,
    /// Which operation comes before which, once it was asked for.
    #[serde(skip)]
    pub order: Order,
}

impl Frozen {
    /// The plan in these bytes.
    ///
    /// # Errors
    /// If it is none, or one of a later version.
    pub fn read(bytes: &[u8]) -> Result<Self, Unread> {
        /// What tells a later version's plan, whatever else it says.
        #[derive(Deserialize)]
        struct Edition {
            rules: u32,
        }
        let plan = serde_json::from_slice::<Self>(bytes);
        let rules = match &plan {
            Ok(plan) => Some(plan.rules),
            Err(_) => serde_json::from_slice::<Edition>(bytes).ok().map(|e| e.rules),
        };
        match rules {
            Some(rules) if rules > RULES => Err(Unread::Later(rules)),
            _ => plan.map_err(Unread::NoPlan),
        }
    }
}

/// Longest list of words, in characters, that a command names in the place of a value.
const SHORT: usize = 70;

#[expect(clippy::trivially_copy_pass_by_ref, reason = "as serde asks it")]
fn is_zero(edition: &u32) -> bool {
    *edition == 0
}

#[expect(clippy::trivially_copy_pass_by_ref, reason = "as serde asks it")]
fn inch_first(units: &Units) -> bool {
    *units == Units::Inch
}

#[expect(clippy::trivially_copy_pass_by_ref, reason = "as serde asks it")]
fn is_false(flag: &bool) -> bool {
    !*flag
}

/// A sheet at full size.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct Sheet {
    /// Name in the traveler.
    pub name: String,
    /// For people, as it is printed on the sheet.
    pub title: String,
    /// SHA-256 of its shapes; its first nine digits are printed on it.
    pub digest: String,
    /// Keys of the operations that mark or cut by it.
    pub operations: Vec<String>,
}

impl Sheet {
    /// The part of the digest that is printed.
    #[must_use]
    pub fn mark(&self) -> &str {
        self.digest.get(..9).unwrap_or(&self.digest)
    }

    /// Name, and the part of the digest that is printed.
    #[must_use]
    pub fn called(&self) -> String {
        format!("{} {}", self.name, self.mark())
    }
}

/// What the record keeps of an operation: all its rules look at.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
pub struct Operation {
    /// Stable key.
    pub key: String,
    /// Id in the library.
    pub id: String,
    /// Number on paper.
    pub number: u32,
    /// Lower case, as a job writes it; upper case where it is printed.
    pub verb: String,
    /// What the verb is done to.
    pub title: String,
    /// Where it is done: `weld bay`.
    pub station: String,
    /// Role that does it; empty for any.
    pub role: String,
    /// Estimated labour in minutes; none in records from before it was frozen.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub minutes: Option<u32>,
    /// Done after hand-over.
    pub deferred: bool,
    /// What it does, for the rules.
    pub acts: Vec<String>,
    /// Joints worked on.
    pub joints: Vec<String>,
    /// Welding procedures needed.
    pub wps: Vec<String>,
    /// All that is asked of the weld at each of its joints, in words; none in records
    /// from before it was frozen.
    #[serde(default, skip_serializing_if = "BTreeMap::is_empty")]
    pub welds: BTreeMap<String, String>,
    /// Fasteners worked on.
    pub fasteners: Vec<String>,
    /// Keys of the operations it builds on.
    pub builds_on: Vec<String>,
    /// Keys of the operations that come right before it in every order the states
    /// allow; with theirs, all that certainly come before it.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub follows: Vec<String>,
    /// Whether it lets the unit go: nothing before it may be open.
    #[serde(default, skip_serializing_if = "is_false")]
    pub lets_go: bool,
    /// Whether a signature stands for its initials: its own role signs the point that
    /// ends it at the same place. Operations frozen before have initials of their own.
    #[serde(default, skip_serializing_if = "is_false")]
    pub by_signature: bool,
    /// Signed before its first step.
    pub before: Vec<Point>,
    /// In the order they are worked.
    pub steps: Vec<Step>,
    /// Signed after its last step.
    pub after: Vec<Point>,
}

/// One instruction, and what is read while it is followed.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
pub struct Step {
    /// Number, from 1.
    pub number: u32,
    /// As printed, without what is strong.
    pub text: String,
    /// How much hangs on it; none in records from before there were levels.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub level: Option<Level>,
    /// Role of another person who does it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub by: Option<String>,
    /// Values to write down, one for each repetition.
    pub readings: Vec<Reading>,
    /// Values that follow from readings.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub derived: Vec<Derived>,
}

/// A value or words to write down, and what they are held against.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
pub struct Reading {
    /// Id in its operation.
    pub id: String,
    /// What is read, as printed beside the box.
    pub label: String,
    /// Target and tolerance as printed.
    pub target: Option<String>,
    /// Instrument as printed.
    pub instrument: Option<String>,
    /// Unit it is written in.
    pub unit: Option<String>,
    /// Kind and limits; none for words.
    pub limits: Option<Limits>,
    /// Value of the job it takes the place of.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub replaces: Option<String>,
    /// Lot numbers it must name; none for any other reading.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub lot: Option<LotAsk>,
    /// How much hangs on it; none in records from before there were levels.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub level: Option<Level>,
    /// Words it is answered with.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub choices: Vec<Choice>,
    /// How far left and right may be apart.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub apart: Option<Quantity>,
    /// Reading it has to agree with.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub near: Option<Near>,
    /// Readings of the same thing it can't be below: the hottest is not below the coldest.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub not_below: Vec<Name>,
    /// What the job states where it takes the place of a value.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub expected: Option<Quantity>,
    /// What is usual where nothing limits it; what is outside is asked back.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub usual: Option<Usual>,
    /// How long after the last arc at its joint it is read at the earliest.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub after_arc: Option<Quantity>,
    /// Whether it says how many hours ago the last arc at its joint was.
    #[serde(default, skip_serializing_if = "is_false")]
    pub since_arc: bool,
    /// Whether it says a day: when something is due.
    #[serde(default, skip_serializing_if = "is_false")]
    pub dated: bool,
    /// Whether it can't be below nothing: a gap, a thickness, a runout.
    #[serde(default, skip_serializing_if = "is_false")]
    pub never_negative: bool,
    /// Where a customer reads it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub shows: Option<Row>,
}

/// What is usual of a value.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Usual {
    /// At least.
    pub least: Quantity,
    /// At most.
    pub most: Quantity,
}

/// A word a reading is answered with.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct Choice {
    /// As printed; an answer may differ in upper and lower case.
    pub word: String,
    /// What it does.
    pub does: Does,
    /// Whether it says that the unit is another than the plan was made for.
    #[serde(default, skip_serializing_if = "is_false")]
    pub unlike: bool,
    /// Methods of testing that whoever writes it is certified for.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub tests: Vec<Method>,
    /// Whether it rests on a paper from elsewhere, whose number or date stands behind it.
    #[serde(default, skip_serializing_if = "is_false")]
    pub paper: bool,
}

/// Names a reading: operation key and id.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct Name {
    /// Key of the operation.
    pub operation: String,
    /// Id of the reading.
    pub reading: String,
}

/// A reading another one has to agree with. Agreement with a figure is among the
/// limits.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Near {
    /// The other reading.
    pub to: Name,
    /// How far off it may be.
    pub within: Quantity,
}

/// A value that follows from readings.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
pub struct Derived {
    /// Id in its operation.
    pub id: String,
    /// What it is, in the words of the paper.
    pub label: String,
    /// Readings it follows from.
    pub of: Vec<Name>,
    /// How it is computed from them.
    pub take: Take,
    /// What it is multiplied by; none for one.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub factor: Option<Quantity>,
    /// Lower limit.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub least: Option<Quantity>,
    /// Upper limit.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub most: Option<Quantity>,
    /// Where a customer reads it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub shows: Option<Row>,
    /// Whether its limits are what the plan counts on of these very readings.
    #[serde(default, skip_serializing_if = "is_false")]
    pub as_planned: bool,
}

/// Lots a reading of a traceable joint must name.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct LotAsk {
    /// What they are: `filler`, `metal`.
    pub kind: String,
    /// Classifications or grades the joint asks for; any if empty.
    pub designations: Vec<String>,
}

/// Limits of a reading.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Limits {
    /// Kind of quantity.
    pub kind: Kind,
    /// Target, if it has one.
    pub target: Option<Quantity>,
    /// Least value allowed; none if there is no least.
    pub lower: Option<Quantity>,
    /// Greatest value allowed; none if there is no greatest.
    pub upper: Option<Quantity>,
}

impl From<Kind> for Limits {
    /// Of a value of a kind that nothing limits.
    fn from(kind: Kind) -> Self {
        Self { kind, target: None, lower: None, upper: None }
    }
}

/// Where somebody signs before an operation or after it.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
pub struct Point {
    /// Place in its operation: `before.1`, `after.2`.
    pub slot: String,
    /// Number on paper.
    pub number: String,
    /// Whether work stops, somebody is called or a document is looked at.
    pub kind: PointKind,
    /// Roles that sign, each by another person.
    pub roles: Vec<String>,
    /// What must be true.
    pub what: String,
    /// What the signature means.
    pub meaning: String,
    /// Safety rule it satisfies.
    pub rule: Option<String>,
    /// Keys of the operations that must be done before it can be signed.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub rests_on: Vec<String>,
    /// Where it accepts joints: keys of the operations that weld, heat, grind or cut
    /// them. Work there after it was signed takes the acceptance away.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub worked_by: Vec<String>,
    /// Where it accepts joints: keys of all operations on them. What was found there and
    /// is reworked or repaired after it was signed takes the acceptance away.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub concerns: Vec<String>,
    /// Where the customer signs that the unit was received: keys of the operations safety
    /// hangs on. What is found there after it was signed has it received anew. None anywhere
    /// else, and in plans from before it was asked for.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub receives: Vec<String>,
}

impl Step {
    /// Whether it is ticked on its own: nothing that is written proves that a
    /// safety step was done.
    #[must_use]
    pub fn ticked(&self) -> bool {
        self.level.is_none() || self.level == Some(Level::Safety) && self.readings.is_empty()
    }
}

impl Reading {
    /// Whether the paper asks for it.
    #[must_use]
    pub fn asked(&self) -> bool {
        self.level != Some(Level::Practice)
    }

    /// Whether it can fail: it has words to choose from, or a limit.
    #[must_use]
    pub fn judged(&self) -> bool {
        !self.choices.is_empty() || self.limits.is_some_and(|l| l.lower.is_some() || l.upper.is_some())
    }

    /// What a command that writes it down has in the place of its value: the words it is
    /// answered with, or their numbers where those are many.
    #[must_use]
    pub fn to_write(&self) -> String {
        let paper = |c: &Choice| if c.paper { ": NUMBER" } else { "" };
        let words: Vec<String> = self.choices.iter().map(|c| format!("\"{}{}\"", c.word, paper(c))).collect();
        match words.join("|") {
            none if none.is_empty() => "VALUE".to_owned(),
            few if few.chars().count() <= SHORT => few,
            _ => (1..=words.len()).map(|n| n.to_string()).collect::<Vec<_>>().join("|"),
        }
    }

    /// Forgets what only says how its value may be typed, and where it is told: that is no
    /// part of what is asked.
    pub(super) fn typed_anyhow(&mut self) {
        (self.never_negative, self.since_arc, self.dated) = (false, false, false);
        self.shows = None;
        (self.expected, self.after_arc, self.usual) = (None, None, None);
        self.choices.iter_mut().for_each(|choice| choice.paper = false);
    }
}

impl Operation {
    /// Whether its steps have levels: then safety steps are ticked one by one and
    /// the operation is initialled.
    #[must_use]
    pub fn levelled(&self) -> bool {
        self.steps.iter().any(|s| s.level.is_some())
    }

    /// Whether there are rules between its readings, or between one of them and others.
    #[must_use]
    pub fn has_rules(&self) -> bool {
        let rules = |r: &Reading| r.apart.is_some() || r.near.is_some() || !r.not_below.is_empty();
        self.readings().any(rules) || self.steps.iter().any(|s| !s.derived.is_empty())
    }

    /// Whether it has initials of its own: its steps have levels, and no signature
    /// stands for them.
    #[must_use]
    pub fn initialled(&self) -> bool {
        self.levelled() && !self.by_signature
    }

    /// As it was frozen before there were levels, rules between readings and what
    /// a point rests on.
    #[must_use]
    pub fn without_levels(&self) -> Self {
        let mut plain = self.clone();
        for step in &mut plain.steps {
            (step.level, step.by) = (None, None);
            step.derived.clear();
            for reading in &mut step.readings {
                reading.level = None;
                reading.choices.clear();
                (reading.apart, reading.near) = (None, None);
                reading.not_below.clear();
                reading.typed_anyhow();
            }
        }
        plain
    }

    /// The step a reading stands in.
    #[must_use]
    pub fn step_of(&self, reading: &str) -> Option<&Step> {
        self.steps.iter().find(|s| s.readings.iter().any(|r| r.id == reading))
    }

    /// Key and number for an entry.
    #[must_use]
    pub fn at(&self) -> At {
        At { key: self.key.clone(), number: self.number }
    }

    /// Values to write down, step by step; without those that follow from them.
    pub fn readings(&self) -> impl Iterator<Item = &Reading> {
        self.steps.iter().flat_map(|s| &s.readings)
    }

    /// Its points, those before it first.
    pub fn points(&self) -> impl Iterator<Item = &Point> {
        self.before.iter().chain(&self.after)
    }

    /// Whether it asks for the same as another; numbers on paper do not count.
    #[must_use]
    pub fn asks_as(&self, other: &Self) -> bool {
        self.asked() == other.asked()
    }

    /// SHA-256 of what it asks for; the same where [`Self::asks_as`] holds.
    #[must_use]
    pub fn digest(&self) -> String {
        // Only maps with keys of text, and finite numbers: it is always written.
        let text = serde_json::to_value(self.asked()).map(|v| super::line::canonical(&v));
        super::sha256(text.unwrap_or_default().as_bytes())
    }

    fn asked(&self) -> Self {
        let mut plain = self.clone();
        plain.number = 0;
        plain.follows.clear();
        plain.lets_go = false;
        plain.by_signature = false;
        plain.welds.clear();
        for point in plain.before.iter_mut().chain(&mut plain.after) {
            point.number.clear();
            point.rests_on.clear();
            point.worked_by.clear();
            point.concerns.clear();
            point.receives.clear();
        }
        for step in &mut plain.steps {
            step.readings.iter_mut().for_each(Reading::typed_anyhow);
            step.derived.iter_mut().for_each(|derived| derived.shows = None);
        }
        plain
    }
}

impl Frozen {
    /// How values of a kind are shown, with the units of the job first.
    #[must_use]
    pub const fn style(&self, kind: Kind) -> Style {
        match self.units {
            Units::Inch => Style::of(kind),
            Units::Metric => Style::of(kind).metric_first(),
        }
    }

    /// A sentence with the units of the job first in every value it says in two.
    #[must_use]
    pub fn say(&self, text: &str) -> String {
        match self.units {
            Units::Inch => text.to_owned(),
            Units::Metric => paired::metric_first(text),
        }
    }

    /// Why it is not the plan an issue names, but that of another traveler or revision, or
    /// one with another digest on its paper. In words; none if it is the one.
    #[must_use]
    pub fn another_than(&self, issue: &Issue) -> Option<String> {
        let said = |number: &str, revision: &str, digest: &str| {
            format!("{number} rev {revision} ({})", digest.get(..12).unwrap_or(digest))
        };
        let same =
            (&issue.number, &issue.revision, &issue.plan) == (&self.number, &self.revision, &self.digest);
        (!same).then(|| {
            format!(
                "the log names {}, and the plan that was frozen is of {}",
                said(&issue.number, &issue.revision, &issue.plan),
                said(&self.number, &self.revision, &self.digest)
            )
        })
    }

    /// The operation of this number, key or id.
    #[must_use]
    pub fn operation(&self, name: &str) -> Option<&Operation> {
        self.operations.iter().find(|o| o.number.to_string() == name || o.key == name).or_else(|| {
            let mut same = self.operations.iter().filter(|o| o.id == name);
            same.next().filter(|_| same.next().is_none())
        })
    }
}
