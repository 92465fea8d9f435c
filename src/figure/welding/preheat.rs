//! Preheat against hydrogen cracking by EN 1011-2 method B.

use super::carbon_equivalent;
use super::look_up::{Filler, NetHeat, apart, filler};
use super::parent_metal::{self, Parent};
use crate::figure::prelude::*;
use crate::figure::usual::{EQUIVALENT, HYDROGEN};
use crate::quantity::show::PREHEAT;
use crate::reference::electrode;
use crate::reference::metal::Steel;

pub(super) const METHOD_B: Source = Source::standard("EN 1011-2:2001", "annex C.3, eq. C.8");
const DESIGN_CET: Source = Source::standard("EN 1011-2:2001", "annex C.3, CET of parent and weld metal");

/// A share of the preheat, a digit finer than the sum, so that what is shown adds up.
const SHARE: Style = Style::pair(Form::decimal(unit::DEGF_RISE, 0.1), Form::decimal(unit::KELVIN_RISE, 0.1));

family! {
    pub PREHEAT_FAMILY = "preheat" in Welding:
        "minimum preheat and interpass temperature by EN 1011-2 method B (CET)";
    also "preheat-en", "preheat-b", "preheat-method-b", "method-b";
    reads Preheat {
        ..metal: Parent;
        ..heat: NetHeat;
        optional cet: MassFraction in EQUIVALENT,
            "carbon equivalent CET of the parent metal, instead of a steel or composition";
        optional weld_cet: MassFraction in EQUIVALENT,
            "CET of the weld metal; then the design rule of the source is used", "cet_weld", "weld_metal_cet";
        optional thickness: Length, "thickness of the thicker part; single, never combined", "t", "plate",
            "wall", "d", "plate_thickness";
        optional hydrogen: Hydrogen in HYDROGEN, "diffusible hydrogen, ml per 100 g deposited (ISO 3690)",
            "hydrogen_content", "h2", "hdm", "h";
        optional electrode: Filler, "filler classification, instead of hydrogen (E7018-H4)", "filler",
            "classification";
        default ambient: Temperature = "20 degC", "temperature of the metal before welding", "metal_temperature",
            "t0";
        optional yield_strength: Stress in within(0.0, 1000.0, unit::MPA, METHOD_B),
            "yield strength, checked against the range of the method", "yield", "reh";
    }
    gives PreheatAnswer {
        cet_used: MassFraction, "CET used",
            "parent CET; or weld CET + 0.03 where the parent is not 0.03 above the weld metal", DESIGN_CET;
        hydrogen_used: Hydrogen, "diffusible hydrogen used", "as given, or by classification",
            electrode::HYDROGEN_SOURCE;
        part_cet: TemperatureRise, "share of the composition", "750 CET - 150", METHOD_B => .style(SHARE);
        part_thickness: TemperatureRise, "share of the thickness", "160 tanh(d/35) - 110", METHOD_B => .style(SHARE);
        part_hydrogen: TemperatureRise, "share of the hydrogen", "62 HD^0.35 - 100", METHOD_B => .style(SHARE);
        part_heat_input: TemperatureRise, "share of the heat input", "(53 CET - 32) Q - 53 CET + 32", METHOD_B => .style(SHARE);
        computed: Temperature, "temperature by the formula, also where it is below ambient",
            "the four shares over 0 degC (32 degF): 697 CET + 160 tanh(d/35) + 62 HD^0.35 + (53 CET - 32) Q - 328", METHOD_B => .range(
            "CET 0.20 to 0.50 %, d 10 to 90 mm, HD 1 to 20 ml/100g, Q 0.5 to 4 kJ/mm, yield up to 1000 MPa",);
        needed: bool, "preheat needed", "computed above ambient", METHOD_B
            => .claims(&["no"]);
        preheat: Temperature, "minimum preheat and interpass temperature", "computed, where it is above ambient",
            METHOD_B => .range(
            "CET 0.20 to 0.50 %, d 10 to 90 mm, HD 1 to 20 ml/100g, Q 0.5 to 4 kJ/mm, yield up to 1000 MPa",
            ).style(PREHEAT).at_least();
    }
    asked preheat;
    example "cet=0.34 thickness=\"35 mm\" hydrogen=\"8 ml/100g\" heat_input=\"1.3 kJ/mm\"";
    by run
}

/// What method B works from.
#[derive(Debug, Clone, Copy)]
pub struct MethodB {
    /// Design CET, 0.20 to 0.50 %.
    pub cet: MassFraction,
    /// Thickness of the thicker part, 10 to 90 mm.
    pub thickness: Length,
    /// Diffusible hydrogen, 1 to 20 ml/100 g.
    pub hydrogen: Hydrogen,
    /// Heat input with k, 0.5 to 4.0 kJ/mm.
    pub heat_input: HeatInput,
}

/// The shares of the four influences, which add up to the preheat in degrees
/// Celsius.
#[derive(Debug, Clone, Copy)]
pub struct Shares {
    /// By the carbon equivalent: 750 CET - 150.
    pub cet: TemperatureRise,
    /// 160 tanh(d/35) - 110.
    pub thickness: TemperatureRise,
    /// 62 HD^0.35 - 100.
    pub hydrogen: TemperatureRise,
    /// (53 CET - 32) Q - 53 CET + 32.
    pub heat_input: TemperatureRise,
}

impl MethodB {
    /// The four shares.
    ///
    /// # Errors
    /// If an input is outside the range of the method; nothing is clamped.
    pub fn shares(&self) -> Result<Shares> {
        within(0.20, 0.50, unit::PCT_MASS, METHOD_B).check("cet", self.cet.into())?;
        within(10.0, 90.0, unit::MM, METHOD_B).check("thickness", self.thickness.into())?;
        within(1.0, 20.0, unit::ML_100G, METHOD_B).check("hydrogen", self.hydrogen.into())?;
        within(0.5, 4.0, unit::KJ_MM, METHOD_B).check("heat_input", self.heat_input.into())?;
        let cet = self.cet.to(unit::PCT_MASS);
        let d = self.thickness.to(unit::MM);
        let hd = self.hydrogen.to(unit::ML_100G);
        let q = self.heat_input.to(unit::KJ_MM);
        let rise = |kelvin| TemperatureRise::of(kelvin, unit::KELVIN_RISE);
        Ok(Shares {
            cet: rise(750.0 * cet - 150.0),
            thickness: rise(160.0 * math::tanh(d / 35.0) - 110.0),
            hydrogen: rise(62.0 * math::pow(hd, 0.35) - 100.0),
            heat_input: rise((53.0 * cet - 32.0) * q - 53.0 * cet + 32.0),
        })
    }
}

impl Shares {
    /// Their sum on the Celsius scale: the preheat, also where it is below
    /// ambient and none is needed.
    #[must_use]
    pub fn temperature(&self) -> Temperature {
        let sum = self.cet + self.thickness + self.hydrogen + self.heat_input;
        Temperature::of(sum.to(unit::KELVIN_RISE), unit::DEGC)
    }
}

/// CET to design with: the parent's where it is at least 0.03 above that of
/// the weld metal, else that of the weld metal plus 0.03.
#[must_use]
pub fn design_cet(parent: MassFraction, weld: MassFraction) -> MassFraction {
    let raised = weld + MassFraction::from_si(0.03);
    larger(parent, raised)
}

/// Hydrogen as given, else by the classification of the filler.
pub(super) fn hydrogen(
    hydrogen: &Read<Option<Hydrogen>>,
    electrode: &Read<Option<Filler>>,
    said: &mut Said,
) -> Result<Hydrogen> {
    let filler = filler(electrode);
    if let Some(hydrogen) = **hydrogen {
        if let Some(filler) = filler
            && !filler.assumed
            && apart(hydrogen, filler.hydrogen)
        {
            said.warn(format!(
                "Hydrogen of {} ml/100g was given and is used; the classification of the filler says {} ml/100g.",
                hydrogen.to(unit::ML_100G),
                filler.hydrogen.to(unit::ML_100G)
            ));
        }
        return Ok(hydrogen);
    }
    let filler = filler.ok_or(Trouble::Missing(vec!["hydrogen", "electrode"]))?;
    if filler.assumed {
        said.warn(format!(
            "{} carries no hydrogen suffix: {} ml/100g is assumed; use the maker's tested value or a classification \
             such as H4 or H8, and keep the filler dry.",
            filler.electrode.name,
            filler.hydrogen.to(unit::ML_100G)
        ));
    }
    Ok(filler.hydrogen)
}

fn run(given: &Preheat, answer: &mut PreheatAnswer) -> Result<()> {
    let said = &mut answer.said;
    let metal = given.metal.read(!given.cet.given(), said)?;
    lacking([
        given.cet.absent().filter(|_| !given.metal.given()),
        given.thickness.absent(),
        given.electrode.absent().and(given.hydrogen.absent()),
        (!given.heat.given()).then_some("heat_input"),
    ])?;
    let parent = parent_metal::index(&given.cet, metal.as_ref(), carbon_equivalent::cet, said)?;
    if let (Some(metal), false) = (&metal, given.cet.given()) {
        carbon_equivalent::warn_outside(said, "CET", &carbon_equivalent::outside_cet(&metal.composition));
    }
    let own = metal.as_ref().and_then(|m| m.steel).and_then(Steel::yield_strength);
    if let Some(strength) = given.yield_strength.or(own) {
        within(0.0, 1000.0, unit::MPA, METHOD_B).check("yield_strength", strength.into())?;
    }
    let cet = given.weld_cet.map_or(parent, |weld| design_cet(parent, weld));
    let hydrogen = hydrogen(&given.hydrogen, &given.electrode, said)?;
    let heat_input = given.heat.heat(said)?;
    let shares = MethodB { cet, thickness: given.thickness.need()?, hydrogen, heat_input }.shares()?;
    let computed = shares.temperature();
    let needed = computed > *given.ambient;
    answer.cet_used.put(cet);
    answer.hydrogen_used.put(hydrogen);
    if given.hydrogen.given() {
        answer.hydrogen_used.source(Source::entered("diffusible hydrogen"));
    }
    answer.part_cet.put(shares.cet);
    answer.part_thickness.put(shares.thickness);
    answer.part_hydrogen.put(shares.hydrogen);
    answer.part_heat_input.put(shares.heat_input);
    answer.computed.put(computed);
    answer.needed.put(needed);
    // A part that is warm already is held at the minimum all the same.
    let room = Temperature::of(20.0, unit::DEGC);
    if needed || computed > room {
        answer.preheat.put(computed);
    }
    if !needed && computed > room {
        said.warn("The part is above the minimum already: hold it there between passes.");
    }
    said.warn(if needed {
        "This is a minimum for normal restraint and dry metal: raise it for high restraint, damp air or a cold part, \
         hold it between passes, and keep to the highest interpass temperature of the procedure."
    } else {
        "No preheat is needed by this formula: dry the joint, and warm the part if it is cold or damp."
    });
    Ok(())
}
