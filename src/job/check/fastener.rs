//! Cross-checks of a group of fasteners.

use super::{at, words};
use crate::diagnostic::{Diagnostic, Report};
use crate::file::{Located, Reading};
use crate::job::JobFile;
use crate::job::model::{Component, Fastener, Pattern};
use crate::quantity::{Dimensioned, Length, unit};

/// Room between a U-bolt and its tube that no fit explains, in millimetres
/// (common practice: a U-bolt is bent to its tube, 1/16 in over).
const SLACK: f64 = 6.35;

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
    u_bolt(fastener, tube, report);
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

/// What every U-bolt has: a tube it lies close to, and two nuts.
fn u_bolt(fastener: &Fastener, tube: Option<&Located<Reading<Length>>>, report: &mut Report) {
    if fastener.pattern != Pattern::UBolt && *fastener.usage.value.0 != *"u-bolt" {
        return;
    }
    if let (Some(width), Some(od), None) = (&fastener.inside_width, tube, &fastener.sure)
        && width.value.value.to(unit::MM) > od.value.value.to(unit::MM) + SLACK
    {
        report.push(at(
            Diagnostic::stop(
                "J144",
                format!("a U-bolt of {} inside lies loose on a tube of {}", words(width), words(od)),
            )
            .expected("an inside width of the tube diameter plus about 1/16 in (1.5 mm)")
            .example("inside_width = \"…\", measured again")
            .help("if it is right all the same, write beside it: sure = \"why it is right\""),
            width,
        ));
    }
    // One is what a group has that says nothing of its nuts.
    if fastener.count > 1 && fastener.count % 2 == 1 {
        report.push(
            Diagnostic::stop(
                "J145",
                format!(
                    "fastener {} has {} nuts, and each U-bolt has two",
                    fastener.id.value, fastener.count
                ),
            )
            .at(Some(fastener.id.span.clone()))
            .key(format!("{}.count", fastener.id.key.trim_end_matches(".id")))
            .expected("the nuts of all its U-bolts: two for one, four for a pair")
            .example("count = 4"),
        );
    }
}
