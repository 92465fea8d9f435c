//! The cross-section of a weld in its parts, and what every groove has to be.

use crate::figure::prelude::*;

/// What a weld preparation can be.
pub(super) const SHAPE: Source = Source::definition("the shape of a weld preparation");

/// A cross-section in its parts.
#[derive(Debug, Clone, Copy, Default)]
pub struct Section {
    /// Root opening through the thickness.
    pub opening: Area,
    /// Triangles of the preparation, or the fillet.
    pub triangles: Area,
    /// Caps, or the reinforcement of a fillet.
    pub cap: Area,
    /// Width of the groove at the surface; zero for a fillet.
    pub width: Length,
}

impl Section {
    /// Whole cross-section.
    #[must_use]
    pub fn total(&self) -> Area {
        self.opening + self.triangles + self.cap
    }
}

/// What every groove has to be: a plate with a root face in it and nothing
/// negative.
pub(super) fn sound(plate: Length, face: Length, opening: Length, cap: Length) -> Result<()> {
    ABOVE_ZERO.check("thickness", plate.into())?;
    (face > plate || face.si() < 0.0).refuse(
        "the root face is not between zero and the plate thickness",
        "check root_face and thickness",
    )?;
    NOT_NEGATIVE.check("root_opening", opening.into())?;
    NOT_NEGATIVE.check("cap_height", cap.into())
}
