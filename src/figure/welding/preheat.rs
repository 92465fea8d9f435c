//! Preheat against hydrogen cracking by EN 1011-2 method B.

use super::parent_metal::{self, with_metal};
use super::{carbon_equivalent, look_up};
use crate::figure::{Answer, Declared, Family, Given, Group, Input, Need, Output, Trouble, given};
use crate::quantity::show::PREHEAT;
use crate::quantity::{
    Dimensioned, HeatInput, Hydrogen, Kind, Length, MassFraction, Stress, Temperature, TemperatureRise, math,
    unit,
};
use crate::reference::electrode;
use crate::source::Source;

/// The method.
pub(super) const METHOD_B: Source = Source::standard("EN 1011-2:2001", "annex C.3, eq. C.8");
const DESIGN_CET: Source = Source::standard("EN 1011-2:2001", "annex C.3, CET of parent and weld metal");

/// Preheat by method B.
pub static PREHEAT_FAMILY: Family = Family {
    name: "preheat",
    declared: Declared::OLD,
    group: Group::Welding,
    title: "minimum preheat and interpass temperature by EN 1011-2 method B (CET)",
    inputs: with_metal![
        Input::optional(
            "cet",
            Kind::MassFraction,
            "carbon equivalent CET of the parent metal, instead of a steel or composition"
        ),
        Input::optional(
            "weld_cet",
            Kind::MassFraction,
            "CET of the weld metal; then the design rule of the source is used"
        )
        .also(&["cet_weld", "weld_metal_cet"]),
        Input::optional("thickness", Kind::Length, "thickness of the thicker part; single, never combined")
            .also(&["t", "plate", "wall", "d", "plate_thickness"]),
        Input::optional("hydrogen", Kind::Hydrogen, "diffusible hydrogen, ml per 100 g deposited (ISO 3690)")
            .also(&["hydrogen_content", "h2", "hdm", "hd", "h", "diffusible_hydrogen"]),
        Input::name("electrode", Need::Optional, "filler classification, instead of hydrogen (E7018-H4)")
            .also(&["filler", "classification"]),
        Input::optional("heat_input", Kind::HeatInput, "heat input with the k of EN 1011-1").also(&[
            "heat",
            "qi",
            "net_heat_input",
            "q"
        ]),
        look_up::ARC[0],
        look_up::ARC[1],
        look_up::ARC[2],
        Input::defaulted("ambient", Kind::Temperature, "20 degC", "temperature of the metal before welding")
            .also(&["metal_temperature", "t0"]),
        Input::optional("yield", Kind::Stress, "yield strength, checked against the range of the method")
            .also(&["yield_strength", "reh"]),
    ],
    outputs: &[
        Output::new(
            "cet_used",
            "CET used",
            Kind::MassFraction,
            "parent CET; or weld CET + 0.03 where the parent is not 0.03 above the weld metal",
            DESIGN_CET,
        ),
        Output::new(
            "hydrogen_used",
            "diffusible hydrogen used",
            Kind::Hydrogen,
            "as given, or by classification",
            electrode::HYDROGEN_SOURCE,
        ),
        Output::new("part_cet", "share of the composition", Kind::TemperatureRise, "750 CET - 150", METHOD_B),
        Output::new(
            "part_thickness",
            "share of the thickness",
            Kind::TemperatureRise,
            "160 tanh(d/35) - 110",
            METHOD_B,
        ),
        Output::new(
            "part_hydrogen",
            "share of the hydrogen",
            Kind::TemperatureRise,
            "62 HD^0.35 - 100",
            METHOD_B,
        ),
        Output::new(
            "part_heat_input",
            "share of the heat input",
            Kind::TemperatureRise,
            "(53 CET - 32) Q - 53 CET + 32",
            METHOD_B,
        ),
        Output::new(
            "computed",
            "temperature by the formula, also where it is below ambient",
            Kind::Temperature,
            "697 CET + 160 tanh(d/35) + 62 HD^0.35 + (53 CET - 32) Q - 328",
            METHOD_B,
        )
        .range(
            "CET 0.20 to 0.50 %, d 10 to 90 mm, HD 1 to 20 ml/100g, Q 0.5 to 4 kJ/mm, yield up to 1000 MPa",
        ),
        Output::flag("needed", "preheat needed", "computed above ambient", METHOD_B),
        Output::new(
            "preheat",
            "minimum preheat and interpass temperature",
            Kind::Temperature,
            "computed, where it is above ambient",
            METHOD_B,
        )
        .range(
            "CET 0.20 to 0.50 %, d 10 to 90 mm, HD 1 to 20 ml/100g, Q 0.5 to 4 kJ/mm, yield up to 1000 MPa",
        )
        .style(PREHEAT),
    ],
    example: "cet=0.34 thickness=\"35 mm\" hydrogen=\"8 ml/100g\" heat_input=\"1.3 kJ/mm\"",
    run,
};

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
    /// 750 CET - 150.
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
    pub fn shares(&self) -> Result<Shares, Trouble> {
        given::within("cet", self.cet, unit::PCT_MASS, 0.20..=0.50, METHOD_B)?;
        given::within("thickness", self.thickness, unit::MM, 10.0..=90.0, METHOD_B)?;
        given::within("hydrogen", self.hydrogen, unit::ML_100G, 1.0..=20.0, METHOD_B)?;
        given::within("heat_input", self.heat_input, unit::KJ_MM, 0.5..=4.0, METHOD_B)?;
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
    if parent >= raised { parent } else { raised }
}

/// Hydrogen as given, else by the classification of the filler.
///
/// # Errors
/// If neither is given or the classification is unknown.
pub(super) fn hydrogen(given: &Given, answer: &mut Answer) -> Result<Hydrogen, Trouble> {
    if let Some(hydrogen) = given.maybe::<Hydrogen>("hydrogen")? {
        if let Some(filler) = look_up::filler(given)?
            && !filler.assumed
            && look_up::apart(hydrogen, filler.hydrogen)
        {
            answer.warn(format!(
                "Hydrogen of {} ml/100g was given and is used; the classification of the filler says {} ml/100g.",
                hydrogen.to(unit::ML_100G),
                filler.hydrogen.to(unit::ML_100G)
            ));
        }
        return given::positive("hydrogen", hydrogen);
    }
    let filler = look_up::filler(given)?.ok_or(Trouble::Missing(vec!["hydrogen", "electrode"]))?;
    if filler.assumed {
        answer.warn(format!(
            "{} carries no hydrogen suffix: {} ml/100g is assumed; use the maker's tested value or a classification \
             such as H4 or H8, and keep the filler dry.",
            filler.electrode.name,
            filler.hydrogen.to(unit::ML_100G)
        ));
    }
    Ok(filler.hydrogen)
}

/// Temperature of the metal before welding.
///
/// # Errors
/// If the input is no temperature.
pub(super) fn ambient(given: &Given) -> Result<Temperature, Trouble> {
    given.or("ambient", Temperature::of(20.0, unit::DEGC))
}

fn run(given: &Given, answer: &mut Answer) -> Result<(), Trouble> {
    let metal = parent_metal::read(given, "cet", answer)?;
    let lacks_cet = metal.is_none() && !given.has("cet");
    let lacks_hydrogen = !given.has("hydrogen") && !given.has("electrode");
    let lacks_heat = !given.has("heat_input") && !given.has("arc_energy");
    let missing: Vec<_> = [
        (lacks_cet, "cet"),
        (!given.has("thickness"), "thickness"),
        (lacks_hydrogen, "hydrogen"),
        (lacks_heat, "heat_input"),
    ]
    .iter()
    .filter(|m| m.0)
    .map(|m| m.1)
    .collect();
    if !missing.is_empty() {
        return Err(Trouble::Missing(missing));
    }
    let parent = parent_metal::index(given, "cet", metal.as_ref(), carbon_equivalent::cet, answer)?;
    if let (Some(metal), false) = (&metal, given.has("cet")) {
        let outside = carbon_equivalent::outside_cet(&metal.composition);
        carbon_equivalent::warn_outside(answer, "CET", &outside);
    }
    let yield_strength = match given.maybe::<Stress>("yield")? {
        Some(entered) => Some(entered),
        None => metal.as_ref().and_then(|m| m.steel).and_then(|s| s.yield_strength()),
    };
    if let Some(strength) = yield_strength {
        given::within("yield", strength, unit::MPA, 0.0..=1000.0, METHOD_B)?;
    }
    let cet = match given.maybe::<MassFraction>("weld_cet")? {
        Some(weld) => design_cet(parent, given::positive("weld_cet", weld)?),
        None => parent,
    };
    let hydrogen = hydrogen(given, answer)?;
    let method = MethodB {
        cet,
        thickness: given.need("thickness")?,
        hydrogen,
        heat_input: look_up::net_heat(given, answer)?,
    };
    let shares = method.shares()?;
    let computed = shares.temperature();
    let ambient = ambient(given)?;
    let needed = computed > ambient;
    answer.put("cet_used", cet);
    answer.put("hydrogen_used", hydrogen);
    if given.has("hydrogen") {
        answer.source("hydrogen_used", Source::entered("diffusible hydrogen"));
    }
    answer.put("part_cet", shares.cet);
    answer.put("part_thickness", shares.thickness);
    answer.put("part_hydrogen", shares.hydrogen);
    answer.put("part_heat_input", shares.heat_input);
    answer.put("computed", computed);
    answer.put_flag("needed", needed);
    if needed {
        answer.put("preheat", computed);
        answer.warn(
            "This is a minimum for normal restraint and dry metal: raise it for high restraint, damp air or a cold \
             part, hold it between passes, and keep to the highest interpass temperature of the procedure.",
        );
    } else {
        answer.warn(
            "No preheat is needed by this formula: dry the joint, and warm the part if it is cold or damp.",
        );
    }
    Ok(())
}
