//! Leaf spring with unequal halves: rate, seat tilt, wind-up stiffness and the
//! length the clamp takes away.

use crate::figure::prelude::*;
use crate::figure::usual::MODULUS;

const STATICS: Source = Source::derived(
    "two graduated half springs on a rigid clamp, in balance",
    "unit-load integration of the tapered and uniform half beams in parallel",
);
const INACTIVE: Source =
    Source::practice("full band, two thirds of the U-bolt spacing, or all of a rigid clamp is inactive");

/// Half lengths of a leaf spring: active ones from clamp edge to eye, and the
/// rigid half clamp.
#[derive(Debug, Clone, Copy)]
pub struct Halves {
    /// Active front half length.
    pub front: Length,
    /// Active rear half length.
    pub rear: Length,
    /// Rigid half clamp: centre bolt to clamp edge.
    pub clamp_half: Length,
}

impl Halves {
    /// Cubes of the active halves and the statics arms, SI.
    fn parts(&self) -> (f64, f64, f64, f64) {
        let (a, b, c) = (self.front.si(), self.rear.si(), self.clamp_half.si());
        (a * a * a, b * b * b, a + c, b + c)
    }

    /// Rate at the seat, 2 E I (A+B)^2 / (B^2 a^3 + A^2 b^3), with arms
    /// A = front + clamp half and B = rear + clamp half.
    #[must_use]
    pub fn rate(&self, modulus: Stress, second_moment: SecondMoment) -> SpringRate {
        let (a3, b3, front, rear) = self.parts();
        let span = front + rear;
        SpringRate::from_si(
            2.0 * modulus.si() * second_moment.si() * span * span / (rear * rear * a3 + front * front * b3),
        )
    }

    /// Seat rotation per unit of travel, nose-up positive: a shorter front half
    /// noses the seat down as it is loaded.
    #[must_use]
    pub fn tilt_per_travel(&self) -> AnglePerLength {
        let (a3, b3, front, rear) = self.parts();
        AnglePerLength::from_si((rear * a3 - front * b3) / (rear * rear * a3 + front * front * b3))
    }

    /// Stiffness against a couple at the seat, 2 E I (A+B)^2 / (a^3 + b^3).
    #[must_use]
    pub fn windup_stiffness(&self, modulus: Stress, second_moment: SecondMoment) -> AngularStiffness {
        let (a3, b3, front, rear) = self.parts();
        let span = front + rear;
        AngularStiffness::from_si(2.0 * modulus.si() * second_moment.si() * span * span / (a3 + b3))
    }

    /// Share of the seat load on the front eye, B / (A+B).
    #[must_use]
    pub fn front_share(&self) -> Number {
        let (_, _, front, rear) = self.parts();
        Number::from_si(rear / (front + rear))
    }
}

words! {
    /// How much of the clamp is inactive: two thirds, all, all.
    pub ClampKind {
        UBolts = "u-bolts",
        Band = "band",
        Rigid = "rigid",
    }
}

family! {
    pub LEAF_HALVES = "leaf-halves" in Geometry:
        "leaf spring with unequal halves: rate, seat tilt, wind-up stiffness and eye loads";
    also "unequal-halves", "unequal-leaf", "unequal-leaf-spring", "asymmetric-leaf", "spring-halves";
    reads LeafHalves {
        required front: Length in ABOVE_ZERO, "front half: active length, or centre bolt to eye if clamp is given",
            "front_length", "half_front", "a", "front_half";
        required rear: Length in ABOVE_ZERO, "rear half, in the same way", "rear_length", "half_rear", "b",
            "rear_half";
        default clamp_half: Length = "0" in NOT_NEGATIVE,
            "rigid half clamp between the centre bolt and an active half", "c", "half_clamp";
        optional clamp: Length in NOT_NEGATIVE,
            "band length, U-bolt spacing or pad length; halves then run from the bolt", "clamp_length",
            "u_bolt_spacing";
        default clamp_kind: ClampKind = UBolts, "how much of the clamp is inactive: two thirds, all, all";
        optional leaves: Number in ABOVE_ZERO.whole(), "number of leaves", "n", "leaf_count";
        optional width: Length in ABOVE_ZERO, "leaf width", "leaf_width";
        optional thickness: Length in ABOVE_ZERO, "thickness of each leaf", "t", "leaf_thickness";
        optional second_moment: SecondMoment in ABOVE_ZERO, "of the pack at the clamp; or give the leaves", "i",
            "inertia";
        default modulus: Stress = "207 GPa" in MODULUS, "modulus of elasticity", "e";
        optional load: Force, "load on the seat", "p", "seat_load", "w";
        optional travel: Length, "bump travel to find the tilt at", "bump";
    }
    rules {
        at_most_one(clamp, clamp_half);
        at_most_one(second_moment, leaves);
        together(leaves, width, thickness);
    }
    gives LeafHalvesAnswer {
        inactive: Length, "inactive length at the clamp", "2/3 U-bolt spacing, or the whole clamp", INACTIVE;
        front_active: Length, "active front half", "front - inactive / 2", INACTIVE;
        rear_active: Length, "active rear half", "rear - inactive / 2", INACTIVE;
        tilt_per_travel: AnglePerLength, "seat tilt per travel, nose-up positive",
            "(B a^3 - A b^3) / (B^2 a^3 + A^2 b^3)", STATICS => .range("small travel about flat, no shackle effect");
        travel_tilt: Angle, "seat tilt at the travel, nose-up positive", "tilt_per_travel x travel",
            STATICS => .style(FINE_ANGLE);
        front_share: Number, "share of the load on the front eye", "B / (A+B)", STATICS;
        second_moment: SecondMoment, "second moment of the pack", "n b t^3 / 12", STATICS;
        rate: SpringRate, "spring rate at the seat", "2 E I (A+B)^2 / (B^2 a^3 + A^2 b^3)",
            STATICS => .range("graduated pack, small deflection, no friction, no shackle effect");
        windup_stiffness: AngularStiffness, "wind-up stiffness at the seat", "2 E I (A+B)^2 / (a^3 + b^3)", STATICS;
        deflection: Length, "deflection under the load", "load / rate", STATICS;
        seat_tilt: Angle, "seat tilt under the load, nose-up positive", "tilt_per_travel x deflection",
            STATICS => .style(FINE_ANGLE);
        front_eye_load: Force, "load at the front eye", "load x B / (A+B)", STATICS;
        rear_eye_load: Force, "load at the rear eye", "load x A / (A+B)", STATICS;
    }
    asked rate;
    example "front=\"500 mm\" rear=\"700 mm\" leaves=6 width=\"60 mm\" thickness=\"7 mm\" load=\"4000 N\" travel=\"75 mm\"";
    by leaf_halves
}

fn leaf_halves(given: &LeafHalves, answer: &mut LeafHalvesAnswer) -> Result<()> {
    let halves = halves(given, answer)?;
    let tilt = halves.tilt_per_travel();
    answer.tilt_per_travel.put(tilt);
    answer.travel_tilt.put_some(given.travel.map(|travel| Angle::from_si(tilt.si() * travel.si())));
    answer.front_share.put(halves.front_share());
    let load = *given.load;
    if let Some(second_moment) = second_moment(given) {
        let modulus = *given.modulus;
        let rate = halves.rate(modulus, second_moment);
        answer.second_moment.put(second_moment);
        answer.rate.put(rate);
        answer.windup_stiffness.put(halves.windup_stiffness(modulus, second_moment));
        if let Some(load) = load {
            let deflection = Length::from_si(load.si() / rate.si());
            answer.deflection.put(deflection);
            answer.seat_tilt.put(Angle::from_si(tilt.si() * deflection.si()));
        }
    }
    if let Some(load) = load {
        let front = load * halves.front_share().si();
        answer.front_eye_load.put(front);
        answer.rear_eye_load.put(load - front);
    }
    Ok(())
}

fn halves(given: &LeafHalves, answer: &mut LeafHalvesAnswer) -> Result<Halves> {
    let front = *given.front;
    let rear = *given.rear;
    let Some(clamp) = *given.clamp else {
        let clamp_half = *given.clamp_half;
        return Ok(Halves { front, rear, clamp_half });
    };
    let share = if *given.clamp_kind == ClampKind::UBolts { 2.0 / 3.0 } else { 1.0 };
    let inactive = clamp * share;
    let clamp_half = inactive / 2.0;
    let halves = Halves {
        front: positive("front less half the inactive length", front - clamp_half)?,
        rear: positive("rear less half the inactive length", rear - clamp_half)?,
        clamp_half,
    };
    answer.inactive.put(inactive);
    answer.front_active.put(halves.front);
    answer.rear_active.put(halves.rear);
    Ok(halves)
}

fn second_moment(given: &LeafHalves) -> Option<SecondMoment> {
    if let Some(second_moment) = *given.second_moment {
        return Some(second_moment);
    }
    let (Some(leaves), Some(width), Some(thickness)) = (*given.leaves, *given.width, *given.thickness) else {
        return None;
    };
    let cube = thickness.si() * thickness.si() * thickness.si();
    Some(SecondMoment::from_si(leaves.si() * width.si() * cube / 12.0))
}
