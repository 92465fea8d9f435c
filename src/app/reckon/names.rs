//! Matching of names as a bench writes them: exact, but for capitals, hyphens and
//! the spelling on either side of the ocean. A few trade synonyms are declared with
//! the families; nothing else is guessed.

use crate::figure::{Family, Input, registry};

/// Two spellings of one word.
const SPELLINGS: &[(&str, &str)] =
    &[("tire", "tyre"), ("center", "centre"), ("castor", "caster"), ("labor", "labour")];

/// Whether two names are the same.
#[must_use]
pub fn alike(typed: &str, declared: &str) -> bool {
    typed == declared || letters(typed) == letters(declared)
}

fn letters(name: &str) -> String {
    let bare: String = name.chars().filter(|c| c.is_alphanumeric()).flat_map(char::to_lowercase).collect();
    SPELLINGS.iter().fold(bare, |name, (other, ours)| name.replace(other, ours))
}

/// The family of this name, or of a synonym declared with it.
#[must_use]
pub fn find(name: &str) -> Option<&'static Family> {
    let own = || registry::families().find(|f| alike(name, f.name));
    let other =
        || registry::families().find(|f| f.declared.other_names.iter().any(|other| alike(name, other)));
    registry::find(name).or_else(own).or_else(other)
}

/// Every name an input answers to, its own first.
pub fn all_names(input: &Input) -> impl Iterator<Item = &'static str> {
    std::iter::once(input.name).chain(input.aliases.iter().copied())
}

/// The inputs of a family that a typed name may mean: those it names to the
/// letter, else those it names but for capitals and hyphens.
#[must_use]
pub fn inputs(family: &Family, typed: &str) -> Vec<&'static Input> {
    let named = |same: fn(&str, &str) -> bool| {
        family.inputs.iter().filter(|i| all_names(i).any(|name| same(typed, name))).collect::<Vec<_>>()
    };
    let exact = named(|typed, name| typed == name);
    if exact.is_empty() { named(alike) } else { exact }
}

/// A name split into the value's own name and a unit at its end, such as
/// `tube_od_mm`.
#[must_use]
pub fn split_unit(typed: &str) -> Option<(&str, &str)> {
    let (name, unit) = typed.rsplit_once('_')?;
    (!name.is_empty() && !unit.is_empty()).then_some((name, unit))
}

/// The offered choice that a typed word means.
#[must_use]
pub fn choice(typed: &str, input: &Input, offered: &'static [&'static str]) -> Option<&'static str> {
    let wanted = letters_and_signs(typed);
    let same = |word: &str| letters_and_signs(word) == wanted;
    let direct = offered.iter().find(|word| same(word)).copied();
    direct.or_else(|| input.twins.iter().find(|(twin, _)| same(twin)).map(|(_, word)| *word))
}

fn letters_and_signs(word: &str) -> String {
    word.trim().chars().filter(|c| !matches!(c, ' ' | '-' | '_')).flat_map(char::to_lowercase).collect()
}

#[cfg(test)]
mod tests {
    use super::{alike, find, split_unit};

    #[test]
    fn capitals_hyphens_and_the_ocean_do_not_matter() {
        assert!(alike("Tube-OD", "tube_od"));
        assert!(alike("tireRadius", "tyre_radius"));
        assert!(!alike("seat_old", "old_seat"), "order is part of a name");
        assert!(!alike("tyre_radius", "tyre"), "a radius is no diameter");
        assert_eq!(find("Spring_Over").map(|f| f.name), Some("lift"));
    }

    #[test]
    fn a_unit_may_stand_in_the_name() {
        assert_eq!(split_unit("tube_od_mm"), Some(("tube_od", "mm")));
        assert_eq!(split_unit("mm"), None);
    }
}
