//! How far a frame rises when springs change sides of the axle, and what a
//! longer shackle adds.

use super::End;
use crate::figure::prelude::*;
use crate::figure::usual::AXLE_TUBE;

const STACK: Source = Source::derived(
    "clamp face moves from below the tube to above it, and the pack crosses once",
    "circle and root intersection of the shackle length equation",
);
const EYE_ARC: Source = Source::derived(
    "the shackle eye stays on its arc about the fixed eye",
    "circle-circle intersection against a bracketed root",
);
const HALF_RULE: Source = Source::practice("lift at the axle is half the change in shackle length");

const SIZES: Source =
    Source::practice("axle tubes, springs and shackles; outside it a unit or a digit is wrong");
const SEAT: Range = within(0.0, 12.0, unit::IN, SIZES).usually(0.0, 5.0, unit::IN);
const SHACKLE: Range = within(0.8, 20.0, unit::IN, SIZES).usually(2.0, 9.0, unit::IN);

words! {
    /// Where the spring goes: over the axle (frame rises) or under it (frame comes down).
    pub Direction {
        Over = "over" | "spring-over",
        Under = "under" | "spring-under",
    }
}

family! {
    pub LIFT = "lift" in Geometry: "lift of the frame when leaf springs move from under the axle to over it, or back";
    also "spring-over", "spring-under", "spring-over-axle", "stack-up", "lift-stack", "shackle-lift";
    reads Lift {
        optional tube_od: Length in AXLE_TUBE,
            "tube outside diameter where the pads sit", "od", "tube", "d", "diameter", "tube_diameter";
        optional pack: Length in within(0.1, 12.0, unit::IN, SIZES).usually(0.4, 5.0, unit::IN),
            "spring pack thickness at the clamp, with liners that move with it", "pack_thickness", "spring_pack",
            "t";
        optional seat_old: Length in SEAT,
            "from the tube surface to the old pad face, on the vertical through the tube centre", "s_old",
            "old_seat", "old_pad";
        optional seat_new: Length in SEAT, "from the tube surface to the new pad face", "s_new", "new_seat", "new_pad";
        default direction: Direction = Over,
            "where the spring goes: over the axle (frame rises) or under it (frame comes down)", "to", "conversion";
        default arch_change: Length = "0" in within(-14.0, 14.0, unit::IN, SIZES).usually(-4.0, 6.0, unit::IN), "new minus old loaded arch; more arch is higher", "arch", "d_arch",
            "darch";
        optional shackle_old: Length in SHACKLE, "old shackle length, pin to pin", "l0", "old_shackle";
        optional shackle_new: Length in SHACKLE, "new shackle length, pin to pin", "l1", "new_shackle";
        default shackle_lean: Angle = "0",
            "old shackle angle from vertical, positive with the lower eye away from the axle", "angle",
            "shackle_angle", "p", "lean";
        default shackle_share: Number = "0.5" in within(0.0, 1.0, unit::ONE, EYE_ARC),
            "share of the eye drop seen at the axle: fixed eye to centre bolt over eye to eye", "q", "share";
        optional chord: Length in ABOVE_ZERO,
            "eye to eye of the loaded spring; gives the exact lift of the shackle and the seat tilt", "eye_to_eye",
            "spring_length", "span";
        default eye_line: Angle = "0",
            "slope of the line from the fixed eye to the shackle eye, positive with the shackle eye higher";
        optional shackle_end: End,
            "end of the spring that carries the shackle; gives the sign of the caster change";
    }
    rules { together(shackle_old, shackle_new); needs(chord, shackle_old, shackle_new); }
    gives LiftAnswer {
        stack: Length, "lift from the stack alone",
            "(tube_od + pack + seat_old + seat_new), minus for a move under, + arch_change",
            STACK => .range("unchanged spring load and seat angle").style(TAPE);
        eye_drop: Length, "drop of the shackle eye, formula", "sqrt(new^2 - (old sin lean)^2) - old cos lean",
            STACK => .range("small-travel swing of the eye about the fixed eye");
        eye_drop_exact: Length, "drop of the shackle eye, exact",
            "intersection of the circle of the chord about the fixed eye and of the new shackle about its pin",
            EYE_ARC => .range("unchanged loaded chord");
        shackle_lift: Length, "lift from the shackle, at the axle", "share x eye drop (exact if the chord is given)",
            EYE_ARC => .style(TAPE);
        seat_tilt: Angle, "turn of the spring seat",
            "change of slope of the eye line; positive when the shackle eye drops", EYE_ARC => .style(FINE_ANGLE);
        caster_change: Angle, "change of caster from the seat tilt",
            "+ seat_tilt with the shackle at the rear eye, - seat_tilt with it at the front eye",
            EYE_ARC => .style(FINE_ANGLE);
        half_rule: Length, "shackle lift by the half rule, comparison only", "(shackle_new - shackle_old) / 2",
            HALF_RULE => .range("centred spring, upright shackle");
        lift: Length, "lift of the frame at the axle", "stack + shackle_lift",
            STACK => .range("unchanged spring load and seat angle").style(TAPE);
    }
    asked lift;
    example "tube_od=\"3 in\" pack=\"1-3/4 in\" seat_old=\"1/4 in\" seat_new=\"1/2 in\"";
    by lift
}

fn lift(given: &Lift, answer: &mut LiftAnswer) -> Result<()> {
    let stack: [&dyn Stated; 4] = [&given.tube_od, &given.pack, &given.seat_old, &given.seat_new];
    if given.shackle_new.given() && stack.iter().all(|input| input.absent().is_some()) {
        // A shackle change alone.
        let lift = shackle(given, answer)? + *given.arch_change;
        answer.lift.put(lift);
        return Ok(());
    }
    require(&stack)?;
    let tube = given.tube_od.need()?;
    let pack = given.pack.need()?;
    let seat_old = given.seat_old.need()?;
    let seat_new = given.seat_new.need()?;
    let arch = *given.arch_change;
    let moved = tube + pack + seat_old + seat_new;
    let under = *given.direction == Direction::Under;
    let stack = if under { arch - moved } else { arch + moved };
    answer.stack.put(stack);
    let mut total = stack;
    if given.shackle_old.given() || given.shackle_new.given() {
        total += shackle(given, answer)?;
        // Parts are shown finer than their sum, so that what is shown adds up.
        answer.stack.style(GAUGE);
        answer.shackle_lift.style(GAUGE);
    }
    answer.lift.put(total);
    Ok(())
}

/// The shackle part of the lift; gives its figures and returns the lift.
fn shackle(given: &Lift, answer: &mut LiftAnswer) -> Result<Length> {
    let lean = *given.shackle_lean;
    let share = *given.shackle_share;
    let old = given.shackle_old.need()?;
    let new = given.shackle_new.need()?;
    let drop = eye_drop(old, new, lean)?;
    answer.eye_drop.put(drop);
    let half = (new - old) * 0.5;
    let mut lift = drop * share.si();
    let mut turn = None;
    if let Some(chord) = *given.chord {
        let eye_line = *given.eye_line;
        let swing = eye_swing(Shackle { old, new, lean, chord, eye_line })?;
        answer.eye_drop_exact.put(swing.drop);
        lift = swing.drop * share.si();
        turn = Some(swing.tilt);
    }
    answer.shackle_lift.put(lift);
    if let Some(tilt) = turn {
        answer.seat_tilt.put(tilt);
        answer.caster_change.put_some(given.shackle_end.map(|end| match end {
            End::Rear => tilt,
            End::Front => -tilt,
        }));
    }
    answer.half_rule.put(half);
    if lean.to(unit::DEG).abs() >= 1.0 {
        answer.note(
            "The half rule ignores the lean of the shackle and reads low for a centred spring; \
             use the computed shackle lift.",
        );
    }
    if (share.si() - 0.5).abs() > 0.005 {
        answer.note(
            "The half rule holds for a centred spring only; this one is not centred, \
             so use the computed shackle lift.",
        );
    }
    Ok(lift)
}

/// Vertical drop of the lower shackle eye when the shackle length changes,
/// the eye staying on its arc about the fixed eye: divided by the cosine of
/// its lean for small changes, never multiplied.
///
/// # Errors
/// If the new shackle is too short to reach the eye's plane.
pub fn eye_drop(old: Length, new: Length, lean: Angle) -> Result<Length> {
    let across = old * math::sin(lean);
    (new.si() <= across.si().abs()).refuse(
        "the new shackle is shorter than the sideways reach of the old one",
        "check shackle_new and shackle_lean",
    )?;
    let down = (new.si() * new.si() - across.si() * across.si()).sqrt();
    Ok(Length::from_si(down - old.si() * math::cos(lean)))
}

/// A shackle change on a spring of known chord.
#[derive(Debug, Clone, Copy)]
pub struct Shackle {
    /// Old length, pin to pin.
    pub old: Length,
    /// New length, pin to pin.
    pub new: Length,
    /// Old angle from vertical, positive with the eye away from the axle.
    pub lean: Angle,
    /// Eye to eye of the loaded spring, unchanged.
    pub chord: Length,
    /// Slope of the line from the fixed eye to the shackle eye, up positive.
    pub eye_line: Angle,
}

/// What the shackle eye does.
#[derive(Debug, Clone, Copy)]
pub struct Swing {
    /// Vertical drop of the eye.
    pub drop: Length,
    /// Turn of the eye line, positive when the shackle eye drops.
    pub tilt: Angle,
}

/// Exact drop of the shackle eye: the eye lies on the circle of the chord
/// about the fixed eye and on the circle of the new shackle about its pin.
///
/// # Errors
/// If the circles do not meet.
pub fn eye_swing(shackle: Shackle) -> Result<Swing> {
    let (chord, new) = (shackle.chord.si(), shackle.new.si());
    let eye = [chord * math::cos(shackle.eye_line), chord * math::sin(shackle.eye_line)];
    let pin = [
        eye[0] - shackle.old.si() * math::sin(shackle.lean),
        eye[1] + shackle.old.si() * math::cos(shackle.lean),
    ];
    let reach = math::hypot(pin[0], pin[1]);
    // Law of cosines in the triangle fixed eye, pin, shackle eye.
    let cosine = (chord * chord + reach * reach - new * new) / (2.0 * chord * reach);
    (!(-1.0..=1.0).contains(&cosine))
        .refuse("the new shackle and the spring do not meet", "check shackle_new, shackle_lean and chord")?;
    // The eye hangs below the line from the fixed eye to the pin.
    let slope = math::atan2(pin[1], pin[0]) - math::acos(cosine);
    Ok(Swing { drop: Length::from_si(eye[1] - chord * math::sin(slope)), tilt: shackle.eye_line - slope })
}
