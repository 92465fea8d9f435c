//! What the work of a job does to an axle. What is not worked on stays as it is; what is, and
//! of which the job does not say how, is not known, and counts as nothing nowhere.

use crate::job::JobFile;
use crate::job::model::{Axle, Work};

/// Procedures that turn the housing of an axle.
const TURN: &[&str] = &["housing-rotation", "spring-over"];

/// Procedures that leave the housing as it stands on its springs: its pinion is not set anew,
/// it is no higher and no further on than it was.
const LEAVE: &[&str] = &["knuckle-reindex", "linkage", "spring-clamp", "bolt-on", "final"];

/// Procedures that leave the height of the frame over the axle: they move it, or turn it on
/// its springs, and no more.
const LEVEL: &[&str] = &["axle-position"];

/// Procedures that lay the axle against its springs anew: where their pin holes it decides how
/// far on it is.
const SEAT: &[&str] = &["housing-rotation", "spring-over", "spring-pack", "trailer-springs"];

fn on<'a>(job: &'a JobFile, axle: &'a Axle) -> impl Iterator<Item = &'a Work> {
    job.work.iter().filter(|w| w.on.iter().any(|on| on.value == axle.id.value))
}

/// Whether an axle is worked on by a procedure of these.
pub(super) fn works(job: &JobFile, axle: &Axle, names: &[&str]) -> bool {
    on(job, axle).any(|w| names.contains(&&*w.procedure.0))
}

/// Whether the job turns the housing of an axle.
pub(super) fn turned(job: &JobFile, axle: &Axle) -> bool {
    works(job, axle, TURN)
}

/// Whether the housing of an axle is turned: what is found at its knuckles changes with it.
/// Before any work is chosen it may be.
pub(super) fn turns(job: &JobFile, axle: &Axle) -> bool {
    on(job, axle).next().is_none() || turned(job, axle)
}

/// Whether all the work at an axle leaves its housing as it stands. A procedure of the shop's
/// own may turn it.
pub(super) fn stays(job: &JobFile, axle: &Axle) -> bool {
    on(job, axle).next().is_some() && untouched(job, axle)
}

/// Whether nothing in the job moves the housing of an axle, whether it is worked on or not.
pub(super) fn untouched(job: &JobFile, axle: &Axle) -> bool {
    on(job, axle).all(|w| LEAVE.contains(&&*w.procedure.0))
}

/// Whether nothing in the job changes the height of the frame over an axle.
pub(super) fn keeps_height(job: &JobFile, axle: &Axle) -> bool {
    on(job, axle).all(|w| LEAVE.contains(&&*w.procedure.0) || LEVEL.contains(&&*w.procedure.0))
}

/// Procedures that set the hangers of the springs anew.
const HANG: &[&str] = &["shackle-move"];

/// The table a job does not have that says how far on the axle is when it is done; none where
/// it is there, or the axle stays where it is. In a table that is there, a key that is not
/// stated says that nothing goes on by it.
pub(super) fn place_untold(job: &JobFile, axle: &Axle) -> Option<&'static str> {
    if works(job, axle, SEAT) && axle.pad.is_none() {
        return Some("pad.hole_offset");
    }
    (works(job, axle, HANG) && axle.spring.is_none()).then_some("spring.hanger_shift")
}
