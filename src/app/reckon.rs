//! One figure family computed from `name=value` texts: a quick answer at the
//! bench, and the way outside check cases reach the figures.

pub mod machine;
pub mod reply;

pub use reply::{Reply, Unanswered, ask};

use crate::diagnostic::{Diagnostic, Report, nearest};
use crate::figure::{Family, Given, Input, InputKind, Trouble, Value, registry};
use crate::quantity::{Kind, parse};

/// The family of this name.
///
/// # Errors
/// A diagnostic with the nearest name, if there is none.
pub fn family(name: &str) -> Result<&'static Family, Diagnostic> {
    registry::find(name).ok_or_else(|| {
        let mut problem = Diagnostic::error("F001", format!("there is no figure called \"{name}\""))
            .expected("a name from `tackwright reckon`");
        if let Some(near) = nearest(name, registry::families().map(|f| f.name)) {
            problem = problem.help(format!("did you mean \"{near}\"?"));
        }
        problem
    })
}

/// Reads `name=value` pairs as inputs of a family.
///
/// # Errors
/// All problems: unknown names, wrong units, wrong words.
pub fn read_inputs<'a>(
    family: &Family,
    pairs: impl IntoIterator<Item = (&'a str, &'a str)>,
) -> Result<Given, Report> {
    let mut given = Given::new();
    let mut report = Report::new();
    for (name, text) in pairs {
        let Some(input) = family.input(name) else {
            report.push(unknown_input(family, name));
            continue;
        };
        match read_value(input, text) {
            Ok(value) => {
                given.set(input.name, value);
            }
            Err(problem) => report.push(problem),
        }
    }
    if report.has_errors() { Err(report) } else { Ok(given) }
}

fn unknown_input(family: &Family, name: &str) -> Diagnostic {
    let names = family.inputs.iter().map(|i| i.name);
    let mut problem = Diagnostic::error("F002", format!("{} has no input \"{name}\"", family.name))
        .key(name)
        .expected(names.clone().collect::<Vec<_>>().join(", "))
        .example(family.example);
    let all = names.chain(family.inputs.iter().flat_map(|i| i.aliases.iter().copied()));
    if let Some(near) = nearest(name, all) {
        problem = problem.help(format!("did you mean \"{near}\"?"));
    }
    problem
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
        InputKind::Quantity(kind) => measured(kind, text),
        InputKind::List(kind) => {
            let parts: Vec<&str> = text.split([',', ';']).map(str::trim).filter(|p| !p.is_empty()).collect();
            // "6.35, 6.20, 6.48 mm": the unit may stand once, at the end.
            let unit = parts.last().map_or("", |last| {
                last.trim_start_matches(|c: char| c.is_ascii_digit() || "./ +-−".contains(c))
            });
            parts
                .iter()
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
        InputKind::Choice(words) => {
            let wanted = text.trim().to_lowercase();
            match words.iter().find(|w| w.to_lowercase() == wanted) {
                Some(word) => Ok(Value::word(*word)),
                None => {
                    let mut problem = Diagnostic::error(
                        "F003",
                        format!("{} \"{text}\" is not one of the choices", input.name),
                    )
                    .key(input.name)
                    .expected(words.join(", "))
                    .example(format!(
                        "{}={}",
                        input.name,
                        words.first().copied().unwrap_or("")
                    ));
                    if let Some(near) = nearest(text, words.iter().copied()) {
                        problem = problem.help(format!("did you mean \"{near}\"?"));
                    }
                    Err(problem)
                }
            }
        }
        InputKind::Name => Ok(Value::word(text.trim())),
        InputKind::Flag => match text.trim().to_lowercase().as_str() {
            "yes" | "true" | "1" => Ok(Value::Flag(true)),
            "no" | "false" | "0" => Ok(Value::Flag(false)),
            _ => Err(Diagnostic::error("F003", format!("{} is yes or no, not \"{text}\"", input.name))
                .key(input.name)
                .expected("yes or no")
                .example(format!("{}=yes", input.name))),
        },
    }
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
