//! What an odometer shows, as it is written among other words.

/// Id of the reading that says what it shows as the unit comes, with its plate.
pub const AS_FOUND: &str = "identity";
/// Id of the reading that says what it shows as the unit leaves.
pub const AS_LEFT: &str = "meter";
/// Id of the reading that says what it shows at work after hand-over.
pub const LATER: &str = "miles";
/// Every reading that says what it shows.
pub const READINGS: [&str; 3] = [AS_FOUND, AS_LEFT, LATER];

const UNITS: &[&str] = &["mi", "km"];
/// Digits between two spaces of a number.
const GROUP: usize = 3;

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

/// Kilometres of a mile (international mile, exact).
const KM_PER_MILE: f64 = 1.609_344;

impl Odometer {
    /// What it is in another unit, `mi` or `km`.
    #[must_use]
    pub fn in_unit(&self, unit: &str) -> f64 {
        match (self.unit, unit) {
            ("mi", "km") => self.value * KM_PER_MILE,
            ("km", "mi") => self.value / KM_PER_MILE,
            _ => self.value,
        }
    }
}

/// A number before `mi` or `km` in a text: `84 318 mi`. A comma and a space between words
/// ends what stands before it: `asset 9, 12 300 mi` is 12 300 mi. Behind the first group of
/// digits come groups of three.
#[must_use]
pub fn read(text: &str) -> Option<Odometer> {
    let clean = text.replace(", ", " ; ").replace([',', '\u{a0}', '\u{202f}'], " ");
    let words: Vec<&str> = clean.split_whitespace().collect();
    let at = words.iter().position(|w| UNITS.iter().any(|u| w.trim_end_matches(['.', ';', ')']) == *u))?;
    let unit = UNITS.iter().find(|u| words.get(at).is_some_and(|w| w.starts_with(**u)))?;
    let mut digits: Vec<&str> = Vec::new();
    for word in words.iter().take(at).rev() {
        let number = word.chars().all(|c| c.is_ascii_digit() || c == '.');
        let grouped = digits.last().is_none_or(|last| {
            let whole = last.split('.').next().unwrap_or_default();
            whole.len() == GROUP && word.len() <= GROUP && !word.contains('.')
        });
        if !number || !grouped {
            break;
        }
        digits.push(word);
    }
    digits.reverse();
    let text = digits.join(" ");
    Some(Odometer { value: digits.concat().parse().ok()?, text: format!("{text} {unit}"), unit })
}

#[cfg(test)]
mod tests {
    use super::read;

    #[test]
    fn the_number_before_the_unit_is_read_and_no_other() {
        let said = |text: &str| read(text).map(|read| read.text);
        for (text, shown) in [
            ("UV-7-114, 84 210 mi", "84 210 mi"),
            ("asset 9, 12 300 mi", "12 300 mi"),
            ("asset 9 12 300 mi", "12 300 mi"),
            ("unit 4711 300 km", "300 km"),
            ("84210 mi", "84210 mi"),
            ("12,300 mi", "12 300 mi"),
            ("plate 22, 5 mi", "5 mi"),
            ("5 12 mi", "12 mi"),
            ("12 345.6 km", "12 345.6 km"),
        ] {
            assert_eq!(said(text).as_deref(), Some(shown), "{text}");
        }
        assert_eq!(said("no odometer"), None);
    }
}
