//! Results against what a workshop meets: inputs that are each believable can
//! still add up to an axle that is not. An unusual result needs `sure = "why"` in
//! its `[[axle]]`; an impossible one stops the job whatever anybody is sure of.

use super::{JobFigures, Owner, Side};
use crate::job::model::{Axle, Layout};
use crate::procedure::catalogue::{component, side};
use crate::quantity::unit::{self, Unit};
use crate::quantity::{Angle, Dimensioned, Kind, Quantity, Style};

/// Bounds of a result, in its unit. Common practice, from memory: what light and
/// medium trucks, trailers and their conversions show.
struct Bound {
    name: &'static str,
    unit: Unit,
    usual: (f64, f64),
    possible: (f64, f64),
}

const fn row(name: &'static str, unit: Unit, usual: (f64, f64), possible: (f64, f64)) -> Bound {
    Bound { name, unit, usual, possible }
}

/// Bounds of the axle's results.
const AXLE: &[Bound] = &[
    row(component::lift.name(), unit::IN, (-8.0, 10.0), (-16.0, 20.0)),
    row(component::seat_tilt.name(), unit::DEG, (-10.0, 10.0), (-40.0, 40.0)),
    row(component::ride_pitch.name(), unit::DEG, (-5.0, 5.0), (-15.0, 15.0)),
    row(component::housing_turn.name(), unit::DEG, (-16.0, 16.0), (-45.0, 45.0)),
    row(component::pinion_target.name(), unit::DEG, (-12.0, 26.0), (-45.0, 45.0)),
    // A shaft that has run till now ran at less; more is a slip of sign of what it was
    // measured from (common practice).
    row(component::joint_pinion_before.name(), unit::DEG, (0.0, 15.0), (0.0, 30.0)),
    row(component::joint_case_before.name(), unit::DEG, (0.0, 15.0), (0.0, 30.0)),
    row(component::joint_pinion_after.name(), unit::DEG, (0.0, 20.0), (0.0, 45.0)),
    row(component::joint_case_after.name(), unit::DEG, (0.0, 26.0), (0.0, 45.0)),
    row(component::shaft_length.name(), unit::IN, (8.0, 84.0), (3.0, 160.0)),
    row(component::stability_after.name(), unit::ONE, (0.6, 1.6), (0.3, 3.0)),
    row(component::approach_after.name(), unit::DEG, (8.0, 75.0), (0.0, 90.0)),
    row(component::departure_after.name(), unit::DEG, (8.0, 75.0), (0.0, 90.0)),
];

/// Bounds of a side's results.
const SIDE: &[Bound] = &[
    row(side::caster_after_turn.name(), unit::DEG, (-16.0, 16.0), (-45.0, 45.0)),
    row(side::knuckle_rotation.name(), unit::DEG, (-15.0, 15.0), (-35.0, 35.0)),
    row(side::kpi_after.name(), unit::DEG, (3.0, 18.0), (-5.0, 30.0)),
    row(side::camber_after.name(), unit::DEG, (-3.0, 3.0), (-10.0, 10.0)),
];

/// Judges the results of an axle.
pub(super) fn judge(axle: &Axle, sheet: &mut JobFigures) {
    let id = &axle.id.0;
    let sure = axle.sure.as_ref().map(|s| s.0.as_str()).filter(|s| !s.trim().is_empty());
    let owners = [
        (Owner::Component(id.clone()), AXLE),
        (Owner::Side(id.clone(), Side::Left), SIDE),
        (Owner::Side(id.clone(), Side::Right), SIDE),
    ];
    for (owner, bounds) in &owners {
        for bound in *bounds {
            one(owner, bound, sure, sheet);
        }
    }
    cut_for_nothing(id, sure, sheet);
    as_found(axle, sure, sheet);
}

/// By how much the joints of a shaft that ran till now are off the layout they are set to,
/// in degrees (common practice: what springs sag and pads are bent by).
const RAN: f64 = 6.5;

/// A pinion as found stands near what its layout asks for: a shaft ran on it.
fn as_found(axle: &Axle, sure: Option<&str>, sheet: &mut JobFigures) {
    let owner = Owner::Component(axle.id.0.clone());
    let Some(pinion) = &axle.pinion else { return };
    let of = |angle: Angle| angle.to(unit::DEG).abs();
    let at_pinion = sheet.quantity(&owner, component::joint_pinion_before).map(of);
    let at_case = sheet.quantity(&owner, component::joint_case_before).map(of);
    let between = pinion.angle.as_ref().zip(pinion.output_slope.as_ref());
    let Some(layout) = pinion.layout else { return };
    let (off, says) = match layout {
        Layout::Pointed => (at_pinion, "does not point at the case"),
        Layout::Parallel => (
            between.map(|(a, b)| (a.value.value - b.value.value).to(unit::DEG).abs()),
            "is not parallel to the output",
        ),
        Layout::BrokenBack => {
            (at_pinion.zip(at_case).map(|(a, b)| (a - b).abs()), "has not the angle of the joint at the case")
        }
    };
    let Some(off) = off.filter(|off| *off > RAN) else { return };
    let said = format!(
        "the pinion as found {says}, {} off, and a shaft ran on it",
        Style::of(Kind::Angle).both(Angle::of(off, unit::DEG).into())
    );
    match sure {
        Some(sure) => {
            let told = format!("{said}; the job says: {sure}");
            sheet.warn(&owner, component::pinion_now.name(), told);
        }
        None => sheet.doubt(
            &owner,
            said,
            "angle, offset and reach of the pinion, place and slope of the case, with their signs; if it is right all the same, write in its [[axle]]: sure = \"why it is right\"",
        ),
    }
}

/// Knuckles that are nearly where they should be are not cut.
fn cut_for_nothing(id: &str, sure: Option<&str>, sheet: &mut JobFigures) {
    let axle = Owner::Component(id.to_owned());
    let Some(within) = sheet.quantity(&axle, component::caster_tolerance) else { return };
    let turns = Side::BOTH.map(|s| sheet.quantity(&Owner::Side(id.to_owned(), s), side::knuckle_rotation));
    let [Some(left), Some(right)] = turns else { return };
    if left.si().abs() > within.si() || right.si().abs() > within.si() {
        return;
    }
    let said = format!(
        "neither knuckle has to turn by more than the caster tolerance, {}: nothing is to be cut",
        sheet.shown(&axle, component::caster_tolerance.name())
    );
    match sure {
        Some(sure) => {
            sheet.warn(&axle, component::caster_tolerance.name(), format!("{said}; the job says: {sure}"));
        }
        None => sheet.doubt(
            &axle,
            said,
            "the caster wanted, and the caster as found; if it is right all the same, write in its [[axle]]: sure = \"why it is right\"",
        ),
    }
}

fn one(owner: &Owner, bound: &Bound, sure: Option<&str>, sheet: &mut JobFigures) {
    let Some(figure) = sheet.named(owner, bound.name) else { return };
    let Some(value) = figure.value.quantity() else { return };
    // What is computed from rounded inputs may touch its bound.
    let room = 1e-9 * value.si().abs();
    let inside = |(low, high): (f64, f64)| {
        let si = |v: f64| bound.unit.to_si(v);
        (si(low) - room..=si(high) + room).contains(&value.si())
    };
    if inside(bound.usual) {
        return;
    }
    let style = Style::of(value.kind());
    let between = |(low, high): (f64, f64)| {
        let end = |v: f64| style.both(Quantity::from_si(value.kind(), bound.unit.to_si(v)));
        format!("{} to {}", end(low), end(high))
    };
    let said = format!("{} comes out at {}", figure.title, figure.show());
    if !inside(bound.possible) {
        let why = format!("{said}, which can't be right: usually {}", between(bound.usual));
        sheet.doubt(owner, why, "measure again: values that are each believable do not fit together");
        return;
    }
    match sure {
        Some(sure) => {
            let told = format!("{said}, which is unusual; the job says: {sure}");
            sheet.warn(owner, bound.name, told);
        }
        None => {
            let why = format!("{said}, which is unusual: usually {}", between(bound.usual));
            let remedy = "measure again; if it is right all the same, write in its [[axle]]: sure = \"why it is right\"";
            sheet.doubt(owner, why, remedy);
        }
    }
}
