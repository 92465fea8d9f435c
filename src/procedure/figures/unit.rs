//! Clearance angles, stability, shock absorbers and bump stops: what a change
//! on one axle does to the unit.

use super::inputs::{Inputs, to};
use super::keys::of_axle as key;
use super::ride::{self, Lifts};
use super::{JobFigures, Owner};
use crate::figure::geometry::clearance_angles::{ClearanceAngles, ClearanceAnglesAnswer as Angles};
use crate::figure::geometry::stability::{Stability, StabilityAnswer};
use crate::figure::geometry::travel_limits::{BumpStop, BumpStopAnswer, ShockLength};
use crate::file::{Located, Reading};
use crate::job::JobFile;
use crate::job::model::Axle;
use crate::procedure::catalogue::component;
use crate::quantity::show::SCALE;
use crate::quantity::{Dimensioned, Length, math};
use crate::source::Source;

const SQUARE: Source = Source::practice("diagonals within 1/8 in or 3 mm");
/// Diagonals of a squared axle, or of a weldment, may differ by this, in metres.
const DIAGONALS: f64 = 0.003;

fn growth(axle: &Axle) -> Option<Length> {
    let tyre = axle.tyre.as_ref()?;
    let (old, new) = (tyre.radius.as_ref()?, tyre.radius_after.as_ref()?);
    Some(new.value.value - old.value.value)
}

/// How far the diagonals may differ, where nobody says.
pub(super) fn squareness(owner: &Owner, sheet: &mut JobFigures) {
    sheet.derive_down(
        owner,
        component::squareness_limit,
        Length::from_si(DIAGONALS),
        "limit of the difference of the diagonals",
        SQUARE,
    );
}

/// Share of a loaded trailer that rests on the tow vehicle, least and most: below it the
/// trailer sways, above it the tow vehicle's rear axle and coupling are overloaded.
const TONGUE: (f64, f64) = (0.09, 0.15);
const TONGUE_SHARE: Source =
    Source::practice("tongue weight 9 to 15 % of the loaded trailer; the makers' limits first");

/// What may rest on the tow vehicle's coupling, of the trailer as weighed.
fn tongue(job: &JobFile, axle: &Axle, owner: &Owner, sheet: &mut JobFigures) {
    let Some(mass) = job.unit.mass.as_ref().filter(|_| axle.is_trailer()) else { return };
    let mass = mass.value.value;
    let (least, most) = TONGUE;
    let (low, high) = (component::tongue_least, component::tongue_most);
    sheet.derive_in(owner, low, mass * least, SCALE.up(), "9 % of unit.mass", TONGUE_SHARE);
    sheet.derive_in(owner, high, mass * most, SCALE.down(), "15 % of unit.mass", TONGUE_SHARE);
}

pub(super) fn compute(job: &JobFile, axle: &Axle, sheet: &mut JobFigures) {
    let owner = Owner::Component(axle.id.0.clone());
    squareness(&owner, sheet);
    tongue(job, axle, &owner, sheet);
    clearance(job, axle, &owner, sheet);
    stability(job, axle, &owner, sheet);
    shocks(axle, &owner, sheet);
}

/// Clearance angles, each with the rise of its own point: a lift at one end
/// pitches the unit.
fn clearance(job: &JobFile, axle: &Axle, owner: &Owner, sheet: &mut JobFigures) {
    let Some(frame) = &job.frame else { return };
    if axle.tyre.is_none() {
        return;
    }
    let plain = |v: &Option<Located<Reading<Length>>>| v.as_ref().map(|v| v.value.value);
    let one = |v: &Option<Located<Reading<Length>>>| v.as_ref().map(|v| vec![v.value]);
    // The axle of a trailer has no other end that could pitch it here.
    let own = sheet.quantity(owner, component::lift).filter(|_| axle.is_trailer());
    let lifts = ride::lifts(job, axle, sheet).or(own.map(|own| Lifts { front: own, rear: own }));
    let wheelbase = plain(&job.unit.wheelbase);
    let rise = |place: &dyn Fn(Lifts, Length) -> Option<Length>| -> Option<Length> {
        let lifts = lifts?;
        let rise = match wheelbase {
            Some(wheelbase) => place(lifts, wheelbase)?,
            None if lifts.level() => lifts.front,
            None => return None,
        };
        Some(rise)
    };
    let start = || {
        let mut inputs = Inputs::<ClearanceAngles>::new();
        inputs
            .with(
                ClearanceAngles::radius,
                key(axle, "tyre.radius"),
                axle.tyre.as_ref().and_then(|t| t.radius.as_ref()),
            )
            .with(ClearanceAngles::tyre_growth, key(axle, "tyre.radius_after"), growth(axle));
        inputs
    };
    let needs = "unit.other_axle_lift, unit.wheelbase and the lift";
    if axle.is_front() && frame.approach_ahead.is_some() {
        let mut inputs = start();
        inputs
            .with(
                ClearanceAngles::lift,
                needs,
                rise(&|l, w| Some(l.behind_front(-plain(&frame.approach_ahead)?, w))),
            )
            .with(ClearanceAngles::approach_x, "frame.approach_ahead", one(&frame.approach_ahead))
            .with(ClearanceAngles::approach_z, "frame.approach_height", one(&frame.approach_height))
            .with(ClearanceAngles::front_forward, "", sheet.reading(owner, component::axle_shift));
        let names = [
            to(Angles::approach, component::approach_before),
            to(Angles::approach_after, component::approach_after),
        ];
        sheet.run(owner, &inputs, &names);
    }
    // Of several axles of a trailer the last in the job is the rearmost: the tail drags behind it.
    let last = job.axle.iter().rfind(|a| a.is_trailer());
    let rearmost = !axle.is_trailer() || last.is_none_or(|last| last.id.value == axle.id.value);
    if !axle.is_front() && rearmost && frame.departure_behind.is_some() {
        let mut inputs = start();
        inputs
            .with(
                ClearanceAngles::lift,
                needs,
                rise(&|l, w| Some(l.ahead_of_rear(-plain(&frame.departure_behind)?, w))),
            )
            .with(ClearanceAngles::departure_x, "frame.departure_behind", one(&frame.departure_behind))
            .with(ClearanceAngles::departure_z, "frame.departure_height", one(&frame.departure_height));
        let names = [
            to(Angles::departure, component::departure_before),
            to(Angles::departure_after, component::departure_after),
        ];
        sheet.run(owner, &inputs, &names);
    }
    if frame.belly_behind.is_some() && job.unit.wheelbase.is_some() {
        let mut inputs = start();
        inputs
            .with(
                ClearanceAngles::lift,
                needs,
                rise(&|l, w| Some(l.behind_front(plain(&frame.belly_behind)?, w))),
            )
            .with(ClearanceAngles::wheelbase, "unit.wheelbase", job.unit.wheelbase.as_ref())
            .with(ClearanceAngles::belly_x, "frame.belly_behind", one(&frame.belly_behind))
            .with(ClearanceAngles::belly_z, "frame.belly_height", one(&frame.belly_height));
        let names = [
            to(Angles::breakover, component::breakover_before),
            to(Angles::breakover_after, component::breakover_after),
        ];
        sheet.run(owner, &inputs, &names);
    }
    if let (Some(front), Some(rear), Some(marks)) = (&frame.rail_front, &frame.rail_rear, &frame.rail_marks) {
        let rake = math::atan(((front.value.value - rear.value.value) / marks.value.value).value);
        let source = Source::derived("rail heights over their distance", "right triangle");
        sheet.derive(
            owner,
            component::rail_rake,
            rake,
            "atan((rail_front - rail_rear) / rail_marks)",
            source,
        );
    }
}

/// The static stability factor with the rise of the centre of gravity: its own
/// share of the lifts at both axles, or the greater of the two where its place
/// along the unit is not known.
fn stability(job: &JobFile, axle: &Axle, owner: &Owner, sheet: &mut JobFigures) {
    let unit = &job.unit;
    if unit.track.is_none() || unit.cg_height.is_none() || sheet.get(owner, component::lift).is_none() {
        return;
    }
    let plain = |v: &Option<Located<Reading<Length>>>| v.as_ref().map(|v| v.value.value);
    let lift = if axle.is_trailer() {
        sheet.quantity(owner, component::lift)
    } else {
        ride::lifts(job, axle, sheet).map(|lifts| match (plain(&unit.cg_to_rear), plain(&unit.wheelbase)) {
            (Some(place), Some(wheelbase)) => lifts.ahead_of_rear(place, wheelbase),
            _ if lifts.front > lifts.rear => lifts.front,
            _ => lifts.rear,
        })
    };
    let mut inputs = Inputs::<Stability>::new();
    inputs
        .with(Stability::track, "unit.track", unit.track.as_ref())
        .with(Stability::cg_height, "unit.cg_height", unit.cg_height.as_ref())
        .with(Stability::sprung_share, "unit.sprung_share", unit.sprung_share.as_ref())
        .with(Stability::tyre_growth, key(axle, "tyre.radius_after"), growth(axle));
    // Without it the family would take a lift of zero.
    let Some(lift) = lift else {
        let needs = vec!["unit.other_axle_lift".to_owned()];
        let why = "the stability factor still needs unit.other_axle_lift".to_owned();
        return sheet.miss(
            owner,
            &[component::stability_before.name(), component::stability_after.name()],
            needs,
            why,
        );
    };
    inputs.with(Stability::lift, "the lift at both axles", Some(lift));
    sheet.run(
        owner,
        &inputs,
        &[
            to(StabilityAnswer::factor, component::stability_before),
            to(StabilityAnswer::factor_after, component::stability_after),
        ],
    );
}

fn shocks(axle: &Axle, owner: &Owner, sheet: &mut JobFigures) {
    let Some(lift) = sheet.reading(owner, component::lift) else { return };
    sheet.derive(
        owner,
        component::hose_extra,
        lift,
        "at least the lift; the greatest distance at droop and full lock decides",
        Source::practice("hose length follows the greatest distance of its ends, plus slack"),
    );
    let (Some(shock), Some(spring)) = (&axle.shock, &axle.spring) else { return };
    if shock.height.is_some() {
        let mut inputs = Inputs::<ShockLength>::new();
        inputs
            .with(ShockLength::vertical, key(axle, "shock.height"), shock.height.as_ref())
            .with(ShockLength::offset, key(axle, "shock.offset"), shock.offset.as_ref())
            .with(ShockLength::bump, key(axle, "spring.bump"), spring.bump.as_ref())
            .with(ShockLength::droop, key(axle, "spring.droop"), spring.droop.as_ref())
            .with(ShockLength::lift, "the lift", Some(lift));
        sheet.run(owner, &inputs, &[]);
    }
    sheet.derive(
        owner,
        component::shock_change,
        lift,
        "the mounts move apart by the lift",
        Source::derived("mounts on frame and axle", "the side-view triangle of the mounts"),
    );
    if shock.bump_gap.is_some() {
        let mut inputs = Inputs::<BumpStop>::new();
        inputs.with(BumpStop::gap_old, key(axle, "shock.bump_gap"), shock.bump_gap.as_ref()).with(
            BumpStop::lift,
            "the lift",
            Some(lift),
        );
        sheet.run(owner, &inputs, &[to(BumpStopAnswer::gap, component::bump_gap)]);
    }
}
