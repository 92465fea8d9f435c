//! Shaft length over the axle's travel, and what the slip joint must give.

use super::End;
use super::pinion::{Pinion, shaft};
use crate::figure::prelude::*;

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
const APART: Source = Source::derived(
    "a slip joint is between collapsed and collapsed + slip_travel long, or it is apart",
    "sums of lengths",
);
/// Joint angle above which a joint is held against its maker's rating, degrees.
const STEEP: f64 = 15.0;
/// Joint angle at which a single joint binds whatever its make (common practice), degrees.
const LOCKED: f64 = 50.0;
/// Difference of a stated fore-aft move from the one on the link's circle that is told, mm.
const SAME_MOVE: f64 = 3.0;
const SPAN: Source = Source::practice("joint to joint 18 to 57 in for one shaft").from_memory();

family! {
    pub SHAFT_LENGTH = "shaft-length" in Geometry:
        "shaft length at ride, bump and droop, slip stroke and spline engagement";
    also "spline-engagement", "slip-yoke", "driveshaft-length", "slip", "slip-travel", "driveshaft";
    reads ShaftLength {
        required reach: Length in ABOVE_ZERO, "at ride: axle centre to flange joint centre, level", "x", "run";
        required rise: Length, "at ride: flange joint centre above the axle centre", "z", "height";
        default offset: Length = "0", "pinion axis above (+) or below (-) the axle axis", "h", "hypoid_offset";
        required pinion: Length in ABOVE_ZERO, "along the pinion axis to the pinion joint centre", "p",
            "pinion_length";
        required pinion_angle: Angle in within(-45.0, 60.0, unit::DEG, DISTANCE),
            "pinion angle at ride, nose up positive", "f";
        default axle: End = Front, "front: flange behind the axle; rear: flange ahead of it";
        required bump: Length in NOT_NEGATIVE.usually(0.0, 20.0, unit::IN), "rise of the axle to full bump", "bump_z", "up";
        required droop: Length in NOT_NEGATIVE.usually(0.0, 20.0, unit::IN), "fall of the axle to full droop, without sign", "droop_z", "down";
        optional bump_x: Length, "fore-aft move of the axle at full bump, forward positive";
        optional droop_x: Length, "fore-aft move of the axle at full droop, forward positive";
        optional link: Length in ABOVE_ZERO, "instead of the moves: equivalent link, 3/4 of the leaf half",
            "equivalent_link", "radius";
        default link_drop: Length = "0", "axle end of the link below its fixed end at ride", "drop";
        optional fixed_eye: End, "end of the spring without the shackle";
        optional bump_pinion: Angle, "pinion angle at full bump, if the housing turns";
        optional droop_pinion: Angle, "pinion angle at full droop, if the housing turns";
        optional collapsed: Length in ABOVE_ZERO, "shaft length with the slip joint bottomed", "collapsed_length", "closed";
        optional slip_travel: Length in ABOVE_ZERO, "whole travel of the slip joint", "slip";
        optional engaged: Length in NOT_NEGATIVE, "spline engaged at ride", "engagement";
        optional spline: Length in ABOVE_ZERO, "spline diameter", "spline_diameter";
    }
    gives ShaftLengthAnswer {
        bump_move: Length, "fore-aft move at bump, forward positive", "given, or on the link's circle", LINK;
        droop_move: Length, "fore-aft move at droop, forward positive", "given, or on the link's circle", LINK;
        ride_length: Length, "length at ride", "distance of the joint centres", DISTANCE => .style(LENGTH);
        bump_length: Length, "length at full bump", "distance of the joint centres", DISTANCE => .style(LENGTH);
        droop_length: Length, "length at full droop", "distance of the joint centres", DISTANCE => .style(LENGTH);
        bump_change: Length, "change to full bump", "bump_length - ride_length", DISTANCE;
        droop_change: Length, "change to full droop", "droop_length - ride_length", DISTANCE;
        longest: Length, "longest", "greatest of the three", DISTANCE => .style(LENGTH.up());
        shortest: Length, "shortest", "least of the three", DISTANCE => .style(LENGTH.down());
        stroke: Length, "slip stroke needed", "longest - shortest", DISTANCE => .style(LENGTH).at_least();
        ride_joint: Angle, "pinion joint angle at ride", "|shaft slope - pinion angle|", DISTANCE;
        bump_joint: Angle, "pinion joint angle at bump", "|shaft slope - pinion angle|", DISTANCE;
        droop_joint: Angle, "pinion joint angle at droop", "|shaft slope - pinion angle|", DISTANCE;
        left_at_shortest: Length, "travel left before the slip bottoms", "shortest - collapsed",
            MARGINS => .style(LENGTH.down());
        left_at_longest: Length, "travel left before the slip pulls apart", "collapsed + slip_travel - longest",
            APART => .style(LENGTH.down());
        engaged_at_longest: Length, "spline engaged at the longest point", "engaged - (longest - ride_length)",
            MARGINS => .style(LENGTH.down());
        extended_at_ride: Percent, "share of the slip extended at ride", "(ride_length - collapsed) / slip_travel",
            MARGINS;
        slip_joint: String, "slip joint over the travel",
            "collapsed <= shortest, longest <= collapsed + slip_travel, one spline diameter engaged at the longest point", APART;
    }
    asked stroke;
    example "reach=\"850 mm\" rise=\"300 mm\" offset=\"-38 mm\" pinion=\"330 mm\" pinion_angle=\"21.86 deg\" bump=\"60 mm\" droop=\"80 mm\" link=\"412.5 mm\" link_drop=\"60 mm\" fixed_eye=front";
    by shaft_length
}

fn shaft_length(given: &ShaftLength, answer: &mut ShaftLengthAnswer) -> Result<()> {
    let place =
        Pinion { reach: *given.reach, rise: *given.rise, offset: *given.offset, pinion: *given.pinion };
    let ride_angle = *given.pinion_angle;
    let bump = *given.bump;
    let droop = *given.droop;
    let bump_move = fore_aft(given, answer, &given.bump_x, bump)?;
    let droop_move = fore_aft(given, answer, &given.droop_x, -droop)?;
    let rear = *given.axle == End::Rear;
    // The flange stays; seen from the axle it moves the other way. It lies
    // behind a front axle, so a forward move takes the axle away from it.
    let at = |up: Length, forward: Length, angle: Angle| {
        let toward = if rear { forward } else { -forward };
        let line = shaft(Pinion { reach: place.reach - toward, rise: place.rise - up, ..place }, angle);
        (line.length, Angle::from_si((line.slope - angle).si().abs()))
    };
    let zero = Length::from_si(0.0);
    let (ride, ride_joint) = at(zero, zero, ride_angle);
    let (up, up_joint) = at(bump, bump_move, given.bump_pinion.unwrap_or(ride_angle));
    let (down, down_joint) = at(-droop, droop_move, given.droop_pinion.unwrap_or(ride_angle));
    let longest = larger(ride, larger(up, down));
    let shortest = -larger(-ride, larger(-up, -down));
    answer.bump_move.put(bump_move);
    answer.droop_move.put(droop_move);
    answer.ride_length.put(ride);
    answer.bump_length.put(up);
    answer.droop_length.put(down);
    answer.bump_change.put(up - ride);
    answer.droop_change.put(down - ride);
    answer.longest.put(longest);
    answer.shortest.put(shortest);
    answer.stroke.put(longest - shortest);
    answer.ride_joint.put(ride_joint);
    answer.bump_joint.put(up_joint);
    answer.droop_joint.put(down_joint);
    if within(18.0, 57.0, unit::IN, SPAN).check("ride_length", ride.into()).is_err() {
        answer.warn(
            "The shaft is outside 18 to 57 in from joint to joint, the usual span of one shaft; \
             check joint angles if shorter and critical speed if longer.",
        );
    }
    let steepest = [ride_joint, up_joint, down_joint].iter().map(|a| a.to(unit::DEG)).fold(0.0, f64::max);
    if steepest > STEEP {
        answer.warn(format!(
            "The pinion joint comes to {steepest:.1} deg over the travel: hold it against the rating of its maker; single joints are commonly built for 15 to 30 deg (common practice), and for far less at speed."
        ));
    }
    let span = Span { ride, longest, shortest };
    (*given.collapsed).is_some_and(|collapsed| collapsed > ride).refuse(
        "the shaft is shorter at ride than with its slip joint bottomed",
        "check collapsed: it is the length from joint centre to joint centre with the slip pushed in",
    )?;
    (*given.engaged).zip(*given.collapsed).is_some_and(|(engaged, collapsed)| engaged > collapsed).refuse(
        "more spline is engaged at ride than the shaft is long with its slip joint bottomed",
        "check engaged and collapsed",
    )?;
    (steepest > LOCKED && given.collapsed.given()).refuse(
        &format!("the pinion joint comes to {steepest:.1} deg, and no single joint turns there: no slip joint saves it"),
        "check pinion_angle, rise and reach, and the angles at bump and droop",
    )?;
    margins(given, answer, span);
    let verdict = slip_joint(given, answer, span);
    answer.slip_joint.put_some(verdict);
    Ok(())
}

/// What a condition of the slip joint comes to, its uncertainty (k = 2) taken off.
#[derive(Clone, Copy, PartialEq)]
enum Held {
    Yes,
    No,
    Unproven,
}

fn held(margin: Length, spread: Length) -> Held {
    match margin.si() {
        m if m >= spread.si() - 1e-12 => Held::Yes,
        m if m < -spread.si() => Held::No,
        _ => Held::Unproven,
    }
}

/// Whether the slip joint stays together and off its bottom over the travel: no
/// for one reason, yes only with all that it rests on.
fn slip_joint(given: &ShaftLength, answer: &ShaftLengthAnswer, span: Span) -> Option<String> {
    let known = [&given.collapsed as &dyn Stated, &given.slip_travel, &given.engaged];
    if known.iter().all(|input| input.absent().is_some()) {
        return None;
    }
    let mut found = Vec::new();
    let spread = |out: &Out<Length>| out.expanded();
    if let Some(left) = answer.left_at_shortest.get() {
        found.push((held(*left, spread(&answer.left_at_shortest)), "bottoms before full bump"));
    }
    if let Some(left) = answer.left_at_longest.get() {
        let at_ride = given.collapsed.zip(*given.slip_travel).is_some_and(|(c, t)| span.ride >= c + t);
        let words = if at_ride { "pulls apart even at ride" } else { "pulls apart over the travel" };
        found.push((held(*left, spread(&answer.left_at_longest)), words));
    }
    if let Some(left) = answer.engaged_at_longest.get() {
        let room = spread(&answer.engaged_at_longest);
        found.push((held(*left, room), "pulls apart over the travel"));
        if let Some(spline) = *given.spline {
            let own = Length::from_si(math::hypot(room.si(), 2.0 * given.spline.uncertainty()));
            found.push((
                held(*left - spline, own),
                "less than one spline diameter engaged at the longest point",
            ));
        }
    }
    if let Some(travel) = *given.slip_travel {
        let own =
            Length::from_si(math::hypot(spread(&answer.stroke).si(), 2.0 * given.slip_travel.uncertainty()));
        found
            .push((held(travel - (span.longest - span.shortest), own), "less travel than the stroke needed"));
    }
    let of = |wanted: Held| found.iter().find(|(held, _)| *held == wanted).map(|(_, words)| *words);
    if let Some(words) = of(Held::No) {
        return Some(format!("no: {words}"));
    }
    if let Some(words) = of(Held::Unproven) {
        return Some(format!("not proven: within the uncertainty stated, {words}"));
    }
    Some(if !given.collapsed.given() {
        "not judged: collapsed is not told, so nothing says whether it bottoms".to_owned()
    } else if answer.left_at_longest.get().is_none() && answer.engaged_at_longest.get().is_none() {
        "not judged: neither slip_travel nor engaged is told, so nothing says whether it pulls apart"
            .to_owned()
    } else if given.bump.si() == 0.0 || given.droop.si() == 0.0 {
        "not judged: no travel to one side, so nothing says what the shaft does there".to_owned()
    } else if given.engaged.given() && !given.spline.given() {
        "not judged: the spline diameter is not told".to_owned()
    } else {
        "stays together and off its bottom".to_owned()
    })
}

/// Fore-aft move of the axle, forward positive, given or from the link.
fn fore_aft(
    given: &ShaftLength,
    answer: &mut ShaftLengthAnswer,
    forward: &Read<Option<Length>>,
    up: Length,
) -> Result<Length> {
    let on_circle = || -> Result<Option<Length>> {
        let (Some(link), Some(eye)) = (*given.link, *given.fixed_eye) else { return Ok(None) };
        let away = link_move(link, *given.link_drop, up)?;
        Ok(Some(if eye == End::Front { -away } else { away }))
    };
    if let Some(stated) = **forward {
        if let Some(circle) =
            on_circle().ok().flatten().filter(|circle| (stated - *circle).to(unit::MM).abs() > SAME_MOVE)
        {
            let style = Style::of(Kind::Length);
            answer.warn(format!(
                "{} is {} and the link gives {}: the move stated is used; check which of them is right.",
                forward.name(),
                style.both(stated.into()),
                style.both(circle.into())
            ));
        }
        return Ok(stated);
    }
    if let Some(circle) = on_circle()? {
        return Ok(circle);
    }
    if given.link.is_none() {
        // One of the two moves given shows that the other was forgotten.
        if given.bump_x.given() || given.droop_x.given() || given.fixed_eye.given() {
            return Err(Trouble::impossible(
                format!("{} is not given", forward.name()),
                "give bump_x and droop_x, or link with fixed_eye",
            ));
        }
        answer.warn("No fore-aft move was given: the axle is taken to go straight up and down. Give bump_x and droop_x, or link with fixed_eye, if it does not.");
        return Ok(Length::from_si(0.0));
    }
    Err(Trouble::Missing(vec![given.fixed_eye.name()]))
}

/// Move of the axle away from the fixed eye when it rises by `up`, hung on a
/// link whose axle end is `drop` below its fixed end at ride.
///
/// # Errors
/// If the link can't reach that far.
pub fn link_move(link: Length, drop: Length, up: Length) -> Result<Length> {
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

fn margins(given: &ShaftLength, answer: &mut ShaftLengthAnswer, span: Span) {
    let collapsed = *given.collapsed;
    if let Some(collapsed) = collapsed {
        let left = span.shortest - collapsed;
        answer.left_at_shortest.put(left);
        if left.si() < 0.0 {
            answer.warn("The slip joint bottoms before full bump; the shaft is too long. Do not fit it.");
        } else if left.to(unit::IN) < 1.0 {
            answer.warn("Less than 1 in is left before the slip joint bottoms; shorten the shaft.");
        }
    }
    if let Some(engaged) = *given.engaged {
        let left = engaged - (span.longest - span.ride);
        answer.engaged_at_longest.put(left);
        if left.si() <= 0.0 {
            answer.warn("The spline pulls apart over the travel; the shaft is too short. Do not fit it.");
        } else if let Some(spline) = *given.spline
            && left < spline
        {
            answer.warn("Less than one spline diameter is engaged at full droop; use a longer spline.");
        }
    }
    if given.collapsed.given() && given.slip_travel.given() && !given.engaged.given() {
        answer.warn("How much spline stays engaged is not told: at the longest point a spline diameter at least has to be (common practice). Give engaged and spline.");
    }
    let Some(travel) = *given.slip_travel else { return };
    if span.longest - span.shortest > travel {
        answer.warn("The slip joint has less travel than the stroke needed; use a longer slip joint.");
    }
    if let Some(collapsed) = collapsed {
        let share = (span.ride - collapsed).si() / travel.si();
        let left = collapsed + travel - span.longest;
        answer.left_at_longest.put(left);
        answer.extended_at_ride.put(Percent::from_si(share));
        if left.si() < 0.0 {
            answer.warn(format!(
                "The slip joint pulls apart {}: the shaft can be {} long at most and has to be {}. Do not fit it.",
                if span.ride > collapsed + travel { "even at ride" } else { "over the travel" },
                LENGTH.down().both((collapsed + travel).into()),
                LENGTH.up().both(span.longest.into()),
            ));
        } else if share > 1.0 / 3.0 + 0.05 {
            answer.warn("More than a third of the slip is drawn out at ride (common practice: about a third); see that enough stays engaged at droop, or lengthen the shaft.");
        }
    }
}
