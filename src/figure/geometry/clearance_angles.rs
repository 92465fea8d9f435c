//! Approach, departure and breakover angles over the loaded tyres.

use crate::figure::prelude::*;
use crate::figure::usual::TYRE_RADIUS;

const TANGENT: Source = Source::derived(
    "line from an underside point tangent to the loaded tyre arc, defined as in 49 CFR 523.2",
    "root of tan A = z / (x - r tan(A/2))",
);
const SHORT: Source =
    Source::practice("2 atan(2 clearance / wheelbase), without tyre radius: a comparison, not a measurement");
const OFF_HIGHWAY: Source =
    Source::standard("49 CFR 523.5", "off-highway operation, four of five").from_memory();

/// Angle above level of the line from an underside point, `x` from the wheel
/// centre and `z` above the ground, that is tangent to the loaded tyre.
///
/// # Errors
/// If the point is inside the tyre.
pub fn tangent_angle(x: Length, z: Length, loaded_radius: Length) -> Result<Angle> {
    (z.si() < 0.0).refuse("an underside point lies below the ground", "check its height")?;
    let below = loaded_radius - z;
    let reach = math::hypot(x.si(), below.si());
    (x.si() <= 0.0 || reach < loaded_radius.si()).refuse(
        "an underside point lies inside the loaded tyre",
        "check its distance from the wheel centre, its height and the radius",
    )?;
    Ok(math::asin(loaded_radius.si() / reach) - math::atan2(below.si(), x.si()))
}

family! {
    pub CLEARANCE_ANGLES = "clearance-angles" in Geometry:
        "approach, departure and breakover angles before and after a lift";
    also "ramp-breakover", "approach", "departure", "breakover", "approach-angle", "departure-angle";
    reads ClearanceAngles {
        optional radius: Length in TYRE_RADIUS,
            "loaded tyre radius, front; without it angles from the point under the wheel, which read low", "r",
            "loaded_radius", "radius_front";
        optional radius_rear: Length in TYRE_RADIUS, "loaded tyre radius, rear; the front one if absent";
        many approach_x: Length, "points ahead of the front wheel: distance from its centre", "x", "distance",
            "front_x", "x_front", "front_overhang", "approach_distance";
        many approach_z: Length, "their heights above the ground", "z", "height", "front_z", "z_front",
            "front_height", "approach_height";
        many departure_x: Length, "points behind the rear wheel: distance from its centre", "rear_x", "x_rear",
            "rear_overhang", "departure_distance";
        many departure_z: Length, "their heights above the ground", "rear_z", "z_rear", "rear_height",
            "departure_height";
        optional wheelbase: Length in ABOVE_ZERO.usually(1.2, 8.0, unit::M), "axle to axle, for breakover", "l";
        many belly_x: Length, "belly points behind the front wheel centre; half the wheelbase if absent",
            "breakover_x", "belly_distance", "belly_from_front", "belly_front";
        many belly_z: Length, "their heights above the ground", "breakover_z", "belly_height", "breakover_height",
            "ground_clearance", "belly_clearance", "clearance";
        default lift: Length = "0", "lift of the body";
        default tyre_growth: Length = "0", "growth of the loaded radius", "radius_change", "tyre_radius_change",
            "loaded_radius_change", "radius_growth", "tire_growth";
        default front_forward: Length = "0", "front axle moved forward", "axle_forward";
        default rear_rearward: Length = "0", "rear axle moved rearward";
        optional running_clearance: Length in ABOVE_ZERO, "least height of the body, after";
        optional axle_clearance: Length in ABOVE_ZERO, "least height of the axles, after";
    }
    rules {
        together(approach_x, approach_z);
        together(departure_x, departure_z);
        needs(belly_x, belly_z);
        needs(belly_z, wheelbase);
        needs(radius_rear, radius);
    }
    gives ClearanceAnglesAnswer {
        approach: Angle, "approach angle", "asin(r / hypot(x, r - z)) - atan2(r - z, x), least of the points",
            TANGENT => .style(ANGLE).down();
        approach_after: Angle, "approach angle after", "the same after lift, tyre and axle shift",
            TANGENT => .style(ANGLE).down();
        departure: Angle, "departure angle", "asin(r / hypot(x, r - z)) - atan2(r - z, x), least of the points",
            TANGENT => .style(ANGLE).down();
        departure_after: Angle, "departure angle after", "the same after lift, tyre and axle shift",
            TANGENT => .style(ANGLE).down();
        breakover: Angle, "breakover angle", "front + rear angle of a belly point, least of the points",
            TANGENT => .style(ANGLE).down();
        breakover_after: Angle, "breakover angle after", "the same after lift, tyre and axle shift",
            TANGENT => .style(ANGLE).down();
        breakover_short: Angle, "short form, for comparison", "2 atan(2 clearance / wheelbase)",
            SHORT => .range("comparison only: no tyre radius, centred point; reads low").style(ANGLE);
        criteria_met: Number, "off-highway criteria met after, of five",
            "approach 28, breakover 14, departure 20 deg, running 20, axle clearance 18 cm", OFF_HIGHWAY =>
            .style(WHOLE);
    }
    example "radius=\"380 mm\" approach_x=\"600 mm\" approach_z=\"500 mm\" departure_x=\"900 mm\" departure_z=\"480 mm\" wheelbase=\"2400 mm\" belly_z=\"230 mm\" lift=\"120 mm\" tyre_growth=\"20 mm\"";
    by clearance_angles
}

/// Change of the body and the axles.
struct Change {
    rise: Length,
    growth: Length,
    front_forward: Length,
    rear_rearward: Length,
}

fn points(x: &Read<Vec<Length>>, z: &Read<Vec<Length>>) -> Result<Vec<(Length, Length)>> {
    if x.len() != z.len() {
        return Err(Trouble::impossible(
            format!("{} has {} values and {} has {}", x.name(), x.len(), z.name(), z.len()),
            "give one height for each distance",
        ));
    }
    Ok(x.iter().copied().zip(z.iter().copied()).collect())
}

fn least(angles: impl Iterator<Item = Result<Angle>>) -> Result<Option<Angle>> {
    let mut least: Option<Angle> = None;
    for angle in angles {
        let angle = angle?;
        if least.is_none_or(|l| angle.si() < l.si()) {
            least = Some(angle);
        }
    }
    Ok(least)
}

fn clearance_angles(given: &ClearanceAngles, answer: &mut ClearanceAnglesAnswer) -> Result<()> {
    // Without a tyre the tangent falls to the line through the contact point.
    let tyre = *given.radius;
    let front = match tyre {
        Some(radius) => radius,
        None => {
            answer.warn("Without a tyre radius the angles are drawn from the ground under the wheel centre and read low.");
            Length::from_si(0.0)
        }
    };
    let rear: Length = match tyre {
        Some(_) => given.radius_rear.unwrap_or(front),
        None => front,
    };
    let zero = Length::from_si(0.0);
    let growth = *given.tyre_growth;
    let change = Change {
        rise: *given.lift + growth,
        growth: if tyre.is_some() { growth } else { zero },
        front_forward: *given.front_forward,
        rear_rearward: *given.rear_rearward,
    };
    if tyre.is_some() {
        positive("radius after", front.min(rear) + growth)?;
    }
    let approach = points(&given.approach_x, &given.approach_z)?;
    let departure = points(&given.departure_x, &given.departure_z)?;
    let belly = belly(given)?;
    if approach.is_empty() && departure.is_empty() && belly.is_none() {
        return Err(Trouble::Missing(vec!["approach_x", "departure_x", "wheelbase"]));
    }
    let mut after = [None; 3];
    let ends = [
        (&approach, front, change.front_forward, &mut answer.approach, &mut answer.approach_after),
        (&departure, rear, change.rear_rearward, &mut answer.departure, &mut answer.departure_after),
    ];
    for (slot, (points, radius, shift, angle, angle_after)) in after.iter_mut().zip(ends) {
        if let Some(now) = least(points.iter().map(|(x, z)| tangent_angle(*x, *z, radius)))? {
            angle.put(now);
            *slot = least(
                points
                    .iter()
                    .map(|(x, z)| tangent_angle(*x - shift, *z + change.rise, radius + change.growth)),
            )?;
            angle_after.put_some(*slot);
        }
    }
    if let Some((wheelbase, points)) = belly {
        let over = |x: Length, z: Length, base: Length, grown: Length| -> Result<Angle> {
            Ok(tangent_angle(x, z, front + grown)? + tangent_angle(base - x, z, rear + grown)?)
        };
        let now = least(points.iter().map(|(x, z)| over(*x, *z, wheelbase, zero)))?;
        let base = wheelbase + change.front_forward + change.rear_rearward;
        after[2] = least(
            points
                .iter()
                .map(|(x, z)| over(*x + change.front_forward, *z + change.rise, base, change.growth)),
        )?;
        if let (Some(now), Some(then)) = (now, after[2]) {
            answer.breakover.put(now);
            answer.breakover_after.put(then);
        }
        if let Some(lowest) = points.iter().map(|(_, z)| z.si()).reduce(f64::min) {
            answer.breakover_short.put(math::atan(2.0 * lowest / wheelbase.si()) * 2.0);
        }
    }
    lowest_agrees(given, change.rise)?;
    criteria(given, &after, answer);
    Ok(())
}

/// The least height of the body is not above any of its own points.
fn lowest_agrees(given: &ClearanceAngles, rise: Length) -> Result<()> {
    let Some(running) = *given.running_clearance else { return Ok(()) };
    let points = given.approach_z.iter().chain(given.departure_z.iter()).chain(given.belly_z.iter());
    let Some(lowest) = points.map(|z| (*z + rise).si()).reduce(f64::min) else { return Ok(()) };
    if running.si() <= lowest * (1.0 + 1e-9) {
        return Ok(());
    }
    let show = |l: Length| LENGTH.both(l.into());
    Err(Trouble::impossible(
        format!(
            "the least height of the body is {} and one of its points is {} above the ground after the change",
            show(running),
            show(Length::from_si(lowest))
        ),
        "check running_clearance and the heights",
    ))
}

/// Wheelbase and belly points behind the front wheel centre.
type Belly = (Length, Vec<(Length, Length)>);

fn belly(given: &ClearanceAngles) -> Result<Option<Belly>> {
    if !given.belly_z.given() {
        return Ok(None);
    }
    let wheelbase = given.wheelbase.need()?;
    let points = if given.belly_x.given() {
        points(&given.belly_x, &given.belly_z)?
    } else {
        given.belly_z.iter().map(|z| (wheelbase / 2.0, *z)).collect()
    };
    Ok(Some((wheelbase, points)))
}

fn criteria(given: &ClearanceAngles, after: &[Option<Angle>; 3], answer: &mut ClearanceAnglesAnswer) {
    let running = *given.running_clearance;
    let axle = *given.axle_clearance;
    if let ([Some(approach), Some(departure), Some(breakover)], Some(running), Some(axle)) =
        (*after, running, axle)
    {
        // Each counts once it is met with its uncertainty taken off.
        let angle = |angle: Angle, spread: Angle, least: f64| (angle - spread).to(unit::DEG) >= least - 1e-9;
        let gap = |gap: Length, u: f64, least: f64| {
            gap.to(unit::CM) - 2.0 * Length::from_si(u).to(unit::CM) >= least - 1e-9
        };
        let met = [
            angle(approach, answer.approach_after.expanded(), 28.0),
            angle(breakover, answer.breakover_after.expanded(), 14.0),
            angle(departure, answer.departure_after.expanded(), 20.0),
            gap(running, given.running_clearance.uncertainty(), 20.0),
            gap(axle, given.axle_clearance.uncertainty(), 18.0),
        ];
        answer.criteria_met.put(Number::from_si(met.iter().map(|m| f64::from(u8::from(*m))).sum()));
        answer.criteria_met.fixed();
    }
}
