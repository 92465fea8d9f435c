//! A value against its limits: the verdict, with the uncertainty in it.

use crate::diagnostic::Diagnostic;
use crate::quantity::{Kind, Quantity, Style, parse};
use crate::record::entry::Measured;
use crate::record::frozen::Limits;
use crate::record::people::Spread;
use crate::record::words::nothing_read;
use crate::term::decide::guard_band;
use crate::term::{self, Verdict};

/// Judges a value against limits. `spread` is the instrument's uncertainty: what is
/// written behind a value may widen it, and makes no instrument better than it is.
///
/// # Errors
/// If the text is no such quantity, or one that can't be.
pub fn judge(limits: Option<Limits>, text: &str, spread: Option<Spread>) -> Result<Measured, Diagnostic> {
    let text = text.trim();
    let mut measured = Measured {
        rests_on: Vec::new(),
        calibrated: None,
        calibrated_until: None,
        guard: None,
        kind: None,
        lower: None,
        operation: crate::record::entry::At { key: String::new(), number: 0 },
        reading: String::new(),
        target: None,
        text: text.to_owned(),
        tool: None,
        uncertainty: None,
        upper: None,
        value: None,
        verdict: term::Judged::Recorded,
    };
    let Some(limits) = limits else {
        if text.is_empty() || text.chars().count() > 400 || text.chars().any(char::is_control) {
            return Err(Diagnostic::error("L170", "a reading in words has 1 to 400 visible characters"));
        }
        if let Some(why) = nothing_read(text) {
            return Err(Diagnostic::error("L155", format!("a reading in words: {why}"))
                .expected("what was read, in words or numbers; \"none\" where there is none"));
        }
        return Ok(measured);
    };
    let read = parse::measured(limits.kind, text).map_err(|e| {
        Diagnostic::error("L171", e.message.clone()).expected(e.expected.clone()).example(e.example)
    })?;
    possible(limits.kind, read.value)?;
    let written = Some(read.uncertainty).filter(|u| *u > 0.0);
    let uncertainty = written.into_iter().chain(spread.map(|s| s.at(read.value.si()))).reduce(f64::max);
    let guard = uncertainty.map_or(0.0, guard_band);
    measured.kind = Some(limits.kind.word().to_owned());
    measured.value = Some(read.value.si().to_string());
    measured.uncertainty = uncertainty.map(|u| u.to_string());
    let bounds = (limits.lower.map(Quantity::si), limits.upper.map(Quantity::si));
    if bounds.0.is_some() || bounds.1.is_some() {
        measured.lower = bounds.0.map(|v| v.to_string());
        measured.upper = bounds.1.map(|v| v.to_string());
        measured.guard = Some(guard.to_string());
        measured.verdict = term::Judged::Decided(Verdict::on(read.value.si(), guard, bounds));
    }
    Ok(measured)
}

/// Values no part of a vehicle has.
fn possible(kind: Kind, value: Quantity) -> Result<(), Diagnostic> {
    let si = value.si();
    let range = match kind {
        Kind::Angle => -6.3..=6.3,
        Kind::Length => -100.0..=100.0,
        Kind::Temperature => 173.15..=3273.15,
        Kind::Torque => 0.0..=1e5,
        Kind::Current => 0.0..=5e3,
        Kind::Voltage => 0.0..=1e3,
        Kind::Time => 0.0..=1e7,
        Kind::Mass => 0.0..=1e6,
        Kind::Stress => 0.0..=1e9,
        Kind::Speed => 0.0..=1e3,
        _ => -1e12..=1e12,
    };
    if si.is_finite() && range.contains(&si) {
        return Ok(());
    }
    Err(Diagnostic::error("L172", format!("{} can't be", Style::of(kind).both(value)))
        .expected(format!("{} such as {}", kind.with_article(), kind.example()))
        .help("read the instrument again; check the unit"))
}
