//! Cross-checks of a weld joint.

use super::{at, name, positive, words};
use crate::diagnostic::{Diagnostic, Report};
use crate::file::{Located, Reading};
use crate::job::model::{Joint, WeldType};
use crate::quantity::Dimensioned;
use crate::quantity::{Length, unit};

pub(super) fn check(joint: &Joint, report: &mut Report) {
    for size in [
        &joint.thickness,
        &joint.other_thickness,
        &joint.size,
        &joint.length,
        &joint.around,
        &joint.groove_depth,
        &joint.wire,
    ] {
        positive(size.as_ref(), report);
    }
    positive(joint.volts.as_ref(), report);
    positive(joint.amps.as_ref(), report);
    positive(joint.travel.as_ref(), report);
    let thinner = thinner(joint);
    if let (Some(depth), Some(thick)) = (&joint.groove_depth, &joint.thickness)
        && depth.value.value > thick.value.value
    {
        report.push(at(
            Diagnostic::error(
                "J130",
                format!("a groove of {} is deeper than the wall of {}", words(depth), words(thick)),
            )
            .expected("a groove no deeper than the part it is cut in")
            .example("groove_depth = \"0.25 in\""),
            depth,
        ));
    }
    if let (Some(face), Some(thick)) = (&joint.root_face, &joint.thickness)
        && face.value.value >= thick.value.value
    {
        report.push(at(
            Diagnostic::error(
                "J130",
                format!("a root face of {} leaves no groove in {}", words(face), words(thick)),
            )
            .expected("a root face thinner than the part")
            .example("root_face = \"1/32 in\""),
            face,
        ));
    }
    if joint.kind.value == WeldType::Fillet
        && let (Some(size), Some(thin)) = (&joint.size, thinner)
        && size.value.value.si() > thin.value.value.si() * 1.5
    {
        report.push(at(
            Diagnostic::warning(
                "J131",
                format!("a fillet of {} on a part of {} melts more than it joins", words(size), words(thin)),
            )
            .expected("a leg no larger than the thinner part, unless the drawing says so")
            .example(format!("size = \"{}\"", crate::quantity::show::LENGTH.shop(thin.value.value.into()))),
            size,
        ));
    }
    if let (Some(preheat), Some(interpass)) = (&joint.preheat, &joint.interpass_max)
        && preheat.value.value.si() >= interpass.value.value.si()
    {
        report.push(at(
            Diagnostic::error(
                "J132",
                format!(
                    "interpass at most {} is not above the preheat of {}",
                    words(interpass),
                    words(preheat)
                ),
            )
            .expected("an interpass maximum above the preheat")
            .example("interpass_max = \"350 degF\""),
            interpass,
        ));
    }
    if let Some(cet) = &joint.cet {
        let percent = cet.value.value.to(unit::PCT_MASS);
        if !(0.0..=1.2).contains(&percent) {
            report.push(at(
                Diagnostic::error("J133", format!("{} of {percent} % can't be right", name(cet)))
                    .expected("a carbon equivalent in per cent, usually 0.2 to 0.5")
                    .example("cet = \"0.30 %\""),
                cet,
            ));
        }
    }
    if joint.count == 0 {
        report.push(
            Diagnostic::error("J134", format!("joint {} is made zero times", joint.id.value))
                .at(Some(joint.id.span.clone()))
                .key(joint.id.key.clone())
                .expected("a count of at least one")
                .example("count = 2"),
        );
    }
}

fn thinner(joint: &Joint) -> Option<&Located<Reading<Length>>> {
    match (&joint.thickness, &joint.other_thickness) {
        (Some(a), Some(b)) => Some(if a.value.value <= b.value.value { a } else { b }),
        (a, b) => a.as_ref().or(b.as_ref()),
    }
}
