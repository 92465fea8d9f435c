//! Mechanical trail and scrub radius at the ground.

use crate::figure::prelude::*;

const GROUND: Source =
    Source::derived("where the steering axis meets the ground", "3-D line-plane intersection");

family! {
    pub TRAIL = "trail" in Geometry: "mechanical trail and scrub of one wheel, also after its knuckle is turned";
    also "mechanical-trail", "caster-trail", "scrub", "scrub-radius";
    reads Trail {
        required caster: Angle in within(-45.0, 45.0, unit::DEG, GROUND),
            "caster before any turn, positive with the axis top rearward", "t";
        default kpi: Angle = "0" in within(-45.0, 45.0, unit::DEG, GROUND),
            "steering axis inclination, positive with its top inboard", "s", "sai", "inclination";
        default axis_x: Length = "0", "a point of the steering axis: ahead of the wheel centre, forward positive",
            "kingpin_x", "point_x", "x_k", "k_x", "x", "lead";
        optional axis_y: Length, "the same point: sideways from the vehicle centre, for scrub", "kingpin_y",
            "point_y", "kingpin_lateral", "lateral", "y_k", "k_y", "y";
        required axis_z: Length in within(0.0, 2500.0, unit::MM, GROUND).above_zero(),
            "the same point: height above the ground", "kingpin_z", "point_z", "kingpin_height", "z_k", "k_z", "z",
            "axis_height", "height", "loaded_radius", "rolling_radius";
        optional tyre_centre: Length, "sideways from the vehicle centre to the tyre centre", "y_tyre", "tyre",
            "tire", "tyre_y", "tire_centre", "tyre_center", "tire_center";
        default rotation: Angle = "0" in within(-45.0, 45.0, unit::DEG, GROUND),
            "turn of the knuckle about the tube, top rearward positive", "r", "turn";
        optional tube_z: Length, "height of the tube axis, if the point does not lie on it", "tube_height";
        default tube_x: Length = "0", "tube axis ahead of the wheel centre, forward positive";
    }
    rules { together(axis_y, tyre_centre); }
    gives TrailAnswer {
        caster_after: Angle, "caster used", "caster + rotation", GROUND => .style(FINE_ANGLE);
        kpi_after: Angle, "inclination used", "atan(tan kpi cos caster / cos(caster + rotation))",
            GROUND => .style(FINE_ANGLE);
        trail: Length, "mechanical trail, axis ahead of the contact centre positive", "axis_x + axis_z tan caster",
            GROUND;
        scrub: Length, "scrub radius, axis inboard of the contact centre positive",
            "tyre_centre - (axis_y + axis_z tan kpi)", GROUND;
    }
    example "caster=\"5 deg\" kpi=\"8.5 deg\" axis_y=\"620 mm\" axis_z=\"380 mm\" tyre_centre=\"740 mm\"";
    by trail
}

fn trail(given: &Trail, answer: &mut TrailAnswer) -> Result<()> {
    let caster = *given.caster;
    let rotation = *given.rotation;
    let x = *given.axis_x;
    let z = *given.axis_z;
    let tube_z = *given.tube_z;
    let tube_x = *given.tube_x;
    let (x, z) = match tube_z {
        Some(tube_z) => turned_point([x - tube_x, z - tube_z], [tube_x, tube_z], rotation),
        None => (x, z),
    };
    let after = caster + rotation;
    let kpi_after = math::atan(math::tan(*given.kpi) * math::cos(caster) / math::cos(after));
    answer.caster_after.put(after);
    answer.kpi_after.put(kpi_after);
    answer.trail.put(x + z * math::tan(after));
    if let (Some(y), Some(tyre)) = (*given.axis_y, *given.tyre_centre) {
        answer.scrub.put(tyre - (y + z * math::tan(kpi_after)));
    }
    if rotation.si() != 0.0 && tube_z.is_none() {
        answer.warn(
            "Without tube_z the point on the steering axis is taken to lie on the tube axis; \
             give tube_z if it does not.",
        );
    }
    Ok(())
}

/// A point of the knuckle, relative to the tube axis, turned with the top
/// going rearward, and set back on the tube axis.
fn turned_point(from_tube: [Length; 2], tube: [Length; 2], by: Angle) -> (Length, Length) {
    let (c, s) = (math::cos(by), math::sin(by));
    (tube[0] + from_tube[0] * c - from_tube[1] * s, tube[1] + from_tube[0] * s + from_tube[1] * c)
}
