//! One figure family computed from `name=value` texts: a quick answer at the
//! bench, and the way outside check cases reach the figures.

mod list;
pub mod machine;
pub mod names;
pub mod reply;
mod value;

pub use reply::{Reply, Unanswered, ask};
use value::read_value;

use crate::diagnostic::{Diagnostic, Report, nearest};
use crate::figure::fastening::{friction, nut_factor};
use crate::figure::metrology::{budget, decision, reading};
use crate::figure::welding::column::Column;
use crate::figure::{Family, Figure, Given, Input, InputKind, Rule, Trouble, Used, Value, registry};
use crate::quantity::{Kind, parse, unit};

/// Families that ask the same question for other kinds of quantity: the first
/// takes plain numbers.
static SIBLINGS: &[&[&Family]] = &[
    &[&decision::DECISION, &decision::LENGTH_DECISION, &decision::ANGLE_DECISION, &decision::TORQUE_DECISION],
    &[&decision::UNCERTAINTY_RATIO, &decision::LENGTH_RATIO, &decision::ANGLE_RATIO, &decision::TORQUE_RATIO],
    &[&budget::UNCERTAINTY_BUDGET, &budget::LENGTH_BUDGET, &budget::ANGLE_BUDGET, &budget::TORQUE_BUDGET],
    // K asked for by friction, or the k of an expanded uncertainty.
    &[&nut_factor::NUT_FACTOR, &friction::TORQUE_FRICTION, &budget::COVERAGE_FACTOR],
    &[&reading::READING, &reading::LENGTH_READING, &reading::ANGLE_READING, &reading::TORQUE_READING],
];

/// Families to try after this one when its inputs are of another kind.
fn siblings(family: &Family) -> impl Iterator<Item = &'static Family> {
    let own = SIBLINGS.iter().filter(|row| row.first().is_some_and(|first| first.name == family.name));
    own.flat_map(|row| row.iter().skip(1)).copied()
}

/// The family of this name.
///
/// # Errors
/// A diagnostic with the nearest names, if there is none.
pub fn family(name: &str) -> Result<&'static Family, Diagnostic> {
    names::find(name).ok_or_else(|| {
        let mut problem = Diagnostic::error("F001", format!("there is no figure called \"{name}\""))
            .expected("a name from `tackwright reckon`");
        for near in likely(name) {
            problem = problem.help(format!("did you mean \"{}\": {}?", near.name, near.title));
        }
        problem
    })
}

/// The families a name that is none was likely meant for: a slip of the fingers
/// in a name or synonym, or one that has the typed word among its own.
fn likely(typed: &str) -> Vec<&'static Family> {
    let typed = typed.to_lowercase().replace(['_', ' '], "-");
    let slips = match typed.chars().count() {
        0..=3 => 0,
        4..=6 => 1,
        _ => 2,
    };
    let known = |f: &Family| -> Vec<&'static str> {
        std::iter::once(f.name).chain(f.declared.other_names.iter().copied()).collect()
    };
    let slipped: Vec<_> = registry::families()
        .filter(|f| known(f).iter().any(|name| strsim::osa_distance(&typed, name) <= slips))
        .collect();
    if !slipped.is_empty() {
        return slipped;
    }
    let word = |typed: &str| -> Vec<_> {
        let has = |f: &&Family| known(f).iter().any(|name| name.split('-').any(|word| word == typed));
        registry::families().filter(|f| typed.len() > 2 && has(f)).take(3).collect()
    };
    let whole = word(&typed);
    if !whole.is_empty() {
        return whole;
    }
    let mut parts: Vec<&'static Family> = Vec::new();
    for family in typed.split('-').flat_map(word) {
        if !parts.iter().any(|known| known.name == family.name) {
            parts.push(family);
        }
    }
    parts.truncate(4);
    parts
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
        siblings(family)
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
    pairs.sort_by_key(|(name, _)| family.input(name).is_none());
    let mut metric = Vec::new();
    let mut typed: Vec<(&str, &str)> = Vec::new();
    for (name, text) in pairs {
        match place(family, &given, &typed, name, text) {
            Ok((input, value)) => {
                typed.push((input.name, name));
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
    let unit = parse::maybe_measured(Kind::Length, text).map(|measured| measured.unit).or_else(named);
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
        let lists =
            |stem: &str| names::inputs(family, stem).iter().any(|i| matches!(i.kind, InputKind::List(_)));
        // `angle1=5deg angle2=4deg` for `angles`.
        let plural = format!("{stem}s");
        let numbered = stem != name && names::inputs(family, name).is_empty();
        let list = numbered && (lists(stem) || lists(&plural));
        let stem = if list && !lists(stem) { plural.as_str() } else { stem };
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

/// The input a typed name means and the value read for it. A name that stands
/// for several goes to the one whose kind the value is of.
fn place(
    family: &Family,
    given: &Given,
    typed: &[(&str, &str)],
    name: &str,
    text: &str,
) -> Result<(&'static Input, Value), Diagnostic> {
    let mut refusal = None;
    let mut fits = Vec::new();
    for input in names::inputs(family, name) {
        if given.has(input.name) {
            refusal.get_or_insert_with(|| given_twice(input, typed, name));
            continue;
        }
        match read_value(input, name, text) {
            Ok(value) => fits.push((input, value)),
            Err(mut problem) => {
                // A share where a force is asked for is an input of its own.
                let share =
                    |i: &&Input| i.name != input.name && matches!(i.kind, InputKind::Quantity(Kind::Percent));
                if let Some(other) = family.inputs.iter().find(share).filter(|_| text.trim().ends_with('%')) {
                    problem = problem.help(format!("did you mean {}=\"{text}\"?", other.name));
                }
                if input.name != name {
                    problem = problem.help(format!("\"{name}\" is read as {}: {}", input.name, input.help));
                }
                refusal.get_or_insert(problem);
            }
        }
    }
    // Its own name before the same name as a synonym.
    if let Some(own) = fits.iter().position(|(input, _)| input.name == name) {
        return Ok(fits.swap_remove(own));
    }
    if fits.len() > 1 {
        return Err(ambiguous(family, name, fits.iter().map(|(input, _)| input.name)));
    }
    if let Some(found) = fits.pop() {
        return Ok(found);
    }
    // "tube_od_mm=76.2": the unit stands in the name, unless that is an input's own
    // ("pore_sum_foot" is a sum in the worst foot).
    let own = family.inputs.iter().any(|input| names::all_names(input).any(|known| known == name));
    if !own
        && let Some((bare, symbol)) = names::split_unit(name)
        && !unit::kinds_of(symbol).is_empty()
        && !has_unit(text)
        && let Ok((input, value)) = place(family, given, typed, bare, &format!("{text} {symbol}"))
        && matches!(input.kind, InputKind::Quantity(_) | InputKind::List(_))
    {
        return Ok((input, value));
    }
    Err(refusal.unwrap_or_else(|| unknown_input(family, name, text)))
}

fn has_unit(text: &str) -> bool {
    text.contains(|c: char| c.is_alphabetic() || "°\"'%".contains(c))
}

/// `rpm=500`, `percent=1`: the name says the unit of a bare number.
fn unit_in_name<'a>(kind: Kind, name: &'a str, text: &str) -> Option<&'a str> {
    if has_unit(text) {
        return None;
    }
    if kind == Kind::Percent && name.split('_').any(|word| word == "percent") {
        return Some("%");
    }
    (name.len() > 1 && unit::find(kind, name).is_some()).then_some(name)
}

fn given_twice(input: &Input, before: &[(&str, &str)], typed: &str) -> Diagnostic {
    let first = before.iter().find(|(name, _)| *name == input.name).map_or(input.name, |(_, first)| *first);
    let how = if first == typed {
        format!("{} is given twice", input.name)
    } else {
        format!("{} is given twice, as \"{first}\" and as \"{typed}\"", input.name)
    };
    Diagnostic::error("F005", how)
        .key(input.name)
        .expected("each input once")
        .help(format!("{}: {}", input.name, input.help))
}

fn ambiguous<'a>(family: &Family, typed: &str, may_be: impl Iterator<Item = &'a str>) -> Diagnostic {
    Diagnostic::error("F006", format!("\"{typed}\" could be several inputs of {}", family.name))
        .key(typed)
        .expected(may_be.collect::<Vec<_>>().join(" or "))
        .example(family.example)
}

/// Inputs that were given but that no figure of the answer depends on.
#[must_use]
pub fn unused(given: &Given, figures: &[Figure]) -> Vec<&'static str> {
    let family = figures.first().and_then(|f| registry::find(f.family));
    family.map_or_else(Vec::new, |family| family.idle(given))
}

/// Inputs the figures rest on: those given, but for the idle ones, and the
/// defaults of those not given.
#[must_use]
pub fn used<'a>(given: &Given, figures: &'a [Figure]) -> Vec<&'a Used> {
    let idle = unused(given, figures);
    let all = figures.first().map_or(&[][..], |f| &f.inputs);
    all.iter().filter(|used| !idle.contains(&used.name)).collect()
}

/// What to heed in an answer: an input that changed nothing first, then the
/// warnings of the figures.
#[must_use]
pub fn warnings(given: &Given, figures: &[Figure]) -> Vec<String> {
    idle(given, figures)
        .into_iter()
        .chain(figures.first().map(|f| f.warnings.clone()).unwrap_or_default())
        .collect()
}

/// What was given and changed nothing, in words.
#[must_use]
pub fn idle(given: &Given, figures: &[Figure]) -> Vec<String> {
    let unused = unused(given, figures);
    let family = figures.first().and_then(|f| registry::find(f.family));
    let idle = family.map_or_else(Vec::new, |family| family.idle_spreads(given));
    let spreads: Vec<String> = idle
        .into_iter()
        .filter(|name| !unused.contains(name))
        .map(|name| {
            format!("the ± of {name} reaches no result: none below has an uncertainty or a verdict that rests on it.")
        })
        .collect();
    let read = given.names_read();
    unused
        .into_iter()
        .map(|name| {
            if read.contains(name) {
                format!("{name} was given and changes nothing here: every figure below is the same without it. Check whether it belongs here.")
            } else {
                format!("{name} was given and is not used: no figure below depends on it. Check whether it belongs here.")
            }
        })
        .chain(spreads)
        .collect()
}

fn unknown_input(family: &Family, name: &str, text: &str) -> Diagnostic {
    let own = family.inputs.iter().map(|i| i.name);
    let mut problem = Diagnostic::error("F002", format!("{} has no input \"{name}\"", family.name))
        .key(name)
        .expected(own.collect::<Vec<_>>().join(", "));
    let words =
        |name: &str| name.to_lowercase().split(['_', '-', ' ']).map(str::to_owned).collect::<Vec<_>>();
    let typed = words(name);
    let most = |input: &Input| {
        let own: Vec<String> = names::all_names(input).flat_map(words).collect();
        typed.iter().filter(|word| word.len() > 2 && own.contains(word)).count()
    };
    let best = family.inputs.iter().map(most).max().filter(|best| *best > 0);
    let part: Vec<&str> =
        family.inputs.iter().filter(|i| Some(most(i)) == best).map(|i| i.name).take(4).collect();
    // A near name of a few letters is another quantity, CE is no CET, unless its
    // letters were struck in another order.
    let struck = |name: &str| {
        let mut letters: Vec<char> = name.to_lowercase().chars().collect();
        letters.sort_unstable();
        letters
    };
    // What cannot hold the value is not what was meant.
    let holds = |i: &&Input| text.trim().is_empty() || read_value(i, i.name, text).is_ok();
    let near = nearest(name, family.inputs.iter().filter(holds).flat_map(names::all_names))
        .filter(|near| name.chars().count() > 3 || struck(near) == struck(name));
    match (part.as_slice(), near) {
        (&[one], _) | ([], Some(one)) => {
            problem = problem.help(format!("did you mean \"{one}\"?"));
            if names::inputs(family, one).iter().any(holds) {
                problem = problem.example(pair(one, text));
            }
        }
        ([], None) => {}
        (several, _) => problem = problem.help(format!("did you mean {}?", quoted(several))),
    }
    for (other, input) in taken_by(family, name, text).into_iter().take(2) {
        problem = problem.help(format!("{} takes it, as {}: {}", other.name, input.name, other.title));
    }
    problem
}

/// The families akin to this one, of the same first word, that take an input of
/// this very name.
fn taken_by(family: &Family, name: &str, text: &str) -> Vec<(&'static Family, &'static Input)> {
    let first = |name: &'static str| name.split('-').next().unwrap_or(name);
    // A letter means something else in every book.
    let akin =
        |f: &&'static Family| name.len() > 1 && f.name != family.name && first(f.name) == first(family.name);
    let taken = |f: &'static Family| {
        let named = |i: &&Input| {
            names::all_names(i).any(|own| names::alike(name, own)) && read_value(i, i.name, text).is_ok()
        };
        f.inputs.iter().find(named).map(|input| (f, input))
    };
    registry::families().filter(akin).filter_map(taken).collect()
}

/// `name=value` as a shell takes it.
fn pair(name: &str, text: &str) -> String {
    if !text.is_empty() && text.chars().all(|c| c.is_alphanumeric() || ".-+_".contains(c)) {
        format!("{name}={text}")
    } else {
        format!("{name}=\"{}\"", text.replace('"', "\\\""))
    }
}

/// The same with a name before it, for a value that was typed alone: the first
/// input it can be.
#[must_use]
pub fn named(family: &Family, text: &str) -> Option<String> {
    let size = |i: &&Input| matches!(i.kind, InputKind::Quantity(_));
    let fits = |i: &&Input| read_value(i, i.name, text).is_ok();
    let named = |i: &&Input| i.kind == InputKind::Name;
    if !text.contains(|c: char| c.is_ascii_digit()) {
        return None;
    }
    let inputs = || family.inputs.iter();
    inputs().filter(size).find(fits).or_else(|| inputs().find(named)).map(|i| pair(i.name, text))
}

fn quoted(names: &[&str]) -> String {
    names.iter().map(|n| format!("\"{n}\"")).collect::<Vec<_>>().join(" or ")
}

/// Turns a refusal into a diagnostic that says what to give, beside what was
/// typed.
#[must_use]
pub fn trouble(family: &Family, typed: &[(&str, &str)], trouble: &Trouble) -> Diagnostic {
    let code = match trouble {
        Trouble::Missing(_) => "F010",
        Trouble::OutOfRange { .. } => "F011",
        Trouble::Impossible { .. } => "F012",
        Trouble::Unknown { .. } => "F013",
        Trouble::WrongKind { .. } => "F014",
    };
    let Trouble::Missing(names) = trouble else {
        return Diagnostic::error(code, format!("{}: {trouble}", family.name));
    };
    let any = family
        .declared
        .rules
        .iter()
        .any(|rule| matches!(rule, Rule::OneOf(of) | Rule::SomeOf(of) if of == names));
    let message = if any { format!("still needs one of {}", names.join(", ")) } else { trouble.to_string() };
    let mut problem = Diagnostic::error(code, format!("{}: {message}", family.name));
    for input in names.iter().filter_map(|n| family.input(n)) {
        problem = problem.help(format!("{}: {} ({})", input.name, input.help, kind_words(input)));
    }
    let wanted = if any { names.get(..1).unwrap_or_default() } else { names };
    problem.example(completed(family, typed, wanted))
}

/// The question as it was typed, with what it still needs behind it, as in the
/// family's example where that has it.
fn completed(family: &Family, typed: &[(&str, &str)], wanted: &[&str]) -> String {
    let mut line = format!("tackwright reckon {}", family.name);
    for (name, text) in typed {
        line.push(' ');
        line.push_str(&pair(name, text));
    }
    for input in wanted.iter().filter_map(|name| family.input(name)) {
        line.push(' ');
        line.push_str(&shown_value(family, input));
    }
    line
}

/// `name=value` of an input, as the family's example has it, else of its kind.
fn shown_value(family: &Family, input: &Input) -> String {
    let head = format!("{}=", input.name);
    let starts = |at: usize| at == 0 || family.example[..at].ends_with(' ');
    if let Some(at) = family.example.match_indices(&head).map(|(at, _)| at).find(|at| starts(*at)) {
        let rest = &family.example[at + head.len()..];
        let end = match rest.strip_prefix('"') {
            Some(quoted) => quoted.find('"').map(|end| end + 2),
            None => rest.find(' '),
        };
        return format!("{head}{}", &rest[..end.unwrap_or(rest.len())]);
    }
    match input.kind {
        InputKind::Quantity(kind) | InputKind::List(kind) => {
            format!("{head}\"{}\"", input.range.sample(kind))
        }
        InputKind::Choice(words) => format!("{head}{}", words.first().copied().unwrap_or("…")),
        InputKind::Flag => format!("{head}yes"),
        InputKind::Name => format!("{head}…"),
    }
}

/// What is to be typed for an input, in words: `length, such as 3-1/4 in`.
#[must_use]
pub fn kind_words(input: &Input) -> String {
    match input.kind {
        InputKind::Quantity(kind) => format!("{}, such as {}", kind.word(), input.range.sample(kind)),
        InputKind::List(kind) => format!("list of {} values, separated by commas", kind.word()),
        InputKind::Choice(words) => words.join(" | "),
        InputKind::Name => "designation".to_owned(),
        InputKind::Flag => "yes | no".to_owned(),
    }
}
