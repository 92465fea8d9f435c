//! Electrodes and filler wires by classification: strength, hydrogen.
//!
//! Strength and coating: the classification tables of AWS A5.1, A5.5, A5.17, A5.18,
//! A5.20, A5.28, A5.29 and A5.36, from memory.

use crate::quantity::{Dimensioned, Hydrogen, Stress, Unit, unit};
use crate::source::Source;

/// Hydrogen where the classification has no suffix.
pub const HYDROGEN_SOURCE: Source =
    Source::practice("hydrogen taken for dry, correctly stored filler without an H suffix").from_memory();

/// A filler metal classification.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Electrode {
    /// Classification without the hydrogen suffix.
    pub name: &'static str,
    /// AWS specification.
    pub specification: &'static str,
    /// Process word it is used with, as in [`super::process`].
    pub process: &'static str,
    /// Whether US structural codes call it low-hydrogen.
    pub low_hydrogen: bool,
    fexx: f64,
    unit: Unit,
    hydrogen: f64,
}

/// A classification as written on a carton, with its suffix read.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Filler {
    /// The table row.
    pub electrode: &'static Electrode,
    /// Diffusible hydrogen to plan with, ml per 100 g deposited.
    pub hydrogen: Hydrogen,
    /// True when no H suffix was given and the usual level was taken.
    pub assumed: bool,
}

impl Electrode {
    /// A row: `fexx` in `unit`, `hydrogen` in ml per 100 g without a suffix.
    pub(super) const fn new(
        name: &'static str,
        specification: &'static str,
        process: &'static str,
        (fexx, unit): (f64, Unit),
        low_hydrogen: bool,
        hydrogen: f64,
    ) -> Self {
        Self { name, specification, process, low_hydrogen, fexx, unit, hydrogen }
    }

    /// Hydrogen to plan with where the classification has no suffix, in ml per
    /// 100 g.
    pub(super) const fn usual_hydrogen(&self) -> f64 {
        self.hydrogen
    }

    /// Classification tensile strength.
    #[must_use]
    pub fn fexx(&self) -> Stress {
        Stress::of(self.fexx, self.unit)
    }
}

const fn row(
    name: &'static str,
    specification: &'static str,
    process: &'static str,
    fexx: f64,
    low_hydrogen: bool,
    hydrogen: f64,
) -> Electrode {
    Electrode::new(name, specification, process, (fexx, unit::KSI), low_hydrogen, hydrogen)
}

/// Every classification known here: strength in ksi, low-hydrogen or not,
/// hydrogen in ml/100 g without suffix (cellulosic and rutile: uncontrolled,
/// 30; low-hydrogen coverings: 16; solid wire: 5; cored wire: 16; flux: 16).
pub const ELECTRODES: &[Electrode] = &[
    row("E6010", "A5.1", "SMAW", 60.0, false, 30.0),
    row("E6011", "A5.1", "SMAW", 60.0, false, 30.0),
    row("E6012", "A5.1", "SMAW", 60.0, false, 30.0),
    row("E6013", "A5.1", "SMAW", 60.0, false, 30.0),
    row("E7010", "A5.5", "SMAW", 70.0, false, 30.0),
    row("E7014", "A5.1", "SMAW", 70.0, false, 30.0),
    row("E7024", "A5.1", "SMAW", 70.0, false, 30.0),
    row("E7015", "A5.1", "SMAW", 70.0, true, 16.0),
    row("E7016", "A5.1", "SMAW", 70.0, true, 16.0),
    row("E7018", "A5.1", "SMAW", 70.0, true, 16.0),
    row("E7018-1", "A5.1", "SMAW", 70.0, true, 16.0),
    row("E7018-M", "A5.1", "SMAW", 70.0, true, 4.0),
    row("E7028", "A5.1", "SMAW", 70.0, true, 16.0),
    row("E7048", "A5.1", "SMAW", 70.0, true, 16.0),
    row("E8018-B2", "A5.5", "SMAW", 80.0, true, 16.0),
    row("E8018-C1", "A5.5", "SMAW", 80.0, true, 16.0),
    row("E8018-C3", "A5.5", "SMAW", 80.0, true, 16.0),
    row("E9018-M", "A5.5", "SMAW", 90.0, true, 16.0),
    row("E10018-M", "A5.5", "SMAW", 100.0, true, 16.0),
    row("E11018-M", "A5.5", "SMAW", 110.0, true, 16.0),
    row("E12018-M", "A5.5", "SMAW", 120.0, true, 16.0),
    row("ER70S-2", "A5.18", "GMAW", 70.0, true, 5.0),
    row("ER70S-3", "A5.18", "GMAW", 70.0, true, 5.0),
    row("ER70S-6", "A5.18", "GMAW", 70.0, true, 5.0),
    row("ER80S-D2", "A5.28", "GMAW", 80.0, true, 5.0),
    row("ER80S-B2", "A5.28", "GMAW", 80.0, true, 5.0),
    row("ER80S-Ni1", "A5.28", "GMAW", 80.0, true, 5.0),
    row("ER100S-1", "A5.28", "GMAW", 100.0, true, 5.0),
    row("ER110S-1", "A5.28", "GMAW", 110.0, true, 5.0),
    row("E70C-6M", "A5.18", "MCAW", 70.0, true, 16.0),
    row("E71T-1", "A5.20", "FCAW-G", 70.0, true, 16.0),
    row("E71T-1C", "A5.20", "FCAW-G", 70.0, true, 16.0),
    row("E71T-1M", "A5.20", "FCAW-G", 70.0, true, 16.0),
    row("E71T-9", "A5.20", "FCAW-G", 70.0, true, 16.0),
    row("E71T-12", "A5.20", "FCAW-G", 70.0, true, 16.0),
    row("E71T-8", "A5.20", "FCAW-S", 70.0, true, 16.0),
    row("E71T-11", "A5.20", "FCAW-S", 70.0, true, 16.0),
    row("E81T1-Ni1", "A5.29", "FCAW-G", 80.0, true, 16.0),
    row("F7A2-EM12K", "A5.17", "SAW", 70.0, true, 16.0),
    row("F7A2", "A5.17", "SAW", 70.0, true, 16.0),
];

/// The filler of this classification; a suffix H2, H4, H8, H16 (with or without R)
/// sets the hydrogen. Designations of the EN ISO standards are read too.
#[must_use]
pub fn find(name: &str) -> Option<Filler> {
    let mut wanted = super::metal::squeezed(name);
    // A covered electrode is called by its digits: 7018.
    if wanted.len() > 3 && wanted.starts_with(|c: char| c.is_ascii_digit()) {
        wanted.insert(0, 'e');
    }
    let exact = |text: &str| ELECTRODES.iter().find(|e| super::metal::squeezed(e.name) == text);
    if let Some(electrode) = exact(&wanted) {
        return Some(Filler { electrode, hydrogen: Hydrogen::from_si(electrode.hydrogen), assumed: true });
    }
    let bare = wanted.strip_suffix('r').unwrap_or(&wanted);
    for (suffix, level) in [("h16", 16.0), ("h8", 8.0), ("h4", 4.0), ("h2", 2.0)] {
        if let Some(electrode) = bare.strip_suffix(suffix).and_then(exact) {
            return Some(Filler { electrode, hydrogen: Hydrogen::from_si(level), assumed: false });
        }
    }
    super::en_filler::find(name)
}

/// The words to offer when a classification is not found.
#[must_use]
pub fn words() -> Vec<String> {
    ELECTRODES.iter().map(|e| e.name.to_owned()).collect()
}
