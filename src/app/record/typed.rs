//! A value as a person types it into a box: the unit is known, a choice has a
//! number, a decimal comma is read where it can be nothing else.

use crate::diagnostic::Diagnostic;
use crate::quantity::Kind;
use crate::record::frozen::Reading;

/// The value as it is entered: with its unit, the word of a choice.
///
/// # Errors
/// If a comma may be a decimal one or not, or a spreadsheet made a date of it.
pub fn value(reading: &Reading, unit: Option<&str>, text: &str) -> Result<String, Diagnostic> {
    let text = text.trim();
    if !reading.choices.is_empty() {
        return Ok(choice(reading, text));
    }
    let Some(limits) = reading.limits else { return Ok(text.to_owned()) };
    if let Some(why) = date(text) {
        return Err(Diagnostic::error("L207", format!("\"{text}\" looks like {why}"))
            .expected(format!("{} as it was read", limits.kind.with_article()))
            .example("3 1/4 or 3.25")
            .help("spreadsheets turn 3-1/4 and 1/2 into dates: write a decimal, or make the column text"));
    }
    let text = decimals(text)?;
    if let Some(hours) = hours(reading, &text) {
        return Ok(hours);
    }
    let unit = unit.filter(|u| !u.trim().is_empty()).or(reading.unit.as_deref());
    let bare = text.chars().all(|c| c.is_ascii_digit() || " .,/+-−±¼½¾⅛⅜⅝⅞".contains(c));
    let wants = !matches!(limits.kind, Kind::Number);
    Ok(match unit {
        Some(unit) if bare && wants && text.chars().any(char::is_numeric) => match unit {
            "°" => format!("{text}°"),
            unit => format!("{text} {unit}"),
        },
        _ => text,
    })
}

/// The number in a box of hours since the last arc, where the text says that they are hours.
pub(super) fn hours(reading: &Reading, text: &str) -> Option<String> {
    let text = text.trim();
    let number = text.trim_end_matches(|c: char| c.is_alphabetic() || c == '.');
    let word = text.get(number.len()..)?.to_lowercase();
    let said = ["h", "h.", "hr", "hrs", "hour", "hours"].contains(&word.as_str());
    (said && reading.since_arc)
        .then(|| number.trim().to_owned())
        .filter(|n| n.ends_with(|c: char| c.is_ascii_digit()))
}

/// A choice by its number, where no word is that number.
pub(super) fn choice(reading: &Reading, text: &str) -> String {
    let word = |w: &str| reading.choices.iter().any(|c| c.word.eq_ignore_ascii_case(w));
    let number = text.parse::<usize>().ok().filter(|_| !word(text));
    let picked = number.and_then(|n| n.checked_sub(1)).and_then(|n| reading.choices.get(n));
    if let Some(choice) = picked {
        return choice.word.clone();
    }
    // The number of a word that rests on a paper, and the paper: `2: PT-114`.
    let paper = || {
        let (number, paper) = text.split_once(':')?;
        let place = number.trim().parse::<usize>().ok()?.checked_sub(1)?;
        let choice = reading.choices.get(place).filter(|c| c.paper)?;
        Some(format!("{}: {}", choice.word, paper.trim()))
    };
    paper().unwrap_or_else(|| text.to_owned())
}

/// `2,5` as `2.5`. Three digits behind the comma may be thousands, unless a zero
/// stands before it.
fn decimals(text: &str) -> Result<String, Diagnostic> {
    if !text.contains(',') {
        return Ok(text.to_owned());
    }
    let unclear = |part: &str| {
        Diagnostic::error("L207", format!("the comma in \"{text}\" is not clear"))
            .expected("a decimal point, or a decimal comma with no other mark in the number")
            .example(format!("{} or {}", part.replace(',', "."), part.replace(',', "")))
    };
    let mut out = String::with_capacity(text.len());
    for part in text.split_inclusive(' ') {
        let number: String = part
            .chars()
            .take_while(|c| c.is_ascii_digit() || matches!(c, ',' | '.' | '-' | '+' | '±'))
            .collect();
        let plain = number.trim_matches(|c| matches!(c, '-' | '+' | '±'));
        if !plain.contains(',') {
            out.push_str(part);
            continue;
        }
        let (before, after) = plain.split_once(',').unwrap_or((plain, ""));
        let digits = |s: &str| !s.is_empty() && s.bytes().all(|b| b.is_ascii_digit());
        let thousands = after.len() == 3 && before != "0" && before.len() <= 3;
        if !digits(before) || !digits(after) || thousands {
            return Err(unclear(plain));
        }
        out.push_str(&part.replacen(',', ".", 1));
    }
    Ok(out)
}

/// What a spreadsheet makes of a fraction, if the text is that.
fn date(text: &str) -> Option<&'static str> {
    const MONTHS: [&str; 12] =
        ["jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec"];
    let parts: Vec<&str> = text.split(['-', '/', '.', ' ']).filter(|p| !p.is_empty()).collect();
    let month = |p: &str| MONTHS.contains(&p.to_ascii_lowercase().trim_end_matches('.'));
    let number = |p: &str| p.bytes().all(|b| b.is_ascii_digit());
    let year = |p: &str| p.len() == 4 && number(p);
    match parts.as_slice() {
        [a, b] if (month(a) && number(b)) || (number(a) && month(b)) => Some("a date"),
        [a, b, c] if [a, b, c].iter().all(|p| number(p)) && (year(a) || year(c)) => Some("a date"),
        [a, b, c] if (month(b) || month(a)) && number(c) => Some("a date"),
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::record::frozen::{Choice, Limits};

    fn reading(kind: Kind, unit: &str) -> Reading {
        let limits = Limits { kind, target: None, lower: None, upper: None };
        Reading { unit: Some(unit.to_owned()), limits: Some(limits), ..Reading::default() }
    }

    #[test]
    fn a_bare_number_takes_the_unit_of_its_box() {
        let length = reading(Kind::Length, "in");
        for (typed, entered) in [
            ("2.5", "2.5 in"),
            ("3 1/4", "3 1/4 in"),
            ("3-1/4", "3-1/4 in"),
            ("2,5", "2.5 in"),
            ("0,125", "0.125 in"),
            ("12,50", "12.50 in"),
            ("2.5 ± 0.1", "2.5 ± 0.1 in"),
            ("2,5 ± 0,1", "2.5 ± 0.1 in"),
            ("63.5 mm", "63.5 mm"),
            ("63,5 mm", "63.5 mm"),
        ] {
            let entered_now = value(&length, None, typed).unwrap();
            assert_eq!(entered_now, entered);
            assert!(crate::quantity::parse::measured(Kind::Length, &entered_now).is_ok(), "{entered_now}");
        }
        assert_eq!(value(&length, Some("mm"), "63.5").unwrap(), "63.5 mm");
        assert_eq!(value(&reading(Kind::Angle, "°"), None, "-5.4").unwrap(), "-5.4°");
    }

    #[test]
    fn hours_since_the_arc_may_say_that_they_are_hours() {
        let mut waited = reading(Kind::Number, "");
        assert_eq!(value(&waited, None, "25 h").unwrap(), "25 h", "a count is no time");
        waited.since_arc = true;
        for typed in ["25", "25 h", "25h", "25 hours", "25 Hrs"] {
            assert_eq!(value(&waited, None, typed).unwrap(), "25", "{typed}");
        }
        assert_eq!(value(&waited, None, "24,5 h").unwrap(), "24.5");
        assert_eq!(value(&waited, None, "90 min").unwrap(), "90 min", "refused by its unit");
    }

    #[test]
    fn what_may_be_two_things_is_refused() {
        let length = reading(Kind::Length, "in");
        for typed in
            ["1,234", "1,234.5", "1.234,5", "12,345 mm", "3-Jan", "1/2/2026", "2026-03-02", "02.01.2026"]
        {
            assert!(value(&length, None, typed).is_err(), "{typed}");
        }
    }

    #[test]
    fn a_choice_is_taken_by_its_number() {
        let word = |w: &str| Choice { word: w.to_owned(), ..Choice::default() };
        let mut reading = Reading { choices: vec![word("sound"), word("cracked")], ..Reading::default() };
        assert_eq!(value(&reading, None, "2").unwrap(), "cracked");
        assert_eq!(value(&reading, None, "3").unwrap(), "3");
        reading.choices = vec![word("2"), word("1")];
        assert_eq!(value(&reading, None, "2").unwrap(), "2");
    }
}
