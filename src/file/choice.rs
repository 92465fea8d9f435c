//! A word out of a short list.

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
                // A word that is like none of them is not guessed.
                let lower = text.to_lowercase();
                if let Some(near) = $crate::diagnostic::nearest(&lower, Self::WORDS.iter().copied()) {
                    problem = problem
                        .help(format!("did you mean \"{near}\"?"))
                        .example(format!("{key} = \"{near}\""));
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

chosen!(crate::term::PointKind);
chosen!(crate::term::Moment);
chosen!(crate::term::Signal);
chosen!(crate::term::Level);
chosen!(crate::term::Paper);
chosen!(crate::term::Units);
chosen!(crate::term::Sketch);
chosen!(crate::term::FullSize);
chosen!(crate::term::Does);
chosen!(crate::term::Take);
