//! Cross-checks of the unit and its frame.

use super::{at, positive, words};
use crate::diagnostic::{Diagnostic, Report};
use crate::job::JobFile;
use crate::quantity::{Dimensioned, unit};

pub(super) fn check(job: &JobFile, report: &mut Report) {
    let facts = &job.unit;
    positive(facts.mass.as_ref(), report);
    for length in [&facts.wheelbase, &facts.cg_height, &facts.track] {
        positive(length.as_ref(), report);
    }
    if let Some(share) = &facts.sprung_share
        && !(0.0..=100.0).contains(&share.value.value.to(unit::PCT))
    {
        report.push(at(
            Diagnostic::error("J150", format!("a sprung share of {} can't be right", words(share)))
                .expected("a percentage between 0 and 100")
                .example("sprung_share = \"82 %\""),
            share,
        ));
    }
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
            .example("cg_to_rear = \"58 in\""),
            to_rear,
        ));
    }
    if let Some(frame) = &job.frame {
        for length in [&frame.approach_ahead, &frame.departure_behind, &frame.belly_behind, &frame.rail_marks]
        {
            positive(length.as_ref(), report);
        }
    }
}
