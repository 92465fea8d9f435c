//! What turning a knuckle about the tube does to caster, inclination, camber
//! and toe.

use super::axis::{WheelAngles, camber_toe, spindle, steer_to_toe, steering_axis, turned};
use crate::figure::{Answer, Family, Given, Group, Input, Need, Output, Trouble, given};
use crate::quantity::show::FINE_ANGLE;
use crate::quantity::{Angle, Dimensioned, Kind, math, unit};
use crate::source::Source;

const ROTATION: Source = Source::derived(
    "rotation of the steering axis and the spindle about the tube axis",
    "3-D rotation matrices on both vectors, both sides",
);

/// Angles of a wheel before and after its knuckle is turned about the tube.
pub static KNUCKLE_TURN: Family = Family {
    name: "knuckle-turn",
    group: Group::Geometry,
    title: "caster, inclination, camber and toe of one side after turning its knuckle about the tube",
    inputs: &[
        Input::choice("side", &["left", "right"], Need::Optional, "side of the vehicle; with these signs both sides turn alike"),
        Input::required("caster", Kind::Angle, "caster before, positive with the axis top rearward")
            .also(&["t", "caster_before", "old_caster", "caster_old"]),
        Input::defaulted("kpi", Kind::Angle, "0", "steering axis inclination, positive with its top inboard")
            .also(&["s", "sai", "inclination", "kpi_before", "king_pin_inclination", "kingpin_inclination"]),
        Input::defaulted("camber", Kind::Angle, "0", "camber before, positive with the wheel top outboard")
            .also(&["c", "camber_before"]),
        Input::defaulted("toe", Kind::Angle, "0", "toe of this wheel before, positive with its front inboard")
            .also(&["e", "toe_before", "toe_in"]),
        Input::optional("rotation", Kind::Angle, "turn of the knuckle, positive with its top rearward")
            .also(&["r", "turn", "knuckle_rotation"]),
        Input::optional("target", Kind::Angle, "caster wanted, instead of the rotation").also(&[
            "target_caster",
            "caster_target",
            "caster_after",
            "new_caster",
            "caster_new",
        ]),
    ],
    outputs: &[
        Output::new("rotation", "turn of the knuckle", Kind::Angle, "target - caster, or as given", ROTATION)
            .style(FINE_ANGLE),
        Output::new("caster_after", "caster after", Kind::Angle, "caster + rotation", ROTATION)
            .range("straight tube square to the vehicle")
            .style(FINE_ANGLE),
        Output::new(
            "kpi_after",
            "inclination after",
            Kind::Angle,
            "atan(tan kpi cos caster / cos(caster + rotation))",
            ROTATION,
        )
        .range("straight tube square to the vehicle")
        .style(FINE_ANGLE),
        Output::new(
            "camber_after",
            "camber after, toe not yet set",
            Kind::Angle,
            "asin(sin camber cos rotation - sin toe cos camber sin rotation)",
            ROTATION,
        )
        .range("straight tube square to the vehicle")
        .style(FINE_ANGLE),
        Output::new(
            "toe_after",
            "toe of this wheel after, not yet set",
            Kind::Angle,
            "atan((sin toe cos camber cos rotation + sin camber sin rotation) / (cos camber cos toe))",
            ROTATION,
        )
        .range("straight tube square to the vehicle")
        .style(FINE_ANGLE),
        Output::new(
            "kpi_change",
            "change of inclination",
            Kind::Angle,
            "kpi_after - kpi",
            ROTATION,
        )
        .style(FINE_ANGLE),
        Output::new("camber_change", "change of camber", Kind::Angle, "camber_after - camber", ROTATION)
            .style(FINE_ANGLE),
        Output::new("toe_change", "change of toe", Kind::Angle, "toe_after - toe", ROTATION)
            .style(FINE_ANGLE),
        Output::new(
            "steer",
            "steer about the new axis that brings toe to zero",
            Kind::Angle,
            "turn about the steering axis until the spindle is square to x; positive moves the wheel front outboard",
            ROTATION,
        )
        .style(FINE_ANGLE),
        Output::new(
            "camber_at_zero_toe",
            "camber after toe is set to zero",
            Kind::Angle,
            "camber of the spindle after the steer",
            ROTATION,
        )
        .style(FINE_ANGLE),
    ],
    example: "caster=\"1 deg\" kpi=\"8.5 deg\" camber=\"1 deg\" rotation=\"9 deg\"",
    run: knuckle_turn,
};

fn knuckle_turn(given: &Given, answer: &mut Answer) -> Result<(), Trouble> {
    // Read for the record only.
    given.maybe_word("side")?;
    let zero = Angle::from_si(0.0);
    let before = WheelAngles {
        caster: given.need("caster")?,
        kpi: given.or("kpi", zero)?,
        camber: given.or("camber", zero)?,
        toe: given.or("toe", zero)?,
    };
    let rotation: Angle = match (given.maybe::<Angle>("rotation")?, given.maybe::<Angle>("target")?) {
        (Some(rotation), None) => rotation,
        (None, Some(target)) => target - before.caster,
        (None, None) => return Err(Trouble::Missing(vec!["rotation", "target"])),
        (Some(rotation), Some(target)) if (before.caster + rotation - target).to(unit::DEG).abs() < 0.05 => {
            rotation
        }
        (Some(_), Some(_)) => {
            return Err(Trouble::impossible(
                "the rotation does not lead to the target caster",
                "give either rotation or target",
            ));
        }
    };
    for (name, angle) in [
        ("caster", before.caster),
        ("kpi", before.kpi),
        ("camber", before.camber),
        ("toe", before.toe),
        ("rotation", rotation),
    ] {
        given::within(name, angle, unit::DEG, -45.0..=45.0, ROTATION)?;
    }
    let after = turn_knuckle(before, rotation);
    answer.put("rotation", rotation);
    answer.put("caster_after", after.caster);
    answer.put("kpi_after", after.kpi);
    answer.put("camber_after", after.camber);
    answer.put("toe_after", after.toe);
    answer.put("kpi_change", after.kpi - before.kpi);
    answer.put("camber_change", after.camber - before.camber);
    answer.put("toe_change", after.toe - before.toe);
    if let Some((steer, camber)) = zero_toe(after) {
        answer.put("steer", steer);
        answer.put("camber_at_zero_toe", camber);
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

/// Steer about the steering axis that brings toe to zero, positive with the
/// wheel front going outboard, and the camber then. `None` if toe can't be zero.
#[must_use]
pub fn zero_toe(wheel: WheelAngles) -> Option<(Angle, Angle)> {
    let axis = steering_axis(wheel.caster, wheel.kpi);
    let out = spindle(wheel.camber, wheel.toe);
    let steer = steer_to_toe(out, axis, Angle::from_si(0.0))?;
    Some((steer, camber_toe(turned(out, axis, steer)).0))
}
