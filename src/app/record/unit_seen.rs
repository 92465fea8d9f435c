//! The unit in front of the person is the one of the job: its number, and an odometer
//! that runs forward.

use super::desk::Desk;
use crate::diagnostic::Diagnostic;
use crate::record::frozen::{Operation, Reading};
use crate::term::odometer::{self, AS_FOUND, AS_LEFT, LATER, Odometer, READINGS};

/// Letters and digits that make a number of a unit; fewer are anything.
const NUMBER: usize = 3;

/// Whether what is read of the unit can be of the unit of the job.
///
/// # Errors
/// If its number shares none with the job's, or its odometer went back: asked back.
pub(super) fn same(
    desk: &Desk,
    operation: &Operation,
    reading: &Reading,
    text: &str,
) -> Result<(), Diagnostic> {
    let asked_back = |problem: String| {
        Err(Diagnostic::error("L301", format!("{}.{}: {problem}", operation.number, reading.id))
            .rule("the unit at the work is the one of the job, and its odometer runs forward")
            .help("look at the plate and the odometer again; if the job file has it wrong, revise it"))
    };
    let named = desk.unit.identification.as_deref().unwrap_or_default();
    if reading.id == AS_FOUND && !named.is_empty() && !shares(named, text) {
        return asked_back(format!("\"{text}\" has nothing of \"{named}\", the unit of the job"));
    }
    let now = (reading.id == AS_LEFT || reading.id == LATER).then(|| odometer::read(text)).flatten();
    let (Some(now), Some(before)) = (now, before(desk)) else { return Ok(()) };
    if now.unit == before.unit && now.value < before.value {
        return asked_back(format!("{} is less than {}, read before", now.text, before.text));
    }
    Ok(())
}

/// The last odometer anybody wrote down: in the job, or at the work.
fn before(desk: &Desk) -> Option<Odometer> {
    let of_job = desk.unit.meter.as_deref().and_then(odometer::read);
    let own = |id: &str| READINGS.contains(&id);
    let read = desk.plan.operations.iter().flat_map(|o| o.readings().map(move |r| (o, r)));
    let taken = read
        .filter(|(_, r)| own(&r.id))
        .filter_map(|(o, r)| desk.state.reading(&o.key, &r.id))
        .filter_map(|(measured, mark)| Some((mark.n, odometer::read(&measured.text)?)))
        .max_by_key(|(n, _)| *n);
    taken.map(|(_, read)| read).or(of_job)
}

/// Whether a text can name the unit of the job: a number in it is the job's or a part of it,
/// however it is spaced (`uv7 114` of `asset UV-7-114`). What names no number is not
/// compared, nor is an odometer.
fn shares(named: &str, text: &str) -> bool {
    let squeezed =
        |s: &str| s.chars().filter(|c| c.is_alphanumeric()).flat_map(char::to_lowercase).collect::<String>();
    let numbers = |s: &str| -> Vec<String> {
        let words = s.split([' ', ',', ';', '/']).map(squeezed);
        words.filter(|w| w.len() >= NUMBER && w.chars().any(|c| c.is_ascii_digit())).collect()
    };
    let meter = odometer::read(text).map_or_else(String::new, |read| read.text);
    let (asked, plate) = (numbers(named), text.replacen(&meter, "", 1));
    let read = squeezed(&plate);
    asked.is_empty()
        || numbers(&plate).is_empty()
        || asked.iter().any(|a| read.contains(a) || numbers(&plate).iter().any(|n| a.contains(n)))
}

#[cfg(test)]
mod tests {
    use super::shares;

    #[test]
    fn a_number_of_the_unit_is_found_however_it_is_spaced() {
        assert!(shares("asset UV-7-114", "uv7 114, 84 210 mi"));
        assert!(shares("frame 22-908", "22-908 on the plate"));
        assert!(shares("asset UV-7-114", "UV-7, 12 mi") && shares("frame 22-908", "as told, 12 345 mi"));
        assert!(shares("the old trailer", "anything 4711"));
        assert!(!shares("frame 22-908", "frame 11-111, 12 mi"));
    }
}
