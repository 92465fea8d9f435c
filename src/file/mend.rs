//! The value somebody wrote, mended: what to write instead of it.

use chrono::NaiveDate;
use toml::de::DeValue;

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

/// A day as it was meant, in the order year-month-day; both if day and month may be
/// either, and the month with its day left open if there is no such day.
#[must_use]
pub(super) fn date(text: &str) -> Vec<String> {
    const MONTHS: [&str; 12] =
        ["jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec"];
    let lower = text.trim().to_lowercase();
    let parts: Vec<&str> = lower.split(|c: char| !c.is_alphanumeric()).filter(|p| !p.is_empty()).collect();
    let digits = |p: &str| {
        (p.len() <= 4).then(|| p.trim_end_matches(char::is_alphabetic).parse::<u32>().ok()).flatten()
    };
    let month = |p: &str| {
        let at = MONTHS.iter().position(|m| p.len() >= 3 && p.starts_with(m))?;
        u32::try_from(at + 1).ok()
    };
    let [a, b, c] = parts.as_slice() else { return Vec::new() };
    let full = |p: &str, year: u32| if p.len() == 2 { 2000 + year } else { year };
    let orders: Vec<(u32, u32, u32)> = match (month(a), month(b), digits(a), digits(b), digits(c)) {
        (Some(month), _, _, Some(day), Some(year)) | (_, Some(month), Some(day), _, Some(year)) => {
            vec![(full(c, year), month, day)]
        }
        (None, None, Some(year), Some(month), Some(day)) if a.len() == 4 => {
            vec![(year, month, day), (year, day, month)]
        }
        (None, None, Some(first), Some(second), Some(year)) if matches!(c.len(), 2 | 4) => {
            let year = full(c, year);
            let dots = text.contains('.');
            let both = vec![(year, second, first), (year, first, second)];
            if dots && second <= 12 { both[..1].to_vec() } else { both }
        }
        _ => return Vec::new(),
    };
    let real: Vec<String> = orders
        .iter()
        .filter_map(|(y, m, d)| NaiveDate::from_ymd_opt(i32::try_from(*y).ok()?, *m, *d))
        .map(|date| date.format("%Y-%m-%d").to_string())
        .collect();
    match (real.as_slice(), orders.first()) {
        ([], Some((year, month, _))) if (1..=12).contains(month) => vec![format!("{year:04}-{month:02}-…")],
        ([], _) => Vec::new(),
        // Written year first, the day is told apart already.
        (_, _) if a.len() == 4 => real.into_iter().take(1).collect(),
        _ if real.len() == 2 && real[0] == real[1] => real.into_iter().take(1).collect(),
        _ => real,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_day_keeps_its_digits() {
        // Own examples: the ways a day is written.
        for (written, meant) in [
            ("31.03.2026", &["2026-03-31"][..]),
            ("3/31/2026", &["2026-03-31"]),
            ("03/04/2026", &["2026-04-03", "2026-03-04"]),
            ("5/5/2026", &["2026-05-05"]),
            ("31 March 2026", &["2026-03-31"]),
            ("Mar 31st, 2026", &["2026-03-31"]),
            ("2026/3/31", &["2026-03-31"]),
            ("2026-31-03", &["2026-03-31"]),
            ("2026-02-30", &["2026-02-…"]),
            ("31-3-26", &["2026-03-31"]),
            ("tomorrow", &[]),
        ] {
            assert_eq!(date(written), meant, "{written}");
        }
    }

    #[test]
    fn an_id_keeps_its_letters() {
        assert_eq!(id("TW 2041/a").as_deref(), Some("TW-2041-a"));
        assert_eq!(id("--"), None);
    }
}
