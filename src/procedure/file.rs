//! What a procedure file says.

use crate::file::{Id, Located, Text};
pub use crate::job::model::ReadingKind;
use crate::job::model::{Role, Station, Verb};
pub use crate::term::customer::{Height, Section};
pub use crate::term::{Does, FullSize, Level, Moment, PointKind, Side, Signal, Sketch, Take};
use crate::{choice, record};

choice! {
    /// What a step is repeated for.
    pub enum Each {
        /// Left and right.
        Side = "side",
        /// Every joint of the operation.
        Joint = "joint",
        /// Every fastener group of the operation.
        Fastener = "fastener",
    }
}

record! {
    /// The vocabulary of states.
    pub struct StatesFile {
        /// States operations may require, provide, clear and forbid.
        many state: StateRow => "";
    }
}

record! {
    /// One state.
    pub struct StateRow {
        /// Name; one that starts with `unit.` belongs to the whole unit.
        required name: Located<Id> => "\"housing.bare\"";
        /// What it means.
        required means: Text => "\"housing stripped to bare metal\"";
        /// Whether it holds before the first operation.
        default initial: bool = false => "true";
    }
}

record! {
    /// A procedure, or the shared operations if it has no id.
    pub struct ProcedureFile {
        /// Id named by jobs.
        optional id: Located<Id> => "\"spring-over\"";
        /// Title.
        optional title: Text => "\"Springs moved over the axle\"";
        /// Kinds of component it applies to.
        many applies_to: Located<Id> => "[\"axle\"]";
        /// One sentence for the head page.
        optional scope: Located<Text> => "\"…\"";
        /// What it leaves done, for the customer's first page: in words a customer knows,
        /// without planned figures.
        optional done: Located<Text> => "\"the springs stand over the axle\"";
        /// Shared operations it uses.
        many uses: Located<Id> => "[\"receive\"]";
        /// Procedures whose operations are part of it.
        many includes: Located<Id> => "[\"knuckle-reindex\"]";
        /// Job figures it needs.
        many figures: Located<Text> => "[\"lift\"]";
        /// States it adds to the vocabulary.
        many state: StateRow => "";
        /// Operations.
        many operation: OperationRow => "";
    }
}

record! {
    /// One operation.
    pub struct OperationRow {
        /// Id, unique in the library.
        required id: Located<Id> => "\"set-pinion\"";
        /// What it does first of all.
        required verb: Verb => "\"rotate\"";
        /// Title.
        required title: Located<Text> => "\"Set the pinion with the springs loaded\"";
        /// Where it is done.
        required station: Station => "\"weld bay\"";
        /// Minutes it takes.
        default minutes: u32 = 0 => "60";
        /// Condition under which it is done.
        optional when: Located<Text> => "\"c.driven\"";
        /// States it needs.
        many requires: Located<Id> => "[\"housing.centred\"]";
        /// States it makes true.
        many provides: Located<Id> => "[\"pinion.set\"]";
        /// States it makes false.
        many clears: Located<Id> => "[\"wheels.on\"]";
        /// States that must not hold at its turn.
        many forbids: Located<Id> => "[\"bearings.in\"]";
        /// What it does, for the safety rules.
        many acts: Located<Id> => "[\"arc\"]";
        /// Parts it does it at.
        many at: Located<Id> => "[\"housing\"]";
        /// Safety parts taken off.
        many removes: Located<Id> => "[\"brake-line\"]";
        /// Safety parts put back or replaced.
        many refits: Located<Id> => "[\"brake-line\"]";
        /// Who does it.
        default role: Role = Role::Fitter => "\"welder\"";
        /// Qualification needed.
        optional qualification: Located<Text> => "\"as the WPS of each joint\"";
        /// Drawings beside its boxes, by name.
        many drawings: Sketch => "[\"caster\"]";
        /// Kinds of sheets at full size it marks or cuts by.
        many sheets: FullSize => "[\"wrap-strip\"]";
        /// Tools and instruments.
        many tools: Located<Text> => "[\"angle finder\"]";
        /// Material and consumables.
        many materials: Located<Text> => "[\"dye penetrant\"]";
        /// Use of the weld joints it works on.
        optional joints: Located<Id> => "\"pad\"";
        /// Use of the fasteners it works on.
        optional fasteners: Located<Id> => "\"u-bolt\"";
        /// Without such a group in the job the maker's figure is looked up and written
        /// at the bench.
        default or_maker: bool = false => "true";
        /// Of a shared operation: the unit has its fasteners once, and one group, on whichever
        /// of its components, is all of them.
        default one_group: bool = false => "true";
        /// Done after hand-over.
        default deferred: bool = false => "true";
        /// Of a shared operation: done for each component by itself, because what it
        /// reads is of one part.
        default each_component: bool = false => "true";
        /// What begins with it begins a page, where it is the first of its station: so the
        /// pages of a job are laid out on several cores.
        default fresh_page: bool = false => "true";
        /// A card that is filled and signed anew each shift of the work it covers.
        default each_shift: bool = false => "true";
        /// The card of each shift its boxes stand on: what is closed is closed where it
        /// was opened.
        optional card: Located<Id> => "\"hot-work\"";
        /// Cautions before the steps.
        many caution: CautionRow => "";
        /// Steps.
        many step: StepRow => "";
        /// Hold, witness and review points.
        many point: PointRow => "";
    }
}

record! {
    /// A caution.
    pub struct CautionRow {
        /// Signal word.
        required signal: Signal => "\"warning\"";
        /// The hazard.
        required hazard: Located<Text> => "\"Spring pack stores energy.\"";
        /// What it can do.
        required consequence: Located<Text> => "\"A leaf can break a hand.\"";
        /// How to avoid it.
        required avoid: Located<Text> => "\"Clamp the pack first.\"";
    }
}

record! {
    /// A step.
    pub struct StepRow {
        /// What is done, one action.
        required text: Located<Text> => "\"Turn the housing until the pinion reads {{ f.pinion_target }}.\"";
        /// What it is repeated for.
        optional each: Each => "\"side\"";
        /// Condition under which it is done.
        optional when: Located<Text> => "\"f.pinion_target.known\"";
        /// How much hangs on it; without one, control if something is written
        /// down and practice if nothing is.
        optional level: Located<Level> => "\"safety\"";
        /// Another person who does it, with a set-up of his own.
        optional by: Role => "\"inspector\"";
        /// Cautions that stand before this step.
        many caution: CautionRow => "";
        /// What is written down.
        optional reading: ReadingRow => "";
        /// What is written down, where one action gives several values.
        many readings: ReadingRow => "";
        /// Values that follow from what is written down; computed, never typed.
        many derived: DerivedRow => "";
    }
}

impl StepRow {
    /// How much hangs on this step.
    #[must_use]
    pub fn level(&self) -> Level {
        match &self.level {
            Some(level) => level.value,
            None if self.written().next().is_some() => Level::Control,
            None => Level::Practice,
        }
    }

    /// Whether the step itself is ticked: it is a safety step, and no reading
    /// of its own proves that it was done.
    #[must_use]
    pub fn ticked(&self) -> bool {
        self.level() == Level::Safety && self.written().next().is_none()
    }

    /// Every value this step asks for.
    pub fn written(&self) -> impl Iterator<Item = &ReadingRow> {
        self.reading.iter().chain(&self.readings)
    }
}

record! {
    /// A reading: a value that is written down.
    pub struct ReadingRow {
        /// Id, unique in the operation.
        required id: Located<Id> => "\"pinion\"";
        /// What it is.
        required label: Located<Text> => "\"pinion angle\"";
        /// What it holds.
        required kind: ReadingKind => "\"angle\"";
        /// What it is repeated for within its step.
        optional each: Each => "\"side\"";
        /// Job figure it is compared with.
        optional target: Located<Text> => "\"pinion_target\"";
        /// Tolerance above the target, a quantity or a job figure.
        optional plus: Located<Text> => "\"0.5 deg\"";
        /// Tolerance below the target.
        optional minus: Located<Text> => "\"0.5 deg\"";
        /// Lower limit, a quantity or a job figure.
        optional least: Located<Text> => "\"0.28 in\"";
        /// Upper limit.
        optional most: Located<Text> => "\"0.1 in\"";
        /// Instrument.
        optional instrument: Located<Text> => "\"angle finder\"";
        /// Value of the job it takes the place of, once it is read.
        optional replaces: Located<Text> => "\"pinion.angle\"";
        /// Pencil look-up table printed under the step.
        optional table: Located<Id> => "\"knuckle-rotation\"";
        /// How much hangs on it, if not what hangs on its step.
        optional level: Located<Level> => "\"safety\"";
        /// Law or standard that wants it kept, where nothing limits it.
        optional kept: Located<Text> => "\"49 CFR 396.3(b): record of repair\"";
        /// Words to choose from, and what each does.
        many choices: ChoiceRow => "";
        /// How far left and right may be apart, a quantity or a job figure;
        /// further shuts the next hold.
        optional apart: Located<Text> => "\"0.5 deg\"";
        /// What it has to agree with; if it does not, the next hold is shut.
        optional near: NearRow => "";
        /// Readings of the same thing it can't be below: the hottest is not below the
        /// coldest. If it is, the next hold is shut.
        many not_below: Located<Text> => "[\"preheat\"]";
        /// How long after the last arc at its joint it is read at the earliest: an
        /// answer that conforms is refused before.
        optional after_arc: Located<Text> => "\"24 h\"";
        /// Whether it says how many hours ago the last arc at its joint was: what the log
        /// says otherwise is asked back.
        optional since_arc: bool => "true";
        /// Whether its text begins with a day, when something is due: what is promised at the
        /// close is that day.
        optional dated: bool => "true";
        /// What is usual of it where nothing limits it: what is outside is asked back.
        optional usual: UsualRow => "";
        /// Whether it may be below nothing. Without it an angle may, and a length, a
        /// torque, a time or a count may not.
        optional signed: bool => "true";
        /// Where a customer reads it, and under which name.
        optional shows: ShowsRow => "";
    }
}

impl ReadingRow {
    /// Whether a value may be below nothing, as it stands here.
    #[must_use]
    pub fn signed(&self) -> bool {
        self.signed.unwrap_or(matches!(self.kind, ReadingKind::Angle | ReadingKind::Temperature))
    }

    /// Whether something says when the value is wrong.
    #[must_use]
    pub fn limited(&self) -> bool {
        let tolerance = self.target.is_some() && (self.plus.is_some() || self.minus.is_some());
        let judged = self.choices.iter().any(|c| c.does != Does::Conforms);
        tolerance || self.least.is_some() || self.most.is_some() || self.near.is_some() || judged
    }
}

record! {
    /// What a customer reads of a value. Readings of one row are one line of the record:
    /// those of an operation that says how the unit came as found, the last other one as left.
    pub struct ShowsRow {
        /// What it is, in a customer's words.
        required row: Located<Text> => "\"pinion angle\"";
        /// Part of the customer's pages it stands in.
        default section: Section = Section::Values => "\"parts\"";
        /// Side, where its step is not repeated for both.
        optional side: Side => "\"left\"";
        /// Whether it says how the part came, in an operation that does not have the act
        /// as-found: a tube is bare only in the work.
        default came: bool = false => "true";
        /// Whether it is read in the work, no wheel on the ground.
        default on_stands: bool = false => "true";
        /// Job figure computed for it as found, shown where nothing was read.
        optional before: Located<Text> => "\"joint_case_before\"";
        /// Job figure it was planned to be, where its limits do not name it.
        optional planned: Located<Text> => "\"caster_target\"";
        /// End of the unit whose height it is: the first page says by it what came up.
        optional height: Height => "\"front\"";
    }
}

record! {
    /// What is usual of a value that has no limit.
    pub struct UsualRow {
        /// At least.
        required least: Located<Text> => "\"3 in\"";
        /// At most.
        required most: Located<Text> => "\"60 in\"";
    }
}

/// A tolerance written as a share of its target: `10 %` is 0.1.
#[must_use]
pub fn share(text: &str) -> Option<f64> {
    let number = text.trim().strip_suffix('%')?.trim();
    number.parse::<f64>().ok().filter(|p| p.is_finite() && *p > 0.0).map(|p| p / 100.0)
}

record! {
    /// A word a reading is answered with.
    pub struct ChoiceRow {
        /// The word.
        required word: Located<Text> => "\"sound\"";
        /// What it does.
        default does: Does = Does::Conforms => "\"found\"";
        /// Where it does not hold the word is not offered: it would say of the job what the
        /// job does not say.
        optional when: Located<Text> => "\"c.shaft_in_work\"";
        /// Methods of testing that whoever writes the word is certified for: it says that the
        /// weld was tested by them, here.
        optional test: Located<Text> => "\"{{ j.test }}\"";
        /// Whether it rests on a paper from elsewhere: its number or date is written behind
        /// the word.
        optional paper: bool => "true";
        /// Where it holds, the word says that the unit is another than the plan was made for:
        /// it is at least found, and left as it is by no decision, only by a revision. Where it
        /// does not, what is `found` otherwise is as planned.
        optional unlike: Located<Text> => "\"c.construction != 'cast in one'\"";
    }
}

record! {
    /// What a reading has to agree with: a figure or another reading.
    pub struct NearRow {
        /// Job figure.
        optional figure: Located<Text> => "\"caster_after_turn\"";
        /// Reading of the same operation, or of another as `operation.reading`.
        optional reading: Located<Text> => "\"first\"";
        /// How far off it may be, a quantity or a job figure.
        required within: Located<Text> => "\"0.3 deg\"";
    }
}

record! {
    /// A value that follows from readings.
    pub struct DerivedRow {
        /// Id, unique in the operation.
        required id: Located<Id> => "\"difference\"";
        /// What it is.
        required label: Located<Text> => "\"caster, left minus right\"";
        /// Readings it follows from, of the same operation or `operation.reading`.
        many of: Located<Text> => "[\"caster\"]";
        /// How it follows.
        required take: Take => "\"left minus right\"";
        /// Lower limit, a quantity or a job figure; below it the next hold is shut.
        optional least: Located<Text> => "\"-0.5 deg\"";
        /// Upper limit.
        optional most: Located<Text> => "\"0.5 deg\"";
        /// Where a customer reads it, and under which name.
        optional shows: ShowsRow => "";
        /// Whether its limits are what the plan counts on of these very readings.
        default as_planned: bool = false => "true";
    }
}

record! {
    /// A hold, witness or review point.
    pub struct PointRow {
        /// Kind.
        required kind: PointKind => "\"hold\"";
        /// Before or after the operation.
        default moment: Moment = Moment::After => "\"before\"";
        /// Who signs.
        required role: Role => "\"inspector\"";
        /// Role of a second person who signs too, where two must have looked.
        optional second: Role => "\"welder\"";
        /// What must be true.
        required what: Located<Text> => "\"Both readings taken twice.\"";
        /// Meaning of the signature.
        required meaning: Located<Text> => "\"checked and released\"";
        /// Safety rule it satisfies.
        optional rule: Located<Id> => "\"fit-up\"";
        /// Use of the joints it concerns.
        optional joints: Located<Id> => "\"pad\"";
    }
}
