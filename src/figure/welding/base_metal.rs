//! Whether the part beside a weld carries what the weld carries.

use super::look_up::{Steel, apart, contradict};
use super::weld_strength::{LINE_LOAD, Metal, Method, Size, allowable_throat, leg_of_throat};
use crate::figure::prelude::*;
use crate::figure::usual::{PLATE, STRENGTH};
use crate::reference::metal;

const YIELD: Source = Source::standard("ANSI/AISC 360-22", "J4.2(a): 0.60 Fy, Omega 1.50 or phi 1.00");
const RUPTURE: Source = Source::standard("ANSI/AISC 360-22", "J4.2(b): 0.60 Fu, Omega 2.00 or phi 0.75");
const MATCH: Source =
    Source::handbook("AISC Steel Construction Manual, 15th edition", "eq. 9-2 and 9-3").from_memory();
const FACE: Source = Source::standard("AWS D1.1:2020", "table 4.3: base metal shear 0.40 Fy on the leg face");
const SIDES: Source = Source::definition("a plate has two sides");

family! {
    pub BASE_METAL = "base-metal" in Welding:
        "base metal beside a weld: shear yield and rupture, and the thickness that matches the weld";
    also "base-metal-check", "parent-metal", "base-metal-strength";
    reads BaseMetal {
        ..size: Size;
        required thickness: Length in PLATE, "thickness of the part in shear", "t", "plate", "t1";
        optional yield_strength: Stress in STRENGTH, "yield strength of the part; or give steel", "fy",
            "yield";
        optional tensile_strength: Stress in STRENGTH, "tensile strength of the part; or give steel", "fu",
            "tensile", "ultimate";
        optional steel: Steel, "steel in the table (A36, A572-50, S355 …), for its specified strengths", "grade",
            "material", "base_metal";
        default sides: Number = "1" in count(1, 2, SIDES),
            "fillets that load the same section: 2 for both sides of a plate", "count", "lines", "welds";
        optional line_load: LineForce, "force per length to check, of all fillets on the section", "q",
            "force_per_length";
        optional load: Force, "load to check, with length", "p_u", "force", "p";
        optional length: Length in ABOVE_ZERO, "length of the section in shear", "l";
        default method: Method = Asd, "asd: loads as they act, 0.30 FEXX; lrfd: factored loads, 0.45 FEXX",
            "design", "design_method";
        optional electrode: Metal,
            "filler class such as E70, or its tensile strength such as \"70 ksi\", with leg", "fexx", "filler",
            "weld_metal";
    }
    rules { at_most_one(line_load, load); needs(load, length); }
    gives BaseMetalAnswer {
        shear_yield: LineForce, "shear yield per length", "0.60 Fy t / 1.50 (= 0.40 Fy t), lrfd 0.60 Fy t", YIELD
            => .style(LINE_LOAD).down();
        shear_rupture: LineForce, "shear rupture per length", "0.60 Fu t / 2.00, lrfd 0.75 x 0.60 Fu t", RUPTURE
            => .style(LINE_LOAD).down();
        per_length: LineForce, "allowable force per length of the part", "the lesser of yield and rupture", YIELD
            => .style(LINE_LOAD).down();
        fy: Stress, "yield strength used", "as given, or of the steel", YIELD => .down();
        fu: Stress, "tensile strength used", "as given, or of the steel", RUPTURE => .down();
        governs: String, "what governs in the part", "yield or rupture", YIELD;
        weld_per_length: LineForce, "allowable force per length of the weld",
            "allowable throat stress x throat x sides", RUPTURE => .style(LINE_LOAD).down();
        leg_face: LineForce, "allowable force per length on the leg face",
            "0.40 Fy x leg x sides, lrfd 0.60 Fy x leg x sides", FACE => .style(LINE_LOAD).down();
        min_thickness: Length, "thickness whose shear rupture matches the weld", "FEXX throat sides / Fu", MATCH
            => .style(GAUGE).at_least();
        max_useful_leg: Length, "leg beyond which the part governs",
            "sqrt(2) x part per length / (allowable throat stress x sides)", MATCH => .style(GAUGE).at_most();
        weaker: String, "weaker of weld and part", "the lesser force per length", RUPTURE;
        line_load: LineForce, "force per length to carry", "load / length, or as given", YIELD => .up();
        utilisation: Number, "utilisation of the part", "force per length / allowable of the part", YIELD =>
            .up();
    }
    asked per_length;
    example "thickness=\"1/4 in\" fy=\"36 ksi\" fu=\"58 ksi\" leg=\"1/4 in\" electrode=E70";
    by base_metal
}

/// Shear strength of a part per length of weld.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PartShear {
    /// Yield on the gross section.
    pub yielding: LineForce,
    /// Rupture on the net section.
    pub rupture: LineForce,
}

impl PartShear {
    /// Allowable (ASD) or design (LRFD) shear of a part of this thickness.
    #[must_use]
    pub fn new(thickness: Length, fy: Stress, fu: Stress, method: Method) -> Self {
        let share = match method {
            Method::Asd => 1.0 / 1.5,
            Method::Lrfd => 1.0,
        };
        Self {
            yielding: LineForce::from_si(0.6 * fy.si() * thickness.si() * share),
            rupture: LineForce::from_si(0.6 * fu.si() * thickness.si() * method.weld_share()),
        }
    }

    /// The lesser.
    #[must_use]
    pub fn least(self) -> LineForce {
        smaller(self.yielding, self.rupture)
    }
}

/// A strength as given, else the specified one of the steel. One below its
/// specification is of another steel.
pub(super) fn strength(
    given: &Read<Option<Stress>>,
    steel: Option<&metal::Steel>,
    own: Option<Stress>,
    said: &mut Said,
) -> Result<Stress> {
    if let (Some(entered), Some(own), Some(steel)) = (**given, own, steel)
        && apart(entered, own)
    {
        if entered < own {
            let why = format!("{} specifies at least {}", steel.name, show(own));
            return Err(contradict("steel", given.name(), &why));
        }
        said.warn(format!(
            "{} of {} is used; {} specifies {} at least: keep the certificate.",
            given.name(),
            show(entered),
            steel.name,
            show(own)
        ));
    }
    given.or(own).ok_or_else(|| Trouble::Missing(vec![given.name()]))
}

fn base_metal(given: &BaseMetal, answer: &mut BaseMetalAnswer) -> Result<()> {
    let steel = given.steel.as_ref().map(|named| **named);
    let (own_fy, own_fu) =
        (steel.and_then(metal::Steel::yield_strength), steel.and_then(metal::Steel::tensile_strength));
    lacking([
        given.yield_strength.absent().filter(|_| own_fy.is_none()),
        given.tensile_strength.absent().filter(|_| own_fu.is_none()),
    ])?;
    let fy = strength(&given.yield_strength, steel, own_fy, &mut answer.said)?;
    let fu = strength(&given.tensile_strength, steel, own_fu, &mut answer.said)?;
    if let Some(steel) = steel
        && !(given.yield_strength.given() && given.tensile_strength.given())
    {
        answer.warn(format!(
            "The strengths are the specified least values of {}, recalled: check them against the specification.",
            steel.name
        ));
    }
    (fy > fu).refuse("the yield strength is above the tensile strength", "they may be swapped")?;
    let (method, sides) = (*given.method, given.sides.si());
    let part = PartShear::new(*given.thickness, fy, fu, method);
    answer.shear_yield.put(part.yielding);
    answer.shear_rupture.put(part.rupture);
    answer.per_length.put(part.least());
    answer.fy.put(fy);
    answer.fu.put(fu);
    answer.governs.put(if part.yielding < part.rupture { "yield" } else { "rupture" }.to_owned());
    let throat = given.size.effective_throat()?;
    let fexx = given.electrode.as_ref().map(|metal| metal.0);
    if fexx.is_some() && throat.is_none() {
        return Err(Trouble::Missing(vec!["leg"]));
    }
    if let (Some(throat), Some(fexx)) = (throat, fexx) {
        let stress = allowable_throat(fexx, method);
        let weld = LineForce::from_si(stress.si() * throat.si() * sides);
        let share = if method == Method::Asd { 0.4 } else { 0.6 };
        let face = LineForce::from_si(share * fy.si() * leg_of_throat(throat).si() * sides);
        answer.weld_per_length.put(weld);
        answer.leg_face.put(face);
        answer.min_thickness.put(throat * (fexx.si() * sides / fu.si()));
        answer.max_useful_leg.put(leg_of_throat(Length::from_si(part.least().si() / (stress.si() * sides))));
        answer.weaker.put(if part.least() < weld { "part" } else { "weld" }.to_owned());
        if part.least() < weld {
            answer.warn("The part is weaker than the weld: a larger leg won't carry more.");
        }
        if face < weld {
            answer.warn(
                "Shear on the leg face is below the strength of the throat: the base metal is soft for this filler. \
                 Size from the leg face.",
            );
        }
    }
    let spread =
        || given.load.zip(*given.length).map(|(load, length)| LineForce::from_si(load.si() / length.si()));
    if let Some(wanted) = given.line_load.or_else(spread) {
        answer.line_load.put(wanted);
        let utilisation = wanted.si() / part.least().si();
        answer.utilisation.put(Number::from_si(utilisation));
        if utilisation > 1.0 {
            answer.warn("The part is over its allowable shear: it needs more thickness or more length.");
        }
    }
    Ok(())
}
