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

/// What the bench writes short, and the words between words.
const SHORT: &[(&str, &str)] = &[
    ("dia", "diameter"),
    ("diam", "diameter"),
    ("thk", "thickness"),
    ("thick", "thickness"),
    ("len", "length"),
    ("rad", "radius"),
    ("temp", "temperature"),
    ("max", "maximum"),
    ("min", "minimum"),
    ("amp", "amps"),
    ("volt", "volts"),
    ("vert", "vertical"),
    ("horiz", "horizontal"),
];
const BETWEEN: &[&str] = &["of", "the", "for"];

/// The words of a name, whatever their order: `old_seat` and `seat_old`,
/// `length_of_weld` and `weld_length`, `tube_dia` and `tube_diameter`.
fn words(name: &str) -> Vec<String> {
    let lower = name.to_lowercase();
    let parts = lower.split(['_', '-', ' ', '.']).filter(|w| !w.is_empty() && !BETWEEN.contains(w));
    let long = |word: &str| {
        let word = SHORT.iter().find(|(short, _)| *short == word).map_or(word, |(_, long)| long);
        SPELLINGS.iter().fold(word.to_owned(), |word, (other, ours)| word.replace(other, ours))
    };
    let mut words: Vec<String> = parts.map(long).collect();
    words.sort();
    words
}

/// Names that mean one thing wherever they stand: whoever has one of a row is
/// asked by any of it.
const ONE_THING: &[&[&str]] = &[
    &["tube_od", "tube", "tube_diameter", "axle_tube", "axle_diameter", "tube_outside_diameter"],
    &["seat_old", "old_pad", "old_perch"],
    &["seat_new", "new_pad", "new_perch"],
    &["shackle_old", "old_shackle_length", "shackle_before"],
    &["shackle_new", "new_shackle_length", "shackle_after"],
    &["rail_front", "front_rail_height", "front_frame_height"],
    &["rail_rear", "rear_rail_height", "rear_frame_height"],
    &["caster", "current_caster", "caster_now", "caster_as_found"],
    &["target", "wanted", "wanted_caster"],
    &["rotation", "rotate", "turn"],
    &["wire_feed", "wire_speed", "wfs", "wire_feed_speed"],
    &["rpm", "max_rpm", "highest_rpm"],
    &["nominal", "nominal_thickness"],
    &["loaded_radius", "tyre_radius", "wheel_radius"],
    &["track", "track_width"],
    &["rate", "spring_rate"],
    &["stages", "steps"],
    &["electrode", "rod", "filler", "wire_class"],
    &["wheel_load", "corner_weight", "corner_load"],
    &["leg", "fillet_leg", "weld_size", "fillet_size"],
    &["thickness", "plate", "plate_thickness", "material_thickness"],
    &["process", "welding_process"],
    &["voltage", "arc_voltage"],
    &["current", "welding_current"],
    &["hydrogen", "hd", "hdm", "hydrogen_content", "diffusible_hydrogen"],
    &["yield_strength", "fy", "reh", "rp02", "sy", "yield_stress"],
    &["tensile_strength", "fu", "rm", "uts", "su", "tensile_stress"],
    &["allowable", "allowable_stress", "permissible_stress", "allowable_shear"],
    &["density", "rho"],
    &["modulus", "youngs_modulus", "elastic_modulus"],
    &["wheelbase", "wb"],
    &["cg_height", "cog_height", "height_of_cg", "centre_of_gravity_height"],
    &["deposition_efficiency", "electrode_efficiency"],
];

/// Whether both stand in one row.
fn one_thing(typed: &str, declared: &str) -> bool {
    let among = |row: &&[&str], name: &str| row.iter().any(|known| same_words(name, known));
    ONE_THING.iter().any(|row| among(row, typed) && among(row, declared))
}

/// Whether two names of several words have the same ones.
fn same_words(typed: &str, declared: &str) -> bool {
    let (typed, declared) = (words(typed), words(declared));
    !typed.is_empty() && typed == declared
}

/// Every name an input answers to, its own first.
pub fn all_names(input: &Input) -> impl Iterator<Item = &'static str> {
    std::iter::once(input.name).chain(input.aliases.iter().copied())
}

/// The inputs of a family that a typed name may mean: those it names to the
/// letter, else those it names but for capitals and hyphens, else those that
/// have its words in another order or written out, else those that mean the same
/// wherever they stand.
#[must_use]
pub fn inputs(family: &Family, typed: &str) -> Vec<&'static Input> {
    let named = |same: fn(&str, &str) -> bool| {
        family.inputs.iter().filter(|i| all_names(i).any(|name| same(typed, name))).collect::<Vec<_>>()
    };
    let rungs: [fn(&str, &str) -> bool; 4] = [|typed, name| typed == name, alike, same_words, one_thing];
    rungs.into_iter().map(named).find(|found| !found.is_empty()).unwrap_or_default()
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
    use super::{alike, find, one_thing, same_words, split_unit};

    #[test]
    fn capitals_hyphens_and_the_ocean_do_not_matter() {
        assert!(alike("Tube-OD", "tube_od"));
        assert!(alike("tireRadius", "tyre_radius"));
        assert!(!alike("seat_old", "old_seat"), "another order is another rung");
        assert!(same_words("old_seat", "seat_old") && same_words("tube_dia", "tube_diameter"));
        assert!(same_words("length_of_weld", "weld_length"));
        assert!(one_thing("max_rpm", "rpm") && !one_thing("radius", "diameter"));
        assert!(!same_words("tyre_radius", "radius") && !same_words("of", "the"));
        assert!(!alike("tyre_radius", "tyre"), "a radius is no diameter");
        assert_eq!(find("Spring_Over").map(|f| f.name), Some("lift"));
    }

    #[test]
    fn a_unit_may_stand_in_the_name() {
        assert_eq!(split_unit("tube_od_mm"), Some(("tube_od", "mm")));
        assert_eq!(split_unit("mm"), None);
    }
}
