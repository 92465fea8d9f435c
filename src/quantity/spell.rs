//! Signs that people and their programs write for the plain ones: wide digits,
//! curled quotes, dashes, fractions set as one sign. Only what can mean nothing
//! else is put in plain signs here; the rest is refused and mended.

/// Fractions set as one sign.
const SIGNS: [(char, &str); 18] = [
    ('¼', "1/4"),
    ('½', "1/2"),
    ('¾', "3/4"),
    ('⅛', "1/8"),
    ('⅜', "3/8"),
    ('⅝', "5/8"),
    ('⅞', "7/8"),
    ('⅓', "1/3"),
    ('⅔', "2/3"),
    ('⅕', "1/5"),
    ('⅖', "2/5"),
    ('⅗', "3/5"),
    ('⅘', "4/5"),
    ('⅙', "1/6"),
    ('⅚', "5/6"),
    ('⅐', "1/7"),
    ('⅑', "1/9"),
    ('⅒', "1/10"),
];

/// Digits raised and lowered, as they stand on both sides of a fraction's stroke.
const RAISED: &str = "⁰¹²³⁴⁵⁶⁷⁸⁹";
const LOWERED: &str = "₀₁₂₃₄₅₆₇₈₉";

/// A text in plain signs, one space between words.
#[must_use]
pub(super) fn plain(text: &str) -> String {
    let mut plain = String::with_capacity(text.len());
    for c in small_fractions(text).chars() {
        if let Some((_, fraction)) = SIGNS.iter().find(|(sign, _)| *sign == c) {
            if plain.ends_with(|c: char| c.is_ascii_digit()) {
                plain.push(' ');
            }
            plain.push_str(fraction);
            continue;
        }
        plain.push(match c {
            // Full width forms stand as far from the plain ones as their blank does.
            '\u{FF01}'..='\u{FF5E}' => char::from_u32(u32::from(c) - 0xFEE0).unwrap_or(c),
            '\u{2032}' | '\u{2018}' | '\u{2019}' | '\u{201B}' | '\u{02B9}' => '\'',
            '\u{2033}' | '\u{201C}' | '\u{201D}' | '\u{201E}' | '\u{201F}' | '\u{02BA}' => '"',
            '\u{2010}'..='\u{2015}' | '\u{2212}' => '-',
            '\u{2044}' | '\u{2215}' => '/',
            'º' | '˚' => '°',
            c if c.is_whitespace() => ' ',
            c => c,
        });
    }
    let plain = plain.replace("''", "\"").replace("+/-", "±").replace("+-", "±");
    plain.split(' ').filter(|word| !word.is_empty()).collect::<Vec<_>>().join(" ")
}

/// `3¹⁄₁₆` as `3 1/16`: raised digits are a numerator only before a stroke.
fn small_fractions(text: &str) -> String {
    let digit = |set: &str, c: char| set.chars().position(|d| d == c);
    let chars: Vec<char> = text.chars().collect();
    let mut out = String::with_capacity(text.len());
    let mut i = 0;
    while i < chars.len() {
        let top: Vec<usize> = chars[i..].iter().map_while(|c| digit(RAISED, *c)).collect();
        let stroke = i + top.len();
        if !top.is_empty() && matches!(chars.get(stroke), Some('\u{2044}' | '/')) {
            if out.ends_with(|c: char| c.is_ascii_digit()) {
                out.push(' ');
            }
            out.extend(top.iter().map(|d| char::from(b'0' + u8::try_from(*d).unwrap_or(0))));
            out.push('/');
            i = stroke + 1;
            continue;
        }
        match digit(LOWERED, chars[i]) {
            Some(d) => out.push(char::from(b'0' + u8::try_from(d).unwrap_or(0))),
            None => out.push(chars[i]),
        }
        i += 1;
    }
    out
}
