//! Which instruments can make a reading at all, whatever their unit and range: an
//! ultrasonic gauge reads walls and no wheelbase, a feeler reads gaps alone.
//!
//! Source: common practice, what the instruments are made for.

use crate::term::instrument::{MADE_FOR, names, words};

/// Plain instruments that do the work of one made for it.
const INSTEAD: &[(&str, &str)] = &[("depth gauge", "caliper"), ("caster gauge", "angle finder")];

/// What a reading is taken with where it goes across a frame or a unit, though its value may be
/// small: a difference of diagonals, a bend.
const ACROSS: &[&str] = &["plumb bob", "string", "alignment bar", "through-bar"];
/// Instruments that reach over no more than a part.
const SHORT: &[&str] = &["caliper", "micrometer", "depth gauge", "weld gauge", "feeler"];

/// Whether an instrument of this title reaches where a reading taken with `asked` goes.
#[must_use]
pub fn reaches(title: &str, asked: &str) -> bool {
    let across = ACROSS.iter().any(|long| asked.contains(long));
    let named = SHORT.iter().any(|short| title.contains(short) && asked.contains(short));
    !across || named || !SHORT.iter().any(|short| title.contains(short))
}

/// The special kinds a text names.
fn special(text: &str) -> impl Iterator<Item = &'static str> {
    let words = words(text);
    MADE_FOR.iter().copied().filter(move |kind| names(&words, kind))
}

/// Whether an instrument of this title is made for no one thing.
#[must_use]
pub fn plain(title: &str) -> bool {
    special(title).next().is_none()
}

/// Whether an instrument of this title can make a reading that is taken with `asked`, as
/// the procedure names it (`feeler`, `caliper, tape`); nothing named is anything.
#[must_use]
pub fn serves(title: &str, asked: &str) -> bool {
    let (title, asked) = (title.to_lowercase(), asked.to_lowercase());
    if asked.trim().is_empty() {
        return true;
    }
    if !reaches(&title, &asked) {
        return false;
    }
    let wanted: Vec<&str> = special(&asked).collect();
    let mut own = special(&title).peekable();
    if own.peek().is_some() {
        return own.any(|kind| wanted.contains(&kind));
    }
    // One of several named that is a plain one may be any plain one.
    let plain = asked.split([',', ';']).flat_map(|p| p.split(" and ")).flat_map(|p| p.split(" or "));
    let plain = plain.map(str::trim).any(|part| !part.is_empty() && special(part).next().is_none());
    plain
        || wanted
            .iter()
            .any(|kind| INSTEAD.iter().any(|(special, instead)| special == kind && title.contains(instead)))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_made_for_one_thing_reads_nothing_else() {
        for (title, asked) in [
            ("ultrasonic thickness gauge", "tape and plumb bob"),
            ("ultrasonic gauge", "caliper"),
            ("feeler", "tape"),
            ("tape", "feeler"),
            ("caliper", "feeler"),
            ("steel rule", "ultrasonic gauge"),
            ("turn plates", "angle finder"),
            ("tape", "dial gauge"),
            ("caliper, 6 in", "tape and plumb bob"),
            ("caliper", "alignment bar or string"),
            ("caliper", "weld gauge"),
        ] {
            assert!(!serves(title, asked), "{title} for {asked}");
        }
        for (title, asked) in [
            ("ultrasonic thickness gauge", "ultrasonic gauge"),
            ("ultrasonic thickness gage", "ultrasonic gauge"),
            ("feeler gages", "feeler"),
            ("ultrasonic gauge", "caliper, ultrasonic gauge"),
            ("caliper", "caliper, ultrasonic gauge"),
            ("caliper", "depth gauge"),
            ("steel rule", "tape"),
            ("angle finder", "caster gauge"),
            ("dial gauge", "dial gauge for bores"),
            ("tape", ""),
            ("tape", "trammel"),
        ] {
            assert!(serves(title, asked), "{title} for {asked}");
        }
    }
}
