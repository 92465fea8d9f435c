//! Names that welding figures look up, and what several of them ask of a size,
//! an arc and its heat.

use crate::figure::prelude::*;
use crate::figure::usual::HEAT_INPUT;
use std::ops::Deref;

use crate::figure::{Field, Held, InputKind, Value};
use crate::quantity::Unit;
use crate::reference::{electrode, metal, process};

const SHOP: Source =
    Source::practice("sizes and settings of arc welding; outside them a unit or a digit is wrong")
        .from_memory();
/// A leg, throat or thickness of a size that is welded.
pub(super) const SHOP_SIZE: Range = within(0.0, 600.0, unit::MM, SHOP).above_zero();
/// Arc voltage.
pub(super) const VOLTS: Range = within(0.0, 150.0, unit::V, SHOP).above_zero().usually(8.0, 50.0, unit::V);
/// Welding current.
pub(super) const AMPS: Range = within(0.0, 5000.0, unit::A, SHOP).above_zero().usually(10.0, 1500.0, unit::A);
/// Travel of arc welding.
pub(super) const TRAVEL: Range =
    within(1.0, 60_000.0, unit::MM_MIN, SHOP).above_zero().usually(25.0, 2500.0, unit::MM_MIN);
const K: Range = within(0.0, 1.0, unit::ONE, process::K_SOURCE).above_zero();

/// Where a fillet ends to gain by its size.
pub(super) const THINNER: Source =
    Source::practice("a fillet is no larger than the thinner part: the part beside it carries no more")
        .from_memory();

/// What a name stands for in a table of reference.
pub trait LookedUp: Clone {
    /// Looks it up.
    fn look_up(input: &str, name: &str) -> Result<Self>;
}

/// A name as it was written, and what it stands for: known before a formula runs.
#[derive(Debug, Clone)]
pub struct Named<T> {
    text: String,
    found: T,
}

impl<T> Deref for Named<T> {
    type Target = T;

    fn deref(&self) -> &T {
        &self.found
    }
}

impl<T: LookedUp> Held for Named<T> {
    fn value(&self) -> Value {
        Value::word(self.text.clone())
    }

    fn back(value: &Value) -> Option<Self> {
        Self::read("", value).ok()
    }
}

impl<T: LookedUp> Field for Named<T> {
    const KIND: InputKind = InputKind::Name;

    fn read(input: &str, value: &Value) -> Result<Self> {
        let Value::Word(text) = value else {
            return Err(Trouble::WrongKind { input: input.to_owned(), expected: "a word".to_owned() });
        };
        Ok(Self { found: T::look_up(input, text)?, text: text.clone() })
    }
}

/// A name that stands for nothing known.
pub(super) fn unknown(input: &str, given: &str, choices: Vec<String>) -> Trouble {
    Trouble::Unknown { input: input.to_owned(), given: given.to_owned(), choices }
}

/// A welding process by its ISO 4063 number or its word.
pub type Process = Named<&'static process::Process>;
/// A filler by its classification.
pub type Filler = Named<electrode::Filler>;
/// A steel of the table.
pub type Steel = Named<&'static metal::Steel>;

impl LookedUp for &'static process::Process {
    fn look_up(input: &str, name: &str) -> Result<Self> {
        process::find(name).ok_or_else(|| unknown(input, name, process::words()))
    }
}

impl LookedUp for electrode::Filler {
    fn look_up(input: &str, name: &str) -> Result<Self> {
        electrode::find(name).ok_or_else(|| unknown(input, name, electrode::words()))
    }
}

impl LookedUp for &'static metal::Steel {
    fn look_up(input: &str, name: &str) -> Result<Self> {
        metal::find(name).ok_or_else(|| unknown(input, name, metal::words()))
    }
}

/// Expanded uncertainty (k = 2) of a length as it was stated.
pub(super) fn expanded(length: &Read<Option<Length>>) -> Length {
    Length::from_si(2.0 * length.uncertainty())
}

/// The most a thickness may be by what was stated with it: a row of a table of
/// minimums is read there, so that a part near the limit of a row is not taken
/// for the thinner one.
pub(super) fn thickest<T>(read: &Read<T>, value: Length) -> Length {
    value + Length::from_si(2.0 * read.uncertainty())
}

/// Whether a size is larger than the part it is laid on or cut in.
pub(super) fn exceeds(size: Length, part: Length) -> bool {
    size.si() > part.si() * (1.0 + 1e-9)
}

/// A fillet leg that the thinner part allows.
pub(super) fn leg_on(leg: Length, thinner: Length) -> Result<Length> {
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

/// Whether two values of the same thing differ by more than 1 %.
pub(super) fn apart<T: Dimensioned>(a: T, b: T) -> bool {
    (a.si() - b.si()).abs() > 0.01 * a.si().abs().max(b.si().abs())
}

family! {
    /// How much of the arc's energy reaches the metal.
    reads Efficiency {
        optional process: Process, "ISO 4063 number or US word (135, GMAW); gives k";
        optional k: Number in K, "thermal efficiency, instead of a process", "eta", "efficiency",
            "thermal_efficiency", "arc_efficiency", "f1";
    }
}

impl Efficiency {
    /// The process, if it is named.
    #[must_use]
    pub fn known_process(&self) -> Option<&'static process::Process> {
        self.process.as_ref().map(|p| **p)
    }

    /// k if given, else that of the process, else none. Warns where both are
    /// given and differ.
    pub(super) fn share(&self, said: &mut Said) -> Option<Number> {
        let Some(k) = *self.k else { return self.known_process().map(process::Process::k) };
        if let Some(process) = self.known_process()
            && apart(k, process.k())
        {
            said.warn(format!(
                "k of {} was given and is used; {} has {} in EN 1011-1 table 1.",
                k.si(),
                process.title,
                process.k().si()
            ));
        }
        Some(k)
    }
}

family! {
    /// Heat input with the k of EN 1011-1, or the arc energy it is made of.
    reads NetHeat {
        ..efficiency: Efficiency;
        optional heat_input: HeatInput in HEAT_INPUT, "heat input with the k of EN 1011-1", "heat", "qi",
            "net_heat_input", "q";
        optional arc_energy: HeatInput in HEAT_INPUT,
            "arc energy without k, with process or k, instead of heat_input", "heat_input_us", "ae", "E";
    }
}

impl NetHeat {
    /// Whether either was given.
    pub(super) fn given(&self) -> bool {
        self.heat_input.given() || self.arc_energy.given()
    }

    /// Heat input as given, or arc energy times k. Warns where both are given
    /// and differ.
    pub(super) fn heat(&self, said: &mut Said) -> Result<HeatInput> {
        let net = |energy: HeatInput, k: Number| energy * k.si();
        let Some(heat) = *self.heat_input else {
            let energy = self.arc_energy.ok_or(Trouble::Missing(vec!["heat_input"]))?;
            return Ok(net(
                energy,
                self.efficiency.share(said).ok_or(Trouble::Missing(vec!["process", "k"]))?,
            ));
        };
        if let Some(energy) = *self.arc_energy
            && let Some(k) = self.efficiency.share(said)
            && apart(heat, net(energy, k))
        {
            said.warn(format!(
                "heat_input was given and is used; arc_energy times k is {}: check which of them is right.",
                show(net(energy, k))
            ));
        }
        Ok(heat)
    }
}

/// The filler of an input, if there is one.
pub(super) fn filler(electrode: &Read<Option<Filler>>) -> Option<electrode::Filler> {
    electrode.as_ref().map(|named| **named)
}

/// Refuses a value below the least its source covers.
pub(super) fn at_least<T: Dimensioned>(
    input: &str,
    value: T,
    unit: Unit,
    least: f64,
    source: Source,
) -> Result<()> {
    if value.to(unit) >= least * (1.0 - 1e-9) {
        return Ok(());
    }
    Err(Trouble::OutOfRange {
        input: input.to_owned(),
        given: show(value),
        range: format!("{least} {} and above", unit.symbol),
        source,
    })
}
