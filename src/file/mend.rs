//! The value somebody wrote, mended: what to write instead of it.

use toml::de::DeValue;

use crate::quantity::{Kind, parse, unit};

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

/// Units of the two ways to measure a kind, where a number alone may be either.
fn units(kind: Kind) -> Vec<&'static str> {
    match kind {
        Kind::Length => vec!["in", "mm"],
        Kind::Mass => vec!["lb", "kg"],
        Kind::Force => vec!["lbf", "N"],
        Kind::Torque => vec!["lbf-ft", "N·m"],
        Kind::Stress => vec!["ksi", "MPa"],
        Kind::Temperature => vec!["degF", "degC"],
        Kind::Speed => vec!["in/min", "mm/min"],
        kind => {
            let example = kind.example();
            vec![example.rsplit(' ').next().filter(|_| example.contains(' ')).unwrap_or("")]
        }
    }
}

/// A quantity as it may have been meant: a decimal comma or thousands, a unit
/// that is missing or of another kind. What may be two things is given as both:
/// one of them is never put into somebody's file.
#[must_use]
pub(super) fn quantity(kind: Kind, text: &str) -> Vec<String> {
    let good = |t: &String| !t.is_empty() && parse::measured(kind, t).is_ok();
    let text = text.trim();
    // Three digits behind a comma are a decimal fraction or thousands.
    let group = text.split_once(',').filter(|(before, after)| {
        let digits = after.chars().take_while(char::is_ascii_digit).count();
        digits == 3 && !before.is_empty() && before.len() <= 3 && before.bytes().all(|b| b.is_ascii_digit())
    });
    if let Some((before, after)) = group {
        let both: Vec<String> =
            [format!("{before}{after}"), format!("{before}.{after}")].into_iter().filter(good).collect();
        if !both.is_empty() {
            return both;
        }
    }
    let point = text.replace(',', ".").replace("+/-", "±").replace("+-", "±");
    if good(&point) {
        return vec![point];
    }
    let (value, limit) = point.split_once('±').map_or((point.as_str(), None), |(v, l)| (v, Some(l)));
    let value = value.trim();
    let number: String = value
        .chars()
        .take_while(|c| c.is_ascii_digit() || matches!(c, '.' | '-' | '/' | ' ' | '−'))
        .collect();
    let written = value.get(number.len()..).unwrap_or_default().trim();
    let number = number.trim();
    let known = unit::find(kind, written).filter(|_| !written.is_empty());
    let wanted = if known.is_some() { vec![written] } else { units(kind) };
    let limit: Option<String> = limit.map(|l| {
        let plain = l.trim().trim_start_matches(['-', '−']).trim();
        plain.chars().take_while(|c| c.is_ascii_digit() || *c == '.').collect()
    });
    let with = |unit: &&str| {
        let whole = limit.as_ref().map(|limit| format!("{number} {unit} ± {limit} {unit}"));
        let plain = format!("{number} {unit}").trim().to_owned();
        whole.filter(|t| good(t)).or(Some(plain).filter(|t| good(t)))
    };
    wanted.iter().filter_map(with).collect()
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
            (Kind::Length, "3,25 in", &["3.25 in"][..]),
            (Kind::Length, "118", &["118 in", "118 mm"]),
            (Kind::Length, "31 lb", &["31 in", "31 mm"]),
            (Kind::Length, "1-3/4", &["1-3/4 in", "1-3/4 mm"]),
            (Kind::Length, "82.5 mm ± -1 mm", &["82.5 mm ± 1 mm"]),
            (Kind::Mass, "5400", &["5400 lb", "5400 kg"]),
            (Kind::Mass, "2,400 kg", &["2400 kg", "2.400 kg"]),
            (Kind::Temperature, "180", &["180 degF", "180 degC"]),
            (Kind::Angle, "6.0 deg +- 10 lb", &["6.0 deg ± 10 deg"]),
            (Kind::Angle, "-5.3", &["-5.3 deg"]),
            (Kind::Torque, "85 psi", &["85 lbf-ft", "85 N·m"]),
        ] {
            assert_eq!(quantity(kind, written), meant, "{written}");
        }
        assert!(quantity(Kind::Length, "long").is_empty());
    }

    #[test]
    fn an_id_keeps_its_letters() {
        assert_eq!(id("TW 2041/a").as_deref(), Some("TW-2041-a"));
        assert_eq!(id("--"), None);
    }
}
