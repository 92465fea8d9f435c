//! One figure family computed from `name=value` texts: a quick answer at the
//! bench, and the way outside check cases reach the figures.

pub mod machine;
pub mod reply;

pub use reply::{Reply, Unanswered, ask};

use crate::diagnostic::{Diagnostic, Report, nearest};
use crate::figure::names::{self, CLOSENESS, Closeness};
use crate::figure::welding::column::Column;
use crate::figure::{Family, Figure, Given, Input, InputKind, Trouble, Value, input_names, registry};
use crate::quantity::{Kind, parse, unit};

/// The family of this name.
///
/// # Errors
/// A diagnostic with the nearest name, if there is none.
pub fn family(name: &str) -> Result<&'static Family, Diagnostic> {
    registry::find(name).ok_or_else(|| {
        let mut problem = Diagnostic::error("F001", format!("there is no figure called \"{name}\""))
            .expected("a name from `tackwright reckon`");
        if let Some((word, near)) = likely(name) {
            problem = problem.help(format!("did you mean \"{word}\": {}?", near.title));
        }
        problem
    })
}

/// The family a word that names none was likely meant for, and the name to
/// offer: a word of the trade, or a slip of the fingers. A name that only looks
/// a little alike is not offered: it leads to another question.
fn likely(typed: &str) -> Option<(&'static str, &'static Family)> {
    if let Some((_, offer)) = registry::HINTS.iter().find(|(w, _)| names::alike(typed, w, Closeness::Letters))
    {
        return offer.and_then(|word| registry::find(word).map(|family| (word, family)));
    }
    let typed = typed.to_lowercase();
    let slips = match typed.chars().count() {
        0..=3 => 0,
        4..=6 => 1,
        _ => 2,
    };
    let known = registry::families()
        .flat_map(|f| std::iter::once(f.name).chain(registry::other_names(f).iter().copied()))
        .filter(|name| strsim::osa_distance(&typed, name) <= slips);
    nearest(&typed, known).and_then(registry::find).map(|family| (family.name, family))
}

/// Reads the inputs for the named family or, where it takes plain numbers and
/// they are given with units, for the family that asks the same of that kind.
///
/// # Errors
/// The problems with the inputs of the named family.
pub fn read_question<'a>(
    family: &'static Family,
    pairs: &[(&'a str, &'a str)],
) -> Result<(&'static Family, Given), Report> {
    let own = read_inputs(family, pairs.iter().copied());
    own.map(|given| (family, given)).or_else(|report| {
        registry::siblings(family)
            .find_map(|other| read_inputs(other, pairs.iter().copied()).ok().map(|given| (other, given)))
            .ok_or(report)
    })
}

/// Reads `name=value` pairs as inputs of a family.
///
/// # Errors
/// All problems: unknown or ambiguous names, names given twice, wrong units,
/// wrong words.
pub fn read_inputs<'a>(
    family: &Family,
    pairs: impl IntoIterator<Item = (&'a str, &'a str)>,
) -> Result<Given, Report> {
    let mut given = Given::new();
    let mut report = Report::new();
    let gathered = gather(family, pairs);
    let mut pairs: Vec<(&str, &str)> =
        gathered.iter().map(|(name, text)| (name.as_str(), text.as_str())).collect();
    // Exact names take their places first, so that a loose one can't.
    pairs.sort_by_key(|(name, _)| family.input(name).is_none_or(|i| i.name != *name));
    let mut metric = Vec::new();
    for (name, text) in pairs {
        match place(family, &given, name, text) {
            Ok((input, value)) => {
                if input.kind == InputKind::Quantity(Kind::Length) {
                    metric.push((input.name, in_metric_units(name, text)));
                }
                given.set(input.name, value);
            }
            Err(problem) => report.push(problem),
        }
    }
    column(family, &mut given, &metric);
    if report.has_errors() { Err(report) } else { Ok(given) }
}

/// Whether a length was written in metric units, in its text or in its name.
fn in_metric_units(name: &str, text: &str) -> bool {
    let named = || name.rsplit_once('_').and_then(|(_, symbol)| unit::find(Kind::Length, symbol));
    let unit = parse::measured(Kind::Length, text).ok().map(|measured| measured.unit).or_else(named);
    unit.is_some_and(unit::Unit::is_metric_length)
}

/// States the column of a code's table where the family reads one and it was
/// left open: that of the units the first of its lengths was written in. A code
/// prints round numbers for each system, and no exact conversions.
fn column(family: &Family, given: &mut Given, metric: &[(&str, bool)]) {
    let table = family.inputs.iter().find(|i| i.kind == InputKind::Choice(Column::WORDS));
    let Some(table) = table.filter(|table| !given.has(table.name)) else { return };
    let first = family.inputs.iter().find_map(|i| metric.iter().find(|(name, _)| *name == i.name));
    if let Some((_, metric)) = first {
        given.derive_word(table.name, if *metric { Column::Metric } else { Column::Inch }.word());
    }
}

/// Puts `wall_1=... wall_2=...` together as the list input `wall`.
fn gather<'a>(family: &Family, pairs: impl IntoIterator<Item = (&'a str, &'a str)>) -> Vec<(String, String)> {
    let mut found: Vec<(String, String)> = Vec::new();
    for (name, text) in pairs {
        let stem = name.trim_end_matches(|c: char| c.is_ascii_digit());
        let stem = if stem.len() < name.len() { stem.trim_end_matches(['_', '-']) } else { name };
        let list = family.input(name).is_none()
            && stem != name
            && family.input(stem).is_some_and(|i| matches!(i.kind, InputKind::List(_)));
        match found.iter_mut().find(|(known, _)| list && known == stem) {
            Some((_, all)) => {
                all.push_str(", ");
                all.push_str(text);
            }
            None if list => found.push((stem.to_owned(), text.to_owned())),
            None => found.push((name.to_owned(), text.to_owned())),
        }
    }
    found
}

/// The input a typed name means and the value read for it. A name that may
/// mean several goes to the one whose kind the value is of.
fn place(
    family: &Family,
    given: &Given,
    name: &str,
    text: &str,
) -> Result<(&'static Input, Value), Diagnostic> {
    let several = input_names::unclear(family.name, name);
    if !several.is_empty() {
        return Err(ambiguous(family, name, several.iter().copied()));
    }
    let mut refusal = None;
    for closeness in CLOSENESS {
        if closeness == Closeness::Part && refusal.is_none() {
            continue;
        }
        let mut fits = Vec::new();
        for input in names::inputs(family, name, closeness) {
            if given.has(input.name) {
                refusal.get_or_insert_with(|| given_twice(input, name));
                continue;
            }
            match read_value(input, text).or_else(|problem| unit_in_name(input, name, text).ok_or(problem)) {
                Ok(value) => fits.push((input, value)),
                Err(mut problem) => {
                    if input.name != name {
                        problem =
                            problem.help(format!("\"{name}\" is read as {}: {}", input.name, input.help));
                    }
                    refusal.get_or_insert(problem);
                }
            }
        }
        match fits.len() {
            0 => {}
            1 => return fits.pop().ok_or_else(|| unknown_input(family, name)),
            _ if closeness == Closeness::Part => {}
            _ => return Err(ambiguous(family, name, fits.iter().map(|(input, _)| input.name))),
        }
    }
    // "tube_od_mm=76.2": the unit stands in the name.
    if let Some((bare, symbol)) = names::split_unit(name)
        && !unit::kinds_of(symbol).is_empty()
        && !has_unit(text)
        && let Ok((input, value)) = place(family, given, bare, &format!("{text} {symbol}"))
        && matches!(input.kind, InputKind::Quantity(_) | InputKind::List(_))
    {
        return Ok((input, value));
    }
    Err(refusal.unwrap_or_else(|| unknown_input(family, name)))
}

fn has_unit(text: &str) -> bool {
    text.contains(|c: char| c.is_alphabetic() || "°\"'%".contains(c))
}

/// `rpm=500`: the whole name is the unit.
fn unit_in_name(input: &Input, name: &str, text: &str) -> Option<Value> {
    let InputKind::Quantity(kind) = input.kind else { return None };
    let written = name.len() > 1 && !has_unit(text) && unit::find(kind, name).is_some();
    written.then(|| read_value(input, &format!("{text} {name}")).ok()).flatten()
}

fn given_twice(input: &Input, typed: &str) -> Diagnostic {
    Diagnostic::error("F005", format!("{} is given twice, the second time as \"{typed}\"", input.name))
        .key(input.name)
        .expected("each input once")
}

fn ambiguous<'a>(family: &Family, typed: &str, may_be: impl Iterator<Item = &'a str>) -> Diagnostic {
    Diagnostic::error("F006", format!("\"{typed}\" could be several inputs of {}", family.name))
        .key(typed)
        .expected(may_be.collect::<Vec<_>>().join(" or "))
        .example(family.example)
}

/// Inputs that were given but that no figure of the answer used.
#[must_use]
pub fn unused(given: &Given, figures: &[Figure]) -> Vec<&'static str> {
    let used: Vec<&str> =
        figures.first().map(|f| f.inputs.iter().map(|u| u.name).collect()).unwrap_or_default();
    given
        .iter()
        .map(|(name, _)| name)
        .filter(|name| !used.contains(name) && !given.is_derived(name))
        .collect()
}

/// What to heed in an answer: an input that changed nothing first, then the
/// warnings of the figures.
#[must_use]
pub fn warnings(given: &Given, figures: &[Figure]) -> Vec<String> {
    let idle = unused(given, figures).into_iter().map(|name| {
        format!(
            "{name} was given and is not used: no figure below depends on it. Check whether it belongs here."
        )
    });
    idle.chain(figures.first().map(|f| f.warnings.clone()).unwrap_or_default()).collect()
}

fn unknown_input(family: &Family, name: &str) -> Diagnostic {
    let own = family.inputs.iter().map(|i| i.name);
    let mut problem = Diagnostic::error("F002", format!("{} has no input \"{name}\"", family.name))
        .key(name)
        .expected(own.collect::<Vec<_>>().join(", "))
        .example(family.example);
    let part: Vec<&str> = names::inputs(family, name, Closeness::Hint).map(|i| i.name).collect();
    if !part.is_empty() {
        problem = problem.help(format!("did you mean {}?", quoted(&part)));
    } else if let Some(near) = nearest(name, family.inputs.iter().flat_map(|i| names::all_names(family, i))) {
        problem = problem.help(format!("did you mean \"{near}\"?"));
    }
    problem
}

fn quoted(names: &[&str]) -> String {
    names.iter().map(|n| format!("\"{n}\"")).collect::<Vec<_>>().join(" or ")
}

fn read_value(input: &Input, text: &str) -> Result<Value, Diagnostic> {
    let measured = |kind: Kind, text: &str| {
        parse::measured(kind, text)
            .map(|m| Value::Quantity { quantity: m.value, uncertainty: m.uncertainty })
            .map_err(|e| {
                Diagnostic::error("Q001", format!("{}: {}", input.name, e.message))
                    .key(input.name)
                    .expected(e.expected)
                    .example(format!("{}={}", input.name, e.example))
            })
    };
    match input.kind {
        InputKind::Quantity(kind) => measured(kind, infinite(input, each_way(input, text))),
        InputKind::List(kind) => {
            let text = text.trim().trim_start_matches(['[', '(']).trim_end_matches([']', ')']);
            let parts = split_list(text);
            // "6.35, 6.20, 6.48 mm": the unit may stand once, at the end.
            let unit = parts.last().map_or("", |last| {
                last.trim_start_matches(|c: char| c.is_ascii_digit() || "./ +-−".contains(c))
            });
            parts
                .iter()
                .map(|part| match (kind, part.as_str()) {
                    // Signs of joints are written as signs.
                    (Kind::Number, "+") => "1",
                    (Kind::Number, "-" | "−") => "-1",
                    (_, other) => infinite(input, other),
                })
                .map(|part| {
                    if part.contains(|c: char| c.is_alphabetic() || "°\"'%".contains(c)) {
                        measured(kind, part)
                    } else {
                        measured(kind, &format!("{part} {unit}"))
                    }
                })
                .collect::<Result<_, _>>()
                .map(Value::List)
        }
        InputKind::Choice(words) => match twin(input, text).or_else(|| names::choice(text, words)) {
            Some(word) => Ok(Value::word(word)),
            None => {
                let mut problem =
                    Diagnostic::error("F003", format!("{} \"{text}\" is not one of the choices", input.name))
                        .key(input.name)
                        .expected(words.join(", "))
                        .example(format!("{}={}", input.name, words.first().copied().unwrap_or("")));
                if let Some(near) = nearest(text, words.iter().copied()) {
                    problem = problem.help(format!("did you mean \"{near}\"?"));
                }
                Err(problem)
            }
        },
        InputKind::Name => Ok(Value::word(text.trim())),
        InputKind::Flag => match text.trim().to_lowercase().as_str() {
            "yes" | "true" | "1" | "y" | "on" => Ok(Value::Flag(true)),
            "no" | "false" | "0" | "n" | "off" => Ok(Value::Flag(false)),
            _ => Err(Diagnostic::error("F003", format!("{} is yes or no, not \"{text}\"", input.name))
                .key(input.name)
                .expected("yes or no")
                .example(format!("{}=yes", input.name))),
        },
    }
}

/// The word a trade synonym declared at the input stands for.
fn twin(input: &Input, text: &str) -> Option<&'static str> {
    input.twins.iter().find(|(twin, _)| names::alike(text, twin, Closeness::Letters)).map(|(_, word)| *word)
}

/// `±0.05` where the input is the same each way.
fn each_way<'a>(input: &Input, text: &'a str) -> &'a str {
    let text = text.trim();
    if !input.help.contains("each way") {
        return text;
    }
    ["±", "+/-", "+-"].iter().find_map(|sign| text.strip_prefix(sign)).map_or(text, str::trim_start)
}

/// Infinite degrees of freedom, which are written as 0 or in words.
fn infinite<'a>(input: &Input, text: &'a str) -> &'a str {
    let word = text.trim().to_lowercase();
    let endless = matches!(word.as_str(), "inf" | "infinite" | "infinity" | "∞");
    if input.name == "dof" && endless { "0" } else { text }
}

/// Parts of a list, between commas or semicolons; without any, plain decimals
/// between blanks: `6 6 deg`.
fn split_list(text: &str) -> Vec<String> {
    let parts: Vec<String> =
        text.split([',', ';']).map(|p| p.trim().to_owned()).filter(|p| !p.is_empty()).collect();
    let [only] = parts.as_slice() else { return parts };
    let words: Vec<&str> = only.split_whitespace().collect();
    let numbers = words.iter().take_while(|w| w.parse::<f64>().is_ok()).count();
    // "1 1/2 in" is one mixed number: its second word is no plain decimal.
    if numbers < 2 || words.len() > numbers + 1 || words.last().is_some_and(|w| w.contains('/')) {
        return parts;
    }
    let mut list: Vec<String> = words.iter().take(numbers).map(|w| (*w).to_owned()).collect();
    if let (Some(last), Some(unit)) = (list.last_mut(), words.get(numbers)) {
        *last = format!("{last} {unit}");
    }
    list
}

/// Turns a refusal into a diagnostic that says what to give.
#[must_use]
pub fn trouble(family: &Family, trouble: &Trouble) -> Diagnostic {
    let code = match trouble {
        Trouble::Missing(_) => "F010",
        Trouble::OutOfRange { .. } => "F011",
        Trouble::Impossible { .. } => "F012",
        Trouble::Unknown { .. } => "F013",
        Trouble::WrongKind { .. } => "F014",
    };
    let mut problem = Diagnostic::error(code, format!("{}: {trouble}", family.name));
    if let Trouble::Missing(names) = trouble {
        for input in names.iter().filter_map(|n| family.input(n)) {
            problem = problem.help(format!("{}: {} ({})", input.name, input.help, kind_words(input.kind)));
        }
        problem = problem.example(format!("tackwright reckon {} {}", family.name, family.example));
    }
    problem
}

/// An input kind in words.
#[must_use]
pub fn kind_words(kind: InputKind) -> String {
    match kind {
        InputKind::Quantity(kind) => format!("{}, such as {}", kind.word(), kind.example()),
        InputKind::List(kind) => format!("list of {} values, separated by commas", kind.word()),
        InputKind::Choice(words) => words.join(" | "),
        InputKind::Name => "designation".to_owned(),
        InputKind::Flag => "yes | no".to_owned(),
    }
}
