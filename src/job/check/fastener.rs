//! Cross-checks of a group of fasteners.

use super::{at, words};
use crate::diagnostic::{Diagnostic, Report};
use crate::job::JobFile;
use crate::job::model::{Component, Fastener};

pub(super) fn check(job: &JobFile, fastener: &Fastener, report: &mut Report) {
    if fastener.count == 0 {
        report.push(
            Diagnostic::error("J140", format!("fastener {} has a count of zero", fastener.id.value))
                .at(Some(fastener.id.span.clone()))
                .key(fastener.id.key.clone())
                .expected("a count of at least one")
                .example("count = 4"),
        );
    }
    let tube = match job.component(&fastener.on.value) {
        Some(Component::Axle(axle)) => axle.tube.as_ref().and_then(|t| t.od.as_ref()),
        _ => None,
    };
    if let (Some(width), Some(od)) = (&fastener.inside_width, tube)
        && width.value.value < od.value.value
    {
        report.push(at(
            Diagnostic::error(
                "J142",
                format!("a U-bolt of {} inside does not go over a tube of {}", words(width), words(od)),
            )
            .expected("an inside width of the tube diameter plus about 1/16 in")
            .example("inside_width = \"3-5/16 in\""),
            width,
        ));
    }
    if fastener.torque.is_some() && fastener.torque_from.is_none() {
        report.push(
            Diagnostic::warning(
                "J143",
                format!("fastener {} has a torque without a source", fastener.id.value),
            )
            .at(fastener.torque.as_ref().map(|t| t.span.clone()))
            .key(format!("{}.torque_from", fastener.id.key.trim_end_matches(".id")))
            .expected("where the manufacturer states it")
            .example("torque_from = \"axle manual, page 41\""),
        );
    }
}
