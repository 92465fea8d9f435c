//! The same figure prints the same digits everywhere: every number with a unit on
//! every page of every demonstration job is one form of the figure it is near to,
//! or was typed by somebody.

use std::collections::BTreeSet;
use std::path::Path;

use serde_json::Value as Json;
use tackwright::app::issue::compose;
use tackwright::app::plan::{load, plan, shelf};
use tackwright::app::{System, figures};
use tackwright::quantity::show::on_tape;
use tackwright::quantity::{Kind, Quantity, Style, parse};

use crate::golden::jobs;

/// Kinds of which a page shows numbers that could be mistaken for each other.
const KINDS: [Kind; 6] =
    [Kind::Length, Kind::Angle, Kind::Torque, Kind::HeatInput, Kind::Force, Kind::LineForce];
/// How near a number comes to a figure to be meant for it.
const NEAR: f64 = 0.0025;

/// Numbers with a unit in a text: `117-1/2 in`, `24.79°`.
fn numbers(text: &str) -> Vec<String> {
    let text = text.replace('°', "° ");
    let words: Vec<&str> = text
        .split(|c: char| c.is_whitespace() || "(),;:=[]\"'".contains(c))
        .filter(|w| !w.is_empty())
        .collect();
    let number = |word: &str| {
        let word = word.trim_start_matches(['−', '-']);
        word.starts_with(|c: char| c.is_ascii_digit())
            && word.chars().all(|c| c.is_ascii_digit() || "./-°".contains(c))
    };
    let mut found = Vec::new();
    for (at, word) in words.iter().enumerate() {
        if !number(word) {
            continue;
        }
        let unit = words.get(at + 1).map_or("", |w| w.trim_end_matches('.'));
        // 59 °F is a temperature.
        if word.ends_with('°') && !unit.starts_with(['F', 'C']) {
            found.push((*word).to_owned());
        } else if KINDS.iter().any(|kind| kind.units().any(|u| !u.symbol.is_empty() && u.symbol == unit)) {
            found.push(format!("{word} {unit}"));
        }
    }
    found
}

fn texts(value: &Json, into: &mut Vec<String>) {
    match value {
        Json::String(text) => into.push(text.clone()),
        Json::Array(items) => items.iter().for_each(|item| texts(item, into)),
        // The words of a rule hold the constants of its source.
        Json::Object(map) => {
            map.iter().filter(|(key, _)| *key != "formula").for_each(|(_, item)| texts(item, into));
        }
        _ => {}
    }
}

/// What a procedure or a job states, as it may be shown in both units.
fn typed(text: &str, into: &mut BTreeSet<String>) {
    for number in numbers(text) {
        for kind in KINDS {
            if let Ok(quantity) = parse::quantity(kind, &number) {
                let style = Style::of(kind);
                let tape = on_tape(quantity, true);
                for style in
                    [style, style.up(), style.down(), style.fine_enough(quantity), tape.up(), tape.down()]
                {
                    into.extend(numbers(&style.both(quantity)));
                }
            }
        }
        into.insert(number);
    }
}

#[test]
fn a_figure_prints_the_same_digits_everywhere() {
    let shelf = shelf(&System, None).expect("the procedures that ship load");
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let mut stated = BTreeSet::new();
    for entry in std::fs::read_dir(root.join("templates/procedures")).expect("the procedures") {
        let path = entry.expect("an entry").path();
        typed(&std::fs::read_to_string(&path).expect("a text"), &mut stated);
    }
    let (mut faults, mut seen) = (Vec::new(), 0);
    for job in jobs() {
        let loaded = load(&System, &job, &shelf).expect("a sound job");
        let plan = plan(&loaded, &shelf).expect("a plan");
        let mut known = stated.clone();
        typed(&std::fs::read_to_string(&job).expect("a text"), &mut known);
        let mut exact: Vec<(Quantity, String)> = Vec::new();
        for row in &loaded.figures.rows {
            let shown = figures::show(&loaded, &row.figure);
            known.extend(numbers(&shown));
            known.extend(numbers(&figures::spread(&loaded, &row.figure)));
            for used in &row.figure.inputs {
                known.extend(numbers(&used.show()));
                known.extend(numbers(&used.show_metric()));
            }
            // A direction may stand in words.
            known.extend(numbers(&shown.replace('−', "")));
            if let Some(quantity) = row.figure.value.quantity() {
                exact.push((quantity, format!("{} {}: {shown}", row.owner.words(), row.name)));
            }
        }
        let mut pages = Vec::new();
        texts(&serde_json::to_value(compose(&plan)).expect("a document"), &mut pages);
        for text in &pages {
            for number in numbers(text) {
                seen += 1;
                if known.contains(&number) {
                    continue;
                }
                for kind in KINDS {
                    let Ok(printed) = parse::quantity(kind, &number) else { continue };
                    let near = exact.iter().find(|(figure, _)| {
                        let (a, b) = (figure.si(), printed.si());
                        figure.kind() == kind && a != 0.0 && (a - b).abs() <= NEAR * a.abs()
                    });
                    if let Some((_, figure)) = near {
                        faults.push(format!("{}: {number} in \"{text}\" is near {figure}", job.display()));
                    }
                }
            }
        }
    }
    assert!(seen > 2000, "{seen}");
    assert!(faults.is_empty(), "{}", faults.join("\n"));
}
