//! What turning a knuckle about the tube does to caster, inclination, camber
//! and toe.

use super::Side;
use super::axis::{WheelAngles, camber_toe, spindle, steer_to_toe, steering_axis, turned};
use crate::figure::prelude::*;
use crate::figure::rule::agree;

const ROTATION: Source = Source::derived(
    "rotation of the steering axis and the spindle about the tube axis",
    "3-D rotation matrices on both vectors, both sides",
);

family! {
    pub KNUCKLE_TURN = "knuckle-turn" in Geometry:
        "caster, inclination, camber and toe of one side after turning its knuckle about the tube";
    also "kpi", "steering-axis", "steering-axis-inclination", "knuckle", "turned-knuckle", "caster-kpi-camber-toe";
    reads KnuckleTurn {
        optional side: Side, "side of the vehicle; with these signs both sides turn alike";
        required caster: Angle in within(-45.0, 45.0, unit::DEG, ROTATION),
            "caster before, positive with the axis top rearward", "t", "caster_before", "old_caster", "caster_old";
        default kpi: Angle = "0" in within(-45.0, 45.0, unit::DEG, ROTATION),
            "steering axis inclination, positive with its top inboard", "s", "sai", "inclination", "kpi_before",
            "king_pin_inclination", "kingpin_inclination";
        default camber: Angle = "0" in within(-45.0, 45.0, unit::DEG, ROTATION),
            "camber before, positive with the wheel top outboard", "c", "camber_before";
        default toe: Angle = "0" in within(-45.0, 45.0, unit::DEG, ROTATION),
            "toe of this wheel before, positive with its front inboard", "e", "toe_before", "toe_in";
        default toe_wanted: Angle = "0" in within(-45.0, 45.0, unit::DEG, ROTATION),
            "toe of this wheel to set afterwards", "toe_target", "target_toe";
        optional rotation: Angle in within(-45.0, 45.0, unit::DEG, ROTATION),
            "turn of the knuckle, positive with its top rearward", "r", "turn", "knuckle_rotation", "phi";
        optional target: Angle, "caster wanted, instead of the rotation", "target_caster", "caster_target",
            "caster_after", "new_caster", "caster_new";
    }
    rules { some_of(rotation, target); }
    gives KnuckleTurnAnswer {
        rotation: Angle, "turn of the knuckle", "target - caster, or as given", ROTATION => .style(FINE_ANGLE);
        caster_after: Angle, "caster after", "caster + rotation",
            ROTATION => .range("straight tube square to the vehicle").style(FINE_ANGLE);
        kpi_after: Angle, "inclination after", "atan(tan kpi cos caster / cos(caster + rotation))",
            ROTATION => .range("straight tube square to the vehicle").style(FINE_ANGLE);
        camber_after: Angle, "camber after, toe not yet set",
            "asin(sin camber cos rotation - sin toe cos camber sin rotation)",
            ROTATION => .range("straight tube square to the vehicle").style(FINE_ANGLE);
        toe_after: Angle, "toe of this wheel after, not yet set",
            "atan((sin toe cos camber cos rotation + sin camber sin rotation) / (cos camber cos toe))",
            ROTATION => .range("straight tube square to the vehicle").style(FINE_ANGLE);
        kpi_change: Angle, "change of inclination", "kpi_after - kpi", ROTATION => .style(FINE_ANGLE);
        camber_change: Angle, "change of camber", "camber_after - camber", ROTATION => .style(FINE_ANGLE);
        toe_change: Angle, "change of toe", "toe_after - toe", ROTATION => .style(FINE_ANGLE);
        steer: Angle, "steer about the new axis that brings toe to toe_wanted",
            "turn about the steering axis until the wheel shows toe_wanted; positive moves the wheel front outboard",
            ROTATION => .style(FINE_ANGLE);
        camber_at_zero_toe: Angle, "camber after toe is set", "camber of the spindle after the steer",
            ROTATION => .style(FINE_ANGLE);
    }
    asked caster_after;
    example "caster=\"1 deg\" kpi=\"8.5 deg\" camber=\"1 deg\" rotation=\"9 deg\"";
    by knuckle_turn
}

fn knuckle_turn(given: &KnuckleTurn, answer: &mut KnuckleTurnAnswer) -> Result<()> {
    // Read for the record only.
    let _ = *given.side;
    let before =
        WheelAngles { caster: *given.caster, kpi: *given.kpi, camber: *given.camber, toe: *given.toe };
    let aimed = given.target.map(|target| target - before.caster);
    if let (Some(rotation), Some(aimed)) = (*given.rotation, aimed) {
        agree(("rotation", rotation), ("target - caster", aimed), Angle::of(0.05, unit::DEG))?;
    }
    let rotation = match given.rotation.or(aimed) {
        Some(rotation) => rotation,
        None => given.target.need()?,
    };
    let after = turn_knuckle(before, rotation);
    answer.rotation.put(rotation);
    answer.caster_after.put(after.caster);
    answer.kpi_after.put(after.kpi);
    answer.camber_after.put(after.camber);
    answer.toe_after.put(after.toe);
    answer.kpi_change.put(after.kpi - before.kpi);
    answer.camber_change.put(after.camber - before.camber);
    answer.toe_change.put(after.toe - before.toe);
    if let Some((steer, camber)) = steer_to(after, *given.toe_wanted) {
        answer.steer.put(steer);
        answer.camber_at_zero_toe.put(camber);
    }
    if (after.toe - before.toe).to(unit::DEG).abs() > 0.02 {
        answer.warn("Turning the knuckle moves the toe because camber is not zero; set toe last.");
    }
    if (after.kpi - before.kpi).to(unit::DEG).abs() > 0.1 {
        answer.warn("The inclination changes with the turn; re-read it, do not check caster alone.");
    }
    Ok(())
}

/// The four angles after the knuckle is turned by `rotation` about a straight
/// tube parallel to y, top rearward positive. The same for both sides.
#[must_use]
pub fn turn_knuckle(before: WheelAngles, rotation: Angle) -> WheelAngles {
    // The turn is about -y for the top to go rearward.
    let tube = [0.0, -1.0, 0.0];
    // A projected angle in the plane square to the tube only adds.
    let caster = before.caster + rotation;
    let kpi = math::atan(math::tan(before.kpi) * math::cos(before.caster) / math::cos(caster));
    let (camber, toe) = camber_toe(turned(spindle(before.camber, before.toe), tube, rotation));
    WheelAngles { caster, kpi, camber, toe }
}

/// Steer about the steering axis that brings toe to `wanted`, positive with the
/// wheel front going outboard, and the camber then. `None` if it can't.
#[must_use]
pub fn steer_to(wheel: WheelAngles, wanted: Angle) -> Option<(Angle, Angle)> {
    let axis = steering_axis(wheel.caster, wheel.kpi);
    let out = spindle(wheel.camber, wheel.toe);
    let steer = steer_to_toe(out, axis, wanted)?;
    Some((steer, camber_toe(turned(out, axis, steer)).0))
}
