//! Slips of the keys: what a quantity was meant as, if one was made when it was written.
//!
//! A slip keeps the digits of the writer: the point moved by one place, the sign lost, two
//! neighbours exchanged, the other unit of the kind beside them. A diameter in the place of
//! a radius is halved. Whether what comes out is right is for whoever asks to try.

use super::{Kind, parse, read, unit};

/// Units that are written for each other: the one that stands there, and what was meant.
const OTHERS: &[(&str, &[&str])] = &[
    ("in", &["mm"]),
    ("mm", &["in"]),
    ("cm", &["mm", "in"]),
    ("ft", &["in"]),
    ("lbf-ft", &["lbf-in", "N·m"]),
    ("lbf-in", &["lbf-ft", "N·m"]),
    ("N·m", &["lbf-ft"]),
    ("degC", &["degF"]),
    ("degF", &["degC"]),
    ("kg", &["lb"]),
    ("lb", &["kg"]),
    ("lbf", &["N"]),
    ("N", &["lbf"]),
    ("ksi", &["MPa"]),
    ("psi", &["ksi"]),
    ("MPa", &["ksi"]),
    ("in/min", &["mm/min"]),
    ("mm/min", &["in/min"]),
    ("rad", &["deg"]),
];

/// Units in which nobody writes a fraction.
const DECIMAL: &[&str] = &["mm", "cm", "N·m", "kg", "N", "MPa", "mm/min", "degC"];

/// The number and the unit of a text, without what stands behind `±`.
fn parts(kind: Kind, text: &str) -> Option<(String, &'static str)> {
    let head = text.split('±').next().unwrap_or(text).trim();
    let (number, symbol) = read::leading_number(head);
    let unit = unit::find(kind, symbol.trim())?;
    Some((number.trim().to_owned(), unit.symbol))
}

/// The unit a text is in, by its symbol; none if it is no quantity of the kind.
#[must_use]
pub fn unit_of(kind: Kind, text: &str) -> Option<&'static str> {
    parts(kind, text).map(|(_, symbol)| symbol)
}

fn good(kind: Kind, texts: Vec<String>, than: &str) -> Vec<String> {
    let mut kept: Vec<String> = Vec::new();
    for text in texts {
        if text != than && !kept.contains(&text) && parse::maybe(kind, &text).is_some() {
            kept.push(text);
        }
    }
    kept
}

/// The same digits in the other units of the kind.
#[must_use]
pub fn in_other_units(kind: Kind, text: &str) -> Vec<String> {
    let Some((number, symbol)) = parts(kind, text) else { return Vec::new() };
    let others = OTHERS.iter().find(|(unit, _)| *unit == symbol).map_or(&[][..], |(_, others)| *others);
    let others = others.iter().filter(|other| !(number.contains('/') && DECIMAL.contains(other)));
    good(kind, others.map(|other| format!("{number} {other}")).collect(), text)
}

/// A number without the digits that reckoning in twos leaves behind.
fn short(value: f64) -> String {
    format!("{value:.9}").parse().unwrap_or(value).to_string()
}

/// Half of what stands under the key of a radius, in its own unit: a diameter was taped.
#[must_use]
pub fn radius(key: &str, kind: Kind, text: &str) -> Option<String> {
    let (_, symbol) = parts(kind, text).filter(|_| key.starts_with("radius"))?;
    let head = text.split('±').next().unwrap_or(text).trim();
    let half = unit::find(kind, symbol)?.from_si(parse::maybe(kind, head)?.si() / 2.0);
    Some(format!("{} {symbol}", short(half)))
}

/// The same unit with digits that one slip of the keys changes: the point by a place, or
/// the sign.
#[must_use]
pub fn of_the_point(kind: Kind, text: &str) -> Vec<String> {
    let Some((number, symbol)) = parts(kind, text) else { return Vec::new() };
    let with = |number: &str| format!("{number} {symbol}").trim_end().to_owned();
    let mut texts = Vec::new();
    if let Ok(plain) = number.parse::<f64>() {
        texts.extend([short(plain / 10.0), short(plain * 10.0)].map(|n| with(&n)));
    }
    texts.push(with(&match number.strip_prefix('-') {
        Some(plain) => plain.to_owned(),
        None => format!("-{number}"),
    }));
    good(kind, texts, text)
}

/// The same unit with two neighbours of its digits exchanged.
#[must_use]
pub fn exchanged(kind: Kind, text: &str) -> Vec<String> {
    let Some((number, symbol)) = parts(kind, text) else { return Vec::new() };
    let mut texts = Vec::new();
    let chars: Vec<char> = number.chars().collect();
    let digits: Vec<usize> = (0..chars.len()).filter(|i| chars[*i].is_ascii_digit()).collect();
    for pair in digits.windows(2) {
        let [a, b] = *pair else { continue };
        let beside = b == a + 1 || b == a + 2 && chars[a + 1] == '.';
        if beside && chars[a] != chars[b] {
            let mut turned = chars.clone();
            turned.swap(a, b);
            let turned = turned.iter().collect::<String>();
            texts.push(format!("{turned} {symbol}").trim_end().to_owned());
        }
    }
    good(kind, texts, text)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn slips_keep_the_digits() {
        // Own examples.
        for (kind, text, units, points, turned) in [
            (
                Kind::Temperature,
                "250 degC",
                &["250 degF"][..],
                &["25 degC", "2500 degC", "-250 degC"][..],
                &["520 degC", "205 degC"][..],
            ),
            // Nobody writes a fraction of a millimetre.
            (Kind::Length, "94-7/16 in", &[], &["-94-7/16 in"], &["49-7/16 in"]),
            (
                Kind::Torque,
                "60 lbf-in ± 1 lbf-in",
                &["60 lbf-ft", "60 N·m"],
                &["6 lbf-in", "600 lbf-in", "-60 lbf-in"],
                &["06 lbf-in"],
            ),
            (Kind::Length, "3/16 in", &[], &["-3/16 in"], &[]),
            (Kind::Voltage, "18.5 V", &[], &["1.85 V", "185 V", "-18.5 V"], &["81.5 V", "15.8 V"]),
        ] {
            assert_eq!(in_other_units(kind, text), units, "{text}");
            assert_eq!(of_the_point(kind, text), points, "{text}");
            assert_eq!(exchanged(kind, text), turned, "{text}");
        }
    }

    #[test]
    fn a_diameter_in_the_place_of_a_radius_is_halved() {
        // Own examples.
        assert_eq!(radius("radius", Kind::Length, "31 in").as_deref(), Some("15.5 in"));
        assert_eq!(radius("radius_after", Kind::Length, "31-1/2 in").as_deref(), Some("15.75 in"));
        assert_eq!(radius("radius", Kind::Length, "784 mm ± 2 mm").as_deref(), Some("392 mm"));
        assert_eq!(radius("reach", Kind::Length, "13 in"), None);
    }
}
