//! How far a frame rises when springs change sides of the axle, and what a
//! longer shackle adds.

use crate::figure::{Answer, Family, Given, Group, Input, Need, Output, Trouble, given};
use crate::quantity::show::{FINE_ANGLE, TAPE};
use crate::quantity::{Angle, Dimensioned, Kind, Length, Number, math, unit};
use crate::source::Source;

const STACK: Source = Source::derived(
    "clamp face moves from below the tube to above it, and the pack crosses once",
    "circle and root intersection of the shackle length equation",
);
const EYE_ARC: Source = Source::derived(
    "the shackle eye stays on its arc about the fixed eye",
    "circle-circle intersection against a bracketed root",
);
const HALF_RULE: Source = Source::practice("lift at the axle is half the change in shackle length");

/// Lift of a frame when the leaf springs move from below the axle to above it.
pub static LIFT: Family = Family {
    name: "lift",
    group: Group::Geometry,
    title: "lift of the frame when leaf springs move from under the axle to over it, or back",
    inputs: &[
        Input::optional("tube_od", Kind::Length, "tube outside diameter where the pads sit")
            .also(&["od", "tube", "d", "diameter", "tube_diameter"]),
        Input::optional(
            "pack",
            Kind::Length,
            "spring pack thickness at the clamp, with liners that move with it",
        )
        .also(&["pack_thickness", "spring_pack", "t"]),
        Input::optional(
            "seat_old",
            Kind::Length,
            "from the tube surface to the old pad face, on the vertical through the tube centre",
        )
        .also(&["s_old", "old_seat"]),
        Input::optional("seat_new", Kind::Length, "from the tube surface to the new pad face")
            .also(&["s_new", "new_seat"]),
        Input::choice(
            "direction",
            &["over", "under"],
            Need::Default("over"),
            "where the spring goes: over the axle (frame rises) or under it (frame comes down)",
        )
        .also(&["to", "conversion"]),
        Input::defaulted("arch_change", Kind::Length, "0", "new minus old loaded arch; more arch is higher")
            .also(&["arch", "d_arch", "darch"]),
        Input::optional("shackle_old", Kind::Length, "old shackle length, pin to pin")
            .also(&["l0", "old_shackle"]),
        Input::optional("shackle_new", Kind::Length, "new shackle length, pin to pin")
            .also(&["l1", "new_shackle"]),
        Input::defaulted(
            "shackle_lean",
            Kind::Angle,
            "0",
            "old shackle angle from vertical, positive with the lower eye away from the axle",
        )
        .also(&["angle", "shackle_angle", "p", "lean"]),
        Input::defaulted(
            "shackle_share",
            Kind::Number,
            "0.5",
            "share of the eye drop seen at the axle: fixed eye to centre bolt over eye to eye",
        )
        .also(&["q", "share"]),
        Input::optional(
            "chord",
            Kind::Length,
            "eye to eye of the loaded spring; gives the exact lift of the shackle and the seat tilt",
        )
        .also(&["eye_to_eye", "spring_length"]),
        Input::defaulted(
            "eye_line",
            Kind::Angle,
            "0",
            "slope of the line from the fixed eye to the shackle eye, positive with the shackle eye higher",
        ),
        Input::choice(
            "shackle_end",
            &["front", "rear"],
            Need::Optional,
            "end of the spring that carries the shackle; gives the sign of the caster change",
        ),
    ],
    outputs: &[
        Output::new(
            "stack",
            "lift from the stack alone",
            Kind::Length,
            "(tube_od + pack + seat_old + seat_new), minus for a move under, + arch_change",
            STACK,
        )
        .range("unchanged spring load and seat angle")
        .style(TAPE),
        Output::new(
            "eye_drop",
            "drop of the shackle eye, formula",
            Kind::Length,
            "sqrt(new^2 - (old sin lean)^2) - old cos lean",
            STACK,
        )
        .range("small-travel swing of the eye about the fixed eye"),
        Output::new(
            "eye_drop_exact",
            "drop of the shackle eye, exact",
            Kind::Length,
            "intersection of the circle of the chord about the fixed eye and of the new shackle about its pin",
            EYE_ARC,
        )
        .range("unchanged loaded chord"),
        Output::new(
            "shackle_lift",
            "lift from the shackle, at the axle",
            Kind::Length,
            "share x eye drop (exact if the chord is given)",
            EYE_ARC,
        )
        .style(TAPE),
        Output::new(
            "seat_tilt",
            "turn of the spring seat",
            Kind::Angle,
            "change of slope of the eye line; positive when the shackle eye drops",
            EYE_ARC,
        )
        .style(FINE_ANGLE),
        Output::new(
            "caster_change",
            "change of caster from the seat tilt",
            Kind::Angle,
            "+ seat_tilt with the shackle at the rear eye, - seat_tilt with it at the front eye",
            EYE_ARC,
        )
        .style(FINE_ANGLE),
        Output::new(
            "half_rule",
            "shackle lift by the half rule, comparison only",
            Kind::Length,
            "(shackle_new - shackle_old) / 2",
            HALF_RULE,
        )
        .range("centred spring, upright shackle"),
        Output::new("lift", "lift of the frame at the axle", Kind::Length, "stack + shackle_lift", STACK)
            .range("unchanged spring load and seat angle")
            .style(TAPE),
    ],
    example: "tube_od=\"3 in\" pack=\"1-3/4 in\" seat_old=\"1/4 in\" seat_new=\"1/2 in\"",
    run: lift,
};

fn lift(given: &Given, answer: &mut Answer) -> Result<(), Trouble> {
    const STACK: [&str; 4] = ["tube_od", "pack", "seat_old", "seat_new"];
    if given.has("shackle_new") && !STACK.iter().any(|name| given.has(name)) {
        // A shackle change alone.
        given.require(&["shackle_old"])?;
        let lift = shackle(given, answer)? + given.or("arch_change", Length::from_si(0.0))?;
        answer.put("lift", lift);
        return Ok(());
    }
    given.require(&STACK)?;
    let tube: Length = given::positive("tube_od", given.need("tube_od")?)?;
    let pack: Length = given::positive("pack", given.need("pack")?)?;
    for (name, size) in [("tube_od", tube), ("pack", pack)] {
        given::within(
            name,
            size,
            unit::IN,
            0.0..=12.0,
            Source::practice("sizes of axle tubes and spring packs"),
        )?;
    }
    let seat_old: Length = given.need("seat_old")?;
    let seat_new: Length = given.need("seat_new")?;
    let arch: Length = given.or("arch_change", Length::from_si(0.0))?;
    let moved = tube + pack + seat_old + seat_new;
    let under = given.maybe_word("direction")? == Some("under");
    let stack = if under { arch - moved } else { arch + moved };
    answer.put("stack", stack);
    let mut total = stack;
    if given.has("shackle_old") || given.has("shackle_new") {
        given.require(&["shackle_old", "shackle_new"])?;
        total += shackle(given, answer)?;
    } else if given.has("chord") {
        given.require(&["shackle_old", "shackle_new"])?;
    }
    answer.put("lift", total);
    Ok(())
}

/// The shackle part of the lift; gives its figures and returns the lift.
fn shackle(given: &Given, answer: &mut Answer) -> Result<Length, Trouble> {
    let lean: Angle = given.or("shackle_lean", Angle::from_si(0.0))?;
    let share: Number = given.or("shackle_share", Number::from_si(0.5))?;
    given::within("shackle_share", share, unit::ONE, 0.0..=1.0, EYE_ARC)?;
    let old: Length = given::positive("shackle_old", given.need("shackle_old")?)?;
    let new: Length = given::positive("shackle_new", given.need("shackle_new")?)?;
    let drop = eye_drop(old, new, lean)?;
    answer.put("eye_drop", drop);
    let half = (new - old) * 0.5;
    let mut lift = drop * share.si();
    let mut turn = None;
    if let Some(chord) = given.maybe::<Length>("chord")? {
        let chord = given::positive("chord", chord)?;
        let eye_line = given.or("eye_line", Angle::from_si(0.0))?;
        let swing = eye_swing(Shackle { old, new, lean, chord, eye_line })?;
        answer.put("eye_drop_exact", swing.drop);
        lift = swing.drop * share.si();
        turn = Some(swing.tilt);
    }
    answer.put("shackle_lift", lift);
    if let Some(tilt) = turn {
        answer.put("seat_tilt", tilt);
        if let Some(end) = given.maybe_word("shackle_end")? {
            answer.put("caster_change", if end == "rear" { tilt } else { -tilt });
        }
    }
    answer.put("half_rule", half);
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
pub fn eye_drop(old: Length, new: Length, lean: Angle) -> Result<Length, Trouble> {
    let across = old * math::sin(lean);
    if new.si() <= across.si().abs() {
        return Err(Trouble::impossible(
            "the new shackle is shorter than the sideways reach of the old one",
            "check shackle_new and shackle_lean",
        ));
    }
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
pub fn eye_swing(shackle: Shackle) -> Result<Swing, Trouble> {
    let (chord, new) = (shackle.chord.si(), shackle.new.si());
    let eye = [chord * math::cos(shackle.eye_line), chord * math::sin(shackle.eye_line)];
    let pin = [
        eye[0] - shackle.old.si() * math::sin(shackle.lean),
        eye[1] + shackle.old.si() * math::cos(shackle.lean),
    ];
    let reach = math::hypot(pin[0], pin[1]);
    // Law of cosines in the triangle fixed eye, pin, shackle eye.
    let cosine = (chord * chord + reach * reach - new * new) / (2.0 * chord * reach);
    if !(-1.0..=1.0).contains(&cosine) {
        return Err(Trouble::impossible(
            "the new shackle and the spring do not meet",
            "check shackle_new, shackle_lean and chord",
        ));
    }
    // The eye hangs below the line from the fixed eye to the pin.
    let slope = math::atan2(pin[1], pin[0]) - math::acos(cosine);
    Ok(Swing { drop: Length::from_si(eye[1] - chord * math::sin(slope)), tilt: shackle.eye_line - slope })
}
