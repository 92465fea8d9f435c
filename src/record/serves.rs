//! Which instruments can make a reading at all, whatever their unit and range: an
//! ultrasonic gauge reads walls and no wheelbase, a feeler reads gaps alone.
//!
//! Source: common practice, what the instruments are made for.

use crate::term::instrument::{MADE_FOR, names, words};

/// Plain instruments that do the work of one made for it.
const INSTEAD: &[(&str, &str)] = &[("depth gauge", "caliper"), ("caster gauge", "angle finder")];

/// What a reading is taken with where it goes across a frame or a unit, though its value may be
/// small: a difference of diagonals, a bend.
const ACROSS: &[&str] =
    &["plumb bob", "string", "alignment bar", "through-bar", "trammel", "telescoping rod"];
/// Instruments that reach over no more than a part.
const SHORT: &[&str] = &["caliper", "micrometer", "depth gauge", "weld gauge", "feeler", "steel rule"];
/// What goes across where it reads how far two long measures are apart: diagonals, heights.
const LONG: &str = "tape";

/// Plain instruments for lengths, the coarse ones first; those of one row are as good as each
/// other.
const FINER: &[&[&str]] = &[&["tape", "string", "trammel"], &["steel rule"], &["caliper"], &["micrometer"]];

/// Whether an instrument of this title reaches where a reading taken with `asked` goes, both in
/// lower case.
#[must_use]
pub fn reaches(title: &str, asked: &str) -> bool {
    !ACROSS.iter().any(|long| asked.contains(long)) || spans(title, asked)
}

/// Whether an instrument of this title reaches over more than a part, or is one of those that
/// are named.
fn spans(title: &str, asked: &str) -> bool {
    let short = |text: &str| SHORT.iter().copied().filter(|short| text.contains(short)).collect::<Vec<_>>();
    let (own, named) = (short(title), short(asked));
    own.is_empty() || own.iter().any(|short| named.contains(short))
}

/// Whether an instrument of this title reads how far two long measures are apart that are taken
/// with `asked`, both in lower case: the difference of diagonals is small, and each of them is
/// longer than a caliper.
#[must_use]
pub fn compares(title: &str, asked: &str) -> bool {
    !asked.contains(LONG) || spans(title, asked)
}

/// The row of [`FINER`] a name is in: that of the coarsest it names; none for anything else.
fn fineness(text: &str) -> Option<usize> {
    let words = words(text);
    FINER.iter().position(|row| row.iter().any(|name| names(&words, name)))
}

/// Whether an instrument of this title is by its name as fine as what a reading is taken with;
/// true where a name says nothing of it.
#[must_use]
pub fn as_fine_by_name(title: &str, asked: &str) -> bool {
    fineness(title).zip(fineness(asked)).is_none_or(|(own, wanted)| own >= wanted)
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
            ("caliper", "trammel"),
            ("steel rule", "trammel"),
            ("digital caliper", "telescoping rod and tape"),
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
            ("steel rule", "string and steel rule"),
        ] {
            assert!(serves(title, asked), "{title} for {asked}");
        }
    }

    #[test]
    fn a_difference_of_long_measures_is_read_by_what_reaches() {
        for (title, asked, reads) in [
            ("caliper", "tape", false),
            ("steel rule, 24 in", "tape", false),
            ("tape", "tape", true),
            ("trammel", "tape", true),
            ("caliper", "caliper, tape", true),
            ("caliper", "caliper", true),
            ("feeler", "steel rule", true),
        ] {
            assert_eq!(compares(title, asked), reads, "{title} for {asked}");
        }
    }

    #[test]
    fn a_name_says_what_is_coarser() {
        for (title, asked, fine) in [
            ("tape", "caliper", false),
            ("tape", "steel rule", false),
            ("steel rule", "caliper", false),
            ("caliper", "micrometer", false),
            ("trammel", "tape", true),
            ("caliper", "tape", true),
            ("tape", "caliper, tape", true),
            ("tape", "dial gauge", true),
            ("bore gauge", "caliper", true),
        ] {
            assert_eq!(as_fine_by_name(title, asked), fine, "{title} for {asked}");
        }
    }
}
