//! Reads the text of a quantity, as [`parse`](super::parse) tells its rules; what is
//! wrong is told and not mended.

use super::{Kind, Quantity, Unit, spell, unit};

/// A value with the standard uncertainty that was written with it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Measured {
    /// What stands before the `±`.
    pub value: Quantity,
    /// Standard uncertainty in SI units, zero if none was given.
    pub uncertainty: f64,
    /// The unit it was written in; the last one, of several.
    pub unit: Unit,
}

/// Why a text is not a quantity of the wanted kind.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct QuantityError {
    /// What is wrong with the text.
    pub message: String,
    /// What was expected.
    pub expected: String,
    /// A right value.
    pub example: String,
}

impl std::fmt::Display for QuantityError {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "{}; expected {}, such as {}", self.message, self.expected, self.example)
    }
}

impl std::error::Error for QuantityError {}

pub(super) fn error(kind: Kind, message: impl Into<String>) -> QuantityError {
    QuantityError {
        message: message.into(),
        expected: if kind == Kind::Number {
            "a number without a unit, or one in %".to_owned()
        } else {
            format!("{} in {}", kind.with_article(), kind.unit_list())
        },
        example: sample(kind),
    }
}

/// An example of the kind, as a message shows it.
pub(super) fn sample(kind: Kind) -> String {
    format!("\"{}\"", kind.example())
}

/// Reads a text as [`measured`](super::parse::measured) does; what is wrong is not mended.
pub(super) fn read(kind: Kind, text: &str) -> Result<Measured, QuantityError> {
    let mut text = spell::plain(text);
    if matches!(kind, Kind::Money | Kind::MoneyRate | Kind::MoneyPerMass | Kind::MoneyPerVolume) {
        // Prices are in the shop's own currency; its sign adds nothing.
        text.retain(|c| !matches!(c, '$' | '€' | '£'));
        for code in ["USD", "EUR", "GBP"] {
            text = text.replace(code, "");
        }
    }
    text = ungrouped(kind, &text);
    if kind == Kind::Hydrogen {
        text = hydrogen_class(kind, text)?;
    }
    let (main, rest) = match text.split_once('±') {
        Some((main, rest)) => (main.trim(), Some(rest.trim())),
        None => (text.as_str(), None),
    };
    if main.is_empty() {
        return Err(error(kind, "there is no value"));
    }
    // "6.0 ± 0.5 deg": the unit stands once, behind the limit.
    let (_, main_unit) = leading_number(main);
    let shared = match rest {
        Some(rest) if main_unit.trim().is_empty() && share(kind, main, rest)?.is_none() => {
            format!("{main} {}", strip_coverage(rest).0.trim_start_matches(number_char).trim())
        }
        _ => main.to_owned(),
    };
    let (si, unit) = signed(kind, &shared)?;
    let uncertainty = match rest {
        None => 0.0,
        Some(rest) => match share(kind, main, rest)? {
            Some(share) => share * si.abs(),
            None => limit(kind, rest, unit)?,
        },
    };
    Ok(Measured { value: Quantity::from_si(kind, si), uncertainty, unit })
}

/// A number in groups of three, `2 400` or `2'400`, as one. A group has three
/// digits and is no numerator; feet keep their sign.
fn ungrouped(kind: Kind, text: &str) -> String {
    let chars: Vec<char> = text.chars().collect();
    let feet = matches!(kind, Kind::Length | Kind::Angle);
    let digit = |i: usize| chars.get(i).is_some_and(char::is_ascii_digit);
    let mut out = String::with_capacity(text.len());
    let mut run = 0;
    for (i, c) in chars.iter().enumerate() {
        let mark = *c == ' ' || *c == '\'' && !feet;
        let group = (1..=3).all(|n| digit(i + n)) && !digit(i + 4);
        let ends = !matches!(chars.get(i + 4), Some('/' | '-'));
        if mark && (1..=3).contains(&run) && group && ends {
            run = 0;
            continue;
        }
        run = if c.is_ascii_digit() {
            run + 1
        } else if matches!(c, '.' | '/' | ',') {
            // What stands behind a point is no group.
            9
        } else {
            0
        };
        out.push(*c);
    }
    out
}

/// The class at the end of a filler's designation, `H5`, as its limit in
/// ml/100 g. H1 to H3 are levels of AWS D1.1 as well, and stay unread.
fn hydrogen_class(kind: Kind, text: String) -> Result<String, QuantityError> {
    let letter = text.trim();
    if kind == Kind::Hydrogen && matches!(letter, "A" | "B" | "C" | "D" | "E") {
        return Err(error(
            kind,
            format!(
                "\"{letter}\" is a hydrogen scale of EN 1011-2; write scale={letter}, or the hydrogen in ml/100g"
            ),
        ));
    }
    let Some(class) = letter.strip_prefix(['H', 'h']) else { return Ok(text) };
    match class {
        "4" | "5" | "8" | "10" | "15" | "16" => Ok(format!("{class} ml/100g")),
        "1" | "2" | "3" => Err(error(
            kind,
            format!("\"{text}\" may be a level of AWS D1.1 or the class of a filler; write it in ml/100g"),
        )),
        _ => Ok(text),
    }
}

fn number_char(c: char) -> bool {
    c.is_ascii_digit() || matches!(c, '.' | '/' | ' ' | '-')
}

fn strip_coverage(text: &str) -> (&str, bool) {
    let squeezed = text.trim_end();
    for ending in ["(k=2)", "(k = 2)"] {
        if let Some(bare) = squeezed.strip_suffix(ending) {
            return (bare.trim(), true);
        }
    }
    (squeezed, false)
}

/// Standard uncertainty as a share of the value, where the text after `±` is in
/// per cent and the value is not: `0.2 ± 20 %`, `3 in ± 1 %`.
fn share(kind: Kind, main: &str, text: &str) -> Result<Option<f64>, QuantityError> {
    let (bare, expanded) = strip_coverage(text);
    let Some(number) = bare.trim_end().strip_suffix('%') else { return Ok(None) };
    if matches!(kind, Kind::Percent | Kind::MassFraction) || main.contains('%') {
        return Ok(None);
    }
    if kind == Kind::Temperature {
        return Err(error(kind, "a share of a temperature depends on its scale; write the ± in degrees"));
    }
    let value = plain_number(number.trim())
        .filter(|value| *value >= 0.0)
        .ok_or_else(|| error(kind, format!("\"{text}\" after ± is not a share")))?;
    Ok(Some(value / 100.0 / if expanded { 2.0 } else { 3.0_f64.sqrt() }))
}

/// Standard uncertainty, in SI units, of the text after `±`.
fn limit(kind: Kind, text: &str, unit: Unit) -> Result<f64, QuantityError> {
    let (bare, expanded) = strip_coverage(text);
    let (number, symbol) = leading_number(bare);
    let own = if symbol.trim().is_empty() {
        unit
    } else {
        unit::find(kind, symbol)
            .ok_or_else(|| error(kind, format!("\"{}\" after ± is no unit here", symbol.trim())))?
    };
    let value =
        plain_number(number).ok_or_else(|| error(kind, format!("\"{text}\" after ± is not a number")))?;
    if value < 0.0 {
        return Err(error(kind, "an uncertainty can't be negative"));
    }
    let half_width = own.difference_from_si(1.0).recip() * value;
    Ok(if expanded { half_width / 2.0 } else { half_width / 3.0_f64.sqrt() })
}

/// A possibly signed, possibly compound value: SI value and first unit.
fn signed(kind: Kind, text: &str) -> Result<(f64, Unit), QuantityError> {
    let text = text.trim();
    let (sign, body) = match text.strip_prefix('-') {
        Some(body) => (-1.0, body.trim_start()),
        None => (1.0, text.strip_prefix('+').unwrap_or(text).trim_start()),
    };
    let read = match kind {
        Kind::Angle => angle(body),
        Kind::Length => length(body),
        Kind::Time => time(body),
        _ => single(kind, body),
    };
    let (si, unit) = read.map_err(|error| if sign < 0.0 { negative(error, body) } else { error })?;
    // Apply the sign in the unit, so that -40 degF is not minus (40 degF).
    let si = if sign < 0.0 { unit.to_si(-unit.from_si(si)) } else { si };
    if !si.is_finite() {
        return Err(error(kind, "the value is not finite"));
    }
    Ok((if si == 0.0 { 0.0 } else { si }, unit))
}

/// What is said of a number, with the sign it was written with.
fn negative(mut error: QuantityError, body: &str) -> QuantityError {
    let number = leading_number(body).0.trim();
    if !number.is_empty() {
        let signed = |text: &str| text.replace(&format!("\"{number}"), &format!("\"-{number}"));
        error.message = signed(&error.message);
        error.example = signed(&error.example);
    }
    error
}

/// Splits off the longest leading text that can belong to a number.
pub(super) fn leading_number(text: &str) -> (&str, &str) {
    let text = text.trim();
    let bytes = text.as_bytes();
    let digit = |i: usize| bytes.get(i).is_some_and(u8::is_ascii_digit);
    let mut end = 0;
    let mut i = 0;
    while i < bytes.len() {
        match bytes[i] {
            b'0'..=b'9' | b'.' => end = i + 1,
            b'e' | b'E'
                if i > 0
                    && (digit(i + 1) || (matches!(bytes.get(i + 1), Some(b'-' | b'+')) && digit(i + 2))) => {}
            b'+' | b'-' if i > 0 && matches!(bytes[i - 1], b'e' | b'E') => {}
            b'/' if i > 0 && digit(i - 1) && digit(i + 1) => {}
            b'-' | b' ' if i > 0 && digit(i - 1) && digit(i + 1) => {}
            b'-' if i == 0 => {}
            _ => break,
        }
        i += 1;
    }
    text.split_at(end)
}

/// `9.5`, `3/8`, `1-1/2`, `1 1/2`.
fn plain_number(text: &str) -> Option<f64> {
    let text = text.trim();
    if let Some((top, bottom)) = text.split_once('/') {
        let (whole, top) = match top.trim().rsplit_once(['-', ' ']) {
            Some((whole, top)) => (digits(whole)?, digits(top)?),
            None => (0.0, digits(top)?),
        };
        let bottom = digits(bottom)?;
        // 1-7/4 is a slip of which nobody knows the digit.
        return (bottom > 0.0 && (whole == 0.0 || top < bottom)).then(|| whole + top / bottom);
    }
    if text.is_empty() || text.contains([' ']) || !text.contains(|c: char| c.is_ascii_digit()) {
        return None;
    }
    text.parse::<f64>().ok().filter(|v| v.is_finite())
}

/// Whether an inch is divided into so many parts on a rule or a scale.
#[must_use]
pub(super) fn of_a_rule(parts: u32) -> bool {
    parts.is_power_of_two() && parts <= 128 || matches!(parts, 10 | 100 | 1000)
}

/// The parts of an inch a fraction counts in, if no rule has them.
fn odd(number: &str) -> Option<u32> {
    let (_, bottom) = number.split_once('/')?;
    bottom.trim().parse().ok().filter(|parts| !of_a_rule(*parts))
}

/// Whether a text is a whole number and a fraction that is a whole or more.
fn whole_and_more(number: &str) -> bool {
    let Some((top, bottom)) = number.trim().split_once('/') else { return false };
    let Some((whole, top)) = top.rsplit_once(['-', ' ']) else { return false };
    match (digits(whole), digits(top), digits(bottom)) {
        (Some(_), Some(top), Some(bottom)) => bottom > 0.0 && top >= bottom,
        _ => false,
    }
}

/// A whole number without sign.
fn digits(text: &str) -> Option<f64> {
    let text = text.trim();
    if text.is_empty() || !text.bytes().all(|b| b.is_ascii_digit()) {
        return None;
    }
    text.parse().ok()
}

fn single(kind: Kind, text: &str) -> Result<(f64, Unit), QuantityError> {
    let (number, symbol) = leading_number(text);
    let symbol = symbol.trim();
    let comma = || error(kind, format!("\"{text}\" has a comma; write the decimal with a point"));
    let Some(value) = plain_number(number) else {
        let message = if text.contains(',') {
            return Err(comma());
        } else if whole_and_more(number) {
            format!("\"{text}\" has a fraction above a whole")
        } else if number.trim().is_empty() {
            format!("\"{text}\" does not begin with a number")
        } else {
            format!("\"{}\" is not one number", number.trim())
        };
        return Err(error(kind, message));
    };
    if symbol.starts_with(',') {
        return Err(comma());
    }
    // "1 - 3/4 in" and "5- deg" are not 1 and 5; "5-inch" is 5 inches.
    if let Some(after) = symbol.strip_prefix('-')
        && (text.contains(" -") || !after.starts_with(char::is_alphabetic))
    {
        return Err(error(kind, format!("\"{text}\" has a dash that joins nothing")));
    }
    match unit::find(kind, symbol) {
        // 75 for 75 % and 1.1 for 1.1 % are slips that no range would catch.
        Some(_) if kind == Kind::Percent && symbol.is_empty() && value >= 1.0 => Err(error(
            kind,
            format!("\"{text}\" for a share is not clear: write \"{text} %\", or a decimal below 1"),
        )),
        Some(unit) if kind == Kind::Length && unit.symbol == unit::IN.symbol => match odd(number) {
            Some(bottom) => Err(error(kind, format!("\"{text}\": no rule has an inch in {bottom} parts"))),
            None => Ok((unit.to_si(value), unit)),
        },
        Some(unit) => Ok((unit.to_si(value), unit)),
        // Nothing is nothing in every unit, except on a scale.
        None if symbol.is_empty() && value == 0.0 && kind != Kind::Temperature => {
            kind.units().next().map(|unit| (0.0, unit)).ok_or_else(|| error(kind, "there is no unit"))
        }
        None if symbol.is_empty() => {
            let number = number.trim();
            let with = |u: Unit| format!("\"{number} {}\"", u.symbol);
            let right: Vec<String> =
                kind.units().filter(|u| !u.symbol.is_empty()).take(2).map(with).collect();
            let mut problem = error(kind, format!("\"{text}\" has no unit; write {}", right.join(" or ")));
            // The number that was written, never another one.
            problem.example = right.join(" or ");
            Err(problem)
        }
        None if symbol.contains('=') => Err(error(
            kind,
            format!(
                "\"{text}\" holds more than one value; write one argument for each, such as mn=1.4 si=0.3"
            ),
        )),
        None => {
            let others = unit::kinds_of(symbol);
            Err(error(
                kind,
                match others.first() {
                    Some(other) => {
                        format!("\"{symbol}\" is a unit of {}, not of {}", other.word(), kind.word())
                    }
                    None => format!("\"{symbol}\" is no unit known here"),
                },
            ))
        }
    }
}

/// Hours, minutes and seconds, each with its unit, or one time.
fn time(text: &str) -> Result<(f64, Unit), QuantityError> {
    let (number, rest) = leading_number(text);
    let rest = rest.trim_start();
    if rest.starts_with(':') {
        return Err(error(
            Kind::Time,
            format!("\"{text}\" may be minutes or hours; write it as \"1 min 33 s\""),
        ));
    }
    let next = rest.find(|c: char| c.is_ascii_digit());
    let first = next.and_then(|at| rest.get(..at)).and_then(|word| unit::find(Kind::Time, word));
    if let (Some(at), Some(unit), Some(value)) = (next, first, plain_number(number)) {
        let (smaller, _) = single(Kind::Time, rest.get(at..).unwrap_or_default())?;
        return Ok((unit.to_si(value) + smaller, unit));
    }
    single(Kind::Time, text)
}

/// Feet and inches, or one length.
fn length(text: &str) -> Result<(f64, Unit), QuantityError> {
    let lower = text.to_lowercase();
    let split = ["feet", "foot", "ft", "'"].iter().find_map(|mark| lower.split_once(mark));
    if let Some((feet, inches)) = split {
        let inches = inches.trim_start_matches(['.', ',', ' ']).trim_start_matches("and ");
        let inches = inches.trim_start_matches('-').trim_start();
        if inches.starts_with(|c: char| c.is_ascii_digit()) {
            let bad = |what: &str| error(Kind::Length, format!("\"{text}\" {what}"));
            let value = plain_number(feet).ok_or_else(|| bad("is not feet and inches"))?;
            let (number, unit) = leading_number(inches);
            if unit.trim().is_empty() {
                return Err(bad("has no unit behind the inches"));
            }
            let (rest, unit) = single(Kind::Length, inches)?;
            if value.fract() != 0.0 || unit.symbol != unit::IN.symbol {
                return Err(bad("is not whole feet, and inches"));
            }
            if plain_number(number).is_some_and(|n| n >= 12.0) {
                return Err(bad("has a foot or more in its inches"));
            }
            return Ok((unit::FT.to_si(value) + rest, unit));
        }
    }
    single(Kind::Length, text)
}

/// Degrees, minutes and seconds, or one angle.
fn angle(text: &str) -> Result<(f64, Unit), QuantityError> {
    let lower = text.to_lowercase();
    let split = ["degrees", "degree", "deg", "°"].iter().find_map(|mark| lower.split_once(mark));
    let Some((degrees, rest)) = split else { return single(Kind::Angle, text) };
    let rest = rest.trim();
    if rest.is_empty() || !rest.starts_with(|c: char| c.is_ascii_digit()) {
        return single(Kind::Angle, text);
    }
    let bad = || error(Kind::Angle, format!("\"{text}\" is not degrees and minutes"));
    let degrees = plain_number(degrees).filter(|d| d.fract() == 0.0).ok_or_else(bad)?;
    let mark = ["minutes", "arcmin", "min", "'"].iter().find_map(|mark| rest.split_once(mark));
    let (minutes, seconds) = mark.ok_or_else(bad)?;
    let minutes = plain_number(minutes).filter(|m| *m < 60.0).ok_or_else(bad)?;
    let seconds = seconds.trim().trim_end_matches(['"', '.']).trim();
    let seconds =
        if seconds.is_empty() { 0.0 } else { plain_number(seconds).filter(|s| *s < 60.0).ok_or_else(bad)? };
    Ok((unit::DEG.to_si(degrees + minutes / 60.0 + seconds / 3600.0), unit::DEG))
}
