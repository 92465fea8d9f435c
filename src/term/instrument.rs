//! Names of measuring instruments as readings ask for them and shop books list them.
//!
//! Source: common practice, what the instruments are called and made for.

/// Instruments made for one thing, as the words of their names.
pub const MADE_FOR: &[&str] = &[
    "ultrasonic gauge",
    "depth gauge",
    "dial gauge",
    "feeler",
    "weld gauge",
    "caster gauge",
    "toe gauge",
    "turn plates",
    "tyre gauge",
    "bevel gauge",
];

/// Other instruments by name.
const PLAIN: &[&str] = &[
    "alignment bar",
    "angle finder",
    "balancing machine",
    "caliper",
    "clamp meter",
    "contact thermometer",
    "fault reader",
    "infrared thermometer",
    "level",
    "load cell",
    "machine display",
    "micrometer",
    "plumb bob",
    "spring scale",
    "steel rule",
    "stopwatch",
    "string",
    "tape",
    "temperature stick",
    "tongue scale",
    "torque wrench",
    "trammel",
    "voltmeter",
];

/// Slips of the finger in one name, at most, and letters a name must have for two.
const SLIPS: usize = 2;
const LONG: usize = 8;

/// The words of a name, one spelling of each: `Feeler gages` is `feeler gauge`.
#[must_use]
pub fn words(text: &str) -> Vec<String> {
    text.to_lowercase()
        .split(|c: char| !c.is_alphanumeric())
        .filter(|word| !word.is_empty())
        .map(|word| {
            let one = word.strip_suffix('s').filter(|w| w.len() > 3 && !w.ends_with('s')).unwrap_or(word);
            match one {
                "gage" => "gauge".to_owned(),
                "tire" => "tyre".to_owned(),
                one => one.to_owned(),
            }
        })
        .collect()
}

/// Whether every word of one name is in the other.
fn within(inner: &[String], outer: &[String]) -> bool {
    !inner.is_empty() && inner.iter().all(|word| outer.contains(word))
}

/// Whether words name an instrument, whatever is said of it besides.
#[must_use]
pub fn names(words_of: &[String], instrument: &str) -> bool {
    within(&words(instrument), words_of)
}

/// Whether a book's instrument is one that a reading asks for, which may name several:
/// `digital angle finder` for `angle finder`, `tape` for `tape and plumb bob`.
#[must_use]
pub fn asked_for(kind: &str, asked: &str) -> bool {
    let own = words(kind);
    let parts = asked.split([',', ';']).flat_map(|p| p.split(" and ")).flat_map(|p| p.split(" or "));
    parts.map(words).any(|part| within(&part, &own) || within(&own, &part))
}

/// The name a misspelt one is most likely meant as; none if it is known, or like none.
#[must_use]
pub fn misspelt(text: &str) -> Option<&'static str> {
    let own = words(text);
    let all = || MADE_FOR.iter().chain(PLAIN).copied();
    if all().any(|name| names(&own, name)) {
        return None;
    }
    let near = all().filter_map(|name| {
        let wanted = words(name).join(" ");
        let most = if wanted.len() >= LONG { SLIPS } else { 1 };
        let mut parts = own.windows(words(name).len()).map(|part| part.join(" "));
        // Two words may have been run together, or one torn apart.
        let whole = own.join(" ");
        let tight = |text: &str| text.replace(' ', "");
        let least = parts
            .by_ref()
            .map(|part| strsim::osa_distance(&part, &wanted))
            .chain([strsim::osa_distance(&tight(&whole), &tight(&wanted))])
            .min()?;
        (least <= most).then_some((least, name))
    });
    near.min_by_key(|(slips, _)| *slips).map(|(_, name)| name)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_slip_in_a_name_is_told_and_another_name_is_not() {
        // Own examples of slips.
        for (written, meant) in [
            ("ultrasonc gauge", Some("ultrasonic gauge")),
            ("ultra sonic gauge", Some("ultrasonic gauge")),
            ("dail gauge, 1 in", Some("dial gauge")),
            ("feeller", Some("feeler")),
            ("voltmetre", Some("voltmeter")),
            ("castor gauge", Some("caster gauge")),
            ("stop watch", Some("stopwatch")),
            ("tappe", Some("tape")),
            ("ultrasonic thickness gage", None),
            ("feeler gages", None),
            ("Calipers, digital", None),
            ("digital angle finder", None),
            ("height stand", None),
            ("scan tool", None),
        ] {
            assert_eq!(misspelt(written), meant, "{written}");
        }
    }

    #[test]
    fn a_reading_is_offered_what_goes_by_its_name() {
        for (kind, asked) in [
            ("digital angle finder", "angle finder"),
            ("dial gauge", "dial gauge for bores"),
            ("tape", "tape and plumb bob"),
            ("feeler gages", "string and feeler"),
            ("stopwatch", "stopwatch or clock"),
        ] {
            assert!(asked_for(kind, asked), "{kind} for {asked}");
        }
        for (kind, asked) in [("depth gauge", "dial gauge"), ("", "tape"), ("tape", "feeler")] {
            assert!(!asked_for(kind, asked), "{kind} for {asked}");
        }
    }
}
