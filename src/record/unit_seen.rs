//! The unit at the work is the one of the job: its number, an odometer that runs forward and no
//! farther than it was driven, and follow-ups after the distance they are for and not long after
//! it. What says otherwise is asked back, and told wherever it stands.

use super::edition::AFTER_SINCE;
use super::frozen::{Frozen, GATED_SINCE, Operation, Reading};
use super::state::State;
use crate::term::odometer::{self, AS_FOUND, AS_LEFT, LATER, Odometer, READINGS};

/// Letters and digits that make a number of a unit; fewer are anything.
const NUMBER: usize = 3;
/// How far a unit may have come since its job was written, in the unit of its odometer (common
/// practice: a job is written in the weeks before the unit comes in).
const SINCE_ORDERED: f64 = 1000.0;
/// How far a unit is driven in a shop, its road tests with it, in the unit of its odometer (common
/// practice).
const IN_THE_SHOP: f64 = 100.0;
/// What stands before the distance a follow-up is done by at the latest.
const AT_THE_LATEST: &str = "at the latest";
/// How many times the distance a follow-up is for it may be done after, where it does not say by
/// when at the latest (common practice: what settles has settled, and what came loose is off).
const LATE: f64 = 4.0;

/// Why what is read of the unit can hardly be of the unit of the job, as it was left and found so
/// far, in words; none if it may. `n` is the entry it is read with: later ones say nothing of it.
#[must_use]
pub fn unlike(
    plan: &Frozen,
    state: &State,
    (operation, reading): (&Operation, &Reading),
    text: &str,
    n: u64,
) -> Option<String> {
    if plan.rules < GATED_SINCE || !READINGS.contains(&reading.id.as_str()) {
        return None;
    }
    let now = odometer::read(text);
    let before = before(plan, state, n, operation);
    if reading.id == AS_FOUND {
        let named = plan.identification.as_deref().unwrap_or_default();
        return another_number(named, text).or_else(|| came_in(plan, now.as_ref(), text));
    }
    // A trailer has no odometer: what it ran is told as whoever tows it says.
    let counted = reading.id == AS_LEFT || before.is_some();
    let Some(now) = now else {
        let words = || format!("\"{text}\" is no odometer: a number, then mi or km");
        return counted.then(words);
    };
    let before = before?;
    if now.unit != before.unit {
        return Some(format!("{} is in another unit than {}, read before", now.text, before.text));
    }
    if now.value < before.value {
        return Some(format!("{} is less than {}, read before", now.text, before.text));
    }
    if reading.id == AS_LEFT && now.value - before.value > IN_THE_SHOP {
        return Some(format!(
            "{} is {} {} more than {}, read before: no road test is as long",
            now.text,
            (now.value - before.value).round(),
            now.unit,
            before.text
        ));
    }
    if reading.id != LATER {
        return None;
    }
    too_early(plan, state, operation, &now).or_else(|| too_late(plan, state, operation, &now))
}

/// Why the odometer of a unit that comes in is not that of the job.
fn came_in(plan: &Frozen, now: Option<&Odometer>, text: &str) -> Option<String> {
    let of_job = odometer::read(plan.meter.as_deref()?)?;
    let Some(now) = now else {
        return Some(format!("\"{text}\" tells no odometer, and the job has {}", of_job.text));
    };
    if now.unit != of_job.unit {
        return Some(format!("{} is in another unit than {} of the job", now.text, of_job.text));
    }
    if now.value < of_job.value {
        return Some(format!("{} is less than {} of the job", now.text, of_job.text));
    }
    (now.value - of_job.value > SINCE_ORDERED).then(|| {
        format!(
            "{} is {} {} more than {} of the job",
            now.text,
            (now.value - of_job.value).round(),
            now.unit,
            of_job.text
        )
    })
}

/// Why a follow-up was done before the unit ran as far as it asks.
fn too_early(plan: &Frozen, state: &State, operation: &Operation, now: &Odometer) -> Option<String> {
    let asked = distance(operation)?;
    let left = left_at(plan, state).filter(|left| left.unit == now.unit)?;
    let ran = now.value - left.value;
    (ran < asked.in_unit(now.unit)).then(|| {
        format!(
            "{} is {} {} after {}, as it was left, and operation {} is for after {}",
            now.text,
            ran.round(),
            now.unit,
            left.text,
            operation.number,
            asked.text
        )
    })
}

/// Why a follow-up was done long after the distance it asks: the unit ran all that way on what
/// it was to prove.
fn too_late(plan: &Frozen, state: &State, operation: &Operation, now: &Odometer) -> Option<String> {
    let left = left_at(plan, state).filter(|left| left.unit == now.unit && plan.rules >= AFTER_SINCE)?;
    let (most, asked) = match latest(operation) {
        Some(latest) => (latest.in_unit(now.unit), format!("{} {AT_THE_LATEST}", latest.text)),
        None => distance(operation).map(|asked| (LATE * asked.in_unit(now.unit), asked.text))?,
    };
    let ran = now.value - left.value;
    (ran > most).then(|| {
        format!(
            "{} is {} {} after {}, as it was left, and operation {} is for {asked}: what it was to prove ran all that way",
            now.text,
            ran.round(),
            now.unit,
            left.text,
            operation.number
        )
    })
}

/// The distance a follow-up says it is done by at the latest, if it does.
fn latest(operation: &Operation) -> Option<Odometer> {
    let parts = operation.steps.iter().flat_map(|s| s.text.split([',', ';', '(', ')', '.', ':']));
    parts.filter(|part| part.contains(AT_THE_LATEST)).find_map(odometer::read)
}

/// The least distance a follow-up says it is done after.
fn distance(operation: &Operation) -> Option<Odometer> {
    let parts = operation.steps.iter().flat_map(|s| s.text.split([',', ';', '(', ')', '.', ':']));
    parts.filter_map(odometer::read).min_by(|a, b| a.in_unit("km").total_cmp(&b.in_unit("km")))
}

/// The odometer as the unit was left.
fn left_at(plan: &Frozen, state: &State) -> Option<Odometer> {
    let now = plan.operations.iter().filter(|o| !o.deferred);
    let read = now.filter_map(|o| state.reading(&o.key, AS_LEFT)).next_back()?;
    odometer::read(&read.0.text)
}

/// The last odometer anybody wrote down before an entry: at other work, or in the job.
fn before(plan: &Frozen, state: &State, n: u64, at: &Operation) -> Option<Odometer> {
    let of_job = plan.meter.as_deref().and_then(odometer::read);
    let read = plan.operations.iter().flat_map(|o| o.readings().map(move |r| (o, r)));
    let taken = read
        .filter(|(o, r)| READINGS.contains(&r.id.as_str()) && o.key != at.key)
        .filter_map(|(o, r)| state.reading_then(&o.key, &r.id, n))
        .filter_map(|(measured, mark)| Some((mark.n, odometer::read(&measured.text)?)))
        .max_by_key(|(n, _)| *n);
    taken.map(|(_, read)| read).or(of_job)
}

fn squeezed(text: &str) -> String {
    text.chars().filter(|c| c.is_alphanumeric()).flat_map(char::to_lowercase).collect()
}

/// Numbers in a text, as it has them: words with a digit, of some length.
fn numbers(text: &str) -> Vec<&str> {
    let words = text.split([' ', ',', ';', '/', '(', ')']);
    words
        .filter(|w| w.chars().any(|c| c.is_ascii_digit()))
        .filter(|w| squeezed(w).chars().count() >= NUMBER)
        .collect()
}

/// How a number is made: `UV-7-114` as `a-9-9`, whatever its letters and digits.
fn shape(number: &str) -> String {
    let mut made = String::new();
    for c in number.chars().filter(|c| c.is_alphanumeric() || "-‐‑–".contains(*c)) {
        let kind = match c {
            c if c.is_ascii_digit() => '9',
            c if c.is_alphabetic() => 'a',
            _ => '-',
        };
        if !made.ends_with(kind) {
            made.push(kind);
        }
    }
    made
}

/// Why the words of a plate are not those of the unit of the job: its number does not stand in
/// them as a whole, however it is spaced, or another one of the same make does. What names no
/// number is not compared.
fn another_number(named: &str, text: &str) -> Option<String> {
    let asked = numbers(named);
    if asked.is_empty() {
        return None;
    }
    let meter = odometer::read(text).map_or_else(String::new, |read| read.text);
    let plate = text.replacen(&meter, "", 1);
    let words: Vec<&str> = plate.split([' ', ',', ';', '/', '(', ')']).filter(|w| !w.is_empty()).collect();
    // A number may be written with blanks: as many words after one another as it takes.
    let run = |number: &str| {
        let wanted = squeezed(number);
        (0..words.len()).find_map(|from| {
            let until =
                (from + 1..=words.len()).find(|until| squeezed(&words[from..*until].concat()) == wanted)?;
            Some(from..until)
        })
    };
    let found: Vec<_> = asked.iter().filter_map(|number| Some((*number, run(number)?))).collect();
    let Some((_, first)) = found.first() else {
        return Some(format!("\"{text}\" does not name \"{named}\", the unit of the job"));
    };
    let inside = |place: usize| first.contains(&place) || found.iter().any(|(_, run)| run.contains(&place));
    let made: Vec<String> = asked.iter().map(|number| shape(number)).collect();
    let other = words.iter().enumerate().find(|(place, word)| {
        !inside(*place) && squeezed(word).chars().count() >= 2 && made.contains(&shape(word))
    });
    other.map(|(_, word)| format!("\"{text}\" names {word} beside \"{named}\", the unit of the job"))
}

#[cfg(test)]
mod tests {
    use super::{another_number, shape};

    #[test]
    fn the_number_of_the_unit_stands_in_its_plate_as_a_whole() {
        let good = |named: &str, text: &str| another_number(named, text).is_none();
        for text in ["UV-7-114, 84 210 mi", "uv7 114", "asset UV 7 114", "asset UV-7-114 (plate), 12 mi"] {
            assert!(good("asset UV-7-114", text), "{text}");
        }
        for text in ["UV-7, 12 mi", "UV-7-11, 12 mi", "UV-7-1140", "XUV-7-114", "84 210 mi", "seen"] {
            assert!(!good("asset UV-7-114", text), "{text}");
        }
        assert!(good("chassis 9-77", "CHASSIS 9 77 84210 km") && good("chassis 9-77", "9\u{2011}77"));
        for text in ["chassis 19-77", "9-770, 12 km", "not 9-77 but 8-11, 12 km", "8-11 (job says 9-77)"] {
            assert!(!good("chassis 9-77", text), "{text}");
        }
        assert!(good("the old trailer", "anything 4711"));
        assert_eq!((shape("UV-7-114").as_str(), shape("8-11").as_str()), ("a-9-9", "9-9"));
    }
}
