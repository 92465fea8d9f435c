//! Reads the parent metal of a job: a named steel, a composition, or both.

use super::{certificate, look_up};
use crate::figure::{Answer, Given, Input, Need, Trouble, given};
use crate::quantity::{Dimensioned, Kind, MassFraction, unit};
use crate::reference::metal::{self, Basis, Composition, Element, Form, Steel};
use crate::source::Source;

const SHARE: Source = Source::definition("a share of the mass");

/// Name of a steel in the table.
pub(super) const STEEL: Input = Input::name(
    "steel",
    Need::Optional,
    "steel in the table (A36, 4130, S355J2 …), instead of or under a composition",
)
.also(&["grade", "material", "metal", "base_metal"]);

/// How the metal was made.
pub(super) const FORM: Input = Input::choice(
    "form",
    &["wrought", "cast-steel", "nodular-iron", "ductile-iron", "gray-iron", "cast-iron"],
    Need::Default("wrought, or as the steel table says"),
    "how the metal was made",
);

const fn share(name: &'static str, help: &'static str, aliases: &'static [&'static str]) -> Input {
    Input::optional(name, Kind::MassFraction, help).also(aliases)
}

/// The elements as inputs, in the order of [`Element::ALL`].
pub(super) const ELEMENTS: [Input; 11] = [
    share("c", "carbon", &["carbon"]),
    share("mn", "manganese", &["manganese"]),
    share("si", "silicon", &["silicon"]),
    share("cr", "chromium", &["chromium"]),
    share("mo", "molybdenum", &["molybdenum"]),
    share("v", "vanadium", &["vanadium"]),
    share("ni", "nickel", &["nickel"]),
    share("cu", "copper", &["copper"]),
    share("b", "boron", &["boron"]),
    share("nb", "niobium", &["niobium", "cb"]),
    share("ti", "titanium", &["titanium"]),
];

/// A whole composition in one text.
pub(super) const COMPOSITION: Input = Input::name(
    "composition",
    Need::Optional,
    "the composition in one text, per cent: \"C 0.18 Mn 1.40 Si 0.30\"; an element of its own name goes before it",
)
.also(&["analysis", "chemistry", "certificate"]);

/// Elements every certificate carries and no carbon equivalent here uses.
pub(super) const OTHERS: [Input; 4] = [
    share("p", "phosphorus; enters no carbon equivalent", &["phosphorus"]),
    share("s", "sulphur; enters no carbon equivalent", &["sulphur", "sulfur"]),
    share("al", "aluminium; enters no carbon equivalent", &["aluminium", "aluminum"]),
    share("n", "nitrogen; enters no carbon equivalent", &["nitrogen"]),
];

/// The inputs of a family with those of the parent metal behind them.
macro_rules! with_metal {
    ($($input:expr),* $(,)?) => {{
        use crate::figure::welding::parent_metal::{COMPOSITION, ELEMENTS as E, FORM, OTHERS as O, STEEL};
        &[
            $($input,)* STEEL, FORM, COMPOSITION, E[0], E[1], E[2], E[3], E[4], E[5], E[6], E[7], E[8], E[9], E[10],
            O[0], O[1], O[2], O[3],
        ]
    }};
}
pub(super) use with_metal;

/// A parent metal as read.
#[derive(Debug, Clone)]
pub(super) struct Metal {
    /// Composition; what was not given is zero or the table's value.
    pub(super) composition: Composition,
    /// The table row, if one was named.
    pub(super) steel: Option<&'static Steel>,
    /// What was not entered but taken, in words.
    pub(super) assumed: Vec<String>,
}

/// The parent metal, or none if neither a steel nor an element is given.
/// Warns about what is assumed and about castings; about what is assumed only
/// where the carbon equivalent is not given as `index`.
///
/// # Errors
/// If the steel is unknown, the metal is iron, a share is out of bounds, or a
/// composition lacks carbon or manganese.
pub(super) fn read(given: &Given, index: &str, answer: &mut Answer) -> Result<Option<Metal>, Trouble> {
    let steel = match given.maybe_word("steel")? {
        None => None,
        Some(name) => Some(metal::find(name).ok_or_else(|| Trouble::Unknown {
            input: "steel".to_owned(),
            given: name.to_owned(),
            choices: metal::words(),
        })?),
    };
    let form = given.maybe_word("form")?;
    let iron = form.is_some_and(|f| f.ends_with("iron")) || steel.is_some_and(|s| s.form == Form::Iron);
    if iron {
        return Err(Trouble::impossible(
            "no carbon equivalent or preheat formula here holds for cast or nodular iron",
            "tell cast steel from iron by certificate or spark test; iron needs its own qualified procedure",
        ));
    }
    let mut composition = steel.map_or_else(Composition::default, |s| s.composition());
    let line = given.maybe_word("composition")?.map(certificate::read).transpose()?.unwrap_or_default();
    let mut missing = Vec::new();
    let mut entered = 0;
    for (element, input) in Element::ALL.into_iter().zip(ELEMENTS) {
        let own: Option<MassFraction> = given.maybe(input.name)?;
        match own.or(line.iter().find(|(known, _)| *known == element).map(|(_, share)| *share)) {
            Some(value) => {
                given::within(input.name, value, unit::PCT_MASS, 0.0..=100.0, SHARE)?;
                composition = composition.with(element, value);
                entered += 1;
            }
            None => missing.push(element),
        }
    }
    if entered == 0 && steel.is_none() {
        return Ok(None);
    }
    if steel.is_none() {
        let lacking: Vec<&str> = [(Element::C, "c"), (Element::Mn, "mn")]
            .into_iter()
            .filter(|(element, _)| missing.contains(element))
            .map(|(_, name)| name)
            .collect();
        if !lacking.is_empty() {
            return Err(Trouble::Missing(lacking));
        }
    }
    let carbon = composition.get(Element::C).si();
    if carbon > 2.0 {
        return Err(Trouble::impossible(
            format!("carbon of {carbon} % is cast iron, not steel"),
            "no carbon equivalent or preheat formula here holds for iron",
        ));
    }
    warn_free_machining(given, answer);
    note_others(given, answer);
    let mut unsaid = Answer::default();
    let told = if given.has(index) { &mut unsaid } else { &mut *answer };
    let assumed = assumptions(steel, &missing, composition, told);
    if form == Some("cast-steel") || steel.is_some_and(|s| s.form == Form::CastSteel) {
        answer.warn(
            "This is a casting: make sure by certificate or spark test that it is cast steel and not nodular iron, \
             and enter the residual elements of its certificate; residuals may add up to 1 %.",
        );
    }
    Ok(Some(Metal { composition, steel, assumed }))
}

/// Says once that what a certificate lists beside the alloy was read and enters
/// no carbon equivalent.
fn note_others(given: &Given, answer: &mut Answer) {
    let read: Vec<&str> = OTHERS
        .iter()
        .zip(["P", "S", "Al", "N"])
        .filter(|(input, _)| given.has(input.name) && given.get(input.name).is_some())
        .map(|(_, symbol)| symbol)
        .collect();
    if !read.is_empty() {
        answer.note(format!("No carbon equivalent here counts {}: they change no figure.", read.join(", ")));
    }
}

/// Sulphur or phosphorus of a free-machining steel makes welds crack hot, which
/// no preheat helps against.
fn warn_free_machining(given: &Given, answer: &mut Answer) {
    let high = |name: &str| {
        given.iter().any(|(known, value)| known == name && value.quantity().is_some_and(|q| q.si() > 0.05))
    };
    if high("s") || high("p") {
        answer.warn(
            "Sulphur or phosphorus is above 0.05 %, as in free-machining steel: such metal cracks hot under the weld, and \
             preheat does not help. Choose another steel, or qualify the procedure by test.",
        );
    }
}

/// What was taken and not entered; warns about it.
fn assumptions(
    steel: Option<&'static Steel>,
    missing: &[Element],
    composition: Composition,
    answer: &mut Answer,
) -> Vec<String> {
    // Niobium and titanium only bound the range, so zero misleads nobody.
    let counted = |e: &&Element| !matches!(e, Element::Nb | Element::Ti);
    let symbols = missing.iter().filter(counted).map(|e| e.symbol()).collect::<Vec<_>>().join(", ");
    match steel {
        Some(steel) if missing.len() == Element::ALL.len() => answer.warn(format!(
            "The composition is the {} of {}, not this heat's: use the mill certificate; between specified maximum \
             and certificate a carbon equivalent can differ by 0.1 %.",
            steel.basis.word(),
            steel.name
        )),
        Some(steel) if !symbols.is_empty() => answer.warn(format!(
            "{symbols} are taken from the {} of {}; enter the mill certificate's values.",
            steel.basis.word(),
            steel.name
        )),
        None if !symbols.is_empty() => answer.warn(format!(
            "{symbols} are not given and taken as 0 %, which makes the carbon equivalents look low; enter every \
             element of the certificate."
        )),
        _ => {}
    }
    missing
        .iter()
        .filter(counted)
        .map(|e| match steel {
            Some(steel) => {
                format!("{} {} % ({})", e.symbol(), composition.get(*e).si(), basis_word(steel.basis))
            }
            None => format!("{} 0 % (not given)", e.symbol()),
        })
        .collect()
}

const fn basis_word(basis: Basis) -> &'static str {
    match basis {
        Basis::Typical => "typical",
        Basis::MidRange => "mid-range",
        Basis::Minimum => "specified minimum",
        Basis::Maximum => "specified maximum",
    }
}

/// An index given under `name`, or computed from the metal by `formula`.
///
/// # Errors
/// If it is neither given nor computable, or not above zero. Warns where both
/// are there and differ.
pub(super) fn index(
    given: &Given,
    name: &'static str,
    metal: Option<&Metal>,
    formula: fn(&Composition) -> MassFraction,
    answer: &mut Answer,
) -> Result<MassFraction, Trouble> {
    match (given.maybe::<MassFraction>(name)?, metal) {
        (Some(value), metal) => {
            if let Some(computed) = metal.map(|m| formula(&m.composition))
                && look_up::apart(value, computed)
            {
                answer.warn(format!(
                    "{} of {} % was given and is used; the composition gives {:.3} %: check which of them is right.",
                    name.to_uppercase(),
                    value.si(),
                    computed.si()
                ));
            }
            given::positive(name, value)
        }
        (None, Some(metal)) => Ok(formula(&metal.composition)),
        (None, None) => Err(Trouble::Missing(vec![name])),
    }
}
