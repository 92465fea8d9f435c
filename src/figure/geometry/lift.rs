//! How far a frame rises when springs change sides of the axle.

use crate::figure::{Answer, Family, Given, Group, Input, Output, Trouble, given};
use crate::quantity::show::TAPE;
use crate::quantity::{Angle, Dimensioned, Kind, Length, Number, math};
use crate::source::Source;

const STACK: Source = Source::derived(
    "clamp face moves from below the tube to above it, and the pack crosses once",
    "circle and root intersection of the shackle length equation",
);

/// Lift of a frame when the leaf springs move from below the axle to above it.
pub static LIFT: Family = Family {
    name: "lift",
    group: Group::Geometry,
    title: "lift of the frame when leaf springs move from under the axle to over it",
    inputs: &[
        Input::required("tube_od", Kind::Length, "tube outside diameter where the pads sit")
            .also(&["od", "tube", "d"]),
        Input::required(
            "pack",
            Kind::Length,
            "spring pack thickness at the clamp, with liners that move with it",
        )
        .also(&["pack_thickness", "spring_pack"]),
        Input::required(
            "seat_old",
            Kind::Length,
            "from the tube surface to the old pad face, on the vertical through the tube centre",
        )
        .also(&["s_old", "old_seat"]),
        Input::required("seat_new", Kind::Length, "from the tube surface to the new pad face")
            .also(&["s_new", "new_seat"]),
        Input::defaulted("arch_change", Kind::Length, "0", "new minus old loaded arch; more arch is higher")
            .also(&["d_arch"]),
        Input::optional("shackle_old", Kind::Length, "old shackle length, pin to pin"),
        Input::optional("shackle_new", Kind::Length, "new shackle length, pin to pin"),
        Input::defaulted(
            "shackle_lean",
            Kind::Angle,
            "0",
            "old shackle angle from vertical, positive with the lower eye away from the axle",
        )
        .also(&["shackle_angle"]),
        Input::defaulted(
            "shackle_share",
            Kind::Number,
            "0.5",
            "share of the eye drop seen at the axle: fixed eye to centre bolt over eye to eye",
        )
        .also(&["q"]),
    ],
    outputs: &[
        Output::new(
            "stack",
            "lift from the stack alone",
            Kind::Length,
            "tube_od + pack + seat_old + seat_new + arch_change",
            STACK,
        )
        .range("unchanged spring load and seat angle")
        .style(TAPE),
        Output::new(
            "eye_drop",
            "drop of the shackle eye",
            Kind::Length,
            "sqrt(new^2 - (old sin lean)^2) - old cos lean",
            STACK,
        )
        .range("small-travel swing of the eye about the fixed eye"),
        Output::new("lift", "lift of the frame at the axle", Kind::Length, "stack + share x eye_drop", STACK)
            .range("unchanged spring load and seat angle")
            .style(TAPE),
    ],
    example: "tube_od=\"3 in\" pack=\"1-3/4 in\" seat_old=\"1/4 in\" seat_new=\"1/2 in\"",
    run: lift,
};

fn lift(given: &Given, answer: &mut Answer) -> Result<(), Trouble> {
    let tube: Length = given::positive("tube_od", given.need("tube_od")?)?;
    let pack: Length = given::positive("pack", given.need("pack")?)?;
    let seat_old: Length = given.need("seat_old")?;
    let seat_new: Length = given.need("seat_new")?;
    let arch: Length = given.or("arch_change", Length::from_si(0.0))?;
    let stack = tube + pack + seat_old + seat_new + arch;
    answer.put("stack", stack);
    let mut total = stack;
    if given.has("shackle_old") || given.has("shackle_new") {
        given.require(&["shackle_old", "shackle_new"])?;
        let lean: Angle = given.or("shackle_lean", Angle::from_si(0.0))?;
        let share: Number = given.or("shackle_share", Number::from_si(0.5))?;
        let drop = eye_drop(given.need("shackle_old")?, given.need("shackle_new")?, lean)?;
        answer.put("eye_drop", drop);
        total += drop * share.si();
    }
    answer.put("lift", total);
    Ok(())
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
