//! Torque at the spring seats from brakes and drive, and what it does to the
//! housing, the perches and a weld around the tube.

use crate::figure::prelude::*;
use crate::figure::usual::TYRE_RADIUS;

const BALANCE: Source = Source::derived(
    "balance of forces and moments on the axle and the vehicle",
    "2 x 2 system of equilibrium",
);

const GRIP: Source = Source::practice("no road tyre brakes a vehicle harder than 1.5 g");

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
fn seat_moment(force: Force, loaded_radius: Length, seat: Length) -> Torque {
    Torque::from_si(force.si() * (loaded_radius + seat).si())
}

words! {
    /// What makes the force.
    pub Cause {
        Braking = "braking" | "brake",
        Drive = "drive" | "driving",
    }
}

family! {
    pub WIND_UP = "wind-up" in Geometry:
        "seat torque and housing rotation under brakes or drive, springs over against under";
    also "axle-wrap", "axle-windup", "spring-wrap", "load-transfer", "brake-load-transfer", "seat-torque";
    reads WindUp {
        optional loaded_radius: Length in TYRE_RADIUS, "loaded tyre radius", "r", "radius", "tyre_radius";
        optional seat_over: Length, "spring seat above (+) or below (-) the tube axis", "over", "h_over", "seat";
        optional seat_under: Length in NOT_NEGATIVE, "spring seat below the tube axis before, as a positive length", "under",
            "h_under";
        default block: Length = "0" in NOT_NEGATIVE, "block or spacer on top of the new seat";
        optional force: Force in ABOVE_ZERO,
            "drive or brake force at the ground for the whole axle; or give the vehicle", "brake_force",
            "longitudinal_force", "f", "drive_force";
        optional torque: Torque in ABOVE_ZERO, "instead of force: drive or brake torque at the wheels for the whole axle",
            "axle_torque", "wheel_torque", "brake_torque", "drive_torque";
        optional cause: Cause, "what makes the force; braking if the vehicle is given, else drive";
        optional mass: Mass in ABOVE_ZERO, "mass of the vehicle", "vehicle_mass", "m", "gvw", "gvm";
        optional wheelbase: Length in ABOVE_ZERO, "axle to axle", "l";
        optional cg_height: Length in ABOVE_ZERO, "centre of gravity above the ground", "h", "cog_height", "h_cg";
        optional cg_to_rear: Length in ABOVE_ZERO, "centre of gravity ahead of the rear axle", "cg_from_rear",
            "rear_axle_distance", "cg_to_rear_axle", "b", "l_r";
        optional deceleration: Acceleration in within(0.0, 1.5, unit::GRAVITY, GRIP).above_zero(), "deceleration of the vehicle", "decel", "a";
        optional stiffness: AngularStiffness in ABOVE_ZERO, "wind-up stiffness of one spring", "wind_up_stiffness",
            "wind_up_rate", "windup_stiffness", "k";
        optional weld_spacing: Length in ABOVE_ZERO, "distance between the two weld lines of a perch", "d",
            "line_spacing";
    }
    rules {
        one_of(force, torque, mass);
        together(mass, wheelbase, cg_height, cg_to_rear, deceleration);
        together(loaded_radius, seat_over);
        needs(force, loaded_radius);
        needs(torque, loaded_radius);
    }
    gives WindUpAnswer {
        front_load: Force, "front axle load while braking", "W (b + a/g h_cg) / L", BALANCE;
        rear_load: Force, "rear axle load while braking", "W - front_load", BALANCE;
        force: Force, "force at the ground", "a/g x front_load",
            BALANCE => .range("each axle brakes in proportion to its load");
        moment_over: Torque, "moment on the pair of seats", "F (r + seat_over + block)",
            BALANCE => .range("outboard brakes; drive torque at the wheels").up();
        seat_moment_over: Torque, "moment on each seat", "moment_over / 2", BALANCE => .up();
        seat_moment_under: Torque, "moment on each seat with the springs under", "F (r - seat_under) / 2",
            BALANCE => .up();
        over_under: Number, "moment over against under", "(r + seat_over + block) / (r - seat_under)", BALANCE;
        rotation_over: Angle, "housing rotation", "seat_moment_over / stiffness", BALANCE => .style(FINE_ANGLE);
        rotation_under: Angle, "housing rotation with the springs under", "seat_moment_under / stiffness",
            BALANCE => .style(FINE_ANGLE);
        caster_change: Angle, "caster change of a front axle meanwhile", "- rotation when braking, + when driving",
            BALANCE => .style(FINE_ANGLE);
        line_force: Force, "force on each weld line of a perch", "seat_moment_over / weld_spacing",
            BALANCE => .range("couple alone; add the clamp preload").up();
        turns: String, "housing turns", "braking: top forward; drive: top rearward", BALANCE;
    }
    asked seat_moment_over;
    example "mass=\"1800 kg\" wheelbase=\"2500 mm\" cg_height=\"800 mm\" cg_to_rear=\"1200 mm\" deceleration=\"0.7 g\" loaded_radius=\"400 mm\" seat_over=\"65 mm\" seat_under=\"60 mm\" stiffness=\"14400 N·m/rad\" weld_spacing=\"90 mm\"";
    by wind_up
}

fn wind_up(given: &WindUp, answer: &mut WindUpAnswer) -> Result<()> {
    if given.mass.given() && !given.loaded_radius.given() && !given.seat_over.given() {
        // Load transfer alone.
        let force = force(given, answer)?;
        answer.force.put(force);
        return Ok(());
    }
    let radius = given.loaded_radius.need()?;
    let seat = given.seat_over.need()? + *given.block;
    positive("loaded_radius plus seat", radius + seat)?;
    let force = force(given, answer)?;
    answer.force.put(force);
    let pair = seat_moment(force, radius, seat);
    let each = pair / 2.0;
    answer.moment_over.put(pair);
    answer.seat_moment_over.put(each);
    let under = match *given.seat_under {
        Some(depth) => {
            positive("loaded_radius less seat_under", radius - depth)?;
            let under = seat_moment(force, radius, -depth) / 2.0;
            answer.seat_moment_under.put(under);
            answer.over_under.put(Number::from_si(each / under));
            Some(under)
        }
        None => None,
    };
    (given.deceleration.given() && *given.cause == Some(Cause::Drive)).refuse(
        "the force comes from a deceleration and its cause is said to be drive",
        "leave out cause, or give the drive force as force",
    )?;
    let braking = given.cause.map_or(given.mass.given(), |cause| cause == Cause::Braking);
    if let Some(stiffness) = *given.stiffness {
        let turn = |moment: Torque| Angle::from_si(moment.si() / stiffness.si());
        within(-45.0, 45.0, unit::DEG, BALANCE).check("rotation_over, from stiffness", turn(each).into())?;
        answer.rotation_over.put(turn(each));
        answer.rotation_under.put_some(under.map(&turn));
        answer.caster_change.put(if braking { -turn(each) } else { turn(each) });
        if turn(each).to(unit::DEG) > 10.0 {
            answer.warn("The housing turns more than 10 deg; add wind-up control such as a torque arm, and check the shaft and the brake lines.");
        }
    }
    answer.line_force.put_some(given.weld_spacing.map(|spacing| Force::from_si(each.si() / spacing.si())));
    answer.turns.put(if braking { "top forward" } else { "top rearward" });
    Ok(())
}

fn force(given: &WindUp, answer: &mut WindUpAnswer) -> Result<Force> {
    if let Some(force) = *given.force {
        return Ok(force);
    }
    if let Some(torque) = *given.torque {
        return Ok(Force::from_si(torque.si() / given.loaded_radius.need()?.si()));
    }
    let mass = given.mass.need()?;
    let cg = Cg {
        to_rear: given.cg_to_rear.need()?,
        height: given.cg_height.need()?,
        wheelbase: given.wheelbase.need()?,
    };
    let deceleration = given.deceleration.need()?;
    let front = front_load(mass, &cg, deceleration);
    let rear = Force::from_si(mass.si() * unit::GRAVITY.to_si(1.0)) - front;
    (rear.si() <= 0.0).refuse(
        "the rear wheels would leave the ground at this deceleration",
        "check the deceleration and the centre of gravity",
    )?;
    answer.front_load.put(front);
    answer.rear_load.put(rear);
    Ok(front * deceleration.to(unit::GRAVITY))
}
