//! One or many, in words.

use std::fmt::Display;

/// A count with the word for one or for many: `1 entry`, `2 entries`.
#[must_use]
pub fn counted<N: Display + PartialEq + From<u8>>(n: N, one: &str, many: &str) -> String {
    let word = if n == N::from(1) { one } else { many };
    format!("{n} {word}")
}
