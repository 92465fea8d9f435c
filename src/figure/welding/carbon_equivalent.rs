//! Carbon equivalents of a composition, each with its own range.

use super::parent_metal::{self, with_metal};
use crate::figure::{Answer, Declared, Family, Given, Group, Input, Need, Output, Trouble};
use crate::quantity::{Dimensioned, Kind, MassFraction, math};
use crate::reference::metal::{Composition, Element};
use crate::source::Source;

const CE: Source = Source::standard("ISO/TR 17844:2004", "CE; IIW formula, also EN 1011-2:2001 C.2");
const CET: Source = Source::standard("EN 1011-2:2001", "annex C.3, CET");
pub(super) const PCM: Source = Source::standard("ISO/TR 17844:2004", "Pcm; also JIS and AWS D1.1");
const CE_AWS: Source = Source::standard("AWS D1.1", "annex on preheat, zone diagram, CE with silicon");
const CEN: Source = Source::standard("ISO/TR 17844:2004", "CEN").from_memory();
/// Composition window of method A.
pub(super) const CE_WINDOW: Source =
    Source::standard("EN 1011-2:2001", "annex C.2.1, composition").from_memory();
/// Composition window of method B.
pub(super) const CET_WINDOW: Source = Source::standard("EN 1011-2:2001", "annex C.3.1, composition");

/// Carbon equivalents.
pub static CARBON_EQUIVALENT: Family = Family {
    name: "carbon-equivalent",
    declared: Declared::OLD,
    group: Group::Welding,
    title: "carbon equivalents CE, CET, Pcm, CE(AWS) and CEN of a steel",
    inputs: with_metal![Input::choice(
        "basis",
        &["mill-certificate", "specified-maximum", "typical"],
        Need::Optional,
        "where an entered composition comes from; recorded with the result",
    )],
    outputs: &[
        Output::new("ce", "CE (IIW)", Kind::MassFraction, "C + Mn/6 + (Cr+Mo+V)/5 + (Ni+Cu)/15", CE)
            .range("C-Mn and low-alloy steel, best above 0.12 % C"),
        Output::new("cet", "CET", Kind::MassFraction, "C + (Mn+Mo)/10 + (Cr+Cu)/20 + Ni/40", CET)
            .range("C 0.05 to 0.32 %, Mn 0.5 to 1.9 %, and the other limits of the source"),
        Output::new(
            "pcm",
            "Pcm",
            Kind::MassFraction,
            "C + Si/30 + (Mn+Cu+Cr)/20 + Ni/60 + Mo/15 + V/10 + 5 B",
            PCM,
        )
        .range("low-carbon steel, about 0.07 to 0.22 % C"),
        Output::new(
            "ce_aws",
            "CE (AWS)",
            Kind::MassFraction,
            "C + (Mn+Si)/6 + (Cr+Mo+V)/5 + (Ni+Cu)/15",
            CE_AWS,
        ),
        Output::new(
            "cen",
            "CEN",
            Kind::MassFraction,
            "C + A(C) (Si/24 + Mn/6 + Cu/15 + Ni/20 + (Cr+Mo+Nb+V)/5 + 5 B), A = 0.75 + 0.25 tanh(20 (C - 0.12))",
            CEN,
        ),
        Output::word("ce_range", "composition against the range of CE", "limits of EN 1011-2 C.2", CE_WINDOW),
        Output::word(
            "cet_range",
            "composition against the range of CET",
            "limits of EN 1011-2 C.3",
            CET_WINDOW,
        ),
        Output::word("pcm_range", "composition against the range of Pcm", "C 0.07 to 0.22 %", PCM_WINDOW),
        Output::words("assumed", "elements taken and not entered", "zero, or as in the steel table", CE),
    ],
    example: "c=\"0.18 %\" mn=\"0.80 %\" si=\"0.20 %\" cr=\"0.10 %\" mo=\"0.02 %\" ni=\"0.10 %\" cu=\"0.25 %\"",
    run,
};

const PCM_WINDOW: Source =
    Source::practice("Pcm is used for low-carbon steel, about 0.07 to 0.22 % C").from_memory();

fn shares(composition: &Composition) -> impl Fn(Element) -> f64 {
    let composition = *composition;
    move |element| composition.get(element).si()
}

/// CE of the International Institute of Welding.
#[must_use]
pub fn ce(composition: &Composition) -> MassFraction {
    use Element::{C, Cr, Cu, Mn, Mo, Ni, V};
    let x = shares(composition);
    MassFraction::from_si(x(C) + x(Mn) / 6.0 + (x(Cr) + x(Mo) + x(V)) / 5.0 + (x(Ni) + x(Cu)) / 15.0)
}

/// CET of EN 1011-2 method B.
#[must_use]
pub fn cet(composition: &Composition) -> MassFraction {
    use Element::{C, Cr, Cu, Mn, Mo, Ni};
    let x = shares(composition);
    MassFraction::from_si(x(C) + (x(Mn) + x(Mo)) / 10.0 + (x(Cr) + x(Cu)) / 20.0 + x(Ni) / 40.0)
}

/// Pcm, the cracking parameter of low-carbon steel.
#[must_use]
pub fn pcm(composition: &Composition) -> MassFraction {
    use Element::{B, C, Cr, Cu, Mn, Mo, Ni, Si, V};
    let x = shares(composition);
    MassFraction::from_si(
        x(C) + x(Si) / 30.0
            + (x(Mn) + x(Cu) + x(Cr)) / 20.0
            + x(Ni) / 60.0
            + x(Mo) / 15.0
            + x(V) / 10.0
            + 5.0 * x(B),
    )
}

/// CE with silicon, as the AWS zone diagram uses it.
#[must_use]
pub fn ce_aws(composition: &Composition) -> MassFraction {
    ce(composition) + composition.get(Element::Si) / 6.0
}

/// CEN, which passes from Pcm to CE with rising carbon.
#[must_use]
pub fn cen(composition: &Composition) -> MassFraction {
    use Element::{B, C, Cr, Cu, Mn, Mo, Nb, Ni, Si, V};
    let x = shares(composition);
    let a = 0.75 + 0.25 * math::tanh(20.0 * (x(C) - 0.12));
    let alloy = x(Si) / 24.0
        + x(Mn) / 6.0
        + x(Cu) / 15.0
        + x(Ni) / 20.0
        + (x(Cr) + x(Mo) + x(Nb) + x(V)) / 5.0
        + 5.0 * x(B);
    MassFraction::from_si(x(C) + a * alloy)
}

type Limit = (Element, f64, f64);

const CE_LIMITS: &[Limit] = &[
    (Element::C, 0.05, 0.25),
    (Element::Si, 0.0, 0.8),
    (Element::Mn, 0.0, 1.7),
    (Element::Cr, 0.0, 0.9),
    (Element::Cu, 0.0, 1.0),
    (Element::Ni, 0.0, 2.5),
    (Element::Mo, 0.0, 0.75),
    (Element::V, 0.0, 0.20),
];

const CET_LIMITS: &[Limit] = &[
    (Element::C, 0.05, 0.32),
    (Element::Si, 0.0, 0.8),
    (Element::Mn, 0.5, 1.9),
    (Element::Cr, 0.0, 1.5),
    (Element::Cu, 0.0, 0.7),
    (Element::Mo, 0.0, 0.75),
    (Element::Nb, 0.0, 0.06),
    (Element::Ni, 0.0, 2.5),
    (Element::Ti, 0.0, 0.12),
    (Element::V, 0.0, 0.18),
    (Element::B, 0.0, 0.005),
];

const PCM_LIMITS: &[Limit] = &[(Element::C, 0.07, 0.22)];

fn outside(composition: &Composition, limits: &[Limit]) -> Vec<String> {
    limits
        .iter()
        .filter_map(|(element, low, high)| {
            let share = composition.get(*element).si();
            let symbol = element.symbol();
            // A hair of room for a limit typed as a decimal.
            if share < low - 1e-9 {
                Some(format!("{symbol} {share} % is below {low} %"))
            } else if share > high + 1e-9 {
                Some(format!("{symbol} {share} % is above {high} %"))
            } else {
                None
            }
        })
        .collect()
}

/// What puts a composition outside the range of CE in EN 1011-2 method A.
#[must_use]
pub fn outside_ce(composition: &Composition) -> Vec<String> {
    outside(composition, CE_LIMITS)
}

/// What puts a composition outside the range of CET in EN 1011-2 method B.
#[must_use]
pub fn outside_cet(composition: &Composition) -> Vec<String> {
    outside(composition, CET_LIMITS)
}

/// What puts a composition outside the usual range of Pcm.
#[must_use]
pub fn outside_pcm(composition: &Composition) -> Vec<String> {
    outside(composition, PCM_LIMITS)
}

/// Warns that a composition is outside the range of an index.
pub(super) fn warn_outside(answer: &mut Answer, index: &str, outside: &[String]) {
    if !outside.is_empty() {
        answer.warn(format!(
            "{index} is used outside its range of composition ({}): treat what follows from it as a guide and \
             qualify the procedure by test.",
            outside.join(", ")
        ));
    }
}

fn run(given: &Given, answer: &mut Answer) -> Result<(), Trouble> {
    let metal = parent_metal::read(given, "", answer)?.ok_or(Trouble::Missing(vec!["steel", "c", "mn"]))?;
    let composition = &metal.composition;
    answer.put("ce", ce(composition));
    answer.put("cet", cet(composition));
    answer.put("pcm", pcm(composition));
    answer.put("ce_aws", ce_aws(composition));
    answer.put("cen", cen(composition));
    for (id, index, list) in [
        ("ce_range", "CE", outside_ce(composition)),
        ("cet_range", "CET", outside_cet(composition)),
        ("pcm_range", "Pcm", outside_pcm(composition)),
    ] {
        warn_outside(answer, index, &list);
        answer.put_word(id, if list.is_empty() { "inside".to_owned() } else { list.join(", ") });
    }
    answer.put_words("assumed", metal.assumed);
    match given.maybe_word("basis")? {
        Some("specified-maximum") => answer.warn(
            "The composition is the specified maximum: a certificate usually gives a lower carbon equivalent.",
        ),
        Some("typical") => {
            answer.warn("The composition is typical, not this heat's: check it against the mill certificate.");
        }
        _ => {}
    }
    Ok(())
}
