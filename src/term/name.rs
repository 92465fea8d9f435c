//! Whether two names are one person's: the shop book and the rules that ask for a
//! second person look at what a reader sees, not at how it was typed. Which ids read like
//! a number on paper.

use unicode_normalization::UnicodeNormalization;
use unicode_normalization::char::is_combining_mark;
use unicode_security::confusable_detection::skeleton;

use super::PointKind;
use super::unseen::is_unseen;

/// Letter of a found condition on paper.
const FOUND: char = 'F';

/// Cyrillic and Greek letters that look like a Latin one, in lower case as they are
/// compared, and capitals whose lower case looks otherwise. From memory of the shapes
/// and of the idea of Unicode Technical Standard 39 (confusables); a small table, not
/// the whole of it.
const LOOKS_LIKE: &[(char, char)] = &[
    // Cyrillic.
    ('а', 'a'),
    ('в', 'b'),
    ('с', 'c'),
    ('ԁ', 'd'),
    ('е', 'e'),
    ('ё', 'e'),
    ('һ', 'h'),
    ('н', 'h'),
    ('і', 'i'),
    ('ї', 'i'),
    ('ј', 'j'),
    ('к', 'k'),
    ('ӏ', 'l'),
    ('м', 'm'),
    ('о', 'o'),
    ('р', 'p'),
    ('ԛ', 'q'),
    ('ѕ', 's'),
    ('т', 't'),
    ('ѵ', 'v'),
    ('ԝ', 'w'),
    ('х', 'x'),
    ('у', 'y'),
    // Greek.
    ('α', 'a'),
    ('β', 'b'),
    ('ε', 'e'),
    ('ζ', 'z'),
    ('η', 'h'),
    ('ι', 'i'),
    ('κ', 'k'),
    ('μ', 'm'),
    ('ν', 'n'),
    ('ο', 'o'),
    ('ρ', 'p'),
    ('τ', 't'),
    ('υ', 'y'),
    ('χ', 'x'),
    // Latin without its dot.
    ('ı', 'i'),
];

/// A name as it is compared: lower case, letters that look like a Latin one as that
/// one, no unseen characters, one space where there was white space.
#[must_use]
pub fn folded(name: &str) -> String {
    let like = |c: char| LOOKS_LIKE.iter().find(|(from, _)| *from == c).map_or(c, |(_, to)| *to);
    let seen: String = name.chars().filter(|c| c.is_whitespace() || !is_unseen(*c)).collect();
    let lower: String = seen.to_lowercase().chars().map(like).collect();
    lower.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// Whether two names or ids are one to somebody who reads them: in letters of another script
/// or with accents, in capitals or not, or by I, l and 1, O and 0.
///
/// Source: Unicode Technical Standard 39, 4 (skeletons of confusables, as the crate
/// `unicode-security` has them), over decomposed text (Unicode Standard Annex 15).
#[must_use]
pub fn alike(one: &str, other: &str) -> bool {
    let (one, other) = (latin(one), latin(other));
    // In capitals I is no L, so the two are never folded together.
    let drawn = |text: &str| skeleton(text).collect::<String>();
    drawn(&one) == drawn(&other) || typed(&one) == typed(&other)
}

/// A text in the Latin letters it is taken for, without accents and what nobody sees, one
/// space where there was white space, one mark for all between its parts.
fn latin(text: &str) -> String {
    let bare = |text: &str| -> String { text.nfkd().filter(|c| !is_combining_mark(*c)).collect() };
    let seen: String = text.chars().filter(|c| c.is_whitespace() || !is_unseen(*c)).collect();
    let mut drawn = String::new();
    for c in bare(&seen).chars() {
        match c {
            '_' | '.' => drawn.push('-'),
            c if c.is_ascii() || c.is_whitespace() => drawn.push(c),
            c => drawn.extend(skeleton(c.encode_utf8(&mut [0; 4]))),
        }
    }
    bare(&drawn).split_whitespace().collect::<Vec<_>>().join(" ")
}

/// What is left of a text where capitals and the zero tell nobody anything.
fn typed(text: &str) -> String {
    folded(text).replace('0', "o")
}

/// A number or id as a reader tells it from others: capitals, the marks between its parts,
/// and 0 or O, 1 or I or l say nothing.
#[must_use]
pub fn read(number: &str) -> String {
    let like = |c: char| match c.to_ascii_lowercase() {
        'o' => '0',
        'i' | 'l' => '1',
        '_' | '.' => '-',
        c => c,
    };
    number.chars().map(like).collect()
}

/// Whether two names are the same as a reader sees them; no name is nobody's.
#[must_use]
pub fn same(one: &str, other: &str) -> bool {
    let one = folded(one);
    !one.is_empty() && one == folded(other)
}

/// Whether an id is one of these letters and a number, as points are: `H4`.
#[must_use]
pub fn numbered(id: &str, letters: &[char]) -> bool {
    let mut rest = id.chars();
    let letter = rest.next().is_some_and(|c| letters.contains(&c.to_ascii_uppercase()));
    letter && rest.clone().next().is_some() && rest.all(|c| c.is_ascii_digit())
}

/// What a number on paper stands for, by its letter.
#[must_use]
pub fn on_paper(id: &str) -> Option<&'static str> {
    let points = [
        (PointKind::Hold, "a hold point"),
        (PointKind::Witness, "a witness point"),
        (PointKind::Review, "a review point"),
    ];
    points
        .into_iter()
        .find(|(kind, _)| numbered(id, &[kind.letter()]))
        .map(|(_, what)| what)
        .or_else(|| numbered(id, &[FOUND]).then_some("a found condition"))
}

/// The first letters of the words of a name: `Welder One` is `WO`.
#[must_use]
pub fn initials(name: &str) -> String {
    let words = name.split(|c: char| !c.is_alphanumeric()).filter_map(|word| word.chars().next());
    words.filter(char::is_ascii_alphabetic).map(|c| c.to_ascii_uppercase()).take(3).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_looks_alike_is_one_name() {
        for other in [
            "Lead A1pha",
            "lead alpha",
            "L\u{E9}ad Alpha",
            "Le\u{251}d Alpha",
            "\u{A4E1}ead Alpha",
            "Lead \u{13AA}lpha",
            "\u{1D5AB}ead Alpha",
            "Lead \u{391}lpha",
        ] {
            assert!(alike("Lead Alpha", other), "{other}");
        }
        for (one, other) in [
            ("IN", "lN"),
            ("IN", "1N"),
            ("LA", "la"),
            ("LA", "L\u{410}"),
            ("LO", "L0"),
            ("WO", "w0"),
            ("T.6", "T-6"),
        ] {
            assert!(alike(one, other), "{one} {other}");
        }
        for (one, other) in [
            ("Welder One", "Welder Two"),
            ("WO", "WT"),
            ("IO", "LO"),
            ("IN", "IM"),
            ("T60", "T61"),
            ("W1", "WL"),
        ] {
            assert!(!alike(one, other), "{one} {other}");
        }
    }

    #[test]
    fn one_name_however_it_is_typed_is_one_person() {
        for other in [
            "dana  example",
            " Dana\u{00A0}Example ",
            "DANA EXAMPLE",
            "Dana\u{200B} Example",
            // Cyrillic a, e; Greek Alpha.
            "D\u{0430}na Exampl\u{0435}",
            "D\u{0391}na Example",
        ] {
            assert!(same("Dana Example", other), "{other:?}");
        }
        assert!(!same("Dana Example", "Dan Example") && !same("Dana Example", "Dana Examples"));
        assert!(!same("", "") && !same("\u{200B}", " "), "no name is nobody's");
    }
}
