//! Clearance angles, stability, shock absorbers and bump stops: what a change
//! on one axle does to the unit.

use super::inputs::{Inputs, to};
use super::keys::of_axle as key;
use super::ride::{self, Lifts};
use super::{JobFigures, Owner, work};
use crate::figure::geometry::clearance_angles::{ClearanceAngles, ClearanceAnglesAnswer as Angles};
use crate::figure::geometry::stability::{Stability, StabilityAnswer};
use crate::figure::geometry::travel_limits::{BumpStop, BumpStopAnswer, ShockLength};
use crate::file::{Located, Reading};
use crate::job::JobFile;
use crate::job::model::{Axle, Frame};
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
    // The axle of a trailer has no other end that could pitch it here.
    let own = sheet.quantity(owner, component::lift).filter(|_| axle.is_trailer());
    let lifts = ride::lifts(job, axle, sheet).or(own.map(|own| Lifts { front: own, rear: own }));
    let at = Rising { axle, owner, lifts, wheelbase: plain(&job.unit.wheelbase) };
    if axle.is_front() {
        at.approach(job, frame, sheet);
    }
    // Of several axles of a trailer the last in the job is the rearmost: the tail drags behind it.
    let last = job.axle.iter().rfind(|a| a.is_trailer());
    let rearmost = !axle.is_trailer() || last.is_none_or(|last| last.id.value == axle.id.value);
    if !axle.is_front() && rearmost {
        at.departure(frame, sheet);
    }
    at.breakover(job, frame, sheet);
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

/// A length as the job states it.
fn plain(stated: &Option<Located<Reading<Length>>>) -> Option<Length> {
    stated.as_ref().map(|v| v.value.value)
}

/// A length of the job as the only point of a list.
fn point(stated: &Option<Located<Reading<Length>>>) -> Option<Vec<Reading<Length>>> {
    stated.as_ref().map(|v| vec![v.value])
}

/// The unit while it rises at an axle.
struct Rising<'a> {
    axle: &'a Axle,
    owner: &'a Owner,
    lifts: Option<Lifts>,
    wheelbase: Option<Length>,
}

impl Rising<'_> {
    /// What every clearance angle starts from, and the rise of a point of its own, placed
    /// along the unit by its wheelbase; of a unit that rises alike no wheelbase is needed.
    fn start(&self, place: impl Fn(Lifts, Length) -> Option<Length>) -> Inputs<ClearanceAngles> {
        let rise = match (self.lifts, self.wheelbase) {
            (Some(lifts), Some(wheelbase)) => place(lifts, wheelbase),
            (Some(lifts), None) if lifts.level() => Some(lifts.front),
            _ => None,
        };
        let untold = if self.lifts.is_some() { "unit.wheelbase" } else { "the lift at both axles" };
        let radius = self.axle.tyre.as_ref().and_then(|t| t.radius.as_ref());
        let mut inputs = Inputs::<ClearanceAngles>::new();
        inputs
            .with(ClearanceAngles::radius, key(self.axle, "tyre.radius"), radius)
            .with(ClearanceAngles::tyre_growth, key(self.axle, "tyre.radius_after"), growth(self.axle))
            .needed(ClearanceAngles::lift, untold, rise);
        inputs
    }

    fn approach(&self, job: &JobFile, frame: &Frame, sheet: &mut JobFigures) {
        if frame.approach_ahead.is_none() {
            return;
        }
        let mut inputs = self.start(|l, w| Some(l.behind_front(-plain(&frame.approach_ahead)?, w)));
        inputs.with(ClearanceAngles::approach_x, "frame.approach_ahead", point(&frame.approach_ahead)).with(
            ClearanceAngles::approach_z,
            "frame.approach_height",
            point(&frame.approach_height),
        );
        let shift = sheet.reading(self.owner, component::axle_shift);
        match work::place_untold(job, self.axle) {
            Some(untold) => inputs.needed(ClearanceAngles::front_forward, key(self.axle, untold), shift),
            None => inputs.with(ClearanceAngles::front_forward, "", shift),
        };
        let names = [
            to(Angles::approach, component::approach_before),
            to(Angles::approach_after, component::approach_after),
        ];
        sheet.run(self.owner, &inputs, &names);
    }

    fn departure(&self, frame: &Frame, sheet: &mut JobFigures) {
        if frame.departure_behind.is_none() {
            return;
        }
        let mut inputs = self.start(|l, w| Some(l.ahead_of_rear(-plain(&frame.departure_behind)?, w)));
        inputs
            .with(ClearanceAngles::departure_x, "frame.departure_behind", point(&frame.departure_behind))
            .with(ClearanceAngles::departure_z, "frame.departure_height", point(&frame.departure_height));
        let names = [
            to(Angles::departure, component::departure_before),
            to(Angles::departure_after, component::departure_after),
        ];
        sheet.run(self.owner, &inputs, &names);
    }

    fn breakover(&self, job: &JobFile, frame: &Frame, sheet: &mut JobFigures) {
        if frame.belly_behind.is_none() || job.unit.wheelbase.is_none() {
            return;
        }
        let mut inputs = self.start(|l, w| Some(l.behind_front(plain(&frame.belly_behind)?, w)));
        inputs
            .with(ClearanceAngles::wheelbase, "unit.wheelbase", job.unit.wheelbase.as_ref())
            .with(ClearanceAngles::belly_x, "frame.belly_behind", point(&frame.belly_behind))
            .with(ClearanceAngles::belly_z, "frame.belly_height", point(&frame.belly_height));
        let names = [
            to(Angles::breakover, component::breakover_before),
            to(Angles::breakover_after, component::breakover_after),
        ];
        sheet.run(self.owner, &inputs, &names);
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
    let untold = match axle.is_trailer() {
        true => "the lift".to_owned(),
        false => ride::other_lift_key(job, axle),
    };
    inputs.needed(Stability::lift, untold, lift);
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
