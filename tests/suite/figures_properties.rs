//! What holds for every family whatever its inputs: another unit says the same, lengths
//! and forces scale as their dimensions do, left is right in a mirror, and a further ±
//! takes none away. The inputs are those of the rows in `tests/cases/figures`; what is
//! asked of the answers is dimensional analysis (Buckingham 1914), symmetry, and
//! JCGM 100, 5.1.2: variances of independent inputs add.

use tackwright::app::reckon;
use tackwright::figure::{Family, Figure, Given, InputKind, Need, Value};
use tackwright::quantity::{Dimensioned, Kind, Quantity, parse, unit};

use crate::figures_earned::{certain, seeds, setters};

/// A small generator of fixed seed: the same tries on every run (Knuth, MMIX).
struct Tries(u64);

impl Tries {
    fn next(&mut self, below: usize) -> usize {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        usize::try_from(self.0 >> 33).expect("31 bits") % below
    }

    /// A number between these.
    fn between(&mut self, low: f64, high: f64) -> f64 {
        let steps = u32::try_from(self.next(10_001)).expect("few");
        low + (high - low) * f64::from(steps) / 10_000.0
    }
}

/// Numbers of a value in SI units, one after the other.
fn numbers(value: &Value) -> Vec<f64> {
    match value {
        Value::Quantity { quantity, .. } => vec![quantity.si()],
        Value::List(list) => list.iter().flat_map(numbers).collect(),
        _ => Vec::new(),
    }
}

fn words(value: &Value) -> Option<String> {
    match value {
        Value::Word(word) => Some(word.clone()),
        Value::Flag(flag) => Some(flag.to_string()),
        _ => None,
    }
}

/// Whether two sizes are one but for the last digits of the arithmetic; `whole` is the
/// size of what the difference may have been taken from.
fn same(a: f64, b: f64, whole: f64) -> bool {
    // What is left of a difference that is none.
    let nothing = a.abs().max(b.abs()) < 1e-12;
    nothing || (a - b).abs() <= 1e-8 * a.abs().max(b.abs()).max(1e-4 * whole)
}

/// What differs between two answers, with the numbers of the first multiplied.
fn difference(
    first: &[Figure],
    second: &[Figure],
    factor: impl Fn(&Figure) -> Option<f64>,
) -> Option<String> {
    for figure in first {
        let Some(factor) = factor(figure) else { continue };
        let Some(other) = second.iter().find(|f| f.id == figure.id) else {
            return Some(format!("{} is not given", figure.id));
        };
        let (was, is) = (numbers(&figure.value), numbers(&other.value));
        if was.len() != is.len() {
            return Some(format!("{}: {} values and {}", figure.id, was.len(), is.len()));
        }
        let whole = was.iter().fold(0.0_f64, |most, v| most.max((v * factor).abs()));
        for (was, is) in was.iter().zip(&is) {
            if !same(was * factor, *is, whole) {
                return Some(format!("{}: {} and {is}", figure.id, was * factor));
            }
        }
        if words(&figure.value) != words(&other.value) {
            return Some(format!("{}: {:?} and {:?}", figure.id, words(&figure.value), words(&other.value)));
        }
    }
    None
}

/// A value written in a unit of its kind, with every digit.
fn written(value: &Value, kind: Kind, tries: &mut Tries) -> Option<String> {
    // A share of one and above has to carry its sign.
    let units: Vec<_> = kind.units().filter(|unit| kind != Kind::Percent || unit.symbol == "%").collect();
    let chosen = units[tries.next(units.len())];
    let one = |value: &Value| match value {
        Value::Quantity { quantity, uncertainty } if *uncertainty == 0.0 => {
            Some(format!("{} {}", quantity.to(chosen), chosen.symbol).trim().to_owned())
        }
        _ => None,
    };
    match value {
        Value::List(list) => list.iter().map(one).collect::<Option<Vec<_>>>().map(|all| all.join(", ")),
        other => one(other),
    }
}

/// The same question in other units of the same kinds has the same answer: no unit
/// decides over a figure. At the end of a table's row the last digit may, so a row
/// counts as the same if it is that of inputs a hair to either side.
#[test]
fn the_unit_a_value_is_written_in_changes_no_answer() {
    let mut tries = Tries(0x7ac4_0001);
    let mut asked = 0_usize;
    for (id, family, given) in seeds() {
        let figures = family.reckon(&given).expect("a seed");
        let mut texts: Vec<(&str, String)> = Vec::new();
        for (name, value) in given.iter() {
            let input = family.input(name).expect("an input");
            let text = match input.kind {
                InputKind::Quantity(kind) | InputKind::List(kind) => written(value, kind, &mut tries),
                _ => None,
            };
            // The column of a code's table follows the unit unless it is stated.
            let stated = || {
                words(value).map(|word| match word.as_str() {
                    "true" => "yes".to_owned(),
                    "false" => "no".to_owned(),
                    _ => word,
                })
            };
            texts.extend(text.or_else(stated).map(|text| (name, text)));
        }
        if texts.len() != given.iter().count() || !certain(&given) {
            continue;
        }
        let pairs = texts.iter().map(|(name, text)| (*name, text.as_str()));
        let again = reckon::read_inputs(family, pairs)
            .unwrap_or_else(|why| panic!("{id}: {:?}: {texts:?}", why.problems));
        let hairs = [0.0, 1e-12, -1e-12].map(|hair| nudged(&given, hair));
        let answers: Vec<Vec<Figure>> = hairs.iter().filter_map(|g| family.reckon(g).ok()).collect();
        let told = match family.reckon(&again) {
            Ok(other) => {
                let why: Vec<_> =
                    answers.iter().filter_map(|a| difference(a, &other, |_| Some(1.0))).collect();
                if why.len() < answers.len() { None } else { why.into_iter().next() }
            }
            Err(_) if answers.len() < hairs.len() => None,
            Err(why) => Some(why.to_string()),
        };
        assert!(told.is_none(), "{id} ({}): {texts:?}: {}", family.name, told.unwrap_or_default());
        asked += figures.len();
    }
    assert!(asked > 3000, "{asked}");
}

/// Every quantity larger by this share.
fn nudged(given: &Given, share: f64) -> Given {
    fn moved(value: &Value, share: f64) -> Value {
        match value {
            Value::Quantity { quantity, uncertainty } => {
                Value::Quantity { quantity: quantity.moved(quantity.si() * share), uncertainty: *uncertainty }
            }
            Value::List(list) => Value::List(list.iter().map(|item| moved(item, share)).collect()),
            other => other.clone(),
        }
    }
    let mut copy = given.clone();
    for (name, value) in given.iter() {
        copy.set(name, moved(value, share));
    }
    copy
}

/// Powers of length and force in a kind of quantity of statics; none for one that has
/// another dimension.
fn powers(kind: Kind) -> Option<(i32, i32)> {
    Some(match kind {
        Kind::Number | Kind::Angle | Kind::Percent => (0, 0),
        Kind::Length => (1, 0),
        Kind::Area => (2, 0),
        Kind::Volume => (3, 0),
        Kind::SecondMoment => (4, 0),
        Kind::Curvature | Kind::AnglePerLength => (-1, 0),
        Kind::Force => (0, 1),
        Kind::Torque | Kind::AngularStiffness => (1, 1),
        Kind::Stress => (-2, 1),
        Kind::LineForce | Kind::SpringRate => (-1, 1),
        Kind::Compliance => (1, -1),
        _ => return None,
    })
}

/// Families whose figures are dimensionless laws: no length, stress or mark of their own.
const LAWS: &[&str] = &[
    "lift",
    "knuckle-turn",
    "joint-angle",
    "taper-shim",
    "scribe-mark",
    "groove-opening",
    "leaf-halves",
    "leaf-swap",
    "shackle-travel",
    "shackle-rate",
    "axle-path",
    "plunge",
    "pad-offset",
    "squareness",
    "drag-link",
    "hose-length",
    "toe",
    "cope",
    "mitre",
    "equal-division",
    "drill-pattern",
    "gusset",
    "angle-gauge",
    "tapered-plate",
    "tube-straightness",
    "weld-group",
    "base-metal",
    "embedding-loss",
    "turn-to-load",
    "bump-stop",
    "trail",
    "ring-weld",
    "adapter",
    "nut-factor",
    "bent-bracket",
    "caster-to-ground",
    "shock-length",
    "wrap-strip",
];

/// The inputs with lengths and forces larger by these factors, defaults with them.
fn scaled(family: &Family, given: &Given, length: f64, force: f64) -> Option<Given> {
    let mut copy = given.clone();
    for input in family.inputs {
        let (InputKind::Quantity(kind) | InputKind::List(kind)) = input.kind else {
            // A thread or grade of a table has its own sizes.
            if input.kind == InputKind::Name && given.has(input.name) {
                return None;
            }
            continue;
        };
        // A number that counts what stands in an inch.
        if input.name == "tpi" && given.has(input.name) {
            return None;
        }
        let (l, f) = powers(kind)?;
        let factor = length.powi(l) * force.powi(f);
        let stated = given.iter().find(|(name, _)| *name == input.name).map(|(_, value)| value.clone());
        let default = || match input.need {
            Need::Default(text) => parse::measured(kind, text)
                .ok()
                .map(|m| Value::Quantity { quantity: m.value, uncertainty: 0.0 }),
            _ => None,
        };
        // A default in words is worked out from what is scaled already.
        if let Some(value) = stated.or_else(default) {
            copy.set(input.name, times(&value, factor));
        }
    }
    Some(copy)
}

fn times(value: &Value, factor: f64) -> Value {
    match value {
        Value::Quantity { quantity, uncertainty } => Value::Quantity {
            quantity: Quantity::from_si(quantity.kind(), quantity.si() * factor),
            uncertainty: uncertainty * factor,
        },
        Value::List(list) => Value::List(list.iter().map(|item| times(item, factor)).collect()),
        other => other.clone(),
    }
}

/// Twice the size and three times the load: every figure of a law follows its dimension.
#[test]
fn lengths_and_forces_scale_as_their_dimensions_do() {
    let mut asked = std::collections::BTreeMap::new();
    for (id, family, given) in seeds() {
        if !LAWS.contains(&family.name) || !certain(&given) {
            continue;
        }
        let (length, force) = (1.25, 1.5);
        let Some(larger) = scaled(family, &given, length, force) else { continue };
        // Of one size first: the defaults stated.
        let Some(own) = scaled(family, &given, 1.0, 1.0) else { continue };
        let (Ok(first), Ok(second)) = (family.reckon(&own), family.reckon(&larger)) else { continue };
        let told = difference(&first, &second, |figure| {
            let kind = numbers_kind(&figure.value)?;
            powers(kind).map(|(l, f)| length.powi(l) * force.powi(f))
        });
        assert!(told.is_none(), "{id} ({}): {}", family.name, told.unwrap_or_default());
        *asked.entry(family.name).or_insert(0_usize) += 1;
    }
    let silent: Vec<_> = LAWS.iter().filter(|name| !asked.contains_key(**name)).collect();
    assert!(silent.is_empty(), "no row was tried of {silent:?}");
}

/// The kind of the numbers of a value; none for words.
fn numbers_kind(value: &Value) -> Option<Kind> {
    match value {
        Value::Quantity { quantity, .. } => Some(quantity.kind()),
        Value::List(list) => list.first().and_then(numbers_kind),
        _ => None,
    }
}

/// A question asked in texts.
fn ask(name: &str, pairs: &[(&str, String)]) -> Vec<Figure> {
    let family = reckon::family(name).expect("a figure");
    let given = reckon::read_inputs(family, pairs.iter().map(|(k, v)| (*k, v.as_str()))).expect("inputs");
    family.reckon(&given).unwrap_or_else(|why| panic!("{name} {pairs:?}: {why}"))
}

fn number(figures: &[Figure], id: &str) -> f64 {
    figures.iter().find(|f| f.id == id).and_then(|f| f.value.quantity()).expect(id).si()
}

/// Seen in a mirror, left is right: what differs changes its sign, what is common stays.
#[test]
fn left_and_right_change_places_in_a_mirror() {
    let mut tries = Tries(0x7ac4_0003);
    for _ in 0..60 {
        let caster = [tries.between(-6.0, 8.0), tries.between(-6.0, 8.0)].map(|c| format!("{c} deg"));
        let sides =
            |a: &str, b: &str| ask("cross-caster", &[("left", a.to_owned()), ("right", b.to_owned())]);
        let (one, other) = (sides(&caster[0], &caster[1]), sides(&caster[1], &caster[0]));
        assert!(same(number(&one, "cross_caster"), -number(&other, "cross_caster"), 0.1), "{caster:?}");

        let holes = [tries.between(-20.0, 20.0), tries.between(-20.0, 20.0)].map(|c| format!("{c} mm"));
        let pads = |a: &str, b: &str| ask("pad-offset", &[("left", a.to_owned()), ("right", b.to_owned())]);
        let (one, other) = (pads(&holes[0], &holes[1]), pads(&holes[1], &holes[0]));
        for (left, right) in mirrored(&one) {
            assert!(same(number(&one, left), number(&other, right), 0.02), "{left} {right}: {holes:?}");
        }

        let turn = tries.between(-12.0, 12.0);
        let od = tries.between(60.0, 140.0);
        let seam = tries.between(-80.0, 80.0);
        let strip = |side: &str| {
            ask(
                "wrap-strip",
                &[
                    ("od", format!("{od} mm")),
                    ("rotation", format!("{turn} deg")),
                    ("seam", format!("{seam} deg")),
                    ("side", side.to_owned()),
                ],
            )
        };
        let (left, right) = (strip("left"), strip("right"));
        assert!(same(number(&left, "seam_at"), -number(&right, "seam_at"), 0.1));
        assert!(same(number(&left, "arc"), number(&right, "arc"), 0.1));
        let word = |figures: &[Figure], id: &str| {
            figures.iter().find(|f| f.id == id).and_then(|f| words(&f.value)).expect("a word")
        };
        assert_ne!(word(&left, "toward"), word(&right, "toward"));
        assert_ne!(word(&left, "front"), word(&right, "front"));
    }
}

/// Outputs named for the left with their twins for the right.
fn mirrored(figures: &[Figure]) -> Vec<(&'static str, &'static str)> {
    let twin = |id: &'static str| {
        let other = id.replace("left", "right");
        figures.iter().map(|f| f.id).find(|o| *o == other && *o != id).map(|other| (id, other))
    };
    let found: Vec<_> = figures.iter().filter_map(|f| twin(f.id)).collect();
    assert!(found.len() >= 2, "{found:?}");
    found
}

/// Uncertainties by output, each with what the arithmetic itself may leave.
fn spreads(figures: &[Figure]) -> Vec<(&'static str, f64, f64)> {
    let of = |f: &Figure| match f.value {
        Value::Quantity { quantity, uncertainty } => Some((f.id, uncertainty, 1e-12 * quantity.si().abs())),
        _ => None,
    };
    figures.iter().filter_map(of).collect()
}

/// A wider ± of an input makes no result surer. Two inputs have one before, as the ± of
/// a reading takes the place of what its instrument would leave.
#[test]
fn more_uncertainty_never_gives_less() {
    let mut tries = Tries(0x7ac4_0004);
    let mut asked = 0_usize;
    for (id, family, given) in seeds() {
        if !certain(&given) {
            continue;
        }
        let u = |si: f64| 1e-5 * si.abs();
        let all = setters(&given);
        if all.is_empty() {
            continue;
        }
        let (one, other) = (tries.next(all.len()), tries.next(all.len()));
        let (_, si, set) = &all[one];
        let first = set(*si, u(*si));
        let (_, si, set) = &setters(&first)[other];
        let narrow = set(*si, u(*si));
        let Ok(before) = family.reckon(&narrow) else { continue };
        let both = setters(&narrow);
        for at in [one, other] {
            let (name, si, set) = &both[at];
            // A wider ± may reach a limit, and be refused there.
            let Ok(after) = family.reckon(&set(*si, 3.0 * u(*si))) else { continue };
            for (output, small, noise) in spreads(&before) {
                let Some((_, large, _)) = spreads(&after).into_iter().find(|(id, ..)| *id == output) else {
                    continue;
                };
                asked += 1;
                assert!(
                    large >= small * (1.0 - 1e-6) - noise - 1e-15,
                    "{id} ({}): {output} ± {small}, and ± {large} with three times the ± of {name}",
                    family.name
                );
            }
        }
    }
    assert!(asked > 3000, "{asked}");
}

/// No answer holds a minus before nothing: a machine that reads it prints "-0".
#[test]
fn nothing_has_no_sign() {
    let mut found = Vec::new();
    for (id, family, given) in seeds() {
        for figure in family.reckon(&given).expect("a seed") {
            if numbers(&figure.value).iter().any(|n| *n == 0.0 && n.is_sign_negative()) {
                found.push(format!("{id} ({}): {}", family.name, figure.id));
            }
        }
    }
    assert!(found.is_empty(), "{} rows: {}", found.len(), found.join(", "));
}

/// Toe from the two distances between the tyres is toe from their difference, whatever
/// it is measured in.
#[test]
fn toe_is_the_difference_of_two_distances() {
    let mut tries = Tries(0x7ac4_0005);
    let mm = |v: f64| unit::MM.to_si(v);
    for _ in 0..50 {
        let (rear, toe) = (tries.between(1400.0, 1800.0), tries.between(-8.0, 8.0));
        let figures = ask(
            "toe",
            &[
                ("diameter", "750 mm".to_owned()),
                ("rear", format!("{rear} mm")),
                ("front", format!("{} mm", rear - toe)),
            ],
        );
        assert!((number(&figures, "total_length") - mm(toe)).abs() < mm(1e-9));
        let angle = tackwright::quantity::Angle::from_si(2.0 * (toe / 2.0 / 750.0).asin());
        assert!((number(&figures, "total_angle") - angle.si()).abs() < 1e-12);
    }
}

/// The items of a list carry the ± of the inputs as a single value does: arc of a look-up
/// table by the product rule (JCGM 100, 5.1.2), outside the program.
#[test]
fn items_of_a_list_carry_their_uncertainty() {
    let family = tackwright::figure::registry::find("rotation-table").expect("the family");
    let given = reckon::read_inputs(
        family,
        [
            ("target", "6 deg ± 0.3 deg"),
            ("od", "80 mm ± 0.6 mm"),
            ("from", "-2 deg"),
            ("to", "2 deg"),
            ("step", "1 deg"),
        ],
    )
    .expect("inputs");
    let figures = family.reckon(&given).expect("an answer");
    let arc = figures.iter().find(|f| f.id == "arc").expect("the arcs");
    let Value::List(arcs) = &arc.value else { panic!("no list") };
    let degree = std::f64::consts::PI / 180.0;
    for (row, item) in arcs.iter().enumerate() {
        let Value::Quantity { uncertainty, .. } = item else { panic!("no quantity") };
        #[expect(clippy::cast_precision_loss, reason = "five rows")]
        let turn = (8.0 - row as f64) * degree;
        let by_od = turn / 2.0 * 0.0006 / 3.0_f64.sqrt();
        let by_turn = 0.08 / 2.0 * 0.3 * degree / 3.0_f64.sqrt();
        let expected = (by_od * by_od + by_turn * by_turn).sqrt();
        assert!((uncertainty - expected).abs() < 1e-6 * expected, "{row}: {uncertainty}, {expected}");
    }
    assert!(arc.show_uncertainty().expect("a ±").ends_with("at most"), "{:?}", arc.show_uncertainty());
}
