//! Names and paths written in a file that become names and paths on the disk:
//! checked here, so that nothing written in a file leads out of its folder.

use std::fmt;
use std::path::{Path, PathBuf};

use serde_json::{Value as Json, json};

use super::field::last;
use super::text::{LINE, shorten, text};
use super::{Field, Node, Reader, mend};
use crate::diagnostic::Diagnostic;

/// Longest name, in characters.
const LONGEST: usize = 60;

/// Names some systems keep for devices, whatever stands behind a full stop
/// (Win32, "Naming Files, Paths, and Namespaces").
const DEVICES: &[&str] = &["con", "prn", "aux", "nul", "com", "lpt"];

/// A name one file or folder can have on every system: ASCII letters, digits,
/// hyphens, underscores and full stops, beginning with a letter or digit. It
/// has no parts, so joined to a folder it stays in that folder.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub struct FileName(String);

impl FileName {
    /// The name, if the text can be one.
    #[must_use]
    pub fn of(text: &str) -> Option<Self> {
        let letters = |c: char| c.is_ascii_alphanumeric() || matches!(c, '-' | '_' | '.');
        let stem = text.split('.').next().unwrap_or(text).to_ascii_lowercase();
        let device = DEVICES.iter().any(|d| {
            stem.strip_prefix(d).is_some_and(|rest| match *d {
                "com" | "lpt" => rest.len() == 1 && rest.chars().all(|c| c.is_ascii_digit()),
                _ => rest.is_empty(),
            })
        });
        let fits = text.len() <= LONGEST
            && text.chars().all(letters)
            && text.starts_with(|c: char| c.is_ascii_alphanumeric())
            && !text.ends_with('.')
            && !device;
        fits.then(|| Self(text.to_owned()))
    }

    /// The letter of a first revision.
    #[must_use]
    pub fn first_letter() -> Self {
        Self("A".to_owned())
    }

    /// Joined to a folder; it can't lead out of it.
    #[must_use]
    pub fn below(&self, folder: &Path) -> PathBuf {
        folder.join(&self.0)
    }
}

impl std::ops::Deref for FileName {
    type Target = str;
    fn deref(&self) -> &str {
        &self.0
    }
}

impl fmt::Display for FileName {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.0)
    }
}

impl Field for FileName {
    fn stand_in(_node: &Node<'_>, _reader: &Reader) -> Option<Self> {
        Some(Self(LINE.to_owned()))
    }

    fn read(node: &Node<'_>, reader: &mut Reader) -> Option<Self> {
        let written = text(node, reader)?;
        if let Some(name) = Self::of(&written) {
            return Some(name);
        }
        let key = last(&node.key);
        reader.problem(
            node,
            Diagnostic::error("J013", format!("{key} \"{}\" can't be used as a name", shorten(&written)))
                .expected(Self::expected())
                .example(match mend::id(&written) {
                    Some(meant) => format!("{key} = \"{meant}\""),
                    None => format!("{key} = \"…\""),
                })
                .help("it names a file, and a file is written nowhere but in its folder"),
        );
        None
    }

    fn schema() -> Json {
        json!({ "type": "string", "pattern": "^[A-Za-z0-9][A-Za-z0-9_.-]{0,59}$" })
    }

    fn expected() -> String {
        "letters, digits and hyphens, at most 60".to_owned()
    }
}

/// A path from the folder of the file it is written in, to something below it:
/// `art/logo.svg`. Never a root, a drive or a step upwards.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub struct PathBelow(String);

impl PathBelow {
    /// The path, if the text can be one.
    #[must_use]
    pub fn of(text: &str) -> Option<Self> {
        let part = |part: &str| {
            !part.is_empty()
                && !part.starts_with('.')
                && !part.ends_with('.')
                && !part
                    .chars()
                    .any(|c| c.is_control() || matches!(c, '\\' | ':' | '*' | '?' | '"' | '<' | '>' | '|'))
        };
        text.split('/').all(part).then(|| Self(text.to_owned()))
    }

    /// Joined to a folder; it can't lead out of it.
    #[must_use]
    pub fn from(&self, folder: &Path) -> PathBuf {
        self.0.split('/').fold(folder.to_owned(), |path, part| path.join(part))
    }
}

impl std::ops::Deref for PathBelow {
    type Target = str;
    fn deref(&self) -> &str {
        &self.0
    }
}

impl Field for PathBelow {
    fn read(node: &Node<'_>, reader: &mut Reader) -> Option<Self> {
        let written = text(node, reader)?;
        let found = Self::of(written.trim());
        if found.is_none() {
            let key = last(&node.key);
            reader.problem(
                node,
                Diagnostic::error("J016", format!("{key} \"{}\" leads out of the folder", shorten(&written)))
                    .expected(Self::expected())
                    .example(format!("{key} = \"shop/{key}\"")),
            );
        }
        found
    }

    fn schema() -> Json {
        json!({ "type": "string", "pattern": "^[^./\\\\:][^\\\\:]*$" })
    }

    fn expected() -> String {
        "a path below the folder of this file, its parts divided by /".to_owned()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// What a hostile file may write where a name is expected.
    const HOSTILE: &[&str] = &[
        "",
        ".",
        "..",
        "../x",
        "../../../x",
        "/etc/passwd",
        "a/b",
        "a\\b",
        "C:",
        "C:\\x",
        "x/../../y",
        ".hidden",
        "con",
        "NUL.txt",
        "com1",
        "lpt9.log",
        "x.",
        "x ",
        "-x",
        "a\u{0}b",
        "a\nb",
        "\u{202E}gpj",
        "x\u{2215}y",
        "~",
        "~root",
        "$HOME",
        "x*",
    ];

    #[test]
    fn a_hostile_name_is_none() {
        for text in HOSTILE {
            assert!(FileName::of(text).is_none(), "{text:?} is taken as a name");
        }
        assert!(FileName::of(&"a".repeat(61)).is_none());
        for text in
            ["A", "TW-2041", "TW-2041.2", "F1-1-0123456789ab.jpg", "console", "com", "log.jsonl.torn-at-7"]
        {
            let name = FileName::of(text).unwrap();
            assert_eq!(name.below(Path::new("t")), Path::new("t").join(text));
        }
    }

    #[test]
    fn a_path_stays_below_its_folder() {
        let out = [
            "",
            "/",
            "/etc/passwd",
            "..",
            "../x",
            "a/../../x",
            "a//b",
            "C:/x",
            "C:x",
            "a\\..\\b",
            "./x",
            "a/.",
            "\\\\host\\x",
        ];
        for text in out {
            assert!(PathBelow::of(text).is_none(), "{text:?} is taken as a path");
        }
        for text in ["logo.svg", "art/our logo.png", "own"] {
            assert!(PathBelow::of(text).unwrap().from(Path::new("book")).starts_with("book"));
        }
    }
}
