//! Approach, departure and breakover angles over the loaded tyres.

use crate::figure::{Answer, Declared, Family, Given, Group, Input, Need, Output, Trouble, given};
use crate::quantity::show::ANGLE;
use crate::quantity::{Angle, Dimensioned, Kind, Length, Number, math, unit};
use crate::source::Source;

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
pub fn tangent_angle(x: Length, z: Length, loaded_radius: Length) -> Result<Angle, Trouble> {
    if z.si() < 0.0 {
        return Err(Trouble::impossible("an underside point lies below the ground", "check its height"));
    }
    let below = loaded_radius - z;
    let reach = math::hypot(x.si(), below.si());
    if x.si() <= 0.0 || reach < loaded_radius.si() {
        return Err(Trouble::impossible(
            "an underside point lies inside the loaded tyre",
            "check its distance from the wheel centre, its height and the radius",
        ));
    }
    Ok(math::asin(loaded_radius.si() / reach) - math::atan2(below.si(), x.si()))
}

/// Approach, departure and breakover.
pub static CLEARANCE_ANGLES: Family = Family {
    name: "clearance-angles",
    declared: Declared::OLD,
    group: Group::Geometry,
    title: "approach, departure and breakover angles before and after a lift",
    inputs: &[
        Input::optional(
            "radius",
            Kind::Length,
            "loaded tyre radius, front; without it angles from the point under the wheel, which read low",
        )
        .also(&["r", "loaded_radius", "radius_front"]),
        Input::optional("radius_rear", Kind::Length, "loaded tyre radius, rear; the front one if absent"),
        Input::list(
            "approach_x",
            Kind::Length,
            Need::Optional,
            "points ahead of the front wheel: distance from its centre",
        )
        .also(&["x", "distance", "front_x", "x_front", "front_overhang", "approach_distance"]),
        Input::list("approach_z", Kind::Length, Need::Optional, "their heights above the ground").also(&[
            "z",
            "height",
            "front_z",
            "z_front",
            "front_height",
            "approach_height",
        ]),
        Input::list(
            "departure_x",
            Kind::Length,
            Need::Optional,
            "points behind the rear wheel: distance from its centre",
        )
        .also(&["rear_x", "x_rear", "rear_overhang", "departure_distance"]),
        Input::list("departure_z", Kind::Length, Need::Optional, "their heights above the ground").also(&[
            "rear_z",
            "z_rear",
            "rear_height",
            "departure_height",
        ]),
        Input::optional("wheelbase", Kind::Length, "axle to axle, for breakover").also(&["l"]),
        Input::list(
            "belly_x",
            Kind::Length,
            Need::Optional,
            "belly points behind the front wheel centre; half the wheelbase if absent",
        )
        .also(&["breakover_x", "belly_distance", "belly_from_front", "belly_front"]),
        Input::list("belly_z", Kind::Length, Need::Optional, "their heights above the ground").also(&[
            "breakover_z",
            "belly_height",
            "breakover_height",
            "ground_clearance",
            "belly_clearance",
            "clearance",
        ]),
        Input::defaulted("lift", Kind::Length, "0", "lift of the body"),
        Input::defaulted("tyre_growth", Kind::Length, "0", "growth of the loaded radius").also(&[
            "radius_change",
            "tyre_radius_change",
            "loaded_radius_change",
            "radius_growth",
            "tire_growth",
        ]),
        Input::defaulted("front_forward", Kind::Length, "0", "front axle moved forward")
            .also(&["axle_forward"]),
        Input::defaulted("rear_rearward", Kind::Length, "0", "rear axle moved rearward"),
        Input::optional("running_clearance", Kind::Length, "least height of the body, after"),
        Input::optional("axle_clearance", Kind::Length, "least height of the axles, after"),
    ],
    outputs: &[
        Output::new(
            "approach",
            "approach angle",
            Kind::Angle,
            "asin(r / hypot(x, r - z)) - atan2(r - z, x), least of the points",
            TANGENT,
        )
        .style(ANGLE)
        .down(),
        Output::new(
            "approach_after",
            "approach angle after",
            Kind::Angle,
            "the same after lift, tyre and axle shift",
            TANGENT,
        )
        .style(ANGLE)
        .down(),
        Output::new(
            "departure",
            "departure angle",
            Kind::Angle,
            "asin(r / hypot(x, r - z)) - atan2(r - z, x), least of the points",
            TANGENT,
        )
        .style(ANGLE)
        .down(),
        Output::new(
            "departure_after",
            "departure angle after",
            Kind::Angle,
            "the same after lift, tyre and axle shift",
            TANGENT,
        )
        .style(ANGLE)
        .down(),
        Output::new(
            "breakover",
            "breakover angle",
            Kind::Angle,
            "front + rear angle of a belly point, least of the points",
            TANGENT,
        )
        .style(ANGLE)
        .down(),
        Output::new(
            "breakover_after",
            "breakover angle after",
            Kind::Angle,
            "the same after lift, tyre and axle shift",
            TANGENT,
        )
        .style(ANGLE)
        .down(),
        Output::new(
            "breakover_short",
            "short form, for comparison",
            Kind::Angle,
            "2 atan(2 clearance / wheelbase)",
            SHORT,
        )
        .range("comparison only: no tyre radius, centred point; reads low")
        .style(ANGLE),
        Output::new(
            "criteria_met",
            "off-highway criteria met after, of five",
            Kind::Number,
            "approach 28, breakover 14, departure 20 deg, running 20, axle clearance 18 cm",
            OFF_HIGHWAY,
        ),
    ],
    example: "radius=\"380 mm\" approach_x=\"600 mm\" approach_z=\"500 mm\" departure_x=\"900 mm\" departure_z=\"480 mm\" wheelbase=\"2400 mm\" belly_z=\"230 mm\" lift=\"120 mm\" tyre_growth=\"20 mm\"",
    run: clearance_angles,
};

/// Change of the body and the axles.
struct Change {
    rise: Length,
    growth: Length,
    front_forward: Length,
    rear_rearward: Length,
}

fn points(given: &Given, x: &'static str, z: &'static str) -> Result<Vec<(Length, Length)>, Trouble> {
    let (xs, zs): (Vec<Length>, Vec<Length>) = (given.list(x)?, given.list(z)?);
    if xs.is_empty() && zs.is_empty() {
        return Ok(Vec::new());
    }
    given.require(&[x, z])?;
    if xs.len() != zs.len() {
        return Err(Trouble::impossible(
            format!("{x} has {} values and {z} has {}", xs.len(), zs.len()),
            "give one height for each distance",
        ));
    }
    Ok(xs.into_iter().zip(zs).collect())
}

fn least(angles: impl Iterator<Item = Result<Angle, Trouble>>) -> Result<Option<Angle>, Trouble> {
    let mut least: Option<Angle> = None;
    for angle in angles {
        let angle = angle?;
        if least.is_none_or(|l| angle.si() < l.si()) {
            least = Some(angle);
        }
    }
    Ok(least)
}

fn clearance_angles(given: &Given, answer: &mut Answer) -> Result<(), Trouble> {
    // Without a tyre the tangent falls to the line through the contact point.
    let tyre = given.maybe::<Length>("radius")?;
    let front = match tyre {
        Some(radius) => given::positive("radius", radius)?,
        None if given.has("radius_rear") => return Err(Trouble::Missing(vec!["radius"])),
        None => {
            answer.warn("Without a tyre radius the angles are drawn from the ground under the wheel centre and read low.");
            Length::from_si(0.0)
        }
    };
    let rear: Length = match tyre {
        Some(_) => given::positive("radius_rear", given.or("radius_rear", front)?)?,
        None => front,
    };
    let zero = Length::from_si(0.0);
    let growth: Length = given.or("tyre_growth", zero)?;
    let change = Change {
        rise: given.or::<Length>("lift", zero)? + growth,
        growth: if tyre.is_some() { growth } else { zero },
        front_forward: given.or("front_forward", zero)?,
        rear_rearward: given.or("rear_rearward", zero)?,
    };
    if tyre.is_some() {
        given::positive("radius after", front.min(rear) + growth)?;
    }
    let approach = points(given, "approach_x", "approach_z")?;
    let departure = points(given, "departure_x", "departure_z")?;
    let belly = belly(given)?;
    if approach.is_empty() && departure.is_empty() && belly.is_none() {
        return Err(Trouble::Missing(vec!["approach_x", "departure_x", "wheelbase"]));
    }
    let mut after = [None; 3];
    let ends = [
        (&approach, front, change.front_forward, "approach", "approach_after"),
        (&departure, rear, change.rear_rearward, "departure", "departure_after"),
    ];
    for (slot, (points, radius, shift, now_id, after_id)) in after.iter_mut().zip(ends) {
        if let Some(now) = least(points.iter().map(|(x, z)| tangent_angle(*x, *z, radius)))? {
            answer.put(now_id, now);
            *slot = least(
                points
                    .iter()
                    .map(|(x, z)| tangent_angle(*x - shift, *z + change.rise, radius + change.growth)),
            )?;
            if let Some(then) = *slot {
                answer.put(after_id, then);
            }
        }
    }
    if let Some((wheelbase, points)) = belly {
        let over = |x: Length, z: Length, base: Length, grown: Length| -> Result<Angle, Trouble> {
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
            answer.put("breakover", now);
            answer.put("breakover_after", then);
        }
        if let Some(lowest) = points.iter().map(|(_, z)| z.si()).reduce(f64::min) {
            answer.put("breakover_short", math::atan(2.0 * lowest / wheelbase.si()) * 2.0);
        }
    }
    criteria(given, &after, answer)
}

/// Wheelbase and belly points behind the front wheel centre.
type Belly = (Length, Vec<(Length, Length)>);

fn belly(given: &Given) -> Result<Option<Belly>, Trouble> {
    let heights: Vec<Length> = given.list("belly_z")?;
    if heights.is_empty() && !given.has("belly_x") {
        return Ok(None);
    }
    given.require(&["wheelbase", "belly_z"])?;
    let wheelbase: Length = given::positive("wheelbase", given.need("wheelbase")?)?;
    let points = if given.has("belly_x") {
        points(given, "belly_x", "belly_z")?
    } else {
        heights.into_iter().map(|z| (wheelbase / 2.0, z)).collect()
    };
    Ok(Some((wheelbase, points)))
}

fn criteria(given: &Given, after: &[Option<Angle>; 3], answer: &mut Answer) -> Result<(), Trouble> {
    let running: Option<Length> = given.maybe("running_clearance")?;
    let axle: Option<Length> = given.maybe("axle_clearance")?;
    if let ([Some(approach), Some(departure), Some(breakover)], Some(running), Some(axle)) =
        (*after, running, axle)
    {
        let met = [
            approach.to(unit::DEG) >= 28.0,
            breakover.to(unit::DEG) >= 14.0,
            departure.to(unit::DEG) >= 20.0,
            running.to(unit::CM) >= 20.0 - 1e-9,
            axle.to(unit::CM) >= 18.0 - 1e-9,
        ];
        answer.put("criteria_met", Number::from_si(met.iter().map(|m| f64::from(u8::from(*m))).sum()));
    }
    Ok(())
}
