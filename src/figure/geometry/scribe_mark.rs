//! Marks across the knuckle seam that show how far it is turned.

use crate::figure::prelude::*;
use crate::figure::usual::AXLE_TUBE;

const CIRCLE: Source = Source::definition("arc and chord of a circle");
const GUM: Source = Source::standard("JCGM 100:2008", "4.3.7, 5.1.2");
const ECCENTRIC: Source = Source::derived(
    "arc on a round surface whose centre is off the axis of turning",
    "arc-length integration",
);

/// Turns marks are laid off for: past a quarter turn no knuckle goes.
const TURN: Range = within(-90.0, 90.0, unit::DEG, CIRCLE);

family! {
    pub SCRIBE_MARK = "scribe-mark" in Geometry:
        "arc and chord on the tube for a turn of one knuckle, or the turn from an arc";
    also "arc", "arc-length", "rotation-mark", "rotation-marks", "mark", "scribe";
    reads ScribeMark {
        optional od: Length in AXLE_TUBE, "tube outside diameter where the marks are", "d", "diameter", "tube_od",
            "tube";
        optional girth: Length in ABOVE_ZERO, "instead of od: tape reading once round the tube; with tape, its thickness is taken off", "perimeter", "circumference";
        optional rotation: Angle in TURN, "turn of the knuckle", "r", "angle",
            "turn";
        optional arc: Length, "instead: arc between the marks", "s", "arc_length";
        optional chord: Length, "instead: straight distance between the marks", "c";
        default tape: Length = "0" in NOT_NEGATIVE.usually(0.0, 0.125, unit::IN), "thickness of the tape that is laid on the tube", "tape_thickness", "k", "strip";
        default mark_limit: Length = "0.5 mm" in NOT_NEGATIVE.usually(0.1, 3.0, unit::MM), "largest error of setting off the mark, plus or minus";
        default od_limit: Length = "0.1 mm" in NOT_NEGATIVE.usually(0.0, 2.0, unit::MM), "largest error of the diameter, plus or minus";
        optional eccentricity: Length, "centre of the tube surface off the axis of turning", "eccentric";
        default azimuth: Angle = "0", "where the turn starts, from the direction of the eccentricity", "start";
    }
    rules { one_of(od, girth); one_of(rotation, arc, chord); }
    gives ScribeMarkAnswer {
        rotation: Angle, "turn of the knuckle", "360 arc / (pi od)", CIRCLE => .style(FINE_ANGLE);
        arc: Length, "arc on the tube", "pi od rotation / 360", CIRCLE => .style(GAUGE);
        chord: Length, "straight distance between the marks", "od sin(rotation / 2)", CIRCLE => .style(GAUGE);
        rise: Length, "height of the arc over the chord", "od/2 (1 - cos(rotation / 2))", CIRCLE => .style(GAUGE);
        tape_reading: Length, "reading of the tape on the tube", "pi (od + tape) rotation / 360",
            CIRCLE => .style(GAUGE);
        arc_per_degree: Length, "arc for one degree", "pi od / 360", CIRCLE => .style(GAUGE);
        mark_uncertainty: Angle, "standard uncertainty of a turn set by the mark",
            "sqrt((360 u_mark / (pi od))^2 + (rotation u_od / od)^2), u = limit / sqrt 3",
            GUM => .style(FINE_ANGLE.up());
        mark_expanded: Angle, "expanded uncertainty, k = 2", "2 x mark_uncertainty", GUM => .style(FINE_ANGLE.up());
        eccentric_arc: Length, "arc on the eccentric surface",
            "R (psi(start + rotation) - psi(start)), psi(a) = a + asin(e sin a / R)", ECCENTRIC => .style(GAUGE);
        apparent_rotation: Angle, "turn that this arc seems to show", "eccentric_arc / R",
            ECCENTRIC => .style(FINE_ANGLE);
    }
    example "od=\"3 in\" rotation=\"10 deg\"";
    by scribe_mark
}

fn scribe_mark(given: &ScribeMark, answer: &mut ScribeMarkAnswer) -> Result<()> {
    let od: Length = match (*given.od, *given.girth) {
        (Some(od), None) => od,
        // A tape reads the girth at its own middle thickness: pi (od + tape).
        (None, Some(girth)) => girth / PI - *given.tape,
        _ => given.od.need()?,
    };
    if given.girth.given() {
        AXLE_TUBE.check("the diameter of this girth", od.into())?;
    }
    let rotation = rotation(given, od)?;
    if !given.rotation.given() {
        TURN.check("the turn of this arc or chord", rotation.into())?;
    }
    let mark_limit = *given.mark_limit;
    let od_limit = *given.od_limit;
    answer.rotation.put(rotation);
    answer.arc.put(arc(od, rotation));
    answer.chord.put(chord(od, rotation));
    answer.rise.put(od * 0.5 * (1.0 - math::cos(rotation * 0.5)));
    answer.tape_reading.put(arc(od + *given.tape, rotation));
    answer.arc_per_degree.put(arc(od, Angle::of(1.0, unit::DEG)));
    let u = mark_uncertainty(Mark { od, rotation, mark_limit, od_limit });
    answer.mark_uncertainty.put(u);
    answer.mark_expanded.put(u * 2.0);
    if let Some(off) = *given.eccentricity {
        (off.si().abs() >= od.si() * 0.5)
            .refuse("the eccentricity is larger than the radius of the tube", "check eccentricity")?;
        let start = *given.azimuth;
        let seen = apparent_rotation(od, rotation, off, start);
        answer.eccentric_arc.put(arc(od, seen));
        answer.apparent_rotation.put(seen);
        answer.warn("The surface is eccentric; mark at two places 180 deg apart and take the mean of both.");
    }
    if rotation.to(unit::DEG).abs() > 20.0 {
        answer.warn(
            "The marks are more than 20 deg apart; lay them off with a flexible strip, not a straight rule.",
        );
    }
    answer.warn(format!(
        "Set the angle with the angle finder; the marks are a cross-check, good to {:.1} deg (k = 2) here.",
        (u.to(unit::DEG) * 20.0).ceil() / 10.0
    ));
    Ok(())
}

/// The turn, given or from an arc or chord.
fn rotation(given: &ScribeMark, od: Length) -> Result<Angle> {
    let rotation = *given.rotation;
    let arc = *given.arc;
    let chord = *given.chord;
    match (rotation, arc, chord) {
        (Some(rotation), None, None) => Ok(rotation),
        (None, Some(arc), None) => Ok(rotation_of_arc(od, arc)),
        (None, None, Some(chord)) if chord.si().abs() <= od.si() => {
            Ok(math::asin(chord.si() / od.si()) * 2.0)
        }
        (None, None, Some(_)) => {
            Err(Trouble::impossible("the chord is longer than the diameter", "check chord and od"))
        }
        _ => given.rotation.need(),
    }
}

/// Arc of a turn on a diameter.
#[must_use]
pub fn arc(od: Length, rotation: Angle) -> Length {
    od * (0.5 * rotation.si())
}

/// Chord of a turn on a diameter.
#[must_use]
pub fn chord(od: Length, rotation: Angle) -> Length {
    od * math::sin(rotation * 0.5)
}

/// Turn that belongs to an arc on a diameter.
#[must_use]
pub fn rotation_of_arc(od: Length, arc: Length) -> Angle {
    Angle::from_si(2.0 * arc.si() / od.si())
}

/// Turn that an arc on a surface seems to show if the surface's centre lies
/// `off` the axis of turning: a ray at `a` from the direction of the offset
/// meets the surface at a + asin(off sin a / R) about its own centre.
#[must_use]
pub fn apparent_rotation(od: Length, rotation: Angle, off: Length, start: Angle) -> Angle {
    let own = |a: Angle| a + math::asin(off.si() * math::sin(a) / (0.5 * od.si()));
    own(start + rotation) - own(start)
}

/// A mark and how well it is set off.
#[derive(Debug, Clone, Copy)]
pub struct Mark {
    /// Diameter.
    pub od: Length,
    /// Turn.
    pub rotation: Angle,
    /// Largest error of the arc.
    pub mark_limit: Length,
    /// Largest error of the diameter.
    pub od_limit: Length,
}

/// Standard uncertainty of a turn set by a mark; both limits rectangular.
fn mark_uncertainty(mark: Mark) -> Angle {
    let by_arc = 2.0 * mark.mark_limit.si() / mark.od.si();
    let by_od = mark.rotation.si() * mark.od_limit.si() / mark.od.si();
    Angle::from_si(math::hypot(by_arc, by_od) / 3.0_f64.sqrt())
}
