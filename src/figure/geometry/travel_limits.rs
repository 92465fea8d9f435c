//! Parts that must follow the travel: brake hose, shock absorber, bump stop.

use crate::figure::{Answer, Declared, Family, Given, Group, Input, Need, Output, Trouble, given};
use crate::quantity::show::{ANGLE, TAPE};
use crate::quantity::{Angle, Dimensioned, Kind, Length, math, unit};
use crate::source::Source;

const DISTANCE: Source = Source::derived("distance between the two ends", "coordinates");
const SLACK: Source =
    Source::practice("25 to 50 mm of slack on the greatest distance, and room for the bend");
const MARGIN: Source =
    Source::practice("shock at least 12 mm longer than its collapsed length at the bump stop");
const STOP: Source = Source::practice("bump travel as before, unless tyre room or the spring asks for less");

/// Hose length.
pub static HOSE_LENGTH: Family = Family {
    name: "hose-length",
    declared: Declared::OLD,
    group: Group::Geometry,
    title: "least free length of a brake hose over all positions of the axle",
    inputs: &[
        Input::defaulted("frame_x", Kind::Length, "0", "frame end, forward").also(&["fx"]),
        Input::defaulted("frame_y", Kind::Length, "0", "frame end, left").also(&["fy"]),
        Input::defaulted("frame_z", Kind::Length, "0", "frame end, up").also(&["fz"]),
        Input::list(
            "axle_x",
            Kind::Length,
            Need::Required,
            "axle end, forward, at bump, droop, each lock, wind-up",
        )
        .also(&["x"]),
        Input::list("axle_y", Kind::Length, Need::Required, "axle end, left, in the same positions")
            .also(&["y"]),
        Input::list("axle_z", Kind::Length, Need::Required, "axle end, up, in the same positions")
            .also(&["z"]),
        Input::defaulted("slack", Kind::Length, "50 mm", "slack on the greatest distance"),
        Input::defaulted("bend", Kind::Length, "0", "added for bends and end fittings"),
        Input::optional("fitted", Kind::Length, "free length of the hose there is")
            .also(&["hose", "old_length"]),
    ],
    outputs: &[
        Output::list(
            "distances",
            "distance of the ends by position",
            Kind::Length,
            "hypot of the differences",
            DISTANCE,
        ),
        Output::new("greatest", "greatest distance", Kind::Length, "largest of distances", DISTANCE).up(),
        Output::new(
            "free_length",
            "least free length of the hose",
            Kind::Length,
            "greatest + slack + bend",
            SLACK,
        )
        .up(),
        Output::new("spare", "fitted hose longer than needed", Kind::Length, "fitted - free_length", SLACK)
            .down(),
    ],
    example: "axle_x=\"0, 10, -15 mm\" axle_y=\"150, 150, 220 mm\" axle_z=\"-120, -330, -330 mm\" fitted=\"400 mm\"",
    run: hose_length,
};

fn hose_length(given: &Given, answer: &mut Answer) -> Result<(), Trouble> {
    let zero = Length::from_si(0.0);
    let frame: [Length; 3] =
        [given.or("frame_x", zero)?, given.or("frame_y", zero)?, given.or("frame_z", zero)?];
    let (x, y, z): (Vec<Length>, Vec<Length>, Vec<Length>) =
        (given.list("axle_x")?, given.list("axle_y")?, given.list("axle_z")?);
    if x.len() != y.len() || x.len() != z.len() || x.is_empty() {
        return Err(Trouble::impossible(
            format!("axle_x, axle_y and axle_z have {}, {} and {} values", x.len(), y.len(), z.len()),
            "give all three for each position of the axle",
        ));
    }
    let distances: Vec<Length> = x
        .iter()
        .zip(&y)
        .zip(&z)
        .map(|((x, y), z)| {
            let across = math::hypot((*x - frame[0]).si(), (*y - frame[1]).si());
            Length::from_si(math::hypot(across, (*z - frame[2]).si()))
        })
        .collect();
    let greatest = Length::from_si(distances.iter().map(|d| d.si()).fold(0.0, f64::max));
    let slack: Length = given.or("slack", Length::of(50.0, unit::MM))?;
    if slack.to(unit::MM) < 25.0 - 1e-9 {
        answer.warn("The slack is under 25 mm, less than common practice allows.");
    }
    let needed = greatest + slack + given.or("bend", zero)?;
    answer.put_list("distances", distances);
    answer.put("greatest", greatest);
    answer.put("free_length", needed);
    if let Some(fitted) = given.maybe::<Length>("fitted")? {
        answer.put("spare", fitted - needed);
        if fitted.si() < needed.si() {
            answer.warn("The fitted hose is too short; fit a longer one made for brakes, or move its bracket, before the axle hangs free.");
        }
    }
    answer
        .warn("Check the routing at full lock in both travel extremes: no rubbing, no tight bend, no twist.");
    Ok(())
}

/// Shock length.
pub static SHOCK_LENGTH: Family = Family {
    name: "shock-length",
    declared: Declared::OLD,
    group: Group::Geometry,
    title: "shock absorber lengths over the travel, and the stroke it needs",
    inputs: &[
        Input::required("vertical", Kind::Length, "upper above lower mount at ride")
            .also(&["v", "ride_vertical"]),
        Input::defaulted("offset", Kind::Length, "0", "horizontal distance of the mounts, fore and aft")
            .also(&["horizontal"]),
        Input::defaulted("offset_across", Kind::Length, "0", "horizontal distance of the mounts, across")
            .also(&["lateral"]),
        Input::required("bump", Kind::Length, "travel up from ride to the stop").also(&["bump_travel", "up"]),
        Input::required("droop", Kind::Length, "travel down from ride").also(&["droop_travel", "down"]),
        Input::defaulted("lift", Kind::Length, "0", "added to the vertical by moving the axle seat"),
        Input::defaulted("margin", Kind::Length, "12 mm", "room left at both ends of the stroke"),
        Input::optional("collapsed", Kind::Length, "collapsed length of the shock there is"),
        Input::optional("extended", Kind::Length, "extended length of the shock there is"),
    ],
    outputs: &[
        Output::new("ride_length", "length at ride", Kind::Length, "hypot(offset, vertical)", DISTANCE),
        Output::new(
            "bump_length",
            "length at the bump stop",
            Kind::Length,
            "hypot(offset, vertical - bump)",
            DISTANCE,
        )
        .down(),
        Output::new(
            "droop_length",
            "length at full droop",
            Kind::Length,
            "hypot(offset, vertical + droop)",
            DISTANCE,
        )
        .up(),
        Output::new("stroke", "stroke needed", Kind::Length, "droop_length - bump_length", DISTANCE).up(),
        Output::new(
            "collapsed_limit",
            "greatest collapsed length",
            Kind::Length,
            "bump_length - margin",
            MARGIN,
        )
        .down(),
        Output::new("extended_limit", "least extended length", Kind::Length, "droop_length + margin", MARGIN)
            .up(),
        Output::new("lean", "shock from vertical at ride", Kind::Angle, "atan2(offset, vertical)", DISTANCE)
            .style(ANGLE),
        Output::word("verdict", "shock there is", "collapsed and extended against the limits", MARGIN),
    ],
    example: "offset=\"120 mm\" vertical=\"480 mm\" bump=\"90 mm\" droop=\"110 mm\" collapsed=\"380 mm\" extended=\"620 mm\"",
    run: shock_length,
};

fn shock_length(given: &Given, answer: &mut Answer) -> Result<(), Trouble> {
    let zero = Length::from_si(0.0);
    let vertical = given.need::<Length>("vertical")? + given.or("lift", zero)?;
    let (along, across): (Length, Length) = (given.or("offset", zero)?, given.or("offset_across", zero)?);
    let offset = math::hypot(along.si(), across.si());
    let bump: Length = given::positive("bump", given.need("bump")?)?;
    let droop: Length = given::positive("droop", given.need("droop")?)?;
    given::positive("vertical at the bump stop", vertical - bump)?;
    let length = |vertical: Length| Length::from_si(math::hypot(offset, vertical.si()));
    let (shortest, longest) = (length(vertical - bump), length(vertical + droop));
    let margin: Length = given.or("margin", Length::of(12.0, unit::MM))?;
    answer.put("ride_length", length(vertical));
    answer.put("bump_length", shortest);
    answer.put("droop_length", longest);
    answer.put("stroke", longest - shortest);
    answer.put("collapsed_limit", shortest - margin);
    answer.put("extended_limit", longest + margin);
    let lean: Angle = math::atan2(offset, vertical.si());
    answer.put("lean", lean);
    let collapsed: Option<Length> = given.maybe("collapsed")?;
    let extended: Option<Length> = given.maybe("extended")?;
    if collapsed.is_none() && extended.is_none() {
        return Ok(());
    }
    let room = 1e-9;
    let too_long = collapsed.is_some_and(|c| c.si() > (shortest - margin).si() + room);
    let too_short = extended.is_some_and(|e| e.si() < (longest + margin).si() - room);
    answer.put_word(
        "verdict",
        match (too_long, too_short) {
            (false, false) => "fits",
            (true, false) => "bottoms before the bump stop",
            (false, true) => "too short at droop",
            (true, true) => "stroke too short",
        },
    );
    if too_long {
        answer.warn(
            "The shock would bottom before the bump stop; use a shorter one, move a mount or lower the stop.",
        );
    }
    if too_short {
        answer.warn("The shock would stop the droop; use a longer one, move a mount or fit a limit strap.");
    }
    Ok(())
}

/// Bump stop.
pub static BUMP_STOP: Family = Family {
    name: "bump-stop",
    declared: Declared::OLD,
    group: Group::Geometry,
    title: "bump-stop gap and spacer after a lift",
    inputs: &[
        Input::required("gap_old", Kind::Length, "gap from stop to axle at ride, before").also(&[
            "gap",
            "old_gap",
            "bump_travel",
        ]),
        Input::required("lift", Kind::Length, "lift of the frame at the axle"),
        Input::optional("to_flat", Kind::Length, "travel up from ride at which the spring is flat, after")
            .also(&["arch", "loaded_arch"]),
        Input::defaulted("past_flat", Kind::Length, "0", "how far past flat the maker of the spring allows"),
        Input::optional("tyre_room", Kind::Length, "travel up until the tyre touches, after")
            .also(&["tire_room", "tyre_clearance"]),
    ],
    outputs: &[
        Output::new("gap_unchanged", "gap if the stop is left alone", Kind::Length, "gap_old + lift", STOP),
        Output::new(
            "gap",
            "gap to set",
            Kind::Length,
            "least of gap_old, to_flat + past_flat, tyre_room",
            STOP,
        )
        .style(TAPE)
        .down(),
        Output::new("spacer", "stop brought down by", Kind::Length, "gap_unchanged - gap", STOP)
            .style(TAPE)
            .up(),
        Output::word("governs", "what sets the gap", "the least one", STOP),
    ],
    example: "gap_old=\"80 mm\" lift=\"140 mm\" to_flat=\"60 mm\" tyre_room=\"95 mm\"",
    run: bump_stop,
};

fn bump_stop(given: &Given, answer: &mut Answer) -> Result<(), Trouble> {
    let old: Length = given::positive("gap_old", given.need("gap_old")?)?;
    let lift: Length = given.need("lift")?;
    let mut gap = (old, "bump travel as before");
    if let Some(flat) = given.maybe::<Length>("to_flat")? {
        let travel = flat + given.or("past_flat", Length::from_si(0.0))?;
        if travel.si() < gap.0.si() {
            gap = (travel, "spring near flat");
        }
    }
    if let Some(room) = given.maybe::<Length>("tyre_room")?.filter(|room| room.si() < gap.0.si()) {
        gap = (room, "tyre room");
    }
    given::positive("gap", gap.0)?;
    let unchanged = old + lift;
    answer.put("gap_unchanged", unchanged);
    answer.put("gap", gap.0);
    answer.put("spacer", unchanged - gap.0);
    answer.put_word("governs", gap.1);
    if !given.has("to_flat") {
        answer.warn(
            "Check that the spring does not pass flat by more than its maker allows before the stop is met.",
        );
    }
    answer.note("Fit the stop on the frame above the tube, not on the spring pad.");
    Ok(())
}
