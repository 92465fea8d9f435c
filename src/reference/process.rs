//! Welding processes by ISO 4063 number and US word: thermal efficiency and
//! deposition efficiency.

use crate::quantity::{Dimensioned, Number, Percent};
use crate::source::Source;

/// Thermal efficiency k by process.
pub const K_SOURCE: Source = Source::standard("EN 1011-1:2009", "table 1");
/// Deposition efficiency by process, the lowest of the published values.
pub const DEPOSITION_SOURCE: Source =
    Source::handbook("Filler Metal Data Handbook", "deposition efficiency table, lowest row of each process");

/// A welding process.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Process {
    /// ISO 4063 number.
    pub number: &'static str,
    /// What the trade calls it.
    pub title: &'static str,
    /// Words it is found by, in lower case without spaces or hyphens; the
    /// first is the US word.
    pub names: &'static [&'static str],
    /// Whether the power source shapes the waveform, so that meter averages
    /// do not give the energy.
    pub waveform: bool,
    /// Whether US structural codes count it with the low-hydrogen processes
    /// whatever the filler; manual metal arc depends on the electrode.
    pub low_hydrogen: bool,
    k: f64,
    efficiency: Option<(f64, f64, f64)>,
}

impl Process {
    /// Thermal efficiency k of EN 1011-1, a fraction of one.
    #[must_use]
    pub fn k(&self) -> Number {
        Number::from_si(self.k)
    }

    /// Deposition efficiency to plan with: filler deposited over filler
    /// bought. Taken from the low end, so that enough is bought. None where no
    /// value is published.
    #[must_use]
    pub fn deposition_efficiency(&self) -> Option<Percent> {
        self.efficiency.map(|e| Percent::from_si(e.0))
    }

    /// Lowest and highest published deposition efficiency.
    #[must_use]
    pub fn deposition_range(&self) -> Option<(Percent, Percent)> {
        self.efficiency.map(|e| (Percent::from_si(e.1), Percent::from_si(e.2)))
    }
}

const fn process(
    number: &'static str,
    title: &'static str,
    names: &'static [&'static str],
    k: f64,
    efficiency: Option<(f64, f64, f64)>,
) -> Process {
    Process { number, title, names, waveform: false, low_hydrogen: true, k, efficiency }
}

/// Every process known here. k: EN 1011-1 table 1 (ASME IX and AWS D1.1 have
/// none). Deposition efficiency: planning value, then lowest and highest
/// published. The manual metal arc value already holds a 2 in stub (14 in
/// electrode).
pub const PROCESSES: &[Process] = &[
    Process {
        low_hydrogen: false,
        ..process("111", "manual metal arc", &["smaw", "111", "mma", "stick"], 0.8, Some((0.62, 0.59, 0.66)))
    },
    Process {
        low_hydrogen: false,
        ..process("112", "gravity arc with covered electrode", &["112"], 0.8, None)
    },
    Process {
        low_hydrogen: false,
        ..process("111", "manual metal arc, 12 in electrode", &["smaw12in"], 0.8, Some((0.59, 0.59, 0.65)))
    },
    Process {
        low_hydrogen: false,
        ..process("111", "manual metal arc, 14 in electrode", &["smaw14in"], 0.8, Some((0.62, 0.60, 0.65)))
    },
    Process {
        low_hydrogen: false,
        ..process("111", "manual metal arc, 18 in electrode", &["smaw18in"], 0.8, Some((0.66, 0.60, 0.66)))
    },
    process(
        "114",
        "self-shielded flux-cored arc",
        &["fcaws", "114", "fcawss", "selfshielded"],
        0.8,
        Some((0.78, 0.75, 0.85)),
    ),
    process(
        "121",
        "submerged arc, wire",
        &["saw", "121", "12", "submergedarc"],
        1.0,
        Some((0.99, 0.99, 0.99)),
    ),
    process("122", "submerged arc, strip", &["122"], 1.0, None),
    process("125", "submerged arc, tubular wire", &["125"], 1.0, None),
    // Numbers of older editions for the inert-gas cored wires.
    process("132", "inert gas flux-cored arc", &["132"], 0.8, None),
    process("133", "inert gas metal-cored arc", &["133"], 0.8, None),
    process("131", "metal inert gas", &["mig", "131"], 0.8, Some((0.93, 0.88, 0.99))),
    process(
        "135",
        "metal active gas",
        &["gmaw", "135", "mag", "13", "migmag", "magmig"],
        0.8,
        Some((0.93, 0.88, 0.99)),
    ),
    process(
        "135",
        "metal active gas, dip transfer",
        &["gmaws", "gmawshortarc", "shortarc", "dip"],
        0.8,
        Some((0.90, 0.90, 0.93)),
    ),
    process(
        "135",
        "metal active gas, argon with 2 % oxygen",
        &["gmaw98ar2o2", "gmawspray", "spray"],
        0.8,
        Some((0.98, 0.92, 0.99)),
    ),
    process("135", "metal active gas, 75 % argon 25 % CO2", &["gmaw7525"], 0.8, Some((0.96, 0.92, 0.99))),
    process("135", "metal active gas, CO2", &["gmawco2"], 0.8, Some((0.93, 0.88, 0.99))),
    Process {
        waveform: true,
        ..process(
            "135",
            "metal active gas, pulsed",
            &["gmawp", "pulsed", "pulsedgmaw", "135p"],
            0.8,
            Some((0.93, 0.93, 0.99)),
        )
    },
    process(
        "136",
        "gas-shielded flux-cored arc",
        &["fcaw", "136", "fcawg", "fcawgs", "fluxcored", "fluxcore"],
        0.8,
        Some((0.86, 0.82, 0.88)),
    ),
    process("137", "inert gas flux-cored arc", &["137"], 0.8, None),
    process(
        "138",
        "active gas metal-cored arc",
        &["mcaw", "138", "metalcored", "gmawc"],
        0.8,
        Some((0.93, 0.93, 0.98)),
    ),
    process("139", "inert gas metal-cored arc", &["139"], 0.8, None),
    process("141", "tungsten inert gas", &["gtaw", "141", "tig", "wig", "14"], 0.6, Some((0.94, 0.94, 0.97))),
    process("142", "tungsten inert gas, no filler", &["142"], 0.6, None),
    process("143", "tungsten inert gas, tubular filler", &["143"], 0.6, None),
    process("15", "plasma arc", &["paw", "15", "151", "plasma"], 0.6, None),
];

/// The process of this word or number, without regard to case, spaces and
/// hyphens.
#[must_use]
pub fn find(name: &str) -> Option<&'static Process> {
    let named = |text: &str| {
        let squeezed = super::metal::squeezed(text);
        let wanted =
            squeezed.strip_prefix("eniso4063").or(squeezed.strip_prefix("iso4063")).unwrap_or(&squeezed);
        PROCESSES.iter().find(|p| p.names.contains(&wanted))
    };
    named(name).or_else(|| {
        // "135 MAG", "GMAW (135)": number and word that mean the same number.
        let mut found = name
            .split(|c: char| c.is_whitespace() || matches!(c, '(' | ')' | ',' | '/'))
            .filter(|word| !word.is_empty())
            .map(named)
            .collect::<Option<Vec<_>>>()?
            .into_iter();
        let first = found.next()?;
        let mut finest = first;
        for next in found {
            if next.number != first.number {
                return None;
            }
            finest = next;
        }
        Some(finest)
    })
}

/// The words to offer when a process is not found: each number and its word.
#[must_use]
pub fn words() -> Vec<String> {
    let mut words: Vec<String> = Vec::new();
    // A word with a number in it names a row for filler and efficiency, no process.
    let of_table =
        |word: &str| word.contains(char::is_alphabetic) && word.contains(|c: char| c.is_ascii_digit());
    for word in PROCESSES.iter().flat_map(|p| p.names.first().into_iter().chain([&p.number])) {
        if !of_table(word) && !words.iter().any(|known| known == word) {
            words.push((*word).to_owned());
        }
    }
    words
}
