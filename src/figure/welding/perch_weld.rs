//! Welds of a spring perch on an axle tube under the wind-up couple, side
//! force and brake force, with what the U-bolt clamp alone could hold.
//!
//! Axes of the weld group: x along the tube, y fore and aft across it, z
//! square to the pad.

use super::weld_flow::{Loads, peaks};
use super::weld_outline::Outline;
use super::weld_strength::{AS_LINE, FATIGUE, LINE_LOAD, Size, Strength, THROAT, leg_of_throat};
use crate::figure::prelude::*;
use crate::figure::rule::loaded;
use crate::figure::usual::AXLE_TUBE;

const STATICS: Source =
    Source::derived("statics of the pad on the tube", "numerical integration along the weld");
const CLAMP: Source = Source::derived("Coulomb friction and lift-off of a clamped pad", "moment balance");

family! {
    pub PERCH_WELD = "perch-weld" in Welding: "spring perch welds under wind-up couple, brake and side force";
    also "perch", "pad-weld", "seat-weld", "perch-welds";
    reads PerchWeld {
        ..size: Size;
        ..strength: Strength;
        required length: Length in ABOVE_ZERO, "length of the perch weld along the tube, one side", "l",
            "perch_length", "weld_length";
        required spacing: Length in ABOVE_ZERO, "distance between the two weld lines across the tube",
            "distance", "d", "between_welds", "width", "b", "weld_spacing";
        flag ends: bool, "the ends of the perch are welded too: an all-round weld", "all_round", "boxed";
        optional couple: Torque, "wind-up couple on one perch about the tube axis", "moment", "m", "windup",
            "wind_up";
        optional axle_torque: Torque, "torque of the whole axle, shared by the perches, instead of couple",
            "torque", "t", "brake_torque";
        default perches: Number = "2" in count(1, 20, STATICS).usually(1.0, 4.0, unit::ONE), "perches that share the axle torque", "count",
            "perch_count";
        default brake_force: Force = "0", "fore and aft force on one perch, in the plane of the weld", "fx",
            "fore_aft", "drive_force";
        default side_force: Force = "0", "force along the tube on one perch", "lateral", "fy";
        default side_arm: Length = "0", "height of the side force from the plane of the weld", "height", "arm";
        default pull_off: Force = "0" in NOT_NEGATIVE,
            "force that pulls the perch off the tube; a pad pressed on counts as 0", "pull", "rebound";
        optional clamp: Force in ABOVE_ZERO, "total U-bolt force on one perch; shown, not credited to the weld",
            "clamp_force", "u_bolt_force";
        optional tube_od: Length in AXLE_TUBE, "tube outside diameter, for the friction of the clamp", "od",
            "tube";
        default friction: Number = "0.15" in within(0.0, 1.0, unit::ONE, CLAMP), "friction of pad and tube under the clamp", "mu";
    }
    rules { one_of(couple, axle_torque); }
    gives PerchWeldAnswer {
        weld_length: Length, "length of weld on one perch", "2 L, or 2 (L + spacing) all round", STATICS =>
            .style(LENGTH).down();
        couple: Torque, "couple on one perch", "axle torque / perches", STATICS => .up();
        q_couple: LineForce, "pull per length from the couple", "M / Sw; two lines: M / (L spacing)", AS_LINE =>
            .style(LINE_LOAD).up();
        q_in_plane: LineForce, "shear per length from brake and side force", "hypot(H, S) / weld length", AS_LINE
            => .style(LINE_LOAD).up();
        q_side: LineForce, "pull per length from the side force above the weld", "S x arm / Sw along the tube",
            AS_LINE => .style(LINE_LOAD).up();
        resultant: LineForce, "resultant per length at the worst point", "vector sum", AS_LINE =>
            .style(LINE_LOAD).up();
        stress: Stress, "throat stress by vector sum", "resultant / throat", AS_LINE => .up();
        allowable_stress: Stress, "allowable shear on the throat", "0.30 FEXX (asd), 0.45 FEXX (lrfd)", THROAT =>
            .down();
        required_leg: Length, "required leg, static", "sqrt(2) resultant / allowable", AS_LINE =>
            .style(LENGTH).at_least();
        utilisation: Number, "utilisation, static", "stress / allowable", AS_LINE => .up();
        clamp_lift_couple: Torque, "couple at which one edge of the clamped pad would lift",
            "clamp x spacing / 2, pad bearing on its far edge", CLAMP => .range(
            "pad unwelded; for comparison only").down();
        clamp_friction_couple: Torque, "couple at which the clamped tube would turn",
            "mu x clamp x tube OD, pad and opposite seat both rubbing", CLAMP => .range(
            "tube unwelded; for comparison only").down();
    }
    asked required_leg, resultant;
    example "length=\"5 in\" spacing=\"2.5 in\" axle_torque=\"4000 lbf-ft\" leg=\"1/4 in\" electrode=E70 clamp=\"24000 lbf\" tube_od=\"3 in\"";
    by perch_weld
}

/// Couple at which a clamped, unwelded tube turns between pad and seat.
fn clamp_friction_couple(clamp: Force, tube_od: Length, friction: Number) -> Torque {
    Torque::from_si(friction.si() * clamp.si() * tube_od.si())
}

/// Couple at which a clamped pad lifts at one edge, bearing on the other.
fn clamp_lift_couple(clamp: Force, spacing: Length) -> Torque {
    Torque::from_si(clamp.si() * spacing.si() / 2.0)
}

fn perch_weld(given: &PerchWeld, answer: &mut PerchWeldAnswer) -> Result<()> {
    let (length, spacing) = (*given.length, *given.spacing);
    let throat = given.size.effective_throat()?;
    let allowable = given.strength.allowed();
    if throat.is_none() && allowable.is_none() {
        return Err(Trouble::Missing(vec!["leg", "electrode"]));
    }
    let shared = || given.axle_torque.map(|axle| axle / given.perches.si());
    let couple = given.couple.or_else(shared).ok_or(Trouble::Missing(vec!["couple"]))?;
    let (brake, side) = (given.brake_force.abs(), given.side_force.abs());
    let loads = [couple.si(), brake.si(), side.si(), given.pull_off.si()];
    loaded("perch", &loads, "couple or axle_torque, brake_force or side_force")?;
    let outline = if *given.ends {
        Outline::rectangle(length, spacing)
    } else {
        Outline::two_horizontal(length, spacing)
    };
    let properties = outline
        .properties()
        .ok_or_else(|| Trouble::impossible("the perch has no weld", "check length and spacing"))?;
    // Sizes, not signs: couple and side force can come either way round.
    let tilt = Torque::from_si((side.si() * given.side_arm.si()).abs());
    let couple = Torque::from_si(couple.si().abs());
    let loads =
        Loads { vx: side, vy: brake, pull: *given.pull_off, mx: couple, my: tilt, mz: Torque::from_si(0.0) };
    let worst = peaks(&outline, &properties, &loads)?.vector.vector();
    let total = properties.length;
    let edge =
        |moment: Torque, reach: Length, second: f64| LineForce::from_si(moment.si() * reach.si() / second);
    answer.weld_length.put(total);
    answer.couple.put(couple);
    answer.q_couple.put(edge(couple, properties.vertical.1, properties.ix.si()));
    answer.q_in_plane.put(LineForce::from_si(math::hypot(side.si(), brake.si()) / total.si()));
    answer.q_side.put(edge(tilt, properties.horizontal.1, properties.iy.si()));
    answer.resultant.put(worst);
    answer.stress.put_some(throat.map(|throat| Stress::from_si(worst.si() / throat.si())));
    answer.allowable_stress.put_some(allowable);
    if let Some(allowable) = allowable {
        answer.required_leg.put(leg_of_throat(Length::from_si(worst.si() / allowable.si())));
        if let Some(throat) = throat {
            let utilisation = worst.si() / throat.si() / allowable.si();
            answer.utilisation.put(Number::from_si(utilisation));
            if utilisation > 1.0 {
                answer.warn("The throat stress is over the static allowable: a longer perch helps more than a larger leg.");
            }
        }
    }
    if let Some(clamp) = *given.clamp {
        answer.clamp_lift_couple.put(clamp_lift_couple(clamp, spacing));
        let turned = given.tube_od.map(|od| clamp_friction_couple(clamp, od, *given.friction));
        answer.clamp_friction_couple.put_some(turned);
        answer.warn("The clamp is shown for comparison and not credited: U-bolts lose load, the weld must carry the couple alone.");
    }
    answer.warn(FATIGUE);
    Ok(())
}
