//! Shrinkage and distortion of plate joints.

use super::groove::{self, INPUTS as G};
use super::look_up;
use crate::figure::{Answer, Declared, Family, Given, Group, Input, Need, Output, Trouble, given};
use crate::quantity::show::{FINE_ANGLE, GAUGE};
use crate::quantity::{Angle, Area, Dimensioned, Kind, Length, SecondMoment, math, unit};
use crate::source::Source;

const BUTT_LOW: Source =
    Source::handbook("The Procedure Handbook of Arc Welding", "transverse shrinkage 0.10 Aw/t");
const BUTT_HIGH: Source =
    Source::handbook("Welding Handbook", "transverse shrinkage 0.2 Aw/t + 0.05 d").from_memory();
const FILLET: Source =
    Source::handbook("Welding Handbook", "transverse shrinkage of fillet welds").from_memory();
const ANGULAR: Source =
    Source::handbook("Design of Weldments", "angular distortion 0.02 W w^1.3 / t^2").from_memory();
const BOW: Source =
    Source::handbook("Design of Weldments", "longitudinal bow 0.005 Aw L^2 d / I").from_memory();
const ALLOWANCE: Source = Source::practice(
    "published shrinkage allowances for steel: fillet 0.8 mm a weld, 60° V butt 1.5 to 3 mm, along the weld 0.8 mm (fillet) or 3 mm (butt) in 3 m",
);

/// Transverse shrinkage.
pub static SHRINKAGE: Family = Family {
    name: "shrinkage",
    declared: Declared::OLD,
    group: Group::Welding,
    title: "transverse shrinkage of a butt, T-fillet or lap joint, as a band where sources differ",
    inputs: &[
        Input::choice(
            "joint",
            &[
                "butt",
                "t-fillet",
                "t-joint",
                "tee",
                "fillet",
                "lap",
                "v",
                "double-v",
                "bevel",
                "double-bevel",
                "square",
            ],
            Need::Required,
            "T or lap with two fillets, or a butt joint; a butt with an angle is a V",
        )
        .also(&["joint_type", "type", "kind"]),
        G[1],
        G[3],
        G[5],
        G[6],
        G[7],
        G[8],
        G[9],
        G[11],
        Input::optional("length", Kind::Length, "length of weld, for the allowance along it")
            .also(&["weld_length"]),
    ],
    outputs: &[
        Output::new("area", "weld cross-section", Kind::Area, "of the groove, or as given", groove::AREA),
        Output::new("transverse_low", "transverse shrinkage, low", Kind::Length, "butt: 0.10 Aw/t", BUTT_LOW)
            .range("steel, free joint; real scatter is wider than the band")
            .style(GAUGE)
            .down(),
        Output::new(
            "transverse_high",
            "transverse shrinkage, high",
            Kind::Length,
            "butt: 0.2 Aw/t + 0.05 root_opening",
            BUTT_HIGH,
        )
        .range("steel, free joint; real scatter is wider than the band")
        .style(GAUGE)
        .up(),
        Output::new(
            "transverse",
            "transverse shrinkage",
            Kind::Length,
            "T: 0.04 in x leg/t; lap: 0.06 in x leg/t; butt: middle of the band",
            FILLET,
        )
        .range("fillets: a pair, leg up to 3/4 of the thickness; butt: the middle of a wide band")
        .style(GAUGE),
        Output::new(
            "allowance_low",
            "usual allowance across the weld, low",
            Kind::Length,
            "fillet 0.8 mm; butt 1.5 mm",
            ALLOWANCE,
        )
        .style(GAUGE),
        Output::new(
            "allowance_high",
            "usual allowance across the weld, high",
            Kind::Length,
            "fillet 0.8 mm; butt 3 mm",
            ALLOWANCE,
        )
        .style(GAUGE),
        Output::new(
            "allowance_along",
            "usual allowance along the weld",
            Kind::Length,
            "fillet 0.8 mm, butt 3 mm in 3 m",
            ALLOWANCE,
        )
        .style(GAUGE),
    ],
    example: "joint=v thickness=\"12 mm\" angle=\"60 deg\" root_face=\"2 mm\" root_opening=\"3 mm\" cap_height=\"2 mm\"",
    run,
};

/// Angular distortion.
pub static ANGULAR_DISTORTION: Family = Family {
    name: "angular-distortion",
    declared: Declared::OLD,
    group: Group::Welding,
    title: "angular distortion of a flange by a fillet weld",
    inputs: &[
        Input::required("width", Kind::Length, "flange width").also(&["w", "flange_width"]),
        Input::required("leg", Kind::Length, "fillet leg").also(&["omega", "size"]),
        Input::required("thickness", Kind::Length, "flange thickness").also(&["t", "flange_thickness"]),
    ],
    outputs: &[
        Output::new(
            "edge_rise",
            "rise of the flange edge",
            Kind::Length,
            "0.02 W leg^1.3 / t^2 (inches)",
            ANGULAR,
        )
        .range("steel; inches in, inches out")
        .style(GAUGE),
        Output::new(
            "angle",
            "bend of one half of the flange",
            Kind::Angle,
            "atan(edge_rise / (W/2))",
            ANGULAR,
        )
        .style(FINE_ANGLE),
    ],
    example: "width=\"8 in\" leg=\"1/4 in\" thickness=\"1/2 in\"",
    run: angular,
};

/// Longitudinal bow.
pub static BOW_FAMILY: Family = Family {
    name: "bow",
    declared: Declared::OLD,
    group: Group::Welding,
    title: "longitudinal bow of a member by a weld off its neutral axis",
    inputs: &[
        Input::optional("area", Kind::Area, "cross-section of all passes").also(&["aw", "weld_area"]),
        Input::optional("leg", Kind::Length, "fillet leg, instead of the area").also(&["size"]),
        Input::required("length", Kind::Length, "length of the weld").also(&["l"]),
        Input::required("distance", Kind::Length, "from the weld's centre of gravity to the neutral axis")
            .also(&["d", "offset", "eccentricity"]),
        Input::required("second_moment", Kind::SecondMoment, "second moment of area of the member").also(&[
            "i",
            "inertia",
            "moment_of_inertia",
        ]),
    ],
    outputs: &[Output::new("bow", "bow", Kind::Length, "0.005 Aw L^2 d / I", BOW)
        .range("steel, straight member, continuous weld")
        .style(GAUGE)],
    example: "area=\"0.035 in2\" length=\"120 in\" distance=\"1.5 in\" second_moment=\"10 in4\"",
    run: bow,
};

/// Band of transverse shrinkage of a butt joint: 0.10 Aw/t and
/// 0.2 Aw/t + 0.05 root opening.
#[must_use]
pub fn butt(area: Area, thickness: Length, root_opening: Length) -> (Length, Length) {
    let per_thickness = area / thickness;
    (per_thickness * 0.10, per_thickness * 0.2 + root_opening * 0.05)
}

/// Transverse shrinkage of a T with two fillets.
#[must_use]
pub fn tee(leg: Length, thickness: Length) -> Length {
    Length::of(0.04, unit::IN) * (leg / thickness).value
}

/// Transverse shrinkage of a lap with two fillets.
#[must_use]
pub fn lap(leg: Length, thickness: Length) -> Length {
    Length::of(0.06, unit::IN) * (leg / thickness).value
}

/// Rise of a flange edge. The formula is empirical and holds in inches only.
#[must_use]
pub fn edge_rise(width: Length, leg: Length, thickness: Length) -> Length {
    let t = thickness.to(unit::IN);
    Length::of(0.02 * width.to(unit::IN) * math::pow(leg.to(unit::IN), 1.3) / (t * t), unit::IN)
}

/// Bow of a member; the formula is free of scale.
#[must_use]
pub fn bow_of(area: Area, length: Length, distance: Length, second_moment: SecondMoment) -> Length {
    let l = length.si();
    Length::from_si(0.005 * area.si() * l * l * distance.si() / second_moment.si())
}

fn run(given: &Given, answer: &mut Answer) -> Result<(), Trouble> {
    let kind = given.word("joint")?;
    given.require(&["thickness"])?;
    let thickness: Length = given::positive("thickness", given.need("thickness")?)?;
    let is_butt = !matches!(kind, "t-fillet" | "t-joint" | "tee" | "fillet" | "lap");
    let mm = |value| Length::of(value, unit::MM);
    if is_butt {
        let area = groove::read(given)?.total();
        let (low, high) = butt(area, thickness, given.or("root_opening", mm(0.0))?);
        answer.put("area", area);
        answer.put("transverse_low", low);
        answer.put("transverse_high", high);
        answer.put("transverse", (low + high) / 2.0);
        answer
            .source("transverse", Source::derived("middle of two published formulas", "the band beside it"));
        answer.warn(
            "Two published formulas differ about twofold here and real scatter is wider: plan with the band, measure \
             the first part, and hold the joint in a fixture where it matters.",
        );
    } else {
        let leg = look_up::leg_on(groove::leg(given)?.ok_or(Trouble::Missing(vec!["leg"]))?, thickness)?;
        answer.put("transverse", if kind == "lap" { lap(leg, thickness) } else { tee(leg, thickness) });
        if leg.si() > 0.75 * thickness.si() * (1.0 + 1e-9) {
            answer.warn(
                "The leg is more than 3/4 of the thickness: the formula and the allowance are not made for it; expect \
                 more.",
            );
        }
        answer.warn("This is a rule of thumb: measure the first part.");
    }
    let (low, high, along) = if is_butt { (1.5, 3.0, 3.0) } else { (0.8, 0.8, 0.8) };
    answer.put("allowance_low", mm(low));
    answer.put("allowance_high", mm(high));
    if let Some(length) = given.maybe::<Length>("length")? {
        answer.put("allowance_along", mm(along) * (given::positive("length", length)? / mm(3000.0)).value);
    }
    Ok(())
}

fn angular(given: &Given, answer: &mut Answer) -> Result<(), Trouble> {
    let width: Length = given::positive("width", given.need("width")?)?;
    let leg: Length = given::positive("leg", given.need("leg")?)?;
    let thickness: Length = given::positive("thickness", given.need("thickness")?)?;
    let rise = edge_rise(width, look_up::leg_on(leg, thickness)?, thickness);
    answer.put("edge_rise", rise);
    answer.put::<Angle>("angle", math::atan2(rise.si(), width.si() / 2.0));
    answer.warn("This is a rule of thumb: preset or clamp the flange and measure.");
    Ok(())
}

fn bow(given: &Given, answer: &mut Answer) -> Result<(), Trouble> {
    let area = match (given.maybe::<Area>("area")?, given.maybe::<Length>("leg")?) {
        (Some(area), leg) => {
            if leg.is_some_and(|leg| look_up::apart(area, leg * leg / 2.0)) {
                return Err(look_up::contradict("area", "leg", "the fillet of this leg has another area"));
            }
            given::positive("area", area)?
        }
        (None, Some(leg)) => {
            let leg = given::positive("leg", leg)?;
            leg * leg / 2.0
        }
        (None, None) => return Err(Trouble::Missing(vec!["area", "leg"])),
    };
    let length: Length = given::positive("length", given.need("length")?)?;
    let second: SecondMoment = given::positive("second_moment", given.need("second_moment")?)?;
    answer.put("bow", bow_of(area, length, given.need("distance")?, second));
    answer.warn("This is a rule of thumb: balance the welds about the neutral axis and measure.");
    Ok(())
}
