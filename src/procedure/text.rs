//! Operation texts: `minijinja` in strict mode over what the figures say.
//!
//! Templates never compute: they place finished texts. A figure prints as its
//! shop and SI text; `.shop`, `.si` print one of them, `.known` tells whether it
//! could be computed, `.zero` whether it prints as nothing at all; an unknown one
//! prints as a line to write on.

use std::fmt;
use std::sync::Arc;

use minijinja::value::{Object, Value};
use minijinja::{Environment, Error, ErrorKind, UndefinedBehavior};

use super::catalogue::{self, Scope};
use super::stated;
use crate::figure::Value as Stated;
use crate::job::model::Units;
use crate::quantity::{Quantity, Style};

/// Put before a figure in a text: what follows is printed strong. Nobody can
/// type it: control characters are refused in every file.
pub const STRONG: char = '\u{2}';

/// Put behind a figure in a text.
pub const PLAIN: char = '\u{3}';

/// What a number below zero begins with, as quantities are shown.
const MINUS: char = '−';

/// What an unknown figure prints as: a line to write on.
pub const BLANK: &str = "__________";

/// A figure as texts see it. Put into words when a text asks for it: most figures of a
/// component are named by none of its texts.
#[derive(Debug, Clone, PartialEq)]
pub struct Shown {
    /// Its value and how it is shown; `None` if it can't be computed yet.
    figure: Option<(Stated, Option<Style>)>,
}

impl Shown {
    /// A value, and how it is shown.
    #[must_use]
    pub fn of(value: Stated, style: Option<Style>) -> Self {
        Self { figure: Some((value, style)) }
    }

    /// A figure that can't be computed yet.
    #[must_use]
    pub fn unknown() -> Self {
        Self { figure: None }
    }

    /// Both forms, safely rounded.
    fn both(&self) -> Option<String> {
        self.figure.as_ref().map(|(value, style)| value.show_with(*style))
    }

    /// One form; a value that has but one prints that.
    fn one(&self, write: fn(Style, Quantity) -> String) -> String {
        let single =
            self.figure.as_ref().and_then(|(value, style)| Some(write((*style)?, value.quantity()?)));
        single.or_else(|| self.both()).unwrap_or_else(|| BLANK.to_owned())
    }

    /// The shop's form.
    fn shop(&self) -> String {
        self.one(|style, quantity| style.shop(quantity))
    }

    /// The SI form.
    fn si(&self) -> String {
        self.one(|style, quantity| style.si(quantity))
    }

    /// Its size, and the word for which way its sign means.
    fn way(&self, plus: &str, minus: &str) -> String {
        let Some(text) = self.both() else { return format!("{} {plus} or {minus}", strong(BLANK)) };
        let way = if text.starts_with(MINUS) { minus } else { plus };
        format!("{} {way}", strong(&text.replace(MINUS, "")))
    }

    /// Whether it is printed with no digit but 0: "0 in ahead" says nothing.
    fn zero(&self) -> bool {
        let shop = self.shop();
        let mut digits = shop.chars().filter(char::is_ascii_digit).peekable();
        self.figure.is_some() && digits.peek().is_some() && digits.all(|d| d == '0')
    }
}

impl Object for Shown {
    fn get_value(self: &Arc<Self>, key: &Value) -> Option<Value> {
        match key.as_str()? {
            "known" => Some(Value::from(self.figure.is_some())),
            "zero" => Some(Value::from(self.zero())),
            "shop" => Some(Value::from(strong(&self.shop()))),
            "si" => Some(Value::from(strong(&self.si()))),
            _ => None,
        }
    }

    fn is_true(self: &Arc<Self>) -> bool {
        self.figure.is_some()
    }

    fn render(self: &Arc<Self>, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&strong(self.both().as_deref().unwrap_or(BLANK)))
    }
}

/// A text between the marks of strong print.
fn strong(text: &str) -> String {
    format!("{STRONG}{text}{PLAIN}")
}

/// A strict environment: an unknown name is an error, nothing is escaped
/// because the result is data for the typesetter, never markup.
#[must_use]
pub fn environment() -> Environment<'static> {
    let mut environment = Environment::new();
    environment.set_undefined_behavior(UndefinedBehavior::Strict);
    environment.set_auto_escape_callback(|_| minijinja::AutoEscape::None);
    environment
}

/// The environment of a job's texts: `q` shows a stated quantity in its units, `most`
/// one that nothing may go beyond, `way` a figure with the word for its sign.
#[must_use]
pub fn environment_in(units: Units) -> Environment<'static> {
    let mut environment = environment();
    environment.add_function("q", move |text: &str| {
        stated::shown(text, units).map_err(|e| Error::new(ErrorKind::InvalidOperation, e))
    });
    environment.add_function("way", |figure: &Value, plus: &str, minus: &str| {
        let shown = figure.downcast_object_ref::<Shown>();
        shown.map(|s| s.way(plus, minus)).ok_or_else(|| {
            Error::new(
                ErrorKind::InvalidOperation,
                "way needs a figure: way(f.axle_shift, 'forward', 'back')",
            )
        })
    });
    environment.add_function("most", move |text: &str| {
        stated::most(text, units).map_err(|e| Error::new(ErrorKind::InvalidOperation, e))
    });
    environment.add_function("least", move |text: &str| {
        stated::least(text, units).map_err(|e| Error::new(ErrorKind::InvalidOperation, e))
    });
    environment
}

/// Names a text may use besides figures.
const ROOTS: &[(&str, &[&str])] = &[
    ("unit", &["name", "welded", "wheels_stay"]),
    (
        "c",
        &[
            "id",
            "name",
            "kind",
            "driven",
            "steered",
            "grouped",
            "concerns",
            "end",
            "work",
            "shaft_in_work",
            "longer",
            "lifting",
            "short_arc",
            "construction",
            "brakes",
            "tube",
        ],
    ),
    (
        "j",
        &[
            "id",
            "title",
            "symbol",
            "process",
            "filler",
            "inspection",
            "tests",
            "test",
            "test_tools",
            "f",
            "safety",
        ],
    ),
    ("b", &["id", "title", "thread", "grade", "count", "f"]),
];

/// Words that are not names of ours: the language's own, and loop helpers.
const LANGUAGE: &[&str] = &[
    "if",
    "elif",
    "else",
    "endif",
    "for",
    "endfor",
    "in",
    "is",
    "not",
    "and",
    "or",
    "true",
    "false",
    "none",
    "defined",
    "length",
    "join",
    "loop",
    "set",
    "joints",
    "tested_with",
    "fasteners",
    "has",
    "side",
    "map",
    "first",
    "last",
    "upper",
    "lower",
    "capitalize",
    "q",
    "most",
    "least",
    "way",
];

/// Complaints about a text: syntax errors and names nobody knows. `expression`
/// says that the whole text is a condition.
#[must_use]
pub fn complaints(text: &str, expression: bool) -> Vec<String> {
    let environment = environment();
    let compiled = if expression {
        environment.compile_expression(text).map(|_| ())
    } else {
        environment.template_from_str(text).map(|_| ())
    };
    if let Err(error) = compiled {
        return vec![format!("the text can't be read: {error}")];
    }
    let mut found: Vec<String> =
        quoted(text).filter_map(|quantity| stated::shown(quantity, Units::Metric).err()).collect();
    for path in paths(text, expression, Some(PRINTS)) {
        if let Some(complaint) = unknown(&path) {
            found.push(complaint);
        }
    }
    // What prints is marked for strong print: compared with a word it is never the same.
    for path in paths(text, expression, None) {
        if path.ends_with(".shop") || path.ends_with(".si") {
            found.push(format!("\"{path}\" is printed, not asked: a condition asks .known or .zero"));
        }
    }
    found
}

/// Quantities a text states: what stands in quotes behind `q('`, `most('` and `least('`.
fn quoted(text: &str) -> impl Iterator<Item = &str> {
    ["q('", "most('", "least('"].into_iter().flat_map(move |call| {
        text.split(call).skip(1).filter_map(|rest| rest.split_once('\'')).map(|(quoted, _)| quoted)
    })
}

fn unknown(path: &str) -> Option<String> {
    let parts: Vec<&str> = path.split('.').collect();
    let figure = |scope: Scope, name: &str, rest: &[&str]| {
        if catalogue::find(scope, name).is_none() {
            let near = crate::diagnostic::nearest(name, catalogue::names(scope));
            let hint = near.map_or(String::new(), |n| format!("; did you mean \"{n}\"?"));
            return Some(format!("there is no figure \"{path}\"{hint}"));
        }
        match rest {
            [] | ["known" | "zero" | "shop" | "si"] => None,
            _ => Some(format!("a figure has known, zero, shop and si, not \"{path}\"")),
        }
    };
    match parts.as_slice() {
        ["f", name, rest @ ..] => figure(Scope::Component, name, rest),
        ["fs", name, rest @ ..] => figure(Scope::Side, name, rest),
        ["j", "f", name, rest @ ..] => figure(Scope::Joint, name, rest),
        ["b", "f", name, rest @ ..] => figure(Scope::Fastener, name, rest),
        [root, name] if ROOTS.iter().any(|(r, names)| r == root && names.contains(name)) => None,
        [word, ..] if LANGUAGE.contains(word) => None,
        _ => Some(format!("there is no name \"{path}\"")),
    }
}

/// What opens an expression that is printed.
const PRINTS: &str = "{{";

/// Dotted names inside the expressions of a text, strings left out: of all of them, or
/// of its conditions alone.
fn paths(text: &str, expression: bool, printed: Option<&str>) -> Vec<String> {
    let mut found = Vec::new();
    let mut rest = text;
    if expression {
        names_in(text, &mut found);
        return found;
    }
    while let Some(start) = printed.and_then(|p| rest.find(p)).into_iter().chain(rest.find("{%")).min() {
        let close = if rest[start..].starts_with(PRINTS) { "}}" } else { "%}" };
        let body = &rest[start + 2..];
        let end = body.find(close).unwrap_or(body.len());
        names_in(&body[..end], &mut found);
        rest = body.get(end + 2..).unwrap_or("");
    }
    found
}

fn names_in(code: &str, found: &mut Vec<String>) {
    let mut word = String::new();
    let mut quote = None;
    for c in code.chars().chain([' ']) {
        if let Some(open) = quote {
            if c == open {
                quote = None;
            }
            continue;
        }
        if c.is_alphanumeric() || c == '_' || (c == '.' && !word.is_empty()) {
            word.push(c);
            continue;
        }
        if c == '"' || c == '\'' {
            quote = Some(c);
        }
        let name = std::mem::take(&mut word);
        if name.starts_with(|c: char| c.is_alphabetic() || c == '_') {
            found.push(name.trim_end_matches('.').to_owned());
        }
    }
}
