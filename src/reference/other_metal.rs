//! Names of metals that are no carbon or low-alloy steel, and of the fillers for them: nothing
//! of the welding figures holds for these.
//!
//! How designations begin, from memory: EN 573, EN 515, EN 10088, EN 1560, ISO 18273; AWS
//! A5.7, A5.9, A5.10, A5.14, A5.15 and A5.16. A name that tells nothing is taken for a steel
//! of one's own, and its numbers are read against its certificate.

/// A family of metals whose welds are another trade's.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum OtherMetal {
    /// Aluminium and its alloys.
    Aluminium,
    /// Steel with 10.5 % chromium and more (EN 10088-1).
    Stainless,
    /// Grey, ductile and malleable iron.
    CastIron,
    /// Copper, brass, bronze.
    Copper,
    /// Titanium.
    Titanium,
    /// Magnesium.
    Magnesium,
    /// Nickel and its alloys.
    Nickel,
    /// Steel with sulphur or lead to break its chips: it cracks as it cools.
    FreeCutting,
}

impl OtherMetal {
    /// As it is told: `an aluminium alloy`.
    #[must_use]
    pub const fn words(self) -> &'static str {
        match self {
            Self::Aluminium => "aluminium",
            Self::Stainless => "stainless steel",
            Self::CastIron => "cast iron",
            Self::Copper => "a copper alloy",
            Self::Titanium => "titanium",
            Self::Magnesium => "magnesium",
            Self::Nickel => "a nickel alloy",
            Self::FreeCutting => "free-cutting steel, which cracks as its weld cools",
        }
    }

    /// Whether an arc can join it to steel at all, by a procedure of its own. Aluminium,
    /// titanium and magnesium make brittle compounds with iron, with any filler.
    #[must_use]
    pub const fn joins_steel(self) -> bool {
        !matches!(self, Self::Aluminium | Self::Titanium | Self::Magnesium)
    }
}

/// Words of a name that tell the family, wherever they stand in it.
const WORDS: &[(&str, OtherMetal)] = &[
    ("alumin", OtherMetal::Aluminium),
    ("stainless", OtherMetal::Stainless),
    ("inox", OtherMetal::Stainless),
    ("duplex", OtherMetal::Stainless),
    ("cast iron", OtherMetal::CastIron),
    ("grey iron", OtherMetal::CastIron),
    ("gray iron", OtherMetal::CastIron),
    ("ductile iron", OtherMetal::CastIron),
    ("nodular", OtherMetal::CastIron),
    ("malleable", OtherMetal::CastIron),
    ("brass", OtherMetal::Copper),
    ("bronze", OtherMetal::Copper),
    ("copper", OtherMetal::Copper),
    ("titan", OtherMetal::Titanium),
    ("magnesium", OtherMetal::Magnesium),
    ("nickel", OtherMetal::Nickel),
];

/// How designations begin, squeezed to small letters and digits.
const STARTS: &[(&str, OtherMetal)] = &[
    ("enaw", OtherMetal::Aluminium),
    ("enac", OtherMetal::Aluminium),
    ("almg", OtherMetal::Aluminium),
    ("alsi", OtherMetal::Aluminium),
    ("alcu", OtherMetal::Aluminium),
    ("alzn", OtherMetal::Aluminium),
    ("almn", OtherMetal::Aluminium),
    ("sal", OtherMetal::Aluminium),
    ("enjs", OtherMetal::CastIron),
    ("enjl", OtherMetal::CastIron),
    ("engjs", OtherMetal::CastIron),
    ("engjl", OtherMetal::CastIron),
    ("engjm", OtherMetal::CastIron),
    ("a47", OtherMetal::CastIron),
    ("a48", OtherMetal::CastIron),
    ("a197", OtherMetal::CastIron),
    ("a220", OtherMetal::CastIron),
    ("a278", OtherMetal::CastIron),
    ("a536", OtherMetal::CastIron),
    ("gjl", OtherMetal::CastIron),
    ("gjm", OtherMetal::CastIron),
    ("gjs", OtherMetal::CastIron),
    ("gtw", OtherMetal::CastIron),
    ("gts", OtherMetal::CastIron),
    ("ggg", OtherMetal::CastIron),
    ("gg1", OtherMetal::CastIron),
    ("gg2", OtherMetal::CastIron),
    ("gg3", OtherMetal::CastIron),
    ("enife", OtherMetal::CastIron),
    ("enici", OtherMetal::CastIron),
    ("cuzn", OtherMetal::Copper),
    ("cusn", OtherMetal::Copper),
    ("cual", OtherMetal::Copper),
    ("cuni", OtherMetal::Copper),
    ("ercu", OtherMetal::Copper),
    ("rbcuzn", OtherMetal::Copper),
    ("ti6al", OtherMetal::Titanium),
    ("erti", OtherMetal::Titanium),
    ("az31", OtherMetal::Magnesium),
    ("az91", OtherMetal::Magnesium),
    ("eraz", OtherMetal::Magnesium),
    ("erni", OtherMetal::Nickel),
    ("enicr", OtherMetal::Nickel),
    ("x5cr", OtherMetal::Stainless),
    ("x2cr", OtherMetal::Stainless),
    ("x6cr", OtherMetal::Stainless),
];

/// Numbers of the Aluminum Association that shops meet, one to eight thousand.
const WROUGHT: &[&str] = &[
    "1050", "1100", "2014", "2017", "2024", "3003", "3004", "3103", "5005", "5052", "5083", "5086", "5154",
    "5182", "5251", "5356", "5454", "5456", "5754", "6005", "6060", "6061", "6063", "6082", "6106", "7005",
    "7020", "7075",
];

/// Tempers of wrought aluminium behind a number (EN 515).
const TEMPERS: &[char] = &['t', 'h', 'o', 'f'];

/// AISI numbers of stainless steels that shops meet.
const STAINLESS: &[&str] = &[
    "201", "301", "302", "303", "304", "308", "309", "310", "312", "316", "317", "321", "347", "409", "410",
    "416", "420", "430", "439", "441", "444", "2205",
];

/// The family a name of a metal or a filler is of; none where it may be carbon or low-alloy
/// steel.
#[must_use]
pub fn family(name: &str) -> Option<OtherMetal> {
    let lower = name.to_lowercase();
    if let Some((_, family)) = WORDS.iter().find(|(word, _)| lower.contains(word)) {
        return Some(*family);
    }
    let squeezed: String = lower.chars().filter(char::is_ascii_alphanumeric).collect();
    // The standard or the institute before the designation.
    let bare = ["aisi", "sae", "astm", "aa", "en", "din"]
        .iter()
        .filter_map(|before| squeezed.strip_prefix(before))
        .find(|rest| rest.starts_with(|c: char| c.is_ascii_digit()))
        .unwrap_or(&squeezed);
    if let Some(family) = patterned(&lower, bare) {
        return Some(family);
    }
    numbered(bare).or_else(|| {
        // A47 of ASTM is an iron, A470 and A487 are steels.
        let digit = |c: char| c.is_ascii_digit();
        let cut_short = |start: &str, rest: &str| {
            start.starts_with('a') && start.ends_with(digit) && rest.starts_with(digit)
        };
        let begins =
            |of: &str, start: &str| of.strip_prefix(start).is_some_and(|rest| !cut_short(start, rest));
        let start = |of: &str| STARTS.iter().find(|(start, _)| begins(of, start));
        // A number of EN 10088 has its point: 1.4301.
        let by_number = || lower.trim().starts_with("1.4").then_some(OtherMetal::Stainless);
        let designation = squeezed.strip_prefix("astm").unwrap_or(&squeezed);
        start(designation).map(|(_, family)| *family).or_else(by_number)
    })
}

/// Five digits of malleable iron (ASTM A47 and A220).
const MALLEABLE: &[&str] =
    &["32510", "35018", "40010", "45006", "45008", "50005", "60004", "70003", "80002", "90001"];

/// Casting alloys of aluminium (Aluminum Association), told from steels by their temper.
const CAST: &[&str] = &["a319", "319", "a356", "356", "a357", "357", "a380", "380", "a535", "535"];

/// The family of a designation whose shape tells it: `65-45-12` of ductile iron (ASTM A536),
/// `C36000` of copper (UNS), `17-4PH`, `A356-T6`, `12L14`.
fn patterned(lower: &str, bare: &str) -> Option<OtherMetal> {
    let parts: Vec<&str> = lower.trim().split('-').collect();
    let digits = |text: &str, most: usize| {
        (2..=most).contains(&text.len()) && text.chars().all(|c| c.is_ascii_digit())
    };
    if let [tensile, yielding, stretch] = parts.as_slice()
        && digits(tensile, 3)
        && digits(yielding, 3)
        && digits(stretch, 2)
    {
        return Some(OtherMetal::CastIron);
    }
    if MALLEABLE.contains(&bare) {
        return Some(OtherMetal::CastIron);
    }
    let copper = bare.strip_prefix('c').is_some_and(|n| digits(n, 5) && matches!(n.len(), 3 | 5));
    if copper {
        return Some(OtherMetal::Copper);
    }
    if let [chromium, nickel] = parts.as_slice()
        && digits(chromium, 2)
        && nickel.ends_with("ph")
    {
        return Some(OtherMetal::Stainless);
    }
    if let [alloy, temper] = parts.as_slice()
        && CAST.contains(alloy)
        && temper.starts_with(TEMPERS)
    {
        return Some(OtherMetal::Aluminium);
    }
    // Series 11 and 12 of SAE J403: sulphur; an L for lead stands between the numbers.
    let free = bare.len() >= 4
        && (bare.starts_with("11") || bare.starts_with("12"))
        && bare.get(2..).is_some_and(|rest| digits(rest.trim_start_matches('l'), 2));
    (free && bare != "1100").then_some(OtherMetal::FreeCutting)
}

/// The family of a designation by number, with or without `ER`, `E`, `R` before it and a
/// temper or a letter behind.
fn numbered(bare: &str) -> Option<OtherMetal> {
    let filler = ["er", "r", "e"].iter().find_map(|before| {
        bare.strip_prefix(before).filter(|rest| rest.starts_with(|c: char| c.is_ascii_digit()))
    });
    let of = filler.unwrap_or(bare);
    let digits: String = of.chars().take_while(char::is_ascii_digit).collect();
    let behind = of.get(digits.len()..).unwrap_or_default();
    // Aluminium filler is four digits behind ER or R (AWS A5.10); covered electrodes of steel are
    // four digits behind E alone (AWS A5.1).
    let aluminium_filler = (bare.starts_with("er") || bare.starts_with('r')) && filler.is_some();
    if digits.len() == 4 && aluminium_filler && behind.is_empty() {
        return Some(OtherMetal::Aluminium);
    }
    let tempered = behind.is_empty() || behind.starts_with(TEMPERS);
    if filler.is_none() && WROUGHT.contains(&&*digits) && tempered {
        return Some(OtherMetal::Aluminium);
    }
    // 304, 304L, 316Ti, ER308LSi, E309L-16: what stands behind is letters first.
    let letters = behind.is_empty() || behind.starts_with(['l', 'h', 's', 't', 'n', 'm', 'f', 'c']);
    (STAINLESS.contains(&&*digits) && letters).then_some(OtherMetal::Stainless)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Designations as their standards print them (from memory): EN 573-3, AWS A5.10 and
    /// A5.9, EN 10088-1, EN 1561, EN 1563.
    #[test]
    fn other_metals_are_known_by_their_names() {
        use OtherMetal::{Aluminium, CastIron, Copper, FreeCutting, Nickel, Stainless, Titanium};
        for (name, family_of) in [
            ("6061-T6", Aluminium),
            ("AA 6061", Aluminium),
            ("EN AW-6082 T6", Aluminium),
            ("5083-H116", Aluminium),
            ("5083-O", Aluminium),
            ("AlMg4.5Mn0.7", Aluminium),
            ("aluminium", Aluminium),
            ("Aluminum 7005", Aluminium),
            ("ER4043", Aluminium),
            ("ER5356", Aluminium),
            ("R4043", Aluminium),
            ("S Al 5183", Aluminium),
            ("304L", Stainless),
            ("AISI 316Ti", Stainless),
            ("1.4301", Stainless),
            ("stainless", Stainless),
            ("ER308LSi", Stainless),
            ("E309L-16", Stainless),
            ("GG25 cast iron", CastIron),
            ("EN-GJS-400-15", CastIron),
            ("ENiFe-CI", CastIron),
            ("65-45-12", CastIron),
            ("ASTM A47", CastIron),
            ("32510", CastIron),
            ("GTW-40", CastIron),
            ("GJL-250", CastIron),
            ("A356-T6", Aluminium),
            ("C360", Copper),
            ("C36000", Copper),
            ("17-4PH", Stainless),
            ("12L14", FreeCutting),
            ("SAE 1144", FreeCutting),
            ("CuZn37", Copper),
            ("ERCuSi-A", Copper),
            ("Ti-6Al-4V", Titanium),
            ("ERNiCr-3", Nickel),
        ] {
            assert_eq!(family(name), Some(family_of), "{name}");
        }
    }

    #[test]
    fn no_steel_or_filler_of_the_tables_is_another_metal() {
        let names = crate::reference::metal::words().into_iter().chain(crate::reference::electrode::words());
        let iron = |name: &str| {
            crate::reference::metal::find(name).is_some_and(|m| m.form == crate::reference::metal::Form::Iron)
        };
        for name in names.filter(|name| !iron(name)) {
            assert_eq!(family(&name), None, "{name}");
        }
    }

    /// Steels of one's own that are in no table (EN 10025-2, EN 10149-2, EN 10083, SAE J403).
    #[test]
    fn steels_of_ones_own_are_steels() {
        // Cast and forged steels whose numbers begin like those of irons (ASTM, from memory).
        for name in ["A487", "ASTM A470", "A471", "A2200"] {
            assert_eq!(family(name), None, "{name}");
        }
        for name in [
            "S420MC",
            "S700MC",
            "1045",
            "4140",
            "8620",
            "5160",
            "1.0577",
            "1.7225",
            "E355",
            "42CrMo4",
            "C45",
            "A514",
            "HY-80",
            "St52-3",
            "mill plate, heat 4711",
            "E7018",
            "ER80S-D2",
            "G 42 4 M21 3Si1",
            "E71T-1M",
            "16MnCr5",
            "API 5L X52",
            "DOM tube 1020",
        ] {
            assert_eq!(family(name), None, "{name}");
        }
    }
}
