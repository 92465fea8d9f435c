//! What an odometer shows, as it is written among other words.

/// Id of the reading that says what it shows as the unit leaves.
pub const AS_LEFT: &str = "meter";

const UNITS: &[&str] = &["mi", "km"];

/// A reading of the odometer.
#[derive(Debug, Clone, PartialEq)]
pub struct Odometer {
    /// As it was written: `84 318 mi`.
    pub text: String,
    /// In its own unit.
    pub value: f64,
    /// `mi` or `km`.
    pub unit: &'static str,
}

/// A number before `mi` or `km` in a text: `84 318 mi`.
#[must_use]
pub fn read(text: &str) -> Option<Odometer> {
    let clean = text.replace([',', '\u{a0}', '\u{202f}'], " ");
    let words: Vec<&str> = clean.split_whitespace().collect();
    let at = words.iter().position(|w| UNITS.iter().any(|u| w.trim_end_matches(['.', ';', ')']) == *u))?;
    let unit = UNITS.iter().find(|u| words.get(at).is_some_and(|w| w.starts_with(**u)))?;
    let mut digits: Vec<&str> = words
        .iter()
        .take(at)
        .rev()
        .take_while(|w| w.chars().all(|c| c.is_ascii_digit() || c == '.'))
        .copied()
        .collect();
    digits.reverse();
    let text = digits.join(" ");
    Some(Odometer { value: digits.concat().parse().ok()?, text: format!("{text} {unit}"), unit })
}
