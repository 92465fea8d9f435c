//! Cross-checks of an axle.

use super::{at, name, not_negative, positive, words};
use crate::diagnostic::{Diagnostic, Report};
use crate::file::{Located, Reading};
use crate::job::model::{Axle, Cut, Knuckle, SpringSide, Tube};
use crate::quantity::{Angle, Dimensioned, Length, math, unit};

/// Caster of a steered beam axle is usually between these, in degrees; common
/// practice.
const CASTER_USUAL: (f64, f64) = (2.0, 9.0);
/// Left and right caster usually differ by no more than this, in degrees;
/// common practice, light-truck solid-axle specifications.
const SPREAD_USUAL: f64 = 0.5;
/// A leaf-sprung conversion usually lifts by no more than this, in inches of
/// pack; common practice.
const PACK_USUAL: f64 = 4.0;

/// Picks one angle of a knuckle.
type Pick = fn(&Knuckle) -> &Option<Located<Reading<Angle>>>;

pub(super) fn check(axle: &Axle, report: &mut Report) {
    if let Some(tube) = &axle.tube {
        check_tube(tube, report);
    }
    if let Some(spring) = &axle.spring {
        positive(spring.pack.as_ref(), report);
        not_negative(spring.seat_old.as_ref(), report);
        not_negative(spring.seat_new.as_ref(), report);
        positive(spring.shackle_old.as_ref(), report);
        positive(spring.shackle_new.as_ref(), report);
        positive(spring.chord.as_ref(), report);
        if let Some(pack) = &spring.pack
            && pack.value.value.to(unit::IN) > PACK_USUAL
        {
            report.push(at(
                Diagnostic::warning("J120", format!("a spring pack of {} is unusual", words(pack)))
                    .expected("the thickness of the pack at the clamp, usually 1 to 3 in")
                    .example("pack = \"1-3/4 in\""),
                pack,
            ));
        }
        if spring.from == SpringSide::Over && spring.to == SpringSide::Under && axle.driven {
            report.push(
                Diagnostic::warning("J121", "springs moved under a driven axle lower the frame")
                    .at(Some(spring.span.clone()))
                    .key("axle.spring.to")
                    .expected("clearance to be checked at full bump")
                    .example("to = \"over\""),
            );
        }
    }
    if let Some(cut) = &axle.cut {
        check_cut(axle, cut, report);
    }
    check_pinion(axle, report);
    check_caster(axle, report);
}

fn check_tube(tube: &Tube, report: &mut Report) {
    positive(tube.od.as_ref(), report);
    positive(tube.wall.as_ref(), report);
    if let (Some(od), Some(wall)) = (&tube.od, &tube.wall) {
        thinner_than_radius(wall, od, report);
    }
}

fn thinner_than_radius(wall: &Located<Reading<Length>>, od: &Located<Reading<Length>>, report: &mut Report) {
    let radius = od.value.value / 2.0;
    if wall.value.value >= radius && od.value.value.si() > 0.0 {
        report.push(at(
            Diagnostic::error(
                "J122",
                format!(
                    "{} {} is not less than the radius of the tube, {}",
                    name(wall),
                    words(wall),
                    crate::quantity::show::LENGTH.both(radius.into())
                ),
            )
            .expected("a wall thinner than half the outside diameter")
            .example(format!("{} = \"0.281 in\"", name(wall))),
            wall,
        ));
    }
}

fn check_cut(axle: &Axle, cut: &Cut, report: &mut Report) {
    positive(cut.groove_offset.as_ref(), report);
    positive(cut.kerf.as_ref(), report);
    not_negative(cut.reserve.as_ref(), report);
    for wall in cut.walls_left.iter().chain(&cut.walls_right) {
        positive(Some(wall), report);
        if let Some(od) = axle.tube.as_ref().and_then(|t| t.od.as_ref()) {
            thinner_than_radius(wall, od, report);
        }
        if let Some(reserve) = &cut.reserve
            && reserve.value.value >= wall.value.value
        {
            report.push(at(
                Diagnostic::error(
                    "J123",
                    format!(
                        "the reserve {} leaves nothing to cut of a wall of {}",
                        words(reserve),
                        words(wall)
                    ),
                )
                .expected("a reserve much thinner than the wall")
                .example("reserve = \"0.010 in\""),
                reserve,
            ));
        }
    }
}

/// A pinion joint below the ground is a slip of sign.
fn check_pinion(axle: &Axle, report: &mut Report) {
    let Some(pinion) = &axle.pinion else { return };
    positive(pinion.reach.as_ref(), report);
    for angle in pinion.angle.iter().chain(&pinion.wanted) {
        if angle.value.value.to(unit::DEG).abs() > 45.0 {
            report.push(at(
                Diagnostic::error("J124", format!("a pinion angle of {} can't be right", words(angle)))
                    .expected("an angle above horizontal, usually 0° to 25°")
                    .example(format!("{} = \"4.0 deg\"", name(angle))),
                angle,
            ));
        }
    }
    let radius = axle.tyre.as_ref().and_then(|t| t.radius.as_ref());
    if let (Some(radius), Some(angle), Some(reach)) =
        (radius, pinion.angle.as_ref().or(pinion.wanted.as_ref()), &pinion.reach)
    {
        let offset = pinion.offset.as_ref().map_or(Length::from_si(0.0), |o| o.value.value);
        let height = radius.value.value
            + offset * math::cos(angle.value.value)
            + reach.value.value * math::sin(angle.value.value);
        if height.si() <= 0.0 {
            report.push(at(
                Diagnostic::error("J125", "these values put the pinion joint below the ground")
                    .expected("a tyre radius, pinion offset and reach that leave the joint above the ground")
                    .example("offset = \"-1.5 in\""),
                pinion.offset.as_ref().unwrap_or(reach),
            ));
        }
    }
}

fn check_caster(axle: &Axle, report: &mut Report) {
    if let Some(target) = axle.target.as_ref().and_then(|t| t.caster.as_ref()) {
        let degrees = target.value.value.to(unit::DEG);
        if degrees < CASTER_USUAL.0 || degrees > CASTER_USUAL.1 {
            report.push(at(
                Diagnostic::warning(
                    "J126",
                    format!("a target caster of {} is outside common practice", words(target)),
                )
                .expected(format!(
                    "{}° to {}° for a steered beam axle (common practice); the maker's figure comes first",
                    CASTER_USUAL.0, CASTER_USUAL.1
                ))
                .example("caster = \"6.0 deg\""),
                target,
            ));
        }
    }
    let Some(knuckles) = &axle.knuckle else { return };
    let reading = |k: &Option<Knuckle>, pick: Pick| k.as_ref().and_then(|k| pick(k).clone());
    let picks: [Pick; 2] = [|k| &k.caster, |k| &k.caster_with_pinion_set];
    for pick in picks {
        if let (Some(left), Some(right)) = (reading(&knuckles.left, pick), reading(&knuckles.right, pick)) {
            let spread = (left.value.value - right.value.value).to(unit::DEG).abs();
            if spread > SPREAD_USUAL + 1e-9 {
                report.push(at(
                    Diagnostic::warning("J127", format!("left and right {} differ by {spread:.1}°", name(&left).replace('_', " ")))
                        .expected(format!("a spread within {SPREAD_USUAL}° (common practice); read both again, look for a bent tube"))
                        .example(format!("{} = \"3.8 deg\"", name(&right)))
                        .help("each side gets its own rotation; never average two unequal sides"),
                    &right,
                ));
            }
        }
    }
    for knuckle in knuckles.left.iter().chain(&knuckles.right) {
        for angle in
            knuckle.caster.iter().chain(&knuckle.camber).chain(&knuckle.inclination).chain(&knuckle.toe)
        {
            if angle.value.value.to(unit::DEG).abs() > 30.0 {
                report.push(at(
                    Diagnostic::error("J124", format!("{} of {} can't be right", name(angle), words(angle)))
                        .expected("an angle of a few degrees")
                        .example(format!("{} = \"3.5 deg\"", name(angle))),
                    angle,
                ));
            }
        }
    }
}
