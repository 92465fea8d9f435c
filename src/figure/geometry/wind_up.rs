//! Torque at the spring seats from brakes and drive, and what it does to the
//! housing, the perches and a weld around the tube.

use crate::figure::{Answer, Declared, Family, Given, Group, Input, Need, Output, Trouble, given};
use crate::quantity::show::FINE_ANGLE;
use crate::quantity::{
    Acceleration, Angle, AngularStiffness, Dimensioned, Force, Kind, Length, Mass, Number, Torque, unit,
};
use crate::source::Source;

const BALANCE: Source = Source::derived(
    "balance of forces and moments on the axle and the vehicle",
    "2 x 2 system of equilibrium",
);

/// Load on the front axle while slowing down, W (b + (a/g) h) / L.
#[must_use]
pub fn front_load(mass: Mass, cg: &Cg, deceleration: Acceleration) -> Force {
    let weight = mass.si() * unit::GRAVITY.to_si(1.0);
    let share = deceleration.to(unit::GRAVITY);
    Force::from_si(weight * (cg.to_rear.si() + share * cg.height.si()) / cg.wheelbase.si())
}

/// Where the centre of gravity is.
#[derive(Debug, Clone, Copy)]
pub struct Cg {
    /// Ahead of the rear axle.
    pub to_rear: Length,
    /// Above the ground.
    pub height: Length,
    /// Axle to axle.
    pub wheelbase: Length,
}

/// Moment on the pair of seats from a longitudinal force at the ground,
/// F (r + h), seat height h above the tube axis, negative below.
#[must_use]
pub fn seat_moment(force: Force, loaded_radius: Length, seat: Length) -> Torque {
    Torque::from_si(force.si() * (loaded_radius + seat).si())
}

/// Seat torque and housing rotation.
pub static WIND_UP: Family = Family {
    name: "wind-up",
    declared: Declared::OLD,
    group: Group::Geometry,
    title: "seat torque and housing rotation under brakes or drive, springs over against under",
    inputs: &[
        Input::optional("loaded_radius", Kind::Length, "loaded tyre radius").also(&[
            "r",
            "radius",
            "tyre_radius",
        ]),
        Input::optional("seat_over", Kind::Length, "spring seat above the tube axis")
            .also(&["over", "h_over", "seat"]),
        Input::optional(
            "seat_under",
            Kind::Length,
            "spring seat below the tube axis before, as a positive length",
        )
        .also(&["under", "h_under"]),
        Input::defaulted("block", Kind::Length, "0", "block or spacer on top of the new seat"),
        Input::optional(
            "force",
            Kind::Force,
            "drive or brake force at the ground for the whole axle; or give the vehicle",
        )
        .also(&["brake_force", "longitudinal_force", "f", "drive_force"]),
        Input::choice(
            "cause",
            &["braking", "drive"],
            Need::Optional,
            "what makes the force; braking if the vehicle is given, else drive",
        ),
        Input::optional("mass", Kind::Mass, "mass of the vehicle").also(&["vehicle_mass", "m"]),
        Input::optional("wheelbase", Kind::Length, "axle to axle").also(&["l"]),
        Input::optional("cg_height", Kind::Length, "centre of gravity above the ground").also(&[
            "h",
            "cog_height",
            "h_cg",
        ]),
        Input::optional("cg_to_rear", Kind::Length, "centre of gravity ahead of the rear axle").also(&[
            "cg_from_rear",
            "rear_axle_distance",
            "cg_to_rear_axle",
            "b",
        ]),
        Input::optional("deceleration", Kind::Acceleration, "deceleration of the vehicle")
            .also(&["decel", "a"]),
        Input::optional("stiffness", Kind::AngularStiffness, "wind-up stiffness of one spring").also(&[
            "wind_up_stiffness",
            "wind_up_rate",
            "windup_stiffness",
        ]),
        Input::optional("weld_spacing", Kind::Length, "distance between the two weld lines of a perch")
            .also(&["d", "line_spacing"]),
    ],
    outputs: &[
        Output::new(
            "front_load",
            "front axle load while braking",
            Kind::Force,
            "W (b + a/g h_cg) / L",
            BALANCE,
        ),
        Output::new("rear_load", "rear axle load while braking", Kind::Force, "W - front_load", BALANCE),
        Output::new("force", "force at the ground", Kind::Force, "a/g x front_load", BALANCE)
            .range("each axle brakes in proportion to its load"),
        Output::new(
            "moment_over",
            "moment on the pair of seats",
            Kind::Torque,
            "F (r + seat_over + block)",
            BALANCE,
        )
        .range("outboard brakes; drive torque at the wheels")
        .up(),
        Output::new("seat_moment_over", "moment on each seat", Kind::Torque, "moment_over / 2", BALANCE).up(),
        Output::new(
            "seat_moment_under",
            "moment on each seat with the springs under",
            Kind::Torque,
            "F (r - seat_under) / 2",
            BALANCE,
        )
        .up(),
        Output::new(
            "over_under",
            "moment over against under",
            Kind::Number,
            "(r + seat_over + block) / (r - seat_under)",
            BALANCE,
        ),
        Output::new(
            "rotation_over",
            "housing rotation",
            Kind::Angle,
            "seat_moment_over / stiffness",
            BALANCE,
        )
        .style(FINE_ANGLE),
        Output::new(
            "rotation_under",
            "housing rotation with the springs under",
            Kind::Angle,
            "seat_moment_under / stiffness",
            BALANCE,
        )
        .style(FINE_ANGLE),
        Output::new(
            "caster_change",
            "caster change of a front axle meanwhile",
            Kind::Angle,
            "- rotation when braking, + when driving",
            BALANCE,
        )
        .style(FINE_ANGLE),
        Output::new(
            "line_force",
            "force on each weld line of a perch",
            Kind::Force,
            "seat_moment_over / weld_spacing",
            BALANCE,
        )
        .range("couple alone; add the clamp preload")
        .up(),
        Output::word("turns", "housing turns", "braking: top forward; drive: top rearward", BALANCE),
    ],
    example: "mass=\"1800 kg\" wheelbase=\"2500 mm\" cg_height=\"800 mm\" cg_to_rear=\"1200 mm\" deceleration=\"0.7 g\" loaded_radius=\"400 mm\" seat_over=\"65 mm\" seat_under=\"60 mm\" stiffness=\"14400 N·m/rad\" weld_spacing=\"90 mm\"",
    run: wind_up,
};

fn wind_up(given: &Given, answer: &mut Answer) -> Result<(), Trouble> {
    if given.has("mass") && !given.has("loaded_radius") && !given.has("seat_over") {
        // Load transfer alone.
        let force = force(given, answer)?;
        answer.put("force", force);
        return Ok(());
    }
    given.require(&["loaded_radius", "seat_over"])?;
    let radius: Length = given::positive("loaded_radius", given.need("loaded_radius")?)?;
    let seat = given.need::<Length>("seat_over")? + given.or("block", Length::from_si(0.0))?;
    given::positive("loaded_radius plus seat", radius + seat)?;
    let force = force(given, answer)?;
    answer.put("force", force);
    let pair = seat_moment(force, radius, seat);
    let each = pair / 2.0;
    answer.put("moment_over", pair);
    answer.put("seat_moment_over", each);
    let under = match given.maybe::<Length>("seat_under")? {
        Some(depth) => {
            given::positive("loaded_radius less seat_under", radius - depth)?;
            let under = seat_moment(force, radius, -depth) / 2.0;
            answer.put("seat_moment_under", under);
            answer.put("over_under", Number::from_si(each / under));
            Some(under)
        }
        None => None,
    };
    let braking = given.maybe_word("cause")?.map_or(!given.has("force"), |cause| cause == "braking");
    if let Some(stiffness) = given.maybe::<AngularStiffness>("stiffness")? {
        given::positive("stiffness", stiffness)?;
        let turn = |moment: Torque| Angle::from_si(moment.si() / stiffness.si());
        answer.put("rotation_over", turn(each));
        if let Some(under) = under {
            answer.put("rotation_under", turn(under));
        }
        answer.put("caster_change", if braking { -turn(each) } else { turn(each) });
        if turn(each).to(unit::DEG) > 10.0 {
            answer.warn("The housing turns more than 10 deg; add wind-up control such as a torque arm, and check the shaft and the brake lines.");
        }
    }
    if let Some(spacing) = given.maybe::<Length>("weld_spacing")? {
        given::positive("weld_spacing", spacing)?;
        answer.put("line_force", Force::from_si(each.si() / spacing.si()));
    }
    answer.put_word("turns", if braking { "top forward" } else { "top rearward" });
    Ok(())
}

fn force(given: &Given, answer: &mut Answer) -> Result<Force, Trouble> {
    const VEHICLE: [&str; 5] = ["mass", "wheelbase", "cg_height", "cg_to_rear", "deceleration"];
    if let Some(force) = given.maybe::<Force>("force")? {
        if VEHICLE.iter().any(|name| given.has(name)) {
            return Err(Trouble::impossible(
                "the force and the vehicle are both given",
                "give one of the two",
            ));
        }
        return given::positive("force", force);
    }
    if !VEHICLE.iter().any(|name| given.has(name)) {
        return Err(Trouble::Missing(vec!["force"]));
    }
    given.require(&VEHICLE)?;
    let mass: Mass = given::positive("mass", given.need("mass")?)?;
    let cg = Cg {
        to_rear: given::positive("cg_to_rear", given.need("cg_to_rear")?)?,
        height: given::positive("cg_height", given.need("cg_height")?)?,
        wheelbase: given::positive("wheelbase", given.need("wheelbase")?)?,
    };
    let deceleration: Acceleration = given::positive("deceleration", given.need("deceleration")?)?;
    let front = front_load(mass, &cg, deceleration);
    let rear = Force::from_si(mass.si() * unit::GRAVITY.to_si(1.0)) - front;
    if rear.si() <= 0.0 {
        return Err(Trouble::impossible(
            "the rear wheels would leave the ground at this deceleration",
            "check the deceleration and the centre of gravity",
        ));
    }
    answer.put("front_load", front);
    answer.put("rear_load", rear);
    Ok(front * deceleration.to(unit::GRAVITY))
}
