//! Welds of a spring perch on an axle tube under the wind-up couple, side
//! force and brake force, with what the U-bolt clamp alone could hold.
//!
//! Axes of the weld group: x along the tube, y fore and aft across it, z
//! square to the pad.

use super::weld_flow::{Loads, peaks};
use super::weld_outline::Outline;
use super::weld_strength::{
    ALLOWABLE, AS_LINE, ELECTRODE, FATIGUE, LEG, LINE_LOAD, METHOD, THROAT, THROAT_INPUT, leg_of_throat,
    read_allowable, read_throat,
};
use crate::figure::{Answer, Declared, Family, Given, Group, Input, Output, Trouble, given};
use crate::quantity::show::LENGTH;
use crate::quantity::{Dimensioned, Force, Kind, Length, LineForce, Number, Stress, Torque, math};
use crate::source::Source;

const STATICS: Source =
    Source::derived("statics of the pad on the tube", "numerical integration along the weld");
const CLAMP: Source = Source::derived("Coulomb friction and lift-off of a clamped pad", "moment balance");

const fn flow(id: &'static str, title: &'static str, formula: &'static str) -> Output {
    Output::new(id, title, Kind::LineForce, formula, AS_LINE).style(LINE_LOAD).up()
}

/// Perch welds.
pub static PERCH_WELD: Family = Family {
    name: "perch-weld",
    declared: Declared::OLD,
    group: Group::Welding,
    title: "spring perch welds under wind-up couple, brake and side force",
    inputs: &[
        Input::required("length", Kind::Length, "length of the perch weld along the tube, one side").also(&[
            "l",
            "perch_length",
            "weld_length",
        ]),
        Input::required("spacing", Kind::Length, "distance between the two weld lines across the tube").also(
            &["distance", "d", "between_welds", "line_spacing", "width", "b", "perch_width", "weld_spacing"],
        ),
        Input::flag("ends", "the ends of the perch are welded too: an all-round weld")
            .also(&["all_round", "boxed"]),
        Input::optional("couple", Kind::Torque, "wind-up couple on one perch about the tube axis").also(&[
            "moment",
            "m",
            "windup",
            "wind_up",
            "perch_torque",
        ]),
        Input::optional(
            "axle_torque",
            Kind::Torque,
            "torque of the whole axle, shared by the perches, instead of couple",
        )
        .also(&["torque", "t", "brake_torque"]),
        Input::defaulted("perches", Kind::Number, "2", "perches that share the axle torque")
            .also(&["count", "perch_count"]),
        Input::defaulted(
            "brake_force",
            Kind::Force,
            "0",
            "fore and aft force on one perch, in the plane of the weld",
        )
        .also(&["fx", "fore_aft", "drive_force"]),
        Input::defaulted("side_force", Kind::Force, "0", "force along the tube on one perch")
            .also(&["lateral", "fy"]),
        Input::defaulted(
            "side_arm",
            Kind::Length,
            "0",
            "height of the side force from the plane of the weld",
        )
        .also(&["height", "arm"]),
        Input::defaulted(
            "pull_off",
            Kind::Force,
            "0",
            "force that pulls the perch off the tube; a pad pressed on counts as 0",
        )
        .also(&["pull", "rebound"]),
        Input::optional(
            "clamp",
            Kind::Force,
            "total U-bolt force on one perch; shown, not credited to the weld",
        )
        .also(&["clamp_force", "u_bolt_force"]),
        Input::optional("tube_od", Kind::Length, "tube outside diameter, for the friction of the clamp")
            .also(&["od", "tube"]),
        Input::defaulted("friction", Kind::Number, "0.15", "friction of pad and tube under the clamp")
            .also(&["mu"]),
        LEG,
        THROAT_INPUT,
        ELECTRODE,
        ALLOWABLE,
        METHOD,
    ],
    outputs: &[
        Output::new(
            "weld_length",
            "length of weld on one perch",
            Kind::Length,
            "2 L, or 2 (L + spacing) all round",
            STATICS,
        )
        .style(LENGTH)
        .down(),
        Output::new("couple", "couple on one perch", Kind::Torque, "axle torque / perches", STATICS).up(),
        flow("q_couple", "pull per length from the couple", "M / Sw; two lines: M / (L spacing)"),
        flow("q_in_plane", "shear per length from brake and side force", "hypot(H, S) / weld length"),
        flow("q_side", "pull per length from the side force above the weld", "S x arm / Sw along the tube"),
        flow("resultant", "resultant per length at the worst point", "vector sum"),
        Output::new("stress", "throat stress by vector sum", Kind::Stress, "resultant / throat", AS_LINE)
            .up(),
        Output::new(
            "allowable_stress",
            "allowable shear on the throat",
            Kind::Stress,
            "0.30 FEXX (asd), 0.45 FEXX (lrfd)",
            THROAT,
        )
        .down(),
        Output::new(
            "required_leg",
            "required leg, static",
            Kind::Length,
            "sqrt(2) resultant / allowable",
            AS_LINE,
        )
        .style(LENGTH)
        .up(),
        Output::new("utilisation", "utilisation, static", Kind::Number, "stress / allowable", AS_LINE).up(),
        Output::new(
            "clamp_lift_couple",
            "couple at which one edge of the clamped pad would lift",
            Kind::Torque,
            "clamp x spacing / 2, pad bearing on its far edge",
            CLAMP,
        )
        .range("pad unwelded; for comparison only")
        .down(),
        Output::new(
            "clamp_friction_couple",
            "couple at which the clamped tube would turn",
            Kind::Torque,
            "mu x clamp x tube OD, pad and opposite seat both rubbing",
            CLAMP,
        )
        .range("tube unwelded; for comparison only")
        .down(),
    ],
    example: "length=\"5 in\" spacing=\"2.5 in\" axle_torque=\"4000 lbf-ft\" leg=\"1/4 in\" electrode=E70 clamp=\"24000 lbf\" tube_od=\"3 in\"",
    run: perch_weld,
};

/// Couple at which a clamped, unwelded tube turns between pad and seat.
#[must_use]
pub fn clamp_friction_couple(clamp: Force, tube_od: Length, friction: Number) -> Torque {
    Torque::from_si(friction.si() * clamp.si() * tube_od.si())
}

/// Couple at which a clamped pad lifts at one edge, bearing on the other.
#[must_use]
pub fn clamp_lift_couple(clamp: Force, spacing: Length) -> Torque {
    Torque::from_si(clamp.si() * spacing.si() / 2.0)
}

fn couple(given: &Given) -> Result<Torque, Trouble> {
    match (given.maybe::<Torque>("couple")?, given.maybe::<Torque>("axle_torque")?) {
        (Some(_), Some(_)) => {
            Err(Trouble::impossible("both couple and axle_torque are given", "give one of them"))
        }
        (Some(couple), None) => Ok(couple),
        (None, Some(axle)) => {
            let perches: Number = given::positive("perches", given.or("perches", Number::from_si(2.0))?)?;
            Ok(axle / perches.si())
        }
        (None, None) => Err(Trouble::Missing(vec!["couple"])),
    }
}

fn perch_weld(given: &Given, answer: &mut Answer) -> Result<(), Trouble> {
    let length: Length = given::positive("length", given.need("length")?)?;
    let spacing: Length = given::positive("spacing", given.need("spacing")?)?;
    let throat = read_throat(given)?;
    let allowable = read_allowable(given)?;
    if throat.is_none() && allowable.is_none() {
        return Err(Trouble::Missing(vec!["leg", "electrode"]));
    }
    let couple = couple(given)?;
    let force = |name| given.or::<Force>(name, Force::from_si(0.0));
    let (brake, side, pull) = (force("brake_force")?, force("side_force")?, force("pull_off")?);
    let arm: Length = given.or("side_arm", Length::from_si(0.0))?;
    if pull.si() < 0.0 {
        return Err(Trouble::impossible(
            "pull_off is negative",
            "a force that presses the perch on is carried by the pad: leave pull_off out",
        ));
    }
    let outline = if given.flag("ends")? {
        Outline::rectangle(length, spacing)
    } else {
        Outline::two_horizontal(length, spacing)
    };
    let properties = outline
        .properties()
        .ok_or_else(|| Trouble::impossible("the perch has no weld", "check length and spacing"))?;
    // Sizes, not signs: couple and side force can come either way round.
    let tilt = Torque::from_si((side.si() * arm.si()).abs());
    let loads =
        Loads { vx: side.abs(), vy: brake.abs(), pull, mx: size(couple), my: tilt, mz: Torque::from_si(0.0) };
    let worst = peaks(&outline, &properties, &loads)?.vector.vector();
    let total = properties.length;
    answer.put("weld_length", total);
    answer.put("couple", size(couple));
    answer.put(
        "q_couple",
        LineForce::from_si(size(couple).si() * properties.vertical.1.si() / properties.ix.si()),
    );
    answer.put("q_in_plane", LineForce::from_si(math::hypot(side.si(), brake.si()) / total.si()));
    answer.put("q_side", LineForce::from_si(tilt.si() * properties.horizontal.1.si() / properties.iy.si()));
    answer.put("resultant", worst);
    if let Some(throat) = throat {
        answer.put("stress", Stress::from_si(worst.si() / throat.si()));
    }
    if let Some(allowable) = allowable {
        answer.put("allowable_stress", allowable);
        answer.put("required_leg", leg_of_throat(Length::from_si(worst.si() / allowable.si())));
        if let Some(throat) = throat {
            let utilisation = worst.si() / throat.si() / allowable.si();
            answer.put("utilisation", Number::from_si(utilisation));
            if utilisation > 1.0 {
                answer.warn("The throat stress is over the static allowable: a longer perch helps more than a larger leg.");
            }
        }
    }
    clamp(given, answer, spacing)?;
    answer.warn(FATIGUE);
    Ok(())
}

fn size(torque: Torque) -> Torque {
    Torque::from_si(torque.si().abs())
}

fn clamp(given: &Given, answer: &mut Answer, spacing: Length) -> Result<(), Trouble> {
    let Some(clamp) = given.maybe::<Force>("clamp")? else { return Ok(()) };
    let clamp = given::positive("clamp", clamp)?;
    answer.put("clamp_lift_couple", clamp_lift_couple(clamp, spacing));
    if let Some(od) = given.maybe::<Length>("tube_od")? {
        let od = given::positive("tube_od", od)?;
        let friction: Number = given.or("friction", Number::from_si(0.15))?;
        answer.put("clamp_friction_couple", clamp_friction_couple(clamp, od, friction));
    }
    answer.warn("The clamp is shown for comparison and not credited: U-bolts lose load, the weld must carry the couple alone.");
    Ok(())
}
