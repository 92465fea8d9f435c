//! What the shrinkage of a seam round the axle tube does to the part on its
//! end.
//!
//! The knuckle stays rigid; the seam draws each point of the rim along the
//! tube. The mean draw shortens the axle. A draw that differs across the rim
//! tilts the knuckle about an axis square to the tube. A movement along the
//! rim turns it about the tube, which is caster.

use super::look_up;
use crate::figure::{Answer, Declared, Family, Given, Group, Input, Output, Trouble, given};
use crate::quantity::show::{FINE_ANGLE, GAUGE};
use crate::quantity::{Angle, AnglePerLength, Dimensioned, Kind, Length, Number, math};
use crate::source::Source;

const RIGID: Source = Source::derived(
    "rigid part on a rim: mean draw, tilt = asin(difference / diameter), turn = arc / radius",
    "least-squares plane and rotation through points on the rim",
);
const WIDTH: Source = Source::practice("each seam shortens the axle by its transverse shrinkage");

/// Effect of a seam's shrinkage.
pub static SEAM_SHRINKAGE: Family = Family {
    name: "seam-shrinkage",
    declared: Declared::OLD,
    group: Group::Welding,
    title: "what the shrinkage of a knuckle seam round a tube does to width, camber, toe and caster",
    inputs: &[
        Input::required("seam_diameter", Kind::Length, "diameter of the seam")
            .also(&["tube_od", "od", "diameter", "d"]),
        Input::optional(
            "shrinkage",
            Kind::Length,
            "mean draw along the tube; the mean of the four if they are given",
        )
        .also(&["transverse", "transverse_shrinkage"]),
        Input::optional("top", Kind::Length, "draw at the top of the seam, positive towards the axle centre"),
        Input::optional("bottom", Kind::Length, "draw at the bottom"),
        Input::optional("front", Kind::Length, "draw at the front"),
        Input::optional("rear", Kind::Length, "draw at the rear"),
        Input::optional(
            "slip",
            Kind::Length,
            "movement of the knuckle along the rim, positive with its top rearward",
        )
        .also(&["tangential", "arc"]),
        Input::defaulted("seams", Kind::Number, "2", "seams across the axle, one a side").also(&["number"]),
    ],
    outputs: &[
        Output::new(
            "draw",
            "mean draw of one seam",
            Kind::Length,
            "shrinkage, or (top + bottom + front + rear)/4",
            RIGID,
        )
        .style(GAUGE),
        Output::new(
            "width_change",
            "change of width between the knuckles",
            Kind::Length,
            "-seams x draw",
            WIDTH,
        )
        .style(GAUGE),
        Output::new(
            "tilt_worst",
            "tilt if one side of the seam took all of the draw",
            Kind::Angle,
            "asin(2 draw / diameter)",
            RIGID,
        )
        .range("no tacks or fixture; an upper estimate")
        .style(FINE_ANGLE)
        .up(),
        Output::new(
            "camber_change",
            "change of camber",
            Kind::Angle,
            "-asin((top - bottom) / diameter)",
            RIGID,
        )
        .style(FINE_ANGLE),
        Output::new(
            "inclination_change",
            "change of steering axis inclination",
            Kind::Angle,
            "asin((top - bottom) / diameter)",
            RIGID,
        )
        .style(FINE_ANGLE),
        Output::new(
            "toe_change",
            "change of toe of this wheel",
            Kind::Angle,
            "asin((front - rear) / diameter)",
            RIGID,
        )
        .style(FINE_ANGLE),
        Output::new("caster_change", "change of caster", Kind::Angle, "2 slip / diameter", RIGID)
            .style(FINE_ANGLE),
        Output::new(
            "caster_per_length",
            "caster for movement along the rim",
            Kind::AnglePerLength,
            "2 / diameter",
            RIGID,
        ),
    ],
    example: "seam_diameter=\"3 in\" shrinkage=\"1 mm\" top=\"1.2 mm\" bottom=\"0.8 mm\" front=\"1.1 mm\" rear=\"0.9 mm\" slip=\"0.3 mm\"",
    run,
};

/// Tilt of a rigid part whose rim is drawn differently on two opposite points.
///
/// # Errors
/// If the difference is not smaller than the diameter.
pub fn tilt(difference: Length, diameter: Length) -> Result<Angle, Trouble> {
    let ratio = difference.si() / diameter.si();
    if ratio.abs() >= 1.0 {
        return Err(Trouble::impossible(
            "the draw is larger than the seam diameter",
            "check the draws and seam_diameter",
        ));
    }
    Ok(math::asin(ratio))
}

/// Turn about the tube for a movement along the rim.
#[must_use]
pub fn turn(slip: Length, diameter: Length) -> Angle {
    Angle::from_si(2.0 * slip.si() / diameter.si())
}

fn run(given: &Given, answer: &mut Answer) -> Result<(), Trouble> {
    let diameter: Length = given::positive("seam_diameter", given.need("seam_diameter")?)?;
    let seams: Number = given::positive("seams", given.or("seams", Number::from_si(2.0))?)?;
    let pair = |a: &'static str, b: &'static str| -> Result<Option<(Length, Length)>, Trouble> {
        if given.has(a) || given.has(b) {
            given.require(&[a, b])?;
            return Ok(Some((given.need(a)?, given.need(b)?)));
        }
        Ok(None)
    };
    let upright = pair("top", "bottom")?;
    let level = pair("front", "rear")?;
    let means: Vec<Length> = [upright, level].into_iter().flatten().map(|(a, b)| (a + b) / 2.0).collect();
    let read = match means.as_slice() {
        [] => None,
        [one] => Some(*one),
        [a, b, ..] => {
            if look_up::apart(*a, *b) {
                answer.warn(
                    "The four draws lie in no plane: top and bottom have another mean than front and rear. Measure again; a \
                     rigid knuckle can't do that.",
                );
            }
            Some((*a + *b) / 2.0)
        }
    };
    let draw = match (given.maybe::<Length>("shrinkage")?, read) {
        (Some(entered), Some(mean)) if look_up::apart(entered, mean) => {
            return Err(look_up::contradict("shrinkage", "the draws", "their mean is another"));
        }
        (Some(entered), _) => Some(entered),
        (None, read) => read,
    };
    let slip: Option<Length> = given.maybe("slip")?;
    if draw.is_none() && slip.is_none() {
        return Err(Trouble::Missing(vec!["shrinkage", "slip"]));
    }
    if let Some(draw) = draw {
        answer.put("draw", draw);
        answer.put("width_change", -draw * seams.si());
        answer.put("tilt_worst", tilt(draw * 2.0, diameter)?);
    }
    if let Some((top, bottom)) = upright {
        let inward = tilt(top - bottom, diameter)?;
        answer.put("camber_change", -inward);
        answer.put("inclination_change", inward);
    }
    if let Some((front, rear)) = level {
        answer.put("toe_change", tilt(front - rear, diameter)?);
    }
    if let Some(slip) = slip {
        answer.put("caster_change", turn(slip, diameter));
    }
    answer.put("caster_per_length", AnglePerLength::from_si(2.0 / diameter.si()));
    answer.warn(
        "Weld in opposed quadrants between at least four tacks, and measure caster, camber, toe and width after the \
         tacks, after the root and after the last pass.",
    );
    Ok(())
}
