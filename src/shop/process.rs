//! Which welding processes count as one for a qualification, and the filler
//! groups of the standards.

use crate::reference::{electrode, metal, process};
use crate::source::Source;

/// Filler groups of the US codes.
pub const F_NUMBERS: Source =
    Source::standard("AWS D1.1 table 4.13 (2020: 6.13); ASME IX QW-432", "filler groups F-1 to F-6")
        .from_memory();
/// Filler groups of ISO 9606-1.
pub const FM_GROUPS: Source =
    Source::standard("ISO 9606-1:2012", "tables 3 and 4, filler groups FM1 to FM3").from_memory();
/// Short-circuit transfer counted apart.
pub const SHORT_CIRCUIT: Source = Source::standard(
    "AWS D1.1; ASME IX QW-409.2",
    "short-circuit transfer is qualified on its own and never prequalified",
);

/// A process as qualifications count it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Counted {
    /// US family.
    pub us: &'static str,
    /// ISO 4063 number, metal-cored counted with solid wire.
    pub iso: &'static str,
}

/// How a process name counts; none if the name is unknown.
#[must_use]
pub fn counted(name: &str) -> Option<Counted> {
    let number = process::find(name)?.number;
    let (us, iso) = match number {
        "111" => ("SMAW", "111"),
        "114" => ("FCAW-S", "114"),
        "121" => ("SAW", "121"),
        "131" => ("GMAW", "131"),
        "135" | "138" => ("GMAW", "135"),
        "136" => ("FCAW-G", "136"),
        "137" => ("FCAW-G", "137"),
        "139" => ("GMAW", "131"),
        "141" => ("GTAW", "141"),
        "15" => ("PAW", "15"),
        other => (other, other),
    };
    Some(Counted { us, iso })
}

/// Whether a process name itself means short-circuit transfer.
#[must_use]
pub fn named_short_circuit(name: &str) -> bool {
    matches!(metal::squeezed(name).as_str(), "gmaws" | "gmawshortarc" | "shortarc" | "dip")
}

/// F-number of a filler classification, 1 to 6; none if it is unknown.
///
/// Source: [`F_NUMBERS`].
#[must_use]
pub fn f_number(classification: &str) -> Option<u8> {
    let filler = electrode::find(classification)?;
    if filler.electrode.process != "SMAW" {
        return Some(6);
    }
    let digits: String = filler.electrode.name.chars().filter(char::is_ascii_digit).collect();
    let usability = filler.electrode.name.split('-').next().unwrap_or(&digits);
    Some(match usability.get(usability.len().saturating_sub(2)..)? {
        "20" | "22" | "24" | "27" | "28" => 1,
        "12" | "13" | "14" | "19" => 2,
        "10" | "11" => 3,
        _ => 4,
    })
}

/// ISO 9606-1 filler group of a classification, 1 to 3; none if it is unknown.
///
/// Source: [`FM_GROUPS`].
#[must_use]
pub fn fm_group(classification: &str) -> Option<u8> {
    use crate::quantity::{Dimensioned, unit};
    let filler = electrode::find(classification)?;
    Some(if filler.electrode.name.contains("-B") {
        3
    } else if filler.electrode.fexx().to(unit::KSI) > 70.5 {
        2
    } else {
        1
    })
}

/// A filler group as written in a book: `F4`, `F-No. 6`, `FM1`.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum FillerGroup {
    /// US F-number.
    F(u8),
    /// ISO 9606-1 group.
    Fm(u8),
}

impl FillerGroup {
    /// The group a text names.
    #[must_use]
    pub fn of(text: &str) -> Option<Self> {
        let plain = metal::squeezed(text).replace("fno", "f").replace("fnumber", "f");
        if let Some(number) = plain.strip_prefix("fm") {
            return number.parse().ok().filter(|n| (1..=6).contains(n)).map(FillerGroup::Fm);
        }
        plain
            .strip_prefix('f')
            .and_then(|n| n.parse().ok())
            .filter(|n| (1..=6).contains(n))
            .map(FillerGroup::F)
    }

    /// Whether a test with this group covers a filler of another.
    ///
    /// Source: AWS D1.1 table 4.13 and ASME IX QW-433: F-4 covers F-1 to F-4,
    /// each lower group those below it, F-6 only itself; ISO 9606-1:2012 table
    /// 4: FM1 and FM2 cover each other, FM3 covers FM1 to FM3. From memory.
    #[must_use]
    pub fn covers(self, other: FillerGroup) -> bool {
        match (self, other) {
            (FillerGroup::F(6), FillerGroup::F(n)) => n == 6,
            (FillerGroup::F(tested), FillerGroup::F(n)) => n <= tested && n != 6,
            (FillerGroup::Fm(tested @ 1..=2), FillerGroup::Fm(n)) => n <= 2 && tested <= 2,
            (FillerGroup::Fm(tested), FillerGroup::Fm(n)) => n <= tested,
            _ => false,
        }
    }

    /// As written.
    #[must_use]
    pub fn title(self) -> String {
        match self {
            FillerGroup::F(n) => format!("F-{n}"),
            FillerGroup::Fm(n) => format!("FM{n}"),
        }
    }
}
