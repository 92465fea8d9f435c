//! Whether words say anything.
//!
//! Where somebody answers for a decision, a dot, a dash or "ok" is an empty box that
//! looks like a filled one.

/// Words that stand for no words, without marks and in lower case.
const EMPTY: &[&str] = &[
    "na", "nil", "none", "nothing", "null", "no", "nope", "yes", "yep", "ok", "oki", "okay", "okey", "good",
    "fine", "done", "tbd", "tba", "tbc", "todo", "idk", "ditto", "dito", "same", "reason", "because", "why",
    "text", "test", "comment", "remark", "note", "void", "blank", "empty", "asdf", "qwerty", "qwertz", "abc",
    "xyz", "foo", "bar", "see", "above", "below", "all", "it", "is", "the", "as", "any", "good enough",
    "not applicable", "no reason", "no comment", "no remark", "see above", "see below", "all ok", "all good",
    "it is ok", "looks good", "looks ok", "is ok", "is fine", "as above", "just because", "to do",
];

/// Fewest letters of a word that says something: `rust`, `off`.
const LETTERS: usize = 3;

/// What is expected of words that somebody answers for.
pub const EXPECTED: &str = "words that say what was seen, decided or done, for somebody who reads them in ten years";

/// Whether a text says nothing: no letters or too few of them, one letter over and
/// over, or a word that stands for no words.
#[must_use]
pub fn says_nothing(text: &str) -> bool {
    let words: Vec<String> = text
        .split(|c: char| !c.is_alphanumeric())
        .filter(|w| !w.is_empty())
        .map(str::to_lowercase)
        .collect();
    // A sign of a script without an alphabet is a word or a syllable.
    let weight = |c: char| if !c.is_alphabetic() { 0 } else if u32::from(c) >= 0x2E80 { 2 } else { 1 };
    let letters: usize = words.iter().flat_map(|w| w.chars()).map(weight).sum();
    let first = words.iter().flat_map(|w| w.chars()).find(|c| c.is_alphabetic());
    let one = first.is_none_or(|first| {
        words.iter().flat_map(|w| w.chars()).filter(|c| c.is_alphabetic()).all(|c| c == first)
    });
    // Each by itself is one, and so are several of them: "ok ok", "n/a".
    let empty = |text: &str| EMPTY.contains(&text);
    letters < LETTERS
        || one
        || empty(&words.join(" "))
        || empty(&words.concat())
        || words.iter().all(|w| w.chars().count() == 1 || empty(w))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_stands_for_no_words_says_nothing() {
        for text in [
            "", " ", ".", "...", "-", "x", "X", "xx", "xxxx", "n/a", "N.A.", "ok", "OK!", "o k", "Ok ok", "done",
            "tbd", "?", "12", "41", "n / a", "see above", "none.", "\u{200b}", "--", "a1", "yes, fine",
        ] {
            assert!(says_nothing(text), "{text:?}");
        }
    }

    #[test]
    fn short_words_that_say_something_are_taken() {
        for text in [
            "slip", "wrong side", "rust", "toe crack", "7 in, not 9", "kein Riss", "cut out and welded",
            "looked at", "裂纹", "torque short", "called at 09:10, nobody by 09:40", "no crack seen",
            "pen slipped", "sound by dye", "F1: gusset",
        ] {
            assert!(!says_nothing(text), "{text:?}");
        }
    }
}
