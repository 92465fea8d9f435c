//! What one input was given, read.

use super::{has_unit, list, names, pair, unit_in_name};
use crate::diagnostic::{Diagnostic, nearest};
use crate::figure::{Input, InputKind, Value};
use crate::quantity::{Kind, parse};

/// The value an input was given, in the unit of its name where the text has none.
pub(super) fn read_value(input: &Input, typed: &str, text: &str) -> Result<Value, Diagnostic> {
    match input.kind {
        InputKind::Quantity(kind) => one(input, kind, typed, text),
        InputKind::List(kind) => several(input, kind, text),
        InputKind::Choice(words) => choice(input, words, text),
        InputKind::Name => Ok(Value::word(text.trim())),
        InputKind::Flag => flag(input, text),
    }
}

/// A quantity with its unit and, if stated, its uncertainty.
fn measured(input: &Input, kind: Kind, text: &str) -> Result<Value, Diagnostic> {
    parse::measured(kind, text)
        .map(|m| Value::Quantity { quantity: m.value, uncertainty: m.uncertainty })
        .map_err(|e| {
            // A bare number is completed, not replaced.
            let unit = kind.example().trim_start_matches(|c: char| !c.is_alphabetic() && c != '%');
            let bare = !has_unit(text) && text.chars().any(|c| c.is_ascii_digit()) && !unit.is_empty();
            let example = if bare { format!("\"{} {unit}\"", text.trim()) } else { e.example.clone() };
            Diagnostic::error("Q001", format!("{}: {}", input.name, e.message))
                .key(input.name)
                .expected(e.expected)
                .example(format!("{}={example}", input.name))
        })
}

fn one(input: &Input, kind: Kind, typed: &str, text: &str) -> Result<Value, Diagnostic> {
    let text = infinite(input, each_way(input, text));
    let Some(symbol) = unit_in_name(kind, typed, text) else {
        return measured(input, kind, text);
    };
    // The name says per cent and the number says a share.
    let number = text.trim();
    match number.parse::<f64>() {
        Ok(share) if symbol == "%" && share > 0.0 && share < 1.0 => Err(Diagnostic::error(
            "Q001",
            format!("{}: \"{number}\" may be {number} % or a share of the whole", input.name),
        )
        .key(input.name)
        .expected("a percentage with its sign")
        .example(format!("{}=\"{:.0} %\"", input.name, 100.0 * share))),
        _ => measured(input, kind, &format!("{text} {symbol}")),
    }
}

fn several(input: &Input, kind: Kind, text: &str) -> Result<Value, Diagnostic> {
    let text = text.trim().trim_start_matches(['[', '(']).trim_end_matches([']', ')']);
    if let Some(points) = list::with_points(text) {
        return Err(Diagnostic::error(
            "Q001",
            format!("{}: \"{text}\" has commas that may be decimal ones", input.name),
        )
        .key(input.name)
        .expected("decimals with a point, and the values of a list parted by a comma and a blank")
        .example(pair(input.name, &points)));
    }
    // "9, inf": the word is a value and no unit.
    let parts: Vec<String> = list::split(text).iter().map(|part| infinite(input, part).to_owned()).collect();
    // "6.35, 6.20, 6.48 mm": the unit may stand once, at the end.
    // "0.250 ± 0.003, 0.252 ± 0.003 in" the same.
    let unit = parts
        .last()
        .map_or("", |last| last.trim_start_matches(|c: char| c.is_ascii_digit() || "./ +-−±".contains(c)));
    parts
        .iter()
        .map(|part| match (kind, part.as_str()) {
            // Signs of joints are written as signs.
            (Kind::Number, "+") => "1",
            (Kind::Number, "-" | "−") => "-1",
            (_, other) => other,
        })
        .map(|part| {
            if has_unit(part) {
                measured(input, kind, part)
            } else {
                measured(input, kind, &format!("{part} {unit}"))
            }
        })
        .collect::<Result<_, _>>()
        .map(Value::List)
}

fn choice(input: &Input, words: &'static [&'static str], text: &str) -> Result<Value, Diagnostic> {
    if let Some(word) = names::choice(text, input, words) {
        return Ok(Value::word(word));
    }
    let problem = Diagnostic::error("F003", format!("{} \"{text}\" is not one of the choices", input.name))
        .key(input.name)
        .expected(words.join(", "))
        .example(format!("{}={}", input.name, words.first().copied().unwrap_or("")));
    Err(match nearest(text, words.iter().copied()) {
        Some(near) => problem.help(format!("did you mean \"{near}\"?")),
        None => problem,
    })
}

fn flag(input: &Input, text: &str) -> Result<Value, Diagnostic> {
    match text.trim().to_lowercase().as_str() {
        "yes" | "true" | "1" | "y" | "on" => Ok(Value::Flag(true)),
        "no" | "false" | "0" | "n" | "off" => Ok(Value::Flag(false)),
        _ => Err(Diagnostic::error("F003", format!("{} is yes or no, not \"{text}\"", input.name))
            .key(input.name)
            .expected("yes or no")
            .example(format!("{}=yes", input.name))),
    }
}

/// `±0.05` where no value below zero is meant: the sign adds nothing.
fn each_way<'a>(input: &Input, text: &'a str) -> &'a str {
    let text = text.trim();
    if !input.range.is_one_sided() {
        return text;
    }
    ["±", "+/-", "+-"].iter().find_map(|sign| text.strip_prefix(sign)).map_or(text, str::trim_start)
}

/// Infinitely many, which is held as 0 where the input declares it.
fn infinite<'a>(input: &Input, text: &'a str) -> &'a str {
    let word = text.trim().to_lowercase();
    let endless = matches!(word.as_str(), "inf" | "infinite" | "infinity" | "∞");
    if input.range.is_endless() && endless { "0" } else { text }
}
