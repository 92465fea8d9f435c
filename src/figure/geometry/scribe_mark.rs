//! Marks across the knuckle seam that show how far it is turned.

use crate::figure::{Answer, Family, Given, Group, Input, Output, Trouble, given};
use crate::quantity::show::{FINE_ANGLE, GAUGE};
use crate::quantity::{Angle, Dimensioned, Kind, Length, math, unit};
use crate::source::Source;

const CIRCLE: Source = Source::definition("arc and chord of a circle");
const GUM: Source = Source::standard("JCGM 100:2008", "4.3.7, 5.1.2");
const ECCENTRIC: Source = Source::derived(
    "arc on a round surface whose centre is off the axis of turning",
    "arc-length integration",
);

/// Arc to scribe for a turn of the knuckle, and the turn from an arc.
pub static SCRIBE_MARK: Family = Family {
    name: "scribe-mark",
    group: Group::Geometry,
    title: "arc and chord on the tube for a turn of one knuckle, or the turn from an arc",
    inputs: &[
        Input::optional("od", Kind::Length, "tube outside diameter where the marks are")
            .also(&["d", "diameter", "tube_od", "tube"]),
        Input::optional("girth", Kind::Length, "instead of od: tape reading once round the tube")
            .also(&["perimeter", "circumference"]),
        Input::optional("rotation", Kind::Angle, "turn of the knuckle").also(&["r", "angle", "turn"]),
        Input::optional("arc", Kind::Length, "instead: arc between the marks").also(&["s", "arc_length"]),
        Input::optional("chord", Kind::Length, "instead: straight distance between the marks").also(&["c"]),
        Input::defaulted("tape", Kind::Length, "0", "thickness of the tape that is laid on the tube")
            .also(&["tape_thickness", "k", "strip"]),
        Input::defaulted(
            "mark_limit",
            Kind::Length,
            "0.5 mm",
            "largest error of setting off the mark, plus or minus",
        ),
        Input::defaulted("od_limit", Kind::Length, "0.1 mm", "largest error of the diameter, plus or minus"),
        Input::optional("eccentricity", Kind::Length, "centre of the tube surface off the axis of turning")
            .also(&["eccentric"]),
        Input::defaulted(
            "azimuth",
            Kind::Angle,
            "0",
            "where the turn starts, from the direction of the eccentricity",
        )
        .also(&["start"]),
    ],
    outputs: &[
        Output::new("rotation", "turn of the knuckle", Kind::Angle, "360 arc / (pi od)", CIRCLE)
            .style(FINE_ANGLE),
        Output::new("arc", "arc on the tube", Kind::Length, "pi od rotation / 360", CIRCLE).style(GAUGE),
        Output::new(
            "chord",
            "straight distance between the marks",
            Kind::Length,
            "od sin(rotation / 2)",
            CIRCLE,
        )
        .style(GAUGE),
        Output::new(
            "rise",
            "height of the arc over the chord",
            Kind::Length,
            "od/2 (1 - cos(rotation / 2))",
            CIRCLE,
        )
        .style(GAUGE),
        Output::new(
            "tape_reading",
            "reading of the tape on the tube",
            Kind::Length,
            "pi (od + tape) rotation / 360",
            CIRCLE,
        )
        .style(GAUGE),
        Output::new("arc_per_degree", "arc for one degree", Kind::Length, "pi od / 360", CIRCLE).style(GAUGE),
        Output::new(
            "mark_uncertainty",
            "standard uncertainty of a turn set by the mark",
            Kind::Angle,
            "sqrt((360 u_mark / (pi od))^2 + (rotation u_od / od)^2), u = limit / sqrt 3",
            GUM,
        )
        .style(FINE_ANGLE.up()),
        Output::new("mark_expanded", "expanded uncertainty, k = 2", Kind::Angle, "2 x mark_uncertainty", GUM)
            .style(FINE_ANGLE.up()),
        Output::new(
            "eccentric_arc",
            "arc on the eccentric surface",
            Kind::Length,
            "R (psi(start + rotation) - psi(start)), psi(a) = a + asin(e sin a / R)",
            ECCENTRIC,
        )
        .style(GAUGE),
        Output::new(
            "apparent_rotation",
            "turn that this arc seems to show",
            Kind::Angle,
            "eccentric_arc / R",
            ECCENTRIC,
        )
        .style(FINE_ANGLE),
    ],
    example: "od=\"3 in\" rotation=\"10 deg\"",
    run: scribe_mark,
};

fn scribe_mark(given: &Given, answer: &mut Answer) -> Result<(), Trouble> {
    let od: Length = match (given.maybe::<Length>("od")?, given.maybe::<Length>("girth")?) {
        (Some(od), None) => od,
        (None, Some(girth)) => girth / std::f64::consts::PI,
        (None, None) => return Err(Trouble::Missing(vec!["od", "girth"])),
        (Some(_), Some(_)) => {
            return Err(Trouble::impossible("od and girth are both given", "give one of them"));
        }
    };
    let od = given::positive("od", od)?;
    let rotation = rotation(given, od)?;
    given::within("rotation", rotation, unit::DEG, -90.0..=90.0, CIRCLE)?;
    let tape: Length = given.or("tape", Length::from_si(0.0))?;
    let mark_limit = given.or("mark_limit", Length::of(0.5, unit::MM))?;
    let od_limit = given.or("od_limit", Length::of(0.1, unit::MM))?;
    answer.put("rotation", rotation);
    answer.put("arc", arc(od, rotation));
    answer.put("chord", chord(od, rotation));
    answer.put("rise", od * 0.5 * (1.0 - math::cos(rotation * 0.5)));
    answer.put("tape_reading", arc(od + tape, rotation));
    answer.put("arc_per_degree", arc(od, Angle::of(1.0, unit::DEG)));
    let u = mark_uncertainty(Mark { od, rotation, mark_limit, od_limit });
    answer.put("mark_uncertainty", u);
    answer.put("mark_expanded", u * 2.0);
    if let Some(off) = given.maybe::<Length>("eccentricity")? {
        if off.si().abs() >= od.si() * 0.5 {
            return Err(Trouble::impossible(
                "the eccentricity is larger than the radius of the tube",
                "check eccentricity",
            ));
        }
        let start: Angle = given.or("azimuth", Angle::from_si(0.0))?;
        let seen = apparent_rotation(od, rotation, off, start);
        answer.put("eccentric_arc", arc(od, seen));
        answer.put("apparent_rotation", seen);
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
fn rotation(given: &Given, od: Length) -> Result<Angle, Trouble> {
    let rotation: Option<Angle> = given.maybe("rotation")?;
    let arc: Option<Length> = given.maybe("arc")?;
    let chord: Option<Length> = given.maybe("chord")?;
    match (rotation, arc, chord) {
        (Some(rotation), None, None) => Ok(rotation),
        (None, Some(arc), None) => Ok(rotation_of_arc(od, arc)),
        (None, None, Some(chord)) if chord.si().abs() <= od.si() => {
            Ok(math::asin(chord.si() / od.si()) * 2.0)
        }
        (None, None, Some(_)) => {
            Err(Trouble::impossible("the chord is longer than the diameter", "check chord and od"))
        }
        (None, None, None) => Err(Trouble::Missing(vec!["rotation", "arc", "chord"])),
        _ => Err(Trouble::impossible("the turn is given twice", "give one of rotation, arc, chord")),
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
#[must_use]
pub fn mark_uncertainty(mark: Mark) -> Angle {
    let by_arc = 2.0 * mark.mark_limit.si() / mark.od.si();
    let by_od = mark.rotation.si() * mark.od_limit.si() / mark.od.si();
    Angle::from_si(math::hypot(by_arc, by_od) / 3.0_f64.sqrt())
}
