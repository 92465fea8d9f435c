//! What the shrinkage of a seam round the axle tube does to the part on its
//! end.
//!
//! The knuckle stays rigid; the seam draws each point of the rim along the
//! tube. The mean draw shortens the axle. A draw that differs across the rim
//! tilts the knuckle about an axis square to the tube. A movement along the
//! rim turns it about the tube, which is caster.

use super::look_up::apart;
use crate::figure::prelude::*;
use crate::figure::rule::agree;

const RIGID: Source = Source::derived(
    "rigid part on a rim: mean draw, tilt = asin(difference / diameter), turn = arc / radius",
    "least-squares plane and rotation through points on the rim",
);
const WIDTH: Source = Source::practice("each seam shortens the axle by its transverse shrinkage");

const SEEN: Source = Source::practice("draw of a seam in steel; outside it a unit or a digit is wrong");
/// Draw of one seam along the tube.
const DRAW: Range = within(-10.0, 10.0, unit::MM, SEEN).usually(0.0, 3.0, unit::MM);

family! {
    pub SEAM_SHRINKAGE = "seam-shrinkage" in Welding:
        "what the shrinkage of a knuckle seam round a tube does to width, camber, toe and caster";
    reads SeamShrinkage {
        required seam_diameter: Length in ABOVE_ZERO, "diameter of the seam", "tube_od", "od", "diameter", "d";
        optional shrinkage: Length in DRAW, "mean draw along the tube; the mean of the four if they are given",
            "transverse", "transverse_shrinkage";
        optional top: Length in DRAW, "draw at the top of the seam, positive towards the axle centre";
        optional bottom: Length in DRAW, "draw at the bottom";
        optional front: Length in DRAW, "draw at the front";
        optional rear: Length in DRAW, "draw at the rear";
        optional slip: Length in within(-25.0, 25.0, unit::MM, SEEN).usually(-3.0, 3.0, unit::MM), "movement of the knuckle along the rim, positive with its top rearward",
            "tangential", "arc";
        default seams: Number = "2" in count(1, 20, WIDTH), "seams across the axle, one a side", "number";
    }
    rules { together(top, bottom); together(front, rear); }
    gives SeamShrinkageAnswer {
        draw: Length, "mean draw of one seam", "shrinkage, or (top + bottom + front + rear)/4", RIGID =>
            .style(GAUGE);
        width_change: Length, "change of width between the knuckles", "-seams x draw", WIDTH => .style(GAUGE);
        tilt_worst: Angle, "tilt if one side of the seam took all of the draw", "asin(2 draw / diameter)", RIGID
            => .range("no tacks or fixture; an upper estimate").style(FINE_ANGLE).up();
        camber_change: Angle, "change of camber", "-asin((top - bottom) / diameter)", RIGID =>
            .style(FINE_ANGLE);
        inclination_change: Angle, "change of steering axis inclination", "asin((top - bottom) / diameter)",
            RIGID => .style(FINE_ANGLE);
        toe_change: Angle, "change of toe of this wheel", "asin((front - rear) / diameter)", RIGID =>
            .style(FINE_ANGLE);
        caster_change: Angle, "change of caster", "2 slip / diameter", RIGID => .style(FINE_ANGLE);
        caster_per_length: AnglePerLength, "caster for movement along the rim", "2 / diameter", RIGID;
    }
    example "seam_diameter=\"3 in\" shrinkage=\"1 mm\" top=\"1.2 mm\" bottom=\"0.8 mm\" front=\"1.1 mm\" rear=\"0.9 mm\" slip=\"0.3 mm\"";
    by run
}

/// Tilt of a rigid part whose rim is drawn differently on two opposite points.
///
/// # Errors
/// If the difference is not smaller than the diameter.
pub fn tilt(difference: Length, diameter: Length) -> Result<Angle> {
    let ratio = difference.si() / diameter.si();
    (ratio.abs() >= 1.0)
        .refuse("the draw is larger than the seam diameter", "check the draws and seam_diameter")?;
    Ok(math::asin(ratio))
}

/// Turn about the tube for a movement along the rim.
#[must_use]
pub fn turn(slip: Length, diameter: Length) -> Angle {
    Angle::from_si(2.0 * slip.si() / diameter.si())
}

fn run(given: &SeamShrinkage, answer: &mut SeamShrinkageAnswer) -> Result<()> {
    let diameter = *given.seam_diameter;
    let upright = given.top.zip(*given.bottom);
    let level = given.front.zip(*given.rear);
    let mean = |(a, b): (Length, Length)| (a + b) / 2.0;
    let read = match (upright.map(mean), level.map(mean)) {
        (Some(a), Some(b)) => {
            if apart(a, b) {
                answer.warn(
                    "The four draws lie in no plane: top and bottom have another mean than front and rear. Measure \
                     again; a rigid knuckle can't do that.",
                );
            }
            Some((a + b) / 2.0)
        }
        (one, other) => one.or(other),
    };
    if let (Some(entered), Some(mean)) = (*given.shrinkage, read) {
        agree(("shrinkage", entered), ("the mean of the draws", mean), mean.abs() * 0.01)?;
    }
    let draw = given.shrinkage.or(read);
    let slip = *given.slip;
    if draw.is_none() && slip.is_none() {
        return Err(Trouble::Missing(vec!["shrinkage", "slip"]));
    }
    if let Some(draw) = draw {
        answer.draw.put(draw);
        answer.width_change.put(-draw * given.seams.si());
        answer.tilt_worst.put(tilt(draw * 2.0, diameter)?);
    }
    if let Some((top, bottom)) = upright {
        let inward = tilt(top - bottom, diameter)?;
        answer.camber_change.put(-inward);
        answer.inclination_change.put(inward);
    }
    if let Some((front, rear)) = level {
        answer.toe_change.put(tilt(front - rear, diameter)?);
    }
    answer.caster_change.put_some(slip.map(|slip| turn(slip, diameter)));
    answer.caster_per_length.put(AnglePerLength::from_si(2.0 / diameter.si()));
    answer.warn(
        "Weld in opposed quadrants between at least four tacks, and measure caster, camber, toe and width after the \
         tacks, after the root and after the last pass.",
    );
    Ok(())
}
