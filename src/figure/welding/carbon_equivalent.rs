//! Carbon equivalents of a composition, each with its own range.

use super::parent_metal::Parent;
use crate::figure::prelude::*;
use crate::reference::metal::{Composition, Element};

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
const PCM_WINDOW: Source =
    Source::practice("Pcm is used for low-carbon steel, about 0.07 to 0.22 % C").from_memory();

words! {
    /// Where an entered composition comes from.
    pub Basis {
        Certificate = "mill-certificate" | "mill-cert" | "mtr",
        Maximum = "specified-maximum" | "spec-max",
        Typical = "typical",
    }
}

family! {
    pub CARBON_EQUIVALENT = "carbon-equivalent" in Welding:
        "carbon equivalents CE, CET, Pcm, CE(AWS) and CEN of a steel";
    also "ce", "cev", "ce-iiw", "cet", "pcm";
    reads CarbonEquivalent {
        ..metal: Parent;
        optional basis: Basis, "where an entered composition comes from; recorded with the result";
    }
    gives CarbonEquivalentAnswer {
        ce: MassFraction, "CE (IIW)", "C + Mn/6 + (Cr+Mo+V)/5 + (Ni+Cu)/15", CE => .range(
            "C-Mn and low-alloy steel, best above 0.12 % C");
        cet: MassFraction, "CET", "C + (Mn+Mo)/10 + (Cr+Cu)/20 + Ni/40", CET => .range(
            "C 0.05 to 0.32 %, Mn 0.5 to 1.9 %, and the other limits of the source");
        pcm: MassFraction, "Pcm", "C + Si/30 + (Mn+Cu+Cr)/20 + Ni/60 + Mo/15 + V/10 + 5 B", PCM => .range(
            "low-carbon steel, about 0.07 to 0.22 % C");
        ce_aws: MassFraction, "CE (AWS)", "C + (Mn+Si)/6 + (Cr+Mo+V)/5 + (Ni+Cu)/15", CE_AWS;
        cen: MassFraction, "CEN",
            "C + A(C) (Si/24 + Mn/6 + Cu/15 + Ni/20 + (Cr+Mo+Nb+V)/5 + 5 B), A = 0.75 + 0.25 tanh(20 (C - 0.12))",
            CEN;
        ce_range: String, "composition against the range of CE", "limits of EN 1011-2 C.2", CE_WINDOW;
        cet_range: String, "composition against the range of CET", "limits of EN 1011-2 C.3", CET_WINDOW;
        pcm_range: String, "composition against the range of Pcm", "C 0.07 to 0.22 %", PCM_WINDOW;
        assumed: Vec<String>, "elements taken and not entered", "zero, or as in the steel table", CE;
    }
    example "c=\"0.18 %\" mn=\"0.80 %\" si=\"0.20 %\" cr=\"0.10 %\" mo=\"0.02 %\" ni=\"0.10 %\" cu=\"0.25 %\"";
    by run
}

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
pub(super) fn outside_ce(composition: &Composition) -> Vec<String> {
    outside(composition, CE_LIMITS)
}

/// What puts a composition outside the range of CET in EN 1011-2 method B.
pub(super) fn outside_cet(composition: &Composition) -> Vec<String> {
    outside(composition, CET_LIMITS)
}

/// What puts a composition outside the usual range of Pcm.
fn outside_pcm(composition: &Composition) -> Vec<String> {
    outside(composition, PCM_LIMITS)
}

/// Warns that a composition is outside the range of an index.
pub(super) fn warn_outside(said: &mut Said, index: &str, outside: &[String]) {
    if !outside.is_empty() {
        said.warn(format!(
            "{index} is used outside its range of composition ({}): treat what follows from it as a guide and \
             qualify the procedure by test.",
            outside.join(", ")
        ));
    }
}

fn run(given: &CarbonEquivalent, answer: &mut CarbonEquivalentAnswer) -> Result<()> {
    let metal =
        given.metal.read(true, &mut answer.said)?.ok_or(Trouble::Missing(vec!["steel", "c", "mn"]))?;
    let composition = &metal.composition;
    answer.ce.put(ce(composition));
    answer.cet.put(cet(composition));
    answer.pcm.put(pcm(composition));
    answer.ce_aws.put(ce_aws(composition));
    answer.cen.put(cen(composition));
    for (range, index, outside) in [
        (&mut answer.ce_range, "CE", outside_ce(composition)),
        (&mut answer.cet_range, "CET", outside_cet(composition)),
        (&mut answer.pcm_range, "Pcm", outside_pcm(composition)),
    ] {
        warn_outside(&mut answer.said, index, &outside);
        range.put(if outside.is_empty() { "inside".to_owned() } else { outside.join(", ") });
    }
    answer.assumed.put(metal.assumed);
    match *given.basis {
        Some(Basis::Maximum) => answer.warn(
            "The composition is the specified maximum: a certificate usually gives a lower carbon equivalent.",
        ),
        Some(Basis::Typical) => answer.warn("The composition is typical, not this heat's: check it against the mill certificate."),
        Some(Basis::Certificate) | None => {}
    }
    Ok(())
}
