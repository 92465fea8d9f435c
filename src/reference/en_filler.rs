//! Fillers by the designations of the EN ISO standards: process, strength,
//! covering and the hydrogen class at the end.
//!
//! Read are ISO 2560-A (E 42 4 B 32 H5), ISO 17632-A (T 46 4 P M 1 H5),
//! ISO 14341-A (G 42 4 M21 3Si1), ISO 636-A (W 42 5 3Si1), ISO 14171-A
//! (S 38 4 AB S2), and the bare wires G3Si1, W3Si1 and S2.

use super::electrode::{Electrode, Filler};
use crate::quantity::{Dimensioned, Hydrogen, unit};

/// Strength symbols and the least tensile strength, N/mm2 (ISO 2560-A table 1;
/// the same in the other standards; from memory).
const STRENGTHS: [(&str, f64); 5] =
    [("35", 440.0), ("38", 470.0), ("42", 500.0), ("46", 530.0), ("50", 560.0)];

/// One row for each strength symbol.
macro_rules! rows {
    ($prefix:literal, $suffix:literal, $standard:literal, $process:literal, $low:literal, $hydrogen:literal) => {
        [
            of(concat!($prefix, " 35", $suffix), $standard, $process, 440.0, $low, $hydrogen),
            of(concat!($prefix, " 38", $suffix), $standard, $process, 470.0, $low, $hydrogen),
            of(concat!($prefix, " 42", $suffix), $standard, $process, 500.0, $low, $hydrogen),
            of(concat!($prefix, " 46", $suffix), $standard, $process, 530.0, $low, $hydrogen),
            of(concat!($prefix, " 50", $suffix), $standard, $process, 560.0, $low, $hydrogen),
        ]
    };
}

const fn of(
    name: &'static str,
    standard: &'static str,
    process: &'static str,
    tensile: f64,
    low_hydrogen: bool,
    hydrogen: f64,
) -> Electrode {
    Electrode::new(name, standard, process, (tensile, unit::MPA), low_hydrogen, hydrogen)
}

// Hydrogen without a class at the end is that of the AWS rows of the same kind.
static BASIC: [Electrode; 5] = rows!("E", " B", "ISO 2560-A", "SMAW", true, 16.0);
static OTHER: [Electrode; 5] = rows!("E", " (not basic)", "ISO 2560-A", "SMAW", false, 30.0);
static CORED: [Electrode; 5] = rows!("T", "", "ISO 17632-A", "FCAW-G", true, 16.0);
static WIRE: [Electrode; 5] = rows!("G", "", "ISO 14341-A", "GMAW", true, 5.0);
static ROD: [Electrode; 5] = rows!("W", "", "ISO 636-A", "GTAW", true, 5.0);
static FLUX: [Electrode; 5] = rows!("S", "", "ISO 14171-A", "SAW", true, 16.0);

/// The filler of an EN ISO designation, or none if it is not one.
#[must_use]
pub fn find(designation: &str) -> Option<Filler> {
    let text: String = designation.to_uppercase().chars().filter(|c| c.is_ascii_alphanumeric()).collect();
    let text = [
        "ENISO2560A",
        "ENISO17632A",
        "ENISO14341A",
        "ENISO636A",
        "ENISO14171A",
        "ISO2560A",
        "ISO17632A",
        "ISO14341A",
        "ISO636A",
        "ISO14171A",
    ]
    .iter()
    .find_map(|standard| text.strip_prefix(standard))
    .unwrap_or(&text);
    let (text, class) = [("H10", 10.0), ("H15", 15.0), ("H5", 5.0)]
        .iter()
        .find_map(|(ending, limit)| text.strip_suffix(ending).map(|bare| (bare, Some(*limit))))
        .unwrap_or((text, None));
    let mut letters = text.chars();
    let kind = letters.next()?;
    let rest = letters.as_str();
    // A bare wire names its analysis only; the usual deposit has the strength 42.
    let bare = match kind {
        'G' | 'W' => ["2SI", "3SI1", "4SI1", "2TI", "3NI1"].contains(&rest),
        'S' => ["1", "2", "3", "2SI", "3SI", "2MO", "3MO", "2NI1"].contains(&rest),
        _ => false,
    };
    let strength =
        if bare { 2 } else { STRENGTHS.iter().position(|(symbol, _)| rest.starts_with(symbol))? };
    let tail = rest.get(2..).unwrap_or_default();
    // After the strength stands the impact symbol: A, Z or a digit.
    if !bare && !tail.starts_with(|c: char| c == 'A' || c == 'Z' || c.is_ascii_digit()) {
        return None;
    }
    let rows = match kind {
        // Four digits without a covering, E5018, are a designation of another standard,
        // with another strength.
        'E' if covering(tail).is_none() => return None,
        'E' if covering(tail) == Some('B') => &BASIC,
        'E' => &OTHER,
        'T' => &CORED,
        'G' => &WIRE,
        'W' => &ROD,
        // S355J2 is a steel: behind strength and impact symbol stands the kind of the flux.
        'S' if !bare && flux(tail).is_none() => return None,
        'S' => &FLUX,
        _ => return None,
    };
    let electrode = rows.get(strength)?;
    let hydrogen = class.unwrap_or(electrode.usual_hydrogen());
    Some(Filler { electrode, hydrogen: Hydrogen::from_si(hydrogen), assumed: class.is_none() })
}

/// Kind of the flux behind the impact symbol (ISO 14174 table 1; from memory).
fn flux(tail: &str) -> Option<&'static str> {
    const KINDS: [&str; 14] =
        ["MS", "CS", "CG", "CB", "CI", "IB", "ZS", "RS", "AR", "BA", "AB", "AS", "AF", "FB"];
    let behind = tail.get(1..)?;
    KINDS.into_iter().find(|kind| behind.starts_with(kind))
}

/// Covering of a stick electrode: the letters behind the impact symbol and an
/// alloy symbol such as Mo or 1Ni. Only a plain B is basic; RB is rutile-basic.
fn covering(tail: &str) -> Option<char> {
    let letters: String = tail.chars().skip(1).collect();
    let end = letters.rfind(|c: char| c.is_ascii_alphabetic())?;
    let word: String = letters.get(..=end)?.chars().rev().take_while(char::is_ascii_alphabetic).collect();
    let word: String = word.chars().rev().collect();
    // Alloy and covering stand together once the spaces are gone: MOB, NIB.
    let word =
        ["MNMO", "MNNI", "MO", "NI"].iter().find_map(|alloy| word.strip_prefix(alloy)).unwrap_or(&word);
    if word == "B" { Some('B') } else { word.chars().next() }
}
