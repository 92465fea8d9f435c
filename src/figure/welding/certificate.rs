//! Reads a composition written in one line, as certificates are copied:
//! `C=0.18 Mn=1.40 Si=0.30`, `C 0.18, Mn 1.4, B 10 ppm`.

use super::look_up::{LookedUp, Named};
use crate::figure::prelude::*;
use crate::reference::metal::Element;

/// Elements of a certificate that enter no carbon equivalent.
const OTHERS: &[&str] = &["p", "s", "n", "al", "sn", "as", "sb", "ca", "co", "w", "zr", "pb", "o", "h"];

fn unread(text: &str, why: &str) -> Trouble {
    Trouble::impossible(
        format!("composition \"{text}\" does not read: {why}"),
        "write each element and its share, such as \"C 0.18 Mn 1.40 Si 0.30\"",
    )
}

/// The shares of the elements that count.
pub type Analysis = Named<Vec<(Element, MassFraction)>>;

impl LookedUp for Vec<(Element, MassFraction)> {
    fn look_up(_: &str, text: &str) -> Result<Self> {
        read(text)
    }
}

/// Reads the shares; refuses what is no element or no share, or stands twice.
fn read(text: &str) -> Result<Vec<(Element, MassFraction)>> {
    let mut found: Vec<(Element, MassFraction)> = Vec::new();
    let mut waiting: Option<String> = None;
    for token in tokens(text) {
        if token.starts_with(|c: char| c.is_ascii_digit() || c == '.') {
            let name =
                waiting.take().ok_or_else(|| unread(text, &format!("\"{token}\" follows no element")))?;
            let value: f64 = token.parse().map_err(|_| unread(text, &format!("\"{token}\" is no number")))?;
            let share = MassFraction::of(value, unit::PCT_MASS);
            match Element::ALL.into_iter().find(|e| e.symbol().eq_ignore_ascii_case(&name)) {
                Some(element) if found.iter().any(|(known, _)| *known == element) => {
                    return Err(unread(text, &format!("{name} stands twice")));
                }
                Some(element) => found.push((element, share)),
                None if OTHERS.contains(&name.to_lowercase().as_str()) => {}
                None => return Err(unread(text, &format!("\"{name}\" is no element known here"))),
            }
        } else if token.eq_ignore_ascii_case("ppm") {
            let last = found.last_mut().ok_or_else(|| unread(text, "ppm follows no share"))?;
            last.1 = MassFraction::of(last.1.to(unit::PCT_MASS), unit::PPM_MASS);
        } else if waiting.replace(token.clone()).is_some() {
            return Err(unread(text, &format!("\"{token}\" stands where a share is due")));
        }
    }
    match waiting {
        Some(name) => Err(unread(text, &format!("{name} has no share"))),
        None => Ok(found),
    }
}

/// Runs of letters and runs of digits; signs between them say nothing.
fn tokens(text: &str) -> Vec<String> {
    let mut found: Vec<String> = Vec::new();
    let mut last = None;
    for c in text.chars() {
        let kind = if c.is_ascii_digit() || c == '.' {
            Some(true)
        } else if c.is_alphabetic() {
            Some(false)
        } else {
            None
        };
        match (kind, found.last_mut()) {
            (Some(_), Some(token)) if kind == last => token.push(c),
            (Some(_), _) => found.push(c.to_string()),
            (None, _) => {}
        }
        last = kind;
    }
    found
}
