//! A word out of a short list.

use crate::diagnostic::nearest;

/// Declares an enum that is written as one of a few words.
///
/// The declaration is the Rust type, the reader and the schema.
#[macro_export]
macro_rules! choice {
    ($(#[$doc:meta])* $vis:vis enum $name:ident { $($(#[$vdoc:meta])* $variant:ident = $word:literal,)+ }) => {
        $(#[$doc])*
        #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
        $vis enum $name { $($(#[$vdoc])* #[doc = concat!("`", $word, "`.")] $variant,)+ }

        $crate::worded!($name { $($variant = $word,)+ });
        $crate::chosen!($name);
    };
}

/// Reader and schema of an enum of fixed words: one declared by [`choice!`](macro@crate::choice),
/// or one of [`term`](crate::term).
#[macro_export]
macro_rules! chosen {
    ($chosen:ty) => {
        impl $crate::file::Field for $chosen {
            fn read(
                node: &$crate::file::Node<'_>,
                reader: &mut $crate::file::Reader,
            ) -> Option<Self> {
                let example = format!("\"{}\"", Self::WORDS[0]);
                if $crate::file::still_blank::<Self>(node, reader, &example) {
                    return None;
                }
                let text = <$crate::file::Text as $crate::file::Field>::read(node, reader)?;
                if let Some(found) = Self::of(&text.to_lowercase()) {
                    return Some(found);
                }
                let key = $crate::file::last(&node.key).to_owned();
                let mut problem = $crate::diagnostic::Diagnostic::error(
                    "J015",
                    format!("{key} \"{text}\" is not one of the choices"),
                )
                .expected(Self::WORDS.join(", "))
                .example(format!("{key} = \"…\""));
                let near = $crate::file::choice_meant(&text, Self::WORDS);
                if let [one] = near.as_slice() {
                    problem = problem.help(format!("did you mean \"{one}\"?"));
                } else if !near.is_empty() {
                    problem = problem.help(format!(
                        "\"{text}\" may be {}: which of them is not chosen for you",
                        near.join(" or ")
                    ));
                }
                if !near.is_empty() {
                    let lines: Vec<String> = near.iter().map(|n| format!("{key} = \"{n}\"")).collect();
                    problem = problem.example(lines.join(" or "));
                }
                reader.problem(node, problem);
                None
            }

            fn schema() -> serde_json::Value {
                serde_json::json!({ "type": "string", "enum": Self::WORDS })
            }

            fn expected() -> String {
                format!("one of {}", Self::WORDS.join(", "))
            }
        }
    };
}

/// The words a text that is none of them may have been meant as: all that have its own
/// words, or else the nearest with its numbers. A word that is like none is not guessed.
#[must_use]
pub fn meant(text: &str, words: &[&'static str]) -> Vec<&'static str> {
    // The year of an edition says nothing of the choice.
    let lower = text.trim().to_lowercase();
    let plain = match lower.rsplit_once([':', '-']) {
        Some((head, year)) if year.len() == 4 && year.bytes().all(|b| b.is_ascii_digit()) => head,
        _ => &lower,
    };
    let parts = |text: &str| -> Vec<String> {
        let split = text.split(|c: char| !(c.is_alphanumeric() || c == '.'));
        split.filter(|part| !part.is_empty()).map(str::to_owned).collect()
    };
    let own = parts(plain);
    let has = |word: &str| {
        let all = parts(word);
        !own.is_empty() && own.iter().all(|part| all.contains(part))
    };
    let with: Vec<&'static str> = words.iter().copied().filter(|word| has(word)).collect();
    if !with.is_empty() {
        return with;
    }
    let digits = |text: &str| -> String { text.chars().filter(char::is_ascii_digit).collect() };
    let near = nearest(plain, words.iter().copied());
    // Another number is another standard.
    near.filter(|near| digits(near) == digits(plain) || digits(plain).is_empty()).into_iter().collect()
}

chosen!(crate::term::PointKind);
chosen!(crate::term::Moment);
chosen!(crate::term::Signal);
chosen!(crate::term::Level);
chosen!(crate::term::Paper);
chosen!(crate::term::Units);
chosen!(crate::term::Sketch);
chosen!(crate::term::FullSize);
chosen!(crate::term::Does);
chosen!(crate::term::Role);
chosen!(crate::term::Take);
chosen!(crate::term::Side);
chosen!(crate::term::customer::Section);
chosen!(crate::term::customer::Height);

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn one_of_several_is_not_chosen_for_anybody() {
        let words =
            &["aws d1.1 cyclic", "aws d1.1 static", "iso 5817 b", "iso 5817 c", "iso 5817 d", "front"];
        let both = vec!["aws d1.1 cyclic", "aws d1.1 static"];
        for (text, wanted) in [
            ("AWS D1.1", both.clone()),
            ("D1.1:2020", both),
            ("ISO 5817", vec!["iso 5817 b", "iso 5817 c", "iso 5817 d"]),
            ("D1.1 cyclic", vec!["aws d1.1 cyclic"]),
            ("ISO 5817-B", vec!["iso 5817 b"]),
            ("ISO 5817 level B", vec!["iso 5817 b"]),
            ("AWS D1.1 statc", vec!["aws d1.1 static"]),
            ("AWS D1.3", vec![]),
            ("frnt", vec!["front"]),
            ("", vec![]),
        ] {
            assert_eq!(meant(text, words), wanted, "{text}");
        }
    }
}
