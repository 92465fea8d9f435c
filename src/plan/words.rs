//! A sentence with some of its words strong: the figures nobody must misread.

use serde::{Deserialize, Serialize};

/// A piece of text, plain or strong.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize, Deserialize)]
pub struct Run {
    /// Printed as it stands; a space to the next piece is part of it.
    pub text: String,
    /// Printed bold: the figure a person must not misread.
    pub strong: bool,
}

/// A sentence or paragraph.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(transparent)]
pub struct Words(pub Vec<Run>);

impl Words {
    /// One piece, none of it strong.
    #[must_use]
    pub fn plain(text: impl Into<String>) -> Self {
        Self(vec![Run { text: text.into(), strong: false }])
    }

    /// Text in which everything between `open` and `close` is strong. The two
    /// marks themselves are not printed. Choose marks nobody can type, such as
    /// control characters, and let the text filter that prints figures set them.
    #[must_use]
    pub fn between(text: &str, open: char, close: char) -> Self {
        let mut runs = Vec::new();
        let mut run = Run::default();
        for c in text.chars() {
            if c == open || c == close {
                if !run.text.is_empty() {
                    runs.push(std::mem::take(&mut run));
                }
                run.strong = c == open;
            } else {
                run.text.push(c);
            }
        }
        if !run.text.is_empty() {
            runs.push(run);
        }
        Self(runs)
    }

    /// Adds plain text.
    #[must_use]
    pub fn then(mut self, text: impl Into<String>) -> Self {
        self.0.push(Run { text: text.into(), strong: false });
        self
    }

    /// Adds strong text.
    #[must_use]
    pub fn strong(mut self, text: impl Into<String>) -> Self {
        self.0.push(Run { text: text.into(), strong: true });
        self
    }

    /// The text without emphasis.
    #[must_use]
    pub fn text(&self) -> String {
        self.0.iter().map(|run| run.text.as_str()).collect()
    }
}

impl Words {
    /// The text up to and with the end of its first sentence.
    #[must_use]
    pub fn first_sentence(&self) -> String {
        let text = self.text();
        text.split_once(". ").map_or_else(|| text.clone(), |(first, _)| format!("{first}."))
    }
}

impl From<&str> for Words {
    fn from(text: &str) -> Self {
        Self::plain(text)
    }
}

impl From<String> for Words {
    fn from(text: String) -> Self {
        Self::plain(text)
    }
}
