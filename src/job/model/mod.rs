//! What a job file says: one record per section.

mod axle;
mod fastener;
mod frame;
mod head;
mod joint;
mod operation;
mod parts;

pub use axle::*;
pub use fastener::*;
pub use frame::*;
pub use head::*;
pub use joint::*;
pub use operation::*;
pub use parts::*;

use crate::record;

record! {
    /// A job: what is to be done, to which unit, with which parts, and what was found.
    pub struct JobFile {
        /// Number, title, dates and settings of the job.
        required job: Head => "";
        /// The shop that does the work.
        optional shop: Shop => "";
        /// Who the work is for.
        optional customer: Customer => "";
        /// The vehicle, trailer or assembly worked on.
        required unit: UnitFacts => "";
        /// People who work on the job and may sign.
        many person: Person => "";
        /// Which procedures are wanted, on which components.
        many work: Work => "";
        /// Axles: tube, springs, pinion, knuckles, targets.
        many axle: Axle => "";
        /// Driveshafts.
        many driveshaft: Driveshaft => "";
        /// Brackets, frames and other weldments.
        many weldment: Weldment => "";
        /// Frame: points that decide clearance angles, rails.
        optional frame: Frame => "";
        /// Weld joints.
        many joint: Joint => "";
        /// Threaded fasteners to tighten.
        many fastener: Fastener => "";
        /// Operations of the job's own, beside those of the procedures.
        many operation: OwnOperation => "";
        /// Sheets at full size the job orders, beside those its figures carry.
        many sheet: OwnSheet => "";
        /// Safety rules waived, with name, reason and date.
        many waiver: Waiver => "";
        /// Conditions found that the first plan did not foresee.
        many found: FoundCondition => "";
        /// Changes from one revision to the next.
        many change: Change => "";
    }
}

/// A component a procedure can work on.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Component<'a> {
    /// An axle.
    Axle(&'a Axle),
    /// A driveshaft.
    Driveshaft(&'a Driveshaft),
    /// A weldment.
    Weldment(&'a Weldment),
    /// The whole unit.
    Unit(&'a UnitFacts),
}

impl<'a> Component<'a> {
    /// Its id; the whole unit is called `unit`.
    #[must_use]
    pub fn id(self) -> &'a str {
        match self {
            Component::Axle(axle) => &axle.id,
            Component::Driveshaft(shaft) => &shaft.id,
            Component::Weldment(weldment) => &weldment.id,
            Component::Unit(_) => "unit",
        }
    }

    /// What it is called on paper.
    #[must_use]
    pub fn name(self) -> &'a str {
        match self {
            Component::Axle(axle) => axle.name.as_deref().unwrap_or(&axle.id),
            Component::Driveshaft(shaft) => shaft.name.as_deref().unwrap_or(&shaft.id),
            Component::Weldment(weldment) => weldment.name.as_deref().unwrap_or(&weldment.id),
            Component::Unit(unit) => &unit.name,
        }
    }

    /// Every kind, as procedures name them; the whole unit is always there.
    pub const KINDS: &'static [&'static str] = &["axle", "trailer-axle", "driveshaft", "weldment", "unit"];

    /// Its kind, one of [`Self::KINDS`].
    #[must_use]
    pub fn kind(self) -> &'static str {
        match self {
            Component::Axle(axle) if axle.is_trailer() => "trailer-axle",
            Component::Axle(_) => "axle",
            Component::Driveshaft(_) => "driveshaft",
            Component::Weldment(_) => "weldment",
            Component::Unit(_) => "unit",
        }
    }
}

impl JobFile {
    /// The component of this id.
    #[must_use]
    pub fn component(&self, id: &str) -> Option<Component<'_>> {
        if id == "unit" {
            return Some(Component::Unit(&self.unit));
        }
        self.components().find(|c| c.id() == id)
    }

    /// Whether the work makes a driveshaft to its length.
    #[must_use]
    pub fn remakes(&self, shaft: &Driveshaft) -> bool {
        let on = |work: &Work| work.on.iter().any(|on| on.value == shaft.id.value);
        self.work.iter().any(|w| *w.procedure.0 == *"driveshaft" && on(w))
    }

    /// All components the file declares, the unit last.
    pub fn components(&self) -> impl Iterator<Item = Component<'_>> {
        self.axle
            .iter()
            .map(Component::Axle)
            .chain(self.driveshaft.iter().map(Component::Driveshaft))
            .chain(self.weldment.iter().map(Component::Weldment))
            .chain(std::iter::once(Component::Unit(&self.unit)))
    }
}
