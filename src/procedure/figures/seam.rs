//! Strength of the welds the road loads: the knuckle seam under braking and
//! cornering, the pads under wind-up.

use super::inputs::{Inputs, to};
use super::keys::{Key, of_axle as axle_key_of};
use super::{JobFigures, Owner};
use crate::figure::geometry::wind_up::{WindUp, WindUpAnswer};
use crate::figure::welding::perch_weld::{PerchWeld, PerchWeldAnswer};
use crate::figure::welding::tube_seam::{Joint as SeamJoint, TubeSeam, TubeSeamAnswer};
use crate::figure::welding::weld_strength::{Size, Strength};
use crate::file::{Located, Reading};
use crate::job::JobFile;
use crate::job::model::{Axle, Component, Joint, WeldType};
use crate::procedure::catalogue::{component, joint};
use crate::quantity::{Dimensioned, Force, Number, Stress, unit};
use crate::source::Source;

const WORST: Source = Source::derived(
    "greatest of braking, cornering and both together, each within the grip of the tyre",
    "moments about the axle, outer and inner wheel",
);
/// Standard gravity, m/s2 (ISO 80000-3).
const GRAVITY: f64 = 9.80665;

/// The knuckle seam under braking and cornering, and the perch weld under wind-up, where the
/// axle the joint is on tells the loads.
pub(super) fn compute(
    job: &JobFile,
    joint: &Joint,
    owner: &Owner,
    key: Key<'_>,
    electrode: Option<&str>,
    sheet: &mut JobFigures,
) {
    let Some(Component::Axle(axle)) = job.component(&joint.on.value) else { return };
    let axle_owner = Owner::Component(axle.id.0.clone());
    let axle_key = |field: &str| axle_key_of(axle, field);
    // What the job states of the weld metal wins over the class of its filler.
    let pad = axle.pad.as_ref().filter(|_| *joint.usage.0 == *"pad");
    let stated = [joint.weld_strength.as_ref(), pad.and_then(|p| p.weld_strength.as_ref())];
    let stated = least_strength(stated.into_iter().flatten());
    let electrode = stated.as_deref().or(electrode);
    if joint.around.is_some() && axle.steered && job.unit.braking.is_some() {
        knuckle_seam(job, axle, joint, owner, key, electrode, sheet);
    }
    if *joint.usage.0 == *"pad"
        && sheet.get(&axle_owner, component::wind_up_after).is_some()
        && joint.kind.value == WeldType::Fillet
    {
        let pad = axle.pad.as_ref();
        let mut inputs = Inputs::<PerchWeld>::new();
        inputs
            .with(PerchWeld::length, key("length"), joint.length.as_ref())
            .with(PerchWeld::spacing, axle_key("pad.weld_spread"), pad.and_then(|p| p.weld_spread.as_ref()))
            .figure(PerchWeld::couple, sheet, &axle_owner, component::wind_up_after)
            .figure(Size::leg, sheet, owner, joint::size)
            .word(Strength::electrode, key("filler"), electrode);
        sheet.run(owner, &inputs, &[to(PerchWeldAnswer::utilisation, joint::utilisation)]);
        let loads = sheet.quantity(owner, joint::utilisation);
        if let Some(loads) = loads.filter(|loads| loads.si() > 1.0) {
            sheet.concern(
                &axle.id.value,
                "pad-weld",
                format!(
                    "Pad weld {}. Wind-up loads it to {} of what is allowed. A longer pad, a larger leg or a licensed engineer's release before anything is welded; write which.",
                    joint.id.value,
                    crate::quantity::Style::of(crate::quantity::Kind::Number).up().shop(loads.into())
                ),
            );
        }
    }
}

/// The least of the strengths stated, each at the low end of its limit of error (JCGM
/// 100, 4.3.7: a limit is the root of 3 times its standard uncertainty).
fn least_strength<'a>(stated: impl Iterator<Item = &'a Located<Reading<Stress>>>) -> Option<String> {
    let low = |s: &Located<Reading<Stress>>| s.value.value.si() - 3.0_f64.sqrt() * s.value.uncertainty;
    let least = stated.map(low).min_by(f64::total_cmp)?;
    Some(format!("{} MPa", least / 1e6))
}

/// Forces of one wheel at the ground: vertical, along, and inboard positive.
struct Wheel {
    load: f64,
    along: f64,
    inboard: f64,
}

/// Share of the weight on its axle below which a wheel is off the ground.
const LIFTED: f64 = 1e-3;

/// What the tyres put into the knuckle seam, from mass, track, height of the
/// centre of gravity and grip. None while one of them is not known: no load
/// case is taken as zero.
fn wheels(
    job: &JobFile,
    axle: &Axle,
    axle_owner: &Owner,
    sheet: &JobFigures,
) -> Result<Vec<Wheel>, Vec<String>> {
    let unit = &job.unit;
    let mut needs = Vec::new();
    let mut value = |key: &str, si: Option<f64>| {
        if si.is_none() {
            needs.push(key.to_owned());
        }
        si.unwrap_or(f64::NAN)
    };
    let mass = value("unit.mass", unit.mass.as_ref().map(|m| m.value.value.si()));
    let base = value("unit.wheelbase", unit.wheelbase.as_ref().map(|l| l.value.value.si()));
    let to_rear = value("unit.cg_to_rear", unit.cg_to_rear.as_ref().map(|l| l.value.value.si()));
    let track = value("unit.track", unit.track.as_ref().map(|l| l.value.value.si()));
    let height = value("unit.cg_height", unit.cg_height.as_ref().map(|l| l.value.value.si()));
    let grip = axle.tyre.as_ref().and_then(|t| t.grip.as_ref()).map(|g| g.value.value.to(unit::ONE));
    let grip = value(&axle_key_of(axle, "tyre.grip"), grip);
    let braked = sheet
        .output::<WindUp, _>(axle_owner, WindUpAnswer::front_load)
        .and_then(|figure| figure.value.quantity())
        .map(crate::quantity::Quantity::si);
    let braked = value("the braking load on the axle (unit.braking)", braked);
    if !needs.is_empty() {
        return Err(needs);
    }
    let share = if axle.is_front() { to_rear / base } else { 1.0 - to_rear / base };
    let still = mass * GRAVITY * share;
    // A unit that tips before it slides is never cornered harder.
    let hardest =
        unit.cornering.as_ref().map_or(grip.min(track / (2.0 * height)), |a| a.value.value.si() / GRAVITY);
    let pair = |axle_load: f64, along: f64, across: f64| {
        let moved = axle_load * across * height / track;
        let (outer, inner) = (axle_load / 2.0 + moved, (axle_load / 2.0 - moved).max(0.0));
        // The ground pushes both wheels toward the inside of the turn: the
        // outer one inboard, the inner one outboard.
        [
            Wheel { load: outer, along: along * outer, inboard: across * outer },
            Wheel { load: inner, along: along * inner, inboard: -across * inner },
        ]
    };
    let both = std::f64::consts::FRAC_1_SQRT_2;
    let mut all = vec![Wheel { load: braked / 2.0, along: grip * braked / 2.0, inboard: 0.0 }];
    all.extend(pair(still, 0.0, hardest));
    all.extend(pair(braked, grip * both, hardest * both));
    // A wheel that just lifts carries the noise of the last digit.
    all.retain(|w| w.load > LIFTED * still);
    Ok(all)
}

fn knuckle_seam(
    job: &JobFile,
    axle: &Axle,
    joint: &Joint,
    owner: &Owner,
    key: Key<'_>,
    electrode: Option<&str>,
    sheet: &mut JobFigures,
) {
    let axle_owner = Owner::Component(axle.id.0.clone());
    let axle_key = |field: &str| axle_key_of(axle, field);
    let wheels = match wheels(job, axle, &axle_owner, sheet) {
        Ok(wheels) => wheels,
        Err(needs) => {
            let why =
                format!("the knuckle seam under braking and cornering still needs {}", needs.join(", "));
            return sheet.miss(owner, &[joint::utilisation.name()], needs, why);
        }
    };
    let tyre = axle.tyre.as_ref();
    let mut worst: Option<(f64, crate::figure::Figure)> = None;
    for wheel in wheels {
        let force = |si: f64| Some(Force::from_si(si));
        let mut inputs = Inputs::<TubeSeam>::new();
        inputs
            .with(TubeSeam::tube_od, key("around"), joint.around.as_ref())
            .with(TubeSeam::wall, key("thickness"), joint.thin())
            // What is worked out from several keys is called by none of them.
            .with(TubeSeam::wheel_load, "the load on a wheel when it brakes or corners", force(wheel.load))
            .with(TubeSeam::brake_force, "the braking force of a wheel", force(wheel.along))
            .with(TubeSeam::lateral, "the side force of a wheel", force(-wheel.inboard))
            .with(TubeSeam::axial, "the side force of a wheel", force(wheel.inboard.abs()))
            .with(TubeSeam::tyre_radius, axle_key("tyre.radius"), tyre.and_then(|t| t.radius.as_ref()))
            .with(TubeSeam::offset, axle_key("tyre.seam_offset"), tyre.and_then(|t| t.seam_offset.as_ref()))
            .word(Strength::electrode, key("filler"), electrode);
        if joint.kind.value == WeldType::Fillet {
            inputs.figure(Size::leg, sheet, owner, joint::size).with(
                TubeSeam::joint,
                "",
                Some(SeamJoint::Fillet),
            );
        } else if joint.kind.value == WeldType::Plug {
            return;
        } else {
            inputs.with(TubeSeam::joint, "", Some(SeamJoint::Pjp)).figure(
                Size::throat,
                sheet,
                owner,
                joint::size,
            );
        }
        if !sheet.run(owner, &inputs, &[]) {
            return;
        }
        let found = sheet.output::<TubeSeam, _>(owner, TubeSeamAnswer::utilisation).cloned();
        let Some(figure) = found else { return };
        let size = figure.value.quantity().map_or(f64::NAN, |q| q.si());
        if worst.as_ref().is_none_or(|(w, _)| size > *w) {
            worst = Some((size, figure));
        }
    }
    if let Some((size, figure)) = worst {
        sheet.derive_as(owner, joint::utilisation, &figure, "greatest of the load cases above", WORST);
        if size > 1.0 {
            let loads = Number::from_si(size);
            sheet.concern(
                &axle.id.value,
                "knuckle-seam",
                format!(
                    "Knuckle seam {}. Braking and cornering load it to {} of what is allowed. A deeper groove, a larger section or a licensed engineer's release before anything is cut; write which.",
                    joint.id.value,
                    crate::quantity::Style::of(crate::quantity::Kind::Number).up().shop(loads.into())
                ),
            );
        }
    }
}
