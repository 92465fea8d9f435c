//! Shrinkage and distortion of plate joints.

use super::groove::{self, Shape, Weld};
use super::look_up;
use crate::figure::prelude::*;
use crate::figure::rule::agree;
use crate::figure::usual::PLATE;

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

/// Bow over length above which the rule of thumb does not hold.
const MOST_BOW: f64 = 0.05;

words! {
    /// Joint that shrinks.
    pub Joint {
        Butt = "butt" | "groove",
        Tee = "tee" | "t-fillet" | "t-joint" | "fillet" | "t",
        Lap = "lap",
        V = "v" | "single-v" | "v-groove" | "v-butt",
        DoubleV = "double-v",
        Bevel = "bevel" | "single-bevel",
        DoubleBevel = "double-bevel",
        Square = "square",
    }
}

family! {
    pub SHRINKAGE = "shrinkage" in Welding:
        "transverse shrinkage of a butt, T-fillet or lap joint, as a band where sources differ";
    also "transverse-shrinkage", "butt-shrinkage", "weld-shrinkage", "distortion";
    reads Shrinkage {
        ..shape: Shape;
        required joint: Joint, "T or lap with two fillets, or a butt joint; a butt with an angle is a V",
            "joint_type", "type", "kind";
        optional length: Length in ABOVE_ZERO, "length of weld, for the allowance along it", "weld_length";
    }
    gives ShrinkageAnswer {
        area: Area, "weld cross-section", "of the groove, or as given", groove::AREA;
        transverse_low: Length, "transverse shrinkage, low", "butt: 0.10 Aw/t", BUTT_LOW => .range(
            "steel, free joint; real scatter is wider than the band").style(GAUGE).down();
        transverse_high: Length, "transverse shrinkage, high", "butt: 0.2 Aw/t + 0.05 root_opening", BUTT_HIGH =>
            .range("steel, free joint; real scatter is wider than the band").style(GAUGE).up();
        transverse: Length, "transverse shrinkage",
            "T: 0.04 in x leg/t; lap: 0.06 in x leg/t; butt: middle of the band", FILLET => .range(
            "fillets: a pair, leg up to 3/4 of the thickness; butt: the middle of a wide band").style(GAUGE);
        allowance_low: Length, "usual allowance across the weld, low", "fillet 0.8 mm; butt 1.5 mm", ALLOWANCE =>
            .style(GAUGE);
        allowance_high: Length, "usual allowance across the weld, high", "fillet 0.8 mm; butt 3 mm", ALLOWANCE =>
            .style(GAUGE);
        allowance_along: Length, "usual allowance along the weld", "fillet 0.8 mm, butt 3 mm in 3 m", ALLOWANCE
            => .style(GAUGE);
    }
    asked transverse;
    example "joint=v thickness=\"12 mm\" angle=\"60 deg\" root_face=\"2 mm\" root_opening=\"3 mm\" cap_height=\"2 mm\"";
    by run
}

family! {
    pub ANGULAR_DISTORTION = "angular-distortion" in Welding: "angular distortion of a flange by a fillet weld";
    also "angular-shrinkage", "angular", "angular-change";
    reads AngularDistortion {
        required width: Length in ABOVE_ZERO, "flange width", "W", "flange_width";
        required leg: Length in ABOVE_ZERO, "fillet leg", "omega", "w", "size";
        required thickness: Length in PLATE, "flange thickness", "t", "flange_thickness";
    }
    gives AngularDistortionAnswer {
        edge_rise: Length, "rise of the flange edge", "0.02 W leg^1.3 / t^2 (inches)", ANGULAR => .range(
            "steel; inches in, inches out").style(GAUGE);
        angle: Angle, "bend of one half of the flange", "atan(edge_rise / (W/2))", ANGULAR => .style(FINE_ANGLE);
    }
    example "width=\"8 in\" leg=\"1/4 in\" thickness=\"1/2 in\"";
    by angular
}

family! {
    pub BOW_FAMILY = "bow" in Welding: "longitudinal bow of a member by a weld off its neutral axis";
    also "longitudinal-bow", "longitudinal-distortion", "camber-distortion", "weld-bow";
    reads Bow {
        optional area: Area in ABOVE_ZERO, "cross-section of all passes", "aw", "A", "weld_area";
        optional leg: Length in ABOVE_ZERO, "fillet leg, instead of the area", "size";
        required length: Length in ABOVE_ZERO, "length of the weld", "l";
        required distance: Length, "from the weld's centre of gravity to the neutral axis", "d", "offset",
            "eccentricity";
        required second_moment: SecondMoment in ABOVE_ZERO, "second moment of area of the member", "i",
            "inertia", "moment_of_inertia";
    }
    rules { some_of(area, leg); }
    gives BowAnswer {
        bow: Length, "bow", "0.005 Aw L^2 d / I", BOW => .range("steel, straight member, continuous weld"
            ).style(GAUGE);
    }
    example "area=\"0.035 in2\" length=\"120 in\" distance=\"1.5 in\" second_moment=\"10 in4\"";
    by bow
}

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
fn bow_of(area: Area, length: Length, distance: Length, second_moment: SecondMoment) -> Length {
    let l = length.si();
    Length::from_si(0.005 * area.si() * l * l * distance.si() / second_moment.si())
}

fn run(given: &Shrinkage, answer: &mut ShrinkageAnswer) -> Result<()> {
    let joint = *given.joint;
    let thickness = given.shape.thickness.need()?;
    let weld = match joint {
        Joint::Tee | Joint::Lap => None,
        Joint::Butt => Some(Weld::Butt),
        Joint::V => Some(Weld::SingleV),
        Joint::DoubleV => Some(Weld::DoubleV),
        Joint::Bevel => Some(Weld::SingleBevel),
        Joint::DoubleBevel => Some(Weld::DoubleBevel),
        Joint::Square => Some(Weld::Square),
    };
    let mm = |value| Length::of(value, unit::MM);
    let (low, high, along) = if let Some(weld) = weld {
        let area = given.shape.read(Some(weld))?.total();
        let (low, high) = butt(area, thickness, *given.shape.root_opening);
        answer.area.put(area);
        answer.transverse_low.put(low);
        answer.transverse_high.put(high);
        answer.transverse.put((low + high) / 2.0);
        answer.transverse.source(Source::derived("middle of two published formulas", "the band beside it"));
        answer.warn(
            "Two published formulas differ about twofold here and real scatter is wider: plan with the band, measure \
             the first part, and hold the joint in a fixture where it matters.",
        );
        (1.5, 3.0, 3.0)
    } else {
        let leg =
            look_up::leg_on(given.shape.fillet_leg()?.ok_or(Trouble::Missing(vec!["leg"]))?, thickness)?;
        answer.transverse.put(if joint == Joint::Lap { lap(leg, thickness) } else { tee(leg, thickness) });
        if leg.si() > 0.75 * thickness.si() * (1.0 + 1e-9) {
            answer.warn(
                "The leg is more than 3/4 of the thickness: the formula and the allowance are not made for it; expect \
                 more.",
            );
        }
        answer.warn("This is a rule of thumb: measure the first part.");
        (0.8, 0.8, 0.8)
    };
    answer.allowance_low.put(mm(low));
    answer.allowance_high.put(mm(high));
    answer.allowance_along.put_some(given.length.map(|length| mm(along) * (length / mm(3000.0)).value));
    Ok(())
}

fn angular(given: &AngularDistortion, answer: &mut AngularDistortionAnswer) -> Result<()> {
    let thickness = *given.thickness;
    let rise = edge_rise(*given.width, look_up::leg_on(*given.leg, thickness)?, thickness);
    answer.edge_rise.put(rise);
    answer.angle.put(math::atan2(rise.si(), given.width.si() / 2.0));
    answer.warn("This is a rule of thumb: preset or clamp the flange and measure.");
    Ok(())
}

fn bow(given: &Bow, answer: &mut BowAnswer) -> Result<()> {
    let fillet: Option<Area> = given.leg.map(|leg| leg * leg / 2.0);
    if let (Some(area), Some(fillet)) = (*given.area, fillet) {
        agree(("area", area), ("the fillet of this leg", fillet), area * 0.01)?;
    }
    let area = given.area.or(fillet).ok_or(Trouble::Missing(vec!["area", "leg"]))?;
    let bow = bow_of(area, *given.length, *given.distance, *given.second_moment);
    // The rule is for members that stay straight but for a small bow.
    (bow > *given.length * MOST_BOW).refuse(
        "the bow comes to more than a twentieth of the member, where the rule says nothing",
        "check second_moment, distance and area against each other",
    )?;
    answer.bow.put(bow);
    answer.warn("This is a rule of thumb: balance the welds about the neutral axis and measure.");
    Ok(())
}
