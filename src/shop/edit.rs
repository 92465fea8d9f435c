//! Writing single values into a shop book, everything else left as it is.

use super::model::Book;
use crate::diagnostic::{Diagnostic, Span};

/// Writes the PIN hash of a person; an older one is replaced.
///
/// # Errors
/// If nobody has the id, or the text of the book can't take the value.
pub fn set_pin(name: &str, text: &str, id: &str, hash: &str) -> Result<String, Diagnostic> {
    let book = read(name, text)?;
    let Some(person) = book.person(id) else {
        let known: Vec<&str> = book.person.iter().map(|p| p.id.0.as_str()).collect();
        return Err(Diagnostic::error("S080", format!("{name} has no person \"{id}\""))
            .expected(known.join(", "))
            .help("enter the person first: [[person]] with id, name and role"));
    };
    let new = put(text, &person.id.span, person.pin.as_ref().map(|p| &p.span), "pin", hash);
    let set = |b: &Book| b.person(id).and_then(|p| p.pin.as_ref()).is_some_and(|p| p.0 == hash);
    checked(name, new, set)
}

/// Writes the fingerprint of the root the shop signs its records under.
///
/// # Errors
/// If the text of the book can't take the value.
pub fn set_seal(name: &str, text: &str, root: &str) -> Result<String, Diagnostic> {
    let book = read(name, text)?;
    let new = put(text, &book.title.span, book.seal.as_ref().map(|s| &s.span), "seal", root);
    checked(name, new, |b| b.seal.as_ref().is_some_and(|s| s.0 == root))
}

fn read(name: &str, text: &str) -> Result<Book, Diagnostic> {
    super::load(name, text).0.ok_or_else(|| {
        Diagnostic::error("S081", format!("{name} can't be read as a shop book"))
            .help("tackwright shop lists what is wrong with it")
    })
}

/// The text with `key = "value"` in the place of an old value, or behind the
/// value at `after`: on a line of its own, or within the same braces.
fn put(text: &str, after: &Span, old: Option<&Span>, key: &str, value: &str) -> String {
    if let Some(old) = old {
        let range = old.range.clone();
        let quoted = format!("\"{value}\"");
        return [&text[..range.start], &quoted, &text[range.end..]].concat();
    }
    let end = after.range.end;
    let line = text[..after.range.start].rfind('\n').map_or(0, |i| i + 1);
    let rest = text[end..].find('\n').map_or(text.len(), |i| end + i);
    if text[line..end].contains('{') {
        return format!("{}, {key} = \"{value}\"{}", &text[..end], &text[end..]);
    }
    format!("{}\n{key} = \"{value}\"{}", &text[..rest], &text[rest..])
}

/// The new text, if it reads and says what was meant.
fn checked(name: &str, text: String, set: impl Fn(&Book) -> bool) -> Result<String, Diagnostic> {
    match super::load(name, &text) {
        (Some(book), report) if set(&book) && !report.has_errors() => Ok(text),
        _ => Err(Diagnostic::error("S082", format!("the value can't be written into {name} as it stands"))
            .help("mend what `tackwright shop` lists, then try again")),
    }
}
