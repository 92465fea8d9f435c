//! What the name of a steel says of its carbon.
//!
//! Numbers of SAE J403 and J404, names of EN 10027-1 and EN ISO 683, and the tool steels a
//! shop meets: from memory.

/// Series of SAE numbers; the digits behind them are hundredths of a per cent of carbon.
const SERIES: &[&str] = &[
    "10", "11", "12", "13", "15", "23", "25", "31", "33", "34", "40", "41", "43", "44", "46", "47", "48",
    "50", "51", "52", "61", "71", "81", "86", "87", "88", "92", "93", "94", "98",
];

/// The least carbon of a heat with this number of digits for it in its name, in per cent: the
/// range of SAE J403 and EN ISO 683-1 reaches 0.05 below the number, that of 1 % and more
/// (SAE J404, EN ISO 683-17) 0.07.
fn least_of(digits: &str) -> Option<f64> {
    let under = if digits.len() > 2 { 0.07 } else { 0.05 };
    Some((digits.parse::<f64>().ok()? / 100.0 - under).max(0.0))
}

/// Steels whose name has no number for it, with the least carbon they are made with, in per cent.
const NAMED: &[(&str, f64)] = &[
    ("springsteel", 0.45),
    ("300m", 0.38),
    ("a2", 0.95),
    ("d2", 1.40),
    ("h13", 0.32),
    ("l6", 0.65),
    ("m2", 0.78),
    ("o1", 0.85),
    ("s7", 0.45),
    ("w1", 0.70),
];

/// Symbols that follow the carbon in the name of an alloyed steel: `42CrMo4`, `51CrV4`.
const SYMBOLS: &[&str] = &["cr", "mn", "mo", "ni", "si", "v", "b"];

/// The least carbon a steel of this name is made with, in per cent; none where the name does
/// not say it.
#[must_use]
pub fn least_carbon(name: &str) -> Option<f64> {
    // A number of EN 10027-2 has its point and says no carbon: 1.0577.
    if name.trim().starts_with("1.") {
        return None;
    }
    let squeezed = super::metal::squeezed(name);
    let bare = ["aisi", "sae", "astm", "en", "din"]
        .iter()
        .find_map(|body| squeezed.strip_prefix(body))
        .unwrap_or(&squeezed);
    let named = NAMED.iter().find(|(known, _)| *known == bare).map(|(_, carbon)| *carbon);
    named.or_else(|| numbered(bare)).or_else(|| lettered(bare))
}

/// `5160`, `41L40`, `10B21H`, `52100`: a series, perhaps B or L, and hundredths of carbon.
fn numbered(bare: &str) -> Option<f64> {
    let series = SERIES.iter().find(|series| bare.starts_with(**series))?;
    let rest = bare.get(series.len()..)?.trim_start_matches(['b', 'l']);
    let digits: String = rest.chars().take_while(char::is_ascii_digit).collect();
    (2..=3).contains(&digits.len()).then(|| least_of(&digits)).flatten()
}

/// `C45E`, `Ck45`, `42CrMo4`, `51CrV4`: hundredths of carbon behind a C, or before the symbols.
fn lettered(bare: &str) -> Option<f64> {
    let plain = bare.strip_prefix("ck").or_else(|| bare.strip_prefix('c'));
    let of = plain.unwrap_or(bare);
    let digits: String = of.chars().take_while(char::is_ascii_digit).collect();
    let behind = of.get(digits.len()..)?;
    let named = match plain {
        Some(_) => digits.len() == 2 && !behind.starts_with(|c: char| c.is_ascii_digit()),
        None => (2..=3).contains(&digits.len()) && SYMBOLS.iter().any(|s| behind.starts_with(s)),
    };
    named.then(|| least_of(&digits)).flatten()
}

#[cfg(test)]
mod tests {
    use super::least_carbon;

    /// Ranges of SAE J403 and J404 and of EN ISO 683 (from memory): the least of them is not
    /// below what is said of the name.
    #[test]
    fn a_name_says_its_carbon_and_no_more_than_is_made() {
        for (name, made) in [
            ("1095", 0.90),
            ("5160", 0.56),
            ("SAE 4140", 0.38),
            ("AISI 4130", 0.28),
            ("41L40", 0.38),
            ("52100", 0.93),
            ("10B21", 0.18),
            ("C45E", 0.42),
            ("Ck45", 0.42),
            ("42CrMo4", 0.38),
            ("51CrV4", 0.47),
            ("100Cr6", 0.93),
            ("D2", 1.40),
            ("300M", 0.38),
            ("spring steel", 0.45),
        ] {
            let said = least_carbon(name).unwrap_or_else(|| panic!("{name}"));
            assert!(said <= made && said >= made - 0.07, "{name}: {said}");
        }
    }

    #[test]
    fn a_name_without_a_number_for_it_says_nothing() {
        for name in [
            "A36",
            "A514",
            "S355J2",
            "E355",
            "1.7225",
            "1.0577",
            "HY-80",
            "mill plate, heat 4711",
            "St52-3",
            "DOM",
            "X52",
        ] {
            assert_eq!(least_carbon(name), None, "{name}");
        }
    }
}
