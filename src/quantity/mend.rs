//! What was meant: the value somebody wrote, mended, never another one.
//!
//! A proposal keeps the digits that were written, all of them and in their order,
//! or is one of several values that were written; only a fraction above a whole is worked
//! out. What may be two things is given as both.

use super::{Kind, read, spell, unit};

/// Units of the two ways to measure a kind, where a number alone may be either.
fn units(kind: Kind) -> Vec<&'static str> {
    match kind {
        Kind::Length => vec!["in", "mm"],
        Kind::Mass => vec!["lb", "kg"],
        Kind::Force => vec!["lbf", "N"],
        Kind::Torque => vec!["lbf-ft", "N·m"],
        Kind::Stress => vec!["ksi", "MPa"],
        Kind::Temperature => vec!["degF", "degC"],
        Kind::Speed => vec!["in/min", "mm/min"],
        kind => {
            let example = kind.example();
            vec![example.rsplit(' ').next().filter(|_| example.contains(' ')).unwrap_or("")]
        }
    }
}

fn digits(text: &str) -> String {
    text.chars().filter(char::is_ascii_digit).collect()
}

fn good(kind: Kind, text: &str) -> bool {
    !text.is_empty() && read::read(kind, text).is_ok()
}

/// What a text that is no quantity of `kind` may have been meant as.
#[must_use]
pub(super) fn meant(kind: Kind, text: &str) -> Vec<String> {
    let text = spell::plain(text);
    let tries: [fn(Kind, &str) -> Vec<String>; 8] =
        [thousands, worked_out, feet, minutes, two_values, joined, unit_first, with_unit];
    // A quote is written otherwise inside quotes.
    let typed = |t: &str| {
        let t = if kind == Kind::Length { t.replace('"', " in") } else { t.replace('"', "") };
        t.split_whitespace().collect::<Vec<_>>().join(" ")
    };
    // As it stands first, then without what stands around a value.
    let plain = letters(&text);
    for form in [plain.clone(), bare(&plain)] {
        let form = form.trim().to_owned();
        if form != text && good(kind, &form) && digits(&form) == digits(&plain) {
            return vec![typed(&form)];
        }
        for attempt in tries {
            let found: Vec<String> =
                attempt(kind, &form).iter().map(|t| typed(t)).filter(|t| good(kind, t)).collect();
            if !found.is_empty() {
                return found;
            }
        }
    }
    Vec::new()
}

/// `O.5` and `l0`: letters that look like digits, beside digits.
fn letters(text: &str) -> String {
    let chars: Vec<char> = text.chars().collect();
    let near = |i: usize| {
        let number = |c: Option<&char>| c.is_some_and(|c| c.is_ascii_digit() || *c == '.');
        number(chars.get(i + 1)) || i > 0 && number(chars.get(i - 1))
    };
    // Litres stand behind their number.
    let before = |i: usize| {
        let next = chars.get(i + 1);
        next.is_some_and(|c| c.is_ascii_digit() || *c == '.') && !(i > 0 && chars[i - 1].is_alphanumeric())
    };
    let mut out = String::with_capacity(text.len());
    for (i, c) in chars.iter().enumerate() {
        let alone = !chars.get(i + 1).is_some_and(|c| c.is_alphabetic());
        out.push(match c {
            'O' | 'o' if near(i) && alone => '0',
            'l' | 'I' if before(i) => '1',
            '\\' => '/',
            c => *c,
        });
    }
    out.replace("..", ".").replace('_', "")
}

/// Without the words and signs that say how sure it is or what it is the size of.
fn bare(text: &str) -> String {
    const BEFORE: &[&str] = &[
        "about", "approx.", "approx", "ca.", "circa", "max.", "max", "min.", "min", "dia.", "dia", "appr.",
        "at", "least", "most", "roughly", "<=", ">=", "<", ">", "≤", "≥", "~", "≈", "=", "Ø", "⌀", "ø", "+",
        ":",
    ];
    let mut rest = text.trim();
    loop {
        let lower = rest.to_lowercase();
        let cut = BEFORE.iter().find(|w| lower.starts_with(&w.to_lowercase())).map(|w| w.len());
        match cut.and_then(|cut| rest.get(cut..)) {
            Some(shorter) if !shorter.is_empty() => rest = shorter.trim_start(),
            _ => return rest.to_owned(),
        }
    }
}

/// Commas and points among digits: decimal marks or groups of three.
fn thousands(kind: Kind, text: &str) -> Vec<String> {
    if !text.contains(',') && text.matches('.').count() < 2 {
        return Vec::new();
    }
    let end = text
        .find(|c: char| !(c.is_ascii_digit() || matches!(c, ',' | '.' | '-' | ' ')))
        .unwrap_or(text.len());
    let (number, rest) = text.split_at(end);
    let number = number.trim();
    let marks: Vec<char> = number.chars().filter(|c| matches!(c, ',' | '.')).collect();
    let groups: Vec<&str> = number.trim_start_matches('-').split([',', '.']).collect();
    let threes = groups.iter().skip(1).all(|g| g.len() == 3)
        && groups.first().is_some_and(|g| (1..=3).contains(&g.len()));
    let whole = number.replace([',', '.'], "");
    let last = |mark: char| match number.rsplit_once(mark) {
        Some((before, after)) => format!("{}.{after}", before.replace([',', '.'], "")),
        None => number.to_owned(),
    };
    let numbers = match marks.as_slice() {
        // No group of thousands begins with a nought.
        [','] if threes && !groups[0].starts_with('0') => vec![whole, last(',')],
        [','] => vec![last(',')],
        [first, .., mark] if first != mark => vec![last(*mark)],
        [_, _, ..] if threes && !groups[0].starts_with('0') => vec![whole],
        _ => Vec::new(),
    };
    let rest = rest.replace(',', ".");
    let all = numbers.iter().flat_map(|n| {
        let own = format!("{n} {rest}");
        if good(kind, own.trim()) { vec![own] } else { with_unit(kind, own.trim()) }
    });
    all.collect()
}

/// A fraction above a whole, and one that no rule has.
fn worked_out(kind: Kind, text: &str) -> Vec<String> {
    let end =
        text.find(|c: char| !(c.is_ascii_digit() || matches!(c, '/' | ' ' | '-'))).unwrap_or(text.len());
    let (number, rest) = text.split_at(end);
    let (sign, number) = number.strip_prefix('-').map_or(("", number), |n| ("-", n));
    let Some((top, bottom)) = number.trim().split_once('/') else { return Vec::new() };
    let (whole, top) = top.rsplit_once(['-', ' ']).unwrap_or(("0", top));
    let (Ok(whole), Ok(top), Ok(bottom)) = (whole.parse::<u32>(), top.parse::<u32>(), bottom.parse::<u32>())
    else {
        return Vec::new();
    };
    // No digit of nothing is worked out.
    if bottom == 0 || top == 0 || whole > 100_000 || top > 100_000 {
        return Vec::new();
    }
    if read::of_a_rule(bottom) && whole > 0 && top >= bottom {
        let (more, left) = (whole + top / bottom, top % bottom);
        let fraction = if left == 0 { String::new() } else { format!("-{left}/{bottom}") };
        return with_unit(kind, &format!("{sign}{more}{fraction} {}", rest.trim()));
    }
    let inches = unit::find(kind, rest.trim()).is_some_and(|u| u.symbol == unit::IN.symbol);
    if !read::of_a_rule(bottom) && inches {
        let whole = if whole > 0 { format!("{whole}-") } else { String::new() };
        let ways = rule_parts(top, bottom);
        return ways.iter().map(|parts| format!("{sign}{whole}{top}/{parts} {}", rest.trim())).collect();
    }
    Vec::new()
}

/// Parts of an inch as a rule has them.
const RULE: [u32; 6] = [2, 4, 8, 16, 32, 64];

/// What the parts of a fraction no rule has were meant as: a digit lost or doubled, and
/// another digit struck, of each the one that comes nearest. Decimals would make a size of
/// the slip.
fn rule_parts(top: u32, bottom: u32) -> Vec<u32> {
    let typed = bottom.to_string();
    let of = |value: u32| f64::from(top) / f64::from(value);
    let near = |same_length: bool| {
        let slip = |parts: &&u32| {
            let meant = parts.to_string();
            top < **parts
                && strsim::levenshtein(&typed, &meant) == 1
                && (meant.len() == typed.len()) == same_length
        };
        let off = |parts: &u32| (of(*parts) - of(bottom)).abs();
        RULE.iter().filter(slip).copied().min_by(|a, b| off(a).total_cmp(&off(b)))
    };
    [near(false), near(true)].into_iter().flatten().collect()
}

/// Feet and inches of which one unit is missing.
fn feet(kind: Kind, text: &str) -> Vec<String> {
    if kind != Kind::Length {
        return Vec::new();
    }
    let lower = text.to_lowercase();
    let Some((at, mark)) =
        ["feet", "foot", "ft.", "ft", "'"].iter().find_map(|m| lower.find(m).map(|at| (at, *m)))
    else {
        return Vec::new();
    };
    let before = lower[..at].trim();
    let inches =
        lower[at + mark.len()..].trim().trim_start_matches(['-', ',', ' ', '.']).trim_start_matches("and ");
    let end = inches
        .find(|c: char| !(c.is_ascii_digit() || matches!(c, '/' | ' ' | '-' | '.')))
        .unwrap_or(inches.len());
    let (inches, rest) = inches.split_at(end);
    if inches.is_empty() || before.is_empty() {
        return Vec::new();
    }
    let inches = inches.trim();
    if let (Ok(feet), Ok(more)) = (before.parse::<u32>(), inches.parse::<u32>())
        && more >= 12
        && unit::find(kind, rest).is_some_and(|u| u.symbol == unit::IN.symbol)
        && feet < 10_000
    {
        return vec![format!("{} ft {} in", feet + more / 12, more % 12)];
    }
    vec![format!("{before} ft {inches} in")]
}

/// Degrees and minutes of which a mark is missing.
fn minutes(kind: Kind, text: &str) -> Vec<String> {
    if kind != Kind::Angle {
        return Vec::new();
    }
    let lower = text.to_lowercase();
    let split = ["degrees", "degree", "deg", "°"].iter().find_map(|m| lower.split_once(m));
    let Some((degrees, rest)) = split else { return Vec::new() };
    let minutes = rest.trim().trim_start_matches(['-', ',', ' ']);
    let end = minutes.find(|c: char| !(c.is_ascii_digit() || c == '.')).unwrap_or(minutes.len());
    if end == 0 || !matches!(minutes[end..].trim(), "" | "'" | "min" | "minutes" | "m" | "arcmin") {
        return Vec::new();
    }
    vec![format!("{}°{}'", degrees.trim(), &minutes[..end])]
}

/// The same size twice, `1-3/4 in (44.45 mm)`: each of them.
fn two_values(kind: Kind, text: &str) -> Vec<String> {
    for mark in [", ", " / ", "(", " = ", "=", " or ", " x ", " X ", "×", ";", "/", "|"] {
        let Some((first, second)) = text.split_once(mark) else { continue };
        let both = [first.trim(), second.trim().trim_end_matches(')').trim()];
        if both.iter().all(|t| good(kind, t)) {
            return both.map(str::to_owned).to_vec();
        }
    }
    Vec::new()
}

/// A whole number and a fraction that were written apart.
fn joined(kind: Kind, text: &str) -> Vec<String> {
    let mut tight = text.replace(" and ", "-").replace([' ', '&', '+'], "-");
    while tight.contains("--") {
        tight = tight.replace("--", "-");
    }
    let tight = tight.replace("-/-", "/").replace("/-", "/").replace("-/", "/");
    let sign = if text.starts_with('-') { "-" } else { "" };
    let tight = tight.trim_start_matches('-');
    let end =
        tight.find(|c: char| !(c.is_ascii_digit() || matches!(c, '/' | '-' | '.'))).unwrap_or(tight.len());
    let (number, rest) = tight.split_at(end);
    // 2 in 3/8: the fraction stands behind the unit.
    let unit_end = rest.find(|c: char| c.is_ascii_digit()).unwrap_or(rest.len());
    let (symbol, fraction) = rest.split_at(unit_end);
    let symbol = symbol.trim_matches('-');
    // Words behind a unit are no part of it.
    let symbol = match unit::find(kind, symbol) {
        Some(_) => symbol,
        None => symbol.split('-').next().unwrap_or_default(),
    };
    let number = number.trim_matches('-');
    let whole = if fraction.is_empty() { number.to_owned() } else { format!("{number}-{fraction}") };
    if number.is_empty() || !whole.contains('/') || digits(&whole) != digits(text) {
        return Vec::new();
    }
    with_unit(kind, &format!("{sign}{whole} {symbol}"))
}

/// `mm 44`.
fn unit_first(kind: Kind, text: &str) -> Vec<String> {
    let Some(at) = text.find(|c: char| c.is_ascii_digit() || matches!(c, '.' | '-')) else {
        return Vec::new();
    };
    let (symbol, number) = text.split_at(at);
    if symbol.trim().is_empty() || unit::find(kind, symbol.trim()).is_none() {
        return Vec::new();
    }
    vec![format!("{} {}", number.trim(), symbol.trim())]
}

/// A value whose unit is a multiple nobody knows here, in the one it is a multiple of: with
/// its digits alone it would be another value. A ton of mass is either ton.
fn of_another_size(kind: Kind, number: &str, word: &str) -> Option<Vec<String>> {
    const POUNDS: f64 = 2000.0;
    const MULTIPLES: [(char, f64); 2] = [('k', 1e3), ('M', 1e6)];
    const OF: [&str; 5] = ["V", "A", "N", "Pa", "J"];
    let ton = kind == Kind::Mass && matches!(word.to_lowercase().as_str(), "ton" | "tons");
    let of = word.get(1..).filter(|of| OF.contains(of) && unit::find(kind, of).is_some());
    let factor = MULTIPLES.iter().find(|(prefix, _)| word.starts_with(*prefix)).map(|(_, factor)| *factor);
    let multiple = of.zip(factor).filter(|_| unit::find(kind, word).is_none());
    if !ton && multiple.is_none() {
        return None;
    }
    let Ok(value) = number.parse::<f64>() else { return Some(Vec::new()) };
    Some(match multiple {
        Some((of, factor)) => vec![format!("{} {of}", value * factor)],
        None => vec![format!("{} lb", value * POUNDS), format!("{number} t")],
    })
}

/// A number whose unit is missing, of another kind, misspelt, or followed by words.
fn with_unit(kind: Kind, text: &str) -> Vec<String> {
    let (value, limit) = text.split_once('±').map_or((text, None), |(v, l)| (v, Some(l)));
    let value = value.trim();
    let end = value
        .find(|c: char| !(c.is_ascii_digit() || matches!(c, '.' | '-' | '/' | ' ')))
        .unwrap_or(value.len());
    let (number, written) = value.split_at(end);
    let (number, written) = (number.trim(), written.trim());
    // Limits up and down that differ: the wider one.
    let apart = written.find(" +").and_then(|at| written.get(at..)).map(|limits| {
        let each = limits.split(['+', '-']).filter_map(|l| {
            let number: String = l.trim().chars().take_while(|c| c.is_ascii_digit() || *c == '.').collect();
            number.parse::<f64>().ok().map(|value| (value, number))
        });
        each.max_by(|a, b| a.0.total_cmp(&b.0)).map(|(_, number)| number)
    });
    let word = written.split([' ', ',', ';', '(']).next().unwrap_or_default();
    if let Some(worked) = of_another_size(kind, number, word) {
        return worked;
    }
    let known = |symbol: &str| (!symbol.is_empty()).then(|| unit::find(kind, symbol)).flatten().is_some();
    let wanted: Vec<String> = if known(written) {
        vec![written.to_owned()]
    } else if known(word) {
        vec![word.to_owned()]
    } else {
        // A unit with a letter too many.
        let shorter = (2..word.len()).rev().filter_map(|n| word.get(..n));
        let shorter = shorter.filter(|w| w.ends_with(char::is_alphabetic)).find(|w| known(w));
        // What is measured another way is another number: an inch of toe is no degree.
        let apart = |other: &Kind| {
            matches!(
                (kind, other),
                (Kind::Angle, Kind::Length)
                    | (Kind::Length, Kind::Angle)
                    | (Kind::RotationSpeed, Kind::Speed)
                    | (Kind::Speed, Kind::RotationSpeed)
            )
        };
        if unit::kinds_of(word).iter().any(apart) {
            return Vec::new();
        }
        match shorter.filter(|_| word.len() <= 6 && unit::kinds_of(word).is_empty()) {
            Some(shorter) => vec![shorter.to_owned()],
            None => units(kind).into_iter().map(str::to_owned).collect(),
        }
    };
    let limit: Option<String> = limit.map(|l| {
        let plain = l.trim().trim_start_matches('-').trim();
        plain.chars().take_while(|c| c.is_ascii_digit() || matches!(c, '.' | '/' | '-')).collect()
    });
    let limit = limit.or(apart.flatten());
    let with = |unit: &String| {
        let whole = limit.as_ref().map(|limit| format!("{number} {unit} ± {limit} {unit}"));
        let plain = format!("{number} {unit}").trim().to_owned();
        whole.filter(|t| good(kind, t)).or_else(|| {
            // No digit of another value is left out of sight.
            let same = digits(&plain) == digits(text) || limit.is_some();
            Some(plain).filter(|t| same && good(kind, t))
        })
    };
    wanted.iter().filter_map(with).collect()
}
