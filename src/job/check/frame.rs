//! Cross-checks of the unit and its frame.

use super::{at, words};
use crate::diagnostic::{Diagnostic, Report};
use crate::job::JobFile;

pub(super) fn check(job: &JobFile, report: &mut Report) {
    let facts = &job.unit;
    if let (Some(to_rear), Some(base)) = (&facts.cg_to_rear, &facts.wheelbase)
        && to_rear.value.value > base.value.value
    {
        report.push(at(
            Diagnostic::error(
                "J151",
                format!(
                    "a centre of gravity {} ahead of the rear axle is ahead of the front axle",
                    words(to_rear)
                ),
            )
            .expected("a distance shorter than the wheelbase")
            .example("cg_to_rear = \"…\", measured again"),
            to_rear,
        ));
    }
}
