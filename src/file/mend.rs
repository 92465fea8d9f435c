//! The value somebody wrote, mended: what to write instead of it.

use toml::de::DeValue;

use crate::quantity::{Kind, parse};

/// A value as it stands in the file.
#[must_use]
pub(super) fn written(value: &DeValue<'_>) -> Option<String> {
    match value {
        DeValue::String(text) => {
            let plain = !text.contains(['"', '\\', '\n']) && text.chars().count() <= 60;
            plain.then(|| format!("\"{text}\""))
        }
        DeValue::Integer(number) => Some(number.as_str().to_owned()),
        DeValue::Float(number) => Some(number.as_str().to_owned()),
        DeValue::Boolean(flag) => Some(flag.to_string()),
        DeValue::Datetime(date) => Some(date.to_string()),
        DeValue::Array(_) | DeValue::Table(_) => None,
    }
}

/// A quantity as it was most likely meant: a decimal comma, a unit that is
/// missing or of another kind.
#[must_use]
pub(super) fn quantity(kind: Kind, text: &str) -> Option<String> {
    let unit = kind.example().rsplit(' ').next().filter(|_| kind.example().contains(' ')).unwrap_or("");
    let point = text.replace(',', ".");
    let value = point.split(['±', '+']).next().unwrap_or(&point).trim().to_owned();
    let number: String = value
        .chars()
        .take_while(|c| c.is_ascii_digit() || matches!(c, '.' | '-' | '/' | ' ' | '−'))
        .collect();
    let number = number.trim();
    let limit = point.split(['±']).nth(1).or_else(|| point.split_once("+-").map(|(_, l)| l));
    let limit: Option<String> = limit.map(|l| {
        let digits: String = l.trim().chars().take_while(|c| c.is_ascii_digit() || *c == '.').collect();
        format!("{number} {unit} ± {digits} {unit}")
    });
    let tries =
        [Some(point.trim().to_owned()), limit, Some(format!("{number} {unit}")), Some(number.to_owned())];
    tries
        .into_iter()
        .flatten()
        .map(|t| t.trim().to_owned())
        .find(|t| !t.is_empty() && parse::measured(kind, t).is_ok())
}

/// A text as an id: letters, digits and hyphens.
#[must_use]
pub(super) fn id(text: &str) -> Option<String> {
    let mut id: String = text
        .trim()
        .chars()
        .map(|c| if c.is_ascii_alphanumeric() || matches!(c, '-' | '_' | '.') { c } else { '-' })
        .take(60)
        .collect();
    while id.starts_with(|c: char| !c.is_ascii_alphanumeric()) {
        id.remove(0);
    }
    let id = id.trim_end_matches('-').to_owned();
    (!id.is_empty()).then_some(id)
}

/// A word as yes or no.
#[must_use]
pub(super) fn flag(value: &DeValue<'_>) -> bool {
    match value {
        DeValue::String(text) => {
            !matches!(text.trim().to_lowercase().as_str(), "no" | "n" | "off" | "false" | "0")
        }
        DeValue::Integer(number) => number.as_str() != "0",
        _ => true,
    }
}

/// A number as a whole one, not negative.
#[must_use]
pub(super) fn whole(value: &DeValue<'_>) -> Option<String> {
    let text = match value {
        DeValue::Integer(number) => number.as_str(),
        DeValue::Float(number) => number.as_str(),
        DeValue::String(text) => text.trim(),
        _ => return None,
    };
    let digits: String =
        text.trim_start_matches(['-', '+']).chars().take_while(char::is_ascii_digit).collect();
    (!digits.is_empty()).then_some(digits)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_quantity_keeps_its_number() {
        // Own examples: what a person types by slip.
        for (kind, written, meant) in [
            (Kind::Length, "3,25 in", "3.25 in"),
            (Kind::Length, "118", "118 in"),
            (Kind::Length, "31 lb", "31 in"),
            (Kind::Length, "1-3/4", "1-3/4 in"),
            (Kind::Mass, "5400", "5400 lb"),
            (Kind::Angle, "6.0 deg +- 10 lb", "6.0 deg ± 10 deg"),
            (Kind::Torque, "85 psi", "85 lbf-ft"),
        ] {
            assert_eq!(quantity(kind, written).as_deref(), Some(meant), "{written}");
        }
        assert_eq!(quantity(Kind::Length, "long"), None);
    }

    #[test]
    fn an_id_keeps_its_letters() {
        assert_eq!(id("TW 2041/a").as_deref(), Some("TW-2041-a"));
        assert_eq!(id("--"), None);
    }
}
