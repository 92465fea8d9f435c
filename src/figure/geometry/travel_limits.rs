//! Parts that must follow the travel: brake hose, shock absorber, bump stop.

use crate::figure::prelude::*;
use crate::figure::usual::TRAVEL;

const DISTANCE: Source = Source::derived("distance between the two ends", "coordinates");
const SLACK: Source =
    Source::practice("25 to 50 mm of slack on the greatest distance, and room for the bend");
const MARGIN: Source =
    Source::practice("shock at least 12 mm longer than its collapsed length at the bump stop");
const STOP: Source = Source::practice("bump travel as before, unless tyre room or the spring asks for less");

/// Places of the axle a hose is judged over.
const LEAST_POSITIONS: usize = 3;
/// Mounts and travel of shocks on light and medium trucks.
const MOUNTS: Source = Source::practice("shocks of road vehicles; outside it a unit or a digit is wrong");
const SHOCK: Range = within(0.0, 2.0, unit::M, MOUNTS).above_zero().usually(0.15, 1.2, unit::M);

family! {
    pub HOSE_LENGTH = "hose-length" in Geometry: "least free length of a brake hose over all positions of the axle";
    also "brake-hose", "hose", "brake-hose-length";
    reads HoseLength {
        default frame_x: Length = "0", "frame end, forward", "fx";
        default frame_y: Length = "0", "frame end, left", "fy";
        default frame_z: Length = "0", "frame end, up", "fz";
        list axle_x: Length, "axle end, forward, at bump, droop, each lock, wind-up", "x";
        list axle_y: Length, "axle end, left, in the same positions", "y";
        list axle_z: Length, "axle end, up, in the same positions", "z";
        default slack: Length = "50 mm" in NOT_NEGATIVE, "slack on the greatest distance";
        default bend: Length = "0" in NOT_NEGATIVE, "added for bends and end fittings";
        optional fitted: Length in ABOVE_ZERO, "free length of the hose there is", "hose", "old_length";
    }
    gives HoseLengthAnswer {
        distances: Vec<Length>, "distance of the ends by position", "hypot of the differences", DISTANCE => .up();
        greatest: Length, "greatest distance", "largest of distances", DISTANCE => .up();
        free_length: Length, "least free length of the hose", "greatest + slack + bend", SLACK => .at_least();
        spare: Length, "fitted hose longer than needed", "fitted - free_length", SLACK => .down();
        verdict: String, "fitted hose", "fitted against free_length, over bump, droop and both locks", SLACK
            => .claims(&["long enough"]);
    }
    asked free_length;
    example "axle_x=\"0, 10, -15 mm\" axle_y=\"150, 150, 220 mm\" axle_z=\"-120, -330, -330 mm\" fitted=\"400 mm\"";
    by hose_length
}

fn hose_length(given: &HoseLength, answer: &mut HoseLengthAnswer) -> Result<()> {
    let frame = [*given.frame_x, *given.frame_y, *given.frame_z];
    let (x, y, z) = (&*given.axle_x, &*given.axle_y, &*given.axle_z);
    if x.len() != y.len() || x.len() != z.len() {
        return Err(Trouble::impossible(
            format!("axle_x, axle_y and axle_z have {}, {} and {} values", x.len(), y.len(), z.len()),
            "give all three for each position of the axle",
        ));
    }
    let distances: Vec<Length> = x
        .iter()
        .zip(y)
        .zip(z)
        .map(|((x, y), z)| {
            let across = math::hypot((*x - frame[0]).si(), (*y - frame[1]).si());
            Length::from_si(math::hypot(across, (*z - frame[2]).si()))
        })
        .collect();
    let greatest = Length::from_si(distances.iter().map(|d| d.si()).fold(0.0, f64::max));
    let slack = *given.slack;
    if slack.to(unit::MM) < 25.0 - 1e-9 {
        answer.warn("The slack is under 25 mm, less than common practice allows.");
    }
    let needed = greatest + slack + *given.bend;
    answer.distances.put(distances);
    answer.greatest.put(greatest);
    answer.free_length.put(needed);
    if let Some(fitted) = *given.fitted {
        answer.spare.put(fitted - needed);
        // Bump, droop and both locks at the least: a hose is short where nobody looked.
        if positions(x, y, z) < LEAST_POSITIONS && fitted >= needed {
            answer.verdict.put("not judged: give the axle end at bump, at droop and at each lock");
        } else {
            answer.verdict.judge(
                (fitted - needed).si(),
                "long enough",
                "too short",
                "not proven: measure the positions again",
            );
        }
        if fitted.si() < needed.si() {
            answer.warn("The fitted hose is too short; fit a longer one made for brakes, or move its bracket, before the axle hangs free.");
        }
    }
    answer
        .warn("Check the routing at full lock in both travel extremes: no rubbing, no tight bend, no twist.");
    Ok(())
}

/// How many of the positions differ: one typed twice is one.
fn positions(x: &[Length], y: &[Length], z: &[Length]) -> usize {
    let mut seen: Vec<[f64; 3]> = Vec::new();
    for ((x, y), z) in x.iter().zip(y).zip(z) {
        let place = [x.si(), y.si(), z.si()];
        let same = |other: &&[f64; 3]| other.iter().zip(&place).all(|(a, b)| (a - b).abs() < 1e-6);
        if !seen.iter().any(|other| same(&other)) {
            seen.push(place);
        }
    }
    seen.len()
}

family! {
    pub SHOCK_LENGTH = "shock-length" in Geometry: "shock absorber lengths over the travel, and the stroke it needs";
    also "shock", "shocks", "damper", "shock-absorber", "damper-length";
    reads ShockLength {
        required vertical: Length in within(-2.0, 2.0, unit::M, MOUNTS).usually(0.05, 1.0, unit::M), "upper above lower mount at ride", "v", "ride_vertical";
        default offset: Length = "0", "horizontal distance of the mounts, fore and aft", "horizontal";
        default offset_across: Length = "0", "horizontal distance of the mounts, across", "lateral";
        required bump: Length in TRAVEL, "travel up from ride to the stop", "bump_travel", "up";
        required droop: Length in TRAVEL, "travel down from ride", "droop_travel", "down";
        default lift: Length = "0", "rise (+) or fall (-), added to the vertical by moving the axle seat";
        default margin: Length = "12 mm" in NOT_NEGATIVE, "room left at both ends of the stroke";
        optional collapsed: Length in SHOCK, "collapsed length of the shock there is";
        optional extended: Length in SHOCK, "extended length of the shock there is";
    }
    gives ShockLengthAnswer {
        ride_length: Length, "length at ride", "hypot(offset, vertical)", DISTANCE;
        bump_length: Length, "length at the bump stop", "hypot(offset, vertical - bump)", DISTANCE => .down();
        droop_length: Length, "length at full droop", "hypot(offset, vertical + droop)", DISTANCE => .up();
        stroke: Length, "stroke needed", "droop_length - bump_length", DISTANCE => .at_least();
        collapsed_limit: Length, "greatest collapsed length", "bump_length - margin", MARGIN => .at_most();
        extended_limit: Length, "least extended length", "droop_length + margin", MARGIN => .at_least();
        lean: Angle, "shock from vertical at ride", "atan2(offset, vertical)", DISTANCE => .style(ANGLE);
        verdict: String, "shock there is", "collapsed and extended against the limits", MARGIN
            => .claims(&["fits"]);
    }
    asked stroke;
    example "offset=\"120 mm\" vertical=\"480 mm\" bump=\"90 mm\" droop=\"110 mm\" collapsed=\"380 mm\" extended=\"620 mm\"";
    by shock_length
}

fn shock_length(given: &ShockLength, answer: &mut ShockLengthAnswer) -> Result<()> {
    let vertical = *given.vertical + *given.lift;
    let (along, across): (Length, Length) = (*given.offset, *given.offset_across);
    let offset = math::hypot(along.si(), across.si());
    let bump = *given.bump;
    positive("vertical at the bump stop", vertical - bump)?;
    let length = |vertical: Length| Length::from_si(math::hypot(offset, vertical.si()));
    let (shortest, longest) = (length(vertical - bump), length(vertical + *given.droop));
    let margin = *given.margin;
    answer.ride_length.put(length(vertical));
    answer.bump_length.put(shortest);
    answer.droop_length.put(longest);
    answer.stroke.put(longest - shortest);
    answer.collapsed_limit.put(shortest - margin);
    answer.extended_limit.put(longest + margin);
    let lean: Angle = math::atan2(offset, vertical.si());
    answer.lean.put(lean);
    let collapsed = *given.collapsed;
    let extended = *given.extended;
    if collapsed.is_none() && extended.is_none() {
        return Ok(());
    }
    if let (Some(collapsed), Some(extended)) = (collapsed, extended) {
        (extended <= collapsed).refuse(
            "the extended length of the shock is not above its collapsed length",
            "check collapsed and extended: they may be swapped",
        )?;
        (extended >= collapsed * 2.0).refuse(
            "no shock comes out to twice its collapsed length: the rod stays in the tube",
            "check collapsed and extended",
        )?;
    }
    let room = 1e-9;
    let too_long = collapsed.is_some_and(|c| c.si() > (shortest - margin).si() + room);
    let too_short = extended.is_some_and(|e| e.si() < (longest + margin).si() - room);
    let margin = collapsed
        .map_or(f64::INFINITY, |c| (shortest - margin - c).si())
        .min(extended.map_or(f64::INFINITY, |e| (e - longest - margin).si()));
    let bad = match (too_long, too_short) {
        (true, false) => "bottoms before the bump stop",
        (false, true) => "too short at droop",
        _ => "stroke too short",
    };
    let untold = if collapsed.is_none() { "collapsed" } else { "extended" };
    if margin + room >= 0.0 && (collapsed.is_none() || extended.is_none()) {
        answer.verdict.put(format!("not judged: {untold} is not told, and a shock may fail at either end"));
    } else {
        answer.verdict.judge(margin + room, "fits", bad, "not proven");
    }
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

family! {
    pub BUMP_STOP = "bump-stop" in Geometry: "bump-stop gap and spacer after a lift";
    also "bump-stop-gap", "bumpstop", "bump-gap";
    reads BumpStop {
        required gap_old: Length in ABOVE_ZERO, "gap from stop to axle at ride, before", "gap", "old_gap",
            "bump_travel";
        required lift: Length, "lift of the frame at the axle";
        optional to_flat: Length, "travel up from ride at which the spring is flat, after", "arch", "loaded_arch";
        default past_flat: Length = "0", "how far past flat the maker of the spring allows";
        optional tyre_room: Length, "travel up until the tyre touches, after", "tire_room", "tyre_clearance";
    }
    gives BumpStopAnswer {
        gap_unchanged: Length, "gap if the stop is left alone", "gap_old + lift", STOP;
        gap: Length, "gap to set", "least of gap_old, to_flat + past_flat, tyre_room", STOP => .style(TAPE).at_most();
        spacer: Length, "stop brought down by", "gap_unchanged - gap", STOP => .style(TAPE).at_least();
        governs: String, "what sets the gap", "the least one", STOP;
    }
    asked gap;
    example "gap_old=\"80 mm\" lift=\"140 mm\" to_flat=\"60 mm\" tyre_room=\"95 mm\"";
    by bump_stop
}

fn bump_stop(given: &BumpStop, answer: &mut BumpStopAnswer) -> Result<()> {
    let old = *given.gap_old;
    let mut gap = (old, "bump travel as before");
    if let Some(flat) = *given.to_flat {
        let travel = flat + *given.past_flat;
        if travel.si() < gap.0.si() {
            gap = (travel, "spring near flat");
        }
    }
    if let Some(room) = given.tyre_room.filter(|room| room.si() < gap.0.si()) {
        gap = (room, "tyre room");
    }
    if gap.0.si() <= 0.0 {
        return Err(Trouble::impossible(
            format!("{} leaves no gap to set: it would be {}", gap.1, show(gap.0)),
            "check to_flat, past_flat and tyre_room: the axle would stand on the stop at ride",
        ));
    }
    let unchanged = old + *given.lift;
    answer.gap_unchanged.put(unchanged);
    answer.gap.put(gap.0);
    answer.spacer.put(unchanged - gap.0);
    answer.governs.put(gap.1);
    if !given.to_flat.given() {
        answer.warn(
            "Check that the spring does not pass flat by more than its maker allows before the stop is met.",
        );
    }
    answer.note("Fit the stop on the frame above the tube, not on the spring pad.");
    Ok(())
}
