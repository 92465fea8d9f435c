//! Values somebody states beside a name the tables know: each says where it stands, and
//! none asks more of a filler than its class gives.

use super::{at, name, words, written};
use crate::diagnostic::{Diagnostic, Report};
use crate::file::{Located, Reading, Text};
use crate::job::JobFile;
use crate::job::model::Joint;
use crate::quantity::{Dimensioned, Stress, Style};
use crate::reference::electrode;
use crate::term::Units;

/// Help of all that somebody may be sure of.
const SURE: &str = "if it is right all the same, write beside it: sure = \"why it is right\"";

pub(super) fn check(job: &JobFile, report: &mut Report) {
    for joint in &job.joint {
        let from = joint.values_from.as_ref();
        sourced(joint.cet.as_ref(), from, report);
        sourced(joint.hydrogen.as_ref(), from, report);
        sourced(joint.weld_strength.as_ref(), from, report);
        strength(job.job.units, joint.weld_strength.as_ref(), joint, joint.sure.as_deref(), report);
    }
    for axle in &job.axle {
        let Some(pad) = &axle.pad else { continue };
        let welds = job.joint.iter().filter(|j| *j.usage.0 == *"pad" && j.on.value == axle.id.value);
        for joint in welds {
            strength(job.job.units, pad.weld_strength.as_ref(), joint, pad.sure.as_deref(), report);
        }
    }
    for fastener in &job.fastener {
        let from = fastener.values_from.as_ref();
        sourced(fastener.proof.as_ref(), from, report);
        sourced(fastener.nut_factor.as_ref(), from, report);
    }
}

/// A value of one's own stands somewhere.
fn sourced<T: Dimensioned>(value: Option<&Located<Reading<T>>>, from: Option<&Text>, report: &mut Report) {
    let Some(value) = value.filter(|_| from.is_none_or(Text::is_blank)) else { return };
    report.push(at(
        Diagnostic::stop("J237", format!("{} {} stands here without its source", name(value), words(value)))
            .expected(
                "values_from beside a value of your own: certificate, maker's data sheet, test with its date",
            )
            .example("values_from = \"…\""),
        value,
    ));
}

/// Weld metal is reckoned with no more than its class gives (AWS A5: the least tensile
/// strength stands in the classification).
fn strength(
    units: Units,
    stated: Option<&Located<Reading<Stress>>>,
    joint: &Joint,
    sure: Option<&str>,
    report: &mut Report,
) {
    let Some(stated) = stated else { return };
    let Some(filler) = joint.filler.as_ref().and_then(|f| Some((f, electrode::find(&f.value)?))) else {
        return;
    };
    let class = filler.1.electrode.fexx();
    if stated.value.value.si() <= class.si() * (1.0 + 1e-9) {
        return;
    }
    let style = Style::of(Stress::KIND);
    report.push(at(
        Diagnostic::stop(
            "J238",
            format!(
                "{} {} is above what {} of joint {} is classified for, {}",
                name(stated),
                words(stated),
                &*filler.0.value,
                joint.id.value,
                stated.value.first(style).both(class.into())
            ),
        )
        .expected("no more than the filler's class gives, or the filler that gives it")
        .example(format!("{} = \"{}\"", name(stated), written(units, style, class)))
        .help(SURE)
        .unless_sure(sure),
        stated,
    ));
}
