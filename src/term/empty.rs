//! Words that fill a box and say nothing: a full stop, `n/a`, `tbd`, `xxx`. The one
//! rule for what a file may say where a text is needed, and what an entry of the
//! record may say where a reason is.

/// Words that hold the place of what is still to be said.
const PLACE_HOLDERS: &[&str] = &[
    "tba",
    "tbc",
    "tbd",
    "todo",
    "fixme",
    "placeholder",
    "to be done",
    "to be determined",
    "to be confirmed",
    "lorem ipsum",
    "asdf",
    "qwerty",
];

/// Words that answer, and give no reason.
const NO_REASON: &[&str] = &[
    "na",
    "n a",
    "nil",
    "none",
    "null",
    "unknown",
    "not known",
    "not applicable",
    "no idea",
    "above",
    "accepted",
    "acknowledged",
    "agreed",
    "approved",
    "as above",
    "as before",
    "because",
    "bla",
    "checked",
    "decided",
    "blah",
    "dito",
    "ditto",
    "done",
    "fine",
    "good",
    "no reason",
    "looked at",
    "noted",
    "nothing",
    "ok",
    "okay",
    "reason",
    "same",
    "same as above",
    "see above",
    "seen",
    "lead decided",
    "lead decides",
    "some reason",
    "sure",
    "test",
    "text",
    "whatever",
    "why",
    "yes",
    "just because",
];

/// How a promise begins: it says what is still to be found out, and gives no reason.
const PROMISES: &[&str] = &[
    "will check",
    "will be checked",
    "will verify",
    "will be verified",
    "will confirm",
    "will be confirmed",
    "will measure",
    "will be measured",
    "i will check",
    "we will check",
    "to be checked",
    "to be verified",
    "to be measured",
    "needs to be checked",
];

/// How a short one begins; a longer text with these words may say something.
const SHORT_PROMISES: &[&str] = &[
    "later",
    "to check",
    "to verify",
    "to confirm",
    "to measure",
    "check later",
    "checked later",
    "must check",
    "need to check",
    "pending",
    "going to",
    "not yet",
    "not checked",
    "not sure",
    "tomorrow",
    "next week",
    "soon",
];

/// Words that assure, promise and bind others: a text of these alone names nothing
/// anybody could look at.
const ASSURANCES: &[&str] = &[
    "a",
    "about",
    "accepted",
    "after",
    "again",
    "agreed",
    "all",
    "always",
    "am",
    "an",
    "and",
    "any",
    "anyway",
    "approved",
    "are",
    "as",
    "at",
    "be",
    "been",
    "before",
    "believe",
    "best",
    "but",
    "by",
    "can",
    "care",
    "careful",
    "carefully",
    "checked",
    "correct",
    "correctly",
    "course",
    "decided",
    "did",
    "do",
    "does",
    "doing",
    "done",
    "each",
    "enough",
    "ever",
    "every",
    "everybody",
    "everyone",
    "everything",
    "experience",
    "experienced",
    "fine",
    "for",
    "from",
    "good",
    "had",
    "has",
    "have",
    "here",
    "i",
    "if",
    "in",
    "is",
    "it",
    "its",
    "job",
    "just",
    "know",
    "known",
    "knows",
    "lead",
    "like",
    "looked",
    "made",
    "make",
    "many",
    "may",
    "me",
    "might",
    "must",
    "my",
    "necessary",
    "need",
    "needed",
    "never",
    "no",
    "normal",
    "normally",
    "not",
    "noted",
    "now",
    "of",
    "ok",
    "okay",
    "on",
    "one",
    "or",
    "our",
    "ours",
    "people",
    "possible",
    "problem",
    "problems",
    "proper",
    "properly",
    "quite",
    "really",
    "required",
    "right",
    "safe",
    "safely",
    "said",
    "saw",
    "says",
    "seen",
    "shall",
    "shop",
    "should",
    "so",
    "somebody",
    "someone",
    "still",
    "sure",
    "than",
    "that",
    "the",
    "then",
    "there",
    "they",
    "thing",
    "things",
    "think",
    "this",
    "to",
    "too",
    "trust",
    "us",
    "usual",
    "usually",
    "very",
    "was",
    "way",
    "we",
    "well",
    "were",
    "what",
    "when",
    "will",
    "with",
    "work",
    "works",
    "would",
    "years",
    "you",
];

/// Whether a text of several words only assures.
fn assures(words: &[&str]) -> bool {
    words.len() > 1 && words.iter().all(|word| ASSURANCES.contains(word))
}

/// Words of a short one, at most.
const SHORT: usize = 4;

/// Whether a text in bare words promises to find out.
fn promises(bare: &str) -> bool {
    let begins =
        |word: &&&str| bare.strip_prefix(**word).is_some_and(|rest| rest.is_empty() || rest.starts_with(' '));
    let short = bare.split(' ').count() <= SHORT;
    PROMISES.iter().any(|word| begins(&word))
        || short && (SHORT_PROMISES.iter().any(|word| begins(&word)) || bare.ends_with(" later"))
}

/// Fewest letters of a reason in Latin, Greek or Cyrillic script.
const LEAST: usize = 3;

/// The words of a text in small letters, without the marks around and between them:
/// `N/A.` is `na`, `to be  confirmed!` is `to be confirmed`.
fn bare(text: &str) -> String {
    let words = text.split_whitespace().map(|word| {
        word.chars().filter(|c| c.is_alphanumeric()).flat_map(char::to_lowercase).collect::<String>()
    });
    words.filter(|word| !word.is_empty()).collect::<Vec<_>>().join(" ")
}

/// Whether a text has no letter and no digit (`.`, `-`, `???`), is an x or one letter
/// over and over (`x`, `xx`, `aaa`), or holds the place of what is still to be said
/// (`tbd`). No field that wants words takes one. `none` and `n/a` are answers (no gas, no
/// permit), if no reasons.
#[must_use]
pub fn says_nothing(text: &str) -> bool {
    let bare = bare(text);
    let joined: String = bare.split(' ').collect();
    let Some(first) = joined.chars().next() else { return true };
    let repeated = first.is_ascii_alphabetic() && joined.chars().all(|c| c == first);
    let filler = first == 'x' || joined.len() >= LEAST;
    repeated && filler || PLACE_HOLDERS.iter().any(|word| *word == bare || *word == joined)
}

/// Whether a text that must say why, from where or what (a reason, a source, a
/// description, what a hold rests on, a complaint) does not: it [says nothing](says_nothing),
/// has fewer than three letters, or is a word that answers without a reason (`ok`, `n/a`,
/// `none`, `same as above`).
#[must_use]
pub fn gives_no_reason(text: &str) -> bool {
    let letters = text.chars().filter(|c| c.is_alphabetic()).count();
    // A word of some scripts is one letter.
    let syllabic = text.chars().any(|c| c.is_alphabetic() && c > '\u{0DFF}');
    let bare = bare(text);
    let joined: String = bare.split(' ').collect();
    let fills = |text: &str| says_nothing(text) || NO_REASON.contains(&text);
    let mut words: Vec<&str> = bare.split(' ').filter(|w| !w.is_empty()).collect();
    let all_fill = words.iter().all(|w| fills(w) || KEYS.iter().any(|keys| w.len() > 2 && keys.contains(w)));
    let many = words.len();
    let assured = assures(&words);
    words.sort_unstable();
    words.dedup();
    says_nothing(text)
        || letters < LEAST && !syllabic
        || promises(&bare)
        || assured
        || NO_REASON.iter().any(|word| *word == bare || *word == joined)
        // One word over and over, or only words none of which is a reason.
        || many > 1 && words.len() == 1
        || all_fill
        || NO_REASON.iter().any(|word| repeats(&bare, word))
}

/// Rows of keys a hand falls on.
const KEYS: &[&str] = &["qwertyuiop", "asdfghjkl", "zxcvbnm"];

/// Whether a text is some words twice or more and nothing else: `n a n a`.
fn repeats(text: &str, words: &str) -> bool {
    let mut rest = text;
    while let Some(after) = rest.strip_prefix(words).filter(|a| a.is_empty() || a.starts_with(' ')) {
        rest = after.trim_start();
        if rest.is_empty() {
            return true;
        }
    }
    false
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_only_fills_a_box_says_nothing() {
        for text in [
            "",
            " ",
            ".",
            "-",
            "—",
            "…",
            "???",
            "x",
            "X",
            "xx",
            "Xxx",
            "x x",
            "aaa",
            "tbd",
            "T.B.D.",
            "tbd...",
            "TODO",
            "To be  confirmed!",
            "\u{200B}.",
            "__________",
        ] {
            assert!(says_nothing(text), "{text:?} says something");
            assert!(gives_no_reason(text), "{text:?} is a reason");
        }
    }

    #[test]
    fn a_short_text_may_say_much() {
        for text in [
            "5",
            "8.8",
            "A",
            "A36",
            "1G",
            "B7",
            "ER70S-6",
            "no",
            "OK",
            "M16",
            "left",
            "11",
            "Xi",
            "none",
            "n/a",
            "none left",
            "unknown",
        ] {
            assert!(!says_nothing(text), "{text:?} says nothing");
        }
    }

    #[test]
    fn to_have_seen_it_is_no_decision() {
        for text in [
            "seen",
            "seen it",
            "ok, seen",
            "noted",
            "looked at it",
            "I saw it",
            "checked and ok",
            "lead says so",
        ] {
            assert!(gives_no_reason(text), "{text}");
        }
        for text in
            ["seen by the maker's engineer, letter of 2 March", "old scratch, no crack", "wall left 0.2 in"]
        {
            assert!(!gives_no_reason(text), "{text}");
        }
    }

    #[test]
    fn a_reason_is_more_than_an_answer() {
        for text in [
            "5",
            "ok",
            "OK.",
            "yes",
            "No",
            "same as above",
            "ditto",
            "see above",
            "12 34",
            "because",
            "n/a",
            "N / A",
            "n.a.",
            "none",
            "None.",
            "Not applicable",
            "unknown",
            "n/a n/a",
            "bla bla bla",
            "asdf jkl qwe",
            "ok, fine",
            "none. done.",
            "will check later",
            "Will check.",
            "to check",
            "later",
            "measure it later",
            "will be done as usual by the shop",
            "We always do it this way.",
            "it is safe",
            "everything is fine and has been done properly",
            "we have done this for many years",
            "trust me, I know what I am doing",
            "not needed",
            "as usual",
            "done right, as always",
            "no problem here",
        ] {
            assert!(gives_no_reason(text), "{text:?} is a reason");
        }
        for text in [
            "measured twice",
            "maker's data",
            "ISO 898-1",
            "wet",
            "long-travel springs, measured twice",
            "二回測定",
            "測",
            "none of the bolts came with papers",
            "no gap left, none asked",
            "test failed",
            "customer asked for it",
            "it is not needed: the tank is out of the truck",
            "bench work, nothing overhead",
            "done by hand",
            "shop rule 7",
            "as on the drawing",
            "the maker allows it",
            "weighed on the scale, twice",
            "axle is out of the unit",
            "checked with a go gauge",
            "seen by the inspector before the tack",
            "slip of the pen",
            "no fire watch: welded outside on concrete",
            "measured by two people",
            "later springs of this axle stand 1/2 in taller",
            "the customer will bring the truck back after a week on the road",
        ] {
            assert!(!gives_no_reason(text), "{text:?} is no reason");
        }
    }
}
