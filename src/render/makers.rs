//! What makes the bytes of a file: templates, fonts, typesetter, PDF writer and
//! all they rest on, each with its version. With another one the same words may
//! be set otherwise; a record that names its makers is not taken for a forgery
//! then.

use std::collections::{BTreeMap, BTreeSet};
use std::sync::OnceLock;

use sha2::{Digest, Sha256};

use super::assets;

/// The versions this program was built with.
const LOCK: &str = include_str!("../../Cargo.lock");
/// Named in full; the rest stands in the digest.
const NAMED: [&str; 3] = ["typst", "krilla", "pdf-writer"];
/// Whatever these rest on has a hand in the bytes.
const ROOTS: [&str; 3] = ["typst", "typst-pdf", "typst-as-lib"];

/// Packages of the lock file: name and version, to what they rest on.
fn packages(lock: &str) -> BTreeMap<(String, String), Vec<String>> {
    let mut found = BTreeMap::new();
    for block in lock.split("[[package]]").skip(1) {
        let value = |key: &str| {
            let line = block.lines().find_map(|l| l.strip_prefix(key)?.strip_prefix(" = \""));
            line.and_then(|l| l.strip_suffix('"')).unwrap_or_default().to_owned()
        };
        let listed =
            block.split_once("dependencies = [").map_or("", |(_, rest)| rest.split(']').next().unwrap_or(""));
        let rests_on = listed.split('"').skip(1).step_by(2).map(str::to_owned).collect();
        found.insert((value("name"), value("version")), rests_on);
    }
    found
}

/// Everything the typesetter and the writer rest on, themselves included:
/// `name version`, sorted.
fn closure(lock: &str) -> BTreeSet<String> {
    let all = packages(lock);
    let mut found = BTreeSet::new();
    let mut next: Vec<String> = ROOTS.iter().map(|r| (*r).to_owned()).collect();
    while let Some(one) = next.pop() {
        // A name that occurs with two versions is listed with its version.
        let mut words = one.split(' ');
        let (name, version) = (words.next().unwrap_or_default(), words.next());
        let fits = all.iter().filter(|((n, v), _)| n == name && version.is_none_or(|w| w == v));
        for ((name, version), rests_on) in fits {
            if found.insert(format!("{name} {version}")) {
                next.extend(rests_on.iter().cloned());
            }
        }
    }
    found
}

/// Typesetter and writer with their versions, and a digest of them, of all they
/// rest on, of the templates and the fonts:
/// `typst-0.15.1+krilla-0.8.2+pdf-writer-0.15.0+3f29a1c04b7d`.
#[must_use]
pub fn makers() -> &'static str {
    static MAKERS: OnceLock<String> = OnceLock::new();
    MAKERS.get_or_init(|| {
        let closure = closure(LOCK);
        let mut hash = Sha256::new();
        for one in &closure {
            hash.update(one.as_bytes());
            hash.update(b"\n");
        }
        for (name, text) in assets::TEMPLATES {
            hash.update(name.as_bytes());
            hash.update(text.as_bytes());
        }
        for font in assets::FONTS {
            hash.update(font);
        }
        let digest = hex::encode(&hash.finalize()[..6]);
        let named = NAMED.iter().map(|name| {
            let with_space = format!("{name} ");
            closure
                .iter()
                .find(|c| c.starts_with(&with_space))
                .map_or_else(|| (*name).to_owned(), |c| c.replace(' ', "-"))
        });
        named.chain([digest]).collect::<Vec<_>>().join("+")
    })
}

#[cfg(test)]
mod tests {
    use super::{closure, makers};

    const LOCK: &str = "[[package]]\nname = \"typst\"\nversion = \"1.0.0\"\ndependencies = [\n \"inner 2.0.0\",\n]\n\n[[package]]\nname = \"inner\"\nversion = \"1.0.0\"\n\n[[package]]\nname = \"inner\"\nversion = \"2.0.0\"\n\n[[package]]\nname = \"other\"\nversion = \"3.0.0\"\n";

    #[test]
    fn the_closure_holds_what_is_rested_on_and_nothing_else() {
        assert_eq!(closure(LOCK).into_iter().collect::<Vec<_>>(), ["inner 2.0.0", "typst 1.0.0"]);
    }

    #[test]
    fn the_makers_are_named_with_their_versions() {
        for part in ["typst-", "krilla-", "pdf-writer-"] {
            let version = makers().split('+').find_map(|p| p.strip_prefix(part));
            assert!(version.is_some_and(|v| v.split('.').count() == 3), "{part} in {}", makers());
        }
        assert!(super::closure(super::LOCK).len() > 100, "the typesetter rests on much");
    }
}
