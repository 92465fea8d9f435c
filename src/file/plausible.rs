//! Values against their bounds: an unusual one needs `sure = "why"` in its
//! table, an impossible one is refused, with the slip it most likely is.

use toml::de::DeValue;

use super::bounds::{Bound, plain_path};
use super::{Node, Reader, last};
use crate::diagnostic::{Diagnostic, Severity};
use crate::quantity::unit::{self, Unit};
use crate::quantity::{Kind, Quantity, Style, paired, parse, slips};

/// A limit of error larger than this share of a size is a slip: the unit or the
/// point of the limit is wrong.
const WIDEST: f64 = 0.25;

/// As [`WIDEST`], of lengths of an inch and more.
const WIDEST_SIZE: f64 = 0.1;

/// A limit of error of an angle larger than this, in degrees, is a slip.
const COARSEST: f64 = 1.0;

/// Larger numbers are shown as they were typed.
const LONGEST: f64 = 1e9;

/// Names of the two ends of a range, alone or behind a name: `least` and `most`,
/// `cooling_least` and `cooling_most`.
const ENDS: &[(&str, &str)] = &[("least", "most"), ("min", "max"), ("low", "high"), ("lower", "upper")];

/// What holds for the values of a table.
#[derive(Debug, Clone, Copy)]
pub struct Scope<'a> {
    /// Bounds by key.
    pub bounds: &'a [Bound],
    /// Why an unusual value is right all the same.
    pub sure: Option<&'a str>,
    /// Whether the file is written in metric units.
    pub metric: bool,
}

/// Checks every value of a file against its row of `bounds`, in the file's order.
pub fn walk(node: &Node<'_>, bounds: &[Bound], reader: &mut Reader) {
    table(node, Scope { bounds, sure: None, metric: metric(node) }, reader);
}

/// Whether a file says that it is written in metric units.
#[must_use]
pub(super) fn metric(node: &Node<'_>) -> bool {
    ["job", "preference"].into_iter().any(|table| {
        under(node.value, table)
            .and_then(|head| under(head, "units"))
            .is_some_and(|units| matches!(units, DeValue::String(word) if &**word == "metric"))
    })
}

/// What stands under a key of a table.
fn under<'a, 'i>(table: &'a DeValue<'i>, wanted: &str) -> Option<&'a DeValue<'i>> {
    let DeValue::Table(entries) = table else { return None };
    entries.iter().find_map(|(key, value)| {
        let name: &str = key.get_ref();
        (name == wanted).then(|| value.get_ref())
    })
}

fn table(node: &Node<'_>, scope: Scope<'_>, reader: &mut Reader) {
    match node.value {
        DeValue::Table(entries) => {
            let own = entries.iter().find_map(|(key, value)| {
                let name: &str = key.get_ref();
                match (name, value.get_ref()) {
                    ("sure", DeValue::String(text)) if !text.trim().is_empty() => Some(text.trim()),
                    _ => None,
                }
            });
            for (key, value) in entries.iter() {
                let path = crate::file::record::join(&node.key, key.get_ref());
                table(&Node::new(value, path), Scope { sure: own, ..scope }, reader);
            }
            ends(node, reader);
            crosswise(node, Scope { sure: own, ..scope }, reader);
        }
        DeValue::Array(items) => {
            for (index, item) in items.iter().enumerate() {
                table(&Node::new(item, format!("{}[{index}]", node.key)), scope, reader);
            }
        }
        DeValue::String(text) => value(node, text, scope, reader),
        DeValue::Integer(number) => value(node, number.as_str(), scope, reader),
        DeValue::Float(number) => value(node, number.as_str(), scope, reader),
        _ => {}
    }
}

/// Refuses the ends of a range that stand in each other's place, whatever the table
/// is; what can't be read as a quantity is not compared.
fn ends(node: &Node<'_>, reader: &mut Reader) {
    let DeValue::Table(entries) = node.value else { return };
    let texts = || {
        entries.iter().filter_map(|(key, value)| match value.get_ref() {
            DeValue::String(text) => Some((&**key.get_ref(), &**text, value)),
            _ => None,
        })
    };
    for (name, text, _) in texts() {
        let (low, stem) =
            (text, ENDS.iter().find_map(|(least, most)| Some((name.strip_suffix(least)?, *most))));
        let Some((stem, most)) = stem.filter(|(stem, _)| stem.is_empty() || stem.ends_with('_')) else {
            continue;
        };
        let other = format!("{stem}{most}");
        let Some((_, high, place)) = texts().find(|(key, ..)| *key == other) else { continue };
        // Both are of one kind, and the unit of one says of which.
        let symbol = high.trim_start_matches(|c: char| c.is_ascii_digit() || " .,/-+".contains(c)).trim();
        let kinds = if symbol.is_empty() { vec![Kind::Number] } else { unit::kinds_of(symbol) };
        let crossed = kinds.iter().any(|kind| {
            let read = |text: &str| parse::maybe(*kind, text).map(Quantity::si);
            matches!((read(low), read(high)), (Some(low), Some(high)) if low > high + 1e-9 * high.abs())
        });
        if crossed {
            let key = crate::file::record::join(&node.key, &other);
            reader.problem(
                &Node::new(place, key),
                Diagnostic::error("J228", format!("{name} is {low}, above {other}, which is {high}"))
                    .expected(format!("{name} no larger than {other}"))
                    .example(format!("{name} = \"{high}\" and {other} = \"{low}\"")),
            );
        }
    }
}

/// A value of a table with its key, place and bounds.
struct Held<'a> {
    name: &'a str,
    text: &'a str,
    start: usize,
    bound: &'a Bound,
    unit: Unit,
}

impl Held<'_> {
    /// Its text with the number of another value: `160 A` for volts of `22 V` is `160 V`.
    fn as_in(&self, other: &Self) -> Option<String> {
        let head = other.text.split('±').next().unwrap_or(other.text).trim();
        if self.unit.kind == other.unit.kind {
            return Some(head.to_owned());
        }
        let symbol = self.text.split('±').next().unwrap_or(self.text).trim().rsplit_once(' ')?.1;
        let ends: Option<Vec<String>> = head
            .split(" to ")
            .map(|end| Some(format!("{} {symbol}", end.trim().rsplit_once(' ')?.0)))
            .collect();
        Some(ends?.join(" to "))
    }

    /// Whether a value, or both ends of a range, are usual here.
    fn usual(&self, text: &str) -> bool {
        text.split(" to ").all(|end| {
            parse::maybe(self.unit.kind, end).is_some_and(|q| {
                let number = self.unit.from_si(q.si());
                self.bound.usual.0 <= number && number <= self.bound.usual.1
            })
        })
    }
}

/// Kinds that stand side by side on a weld card and are written into each other's place.
const NEIGHBOURS: &[(Kind, Kind)] = &[(Kind::Voltage, Kind::Current), (Kind::Current, Kind::Voltage)];

/// Tells two values of a table that stand in each other's place: one at least is outside
/// its bounds, and each is usual where the other stands.
fn crosswise(node: &Node<'_>, scope: Scope<'_>, reader: &mut Reader) {
    let DeValue::Table(entries) = node.value else { return };
    let held: Vec<Held<'_>> = entries
        .iter()
        .filter_map(|(key, value)| {
            let DeValue::String(text) = value.get_ref() else { return None };
            let name: &str = key.get_ref();
            let plain = plain_path(&crate::file::record::join(&node.key, name));
            let bound = scope.bounds.iter().find(|b| b.key == plain)?;
            Some(Held { name, text, start: value.span().start, bound, unit: bound.unit()? })
        })
        .collect();
    let doubted = |held: &Held<'_>, reader: &Reader| {
        reader.report.problems.iter().position(|p| {
            matches!(p.code, "J101" | "J107") && p.span.as_ref().is_some_and(|s| s.range.start == held.start)
        })
    };
    for (at, first) in held.iter().enumerate() {
        let Some(problem) = doubted(first, reader) else { continue };
        let unmended = reader.report.problems.get(problem).is_some_and(|p| p.example.contains('…'));
        let alike = |other: &Held<'_>| first.unit.kind == other.unit.kind;
        let fits = |a: &Held<'_>, b: &Held<'_>| a.as_in(b).is_some_and(|text| a.usual(&text));
        let partners: Vec<&Held<'_>> = held
            .iter()
            .enumerate()
            .filter(|(other_at, other)| {
                let near = alike(other) || NEIGHBOURS.contains(&(first.unit.kind, other.unit.kind));
                *other_at != at && near && fits(first, other) && fits(other, first)
            })
            .map(|(_, other)| other)
            .collect();
        // One wrong value of two of a kind may be any slip, if another mends it.
        let sure = partners.iter().find(|p| !alike(p) || doubted(p, reader).is_some()).or_else(|| {
            let [only] = partners.as_slice() else { return None };
            unmended.then_some(only)
        });
        // A pair is told at both its places, in the order of the file.
        let lines = |other: &Held<'_>| {
            let (a, b) = if first.start < other.start { (first, other) } else { (other, first) };
            let (of_a, of_b) = (a.as_in(b)?, b.as_in(a)?);
            let lines = format!("{} = \"{of_a}\" and {} = \"{of_b}\"", a.name, b.name);
            Some((format!("{} and {} look swapped", a.name, b.name), lines))
        };
        let Some(problem) = reader.report.problems.get_mut(problem) else { continue };
        if let Some((said, lines)) = sure.and_then(|other| lines(other)) {
            problem.example = lines;
            problem.help.insert(0, said);
        } else if let Some((_, lines)) =
            partners.first().filter(|_| partners.len() == 1).and_then(|p| lines(p))
        {
            problem.help.insert(0, format!("or two values are swapped: {lines}"));
        }
    }
}

fn value(node: &Node<'_>, text: &str, scope: Scope<'_>, reader: &mut Reader) {
    let plain = plain_path(&node.key);
    let Some(bound) = scope.bounds.iter().find(|b| b.key == plain) else { return };
    // What was refused when it was read has been told already.
    let told = |p: &Diagnostic| {
        p.severity == Severity::Error && p.span.as_ref().is_some_and(|s| s.range == node.range)
    };
    if reader.report.problems.iter().any(told) {
        return;
    }
    let name = last(&node.key);
    // A range is judged by both its ends; which end it is, is said with it.
    let lower = text.to_lowercase();
    if let Some((low, high)) = lower.split_once(" to ") {
        let problem =
            judge(name, low.trim(), bound, scope).or_else(|| judge(name, high.trim(), bound, scope));
        if let Some(mut problem) = problem {
            problem.example = format!("{name} = \"…\", both ends with their unit");
            reader.problem(node, problem);
        }
        return;
    }
    let text = ["at least ", "at most "].iter().find_map(|w| lower.strip_prefix(w)).unwrap_or(text);
    if let Some(problem) = judge(name, text, bound, scope) {
        reader.problem(node, problem);
    }
}

/// What is to be said of a value by its bounds: refused, to be confirmed with `sure`,
/// or told because it was.
#[must_use]
pub fn judge(name: &str, text: &str, bound: &Bound, scope: Scope<'_>) -> Option<Diagnostic> {
    let unit = bound.unit()?;
    // What can't be read has been reported already.
    let read = parse::maybe_measured(unit.kind, text)?;
    let number = unit.from_si(read.value.si());
    // A slip of the keyboard has no end of digits; it is shown as it was typed.
    let words = if bound.unit.is_empty() && number.fract() == 0.0 && number.abs() < LONGEST {
        // A count.
        format!("{number}")
    } else if number.abs() < LONGEST {
        let style = Style::of(unit.kind).fine_enough(read.value);
        if scope.metric { style.metric_first() } else { style }.both(read.value)
    } else {
        format!("\"{text}\"")
    };
    let shown = |value: f64| {
        if scope.metric && paired::of_inches(unit.symbol) {
            Style::of(unit.kind).si(Quantity::of(value, unit))
        } else {
            show(unit, value)
        }
    };
    let between = |(low, high): (f64, f64)| format!("{} to {}", shown(low), shown(high));
    let inside = |(low, high): (f64, f64)| {
        let room = 1e-9 * (high - low);
        (low - room..=high + room).contains(&number)
    };
    if !inside(bound.possible) {
        let problem = Diagnostic::error("J101", format!("{name} of {words} can't be right"))
            .expected(format!("usually {}, never outside {}", between(bound.usual), between(bound.possible)));
        return Some(propose(problem, (name, text), (bound, unit), scope.metric));
    }
    let limit = read.uncertainty * 3.0_f64.sqrt();
    // A finder that is off by more than a degree finds nothing (common practice).
    let coarse = unit.kind == Kind::Angle && unit.difference_from_si(limit) > COARSEST + 1e-9;
    if coarse {
        return Some(
            Diagnostic::error("J106", format!("the limit of error of {name} is more than {COARSEST} deg"))
                .expected("the limit of error of the finder it was read with")
                .example(format!("{name} = \"{}\"", text.split(['±', '+']).next().unwrap_or(text).trim())),
        );
    }
    // What a tape or a caliper reads is not off by a tenth of an inch and more in one.
    let sized = unit.kind == Kind::Length && read.value.si() >= unit::IN.to_si(1.0);
    let (widest, share) = if sized { (WIDEST_SIZE, "a tenth") } else { (WIDEST, "a quarter") };
    if bound.possible.0 > 0.0 && limit > widest * read.value.si().abs() {
        return Some(
            Diagnostic::error("J106", format!("the limit of error of {name} is larger than {share} of it"))
                .expected("a limit of error far smaller than the value, in the unit it was read in")
                .example(format!("{name} = \"{}\"", text.split(['±', '+']).next().unwrap_or(text).trim())),
        );
    }
    if inside(bound.usual) {
        return None;
    }
    if let Some(why) = scope.sure {
        return Some(
            Diagnostic::warning("J108", format!("{name} of {words} is unusual; the file says: {why}"))
                .expected(between(bound.usual))
                .example(if bound.unit.is_empty() {
                    format!("{name} = {text}")
                } else {
                    format!("{name} = \"{text}\"")
                }),
        );
    }
    let problem = Diagnostic::stop("J107", format!("{name} of {words} is unusual"))
        .expected(format!("usually {}", between(bound.usual)))
        .help("if it is right all the same, write beside it: sure = \"why it is right\"");
    Some(propose(problem, (name, text), (bound, unit), scope.metric))
}

fn show(unit: Unit, value: f64) -> String {
    format!("{value} {}", unit.symbol).trim_end().to_owned()
}

/// Adds what the writer most likely meant: the same number in the other unit,
/// with the other sign, or with the point moved. Only what is usual is offered.
fn propose(
    problem: Diagnostic,
    (name, text): (&str, &str),
    (bound, unit): (&Bound, Unit),
    metric: bool,
) -> Diagnostic {
    let usual = |text: &str| {
        parse::maybe(unit.kind, text).is_some_and(|q| {
            let number = unit.from_si(q.si());
            bound.usual.0 <= number && number <= bound.usual.1
        })
    };
    let head = text.split(['±']).next().unwrap_or(text).trim();
    let (number, symbol) = match head.rfind(' ') {
        Some(at) => (&head[..at], head[at + 1..].trim()),
        None => (head, ""),
    };
    let mut tries: Vec<String> = slips::radius(name, unit.kind, text).into_iter().collect();
    let swap: &[(&str, &str)] = &[
        ("mm", "in"),
        ("cm", "in"),
        ("ft", "in"),
        ("N·m", "lbf-ft"),
        ("lbf-in", "lbf-ft"),
        ("degC", "degF"),
        ("degF", "degC"),
        ("kg", "lb"),
        ("rad", "deg"),
        ("psi", "ksi"),
        ("ksi", "MPa"),
        ("MPa", "ksi"),
        ("in/s", "in/min"),
        ("mm/s", "mm/min"),
        ("m/s", "m/min"),
        ("mm/min", "m/min"),
        ("m/min", "mm/min"),
        ("ft/min", "in/min"),
    ];
    tries.extend(swap.iter().filter(|(from, _)| *from == symbol).map(|(_, to)| format!("{number} {to}")));
    tries.push(match number.strip_prefix(['-', '−']) {
        Some(plain) => format!("{plain} {symbol}"),
        None => format!("-{number} {symbol}"),
    });
    if let Ok(plain) = number.trim().parse::<f64>() {
        for factor in [10.0, 100.0, 1000.0] {
            tries.push(format!("{} {symbol}", few_digits(plain / factor)));
            tries.push(format!("{} {symbol}", few_digits(plain * factor)));
        }
    }
    // A point is lost more often than inches are written for millimetres, of which nobody
    // writes a fraction.
    if symbol == "in" && !number.contains('/') {
        tries.push(format!("{number} mm"));
    }
    // A job is not measured in the units it does not use.
    let foreign = |t: &str| metric && t.rsplit(' ').next().is_some_and(paired::of_inches);
    // A count stays one.
    let counts = |t: &str| bound.unit.is_empty() && !t.contains('.');
    let like = |t: &str| !counts(text) || counts(t);
    match tries.iter().map(|t| t.trim()).find(|t| usual(t) && !foreign(t) && like(t)) {
        Some(meant) if bound.unit.is_empty() => problem.example(format!("{name} = {meant}")),
        Some(meant) => problem.example(format!("{name} = \"{meant}\"")),
        // A number nobody wrote is none to write.
        None if bound.unit.is_empty() => {
            let whole = bound.usual.0.fract() == 0.0 && bound.usual.1.fract() == 0.0;
            problem.example(format!("{name} = …, {} again", if whole { "counted" } else { "measured" }))
        }
        None if problem.severity == Severity::Stop => {
            problem.example(format!("{name} = \"{text}\" and sure = \"…\""))
        }
        None => problem.example(format!("{name} = \"…\", measured again")),
    }
}

/// A number without the digits that reckoning in twos leaves behind.
fn few_digits(value: f64) -> f64 {
    format!("{value:.9}").parse().unwrap_or(value)
}
