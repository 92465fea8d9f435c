//! Mechanical trail and scrub radius at the ground.

use crate::figure::{Answer, Declared, Family, Given, Group, Input, Output, Trouble, given};
use crate::quantity::show::FINE_ANGLE;
use crate::quantity::{Angle, Dimensioned, Kind, Length, math, unit};
use crate::source::Source;

const GROUND: Source =
    Source::derived("where the steering axis meets the ground", "3-D line-plane intersection");

/// Trail and scrub of one wheel.
pub static TRAIL: Family = Family {
    name: "trail",
    declared: Declared::OLD,
    group: Group::Geometry,
    title: "mechanical trail and scrub of one wheel, also after its knuckle is turned",
    inputs: &[
        Input::required("caster", Kind::Angle, "caster before any turn, positive with the axis top rearward")
            .also(&["t"]),
        Input::defaulted("kpi", Kind::Angle, "0", "steering axis inclination, positive with its top inboard")
            .also(&["s", "sai", "inclination"]),
        Input::defaulted(
            "axis_x",
            Kind::Length,
            "0",
            "a point of the steering axis: ahead of the wheel centre, forward positive",
        )
        .also(&["kingpin_x", "point_x", "x_k", "k_x", "x"]),
        Input::optional(
            "axis_y",
            Kind::Length,
            "the same point: sideways from the vehicle centre, for scrub",
        )
        .also(&["kingpin_y", "point_y", "kingpin_lateral", "lateral", "y_k", "k_y", "y"]),
        Input::required("axis_z", Kind::Length, "the same point: height above the ground").also(&[
            "kingpin_z",
            "point_z",
            "kingpin_height",
            "z_k",
            "k_z",
            "z",
            "axis_height",
            "height",
        ]),
        Input::optional("tyre_centre", Kind::Length, "sideways from the vehicle centre to the tyre centre")
            .also(&["y_tyre", "tyre", "tire", "tyre_y", "tire_centre", "tyre_center", "tire_center"]),
        Input::defaulted(
            "rotation",
            Kind::Angle,
            "0",
            "turn of the knuckle about the tube, top rearward positive",
        )
        .also(&["r", "turn"]),
        Input::optional("tube_z", Kind::Length, "height of the tube axis, if the point does not lie on it")
            .also(&["tube_height"]),
        Input::defaulted(
            "tube_x",
            Kind::Length,
            "0",
            "tube axis ahead of the wheel centre, forward positive",
        ),
    ],
    outputs: &[
        Output::new("caster_after", "caster used", Kind::Angle, "caster + rotation", GROUND)
            .style(FINE_ANGLE),
        Output::new(
            "kpi_after",
            "inclination used",
            Kind::Angle,
            "atan(tan kpi cos caster / cos(caster + rotation))",
            GROUND,
        )
        .style(FINE_ANGLE),
        Output::new(
            "trail",
            "mechanical trail, axis ahead of the contact centre positive",
            Kind::Length,
            "axis_x + axis_z tan caster",
            GROUND,
        ),
        Output::new(
            "scrub",
            "scrub radius, axis inboard of the contact centre positive",
            Kind::Length,
            "tyre_centre - (axis_y + axis_z tan kpi)",
            GROUND,
        ),
    ],
    example: "caster=\"5 deg\" kpi=\"8.5 deg\" axis_y=\"620 mm\" axis_z=\"380 mm\" tyre_centre=\"740 mm\"",
    run: trail,
};

fn trail(given: &Given, answer: &mut Answer) -> Result<(), Trouble> {
    let zero = Angle::from_si(0.0);
    let caster: Angle = given.need("caster")?;
    let kpi: Angle = given.or("kpi", zero)?;
    let rotation: Angle = given.or("rotation", zero)?;
    for (name, angle) in [("caster", caster), ("kpi", kpi), ("rotation", rotation)] {
        given::within(name, angle, unit::DEG, -45.0..=45.0, GROUND)?;
    }
    let x: Length = given.or("axis_x", Length::from_si(0.0))?;
    let z: Length = given::positive("axis_z", given.need("axis_z")?)?;
    given::within("axis_z", z, unit::MM, 0.0..=2500.0, GROUND)?;
    let tube_z: Option<Length> = given.maybe("tube_z")?;
    let tube_x: Length = given.or("tube_x", Length::from_si(0.0))?;
    let (x, z) = match tube_z {
        Some(tube_z) => turned_point([x - tube_x, z - tube_z], [tube_x, tube_z], rotation),
        None => (x, z),
    };
    let after = caster + rotation;
    let kpi_after = math::atan(math::tan(kpi) * math::cos(caster) / math::cos(after));
    answer.put("caster_after", after);
    answer.put("kpi_after", kpi_after);
    answer.put("trail", x + z * math::tan(after));
    if given.has("axis_y") || given.has("tyre_centre") {
        given.require(&["axis_y", "tyre_centre"])?;
        let y: Length = given.need("axis_y")?;
        let tyre: Length = given.need("tyre_centre")?;
        answer.put("scrub", tyre - (y + z * math::tan(kpi_after)));
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
