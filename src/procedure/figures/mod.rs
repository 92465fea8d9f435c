//! A job's figures: every family the job has the inputs for, under the names
//! the procedure texts use; and what can't be computed, with the keys it needs.

mod answered;
mod axle;
mod bounds;
mod context;
mod driveshaft;
mod fastener;
mod governs;
mod inputs;
mod joint;
mod joint_heat;
mod joint_size;
mod keys;
mod plausible;
mod ride;
mod said;
mod seam;
mod sheet;
mod steering;
mod unit;
mod weldment;
mod words;
mod work;

pub use answered::Answered;
pub use context::Context;
pub use inputs::Output;
pub use sheet::{Concern, JobFigure, JobFigures, Missing, Obstacle, Owner};

pub use crate::term::Side;

use crate::job::JobFile;
use crate::shop::Book;

/// Computes everything a job has the inputs for. The procedures of the shop
/// book bound what the joints that name them may do.
#[must_use]
pub fn compute(job: &JobFile, book: Option<&Book>) -> JobFigures {
    compute_to(job, book, None)
}

/// As [`compute`]; fractions of an inch are shown no finer than 1/`finest`.
#[must_use]
pub fn compute_to(job: &JobFile, book: Option<&Book>, finest: Option<u32>) -> JobFigures {
    compute_again(job, book, finest, None)
}

/// As [`compute_to`]; what was answered `before` is not asked again.
#[must_use]
pub fn compute_again(
    job: &JobFile,
    book: Option<&Book>,
    finest: Option<u32>,
    before: Option<&Answered>,
) -> JobFigures {
    let mut sheet = JobFigures::read_to(finest, job.job.units).knowing(before);
    // One axle's lift pitches the other end, so all lifts come first.
    for axle in &job.axle {
        axle::lift(job, axle, &mut sheet);
    }
    for axle in &job.axle {
        axle::shift(job, axle, &mut sheet);
        ride::compute(job, axle, &mut sheet);
        axle::compute(job, axle, &mut sheet);
        steering::compute(job, axle, &mut sheet);
        unit::compute(job, axle, &mut sheet);
        bounds::compute(axle, &mut sheet);
    }
    for shaft in &job.driveshaft {
        driveshaft::compute(job, shaft, &mut sheet);
    }
    for axle in &job.axle {
        driveshaft::of_axle(job, axle, &mut sheet);
    }
    for axle in &job.axle {
        plausible::judge(axle, &mut sheet);
    }
    for weldment in &job.weldment {
        weldment::compute(weldment, &mut sheet);
    }
    for joint in &job.joint {
        let wps = joint.wps.as_ref().and_then(|named| book?.wps(&named.value));
        joint::compute(job, joint, wps, &mut sheet);
    }
    for fastener in &job.fastener {
        fastener::compute(fastener, &mut sheet);
    }
    sheet.knowing(None)
}
