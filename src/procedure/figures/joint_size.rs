//! Size of a weld: leg of a fillet, depth of a groove, and the throat that makes.

use super::governs::{self, Demand, highest};
use super::inputs::{Inputs, to};
use super::keys::Key;
use super::{JobFigures, Owner};
use crate::figure::welding::column::Column;
use crate::figure::welding::fillet_size::{FilletSize, FilletSizeAnswer};
use crate::figure::welding::fillet_throat::{FilletThroat, FilletThroatAnswer};
use crate::job::model::{Acceptance, Joint, JointForm, Safety, WeldType};
use crate::procedure::catalogue::joint;
use crate::quantity::show::LENGTH;
use crate::quantity::{Dimensioned, Length, Style, unit};
use crate::source::Source;

const CAPPED: Source = Source::practice("a throat is counted no deeper than the thinner part");

/// What the least fillet is by.
const LEAST: &str = "AWS D1.1, least fillet for the thickness";

/// A depth that was stated, in the digits it was stated in, on the card as in the box
/// it is read into: a size is shown no smaller than it is.
fn as_stated(depth: Length) -> Style {
    LENGTH.fine_enough(depth.into()).up()
}

/// Size, what it is by, and the throat.
pub(super) fn size(
    joint: &Joint,
    owner: &Owner,
    key: Key<'_>,
    table: Option<Column>,
    sheet: &mut JobFigures,
) {
    match joint.kind.value {
        WeldType::Fillet => leg(joint, owner, key, table, sheet),
        WeldType::Plug => diameter(joint, owner, sheet),
        _ => depth(joint, owner, sheet),
    }
}

/// A plug has no depth: only its stated size counts.
fn diameter(joint: &Joint, owner: &Owner, sheet: &mut JobFigures) {
    let Some(size) = joint.size.as_ref().map(|d| d.value) else { return };
    let source = Source::entered("job file");
    sheet.derive(owner, joint::size, size, "as entered in the job file", source);
    sheet.derive(owner, joint::size_from, governs::JOINT.to_owned(), "as stated", source);
}

/// Depth of a groove: as stated, or the part itself. A flare bevel is not filled to its edge:
/// only what is stated counts.
fn depth(joint: &Joint, owner: &Owner, sheet: &mut JobFigures) {
    let depth = match joint.kind.value {
        WeldType::FlareBevel => joint.groove_depth.as_ref(),
        _ => joint.groove_depth.as_ref().or(joint.thickness.as_ref()),
    };
    let Some(depth) = depth.map(|d| d.value) else { return };
    // A throat is never counted beyond the thinner part.
    if let Some(wall) = joint.thin().filter(|wall| depth.value > *wall) {
        let style = as_stated(wall);
        sheet.derive_in(owner, joint::size, wall, style, "no deeper than the thinner part", CAPPED);
        sheet.derive(owner, joint::size_from, "the thinner part", "the lesser governs", CAPPED);
    } else {
        let source = Source::entered("job file");
        let style = as_stated(depth.value);
        sheet.derive_in(owner, joint::size, depth, style, "as entered in the job file", source);
        sheet.derive(owner, joint::size_from, governs::JOINT, "as stated", source);
    }
}

/// Leg of a fillet: the larger of joint and code, within what the edge takes.
fn leg(joint: &Joint, owner: &Owner, key: Key<'_>, table: Option<Column>, sheet: &mut JobFigures) {
    bounds_of_leg(joint, owner, key, table, sheet);
    let least = sheet.quantity(owner, joint::size_min);
    let stated = joint.size.as_ref().map(|s| s.value.value);
    if let (Some(stated), Some(least)) = (stated, least) {
        below_the_least(stated, least, owner, sheet);
    }
    if let Some(size) = highest([Demand::of(stated, governs::JOINT), Demand::of(least, LEAST)]) {
        let source = if size.whose == LEAST {
            Source::standard("AWS D1.1:2020", "table 7.7, minimum fillet size")
        } else {
            Source::entered("job file")
        };
        sheet.derive_up(owner, joint::size, size.value, "the larger of joint and code", source);
        sheet.derive(owner, joint::size_from, size.whose.clone(), "the larger governs", source);
        if let Some(most) = sheet.quantity(owner, joint::size_max) {
            most_by_gauge(size.value, most, owner, sheet);
            if size.value.si() > most.si() * (1.0 + 1e-9) {
                more_than_the_edge(joint, &size, most, owner, sheet);
            }
        }
    }
    if sheet.get(owner, joint::size).is_some() {
        let mut inputs = Inputs::<FilletThroat>::new();
        inputs.figure(FilletThroat::leg, sheet, owner, joint::size);
        sheet.run(owner, &inputs, &[to(FilletThroatAnswer::throat, joint::throat)]);
    }
}

/// Whether a joint is reckoned as one under load that comes and goes.
fn cyclic(joint: &Joint) -> bool {
    joint.acceptance == Acceptance::D11Cyclic || joint.safety != Safety::Structure
}

/// The least and the greatest leg for the parts.
fn bounds_of_leg(joint: &Joint, owner: &Owner, key: Key<'_>, table: Option<Column>, sheet: &mut JobFigures) {
    let mut inputs = Inputs::<FilletSize>::new();
    inputs
        .with(FilletSize::t1, key("thickness"), joint.thickness.as_ref())
        .with(FilletSize::t2, key("other_thickness"), joint.other_thickness.as_ref())
        .with(FilletSize::leg, key("size"), joint.size.as_ref())
        .with(FilletSize::length, key("length"), joint.length.as_ref())
        .with(FilletSize::cyclic, "", Some(cyclic(joint)))
        .with(FilletSize::table, "job.units", table);
    if joint.form == JointForm::Lap {
        inputs.with(FilletSize::edge, key("thickness"), joint.thickness.as_ref());
    }
    sheet.run(
        owner,
        &inputs,
        &[to(FilletSizeAnswer::min_leg, joint::size_min), to(FilletSizeAnswer::max_leg, joint::size_max)],
    );
}

/// Stops a fillet below the least. A least no part of this thickness can carry is told with
/// the edge, once: it is no size to write.
fn below_the_least(stated: Length, least: Length, owner: &Owner, sheet: &mut JobFigures) {
    let most = sheet.quantity(owner, joint::size_max);
    let carried = most.is_none_or(|most| least.si() <= most.si() * (1.0 + 1e-9));
    if stated.si() < least.si() * (1.0 - 1e-9) && carried {
        let why = format!(
            "the fillet asked for, {}, is smaller than the least for the thickness, {}",
            sheet.said(LENGTH, stated),
            sheet.said(LENGTH.up(), least)
        );
        sheet.stop(owner, why, format!("size = \"{}\"", sheet.said(LENGTH.up(), least)));
    }
}

/// The greatest leg a gauge may show. A leg that is as large as the part is thick has to be
/// made all the same.
fn most_by_gauge(size: Length, most: Length, owner: &Owner, sheet: &mut JobFigures) {
    let gauge = size.si() + Length::of(1.0 / 32.0, unit::IN).si();
    let source = Source::practice("a weld gauge is read in steps of 1/32 in");
    let most = Length::from_si(most.si().max(gauge));
    let formula = "the thinner part; a step of the gauge above the leg asked for at least";
    sheet.derive_down(owner, joint::leg_most, most, formula, source);
}

/// Stops a fillet the edge does not take, and says what would be taken.
fn more_than_the_edge(
    joint: &Joint,
    size: &Demand<Length>,
    most: Length,
    owner: &Owner,
    sheet: &mut JobFigures,
) {
    let by_code = size.whose == LEAST;
    let whose = match joint.size.as_ref().map(|s| s.value.value).filter(|_| by_code) {
        Some(stated) => format!(
            " ({LEAST}{}; the job asks for {})",
            if cyclic(joint) { ", cyclic load" } else { "" },
            sheet.said(LENGTH, stated)
        ),
        None if by_code => format!(" ({LEAST})"),
        None => String::new(),
    };
    let why = format!(
        "the fillet of {}{whose} is larger than the edge takes, {} at most",
        sheet.said(LENGTH, size.value),
        sheet.said(LENGTH, most)
    );
    let least = sheet.quantity(owner, joint::size_min);
    let none_fits = least.is_some_and(|least| least.si() > most.si() * (1.0 + 1e-9));
    let remedy = if !by_code && !none_fits {
        "a smaller fillet, a thicker part, or a longer weld"
    } else if !by_code {
        "a thicker part, or a joint that needs no fillet: the least for the thickness is more than the edge takes"
    } else if joint.acceptance == Acceptance::D11Cyclic && joint.safety == Safety::Structure {
        "where the load is static: acceptance = \"AWS D1.1 static\" or \"ISO 5817 C\"; else a thicker part"
    } else {
        "a thicker part, or a joint that needs no fillet"
    };
    sheet.stop_at(owner, "size", why, remedy);
}
