//! Springs, travel and placing the axle against methods written apart from the
//! program: integrated beams, minimised energy, brute-force roots.

mod placing;
mod shackle;
mod springs;

use std::collections::BTreeMap;

use libm::fabs;
use tackwright::app::reckon;
use tackwright::figure::{Given, InputKind, Value, registry};
use tackwright::quantity::{Dimensioned, Length, Quantity, unit};

/// Quantity results of a family in SI units.
pub(crate) fn answer(family: &str, inputs: &[(&str, String)]) -> Result<BTreeMap<String, f64>, String> {
    let family = registry::find(family).expect("a family");
    let given = reckon::read_inputs(family, inputs.iter().map(|(k, v)| (*k, v.as_str())))
        .unwrap_or_else(|r| panic!("{:?}", r.problems));
    let figures = family.reckon(&given).map_err(|t| t.to_string())?;
    Ok(figures
        .iter()
        .filter_map(|f| match &f.value {
            Value::Quantity { quantity, .. } => Some((f.id.to_owned(), quantity.si())),
            _ => None,
        })
        .collect())
}

pub(crate) fn warnings(family: &str, inputs: &[(&str, String)]) -> Vec<String> {
    let family = registry::find(family).expect("a family");
    let given = reckon::read_inputs(family, inputs.iter().map(|(k, v)| (*k, v.as_str()))).expect("inputs");
    family.reckon(&given).expect("an answer")[0].warnings.clone()
}

pub(crate) fn mm(value: f64) -> String {
    format!("{value} mm")
}

pub(crate) fn degrees(value: f64) -> String {
    format!("{value} deg")
}

pub(crate) fn length(millimetres: f64) -> Length {
    Length::of(millimetres, unit::MM)
}

pub(crate) fn near(a: f64, b: f64, relative: f64) -> bool {
    fabs(a - b) <= relative * fabs(a).max(fabs(b)).max(1e-12)
}

/// Simpson's rule with 2000 intervals.
pub(crate) fn integrate(from: f64, to: f64, f: impl Fn(f64) -> f64) -> f64 {
    let n = 2000;
    let h = (to - from) / f64::from(n);
    (0..=n)
        .map(|i| {
            let weight = if i == 0 || i == n {
                1.0
            } else if i % 2 == 1 {
                4.0
            } else {
                2.0
            };
            weight * f(from + f64::from(i) * h)
        })
        .sum::<f64>()
        * h
        / 3.0
}

/// Halving of a bracket, for any continuous function that changes sign.
pub(crate) fn root(mut low: f64, mut high: f64, f: impl Fn(f64) -> f64) -> f64 {
    let rising = f(low) < 0.0;
    assert!((f(high) >= 0.0) == rising, "no change of sign");
    for _ in 0..200 {
        let middle = 0.5 * (low + high);
        if (f(middle) < 0.0) == rising { low = middle } else { high = middle }
    }
    0.5 * (low + high)
}

/// Families of this part, by name.
const FAMILIES: [&str; 23] = [
    "leaf-rate",
    "leaf-halves",
    "leaf-swap",
    "shackle-travel",
    "shackle-rate",
    "axle-path",
    "plunge",
    "wind-up",
    "ring-weld",
    "pad-offset",
    "squareness",
    "clearance-angles",
    "stability",
    "drag-link",
    "hose-length",
    "shock-length",
    "bump-stop",
    "toe",
    "tyre-size",
    "cope",
    "tapered-plate",
    "template-scale",
    "tube-straightness",
];

/// The example of a family as a shell would split it.
fn example(family: &tackwright::figure::Family) -> Given {
    let parts: Vec<&str> = family.example.split('"').collect();
    let mut pairs: Vec<(String, String)> = Vec::new();
    for (i, part) in parts.iter().enumerate() {
        if i % 2 == 1 {
            pairs.last_mut().expect("a name before a quote").1 = (*part).to_owned();
            continue;
        }
        for word in part.split_whitespace() {
            let (name, value) = word.split_once('=').expect("name=value");
            pairs.push((name.to_owned(), value.to_owned()));
        }
    }
    reckon::read_inputs(family, pairs.iter().map(|(k, v)| (k.as_str(), v.as_str()))).expect("an example")
}

#[test]
fn absurd_inputs_are_refused_or_answered_never_a_panic() {
    let mut refused = 0;
    let mut answered = 0;
    for name in FAMILIES {
        let family = registry::find(name).expect("a family");
        for input in family.inputs {
            let (InputKind::Quantity(kind) | InputKind::List(kind)) = input.kind else { continue };
            for value in [0.0, -1.0, 1e-9, 1e9, -1e9, 1.0, 1e300, f64::MIN_POSITIVE] {
                let mut given = example(family);
                let value = Value::exact(Quantity::from_si(kind, value));
                given.set(
                    input.name,
                    if matches!(input.kind, InputKind::List(_)) { Value::List(vec![value]) } else { value },
                );
                match family.reckon(&given) {
                    Ok(figures) => {
                        answered += 1;
                        for figure in figures {
                            if let Value::Quantity { quantity, .. } = figure.value {
                                assert!(quantity.si().is_finite(), "{name} {}: {}", input.name, figure.id);
                            }
                        }
                    }
                    Err(trouble) => {
                        refused += 1;
                        assert!(trouble.to_string().len() > 10);
                    }
                }
            }
        }
    }
    assert!(refused > 200 && answered > 200, "{refused} refused, {answered} answered");
}

#[test]
fn a_name_at_the_bench_means_one_input() {
    for name in FAMILIES {
        let family = registry::find(name).expect("a family");
        let mut names: Vec<&str> =
            family.inputs.iter().flat_map(|i| i.aliases.iter().copied().chain([i.name])).collect();
        let all = names.len();
        names.sort_unstable();
        names.dedup();
        assert_eq!(names.len(), all, "{name} has an input name twice");
    }
}
