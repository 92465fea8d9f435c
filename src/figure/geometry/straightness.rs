//! Straightness of an axle tube from a string or a straightedge.

use crate::figure::{Answer, Declared, Family, Given, Group, Input, Output, Trouble, given};
use crate::quantity::show::{FINE_ANGLE, GAUGE};
use crate::quantity::{Angle, Dimensioned, Kind, Length, math, unit};
use crate::source::Source;

const LINE: Source =
    Source::derived("offset of the tube end from the line over the length", "definition of the tangent");
const LIMITS: Source = Source::handbook(
    "vehicle maker's service manual, driven rear axle",
    "camber -0.03 to 0.05 deg, toe 0 to 0.05 deg, bent housing replaced",
);

/// Tube straightness.
pub static TUBE_STRAIGHTNESS: Family = Family {
    name: "tube-straightness",
    declared: Declared::OLD,
    group: Group::Geometry,
    title: "droop and sweep of an axle tube from a string or straightedge in two planes",
    inputs: &[
        Input::required("length", Kind::Length, "length of tube the offsets are read over").also(&["l"]),
        Input::optional("droop", Kind::Length, "outer end below the line; negative above")
            .also(&["offset", "drop"]),
        Input::optional("droop_angle", Kind::Angle, "droop as an angle, instead").also(&["angle"]),
        Input::optional("sweep", Kind::Length, "outer end ahead of the line; negative behind"),
        Input::optional("sweep_angle", Kind::Angle, "sweep as an angle, instead"),
    ],
    outputs: &[
        Output::new("droop", "outer end below the line", Kind::Length, "length x tan(droop_angle)", LINE)
            .style(GAUGE),
        Output::new(
            "droop_angle",
            "droop; the wheel's camber grows by it",
            Kind::Angle,
            "atan(droop / length)",
            LINE,
        )
        .style(FINE_ANGLE),
        Output::new("sweep", "outer end ahead of the line", Kind::Length, "length x tan(sweep_angle)", LINE)
            .style(GAUGE),
        Output::new(
            "sweep_angle",
            "sweep; the wheel toes in by it",
            Kind::Angle,
            "atan(sweep / length)",
            LINE,
        )
        .style(FINE_ANGLE),
        Output::new(
            "bend",
            "bend of the tube in its own plane",
            Kind::Angle,
            "atan(hypot(tan droop, tan sweep))",
            LINE,
        )
        .style(FINE_ANGLE),
        Output::word(
            "verdict",
            "against the limits of a driven rear axle",
            "camber -0.03 to 0.05 deg, toe 0 to 0.05 deg",
            LIMITS,
        ),
    ],
    example: "length=\"36 in\" droop_angle=\"0.3 deg\" sweep=\"0 in\"",
    run: tube_straightness,
};

fn offset(
    given: &Given,
    length: Length,
    offset: &'static str,
    angle: &'static str,
) -> Result<Option<(Length, Angle)>, Trouble> {
    match (given.maybe::<Length>(offset)?, given.maybe::<Angle>(angle)?) {
        (Some(_), Some(_)) => {
            Err(Trouble::impossible(format!("{offset} and {angle} are both given"), "give one of them"))
        }
        (Some(by), None) if by.si().abs() > 0.2 * length.si() => Err(Trouble::impossible(
            format!("{offset} is more than a fifth of the length: that is no bent tube"),
            "check the offset and the length",
        )),
        (Some(by), None) => Ok(Some((by, math::atan2(by.si(), length.si())))),
        (None, Some(angle_given)) => {
            given::within(angle, angle_given, unit::DEG, -30.0..=30.0, LINE)?;
            Ok(Some((length * math::tan(angle_given), angle_given)))
        }
        (None, None) => Ok(None),
    }
}

fn tube_straightness(given: &Given, answer: &mut Answer) -> Result<(), Trouble> {
    let length: Length = given.need("length")?;
    given::within("length", length, unit::IN, 1.0..=200.0, LINE)?;
    let droop = offset(given, length, "droop", "droop_angle")?;
    let sweep = offset(given, length, "sweep", "sweep_angle")?;
    if droop.is_none() && sweep.is_none() {
        return Err(Trouble::Missing(vec!["droop", "sweep"]));
    }
    if let Some((by, angle)) = droop {
        answer.put("droop", by);
        answer.put("droop_angle", angle);
    }
    if let Some((by, angle)) = sweep {
        answer.put("sweep", by);
        answer.put("sweep_angle", angle);
    }
    if let (Some((down, camber)), Some((ahead, toe_in))) = (droop, sweep) {
        answer.put("bend", math::atan(math::hypot(down.si(), ahead.si()) / length.si()));
        let (camber, toe_in) = (camber.to(unit::DEG), toe_in.to(unit::DEG));
        let room = 1e-9;
        let good = (-0.03 - room..=0.05 + room).contains(&camber) && (-room..=0.05 + room).contains(&toe_in);
        answer.put_word("verdict", if good { "within" } else { "outside" });
        if !good {
            answer.warn("The tube is bent beyond what a driven rear axle may have; makers ask for a bent housing to be replaced, so have it judged before it is used again.");
        }
    } else {
        answer.warn("Read the tube in two planes; one string says nothing about the other.");
    }
    Ok(())
}
