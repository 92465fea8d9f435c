//! What a resolved plan holds.

use std::collections::BTreeMap;

use chrono::NaiveDate;

use super::{Aim, Words};
use crate::job::model::{Role, Station, Verb};
use crate::quantity::Quantity;
use crate::shop::Book;
use crate::shop::fit::Table;
use crate::shop::keep::Used;
use crate::term::customer::Row;
use crate::term::{Does, FullSize, Level, Method, Moment, PointKind, Side, Signal, Sketch, Take, Units};

/// The resolved plan of one job: everything that is done, read and signed, in
/// its order, with its numbers on paper.
#[derive(Debug, Clone, PartialEq)]
pub struct Plan {
    /// Number of the traveler.
    pub number: String,
    /// Revision letter.
    pub revision: String,
    /// Title of the work.
    pub title: String,
    /// The unit worked on.
    pub unit: String,
    /// Its serial, frame or asset number.
    pub identification: Option<String>,
    /// Its odometer or hour meter as the job has it.
    pub meter: Option<String>,
    /// Which units stand first where a value is said in two.
    pub units: Units,
    /// Day it is promised for.
    pub due: Option<NaiveDate>,
    /// What each procedure does and does not, a sentence each.
    pub scope: Vec<Words>,
    /// What each procedure leaves done, in a customer's words.
    pub done: Vec<String>,
    /// Operations in the order they are done; numbers rise.
    pub operations: Vec<Operation>,
    /// Files of procedures of the shop's own, with how many of the operations follow each.
    pub own_procedures: BTreeMap<String, usize>,
    /// Joints against people, procedures and machines; torques and readings
    /// against tools.
    pub table: Table,
    /// Ids of the rows of the shop book that were used.
    pub used: Used,
    /// The part of the shop book that was used: people with their tests and
    /// certificates, procedures, machines, instruments, tools and lots, and the
    /// settings of the shop. It never holds a PIN.
    pub shop: Book,
    /// Its sheets at full size; drawn from the figures, so they come last.
    pub sheets: Vec<Sheet>,
}

/// A sheet at full size that belongs to a traveler.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Sheet {
    /// Name in the traveler: `front-left-wrap-strip`.
    pub name: String,
    /// What it is, for people.
    pub title: String,
    /// What is printed: a wrap strip, a gauge, an outline.
    pub kind: FullSize,
    /// Id of the component it is for.
    pub on: String,
    /// SHA-256 of its shapes, hexadecimal.
    pub digest: String,
}

impl Sheet {
    /// The part of the digest that is printed on it.
    #[must_use]
    pub fn mark(&self) -> &str {
        mark(&self.digest)
    }
}

/// The part of a sheet's digest that is printed.
#[must_use]
pub fn mark(digest: &str) -> &str {
    digest.get(..9).unwrap_or(digest)
}

impl Plan {
    /// The sheets an operation marks or cuts by.
    pub fn sheets_of<'a>(&'a self, operation: &'a Operation) -> impl Iterator<Item = &'a Sheet> {
        self.sheets
            .iter()
            .filter(|s| operation.sheets.contains(&s.kind) && operation.on.iter().any(|c| c.id == s.on))
    }
}

/// Where an operation is done.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct On {
    /// Id of the component.
    pub id: String,
    /// What people call it.
    pub name: String,
    /// Whether it is the unit as a whole.
    pub unit: bool,
}

/// One numbered block of the traveler.
#[derive(Debug, Clone, PartialEq)]
pub struct Operation {
    /// Number on paper: 10, 20, 30 …
    pub number: u32,
    /// Stable key: `front/set-pinion`.
    pub key: String,
    /// Id in the library or the job.
    pub id: String,
    /// Components it is done on.
    pub on: Vec<On>,
    /// Leading verb.
    pub verb: Verb,
    /// What the verb is done to, with the names of the job filled in.
    pub title: String,
    /// Where it is done; the route counts the moves between these.
    pub station: Station,
    /// Labour, in minutes.
    pub minutes: u32,
    /// Who does it; none for anybody.
    pub role: Option<Role>,
    /// Qualification it takes, in words.
    pub qualification: Option<String>,
    /// How much hangs on it: the highest of its steps, and safety where work
    /// stops for a signature.
    pub level: Level,
    /// Done after hand-over.
    pub deferred: bool,
    /// Whether its station begins a page, where it is the first of it.
    pub fresh_page: bool,
    /// What it does, for the rules: `arc`.
    pub acts: Vec<String>,
    /// Joints it works on.
    pub joints: Vec<Joint>,
    /// Ids of the fastener groups it works on.
    pub fasteners: Vec<String>,
    /// Names of the drawings beside its boxes.
    pub drawings: Vec<Sketch>,
    /// Kinds of sheets at full size it marks or cuts by.
    pub sheets: Vec<FullSize>,
    /// Tools and gauges.
    pub tools: Vec<String>,
    /// Material and consumables.
    pub materials: Vec<String>,
    /// Keys of the operations that make true what it requires, sorted.
    pub builds_on: Vec<String>,
    /// Keys of the operations that come right before it in every order the states
    /// allow, in the order of the work.
    pub follows: Vec<String>,
    /// Id of the operation on whose card of each shift its boxes stand.
    pub card: Option<String>,
    /// Whether it lets the unit go.
    pub lets_go: bool,
    /// Whether a signature stands for its initials: its own role signs the point that
    /// ends it, at the same place.
    pub by_signature: bool,
    /// Points before its first step.
    pub before: Vec<Point>,
    /// Cautions for all of it, the worst first.
    pub cautions: Vec<Caution>,
    /// In the order they are worked.
    pub steps: Vec<Step>,
    /// Points after its last step.
    pub after: Vec<Point>,
}

/// A joint an operation works on.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Joint {
    /// As the job names it; it stands in the tail of the weld symbol.
    pub id: String,
    /// What is joined.
    pub title: String,
    /// Its weld symbol in words.
    pub symbol: String,
    /// The welding procedure the job names.
    pub wps: Option<String>,
    /// All that is asked of the weld, in words: what is welded otherwise is another weld.
    pub asked: String,
}

/// A caution: hazard, consequence, avoidance.
#[derive(Debug, Clone, PartialEq, Eq)]
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
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Step {
    /// Number within the operation, from 1.
    pub number: u32,
    /// How much hangs on it: what its procedure says, else the highest level of
    /// its readings.
    pub level: Level,
    /// Another person who does it, with a set-up of their own.
    pub by: Option<Role>,
    /// Whether that person's signature of the point that ends the work stands for
    /// their initials.
    pub by_signature: bool,
    /// Cautions that stand before it.
    pub cautions: Vec<Caution>,
    /// What is done.
    pub text: Words,
    /// Values to write down.
    pub readings: Vec<Reading>,
    /// Values that follow from readings; computed, never typed.
    pub derived: Vec<Derived>,
    /// The pencil look-up table it asks for.
    pub table: Option<LookUp>,
}

/// A look-up table a step asks for.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct LookUp {
    /// As the procedure writes it.
    pub name: String,
    /// Id of the component it is for.
    pub component: String,
}

/// One value to write down: each repetition of a row is one.
#[derive(Debug, Clone, PartialEq)]
pub struct Reading {
    /// Id within its operation: `wall.left`.
    pub id: String,
    /// What is read.
    pub label: String,
    /// Which of several like values of its step this is, the end of its label.
    pub mark: Option<String>,
    /// How much hangs on it: what its procedure says, else control for a value
    /// with a limit, one a figure needs, or a lot; practice otherwise.
    pub level: Level,
    /// What it is repeated for.
    pub of: Repeat,
    /// Kind of quantity with target and limits; none for words.
    pub aim: Option<Aim>,
    /// Instrument it is taken with.
    pub instrument: Option<String>,
    /// Name of the value of the job it takes the place of.
    pub replaces: Option<String>,
    /// Lots it must name.
    pub lot: Option<LotAsk>,
    /// Words to choose from, and what each does; empty where something is written.
    pub choices: Vec<Choice>,
    /// How far left and right may be apart.
    pub apart: Option<Quantity>,
    /// What it has to agree with.
    pub near: Option<Near>,
    /// Readings it can't be below, by operation key and id.
    pub not_below: Vec<(String, String)>,
    /// What the job states where it takes the place of a value; a reading far from it is
    /// asked back.
    pub expected: Option<Quantity>,
    /// The least and the most that is usual where nothing limits it.
    pub usual: Option<(Quantity, Quantity)>,
    /// How long after the last arc at its joint it is read at the earliest.
    pub after_arc: Option<Quantity>,
    /// Whether it says how many hours ago the last arc at its joint was.
    pub since_arc: bool,
    /// Whether it says a day: when something is due.
    pub dated: bool,
    /// Whether it can't be below nothing.
    pub never_negative: bool,
    /// Where a customer reads it.
    pub shows: Option<Row>,
}

impl Reading {
    /// A value with nothing asked of it yet.
    #[must_use]
    pub fn new(id: String, label: String, level: Level, of: Repeat) -> Self {
        Self {
            id,
            label,
            mark: None,
            level,
            of,
            aim: None,
            instrument: None,
            replaces: None,
            lot: None,
            choices: Vec::new(),
            apart: None,
            near: None,
            not_below: Vec::new(),
            expected: None,
            usual: None,
            after_arc: None,
            since_arc: false,
            dated: false,
            never_negative: false,
            shows: None,
        }
    }
}

/// What a reading has to agree with.
#[derive(Debug, Clone, PartialEq)]
pub struct Near {
    /// A figure; none for a reading, or one that is not known yet.
    pub value: Option<Quantity>,
    /// A reading, by operation key and id.
    pub reading: Option<(String, String)>,
    /// How far off it may be.
    pub within: Quantity,
}

/// A value that follows from readings.
#[derive(Debug, Clone, PartialEq)]
pub struct Derived {
    /// Id within its operation.
    pub id: String,
    /// As printed beside its value.
    pub label: String,
    /// Readings it follows from, by operation key and id.
    pub of: Vec<(String, String)>,
    /// How it follows.
    pub take: Take,
    /// What it is multiplied by; none for one.
    pub factor: Option<Quantity>,
    /// Lower limit.
    pub least: Option<Quantity>,
    /// Upper limit.
    pub most: Option<Quantity>,
    /// Where a customer reads it.
    pub shows: Option<Row>,
    /// Whether its limits are what the plan counts on of these very readings.
    pub as_planned: bool,
}

/// A word a reading is answered with.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Choice {
    /// As printed beside its box; an answer may differ in upper and lower case.
    pub word: String,
    /// What it does.
    pub does: Does,
    /// Whether it says that the unit is another than the plan was made for.
    pub unlike: bool,
    /// Methods of testing that whoever writes it is certified for.
    pub tests: Vec<Method>,
    /// Whether it rests on a paper from elsewhere, whose number or date stands behind it.
    pub paper: bool,
}

/// What a step or a reading is repeated for.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Repeat {
    /// It stands once, for this component.
    Once(String),
    /// A side of a component.
    Side(String, Side),
    /// A weld joint, by its id.
    Joint(String),
    /// A group of fasteners.
    Fastener(String),
    /// A shift, from 1.
    Shift(u32),
}

/// Lots a reading of a traceable joint must name.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct LotAsk {
    /// What they are: `filler`, `metal`.
    pub kind: &'static str,
    /// Classifications or grades the joint asks for; any if empty.
    pub designations: Vec<String>,
}

/// A hold, witness or review point.
#[derive(Debug, Clone, PartialEq)]
pub struct Point {
    /// Place in its operation: `before.1`, `after.2`.
    pub slot: String,
    /// Number on paper: `H4`.
    pub number: String,
    /// Hold, witness or review.
    pub kind: PointKind,
    /// Before or after its operation.
    pub moment: Moment,
    /// Roles that sign, each by another person.
    pub roles: Vec<Role>,
    /// What must be true.
    pub what: String,
    /// What the signature means.
    pub meaning: String,
    /// Tag of the safety rule it satisfies.
    pub rule: Option<String>,
    /// Ids of the joints it speaks of.
    pub joints: Vec<String>,
    /// What must be entered before it can be signed.
    pub rests_on: RestsOn,
}

/// The work a signature rests on.
///
/// A hold rests on all the work before it on its component and on the unit as a
/// whole, a release on all of it; a witness or review point on the operations that
/// make true what its own requires. A point after an operation rests on that
/// operation too.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct RestsOn {
    /// Keys of the operations whose steps are done, in the order of the work.
    pub operations: Vec<String>,
    /// Operation key and id of every reading of theirs that is more than
    /// practice.
    pub readings: Vec<(String, String)>,
}

impl Operation {
    /// Values to write down, step by step; without those that follow from them.
    pub fn readings(&self) -> impl Iterator<Item = &Reading> {
        self.steps.iter().flat_map(|s| &s.readings)
    }

    /// Its points, those before it first.
    pub fn points(&self) -> impl Iterator<Item = &Point> {
        self.before.iter().chain(&self.after)
    }

    /// The component it is kept together with; the word of the whole unit for
    /// several.
    #[must_use]
    pub fn component(&self) -> &str {
        match self.on.as_slice() {
            [only] => &only.id,
            _ => crate::routing::problem::WHOLE_UNIT,
        }
    }

    /// Whether it works on the joint.
    #[must_use]
    pub fn works_on(&self, joint: &str) -> bool {
        self.joints.iter().any(|j| j.id == joint)
    }
}
