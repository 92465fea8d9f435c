//! Shaft length over the axle's travel, and what the slip joint must give.

use super::pinion::{Pinion, shaft};
use crate::figure::{Answer, Declared, Family, Given, Group, Input, Need, Output, Trouble, given};
use crate::quantity::show::{LENGTH, TAPE};
use crate::quantity::{Angle, Dimensioned, Kind, Length, Percent, unit};
use crate::source::Source;

const DISTANCE: Source = Source::derived(
    "distance of the joint centres with the axle at each point of its path",
    "circle root of the equivalent link",
);
const LINK: Source = Source::derived(
    "every point of the axle moves on a circle of three quarters of the leaf half, about the fixed eye",
    "numerical curvature of a leaf bent to a circular arc",
);
const MARGINS: Source = Source::practice(
    "1 in left at full bump, one spline diameter engaged at full droop, one third extended at ride",
);
const SPAN: Source =
    Source::handbook("transmission installation guide", "joint to joint 18 to 57 in for one shaft");

/// Shaft length at ride, bump and droop.
pub static SHAFT_LENGTH: Family = Family {
    name: "shaft-length",
    declared: Declared::OLD,
    group: Group::Geometry,
    title: "shaft length at ride, bump and droop, slip stroke and spline engagement",
    inputs: &[
        Input::required("reach", Kind::Length, "at ride: axle centre to flange joint centre, level")
            .also(&["x", "run"]),
        Input::required("rise", Kind::Length, "at ride: flange joint centre above the axle centre")
            .also(&["z", "height"]),
        Input::defaulted("offset", Kind::Length, "0", "pinion axis above (+) or below (-) the axle axis")
            .also(&["h", "hypoid_offset"]),
        Input::required("pinion", Kind::Length, "along the pinion axis to the pinion joint centre")
            .also(&["p", "pinion_length"]),
        Input::required("pinion_angle", Kind::Angle, "pinion angle at ride, nose up positive").also(&["f"]),
        Input::choice(
            "axle",
            &["front", "rear"],
            Need::Default("front"),
            "front: flange behind the axle; rear: flange ahead of it",
        ),
        Input::required("bump", Kind::Length, "rise of the axle to full bump").also(&["bump_z", "up"]),
        Input::required("droop", Kind::Length, "fall of the axle to full droop, without sign")
            .also(&["droop_z", "down"]),
        Input::optional("bump_x", Kind::Length, "fore-aft move of the axle at full bump, forward positive"),
        Input::optional("droop_x", Kind::Length, "fore-aft move of the axle at full droop, forward positive"),
        Input::optional("link", Kind::Length, "instead of the moves: equivalent link, 3/4 of the leaf half")
            .also(&["equivalent_link", "radius"]),
        Input::defaulted("link_drop", Kind::Length, "0", "axle end of the link below its fixed end at ride")
            .also(&["drop"]),
        Input::choice(
            "fixed_eye",
            &["front", "rear"],
            Need::Optional,
            "end of the spring without the shackle",
        ),
        Input::optional("bump_pinion", Kind::Angle, "pinion angle at full bump, if the housing turns"),
        Input::optional("droop_pinion", Kind::Angle, "pinion angle at full droop, if the housing turns"),
        Input::optional("collapsed", Kind::Length, "shaft length with the slip joint bottomed")
            .also(&["collapsed_length", "closed"]),
        Input::optional("slip_travel", Kind::Length, "whole travel of the slip joint").also(&["slip"]),
        Input::optional("engaged", Kind::Length, "spline engaged at ride").also(&["engagement"]),
        Input::optional("spline", Kind::Length, "spline diameter").also(&["spline_diameter"]),
    ],
    outputs: &[
        Output::new(
            "bump_move",
            "fore-aft move at bump, forward positive",
            Kind::Length,
            "given, or on the link's circle",
            LINK,
        ),
        Output::new(
            "droop_move",
            "fore-aft move at droop, forward positive",
            Kind::Length,
            "given, or on the link's circle",
            LINK,
        ),
        Output::new("ride_length", "length at ride", Kind::Length, "distance of the joint centres", DISTANCE)
            .style(TAPE),
        Output::new(
            "bump_length",
            "length at full bump",
            Kind::Length,
            "distance of the joint centres",
            DISTANCE,
        )
        .style(TAPE),
        Output::new(
            "droop_length",
            "length at full droop",
            Kind::Length,
            "distance of the joint centres",
            DISTANCE,
        )
        .style(TAPE),
        Output::new(
            "bump_change",
            "change to full bump",
            Kind::Length,
            "bump_length - ride_length",
            DISTANCE,
        ),
        Output::new(
            "droop_change",
            "change to full droop",
            Kind::Length,
            "droop_length - ride_length",
            DISTANCE,
        ),
        Output::new("longest", "longest", Kind::Length, "greatest of the three", DISTANCE).style(TAPE.up()),
        Output::new("shortest", "shortest", Kind::Length, "least of the three", DISTANCE).style(TAPE.down()),
        Output::new("stroke", "slip stroke needed", Kind::Length, "longest - shortest", DISTANCE)
            .style(LENGTH.up()),
        Output::new(
            "ride_joint",
            "pinion joint angle at ride",
            Kind::Angle,
            "|shaft slope - pinion angle|",
            DISTANCE,
        ),
        Output::new(
            "bump_joint",
            "pinion joint angle at bump",
            Kind::Angle,
            "|shaft slope - pinion angle|",
            DISTANCE,
        ),
        Output::new(
            "droop_joint",
            "pinion joint angle at droop",
            Kind::Angle,
            "|shaft slope - pinion angle|",
            DISTANCE,
        ),
        Output::new(
            "left_at_shortest",
            "travel left before the slip bottoms",
            Kind::Length,
            "shortest - collapsed",
            MARGINS,
        )
        .style(LENGTH.down()),
        Output::new(
            "engaged_at_longest",
            "spline engaged at the longest point",
            Kind::Length,
            "engaged - (longest - ride_length)",
            MARGINS,
        )
        .style(LENGTH.down()),
        Output::new(
            "extended_at_ride",
            "share of the slip extended at ride",
            Kind::Percent,
            "(ride_length - collapsed) / slip_travel",
            MARGINS,
        ),
    ],
    example: "reach=\"850 mm\" rise=\"300 mm\" offset=\"-38 mm\" pinion=\"330 mm\" pinion_angle=\"21.86 deg\" bump=\"60 mm\" droop=\"80 mm\" link=\"412.5 mm\" link_drop=\"60 mm\" fixed_eye=front",
    run: shaft_length,
};

fn shaft_length(given: &Given, answer: &mut Answer) -> Result<(), Trouble> {
    let place = Pinion {
        reach: given::positive("reach", given.need("reach")?)?,
        rise: given.need("rise")?,
        offset: given.or("offset", Length::from_si(0.0))?,
        pinion: given::positive("pinion", given.need("pinion")?)?,
    };
    let ride_angle: Angle = given.need("pinion_angle")?;
    given::within("pinion_angle", ride_angle, unit::DEG, -45.0..=60.0, DISTANCE)?;
    let bump: Length = given.need("bump")?;
    let droop: Length = given.need("droop")?;
    for (name, travel) in [("bump", bump), ("droop", droop)] {
        if travel.si() < 0.0 {
            return Err(Trouble::impossible(format!("{name} is negative"), "give travel without sign"));
        }
    }
    let bump_move = fore_aft(given, answer, "bump_x", bump)?;
    let droop_move = fore_aft(given, answer, "droop_x", -droop)?;
    let rear = given.maybe_word("axle")? == Some("rear");
    // The flange stays; seen from the axle it moves the other way. It lies
    // behind a front axle, so a forward move takes the axle away from it.
    let at = |up: Length, forward: Length, angle: Angle| {
        let toward = if rear { forward } else { -forward };
        let line = shaft(Pinion { reach: place.reach - toward, rise: place.rise - up, ..place }, angle);
        (line.length, Angle::from_si((line.slope - angle).si().abs()))
    };
    let zero = Length::from_si(0.0);
    let (ride, ride_joint) = at(zero, zero, ride_angle);
    let (up, up_joint) = at(bump, bump_move, given.or("bump_pinion", ride_angle)?);
    let (down, down_joint) = at(-droop, droop_move, given.or("droop_pinion", ride_angle)?);
    let longest = longer(ride, longer(up, down));
    let shortest = -longer(-ride, longer(-up, -down));
    answer.put("bump_move", bump_move);
    answer.put("droop_move", droop_move);
    answer.put("ride_length", ride);
    answer.put("bump_length", up);
    answer.put("droop_length", down);
    answer.put("bump_change", up - ride);
    answer.put("droop_change", down - ride);
    answer.put("longest", longest);
    answer.put("shortest", shortest);
    answer.put("stroke", longest - shortest);
    answer.put("ride_joint", ride_joint);
    answer.put("bump_joint", up_joint);
    answer.put("droop_joint", down_joint);
    if given::within("ride_length", ride, unit::IN, 18.0..=57.0, SPAN).is_err() {
        answer.warn(
            "The shaft is outside 18 to 57 in from joint to joint, the usual span of one shaft; \
             check joint angles if shorter and critical speed if longer.",
        );
    }
    margins(given, answer, Span { ride, longest, shortest })
}

fn longer(a: Length, b: Length) -> Length {
    if a > b { a } else { b }
}

/// Fore-aft move of the axle, forward positive, given or from the link.
fn fore_aft(given: &Given, answer: &mut Answer, name: &'static str, up: Length) -> Result<Length, Trouble> {
    if let Some(forward) = given.maybe::<Length>(name)? {
        return Ok(forward);
    }
    let Some(link) = given.maybe::<Length>("link")? else {
        // One of the two moves given shows that the other was forgotten.
        if given.has("bump_x") || given.has("droop_x") || given.has("fixed_eye") {
            return Err(Trouble::impossible(
                format!("{name} is not given"),
                "give bump_x and droop_x, or link with fixed_eye",
            ));
        }
        answer.warn("No fore-aft move was given: the axle is taken to go straight up and down. Give bump_x and droop_x, or link with fixed_eye, if it does not.");
        return Ok(Length::from_si(0.0));
    };
    let drop = given.or("link_drop", Length::from_si(0.0))?;
    let away = link_move(given::positive("link", link)?, drop, up)?;
    Ok(if given.word("fixed_eye")? == "front" { -away } else { away })
}

/// Move of the axle away from the fixed eye when it rises by `up`, hung on a
/// link whose axle end is `drop` below its fixed end at ride.
///
/// # Errors
/// If the link can't reach that far.
pub fn link_move(link: Length, drop: Length, up: Length) -> Result<Length, Trouble> {
    let along = |below: f64| {
        let square = link.si() * link.si() - below * below;
        (square >= 0.0).then(|| square.sqrt()).ok_or_else(|| {
            Trouble::impossible("the travel is longer than the link", "check link, link_drop, bump and droop")
        })
    };
    Ok(Length::from_si(along(drop.si() - up.si())? - along(drop.si())?))
}

/// Lengths that the slip joint has to cover.
#[derive(Debug, Clone, Copy)]
struct Span {
    ride: Length,
    longest: Length,
    shortest: Length,
}

fn margins(given: &Given, answer: &mut Answer, span: Span) -> Result<(), Trouble> {
    let collapsed: Option<Length> = given.maybe("collapsed")?;
    if let Some(collapsed) = collapsed {
        let left = span.shortest - collapsed;
        answer.put("left_at_shortest", left);
        if left.si() < 0.0 {
            answer.warn("The slip joint bottoms before full bump; the shaft is too long. Do not fit it.");
        } else if left.to(unit::IN) < 1.0 {
            answer.warn("Less than 1 in is left before the slip joint bottoms; shorten the shaft.");
        }
    }
    if let Some(engaged) = given.maybe::<Length>("engaged")? {
        let left = engaged - (span.longest - span.ride);
        answer.put("engaged_at_longest", left);
        if left.si() <= 0.0 {
            answer.warn("The spline pulls apart at full droop; the shaft is too short. Do not fit it.");
        } else if let Some(spline) = given.maybe::<Length>("spline")?
            && left < spline
        {
            answer.warn("Less than one spline diameter is engaged at full droop; use a longer spline.");
        }
    }
    if let (Some(collapsed), Some(travel)) = (collapsed, given.maybe::<Length>("slip_travel")?) {
        let travel = given::positive("slip_travel", travel)?;
        answer.put("extended_at_ride", Percent::from_si((span.ride - collapsed).si() / travel.si()));
        if span.longest - span.shortest > travel {
            answer.warn("The slip joint has less travel than the stroke needed; use a longer slip joint.");
        }
    }
    Ok(())
}
