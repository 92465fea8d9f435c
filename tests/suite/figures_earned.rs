//! Over all families at once: ends of a range, impossible inputs, verdicts beside
//! their checks, and claims within their uncertainty. The inputs are those of the
//! rows in `tests/cases/figures`, moved about; what is asked of the answers is logic,
//! no table (ISO 14253-1: conformity is proven with the uncertainty, or not proven).

use std::collections::{BTreeMap, BTreeSet};

use tackwright::app::reckon;
use tackwright::figure::{Family, Figure, Given, InputKind, Rule, Value, registry};
use tackwright::quantity::Kind;

use crate::figures::cases;

/// Every row of the cases that is answered, as its family's inputs.
pub(crate) fn seeds() -> Vec<(String, &'static Family, Given)> {
    let read = |(file, case): (String, crate::figures::Case)| {
        let family = reckon::names::find(&case.figure)?;
        let pairs = case.given.iter().map(|(k, v)| (k.as_str(), v.as_str()));
        let given = reckon::read_inputs(family, pairs).ok()?;
        family.reckon(&given).is_ok().then(|| (format!("{file}/{}", case.id), family, given))
    };
    cases().into_iter().filter_map(read).collect()
}

/// The inputs with one of them at another value, in SI units, with this standard
/// uncertainty; of a list every item.
fn with(given: &Given, name: &'static str, value: &Value, si: f64, uncertainty: f64) -> Given {
    fn moved(value: &Value, si: f64, uncertainty: f64) -> Value {
        match value {
            Value::Quantity { quantity, .. } => {
                Value::Quantity { quantity: quantity.moved(si - quantity.si()), uncertainty }
            }
            Value::List(list) => Value::List(list.iter().map(|item| moved(item, si, uncertainty)).collect()),
            other => other.clone(),
        }
    }
    let mut copy = given.clone();
    copy.set(name, moved(value, si, uncertainty));
    copy
}

/// Single quantities that were given, with their size in SI units.
fn sizes(given: &Given) -> Vec<(&'static str, Value, f64)> {
    given.iter().filter_map(|(name, value)| Some((name, value.clone(), value.quantity()?.si()))).collect()
}

/// One item of a list that was given, at another value, with this standard uncertainty.
fn with_item(
    given: &Given,
    name: &'static str,
    list: &[Value],
    at: usize,
    si: f64,
    uncertainty: f64,
) -> Given {
    let mut list = list.to_vec();
    if let Value::Quantity { quantity, .. } = list[at] {
        list[at] = Value::Quantity { quantity: quantity.moved(si - quantity.si()), uncertainty };
    }
    let mut copy = given.clone();
    copy.set(name, Value::List(list));
    copy
}

/// What sets one quantity of the inputs to a value with an uncertainty.
pub(crate) type Setter<'a> = Box<dyn Fn(f64, f64) -> Given + 'a>;

/// Every quantity that was given, alone or in a list, with its size in SI units and what
/// sets it.
pub(crate) fn setters(given: &Given) -> Vec<(&'static str, f64, Setter<'_>)> {
    let mut found: Vec<(&'static str, f64, Setter<'_>)> = Vec::new();
    for (name, value) in given.iter() {
        match value {
            Value::Quantity { quantity, .. } => {
                found.push((name, quantity.si(), Box::new(move |si, u| with(given, name, value, si, u))));
            }
            Value::List(list) => {
                for (at, item) in list.iter().enumerate() {
                    if let Value::Quantity { quantity, .. } = item {
                        let set = move |si, u| with_item(given, name, list, at, si, u);
                        found.push((name, quantity.si(), Box::new(set)));
                    }
                }
            }
            _ => {}
        }
    }
    found
}

/// Whether nothing given has a ± of its own: one more would be added to it as squares.
pub(crate) fn certain(given: &Given) -> bool {
    fn exact(value: &Value) -> bool {
        match value {
            Value::Quantity { uncertainty, .. } => *uncertainty == 0.0,
            Value::List(list) => list.iter().all(exact),
            _ => true,
        }
    }
    given.iter().all(|(_, value)| exact(value))
}

/// Ends that are not named alike.
const OTHER_ENDS: &[(&str, &str, &str)] = &[
    ("torque", "maker_torque", "maker_torque_max"),
    ("prevailing-torque", "torque", "torque_max"),
    ("wrench-choice", "lowest_mark", "capacity"),
    ("heat-input-window", "cooling_time", "cooling_time_max"),
    ("heat-input-window", "cooling_time_min", "cooling_time"),
];

/// Both ends of every range are held to one rule, which names both.
#[test]
fn swapped_ends_are_refused_by_name_in_every_family() {
    let words = [("min", "max"), ("least", "most"), ("lower", "upper"), ("from", "to"), ("low", "high")];
    let mut pairs: Vec<(&Family, &str, &str)> = Vec::new();
    for family in registry::families() {
        for low in family.inputs {
            for (least, most) in words {
                let Some(stem) = low.name.strip_suffix(least) else { continue };
                let other = format!("{stem}{most}");
                pairs.extend(family.input(&other).map(|high| (family, low.name, high.name)));
            }
        }
        let own = OTHER_ENDS.iter().filter(|(name, ..)| *name == family.name);
        pairs.extend(own.map(|(_, low, high)| (family, *low, *high)));
    }
    assert!(pairs.len() >= 17, "{}", pairs.len());
    for (family, low, high) in pairs {
        let ruled = family.declared.rules.iter().any(|rule| match rule {
            Rule::Ordered(names) => names.contains(&low) && names.contains(&high),
            _ => false,
        });
        assert!(ruled, "{}: {low} and {high} are held to no order", family.name);
        let kind = |name: &str| match family.input(name).expect("an input").kind {
            tackwright::figure::InputKind::Quantity(kind) => kind,
            other => panic!("{name} is {other:?}"),
        };
        let of = |name: &str, number: f64| {
            let unit = kind(name).units().next().expect("a unit");
            Value::Quantity { quantity: tackwright::quantity::Quantity::of(number, unit), uncertainty: 0.0 }
        };
        let ask = |least: f64, most: f64| {
            let mut given = Given::new();
            given.set(family.input(low).expect("an input").name, of(low, least));
            given.set(family.input(high).expect("an input").name, of(high, most));
            family.check(&given).err().map(|why| why.to_string()).unwrap_or_default()
        };
        let refused = ask(3.0, 2.0);
        assert!(refused.contains(low) && refused.contains(high) && refused.contains("exchange"), "{refused}");
        assert!(
            !ask(2.0, 3.0).contains("exchange") && !ask(2.0, 2.0).contains("exchange"),
            "{}",
            family.name
        );
    }
}

/// Whether a figure has a number that is none, in value, text or warning.
fn strange(figure: &Figure) -> Option<String> {
    let finite = figure.value.quantity().is_none_or(|q| q.si().is_finite());
    let text = format!("{} {}", figure.show(), figure.show_uncertainty().unwrap_or_default());
    let words = text.to_lowercase();
    let odd = |word: &str| words.split(|c: char| !c.is_alphanumeric()).any(|w| w == word);
    let minus_nothing = words.replace('\u{2212}', "-").split([' ', ',', '(', ')']).any(|word| {
        word.starts_with("-0") && word.trim_end_matches(|c: char| !c.is_ascii_digit()).parse() == Ok(0.0_f64)
    });
    (!finite || minus_nothing || odd("nan") || odd("inf")).then(|| format!("{}: {text}", figure.id))
}

/// Whatever is typed for one input, a family answers with numbers or says what is
/// wrong with which input; it never panics.
#[test]
fn impossible_inputs_are_refused_or_answered_with_numbers() {
    const TRIED: [f64; 12] =
        [0.0, -1.0, 1e-12, -1e-12, 9.0, 1e3, -1e3, 1e300, -1e300, f64::NAN, f64::INFINITY, f64::NEG_INFINITY];
    let mut asked = 0_usize;
    for (id, family, given) in seeds() {
        for (name, value) in given.iter() {
            for si in TRIED {
                if !value.holds_quantity() {
                    continue;
                }
                asked += 1;
                match family.reckon(&with(&given, name, value, si, 0.0)) {
                    Ok(figures) => {
                        assert!(
                            si.is_finite() && si.abs() < 1e300,
                            "{id}: {}.{name} of {si} is answered",
                            family.name
                        );
                        let odd: Vec<String> = figures.iter().filter_map(strange).collect();
                        assert!(odd.is_empty(), "{id}: {}.{name} of {si}: {odd:?}", family.name);
                    }
                    Err(why) => assert!(!why.to_string().is_empty()),
                }
            }
        }
    }
    assert!(asked > 20_000, "{asked}");
}

/// Claims of an answer: its words and yeses that must be earned.
fn claims<'a>(family: &Family, figures: &'a [Figure]) -> Vec<&'a Figure> {
    figures.iter().filter(|f| family.output(f.id).is_some_and(|o| o.is_claim(&f.value))).collect()
}

/// Checks beside which a verdict of the same family may stand: the verdict is on
/// something else.
const ASIDE: &[(&str, &str)] = &[];

/// No verdict is favourable beside a check that is not: over every row, with each
/// input a little and a lot larger and smaller.
#[test]
fn no_verdict_stands_beside_a_check_that_fails() {
    let mut seen: BTreeMap<&str, usize> = BTreeMap::new();
    let mut wrong = BTreeSet::new();
    for (id, family, given) in seeds() {
        let mut tried = vec![given.clone()];
        for (name, value, si) in sizes(&given) {
            let shares = [0.05, 0.3, 0.7, 0.9, 0.99, 1.01, 1.1, 1.5, 3.0, 20.0];
            tried.extend(shares.iter().map(|share| with(&given, name, &value, si * share, 0.0)));
        }
        for given in tried {
            let Ok(figures) = family.reckon(&given) else { continue };
            let verdicts: Vec<&Figure> =
                claims(family, &figures).into_iter().filter(|f| matches!(f.value, Value::Word(_))).collect();
            for verdict in verdicts {
                *seen.entry(family.name).or_default() += 1;
                for check in figures.iter().filter(|f| matches!(f.value, Value::Flag(_))) {
                    let fails = family.output(check.id).is_some_and(|o| !o.is_claim(&check.value));
                    if fails && !ASIDE.contains(&(family.name, check.id)) {
                        wrong.insert(format!(
                            "{}: {} \"{}\" beside {} {} ({id})",
                            family.name,
                            verdict.id,
                            verdict.show(),
                            check.id,
                            check.show()
                        ));
                    }
                }
                for share in figures.iter().filter(|f| f.id.ends_with("utilisation")) {
                    if share.value.quantity().is_some_and(|q| q.si() > 1.0 + 1e-9) {
                        wrong.insert(format!(
                            "{}: {} beside {} ({id})",
                            family.name,
                            verdict.show(),
                            share.show()
                        ));
                    }
                }
            }
        }
    }
    assert!(wrong.is_empty(), "{wrong:#?}");
    assert!(seen.len() >= 12, "{seen:?}");
}

/// What a decided setting stands for: it is held while its uncertainty is carried (JCGM
/// 100, 5.1.2), and the verdict is on the setting.
const HELD: &[(&str, &str)] =
    &[("torque", "maker_torque"), ("torque", "maker_torque_max"), ("torque", "preload")];

/// The ± of an input is raised until the claim would be another within it: then the
/// claim does not stand, in any family.
#[test]
fn a_claim_falls_when_the_uncertainty_reaches_its_limit() {
    let mut fell: BTreeMap<String, usize> = BTreeMap::new();
    let mut wrong = BTreeSet::new();
    for (id, family, given) in seeds().into_iter().filter(|(.., given)| certain(given)) {
        let Ok(plain) = family.reckon(&given) else { continue };
        for claim in claims(family, &plain) {
            let says = |given: &Given| {
                let figures = family.reckon(given).ok()?;
                let found = figures.into_iter().find(|f| f.id == claim.id)?;
                Some(family.output(found.id).is_some_and(|o| o.is_claim(&found.value)))
            };
            for (name, si, set) in setters(&given) {
                if HELD.contains(&(family.name, name)) {
                    continue;
                }
                for share in [0.002, 0.01, 0.05, 0.2, 0.45] {
                    let u = share * si.abs();
                    if u == 0.0 {
                        continue;
                    }
                    let edge = |k: f64| says(&set(si + k * u, 0.0));
                    // A setting that is decided anew at the edge may save the claim there.
                    if edge(-2.0) != Some(false) && edge(2.0) != Some(false) {
                        continue;
                    }
                    match says(&set(si, u)) {
                        Some(true) => {
                            wrong.insert(format!(
                                "{}.{} stays \"{}\" with {name} ± {share} of it ({id})",
                                family.name,
                                claim.id,
                                claim.show()
                            ));
                        }
                        _ => *fell.entry(format!("{}.{}", family.name, claim.id)).or_default() += 1,
                    }
                }
            }
        }
    }
    assert!(wrong.is_empty(), "{} {wrong:#?}", wrong.len());
    assert!(fell.len() >= 25, "{} {fell:?}", fell.len());
}

/// Values that are called least or greatest and are none to work to: extremes over a
/// turn or a travel, ends of a scatter, readings as they are, strengths and rows of a
/// table (read at the worst of what was stated), parts of the value that is worked to.
const EXTREMES: &[(&str, &[&str])] = &[
    ("knuckle-rotation", &["accept_low", "accept_high"]),
    ("joint-motion", &["ratio_max", "ratio_min", "lead", "speed_max", "speed_min"]),
    ("joint-chain", &["table_limit", "speed_max", "speed_min"]),
    ("shaft-length", &["longest", "shortest"]),
    ("cut-depth", &["wall_min", "wall_max"]),
    ("shackle-travel", &["worst_lean", "closest_to_eye_line"]),
    ("ring-weld", &["bending"]),
    ("hose-length", &["greatest", "spare"]),
    ("drill-pattern", &["room"]),
    ("preheat-category", &["preheat", "preheat_other_column"]),
    ("preheat-hydrogen-control", &["preheat", "index_preheat", "table_preheat", "preheat_other_column"]),
    ("preheat-governs", &["preheat"]),
    ("preheat-guide", &["preheat", "interpass_max"]),
    ("interpass-wait", &["wait_3d", "wait_2d"]),
    ("fillet-size", &["table_leg", "table_leg_inch", "table_leg_metric", "min_leg"]),
    ("tacks", &["min_length"]),
    ("visual-acceptance", &["wait"]),
    ("weld-group", &["stress_normal"]),
    ("passes", &["single_pass_max"]),
    (
        "thread",
        &["pitch_diameter_max", "pitch_diameter_min", "major_max", "major_min", "minor_min", "minor_max"],
    ),
    ("grade", &["yield_stress", "tensile_stress", "tensile_load"]),
    ("torque", &["preload_low", "preload_high"]),
    ("preload-scatter", &["preload_low", "preload_high"]),
    ("prevailing-torque", &["drag_min"]),
];

/// What is called least, greatest, required or needed is a value somebody works to: it
/// is given with its guard, or stands in the list above.
#[test]
fn what_is_called_least_or_greatest_is_a_limit_or_says_what_else_it_is() {
    const CALLED: [&str; 13] = [
        "least", "greatest", "highest", "lowest", "largest", "smallest", "required", "minimum", "slowest",
        "fastest", "shortest", "longest", "wait",
    ];
    let mut bare = Vec::new();
    for family in registry::families() {
        let known = EXTREMES.iter().find(|(name, _)| *name == family.name).map_or(&[][..], |(_, ids)| ids);
        assert!(
            known.iter().all(|id| family.output(id).is_some_and(|o| o.limit.is_none())),
            "{}",
            family.name
        );
        for output in family.outputs.iter().filter(|output| output.limit.is_none()) {
            let quantity = matches!(output.kind, tackwright::figure::OutputKind::Quantity(_));
            let first = output.title.split([' ', ',']).next().unwrap_or_default();
            let called = CALLED.contains(&first) || output.title.ends_with("needed");
            if quantity && called && !known.contains(&output.id) {
                bare.push(format!("{}.{}: {}", family.name, output.id, output.title));
            }
        }
    }
    assert!(bare.is_empty(), "no guard: {bare:#?}");
}

/// A value somebody works to never leaves its safe side when an input is known less well:
/// over every row, with a ± of a fiftieth on each input alone.
#[test]
fn a_value_worked_to_keeps_its_guard() {
    use tackwright::quantity::Toward;
    let mut moved: BTreeSet<String> = BTreeSet::new();
    let mut wrong = BTreeSet::new();
    for (id, family, given) in seeds().into_iter().filter(|(.., given)| certain(given)) {
        if family.outputs.iter().all(|output| output.limit.is_none()) {
            continue;
        }
        let Ok(plain) = family.reckon(&given) else { continue };
        for (name, value, si) in sizes(&given) {
            let Ok(spread) = family.reckon(&with(&given, name, &value, si, 0.02 * si.abs())) else {
                continue;
            };
            for figure in &plain {
                let Some(toward) = family.output(figure.id).and_then(|output| output.limit) else { continue };
                let at = |f: &Figure| f.value.quantity().map(|q| q.si());
                let (Some(before), Some(after)) =
                    (at(figure), spread.iter().find(|f| f.id == figure.id).and_then(at))
                else {
                    continue;
                };
                let step = if toward == Toward::Up { after - before } else { before - after };
                if step < -1e-9 * before.abs() {
                    wrong.insert(format!("{}.{} with {name} ± of it ({id})", family.name, figure.id));
                } else if step > 1e-9 * before.abs() {
                    moved.insert(format!("{}.{}", family.name, figure.id));
                }
            }
        }
    }
    assert!(wrong.is_empty(), "{wrong:#?}");
    assert!(moved.len() >= 30, "{} {moved:?}", moved.len());
}

/// No number stands in for an input without somebody who says so, and the command
/// lists them all.
#[test]
fn every_default_has_a_source() {
    let bare = tackwright::figure::defaults::unsourced();
    assert!(bare.is_empty(), "{bare:#?}");
    let listed = reckon::Reply::Defaults.lines();
    assert!(listed.len() > 200, "{}", listed.len());
    assert!(
        listed.iter().any(|l| l.contains("critical-speed.share | 65 %") && l.contains("common practice"))
    );
}

/// Makers' values without a name can't be looked up: the row says so, or cites what can.
#[test]
fn a_row_of_an_anonymous_maker_says_that_it_cannot_be_looked_up() {
    const LOOKED_UP: &[&str] = &[
        "not traceable here",
        // Edition and place of what has no name here.
        "to 2023, group 32, table 1",
        "2nd edition, p. 25",
        "wheel torque requirements",
        "several alike",
        "from memory",
        "by hand",
        "common practice",
        "outside the program",
        "SAE ",
        "Shigley",
        "AISC ",
        "AWS ",
    ];
    let named = |text: &str| LOOKED_UP.iter().any(|words| text.contains(words));
    let anonymous = |text: &str| {
        text.split(|c: char| !c.is_alphanumeric() && c != '\'')
            .any(|word| matches!(word, "manual" | "manuals" | "maker's" | "makers'" | "chart" | "shop's"))
    };
    let bare: Vec<String> = cases()
        .into_iter()
        .filter(|(_, case)| anonymous(&case.source) && !named(&case.source))
        .map(|(file, case)| format!("{file}/{}: {}", case.id, case.source))
        .collect();
    assert!(bare.is_empty(), "{bare:#?}");
    let outputs = registry::families().flat_map(|family| family.outputs);
    let bare: Vec<String> = outputs
        .map(|output| output.source.to_string())
        .filter(|source| anonymous(source) && !named(source))
        .collect();
    assert!(bare.is_empty(), "{bare:#?}");
}

/// A strength, a speed or a voltage that is a thousand times off is typed like a good one:
/// every input of a kind that the trade knows the size of is told, or refused, outside it.
#[test]
fn what_the_trade_knows_the_size_of_has_a_usual_range() {
    const SIZED: [Kind; 9] = [
        Kind::Stress,
        Kind::Density,
        Kind::Voltage,
        Kind::Current,
        Kind::Speed,
        Kind::HeatInput,
        Kind::RotationSpeed,
        Kind::AngularAcceleration,
        Kind::SpringRate,
    ];
    let mut bare = Vec::new();
    let mut seen = 0;
    for family in registry::families().filter(|family| family.name != "convert") {
        for input in family.inputs {
            let (InputKind::Quantity(kind) | InputKind::List(kind)) = input.kind else { continue };
            if SIZED.contains(&kind) {
                seen += 1;
                if !input.range.words().contains(" to ") {
                    bare.push(format!("{}.{}", family.name, input.name));
                }
            }
        }
    }
    assert!(seen > 40, "{seen} inputs looked at");
    assert!(bare.is_empty(), "no usual range: {}", bare.join(", "));
}

/// Every verdict names the words that claim, so that they are asked again at the edges of
/// what is uncertain.
#[test]
fn every_verdict_says_which_of_its_words_must_be_earned() {
    let mut silent = Vec::new();
    for family in registry::families() {
        for output in family.outputs.iter().filter(|output| output.id == "verdict") {
            if output.claims.is_empty() {
                silent.push(family.name);
            }
        }
    }
    assert!(silent.is_empty(), "verdicts without a claim: {}", silent.join(", "));
}

/// What is open by a family's own word has no second verdict beside it.
#[test]
fn an_open_verdict_stands_alone() {
    let mut open = 0;
    for (name, family, given) in seeds() {
        for (input, value, si) in sizes(&given) {
            let Ok(figures) = family.reckon(&with(&given, input, &value, si, si.abs() * 0.1)) else {
                continue;
            };
            for figure in &figures {
                let Value::Word(word) = &figure.value else { continue };
                if !word.starts_with("not judged") {
                    continue;
                }
                open += 1;
                let title = family.output(figure.id).map_or("", |output| output.title);
                let second = format!("{title}: not proven");
                assert!(
                    !figure.warnings.iter().any(|w| w.starts_with(&second)),
                    "{name}: {input}: {word} and {second}"
                );
            }
        }
    }
    assert!(open > 10, "{open} open verdicts looked at");
}
