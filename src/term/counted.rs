//! One or many, in words.

/// A count with the word for one or for many: `1 entry`, `2 entries`.
#[must_use]
pub fn counted(n: usize, one: &str, many: &str) -> String {
    format!("{n} {}", if n == 1 { one } else { many })
}
