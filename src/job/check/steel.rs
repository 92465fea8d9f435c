//! Steels of a joint against what their names say, and against what it is welded to.

use super::{at, name, words};
use crate::diagnostic::{Diagnostic, Report};
use crate::job::JobFile;
use crate::job::model::{Component, Joint};
use crate::quantity::{Dimensioned, unit};
use crate::reference::{metal, steel_name};

pub(super) fn check(job: &JobFile, joint: &Joint, report: &mut Report) {
    carbon(joint, report);
    on_pad(job, joint, report);
}

/// A carbon equivalent holds all the carbon: none is below that of a steel by its own name.
fn carbon(joint: &Joint, report: &mut Report) {
    let Some(cet) = &joint.cet else { return };
    let stated = [&joint.steel, &joint.other_steel].into_iter().flatten();
    let least = stated.filter_map(|steel| Some((steel, steel_name::least_carbon(&steel.value)?)));
    let Some((steel, carbon)) = least.reduce(|a, b| if b.1 > a.1 { b } else { a }) else { return };
    if cet.value.value.to(unit::PCT_MASS) >= carbon - 1e-9 {
        return;
    }
    report.push(at(
        Diagnostic::error(
            "J305",
            format!(
                "joint {}: a carbon equivalent of {} is less than the carbon of {} by itself, {carbon:.2} % or more",
                joint.id.value,
                words(cet),
                &*steel.value
            ),
        )
        .expected("CET of the certificate of this steel: C + (Mn + Mo)/10 + (Cr + Cu)/20 + Ni/40 (EN 1011-2)")
        .example("cet = \"…\", from its certificate")
        .help(format!("or the steel the certificate is of: {} = \"…\"", name(steel))),
        cet,
    ));
}

/// A pad is welded to its axle tube: one of its two steels is the tube's.
fn on_pad(job: &JobFile, joint: &Joint, report: &mut Report) {
    if *joint.usage.0 != *"pad" {
        return;
    }
    let Some(Component::Axle(axle)) = job.component(&joint.on.value) else { return };
    let Some(tube) = axle.tube.as_ref().and_then(|t| t.steel.as_ref()) else { return };
    let (Some(first), Some(other)) = (&joint.steel, &joint.other_steel) else { return };
    // A name no table has is told by itself.
    if [tube, first, other].iter().any(|steel| metal::find(&steel.value).is_none())
        || same(&tube.value, &first.value)
        || same(&tube.value, &other.value)
    {
        return;
    }
    report.push(at(
        Diagnostic::stop(
            "J306",
            format!(
                "joint {} welds a pad to the tube of {}, which is of {}, yet its steels are {} and {}",
                joint.id.value, axle.id.value, &*tube.value, &*first.value, &*other.value
            ),
        )
        .expected("the steel of the tube as one of the two: its preheat and its limits are theirs")
        .example(format!("{} = \"{}\"", name(other), &*tube.value))
        .help("if it is right all the same, write beside it: sure = \"why it is right\"")
        .unless_sure(joint.sure.as_deref()),
        other,
    ));
}

/// Whether two names are of one steel.
pub(super) fn same(a: &str, b: &str) -> bool {
    let name = |s: &str| metal::find(s).map_or_else(|| metal::squeezed(s), |m| metal::squeezed(m.name));
    name(a) == name(b)
}
