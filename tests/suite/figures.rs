//! Every figure family against checks from outside the project.
//!
//! The rows stand in `tests/cases/figures/*.toml`: inputs as texts, expected
//! results as texts, the tolerance, and the published source of the row. A row
//! either expects values or expects a refusal whose text contains `refused`.

use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;

use serde::Deserialize;
use tackwright::app::reckon;
use tackwright::figure::{Figure, Input, InputKind, Need, OutputKind, Value, registry};
use tackwright::quantity::parse;

use crate::support::golden;

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct File {
    case: Vec<Case>,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct Case {
    pub(crate) id: String,
    pub(crate) figure: String,
    pub(crate) source: String,
    pub(crate) given: BTreeMap<String, String>,
    /// Output id to value text; a list is written as several texts.
    #[serde(default)]
    expect: BTreeMap<String, toml::Value>,
    /// Output id to tolerance: a quantity text, or a percentage such as "0.5 %".
    #[serde(default)]
    within: BTreeMap<String, String>,
    /// Expected standard uncertainty by output id.
    #[serde(default)]
    uncertainty: BTreeMap<String, String>,
    /// Part of the expected refusal.
    refused: Option<String>,
    /// Part of an expected warning.
    warned: Option<String>,
}

pub(crate) fn cases() -> Vec<(String, Case)> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/cases/figures");
    let mut files: Vec<_> = std::fs::read_dir(&folder)
        .expect("the folder of cases")
        .map(|entry| entry.expect("an entry").path())
        .filter(|p| p.extension().is_some_and(|e| e == "toml"))
        .collect();
    files.sort();
    let mut all = Vec::new();
    for path in files {
        let text = std::fs::read_to_string(&path).expect("a readable file");
        let file: File = toml::from_str(&text).unwrap_or_else(|e| panic!("{}: {e}", path.display()));
        let name = path.file_stem().expect("a name").to_string_lossy().into_owned();
        all.extend(file.case.into_iter().map(|case| (name.clone(), case)));
    }
    all
}

fn run(case: &Case) -> Result<Vec<Figure>, String> {
    let family = reckon::names::find(&case.figure).ok_or_else(|| format!("no figure {}", case.figure))?;
    let pairs = case.given.iter().map(|(k, v)| (k.as_str(), v.as_str()));
    let given = reckon::read_inputs(family, pairs)
        .map_err(|r| r.problems.iter().map(|p| p.message.clone()).collect::<Vec<_>>().join("; "))?;
    family.reckon(&given).map_err(|t| t.to_string())
}

/// Compares one value with its text; gives the complaint, if any.
fn complaint(value: &Value, expected: &str, tolerance: Option<&str>) -> Option<String> {
    match value {
        Value::Quantity { quantity, .. } => {
            let wanted = match parse::quantity(quantity.kind(), expected) {
                Ok(wanted) => wanted.si(),
                Err(e) => return Some(e.to_string()),
            };
            let Some(tolerance) = tolerance else {
                return Some("a quantity needs a tolerance in `within`".to_owned());
            };
            let room = match tolerance.strip_suffix('%') {
                Some(percent) if quantity.kind().units().all(|u| u.symbol != "%") => {
                    percent.trim().parse::<f64>().expect("a percentage") / 100.0 * wanted.abs()
                }
                _ => match parse::quantity(quantity.kind(), tolerance) {
                    Ok(room) => {
                        let zero = parse::quantity(
                            quantity.kind(),
                            &tolerance.replace(|c: char| c.is_ascii_digit(), "0"),
                        )
                        .map_or(0.0, |z| z.si());
                        (room.si() - zero).abs()
                    }
                    Err(e) => return Some(e.to_string()),
                },
            };
            let gap = (quantity.si() - wanted).abs();
            (gap.is_nan() || gap > room * (1.0 + 1e-9)).then(|| {
                format!(
                    "got {} {}, wanted {wanted} within {room}",
                    quantity.si(),
                    quantity.kind().si_symbol()
                )
            })
        }
        Value::Word(word) => (word != expected).then(|| format!("got \"{word}\", wanted \"{expected}\"")),
        Value::Flag(flag) => {
            let text = if *flag { "yes" } else { "no" };
            (text != expected).then(|| format!("got {text}, wanted {expected}"))
        }
        Value::List(_) => Some("a list is expected as a list".to_owned()),
    }
}

fn complaints(case: &Case) -> Vec<String> {
    let mut found = Vec::new();
    let outcome = run(case);
    match (&outcome, &case.refused) {
        (Err(text), Some(part)) if text.contains(part.as_str()) => return found,
        (Err(text), _) => return vec![format!("refused: {text}")],
        (Ok(_), Some(part)) => return vec![format!("should be refused with \"{part}\"")],
        (Ok(_), None) => {}
    }
    let figures = outcome.unwrap_or_default();
    if case.expect.is_empty() && case.uncertainty.is_empty() && case.warned.is_none() {
        found.push("expects nothing".to_owned());
    }
    for (id, expected) in &case.expect {
        let Some(figure) = figures.iter().find(|f| f.id == id) else {
            found.push(format!("{id}: not given"));
            continue;
        };
        let tolerance = case.within.get(id).map(String::as_str);
        match (expected, &figure.value) {
            (toml::Value::String(text), value) => {
                found.extend(complaint(value, text, tolerance).map(|c| format!("{id}: {c}")));
            }
            (toml::Value::Array(texts), Value::List(values)) => {
                if texts.len() != values.len() {
                    found.push(format!("{id}: {} values, wanted {}", values.len(), texts.len()));
                }
                for (text, value) in texts.iter().zip(values) {
                    let text = text.as_str().expect("texts in a list");
                    found.extend(complaint(value, text, tolerance).map(|c| format!("{id}: {c}")));
                }
            }
            _ => found.push(format!("{id}: another shape than expected")),
        }
    }
    for (id, expected) in &case.uncertainty {
        let value = figures.iter().find(|f| f.id == id).map(|f| &f.value);
        let Some(Value::Quantity { quantity, uncertainty }) = value else {
            found.push(format!("{id}: no quantity"));
            continue;
        };
        let wanted = parse::quantity(quantity.kind(), expected).expect("an uncertainty").si();
        if (uncertainty / wanted - 1.0).abs() > 0.005 {
            found.push(format!("{id}: standard uncertainty {uncertainty}, wanted {wanted}"));
        }
    }
    if let Some(part) = &case.warned
        && !figures.iter().any(|f| f.warnings.iter().any(|w| w.contains(part.as_str())))
    {
        found.push(format!("no warning with \"{part}\""));
    }
    found
}

#[test]
fn published_rows_are_reproduced() {
    let cases = cases();
    assert!(!cases.is_empty());
    let mut wrong = Vec::new();
    let mut ids = BTreeSet::new();
    for (file, case) in &cases {
        assert!(ids.insert(format!("{file}/{}", case.id)), "{file}: two cases are called {}", case.id);
        assert!(case.source.len() > 8, "{file}/{}: name the source", case.id);
        for complaint in complaints(case) {
            wrong.push(format!("{file}/{} ({}): {complaint}", case.id, case.figure));
        }
    }
    assert!(wrong.is_empty(), "{} rows differ:\n{}", wrong.len(), wrong.join("\n"));
}

#[test]
fn every_output_of_every_family_has_a_row_and_a_source() {
    let cases = cases();
    let mut bare = Vec::new();
    for family in registry::families() {
        let mut seen: BTreeSet<&str> = BTreeSet::new();
        for (_, case) in cases.iter().filter(|(_, c)| c.figure == family.name) {
            seen.extend(case.expect.keys().map(String::as_str));
        }
        for output in family.outputs {
            if !seen.contains(output.id) {
                bare.push(format!("{}.{}", family.name, output.id));
            }
            assert!(!output.source.title.is_empty(), "{}.{} has no source", family.name, output.id);
            assert!(!output.formula.is_empty(), "{}.{} has no formula", family.name, output.id);
        }
    }
    assert!(bare.is_empty(), "{} outputs without a check row: {}", bare.len(), bare.join(", "));
}

#[test]
fn every_family_answers_its_own_example_and_names_what_is_missing() {
    let mut names = BTreeSet::new();
    for family in registry::families() {
        assert!(names.insert(family.name), "two families are called {}", family.name);
        let pairs = example_pairs(family.example);
        let given = reckon::read_inputs(family, pairs.iter().map(|(k, v)| (k.as_str(), v.as_str())))
            .unwrap_or_else(|r| panic!("{}: {:?}", family.name, r.problems));
        let figures = family.reckon(&given).unwrap_or_else(|t| panic!("{}: {t}", family.name));
        assert!(!figures.is_empty(), "{} answers nothing", family.name);
        let asked = family.declared.asked;
        let main = figures[registry::main_output(family, figures.iter().map(|f| f.id))].id;
        assert!(
            asked.is_empty() || asked.contains(&main),
            "{}: its example leaves {asked:?} open",
            family.name
        );
        for figure in &figures {
            assert!(!figure.show().contains("not finite"), "{}.{}", family.name, figure.id);
            let output = family.output(figure.id).expect("declared");
            let fits = match (&figure.value, output.kind) {
                (Value::Quantity { quantity, .. }, OutputKind::Quantity(kind)) => quantity.kind() == kind,
                (Value::Word(_), OutputKind::Word) | (Value::Flag(_), OutputKind::Flag) => true,
                (Value::List(list), OutputKind::List(kind)) => {
                    list.iter().all(|v| v.quantity().is_some_and(|q| q.kind() == kind))
                }
                (Value::List(list), OutputKind::Words) => list.iter().all(|v| matches!(v, Value::Word(_))),
                _ => false,
            };
            assert!(fits, "{}.{} is not of its declared kind", family.name, figure.id);
        }
        let empty = family.reckon(&tackwright::figure::Given::new());
        for input in family.inputs.iter().filter(|i| i.need == Need::Required) {
            let text = empty.as_ref().err().map(ToString::to_string).unwrap_or_default();
            assert!(text.contains(input.name), "{} does not name {}: {text}", family.name, input.name);
        }
    }
}

/// Splits `a=1 b="2 in"` as a shell would.
pub(crate) fn example_pairs(example: &str) -> Vec<(String, String)> {
    let mut words = Vec::new();
    let mut word = String::new();
    let mut quoted = false;
    for c in example.chars() {
        match c {
            '"' => quoted = !quoted,
            ' ' if !quoted => words.push(std::mem::take(&mut word)),
            c => word.push(c),
        }
    }
    words.push(word);
    words
        .into_iter()
        .filter(|w| !w.is_empty())
        .map(|w| w.split_once('=').map(|(k, v)| (k.to_owned(), v.to_owned())).expect("name=value"))
        .collect()
}

/// Every figure, its source, and how many rows of published values check it.
#[test]
fn the_list_of_figures_sources_and_checks_is_current() {
    let cases = cases();
    let mut list = String::from("# figure | source | check rows\n");
    for family in registry::families() {
        for output in family.outputs {
            let rows = cases
                .iter()
                .filter(|(_, c)| c.figure == family.name && c.expect.contains_key(output.id))
                .count();
            assert!(rows > 0, "{}.{} has no check row", family.name, output.id);
            list.push_str(&format!("{}.{} | {} | {rows}\n", family.name, output.id, output.source));
        }
    }
    golden::compare("figures.txt", &list);
}

fn input_texts(pairs: &[(String, String)]) -> impl Iterator<Item = (&str, &str)> {
    pairs.iter().map(|(k, v)| (k.as_str(), v.as_str()))
}

/// A default that can be written as an input: the text to write.
fn stated(input: &Input) -> Option<String> {
    let Need::Default(text) = input.need else { return None };
    match input.kind {
        InputKind::Quantity(kind) if text == "0" => {
            kind.units().next().map(|unit| format!("0 {}", unit.symbol))
        }
        InputKind::Quantity(kind) => parse::quantity(kind, text).is_ok().then(|| text.to_owned()),
        InputKind::Choice(words) => words.contains(&text).then(|| text.to_owned()),
        _ => None,
    }
}

/// No default is silent, and what is printed as the default is what is used:
/// writing it out changes nothing but that it counts as given.
#[test]
fn a_printed_default_is_the_one_used() {
    let cases = cases();
    let (mut tried, mut wrong) = (0, Vec::new());
    for family in registry::families() {
        let example = example_pairs(family.example);
        let rows = cases.iter().filter(|(_, c)| c.figure == family.name && c.refused.is_none());
        let mut runs: Vec<Vec<(String, String)>> =
            rows.map(|(_, c)| c.given.iter().map(|(k, v)| (k.clone(), v.clone())).collect()).collect();
        runs.push(example);
        let mut seen: BTreeSet<&str> = BTreeSet::new();
        for pairs in &runs {
            let Ok(given) = reckon::read_inputs(family, input_texts(pairs)) else { continue };
            let Ok(plain) = family.reckon(&given) else { continue };
            for used in plain.first().map(|f| f.inputs.as_slice()).unwrap_or_default() {
                let Some(default) = used.default else { continue };
                assert!(used.show().ends_with(default), "{}.{} hides its default", family.name, used.name);
                let Some(text) = stated(family.input(used.name).expect("declared")) else { continue };
                if !seen.insert(used.name) {
                    continue;
                }
                tried += 1;
                let mut written = pairs.clone();
                written.push((used.name.to_owned(), text.clone()));
                let given = reckon::read_inputs(family, input_texts(&written))
                    .unwrap_or_else(|r| panic!("{}: {:?}", family.name, r.problems));
                match family.reckon(&given) {
                    Err(trouble) => wrong.push(format!("{} {}={text}: {trouble}", family.name, used.name)),
                    Ok(again) => {
                        for (a, b) in plain.iter().zip(&again) {
                            if a.id != b.id || !same(&a.value, &b.value) {
                                wrong.push(format!(
                                    "{} {}={text}: {} {} becomes {}",
                                    family.name,
                                    used.name,
                                    a.id,
                                    a.show(),
                                    b.show()
                                ));
                            }
                        }
                    }
                }
            }
        }
    }
    assert!(tried > 60, "only {tried} defaults were tried");
    assert!(wrong.is_empty(), "{} defaults are not what is printed:\n{}", wrong.len(), wrong.join("\n"));
}

/// Equal to the last few bits.
fn same(a: &Value, b: &Value) -> bool {
    match (a, b) {
        (Value::Quantity { quantity: a, .. }, Value::Quantity { quantity: b, .. }) => {
            (a.si() - b.si()).abs() <= 1e-9 * a.si().abs().max(b.si().abs()).max(1e-12)
        }
        (Value::List(a), Value::List(b)) => a.len() == b.len() && a.iter().zip(b).all(|(a, b)| same(a, b)),
        (a, b) => a == b,
    }
}

#[test]
fn inputs_are_shown_as_they_were_given() {
    let shown = |family: &str, pairs: &[(&str, &str)], input: &str| {
        let family = registry::find(family).expect("a family");
        let given = reckon::read_inputs(family, pairs.iter().copied()).expect("readable inputs");
        let figures = family.reckon(&given).unwrap_or_else(|t| panic!("{t}"));
        let used = figures[0].inputs.iter().find(|u| u.name == input).expect("a used input");
        used.show()
    };
    let cut = |depth| {
        shown("groove-opening", &[("kerf", "1/16 in"), ("half_angle", "30 deg"), ("depth", depth)], "depth")
    };
    assert_eq!(cut("0.276 in"), "0.276 in (7.01 mm)");
    assert_eq!(cut("9/32 in"), "9/32 in (7.144 mm)");
    assert_eq!(cut("6.2 mm"), "0.244 in (6.2 mm)");
    let turn = |angle| shown("scribe-mark", &[("od", "3 in"), ("rotation", angle)], "rotation");
    assert_eq!(turn("6 deg"), "6.0°");
    assert_eq!(turn("6.25 deg"), "6.25°");
    assert_eq!(turn("6.0 deg ± 0.5 deg (k=2)"), "6.0° ± 0.50° (k = 2)");
}

/// The same case in the other system: each quantity is typed again in every other
/// unit of its kind, and the answer stays what it was, verdicts and codes' columns
/// included. The column belongs to the units a case was typed in, so it is stated.
#[test]
fn a_case_in_other_units_gives_the_same_answer() {
    let mut faults = Vec::new();
    let mut asked = 0;
    for (file, case) in cases() {
        let Some(family) = reckon::names::find(&case.figure) else { continue };
        let texts = case.given.iter().map(|(k, v)| (k.as_str(), v.as_str()));
        let Ok(given) = reckon::read_inputs(family, texts) else { continue };
        let Ok(first) = family.reckon(&given) else { continue };
        for turn in 1..4 {
            let mut other = given.clone();
            for (name, value) in given.iter() {
                if let Some(retyped) = retyped(value, turn) {
                    other.set(name, retyped);
                }
            }
            asked += 1;
            match family.reckon(&other) {
                Ok(second) => {
                    faults.extend(
                        first.iter().zip(&second).filter(|(a, b)| !alike(&a.value, &b.value)).map(
                            |(a, b)| format!("{file} {}: {} {} / {}", case.id, a.id, a.show(), b.show()),
                        ),
                    );
                }
                Err(why) => faults.push(format!("{file} {}: refused: {why}", case.id)),
            }
        }
    }
    assert!(asked > 1500, "{asked}");
    assert!(faults.is_empty(), "{}", faults.join("\n"));
}

/// The value as it is read back when it is typed in another unit of its kind.
fn retyped(value: &Value, turn: usize) -> Option<Value> {
    match value {
        Value::Quantity { quantity, uncertainty } => {
            // A bare number is not clear where a share is meant.
            let units: Vec<_> = quantity.kind().units().filter(|u| !u.symbol.is_empty()).collect();
            if units.is_empty() {
                return None;
            }
            let unit = units[turn % units.len()];
            let text = format!("{} {}", quantity.to(unit), unit.symbol);
            let read =
                parse::quantity(quantity.kind(), text.trim()).unwrap_or_else(|e| panic!("{text}: {e}"));
            Some(Value::Quantity { quantity: read, uncertainty: *uncertainty })
        }
        Value::List(list) => {
            Some(Value::List(list.iter().map(|v| retyped(v, turn).unwrap_or_else(|| v.clone())).collect()))
        }
        Value::Word(_) | Value::Flag(_) => None,
    }
}

/// Equal but for the last digits of a conversion.
fn alike(a: &Value, b: &Value) -> bool {
    match (a, b) {
        (Value::Quantity { quantity: a, .. }, Value::Quantity { quantity: b, .. }) => {
            let (a, b) = (a.si(), b.si());
            (a - b).abs() <= 1e-7 * a.abs().max(b.abs()).max(1e-6)
        }
        (Value::List(a), Value::List(b)) => a.len() == b.len() && a.iter().zip(b).all(|(a, b)| alike(a, b)),
        (Value::Word(a), Value::Word(b)) => {
            // Numbers within words are rounded for show.
            let letters = |text: &str| text.chars().filter(|c| c.is_alphabetic()).collect::<String>();
            letters(a) == letters(b)
        }
        (a, b) => a == b,
    }
}
