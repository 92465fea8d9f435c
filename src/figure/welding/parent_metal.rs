//! Reads the parent metal of a job: a named steel, a composition, or both.

use super::certificate::Analysis;
use super::look_up::{self, Steel};
use crate::figure::prelude::*;
use crate::reference::metal::{self, Basis, Composition, Element, Form};

const SHARE: Range = within(0.0, 100.0, unit::PCT_MASS, Source::definition("a share of the mass"));

words! {
    /// How the metal was made.
    pub Made {
        Wrought = "wrought",
        CastSteel = "cast-steel" | "steel-casting",
        /// Iron, for which no carbon equivalent holds:
        Iron = "nodular-iron" | "ductile-iron" | "gray-iron" | "cast-iron",
    }
}

family! {
    /// Parent metal.
    reads Parent {
        optional steel: Steel, "steel in the table (A36, 4130, S355J2 …), instead of or under a composition", "grade",
            "material", "metal", "base_metal";
        fallback form: Made = "wrought, or as the steel table says", "how the metal was made";
        optional composition: Analysis,
            "the composition in one text, per cent: \"C 0.18 Mn 1.40 Si 0.30\"; an element of its own name goes before it",
            "analysis", "chemistry", "certificate";
        optional c: MassFraction in SHARE, "carbon", "carbon";
        optional mn: MassFraction in SHARE, "manganese", "manganese";
        optional si: MassFraction in SHARE, "silicon", "silicon";
        optional cr: MassFraction in SHARE, "chromium", "chromium";
        optional mo: MassFraction in SHARE, "molybdenum", "molybdenum";
        optional v: MassFraction in SHARE, "vanadium", "vanadium";
        optional ni: MassFraction in SHARE, "nickel", "nickel";
        optional cu: MassFraction in SHARE, "copper", "copper";
        optional b: MassFraction in SHARE, "boron", "boron";
        optional nb: MassFraction in SHARE, "niobium", "niobium", "cb";
        optional ti: MassFraction in SHARE, "titanium", "titanium";
        optional p: MassFraction in SHARE, "phosphorus; enters no carbon equivalent", "phosphorus";
        optional s: MassFraction in SHARE, "sulphur; enters no carbon equivalent", "sulphur", "sulfur";
        optional al: MassFraction in SHARE, "aluminium; enters no carbon equivalent", "aluminium", "aluminum";
        optional n: MassFraction in SHARE, "nitrogen; enters no carbon equivalent", "nitrogen";
    }
}

/// A parent metal as read.
#[derive(Debug, Clone)]
pub(super) struct Metal {
    /// Composition; what was not given is zero or the table's value.
    pub(super) composition: Composition,
    /// The table row, if one was named.
    pub(super) steel: Option<&'static metal::Steel>,
    /// What was not entered but taken, in words.
    pub(super) assumed: Vec<String>,
}

impl Parent {
    /// Whether a steel or an element was given, without looking at it.
    pub(super) fn given(&self) -> bool {
        self.steel.given() || self.analysed()
    }

    /// Whether a composition was given, in one text or by element.
    pub(super) fn analysed(&self) -> bool {
        self.composition.given() || self.elements().iter().any(|(_, share)| share.given())
    }

    fn elements(&self) -> [(Element, &Read<Option<MassFraction>>); 11] {
        use Element::{B, C, Cr, Cu, Mn, Mo, Nb, Ni, Si, Ti, V};
        [
            (C, &self.c),
            (Mn, &self.mn),
            (Si, &self.si),
            (Cr, &self.cr),
            (Mo, &self.mo),
            (V, &self.v),
            (Ni, &self.ni),
            (Cu, &self.cu),
            (B, &self.b),
            (Nb, &self.nb),
            (Ti, &self.ti),
        ]
    }

    /// The parent metal, or none if neither a steel nor an element is given.
    /// Warns about castings, and about what is assumed where the carbon
    /// equivalent rests on it.
    pub(super) fn read(&self, rests_on_it: bool, said: &mut Said) -> Result<Option<Metal>> {
        let steel = self.steel.as_ref().map(|named| **named);
        (*self.form == Some(Made::Iron) || steel.is_some_and(|s| s.form == Form::Iron)).refuse(
            "no carbon equivalent or preheat formula here holds for cast or nodular iron",
            "tell cast steel from iron by certificate or spark test; iron needs its own qualified procedure",
        )?;
        let mut composition = steel.map_or_else(Composition::default, metal::Steel::composition);
        let line = self.composition.as_ref().map(|named| (**named).clone()).unwrap_or_default();
        let mut missing = Vec::new();
        for (element, share) in self.elements() {
            match share.or(line.iter().find(|(known, _)| *known == element).map(|(_, share)| *share)) {
                Some(share) => composition = composition.with(element, share),
                None => missing.push(element),
            }
        }
        if missing.len() == Element::ALL.len() && steel.is_none() {
            return Ok(None);
        }
        let unknown = |element, name| (steel.is_none() && missing.contains(&element)).then_some(name);
        lacking([unknown(Element::C, "c"), unknown(Element::Mn, "mn")])?;
        let carbon = composition.get(Element::C).si();
        if carbon > 2.0 {
            return Err(Trouble::impossible(
                format!("carbon of {carbon} % is cast iron, not steel"),
                "no carbon equivalent or preheat formula here holds for iron",
            ));
        }
        self.others(said);
        let mut unsaid = Said::default();
        let told = if rests_on_it { &mut *said } else { &mut unsaid };
        let assumed = assumptions(steel, &missing, composition, told);
        if *self.form == Some(Made::CastSteel) || steel.is_some_and(|s| s.form == Form::CastSteel) {
            said.warn(
                "This is a casting: make sure by certificate or spark test that it is cast steel and not nodular iron, \
                 and enter the residual elements of its certificate; residuals may add up to 1 %.",
            );
        }
        Ok(Some(Metal { composition, steel, assumed }))
    }

    /// What a certificate lists beside the alloy: it enters no carbon
    /// equivalent, but sulphur or phosphorus of a free-machining steel makes
    /// welds crack hot, which no preheat helps against.
    fn others(&self, said: &mut Said) {
        if [*self.s, *self.p].into_iter().flatten().any(|share| share.si() > 0.05) {
            said.warn(
                "Sulphur or phosphorus is above 0.05 %, as in free-machining steel: such metal cracks hot under the \
                 weld, and preheat does not help. Choose another steel, or qualify the procedure by test.",
            );
        }
        let others = [("P", *self.p), ("S", *self.s), ("Al", *self.al), ("N", *self.n)];
        let read: Vec<&str> =
            others.iter().filter(|(_, share)| share.is_some()).map(|(symbol, _)| *symbol).collect();
        if !read.is_empty() {
            said.note(format!(
                "No carbon equivalent here counts {}: they change no figure.",
                read.join(", ")
            ));
        }
    }
}

/// What was taken and not entered; warns about it.
fn assumptions(
    steel: Option<&'static metal::Steel>,
    missing: &[Element],
    composition: Composition,
    said: &mut Said,
) -> Vec<String> {
    // Niobium and titanium only bound the range, so zero misleads nobody.
    let counted = |e: &&Element| !matches!(e, Element::Nb | Element::Ti);
    let symbols = missing.iter().filter(counted).map(|e| e.symbol()).collect::<Vec<_>>().join(", ");
    match steel {
        Some(steel) if missing.len() == Element::ALL.len() => said.warn(format!(
            "The composition is the {} of {}, not this heat's: use the mill certificate; between specified maximum \
             and certificate a carbon equivalent can differ by 0.1 %.",
            steel.basis.word(),
            steel.name
        )),
        Some(steel) if !symbols.is_empty() => said.warn(format!(
            "{symbols} are taken from the {} of {}; enter the mill certificate's values.",
            steel.basis.word(),
            steel.name
        )),
        None if !symbols.is_empty() => said.warn(format!(
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

/// A carbon equivalent as given under its name, or computed from the metal.
pub(super) fn index(
    given: &Read<Option<MassFraction>>,
    metal: Option<&Metal>,
    formula: fn(&Composition) -> MassFraction,
    said: &mut Said,
) -> Result<MassFraction> {
    let computed = metal.map(|m| formula(&m.composition));
    if let (Some(value), Some(computed)) = (**given, computed)
        && look_up::apart(value, computed)
    {
        said.warn(format!(
            "{} of {} % was given and is used; the composition gives {:.3} %: check which of them is right.",
            given.name().to_uppercase(),
            value.si(),
            computed.si()
        ));
    }
    given.or(computed).ok_or_else(|| Trouble::Missing(vec![given.name()]))
}
