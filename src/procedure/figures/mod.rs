//! A job's figures: every family the job has the inputs for, under the names
//! the procedure texts use; and what can't be computed, with the keys it needs.

mod axle;
mod bounds;
mod context;
mod driveshaft;
mod fastener;
mod joint;
mod sheet;
mod steering;
mod unit;

pub use context::Context;
pub use sheet::{JobFigure, JobFigures, Missing, Owner};

pub use crate::term::Side;

use crate::job::JobFile;

/// Computes everything a job has the inputs for.
#[must_use]
pub fn compute(job: &JobFile) -> JobFigures {
    compute_to(job, None)
}

/// As [`compute`]; fractions of an inch are shown no finer than 1/`finest`.
#[must_use]
pub fn compute_to(job: &JobFile, finest: Option<u32>) -> JobFigures {
    let mut sheet = JobFigures::read_to(finest);
    for axle in &job.axle {
        axle::compute(job, axle, &mut sheet);
        steering::compute(job, axle, &mut sheet);
        unit::compute(job, axle, &mut sheet);
        bounds::compute(axle, &mut sheet);
    }
    for shaft in &job.driveshaft {
        driveshaft::compute(job, shaft, &mut sheet);
    }
    for joint in &job.joint {
        joint::compute(job, joint, &mut sheet);
    }
    for fastener in &job.fastener {
        fastener::compute(fastener, &mut sheet);
    }
    sheet
}
