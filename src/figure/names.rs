//! Matching of names as a bench writes them: order of the words, hyphens,
//! capitals, spelling on either side of the ocean and the trade's twin words
//! do not matter. Names that stay ambiguous are never guessed.

use super::input_names::other_names;
use super::{Family, Input, InputKind};
use crate::quantity::Kind;

/// Words that mean the same in a name; the first of each row stands for all.
const TWINS: &[&[&str]] = &[
    &["old", "before", "was", "original", "existing", "initial", "previous", "prior", "now"],
    &["new", "after", "final"],
    &["seat", "pad", "perch"],
    &["tyre", "tire", "wheel"],
    &["centre", "center"],
    &["labour", "labor"],
    &["max", "maximum", "highest", "largest", "greatest"],
    &["min", "minimum", "lowest", "smallest", "least"],
    &["count", "number", "num", "no", "qty", "quantity"],
    &["thickness", "thick", "thk"],
    &["length", "len"],
    &["diameter", "dia", "od"],
    &["height", "h"],
    &["angle", "ang"],
    &["pinion", "nose"],
    &["front", "fr", "fwd"],
    &["rear", "rr", "back"],
    &["left", "lh"],
    &["right", "rh"],
    &["kingpin", "kpi", "sai"],
    &["caster", "castor"],
    &["axle", "diff"],
    &["modulus", "e"],
    &["price", "cost"],
    &["speed", "velocity"],
    &["temperature", "temp"],
    &["preload", "pretension"],
    &["rate", "stiffness"],
    &["opening", "gap"],
    &["offset", "eccentricity"],
    &["weight", "load"],
    &["friction", "mu"],
    &["cg", "cog"],
    &["deceleration", "decel", "braking"],
    &["efficiency", "eff"],
    &["electrode", "filler"],
];

/// Words that add nothing to a name.
const FILLERS: &[&str] = &["of", "the", "a", "an", "given", "input"];

/// Words that only say what kind of quantity a name holds, where the unit says
/// it too. Lengths are not among them: a radius is no diameter.
const KINDS: &[&str] = &[
    "angle",
    "force",
    "torque",
    "temperature",
    "stress",
    "speed",
    "current",
    "voltage",
    "time",
    "mass",
    "energy",
    "power",
];

/// How closely a typed name has to match to be taken, strictest first.
pub const CLOSENESS: [Closeness; 5] =
    [Closeness::Exact, Closeness::Letters, Closeness::Words, Closeness::Part, Closeness::Kindless];

/// How closely a typed name has to match a declared one.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Closeness {
    /// Letter by letter.
    Exact,
    /// Apart from capitals, hyphens and underscores.
    Letters,
    /// The same words in any order, twins counted as one.
    Words,
    /// The same words once those that only name a kind of quantity are left
    /// out of the typed name; the input has to be of that kind.
    Kindless,
    /// The typed words are some of the declared ones. Only for a name that
    /// fits an input more closely whose value is of another kind.
    Part,
    /// One name holds all words of the other. Good for a hint, never taken.
    Hint,
}

/// The inputs of a family that a typed name may mean, at one closeness.
pub fn inputs(family: &Family, typed: &str, closeness: Closeness) -> impl Iterator<Item = &'static Input> {
    let typed = typed.to_owned();
    let name = family.name;
    family.inputs.iter().filter(move |input| {
        std::iter::once(&input.name)
            .chain(input.aliases)
            .chain(other_names(name, input.name))
            .any(|declared| alike(&typed, declared, closeness))
            && (closeness != Closeness::Kindless || kind_words_fit(&typed, input))
    })
}

/// Every name an input of a family answers to, its own first.
pub fn all_names(family: &Family, input: &Input) -> impl Iterator<Item = &'static str> {
    std::iter::once(input.name)
        .chain(input.aliases.iter().copied())
        .chain(other_names(family.name, input.name).copied())
}

/// Whether the words of a name that only say a kind of quantity say that of
/// the input: `braking_force` is no deceleration.
fn kind_words_fit(typed: &str, input: &Input) -> bool {
    let (InputKind::Quantity(kind) | InputKind::List(kind)) = input.kind else { return false };
    words(typed).iter().filter(|w| KINDS.contains(&w.as_str())).all(|word| {
        matches!(
            (word.as_str(), kind),
            ("angle", Kind::Angle)
                | ("force", Kind::Force)
                | ("torque", Kind::Torque)
                | ("temperature", Kind::Temperature | Kind::TemperatureRise)
                | ("stress", Kind::Stress)
                | ("speed", Kind::Speed | Kind::RotationSpeed)
                | ("current", Kind::Current)
                | ("voltage", Kind::Voltage)
                | ("time", Kind::Time)
                | ("mass", Kind::Mass)
                | ("energy", Kind::Energy)
                | ("power", Kind::Power)
        )
    })
}

/// Whether two names are the same at this closeness.
#[must_use]
pub fn alike(typed: &str, declared: &str, closeness: Closeness) -> bool {
    match closeness {
        Closeness::Exact => typed == declared,
        Closeness::Letters => letters(typed) == letters(declared),
        Closeness::Words => words(typed) == words(declared),
        Closeness::Kindless => {
            let bare = kindless(words(typed));
            !bare.is_empty() && bare == words(declared)
        }
        Closeness::Part => {
            let (typed, declared) = (words(typed), words(declared));
            inside(&typed, &declared)
        }
        Closeness::Hint => {
            let (typed, declared) = (words(typed), words(declared));
            inside(&typed, &declared) || inside(&declared, &typed)
        }
    }
}

fn inside(some: &[String], all: &[String]) -> bool {
    !some.is_empty() && some.iter().all(|word| all.contains(word))
}

/// A name split into the value's own name and a unit at its end, such as
/// `tube_od_mm`.
#[must_use]
pub fn split_unit(typed: &str) -> Option<(&str, &str)> {
    let (name, unit) = typed.rsplit_once('_')?;
    (!name.is_empty() && !unit.is_empty()).then_some((name, unit))
}

fn letters(name: &str) -> String {
    name.chars().filter(char::is_ascii_alphanumeric).map(|c| c.to_ascii_lowercase()).collect()
}

/// Words of a name in lower case and in alphabetical order, twins replaced.
fn words(name: &str) -> Vec<String> {
    let mut split = String::with_capacity(name.len() + 4);
    let mut last = ' ';
    for c in name.chars() {
        // "tubeOd" and "joint2" are two words each.
        if (last.is_lowercase() && c.is_uppercase()) || (last.is_alphabetic() && c.is_ascii_digit()) {
            split.push(' ');
        }
        split.push(if c.is_alphanumeric() { c } else { ' ' });
        last = c;
    }
    let mut found: Vec<String> = split
        .split(' ')
        .filter(|w| !w.is_empty())
        .map(|w| twin(&singular(&w.to_lowercase())).to_owned())
        .filter(|w| !FILLERS.contains(&w.as_str()))
        .collect();
    found.sort();
    found
}

fn kindless(mut words: Vec<String>) -> Vec<String> {
    words.retain(|w| !KINDS.contains(&w.as_str()));
    words
}

fn singular(word: &str) -> String {
    let plural = word.len() > 3 && word.ends_with('s') && !word.ends_with("ss") && !word.ends_with("us");
    if plural { word[..word.len() - 1].to_owned() } else { word.to_owned() }
}

fn twin(word: &str) -> &str {
    TWINS.iter().find(|row| row.contains(&word)).and_then(|row| row.first()).copied().unwrap_or(word)
}

/// Words typed for a choice, and the choices they stand for where an input
/// offers one of them. Trade terms only.
const CHOICE_TWINS: &[(&str, &[&str])] = &[
    ("intersecting", &["broken-back"]),
    ("w", &["broken-back"]),
    ("double-cardan", &["pointed"]),
    ("double-joint", &["pointed"]),
    ("double", &["pointed"]),
    ("cv", &["pointed"]),
    ("constant-velocity", &["pointed"]),
    ("single", &["parallel"]),
    ("two-single", &["parallel"]),
    ("z", &["parallel"]),
    ("star", &["circle"]),
    ("cross", &["circle"]),
    ("bolt-circle", &["circle"]),
    ("circular", &["circle"]),
    ("rectangular", &["rectangle"]),
    ("grid", &["rectangle"]),
    ("u-bolts", &["u-bolt"]),
    ("ubolts", &["u-bolt"]),
    ("u-bolt-pair", &["u-bolt"]),
    ("ubolt-pair", &["u-bolt"]),
    ("wheels", &["wheel"]),
    ("wheel-nut", &["wheel"]),
    ("wheel-nuts", &["wheel"]),
    ("lug-nuts", &["wheel"]),
    ("line", &["vertical"]),
    ("one-line", &["vertical"]),
    ("one-vertical", &["vertical"]),
    ("single-line", &["vertical"]),
    ("one-horizontal", &["horizontal"]),
    ("two-lines", &["two-vertical"]),
    ("two-vertical-lines", &["two-vertical"]),
    ("two-parallel", &["two-vertical"]),
    ("parallel", &["two-vertical"]),
    ("two-horizontal-lines", &["two-horizontal"]),
    ("vertical-line", &["vertical"]),
    ("horizontal-line", &["horizontal"]),
    ("angle", &["l"]),
    ("l-shape", &["l"]),
    ("c-shape", &["c"]),
    ("u-shape", &["u"]),
    ("rect", &["rectangle"]),
    ("box", &["rectangle"]),
    ("all-round", &["rectangle"]),
    ("round", &["circle"]),
    ("tube", &["circle"]),
    ("polyline", &["points"]),
    ("max-shear", &["max-shear"]),
    ("tresca", &["max-shear"]),
    ("maximum-shear", &["max-shear"]),
    ("vector-sum", &["vector"]),
    ("resultant", &["vector"]),
    ("allowable", &["asd"]),
    ("allowable-stress", &["asd"]),
    ("load-and-resistance", &["lrfd"]),
    ("limit-state", &["lrfd"]),
    ("aws", &["aws-static"]),
    ("aws-d1.1", &["aws-static"]),
    ("d1.1", &["aws-static"]),
    ("static", &["aws-static"]),
    ("cyclic", &["aws-cyclic"]),
    ("aws-d1.1-static", &["aws-static"]),
    ("aws-d1.1-cyclic", &["aws-cyclic"]),
    ("d1.1-cyclic", &["aws-cyclic"]),
    ("d1.1-static", &["aws-static"]),
    ("b", &["iso-b"]),
    ("c", &["iso-c"]),
    ("d", &["iso-d"]),
    ("iso-5817-b", &["iso-b"]),
    ("iso-5817-c", &["iso-c"]),
    ("iso-5817-d", &["iso-d"]),
    ("level-b", &["iso-b"]),
    ("level-c", &["iso-c"]),
    ("level-d", &["iso-d"]),
    ("torque", &["torque-wrench"]),
    ("wrench", &["torque-wrench"]),
    ("by-feel", &["feel"]),
    ("hand", &["feel"]),
    ("turn", &["turn-of-nut"]),
    ("angle-control", &["yield-controlled"]),
    ("yield", &["yield-controlled"]),
    ("hydraulic", &["hydraulic-tensioner"]),
    ("tensioner", &["hydraulic-tensioner"]),
    ("impact", &["impact-wrench"]),
    ("power", &["power-driver"]),
    ("stretch", &["elongation"]),
    ("bolt-stretch", &["elongation"]),
    ("iron", &["cast-iron"]),
    ("crossover", &["cross"]),
    ("cross-steer", &["cross"]),
    ("cross-steering", &["cross"]),
    ("y-link", &["cross"]),
    ("fore-aft", &["push-pull"]),
    ("side-steer", &["push-pull"]),
    ("t", &["t-fillet", "t-joint", "tee"]),
    ("t-joint-fillet", &["t-fillet"]),
    ("single-v", &["v"]),
    ("v-groove", &["v"]),
    ("groove", &["butt", "v"]),
    ("single-bevel", &["bevel"]),
    ("v-butt", &["v"]),
    ("plate", &["run-on-plate"]),
    ("bead", &["run-on-plate"]),
    ("corner", &["corner-fillet"]),
    ("brake", &["braking"]),
    ("drive", &["drive"]),
    ("driving", &["drive"]),
    ("spring-over", &["over"]),
    ("spring-under", &["under"]),
    ("inline", &["through"]),
    ("backstep", &["back-step"]),
    ("backstepped", &["back-step"]),
    ("quadrants", &["opposed"]),
    ("opposed-quadrants", &["opposed"]),
    ("4130", &["4130-tube"]),
    ("high-strength", &["high-strength-filler"]),
    ("mpa", &["metric"]),
    ("mm", &["metric"]),
    ("in", &["inch"]),
    ("imperial", &["inch"]),
    ("us", &["inch"]),
    ("95-%", &["95"]),
    ("shared-risk", &["none"]),
    ("shared", &["none"]),
    ("simple", &["none"]),
    ("simple-acceptance", &["none"]),
    ("no", &["none"]),
    ("one-sided", &["95"]),
    ("2017", &["95"]),
    ("2013", &["expanded"]),
    ("k=2", &["expanded"]),
    ("u", &["expanded"]),
    ("equalized", &["equalised"]),
    ("mill-cert", &["mill-certificate"]),
    ("mtr", &["mill-certificate"]),
    ("spec-max", &["specified-maximum"]),
    ("e6010", &["smaw"]),
    ("e7018", &["smaw-low-hydrogen"]),
    ("steel-casting", &["cast-steel"]),
    ("kingpin-axis", &["kingpin"]),
    ("turn-plates", &["plates"]),
    ("axial-load", &["axial"]),
    ("shear-load", &["shear"]),
    ("reuse", &["reused"]),
    ("reusable", &["reused"]),
];

/// The offered choice that a typed word means.
#[must_use]
pub fn choice(typed: &str, offered: &'static [&'static str]) -> Option<&'static str> {
    let wanted = letters_and_signs(typed);
    let direct = offered.iter().find(|word| letters_and_signs(word) == wanted).copied();
    direct.or_else(|| {
        CHOICE_TWINS
            .iter()
            .filter(|(word, _)| letters_and_signs(word) == wanted)
            .flat_map(|(_, means)| means.iter())
            .find_map(|means| offered.iter().find(|word| *word == means).copied())
    })
}

fn letters_and_signs(word: &str) -> String {
    word.trim().chars().filter(|c| !matches!(c, ' ' | '-' | '_')).flat_map(char::to_lowercase).collect()
}

#[cfg(test)]
mod tests {
    use super::{Closeness, alike, choice, split_unit};

    #[test]
    fn order_and_spelling_of_a_name_do_not_matter() {
        assert!(alike("old_perch", "seat_old", Closeness::Words));
        assert!(alike("tireRadius", "tyre_radius", Closeness::Words));
        assert!(!alike("front_tyre", "rear_tyre", Closeness::Words));
        assert!(alike("caster_angle", "caster", Closeness::Kindless));
        assert!(!alike("tyre_radius", "tyre", Closeness::Kindless), "a radius is no diameter");
        assert!(!alike("front", "front_radius", Closeness::Kindless), "what is left out is not guessed");
    }

    #[test]
    fn a_choice_is_found_by_its_twin_only_where_it_is_offered() {
        assert_eq!(choice("Broken Back", &["pointed", "broken-back"]), Some("broken-back"));
        assert_eq!(choice("star", &["circle", "rectangle"]), Some("circle"));
        assert_eq!(choice("star", &["over", "under"]), None);
    }

    #[test]
    fn a_unit_may_stand_in_the_name() {
        assert_eq!(split_unit("tube_od_mm"), Some(("tube_od", "mm")));
        assert_eq!(split_unit("mm"), None);
    }
}
