//! The attitude of the unit when the work is done: lift at one end pitches it,
//! and with it the case, the output shaft and the springs.
//!
//! Pitch is positive with the nose up. Angles of pinion and output are read
//! against the ground.

use super::keys::of_axle as key;
use super::{JobFigures, Owner, work};
use crate::file::Reading;
use crate::job::JobFile;
use crate::job::model::{Axle, End};
use crate::procedure::catalogue::component;
use crate::quantity::show::LENGTH;
use crate::quantity::{Angle, Dimensioned, Length, math, unit};
use crate::source::Source;

const PITCH: Source =
    Source::derived("the frame turns by the difference of the lifts over the wheelbase", "right triangle");
const SHARE: Source = Source::derived(
    "the frame stays straight: a point between the axles rises by its share",
    "straight line",
);
const TURNS: Source = Source::derived("the output shaft turns with the frame", "sum of the two angles");

const RISE: Source = Source::practice("a settled lift comes out within 1/4 in of the planned one");
/// What a lift may come out off the planned one, in metres.
const RISE_ROOM: f64 = 0.00635;

/// Lift of the frame at both ends.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Lifts {
    /// At the front axle.
    pub(super) front: Length,
    /// At the rear axle.
    pub(super) rear: Length,
}

impl Lifts {
    /// Rise of the frame this far behind the front axle; before it, negative.
    pub(super) fn behind_front(self, distance: Length, wheelbase: Length) -> Length {
        self.front + (self.rear - self.front) * (distance / wheelbase)
    }

    /// Rise of the frame this far ahead of the rear axle; behind it, negative.
    pub(super) fn ahead_of_rear(self, distance: Length, wheelbase: Length) -> Length {
        self.rear + (self.front - self.rear) * (distance / wheelbase)
    }

    /// Whether the frame stays parallel to where it was.
    pub(super) fn level(self) -> bool {
        (self.front - self.rear).si().abs() < 1e-9
    }
}

/// Lift at an axle: nothing where its springs are not touched, and none where nobody says what
/// is done to them.
fn own_lift(job: &JobFile, axle: &Axle, sheet: &JobFigures) -> Option<Length> {
    let owner = Owner::Component(axle.id.0.clone());
    match &axle.spring {
        Some(_) => sheet.quantity(&owner, component::lift),
        None => work::keeps_height(job, axle).then(|| Length::from_si(0.0)),
    }
}

/// The axle of the job at the other end of the unit.
fn across<'a>(job: &'a JobFile, axle: &Axle) -> Option<&'a Axle> {
    let end = axle.end()?;
    job.axle.iter().find(|other| other.end().is_some_and(|e| e != end))
}

/// Lift at the other end, if the job says what is done there.
fn other_lift(job: &JobFile, axle: &Axle, sheet: &JobFigures) -> Option<Length> {
    match across(job, axle) {
        Some(other) => own_lift(job, other, sheet),
        None => Some(job.unit.other_axle_lift.as_ref()?.value.value),
    }
}

/// What the lifts at both ends still wait for, beside the lift of `axle` itself.
pub(super) fn other_lift_key(job: &JobFile, axle: &Axle) -> String {
    match across(job, axle) {
        Some(other) => format!("the lift of {}", other.id.value),
        None => "unit.other_axle_lift".to_owned(),
    }
}

/// Lift at both ends, if the job says what each axle does.
pub(super) fn lifts(job: &JobFile, axle: &Axle, sheet: &JobFigures) -> Option<Lifts> {
    let end = axle.end()?;
    let own = own_lift(job, axle, sheet)?;
    let other = other_lift(job, axle, sheet)?;
    Some(match end {
        End::Front => Lifts { front: own, rear: other },
        End::Rear => Lifts { front: other, rear: own },
    })
}

/// Pitch, rise of the case and slope of the output when the work is done.
pub(super) fn compute(job: &JobFile, axle: &Axle, sheet: &mut JobFigures) {
    let owner = Owner::Component(axle.id.0.clone());
    uneven(job, axle, sheet);
    // Axles that share the load of a trailer rise alike, and every corner with them.
    if axle.is_trailer()
        && job.axle.iter().filter(|a| a.is_trailer()).count() > 1
        && let Some(own) = own_lift(job, axle, sheet)
    {
        rises(Lifts { front: own, rear: own }, &owner, sheet);
    }
    if axle.end().is_none() || own_lift(job, axle, sheet).is_none() {
        return;
    }
    let names =
        [component::ride_pitch.name(), component::case_rise.name(), component::output_slope_after.name()];
    let Some(lifts) = lifts(job, axle, sheet) else {
        let needs = vec![other_lift_key(job, axle)];
        let why = format!(
            "the attitude of the unit still needs what the other axle does ({}): a lift at one end pitches the unit, and with it every angle",
            needs[0]
        );
        return sheet.miss(&owner, &names, needs, why);
    };
    let wheelbase = job.unit.wheelbase.as_ref().map(|w| w.value.value);
    let wheelbase = match (wheelbase, lifts.level()) {
        (Some(wheelbase), _) => wheelbase,
        // Nothing turns, however long the unit is.
        (None, true) => Length::from_si(1.0),
        (None, false) => {
            let needs = vec!["unit.wheelbase".to_owned()];
            let why = "the attitude of the unit still needs unit.wheelbase".to_owned();
            return sheet.miss(&owner, &names, needs, why);
        }
    };
    let pitch = Angle::from_si(math::atan(((lifts.front - lifts.rear) / wheelbase).value).si());
    sheet.derive(
        &owner,
        component::ride_pitch,
        pitch,
        "atan((lift at the front - lift at the rear) / wheelbase)",
        PITCH,
    );
    // A word is never shown again in the steps of the shop's tape, so no finer than any tape reads.
    let tape = LENGTH.no_finer(16);
    let words = format!("front {}, rear {}", sheet.said(tape, lifts.front), sheet.said(tape, lifts.rear));
    sheet.derive(
        &owner,
        component::lifts,
        words,
        "lift of the frame at each axle",
        Source::entered("job file"),
    );
    rises(lifts, &owner, sheet);
    let Some(pinion) = &axle.pinion else { return };
    if let Some(reach) = &pinion.case_forward {
        let reach = reach.value.value;
        let rise = if axle.is_front() {
            lifts.behind_front(reach, wheelbase)
        } else {
            lifts.ahead_of_rear(reach, wheelbase)
        };
        sheet.derive(
            &owner,
            component::case_rise,
            rise,
            "lift here + (lift there - lift here) x reach / wheelbase",
            SHARE,
        );
    }
    if let Some(slope) = &pinion.output_slope {
        // An output that points forward falls less toward the axle when the
        // nose goes up; one that points rearward falls more.
        let after = if axle.is_front() { slope.value.value - pitch } else { slope.value.value + pitch };
        let formula = if axle.is_front() { "output_slope - pitch" } else { "output_slope + pitch" };
        sheet.derive(
            &owner,
            component::output_slope_after,
            Reading { value: after, ..slope.value },
            formula,
            TURNS,
        );
    }
}

/// Axles of one trailer whose lifts differ by more do not share its load any more, in
/// inches (common practice: an equaliser takes up a spring's tolerance, no more).
const LEVEL: f64 = 0.25;

/// The axles of a trailer stand in one plane: what is raised at one is raised at all.
fn uneven(job: &JobFile, axle: &Axle, sheet: &mut JobFigures) {
    let first = job.axle.iter().find(|other| other.is_trailer());
    let Some(first) = first.filter(|first| axle.is_trailer() && first.id.value != axle.id.value) else {
        return;
    };
    let (Some(there), Some(here)) = (own_lift(job, first, sheet), own_lift(job, axle, sheet)) else { return };
    if (there - here).si().abs() <= Length::of(LEVEL, unit::IN).si() || axle.sure.is_some() {
        return;
    }
    let owner = Owner::Component(axle.id.0.clone());
    let why = format!(
        "the frame rises by {} at {} and by {} at {}: one axle would carry what both are for",
        sheet.said(LENGTH, there),
        first.id.value,
        sheet.said(LENGTH, here),
        axle.id.value
    );
    sheet.doubt(&owner, why, "springs and seats of all axles of a trailer for one lift, all in the work; if it is right all the same, write beside it: sure = \"why it is right\"");
}

/// What the heights as left may be over those as found: every angle was planned for
/// the lifts of both axles, so both are read back, also where nobody worked.
fn rises(lifts: Lifts, owner: &Owner, sheet: &mut JobFigures) {
    let room = Length::from_si(RISE_ROOM);
    for (least, most, lift, end) in [
        (component::front_rise_least, component::front_rise_most, lifts.front, "front"),
        (component::rear_rise_least, component::rear_rise_most, lifts.rear, "rear"),
    ] {
        sheet.derive_up(owner, least, lift - room, &format!("planned lift, {end}, - 1/4 in"), RISE);
        sheet.derive_down(owner, most, lift + room, &format!("planned lift, {end}, + 1/4 in"), RISE);
    }
}

/// Keys the height of the flange still waits for: what is known is not asked again.
pub(super) fn rise_key(job: &JobFile, axle: &Axle, sheet: &JobFigures) -> String {
    let case_up = key(axle, "pinion.case_up");
    let stated = axle.pinion.as_ref().is_some_and(|p| p.case_up.is_some());
    let owner = Owner::Component(axle.id.0.clone());
    if sheet.quantity(&owner, component::ride_pitch).is_some() {
        return if stated { key(axle, "pinion.case_forward") } else { case_up };
    }
    let open = [
        (case_up, stated),
        (other_lift_key(job, axle), other_lift(job, axle, sheet).is_some()),
        ("the lift".to_owned(), own_lift(job, axle, sheet).is_some()),
        ("unit.wheelbase".to_owned(), job.unit.wheelbase.is_some()),
    ];
    let open: Vec<String> = open.into_iter().filter(|(_, known)| !known).map(|(key, _)| key).collect();
    if open.is_empty() { key(axle, "end") } else { open.join(", ") }
}
