//! Steels of the shop: composition, strength, form, and whether a US
//! structural code lists them for preheat by category.
//!
//! Specification limits and typical mill analyses, from memory: what a certificate says
//! goes before them.

use crate::quantity::{Dimensioned, MassFraction, Stress, Unit, unit};

/// An alloying element that one of the carbon equivalents uses or limits.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
#[repr(usize)]
#[expect(missing_docs, reason = "chemical symbols")]
pub enum Element {
    C,
    Mn,
    Si,
    Cr,
    Mo,
    V,
    Ni,
    Cu,
    B,
    Nb,
    Ti,
}

impl Element {
    /// Every element, in the order of the composition tables.
    pub const ALL: [Element; 11] = [
        Element::C,
        Element::Mn,
        Element::Si,
        Element::Cr,
        Element::Mo,
        Element::V,
        Element::Ni,
        Element::Cu,
        Element::B,
        Element::Nb,
        Element::Ti,
    ];

    /// Chemical symbol.
    #[must_use]
    pub const fn symbol(self) -> &'static str {
        ["C", "Mn", "Si", "Cr", "Mo", "V", "Ni", "Cu", "B", "Nb", "Ti"][self as usize]
    }
}

/// A composition in per cent by mass; an element not set is zero.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Composition {
    shares: [f64; 11],
}

impl Composition {
    /// Share of an element.
    #[must_use]
    pub fn get(&self, element: Element) -> MassFraction {
        MassFraction::from_si(self.shares[element as usize])
    }

    /// The same with one element set.
    #[must_use]
    pub fn with(mut self, element: Element, share: MassFraction) -> Self {
        self.shares[element as usize] = share.si();
        self
    }
}

/// How a metal was made.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Form {
    /// Rolled plate, shape or bar.
    Rolled,
    /// Drawn or welded tube.
    Tube,
    /// Hammered or pressed to shape.
    Forging,
    /// Cast; weldable by its composition.
    CastSteel,
    /// Nodular (ductile) or gray iron: no carbon equivalent for preheat holds.
    Iron,
}

/// What a tabulated composition stands for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Basis {
    /// A plausible mill analysis.
    Typical,
    /// Middle of the specified range.
    MidRange,
    /// Lower end of the specified range.
    Minimum,
    /// Specified maximum.
    Maximum,
}

impl Basis {
    /// As a warning says it.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Basis::Typical => "typical analysis",
            Basis::MidRange => "middle of the specified range",
            Basis::Minimum => "lower end of the specified range",
            Basis::Maximum => "specified maximum",
        }
    }
}

/// Group of a steel in AWS D1.1's prequalified preheat table.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Listing {
    /// Group I: any electrode; categories A and B.
    GroupOne,
    /// Group II: low-hydrogen only; category B.
    GroupTwo,
    /// Higher strength; category C.
    CategoryC,
    /// Selected quenched and self-tempered grades with H8 or lower; category D.
    CategoryD,
}

/// A metal in the table.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Steel {
    /// Designation a certificate states.
    pub name: &'static str,
    /// Other names it is found by.
    pub aliases: &'static [&'static str],
    /// How it was made.
    pub form: Form,
    /// What its composition stands for.
    pub basis: Basis,
    /// Its place in AWS D1.1's prequalified list, if it has one.
    pub listing: Option<Listing>,
    shares: [f64; 11],
    maximum: Option<[f64; 9]>,
    strength: Option<Strength>,
}

/// Specified minimum strengths in the unit of the specification.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Strength {
    yielding: f64,
    tensile: f64,
    unit: Unit,
}

impl Steel {
    /// Shares by mass in per cent; `basis` says what they stand for.
    #[must_use]
    pub fn composition(&self) -> Composition {
        Composition { shares: self.shares }
    }

    /// The specified maximum of every element, where the specification sets one or the
    /// range it gives has an end; residuals a specification does not limit are not in it.
    #[must_use]
    pub fn maximum(&self) -> Option<Composition> {
        match (self.basis, self.maximum) {
            (Basis::Maximum, _) => Some(self.composition()),
            (_, maximum) => maximum.map(|shares| Composition { shares: all(shares) }),
        }
    }

    /// Specified minimum yield strength, where the specification sets one.
    #[must_use]
    pub fn yield_strength(&self) -> Option<Stress> {
        self.strength.map(|s| Stress::of(s.yielding, s.unit))
    }

    /// Specified minimum tensile strength, where the specification sets one.
    #[must_use]
    pub fn tensile_strength(&self) -> Option<Stress> {
        self.strength.map(|s| Stress::of(s.tensile, s.unit))
    }

    const fn listed(mut self, listing: Listing) -> Self {
        self.listing = Some(listing);
        self
    }

    /// Specified maxima in the order of `steel`.
    const fn up_to(mut self, shares: [f64; 9]) -> Self {
        self.maximum = Some(shares);
        self
    }

    const fn strong(mut self, yielding: f64, tensile: f64) -> Self {
        self.strength = Some(Strength { yielding, tensile, unit: unit::KSI });
        self
    }

    const fn strong_mpa(mut self, yielding: f64, tensile: f64) -> Self {
        self.strength = Some(Strength { yielding, tensile, unit: unit::MPA });
        self
    }
}

/// `shares` in the order C, Mn, Si, Cr, Mo, V, Ni, Cu, B (per cent).
const fn steel(
    name: &'static str,
    aliases: &'static [&'static str],
    form: Form,
    basis: Basis,
    shares: [f64; 9],
) -> Steel {
    Steel { name, aliases, form, basis, listing: None, shares: all(shares), maximum: None, strength: None }
}

/// Nine shares with niobium and titanium, which no row here has.
const fn all(s: [f64; 9]) -> [f64; 11] {
    [s[0], s[1], s[2], s[3], s[4], s[5], s[6], s[7], s[8], 0.0, 0.0]
}

/// Every metal known here. Strengths are the specified minimum yield and
/// tensile, in the unit of the specification. Maxima (`up_to`) are those of ASTM A36,
/// A572 grade 50 and A992, of SAE J403 and J404 for numbered steels, of EN 10025-2
/// (ladle) and EN 10025-6 (product), of ASTM A216: from memory.
#[rustfmt::skip]
pub const STEELS: &[Steel] = &[
    steel("A36", &["A36 typ", "ASTM A36", "A709-36", "A709 Gr 36", "A709 grade 36"], Form::Rolled, Basis::Typical,
        [0.18, 0.80, 0.20, 0.10, 0.02, 0.0, 0.10, 0.25, 0.0]).listed(Listing::GroupOne).strong(36.0, 58.0).up_to([0.26, 1.20, 0.40, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0]),
    steel("A572-50", &["A572", "A572 Gr 50", "A572-50 typ", "A572 grade 50", "A709-50", "A709 Gr 50", "A709 grade 50"], Form::Rolled, Basis::Typical,
        [0.16, 1.25, 0.25, 0.05, 0.01, 0.04, 0.05, 0.20, 0.0]).listed(Listing::GroupTwo).strong(50.0, 65.0).up_to([0.23, 1.35, 0.40, 0.0, 0.0, 0.15, 0.0, 0.0, 0.0]),
    steel("A992", &["A992 example"], Form::Rolled, Basis::Typical,
        [0.08, 1.00, 0.0, 0.05, 0.02, 0.03, 0.05, 0.20, 0.0]).listed(Listing::GroupTwo).strong(50.0, 65.0).up_to([0.23, 1.60, 0.40, 0.35, 0.15, 0.15, 0.45, 0.60, 0.0]),
    steel("A572-60", &["A572 Gr 60", "A572 grade 60"], Form::Rolled, Basis::Maximum,
        [0.26, 1.35, 0.40, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0]).listed(Listing::CategoryC).strong(60.0, 75.0),
    steel("A572-65", &["A572 Gr 65", "A572 grade 65"], Form::Rolled, Basis::Maximum,
        [0.26, 1.65, 0.40, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0]).listed(Listing::CategoryC).strong(65.0, 80.0),
    steel("A913-50", &["A913", "A913 Gr 50", "A913 grade 50"], Form::Rolled, Basis::Maximum,
        [0.12, 1.60, 0.40, 0.25, 0.07, 0.06, 0.25, 0.45, 0.0]).listed(Listing::CategoryD).strong(50.0, 65.0),
    steel("1020 DOM", &["1020", "DOM", "DOM 1020", "A513 1020"], Form::Tube, Basis::Typical,
        [0.20, 0.45, 0.20, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0]).strong(60.0, 70.0).up_to([0.23, 0.60, 0.35, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0]),
    steel("1026 DOM", &["1026", "DOM 1026", "A513", "A513 1026", "A519 1026"], Form::Tube, Basis::MidRange,
        [0.25, 0.75, 0.20, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0]).strong(65.0, 75.0).up_to([0.28, 0.90, 0.35, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0]),
    steel("4130", &["4130 mid", "4130 mid-range", "chromoly", "A513 4130", "A519 4130"], Form::Tube, Basis::MidRange,
        [0.305, 0.50, 0.225, 0.95, 0.20, 0.0, 0.0, 0.0, 0.0]).strong(75.0, 95.0).up_to([0.33, 0.60, 0.35, 1.10, 0.25, 0.0, 0.0, 0.0, 0.0]),
    steel("4130 low", &["4130 all low", "4130 min"], Form::Tube, Basis::Minimum,
        [0.28, 0.40, 0.15, 0.80, 0.15, 0.0, 0.0, 0.0, 0.0]).strong(75.0, 95.0).up_to([0.33, 0.60, 0.35, 1.10, 0.25, 0.0, 0.0, 0.0, 0.0]),
    steel("4130 high", &["4130 all high", "4130 max"], Form::Tube, Basis::Maximum,
        [0.33, 0.60, 0.35, 1.10, 0.25, 0.0, 0.0, 0.0, 0.0]).strong(75.0, 95.0),
    steel("S355J2", &["S355", "S355J2 typ", "S355JR", "S355J0", "S355K2"], Form::Rolled, Basis::Typical,
        [0.17, 1.45, 0.35, 0.05, 0.01, 0.005, 0.05, 0.05, 0.0]).strong_mpa(355.0, 470.0).up_to([0.20, 1.60, 0.55, 0.0, 0.0, 0.0, 0.0, 0.55, 0.0]),
    steel("S355 max", &["S355 ladle max", "S355J2 max"], Form::Rolled, Basis::Maximum,
        [0.20, 1.60, 0.55, 0.0, 0.0, 0.0, 0.0, 0.55, 0.0]).strong_mpa(355.0, 470.0),
    // EN 10025-2 ladle analysis up to 40 mm, greatest of JR, J0 and J2 (from memory).
    steel("S235", &["S235JR", "S235J0", "S235J2"], Form::Rolled, Basis::Maximum,
        [0.17, 1.40, 0.0, 0.0, 0.0, 0.0, 0.0, 0.55, 0.0]).strong_mpa(235.0, 360.0),
    steel("S275", &["S275JR", "S275J0", "S275J2"], Form::Rolled, Basis::Maximum,
        [0.21, 1.50, 0.0, 0.0, 0.0, 0.0, 0.0, 0.55, 0.0]).strong_mpa(275.0, 410.0),
    // EN 10210-1 and EN 10219-1 table A.1, hollow sections, the higher of the two; EN 10025-3
    // and -4 table 2; EN 10149-2 table 1; EN 10028-2 and -3, EN 10216-2 and EN 10305-1 table 2:
    // greatest of the grades named (from memory).
    steel("S235JRH", &["S235H"], Form::Tube, Basis::Maximum,
        [0.17, 1.40, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0]).strong_mpa(235.0, 360.0),
    steel("S275J0H", &["S275J2H", "S275H"], Form::Tube, Basis::Maximum,
        [0.20, 1.50, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0]).strong_mpa(275.0, 410.0),
    steel("S355J0H", &["S355J2H", "S355K2H", "S355H"], Form::Tube, Basis::Maximum,
        [0.22, 1.60, 0.55, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0]).strong_mpa(355.0, 470.0),
    steel("S355N", &["S355NL"], Form::Rolled, Basis::Maximum,
        [0.20, 1.65, 0.50, 0.30, 0.10, 0.12, 0.50, 0.55, 0.0]).strong_mpa(355.0, 470.0),
    steel("S355M", &["S355ML"], Form::Rolled, Basis::Maximum,
        [0.14, 1.60, 0.50, 0.30, 0.10, 0.10, 0.50, 0.55, 0.0]).strong_mpa(355.0, 470.0),
    steel("S355MC", &[], Form::Rolled, Basis::Maximum,
        [0.12, 1.50, 0.50, 0.0, 0.0, 0.20, 0.0, 0.0, 0.0]).strong_mpa(355.0, 430.0),
    steel("S420MC", &[], Form::Rolled, Basis::Maximum,
        [0.12, 1.60, 0.50, 0.0, 0.0, 0.20, 0.0, 0.0, 0.0]).strong_mpa(420.0, 480.0),
    steel("P235GH", &["P235"], Form::Tube, Basis::Maximum,
        [0.16, 1.20, 0.35, 0.30, 0.08, 0.02, 0.30, 0.30, 0.0]).strong_mpa(235.0, 360.0),
    steel("P265GH", &["P265"], Form::Rolled, Basis::Maximum,
        [0.20, 1.40, 0.40, 0.30, 0.08, 0.02, 0.30, 0.30, 0.0]).strong_mpa(265.0, 410.0),
    steel("P355N", &["P355NH", "P355NL1", "P355NL2"], Form::Rolled, Basis::Maximum,
        [0.18, 1.70, 0.50, 0.30, 0.08, 0.10, 0.50, 0.30, 0.0]).strong_mpa(355.0, 490.0),
    steel("E235", &[], Form::Tube, Basis::Maximum,
        [0.17, 1.20, 0.35, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0]).strong_mpa(235.0, 340.0),
    steel("E355", &[], Form::Tube, Basis::Maximum,
        [0.22, 1.60, 0.55, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0]).strong_mpa(355.0, 490.0),
    // EN ISO 683-2, heat-treatable: no strength without its treatment (from memory).
    steel("25CrMo4", &["1.7218"], Form::Rolled, Basis::Maximum,
        [0.29, 0.90, 0.40, 1.20, 0.30, 0.0, 0.0, 0.0, 0.0]),
    // ASTM limits of the heat analysis, residuals not counted (from memory).
    steel("A500-B", &["A500", "A500 Gr B", "A500 grade B"], Form::Tube, Basis::Maximum,
        [0.26, 1.35, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0]).listed(Listing::GroupOne).strong(42.0, 58.0),
    steel("A500-C", &["A500 Gr C", "A500 grade C"], Form::Tube, Basis::Maximum,
        [0.23, 1.35, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0]).strong(46.0, 62.0),
    steel("A53-B", &["A53", "A53 Gr B", "A53 grade B"], Form::Tube, Basis::Maximum,
        [0.30, 1.20, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0]).listed(Listing::GroupOne).strong(35.0, 60.0),
    steel("A106-B", &["A106", "A106 Gr B", "A106 grade B"], Form::Tube, Basis::Maximum,
        [0.30, 1.06, 0.10, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0]).listed(Listing::GroupOne).strong(35.0, 60.0),
    steel("A516-70", &["A516", "A516 Gr 70", "A516 grade 70"], Form::Rolled, Basis::Maximum,
        [0.31, 1.20, 0.40, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0]).listed(Listing::GroupTwo).strong(38.0, 70.0),
    // SAE limits, middle of the range; no strength is specified (from memory).
    steel("1018", &["SAE 1018", "AISI 1018", "CRS 1018"], Form::Rolled, Basis::MidRange,
        [0.175, 0.75, 0.20, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0]).up_to([0.20, 0.90, 0.35, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0]),
    steel("1045", &["SAE 1045", "AISI 1045", "C45"], Form::Rolled, Basis::MidRange,
        [0.465, 0.75, 0.225, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0]).up_to([0.50, 0.90, 0.35, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0]),
    steel("4140", &["SAE 4140", "AISI 4140", "42CrMo4"], Form::Rolled, Basis::MidRange,
        [0.405, 0.875, 0.225, 0.95, 0.20, 0.0, 0.0, 0.0, 0.0]).up_to([0.43, 1.00, 0.35, 1.10, 0.25, 0.0, 0.0, 0.0, 0.0]),
    steel("8630", &["SAE 8630", "AISI 8630"], Form::Forging, Basis::MidRange,
        [0.305, 0.80, 0.225, 0.50, 0.20, 0.0, 0.55, 0.0, 0.0]).up_to([0.33, 0.90, 0.35, 0.60, 0.25, 0.0, 0.70, 0.0, 0.0]),
    steel("8620", &["SAE 8620", "AISI 8620"], Form::Rolled, Basis::MidRange,
        [0.205, 0.80, 0.225, 0.50, 0.20, 0.0, 0.55, 0.0, 0.0]).up_to([0.23, 0.90, 0.35, 0.60, 0.25, 0.0, 0.70, 0.0, 0.0]),
    steel("S690QL", &["S690", "S690QL typ"], Form::Rolled, Basis::Typical,
        [0.16, 1.20, 0.30, 0.30, 0.25, 0.03, 0.20, 0.05, 0.002]).strong_mpa(690.0, 770.0).up_to([0.22, 1.80, 0.86, 1.60, 0.74, 0.14, 2.10, 0.55, 0.006]),
    steel("A216 WCB", &["WCB", "WCB typ", "A216 WCB typ", "cast steel"], Form::CastSteel, Basis::Typical,
        [0.24, 0.85, 0.40, 0.10, 0.03, 0.0, 0.10, 0.10, 0.0]).strong(36.0, 70.0).up_to([0.30, 1.00, 0.60, 0.50, 0.20, 0.02, 0.28, 0.0, 0.0]),
    steel("A216 WCB max", &["WCB max", "WCB max no residuals"], Form::CastSteel, Basis::Maximum,
        [0.30, 1.00, 0.60, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0]).strong(36.0, 70.0),
    steel("A216 WCB max residuals", &["WCB max residuals", "WCB max with residuals"], Form::CastSteel, Basis::Maximum,
        [0.30, 1.00, 0.60, 0.50, 0.20, 0.02, 0.28, 0.0, 0.0]).strong(36.0, 70.0),
    steel("A27 65-35", &["A27", "A27 65-35 max"], Form::CastSteel, Basis::Maximum,
        [0.30, 0.70, 0.80, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0]).strong(35.0, 65.0),
    steel("1040", &["1040 forging", "1040 mid", "1040 forging mid"], Form::Forging, Basis::MidRange,
        [0.405, 0.75, 0.225, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0]).up_to([0.44, 0.90, 0.35, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0]),
    steel("nodular iron", &["ductile iron", "A536", "A536 65-45-12", "SG iron"], Form::Iron, Basis::Typical,
        [3.6, 0.30, 2.5, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0]).strong(45.0, 65.0),
    steel("gray iron", &["grey iron", "cast iron", "A48"], Form::Iron, Basis::Typical,
        [3.3, 0.70, 2.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0]),
];

/// Bodies whose name stands before a designation and is no part of it.
const BODIES: &[&str] = &["astm", "asme", "aisi", "sae", "en10025"];

/// The metal of this name, without regard to case, spaces and hyphens, and with or
/// without the body that issued the designation before it: "AISI 4130", "ASTM A992".
#[must_use]
pub fn find(name: &str) -> Option<&'static Steel> {
    let wanted = squeezed(name);
    let called = |wanted: &str| {
        STEELS.iter().find(|s| squeezed(s.name) == wanted || s.aliases.iter().any(|a| squeezed(a) == wanted))
    };
    let bare = |wanted: &str| BODIES.iter().find_map(|body| called(wanted.strip_prefix(body)?));
    let either = |wanted: &str| called(wanted).or_else(|| bare(wanted));
    either(&wanted).or_else(|| either(&squeezed(as_delivered(name)?)))
}

/// A European designation without its condition of delivery, which changes strength and
/// toughness and not the analysis that is allowed: `S355J2+N`, `E355+SR`, `S355J2+Z25`
/// (EN 10027-1 and CR 10260, from memory). Quenched and tempered is another steel.
fn as_delivered(name: &str) -> Option<&str> {
    const CONDITIONS: [&str; 12] = ["N", "NT", "AR", "M", "U", "C", "CR", "LC", "SR", "Z15", "Z25", "Z35"];
    let mut parts = name.split('+');
    let bare = parts.next()?;
    let mut conditions = parts.map(|part| part.trim().to_uppercase()).peekable();
    conditions.peek()?;
    conditions.all(|part| CONDITIONS.contains(&part.as_str())).then_some(bare)
}

/// The words to offer when a metal is not found.
#[must_use]
pub fn words() -> Vec<String> {
    STEELS.iter().map(|s| s.name.to_owned()).collect()
}

/// A designation in lower case without spaces, hyphens and underscores, as
/// designations are compared.
#[must_use]
pub fn squeezed(name: &str) -> String {
    name.chars().filter(|c| c.is_alphanumeric()).flat_map(char::to_lowercase).collect()
}
