//! Leaf spring with unequal halves: rate, seat tilt, wind-up stiffness and the
//! length the clamp takes away.

use super::leaf_rate::SPRING_STEEL;
use crate::figure::{Answer, Declared, Family, Given, Group, Input, Need, Output, Trouble, given};
use crate::quantity::show::FINE_ANGLE;
use crate::quantity::{
    Angle, AnglePerLength, AngularStiffness, Dimensioned, Force, Kind, Length, Number, SecondMoment,
    SpringRate, Stress, unit,
};
use crate::source::Source;

const STATICS: Source = Source::derived(
    "two graduated half springs on a rigid clamp, in balance",
    "unit-load integration of the tapered and uniform half beams in parallel",
);
const INACTIVE: Source = Source::handbook(
    "textbook rule for leaf springs",
    "full band, two thirds of the U-bolt spacing, or all of a rigid clamp",
);

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

    /// Second moment at the clamp that gives this flat rate, for a modulus.
    #[must_use]
    pub fn second_moment(&self, rate: SpringRate, modulus: Stress) -> SecondMoment {
        let one = self.rate(modulus, SecondMoment::from_si(1.0));
        SecondMoment::from_si(rate / one)
    }
}

/// Unequal halves, their tilt and wind-up.
pub static LEAF_HALVES: Family = Family {
    name: "leaf-halves",
    declared: Declared::OLD,
    group: Group::Geometry,
    title: "leaf spring with unequal halves: rate, seat tilt, wind-up stiffness and eye loads",
    inputs: &[
        Input::required(
            "front",
            Kind::Length,
            "front half: active length, or centre bolt to eye if clamp is given",
        )
        .also(&["front_length", "half_front", "a", "front_half"]),
        Input::required("rear", Kind::Length, "rear half, in the same way").also(&[
            "rear_length",
            "half_rear",
            "b",
            "rear_half",
        ]),
        Input::defaulted(
            "clamp_half",
            Kind::Length,
            "0",
            "rigid half clamp between the centre bolt and an active half",
        )
        .also(&["c", "half_clamp"]),
        Input::optional(
            "clamp",
            Kind::Length,
            "band length, U-bolt spacing or pad length; halves then run from the bolt",
        )
        .also(&["clamp_length", "u_bolt_spacing"]),
        Input::choice(
            "clamp_kind",
            &["u-bolts", "band", "rigid"],
            Need::Default("u-bolts"),
            "how much of the clamp is inactive: two thirds, all, all",
        ),
        Input::optional("leaves", Kind::Number, "number of leaves").also(&["n", "leaf_count"]),
        Input::optional("width", Kind::Length, "leaf width").also(&["leaf_width"]),
        Input::optional("thickness", Kind::Length, "thickness of each leaf").also(&["t", "leaf_thickness"]),
        Input::optional("second_moment", Kind::SecondMoment, "of the pack at the clamp; or give the leaves")
            .also(&["i", "inertia"]),
        Input::defaulted("modulus", Kind::Stress, SPRING_STEEL.1, "modulus of elasticity").also(&["e"]),
        Input::optional("load", Kind::Force, "load on the seat").also(&["p", "seat_load", "w"]),
        Input::optional("travel", Kind::Length, "bump travel to find the tilt at").also(&["bump"]),
    ],
    outputs: &[
        Output::new(
            "inactive",
            "inactive length at the clamp",
            Kind::Length,
            "2/3 U-bolt spacing, or the whole clamp",
            INACTIVE,
        ),
        Output::new("front_active", "active front half", Kind::Length, "front - inactive / 2", INACTIVE),
        Output::new("rear_active", "active rear half", Kind::Length, "rear - inactive / 2", INACTIVE),
        Output::new(
            "tilt_per_travel",
            "seat tilt per travel, nose-up positive",
            Kind::AnglePerLength,
            "(B a^3 - A b^3) / (B^2 a^3 + A^2 b^3)",
            STATICS,
        )
        .range("small travel about flat, no shackle effect"),
        Output::new(
            "travel_tilt",
            "seat tilt at the travel, nose-up positive",
            Kind::Angle,
            "tilt_per_travel x travel",
            STATICS,
        )
        .style(FINE_ANGLE),
        Output::new("front_share", "share of the load on the front eye", Kind::Number, "B / (A+B)", STATICS),
        Output::new(
            "second_moment",
            "second moment of the pack",
            Kind::SecondMoment,
            "n b t^3 / 12",
            STATICS,
        ),
        Output::new(
            "rate",
            "spring rate at the seat",
            Kind::SpringRate,
            "2 E I (A+B)^2 / (B^2 a^3 + A^2 b^3)",
            STATICS,
        )
        .range("graduated pack, small deflection, no friction, no shackle effect"),
        Output::new(
            "windup_stiffness",
            "wind-up stiffness at the seat",
            Kind::AngularStiffness,
            "2 E I (A+B)^2 / (a^3 + b^3)",
            STATICS,
        ),
        Output::new("deflection", "deflection under the load", Kind::Length, "load / rate", STATICS),
        Output::new(
            "seat_tilt",
            "seat tilt under the load, nose-up positive",
            Kind::Angle,
            "tilt_per_travel x deflection",
            STATICS,
        )
        .style(FINE_ANGLE),
        Output::new("front_eye_load", "load at the front eye", Kind::Force, "load x B / (A+B)", STATICS),
        Output::new("rear_eye_load", "load at the rear eye", Kind::Force, "load x A / (A+B)", STATICS),
    ],
    example: "front=\"500 mm\" rear=\"700 mm\" leaves=6 width=\"60 mm\" thickness=\"7 mm\" load=\"4000 N\" travel=\"75 mm\"",
    run: leaf_halves,
};

fn leaf_halves(given: &Given, answer: &mut Answer) -> Result<(), Trouble> {
    let halves = halves(given, answer)?;
    let tilt = halves.tilt_per_travel();
    answer.put("tilt_per_travel", tilt);
    if let Some(travel) = given.maybe::<Length>("travel")? {
        answer.put("travel_tilt", Angle::from_si(tilt.si() * travel.si()));
    }
    answer.put("front_share", halves.front_share());
    let load: Option<Force> = given.maybe("load")?;
    if let Some(second_moment) = second_moment(given)? {
        let modulus: Stress =
            given::positive("modulus", given.or("modulus", Stress::of(SPRING_STEEL.0, unit::GPA))?)?;
        let rate = halves.rate(modulus, second_moment);
        answer.put("second_moment", second_moment);
        answer.put("rate", rate);
        answer.put("windup_stiffness", halves.windup_stiffness(modulus, second_moment));
        if let Some(load) = load {
            let deflection = Length::from_si(load.si() / rate.si());
            answer.put("deflection", deflection);
            answer.put("seat_tilt", Angle::from_si(tilt.si() * deflection.si()));
        }
    }
    if let Some(load) = load {
        let front = load * halves.front_share().si();
        answer.put("front_eye_load", front);
        answer.put("rear_eye_load", load - front);
    }
    Ok(())
}

fn halves(given: &Given, answer: &mut Answer) -> Result<Halves, Trouble> {
    let front: Length = given::positive("front", given.need("front")?)?;
    let rear: Length = given::positive("rear", given.need("rear")?)?;
    let Some(clamp) = given.maybe::<Length>("clamp")? else {
        let clamp_half: Length = given.or("clamp_half", Length::from_si(0.0))?;
        if clamp_half.si() < 0.0 {
            given::positive("clamp_half", clamp_half)?;
        }
        return Ok(Halves { front, rear, clamp_half });
    };
    if given.has("clamp_half") {
        return Err(Trouble::impossible(
            "clamp and clamp_half are both given",
            "give clamp with halves from the centre bolt, or clamp_half with active halves",
        ));
    }
    let share =
        if given.maybe_word("clamp_kind")?.unwrap_or("u-bolts") == "u-bolts" { 2.0 / 3.0 } else { 1.0 };
    if clamp.si() < 0.0 {
        given::positive("clamp", clamp)?;
    }
    let inactive = clamp * share;
    let clamp_half = inactive / 2.0;
    let halves = Halves {
        front: given::positive("front less half the inactive length", front - clamp_half)?,
        rear: given::positive("rear less half the inactive length", rear - clamp_half)?,
        clamp_half,
    };
    answer.put("inactive", inactive);
    answer.put("front_active", halves.front);
    answer.put("rear_active", halves.rear);
    Ok(halves)
}

fn second_moment(given: &Given) -> Result<Option<SecondMoment>, Trouble> {
    if let Some(second_moment) = given.maybe::<SecondMoment>("second_moment")? {
        return given::positive("second_moment", second_moment).map(Some);
    }
    if !["leaves", "width", "thickness"].iter().any(|name| given.has(name)) {
        return Ok(None);
    }
    given.require(&["leaves", "width", "thickness"])?;
    let leaves: Number = given::positive("leaves", given.need("leaves")?)?;
    let width: Length = given::positive("width", given.need("width")?)?;
    let thickness: Length = given::positive("thickness", given.need("thickness")?)?;
    let cube = thickness.si() * thickness.si() * thickness.si();
    Ok(Some(SecondMoment::from_si(leaves.si() * width.si() * cube / 12.0)))
}
