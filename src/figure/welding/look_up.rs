//! Reads a process or a filler named in an input, and a lower limit.

use crate::figure::{Answer, Given, Input, Need, Trouble, given};
use crate::quantity::show::LENGTH;
use crate::quantity::{
    Current, Dimensioned, HeatInput, Kind, Length, Number, Speed, Style, Unit, Voltage, unit,
};
use crate::reference::{electrode, process};
use crate::source::Source;

const SHOP: Source =
    Source::practice("sizes and settings of arc welding; outside them a unit or a digit is wrong")
        .from_memory();

/// A leg, throat or thickness of a size that is welded.
///
/// # Errors
/// If it is not above zero, or over 600 mm.
pub(super) fn shop_size(input: &str, size: Length) -> Result<Length, Trouble> {
    given::positive(input, size)?;
    given::within(input, size, unit::MM, 0.0..=600.0, SHOP)?;
    Ok(size)
}

/// Where a fillet ends to gain by its size.
pub(super) const THINNER: Source =
    Source::practice("a fillet is no larger than the thinner part: the part beside it carries no more")
        .from_memory();

/// Whether a size is larger than the part it is laid on or cut in.
pub(super) fn exceeds(size: Length, part: Length) -> bool {
    size.si() > part.si() * (1.0 + 1e-9)
}

/// A fillet leg that the thinner part allows.
///
/// # Errors
/// If it is larger than that part.
pub(super) fn leg_on(leg: Length, thinner: Length) -> Result<Length, Trouble> {
    if !exceeds(leg, thinner) {
        return Ok(leg);
    }
    let show = |l: Length| LENGTH.both(l.into());
    Err(Trouble::impossible(
        format!(
            "a leg of {} is larger than the thinner part, {}, which carries no more",
            show(leg),
            show(thinner)
        ),
        "take a leg up to that thickness, or weld a thicker part",
    ))
}

/// Two inputs that can't both be right.
pub(super) fn contradict(a: &str, b: &str, why: &str) -> Trouble {
    Trouble::impossible(format!("{a} and {b} contradict each other: {why}"), "give the one that is right")
}

/// Arc voltage as given.
///
/// # Errors
/// If it is not above zero, or over 150 V.
pub(super) fn volts(given: &Given) -> Result<Option<Voltage>, Trouble> {
    let Some(volts) = given.maybe::<Voltage>("voltage")? else { return Ok(None) };
    given::positive("voltage", volts)?;
    given::within("voltage", volts, unit::V, 0.0..=150.0, SHOP)?;
    Ok(Some(volts))
}

/// Welding current as given.
///
/// # Errors
/// If it is not above zero, or over 5000 A.
pub(super) fn amps(given: &Given) -> Result<Option<Current>, Trouble> {
    let Some(amps) = given.maybe::<Current>("current")? else { return Ok(None) };
    given::positive("current", amps)?;
    given::within("current", amps, unit::A, 0.0..=5000.0, SHOP)?;
    Ok(Some(amps))
}

/// A travel speed of arc welding.
///
/// # Errors
/// If it is not above zero, or outside 1 mm/min to 60 m/min.
pub(super) fn travel(input: &str, speed: Speed) -> Result<Speed, Trouble> {
    given::positive(input, speed)?;
    given::within(input, speed, unit::MM_MIN, 1.0..=60_000.0, SHOP)?;
    Ok(speed)
}

/// Whether two values of the same thing differ by more than 1 %.
pub(super) fn apart<T: Dimensioned>(a: T, b: T) -> bool {
    (a.si() - b.si()).abs() > 0.01 * a.si().abs().max(b.si().abs())
}

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

/// Thermal efficiency: `k` if given, else that of `process`, else none. Warns
/// where both are given and differ.
///
/// # Errors
/// If k is not above zero and at most one, or the process is unknown.
pub(super) fn thermal_efficiency(given: &Given, answer: &mut Answer) -> Result<Option<Number>, Trouble> {
    if let Some(k) = given.maybe::<Number>("k")? {
        given::positive("k", k)?;
        given::within("k", k, unit::ONE, 0.0..=1.0, process::K_SOURCE)?;
        if let Some(process) = process(given)?
            && apart(k, process.k())
        {
            answer.warn(format!(
                "k of {} was given and is used; {} has {} in EN 1011-1 table 1.",
                k.si(),
                process.title,
                process.k().si()
            ));
        }
        return Ok(Some(k));
    }
    Ok(process(given)?.map(process::Process::k))
}

/// Heat input of an arc energy, and back.
pub(super) fn heat_input(arc_energy: HeatInput, k: Number) -> HeatInput {
    arc_energy * k.si()
}

/// The arc energy, process and k inputs of a family that takes a heat input.
pub(super) const ARC: [Input; 3] = [
    Input::optional(
        "arc_energy",
        Kind::HeatInput,
        "arc energy without k, with process or k, instead of heat_input",
    )
    .also(&["heat_input_us", "ae"]),
    Input::name("process", Need::Optional, "ISO 4063 number or US word, with arc_energy; gives k"),
    Input::optional("k", Kind::Number, "thermal efficiency, with arc_energy, instead of a process")
        .also(&["eta", "thermal_efficiency"]),
];

/// Heat input as given, or arc energy times k.
///
/// # Errors
/// If neither is given, or the arc energy comes without k.
pub(super) fn net_heat(given: &Given, answer: &mut Answer) -> Result<HeatInput, Trouble> {
    let Some(heat) = given.maybe::<HeatInput>("heat_input")? else {
        let energy: HeatInput = given.maybe("arc_energy")?.ok_or(Trouble::Missing(vec!["heat_input"]))?;
        let k = thermal_efficiency(given, answer)?.ok_or(Trouble::Missing(vec!["process", "k"]))?;
        return Ok(heat_input(given::positive("arc_energy", energy)?, k));
    };
    if let Some(energy) = given.maybe::<HeatInput>("arc_energy")?
        && let Some(k) = thermal_efficiency(given, answer)?
        && apart(heat, heat_input(energy, k))
    {
        answer.warn(format!(
            "heat_input was given and is used; arc_energy times k is {}: check which of them is right.",
            Style::of(Kind::HeatInput).both(heat_input(energy, k).into())
        ));
    }
    Ok(heat)
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
