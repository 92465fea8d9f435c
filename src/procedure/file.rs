//! What a procedure file says.

use crate::file::{Id, Located, Text};
pub use crate::job::model::ReadingKind;
use crate::job::model::{Role, Station, Verb};
use crate::{choice, record};

choice! {
    /// ANSI Z535.6 signal words.
    pub enum Signal {
        /// Will kill or seriously injure.
        Danger = "danger",
        /// Could kill or seriously injure.
        Warning = "warning",
        /// Could injure lightly.
        Caution = "caution",
        /// Not about injury.
        Notice = "notice",
    }
}

choice! {
    /// Kind of a point in the work where somebody looks.
    pub enum PointKind {
        /// Work stops until the role signs.
        Hold = "hold",
        /// The role is called; work may go on if nobody comes.
        Witness = "witness",
        /// A document is looked at and signed.
        Review = "review",
    }
}

choice! {
    /// Whether a point stands before or after its operation.
    pub enum Moment {
        /// Before the first step.
        Before = "before",
        /// After the last step.
        After = "after",
    }
}

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
        /// Tools and instruments.
        many tools: Located<Text> => "[\"angle finder\"]";
        /// Material and consumables.
        many materials: Located<Text> => "[\"dye penetrant\"]";
        /// Use of the weld joints it works on.
        optional joints: Located<Id> => "\"pad\"";
        /// Use of the fasteners it works on.
        optional fasteners: Located<Id> => "\"u-bolt\"";
        /// Done after hand-over.
        default deferred: bool = false => "true";
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
        /// Cautions that stand before this step.
        many caution: CautionRow => "";
        /// What is written down.
        optional reading: ReadingRow => "";
        /// What is written down, where one action gives several values.
        many readings: ReadingRow => "";
    }
}

impl StepRow {
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
