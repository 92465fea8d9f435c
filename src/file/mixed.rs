//! A value in a unit its file does not count in, which would be as usual in the one it
//! does: 110 N·m among pound-feet may be either, and the two differ by a third.

use toml::de::DeValue;

use super::bounds::{Bound, plain_path};
use super::{Node, Reader, last};
use crate::diagnostic::{Diagnostic, Severity};
use crate::quantity::{Kind, Style, Unit, parse, slips};

/// Units of an inch job and of a metric one, by kind.
const SYSTEMS: &[(Kind, &[&str], &[&str])] = &[
    (Kind::Length, &["in", "ft"], &["mm", "cm", "m"]),
    (Kind::Mass, &["lb"], &["kg", "t"]),
    (Kind::Force, &["lbf", "kip"], &["N", "kN"]),
    (Kind::Torque, &["lbf-ft", "lbf-in"], &["N·m"]),
    (Kind::Stress, &["ksi", "psi"], &["MPa"]),
    (Kind::Temperature, &["degF"], &["degC"]),
    (Kind::Speed, &["in/min", "ft/min"], &["mm/min", "m/min"]),
];

/// A value of the file with its bounds.
struct Value<'a> {
    node: Node<'a>,
    text: &'a str,
    bound: &'a Bound,
    unit: Unit,
    /// Whether it is in a unit the file does not count in.
    foreign: bool,
    sure: Option<&'a str>,
}

/// Asks about every value that stands alone in its unit and may be of the other.
pub fn walk(node: &Node<'_>, bounds: &[Bound], reader: &mut Reader) {
    let metric = super::plausible::metric(node);
    let mut values = Vec::new();
    gather(node, bounds, (metric, None), &mut values);
    for value in values.iter().filter(|v| v.foreign) {
        let table = |v: &Value<'_>| v.node.key.rsplit_once('.').map(|(t, _)| t.to_owned());
        let alike = values.iter().filter(|v| v.bound.unit == value.bound.unit);
        // A table, or a file, that counts in nothing else is of another's sheet.
        let own = alike.clone().filter(|v| table(v) == table(value));
        let all = |mut of: Vec<&Value<'_>>| {
            of.retain(|v| v.node.key != value.node.key);
            !of.is_empty() && of.iter().all(|v| v.foreign)
        };
        if all(own.collect()) || all(alike.collect()) {
            continue;
        }
        let told = reader.report.problems.iter().any(|p| {
            matches!(p.severity, Severity::Error | Severity::Stop)
                && p.span.as_ref().is_some_and(|s| s.range == value.node.range)
        });
        if !told && let Some(problem) = doubt(value, metric) {
            reader.problem(&value.node, problem);
        }
    }
}

fn gather<'a>(
    node: &Node<'a>,
    bounds: &'a [Bound],
    (metric, sure): (bool, Option<&'a str>),
    values: &mut Vec<Value<'a>>,
) {
    match node.value {
        DeValue::Table(entries) => {
            let own = entries.iter().find_map(|(key, value)| match (&**key.get_ref(), value.get_ref()) {
                ("sure", DeValue::String(text)) if !text.trim().is_empty() => Some(text.trim()),
                _ => None,
            });
            for (key, value) in entries.iter() {
                let path = super::record::join(&node.key, key.get_ref());
                gather(&Node::new(value, path), bounds, (metric, own), values);
            }
        }
        DeValue::Array(items) => {
            for (index, item) in items.iter().enumerate() {
                gather(&Node::new(item, format!("{}[{index}]", node.key)), bounds, (metric, sure), values);
            }
        }
        DeValue::String(text) => {
            let plain = plain_path(&node.key);
            let Some(bound) = bounds.iter().find(|b| b.key == plain) else { return };
            let Some(unit) = bound.unit() else { return };
            let Some((_, inch, si)) = SYSTEMS.iter().find(|(kind, ..)| *kind == unit.kind) else { return };
            let Some(symbol) = slips::unit_of(unit.kind, text) else { return };
            let foreign = if metric { inch.contains(&symbol) } else { si.contains(&symbol) };
            values.push(Value { node: node.clone(), text, bound, unit, foreign, sure });
        }
        _ => {}
    }
}

/// What is to be said of a value whose digits are as usual in the unit of the file.
fn doubt(value: &Value<'_>, metric: bool) -> Option<Diagnostic> {
    let (_, inch, si) = SYSTEMS.iter().find(|(kind, ..)| *kind == value.unit.kind)?;
    let home = if metric { si } else { inch };
    let usual = |text: &str| {
        parse::maybe(value.unit.kind, text).is_some_and(|q| {
            let number = value.unit.from_si(q.si());
            value.bound.usual.0 <= number && number <= value.bound.usual.1
        })
    };
    let read = parse::maybe(value.unit.kind, value.text)?;
    if read.si() == 0.0 || !usual(value.text) {
        return None;
    }
    let others = slips::in_other_units(value.unit.kind, value.text);
    let same = others.into_iter().find(|t| home.iter().any(|u| t.ends_with(&format!(" {u}"))) && usual(t))?;
    // Nobody weighs a unit to a hundredth of a pound.
    let style = Style::of(value.unit.kind);
    let style = if value.unit.kind == Kind::Mass { style.as_example() } else { style.near_enough(read) };
    let turned = if metric { style.si(read) } else { style.shop(read) };
    let name = last(&value.node.key);
    let said = value.text.split('±').next().unwrap_or(value.text).trim();
    Some(
        Diagnostic::stop(
            "J258",
            format!("{name} of {said} stands alone in its unit, and {same} is as usual"),
        )
        .expected(if metric {
            "a value in metric units, as the job counts"
        } else {
            "a value in inch units, as the job counts"
        })
        .example(format!("{name} = \"{same}\" or {name} = \"{turned}\""))
        .help("if it is right all the same, write beside it: sure = \"why it is right\"")
        .unless_sure(value.sure),
    )
}
