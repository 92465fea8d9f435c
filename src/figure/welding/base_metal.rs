//! Whether the part beside a weld carries what the weld carries.

use super::look_up;
use super::weld_strength::{
    ELECTRODE, LEG, LINE_LOAD, METHOD, Method, THROAT_INPUT, leg_of_throat, read_electrode, read_throat,
};
use crate::figure::{Answer, Declared, Family, Given, Group, Input, Need, Output, Trouble, given};
use crate::quantity::show::GAUGE;
use crate::quantity::{Dimensioned, Force, Kind, Length, LineForce, Number, Stress, Style};
use crate::reference::metal;
use crate::source::Source;

const YIELD: Source = Source::standard("ANSI/AISC 360-22", "J4.2(a): 0.60 Fy, Omega 1.50 or phi 1.00");
const RUPTURE: Source = Source::standard("ANSI/AISC 360-22", "J4.2(b): 0.60 Fu, Omega 2.00 or phi 0.75");
const MATCH: Source =
    Source::handbook("AISC Steel Construction Manual, 15th edition", "eq. 9-2 and 9-3").from_memory();
const FACE: Source = Source::standard("AWS D1.1:2020", "table 4.3: base metal shear 0.40 Fy on the leg face");

const fn per_length(id: &'static str, title: &'static str, formula: &'static str, source: Source) -> Output {
    Output::new(id, title, Kind::LineForce, formula, source).style(LINE_LOAD).down()
}

/// Base metal beside a fillet.
pub static BASE_METAL: Family = Family {
    name: "base-metal",
    declared: Declared::OLD,
    group: Group::Welding,
    title: "base metal beside a weld: shear yield and rupture, and the thickness that matches the weld",
    inputs: &[
        Input::required("thickness", Kind::Length, "thickness of the part in shear")
            .also(&["t", "plate", "t1"]),
        Input::optional("yield_strength", Kind::Stress, "yield strength of the part; or give steel")
            .also(&["fy", "yield"]),
        Input::optional("tensile_strength", Kind::Stress, "tensile strength of the part; or give steel")
            .also(&["fu", "tensile", "ultimate"]),
        Input::name(
            "steel",
            Need::Optional,
            "steel in the table (A36, A572-50, S355 …), for its specified strengths",
        )
        .also(&["grade", "material", "base_metal", "metal"]),
        METHOD,
        LEG,
        THROAT_INPUT,
        Input::defaulted(
            "sides",
            Kind::Number,
            "1",
            "fillets that load the same section: 2 for both sides of a plate",
        )
        .also(&["count", "lines", "welds"]),
        ELECTRODE,
        Input::optional(
            "line_load",
            Kind::LineForce,
            "force per length to check, of all fillets on the section",
        )
        .also(&["q", "force_per_length"]),
        Input::optional("load", Kind::Force, "load to check, with length").also(&["p_u", "force", "p"]),
        Input::optional("length", Kind::Length, "length of the section in shear").also(&["l"]),
    ],
    outputs: &[
        per_length(
            "shear_yield",
            "shear yield per length",
            "0.60 Fy t / 1.50 (= 0.40 Fy t), lrfd 0.60 Fy t",
            YIELD,
        ),
        per_length(
            "shear_rupture",
            "shear rupture per length",
            "0.60 Fu t / 2.00, lrfd 0.75 x 0.60 Fu t",
            RUPTURE,
        ),
        per_length(
            "per_length",
            "allowable force per length of the part",
            "the lesser of yield and rupture",
            YIELD,
        ),
        Output::new("fy", "yield strength used", Kind::Stress, "as given, or of the steel", YIELD).down(),
        Output::new("fu", "tensile strength used", Kind::Stress, "as given, or of the steel", RUPTURE).down(),
        Output::word("governs", "what governs in the part", "yield or rupture", YIELD),
        per_length(
            "weld_per_length",
            "allowable force per length of the weld",
            "allowable throat stress x throat x sides",
            RUPTURE,
        ),
        per_length(
            "leg_face",
            "allowable force per length on the leg face",
            "0.40 Fy x leg x sides, lrfd 0.60 Fy x leg x sides",
            FACE,
        ),
        Output::new(
            "min_thickness",
            "thickness whose shear rupture matches the weld",
            Kind::Length,
            "FEXX throat sides / Fu",
            MATCH,
        )
        .style(GAUGE)
        .up(),
        Output::new(
            "max_useful_leg",
            "leg beyond which the part governs",
            Kind::Length,
            "sqrt(2) x part per length / (allowable throat stress x sides)",
            MATCH,
        )
        .style(GAUGE)
        .down(),
        Output::word("weaker", "weaker of weld and part", "the lesser force per length", RUPTURE),
        Output::new(
            "line_load",
            "force per length to carry",
            Kind::LineForce,
            "load / length, or as given",
            YIELD,
        )
        .up(),
        Output::new(
            "utilisation",
            "utilisation of the part",
            Kind::Number,
            "force per length / allowable of the part",
            YIELD,
        )
        .up(),
    ],
    example: "thickness=\"1/4 in\" fy=\"36 ksi\" fu=\"58 ksi\" leg=\"1/4 in\" electrode=E70",
    run: base_metal,
};

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
        if self.yielding < self.rupture { self.yielding } else { self.rupture }
    }
}

/// Yield and tensile strength as given, else of the steel.
fn strengths(given: &Given, answer: &mut Answer) -> Result<(Stress, Stress), Trouble> {
    let steel = match given.maybe_word("steel")? {
        None => None,
        Some(name) => Some(metal::find(name).ok_or_else(|| Trouble::Unknown {
            input: "steel".to_owned(),
            given: name.to_owned(),
            choices: metal::words(),
        })?),
    };
    let fy = given.maybe::<Stress>("yield_strength")?.or(steel.and_then(metal::Steel::yield_strength));
    let fu = given.maybe::<Stress>("tensile_strength")?.or(steel.and_then(metal::Steel::tensile_strength));
    if let Some(steel) = steel {
        for (name, own) in
            [("yield_strength", steel.yield_strength()), ("tensile_strength", steel.tensile_strength())]
        {
            let (Some(entered), Some(own)) = (given.maybe::<Stress>(name)?, own) else { continue };
            let show = |s: Stress| Style::of(Kind::Stress).both(s.into());
            if look_up::apart(entered, own) && entered < own {
                let why = format!("{} specifies at least {}", steel.name, show(own));
                return Err(look_up::contradict("steel", name, &why));
            }
            if look_up::apart(entered, own) {
                answer.warn(format!(
                    "{name} of {} is used; {} specifies {} at least: keep the certificate.",
                    show(entered),
                    steel.name,
                    show(own)
                ));
            }
        }
    }
    let (Some(fy), Some(fu)) = (fy, fu) else {
        return Err(Trouble::Missing(
            [(fy, "yield_strength"), (fu, "tensile_strength")]
                .into_iter()
                .filter(|(strength, _)| strength.is_none())
                .map(|(_, name)| name)
                .collect(),
        ));
    };
    if let Some(steel) = steel
        && !(given.has("yield_strength") && given.has("tensile_strength"))
    {
        answer.warn(format!(
            "The strengths are the specified least values of {}, recalled: check them against the specification.",
            steel.name
        ));
    }
    Ok((given::positive("yield_strength", fy)?, given::positive("tensile_strength", fu)?))
}

fn base_metal(given: &Given, answer: &mut Answer) -> Result<(), Trouble> {
    let thickness: Length = given::positive("thickness", given.need("thickness")?)?;
    let (fy, fu) = strengths(given, answer)?;
    if fy > fu {
        return Err(Trouble::impossible(
            "the yield strength is above the tensile strength",
            "they may be swapped",
        ));
    }
    let method = Method::read(given)?;
    let sides: Number = given.or("sides", Number::from_si(1.0))?;
    if sides.si() != 1.0 && sides.si() != 2.0 {
        return Err(Trouble::OutOfRange {
            input: "sides".to_owned(),
            given: format!("{}", sides.si()),
            range: "1 or 2".to_owned(),
            source: Source::definition("a plate has two sides"),
        });
    }
    let part = PartShear::new(thickness, fy, fu, method);
    answer.put("shear_yield", part.yielding);
    answer.put("shear_rupture", part.rupture);
    answer.put("per_length", part.least());
    answer.put("fy", fy);
    answer.put("fu", fu);
    answer.put_word("governs", if part.yielding < part.rupture { "yield" } else { "rupture" });
    let throat = read_throat(given)?;
    let fexx = read_electrode(given)?;
    if fexx.is_some() && throat.is_none() {
        return Err(Trouble::Missing(vec!["leg"]));
    }
    if let (Some(throat), Some(fexx)) = (throat, fexx) {
        let stress = super::weld_strength::allowable_throat(fexx, method);
        let weld = LineForce::from_si(stress.si() * throat.si() * sides.si());
        answer.put("weld_per_length", weld);
        let share = if method == Method::Asd { 0.4 } else { 0.6 };
        let face = LineForce::from_si(share * fy.si() * leg_of_throat(throat).si() * sides.si());
        answer.put("leg_face", face);
        answer.put("min_thickness", throat * (fexx.si() * sides.si() / fu.si()));
        let useful = Length::from_si(part.least().si() / (stress.si() * sides.si()));
        answer.put("max_useful_leg", leg_of_throat(useful));
        answer.put_word("weaker", if part.least() < weld { "part" } else { "weld" });
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
    let wanted: Option<LineForce> =
        match (given.maybe::<LineForce>("line_load")?, given.maybe::<Force>("load")?) {
            (Some(_), Some(_)) => {
                return Err(Trouble::impossible("both line_load and load are given", "give one of them"));
            }
            (Some(q), None) => Some(q),
            (None, Some(load)) => {
                let length: Length = given::positive("length", given.need("length")?)?;
                Some(LineForce::from_si(load.si() / length.si()))
            }
            (None, None) => None,
        };
    if let Some(wanted) = wanted {
        answer.put("line_load", wanted);
        let utilisation = wanted.si() / part.least().si();
        answer.put("utilisation", Number::from_si(utilisation));
        if utilisation > 1.0 {
            answer.warn("The part is over its allowable shear: it needs more thickness or more length.");
        }
    }
    Ok(())
}
