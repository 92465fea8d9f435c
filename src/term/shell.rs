//! Names of files as they are typed in a command.

use std::path::Path;

/// Characters no shell reads as anything but themselves.
const PLAIN: &str = "_-./\\:+,@%=";

/// A path as one word of a command line: in quotes where a shell would take it apart, and so
/// that a minus in front makes no option of it (POSIX, Shell Command Language, 2.2.2).
#[must_use]
pub fn word(path: &Path) -> String {
    let name = path.display().to_string();
    let name = if name.starts_with('-') { format!("./{name}") } else { name };
    let plain = |c: char| c.is_alphanumeric() || PLAIN.contains(c);
    match name.chars().all(plain) && !name.is_empty() {
        true => name,
        false => format!("'{}'", name.replace('\'', "'\\''")),
    }
}

#[cfg(test)]
mod tests {
    use std::path::Path;

    use super::word;

    #[test]
    fn a_name_is_one_word_and_no_option() {
        for (name, typed) in [
            ("m.csv", "m.csv"),
            ("sheets/m-2.csv", "sheets/m-2.csv"),
            ("a b.csv", "'a b.csv'"),
            ("-rf.csv", "./-rf.csv"),
            ("- x.csv", "'./- x.csv'"),
            ("it's.csv", "'it'\\''s.csv'"),
            ("a\nb", "'a\nb'"),
            ("$(x)", "'$(x)'"),
            ("", "''"),
        ] {
            assert_eq!(word(Path::new(name)), typed);
        }
    }
}
