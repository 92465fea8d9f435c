//! Measured values in the place of planned ones.
//!
//! A reading of a procedure may name the value of the job it replaces. Here are
//! the names, and how values read on a traveler go into a job.

use crate::diagnostic::Span;
use crate::file::{Located, Reading};
use crate::job::model::{Axle, JobFile, Knuckle, Spring};
use crate::quantity::{Dimensioned, Kind, Quantity, math};
use crate::term::Side;

/// A value a reading may replace.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Place {
    /// Name: table and key of the job file.
    pub name: &'static str,
    /// Kind of quantity.
    pub kind: Kind,
    /// Whether each side has its own.
    pub sided: bool,
    /// What it is, in words.
    pub words: &'static str,
}

const fn place(name: &'static str, kind: Kind, sided: bool, words: &'static str) -> Place {
    Place { name, kind, sided, words }
}

/// Every value a reading may replace.
pub const PLACES: &[Place] = &[
    place("cut.walls", Kind::Length, true, "walls in the cut plane"),
    place("knuckle.camber", Kind::Angle, true, "camber as found"),
    place("knuckle.caster", Kind::Angle, true, "caster as found"),
    place("knuckle.caster_with_pinion_set", Kind::Angle, true, "caster with the pinion set"),
    place("knuckle.inclination", Kind::Angle, true, "kingpin inclination as found"),
    place("pinion.angle", Kind::Angle, false, "pinion angle as found"),
    place("pinion.output_slope", Kind::Angle, false, "output angle as found"),
    place("shock.bump_gap", Kind::Length, false, "bump stop gap as found"),
    place("spring.pack", Kind::Length, false, "spring pack at the clamp"),
    place("spring.seat_old", Kind::Length, false, "old seat height"),
    place("spring.shackle_old", Kind::Length, false, "old shackle length"),
    place("unit.wheelbase", Kind::Length, false, "wheelbase as found"),
];

/// The value of this name.
#[must_use]
pub fn find(name: &str) -> Option<&'static Place> {
    PLACES.iter().find(|p| p.name == name)
}

/// A value read: SI units, with its standard uncertainty.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Read {
    /// In the SI unit of its kind.
    pub value: f64,
    /// Standard uncertainty.
    pub uncertainty: f64,
}

/// Puts readings in the place of a planned value of a component: all of them
/// where the job keeps a list, their mean elsewhere, the least of them for a
/// gap. False if the job has no such place.
pub fn put(job: &mut JobFile, component: &str, hand: Option<Side>, name: &str, read: &[Read]) -> bool {
    let Some(mean) = mean(read) else { return false };
    if name == "unit.wheelbase" {
        // Of a trailer the coupler distance is read there.
        if job.unit.wheelbase.is_none() || job.axle.iter().any(Axle::is_trailer) {
            return false;
        }
        job.unit.wheelbase = Some(located(mean));
        return true;
    }
    let Some(axle) = job.axle.iter_mut().find(|a| a.id.0 == component) else { return false };
    match name {
        "cut.walls" => {
            let Some(cut) = axle.cut.as_mut() else { return false };
            let list = read.iter().map(|r| located(*r)).collect();
            match hand {
                Some(Side::Left) => cut.walls_left = list,
                Some(Side::Right) => cut.walls_right = list,
                None => return false,
            }
            true
        }
        "knuckle.camber" => with(knuckle(axle, hand), |k| k.camber = Some(located(mean))),
        "knuckle.caster" => with(knuckle(axle, hand), |k| k.caster = Some(located(mean))),
        "knuckle.caster_with_pinion_set" => {
            with(knuckle(axle, hand), |k| k.caster_with_pinion_set = Some(located(mean)))
        }
        "knuckle.inclination" => with(knuckle(axle, hand), |k| k.inclination = Some(located(mean))),
        "pinion.angle" => with(axle.pinion.as_mut(), |p| p.angle = Some(located(mean))),
        "pinion.output_slope" => with(axle.pinion.as_mut(), |p| p.output_slope = Some(located(mean))),
        "shock.bump_gap" => {
            let least = read.iter().copied().reduce(|a, b| if a.value <= b.value { a } else { b });
            with(axle.shock.as_mut().zip(least), |(s, least)| s.bump_gap = Some(located(least)))
        }
        "spring.pack" => with(spring(axle), |s| s.pack = Some(located(mean))),
        "spring.seat_old" => with(spring(axle), |s| s.seat_old = Some(located(mean))),
        "spring.shackle_old" => with(spring(axle), |s| s.shackle_old = Some(located(mean))),
        _ => false,
    }
}

/// What the job states where a reading will take its place: the mean of a list, the
/// wall by the maker's data where the cut plane was not read before. None where nothing
/// is stated.
#[must_use]
pub fn planned(job: &JobFile, component: &str, hand: Option<Side>, name: &str) -> Option<Quantity> {
    fn said<T: Dimensioned>(value: Option<&Located<Reading<T>>>) -> Option<f64> {
        value.map(|v| v.value.value.si())
    }
    let kind = find(name)?.kind;
    let axle = || job.axle.iter().find(|a| a.id.0 == component);
    let knuckle = || {
        let knuckles = axle()?.knuckle.as_ref()?;
        match hand? {
            Side::Left => knuckles.left.as_ref(),
            Side::Right => knuckles.right.as_ref(),
        }
    };
    let pinion = || axle()?.pinion.as_ref();
    let spring = || axle()?.spring.as_ref();
    let si = match name {
        "unit.wheelbase" => said(job.unit.wheelbase.as_ref()),
        "cut.walls" => {
            let axle = axle()?;
            let cut = axle.cut.as_ref()?;
            let list = match hand? {
                Side::Left => &cut.walls_left,
                Side::Right => &cut.walls_right,
            };
            let read: Vec<Read> =
                list.iter().map(|w| Read { value: w.value.value.si(), uncertainty: 0.0 }).collect();
            mean(&read).map(|m| m.value).or_else(|| said(axle.tube.as_ref()?.wall.as_ref()))
        }
        "knuckle.camber" => said(knuckle()?.camber.as_ref()),
        "knuckle.caster" => said(knuckle()?.caster.as_ref()),
        "knuckle.caster_with_pinion_set" => said(knuckle()?.caster_with_pinion_set.as_ref()),
        "knuckle.inclination" => said(knuckle()?.inclination.as_ref()),
        "pinion.angle" => said(pinion()?.angle.as_ref()),
        "pinion.output_slope" => said(pinion()?.output_slope.as_ref()),
        "shock.bump_gap" => said(axle()?.shock.as_ref()?.bump_gap.as_ref()),
        "spring.pack" => said(spring()?.pack.as_ref()),
        "spring.seat_old" => said(spring()?.seat_old.as_ref()),
        "spring.shackle_old" => said(spring()?.shackle_old.as_ref()),
        _ => None,
    }?;
    Some(Quantity::from_si(kind, si))
}

fn with<T>(place: Option<T>, set: impl FnOnce(T)) -> bool {
    place.map(set).is_some()
}

fn knuckle(axle: &mut Axle, hand: Option<Side>) -> Option<&mut Knuckle> {
    let knuckles = axle.knuckle.as_mut()?;
    match hand? {
        Side::Left => knuckles.left.as_mut(),
        Side::Right => knuckles.right.as_mut(),
    }
}

fn spring(axle: &mut Axle) -> Option<&mut Spring> {
    axle.spring.as_mut()
}

/// Mean of readings; uncertainties of independent readings add in quadrature
/// (JCGM 100, 5.1.2).
fn mean(read: &[Read]) -> Option<Read> {
    let n = u32::try_from(read.len()).ok().filter(|n| *n > 0)?;
    let value = read.iter().map(|r| r.value).sum::<f64>() / f64::from(n);
    let spread = read.iter().fold(0.0, |sum, r| math::hypot(sum, r.uncertainty));
    Some(Read { value, uncertainty: spread / f64::from(n) })
}

fn located<T: Dimensioned>(read: Read) -> Located<Reading<T>> {
    Located {
        value: Reading { value: T::from_si(read.value), uncertainty: read.uncertainty, metric: false },
        span: Span::new("record", 0..0),
        key: "record".to_owned(),
    }
}
