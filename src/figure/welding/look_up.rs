//! Reads a process or a filler named in an input, and a lower limit.

use crate::figure::{Given, Trouble, given};
use crate::quantity::{Dimensioned, HeatInput, Number, Style, Unit, unit};
use crate::reference::{electrode, process};
use crate::source::Source;

/// The process named in `process`, if there is one.
///
/// # Errors
/// If the word is no process.
pub(super) fn process(given: &Given) -> Result<Option<&'static process::Process>, Trouble> {
    match given.maybe_word("process")? {
        None => Ok(None),
        Some(word) => process::find(word).map(Some).ok_or_else(|| Trouble::Unknown {
            input: "process".to_owned(),
            given: word.to_owned(),
            choices: process::words(),
        }),
    }
}

/// The filler named in `electrode`, if there is one.
///
/// # Errors
/// If the word is no classification known here.
pub(super) fn filler(given: &Given) -> Result<Option<electrode::Filler>, Trouble> {
    match given.maybe_word("electrode")? {
        None => Ok(None),
        Some(word) => electrode::find(word).map(Some).ok_or_else(|| Trouble::Unknown {
            input: "electrode".to_owned(),
            given: word.to_owned(),
            choices: electrode::words(),
        }),
    }
}

/// Thermal efficiency: `k` if given, else that of `process`, else none.
///
/// # Errors
/// If k is not above zero and at most one, or the process is unknown.
pub(super) fn thermal_efficiency(given: &Given) -> Result<Option<Number>, Trouble> {
    if let Some(k) = given.maybe::<Number>("k")? {
        given::positive("k", k)?;
        given::within("k", k, unit::ONE, 0.0..=1.0, process::K_SOURCE)?;
        return Ok(Some(k));
    }
    Ok(process(given)?.map(process::Process::k))
}

/// Heat input of an arc energy, and back.
pub(super) fn heat_input(arc_energy: HeatInput, k: Number) -> HeatInput {
    arc_energy * k.si()
}

/// Refuses a value below the least its source covers.
///
/// # Errors
/// If `value` in `unit` is below `least`.
pub(super) fn at_least<T: Dimensioned>(
    input: &str,
    value: T,
    unit: Unit,
    least: f64,
    source: Source,
) -> Result<(), Trouble> {
    if value.to(unit) >= least * (1.0 - 1e-9) {
        return Ok(());
    }
    Err(Trouble::OutOfRange {
        input: input.to_owned(),
        given: Style::of(T::KIND).both(value.into()),
        range: format!("{least} {} and above", unit.symbol),
        source,
    })
}
